//! A recipe in its usual sizes: a table for paper, and for a page where no script runs.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use crate::ask::batch::document::{Amount, PourAnswer};
use crate::ask::batch::plan::{Line, Place};
use crate::ask::batch::{Answer, Request, Scaling, Size};
use crate::measure::tool::View;
use crate::measure::{Exact, Unit, show};
use crate::mixture::Mixture;
use crate::press::publication::Publication;
use crate::recipe::names::Target;

/// Serves of the table, for what is poured from a batch.
const BATCHES: [u64; 4] = [10, 20, 50, 100];
/// Serves of the table, for what is made one by one.
const DRINKS: [u64; 4] = [2, 4, 8, 16];
/// Millilitres of the table, for a prep.
const PREPS: [u64; 4] = [250, 500, 1000, 2000];

/// A recipe that can be scaled; `None` without pours, or where one of them could not be read.
pub(in crate::press) fn whole<'a>(
    site: &'a Publication<'_>,
    recipe: usize,
    facts: &'a BTreeMap<Target, Mixture>,
) -> Option<Scaling<'a>> {
    let scaling = Scaling::new(site.computed, recipe, facts, !site.is_house());
    let plan = &scaling.tree.plans[&recipe];
    // Without all of its pours a scaled recipe would be another one.
    (!plan.lines.is_empty() && plan.missing.is_empty()).then_some(scaling)
}

/// A recipe in its usual sizes, in the units that the house shows first.
#[cfg_attr(not(feature = "pdf"), allow(dead_code))]
pub(in crate::press) fn first(site: &Publication<'_>, recipe: usize) -> Option<Value> {
    let facts = BTreeMap::new();
    tables(site, &whole(site, recipe, &facts)?).into_iter().next()
}

/// The same in each of the units that the house shows.
/// Usual sizes in the house's units, the first of them open.
pub(in crate::press) fn tables(site: &Publication<'_>, scaling: &Scaling<'_>) -> Vec<Value> {
    let plan = &scaling.tree.plans[&scaling.tree.top];
    let sizes: Vec<(String, Size)> = if !plan.drink {
        PREPS.iter().map(|ml| (show::volume(*ml as f64), Size::Makes(Exact::whole(*ml)))).collect()
    } else {
        let serves = if plan.glass.is_some() { BATCHES } else { DRINKS };
        serves
            .iter()
            .map(|n| (site.words.with("scale.n_serves", &[("n", &n.to_string())]), Size::Serves(Exact::whole(*n))))
            .collect()
    };
    let mut views: Vec<View> =
        site.house().show.iter().map(|u| if *u == Unit::Oz { View::Ounces } else { View::Metric }).collect();
    views.dedup();
    views
        .into_iter()
        .filter_map(|view| {
            let columns: Vec<(&str, Answer)> = sizes
                .iter()
                .filter_map(|(label, size)| {
                    let request = Request { size: size.clone(), view, amounts_only: true, ..Request::default() };
                    let answer = scaling.ask(&Request { public: !site.is_house(), ..request }).ok()?.0;
                    answer.factor.is_some().then_some((label.as_str(), answer))
                })
                .collect();
            let rows: Vec<Value> = plan
                .lines
                .iter()
                .enumerate()
                .map(|(i, line)| {
                    let cells = columns.iter().map(|(_, a)| a.pours.get(i).map_or_else(String::new, |p| cell(site, p)));
                    json!({ "name": line.name, "beside": beside(site, line), "cells": cells.collect::<Vec<_>>() })
                })
                .collect();
            let unit = if view == View::Metric { "ml" } else { "oz" };
            (!columns.is_empty()).then(|| {
                json!({
                    "unit": unit,
                    "caption": site.words.with("scale.usual", &[("unit", unit)]),
                    "title": site.words.with("scale.usual_in", &[("unit", unit)]),
                    "columns": columns.iter().map(|(label, _)| label).collect::<Vec<_>>(), "rows": rows,
                })
            })
        })
        .collect()
}

/// What is said beside a line.
fn beside(site: &Publication<'_>, line: &Line) -> Option<String> {
    match (&line.place, line.per_glass) {
        (_, true) => Some(site.say("scale.glass")),
        (Place::Step(stage), _) => Some(site.words.with("scale.at", &[("stage", stage)])),
        _ if line.taste => Some(site.say("scale.to_taste")),
        _ => None,
    }
}

fn cell(site: &Publication<'_>, pour: &PourAnswer) -> String {
    amount(site, pour.per_glass.as_ref().map_or(&pour.measure, |g| &g.measure))
}

/// As the tool shows it, its unit held to it.
fn amount(site: &Publication<'_>, amount: &Amount) -> String {
    let many = amount.amount > Exact::one();
    let key = format!("scale.{}_{}", amount.unit, if many { "other" } else { "one" });
    let unit = match site.words.find(&key) {
        Some(word) => word.to_owned(),
        None if many && Unit::from_word(&amount.unit).is_none() && !amount.unit.ends_with('s') => {
            format!("{}s", amount.unit)
        }
        None => amount.unit.clone(),
    };
    format!("{}\u{a0}{unit}", amount.amount.rounded(4))
}
