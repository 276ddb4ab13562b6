//! Equipment: what a recipe is made with, from what its pours and processes ask for. The house's own tools and machines are its
//! business and stay out of it: a reader needs a siphon of 500 ml, not to know how many the house has.

use rust_decimal::{Decimal, dec};

use crate::measure::{Amount, Dimension};
use crate::notebook::pour::PourAmount;
use crate::notebook::process_line::{ParameterValue, ProcessLine};
use crate::notebook::recipe_note::RecipeNote;
use crate::process::Process;
use crate::recipe::graph::{Measure, Pour};
use crate::recipe::run::Computed;

/// Largest volume that is measured in a jigger, ml (common practice, no source).
const JIGGER: Decimal = dec!(75);
/// Below this a kitchen scale that reads to a gram says nothing useful, g (common practice, no source).
const FINE: Decimal = dec!(10);

/// A thing that is needed. What it is called is for whoever prints it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Need {
    /// Which thing: `mixing_glass`.
    pub what: &'static str,
    /// Its size, its kind or its own name: `500 ml`, `cubed`, `coupe`.
    pub of: Option<String>,
    /// What it is made of: `glass`.
    pub made: Option<&'static str>,
}

impl Need {
    fn a(what: &'static str) -> Self {
        Self { what, of: None, made: None }
    }
}

/// What is needed, in the order in which it is reached for; each thing once.
#[must_use]
pub fn equipment(computed: &Computed, recipe: usize) -> Vec<Need> {
    let note = &computed.graph.notes.recipes[recipe];
    let node = &computed.graph.nodes[recipe];
    let mut list: Vec<Need> = Vec::new();
    measuring(node.mix.iter().chain(&node.finish).flatten(), note, &mut list);
    for step in &node.process {
        let pours: Vec<&Pour> = step.pours.values().flatten().collect();
        measuring(pours.into_iter(), note, &mut list);
        process(&step.line, note, &mut list);
    }
    if let Some(glass) = &note.serve.glass {
        list.push(Need { of: Some(glass.value.clone()), ..Need::a("glass") });
    }
    if let Some(ice) = note.serve.ice.as_ref().filter(|i| i.value != "none") {
        list.push(match ice.value.as_str() {
            "block" => Need::a("block"),
            word => Need { of: Some(word.to_owned()), ..Need::a("ice") },
        });
    }
    let mut seen = std::collections::BTreeSet::new();
    list.retain(|need| seen.insert(need.clone()));
    // A fine scale makes a plain one needless, a jug for litres does not replace a jigger.
    if seen.contains(&Need::a(FINE_SCALE)) {
        list.retain(|need| need.what != SCALE);
    }
    list
}

const SCALE: &str = "scale";
const FINE_SCALE: &str = "fine_scale";
const THERMOMETER: &str = "thermometer";
const SIEVE: &str = "sieve";

fn measuring<'a>(pours: impl Iterator<Item = &'a Pour>, note: &RecipeNote, list: &mut Vec<Need>) {
    for pour in pours {
        match &pour.measure {
            Measure::Volume(ml) => {
                let spoon = match &pour.line.amount {
                    PourAmount::Measured { amount, .. } => amount.unit.word(),
                    _ => "",
                };
                match spoon {
                    "dash" | "drop" | "splash" => {}
                    "barspoon" | "tsp" | "tbsp" | "cup" => {
                        list.push(Need { of: Some(spoon.to_owned()), ..Need::a("spoon_measure") })
                    }
                    _ if *ml > JIGGER => list.push(Need::a("measuring_jug")),
                    _ => list.push(Need::a("jigger")),
                }
            }
            Measure::Parts(_) => {
                let large = note.size.as_ref().is_none_or(|s| s.value.value > JIGGER || s.value.unit.word() != "ml");
                list.push(if large { Need::a("measuring_jug") } else { Need::a("jigger") });
            }
            Measure::UpTo(_) => list.push(Need::a("measuring_jug")),
            Measure::Mass(grams) => list.push(Need::a(if *grams < FINE { FINE_SCALE } else { SCALE })),
            Measure::Share(_) => list.push(Need::a(FINE_SCALE)),
            Measure::PartOf { part, .. } if part == "juice" => list.push(Need::a("juicer")),
            Measure::PartOf { part, .. } if part == "peel" => list.push(Need::a("peeler")),
            Measure::PartOf { .. } | Measure::Pieces { dimension: Dimension::Volume, .. } => {}
            Measure::Pieces { .. } => {}
        }
    }
}

fn process(line: &ProcessLine, note: &RecipeNote, list: &mut Vec<Need>) {
    let value = |key: &str| line.parameters.iter().find(|(k, _, _)| *k == key).map(|(_, _, v)| v);
    let word = |key: &str| match value(key) {
        Some(ParameterValue::Word(word)) => Some(*word),
        _ => None,
    };
    let amount = |key: &str| match value(key) {
        Some(ParameterValue::Amount(amount)) => Some(size(*amount)),
        _ => None,
    };
    let mut need = |what: &'static str| list.push(Need::a(what));
    let in_glass = matches!(line.process, Process::Stir) && note.serve.ice.as_ref().is_some_and(|i| i.value != "none");
    match line.process {
        Process::Stir if in_glass => need("bar_spoon"),
        Process::Stir => ["mixing_glass", "bar_spoon", "strainer", "stirring_ice"].into_iter().for_each(&mut need),
        Process::Shake => ["shaker", "strainer", "shaking_ice"].into_iter().for_each(&mut need),
        Process::DryShake => need("shaker"),
        Process::Throw => ["throwing_tins", "strainer", "plain_ice"].into_iter().for_each(&mut need),
        Process::Roll => need("rolling_tins"),
        Process::Swizzle => ["swizzle_stick", "crushed_ice"].into_iter().for_each(&mut need),
        Process::Blend => need("blender"),
        Process::Muddle => need("muddler"),
        Process::Smoke => need("smoke_gun"),
        Process::Flame => need("match"),
        Process::MilkClarify => ["wide_jug", SIEVE, "coffee_filters", "drip_vessel"].into_iter().for_each(&mut need),
        Process::Clarify => match word("with") {
            Some("agar") => [FINE_SCALE, "pan", "whisk", "straining_cloth"].into_iter().for_each(&mut need),
            Some("gelatin") => [FINE_SCALE, "freezer", "straining_cloth"].into_iter().for_each(&mut need),
            Some("spin") => need("centrifuge"),
            Some("pectinase") => [FINE_SCALE, SIEVE].into_iter().for_each(&mut need),
            _ => need("filter_papers"),
        },
        Process::Strain => need(SIEVE),
        Process::Filter => need("papers_or_cloth"),
        Process::Infuse => {
            need("lidded_jar");
            if matches!(value("at"), Some(ParameterValue::Temperature(c)) if *c > 30.0) {
                need(THERMOMETER);
            }
        }
        Process::FatWash => ["wide_lidded_jar", "freezer", SIEVE].into_iter().for_each(&mut need),
        Process::Ferment => ["jar", "cloth_and_band", "hydrometer", "ph_meter"].into_iter().for_each(&mut need),
        Process::Heat | Process::Pasteurise => ["pan", THERMOMETER].into_iter().for_each(&mut need),
        Process::HotFill => ["pan", THERMOMETER, "hot_bottles"].into_iter().for_each(&mut need),
        Process::AcidAdjust => need(FINE_SCALE),
        Process::Carbonate => ["carbonator", THERMOMETER].into_iter().for_each(&mut need),
        Process::Charge => {
            let size = amount("siphon");
            list.push(Need { of: size.clone(), ..Need::a(if size.is_some() { "siphon_of" } else { "siphon" }) });
            let gas = word("gas").unwrap_or("N2O");
            let count = match value("cartridges") {
                Some(ParameterValue::Number(n)) => crate::measure::show::amount(*n),
                _ => "1".into(),
            };
            let what = if count == "1" { "cartridge" } else { "cartridges" };
            list.push(Need { of: Some(format!("{count} {gas}")), ..Need::a(what) });
        }
        Process::Bottle => {
            let (made, of) = (word("in"), amount("size"));
            let what = match (made.is_some(), of.is_some()) {
                (true, true) => "made_bottles_of",
                (true, false) => "made_bottles",
                (false, true) => "bottles_of",
                (false, false) => "bottles",
            };
            list.push(Need { what, of, made });
        }
        Process::Juice => need("juicer"),
        Process::Peel => need("peeler"),
        Process::Freeze => need("freezer"),
        Process::Rest | Process::Age | Process::Chill | Process::Thaw | Process::Water => {}
    }
}

fn size(amount: Amount) -> String {
    format!("{} {}", amount.value.normalize(), amount.unit.word_for(amount.value))
}
