//! Commands: arguments in, text or JSON out. They parse, print and write files; they do not compute.

mod batch;
mod begin;
mod check;
mod dial;
mod output;
mod press;
mod question;
mod screen;
mod taste;
mod unknown;
mod words;

use std::path::{Path, PathBuf};

use anstream::eprintln;
use clap::{Parser, Subcommand, ValueEnum};

use self::question::{as_asked, concerning, no_recipe, refused};
use crate::ask::dial::Refusal;
use crate::problem::{Problem, terminal};
use crate::recipe::run::Computed;

/// How a command ended; the number is the exit status.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// Fine.
    Fine = 0,
    /// The notebook has errors, or the question has no answer.
    Errors = 1,
    /// Wrong usage.
    Usage = 2,
    /// The machine failed: disk, permission.
    Machine = 3,
}

/// Which edition: what guests and readers see, or with what only the house sees.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Edition {
    /// For guests and readers.
    Public,
    /// With prices, trials, notes and unpublished recipes.
    House,
}

/// When to colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Colour {
    /// On a terminal that can.
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

/// The command line.
#[derive(Debug, Parser)]
#[command(
    name = "costrel",
    version,
    about = "A folder of drink recipes in; checked, computed specs out",
    disable_help_subcommand = true,
    arg_required_else_help = false
)]
pub struct Arguments {
    /// The notebook; without it, the nearest folder upwards that has a house.yaml
    #[arg(long, global = true, value_name = "DIR")]
    notebook: Option<PathBuf>,
    /// Print one JSON document instead of text for people
    #[arg(long, global = true)]
    json: bool,
    /// What to show: what readers see, or what the house sees
    #[arg(long, global = true, value_enum, value_name = "EDITION")]
    edition: Option<Edition>,
    /// When to colour text
    #[arg(long, global = true, value_enum, value_name = "WHEN", default_value = "auto")]
    colour: Colour,
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Write a small notebook that already compiles
    Begin(begin::Arguments),
    /// Read and check everything
    Check(check::Arguments),
    /// The numbers of a recipe at every stage, and where each came from
    Taste(taste::Arguments),
    /// Scale to serves, a volume, bottles or what is in stock
    Batch(batch::Arguments),
    /// The smallest change of the pours that reaches wanted figures
    Dial(dial::Arguments),
    /// Make the site, in print the spec book, cards, batch sheets, labels and staff tests, and notes to publish
    Press(press::Arguments),
}

/// What every command gets.
pub(crate) struct Setting {
    notebook: Option<PathBuf>,
    json: bool,
    edition: Option<Edition>,
}

const MAP: &str = "\
A folder of drink recipes in; checked, computed specs out.

  costrel begin DIR        start a notebook in an empty folder
  costrel check            read everything, say what is wrong and where
  costrel taste RECIPE     the numbers at every stage
  costrel batch RECIPE     scaled to serves, a volume, bottles or what is in stock
  costrel dial RECIPE      what to add, or change, to reach wanted figures
  costrel press            make the site, what is printed (book, cards, sheets, labels, tests), notes

Each works inside a notebook, or with --notebook DIR. `costrel COMMAND --help` says more.
";

/// Runs the command line; the arguments are the program's own, its name first.
pub fn main<I, T>(arguments: I) -> Status
where
    I: IntoIterator<Item = T>,
    T: Into<std::ffi::OsString> + Clone,
{
    let arguments: Vec<std::ffi::OsString> = arguments.into_iter().map(Into::into).collect();
    let json = arguments.iter().any(|a| a == "--json");
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        // Help and version are asked for; anything else is wrong usage.
        Err(error) if error.use_stderr() && json => {
            let said = error.render().to_string();
            let (message, help) = said.split_once('\n').unwrap_or((&said, ""));
            let refusal = Refusal::new(message.trim_start_matches("error: ").trim(), help.trim());
            return refused(&Setting { notebook: None, json, edition: None }, None, &refusal);
        }
        Err(error) => {
            let _ = error.print();
            return if error.use_stderr() { Status::Usage } else { Status::Fine };
        }
    };
    match arguments.colour {
        Colour::Auto => {}
        Colour::Always => anstream::ColorChoice::Always.write_global(),
        Colour::Never => anstream::ColorChoice::Never.write_global(),
    }
    let setting = Setting { notebook: arguments.notebook, json: arguments.json, edition: arguments.edition };
    match arguments.command {
        None => {
            anstream::print!("{MAP}");
            Status::Fine
        }
        Some(Command::Begin(a)) => begin::run(&a, &setting),
        Some(Command::Check(a)) => check::run(&a, &setting),
        Some(Command::Taste(a)) => taste::run(&a, &setting),
        Some(Command::Batch(a)) => batch::run(&a, &setting),
        Some(Command::Dial(a)) => dial::run(&a, &setting),
        Some(Command::Press(a)) => press::run(&a, &setting),
    }
}

/// A notebook that was found and compiled.
pub(crate) struct Opened {
    /// Its folder.
    pub root: PathBuf,
    /// What to print before its paths, so that a terminal can link them.
    pub prefix: String,
    /// Its recipes.
    pub computed: Computed,
    /// What is wrong with it.
    pub problems: Vec<Problem>,
}

impl Opened {
    /// Prints problems for people.
    pub fn print<'p>(&self, problems: impl IntoIterator<Item = &'p Problem>) {
        for problem in problems {
            eprintln!("{}", terminal::render(problem, &self.computed.graph.notes.sources, &self.prefix));
        }
    }
}

/// Finds and compiles the notebook.
pub(crate) fn open(setting: &Setting) -> Result<Opened, Status> {
    let root = find(setting)?;
    let progress = output::Progress::start("reading and computing");
    let (computed, problems) = crate::compile(&root);
    progress.end();
    Ok(Opened { prefix: prefix(&root), root, computed, problems })
}

/// Finds the notebook and compiles one recipe of it with all that it uses; or says that there is no such recipe.
pub(crate) fn open_one(setting: &Setting, wanted: &str) -> Result<(Opened, usize), Status> {
    let root = find(setting)?;
    let progress = output::Progress::start("reading and computing");
    let (computed, problems, recipe) = crate::compile_one(&root, wanted);
    progress.end();
    let opened = Opened { prefix: prefix(&root), root, computed, problems };
    match recipe {
        Some(recipe) => Ok((opened, recipe)),
        None => Err(no_recipe(&opened, wanted, setting)),
    }
}

fn find(setting: &Setting) -> Result<PathBuf, Status> {
    Ok(match &setting.notebook {
        Some(dir) => {
            if !dir.is_dir() {
                let refusal = Refusal::new(
                    format!("there is no folder `{}`", dir.display()),
                    "name the folder of a notebook, or start one with `costrel begin DIR`",
                );
                return Err(refused(setting, None, &refusal.about("--notebook")));
            }
            dir.clone()
        }
        None => match std::env::current_dir().ok().and_then(|here| upwards(&here)) {
            Some(root) => root,
            None => {
                let refusal = Refusal::new(
                    "no notebook here or above: no folder has a house.yaml",
                    "name one with `--notebook DIR`, or start one with `costrel begin DIR`",
                );
                return Err(refused(setting, None, &refusal.about("--notebook")));
            }
        },
    })
}

fn upwards(from: &Path) -> Option<PathBuf> {
    let found = from.ancestors().find(|dir| dir.join("house.yaml").is_file())?;
    // Relative where it can be, so that messages stay short.
    if found == from { Some(PathBuf::from(".")) } else { Some(found.to_path_buf()) }
}

fn prefix(root: &Path) -> String {
    if root == Path::new(".") {
        return String::new();
    }
    let mut shown = root.to_string_lossy().into_owned();
    if !shown.ends_with('/') {
        shown.push('/');
    }
    shown
}
