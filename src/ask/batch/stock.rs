//! What is in stock, as it was said: which names of the recipe it means, what limits, what is used up before more is made.
//!
//! In: names and amounts. Out: [`Held`], or a [`Refusal`] for what says nothing here.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::document::TakenAs;
use super::expand::Tree;
use super::limit::{Count, Limit};
use super::plan::Line;
use crate::ask::dial::{Refusal, pours};
use crate::measure::{self, Dimension, Exact, show};
use crate::notebook::fields::nearest;
use crate::problem::terminal::clean;
use crate::recipe::names::{self, Target};
use crate::recipe::run::{Computed, share_of};

/// How much there is.
#[derive(Debug, Clone, PartialEq)]
pub enum Stock {
    /// By volume or mass.
    Measured(measure::Amount),
    /// So many, and the word for one where one was written.
    Counted(Decimal, Option<String>),
}

/// What is in stock.
#[derive(Debug, Clone, PartialEq)]
pub struct Have {
    /// Its name, as given.
    pub name: String,
    /// How much there is of it.
    pub stock: Stock,
}

/// Limits and stock of a request.
#[derive(Debug, Default)]
pub struct Held {
    /// What limits.
    pub limits: Vec<Limit>,
    /// House-made parts that are there already, ml by recipe.
    pub stock: BTreeMap<usize, Exact>,
    /// The same as they were stated.
    pub parts: BTreeMap<usize, Limit>,
    /// Names that were taken for others.
    pub taken_as: Vec<TakenAs>,
}

/// What a list of stock means for a tree; `sized` says that a size is asked for.
///
/// # Errors
/// A [`Refusal`] for a name that means nothing or is not used, or a stock of nothing.
pub fn held(computed: &Computed, tree: &Tree, haves: &[Have], sized: bool) -> Result<Held, Refusal> {
    let mut limits: Vec<Limit> = Vec::new();
    let mut taken_as = Vec::new();
    for have in haves {
        let meant = meant(computed, tree, &have.name);
        taken_as.extend(meant.clone().map(|name| TakenAs { asked: have.name.trim().to_owned(), name }));
        let have = Have { name: meant.unwrap_or_else(|| have.name.clone()), stock: have.stock.clone() };
        let limit = match juice_of(computed, tree, &have) {
            Some(limit) => {
                let ml = show::volume(limit.most.float());
                let name = limit.target.map_or("juice", |t| computed.graph.name(t));
                taken_as.push(TakenAs { asked: limit.name.clone(), name: format!("{ml} of {name}") });
                limit
            }
            None => limit(computed, tree, &have)?,
        };
        if limits.iter().any(|l| l.key == limit.key || (l.target.is_some() && l.target == limit.target)) {
            return Err(Refusal::new(
                format!("`{}` is in stock twice", clean(&have.name)),
                "add both up into one `--have`",
            ));
        }
        limits.push(limit);
    }
    let mut held = Held { taken_as, ..Held::default() };
    for limit in &limits {
        let made_here = match limit.target {
            Some(Target::Recipe(i)) if tree.plans.contains_key(&i) => Some(i),
            _ => None,
        };
        // The same lines that limit the part limit what it is made of.
        let inputs_too = |part: usize| {
            let below = computed.graph.closure_of_content(part);
            let lines = || below.iter().filter_map(|r| tree.plans.get(r)).flat_map(|p| &p.lines);
            limits.iter().any(|other| !std::ptr::eq(other, limit) && lines().any(|l| other.takes(l)))
        };
        if let Some(part) = made_here {
            held.stock.insert(part, in_millilitres(limit, tree, part)?);
            held.parts.insert(part, limit.clone());
        }
        // Where it limits, none of it is ever made.
        if made_here.is_none_or(|part| !sized && !inputs_too(part)) {
            held.limits.push(limit.clone());
        }
    }
    Ok(held)
}

fn in_millilitres(limit: &Limit, tree: &Tree, part: usize) -> Result<Exact, Refusal> {
    let plan = &tree.plans[&part];
    let ml = match (limit.count, &plan.volume, &plan.mass) {
        (Count::Ml, ..) => Some(limit.most.clone()),
        (Count::Grams, Some(volume), Some(mass)) => (&limit.most * volume).over(mass),
        _ => None,
    };
    ml.ok_or_else(|| {
        let name = clean(&limit.name);
        let message = match limit.count {
            Count::Pieces => format!("the unit is missing: how much `{name}` is that?"),
            _ => format!("how much `{name}` that is cannot be told"),
        };
        Refusal::new(message, format!("write its volume, for example `--have \"{name}=400 ml\"`"))
    })
}

/// What goes in that a name must mean, where it names nothing there itself: the only thing that has all its words.
fn meant(computed: &Computed, tree: &Tree, wanted: &str) -> Option<String> {
    let graph = &computed.graph;
    let lines = || tree.plans.values().flat_map(|p| &p.lines).filter(|l| !l.melt);
    let key = names::key(wanted);
    let target = graph.names.find(wanted, false).map(|f| f.target);
    let own = |line: &Line| {
        let fruit = line.pieces.as_ref().is_some_and(|p| {
            p.fruit.as_deref() == Some(key.as_str())
                || (p.fruit.is_some() && target.is_some() && p.fruit_target == target)
        });
        fruit || (target.is_some() && line.target == target)
    };
    if lines().any(own) {
        return None;
    }
    pours::meant(graph, wanted, lines().filter_map(|l| Some((l.name.as_str(), l.target?)))).map(|(name, _)| name)
}

fn limit(computed: &Computed, tree: &Tree, have: &Have) -> Result<Limit, Refusal> {
    let graph = &computed.graph;
    let name = clean(&have.name);
    let target = graph.names.find(&have.name, false).map(|f| f.target);
    let key = names::key(&have.name);
    if target.is_none() && !graph.pantry.pressed.contains_key(&key) {
        return Err(Refusal::new(
            format!("nothing is called `{name}`"),
            near(tree, &have.name, graph.names.near(&have.name)),
        ));
    }
    let (most, count) = match &have.stock {
        Stock::Measured(amount) => {
            let base = amount.base(&graph.notes.house.units).map(Exact::decimal);
            let base = base.ok_or_else(|| {
                Refusal::new(format!("so much {name} cannot be in stock"), "check the number and its unit")
            })?;
            (base, if amount.unit.dimension() == Dimension::Volume { Count::Ml } else { Count::Grams })
        }
        Stock::Counted(count, None) => (Exact::decimal(*count), Count::Pieces),
        Stock::Counted(number, Some(word)) => {
            let portion = match target {
                Some(Target::Ingredient(i)) => graph.pantry.ingredients[i].portion(Some(word)),
                _ => None,
            };
            let each =
                portion.and_then(|p| p.amount.base(&graph.notes.house.units).map(|b| (b, p.amount.unit.dimension())));
            let Some((each, dimension)) = each else {
                return Err(Refusal::new(
                    format!("the pantry does not know how much one {} of {name} is", clean(&names::singular(word))),
                    format!("write a volume or a mass, for example `--have \"{name}=640 ml\"`"),
                ));
            };
            let count = if dimension == Dimension::Volume { Count::Ml } else { Count::Grams };
            (&Exact::decimal(*number) * &Exact::decimal(each), count)
        }
    };
    if !most.is_positive() {
        return Err(Refusal::new(
            format!("there is no `{name}` in stock, so nothing can be made of it"),
            "leave it out to see what is needed of it",
        ));
    }
    let limit = Limit { name: have.name.trim().to_owned(), target, key, most, count };
    let used = tree.plans.values().flat_map(|p| &p.lines).any(|l| limit.takes(l));
    if used {
        return Ok(limit);
    }
    let top = clean(&graph.notes.recipes[tree.top].name.value);
    let known = limit.target.map_or_else(|| name.clone(), |t| clean(graph.name(t)));
    Err(Refusal::new(
        format!("`{known}` does not go into {top}, so how much of it there is says nothing"),
        near(tree, &have.name, Vec::new()),
    ))
}

/// Fruit in stock of which only the juice goes in, and that by its volume: as much juice as it gives.
fn juice_of(computed: &Computed, tree: &Tree, have: &Have) -> Option<Limit> {
    let graph = &computed.graph;
    let key = names::key(&have.name);
    let pressed = graph.pantry.pressed.get(&key)?;
    let target = Some(Target::Ingredient(pressed.juice));
    let lines = || tree.plans.values().flat_map(|p| &p.lines);
    let fruit = graph.names.find(&have.name, false).map(|f| f.target);
    let whole =
        |l: &Line| (fruit.is_some() && l.target == fruit) || l.pieces.as_ref().is_some_and(|p| p.fruit.is_some());
    if !lines().any(|l| l.target == target) || lines().any(whole) {
        return None;
    }
    // The house's own fruit first, by its piece and yield; else the generic one.
    let density = graph.pantry.ingredients[pressed.juice].unit.as_ref()?.figure_density().ok()?;
    let own = match fruit {
        Some(Target::Ingredient(i)) => {
            let ingredient = &graph.pantry.ingredients[i];
            let piece = ingredient.item.piece.as_ref().filter(|p| p.amount.unit.dimension() == Dimension::Mass);
            let grams = piece.and_then(|p| p.amount.base(&graph.notes.house.units)).map(measure::float);
            grams.zip(share_of(ingredient, "juice")).map(|(g, share)| (g * share / density, g))
        }
        _ => None,
    };
    let (ml, grams) = match own {
        Some((ml, grams)) => (ml, Some(grams)),
        None => (pressed.juice_ml, pressed.piece_g),
    };
    let pieces = match &have.stock {
        Stock::Counted(n, None) => Exact::decimal(*n),
        Stock::Measured(amount) if amount.unit.dimension() == Dimension::Mass => {
            let all = Exact::decimal(amount.base(&graph.notes.house.units)?);
            all.over(&Exact::computed(grams?)?)?
        }
        _ => return None,
    };
    let most = Exact::computed((&pieces * &Exact::computed(ml)?).float()).filter(Exact::is_positive)?;
    Some(Limit { name: have.name.trim().to_owned(), target, key, most, count: Count::Ml })
}

/// The nearest names of what goes in; else those of the pantry; else all that goes in.
fn near(tree: &Tree, wanted: &str, others: Vec<String>) -> String {
    let mut used: Vec<&str> =
        tree.plans.values().flat_map(|p| &p.lines).filter(|l| !l.melt).map(|l| l.name.as_str()).collect();
    used.sort_unstable();
    used.dedup();
    let own = nearest(wanted, used.iter().copied());
    // `pear juice` for `pressed pear juice` is further off than a slip of the finger, but it is what was meant.
    let holds = |name: &&&str| {
        names::key(wanted).split(' ').any(|w| w.len() > 2 && names::key(name).split(' ').any(|n| n == w))
    };
    let shown: Vec<String> = match (own.is_empty(), others.is_empty()) {
        (false, _) => own.iter().map(ToString::to_string).collect(),
        (true, _) if used.iter().any(|n| holds(&n)) => used.iter().filter(holds).map(ToString::to_string).collect(),
        (true, false) => others,
        (true, true) => {
            let list: Vec<String> = used.iter().map(|n| format!("`{}`", clean(n))).collect();
            return format!("what goes in: {}", list.join(", "));
        }
    };
    let list: Vec<String> = shown.iter().map(|n| format!("`{}`", clean(n))).collect();
    format!("did you mean {}?", list.join(" or "))
}
