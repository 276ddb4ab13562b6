//! What a strainer, a gel, a curd or a heap of leaves lets through, and what stays behind in it.
//!
//! In: the parameter `recovers`. Out: a share from 0 to 1, the sentence that names it, and the gaps where nobody can know it.

use super::remark::number;
use super::{Args, Finding, Removed};
use crate::mixture::{Mixture, Quantity};
use crate::problem::code;

/// The share of the volume that comes through, as `recovers` states it.
///
/// - returns a fraction above 0 and at most 1; `None` where the line doesn't say
///
/// Errors: a [`Finding`] for 0 % and below, above 100 % or NaN.
pub(super) fn recovers(args: &Args) -> Result<Option<f64>, Finding> {
    let Some(percent) = args.percent("recovers") else {
        return Ok(None);
    };
    // Written so that NaN fails.
    if percent > 0.0 && percent <= 100.0 {
        return Ok(Some(percent / 100.0));
    }
    let message = if percent > 100.0 {
        format!("more comes through than there is: {} % of the volume", number(percent))
    } else {
        format!("nothing comes through at {} % of the volume", number(percent))
    };
    Err(Finding::at(
        "recovers",
        code::BAD_PARAMETER,
        message,
        "measure what comes through and write its share of the volume before, for example `recovers: 85 %`",
    ))
}

/// What stays behind, as long as it is something.
pub(super) fn behind(what: impl Into<String>, grams: f64) -> Option<Removed> {
    (grams > 0.0).then(|| Removed { what: what.into(), grams })
}

/// Says of every amount that it is not known.
pub(super) fn amounts_unknown(mixture: &mut Mixture, because: &str) {
    for quantity in Quantity::ALL {
        mixture.gap(quantity, because);
    }
}

/// Carries the reasons why quantities are not known from one mixture to another.
pub(super) fn carry_gaps(from: &Mixture, to: &mut Mixture, quantities: &[Quantity]) {
    for &quantity in quantities {
        for reason in from.why_unknown(quantity).into_iter().flatten() {
            to.gap(quantity, reason.clone());
        }
    }
}

/// A warning where part of the water is ice, which no sieve lets through and no yeast touches.
pub(super) fn frozen(before: &Mixture) -> Option<Finding> {
    (before.ice_g > 0.0).then(|| {
        Finding::new(
            code::PROCESS_DOUBT,
            format!("{} g of the water is still ice here, and the figures take it as thawed", number(before.ice_g)),
            "put `thaw` before it",
        )
    })
}
