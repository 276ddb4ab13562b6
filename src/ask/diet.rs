//! Allergens and diet: what an ingredient holds is in everything made of it. Unknown is never "none".

use std::collections::{BTreeMap, BTreeSet};

use crate::notebook::process_line::ParameterValue;
use crate::process::Process;
use crate::recipe::names::Target;
use crate::recipe::run::Computed;

/// Nuts that the European and British lists name; each counts as `tree-nut` too.
pub const NUTS: &[&str] =
    &["almond", "hazelnut", "walnut", "cashew", "pecan", "brazil-nut", "pistachio", "macadamia", "pine-nut"];

/// Tags that an ingredient's `allergens` may hold (Regulation (EU) No 1169/2011 Annex II, the US nine, sulphites).
pub const DECLARED: &[&str] = &[
    "gluten-cereal",
    "crustacean",
    "egg",
    "fish",
    "peanut",
    "soya",
    "milk",
    "tree-nut",
    "almond",
    "hazelnut",
    "walnut",
    "cashew",
    "pecan",
    "brazil-nut",
    "pistachio",
    "macadamia",
    "pine-nut",
    "celery",
    "mustard",
    "sesame",
    "sulphite",
    "lupin",
    "mollusc",
];

/// What a recipe holds.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Diet {
    /// Allergen tags with the ingredients that bring them.
    pub contains: BTreeMap<String, BTreeSet<String>>,
    /// Tags that an ingredient may hold traces of.
    pub may_contain: BTreeSet<String>,
    /// Ingredients whose allergens nobody stated.
    pub unknown: BTreeSet<String>,
    /// Remarks of the pantry that a tag cannot say.
    pub remarks: BTreeSet<String>,
    /// Whether it is vegan; `None` where one part is unknown and none is known not to be.
    pub vegan: Option<bool>,
    /// Ingredients that are not vegan.
    pub not_vegan: BTreeSet<String>,
    /// Ingredients of which nobody said whether they are.
    pub vegan_unknown: BTreeSet<String>,
    /// Pours that mean nothing yet, so that what is in them is unknown.
    pub unread: bool,
}

/// Every ingredient of a recipe, through the recipes that it uses, to any depth.
#[must_use]
pub fn ingredients(computed: &Computed, recipe: usize) -> BTreeSet<usize> {
    let graph = &computed.graph;
    let mut found = BTreeSet::new();
    for used in graph.closure_of_content(recipe) {
        let node = &graph.nodes[used];
        found.extend(node.content.iter().filter_map(|t| match t {
            Target::Ingredient(i) => Some(*i),
            Target::Recipe(_) => None,
        }));
    }
    found
}

/// What a recipe holds.
#[must_use]
pub fn diet(computed: &Computed, recipe: usize) -> Diet {
    let graph = &computed.graph;
    let mut diet = Diet::default();
    for index in ingredients(computed, recipe) {
        let item = &graph.pantry.ingredients[index].item;
        let name = &item.name.value;
        match &item.allergens {
            None => {
                diet.unknown.insert(name.clone());
            }
            Some(tags) => {
                for tag in tags {
                    diet.contains.entry(tag.value.clone()).or_default().insert(name.clone());
                    if NUTS.contains(&tag.value.as_str()) {
                        diet.contains.entry("tree-nut".into()).or_default().insert(name.clone());
                    }
                }
            }
        }
        diet.may_contain.extend(item.may_contain.iter().map(|t| t.value.clone()));
        if let Some(note) = &item.allergen_note {
            diet.remarks.insert(format!("{name}: {note}"));
        }
        match item.vegan {
            Some(true) => {}
            Some(false) => {
                diet.not_vegan.insert(name.clone());
            }
            None => {
                diet.vegan_unknown.insert(name.clone());
            }
        }
    }
    for used in graph.closure_of_content(recipe) {
        let node = &graph.nodes[used];
        let unread = graph.notes.recipes[used].unread;
        diet.unread |= unread.mix || unread.process || unread.serve;
        diet.unread |=
            node.mix.iter().chain(&node.finish).any(Option::is_none) || node.process.iter().any(|s| s.broken);
        let gelatin = node.process.iter().any(|step| {
            step.line.process == Process::Clarify
                && step.line.parameters.iter().any(|(_, _, v)| *v == ParameterValue::Word("gelatin"))
        });
        if gelatin {
            diet.not_vegan.insert("gelatin".into());
        }
    }
    if diet.unread {
        diet.unknown.insert("a pour that could not be read".into());
        diet.vegan_unknown.insert("a pour that could not be read".into());
    }
    diet.may_contain.retain(|tag| !diet.contains.contains_key(tag));
    diet.vegan = if !diet.not_vegan.is_empty() {
        Some(false)
    } else if diet.vegan_unknown.is_empty() {
        Some(true)
    } else {
        None
    };
    diet
}

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
