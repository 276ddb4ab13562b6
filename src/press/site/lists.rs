//! Pages that list recipes: the front page, the chapters, the plain pages.

use serde_json::{Value, json};

use super::glossary;
use crate::notebook::page::PageNote;
use crate::notebook::recipe_note::Makes;
use crate::press::content::chapters::chapters;
use crate::press::content::figures::id;
use crate::press::publication::Publication;
use crate::press::text;

fn counted(site: &Publication<'_>, recipes: &[usize]) -> String {
    let drinks = recipes.iter().filter(|r| site.note(**r).makes == Makes::Drink).count();
    let counts = [("word.n_drinks", drinks), ("word.n_preps", recipes.len() - drinks)];
    let said: Vec<String> =
        counts.into_iter().filter(|(_, n)| *n > 0).map(|(key, n)| site.words.count(key, n)).collect();
    said.join(", ")
}

/// What the template `front.html` gets.
pub(super) fn front(site: &Publication<'_>) -> Value {
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
pub(super) fn chapter(site: &Publication<'_>, chapter: &str, recipes: &[usize]) -> Value {
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

fn page_html(site: &Publication<'_>, page: &PageNote, root: &str) -> String {
    let body = site.computed.graph.notes.sources.text(page.body);
    let values = site.values(None, body, page.body);
    text::page(body, &page.title.value, &values, &|path| site.local_link(path).map(|l| format!("{root}{l}")))
}

/// What the template `page.html` gets.
pub(super) fn plain(site: &Publication<'_>, page: &PageNote) -> Value {
    let html = page_html(site, page, "../");
    match glossary::terms(&html) {
        Some(terms) => json!({ "title": page.title.value, "html": null, "terms": terms }),
        None => json!({ "title": page.title.value, "html": html, "terms": [] }),
    }
}
