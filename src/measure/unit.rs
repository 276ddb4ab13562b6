//! Units of volume and mass with their exact factors, and the words that name them.
//!
//! Factors: reference table of exact definitions (NIST Handbook 44, Appendix C; UK Weights and Measures
//! Act 1985, Schedule 1; 21 CFR 101.9(b)(5)(viii) for spoons and cups). Bar measures are customary.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use rust_decimal::dec;

/// What a unit measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dimension {
    /// Millilitres.
    Volume,
    /// Grams.
    Mass,
}

/// A unit of volume or mass.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)] // the names are the units
pub enum Unit {
    Ml,
    Cl,
    Dl,
    L,
    G,
    Kg,
    Oz,
    Pint,
    Quart,
    Gallon,
    Cup,
    Tbsp,
    Tsp,
    OzWt,
    Lb,
    Jigger,
    Pony,
    Dash,
    Barspoon,
    Drop,
    Splash,
}

/// Every unit with the word that prints it and the words that mean it (singular; a regular plural is understood).
const WORDS: &[(Unit, &str, &[&str])] = &[
    (Unit::Ml, "ml", &["ml", "millilitre", "milliliter"]),
    (Unit::Cl, "cl", &["cl", "centilitre", "centiliter"]),
    (Unit::Dl, "dl", &["dl", "decilitre", "deciliter"]),
    (Unit::L, "l", &["l", "litre", "liter"]),
    (Unit::G, "g", &["g", "gram", "gramme"]),
    (Unit::Kg, "kg", &["kg", "kilogram", "kilo"]),
    (Unit::OzWt, "oz wt", &["oz wt", "ounce wt"]),
    (Unit::Oz, "oz", &["oz", "fl oz", "ounce", "fluid ounce"]),
    (Unit::Pint, "pint", &["pint", "pt"]),
    (Unit::Quart, "quart", &["quart", "qt"]),
    (Unit::Gallon, "gallon", &["gallon", "gal"]),
    (Unit::Cup, "cup", &["cup"]),
    (Unit::Tbsp, "tbsp", &["tbsp", "tbs", "tablespoon"]),
    (Unit::Tsp, "tsp", &["tsp", "teaspoon"]),
    (Unit::Lb, "lb", &["lb", "pound"]),
    (Unit::Jigger, "jigger", &["jigger"]),
    (Unit::Pony, "pony", &["pony"]),
    (Unit::Dash, "dash", &["dash"]),
    (Unit::Barspoon, "barspoon", &["barspoon", "bar spoon", "bsp"]),
    (Unit::Drop, "drop", &["drop"]),
    (Unit::Splash, "splash", &["splash"]),
];

impl Unit {
    /// Every unit, in the order of the table.
    pub fn all() -> impl Iterator<Item = Unit> {
        WORDS.iter().map(|(u, _, _)| *u)
    }

    /// Millilitres or grams.
    #[must_use]
    pub fn dimension(self) -> Dimension {
        match self {
            Self::G | Self::Kg | Self::OzWt | Self::Lb => Dimension::Mass,
            _ => Dimension::Volume,
        }
    }

    /// The word that prints it, in the singular.
    #[must_use]
    pub fn word(self) -> &'static str {
        WORDS.iter().find(|(u, _, _)| *u == self).map_or("", |(_, w, _)| w)
    }

    /// The word that prints it beside a number: `2 dashes`, `30 ml`.
    #[must_use]
    pub fn word_for(self, value: Decimal) -> &'static str {
        if value <= Decimal::ONE {
            return self.word();
        }
        match self {
            Self::Pint => "pints",
            Self::Quart => "quarts",
            Self::Gallon => "gallons",
            Self::Cup => "cups",
            Self::Jigger => "jiggers",
            Self::Pony => "ponies",
            Self::Dash => "dashes",
            Self::Barspoon => "barspoons",
            Self::Drop => "drops",
            Self::Splash => "splashes",
            other => other.word(),
        }
    }

    /// The unit that `word` names, whatever its case and whether in the plural.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        let lower = word.to_lowercase();
        let lower = lower.trim_end_matches('.');
        WORDS.iter().find(|(_, _, words)| words.iter().any(|w| lower == *w || is_plural(lower, w))).map(|(u, _, _)| *u)
    }

    /// Reads the unit at the start of `text`, of one or two words; returns it and the bytes used.
    #[must_use]
    pub fn lex(text: &str) -> Option<(Self, usize)> {
        let ends: Vec<usize> = text
            .char_indices()
            .filter(|(_, c)| !(c.is_alphabetic() || *c == '.'))
            .map(|(i, _)| i)
            .chain([text.len()])
            .collect();
        let first = *ends.first()?;
        if first == 0 {
            return None;
        }
        // Two words first, so that `oz wt` and `bar spoon` win over `oz` and `bar`.
        if text[first..].starts_with(' ')
            && let Some(second) = ends.get(1).filter(|e| **e > first + 1)
            && let Some(unit) = Self::from_word(&text[..*second])
        {
            return Some((unit, *second));
        }
        Self::from_word(&text[..first]).map(|unit| (unit, first))
    }

    /// The singular words that the parser knows, for suggestions.
    pub fn known_words() -> impl Iterator<Item = &'static str> {
        WORDS.iter().flat_map(|(_, _, words)| words.iter().copied())
    }
}

fn is_plural(word: &str, singular: &str) -> bool {
    // Symbols such as `ml` have no plural.
    if singular.len() <= 2 {
        return false;
    }
    word.strip_suffix('s') == Some(singular)
        || word.strip_suffix("es") == Some(singular)
        || word.strip_suffix("ies").is_some_and(|stem| singular.strip_suffix('y') == Some(stem))
}

/// Which customary system the house means by ounce, pint, quart and gallon.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum System {
    /// US customary measures.
    #[default]
    Us,
    /// Imperial measures.
    Imperial,
}

/// The factors in force: the defaults, the house's system, and the house's own measures.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Units {
    factors: BTreeMap<Unit, Decimal>,
}

impl Default for Units {
    fn default() -> Self {
        Self::new(System::Us)
    }
}

impl Units {
    /// The default factors of a system.
    #[must_use]
    pub fn new(system: System) -> Self {
        let factors = Unit::all().map(|u| (u, default_factor(u, system))).collect();
        Self { factors }
    }

    /// Lets the house say what a measure is worth, in ml or g.
    pub fn set(&mut self, unit: Unit, factor: Decimal) {
        self.factors.insert(unit, factor);
        if unit == Unit::Oz {
            // A jigger and a pony are an ounce and a half, and an ounce, of whatever ounce is meant.
            self.factors.insert(Unit::Jigger, factor * dec!(1.5));
            self.factors.insert(Unit::Pony, factor);
        }
    }

    /// Millilitres or grams in one of the unit, exact.
    #[must_use]
    pub fn factor(&self, unit: Unit) -> Decimal {
        self.factors.get(&unit).copied().unwrap_or(Decimal::ONE)
    }
}

fn default_factor(unit: Unit, system: System) -> Decimal {
    let imperial = system == System::Imperial;
    match unit {
        Unit::Ml | Unit::G => Decimal::ONE,
        Unit::Cl => dec!(10),
        Unit::Dl => dec!(100),
        Unit::L | Unit::Kg => dec!(1000),
        Unit::Oz | Unit::Pony if imperial => dec!(28.4130625),
        Unit::Oz | Unit::Pony => dec!(29.5735295625),
        Unit::Jigger if imperial => dec!(42.61959375),
        Unit::Jigger => dec!(44.36029434375),
        Unit::Pint if imperial => dec!(568.26125),
        Unit::Pint => dec!(473.176473),
        Unit::Quart if imperial => dec!(1136.5225),
        Unit::Quart => dec!(946.352946),
        Unit::Gallon if imperial => dec!(4546.09),
        Unit::Gallon => dec!(3785.411784),
        Unit::Cup => dec!(240),
        Unit::Tbsp => dec!(15),
        Unit::Tsp | Unit::Barspoon | Unit::Splash => dec!(5),
        Unit::OzWt => dec!(28.349523125),
        Unit::Lb => dec!(453.59237),
        Unit::Dash => dec!(0.92),
        Unit::Drop => dec!(0.05),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_and_plurals() {
        for (text, unit, len) in [
            ("ml gin", Unit::Ml, 2),
            ("oz wt sugar", Unit::OzWt, 5),
            ("oz gin", Unit::Oz, 2),
            ("dashes bitters", Unit::Dash, 6),
            ("ponies rum", Unit::Pony, 6),
            ("Bar spoons x", Unit::Barspoon, 10),
            ("L water", Unit::L, 1),
            ("cups tea", Unit::Cup, 4),
            ("splashes x", Unit::Splash, 8),
        ] {
            assert_eq!(Unit::lex(text), Some((unit, len)), "{text}");
        }
        assert_eq!(Unit::lex("limes"), None);
        assert_eq!(Unit::lex("mls gin"), None);
        assert_eq!(Unit::lex("½"), None);
    }
}
