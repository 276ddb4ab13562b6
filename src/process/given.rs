//! What a process is given: parameters inside their bounds, quantities that are known, something to work on.
//!
//! In: the parameters and the mixture. Out: numbers, or a finding that says what to write instead.

use std::collections::BTreeSet;

use super::remark::number;
use super::{Args, Finding, Outcome};
use crate::mixture::figure::Because;
use crate::mixture::{Mixture, Quantity};
use crate::problem::code;
use crate::relation::ethanol_density::WATER_DENSITY_20C;

/// Grams of water in a millilitre at 20 °C.
pub(super) const WATER_G_PER_ML: f64 = WATER_DENSITY_20C / 1000.0;

/// A temperature as prose writes it, in °C with one decimal and a true minus sign.
pub(super) fn celsius(t: f64) -> String {
    let text = format!("{:.1}", t.abs());
    let text = text.strip_suffix(".0").unwrap_or(&text);
    let sign = if t < 0.0 && text != "0" { "−" } else { "" };
    format!("{sign}{text} °C")
}

/// A temperature parameter that must lie between two others, °C; `None` where the line doesn't say.
///
/// Errors: [`code::BAD_PARAMETER`] outside the bounds or NaN; `because` says whose bounds they are.
pub(super) fn temperature(
    args: &Args,
    key: &'static str,
    (low, high): (f64, f64),
    because: &str,
) -> Result<Option<f64>, Finding> {
    match args.celsius(key) {
        Some(t) if !(low..=high).contains(&t) => Err(Finding::at(
            key,
            code::BAD_PARAMETER,
            format!("{} cannot be: {because}", celsius(t)),
            format!("write a temperature between {} and {}", celsius(low), celsius(high)),
        )),
        given => Ok(given),
    }
}

/// A number parameter that must be above zero and at most a limit; `None` where the line doesn't say.
///
/// Errors: [`code::BAD_PARAMETER`] outside the bounds or NaN.
pub(super) fn positive(
    key: &'static str,
    value: Option<f64>,
    most: f64,
    unit: &str,
    example: &str,
) -> Result<Option<f64>, Finding> {
    match value {
        // Written so that NaN fails.
        Some(v) if !(v > 0.0 && v <= most) => Err(Finding::at(
            key,
            code::BAD_PARAMETER,
            // Nothing has no unit: `for: 0 s` is not 0 h.
            format!(
                "`{key}` is {}{}, but must be above 0 and at most {}{unit}",
                number(v),
                if v == 0.0 { "" } else { unit },
                number(most)
            ),
            format!("write for example `{key}: {example}`"),
        )),
        given => Ok(given),
    }
}

/// Whether all of some quantities are known.
///
/// Errors: the reasons of all that are not.
pub(super) fn known(mixture: &Mixture, needs: &[Quantity]) -> Result<(), Because> {
    let reasons: BTreeSet<String> =
        needs.iter().filter_map(|quantity| mixture.why_unknown(*quantity)).flatten().cloned().collect();
    if reasons.is_empty() { Ok(()) } else { Err(Because(reasons)) }
}

/// The outcome for a mixture that holds nothing: a fault, unless the fault that emptied it was already told.
///
/// Returns `None` where there is something to work on.
pub(super) fn nothing(before: &Mixture) -> Option<Result<Outcome, Finding>> {
    if !before.is_empty() {
        return None;
    }
    Some(if before.why_unknown(Quantity::Volume).is_some() {
        Ok(Outcome::of(before.clone()))
    } else {
        Err(Finding::new(
            code::PROCESS_IMPOSSIBLE,
            "there is nothing here to work on",
            "write the pours that it works on above it, in `mix`",
        ))
    })
}

/// Says that an amount of water nobody can know went in or out: volume and mass are unknown from here on, while grams of
/// alcohol, sugar and acid stay what they were.
pub(super) fn unknown_water(mixture: &mut Mixture, what: &str, why: &Because) {
    let because = format!("{what}, because {}", why.text());
    mixture.gap(Quantity::Volume, &because);
    mixture.gap(Quantity::Mass, because);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn temperatures_have_one_decimal_and_a_true_minus() {
        for (t, text) in [(-18.0, "−18 °C"), (-4.56, "−4.6 °C"), (-0.04, "0 °C"), (20.0, "20 °C")] {
            assert_eq!(celsius(t), text);
        }
    }
}
