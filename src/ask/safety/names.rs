//! What the names in a trigger mean: sets, words and numbers, each with its unit and where it comes from.
//!
//! A name is one of a fixed list, a dose of a tag (`dose_pct.TAG`), or a process with a parameter (`rest.for_h`) or a figure of the
//! mixture as it enters it (`charge.before_ml`).

use super::grammar::{Atom, Expr, Fault, Name, Op};
use super::tags;
use crate::ask::diet::DECLARED;
use crate::notebook::fields::nearest;
use crate::notebook::recipe_note::ICE;
use crate::process::{Process, Takes};

/// A set, whose members are words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)] // the names are those of the grammar
pub enum SetName {
    Tag,
    Process,
    Allergen,
    AllergensUnknown,
    Garnish,
    Glass,
}

/// Something that is one of a few words, or not known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum WordName {
    Ice,
    Makes,
    Vegan,
    Live,
    KeepsSealed,
    RegimeAllergens,
    /// A parameter of a process that takes one of some words.
    Parameter(Process, &'static str, &'static [&'static str]),
}

/// A number, or not known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum NumberName<'n> {
    Abv,
    Brix,
    Sugar,
    Acid,
    Temperature,
    Co2Volumes,
    GaugeBar,
    Ph,
    Aw,
    SmallestG,
    CaffeinePerL,
    SulphitesPerL,
    ServeEthanol,
    ServeCaffeine,
    ServePour,
    KeepsHours,
    KeepsAt,
    PartsHours,
    RoomC,
    ScaleG,
    StrongServeG,
    /// % of the liquid's mass.
    DosePct(&'n str),
    /// mg/kg.
    DoseMgKg(&'n str),
    /// g in one serve.
    DoseG(&'n str),
    BeforeMl(Process),
    BeforeC(Process),
    BeforeAbv(Process),
    /// Cartridges times cartridge, g.
    ChargeGas,
    /// Most that a closed bottle would come to hold in a room, bar above the atmosphere.
    BottleBuilds,
    /// A parameter: time in h, temperature in °C, volume in ml, mass in g, share in %.
    Parameter(Process, &'static str),
}

/// What a name means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Meaning<'n> {
    /// A set of words.
    Set(SetName),
    /// One of a few words.
    Word(WordName),
    /// A number.
    Number(NumberName<'n>),
}

impl Meaning<'_> {
    /// The process whose line it is read from.
    #[must_use]
    pub fn process(self) -> Option<Process> {
        match self {
            Self::Word(WordName::Parameter(p, _, _)) => Some(p),
            Self::Number(
                NumberName::BeforeMl(p)
                | NumberName::BeforeC(p)
                | NumberName::BeforeAbv(p)
                | NumberName::Parameter(p, _),
            ) => Some(p),
            Self::Number(NumberName::ChargeGas) => Some(Process::Charge),
            Self::Number(NumberName::BottleBuilds) => Some(Process::Bottle),
            _ => None,
        }
    }

    /// Whether it is read from a keeping claim.
    #[must_use]
    pub fn of_a_claim(self) -> bool {
        matches!(
            self,
            Self::Word(WordName::KeepsSealed)
                | Self::Number(NumberName::KeepsHours | NumberName::KeepsAt | NumberName::PartsHours)
        )
    }
}

const FIXED: &[(&str, Meaning<'static>)] = &[
    ("tag", Meaning::Set(SetName::Tag)),
    ("process", Meaning::Set(SetName::Process)),
    ("allergen", Meaning::Set(SetName::Allergen)),
    ("allergens_unknown", Meaning::Set(SetName::AllergensUnknown)),
    ("garnish", Meaning::Set(SetName::Garnish)),
    ("glass", Meaning::Set(SetName::Glass)),
    ("ice", Meaning::Word(WordName::Ice)),
    ("makes", Meaning::Word(WordName::Makes)),
    ("vegan", Meaning::Word(WordName::Vegan)),
    ("live", Meaning::Word(WordName::Live)),
    ("keeps.sealed", Meaning::Word(WordName::KeepsSealed)),
    ("regime.allergens", Meaning::Word(WordName::RegimeAllergens)),
    ("abv", Meaning::Number(NumberName::Abv)),
    ("brix", Meaning::Number(NumberName::Brix)),
    ("sugar_g_per_100ml", Meaning::Number(NumberName::Sugar)),
    ("acid_g_per_100ml", Meaning::Number(NumberName::Acid)),
    ("temperature_c", Meaning::Number(NumberName::Temperature)),
    ("co2_volumes", Meaning::Number(NumberName::Co2Volumes)),
    ("gauge_bar", Meaning::Number(NumberName::GaugeBar)),
    ("ph", Meaning::Number(NumberName::Ph)),
    ("aw", Meaning::Number(NumberName::Aw)),
    ("smallest_g", Meaning::Number(NumberName::SmallestG)),
    ("caffeine_mg_per_l", Meaning::Number(NumberName::CaffeinePerL)),
    ("sulphites_mg_per_l", Meaning::Number(NumberName::SulphitesPerL)),
    ("serve.ethanol_g", Meaning::Number(NumberName::ServeEthanol)),
    ("serve.caffeine_mg", Meaning::Number(NumberName::ServeCaffeine)),
    ("serve.pour_ml", Meaning::Number(NumberName::ServePour)),
    ("keeps.hours", Meaning::Number(NumberName::KeepsHours)),
    ("keeps.at_c", Meaning::Number(NumberName::KeepsAt)),
    ("parts.hours", Meaning::Number(NumberName::PartsHours)),
    ("house.room_c", Meaning::Number(NumberName::RoomC)),
    ("house.scale_g", Meaning::Number(NumberName::ScaleG)),
    ("house.strong_serve_g", Meaning::Number(NumberName::StrongServeG)),
];

/// Processes by name, and words of theirs, are lower case in a trigger.
const GAS_WORDS: &[&str] = &["n2o", "n2", "co2"];

/// The ending that a parameter's name takes in a trigger, by what it takes.
fn ending(takes: Takes) -> Option<&'static str> {
    match takes {
        Takes::Percent => Some("_pct"),
        Takes::Temperature => Some("_c"),
        Takes::Time => Some("_h"),
        // An amount that is a mass is no volume, and is then missing.
        Takes::Volume | Takes::Amount => Some("_ml"),
        Takes::Mass => Some("_g"),
        Takes::Number | Takes::Word(_) => Some(""),
        Takes::VolumeOrStrength | Takes::Pours | Takes::Gravity | Takes::Name | Takes::Shares => None,
    }
}

/// What a name means; `None` where it means nothing.
#[must_use]
pub fn meaning(name: &str) -> Option<Meaning<'_>> {
    if let Some((_, meaning)) = FIXED.iter().find(|(n, _)| *n == name) {
        return Some(*meaning);
    }
    let (head, tail) = name.split_once('.')?;
    let dose = match head {
        "dose_pct" => Some(NumberName::DosePct(tail)),
        "dose_mg_kg" => Some(NumberName::DoseMgKg(tail)),
        "dose_g" => Some(NumberName::DoseG(tail)),
        _ => None,
    };
    if let Some(dose) = dose {
        return tags::get(tail).map(|_| Meaning::Number(dose));
    }
    let process = Process::from_name(head)?;
    match (process, tail) {
        (_, "before_ml") => return Some(Meaning::Number(NumberName::BeforeMl(process))),
        (_, "before_c") => return Some(Meaning::Number(NumberName::BeforeC(process))),
        (_, "before_abv") => return Some(Meaning::Number(NumberName::BeforeAbv(process))),
        (Process::Bottle, "builds_bar") => return Some(Meaning::Number(NumberName::BottleBuilds)),
        (Process::Charge, "gas_g") => return Some(Meaning::Number(NumberName::ChargeGas)),
        (Process::Charge, "gas") => {
            return Some(Meaning::Word(WordName::Parameter(process, "gas", GAS_WORDS)));
        }
        _ => {}
    }
    process.parameters().iter().find_map(|parameter| {
        let bare = tail.strip_suffix(ending(parameter.takes)?)?;
        if bare != parameter.name {
            return None;
        }
        Some(match parameter.takes {
            Takes::Word(words) => Meaning::Word(WordName::Parameter(process, parameter.name, words)),
            _ => Meaning::Number(NumberName::Parameter(process, parameter.name)),
        })
    })
}

/// Everything that is wrong with the names and words of a trigger that reads.
#[must_use]
pub fn check(expr: &Expr) -> Vec<Fault> {
    let mut faults = Vec::new();
    walk(expr, false, &mut faults);
    faults
}

/// The same for a rule of a house, which may ask for tags of the house's own.
#[must_use]
pub fn check_of_house(expr: &Expr) -> Vec<Fault> {
    let mut faults = Vec::new();
    walk(expr, true, &mut faults);
    faults
}

/// Most processes whose parameters one trigger may read: each stands for any of its lines, so their number multiplies.
const MOST_PROCESSES: usize = 3;

/// The processes whose lines a trigger reads parameters or figures of.
#[must_use]
pub fn processes_read(expr: &Expr) -> Vec<Process> {
    let mut list = Vec::new();
    expr.each_name(&mut |name| {
        if let Some(process) = meaning(&name.text).and_then(Meaning::process)
            && !list.contains(&process)
        {
            list.push(process);
        }
    });
    list
}

/// Whether a trigger reads keeping claims.
#[must_use]
pub fn reads_claims(expr: &Expr) -> bool {
    let mut found = false;
    expr.each_name(&mut |name| found |= meaning(&name.text).is_some_and(Meaning::of_a_claim));
    found
}

fn fault(name: &Name, wanted: impl Into<String>) -> Fault {
    Fault { at: name.at.start, wanted: wanted.into() }
}

fn unknown(name: &Name) -> Fault {
    let mut known: Vec<&str> = FIXED.iter().map(|(n, _)| *n).collect();
    known.extend(["dose_pct.TAG", "dose_mg_kg.TAG", "dose_g.TAG"]);
    match nearest(&name.text, known).first() {
        Some(near) => fault(name, format!("a name that means something; `{near}` does")),
        None => fault(name, "a name that means something, such as `tag`, `abv` or `keeps.hours`"),
    }
}

fn walk(expr: &Expr, own_tags: bool, faults: &mut Vec<Fault>) {
    match expr {
        Expr::Always => {}
        Expr::Or(list) | Expr::And(list) => list.iter().for_each(|e| walk(e, own_tags, faults)),
        Expr::Not(inner) => walk(inner, own_tags, faults),
        Expr::Given(name) | Expr::Missing(name) => {
            if meaning(&name.text).is_none() {
                faults.push(unknown(name));
            }
        }
        Expr::Then(first, second) => {
            for name in [first, second] {
                if Process::from_name(&name.text).is_none() {
                    faults.push(fault(name, "a process on either side of `then`"));
                }
            }
        }
        Expr::In(name, words) => match meaning(&name.text) {
            None => faults.push(unknown(name)),
            Some(Meaning::Number(_)) => faults.push(fault(name, "a set or a word before `in`; this is a number")),
            Some(meaning) => words.iter().for_each(|w| word(meaning, w, own_tags, faults)),
        },
        Expr::Compare(left, minus, op, side) => {
            let Some(found) = meaning(&left.text) else {
                faults.push(unknown(left));
                return;
            };
            if let Meaning::Number(_) = found {
                for name in minus.iter().chain(side.atoms().into_iter().filter_map(|atom| match atom {
                    Atom::Name(name) => Some(name),
                    Atom::Number(_) => None,
                })) {
                    match meaning(&name.text) {
                        Some(Meaning::Number(_)) => {}
                        Some(_) => faults.push(fault(name, "a number here; this is a word or a set")),
                        None => faults.push(unknown(name)),
                    }
                }
                return;
            }
            match (op, minus, side.atoms()[..].first()) {
                (Op::Is, None, Some(Atom::Name(right))) if side.atoms().len() == 1 => {
                    word(found, right, own_tags, faults)
                }
                _ => faults.push(fault(left, "`= word` behind a word or a set; only numbers are compared otherwise")),
            }
        }
    }
    let processes = processes_read(expr);
    if processes.len() > MOST_PROCESSES && faults.is_empty() {
        faults.push(Fault {
            at: 0,
            wanted: format!("parameters of at most {MOST_PROCESSES} processes; write two rules instead"),
        });
    }
}

fn word(meaning: Meaning<'_>, word: &Name, own_tags: bool, faults: &mut Vec<Fault>) {
    let one_of = |words: &[&str]| {
        let near = nearest(&word.text, words.iter().copied());
        match near.first() {
            Some(near) => format!("another word; did you mean `{near}`?"),
            None => format!("one of: {}", words.join(", ")),
        }
    };
    let wanted = match meaning {
        Meaning::Set(SetName::Tag) if tags::get(&word.text).is_none() => {
            let near = nearest(&word.text, tags::all().keys().map(String::as_str));
            // A slip of the pen in a tag of the table would keep a rule from ever firing.
            let slip = |tag: &&&str| strsim::damerau_levenshtein(tag, &word.text) == 1;
            if own_tags && !near.iter().any(|tag| slip(&tag)) {
                return;
            }
            near.first().map_or_else(
                || "a tag of the table of tags".to_owned(),
                |near| format!("a tag of the table; did you mean `{near}`?"),
            )
        }
        Meaning::Set(SetName::Process) if Process::from_name(&word.text).is_none() => {
            one_of(&Process::all().map(Process::name).collect::<Vec<_>>())
        }
        Meaning::Set(SetName::Allergen) if !DECLARED.contains(&word.text.as_str()) => one_of(DECLARED),
        Meaning::Word(name) => {
            let words = words_of(name);
            if words.contains(&word.text.as_str()) {
                return;
            }
            one_of(words)
        }
        _ => return,
    };
    faults.push(fault(word, wanted));
}

fn words_of(name: WordName) -> &'static [&'static str] {
    match name {
        WordName::Ice => ICE,
        WordName::Makes => &["drink", "prep"],
        WordName::Vegan | WordName::Live => &["yes", "no"],
        WordName::KeepsSealed => &["yes"],
        WordName::RegimeAllergens => &["eu", "uk", "us"],
        WordName::Parameter(_, _, words) => words,
    }
}

#[cfg(test)]
mod tests {
    use super::super::grammar::parse;
    use super::*;

    #[test]
    fn names_mean_what_the_table_says() {
        for name in [
            "charge.siphon_ml",
            "charge.gas_g",
            "charge.gas",
            "rest.for_h",
            "rest.to_c",
            "heat.reduce_to_ml",
            "infuse.at_c",
            "infuse.before_abv",
            "clarify.with",
            "bottle.in",
            "bottle.closed",
            "hot-fill.to_c",
            "dose_pct.xanthan",
            "dose_mg_kg.sorbate",
            "dose_g.nutmeg",
            "keeps.at_c",
            "carbonate.at_c",
            "thaw.to_c",
            "ferment.at_c",
            "ferment.for_h",
            "parts.hours",
            "regime.allergens",
        ] {
            assert!(meaning(name).is_some(), "{name}");
        }
        for name in ["dose_pct.nothing", "rest.for", "juggle.for_h", "infuse.with", "strength", "tag.egg"] {
            assert!(meaning(name).is_none(), "{name}");
        }
    }

    #[test]
    fn what_means_nothing_is_placed() {
        for (text, at) in [
            ("tag=raw-eg", 4),
            ("abv > 20 and tagg=egg", 13),
            ("ice=boiled", 4),
            ("abv in {a}", 0),
            ("tag > 3", 0),
            ("abv > tag", 6),
            ("process=shaking", 8),
            ("shake then juggle", 11),
            ("allergen=lactose", 9),
            ("bottle.in=wood", 10),
        ] {
            let faults = check(&parse(text).expect(text));
            assert_eq!(faults.first().map(|f| f.at), Some(at), "{text}: {faults:?}");
        }
        assert!(check(&parse("garnish=anything and glass in {tin}").expect("a trigger")).is_empty());
    }
}
