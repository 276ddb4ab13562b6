//! Prose: every expression in a method or on a page can be computed.

use super::Asked;
use crate::ask::prose::{Kind, UNNAMED, evaluate_all};
use crate::problem::{Problem, code};
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
    for (expression, value) in evaluate_all(computed, recipe, text, body) {
        match value {
            Err(problem) => problems.push(*problem),
            Ok(printed) if printed.kind == Kind::Unnamed => {
                let span = body.part(expression.range.0, expression.range.1);
                problems.push(
                    Problem::new(
                        code::NAME_UNPUBLISHED,
                        span,
                        format!("this text is published and `{}` is not", named(&expression.code)),
                    )
                    .help(format!(
                        "readers are told “{UNNAMED}” in its place: publish the recipe, or write what they may read"
                    )),
                );
            }
            Ok(_) => {}
        }
    }
}

/// The recipe that an expression names: what stands in its quotes.
fn named(code: &str) -> &str {
    code.split(['"', '\'']).nth(1).unwrap_or(code)
}
