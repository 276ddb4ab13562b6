//! `costrel batch RECIPE`: a recipe scaled to serves, a volume, bottles or what is in stock, in amounts that people can measure.

use anstream::{eprintln, println};
use anstyle::Style;
use clap::{Args, ValueEnum};

use super::table::{table, text};
use super::taste::concerning;
use super::{Edition, Opened, Setting, Status, as_asked, open_one};
use crate::ask::batch::document::{Amount, PourAnswer};
use crate::ask::batch::ready::{Cold, Ready};
use crate::ask::batch::{Answer, Drift, Have, Refusal, Request, Size, Stock, batch};
use crate::ask::dial::today;
use crate::measure::tool::View;
use crate::measure::{Dimension, Exact, Unit, Units, number, show};
use crate::notebook::value;
use crate::problem::terminal::clean;
use crate::problem::{Problem, json as as_json};

/// Units of a view.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum In {
    /// Millilitres.
    Ml,
    /// Fluid ounces; what is weighed stays in grams.
    Oz,
}

/// Arguments of `batch`.
#[derive(Debug, Args)]
pub struct Arguments {
    /// A recipe's name, its address or its file
    recipe: Option<String>,
    /// So many serves
    #[arg(long, value_name = "N", allow_hyphen_values = true, conflicts_with_all = ["makes"])]
    serves: Option<String>,
    /// So much of it, such as "5 l"
    #[arg(long, value_name = "VOLUME", num_args = 1..=2)]
    makes: Vec<String>,
    /// So many full bottles, such as 12x700ml; with a size alone, what is made goes into such bottles
    #[arg(long, value_name = "NxSIZE", num_args = 1.., value_delimiter = ',')]
    bottles: Vec<String>,
    /// What is in stock, such as "pear juice=640 ml" or "limes=12"; may be repeated, and the scarcest decides. What is made
    /// here is used up before more of it is made, where a size is asked for or its own ingredients are in stock too
    #[arg(long, value_name = "NAME=AMOUNT")]
    have: Vec<String>,
    /// Ready to pour: the water that ice would give is measured in, and the batch is checked against freezing
    #[arg(long)]
    ready: bool,
    /// Facts of today, such as "pear juice: brix=10.5, acid=0.7"; may be repeated
    #[arg(long, value_name = "NAME: FACT=…")]
    reading: Vec<String>,
    /// Units to measure in; without it the house's
    #[arg(long = "in", value_enum, value_name = "UNIT")]
    units: Option<In>,
}

const SERVES: &str = "write for example `--serves 40`";
const MAKES: &str = "write for example `--makes \"5 l\"`";
const BOTTLES: &str = "write for example `--bottles 12x700ml`";
const HAVE: &str = "write for example `--have \"pear juice=640 ml\"`";

pub(super) fn run(arguments: &Arguments, setting: &Setting) -> Status {
    let (recipe, makes) = recipe_and_volume(arguments);
    let Some(wanted) = recipe else {
        return usage(&Refusal::new(
            "no recipe is named",
            "write for example `costrel batch \"Lock-keeper's Lantern\" --serves 40`",
        ));
    };
    let (mut opened, recipe) = match open_one(setting, &wanted) {
        Ok(opened) => opened,
        Err(status) => return status,
    };
    let public = setting.edition == Some(Edition::Public);
    if let Err(refusal) = as_asked(&mut opened, recipe, setting) {
        return usage(&refusal);
    }
    let request = request(arguments, &opened, makes.as_deref(), public);
    let answered = request.and_then(|r| Ok((batch(&opened.computed, recipe, &r)?, r.view)));
    let ((answer, found), view) = match answered {
        Ok(answered) => answered,
        Err(refusal) => return usage(&refusal),
    };
    let mut problems: Vec<Problem> = concerning(&opened, recipe).into_iter().cloned().collect();
    problems.extend(found);
    if setting.json {
        document(&answer, &problems, &opened);
    } else {
        Sheet { view, units: &opened.computed.graph.notes.house.units, show: &opened.computed.graph.notes.house.show }
            .print(&answer);
        opened.print(problems.iter());
    }
    if answer.factor.is_none() || problems.iter().any(Problem::is_error) { Status::Errors } else { Status::Fine }
}

fn usage(refusal: &Refusal) -> Status {
    eprintln!("costrel: {}\n  {}", refusal.message, refusal.help);
    Status::Usage
}

/// `--makes 5 l` may stand without quotes; then its second word is a unit, and anything else there was meant as the recipe.
fn recipe_and_volume(arguments: &Arguments) -> (Option<String>, Option<String>) {
    match (arguments.makes.as_slice(), &arguments.recipe) {
        ([first, second], None) if Unit::from_word(second).is_none() => (Some(second.clone()), Some(first.clone())),
        ([], recipe) => (recipe.clone(), None),
        (words, recipe) => (recipe.clone(), Some(words.join(" "))),
    }
}

fn request(arguments: &Arguments, opened: &Opened, makes: Option<&str>, public: bool) -> Result<Request, Refusal> {
    let house = &opened.computed.graph.notes.house;
    let mut request = Request { ready: arguments.ready, public, ..Request::default() };
    request.view = match (arguments.units, house.show.first()) {
        (Some(In::Oz), _) | (None, Some(Unit::Oz)) => View::Ounces,
        _ => View::Metric,
    };
    if let Some(written) = &arguments.serves {
        request.size = Size::Serves(serves(written)?);
    }
    if let Some(written) = makes {
        request.size = Size::Makes(volume("--makes", written, &house.units, MAKES)?);
    }
    let mut bottles = Vec::new();
    for written in arguments.bottles.iter().filter(|b| !b.trim().is_empty()) {
        let (count, size) = bottle(written, &house.units)?;
        match count {
            Some(count) => bottles.push((size, count)),
            None if request.into.is_none() => request.into = Some(size),
            None => return Err(Refusal::new("two sizes of bottles, and no number of either", BOTTLES)),
        }
    }
    if !bottles.is_empty() {
        if request.size != Size::Unsaid {
            return Err(Refusal::new(
                "a number of bottles is a size of its own",
                "leave out `--serves` or `--makes`, or write the bottle's size alone: `--bottles 700ml`",
            ));
        }
        if request.into.is_some() {
            return Err(Refusal::new("one kind of bottle has a number and another has none", BOTTLES));
        }
        request.size = Size::Bottles(bottles);
    }
    for line in &arguments.have {
        request.haves.push(have(line)?);
    }
    for line in &arguments.reading {
        let (target, mixture) = today::facts(&opened.computed, line)?;
        if request.facts.insert(target, mixture).is_some() {
            let name = clean(opened.computed.graph.name(target));
            return Err(Refusal::new(format!("`{name}` is read twice"), "put its facts into one `--reading`"));
        }
    }
    Ok(request)
}

fn serves(written: &str) -> Result<Exact, Refusal> {
    let refuse = |why: &str| Err(Refusal::new(format!("`--serves {}`: {why}", clean(written)), SERVES));
    match number::lex(written.trim()) {
        Ok(Some((n, used))) if used == written.trim().len() && n.is_zero() => refuse("no serves are nothing to make"),
        Ok(Some((n, used))) if used == written.trim().len() && n.is_integer() => Ok(Exact::decimal(n)),
        Ok(Some((_, used))) if used == written.trim().len() => refuse("serves are whole"),
        Err(e) if e.kind == number::NumberFault::Negative => refuse("below zero"),
        Err(e) if e.kind == number::NumberFault::TooLong => refuse("more than anybody can pour"),
        _ => refuse("not a number of serves"),
    }
}

fn volume(flag: &str, written: &str, units: &Units, example: &str) -> Result<Exact, Refusal> {
    let mut problems = Vec::new();
    let amount = value::amount(&today::text(written), Some(Dimension::Volume), &mut problems);
    let base = amount.and_then(|a| a.value.base(units)).filter(|v| !v.is_zero());
    base.map(Exact::decimal).ok_or_else(|| {
        let why = problems.first().map_or("nothing to make", |p| p.message.as_str());
        Refusal::new(format!("`{flag} {}`: {why}", clean(written)), example)
    })
}

/// `12x700ml`, `12 x 700 ml`, `700ml`.
fn bottle(written: &str, units: &Units) -> Result<(Option<u64>, Exact), Refusal> {
    let (count, size) = match written.split_once(['x', 'X', '×']) {
        Some((count, size)) => (Some(count.trim()), size.trim()),
        None => (None, written.trim()),
    };
    let count = match count.map(str::parse::<u64>) {
        None => None,
        Some(Ok(n)) if (1..=1_000_000).contains(&n) => Some(n),
        Some(_) => {
            return Err(Refusal::new(format!("`--bottles {}`: not a number of bottles", clean(written)), BOTTLES));
        }
    };
    Ok((count, volume("--bottles", size, units, BOTTLES)?))
}

/// `pear juice=640 ml`, `limes=12`, `evaporated milk=2 tins`.
fn have(line: &str) -> Result<Have, Refusal> {
    let refuse = |why: String| Refusal::new(format!("`--have {}`: {why}", clean(line)), HAVE);
    let (name, amount) = line.rsplit_once('=').ok_or_else(|| refuse("it does not say how much of what".into()))?;
    let (name, amount) = (name.trim().to_owned(), amount.trim());
    if name.is_empty() {
        return Err(refuse("it does not say of what".into()));
    }
    let counted = match number::lex(amount) {
        Ok(Some((n, used))) => Some((n, amount[used..].trim())),
        _ => None,
    };
    let stock = match counted {
        Some((n, "")) => Stock::Counted(n, None),
        Some((n, word))
            if Unit::lex(word).is_none_or(|(_, used)| used < word.len()) && word.chars().all(char::is_alphabetic) =>
        {
            Stock::Counted(n, Some(word.to_owned()))
        }
        _ => {
            let mut problems = Vec::new();
            let read = value::amount(&today::text(amount), None, &mut problems);
            let why = || problems.first().map_or_else(|| "it is not an amount".into(), |p| p.message.clone());
            Stock::Measured(read.ok_or_else(|| refuse(why()))?.value)
        }
    };
    Ok(Have { name, stock })
}

/// The document, with every digit of its amounts.
fn document(answer: &Answer, problems: &[Problem], opened: &Opened) {
    let problems = as_json::problems(problems, &opened.computed.graph.notes.sources);
    super::output::document(&WithProblems { answer, problems });
}

#[derive(serde::Serialize)]
struct WithProblems<'a> {
    #[serde(flatten)]
    answer: &'a Answer,
    problems: serde_json::Value,
}

/// A batch on a terminal.
struct Sheet<'a> {
    view: View,
    units: &'a Units,
    show: &'a [Unit],
}

impl Sheet<'_> {
    fn print(&self, answer: &Answer) {
        let (bold, dim) = (Style::new().bold(), Style::new().dimmed());
        println!("{bold}{}{bold:#}  {dim}{}{dim:#}", clean(&answer.name), times(answer));
        println!("  {}", makes(answer));
        if let Some(name) = &answer.limited_by {
            println!("  {bold}limited by {}{bold:#}", clean(name));
        }
        println!();
        self.pours(answer);
        self.said(answer);
        if let Some(ready) = &answer.ready {
            ready_to_pour(ready);
        }
        for part in &answer.preps {
            self.part(part);
        }
    }

    fn pours(&self, answer: &Answer) {
        let other = match self.view {
            View::Metric if self.show.contains(&Unit::Oz) => Some("oz"),
            View::Ounces if self.show.iter().any(|u| *u != Unit::Oz) => Some("ml"),
            _ => None,
        };
        let mut headings = vec!["", "measure", "exact", "error"];
        headings.extend(other);
        headings.extend(["by", ""]);
        let words = [headings.len() - 2, headings.len() - 1];
        let mut rows = table(&headings, &words);
        for pour in &answer.pours {
            let mut row = vec![clean(&pour.name), as_read(&pour.measure), amount(&pour.exact), percent(pour.error_pct)];
            if other.is_some() {
                row.push(self.elsewhere(&pour.exact));
            }
            row.extend([pour.tool.to_owned(), beside(pour)]);
            rows.add_row(row);
        }
        println!("{}\n", text(&rows));
    }

    /// The exact amount in the other units of the house.
    fn elsewhere(&self, exact: &Amount) -> String {
        let ounce = Exact::decimal(self.units.factor(Unit::Oz));
        match exact.unit.as_str() {
            "ml" => exact.amount.over(&ounce).map_or(String::new(), |oz| oz.rounded(2)),
            "oz" => (&exact.amount * &ounce).rounded(1),
            _ => String::new(),
        }
    }

    fn said(&self, answer: &Answer) {
        let dim = Style::new().dimmed();
        for pour in answer.pours.iter().filter(|p| p.start.is_some()) {
            let start = pour.start.as_ref().map(as_read).unwrap_or_default();
            println!("  {}: start with {start}, taste, and add up to {}", clean(&pour.name), as_read(&pour.measure));
        }
        if let Some(words) = drift(&answer.drift) {
            println!("  {dim}rounding moves {words}{dim:#}");
        }
        if let Some(words) = answer.today.as_ref().and_then(drift) {
            println!("  today’s readings move {words}; `costrel dial` with the same `--reading` brings it back");
        }
        for unknown in &answer.unknown {
            println!("  {dim}{} is not known: {}{dim:#}", unknown.figure, clean(&unknown.because));
        }
        println!();
    }

    fn part(&self, part: &Answer) {
        let (bold, dim) = (Style::new().bold(), Style::new().dimmed());
        let needed = part.needed_ml.as_ref().map_or_else(|| "some".into(), |v| show::volume(v.float()));
        let stock = part.from_stock_ml.as_ref().map(|v| show::volume(v.float()));
        let nothing = part.factor.as_ref().is_none_or(|f| !f.is_positive());
        let made = part.makes_ml.as_ref().map_or_else(|| "some".into(), |v| show::volume(v.float()));
        if part.factor.is_none() {
            let because: Vec<&str> = part.unknown.iter().map(|u| u.because.as_str()).collect();
            println!(
                "{bold}{}{bold:#}  {dim}how much of it to make is not known: {}{dim:#}",
                clean(&part.name),
                clean(&because.join("; "))
            );
            return;
        }
        let words = match (stock, nothing) {
            (Some(stock), true) => format!("{stock}, all of it in stock"),
            (Some(stock), false) => format!("{needed} needed: {stock} in stock, {made} to make, {}", times(part)),
            (None, _) => format!("{made} to make, {}", times(part)),
        };
        println!("{bold}{}{bold:#}  {dim}{words}{dim:#}", clean(&part.name));
        if !part.pours.is_empty() {
            println!();
            self.pours(part);
            self.said(part);
        }
        for below in &part.preps {
            self.part(below);
        }
    }
}

fn times(answer: &Answer) -> String {
    answer.factor.as_ref().map_or_else(String::new, |f| {
        if *f == Exact::one() { "as written".into() } else { format!("{} times the recipe", four_digits(f)) }
    })
}

/// A factor with four digits that count.
fn four_digits(factor: &Exact) -> String {
    let decimals = [1000_u64, 100, 10, 1].iter().position(|n| *factor >= Exact::whole(*n)).map_or(5, |d| d as u32);
    factor.rounded(decimals)
}

fn makes(answer: &Answer) -> String {
    let mut words = vec![match &answer.makes_ml {
        Some(ml) => format!("makes {}", show::volume(ml.float())),
        None => "makes an unknown volume".into(),
    }];
    if let Some(serves) = answer.serves {
        words.push(if serves == 1 { "1 serve".into() } else { format!("{serves} serves") });
    }
    for bottles in &answer.bottles {
        let word = if bottles.count == 1 { "bottle" } else { "bottles" };
        words.push(format!(
            "{} {word} of {} with {} each",
            bottles.count,
            show::volume(bottles.size_ml.float()),
            show::volume(bottles.fill_ml.float())
        ));
    }
    if let Some(left) = answer.left_ml.as_ref().filter(|l| l.float() >= 0.05) {
        words.push(format!("{} left over", show::volume(left.float())));
    }
    words.join(" · ")
}

/// As a tool shows it: all its digits.
fn as_read(amount: &Amount) -> String {
    with_decimals(amount, 4)
}

/// At most three decimals.
fn amount(amount: &Amount) -> String {
    let decimals = match amount.unit.as_str() {
        "ml" | "g" if amount.amount >= Exact::whole(100) => 1,
        "ml" => 2,
        _ => 3,
    };
    with_decimals(amount, decimals)
}

fn with_decimals(amount: &Amount, decimals: u32) -> String {
    let unit = match (Unit::from_word(&amount.unit), amount.amount > Exact::one()) {
        (Some(unit), true) => unit.word_for(2.into()).to_owned(),
        (None, true) => plural(&amount.unit),
        (_, false) => amount.unit.clone(),
    };
    format!("{} {}", amount.amount.rounded(decimals), clean(&unit))
}

fn plural(word: &str) -> String {
    if word.ends_with('s') { word.to_owned() } else { format!("{word}s") }
}

fn percent(value: f64) -> String {
    let shown = show::fixed(value, 1);
    let zero = shown.bytes().all(|b| matches!(b, b'0' | b'.'));
    if zero { String::new() } else { format!("{}{shown} %", if value > 0.0 { "+" } else { "" }) }
}

/// What stands behind a pour.
fn beside(pour: &PourAnswer) -> String {
    let mut words = Vec::new();
    if let Some(stage) = &pour.at {
        words.push(format!("at {stage}"));
    }
    if let Some(each) = &pour.per_glass {
        words.push(format!("{} into each glass", as_read(&each.measure)));
    }
    if let Some(take) = &pour.take
        && pour.measure.unit != take.unit
    {
        let word = if take.count == Exact::one() { take.unit.clone() } else { plural(&take.unit) };
        words.push(format!("from {} {}", take.count.rounded(0), clean(&word)));
    }
    if let Some(surplus) = &pour.surplus {
        words.push(format!("{} to spare", amount(surplus)));
    }
    if let Some(opened) = &pour.opens {
        let size = amount(&opened.size);
        words.push(format!("opens {} x {size}", opened.count.rounded(0)));
    }
    if let Some(to) = &pour.fills_to {
        words.push(format!("fills up to {}", amount(to)));
    }
    if let Some(loads) = pour.loads {
        words.push(format!("in {loads} loads"));
    }
    words.join(" · ")
}

/// How figures move; `None` where they stay.
fn drift(drift: &Drift) -> Option<String> {
    let one = |value: Option<f64>, decimals: usize, word: &str, unit: &str| {
        let value = value?;
        let shown = show::fixed(value, decimals);
        let zero = shown.bytes().all(|b| matches!(b, b'0' | b'.'));
        (!zero).then(|| format!("{word} by {}{shown} {unit}", if value > 0.0 { "+" } else { "" }))
    };
    let words: Vec<String> = [
        one(drift.abv_pct, 2, "strength", "% vol"),
        one(drift.sugar_g_per_100ml, 2, "sugar", "g/100 ml"),
        one(drift.acid_g_per_100ml, 3, "acid", "g/100 ml"),
    ]
    .into_iter()
    .flatten()
    .collect();
    (!words.is_empty()).then(|| words.join(", "))
}

fn ready_to_pour(ready: &Ready) {
    let bold = Style::new().bold();
    let mut head = format!("{} of water stands in for the ice", show::volume(ready.water_ml));
    if ready.water_ml <= 0.0 {
        head = "no water to add".into();
    }
    if let Some(abv) = ready.abv_pct {
        head.push_str(&format!(" · {} % vol", show::strength(abv)));
    }
    if let Some(point) = ready.freezing_point_c {
        head.push_str(&format!(" · first ice at {}", show::temperature(point)));
    }
    println!("  {bold}ready to pour{bold:#}  {head}");
    println!("  in the freezer, {}", cold(&ready.freezer));
    println!("  in the fridge, {}", cold(&ready.fridge));
    for note in &ready.notes {
        println!("  {}", clean(note));
    }
    println!();
}

fn cold(cold: &Cold) -> String {
    let least = if cold.at_least { "at least " } else { "" };
    let state = match (cold.pours, cold.ice_pct) {
        (Some(true), Some(ice)) if ice <= 0.0 => "liquid".into(),
        (Some(true), Some(ice)) => format!("it pours, with {least}{} % of ice", show::fixed(ice, 0)),
        (Some(false), Some(ice)) => format!("it freezes: {least}{} % of it is ice", show::fixed(ice, 0)),
        _ => "nobody can tell whether it freezes".into(),
    };
    format!("{}: {state}", show::temperature(cold.at_c))
}
