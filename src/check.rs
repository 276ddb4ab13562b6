//! Checks: what can be wrong with a notebook that reads and computes. One file a check; each returns problems.

mod address;
mod dose;
mod family;
mod film;
mod hazard;
mod keeping;
mod log;
mod picture;
mod prose;
pub mod tag;
mod weighed;

use crate::problem::Problem;
use crate::recipe::run::Computed;

/// Every check, in the order they are run; the order of what they report is fixed later.
const CHECKS: &[fn(&Computed, &mut Vec<Problem>)] = &[
    address::check,
    picture::check,
    film::check,
    tag::check,
    family::check,
    dose::check,
    hazard::check,
    prose::check,
    log::check,
    weighed::check,
];

/// Runs every check.
#[must_use]
pub fn check(computed: &Computed) -> Vec<Problem> {
    let mut problems = Vec::new();
    for check in CHECKS {
        check(computed, &mut problems);
    }
    problems
}
