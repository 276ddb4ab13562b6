//! Fat-washing: a fat goes into a spirit, gives up its taste, is frozen hard and lifted off.
//!
//! - `with`: the fat; required
//! - `recovers`: what comes through, % of the liquor's volume at 20 °C, above 0 to 100; 92.5 where the line doesn't say, the middle
//!   of a loss of 5–10 % (common practice, no source). Or `absorbs`: liquor that the fat holds, ml at 20 °C
//! - `for`: time, h; `at`: °C in −40..=121, becomes the stage's temperature
//!
//! All of the fat leaves again, with the protein and other solids in it; its water, sugar and acid join the liquor, which is the
//! model of [`steep`](super::steep). A trace of fat stays dissolved in strong spirit: how much was found in no source, so it has
//! no figure. Fat that was in the liquor before is not touched.

use super::given::nothing;
use super::remark::list;
use super::steep::{Custom, steep};
use super::{Args, Bar, Finding, Outcome, Process};
use crate::mixture::{Mixture, Part, Quantity};
use crate::problem::code;

/// What comes through where the line doesn't say (common practice, no source).
const USUAL_RECOVERS: f64 = 0.925;

/// Less fat than this share of its mass is no fat to wash with. A project threshold: cream has a third, butter four fifths.
const LEAST_FAT: f64 = 0.1;

/// Runs `fat-wash`.
pub(super) fn run(before: &Mixture, args: &Args, _bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    if let Some(nothing) = nothing(before) {
        return nothing;
    }
    let custom = Custom::Share(USUAL_RECOVERS, "the middle of a loss of 5–10 % (common practice, no source)");
    let mut outcome = steep(before, args, "fat-wash", &custom)?;
    outcome.remarks.push(
        "all of the fat is counted as lifted off; a trace stays dissolved, and protein of milk or nuts with it, so their allergens stay"
            .into(),
    );
    outcome.findings.extend(lean(args));
    Ok(outcome)
}

/// A warning where what is washed with holds hardly any fat, as far as is known.
fn lean(args: &Args) -> Option<Finding> {
    let names: Vec<&str> = args
        .added("with")
        .iter()
        .filter(|w| {
            w.mixture.why_unknown(Quantity::Fat).is_none()
                && w.mixture.grams(Part::Fat) < LEAST_FAT * w.mixture.mass_g()
        })
        .map(|w| w.name.as_str())
        .collect();
    (!names.is_empty()).then(|| {
        Finding::at(
            "with",
            code::PROCESS_DOUBT,
            format!("{} holds hardly any fat, so there is nothing to lift off", list(names)),
            "wash with butter, oil or rendered fat, state the `fat` of it in the pantry, or use `infuse`",
        )
    })
}
