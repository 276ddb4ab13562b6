//! Freezing: down to the freezer, and what is then ice.
//!
//! - `to`: °C, −60 to 0; the bar's freezer where the line doesn't say
//! - `for`: time, h; no model of cooling is run
//!
//! Ice by the lever rule (`relation::freezing`, CRC Handbook 2021): 0.5 °C in the temperature, about 2 % of the water near
//! −18 °C; alcohol with sugar and acid together is an assumption without a published check. A quiet liquid may stay below its
//! freezing point for a while without any ice.

use super::frozen;
use super::given::{celsius, nothing, temperature};
use super::remark::number;
use super::rest::REACH;
use super::{Args, Bar, Finding, Outcome, Process};
use crate::mixture::Mixture;
use crate::problem::code;
use crate::relation::freezing;
use crate::relation::heat_capacity::ICE_DENSITY_0C;

/// The most ice with which a drink still pours from a bottle, share of the mass. Our own threshold, no source: thin slush.
pub(super) const POURABLE: f64 = 0.10;

/// Runs `freeze`.
///
/// Errors: a [`Finding`] for a temperature outside the bounds, or a mixture that holds nothing.
pub(super) fn run(before: &Mixture, args: &Args, bar: &Bar, done: &[Process]) -> Result<Outcome, Finding> {
    let to = temperature(args, "to", (REACH.0, 0.0), "nothing is frozen there")?;
    if let Some(done) = nothing(before) {
        return done;
    }
    let t = to.unwrap_or(bar.freezer_c);
    let mut outcome = Outcome::of(before.clone());
    if to.is_none() {
        outcome.remarks.push(format!("taken to the freezer's {}, because `to` is not stated", celsius(t)));
    }
    if frozen::bring(&mut outcome.mixture, t, &mut outcome.remarks) {
        outcome.remarks.push(pourable(&outcome.mixture));
        outcome.sources.push(freezing::SOURCE);
    }
    outcome.findings.extend(bursting(&outcome.mixture, bar, done));
    Ok(outcome)
}

/// One sentence on the ice in a mixture, and whether it still pours.
fn pourable(mixture: &Mixture) -> String {
    let here = celsius(mixture.temperature);
    let share = frozen::percent(mixture);
    let at_least = matches!(frozen::at(mixture, mixture.temperature), frozen::Ice::AtLeast(..));
    let pours = match share <= 100.0 * POURABLE {
        false => "no",
        true if at_least => "can't be told",
        true => "yes",
    };
    let down_to = match frozen::coldest_with(mixture, POURABLE) {
        Ok(t) => format!("down to {}", celsius(t)),
        Err(_) => "as far down as the tables reach".into(),
    };
    format!(
        "stays pourable at {here}: {pours}, {}{} % of its mass is ice; pourable {down_to}, taking at most {} % of ice as pourable (our own threshold)",
        if at_least { "at least " } else { "" },
        number(share),
        number(100.0 * POURABLE)
    )
}

/// A warning where ice needs more room than a bottle that was filled before has left.
fn bursting(mixture: &Mixture, bar: &Bar, done: &[Process]) -> Option<Finding> {
    if !done.contains(&Process::Bottle) {
        return None;
    }
    let grown = mixture.ice_g * (1000.0 / ICE_DENSITY_0C - 1.0);
    let room = mixture.volume_ml() * bar.headspace / (1.0 - bar.headspace).max(f64::MIN_POSITIVE);
    (grown > room).then(|| {
        Finding::new(
            code::PROCESS_DOUBT,
            format!(
                "the ice takes {} ml more room than the water did, and a headspace of {} % leaves {} ml: bottles may burst",
                number(grown),
                number(100.0 * bar.headspace),
                number(room)
            ),
            "freeze it in an open tray, or leave more headspace",
        )
    })
}
