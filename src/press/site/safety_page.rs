//! The safety page: all cautions with their sources and, in the house edition, the critical points of every risky prep.

use serde_json::{Value, json};

use crate::ask::safety::points::Concern;
use crate::ask::safety::{Kind, Rule, Severity, Show};
use crate::notebook::recipe_note::Makes;
use crate::press::content::cautions::caution;
use crate::press::content::figures::id;
use crate::press::publication::Publication;
use crate::recipe::names::key;

/// Empty lines of a record, to be filled in by hand.
const BLANK_LINES: usize = 4;

/// The heading of all hazards of a severity.
fn many(severity: Severity) -> &'static str {
    match severity {
        Severity::Danger => "safety.danger",
        Severity::Caution => "safety.caution",
        Severity::Note => "safety.note",
    }
}

/// What is said once, in the foot of every page.
pub(super) fn reminders(site: &Publication<'_>) -> Vec<Value> {
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
pub(super) fn page(site: &Publication<'_>) -> Value {
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

fn entry(site: &Publication<'_>, rule: &Rule, recipes: &[usize]) -> Value {
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
fn points(site: &Publication<'_>, recipes: &[usize]) -> Value {
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
            json!({ "id": id("points", &name), "name": name, "href": href, "rows": rows })
        })
        .collect();
    json!({ "title": site.say("safety.points"), "line": site.say("safety.points_line"), "sheets": sheets })
}
