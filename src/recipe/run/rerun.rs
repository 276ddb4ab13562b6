//! Running one recipe again with other amounts, further pours or today's facts. Problems are ignored here: whoever asks
//! looks at the figures, which say why they are not known.

use std::collections::BTreeMap;

use super::pour::HowMuch;
use super::{Made, Maker, Stage, World, reading, unknown_stage};
use crate::measure::Dimension;
use crate::mixture::{Mixture, Part, Quantity};
use crate::notebook::pantry::Form;
use crate::notebook::reading::Reading;
use crate::problem::Problem;
use crate::recipe::graph::{Fruit, Measure, Pour};
use crate::recipe::names::Target;
use crate::recipe::run::Computed;

/// What is to be other than written.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Changes {
    /// Amounts of pours of the mix by their place in it, ml or g as [`dimension`] says; not negative.
    pub amounts: BTreeMap<usize, f64>,
    /// Pours that the recipe does not have: ml of a liquid, g of a solid; not negative. They go in last, but before a fill-up.
    pub extra: Vec<(Target, f64)>,
    /// Facts in place of the stated ones: one ml of a liquid ingredient, one g of a solid one, any amount of what a
    /// recipe makes.
    pub facts: BTreeMap<Target, Mixture>,
}

/// Whether a pour's amount is in millilitres or in grams where it is changed.
#[must_use]
pub fn dimension(measure: &Measure) -> Dimension {
    match measure {
        Measure::Volume(_) | Measure::Parts(_) | Measure::UpTo(_) => Dimension::Volume,
        Measure::Mass(_) | Measure::Share(_) => Dimension::Mass,
        Measure::Pieces { dimension, .. } => *dimension,
        Measure::PartOf { fruit: Fruit::Pressed(_), .. } => Dimension::Volume,
        Measure::PartOf { fruit: Fruit::Ingredient(_), .. } => Dimension::Mass,
    }
}

/// What a mixture is by a reading taken of it today.
///
/// # Errors
/// The [`Problem`] that the reading is, such as °Bx of something with alcohol in it.
pub fn read_today(mixture: &Mixture, reading: &Reading) -> Result<Mixture, Box<Problem>> {
    let mut today = mixture.clone();
    let mut problems = Vec::new();
    reading::one(reading, &mut today, &mut problems);
    match problems.into_iter().next() {
        Some(problem) => Err(Box::new(problem)),
        None => Ok(today),
    }
}

/// Runs one recipe with changes. Other recipes that the changed facts reach are run again too.
#[must_use]
pub fn rerun(computed: &Computed, recipe: usize, changes: &Changes) -> Made {
    Rerun::new(computed, recipe, &changes.facts).make(&changes.amounts, &changes.extra)
}

/// One recipe ready to be run many times: what it uses has been made once from the facts given.
#[derive(Debug)]
pub struct Rerun<'c> {
    computed: &'c Computed,
    recipe: usize,
    facts: &'c BTreeMap<Target, Mixture>,
    below: BTreeMap<usize, Made>,
}

impl<'c> Rerun<'c> {
    /// Makes everything below a recipe that the facts reach.
    #[must_use]
    pub fn new(computed: &'c Computed, recipe: usize, facts: &'c BTreeMap<Target, Mixture>) -> Self {
        let mut ready = Self { computed, recipe, facts, below: BTreeMap::new() };
        if facts.is_empty() {
            return ready;
        }
        let closure = computed.graph.closure(recipe);
        for &index in computed.graph.order.iter().filter(|i| **i != recipe && closure.contains(i)) {
            let node = &computed.graph.nodes[index];
            let other = node.ingredients.iter().any(|i| facts.contains_key(&Target::Ingredient(*i)))
                || node.uses.iter().any(|i| ready.below.contains_key(i) || facts.contains_key(&Target::Recipe(*i)));
            if other {
                let made = ready.run(index, &BTreeMap::new(), &[]);
                ready.below.insert(index, made);
            }
        }
        ready
    }

    /// The recipe with these amounts, see [`Changes`].
    ///
    /// Readings in the recipe were taken of the batch as written. They carry over in proportion: a yield that was measured
    /// at 95 % of the estimate stays at 95 % of it, a sugar that was read 4 % higher stays 4 % higher.
    #[must_use]
    pub fn make(&self, amounts: &BTreeMap<usize, f64>, extra: &[(Target, f64)]) -> Made {
        self.run(self.recipe, amounts, extra)
    }

    fn run(&self, index: usize, amounts: &BTreeMap<usize, f64>, extra: &[(Target, f64)]) -> Made {
        let world = World { graph: &self.computed.graph, facts: self.facts };
        let made = |i: usize| self.below.get(&i).or_else(|| self.computed.made.get(i));
        let mut maker = Maker::new(&world, &made, index);
        maker.again = Some(Again { amounts, extra, written: &self.computed.made[index] });
        maker.make(&mut Vec::new())
    }
}

/// What a recipe is made again with.
#[derive(Clone, Copy)]
pub(super) struct Again<'a> {
    amounts: &'a BTreeMap<usize, f64>,
    extra: &'a [(Target, f64)],
    written: &'a Made,
}

impl Maker<'_> {
    /// How much of a pour there is to be, where that is not what is written.
    pub(super) fn other_amount(&self, index: usize, pour: &Pour) -> Option<HowMuch> {
        let amount = *self.again?.amounts.get(&index)?;
        Some(match dimension(&pour.measure) {
            Dimension::Volume => HowMuch::Millilitres(amount),
            Dimension::Mass => HowMuch::Grams(amount),
        })
    }

    /// What goes into the mix beside what is written.
    pub(super) fn extra(&self) -> Vec<Mixture> {
        let Some(again) = self.again else { return Vec::new() };
        let one = |(target, amount): &(Target, f64)| {
            let graph = &self.world.graph;
            let solid = matches!(target, Target::Ingredient(i) if graph.pantry.ingredients[*i].form != Form::Liquid);
            let how_much = if solid { HowMuch::Grams(*amount) } else { HowMuch::Millilitres(*amount) };
            self.target(*target, how_much, self.note().name.span).unwrap_or_else(|_| {
                let mut unknown = Mixture::empty(self.bar().room_c);
                unknown_stage(&mut unknown, &format!("nobody knows what is in {}", graph.name(*target)));
                unknown
            })
        };
        again.extra.iter().map(one).collect()
    }

    /// Applies the readings at a stage: as taken, or carried over to other amounts.
    pub(super) fn read(
        &self,
        stage: &mut Stage,
        first: bool,
        last: bool,
        ph: &mut Option<f64>,
        problems: &mut Vec<Problem>,
    ) {
        let Some(again) = self.again else {
            reading::apply(self.note(), stage, first, last, ph, problems);
            return;
        };
        *ph = again.written.ph;
        let written = again.written.stages.iter().find(|s| s.name == stage.name);
        if let Some((read, estimate)) = written.and_then(|w| Some((&w.mixture, w.estimate.as_ref()?))) {
            let carried = carried(estimate, read, &stage.mixture);
            stage.estimate = Some(std::mem::replace(&mut stage.mixture, carried));
        }
    }
}

/// A mixture with what readings said of another: volume, and each component per volume, in proportion to the estimate
/// that they replaced; as read where the estimate had none of it.
fn carried(estimate: &Mixture, read: &Mixture, now: &Mixture) -> Mixture {
    let (was, is) = (estimate.volume_ml(), read.volume_ml());
    if was <= 0.0 || is <= 0.0 {
        return now.clone();
    }
    let mut out = now.scaled(is / was);
    let volume = out.volume_ml();
    let in_proportion = |was_g: f64, is_g: f64, now_g: f64| {
        if was_g > 0.0 { now_g * (is_g / is) / (was_g / was) } else { is_g / is * volume }
    };
    for part in Part::ALL {
        out.set(part, in_proportion(estimate.grams(part), read.grams(part), out.grams(part)));
    }
    out.sweet_g = in_proportion(estimate.sweet_g, read.sweet_g, out.sweet_g);
    out.set_own_volume(volume);
    for quantity in Quantity::ALL {
        if estimate.why_unknown(quantity).is_some() && read.why_unknown(quantity).is_none() {
            out.close_gap(quantity);
        }
    }
    if read.temperature != estimate.temperature {
        out.temperature = read.temperature;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mixture::sheet::{Content, Sheet};

    fn juice(sugar: f64) -> Mixture {
        let (sugar, acid) = (Some(Content::per_100(sugar)), Some(Content::per_100(1.0)));
        Sheet { abv: Some(0.0), sugar, acid, ..Sheet::liquid("juice") }.per_ml().unwrap()
    }

    #[test]
    fn readings_carry_over_in_proportion() {
        let (estimate, read) = (juice(10.0).scaled(100.0), juice(12.0).scaled(95.0));
        let same = carried(&estimate, &read, &estimate);
        assert!((same.volume_ml() - 95.0).abs() < 1e-9);
        assert!((same.figure_sugar_per_100ml().unwrap() - 12.0).abs() < 1e-9);
        let other = carried(&estimate, &read, &juice(8.0).scaled(200.0));
        assert!((other.volume_ml() - 190.0).abs() < 1e-9);
        assert!((other.figure_sugar_per_100ml().unwrap() - 9.6).abs() < 1e-9);
    }
}
