//! Labelling: what must be said of a recipe on a menu, a page or a label beside its name, strength, dates and allergens.
//!
//! In: the facts of a recipe. Out: statements, each with who asks for it. The table holds every particular of the reference with
//! what Costrel does about it: a statement where a notebook can decide it, else the place that shows it, else why none does.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use super::safety::evaluate;
use super::safety::facts::{Bound, Facts};
use super::safety::grammar::{self, Expr};
use super::safety::names::{self, NumberName};
use crate::measure::show;

const TABLE: &str = include_str!("labelling/particulars.csv");

/// One statement that a recipe calls for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Statement {
    /// The particular's name.
    pub id: &'static str,
    /// What is said, whole.
    pub says: String,
    /// Where that is asked for: `EU`, `US`.
    pub jurisdiction: &'static str,
    /// Who asks for it.
    pub source: &'static str,
    /// What brings it, where the statement names it.
    #[serde(skip)]
    names: Vec<String>,
    #[serde(skip)]
    wording: &'static str,
    /// mg of caffeine in 100 ml.
    #[serde(skip)]
    caffeine: String,
    /// Whether it belongs on a label.
    #[serde(skip)]
    pub on_label: bool,
    /// Whether it belongs on a menu or page.
    #[serde(skip)]
    pub on_page: bool,
}

impl Statement {
    /// Calls what brings it by other names, as for guests who are not told what is in a part.
    pub fn rename(&mut self, told: &BTreeMap<String, String>) {
        for name in &mut self.names {
            if let Some(other) = told.get(name) {
                name.clone_from(other);
            }
        }
        self.names.dedup();
        self.says = self.worded(self.wording);
    }

    /// Another wording of it, with `{names}` and `{caffeine}` filled.
    #[must_use]
    pub fn worded(&self, wording: &str) -> String {
        wording.replace("{names}", &self.names.join(", ")).replace("{caffeine}", &self.caffeine)
    }
}

/// A row of the table.
#[derive(Debug, Deserialize)]
pub struct Particular {
    /// Its name.
    pub id: String,
    jurisdiction: String,
    source: String,
    /// When it is said, in the grammar of the hazard rules; empty where no statement is made.
    pub when: String,
    /// What is said; `{caffeine}` and `{names}` are filled.
    pub says: String,
    /// `label`, `page`, both parted by `;`, or neither.
    pub on: String,
    /// What shows it, or why nothing does.
    pub how: String,
    #[serde(skip)]
    expr: Option<Expr>,
}

fn read(table: &str) -> Result<Vec<Particular>, String> {
    csv::Reader::from_reader(table.as_bytes())
        .into_deserialize::<Particular>()
        .map(|row| {
            let mut row = row.map_err(|e| e.to_string())?;
            if !row.when.is_empty() {
                let expr =
                    grammar::parse(&row.when).map_err(|f| format!("{}: wanted {} at {}", row.id, f.wanted, f.at))?;
                if let Some(fault) = names::check(&expr).into_iter().next() {
                    return Err(format!("{}: wanted {} at {}", row.id, fault.wanted, fault.at));
                }
                row.expr = Some(expr);
            }
            Ok(row)
        })
        .collect()
}

/// Every particular. The table is part of the program: a fault in it is a bug that `every_row_can_be_used` catches.
#[must_use]
pub fn particulars() -> &'static [Particular] {
    static ROWS: LazyLock<Vec<Particular>> = LazyLock::new(|| read(TABLE).unwrap_or_default());
    &ROWS
}

/// What must be said of a recipe, in the table's order.
#[must_use]
pub fn statements(facts: &Facts<'_>) -> Vec<Statement> {
    let mut list = Vec::new();
    for row in particulars() {
        let Some(causes) = row.expr.as_ref().and_then(|e| evaluate::holds(e, facts)) else { continue };
        let mut names: Vec<String> = causes.iter().flat_map(|c| facts.names(c)).collect();
        names.sort();
        names.dedup();
        let caffeine = facts.number(NumberName::CaffeinePerL, &Bound::default());
        let caffeine = caffeine.map_or(String::new(), |mg| show::fixed(mg / 10.0, 0));
        let mut statement = Statement {
            id: &row.id,
            says: String::new(),
            names,
            wording: &row.says,
            caffeine,
            jurisdiction: &row.jurisdiction,
            source: &row.source,
            on_label: row.on.split(';').any(|on| on == "label"),
            on_page: row.on.split(';').any(|on| on == "page"),
        };
        statement.says = statement.worded(statement.wording);
        list.push(statement);
    }
    list
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_can_be_used_and_says_what_shows_it() {
        let rows = read(TABLE).expect("a sound table");
        for row in &rows {
            assert_eq!(row.when.is_empty(), row.says.is_empty(), "{}", row.id);
            assert!(!row.how.is_empty() && !row.source.is_empty(), "{}", row.id);
            assert!(row.says.is_empty() || !row.on.is_empty(), "{} is said nowhere", row.id);
            assert!(row.on.split(';').all(|on| ["", "label", "page"].contains(&on)), "{}", row.id);
        }
    }

    #[test]
    fn no_particular_of_the_reference_is_lost() {
        let reference = include_str!("../../tests/reference/labelling.csv");
        for (ours, theirs) in TABLE.lines().zip(reference.lines()) {
            assert!(ours.starts_with(theirs), "{theirs}");
        }
        assert!(TABLE.lines().count() > reference.lines().count());
    }
}
