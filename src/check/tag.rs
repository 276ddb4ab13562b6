//! Tags: allergens must be in the list; a tag that nearly spells one of the safety rules' tags deserves a note.

use std::collections::BTreeMap;

use super::Asked;
use crate::ask::diet::{DECLARED, against_vegan};
use crate::ask::safety::tags;
use crate::notebook::fields::nearest;
use crate::problem::{Problem, code};
use crate::recipe::run::Computed;
use crate::source::Spanned;

fn known() -> BTreeMap<&'static str, &'static str> {
    tags::all().values().map(|t| (t.tag.as_str(), t.meaning.as_str())).collect()
}

pub(super) fn recipes(asked: &Asked<'_>, problems: &mut Vec<Problem>) {
    let known = known();
    for (_, recipe) in asked.notes() {
        near(&recipe.tags, &known, problems);
    }
}

pub(super) fn pantry(computed: &Computed, problems: &mut Vec<Problem>) {
    let known = known();
    for item in &computed.graph.notes.pantry {
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
    for ingredient in computed.graph.pantry.ingredients.iter().filter(|i| i.house) {
        let item = &ingredient.item;
        let Some(tag) = against_vegan(item) else { continue };
        // What the generic item says stands in no file of the house.
        let at = if tag.span.file == item.name.span.file { tag.span } else { item.name.span };
        problems.push(
            Problem::new(
                code::VEGAN_CONTRADICTED,
                at,
                format!("`{}` is called vegan, and `{}` comes of an animal", item.name.value, tag.value),
            )
            .help("write `vegan: false`, or take the tag out; it is not told as vegan in any case"),
        );
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
