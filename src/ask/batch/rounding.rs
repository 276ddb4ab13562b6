//! Rounding a batch to the tools, what that does to the drink, and measuring more finely where it does too much.
//!
//! In: a plan, a factor, the kit. Out: [`Pour`]s, and whether they keep within the house's tolerance.
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

/// How the three figures answer to a line, each where it is known.
pub type Answers = [Option<Exact>; 3];

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
/// A line that fills up answers to nothing, since it follows the others.
#[must_use]
pub fn answers(
    computed: &Computed,
    plan: &Plan,
    made: &Made,
    facts: &BTreeMap<Target, Mixture>,
) -> Vec<Option<Answers>> {
    let ready = Rerun::new(computed, plan.recipe, facts);
    let base = figures(made);
    let answer = |line: &Line| -> Option<Answers> {
        let after = match (&line.place, &line.unit) {
            (Place::Mix(index), _) if line.fills_to.is_none() && line.original.is_finite() => {
                figures(&ready.make(&BTreeMap::from([(*index, line.original * (1.0 + STEP))]), &[]))
            }
            (Place::Step(_), Some(water)) if line.melt => {
                let mut more = made.stages[made.balance].mixture.clone();
                more.pour(&water.scaled(line.base.float() * STEP * share_read(plan, made)));
                of(&more)
            }
            _ => return None,
        };
        let one = |i: usize| Exact::computed((after[i]? - base[i]?) / STEP);
        Some([one(0), one(1), one(2)])
    };
    plan.lines.iter().map(answer).collect()
}

/// How much of a batch the mixture is that figures are read of: all of it, or one glass.
fn share_read(plan: &Plan, made: &Made) -> f64 {
    match (made.stages[made.balance].per_glass, &plan.glass, &plan.volume) {
        (true, Some(glass), Some(volume)) => glass.over(volume).map_or(1.0, |s| s.float()),
        _ => 1.0,
    }
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

/// Measures a recipe's lines for a factor; a batch that is to be `ready` has water for its ice.
#[must_use]
pub fn measured(
    plan: &Plan,
    factor: &Exact,
    answers: &[Option<Answers>],
    kit: &Kit,
    view: View,
    ready: bool,
) -> Vec<Pour> {
    let mut pours: Vec<(Pour, Care)> = Vec::new();
    for (number, line) in plan.lines.iter().enumerate().filter(|(_, l)| Plan::pours(l, ready)) {
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
            if beyond(pours.iter().map(|(p, _)| p), answers, kit) == [false; 3] {
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

/// A line measured as an amount, whatever it is counted in otherwise.
#[must_use]
pub fn as_amount(kit: &Kit, line: &Line, exact: &Exact, care: Care, view: View) -> Measured {
    kit.tools.measure(exact, line.dimension, line.written, line.density.as_ref(), care, view)
}

fn measure(kit: &Kit, line: &Line, number: usize, exact: Exact, times: Exact, care: Care, view: View) -> Pour {
    let Some(pieces) = &line.pieces else {
        let measured = as_amount(kit, line, &exact, care, view);
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
        as_amount(kit, line, &exact, care, view)
    };
    Pour { line: number, times, exact, measured, take }
}

/// Which figures the rounding moves beyond the house's tolerance, as far as the answers tell.
#[must_use]
pub fn beyond<'p>(pours: impl Iterator<Item = &'p Pour> + Clone, answers: &[Option<Answers>], kit: &Kit) -> [bool; 3] {
    [0, 1, 2].map(|figure| {
        let moved = |p: &Pour| Some(&p.error() * answers[p.line].as_ref()?[figure].as_ref()?);
        pours.clone().filter_map(moved).sum::<Exact>().abs() > kit.tolerance[figure]
    })
}

/// The pour that moves a figure most, up where `up`.
#[must_use]
pub fn mover<'p>(pours: &'p [Pour], answers: &[Option<Answers>], figure: usize, up: bool) -> Option<&'p Pour> {
    let moved = |p: &Pour| {
        let by = &p.error() * answers[p.line].as_ref()?[figure].as_ref()?;
        Some(if up { by } else { &Exact::zero() - &by })
    };
    pours.iter().filter_map(|p| Some((moved(p)?, p))).max_by(|a, b| a.0.cmp(&b.0)).map(|(_, p)| p)
}

/// The recipe with its pours as measured, by the true model; other amounts of what the processes take in are poured into its
/// end, where they change figures nearly as they would have before.
#[must_use]
pub fn as_measured(
    computed: &Computed,
    plan: &Plan,
    pours: &[Pour],
    facts: &BTreeMap<Target, Mixture>,
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
    let made = Rerun::new(computed, plan.recipe, facts).make(&amounts, &[]);
    let mut batch = made.batch().mixture.clone();
    let read = &made.stages[made.balance];
    let mut read_mixture = read.mixture.clone();
    let share = share_read(plan, &made);
    for one in &beside {
        read_mixture.pour(&one.scaled(share));
        batch.pour(one);
    }
    let known = batch.figure_volume().is_ok_and(|v| v > 0.0);
    (of(&read_mixture), known.then_some(batch))
}
