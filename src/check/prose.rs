//! Prose: every expression in a method or on a page can be computed.

use crate::ask::prose::evaluate_all;
use crate::problem::Problem;
use crate::recipe::run::Computed;

pub(super) fn check(computed: &Computed, problems: &mut Vec<Problem>) {
    let notes = &computed.graph.notes;
    let recipes = notes.recipes.iter().enumerate().map(|(i, r)| (Some(i), r.body));
    let pages = notes.pages.iter().map(|p| (None, p.body));
    for (recipe, body) in recipes.chain(pages) {
        let text = notes.sources.text(body);
        for (_, value) in evaluate_all(computed, recipe, text, body) {
            problems.extend(value.err().map(|p| *p));
        }
    }
}
