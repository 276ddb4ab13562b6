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
    problem::sort(&mut problems, &computed.graph.notes.sources);
    (computed, problems)
}
