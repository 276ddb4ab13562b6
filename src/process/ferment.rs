//! (being written)

use super::{Args, Bar, Finding, Outcome, Process};
use crate::mixture::Mixture;

pub(super) fn run(before: &Mixture, _args: &Args, _bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    Ok(Outcome::of(before.clone()))
}
