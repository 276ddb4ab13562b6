//! How much of what bears a tag is in a recipe: in the batch, which others use, and in what is served.

use std::collections::BTreeMap;

use super::Facts;
use crate::ask::dose::facts_key;
use crate::measure::float;
use crate::notebook::pantry::Form;
use crate::notebook::pour::Role;
use crate::process::Process;
use crate::process::doses::usual;
use crate::recipe::graph::{Measure, Pour};
use crate::recipe::names::Target;
use crate::recipe::run::Poured;

/// Grams, or `None` where a mass of it is not known.
type Grams = Option<f64>;

/// How much of a tag's bearers is in a mixture.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Dose {
    /// In all, g.
    pub(super) grams: f64,
    /// Of it solids that count in the mixture's mass, g.
    solid: f64,
    /// Whether the mass of one pour is not known.
    unknown: bool,
}

impl Dose {
    fn scaled(self, factor: f64) -> Self {
        Self { grams: self.grams * factor, solid: self.solid * factor, unknown: self.unknown }
    }

    fn add(&mut self, other: Self) {
        self.grams += other.grams;
        self.solid += other.solid;
        self.unknown |= other.unknown;
    }
}

pub(super) type Doses = BTreeMap<String, Dose>;

fn add(doses: &mut Doses, more: Doses) {
    for (tag, dose) in more {
        doses.entry(tag).or_default().add(dose);
    }
}

/// Processes that leave part of the mixture behind.
fn lossy(process: Process) -> bool {
    matches!(
        process,
        Process::Strain
            | Process::Filter
            | Process::Clarify
            | Process::MilkClarify
            | Process::Infuse
            | Process::FatWash
    )
}

impl<'a> Facts<'a> {
    /// Doses of what one pour brings, so many grams of it.
    fn brought(&self, target: Target, grams: Grams, others: &BTreeMap<usize, Facts<'a>>) -> Doses {
        match target {
            Target::Ingredient(i) => {
                let ingredient = &self.computed.graph.pantry.ingredients[i];
                let solid = if ingredient.form == Form::Liquid { 0.0 } else { grams.unwrap_or(0.0) };
                let dose = Dose { grams: grams.unwrap_or(0.0), solid, unknown: grams.is_none() };
                // An additive is known by its name, whatever tags it bears.
                let additive = usual(&ingredient.item.name.value).map(|row| facts_key(row.id));
                self.tags_of(i).iter().cloned().chain(additive).map(|tag| (tag, dose)).collect()
            }
            Target::Recipe(used) => {
                let Some(other) = others.get(&used) else { return Doses::new() };
                let mass = self.computed.made[used].batch().mixture.figure_mass();
                let share = mass.ok().filter(|m| *m > 0.0).and_then(|m| grams.map(|g| g / m));
                other
                    .batch
                    .iter()
                    .map(|(tag, dose)| {
                        let scaled = dose.scaled(share.unwrap_or(0.0));
                        (tag.clone(), Dose { unknown: scaled.unknown || share.is_none(), ..scaled })
                    })
                    .collect()
            }
        }
    }

    pub(super) fn gather_doses(&mut self, others: &BTreeMap<usize, Facts<'a>>) {
        let (node, made) = (self.node(), self.made());
        let mut doses = Doses::new();
        let weight = |poured: Option<&Option<Poured>>| poured.and_then(Option::as_ref).and_then(|p| p.grams);
        let is_mix = |pour: &Pour| pour.line.role == Role::Mix;
        for (i, pour) in node.mix.iter().enumerate() {
            if let Some(pour) = pour.as_ref().filter(|p| is_mix(p)) {
                add(&mut doses, self.brought(pour.target, weight(made.pours.get(i)), others));
            }
        }
        for (i, step) in node.process.iter().enumerate() {
            let stage = made.stages.get(i + 1);
            for pour in step.pours.values().flatten() {
                // What it came to, or what the line says where the process did not say.
                let came = stage.and_then(|s| s.added.iter().find(|a| a.what == pour.name)).map(|a| a.grams);
                let written = match pour.measure {
                    Measure::Mass(g) => Some(float(g)),
                    _ => None,
                };
                let mut brought = self.brought(pour.target, came.or(written), others);
                // What is steeped comes out again, so it is no part of the mass.
                brought.values_mut().for_each(|d| d.solid = 0.0);
                add(&mut doses, brought);
            }
            if let (Some(before), Some(after)) = (made.stages.get(i), stage)
                && lossy(step.line.process)
            {
                // What stays behind takes its share of what is dissolved with it.
                let poured: f64 = after.added.iter().map(|a| a.grams).sum();
                let whole =
                    before.mixture.mass_g() + if step.line.process == Process::MilkClarify { poured } else { 0.0 };
                let kept = if whole > 0.0 { (after.mixture.mass_g() / whole).min(1.0) } else { 1.0 };
                doses.values_mut().for_each(|d| *d = d.scaled(kept));
            }
        }
        self.batch.clone_from(&doses);
        let Some(served) = &made.served else {
            self.last = doses;
            return;
        };
        let batch_ml = made.batch().mixture.figure_volume().ok().filter(|v| *v > 0.0);
        let share = match (served.pour_ml, batch_ml) {
            (None, _) => 1.0,
            (Some(ml), Some(batch)) => ml / batch,
            (Some(_), None) => {
                doses.values_mut().for_each(|d| d.unknown = true);
                0.0
            }
        };
        let mut glass: Doses = doses.into_iter().map(|(tag, dose)| (tag, dose.scaled(share))).collect();
        for (i, pour) in node.mix.iter().enumerate() {
            if let Some(pour) = pour.as_ref().filter(|p| !is_mix(p)) {
                add(&mut glass, self.brought(pour.target, weight(made.pours.get(i)), others));
            }
        }
        for (i, pour) in node.finish.iter().enumerate() {
            if let Some(pour) = pour {
                add(&mut glass, self.brought(pour.target, weight(made.finish.get(i)), others));
            }
        }
        self.last = glass;
    }

    pub(super) fn dose(&self, tag: &str) -> Option<Dose> {
        let dose = self.last.get(tag).copied().unwrap_or_default();
        (!dose.unknown).then_some(dose)
    }

    /// Mass of what bears a tag over the mass of the liquid.
    pub(super) fn dose_share(&self, tag: &str) -> Option<f64> {
        let dose = self.dose(tag)?;
        if dose.grams <= 0.0 {
            return Some(0.0);
        }
        let liquid = self.made().last().mixture.figure_mass().ok()? - dose.solid;
        (liquid > 0.0).then(|| dose.grams / liquid)
    }

    /// Doses of every tag in the last stage: g per serve or batch, and as a share of the liquid.
    #[must_use]
    pub fn dose_of(&self, tag: &str) -> (Option<f64>, Option<f64>) {
        (self.dose(tag).map(|d| d.grams), self.dose_share(tag))
    }
}
