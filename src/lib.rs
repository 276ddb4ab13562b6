//! Costrel compiles a folder of drink recipes into checked, computed specs.
//!
//! The passes, one way, each with its own type:
//!
//! ```text
//! text ─read→ notes ─resolve→ graph ─run→ computed recipes ─ask→ answers ─press→ output
//! ```
//!
//! Imports run one way too: `command → press → check → ask → recipe → notebook → process → mixture → relation →
//! measure → problem → source`. Files are read in `notebook::walk` and written in `command`; no pass asks the clock, the
//! locale or chance, so the same notebook gives the same bytes everywhere.

pub mod ask;
pub mod check;
pub mod command;
pub mod measure;
pub mod mixture;
pub mod notebook;
pub mod press;
pub mod problem;
pub mod process;
pub mod recipe;
pub mod relation;
pub mod source;

use std::path::Path;

use problem::Problem;
use recipe::run::Computed;

/// Reads, resolves, runs and checks the notebook at `root`: the passes on one line each.
///
/// Returns the computed recipes and every problem of the whole notebook, in their stable order. It never stops early.
#[must_use]
pub fn compile(root: &Path) -> (Computed, Vec<Problem>) {
    let (notes, mut problems) = notebook::read(root);
    let (graph, found) = recipe::graph::resolve(notes);
    problems.extend(found);
    let (computed, found) = recipe::run::run(graph);
    problems.extend(found);
    problems.extend(check::check(&computed));
    check::once(&mut problems);
    problem::sort(&mut problems, &computed.graph.notes.sources);
    (computed, problems)
}

/// As [`compile`] for a question about one recipe, wanted by its name, slug or file: everything is read and resolved, and only
/// that recipe with all that it uses is run and checked. Others are run if an answer comes to need them.
///
/// Returns the computed recipes, every problem of reading and resolving with those of running and checking the recipe, and which
/// it is, if there is one.
#[must_use]
pub fn compile_one(root: &Path, wanted: &str) -> (Computed, Vec<Problem>, Option<usize>) {
    let (notes, mut problems) = notebook::read(root);
    let (graph, found) = recipe::graph::resolve(notes);
    problems.extend(found);
    let recipe = graph.recipe(wanted);
    let computed = match recipe {
        Some(recipe) => {
            let (computed, found) = recipe::run::run_one(graph, recipe);
            problems.extend(found);
            problems.extend(check::check_one(&computed, recipe));
            computed
        }
        None => recipe::run::on_demand(graph),
    };
    check::once(&mut problems);
    problem::sort(&mut problems, &computed.graph.notes.sources);
    (computed, problems, recipe)
}
