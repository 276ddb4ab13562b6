//! `costrel press`: the outputs, each written as a whole, and none of them if one cannot be made.

mod print;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use anstream::{eprintln, println};
use clap::{Args, ValueEnum};
use serde_json::{Value, json};

use super::check::many;
use super::output::{Progress, Refusal, file, file_ready, folder, last_list, no_source, ready};
use super::{Opened, Setting, Status, open};
use crate::press::notes::Before;
use crate::press::{self, Edition, Output};
use crate::problem::{Code, Problem, code, count, json as as_json};
use crate::recipe::run::Computed;

/// What to make.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum What {
    /// The site
    Site,
    /// The spec book, as a PDF
    Book,
    /// Spec cards, as a PDF
    Cards,
    /// Notes beside each published recipe: description, chapters, structured data, picture cards
    Notes,
    /// Batch sheets, as a PDF
    Sheets,
    /// Labels for preps and batches, as a PDF
    Labels,
    /// Blank staff tests and their answers, as a PDF
    Tests,
}

impl What {
    /// The word that is typed for it.
    fn word(self) -> &'static str {
        match self {
            Self::Site => "site",
            Self::Book => "book",
            Self::Cards => "cards",
            Self::Notes => "notes",
            Self::Sheets => "sheets",
            Self::Labels => "labels",
            Self::Tests => "tests",
        }
    }
}

/// Arguments of `press`.
#[derive(Debug, Args)]
pub struct Arguments {
    /// What to make; without it, everything
    what: Option<What>,
    /// Where to put it: the folder or file of what is named, the folder that they stand in for `press` alone
    #[arg(long, value_name = "PATH")]
    to: Option<PathBuf>,
    #[command(flatten)]
    print: print::Arguments,
}

/// What an output is on disk.
enum Made {
    /// A folder with these files in it.
    Folder(Output),
    /// One file, of so many pages.
    #[cfg_attr(not(feature = "pdf"), allow(dead_code))]
    File { bytes: Vec<u8>, pages: usize },
}

/// Why an output was not made.
enum NotMade {
    /// Arguments that cannot be followed: code, message with the argument as typed, help.
    #[cfg_attr(not(feature = "pdf"), allow(dead_code))]
    Asked(Vec<(Code, String, String)>),
    /// Problems of the notebook, at their places.
    Faulty(Vec<Problem>),
}

impl From<Vec<Problem>> for NotMade {
    fn from(problems: Vec<Problem>) -> Self {
        Self::Faulty(problems)
    }
}

/// What was made, and warnings about it; or what kept it from being made.
type Making = Result<(Made, Vec<Problem>), NotMade>;

/// Makes an output of an edition.
type Maker<'a> = Box<dyn Fn(&Computed, Edition) -> Making + 'a>;

/// One output that was asked for.
struct Job<'a> {
    /// What it is called in JSON.
    what: &'static str,
    /// Its edition.
    edition: Edition,
    /// Its name: that of its folder or file.
    name: &'static str,
    /// What a waiting reader is told.
    doing: &'static str,
    /// Where it goes.
    target: PathBuf,
    /// How it is made.
    make: Maker<'a>,
}

/// The outputs that were asked for, in the order in which they are made.
fn jobs<'a>(arguments: &'a Arguments, root: &Path, edition: Option<Edition>) -> Vec<Job<'a>> {
    let wanted = |what| arguments.what.is_none_or(|w| w == what);
    let target = |name: &str| match (&arguments.to, arguments.what) {
        (Some(to), Some(_)) => to.clone(),
        (Some(to), None) => to.join(name),
        (None, _) => root.join("out").join(name),
    };
    let mut jobs = Vec::new();
    if wanted(What::Site) {
        // A public folder never holds what only the house sees.
        let edition = edition.unwrap_or(Edition::Public);
        let name = if edition == Edition::House { "site-house" } else { "site" };
        jobs.push(Job {
            what: "site",
            edition,
            name,
            doing: "making the site",
            target: target(name),
            make: Box::new(|computed, edition| Ok((Made::Folder(press::site::site(computed, edition)?), Vec::new()))),
        });
    }
    print::jobs(arguments, edition, &target, &mut jobs);
    if wanted(What::Notes) {
        let target = target("notes");
        let before = last_notes(&target);
        let make = move |computed: &Computed, _: Edition| {
            let notes = press::notes::notes(computed, &before)?;
            Ok((Made::Folder(notes.files), notes.problems))
        };
        let (edition, doing) = (Edition::Public, "writing the notes");
        jobs.push(Job { what: "notes", edition, name: "notes", doing, target, make: Box::new(make) });
    }
    jobs
}

/// What the last press left in the folder of the notes, so that this one can tell what it changes.
fn last_notes(target: &Path) -> Before {
    let changes = std::fs::read_to_string(target.join(press::notes::CHANGES)).ok();
    Before { files: last_list(target).unwrap_or_default(), changes }
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
    let edition = setting.edition.map(|e| match e {
        super::Edition::House => Edition::House,
        super::Edition::Public => Edition::Public,
    });
    if arguments.what == Some(What::Notes) && edition == Some(Edition::House) {
        let words = "notes are for readers, so they have no house edition\n  leave `--edition house` out";
        return print::refuse(words, setting);
    }
    if let Some(words) = print::misused(arguments) {
        return print::refuse(&words, setting);
    }
    let mut made = Vec::new();
    let mut problems = Vec::new();
    let mut wrong = BTreeSet::new();
    let mut warnings = Vec::new();
    for job in jobs(arguments, &opened.root, edition) {
        let progress = Progress::start(job.doing);
        match (job.make)(&opened.computed, job.edition) {
            Ok((files, found)) => {
                warnings.extend(found);
                made.push((job, files));
            }
            Err(NotMade::Faulty(found)) => problems.extend(found),
            // Several outputs may be asked the same.
            Err(NotMade::Asked(found)) => wrong.extend(found.into_iter().map(|(c, m, h)| (m, h, c.name()))),
        }
        progress.end();
    }
    if !wrong.is_empty() {
        let list = wrong.iter().map(|(message, help, code)| (*code, message.as_str(), help.as_str()));
        return print::wrong(list, setting);
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
    let looked = |made: &Made, job: &Job<'_>| {
        no_source(&opened.root, &job.target)?;
        match made {
            Made::Folder(_) => ready(&job.target, job.edition),
            Made::File { .. } => file_ready(&job.target),
        }
    };
    let put = |made: &Made, job: &Job<'_>| match made {
        Made::Folder(files) => folder(&job.target, files, job.edition),
        Made::File { bytes, .. } => file(&job.target, bytes),
    };
    let written = made.iter().try_for_each(|(job, made)| looked(made, job).map_err(|r| (job, r)));
    let progress = Progress::start("writing");
    let written =
        written.and_then(|()| made.iter().try_for_each(|(job, made)| put(made, job).map_err(|refusal| (job, refusal))));
    progress.end();
    if let Err((job, refusal)) = written {
        return refused(&refusal, &job.target, setting);
    }
    // Several outputs may find the same thing wrong.
    crate::problem::sort(&mut warnings, &opened.computed.graph.notes.sources);
    if setting.json {
        let list: Vec<Value> = made
            .iter()
            .map(|(job, made)| {
                let (unit, count) = match made {
                    Made::Folder(files) => ("files", files.len()),
                    Made::File { pages, .. } => ("pages", *pages),
                };
                json!({ "what": job.what, "edition": job.name, "path": job.target, unit: count })
            })
            .collect();
        let sources = &opened.computed.graph.notes.sources;
        let problems: Vec<Problem> = opened.problems.iter().chain(&warnings).cloned().collect();
        super::output::document(&json!({ "made": list, "problems": as_json::problems(&problems, sources) }));
    } else {
        opened.print(opened.problems.iter().filter(|p| p.severity == crate::problem::Severity::Warning));
        opened.print(&warnings);
        for (job, made) in &made {
            let size = match made {
                Made::Folder(files) => format!("{} in", many(files.len(), "file")),
                Made::File { pages, .. } => format!("{} in", many(*pages, "page")),
            };
            println!("{}: {size} `{}`", job.name, job.target.display());
        }
    }
    Status::Fine
}

fn nothing_made(opened: &Opened, problems: &[Problem]) -> Value {
    json!({ "made": [], "problems": as_json::problems(problems, &opened.computed.graph.notes.sources) })
}

fn refused(refusal: &Refusal, target: &Path, setting: &Setting) -> Status {
    let (status, code) = match refusal {
        Refusal::IsFile(_) | Refusal::IsFolder(_) => (Status::Errors, code::OUTPUT_IS_FILE),
        Refusal::Occupied(..) | Refusal::Stranger(_) | Refusal::Public(_) | Refusal::Source(..) => {
            (Status::Errors, code::OUTPUT_OCCUPIED)
        }
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
