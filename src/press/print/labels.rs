//! Prep labels: what `labels.typ` gets. Name, made, use by, where to keep it, strength, allergens, what the law wants said, dangers
//! and cautions, batch and initials, and a code that leads to the recipe's page. No sentence is cut for want of room: the type gets
//! smaller, then cautions are counted that did not fit.

use jiff::civil::{Date, DateTime};
use qrcode::{Color, EcLevel, QrCode};
use serde::Serialize;
use serde_json::json;

use super::argument::WrongArgument;
use super::batch::Batch;
use super::paper::LabelSheet;
use super::safe::Warned;
use super::{Chapter, Document, safe};
use crate::ask::diet::{Regime, declaration};
use crate::ask::keeping::Hold;
use crate::ask::labelling::Statement;
use crate::ask::safety::Survey;
use crate::measure::show;
use crate::press::publication::Publication;
use crate::problem::{Problem, code};
use crate::source::Span;

/// What labels may be asked.
#[derive(Debug, Clone, Default)]
pub struct LabelSettings {
    /// The sheet.
    pub sheet: LabelSheet,
    /// The first label to print on, from 1: a sheet may have been begun.
    pub from: usize,
    /// How many of each.
    pub copies: usize,
    /// When it was made, as written: a day, or a day and a time.
    pub made: Option<String>,
    /// The batch number.
    pub lot: Option<String>,
    /// Batches, as `NAME=AMOUNT` or a name alone; without any, every prep.
    pub batches: Vec<String>,
    /// How far to move everything, mm to the right and down, for a printer that pulls sheets askew.
    pub nudge: (f64, f64),
    /// Only the outlines of the labels, to hold against a sheet.
    pub grid: bool,
}

/// Clear space inside a label, mm.
const CLEAR: f64 = 2.0;
/// What printers leave blank at the edge of a sheet, mm.
const BLANK: f64 = 5.0;
/// Smallest module of a code that phones read, mm.
const MODULE: f64 = 0.4;
/// Modules that stay white around a code (ISO/IEC 18004).
const QUIET: usize = 4;
/// Widest share of a label that a code may take.
const CODE_SHARE: f64 = 0.42;

#[derive(Debug, Serialize)]
struct Labels {
    /// Width and height of the sheet, mm.
    width: f64,
    height: f64,
    grid: bool,
    /// Sheets, each a list of labels.
    sheets: Vec<Vec<Label>>,
}

#[derive(Debug, Serialize)]
struct Label {
    /// Left and top edge on the sheet, width and height, mm.
    x: f64,
    y: f64,
    width: f64,
    height: f64,
    /// Clear space inside, mm: left, top, right, bottom.
    clear: [f64; 4],
    /// Its number on the sheet, from 1.
    number: usize,
    #[serde(flatten)]
    text: Option<Text>,
}

/// What a label says.
#[derive(Debug, Clone, Serialize)]
struct Text {
    name: String,
    /// When it was made; to be filled in by hand where it is not known.
    made: Option<String>,
    holds: Vec<UseBy>,
    amount: Option<String>,
    strength: String,
    contains: Vec<String>,
    may_contain: Vec<String>,
    unknown: Vec<String>,
    /// What must be said: `Contents under pressure.`
    statements: Vec<Said>,
    /// Dangers first, then cautions, each a whole sentence or two. The template tells as many as can be read, and how many more
    /// there are.
    warned: Vec<Warned>,
    lot: Option<String>,
    house: String,
    code: Option<Code>,
}

/// A statement, and its language where that is not the label's.
#[derive(Debug, Clone, Serialize)]
struct Said {
    text: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    lang: Option<&'static str>,
}

fn said(site: &Publication<'_>, statement: &Statement) -> Said {
    let (text, lang) = site.stated(statement);
    Said { text, lang }
}

/// A place to keep it, for how long, and until when.
#[derive(Debug, Clone, Serialize)]
struct UseBy {
    place: String,
    keeps: String,
    /// The last day, or day and time; to be filled in by hand where the making is not known well enough.
    until: Option<String>,
}

/// A code to be read by a phone.
#[derive(Debug, Clone, Serialize)]
struct Code {
    file: String,
    /// Where it leads, whole, and the same with places to part.
    dest: String,
    address: String,
    /// Side with its quiet zone, mm.
    side: f64,
}

/// When something was made.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Made {
    Day(Date),
    Time(DateTime),
}

fn made(written: &str) -> Option<Made> {
    let text = written.trim();
    match text.parse::<Date>() {
        Ok(day) if !text.contains(':') => Some(Made::Day(day)),
        _ => text.replacen(' ', "T", 1).parse::<DateTime>().ok().map(Made::Time),
    }
}

/// Until when a hold lasts. A hold of less than two days is counted by the hour, so it wants the time of making.
fn until(hold: &Hold, made: Option<Made>) -> Option<String> {
    let made = made?;
    let day = match made {
        Made::Day(day) => day,
        Made::Time(time) => time.date(),
    };
    let days = |n: i64| day.checked_add(jiff::Span::new().try_days(n).ok()?).ok();
    if let Some(offset) = hold.use_by_days.filter(|_| hold.hours >= 24.0) {
        return Some(days(i64::from(offset))?.to_string());
    }
    if hold.hours >= 48.0 {
        return Some(days(libm::floor(hold.hours / 24.0) as i64)?.to_string());
    }
    match made {
        Made::Day(_) => None,
        Made::Time(time) => {
            let minutes = jiff::Span::new().try_minutes(libm::floor(hold.hours * 60.0) as i64).ok()?;
            let end = time.checked_add(minutes).ok()?;
            Some(format!("{} {:02}:{:02}", end.date(), end.hour(), end.minute()))
        }
    }
}

/// The code of an address as vector squares: the strongest correction that leaves the squares large enough for the room.
fn code(address: &str, room: f64) -> Option<(String, f64)> {
    [EcLevel::Q, EcLevel::M, EcLevel::L].into_iter().find_map(|level| {
        let code = QrCode::with_error_correction_level(address.as_bytes(), level).ok()?;
        let width = code.width();
        let all = width + 2 * QUIET;
        let side = MODULE * all as f64;
        if side > room {
            return None;
        }
        let mut path = String::new();
        for (i, row) in code.to_colors().chunks(width).enumerate() {
            let mut at = 0;
            while at < width {
                let run = row[at..].iter().take_while(|c| **c == Color::Dark).count();
                if run > 0 {
                    path.push_str(&format!("M{} {}h{run}v1h-{run}z", at + QUIET, i + QUIET));
                }
                at += run.max(1);
            }
        }
        let svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {all} {all}\"><path fill=\"#fff\" d=\"M0 0h{all}v{all}H0z\"/><path fill=\"#000\" d=\"{path}\"/></svg>"
        );
        Some((svg, side.min(room)))
    })
}

fn text(
    site: &Publication<'_>,
    survey: &Survey,
    batch: &Batch,
    settings: &LabelSettings,
    when: Option<Made>,
    room: f64,
    files: &mut Vec<(String, Vec<u8>)>,
) -> (Text, bool) {
    let recipe = batch.recipe;
    let note = site.note(recipe);
    let made = &site.computed.made[recipe];
    let strength = match made.batch().mixture.figure_abv() {
        Ok(abv) => format!("{}\u{a0}%\u{a0}vol", show::strength(abv)),
        Err(_) => site.say("print.strength_unknown"),
    };
    let keeping = survey.keeping(recipe);
    let holds = keeping
        .holds
        .iter()
        .map(|h| UseBy { place: safe::place(site, h), keeps: show::hours(h.hours), until: until(h, when) })
        .collect();
    let (diet, regime) = (site.safety.diet(recipe), Regime::of(&site.house().allergens_regime));
    let declared = declaration(&diet, regime);
    let called = |tag: &str| safe::allergen(site, regime, tag);
    let mut wanted = false;
    let code = site.house().site_address.as_ref().filter(|_| note.publish).and_then(|base| {
        wanted = true;
        let address =
            format!("{}/recipes/{}.html", base.value.trim_end_matches('/'), site.computed.graph.nodes[recipe].slug);
        let (svg, side) = code(&address, room)?;
        let file = format!("code/{}.svg", files.len());
        files.push((file.clone(), svg.into_bytes()));
        Some(Code { file: format!("/{file}"), dest: address.clone(), address, side })
    });
    let missing = wanted && code.is_none();
    let text = Text {
        name: note.name.value.clone(),
        made: settings.made.clone(),
        holds,
        amount: batch.written.clone(),
        strength,
        // What only another list asks for is told too: a label is read by whoever opens the door.
        contains: declared.contains.iter().chain(&declared.other_lists).map(|d| called(&d.tag)).collect(),
        may_contain: diet.may_contain.iter().filter(|t| regime.word(t).is_some()).map(|t| called(t)).collect(),
        unknown: declared.unknown.clone(),
        statements: survey.statements(recipe).iter().filter(|s| s.on_label).map(|s| said(site, s)).collect(),
        warned: safe::warned(site, survey, recipe),
        lot: settings.lot.clone(),
        house: site.house().name.clone(),
        code,
    };
    (text, missing)
}

/// Everything the template gets, and warnings: a code too large for its label.
///
/// # Errors
/// A recipe or an amount that cannot be read, a day that is none, a first label that the sheet has not.
pub(super) fn document(
    site: &Publication<'_>,
    survey: &Survey,
    chapters: &[Chapter],
    settings: &LabelSettings,
) -> Result<(Document, Vec<Problem>), Vec<WrongArgument>> {
    let labels = settings.sheet.labels();
    let per = labels.count();
    let mut wrong = Vec::new();
    let when = settings.made.as_deref().map(|m| (m, made(m)));
    if let Some((written, None)) = when {
        let help = "write for example `--made 2026-11-26` or `--made \"2026-11-26 15:30\"`";
        wrong.push(WrongArgument::new(code::BAD_DATE, format!("`--made {written}` is no day"), help));
    }
    let from = settings.from.max(1);
    if from > per {
        let message = format!("`--from {from}`: the sheet has {per} labels");
        wrong.push(WrongArgument::new(code::BAD_NUMBER, message, format!("write a number from 1 to {per}")));
    }
    let mut batches = match super::batch::read(site, &settings.batches) {
        Ok(batches) => batches,
        Err(found) => {
            wrong.extend(found);
            Vec::new()
        }
    };
    if !wrong.is_empty() {
        return Err(wrong);
    }
    let place = site.house().site_address.as_ref().map_or_else(|| Span::new(site.house().file, 0, 0), |a| a.span);
    let mut problems = Vec::new();
    if settings.batches.is_empty() {
        batches = super::batch::preps(site, chapters);
    }
    let (width, height) = labels.size;
    let room = (height - 2.0 * CLEAR).min(width * CODE_SHARE);
    let when = when.and_then(|(_, made)| made);
    let mut files = Vec::new();
    let mut texts = Vec::new();
    for batch in &batches {
        let (text, missing) = text(site, survey, batch, settings, when, room, &mut files);
        if missing {
            let message = format!("the address of `{}` makes a code too large for this label", text.name);
            problems.push(
                Problem::new(code::CODE_TOO_LARGE, place, message)
                    .help("choose larger labels, or a shorter address in `site`"),
            );
        }
        texts.extend(std::iter::repeat_n(text, settings.copies.max(1)));
    }
    let (sheet_width, sheet_height) = labels.paper.size_mm();
    let mut sheets: Vec<Vec<Label>> = Vec::new();
    let all: Vec<Option<Text>> = if settings.grid { vec![None; per] } else { texts.into_iter().map(Some).collect() };
    let first = if settings.grid { 0 } else { from - 1 };
    for (i, text) in all.into_iter().enumerate() {
        let index = (first + i) % per;
        let sheet = (first + i) / per;
        while sheets.len() <= sheet {
            sheets.push(Vec::new());
        }
        let (left, top) = labels.place(index);
        let edge = |distance: f64| (BLANK - distance).max(CLEAR);
        let clear = [edge(left), edge(top), edge(sheet_width - left - width), edge(sheet_height - top - height)];
        let label = Label {
            x: left + settings.nudge.0,
            y: top + settings.nudge.1,
            width,
            height,
            clear,
            number: index + 1,
            text,
        };
        sheets[sheet].push(label);
    }
    let body = json!(Labels { width: sheet_width, height: sheet_height, grid: settings.grid, sheets });
    Ok((Document { template: "labels", title: site.say("print.labels"), body, files }, problems))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ask::keeping::Basis;

    fn hold(hours: f64, use_by_days: Option<u32>) -> Hold {
        Hold {
            claim: None,
            hours,
            at_c: Some(4.0),
            sealed: false,
            use_by_days,
            basis: Basis::Claim,
            because: String::new(),
            source: None,
        }
    }

    #[test]
    fn the_last_day_follows_from_the_making() {
        let day = made("2026-12-28");
        assert_eq!(until(&hold(168.0, None), day).as_deref(), Some("2027-01-04"));
        // A rule that counts the day of making as the first: seven days end six days later.
        assert_eq!(until(&hold(168.0, Some(6)), day).as_deref(), Some("2027-01-03"));
        // Hours want a time.
        assert_eq!(until(&hold(24.0, None), day), None);
        assert_eq!(until(&hold(24.0, None), made("2026-12-28 15:30")).as_deref(), Some("2026-12-29 15:30"));
        assert_eq!(until(&hold(24.0, None), None), None);
        assert_eq!(made("yesterday"), None);
    }

    #[test]
    fn a_code_has_its_quiet_zone_and_squares_large_enough() {
        let (svg, side) = code("https://lantern-lock.example/recipes/quince-cordial.html", 20.0).expect("a code");
        assert!(side <= 20.0 && svg.contains("M4 4h7"));
        assert_eq!(code(&"x".repeat(2000), 20.0), None);
    }
}
