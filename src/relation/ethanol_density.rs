//! Density of ethanol–water mixtures by the general formula of OIML R 22, and mass fraction ↔ strength by volume from it.

use super::root::bisect;
use super::{Limits, OutOfRange};

/// Short citation for pages.
pub const SOURCE: &str = "OIML R 22 (1975)";
/// Accuracy as the source and published tables allow it to be stated.
pub const ERROR: &str = "about 0.1 kg/m³ against measurement; ethanol and water only";

/// [OIML-R22] p. 13, Aₖ in kg/m³, k = 1…12.
const A: [f64; 12] = [
    998.20123,
    -192.9769495,
    389.1238958,
    -1668.103923,
    13522.15441,
    -88292.78388,
    306287.4042,
    -613838.1234,
    747017.2998,
    -547846.1354,
    223446.0334,
    -39032.85426,
];

/// [OIML-R22] p. 13, Bₖ in kg/(m³·Kᵏ), k = 1…6.
const B: [f64; 6] = [-0.20618513, -0.0052682542, 3.6130013e-05, -3.8957702e-07, 7.169354e-09, -9.9739231e-11];

/// [OIML-R22] p. 13, C₁,ₖ in kg/(m³·K), k = 1…11.
const C1: [f64; 11] = [
    0.1693443461530087,
    -10.46914743455169,
    71.96353469546523,
    -704.7478054272792,
    3924.090430035045,
    -12101.64659068747,
    22486.46550400788,
    -26055.62982188164,
    18523.73922069467,
    -7420.201433430137,
    1285.617841998974,
];

/// [OIML-R22] p. 13, C₂,ₖ in kg/(m³·K²), k = 1…10.
const C2: [f64; 10] = [
    -0.0119301300505701,
    0.2517399633803461,
    -2.170575700536993,
    13.53034988843029,
    -50.29988758547014,
    109.635566657757,
    -142.2753946421155,
    108.043594285623,
    -44.14153236817392,
    7.442971530188783,
];

/// [OIML-R22] p. 13, C₃,ₖ in kg/(m³·K³), k = 1…9.
const C3: [f64; 9] = [
    -0.0006802995733503803,
    0.01876837790289664,
    -0.2002561813734156,
    1.02299296671922,
    -2.895696483903638,
    4.810060584300675,
    -4.672147440794683,
    2.458043105903461,
    -0.5411227621436812,
];

/// [OIML-R22] p. 13, C₄,ₖ in kg/(m³·K⁴), k = 1…4.
const C4: [f64; 4] = [4.075376675622027e-06, -8.76305857347111e-06, 6.515031360099368e-06, -1.51578483698721e-06];

/// [OIML-R22] p. 13, C₅,ₖ in kg/(m³·K⁵), k = 1…2.
const C5: [f64; 2] = [-2.788074354782409e-08, 1.345612883493354e-08];

const MASS_FRACTION: Limits =
    Limits { quantity: "ethanol mass fraction", unit: "", low: 0.0, high: 1.0, source: SOURCE };
const STRENGTH: Limits =
    Limits { quantity: "alcoholic strength by volume", unit: "", low: 0.0, high: 1.0, source: SOURCE };
const TEMPERATURE: Limits = Limits { quantity: "temperature", unit: "°C", low: -20.0, high: 40.0, source: SOURCE };

/// Σ cₖ xᵏ⁻¹ in Horner form.
const fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    let mut sum = 0.0;
    let mut k = coefficients.len();
    while k > 0 {
        k -= 1;
        sum = sum * x + coefficients[k];
    }
    sum
}

const fn at_20c(p: f64) -> f64 {
    polynomial(&A, p)
}

/// Density of ethanol at 20 °C, kg/m³: ρ(1, 20 °C) of the formula, 789.24 to two decimals.
pub const ETHANOL_DENSITY_20C: f64 = at_20c(1.0);
/// Density of water at 20 °C, kg/m³: ρ(0, 20 °C) of the formula.
pub const WATER_DENSITY_20C: f64 = at_20c(0.0);

/// Density of an ethanol–water mixture at 20 °C.
///
/// ρ(p) = Σ Aₖ pᵏ⁻¹, k = 1…12
/// - `p`: ethanol mass fraction, 1, scalar in 0..=1
/// - returns ρ, kg/m³, scalar in 789.23..=998.21
///
/// Valid: ethanol and water only, 20 °C; sugar and acid are ignored.
/// Nominal: ρ(0) = 998.20, ρ(0.332996) = 948.05 (40 % vol), ρ(1) = 789.24.
/// Errors: [`OutOfRange`] outside 0..=1 or NaN. Accuracy: 0.01 kg/m³ against the printed European table (test
/// `ethanol_density_matches_published`), about 0.1 kg/m³ against measurement.
/// Source: OIML R 22 (1975), formula p. 5, coefficients p. 13; same in Directive 76/766/EEC (1976), Annex, section 4.
pub fn density_20c(p: f64) -> Result<f64, OutOfRange> {
    MASS_FRACTION.check(p).map(at_20c)
}

/// Density of an ethanol–water mixture at a temperature.
///
/// ρ(p, t) = A₁ + Σ Aₖ pᵏ⁻¹ (k = 2…12) + Σ Bₖ (t−20)ᵏ (k = 1…6) + Σᵢ Σₖ Cᵢ,ₖ pᵏ (t−20)ⁱ (i = 1…5)
/// - `p`: ethanol mass fraction, 1, scalar in 0..=1
/// - `t`: temperature, °C, scalar in −20..=40 (IPTS-68 in the source; the later scale differs by under 0.01 K here)
/// - returns ρ, kg/m³
///
/// Valid: liquid ethanol–water only. The formula does not know the freezing point; a mixture below it is extrapolated.
/// Nominal: ρ(0.332996, −5) = 963.56, ρ(1, 40) = 771.93.
/// Errors: [`OutOfRange`] outside either range or NaN. Accuracy: 0.1 kg/m³ against the US Bureau of Standards table at
/// 10 to 40 °C (test `ethanol_density_matches_published`).
/// Source: OIML R 22 (1975), formula p. 5, coefficients p. 13; same in Directive 76/766/EEC (1976), Annex, section 4.
pub fn density(p: f64, t: f64) -> Result<f64, OutOfRange> {
    let p = MASS_FRACTION.check(p)?;
    let x = TEMPERATURE.check(t)? - 20.0;
    let by_temperature = [
        polynomial(&C1, p) * p + B[0],
        polynomial(&C2, p) * p + B[1],
        polynomial(&C3, p) * p + B[2],
        polynomial(&C4, p) * p + B[3],
        polynomial(&C5, p) * p + B[4],
        B[5],
    ];
    Ok(at_20c(p) + polynomial(&by_temperature, x) * x)
}

/// Alcoholic strength by volume at 20 °C from the ethanol mass fraction.
///
/// q = p ρ(p, 20) / ρ(1, 20)
/// - `p`: ethanol mass fraction, 1, scalar in 0..=1
/// - returns q, ethanol volume over mixture volume, both at 20 °C, a fraction in 0..=1 (0.40 is 40 % vol)
///
/// Valid: ethanol and water only. Nominal: q(0.332996) = 0.4000.
/// Errors: [`OutOfRange`] outside 0..=1 or NaN. Accuracy: under 0.0001 (0.01 % vol).
/// Source: OIML R 22 (1975), definition of strength by volume, with the formula of [`density_20c`].
pub fn strength(p: f64) -> Result<f64, OutOfRange> {
    MASS_FRACTION.check(p).map(strength_of)
}

fn strength_of(p: f64) -> f64 {
    p * at_20c(p) / ETHANOL_DENSITY_20C
}

/// Ethanol mass fraction from the alcoholic strength by volume at 20 °C: the inverse of [`strength`], by bisection.
///
/// - `q`: strength, a fraction in 0..=1 (0.40 is 40 % vol)
/// - returns p, ethanol mass fraction, in 0..=1, to better than 1e-12
///
/// Valid: ethanol and water only. Nominal: p(0.40) = 0.332996.
/// Errors: [`OutOfRange`] outside 0..=1 or NaN.
/// Source: OIML R 22 (1975).
pub fn mass_fraction(q: f64) -> Result<f64, OutOfRange> {
    let q = STRENGTH.check(q)?;
    // Strength rises with mass fraction throughout, so the crossing is unique.
    Ok(bisect(0.0, 1.0, |p| strength_of(p) - q))
}
