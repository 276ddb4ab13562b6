//! Ice in a mixture: what a temperature freezes or thaws.
//!
//! In: a mixture and a temperature in °C. Out: the mixture at that temperature with its share of ice, by the lever rule on
//! the freezing points of `relation::freezing`; 0.5 °C for alcohol or sugar alone, an assumption for both together.

use super::given::{celsius, known};
use super::remark::number;
use crate::mixture::figure::Because;
use crate::mixture::{Mixture, Part, Quantity};
use crate::relation::freezing;

/// What freezing needs to know of a mixture.
const NEEDS: [Quantity; 4] = [Quantity::Ethanol, Quantity::Sugar, Quantity::Acid, Quantity::Mass];

/// How much of a mixture is ice at a temperature.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Ice {
    /// Grams.
    Grams(f64),
    /// More than the tables can tell: at least so many grams, which is what there is at a warmer temperature, °C.
    AtLeast(f64, f64),
    /// Nobody can tell.
    Unknown(Because),
}

/// Ice in a mixture that is held at `t` °C until it settles.
pub(super) fn at(mixture: &Mixture, t: f64) -> Ice {
    // Above 0 °C nothing freezes, whatever is in it.
    if t >= 0.0 || mixture.grams(Part::Water) <= 0.0 {
        return Ice::Grams(0.0);
    }
    if let Err(why) = known(mixture, &NEEDS) {
        return Ice::Unknown(why);
    }
    let solution = mixture.solution();
    match (freezing::ice(&solution, t), freezing::most_ice(&solution)) {
        (Ok(grams), _) => Ice::Grams(grams),
        (Err(_), Ok(most)) if t < most.temperature => Ice::AtLeast(most.grams, most.temperature),
        (Err(why), _) => Ice::Unknown(Because::one(why.to_string())),
    }
}

/// A mixture in the cold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InTheCold {
    /// Share of its mass that is ice, %.
    pub ice_pct: f64,
    /// Whether it is more than that, which the tables cannot tell.
    pub at_least: bool,
    /// Whether it still pours: at most a tenth of it is ice (our own threshold, no source).
    pub pours: bool,
}

/// What a mixture is like when it has been held at `t` °C until it settled.
///
/// # Errors
/// The reasons why nobody can tell.
pub fn in_the_cold(mixture: &Mixture, t: f64) -> Result<InTheCold, Because> {
    let (grams, at_least) = match at(mixture, t) {
        Ice::Grams(grams) => (grams, false),
        Ice::AtLeast(grams, _) => (grams, true),
        Ice::Unknown(why) => return Err(why),
    };
    let mass = mixture.mass_g();
    if mass <= 0.0 {
        return Err(Because::one("nothing is left of it"));
    }
    let ice_pct = 100.0 * grams / mass;
    Ok(InTheCold { ice_pct, at_least, pours: !at_least && ice_pct <= 100.0 * super::freeze::POURABLE })
}

/// Brings a mixture to `t` °C, lets ice form or melt, and adds what cannot be told to the remarks; returns whether at least a
/// least amount of ice is known.
pub(super) fn bring(mixture: &mut Mixture, t: f64, remarks: &mut Vec<String>) -> bool {
    mixture.bring_to(t);
    let ice = at(mixture, t);
    mixture.ice_g = match &ice {
        Ice::Grams(grams) | Ice::AtLeast(grams, _) => *grams,
        Ice::Unknown(_) => 0.0,
    };
    let told = !matches!(ice, Ice::Unknown(_));
    match ice {
        Ice::Grams(_) => {}
        Ice::AtLeast(grams, end) => remarks.push(format!(
            "at least {} g of it is ice, which is what there is at {}, where the tables end",
            number(grams),
            celsius(end)
        )),
        Ice::Unknown(why) => {
            remarks.push(format!("whether it freezes at {} can't be told, because {}", celsius(t), why.text()))
        }
    }
    told
}

/// Share of the mass that is ice, %, for a mixture that is not empty.
pub(super) fn percent(mixture: &Mixture) -> f64 {
    100.0 * mixture.ice_g / mixture.mass_g()
}

/// The coldest temperature, °C, at which no more than a share (0 to 1) of the mass is ice.
///
/// Errors: why it can't be told; where the tables end before that much ice has formed, that is the reason.
pub(super) fn coldest_with(mixture: &Mixture, share: f64) -> Result<f64, Because> {
    known(mixture, &NEEDS)?;
    let mut left = mixture.solution();
    left.water -= share * mixture.mass_g();
    if left.water <= 0.0 {
        return Err(Because::one("it holds hardly any water"));
    }
    freezing::mixture(&left).map_err(|why| Because::one(why.to_string()))
}
