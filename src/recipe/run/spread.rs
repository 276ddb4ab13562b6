//! `±`: each uncertain fact moved by itself, and what depends on it made again.

use std::collections::{BTreeMap, BTreeSet};

use super::{Made, Maker, World};
use crate::mixture::Mixture;
use crate::recipe::graph::Graph;
use crate::recipe::names::Target;
use crate::recipe::pantry;

/// Moves each fact that carries a `±` by itself and runs again what depends on it: first-order propagation of uncertainty.
/// `order` has the recipes that were made, what is used before what uses it.
pub(super) fn spread(graph: &Graph, order: &[usize], made: &mut [Option<Made>]) {
    let used: BTreeSet<usize> = order.iter().flat_map(|i| &graph.nodes[*i].ingredients).copied().collect();
    let moves: Vec<(usize, Mixture)> = used
        .into_iter()
        .flat_map(|i| {
            let sheets = graph.pantry.ingredients[i].moved_sheets();
            sheets.into_iter().filter_map(move |sheet| pantry::unit_of(&sheet).ok().map(|unit| (i, unit)))
        })
        .collect();
    for (ingredient, unit) in moves {
        let facts = BTreeMap::from([(Target::Ingredient(ingredient), unit)]);
        let world = World { graph, facts: &facts };
        // Only what the fact touches is made again; the rest is as it was.
        let mut again: BTreeMap<usize, Made> = BTreeMap::new();
        for &index in order {
            let node = &graph.nodes[index];
            if node.ingredients.contains(&ingredient) || node.uses.iter().any(|u| again.contains_key(u)) {
                let before = |i: usize| again.get(&i).or_else(|| made[i].as_ref());
                let done = Maker::new(&world, &before, index).make(&mut Vec::new());
                again.insert(index, done);
            }
        }
        for (index, new) in again {
            let Some(made) = &mut made[index] else { continue };
            for (stage, other) in made.stages.iter_mut().zip(new.stages) {
                stage.moved.push(other.mixture);
            }
        }
    }
}
