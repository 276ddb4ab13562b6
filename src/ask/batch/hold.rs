//! Holding what is measured within what is in stock: no tool rounds up beyond what there is.
//!
//! Where it would, and nothing else is still to be measured of the same stock, all that is left of it goes in: that is less than
//! half a step more, and nobody has to measure it. Before others it is measured more finely, or down to the mark below.

use std::collections::BTreeMap;

use super::expand::{Share, Tree};
use super::kit::Kit;
use super::limit::{Count, Limit, Taken, together};
use super::rounding::{Pour, as_amount};
use super::stock::Held;
use crate::measure::tool::{Care, Measured, Tool, View};
use crate::measure::{Dimension, Exact, Unit};
use crate::recipe::run::Computed;

/// One stock, and what each line takes of it.
struct Ceiling<'t> {
    limit: &'t Limit,
    /// Exact at first, then as measured.
    takes: Vec<Taken<'t>>,
    /// Which of them have been measured.
    done: Vec<bool>,
}

/// Everything that may not be exceeded.
pub struct Ceilings<'t> {
    list: Vec<Ceiling<'t>>,
    tree: &'t Tree,
}

impl<'t> Ceilings<'t> {
    /// What limits, and house-made parts of which enough is in stock.
    pub fn new(computed: &Computed, tree: &'t Tree, held: &'t Held, shares: &BTreeMap<usize, Share>) -> Self {
        // Of what is made again there is no end.
        let enough = held.parts.iter().filter(|(part, limit)| {
            shares.get(part).is_some_and(|s| !s.factor.value.is_positive())
                && held.limits.iter().all(|l| l.target != limit.target)
        });
        let list = held.limits.iter().chain(enough.map(|(_, limit)| limit)).filter_map(|limit| {
            let mut takes = limit.takings(computed, tree, shares, true).ok()?;
            if limit.count == Count::Pieces {
                for taken in &mut takes {
                    taken.amount.value = taken.amount.value.ceil();
                }
            }
            let done = vec![false; takes.len()];
            Some(Ceiling { limit, takes, done })
        });
        Self { list: list.collect(), tree }
    }

    /// Holds the pours of one recipe; recipes come in the order in which they are made.
    pub fn hold(&mut self, recipe: usize, pours: &mut [Pour], kit: &Kit, view: View) {
        let plan = &self.tree.plans[&recipe];
        for pour in pours {
            let line = &plan.lines[pour.line];
            let of = |c: &Ceiling<'_>| c.takes.iter().position(|t| t.recipe == recipe && t.line == pour.line);
            let places: Vec<(usize, usize)> =
                self.list.iter().enumerate().filter_map(|(i, c)| Some((i, of(c)?))).collect();
            for &(i, t) in &places {
                let ceiling = &self.list[i];
                let (limit, pieces) = (ceiling.limit, line.pieces.as_ref());
                if limit.count == Count::Grams && pieces.is_some_and(|p| p.fruit.is_some()) {
                    // A weighed heap of fruit is pressed as it is.
                    pour.take = None;
                }
                // Whole pieces were counted when the factor was found.
                if limit.count == Count::Pieces && pieces.is_some() {
                    continue;
                }
                let room = ceiling.room(t);
                let takes = ceiling.takes[t].amount.value.clone();
                let taken = |m: &Measured| (&takes * &m.base).over(&pour.exact).unwrap_or_else(Exact::zero);
                if taken(&pour.measured) <= room {
                    continue;
                }
                let fits = |m: &Measured| taken(m) <= room;
                // Juice that is still in the fruit is measured as it comes.
                let pressed = pieces.is_some_and(|p| p.fruit.is_some());
                let once = pour.times == Exact::one();
                pour.measured = match ceiling.last(t).filter(|_| once && !pressed) {
                    Some(tool) => {
                        let base = (&pour.exact * &room).over(&takes).unwrap_or_else(|| pour.exact.clone());
                        all(limit.count, line.dimension, tool, base, room, kit, view)
                    }
                    None => {
                        let cares = [Care::Usual, Care::Finer, Care::Weighed];
                        let tried = cares.map(|care| as_amount(kit, line, &pour.exact, care, view));
                        let off = |m: &Measured| (&m.base - &pour.exact).abs();
                        let below = || tried.iter().filter_map(Measured::mark_below).filter(fits).min_by_key(off);
                        let found = tried.iter().find(|m| fits(m)).cloned().or_else(below);
                        let unit = if line.dimension == Dimension::Mass { Unit::G } else { Unit::Ml };
                        found.unwrap_or_else(|| Measured::too_little(&pour.exact, unit))
                    }
                };
                if pieces.is_some_and(|p| p.whole) {
                    pour.take = None;
                }
            }
            for (i, t) in places {
                let ceiling = &mut self.list[i];
                ceiling.done[t] = true;
                if ceiling.limit.count != Count::Pieces || line.pieces.is_none() {
                    let more = &Exact::one() + &pour.error();
                    ceiling.takes[t].amount = ceiling.takes[t].amount.times(&more);
                }
            }
        }
    }
}

impl Ceiling<'_> {
    /// Whether what another line takes is not there for this one: it comes off the other side of the same fruit.
    fn shares(&self, line: usize, other: usize) -> bool {
        let (a, b) = (self.takes[line].side, self.takes[other].side);
        a.is_some() && b.is_some() && a != b
    }

    fn others(&self, line: usize) -> impl Iterator<Item = usize> + '_ {
        (0..self.takes.len()).filter(move |o| *o != line && !self.shares(line, *o))
    }

    /// How much of it there is for a line.
    fn room(&self, line: usize) -> Exact {
        let others = self.others(line).map(|o| (self.takes[o].side, self.takes[o].amount.clone()));
        &self.limit.most - &together(others).value
    }

    /// What is left, where nothing else is still to be measured of it: all of it, or the rest.
    fn last(&self, line: usize) -> Option<Tool> {
        let mut others = self.others(line).peekable();
        if others.peek().is_none() {
            return Some(Tool::All);
        }
        others.all(|o| self.done[o]).then_some(Tool::Rest)
    }
}

/// All that there is for a line, in the unit in which the stock was stated.
fn all(count: Count, dimension: Dimension, tool: Tool, base: Exact, room: Exact, kit: &Kit, view: View) -> Measured {
    let (amount, unit) = match (count, dimension, view) {
        (Count::Ml, _, View::Ounces) => (room.over(&kit.tools.ounce).unwrap_or_else(Exact::zero), Unit::Oz),
        (Count::Ml, ..) => (room, Unit::Ml),
        (Count::Grams, ..) => (room, Unit::G),
        (Count::Pieces, Dimension::Volume, _) => (base.clone(), Unit::Ml),
        (Count::Pieces, Dimension::Mass, _) => (base.clone(), Unit::G),
    };
    Measured { amount, unit, base, tool, step: Exact::zero(), loads: 1, coarse: false }
}
