//! The printed outputs of `press`: their options, and what makes each.

use anstream::eprintln;
use clap::{Args, ValueEnum};
use serde_json::json;

use super::super::{Setting, Status};
use super::What;
use crate::problem::code;
use crate::problem::terminal::clean;

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

/// Sheets of labels: how many across and down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Sheet {
    /// A4, 24 labels of 70 × 37 mm
    #[value(name = "3x8")]
    A4x24,
    /// A4, 21 labels of 63.5 × 38.1 mm
    #[value(name = "3x7")]
    A4x21,
    /// US Letter, 30 labels of 2.625 × 1 in
    #[value(name = "3x10")]
    Letter30,
    /// US Letter, 10 labels of 4 × 2 in
    #[value(name = "2x5")]
    Letter10,
}

/// `0.5,-1`: how far to the right and down, mm.
fn nudge(written: &str) -> Result<(f64, f64), String> {
    let read = |t: &str| t.trim().trim_end_matches("mm").trim().parse::<f64>().ok().filter(|n| n.abs() <= 10.0);
    written
        .split_once(',')
        .and_then(|(right, down)| Some((read(right)?, read(down)?)))
        .ok_or_else(|| "write millimetres to the right and down, at most 10, for example `0.5,-1`".to_owned())
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
    /// A batch, such as "quince cordial=2.4 l"; may be given more than once. Without one, labels and sheets are for every prep
    #[arg(long, value_name = "NAME=AMOUNT")]
    batch: Vec<String>,
    /// When the batches were made: a day, or a day and a time; without it a line to write on
    #[arg(long, value_name = "DATE")]
    made: Option<String>,
    /// The batch number; without it a line to write on
    #[arg(long, value_name = "TEXT")]
    lot: Option<String>,
    /// The sheet of labels: how many across and down
    #[arg(long, value_enum, value_name = "SHEET")]
    sheet: Option<Sheet>,
    /// The first label to print on, from 1
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..))]
    from: Option<u16>,
    /// How many labels of each
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=500))]
    copies: Option<u16>,
    /// Move all labels to the right and down, mm, such as 0.5,-1
    #[arg(long, value_name = "X,Y", value_parser = nudge, allow_hyphen_values = true)]
    nudge: Option<(f64, f64)>,
    /// Only the outlines of the labels, to hold against a sheet
    #[arg(long)]
    grid: bool,
    /// Decides order and choices of a test; the same seed gives the same test
    #[arg(long, value_name = "N")]
    seed: Option<u64>,
    /// The most drinks of a chapter in a test
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..))]
    questions: Option<u16>,
    /// A date, or other words, printed at the foot of every page
    #[arg(long, value_name = "DATE")]
    dated: Option<String>,
}

/// Why these options cannot be used, if they cannot: an option that what is made has no use for would be passed over
/// without a word.
pub(super) fn misused(arguments: &super::Arguments) -> Option<String> {
    use What::{Book, Cards, Labels, Sheets, Tests};
    let print = &arguments.print;
    let all = &[Book, Cards, Sheets, Labels, Tests][..];
    let (batches, tests) = (&[Sheets, Labels][..], &[Tests][..]);
    let (cards, labels) = (&[Cards][..], &[Labels][..]);
    let options = [
        ("--paper", print.paper.is_some(), all),
        ("--chapter", !print.chapter.is_empty(), all),
        ("--recipe", !print.recipe.is_empty(), all),
        ("--batch", !print.batch.is_empty(), batches),
        ("--made", print.made.is_some(), batches),
        ("--lot", print.lot.is_some(), batches),
        ("--sheet", print.sheet.is_some(), labels),
        ("--from", print.from.is_some(), labels),
        ("--copies", print.copies.is_some(), labels),
        ("--nudge", print.nudge.is_some(), labels),
        ("--grid", print.grid, labels),
        ("--seed", print.seed.is_some(), tests),
        ("--questions", print.questions.is_some(), tests),
        ("--card", print.card.is_some(), cards),
        ("--single", print.single, cards),
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
    let (message, help) = words.split_once("\n  ").unwrap_or((words, ""));
    wrong(std::iter::once(("usage", message, help)), setting)
}

/// Says which arguments cannot be followed: code, message, help. A name that nothing has is a question without an answer, as for
/// the other commands; anything else is wrong usage.
pub(super) fn wrong<'a>(list: impl Iterator<Item = (&'a str, &'a str, &'a str)>, setting: &Setting) -> Status {
    let list: Vec<_> = list.collect();
    let names = [code::NO_SUCH_CHAPTER.name(), code::NO_SUCH_RECIPE.name()];
    let status = if list.iter().all(|(code, ..)| names.contains(code)) { Status::Errors } else { Status::Usage };
    let list = list.into_iter();
    if setting.json {
        let problem = |(code, message, help)| json!({ "code": code, "severity": "error", "message": message, "file": null, "line": null, "column": null, "help": help });
        let problems: Vec<serde_json::Value> = list.map(problem).collect();
        super::super::output::document(&json!({ "made": [], "problems": problems }));
    } else {
        for (_, message, help) in list {
            eprintln!("costrel: {}\n  {}", clean(message), clean(help));
        }
    }
    status
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

    use super::super::{Job, Made, Maker, Making, NotMade, What};
    use crate::notebook::walk::Asset;
    use crate::press::Edition;
    use crate::press::print::{self, NotPrinted, Printed, Settings};

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

    fn labels(arguments: &super::Arguments) -> print::LabelSettings {
        let sheet = match (arguments.sheet, arguments.paper) {
            (Some(super::Sheet::A4x24), _) => print::LabelSheet::A4x24,
            (Some(super::Sheet::A4x21), _) => print::LabelSheet::A4x21,
            (Some(super::Sheet::Letter30), _) | (None, Some(super::Paper::Letter)) => print::LabelSheet::Letter30,
            (Some(super::Sheet::Letter10), _) => print::LabelSheet::Letter10,
            (None, _) => print::LabelSheet::A4x24,
        };
        print::LabelSettings {
            sheet,
            from: usize::from(arguments.from.unwrap_or(1)),
            copies: usize::from(arguments.copies.unwrap_or(1)),
            made: arguments.made.clone(),
            lot: arguments.lot.clone(),
            batches: arguments.batch.clone(),
            nudge: arguments.nudge.unwrap_or_default(),
            grid: arguments.grid,
        }
    }

    fn file(printed: Result<Printed, NotPrinted>) -> Making {
        let printed = printed.map_err(|why| match why {
            NotPrinted::Faulty(problems) => NotMade::Faulty(problems),
            NotPrinted::Asked(list) => NotMade::Asked(list.into_iter().map(|w| (w.code, w.message, w.help)).collect()),
        })?;
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
        add(
            What::Sheets,
            "sheets",
            "setting the batch sheets",
            Box::new(move |computed, edition| {
                let (made, lot) = (options.made.as_deref(), options.lot.as_deref());
                file(print::sheets(computed, edition, &settings(options), &options.batch, made, lot))
            }),
        );
        add(
            What::Labels,
            "labels",
            "setting the labels",
            Box::new(move |computed, edition| {
                file(print::labels(computed, edition, &settings(options), &labels(options)))
            }),
        );
        add(
            What::Tests,
            "tests",
            "setting the tests",
            Box::new(move |computed, edition| {
                let whole = print::TestSettings::default();
                let test = print::TestSettings {
                    seed: options.seed.unwrap_or(whole.seed),
                    questions: options.questions.map_or(whole.questions, usize::from),
                };
                file(print::tests(computed, edition, &settings(options), test))
            }),
        );
    }
}
