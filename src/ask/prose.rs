//! Expressions in prose: `{{ amount("gin") }}` and `{{ abv }}`, evaluated in a sandbox against the computed recipe.
//!
//! The sandbox is an empty minijinja environment with strict undefined names, a step limit and no way to reach a file.
//! A value is text, never markup: the press puts it into text after Markdown has been read.

use std::collections::BTreeMap;
use std::sync::Arc;

use minijinja::value::{Object, ValueKind};
use minijinja::{Environment, ErrorKind, Value};

use crate::problem::{Problem, code};
use crate::recipe::run::Computed;
use crate::source::Span;

mod names;
mod sandbox;
mod values;

pub use names::documentation;
use names::{NAMES, Where, plain_names};
use sandbox::environment;

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
