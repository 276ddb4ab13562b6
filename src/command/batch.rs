//! `costrel batch RECIPE`: a recipe scaled to serves, a volume, bottles or what is in stock, in amounts that people can measure.

mod sheet;

use clap::{Args, ValueEnum};
use serde::Serialize;

use self::sheet::Sheet;
use super::screen::Screen;
use super::words::{Words, no_flag, recipe_of};
use super::{Edition, Opened, Setting, Status, as_asked, concerning, open_one, refused};
use crate::ask::batch::{Answer, Have, Refusal, Request, Size, Stock, batch};
use crate::ask::dial::today;
use crate::measure::tool::View;
use crate::measure::{Dimension, Exact, Unit, Units, number};
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
    #[arg(num_args = 0..)]
    recipe: Vec<String>,
    /// So many serves
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = no_flag, conflicts_with_all = ["makes"])]
    serves: Option<String>,
    /// So much of it, such as "5 l"
    #[arg(long, value_name = "VOLUME", allow_hyphen_values = true, value_parser = no_flag)]
    makes: Option<String>,
    /// So many full bottles, such as 12x700ml; with a size alone, what is made goes into such bottles
    #[arg(long, value_name = "NxSIZE", value_delimiter = ',', allow_hyphen_values = true, value_parser = no_flag)]
    bottles: Vec<String>,
    /// What is in stock, such as "pear juice=640 ml" or "limes=12"; may be repeated, and the scarcest decides. What is made
    /// here is used up before more of it is made, where a size is asked for or its own ingredients are in stock too. Part of a
    /// name will do where only one thing in the recipe has it
    #[arg(long, value_name = "NAME=AMOUNT", allow_hyphen_values = true, value_parser = no_flag)]
    have: Vec<String>,
    /// Ready to pour: the water that ice would give is measured in, and the batch is checked against freezing
    #[arg(long)]
    ready: bool,
    /// Facts of today, such as "pear juice: brix=10.5, acid=0.7"; may be repeated
    #[arg(long, value_name = "NAME: FACT=…", allow_hyphen_values = true, value_parser = no_flag)]
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
    let mut words = Words::new(&arguments.recipe);
    let makes = arguments.makes.as_deref().map(|written| words.completed(written));
    let bottles = words.bottles(&arguments.bottles);
    let Some(wanted) = recipe_of(words) else {
        let help = "write for example `costrel batch \"Lock-keeper's Lantern\" --serves 40`";
        return refused(setting, None, &Refusal::new("no recipe is named", help).about("RECIPE"));
    };
    let (mut opened, recipe) = match open_one(setting, &wanted) {
        Ok(opened) => opened,
        Err(status) => return status,
    };
    let slug = opened.computed.graph.nodes[recipe].slug.clone();
    if let Err(refusal) = as_asked(&mut opened, recipe, setting) {
        return refused(setting, Some(&slug), &refusal);
    }
    let asked = Asked { arguments, makes, bottles, recipe, public: setting.edition == Some(Edition::Public) };
    let answered = asked.request(&opened).and_then(|r| Ok((batch(&opened.computed, recipe, &r)?, r.view)));
    let ((answer, found), view) = match answered {
        Ok(answered) => answered,
        Err(refusal) => return refused(setting, Some(&slug), &refusal),
    };
    let mut problems: Vec<Problem> = concerning(&opened, recipe).into_iter().cloned().collect();
    problems.extend(found);
    if setting.json {
        document(&answer, &problems, &opened);
    } else {
        let house = &opened.computed.graph.notes.house;
        Sheet { screen: Screen::of_output(), view, units: &house.units, show: &house.show }.print(&answer);
        opened.print(problems.iter());
    }
    if answer.factor.is_none() || problems.iter().any(Problem::is_error) { Status::Errors } else { Status::Fine }
}

/// What stands on the command line, its words sorted.
struct Asked<'a> {
    arguments: &'a Arguments,
    makes: Option<String>,
    bottles: Vec<String>,
    recipe: usize,
    public: bool,
}

impl Asked<'_> {
    fn request(&self, opened: &Opened) -> Result<Request, Refusal> {
        let house = &opened.computed.graph.notes.house;
        let arguments = self.arguments;
        let mut request = Request { ready: arguments.ready, public: self.public, ..Request::default() };
        request.view = match (arguments.units, house.show.first()) {
            (Some(In::Oz), _) | (None, Some(Unit::Oz)) => View::Ounces,
            _ => View::Metric,
        };
        if let Some(written) = &arguments.serves {
            request.size = Size::Serves(serves(written)?);
        }
        if let Some(written) = &self.makes {
            request.size = Size::Makes(volume("--makes", written, written, &house.units, MAKES)?);
        }
        self.bottles(&mut request, &house.units).map_err(|r| r.about("--bottles"))?;
        for line in &arguments.have {
            request.haves.push(have(line).map_err(|r| r.about("--have"))?);
        }
        for line in &arguments.reading {
            self.read(opened, line, &mut request).map_err(|r| r.about("--reading"))?;
        }
        Ok(request)
    }

    fn bottles(&self, request: &mut Request, units: &Units) -> Result<(), Refusal> {
        let mut bottles = Vec::new();
        for written in &self.bottles {
            let (count, size) = bottle(written, units)?;
            match count {
                Some(count) => bottles.push((size, count)),
                None if request.into.is_none() => request.into = Some(size),
                None => return Err(Refusal::new("two sizes of bottles, and no number of either", BOTTLES)),
            }
        }
        if bottles.is_empty() {
            return Ok(());
        }
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
        Ok(())
    }

    fn read(&self, opened: &Opened, line: &str, request: &mut Request) -> Result<(), Refusal> {
        let (target, mixture, taken_as) = today::facts_for(&opened.computed, self.recipe, line, &[])?;
        request.taken_as.extend(taken_as);
        if request.facts.insert(target, mixture).is_some() {
            let name = clean(opened.computed.graph.name(target));
            return Err(Refusal::new(format!("`{name}` is read twice"), "put its facts into one `--reading`"));
        }
        Ok(())
    }
}

fn serves(written: &str) -> Result<Exact, Refusal> {
    let refuse = |why: &str, help: &str| {
        Err(Refusal::new(format!("`--serves {}`: {why}", clean(written)), help).about("--serves"))
    };
    let text = written.trim();
    match number::lex(text) {
        Ok(Some((n, used))) if used == text.len() && n.is_zero() => refuse("no serves are nothing to make", SERVES),
        Ok(Some((n, used))) if used == text.len() && n.is_integer() => Ok(Exact::decimal(n)),
        Ok(Some((_, used))) if used == text.len() => refuse("serves are whole", SERVES),
        Err(e) if e.kind == number::NumberFault::Negative => refuse("below zero", SERVES),
        Err(e) if e.kind == number::NumberFault::TooLong => {
            // A power of ten is a number, only not one that a bar writes.
            match text.parse::<f64>().ok().filter(|n| text.contains(['e', 'E']) && (1.0..1e7).contains(n)) {
                Some(n) => refuse("a number is written out here", &format!("write `--serves {n:.0}`")),
                None => refuse("more than anybody can pour", SERVES),
            }
        }
        _ => refuse("not a number of serves", SERVES),
    }
}

/// A volume above nothing in `text`, which is all of what was `written` or part of it.
fn volume(flag: &'static str, written: &str, text: &str, units: &Units, example: &str) -> Result<Exact, Refusal> {
    let mut problems = Vec::new();
    let amount = value::amount(&today::text(text), Some(Dimension::Volume), &mut problems);
    let base = amount.and_then(|a| a.value.base(units)).filter(|v| !v.is_zero());
    base.map(Exact::decimal).ok_or_else(|| {
        let why = problems.first().map_or("nothing to make", |p| p.message.as_str());
        Refusal::new(format!("`{flag} {}`: {why}", clean(written)), example).about(flag)
    })
}

/// Most bottles of one size.
const MOST_BOTTLES: u64 = 1_000_000;

/// `12x700ml`, `12 x 700 ml`, `700ml`.
fn bottle(written: &str, units: &Units) -> Result<(Option<u64>, Exact), Refusal> {
    let (count, size) = match written.split_once(['x', 'X', '×']) {
        Some((count, size)) => (Some(count.trim()), size.trim()),
        None => (None, written.trim()),
    };
    let refuse = |why: &str| Err(Refusal::new(format!("`--bottles {}`: {why}", clean(written)), BOTTLES));
    let all_digits = |n: &str| !n.is_empty() && n.bytes().all(|b| b.is_ascii_digit());
    let count = match count.map(|n| (n, n.parse::<u64>())) {
        None => None,
        Some((_, Ok(0))) => return refuse("no bottles are nothing to fill"),
        Some((_, Ok(n))) if n <= MOST_BOTTLES => Some(n),
        Some((n, _)) if all_digits(n) => return refuse("more bottles than anybody fills"),
        Some((n, _)) if n.starts_with(['-', '−', '–']) => return refuse("below zero"),
        Some(_) => return refuse("not a whole number of bottles"),
    };
    if size.is_empty() {
        return refuse("how large is one?");
    }
    Ok((count, volume("--bottles", written, size, units, BOTTLES)?))
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

#[derive(Serialize)]
struct WithProblems<'a> {
    #[serde(flatten)]
    answer: &'a Answer,
    problems: serde_json::Value,
}
