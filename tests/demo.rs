//! The demo: `site/` in the repository is what the program makes of `notebook/`, byte for byte.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    walkdir::WalkDir::new(folder)
        .into_iter()
        .map(|e| e.expect("a readable folder"))
        .filter(|e| e.file_type().is_file())
        .map(|e| {
            let path = e.path().strip_prefix(folder).expect("below it").to_string_lossy().replace('\\', "/");
            (path, fs::read(e.path()).expect("a readable file"))
        })
        .collect()
}

#[test]
fn the_demo_has_no_errors_and_no_warnings() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let (computed, problems) = costrel::compile(&root.join("notebook"));
    let loud: Vec<String> = problems
        .iter()
        .filter(|p| p.severity != costrel::problem::Severity::Note)
        .map(|p| costrel::problem::terminal::render(p, &computed.graph.notes.sources, "notebook/"))
        .collect();
    assert!(loud.is_empty(), "{}", loud.join("\n"));
    assert!(computed.graph.notes.recipes.len() >= 24, "the demo covers the trade");
    assert!(computed.graph.notes.pantry.len() >= 50);
}

#[test]
fn every_process_is_used_in_the_demo() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let (computed, _) = costrel::compile(&root.join("notebook"));
    let used: std::collections::BTreeSet<&str> =
        computed.graph.notes.recipes.iter().flat_map(|r| r.process.iter().map(|p| p.process.name())).collect();
    let missing: Vec<&str> = costrel::process::Process::all().map(|p| p.name()).filter(|n| !used.contains(n)).collect();
    assert!(missing.is_empty(), "no demo recipe uses: {}", missing.join(", "));
}

#[test]
fn the_kept_site_is_what_the_notebook_presses_to() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let scratch = tempfile::tempdir().expect("a scratch folder");
    let done = Command::new(env!("CARGO_BIN_EXE_costrel"))
        .args(["press", "site", "--notebook", "notebook", "--to"])
        .arg(scratch.path().join("site"))
        .current_dir(root)
        .output()
        .expect("the program runs");
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    let (kept, made) = (files(&root.join("site")), files(&scratch.path().join("site")));
    let names = |m: &BTreeMap<String, Vec<u8>>| m.keys().cloned().collect::<Vec<_>>();
    assert_eq!(names(&kept), names(&made), "press the demo again: cargo run -- press --notebook notebook --to .");
    for (path, bytes) in &kept {
        assert!(
            made[path] == *bytes,
            "site/{path} is stale; press the demo again: cargo run -- press --notebook notebook --to ."
        );
    }
}
