//! The spec: pours in two systems of units, aligned on their decimal point.

use rust_decimal::Decimal;
use serde_json::{Value, json};

use super::Site;
use super::view::id;
use crate::measure::{Unit, show};
use crate::notebook::pour::{PourAmount, PourLine, Role};
use crate::recipe::graph::{Measure, Pour};
use crate::recipe::run::Poured;

/// One amount in one view.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Amount {
    value: String,
    unit: String,
    lead: Option<&'static str>,
}

/// Measures that a bartender keeps in any system.
fn kept(unit: Unit) -> bool {
    matches!(unit, Unit::Dash | Unit::Barspoon | Unit::Drop | Unit::Splash)
}

fn words(text: &str) -> Amount {
    Amount { value: String::new(), unit: text.to_owned(), lead: None }
}

/// Millilitres in a unit of a view.
fn in_unit(site: &Site<'_>, ml: Decimal, unit: Unit) -> (String, &'static str) {
    let value = ml / site.house().units.factor(unit);
    let decimals = if unit == Unit::Oz || value < Decimal::TEN { 2 } else { 1 };
    (show::decimal(value, decimals), unit.word_for(value))
}

fn amounts(site: &Site<'_>, pour: &Pour, poured: Option<&Poured>, views: &[Unit]) -> Vec<Amount> {
    let per_view = |ml: Decimal, lead: Option<&'static str>| -> Vec<Amount> {
        views
            .iter()
            .map(|view| {
                let (value, unit) = in_unit(site, ml, *view);
                Amount { value, unit: unit.into(), lead }
            })
            .collect()
    };
    let computed = |what: &str| -> Vec<Amount> {
        match poured {
            Some(p) if p.mixture.figure_volume().is_ok() => {
                let ml = Decimal::try_from(p.ml).unwrap_or_default();
                per_view(ml, None)
            }
            _ => vec![words(what); views.len()],
        }
    };
    let same = |amount: Amount| vec![amount; views.len()];
    match (&pour.line.amount, &pour.measure) {
        (PourAmount::Measured { amount, high, times }, measure) => {
            let (low, unit) = (amount.value, amount.unit);
            if let Measure::Mass(grams) = measure {
                return same(Amount { value: show::decimal(*grams, 3), unit: "g".into(), lead: None });
            }
            if let Some(high) = high {
                let value = format!("{}–{}", low.normalize(), high.normalize());
                return same(Amount { value, unit: unit.word_for(*high).into(), lead: None });
            }
            if let Some(times) = times {
                let value = format!("{} × {}", times.normalize(), low.normalize());
                return same(Amount { value, unit: unit.word_for(low).into(), lead: None });
            }
            if kept(unit) {
                return same(Amount { value: show::decimal(low, 2), unit: unit.word_for(low).into(), lead: None });
            }
            match measure {
                Measure::Volume(ml) => per_view(*ml, None),
                _ => computed("as written"),
            }
        }
        (_, Measure::UpTo(ml)) => per_view(*ml, Some("to")),
        (PourAmount::Few(unit), _) => same(words(&format!("a few {}", unit.word_for(Decimal::TWO)))),
        (PourAmount::ToTaste, _) => same(words("to taste")),
        (PourAmount::Bare, _) => same(words(match pour.line.role {
            Role::Float => "a float",
            Role::Rinse => "a rinse",
            Role::Top | Role::Mix => "to the top",
        })),
        (PourAmount::Half, Measure::Pieces { word, .. }) => {
            same(Amount { value: "½".into(), unit: word.clone().unwrap_or_default(), lead: None })
        }
        (_, Measure::Pieces { count, word, .. }) => {
            same(Amount { value: show::decimal(*count, 2), unit: word.clone().unwrap_or_default(), lead: None })
        }
        (_, Measure::Share(percent)) => match poured.and_then(|p| p.grams) {
            Some(grams) => same(Amount { value: show::trim(&show::fixed(grams, 2)), unit: "g".into(), lead: None }),
            None => same(Amount { value: show::decimal(*percent, 3), unit: "%".into(), lead: None }),
        },
        (_, Measure::Parts(parts)) => {
            let word = if *parts == Decimal::ONE { "part" } else { "parts" };
            match poured {
                Some(_) => computed(word),
                None => same(Amount { value: show::decimal(*parts, 2), unit: word.into(), lead: None }),
            }
        }
        (PourAmount::PartOf { .. }, _) => computed("as it gives"),
        (_, _) => computed("as written"),
    }
}

/// What is said behind the name: the preparation, and what the amount was written as where another one is shown.
fn behind(pour: &Pour) -> Option<String> {
    let written = match &pour.line.amount {
        PourAmount::PartOf { part, pieces } => {
            let fruit = pour.line.name.value.split(',').next().unwrap_or("").trim();
            Some(format!("{part} of {} {fruit}", pieces.normalize()))
        }
        PourAmount::Share(percent) => Some(format!("{} % of the liquid’s mass", percent.normalize())),
        PourAmount::Parts(parts) => {
            Some(format!("{} {}", parts.normalize(), if *parts == Decimal::ONE { "part" } else { "parts" }))
        }
        _ => None,
    };
    let list: Vec<String> = [written, pour.preparation.clone()].into_iter().flatten().collect();
    (!list.is_empty()).then(|| list.join(", "))
}

fn decimals(value: &str) -> Option<usize> {
    let all_digits = value.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    (all_digits && !value.is_empty()).then(|| value.split_once('.').map_or(0, |(_, d)| d.len()))
}

/// A group of pours with their decimal points under each other.
fn group(site: &Site<'_>, title: Option<&str>, pours: &[(Option<&Pour>, &PourLine, Option<&Poured>, &str)]) -> Value {
    let views = site.views();
    let all: Vec<Vec<Amount>> = pours
        .iter()
        .map(|(pour, line, poured, _)| match pour {
            Some(pour) => amounts(site, pour, *poured, &views),
            None => vec![words(line.text.value.as_str()); views.len()],
        })
        .collect();
    let widest: Vec<usize> =
        (0..views.len()).map(|v| all.iter().filter_map(|a| decimals(&a[v].value)).max().unwrap_or(0)).collect();
    let rows: Vec<Value> = pours
        .iter()
        .zip(&all)
        .map(|((pour, line, _, manner), amounts)| {
            let amounts: Vec<Value> = amounts
                .iter()
                .zip(&widest)
                .map(|(amount, widest)| {
                    let pad = decimals(&amount.value).map_or(String::new(), |own| match (own, widest - own) {
                        (_, 0) => String::new(),
                        (0, n) => format!(".{}", "0".repeat(n)),
                        (_, n) => "0".repeat(n),
                    });
                    let machine = decimals(&amount.value).map(|_| amount.value.clone());
                    json!({
                        "value": (!amount.value.is_empty()).then_some(&amount.value),
                        "unit": amount.unit, "pad": pad, "machine": machine, "lead": amount.lead,
                    })
                })
                .collect();
            let mut marks = Vec::new();
            if line.hold {
                marks.push(json!({ "kind": "hold", "word": "hold" }));
            }
            if line.to_taste_when_scaled {
                marks.push(json!({ "kind": "taste", "word": "taste" }));
            }
            let (mut name, mut href, mut preparation) = (line.name.value.clone(), None, None);
            if let Some(pour) = pour {
                if pour.assumed.is_some() {
                    marks.push(
                        json!({ "kind": "assumed", "word": "assumed", "assumption": id("assumed", &line.text.value) }),
                    );
                }
                let (n, h) = site.target(pour.target);
                (name, href, preparation) = (n, h, behind(pour));
            }
            let manner = if line.foam { format!("{manner} foam of") } else { (*manner).to_owned() };
            let manner = manner.trim().to_owned();
            let note = line.note.as_ref().filter(|_| site.is_house());
            json!({
                "name": name, "href": href, "amounts": amounts, "preparation": preparation, "marks": marks,
                "manner": (!manner.is_empty()).then_some(manner), "note": note,
            })
        })
        .collect();
    json!({ "title": title, "pours": rows })
}

/// The spec of a recipe.
pub(super) fn spec(site: &Site<'_>, recipe: usize) -> Value {
    let note = site.note(recipe);
    let node = &site.computed.graph.nodes[recipe];
    let made = &site.computed.made[recipe];
    let mut mix = Vec::new();
    let mut glass = Vec::new();
    for ((pour, line), poured) in node.mix.iter().zip(&note.mix).zip(&made.pours) {
        let manner = match line.role {
            Role::Mix => "",
            Role::Top => "top with",
            Role::Float => "float",
            Role::Rinse => "rinse with",
        };
        let row = (pour.as_ref(), line, poured.as_ref(), manner);
        if line.role == Role::Mix { mix.push(row) } else { glass.push(row) }
    }
    for ((pour, line), index) in node.finish.iter().zip(&note.serve.finish).zip(0..) {
        glass.push((pour.as_ref(), line, made.finish.get(index).and_then(Option::as_ref), "finish with"));
    }
    let mut groups = vec![group(site, None, &mix)];
    if !glass.is_empty() {
        groups.push(group(site, Some("In the glass"), &glass));
    }
    let mut serving = Vec::new();
    if let Some(glass) = &note.serve.glass {
        serving.push(json!({ "word": "glass", "text": glass.value }));
    }
    if let Some(ice) = &note.serve.ice {
        serving.push(json!({ "word": "ice", "text": ice.value }));
    }
    if let Some(served) = &made.served
        && let Some(ml) = served.pour_ml
    {
        serving.push(json!({ "word": "pour", "text": format!("{} ml of the finished batch", show::amount(ml)) }));
    }
    let basis = made.served.as_ref().and_then(|served| {
        let ml = served.pour_ml?;
        made.batch().mixture.figure_volume().ok()?;
        let glasses = if served.count == 1 { "glass" } else { "glasses" };
        Some(format!("One batch fills {} {glasses} of {} ml.", served.count, show::amount(ml)))
    });
    let basis = basis.or_else(|| {
        let volume = made.batch().mixture.figure_volume().ok().filter(|_| made.served.is_none())?;
        Some(format!("Makes {}.", show::volume(volume)))
    });
    let views: Vec<&str> = site.views().iter().map(|u| u.word()).collect();
    json!({ "basis": basis, "views": views, "groups": groups, "serving": serving })
}

/// A process line in words: its parameters as written.
pub(super) fn process_words(site: &Site<'_>, recipe: usize) -> Vec<Value> {
    let note = site.note(recipe);
    let text = &site.computed.graph.notes.sources;
    note.process
        .iter()
        .map(|line| {
            let words: Vec<String> = line
                .parameters
                .iter()
                .map(|(key, span, _)| {
                    let value = text.text(*span).trim().trim_matches(['"', '\'']);
                    let value = value.trim_matches(['{', '}', '[', ']']).trim();
                    parameter_words(key, value)
                })
                .collect();
            let text = if words.is_empty() { "as the method says".to_owned() } else { words.join(", ") };
            json!({ "name": line.process.name(), "text": text })
        })
        .collect()
}

fn parameter_words(key: &str, value: &str) -> String {
    match key {
        "dilution" => format!("{value} water added"),
        "from" => format!("from {value}"),
        "to" => format!("to {value}"),
        "for" => format!("for {value}"),
        "at" => format!("at {value}"),
        "ice" => format!("ice at {value}"),
        "with" => format!("with {value}"),
        "of" => value.to_owned(),
        "add" => format!("add {value}"),
        "as" => format!("as much as {value} would add"),
        "milk" => value.to_owned(),
        "rest" => format!("rest {value}"),
        "drip" => format!("drip {value}"),
        "passes" => format!("{value} {}", if value == "1" { "pass" } else { "passes" }),
        "recovers" => format!("{value} comes through"),
        "absorbs" => format!("{value} stays in the solids"),
        "dose" => format!("dose {value}"),
        "reduce_to" => format!("reduce to {value}"),
        "like" => format!("as sour as {value}"),
        "volumes" => format!("{value} volumes"),
        "bar" => format!("{value} bar"),
        "siphon" => format!("siphon of {value}"),
        "gas" => value.to_owned(),
        "cartridges" => format!("{value} {}", if value == "1" { "cartridge" } else { "cartridges" }),
        "cartridge" => format!("of {value}"),
        "overrun" => format!("foam {value} times the liquid"),
        "size" => format!("bottles of {value}"),
        "in" => format!("in {value}"),
        "closed" => value.to_owned(),
        "headspace" => format!("{value} headspace"),
        other => format!("{other} {value}"),
    }
}
