//! Infusing: leaves, spices or fruit steep in a liquor and are strained out.
//!
//! - `with`: what steeps; required
//! - `absorbs`: liquor that the solids hold, ml at 20 °C, from 0 to less than there is; or `recovers`: what comes through, % of
//!   the liquor's volume at 20 °C with what dissolved in it, above 0 to 100. Not both
//! - `for`: time, h; `at`: °C in −40..=121, becomes the stage's temperature
//!
//! Where the line says neither, the solids hold 2 ml for each gram that does not dissolve (the rule of thumb of coffee and tea;
//! common practice, no source) and as much as the water they brought, so that a piece of fruit comes out about as heavy as it went
//! in. The model is that of [`steep`](super::steep).
//!
//! A bought botanical whose sugar and acid nobody stated leaves the liquor's sugar and acid unknown: unknown is not zero. State
//! `sugar: 0` and `acid: 0` of a leaf or a bark that brings none.

use super::given::nothing;
use super::steep::{Custom, steep};
use super::{Args, Bar, Finding, Outcome, Process};
use crate::mixture::Mixture;

/// Liquor that spent leaf and grounds hold, ml for each gram that went in dry. Common practice, no source; 1.5 to 3 are met with.
const HELD_ML_PER_G: f64 = 2.0;

/// Runs `infuse`.
pub(super) fn run(before: &Mixture, args: &Args, _bar: &Bar, _done: &[Process]) -> Result<Outcome, Finding> {
    if let Some(nothing) = nothing(before) {
        return nothing;
    }
    steep(before, args, "infuse", &Custom::Holds(HELD_ML_PER_G))
}
