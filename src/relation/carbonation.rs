//! Carbonation: volumes of CO₂ ↔ gauge pressure and temperature, by two fits to the brewing trade's chart.

use super::{Limits, OutOfRange};

/// Short citation for pages.
pub const SOURCE: &str = "fit to the ASBC carbonation chart";
/// Accuracy: how far the two fits are apart; the chart itself was not seen.
pub const ERROR: &str = "0.04 volumes up to 3 volumes at 10 °C, 0.15 at 16 °C and 4 volumes";

/// One pound-force per square inch in bar (0.45359237 kg × 9.80665 m/s² over (25.4 mm)²).
pub const PSI: f64 = 0.0689475729316836;
/// Standard atmosphere in psi, as the second fit writes it.
const ATMOSPHERE_PSI: f64 = 14.695;

const TEMPERATURE: Limits = Limits { quantity: "temperature", unit: "°C", low: 0.0, high: 16.0, source: SOURCE };
const VOLUMES: Limits = Limits { quantity: "carbonation", unit: "volumes", low: 1.0, high: 5.0, source: SOURCE };
const GAUGE: Limits = Limits { quantity: "gauge pressure", unit: "bar", low: 0.0, high: 3.5, source: SOURCE };

fn fahrenheit(t: f64) -> Result<f64, OutOfRange> {
    Ok(1.8 * TEMPERATURE.check(t)? + 32.0)
}

/// The quadratic's coefficients of V⁰, V¹, V² at a temperature, psig.
fn quadratic(t: f64) -> Result<[f64; 3], OutOfRange> {
    let f = fahrenheit(t)?;
    Ok([-16.6999 + f * (-0.0101059 + 0.00116512 * f), 0.173354 * f + 4.24267, -0.0684226])
}

/// Gauge pressure that keeps a carbonation.
///
/// psig = −16.6999 − 0.0101059 F + 0.00116512 F² + 0.173354 F V + 4.24267 V − 0.0684226 V², F = 1.8 t + 32
/// - `v`: carbonation, volumes, scalar in 1..=5
/// - `t`: temperature, °C, scalar in 0..=16
/// - returns bar above the atmosphere; negative where the drink would hold that much below 1 atm already
///
/// Valid: beer of ordinary strength at sea level; range ours, after the rows that could be checked. For stronger or sweeter
/// drinks see [`co2_drink_factor`](super::gas::co2_drink_factor).
/// Nominal: 2.5 volumes at 4.44 °C (40 °F) = 0.846 bar. Errors: [`OutOfRange`] outside either range or NaN. Accuracy: [`ERROR`].
/// Source: public polynomial fit to the American Society of Brewing Chemists' carbonation chart.
pub fn gauge_bar(v: f64, t: f64) -> Result<f64, OutOfRange> {
    let v = VOLUMES.check(v)?;
    let [a, b, c] = quadratic(t)?;
    Ok((a + v * (b + c * v)) * PSI)
}

/// Carbonation that a gauge pressure keeps: the inverse of [`gauge_bar`], in closed form.
///
/// - `bar`: pressure above the atmosphere, bar, scalar in 0..=3.5
/// - `t`: temperature, °C, scalar in 0..=16
/// - returns volumes
///
/// Valid, accuracy and source: as [`gauge_bar`]. Nominal: 0.846 bar at 4.44 °C = 2.5 volumes.
/// Errors: [`OutOfRange`] outside either range, for a result above 5 volumes, or NaN.
pub fn volumes(bar: f64, t: f64) -> Result<f64, OutOfRange> {
    let psig = GAUGE.check(bar)? / PSI;
    let [a, b, c] = quadratic(t)?;
    // The smaller root; the other lies beyond the quadratic's crest, far above 5 volumes. The discriminant stays positive
    // in the ranges allowed: b² is at least 95, 4c(a − psig) at most 25.
    let v = 2.0 * (psig - a) / (b + libm::sqrt(b * b - 4.0 * c * (a - psig)));
    VOLUMES.check(v)
}

/// Volumes per psi of absolute pressure at a temperature, by the second fit.
fn slope(t: f64) -> Result<f64, OutOfRange> {
    Ok(0.01821 + 0.090115 * libm::exp(-(fahrenheit(t)? - 32.0) / 43.11))
}

/// Carbonation that a gauge pressure keeps, by the second fit.
///
/// V = (0.01821 + 0.090115 exp(−(F − 32)/43.11)) (psig + 14.695) − 0.003342, F = 1.8 t + 32
/// - `bar`: pressure above the atmosphere, bar, scalar in 0..=3.5
/// - `t`: temperature, °C, scalar in 0..=16
/// - returns volumes
///
/// Valid: as [`gauge_bar`]; proportional to absolute pressure, as Henry's law asks. Nominal: 10 psig at 40 °F = 2.295.
/// Errors: [`OutOfRange`] outside either range or NaN. Accuracy: [`ERROR`].
/// Source: A. J. deLange, CO2 Volumes in Beer, fit to the ASBC chart.
pub fn volumes_proportional(bar: f64, t: f64) -> Result<f64, OutOfRange> {
    Ok(slope(t)? * (GAUGE.check(bar)? / PSI + ATMOSPHERE_PSI) - 0.003342)
}

/// Gauge pressure that keeps a carbonation, by the second fit: the inverse of [`volumes_proportional`].
///
/// - `v`: carbonation, volumes, scalar in 1..=5
/// - `t`: temperature, °C, scalar in 0..=16
/// - returns bar above the atmosphere; may be negative, as in [`gauge_bar`]
///
/// Valid, accuracy and source: as [`volumes_proportional`]. Nominal: 2.295 volumes at 40 °F = 10 psig.
/// Errors: [`OutOfRange`] outside either range or NaN.
pub fn gauge_bar_proportional(v: f64, t: f64) -> Result<f64, OutOfRange> {
    Ok(((VOLUMES.check(v)? + 0.003342) / slope(t)? - ATMOSPHERE_PSI) * PSI)
}
