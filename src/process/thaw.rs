//! Thawing: ice melts back into the mixture; nothing goes in and nothing out.
//!
//! - `to`: °C, −60 to 100; the bar's fridge where the line doesn't say
//! - `for`: time, h; no model of warming is run
//!
//! What is still ice at that temperature by the lever rule (`relation::freezing`, CRC Handbook 2021; 0.5 °C).

use super::frozen;
use super::given::{celsius, nothing, temperature};
use super::remark::number;
use super::rest::{REACH, REACH_BECAUSE};
use super::{Args, Bar, Finding, Outcome, Process};
use crate::mixture::Mixture;
use crate::problem::code;
use crate::relation::freezing;

/// Runs `thaw`.
///
/// Errors: a [`Finding`] for a temperature outside the bounds, or a mixture that holds nothing.
pub(super) fn run(before: &Mixture, args: &Args, bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    let to = temperature(args, "to", REACH, REACH_BECAUSE)?;
    if let Some(done) = nothing(before) {
        return done;
    }
    let t = to.unwrap_or(bar.fridge_c);
    let mut outcome = Outcome::of(before.clone());
    frozen::bring(&mut outcome.mixture, t, &mut outcome.remarks);
    if to.is_none() {
        outcome.remarks.push(format!("thawed at the fridge's {}, because `to` is not stated", celsius(t)));
    }
    let left = outcome.mixture.ice_g;
    if left > 0.0 {
        outcome.sources.push(freezing::SOURCE);
        outcome.findings.push(Finding {
            parameter: to.map(|_| "to"),
            ..Finding::new(
                code::PROCESS_DOUBT,
                format!("at {} {} g of it is still ice", celsius(t), number(left)),
                format!(
                    "thaw it to {} or above",
                    outcome.mixture.figure_freezing().map_or("its freezing point".into(), |t| celsius(libm::ceil(t)))
                ),
            )
        });
    } else if before.ice_g > 0.0 {
        outcome.remarks.push(format!("{} g of ice has melted", number(before.ice_g)));
    }
    Ok(outcome)
}
