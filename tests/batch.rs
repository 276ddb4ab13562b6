//! `batch`: against published worked examples, its properties, its answers to questions of the day, and what it refuses.

// As in the tests themselves, which the lint lets be: here too a test says what it expects in the shortest way.
#![allow(clippy::unwrap_used)]

#[path = "batch/properties.rs"]
mod properties;
#[path = "batch/questions.rs"]
mod questions;
#[path = "batch/refusals.rs"]
mod refusals;
#[path = "batch/stock.rs"]
mod stock;
#[path = "batch/worked_examples.rs"]
mod worked_examples;

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use costrel::recipe::run::Computed;
use serde_json::Value;

struct Notebook(tempfile::TempDir);

impl Notebook {
    fn new(house: &str, pantry: &str, recipes: &[(&str, &str)]) -> Self {
        let dir = tempfile::tempdir().unwrap();
        let house = format!("name: The Test Lock\n{house}");
        for (path, text) in [("house.yaml", house.as_str()), ("pantry/test.yaml", pantry)] {
            write(dir.path(), path, text);
        }
        for (name, front) in recipes {
            let slug = name.to_lowercase().replace(' ', "-");
            write(dir.path(), &format!("recipes/{slug}.md"), &format!("---\nname: {name}\n{front}---\n\n1. Mix.\n"));
        }
        Self(dir)
    }

    fn compiled(&self) -> Computed {
        let (computed, problems) = costrel::compile(self.0.path());
        let errors: Vec<&str> = problems.iter().filter(|p| p.is_error()).map(|p| p.message.as_str()).collect();
        assert!(errors.is_empty(), "{errors:?}");
        computed
    }

    fn run(&self, arguments: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_costrel"))
            .arg("batch")
            .args(arguments)
            .arg("--notebook")
            .arg(self.0.path())
            .output()
            .unwrap()
    }

    /// Exit status and document.
    fn json(&self, arguments: &[&str]) -> (i32, Value) {
        let done = self.run(&[arguments, &["--json"]].concat());
        let text = String::from_utf8_lossy(&done.stdout).into_owned();
        let document = serde_json::from_str(&text)
            .unwrap_or_else(|e| panic!("{e}: {text} {}", String::from_utf8_lossy(&done.stderr)));
        (done.status.code().unwrap(), document)
    }

    /// The document of a question that has an answer.
    fn answer(&self, arguments: &[&str]) -> Value {
        let (status, document) = self.json(arguments);
        assert_eq!(status, 0, "{document:#}");
        document
    }

    /// What is printed for people.
    fn printed(&self, arguments: &[&str]) -> String {
        String::from_utf8_lossy(&self.run(arguments).stdout).into_owned()
    }

    /// Exit status and what is said on the error stream.
    fn said(&self, arguments: &[&str]) -> (i32, String) {
        let done = self.run(arguments);
        (done.status.code().unwrap(), String::from_utf8_lossy(&done.stderr).into_owned())
    }
}

fn write(root: &Path, path: &str, text: &str) {
    let to = root.join(path);
    fs::create_dir_all(to.parent().unwrap()).unwrap();
    fs::write(to, text).unwrap();
}

/// A pour of a document.
fn pour<'d>(document: &'d Value, name: &str) -> &'d Value {
    let pours = document["pours"].as_array().unwrap();
    pours.iter().find(|p| p["name"] == name).unwrap_or_else(|| panic!("no pour {name}: {document:#}"))
}

/// `exact` or `measure` of a pour, as `12.5 ml`.
fn amount(document: &Value, name: &str, which: &str) -> String {
    shown(&pour(document, name)[which])
}

fn shown(amount: &Value) -> String {
    format!("{} {}", amount["amount"], amount["unit"].as_str().unwrap_or("(no unit)"))
}

/// A house-made part of a document, at any depth.
fn part<'d>(document: &'d Value, slug: &str) -> &'d Value {
    fn find<'d>(document: &'d Value, slug: &str) -> Option<&'d Value> {
        let parts = document["preps"].as_array().unwrap();
        parts.iter().find_map(|p| if p["recipe"] == slug { Some(p) } else { find(p, slug) })
    }
    find(document, slug).unwrap_or_else(|| panic!("no part {slug}: {document:#}"))
}

const PANTRY: &str = "\
- {name: test rum, abv: 40 %, sugar: 0, acid: 0, pack: 700 ml}
- {name: test lime juice, abv: 0 %, sugar: 1.6, acid: 6}
- {name: test pear juice, abv: 0 %, sugar: 12, acid: 0.4}
- {name: test bitters, abv: 45 %, sugar: 0, acid: 0}
- {name: test soda, abv: 0 %, sugar: 0, acid: 0, pack: 200 ml}
- {name: test sugar, form: solid, sugar: 100 g/100 g, acid: 0, density: 0.85}
- {name: test gum, form: solid, sugar: 0, acid: 0, solids: 100 g/100 g}
- {name: test quince, piece: 200 g, sugar: 9, acid: 0.8, abv: 0 %, parts: {flesh: 80 %, peel: 12 %, core: 8 %}, yields: {juice: 60 % of flesh}}
- {name: test quince juice, abv: 0 %, sugar: 10, acid: 1}
- {name: test milk, abv: 0 %, sugar: 4.8, acid: 0.1, fat: 3.6, protein: 3.4, allergens: [milk]}
- {name: test tin milk, abv: 0 %, sugar: 10, acid: 0.3, pack: 410 ml tin, fat: 8, protein: 6, allergens: [milk]}
- {name: test white, abv: 0 %, sugar: 0.7, acid: 0, protein: 10, piece: 30 ml, allergens: [egg]}
- {name: test cherry, piece: 8 g, sugar: 60, acid: 0.3, abv: 0 %}
- {name: test secret, abv: 20 %, sugar: 10}
";

const RECIPES: &[(&str, &str)] = &[
    (
        "One sour",
        "mix: [60 ml test rum, 22.5 ml test lime juice, 22.5 ml test syrup, 2 dashes test bitters]\nprocess: [shake: {dilution: 40 %}]\n",
    ),
    ("Test syrup", "makes: prep\nmix: [500 g test sugar, 500 g water]\n"),
    ("Test cordial", "makes: prep\nmix: [600 ml pressed quince, 400 ml test syrup]\n"),
    ("Pressed quince", "makes: prep\nmix: [10 test quince]\nprocess: [juice: {recovers: 90 %}]\n"),
    (
        "Jug",
        "mix:\n  - 700 ml test rum\n  - 640 ml test pear juice\n  - 180 ml test cordial\n  - {pour: 60 ml test syrup, scale: taste}\n  - 0.25 % test gum\nprocess: [chill: {to: 3 °C, for: 1 h}]\nserve: {pour: 95 ml, finish: [10 ml test bitters]}\n",
    ),
    (
        "Fizz",
        "mix: [50 ml test rum, 25 ml test lime juice, top 90 ml test soda, rinse 5 ml test bitters]\nprocess: [shake: {dilution: 30 %}]\n",
    ),
    (
        "Milk punch",
        "mix: [700 ml test rum, 200 ml test lime juice, 300 ml test pear juice]\nprocess: [milk-clarify: {milk: 300 ml test milk, recovers: 82 %}]\nserve: {pour: 90 ml}\n",
    ),
    ("Filled", "mix: [300 ml test rum, 1 tin test tin milk, to 1 l water]\nserve: {pour: 100 ml}\n"),
    (
        "Flip",
        "mix: [50 ml test rum, 1 test white, 20 ml test syrup, 3 test cherry]\nprocess: [shake: {dilution: 30 %}]\n",
    ),
    ("Parts", "size: 1 l\nmix: [3 parts test rum, 2 parts test pear juice, 1 part test lime juice]\n"),
    (
        "Proofed",
        "mix: [700 ml test rum, 100 ml test pear juice]\nprocess: [water: {to: 22 %}, freeze: {to: -18 °C, for: 8 h}]\nserve: {pour: 80 ml}\n",
    ),
    ("Cherries", "mix: [50 ml test rum, 3 test cherry, 20 ml cherry water]\n"),
    ("Cherry water", "makes: prep\nmix: [100 ml water, 5 test cherry]\n"),
    ("Secret jug", "mix: [500 ml test secret, 5 test quince]\n"),
];

fn bar() -> Notebook {
    Notebook::new("", PANTRY, RECIPES)
}
