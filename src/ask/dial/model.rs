//! The true model as a function of amounts: the recipe run again, its figures read, its slopes by finite differences.

use std::collections::BTreeMap;

use super::Figure;
use super::pours::{Place, Pour, per};
use super::target::{self, Target, Together};
use crate::mixture::figure::Figure as Value;
use crate::notebook::pour::Role;
use crate::recipe::names;
use crate::recipe::run::{Computed, Made, Rerun};

/// Step of the differences, as a share of a pour's scale. Central differences err by its square; the processes' own searches
/// end at about 1e-9.
const STEP: f64 = 2e-3;

/// A recipe as a function of how much of each varied pour goes in, in multiples of its scale.
pub struct Model<'a> {
    computed: &'a Computed,
    recipe: usize,
    ready: Rerun<'a>,
    pours: &'a [Pour],
    /// Places of the varied pours among all.
    varied: Vec<usize>,
    /// What is wanted.
    pub targets: Vec<Target>,
}

/// The figures at one point.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// The target figures, in their own units.
    pub values: Vec<f64>,
    /// What each is a share of, ml: a figure times its size is nearly linear in the amounts.
    pub sizes: Vec<f64>,
    /// Volume, ml.
    pub volume: f64,
}

/// How a point moves with each varied pour, per scale of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Slope {
    /// Of each target figure.
    pub values: Vec<Vec<f64>>,
    /// Of each size.
    pub sizes: Vec<Vec<f64>>,
    /// Of the volume.
    pub volume: Vec<f64>,
}

impl<'a> Model<'a> {
    /// A model of a recipe; facts are those of the rerun.
    pub fn new(
        computed: &'a Computed,
        recipe: usize,
        facts: &'a BTreeMap<names::Target, crate::mixture::Mixture>,
        pours: &'a [Pour],
        targets: Vec<Target>,
    ) -> Self {
        let varied = pours.iter().enumerate().filter(|(_, p)| p.weight.is_some()).map(|(i, _)| i).collect();
        Self { computed, recipe, ready: Rerun::new(computed, recipe, facts), pours, varied, targets }
    }

    /// The varied pours.
    pub fn varied(&self) -> impl Iterator<Item = &Pour> {
        self.varied.iter().map(|i| &self.pours[*i])
    }

    /// Where they start, in multiples of their scales.
    pub fn start(&self) -> Vec<f64> {
        self.varied().map(|p| p.start / p.scale).collect()
    }

    /// The recipe with so much of each varied pour, and the amounts of all pours in their order, ml or g.
    pub fn make(&self, y: &[f64]) -> (Made, Vec<f64>) {
        let mut amounts: Vec<f64> = self.pours.iter().map(|p| p.start).collect();
        for (i, y) in self.varied.iter().zip(y) {
            amounts[*i] = y * self.pours[*i].scale;
        }
        let mut in_mix = BTreeMap::new();
        let mut extra = Vec::new();
        for (pour, amount) in self.pours.iter().zip(&amounts) {
            match pour.place {
                // An amount that nobody knows stays as written, so that the figures say why.
                Place::Mix(index) if !pour.follows && amount.is_finite() => {
                    in_mix.insert(index, *amount);
                }
                Place::Mix(_) => {}
                Place::Extra(target) => extra.push((target, *amount)),
            }
        }
        let made = self.ready.make(&in_mix, &extra);
        for (pour, amount) in self.pours.iter().zip(&mut amounts) {
            if let (Place::Mix(index), true) = (pour.place, pour.follows) {
                let poured = made.pours[index].as_ref();
                *amount = poured.and_then(|p| per(p, pour.dimension)).unwrap_or(f64::NAN);
            }
        }
        (made, amounts)
    }

    /// Water and the rest, as they were poured together.
    fn together(&self, made: &Made, amounts: &[f64]) -> Together {
        let mix = &self.computed.graph.nodes[self.recipe].mix;
        let mut sum = Together { water_ml: 0.0, rest_ml: 0.0 };
        for (pour, amount) in self.pours.iter().zip(amounts) {
            let ml = match pour.place {
                Place::Extra(_) => amount * pour.unit_ml,
                Place::Mix(i) if mix[i].as_ref().is_some_and(|l| l.line.role == Role::Mix) => {
                    made.pours[i].as_ref().map_or(0.0, |p| p.ml)
                }
                Place::Mix(_) => 0.0,
            };
            *(if pour.water { &mut sum.water_ml } else { &mut sum.rest_ml }) += ml;
        }
        sum
    }

    /// Reads a figure of a recipe that this model made.
    pub fn read(&self, figure: Figure, made: &Made, amounts: &[f64]) -> Value {
        target::read(figure, made, self.together(made, amounts))
    }

    /// The figures with so much of each varied pour; `None` where one of them is not known there.
    pub fn at(&self, y: &[f64]) -> Option<Point> {
        let (made, amounts) = self.make(y);
        let volume = target::volume_at(&made).mixture.figure_volume().ok()?;
        let together = self.together(&made, &amounts);
        let mut point = Point { values: Vec::new(), sizes: Vec::new(), volume };
        for wanted in &self.targets {
            let value = target::read(wanted.figure, &made, together).ok().filter(|v| v.is_finite())?;
            point.values.push(value);
            point.sizes.push(match wanted.figure {
                Figure::Strength | Figure::Sugar | Figure::Acid => volume,
                Figure::Dilution => together.rest_ml,
                Figure::Volume => 1.0,
            });
        }
        Some(point)
    }

    /// The slopes at a point; `None` where the figures are known on neither side of it.
    pub fn slope(&self, y: &[f64], here: &Point) -> Option<Slope> {
        let n = y.len();
        let empty = || vec![vec![0.0; n]; self.targets.len()];
        let mut slope = Slope { values: empty(), sizes: empty(), volume: vec![0.0; n] };
        for j in 0..n {
            let h = STEP * y[j].abs().max(1.0);
            let beside = |by: f64| {
                let mut there = y.to_vec();
                there[j] += by;
                (there[j] >= 0.0).then(|| self.at(&there)).flatten()
            };
            // Central where both sides are there, else the three-point formula on the side that is.
            let (points, factors) = match (beside(-h), beside(h)) {
                (Some(a), Some(b)) => ([a, b], [0.0, -0.5 / h, 0.5 / h]),
                (None, Some(a)) => ([a, beside(2.0 * h)?], [-1.5 / h, 2.0 / h, -0.5 / h]),
                (Some(a), None) => ([a, beside(-2.0 * h)?], [1.5 / h, -2.0 / h, 0.5 / h]),
                (None, None) => return None,
            };
            let sum = |of: &dyn Fn(&Point) -> f64| {
                factors[0] * of(here) + factors[1] * of(&points[0]) + factors[2] * of(&points[1])
            };
            slope.volume[j] = sum(&|p| p.volume);
            for i in 0..self.targets.len() {
                slope.values[i][j] = sum(&|p| p.values[i]);
                slope.sizes[i][j] = sum(&|p| p.sizes[i]);
            }
        }
        Some(slope)
    }
}
