//! Names: when two of them are the same, and which thing a name in a pour means.

use std::collections::BTreeMap;

use deunicode::deunicode;

use crate::notebook::fields::nearest;

/// What a name means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Target {
    /// An ingredient of the pantry, by index.
    Ingredient(usize),
    /// A recipe of the notebook, by index.
    Recipe(usize),
}

/// The form in which names are compared: case, accents and regular plurals are ignored.
#[must_use]
pub fn key(name: &str) -> String {
    let plain = deunicode(name).to_lowercase();
    let words: Vec<&str> = plain.split_whitespace().collect();
    let Some((last, before)) = words.split_last() else { return String::new() };
    let mut key = before.join(" ");
    if !key.is_empty() {
        key.push(' ');
    }
    key.push_str(&singular(last));
    key
}

/// A word without its regular plural ending.
#[must_use]
pub fn singular(word: &str) -> String {
    if word.len() > 4 && word.ends_with("ies") {
        return format!("{}y", &word[..word.len() - 3]);
    }
    for ending in ["ches", "shes", "sses", "xes", "zzes", "oes"] {
        if word.len() > ending.len() + 1 && word.ends_with(ending) {
            return word[..word.len() - 2].to_owned();
        }
    }
    let kept = ["ss", "us", "is"].iter().any(|e| word.ends_with(e));
    if word.len() > 3 && word.ends_with('s') && !kept {
        return word[..word.len() - 1].to_owned();
    }
    word.to_owned()
}

/// The address of a name: lower-case ASCII words joined by hyphens. Empty if the name holds no letter or digit.
#[must_use]
pub fn slug(name: &str) -> String {
    let plain = deunicode(name).to_lowercase();
    let mut out = String::new();
    for c in plain.chars() {
        if c.is_ascii_alphanumeric() {
            out.push(c);
        } else if c != '\'' && !out.ends_with('-') && !out.is_empty() {
            out.push('-');
        }
    }
    out.trim_end_matches('-').to_owned()
}

/// Words that may stand before a name and say in what state it is poured.
const STATES: &[&str] = &[
    "cold",
    "chilled",
    "iced",
    "hot",
    "warm",
    "boiling",
    "fresh",
    "freshly squeezed",
    "freshly pressed",
    "frozen",
    "strained",
];

/// Most bytes of a pour in which a name is looked for. A file may hold a line of megabytes; no name is that long, and every
/// comma in it would be one more place where a name could end.
const LONGEST_WRITTEN: usize = 500;

/// A name found in a text, and what was written around it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// What it means.
    pub target: Target,
    /// State before and preparation after it.
    pub preparation: Option<String>,
    /// Words before or behind it that may name a piece or pack, such as `tin` and `leaves`.
    pub piece: Option<String>,
}

/// Every name of a notebook and its pantry.
#[derive(Debug, Clone, Default)]
pub struct Names {
    by_key: BTreeMap<String, Target>,
    shown: BTreeMap<String, String>,
}

impl Names {
    /// Lets a name mean something; a later meaning replaces an earlier one.
    pub fn insert(&mut self, name: &str, target: Target) {
        let key = key(name);
        self.shown.insert(key.clone(), name.to_owned());
        self.by_key.insert(key, target);
    }

    /// What a whole name means.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<Target> {
        self.by_key.get(&key(name)).copied()
    }

    /// Finds the name in a pour's text: whole first, then with a preparation after a comma or in brackets, then with a state
    /// before it, then, if `counted`, with one or two words for a piece before it or one behind it.
    #[must_use]
    pub fn find(&self, text: &str, counted: bool) -> Option<Found> {
        let cuts: Vec<usize> = std::iter::once(text.len())
            .chain(text.char_indices().rev().filter(|(_, c)| matches!(c, ',' | '(')).map(|(i, _)| i))
            .filter(|cut| *cut <= LONGEST_WRITTEN)
            .collect();
        let after = |cut: usize| text[cut..].trim_matches([',', '(', ')', ' ']);
        for &cut in &cuts {
            let name = text[..cut].trim();
            if let Some(target) = self.get(name) {
                return Some(Found { target, preparation: some(after(cut)), piece: None });
            }
        }
        for &cut in &cuts {
            let name = text[..cut].trim();
            if let Some((state, target)) = self.after_state(name) {
                let after = after(cut);
                let preparation = if after.is_empty() { state.to_owned() } else { format!("{state}, {after}") };
                return Some(Found { target, preparation: Some(preparation), piece: None });
            }
        }
        if !counted {
            return None;
        }
        for &cut in &cuts {
            let name = text[..cut].trim();
            let words: Vec<&str> = name.split_whitespace().collect();
            for lead in 1..=2.min(words.len().saturating_sub(1)) {
                let mut rest = words[lead..].join(" ");
                if let Some(of) = rest.strip_prefix("of ") {
                    rest = of.to_owned();
                }
                let found = self.get(&rest).map(|t| ("", t)).or_else(|| self.after_state(&rest));
                if let Some((state, target)) = found {
                    let preparation =
                        [state, after(cut)].into_iter().filter(|s| !s.is_empty()).collect::<Vec<_>>().join(", ");
                    return Some(Found {
                        target,
                        preparation: some(&preparation),
                        piece: Some(words[..lead].join(" ")),
                    });
                }
            }
            // `8 mint leaves`, `3 cinnamon sticks`.
            if let Some((last, before)) = words.split_last()
                && let Some(target) = self.get(&before.join(" "))
            {
                return Some(Found { target, preparation: some(after(cut)), piece: Some((*last).to_owned()) });
            }
        }
        None
    }

    fn after_state<'a>(&self, name: &'a str) -> Option<(&'a str, Target)> {
        STATES.iter().find_map(|state| {
            let head = name.get(..state.len())?;
            let rest = name.get(state.len()..)?.strip_prefix(' ')?;
            head.eq_ignore_ascii_case(state).then(|| self.get(rest)).flatten().map(|t| (head, t))
        })
    }

    /// The names nearest to one that is not known, best first.
    #[must_use]
    pub fn near(&self, text: &str) -> Vec<String> {
        let name = text.split([',', '(']).next().unwrap_or(text).trim();
        let wanted = key(name);
        nearest(&wanted, self.by_key.keys().map(String::as_str))
            .into_iter()
            .filter_map(|k| self.shown.get(k).cloned())
            .collect()
    }
}

fn some(text: &str) -> Option<String> {
    (!text.is_empty()).then(|| text.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn case_accents_and_plurals_are_ignored() {
        for (a, b) in [
            ("Limes", "lime"),
            ("crème de cacao", "Creme de Cacao"),
            ("celery bitters", "Celery Bitter"),
            ("cherries", "cherry"),
            ("peaches", "Peach"),
        ] {
            assert_eq!(key(a), key(b));
        }
        assert_ne!(key("citrus"), key("citru"));
        assert_eq!(slug("Lock-keeper's Lantern"), "lock-keepers-lantern");
        assert_eq!(slug("Crème № 5"), "creme-no-5");
    }

    #[test]
    fn longest_name_wins_and_the_rest_is_preparation() {
        let mut names = Names::default();
        names.insert("lemon juice", Target::Ingredient(0));
        names.insert("lemon juice, strained", Target::Ingredient(1));
        names.insert("evaporated milk", Target::Ingredient(2));
        names.insert("black tea", Target::Ingredient(3));
        assert_eq!(names.find("Lemon juice, strained", false).unwrap().target, Target::Ingredient(1));
        let found = names.find("lemon juice, fine strained, cold", false).unwrap();
        assert_eq!((found.target, found.preparation.as_deref()), (Target::Ingredient(0), Some("fine strained, cold")));
        let found = names.find("tin evaporated milk", true).unwrap();
        assert_eq!((found.target, found.piece.as_deref()), (Target::Ingredient(2), Some("tin")));
        assert_eq!(names.find("cold black tea", false).unwrap().preparation.as_deref(), Some("cold"));
        assert!(names.find("tin evaporated milk", false).is_none());
        let found = names.find("black tea bags, fair", true).unwrap();
        assert_eq!(
            (found.target, found.piece.as_deref(), found.preparation.as_deref()),
            (Target::Ingredient(3), Some("bags"), Some("fair"))
        );
        assert_eq!(names.near("lemn juice"), ["lemon juice"]);
    }
}
