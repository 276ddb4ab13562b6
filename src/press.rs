//! Pressing: computed recipes to files. It places and rounds; it computes nothing and writes nothing to disk.

pub mod amount;
pub mod card;
mod content;
pub mod film;
mod hazard_words;
pub mod notes;
mod pictures;
#[cfg(feature = "pdf")]
pub mod print;
mod publication;
pub mod site;
mod structured;
mod text;
mod words;

use std::collections::BTreeMap;
use std::path::PathBuf;

/// What a file will hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Content {
    /// These bytes.
    Bytes(Vec<u8>),
    /// A copy of a file of the notebook.
    Copy(PathBuf),
}

/// Files by path below the output folder, with `/` between the parts.
pub type Output = BTreeMap<String, Content>;

/// Which edition is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edition {
    /// What guests and readers see.
    Public,
    /// With prices, trials, readings, notes and unpublished recipes.
    House,
}

/// A path as it stands in a link: what an address may not hold is written in percent form.
fn address(path: &str) -> String {
    let mut out = String::new();
    for byte in path.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte) {
            out.push(char::from(byte));
        } else {
            out.push_str(&format!("%{byte:02X}"));
        }
    }
    out
}
