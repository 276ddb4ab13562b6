//! Pages that list recipes: the front page, the chapters, the allergen matrix, the plain pages.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::view::id;
use super::{Site, glossary, text};
use crate::ask::diet::{DECLARED, Diet, NUTS, Regime, declaration};
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
    let counts = [("word.n_drinks", drinks), ("word.n_preps", recipes.len() - drinks)];
    let said: Vec<String> =
        counts.into_iter().filter(|(_, n)| *n > 0).map(|(key, n)| site.words.count(key, n)).collect();
    said.join(", ")
}

/// What the template `front.html` gets.
pub(super) fn front(site: &Site<'_>) -> Value {
    let notes = &site.computed.graph.notes;
    let about = notes.pages.iter().find(|p| p.path == "index" || p.path == "front");
    let html = about.map(|page| page_html(site, page, ""));
    // What is served first, then what it is made of.
    let (drinks, preps): (Vec<_>, Vec<_>) = chapters(site)
        .into_iter()
        .partition(|(_, recipes)| recipes.iter().any(|r| site.note(*r).makes == Makes::Drink));
    let chapters: Vec<Value> = drinks
        .iter()
        .chain(&preps)
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
        "line": site.words.count("front.line", site.recipes().count()),
        "html": html,
        "lookups": [
            { "word": site.say("front.guests"), "text": site.say("front.guests_ask"), "href": "allergens.html" },
            { "word": site.say("front.taste"), "text": site.say("front.taste_ask"), "href": "balance-map.html" },
            { "word": site.say("front.stock"), "text": site.say("front.stock_ask"), "href": "find.html" },
            { "word": site.say("front.prep"), "text": site.say("front.prep_ask"), "href": "prep-map.html" },
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
        [(drinks, "chapter.drinks", "chapter.drinks_measure"), (preps, "chapter.preps", "chapter.preps_measure")]
    {
        if !rows.is_empty() {
            groups.push(
                json!({ "title": mixed.then(|| site.say(title)), "id": id("group", title), "measure": site.say(measure), "rows": rows }),
            );
        }
    }
    json!({ "name": site.chapter_name(chapter), "line": counted(site, recipes), "groups": groups })
}

fn page_html(site: &Site<'_>, page: &PageNote, root: &str) -> String {
    let body = site.computed.graph.notes.sources.text(page.body);
    let values = site.values(None, body, page.body);
    text::page(body, &page.title.value, &values, &|path| site.local_link(path).map(|l| format!("{root}{l}")))
}

/// What the template `page.html` gets.
pub(super) fn plain(site: &Site<'_>, page: &PageNote) -> Value {
    let html = page_html(site, page, "../");
    match glossary::terms(&html) {
        Some(terms) => json!({ "title": page.title.value, "html": null, "terms": terms }),
        None => json!({ "title": page.title.value, "html": html, "terms": [] }),
    }
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

fn state_key(state: &str) -> &'static str {
    match state {
        "contains" => "state.contains",
        "may" => "state.may",
        "unknown" => "state.unknown",
        _ => "state.none",
    }
}

/// What the other lists ask to be declared, where that is not the same as by the house's own.
fn other_lists(site: &Site<'_>, own: Regime, diets: &[(usize, Diet)]) -> Vec<Value> {
    let tags = |d: &Diet, regime| declaration(d, regime).contains.into_iter().map(|c| c.tag).collect::<Vec<_>>();
    let others = Regime::ALL.into_iter().filter(|r| *r != own);
    others
        .map(|regime| {
            let rows: Vec<Value> = diets
                .iter()
                .filter(|(_, d)| tags(d, regime) != tags(d, own))
                .map(|(r, d)| {
                    let (name, href) = site.name_and_link(*r);
                    let said: Vec<String> = declaration(d, regime).contains.into_iter().map(|c| c.word).collect();
                    let said = if said.is_empty() { site.say("state.none") } else { said.join(", ") };
                    json!({ "name": name, "href": href, "from": said })
                })
                .collect();
            let same = rows.is_empty().then(|| site.say("allergens.same"));
            let title = site
                .words
                .with("allergens.other_list", &[("list", &site.say(&format!("allergens.list_{}", regime.code())))]);
            json!({ "title": title, "rows": rows, "same": same, "source": regime.source() })
        })
        .collect()
}

/// What the template `allergens.html` gets.
pub(in crate::press) fn allergens(site: &Site<'_>) -> Value {
    let mut recipes: Vec<usize> = site.recipes().collect();
    recipes.sort_by_key(|r| crate::recipe::names::key(&site.note(*r).name.value));
    let diets: Vec<(usize, Diet)> = recipes.iter().map(|r| (*r, site.safety.diet(*r))).collect();
    // By the house's own list; what only another list asks for stands below.
    let regime = Regime::of(&site.house().allergens_regime);
    let groups: Vec<&str> =
        DECLARED.iter().copied().filter(|t| !NUTS.contains(t) && regime.word(t).is_some()).collect();
    // Where somebody's allergens are not known, every group may be in it: then none of them is left out.
    let unsure = diets.iter().any(|(_, d)| !d.unknown.is_empty());
    let present: Vec<&str> = groups
        .iter()
        .copied()
        .filter(|t| unsure || diets.iter().any(|(_, d)| d.contains.contains_key(*t) || d.may_contain.contains(*t)))
        .collect();
    let absent: Vec<&str> = groups.iter().copied().filter(|t| !present.contains(t)).collect();
    let by_allergen: Vec<Value> = present
        .iter()
        .map(|tag| {
            let mut list = Vec::new();
            let mut counts = Vec::new();
            for wanted in ["contains", "may", "unknown"] {
                let found: Vec<Value> = diets
                    .iter()
                    .filter(|(_, d)| state(d, tag) == wanted)
                    .map(|(r, d)| {
                        let (name, href) = site.name_and_link(*r);
                        let from = d.contains.get(*tag).map(|f| f.iter().cloned().collect::<Vec<_>>().join(", "));
                        json!({ "name": name, "href": href, "from": from.map(|f| site.words.with("allergens.from", &[("names", &f)])) })
                    })
                    .collect();
                if !found.is_empty() {
                    let key = match wanted {
                        "contains" => "allergens.n_contain",
                        "may" => "allergens.n_may",
                        _ => "allergens.n_unknown",
                    };
                    counts.push(site.words.count(key, found.len()));
                    list.push(json!({ "state": wanted, "word": site.say(state_key(wanted)), "recipes": found }));
                }
            }
            json!({ "label": site.allergen(tag), "count": counts.join(", "), "groups": list })
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
                    json!({ "state": state, "word": site.say(state_key(state)), "label": site.allergen(tag) })
                })
                .collect();
            let (vegan, said) = match d.vegan {
                Some(true) => ("vegan-yes", "state.vegan"),
                Some(false) => ("vegan-no", "state.not_vegan"),
                None => ("vegan-unknown", "state.unknown"),
            };
            cells.push(json!({ "state": vegan, "word": site.say(said) }));
            let (vegetarian, said) = match d.vegetarian {
                Some(true) => ("vegan-yes", "state.vegetarian"),
                Some(false) => ("vegan-no", "state.not_vegetarian"),
                None => ("vegan-unknown", "state.unknown"),
            };
            cells.push(json!({ "state": vegetarian, "word": site.say(said) }));
            // What may be there, or is not known not to be, is hidden with what is.
            let mut has: Vec<&str> = present.iter().copied().filter(|tag| state(d, tag) != "none").collect();
            if d.vegan != Some(true) {
                has.push("animal");
            }
            json!({
                "name": name, "href": href, "badge": (!site.note(*r).publish).then(|| site.say("recipe.unpublished")),
                "cells": cells, "has": has.join(" "),
                "none": present.iter().all(|tag| state(d, tag) == "none").then(|| site.say("state.none")),
            })
        })
        .collect();
    let mut columns: Vec<Value> = present.iter().map(|t| json!({ "label": site.allergen(t) })).collect();
    columns.push(json!({ "label": site.say("state.vegan") }));
    columns.push(json!({ "label": site.say("state.vegetarian") }));
    let mut filters: Vec<Value> = present.iter().map(|t| json!({ "value": t, "label": site.allergen(t) })).collect();
    filters.push(json!({ "value": "animal", "label": site.say("allergens.not_vegan_filter") }));
    let names = |tags: &[&str]| tags.iter().map(|t| site.allergen(t)).collect::<Vec<_>>().join(", ");
    json!({
        "title": site.say("allergens.title"),
        "line": site.words.with("allergens.line", &[("list", &site.allergen_list())]),
        "note": site.say("allergens.note"),
        "by_allergen": by_allergen,
        "absent": (!absent.is_empty()).then(|| site.words.with("allergens.absent", &[("names", &names(&absent))])),
        "columns": columns,
        "filters": filters,
        "caption": site.say("allergens.caption"),
        "rows": rows,
        "legend": site.say("allergens.legend"),
        "lists": other_lists(site, regime, &diets),
    })
}
