//! The hazard rules in the language of the pages: `templates/hazards/strings/nl.yaml` and its like, by the rules' names. What has
//! no translation is told in English and marked as such, for screen readers and hyphenation.
//!
//! A house adds what is missing in a file of the same name in its own `templates/hazards/strings/`. What the program says itself it
//! cannot rewrite: a danger must not be talked down in another language. Its own words stand beside it (`hazards` in house.yaml).

use std::collections::BTreeMap;

use super::words::{flatten, primary};
use crate::ask::labelling::{Statement, particulars};
use crate::ask::safety::{Rule, rules};
use crate::notebook::Notes;
use crate::notebook::fields::nearest;
use crate::notebook::yaml;
use crate::problem::{Problem, code};
use crate::source::FileId;

/// Languages that the program speaks of hazards, beside English.
const BUILT_IN: &[(&str, &str)] = &[("nl", include_str!("../../templates/hazards/strings/nl.yaml"))];

/// What is said of a rule: what can happen and what to do.
#[derive(Debug, Clone, Default)]
struct Said {
    what: Option<String>,
    act: Option<String>,
    /// Of a particular of labelling: the statement.
    say: Option<String>,
}

/// A rule in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Told {
    /// What can happen.
    pub(super) what: String,
    /// What to do.
    pub(super) act: String,
    /// Its language, where that is not the page's.
    pub(super) lang: Option<&'static str>,
}

/// The rules in one language.
#[derive(Debug, Clone, Default)]
pub(super) struct HazardWords {
    /// Whether the pages are in English, as the rules are.
    english: bool,
    said: BTreeMap<String, Said>,
}

impl HazardWords {
    /// As the rules are written.
    pub(super) fn english() -> Self {
        Self { english: true, said: BTreeMap::new() }
    }

    /// A rule in the language of the pages, or in English.
    pub(super) fn told(&self, rule: &Rule) -> Told {
        let english = |lang| Told { what: rule.what.clone(), act: rule.precaution.clone(), lang };
        // A house writes its own rules in its own language.
        if self.english || rule.house {
            return english(None);
        }
        match self.said.get(&rule.id) {
            Some(Said { what: Some(what), act: Some(act), .. }) => {
                Told { what: what.clone(), act: act.clone(), lang: None }
            }
            _ => english(Some("en")),
        }
    }

    /// A statement for menus and labels in the language of the pages, or in English with its mark.
    pub(super) fn stated(&self, statement: &Statement) -> (String, Option<&'static str>) {
        match self.said.get(statement.id).and_then(|s| s.say.as_ref()) {
            Some(say) if !self.english => (statement.worded(say), None),
            _ => (statement.says.clone(), self.of_sources()),
        }
    }

    /// The language of what has no translation at all: limits, sources.
    pub(super) fn of_sources(&self) -> Option<&'static str> {
        (!self.english).then_some("en")
    }
}

fn take(said: &mut BTreeMap<String, Said>, key: &str, text: String) -> bool {
    let Some((id, field)) = key.rsplit_once('.') else { return false };
    let entry = said.entry(id.to_owned()).or_default();
    match field {
        "what" => entry.what = Some(text),
        "do" => entry.act = Some(text),
        "say" => entry.say = Some(text),
        _ => return false,
    }
    true
}

fn built_in(language: &str) -> BTreeMap<String, Said> {
    let mut said = BTreeMap::new();
    if let Some((_, text)) = BUILT_IN.iter().find(|(l, _)| *l == language) {
        let node = yaml::read(text, FileId(0), 0, &mut Vec::new());
        for (key, text) in flatten(node, &mut Vec::new()) {
            take(&mut said, &key.value, text.value);
        }
    }
    said
}

/// The rules in the house's first language, and what is wrong with its own file of them.
pub(super) fn read(notes: &Notes) -> (HazardWords, Vec<Problem>) {
    let language = notes.house.languages.first().map_or_else(|| "en".to_owned(), |l| primary(&l.value));
    let mut words = HazardWords { english: language == "en", said: built_in(&language) };
    let mut problems = Vec::new();
    let ours: Vec<String> = if words.english {
        rules::published().iter().map(|r| r.id.clone()).collect()
    } else {
        words.said.keys().cloned().collect()
    };
    let path = format!("hazards/strings/{language}.yaml");
    let Some(file) = notes.templates.iter().find(|a| a.path == path).and_then(|a| a.file) else {
        return (words, problems);
    };
    let node = yaml::read(&notes.sources.get(file).text, file, 0, &mut problems);
    for (key, text) in flatten(node, &mut problems) {
        let id = key.value.rsplit_once('.').map_or("", |(id, _)| id).to_owned();
        let particular = particulars().iter().any(|p| p.id == id && !p.when.is_empty());
        if rules::get(&id).is_none() && !particular {
            let help = match nearest(&id, rules::published().iter().map(|r| r.id.as_str())).first() {
                Some(near) => format!("did you mean `{near}`?"),
                None => "write the name that `costrel check` prints in brackets behind the hazard".into(),
            };
            problems
                .push(Problem::new(code::UNKNOWN_HAZARD, key.span, format!("no hazard is called `{id}`")).help(help));
        } else if ours.contains(&id) {
            problems.push(
                Problem::new(code::HAZARD_RULE, key.span, format!("`{id}` has its words in this language already"))
                    .help(
                        "take it out, and write what the house says beside it as `say:` under `hazards` in house.yaml",
                    ),
            );
        } else if text.value.trim().is_empty() || !take(&mut words.said, &key.value, text.value) {
            problems.push(
                Problem::new(code::UNKNOWN_KEY, key.span, format!("`{}` says nothing of a hazard", key.value))
                    .help("write `what:` for what can happen and `do:` for what to do"),
            );
        }
    }
    (words, problems)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ask::safety::Severity;

    #[test]
    fn every_danger_is_told_in_every_language_of_the_program() {
        for (language, text) in BUILT_IN {
            let mut problems = Vec::new();
            let list = flatten(yaml::read(text, FileId(0), 0, &mut problems), &mut problems);
            assert!(problems.is_empty(), "{language}: {problems:?}");
            let mut said = BTreeMap::new();
            for (key, text) in list {
                assert!(text.value.ends_with(['.', '_']), "{language}: {}", key.value);
                assert!(take(&mut said, &key.value, text.value), "{language}: {}", key.value);
            }
            for id in said.keys() {
                let particular = particulars().iter().any(|p| p.id == *id && !p.when.is_empty());
                assert!(rules::get(id).is_some() || particular, "{language}: no rule is called {id}");
            }
            for rule in rules::published() {
                let whole = said.get(&rule.id).is_some_and(|s| s.what.is_some() && s.act.is_some());
                assert!(whole || rule.severity != Severity::Danger, "{language}: {}", rule.id);
                assert_eq!(whole, said.contains_key(&rule.id), "{language}: {} is half told", rule.id);
            }
            // What a law of one country words is said in its language.
            for particular in
                particulars().iter().filter(|p| !p.when.is_empty() && !p.when.contains("regime.allergens=us"))
            {
                let say = said.get(&particular.id).and_then(|s| s.say.as_ref()).expect(&particular.id);
                for name in ["{names}", "{caffeine}"] {
                    assert_eq!(say.contains(name), particular.says.contains(name), "{language}: {}", particular.id);
                }
            }
        }
    }

    #[test]
    fn what_is_not_translated_says_its_language() {
        let words = HazardWords { english: false, said: built_in("nl") };
        let told = words.told(rules::get("siphon-overfill").expect("a rule"));
        assert!(told.lang.is_none() && told.act.starts_with("Ga nooit boven"));
        let told = words.told(rules::get("ferment-temp").expect("a rule"));
        assert_eq!(told.lang, Some("en"));
        let english = HazardWords { english: true, ..HazardWords::default() };
        assert_eq!(english.told(rules::get("ferment-temp").expect("a rule")).lang, None);
    }
}
