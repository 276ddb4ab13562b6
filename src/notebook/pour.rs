//! Pour lines: `1 1/2 oz lemon juice, strained` to an amount and a name, each with its place inside the line.
//!
//! What the name means, and where it ends and the preparation begins, is decided later, when all names are known.

use deunicode::deunicode;
use rust_decimal::Decimal;

use super::fields::{Fields, wrong_type};
use super::yaml::{Node, Text};
use crate::measure::number;
use crate::measure::{Amount, Unit};
use crate::problem::{Problem, code};
use crate::source::Span;

mod amount;
mod cursor;
mod unit_word;

use amount::amount;
use cursor::Cursor;
pub use unit_word::{near_unit, unknown_unit};

/// When a pour goes in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// Into the mix.
    Mix,
    /// Into the glass, to the brim.
    Top,
    /// Onto the surface, last.
    Float,
    /// Coats the glass and is tipped out.
    Rinse,
}

/// How much of it, as written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PourAmount {
    /// `300 ml`, `2–3 drops`, `6 x 50 ml`.
    Measured {
        /// The amount, or the low end of a range.
        amount: Amount,
        /// The high end of a range; the middle computes.
        high: Option<Decimal>,
        /// `6` in `6 x 50 ml`.
        times: Option<Decimal>,
    },
    /// `2 limes`, `1 tin evaporated milk`: pieces or packs whose size the pantry knows.
    Count(Decimal),
    /// `juice of 2 limes`: a part of so many pieces.
    PartOf {
        /// `juice`, `peel`.
        part: String,
        /// How many pieces.
        pieces: Decimal,
    },
    /// `0.25 % xanthan gum`: a share of the liquid's mass.
    Share(Decimal),
    /// `2 parts gin`.
    Parts(Decimal),
    /// `to 1 l water`: fills up to.
    UpTo(Amount),
    /// `a few dashes`.
    Few(Unit),
    /// `a few limes`: pieces, so many as the house assumes.
    FewPieces,
    /// `half a lime`: half a piece, which nobody weighed.
    Half,
    /// `to taste`.
    ToTaste,
    /// No amount: `top soda`.
    Bare,
    /// An amount that is at fault and was reported. The line is kept for its name, which may be at fault too.
    Unread,
}

impl PourAmount {
    /// Whether it says in so many words that nothing is poured.
    #[must_use]
    pub fn is_nothing(&self) -> bool {
        match self {
            Self::Measured { amount, high, times } => {
                middle(amount.value, *high).is_zero() || times.is_some_and(|t| t.is_zero())
            }
            Self::Count(n) | Self::PartOf { pieces: n, .. } | Self::Share(n) | Self::Parts(n) => n.is_zero(),
            Self::UpTo(amount) => amount.value.is_zero(),
            Self::Few(_) | Self::FewPieces | Self::Half | Self::ToTaste | Self::Bare | Self::Unread => false,
        }
    }
}

/// One ingredient line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PourLine {
    /// The line as written.
    pub text: Text,
    /// When it goes in.
    pub role: Role,
    /// How much.
    pub amount: PourAmount,
    /// Where the amount stands.
    pub amount_span: Span,
    /// The name, with any preparation still behind it.
    pub name: Text,
    /// `30 ml foam of NAME`: measured as foam.
    pub foam: bool,
    /// `dial` leaves it alone.
    pub hold: bool,
    /// Starts a scaled batch low.
    pub to_taste_when_scaled: bool,
    /// House edition only.
    pub note: Option<String>,
    /// Pours that may stand in its place.
    pub or: Vec<PourLine>,
}

/// Reads a pour that may stand in the place of another: a plain one, measured.
fn substitute(text: &Text, problems: &mut Vec<Problem>) -> Option<PourLine> {
    let pour = line(text, problems)?;
    let measured = matches!(pour.amount, PourAmount::Measured { .. } | PourAmount::Unread);
    if pour.role == Role::Mix && measured && !pour.foam {
        return Some(pour);
    }
    problems.push(
        Problem::new(code::POUR_ROLE, text.span, "a substitute is measured by volume or weight")
            .help("write for example `or: [20 ml agave syrup]`"),
    );
    None
}

/// Reads a pour in its short or its long form.
pub fn pour(node: Node, problems: &mut Vec<Problem>) -> Option<PourLine> {
    match node {
        Node::Text(text) => line(&text, problems),
        // `- gin: 50 ml`: a colon makes a mapping of what was meant as a line.
        Node::Map(entries, _) if entries.len() == 1 && name_before_amount(&entries[0]) => {
            let (name, value) = &entries[0];
            let amount = if let Node::Text(amount) = value { amount.value.as_str() } else { "50 ml" };
            let message = format!("a pour is a line of text, and the colon behind `{}` makes it a mapping", name.value);
            problems.push(Problem::new(code::WRONG_TYPE, name.span, message).help(format!(
                "write the amount first: `{amount} {}`; a name with a colon in it needs quotes",
                name.value
            )));
            None
        }
        Node::Map(..) => {
            let mut fields = Fields::open(node, "a pour", problems)?;
            let span = fields.span;
            let text = fields.text("pour", problems);
            let hold = fields.flag("hold", problems).is_some_and(|f| f.value);
            let scale = fields.string("scale", problems);
            let note = fields.string("note", problems).map(|s| s.value);
            let or: Vec<PourLine> = fields
                .texts("or", problems)
                .unwrap_or_default()
                .iter()
                .filter_map(|t| substitute(t, problems))
                .collect();
            fields.close(problems);
            if let Some(scale) = scale.as_ref().filter(|s| s.value != "taste") {
                problems.push(
                    Problem::new(code::WRONG_VALUE, scale.span, format!("`scale` cannot be `{}`", scale.value))
                        .help("write `scale: taste` for a pour that a scaled batch starts low, or leave it out"),
                );
            }
            let Some(text) = text else {
                problems.push(
                    Problem::new(code::MISSING_KEY, span, "this pour has no `pour`")
                        .help("write `pour: 90 ml honey syrup`; a name with a colon in it needs quotes"),
                );
                return None;
            };
            let mut pour = line(&text, problems)?;
            if let Some(other) = or.first().filter(|_| pour.role != Role::Mix) {
                problems.push(
                    Problem::new(code::POUR_ROLE, other.text.span, "only what goes in the mix may have a substitute")
                        .help("take `or` out"),
                );
            }
            (pour.hold, pour.to_taste_when_scaled, pour.note) = (hold, scale.is_some(), note);
            pour.or = or;
            Some(pour)
        }
        other => {
            problems.push(
                wrong_type(&other, "a pour is a line of text, or a mapping with `pour`")
                    .help("write for example `- 300 ml gin`"),
            );
            None
        }
    }
}

/// Whether a key of a mapping is no key of a pour and its value an amount alone, or nothing.
fn name_before_amount((key, value): &(Text, Node)) -> bool {
    let known = ["pour", "hold", "scale", "note"].contains(&key.value.as_str());
    !known
        && match value {
            Node::Null(_) => true,
            Node::Text(text) => number::lex_range(&text.value).ok().flatten().is_some_and(|read| {
                let rest = text.value[read.len..].trim();
                rest.is_empty() || Unit::lex(rest).is_some_and(|(_, used)| used == rest.len())
            }),
            _ => false,
        }
}

/// Reads a pour line.
pub fn line(text: &Text, problems: &mut Vec<Problem>) -> Option<PourLine> {
    let mut cursor = Cursor { text, at: 0 };
    cursor.skip(0);
    let role = [("top", Role::Top), ("float", Role::Float), ("rinse", Role::Rinse)]
        .into_iter()
        .find(|(word, _)| cursor.word(word))
        .map_or(Role::Mix, |(_, role)| role);
    if role != Role::Mix && !cursor.word("with") {
        cursor.word("of");
    }
    let start = cursor.at;
    let mut amount = match amount(&mut cursor, problems) {
        Some(amount) => amount,
        None if after_unread(&mut cursor) => PourAmount::Unread,
        None => return None,
    };
    let amount_span = text.part(start, cursor.at.max(start + 1)).part(0, trimmed(&text.value[start..cursor.at]));
    if amount.is_nothing() {
        problems.push(
            Problem::new(code::BAD_AMOUNT, amount_span, "a pour of nothing")
                .help("leave the line out, or write how much goes in"),
        );
        amount = PourAmount::Unread;
    }
    cursor.word("of");
    let foam = cursor.word("foam of") || {
        let before = cursor.at;
        let is = cursor.word("foam") && cursor.word("of");
        if !is {
            cursor.at = before;
        }
        is
    };
    let mut name = cursor.name();
    // `salt, to taste` and `salt to taste`.
    if let Some(stem) = strip_to_taste(&name.value) {
        name.span = name.part(0, stem);
        name.value.truncate(stem);
        amount = PourAmount::ToTaste;
    } else if amount == PourAmount::Bare && role == Role::Mix {
        problems.push(
            Problem::new(code::BAD_AMOUNT, text.span, format!("`{}` does not start with an amount", text.value))
                .help(amount_wanted(&text.value)),
        );
        return None;
    }
    if name.value.is_empty() && amount == PourAmount::Unread {
        return None;
    }
    if name.value.is_empty() {
        problems.push(
            Problem::new(code::BAD_AMOUNT, text.span, "this pour has an amount but no name")
                .help(format!("write what is poured, for example `{} gin`", text.value.trim())),
        );
        return None;
    }
    Some(PourLine {
        text: text.clone(),
        role,
        amount,
        amount_span,
        name,
        foam,
        hold: false,
        to_taste_when_scaled: false,
        note: None,
        or: Vec::new(),
    })
}

/// Steps over an amount that could not be read, up to the name behind it; whether there is one.
fn after_unread(cursor: &mut Cursor<'_>) -> bool {
    let rest = cursor.rest();
    let word = rest
        .split_inclusive(char::is_whitespace)
        .scan(0, |at, word| {
            let start = *at;
            *at += word.len();
            Some((start, word))
        })
        .find(|(_, word)| word.starts_with(char::is_alphabetic));
    let Some((start, _)) = word else { return false };
    cursor.skip(start);
    if let Some((_, used)) = Unit::lex(cursor.rest()) {
        cursor.skip(used);
    }
    true
}

/// What to write in place of a line that does not start with an amount.
fn amount_wanted(text: &str) -> String {
    const NUMBERS: [&str; 12] =
        ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
    let text = text.trim();
    let first = text.split_whitespace().next().unwrap_or("");
    if let Some(number) = NUMBERS.iter().position(|n| first.eq_ignore_ascii_case(n)) {
        return format!("write the number in digits: `{}{}`", number + 1, &text[first.len()..]);
    }
    if first.starts_with(|c: char| c.is_numeric() && !c.is_ascii()) {
        return format!("write the number with the digits 0 to 9: `{}{}`", deunicode(first), &text[first.len()..]);
    }
    "write for example `30 ml lemon juice`, `2 limes`, `a few dashes bitters` or `salt, to taste`".into()
}

fn trimmed(text: &str) -> usize {
    text.trim_end().len().max(1)
}

fn strip_to_taste(name: &str) -> Option<usize> {
    let lower = name.to_ascii_lowercase();
    let stem = lower.strip_suffix("to taste")?.trim_end().trim_end_matches(',').trim_end();
    (!stem.is_empty()).then_some(stem.len())
}

/// A pour that goes into a process: it cannot be topped or foam, and parts are of the mix.
pub fn into_process(pour: PourLine, problems: &mut Vec<Problem>) -> Option<PourLine> {
    let (span, message) = if pour.role != Role::Mix {
        (pour.text.span, "`top`, `float` and `rinse` go into the glass, not into a process")
    } else if pour.foam {
        (pour.name.span, "`foam of` goes on a drink that is ready, not into a process")
    } else {
        return not_in_parts(pour, problems);
    };
    problems.push(
        Problem::new(code::POUR_ROLE, span, message)
            .help("write an amount and a name, for example `320 ml whole milk`"),
    );
    None
}

/// A pour outside `mix`, where nothing says what a part is a part of.
pub fn not_in_parts(pour: PourLine, problems: &mut Vec<Problem>) -> Option<PourLine> {
    if matches!(pour.amount, PourAmount::Parts(_)) {
        problems.push(
            Problem::new(code::POUR_ROLE, pour.amount_span, "parts are parts of `mix`, and this pour is not in it")
                .help("write a volume or a mass, for example `30 ml`"),
        );
        return None;
    }
    Some(pour)
}

/// The middle of a range.
#[must_use]
pub fn middle(low: Decimal, high: Option<Decimal>) -> Decimal {
    high.map_or(low, |high| (low + high) / Decimal::TWO)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::FileId;
    use rust_decimal::dec;

    fn read(value: &str) -> Result<PourLine, &'static str> {
        let text = Text { value: value.into(), span: Span::new(FileId(0), 0, value.len()), exact: true, quoted: false };
        let mut problems = Vec::new();
        let line = line(&text, &mut problems);
        problems.first().map_or_else(|| Ok(line.unwrap()), |p| Err(p.code.name()))
    }

    fn measured(value: Decimal, unit: Unit) -> PourAmount {
        PourAmount::Measured { amount: Amount { value, unit }, high: None, times: None }
    }

    #[test]
    fn every_legal_form() {
        for (text, role, amount, name) in [
            ("300 ml gin", Role::Mix, measured(dec!(300), Unit::Ml), "gin"),
            ("300ml gin", Role::Mix, measured(dec!(300), Unit::Ml), "gin"),
            ("1 1/2 oz lemon juice, strained", Role::Mix, measured(dec!(1.5), Unit::Oz), "lemon juice, strained"),
            ("¾ oz rum", Role::Mix, measured(dec!(0.75), Unit::Oz), "rum"),
            ("2 dashes celery bitters", Role::Mix, measured(dec!(2), Unit::Dash), "celery bitters"),
            ("a dash of bitters", Role::Mix, measured(dec!(1), Unit::Dash), "bitters"),
            ("2 limes", Role::Mix, PourAmount::Count(dec!(2)), "limes"),
            ("1 tin evaporated milk", Role::Mix, PourAmount::Count(dec!(1)), "tin evaporated milk"),
            ("juice of 2 limes", Role::Mix, PourAmount::PartOf { part: "juice".into(), pieces: dec!(2) }, "limes"),
            (
                "juice of half a lemon",
                Role::Mix,
                PourAmount::PartOf { part: "juice".into(), pieces: dec!(0.5) },
                "lemon",
            ),
            ("0.25 % xanthan gum", Role::Mix, PourAmount::Share(dec!(0.25)), "xanthan gum"),
            ("2 parts gin", Role::Mix, PourAmount::Parts(dec!(2)), "gin"),
            ("top 90 ml soda", Role::Top, measured(dec!(90), Unit::Ml), "soda"),
            ("float 15 ml dark rum", Role::Float, measured(dec!(15), Unit::Ml), "dark rum"),
            ("rinse 5 ml absinthe", Role::Rinse, measured(dec!(5), Unit::Ml), "absinthe"),
            ("top soda", Role::Top, PourAmount::Bare, "soda"),
            ("to 1 l water", Role::Mix, PourAmount::UpTo(Amount { value: dec!(1), unit: Unit::L }), "water"),
            ("to taste salt", Role::Mix, PourAmount::ToTaste, "salt"),
            ("salt, to taste", Role::Mix, PourAmount::ToTaste, "salt"),
            ("a few dashes bitters", Role::Mix, PourAmount::Few(Unit::Dash), "bitters"),
            ("half a lime", Role::Mix, PourAmount::Half, "lime"),
            ("half an ounce of gin", Role::Mix, measured(dec!(0.5), Unit::Oz), "gin"),
            ("half oz gin", Role::Mix, measured(dec!(0.5), Unit::Oz), "gin"),
            ("a few mint leaves", Role::Mix, PourAmount::FewPieces, "mint leaves"),
            (
                "6x50ml soda",
                Role::Mix,
                PourAmount::Measured {
                    amount: Amount { value: dec!(50), unit: Unit::Ml },
                    high: None,
                    times: Some(dec!(6)),
                },
                "soda",
            ),
            (
                "6×50 ml soda",
                Role::Mix,
                PourAmount::Measured {
                    amount: Amount { value: dec!(50), unit: Unit::Ml },
                    high: None,
                    times: Some(dec!(6)),
                },
                "soda",
            ),
            ("150 g flesh of quince", Role::Mix, measured(dec!(150), Unit::G), "flesh of quince"),
        ] {
            let pour = read(text).unwrap_or_else(|code| panic!("{text}: {code}"));
            assert_eq!((pour.role, &pour.amount, pour.name.value.as_str()), (role, &amount, name), "{text}");
        }
        let pour = read("6 x 50 ml soda").unwrap();
        assert!(matches!(pour.amount, PourAmount::Measured { times: Some(t), .. } if t == dec!(6)));
        let pour = read("2–3 drops saline").unwrap();
        assert!(matches!(pour.amount, PourAmount::Measured { high: Some(h), .. } if h == dec!(3)));
        let pour = read("30 ml foam of pear foam").unwrap();
        assert!(pour.foam && pour.name.value == "pear foam");
    }

    #[test]
    fn a_line_whose_amount_is_at_fault_keeps_its_name() {
        for (text, name) in [
            ("-2 ml gin", "gin"),
            ("3/0 oz lemn juice, strained", "lemn juice, strained"),
            ("1e400 ml gin", "gin"),
            ("6 x 0/0 ml gin", "gin"),
            ("top 0 ml soda", "soda"),
            ("3–2 drops of saline", "saline"),
            ("juice of 3/0 limes", "limes"),
        ] {
            let text =
                Text { value: text.into(), span: Span::new(FileId(0), 0, text.len()), exact: true, quoted: false };
            let mut problems = Vec::new();
            let pour = line(&text, &mut problems).unwrap_or_else(|| panic!("{}", text.value));
            assert_eq!((pour.amount, pour.name.value.as_str()), (PourAmount::Unread, name), "{}", text.value);
            assert_eq!(problems.len(), 1, "{}", text.value);
        }
    }

    #[test]
    fn every_bad_form_has_its_code() {
        for (text, code) in [
            ("300", "missing-unit"),
            ("3/0 oz gin", "bad-number"),
            ("-2 ml gin", "negative-amount"),
            ("1e400 ml gin", "bad-number"),
            ("½½ oz gin", "bad-number"),
            ("1,5 oz gin", "decimal-comma"),
            ("gin", "bad-amount"),
            ("30 ml", "bad-amount"),
            ("3–2 drops x", "bad-range"),
            ("0 ml gin", "bad-amount"),
            ("to nowhere", "bad-amount"),
            ("0–0 ml gin", "bad-amount"),
            ("6 x 0 ml gin", "bad-amount"),
            ("juice of 0 limes", "bad-amount"),
            ("to 0 ml water", "bad-amount"),
            ("top 0 ml soda", "bad-amount"),
            ("12:30 ml gin", "bad-amount"),
            ("1 750 ml gin", "bad-number"),
            ("2–3 4 ml gin", "bad-number"),
            ("1_000 ml gin", "bad-amount"),
            ("３０ ml gin", "bad-amount"),
            ("1-1/2 oz gin", "bad-range"),
            ("9999999999999999999999999999 ml gin", "bad-number"),
        ] {
            assert_eq!(read(text).err(), Some(code), "{text}");
        }
    }
}
