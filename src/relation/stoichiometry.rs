//! What sugar can become in a ferment: ethanol and carbon dioxide by Gay-Lussac's equation, and the gas an open ferment keeps.

use super::ethanol_density::ETHANOL_DENSITY_20C;
use super::gas::{CO2_G_PER_VOLUME, CO2_MOLAR};
use super::{Limits, OutOfRange, amount};

/// Short citation for pages.
pub const SOURCE: &str = "Gay-Lussac stoichiometry, IUPAC atomic weights";
/// Accuracy. Yeast makes less than the equation allows.
pub const ERROR: &str =
    "exact as a limit; real yield of ethanol is about 8 % lower (EU wine rule: 16.83 g/l sugar per % vol)";

/// IUPAC conventional atomic weights, g/mol.
const CARBON: f64 = 12.011;
const HYDROGEN: f64 = 1.008;
const OXYGEN: f64 = 15.999;

/// Molar mass of ethanol, C₂H₆O, g/mol.
pub const ETHANOL_MOLAR: f64 = 2.0 * CARBON + 6.0 * HYDROGEN + OXYGEN;
/// Molar mass of glucose and fructose, C₆H₁₂O₆, g/mol.
pub const HEXOSE_MOLAR: f64 = 6.0 * CARBON + 12.0 * HYDROGEN + 6.0 * OXYGEN;
/// Molar mass of sucrose and maltose, C₁₂H₂₂O₁₁, g/mol.
pub const DISACCHARIDE_MOLAR: f64 = 12.0 * CARBON + 22.0 * HYDROGEN + 11.0 * OXYGEN;

/// Sugar used for one per cent by volume in practice, g/l: the EU wine rule as printed in a French order of 14 September
/// 2011, annex IV. The same table carries an older convention of 17.5.
pub const PRACTICAL_G_PER_L_PER_PERCENT: f64 = 16.83;

/// Which sugar is eaten.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sugar {
    /// Glucose or fructose: C₆H₁₂O₆ → 2 C₂H₅OH + 2 CO₂.
    Hexose,
    /// Sucrose or maltose, which takes up a water first: C₁₂H₂₂O₁₁ + H₂O → 4 C₂H₅OH + 4 CO₂.
    Disaccharide,
}

impl Sugar {
    /// Moles of ethanol, and of CO₂, per gram of sugar.
    const fn moles_per_g(self) -> f64 {
        match self {
            Self::Hexose => 2.0 / HEXOSE_MOLAR,
            Self::Disaccharide => 4.0 / DISACCHARIDE_MOLAR,
        }
    }

    /// Grams of ethanol from one gram: 0.51142 (hexose), 0.53834 (disaccharide).
    pub const fn ethanol_g_per_g(self) -> f64 {
        self.moles_per_g() * ETHANOL_MOLAR
    }

    /// Grams of CO₂ from one gram: 0.48857 (hexose), 0.51428 (disaccharide).
    pub const fn co2_g_per_g(self) -> f64 {
        self.moles_per_g() * CO2_MOLAR
    }

    /// Grams per litre of finished liquid for one per cent by volume, at the limit: 15.432 for a hexose.
    pub const fn g_per_l_per_percent(self) -> f64 {
        // One per cent by volume is 10 ml of ethanol in a litre.
        0.01 * ETHANOL_DENSITY_20C / self.ethanol_g_per_g()
    }
}

/// Volumes of CO₂ from sugar that ferments in a closed vessel.
///
/// V = s f / 1.977
/// - `sugar`: which; f is its g of CO₂ per g
/// - `s`: sugar fermented, g per litre of liquid, finite and not negative
/// - returns V, volumes (litres of gas at 0 °C and 1 atm per litre of liquid)
///
/// Valid: all of it fermented, none of the gas lost. Nominal: 1 g/l of glucose = 0.247, 4 g/l = 0.99.
/// Errors: [`OutOfRange`] for a negative, infinite or NaN amount. Accuracy: [`ERROR`].
/// Source: J. L. Gay-Lussac's equation with IUPAC atomic weights; one volume = 1.977 g/l.
pub fn co2_volumes(sugar: Sugar, s: f64) -> Result<f64, OutOfRange> {
    Ok(amount("sugar", "g/l", s)? * sugar.co2_g_per_g() / CO2_G_PER_VOLUME)
}

const OPEN_T: Limits = Limits { quantity: "temperature", unit: "°C", low: 0.0, high: 27.0, source: "priming tables" };

/// CO₂ that a drink keeps after fermenting open to the air.
///
/// V = 3.0378 − 0.050062 F + 0.00026555 F², F = 1.8 t + 32
/// - `t`: warmest temperature since the fermentation ended, °C, scalar in 0..=27
/// - returns V, volumes
///
/// Valid: beer at atmospheric pressure. Nominal: V(10 °C) = 1.20, V(21.1 °C) = 0.83.
/// Errors: [`OutOfRange`] outside 0..=27 or NaN. Accuracy: 0.05 volumes against solubility (from memory).
/// Source: quadratic used in brewers' priming tables; its origin was not found.
pub fn co2_left_open(t: f64) -> Result<f64, OutOfRange> {
    let f = 1.8 * OPEN_T.check(t)? + 32.0;
    Ok(3.0378 + f * (-0.050062 + 0.00026555 * f))
}
