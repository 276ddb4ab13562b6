//! Tags: allergens must be in the list; a tag that nearly spells one of the safety rules' tags deserves a note.

use std::collections::BTreeMap;

use crate::ask::diet::DECLARED;
use crate::notebook::fields::nearest;
use crate::problem::{Problem, code};
use crate::recipe::run::Computed;
use crate::source::Spanned;

const TABLE: &str = include_str!("hazard_tags.csv");

/// The tags that the safety rules use, each with its meaning.
#[must_use]
pub fn known() -> BTreeMap<&'static str, &'static str> {
    let mut tags = BTreeMap::new();
    for line in TABLE.lines().skip(1) {
        // Tag, where it belongs and what it implies hold no comma; the meaning may be quoted.
        let mut cells = line.splitn(4, ',');
        let (Some(tag), Some(_), Some(_), Some(rest)) = (cells.next(), cells.next(), cells.next(), cells.next()) else {
            continue;
        };
        let meaning = match rest.strip_prefix('"') {
            Some(quoted) => quoted.split('"').next().unwrap_or(""),
            None => rest.split(',').next().unwrap_or(""),
        };
        tags.insert(tag, meaning);
    }
    tags
}

pub(super) fn check(computed: &Computed, problems: &mut Vec<Problem>) {
    let notes = &computed.graph.notes;
    let known = known();
    for item in &notes.pantry {
        for tag in item.allergens.iter().flatten().chain(&item.may_contain) {
            if !DECLARED.contains(&tag.value.as_str()) {
                let near = nearest(&tag.value, DECLARED.iter().copied());
                let help = match near.first() {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("choose from: {}", DECLARED.join(", ")),
                };
                problems.push(
                    Problem::new(
                        code::UNKNOWN_ALLERGEN,
                        tag.span,
                        format!("`{}` is not an allergen of the lists", tag.value),
                    )
                    .help(help),
                );
            }
        }
        near(&item.tags, &known, problems);
    }
    for recipe in &notes.recipes {
        near(&recipe.tags, &known, problems);
    }
}

fn near(tags: &[Spanned<String>], known: &BTreeMap<&str, &str>, problems: &mut Vec<Problem>) {
    for tag in tags.iter().filter(|t| !known.contains_key(t.value.as_str()) && t.value.chars().count() > 3) {
        // Only a slip of the pen counts: one letter off.
        if let Some(close) = known.keys().find(|k| strsim::damerau_levenshtein(k, &tag.value) == 1) {
            problems.push(
                Problem::new(
                    code::NEAR_TAG,
                    tag.span,
                    format!("the tag `{}` means nothing to the safety rules, but `{close}` does", tag.value),
                )
                .help(format!("write `{close}` if that is meant: {}", known[close])),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_read_whole() {
        let known = known();
        assert_eq!(known.len(), TABLE.lines().count() - 1);
        assert_eq!(known["tcs"], "food that needs time and temperature control for safety");
        assert_eq!(known["dairy"], "milk or anything made of it, fresh or opened");
    }
}
