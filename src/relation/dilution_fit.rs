//! Water that stirring or shaking with ice adds, as fitted to service: the empirical model of dilution.

use super::{Limits, OutOfRange};

/// Short citation for pages.
pub const SOURCE: &str = "D. Arnold, Liquid Intelligence (2014), dilution fits";
/// Accuracy. The book's scatter was not seen, so this is an assumption of ours and not a published figure.
pub const ERROR: &str = "at least ±15 % of the value (assumed; scatter of service not published)";
/// [`ERROR`] as a share of the value.
pub const RELATIVE_ERROR: f64 = 0.15;

/// Water taken up by a drink built over ice, ml per ml of mix: one number for all strengths.
///
/// Valid: no range stated. Accuracy: not stated; take [`RELATIVE_ERROR`] at the least.
/// Source: D. Arnold, Liquid Intelligence (2014), as used in one public transcription (book page not seen).
pub const BUILT: f64 = 0.24;

/// Water taken up by a blended drink, ml per ml of mix: one number for all strengths.
///
/// Valid: no range stated. Accuracy: not stated; take [`RELATIVE_ERROR`] at the least.
/// Source: D. Arnold, Liquid Intelligence (2014), as used in one public transcription (book page not seen).
pub const BLENDED: f64 = 0.9;

/// Lowest start strength that the fits cover, fraction.
pub const LOWEST: f64 = 0.15;
/// Highest start strength that the fits cover, fraction.
pub const HIGHEST: f64 = 0.40;

/// [Arnold-2014], coefficients of x², x and 1. The squared terms are negative; a circulating copy has a sign wrong.
const STIRRED: [f64; 3] = [-1.21, 1.246, 0.145];
const SHAKEN: [f64; 3] = [-1.567, 1.742, 0.203];

const START: Limits = Limits { quantity: "start strength", unit: "", low: LOWEST, high: HIGHEST, source: SOURCE };

fn quadratic([a, b, c]: [f64; 3], x: f64) -> Result<f64, OutOfRange> {
    let x = START.check(x)?;
    Ok((a * x + b) * x + c)
}

/// Dilution of a drink stirred with ice.
///
/// d = −1.21 x² + 1.246 x + 0.145
/// - `x`: strength of the mix before ice, a fraction in 0.15..=0.40 (0.30 is 30 % vol)
/// - returns d, ml of water per ml of mix **before** dilution
///
/// Valid: bar ice at 0 °C, room-temperature ingredients, stirred until it no longer gets colder; sugar and vessel are not in it.
/// Nominal: d(0.30) = 0.4099. Errors: [`OutOfRange`] outside 0.15..=0.40 or NaN. Accuracy: [`ERROR`].
/// Source: D. Arnold, Liquid Intelligence (2014), dilution fits, confirmed in three public transcriptions.
pub fn stirred(x: f64) -> Result<f64, OutOfRange> {
    quadratic(STIRRED, x)
}

/// Dilution of a drink shaken with ice.
///
/// d = −1.567 x² + 1.742 x + 0.203
/// - `x`: strength of the mix before ice, a fraction in 0.15..=0.40 (0.30 is 30 % vol)
/// - returns d, ml of water per ml of mix **before** dilution
///
/// Valid: as [`stirred`]; 12 to 15 s of shaking reach it. Nominal: d(0.30) = 0.5846.
/// Errors: [`OutOfRange`] outside 0.15..=0.40 or NaN. Accuracy: [`ERROR`].
/// Source: D. Arnold, Liquid Intelligence (2014), dilution fits, confirmed in three public transcriptions.
pub fn shaken(x: f64) -> Result<f64, OutOfRange> {
    quadratic(SHAKEN, x)
}
