//! `±`: each uncertain fact moved by itself, and what depends on it made again.

use std::collections::BTreeMap;

use super::{Made, Maker, World};
use crate::mixture::Mixture;
use crate::recipe::graph::Graph;
use crate::recipe::names::Target;
use crate::recipe::pantry;

/// Moves each fact that carries a `±` by itself and runs again what depends on it: first-order propagation of uncertainty.
pub(super) fn spread(graph: &Graph, made: &mut [Made]) {
    let moves: Vec<(usize, Mixture)> = graph
        .pantry
        .ingredients
        .iter()
        .enumerate()
        .flat_map(|(i, ingredient)| {
            ingredient
                .moved_sheets()
                .into_iter()
                .filter_map(move |sheet| pantry::unit_of(&sheet).ok().map(|unit| (i, unit)))
        })
        .collect();
    for (ingredient, unit) in moves {
        let facts = BTreeMap::from([(Target::Ingredient(ingredient), unit)]);
        let world = World { graph, facts: &facts };
        // Only what the fact touches is made again; the rest is as it was.
        let mut again: Vec<Option<Made>> = vec![None; made.len()];
        for &index in &graph.order {
            let node = &graph.nodes[index];
            if node.ingredients.contains(&ingredient) || node.uses.iter().any(|u| again[*u].is_some()) {
                let before = &*made;
                let done = Maker::new(&world, &|i| again[i].as_ref().or(before.get(i)), index).make(&mut Vec::new());
                again[index] = Some(done);
            }
        }
        for (index, new) in again.into_iter().enumerate() {
            let Some(new) = new else { continue };
            for (stage, other) in made[index].stages.iter_mut().zip(new.stages) {
                stage.moved.push(other.mixture);
            }
        }
    }
}
