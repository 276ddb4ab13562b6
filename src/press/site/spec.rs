//! The spec: pours in two systems of units, aligned on their decimal point.

use serde_json::{Value, json};

use super::Site;
use super::view::id;
use crate::measure::show;
use crate::notebook::pour::{PourLine, Role};
use crate::press::amount::{Amount, amounts, behind, manner, words};
use crate::recipe::graph::Pour;
use crate::recipe::run::Poured;

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
            Some(pour) => amounts(site.house(), pour, *poured, &views),
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
        let row = (pour.as_ref(), line, poured.as_ref(), manner(line, false).unwrap_or(""));
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
