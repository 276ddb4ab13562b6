//! Swaps: what a recipe becomes with another ingredient in place of one, as its writer allows with `or`. The recipe is run
//! again with the other pour; nothing is estimated from the two ingredients alone.

use std::collections::{BTreeMap, BTreeSet};

use super::diet::{garnish, ingredients, with_group};
use crate::mixture::Mixture;
use crate::mixture::figure::Figure;
use crate::notebook::pantry::Form;
use crate::recipe::graph::{Measure, Pour};
use crate::recipe::names::Target;
use crate::recipe::run::{Changes, Computed, Made, rerun};

/// A figure before and after.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// `strength`, `sugar` or `acid`.
    pub figure: &'static str,
    /// As written; % vol or g/100 ml.
    pub before: Option<f64>,
    /// With the substitute.
    pub after: Option<f64>,
}

/// Another pour in place of one, and what it changes.
#[derive(Debug, Clone, PartialEq)]
pub struct Swap {
    /// Which pour of the mix is replaced.
    pub pour: usize,
    /// Which of the pours that may stand in its place.
    pub with: usize,
    /// Strength, sugar and acid where the drink is drunk, or of a prep as made. Empty where it cannot be run again, because
    /// nobody knows how much of it there is.
    pub figures: Vec<Change>,
    /// Allergen tags that it brings.
    pub brings: BTreeSet<String>,
    /// Allergen tags that go with what is replaced.
    pub takes_away: BTreeSet<String>,
    /// Whether nobody stated its allergens.
    pub allergens_unknown: bool,
    /// Whether the recipe is vegan, before and after; `None` where it is not known.
    pub vegan: (Option<bool>, Option<bool>),
}

/// How a figure is read off a mixture.
type Reader = fn(&Mixture) -> Figure;

/// The figures that a substitute is held against.
const FIGURES: &[(&str, Reader)] = &[
    ("strength", Mixture::figure_abv),
    ("sugar", Mixture::figure_sugar_per_100ml),
    ("acid", Mixture::figure_acid_per_100ml),
];

/// Every swap that a recipe allows, in the order in which they are written.
#[must_use]
pub fn swaps(computed: &Computed, recipe: usize) -> Vec<Swap> {
    let node = &computed.graph.nodes[recipe];
    let mut list = Vec::new();
    for (index, pour) in node.mix.iter().enumerate() {
        let Some(pour) = pour else { continue };
        for (with, other) in pour.or.iter().enumerate() {
            list.push(swap(computed, recipe, (index, pour), (with, other)));
        }
    }
    list
}

fn swap(computed: &Computed, recipe: usize, (pour, _): (usize, &Pour), (with, other): (usize, &Pour)) -> Swap {
    let made = &computed.made[recipe];
    let figures = amount(computed, other).map_or_else(Vec::new, |amount| {
        let changes = Changes {
            amounts: BTreeMap::from([(pour, 0.0)]),
            extra: vec![(other.target, amount)],
            facts: BTreeMap::new(),
        };
        let again = rerun(computed, recipe, &changes);
        let read = |made: &Made, read: Reader| {
            let stage = if made.served.is_some() { made.last() } else { made.batch() };
            read(&stage.mixture).ok()
        };
        FIGURES
            .iter()
            .map(|(figure, of)| Change { figure, before: read(made, *of), after: read(&again, *of) })
            .collect()
    });
    let before = all_but(computed, recipe, None);
    let mut after = all_but(computed, recipe, Some(pour));
    let own = of_target(computed, other.target);
    after.extend(&own);
    let (had, has) = (tags(computed, &before), tags(computed, &after));
    let item = |i: &usize| &computed.graph.pantry.ingredients[*i].item;
    Swap {
        pour,
        with,
        figures,
        brings: has.difference(&had).cloned().collect(),
        takes_away: had.difference(&has).cloned().collect(),
        allergens_unknown: own.iter().any(|i| item(i).allergens.is_none()),
        vegan: (vegan(computed, &before), vegan(computed, &after)),
    }
}

/// How much of a substitute, as [`Changes`] takes it: ml of a liquid, g of a solid.
fn amount(computed: &Computed, pour: &Pour) -> Option<f64> {
    let (solid, grams_per_ml) = match pour.target {
        Target::Ingredient(i) => {
            let ingredient = &computed.graph.pantry.ingredients[i];
            let unit = ingredient.unit.as_ref()?;
            let density = unit.figure_mass().ok()? / unit.figure_volume().ok()?;
            (ingredient.form != Form::Liquid, density)
        }
        Target::Recipe(i) => (false, computed.made[i].batch().mixture.figure_density().ok()?),
    };
    let float = crate::measure::float;
    match (&pour.measure, solid) {
        (Measure::Volume(ml), false) => Some(float(*ml)),
        (Measure::Mass(grams), true) => Some(float(*grams)),
        (Measure::Mass(grams), false) if grams_per_ml > 0.0 => Some(float(*grams) / grams_per_ml),
        _ => None,
    }
}

fn of_target(computed: &Computed, target: Target) -> BTreeSet<usize> {
    match target {
        Target::Ingredient(i) => BTreeSet::from([i]),
        Target::Recipe(i) => ingredients(computed, i),
    }
}

/// Every ingredient of a recipe, without those that only one of its pours brings.
fn all_but(computed: &Computed, recipe: usize, pour: Option<usize>) -> BTreeSet<usize> {
    let node = &computed.graph.nodes[recipe];
    let mix = node.mix.iter().enumerate().filter(|(i, _)| Some(*i) != pour).filter_map(|(_, p)| p.as_ref());
    let steps = node.process.iter().flat_map(|s| s.pours.values().flatten());
    let pours = mix.chain(node.finish.iter().flatten()).chain(steps).map(|p| p.target);
    let shares = node.process.iter().flat_map(|s| s.shares.values().flatten()).map(|(target, _)| *target);
    let targets: BTreeSet<Target> = pours.chain(shares).chain(garnish(computed, recipe).known).collect();
    targets.into_iter().flat_map(|target| of_target(computed, target)).collect()
}

fn tags(computed: &Computed, ingredients: &BTreeSet<usize>) -> BTreeSet<String> {
    let items = ingredients.iter().map(|i| &computed.graph.pantry.ingredients[*i].item);
    let tags = items.filter_map(|item| item.allergens.as_ref()).flatten();
    tags.flat_map(|tag| with_group(&tag.value).map(str::to_owned).collect::<Vec<_>>()).collect()
}

fn vegan(computed: &Computed, ingredients: &BTreeSet<usize>) -> Option<bool> {
    let said: Vec<Option<bool>> =
        ingredients.iter().map(|i| computed.graph.pantry.ingredients[*i].item.vegan).collect();
    if said.contains(&Some(false)) {
        return Some(false);
    }
    (!said.contains(&None)).then_some(true)
}
