//! Words for figures: what a field of the data is called where people read.

use super::taste::Unknown;
use crate::measure::show;

/// Fields, their words, and the unit of their numbers; fields of one word are one thing to a reader.
const WORDS: &[(&str, &str, &str)] = &[
    ("volume_ml", "volume", "ml"),
    ("mass_g", "mass", "g"),
    ("density_g_ml", "density", "g/ml"),
    ("abv_pct", "strength", "% vol"),
    ("ethanol_g", "ethanol", "g"),
    ("sugar_g_per_100ml", "sugar", "g/100 ml"),
    ("brix", "soluble solids", "°Bx"),
    ("acid_g_per_100ml", "acid", "g/100 ml"),
    ("temperature_c", "temperature", "°C"),
    ("freezing_point_c", "freezing point", "°C"),
    ("dilution_pct", "water added", "%"),
    ("gauge_bar", "pressure", "bar"),
    ("co2_volumes", "dissolved CO₂", "volumes"),
    ("ice_pct", "share of ice", "%"),
    ("standard_drinks", "standard drinks", ""),
    ("count", "number of serves", ""),
    ("left_ml", "what is left over", "ml"),
    ("energy_kj", "energy", "kJ"),
    ("energy_kcal", "energy", "kcal"),
    ("sugar_g", "sugar", "g"),
    ("makes_ml", "what it makes", "ml"),
    ("factor", "how many times the recipe", ""),
    ("pours", "one of its pours", ""),
    ("drift.abv_pct", "what rounding does to the strength", "% vol"),
    ("drift.sugar_g_per_100ml", "what rounding does to the sugar", "g/100 ml"),
    ("drift.acid_g_per_100ml", "what rounding does to the acid", "g/100 ml"),
];

/// The word for a field; a field without one is its own.
#[must_use]
pub fn word(field: &str) -> &str {
    WORDS.iter().find(|(name, ..)| *name == field).map_or(field, |(_, word, _)| word)
}

/// A figure for readers: its word, its number to about three digits, its unit.
#[must_use]
pub fn said(field: &str, value: f64) -> String {
    let unit = WORDS.iter().find(|(name, ..)| *name == field).map_or("", |(.., unit)| unit);
    format!("{} {} {unit}", word(field), show::minus(&show::amount(value))).trim_end().to_owned()
}

/// Why figures are missing: each reason once, with the fields of the figures that it takes away, in the order given.
#[must_use]
pub fn by_reason(list: &[Unknown]) -> Vec<(Vec<&str>, &str)> {
    let mut reasons: Vec<(Vec<&str>, &str)> = Vec::new();
    for unknown in list {
        let field = unknown.figure.as_str();
        match reasons.iter_mut().find(|(_, because)| *because == unknown.because) {
            // What has the same word is the same to a reader.
            Some((fields, _)) if fields.iter().any(|f| word(f) == word(field)) => {}
            Some((fields, _)) => fields.push(field),
            None => reasons.push((vec![field], &unknown.because)),
        }
    }
    reasons
}

/// The same in words: `strength, sugar`, and why.
#[must_use]
pub fn words_by_reason(list: &[Unknown]) -> Vec<(String, &str)> {
    let words = |fields: Vec<&str>| fields.into_iter().map(word).collect::<Vec<_>>().join(", ");
    by_reason(list).into_iter().map(|(fields, because)| (words(fields), because)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_figure_that_can_be_unknown_has_a_word() {
        for (field, _) in crate::ask::taste::READERS {
            assert!(WORDS.iter().any(|(name, ..)| name == field), "{field}");
        }
    }

    #[test]
    fn a_reason_stands_once() {
        let unknown = |figure: &str, stage: &str| Unknown {
            figure: figure.into(),
            stage: Some(stage.into()),
            because: "nobody stated it".into(),
        };
        let list = [unknown("energy_kj", "mix"), unknown("energy_kcal", "mix"), unknown("abv_pct", "shake")];
        assert_eq!(words_by_reason(&list), [("energy, strength".to_owned(), "nobody stated it")]);
    }
}
