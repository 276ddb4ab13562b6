//! Pieces of pages as data for the templates: figures, rows, pours. Every number is already text.

use std::collections::BTreeSet;

use serde_json::{Map, Value, json};

use crate::ask::diet::{Diet, gluten};
use crate::ask::labelling::Statement;
use crate::ask::taste::plus_minus;
use crate::measure::show;
use crate::mixture::Mixture;
use crate::mixture::figure::Figure;
use crate::notebook::keeping::Keeping;
use crate::press::publication::Publication;
use crate::recipe::run::Stage;

/// A no-break space, which keeps a number beside its unit.
pub(in crate::press) const NBSP: char = '\u{a0}';

/// Where a figure came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::press) enum Origin {
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
pub(in crate::press) struct Shown(Map<String, Value>);

impl Shown {
    /// A figure with its value, or with the reason why there is none.
    pub(in crate::press) fn new(label: &str, value: Result<String, String>, unit: &str, origin: Origin) -> Self {
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

    pub(in crate::press) fn with(mut self, key: &str, text: impl Into<String>) -> Self {
        let text = text.into();
        if !text.is_empty() {
            self.0.insert(key.into(), json!(text));
        }
        self
    }

    pub(in crate::press) fn done(self) -> Value {
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
pub(in crate::press) struct Reader {
    pub(super) label: &'static str,
    pub(super) unit: &'static str,
    pub(super) decimals: usize,
    pub(super) source: &'static str,
    pub(super) read: fn(&Mixture) -> Figure,
}

const DENSITY: &str = "OIML R 22 (1975) for spirit and water; Bubník et al. (1995) for sugar; pours keep the volume that they were measured at";

pub(in crate::press) const STRENGTH: Reader =
    Reader { label: "figure.strength", unit: "% vol", decimals: 1, source: DENSITY, read: Mixture::figure_abv };
pub(in crate::press) const SUGAR: Reader = Reader {
    label: "figure.sugar",
    unit: "g/100 ml",
    decimals: 1,
    source: "the facts of each pour, over the volume",
    read: Mixture::figure_sugar_per_100ml,
};
pub(in crate::press) const ACID: Reader = Reader {
    label: "figure.acid",
    unit: "g/100 ml",
    decimals: 2,
    source: "titratable acid as anhydrous citric acid, from the facts of each pour",
    read: Mixture::figure_acid_per_100ml,
};
pub(in crate::press) const RATIO: Reader = Reader {
    label: "figure.ratio",
    unit: ": 1",
    decimals: 1,
    source: "grams of sugar over grams of acid",
    read: Mixture::figure_sugar_to_acid,
};
pub(in crate::press) const BRIX: Reader = Reader {
    label: "figure.dissolved",
    unit: "°Bx",
    decimals: 1,
    source: "mass of sugar over mass of the whole; a refractometer reads this only without alcohol",
    read: Mixture::figure_brix,
};
pub(in crate::press) const SWEETNESS: Reader = Reader {
    label: "figure.sweetness",
    unit: "g/100 ml",
    decimals: 1,
    source: "sugars count as sucrose unless the pantry states their sweetness",
    read: Mixture::figure_sweetness,
};
pub(in crate::press) const DENSITY_20C: Reader =
    Reader { label: "figure.density", unit: "g/ml", decimals: 3, source: DENSITY, read: Mixture::figure_density };
pub(in crate::press) const FREEZING: Reader = Reader {
    label: "figure.freezing",
    unit: "°C",
    decimals: 1,
    source: crate::relation::freezing::SOURCE,
    read: Mixture::figure_freezing,
};
pub(in crate::press) const BY_MASS: Reader =
    Reader { label: "figure.by_mass", unit: "%", decimals: 1, source: DENSITY, read: Mixture::figure_abw };

/// A figure of a stage with its `±`, its origin and its source.
pub(in crate::press) fn figure(site: &Publication<'_>, stage: &Stage, reader: Reader) -> Shown {
    let house = site.is_house();
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
    let mut shown = Shown::new(&site.say(reader.label), text_of(&value, reader.decimals), reader.unit, origin)
        .with("source", reader.source);
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
        shown = shown.with("note", site.words.with("why.before", &[("value", &show::fixed(before, reader.decimals))]));
    }
    shown
}

/// A figure's digits, or why there are none.
pub(in crate::press) fn text_of(value: &Figure, decimals: usize) -> Result<String, String> {
    match value {
        Ok(v) => Ok(show::fixed(*v, decimals)),
        Err(because) => Err(because.short()),
    }
}

/// A volume as number and unit.
pub(in crate::press) fn volume(ml: f64) -> (String, &'static str) {
    if ml >= 999.5 { (show::trim(&show::fixed(ml / 1000.0, 2)), "l") } else { (show::amount(ml), "ml") }
}

/// Allergens and diet as the templates take them.
pub(in crate::press) fn allergens(site: &Publication<'_>, diet: &Diet, statements: &[Statement]) -> Value {
    let named = |tag: &str, from: &BTreeSet<String>| json!({ "word": site.allergen(tag), "from": from.iter().cloned().collect::<Vec<_>>().join(", ") });
    let contains: Vec<Value> = diet.contains.iter().map(|(tag, from)| named(tag, from)).collect();
    let may: Vec<Value> = diet.may_contain.iter().map(|tag| json!({ "word": site.allergen(tag) })).collect();
    let unknown: Vec<Value> =
        diet.unknown.iter().map(|name| json!({ "name": name, "because": site.say("allergens.unstated") })).collect();
    let names = |list: &BTreeSet<String>| list.iter().cloned().collect::<Vec<_>>().join(", ");
    let (state, said, because) = match diet.vegan {
        Some(true) => ("yes", "state.vegan", None),
        Some(false) => ("no", "state.not_vegan", Some(names(&diet.not_vegan))),
        None => (
            "unknown",
            "state.vegan_unknown",
            Some(site.words.with("allergens.vegan_unstated", &[("names", &names(&diet.vegan_unknown))])),
        ),
    };
    let (eats, eaten, eaten_because) = match diet.vegetarian {
        Some(true) => ("yes", "state.vegetarian", None),
        Some(false) => ("no", "state.not_vegetarian", Some(names(&diet.not_vegetarian))),
        None => (
            "unknown",
            "state.vegetarian_unknown",
            Some(site.words.with("allergens.vegan_unstated", &[("names", &names(&diet.vegetarian_unknown))])),
        ),
    };
    let none = (contains.is_empty() && unknown.is_empty()).then(|| site.say("allergens.none_declared"));
    let to_say = statements.iter().filter(|statement| statement.on_page).map(|statement| {
        site.words.with("allergens.statement", &[("says", &site.stated(statement).0), ("source", statement.source)])
    });
    json!({
        "contains": contains,
        "may_contain": may,
        "unknown": unknown,
        "none_declared": none,
        "vegan": { "state": state, "word": site.say(said), "because": because },
        "vegetarian": { "state": eats, "word": site.say(eaten), "because": eaten_because },
        "gluten": gluten(diet),
        "remarks": diet.remarks.iter().cloned().chain(to_say).collect::<Vec<_>>(),
        "list_name": site.words.with("allergens.by_list", &[("list", &site.allergen_list())]),
    })
}

/// Keeping claims as figures.
pub(in crate::press) fn keeping(site: &Publication<'_>, claims: &[Keeping]) -> Vec<Value> {
    claims
        .iter()
        .map(|keep| {
            let shown = show::hours(keep.hours);
            let (number, unit) = shown.split_once(' ').unwrap_or((&shown, ""));
            let at = site.at_temperature(keep.at_c);
            let label = if keep.sealed { site.words.with("keeping.sealed", &[("at", &at)]) } else { at };
            Shown::new(&label, Ok(number.to_owned()), unit, Origin::Written).done()
        })
        .collect()
}

/// Identifiers for fragments: ASCII letters, digits and hyphens.
pub(in crate::press) fn id(prefix: &str, text: &str) -> String {
    format!("{prefix}-{}", crate::recipe::names::slug(text))
}
