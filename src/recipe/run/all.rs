//! Every recipe of a notebook as it was made, or as it is made when somebody first asks for it.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Index;
use std::sync::{Arc, OnceLock};

use super::{Made, Maker, World, spread};
use crate::problem::Problem;
use crate::recipe::graph::Graph;

/// One [`Made`] for each recipe, by its place in the notes. One that nobody made yet is made, with all that it uses, as it is
/// looked up, so that a question about one recipe costs what that recipe costs, and no answer depends on what was made before.
#[derive(Debug)]
pub struct AllMade {
    graph: Arc<Graph>,
    cells: Vec<OnceLock<Made>>,
}

impl AllMade {
    /// Nothing is made yet.
    pub(super) fn waiting(graph: Arc<Graph>) -> Self {
        let cells = graph.nodes.iter().map(|_| OnceLock::new()).collect();
        Self { graph, cells }
    }

    /// Makes recipes, of which nothing may be left out that another of them uses. Returns what was found wrong on the way.
    pub(super) fn make(&self, recipes: &BTreeSet<usize>) -> Vec<Problem> {
        let mut problems = Vec::new();
        for (index, made) in made(&self.graph, recipes, &mut problems) {
            // Two that ask at once make the same.
            let _ = self.cells[index].set(made);
        }
        problems
    }

    /// How many recipes there are, made or not.
    #[must_use]
    pub fn len(&self) -> usize {
        self.cells.len()
    }

    /// Whether there is no recipe.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.cells.is_empty()
    }

    /// Whether a recipe has been made already.
    #[must_use]
    pub fn is_made(&self, recipe: usize) -> bool {
        self.cells.get(recipe).is_some_and(|c| c.get().is_some())
    }

    /// A recipe; `None` if there is none of that number.
    #[must_use]
    pub fn get(&self, recipe: usize) -> Option<&Made> {
        let cell = self.cells.get(recipe)?;
        if cell.get().is_none() {
            // What is wrong with it is for whoever checks it.
            let _ = self.make(&self.graph.closure(recipe));
        }
        cell.get()
    }
}

impl Index<usize> for AllMade {
    type Output = Made;

    fn index(&self, recipe: usize) -> &Made {
        self.get(recipe).expect("a recipe of this notebook")
    }
}

/// Makes some recipes in the graph's order.
fn made(graph: &Graph, recipes: &BTreeSet<usize>, problems: &mut Vec<Problem>) -> Vec<(usize, Made)> {
    let order: Vec<usize> = graph.order.iter().copied().filter(|i| recipes.contains(i)).collect();
    let mut made: Vec<Option<Made>> = vec![None; graph.nodes.len()];
    let world = World { graph, facts: &BTreeMap::new() };
    for &index in &order {
        let done = Maker::new(&world, &|i| made[i].as_ref(), index).make(problems);
        made[index] = Some(done);
    }
    spread::spread(graph, &order, &mut made);
    made.into_iter().enumerate().filter_map(|(i, m)| Some((i, m?))).collect()
}
