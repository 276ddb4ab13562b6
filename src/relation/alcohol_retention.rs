//! How much alcohol is left after heat: simmering, flaming, stirring into something hot.

use super::curve::Curve;
use super::{Limits, OutOfRange};

/// Short citation for pages.
pub const SOURCE: &str = "USDA Table of Nutrient Retention Factors, Release 6 (2007)";
/// Accuracy. The table gives one figure a method for all vessels and recipes.
pub const ERROR: &str = "±10 points (estimated): a wide pan loses more, a lid keeps more";

/// Share of the alcohol left when it is added to a boiling liquid taken off the heat.
pub const STIRRED_IN_HOT: f64 = 0.85;
/// Share of the alcohol left after flaming. Flames go out with most of the alcohol still there.
pub const FLAMED: f64 = 0.75;
/// Share of the alcohol left in an open dish kept overnight without heat.
pub const OPEN_OVERNIGHT: f64 = 0.70;

/// Minutes of simmering → share left. The start is the table's row for a boiling liquid taken off the heat.
const SIMMERED: Curve<7> = Curve::through([
    (0.0, STIRRED_IN_HOT),
    (15.0, 0.40),
    (30.0, 0.35),
    (60.0, 0.25),
    (90.0, 0.20),
    (120.0, 0.10),
    (150.0, 0.05),
]);

const TIME: Limits = Limits { quantity: "simmering time", unit: "min", low: 0.0, high: 150.0, source: SOURCE };

/// Share of the alcohol left after simmering.
///
/// Monotone cubic through the table's points
/// - `minutes`: time at a simmer with the alcohol stirred in, min, scalar in 0..=150
/// - returns the share left, 1, scalar in 0.05..=0.85
///
/// Valid: open pots and oven dishes of home size. Between the table's rows, and from 0 to 15 min above all, the curve is
/// ours. Never a ground for calling a drink free of alcohol. Nominal: 15 min 0.40, 60 min 0.25.
/// Errors: [`OutOfRange`] outside 0..=150 or NaN. Accuracy: [`ERROR`].
/// Source: USDA Table of Nutrient Retention Factors, Release 6 (2007), p. 12, read in several public copies, document not opened;
/// after J. Augustin et al., J. Am. Diet. Assoc. 92 (1992) 486, from memory.
pub fn simmered(minutes: f64) -> Result<f64, OutOfRange> {
    TIME.check(minutes).map(|minutes| SIMMERED.at(minutes))
}
