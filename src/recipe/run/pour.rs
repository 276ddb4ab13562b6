//! Pours: an amount of an ingredient or of what another recipe makes, as a mixture; and the mix that they come to.

use super::step::share_of;
use super::{Maker, Poured, exactly, unknown_pour, unknown_stage};
use crate::measure::{Dimension, float};
use crate::mixture::{Mixture, Part, Quantity};
use crate::notebook::pantry::Form;
use crate::notebook::pour::{PourAmount, Role};
use crate::problem::{Problem, code};
use crate::process;
use crate::recipe::graph::{Fruit as FruitOf, Measure, Pour};
use crate::recipe::names::Target;
use crate::recipe::pantry;
use crate::source::Span;

/// Share of a mix's mass from which an unstated solid's volume shows: a gram dissolves to between 0.3 ml (salt) and 1.1 ml
/// (fat), so this much leaves the volume 0.4 % open at most, about the error of the volume model itself.
const LEAST_SHOWN: f64 = 0.005;

/// How much of a target.
#[derive(Clone, Copy)]
pub(super) enum HowMuch {
    Millilitres(f64),
    Grams(f64),
}

/// A pour that could not be worked out; the problem, unless it was reported elsewhere.
pub(super) type Fault = Option<Box<Problem>>;

impl Maker<'_> {
    /// A solid dissolves to a volume that depends on what it is made of. Where nobody stated that, and there is so much of it
    /// that it would show beside the volume model's own error, the volume of the mix is not known either.
    fn unknown_volume(&self, mixture: &mut Mixture, poured: &[Option<Poured>]) {
        let mass = mixture.mass_g();
        for (pour, poured) in self.node().mix.iter().zip(poured) {
            let (Some(pour), Some(poured)) = (pour, poured) else { continue };
            let Target::Ingredient(i) = pour.target else { continue };
            let sheet = &self.world.graph.pantry.ingredients[i].sheet;
            let unstated = sheet.solid && (sheet.sugar.is_none() || sheet.acid.is_none());
            if unstated && poured.mixture.mass_g() > LEAST_SHOWN * mass {
                let because =
                    format!("nobody stated what {} is made of, so how much room it takes is not known", sheet.name);
                mixture.gap(Quantity::Volume, because);
            }
        }
    }

    pub(super) fn mix(&self, problems: &mut Vec<Problem>) -> (Mixture, Vec<Option<Poured>>) {
        let room = self.bar().room_c;
        let mut mixture = Mixture::empty(room);
        if self.note().unread.mix {
            unknown_stage(&mut mixture, "a pour of the mix could not be read");
        }
        let mut poured: Vec<Option<Poured>> = vec![None; self.node().mix.len()];
        let parts_total: f64 = self
            .node()
            .mix
            .iter()
            .zip(&self.note().mix)
            // A part that means nothing yet is a part all the same.
            .map(|(pour, line)| match (pour.as_ref().map(|p| &p.measure), &line.amount) {
                (Some(Measure::Parts(n)), _) | (None, PourAmount::Parts(n)) => float(*n),
                _ => 0.0,
            })
            .sum();
        // Shares of the liquid's mass wait until the liquid is known.
        let mut extra = self.extra();
        for late in [false, true] {
            let liquid = mixture.clone();
            for (index, pour) in self.node().mix.iter().enumerate() {
                // What is new goes in before a fill-up, which then takes less.
                if pour.as_ref().is_some_and(|p| matches!(p.measure, Measure::UpTo(_))) {
                    extra.drain(..).for_each(|one| mixture.pour(&one));
                }
                let Some(pour) = pour else {
                    let line = &self.note().mix[index];
                    // What goes in the glass is told there.
                    if !late && line.role == Role::Mix {
                        unknown_pour(&mut mixture, &line.text.value);
                    }
                    continue;
                };
                if pour.line.role != Role::Mix || matches!(pour.measure, Measure::Share(_)) != late {
                    continue;
                }
                let one = match self.other_amount(index, pour) {
                    Some(other) => self.target(pour.target, other, pour.line.amount_span),
                    None => self.pour_mixture(pour, &mixture, &liquid, parts_total),
                };
                match one {
                    Ok(one) => {
                        mixture.pour(&one);
                        poured[index] = Some(weigh(one));
                    }
                    Err(fault) => {
                        problems.extend(fault.map(|p| *p));
                        unknown_pour(&mut mixture, &pour.line.text.value);
                    }
                }
            }
            extra.drain(..).for_each(|one| mixture.pour(&one));
        }
        self.unknown_volume(&mut mixture, &poured);
        (mixture, poured)
    }

    pub(super) fn pour_mixture(
        &self,
        pour: &Pour,
        so_far: &Mixture,
        liquid: &Mixture,
        parts_total: f64,
    ) -> Result<Mixture, Fault> {
        let how_much = match &pour.measure {
            Measure::Volume(ml) => HowMuch::Millilitres(float(*ml)),
            Measure::Mass(g) => HowMuch::Grams(float(*g)),
            Measure::Pieces { count, dimension, each, .. } => {
                let total = float(*count) * float(*each);
                match dimension {
                    Dimension::Volume => HowMuch::Millilitres(total),
                    Dimension::Mass => HowMuch::Grams(total),
                }
            }
            Measure::PartOf { part, pieces, fruit } => {
                let how_much = self.part_of(part, float(*pieces), fruit);
                // The fruit stands for a part that the pantry has no facts of.
                if let (HowMuch::Grams(grams), FruitOf::Ingredient(i)) = (how_much, fruit)
                    && pour.target == Target::Ingredient(*i)
                {
                    let name = &self.world.graph.pantry.ingredients[*i].item.name.value;
                    return Ok(process::unstated(name, part, grams, self.bar().room_c));
                }
                how_much
            }
            Measure::Share(percent) => {
                if liquid.why_unknown(Quantity::Volume).is_some() {
                    // Only a pour that could not be worked out takes the volume away, and that one was reported.
                    return Err(None);
                }
                if let Some(reasons) = liquid.why_unknown(Quantity::Mass) {
                    let why = reasons.iter().cloned().collect::<Vec<_>>().join("; ");
                    return Err(Some(Box::new(
                        Problem::new(
                            code::DENSITY_UNKNOWN,
                            pour.line.amount_span,
                            format!("a share of the liquid's mass, which is not known because {why}"),
                        )
                        .help("write grams, or state the missing fact in the pantry"),
                    )));
                }
                HowMuch::Grams(float(*percent) / 100.0 * liquid.mass_g())
            }
            Measure::Parts(parts) => {
                let size = self.note().size.as_ref().and_then(|s| s.value.base(&self.world.graph.notes.house.units));
                match size {
                    Some(size) if parts_total > 0.0 => HowMuch::Millilitres(float(size) * float(*parts) / parts_total),
                    _ => return Err(None),
                }
            }
            Measure::UpTo(ml) => return self.fill(pour, so_far, float(*ml)),
        };
        self.target(pour.target, how_much, pour.line.amount_span)
    }

    fn part_of(&self, part: &str, pieces: f64, fruit: &FruitOf) -> HowMuch {
        match fruit {
            FruitOf::Pressed(ml) => HowMuch::Millilitres(pieces * ml),
            FruitOf::Ingredient(i) => {
                let ingredient = &self.world.graph.pantry.ingredients[*i];
                let units = &self.world.graph.notes.house.units;
                let each =
                    ingredient.item.piece.as_ref().and_then(|p| pantry::portion_base(p, units)).map_or(0.0, |(_, g)| g);
                HowMuch::Grams(pieces * each * share_of(ingredient, part).unwrap_or(0.0))
            }
        }
    }

    /// Fills up with a liquid until the whole has a volume; contraction makes that a search.
    fn fill(&self, pour: &Pour, so_far: &Mixture, to: f64) -> Result<Mixture, Fault> {
        let have = so_far.volume_ml();
        if have > to {
            return Err(Some(Box::new(
                Problem::new(
                    code::FILL_BELOW,
                    pour.line.amount_span,
                    format!("there are {} here already, more than the {} to fill up to", exactly(have), exactly(to)),
                )
                .help("raise the volume, or take something out above this line"),
            )));
        }
        let one = self.target(pour.target, HowMuch::Millilitres(1.0), pour.line.amount_span)?;
        let short = |ml: f64| {
            let mut whole = so_far.clone();
            whole.pour(&one.scaled(ml));
            to - whole.volume_ml()
        };
        let (mut low, mut high) = (0.0, (to - have) * 1.5 + 1.0);
        for _ in 0..100 {
            let middle = f64::midpoint(low, high);
            if short(middle) > 0.0 { low = middle } else { high = middle }
        }
        if short(high) > to * 1e-6 {
            return Err(Some(Box::new(
                Problem::new(
                    code::POUR_ROLE,
                    pour.line.amount_span,
                    format!("{} does not fill up to a volume: it mostly dissolves", pour.name),
                )
                .help("fill up with a liquid, for example `to 1 l water`, or write an amount"),
            )));
        }
        Ok(one.scaled(f64::midpoint(low, high)))
    }

    /// So much of an ingredient or a recipe.
    pub(super) fn target(&self, target: Target, how_much: HowMuch, at: Span) -> Result<Mixture, Fault> {
        let room = self.bar().room_c;
        let name = self.world.graph.name(target);
        let mut mixture = match target {
            Target::Ingredient(i) => {
                let ingredient = &self.world.graph.pantry.ingredients[i];
                // Facts that contradict each other were reported where they stand.
                let unit = self.world.unit(i).ok_or(None)?;
                match (ingredient.form, how_much) {
                    (Form::Liquid, HowMuch::Millilitres(ml)) => unit.scaled(ml),
                    (Form::Liquid, HowMuch::Grams(g)) => only_weighed(unit, g, name),
                    (_, HowMuch::Grams(g)) => unit.scaled(g),
                    (_, HowMuch::Millilitres(ml)) => match ingredient.sheet.density {
                        Some(bulk) => unit.scaled(ml * bulk),
                        None => {
                            return Err(density_unknown(
                                at,
                                name,
                                "so a spoonful of it has no known weight",
                                "a volume",
                            ));
                        }
                    },
                }
            }
            Target::Recipe(i) => {
                if self.world.graph.nodes[i].cyclic && self.world.graph.nodes[self.index].cyclic {
                    return Err(None);
                }
                let batch = match self.world.facts.get(&target) {
                    Some(today) => today,
                    None => &(self.made)(i).ok_or(None)?.batch().mixture,
                };
                match how_much {
                    HowMuch::Millilitres(ml) => {
                        if batch.volume_ml() <= 0.0 {
                            return Err(None);
                        }
                        batch.portion(ml)
                    }
                    HowMuch::Grams(g) => only_weighed(batch, g, name),
                }
            }
        };
        mixture.bring_to(room);
        mixture.ice_g = 0.0;
        Ok(mixture)
    }
}

fn density_unknown(at: Span, name: &str, why: &str, what: &str) -> Fault {
    Some(Box::new(
        Problem::new(
            code::DENSITY_UNKNOWN,
            at,
            format!("{what} of {name} is asked for, but its density is not known, {why}"),
        )
        .help(format!("measure it the other way, or add `density: 1.05` (g/ml) to `{name}` in the pantry")),
    ))
}

/// So many grams of a liquid. Where its density is not known, the mass is all that the scale says: how much room it takes, and
/// so how much of what it holds is in it, stays unknown.
fn only_weighed(liquid: &Mixture, grams: f64, name: &str) -> Mixture {
    let mut weighed = liquid.weighed(grams);
    let Some(reasons) = liquid.why_unknown(Quantity::Mass).cloned() else { return weighed };
    weighed.close_gap(Quantity::Mass);
    let why = reasons.into_iter().collect::<Vec<_>>().join("; ");
    let because = format!("{name} is weighed and its density is not known, because {why}");
    weighed.gap(Quantity::Volume, because.clone());
    for (part, quantity) in [
        (Part::Ethanol, Quantity::Ethanol),
        (Part::Sugar, Quantity::Sugar),
        (Part::Acid, Quantity::Acid),
        (Part::Fat, Quantity::Fat),
        (Part::Protein, Quantity::Protein),
    ] {
        // What it holds none of, it holds none of at any density.
        if weighed.grams(part) > 0.0 {
            weighed.gap(quantity, because.clone());
        }
    }
    weighed
}

pub(super) fn weigh(mixture: Mixture) -> Poured {
    let grams = mixture.why_unknown(Quantity::Mass).is_none().then(|| mixture.mass_g());
    Poured { ml: mixture.volume_ml(), grams, mixture }
}
