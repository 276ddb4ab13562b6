//! Recipes of which nothing can be computed: silence would look as if all were well.

use super::Asked;
use crate::problem::{Problem, code};

pub(super) fn check(asked: &Asked<'_>, problems: &mut Vec<Problem>) {
    for (recipe, note) in asked.notes() {
        let last = &asked.computed.made[recipe].last().mixture;
        let figures =
            [last.figure_abv(), last.figure_sugar_per_100ml(), last.figure_acid_per_100ml(), last.figure_volume()];
        if note.mix.is_empty() || figures.iter().any(Result::is_ok) {
            continue;
        }
        // A part of which nothing is known says so itself.
        let parts = asked.computed.graph.closure_of_content(recipe);
        if parts.iter().any(|p| *p != recipe && asked.computed.made[*p].last().mixture.figure_volume().is_err()) {
            continue;
        }
        let Some(Err(because)) = figures.into_iter().next() else { continue };
        problems.push(
            Problem::new(
                code::NOTHING_KNOWN,
                note.name.span,
                format!("no figure of this recipe can be computed: {}", because.text()),
            )
            .help("state what is missing in the pantry, or enter a reading"),
        );
    }
}
