//! README: what stands behind a `$` is what the program prints.
//!
//! Commands run one after another in a scratch folder that has the demo as `notebook`, as a reader's would. A line that is only `…`
//! stands for whatever else is printed there. `UPDATE=1` writes the samples anew, up to where each leaves off.

// As in the tests themselves, which the lint lets be: here too a test says what it expects in the shortest way.
#![allow(clippy::unwrap_used)]

use std::fs;
use std::path::Path;
use std::process::Command;

/// What a reader is told to do to a file between two samples: the slips that `check` then finds.
const SLIPS: &[(&str, &str)] = &[("60 ml gin", "1,5 oz gin"), ("22.5 ml lemon juice", "22.5 ml lemn juice")];

struct Sample {
    /// As typed.
    command: String,
    /// Lines that are printed, the last of them `…` where there are more.
    lines: Vec<String>,
    /// Number of its first line in the README.
    at: usize,
}

fn samples(readme: &str) -> Vec<Sample> {
    let (mut list, mut inside) = (Vec::<Sample>::new(), false);
    for (at, line) in readme.lines().enumerate() {
        match line.strip_prefix("$ ").filter(|_| inside) {
            _ if line.starts_with("```") => inside = line == "```console",
            Some(command) => list.push(Sample { command: command.into(), lines: Vec::new(), at: at + 1 }),
            None if inside => list.last_mut().unwrap().lines.push(line.into()),
            None => {}
        }
    }
    list
}

/// A command line in words, quotes taken off.
fn words(command: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut quoted = false;
    for c in command.chars() {
        match c {
            '"' => quoted = !quoted,
            ' ' if !quoted => words.push(String::new()),
            c => words.last_mut().unwrap().push(c),
        }
    }
    words
}

fn copy(from: &Path, to: &Path) {
    for entry in walkdir::WalkDir::new(from) {
        let entry = entry.unwrap();
        let target = to.join(entry.path().strip_prefix(from).unwrap());
        if entry.file_type().is_dir() {
            fs::create_dir_all(target).unwrap();
        } else {
            fs::copy(entry.path(), target).unwrap();
        }
    }
}

#[test]
fn samples_are_what_is_printed() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let readme = fs::read_to_string(root.join("README.md")).unwrap();
    let dir = tempfile::tempdir().unwrap();
    copy(&root.join("notebook"), &dir.path().join("notebook"));
    let mut lines: Vec<String> = readme.lines().map(str::to_owned).collect();
    let (mut checked, mut differs) = (0, Vec::new());
    for sample in samples(&readme) {
        let Some(arguments) = sample.command.strip_prefix("costrel ") else { continue };
        if arguments.starts_with("check") && sample.lines.iter().any(|l| l.contains("decimal-comma")) {
            let file = dir.path().join("my-bar/recipes/sours/towpath-sour.md");
            let text = SLIPS.iter().fold(fs::read_to_string(&file).unwrap(), |t, (was, is)| t.replace(was, is));
            fs::write(file, text).unwrap();
        }
        let done = Command::new(env!("CARGO_BIN_EXE_costrel"))
            .args(words(arguments))
            .current_dir(dir.path())
            .output()
            .unwrap();
        // On a terminal both streams are seen, what is wrong first.
        let both = [done.stderr, done.stdout].concat();
        let printed = String::from_utf8(both).unwrap();
        let mut printed: Vec<&str> = printed.trim_end().lines().collect();
        let mut wanted: Vec<&str> = sample.lines.iter().map(String::as_str).collect();
        while wanted.last() == Some(&"") {
            wanted.pop();
        }
        if wanted.is_empty() {
            continue;
        }
        checked += 1;
        if wanted.last().is_some_and(|l| l.trim() == "…") {
            wanted.pop();
            printed.truncate(wanted.len());
        }
        if printed != wanted {
            let off = wanted.iter().zip(&printed).position(|(w, p)| w != p).unwrap_or(wanted.len().min(printed.len()));
            differs.push(format!(
                "README.md:{}: `{}`, line {}:\n{}",
                sample.at,
                sample.command,
                off + 1,
                printed.join("\n")
            ));
            if printed.len() == wanted.len() {
                for (i, line) in printed.iter().enumerate() {
                    lines[sample.at + i] = (*line).to_owned();
                }
            }
        }
    }
    assert!(checked >= 5, "only {checked} samples were found");
    if !differs.is_empty() && std::env::var_os("UPDATE").is_some() {
        fs::write(root.join("README.md"), lines.join("\n") + "\n").unwrap();
        return;
    }
    assert!(differs.is_empty(), "{}", differs.join("\n\n"));
}
