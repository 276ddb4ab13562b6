//! Cautions with a recipe, and beside the steps that they belong to.

use serde_json::{Value, json};

use crate::ask::safety::{Hazard, Kind, Rule, Severity, Show};
use crate::press::publication::Publication;

/// Most cautions beside one step; all of them stand in the section below.
const MOST_BESIDE: usize = 3;

/// Cautions of a recipe, printed in full, and reminders, folded on the screen.
pub(in crate::press) fn of_recipe(site: &Publication<'_>, recipe: usize) -> (Vec<Value>, Vec<Value>) {
    let list = site.safety.hazards(recipe);
    let cautions = list.iter().filter(|h| in_full(site, h)).map(|h| hazard(site, recipe, h)).collect();
    let reminders = list
        .iter()
        .filter(|h| !in_full(site, h) && h.rule.show == Show::Recipe)
        .map(|h| hazard(site, recipe, h))
        .collect();
    (cautions, reminders)
}

/// Cautions beside the steps of a method, the worst first.
pub(in crate::press) fn beside_steps(site: &Publication<'_>, recipe: usize, steps: &[&str]) -> Vec<Vec<Value>> {
    let mut beside: Vec<Vec<Value>> = vec![Vec::new(); steps.len()];
    // What happens in a part stands beside the part's own steps.
    let own = site.safety.hazards(recipe).iter().filter(|h| h.from == recipe && in_full(site, h));
    for hazard in own.filter(|h| h.rule.show == Show::Recipe) {
        if let Some(step) = hazard.beside(steps).filter(|s| beside[*s].len() < MOST_BESIDE) {
            let told = site.told(&hazard.rule);
            beside[step].push(json!({ "severity": hazard.severity.word(), "text": told.act, "lang": told.lang }));
        }
    }
    beside
}

/// A rule as the templates take a caution.
pub(in crate::press) fn caution(site: &Publication<'_>, rule: &Rule, severity: Severity) -> Value {
    // `common practice, no source` says itself how far it was read.
    let source = match rule.source.contains(&rule.check) {
        true => rule.source.clone(),
        false => format!("{} ({})", rule.source, rule.check),
    };
    let told = site.told(rule);
    json!({
        "severity": severity.word(), "what": told.what, "act": told.act, "lang": told.lang, "limit": rule.limit,
        "source": source, "source_lang": site.words.hazards.of_sources(),
    })
}

/// A hazard of a recipe as the templates take a caution.
fn hazard(site: &Publication<'_>, recipe: usize, hazard: &Hazard) -> Value {
    let mut value = caution(site, &hazard.rule, hazard.severity);
    if let Some(map) = value.as_object_mut() {
        if let Some(said) = &hazard.house_says {
            map.insert("act".into(), json!(format!("{} {said}", site.told(&hazard.rule).act)));
        }
        map.insert("acknowledged".into(), json!(hazard.acknowledged));
        map.insert("id".into(), json!(hazard.id()));
        if hazard.from != recipe {
            let name = &site.note(hazard.from).name.value;
            map.insert("from".into(), json!(site.words.with("safety.from_part", &[("name", name)])));
        }
    }
    value
}

/// Whether a hazard is printed in full with its recipe: what is wrong, and what can hurt.
fn in_full(site: &Publication<'_>, hazard: &Hazard) -> bool {
    match hazard.rule.show {
        Show::Recipe => hazard.rule.kind == Kind::Fault || hazard.severity != Severity::Note,
        // What every drink of its kind shares stands in the foot, unless something is wrong.
        Show::SiteFooter => hazard.rule.kind == Kind::Fault,
        // What only its writer can mend is no guest's business, unless it is a danger.
        Show::BuildWarning => {
            hazard.rule.kind == Kind::Fault && (site.is_house() || hazard.severity == Severity::Danger)
        }
    }
}
