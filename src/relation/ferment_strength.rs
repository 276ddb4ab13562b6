//! Alcoholic strength of a ferment from its gravity before and after, by three formulas of rising care.

use super::gravity::{SG_HIGHEST, SG_LOWEST, extract_asbc};
use super::{Limits, OutOfRange};

/// Short citation for pages, of the formula that the program uses.
pub const SOURCE: &str = "Balling's formula with ASBC extract";
/// Accuracy. The three formulas differ from each other by this much, which bounds what gravities can tell.
pub const ERROR: &str = "0.2 % vol up to 6 % vol, 0.8 % vol for strong ferments";

const ORIGINAL: Limits = Limits {
    quantity: "original gravity",
    unit: "",
    low: 1.0,
    high: SG_HIGHEST,
    source: "range of the extract formulas",
};

/// Both gravities, with the final one not above the original.
fn gravities(og: f64, fg: f64) -> Result<(f64, f64), OutOfRange> {
    let og = ORIGINAL.check(og)?;
    let source = "a ferment does not gain gravity";
    let fg = Limits { quantity: "final gravity", unit: "", low: SG_LOWEST, high: og, source }.check(fg)?;
    Ok((og, fg))
}

/// Strength by the customary straight line.
///
/// ABV = 131.25 (OG − FG)
/// - `og`: specific gravity before, 1, scalar in 1..=1.17874; `fg`: after, scalar in 0.98..=og
/// - returns strength by volume, a fraction (0.05 is 5 % vol)
///
/// Valid: ordinary beer. Nominal: 1.050 → 1.010 = 5.25 % vol.
/// Errors: [`OutOfRange`] outside either range or NaN. Accuracy: 0.2 % vol to 6 % vol, more above.
/// Source: common practice, no source.
pub fn linear(og: f64, fg: f64) -> Result<f64, OutOfRange> {
    let (og, fg) = gravities(og, fg)?;
    Ok(1.3125 * (og - fg))
}

/// Strength by the non-linear formula.
///
/// ABV = 76.08 (OG − FG)/(1.775 − OG) × FG/0.794
/// - `og`: specific gravity before, 1, scalar in 1..=1.17874; `fg`: after, scalar in 0.98..=og
/// - returns strength by volume, a fraction
///
/// Valid: worts and musts. Nominal: 1.050 → 1.012 = 5.08 % vol.
/// Errors: [`OutOfRange`] outside either range or NaN. Accuracy: as [`ERROR`].
/// Source: attributed to M. Hall (1995) on public pages; the paper was not seen.
pub fn non_linear(og: f64, fg: f64) -> Result<f64, OutOfRange> {
    let (og, fg) = gravities(og, fg)?;
    Ok(0.7608 * (og - fg) / (1.775 - og) * fg / 0.794)
}

/// Strength by Balling's formula.
///
/// RE = 0.1808 OE + 0.8192 AE; A = (OE − RE)/(2.0665 − 0.010665 OE) % mass; ABV = A × FG × 0.9982/0.78924
/// - `og`: specific gravity before, 1, scalar in 1..=1.17874; `fg`: after, scalar in 0.98..=og; OE and AE are their extracts
///   by [`extract_asbc`], °P
/// - returns strength by volume, a fraction
///
/// Valid: ferments of sugar by yeast. Nominal: 1.050 → 1.010 = 5.32 % vol.
/// Errors: [`OutOfRange`] outside either range or NaN. Accuracy: as [`ERROR`].
/// Source: C. J. N. Balling, coefficients from memory; density of ethanol OIML R 22.
pub fn balling(og: f64, fg: f64) -> Result<f64, OutOfRange> {
    let (og, fg) = gravities(og, fg)?;
    let (original, apparent) = (100.0 * extract_asbc(og)?, 100.0 * extract_asbc(fg)?);
    let real = 0.1808 * original + 0.8192 * apparent;
    let percent_by_mass = (original - real) / (2.0665 - 0.010665 * original);
    Ok(percent_by_mass / 100.0 * fg * 0.9982 / 0.78924)
}

/// Sugar left after a ferment, from its gravities: the real extract of Balling's formula.
///
/// RE = 0.1808 OE + 0.8192 AE
/// - `og`: specific gravity before, 1, scalar in 1..=1.17874; `fg`: after, scalar in 0.98..=og
/// - returns the mass fraction of all extract left, sugar with whatever else is dissolved; not below 0
///
/// Valid: as [`balling`]. Nominal: 1.050 → 1.010: 4.3 % by mass.
/// Errors: [`OutOfRange`] outside either range or NaN. Accuracy: 0.2 °P (from memory).
/// Source: as [`balling`].
pub fn real_extract(og: f64, fg: f64) -> Result<f64, OutOfRange> {
    let (og, fg) = gravities(og, fg)?;
    // A very dry ferment from a weak must comes out a hair below none.
    Ok((0.1808 * extract_asbc(og)? + 0.8192 * extract_asbc(fg)?).max(0.0))
}
