//! The tags that the safety rules use: where each belongs, what it brings with it, what it means.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

use serde::Deserialize;

use crate::recipe::names::key;

const TABLE: &str = include_str!("hazard_tags.csv");

/// What a tag is put on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum On {
    /// What something is made of: it comes up into everything made of it.
    Ingredient,
    /// How one recipe is made or served: it stays with that recipe.
    Recipe,
}

/// One tag of the table.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct Tag {
    /// As written in a notebook.
    pub tag: String,
    /// What it is put on.
    pub on: On,
    /// Tags that it brings with it, parted by `;`.
    implies: String,
    /// What it means, for writers.
    pub meaning: String,
    /// Who usually bears it.
    #[serde(rename = "typical_ingredients")]
    pub typical: String,
}

impl Tag {
    /// Tags that it brings with it, one step deep.
    pub fn implies(&self) -> impl Iterator<Item = &str> {
        self.implies.split(';').filter(|t| !t.is_empty())
    }
}

static TAGS: LazyLock<BTreeMap<String, Tag>> = LazyLock::new(|| {
    // The table is part of the program; `the_table_is_sound` proves that every row of it is read.
    let rows = csv::Reader::from_reader(TABLE.as_bytes()).into_deserialize::<Tag>().flatten();
    rows.map(|tag| (tag.tag.clone(), tag)).collect()
});

/// Every tag by name.
#[must_use]
pub fn all() -> &'static BTreeMap<String, Tag> {
    &TAGS
}

/// A tag of the table.
#[must_use]
pub fn get(tag: &str) -> Option<&'static Tag> {
    TAGS.get(tag)
}

/// A tag and all that it brings with it, to any depth; a free tag is itself.
#[must_use]
pub fn with_implied(tag: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::from([tag.to_owned()]);
    let mut todo = vec![tag.to_owned()];
    while let Some(next) = todo.pop() {
        for implied in get(&next).into_iter().flat_map(Tag::implies) {
            if found.insert(implied.to_owned()) {
                todo.push(implied.to_owned());
            }
        }
    }
    found
}

/// Tags of ingredients whose own word a name is: what is called oleander is oleander, whatever its writer tagged.
#[must_use]
pub fn named<'t>(name: &str) -> Vec<&'t str> {
    let name = key(name);
    let own = move |tag: &&Tag| tag.on == On::Ingredient && key(&tag.tag.replace('-', " ")) == name;
    all().values().filter(own).map(|t| t.tag.as_str()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_sound() {
        assert_eq!(all().len(), TABLE.lines().count() - 1);
        for tag in all().values() {
            assert!(!tag.meaning.is_empty(), "{}", tag.tag);
            for implied in tag.implies() {
                assert!(get(implied).is_some(), "{} implies `{implied}`, which is no tag", tag.tag);
            }
        }
        assert_eq!(get("tcs").expect("a tag").meaning, "food that needs time and temperature control for safety");
    }

    #[test]
    fn a_name_may_be_a_tag_itself() {
        let of = |name| named(name).join(" ");
        assert_eq!(of("Oleander"), "oleander");
        assert_eq!(of("denatured alcohol"), "denatured-alcohol");
        assert_eq!(of("oleander syrup"), "");
    }

    #[test]
    fn tags_bring_others_with_them_to_any_depth() {
        let of = |tag| with_implied(tag).into_iter().collect::<Vec<_>>().join(" ");
        assert_eq!(of("nut-milk"), "nut nut-milk plant-milk tcs");
        assert_eq!(of("low-acid-vegetable"), "fresh-produce low-acid-vegetable vegetable");
        assert_eq!(of("smoky"), "smoky");
    }
}
