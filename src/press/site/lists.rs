//! Pages that list recipes: the front page, the chapters, the allergen matrix, the plain pages.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::view::id;
use super::{Site, text};
use crate::ask::diet::{DECLARED, Diet, NUTS, diet, word};
use crate::ask::prose::evaluate_all;
use crate::notebook::page::PageNote;
use crate::notebook::recipe_note::Makes;

/// Chapters in order, each with its recipes by name.
pub(in crate::press) fn chapters(site: &Site<'_>) -> BTreeMap<String, Vec<usize>> {
    let mut chapters: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for recipe in site.recipes() {
        chapters.entry(site.note(recipe).chapter.clone()).or_default().push(recipe);
    }
    for recipes in chapters.values_mut() {
        recipes.sort_by_key(|r| crate::recipe::names::key(&site.note(*r).name.value));
    }
    chapters
}

fn counted(site: &Site<'_>, recipes: &[usize]) -> String {
    let drinks = recipes.iter().filter(|r| site.note(**r).makes == Makes::Drink).count();
    let preps = recipes.len() - drinks;
    let many = |n: usize, one: &str| match n {
        0 => None,
        1 => Some(format!("1 {one}")),
        n => Some(format!("{n} {one}s")),
    };
    [many(drinks, "drink"), many(preps, "prep")].into_iter().flatten().collect::<Vec<_>>().join(" and ")
}

/// What the template `front.html` gets.
pub(super) fn front(site: &Site<'_>) -> Value {
    let notes = &site.computed.graph.notes;
    let about = notes.pages.iter().find(|p| p.path == "index" || p.path == "front");
    let html = about.map(|page| page_html(site, page, ""));
    let chapters: Vec<Value> = chapters(site)
        .iter()
        .map(|(chapter, recipes)| {
            json!({
                "id": id("chapter", &site.chapter_name(chapter)),
                "name": site.chapter_name(chapter),
                "href": site.chapter_href(chapter),
                "line": counted(site, recipes),
                "rows": recipes.iter().map(|r| site.row(*r, None)).collect::<Vec<_>>(),
            })
        })
        .collect();
    json!({
        "title": notes.house.name,
        "line": format!("{} recipes, every figure computed from what is poured.", site.recipes().count()),
        "html": html,
        "lookups": [
            { "word": "guests", "text": "What is in it? Allergens and diet", "href": "allergens.html" },
            { "word": "taste", "text": "Where does it stand? Balance map", "href": "balance-map.html" },
            { "word": "stock", "text": "What is it made of? Ingredients", "href": "ingredients/index.html" },
        ],
        "chapters": chapters,
    })
}

/// What the template `chapter.html` gets.
pub(super) fn chapter(site: &Site<'_>, chapter: &str, recipes: &[usize]) -> Value {
    let of = |makes: Makes| -> Vec<Value> {
        recipes.iter().filter(|r| site.note(**r).makes == makes).map(|r| site.row(*r, None)).collect()
    };
    let (drinks, preps) = (of(Makes::Drink), of(Makes::Prep));
    let mixed = !drinks.is_empty() && !preps.is_empty();
    let mut groups = Vec::new();
    for (rows, title, measure) in
        [(drinks, "Drinks", "Strength in the glass."), (preps, "Preps", "Dissolved sugar as made.")]
    {
        if !rows.is_empty() {
            groups.push(
                json!({ "title": mixed.then_some(title), "id": id("group", title), "measure": measure, "rows": rows }),
            );
        }
    }
    json!({ "name": site.chapter_name(chapter), "line": counted(site, recipes), "groups": groups })
}

fn page_html(site: &Site<'_>, page: &PageNote, root: &str) -> String {
    let body = site.computed.graph.notes.sources.text(page.body);
    let values = evaluate_all(site.computed, None, body, page.body);
    text::page(body, &page.title.value, &values, &|path| site.local_link(path).map(|l| format!("{root}{l}")))
}

/// What the template `page.html` gets.
pub(super) fn plain(site: &Site<'_>, page: &PageNote) -> Value {
    json!({ "title": page.title.value, "html": page_html(site, page, "../"), "terms": [] })
}

/// The state of one allergen in one recipe.
fn state(diet: &Diet, tag: &str) -> &'static str {
    if diet.contains.contains_key(tag) {
        "contains"
    } else if diet.may_contain.contains(tag) {
        "may"
    } else if diet.unknown.is_empty() {
        "none"
    } else {
        "unknown"
    }
}

fn state_word(state: &str) -> &'static str {
    match state {
        "contains" => "contains",
        "may" => "may contain",
        "unknown" => "unknown",
        _ => "none declared",
    }
}

/// What the template `allergens.html` gets.
pub(in crate::press) fn allergens(site: &Site<'_>) -> Value {
    let mut recipes: Vec<usize> = site.recipes().collect();
    recipes.sort_by_key(|r| crate::recipe::names::key(&site.note(*r).name.value));
    let diets: Vec<(usize, Diet)> = recipes.iter().map(|r| (*r, diet(site.computed, *r))).collect();
    let groups: Vec<&str> = DECLARED.iter().copied().filter(|t| !NUTS.contains(t)).collect();
    let present: Vec<&str> = groups
        .iter()
        .copied()
        .filter(|t| diets.iter().any(|(_, d)| d.contains.contains_key(*t) || d.may_contain.contains(*t)))
        .collect();
    let absent: Vec<&str> = groups.iter().copied().filter(|t| !present.contains(t)).map(word).collect();
    let by_allergen: Vec<Value> = present
        .iter()
        .map(|tag| {
            let mut list = Vec::new();
            let mut counts = Vec::new();
            for wanted in ["contains", "may"] {
                let found: Vec<Value> = diets
                    .iter()
                    .filter(|(_, d)| state(d, tag) == wanted)
                    .map(|(r, d)| {
                        let (name, href) = site.name_and_link(*r);
                        let from = d.contains.get(*tag).map(|f| f.iter().cloned().collect::<Vec<_>>().join(", "));
                        json!({ "name": name, "href": href, "from": from.map(|f| format!("from {f}")) })
                    })
                    .collect();
                if !found.is_empty() {
                    counts.push(format!(
                        "{} {}",
                        found.len(),
                        if wanted == "may" {
                            "may contain it"
                        } else if found.len() == 1 {
                            "contains it"
                        } else {
                            "contain it"
                        }
                    ));
                    list.push(json!({ "state": wanted, "word": state_word(wanted), "recipes": found }));
                }
            }
            json!({ "label": word(tag), "count": counts.join(", "), "groups": list })
        })
        .collect();
    let rows: Vec<Value> = diets
        .iter()
        .map(|(r, d)| {
            let (name, href) = site.name_and_link(*r);
            let mut cells: Vec<Value> = present
                .iter()
                .map(|tag| {
                    let state = state(d, tag);
                    json!({ "state": state, "word": state_word(state) })
                })
                .collect();
            let (state, said) = match d.vegan {
                Some(true) => ("vegan-yes", "vegan"),
                Some(false) => ("vegan-no", "not vegan"),
                None => ("vegan-unknown", "unknown"),
            };
            cells.push(json!({ "state": state, "word": said }));
            json!({ "name": name, "href": href, "badge": (!site.note(*r).publish).then_some("not published"), "cells": cells })
        })
        .collect();
    let mut columns: Vec<Value> = present.iter().map(|t| json!({ "label": word(t) })).collect();
    columns.push(json!({ "label": "vegan" }));
    let regime = match site.house().allergens_regime.as_str() {
        "us" => "the list of the United States",
        "uk" => "the British list",
        _ => "the European list",
    };
    json!({
        "title": "Allergens and diet",
        "line": format!("Every recipe against {regime}, as its ingredients are labelled."),
        "note": "Answer a guest from here, then check the bottle’s label. Unknown means that nobody stated it: treat it as if it were there. What is handled in the same bar can reach any drink.",
        "by_allergen": by_allergen,
        "absent": (!absent.is_empty()).then(|| format!("No recipe’s ingredients declare: {}.", absent.join(", "))),
        "columns": columns,
        "caption": "Recipes by allergen",
        "rows": rows,
        "legend": "A dash means that no ingredient declares it; it is no promise that nothing of it is there.",
    })
}
