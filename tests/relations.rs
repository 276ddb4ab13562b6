//! Every relation against published values: the rows of `tests/reference/*.csv`, whose `source` column names where each
//! figure comes from and whose tolerances follow `tests/reference/SOURCES.md`.
//!
//! A row outside a relation's stated validity is skipped only by a named reason, and every test counts the rows it used,
//! so that a renamed column or an emptied file can't pass unnoticed.

#![allow(clippy::unwrap_used, reason = "a test that can't read its table must fail at once")]

use std::collections::BTreeMap;
use std::path::Path;

/// One row of a reference table, by column name, with the line it stands on.
struct Row {
    at: String,
    cells: BTreeMap<String, String>,
}

impl Row {
    fn text(&self, column: &str) -> &str {
        self.cells.get(column).unwrap_or_else(|| panic!("{}: no column {column}", self.at))
    }

    fn number(&self, column: &str) -> f64 {
        let cell = self.text(column);
        cell.parse().unwrap_or_else(|_| panic!("{}: {column} is {cell:?}, not a number", self.at))
    }

    fn is_empty(&self, column: &str) -> bool {
        self.text(column).is_empty()
    }

    /// Fails with the row, its source and both figures.
    #[track_caller]
    fn agrees(&self, what: &str, published: f64, ours: f64, tolerance: f64) {
        // Written so that NaN fails.
        let close = (ours - published).abs() <= tolerance;
        let source = self.cells.get("source").map_or("", String::as_str);
        assert!(close, "{}: {what}: published {published}, computed {ours}, tolerance {tolerance} ({source})", self.at);
    }
}

/// All rows of a table; a table without rows is a fault of its own.
fn table(name: &str) -> Vec<Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference").join(name);
    let mut reader = csv::Reader::from_path(&path).unwrap_or_else(|e| panic!("{name}: {e}"));
    let headers: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    let rows: Vec<Row> = reader
        .records()
        .map(|record| {
            let record = record.unwrap_or_else(|e| panic!("{name}: {e}"));
            let line = record.position().map_or(0, csv::Position::line);
            let cells = headers.iter().cloned().zip(record.iter().map(str::to_owned)).collect();
            Row { at: format!("{name}:{line}"), cells }
        })
        .collect();
    assert!(!rows.is_empty(), "{name} holds no rows");
    rows
}

/// A whole power, for the tests that sum a formula's terms one by one.
fn power(x: f64, exponent: i32) -> f64 {
    libm::pow(x, f64::from(exponent))
}

#[path = "relations/acid.rs"]
mod acid;
#[path = "relations/balance.rs"]
mod balance;
#[path = "relations/chilling.rs"]
mod chilling;
#[path = "relations/density.rs"]
mod density;
#[path = "relations/ferment.rs"]
mod ferment;
#[path = "relations/gas.rs"]
mod gas;
#[path = "relations/serving.rs"]
mod serving;
