//! Cases: each folder `tests/cases/<topic>/<what-it-shows>/` holds a small notebook and what is expected of it.
//!
//! `expected/check.txt` is what a writer is shown; `expected/taste-<address>.json` the numbers of a recipe, to nine
//! significant digits. `UPDATE=1 cargo test --test cases` rewrites them: read the difference before you commit it.

use std::fs;
use std::path::{Path, PathBuf};

use costrel::ask::taste::taste;
use costrel::problem::{count, terminal};
use serde_json::Value;

fn cases() -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases");
    let mut found: Vec<PathBuf> = walkdir::WalkDir::new(root)
        .min_depth(2)
        .max_depth(2)
        .into_iter()
        .map(|e| e.expect("a readable folder").into_path())
        .filter(|p| p.join("notebook").is_dir())
        .collect();
    found.sort();
    found
}

/// Text without the codes that colour it.
fn plain(text: &str) -> String {
    anstream::adapter::strip_str(text).to_string()
}

/// Floats to nine significant digits, so that a last bit never fails a case.
fn rounded(value: &mut Value) {
    match value {
        Value::Number(n) if n.is_f64() => {
            let x = n.as_f64().expect("a float");
            let digits: f64 = format!("{x:.8e}").parse().expect("a float again");
            *value = serde_json::json!(digits);
        }
        Value::Array(list) => list.iter_mut().for_each(rounded),
        Value::Object(map) => map.values_mut().for_each(rounded),
        _ => {}
    }
}

fn compare(path: &Path, made: &str, wrong: &mut Vec<String>) {
    if std::env::var_os("UPDATE").is_some() {
        fs::write(path, made).expect("a writable case");
        return;
    }
    let expected = fs::read_to_string(path).unwrap_or_default();
    if expected != made {
        wrong.push(format!("{}\n--- expected\n{expected}\n--- made\n{made}", path.display()));
    }
}

#[test]
fn every_case_is_as_expected() {
    let cases = cases();
    assert!(cases.len() >= 40, "only {} cases were found", cases.len());
    let mut wrong = Vec::new();
    for case in cases {
        let (computed, problems) = costrel::compile(&case.join("notebook"));
        let sources = &computed.graph.notes.sources;
        let mut shown: Vec<String> = problems.iter().map(|p| plain(&terminal::render(p, sources, ""))).collect();
        let sum = count(&problems);
        shown.push(format!("errors {}, warnings {}, notes {}\n", sum.errors, sum.warnings, sum.notes));
        compare(&case.join("expected/check.txt"), &shown.join("\n"), &mut wrong);
        let mut answers: Vec<PathBuf> =
            fs::read_dir(case.join("expected")).expect("expected").map(|e| e.expect("an entry").path()).collect();
        answers.sort();
        for answer in answers {
            let name = answer.file_stem().expect("a name").to_string_lossy().into_owned();
            let Some(wanted) = name.strip_prefix("taste-") else { continue };
            let recipe =
                computed.graph.recipe(wanted).unwrap_or_else(|| panic!("{}: no recipe {wanted}", case.display()));
            let mut value = serde_json::to_value(taste(&computed, recipe)).expect("data");
            rounded(&mut value);
            let text = serde_json::to_string_pretty(&value).expect("text") + "\n";
            compare(&answer, &text, &mut wrong);
        }
    }
    assert!(wrong.is_empty(), "{}\n{} cases differ; UPDATE=1 rewrites them", wrong.join("\n\n"), wrong.len());
}
