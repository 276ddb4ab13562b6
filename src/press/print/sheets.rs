//! Batch sheets: what `sheets.typ` gets. For a recipe and a size: exact and measured amounts in the order of the work, house-made
//! parts first, boxes to tick, what to read and what it should be, critical points, room for corrections, and the label's text.

use serde::Serialize;
use serde_json::{Value, json};

use super::argument::WrongArgument;
use super::batch::Batch;
use super::prose::Block;
use super::{Document, prose, safe};
use crate::ask::batch::document::{Amount, Fruit, PourAnswer};
use crate::ask::batch::{Answer, Drift, Request, batch, wording};
use crate::ask::diet::{Regime, declaration};
use crate::ask::figure::by_reason;
use crate::ask::prose::evaluate_all;
use crate::ask::safety::Survey;
use crate::measure::tool::View;
use crate::measure::{Exact, Unit, show};
use crate::notebook::recipe_note::Makes;
use crate::press::content::recipe;
use crate::press::publication::Publication;
use crate::press::text;
use crate::problem::{Problem, code};
use crate::process::Process;

#[derive(Debug, Serialize)]
struct Sheets {
    sheets: Vec<Sheet>,
}

/// One batch: its parts first, then itself.
#[derive(Debug, Serialize)]
struct Sheet {
    name: String,
    /// What was asked for, as written.
    asked: Option<String>,
    made: Option<String>,
    lot: Option<String>,
    parts: Vec<Part>,
}

/// One recipe of a batch.
#[derive(Debug, Serialize)]
struct Part {
    name: String,
    /// Whether this is what was asked for, and not a part of it.
    whole: bool,
    /// `makes 2.4 l · 25 serves`, `80 ml needed: all of it in stock`.
    line: String,
    rows: Vec<Row>,
    /// What rounding does, and what else must be said.
    notes: Vec<String>,
    order: Value,
    /// Written out for the recipe's own size: the words may name other amounts.
    steps: Vec<Vec<Block>>,
    as_written: bool,
    cautions: Value,
    /// What to read, and what it should be.
    readings: Vec<Reading>,
    points: Vec<Value>,
    allergens: Vec<String>,
    unknown: Vec<String>,
    holds: Vec<String>,
}

#[derive(Debug, Serialize)]
struct Row {
    measure: String,
    unit: String,
    exact: String,
    error: String,
    name: String,
    tool: String,
    notes: Vec<String>,
}

#[derive(Debug, Serialize)]
struct Reading {
    what: String,
    expected: String,
}

fn unit_word(site: &Publication<'_>, unit: &str, many: bool) -> String {
    let key = format!("scale.{unit}_{}", if many { "other" } else { "one" });
    match (site.words().find(&key), Unit::from_word(unit), many) {
        (Some(word), ..) => word.to_owned(),
        (None, Some(unit), true) => unit.word_for(2.into()).to_owned(),
        // A word that the house writes itself, such as that of a fruit, is made plural as English does it.
        (None, None, true) if site.words().speaks("en") && !unit.ends_with('s') => format!("{unit}s"),
        _ => unit.to_owned(),
    }
}

fn with_unit(site: &Publication<'_>, digits: &str, amount: &Amount) -> String {
    format!("{digits}\u{a0}{}", unit_word(site, &amount.unit, amount.amount > Exact::one()))
}

fn exact(site: &Publication<'_>, amount: &Amount) -> String {
    with_unit(site, &wording::exact(amount), amount)
}

/// As a tool shows it: all its digits.
fn said(site: &Publication<'_>, amount: &Amount) -> String {
    with_unit(site, &wording::read(amount), amount)
}

fn row(site: &Publication<'_>, pour: &PourAnswer) -> Row {
    let words = site.words();
    let unit = unit_word(site, &pour.measure.unit, pour.measure.amount > Exact::one());
    let mut notes = Vec::new();
    if let Some(stage) = &pour.at {
        notes.push(words.with("scale.at", &[("stage", &site.phrase(stage))]));
    }
    if let Some(each) = &pour.per_glass {
        notes.push(words.with("scale.each_glass", &[("amount", &said(site, &each.measure))]));
    }
    if let Some(start) = &pour.start {
        let (start, whole) = (said(site, start), said(site, &pour.measure));
        notes.push(words.with("sheet.start", &[("start", &start), ("whole", &whole)]));
    }
    if let Some(take) = pour.take.as_ref().filter(|t| t.unit != pour.measure.unit) {
        let amount = format!("{} {}", take.count.rounded(0), unit_word(site, &take.unit, take.count > Exact::one()));
        notes.push(words.with("scale.from", &[("amount", &amount)]));
    }
    if let Some(surplus) = &pour.surplus {
        notes.push(words.with("scale.spare", &[("amount", &with_unit(site, &wording::spare(surplus), surplus))]));
    }
    if let Some(opened) = &pour.opens {
        notes.push(words.with("sheet.opens", &[("n", &opened.count.rounded(0)), ("size", &exact(site, &opened.size))]));
    }
    if let Some(to) = &pour.fills_to {
        notes.push(words.with("scale.fills", &[("amount", &exact(site, to))]));
    }
    if let Some(loads) = pour.loads {
        notes.push(words.with("scale.loads", &[("n", &loads.to_string())]));
    }
    let tool = words.find(&format!("scale.by_{}", pour.tool.replace(' ', "_"))).unwrap_or(pour.tool);
    Row {
        measure: wording::measured(pour),
        unit,
        exact: exact(site, &pour.exact),
        error: wording::error(pour),
        name: pour.name.clone(),
        tool: tool.to_owned(),
        notes,
    }
}

fn drift(site: &Publication<'_>, drift: &Drift) -> Option<String> {
    let one = |value: Option<f64>, decimals: usize, key: &str, unit: &str| {
        let change = format!("{} {unit}", wording::change(value?, decimals)?);
        Some(site.words().with("sheet.moves", &[("figure", &site.say(key)), ("change", &change)]))
    };
    let moves: Vec<String> = [
        one(drift.abv_pct, 2, "sheet.strength", "% vol"),
        one(drift.sugar_g_per_100ml, 2, "sheet.sugar", "g/100 ml"),
        one(drift.acid_g_per_100ml, 3, "sheet.acid", "g/100 ml"),
    ]
    .into_iter()
    .flatten()
    .collect();
    (!moves.is_empty()).then(|| site.words().with("sheet.rounding", &[("moves", &moves.join(", "))]))
}

/// Which figures rounding moves too far for the house, with no tool to mend it.
fn beyond(site: &Publication<'_>, answer: &Answer) -> Option<String> {
    let figures: Vec<String> =
        answer.drift_beyond.iter().map(|b| site.say(&format!("scale.figure_{}", b.figure))).collect();
    (!figures.is_empty()).then(|| site.words().with("scale.beyond", &[("figures", &figures.join(", "))]))
}

/// Fruit of which several sides are used.
fn fruit(site: &Publication<'_>, fruit: &Fruit) -> String {
    let side = |side: &String| site.words().find(&format!("scale.side_{side}")).unwrap_or(side).to_owned();
    let sides: Vec<String> = fruit.sides.iter().map(side).collect();
    let (count, sides) = (fruit.count.rounded(0), sides.join(", "));
    site.words().with("scale.fruit", &[("n", &count), ("name", &fruit.name), ("sides", &sides)])
}

fn line(site: &Publication<'_>, answer: &Answer, whole: bool) -> String {
    let told = site.words();
    let volume =
        |v: &Option<Exact>| v.as_ref().map_or_else(|| site.say("sheet.unknown_volume"), |v| show::volume(v.float()));
    let with_volume = |key: &str, volume: String| told.with(key, &[("volume", &volume)]);
    let times = answer.factor.as_ref().filter(|f| f.is_positive()).map(|f| {
        if *f == Exact::one() {
            site.say("sheet.as_written")
        } else {
            let decimals = if *f >= Exact::whole(100) { 1 } else { 3 };
            told.with("sheet.times", &[("n", &f.rounded(decimals))])
        }
    });
    let mut words = Vec::new();
    if whole {
        words.push(with_volume("scale.makes", volume(&answer.makes_ml)));
        if let Some(serves) = answer.serves {
            words.push(told.count("scale.serves", usize::try_from(serves).unwrap_or(usize::MAX)));
        }
    } else {
        let to_make = || with_volume("scale.to_make", volume(&answer.makes_ml));
        match (&answer.from_stock_ml, &times) {
            (Some(stock), None) => words.push(with_volume("scale.in_stock", show::volume(stock.float()))),
            (Some(stock), Some(_)) => {
                words.push(with_volume("sheet.in_stock", show::volume(stock.float())));
                words.push(to_make());
            }
            (None, _) => words.push(to_make()),
        }
    }
    words.extend(times);
    for bottles in &answer.bottles {
        let key = if bottles.count == 1 { "scale.bottles_one" } else { "scale.bottles_other" };
        let (n, size) = (bottles.count.to_string(), show::volume(bottles.size_ml.float()));
        let fill = show::volume(bottles.fill_ml.float());
        words.push(told.with(key, &[("n", &n), ("size", &size), ("fill", &fill)]));
    }
    words.join(" · ")
}

/// What is worth reading of a recipe, and what it should be at this size.
fn readings(site: &Publication<'_>, recipe: usize, answer: &Answer) -> Vec<Reading> {
    let made = &site.computed.made[recipe];
    let batch = &made.batch().mixture;
    let mut list = Vec::new();
    let mut add = |what: String, expected: Option<String>| {
        list.push(Reading { what, expected: expected.unwrap_or_else(|| "–".into()) });
    };
    add(site.say("sheet.volume"), answer.makes_ml.as_ref().map(|v| show::volume(v.float())));
    let weight = batch.figure_mass().ok().zip(answer.factor.as_ref());
    add(site.say("sheet.weight"), weight.map(|(g, f)| format!("{} g", show::amount(g * f.float()))));
    // A refractometer tells sugar only where there is no alcohol.
    if batch.figure_abv().is_ok_and(|abv| abv < 0.05) {
        add("°Bx".into(), batch.figure_brix().ok().map(|b| show::fixed(b, 1)));
    }
    let has = |wanted: &[Process]| site.note(recipe).process.iter().any(|p| wanted.contains(&p.process));
    if has(&[Process::Ferment]) {
        add(site.say("sheet.gravity"), None);
    }
    if has(&[Process::Ferment, Process::MilkClarify, Process::AcidAdjust]) || site.note(recipe).makes == Makes::Prep {
        add("pH".into(), made.ph.map(|ph| show::fixed(ph, 2)));
    }
    if has(&[Process::Heat, Process::Pasteurise, Process::HotFill]) {
        add(site.say("sheet.hottest"), None);
    }
    add(site.say("sheet.put_away"), None);
    list
}

/// What a figure of a batch is called, by its field.
fn figure(site: &Publication<'_>, field: &str) -> String {
    match field.trim_start_matches("drift.") {
        "factor" | "makes_ml" | "serves" => site.say("sheet.how_much"),
        "pours" => site.say("scale.what"),
        "abv_pct" => site.say("sheet.strength"),
        "sugar_g_per_100ml" => site.say("sheet.sugar"),
        "acid_g_per_100ml" => site.say("sheet.acid"),
        other => other.replace('_', " "),
    }
}

fn part(site: &Publication<'_>, survey: &Survey, recipe: usize, answer: &Answer, whole: bool) -> Part {
    let note = site.note(recipe);
    let shown = whole || site.shows(recipe);
    let body = site.computed.graph.notes.sources.text(note.body);
    let values = evaluate_all(site.computed, Some(recipe), body, note.body);
    let parts = text::parts(body, &values, &|_| None);
    let mut page = recipe::recipe(site, recipe);
    let regime = Regime::of(&site.house().allergens_regime);
    let declared = declaration(&site.safety.diet(recipe), regime);
    let called = |tag: &str| safe::allergen(site, regime, tag);
    let mut notes: Vec<String> = answer.fruit.iter().map(|f| fruit(site, f)).collect();
    notes.extend(drift(site, &answer.drift));
    notes.extend(beyond(site, answer));
    for (fields, because) in by_reason(&answer.unknown) {
        let mut figures: Vec<String> = fields.into_iter().map(|field| figure(site, field)).collect();
        figures.dedup();
        let figure = figures.join(", ");
        notes.push(site.words().with("sheet.not_known", &[("figure", &figure), ("because", because)]));
    }
    if let Some(left) = answer.left_ml.as_ref().filter(|l| l.float() >= 0.05) {
        notes.push(site.words().with("sheet.left", &[("volume", &show::volume(left.float()))]));
    }
    let holds = survey
        .keeping(recipe)
        .holds
        .iter()
        .map(|h| format!("{} {}", show::hours(h.hours), safe::place(site, h)))
        .collect();
    // Of what is not published a public sheet tells the name, the allergens and the cautions.
    let steps: Vec<Vec<Block>> =
        if shown { parts.steps.iter().map(|s| prose::blocks(s, &|_| None)).collect() } else { Vec::new() };
    Part {
        name: answer.name.clone(),
        whole,
        line: line(site, answer, whole),
        rows: if shown { answer.pours.iter().map(|p| row(site, p)).collect() } else { Vec::new() },
        notes: if shown { notes } else { Vec::new() },
        order: if shown { page["method"]["order"].take() } else { json!([]) },
        steps,
        as_written: answer.factor.as_ref().is_some_and(|f| *f == Exact::one()),
        cautions: page["cautions"].take(),
        readings: if shown { readings(site, recipe, answer) } else { Vec::new() },
        points: if shown { safe::points(survey, recipe) } else { Vec::new() },
        allergens: declared.contains.iter().chain(&declared.other_lists).map(|d| called(&d.tag)).collect(),
        unknown: declared.unknown,
        holds,
    }
}

/// The parts of a batch, what others need first, each once.
fn flatten(site: &Publication<'_>, survey: &Survey, answer: &Answer, seen: &mut Vec<String>, out: &mut Vec<Part>) {
    for prep in &answer.preps {
        flatten(site, survey, prep, seen, out);
        if seen.contains(&prep.recipe) {
            continue;
        }
        seen.push(prep.recipe.clone());
        if let Some(recipe) = site.computed.graph.recipe(&prep.recipe) {
            out.push(part(site, survey, recipe, prep, false));
        }
    }
}

/// Everything the template gets, and the warnings of the batches.
///
/// # Errors
/// A recipe or an amount that cannot be read; a size that the recipe cannot have.
pub(super) fn document(
    site: &Publication<'_>,
    survey: &Survey,
    batches: &[Batch],
    made: Option<&str>,
    lot: Option<&str>,
) -> Result<(Document, Vec<Problem>), Vec<WrongArgument>> {
    let (mut sheets, mut problems, mut warnings) = (Vec::new(), Vec::new(), Vec::new());
    for asked in batches {
        let view = if site.house().show.first() == Some(&Unit::Oz) { View::Ounces } else { View::Metric };
        let request = Request { size: asked.size.clone(), view, public: !site.is_house(), ..Request::default() };
        match batch(site.computed, asked.recipe, &request) {
            Ok((answer, found)) => {
                warnings.extend(found);
                let mut parts = Vec::new();
                flatten(site, survey, &answer, &mut Vec::new(), &mut parts);
                parts.push(part(site, survey, asked.recipe, &answer, true));
                sheets.push(Sheet {
                    name: answer.name.clone(),
                    asked: asked.written.clone(),
                    made: made.map(str::to_owned),
                    lot: lot.map(str::to_owned),
                    parts,
                });
            }
            Err(refusal) => {
                let name = &site.note(asked.recipe).name.value;
                let message = format!("no batch of {name} can be made: {}", refusal.message);
                problems.push(WrongArgument::new(code::BAD_AMOUNT, message, refusal.help));
            }
        }
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    let body = json!(Sheets { sheets });
    Ok((Document { template: "sheets", title: site.say("print.batch_sheets"), body, files: Vec::new() }, warnings))
}
