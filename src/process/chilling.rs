//! The physical side of ice: what each way of chilling brings into the energy balance of `relation::chill_balance`.
//!
//! In: a mixture, its start, the ice. Out: water taken up, g, and the temperature reached, °C.
//!
//! Every way is stated for 100 ml of mixture at 20 °C before ice and grows with it, so that a batch of ten drinks comes out as
//! one does. None of these numbers was adjusted to meet the published fits; they are common practice, no source, except where
//! a comment says otherwise.

use super::frozen;
use super::given::{celsius, known};
use crate::mixture::figure::Because;
use crate::mixture::{Mixture, Part, Quantity};
use crate::relation::chill_balance::{Chilled, Chilling, Ice, Until, Vessel, chill};
use crate::relation::heat_capacity::{self, Liquid};
use crate::relation::{OutOfRange, freezing};

/// The mixture, ml at 20 °C, for which [`Way`] states its numbers.
const STATED_FOR_ML: f64 = 100.0;

/// When the chilling ends.
#[derive(Debug, Clone, Copy, PartialEq)]
enum End {
    /// When drink and ice no longer change each other.
    Settled,
    /// At a temperature, °C, or as near to it as start and ice allow.
    Celsius(f64),
}

/// One way of chilling, for 100 ml.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Way {
    /// Wet ice, g.
    ice_g: f64,
    /// Share of it that is clinging water.
    clinging: f64,
    /// Share of the left-over ice that ends as cold as the drink.
    chilled: f64,
    /// Heat capacity of the vessel, J/K.
    vessel: f64,
    /// The vessel's temperature before, °C; `None` for the room's.
    vessel_c: Option<f64>,
    /// Heat from hands, air or motor, J.
    heat: f64,
    end: End,
    /// The assumptions in one clause, for the page, without the end.
    assumes: &'static str,
}

impl Way {
    /// The assumptions in one clause, for the page; `to` is an end temperature that the line states, °C.
    pub(super) fn assumes(&self, to: Option<f64>) -> String {
        match (self.end, to) {
            (End::Celsius(t), None) => format!("{}, an end at {}", self.assumes, celsius(t)),
            _ => self.assumes.into(),
        }
    }
}

const BAR_ICE_G: f64 = 250.0; // as in `Ice::BAR`

/// Stirred in a chilled glass. Ends at −2 °C: stirring goes on longer or shorter at will, and the balance needs an end.
pub(super) const STIRRED: Way = Way {
    ice_g: BAR_ICE_G,
    clinging: Ice::BAR.clinging,
    chilled: Ice::BAR.chilled,
    vessel: Vessel::STIRRING_GLASS.capacity,
    vessel_c: Some(0.0),
    heat: 500.0,
    end: End::Celsius(-2.0),
    assumes: "for each 100 ml 250 g of ice, 3 % of it clinging water, a chilled stirring glass, 500 J from hands and air",
};

/// Shaken in steel tins until nothing changes any more.
pub(super) const SHAKEN: Way = Way {
    vessel: Vessel::TINS.capacity,
    vessel_c: None,
    end: End::Settled,
    assumes: "for each 100 ml 250 g of ice, 3 % of it clinging water, two steel tins at room temperature, 500 J from hands and air",
    ..STIRRED
};

/// Thrown from tin to tin. It meets the ice for a moment at a time, so it ends warmer than a stirred drink, and the long fall
/// through the air brings in twice the heat.
pub(super) const THROWN: Way = Way {
    heat: 1000.0,
    end: End::Celsius(0.0),
    assumes: "for each 100 ml 250 g of ice, 3 % of it clinging water, two steel tins at room temperature, 1000 J from hands and air",
    ..SHAKEN
};

/// Swizzled in its glass over crushed ice. A film of 0.15 mm on pieces of 10 mm is 9 % of the wet ice (computed from the
/// geometry, as `Ice::BAR` has it for cubes), and such pieces grow cold all through. A tall glass takes 180 g of it, and half of
/// the glass's own 300 g follows. A swizzle stick is turned until the glass frosts, which is taken to be where stirring ends.
pub(super) const SWIZZLED: Way = Way {
    ice_g: 180.0,
    clinging: 0.09,
    chilled: 1.0,
    vessel: 126.0, // 150 g of soda-lime glass at 0.84 J/(g·K), from memory
    vessel_c: None,
    assumes: "for each 100 ml 180 g of crushed ice, 9 % of it clinging water, a tall glass at room temperature, 500 J from hands and air",
    ..STIRRED
};

/// Blended: all of the ice stays in, as water or as crystals, and a motor of about 100 W runs for a quarter of a minute.
pub(super) const BLENDED: Way = Way {
    clinging: Ice::BAR.clinging,
    chilled: 1.0,
    vessel: 100.0, // the part of a plastic jug that follows
    heat: 1500.0,
    assumes: "for each 100 ml a jug of 100 J/K at room temperature and 1500 J from the motor; 3 % of the ice is clinging water",
    ..SHAKEN
};

/// A mixture about to be chilled.
#[derive(Debug, Clone, Copy)]
pub(super) struct Start<'a> {
    /// The mixture before.
    pub(super) mixture: &'a Mixture,
    /// Its temperature, °C.
    pub(super) start_c: f64,
    /// The ice's temperature, °C.
    pub(super) ice_c: f64,
    /// The room's temperature, °C.
    pub(super) room_c: f64,
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Silent {
    /// A fact is missing, or a relation does not reach.
    Because(Because),
    /// The wanted end temperature can't be had; what can, °C, coldest first.
    Beyond(f64, f64),
}

impl From<OutOfRange> for Silent {
    fn from(why: OutOfRange) -> Self {
        Self::Because(Because::one(why.to_string()))
    }
}

impl From<Because> for Silent {
    fn from(why: Because) -> Self {
        Self::Because(why)
    }
}

impl Start<'_> {
    fn liquid(&self) -> Liquid {
        let grams = |part| self.mixture.grams(part).max(0.0);
        Liquid {
            // Ice that is already in it is taken to stay ice.
            water: (grams(Part::Water) - self.mixture.ice_g).max(0.0),
            ethanol: grams(Part::Ethanol),
            sugar: grams(Part::Sugar),
            acid: grams(Part::Acid),
            other: grams(Part::Fat) + grams(Part::Protein) + grams(Part::Solids),
        }
    }

    fn chilling(&self, way: &Way, ice_g: f64) -> Chilling {
        let share = self.mixture.volume_ml() / STATED_FOR_ML;
        Chilling {
            liquid: self.liquid(),
            start: self.start_c,
            ice: Ice { temperature: self.ice_c, clinging: way.clinging, available: Some(ice_g), chilled: way.chilled },
            vessel: Vessel { capacity: way.vessel * share, temperature: way.vessel_c.unwrap_or(self.room_c) },
            heat_gain: way.heat * share,
            until: Until::Settled,
        }
    }

    /// Ice at hand, g.
    fn ice_g(&self, way: &Way) -> f64 {
        way.ice_g * self.mixture.volume_ml() / STATED_FOR_ML
    }
}

/// What the energy balance needs to know.
const NEEDS: [Quantity; 5] = [Quantity::Ethanol, Quantity::Sugar, Quantity::Acid, Quantity::Mass, Quantity::Volume];

/// Chills a mixture one way with the bar's ice, or to a temperature of the writer's.
///
/// Errors: [`Silent`].
pub(super) fn balance(way: &Way, start: Start, to: Option<f64>) -> Result<Chilled, Silent> {
    known(start.mixture, &NEEDS)?;
    let chilling = start.chilling(way, start.ice_g(way));
    let settled = chill(&chilling)?;
    let until = |t| chill(&Chilling { until: Until::Temperature(t), ..chilling });
    match (to, way.end) {
        // Since it settles, all that can be refused now is the temperature; the refusal says what can be had.
        (Some(t), _) => until(t).map_err(|limits| Silent::Beyond(limits.low, limits.high)),
        (None, End::Settled) => Ok(settled),
        (None, End::Celsius(t)) if t <= settled.temperature => Ok(settled),
        (None, End::Celsius(t)) => match until(t) {
            Err(limits) if t > limits.high => Ok(until(limits.high)?),
            result => Ok(result?),
        },
    }
}

/// The temperature of a mixture that has taken up `water` grams, not below its freezing point.
///
/// At most half of the water is taken to have clung to the ice. Where the balance has no answer, the liquid's own heat alone
/// gives one, without vessel and air.
///
/// Errors: why nobody can tell.
pub(super) fn temperature_with(way: &Way, start: Start, water: f64) -> Result<f64, Because> {
    known(start.mixture, &NEEDS)?;
    let balanced = temperature_by_balance(way, start, water);
    balanced.or_else(|why| plain_temperature(start, water).ok_or(Because::one(why.to_string())))
}

fn temperature_by_balance(way: &Way, start: Start, water: f64) -> Result<f64, OutOfRange> {
    let ice_g = start.ice_g(way).min(0.5 * water / way.clinging);
    let chilling = start.chilling(way, ice_g);
    let settled = chill(&chilling)?;
    if water >= settled.water {
        if settled.ice_left == Some(0.0) {
            // A hot start melts more than a bar's usual ice: then the written water is the ice, and all of it melts.
            let all = Ice { clinging: 0.0, available: Some(water), ..chilling.ice };
            return Ok(chill(&Chilling { ice: all, ..chilling })?.temperature);
        }
        let mut diluted = chilling.liquid;
        diluted.water += water;
        return freezing::mixture(&freezing::Solution {
            water: diluted.water,
            ethanol: diluted.ethanol,
            sugar: diluted.sugar,
            acid: diluted.acid,
        });
    }
    let at = |t| chill(&Chilling { until: Until::Temperature(t), ..chilling });
    // Nothing but the upper limit refuses 100 °C, and the refusal says where it is.
    let warmest = at(100.0).map_or_else(|limits| limits.high, |_| 100.0);
    let excess = |t: f64| at(t).map(|chilled| chilled.water - water);
    falling(settled.temperature, warmest, 1e-9 * water.max(1.0), excess)
}

/// Where a falling, nearly straight function crosses zero between two points on either side: false position, halving the
/// weight of an end that stands still, until the function is no further from zero than `close`. Each look at the function is
/// a balance of its own, and bisection would need five times as many.
fn falling<E>(mut low: f64, mut high: f64, close: f64, f: impl Fn(f64) -> Result<f64, E>) -> Result<f64, E> {
    let (mut at_low, mut at_high) = (f(low)?, f(high)?);
    if at_low <= 0.0 {
        return Ok(low);
    }
    if at_high >= 0.0 {
        return Ok(high);
    }
    let mut stood = 0;
    for _ in 0..100 {
        let t = (low * at_high - high * at_low) / (at_high - at_low);
        let here = f(t)?;
        if here.abs() < close {
            return Ok(t);
        }
        if here > 0.0 {
            (low, at_low) = (t, here);
            if stood == 1 {
                at_high *= 0.5;
            }
            stood = 1;
        } else {
            (high, at_high) = (t, here);
            if stood == -1 {
                at_low *= 0.5;
            }
            stood = -1;
        }
    }
    Ok(f64::midpoint(low, high))
}

/// Temperature of the liquid alone when it has melted `water` grams of ice: for spirits beyond the freezing tables.
fn plain_temperature(start: Start, water: f64) -> Option<f64> {
    let liquid = start.liquid();
    let melting = heat_capacity::ice_to_melting(start.ice_c).ok()?;
    let surplus = |t: f64| {
        let given = heat_capacity::drink(&liquid, f64::midpoint(start.start_c, t)).ok()? * (start.start_c - t);
        // Near 0 °C a gram of water takes 4.22 J/K.
        Some(given - water * (melting + heat_capacity::LATENT_HEAT_0C + 4.22 * t))
    };
    let (mut low, mut high) = (-50.0, start.start_c);
    surplus(high)?;
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if surplus(middle)? > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(high)
}

/// A mixture blended with ice: its temperature, °C, and what is still ice of it, g.
pub(super) struct Blended {
    pub(super) temperature: f64,
    pub(super) ice_left: f64,
}

/// Blends a mixture with `ice_g` grams of wet ice, all of which stays in.
///
/// Errors: why nobody can tell.
pub(super) fn blend(start: Start, ice_g: f64) -> Result<Blended, Because> {
    known(start.mixture, &NEEDS)?;
    let chilled = chill(&start.chilling(&BLENDED, ice_g)).map_err(|why| Because::one(why.to_string()))?;
    Ok(Blended { temperature: chilled.temperature, ice_left: chilled.ice_left.unwrap_or(0.0) })
}

/// Whether a mixture would hold ice at a temperature at which it is about to be poured as a liquid.
pub(super) fn frozen_at(mixture: &Mixture, t: f64) -> bool {
    match frozen::at(mixture, t) {
        frozen::Ice::Grams(grams) | frozen::Ice::AtLeast(grams, _) => grams > mixture.ice_g,
        frozen::Ice::Unknown(_) => false,
    }
}
