//! Straining and filtering: a share of the liquid stays behind, in proportion.
//!
//! - `recovers`: what comes through, % of the volume at 20 °C, above 0 to 100; 100 where the line doesn't say
//! - `for`: time, h
//!
//! Everything that is dissolved goes through in the share of the liquid. Loss in proportion is an assumption: a paper also keeps
//! pulp, some fat and some aroma, which no recipe states. Common practice, no source.

use super::given::nothing;
use super::loss::{behind, frozen, recovers};
use super::remark::{number, time};
use super::{Args, Bar, Finding, Outcome, Process};
use crate::mixture::Mixture;

/// Runs `strain` and `filter`.
pub(super) fn run(before: &Mixture, args: &Args, _bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    if let Some(nothing) = nothing(before) {
        return nothing;
    }
    let stated = recovers(args)?;
    let share = stated.unwrap_or(1.0);
    let mut outcome = Outcome::of(before.scaled(share));
    outcome.mixture.ice_g = 0.0;
    outcome.removed.extend(behind("what the strainer keeps", before.mass_g() * (1.0 - share)));
    outcome.remarks.push(match stated {
        Some(share) => format!(
            "{} % of the volume comes through, and what stays behind is taken to be like it",
            number(share * 100.0)
        ),
        None => "nothing is counted as lost, because `recovers` is not stated".into(),
    });
    if let Some(hours) = args.hours("for") {
        outcome.remarks.push(format!("it takes {} to run through", time(hours)));
    }
    outcome.findings.extend(frozen(before));
    Ok(outcome)
}
