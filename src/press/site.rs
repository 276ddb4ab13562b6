//! The site: pages from templates, a style sheet, pictures. It reads figures off computed recipes and places them.
//!
//! What each template is given is written down in `templates/site/DATA.md`. All numbers are text by then; templates
//! hold no arithmetic.

mod assets;
pub(super) mod balance_map;
mod export;
mod feed;
mod finder;
mod glossary;
mod house_page;
mod ingredient_page;
pub(super) mod lists;
mod offline;
pub(super) mod pictures;
mod prep_map;
pub(super) mod recipe_page;
mod record_page;
mod safety_page;
mod scaling;
mod spec;
mod stage_chart;
mod theme;
mod timers;
mod view;

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;
use serde_json::{Value, json};
use tera::{Context, Tera};

use super::hazard_words::Told;
use super::words::{self, Of, Words};
use super::{Content, Edition, Output, address, structured, text};
use crate::ask::diet::{Diet, word};
use crate::ask::labelling::Statement;
use crate::ask::prose::{Evaluated, Expression, Kind, evaluate_all};
use crate::ask::safety::{Rule, Survey};
use crate::measure::{Unit, show};
use crate::notebook::Notes;
use crate::notebook::house::House;
use crate::notebook::recipe_note::{Makes, RecipeNote};
use crate::problem::Problem;
use crate::recipe::names::{Target, slug};
use crate::recipe::run::{Computed, for_guests};
use crate::source::Span;
use assets::Assets;
use pictures::Picture;

/// What a page may load: its own site's files and nothing else. Data blocks are not run, so they need no leave.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; media-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; object-src 'none'; base-uri 'none'; form-action 'none'";

/// The sentence that stands on every page and everything printed, in English; the words of a language have their own.
pub const CAUTION: &str = "These notes are general reminders, not legal, medical or engineering advice. Your local food code, liquor licence, fire rules and equipment manuals come first; where they differ from a note here, follow them, and when you are unsure, do not serve it.";
/// What is said of alcohol there.
pub const ALCOHOL: &str = "Drinks on these pages hold alcohol unless they say otherwise. Do not drink and drive. No alcohol in pregnancy, nor for anyone under the legal age.";

/// What every page is made from.
pub(super) struct Site<'a> {
    pub(super) computed: &'a Computed,
    edition: Edition,
    /// Ingredients that have a page.
    pub(super) ingredients: BTreeSet<usize>,
    /// Their addresses, in the pantry's order.
    ingredient_slugs: Vec<String>,
    /// What the pages say.
    words: Words,
    /// Pictures of the shown recipes, by their path below `media/`.
    pictures: BTreeMap<String, Picture>,
    /// Hazards, keeping and allergens, of the notebook as it is: what a reading shows to be dangerous is dangerous in every edition.
    pub(super) safety: Survey,
}

impl<'a> Site<'a> {
    /// A site of recipes as an edition shows them; `truth` is the notebook with its readings.
    pub(super) fn new(computed: &'a Computed, truth: &Computed, edition: Edition) -> Self {
        let words =
            words::words(&computed.graph.notes, Of::Site).map_or_else(|_| words::english(Of::Site), |(words, _)| words);
        let mut site = Self {
            computed,
            edition,
            ingredients: BTreeSet::new(),
            ingredient_slugs: Vec::new(),
            words,
            pictures: BTreeMap::new(),
            safety: match edition {
                Edition::Public => Survey::for_guests(truth),
                Edition::House => Survey::of(truth),
            },
        };
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

    /// The same in other words: those of print beside those of the pages.
    #[cfg_attr(not(feature = "pdf"), allow(dead_code))]
    pub(super) fn speaking(mut self, words: Words) -> Self {
        self.words = words;
        self
    }

    /// What is said, in which words.
    #[cfg_attr(not(feature = "pdf"), allow(dead_code))]
    pub(super) fn words(&self) -> &Words {
        &self.words
    }

    pub(super) fn house(&self) -> &House {
        &self.computed.graph.notes.house
    }

    /// A hazard rule in the language of the pages.
    pub(super) fn told(&self, rule: &Rule) -> Told {
        self.words.hazards.told(rule)
    }

    /// A statement for menus and labels in the language of the pages.
    pub(super) fn stated(&self, statement: &Statement) -> (String, Option<&'static str>) {
        self.words.hazards.stated(statement)
    }

    /// The words for a key.
    pub(super) fn say(&self, key: &str) -> String {
        self.words.say(key)
    }

    /// What stands between braces in a text, evaluated; a name that is not told is a phrase in the site's language.
    fn values(&self, recipe: Option<usize>, text: &str, body: Span) -> Vec<(Expression, Evaluated)> {
        let mut values = evaluate_all(self.computed, recipe, text, body);
        for printed in values.iter_mut().filter_map(|(_, value)| value.as_mut().ok()) {
            if printed.kind == Kind::Unnamed {
                printed.text = self.say("word.a_recipe");
            }
        }
        values
    }

    /// A short phrase of the format or of the trade in the site's language: a unit, a kind of ice, the name of a process.
    pub(super) fn phrase(&self, text: &str) -> String {
        let key = format!("phrase.{}", text.replace([' ', '-'], "_"));
        self.words.find(&key).map_or_else(|| text.to_owned(), str::to_owned)
    }

    /// The word for an allergen tag.
    pub(super) fn allergen(&self, tag: &str) -> String {
        self.words.find(&format!("allergen.{tag}")).map_or_else(|| word(tag).to_owned(), str::to_owned)
    }

    /// By which list allergens are declared.
    fn allergen_list(&self) -> String {
        self.say(match self.house().allergens_regime.as_str() {
            "us" => "allergens.list_us",
            "uk" => "allergens.list_uk",
            _ => "allergens.list_eu",
        })
    }

    /// What a recipe contains, in one line; `None` where nothing is declared and nothing unknown.
    fn contains_line(&self, diet: &Diet) -> Option<String> {
        let mut words: Vec<String> = diet.contains.keys().map(|t| self.allergen(t)).collect();
        if !diet.unknown.is_empty() {
            words.push(self.say("allergens.partly_unknown"));
        }
        (!words.is_empty()).then(|| self.words.with("allergens.contains_line", &[("names", &words.join(", "))]))
    }

    /// How long something keeps: `7 d at 4 °C`.
    pub(super) fn at_temperature(&self, at_c: Option<f64>) -> String {
        match at_c {
            Some(c) => self.words.with("keeping.at", &[("temperature", &show::temperature(c).replace('-', "−"))]),
            None => self.say("keeping.at_unknown"),
        }
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
            None => self.say("word.recipes"),
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
        if let Some(wanted) = stem.strip_prefix("ingredients/") {
            let ingredient = self.ingredient_slugs.iter().position(|slug| !slug.is_empty() && slug == wanted);
            return ingredient.and_then(|i| self.ingredient_href(i));
        }
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
            (None, Err(because)) => json!({ "because": because.short() }),
        };
        let mut parts: Vec<String> = Vec::new();
        if note.makes == Makes::Prep {
            parts.push(self.say("word.prep"));
            if let Some(keep) = note.keeps.first() {
                let time = show::hours(keep.hours);
                let at = keep.at_c.map_or(String::new(), |c| self.at_temperature(Some(c)));
                parts.push(self.words.with("keeping.keeps", &[("time", &time), ("at", &at)]).trim().to_owned());
            }
        } else {
            parts.extend(note.family.as_ref().map(|f| f.value.clone()));
            parts.extend(note.serve.glass.as_ref().map(|g| g.value.clone()));
        }
        json!({
            "name": name, "href": href, "measure": measure, "line": parts.join(" · "),
            "allergens": self.contains_line(&self.safety.diet(recipe)),
            "badge": (!note.publish).then(|| self.say("recipe.unpublished")),
        })
    }

    fn picture(&self, recipe: usize) -> Option<Value> {
        let picture = self.note(recipe).picture.as_ref()?;
        let made = self.pictures.get(&picture.file.value.replace('\\', "/"))?;
        let alt = picture.alt.as_ref().map_or("", |a| a.value.as_str());
        let (last, _) = made.variants.last()?;
        let srcset: Vec<String> =
            made.variants.iter().map(|(path, width)| format!("../{} {width}w", address(path))).collect();
        let (width, height) = made.size;
        Some(json!({
            "src": address(last), "alt": alt, "width": width, "height": height,
            "srcset": (srcset.len() > 1).then(|| srcset.join(", ")), "sizes": "(min-width: 64rem) 33rem, 100vw",
        }))
    }

    /// Pictures of shown recipes, by their path below `media/`, with the place that names them.
    fn named_pictures(&self) -> BTreeMap<String, Span> {
        self.recipes()
            .filter_map(|r| self.note(r).picture.as_ref())
            .map(|p| (p.file.value.replace('\\', "/"), p.file.span))
            .collect()
    }

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
fn fixed_pages(site: &Site<'_>) -> Vec<Page> {
    let mut front = page("site/front.html", "index.html", "front", &site.house().name, ("front", lists::front(site)));
    front.scripts = &["index.js", "find.js"];
    front.description = Some(site.say("base.description"));
    let drinks: Vec<usize> = lists::chapters(site).into_values().flatten().collect();
    front.structured = structured::list(site.computed, &site.house().name, &drinks);
    front.in_data = true;
    let mut find = page("site/find.html", "find.html", "find", &site.say("find.title"), ("find", finder::page(site)));
    find.scripts = &["index.js", "find.js"];
    let mut allergens = page(
        "site/allergens.html",
        "allergens.html",
        "allergens",
        &site.say("allergens.title"),
        ("matrix", lists::allergens(site)),
    );
    allergens.scripts = &["lists.js"];
    let mut map = page(
        "site/balance-map.html",
        "balance-map.html",
        "map",
        &site.say("map.title"),
        ("balance_map", balance_map::page(site)),
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

fn recipe_page(site: &Site<'_>, recipe: usize) -> Page {
    let note = site.note(recipe);
    let mut body = recipe_page::page(site, recipe);
    let beside = scaling::put_beside(&mut body["scaling"], &site.computed.graph.nodes[recipe].slug);
    let mut made = page("site/recipe.html", site.recipe_href(recipe), "front", &note.name.value, ("recipe", body));
    made.beside = beside;
    made.styles = &[];
    made.description = Some(structured::description(site.computed, recipe));
    made.revision = note.version.as_ref().map(|v| site.words.with("recipe.version", &[("version", v)]));
    if !site.is_house() {
        made.share = structured::share(site.computed, recipe);
        made.structured = Some(structured::recipe(site.computed, recipe));
        made.in_data = true;
    }
    made
}

fn all_pages(site: &Site<'_>) -> Vec<Page> {
    let mut pages = fixed_pages(site);
    for (chapter, recipes) in lists::chapters(site) {
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
    let mut site = Site::new(computed, truth, edition);
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
    site: &Site<'_>,
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

fn render(site: &Site<'_>, notes: &Notes, templates: &Tera, page: &Page) -> Result<String, Box<Problem>> {
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
