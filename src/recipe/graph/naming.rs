//! What recipes are called and where they stand: their names among all names, their addresses.

use std::collections::BTreeMap;

use crate::notebook::Notes;
use crate::problem::{Problem, code};
use crate::recipe::names::{self, Names, Target};
use crate::recipe::pantry::Pantry;

pub(super) fn name_recipes(notes: &Notes, pantry: &Pantry, names: &mut Names, problems: &mut Vec<Problem>) {
    let mut first: BTreeMap<String, usize> = BTreeMap::new();
    for (index, recipe) in notes.recipes.iter().enumerate() {
        let key = names::key(&recipe.name.value);
        if let Some(&earlier) = first.get(&key) {
            problems.push(
                Problem::new(
                    code::DUPLICATE_NAME,
                    recipe.name.span,
                    format!("two recipes are called `{}`", recipe.name.value),
                )
                .label("again here")
                .also(notes.recipes[earlier].name.span, "first here")
                .help("give one of them another name; case, accents and plurals do not tell names apart"),
            );
            continue;
        }
        if let Some(Target::Ingredient(i)) = names.get(&recipe.name.value) {
            let ingredient = &pantry.ingredients[i];
            // A name that came along from the generic item below a house item is not the house's own.
            let own = std::iter::once(&ingredient.item.name)
                .chain(&ingredient.item.also)
                .any(|n| n.span.file != notes.builtin.file && names::key(&n.value) == key);
            if ingredient.house && own {
                problems.push(
                    Problem::new(
                        code::DUPLICATE_NAME,
                        recipe.name.span,
                        format!("`{}` is a recipe and a pantry item", recipe.name.value),
                    )
                    .label("a recipe here")
                    .also(ingredient.item.name.span, "a pantry item here")
                    .help("take the item out of the pantry, or give the recipe another name"),
                );
            }
        }
        names.insert(&recipe.name.value, Target::Recipe(index));
        first.insert(key, index);
    }
}

/// Longest address: it becomes the name of a file, and file systems stop at 255 bytes.
const LONGEST_SLUG: usize = 120;

pub(super) fn slugs(notes: &Notes, problems: &mut Vec<Problem>) -> Vec<String> {
    let mut first: BTreeMap<String, usize> = BTreeMap::new();
    let mut list = Vec::new();
    for (index, recipe) in notes.recipes.iter().enumerate() {
        let mut slug = names::slug(&recipe.name.value);
        if slug.is_empty() {
            slug = names::slug(&recipe.path);
        }
        if slug.is_empty() {
            problems.push(
                Problem::new(
                    code::WRONG_VALUE,
                    recipe.name.span,
                    "neither this name nor its file's holds a letter, so it has no address",
                )
                .help("write a letter or a digit into the name"),
            );
            slug = format!("recipe-{}", index + 1);
        } else if slug.len() > LONGEST_SLUG {
            problems.push(
                Problem::new(
                    code::WRONG_VALUE,
                    recipe.name.span,
                    format!("this name makes an address of {} letters, more than {LONGEST_SLUG}", slug.len()),
                )
                .help("write a shorter name, and the rest into the method"),
            );
        }
        if let Some(&earlier) = first.get(&slug) {
            if names::key(&notes.recipes[earlier].name.value) != names::key(&recipe.name.value) {
                problems.push(
                    Problem::new(
                        code::DUPLICATE_SLUG,
                        recipe.name.span,
                        format!("this name makes the address `{slug}`, which is taken"),
                    )
                    .also(notes.recipes[earlier].name.span, "taken by this recipe")
                    .help("change one of the two names by a letter or a word"),
                );
            }
        } else {
            first.insert(slug.clone(), index);
        }
        list.push(slug);
    }
    list
}
