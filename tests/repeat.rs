//! The same notebook gives the same bytes: again, in another folder, locale, time zone, order of making, number of threads.

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

/// Writes the notebook's files in an order of its own.
fn copy(from: &BTreeMap<String, Vec<u8>>, to: &Path, backwards: bool) {
    let mut list: Vec<_> = from.iter().collect();
    if backwards {
        list.reverse();
    }
    for (path, bytes) in list {
        let target = to.join(path);
        fs::create_dir_all(target.parent().expect("a parent")).expect("a folder");
        fs::write(target, bytes).expect("a file");
    }
}

fn everything(root: &Path, environment: &[(&str, &str)]) -> (Vec<Vec<u8>>, BTreeMap<String, Vec<u8>>) {
    let run = |arguments: &[&str]| {
        let done = Command::new(env!("CARGO_BIN_EXE_costrel"))
            .args(arguments)
            .arg("--notebook")
            .arg(root)
            .envs(environment.iter().copied())
            .output()
            .expect("the program runs");
        assert!(done.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&done.stderr));
        done.stdout
    };
    let answers = vec![
        run(&["check", "--json"]),
        run(&["taste", "lock-keeper's lantern", "--json"]),
        run(&["taste", "number nine", "--json"]),
    ];
    run(&["press", "site"]);
    let site = files(&root.join("out/site"));
    (answers, site)
}

#[test]
fn the_same_bytes_everywhere() {
    let demo = files(&Path::new(env!("CARGO_MANIFEST_DIR")).join("notebook"));
    let demo: BTreeMap<String, Vec<u8>> = demo.into_iter().filter(|(p, _)| !p.starts_with("out/")).collect();
    let first = tempfile::tempdir().expect("a scratch folder");
    copy(&demo, first.path(), false);
    let wanted = everything(first.path(), &[("RAYON_NUM_THREADS", "1")]);
    assert!(wanted.1.len() > 100);
    assert_eq!(everything(first.path(), &[]), wanted, "a second run differs");
    let other = tempfile::tempdir().expect("a scratch folder");
    let root = other.path().join("ein anderer Ordner/ü");
    copy(&demo, &root, true);
    let environment =
        [("LC_ALL", "tr_TR.UTF-8"), ("LANG", "tr_TR.UTF-8"), ("TZ", "Pacific/Kiritimati"), ("RAYON_NUM_THREADS", "4")];
    assert_eq!(everything(&root, &environment), wanted, "another folder, locale, time zone or order differs");
}
