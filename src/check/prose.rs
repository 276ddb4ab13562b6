//! Prose: every expression in a method or on a page can be computed.

use super::Asked;
use crate::ask::prose::evaluate_all;
use crate::problem::Problem;
use crate::recipe::run::Computed;
use crate::source::Span;

pub(super) fn recipes(asked: &Asked<'_>, problems: &mut Vec<Problem>) {
    for (recipe, note) in asked.notes() {
        check(asked.computed, Some(recipe), note.body, problems);
    }
}

pub(super) fn pages(computed: &Computed, problems: &mut Vec<Problem>) {
    for page in &computed.graph.notes.pages {
        check(computed, None, page.body, problems);
    }
}

fn check(computed: &Computed, recipe: Option<usize>, body: Span, problems: &mut Vec<Problem>) {
    let text = computed.graph.notes.sources.text(body);
    for (_, value) in evaluate_all(computed, recipe, text, body) {
        problems.extend(value.err().map(|p| *p));
    }
}
