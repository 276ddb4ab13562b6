//! Words that stand where a unit should.

use crate::measure::Unit;
use crate::notebook::fields::nearest;
use crate::problem::{Problem, code};
use crate::source::Span;

/// The unit that a word nearly is, in the singular or the plural.
#[must_use]
pub fn near_unit(word: &str) -> Option<&'static str> {
    let stems = [Some(word), word.strip_suffix("es"), word.strip_suffix('s')];
    stems
        .into_iter()
        .flatten()
        .filter_map(|stem| {
            nearest(stem, Unit::known_words()).first().map(|n| (strsim::damerau_levenshtein(stem, n), *n))
        })
        // One letter is as near to `g` as to `l`.
        .filter(|(distance, _)| *distance <= 2 && *distance < word.chars().count())
        .min()
        .map(|(_, near)| near)
}

/// The problem for a word that stands where a unit should.
#[must_use]
pub fn unknown_unit(word: &str, span: Span) -> Problem {
    let help = match near_unit(word) {
        // A thousandfold is no slip to offer.
        _ if ["mg", "milligram", "milligrams", "µg", "mcg"].contains(&word) => {
            "write grams with decimals: 150 mg is `0.15 g`".into()
        }
        Some(near) => format!("did you mean `{near}`?"),
        None => "units: ml cl dl l, g kg, oz, pint quart gallon cup tbsp tsp, oz wt lb, jigger pony dash barspoon drop splash".into(),
    };
    Problem::new(code::UNKNOWN_UNIT, span, format!("`{word}` is not a unit")).help(help)
}
