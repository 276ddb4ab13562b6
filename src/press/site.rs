//! The site: pages from templates, a style sheet, pictures. It reads figures off computed recipes and places them.
//!
//! What each template is given is written down in `templates/site/DATA.md`. All numbers are text by then; templates
//! hold no arithmetic.

mod assets;
mod export;
mod feed;
mod finder;
mod glossary;
mod house_page;
mod ingredient_page;
mod lists;
mod offline;
mod prep_map;
mod record_page;
mod safety_page;
mod scaling;
mod theme;

use rayon::prelude::*;
use serde_json::{Value, json};
use tera::{Context, Tera};

use super::content::chapters::chapters;
use super::content::{allergens, balance_map, recipe};
use super::publication::Publication;
use super::words::{self, Of};
use super::{Content, Edition, Output, pictures, structured};
use crate::notebook::Notes;
use crate::problem::Problem;
use crate::recipe::names::slug;
use crate::recipe::run::{Computed, for_guests};
use assets::Assets;

/// What a page may load: its own site's files and nothing else. Data blocks are not run, so they need no leave.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; media-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; object-src 'none'; base-uri 'none'; form-action 'none'";

/// The sentence that stands on every page and everything printed, in English; the words of a language have their own.
pub const CAUTION: &str = "These notes are general reminders, not legal, medical or engineering advice. Your local food code, liquor licence, fire rules and equipment manuals come first; where they differ from a note here, follow them, and when you are unsure, do not serve it.";
/// What is said of alcohol there.
pub const ALCOHOL: &str = "Drinks on these pages hold alcohol unless they say otherwise. Do not drink and drive. No alcohol in pregnancy, nor for anyone under the legal age.";

impl Publication<'_> {
    fn context(&self, icon: Option<String>) -> Value {
        let notes = &self.computed.graph.notes;
        let entry = |key: &str, label: &str, href: &str| json!({ "key": key, "label": self.say(label), "href": href });
        // The pages that are asked for at the bar; the others stand in the foot of every page.
        let nav = vec![
            entry("front", "nav.recipes", "index.html"),
            entry("find", "nav.find", "find.html"),
            entry("ingredients", "nav.ingredients", "ingredients/index.html"),
            entry("allergens", "nav.allergens", "allergens.html"),
            entry("map", "nav.map", "balance-map.html"),
        ];
        let mut more = vec![
            entry("prep", "nav.prep", "prep-map.html"),
            entry("house", "nav.house", "house.html"),
            entry("safety", "nav.safety", "safety.html"),
        ];
        for page in self.pages() {
            more.push(json!({ "key": page.path, "label": page.title.value, "href": format!("pages/{}.html", slug(&page.path)) }));
        }
        json!({
            "house": notes.house.name,
            "lang": self.words.language,
            "direction": self.words.direction(),
            "policy": POLICY, "icon": icon,
            "edition": if self.is_house() { "house" } else { "public" },
            "nav": nav, "more": more, "reminders": safety_page::reminders(self),
            "feed": (!self.is_house()).then_some(feed::FEED),
            "credit": notes.house.site_credit,
        })
    }
}

/// One page to be made.
struct Page {
    template: &'static str,
    path: String,
    key: String,
    title: String,
    description: Option<String>,
    revision: Option<String>,
    /// Style sheets and scripts beside those that every page has.
    styles: &'static [&'static str],
    scripts: &'static [&'static str],
    share: Vec<(&'static str, String)>,
    structured: Option<Value>,
    /// Whether the page's data stands in the export.
    in_data: bool,
    body: (&'static str, Value),
    /// A file that the page asks for when it is needed.
    beside: Option<(String, Vec<u8>)>,
}

fn page(template: &'static str, path: impl Into<String>, key: &str, title: &str, body: (&'static str, Value)) -> Page {
    Page {
        template,
        path: path.into(),
        key: key.into(),
        title: title.into(),
        description: None,
        revision: None,
        styles: &["pages.css"],
        scripts: &[],
        share: Vec::new(),
        structured: None,
        in_data: false,
        body,
        beside: None,
    }
}

/// The pages that every site has.
fn fixed_pages(site: &Publication<'_>) -> Vec<Page> {
    let mut front = page("site/front.html", "index.html", "front", &site.house().name, ("front", lists::front(site)));
    front.scripts = &["index.js", "find.js"];
    front.description = Some(site.say("base.description"));
    let drinks: Vec<usize> = chapters(site).into_values().flatten().collect();
    front.structured = structured::list(site.computed, &site.house().name, &drinks);
    front.in_data = true;
    let mut find = page("site/find.html", "find.html", "find", &site.say("find.title"), ("find", finder::page(site)));
    find.scripts = &["index.js", "find.js"];
    let mut allergens = page(
        "site/allergens.html",
        "allergens.html",
        "allergens",
        &site.say("allergens.title"),
        ("matrix", allergens::allergens(site)),
    );
    allergens.scripts = &["lists.js"];
    let mut map = page(
        "site/balance-map.html",
        "balance-map.html",
        "map",
        &site.say("map.title"),
        ("balance_map", balance_map::balance_map(site)),
    );
    map.scripts = &["lists.js"];
    let ingredients = page(
        "site/ingredients.html",
        "ingredients/index.html",
        "ingredients",
        &site.say("ingredients.title"),
        ("index", ingredient_page::index(site)),
    );
    let prep = page(
        "site/prep-map.html",
        "prep-map.html",
        "prep",
        &site.say("prep_map.title"),
        ("prep_map", prep_map::page(site)),
    );
    let house =
        page("site/house.html", "house.html", "house", &site.say("house.title"), ("measures", house_page::page(site)));
    let lost = page("site/404.html", "404.html", "lost", &site.say("lost.title"), ("lost", json!({})));
    let safety = page(
        "site/safety.html",
        "safety.html",
        "safety",
        &site.say("safety.title"),
        ("safety", safety_page::page(site)),
    );
    vec![front, find, ingredients, allergens, map, prep, house, safety, lost]
}

fn recipe_page(site: &Publication<'_>, recipe: usize) -> Page {
    let note = site.note(recipe);
    let mut body = recipe::recipe(site, recipe);
    body["scaling"] = json!(scaling::scaling(site, recipe));
    if !body["bench"].is_null() {
        body["bench"]["record"] = json!(record_page::teaser(site, recipe));
    }
    let beside = scaling::put_beside(&mut body["scaling"], &site.computed.graph.nodes[recipe].slug);
    let mut made = page("site/recipe.html", site.recipe_href(recipe), "front", &note.name.value, ("recipe", body));
    made.beside = beside;
    made.styles = &[];
    made.description = Some(structured::description(site.computed, recipe, &site.words));
    made.revision = note.version.as_ref().map(|v| site.words.with("recipe.version", &[("version", v)]));
    if !site.is_house() {
        made.share = structured::share(site.computed, recipe, &site.words);
        made.structured = Some(structured::recipe(site.computed, recipe, &site.words));
        made.in_data = true;
    }
    made
}

fn all_pages(site: &Publication<'_>) -> Vec<Page> {
    let mut pages = fixed_pages(site);
    for (chapter, recipes) in chapters(site) {
        let name = site.chapter_name(&chapter);
        let body = ("chapter", lists::chapter(site, &chapter, &recipes));
        let mut made = page("site/chapter.html", site.chapter_href(&chapter), "front", &name, body);
        made.structured = structured::list(site.computed, &name, &recipes);
        pages.push(made);
    }
    let recipes: Vec<usize> = site.recipes().collect();
    pages.par_extend(recipes.par_iter().map(|recipe| recipe_page(site, *recipe)));
    for recipe in &recipes {
        let Some(path) = record_page::href(site, *recipe) else { continue };
        let title = format!("{}: {}", site.say("record.title"), site.note(*recipe).name.value);
        let body = ("record", record_page::page(site, *recipe));
        pages.push(page("site/record.html", path, "front", &title, body));
    }
    for ingredient in &site.ingredients {
        let Some(path) = site.ingredient_href(*ingredient) else { continue };
        let name = site.computed.graph.pantry.ingredients[*ingredient].name().to_owned();
        let body = ("ingredient", ingredient_page::page(site, *ingredient));
        pages.push(page("site/ingredient.html", path, "ingredients", &name, body));
    }
    for note in site.pages() {
        let path = format!("pages/{}.html", slug(&note.path));
        pages.push(page("site/page.html", path, &note.path, &note.title.value, ("plain", lists::plain(site, note))));
    }
    pages
}

/// Makes the site.
///
/// # Errors
/// Problems with what the house brought along (templates, words, pictures), each at its place in the house's file.
pub fn site(computed: &Computed, edition: Edition) -> Result<Output, Vec<Problem>> {
    let estimated = match edition {
        Edition::Public => for_guests(computed),
        Edition::House => None,
    };
    let truth = computed;
    let computed = estimated.as_ref().unwrap_or(computed);
    let notes = &computed.graph.notes;
    let sorted = |mut problems: Vec<Problem>| {
        crate::problem::sort(&mut problems, &notes.sources);
        problems
    };
    let doubts = theme::doubts(notes);
    if !doubts.is_empty() {
        return Err(sorted(doubts));
    }
    words::words(notes, Of::Site).map_err(&sorted)?;
    let mut site = Publication::new(computed, truth, edition);
    let (pictures, mut output) = pictures::pictures(
        notes,
        &site.named_pictures(),
        edition == Edition::Public && notes.house.site_address.is_some(),
    )
    .map_err(&sorted)?;
    site.pictures = pictures;
    let assets = Assets::new(notes, [("index.js".to_owned(), finder::index(&site))])?;
    let templates = theme::templates(notes, &site.words, &assets).map_err(&sorted)?;
    render_all(&site, templates, assets.icon_address(), &mut output).map_err(&sorted)?;
    let pages: Vec<String> = output.keys().filter(|p| p.ends_with(".html")).cloned().collect();
    let addresses = assets.addresses();
    let icon = |name: &str| addresses.get(name).cloned().unwrap_or_else(|| name.to_owned());
    let mut put = |path: &str, bytes: Vec<u8>| output.insert(path.to_owned(), Content::Bytes(bytes));
    put(offline::MANIFEST, pretty(&offline::manifest(&site, icon)));
    put("robots.txt", feed::robots(&site));
    if !site.is_house() {
        put(feed::FEED, feed::feed(&site));
        put(export::DATA, export::data(&site));
        put(export::SCHEMA, export::schema());
        if let Some(map) = feed::sitemap(&site, &pages) {
            put(feed::SITEMAP, map);
        }
    }
    assets.put(&mut output);
    let worker = offline::worker(&site, &output).map_err(|p| vec![*p])?;
    output.insert(offline::WORKER_NAME.into(), Content::Bytes(worker.into_bytes()));
    // Cards are for pages elsewhere that point here, so they are not kept for reading without a network; without an address
    // nobody is pointed at them.
    if !site.is_house() && notes.house.site_address.is_some() {
        output.extend(super::notes::cards(truth).map_err(&sorted)?);
    }
    Ok(output)
}

fn pretty(value: &Value) -> Vec<u8> {
    format!("{value:#}\n").into_bytes()
}

/// Every page into the output, or every problem of the house's templates.
fn render_all(
    site: &Publication<'_>,
    mut templates: Tera,
    icon: Option<String>,
    output: &mut Output,
) -> Result<(), Vec<Problem>> {
    templates.global_context().insert("site", &site.context(icon));
    let pages = all_pages(site);
    let notes = &site.computed.graph.notes;
    let rendered: Vec<Result<String, Box<Problem>>> =
        pages.par_iter().map(|p| render(site, notes, &templates, p)).collect();
    let mut problems = Vec::new();
    for (page, result) in pages.into_iter().zip(rendered) {
        match result {
            Ok(html) => {
                output.insert(page.path, Content::Bytes(html.into_bytes()));
                output.extend(page.beside.map(|(path, bytes)| (path, Content::Bytes(bytes))));
            }
            Err(problem) => problems.push(*problem),
        }
    }
    if problems.is_empty() { Ok(()) } else { Err(problems) }
}

fn render(site: &Publication<'_>, notes: &Notes, templates: &Tera, page: &Page) -> Result<String, Box<Problem>> {
    let root = "../".repeat(page.path.matches('/').count());
    let share: Vec<Value> = page
        .share
        .iter()
        .map(|(property, content)| {
            let key = if property.starts_with("twitter:") { "name" } else { "property" };
            json!({ "key": key, "property": property, "content": content })
        })
        .collect();
    let public = !site.is_house();
    let mut context = Context::new();
    context.insert("root", &root);
    context.insert(
        "page",
        &json!({
            "key": page.key, "title": page.title, "description": page.description, "revision": page.revision,
            "styles": page.styles, "scripts": page.scripts, "share": share,
            "canonical": structured::whole_address(site.computed, &page.path).filter(|_| public && page.path != "404.html"),
            "data": (page.in_data && public).then_some(export::DATA),
            "structured_data": page.structured.as_ref().filter(|_| public).map(structured::in_html),
        }),
    );
    context.insert(page.body.0, &page.body.1);
    theme::render(templates, notes, page.template, &context).map(|html| assets::squeeze_page(&html))
}
