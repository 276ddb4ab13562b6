//! Running: every recipe's pours put together and its processes done, stage by stage, in the graph's order.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::graph::{Graph, Node};
use super::names::Target;
use super::reading;
use crate::measure::{float, show};
use crate::mixture::{Mixture, Quantity};
use crate::notebook::recipe_note::RecipeNote;
use crate::problem::Problem;
use crate::process::Bar;

mod all;
mod assumed;
mod glass;
mod guests;
mod made;
mod pour;
mod rerun;
mod spread;
mod step;

pub use all::AllMade;
pub use guests::{StandIns, for_guests, for_guests_on_demand, stand_ins};
pub use made::{Computed, Danger, Made, Poured, Served, Stage};
pub use rerun::{Changes, Rerun, dimension, read_today, rerun};
pub use step::share_of;

/// Runs every recipe. Problems found on the way are returned; a recipe with a fault still has stages, whose figures say
/// why they are not known.
#[must_use]
pub fn run(graph: Graph) -> (Computed, Vec<Problem>) {
    let computed = on_demand(graph);
    let problems = computed.made.make(&(0..computed.made.len()).collect());
    (computed, problems)
}

/// Runs one recipe and all that it uses. Others are made if somebody asks for them, and what is wrong with them is not told.
#[must_use]
pub fn run_one(graph: Graph, recipe: usize) -> (Computed, Vec<Problem>) {
    let computed = on_demand(graph);
    let problems = computed.made.make(&computed.graph.closure(recipe));
    (computed, problems)
}

/// Runs nothing before it is asked for.
#[must_use]
pub fn on_demand(graph: Graph) -> Computed {
    let graph = Arc::new(graph);
    Computed { made: AllMade::waiting(Arc::clone(&graph)), graph }
}

/// The pantry as it stands, and other facts in its place: one unit of an ingredient, any amount of what a recipe makes.
struct World<'a> {
    graph: &'a Graph,
    facts: &'a BTreeMap<Target, Mixture>,
}

impl World<'_> {
    fn unit(&self, ingredient: usize) -> Option<&Mixture> {
        let stated = self.graph.pantry.ingredients[ingredient].unit.as_ref();
        self.facts.get(&Target::Ingredient(ingredient)).or(stated)
    }
}

/// The recipes made so far.
type Done<'a> = &'a dyn Fn(usize) -> Option<&'a Made>;

struct Maker<'a> {
    world: &'a World<'a>,
    made: Done<'a>,
    index: usize,
    /// Other amounts, and the recipe as it was made with the written ones.
    again: Option<rerun::Again<'a>>,
}

impl<'a> Maker<'a> {
    fn new(world: &'a World<'a>, made: Done<'a>, index: usize) -> Self {
        Self { world, made, index, again: None }
    }

    fn note(&self) -> &RecipeNote {
        &self.world.graph.notes.recipes[self.index]
    }

    fn node(&self) -> &Node {
        &self.world.graph.nodes[self.index]
    }

    fn bar(&self) -> Bar {
        let house = &self.world.graph.notes.house;
        Bar {
            room_c: house.temperatures.room,
            ice_c: house.temperatures.ice,
            fridge_c: house.temperatures.fridge,
            freezer_c: house.temperatures.freezer,
            headspace: house.assume.headspace,
        }
    }

    fn make(&self, problems: &mut Vec<Problem>) -> Made {
        let mut assumptions: Vec<String> = Vec::new();
        let (mix, pours) = self.mix(problems);
        self.assumptions(&mut assumptions);
        let mut stages = vec![Stage::new("mix", None, mix, false)];
        let mut ph = None;
        self.read(&mut stages[0], true, self.node().process.is_empty(), &mut ph, problems);
        let overrun = self.processes(&mut stages, &mut ph, problems);
        let batch = stages.len() - 1;
        reading::check_stages(self.note(), &stages, problems);
        if self.again.is_none()
            && let Some(measured) = &self.note().makes_measured
            && let Some(ml) = measured.value.base(&self.world.graph.notes.house.units)
        {
            reading::set_volume(&mut stages[batch], float(ml), measured.span, problems);
        }
        let mut made =
            Made { stages, pours, finish: Vec::new(), batch, balance: batch, served: None, ph, overrun, assumptions };
        self.glass(&mut made, problems);
        made.assumptions.sort();
        made.assumptions.dedup();
        made
    }
}

/// A volume to a tenth of a millilitre: two that are compared must not look the same.
fn exactly(ml: f64) -> String {
    format!("{} ml", show::trim(&show::fixed(ml, 1)))
}

/// Nothing about a mixture is known once a pour of it could not be worked out.
fn unknown_pour(mixture: &mut Mixture, line: &str) {
    unknown_stage(mixture, &format!("the pour `{line}` could not be worked out"));
}

fn unknown_stage(mixture: &mut Mixture, because: &str) {
    for quantity in Quantity::ALL {
        mixture.gap(quantity, because);
    }
}
