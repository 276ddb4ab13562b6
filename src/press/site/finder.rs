//! Finding: what the search script knows of every recipe, and the page that holds its form and, for readers without scripts, the whole list.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::{Value, json};

use crate::ask::diet::{DECLARED, NUTS};
use crate::notebook::recipe_note::Makes;
use crate::press::publication::Publication;
use crate::recipe::names::{Target, key};

/// Recipes in the order of the list: drinks, then preps, by name.
fn order(site: &Publication<'_>) -> Vec<usize> {
    let mut list: Vec<usize> = site.recipes().collect();
    list.sort_by_key(|r| (site.note(*r).makes != Makes::Drink, key(&site.note(*r).name.value), *r));
    list
}

/// What a recipe needs that somebody must have opened or made: its pours and what its processes take. Water is there.
fn needs(site: &Publication<'_>, recipe: usize) -> Vec<Target> {
    let graph = &site.computed.graph;
    let content = graph.nodes[recipe].content.iter().copied();
    content
        .filter(|target| match target {
            Target::Ingredient(i) => key(graph.pantry.ingredients[*i].name()) != "water",
            Target::Recipe(_) => true,
        })
        .collect()
}

/// Every thing that a shown recipe needs, by name; a prep that is not shown is a thing like any other.
fn things(site: &Publication<'_>) -> Vec<Target> {
    let all: BTreeSet<Target> = site.recipes().flat_map(|r| needs(site, r)).collect();
    let mut list: Vec<Target> = all.into_iter().collect();
    list.sort_by_key(|t| (key(&site.target(*t).0), *t));
    list
}

/// Names of everything in a recipe, through the preps that are shown. What another prep is made of is not told, only its name.
fn made_of(site: &Publication<'_>, recipe: usize) -> BTreeSet<String> {
    let mut names = BTreeSet::new();
    let (mut seen, mut next) = (BTreeSet::from([recipe]), vec![recipe]);
    while let Some(recipe) = next.pop() {
        for target in &site.computed.graph.nodes[recipe].content {
            names.insert(site.target(*target).0);
            if let Target::Recipe(used) = target
                && site.shows(*used)
                && seen.insert(*used)
            {
                next.push(*used);
            }
        }
    }
    names
}

/// The script that carries the index. It is a script and not data to be fetched, so that it works from a plain folder too.
pub(super) fn index(site: &Publication<'_>) -> Vec<u8> {
    let order = order(site);
    let things = things(site);
    let place: BTreeMap<Target, usize> = things.iter().enumerate().map(|(i, t)| (*t, i)).collect();
    let recipes: Vec<Value> = order
        .iter()
        .map(|recipe| {
            let note = site.note(*recipe);
            let made = &site.computed.made[*recipe];
            let held = site.safety.diet(*recipe);
            let row = site.row(*recipe, None);
            let stage = if note.makes == Makes::Drink { made.last() } else { made.batch() };
            let names = made_of(site, *recipe);
            let contains: Vec<&str> = held
                .contains
                .keys()
                .chain(&held.may_contain)
                .map(String::as_str)
                .filter(|t| !NUTS.contains(t))
                .collect();
            json!({
                "href": site.recipe_href(*recipe),
                "name": note.name.value,
                "line": row["line"], "holds": row["allergens"],
                "value": row["measure"]["value"], "unit": row["measure"]["unit"],
                "kind": note.makes.word(),
                "family": note.family.as_ref().map(|f| key(&f.value)),
                "glass": note.serve.glass.as_ref().map(|g| key(&g.value)),
                "tags": note.tags.iter().map(|t| key(&t.value)).collect::<Vec<_>>(),
                "of": names,
                "needs": needs(site, *recipe).iter().filter_map(|t| place.get(t)).collect::<Vec<_>>(),
                "contains": contains,
                "unsure": !held.unknown.is_empty(),
                "vegan": held.vegan,
                "abv": stage.mixture.figure_abv().ok().map(|v| (v * 1000.0).round() / 1000.0),
            })
        })
        .collect();
    let things: Vec<Value> = things
        .iter()
        .map(|thing| {
            let recipe = match thing {
                Target::Recipe(r) => order.iter().position(|o| o == r),
                Target::Ingredient(_) => None,
            };
            json!({ "name": site.target(*thing).0, "recipe": recipe })
        })
        .collect();
    let text = json!({ "recipes": recipes, "things": things }).to_string().replace("},{", "},\n{");
    // Two line separators that JSON allows and old scripts do not.
    let text = text.replace('\u{2028}', "\\u2028").replace('\u{2029}', "\\u2029");
    format!("self.costrelIndex = {text};\n").into_bytes()
}

/// Choices of one kind: what recipes say, by its key, each in the words of the first that says it.
fn choices<'a>(said: impl Iterator<Item = &'a str>) -> Vec<Value> {
    let mut found: BTreeMap<String, &str> = BTreeMap::new();
    for text in said {
        found.entry(key(text)).or_insert(text);
    }
    found.into_iter().map(|(value, label)| json!({ "value": value, "label": label })).collect()
}

/// What the template `find.html` gets.
pub(super) fn page(site: &Publication<'_>) -> Value {
    let order = order(site);
    let notes = || order.iter().map(|r| site.note(*r));
    let mut selects = vec![json!({
        "key": "kind", "label": site.say("find.kind"),
        "options": [{ "value": "drink", "label": site.say("word.drink") }, { "value": "prep", "label": site.say("word.prep") }],
    })];
    for (name, label, options) in [
        ("family", "find.family", choices(notes().filter_map(|n| n.family.as_ref()).map(|f| f.value.as_str()))),
        ("glass", "find.glass", choices(notes().filter_map(|n| n.serve.glass.as_ref()).map(|g| g.value.as_str()))),
        ("tag", "find.tag", choices(notes().flat_map(|n| n.tags.iter()).map(|t| t.value.as_str()))),
    ] {
        if !options.is_empty() {
            selects.push(json!({ "key": name, "label": site.say(label), "options": options }));
        }
    }
    let mut held: BTreeSet<String> = BTreeSet::new();
    for recipe in &order {
        let diet = site.safety.diet(*recipe);
        held.extend(diet.contains.into_keys());
        held.extend(diet.may_contain);
    }
    let allergens: Vec<Value> = DECLARED
        .iter()
        .filter(|t| held.contains(**t) && !NUTS.contains(t))
        .map(|t| json!({ "value": t, "label": site.allergen(t) }))
        .collect();
    json!({
        "line": site.words.count("find.found", order.len()),
        "selects": selects,
        "allergens": allergens,
        "things": things(site).iter().map(|t| site.target(*t).0).collect::<BTreeSet<_>>(),
        "rows": order.iter().map(|r| site.row(*r, None)).collect::<Vec<_>>(),
    })
}
