//! (being written)

use super::{Args, Bar, Finding, Outcome, Process};
use crate::mixture::Mixture;

pub(super) fn stir(before: &Mixture, _args: &Args, _bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    Ok(Outcome::of(before.clone()))
}

pub(super) fn shake(before: &Mixture, _args: &Args, _bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    Ok(Outcome::of(before.clone()))
}

pub(super) fn throw(before: &Mixture, _args: &Args, _bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    Ok(Outcome::of(before.clone()))
}

pub(super) fn swizzle(before: &Mixture, _args: &Args, _bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    Ok(Outcome::of(before.clone()))
}
