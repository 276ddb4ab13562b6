//! Solubility of carbon dioxide, nitrogen and nitrous oxide in water, and what ethanol and sugar do to that of CO₂.

use super::{Limits, OutOfRange, amount, water_density};

/// Short citation for pages.
pub const SOURCE: &str = "Carroll et al. (1991); Weiss (1970); Weiss and Price (1980)";
/// Accuracy of the water values, and of the drink factor.
pub const ERROR: &str = "2.3 % between two sources for CO₂ in water; ethanol and sugar measured at 20 °C only";

/// Molar gas constant, J/(mol·K): CODATA 2018, exact.
pub const R: f64 = 8.314462618;
/// Standard atmosphere, bar.
pub const ATMOSPHERE_BAR: f64 = 1.01325;
/// 0 °C in kelvin.
pub const ZERO_C: f64 = 273.15;
/// Mass of CO₂ in one litre at 0 °C and 1 atm, g: what "one volume" means. The two EU sparkling-wine formulas imply 1.9767.
pub const CO2_G_PER_VOLUME: f64 = 1.977;
/// Molar mass of CO₂, g/mol, IUPAC atomic weights.
pub const CO2_MOLAR: f64 = 12.011 + 2.0 * 15.999;
/// Molar mass of N₂, g/mol, IUPAC atomic weights.
pub const N2_MOLAR: f64 = 2.0 * 14.007;
/// Molar mass of N₂O, g/mol, IUPAC atomic weights.
pub const N2O_MOLAR: f64 = 2.0 * 14.007 + 15.999;
/// Molar mass of water, g/mol, IUPAC atomic weights.
const WATER_MOLAR: f64 = 18.015;
/// Gas in one cartridge, N₂O or CO₂, g: the trade's standard fill (7.8 to 8.4 are also sold). Common practice.
pub const CARTRIDGE_G: f64 = 8.0;
/// Molar volume of an ideal gas at 0 °C and 1 atm, l/mol.
pub const MOLAR_VOLUME: f64 = R * ZERO_C / (ATMOSPHERE_BAR * 100.0);

/// A gas that is put into drinks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gas {
    /// Carbon dioxide.
    Co2,
    /// Nitrogen.
    N2,
    /// Nitrous oxide.
    N2o,
}

impl Gas {
    /// g/mol.
    pub const fn molar(self) -> f64 {
        match self {
            Self::Co2 => CO2_MOLAR,
            Self::N2 => N2_MOLAR,
            Self::N2o => N2O_MOLAR,
        }
    }

    /// [Sander-2023] temperature coefficient d ln H / d(1/T), K. CO₂'s is from memory; the others were looked up.
    pub const fn van_t_hoff(self) -> f64 {
        match self {
            Self::Co2 => 2400.0,
            Self::N2 => 1300.0,
            Self::N2o => 2600.0,
        }
    }

    /// [Sander-2023] Henry solubility at 25 °C, mol/(m³·Pa). CO₂'s is from memory; the others were looked up.
    pub const fn henry_25c(self) -> f64 {
        match self {
            Self::Co2 => 3.3e-4,
            Self::N2 => 6.4e-6,
            Self::N2o => 2.4e-4,
        }
    }
}

const fn celsius(low: f64, high: f64, source: &'static str) -> Limits {
    Limits { quantity: "temperature", unit: "°C", low, high, source }
}

/// Where Weiss's measurements end, °C.
const WEISS_END: f64 = 40.0;
const CARROLL_T: Limits = celsius(0.0, 100.0, "Carroll et al. (1991)");
const WEISS_T: Limits = celsius(0.0, WEISS_END, "Weiss (1970, 1974); Weiss and Price (1980)");
const SANDER_T: Limits = celsius(0.0, 100.0, "Sander (2023)");

/// Weiss's form: exp(a + b (100/T) + c ln(T/100)).
fn weiss(a: f64, b: f64, c: f64, t: f64) -> f64 {
    let hundreds = (t + ZERO_C) / 100.0;
    libm::exp(a + b / hundreds + c * libm::log(hundreds))
}

/// CO₂ that water holds under 1 atm of CO₂, after Carroll.
///
/// ln(H/MPa) = −6.8346 + 12817/T − 3.7668·10⁶/T² + 2.997·10⁸/T³; x = p/H; c = x/(1 − x) × 44.009/18.015 × ρ_water
/// - `t`: temperature, °C, scalar in 0..=100 (source: 273 < T < 433 K)
/// - returns c, g per litre of water at a CO₂ partial pressure of 1.01325 bar
///
/// Valid: water; Henry's law, so proportional to pressure up to about 5 bar. Nominal: c(0) = 3.336, c(20) = 1.749.
/// Errors: [`OutOfRange`] outside 0..=100 or NaN. Accuracy: within 2.3 % of [`co2_weiss`].
/// Source: J. J. Carroll, J. D. Slupsky, A. E. Mather, J. Phys. Chem. Ref. Data 20 (1991) 1201.
pub fn co2_carroll(t: f64) -> Result<f64, OutOfRange> {
    let t = CARROLL_T.check(t)?;
    let reciprocal = 1.0 / (t + ZERO_C);
    let log_mpa = -6.8346 + reciprocal * (12817.0 + reciprocal * (-3.7668e6 + reciprocal * 2.997e8));
    let x = ATMOSPHERE_BAR / 10.0 / libm::exp(log_mpa);
    Ok(x / (1.0 - x) * CO2_MOLAR / WATER_MOLAR * water_density::at(t))
}

/// CO₂ that water holds under 1 atm of CO₂, after Weiss.
///
/// ln K₀ = −60.2409 + 9345.17/T + 23.3585 ln(T/100), mol/(kg·atm), salinity 0
/// - `t`: temperature, °C, scalar in 0..=40
/// - returns g per litre of water
///
/// Valid: water. Nominal: 3.4135 at 0 °C. Errors: [`OutOfRange`] outside 0..=40 or NaN. Accuracy: as [`co2_carroll`].
/// Source: R. F. Weiss, Marine Chemistry 2 (1974) 203.
pub fn co2_weiss(t: f64) -> Result<f64, OutOfRange> {
    let t = WEISS_T.check(t)?;
    Ok(weiss(-60.2409, 93.4517, 23.3585, t) * CO2_MOLAR * water_density::at(t) / 1000.0)
}

/// Nitrogen that water holds under 1 atm, as the Bunsen coefficient.
///
/// ln β = −59.6274 + 85.7761 (100/T) + 24.3696 ln(T/100), salinity 0
/// - `t`: temperature, °C, scalar in 0..=40
/// - returns β, volumes of gas (0 °C, 1 atm) per volume of water
///
/// Valid: water. Nominal: β(5) = 0.02108. Errors: [`OutOfRange`] outside 0..=40 or NaN. Accuracy: 0.4 % (from memory).
/// Source: R. F. Weiss, Deep-Sea Research 17 (1970) 721.
pub fn n2_bunsen(t: f64) -> Result<f64, OutOfRange> {
    Ok(weiss(-59.6274, 85.7761, 24.3696, WEISS_T.check(t)?))
}

/// Nitrous oxide that water holds under 1 atm.
///
/// ln K₀ = −62.7062 + 97.3066 (100/T) + 24.1406 ln(T/100), mol/(l·atm), salinity 0
/// - `t`: temperature, °C, scalar in 0..=40
/// - returns g per litre of water
///
/// Valid: water; cream and spirits hold more, by an amount not modelled. Nominal: 2.218 at 4 °C.
/// Errors: [`OutOfRange`] outside 0..=40 or NaN. Accuracy: 0.3 % (from memory).
/// Source: R. F. Weiss, B. A. Price, Marine Chemistry 8 (1980) 347.
pub fn n2o_weiss_price(t: f64) -> Result<f64, OutOfRange> {
    Ok(weiss(-62.7062, 97.3066, 24.1406, WEISS_T.check(t)?) * N2O_MOLAR)
}

/// Henry's constant of a gas in water by its value at 25 °C and van 't Hoff's temperature coefficient.
///
/// H(T) = H(25 °C) exp(C (1/T − 1/298.15 K))
/// - `gas`: which
/// - `t`: temperature, °C, scalar in 0..=100
/// - returns H, mol/(m³·Pa)
///
/// Valid: water; a compilation's rounded figures, good where nothing better reaches.
/// Nominal: N₂O at 25 °C = 2.4·10⁻⁴. Errors: [`OutOfRange`] outside 0..=100 or NaN. Accuracy: about 5 %, more above 60 °C.
/// Source: R. Sander, Compilation of Henry's law constants 5.0.0, Atmos. Chem. Phys. 23 (2023) 10901; the CO₂ pair from memory.
pub fn henry(gas: Gas, t: f64) -> Result<f64, OutOfRange> {
    let t = SANDER_T.check(t)?;
    let warmer = 1.0 / (t + ZERO_C) - 1.0 / 298.15;
    Ok(gas.henry_25c() * libm::exp(gas.van_t_hoff() * warmer))
}

/// Gas that water holds under 1 atm of it: the best of the relations above for each gas.
///
/// CO₂ [`co2_carroll`]; N₂ [`n2_bunsen`] and N₂O [`n2o_weiss_price`] to 40 °C, beyond that their value at 40 °C carried on by
/// van 't Hoff's coefficient ([`Gas::van_t_hoff`]), so that no step arises
/// - `gas`: which
/// - `t`: temperature, °C, scalar in 0..=100
/// - returns g per litre of water at a partial pressure of 1.01325 bar
///
/// Valid: water. Nominal: at 5 °C CO₂ 2.796, N₂ 0.0263, N₂O 2.133.
/// Errors: [`OutOfRange`] outside 0..=100 or NaN. Accuracy: 2.3 % to 40 °C, about 10 % at 100 °C (N₂, N₂O).
/// Source: those relations'.
pub fn solubility(gas: Gas, t: f64) -> Result<f64, OutOfRange> {
    let t = SANDER_T.check(t)?;
    let measured = t.min(WEISS_END);
    let grams = match gas {
        Gas::Co2 => return co2_carroll(t),
        Gas::N2 => n2_bunsen(measured)? * N2_MOLAR / MOLAR_VOLUME,
        Gas::N2o => n2o_weiss_price(measured)?,
    };
    let beyond = 1.0 / (t + ZERO_C) - 1.0 / (measured + ZERO_C);
    Ok(grams * libm::exp(gas.van_t_hoff() * beyond))
}

const OIV: &str = "OIV and Regulation (EEC) No 2676/90";
const OIV_STRENGTH: Limits =
    Limits { quantity: "alcoholic strength by volume", unit: "", low: 0.0, high: 0.20, source: OIV };
const OIV_SUGAR: Limits = Limits { quantity: "sugar", unit: "g/l", low: 0.0, high: 200.0, source: OIV };

/// CO₂ in a wine-like drink at 20 °C.
///
/// c = 1.951·10⁻⁵ P (0.86 − 0.01 A)(1 − 0.00144 S)
/// - `bar`: absolute pressure of CO₂, bar, finite and not negative (P is in Pa)
/// - `q`: strength, a fraction in 0..=0.20 (A is in % vol); `s`: sugar, g/l, scalar in 0..=200
/// - returns c, g/l
///
/// Valid: 20 °C; sparkling wine, carried on by us to 20 % vol and 200 g/l, where it is not confirmed. Ethanol and sugar both
/// lower the solubility here; pure ethanol holds more than water, so stronger drinks are refused.
/// Nominal: 1 bar, 12 % vol, no sugar = 1.444 g/l. Errors: [`OutOfRange`] outside a range or NaN. Accuracy: not stated.
/// Source: OIV, and Commission Regulation (EEC) No 2676/90.
pub fn co2_wine_20c(bar: f64, q: f64, s: f64) -> Result<f64, OutOfRange> {
    Ok(1.951 * amount("pressure", "bar", bar)? * wine_term(q, s)?)
}

fn wine_term(q: f64, s: f64) -> Result<f64, OutOfRange> {
    let (q, s) = (OIV_STRENGTH.check(q)?, OIV_SUGAR.check(s)?);
    Ok((0.86 - q) * (1.0 - 0.00144 * s))
}

/// How much less CO₂ a drink holds than water does.
///
/// f = (0.86 − 0.01 A)(1 − 0.00144 S)/0.86
/// - `q`: strength, a fraction in 0..=0.20; `s`: sugar, g/l, scalar in 0..=200
/// - returns f, 1, scalar in about 0.55..=1
///
/// Valid: from [`co2_wine_20c`] at 20 °C, **taken to hold at other temperatures too**, an assumption without a check.
/// Nominal: f(0.12, 0) = 0.860. Errors: [`OutOfRange`] outside a range or NaN. Accuracy: about 5 % (estimated).
/// Source: OIV, and Commission Regulation (EEC) No 2676/90.
pub fn co2_drink_factor(q: f64, s: f64) -> Result<f64, OutOfRange> {
    Ok(wine_term(q, s)? / 0.86)
}

/// Pressure of a gas that is alone in a space, by the ideal gas law.
///
/// p = n R T / V
/// - `gas`: which; `grams`: its mass, g, finite and not negative
/// - `ml`: the space, ml, finite and at least 0.001
/// - `t`: temperature, °C, scalar in 0..=100
/// - returns p, bar absolute
///
/// Valid: to about 20 bar. Nominal: 1.977 g of CO₂ in 1 l at 0 °C = 1.02 bar.
/// Errors: [`OutOfRange`] for a bad number. Accuracy: 1 % at 2 bar, 10 % at 20 bar (CO₂ and N₂O; from memory).
/// Source: ideal gas law; CODATA 2018.
pub fn ideal_pressure(gas: Gas, grams: f64, ml: f64, t: f64) -> Result<f64, OutOfRange> {
    let space = Limits { quantity: "space", unit: "ml", low: 0.001, high: f64::MAX, source: "ideal gas law" };
    let moles = amount("gas", "g", grams)? / gas.molar();
    // J/ml is MPa; ten times that is bar.
    Ok(moles * R * (SANDER_T.check(t)? + ZERO_C) / space.check(ml)? * 10.0)
}
