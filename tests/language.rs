//! Languages: what is pressed says nothing of its own but what stands in the file of the house's language. The test brings a
//! language in which no word has a Latin letter; whatever Latin word is left was written by the notebook, by the tables of hazards,
//! or by a pass before the press, which speak English, or else it was forgotten.
#![cfg(feature = "pdf")]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use costrel::ask::safety::Survey;
use costrel::ask::taste::taste;
use costrel::notebook::yaml::{self, Node};
use costrel::source::FileId;

/// A text in letters that are not Latin; what stands between braces stays.
fn in_greek(text: &str) -> String {
    let mut inside = false;
    text.chars()
        .map(|c| {
            inside = (inside || c == '{') && c != '}';
            match c {
                _ if inside => c,
                'a'..='q' => char::from_u32(c as u32 - u32::from('a') + u32::from('α')).unwrap_or(c),
                'r'..='x' => char::from_u32(c as u32 - u32::from('r') + u32::from('σ')).unwrap_or(c),
                'y' | 'z' => 'λ',
                'A'..='Q' => char::from_u32(c as u32 - u32::from('A') + u32::from('Α')).unwrap_or(c),
                'R'..='X' => char::from_u32(c as u32 - u32::from('R') + u32::from('Σ')).unwrap_or(c),
                'Y' | 'Z' => 'Λ',
                c => c,
            }
        })
        .collect()
}

/// The words of a folder in the language of the test.
fn strings(folder: &str, direction: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("templates/{folder}/strings/en.yaml"));
    let text = fs::read_to_string(path).expect("the English words");
    let Some(Node::Map(sections, _)) = yaml::read(&text, FileId(0), 0, &mut Vec::new()) else {
        panic!("no sections in {folder}")
    };
    let mut out = String::new();
    for (section, texts) in sections {
        let Node::Map(texts, _) = texts else { panic!("no texts in {}", section.value) };
        out.push_str(&format!("{}:\n", section.value));
        for (key, text) in texts {
            let Node::Text(text) = text else { panic!("no text in {}", key.value) };
            // How times are written in a method is read, not said.
            let said = match section.value.as_str() {
                "time" => text.value,
                "language" => direction.to_owned(),
                _ => in_greek(&text.value),
            };
            out.push_str(&format!("  {}: {}\n", key.value, serde_json::Value::from(said)));
        }
    }
    out
}

fn write(root: &Path, path: &str, text: impl AsRef<[u8]>) {
    let to = root.join(path);
    fs::create_dir_all(to.parent().expect("a parent")).expect("a folder");
    fs::write(to, text).expect("a file");
}

/// A notebook whose every kind of figure, table and caution is printed, in the language of the test.
fn notebook(tag: &str, direction: &str) -> tempfile::TempDir {
    let dir = tempfile::tempdir().expect("a scratch folder");
    let root = dir.path();
    write(root, "house.yaml", format!("name: Lock\nlanguages: [{tag}]\n"));
    for folder in ["site", "print", "notes"] {
        write(root, &format!("templates/{folder}/strings/{tag}.yaml"), strings(folder, direction));
    }
    write(root, "pantry/gin.yaml", "- {name: gin, abv: 40, sugar: 0, acid: 0, allergens: [], vegan: true}\n");
    write(
        root,
        "recipes/preps/syrup.md",
        "---\nname: honey syrup\nmakes: prep\nmix: [300 g honey, 100 g water, 2 g table salt]\nprocess: [heat: {to: 70 °C, for: 5 min}]\nkeeps: [14 d at 4 °C]\npublish: true\n---\n1. Stir.\n",
    );
    write(
        root,
        "recipes/drinks/gate.md",
        "---\nname: Gate\nfamily: shaken\nversion: 2\nmix:\n  - 50 ml gin\n  - 22.5 ml lemon juice\n  - pour: 15 ml honey syrup\n    or: [15 ml agave syrup]\n  - 2 dashes orange bitters\n  - 1 egg white\nprocess:\n  - shake: {for: 12 s}\n  - strain\nserve: {glass: coupe, ice: none, garnish: lemon peel, finish: [30 ml soda water]}\nreadings: [{date: 2026-11-02, after: shake, ph: 3.4}]\nsells_at: 9\nfilm: {length: \"3:00\", chapters: [\"0:00 One\", \"0:40 Two\", \"2:00 Three\"]}\npublish: true\n---\nLead.\n\n1. Shake.\n",
    );
    write(
        root,
        "recipes/drinks/lock.md",
        "---\nname: Canal\nfamily: stirred\nmix: [60 ml gin, 20 ml mystery]\npublish: true\n---\n1. Stir.\n",
    );
    write(root, "pantry/mystery.yaml", "- {name: mystery}\n");
    dir
}

fn press(root: &Path, arguments: &[&str]) -> PathBuf {
    let to = root.join("out.pdf");
    let done = Command::new(env!("CARGO_BIN_EXE_costrel"))
        .arg("press")
        .args(arguments)
        .arg("--to")
        .arg(&to)
        .arg("--notebook")
        .arg(root)
        .output()
        .expect("the program runs");
    assert!(done.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&done.stderr));
    to
}

const ALL: &[&[&str]] = &[
    &["book"],
    &["book", "--paper", "a5", "--edition", "public"],
    &["cards"],
    &["sheets", "--batch", "Gate=7 l"],
    &["labels"],
    &["tests"],
];

/// Text of a PDF; `None` where the tool is not installed and nobody requires it.
fn text(file: &Path) -> Option<String> {
    match Command::new("pdftotext").args(["-layout"]).arg(file).arg("-").output() {
        Ok(done) => Some(String::from_utf8_lossy(&done.stdout).into_owned()),
        Err(_) if std::env::var("COSTREL_TOOLS").is_ok_and(|t| t == "required") => panic!("pdftotext is not installed"),
        Err(_) => None,
    }
}

/// Words of Latin letters, three and more.
fn latin(text: &str) -> BTreeSet<String> {
    // A word parted at the end of a line is two pieces of none.
    let whole = text.replace("\u{ad}\n", "").replace('\u{ad}', "");
    // Signs with digits among them, as the print mark, are no words.
    let words = whole.split(|c: char| !c.is_alphanumeric()).filter(|w| w.chars().count() > 2);
    words.filter(|w| w.bytes().all(|b| b.is_ascii_alphabetic())).map(str::to_lowercase).collect()
}

/// Units and signs that are the same in every language.
const SIGNS: &[&str] = &["vol", "kcal", "https", "html"];

/// What others than the press say: the notebook with its paths, and of its recipes the hazards, critical points and keeping, the
/// remarks, reasons and sources, which come from the passes before and are English.
fn others(root: &Path) -> BTreeSet<String> {
    let mut said = SIGNS.join(" ");
    for folder in ["recipes", "pantry"] {
        for file in walkdir::WalkDir::new(root.join(folder)).into_iter().flatten().filter(|e| e.file_type().is_file()) {
            let path = file.path().strip_prefix(root).expect("below").display().to_string();
            said.push_str(&format!(" {path} {} ", fs::read_to_string(file.path()).expect("a file")));
        }
    }
    let (computed, _) = costrel::compile(root);
    let survey = Survey::of(&computed);
    for recipe in 0..computed.made.len() {
        let told = serde_json::to_value(taste(&computed, recipe)).expect("an answer");
        values(&told, &mut said);
        for stage in &computed.made[recipe].stages {
            if let Err(because) = stage.mixture.figure_sugar_to_acid() {
                said.push_str(&because.text());
            }
        }
        for point in survey.points(recipe) {
            said.push_str(&format!("{point:?} "));
        }
        for hold in survey.keeping(recipe).holds {
            said.push_str(&format!("{} {} ", hold.because, hold.source.unwrap_or_default()));
        }
    }
    latin(&said)
}

/// The texts of a document, without its keys.
fn values(value: &serde_json::Value, out: &mut String) {
    match value {
        serde_json::Value::String(text) => {
            out.push_str(text);
            out.push(' ');
        }
        serde_json::Value::Array(list) => list.iter().for_each(|v| values(v, out)),
        serde_json::Value::Object(map) => map.values().for_each(|v| values(v, out)),
        _ => {}
    }
}

/// The texts of a node of structured data, without its kinds.
fn words_of(node: &serde_json::Value, out: &mut String) {
    match node {
        serde_json::Value::Object(map) => {
            map.iter()
                .filter(|(key, _)| !key.starts_with('@') && *key != "inLanguage")
                .for_each(|(_, v)| words_of(v, out));
        }
        serde_json::Value::Array(list) => list.iter().for_each(|v| words_of(v, out)),
        other => values(other, out),
    }
}

#[test]
fn print_says_nothing_of_its_own_in_another_language() {
    let dir = notebook("qaa", "ltr");
    let others = others(dir.path());
    for arguments in ALL {
        let Some(text) = text(&press(dir.path(), arguments)) else { return };
        let left: Vec<String> = latin(&text).into_iter().filter(|w| !others.contains(w)).collect();
        assert!(left.is_empty(), "{arguments:?} says {left:?}\n{text}");
        assert!(text.chars().filter(|c| ('Α'..='ω').contains(c)).count() > 20, "{arguments:?} says too little");
    }
}

#[test]
fn notes_say_nothing_of_their_own_in_another_language() {
    let dir = notebook("qaa", "ltr");
    let to = dir.path().join("notes");
    let done = Command::new(env!("CARGO_BIN_EXE_costrel"))
        .args(["press", "notes", "--to"])
        .arg(&to)
        .arg("--notebook")
        .arg(dir.path())
        .output()
        .expect("the program runs");
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    let mut others = others(dir.path());
    // Marks of the formats themselves, in which nothing is said.
    others.extend(["webvtt", "note", "strong", "small"].map(str::to_owned));
    for recipe in ["gate", "honey-syrup", "canal"] {
        for name in ["description.txt", "newsletter.html", "shots.txt", "swaps.txt", "captions.vtt"] {
            let Ok(text) = fs::read_to_string(to.join(recipe).join(name)) else { continue };
            let left: Vec<String> = latin(&text).into_iter().filter(|w| !others.contains(w)).collect();
            assert!(left.is_empty(), "{recipe}/{name} says {left:?}\n{text}");
        }
    }
    // Machines are told the same words; its own marks and addresses are the format's.
    others.extend(["recipes", "card", "cards", "square", "png", "schema", "org"].map(str::to_owned));
    for recipe in ["gate", "honey-syrup", "canal"] {
        for name in ["recipe.jsonld", "alt.txt"] {
            let text =
                fs::read_to_string(to.join(recipe).join(name)).unwrap_or_else(|e| panic!("{recipe}/{name}: {e}"));
            let mut said = String::new();
            match serde_json::from_str(&text) {
                Ok(node) => words_of(&node, &mut said),
                Err(_) => said = text,
            }
            let left: Vec<String> = latin(&said).into_iter().filter(|w| !others.contains(w)).collect();
            assert!(left.is_empty(), "{recipe}/{name} says {left:?}\n{said}");
        }
    }
    let description = fs::read_to_string(to.join("gate/description.txt")).expect("a description");
    assert!(description.chars().filter(|c| ('Α'..='ω').contains(c)).count() > 400, "{description}");
}

#[test]
fn print_speaks_dutch() {
    let dir = notebook("nl", "ltr");
    fs::remove_dir_all(dir.path().join("templates")).expect("the words of the test");
    let Some(text) = text(&press(dir.path(), &["book"])) else { return };
    for (dutch, english) in [
        ("Inhoud", "Contents"),
        ("Zo lees je dit boek", "Reading this book"),
        ("Werkwijze", "Method"),
        ("Allergenen", "Allergens"),
        ("Register", "By name"),
        ("Huiseditie", "House edition"),
    ] {
        assert!(text.contains(dutch) && !text.contains(english), "{dutch}, {english}");
    }
}

#[test]
fn a_language_from_right_to_left_is_printed() {
    let dir = notebook("he", "rtl");
    for arguments in ALL {
        assert!(press(dir.path(), arguments).is_file(), "{arguments:?}");
    }
}

#[test]
fn a_language_without_words_for_print_is_told_where_it_is_chosen() {
    let dir = notebook("qaa", "ltr");
    let print = dir.path().join("templates/print/strings/qaa.yaml");
    let whole = fs::read_to_string(&print).expect("the words of the test");
    let said = |arguments: &[&str]| {
        let done = Command::new(env!("CARGO_BIN_EXE_costrel"))
            .args(arguments)
            .arg("--to")
            .arg(dir.path().join("made"))
            .arg("--notebook")
            .arg(dir.path())
            .output()
            .expect("the program runs");
        (done.status.code(), String::from_utf8_lossy(&done.stderr).into_owned())
    };
    fs::write(&print, whole.replace("  contents:", "  contants:")).expect("a file");
    let (status, faults) = said(&["press", "book"]);
    assert_eq!(status, Some(1));
    assert!(faults.contains("print/strings/qaa.yaml:") && faults.contains("did you mean `book.contents`?"), "{faults}");
    fs::remove_file(&print).expect("the words of the test");
    let (status, faults) = said(&["press", "book"]);
    assert_eq!(status, Some(0));
    assert!(faults.contains("house.yaml:2:13") && faults.contains("templates/print/strings/qaa.yaml"), "{faults}");
}
