//! Print: what is set says what the notebook says, nothing of the house reaches the public edition, and a fault in a house's
//! template is told at its line. The files' own form is the validators' matter (`tests/validators/pdf.py`).
#![cfg(feature = "pdf")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;

fn costrel(root: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_costrel"))
        .args(arguments)
        .args(["--notebook"])
        .arg(root)
        .output()
        .expect("the program runs")
}

fn write(root: &Path, path: &str, bytes: impl AsRef<[u8]>) {
    let to = root.join(path);
    fs::create_dir_all(to.parent().expect("a parent")).expect("a folder");
    fs::write(to, bytes).expect("a file");
}

/// Presses one thing and returns where it stands.
fn press(root: &Path, arguments: &[&str]) -> PathBuf {
    let done = costrel(root, &[&["press"], arguments, &["--json"]].concat());
    assert!(done.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&done.stdout));
    let document: Value = serde_json::from_slice(&done.stdout).expect("a document");
    PathBuf::from(document["made"][0]["path"].as_str().expect("a path"))
}

/// What a tool says of a file; `None` where it is not installed and nobody requires it.
fn tool(name: &str, arguments: &[&str], file: &Path) -> Option<String> {
    let done = Command::new(name).args(arguments).arg(file).args((name == "pdftotext").then_some("-")).output();
    match done {
        Ok(done) => Some(String::from_utf8_lossy(&done.stdout).into_owned()),
        Err(_) if std::env::var("COSTREL_TOOLS").is_ok_and(|t| t == "required") => panic!("{name} is not installed"),
        Err(_) => {
            eprintln!("{name} is not installed: its part of this test is left out");
            None
        }
    }
}

const HOUSE: &str = "\
name: The Test Lock
money: {currency: EUR, labour: 43.21 per h}
equipment: {secret press: 1}
site: {address: \"https://lock.example/\"}
";
const PANTRY: &str = "\
- name: lock gin
  abv: 40
  sugar: 0
  acid: 0
  price: 98.76
  supplier: Leaking Barrels
  source: leaky label
  vegan: true
  allergens: []
";
const SYRUP: &str = "---
name: quiet syrup
makes: prep
mix:
  - 100 g white sugar
  - 100 g secretly lemon juice
keeps: [5 d at 4 °C]
---

1. The hidden method.
";
const DRINK: &str = "---
name: Open Gate
family: shaken
version: 7
mix:
  - 50 ml lock gin
  - pour: 20 ml lemon juice
    note: leaking note
  - 15 ml quiet syrup
process:
  - shake: {for: 12 s, note: leaking process}
makes_measured: 123.4 ml
serve: {glass: coupe, ice: none, garnish: lemon peel}
readings: [{date: 2026-11-02, after: shake, ph: 3.456}]
trials: [{date: 2026-10-12, change: leaking change, verdict: leaking verdict}]
sells_at: 65.43
publish: true
---
Words before.

1. Shake hard and strain.

## Why

Because it stands at {{ abv }}.
";
const LOG: &str = "- {recipe: Open Gate, lot: LEAK-1, made: 2026-11-20, amount: 1 l, note: leaking log}\n";
/// What only the house may see, as it would be read.
const SECRETS: &[&str] = &[
    "98.76",
    "Leaking Barrels",
    "leaky label",
    "leaking",
    "65.43",
    "3.456",
    "123.4",
    "LEAK-1",
    "43.21",
    "secret press",
    "hidden method",
    "Hidden Lock",
    "hidden page",
];

/// Every printed thing.
const ALL: &[&[&str]] =
    &[&["book"], &["cards"], &["sheets", "--batch", "Open Gate=1 l"], &["labels"], &["tests", "--seed", "7"]];

fn notebook() -> tempfile::TempDir {
    let dir = tempfile::tempdir().expect("a scratch folder");
    let root = dir.path();
    write(root, "house.yaml", HOUSE);
    write(root, "pantry/gin.yaml", PANTRY);
    write(root, "recipes/preps/quiet-syrup.md", SYRUP.replace("secretly ", ""));
    write(root, "recipes/drinks/open-gate.md", DRINK);
    write(root, "recipes/drinks/hidden.md", "---\nname: Hidden Lock\nmix:\n  - 50 ml lock gin\n---\n");
    write(root, "pages/glossary.md", "---\ntitle: Glossary\n---\n**Gate.** What opens.\n");
    write(root, "pages/inside.md", "---\ntitle: Inside\npublish: false\n---\nThe hidden page.\n");
    write(root, "log/2026-11.yaml", LOG);
    dir
}

/// All words of a file: its text, its metadata, its bookmarks and its alternative texts.
fn words(file: &Path) -> Option<String> {
    let text = tool("pdftotext", &["-layout"], file)?;
    let info = tool("pdfinfo", &[], file)? + &tool("pdfinfo", &["-meta"], file)?;
    let objects = tool("qpdf", &["--json", "--json-key=outlines", "--json-key=objects"], file)?;
    Some(text + &info + &objects)
}

#[test]
fn nothing_of_the_house_reaches_a_public_file() {
    let dir = notebook();
    for arguments in ALL {
        let what = arguments[0];
        // A prep that is not published has no sheet and no label of its own.
        let arguments: &[&str] = if what == "sheets" { &["sheets", "--batch", "Open Gate=1 l"] } else { arguments };
        let public = press(dir.path(), &[arguments, &["--edition", "public"]].concat());
        assert!(public.ends_with(format!("out/print-public/{what}.pdf")), "{}", public.display());
        let Some(said) = words(&public) else { return };
        assert!(what == "labels" || said.contains("Open Gate"), "{what}");
        let leaked: Vec<&&str> = SECRETS.iter().filter(|s| said.contains(**s)).collect();
        assert!(leaked.is_empty(), "{what} tells {leaked:?}");
    }
    // The same search finds them in the house's own book, so it does search.
    let said = words(&press(dir.path(), &["book"])).expect("the tools that read the public one");
    for secret in ["65.43", "leaking change", "leaking note", "LEAK-1", "Hidden Lock", "hidden method"] {
        assert!(said.contains(secret), "the house edition does not say {secret}");
    }
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let dir = notebook();
    for arguments in ALL {
        let first = fs::read(press(dir.path(), arguments)).expect("a file");
        let second = fs::read(press(dir.path(), arguments)).expect("a file");
        assert!(first == second, "{arguments:?} differs from one run to the next");
    }
}

#[test]
fn the_text_is_in_reading_order() {
    let dir = notebook();
    let Some(text) = tool("pdftotext", &["-raw"], &press(dir.path(), &["book", "--edition", "public"])) else { return };
    let mut rest = text.as_str();
    let order = [
        "The Test Lock",
        "Spec book",
        "Contents",
        "Reading this book",
        "Open Gate",
        "Words before.",
        "50",
        "lock gin",
        "20",
        "lemon juice",
        "15",
        "quiet syrup",
        "Allergens",
        "Method",
        "Shake hard and strain.",
        "Why",
        "Stage by stage",
        "Allergens and diet",
        "Balance map",
        "Safety",
        "Glossary",
        "What opens.",
        "Index",
    ];
    for next in order {
        let at = rest.find(next).unwrap_or_else(|| panic!("`{next}` is not where it should be in:\n{text}"));
        rest = &rest[at + next.len()..];
    }
}

#[test]
fn the_paper_is_what_was_asked_for() {
    let dir = notebook();
    for (arguments, size) in [
        (&["book", "--paper", "a4"][..], "595.276 x 841.89"),
        (&["book", "--paper", "a5"], "419.528 x 595.276"),
        (&["book", "--paper", "letter"], "612 x 792"),
        (&["cards", "--single"], "297.638 x 419.528"),
        (&["cards", "--paper", "letter"], "612 x 792"),
    ] {
        let Some(info) = tool("pdfinfo", &[], &press(dir.path(), arguments)) else { return };
        let line = info.lines().find(|l| l.starts_with("Page size:")).expect("a size");
        assert!(line.contains(size), "{arguments:?}: {line}");
    }
}

#[test]
fn a_houses_template_stands_in_front_and_its_faults_are_told_at_their_line() {
    let dir = notebook();
    write(
        dir.path(),
        "templates/print/cards.typ",
        "#import \"/parts.typ\": *\n#show: base\n= Ours: #data.cards.recipes.len()\n",
    );
    if let Some(text) = tool("pdftotext", &[], &press(dir.path(), &["cards"])) {
        assert!(text.contains("Ours: 3"), "{text}");
    }
    write(dir.path(), "templates/print/cards.typ", "#import \"/parts.typ\": *\n#show: base\n#data.cards.nobody\n");
    let done = costrel(dir.path(), &["press", "cards", "--json"]);
    assert_eq!(done.status.code(), Some(1));
    let document: Value = serde_json::from_slice(&done.stdout).expect("a document");
    let problem = &document["problems"][0];
    assert_eq!(problem["code"], "template-error");
    assert_eq!((problem["line"].as_u64(), problem["column"].as_u64()), (Some(3), Some(13)), "{problem}");
    assert_eq!(problem["file"], "templates/print/cards.typ");
    // No template reaches the disk, the network or a package.
    for source in ["#read(\"/etc/hostname\")", "#read(\"../../house.yaml\")", "#import \"@preview/a:1.0.0\": *"] {
        write(dir.path(), "templates/print/cards.typ", source);
        assert_eq!(costrel(dir.path(), &["press", "cards"]).status.code(), Some(1), "{source}");
    }
    write(dir.path(), "templates/print/cards.typ", [0xff, 0xfe]);
    assert_eq!(costrel(dir.path(), &["press", "cards"]).status.code(), Some(1));
    assert!(fs::read(dir.path().join("out/print/cards.pdf")).is_ok(), "the last good file stays");
}

#[test]
fn a_font_that_is_none_is_named() {
    let dir = notebook();
    write(dir.path(), "templates/print/fonts/odd.ttf", "no font");
    let done = costrel(dir.path(), &["press", "book"]);
    assert_eq!(done.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&done.stderr).contains("fonts/odd.ttf"));
}

#[test]
fn a_file_that_is_not_ours_is_never_replaced() {
    let dir = notebook();
    write(dir.path(), "mine.pdf", "%PDF-1.7 mine");
    let mine = dir.path().join("mine.pdf");
    let done = costrel(dir.path(), &["press", "cards", "--to", &mine.to_string_lossy()]);
    assert_eq!(done.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&done.stderr).contains("not written by Costrel"));
    assert_eq!(fs::read(&mine).expect("the file"), b"%PDF-1.7 mine");
    let done = costrel(dir.path(), &["press", "cards", "--to", &dir.path().to_string_lossy()]);
    assert_eq!(done.status.code(), Some(1));
}

#[test]
fn unknown_chapters_and_recipes_are_errors_that_name_the_known() {
    let dir = notebook();
    let done = costrel(dir.path(), &["press", "book", "--chapter", "drinkks"]);
    assert_eq!(done.status.code(), Some(1));
    let said = String::from_utf8_lossy(&done.stderr).into_owned();
    // An argument stands in no file: it is told as it was typed, with the nearest name.
    assert_eq!(said, "costrel: `--chapter drinkks`: no chapter is called that\n  did you mean `Drinks`?\n");
    let done = costrel(dir.path(), &["press", "book", "--chapter", "zzz", "--recipe", "Open Gat", "--json"]);
    let document: Value = serde_json::from_slice(&done.stdout).expect("a document");
    let told = |n: usize, key: &str| document["problems"][n][key].clone();
    assert_eq!((told(0, "code"), told(0, "help")), ("no-such-chapter".into(), "choose from: Drinks, Preps".into()));
    assert_eq!((told(1, "code"), told(1, "help")), ("no-such-recipe".into(), "did you mean `Open Gate`?".into()));
    assert_eq!((told(0, "file"), told(1, "line")), (Value::Null, Value::Null));
    // A recipe that is not published is not for the public edition.
    let done = costrel(dir.path(), &["press", "cards", "--recipe", "Hidden Lock", "--edition", "public"]);
    assert_eq!(done.status.code(), Some(1));
    let said = String::from_utf8_lossy(&done.stderr).into_owned();
    assert!(said.contains("`--recipe Hidden Lock`: Hidden Lock is not published"), "{said}");
    let done = costrel(dir.path(), &["press", "site", "--paper", "a5"]);
    assert_eq!(done.status.code(), Some(2));
}

#[test]
fn what_no_font_draws_is_written_in_latin_and_a_warning_says_so() {
    let dir = notebook();
    write(dir.path(), "recipes/drinks/plum.md", "---\nname: 梅 gate\nmix:\n  - 50 ml lock gin\n---\n");
    let done = costrel(dir.path(), &["press", "cards", "--recipe", "梅 gate", "--json"]);
    assert!(done.status.success());
    let document: Value = serde_json::from_slice(&done.stdout).expect("a document");
    let codes: Vec<&str> =
        document["problems"].as_array().expect("a list").iter().filter_map(|p| p["code"].as_str()).collect();
    assert!(codes.contains(&"font-lacks"), "{codes:?}");
    if let Some(text) = tool("pdftotext", &[], &dir.path().join("out/print/cards.pdf")) {
        assert!(text.contains("Mei"), "{text}");
    }
}

/// The words of what was looked at by eye, kept; `UPDATE=1` writes them anew, and the difference is read.
#[test]
fn the_words_are_those_that_were_looked_at() {
    let dir = notebook();
    for what in ["cards", "labels", "tests"] {
        let edition = if what == "labels" { "house" } else { "public" };
        let Some(text) = tool("pdftotext", &["-raw"], &press(dir.path(), &[what, "--edition", edition])) else {
            return;
        };
        // The print mark changes with every word of the data, shown or not.
        let mut words: Vec<&str> = text.split_whitespace().collect();
        let marks: Vec<&str> = words.windows(2).filter(|w| w[0] == "mark").map(|w| w[1]).collect();
        words.retain(|w| !marks.contains(w));
        let text = words.chunks(12).map(|line| line.join(" ") + "\n").collect::<String>();
        let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/print/expected/{what}.txt"));
        if std::env::var("UPDATE").is_ok_and(|u| u == "1") {
            fs::create_dir_all(kept.parent().expect("a folder")).expect("a folder");
            fs::write(&kept, &text).expect("a file");
        }
        assert_eq!(fs::read_to_string(&kept).unwrap_or_default(), text, "{what}: read the difference, then UPDATE=1");
    }
}

/// Where dark lines cross a row or a column of a picture, in pixels: the middle of each run of dark pixels.
fn lines(dark: impl Iterator<Item = bool>) -> Vec<f64> {
    let mut found = Vec::new();
    let mut start = None;
    for (i, is_dark) in dark.chain([false]).enumerate() {
        match (start, is_dark) {
            (None, true) => start = Some(i),
            (Some(from), false) => {
                found.push((from + i) as f64 / 2.0);
                start = None;
            }
            _ => {}
        }
    }
    found
}

/// The outlines of the labels lie where the sheet's measures say, to 0.2 mm. Measures: 70 × 37 mm, 3 × 8 to an A4 (common
/// practice; the rest by arithmetic); 63.5 × 38.1 mm (PrintReadyKit, Address labels (A4, 21 per sheet)); 2.625 × 1 in
/// (CalculatorHub, Label Size Calculator; margins by arithmetic); 4 × 2 in (common practice).
#[test]
fn labels_lie_where_the_sheet_has_them() {
    let dir = notebook();
    let inch = 25.4;
    // Sheet, first edge and pitch across, width, columns, first edge and pitch down, height, rows; mm.
    let sheets = [
        ("3x8", 0.0, 70.0, 70.0, 3, 0.5, 37.0, 37.0, 8),
        ("3x7", 7.2, 66.0, 63.5, 3, 15.15, 38.1, 38.1, 7),
        ("3x10", 0.1875 * inch, 2.75 * inch, 2.625 * inch, 3, 0.5 * inch, inch, inch, 10),
        ("2x5", 0.15625 * inch, 4.1875 * inch, 4.0 * inch, 2, 0.5 * inch, 2.0 * inch, 2.0 * inch, 5),
    ];
    const DPI: f64 = 400.0;
    for (sheet, left, across, width, columns, top, down, height, rows) in sheets {
        let pdf = press(dir.path(), &["labels", "--sheet", sheet, "--grid"]);
        let picture = dir.path().join(sheet);
        let dpi = DPI.to_string();
        let done = Command::new("pdftoppm")
            .args(["-gray", "-png", "-singlefile", "-r", &dpi])
            .arg(&pdf)
            .arg(&picture)
            .status();
        if done.is_err() {
            assert!(std::env::var("COSTREL_TOOLS").is_err(), "pdftoppm is not installed");
            return;
        }
        let picture = image::open(picture.with_extension("png")).expect("a picture").to_luma8();
        let to_mm = |px: f64| px / DPI * inch;
        let is_dark = |x: u32, y: u32| picture.get_pixel(x, y).0[0] < 200;
        // A row of pixels a quarter down the second row of labels, which meets no number; and a column likewise.
        let y = ((top + down + height * 0.25) / inch * DPI) as u32;
        let x = ((left + width * 0.25) / inch * DPI) as u32;
        let seen = |found: Vec<f64>, what: &str, first: f64, pitch: f64, size: f64, count: usize, most: f64| {
            let found: Vec<f64> = found.into_iter().map(to_mm).collect();
            for i in 0..count {
                for edge in [first + pitch * i as f64, first + pitch * i as f64 + size] {
                    // A line on the very edge of the sheet is half outside.
                    let at_edge = edge < 0.3 || edge > most - 0.3;
                    let near = found.iter().any(|f| (f - edge).abs() <= 0.2);
                    assert!(near || at_edge, "{sheet}: no {what} at {edge} mm, but at {found:?}");
                }
            }
        };
        let (w, h) = picture.dimensions();
        seen(lines((0..w).map(|x| is_dark(x, y))), "upright line", left, across, width, columns, to_mm(f64::from(w)));
        seen(lines((0..h).map(|y| is_dark(x, y))), "level line", top, down, height, rows, to_mm(f64::from(h)));
    }
}

#[test]
fn a_labels_code_leads_to_the_recipes_page() {
    let dir = notebook();
    let published = SYRUP.replace("secretly ", "").replace("makes: prep\n", "makes: prep\npublish: true\n");
    write(dir.path(), "recipes/preps/quiet-syrup.md", published);
    let pdf = press(
        dir.path(),
        &["labels", "--batch", "quiet syrup=2 l", "--made", "2026-11-26", "--lot", "QS-7", "--from", "5"],
    );
    if let Some(text) = tool("pdftotext", &["-raw"], &pdf) {
        for said in
            ["quiet syrup", "2026-11-26", "2026-12-01", "2 l", "QS-7", "0.0 % vol", "https://lock.example/recipes/"]
        {
            // Places to part an address are silent, and a line's end is one.
            let whole = text.replace('\u{a0}', " ").replace(['\u{200b}', '\n'], "");
            assert!(whole.contains(said), "no `{said}` in:\n{text}");
        }
    }
    let picture = dir.path().join("label");
    let done =
        Command::new("pdftoppm").args(["-gray", "-png", "-singlefile", "-r", "300"]).arg(&pdf).arg(&picture).status();
    let read = Command::new("zbarimg").args(["-q", "--raw"]).arg(picture.with_extension("png")).output();
    match (done, read) {
        (Ok(_), Ok(read)) => assert_eq!(
            String::from_utf8_lossy(&read.stdout).trim(),
            "https://lock.example/recipes/quiet-syrup.html",
            "the code is not read"
        ),
        _ => assert!(std::env::var("COSTREL_TOOLS").is_err(), "pdftoppm or zbarimg is not installed"),
    }
    // The code of what is not published would lead nowhere.
    let done = costrel(dir.path(), &["press", "labels", "--batch", "Hidden Lock", "--edition", "public"]);
    assert_eq!(done.status.code(), Some(1));
}

#[test]
fn labels_refuse_what_they_cannot_print() {
    let dir = notebook();
    for (arguments, code, status) in [
        (&["--batch", "nobody=1 l"][..], "no-such-recipe", 1),
        (&["--batch", "quiet syrup=1 pound"], "bad-amount", 2),
        (&["--batch", "quiet syrup=0 l"], "bad-amount", 2),
        (&["--made", "yesterday"], "bad-date", 2),
        (&["--from", "25"], "bad-number", 2),
    ] {
        let done = costrel(dir.path(), &[&["press", "labels", "--json"], arguments].concat());
        assert_eq!(done.status.code(), Some(status), "{arguments:?}");
        let document: Value = serde_json::from_slice(&done.stdout).expect("a document");
        assert_eq!(document["problems"][0]["code"], code, "{arguments:?}");
    }
    // An address too long for a code of this size is left out, and a warning says so.
    let long = format!("name: The Test Lock\nsite: {{address: \"https://lock.example/{}/\"}}\n", "long/".repeat(40));
    write(dir.path(), "house.yaml", long);
    let published = SYRUP.replace("secretly ", "").replace("makes: prep\n", "makes: prep\npublish: true\n");
    write(dir.path(), "recipes/preps/quiet-syrup.md", published);
    let done = costrel(dir.path(), &["press", "labels", "--sheet", "3x10", "--json"]);
    let document: Value = serde_json::from_slice(&done.stdout).expect("a document");
    let codes: Vec<&str> =
        document["problems"].as_array().expect("a list").iter().filter_map(|p| p["code"].as_str()).collect();
    assert!(codes.contains(&"code-too-large"), "{codes:?}");
}

#[test]
fn a_batch_sheet_has_its_parts_first_and_the_batchs_own_amounts() {
    let dir = notebook();
    let batch = costrel(dir.path(), &["batch", "Open Gate", "--makes", "1.3 l", "--json"]);
    let batch: Value = serde_json::from_slice(&batch.stdout).expect("a document");
    let pdf = press(dir.path(), &["sheets", "--batch", "Open Gate=1.3 l", "--made", "2026-11-26"]);
    let Some(text) = tool("pdftotext", &["-raw"], &pdf) else { return };
    let text = text.replace('\u{a0}', " ");
    let part = text.find("First: quiet syrup").expect("the part");
    let whole = text[part..].find("\nOpen Gate\n").expect("the drink itself, after its part") + part;
    // The same amounts as `costrel batch` gives.
    for pour in batch["pours"].as_array().expect("pours") {
        let measure = pour["measure"]["amount"].to_string();
        let measure = measure.trim_end_matches(".0");
        let name = pour["name"].as_str().expect("a name");
        let line = text[whole..].lines().find(|l| l.contains(name)).unwrap_or_else(|| panic!("no {name} in:\n{text}"));
        assert!(text[whole..].contains(measure), "{name}: no {measure} near `{line}`");
    }
    for said in ["Work", "Readings", "Corrections", "Made by", "2026-11-26"] {
        assert!(text[whole..].contains(said), "no `{said}`");
    }
}

#[test]
fn a_test_hides_what_its_answers_tell_and_a_seed_repeats_it() {
    let dir = notebook();
    let pdf = press(dir.path(), &["tests", "--seed", "7"]);
    let Some(text) = tool("pdftotext", &["-raw"], &pdf) else { return };
    let (paper, answers) = text.split_once("Drinks: answers").expect("answers on pages of their own");
    assert!(paper.contains("Open Gate") && answers.contains("Open Gate"));
    for hidden in ["lock gin", "lemon peel", "coupe", "50 ml"] {
        assert!(!paper.contains(hidden), "the paper tells `{hidden}`:\n{paper}");
    }
    assert!(answers.contains("lock gin") && answers.contains("lemon peel"));
    let other = fs::read(press(dir.path(), &["tests", "--seed", "8"])).expect("a file");
    assert!(fs::read(press(dir.path(), &["tests", "--seed", "7"])).expect("a file") != other);
}
