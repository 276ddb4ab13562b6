//! Expressions in prose: `{{ amount("gin") }}` and `{{ abv }}`, evaluated in a sandbox against the computed recipe.
//!
//! The sandbox is an empty minijinja environment with strict undefined names, a step limit and no way to reach a file.
//! A value is text, never markup: the press puts it into text after Markdown has been read.

use std::collections::BTreeMap;
use std::sync::Arc;

use minijinja::value::{Object, ValueKind};
use minijinja::{Environment, ErrorKind, UndefinedBehavior, Value};

use crate::measure::{show, unit::Unit};
use crate::mixture::Mixture;
use crate::mixture::figure::Figure;
use crate::notebook::pour::{PourAmount, Role};
use crate::notebook::process_line::ParameterValue;
use crate::problem::{Problem, code};
use crate::recipe::names::{Target, key, slug};
use crate::recipe::run::Computed;
use crate::source::Span;

/// Steps that one expression may take; the longest useful one takes a few dozen.
const FUEL: u64 = 5_000;
/// Longest expression, in bytes.
const LONGEST: usize = 400;

/// One expression of a text, and where it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Expression {
    /// The whole, braces included, as a byte range of the text.
    pub range: (usize, usize),
    /// What stands between the braces.
    pub code: String,
    /// How many bytes of the whole stand before it.
    lead: usize,
}

/// Finds every `{{ … }}` in a text; one that is never closed is reported by [`evaluate_all`].
#[must_use]
pub fn find(text: &str) -> Vec<Expression> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(open) = text[at..].find("{{").map(|i| at + i) {
        let inner = open + 2;
        let line_end = text[inner..].find('\n').map_or(text.len(), |i| inner + i);
        match text[inner..line_end].find("}}") {
            Some(close) => {
                let end = inner + close + 2;
                let between = &text[inner..inner + close];
                let lead = 2 + between.len() - between.trim_start().len();
                found.push(Expression { range: (open, end), code: between.trim().to_owned(), lead });
                at = end;
            }
            None => {
                // One report a line: what follows cannot be told apart from what was left open.
                found.push(Expression { range: (open, inner), code: String::new(), lead: 0 });
                at = line_end;
            }
        }
    }
    found
}

/// What a value is besides its text, for a page that can do more than print it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Kind {
    /// Nothing more.
    #[default]
    Text,
    /// An amount that grows with the batch.
    Amount {
        /// The number alone, with a point.
        value: String,
        /// `ml`, `oz`, `g`, or the word of a measure or piece.
        unit: String,
    },
    /// A figure that stays as the batch grows.
    Figure {
        /// The number alone, with a point.
        value: String,
    },
    /// A length of time, whole seconds.
    Time(u64),
    /// A recipe or an ingredient, by a path as a link in the prose would have it: `punch-bowl/lantern`, `ingredients/gin`.
    Link(String),
    /// Words that stand in for the name of a recipe that readers of this text may not see.
    Unnamed,
}

/// What a published text says in place of the name of a recipe that is not published, and that no published recipe uses.
pub const UNNAMED: &str = "a recipe of the house";

/// A value as it is put into a text: as words, never as markup.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Printed {
    /// The words.
    pub text: String,
    /// What they are.
    pub kind: Kind,
    /// What can be asked of it behind a dot.
    parts: BTreeMap<&'static str, Printed>,
}

impl Printed {
    /// Words and nothing more.
    #[must_use]
    pub fn text(text: impl Into<String>) -> Self {
        Self { text: text.into(), ..Self::default() }
    }

    fn of(text: impl Into<String>, kind: Kind) -> Self {
        Self { text: text.into(), kind, parts: BTreeMap::new() }
    }
}

impl Object for Printed {
    fn get_value(self: &Arc<Self>, key: &Value) -> Option<Value> {
        self.parts.get(key.as_str()?).cloned().map(Value::from_object)
    }

    fn render(self: &Arc<Self>, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.text)
    }
}

/// Where something may be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Where {
    /// In a recipe, about itself, and behind `recipe("…").`.
    Recipe,
    /// In a recipe, about one of its pours or processes.
    Own,
    /// In recipes and on pages.
    Anywhere,
}

/// What may be written, with an example of what it prints. The page `templates/PROSE.md` is written from here.
const NAMES: &[(&str, &str, Where)] = &[
    ("name", "the recipe's name", Where::Recipe),
    ("abv", "strength where balance is read, with its unit: 14.2 %", Where::Recipe),
    ("sugar", "sugar where balance is read: 8.1 g/100 ml", Where::Recipe),
    ("acid", "acid where balance is read: 0.81 g/100 ml", Where::Recipe),
    ("brix", "dissolved sugar of the batch: 12.0 °Bx", Where::Recipe),
    ("volume", "volume of the batch: 1.55 l", Where::Recipe),
    ("mass", "mass of the batch: 1620 g", Where::Recipe),
    ("freezing", "freezing point of the batch: -6.1 °C", Where::Recipe),
    ("keeps", "how long it keeps, as the recipe claims: 7 d", Where::Recipe),
    ("serves", "whole serves of a drink", Where::Recipe),
    ("serve_volume", "volume in the glass: 95 ml", Where::Recipe),
    ("serve_abv", "strength in the glass: 13.9 %", Where::Recipe),
    ("amount(\"gin\")", "the amount of a pour as written: 700 ml", Where::Own),
    ("ml(\"gin\")", "the volume of a pour: 700 ml", Where::Own),
    ("oz(\"gin\")", "the same in the house's ounces: 23.7 oz", Where::Own),
    ("grams(\"gin\")", "the mass of a pour: 661 g", Where::Own),
    ("time(\"stir\")", "how long a process takes; with several times in it, all of them together: 20 s", Where::Own),
    ("temperature(\"stir\")", "the temperature that a process goes to or is held at: 3 °C", Where::Own),
    (
        "stage(\"stir\").abv",
        "a figure after a process: `abv`, `sugar`, `acid`, `brix`, `volume`, `mass` or `freezing`",
        Where::Own,
    ),
    ("recipe(\"honey syrup\")", "the name of a recipe, with a link to it", Where::Anywhere),
    (
        "recipe(\"honey syrup\").brix",
        "a figure of another recipe: any name of the first list behind a dot",
        Where::Anywhere,
    ),
    ("ingredient(\"gin\")", "the name of an ingredient, with a link to it", Where::Anywhere),
    ("house", "the house's name", Where::Anywhere),
];

/// The page that says what may be written between braces.
#[must_use]
pub fn documentation() -> String {
    let mut page = String::from(
        "# What may be written between braces\n\n\
         This page is written by the program from `src/ask/prose.rs`; a test holds it true.\n\n\
         In the body of a recipe or a page `{{ abv }}` prints a computed value. It is put in as text, never as markup, and rounded as\n\
         everywhere else. A name that is not on this page is an error at its place. In the site an amount follows when the reader scales the\n\
         recipe. Names of recipes, ingredients, pours and processes stand in quotes; case, accents and regular plurals do not matter. A text that\n\
         is published can tell the figures of published recipes only, and names only those and what they use.\n",
    );
    for (title, place) in [
        ("In a recipe, of itself", Where::Recipe),
        ("In a recipe, of its pours and processes", Where::Own),
        ("In recipes and on pages", Where::Anywhere),
    ] {
        page.push_str(&format!("\n## {title}\n\n| written | prints |\n|---|---|\n"));
        for (name, prints, _) in NAMES.iter().filter(|(_, _, w)| *w == place) {
            page.push_str(&format!("| `{{{{ {name} }}}}` | {prints} |\n"));
        }
    }
    page
}

/// Names of the list without what follows them: `amount`.
fn plain_names(page: bool) -> impl Iterator<Item = &'static str> {
    let list = NAMES.iter().filter(move |(_, _, w)| !page || *w == Where::Anywhere);
    list.map(|(n, _, _)| n.split(['(', '.']).next().unwrap_or(n))
}

fn figure(value: Figure, show: impl Fn(f64) -> (String, Kind)) -> Printed {
    match value {
        Ok(v) => {
            let (text, kind) = show(v);
            Printed::of(text, kind)
        }
        Err(because) => Printed::text(format!("unknown, because {}", because.short())),
    }
}

/// A figure with its unit behind it.
fn fixed(text: String, unit: &str) -> (String, Kind) {
    (format!("{text} {unit}"), Kind::Figure { value: text })
}

/// An amount whose words are the number and the unit.
fn amount(words: String) -> (String, Kind) {
    let kind = match words.split_once(' ') {
        Some((value, unit)) if !value.is_empty() && value.bytes().all(|b| b.is_ascii_digit() || b == b'.') => {
            Kind::Amount { value: value.to_owned(), unit: unit.to_owned() }
        }
        _ => Kind::Text,
    };
    (words, kind)
}

fn of_mixture(m: &Mixture) -> Vec<(&'static str, Printed)> {
    vec![
        ("abv", figure(m.figure_abv(), |v| fixed(show::strength(v), "%"))),
        ("sugar", figure(m.figure_sugar_per_100ml(), |v| fixed(show::sugar(v), "g/100 ml"))),
        ("acid", figure(m.figure_acid_per_100ml(), |v| fixed(show::acid(v), "g/100 ml"))),
        ("brix", figure(m.figure_brix(), |v| fixed(show::fixed(v, 1), "°Bx"))),
        ("volume", figure(m.figure_volume(), |v| amount(show::volume(v)))),
        ("mass", figure(m.figure_mass(), |v| amount(format!("{} g", show::amount(v))))),
        (
            "freezing",
            figure(m.figure_freezing(), |v| (show::temperature(v), Kind::Figure { value: show::fixed(v, 1) })),
        ),
    ]
}

fn time(hours: f64) -> Printed {
    Printed::of(show::hours(hours), Kind::Time(libm::round(hours * 3600.0).max(0.0) as u64))
}

/// What may be asked of a recipe, of itself or from elsewhere.
fn of_recipe(computed: &Computed, recipe: usize) -> Vec<(&'static str, Printed)> {
    let made = &computed.made[recipe];
    let note = &computed.graph.notes.recipes[recipe];
    let batch = of_mixture(&made.batch().mixture);
    let balance = of_mixture(&made.stages[made.balance].mixture);
    let glass = of_mixture(&made.last().mixture);
    let find = |list: &[(&'static str, Printed)], name: &str| {
        list.iter().find(|(n, _)| *n == name).map_or_else(Printed::default, |(_, p)| p.clone())
    };
    let mut list = vec![("name", Printed::text(note.name.value.clone()))];
    list.extend(["abv", "sugar", "acid"].map(|name| (name, find(&balance, name))));
    list.extend(["brix", "volume", "mass", "freezing"].map(|name| (name, find(&batch, name))));
    if let Some(keep) = note.keeps.first() {
        list.push(("keeps", time(keep.hours)));
    }
    if let Some(served) = &made.served {
        let count = served.count.to_string();
        list.push(("serves", Printed::of(count.clone(), Kind::Amount { value: count, unit: "serves".into() })));
        // A glass stays a glass, however large the batch.
        let volume = Printed::text(find(&glass, "volume").text);
        list.push(("serve_volume", volume));
        list.push(("serve_abv", find(&glass, "abv")));
    }
    list
}

/// What each pour prints, by its keys: amount as written, ml, oz, grams.
type Pours = Vec<(String, [Option<Printed>; 4])>;

fn pours(computed: &Computed, recipe: usize) -> Pours {
    let graph = &computed.graph;
    let node = &graph.nodes[recipe];
    let made = &computed.made[recipe];
    let oz = crate::measure::float(graph.notes.house.units.factor(Unit::Oz));
    let mix = node.mix.iter().zip(&made.pours).map(|pair| (pair, true));
    // What goes in last is per glass and does not grow with the batch.
    let finish = node.finish.iter().zip(&made.finish).map(|pair| (pair, false));
    let mut list = Vec::new();
    for ((pour, poured), grows) in mix.chain(finish) {
        let (Some(pour), Some(poured)) = (pour, poured) else { continue };
        let text = &pour.line.text.value;
        let end = text.len().saturating_sub(pour.line.name.value.len());
        let written = text.get(..end).unwrap_or("").trim().to_owned();
        let known = poured.mixture.figure_volume().is_ok();
        let measured = |(text, kind): (String, Kind)| {
            Printed::of(text, if grows && pour.line.role == Role::Mix { kind } else { Kind::Text })
        };
        let as_written = match &pour.line.amount {
            PourAmount::Measured { amount: a, high: None, times: None } => {
                let unit = a.unit.word_for(a.value).to_owned();
                (written.clone(), Kind::Amount { value: a.value.normalize().to_string(), unit })
            }
            PourAmount::Count(n) => {
                (written.clone(), Kind::Amount { value: n.normalize().to_string(), unit: String::new() })
            }
            PourAmount::PartOf { .. } => (text.split(',').next().unwrap_or(text).trim().to_owned(), Kind::Text),
            _ => (written.clone(), Kind::Text),
        };
        let forms = [
            (!written.is_empty()).then(|| measured(as_written)),
            known.then(|| measured(amount(show::volume(poured.ml)))),
            known.then(|| measured(amount(format!("{} oz", show::amount(poured.ml / oz))))),
            poured.grams.map(|g| measured(amount(format!("{} g", show::amount(g))))),
        ];
        list.push((key(&pour.name), forms.clone()));
        list.push((key(pour.line.name.value.split(',').next().unwrap_or("")), forms));
    }
    list
}

/// What each process prints, by the name of its stage: its time and its temperature.
fn processes(computed: &Computed, recipe: usize) -> Vec<(String, [Option<Printed>; 2])> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    let lines = computed.graph.nodes[recipe].process.iter();
    lines
        .map(|step| {
            let name = step.line.process.name();
            let count = counts.entry(name).or_default();
            *count += 1;
            let name = if *count == 1 { name.to_owned() } else { format!("{name}-{count}") };
            let mut hours = None;
            let mut degrees = None;
            for (parameter, _, value) in &step.line.parameters {
                match value {
                    ParameterValue::Time(h) => hours = Some(hours.unwrap_or(0.0) + h),
                    ParameterValue::Temperature(c) if matches!(*parameter, "to" | "at") => degrees = Some(*c),
                    _ => {}
                }
            }
            let warmth = |c: f64| Printed::of(show::temperature(c), Kind::Figure { value: show::fixed(c, 1) });
            (name, [hours.map(time), degrees.map(warmth)])
        })
        .collect()
}

/// An evaluated expression: what to print, or the problem.
pub type Evaluated = Result<Printed, Box<Problem>>;

/// Evaluates every expression of a body. `body` is where the text stands, for problems; `recipe` is `None` on plain pages.
#[must_use]
pub fn evaluate_all(
    computed: &Computed,
    recipe: Option<usize>,
    text: &str,
    body: Span,
) -> Vec<(Expression, Evaluated)> {
    let found = find(text);
    if found.is_empty() {
        return Vec::new();
    }
    let env = environment(computed, recipe, body, &found);
    found
        .into_iter()
        .map(|expression| {
            let span = body.part(expression.range.0, expression.range.1);
            let value = evaluate(&env, recipe.is_none(), &expression, span);
            (expression, value)
        })
        .collect()
}

/// Words in quotes in an expression.
fn quoted(code: &str) -> impl Iterator<Item = &str> {
    code.split(['"', '\'']).skip(1).step_by(2)
}

fn refuse(message: String) -> minijinja::Error {
    minijinja::Error::new(ErrorKind::InvalidOperation, message)
}

/// An unknown name, with the nearest that are known.
fn unknown(what: &str, wanted: &str, known: &[String]) -> minijinja::Error {
    let near = crate::notebook::fields::nearest(&key(wanted), known.iter().map(String::as_str));
    let hint = match near.as_slice() {
        [] => String::new(),
        names => format!("; did you mean {}?", names.iter().map(|n| format!("\"{n}\"")).collect::<Vec<_>>().join(", ")),
    };
    refuse(format!("{what} \"{wanted}\"{hint}"))
}

/// Adds a function that looks its one argument up among named values.
fn look_up(
    env: &mut Environment<'static>,
    name: &'static str,
    what: &'static str,
    values: Vec<(String, Option<Printed>)>,
) {
    let values = Arc::new(values);
    env.add_function(name, move |wanted: String| -> Result<Value, minijinja::Error> {
        let wanted_key = key(&wanted);
        match values.iter().find(|(k, _)| *k == wanted_key) {
            Some((_, Some(printed))) => Ok(Value::from_object(printed.clone())),
            Some((_, None)) => Err(refuse(format!("{name}(\"{wanted}\") is not known"))),
            None => Err(unknown(what, &wanted, &values.iter().map(|(k, _)| k.clone()).collect::<Vec<_>>())),
        }
    });
}

fn environment(
    computed: &Computed,
    recipe: Option<usize>,
    body: Span,
    expressions: &[Expression],
) -> Environment<'static> {
    let mut env = Environment::empty();
    env.set_undefined_behavior(UndefinedBehavior::Strict);
    env.set_fuel(Some(FUEL));
    env.set_recursion_limit(16);
    let graph = &computed.graph;
    let notes = &graph.notes;
    env.add_global("house", Value::from_object(Printed::text(notes.house.name.clone())));
    let published = match recipe {
        Some(recipe) => notes.recipes[recipe].publish,
        None => notes.pages.iter().any(|p| p.file == body.file && p.publish),
    };
    // Functions own what they answer with, so what is asked about by name is worked out beforehand.
    let mut recipes = Vec::new();
    let mut ingredients = Vec::new();
    for wanted in expressions.iter().flat_map(|e| quoted(&e.code)) {
        match graph.recipe(wanted).map(Target::Recipe).or_else(|| graph.names.get(wanted)) {
            Some(Target::Recipe(i)) => {
                let note = &notes.recipes[i];
                let mut printed = Printed::text(note.name.value.clone());
                // What a published recipe uses is named among its pours anyway.
                let used = graph.nodes[i].used_by.iter().any(|user| notes.recipes[*user].publish);
                if published && !note.publish && !used {
                    printed = Printed::of(UNNAMED, Kind::Unnamed);
                } else if note.publish || !published {
                    printed.kind = Kind::Link(note.path.clone());
                    printed.parts = of_recipe(computed, i).into_iter().collect();
                }
                recipes.push((key(wanted), Some(printed)));
            }
            Some(Target::Ingredient(i)) => {
                let name = graph.pantry.ingredients[i].name();
                let link = Kind::Link(format!("ingredients/{}", slug(name)));
                ingredients.push((key(wanted), Some(Printed::of(name, link))));
            }
            None => {}
        }
    }
    let uses = |function: &str| expressions.iter().any(|e| e.code.contains(function));
    if uses("recipe") {
        // The rest are there to be suggested.
        let open = |r: &&crate::notebook::recipe_note::RecipeNote| r.publish || !published;
        recipes.extend(notes.recipes.iter().filter(open).map(|r| (key(&r.name.value), None)));
        look_up(&mut env, "recipe", "no recipe is called", recipes);
    }
    if uses("ingredient") {
        ingredients.extend(graph.pantry.ingredients.iter().map(|i| (key(i.name()), None)));
        look_up(&mut env, "ingredient", "no ingredient is called", ingredients);
    }
    let Some(recipe) = recipe else { return env };
    for (name, value) in of_recipe(computed, recipe) {
        env.add_global(name, Value::from_object(value));
    }
    let pours = pours(computed, recipe);
    for (position, function) in ["amount", "ml", "oz", "grams"].into_iter().enumerate() {
        let forms = pours.iter().map(|(k, forms)| (k.clone(), forms[position].clone())).collect();
        look_up(&mut env, function, "this recipe pours no", forms);
    }
    let processes = processes(computed, recipe);
    for (position, function) in ["time", "temperature"].into_iter().enumerate() {
        let forms = processes.iter().map(|(k, forms)| (key(k), forms[position].clone())).collect();
        look_up(&mut env, function, "this recipe has no process", forms);
    }
    let stages = computed.made[recipe].stages.iter().map(|stage| {
        let parts = of_mixture(&stage.mixture).into_iter().collect();
        (key(&stage.name), Some(Printed { text: stage.name.clone(), kind: Kind::Text, parts }))
    });
    look_up(&mut env, "stage", "this recipe has no stage", stages.collect());
    env
}

/// Where a word stands in an expression, as a part of the expression's place.
fn place_of(word: &str, expression: &Expression, span: Span) -> Span {
    let whole = |c: Option<char>| !c.is_some_and(|c| c.is_alphanumeric() || c == '_');
    let code = &expression.code;
    let found = code
        .match_indices(word)
        .find(|(at, _)| whole(code[..*at].chars().next_back()) && whole(code[at + word.len()..].chars().next()));
    found.map_or(span, |(at, _)| span.part(expression.lead + at, expression.lead + at + word.len()))
}

fn evaluate(env: &Environment<'static>, page: bool, expression: &Expression, span: Span) -> Evaluated {
    let names: Vec<&str> =
        NAMES.iter().filter(|(_, _, w)| !page || *w == Where::Anywhere).map(|(n, _, _)| *n).collect();
    let help = format!("an expression may use: {}", names.join(", "));
    let fault = |span: Span, message: String, help: String| {
        Err(Box::new(Problem::new(code::METHOD_EXPRESSION, span, message).help(help)))
    };
    if expression.code.is_empty() {
        return Err(Box::new(
            Problem::new(code::METHOD_EXPRESSION, span, "this `{{` holds nothing, or is not closed on its line")
                .help("write a name and close it on the same line, for example `{{ abv }}`"),
        ));
    }
    if expression.code.len() > LONGEST {
        return fault(span, "this expression is too long for prose".into(), help);
    }
    let compiled = match env.compile_expression(&expression.code) {
        Ok(compiled) => compiled,
        Err(error) => {
            let words = error.detail().unwrap_or("it is no expression");
            return fault(span, format!("`{}` cannot be read: {words}", expression.code), help);
        }
    };
    let mut used: Vec<String> = compiled.undeclared_variables(false).into_iter().collect();
    used.sort();
    if let Some(name) = used.iter().find(|n| !env.globals().any(|(known, _)| known == n.as_str())) {
        let near = crate::notebook::fields::nearest(name, plain_names(page).filter(|n| *n != name.as_str()));
        let hint = match near.first() {
            Some(near) => format!("did you mean `{near}`? {help}"),
            None => help,
        };
        let known_elsewhere = plain_names(false).any(|n| n == name);
        let message = if page && known_elsewhere {
            format!("`{name}` is said of a recipe, and this is a page")
        } else if known_elsewhere {
            format!("this recipe has no `{name}`")
        } else {
            format!("nothing is called `{name}` here")
        };
        return fault(place_of(name, expression, span), message, hint);
    }
    match compiled.eval(()) {
        Ok(value) if value.is_undefined() => {
            fault(span, format!("nothing is called `{}` here", expression.code), parts_help(expression, help))
        }
        Ok(value) => match value.downcast_object_ref::<Printed>() {
            Some(printed) => Ok(printed.clone()),
            None if matches!(value.kind(), ValueKind::Map | ValueKind::Seq | ValueKind::Iterable) => {
                fault(span, format!("`{}` is a list, and prose takes one value", expression.code), help)
            }
            None => Ok(Printed::text(value.to_string())),
        },
        Err(error) => match error.kind() {
            ErrorKind::UndefinedError => {
                fault(span, format!("nothing is called `{}` here", expression.code), parts_help(expression, help))
            }
            ErrorKind::OutOfFuel => {
                fault(span, "this expression takes too many steps, or makes too long a text".into(), help)
            }
            ErrorKind::UnknownFilter | ErrorKind::UnknownTest => {
                let words = error.detail().unwrap_or("it has no value");
                let help = "prose prints a value as it is: write the name alone, for example `{{ abv }}`".into();
                fault(span, format!("`{}` cannot be computed: {words}", expression.code), help)
            }
            _ => {
                let words = error.detail().unwrap_or("it has no value");
                fault(span, format!("`{}` cannot be computed: {words}", expression.code), help)
            }
        },
    }
}

/// What may stand behind a dot, for an expression that asks for something else there.
fn parts_help(expression: &Expression, help: String) -> String {
    let Some((_, part)) = expression.code.rsplit_once('.') else { return help };
    let known: Vec<&str> = NAMES.iter().filter(|(_, _, w)| *w == Where::Recipe).map(|(n, _, _)| *n).collect();
    if known.contains(&part.trim()) {
        return "a published text tells figures of published recipes only, and a prep is not served".into();
    }
    match crate::notebook::fields::nearest(part.trim(), known.iter().copied()).first() {
        Some(near) => format!("did you mean `.{near}`?"),
        None => format!("behind the dot may stand: {}", known.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn expressions_are_found_with_their_place() {
        let found = find("a {{ abv }} b {{ amount(\"gin\") }} {{ open\n");
        assert_eq!(found.len(), 3);
        assert_eq!((found[0].code.as_str(), found[0].range, found[0].lead), ("abv", (2, 11), 3));
        assert_eq!(found[2].code, "");
    }
}
