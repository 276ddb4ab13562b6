//! What may be poured: the recipe's pours and what is offered beside them, as they stand in the glass, with their bounds.
//!
//! Without a list of names these vary: liquids and solids that are more than [`SMALL`] of the mix by volume and whose amount is
//! measured. Not varied unless named: dashes and pinches below that, what is flagged `scale: taste`, whole pieces, shares of
//! the liquid, floats, and a fill-up (which fills what is left, unless the volume itself is dialled). Never varied: what is
//! held, a rinse, and what a process or the finish pours.

use std::collections::BTreeMap;

use rust_decimal::prelude::ToPrimitive;

use super::{Named, Refusal, Request};
use crate::measure::{Amount, Dimension, float};
use crate::mixture::Mixture;
use crate::notebook::pantry::Form;
use crate::notebook::pour::Role;
use crate::problem::terminal::clean;
use crate::recipe::graph::{Graph, Measure, Pour as Line};
use crate::recipe::names::{self, Target};
use crate::recipe::run::{Computed, Made, Poured, dimension};

/// A pour below this share of the mix's volume is left alone unless it is named.
pub const SMALL: f64 = 0.02;
/// No pour grows beyond so many times the batch, or beyond the volume that is wanted if that is more.
pub const MOST_BATCHES: f64 = 100.0;
/// A change is measured against the pour itself, but against no less than this share of the batch.
pub const LEAST_SCALE: f64 = 0.01;

/// Where a pour stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// In the recipe's mix, by its number.
    Mix(usize),
    /// Beside it.
    Extra(Target),
}

/// A pour that `dial` knows.
#[derive(Debug, Clone, PartialEq)]
pub struct Pour {
    /// Where it stands.
    pub place: Place,
    /// What it is.
    pub target: Target,
    /// Its name.
    pub name: String,
    /// Millilitres or grams.
    pub dimension: Dimension,
    /// How much there is before anything is changed, ml or g; NaN where that is not known.
    pub start: f64,
    /// How much its change weighs, where it may change.
    pub weight: Option<f64>,
    /// What its change is measured against, ml or g.
    pub scale: f64,
    /// Least that there may be, ml or g.
    pub low: f64,
    /// Most that there may be, ml or g.
    pub high: f64,
    /// Whether its amount follows from the others: a fill-up, a share of the liquid.
    pub follows: bool,
    /// Whether the recipe holds it.
    pub held: bool,
    /// Volume of one unit of it, ml.
    pub unit_ml: f64,
    /// Whether it is water and nothing else.
    pub water: bool,
}

/// What a name means, or that it means nothing.
///
/// # Errors
/// A [`Refusal`] with the nearest names.
pub fn named(graph: &Graph, name: &str) -> Result<Target, Refusal> {
    if let Some(found) = graph.names.find(name, false) {
        return Ok(found.target);
    }
    let help = match graph.names.near(name).as_slice() {
        [] => "write it as in the recipe or the pantry".to_owned(),
        near => {
            format!("did you mean {}?", near.iter().map(|n| format!("`{}`", clean(n))).collect::<Vec<_>>().join(", "))
        }
    };
    Err(Refusal::new(format!("nothing is called `{}`", clean(name)), help))
}

/// What of the things used a name must mean, where it is none of theirs: the only one that has all its words. A name that means
/// something else must end theirs: `pear juice` is taken as `pressed pear juice`, and `cream` never as `cream sherry`.
pub fn meant<'u>(
    graph: &Graph,
    wanted: &str,
    used: impl Iterator<Item = (&'u str, Target)>,
) -> Option<(String, Target)> {
    let wanted_key = names::key(wanted);
    let words: Vec<&str> = wanted_key.split(' ').filter(|w| !w.is_empty()).collect();
    let known = graph.names.find(wanted, false).is_some();
    let fits = |name: &str| {
        let key = names::key(name);
        let of: Vec<&str> = key.split(' ').collect();
        !words.is_empty() && if known { of.ends_with(&words) } else { words.iter().all(|w| of.contains(w)) }
    };
    let mut found: Option<(String, Target)> = None;
    for (name, target) in used.filter(|(name, _)| fits(name)) {
        match &found {
            Some((_, other)) if *other != target => return None,
            Some(_) => {}
            None => found = Some((name.to_owned(), target)),
        }
    }
    found
}

/// The words of a line that name the target, without state or preparation: a bartender's own, where they do.
pub fn as_written(graph: &Graph, text: &str, target: Target) -> String {
    let cuts = text.char_indices().rev().filter(|(_, c)| matches!(c, ',' | '(')).map(|(i, _)| i);
    for cut in std::iter::once(text.len()).chain(cuts) {
        let mut name = text[..cut].trim();
        loop {
            if graph.names.get(name) == Some(target) {
                return name.to_owned();
            }
            let Some((_, rest)) = name.split_once(' ') else { break };
            name = rest.trim_start();
        }
    }
    graph.name(target).to_owned()
}

/// One unit of a target by the facts of today: one ml of a liquid, one g of a solid.
pub fn unit(computed: &Computed, facts: &BTreeMap<Target, Mixture>, target: Target) -> Option<Mixture> {
    match target {
        Target::Ingredient(i) => facts.get(&target).or(computed.graph.pantry.ingredients[i].unit.as_ref()).cloned(),
        Target::Recipe(i) => Some(facts.get(&target).unwrap_or(&computed.made[i].batch().mixture).portion(1.0)),
    }
}

fn is_solid(graph: &Graph, target: Target) -> bool {
    matches!(target, Target::Ingredient(i) if graph.pantry.ingredients[i].form != Form::Liquid)
}

struct Gathering<'a> {
    computed: &'a Computed,
    recipe: usize,
    request: &'a Request,
    pours: Vec<Pour>,
}

/// The pours of a recipe for a request; `written` is the recipe by today's facts in the written amounts.
///
/// # Errors
/// A [`Refusal`] where a name means nothing here, or names what never varies.
pub fn gather(computed: &Computed, recipe: usize, written: &Made, request: &Request) -> Result<Vec<Pour>, Refusal> {
    let mut all = Gathering { computed, recipe, request, pours: Vec::new() };
    all.lines(written);
    all.poured()?;
    all.vary(written)?;
    all.bounds(written);
    Ok(all.pours)
}

/// Something that the recipe does not pour, free to vary.
///
/// # Errors
/// A [`Refusal`] where it cannot go in.
pub fn offered(
    computed: &Computed,
    recipe: usize,
    written: &Made,
    request: &Request,
    name: &str,
) -> Result<Pour, Refusal> {
    let mut all = Gathering { computed, recipe, request, pours: Vec::new() };
    let target = named(&computed.graph, name)?;
    let at = all.offer(name, target)?;
    all.pours[at].weight = Some(1.0);
    all.bounds(written);
    Ok(all.pours.swap_remove(at))
}

impl Gathering<'_> {
    fn lines(&mut self, written: &Made) {
        let node = &self.computed.graph.nodes[self.recipe];
        for (index, line) in node.mix.iter().enumerate() {
            let Some(line) = line else { continue };
            let poured = written.pours.get(index).and_then(Option::as_ref);
            let dimension = dimension(&line.measure);
            self.pours.push(Pour {
                place: Place::Mix(index),
                target: line.target,
                name: as_written(&self.computed.graph, &line.line.name.value, line.target),
                dimension,
                start: amount(line, poured).unwrap_or(f64::NAN),
                weight: None,
                scale: 1.0,
                low: 0.0,
                high: f64::INFINITY,
                // What is in the glass already no longer follows anything.
                follows: self.request.poured.is_empty() && matches!(line.measure, Measure::UpTo(_) | Measure::Share(_)),
                held: line.line.hold,
                unit_ml: poured.map_or(1.0, |p| per(p, dimension).map_or(1.0, |n| p.ml / n)),
                water: poured.is_some_and(|p| super::target::is_water(&p.mixture)),
            });
        }
    }

    /// Places of a target among the pours, those that a list may name.
    fn places(&self, target: Target) -> Vec<usize> {
        let mix = &self.computed.graph.nodes[self.recipe].mix;
        let rinse =
            |place| matches!(place, Place::Mix(i) if mix[i].as_ref().is_some_and(|l| l.line.role == Role::Rinse));
        let fits = |p: &Pour| p.target == target && !rinse(p.place);
        self.pours.iter().enumerate().filter(|(_, p)| fits(p)).map(|(i, _)| i).collect()
    }

    fn poured(&mut self) -> Result<(), Refusal> {
        for (name, amount) in &self.request.poured {
            let target = named(&self.computed.graph, name)?;
            let mut places = self.places(target);
            if places.is_empty() {
                places.push(self.offer(name, target)?);
            }
            let whole: f64 = places.iter().map(|i| self.pours[*i].start).sum();
            let even = 1.0 / places.len() as f64;
            for i in places {
                // Where a name stands twice, the glass holds both in the recipe's proportion.
                let share = if whole > 0.0 { self.pours[i].start / whole } else { even };
                self.pours[i].start = self.based(&self.pours[i], *amount)? * share;
            }
        }
        Ok(())
    }

    /// An amount in a pour's own dimension.
    fn based(&self, pour: &Pour, amount: Amount) -> Result<f64, Refusal> {
        let base = amount.base(&self.computed.graph.notes.house.units).and_then(|d| d.to_f64());
        let base = base.ok_or_else(|| {
            Refusal::new(format!("so much {} cannot be poured", clean(&pour.name)), "check the number and its unit")
        })?;
        if amount.unit.dimension() == pour.dimension {
            return Ok(base);
        }
        let unit = unit(self.computed, &self.request.facts, pour.target);
        let density = unit.as_ref().and_then(|u| u.figure_density().ok()).filter(|d| *d > 0.0).ok_or_else(|| {
            let other = if pour.dimension == Dimension::Volume { "in ml" } else { "in g" };
            Refusal::new(format!("the density of {} is not known", clean(&pour.name)), format!("measure it {other}"))
        })?;
        Ok(if pour.dimension == Dimension::Volume { base / density } else { base * density })
    }

    fn vary(&mut self, written: &Made) -> Result<(), Refusal> {
        let Some(wanted) = &self.request.vary else {
            self.by_default(written);
            return Ok(());
        };
        for Named { name, weight } in wanted {
            let target = named(&self.computed.graph, name)?;
            let mut places = self.places(target);
            if places.is_empty() {
                places.push(self.offer(name, target)?);
            }
            if places.iter().all(|i| self.pours[*i].held) {
                return Err(Refusal::new(
                    format!("the recipe holds `{}`", clean(&self.pours[places[0]].name)),
                    "take it out of `--vary`, or take `hold: true` out of the recipe",
                ));
            }
            for i in places {
                let pour = &mut self.pours[i];
                if !pour.held {
                    pour.weight = Some(*weight);
                    pour.follows = false;
                }
            }
        }
        Ok(())
    }

    fn by_default(&mut self, written: &Made) {
        let node = &self.computed.graph.nodes[self.recipe];
        let mix_ml = written.stages[0].mixture.volume_ml();
        let volume = self.request.targets.iter().any(|t| t.figure == super::Figure::Volume);
        for pour in &mut self.pours {
            let Place::Mix(index) = pour.place else { continue };
            let Some(line) = &node.mix[index] else { continue };
            let measured = match line.measure {
                Measure::Volume(_) | Measure::Mass(_) | Measure::Parts(_) | Measure::PartOf { .. } => true,
                Measure::UpTo(_) => volume,
                Measure::Pieces { .. } | Measure::Share(_) => false,
            };
            let small = pour.start * pour.unit_ml <= SMALL * mix_ml;
            let role = matches!(line.line.role, Role::Mix | Role::Top);
            if measured && role && !small && !pour.held && !line.line.to_taste_when_scaled {
                pour.weight = Some(1.0);
                pour.follows = false;
            }
        }
    }

    /// Puts something that the recipe does not pour beside it, none of it yet.
    fn offer(&mut self, name: &str, target: Target) -> Result<usize, Refusal> {
        let graph = &self.computed.graph;
        let name = as_written(graph, name, target);
        let node = &graph.nodes[self.recipe];
        if let Target::Recipe(i) = target
            && graph.closure(i).contains(&self.recipe)
        {
            return Err(Refusal::new(
                format!("`{}` is made of what it would go into", clean(&name)),
                "name something else in its place",
            ));
        }
        let step = node.process.iter().find(|s| s.pours.values().flatten().any(|p| p.target == target));
        let finish = node.finish.iter().flatten().any(|p| p.target == target);
        if step.is_some() || finish || node.mix.iter().flatten().any(|p| p.target == target) {
            let by = step.map_or("in the glass, last".to_owned(), |s| format!("by `{}`", s.line.process.name()));
            return Err(Refusal::new(
                format!("`{}` goes in {by}, which is not dialled", clean(&name)),
                "change that line of the recipe, and dial again",
            ));
        }
        let unit = unit(self.computed, &self.request.facts, target);
        self.pours.push(Pour {
            place: Place::Extra(target),
            target,
            name,
            dimension: if is_solid(graph, target) { Dimension::Mass } else { Dimension::Volume },
            start: 0.0,
            weight: None,
            scale: 1.0,
            low: 0.0,
            high: f64::INFINITY,
            follows: false,
            held: false,
            unit_ml: unit.as_ref().map_or(1.0, Mixture::volume_ml),
            water: unit.as_ref().is_some_and(super::target::is_water),
        });
        Ok(self.pours.len() - 1)
    }

    fn bounds(&mut self, written: &Made) {
        let node = &self.computed.graph.nodes[self.recipe];
        let only_adds = !self.request.poured.is_empty();
        let volume = self.request.targets.iter().find(|t| t.figure == super::Figure::Volume).map_or(0.0, |t| t.wanted);
        for pour in &mut self.pours {
            let glass =
                matches!(pour.place, Place::Mix(i) if node.mix[i].as_ref().is_some_and(|l| l.line.role != Role::Mix));
            let whole = if glass { super::target::read_at(written) } else { written.batch() };
            let batch = match pour.dimension {
                Dimension::Volume => whole.mixture.volume_ml(),
                Dimension::Mass => whole.mixture.mass_g(),
            };
            let start = if pour.start.is_finite() { pour.start } else { 0.0 };
            pour.scale = start.max(LEAST_SCALE * batch).max(f64::MIN_POSITIVE);
            pour.low = if only_adds { start } else { 0.0 };
            pour.high = start.max(MOST_BATCHES * batch).max(volume);
        }
    }
}

/// How much of a pour the recipe says, ml or g by its dimension.
fn amount(line: &Line, poured: Option<&Poured>) -> Option<f64> {
    match &line.measure {
        Measure::Volume(value) | Measure::Mass(value) => Some(float(*value)),
        Measure::Pieces { count, each, .. } => Some(float(*count) * float(*each)),
        Measure::PartOf { .. } | Measure::Share(_) | Measure::Parts(_) | Measure::UpTo(_) => {
            poured.and_then(|p| per(p, dimension(&line.measure)))
        }
    }
}

/// What was poured, in ml or in g.
pub fn per(poured: &Poured, dimension: Dimension) -> Option<f64> {
    match dimension {
        Dimension::Volume => Some(poured.ml),
        Dimension::Mass => poured.grams,
    }
}
