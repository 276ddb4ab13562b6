//! Hazards that the house answers for, its own rules and its words beside the published ones.

use crate::notebook::fields::Fields;
use crate::notebook::yaml::{Node, Text};
use crate::problem::{Problem, code};
use crate::source::{Span, Spanned};

/// A hazard that somebody answers for.
#[derive(Debug, Clone, PartialEq)]
pub struct Acknowledgement {
    /// The hazard's id.
    pub hazard: Spanned<String>,
    /// Why it is accepted.
    pub because: String,
}

/// A hazard rule of the house, or its words beside a published one.
#[derive(Debug, Clone, PartialEq)]
pub struct HazardNote {
    /// Where it stands.
    pub span: Span,
    /// The rule's name.
    pub id: Spanned<String>,
    /// When it fires; absent beside a published rule.
    pub when: Option<Text>,
    /// `danger`, `caution` or `note`.
    pub severity: Option<&'static str>,
    /// `fault` or `standing`.
    pub kind: Option<&'static str>,
    /// What can happen.
    pub what: Option<String>,
    /// What to do.
    pub act: Option<String>,
    /// A limit, in words.
    pub limit: Option<String>,
    /// Who says so.
    pub source: Option<String>,
    /// What the house says beside it.
    pub say: Option<String>,
}

pub(super) fn hazard(node: Node, problems: &mut Vec<Problem>) -> Option<HazardNote> {
    let mut f = Fields::open(node, "a hazard", problems)?;
    let span = f.span;
    let id = f.string("id", problems);
    let string = |f: &mut Fields, key, problems: &mut Vec<Problem>| f.string(key, problems).map(|s| s.value);
    let note = HazardNote {
        span,
        id: id.clone().unwrap_or_else(|| Spanned::new(String::new(), span)),
        when: f.text("when", problems),
        severity: word(&mut f, "severity", &["danger", "caution", "note"], problems),
        kind: word(&mut f, "kind", &["fault", "standing"], problems),
        what: string(&mut f, "what", problems),
        act: string(&mut f, "do", problems),
        limit: string(&mut f, "limit", problems),
        source: string(&mut f, "source", problems),
        say: string(&mut f, "say", problems),
    };
    f.close(problems);
    if id.is_none() {
        problems.push(
            Problem::new(code::MISSING_KEY, span, "this hazard has no `id`")
                .help("write `id:` and a name of small letters and hyphens, or the name of a published rule"),
        );
        return None;
    }
    Some(note)
}

fn word(
    f: &mut Fields,
    key: &'static str,
    words: &[&'static str],
    problems: &mut Vec<Problem>,
) -> Option<&'static str> {
    let text = f.text(key, problems)?;
    let found = words.iter().find(|w| **w == text.value).copied();
    if found.is_none() {
        problems.push(
            Problem::new(code::WRONG_VALUE, text.span, format!("`{key}` cannot be `{}`", text.value))
                .help(format!("choose one of: {}", words.join(", "))),
        );
    }
    found
}

/// Reads a list of `{hazard, because}`.
pub fn acknowledgements(list: Option<Vec<Node>>, problems: &mut Vec<Problem>) -> Vec<Acknowledgement> {
    let mut out = Vec::new();
    for node in list.unwrap_or_default() {
        let Some(mut f) = Fields::open(node, "an acknowledgement", problems) else { continue };
        let (hazard, because, span) = (f.string("hazard", problems), f.string("because", problems), f.span);
        f.close(problems);
        match (hazard, because) {
            (Some(hazard), Some(because)) if !because.value.trim().is_empty() => {
                out.push(Acknowledgement { hazard, because: because.value });
            }
            _ => problems.push(
                Problem::new(code::MISSING_KEY, span, "an acknowledgement names the hazard and says why")
                    .help("write `{hazard: ID, because: the reason}`"),
            ),
        }
    }
    out
}
