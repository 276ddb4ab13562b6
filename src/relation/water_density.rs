//! Density of water by Kell's formula, the water term of the sucrose relation.

use super::{Limits, OutOfRange};

/// Short citation for pages.
pub const SOURCE: &str = "Kell, J. Chem. Eng. Data 20 (1975) 97";
/// Accuracy as stated in the field for this formula at atmospheric pressure (from memory; the paper was not opened).
pub const ERROR: &str = "about 0.01 kg/m³";

/// [Kell-1975], numerator coefficients of t⁰…t⁵, kg/m³.
const K: [f64; 6] = [999.83952, 16.952577, -0.0079905127, -4.6241757e-05, 1.0584601e-07, -2.8103006e-10];
/// [Kell-1975], denominator coefficient of t, 1/K.
const D: f64 = 0.016887236;

const TEMPERATURE: Limits = Limits { quantity: "temperature", unit: "°C", low: 0.0, high: 100.0, source: SOURCE };

/// Density of air-free water at atmospheric pressure.
///
/// ρ(t) = Σ kᵢ tⁱ / (1 + 0.016887236 t), i = 0…5
/// - `t`: temperature, °C, scalar in 0..=100
/// - returns ρ, kg/m³, scalar in about 958.4..=999.98
///
/// Valid: liquid water, 101 kPa. Nominal: ρ(20) = 998.20, ρ(4) = 999.97.
/// Errors: [`OutOfRange`] outside 0..=100 or NaN. Accuracy: about 0.01 kg/m³.
/// Source: G. S. Kell, J. Chem. Eng. Data 20, 97 (1975), as used with the sucrose formula.
pub fn density(t: f64) -> Result<f64, OutOfRange> {
    TEMPERATURE.check(t).map(at)
}

/// The formula itself, for the relations that have checked the temperature.
pub(super) fn at(t: f64) -> f64 {
    K.iter().rev().fold(0.0, |sum, k| sum * t + k) / (1.0 + D * t)
}
