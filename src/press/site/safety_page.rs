//! Cautions on the pages: with the recipe, beside the step that they belong to, and all of them on one page with their sources
//! and, in the house edition, the critical points of every risky prep.

use serde_json::{Value, json};

use super::Site;
use crate::ask::safety::points::Concern;
use crate::ask::safety::{Hazard, Kind, Rule, Severity, Show};
use crate::notebook::recipe_note::Makes;
use crate::recipe::names::key;

/// Most cautions beside one step; all of them stand in the section below.
const MOST_BESIDE: usize = 3;
/// Empty lines of a record, to be filled in by hand.
const BLANK_LINES: usize = 4;

/// A rule as the templates take a caution.
fn caution(site: &Site<'_>, rule: &Rule, severity: Severity) -> Value {
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
fn hazard(site: &Site<'_>, recipe: usize, hazard: &Hazard) -> Value {
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

/// The heading of all hazards of a severity.
fn many(severity: Severity) -> &'static str {
    match severity {
        Severity::Danger => "safety.danger",
        Severity::Caution => "safety.caution",
        Severity::Note => "safety.note",
    }
}

/// Whether a hazard is printed in full with its recipe: what is wrong, and what can hurt.
fn in_full(site: &Site<'_>, hazard: &Hazard) -> bool {
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

/// Cautions of a recipe, printed in full, and reminders, folded on the screen.
pub(super) fn of_recipe(site: &Site<'_>, recipe: usize) -> (Vec<Value>, Vec<Value>) {
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
pub(super) fn beside_steps(site: &Site<'_>, recipe: usize, steps: &[&str]) -> Vec<Vec<Value>> {
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

/// What is said once, in the foot of every page.
pub(super) fn reminders(site: &Site<'_>) -> Vec<Value> {
    let mut said: Vec<&Rule> = Vec::new();
    for hazard in site.recipes().flat_map(|r| site.safety.hazards(r)) {
        if hazard.rule.show == Show::SiteFooter && !said.iter().any(|r| r.id == hazard.rule.id) {
            said.push(&hazard.rule);
        }
    }
    said.sort_by_key(|r| (r.severity, r.id.as_str()));
    let text = |rule: &Rule| {
        let told = site.told(rule);
        json!({ "text": format!("{} {}", told.what, told.act), "lang": told.lang })
    };
    said.into_iter().map(text).collect()
}

/// What the template `safety.html` gets.
pub(super) fn page(site: &Site<'_>) -> Value {
    let mut recipes: Vec<usize> = site.recipes().collect();
    recipes.sort_by_key(|r| key(&site.note(*r).name.value));
    let mut rules: Vec<&Rule> = Vec::new();
    for hazard in recipes.iter().flat_map(|r| site.safety.hazards(*r)) {
        if !rules.iter().any(|r| r.id == hazard.rule.id) {
            rules.push(&hazard.rule);
        }
    }
    rules.sort_by(|a, b| (a.severity, a.kind, &a.group, &a.id).cmp(&(b.severity, b.kind, &b.group, &b.id)));
    let groups: Vec<Value> = [Severity::Danger, Severity::Caution, Severity::Note]
        .into_iter()
        .filter_map(|severity| {
            let rows: Vec<Value> =
                rules.iter().filter(|r| r.severity == severity).map(|r| entry(site, r, &recipes)).collect();
            let id = format!("h-{}", severity.word());
            (!rows.is_empty()).then(|| json!({ "id": id, "title": site.say(many(severity)), "rows": rows }))
        })
        .collect();
    json!({
        "title": site.say("safety.title"),
        "line": site.words.count("safety.line", rules.len()),
        "deferral": site.say("base.caution"),
        "groups": groups,
        "note": site.say("safety.about"),
        "points": site.is_house().then(|| points(site, &recipes)),
    })
}

fn entry(site: &Site<'_>, rule: &Rule, recipes: &[usize]) -> Value {
    let everywhere = rule.trigger == "always";
    let bears: Vec<Value> = recipes
        .iter()
        .filter_map(|r| Some((*r, site.safety.hazards(*r).iter().find(|h| h.rule.id == rule.id)?)))
        .map(|(recipe, hazard)| {
            let (name, href) = site.name_and_link(recipe);
            let from = (hazard.from != recipe).then(|| {
                let name = &site.note(hazard.from).name.value;
                site.words.with("safety.from_part", &[("name", name)])
            });
            json!({ "name": name, "href": href, "from": from, "acknowledged": hazard.acknowledged })
        })
        .collect();
    let mut value = caution(site, rule, rule.severity);
    if let Some(map) = value.as_object_mut() {
        map.insert("id".into(), json!(rule.id));
        map.insert(
            "kind".into(),
            json!(site.say(match rule.kind {
                Kind::Fault => "safety.fault",
                Kind::Standing => "safety.standing",
            })),
        );
        map.insert("count".into(), json!(site.words.count("safety.recipes", bears.len())));
        map.insert("recipes".into(), if everywhere { json!([]) } else { json!(bears) });
    }
    value
}

/// The critical points of every risky prep, with records to fill in.
fn points(site: &Site<'_>, recipes: &[usize]) -> Value {
    // Preps first: that is where most of them are made.
    let mut list: Vec<usize> = recipes.iter().copied().filter(|r| !site.safety.points(*r).is_empty()).collect();
    list.sort_by_key(|r| site.note(*r).makes == Makes::Drink);
    let sheets: Vec<Value> = list
        .into_iter()
        .map(|recipe| {
            let (name, href) = site.name_and_link(recipe);
            let rows: Vec<Value> = site
                .safety
                .points(recipe)
                .iter()
                .map(|p| {
                    let kind = match p.kind {
                        Concern::Biological => "safety.biological",
                        Concern::Chemical => "safety.chemical",
                        Concern::Physical => "safety.physical",
                        Concern::Allergen => "safety.allergen",
                    };
                    json!({
                        "step": p.step, "kind": site.say(kind), "hazard": p.hazard,
                        "limit": p.limit, "check": p.check, "correction": p.correction,
                        "source": format!("{} ({})", p.source, p.seen), "record": p.record,
                        "blanks": vec![vec![""; p.record.len()]; BLANK_LINES],
                    })
                })
                .collect();
            json!({ "id": super::view::id("points", &name), "name": name, "href": href, "rows": rows })
        })
        .collect();
    json!({ "title": site.say("safety.points"), "line": site.say("safety.points_line"), "sheets": sheets })
}
