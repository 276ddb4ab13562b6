//! Rounding a batch to the tools, what that does to the drink, and measuring more finely where it does too much.
//!
//! Whether it does too much is told by how each figure answers to each pour, worked out once from the true model; so a page can
//! come to the same decision without the model. What is reported as drift is the true model again.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::kit::Kit;
use super::plan::{Line, Place, Plan};
use crate::measure::tool::{Care, Measured, Tool, View};
use crate::measure::{Exact, Unit};
use crate::mixture::Mixture;
use crate::recipe::names::Target;
use crate::recipe::run::{Computed, Made, Rerun};

/// Strength in % vol, sugar and acid in g/100 ml.
pub type Figures = [Option<f64>; 3];

/// A pour is made larger by this share to see how a figure answers.
const STEP: f64 = 0.01;

/// The figures where balance is read.
#[must_use]
pub fn figures(made: &Made) -> Figures {
    of(&made.stages[made.balance].mixture)
}

/// The figures of a mixture.
#[must_use]
pub fn of(mixture: &Mixture) -> Figures {
    [mixture.figure_abv().ok(), mixture.figure_sugar_per_100ml().ok(), mixture.figure_acid_per_100ml().ok()]
}

/// How each figure answers to each line, per whole of the line: the change by a line that is doubled, if it went on as it starts.
///
/// A line that fills up answers to nothing, since it follows the others. `None` where the figures are not known.
#[must_use]
pub fn answers(
    computed: &Computed,
    plan: &Plan,
    made: &Made,
    facts: &BTreeMap<Target, Mixture>,
) -> Vec<Option<[Exact; 3]>> {
    let ready = Rerun::new(computed, plan.recipe, facts);
    let base = figures(made);
    let answer = |line: &Line| -> Option<[Exact; 3]> {
        let Place::Mix(index) = line.place else { return None };
        if line.fills_to.is_some() || !line.original.is_finite() {
            return None;
        }
        let more = ready.make(&BTreeMap::from([(index, line.original * (1.0 + STEP))]), &[]);
        let after = figures(&more);
        let one = |i: usize| Exact::computed((after[i]? - base[i]?) / STEP);
        Some([one(0)?, one(1)?, one(2)?])
    };
    plan.lines.iter().map(answer).collect()
}

/// One line of a batch, measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Pour {
    /// Number of its line in the plan.
    pub line: usize,
    /// How many times it is measured: once, or for each glass.
    pub times: Exact,
    /// What is measured each time, exact, ml or g.
    pub exact: Exact,
    /// What the tool gives.
    pub measured: Measured,
    /// Pieces to take.
    pub take: Option<Take>,
}

/// Pieces to take for a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Take {
    /// How many there would be, exact.
    pub exact: Exact,
    /// How many there are.
    pub count: Exact,
}

impl Pour {
    /// All of it, exact, ml or g.
    #[must_use]
    pub fn total(&self) -> Exact {
        &self.exact * &self.times
    }

    /// All of it as measured, ml or g.
    #[must_use]
    pub fn measured_total(&self) -> Exact {
        &self.measured.base * &self.times
    }

    /// Measured over exact, less one.
    #[must_use]
    pub fn error(&self) -> Exact {
        let off = &self.measured.base - &self.exact;
        off.over(&self.exact).unwrap_or_else(Exact::zero)
    }
}

/// Measures a recipe's lines for a factor. Lines in `left_out` (ice in a ready batch) are not poured.
#[must_use]
pub fn measured(
    plan: &Plan,
    factor: &Exact,
    answers: &[Option<[Exact; 3]>],
    kit: &Kit,
    view: View,
    left_out: &dyn Fn(&Line) -> bool,
) -> Vec<Pour> {
    let mut pours: Vec<(Pour, Care)> = Vec::new();
    for (number, line) in plan.lines.iter().enumerate().filter(|(_, l)| !left_out(l)) {
        let Some((exact, times)) = each_time(plan, line, factor) else { continue };
        pours.push((measure(kit, line, number, exact, times, Care::Usual, view), Care::Usual));
    }
    // Largest first; among equals, as written.
    let mut by_size: Vec<usize> = (0..pours.len()).collect();
    by_size.sort_by_key(|i| {
        let line = &plan.lines[pours[*i].0.line];
        Reverse(line.ml.clone().unwrap_or_else(|| line.base.clone()))
    });
    for care in [Care::Finer, Care::Weighed] {
        for &i in &by_size {
            if within(&pours, answers, kit) {
                return pours.into_iter().map(|(p, _)| p).collect();
            }
            let (pour, had) = &pours[i];
            let line = &plan.lines[pour.line];
            if answers[pour.line].is_none() || *had >= care {
                continue;
            }
            let finer = measure(kit, line, pour.line, pour.exact.clone(), pour.times.clone(), care, view);
            if finer.error().abs() < pour.error().abs() {
                pours[i] = (finer, care);
            }
        }
    }
    pours.into_iter().map(|(p, _)| p).collect()
}

/// How much is measured at a time, and how often; `None` where nobody knows how many glasses there are.
fn each_time(plan: &Plan, line: &Line, factor: &Exact) -> Option<(Exact, Exact)> {
    if !line.per_glass {
        return Some((&line.base * factor, Exact::one()));
    }
    let glasses = plan.glasses(factor)?;
    // Half a recipe of one glass is one glass with half of it.
    if plan.glass.is_none() && *factor < Exact::one() {
        return Some((&line.base * factor, Exact::one()));
    }
    Some((line.base.clone(), glasses))
}

fn measure(kit: &Kit, line: &Line, number: usize, exact: Exact, times: Exact, care: Care, view: View) -> Pour {
    let tools = &kit.tools;
    let usual = |exact: &Exact| tools.measure(exact, line.dimension, line.written, line.density.as_ref(), care, view);
    let Some(pieces) = &line.pieces else {
        let measured = usual(&exact);
        return Pour { line: number, times, exact, measured, take: None };
    };
    let count = exact.over(&pieces.each).unwrap_or_else(Exact::zero);
    let whole = count.ceil();
    let take = Some(Take { exact: count, count: whole.clone() });
    let measured = if pieces.whole {
        let base = &whole * &pieces.each;
        // A tool that only counts up: it is off by less than one piece.
        let step = &pieces.each * &Exact::whole(2);
        Measured { amount: whole, unit: Unit::Ml, base, tool: Tool::Count, step, loads: 1, coarse: false }
    } else {
        usual(&exact)
    };
    Pour { line: number, times, exact, measured, take }
}

/// Whether the rounding keeps within the house's tolerance, as far as the answers tell.
fn within(pours: &[(Pour, Care)], answers: &[Option<[Exact; 3]>], kit: &Kit) -> bool {
    (0..3).all(|figure| {
        let drift: Exact =
            pours.iter().filter_map(|(p, _)| Some(&p.error() * &answers[p.line].as_ref()?[figure])).sum();
        drift.abs() <= kit.tolerance[figure]
    })
}

/// The recipe with its pours as measured, by the true model; other amounts of what the processes take in are poured into its
/// end, where they change figures nearly as they would have before.
#[must_use]
pub fn as_measured(
    computed: &Computed,
    plan: &Plan,
    pours: &[Pour],
    facts: &BTreeMap<Target, Mixture>,
    factor: &Exact,
    melt: &BTreeMap<String, Exact>,
) -> (Figures, Option<Mixture>) {
    let mut amounts = BTreeMap::new();
    let mut beside: Vec<Mixture> = Vec::new();
    for pour in pours {
        let line = &plan.lines[pour.line];
        let error = pour.error();
        match line.place {
            Place::Mix(index) if line.fills_to.is_none() && line.original.is_finite() => {
                amounts.insert(index, line.original * (1.0 + error.float()));
            }
            Place::Step(_) if line.stays => {
                let each = &line.base * &error;
                beside.extend(line.unit.as_ref().map(|u| u.scaled(each.float())));
            }
            _ => {}
        }
    }
    // Water that stands in for ice, by how much it was rounded, per batch as written.
    for off in melt.values() {
        let per_batch = off.over(factor).map_or(0.0, |o| o.float());
        beside.push(Mixture::water(per_batch * crate::relation::ethanol_density::WATER_DENSITY_20C / 1000.0, 20.0));
    }
    let made = Rerun::new(computed, plan.recipe, facts).make(&amounts, &[]);
    let mut batch = made.batch().mixture.clone();
    let read = &made.stages[made.balance];
    let mut read_mixture = read.mixture.clone();
    let share = match (read.per_glass, &plan.glass, &plan.volume) {
        (true, Some(glass), Some(volume)) => glass.over(volume).map_or(1.0, |s| s.float()),
        _ => 1.0,
    };
    for one in &beside {
        read_mixture.pour(&one.scaled(share));
        batch.pour(one);
    }
    let known = batch.figure_volume().is_ok_and(|v| v > 0.0);
    (of(&read_mixture), known.then_some(batch))
}
