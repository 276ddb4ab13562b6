//! Critical points: what must be watched while a risky prep is made, with its limit, its check, what to do when it is missed, and
//! what to write down. The words are those of the food trade's hazard analysis (Codex Alimentarius, CXC 1-1969, General
//! Principles of Food Hygiene, HACCP annex: critical limit, monitoring, corrective action, record; from memory).
//!
//! It is a sheet to start from and no food-safety plan: that is made for one kitchen, by people who know it.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use super::evaluate;
use super::facts::Facts;
use super::grammar::{self, Expr};

const TABLE: &str = include_str!("points.csv");

/// What kind of hazard is watched.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Concern {
    /// Germs and their toxins.
    Biological,
    /// Poisons and overdoses.
    Chemical,
    /// Pressure, glass, choking.
    Physical,
    /// Allergens.
    Allergen,
}

/// One critical point.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Point {
    /// Its name.
    pub id: String,
    /// What kind of hazard.
    pub kind: Concern,
    /// At which step of the work.
    pub step: String,
    /// The hazard.
    pub hazard: String,
    /// The critical limit.
    pub limit: String,
    /// How it is monitored.
    pub check: String,
    /// The corrective action.
    pub correction: String,
    /// Columns of the record, to be filled in by hand.
    pub record: Vec<String>,
    /// Who says so.
    pub source: String,
    /// How far that was read.
    pub seen: String,
    #[serde(skip)]
    expr: Expr,
}

#[derive(Deserialize)]
struct Row {
    id: String,
    when: String,
    kind: Concern,
    step: String,
    hazard: String,
    limit: String,
    check: String,
    correction: String,
    record: String,
    source: String,
    seen: String,
}

fn read(table: &str) -> Result<Vec<Point>, String> {
    csv::Reader::from_reader(table.as_bytes())
        .into_deserialize::<Row>()
        .map(|row| {
            let row = row.map_err(|e| e.to_string())?;
            let expr = grammar::parse(&row.when).map_err(|f| format!("{}: wanted {} at {}", row.id, f.wanted, f.at))?;
            if let Some(fault) = super::names::check(&expr).into_iter().next() {
                return Err(format!("{}: wanted {} at {}", row.id, fault.wanted, fault.at));
            }
            Ok(Point {
                expr,
                record: row.record.split(';').map(str::to_owned).collect(),
                id: row.id,
                kind: row.kind,
                step: row.step,
                hazard: row.hazard,
                limit: row.limit,
                check: row.check,
                correction: row.correction,
                source: row.source,
                seen: row.seen,
            })
        })
        .collect()
}

fn all() -> &'static [Point] {
    static POINTS: LazyLock<Vec<Point>> = LazyLock::new(|| read(TABLE).unwrap_or_default());
    &POINTS
}

/// The critical points of a recipe, in the order of the work. A recipe whose only point is its label has none: it is not risky.
#[must_use]
pub fn points(facts: &Facts<'_>) -> Vec<Point> {
    let list: Vec<Point> = all().iter().filter(|p| evaluate::holds(&p.expr, facts).is_some()).cloned().collect();
    let risky = list.iter().any(|p| p.kind != Concern::Allergen);
    if risky { list } else { Vec::new() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_can_be_used() {
        let points = read(TABLE).expect("a sound table");
        assert!(points.len() >= 20);
        for point in points {
            for text in [&point.step, &point.hazard, &point.limit, &point.check, &point.correction, &point.source] {
                assert!(!text.is_empty(), "{}", point.id);
            }
            assert!(point.record.len() > 1 && point.record.iter().all(|c| !c.is_empty()), "{}", point.id);
        }
    }
}
