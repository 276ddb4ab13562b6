//! `costrel press`: the outputs, each written as a whole.

use std::path::{Path, PathBuf};

use anstream::{eprintln, println};
use clap::{Args, ValueEnum};
use serde_json::json;

use super::check::many;
use super::output::{Progress, Refusal, folder};
use super::{Setting, Status, open};
use crate::press::{self, Output};
use crate::problem::{code, count, json as as_json};

/// What to make.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum What {
    /// The site
    Site,
}

/// Arguments of `press`.
#[derive(Debug, Args)]
pub struct Arguments {
    /// What to make; without it, everything
    what: Option<What>,
    /// Where to put it: the site's folder for `press site`, the folder that they stand in for `press` alone
    #[arg(long, value_name = "PATH")]
    to: Option<PathBuf>,
}

pub(super) fn run(arguments: &Arguments, setting: &Setting) -> Status {
    let opened = match open(setting) {
        Ok(opened) => opened,
        Err(status) => return status,
    };
    let sum = count(&opened.problems);
    let sources = &opened.computed.graph.notes.sources;
    if sum.errors > 0 {
        if setting.json {
            super::output::document(&json!({ "made": [], "problems": as_json::problems(&opened.problems, sources) }));
        } else {
            opened.print(&opened.problems);
            eprintln!("nothing was made: mend {} first", many(sum.errors, "error"));
        }
        return Status::Errors;
    }
    let edition = match setting.edition {
        Some(super::Edition::House) => press::Edition::House,
        Some(super::Edition::Public) | None => press::Edition::Public,
    };
    let name = if edition == press::Edition::House { "site-house" } else { "site" };
    let target = match (&arguments.to, arguments.what) {
        (Some(to), Some(What::Site)) => to.clone(),
        (Some(to), None) => to.join(name),
        (None, _) => opened.root.join("out").join(name),
    };
    let progress = Progress::start("making the site");
    let made = press::site::site(&opened.computed, edition);
    let files = match made {
        Ok(files) => files,
        Err(problems) => {
            progress.end();
            if setting.json {
                super::output::document(&json!({ "made": [], "problems": as_json::problems(&problems, sources) }));
            } else {
                opened.print(&problems);
            }
            return Status::Errors;
        }
    };
    let written = write(&target, &files);
    progress.end();
    if let Err(refusal) = written {
        let (status, code) = match &refusal {
            Refusal::IsFile(_) => (Status::Errors, code::OUTPUT_IS_FILE),
            Refusal::Occupied(..) => (Status::Errors, code::OUTPUT_OCCUPIED),
            Refusal::Disk(..) => (Status::Machine, code::UNREADABLE_FILE),
        };
        if setting.json {
            let words = refusal.to_string();
            let (message, help) = words.split_once("\n  ").unwrap_or((&words, "check the folder and its permissions"));
            let problem = json!({ "code": code.name(), "severity": "error", "message": message, "file": target, "line": null, "column": null, "help": help });
            super::output::document(&json!({ "made": [], "problems": [problem] }));
        } else {
            eprintln!("costrel: {refusal}");
        }
        return status;
    }
    if setting.json {
        let made = json!([{ "what": "site", "edition": name, "path": target, "files": files.len() }]);
        super::output::document(&json!({ "made": made, "problems": as_json::problems(&opened.problems, sources) }));
    } else {
        opened.print(opened.problems.iter().filter(|p| p.severity == crate::problem::Severity::Warning));
        println!("{}: {} in `{}`", name, many(files.len(), "file"), target.display());
    }
    Status::Fine
}

fn write(target: &Path, files: &Output) -> Result<(), Refusal> {
    folder(target, files)
}
