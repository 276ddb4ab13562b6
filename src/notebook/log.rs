//! Log entries: what was made, when and how much. A person writes them; Costrel only reads them.

use super::fields::{Fields, wrong_type};
use super::reading::{Reading, reading};
use super::value;
use super::yaml::{Node, Text};
use crate::measure::Amount;
use crate::problem::{Problem, code};
use crate::source::Span;

/// One made batch.
#[derive(Debug, Clone, PartialEq)]
pub struct LogEntry {
    /// Where it stands.
    pub span: Span,
    /// The recipe's name, still to be resolved.
    pub recipe: Text,
    /// Lot number.
    pub lot: Option<String>,
    /// When it was made.
    pub made: Option<jiff::civil::DateTime>,
    /// How much was made.
    pub amount: Option<Amount>,
    /// How much is left; `None` is all of it.
    pub left: Option<Amount>,
    /// Readings.
    pub readings: Vec<Reading>,
    /// A remark.
    pub note: Option<String>,
}

/// Reads a log file.
pub fn entries(node: Node, problems: &mut Vec<Problem>) -> Vec<LogEntry> {
    match node {
        Node::List(list, _) => list.into_iter().filter_map(|n| entry(n, problems)).collect(),
        other => {
            problems.push(
                wrong_type(&other, "a log file is a list of batches").help("start each batch with `- recipe: …`"),
            );
            Vec::new()
        }
    }
}

fn entry(node: Node, problems: &mut Vec<Problem>) -> Option<LogEntry> {
    let mut f = Fields::open(node, "a log entry", problems)?;
    let span = f.span;
    let recipe = f.text("recipe", problems);
    let lot = f.string("lot", problems).map(|s| s.value);
    let made = f.text("made", problems).and_then(|t| value::date_time(&t, problems)).map(|d| d.value);
    let mut amount = |key: &'static str| {
        f.text(key, problems).and_then(|t| value::amount(&t, None, problems)).map(|a| (a.value, a.span))
    };
    let (made_amount, left) = (amount("amount"), amount("left"));
    let readings = f.list("readings").unwrap_or_default().into_iter().filter_map(|n| reading(n, problems)).collect();
    let note = f.string("note", problems).map(|s| s.value);
    f.close(problems);
    if let (Some((whole, _)), Some((left, at))) = (made_amount, left) {
        let same = whole.unit.dimension() == left.unit.dimension();
        let units = crate::measure::Units::default();
        if same && left.base(&units) > whole.base(&units) {
            problems.push(
                Problem::new(code::WRONG_VALUE, at, "more is left than was made").help("check `amount` and `left`"),
            );
        }
    }
    let Some(recipe) = recipe else {
        problems.push(
            Problem::new(code::MISSING_KEY, span, "this log entry has no `recipe`")
                .help("write `- recipe: quince cordial`"),
        );
        return None;
    };
    Some(LogEntry {
        span,
        recipe,
        lot,
        made,
        amount: made_amount.map(|(a, _)| a),
        left: left.map(|(a, _)| a),
        readings,
        note,
    })
}
