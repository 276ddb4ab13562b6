//! The printed outputs of `press`: their options, and what makes each.

use anstream::eprintln;
use clap::{Args, ValueEnum};
use serde_json::json;

use super::super::{Setting, Status};
use super::What;

/// Sheets of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Paper {
    /// 210 × 297 mm
    A4,
    /// 148 × 210 mm
    A5,
    /// 8.5 × 11 in
    Letter,
}

/// Cards.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Card {
    /// 105 × 148 mm
    A6,
    /// 4 × 6 in
    #[value(name = "4x6")]
    Inches,
}

/// Options of the printed outputs.
#[derive(Debug, Args)]
#[command(next_help_heading = "Print")]
#[group(id = "print")]
pub(super) struct Arguments {
    /// The paper
    #[arg(long, value_enum, value_name = "PAPER")]
    paper: Option<Paper>,
    /// Only this chapter, by name or folder; may be given more than once
    #[arg(long, value_name = "CHAPTER")]
    chapter: Vec<String>,
    /// Only this recipe, by name, slug or file; may be given more than once
    #[arg(long, value_name = "RECIPE")]
    recipe: Vec<String>,
    /// The card; without it, what fits the paper
    #[arg(long, value_enum, value_name = "CARD")]
    card: Option<Card>,
    /// One card to a page of its own size, instead of as many to a sheet as fit
    #[arg(long)]
    single: bool,
    /// A date, or other words, printed at the foot of every page
    #[arg(long, value_name = "DATE")]
    dated: Option<String>,
}

/// Why these options cannot be used, if they cannot: an option that what is made has no use for would be passed over
/// without a word.
pub(super) fn misused(arguments: &super::Arguments) -> Option<String> {
    use What::{Book, Cards};
    let print = &arguments.print;
    let all = &[Book, Cards][..];
    let options = [
        ("--paper", print.paper.is_some(), all),
        ("--chapter", !print.chapter.is_empty(), all),
        ("--recipe", !print.recipe.is_empty(), all),
        ("--card", print.card.is_some(), &[Cards]),
        ("--single", print.single, &[Cards]),
        ("--dated", print.dated.is_some(), all),
    ];
    if let Some(what) = arguments.what
        && let Some((option, _, of)) = options.iter().find(|(_, given, of)| *given && !of.contains(&what))
    {
        let words: Vec<String> = of.iter().map(|w| format!("`press {}`", w.word())).collect();
        return Some(format!(
            "`press {}` has no use for `{option}`\n  leave it out; it is for {}",
            what.word(),
            words.join(", ")
        ));
    }
    if !cfg!(feature = "pdf") && arguments.what.is_some_and(|w| !matches!(w, What::Site | What::Notes)) {
        return Some(
            "this build has no typesetter, so it prints nothing\n  build it with the feature `pdf`, which is on unless it was left out"
                .into(),
        );
    }
    None
}

/// Says why nothing is made.
pub(super) fn refuse(words: &str, setting: &Setting) -> Status {
    if setting.json {
        let (message, help) = words.split_once("\n  ").unwrap_or((words, ""));
        let problem = json!({ "code": "usage", "severity": "error", "message": message, "file": null, "line": null, "column": null, "help": help });
        super::super::output::document(&json!({ "made": [], "problems": [problem] }));
    } else {
        eprintln!("costrel: {words}");
    }
    Status::Usage
}

#[cfg(not(feature = "pdf"))]
pub(super) fn jobs<'a>(
    arguments: &'a super::Arguments,
    _: Option<crate::press::Edition>,
    _: &dyn Fn(&str) -> std::path::PathBuf,
    _: &mut Vec<super::Job<'a>>,
) {
    if arguments.what.is_none() {
        eprintln!("print is left out: this build has no typesetter");
    }
}

#[cfg(feature = "pdf")]
pub(super) use made::jobs;

#[cfg(feature = "pdf")]
mod made {
    use std::path::PathBuf;

    use super::super::{Job, Made, Maker, Making, What};
    use crate::notebook::walk::Asset;
    use crate::press::Edition;
    use crate::press::print::{self, Printed, Settings};
    use crate::problem::Problem;

    /// The pictures of the notebook, from disk.
    fn picture(asset: &Asset) -> Option<Vec<u8>> {
        std::fs::read(&asset.on_disk).ok()
    }

    fn settings(arguments: &super::Arguments) -> Settings {
        let paper = match arguments.paper {
            Some(super::Paper::A4) | None => print::Paper::A4,
            Some(super::Paper::A5) => print::Paper::A5,
            Some(super::Paper::Letter) => print::Paper::Letter,
        };
        Settings {
            paper,
            dated: arguments.dated.clone(),
            chapters: arguments.chapter.clone(),
            recipes: arguments.recipe.clone(),
        }
    }

    fn card(arguments: &super::Arguments) -> print::Card {
        match (arguments.card, arguments.paper) {
            (Some(super::Card::A6), _) => print::Card::A6,
            (Some(super::Card::Inches), _) | (None, Some(super::Paper::Letter)) => print::Card::Inches4x6,
            (None, _) => print::Card::A6,
        }
    }

    fn file(printed: Result<Printed, Vec<Problem>>) -> Making {
        let printed = printed?;
        Ok((Made::File { bytes: printed.pdf, pages: printed.pages }, printed.problems))
    }

    /// The printed outputs that were asked for.
    pub(in super::super) fn jobs<'a>(
        arguments: &'a super::super::Arguments,
        edition: Option<Edition>,
        target: &dyn Fn(&str) -> PathBuf,
        jobs: &mut Vec<Job<'a>>,
    ) {
        // What is printed is for the house, unless it is asked to be fit for guests.
        let edition = edition.unwrap_or(Edition::House);
        let folder = if edition == Edition::House { "print" } else { "print-public" };
        let options = &arguments.print;
        let mut add = |what: What, name: &'static str, doing, make: Maker<'a>| {
            if arguments.what.is_none_or(|w| w == what) {
                let target = target(&format!("{folder}/{name}.pdf"));
                jobs.push(Job { what: name, edition, name, doing, target, make });
            }
        };
        add(
            What::Book,
            "book",
            "setting the spec book",
            Box::new(move |computed, edition| file(print::book(computed, edition, &settings(options), &picture))),
        );
        add(
            What::Cards,
            "cards",
            "setting the cards",
            Box::new(move |computed, edition| {
                let settings = settings(options);
                file(print::cards(computed, edition, &settings, card(options), options.single))
            }),
        );
    }
}
