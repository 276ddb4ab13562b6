//! Substitutes: liquids of the pantry that stand near another in strength, sugar and acid. Near in figures is not the same in taste.

use std::collections::BTreeSet;

use crate::recipe::names::key;
use crate::recipe::pantry::{Ingredient, Pantry};

/// A step of each figure that a taster calls a difference: 5 % vol, 5 g/100 ml of sugar, 0.5 g/100 ml of acid. Common practice, no
/// source; it only sets how the three are weighed against each other.
const STEP: [f64; 3] = [5.0, 5.0, 0.5];
/// Farther than this many steps is no substitute.
const FARTHEST: f64 = 1.5;

/// Strength in % vol, sugar and acid in g/100 ml.
pub type Figures = [f64; 3];

/// A liquid near another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Near {
    /// Its place in the pantry.
    pub ingredient: usize,
    /// Its figures.
    pub figures: Figures,
    /// Steps between the two, 0 for equal figures.
    pub distance: f64,
}

/// The three figures of a liquid, if all are known.
#[must_use]
pub fn figures(ingredient: &Ingredient) -> Option<Figures> {
    let unit = ingredient.unit.as_ref().filter(|_| ingredient.is_liquid())?;
    let (abv, sugar, acid) = (unit.figure_abv(), unit.figure_sugar_per_100ml(), unit.figure_acid_per_100ml());
    Some([abv.ok()?, sugar.ok()?, acid.ok()?])
}

/// The nearest liquids of a pantry, nearest first, at most `most`. Water stands near much and replaces nothing.
#[must_use]
pub fn substitutes(pantry: &Pantry, ingredient: usize, most: usize) -> Vec<Near> {
    let Some(own) = figures(&pantry.ingredients[ingredient]) else { return Vec::new() };
    if own.iter().all(|f| *f == 0.0) {
        return Vec::new();
    }
    // What the house describes itself stands in for the built-in item of that name.
    let own_names: BTreeSet<String> = pantry.ingredients.iter().filter(|i| i.house).map(|i| key(i.name())).collect();
    let shadowed = |other: &Ingredient| !other.house && own_names.contains(&key(other.name()));
    let category = &pantry.ingredients[ingredient].item.category;
    let mut list: Vec<(bool, Near)> = pantry
        .ingredients
        .iter()
        .enumerate()
        .filter(|(i, other)| *i != ingredient && !shadowed(other))
        .filter_map(|(i, other)| {
            let figures = figures(other).filter(|f| f.iter().any(|x| *x != 0.0))?;
            let square: f64 =
                own.iter().zip(&figures).zip(STEP).map(|((a, b), step)| (a - b) / step).map(|d| d * d).sum();
            let distance = libm::sqrt(square);
            let alike = category.is_some() && other.item.category == *category;
            (distance <= FARTHEST).then_some((alike, Near { ingredient: i, figures, distance }))
        })
        .collect();
    // Of two that are as near, the one of the same kind; a kind counts as much as one step.
    let weight = |(alike, near): &(bool, Near)| near.distance + if *alike { 0.0 } else { 1.0 };
    list.sort_by(|a, b| weight(a).total_cmp(&weight(b)).then_with(|| a.1.ingredient.cmp(&b.1.ingredient)));
    list.into_iter().take(most).map(|(_, near)| near).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lime_stands_near_lemon_and_water_near_nothing() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("house.yaml"), "name: Test\n").unwrap();
        let (computed, _) = crate::compile(folder.path());
        let pantry = &computed.graph.pantry;
        let place = |name: &str| pantry.ingredients.iter().position(|i| i.name() == name).unwrap();
        let names = |name: &str| -> Vec<&str> {
            substitutes(pantry, place(name), 5).iter().map(|n| pantry.ingredients[n.ingredient].name()).collect()
        };
        let lemon = pantry.ingredients.iter().find(|i| i.name().contains("lemon juice")).unwrap().name().to_owned();
        assert!(names(&lemon).iter().any(|n| n.contains("lime juice")), "{:?}", names(&lemon));
        assert!(names("water").is_empty());
    }

    #[test]
    fn an_item_of_the_house_stands_there_once() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("house.yaml"), "name: Test\n").unwrap();
        std::fs::create_dir(folder.path().join("pantry")).unwrap();
        std::fs::write(folder.path().join("pantry/a.yaml"), "- name: aquavit\n  pack: 700 ml\n").unwrap();
        let (computed, _) = crate::compile(folder.path());
        let pantry = &computed.graph.pantry;
        let pisco = pantry.ingredients.iter().position(|i| i.name() == "pisco").unwrap();
        let near = substitutes(pantry, pisco, 40);
        let called: Vec<_> = near.iter().map(|n| &pantry.ingredients[n.ingredient]).collect();
        assert_eq!(called.iter().filter(|i| i.name() == "aquavit").map(|i| i.house).collect::<Vec<_>>(), [true]);
    }
}
