//! Specific heat capacities of water, ice, ethanol, ethanol–water, sucrose solutions and whole drinks, and the latent heat
//! of ice.

use super::freezing::Solution;
use super::{Limits, OutOfRange, amount};

/// Short citation for pages.
pub const SOURCE: &str = "IAPWS-95; IAPWS R10-06; Melinder (2010); Schroeder et al. (2014); Bubník et al. (1995)";
/// Accuracy of a whole drink: the worst of its parts.
pub const ERROR: &str =
    "1.5 % for ethanol and water, 1 % for sugar and water; both together are added by mass, unchecked";

const MELINDER: &str = "Melinder, Properties of Secondary Working Fluids (IIR, 2010)";
const BUBNIK: &str = "Bubník et al., Sugar Technologists Manual (1995)";
const IAPWS_ICE: &str = "IAPWS R10-06 (2009)";

/// Latent heat of fusion of ice at 0 °C and 101.325 kPa, J/g, from the difference of IAPWS-95 and IAPWS R10-06. The often
/// quoted 333.55 is 0.04 % higher.
pub const LATENT_HEAT_0C: f64 = 333.42;
/// Density of ice at 0 °C, kg/m³: IAPWS R10-06 (2009).
pub const ICE_DENSITY_0C: f64 = 916.72;

/// Our least-squares fits of J/(g·K) against t⁰, t¹, … in °C to the named equation of state; largest residuals 0.012 %
/// (water, 0 to 100 °C), 0.007 % (ice, −60 to 0 °C), 0.032 % (ethanol, −50 to 70 °C).
pub(super) const WATER: [f64; 6] = [4.21895, -0.00319815, 9.67482e-05, -1.4267e-06, 1.10852e-08, -3.33089e-11];
const ICE: [f64; 3] = [2.0968, 0.00739498, 2.22329e-06];
const ETHANOL: [f64; 4] = [2.25712, 0.00638789, 2.89106e-05, -4.67265e-09];

/// [Melinder-2010] as carried by CoolProp (fluid MEA), J/(kg·K): row i is (t − t₀)ⁱ, column j is (p − p₀)ʲ.
const MIXED: [[f64; 6]; 4] = [
    [4.204e3, -2.102e3, -3.714e3, 1.743e4, -6.292e3, -8.290e4],
    [2.319, 4.927e1, -2.335e1, -2.969e2, 5.353e2, 0.0],
    [-3.042e-2, -3.072e-1, -1.960e-1, 1.901, 0.0, 0.0],
    [6.860e-4, -5.690e-3, 7.461e-3, 0.0, 0.0, 0.0],
];
/// [Melinder-2010] t₀, °C (281.3078 K).
const MIXED_T0: f64 = 8.1578;
/// [Melinder-2010] p₀, mass fraction.
const MIXED_P0: f64 = 0.292361;
/// [Melinder-2010] highest mass fraction.
const MIXED_END: f64 = 0.60;
/// Below this mass fraction the figure is led over to water, from which the formula differs by up to 0.5 % at p = 0.
const MIXED_START: f64 = 0.05;

/// [Bubnik-1995] J/(g·K): 4.1868 − B (0.0297 − 0.000046 Q) + 0.000075 B t with B = 100 and purity Q = 100, split into a
/// constant and a term in t: what one gram of dissolved sugar adds.
const SUGAR: [f64; 2] = [4.1868 - 2.51, 0.0075];
/// [Bubnik-1995] J/(g·K), its water, the same at all temperatures.
const SUGAR_WATER: f64 = 4.1868;

const WATER_T: Limits = Limits { quantity: "temperature", unit: "°C", low: 0.0, high: 100.0, source: "IAPWS-95" };
const ICE_T: Limits = Limits { quantity: "ice temperature", unit: "°C", low: -60.0, high: 0.0, source: IAPWS_ICE };
const ETHANOL_T: Limits =
    Limits { quantity: "temperature", unit: "°C", low: -50.0, high: 70.0, source: "Schroeder et al. (2014)" };
const MIXED_T: Limits = Limits { quantity: "temperature", unit: "°C", low: -50.0, high: 40.0, source: MELINDER };
/// Where a drink's heat may be reckoned, whatever it holds.
pub(super) const DRINK_T: Limits =
    Limits { quantity: "temperature", unit: "°C", low: -50.0, high: 100.0, source: SOURCE };
const MASS_FRACTION: Limits =
    Limits { quantity: "ethanol mass fraction", unit: "", low: 0.0, high: 1.0, source: MELINDER };
const SUGAR_T: Limits = Limits { quantity: "temperature", unit: "°C", low: 0.0, high: 100.0, source: BUBNIK };
const SUGAR_FRACTION: Limits =
    Limits { quantity: "sucrose mass fraction", unit: "", low: 0.0, high: 0.85, source: BUBNIK };

fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

/// Specific heat capacity of liquid water at 101.325 kPa.
///
/// c(t) = Σ cᵢ tⁱ, i = 0…5, our fit to the equation of state
/// - `t`: temperature, °C, scalar in 0..=100
/// - returns c, J/(g·K)
///
/// Valid: air-free water. Nominal: c(0) = 4.219, c(20) = 4.184.
/// Errors: [`OutOfRange`] outside 0..=100 or NaN. Accuracy: 0.02 %.
/// Source: W. Wagner, A. Pruß, IAPWS-95, J. Phys. Chem. Ref. Data 31, 387 (2002).
pub fn water(t: f64) -> Result<f64, OutOfRange> {
    WATER_T.check(t).map(|t| polynomial(&WATER, t))
}

/// Specific heat capacity of ice.
///
/// c(t) = Σ cᵢ tⁱ, i = 0…2, our fit to the equation of state
/// - `t`: temperature, °C, scalar in −60..=0
/// - returns c, J/(g·K)
///
/// Valid: ordinary ice, 101 kPa. Nominal: c(0) = 2.097, c(−18) = 1.964.
/// Errors: [`OutOfRange`] outside −60..=0 or NaN. Accuracy: 0.02 %.
/// Source: R. Feistel, W. Wagner, IAPWS R10-06 (2009), ice Ih.
pub fn ice(t: f64) -> Result<f64, OutOfRange> {
    ICE_T.check(t).map(|t| polynomial(&ICE, t))
}

/// Heat that warms ice from a temperature to 0 °C: the integral of [`ice`].
///
/// - `t`: temperature, °C, scalar in −60..=0
/// - returns J/g, not negative
///
/// Valid, errors, accuracy and source: as [`ice`]. Nominal: 36.55 at −18 °C.
pub fn ice_to_melting(t: f64) -> Result<f64, OutOfRange> {
    ICE_T.check(t).map(ice_to_melting_at)
}

/// [`ice_to_melting`] for a temperature known to be in range.
pub(super) fn ice_to_melting_at(t: f64) -> f64 {
    // Minus the antiderivative at t; it is 0 at 0 °C.
    0.0 - t * (ICE[0] + t * (ICE[1] / 2.0 + t * ICE[2] / 3.0))
}

/// Latent heat of fusion of ice at a temperature: what a gram takes up when it melts into a drink that cold.
///
/// L(t) = 333.42 + c_water t + ∫ₜ⁰ c_ice dt, with c_water(0 °C) throughout
/// - `t`: temperature, °C, scalar in −60..=0
/// - returns L, J/g
///
/// Valid: near 0 °C; the heat capacity of supercooled water, which rises below −10 °C, is taken as constant.
/// Nominal: L(0) = 333.42, L(−10) = 311.8. Errors: [`OutOfRange`] outside −60..=0 or NaN. Accuracy: 0.2 J/g at 0 °C,
/// about 1 % at −20 °C.
/// Source: IAPWS-95 and IAPWS R10-06 (2009).
pub fn latent_heat(t: f64) -> Result<f64, OutOfRange> {
    Ok(LATENT_HEAT_0C + WATER[0] * ICE_T.check(t)? + ice_to_melting(t)?)
}

/// Specific heat capacity of liquid ethanol.
///
/// c(t) = Σ cᵢ tⁱ, i = 0…3, our fit to the equation of state
/// - `t`: temperature, °C, scalar in −50..=70
/// - returns c, J/(g·K)
///
/// Valid: pure ethanol, 101 kPa. Nominal: c(25) = 2.4345.
/// Errors: [`OutOfRange`] outside −50..=70 or NaN. Accuracy: 0.05 % of the equation of state; an older handbook differs by
/// up to 1.3 % at 41 °C.
/// Source: J. A. Schroeder, S. G. Penoncello, J. S. Schroeder, J. Phys. Chem. Ref. Data 43, 043102 (2014).
pub fn ethanol(t: f64) -> Result<f64, OutOfRange> {
    ETHANOL_T.check(t).map(|t| polynomial(&ETHANOL, t))
}

fn melinder(p: f64, t: f64) -> f64 {
    let (x, y) = (t - MIXED_T0, p - MIXED_P0);
    MIXED.iter().rev().fold(0.0, |sum, row| sum * x + polynomial(row, y)) / 1000.0
}

/// [`ethanol_water`] for arguments known to be in range, carried on where a drink may go and the formulas do not: above
/// 40 °C the mixture keeps its figure of 40 °C and ethanol above 70 °C its own of 70 °C; water that is liquid below 0 °C only
/// because of other solutes keeps its figure of 0 °C.
fn ethanol_water_at(p: f64, t: f64) -> f64 {
    let mixed = |p: f64| melinder(p, t.min(MIXED_T.high));
    let between = |low: f64, high: f64, share: f64| low * (1.0 - share) + high * share;
    if p > MIXED_END {
        let share = (p - MIXED_END) / (1.0 - MIXED_END);
        between(mixed(MIXED_END), polynomial(&ETHANOL, t.min(ETHANOL_T.high)), share)
    } else if p < MIXED_START {
        between(polynomial(&WATER, t.max(WATER_T.low)), mixed(MIXED_START), p / MIXED_START)
    } else {
        mixed(p)
    }
}

/// Specific heat capacity of an ethanol–water mixture.
///
/// c(p, t) = Σᵢ Σⱼ cᵢⱼ (t − 8.1578)ⁱ (p − 0.292361)ʲ for p from 0.05 to 0.60; led over linearly to water at p = 0 and to
/// ethanol at p = 1
/// - `p`: ethanol mass fraction, 1, scalar in 0..=1
/// - `t`: temperature, °C, scalar in −50..=40
/// - returns c, J/(g·K)
///
/// Valid: liquid only; the published formula ends at 0.60, at 40 °C and at the freezing point. The leads are ours.
/// Nominal: c(0.20, 20) = 4.329 (more than water's), c(0.50, 0) = 3.634, c(1, 25) = 2.4345.
/// Errors: [`OutOfRange`] outside either range or NaN. Accuracy: 1.5 % against two sources.
/// Source: Å. Melinder, Properties of Secondary Working Fluids for Indirect Systems (IIR, 2010), coefficients as carried by
/// CoolProp (fluid MEA); [`water`]; [`ethanol`]; checked against Perry's Chemical Engineers' Handbook, p. 2-184.
pub fn ethanol_water(p: f64, t: f64) -> Result<f64, OutOfRange> {
    Ok(ethanol_water_at(MASS_FRACTION.check(p)?, MIXED_T.check(t)?))
}

/// Specific heat capacity of a pure sucrose solution.
///
/// c = 4.1868 − B (0.0297 − 0.000046 Q) + 0.000075 B t, B = 100 w, Q = 100
/// - `w`: sucrose mass fraction, 1, scalar in 0..=0.85
/// - `t`: temperature, °C, scalar in 0..=100
/// - returns c, J/(g·K)
///
/// Valid: sucrose and water. Nominal: c(0.50, 0) = 2.932. Errors: [`OutOfRange`] outside either range or NaN.
/// Accuracy: about 1 %; at w = 0 the source takes 4.1868 at all temperatures.
/// Source: Z. Bubník et al., Sugar Technologists Manual (1995).
pub fn sucrose_water(w: f64, t: f64) -> Result<f64, OutOfRange> {
    let w = SUGAR_FRACTION.check(w)?;
    let t = SUGAR_T.check(t)?;
    Ok(SUGAR_WATER * (1.0 - w) + polynomial(&SUGAR, t) * w)
}

/// What a drink is made of, in grams, as far as its heat is concerned.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Liquid {
    /// Liquid water, g.
    pub water: f64,
    /// Ethanol, g.
    pub ethanol: f64,
    /// Dissolved sugar, g.
    pub sugar: f64,
    /// Dissolved acid, g.
    pub acid: f64,
    /// Everything else (fat, protein, other solids), g.
    pub other: f64,
}

impl Liquid {
    pub(super) fn checked(&self) -> Result<Self, OutOfRange> {
        Ok(Self {
            water: amount("water", "g", self.water)?,
            ethanol: amount("ethanol", "g", self.ethanol)?,
            sugar: amount("sugar", "g", self.sugar)?,
            acid: amount("acid", "g", self.acid)?,
            other: amount("other solids", "g", self.other)?,
        })
    }

    /// What can freeze or lower the freezing point.
    pub(super) fn solution(&self) -> Solution {
        Solution { water: self.water, ethanol: self.ethanol, sugar: self.sugar, acid: self.acid }
    }

    /// J/K for masses and a temperature known to be in range.
    pub(super) fn capacity_at(&self, t: f64) -> f64 {
        let wet = self.water + self.ethanol;
        let wet = if wet > 0.0 { wet * ethanol_water_at(self.ethanol / wet, t) } else { 0.0 };
        wet + (self.sugar + self.acid + self.other) * polynomial(&SUGAR, t)
    }

    /// Heat given off on cooling from `from` to `to`, J; negative on warming. Three-point Gauss–Legendre quadrature: exact
    /// for the fifth power of t, the highest that occurs, and within 0.05 % across the bends at 0, 40 and 70 °C.
    pub(super) fn heat_between(&self, from: f64, to: f64) -> f64 {
        const NODE: f64 = 0.774_596_669_241_483_4; // √(3/5)
        let (middle, half) = (0.5 * (from + to), 0.5 * (from - to));
        let outer = self.capacity_at(middle - half * NODE) + self.capacity_at(middle + half * NODE);
        half * (5.0 * outer + 8.0 * self.capacity_at(middle)) / 9.0
    }
}

/// Heat capacity of a whole drink.
///
/// C = (w + e) c(e/(w + e), t) + (s + a + o) c_sugar(t), c_sugar = 1.6768 + 0.0075 t
/// - `liquid`: w water, e ethanol, s sugar, a acid, o other, each g, finite and not negative
/// - `t`: temperature, °C, scalar in −50..=100
/// - returns C, J/K
///
/// Valid: **added by mass beyond ethanol and water**; acid, fat, protein and other solids are taken to be as sugar (about
/// 1.7 J/(g·K)), which matters little because a drink holds few of them. For sugar and water alone it gives the published
/// formula with the true heat capacity of water in place of 4.1868. Above 40 °C ethanol–water keeps its figure of 40 °C.
/// Nominal: 80 g water with 20 g ethanol at 20 °C = 432.9.
/// Errors: [`OutOfRange`] for a bad mass or temperature. Accuracy: [`ERROR`].
/// Source: [`ethanol_water`], [`sucrose_water`].
pub fn drink(liquid: &Liquid, t: f64) -> Result<f64, OutOfRange> {
    Ok(liquid.checked()?.capacity_at(DRINK_T.check(t)?))
}
