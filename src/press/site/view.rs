//! Pieces of pages as data for the templates: figures, rows, pours. Every number is already text.

use std::collections::BTreeSet;

use serde_json::{Map, Value, json};

use super::Site;
use crate::ask::diet::{Diet, word};
use crate::ask::taste::plus_minus;
use crate::measure::show;
use crate::mixture::Mixture;
use crate::mixture::figure::Figure;
use crate::recipe::run::Stage;

/// A no-break space, which keeps a number beside its unit.
pub(super) const NBSP: char = '\u{a0}';

/// Where a figure came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Origin {
    Computed,
    Written,
    Reading,
}

impl Origin {
    fn word(self) -> &'static str {
        match self {
            Self::Computed => "computed",
            Self::Written => "written",
            Self::Reading => "reading",
        }
    }
}

/// A figure being put together.
pub(super) struct Shown(Map<String, Value>);

impl Shown {
    /// A figure with its value, or with the reason why there is none.
    pub(super) fn new(label: &str, value: Result<String, String>, unit: &str, origin: Origin) -> Self {
        let mut map = Map::new();
        map.insert("label".into(), json!(label));
        map.insert("origin".into(), json!(origin.word()));
        match value {
            Ok(text) => {
                map.insert("value".into(), json!(signed(&text)));
                if !unit.is_empty() {
                    map.insert("unit".into(), json!(unit.replace(' ', &NBSP.to_string())));
                }
            }
            Err(because) => {
                map.insert("because".into(), json!(because));
            }
        }
        Self(map)
    }

    pub(super) fn with(mut self, key: &str, text: impl Into<String>) -> Self {
        let text = text.into();
        if !text.is_empty() {
            self.0.insert(key.into(), json!(text));
        }
        self
    }

    pub(super) fn done(self) -> Value {
        Value::Object(self.0)
    }
}

/// A minus sign that reads as one.
fn signed(text: &str) -> String {
    match text.strip_prefix('-') {
        Some(rest) if rest.starts_with(|c: char| c.is_ascii_digit()) => format!("−{rest}"),
        _ => text.to_owned(),
    }
}

/// How one kind of figure is read and shown.
#[derive(Clone, Copy)]
pub(super) struct Reader {
    pub(super) label: &'static str,
    pub(super) unit: &'static str,
    pub(super) decimals: usize,
    pub(super) source: &'static str,
    pub(super) read: fn(&Mixture) -> Figure,
}

const DENSITY: &str = "OIML R 22 (1975) for spirit and water; Bubník et al. (1995) for sugar; pours keep the volume that they were measured at";

pub(super) const STRENGTH: Reader =
    Reader { label: "Strength", unit: "% vol", decimals: 1, source: DENSITY, read: Mixture::figure_abv };
pub(super) const SUGAR: Reader = Reader {
    label: "Sugar",
    unit: "g/100 ml",
    decimals: 1,
    source: "the facts of each pour, over the volume",
    read: Mixture::figure_sugar_per_100ml,
};
pub(super) const ACID: Reader = Reader {
    label: "Acid",
    unit: "g/100 ml",
    decimals: 2,
    source: "titratable acid as anhydrous citric acid, from the facts of each pour",
    read: Mixture::figure_acid_per_100ml,
};
pub(super) const RATIO: Reader = Reader {
    label: "Sugar to acid",
    unit: ": 1",
    decimals: 1,
    source: "grams of sugar over grams of acid",
    read: Mixture::figure_sugar_to_acid,
};
pub(super) const BRIX: Reader = Reader {
    label: "Dissolved sugar",
    unit: "°Bx",
    decimals: 1,
    source: "mass of sugar over mass of the whole; a refractometer reads this only without alcohol",
    read: Mixture::figure_brix,
};
pub(super) const SWEETNESS: Reader = Reader {
    label: "Sweetness as sucrose",
    unit: "g/100 ml",
    decimals: 1,
    source: "sugars count as sucrose unless the pantry states their sweetness",
    read: Mixture::figure_sweetness,
};
pub(super) const DENSITY_20C: Reader =
    Reader { label: "Density at 20 °C", unit: "g/ml", decimals: 3, source: DENSITY, read: Mixture::figure_density };
pub(super) const FREEZING: Reader = Reader {
    label: "Freezing point",
    unit: "°C",
    decimals: 1,
    source: crate::relation::freezing::SOURCE,
    read: Mixture::figure_freezing,
};
pub(super) const BY_MASS: Reader =
    Reader { label: "Strength by mass", unit: "%", decimals: 1, source: DENSITY, read: Mixture::figure_abw };

/// A figure of a stage with its `±`, its origin and its source.
pub(super) fn figure(stage: &Stage, reader: Reader, house: bool) -> Shown {
    let value = (reader.read)(&stage.mixture);
    let was_read = stage.estimate.as_ref().is_some_and(|before| {
        let was = (reader.read)(before);
        match (&was, &value) {
            (Ok(a), Ok(b)) => (a - b).abs() > 1e-9,
            (Err(_), Ok(_)) => true,
            _ => false,
        }
    });
    let origin = if was_read && house { Origin::Reading } else { Origin::Computed };
    let mut shown =
        Shown::new(reader.label, text_of(&value, reader.decimals), reader.unit, origin).with("source", reader.source);
    if let Some(width) = plus_minus(stage, reader.read).and_then(|w| show::plus_minus(w, reader.decimals)) {
        shown = shown.with("plus_minus", format!("± {width}"));
    }
    if let Ok(v) = value {
        shown = shown.with("machine", show::fixed(v, reader.decimals));
    }
    if was_read
        && house
        && let Some(Ok(before)) = stage.estimate.as_ref().map(|m| (reader.read)(m))
    {
        shown =
            shown.with("note", format!("Estimated at {} before the reading.", show::fixed(before, reader.decimals)));
    }
    shown
}

/// A figure's digits, or why there are none.
pub(super) fn text_of(value: &Figure, decimals: usize) -> Result<String, String> {
    match value {
        Ok(v) => Ok(show::fixed(*v, decimals)),
        Err(because) => Err(because.text()),
    }
}

/// A volume as number and unit.
pub(super) fn volume(ml: f64) -> (String, &'static str) {
    if ml >= 999.5 { (show::trim(&show::fixed(ml / 1000.0, 2)), "l") } else { (show::amount(ml), "ml") }
}

/// Allergens and diet as the templates take them.
pub(super) fn allergens(site: &Site<'_>, diet: &Diet) -> Value {
    let named = |tag: &str, from: &BTreeSet<String>| json!({ "word": word(tag), "from": from.iter().cloned().collect::<Vec<_>>().join(", ") });
    let contains: Vec<Value> = diet.contains.iter().map(|(tag, from)| named(tag, from)).collect();
    let may: Vec<Value> = diet.may_contain.iter().map(|tag| json!({ "word": word(tag) })).collect();
    let unknown: Vec<Value> =
        diet.unknown.iter().map(|name| json!({ "name": name, "because": "nobody stated its allergens" })).collect();
    let (state, said, because) = match diet.vegan {
        Some(true) => ("yes", "vegan", None),
        Some(false) => ("no", "not vegan", Some(diet.not_vegan.iter().cloned().collect::<Vec<_>>().join(", "))),
        None => (
            "unknown",
            "vegan: unknown",
            Some(format!("nobody stated it of {}", diet.vegan_unknown.iter().cloned().collect::<Vec<_>>().join(", "))),
        ),
    };
    let list = match site.house().allergens_regime.as_str() {
        "us" => "the nine of the United States list, and sulphites",
        "uk" => "the fourteen of the British list",
        _ => "the fourteen of the European list",
    };
    let none =
        (contains.is_empty() && unknown.is_empty()).then_some("No ingredient declares one of the listed allergens.");
    json!({
        "contains": contains,
        "may_contain": may,
        "unknown": unknown,
        "none_declared": none,
        "vegan": { "state": state, "word": said, "because": because },
        "remarks": diet.remarks.iter().collect::<Vec<_>>(),
        "list_name": format!("By {list}, as each ingredient is labelled. What is not named here was not declared; that is no promise that nothing of it is there."),
    })
}

/// Identifiers for fragments: ASCII letters, digits and hyphens.
pub(super) fn id(prefix: &str, text: &str) -> String {
    format!("{prefix}-{}", crate::recipe::names::slug(text))
}

/// Words in a line.
pub(super) fn word_list(words: &[String]) -> String {
    words.join(", ")
}
