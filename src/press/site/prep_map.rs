//! The prep map: which component must exist before which, as a drawing in columns and as a table.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use crate::measure::show;
use crate::notebook::recipe_note::Makes;
use crate::press::content::stages::coordinate;
use crate::press::publication::Publication;
use crate::recipe::names::key;

const BOX: f64 = 190.0;
const HIGH: f64 = 34.0;
const GAP: f64 = 10.0;
const CHANNEL: f64 = 90.0;
const TOP: f64 = 34.0;
/// Width of a letter of the drawing's type, for names that do not fit their box. An estimate: the reader's fonts differ.
const LETTER: f64 = 8.4;

struct Placed {
    recipe: usize,
    column: usize,
    row: usize,
}

/// What a shown recipe is made of, as far as it is shown.
fn used(site: &Publication<'_>, recipe: usize) -> Vec<usize> {
    site.computed.graph.nodes[recipe].uses.iter().copied().filter(|u| site.shows(*u)).collect()
}

fn users(site: &Publication<'_>, recipe: usize) -> Vec<usize> {
    site.computed.graph.nodes[recipe].used_by.iter().copied().filter(|u| site.shows(*u)).collect()
}

/// Components that something uses, and what uses them, in columns: what needs nothing stands first, drinks last.
fn place(site: &Publication<'_>) -> Vec<Placed> {
    let involved: Vec<usize> = site
        .computed
        .graph
        .order
        .iter()
        .copied()
        .filter(|r| site.shows(*r) && !(used(site, *r).is_empty() && users(site, *r).is_empty()))
        .collect();
    let mut depth: BTreeMap<usize, usize> = BTreeMap::new();
    // The graph's order has every component before what uses it.
    for recipe in &involved {
        let deepest = used(site, *recipe).iter().filter_map(|u| depth.get(u)).max().map_or(0, |d| d + 1);
        depth.insert(*recipe, deepest);
    }
    let last = involved.iter().filter(|r| site.note(**r).makes == Makes::Prep).filter_map(|r| depth.get(r)).max();
    let last = last.map_or(1, |d| d + 1);
    for recipe in &involved {
        if site.note(*recipe).makes == Makes::Drink {
            depth.entry(*recipe).and_modify(|d| *d = last.max(*d));
        }
    }
    let mut columns: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (recipe, column) in &depth {
        columns.entry(*column).or_default().push(*recipe);
    }
    for recipes in columns.values_mut() {
        recipes.sort_by_key(|r| (key(&site.note(*r).name.value), *r));
    }
    // Twice over: each column takes the order of the middle of what it is joined to, so that fewer channels cross.
    for pass in 0..4 {
        let rows: BTreeMap<usize, f64> =
            columns.values().flat_map(|c| c.iter().enumerate().map(|(i, r)| (*r, i as f64 / c.len() as f64))).collect();
        for recipes in columns.values_mut() {
            let middle = |r: &usize| {
                let joined = if pass % 2 == 0 { used(site, *r) } else { users(site, *r) };
                let at: Vec<f64> = joined.iter().filter_map(|j| rows.get(j).copied()).collect();
                if at.is_empty() {
                    rows.get(r).copied().unwrap_or(0.0)
                } else {
                    at.iter().sum::<f64>() / at.len() as f64
                }
            };
            recipes.sort_by(|a, b| middle(a).total_cmp(&middle(b)).then(a.cmp(b)));
        }
    }
    columns
        .into_iter()
        .flat_map(|(column, recipes)| {
            recipes.into_iter().enumerate().map(move |(row, recipe)| Placed { recipe, column, row })
        })
        .collect()
}

/// What the template `prep-map.html` gets.
pub(super) fn page(site: &Publication<'_>) -> Value {
    let placed = place(site);
    let title = site.say("prep_map.title");
    let line = site.say("prep_map.line");
    if placed.is_empty() {
        return json!({ "title": title, "line": line, "width": null });
    }
    let columns = placed.iter().map(|p| p.column).max().unwrap_or(0) + 1;
    let tallest = placed.iter().map(|p| p.row).max().unwrap_or(0) + 1;
    let height = TOP + tallest as f64 * (HIGH + GAP);
    let mut counts: BTreeMap<usize, usize> = BTreeMap::new();
    for p in &placed {
        *counts.entry(p.column).or_default() += 1;
    }
    let x = |column: usize| column as f64 * (BOX + CHANNEL);
    // Shorter columns stand in the middle.
    let y = |p: &Placed| {
        let own = counts.get(&p.column).copied().unwrap_or(1);
        TOP + (tallest - own) as f64 * (HIGH + GAP) / 2.0 + p.row as f64 * (HIGH + GAP)
    };
    let at: BTreeMap<usize, (f64, f64)> = placed.iter().map(|p| (p.recipe, (x(p.column), y(p)))).collect();
    let mut edges = Vec::new();
    for p in &placed {
        let (to_x, to_y) = at[&p.recipe];
        for used in used(site, p.recipe) {
            let Some((from_x, from_y)) = at.get(&used).copied() else { continue };
            let (a, b) = (from_x + BOX, from_y + HIGH / 2.0);
            let end = to_y + HIGH / 2.0;
            let bend = CHANNEL / 2.0;
            let n = |v: f64| coordinate(v).to_string();
            edges.push(json!({ "d": format!("M{} {}C{} {} {} {} {} {}", n(a), n(b), n(a + bend), n(b), n(to_x - bend), n(end), n(to_x), n(end)) }));
        }
    }
    let nodes: Vec<Value> = placed
        .iter()
        .map(|p| {
            let note = site.note(p.recipe);
            let (x, y) = at[&p.recipe];
            let long = note.name.value.chars().count() as f64 * LETTER > BOX - 24.0;
            json!({
                "x": coordinate(x), "y": coordinate(y), "width": BOX, "name": note.name.value,
                "drink": note.makes == Makes::Drink, "squeeze": long.then_some(BOX - 24.0),
            })
        })
        .collect();
    let heads: Vec<Value> = (0..columns)
        .map(|column| {
            let label = match column {
                0 => site.say("prep_map.first"),
                c if c + 1 == columns => site.say("prep_map.last"),
                _ => site.say("prep_map.then"),
            };
            json!({ "x": coordinate(x(column)), "label": label })
        })
        .collect();
    let mut rows: Vec<usize> = placed.iter().map(|p| p.recipe).filter(|r| site.note(*r).makes == Makes::Prep).collect();
    let depth: BTreeMap<usize, usize> = placed.iter().map(|p| (p.recipe, p.column)).collect();
    rows.sort_by_key(|r| (depth.get(r).copied(), key(&site.note(*r).name.value), *r));
    let name = |r: &usize| {
        let (name, href) = site.name_and_link(*r);
        json!({ "name": name, "href": href })
    };
    let rows: Vec<Value> = rows
        .iter()
        .map(|r| {
            let mut row = name(r);
            let keeps = site.note(*r).keeps.first();
            let keeps = keeps.map_or("–".to_owned(), |k| {
                let at = k.at_c.map_or(String::new(), |c| format!(", {}", show::temperature(c)));
                format!("{}{at}", show::hours(k.hours)).replace(' ', "\u{a0}")
            });
            if let Some(map) = row.as_object_mut() {
                map.insert("needs".into(), used(site, *r).iter().map(name).collect());
                map.insert("feeds".into(), users(site, *r).iter().map(name).collect());
                map.insert("keeps".into(), json!(keeps));
            }
            row
        })
        .collect();
    json!({
        "title": title, "line": line,
        "text": site.words.with("prep_map.text", &[("n", &nodes.len().to_string())]),
        "width": coordinate(x(columns - 1) + BOX + 2.0), "height": coordinate(height),
        "columns": heads, "edges": edges, "nodes": nodes, "rows": rows,
    })
}
