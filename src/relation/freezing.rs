//! Freezing points of drinks: ethanol–water and sucrose–water from published tables, mixtures by adding depressions, and
//! how much of a drink is ice at a temperature.

use super::curve::Curve;
use super::root::bisect;
use super::{Limits, OutOfRange, amount};

/// Short citation for pages.
pub const SOURCE: &str =
    "CRC Handbook of Chemistry and Physics, 102nd ed. (2021), aqueous solutions; depressions added";
/// Accuracy. Two solutes together have no published check.
pub const ERROR: &str = "0.5 °C for ethanol or sugar alone; ethanol with sugar and acid is an assumption, unchecked";

const CRC: &str = "CRC Handbook, 102nd ed. (2021), concentrative properties of aqueous solutions";

/// Highest ethanol mass fraction (of ethanol and water) that the table covers.
pub const ETHANOL_HIGHEST: f64 = 0.68;
/// Freezing point at [`ETHANOL_HIGHEST`], °C: the lowest that the table covers.
pub const ETHANOL_LOWEST_C: f64 = -49.52;

/// Ethanol, mass % → freezing point, °C. [CRC-2021]; the point at 0 is water's own.
const ETHANOL: Curve<25> = Curve::through([
    (0.0, 0.0),
    (1.0, -0.40),
    (2.0, -0.81),
    (6.0, -2.54),
    (8.0, -3.47),
    (12.0, -5.56),
    (14.0, -6.73),
    (16.0, -8.01),
    (20.0, -10.92),
    (22.0, -12.60),
    (24.0, -14.47),
    (28.0, -18.43),
    (30.0, -20.47),
    (34.0, -24.27),
    (36.0, -25.98),
    (42.0, -30.98),
    (44.0, -32.68),
    (48.0, -36.04),
    (50.0, -37.67),
    (52.0, -39.20),
    (56.0, -42.06),
    (58.0, -43.49),
    (62.0, -46.28),
    (66.0, -48.64),
    (68.0, -49.52),
]);

/// Cryoscopic constant of water, K·kg/mol (CRC Handbook, from memory).
pub const CRYOSCOPIC: f64 = 1.86;
/// g/mol, IUPAC atomic weights.
const SUCROSE_MOLAR: f64 = 342.297;
/// g/mol, IUPAC atomic weights.
const CITRIC_MOLAR: f64 = 192.123;
/// kg/mol: our least-squares fit of the excess over the ideal depression to the CRC rows from 2 to 42 mass %, largest
/// residual 0.03 °C.
const SUCROSE_EXCESS: f64 = 0.11604;

/// Highest sucrose mass fraction (of sugar and water) in the CRC table.
pub const SUCROSE_TABLE_END: f64 = 0.42;
/// Highest sucrose mass fraction taken: near the eutectic of ice and sucrose, beyond which no ice forms first.
pub const SUCROSE_HIGHEST: f64 = 0.62;
/// Highest acid accepted, mol per kg of water; the ideal law is not used for anything more concentrated.
const ACID_HIGHEST: f64 = 2.0;

const ETHANOL_FRACTION: Limits = Limits {
    quantity: "ethanol mass fraction of ethanol and water",
    unit: "",
    low: 0.0,
    high: ETHANOL_HIGHEST,
    source: CRC,
};
const SUCROSE_FRACTION: Limits = Limits {
    quantity: "sugar mass fraction of sugar and water",
    unit: "",
    low: 0.0,
    high: SUCROSE_HIGHEST,
    source: "CRC Handbook to 0.42, carried on to the eutectic",
};
const ACID_MOLALITY: Limits = Limits {
    quantity: "acid in the water",
    unit: "mol/kg",
    low: 0.0,
    high: ACID_HIGHEST,
    source: "ideal depression, taken for dilute acid only",
};
const ETHANOL_TEMPERATURE: Limits =
    Limits { quantity: "freezing point", unit: "°C", low: ETHANOL_LOWEST_C, high: 0.0, source: CRC };

fn ethanol_at(p: f64) -> f64 {
    ETHANOL.at(100.0 * p)
}

/// Temperature at which the first ice forms in an ethanol–water mixture.
///
/// Monotone cubic through the table, t(0) = 0
/// - `p`: ethanol mass fraction, 1, scalar in 0..=0.68
/// - returns t, °C, scalar in −49.52..=0
///
/// Valid: ethanol and water only, equilibrium (drinks supercool). Nominal: t(0.20) = −10.92, t(0.332996) = −23.6 (40 % vol).
/// Errors: [`OutOfRange`] outside 0..=0.68 or NaN. Accuracy: 0.5 °C; an older handbook is up to 1.5 °C warmer near 0.30.
/// Source: CRC Handbook of Chemistry and Physics, 102nd ed. (2021), concentrative properties of aqueous solutions.
pub fn ethanol_water(p: f64) -> Result<f64, OutOfRange> {
    ETHANOL_FRACTION.check(p).map(ethanol_at)
}

/// Ethanol mass fraction of the liquid that is in equilibrium with ice: the inverse of [`ethanol_water`], by bisection.
///
/// - `t`: temperature, °C, scalar in −49.52..=0
/// - returns p, ethanol mass fraction, in 0..=0.68
///
/// Valid: ethanol and water only. Nominal: p(−10.92) = 0.20.
/// Errors: [`OutOfRange`] outside the range or NaN. Accuracy: 0.5 °C, that is about 0.005 in p.
/// Source: as [`ethanol_water`].
pub fn ethanol_fraction_at(t: f64) -> Result<f64, OutOfRange> {
    let t = ETHANOL_TEMPERATURE.check(t)?;
    Ok(bisect(0.0, ETHANOL_HIGHEST, |p| ethanol_at(p) - t))
}

fn sucrose_at(w: f64) -> f64 {
    let molality = 1000.0 * w / ((1.0 - w) * SUCROSE_MOLAR);
    // `0.0 -` rather than a sign in front, so that no sugar gives 0 and not −0.
    0.0 - CRYOSCOPIC * molality * (1.0 + SUCROSE_EXCESS * molality)
}

/// Temperature at which the first ice forms in a sucrose solution.
///
/// t = −1.86 m (1 + 0.11604 m), m = 1000 w / (342.297 (1 − w)) mol/kg
/// - `w`: sucrose mass fraction, 1, scalar in 0..=0.62
/// - returns t, °C, scalar in about −13.8..=0
///
/// Valid: sucrose and water. To 0.42 fitted to the CRC table; from there to 0.62 an **extrapolation** of ours, which ends
/// within 0.3 °C of the eutectic (about −14 °C near 0.62 to 0.64, from memory).
/// Nominal: t(0.10) = −0.63, t(0.42) = −4.90. Errors: [`OutOfRange`] outside 0..=0.62 or NaN.
/// Accuracy: 0.05 °C against the CRC rows, about 1 °C where extrapolated.
/// Source: CRC Handbook of Chemistry and Physics, 102nd ed. (2021), concentrative properties of aqueous solutions.
pub fn sucrose_water(w: f64) -> Result<f64, OutOfRange> {
    SUCROSE_FRACTION.check(w).map(sucrose_at)
}

/// What dissolves in a drink's water, in grams.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Solution {
    /// Liquid water, g.
    pub water: f64,
    /// Ethanol, g.
    pub ethanol: f64,
    /// Sugar, taken as sucrose, g. Glucose and fructose lower the freezing point nearly twice as far per gram.
    pub sugar: f64,
    /// Acid as anhydrous citric acid, g.
    pub acid: f64,
}

impl Solution {
    /// Refuses a negative, infinite or NaN mass.
    pub(super) fn checked(&self) -> Result<Self, OutOfRange> {
        Ok(Self {
            water: amount("water", "g", self.water)?,
            ethanol: amount("ethanol", "g", self.ethanol)?,
            sugar: amount("sugar", "g", self.sugar)?,
            acid: amount("acid", "g", self.acid)?,
        })
    }

    /// The same solutes in another mass of water.
    pub(super) fn with_water(self, water: f64) -> Self {
        Self { water, ..self }
    }

    fn is_only_water(&self) -> bool {
        self.ethanol == 0.0 && self.sugar == 0.0 && self.acid == 0.0
    }

    /// Least water, g, for which every solute stays inside its range.
    pub(super) fn least_water(&self) -> f64 {
        let beside = |solute: f64, highest: f64| solute * (1.0 - highest) / highest;
        beside(self.ethanol, ETHANOL_HIGHEST)
            .max(beside(self.sugar, SUCROSE_HIGHEST))
            .max(self.acid / CITRIC_MOLAR * 1000.0 / ACID_HIGHEST)
    }

    /// Freezing point of a solution whose masses and shares are known to be in range.
    pub(super) fn freezes_at(&self) -> f64 {
        let share = |solute: f64, highest: f64| {
            if solute == 0.0 { 0.0 } else { (solute / (solute + self.water)).min(highest) }
        };
        let acid = if self.acid == 0.0 { 0.0 } else { CRYOSCOPIC * self.acid_molality() };
        ethanol_at(share(self.ethanol, ETHANOL_HIGHEST)) + sucrose_at(share(self.sugar, SUCROSE_HIGHEST)) - acid
    }

    fn acid_molality(&self) -> f64 {
        self.acid / CITRIC_MOLAR / (self.water / 1000.0)
    }
}

/// Temperature at which the first ice forms in a drink.
///
/// t = t_ethanol(e/(e+w)) + t_sucrose(s/(s+w)) − 1.86 a/(192.123 w/1000)
/// - `solution`: w water, e ethanol, s sugar, a acid, each g, finite and not negative
/// - returns t, °C
///
/// Valid: **assumes that the depressions add**, each solute taken with all of the water present; no published table for
/// ethanol with sugar and acid was found. Acid is taken as undissociated citric acid by the ideal law. Salts, proteins and
/// gums are ignored, which errs warm by a few tenths of a degree.
/// Nominal: 60 g water with 15 g ethanol (0.20) = −10.92; adding 8 g sugar lowers it by 0.76.
/// Errors: [`OutOfRange`] for a bad mass, ethanol above 0.68, sugar above 0.62 or acid above 2 mol/kg of water, each
/// reckoned with the water alone; so always without water unless all masses are 0. Accuracy: [`ERROR`].
/// Source: [`ethanol_water`], [`sucrose_water`]; ideal cryoscopic law with 1.86 K·kg/mol.
pub fn mixture(solution: &Solution) -> Result<f64, OutOfRange> {
    let solution = solution.checked()?;
    let share = |solute: f64| {
        if solute == 0.0 { 0.0 } else { solute / (solute + solution.water) }
    };
    ETHANOL_FRACTION.check(share(solution.ethanol))?;
    SUCROSE_FRACTION.check(share(solution.sugar))?;
    if solution.acid > 0.0 {
        ACID_MOLALITY.check(solution.acid_molality())?;
    }
    Ok(solution.freezes_at())
}

/// How a drink stands at a temperature below its freezing point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ice {
    /// Water that has turned to ice, g.
    pub grams: f64,
    /// Temperature for which this holds, °C.
    pub temperature: f64,
}

/// Water that turns to ice when a drink is brought to a temperature and left to settle.
///
/// Lever rule: ice is pure, so water freezes until the rest's freezing point equals t
/// - `solution`: g, as in [`mixture`]
/// - `t`: temperature, °C, not above 100
/// - returns grams of ice; 0 at or above the freezing point; all of it for plain water below 0 °C
///
/// Valid: equilibrium; a quiet drink may supercool and hold no ice. The assumption of [`mixture`] applies.
/// Nominal: 80 g water with 20 g ethanol at −18 °C: 27.5 g of ice. Errors: [`OutOfRange`] as [`mixture`], and for a
/// temperature at which the remaining liquid would leave its range; the refusal's `low` is the last temperature that has an
/// answer, and [`most_ice`] gives the ice there. Accuracy: 0.5 °C in t, about 2 % of the water near −18 °C.
/// Source: as [`mixture`].
pub fn ice(solution: &Solution, t: f64) -> Result<f64, OutOfRange> {
    let solution = solution.checked()?;
    let asked = Limits { quantity: "temperature", unit: "°C", low: f64::MIN, high: 100.0, source: CRC }.check(t)?;
    if solution.is_only_water() {
        return Ok(if asked < 0.0 { solution.water } else { 0.0 });
    }
    if asked >= mixture(&solution)? {
        return Ok(0.0);
    }
    let least = solution.least_water();
    let lowest = solution.with_water(least).freezes_at();
    if asked < lowest {
        return Err(Limits { quantity: "temperature", unit: "°C", low: lowest, high: 100.0, source: CRC }.refuse(t));
    }
    let liquid = bisect(least, solution.water, |water| solution.with_water(water).freezes_at() - asked);
    Ok(solution.water - liquid)
}

/// The most ice that [`ice`] can vouch for, and its temperature: at anything colder there is at least this much.
///
/// - `solution`: g, as in [`mixture`]
/// - returns grams of ice with the lowest temperature that the tables reach; plain water gives all of it at 0 °C
///
/// Valid, errors, accuracy and source: as [`ice`].
pub fn most_ice(solution: &Solution) -> Result<Ice, OutOfRange> {
    mixture(solution)?;
    let least = solution.least_water().min(solution.water);
    let grams = solution.water - least;
    let temperature = if solution.is_only_water() { 0.0 } else { solution.with_water(least).freezes_at() };
    Ok(Ice { grams, temperature })
}
