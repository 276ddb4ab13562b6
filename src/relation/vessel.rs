//! A sealed vessel with liquid and gas: how much dissolves, how much stays above, and what a gauge would show. For siphons,
//! kegs, and the sealed bottle that should not have been.

use super::gas::{self, ATMOSPHERE_BAR, Gas, R, ZERO_C};
use super::{Limits, OutOfRange, amount};

/// Short citation for pages.
pub const SOURCE: &str = "Henry's law and the ideal gas law";
/// Accuracy; an estimate for judging danger, never for relying on.
pub const ERROR: &str = "5 % to 5 bar, 10 to 15 % to 20 bar, rough above; too high rather than too low";

/// A closed vessel at rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sealed {
    /// The gas put in or made.
    pub gas: Gas,
    /// All of it, dissolved or not, g.
    pub grams: f64,
    /// Liquid, ml.
    pub liquid: f64,
    /// Space above it, ml.
    pub headspace: f64,
    /// Temperature of both, °C, 0..=100.
    pub temperature: f64,
    /// Pressure of the air shut in, bar absolute: 1.01325 where the vessel was closed in the open (the air dissolved in the
    /// liquid keeps it up even without headspace), 0 where it was purged or degassed.
    pub air: f64,
    /// Gas that the liquid holds relative to water, 1 for water, above 0 and at most 5;
    /// [`co2_drink_factor`](super::gas::co2_drink_factor) for CO₂.
    pub factor: f64,
}

/// What is inside once it has settled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settled {
    /// Pressure above the atmosphere, bar; negative where a purged vessel holds less than 1 atm.
    pub gauge_bar: f64,
    /// Gas in the liquid, g.
    pub dissolved: f64,
    /// Gas above it, g.
    pub free: f64,
}

const FACTOR: Limits = Limits {
    quantity: "solubility relative to water",
    unit: "",
    low: 0.01,
    high: 5.0,
    source: "a ratio of solubilities",
};

/// Shares a gas between the liquid and the space above it.
///
/// m = p/1.01325 · c f V_l + p M V_h/(R T); gauge = p + air − 1.01325
/// - `sealed`: see the fields for units and ranges; c is [`gas::solubility`]
/// - returns [`Settled`]: bar and g
///
/// Valid: at rest, after shaking; the vessel does not stretch, water vapour (0.02 bar at 20 °C) is left out. Above about
/// 20 bar both laws fail (CO₂ turns liquid at 57 bar and 20 °C), yet the answer is kept, since it tells a danger.
/// Nominal: 8 g of CO₂ in 1 l of water with no headspace at 20 °C: 4.63 bar with air shut in, 3.62 bar without.
/// Errors: [`OutOfRange`] for a bad number, and for gas with neither liquid nor headspace. Accuracy: [`ERROR`].
/// Source: [`gas::solubility`]'s, ideal gas law with CODATA 2018.
pub fn settle(sealed: &Sealed) -> Result<Settled, OutOfRange> {
    let grams = amount("gas", "g", sealed.grams)?;
    let liquid = amount("liquid", "ml", sealed.liquid)? / 1000.0;
    let headspace = amount("headspace", "ml", sealed.headspace)? / 1000.0;
    let air = amount("air pressure", "bar", sealed.air)?;
    let held = gas::solubility(sealed.gas, sealed.temperature)? * FACTOR.check(sealed.factor)? / ATMOSPHERE_BAR;
    // g per bar in the liquid, and above it: 1 bar·l is 100 J.
    let in_liquid = held * liquid;
    let above = 100.0 * headspace * sealed.gas.molar() / (R * (sealed.temperature + ZERO_C));
    if grams == 0.0 {
        return Ok(Settled { gauge_bar: air - ATMOSPHERE_BAR, dissolved: 0.0, free: 0.0 });
    }
    let room = Limits {
        quantity: "room for gas",
        unit: "g/bar",
        low: 1e-6,
        high: f64::MAX,
        source: "a vessel has liquid or headspace",
    };
    let pressure = grams / room.check(in_liquid + above)?;
    Ok(Settled { gauge_bar: pressure + air - ATMOSPHERE_BAR, dissolved: pressure * in_liquid, free: pressure * above })
}
