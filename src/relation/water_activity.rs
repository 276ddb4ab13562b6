//! Water activity of a sugar solution, for judging how it keeps.

use super::{Limits, OutOfRange};

/// Short citation for pages.
pub const SOURCE: &str = "Norrish (1966), constant from memory";
/// Accuracy. Other solutes lower the activity further and are ignored, so the estimate errs high, on the safe side.
pub const ERROR: &str = "about 0.01 to 65 °Bx (from memory); errs high";

/// g/mol, IUPAC atomic weights.
const SUCROSE: f64 = 342.297;
const WATER: f64 = 18.015;
/// [Norrish-1966] constant of sucrose, from memory.
const K: f64 = -6.47;

const EXTRACT: Limits = Limits { quantity: "sugar mass fraction", unit: "", low: 0.0, high: 0.85, source: SOURCE };

/// Water activity of a sucrose solution.
///
/// a = X_w exp(−6.47 X_s²), X mole fractions
/// - `w`: sugar mass fraction (°Bx/100), 1, scalar in 0..=0.85
/// - returns a, 1, scalar in about 0.55..=1
///
/// Valid: sucrose and water near 25 °C; invert sugar and honey stand lower. Above 0.67 the solution is supersaturated.
/// Nominal: a(0.65) = 0.865, a(0) = 1. Errors: [`OutOfRange`] outside 0..=0.85 or NaN. Accuracy: [`ERROR`].
/// Source: R. S. Norrish, J. Food Technol. 1 (1966) 25, form and constant from memory.
pub fn sucrose(w: f64) -> Result<f64, OutOfRange> {
    let w = EXTRACT.check(w)?;
    let (sugar, water) = (w / SUCROSE, (1.0 - w) / WATER);
    let share = sugar / (sugar + water);
    Ok((1.0 - share) * libm::exp(K * share * share))
}
