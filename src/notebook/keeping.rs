//! Keeping claims: `7 d at 4 °C, sealed` to a time, a temperature and whether it is sealed.

use super::value;
use super::yaml::Text;
use crate::problem::{Problem, code};
use crate::source::Span;

/// How long something may be held, as its writer claims.
#[derive(Debug, Clone, PartialEq)]
pub struct Keeping {
    /// Hours.
    pub hours: f64,
    /// °C; `None` where the claim names no temperature.
    pub at_c: Option<f64>,
    /// Whether the claim says that it is sealed.
    pub sealed: bool,
    /// The claim as written.
    pub text: String,
    /// Where it stands.
    pub span: Span,
}

/// Words that say how it is closed; behind a comma, which a list in brackets takes for the start of its next item.
const CLOSINGS: &[&str] = &["sealed", "open", "opened", "vented"];

/// Reads claims. `[7 d at 4 °C, sealed]` is one claim, though YAML makes two items of it.
pub fn claims(texts: Vec<Text>, problems: &mut Vec<Problem>) -> Vec<Keeping> {
    let mut list: Vec<Keeping> = Vec::new();
    for text in texts {
        let word = text.value.trim();
        match list.last_mut() {
            Some(last) if CLOSINGS.contains(&word) => {
                last.sealed = word == "sealed";
                last.text = format!("{}, {word}", last.text);
            }
            _ => list.extend(keeping(&text, problems)),
        }
    }
    list
}

/// Reads one claim.
pub fn keeping(text: &Text, problems: &mut Vec<Problem>) -> Option<Keeping> {
    let mut claim = text.value.as_str();
    let mut sealed = false;
    if let Some((head, tail)) = claim.split_once(',') {
        match tail.trim() {
            "sealed" => sealed = true,
            "open" | "opened" | "vented" => {}
            other => {
                let at = other.as_ptr() as usize - text.value.as_ptr() as usize;
                problems.push(
                    Problem::new(
                        code::WRONG_VALUE,
                        text.part(at, at + other.len()),
                        format!("a keeping claim does not take `{other}`"),
                    )
                    .help("write for example `7 d at 4 °C, sealed`"),
                );
                return None;
            }
        }
        claim = head;
    }
    let part = |piece: &str| {
        let piece = piece.trim();
        let at = piece.as_ptr() as usize - text.value.as_ptr() as usize;
        Text { value: piece.to_owned(), span: text.part(at, at + piece.len()), exact: text.exact, quoted: text.quoted }
    };
    let (time, temperature) = match claim.split_once(" at ") {
        Some((time, temperature)) => (time, Some(part(temperature))),
        None => (claim, None),
    };
    let hours = value::duration(&part(time), problems)?.value;
    let at_c = match temperature {
        Some(text) => Some(value::temperature(&text, problems)?.value),
        None => None,
    };
    Some(Keeping { hours, at_c, sealed, text: text.value.clone(), span: text.span })
}
