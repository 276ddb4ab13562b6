//! Doses: how much of each additive is in a litre and in a serve, beside what is usual and what the law allows at most.
//!
//! In: the facts of a recipe. Out: one line a substance. A legal maximum is for the category that its row names; whether a drink
//! belongs to it is for the reader's own food law to say.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use super::safety::evaluate;
use super::safety::facts::{Bound, Facts};
use super::safety::grammar::{self, Expr};
use super::safety::names::{self, NumberName};
use crate::process::doses::DOSES;

const TABLE: &str = include_str!("dose/limits.csv");

/// What a maximum is a share of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Per {
    /// % of the liquid's mass.
    #[serde(rename = "%")]
    Percent,
    /// mg in a kilogram.
    #[serde(rename = "mg/kg")]
    MgPerKg,
    /// mg in a litre.
    #[serde(rename = "mg/l")]
    MgPerL,
    /// mg in one serve.
    #[serde(rename = "mg a serve")]
    MgPerServe,
}

impl Per {
    /// Its unit.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Percent => "%",
            Self::MgPerKg => "mg/kg",
            Self::MgPerL => "mg/l",
            Self::MgPerServe => "mg a serve",
        }
    }
}

/// A maximum of the law, or of an authority's advice.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Limit {
    /// The most.
    pub most: f64,
    /// Of what.
    pub per: Per,
    /// Where, and for what kind of drink.
    pub place: String,
    /// Who says so.
    pub source: String,
    /// How far that was read.
    pub check: String,
    /// What the recipe has, in the same unit; `None` where it is not known.
    pub has: Option<f64>,
    /// Whether that is more; `None` where it is not known.
    pub over: Option<bool>,
}

/// One substance in a recipe, at its last stage.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Dose {
    /// Key of its row among the usual doses, or its tag.
    pub id: String,
    /// Its name.
    pub name: String,
    /// % of the liquid's mass.
    pub pct: Option<f64>,
    /// mg in a litre.
    pub mg_per_l: Option<f64>,
    /// g in one serve; `None` for a prep.
    pub g_per_serve: Option<f64>,
    /// What is usual, % of the liquid's mass.
    pub usual_pct: Option<(f64, f64)>,
    /// What the law allows at most where this recipe may fall under it.
    pub limits: Vec<Limit>,
}

#[derive(Deserialize)]
struct Row {
    substance: String,
    when: String,
    most: f64,
    per: Per,
    #[serde(rename = "where")]
    place: String,
    source: String,
    check: String,
}

fn read(table: &str) -> Result<Vec<(Row, Expr)>, String> {
    csv::Reader::from_reader(table.as_bytes())
        .into_deserialize::<Row>()
        .map(|row| {
            let row = row.map_err(|e| e.to_string())?;
            let expr = grammar::parse(&row.when).map_err(|f| format!("{}: wanted {}", row.substance, f.wanted))?;
            match names::check(&expr).into_iter().next() {
                Some(fault) => Err(format!("{}: wanted {}", row.substance, fault.wanted)),
                None => Ok((row, expr)),
            }
        })
        .collect()
}

fn table() -> &'static [(Row, Expr)] {
    static ROWS: LazyLock<Vec<(Row, Expr)>> = LazyLock::new(|| read(TABLE).unwrap_or_default());
    &ROWS
}

/// Tags that stand for a substance without a row among the usual doses.
const TAGGED: &[(&str, &str)] = &[("quinine-salt", "quinine salt")];

/// The doses of a recipe: of every additive that it holds, through its parts.
#[must_use]
pub fn doses(facts: &Facts<'_>) -> Vec<Dose> {
    let bound = Bound::default();
    let last = &facts.computed.made[facts.recipe].last().mixture;
    let litres = last.figure_volume().ok().filter(|ml| *ml > 0.0).map(|ml| ml / 1000.0);
    let served = facts.computed.made[facts.recipe].served.is_some();
    let mut list = Vec::new();
    let additives = DOSES.iter().map(|d| (d.id, d.name, Some((d.low, d.high)), facts.dose_of(&facts_key(d.id))));
    let tagged = TAGGED.iter().map(|(tag, name)| (*tag, *name, None, facts.dose_of(tag)));
    for (id, name, usual_pct, (grams, share)) in additives.chain(tagged) {
        // None of it, and none that nobody could weigh.
        if grams == Some(0.0) {
            continue;
        }
        let mg_per_l = grams.zip(litres).map(|(g, l)| 1000.0 * g / l);
        let mut dose = Dose {
            id: id.to_owned(),
            name: name.to_owned(),
            pct: share.map(|s| 100.0 * s),
            mg_per_l,
            g_per_serve: grams.filter(|_| served),
            usual_pct,
            limits: Vec::new(),
        };
        dose.limits = limits(facts, id, share.map(|s| 1e6 * s), mg_per_l, dose.g_per_serve.map(|g| 1000.0 * g));
        list.push(dose);
    }
    for (id, per_l, per_serve) in [
        ("caffeine", NumberName::CaffeinePerL, facts.number(NumberName::ServeCaffeine, &bound)),
        ("sulphites", NumberName::SulphitesPerL, None),
    ] {
        let mg_per_l = facts.number(per_l, &bound).filter(|mg| *mg > 0.0);
        let mass = last.figure_mass().ok().filter(|g| *g > 0.0);
        let Some(mg_per_l) = mg_per_l else { continue };
        let mg_per_kg = litres.zip(mass).map(|(l, g)| mg_per_l * l / (g / 1000.0));
        list.push(Dose {
            id: id.to_owned(),
            name: id.to_owned(),
            pct: mg_per_kg.map(|mg| mg / 1e4),
            mg_per_l: Some(mg_per_l),
            g_per_serve: litres.filter(|_| served).map(|l| mg_per_l * l / 1000.0),
            usual_pct: None,
            limits: limits(facts, id, mg_per_kg, Some(mg_per_l), per_serve),
        });
    }
    list
}

/// The key under which the facts keep the dose of an additive.
#[must_use]
pub fn facts_key(id: &str) -> String {
    format!("#{id}")
}

fn limits(
    facts: &Facts<'_>,
    id: &str,
    mg_per_kg: Option<f64>,
    mg_per_l: Option<f64>,
    mg_per_serve: Option<f64>,
) -> Vec<Limit> {
    let mine = table().iter().filter(|(row, _)| row.substance == id);
    mine.filter(|(_, expr)| evaluate::holds(expr, facts).is_some())
        .map(|(row, _)| {
            let has = match row.per {
                Per::Percent => mg_per_kg.map(|mg| mg / 1e4),
                Per::MgPerKg => mg_per_kg,
                Per::MgPerL => mg_per_l,
                Per::MgPerServe => mg_per_serve,
            };
            Limit {
                most: row.most,
                per: row.per,
                place: row.place.clone(),
                source: row.source.clone(),
                check: row.check.clone(),
                has,
                // What was weighed to the limit must not pass it by the last bit.
                over: has.map(|has| has > row.most * (1.0 + 1e-9)),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_can_be_used() {
        let rows = read(TABLE).expect("a sound table");
        let known = |id: &str| {
            DOSES.iter().any(|d| d.id == id)
                || TAGGED.iter().any(|(tag, _)| *tag == id)
                || ["caffeine", "sulphites"].contains(&id)
        };
        for (row, _) in rows {
            assert!(known(&row.substance) && row.most > 0.0 && !row.source.is_empty(), "{}", row.substance);
        }
    }
}
