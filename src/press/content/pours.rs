//! The spec: pours in two systems of units, aligned on their decimal point.

use serde_json::{Value, json};

use super::figures::id;
use crate::measure::{Unit, show};
use crate::notebook::pour::{PourLine, Role};
use crate::press::amount::{Amount, amounts, behind, manner, taken_in, words};
use crate::press::publication::Publication;
use crate::press::words::filled;
use crate::recipe::graph::Pour;
use crate::recipe::run::Poured;

fn decimals(value: &str) -> Option<usize> {
    let all_digits = value.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    (all_digits && !value.is_empty()).then(|| value.split_once('.').map_or(0, |(_, d)| d.len()))
}

/// A pour of the spec: what it means if it could be read, its line, what it came to, and the small words before its name.
type Row<'a> = (Option<&'a Pour>, &'a PourLine, Option<&'a Poured>, &'a str);

/// The amounts of pours, one a view.
fn amounts_of(site: &Publication<'_>, pours: &[Row<'_>]) -> Vec<Vec<Amount>> {
    let views = site.views();
    pours
        .iter()
        .map(|(pour, line, poured, _)| match pour {
            Some(pour) => amounts(site.house(), pour, *poured, &views),
            None => vec![words(line.text.value.as_str()); views.len()],
        })
        .collect()
}

/// A group of pours with their decimal points under each other; `widest` is the longest fraction of each view in the whole spec.
fn group(site: &Publication<'_>, title: Option<String>, pours: &[Row<'_>], widest: &[usize]) -> Value {
    let all = amounts_of(site, pours);
    let rows: Vec<Value> = pours
        .iter()
        .zip(&all)
        .map(|((pour, line, _, manner), amounts)| {
            let amounts: Vec<Value> = amounts
                .iter()
                .zip(widest)
                .map(|(amount, widest)| {
                    let pad = decimals(&amount.value).map_or(String::new(), |own| match (own, widest - own) {
                        (_, 0) => String::new(),
                        (0, n) => format!(".{}", "0".repeat(n)),
                        (_, n) => "0".repeat(n),
                    });
                    let machine = decimals(&amount.value).map(|_| amount.value.clone());
                    json!({
                        "value": (!amount.value.is_empty()).then_some(&amount.value),
                        "unit": site.phrase(&amount.unit), "pad": pad, "machine": machine, "lead": amount.lead.map(|l| site.phrase(l)),
                    })
                })
                .collect();
            let mut marks = Vec::new();
            if line.hold {
                marks.push(json!({ "kind": "hold", "word": site.say("mark.hold") }));
            }
            if line.to_taste_when_scaled {
                marks.push(json!({ "kind": "taste", "word": site.say("mark.taste") }));
            }
            let (mut name, mut href, mut preparation) = (line.name.value.clone(), None, None);
            if let Some(pour) = pour {
                if pour.assumed.is_some() {
                    marks.push(
                        json!({ "kind": "assumed", "word": site.say("mark.assumed"), "assumption": id("assumed", &line.text.value) }),
                    );
                }
                let (n, h) = site.target(pour.target);
                (name, href, preparation) = (n, h, behind(pour));
            }
            let manner = if manner.is_empty() { String::new() } else { site.phrase(manner) };
            let manner = if line.foam { format!("{manner} {}", site.say("spec.foam_of")) } else { manner };
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
pub(in crate::press) fn spec(site: &Publication<'_>, recipe: usize) -> Value {
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
    let all: Vec<Vec<Amount>> = [amounts_of(site, &mix), amounts_of(site, &glass)].concat();
    let widest: Vec<usize> = (0..site.views().len())
        .map(|view| all.iter().filter_map(|a| decimals(&a[view].value)).max().unwrap_or(0))
        .collect();
    let mut groups = vec![group(site, None, &mix, &widest)];
    if !glass.is_empty() {
        groups.push(group(site, Some(site.say("spec.in_the_glass")), &glass, &widest));
    }
    let mut serving = Vec::new();
    if let Some(glass) = &note.serve.glass {
        serving.push(json!({ "word": site.say("spec.glass"), "text": glass.value }));
    }
    if let Some(ice) = &note.serve.ice {
        serving.push(json!({ "word": site.say("spec.ice"), "text": site.phrase(&ice.value) }));
    }
    if let Some(served) = &made.served
        && let Some(ml) = served.pour_ml
    {
        serving.push(json!({ "word": site.say("spec.pour"), "text": site.words.with("spec.of_batch", &[("ml", &show::amount(ml))]) }));
    }
    let basis = made.served.as_ref().and_then(|served| {
        let ml = served.pour_ml?;
        made.batch().mixture.figure_volume().ok()?;
        let key = if served.count == 1 { "spec.fills_one" } else { "spec.fills_other" };
        Some(site.words.with(key, &[("n", &served.count.to_string()), ("ml", &show::amount(ml))]))
    });
    let basis = basis.or_else(|| {
        let volume = made.batch().mixture.figure_volume().ok().filter(|_| made.served.is_none())?;
        Some(site.words.with("spec.makes", &[("volume", &show::volume(volume))]))
    });
    let views: Vec<&str> = site.views().iter().map(|u| u.word()).collect();
    json!({ "basis": basis, "views": views, "groups": groups, "serving": serving })
}

/// A process line in words: its parameters as written.
pub(in crate::press) fn process_words(site: &Publication<'_>, recipe: usize) -> Vec<Value> {
    let note = site.note(recipe);
    let text = &site.computed.graph.notes.sources;
    let first = site.views().first().copied().unwrap_or(Unit::Ml);
    let taken = taken_in(site.computed, recipe, &[first]);
    note.process
        .iter()
        .enumerate()
        .map(|(index, line)| {
            let mut words: Vec<String> = line
                .parameters
                .iter()
                .map(|(key, span, _)| {
                    let value = text.text(*span).trim().trim_matches(['"', '\'']);
                    let value = value.trim_matches(['{', '}', '[', ']']).trim();
                    parameter_words(site, key, value)
                })
                .collect();
            // What it works out itself, so that nobody has to look for it among the stages.
            for taken in taken.iter().filter(|t| t.step == index) {
                let amount = taken.amounts.first().map_or(String::new(), Amount::line);
                words.push(format!("{} {}", amount.replace(' ', "\u{a0}"), taken.name));
            }
            let text = if words.is_empty() { site.say("parameter.as_method") } else { words.join(", ") };
            json!({ "name": site.phrase(line.process.name()), "text": text })
        })
        .collect()
}

/// A parameter in words; one that has none shows its name.
fn parameter_words(site: &Publication<'_>, key: &str, value: &str) -> String {
    let key = match (key, value) {
        ("passes", "1") => "passes_one",
        ("cartridges", "1") => "cartridges_one",
        (key, _) => key,
    };
    match site.words.find(&format!("parameter.{key}")) {
        Some(text) => filled(text, &[("value", value)]),
        None => format!("{} {value}", key.replace('_', " ")),
    }
}
