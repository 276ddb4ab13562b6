//! The site: pages from templates, a style sheet, pictures. It reads figures off computed recipes and places them.
//!
//! What each template is given is written down in `templates/site/DATA.md`. All numbers are text by then; templates
//! hold no arithmetic.

pub(super) mod balance_map;
mod ingredient_page;
pub(super) mod lists;
pub(super) mod recipe_page;
mod spec;
mod stage_chart;
mod view;

use std::collections::BTreeSet;

use rayon::prelude::*;
use serde_json::{Value, json};
use tera::{Context, Tera};

use super::{Content, Edition, Output, address, text};
use crate::ask::diet::{contains_words, diet};
use crate::measure::{Unit, show};
use crate::notebook::house::House;
use crate::notebook::recipe_note::{Makes, RecipeNote};
use crate::problem::{Problem, code};
use crate::recipe::names::{Target, slug};
use crate::recipe::run::{Computed, without_readings};
use crate::source::Span;

/// Templates that the program carries, by the name that a house overrides.
const TEMPLATES: &[(&str, &str)] = &[
    ("site/404.html", include_str!("../../templates/site/404.html")),
    ("site/allergens.html", include_str!("../../templates/site/allergens.html")),
    ("site/balance-map.html", include_str!("../../templates/site/balance-map.html")),
    ("site/balance-map.svg", include_str!("../../templates/site/balance-map.svg")),
    ("site/base.html", include_str!("../../templates/site/base.html")),
    ("site/chapter.html", include_str!("../../templates/site/chapter.html")),
    ("site/front.html", include_str!("../../templates/site/front.html")),
    ("site/ingredient.html", include_str!("../../templates/site/ingredient.html")),
    ("site/ingredients.html", include_str!("../../templates/site/ingredients.html")),
    ("site/page.html", include_str!("../../templates/site/page.html")),
    ("site/parts.html", include_str!("../../templates/site/parts.html")),
    ("site/recipe.html", include_str!("../../templates/site/recipe.html")),
    ("site/stage-chart.svg", include_str!("../../templates/site/stage-chart.svg")),
];
const STYLE: &str = include_str!("../../templates/site/site.css");
const MARK: &str = include_str!("../../templates/site/mark.svg");

/// The sentence that stands on every page.
pub(super) const CAUTION: &str = "These notes are general reminders, not legal, medical or engineering advice. Your local food code, liquor licence, fire rules and equipment manuals come first; where they differ from a note here, follow them, and when you are unsure, do not serve it.";
pub(super) const ALCOHOL: &str = "Drinks on these pages hold alcohol unless they say otherwise. Do not drink and drive. No alcohol in pregnancy, nor for anyone under the legal age.";

/// What every page is made from.
pub(super) struct Site<'a> {
    pub(super) computed: &'a Computed,
    edition: Edition,
    /// Ingredients that have a page.
    pub(super) ingredients: BTreeSet<usize>,
    /// Their addresses, in the pantry's order.
    ingredient_slugs: Vec<String>,
}

impl<'a> Site<'a> {
    pub(super) fn new(computed: &'a Computed, edition: Edition) -> Self {
        let mut site = Self { computed, edition, ingredients: BTreeSet::new(), ingredient_slugs: Vec::new() };
        let graph = &computed.graph;
        // Only what a shown recipe names itself: an unpublished prep keeps its own ingredients to itself.
        let mut shown: BTreeSet<usize> = site
            .recipes()
            .flat_map(|r| graph.nodes[r].content.iter())
            .filter_map(|t| match t {
                Target::Ingredient(i) => Some(*i),
                Target::Recipe(_) => None,
            })
            .collect();
        if site.is_house() {
            shown.extend(graph.pantry.ingredients.iter().enumerate().filter(|(_, i)| i.house).map(|(i, _)| i));
        }
        let mut taken = BTreeSet::new();
        site.ingredient_slugs = graph
            .pantry
            .ingredients
            .iter()
            .enumerate()
            .map(|(i, ingredient)| {
                if !shown.contains(&i) {
                    return String::new();
                }
                let base =
                    Some(slug(ingredient.name())).filter(|s| !s.is_empty()).unwrap_or_else(|| "ingredient".into());
                let mut own = base.clone();
                let mut n = 2;
                while !taken.insert(own.clone()) {
                    own = format!("{base}-{n}");
                    n += 1;
                }
                own
            })
            .collect();
        site.ingredients = shown;
        site
    }

    pub(super) fn house(&self) -> &House {
        &self.computed.graph.notes.house
    }

    pub(super) fn is_house(&self) -> bool {
        self.edition == Edition::House
    }

    pub(super) fn note(&self, recipe: usize) -> &RecipeNote {
        &self.computed.graph.notes.recipes[recipe]
    }

    /// Whether a recipe has a page in this edition.
    pub(super) fn shows(&self, recipe: usize) -> bool {
        self.is_house() || self.note(recipe).publish
    }

    pub(super) fn recipes(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.computed.graph.nodes.len()).filter(|r| self.shows(*r))
    }

    fn drinks(&self) -> impl Iterator<Item = usize> + '_ {
        self.recipes().filter(|r| self.note(*r).makes == Makes::Drink)
    }

    /// Units in which volumes are shown, at most two.
    fn views(&self) -> Vec<Unit> {
        self.house().show.iter().copied().take(2).collect()
    }

    pub(super) fn chapter_name(&self, chapter: &str) -> String {
        let last = chapter.rsplit('/').next().unwrap_or(chapter).replace(['-', '_'], " ");
        let mut letters = last.chars();
        match letters.next() {
            Some(first) => first.to_uppercase().collect::<String>() + letters.as_str(),
            None => "Recipes".into(),
        }
    }

    fn chapter_href(&self, chapter: &str) -> String {
        let name = if chapter.is_empty() { "recipes".to_owned() } else { slug(chapter) };
        format!("chapters/{name}.html")
    }

    fn recipe_href(&self, recipe: usize) -> String {
        format!("recipes/{}.html", self.computed.graph.nodes[recipe].slug)
    }

    fn ingredient_href(&self, ingredient: usize) -> Option<String> {
        self.ingredients
            .contains(&ingredient)
            .then(|| format!("ingredients/{}.html", self.ingredient_slugs[ingredient]))
    }

    /// A name and the page it leads to, where there is one.
    fn target(&self, target: Target) -> (String, Option<String>) {
        match target {
            Target::Recipe(i) => self.name_and_link(i),
            Target::Ingredient(i) => {
                (self.computed.graph.pantry.ingredients[i].name().to_owned(), self.ingredient_href(i))
            }
        }
    }

    fn name_and_link(&self, recipe: usize) -> (String, Option<String>) {
        (self.note(recipe).name.value.clone(), self.shows(recipe).then(|| self.recipe_href(recipe)))
    }

    /// Shown recipes that name an ingredient.
    pub(super) fn users(&self, ingredient: usize) -> Vec<usize> {
        let graph = &self.computed.graph;
        let mut list: Vec<usize> =
            self.recipes().filter(|r| graph.nodes[*r].content.contains(&Target::Ingredient(ingredient))).collect();
        list.sort_by_key(|r| crate::recipe::names::key(&self.note(*r).name.value));
        list
    }

    /// The page that a relative link of the prose means: a recipe's or a page's Markdown file, or its name.
    pub(super) fn local_link(&self, path: &str) -> Option<String> {
        let (path, fragment) = path.split_once('#').map_or((path, ""), |(p, f)| (p, f));
        let stem = path.trim_end_matches(".md").trim_end_matches(".html");
        let last = stem.rsplit('/').next().unwrap_or(stem);
        let notes = &self.computed.graph.notes;
        let recipe = (0..notes.recipes.len()).find(|r| {
            let note = self.note(*r);
            note.path == stem
                || note.path.rsplit('/').next() == Some(last)
                || self.computed.graph.nodes[*r].slug == last
        });
        let href = match recipe {
            Some(r) => self.shows(r).then(|| self.recipe_href(r))?,
            None => {
                let page = notes
                    .pages
                    .iter()
                    .find(|p| (p.publish || self.is_house()) && p.path.rsplit('/').next() == Some(last))?;
                format!("pages/{}.html", slug(&page.path))
            }
        };
        Some(if fragment.is_empty() { href } else { format!("{href}#{fragment}") })
    }

    /// A line of a contents list.
    fn row(&self, recipe: usize, because: Option<String>) -> Value {
        let note = self.note(recipe);
        let made = &self.computed.made[recipe];
        let (name, href) = self.name_and_link(recipe);
        let (figure, unit) = if note.makes == Makes::Drink {
            (made.last().mixture.figure_abv(), "%\u{a0}vol")
        } else {
            (made.batch().mixture.figure_brix(), "°Bx")
        };
        let measure = match (because, figure) {
            (Some(because), _) => json!({ "because": because }),
            (None, Ok(value)) => json!({ "value": show::fixed(value, 1), "unit": unit }),
            (None, Err(because)) => json!({ "because": because.text() }),
        };
        let mut parts: Vec<String> = Vec::new();
        if note.makes == Makes::Prep {
            parts.push("house prep".into());
            if let Some(keep) = note.keeps.first() {
                let at = keep.at_c.map_or(String::new(), |c| format!(" at {}", show::temperature(c)));
                parts.push(format!("keeps {}{at}", show::hours(keep.hours)));
            }
        } else {
            parts.extend(note.family.as_ref().map(|f| f.value.clone()));
            parts.extend(note.serve.glass.as_ref().map(|g| g.value.clone()));
        }
        json!({
            "name": name, "href": href, "measure": measure, "line": parts.join(" · "),
            "allergens": contains_words(&diet(self.computed, recipe)),
            "badge": (!note.publish).then_some("not published"),
        })
    }

    fn picture(&self, recipe: usize) -> Option<Value> {
        let picture = self.note(recipe).picture.as_ref()?;
        let file = picture.file.value.replace('\\', "/");
        let asset = self.computed.graph.notes.media.iter().find(|m| m.path == file)?;
        // A picture whose kind hides its size is given the shape that most of them have.
        let (width, height) = asset.pixels.unwrap_or((1200, 900));
        let alt = picture.alt.as_ref().map_or("", |a| a.value.as_str());
        Some(json!({ "src": format!("media/{}", address(&file)), "alt": alt, "width": width, "height": height }))
    }

    fn context(&self) -> Value {
        let notes = &self.computed.graph.notes;
        let mut nav = vec![json!({ "key": "front", "label": "Recipes", "href": "index.html" })];
        nav.push(json!({ "key": "ingredients", "label": "Ingredients", "href": "ingredients/index.html" }));
        nav.push(json!({ "key": "allergens", "label": "Allergens", "href": "allergens.html" }));
        nav.push(json!({ "key": "map", "label": "Balance map", "href": "balance-map.html" }));
        for page in self.pages() {
            nav.push(json!({ "key": page.path, "label": page.title.value, "href": format!("pages/{}.html", slug(&page.path)) }));
        }
        json!({
            "house": notes.house.name,
            "lang": notes.house.languages.first().map_or("en", String::as_str),
            "edition": if self.is_house() { "house" } else { "public" },
            "edition_note": "Not for guests: it shows trials, readings, prices and recipes that are not published.",
            "nav": nav, "caution": CAUTION, "alcohol": ALCOHOL, "reminders": [],
            "credit": notes.house.site_credit,
        })
    }

    pub(super) fn pages(&self) -> impl Iterator<Item = &crate::notebook::page::PageNote> {
        let list = self.computed.graph.notes.pages.iter();
        list.filter(|p| (p.publish || self.is_house()) && !matches!(p.path.as_str(), "index" | "front"))
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
    body: (&'static str, Value),
}

fn page(template: &'static str, path: impl Into<String>, key: &str, title: &str, body: (&'static str, Value)) -> Page {
    Page { template, path: path.into(), key: key.into(), title: title.into(), description: None, revision: None, body }
}

fn recipe_description(site: &Site<'_>, recipe: usize) -> String {
    let note = site.note(recipe);
    let names: Vec<String> = site.computed.graph.nodes[recipe].mix.iter().flatten().map(|p| p.name.clone()).collect();
    let what = if note.makes == Makes::Prep { "A house prep" } else { "A drink" };
    let mut text = format!("{what} of {}.", names.join(", "));
    if text.chars().count() > 155 {
        text = text.chars().take(150).collect::<String>() + " …";
    }
    text
}

fn all_pages(site: &Site<'_>) -> Vec<Page> {
    let mut pages = vec![
        page("site/front.html", "index.html", "front", &site.house().name, ("front", lists::front(site))),
        page(
            "site/ingredients.html",
            "ingredients/index.html",
            "ingredients",
            "Ingredients",
            ("index", ingredient_page::index(site)),
        ),
        page(
            "site/allergens.html",
            "allergens.html",
            "allergens",
            "Allergens and diet",
            ("matrix", lists::allergens(site)),
        ),
        page(
            "site/balance-map.html",
            "balance-map.html",
            "map",
            "Balance map",
            ("balance_map", balance_map::page(site)),
        ),
        page("site/404.html", "404.html", "lost", "No such page", ("lost", json!({}))),
    ];
    for (chapter, recipes) in lists::chapters(site) {
        let name = site.chapter_name(&chapter);
        pages.push(page(
            "site/chapter.html",
            site.chapter_href(&chapter),
            "front",
            &name,
            ("chapter", lists::chapter(site, &chapter, &recipes)),
        ));
    }
    let recipes: Vec<usize> = site.recipes().collect();
    let made: Vec<Page> = recipes
        .par_iter()
        .map(|recipe| {
            let note = site.note(*recipe);
            let mut made = page(
                "site/recipe.html",
                site.recipe_href(*recipe),
                "front",
                &note.name.value,
                ("recipe", recipe_page::page(site, *recipe)),
            );
            made.description = Some(recipe_description(site, *recipe));
            made.revision = note.version.as_ref().map(|v| format!("version {v}"));
            made
        })
        .collect();
    pages.extend(made);
    for ingredient in &site.ingredients {
        let Some(path) = site.ingredient_href(*ingredient) else { continue };
        let name = site.computed.graph.pantry.ingredients[*ingredient].name().to_owned();
        pages.push(page(
            "site/ingredient.html",
            path,
            "ingredients",
            &name,
            ("ingredient", ingredient_page::page(site, *ingredient)),
        ));
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
/// Problems with templates that the house brought along, at their place in the house's file.
pub fn site(computed: &Computed, edition: Edition) -> Result<Output, Vec<Problem>> {
    let estimated = match edition {
        Edition::Public => without_readings(computed),
        Edition::House => None,
    };
    let computed = estimated.as_ref().unwrap_or(computed);
    let site = Site::new(computed, edition);
    let templates = templates(computed, &site)?;
    let pages = all_pages(&site);
    let rendered: Vec<Result<(String, String), Box<Problem>>> =
        pages.par_iter().map(|p| render(computed, &templates, p)).collect();
    let mut output = Output::new();
    let mut problems = Vec::new();
    for result in rendered {
        match result {
            Ok((path, html)) => {
                output.insert(path, Content::Bytes(html.into_bytes()));
            }
            Err(problem) => problems.push(*problem),
        }
    }
    if !problems.is_empty() {
        crate::problem::sort(&mut problems, &computed.graph.notes.sources);
        return Err(problems);
    }
    output.insert("site.css".into(), Content::Bytes(STYLE.as_bytes().to_vec()));
    output.insert("mark.svg".into(), Content::Bytes(MARK.as_bytes().to_vec()));
    for recipe in site.recipes() {
        let Some(picture) = &site.note(recipe).picture else { continue };
        let file = picture.file.value.replace('\\', "/");
        if let Some(asset) = computed.graph.notes.media.iter().find(|m| m.path == file) {
            output.insert(format!("media/{file}"), Content::Copy(asset.on_disk.clone()));
        }
    }
    Ok(output)
}

fn templates(computed: &Computed, site: &Site<'_>) -> Result<Tera, Vec<Problem>> {
    let notes = &computed.graph.notes;
    let place = Span::new(notes.house.file, 0, 0);
    let mut tera = Tera::default();
    let fail = |error: &tera::Error| vec![template_problem(computed, place, error)];
    tera.set_fallback_prefixes(["builtin/"]).map_err(|e| fail(&e))?;
    // Text of the notebook reaches the drawings too, so they are escaped as pages are.
    tera.autoescape_on([".html", ".svg", ".xml"]);
    let mut list: Vec<(String, String)> =
        TEMPLATES.iter().map(|(name, text)| (format!("builtin/{name}"), (*text).to_owned())).collect();
    let mut problems = Vec::new();
    for asset in notes.templates.iter().filter(|a| a.path.starts_with("site/")) {
        match std::str::from_utf8(&asset.bytes) {
            Ok(text) => list.push((asset.path.clone(), text.to_owned())),
            Err(_) => problems.push(
                Problem::new(code::TEMPLATE_ERROR, place, format!("`templates/{}` is not UTF-8 text", asset.path))
                    .help("save it as UTF-8"),
            ),
        }
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    tera.add_raw_templates(list).map_err(|e| fail(&e))?;
    tera.global_context().insert("site", &site.context());
    Ok(tera)
}

fn template_problem(computed: &Computed, place: Span, error: &tera::Error) -> Problem {
    let mut words = error.to_string();
    let mut cause: Option<&dyn std::error::Error> = std::error::Error::source(error);
    while let Some(next) = cause {
        words = format!("{words}: {next}");
        cause = next.source();
    }
    let _ = computed;
    let words = words.lines().map(str::trim).filter(|l| !l.is_empty()).collect::<Vec<_>>().join(" ");
    Problem::new(code::TEMPLATE_ERROR, place, format!("a template cannot be used: {words}"))
        .help("mend the file in `templates/`, or remove it to use the built-in one")
}

fn render(computed: &Computed, templates: &Tera, page: &Page) -> Result<(String, String), Box<Problem>> {
    let root = "../".repeat(page.path.matches('/').count());
    let mut context = Context::new();
    context.insert("root", &root);
    context.insert(
        "page",
        &json!({ "key": page.key, "title": page.title, "description": page.description, "revision": page.revision }),
    );
    context.insert(page.body.0, &page.body.1);
    match templates.render(page.template, &context) {
        Ok(html) => {
            let mut html = html;
            if !html.ends_with('\n') {
                html.push('\n');
            }
            Ok((page.path.clone(), html))
        }
        Err(error) => {
            let place = Span::new(computed.graph.notes.house.file, 0, 0);
            Err(Box::new(template_problem(computed, place, &error)))
        }
    }
}
