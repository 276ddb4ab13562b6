//! Against an independent optimiser, and its answers fed back through `taste`.

use std::collections::BTreeMap;
use std::path::Path;

use costrel::ask::dial::{Figure, Named, Request, Target, dial};
use costrel::ask::taste::taste;
use costrel::measure::{Amount, Unit};
use rust_decimal::Decimal;

use super::{Notebook, figure};

/// One row of `dial/scipy.csv`; how it was made stands in `dial/reference.py`.
struct Row(BTreeMap<String, String>);

impl Row {
    fn all() -> Vec<Self> {
        let mut reader =
            csv::Reader::from_path(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/dial/scipy.csv")).unwrap();
        reader.deserialize().map(|r| Self(r.unwrap())).collect()
    }

    fn pairs(&self, column: &str) -> Vec<(String, String)> {
        let text = &self.0[column];
        let pair = |one: &str| one.split_once('=').map(|(a, b)| (a.to_owned(), b.to_owned())).unwrap();
        if text.is_empty() { Vec::new() } else { text.split("; ").map(pair).collect() }
    }

    /// The problem as a notebook; every name is one that no generic item has, so that only the facts in the row count.
    fn notebook(&self, amounts: &BTreeMap<String, f64>) -> Notebook {
        let (mut pantry, mut mix) = (String::new(), String::new());
        for (name, rest) in self.pairs("pours") {
            let [written, unit, abv, sugar, acid] = rest.split(' ').collect::<Vec<_>>()[..] else { panic!("{rest}") };
            let solid = unit == "g";
            let facts = if solid {
                format!("form: solid, sugar: {sugar} g/100 g, acid: {acid} g/100 g")
            } else {
                format!("abv: {abv} %, sugar: {sugar}, acid: {acid}")
            };
            pantry.push_str(&format!("- {{name: test {name}, {facts}}}\n"));
            let amount = amounts.get(&name).copied().unwrap_or_else(|| written.parse().unwrap());
            if amount > 0.0 {
                mix.push_str(&format!("  - {amount:.12} {unit} test {name}\n"));
            }
        }
        let process = match self.0["process"].split_once(' ') {
            Some((word, percent)) => format!("process: [{word}: {{dilution: {percent} %}}]\n"),
            None if self.0["process"].is_empty() => String::new(),
            None => format!("process: [{}]\n", self.0["process"]),
        };
        Notebook::new(&pantry, &[("Problem", &format!("mix:\n{mix}{process}"))])
    }

    fn targets(&self) -> Vec<Target> {
        let one = |(word, wanted): (String, String)| {
            let figure = match word.as_str() {
                "abv" => Figure::Strength,
                "sugar" => Figure::Sugar,
                "acid" => Figure::Acid,
                "dilution" => Figure::Dilution,
                "volume" => Figure::Volume,
                other => panic!("{other}"),
            };
            Target { figure, wanted: wanted.parse().unwrap() }
        };
        self.pairs("targets").into_iter().map(one).collect()
    }

    fn request(&self) -> Request {
        let vary = self.0["vary"].split("; ").map(|one| {
            let (name, weight) = one.split_once(':').unwrap_or((one, "1"));
            Named { name: format!("test {name}"), weight: weight.parse().unwrap() }
        });
        let poured = self.pairs("poured").into_iter().map(|(name, amount)| {
            (format!("test {name}"), Amount { value: amount.parse::<Decimal>().unwrap(), unit: Unit::Ml })
        });
        Request {
            targets: self.targets(),
            vary: Some(vary.collect()),
            facts: BTreeMap::new(),
            taken_as: Vec::new(),
            // What the recipe doesn't pour and nobody poured isn't in the glass either.
            poured: poured.filter(|(_, a)| !a.value.is_zero()).collect(),
        }
    }
}

#[test]
fn agrees_with_an_independent_optimiser() {
    let rows = Row::all();
    assert!(rows.len() >= 20);
    for row in &rows {
        let id = &row.0["id"];
        let computed = row.notebook(&BTreeMap::new()).compiled();
        let answer = dial(&computed, 0, &row.request()).unwrap();
        assert!(answer.feasible, "{id}: {:?}", answer.because);
        let batch: f64 = answer.pours.iter().filter_map(|p| p.before.amount).sum();
        let mut amounts = BTreeMap::new();
        for (name, wanted) in row.pairs("answer") {
            let wanted: f64 = wanted.parse().unwrap();
            let Some(pour) = answer.pours.iter().find(|p| p.name == format!("test {name}")) else {
                assert!(wanted == 0.0, "{id}: {name} is not offered");
                continue;
            };
            let ours = pour.after.amount.unwrap();
            // 0.1 %; of the batch's hundredth for what is all but nothing, where the optimiser's own noise is.
            let tolerance = 0.001 * wanted.max(0.01 * batch);
            assert!((ours - wanted).abs() <= tolerance, "{id} {}: {name} {ours}, scipy {wanted}", row.0["about"]);
            amounts.insert(name, ours);
        }
        fed_back(row, &amounts);
    }
}

/// The answer written into the recipe and tasted meets the targets.
fn fed_back(row: &Row, amounts: &BTreeMap<String, f64>) {
    let again = taste(&row.notebook(amounts).compiled(), 0);
    let read = again.stages.iter().rfind(|s| s.stage != "serve").unwrap();
    for target in row.targets().iter().filter(|t| t.figure != Figure::Dilution) {
        let reached = figure(read, target.figure);
        let id = &row.0["id"];
        assert!(target.met(reached), "{id}: {} {reached}, wanted {}", target.figure.word(), target.wanted);
    }
}
