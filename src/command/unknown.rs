//! Why figures are missing, in lines for people: each reason once.

use crate::ask::figure;
use crate::ask::taste::Unknown;
use crate::problem::terminal::clean;

/// `strength, sugar: nobody knows, because …`, one line a reason.
pub(super) fn lines(list: &[Unknown]) -> Vec<String> {
    figure::words_by_reason(list)
        .into_iter()
        .map(|(words, because)| format!("not known: {words}, because {}", clean(because)))
        .collect()
}
