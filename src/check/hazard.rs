//! Hazards: a fault that the safety rules see is an error where it is a danger, a warning where it is a caution, a note else,
//! until somebody answers for it with a reason; then it is a note that says so. What is standing is printed, not reported.

use std::collections::BTreeSet;

use super::Asked;
use crate::ask::safety::facts::Place;
use crate::ask::safety::{Hazard, Kind, Severity as Weight, Show, Survey, house};
use crate::notebook::fields::nearest;
use crate::notebook::house::Acknowledgement;
use crate::problem::{Problem, Severity, code};
use crate::recipe::run::{Computed, Danger};

pub(super) fn check(asked: &Asked<'_>, problems: &mut Vec<Problem>) {
    let computed = asked.computed;
    let (force, faults) = house::in_force(&computed.graph.notes.house);
    problems.extend(faults);
    let survey = Survey::over(computed, &asked.recipes);
    super::keeping::check(asked, &survey, problems);
    super::dose::over(asked, &survey, problems);
    super::untagged::methods(asked, &survey, problems);
    for &recipe in &asked.recipes {
        faults_of(computed, &survey, recipe, problems);
    }
    let ids: BTreeSet<&str> = force.rules.iter().map(|r| r.id.as_str()).collect();
    if asked.whole {
        let all = asked.recipes.iter().flat_map(|r| survey.hazards(*r));
        let anywhere: BTreeSet<&str> = all.map(Hazard::id).collect();
        acknowledged(&computed.graph.notes.house.acknowledge, &ids, &anywhere, "in no recipe", problems);
    }
    for (recipe, note) in asked.notes() {
        let here = survey.hazards(recipe).iter().filter(|h| h.from == recipe).map(Hazard::id).collect();
        acknowledged(&note.acknowledge, &ids, &here, "not in this recipe", problems);
    }
}

/// What is wrong in one recipe itself; what is wrong in a part is reported there.
fn faults_of(computed: &Computed, survey: &Survey, recipe: usize, problems: &mut Vec<Problem>) {
    let own: Vec<&Hazard> =
        survey.hazards(recipe).iter().filter(|h| h.from == recipe && h.rule.kind == Kind::Fault).collect();
    let mut dangers: Vec<&Danger> = computed.made[recipe].stages.iter().flat_map(|s| &s.dangers).collect();
    let rated = computed.graph.notes.recipes[recipe].tags.iter().any(|t| t.value == "pressure-rated");
    // Bottles that are made for pressure answer the doubt whether they are.
    dangers.retain(|d| !(rated && d.hazard == "carbonation-glass"));
    for hazard in &own {
        let told = hazard.rule.within.as_deref().is_some_and(|lead| own.iter().any(|h| h.id() == lead));
        let found: Vec<Problem> =
            dangers.iter().filter(|d| d.hazard == hazard.id()).map(|d| d.problem.clone()).collect();
        dangers.retain(|d| d.hazard != hazard.id());
        // What asks for a missing fact waits until everything can be read: the fact may stand in the line that cannot.
        let asks = hazard.rule.show == Show::BuildWarning && hazard.severity != Weight::Danger;
        if told || (asks && survey.is_unread(recipe)) {
            continue;
        }
        let found = if found.is_empty() { vec![problem(hazard)] } else { found };
        let more: Vec<&str> =
            own.iter().filter(|h| h.rule.within.as_deref() == Some(hazard.id())).map(|h| h.id()).collect();
        problems.extend(found.into_iter().map(|p| answered(hazard, p, &more)));
    }
    // What a process doubts and no rule takes up stays a doubt.
    problems.extend(dangers.into_iter().map(|d| d.problem.clone()));
}

/// A hazard as a problem: what can happen first, what to do as the help.
fn problem(hazard: &Hazard) -> Problem {
    let rule = &hazard.rule;
    let mut message = lower(&rule.what);
    if !hazard.because_of.is_empty() && !matches!(hazard.places.first(), Some(Place::Pour(_) | Place::Finish(_))) {
        let mut names = hazard.because_of.clone();
        let more = names.len().saturating_sub(3);
        names.truncate(3);
        if more > 0 {
            names.push(format!("{more} more"));
        }
        message = format!("{message}: {}", names.join(", "));
    }
    if let Some(limit) = &rule.limit {
        message = format!("{message} (limit: {limit})");
    }
    let help = lower(&rule.precaution);
    Problem::new(code::HAZARD, hazard.span, message)
        .severity(match hazard.severity {
            Weight::Danger => Severity::Error,
            Weight::Caution => Severity::Warning,
            Weight::Note => Severity::Note,
        })
        .help(match &hazard.house_says {
            Some(said) => format!("{help}; the house: {said}"),
            None => help,
        })
}

/// The problem with the hazard's name, and how to answer for it; a note once somebody did.
fn answered(hazard: &Hazard, mut problem: Problem, more: &[&str]) -> Problem {
    let id = hazard.id();
    let weight = hazard.severity.word();
    if hazard.severity == Weight::Danger {
        problem.message = format!("danger: {}", problem.message);
    }
    let also = if more.is_empty() { String::new() } else { format!(", {}", more.join(", ")) };
    if let Some(because) = &hazard.acknowledged {
        problem.severity = Severity::Note;
        let said = problem.message.trim_start_matches("danger: ");
        problem.message = format!("{weight} acknowledged: {said} [{id}{also}]");
        problem.help = Some(format!("acknowledged because {}", lower(because)));
        return problem;
    }
    problem.message = format!("{} [{id}{also}]", problem.message);
    if problem.severity == Severity::Error {
        let help = problem.help.unwrap_or_default();
        problem.help =
            Some(format!("{help}; or answer for it: `acknowledge: [{{hazard: {id}, because: the reason}}]`"));
    }
    problem
}

/// A sentence as a message: no capital at its start, no full stop. A name or an abbreviation keeps its letters.
fn lower(sentence: &str) -> String {
    /// Names of living things, which keep their capital.
    const PROPER: &[&str] = &["Clostridium", "Bacillus", "Salmonella"];
    let text = sentence.trim().trim_end_matches('.');
    if PROPER.iter().any(|name| text.starts_with(name)) {
        return text.to_owned();
    }
    let mut letters = text.chars();
    match (letters.next(), letters.clone().next()) {
        (Some(first), second) if !second.is_some_and(|c| c.is_uppercase() || c.is_ascii_digit()) => {
            first.to_lowercase().chain(letters).collect()
        }
        _ => text.to_owned(),
    }
}

fn acknowledged(
    list: &[Acknowledgement],
    ids: &BTreeSet<&str>,
    here: &BTreeSet<&str>,
    nowhere: &str,
    problems: &mut Vec<Problem>,
) {
    for one in list {
        let id = one.hazard.value.as_str();
        if !ids.contains(id) {
            let help = match nearest(id, ids.iter().copied()).first() {
                Some(near) => format!("did you mean `{near}`?"),
                None => "write the name that `costrel check` prints in brackets behind the hazard".into(),
            };
            problems.push(
                Problem::new(code::UNKNOWN_HAZARD, one.hazard.span, format!("no hazard is called `{id}`")).help(help),
            );
        } else if !here.contains(id) {
            problems.push(
                Problem::new(code::IDLE_ACKNOWLEDGEMENT, one.hazard.span, format!("`{id}` occurs {nowhere}"))
                    .help("take the acknowledgement out, so that it does not hide the hazard when it comes"),
            );
        }
    }
}
