//! What each list asks to be declared, and in which words.

use std::collections::BTreeSet;

use serde::Serialize;

use super::{DECLARED, Diet};

/// The words for an allergen tag, as the lists call it.
#[must_use]
pub fn word(tag: &str) -> &str {
    match tag {
        "gluten-cereal" => "cereals containing gluten",
        "crustacean" => "crustaceans",
        "egg" => "eggs",
        "peanut" => "peanuts",
        "tree-nut" => "nuts",
        "brazil-nut" => "Brazil nuts",
        "pine-nut" => "pine nuts",
        "sulphite" => "sulphites",
        "mollusc" => "molluscs",
        other => other,
    }
}

/// What a recipe contains, in one line; `None` where nothing is declared and nothing unknown.
#[must_use]
pub fn contains_words(diet: &Diet) -> Option<String> {
    let mut words: Vec<&str> = diet.contains.keys().map(|t| word(t)).collect();
    if !diet.unknown.is_empty() {
        words.push("some of it unknown");
    }
    (!words.is_empty()).then(|| format!("contains {}", words.join(", ")))
}

/// A list by which allergens are declared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Regime {
    /// European Union.
    Eu,
    /// United Kingdom, whose list is the European one as retained.
    Uk,
    /// United States: nine major allergens, and sulphites by their own rule.
    Us,
}

/// A declared allergen by one list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Declared {
    /// Its tag.
    pub tag: String,
    /// What that list calls it.
    pub word: String,
    /// Ingredients that bring it.
    pub from: Vec<String>,
}

/// What one list asks to be declared.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Declaration {
    /// On the list.
    pub contains: Vec<Declared>,
    /// On the list, as traces.
    pub may_contain: Vec<String>,
    /// Held, but on another list only: worth a word to a guest who asks.
    pub other_lists: Vec<Declared>,
    /// Ingredients whose allergens nobody stated: with these nothing can be called free of anything.
    pub unknown: Vec<String>,
}

impl Regime {
    /// Every list.
    pub const ALL: [Regime; 3] = [Regime::Eu, Regime::Uk, Regime::Us];

    /// Its code in house.yaml.
    #[must_use]
    pub fn code(self) -> &'static str {
        match self {
            Self::Eu => "eu",
            Self::Uk => "uk",
            Self::Us => "us",
        }
    }

    /// The list of a code; the European one where the code is another.
    #[must_use]
    pub fn of(code: &str) -> Self {
        Self::ALL.into_iter().find(|r| r.code() == code).unwrap_or(Self::Eu)
    }

    /// Its name in a sentence.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Eu => "the fourteen of the European list",
            Self::Uk => "the fourteen of the British list",
            Self::Us => "the nine of the United States list, and sulphites",
        }
    }

    /// Who says so.
    #[must_use]
    pub fn source(self) -> &'static str {
        match self {
            Self::Eu => "Regulation (EU) No 1169/2011, Annex II",
            Self::Uk => "Regulation (EU) No 1169/2011, Annex II, as retained in the United Kingdom",
            Self::Us => {
                "US FD&C Act s.201(qq) (FALCPA 2004, FASTER Act 2021); FDA, Questions and Answers Regarding Food Allergens, Ed. 5, Jan 2025 (through summaries); 27 CFR 4.32(e) for sulfites"
            }
        }
    }

    /// What the list calls a tag; `None` where it is not on it.
    #[must_use]
    pub fn word(self, tag: &str) -> Option<&str> {
        match (self, tag) {
            (Self::Eu | Self::Uk, "pine-nut") | (Self::Us, "celery" | "mustard" | "lupin" | "mollusc") => None,
            (Self::Us, "gluten-cereal") => {
                Some("wheat, if that is the cereal (barley, rye and oats are not on this list)")
            }
            (Self::Us, "crustacean") => Some("crustacean shellfish (name the species)"),
            (Self::Us, "fish") => Some("fish (name the species)"),
            (Self::Us, "soya") => Some("soybeans"),
            (Self::Us, "sulphite") => Some("sulfites"),
            (Self::Us, "tree-nut") => Some("tree nuts"),
            (_, tag) => DECLARED.contains(&tag).then(|| word(tag)),
        }
    }
}

/// What a list asks to be declared of a recipe.
#[must_use]
pub fn declaration(diet: &Diet, regime: Regime) -> Declaration {
    let declared = |tag: &str, from: &BTreeSet<String>, word: &str| Declared {
        tag: tag.to_owned(),
        word: word.to_owned(),
        from: from.iter().cloned().collect(),
    };
    let mut out = Declaration {
        contains: Vec::new(),
        may_contain: Vec::new(),
        other_lists: Vec::new(),
        unknown: diet.unknown.iter().cloned().collect(),
    };
    for (tag, from) in &diet.contains {
        // Pine nuts are nuts by the list of the United States only.
        let only_pine = tag == "tree-nut" && diet.contains.get("pine-nut") == Some(from) && regime != Regime::Us;
        match regime.word(tag).filter(|_| !only_pine) {
            Some(word) => out.contains.push(declared(tag, from, word)),
            None if !only_pine => out.other_lists.push(declared(tag, from, word(tag))),
            None => {}
        }
    }
    out.may_contain = diet.may_contain.iter().filter_map(|t| regime.word(t)).map(str::to_owned).collect();
    out
}

/// What may be said about gluten, in a sentence without a full stop.
#[must_use]
pub fn gluten(diet: &Diet) -> String {
    let list = |names: &BTreeSet<String>| names.iter().cloned().collect::<Vec<_>>().join(", ");
    match diet.contains.get("gluten-cereal") {
        Some(from) => format!("contains gluten, from {}; name the cereal", list(from)),
        None if diet.may_contain.contains("gluten-cereal") => "may contain traces of gluten".into(),
        None if !diet.unknown.is_empty() => {
            format!("unknown, because nobody stated the allergens of {}", list(&diet.unknown))
        }
        None => "no ingredient declares a cereal containing gluten; distillates of cereals are exempt, and none of this is a promise of gluten-free".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::with_group;
    use super::*;

    fn holding(tags: &[&str]) -> Diet {
        let mut diet = Diet::default();
        for tag in tags.iter().flat_map(|t| with_group(t)) {
            diet.contains.entry(tag.to_owned()).or_default().insert("it".into());
        }
        diet
    }

    #[test]
    fn each_list_declares_its_own() {
        let tags = |diet: &Diet, regime| {
            declaration(diet, regime).contains.into_iter().map(|d| d.tag).collect::<Vec<_>>().join(" ")
        };
        let all = holding(&["celery", "mollusc", "lupin", "mustard", "milk", "sesame"]);
        assert_eq!(tags(&all, Regime::Eu), "celery lupin milk mollusc mustard sesame");
        assert_eq!(tags(&all, Regime::Uk), tags(&all, Regime::Eu));
        assert_eq!(tags(&all, Regime::Us), "milk sesame");
        let pine = holding(&["pine-nut"]);
        assert_eq!((tags(&pine, Regime::Eu).as_str(), tags(&pine, Regime::Us).as_str()), ("", "pine-nut tree-nut"));
        assert_eq!(declaration(&pine, Regime::Eu).other_lists.len(), 1);
        assert_eq!(tags(&holding(&["almond"]), Regime::Eu), "almond tree-nut");
    }

    #[test]
    fn nothing_declared_is_no_promise() {
        assert!(
            gluten(&Diet::default()).contains("no promise")
                || gluten(&Diet::default()).contains("none of this is a promise")
        );
        let unknown = Diet { unknown: BTreeSet::from(["the tincture".into()]), ..Diet::default() };
        assert!(gluten(&unknown).starts_with("unknown"));
    }
}
