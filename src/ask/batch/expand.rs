//! House-made parts to any depth: how much of each is needed, what stock covers, what is to be made.

use std::collections::{BTreeMap, BTreeSet};

use super::plan::{Line, Plan};
use crate::measure::{Dimension, Exact};
use crate::mixture::Mixture;
use crate::recipe::names::Target;
use crate::recipe::run::{Computed, Made, Rerun};

/// A number and how it grows with the factor of the whole.
#[derive(Debug, Clone, PartialEq)]
pub struct Growing {
    /// At this factor.
    pub value: Exact,
    /// Per one more of the factor.
    pub slope: Exact,
}

impl Growing {
    /// Nothing, and nothing more.
    #[must_use]
    pub fn zero() -> Self {
        Self { value: Exact::zero(), slope: Exact::zero() }
    }

    /// So many times it.
    #[must_use]
    pub fn times(&self, by: &Exact) -> Self {
        Self { value: &self.value * by, slope: &self.slope * by }
    }

    /// Both together.
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        Self { value: &self.value + &other.value, slope: &self.slope + &other.slope }
    }
}

/// How much of one recipe is made for the whole.
#[derive(Debug, Clone)]
pub struct Share {
    /// How many times the recipe.
    pub factor: Growing,
    /// What is needed of it, ml; for the whole itself, what is made.
    pub need: Growing,
    /// What stock gives of that, ml.
    pub from_stock: Exact,
}

/// The recipe asked for and every house-made part of it.
pub struct Tree {
    /// The recipe asked for.
    pub top: usize,
    /// Users before what they use.
    pub order: Vec<usize>,
    /// By recipe.
    pub plans: BTreeMap<usize, Plan>,
    /// As made by today's facts.
    pub made: BTreeMap<usize, Made>,
}

impl Tree {
    /// The tree of a recipe; parts that `hidden` names are poured but not taken apart.
    #[must_use]
    pub fn new(
        computed: &Computed,
        top: usize,
        facts: &BTreeMap<Target, Mixture>,
        hidden: &dyn Fn(usize) -> bool,
    ) -> Self {
        let graph = &computed.graph;
        let mut reached = BTreeSet::from([top]);
        let mut order = Vec::new();
        for &recipe in graph.order.iter().rev() {
            if !reached.contains(&recipe) {
                continue;
            }
            order.push(recipe);
            if graph.nodes[recipe].cyclic {
                continue;
            }
            reached.extend(graph.nodes[recipe].content.iter().filter_map(|t| match t {
                Target::Recipe(i) if !hidden(*i) => Some(*i),
                _ => None,
            }));
        }
        let mut tree = Self { top, order, plans: BTreeMap::new(), made: BTreeMap::new() };
        for &recipe in &tree.order {
            let made = if facts.is_empty() {
                computed.made[recipe].clone()
            } else {
                Rerun::new(computed, recipe, facts).make(&BTreeMap::new(), &[])
            };
            tree.plans.insert(recipe, Plan::new(computed, recipe, &made));
            tree.made.insert(recipe, made);
        }
        tree
    }

    /// How much of each recipe a factor takes. With `whole_glasses`, what goes into each glass is counted by whole glasses.
    #[must_use]
    pub fn shares(
        &self,
        factor: &Exact,
        stock: &BTreeMap<usize, Exact>,
        whole_glasses: bool,
    ) -> BTreeMap<usize, Share> {
        let mut need: BTreeMap<usize, Growing> = BTreeMap::new();
        let mut shares = BTreeMap::new();
        for recipe in &self.order {
            let plan = &self.plans[recipe];
            let share = if *recipe == self.top {
                let factor = Growing { value: factor.clone(), slope: Exact::one() };
                let made = plan.volume.as_ref().map_or_else(Growing::zero, |v| factor.times(v));
                Share { factor, need: made, from_stock: Exact::zero() }
            } else {
                self.share(plan, need.remove(recipe).unwrap_or_else(Growing::zero), stock.get(recipe))
            };
            for line in &plan.lines {
                let Some(Target::Recipe(used)) = line.target else { continue };
                let Some(ml) = self.plans.get(&used).and_then(|p| volume_of(line, p)) else { continue };
                let more = self.times(*recipe, line, &share.factor, whole_glasses).times(&ml);
                let so_far = need.entry(used).or_insert_with(Growing::zero);
                *so_far = so_far.plus(&more);
            }
            shares.insert(*recipe, share);
        }
        shares
    }

    fn share(&self, plan: &Plan, need: Growing, stock: Option<&Exact>) -> Share {
        let nothing = Exact::zero();
        let stock = stock.unwrap_or(&nothing);
        let from_stock = if need.value < *stock { need.value.clone() } else { stock.clone() };
        let per_batch = plan.volume.as_ref().and_then(|v| Exact::one().over(v));
        let factor = match per_batch {
            // At the very end of the stock more would have to be made, which is the slope that counts.
            Some(per_batch) if need.value >= *stock => {
                Growing { value: &need.value - stock, slope: need.slope.clone() }.times(&per_batch)
            }
            _ => Growing::zero(),
        };
        Share { factor, need, from_stock }
    }

    /// How many times a line goes in: the factor of its recipe, or the number of glasses.
    #[must_use]
    pub fn times(&self, recipe: usize, line: &Line, factor: &Growing, whole_glasses: bool) -> Growing {
        if !line.per_glass {
            return factor.clone();
        }
        // A drink that goes into another is used before it meets a glass.
        if recipe != self.top {
            return Growing::zero();
        }
        let plan = &self.plans[&recipe];
        match (&plan.glass, &plan.volume) {
            (Some(glass), Some(volume)) => {
                let glasses = volume.over(glass).map_or_else(Growing::zero, |n| factor.times(&n));
                if whole_glasses { Growing { value: glasses.value.floor(), slope: glasses.slope } } else { glasses }
            }
            (Some(_), None) => Growing::zero(),
            (None, _) => factor.clone(),
        }
    }
}

/// What a line takes of a house-made part, ml.
#[must_use]
pub fn volume_of(line: &Line, part: &Plan) -> Option<Exact> {
    match (line.dimension, &line.ml, &line.grams) {
        (Dimension::Mass, _, Some(grams)) => (grams * part.volume.as_ref()?).over(part.mass.as_ref()?),
        (_, Some(ml), _) => Some(ml.clone()),
        _ => None,
    }
}
