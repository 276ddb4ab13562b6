//! How much of a recipe a stock allows: what each line takes of it, the largest factor that leaves it enough, what is missing.
//!
//! What is bought in, and fruit, always limits. A house-made part limits too where nothing else says how much is wanted; where a
//! size is asked for, or where what it is made of is in stock as well, it is used up first and the rest of it is made: `stock.rs`
//! decides that.

use std::collections::{BTreeMap, BTreeSet};

use super::document::{Amount, Fruit, Short};
use super::expand::{Growing, Share, Tree};
use super::plan::{Line, Pieces};
use super::stock::Held;
use crate::ask::dial::Refusal;
use crate::measure::{Dimension, Exact};
use crate::problem::terminal::clean;
use crate::recipe::names::{self, Target};
use crate::recipe::run::Computed;

/// What a limit is counted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Count {
    /// Millilitres.
    Ml,
    /// Grams.
    Grams,
    /// Pieces.
    Pieces,
}

/// A name that limits.
#[derive(Debug, Clone)]
pub struct Limit {
    /// Its name, as given.
    pub name: String,
    /// What it is; `None` for a fruit that only its juice is known of.
    pub target: Option<Target>,
    /// The name as names are compared.
    pub(super) key: String,
    /// How much there is, in `count`.
    pub most: Exact,
    /// In what.
    pub count: Count,
}

/// What a line takes of something.
#[derive(Debug, Clone)]
pub struct Taken<'t> {
    /// Whose line.
    pub recipe: usize,
    /// Number of the line in its plan.
    pub line: usize,
    /// Which side of a fruit.
    pub side: Option<&'t str>,
    /// How much.
    pub amount: Growing,
}

/// What several lines take of one thing, in all: whole fruit adds up, and so does each side of it; but what is peeled can be
/// pressed as well, so of the sides only the one that takes most counts.
pub fn together<'s>(takes: impl IntoIterator<Item = (Option<&'s str>, Growing)>) -> Growing {
    let mut whole = Growing::zero();
    let mut sides: BTreeMap<&str, Growing> = BTreeMap::new();
    for (side, taken) in takes {
        let sum = side.map_or(&mut whole, |s| sides.entry(s).or_insert_with(Growing::zero));
        *sum = sum.plus(&taken);
    }
    // Among equals the one that grows least: below this point it is the one that counts.
    let most = sides.into_values().max_by(|a, b| a.value.cmp(&b.value).then_with(|| b.slope.cmp(&a.slope)));
    most.map_or(whole.clone(), |m| whole.plus(&m))
}

impl Limit {
    /// Whether a line takes of it.
    #[must_use]
    pub fn takes(&self, line: &Line) -> bool {
        let fruit = line.pieces.as_ref().is_some_and(|p| self.is_fruit(p));
        fruit || (line.target.is_some() && line.target == self.target)
    }

    /// Which side of the fruit a line takes; `None` where it takes all of it, or something else than fruit.
    #[must_use]
    pub fn side<'l>(&self, line: &'l Line) -> Option<&'l str> {
        // Juice in stock is no fruit that could be peeled as well.
        let fruit = line.pieces.as_ref().is_none_or(|p| p.fruit.is_none() || self.is_fruit(p));
        line.side.as_deref().filter(|_| fruit)
    }

    fn is_fruit(&self, pieces: &Pieces) -> bool {
        let named = pieces.fruit.is_some() && self.target.is_some() && pieces.fruit_target == self.target;
        named || pieces.fruit.as_deref() == Some(self.key.as_str())
    }

    /// What one batch of a line takes of it, in the limit's own count.
    ///
    /// # Errors
    /// A [`Refusal`] where it cannot be compared with what is in stock.
    pub fn of(&self, computed: &Computed, line: &Line) -> Result<Exact, Refusal> {
        let fruit = line.pieces.as_ref().filter(|p| self.is_fruit(p));
        let found = match (self.count, fruit) {
            (Count::Pieces, Some(p)) => Some(p.count.clone()),
            (Count::Grams, Some(p)) => p.weighs.as_ref().map(|w| w * &p.count),
            (Count::Ml, Some(_)) => None,
            (Count::Pieces, None) => match &line.pieces {
                Some(p) => Some(p.count.clone()),
                None => self.piece(computed).and_then(|(each, dimension)| match dimension {
                    Dimension::Volume => line.ml.as_ref()?.over(&each),
                    Dimension::Mass => line.grams.as_ref()?.over(&each),
                }),
            },
            (Count::Ml, None) => line.ml.clone(),
            (Count::Grams, None) => line.grams.clone(),
        };
        found.ok_or_else(|| {
            let name = clean(&self.name);
            match (self.count, fruit.is_some()) {
                (Count::Ml, true) => Refusal::new(
                    format!("{name} are counted or weighed, not poured"),
                    format!("write for example `--have \"{name}=12\"` or `--have \"{name}=2 kg\"`"),
                ),
                (Count::Grams, true) => Refusal::new(
                    format!("the pantry does not know what one of the {name} weighs"),
                    format!("count them, as in `--have \"{name}=12\"`, or add `piece: 100 g` to it in the pantry"),
                ),
                (Count::Pieces, _) if self.is_liquid(computed) => Refusal::new(
                    format!("the unit is missing: how much {name} is that?"),
                    format!("write for example `--have \"{name}=640 ml\"`"),
                ),
                (Count::Pieces, _) => Refusal::new(
                    format!("the pantry does not know how much one {name} is"),
                    "write a volume or a mass, or add for example `piece: 100 g` to it in the pantry",
                ),
                (count, false) => {
                    let other = if count == Count::Ml { "a mass" } else { "a volume" };
                    Refusal::new(
                        format!("the density of {name} is not known, so it cannot be compared with the recipe"),
                        format!("write {other}, or add `density: 1.05` (g/ml) to it in the pantry"),
                    )
                }
            }
        })
    }

    fn is_liquid(&self, computed: &Computed) -> bool {
        match self.target {
            Some(Target::Ingredient(i)) => computed.graph.pantry.ingredients[i].is_liquid(),
            Some(Target::Recipe(_)) => true,
            None => false,
        }
    }

    fn piece(&self, computed: &Computed) -> Option<(Exact, Dimension)> {
        let Some(Target::Ingredient(i)) = self.target else { return None };
        let portion = computed.graph.pantry.ingredients[i].portion(None)?;
        let base = portion.amount.base(&computed.graph.notes.house.units)?;
        Some((Exact::decimal(base), portion.amount.unit.dimension()))
    }

    /// All that a tree takes of it at some factor.
    ///
    /// # Errors
    /// As [`Limit::of`].
    pub fn need(&self, computed: &Computed, tree: &Tree, shares: &BTreeMap<usize, Share>) -> Result<Growing, Refusal> {
        Ok(together(self.takings(computed, tree, shares, false)?.into_iter().map(|t| (t.side, t.amount))))
    }

    /// What each line takes of it.
    ///
    /// # Errors
    /// As [`Limit::of`].
    pub fn takings<'t>(
        &self,
        computed: &Computed,
        tree: &'t Tree,
        shares: &BTreeMap<usize, Share>,
        whole_glasses: bool,
    ) -> Result<Vec<Taken<'t>>, Refusal> {
        let mut list = Vec::new();
        for (recipe, share) in shares {
            for (number, line) in tree.plans[recipe].lines.iter().enumerate().filter(|(_, l)| self.takes(l)) {
                let times = tree.times(*recipe, line, &share.factor, whole_glasses);
                let amount = times.times(&self.of(computed, line)?);
                list.push(Taken { recipe: *recipe, line: number, side: self.side(line), amount });
            }
        }
        Ok(list)
    }

    /// The largest factor that leaves it enough; `None` where nothing is taken of it.
    ///
    /// What is needed grows with the factor along straight pieces, ever steeper where a stock runs out; from far above, each
    /// step along the slope lands at or above the answer, and on it once the piece is the right one.
    ///
    /// # Errors
    /// As [`Limit::of`].
    pub fn factor(
        &self,
        computed: &Computed,
        tree: &Tree,
        stock: &BTreeMap<usize, Exact>,
    ) -> Result<Option<Exact>, Refusal> {
        let mut factor = Exact::whole(FAR);
        // Each recipe may run out of stock, and each line may be the side of a fruit that takes most.
        let bends: usize = tree.plans.values().map(|p| 1 + p.lines.len()).sum();
        for _ in 0..=2 * bends {
            let need = self.need(computed, tree, &tree.shares(&factor, stock, false))?;
            if need.value <= self.most {
                break;
            }
            let Some(back) = (&need.value - &self.most).over(&need.slope) else { return Ok(None) };
            factor = &factor - &back;
        }
        if factor == Exact::whole(FAR) {
            return Ok(None);
        }
        self.whole_pieces(computed, tree, stock, factor).map(Some)
    }

    /// Pieces are taken whole, line by line, so a factor that is just enough may be one piece too much.
    fn whole_pieces(
        &self,
        computed: &Computed,
        tree: &Tree,
        stock: &BTreeMap<usize, Exact>,
        mut factor: Exact,
    ) -> Result<Exact, Refusal> {
        if self.count != Count::Pieces {
            return Ok(factor);
        }
        for _ in 0..MOST_PIECES {
            let shares = tree.shares(&factor, stock, false);
            let mut next: Option<Exact> = None;
            let mut list = self.takings(computed, tree, &shares, false)?;
            for taken in &mut list {
                let whole = taken.amount.value.ceil();
                // Back to where this line takes one piece less.
                let spare = &taken.amount.value - &(&whole - &Exact::one());
                let back = spare.over(&taken.amount.slope).map(|b| &factor - &b);
                next = next.max(back);
                taken.amount.value = whole;
            }
            if together(list.into_iter().map(|t| (t.side, t.amount))).value <= self.most {
                break;
            }
            match next {
                Some(next) => factor = next,
                None => break,
            }
        }
        Ok(factor)
    }
}

/// What a line takes of something that has a name.
#[derive(Debug, Clone)]
pub struct Taking {
    /// Whose line.
    pub recipe: usize,
    /// Number of the line in its plan.
    pub line: usize,
    /// What one batch of the recipe takes.
    pub each: Exact,
    /// Which side of a fruit.
    pub side: Option<String>,
}

/// A name that can limit, and what each line takes of it, by what it can be counted in.
#[derive(Debug, Clone)]
pub struct Nameable {
    /// What it is called.
    pub name: String,
    /// What it is.
    pub target: Option<Target>,
    /// By count.
    pub takes: Vec<(Count, Vec<Taking>)>,
}

/// Everything whose stock can limit a tree, as its lines name it, in their order.
#[must_use]
pub fn nameable(computed: &Computed, tree: &Tree) -> Vec<Nameable> {
    let mut list: Vec<(Limit, Nameable)> = Vec::new();
    for recipe in &tree.order {
        for line in &tree.plans[recipe].lines {
            let fruit = line.pieces.as_ref().and_then(|p| Some((p.fruit.clone()?, p.fruit_target)));
            let own = line.target.map(|t| (line.name.clone(), Some(t)));
            let fruit = fruit.map(|(key, target)| (target.map_or(key, |t| computed.graph.name(t).to_owned()), target));
            for (name, target) in [own, fruit].into_iter().flatten() {
                let key = names::key(&name);
                if list.iter().any(|(l, _)| l.key == key || (target.is_some() && l.target == target)) {
                    continue;
                }
                let limit = Limit { name: name.clone(), target, key, most: Exact::one(), count: Count::Ml };
                list.push((limit, Nameable { name, target, takes: Vec::new() }));
            }
        }
    }
    for (limit, nameable) in &mut list {
        for count in [Count::Ml, Count::Grams, Count::Pieces] {
            limit.count = count;
            let mut takes = Vec::new();
            let mut all = true;
            for recipe in &tree.order {
                for (number, line) in tree.plans[recipe].lines.iter().enumerate().filter(|(_, l)| limit.takes(l)) {
                    match limit.of(computed, line) {
                        Ok(each) => {
                            let side = limit.side(line).map(str::to_owned);
                            takes.push(Taking { recipe: *recipe, line: number, each, side });
                        }
                        Err(_) => all = false,
                    }
                }
            }
            if all && !takes.is_empty() {
                nameable.takes.push((count, takes));
            }
        }
    }
    list.into_iter().map(|(_, n)| n).filter(|n| !n.takes.is_empty()).collect()
}

/// Fruit of which different sides are used: how many pieces of it a batch takes in all. A weighed heap is not counted.
#[must_use]
pub fn fruit(computed: &Computed, tree: &Tree, held: &Held, shares: &BTreeMap<usize, Share>) -> Vec<Fruit> {
    if tree.plans.values().flat_map(|p| &p.lines).filter(|l| l.side.is_some()).count() < 2 {
        return Vec::new();
    }
    let weighed = |n: &Nameable| {
        let same = |l: &Limit| l.key == names::key(&n.name) || (l.target.is_some() && l.target == n.target);
        held.limits.iter().any(|l| l.count == Count::Grams && same(l))
    };
    let used = |nameable: Nameable| {
        let (_, takes) = nameable.takes.into_iter().find(|(count, _)| *count == Count::Pieces)?;
        let mut list = Vec::new();
        for taking in &takes {
            let line = &tree.plans[&taking.recipe].lines[taking.line];
            let times = tree.times(taking.recipe, line, &shares[&taking.recipe].factor, true);
            let value = (&times.value * &taking.each).ceil();
            if value.is_positive() {
                list.push((taking.side.as_deref(), Growing { value, slope: Exact::zero() }));
            }
        }
        let sides: BTreeSet<&str> = list.iter().filter_map(|(side, _)| *side).collect();
        let sides: Vec<String> = sides.into_iter().map(str::to_owned).collect();
        (sides.len() > 1).then(|| Fruit { name: nameable.name, count: together(list).value, sides })
    };
    nameable(computed, tree).into_iter().filter(|n| !weighed(n)).filter_map(used).collect()
}

/// What a size takes of what limits it, and what of that is not there.
#[must_use]
pub fn short(computed: &Computed, tree: &Tree, held: &Held, factor: &Exact) -> Vec<Short> {
    let shares = tree.shares(factor, &held.stock, false);
    let missing = |limit: &Limit| {
        let mut takes = limit.takings(computed, tree, &shares, false).ok()?;
        if limit.count == Count::Pieces {
            for taken in &mut takes {
                taken.amount.value = taken.amount.value.ceil();
            }
        }
        let needed = together(takes.into_iter().map(|t| (t.side, t.amount))).value;
        let missing = &needed - &limit.most;
        let unit = match limit.count {
            Count::Ml => "ml",
            Count::Grams => "g",
            Count::Pieces => "piece",
        };
        let amount = |amount: Exact| Amount { amount, unit: unit.into() };
        missing.is_positive().then(|| Short {
            name: limit.name.clone(),
            needed: amount(needed),
            there: amount(limit.most.clone()),
            missing: amount(missing),
        })
    };
    held.limits.iter().filter_map(missing).collect()
}

/// A factor beyond anything that is made.
const FAR: u64 = 1_000_000_000_000;
/// More pieces than anybody counts back one by one.
const MOST_PIECES: usize = 10_000;
