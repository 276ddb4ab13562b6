//! Density of sucrose solutions, and what dissolved sugar adds to the volume of water.

use super::{Limits, OutOfRange, amount, water_density};

/// Short citation for pages.
pub const SOURCE: &str = "Bubník et al., Sugar Technologists Manual (1995), p. 164";
/// Accuracy against the CRC Handbook's table.
pub const ERROR: &str = "0.3 kg/m³ up to 70 °Bx; sucrose and water only";
/// Highest sucrose mass fraction that the source covers ("about 85 Brix").
pub const HIGHEST: f64 = 0.85;

/// [Bubnik-1995] p. 164, kg/m³ per w¹…w⁶, one row for each power of x = (t − 20)/100. The manual's a₄ is −3.9643 in one
/// transcription and −3.9646 in another; the difference is at most 0.0001 kg/m³.
const A: [f64; 6] = [385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890];
const B: [f64; 5] = [-46.2720, -7.1720, 1.1597, 5.1126, 17.5254];
const C: [f64; 4] = [59.7712, 7.2491, 12.3630, -35.4791];
const D: [f64; 3] = [-47.2207, -21.6977, 27.6301];
const E: [f64; 2] = [18.3184, 12.3081];

const MASS_FRACTION: Limits =
    Limits { quantity: "sucrose mass fraction", unit: "", low: 0.0, high: HIGHEST, source: SOURCE };
const EXTRAPOLATED: Limits =
    Limits { quantity: "sucrose mass fraction", unit: "", low: 0.0, high: 1.0, source: SOURCE };
const TEMPERATURE: Limits = Limits { quantity: "temperature", unit: "°C", low: 0.0, high: 100.0, source: SOURCE };

fn at(w: f64, t: f64) -> f64 {
    // Every row starts at w¹, hence the factor w outside the Horner sums.
    let row = |coefficients: &[f64]| w * coefficients.iter().rev().fold(0.0, |sum, c| sum * w + c);
    let x = (t - 20.0) / 100.0;
    let sugar = row(&A) + x * (row(&B) + x * (row(&C) + x * (row(&D) + x * row(&E))));
    water_density::at(t) + sugar
}

/// Density of a pure sucrose solution.
///
/// ρ(w, t) = ρ_water(t) + Σ aᵢ wⁱ + x Σ bᵢ wⁱ + x² Σ cᵢ wⁱ + x³ Σ dᵢ wⁱ + x⁴ Σ eᵢ wⁱ, x = (t − 20)/100
/// - `w`: sucrose mass fraction (°Bx/100), 1, scalar in 0..=0.85
/// - `t`: temperature, °C, scalar in 0..=100
/// - returns ρ, kg/m³, scalar
///
/// Valid: sucrose and water. Other sugars differ: by under 1 % at 60 °Bx for invert syrups (from memory).
/// Nominal: ρ(0, 20) = 998.20, ρ(0.50, 20) = 1229.65.
/// Errors: [`OutOfRange`] outside either range or NaN. Accuracy: test `sucrose_density_matches_published`.
/// Source: Z. Bubník, P. Kadlec, D. Urban, M. Bruhns, Sugar Technologists Manual (1995), p. 164; water by [`water_density`].
pub fn density(w: f64, t: f64) -> Result<f64, OutOfRange> {
    Ok(at(MASS_FRACTION.check(w)?, TEMPERATURE.check(t)?))
}

/// [`density`] at 20 °C with the polynomial carried on to pure sugar.
///
/// - `w`: sucrose mass fraction, 1, scalar in 0..=1
/// - returns ρ, kg/m³
///
/// Valid: as [`density`] to 0.85; above that it is an **extrapolation** of ours, kept because a mixture may hold more sugar
/// than its water could dissolve (dry sugar before the juice goes in). It ends at 1551.9 kg/m³ for w = 1, between the
/// figures for amorphous (about 1510) and crystalline (about 1587) sucrose, both from memory: an error of about 3 %.
/// Nominal: ρ(0.85) equals [`density`]. Errors: [`OutOfRange`] outside 0..=1 or NaN.
/// Source: as [`density`].
pub fn density_20c_extrapolated(w: f64) -> Result<f64, OutOfRange> {
    Ok(at(EXTRAPOLATED.check(w)?, 20.0))
}

/// Volume that dissolved sugar adds to water at 20 °C.
///
/// V = (s + m)/ρ(s/(s + m)) − m/ρ(0)
/// - `s`: sucrose, g, finite and not negative; `m`: water, g, the same
/// - returns V, ml at 20 °C; 0 for no sugar
///
/// Valid: as [`density_20c_extrapolated`]. Beside ethanol this takes the sugar to add what it would add to the water
/// alone, an assumption without a published check.
/// Nominal: 100 g in 100 g of water adds 62.47 ml.
/// Errors: [`OutOfRange`] for a negative, infinite or NaN mass. Accuracy: 0.1 ml in 100 g at 50 °Bx.
/// Source: as [`density`].
pub fn added_volume_20c(s: f64, m: f64) -> Result<f64, OutOfRange> {
    let s = amount("sugar", "g", s)?;
    let m = amount("water", "g", m)?;
    if s == 0.0 {
        return Ok(0.0);
    }
    let grams_per_ml = at(EXTRAPOLATED.check(s / (s + m))?, 20.0) / 1000.0;
    Ok((s + m) / grams_per_ml - m / (at(0.0, 20.0) / 1000.0))
}
