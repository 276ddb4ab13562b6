//! `costrel press`: the outputs, each written as a whole, and none of them if one cannot be made.

use std::path::{Path, PathBuf};

use anstream::{eprintln, println};
use clap::{Args, ValueEnum};
use serde_json::{Value, json};

use super::check::many;
use super::output::{Progress, Refusal, folder, ready};
use super::{Opened, Setting, Status, open};
use crate::press::{self, Edition, Output};
use crate::problem::{Problem, code, count, json as as_json};
use crate::recipe::run::Computed;

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

/// One output that was asked for.
struct Job {
    /// What it is called in JSON.
    what: &'static str,
    /// Its name, which is also that of its folder.
    name: &'static str,
    /// What a waiting reader is told.
    doing: &'static str,
    /// Where it goes.
    target: PathBuf,
    /// How it is made.
    make: fn(&Computed, Edition) -> Result<Output, Vec<Problem>>,
}

/// The outputs that were asked for, in the order in which they are made.
fn jobs(arguments: &Arguments, root: &Path, edition: Edition) -> Vec<Job> {
    let wanted = |what| arguments.what.is_none_or(|w| w == what);
    let target = |name: &str| match (&arguments.to, arguments.what) {
        (Some(to), Some(_)) => to.clone(),
        (Some(to), None) => to.join(name),
        (None, _) => root.join("out").join(name),
    };
    let mut jobs = Vec::new();
    if wanted(What::Site) {
        // A public folder never holds what only the house sees.
        let name = if edition == Edition::House { "site-house" } else { "site" };
        jobs.push(Job { what: "site", name, doing: "making the site", target: target(name), make: press::site::site });
    }
    jobs
}

pub(super) fn run(arguments: &Arguments, setting: &Setting) -> Status {
    let opened = match open(setting) {
        Ok(opened) => opened,
        Err(status) => return status,
    };
    let sum = count(&opened.problems);
    if sum.errors > 0 {
        if setting.json {
            super::output::document(&nothing_made(&opened, &opened.problems));
        } else {
            opened.print(&opened.problems);
            eprintln!("nothing was made: mend {} first", many(sum.errors, "error"));
        }
        return Status::Errors;
    }
    let edition = match setting.edition {
        Some(super::Edition::House) => Edition::House,
        Some(super::Edition::Public) | None => Edition::Public,
    };
    let mut made = Vec::new();
    let mut problems = Vec::new();
    for job in jobs(arguments, &opened.root, edition) {
        let progress = Progress::start(job.doing);
        match (job.make)(&opened.computed, edition) {
            Ok(files) => made.push((job, files)),
            Err(found) => problems.extend(found),
        }
        progress.end();
    }
    if !problems.is_empty() {
        if setting.json {
            super::output::document(&nothing_made(&opened, &problems));
        } else {
            opened.print(&problems);
        }
        return Status::Errors;
    }
    // Every place is looked at before the first is written, so that a refusal leaves all of them as they were.
    let written = made.iter().try_for_each(|(job, _)| ready(&job.target).map_err(|r| (job, r)));
    let progress = Progress::start("writing");
    let written = written.and_then(|()| {
        made.iter().try_for_each(|(job, files)| folder(&job.target, files).map_err(|refusal| (job, refusal)))
    });
    progress.end();
    if let Err((job, refusal)) = written {
        return refused(&refusal, &job.target, setting);
    }
    if setting.json {
        let list: Vec<Value> = made
            .iter()
            .map(|(job, files)| {
                json!({ "what": job.what, "edition": job.name, "path": job.target, "files": files.len() })
            })
            .collect();
        let sources = &opened.computed.graph.notes.sources;
        super::output::document(&json!({ "made": list, "problems": as_json::problems(&opened.problems, sources) }));
    } else {
        opened.print(opened.problems.iter().filter(|p| p.severity == crate::problem::Severity::Warning));
        for (job, files) in &made {
            println!("{}: {} in `{}`", job.name, many(files.len(), "file"), job.target.display());
        }
    }
    Status::Fine
}

fn nothing_made(opened: &Opened, problems: &[Problem]) -> Value {
    json!({ "made": [], "problems": as_json::problems(problems, &opened.computed.graph.notes.sources) })
}

fn refused(refusal: &Refusal, target: &Path, setting: &Setting) -> Status {
    let (status, code) = match refusal {
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
    status
}
