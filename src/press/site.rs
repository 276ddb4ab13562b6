//! The site.

use super::{Edition, Output};
use crate::problem::Problem;
use crate::recipe::run::Computed;

/// Makes the site.
///
/// # Errors
/// Problems with templates of the house.
pub fn site(_computed: &Computed, _edition: Edition) -> Result<Output, Vec<Problem>> {
    Ok(Output::new())
}
