//! A publication: the notebook as one edition tells it, in one language, with the addresses of its pages.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::{Value, json};

use super::hazard_words::Told;
use super::pictures::Picture;
use super::words::{self, Of, Words};
use super::{Edition, address};
use crate::ask::diet::{Diet, word};
use crate::ask::labelling::Statement;
use crate::ask::prose::{Evaluated, Expression, Kind, evaluate_all};
use crate::ask::safety::{Rule, Survey};
use crate::measure::{Unit, show};
use crate::notebook::house::House;
use crate::notebook::recipe_note::{Makes, RecipeNote};
use crate::recipe::names::{Target, slug};
use crate::recipe::run::Computed;
use crate::source::Span;

/// What every page is made from.
pub(super) struct Publication<'a> {
    pub(super) computed: &'a Computed,
    pub(super) edition: Edition,
    /// Ingredients that have a page.
    pub(super) ingredients: BTreeSet<usize>,
    /// Their addresses, in the pantry's order.
    pub(super) ingredient_slugs: Vec<String>,
    /// What the pages say.
    pub(super) words: Words,
    /// Pictures of the shown recipes, by their path below `media/`.
    pub(super) pictures: BTreeMap<String, Picture>,
    /// Hazards, keeping and allergens, of the notebook as it is: what a reading shows to be dangerous is dangerous in every edition.
    pub(super) safety: Survey,
}

impl<'a> Publication<'a> {
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
    pub(super) fn values(&self, recipe: Option<usize>, text: &str, body: Span) -> Vec<(Expression, Evaluated)> {
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
        self.words.phrase(text)
    }

    /// The word for an allergen tag.
    pub(super) fn allergen(&self, tag: &str) -> String {
        self.words.find(&format!("allergen.{tag}")).map_or_else(|| word(tag).to_owned(), str::to_owned)
    }

    /// By which list allergens are declared.
    pub(super) fn allergen_list(&self) -> String {
        self.say(match self.house().allergens_regime.as_str() {
            "us" => "allergens.list_us",
            "uk" => "allergens.list_uk",
            _ => "allergens.list_eu",
        })
    }

    /// What a recipe contains, in one line; `None` where nothing is declared and nothing unknown.
    pub(super) fn contains_line(&self, diet: &Diet) -> Option<String> {
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

    pub(super) fn drinks(&self) -> impl Iterator<Item = usize> + '_ {
        self.recipes().filter(|r| self.note(*r).makes == Makes::Drink)
    }

    /// Units in which volumes are shown, at most two.
    pub(super) fn views(&self) -> Vec<Unit> {
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

    pub(super) fn chapter_href(&self, chapter: &str) -> String {
        let name = if chapter.is_empty() { "recipes".to_owned() } else { slug(chapter) };
        format!("chapters/{name}.html")
    }

    pub(super) fn recipe_href(&self, recipe: usize) -> String {
        format!("recipes/{}.html", self.computed.graph.nodes[recipe].slug)
    }

    pub(super) fn ingredient_href(&self, ingredient: usize) -> Option<String> {
        self.ingredients
            .contains(&ingredient)
            .then(|| format!("ingredients/{}.html", self.ingredient_slugs[ingredient]))
    }

    /// A name and the page it leads to, where there is one.
    pub(super) fn target(&self, target: Target) -> (String, Option<String>) {
        match target {
            Target::Recipe(i) => self.name_and_link(i),
            Target::Ingredient(i) => {
                (self.computed.graph.pantry.ingredients[i].name().to_owned(), self.ingredient_href(i))
            }
        }
    }

    pub(super) fn name_and_link(&self, recipe: usize) -> (String, Option<String>) {
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
    pub(super) fn row(&self, recipe: usize, because: Option<String>) -> Value {
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

    pub(super) fn picture(&self, recipe: usize) -> Option<Value> {
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
    pub(super) fn named_pictures(&self) -> BTreeMap<String, Span> {
        self.recipes()
            .filter_map(|r| self.note(r).picture.as_ref())
            .map(|p| (p.file.value.replace('\\', "/"), p.file.span))
            .collect()
    }

    pub(super) fn pages(&self) -> impl Iterator<Item = &crate::notebook::page::PageNote> {
        let list = self.computed.graph.notes.pages.iter();
        list.filter(|p| (p.publish || self.is_house()) && !matches!(p.path.as_str(), "index" | "front"))
    }
}
