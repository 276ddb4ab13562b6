//! `costrel dial RECIPE`: the smallest change of the pours that reaches wanted figures, and what to add.

use anstream::println;
use anstyle::Style;
use clap::Args;
use serde_json::Value;

use super::screen::{Rows, Screen};
use super::words::{Words, no_flag, recipe_of};
use super::{Opened, Setting, Status, as_asked, concerning, open_one, refused};
use crate::ask::dial::{Answer, Figure, Measure, Named, Refusal, Request, Target, dial, today};
use crate::measure::{Dimension, float, show};
use crate::notebook::fact::{Basis, Kind, fact};
use crate::notebook::value;
use crate::problem::terminal::clean;
use crate::problem::{Problem, json as as_json};
use crate::recipe::names;

/// Most sugar or acid that 100 ml can hold, g: crystals without a drop of water weigh about 160 g.
const MOST_CONTENT: f64 = 160.0;
/// Most dilution that can be meant, %.
const MOST_DILUTION: f64 = 10_000.0;
/// Most volume that can be meant, ml; a pour knows no more either.
const MOST_VOLUME: f64 = 10_000_000.0;

/// How much more or less than another a pour's change may count.
const WEIGHTS: std::ops::RangeInclusive<f64> = 0.001..=1000.0;

/// Arguments of `dial`.
#[derive(Debug, Args)]
pub struct Arguments {
    /// A recipe's name, its address or its file
    #[arg(num_args = 0..)]
    recipe: Vec<String>,
    /// Strength to reach, % vol
    #[arg(long, value_name = "%", allow_hyphen_values = true, value_parser = no_flag)]
    abv: Option<String>,
    /// Sugar to reach, g/100 ml
    #[arg(long, value_name = "G/100ML", allow_hyphen_values = true, value_parser = no_flag)]
    sugar: Option<String>,
    /// Acid to reach, g/100 ml as anhydrous citric acid
    #[arg(long, value_name = "G/100ML", allow_hyphen_values = true, value_parser = no_flag)]
    acid: Option<String>,
    /// Water to reach, poured or melted, as % of the volume before it
    #[arg(long, value_name = "%", allow_hyphen_values = true, value_parser = no_flag)]
    dilution: Option<String>,
    /// Volume to reach, such as "1 l"
    #[arg(long, value_name = "VOLUME", allow_hyphen_values = true, value_parser = no_flag)]
    volume: Option<String>,
    /// What may vary, with commas between; a weight above 1 as in `gin:3` makes its change count more. It may name what
    /// the recipe does not pour. Without it, every measured pour above 2 % of the mix that is not held
    #[arg(long, value_name = "NAME,…")]
    vary: Vec<String>,
    /// Facts of today, such as "pear juice: brix=10.5, acid=0.7"; may be repeated. Without a target, the drink is brought
    /// back to what it is as written
    #[arg(long, value_name = "NAME: FACT=…", allow_hyphen_values = true, value_parser = no_flag)]
    reading: Vec<String>,
    /// What is in the glass already, such as "white rum=180 ml"; may be repeated. The rest counts as poured by the recipe,
    /// and nothing is taken out again
    #[arg(long, value_name = "NAME=AMOUNT", allow_hyphen_values = true, value_parser = no_flag)]
    poured: Vec<String>,
}

pub(super) fn run(arguments: &Arguments, setting: &Setting) -> Status {
    let mut words = Words::new(&arguments.recipe);
    let volume = arguments.volume.as_deref().map(|written| words.completed(written));
    let Some(wanted) = recipe_of(words) else {
        let refusal =
            Refusal::new("no recipe is named", "write for example `costrel dial \"Lockside Daily\" --abv 14`");
        return refused(setting, None, &refusal.about("RECIPE"));
    };
    let targets = match targets(arguments) {
        Ok(targets) => targets,
        Err(refusal) => return refused(setting, None, &refusal),
    };
    let (mut opened, recipe) = match open_one(setting, &wanted) {
        Ok(opened) => opened,
        Err(status) => return status,
    };
    let slug = opened.computed.graph.nodes[recipe].slug.clone();
    if let Err(refusal) = as_asked(&mut opened, recipe, setting) {
        return refused(setting, Some(&slug), &refusal);
    }
    let asked = request(arguments, &opened, recipe, targets, volume.as_deref());
    let answer = match asked.and_then(|r| dial(&opened.computed, recipe, &r)) {
        Ok(answer) => answer,
        Err(refusal) => return refused(setting, Some(&slug), &refusal),
    };
    let problems = concerning(&opened, recipe);
    if setting.json {
        document(&answer, &problems, &opened);
    } else {
        print(&answer, &opened.computed.graph.notes.recipes[recipe].name.value);
        opened.print(problems.iter().copied());
    }
    if !answer.feasible || problems.iter().any(|p| p.is_error()) { Status::Errors } else { Status::Fine }
}

/// The targets that are plain numbers.
fn targets(arguments: &Arguments) -> Result<Vec<Target>, Refusal> {
    let mut targets = Vec::new();
    for (flag, written, figure, kind, most) in [
        ("--abv", &arguments.abv, Figure::Strength, Kind::Strength, 100.0),
        ("--sugar", &arguments.sugar, Figure::Sugar, Kind::Content, MOST_CONTENT),
        ("--acid", &arguments.acid, Figure::Acid, Kind::Content, MOST_CONTENT),
        ("--dilution", &arguments.dilution, Figure::Dilution, Kind::Strength, MOST_DILUTION),
    ] {
        if let Some(written) = written {
            targets.push(Target { figure, wanted: number(flag, written, kind, most)? });
        }
    }
    Ok(targets)
}

fn number(flag: &'static str, written: &str, kind: Kind, most: f64) -> Result<f64, Refusal> {
    let example = match kind {
        Kind::Strength => format!("write for example `{flag} 25`"),
        _ => format!("write for example `{flag} 0.8`, grams in 100 ml"),
    };
    let refuse = |message: String| {
        Err(Refusal::new(format!("`{flag} {}`: {message}", clean(written)), example.clone()).about(flag))
    };
    let text = today::text(written);
    if flag == "--dilution" {
        // More than 100 % is possible here, unlike for a strength.
        let mut problems = Vec::new();
        let plain = today::text(text.value.trim_end_matches('%'));
        return match value::plain(&plain, &mut problems) {
            Some(n) if (0.0..=most).contains(&n.value) => Ok(n.value),
            _ => refuse(format!("not a share of water from 0 to {most} %")),
        };
    }
    let mut problems = Vec::new();
    match (fact(&text, flag, kind, &mut problems), problems.first()) {
        (Some(f), None) if f.basis == Basis::Mass => refuse("what is wanted is per 100 ml, not per 100 g".into()),
        (Some(f), None) if f.plus_minus.is_some() => refuse("one number is wanted".into()),
        (Some(f), None) if (0.0..=most).contains(&f.value) => Ok(f.value),
        (Some(f), None) => refuse(format!("{} is not between 0 and {most}", f.value)),
        (_, problem) => refuse(problem.map_or_else(|| "not a number".into(), |p| p.message.clone())),
    }
}

fn request(
    arguments: &Arguments,
    opened: &Opened,
    recipe: usize,
    mut targets: Vec<Target>,
    volume: Option<&str>,
) -> Result<Request, Refusal> {
    let units = &opened.computed.graph.notes.house.units;
    if let Some(written) = volume {
        let mut problems = Vec::new();
        let amount = value::amount(&today::text(written), Some(Dimension::Volume), &mut problems);
        let wanted = amount.and_then(|a| a.value.base(units)).map(float).filter(|v| *v > 0.0 && *v <= MOST_VOLUME);
        let Some(wanted) = wanted else {
            let why = problems.first().map_or("not a volume that can be made", |p| p.message.as_str());
            return Err(Refusal::new(
                format!("`--volume {}`: {why}", clean(written)),
                "write for example `--volume \"1 l\"`",
            )
            .about("--volume"));
        };
        targets.push(Target { figure: Figure::Volume, wanted });
    }
    let mut request = Request { targets, ..Request::default() };
    if !arguments.vary.is_empty() {
        let names = arguments.vary.iter().flat_map(|v| v.split(',')).map(str::trim).filter(|n| !n.is_empty());
        request.vary = Some(names.map(weighted).collect::<Result<_, _>>().map_err(|r: Refusal| r.about("--vary"))?);
    }
    for line in &arguments.poured {
        request.poured.push(poured(line).map_err(|r| r.about("--poured"))?);
    }
    let names = &opened.computed.graph.names;
    let varied = request.vary.iter().flatten().map(|n| n.name.as_str());
    let named = varied.chain(request.poured.iter().map(|(name, _)| name.as_str()));
    let offered: Vec<names::Target> = named.filter_map(|n| names.find(n, false)).map(|f| f.target).collect();
    for line in &arguments.reading {
        let read = today::facts_for(&opened.computed, recipe, line, &offered).map_err(|r| r.about("--reading"))?;
        let (target, mixture, taken_as) = read;
        request.taken_as.extend(taken_as);
        if request.facts.insert(target, mixture).is_some() {
            let name = clean(opened.computed.graph.name(target));
            let refusal = Refusal::new(format!("`{name}` is read twice"), "put its facts into one `--reading`");
            return Err(refusal.about("--reading"));
        }
    }
    Ok(request)
}

/// `gin` or `gin:3`. A name may hold a colon itself, as `simple syrup 1:1 by weight` does; only a number is a weight.
fn weighted(text: &str) -> Result<Named, Refusal> {
    let weight = text.rsplit_once(':').and_then(|(name, weight)| {
        let weight = value::plain(&today::text(weight), &mut Vec::new())?;
        Some((name, weight.value))
    });
    match weight {
        None => Ok(Named { name: text.to_owned(), weight: 1.0 }),
        Some((name, weight)) if WEIGHTS.contains(&weight) => Ok(Named { name: name.trim().to_owned(), weight }),
        Some((name, _)) => Err(Refusal::new(
            format!("the weight of `{}` is not from {} to {}", clean(name.trim()), WEIGHTS.start(), WEIGHTS.end()),
            "write for example `--vary \"gin:3, lemon juice\"`",
        )),
    }
}

/// `white rum=180 ml`.
fn poured(line: &str) -> Result<(String, crate::measure::Amount), Refusal> {
    let example = "write for example `--poured \"white rum=180 ml\"`";
    let (name, amount) = line
        .rsplit_once('=')
        .ok_or_else(|| Refusal::new(format!("`{}` does not say how much of what", clean(line)), example))?;
    let mut problems = Vec::new();
    match value::amount(&today::text(amount), None, &mut problems) {
        Some(amount) => Ok((name.trim().to_owned(), amount.value)),
        None => {
            let why = problems.first().map_or("it is not an amount", |p| p.message.as_str());
            Err(Refusal::new(format!("`--poured {}`: {why}", clean(line)), example))
        }
    }
}

fn document(answer: &Answer, problems: &[&Problem], opened: &Opened) {
    let mut document = serde_json::to_value(answer).unwrap_or(Value::Null);
    if let Some(map) = document.as_object_mut() {
        let list: Vec<Problem> = problems.iter().map(|p| (*p).clone()).collect();
        map.insert("problems".into(), as_json::problems(&list, &opened.computed.graph.notes.sources));
    }
    super::output::document(&document);
}

fn measure(measure: &Measure) -> String {
    measure.amount.map_or("unknown".into(), |a| format!("{} {}", show::minus(&show::amount(a)), measure.unit))
}

fn print(answer: &Answer, name: &str) {
    let (bold, dim) = (Style::new().bold(), Style::new().dimmed());
    let screen = Screen::of_output();
    screen.line(0, 4, &format!("{bold}{}{bold:#}", clean(name)));
    println!();
    let mut rows = Rows::new(&["pour", "before", "after", "add"], &[]);
    for pour in &answer.pours {
        let sign = if pour.add.amount.is_some_and(|a| a > 0.0) { "+" } else { "" };
        let add = if pour.changes() { format!("{sign}{}", measure(&pour.add)) } else { String::new() };
        rows.push(vec![clean(&pour.name), measure(&pour.before), measure(&pour.after), add]);
    }
    screen.table(&rows);
    println!();
    let mut rows = Rows::new(&["figure", "wanted", "reached"], &[]);
    for target in &answer.targets {
        let (decimals, unit) = (target.kind.decimals(), target.kind.unit());
        let value = |v: f64| format!("{} {unit}", show::trim(&show::fixed(v, decimals + 1)));
        rows.push(vec![
            target.kind.word().into(),
            value(target.wanted),
            target.reached.map_or("unknown".into(), value),
        ]);
    }
    screen.table(&rows);
    println!();
    if let Some(because) = &answer.because {
        screen.line(2, 2, &format!("{bold}not reached{bold:#}"));
        for clause in because.split("; ") {
            screen.line(2, 2, &format!("- {}", clean(clause)));
        }
        println!();
    }
    let nearest = if answer.feasible || answer.targets.iter().any(|t| t.reached.is_none()) { "" } else { "nearest: " };
    screen.line(2, 4, &format!("{bold}{nearest}{}{bold:#}", clean(&answer.correction)));
    for remark in &answer.remarks {
        screen.line(2, 4, &format!("{dim}{}{dim:#}", clean(remark)));
    }
    println!();
}
