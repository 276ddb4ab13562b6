//! `costrel begin DIR`: a small notebook that already compiles.

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;

use anstream::{eprintln, println};
use clap::Args;

use super::{Setting, Status};

/// Arguments of `begin`.
#[derive(Debug, Args)]
pub struct Arguments {
    /// A new or empty folder
    dir: PathBuf,
}

/// What is written, by path.
const FILES: &[(&str, &str)] = &[
    ("house.yaml", include_str!("begin/house.yaml")),
    ("pantry/spirits.yaml", include_str!("begin/spirits.yaml")),
    ("recipes/sours/towpath-sour.md", include_str!("begin/towpath-sour.md")),
    ("recipes/preps/honey-syrup.md", include_str!("begin/honey-syrup.md")),
    ("pages/about.md", include_str!("begin/about.md")),
];

pub(super) fn run(arguments: &Arguments, setting: &Setting) -> Status {
    let dir = &arguments.dir;
    match fs::read_dir(dir) {
        Ok(mut entries) => {
            if entries.next().is_some() {
                eprintln!("costrel: `{}` is not empty, so nothing was written", dir.display());
                eprintln!("  name a new folder, or an empty one");
                return Status::Usage;
            }
        }
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => {}
        Err(e) if e.kind() == std::io::ErrorKind::NotADirectory => {
            eprintln!("costrel: `{}` is a file, so nothing was written\n  name a new folder", dir.display());
            return Status::Usage;
        }
        Err(e) => {
            eprintln!("costrel: cannot read `{}`: {e}", dir.display());
            return Status::Machine;
        }
    }
    let files: BTreeMap<&str, &str> = FILES.iter().copied().collect();
    for (path, text) in &files {
        let to = dir.join(path);
        let written = to.parent().map_or(Ok(()), fs::create_dir_all).and_then(|()| fs::write(&to, text));
        if let Err(e) = written {
            eprintln!("costrel: cannot write `{}`: {e}", to.display());
            return Status::Machine;
        }
    }
    if setting.json {
        super::output::document(&serde_json::json!({ "notebook": dir, "files": files.keys().collect::<Vec<_>>() }));
    } else {
        println!("a notebook stands in `{}`; try:\n", dir.display());
        println!("  costrel check --notebook {}", dir.display());
        println!("  costrel taste \"towpath sour\" --notebook {}", dir.display());
        println!("  costrel press --notebook {}", dir.display());
    }
    Status::Fine
}
