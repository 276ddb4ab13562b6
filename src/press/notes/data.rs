//! What a note's template is given. Every number is text by then, rounded as on the site; `templates/notes/DATA.md` is
//! generated from these types and their comments.

use schemars::JsonSchema;
use serde::Serialize;

use crate::press::card::Card;

/// What every note of a recipe is given.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Note {
    /// The house that publishes.
    pub house: House,
    /// The recipe.
    pub recipe: Recipe,
    /// How much must be left out so that the note keeps to the house's limit: 0 nothing; 1 the steps; 2 the preps' ingredients
    /// and the equipment too; 3 all but name, strength, ingredients, allergens and cautions. A template that never asks is cut at the end.
    pub cut: u8,
}

/// The house.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct House {
    /// Its name.
    pub name: String,
    /// Address of its site, with a slash at its end.
    pub address: Option<String>,
    /// Credit line.
    pub credit: Option<String>,
    /// Language tag of what it writes.
    pub language: String,
    /// Lines for the foot of a description.
    pub links: Vec<String>,
    /// Its colours.
    pub colours: Colours,
    /// The sentence that stands under everything that is published.
    pub caution: String,
    /// The line on alcohol, driving, pregnancy and age.
    pub alcohol: String,
}

/// Colours as `#12201f`.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Colours {
    /// The ground.
    pub paper: String,
    /// What is written on it.
    pub ink: String,
    /// What stands out.
    pub accent: String,
}

/// A published recipe, without anything that only the house sees.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Recipe {
    /// Its name.
    pub name: String,
    /// Its address: the folder that the notes stand in.
    pub slug: String,
    /// `drink` or `house prep`.
    pub makes: String,
    /// Balance family.
    pub family: Option<String>,
    /// Version as written.
    pub version: Option<String>,
    /// Tags.
    pub tags: Vec<String>,
    /// One or two sentences.
    pub summary: String,
    /// What the method says before its steps, paragraph by paragraph.
    pub intro: Vec<String>,
    /// Whole address of its page on the site.
    pub page: Option<String>,
    /// How much it makes: `16 glasses of 95 ml`.
    pub yields: Option<String>,
    /// Strength in the glass, or of the batch for a prep: `13.9`, % vol.
    pub strength: Option<String>,
    /// What a batch comes to, as a sentence; empty for a drink that is made one at a time.
    pub yields_line: String,
    /// Whether it holds alcohol: `yes`, `no` or `unknown`.
    pub alcohol: String,
    /// What to say of the alcohol in it; empty where there is none.
    pub alcohol_line: String,
    /// What one serve is; absent for a prep.
    pub serve: Option<Serve>,
    /// The sentence on strength and standard drinks.
    pub strength_line: String,
    /// What goes in, in groups.
    pub ingredients: Vec<Group>,
    /// House-made components in the order in which they are made.
    pub preps: Vec<Prep>,
    /// Tools and vessels, from processes and pours.
    pub equipment: Vec<String>,
    /// The method.
    pub steps: Vec<Step>,
    /// Allergens and diet.
    pub allergens: Allergens,
    /// Cautions, the gravest first.
    pub cautions: Vec<Caution>,
    /// Keeping: `7 d at 4 °C, sealed`.
    pub keeps: Vec<String>,
    /// The film.
    pub film: Option<Film>,
    /// Its picture.
    pub picture: Option<Picture>,
    /// Other ingredients that its writer allows, and what each changes.
    pub swaps: Vec<Swap>,
    /// Shots for a film.
    pub shots: Vec<Shot>,
    /// Words for those who do not see the pictures.
    pub alt: Alt,
    /// Structured data (schema.org, JSON-LD), indented.
    pub structured: String,
    /// Open Graph properties.
    pub share: Vec<Property>,
    /// What the picture cards are drawn from.
    pub card: Card,
}

/// A caution.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Caution {
    /// `danger`, `caution` or `note`.
    pub severity: String,
    /// What can happen.
    pub what: String,
    /// What to do.
    pub act: String,
    /// A limit, in words.
    pub limit: Option<String>,
}

/// One serve of a drink.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Serve {
    /// All of it, to stand behind a colon: `95 ml in a coupe, no ice, with lemon peel.`
    pub line: String,
    /// Whole glasses from one batch.
    pub count: Option<String>,
    /// Of the batch into each glass; absent where the whole mixture is one serve.
    pub poured: Option<String>,
    /// Volume in the glass, all that goes in last included: `107 ml`.
    pub volume: Option<String>,
    /// The glass.
    pub glass: Option<String>,
    /// Ice in the glass, as words that stand alone: `no ice`, `crushed ice`.
    pub ice: Option<String>,
    /// Garnish.
    pub garnish: Option<String>,
    /// Ethanol: `10.2`, g.
    pub ethanol_g: Option<String>,
    /// Standard drinks by the house's regime: `1.3`.
    pub standard_drinks: Option<String>,
    /// What the regime calls them: `UK units`.
    pub standard_drinks_unit: String,
    /// Energy: `113`, kcal.
    pub energy_kcal: Option<String>,
}

/// Ingredients that go in together.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Group {
    /// Absent for the mix itself: `In the glass`, `Along the way`.
    pub title: Option<String>,
    /// Its lines.
    pub lines: Vec<Line>,
}

/// One ingredient.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Line {
    /// The amount in the house's first unit system: `120 ml`.
    pub amount: String,
    /// In the second, where it differs: `4.06 oz`.
    pub other: Option<String>,
    /// The name.
    pub name: String,
    /// Small words before the name: `top with`.
    pub manner: Option<String>,
    /// What stands behind the name: `strained`, `to clarify`.
    pub preparation: Option<String>,
    /// All of it in one line: `120 ml (4.06 oz) lemon juice, strained`.
    pub text: String,
}

/// A house-made component.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Prep {
    /// Its name.
    pub name: String,
    /// Whether the house publishes it; if not, there is only its name.
    pub published: bool,
    /// How much its recipe makes.
    pub yields: Option<String>,
    /// Its ingredients, mix only.
    pub ingredients: Vec<Line>,
    /// Keeping.
    pub keeps: Vec<String>,
    /// Whole address of its page.
    pub page: Option<String>,
}

/// One step of the method.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Step {
    /// From 1.
    pub number: usize,
    /// The whole step.
    pub text: String,
    /// Its first sentence.
    pub short: String,
}

/// Allergens and diet.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Allergens {
    /// Words: `milk`, `celery`.
    pub contains: Vec<String>,
    /// It may hold traces of these.
    pub may_contain: Vec<String>,
    /// Ingredients whose allergens nobody stated.
    pub unknown: Vec<String>,
    /// `yes`, `no` or `unknown`.
    pub vegan: String,
    /// One sentence that says all of it, and never that something is free of anything.
    pub line: String,
}

/// A film.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Film {
    /// Where it can be seen.
    pub address: Option<String>,
    /// When it was published.
    pub date: Option<String>,
    /// `12:40`.
    pub length: Option<String>,
    /// Its chapters.
    pub chapters: Vec<Chapter>,
    /// Cues for captions, made of the steps; empty as long as nobody wrote how long the film is.
    pub captions: Vec<Cue>,
}

/// A chapter of a film.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Chapter {
    /// `2:20`.
    pub at: String,
    /// The same in seconds.
    pub seconds: u32,
    /// Its title.
    pub title: String,
    /// WebVTT timestamp of its start.
    pub start: String,
    /// WebVTT timestamp of its end; absent for the last one of a film without a length.
    pub end: Option<String>,
}

/// A cue of a caption file.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Cue {
    /// WebVTT timestamp.
    pub start: String,
    /// WebVTT timestamp.
    pub end: String,
    /// One or two lines.
    pub lines: Vec<String>,
}

/// A picture.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Picture {
    /// Its file below `media/`.
    pub file: String,
    /// What it shows.
    pub alt: String,
    /// Whole address on the site.
    pub address: Option<String>,
}

/// Another ingredient in place of one.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Swap {
    /// What is replaced.
    pub of: String,
    /// By how much of what: `22.5 ml (0.76 oz) agave syrup`.
    pub with: String,
    /// What it changes, each in words with both figures: `sugar from 7.1 to 7.4 g/100 ml`; empty where nothing that is computed changes.
    pub changes: Vec<String>,
    /// All of it in one sentence.
    pub text: String,
}

/// One shot of a film.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Shot {
    /// From 1.
    pub number: usize,
    /// What it shows.
    pub what: String,
    /// How: `close, with sound`.
    pub how: String,
}

/// Words for those who do not see the pictures.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Alt {
    /// Of the recipe's picture.
    pub picture: Option<String>,
    /// Of both cards.
    pub card: String,
}

/// A property of a page's head.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Property {
    /// `og:title`.
    pub property: String,
    /// Its value.
    pub content: String,
}

/// What the index of the notes is given.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Index {
    /// The house.
    pub house: House,
    /// Recipes with notes, by name.
    pub recipes: Vec<Entry>,
    /// What the last press that changed anything changed.
    pub changes: Changes,
}

/// A recipe in the index.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Entry {
    /// Its name.
    pub name: String,
    /// Its folder.
    pub slug: String,
    /// One or two sentences.
    pub summary: String,
    /// Words for its card.
    pub card_alt: String,
    /// Whole address of its page.
    pub page: Option<String>,
    /// Its files.
    pub files: Vec<String>,
    /// Whether it has a picture, a film.
    pub lacks: Vec<String>,
}

/// What a press changed, by content.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, serde::Deserialize, JsonSchema)]
pub struct Changes {
    /// Whether there was anything before.
    pub first: bool,
    /// Recipes that had no notes before, by name.
    pub new: Vec<String>,
    /// Recipes whose notes changed.
    pub changed: Vec<Changed>,
    /// Folders of notes that are gone.
    pub gone: Vec<String>,
}

/// A recipe whose notes changed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, serde::Deserialize, JsonSchema)]
pub struct Changed {
    /// Its name.
    pub name: String,
    /// The files that changed.
    pub files: Vec<String>,
}
