//! The rules of the contributor's guide that a program can check.

use std::fs;
use std::path::{Path, PathBuf};

/// Modules in the order in which they may import: each only what stands behind it.
const ORDER: &[&str] = &[
    "command", "press", "check", "ask", "recipe", "notebook", "process", "mixture", "relation", "measure", "problem",
    "source",
];

fn sources() -> Vec<(PathBuf, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut list: Vec<(PathBuf, String)> = walkdir::WalkDir::new(&root)
        .into_iter()
        .flatten()
        .filter(|e| e.path().extension().is_some_and(|x| x == "rs"))
        .map(|e| {
            let text = fs::read_to_string(e.path()).expect("a source file");
            (e.path().strip_prefix(&root).expect("below src").to_path_buf(), text)
        })
        .collect();
    list.sort();
    assert!(list.len() > 60);
    list
}

fn module(path: &Path) -> String {
    let first = path.components().next().expect("a part").as_os_str().to_string_lossy().into_owned();
    first.trim_end_matches(".rs").to_owned()
}

/// What stands before the unit tests of a file.
fn code(text: &str) -> &str {
    text.split("#[cfg(test)]").next().unwrap_or(text)
}

#[test]
fn every_file_says_what_it_is_for() {
    for (path, text) in sources() {
        assert!(text.starts_with("//! "), "src/{} does not open with //!", path.display());
    }
}

#[test]
fn imports_run_one_way() {
    let place = |name: &str| ORDER.iter().position(|m| *m == name);
    let mut wrong = Vec::new();
    for (path, text) in sources() {
        let own = module(&path);
        let Some(here) = place(&own) else { continue };
        for (number, line) in code(&text).lines().enumerate().filter(|(_, l)| !l.trim_start().starts_with("//")) {
            for rest in line.split("crate::").skip(1) {
                let name: String = rest.chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect();
                if place(&name).is_some_and(|there| there < here) {
                    wrong.push(format!("src/{}:{}: {own} imports {name}", path.display(), number + 1));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn files_are_touched_only_where_the_guide_says() {
    for (path, text) in sources() {
        let shown = path.to_string_lossy().replace('\\', "/");
        let allowed = shown.starts_with("command") || shown == "notebook/walk.rs";
        assert!(allowed || !code(&text).contains("std::fs"), "src/{shown} touches files");
        let passes = !shown.starts_with("command");
        for word in ["SystemTime", "Instant::now", "Zoned::now", "rand::", "std::env::var"] {
            assert!(!passes || !code(&text).contains(word), "src/{shown} asks {word}");
        }
    }
}

#[test]
fn nothing_panics_by_habit() {
    for (path, text) in sources() {
        assert!(!code(&text).contains(".unwrap()"), "src/{} unwraps", path.display());
    }
}

#[test]
fn the_guide_has_a_row_for_each_module() {
    let guide = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("DEVELOPERS.md")).expect("the guide");
    for (path, _) in sources() {
        let own = module(&path);
        if own != "lib" && own != "main" {
            assert!(guide.contains(&format!("| `{own}` |")), "DEVELOPERS.md has no row for {own}");
        }
    }
}

#[test]
fn every_problem_code_is_raised_by_some_case_or_test() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests");
    let mut texts = String::new();
    for entry in walkdir::WalkDir::new(&root).into_iter().filter_entry(|e| e.file_name() != "node_modules").flatten() {
        let name = entry.file_name().to_string_lossy();
        if name == "check.txt"
            || name == "command.rs"
            || name == "print.rs"
            || name == "notes.rs"
            || name.starts_with("process_")
            || name == "refusals.rs"
        {
            texts.push_str(&fs::read_to_string(entry.path()).expect("text"));
        }
    }
    let silent: Vec<&str> =
        costrel::problem::Code::all().map(costrel::problem::Code::name).filter(|n| !texts.contains(n)).collect();
    assert!(silent.is_empty(), "no case raises: {}", silent.join(", "));
}

/// What a writer is shown: the lines of every case's `check.txt`, by case, message and help.
fn shown() -> Vec<(String, String, Option<String>)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases");
    let mut list = Vec::new();
    for entry in walkdir::WalkDir::new(&root).sort_by_file_name().into_iter().flatten() {
        if entry.file_name() != "check.txt" {
            continue;
        }
        let case = entry.path().strip_prefix(&root).expect("below it").display().to_string();
        let text = fs::read_to_string(entry.path()).expect("text");
        for block in text
            .split("\n\n")
            .filter(|b| b.contains("  error  ") || b.contains("  warning  ") || b.contains("  note  "))
        {
            let lines: Vec<&str> = block.lines().collect();
            // The place, the message, the excerpts (deeper), and last the help.
            let message = lines.get(1).map_or("", |l| l.trim());
            let help = lines.last().filter(|l| lines.len() > 2 && l.starts_with("  ") && !l.starts_with("   "));
            list.push((case.clone(), message.to_owned(), help.map(|h| h.trim().to_owned())));
        }
    }
    assert!(list.len() > 250, "only {} messages were found", list.len());
    list
}

#[test]
fn messages_are_in_the_house_style() {
    for (case, message, help) in shown() {
        let first = message.chars().next().expect("a message");
        // A name such as pH or °Bx keeps its letters; a recipe's own name stands in backticks or opens a sentence.
        assert!(!first.is_uppercase() || message.starts_with("YAML"), "{case}: opens with a capital: {message}");
        assert!(!message.ends_with('.'), "{case}: ends with a full stop: {message}");
        let help = help.unwrap_or_else(|| panic!("{case}: no help: {message}"));
        assert!(!help.ends_with('.') && !help.starts_with(char::is_uppercase), "{case}: not in the style: {help}");
    }
}

#[test]
fn the_standard_library_computes_nothing_that_differs_between_platforms() {
    // clippy.toml bans these too; here they are found without a lint run, and in macros.
    const METHODS: &[&str] = &[
        "sin", "cos", "tan", "asin", "acos", "atan", "atan2", "sinh", "cosh", "tanh", "exp", "exp2", "exp_m1", "ln",
        "ln_1p", "log", "log2", "log10", "powf", "powi", "cbrt", "hypot",
    ];
    for (path, text) in sources() {
        for (number, line) in text.lines().enumerate().filter(|(_, l)| !l.trim_start().starts_with("//")) {
            for method in METHODS {
                let called = line.contains(&format!(".{method}(")) || line.contains(&format!("f64::{method}("));
                assert!(!called, "src/{}:{}: use libm for {method}", path.display(), number + 1);
            }
        }
    }
}

/// A sign, not a limit: `cargo test --test tidy -- --nocapture` names the files in which a second subject may have moved in.
#[test]
fn long_files_are_named() {
    for (path, text) in sources() {
        // Rows of a table and doc comments make a file long without making it hard to read.
        let lines = code(&text).lines().map(str::trim);
        let count = lines
            .filter(|l| !l.is_empty() && !l.starts_with("//") && !l.starts_with('(') && !l.starts_with('"'))
            .count();
        if count > 700 {
            println!("src/{}: {count} lines of code", path.display());
        }
    }
}
