//! Walking a mapping key by key: typed values out, every fault reported, unknown keys named with their nearest kin.

use rust_decimal::Decimal;

use super::yaml::{Node, Text};
use crate::measure::number::{self, NumberError, NumberFault};
use crate::problem::{Problem, code};
use crate::source::{Span, Spanned};

/// The fields of one mapping, taken out one by one.
pub struct Fields {
    entries: Vec<(Text, Option<Node>)>,
    /// Where the mapping stands.
    pub span: Span,
    what: &'static str,
    known: Vec<&'static str>,
}

impl Fields {
    /// Opens a mapping; anything else is a problem. `what` names it in messages, such as "a recipe".
    pub fn open(node: Node, what: &'static str, problems: &mut Vec<Problem>) -> Option<Self> {
        match node {
            Node::Map(entries, span) => Some(Self {
                entries: entries.into_iter().map(|(k, v)| (k, Some(v))).collect(),
                span,
                what,
                known: Vec::new(),
            }),
            other => {
                let problem = wrong_type(&other, &format!("{what} is a mapping of keys and values"));
                problems.push(match other {
                    Node::Text(_) => problem,
                    _ => problem.help("write a key, a colon, a space and its value on each line, without `-`"),
                });
                None
            }
        }
    }

    /// Takes the value of a key; `None` if it is absent or empty.
    pub fn take(&mut self, key: &'static str) -> Option<Node> {
        self.known.push(key);
        let (_, node) = self.entries.iter_mut().find(|(k, v)| k.value == key && v.is_some())?;
        node.take().filter(|n| !matches!(n, Node::Null(_)))
    }

    /// Takes text.
    pub fn text(&mut self, key: &'static str, problems: &mut Vec<Problem>) -> Option<Text> {
        let node = self.take(key)?;
        text(node, key, problems)
    }

    /// Takes text as a spanned string.
    pub fn string(&mut self, key: &'static str, problems: &mut Vec<Problem>) -> Option<Spanned<String>> {
        self.text(key, problems).map(|t| Spanned::new(t.value, t.span))
    }

    /// Takes `true` or `false`.
    pub fn flag(&mut self, key: &'static str, problems: &mut Vec<Problem>) -> Option<Spanned<bool>> {
        let text = self.text(key, problems)?;
        match text.value.as_str() {
            "true" | "True" | "TRUE" => Some(Spanned::new(true, text.span)),
            "false" | "False" | "FALSE" => Some(Spanned::new(false, text.span)),
            _ => {
                problems.push(
                    Problem::new(code::WRONG_VALUE, text.span, format!("`{key}` is true or false"))
                        .label(format!("`{}` written here", text.value))
                        .help(format!("write `{key}: true` or `{key}: false`")),
                );
                None
            }
        }
    }

    /// Takes a list of texts; a single text is a list of one.
    pub fn texts(&mut self, key: &'static str, problems: &mut Vec<Problem>) -> Option<Vec<Text>> {
        let node = self.take(key)?;
        Some(texts(node, key, problems))
    }

    /// Takes a list of nodes; a single node is a list of one.
    pub fn list(&mut self, key: &'static str) -> Option<Vec<Node>> {
        match self.take(key)? {
            Node::List(items, _) => Some(items),
            other => Some(vec![other]),
        }
    }

    /// Takes a plain number.
    pub fn number(&mut self, key: &'static str, problems: &mut Vec<Problem>) -> Option<Spanned<Decimal>> {
        let text = self.text(key, problems)?;
        plain_number(&text, problems).map(|n| Spanned::new(n, text.span))
    }

    /// Where the key stands, if it is there.
    #[must_use]
    pub fn place(&self, key: &str) -> Option<Span> {
        self.entries.iter().find(|(k, _)| k.value == key).map(|(k, _)| k.span)
    }

    /// Whether the key is there and holds something that nobody took yet.
    #[must_use]
    pub fn has(&self, key: &str) -> bool {
        self.entries.iter().any(|(k, v)| k.value == key && v.is_some())
    }

    /// Reports every key that nobody took.
    pub fn close(self, problems: &mut Vec<Problem>) {
        for (key, node) in &self.entries {
            if node.is_none() || self.known.contains(&key.value.as_str()) {
                continue;
            }
            let near = nearest(&key.value, self.known.iter().copied());
            let mut keys = self.known.clone();
            keys.sort_unstable();
            let help = match near.first() {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("{} takes: {}", self.what, keys.join(", ")),
            };
            problems.push(
                Problem::new(code::UNKNOWN_KEY, key.span, format!("{} has no key `{}`", self.what, key.value))
                    .help(help),
            );
        }
    }

    /// The keys left, for mappings whose keys are free.
    pub fn rest(self) -> Vec<(Text, Node)> {
        self.entries.into_iter().filter_map(|(k, v)| v.map(|v| (k, v))).collect()
    }
}

/// A problem for a node of the wrong kind.
#[must_use]
pub fn wrong_type(node: &Node, wanted: &str) -> Problem {
    Problem::new(code::WRONG_TYPE, node.span(), format!("{wanted}, not {}", node.kind()))
        .label(format!("{} stands here", node.kind()))
        .help(match node {
            Node::Text(_) => "write its keys and values in braces, for example `{key: value}`",
            Node::List(..) | Node::Map(..) | Node::Null(_) => "write one value behind the colon",
        })
}

/// Text out of a node.
pub fn text(node: Node, key: &str, problems: &mut Vec<Problem>) -> Option<Text> {
    match node {
        Node::Text(text) => Some(text),
        other => {
            problems.push(
                wrong_type(&other, &format!("`{key}` takes text")).help(format!(
                    "write one value behind `{key}:`; in quotes if it holds brackets, braces or a colon"
                )),
            );
            None
        }
    }
}

/// Texts out of a list, or of one text.
pub fn texts(node: Node, key: &str, problems: &mut Vec<Problem>) -> Vec<Text> {
    let items = match node {
        Node::List(items, _) => items,
        other => vec![other],
    };
    items.into_iter().filter_map(|item| text(item, key, problems)).collect()
}

/// A number alone.
pub fn plain_number(text: &Text, problems: &mut Vec<Problem>) -> Option<Decimal> {
    match number::lex(&text.value) {
        Ok(Some((value, used))) if used == text.value.len() => Some(value),
        Ok(Some((_, used))) => {
            let used = used + text.value[used..].len() - text.value[used..].trim_start().len();
            problems.push(
                Problem::new(
                    code::BAD_NUMBER,
                    text.part(used, text.value.len()),
                    format!("a number alone is wanted, but `{}` follows it", text.value[used..].trim()),
                )
                .help("write the number without a unit"),
            );
            None
        }
        Ok(None) => {
            problems.push(
                Problem::new(code::BAD_NUMBER, text.span, format!("`{}` is not a number", text.value))
                    .help("write a number such as 4 or 0.5"),
            );
            None
        }
        Err(error) => {
            problems.push(number_problem(text, 0, &error));
            None
        }
    }
}

/// The problem for a number that cannot be read, at its place `offset` bytes into the text.
#[must_use]
pub fn number_problem(text: &Text, offset: usize, error: &NumberError) -> Problem {
    let span = text.part(offset + error.start, offset + error.end);
    let written = text.value.get(offset + error.start..offset + error.end).unwrap_or("").trim().to_owned();
    match error.kind {
        NumberFault::DecimalComma => {
            Problem::new(code::DECIMAL_COMMA, span, format!("`{written}` has a decimal comma"))
                .help(without_comma(&written))
        }
        NumberFault::Negative => Problem::new(code::NEGATIVE, span, format!("`{written}` is below zero"))
            .help("amounts start at zero; leave the sign out"),
        NumberFault::ZeroDenominator => Problem::new(code::BAD_NUMBER, span, format!("`{written}` divides by zero"))
            .help("write a fraction such as 3/4"),
        NumberFault::RunTogether => {
            Problem::new(code::BAD_NUMBER, span, format!("`{written}` runs two numbers together"))
                .help("write one number, such as 1 1/2 or 1.5")
        }
        NumberFault::TooLong => {
            Problem::new(code::BAD_NUMBER, span, format!("`{written}` is too large or too long a number"))
                .help("write fewer digits, without a power of ten")
        }
    }
}

/// How to write a number that has a comma in it. A comma before three digits may well be meant to part thousands, and reading it
/// as a decimal mark would make it a thousand times less, so both readings are offered.
fn without_comma(written: &str) -> String {
    let (before, after) = written.split_once(',').unwrap_or((written, ""));
    if before.contains('.') {
        return format!("write `{}.{after}`", before.replace('.', ""));
    }
    if after.len() == 3 && before.len() <= 3 && !before.starts_with('0') {
        return format!(
            "write `{before}{after}` if the comma parts thousands, or `{before}.{after}` if it marks decimals"
        );
    }
    format!("write `{before}.{after}`")
}

/// Longest word, in characters, that is compared with others: nobody's slip of the pen is longer.
const LONGEST_COMPARED: usize = 120;

/// The nearest of some words to one that is not among them, best first; at most three.
///
/// Near is a word at an edit distance of at most a third of the longer one, or one that begins or ends with it: `white rum` is
/// near `rum`. What is only a part of the word is not: milk is not what `evaporated milk` means.
#[must_use]
pub fn nearest<'a>(word: &str, among: impl IntoIterator<Item = &'a str>) -> Vec<&'a str> {
    let length = word.chars().take(LONGEST_COMPARED + 1).count();
    if length > LONGEST_COMPARED {
        return Vec::new();
    }
    let word = word.to_lowercase();
    let length = word.chars().count();
    let mut scored: Vec<(usize, &str)> = among
        .into_iter()
        .filter_map(|candidate| {
            let lower = candidate.to_lowercase();
            let other = lower.chars().count();
            let limit = (length.max(other) / 3).max(1);
            let part = length >= 3 && is_part(&word, &lower) || length >= 4 && begins_or_ends(&lower, &word);
            // Words whose lengths differ by more than the limit are further apart than it: no need to compare them.
            if !part && length.abs_diff(other) > limit {
                return None;
            }
            let distance = strsim::damerau_levenshtein(&word, &lower);
            (part || distance <= limit).then_some((distance, candidate))
        })
        .collect();
    scored.sort();
    scored.dedup_by_key(|(_, c)| *c);
    scored.into_iter().take(3).map(|(_, c)| c).collect()
}

fn begins_or_ends(whole: &str, part: &str) -> bool {
    whole.starts_with(part) || whole.ends_with(part)
}

/// Whether a word, however short, is the first or the last one of a name: `rum` is, of `white rum`.
fn is_part(word: &str, name: &str) -> bool {
    name.strip_prefix(word).is_some_and(|rest| rest.starts_with(' '))
        || name.strip_suffix(word).is_some_and(|rest| rest.ends_with(' '))
}
