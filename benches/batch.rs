//! `costrel batch` from start to finish on a notebook of 1,000 synthetic recipes, beside a bare start of the process.
//!
//! Read the ratio of the two in one run; times differ between machines and minutes.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use divan::Bencher;

fn main() {
    divan::main();
}

const RECIPES: usize = 1000;

/// Nine drinks to one syrup that some of them use.
fn notebook() -> tempfile::TempDir {
    let dir = tempfile::tempdir().expect("a scratch folder");
    let write = |path: &str, text: &str| {
        let path = dir.path().join(path);
        fs::create_dir_all(path.parent().expect("a parent")).expect("a folder");
        fs::write(path, text).expect("a file");
    };
    write("house.yaml", "name: Bench\n");
    for i in 0..RECIPES {
        let (ml, syrup) = (40 + i % 20, i / 10 * 10);
        let front = if i % 10 == 0 {
            format!(
                "name: syrup {i}\nmakes: prep\nmix: [{} g white sugar, 500 g water]\nkeeps: [14 d at 4 °C]",
                400 + i
            )
        } else {
            format!(
                "name: drink {i}\nmix: [{ml} ml gin, 22.5 ml lemon juice, 20 ml syrup {syrup}, 2 dashes orange bitters]\nprocess: [shake: {{for: 12 s}}]"
            )
        };
        write(&format!("recipes/c{}/r{i:04}.md", i % 12), &format!("---\n{front}\n---\n\n1. Make it.\n"));
    }
    dir
}

fn run(arguments: &[&str], notebook: Option<&Path>) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_costrel"));
    command.args(arguments).stdout(Stdio::null());
    if let Some(notebook) = notebook {
        command.arg("--notebook").arg(notebook);
    }
    assert!(command.status().expect("the program").success());
}

#[divan::bench(sample_count = 20)]
fn a_bare_start(bencher: Bencher<'_, '_>) {
    bencher.bench_local(|| run(&["--version"], None));
}

#[divan::bench(sample_count = 20)]
fn forty_serves(bencher: Bencher<'_, '_>) {
    let dir = notebook();
    bencher.bench_local(|| run(&["batch", "drink 501", "--serves", "40", "--json"], Some(dir.path())));
}

#[divan::bench(sample_count = 20)]
fn what_is_in_stock(bencher: Bencher<'_, '_>) {
    let dir = notebook();
    let arguments = ["batch", "drink 501", "--have", "gin=700 ml", "--have", "white sugar=90 g", "--ready", "--json"];
    bencher.bench_local(|| run(&arguments, Some(dir.path())));
}
