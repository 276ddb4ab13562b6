//! Log entries: each is of a recipe of the notebook.

use crate::problem::{Problem, code};
use crate::recipe::names::Target;
use crate::recipe::run::Computed;

pub(super) fn check(computed: &Computed, problems: &mut Vec<Problem>) {
    let graph = &computed.graph;
    for entry in &graph.notes.log {
        if matches!(graph.names.get(&entry.recipe.value), Some(Target::Recipe(_))) {
            continue;
        }
        let near = graph.names.near(&entry.recipe.value);
        let help = match near.first() {
            Some(near) => format!("did you mean `{near}`?"),
            None => "write the name of a recipe of this notebook".into(),
        };
        problems.push(
            Problem::new(
                code::UNKNOWN_NAME,
                entry.recipe.span,
                format!("no recipe is called `{}`", entry.recipe.value),
            )
            .help(help),
        );
    }
}
