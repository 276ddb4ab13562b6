//! What the names in prose print: figures of a recipe, its pours, its processes.

use std::collections::BTreeMap;

use super::{Kind, Printed};
use crate::measure::{show, unit::Unit};
use crate::mixture::Mixture;
use crate::mixture::figure::Figure;
use crate::notebook::pour::{PourAmount, Role};
use crate::notebook::process_line::ParameterValue;
use crate::recipe::names::key;
use crate::recipe::run::Computed;

/// What may be asked of a recipe, of itself or from elsewhere.
pub(super) fn of_recipe(computed: &Computed, recipe: usize) -> Vec<(&'static str, Printed)> {
    let made = &computed.made[recipe];
    let note = &computed.graph.notes.recipes[recipe];
    let batch = of_mixture(&made.batch().mixture);
    let balance = of_mixture(&made.stages[made.balance].mixture);
    let glass = of_mixture(&made.last().mixture);
    let find = |list: &[(&'static str, Printed)], name: &str| {
        list.iter().find(|(n, _)| *n == name).map_or_else(Printed::default, |(_, p)| p.clone())
    };
    let mut list = vec![("name", Printed::text(note.name.value.clone()))];
    list.extend(["abv", "sugar", "acid"].map(|name| (name, find(&balance, name))));
    list.extend(["brix", "volume", "mass", "freezing"].map(|name| (name, find(&batch, name))));
    if let Some(keep) = note.keeps.first() {
        list.push(("keeps", time(keep.hours)));
    }
    if let Some(served) = &made.served {
        let count = served.count.to_string();
        list.push(("serves", Printed::of(count.clone(), Kind::Amount { value: count, unit: "serves".into() })));
        // A glass stays a glass, however large the batch.
        let volume = Printed::text(find(&glass, "volume").text);
        list.push(("serve_volume", volume));
        list.push(("serve_abv", find(&glass, "abv")));
    }
    list
}

pub(super) fn of_mixture(m: &Mixture) -> Vec<(&'static str, Printed)> {
    vec![
        ("abv", figure(m.figure_abv(), |v| fixed(show::strength(v), "%"))),
        ("sugar", figure(m.figure_sugar_per_100ml(), |v| fixed(show::sugar(v), "g/100 ml"))),
        ("acid", figure(m.figure_acid_per_100ml(), |v| fixed(show::acid(v), "g/100 ml"))),
        ("brix", figure(m.figure_brix(), |v| fixed(show::fixed(v, 1), "°Bx"))),
        ("volume", figure(m.figure_volume(), |v| amount(show::volume(v)))),
        ("mass", figure(m.figure_mass(), |v| amount(format!("{} g", show::amount(v))))),
        (
            "freezing",
            figure(m.figure_freezing(), |v| (show::temperature(v), Kind::Figure { value: show::fixed(v, 1) })),
        ),
    ]
}

/// What each pour prints, by its keys: amount as written, ml, oz, grams.
pub(super) type Pours = Vec<(String, [Option<Printed>; 4])>;

pub(super) fn pours(computed: &Computed, recipe: usize) -> Pours {
    let graph = &computed.graph;
    let node = &graph.nodes[recipe];
    let made = &computed.made[recipe];
    let oz = crate::measure::float(graph.notes.house.units.factor(Unit::Oz));
    let mix = node.mix.iter().zip(&made.pours).map(|pair| (pair, true));
    // What goes in last is per glass and does not grow with the batch.
    let finish = node.finish.iter().zip(&made.finish).map(|pair| (pair, false));
    let mut list = Vec::new();
    for ((pour, poured), grows) in mix.chain(finish) {
        let (Some(pour), Some(poured)) = (pour, poured) else { continue };
        let text = &pour.line.text.value;
        let end = text.len().saturating_sub(pour.line.name.value.len());
        let written = text.get(..end).unwrap_or("").trim().to_owned();
        let known = poured.mixture.figure_volume().is_ok();
        let measured = |(text, kind): (String, Kind)| {
            Printed::of(text, if grows && pour.line.role == Role::Mix { kind } else { Kind::Text })
        };
        let as_written = match &pour.line.amount {
            PourAmount::Measured { amount: a, high: None, times: None } => {
                let unit = a.unit.word_for(a.value).to_owned();
                (written.clone(), Kind::Amount { value: a.value.normalize().to_string(), unit })
            }
            PourAmount::Count(n) => {
                (written.clone(), Kind::Amount { value: n.normalize().to_string(), unit: String::new() })
            }
            PourAmount::PartOf { .. } => (text.split(',').next().unwrap_or(text).trim().to_owned(), Kind::Text),
            _ => (written.clone(), Kind::Text),
        };
        let forms = [
            (!written.is_empty()).then(|| measured(as_written)),
            known.then(|| measured(amount(show::volume(poured.ml)))),
            known.then(|| measured(amount(format!("{} oz", show::amount(poured.ml / oz))))),
            poured.grams.map(|g| measured(amount(format!("{} g", show::amount(g))))),
        ];
        list.push((key(&pour.name), forms.clone()));
        list.push((key(pour.line.name.value.split(',').next().unwrap_or("")), forms));
    }
    list
}

/// What each process prints, by the name of its stage: its time and its temperature.
pub(super) fn processes(computed: &Computed, recipe: usize) -> Vec<(String, [Option<Printed>; 2])> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    let lines = computed.graph.nodes[recipe].process.iter();
    lines
        .map(|step| {
            let name = step.line.process.name();
            let count = counts.entry(name).or_default();
            *count += 1;
            let name = if *count == 1 { name.to_owned() } else { format!("{name}-{count}") };
            let mut hours = None;
            let mut degrees = None;
            for (parameter, _, value) in &step.line.parameters {
                match value {
                    ParameterValue::Time(h) => hours = Some(hours.unwrap_or(0.0) + h),
                    ParameterValue::Temperature(c) if matches!(*parameter, "to" | "at") => degrees = Some(*c),
                    _ => {}
                }
            }
            let warmth = |c: f64| Printed::of(show::temperature(c), Kind::Figure { value: show::fixed(c, 1) });
            (name, [hours.map(time), degrees.map(warmth)])
        })
        .collect()
}

fn figure(value: Figure, show: impl Fn(f64) -> (String, Kind)) -> Printed {
    match value {
        Ok(v) => {
            let (text, kind) = show(v);
            Printed::of(text, kind)
        }
        Err(because) => Printed::text(format!("unknown, because {}", because.short())),
    }
}

/// A figure with its unit behind it.
fn fixed(text: String, unit: &str) -> (String, Kind) {
    (format!("{text} {unit}"), Kind::Figure { value: text })
}

/// An amount whose words are the number and the unit.
fn amount(words: String) -> (String, Kind) {
    let kind = match words.split_once(' ') {
        Some((value, unit)) if !value.is_empty() && value.bytes().all(|b| b.is_ascii_digit() || b == b'.') => {
            Kind::Amount { value: value.to_owned(), unit: unit.to_owned() }
        }
        _ => Kind::Text,
    };
    (words, kind)
}

fn time(hours: f64) -> Printed {
    Printed::of(show::hours(hours), Kind::Time(libm::round(hours * 3600.0).max(0.0) as u64))
}
