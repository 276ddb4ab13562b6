//! Ready to pour: the water that ice would have given is measured in, and the batch is held cold without it.
//!
//! How much water is what the recipe's own run took up, by the model that its stage names; so the drink is the same, only
//! warmer until it has been chilled.

use serde::{Serialize, Serializer};

use super::document::Answer;
use super::expand::Tree;
use crate::measure::{Exact, show};
use crate::problem::{Problem, code};
use crate::process::{Process, in_the_cold};
use crate::recipe::names::Target;
use crate::recipe::run::Computed;

/// A place that is cold.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cold {
    /// °C.
    pub at_c: f64,
    /// Share of the mass that is ice there, %; `None` where it cannot be told.
    pub ice_pct: Option<f64>,
    /// Whether that is a least value, because the tables end before.
    pub at_least: bool,
    /// Whether it still pours there; `None` where it cannot be told.
    pub pours: Option<bool>,
}

/// A batch that is ready to pour.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Ready {
    /// Water measured in, ml.
    pub water_ml: f64,
    /// Strength where balance is read, % vol.
    pub abv_pct: Option<f64>,
    /// Where its first ice forms, °C.
    pub freezing_point_c: Option<f64>,
    /// In the house's freezer.
    pub freezer: Cold,
    /// In the house's fridge.
    pub fridge: Cold,
    /// What to look out for.
    pub notes: Vec<Advice>,
}

/// What to look out for with a batch that is ready to pour.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Advice {
    /// Which one, for whoever says it in another language.
    pub key: &'static str,
    /// What it is about.
    pub names: Vec<String>,
}

/// Each in English, `{names}` standing for what it is about.
const SAID: &[(&str, &str)] = &[
    ("no_ice", "no ice goes into this drink before the glass, so no water is added"),
    ("chill", "chill it to serving temperature first: without ice nothing cools it in the making"),
    ("slush", "its ice is counted as water: freeze it to slush, or blend each serve"),
    ("glass_ice", "it meets ice in the glass as well, which waters it further"),
    ("egg", "{names} does not stand: add it to each drink, never to the batch"),
    ("cream", "{names} spoils first: keep the batch cold and use it within the day"),
    ("citrus", "{names} loses its edge: add it on the day"),
];

impl Advice {
    fn plain(key: &'static str) -> Self {
        Self { key, names: Vec::new() }
    }

    /// In English.
    #[must_use]
    pub fn text(&self) -> String {
        let said = SAID.iter().find(|(key, _)| *key == self.key).map_or(self.key, |(_, text)| text);
        said.replace("{names}", &self.names.join(" and "))
    }
}

impl Serialize for Advice {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.text())
    }
}

/// Looks at a batch that is ready to pour, and says where it would freeze.
#[must_use]
pub fn ready(computed: &Computed, tree: &Tree, answer: &Answer) -> (Ready, Option<Problem>) {
    let made = &tree.made[&tree.top];
    let house = &computed.graph.notes.house;
    let note = &computed.graph.notes.recipes[tree.top];
    let mixture = &made.batch().mixture;
    let cold = |at_c: f64| match in_the_cold(mixture, at_c) {
        Ok(cold) => Cold {
            at_c,
            ice_pct: Some(cold.ice_pct),
            at_least: cold.at_least,
            pours: (cold.pours || !cold.at_least).then_some(cold.pours),
        },
        Err(_) => Cold { at_c, ice_pct: None, at_least: false, pours: None },
    };
    let (freezer, fridge) = (cold(house.temperatures.freezer), cold(house.temperatures.fridge));
    let melt: Exact = tree.plans[&tree.top].melt().map(|l| l.base.clone()).sum();
    let water_ml = answer.factor.as_ref().map_or(0.0, |f| (&melt * f).float());
    let mut notes = Vec::new();
    if melt.is_zero() {
        notes.push(Advice::plain("no_ice"));
    } else {
        notes.push(Advice::plain("chill"));
    }
    if note.process.iter().any(|p| p.process == Process::Blend) {
        notes.push(Advice::plain("slush"));
    }
    if note.serve.ice.as_ref().is_some_and(|i| i.value != "none") {
        notes.push(Advice::plain("glass_ice"));
    }
    notes.extend(late(computed, tree));
    // A recipe that goes into the freezer itself is checked there; so is any other at the house's freezer.
    let to = note.process.iter().rev().find(|p| p.process == Process::Freeze);
    let problem = (freezer.pours == Some(false)).then(|| {
        let least = if freezer.at_least { "at least " } else { "" };
        let ice = freezer
            .ice_pct
            .map_or_else(String::new, |p| format!(": {least}{} % of it is ice there", show::fixed(p, 0)));
        Problem::new(
            code::FREEZES,
            to.map_or(note.name.span, |p| p.span),
            format!("this batch would freeze at {}{ice}", show::temperature(freezer.at_c)),
        )
        .severity(if to.is_some() { crate::problem::Severity::Warning } else { crate::problem::Severity::Note })
        .help(format!("keep it in the fridge at {}, or make it stronger or sweeter", show::temperature(fridge.at_c)))
    });
    let ready = Ready {
        water_ml,
        abv_pct: made.stages[made.balance].mixture.figure_abv().ok(),
        freezing_point_c: mixture.figure_freezing().ok(),
        freezer,
        fridge,
        notes,
    };
    (ready, problem)
}

/// What goes into a standing batch last, or not at all.
fn late(computed: &Computed, tree: &Tree) -> Vec<Advice> {
    let mut notes = Vec::new();
    let lines = &tree.plans[&tree.top].lines;
    let mixed: Vec<_> = lines.iter().filter(|l| !l.per_glass && !l.melt).collect();
    let named = |words: &[&str]| -> Vec<String> {
        let is = |name: &str| {
            let key = crate::recipe::names::key(name);
            words.iter().any(|w| key.split(' ').any(|part| part == *w))
        };
        mixed.iter().filter(|l| is(&l.name)).map(|l| l.name.clone()).collect()
    };
    let holding = |tag: &str| -> Vec<String> {
        let has = |target: Option<Target>| match target {
            Some(Target::Ingredient(i)) => {
                computed.graph.pantry.ingredients[i].item.allergens.iter().flatten().any(|a| a.value == tag)
            }
            _ => false,
        };
        mixed.iter().filter(|l| has(l.target)).map(|l| l.name.clone()).collect()
    };
    let eggs = holding("egg");
    if !eggs.is_empty() {
        notes.push(Advice { key: "egg", names: eggs.clone() });
    }
    let cream: Vec<String> = holding("milk").into_iter().filter(|n| !eggs.contains(n)).collect();
    if !cream.is_empty() {
        notes.push(Advice { key: "cream", names: cream });
    }
    let citrus: Vec<String> = named(&["lemon", "lime", "grapefruit", "orange"])
        .into_iter()
        .filter(|n| crate::recipe::names::key(n).contains("juice"))
        .collect();
    if !citrus.is_empty() {
        notes.push(Advice { key: "citrus", names: citrus });
    }
    notes
}
