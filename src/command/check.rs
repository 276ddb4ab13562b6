//! `costrel check`: everything that is wrong with the notebook, and where.

use anstream::{eprintln, println};
use clap::Args;
use serde_json::json;

use super::{Setting, Status, open};
use crate::problem::{count, json as as_json};

/// Arguments of `check`.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Let warnings fail as errors do
    #[arg(long)]
    strict: bool,
}

pub(super) fn run(arguments: &Arguments, setting: &Setting) -> Status {
    let opened = match open(setting) {
        Ok(opened) => opened,
        Err(status) => return status,
    };
    let notes = &opened.computed.graph.notes;
    let sum = count(&opened.problems);
    if setting.json {
        let document = json!({
            "recipes": notes.recipes.len(),
            "pantry": notes.pantry.len(),
            "errors": sum.errors,
            "warnings": sum.warnings,
            "notes": sum.notes,
            "problems": as_json::problems(&opened.problems, &notes.sources),
        });
        super::output::document(&document);
    } else {
        opened.print(&opened.problems);
        let text = format!(
            "{}, {} in the pantry: {}, {}, {}",
            many(notes.recipes.len(), "recipe"),
            many(notes.pantry.len(), "item"),
            many(sum.errors, "error"),
            many(sum.warnings, "warning"),
            many(sum.notes, "note")
        );
        if sum.errors > 0 { eprintln!("{text}") } else { println!("{text}") }
    }
    if sum.errors > 0 || (arguments.strict && sum.warnings > 0) { Status::Errors } else { Status::Fine }
}

/// A number and its noun.
pub(super) fn many(n: usize, noun: &str) -> String {
    if n == 1 { format!("1 {noun}") } else { format!("{n} {noun}s") }
}
