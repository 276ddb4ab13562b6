//! The grammar of hazard triggers: text to an expression, each piece with its place in the text.
//!
//! ```text
//! expr   = and { "or" and }
//! and    = unary { "and" unary }
//! unary  = "not" unary | "(" expr ")" | "always" | term
//! term   = NAME ["-" NAME] op side | NAME "in" "{" word { "," word } "}" | NAME "given" | NAME "missing" | PROCESS "then" PROCESS
//! op     = "=" | ">" | "<" | ">=" | "<="
//! side   = atom [ ("*" | "+") atom ]        atom = number | word | NAME
//! ```
//!
//! `a - b` needs spaces, since names hold hyphens. What a name means is not known here: `names` checks that.

use std::ops::Range;

use winnow::combinator::{alt, cut_err, delimited, fail, opt, preceded, separated};
use winnow::error::{ContextError, StrContext, StrContextValue};
use winnow::prelude::*;
use winnow::stream::{LocatingSlice, Stateful};
use winnow::token::{one_of, take_while};

/// Deepest that brackets and `not` may nest: a rule that a person can read has three or four.
const DEEPEST: usize = 32;

/// A name or word, and where it stands in the trigger.
#[derive(Debug, Clone, PartialEq)]
pub struct Name {
    /// As written.
    pub text: String,
    /// Bytes from the start of the trigger.
    pub at: Range<usize>,
}

/// How two sides are compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Op {
    /// Equal; on a set, a member of it.
    Is,
    /// Greater.
    Above,
    /// Less.
    Below,
    /// Greater or equal.
    AtLeast,
    /// Less or equal.
    AtMost,
}

/// What stands on the right of a comparison.
#[derive(Debug, Clone, PartialEq)]
pub enum Atom {
    /// A number.
    Number(f64),
    /// A word, or the name of a figure: which of the two depends on what it is compared with.
    Name(Name),
}

/// The right side: an atom, or two.
#[derive(Debug, Clone, PartialEq)]
pub enum Side {
    /// One.
    One(Atom),
    /// The first times the second.
    Times(Atom, Atom),
    /// The sum of both.
    Plus(Atom, Atom),
}

impl Side {
    /// Its atoms, one or two.
    #[must_use]
    pub fn atoms(&self) -> Vec<&Atom> {
        match self {
            Self::One(a) => vec![a],
            Self::Times(a, b) | Self::Plus(a, b) => vec![a, b],
        }
    }
}

/// A trigger.
#[derive(Debug, Clone, PartialEq)]
pub enum Expr {
    /// Every recipe.
    Always,
    /// One of them holds.
    Or(Vec<Expr>),
    /// All of them hold.
    And(Vec<Expr>),
    /// It does not hold; a comparison with something missing does not hold, so `not` of it does.
    Not(Box<Expr>),
    /// A comparison of a figure, or of the difference of two, with the right side.
    Compare(Name, Option<Name>, Op, Side),
    /// A common member of a set and these words, or a word that is one of them.
    In(Name, Vec<Name>),
    /// Known and not empty.
    Given(Name),
    /// Not known, or empty.
    Missing(Name),
    /// The second process stands somewhere after the first.
    Then(Name, Name),
}

impl Expr {
    /// Calls a function on every name on the left of anything, and on those on the right that may be figures.
    pub fn each_name<'e>(&'e self, visit: &mut dyn FnMut(&'e Name)) {
        match self {
            Self::Always => {}
            Self::Or(list) | Self::And(list) => list.iter().for_each(|e| e.each_name(visit)),
            Self::Not(inner) => inner.each_name(visit),
            Self::Compare(left, minus, _, side) => {
                visit(left);
                minus.iter().for_each(&mut *visit);
                for atom in side.atoms() {
                    if let Atom::Name(name) = atom {
                        visit(name);
                    }
                }
            }
            Self::In(name, _) | Self::Given(name) | Self::Missing(name) => visit(name),
            Self::Then(a, b) => {
                visit(a);
                visit(b);
            }
        }
    }
}

/// Why a trigger could not be read, and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Bytes from the start of the trigger.
    pub at: usize,
    /// What was wanted there.
    pub wanted: String,
}

/// The text with its places, and how deep the brackets go.
type Input<'i> = Stateful<LocatingSlice<&'i str>, usize>;

/// Reads a trigger.
///
/// # Errors
/// The place at which it stops making sense, and what was wanted there.
pub fn parse(text: &str) -> Result<Expr, Fault> {
    let input = Stateful { input: LocatingSlice::new(text), state: 0 };
    (delimited(space, either, space)).parse(input).map_err(|error| {
        // The innermost context comes first, and says the most.
        let wanted = error.inner().context().find_map(|context| match context {
            StrContext::Expected(value) => Some(value.to_string()),
            _ => None,
        });
        let wanted = wanted.unwrap_or_else(|| "`and`, `or` or the end of the trigger".to_owned());
        Fault { at: error.offset().min(text.len()), wanted }
    })
}

fn wanted(what: &'static str) -> StrContext {
    StrContext::Expected(StrContextValue::Description(what))
}

fn space(input: &mut Input<'_>) -> ModalResult<()> {
    take_while(0.., [' ', '\t', '\n', '\r']).void().parse_next(input)
}

fn letters<'i>(input: &mut Input<'i>) -> ModalResult<&'i str> {
    let first = |c: char| c.is_ascii_lowercase();
    let more = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || matches!(c, '_' | '-' | '.');
    (one_of(first), take_while(0.., more)).take().parse_next(input)
}

const KEYWORDS: &[&str] = &["and", "or", "not", "always", "in", "given", "missing", "then"];

fn keyword<'i>(word: &'static str) -> impl Parser<Input<'i>, (), winnow::error::ErrMode<ContextError>> {
    delimited(space, letters.verify(move |text: &str| text == word), space).void()
}

/// A name; not one of the grammar's own words.
fn name(input: &mut Input<'_>) -> ModalResult<Name> {
    letters
        .verify(|text: &str| !KEYWORDS.contains(&text))
        .with_span()
        .map(|(text, at): (&str, Range<usize>)| Name { text: text.to_owned(), at })
        .context(wanted("a name"))
        .parse_next(input)
}

/// A word of a list: it may be one of the grammar's own words, and may start with a digit.
fn word(input: &mut Input<'_>) -> ModalResult<Name> {
    take_while(1.., |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || matches!(c, '_' | '-'))
        .with_span()
        .map(|(text, at): (&str, Range<usize>)| Name { text: text.to_owned(), at })
        .context(wanted("a word"))
        .parse_next(input)
}

fn number(input: &mut Input<'_>) -> ModalResult<f64> {
    let digits = || take_while::<_, Input<'_>, _>(1.., |c: char| c.is_ascii_digit());
    (opt('-'), digits(), opt(('.', digits())))
        .take()
        .verify_map(|text: &str| text.parse::<f64>().ok().filter(|n| n.is_finite()))
        .parse_next(input)
}

fn either(input: &mut Input<'_>) -> ModalResult<Expr> {
    separated::<_, _, Vec<Expr>, _, _, _, _>(1.., both, keyword("or"))
        .map(|mut list| if list.len() == 1 { list.remove(0) } else { Expr::Or(list) })
        .parse_next(input)
}

fn both(input: &mut Input<'_>) -> ModalResult<Expr> {
    separated::<_, _, Vec<Expr>, _, _, _, _>(1.., cut_err(unary), keyword("and"))
        .map(|mut list| if list.len() == 1 { list.remove(0) } else { Expr::And(list) })
        .parse_next(input)
}

fn unary(input: &mut Input<'_>) -> ModalResult<Expr> {
    if input.state >= DEEPEST {
        return cut_err(fail.context(wanted("fewer brackets"))).parse_next(input);
    }
    input.state += 1;
    let close = || cut_err(preceded(space, ')').context(wanted("a closing bracket")));
    let found = preceded(
        space,
        alt((
            preceded(keyword("not"), cut_err(unary)).map(|e| Expr::Not(Box::new(e))),
            delimited('(', cut_err(either), close()),
            keyword("always").value(Expr::Always),
            term,
        )),
    )
    .context(wanted("a name, `not`, `always` or a bracket"))
    .parse_next(input);
    input.state -= 1;
    found
}

/// What follows a name.
enum After {
    Compare(Option<Name>, Op, Side),
    In(Vec<Name>),
    Given,
    Missing,
    Then(Name),
}

fn term(input: &mut Input<'_>) -> ModalResult<Expr> {
    let left = name.parse_next(input)?;
    let words = delimited(
        (space, '{', space),
        separated(1.., word, (space, ',', space)),
        (space, '}').context(wanted("a comma or a closing brace")),
    );
    let after = cut_err(
        alt((
            preceded(keyword("in"), cut_err(words.context(wanted("words in braces")))).map(After::In),
            keyword("given").map(|()| After::Given),
            keyword("missing").map(|()| After::Missing),
            preceded(keyword("then"), cut_err(name)).map(After::Then),
            (opt(minus), op, cut_err(side)).map(|(minus, op, side)| After::Compare(minus, op, side)),
        ))
        .context(wanted("`=`, `>`, `<`, `>=`, `<=`, `in`, `given`, `missing` or `then`")),
    )
    .parse_next(input)?;
    Ok(match after {
        After::Compare(minus, op, side) => Expr::Compare(left, minus, op, side),
        After::In(words) => Expr::In(left, words),
        After::Given => Expr::Given(left),
        After::Missing => Expr::Missing(left),
        After::Then(other) => Expr::Then(left, other),
    })
}

/// `- b`, with its spaces.
fn minus(input: &mut Input<'_>) -> ModalResult<Name> {
    preceded((take_while(1.., ' '), '-', take_while(1.., ' ')), cut_err(name)).parse_next(input)
}

fn op(input: &mut Input<'_>) -> ModalResult<Op> {
    delimited(
        space,
        alt((
            ">=".value(Op::AtLeast),
            "<=".value(Op::AtMost),
            '='.value(Op::Is),
            '>'.value(Op::Above),
            '<'.value(Op::Below),
        )),
        space,
    )
    .parse_next(input)
}

fn side(input: &mut Input<'_>) -> ModalResult<Side> {
    let first = atom.parse_next(input)?;
    let second = opt((delimited(space, one_of(['*', '+']), space), cut_err(atom))).parse_next(input)?;
    Ok(match second {
        Some(('*', second)) => Side::Times(first, second),
        Some((_, second)) => Side::Plus(first, second),
        None => Side::One(first),
    })
}

fn atom(input: &mut Input<'_>) -> ModalResult<Atom> {
    alt((number.map(Atom::Number), name.map(Atom::Name))).context(wanted("a number or a word")).parse_next(input)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shape(text: &str) -> String {
        fn side(side: &Side) -> String {
            let atom = |a: &Atom| match a {
                Atom::Number(n) => n.to_string(),
                Atom::Name(n) => n.text.clone(),
            };
            match side {
                Side::One(a) => atom(a),
                Side::Times(a, b) => format!("{}*{}", atom(a), atom(b)),
                Side::Plus(a, b) => format!("{}+{}", atom(a), atom(b)),
            }
        }
        fn show(e: &Expr) -> String {
            let all = |list: &[Expr]| list.iter().map(show).collect::<Vec<_>>().join(" ");
            match e {
                Expr::Always => "always".into(),
                Expr::Or(list) => format!("(or {})", all(list)),
                Expr::And(list) => format!("(and {})", all(list)),
                Expr::Not(e) => format!("(not {})", show(e)),
                Expr::Compare(a, None, op, s) => format!("{}:{op:?}:{}", a.text, side(s)),
                Expr::Compare(a, Some(b), op, s) => format!("{}-{}:{op:?}:{}", a.text, b.text, side(s)),
                Expr::In(a, words) => {
                    format!("{}{{{}}}", a.text, words.iter().map(|w| w.text.as_str()).collect::<Vec<_>>().join(","))
                }
                Expr::Given(a) => format!("{}!", a.text),
                Expr::Missing(a) => format!("{}?", a.text),
                Expr::Then(a, b) => format!("{}→{}", a.text, b.text),
            }
        }
        match parse(text) {
            Ok(e) => show(&e),
            Err(fault) => format!("at {}: wanted {}", fault.at, fault.wanted),
        }
    }

    #[test]
    fn triggers_are_read_as_the_grammar_says() {
        for (text, wanted) in [
            ("always", "always"),
            ("tag=raw-egg and not process=pasteurise", "(and tag:Is:raw-egg (not process:Is:pasteurise))"),
            ("a=1 or b=2 and c=3", "(or a:Is:1 (and b:Is:2 c:Is:3))"),
            ("(a=1 or b=2) and c=3", "(and (or a:Is:1 b:Is:2) c:Is:3)"),
            ("charge.before_ml > 0.5 * charge.siphon_ml", "charge.before_ml:Above:0.5*charge.siphon_ml"),
            ("keeps.at_c > carbonate.at_c + 10", "keeps.at_c:Above:carbonate.at_c+10"),
            ("temperature_c - house.room_c > 60", "temperature_c-house.room_c:Above:60"),
            ("keeps.at_c > -18", "keeps.at_c:Above:-18"),
            ("heat then rest and rest.to_c <= 5", "(and heat→rest rest.to_c:AtMost:5)"),
            ("not bottle.in in {steel,plastic}", "(not bottle.in{steel,plastic})"),
            ("allergen given or ph missing", "(or allergen! ph?)"),
            ("not (a=1 and not b given)", "(not (and a:Is:1 (not b!)))"),
            ("abv>=0.5", "abv:AtLeast:0.5"),
        ] {
            assert_eq!(shape(text), wanted, "{text}");
        }
    }

    #[test]
    fn what_cannot_be_read_is_placed() {
        for (text, at) in [
            ("", 0),
            ("abv >", 5),
            ("abv > 20 and", 12),
            ("abv > 20 nonsense", 9),
            ("(abv > 20", 9),
            ("tag in {a,}", 9),
            ("tag in a", 7),
            ("Tag=egg", 0),
            ("ph", 2),
            ("not", 3),
        ] {
            let fault = parse(text).expect_err(text);
            assert_eq!(fault.at, at, "{text}: {}", fault.wanted);
        }
        let deep = format!("{}a=1{}", "(".repeat(5000), ")".repeat(5000));
        assert!(parse(&deep).is_err());
    }
}
