//! Resting, ageing, chilling: time and temperature, nothing in and nothing out; what freezes on the way is ice.
//!
//! - `to`: °C, −60 to 100; `chill` goes to the bar's fridge where the line doesn't say, the others keep the temperature
//! - `for`: time, h; no model of cooling is run, so it is what the writer says that it takes
//!
//! Ice by the lever rule (`relation::freezing`, CRC Handbook 2021; 0.5 °C). Dissolved gas stays in. What a rest gives to taste,
//! and what a cask gives and takes, is not counted: no published relation was found.

use super::frozen;
use super::given::{celsius, nothing, temperature};
use super::remark::number;
use super::{Args, Bar, Finding, Outcome, Process};
use crate::mixture::Mixture;
use crate::problem::code;
use crate::relation::freezing;

/// Coldest and warmest temperature that a line may ask for, °C: deep-freezers reach −40, and nothing rests above boiling.
pub(super) const REACH: (f64, f64) = (-60.0, 100.0);
/// Why [`REACH`] ends where it ends.
pub(super) const REACH_BECAUSE: &str = "no fridge, freezer or kitchen shelf is there";

/// Ice that is worth a warning, % of the mass: less lies inside the error of the freezing point.
const LEAST_ICE: f64 = 0.5;

/// Runs `rest`.
pub(super) fn rest(before: &Mixture, args: &Args, _bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    held(before, args, None)
}

/// Runs `age`.
pub(super) fn age(before: &Mixture, args: &Args, _bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    let mut outcome = held(before, args, None)?;
    outcome.remarks.push("what evaporates, and what a cask gives or takes, is not counted".into());
    Ok(outcome)
}

/// Runs `chill`.
pub(super) fn chill(before: &Mixture, args: &Args, bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    let mut outcome = held(before, args, Some(bar.fridge_c))?;
    if !args.has("to") {
        outcome.remarks.push(format!("taken to the fridge's {}, because `to` is not stated", celsius(bar.fridge_c)));
    }
    let t = outcome.mixture.temperature;
    if before.figure_temperature().is_ok_and(|was| t > was) {
        outcome.findings.push(Finding {
            parameter: args.has("to").then_some("to"),
            ..Finding::new(
                code::PROCESS_DOUBT,
                format!("chilled to {}, but it is at {} already", celsius(t), celsius(before.temperature)),
                "write `rest` or `heat` where it is to grow warmer",
            )
        });
    }
    Ok(outcome)
}

/// Brings a mixture to `to`, or to another temperature where the line doesn't say, °C; without either it stays as it is.
fn held(before: &Mixture, args: &Args, otherwise: Option<f64>) -> Result<Outcome, Finding> {
    let to = temperature(args, "to", REACH, REACH_BECAUSE)?;
    if let Some(done) = nothing(before) {
        return done;
    }
    let mut outcome = Outcome::of(before.clone());
    let Some(t) = to.or(otherwise) else {
        return Ok(outcome);
    };
    frozen::bring(&mut outcome.mixture, t, &mut outcome.remarks);
    if frozen::percent(&outcome.mixture) >= LEAST_ICE {
        outcome.sources.push(freezing::SOURCE);
        let share = number(frozen::percent(&outcome.mixture));
        outcome.findings.push(Finding {
            parameter: to.map(|_| "to"),
            ..Finding::new(
                code::FREEZES,
                format!("at {} {share} % of its mass is ice", celsius(t)),
                "keep it warmer, or write `freeze` where it is to be frozen",
            )
        });
    }
    Ok(outcome)
}
