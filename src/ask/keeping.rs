//! Keeping: how long a prep or a drink may be held, where, and by whose word.
//!
//! In: the facts of a recipe. Out: for every claim of its writer the shortest hold that applies to it: the claim itself, what
//! its parts keep, and the published rules for things of its kind at that temperature, which take strength, sugar, acid and heat
//! into account where they say so. Trade custom is told beside it and shortens nothing.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use super::safety::evaluate;
use super::safety::facts::{Facts, fitting};
use super::safety::grammar::{self, Expr};
use crate::measure::show;
use crate::notebook::keeping::Keeping as Claim;

const TABLE: &str = include_str!("keeping/shelf_life.csv");

/// Where something is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Storage {
    /// Frozen, below the freezing point of water.
    Frozen,
    /// Cold, up to the warmest legal limit among the sources.
    Chilled,
    /// Warmer than that.
    Ambient,
    /// Held hot for service.
    Hot,
}

/// Warmest legal cold limit among the sources, °C: England, Wales and Northern Ireland (2013 Regulations, Sch. 4 para 2).
const COLD_MOST_C: f64 = 8.0;
/// Coldest legal hot limit among the sources, °C: FDA Food Code s.3-501.16.
const HOT_LEAST_C: f64 = 57.0;

impl Storage {
    /// The storage of a temperature; what nobody wrote is taken for the fridge, where food that can spoil belongs.
    #[must_use]
    pub fn at(celsius: Option<f64>) -> Self {
        match celsius {
            Some(c) if c < 0.0 => Self::Frozen,
            Some(c) if c >= HOT_LEAST_C => Self::Hot,
            Some(c) if c > COLD_MOST_C => Self::Ambient,
            _ => Self::Chilled,
        }
    }
}

/// One row of the shelf-life table.
#[derive(Debug, Clone)]
pub struct Rule {
    /// Its name.
    pub id: String,
    /// What it is about.
    pub item: String,
    /// Where it is held.
    pub storage: Vec<Storage>,
    /// Warmest that it may be, °C.
    pub at_most_c: Option<f64>,
    /// Longest hold, h.
    pub hours: f64,
    /// What to add to the day of making for the use-by date, in days, where the rule counts that day as the first.
    pub use_by_days: Option<u32>,
    /// As people say it.
    pub usual: String,
    /// Whether it rests on a document. Trade custom is about quality, and binds nobody.
    pub binding: bool,
    /// Who says so.
    pub source: String,
    expr: Option<Expr>,
}

#[derive(Deserialize)]
struct Row {
    id: String,
    item: String,
    storage: String,
    temp_c_max: String,
    hold_max_hours: f64,
    hold_max_days: String,
    use_by_offset_days: String,
    usual_hold: String,
    basis: String,
    source: String,
    when: String,
}

fn read(table: &str) -> Result<Vec<Rule>, String> {
    csv::Reader::from_reader(table.as_bytes())
        .into_deserialize::<Row>()
        .map(|row| row.map_err(|e| e.to_string()).and_then(rule))
        .collect()
}

fn rule(row: Row) -> Result<Rule, String> {
    let expr = match row.when.as_str() {
        "" => None,
        when => Some(grammar::parse(when).map_err(|f| format!("{}: wanted {} at {}", row.id, f.wanted, f.at))?),
    };
    if let Some(fault) = expr.as_ref().and_then(|e| super::safety::names::check(e).into_iter().next()) {
        return Err(format!("{}: wanted {} at {}", row.id, fault.wanted, fault.at));
    }
    let storage = match row.storage.as_str() {
        "frozen" => vec![Storage::Frozen],
        "ambient" | "ambient dry" | "ambient cool" => vec![Storage::Ambient],
        "chilled or ambient" => vec![Storage::Chilled, Storage::Ambient],
        "chilled" | "chilled after fermenting" => vec![Storage::Chilled],
        // Minutes in the glass are nobody's claim.
        "served" => Vec::new(),
        other => return Err(format!("{}: storage `{other}`", row.id)),
    };
    let days: Option<f64> = row.hold_max_days.parse().ok();
    let offset: Option<u32> = row.use_by_offset_days.parse().ok();
    Ok(Rule {
        storage,
        at_most_c: row.temp_c_max.parse().ok(),
        hours: row.hold_max_hours,
        use_by_days: offset.filter(|o| days.is_some_and(|d| f64::from(*o) < d)),
        usual: row.usual_hold,
        binding: row.basis.contains("regulation") || row.basis.contains("published"),
        source: row.source,
        expr,
        id: row.id,
        item: row.item,
    })
}

/// The table. It is part of the program: a fault in it is a bug that `every_row_can_be_used` catches.
#[must_use]
pub fn rules() -> &'static [Rule] {
    static RULES: LazyLock<Vec<Rule>> = LazyLock::new(|| read(TABLE).unwrap_or_default());
    &RULES
}

/// By whose word something is held no longer.
#[derive(Debug, Clone, PartialEq)]
pub enum Basis {
    /// Its writer's.
    Claim,
    /// A part of it, by recipe.
    Part(usize),
    /// A published rule, by its name.
    Rule(String),
    /// Trade custom, by its name: only where nobody claimed anything.
    Custom(String),
}

/// How long something may be held at one place.
#[derive(Debug, Clone, PartialEq)]
pub struct Hold {
    /// The claim that it belongs to, by index; `None` where nobody made one.
    pub claim: Option<usize>,
    /// Hours, the shortest that applies.
    pub hours: f64,
    /// °C, at most.
    pub at_c: Option<f64>,
    /// Whether the claim says sealed.
    pub sealed: bool,
    /// What to add to the day of making for the use-by date, in days, where a rule counts that day as the first.
    pub use_by_days: Option<u32>,
    /// By whose word.
    pub basis: Basis,
    /// Why, in words, without a full stop.
    pub because: String,
    /// Who says so, where it is a rule.
    pub source: Option<String>,
}

/// How long a recipe keeps.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Keeping {
    /// One a claim, in their order; without claims what the rules, or else custom, say.
    pub holds: Vec<Hold>,
    /// What custom says of things of its kind: item, as people say it, source.
    pub usual: Vec<(String, String, String)>,
}

impl Keeping {
    /// The shortest of all.
    #[must_use]
    pub fn shortest(&self) -> Option<&Hold> {
        self.holds.iter().min_by(|a, b| a.hours.total_cmp(&b.hours))
    }
}

/// How long a recipe keeps, given its facts and what its parts keep.
#[must_use]
pub fn keeping(facts: &Facts<'_>, parts: &BTreeMap<usize, Keeping>) -> Keeping {
    let mine: Vec<&Rule> =
        rules().iter().filter(|r| r.expr.as_ref().is_some_and(|e| evaluate::holds(e, facts).is_some())).collect();
    let claims = &facts.note().keeps;
    let mut out = Keeping::default();
    for rule in mine.iter().filter(|r| !r.binding) {
        out.usual.push((rule.item.clone(), rule.usual.clone(), rule.source.clone()));
    }
    for (index, claim) in claims.iter().enumerate() {
        out.holds.push(held(facts, parts, &mine, index, claim));
    }
    if claims.is_empty() && (facts.is_prep() || facts.note().serve.pour.is_some()) {
        out.holds.extend(unclaimed(facts, parts, &mine));
    }
    out
}

fn held(facts: &Facts<'_>, parts: &BTreeMap<usize, Keeping>, mine: &[&Rule], index: usize, claim: &Claim) -> Hold {
    let storage = Storage::at(claim.at_c);
    let own = Hold {
        claim: Some(index),
        hours: claim.hours,
        at_c: claim.at_c,
        sealed: claim.sealed,
        use_by_days: None,
        basis: Basis::Claim,
        because: format!("the recipe says `{}`", claim.text),
        source: None,
    };
    let by_rules = mine.iter().filter(|r| r.binding && r.storage.contains(&storage)).map(|r| by_rule(r, Some(index)));
    let by_parts =
        facts.kept_parts().into_iter().filter_map(|part| by_part(facts, parts, part, claim.at_c, Some(index)));
    let mut best = own;
    let mut counted = None;
    for other in by_rules.chain(by_parts) {
        if other.use_by_days.is_some() && other.hours <= claim.hours {
            counted = counted.or(other.use_by_days);
        }
        if other.hours < best.hours {
            best = Hold { sealed: claim.sealed, at_c: lower(claim.at_c, other.at_c), ..other };
        }
    }
    // A claim as long as the rule allows is dated as the rule dates it.
    best.use_by_days = best.use_by_days.or(counted);
    best
}

/// The colder of two places.
fn lower(a: Option<f64>, b: Option<f64>) -> Option<f64> {
    match (a, b) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}

fn by_rule(rule: &Rule, claim: Option<usize>) -> Hold {
    let at = rule.at_most_c.map_or(String::new(), |c| format!(" at {} or colder", show::temperature(c)));
    Hold {
        claim,
        hours: rule.hours,
        at_c: rule.at_most_c,
        sealed: false,
        use_by_days: rule.use_by_days,
        basis: if rule.binding { Basis::Rule(rule.id.clone()) } else { Basis::Custom(rule.id.clone()) },
        because: format!(
            "{}{at}, {}: {}",
            show::hours(rule.hours),
            if rule.binding { "by the published rule" } else { "by custom" },
            rule.item
        ),
        source: Some(rule.source.clone()),
    }
}

fn by_part(
    facts: &Facts<'_>,
    parts: &BTreeMap<usize, Keeping>,
    part: usize,
    at: Option<f64>,
    claim: Option<usize>,
) -> Option<Hold> {
    let note = &facts.computed.graph.notes.recipes[part];
    let keeping = parts.get(&part)?;
    let hold = match fitting(&note.keeps, at) {
        Some(fit) => keeping.holds.iter().find(|h| h.claim.is_some_and(|c| note.keeps[c] == *fit))?,
        None => keeping.shortest().filter(|h| !matches!(h.basis, Basis::Custom(_)))?,
    };
    Some(Hold {
        claim,
        basis: Basis::Part(part),
        because: format!("its {} keeps {}", note.name.value, show::hours(hold.hours)),
        ..hold.clone()
    })
}

/// What may be said where nobody claimed anything: rules and parts; custom where there are none.
fn unclaimed(facts: &Facts<'_>, parts: &BTreeMap<usize, Keeping>, mine: &[&Rule]) -> Option<Hold> {
    let cold = |r: &&&Rule| r.storage.contains(&Storage::Chilled);
    let shortest = |list: Vec<Hold>| list.into_iter().min_by(|a, b| a.hours.total_cmp(&b.hours));
    let by_parts = facts.kept_parts().into_iter().filter_map(|part| by_part(facts, parts, part, None, None));
    let sure: Vec<Hold> =
        mine.iter().filter(|r| r.binding).filter(cold).map(|r| by_rule(r, None)).chain(by_parts).collect();
    let custom = || mine.iter().filter(|r| !r.binding).filter(cold).map(|r| by_rule(r, None)).collect();
    shortest(sure).or_else(|| shortest(custom()))
}

/// Something that is wrong with a claim.
#[derive(Debug, Clone, PartialEq)]
pub enum Doubt {
    /// It is longer than this hold: the claim's index, and the hold.
    Longer(usize, Hold),
    /// It says that it keeps warm, and nobody measured the pH that decides: the claim's index.
    NoPh(usize),
}

/// Strength from which it keeps without acid, % vol. A project threshold.
const KEEPS_BY_STRENGTH_ABV: f64 = 20.0;
/// Water activity up to which it keeps at any pH: FDA Food Code s.1-201.10, TCS definition Table B.
const KEEPS_BY_SUGAR_AW: f64 = 0.88;
/// A claim of a day or less is service, not storage, h.
const SERVICE_H: f64 = 24.0;

/// What is doubtful about the claims of a recipe.
#[must_use]
pub fn doubts(facts: &Facts<'_>, keeping: &Keeping) -> Vec<Doubt> {
    use super::safety::facts::Bound;
    use super::safety::names::NumberName;
    let figure = |name| facts.number(name, &Bound::default());
    let mut doubts = Vec::new();
    for hold in &keeping.holds {
        let Some(index) = hold.claim else { continue };
        let claim = &facts.note().keeps[index];
        if hold.hours < claim.hours {
            doubts.push(Doubt::Longer(index, hold.clone()));
        }
        let warm = Storage::at(claim.at_c) == Storage::Ambient && claim.hours > SERVICE_H;
        let strong = figure(NumberName::Abv).is_some_and(|abv| abv >= KEEPS_BY_STRENGTH_ABV);
        let sweet = figure(NumberName::Aw).is_some_and(|aw| aw <= KEEPS_BY_SUGAR_AW);
        // Salt keeps as sugar does, and the estimate of water activity leaves it out.
        let dry = facts.mostly_salt();
        if warm && !strong && !sweet && !dry && facts.ph.is_none() {
            doubts.push(Doubt::NoPh(index));
        }
    }
    doubts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_can_be_used() {
        let rules = read(TABLE).expect("a sound table");
        assert!(rules.len() > 60);
        for rule in &rules {
            assert!(rule.hours > 0.0 && !rule.source.is_empty(), "{}", rule.id);
        }
        let reference = include_str!("../../tests/reference/shelf_life.csv");
        for (ours, theirs) in TABLE.lines().zip(reference.lines()).skip(1) {
            assert!(ours.starts_with(theirs), "{theirs}");
        }
        assert_eq!(TABLE.lines().count(), reference.lines().count());
    }

    #[test]
    fn a_rule_that_counts_the_first_day_dates_a_day_less() {
        let rule = |id: &str| rules().iter().find(|r| r.id == id).expect("a row").clone();
        assert_eq!((rule("tcs-default").hours, rule("tcs-default").use_by_days), (168.0, Some(6)));
        assert_eq!((rule("citrus-sweet").hours, rule("citrus-sweet").use_by_days), (24.0, None));
        assert!(rule("garlic-oil").binding && !rule("fat-wash").binding);
    }

    #[test]
    fn places_are_told_apart_by_the_legal_limits() {
        for (at, storage) in [
            (Some(-18.0), Storage::Frozen),
            (Some(4.0), Storage::Chilled),
            (Some(8.0), Storage::Chilled),
            (Some(8.5), Storage::Ambient),
            (Some(65.0), Storage::Hot),
            (None, Storage::Chilled),
        ] {
            assert_eq!(Storage::at(at), storage, "{at:?}");
        }
    }
}
