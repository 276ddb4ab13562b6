//! Checks: what can be wrong with a notebook that reads and computes. One file a check; each returns problems.

mod address;
mod dose;
mod family;
mod film;
mod hazard;
mod keeping;
mod log;
mod picture;
mod prose;
mod syrup;
pub mod tag;
mod unknown;
mod untagged;
mod weighed;

use std::collections::BTreeSet;

use crate::notebook::recipe_note::RecipeNote;
use crate::problem::{Problem, Severity, code};
use crate::recipe::run::Computed;
use crate::source::FileId;

/// Every check of recipes, in the order they are run; the order of what they report is fixed later.
const OF_RECIPES: &[fn(&Asked<'_>, &mut Vec<Problem>)] = &[
    picture::check,
    film::check,
    tag::recipes,
    untagged::recipes,
    family::check,
    dose::check,
    hazard::check,
    syrup::check,
    unknown::check,
    prose::recipes,
    weighed::check,
];

/// Every check of what no recipe holds by itself.
const OF_THE_REST: &[fn(&Computed, &mut Vec<Problem>)] =
    &[address::check, tag::pantry, untagged::pantry, prose::pages, log::check];

/// What is checked: recipes with all that they use, so that what is told of one does not depend on who else is asked about.
struct Asked<'a> {
    computed: &'a Computed,
    recipes: BTreeSet<usize>,
    /// Whether these are all of the notebook, so that what is missing among them is missing.
    whole: bool,
}

impl Asked<'_> {
    fn notes(&self) -> impl Iterator<Item = (usize, &RecipeNote)> {
        self.recipes.iter().map(|r| (*r, &self.computed.graph.notes.recipes[*r]))
    }
}

/// Runs every check on everything.
#[must_use]
pub fn check(computed: &Computed) -> Vec<Problem> {
    let asked = Asked { computed, recipes: (0..computed.made.len()).collect(), whole: true };
    let mut problems = Vec::new();
    OF_RECIPES.iter().for_each(|check| check(&asked, &mut problems));
    OF_THE_REST.iter().for_each(|check| check(computed, &mut problems));
    problems
}

/// Runs the checks of one recipe and of all that it uses.
#[must_use]
pub fn check_one(computed: &Computed, recipe: usize) -> Vec<Problem> {
    let asked = Asked { computed, recipes: computed.graph.closure(recipe), whole: false };
    let mut problems = Vec::new();
    OF_RECIPES.iter().for_each(|check| check(&asked, &mut problems));
    tag::pantry(computed, &mut problems);
    problems
}

/// Takes out what is said only where nothing else is: that no figure of a recipe can be computed, where an error or a warning in
/// its file tells why already.
pub fn once(problems: &mut Vec<Problem>) {
    let told: BTreeSet<FileId> =
        problems.iter().filter(|p| p.severity != Severity::Note).map(|p| p.at.span.file).collect();
    problems.retain(|p| p.code != code::NOTHING_KNOWN || !told.contains(&p.at.span.file));
}
