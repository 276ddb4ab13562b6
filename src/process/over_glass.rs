//! A drink over ice in its glass: how far the ice could chill and water it if nobody drank. It is a remark beside the serve
//! and never part of a figure, because a guest decides when it ends.
//!
//! Relation: the energy balance of `relation::chill_balance`, until drink and ice no longer change each other. The ice is at
//! the bar's ice temperature with 3 % of clinging water, as much as melts; the glass is as cold as the drink and no heat comes
//! from the room (both favour the drink; common practice, no source).

use super::Bar;
use super::given::celsius;
use super::remark::number;
use crate::mixture::figure::Because;
use crate::mixture::{Mixture, Part, Quantity};
use crate::relation::chill_balance::{Chilling, Ice, SOURCE, Until, Vessel, chill};
use crate::relation::heat_capacity::Liquid;

/// What ice in the glass can do to a drink, in a sentence without a full stop.
///
/// # Errors
/// The reasons why nobody can say: a figure of the drink is not known, or the balance does not reach it.
pub fn over_glass(drink: &Mixture, bar: &Bar) -> Result<String, Because> {
    let missing: Vec<String> = [Quantity::Ethanol, Quantity::Sugar, Quantity::Acid, Quantity::Volume, Quantity::Mass]
        .iter()
        .filter_map(|q| drink.why_unknown(*q))
        .flatten()
        .cloned()
        .collect();
    if !missing.is_empty() {
        return Err(Because(missing.into_iter().collect()));
    }
    let grams = |part| drink.grams(part).max(0.0);
    let liquid = Liquid {
        water: (grams(Part::Water) - drink.ice_g).max(0.0),
        ethanol: grams(Part::Ethanol),
        sugar: grams(Part::Sugar),
        acid: grams(Part::Acid),
        other: grams(Part::Fat) + grams(Part::Protein) + grams(Part::Solids),
    };
    let chilling = Chilling {
        liquid,
        start: drink.temperature,
        ice: Ice { temperature: bar.ice_c, clinging: 0.03, available: None, chilled: 0.0 },
        vessel: Vessel::NONE,
        heat_gain: 0.0,
        until: Until::Settled,
    };
    let chilled = chill(&chilling).map_err(|e| Because::one(e.to_string()))?;
    let mut end = drink.clone();
    end.pour_water(chilled.water.max(0.0), 0.0);
    let (before, after) = (drink.volume_ml(), end.volume_ml());
    if before <= 0.0 {
        return Err(Because::one("nothing is left of it"));
    }
    let strength = end.figure_abv()?;
    Ok(format!(
        "not counted here: ice in the glass could yet chill it from {} to {} and add {} ml of melt, {} % of what is poured, down to {} % vol, before the room warms it ({SOURCE})",
        celsius(drink.temperature),
        celsius(chilled.temperature),
        number(after - before),
        number((after - before) / before * 100.0),
        number(strength),
    ))
}
