//! Exact fractions for scaling: a third of a batch, times three, is the batch.
//!
//! A decimal cannot hold 1/3, so a factor is kept as a fraction of whole numbers of any length. Digits are cut only where a
//! number leaves the program, see [`Exact::digits`].

use std::fmt;
use std::ops::{Add, Div, Mul, Sub};

use num_bigint::{BigInt, Sign};
use num_rational::BigRational;
use num_traits::{One, Signed, ToPrimitive, Zero};
use rust_decimal::Decimal;
use serde::{Serialize, Serializer};
use serde_json::value::RawValue;

/// Digits kept of a fraction that has no end as a decimal.
const DIGITS: u32 = 28;

/// A number without rounding.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Exact(BigRational);

impl Exact {
    /// Nothing.
    #[must_use]
    pub fn zero() -> Self {
        Self(BigRational::zero())
    }

    /// One.
    #[must_use]
    pub fn one() -> Self {
        Self(BigRational::one())
    }

    /// A whole number.
    #[must_use]
    pub fn whole(n: u64) -> Self {
        Self(BigRational::from_integer(BigInt::from(n)))
    }

    /// `n` over `d`; `None` for a denominator of nothing.
    #[must_use]
    pub fn ratio(n: u64, d: u64) -> Option<Self> {
        (d != 0).then(|| Self(BigRational::new(BigInt::from(n), BigInt::from(d))))
    }

    /// A decimal as written.
    #[must_use]
    pub fn decimal(value: Decimal) -> Self {
        let scale = BigInt::from(10_u8).pow(value.scale());
        Self(BigRational::new(BigInt::from(value.mantissa()), scale))
    }

    /// What a relation computed, to twelve significant digits: the float's own noise stands behind them, and so 1550.0 is 1550.
    /// `None` for what is no number.
    #[must_use]
    pub fn computed(value: f64) -> Option<Self> {
        if !value.is_finite() {
            return None;
        }
        let text = format!("{value:.11e}");
        let (mantissa, power) = text.split_once('e')?;
        let power: i32 = power.parse().ok()?;
        let digits: BigInt = mantissa.replace('.', "").parse().ok()?;
        let shift = power - 11;
        let ten = BigInt::from(10_u8).pow(shift.unsigned_abs());
        Some(Self(if shift < 0 { BigRational::new(digits, ten) } else { BigRational::from_integer(digits * ten) }))
    }

    /// The quotient; `None` where the divisor is nothing.
    #[must_use]
    pub fn over(&self, divisor: &Self) -> Option<Self> {
        (!divisor.0.is_zero()).then(|| Self(&self.0 / &divisor.0))
    }

    /// Whether it is nothing.
    #[must_use]
    pub fn is_zero(&self) -> bool {
        self.0.is_zero()
    }

    /// Whether it is above nothing.
    #[must_use]
    pub fn is_positive(&self) -> bool {
        self.0.is_positive()
    }

    /// Whether it has no fraction.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.0.is_integer()
    }

    /// Without its sign.
    #[must_use]
    pub fn abs(&self) -> Self {
        Self(self.0.abs())
    }

    /// The whole number at or below it.
    #[must_use]
    pub fn floor(&self) -> Self {
        Self(self.0.floor())
    }

    /// The whole number at or above it.
    #[must_use]
    pub fn ceil(&self) -> Self {
        Self(self.0.ceil())
    }

    /// The nearest multiple of a step, halves up; itself for a step of nothing.
    #[must_use]
    pub fn nearest(&self, step: &Self) -> Self {
        match self.over(step) {
            Some(steps) => Self((steps.0 + BigRational::new(BigInt::one(), BigInt::from(2_u8))).floor() * &step.0),
            None => self.clone(),
        }
    }

    /// The nearest float.
    #[must_use]
    pub fn float(&self) -> f64 {
        self.0.to_f64().unwrap_or(f64::NAN)
    }

    /// A count; `None` below nothing or beyond all counting.
    #[must_use]
    pub fn count(&self) -> Option<u64> {
        self.0.floor().to_integer().to_u64()
    }

    /// As a decimal: all its digits where they end within 28, else so many significant ones, the last rounded half up.
    #[must_use]
    pub fn digits(&self) -> String {
        self.places(None)
    }

    /// With at most so many decimals, halves away from zero, no zeros at the end.
    #[must_use]
    pub fn rounded(&self, decimals: u32) -> String {
        self.places(Some(decimals))
    }

    fn places(&self, decimals: Option<u32>) -> String {
        let (top, below) = (self.0.numer().abs(), self.0.denom().clone());
        let ten = BigInt::from(10_u8);
        let places = decimals.unwrap_or_else(|| {
            // So many decimals that `DIGITS` significant digits are there.
            let whole = (&top / &below).to_string().len() as u32;
            let mut zeros = 0;
            let mut shifted = top.clone();
            while top.sign() != Sign::NoSign && shifted < below {
                shifted *= &ten;
                zeros += 1;
            }
            if zeros > 0 { DIGITS + zeros - 1 } else { DIGITS.saturating_sub(whole) }
        });
        let scaled = (top * ten.pow(places) * 2_u8 + &below) / (below * 2_u8);
        let mut text = scaled.to_string();
        let places = places as usize;
        if places > 0 {
            if text.len() <= places {
                text = "0".repeat(places + 1 - text.len()) + &text;
            }
            text.insert(text.len() - places, '.');
            text = text.trim_end_matches('0').trim_end_matches('.').to_owned();
        }
        if self.0.is_negative() && text != "0" { format!("-{text}") } else { text }
    }

    /// As `n` or `n/d`, with nothing lost.
    #[must_use]
    pub fn fraction(&self) -> String {
        self.0.to_string()
    }
}

impl fmt::Display for Exact {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.digits())
    }
}

impl Serialize for Exact {
    /// A JSON number with all the digits of [`Exact::digits`].
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let raw = RawValue::from_string(self.digits()).map_err(serde::ser::Error::custom)?;
        raw.serialize(serializer)
    }
}

macro_rules! operator {
    ($($trait:ident $method:ident $sign:tt;)*) => {
        $(impl $trait<&Exact> for &Exact {
            type Output = Exact;
            fn $method(self, other: &Exact) -> Exact {
                Exact(&self.0 $sign &other.0)
            }
        })*
    };
}

operator! {
    Add add +;
    Sub sub -;
    Mul mul *;
}

impl std::iter::Sum for Exact {
    fn sum<I: Iterator<Item = Self>>(list: I) -> Self {
        list.fold(Self::zero(), |a, b| &a + &b)
    }
}

impl Div<u64> for &Exact {
    type Output = Exact;
    /// By a whole number above nothing; by nothing it stays what it is.
    fn div(self, divisor: u64) -> Exact {
        self.over(&Exact::whole(divisor)).unwrap_or_else(|| self.clone())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use rust_decimal::dec;

    #[test]
    fn digits_end_where_the_number_does() {
        let third = Exact::ratio(1, 3).expect("a third");
        assert_eq!(third.digits(), "0.3333333333333333333333333333");
        assert_eq!(Exact::decimal(dec!(22.50)).digits(), "22.5");
        assert_eq!(Exact::ratio(2, 300).expect("a number").digits(), "0.006666666666666666666666666667");
        assert_eq!(Exact::ratio(2000, 3).expect("a number").rounded(1), "666.7");
        assert_eq!((&Exact::zero() - &third).rounded(2), "-0.33");
        assert_eq!((&Exact::zero() - &third).rounded(0), "0");
        assert_eq!(third.fraction(), "1/3");
        assert_eq!(Exact::zero().digits(), "0");
    }

    #[test]
    fn what_was_computed_has_twelve_digits() {
        assert_eq!(Exact::computed(1550.0).expect("a number").digits(), "1550");
        assert_eq!(Exact::computed(0.1 + 0.2).expect("a number").digits(), "0.3");
        assert_eq!(Exact::computed(1.0 / 3.0).expect("a number").digits(), "0.333333333333");
        assert_eq!(Exact::computed(1e20).expect("a number").digits(), "100000000000000000000");
        assert_eq!(Exact::computed(f64::NAN), None);
    }

    #[test]
    fn halves_are_rounded_up() {
        let step = Exact::decimal(dec!(2.5));
        let near = |d| Exact::decimal(d).nearest(&step).digits();
        assert_eq!(near(dec!(3.75)), "5");
        assert_eq!(near(dec!(3.74)), "2.5");
        assert_eq!(near(dec!(0)), "0");
    }

    proptest! {
        #[test]
        fn there_and_back_again_is_the_same(value in 1_u64..1_000_000_000_000, n in 1_u64..u64::MAX, d in 1_u64..u64::MAX) {
            let (value, factor) = (Exact::whole(value), Exact::ratio(n, d).expect("a factor"));
            let scaled = &value * &factor;
            prop_assert_eq!(scaled.over(&factor), Some(value.clone()));
            // Even where it was printed on the way, twenty digits are kept.
            let read = |text: &str| -> Exact {
                let (whole, behind) = text.split_once('.').unwrap_or((text, ""));
                let digits: BigInt = format!("{whole}{behind}").parse().expect("digits");
                Exact(BigRational::new(digits, BigInt::from(10_u8).pow(behind.len() as u32)))
            };
            let printed = read(&scaled.digits());
            let back = printed.over(&factor).expect("a factor");
            let off = (&back - &value).abs().over(&value).expect("above nothing");
            prop_assert!(off < Exact::ratio(1, 10_000_000_000_000_000_000).expect("small").over(&Exact::whole(10)).expect("small"));
        }

        #[test]
        fn nearest_is_within_half_a_step(n in 0_u64..1_000_000_000, d in 1_u64..1_000_000, s in 1_u64..100_000) {
            let (value, step) = (Exact::ratio(n, d).expect("a number"), Exact::ratio(s, 100).expect("a step"));
            prop_assert!((&value.nearest(&step) - &value).abs() <= &step / 2);
        }
    }
}
