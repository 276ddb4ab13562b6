//! Arguments that cannot be followed. They stand in no file, so they are told as they were typed.

use crate::notebook::fields::nearest;
use crate::press::publication::Publication;
use crate::problem::{Code, Problem};

/// An argument that cannot be followed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WrongArgument {
    /// Which problem it is.
    pub code: Code,
    /// The argument as typed, and the fact.
    pub message: String,
    /// One thing to do.
    pub help: String,
}

impl WrongArgument {
    pub(super) fn new(code: Code, message: impl Into<String>, help: impl Into<String>) -> Self {
        Self { code, message: message.into(), help: help.into() }
    }
}

/// Why nothing was printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotPrinted {
    /// What was asked for is not there, or cannot be.
    Asked(Vec<WrongArgument>),
    /// The notebook's own templates or fonts are at fault, each at its place.
    Faulty(Vec<Problem>),
}

impl From<Vec<WrongArgument>> for NotPrinted {
    fn from(list: Vec<WrongArgument>) -> Self {
        Self::Asked(list)
    }
}

impl From<Vec<Problem>> for NotPrinted {
    fn from(list: Vec<Problem>) -> Self {
        Self::Faulty(list)
    }
}

/// The names nearest to one that nothing has; else all of a few, else what to do.
pub(super) fn near(wanted: &str, all: &[&str], else_do: &str) -> String {
    let near: Vec<String> = nearest(wanted, all.iter().copied()).iter().map(|n| format!("`{n}`")).collect();
    if near.is_empty() { else_do.to_owned() } else { format!("did you mean {}?", near.join(" or ")) }
}

/// The recipe of an argument, if the edition shows it.
pub(super) fn recipe(site: &Publication<'_>, option: &str, wanted: &str) -> Result<usize, WrongArgument> {
    use crate::problem::code::NO_SUCH_RECIPE;
    match site.computed.graph.recipe(wanted) {
        Some(recipe) if site.shows(recipe) => Ok(recipe),
        Some(recipe) => Err(WrongArgument::new(
            NO_SUCH_RECIPE,
            format!("`{option} {wanted}`: {} is not published", site.note(recipe).name.value),
            "leave out `--edition public` to print it for the house",
        )),
        None => {
            let notes = &site.computed.graph.notes.recipes;
            let shown = (0..notes.len()).filter(|r| site.shows(*r));
            let names: Vec<&str> = shown.map(|r| notes[r].name.value.as_str()).collect();
            let help = near(wanted, &names, "write its name, its slug or its file; `costrel check` counts the recipes");
            Err(WrongArgument::new(NO_SUCH_RECIPE, format!("`{option} {wanted}`: no recipe is called that"), help))
        }
    }
}
