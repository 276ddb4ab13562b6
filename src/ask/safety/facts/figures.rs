//! The words and numbers that a trigger can ask of a recipe. Unknown is not zero: it is `None` and never compares.

use super::{Bound, Facts, fitting};
use crate::ask::safety::names::{NumberName, WordName};
use crate::measure::{Dimension, float};
use crate::mixture::figure::Figure;
use crate::mixture::{Mixture, Part};
use crate::notebook::pantry::Form;
use crate::notebook::process_line::ParameterValue;
use crate::process::{Level, Process};
use crate::recipe::graph::{Measure, ProcessStep};
use crate::recipe::names::Target;
use crate::recipe::run::Computed;
use crate::relation::gas::CARTRIDGE_G;
use crate::relation::water_activity;

/// Gas in one cartridge of nitrogen, g (common practice, from memory).
const NITROGEN_G: f64 = 2.4;

impl<'a> Facts<'a> {
    /// A word, where it is known.
    #[must_use]
    pub fn word(&self, name: WordName, bound: &Bound) -> Option<String> {
        let yes = |yes: bool| Some(if yes { "yes" } else { "no" }.to_owned());
        match name {
            WordName::Ice => self.note().serve.ice.as_ref().map(|i| i.value.clone()),
            WordName::Makes => Some(self.note().makes.word().to_owned()),
            WordName::Vegan => self.diet.vegan.and_then(yes),
            WordName::Live => yes(self.live),
            WordName::KeepsSealed => self.claim(bound).filter(|c| c.sealed).map(|_| "yes".to_owned()),
            WordName::RegimeAllergens => Some(self.computed.graph.notes.house.allergens_regime.clone()),
            WordName::Parameter(process, parameter, _) => {
                let step = self.step(process, bound)?;
                word_of(step, parameter)
                    .or(match (process, parameter) {
                        (Process::Charge, "gas") => Some("N2O"),
                        // What the process itself takes where the line says nothing.
                        (Process::Bottle, "in") => Some("glass"),
                        (Process::Bottle, "closed") => Some("sealed"),
                        _ => None,
                    })
                    .map(str::to_lowercase)
            }
        }
    }

    fn step(&self, process: Process, bound: &Bound) -> Option<&'a ProcessStep> {
        self.node().process.get(*bound.lines.get(&process)?)
    }

    /// A number, where it is known.
    #[must_use]
    pub fn number(&self, name: NumberName<'_>, bound: &Bound) -> Option<f64> {
        let last = &self.made().last().mixture;
        let house = &self.computed.graph.notes.house;
        let served = |figure: Figure| self.made().served.as_ref().and(figure.ok());
        let value = match name {
            NumberName::Abv => last.figure_abv().ok(),
            NumberName::Brix => last.figure_brix().ok(),
            NumberName::Sugar => last.figure_sugar_per_100ml().ok(),
            NumberName::Acid => last.figure_acid_per_100ml().ok(),
            NumberName::Temperature => last.figure_temperature().ok(),
            NumberName::Co2Volumes => last.figure_co2_volumes().ok(),
            NumberName::GaugeBar => self.made().last().gauge_bar,
            NumberName::Ph => self.ph,
            NumberName::Aw => last.figure_brix().ok().and_then(|b| water_activity::sucrose(b / 100.0).ok()),
            NumberName::SmallestG => self.smallest_g,
            NumberName::CaffeinePerL => last.figure_caffeine().ok(),
            NumberName::SulphitesPerL => last.figure_sulphites().ok(),
            NumberName::ServeEthanol => served(last.figure_ethanol()),
            NumberName::ServeCaffeine => served(last.figure_caffeine().map(|_| last.caffeine_mg)),
            NumberName::ServePour => {
                self.note().serve.pour.as_ref().and_then(|p| p.value.base(&house.units)).map(float)
            }
            NumberName::KeepsHours => self.claim(bound).map(|c| c.hours),
            NumberName::KeepsAt => self.claim(bound).and_then(|c| c.at_c),
            NumberName::PartsHours => self.parts_hours(bound),
            NumberName::RoomC => Some(house.temperatures.room),
            NumberName::ScaleG => {
                let steps = house.tools.scales.iter().filter_map(|s| s.step.base(&house.units)).map(float);
                steps.reduce(f64::min)
            }
            NumberName::StrongServeG => house.strong_serve_g,
            NumberName::DosePct(tag) => self.dose_share(tag).map(|s| 100.0 * s),
            NumberName::DoseMgKg(tag) => self.dose_share(tag).map(|s| 1e6 * s),
            NumberName::DoseG(tag) => {
                self.made().served.as_ref()?;
                self.dose(tag).map(|d| d.grams)
            }
            NumberName::BeforeMl(process) => self.before(process, bound)?.figure_volume().ok(),
            NumberName::BeforeC(process) => self.before(process, bound)?.figure_temperature().ok(),
            NumberName::BeforeAbv(process) => self.before(process, bound)?.figure_abv().ok(),
            NumberName::ChargeGas => self.charged(bound),
            NumberName::BottleBuilds => {
                let line = *bound.lines.get(&Process::Bottle)?;
                self.made().stages.get(line + 1).and_then(|s| s.builds_bar)
            }
            NumberName::Parameter(process, parameter) => number_of(self.step(process, bound)?, parameter, &house.units),
        };
        value.filter(|v| v.is_finite()).map(settled)
    }

    /// The mixture as it enters a process.
    fn before(&self, process: Process, bound: &Bound) -> Option<&'a Mixture> {
        // Stage 0 is the mix, so the stage of a line's index is the one before it.
        self.made().stages.get(*bound.lines.get(&process)?).map(|s| &s.mixture)
    }

    fn charged(&self, bound: &Bound) -> Option<f64> {
        let step = self.step(Process::Charge, bound)?;
        let units = &self.computed.graph.notes.house.units;
        let nitrogen = word_of(step, "gas") == Some("N2");
        let each = number_of(step, "cartridge", units).unwrap_or(if nitrogen { NITROGEN_G } else { CARTRIDGE_G });
        Some(number_of(step, "cartridges", units).unwrap_or(1.0) * each)
    }

    /// Shortest keeping of the recipes that the batch is made of; what goes into the glass is not in what is kept. Of several
    /// claims of one recipe that one counts which was made for no colder a place than the claim that is asked about; where there
    /// is none such, the shortest.
    fn parts_hours(&self, bound: &Bound) -> Option<f64> {
        let at = self.claim(bound).and_then(|c| c.at_c);
        let claims =
            self.kept_parts().into_iter().filter_map(|i| fitting(&self.computed.graph.notes.recipes[i].keeps, at));
        claims.map(|c| c.hours).reduce(f64::min)
    }

    /// The smallest solid that is weighed for one batch, g.
    pub(super) fn smallest(&self) -> Option<f64> {
        let (node, made) = (self.node(), self.made());
        let solid = |target: Target| matches!(target, Target::Ingredient(i) if self.computed.graph.pantry.ingredients[i].form != Form::Liquid);
        let weighed = |m: &Measure| matches!(m, Measure::Mass(_) | Measure::Share(_));
        let mut least: Option<f64> = None;
        let mut take = |grams: f64| {
            if grams > 0.0 {
                least = Some(least.map_or(grams, |l| l.min(grams)));
            }
        };
        for (pour, poured) in node.mix.iter().zip(&made.pours).chain(node.finish.iter().zip(&made.finish)) {
            if let (Some(pour), Some(poured)) = (pour, poured)
                && solid(pour.target)
                && weighed(&pour.measure)
            {
                poured.grams.into_iter().for_each(&mut take);
            }
        }
        for pour in node.process.iter().flat_map(|s| s.pours.values().flatten()) {
            if let (true, Measure::Mass(g)) = (solid(pour.target), &pour.measure) {
                take(float(*g));
            }
        }
        least
    }

    /// Whether a tenth of it or more is salt and other solids: such a brine keeps, and the estimate of water activity knows
    /// only sugar (salt at 10 % leaves about 0.94, at 15 % about 0.89; from memory).
    #[must_use]
    pub fn mostly_salt(&self) -> bool {
        let last = &self.made().last().mixture;
        last.figure_mass().is_ok_and(|mass| last.grams(Part::Solids) >= 0.1 * mass)
    }
}

fn parameter<'s>(step: &'s ProcessStep, name: &str) -> Option<&'s ParameterValue> {
    step.line.parameters.iter().find(|(key, _, _)| *key == name).map(|(_, _, value)| value)
}

pub(super) fn word_of(step: &ProcessStep, name: &str) -> Option<&'static str> {
    match parameter(step, name)? {
        ParameterValue::Word(word) => Some(word),
        _ => None,
    }
}

pub(super) fn celsius_of(step: &ProcessStep, name: &str) -> Option<f64> {
    match parameter(step, name)? {
        ParameterValue::Temperature(c) => Some(*c),
        _ => None,
    }
}

fn number_of(step: &ProcessStep, name: &str, units: &crate::measure::Units) -> Option<f64> {
    match parameter(step, name)? {
        ParameterValue::Percent(n)
        | ParameterValue::Temperature(n)
        | ParameterValue::Time(n)
        | ParameterValue::Number(n)
        | ParameterValue::Level(Level::Strength(n)) => Some(*n),
        ParameterValue::Amount(a) => {
            // `reduce_to` may be a mass, which is no volume; `cartridge` is always one.
            let mass_wanted = name == "cartridge";
            let mass = a.unit.dimension() == Dimension::Mass;
            if mass == mass_wanted { a.base(units).map(float) } else { None }
        }
        _ => None,
    }
}

/// The latest pH reading of a recipe: of its own, and of what the log says was made of it. Without dates the later stage counts.
pub(super) fn latest_ph(computed: &Computed, recipe: usize) -> Option<f64> {
    let notes = &computed.graph.notes;
    let note = &notes.recipes[recipe];
    let stage = |r: &crate::notebook::reading::Reading| {
        let stages = &computed.made[recipe].stages;
        r.after.as_ref().map_or(stages.len(), |a| stages.iter().position(|s| s.name == a.value).unwrap_or(0))
    };
    let own = note.readings.iter().filter_map(|r| Some((r.date, stage(r), r.ph.as_ref()?.value)));
    let logged = notes
        .log
        .iter()
        .filter(|entry| computed.graph.names.get(&entry.recipe.value) == Some(Target::Recipe(recipe)))
        .flat_map(|entry| entry.readings.iter().map(move |r| (r.date.or(entry.made), r)))
        .filter_map(|(date, r)| Some((date, stage(r), r.ph.as_ref()?.value)));
    own.chain(logged).max_by(|a, b| (a.0, a.1).cmp(&(b.0, b.1))).map(|(_, _, ph)| ph)
}

/// A sum of many floats may miss a limit by its last bits; twelve digits are more than any figure has.
fn settled(value: f64) -> f64 {
    format!("{value:.12e}").parse().unwrap_or(value)
}
