//! Published relations, one a file: plain numbers in, plain numbers out, the fitted range checked and the source cited.
//!
//! Numbers are `f64` in the unit that the argument's or the function's name or doc comment gives; strengths are fractions
//! (ethanol volume over mixture volume at 20 °C), so that a percentage passed by mistake falls out of range instead of
//! giving a wrong answer. Nothing here knows a recipe, a pantry or a page, and nothing here imports from the crate.
//! Transcendental functions come from `libm`, because the standard library's differ in the last bit between machines.

pub mod acid;
pub mod alcohol_retention;
pub mod balance_windows;
pub mod carbonation;
pub mod chill_balance;
pub mod dilution_fit;
pub mod energy;
pub mod ethanol_density;
pub mod ferment_strength;
pub mod freezing;
pub mod gas;
pub mod gravity;
pub mod heat_capacity;
pub mod standard_drink;
pub mod stoichiometry;
pub mod sucrose_density;
pub mod vessel;
pub mod water_activity;
pub mod water_density;

mod curve;
mod root;

use std::fmt;

/// A number outside the range that a relation was fitted or defined for. NaN is always outside.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutOfRange {
    /// What the number is, for example `ethanol mass fraction`.
    pub quantity: &'static str,
    /// Its unit as printed behind a value; empty for a plain fraction.
    pub unit: &'static str,
    /// The number that was refused.
    pub value: f64,
    /// Lower limit, still allowed.
    pub low: f64,
    /// Upper limit, still allowed; infinite where only the lower one exists.
    pub high: f64,
    /// Short citation of the relation whose range this is.
    pub source: &'static str,
}

impl fmt::Display for OutOfRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let space = if self.unit.is_empty() { "" } else { " " };
        let Self { quantity, unit, source, .. } = self;
        write!(f, "{quantity} {}{space}{unit} is outside ", Short(self.value))?;
        // A dash between signed numbers reads as a minus.
        match (self.low.is_finite(), self.high.is_finite()) {
            (true, true) if self.low < 0.0 => write!(f, "{} to {}", Short(self.low), Short(self.high))?,
            (true, true) => write!(f, "{}–{}", Short(self.low), Short(self.high))?,
            (true, false) => write!(f, "{} and above", Short(self.low))?,
            (false, true) => write!(f, "{} and below", Short(self.high))?,
            (false, false) => write!(f, "all numbers")?,
        }
        write!(f, "{space}{unit} ({source})")
    }
}

impl std::error::Error for OutOfRange {}

/// At most six decimals and no trailing zeros: messages are read by people, computed values have a long tail.
struct Short(f64);

impl fmt::Display for Short {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.0.is_finite() {
            return write!(f, "{}", self.0);
        }
        let text = format!("{:.6}", self.0);
        let text = text.trim_end_matches('0').trim_end_matches('.');
        f.write_str(if text == "-0" { "0" } else { text })
    }
}

/// The name, unit, limits and source of one argument; `check` refuses what lies outside.
#[derive(Debug, Clone, Copy)]
struct Limits {
    quantity: &'static str,
    unit: &'static str,
    low: f64,
    high: f64,
    source: &'static str,
}

impl Limits {
    /// Rounding in a caller's arithmetic may carry a true 0 or 1 over the edge by a few units in the last place; that
    /// much is taken as the edge itself. Anything further out is refused.
    const SLACK: f64 = 1e-12;

    fn check(&self, value: f64) -> Result<f64, OutOfRange> {
        let below = self.low - Self::SLACK * self.low.abs().max(1.0);
        let above = self.high + Self::SLACK * self.high.abs().max(1.0);
        // Written so that NaN fails; an infinite upper limit would make `above` admit infinity, hence `is_finite`.
        if value.is_finite() && value >= below && value <= above {
            Ok(value.clamp(self.low, self.high))
        } else {
            Err(self.refuse(value))
        }
    }

    fn refuse(&self, value: f64) -> OutOfRange {
        let Self { quantity, unit, low, high, source } = *self;
        OutOfRange { quantity, unit, value, low, high, source }
    }
}

/// A mass or volume that a relation takes part by part: finite and not negative.
fn amount(quantity: &'static str, unit: &'static str, value: f64) -> Result<f64, OutOfRange> {
    // The upper limit only keeps infinity out.
    Limits { quantity, unit, low: 0.0, high: f64::MAX, source: "an amount is finite and not negative" }.check(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn message_names_the_quantity_the_limits_and_the_source() {
        let fraction = Limits { quantity: "ethanol mass fraction", unit: "", low: 0.0, high: 1.0, source: "OIML R 22" };
        assert_eq!(fraction.refuse(1.2).to_string(), "ethanol mass fraction 1.2 is outside 0–1 (OIML R 22)");
        let temperature = Limits { quantity: "temperature", unit: "°C", low: -20.0, high: 40.0, source: "OIML R 22" };
        assert_eq!(temperature.refuse(-30.0).to_string(), "temperature -30 °C is outside -20 to 40 °C (OIML R 22)");
    }

    #[test]
    fn nan_and_infinity_are_refused_and_rounding_at_the_edge_is_not() {
        let fraction = Limits { quantity: "x", unit: "", low: 0.0, high: 1.0, source: "a test" };
        assert!(fraction.check(f64::NAN).is_err());
        assert!(fraction.check(f64::INFINITY).is_err());
        assert!(fraction.check(1.0 + 1e-9).is_err());
        assert_eq!(fraction.check(1.0 + f64::EPSILON), Ok(1.0));
        assert!(amount("water", "g", f64::INFINITY).is_err());
        assert!(amount("water", "g", -1.0).is_err());
    }
}
