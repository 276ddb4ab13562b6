//! Cases: each folder `tests/cases/<topic>/<what-it-shows>/` holds a small notebook and what is expected of it.
//!
//! `notebook/` is the input and reads like documentation. `expected/` holds what must come out:
//!
//! - `check.txt`: what a writer is shown. Every case has one. Lines of a notebook that are right stand beside those that are
//!   wrong, so that a near miss is shown by not being in the list.
//! - `taste-<address>.json`: numbers of a recipe. Only what stands in the file is compared, so a case may state what it is about
//!   and nothing else; a list of stages or of unknown figures is compared by their names. A number may differ by 1e-8 of
//!   itself. `{"is": 40, "within": 0.01, "because": "…"}` is a figure that a person worked out, with its tolerance and where it
//!   comes from.
//! - `pours-<address>.txt`: each pour as written, what it was read as (exact), and what it came to.
//!
//! `UPDATE=1 cargo test --test cases` rewrites `expected/`, but for figures with a `because`; an empty file is a new one and takes
//! the whole answer. Read the difference before you commit it.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use costrel::ask::taste::taste;
use costrel::measure::Dimension;
use costrel::problem::{count, terminal};
use costrel::recipe::graph::{Measure, Pour};
use costrel::recipe::run::Computed;
use serde_json::{Map, Value};

fn cases() -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases");
    let mut found: Vec<PathBuf> = walkdir::WalkDir::new(root)
        .min_depth(2)
        .max_depth(2)
        .into_iter()
        .map(|e| e.expect("a readable folder").into_path())
        .filter(|p| p.is_dir())
        .collect();
    found.sort();
    found
}

/// Text without the codes that colour it.
fn plain(text: &str) -> String {
    anstream::adapter::strip_str(text).to_string()
}

fn updating() -> bool {
    std::env::var_os("UPDATE").is_some_and(|v| v == "1")
}

#[test]
fn every_case_is_as_expected() {
    let cases = cases();
    assert!(updating() || cases.len() >= 100, "only {} cases were found", cases.len());
    let mut wrong = Vec::new();
    for case in cases {
        let notebook = case.join("notebook");
        assert!(notebook.is_dir(), "{} has no notebook", case.display());
        let (computed, problems) = costrel::compile(&notebook);
        let sources = &computed.graph.notes.sources;
        let mut shown: Vec<String> = problems.iter().map(|p| plain(&terminal::render(p, sources, ""))).collect();
        let sum = count(&problems);
        shown.push(format!("errors {}, warnings {}, notes {}\n", sum.errors, sum.warnings, sum.notes));
        let expected = case.join("expected");
        file(&expected.join("check.txt"), &mut wrong, |was| text(was, shown.join("\n")));
        let mut answers: Vec<PathBuf> =
            fs::read_dir(&expected).expect("expected").map(|e| e.expect("an entry").path()).collect();
        answers.sort();
        for answer in answers {
            let name = answer.file_name().expect("a name").to_string_lossy().into_owned();
            let recipe = |wanted: &str| {
                computed.graph.recipe(wanted).unwrap_or_else(|| panic!("{}: no recipe {wanted}", case.display()))
            };
            if let Some(wanted) = between(&name, "taste-", ".json") {
                let value = serde_json::to_value(taste(&computed, recipe(wanted))).expect("data");
                file(&answer, &mut wrong, |was| json(was, &value));
            } else if let Some(wanted) = between(&name, "pours-", ".txt") {
                file(&answer, &mut wrong, |was| text(was, pours(&computed, recipe(wanted))));
            } else {
                assert_eq!(name, "check.txt", "{}: nothing here makes a file of this name", answer.display());
            }
        }
    }
    assert!(wrong.is_empty(), "{}\n{} differences; UPDATE=1 takes them over", wrong.join("\n"), wrong.len());
}

fn between<'n>(name: &'n str, before: &str, after: &str) -> Option<&'n str> {
    name.strip_prefix(before)?.strip_suffix(after)
}

/// Compares a file with what it should hold, or writes it.
fn file(path: &Path, wrong: &mut Vec<String>, compare: impl FnOnce(&str) -> (String, Vec<String>)) {
    let was = fs::read_to_string(path).unwrap_or_default().replace("\r\n", "\n");
    let (now, differences) = compare(&was);
    if updating() && now != was {
        fs::create_dir_all(path.parent().expect("a parent")).expect("a folder");
        fs::write(path, &now).expect("a writable case");
    }
    // A figure with a `because` is never taken over, so it is reported even while updating.
    let kept = differences.iter().filter(|d| !updating() || d.contains("(because "));
    let shown = path.strip_prefix(env!("CARGO_MANIFEST_DIR")).unwrap_or(path).display();
    wrong.extend(kept.map(|d| format!("{shown}\n{d}")));
}

/// Each pour as written, as read, and as it came to.
fn pours(computed: &Computed, recipe: usize) -> String {
    let (node, made) = (&computed.graph.nodes[recipe], &computed.made[recipe]);
    let mut out = String::new();
    let both = node.mix.iter().zip(&made.pours).chain(node.finish.iter().zip(&made.finish));
    for (pour, poured) in both {
        let Some(pour) = pour else {
            out.push_str("(a pour that means nothing)\n");
            continue;
        };
        let _ = write!(out, "{}\n    {} {}", pour.line.text.value, read_as(pour), pour.name);
        if let Some(preparation) = &pour.preparation {
            let _ = write!(out, " ({preparation})");
        }
        match poured {
            Some(p) => {
                let grams = p.grams.map_or("a mass that is not known".into(), |g| format!("{g:.4} g"));
                let _ = writeln!(out, ": {:.4} ml, {grams}", p.ml);
            }
            None => out.push_str(": not known\n"),
        }
        if let Some(assumed) = &pour.assumed {
            let _ = writeln!(out, "    assumed: {assumed}");
        }
    }
    out
}

fn read_as(pour: &Pour) -> String {
    match &pour.measure {
        Measure::Volume(ml) => format!("{} ml", ml.normalize()),
        Measure::Mass(g) => format!("{} g", g.normalize()),
        Measure::Pieces { count, dimension, each, word } => {
            let unit = if *dimension == Dimension::Volume { "ml" } else { "g" };
            let word = word.as_ref().map_or(String::new(), |w| format!(" {w}"));
            format!("{} x {} {unit}{word}", count.normalize(), each.normalize())
        }
        Measure::PartOf { part, pieces, .. } => format!("{part} of {}", pieces.normalize()),
        Measure::Share(percent) => format!("{} % of the liquid", percent.normalize()),
        Measure::Parts(parts) => format!("{} parts", parts.normalize()),
        Measure::UpTo(ml) => format!("up to {} ml", ml.normalize()),
    }
}

fn text(was: &str, now: String) -> (String, Vec<String>) {
    if was == now {
        return (now, Vec::new());
    }
    let mut difference = String::new();
    for (index, line) in now.lines().enumerate() {
        if was.lines().nth(index) != Some(line) {
            let _ = writeln!(
                difference,
                "  line {}\n    expected: {}\n    now:      {line}",
                index + 1,
                was.lines().nth(index).unwrap_or("(nothing)")
            );
            break;
        }
    }
    if difference.is_empty() {
        let _ = writeln!(difference, "  {} lines were expected, and {} came", was.lines().count(), now.lines().count());
    }
    (now, vec![difference])
}

fn json(was: &str, now: &Value) -> (String, Vec<String>) {
    // An empty file is a new one: it takes the whole document, of which its writer then keeps what the case is about.
    let was: Value = if was.trim().is_empty() { now.clone() } else { serde_json::from_str(was).expect("JSON") };
    let mut differences = Vec::new();
    compare(&was, now, "", &mut differences);
    let mut text = serde_json::to_string_pretty(&updated(&was, now)).expect("text");
    text.push('\n');
    (text, differences)
}

/// A figure with its tolerance and its source.
fn worked_out(value: &Value) -> Option<(&Value, f64, &str)> {
    let map = value.as_object()?;
    let (within, because) = (map.get("within")?.as_f64()?, map.get("because")?.as_str()?);
    assert!(!because.is_empty() && within >= 0.0, "a figure needs its reason and a tolerance: {value}");
    Some((map.get("is")?, within, because))
}

fn compare(was: &Value, now: &Value, at: &str, differences: &mut Vec<String>) {
    if let Some((is, within, because)) = worked_out(was) {
        let close = match (is.as_f64(), now.as_f64()) {
            (Some(a), Some(b)) => (a - b).abs() <= within,
            _ => is == now,
        };
        if !close {
            differences.push(format!("  {at}\n    expected: {is} ± {within} (because {because})\n    now:      {now}"));
        }
        return;
    }
    match (was, now) {
        (Value::Object(a), Value::Object(b)) => {
            for (key, value) in a {
                compare(value, b.get(key).unwrap_or(&Value::Null), &format!("{at}.{key}"), differences);
            }
        }
        (Value::Array(a), Value::Array(b)) if identity(was).is_some() => {
            for value in a {
                let other = partner(value, b);
                compare(value, other.unwrap_or(&Value::Null), &format!("{at}[{}]", label(value)), differences);
            }
        }
        (Value::Array(a), Value::Array(b)) if a.len() == b.len() => {
            for (index, (value, other)) in a.iter().zip(b).enumerate() {
                compare(value, other, &format!("{at}[{index}]"), differences);
            }
        }
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().expect("a float"), b.as_f64().expect("a float"));
            if (a - b).abs() > 1e-8 * a.abs().max(b.abs()).max(1e-3) {
                differences.push(format!("  {at}\n    expected: {a}\n    now:      {b}"));
            }
        }
        _ if was == now => {}
        _ => differences.push(format!("  {at}\n    expected: {was}\n    now:      {now}")),
    }
}

/// Keys that tell the elements of a list apart; such a list is compared by them, and what it holds besides is not looked at.
const IDENTITIES: &[&str] = &["stage", "figure", "code"];

fn identity(list: &Value) -> Option<()> {
    let list = list.as_array().filter(|l| !l.is_empty())?;
    list.iter().all(|v| IDENTITIES.iter().any(|k| v.get(k).is_some())).then_some(())
}

fn partner<'v>(value: &Value, among: &'v [Value]) -> Option<&'v Value> {
    let keys: Vec<&&str> = IDENTITIES.iter().filter(|k| value.get(**k).is_some()).collect();
    among.iter().find(|other| keys.iter().all(|k| value.get(**k) == other.get(**k)))
}

fn label(value: &Value) -> String {
    IDENTITIES.iter().filter_map(|k| value.get(k)?.as_str()).collect::<Vec<_>>().join(" ")
}

/// What the file should hold now: the same keys with the values of today.
fn updated(was: &Value, now: &Value) -> Value {
    if worked_out(was).is_some() {
        return was.clone();
    }
    match (was, now) {
        (Value::Object(a), Value::Object(b)) => {
            let keep = |(key, value): (&String, &Value)| {
                (key.clone(), b.get(key).map_or(Value::Null, |other| updated(value, other)))
            };
            Value::Object(a.iter().map(keep).collect::<Map<_, _>>())
        }
        (Value::Array(a), Value::Array(b)) if identity(was).is_some() => {
            Value::Array(a.iter().map(|v| partner(v, b).map_or_else(|| v.clone(), |other| updated(v, other))).collect())
        }
        (Value::Array(a), Value::Array(b)) if a.len() == b.len() => {
            Value::Array(a.iter().zip(b).map(|(v, other)| updated(v, other)).collect())
        }
        (_, Value::Number(n)) if n.is_f64() => {
            // Nine digits, so that a last bit never changes a file.
            format!("{:.8e}", n.as_f64().expect("a float")).parse::<f64>().map_or(Value::Null, Value::from)
        }
        (_, other) => other.clone(),
    }
}
