//! `dial`: against an independent optimiser, against published worked examples, fed back through `taste`, and its properties.

// As in the tests themselves, which the lint lets be: here too a test says what it expects in the shortest way.
#![allow(clippy::unwrap_used)]

#[path = "dial/optimiser.rs"]
mod optimiser;
#[path = "dial/properties.rs"]
mod properties;
#[path = "dial/questions.rs"]
mod questions;
#[path = "dial/worked_examples.rs"]
mod worked_examples;

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use costrel::ask::dial::Figure;
use costrel::ask::taste::StageFigures;
use costrel::recipe::run::Computed;
use serde_json::Value;

const HOUSE: &str = "name: The Test Lock\n";

struct Notebook(tempfile::TempDir);

impl Notebook {
    fn new(pantry: &str, recipes: &[(&str, &str)]) -> Self {
        let dir = tempfile::tempdir().unwrap();
        for (path, text) in [("house.yaml", HOUSE), ("pantry/test.yaml", pantry)] {
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
            .arg("dial")
            .args(arguments)
            .args(["--notebook"])
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
}

fn write(root: &Path, path: &str, text: &str) {
    let to = root.join(path);
    fs::create_dir_all(to.parent().unwrap()).unwrap();
    fs::write(to, text).unwrap();
}

fn figure(stage: &StageFigures, figure: Figure) -> f64 {
    match figure {
        Figure::Strength => stage.abv_pct,
        Figure::Sugar => stage.sugar_g_per_100ml,
        Figure::Acid => stage.acid_g_per_100ml,
        Figure::Volume => stage.volume_ml,
        Figure::Dilution => stage.dilution_pct,
    }
    .unwrap()
}

/// What is added of a pour, in the document.
fn added(document: &Value, name: &str) -> f64 {
    let pours = document["pours"].as_array().unwrap();
    pours.iter().find(|p| p["name"] == name).unwrap()["add"]["amount"].as_f64().unwrap()
}

const PANTRY: &str = "\
- {name: test rum, abv: 40 %, sugar: 0, acid: 0, allergens: []}
- {name: test lime, abv: 0 %, sugar: 1.6, acid: 6, allergens: []}
- {name: test syrup, abv: 0 %, sugar: 61.5, acid: 0, allergens: []}
- {name: test bitters, abv: 45 %, sugar: 0, acid: 0, allergens: []}
- {name: test pear, abv: 0 %, sugar: 12, acid: 0.4, allergens: []}
- {name: test tonic, abv: 0 %, sugar: 8, acid: 0.3, allergens: []}
- {name: test secret, abv: 20 %, sugar: 10, allergens: []}
";

const RECIPES: &[(&str, &str)] = &[
    ("Sour", "mix: [60 ml test rum, 22.5 ml test lime, 22.5 ml test syrup, 2 dashes test bitters]\nprocess: [shake]\n"),
    (
        "Held",
        "mix:\n  - {pour: 60 ml test rum, hold: true}\n  - 22.5 ml test lime\n  - 22.5 ml test syrup\nprocess: [stir: {dilution: 25 %}]\n",
    ),
    (
        "Tall",
        "mix: [500 ml test rum, 100 ml test lime, 100 ml test syrup, top 90 ml test tonic]\nprocess: [stir: {dilution: 20 %}]\nserve: {pour: 100 ml}\n",
    ),
    ("Pear jug", "mix: [300 ml test rum, 640 ml test pear, 60 ml test lime, to 1.2 l water]\n"),
    ("Pear syrup", "makes: prep\nmix: [500 ml test pear, 400 ml test syrup]\n"),
    ("Deep", "mix: [50 ml test rum, 25 ml test lime, 30 ml pear syrup]\nprocess: [stir: {dilution: 25 %}]\n"),
    ("Secret", "mix: [50 ml test secret, 25 ml test lime]\n"),
    ("Soft", "mix: [100 ml test pear, 20 ml test lime]\n"),
    ("Alone", "mix: [1 l test rum]\n"),
    ("Measured", "mix: [300 ml test rum, 700 ml test pear]\nmakes_measured: 950 ml\n"),
];

fn bar() -> Notebook {
    Notebook::new(PANTRY, RECIPES)
}
