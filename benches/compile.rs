//! Compiling 1,000 synthetic recipes: on one thread, on all, one recipe of them, and the bare reading of the files beside them.
//!
//! Read the ratios of one run; times differ between machines and minutes.

use std::fs;
use std::path::PathBuf;

use divan::{Bencher, black_box};

fn main() {
    divan::main();
}

const RECIPES: usize = 1000;

/// Writes a notebook of made-up recipes into a scratch folder: nine drinks to one syrup that some of them use.
fn notebook() -> tempfile::TempDir {
    let dir = tempfile::tempdir().expect("a scratch folder");
    let write = |path: String, text: String| {
        let path: PathBuf = dir.path().join(path);
        fs::create_dir_all(path.parent().expect("a parent")).expect("a folder");
        fs::write(path, text).expect("a file");
    };
    write("house.yaml".into(), "name: Bench\n".into());
    for i in 0..RECIPES {
        let text = if i % 10 == 0 {
            format!(
                "---\nname: syrup {i}\nmakes: prep\nmix:\n  - {} g white sugar\n  - 500 g water\nkeeps: [14 d at 4 °C]\n---\n\n1. Stir.\n",
                400 + i
            )
        } else {
            format!(
                "---\nname: drink {i}\nfamily: shaken\nmix:\n  - {} ml gin\n  - 22.5 ml lemon juice, strained\n  - 20 ml syrup {}\n  - 2 dashes orange bitters\nprocess:\n  - shake: {{for: 12 s}}\nserve: {{glass: coupe, ice: none, garnish: lemon peel}}\npublish: true\n---\n\n1. Shake hard.\n2. Strain: {{{{ abv }}}} in the glass.\n\n## Why\n\nBecause the bench asks.\n",
                40 + i % 20,
                i / 10 * 10
            )
        };
        write(format!("recipes/c{}/r{i:04}.md", i % 12), text);
    }
    dir
}

#[divan::bench(args = [1, 0], sample_count = 10)]
fn compile(bencher: Bencher<'_, '_>, threads: usize) {
    let dir = notebook();
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
    bencher.bench_local(|| pool.install(|| black_box(costrel::compile(dir.path()))));
}

/// What a question about one recipe waits for: everything is read and resolved, and one drink with its syrup is run and checked.
#[divan::bench(args = [1, 0], sample_count = 10)]
fn compile_one_recipe(bencher: Bencher<'_, '_>, threads: usize) {
    let dir = notebook();
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
    bencher.bench_local(|| pool.install(|| black_box(costrel::compile_one(dir.path(), "drink 501"))));
}

#[divan::bench(args = [1, 0], sample_count = 5)]
fn compile_and_press(bencher: Bencher<'_, '_>, threads: usize) {
    let dir = notebook();
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
    bencher.bench_local(|| {
        pool.install(|| {
            let (computed, _) = costrel::compile(dir.path());
            black_box(costrel::press::site::site(&computed, costrel::press::Edition::Public))
        })
    });
}

#[divan::bench(sample_count = 10)]
fn read_the_files_only(bencher: Bencher<'_, '_>) {
    let dir = notebook();
    bencher.bench_local(|| {
        walkdir::WalkDir::new(dir.path())
            .into_iter()
            .flatten()
            .filter(|e| e.file_type().is_file())
            .map(|e| fs::read(e.path()).map_or(0, |b| b.len()))
            .sum::<usize>()
    });
}
