//! Expressions in prose: `{{ amount("gin") }}` and `{{ abv }}`, evaluated in a sandbox against the computed recipe.
//!
//! The sandbox is an empty minijinja environment with strict undefined names, a step limit and no way to reach a file.
//! A value is text, never markup: the press puts it into text after Markdown has been read.

use std::sync::Arc;

use minijinja::{Environment, ErrorKind, UndefinedBehavior, Value};

use crate::measure::{show, unit::Unit};
use crate::mixture::figure::Figure;
use crate::problem::{Problem, code};
use crate::recipe::names::key;
use crate::recipe::run::{Computed, Made};
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
                found.push(Expression { range: (open, end), code: text[inner..inner + close].trim().to_owned() });
                at = end;
            }
            None => {
                // One report a line: what follows cannot be told apart from what was left open.
                found.push(Expression { range: (open, inner), code: String::new() });
                at = line_end;
            }
        }
    }
    found
}

/// The names that may be written, each with what it prints; the documentation lists them from here.
pub const NAMES: &[(&str, &str)] = &[
    ("name", "the recipe's name"),
    ("abv", "strength where balance is read, with its unit: 14.2 %"),
    ("sugar", "sugar where balance is read: 8.1 g/100 ml"),
    ("acid", "acid where balance is read: 0.81 g/100 ml"),
    ("brix", "dissolved sugar of the batch: 12.0 °Bx"),
    ("volume", "volume of the batch: 1.55 l"),
    ("mass", "mass of the batch: 1620 g"),
    ("freezing", "freezing point of the batch: -6.1 °C"),
    ("serves", "whole serves"),
    ("serve_volume", "volume in the glass: 95 ml"),
    ("serve_abv", "strength in the glass: 13.9 %"),
    ("amount(\"gin\")", "the amount of a pour as written: 700 ml"),
    ("ml(\"gin\")", "the volume of a pour: 700 ml"),
    ("oz(\"gin\")", "the same in the house's ounces: 23.7 oz"),
    ("grams(\"xanthan gum\")", "the mass of a pour: 1.25 g"),
];

/// What an expression may ask of one recipe.
struct Scope<'a> {
    computed: &'a Computed,
    recipe: usize,
}

fn figure(value: Figure, show: impl Fn(f64) -> String) -> Value {
    match value {
        Ok(v) => Value::from(show(v)),
        Err(because) => Value::from(format!("unknown, because {}", because.text())),
    }
}

impl Scope<'_> {
    fn made(&self) -> &Made {
        &self.computed.made[self.recipe]
    }

    fn variables(&self) -> Vec<(&'static str, Value)> {
        let made = self.made();
        let balance = &made.stages[made.balance].mixture;
        let batch = &made.batch().mixture;
        let glass = &made.last().mixture;
        let mut list = vec![
            ("name", Value::from(self.computed.graph.notes.recipes[self.recipe].name.value.clone())),
            ("abv", figure(balance.figure_abv(), |v| format!("{} %", show::strength(v)))),
            ("sugar", figure(balance.figure_sugar_per_100ml(), |v| format!("{} g/100 ml", show::sugar(v)))),
            ("acid", figure(balance.figure_acid_per_100ml(), |v| format!("{} g/100 ml", show::acid(v)))),
            ("brix", figure(batch.figure_brix(), |v| format!("{} °Bx", show::fixed(v, 1)))),
            ("volume", figure(batch.figure_volume(), show::volume)),
            ("mass", figure(batch.figure_mass(), |v| format!("{} g", show::amount(v)))),
            ("freezing", figure(batch.figure_freezing(), show::temperature)),
        ];
        if let Some(served) = &made.served {
            list.push(("serves", Value::from(served.count)));
            list.push(("serve_volume", figure(glass.figure_volume(), show::volume)));
            list.push(("serve_abv", figure(glass.figure_abv(), |v| format!("{} %", show::strength(v)))));
        }
        list
    }

    /// What each pour prints, by its key: amount as written, ml, oz, grams.
    fn pours(&self) -> Vec<(String, [Option<String>; 4])> {
        let graph = &self.computed.graph;
        let node = &graph.nodes[self.recipe];
        let made = self.made();
        let oz = crate::measure::float(graph.notes.house.units.factor(Unit::Oz));
        let both = node.mix.iter().zip(&made.pours).chain(node.finish.iter().zip(&made.finish));
        let mut list = Vec::new();
        for (pour, poured) in both {
            let (Some(pour), Some(poured)) = (pour, poured) else { continue };
            let text = &pour.line.text.value;
            let end = text.len().saturating_sub(pour.line.name.value.len());
            let written = text.get(..end).unwrap_or("").trim().trim_end_matches(" of").to_owned();
            let known = poured.mixture.figure_volume().is_ok();
            let forms = [
                (!written.is_empty()).then_some(written),
                known.then(|| show::volume(poured.ml)),
                known.then(|| format!("{} oz", show::amount(poured.ml / oz))),
                poured.grams.map(|g| format!("{} g", show::amount(g))),
            ];
            list.push((key(&pour.name), forms.clone()));
            list.push((key(pour.line.name.value.split(',').next().unwrap_or("")), forms));
        }
        list
    }
}

/// An evaluated expression: the text to print, or the problem.
pub type Evaluated = Result<String, Box<Problem>>;

/// Evaluates every expression of a body. `body` is where the text stands, for problems; `recipe` is `None` on plain pages,
/// where no figure exists.
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
    let env = environment(computed, recipe);
    found
        .into_iter()
        .map(|expression| {
            let span = body.part(expression.range.0, expression.range.1);
            let value = evaluate(&env, &expression, span);
            (expression, value)
        })
        .collect()
}

fn environment(computed: &Computed, recipe: Option<usize>) -> Environment<'static> {
    let mut env = Environment::empty();
    env.set_undefined_behavior(UndefinedBehavior::Strict);
    env.set_fuel(Some(FUEL));
    env.set_recursion_limit(16);
    let Some(recipe) = recipe else { return env };
    let scope = Scope { computed, recipe };
    for (name, value) in scope.variables() {
        env.add_global(name, value);
    }
    let pours = Arc::new(scope.pours());
    for (position, function) in ["amount", "ml", "oz", "grams"].into_iter().enumerate() {
        let pours = Arc::clone(&pours);
        env.add_function(function, move |wanted: String| -> Result<String, minijinja::Error> {
            let wanted_key = key(&wanted);
            let Some((_, forms)) = pours.iter().find(|(k, _)| *k == wanted_key) else {
                let names: Vec<&str> = pours.iter().map(|(k, _)| k.as_str()).collect();
                let near = crate::notebook::fields::nearest(&wanted_key, names.iter().copied());
                let hint = near.first().map_or(String::new(), |n| format!("; did you mean \"{n}\"?"));
                return Err(minijinja::Error::new(
                    ErrorKind::InvalidOperation,
                    format!("this recipe pours no \"{wanted}\"{hint}"),
                ));
            };
            forms[position].clone().ok_or_else(|| {
                minijinja::Error::new(ErrorKind::InvalidOperation, format!("{function}(\"{wanted}\") is not known"))
            })
        });
    }
    env
}

fn evaluate(env: &Environment<'static>, expression: &Expression, span: Span) -> Evaluated {
    let names: Vec<&str> = NAMES.iter().map(|(n, _)| *n).collect();
    let help = format!("an expression may use: {}", names.join(", "));
    let fault =
        |message: String| Err(Box::new(Problem::new(code::METHOD_EXPRESSION, span, message).help(help.clone())));
    if expression.code.is_empty() {
        return Err(Box::new(
            Problem::new(code::METHOD_EXPRESSION, span, "this `{{` holds nothing, or is not closed on its line")
                .help("write a name and close it on the same line, for example `{{ abv }}`"),
        ));
    }
    if expression.code.len() > LONGEST {
        return fault("this expression is too long for prose".into());
    }
    let compiled = match env.compile_expression(&expression.code) {
        Ok(compiled) => compiled,
        Err(error) => {
            return fault(format!(
                "`{}` cannot be read: {}",
                expression.code,
                error.detail().unwrap_or("it is no expression")
            ));
        }
    };
    match compiled.eval(()) {
        Ok(value) if value.is_undefined() => fault(format!("nothing is called `{}` here", expression.code)),
        Ok(value) => Ok(value.to_string()),
        Err(error) if error.kind() == ErrorKind::UndefinedError => {
            fault(format!("nothing is called `{}` here", expression.code))
        }
        Err(error) if error.kind() == ErrorKind::OutOfFuel => fault("this expression takes too many steps".into()),
        Err(error) => {
            fault(format!("`{}` cannot be computed: {}", expression.code, error.detail().unwrap_or("it has no value")))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn expressions_are_found_with_their_place() {
        let found = find("a {{ abv }} b {{ amount(\"gin\") }} {{ open\n");
        assert_eq!(found.len(), 3);
        assert_eq!((found[0].code.as_str(), found[0].range), ("abv", (2, 11)));
        assert_eq!(found[2].code, "");
    }
}
