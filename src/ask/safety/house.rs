//! The house's own hazard rules, and its wording beside the published ones. A house adds; it silences nothing.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::grammar;
use super::names;
use super::rules::{self, Kind, Rule, Severity, Show};
use crate::notebook::fields::nearest;
use crate::notebook::house::{HazardNote, House};
use crate::notebook::yaml::Text;
use crate::problem::{Problem, code};

/// Every rule in force, and what the house says beside them.
#[derive(Debug, Clone, Default)]
pub struct InForce {
    /// The published rules in the table's order, then the house's.
    pub rules: Vec<Arc<Rule>>,
    /// The house's words, by rule.
    pub says: BTreeMap<String, String>,
}

/// The rules in force in a house. Each fault of the house's own is placed in its file.
#[must_use]
pub fn in_force(house: &House) -> (InForce, Vec<Problem>) {
    let mut force = InForce { rules: rules::published().to_vec(), says: BTreeMap::new() };
    let mut problems = Vec::new();
    for note in &house.hazards {
        let id = note.id.value.as_str();
        let known = force.rules.iter().find(|r| r.id == id);
        match (known.map(|r| r.house), &note.when) {
            (Some(true), _) => problems.push(
                Problem::new(code::HAZARD_RULE, note.id.span, format!("`{id}` is a rule of the house already"))
                    .help("give this one another `id`"),
            ),
            (Some(false), Some(when)) => problems.push(
                Problem::new(
                    code::HAZARD_RULE,
                    when.span,
                    format!("`{id}` is a published rule, and a house does not change when it fires"),
                )
                .help("add `say:` with the house's own words, or give the rule another `id`"),
            ),
            (Some(false), None) => match &note.say {
                Some(say) => {
                    force.says.insert(id.to_owned(), say.clone());
                }
                None => problems.push(
                    Problem::new(code::HAZARD_RULE, note.span, format!("this says nothing about `{id}`"))
                        .help("add `say:` with the house's own words"),
                ),
            },
            (None, Some(when)) => {
                if let Some(rule) = rule(note, when, &mut problems) {
                    force.rules.push(Arc::new(rule));
                    if let Some(say) = &note.say {
                        force.says.insert(id.to_owned(), say.clone());
                    }
                }
            }
            (None, None) => {
                let near = nearest(id, rules::published().iter().map(|r| r.id.as_str()));
                let help = match near.first() {
                    Some(near) => format!("did you mean `{near}`? A rule of the house's own needs `when:`"),
                    None => {
                        "a rule of the house's own needs `when:`, for example `when: tag=egg and makes=prep`".into()
                    }
                };
                problems.push(
                    Problem::new(code::HAZARD_RULE, note.id.span, format!("no hazard is called `{id}`")).help(help),
                );
            }
        }
    }
    (force, problems)
}

fn rule(note: &HazardNote, when: &Text, problems: &mut Vec<Problem>) -> Option<Rule> {
    let before = problems.len();
    let id = &note.id;
    if id.value.is_empty() || !id.value.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-') {
        problems.push(
            Problem::new(code::HAZARD_RULE, id.span, "a rule's `id` is of small letters, digits and hyphens")
                .help("write for example `id: house-cold-room`"),
        );
    }
    let expr = match grammar::parse(&when.value) {
        Ok(expr) => {
            problems.extend(names::check_of_house(&expr).into_iter().map(|fault| placed(when, &fault)));
            Some(expr)
        }
        Err(fault) => {
            problems.push(placed(when, &fault));
            None
        }
    };
    let mut need = |field: &Option<String>, key: &str, example: &str| {
        if field.as_ref().is_none_or(|t| t.trim().is_empty()) {
            problems.push(
                Problem::new(code::HAZARD_RULE, note.span, format!("the rule `{}` has no `{key}`", id.value))
                    .help(format!("add for example `{key}: {example}`")),
            );
        }
    };
    need(&note.what, "what", "The cellar stairs are wet.");
    need(&note.act, "do", "Carry one crate at a time.");
    if problems.len() > before {
        return None;
    }
    Some(Rule {
        id: id.value.clone(),
        group: "house".into(),
        trigger: when.value.clone(),
        expr: expr?,
        severity: match note.severity {
            Some("danger") => Severity::Danger,
            Some("note") => Severity::Note,
            _ => Severity::Caution,
        },
        kind: if note.kind == Some("fault") { Kind::Fault } else { Kind::Standing },
        show: Show::Recipe,
        what: note.what.clone()?,
        precaution: note.act.clone()?,
        limit: note.limit.clone(),
        source: note.source.clone().unwrap_or_else(|| "a rule of the house".into()),
        check: "a rule of the house".into(),
        within: None,
        changed: None,
        house: true,
    })
}

fn placed(when: &Text, fault: &grammar::Fault) -> Problem {
    let end = when.value[fault.at..].find([' ', ',', '}', ')']).map_or(when.value.len(), |n| fault.at + n.max(1));
    Problem::new(code::HAZARD_RULE, when.part(fault.at, end.max(fault.at)), "this trigger cannot be read")
        .label(format!("wanted here: {}", fault.wanted))
        .help("write for example `when: tag=raw-egg and keeps.at_c > 5`; the contributor's guide lists the names")
}
