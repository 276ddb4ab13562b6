//! Physical quantities as types, so that a mass is never taken for a volume.

use std::ops::{Add, AddAssign, Mul, Sub};

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(pub f64);

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }
    };
}

quantity! {
    /// Volume at 20 °C, in millilitres.
    Millilitres
}
quantity! {
    /// Mass in grams.
    Grams
}
quantity! {
    /// Temperature in degrees Celsius.
    Celsius
}
