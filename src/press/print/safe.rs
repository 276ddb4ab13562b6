//! Cautions, reminders and keeping of a recipe, as the templates take them.

use serde_json::{Value, json};

use crate::ask::keeping::Hold;
use crate::ask::safety::{Hazard, Kind, Point, Severity, Show, Survey};
use crate::measure::show;
use crate::press::Edition;

fn word(severity: Severity) -> &'static str {
    match severity {
        Severity::Danger => "danger",
        Severity::Caution => "caution",
        Severity::Note => "note",
    }
}

fn caution(hazard: &Hazard, edition: Edition) -> Value {
    // Why the house accepts a hazard, and what it tells its own staff, is the house's.
    let own = |text: &Option<String>| text.clone().filter(|_| edition == Edition::House);
    json!({
        "severity": word(hazard.severity), "what": hazard.rule.what, "act": hazard.rule.precaution,
        "limit": hazard.rule.limit, "source": hazard.rule.source,
        "acknowledged": own(&hazard.acknowledged), "house_says": own(&hazard.house_says),
    })
}

/// What a reader of the recipe is told, the worst first: faults, dangers and cautions; and beside them standing notes.
pub(super) fn cautions(survey: &Survey, recipe: usize, edition: Edition) -> (Vec<Value>, Vec<Value>) {
    let shown: Vec<&Hazard> = survey.hazards(recipe).iter().filter(|h| h.rule.show == Show::Recipe).collect();
    let standing = |h: &Hazard| h.severity == Severity::Note && h.rule.kind == Kind::Standing;
    let list = |notes: bool| shown.iter().filter(|h| standing(h) == notes).map(|h| caution(h, edition)).collect();
    (list(false), list(true))
}

/// For each step of a method, the cautions that belong beside it, short.
pub(super) fn beside_steps(survey: &Survey, recipe: usize, steps: &[String]) -> Vec<Vec<Value>> {
    let plain: Vec<&str> = steps.iter().map(String::as_str).collect();
    let mut out = vec![Vec::new(); steps.len()];
    for hazard in survey.hazards(recipe).iter().filter(|h| h.rule.show == Show::Recipe && h.from == recipe) {
        if hazard.severity == Severity::Note {
            continue;
        }
        if let Some(at) = hazard.beside(&plain) {
            out[at].push(json!({ "severity": word(hazard.severity), "text": first_sentence(&hazard.rule.precaution) }));
        }
    }
    out
}

/// What cannot wait for the book to be opened: the dangers, a sentence each.
pub(super) fn dangers(survey: &Survey, recipe: usize) -> Vec<String> {
    let hazards = survey.hazards(recipe).iter().filter(|h| h.rule.show == Show::Recipe);
    hazards.filter(|h| h.severity == Severity::Danger).map(|h| first_sentence(&h.rule.what)).collect()
}

/// Up to the end of the first sentence: a full stop before a space and a capital.
pub(super) fn first_sentence(text: &str) -> String {
    for (at, c) in text.char_indices() {
        if matches!(c, '.' | '!' | ';') {
            let rest = &text[at + c.len_utf8()..];
            let next = rest.trim_start().chars().next();
            if rest.starts_with(' ') && (c == ';' || next.is_some_and(char::is_uppercase)) {
                return format!("{}.", text[..at].trim_end());
            }
        }
    }
    text.to_owned()
}

/// Where a hold is, in words: `at 4 °C, sealed`.
pub(super) fn place(hold: &Hold) -> String {
    let at = hold.at_c.map_or("at a temperature nobody wrote".to_owned(), |c| {
        format!("at {}", show::temperature(c).replace('-', "−"))
    });
    if hold.sealed { format!("{at}, sealed") } else { at }
}

/// The keeping of a recipe as figures; `None` where nothing is said, so that the page's own words stay.
pub(super) fn keeping(survey: &Survey, recipe: usize) -> Option<Vec<Value>> {
    let keeping = survey.keeping(recipe);
    let figures: Vec<Value> = keeping
        .holds
        .iter()
        .map(|hold| {
            let shown = show::hours(hold.hours);
            let (number, unit) = shown.split_once(' ').unwrap_or((&shown, ""));
            json!({ "label": place(hold), "value": number, "unit": unit, "origin": "computed", "note": hold.because })
        })
        .collect();
    (!figures.is_empty()).then_some(figures)
}

/// The critical points of making a recipe, for its batch sheet.
pub(super) fn points(survey: &Survey, recipe: usize) -> Vec<Value> {
    let one = |p: &Point| {
        json!({
            "step": p.step, "hazard": p.hazard, "limit": p.limit, "check": p.check, "correction": p.correction,
            "record": p.record, "source": p.source,
        })
    };
    survey.points(recipe).iter().map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_first_sentence_ends_at_its_full_stop() {
        assert_eq!(first_sentence("Keep at 5.5 °C. Then serve."), "Keep at 5.5 °C.");
        assert_eq!(first_sentence("No end"), "No end");
        assert_eq!(first_sentence("Ask first, e.g. about milk. Say it."), "Ask first, e.g. about milk.");
    }
}
