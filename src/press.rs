//! Pressing: computed recipes to files. It places and rounds; it computes nothing and writes nothing to disk.

pub mod site;

use std::collections::BTreeMap;

/// Files by path below the output folder, with `/` between the parts.
pub type Output = BTreeMap<String, Vec<u8>>;

/// Which edition is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edition {
    /// What guests and readers see.
    Public,
    /// With prices, trials, readings, notes and unpublished recipes.
    House,
}
