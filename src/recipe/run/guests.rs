//! What guests may be told: figures without what the house measured, and no name out of a recipe that is not published.

use std::collections::BTreeMap;

use super::{Computed, on_demand, run};
use crate::notebook::recipe_note::RecipeNote;
use crate::recipe::graph::Graph;
use crate::recipe::names::Target;
use crate::recipe::pantry;

/// Names that stand for what an unpublished recipe is made of: that recipe's own, which a published one names.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct StandIns {
    /// Ingredients that only unpublished recipes name, each with the recipe that stands for it.
    pub ingredients: BTreeMap<usize, usize>,
    /// Unpublished recipes that no published one names.
    pub recipes: BTreeMap<usize, usize>,
}

/// Who stands for whom, to guests.
#[must_use]
pub fn stand_ins(graph: &Graph) -> StandIns {
    let published = |r: usize| graph.notes.recipes[r].publish;
    let named = |target: &Target| {
        (0..graph.nodes.len()).any(|r| published(r) && graph.nodes[r].content.iter().any(|t| t == target))
    };
    let mut found = StandIns::default();
    for recipe in (0..graph.nodes.len()).filter(|r| published(*r)) {
        for target in &graph.nodes[recipe].content {
            let Target::Recipe(part) = *target else { continue };
            if published(part) {
                continue;
            }
            for inner in graph.closure_of_content(part).into_iter().filter(|i| !published(*i)) {
                if inner != part && !named(&Target::Recipe(inner)) {
                    found.recipes.entry(inner).or_insert(part);
                }
                for held in &graph.nodes[inner].content {
                    if let Target::Ingredient(i) = held
                        && !named(held)
                    {
                        found.ingredients.entry(*i).or_insert(part);
                    }
                }
            }
        }
    }
    found
}

/// The same notebook as guests see it: computed as if nobody had measured anything, since readings and measured yields are the
/// house's own, and with no reason that names what is in an unpublished recipe. `None` where the notebook is that already.
#[must_use]
pub fn for_guests(computed: &Computed) -> Option<Computed> {
    // Its problems are those of the notebook, which were reported.
    told_to_guests(computed).map(|graph| run(graph).0)
}

/// As [`for_guests`], for a question about few recipes: each is made when it is asked for.
#[must_use]
pub fn for_guests_on_demand(computed: &Computed) -> Option<Computed> {
    told_to_guests(computed).map(on_demand)
}

fn told_to_guests(computed: &Computed) -> Option<Graph> {
    let measured = |r: &RecipeNote| !r.readings.is_empty() || r.makes_measured.is_some();
    let hidden = stand_ins(&computed.graph).ingredients;
    if hidden.is_empty() && !computed.graph.notes.recipes.iter().any(measured) {
        return None;
    }
    let mut graph = Graph::clone(&computed.graph);
    for recipe in &mut graph.notes.recipes {
        recipe.readings.clear();
        recipe.makes_measured = None;
    }
    for (ingredient, by) in hidden {
        let name = graph.notes.recipes[by].name.value.clone();
        let ingredient = &mut graph.pantry.ingredients[ingredient];
        // Reasons are told by the sheet's name; the item keeps its own, by which processes know powders and leaves.
        ingredient.sheet.name = name;
        ingredient.unit = pantry::unit_of(&ingredient.sheet).ok();
    }
    Some(graph)
}
