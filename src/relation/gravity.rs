//! Specific gravity ↔ dissolved extract: the AOAC table's polynomial one way, four published formulas the other.
//!
//! Specific gravity is apparent, 20/20 °C: the density over that of water, both at 20 °C, weighed in air. Extract is a mass
//! fraction; °Brix and °Plato are a hundred times that.

use super::{Limits, OutOfRange};

/// Short citation for pages.
pub const SOURCE: &str = "Hackbarth (2011) on the AOAC Brix tables; ASBC polynomial";
/// Accuracy of one formula against another.
pub const ERROR: &str = "the four extract formulas agree within 0.1 °P to SG 1.12";

/// Highest specific gravity of the cubic fits (about 40 °Bx).
pub const SG_HIGHEST: f64 = 1.17874;
/// Lowest specific gravity accepted: a dry ferment stands below 1 because of its ethanol.
pub const SG_LOWEST: f64 = 0.98;
/// Specific gravity at which the quick equation ends.
pub const QUICK_HIGHEST: f64 = 1.15;

/// [Hackbarth-2011] per w¹…w¹⁰.
const AOAC: [f64; 10] = [
    0.3875135555,
    0.09702881653,
    0.388335748,
    -1.782845295,
    5.591472292,
    -11.00667976,
    13.62230734,
    -10.33082001,
    4.387787019,
    -0.799555873,
];
/// [ASBC] °P per S⁰…S³.
const ASBC: [f64; 4] = [-616.868, 1111.14, -630.272, 135.997];
/// [NBS-C440] °Bx per S⁰…S³.
const NBS: [f64; 4] = [-669.56218, 1262.7794, -775.68212, 182.46007];

const EXTRACT: Limits =
    Limits { quantity: "sugar mass fraction", unit: "", low: 0.0, high: 0.95, source: "Hackbarth (2011), AOAC" };

const fn gravity(low: f64, high: f64, source: &'static str) -> Limits {
    Limits { quantity: "specific gravity", unit: "", low, high, source }
}

const ASBC_SG: Limits = gravity(SG_LOWEST, SG_HIGHEST, "ASBC polynomial");
const NBS_SG: Limits = gravity(1.0, SG_HIGHEST, "NBS Circular C440");
const QUICK_SG: Limits = gravity(1.0, QUICK_HIGHEST, "Lincoln equation");
const BUHL_SG: Limits = gravity(SG_LOWEST, SG_HIGHEST, "Buhl (2023)");

fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

/// Specific gravity 20/20 of a sugar solution.
///
/// S(w) = 1 + Σ cᵢ wⁱ, i = 1…10
/// - `w`: sugar mass fraction (°Bx/100), 1, scalar in 0..=0.95
/// - returns S, 1, scalar in 1..=1.52
///
/// Valid: sucrose and water, weighed in air. Nominal: S(0.10) = 1.0400, S(0.50) = 1.23174.
/// Errors: [`OutOfRange`] outside 0..=0.95 or NaN. Accuracy: 0.0001 at 40 °Bx, 0.0005 at 75 °Bx against density.
/// Source: J. J. Hackbarth (2011), polynomial fitted to the AOAC Brix tables (Horwitz and Latimer, 2005).
pub fn sg_from_extract(w: f64) -> Result<f64, OutOfRange> {
    let w = EXTRACT.check(w)?;
    Ok(1.0 + w * polynomial(&AOAC, w))
}

/// Extract of a wort or must from its specific gravity, ASBC.
///
/// P(S) = −616.868 + 1111.14 S − 630.272 S² + 135.997 S³
/// - `s`: apparent specific gravity 20/20, 1, scalar in 0.98..=1.17874
/// - returns P/100, mass fraction (°P/100); below 1.000 negative: an *apparent* extract, which only a ferment formula takes
///
/// Valid: 1.000 to about 1.150, before fermentation; beyond both ends carried on. Nominal: P(1.040) = 9.99 °P.
/// Errors: [`OutOfRange`] outside the range or NaN. Accuracy: 0.05 °P (from memory).
/// Source: American Society of Brewing Chemists, table fit.
pub fn extract_asbc(s: f64) -> Result<f64, OutOfRange> {
    Ok(polynomial(&ASBC, ASBC_SG.check(s)?) / 100.0)
}

/// Extract from specific gravity, National Bureau of Standards.
///
/// Bx(S) = 182.46007 S³ − 775.68212 S² + 1262.7794 S − 669.56218
/// - `s`: apparent specific gravity 20/20, 1, scalar in 1..=1.17874
/// - returns Bx/100, mass fraction (°Bx/100)
///
/// Valid: sucrose and water to about 40 °Bx. Nominal: Bx(1.040) = 9.99.
/// Errors: [`OutOfRange`] outside the range or NaN. Accuracy: 0.02 °Bx (from memory).
/// Source: fit to F. J. Bates et al., Polarimetry, Saccharimetry and the Sugars, NBS Circular C440 (1942).
pub fn extract_nbs(s: f64) -> Result<f64, OutOfRange> {
    Ok(polynomial(&NBS, NBS_SG.check(s)?) / 100.0)
}

/// Extract from specific gravity by the quick equation.
///
/// P(S) = (463 − 205 S)(S − 1)
/// - `s`: apparent specific gravity 20/20, 1, scalar in 1..=1.15
/// - returns P/100, mass fraction (°P/100)
///
/// Valid: worts. Nominal: P(1.040) = 9.99 °P. Errors: [`OutOfRange`] outside the range or NaN.
/// Accuracy: within 0.1 °P of [`extract_asbc`]. Source: Lincoln equation (public brewing texts).
pub fn extract_quick(s: f64) -> Result<f64, OutOfRange> {
    let s = QUICK_SG.check(s)?;
    Ok((463.0 - 205.0 * s) * (s - 1.0) / 100.0)
}

/// Extract from specific gravity by the one-parameter equation.
///
/// P(S) = 260.4 − 260.4/S
/// - `s`: apparent specific gravity 20/20, 1, scalar in 0.98..=1.17874
/// - returns P/100, mass fraction (°P/100)
///
/// Valid: the ASBC table's range. Nominal: P(1.030) = 7.58 °P. Errors: [`OutOfRange`] outside the range or NaN.
/// Accuracy: 0.023 °P root mean square.
/// Source: J. Buhl, Physical Equations Relating Extract and Relative Density (OSF preprint, 2023).
pub fn extract_one_parameter(s: f64) -> Result<f64, OutOfRange> {
    Ok(2.604 * (1.0 - 1.0 / BUHL_SG.check(s)?))
}
