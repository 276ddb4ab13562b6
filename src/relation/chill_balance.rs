//! Chilling with ice by an energy balance: how much ice melts and how cold a drink gets, from its parts, the ice and the
//! vessel. The physical model beside the empirical one in `dilution_fit`.
//!
//! The ideal case (dry ice at 0 °C, no vessel, none left over) is a lower limit: the shaken fit lies 30 to 45 % above it, the
//! stirred fit close to it. What the ideal leaves out is modelled here by stated parameters: water that clings to the ice,
//! ice that starts colder than 0 °C, left-over ice that is itself chilled below 0 °C, the vessel's heat, heat from hands and
//! air, and the sugar and acid that lower the freezing point. None of the parameters was adjusted to make the two models
//! agree. Water added in ml per ml of a spirit–water mix, 100 ml at 20 °C (test `full_balance_explains_the_shaken_fit`):
//!
//! | start | ideal | shaken: fit | balance¹ | stirred: fit | balance² |
//! |-------|-------|-------------|----------|--------------|----------|
//! | 0.15  | 0.325 | 0.429       | 0.502    | 0.305        | 0.404    |
//! | 0.20  | 0.351 | 0.489       | 0.536    | 0.346        | 0.403    |
//! | 0.25  | 0.378 | 0.541       | 0.570    | 0.381        | 0.399    |
//! | 0.30  | 0.405 | 0.585       | 0.605    | 0.410        | 0.394    |
//! | 0.35  | 0.431 | 0.621       | 0.640    | 0.433        | 0.387    |
//! | 0.40  | 0.460 | 0.649       | 0.675    | 0.450        | 0.378    |
//!
//! ¹ [`Ice::BAR`], [`Vessel::TINS`], 500 J of heat gain, until settled. ² [`Ice::BAR`], [`Vessel::STIRRING_GLASS`] chilled to
//! 0 °C beforehand, 500 J, stopped at −2 °C (both common practice, no source): how long is stirred decides, so the balance
//! needs a temperature here, and it can't follow the fit's dependence on strength.

use super::freezing::{self, Solution};
use super::heat_capacity::{self, DRINK_T, Liquid, ice_to_melting_at as ice_to_melting};
use super::root::bisect;
use super::{Limits, OutOfRange, amount};

/// Short citation for pages.
pub const SOURCE: &str = "energy balance on IAPWS, Melinder (2010) and CRC Handbook values";
/// Accuracy. The balance itself is exact; its parameters are what is uncertain.
pub const ERROR: &str = "0.01 ml/ml and 0.5 °C for the ideal case; the ice and vessel parameters are estimates";

/// The ice.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ice {
    /// Mean temperature of the solid, °C, −60..=0.
    pub temperature: f64,
    /// Water clinging to it, as a share of the mass of wet ice, 0..=0.5. It is at 0 °C and all of it ends in the drink.
    pub clinging: f64,
    /// Wet ice put in, g; `None` for as much as melts and no more, so that none is left over.
    pub available: Option<f64>,
    /// Share of the left-over ice that ends as cold as the drink, 0..=1; the rest keeps its temperature. It matters because
    /// ice at 0 °C must itself be chilled when the drink goes below. Ignored where no ice is left over.
    pub chilled: f64,
}

impl Ice {
    /// The ideal limit: dry, at 0 °C, none left over.
    pub const IDEAL: Self = Self { temperature: 0.0, clinging: 0.0, available: None, chilled: 0.0 };

    /// Wet ice from a bar's ice well.
    ///
    /// Bar ice is at 0 °C (D. Arnold, Tales of the Cocktail: Science of Shaking II, 2009, public article). The rest is
    /// common practice, no source: about 250 g a drink; 3 % of it water from standing in the well (a film of 0.15 mm on
    /// 30 mm cubes, computed from the geometry); 40 % chilled through (a 4 mm shell, which is how far cold travels into
    /// ice in 15 s by its thermal diffusivity of 1.1 mm²/s, from memory).
    pub const BAR: Self = Self { temperature: 0.0, clinging: 0.03, available: Some(250.0), chilled: 0.4 };
}

/// What holds the drink and is chilled with it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Vessel {
    /// Heat capacity of the part that follows the drink's temperature, J/K.
    pub capacity: f64,
    /// Its temperature before, °C, −50..=100.
    pub temperature: f64,
}

impl Vessel {
    /// Nothing is chilled but the drink.
    pub const NONE: Self = Self { capacity: 0.0, temperature: 0.0 };
    /// A pair of steel shaking tins at 20 °C: 400 g (common practice, no source) of 0.50 J/(g·K) (stainless steel, from
    /// memory), of which half touches the drink.
    pub const TINS: Self = Self { capacity: 100.0, temperature: 20.0 };
    /// A stirring glass at 20 °C: 600 g (common practice, no source) of 0.84 J/(g·K) (soda-lime glass, from memory), of which
    /// a third follows during half a minute.
    pub const STIRRING_GLASS: Self = Self { capacity: 168.0, temperature: 20.0 };
}

/// When the chilling ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Until {
    /// When the drink has reached its own freezing point, or the ice is gone.
    Settled,
    /// At a temperature, °C, which must lie between the settled one and that before any ice melts.
    Temperature(f64),
}

/// A drink, its ice, its vessel and how long.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chilling {
    /// The drink before, g.
    pub liquid: Liquid,
    /// Its temperature before, °C, −50..=100.
    pub start: f64,
    /// The ice.
    pub ice: Ice,
    /// The vessel.
    pub vessel: Vessel,
    /// Heat taken up from hands and air meanwhile, J, finite and not negative.
    pub heat_gain: f64,
    /// When it ends.
    pub until: Until,
}

/// What chilling did.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chilled {
    /// Ice melted, g; negative where the ice is so cold that water of the drink freezes onto it.
    pub melt: f64,
    /// Water that clung to the ice and is now in the drink, g.
    pub clinging: f64,
    /// Water added in all, g: melt and clinging.
    pub water: f64,
    /// Temperature of the drink, °C.
    pub temperature: f64,
    /// Ice left over, g; `None` where the amount put in was not given.
    pub ice_left: Option<f64>,
}

const ICE_T: Limits =
    Limits { quantity: "ice temperature", unit: "°C", low: -60.0, high: 0.0, source: "IAPWS R10-06 (2009)" };
const CLINGING: Limits =
    Limits { quantity: "water clinging to the ice", unit: "", low: 0.0, high: 0.5, source: "a share of wet ice" };
const CHILLED: Limits =
    Limits { quantity: "share of the left-over ice chilled", unit: "", low: 0.0, high: 1.0, source: "a share" };

/// A [`Chilling`] whose numbers are all in range, with what follows from them once.
struct Balance {
    liquid: Liquid,
    solution: Solution,
    start: f64,
    vessel: Vessel,
    heat_gain: f64,
    /// J/g to bring the ice to 0 °C.
    ice_to_melting: f64,
    chilled: f64,
    clinging_share: f64,
    /// Solid ice put in, g.
    solid: Option<f64>,
}

impl Balance {
    fn checked(chilling: &Chilling) -> Result<Self, OutOfRange> {
        let liquid = chilling.liquid.checked()?;
        let clinging_share = CLINGING.check(chilling.ice.clinging)?;
        let solid = match chilling.ice.available {
            Some(wet) => Some(amount("ice", "g", wet)? * (1.0 - clinging_share)),
            None => None,
        };
        Ok(Self {
            liquid,
            solution: liquid.solution(),
            start: DRINK_T.check(chilling.start)?,
            vessel: Vessel {
                capacity: amount("vessel heat capacity", "J/K", chilling.vessel.capacity)?,
                temperature: DRINK_T.check(chilling.vessel.temperature)?,
            },
            heat_gain: amount("heat gain", "J", chilling.heat_gain)?,
            ice_to_melting: ice_to_melting(ICE_T.check(chilling.ice.temperature)?),
            chilled: CHILLED.check(chilling.ice.chilled)?,
            clinging_share,
            solid,
        })
    }

    /// Clinging water, g. With the ice weighed, all of it brings its film along; otherwise only what melts does.
    fn clinging(&self, melt: f64) -> f64 {
        let solid = self.solid.unwrap_or_else(|| melt.max(0.0));
        solid * self.clinging_share / (1.0 - self.clinging_share)
    }

    fn freezes_at(&self, melt: f64) -> f64 {
        self.solution.with_water(self.solution.water + melt + self.clinging(melt)).freezes_at()
    }

    /// Heat given off minus heat taken up, J, when `melt` grams have melted and everything is at `t`.
    fn surplus(&self, melt: f64, t: f64) -> f64 {
        let water = heat_capacity::WATER[0]; // J/(g·K), near 0 °C
        let given = self.liquid.heat_between(self.start, t)
            + self.vessel.capacity * (self.vessel.temperature - t)
            + self.heat_gain
            - self.clinging(melt) * water * t;
        let melted = melt * (self.ice_to_melting + heat_capacity::LATENT_HEAT_0C + water * t);
        // Left-over ice can't pass 0 °C.
        let left = self.solid.map_or(0.0, |solid| (solid - melt).max(0.0));
        let warmed = left * self.chilled * (self.ice_to_melting - ice_to_melting(t.min(0.0)));
        given - melted - warmed
    }

    fn done(&self, melt: f64, temperature: f64) -> Chilled {
        let clinging = self.clinging(melt);
        let ice_left = self.solid.map(|solid| (solid - melt).max(0.0));
        Chilled { melt, clinging, water: melt + clinging, temperature, ice_left }
    }

    /// Least melt, g, for which the drink's freezing point is known.
    fn least_melt(&self) -> f64 {
        let short = self.solution.least_water() - self.solution.water;
        let film = self.clinging(0.0);
        match self.solid {
            // The film is there from the start.
            Some(_) => short - film,
            None if short > 0.0 => short * (1.0 - self.clinging_share),
            None => short,
        }
    }

    /// Melt at which the drink stands at its own freezing point, or all the ice and what it leaves behind.
    fn settled(&self) -> Result<Chilled, OutOfRange> {
        // Strictly inside, since a drink without solutes has no water-free limit.
        let least = self.least_melt().max(-0.999 * self.solution.water);
        if least <= 0.0 {
            freezing::mixture(&self.solution.with_water(self.solution.water + self.clinging(0.0)))?;
        }
        // More than this can't melt even if everything were cooled to −50 °C.
        let all_heat = self.surplus(0.0, DRINK_T.low).max(0.0);
        let most = least.max(0.0) + all_heat / (heat_capacity::LATENT_HEAT_0C - 50.0 * heat_capacity::WATER[0]) + 1.0;
        let most = self.solid.map_or(most, |solid| most.min(solid));
        let surplus = |melt: f64| self.surplus(melt, self.freezes_at(melt));
        if least > most || surplus(least) < 0.0 {
            // Colder than the tables of freezing points reach.
            let melt = least.min(most);
            let low = self.solution.with_water(self.solution.least_water()).freezes_at();
            let limits =
                Limits { quantity: "temperature of the chilled drink", unit: "°C", low, high: 100.0, source: SOURCE };
            return Err(limits.refuse(self.mixing_temperature(melt)));
        }
        if surplus(most) > 0.0 {
            // All the ice melts and the drink stays above its freezing point.
            return Ok(self.done(most, self.mixing_temperature(most)));
        }
        let melt = bisect(least, most, surplus);
        Ok(self.done(melt, self.freezes_at(melt)))
    }

    /// Temperature at which heat given and taken balance for a fixed melt.
    fn mixing_temperature(&self, melt: f64) -> f64 {
        bisect(DRINK_T.low, DRINK_T.high, |t| self.surplus(melt, t))
    }

    fn at_temperature(&self, wanted: f64) -> Result<Chilled, OutOfRange> {
        let settled = self.settled()?;
        let before = self.mixing_temperature(0.0);
        let limits = Limits {
            quantity: "temperature after chilling",
            unit: "°C",
            low: settled.temperature,
            high: before.max(settled.temperature),
            source: SOURCE,
        };
        let t = limits.check(wanted)?;
        let melt = bisect(settled.melt.min(0.0), settled.melt.max(0.0), |melt| self.surplus(melt, t));
        Ok(self.done(melt, t))
    }
}

/// Chills a drink with ice.
///
/// Heat given off by drink, vessel, clinging water and surroundings = heat that warms and melts the melted ice, less what its
/// water gives off on cooling again, and that brings part of the left-over ice to the drink's temperature; at the end t is
/// the freezing point of the diluted drink, or as given, or all ice is gone
/// - `chilling`: see the fields for units and ranges
/// - returns [`Chilled`]: g and °C
///
/// Valid: the drink is well mixed and no heat of mixing arises; the balance says nothing about how long it takes (12 to 15 s
/// of shaking or 2 min of stirring come near, D. Arnold 2010, public article). Fat, protein and other solids carry heat but
/// do not lower the freezing point.
/// Nominal: 100 ml at 30 % vol and 20 °C, ideal ice: 40.3 g of melt, −8.9 °C. With [`Ice::BAR`], [`Vessel::TINS`] and 500 J
/// of heat gain: about 60 g.
/// Errors: [`OutOfRange`] for a bad number; where the freezing point of the result is unknown (see
/// [`freezing::mixture`]); and for an end temperature that can't be had, with what can be had as its limits.
/// Accuracy: [`ERROR`].
/// Source: [`heat_capacity`] and [`freezing`] for the values; the balance is ours.
pub fn chill(chilling: &Chilling) -> Result<Chilled, OutOfRange> {
    let balance = Balance::checked(chilling)?;
    match chilling.until {
        Until::Settled => balance.settled(),
        Until::Temperature(t) => balance.at_temperature(t),
    }
}
