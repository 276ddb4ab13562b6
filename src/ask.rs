//! Questions put to computed recipes. In: [`crate::recipe::run::Computed`]. Out: answers as plain data; nothing here prints.

pub mod balance;
pub mod batch;
pub mod dial;
pub mod diet;
pub mod dose;
pub mod equipment;
pub mod figure;
pub mod keeping;
pub mod labelling;
pub mod prose;
pub mod safety;
pub mod substitute;
pub mod swap;
pub mod taste;
