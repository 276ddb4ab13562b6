//! Reading: a folder of text to typed notes, in which everything has its place and anything may be missing.
//!
//! In: a folder. Out: [`Notes`] and every problem of form. It knows no other file's content while it reads one:
//! names are resolved later, in `recipe`.

pub mod builtin;
pub mod fact;
pub mod fields;
pub mod front_matter;
pub mod house;
pub mod keeping;
pub mod log;
pub mod page;
pub mod pantry;
pub mod pour;
pub mod process_line;
pub mod publishing;
pub mod reading;
pub mod recipe_note;
pub mod value;
pub mod walk;
pub mod yaml;

use std::path::Path;

use rayon::prelude::*;

use crate::problem::Problem;
use crate::source::{SourceFile, Sources, Span};
use builtin::Builtin;
use house::House;
use log::LogEntry;
use page::PageNote;
use pantry::ItemNote;
use recipe_note::RecipeNote;
use walk::{Asset, Kind, TextFile};

/// Everything a notebook says, as written.
#[derive(Debug, Clone)]
pub struct Notes {
    /// Every file, for spans.
    pub sources: Sources,
    /// The house.
    pub house: House,
    /// The built-in pantry.
    pub builtin: Builtin,
    /// The house's pantry.
    pub pantry: Vec<ItemNote>,
    /// Recipes, in path order.
    pub recipes: Vec<RecipeNote>,
    /// Plain pages, in path order.
    pub pages: Vec<PageNote>,
    /// Log entries, in file order.
    pub log: Vec<LogEntry>,
    /// Pictures.
    pub media: Vec<Asset>,
    /// Templates of the house.
    pub templates: Vec<Asset>,
}

enum Parsed {
    House(Box<House>),
    Pantry(Vec<ItemNote>),
    Recipe(Option<Box<RecipeNote>>),
    Page(PageNote),
    Log(Vec<LogEntry>),
}

/// Reads the notebook at `root`. Never stops at the first fault: what can be read is, and every problem is returned.
#[must_use]
pub fn read(root: &Path) -> (Notes, Vec<Problem>) {
    let mut sources = Sources::default();
    let mut problems = Vec::new();
    let builtin = builtin::read(&mut sources);
    let found = walk::walk(root, &mut sources, &mut problems);
    let parsed: Vec<(Parsed, Vec<Problem>)> = found
        .texts
        .par_iter()
        .map(|file| {
            let mut problems = Vec::new();
            (parse(*file, sources.get(file.id), &mut problems), problems)
        })
        .collect();
    let mut notes = Notes {
        house: House::default_at(builtin.file),
        sources,
        builtin,
        pantry: Vec::new(),
        recipes: Vec::new(),
        pages: Vec::new(),
        log: Vec::new(),
        media: found.media,
        templates: found.templates,
    };
    for (file, found) in parsed {
        problems.extend(found);
        match file {
            Parsed::House(house) => notes.house = *house,
            Parsed::Pantry(items) => notes.pantry.extend(items),
            Parsed::Recipe(recipe) => notes.recipes.extend(recipe.map(|r| *r)),
            Parsed::Page(page) => notes.pages.push(page),
            Parsed::Log(entries) => notes.log.extend(entries),
        }
    }
    (notes, problems)
}

fn parse(file: TextFile, source: &SourceFile, problems: &mut Vec<Problem>) -> Parsed {
    let text = source.text.as_str();
    let whole = |problems: &mut Vec<Problem>| yaml::read(text, file.id, 0, problems);
    match file.kind {
        Kind::House => Parsed::House(Box::new(house::house(whole(problems), file.id, problems))),
        Kind::Pantry => Parsed::Pantry(whole(problems).map_or_else(Vec::new, |n| pantry::items(n, problems))),
        Kind::Log => Parsed::Log(whole(problems).map_or_else(Vec::new, |n| log::entries(n, problems))),
        Kind::Recipe => Parsed::Recipe(recipe(file, source, problems).map(Box::new)),
        Kind::Page => {
            let halves = front_matter::split(text, file.id, true, problems);
            let (node, body) = match halves {
                Some(h) => (
                    yaml::read(&text[h.yaml.0..h.yaml.1], file.id, h.yaml.0, problems),
                    Span::new(file.id, h.body.0, h.body.1),
                ),
                None => (None, Span::new(file.id, 0, text.len())),
            };
            let path = below(&source.path, "pages/");
            Parsed::Page(page::page(node, file.id, path, body, text, problems))
        }
    }
}

fn recipe(file: TextFile, source: &SourceFile, problems: &mut Vec<Problem>) -> Option<RecipeNote> {
    let text = source.text.as_str();
    let halves = front_matter::split(text, file.id, false, problems)?;
    let before = problems.len();
    let node = yaml::read(&text[halves.yaml.0..halves.yaml.1], file.id, halves.yaml.0, problems);
    let Some(node) = node else {
        if problems.len() == before {
            problems.push(
                Problem::new(crate::problem::code::EMPTY_FILE, Span::new(file.id, 0, 3), "this front matter is empty")
                    .help("write at least `name:` and `mix:`"),
            );
        }
        return None;
    };
    let body = Span::new(file.id, halves.body.0, halves.body.1);
    recipe_note::recipe(node, file.id, below(&source.path, "recipes/"), body, problems)
}

fn below<'a>(path: &'a str, folder: &str) -> &'a str {
    let path = path.strip_prefix(folder).unwrap_or(path);
    path.rsplit_once('.').map_or(path, |(stem, _)| stem)
}
