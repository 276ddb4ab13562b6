//! A spec book of 200 synthetic recipes: the whole of it, beside the typesetting library's own share of the same pages, with
//! what each takes from memory.
//!
//! Read the ratios of one run; times differ between machines and minutes.

use std::fs;
use std::path::PathBuf;

use costrel::press::Edition;
use costrel::press::print::{Settings, book, book_ready};
use costrel::recipe::run::Computed;
use divan::{AllocProfiler, Bencher, black_box};

#[global_allocator]
static MEMORY: AllocProfiler = AllocProfiler::system();

fn main() {
    divan::main();
}

const RECIPES: usize = 200;

/// Writes a notebook of made-up recipes into a scratch folder and computes it: nine drinks to one syrup that some use.
fn computed() -> (tempfile::TempDir, Computed) {
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
        write(format!("recipes/c{}/r{i:04}.md", i % 8), text);
    }
    let (computed, _) = costrel::compile(dir.path());
    (dir, computed)
}

/// Data and pages.
#[divan::bench(sample_count = 3, sample_size = 1)]
fn the_whole_book(bencher: Bencher<'_, '_>) {
    let (_dir, computed) = computed();
    bencher.bench_local(|| {
        let printed = book(black_box(&computed), Edition::House, &Settings::default(), &|_| None);
        printed.map(|p| p.pdf.len()).unwrap_or_default()
    });
}

/// The same pages, with their data ready: what the library takes by itself.
#[divan::bench(sample_count = 3, sample_size = 1)]
fn the_typesetter_alone(bencher: Bencher<'_, '_>) {
    let (_dir, computed) = computed();
    let Ok(ready) = book_ready(&computed, Edition::House, &Settings::default(), &|_| None) else {
        panic!("the bench's own book is faulty");
    };
    bencher.bench_local(|| black_box(&ready).set().map(|p| p.pdf.len()).unwrap_or_default());
}

/// The data alone.
#[divan::bench(sample_count = 3, sample_size = 1)]
fn the_data_alone(bencher: Bencher<'_, '_>) {
    let (_dir, computed) = computed();
    bencher.bench_local(|| {
        book_ready(black_box(&computed), Edition::House, &Settings::default(), &|_| None).map(|_| ()).is_ok()
    });
}
