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

/// What is needed, in the order in which it is reached for; each thing once.
#[must_use]
pub fn equipment(computed: &Computed, recipe: usize) -> Vec<String> {
    let note = &computed.graph.notes.recipes[recipe];
    let node = &computed.graph.nodes[recipe];
    let mut list: Vec<String> = Vec::new();
    measuring(node.mix.iter().chain(&node.finish).flatten(), note, &mut list);
    for step in &node.process {
        let pours: Vec<&Pour> = step.pours.values().flatten().collect();
        measuring(pours.into_iter(), note, &mut list);
        process(&step.line, note, &mut list);
    }
    if let Some(glass) = &note.serve.glass {
        let vowel = glass.value.starts_with(['a', 'e', 'i', 'o']);
        list.push(format!("{} {}", if vowel { "an" } else { "a" }, glass.value));
    }
    if let Some(ice) = note.serve.ice.as_ref().filter(|i| i.value != "none") {
        list.push(match ice.value.as_str() {
            "block" => "a block of ice for the glass or bowl".into(),
            word => format!("{word} ice for the glass"),
        });
    }
    let mut seen = std::collections::BTreeSet::new();
    list.retain(|thing| seen.insert(thing.clone()));
    // A fine scale makes a plain one needless, a jug for litres does not replace a jigger.
    if seen.contains(FINE_SCALE) {
        list.retain(|thing| thing != SCALE);
    }
    list
}

const SCALE: &str = "a scale";
const FINE_SCALE: &str = "a scale that reads to 0.01 g";
const THERMOMETER: &str = "a thermometer";
const SIEVE: &str = "a fine sieve";

fn measuring<'a>(pours: impl Iterator<Item = &'a Pour>, note: &RecipeNote, list: &mut Vec<String>) {
    for pour in pours {
        match &pour.measure {
            Measure::Volume(ml) => {
                let spoon = match &pour.line.amount {
                    PourAmount::Measured { amount, .. } => amount.unit.word(),
                    _ => "",
                };
                match spoon {
                    "dash" | "drop" | "splash" => {}
                    "barspoon" | "tsp" | "tbsp" | "cup" => list.push(format!("a {spoon} measure")),
                    _ if *ml > JIGGER => list.push("a measuring jug".into()),
                    _ => list.push("a jigger".into()),
                }
            }
            Measure::Parts(_) => {
                let large = note.size.as_ref().is_none_or(|s| s.value.value > JIGGER || s.value.unit.word() != "ml");
                list.push(if large { "a measuring jug".into() } else { "a jigger".into() });
            }
            Measure::UpTo(_) => list.push("a measuring jug".into()),
            Measure::Mass(grams) => list.push(if *grams < FINE { FINE_SCALE.into() } else { SCALE.into() }),
            Measure::Share(_) => list.push(FINE_SCALE.into()),
            Measure::PartOf { part, .. } if part == "juice" => list.push("a juicer".into()),
            Measure::PartOf { part, .. } if part == "peel" => list.push("a peeler".into()),
            Measure::PartOf { .. } | Measure::Pieces { dimension: Dimension::Volume, .. } => {}
            Measure::Pieces { .. } => {}
        }
    }
}

fn process(line: &ProcessLine, note: &RecipeNote, list: &mut Vec<String>) {
    let value = |key: &str| line.parameters.iter().find(|(k, _, _)| *k == key).map(|(_, _, v)| v);
    let word = |key: &str| match value(key) {
        Some(ParameterValue::Word(word)) => Some(*word),
        _ => None,
    };
    let amount = |key: &str| match value(key) {
        Some(ParameterValue::Amount(amount)) => Some(size(*amount)),
        _ => None,
    };
    let mut need = |thing: &str| list.push(thing.to_owned());
    let in_glass = matches!(line.process, Process::Stir) && note.serve.ice.as_ref().is_some_and(|i| i.value != "none");
    match line.process {
        Process::Stir if in_glass => need("a bar spoon"),
        Process::Stir => {
            ["a mixing glass", "a bar spoon", "a strainer", "ice to stir with"].into_iter().for_each(&mut need)
        }
        Process::Shake => ["a shaker", "a strainer", "ice to shake with"].into_iter().for_each(&mut need),
        Process::DryShake => need("a shaker"),
        Process::Throw => ["two tins to throw between", "a strainer", "ice"].into_iter().for_each(&mut need),
        Process::Roll => need("two tins to roll between"),
        Process::Swizzle => ["a swizzle stick", "crushed ice"].into_iter().for_each(&mut need),
        Process::Blend => need("a blender"),
        Process::Muddle => need("a muddler"),
        Process::Smoke => need("a smoke gun, or a cloche and chips"),
        Process::Flame => need("a long match"),
        Process::MilkClarify => {
            ["a wide jug", SIEVE, "coffee filters", "a vessel to drip into"].into_iter().for_each(&mut need)
        }
        Process::Clarify => match word("with") {
            Some("agar") => [FINE_SCALE, "a pan", "a whisk", "a straining cloth"].into_iter().for_each(&mut need),
            Some("gelatin") => [FINE_SCALE, "a freezer", "a straining cloth"].into_iter().for_each(&mut need),
            Some("spin") => need("a centrifuge"),
            Some("pectinase") => [FINE_SCALE, SIEVE].into_iter().for_each(&mut need),
            _ => need("filter papers"),
        },
        Process::Strain => need(SIEVE),
        Process::Filter => need("filter papers or a cloth"),
        Process::Infuse => {
            need("a jar with a lid");
            if matches!(value("at"), Some(ParameterValue::Temperature(c)) if *c > 30.0) {
                need(THERMOMETER);
            }
        }
        Process::FatWash => ["a wide jar with a lid", "a freezer", SIEVE].into_iter().for_each(&mut need),
        Process::Ferment => {
            ["a jar", "a cloth and a band", "a hydrometer", "a pH meter or strips"].into_iter().for_each(&mut need)
        }
        Process::Heat | Process::Pasteurise => ["a pan", THERMOMETER].into_iter().for_each(&mut need),
        Process::HotFill => ["a pan", THERMOMETER, "bottles that stand hot filling"].into_iter().for_each(&mut need),
        Process::AcidAdjust => need(FINE_SCALE),
        Process::Carbonate => ["a carbonator with a gauge", THERMOMETER].into_iter().for_each(&mut need),
        Process::Charge => {
            need(&amount("siphon").map_or("a siphon".into(), |s| format!("a {s} siphon")));
            let gas = word("gas").unwrap_or("N2O");
            let count = match value("cartridges") {
                Some(ParameterValue::Number(n)) => crate::measure::show::amount(*n),
                _ => "1".into(),
            };
            let noun = if count == "1" { "cartridge" } else { "cartridges" };
            need(&format!("{count} {gas} {noun}"));
        }
        Process::Bottle => {
            let made = word("in").map_or(String::new(), |m| format!("{m} "));
            need(&amount("size").map_or(format!("{made}bottles"), |s| format!("{made}bottles of {s}")));
        }
        Process::Juice => need("a juicer"),
        Process::Peel => need("a peeler"),
        Process::Freeze => need("a freezer"),
        Process::Rest | Process::Age | Process::Chill | Process::Thaw | Process::Water => {}
    }
}

fn size(amount: Amount) -> String {
    format!("{} {}", amount.value.normalize(), amount.unit.word_for(amount.value))
}
