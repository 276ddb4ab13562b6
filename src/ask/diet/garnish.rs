//! What a garnish is made of, as far as its words and the pantry say.

use super::DECLARED;
use crate::recipe::names::{Target, key};
use crate::recipe::run::Computed;

/// A garnish, as far as the pantry knows it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Garnish {
    /// Ingredients of the pantry that it names.
    pub known: Vec<Target>,
    /// The garnish, where it names none of them.
    pub unknown: Option<String>,
    /// Allergens whose own word stands in it.
    pub named: Vec<&'static str>,
}

/// Words that part the pieces of a garnish.
const PARTING: &[&str] = &["and", "or", "with", "plus", "on", "in"];
/// Words of things that a garnish is made of and that hold an allergen, beside the lists' own words.
const HOLDING: &[(&str, &str)] = &[
    ("cream", "milk"),
    ("cheese", "milk"),
    ("butter", "milk"),
    ("prawn", "crustacean"),
    ("shrimp", "crustacean"),
    ("crab", "crustacean"),
    ("oyster", "mollusc"),
    ("clam", "mollusc"),
    ("anchovy", "fish"),
    ("wafer", "gluten-cereal"),
    ("biscuit", "gluten-cereal"),
    ("soy", "soya"),
];

/// What the garnish of a recipe is made of: in each piece of it the longest names of the pantry count.
#[must_use]
pub fn garnish(computed: &Computed, recipe: usize) -> Garnish {
    let graph = &computed.graph;
    let mut found = Garnish::default();
    let Some(text) = &graph.notes.recipes[recipe].serve.garnish else { return found };
    if text.value.trim().eq_ignore_ascii_case("none") {
        return found;
    }
    let mut pieces: Vec<Vec<&str>> = vec![Vec::new()];
    for word in text.value.split_whitespace() {
        let bare = word.trim_matches(|c: char| !c.is_alphanumeric());
        if PARTING.contains(&bare) {
            pieces.push(Vec::new());
        } else if let Some(last) = pieces.last_mut().filter(|_| !bare.is_empty()) {
            last.push(bare);
            if word.ends_with([',', ';', ')']) {
                pieces.push(Vec::new());
            }
        }
    }
    for words in pieces.into_iter().filter(|p| !p.is_empty()) {
        let mut from = 0;
        while from < words.len() {
            let longest =
                (from + 1..=words.len()).rev().find_map(|to| match graph.names.get(&words[from..to].join(" ")) {
                    Some(target @ Target::Ingredient(_)) => Some((to, target)),
                    _ => None,
                });
            match longest {
                Some((to, target)) => {
                    found.known.push(target);
                    from = to;
                }
                None => from += 1,
            }
        }
        for word in words.iter().map(|w| key(w)) {
            found.named.extend(DECLARED.iter().copied().filter(|tag| *tag == word));
            found.named.extend(HOLDING.iter().filter(|(thing, _)| *thing == word).map(|(_, tag)| *tag));
        }
    }
    if found.known.is_empty() {
        found.unknown = Some(text.value.clone());
    }
    found.known.sort();
    found.known.dedup();
    found
}
