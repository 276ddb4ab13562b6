//! Amounts and units: exact decimals as written, and the physical quantities computed from them.

pub mod exact;
pub mod number;
pub mod quantity;
pub mod show;
pub mod tool;
pub mod unit;

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

pub use exact::Exact;
pub use quantity::{Celsius, Grams, Millilitres};
pub use unit::{Dimension, Unit, Units};

/// An exact amount in one unit, as written: never negative.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Amount {
    /// The number, exact.
    pub value: Decimal,
    /// Its unit.
    pub unit: Unit,
}

impl Amount {
    /// The amount in the base of its dimension: millilitres or grams, exact.
    /// `None` if the product leaves the 28 digits that a decimal holds.
    #[must_use]
    pub fn base(self, units: &Units) -> Option<Decimal> {
        self.value.checked_mul(units.factor(self.unit))
    }
}

/// A decimal as a float for physics. Every decimal has a nearest float, so nothing can fail.
#[must_use]
pub fn float(value: Decimal) -> f64 {
    value.to_f64().unwrap_or(f64::NAN)
}
