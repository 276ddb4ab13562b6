//! The page of one ingredient, and the index of all.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use crate::ask::diet::of_item;
use crate::ask::substitute::substitutes;
use crate::measure::show;
use crate::notebook::fact::{Basis, Fact};
use crate::notebook::pantry::Form;
use crate::press::content::figures::{Origin, Shown, id, keeping};
use crate::press::publication::Publication;
use crate::recipe::pantry::Ingredient;

fn kind(site: &Publication<'_>, ingredient: &Ingredient) -> String {
    let what = ingredient.item.category.clone().unwrap_or_else(|| site.say("ingredient.kind"));
    let form = match ingredient.form {
        Form::Liquid => "ingredient.bought",
        Form::Solid => "ingredient.bought_weighed",
        Form::Piece => "ingredient.bought_counted",
    };
    site.words.with(form, &[("what", &what)])
}

/// Whose word a fact is. The house's own source is the house's own business; a published one may be named.
fn source(site: &Publication<'_>, ingredient: &Ingredient) -> Option<String> {
    let source = ingredient.item.source.clone()?;
    (site.is_house() || !ingredient.house).then(|| match &ingredient.item.how {
        Some(how) if !ingredient.house => format!("{source}. {how}"),
        _ => source,
    })
}

fn facts(site: &Publication<'_>, ingredient: &Ingredient) -> Vec<Value> {
    let item = &ingredient.item;
    let source = source(site, ingredient).unwrap_or_default();
    let solid = ingredient.form != Form::Liquid;
    let per = |fact: &Fact| match fact.basis {
        Basis::Mass => "g/100 g",
        Basis::Volume => "g/100 ml",
        Basis::Unstated if solid => "g/100 g",
        Basis::Unstated => "g/100 ml",
    };
    let trace = |fact: &Fact| if fact.basis == Basis::Mass { "mg/kg" } else { "mg/l" };
    let mut list = Vec::new();
    let mut add = |label: &str, fact: &Option<Fact>, unit: &dyn Fn(&Fact) -> &'static str, decimals: usize| {
        let shown = match fact {
            Some(fact) => {
                let digits = show::trim(&show::fixed(fact.value, decimals));
                let label = site.say(label);
                let shown = Shown::new(&label, Ok(digits.clone()), unit(fact), Origin::Written)
                    .with("machine", digits)
                    .with("source", source.clone());
                match fact.plus_minus.and_then(|w| show::plus_minus(w, decimals)) {
                    Some(width) => shown.with("plus_minus", format!("± {}", show::trim(&width))),
                    None => shown,
                }
            }
            None => Shown::new(&site.say(label), Err(site.say("ingredient.unstated")), "", Origin::Written),
        };
        list.push(shown.done());
    };
    if !solid || item.abv.is_some() {
        add("figure.strength", &item.abv, &|_| "% vol", 2);
    }
    match &item.brix {
        Some(_) => add("ingredient.brix", &item.brix, &|_| "°Bx", 2),
        None => add("figure.sugar", &item.sugar, &per, 2),
    }
    add("ingredient.acid", &item.acid, &per, 2);
    add("ingredient.fat", &item.fat, &per, 2);
    add("ingredient.protein", &item.protein, &per, 2);
    if item.solids.is_some() {
        add("ingredient.solids", &item.solids, &per, 2);
    }
    if item.density.is_some() || ingredient.form == Form::Solid {
        add(if solid { "ingredient.bulk_density" } else { "ingredient.density" }, &item.density, &|_| "g/ml", 3);
    }
    if item.sweetness.is_some() {
        add("ingredient.sweetness", &item.sweetness, &|_| "", 2);
    }
    if item.sulphites.is_some() || ingredient.sheet.bears_sulphites {
        add("ingredient.sulphites", &item.sulphites, &trace, 0);
    }
    if item.caffeine.is_some() || ingredient.sheet.bears_caffeine {
        add("ingredient.caffeine", &item.caffeine, &trace, 0);
    }
    list
}

fn portions(site: &Publication<'_>, ingredient: &Ingredient) -> Vec<Value> {
    let mut list = Vec::new();
    for (label, portion) in
        [("ingredient.one_piece", &ingredient.item.piece), ("ingredient.one_pack", &ingredient.item.pack)]
    {
        if let Some(portion) = portion {
            let label = portion
                .word
                .as_ref()
                .map_or_else(|| site.say(label), |w| site.words.with("ingredient.one", &[("what", w)]));
            let value = portion.amount.value.normalize().to_string();
            list.push(Shown::new(&label, Ok(value), portion.amount.unit.word(), Origin::Written).done());
        }
    }
    list
}

fn parts(site: &Publication<'_>, ingredient: &Ingredient) -> Option<Value> {
    let item = &ingredient.item;
    if item.parts.is_empty() && item.yields.is_empty() {
        return None;
    }
    let rows: Vec<Value> = item
        .parts
        .iter()
        .map(|(part, share, _)| {
            let pct = share * 100.0;
            json!({ "label": part, "value": show::trim(&show::fixed(pct, 1)), "unit": "%", "bar_width": crate::press::content::stages::coordinate(2.0 + share * 316.0) })
        })
        .collect();
    let yields: Vec<Value> = item
        .yields
        .iter()
        .map(|(what, y)| {
            let label =
                y.of.as_ref()
                    .map_or(what.clone(), |of| site.words.with("ingredient.of_the", &[("what", what), ("of", of)]));
            Shown::new(&label, Ok(show::trim(&show::fixed(y.share * 100.0, 1))), "%", Origin::Written).done()
        })
        .collect();
    Some(json!({ "basis": site.say("ingredient.by_mass"), "rows": rows, "yields": yields }))
}

fn buying(site: &Publication<'_>, ingredient: &Ingredient, currency: &str) -> Vec<Value> {
    let item = &ingredient.item;
    let mut list = Vec::new();
    for price in &item.prices {
        let label = price.date.map_or_else(
            || site.say("ingredient.price"),
            |d| site.words.with("ingredient.price_from", &[("date", &d.date().to_string())]),
        );
        list.push(Shown::new(&label, Ok(price.price.to_string()), currency, Origin::Written).done());
    }
    if let Some(supplier) = &item.supplier {
        list.push(Shown::new(&site.say("ingredient.supplier"), Ok(supplier.clone()), "", Origin::Written).done());
    }
    if ingredient.house
        && let Some(source) = &item.source
    {
        list.push(Shown::new(&site.say("ingredient.facts_from"), Ok(source.clone()), "", Origin::Written).done());
    }
    list
}

/// What the template `ingredient.html` gets.
pub(super) fn page(site: &Publication<'_>, index: usize) -> Value {
    let ingredient = &site.computed.graph.pantry.ingredients[index];
    let item = &ingredient.item;
    let used_by: Vec<Value> = site.users(index).into_iter().map(|r| site.row(r, None)).collect();
    let mut groups = vec![json!({ "title": site.say("ingredient.brings"), "figures": facts(site, ingredient) })];
    let portions = portions(site, ingredient);
    if !portions.is_empty() {
        groups.push(json!({ "title": site.say("ingredient.counted"), "figures": portions }));
    }
    let currency = site.house().money.currency.clone().unwrap_or_default();
    let also: Vec<&str> = item.also.iter().map(|a| a.value.as_str()).filter(|a| !a.contains(',')).collect();
    json!({
        "name": item.name.value,
        "index": { "name": site.say("ingredients.title"), "href": "ingredients/index.html" },
        "kind": kind(site, ingredient),
        "also": also,
        "headline": [],
        "facts": groups,
        "parts": parts(site, ingredient),
        "allergens": crate::press::content::figures::allergens(site, &of_item(&ingredient.item), &[]),
        "cautions": [],
        "reminders": [],
        "keeping": keeping(site, &item.keeps),
        "house": if site.is_house() { buying(site, ingredient, &currency) } else { Vec::new() },
        "assumptions": [],
        "used_by": used_by,
        "substitutes": near(site, index),
    })
}

/// Liquids near in strength, sugar and acid.
fn near(site: &Publication<'_>, index: usize) -> Option<Value> {
    let pantry = &site.computed.graph.pantry;
    let rows: Vec<Value> = substitutes(pantry, index, 5)
        .iter()
        .map(|near| {
            let other = &pantry.ingredients[near.ingredient];
            let [abv, sugar, acid] = near.figures;
            json!({
                "name": other.name(), "href": site.ingredient_href(near.ingredient), "line": other.item.category,
                "cells": [show::strength(abv), show::sugar(sugar), show::acid(acid)],
            })
        })
        .collect();
    let columns = json!([
        { "label": site.say("figure.strength"), "unit": "% vol" },
        { "label": site.say("figure.sugar"), "unit": "g/100 ml" },
        { "label": site.say("figure.acid"), "unit": "g/100 ml" },
    ]);
    (!rows.is_empty()).then(|| json!({ "columns": columns, "rows": rows }))
}

/// What the template `ingredients.html` gets.
pub(super) fn index(site: &Publication<'_>) -> Value {
    let mut letters: BTreeMap<String, Vec<Value>> = BTreeMap::new();
    let mut shown: Vec<usize> = site.ingredients.iter().copied().collect();
    let name = |i: usize| site.computed.graph.pantry.ingredients[i].name();
    shown.sort_by_key(|i| (crate::recipe::names::key(name(*i)), *i));
    for index in shown {
        let ingredient = &site.computed.graph.pantry.ingredients[index];
        let letter = crate::recipe::names::slug(ingredient.name())
            .chars()
            .next()
            .map_or("#".into(), |c| c.to_uppercase().to_string());
        let users = site.users(index).len();
        let measure = match &ingredient.item.abv {
            Some(abv) if abv.value > 0.0 => {
                json!({ "value": show::trim(&show::fixed(abv.value, 1)), "unit": "%\u{a0}vol" })
            }
            _ => json!({}),
        };
        let held: Vec<String> = ingredient.item.allergens.iter().flatten().map(|t| site.allergen(&t.value)).collect();
        let line = match users {
            0 => site.say("ingredients.unused"),
            n => site.words.count("ingredients.used", n),
        };
        let allergens = match &ingredient.item.allergens {
            None => Some(site.say("ingredients.unknown_line")),
            Some(_) if held.is_empty() => None,
            Some(_) => Some(site.words.with("allergens.contains_line", &[("names", &held.join(", "))])),
        };
        let row = json!({ "name": ingredient.name(), "href": site.ingredient_href(index), "measure": measure, "line": line, "allergens": allergens });
        letters.entry(letter).or_default().push(row);
    }
    let letters: Vec<Value> = letters
        .into_iter()
        .map(|(letter, rows)| json!({ "letter": letter, "id": id("letter", &letter), "rows": rows }))
        .collect();
    json!({ "title": site.say("ingredients.title"), "line": site.words.count("ingredients.line", site.ingredients.len()), "letters": letters })
}
