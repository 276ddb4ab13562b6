//! The glass: what is topped, floated and rinsed, how many serves there are, and the finish.

use super::pour::{Fault, weigh};
use super::{Made, Maker, Poured, Served, Stage, exactly, unknown_pour, unknown_stage};
use crate::measure::float;
use crate::mixture::{Mixture, Quantity};
use crate::notebook::pour::Role;
use crate::notebook::recipe_note::Makes;
use crate::problem::{Problem, code};
use crate::process;
use crate::recipe::graph::Pour;
use crate::recipe::names::{self, Target};

impl Maker<'_> {
    /// What goes in the glass: tops, floats and rinses, then the finish.
    pub(super) fn glass(&self, made: &mut Made, problems: &mut Vec<Problem>) {
        let note = self.note();
        let batch = made.stages[made.batch].mixture.clone();
        let drink = note.makes == Makes::Drink;
        let units = &self.world.graph.notes.house.units;
        let pour_ml = note.serve.pour.as_ref().filter(|_| drink).and_then(|p| p.value.base(units)).map(float);
        let mut glass = pour_ml.map_or_else(|| batch.clone(), |ml| batch.portion(ml));
        if drink && note.unread.serve {
            unknown_stage(&mut glass, "how it is served could not be read");
        }
        self.glass_pours(&mut glass, made, problems);
        if !drink {
            return;
        }
        made.served = Some(self.serves(&batch, pour_ml, problems));
        for (pour, line) in self.node().finish.iter().zip(&note.serve.finish) {
            let one = pour.as_ref().ok_or(None).and_then(|p| self.finish(p, &glass));
            made.finish.push(add(one, &mut glass, &line.text.value, problems));
        }
        let mut stage = Stage::new("serve", None, glass, true);
        if note.serve.ice.as_ref().is_some_and(|ice| ice.value != "none") && stage.mixture.figure_abv().is_ok() {
            // Where nobody can say, the serve's own figures already give the reason.
            stage.remarks.extend(process::over_glass(&stage.mixture, &self.bar()).ok());
        }
        made.stages.push(stage);
        self.glass_size(made, problems);
    }

    /// Tops, floats and rinses, in the order written; a stage of their own where there are any.
    fn glass_pours(&self, glass: &mut Mixture, made: &mut Made, problems: &mut Vec<Problem>) {
        let lines = self.note().mix.iter().zip(&self.node().mix).enumerate();
        let outside: Vec<_> = lines.filter(|(_, (line, _))| line.role != Role::Mix).collect();
        if outside.is_empty() {
            return;
        }
        for (index, (line, pour)) in outside {
            let one = match pour {
                None => Err(None),
                Some(pour) => match self.other_amount(index, pour) {
                    Some(other) => self.target(pour.target, other, line.amount_span),
                    None => self.pour_mixture(pour, glass, glass, 0.0),
                },
            };
            let stays = if line.role == Role::Rinse { self.world.graph.notes.house.assume.rinse_stays } else { 1.0 };
            let one = one.map(|one| one.scaled(stays));
            if let Some(poured) = add(one, glass, &line.text.value, problems) {
                made.pours[index] = Some(poured);
            }
        }
        made.stages.push(Stage::new("top", None, glass.clone(), true));
        made.balance = made.stages.len() - 1;
    }

    /// How many serves the batch gives; `pour_ml` is one of them, the whole batch without it.
    fn serves(&self, batch: &Mixture, pour_ml: Option<f64>, problems: &mut Vec<Problem>) -> Served {
        let Some(ml) = pour_ml else { return Served { count: 1, left_ml: 0.0, pour_ml: None } };
        let total = batch.volume_ml();
        // A batch that is a whole number of serves must not lose one to the last bit.
        let count = (total / ml * (1.0 + 1e-12)).floor();
        if count < 1.0 && batch.why_unknown(Quantity::Volume).is_none() {
            let note = self.note();
            let span = note.serve.pour.as_ref().map_or(note.name.span, |p| p.span);
            let message = format!("one serve is {}, but the batch makes {}", exactly(ml), exactly(total));
            problems.push(Problem::new(code::SERVE_TOO_LARGE, span, message).help("make more, or serve less"));
        }
        Served { count: count as u64, left_ml: (total - count * ml).max(0.0), pour_ml: Some(ml) }
    }

    fn finish(&self, pour: &Pour, glass: &Mixture) -> Result<Mixture, Fault> {
        let one = self.pour_mixture(pour, glass, glass, 0.0)?;
        if !pour.line.foam {
            return Ok(one);
        }
        let overrun = match pour.target {
            Target::Recipe(i) => (self.made)(i).and_then(|m| m.overrun),
            Target::Ingredient(_) => None,
        };
        match overrun {
            Some(overrun) => Ok(one.scaled(1.0 / overrun)),
            None => Err(Some(Box::new(
                Problem::new(
                    code::MISSING_PARAMETER,
                    pour.line.name.span,
                    format!("how much liquid is in this foam? `{}` states no `overrun`", pour.name),
                )
                .help(
                    "add `overrun: 2.5` to the `charge` of that recipe, or write the liquid's volume without `foam of`",
                ),
            ))),
        }
    }

    fn glass_size(&self, made: &Made, problems: &mut Vec<Problem>) {
        let note = self.note();
        let house = &self.world.graph.notes.house;
        let Some(glass) = &note.serve.glass else { return };
        let wanted = names::key(&glass.value);
        let size = house
            .glasses
            .iter()
            .find(|(name, _)| names::key(name) == wanted)
            .and_then(|(_, a)| a.base(&house.units))
            .map(float);
        let volume = made.last().mixture.volume_ml();
        let known = made.last().mixture.why_unknown(Quantity::Volume).is_none();
        if let Some(size) = size.filter(|s| known && volume > *s) {
            problems.push(
                Problem::new(
                    code::GLASS_OVERFULL,
                    glass.span,
                    format!("one serve is {}, but the {} holds {}", exactly(volume), glass.value, exactly(size)),
                )
                .help("pour less, or choose a larger glass"),
            );
        }
    }
}

/// Pours one thing into the glass and weighs it. What is at fault leaves the glass unknown, and its problem is kept.
fn add(one: Result<Mixture, Fault>, glass: &mut Mixture, text: &str, problems: &mut Vec<Problem>) -> Option<Poured> {
    match one {
        Ok(one) => {
            glass.pour(&one);
            Some(weigh(one))
        }
        Err(fault) => {
            problems.extend(fault.map(|p| *p));
            unknown_pour(glass, text);
            None
        }
    }
}
