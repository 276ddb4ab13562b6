//! Dangers, keeping and critical points of a recipe, as the templates of print take them.

use serde::Serialize;
use serde_json::{Value, json};

use crate::ask::diet::Regime;
use crate::ask::keeping::Hold;
use crate::ask::safety::{Hazard, Point, Severity, Show, Survey};
use crate::measure::show;
use crate::press::publication::Publication;

/// What cannot wait for the book to be opened: what can happen and what to do, a sentence each, for a label.
#[derive(Debug, Clone, Serialize)]
pub(super) struct Warned {
    /// `danger` or `caution`.
    pub(super) severity: &'static str,
    /// What can happen.
    pub(super) what: String,
    /// What to do.
    pub(super) act: String,
    /// Its language, where that is not the label's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) lang: Option<&'static str>,
}

/// The dangers and then the cautions of a recipe, as its page tells them.
pub(super) fn warned(site: &Publication<'_>, survey: &Survey, recipe: usize) -> Vec<Warned> {
    let owed = |h: &&Hazard| {
        let show = h.rule.show == Show::Recipe || (h.rule.show == Show::BuildWarning && h.severity == Severity::Danger);
        show && h.severity != Severity::Note
    };
    let hazards = survey.hazards(recipe).iter().filter(owed);
    hazards
        .map(|h| {
            let told = site.told(&h.rule);
            Warned {
                severity: h.severity.word(),
                what: first_sentence(&told.what),
                act: first_sentence(&told.act),
                lang: told.lang,
            }
        })
        .collect()
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
pub(super) fn place(site: &Publication<'_>, hold: &Hold) -> String {
    let at = site.at_temperature(hold.at_c);
    if hold.sealed { site.words().with("keeping.sealed", &[("at", &at)]) } else { at }
}

/// What a list calls an allergen. The lists' own words are English; elsewhere its name in the house's language stands for them.
pub(super) fn allergen(site: &Publication<'_>, regime: Regime, tag: &str) -> String {
    match regime.word(tag).filter(|_| site.words().speaks("en")) {
        Some(word) => word.to_owned(),
        None => site.allergen(tag),
    }
}

/// The keeping of a recipe as figures; `None` where nothing is said, so that the page's own words stay.
pub(super) fn keeping(site: &Publication<'_>, survey: &Survey, recipe: usize) -> Option<Vec<Value>> {
    let keeping = survey.keeping(recipe);
    let figures: Vec<Value> = keeping
        .holds
        .iter()
        .map(|hold| {
            let shown = show::hours(hold.hours);
            let (number, unit) = shown.split_once(' ').unwrap_or((&shown, ""));
            json!({ "label": place(site, hold), "value": number, "unit": unit, "origin": "computed", "note": hold.because })
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
