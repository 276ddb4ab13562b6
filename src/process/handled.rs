//! Handling without ice: dry-shaking, rolling, muddling, smoking, flaming. Nothing goes in and nothing out.
//!
//! - `to`: °C, −60 to 100; the temperature stays where the line doesn't say
//! - `for`: time, h
//!
//! Flavour from smoke, air or crushed leaves is not counted: no published relation was found. A flame burns some alcohol; that
//! isn't counted either, because the one published figure (`relation::alcohol_retention`) is for dishes.

use super::carbonate::gassy;
use super::frozen;
use super::given::{nothing, temperature};
use super::remark::number;
use super::rest::{REACH, REACH_BECAUSE};
use super::{Args, Bar, Finding, Outcome, Process};
use crate::mixture::Mixture;
use crate::relation::alcohol_retention;

/// Runs `dry-shake`.
pub(super) fn dry_shake(before: &Mixture, args: &Args, _bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    if let Some(finding) = gassy(before, "shaken in a closed tin") {
        return Err(finding);
    }
    handled(before, args)
}

/// Runs `roll`.
pub(super) fn roll(before: &Mixture, args: &Args, _bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    handled(before, args)
}

/// Runs `muddle`.
pub(super) fn muddle(before: &Mixture, args: &Args, _bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    handled(before, args)
}

/// Runs `smoke`.
pub(super) fn smoke(before: &Mixture, args: &Args, _bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    let mut outcome = handled(before, args)?;
    outcome.remarks.push("what the smoke leaves in it is not counted".into());
    Ok(outcome)
}

/// Runs `flame`.
pub(super) fn flame(before: &Mixture, args: &Args, _bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    let mut outcome = handled(before, args)?;
    outcome.remarks.push(format!(
        "alcohol that burns is not counted; a published table keeps {} % of it in a dish that is flamed ({})",
        number(100.0 * alcohol_retention::FLAMED),
        alcohol_retention::ERROR
    ));
    outcome.sources.push(alcohol_retention::SOURCE);
    Ok(outcome)
}

/// The mixture as it was, at `to` where the line says so.
fn handled(before: &Mixture, args: &Args) -> Result<Outcome, Finding> {
    let to = temperature(args, "to", REACH, REACH_BECAUSE)?;
    if let Some(done) = nothing(before) {
        return done;
    }
    let mut outcome = Outcome::of(before.clone());
    if let Some(t) = to {
        frozen::bring(&mut outcome.mixture, t, &mut outcome.remarks);
    }
    Ok(outcome)
}
