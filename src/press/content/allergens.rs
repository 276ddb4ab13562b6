//! The allergen matrix: every shown recipe against every allergen of the house's list.

use serde_json::{Value, json};

use crate::ask::diet::{DECLARED, Diet, NUTS, Regime, declaration};
use crate::press::publication::Publication;

/// What the template `allergens.html` gets.
pub(in crate::press) fn allergens(site: &Publication<'_>) -> Value {
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
fn other_lists(site: &Publication<'_>, own: Regime, diets: &[(usize, Diet)]) -> Vec<Value> {
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
