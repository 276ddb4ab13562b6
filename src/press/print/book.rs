//! The spec book: what `book.typ` gets. Cover, house rules, chapters of recipes, allergens, balance map, safety, pages of the
//! house, glossary and index.

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;
use serde::Serialize;
use serde_json::{Value, json};

use super::prose::{self, Block};
use super::{Chapter, Document, Pictures, Settings, safe};
use crate::ask::prose::evaluate_all;
use crate::ask::safety::Survey;
use crate::notebook::page::PageNote;
use crate::notebook::recipe_note::Makes;
use crate::press::content::{allergens, balance_map, recipe, usual_sizes};
use crate::press::publication::Publication;
use crate::press::text;
use crate::recipe::names::{key, slug};

/// Rows of a spec from which it may go on over a page's end; a shorter one stays whole.
const LONG_SPEC: usize = 18;
/// Letters of a pour that fit on one line of the narrowest book; each further line counts as a row.
const LINE: usize = 34;

/// What the spec book holds.
#[derive(Debug, Serialize)]
struct Book {
    /// Under the title on the cover.
    line: String,
    /// The house's words about itself.
    foreword: Option<Page>,
    /// How to read the figures.
    legend: Vec<Term>,
    /// Pages before the chapters: the house rules.
    front: Vec<Page>,
    chapters: Vec<Part>,
    allergens: Option<Value>,
    map: Option<Value>,
    safety: Safety,
    /// Pages behind the chapters.
    back: Vec<Page>,
    glossary: Option<Page>,
    index: Vec<Index>,
}

/// A plain page.
#[derive(Debug, Serialize)]
struct Page {
    id: String,
    title: String,
    blocks: Vec<Block>,
}

/// A word and what it means.
#[derive(Debug, Serialize)]
struct Term {
    word: String,
    text: String,
}

/// A chapter.
#[derive(Debug, Serialize)]
struct Part {
    id: String,
    name: String,
    line: String,
    /// Which place on the fore edge, from 0.
    thumb: usize,
    /// How many places there are.
    thumbs: usize,
    recipes: Vec<Value>,
}

/// The safety chapter.
#[derive(Debug, Serialize)]
struct Safety {
    alcohol: String,
    caution: String,
    /// Cautions with the recipes that they concern.
    cautions: Vec<Caution>,
    /// Standing reminders with the same.
    reminders: Vec<Caution>,
}

/// A caution, said once, and the recipes that it concerns.
#[derive(Debug, Serialize)]
struct Caution {
    what: Option<String>,
    act: String,
    /// Its language, where that is not the book's.
    lang: Option<String>,
    limit: Option<String>,
    source: Option<String>,
    recipes: Vec<Place>,
}

/// A recipe and where it stands in the book.
#[derive(Debug, Clone, Serialize)]
struct Place {
    name: String,
    to: String,
}

/// One way of looking things up.
#[derive(Debug, Serialize)]
struct Index {
    title: String,
    id: &'static str,
    groups: Vec<IndexGroup>,
}

#[derive(Debug, Serialize)]
struct IndexGroup {
    letter: String,
    entries: Vec<Entry>,
}

#[derive(Debug, Serialize)]
struct Entry {
    name: String,
    places: Vec<Place>,
}

/// What the book explains of its figures, by the keys of the words; the explanation's key ends in `_text`.
const LEGEND: &[&str] = &[
    "book.legend_amounts",
    "book.legend_volumes",
    "book.legend_strength",
    "book.legend_water",
    "book.legend_content",
    "book.legend_brix",
    "book.legend_spread",
    "book.legend_assumed",
    "book.legend_unknown",
    "book.legend_window",
    "book.legend_mark",
];

/// Pictures by virtual path.
type Files = Vec<(String, Vec<u8>)>;

/// The name of a recipe's place in the document.
pub(super) fn place_of(site: &Publication<'_>, recipe: usize) -> String {
    format!("recipes/{}", site.computed.graph.nodes[recipe].slug)
}

/// Puts places of the document where the site has addresses; what has no place here loses its link.
pub(super) fn relink(value: &mut Value, places: &BTreeSet<String>) {
    match value {
        Value::Array(list) => list.iter_mut().for_each(|v| relink(v, places)),
        Value::Object(map) => {
            if let Some(Value::String(href)) = map.remove("href")
                && let Some(to) = href.strip_suffix(".html").filter(|to| places.contains(*to))
            {
                map.insert("to".into(), json!(to));
            }
            map.values_mut().for_each(|v| relink(v, places));
        }
        _ => {}
    }
}

/// A recipe's page: what its page of the site says, with prose as blocks and places in the document for addresses.
pub(super) fn recipe(
    site: &Publication<'_>,
    survey: &Survey,
    recipe: usize,
    places: &BTreeSet<String>,
    pictures: Pictures<'_>,
    files: &mut Files,
) -> Value {
    let mut page = recipe::recipe(site, recipe);
    let note = site.note(recipe);
    let body = site.computed.graph.notes.sources.text(note.body);
    let values = evaluate_all(site.computed, Some(recipe), body, note.body);
    let parts = text::parts(body, &values, &|path| site.local_link(path));
    let local = |address: &str| local(address, places);
    let blocks: Vec<Vec<Block>> = parts.steps.iter().map(|events| prose::blocks(events, &local)).collect();
    let made_steps = page["method"]["steps"].take();
    let steps: Vec<Value> = blocks
        .iter()
        .enumerate()
        .map(
            |(i, b)| json!({ "blocks": b, "cautions": made_steps.get(i).map_or(json!([]), |s| s["cautions"].clone()) }),
        )
        .collect();
    let keeping = safe::keeping(site, survey, recipe);
    let sections: Vec<Value> = parts
        .sections
        .iter()
        .map(|(heading, events)| json!({ "heading": heading, "blocks": prose::blocks(events, &local) }))
        .collect();
    let rows: usize = page["spec"]["groups"]
        .as_array()
        .into_iter()
        .flatten()
        .flat_map(|g| g["pours"].as_array().into_iter().flatten())
        .map(|p| {
            let letters = ["name", "preparation", "manner"].iter().filter_map(|k| p[*k].as_str());
            1 + letters.map(|t| t.chars().count()).sum::<usize>() / LINE
        })
        .sum();
    let picture = picture(site, recipe, pictures, files);
    if let Some(map) = page.as_object_mut() {
        map.insert("id".into(), json!(place_of(site, recipe)));
        map.insert("lead".into(), json!(prose::blocks(&parts.lead, &local)));
        map.insert("steps".into(), json!(steps));
        map.insert("sections".into(), json!(sections));
        map.insert("picture".into(), json!(picture));
        map.insert("long".into(), json!(rows > LONG_SPEC));
        map.insert("batches".into(), json!(usual_sizes::first(site, recipe)));
        if let Some(keeping) = keeping {
            map.insert("keeping".into(), json!(keeping));
        }
        if let Some(method) = map.get_mut("method").and_then(Value::as_object_mut) {
            method.retain(|key, _| key == "order");
        }
    }
    relink(&mut page, places);
    page
}

/// A place in the document for an address of the site.
fn local(address: &str, places: &BTreeSet<String>) -> Option<String> {
    let to = address.split('#').next()?.strip_suffix(".html")?;
    places.contains(to).then(|| to.to_owned())
}

/// The picture of a recipe, if it can be read and is of a kind that the typesetter draws.
fn picture(site: &Publication<'_>, recipe: usize, pictures: Pictures<'_>, files: &mut Files) -> Option<Value> {
    let picture = site.note(recipe).picture.as_ref()?;
    let file = picture.file.value.replace('\\', "/");
    let asset = site.computed.graph.notes.media.iter().find(|m| m.path == file)?;
    let bytes = pictures(asset)?;
    let (ends, bytes) = super::picture::ready(bytes)?;
    let path = format!("media/{recipe}.{ends}");
    files.push((path.clone(), bytes));
    let alt = picture.alt.as_ref().map(|a| a.value.trim()).filter(|a| !a.is_empty());
    let alt = alt.map_or_else(
        || site.words().with("book.picture_of", &[("name", &site.note(recipe).name.value)]),
        str::to_owned,
    );
    Some(json!({ "file": format!("/{path}"), "alt": alt }))
}

fn page(site: &Publication<'_>, note: &PageNote, places: &BTreeSet<String>) -> Page {
    let body = site.computed.graph.notes.sources.text(note.body);
    let values = evaluate_all(site.computed, None, body, note.body);
    let events = text::page_events(body, &note.title.value, &values, &|path| site.local_link(path));
    let blocks = prose::blocks(&events, &|address| local(address, places));
    Page { id: format!("pages/{}", slug(&note.path)), title: note.title.value.clone(), blocks }
}

fn counted(site: &Publication<'_>, recipes: &[usize]) -> String {
    let drinks = recipes.iter().filter(|r| site.note(**r).makes == Makes::Drink).count();
    let preps = recipes.len() - drinks;
    let words = site.words();
    match (drinks, preps) {
        (drinks, 0) => words.count("word.n_drinks", drinks),
        (0, preps) => words.count("word.n_preps", preps),
        _ => {
            let (first, second) = (words.count("word.n_drinks", drinks), words.count("word.n_preps", preps));
            words.with("print.and", &[("first", &first), ("second", &second)])
        }
    }
}

/// Everything the template gets.
pub(super) fn document(
    site: &Publication<'_>,
    survey: &Survey,
    settings: &Settings,
    chapters: &[Chapter],
    pictures: Pictures<'_>,
) -> Document {
    let notes = &site.computed.graph.notes;
    let shown: BTreeSet<usize> = chapters.iter().flat_map(|c| c.recipes.iter().copied()).collect();
    let mut places: BTreeSet<String> = shown.iter().map(|r| place_of(site, *r)).collect();
    places.extend(site.pages().map(|p| format!("pages/{}", slug(&p.path))));
    let whole: Vec<(usize, Value, Files)> = shown
        .par_iter()
        .map(|r| {
            let mut files = Files::new();
            let value = recipe(site, survey, *r, &places, pictures, &mut files);
            (*r, value, files)
        })
        .collect();
    let mut files = Vec::new();
    let mut made: BTreeMap<usize, Value> = BTreeMap::new();
    for (recipe, value, own) in whole {
        made.insert(recipe, value);
        files.extend(own);
    }
    let parts: Vec<Part> = chapters
        .iter()
        .enumerate()
        .map(|(i, chapter)| Part {
            id: format!("chapters/{i}"),
            name: chapter.name.clone(),
            line: counted(site, &chapter.recipes),
            thumb: i,
            thumbs: chapters.len(),
            recipes: chapter.recipes.iter().filter_map(|r| made.remove(r)).collect(),
        })
        .collect();
    let called = |p: &PageNote, name: &str| p.path.rsplit('/').next() == Some(name);
    let front = site.pages().filter(|p| called(p, "house-rules")).map(|p| page(site, p, &places)).collect();
    let glossary = site.pages().find(|p| called(p, "glossary")).map(|p| page(site, p, &places));
    let back = site
        .pages()
        .filter(|p| !called(p, "house-rules") && !called(p, "glossary"))
        .map(|p| page(site, p, &places))
        .collect();
    let opening = notes.pages.iter().find(|p| matches!(p.path.as_str(), "index" | "front"));
    let opening = opening.filter(|p| p.publish || site.is_house());
    let mut allergens = (!shown.is_empty()).then(|| allergens::allergens(site));
    let mut map = balance_map::balance_map(site);
    for value in allergens.iter_mut().chain(std::iter::once(&mut map)) {
        relink(value, &places);
        // Recipes of other chapters have no place in this book, so they stand in none of its lists.
        if !settings.chapters.is_empty() || !settings.recipes.is_empty() {
            keep_placed(value);
        }
    }
    let safety = safety(site, &parts);
    let all: Vec<usize> = shown.iter().copied().collect();
    let book = Book {
        line: counted(site, &all),
        foreword: opening.map(|p| page(site, p, &places)),
        legend: LEGEND.iter().map(|key| Term { word: site.say(key), text: site.say(&format!("{key}_text")) }).collect(),
        front,
        chapters: parts,
        allergens,
        map: map["maps"].as_array().is_some_and(|m| !m.is_empty()).then_some(map),
        safety,
        back,
        glossary,
        index: index(site, &shown),
    };
    Document { template: "book", title: site.say("print.spec_book"), body: json!(book), files }
}

/// Drops the rows of lists that lead nowhere in this document.
fn keep_placed(value: &mut Value) {
    match value {
        Value::Array(list) => list.iter_mut().for_each(keep_placed),
        Value::Object(map) => {
            for key in ["rows", "recipes", "left_out"] {
                if let Some(Value::Array(rows)) = map.get_mut(key) {
                    rows.retain(|r| r.get("to").is_some());
                }
            }
            map.values_mut().for_each(keep_placed);
        }
        _ => {}
    }
}

/// Collects the cautions of all recipes, each said once.
fn safety(site: &Publication<'_>, parts: &[Part]) -> Safety {
    let collect = |field: &str| -> Vec<Caution> {
        let mut list: BTreeMap<(String, String), Caution> = BTreeMap::new();
        for recipe in parts.iter().flat_map(|p| &p.recipes) {
            let place = Place {
                name: recipe["name"].as_str().unwrap_or_default().to_owned(),
                to: recipe["id"].as_str().unwrap_or_default().to_owned(),
            };
            for caution in recipe[field].as_array().into_iter().flatten() {
                let text = |key: &str| caution[key].as_str().filter(|t| !t.is_empty()).map(str::to_owned);
                let Some(act) = text("act") else { continue };
                let key = (text("what").unwrap_or_default(), act.clone());
                let entry = list.entry(key).or_insert_with(|| Caution {
                    what: text("what"),
                    act,
                    lang: text("lang"),
                    limit: text("limit"),
                    source: text("source"),
                    recipes: Vec::new(),
                });
                if entry.recipes.iter().all(|p| p.to != place.to) {
                    entry.recipes.push(place.clone());
                }
            }
        }
        list.into_values().collect()
    };
    Safety {
        alcohol: site.say("base.alcohol"),
        caution: site.say("base.caution"),
        cautions: collect("cautions"),
        reminders: collect("reminders"),
    }
}

/// The index: by name, by what is poured, by glass.
fn index(site: &Publication<'_>, shown: &BTreeSet<usize>) -> Vec<Index> {
    let place = |r: usize| Place { name: site.note(r).name.value.clone(), to: place_of(site, r) };
    let grouped = |mut entries: Vec<Entry>| -> Vec<IndexGroup> {
        entries.sort_by_cached_key(|e| (key(&e.name), e.name.clone()));
        let mut groups: Vec<IndexGroup> = Vec::new();
        for entry in entries {
            let letter = slug(&entry.name).chars().next().map_or("#".into(), |c| c.to_uppercase().to_string());
            match groups.last_mut().filter(|g| g.letter == letter) {
                Some(group) => group.entries.push(entry),
                None => groups.push(IndexGroup { letter, entries: vec![entry] }),
            }
        }
        groups
    };
    let names =
        shown.iter().map(|r| Entry { name: site.note(*r).name.value.clone(), places: vec![place(*r)] }).collect();
    let graph = &site.computed.graph;
    let poured = site
        .ingredients
        .iter()
        .map(|i| Entry {
            name: graph.pantry.ingredients[*i].name().to_owned(),
            places: site.users(*i).into_iter().filter(|r| shown.contains(r)).map(place).collect(),
        })
        .filter(|e| !e.places.is_empty());
    let preps = shown
        .iter()
        .filter(|r| site.note(**r).makes == Makes::Prep)
        .map(|r| Entry {
            name: site.note(*r).name.value.clone(),
            places: graph.nodes[*r].used_by.iter().filter(|u| shown.contains(u)).map(|u| place(*u)).collect(),
        })
        .filter(|e| !e.places.is_empty());
    let mut glasses: BTreeMap<String, Vec<Place>> = BTreeMap::new();
    for recipe in shown {
        if let Some(glass) = &site.note(*recipe).serve.glass {
            glasses.entry(glass.value.clone()).or_default().push(place(*recipe));
        }
    }
    let glasses = glasses.into_iter().map(|(name, places)| Entry { name, places }).collect();
    let by_name = |mut list: Vec<Entry>| {
        for entry in &mut list {
            entry.places.sort_by_cached_key(|p| (key(&p.name), p.to.clone()));
        }
        grouped(list)
    };
    let list = [
        Index { title: site.say("book.by_name"), id: "index/names", groups: by_name(names) },
        Index { title: site.say("book.by_pour"), id: "index/pours", groups: by_name(poured.chain(preps).collect()) },
        Index { title: site.say("book.by_glass"), id: "index/glasses", groups: by_name(glasses) },
    ];
    list.into_iter().filter(|i| !i.groups.is_empty()).collect()
}
