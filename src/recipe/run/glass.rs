//! The glass: what is topped, floated and rinsed, how many serves there are, and the finish.

use super::pour::{Fault, weigh};
use super::{Made, Maker, Served, Stage, exactly, unknown_pour, unknown_stage};
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
        let units = &self.world.graph.notes.house.units;
        let batch = made.stages[made.batch].mixture.clone();
        let pour_ml = note.serve.pour.as_ref().and_then(|p| p.value.base(units)).map(float);
        let drink = note.makes == Makes::Drink;
        let mut glass = match pour_ml.filter(|_| drink) {
            Some(ml) => batch.portion(ml),
            None => batch.clone(),
        };
        let tops: Vec<(usize, &Pour)> = self
            .node()
            .mix
            .iter()
            .enumerate()
            .filter_map(|(i, p)| p.as_ref().map(|p| (i, p)))
            .filter(|(_, p)| p.line.role != Role::Mix)
            .collect();
        if drink && note.unread.serve {
            unknown_stage(&mut glass, "how it is served could not be read");
        }
        let missed: Vec<usize> = note
            .mix
            .iter()
            .enumerate()
            .filter(|(i, l)| l.role != Role::Mix && self.node().mix[*i].is_none())
            .map(|(i, _)| i)
            .collect();
        if !tops.is_empty() || !missed.is_empty() {
            for (index, pour) in tops {
                let one = match self.other_amount(index, pour) {
                    Some(other) => self.target(pour.target, other, pour.line.amount_span),
                    None => self.pour_mixture(pour, &glass, &glass, 0.0),
                };
                match one {
                    Ok(mut one) => {
                        if pour.line.role == Role::Rinse {
                            one = one.scaled(self.world.graph.notes.house.assume.rinse_stays);
                        }
                        glass.pour(&one);
                        made.pours[index] = Some(weigh(one));
                    }
                    Err(fault) => {
                        problems.extend(fault.map(|p| *p));
                        unknown_pour(&mut glass, &pour.line.text.value);
                    }
                }
            }
            for index in missed {
                unknown_pour(&mut glass, &note.mix[index].text.value);
            }
            made.stages.push(Stage::new("top", None, glass.clone(), true));
            made.balance = made.stages.len() - 1;
        }
        if !drink {
            return;
        }
        let total = batch.volume_ml();
        let known = batch.why_unknown(Quantity::Volume).is_none();
        let served = match pour_ml {
            Some(ml) => {
                // A batch that is a whole number of serves must not lose one to the last bit.
                let count = (total / ml * (1.0 + 1e-12)).floor();
                if count < 1.0 && known {
                    let span = note.serve.pour.as_ref().map_or(note.name.span, |p| p.span);
                    problems.push(
                        Problem::new(
                            code::SERVE_TOO_LARGE,
                            span,
                            format!("one serve is {}, but the batch makes {}", exactly(ml), exactly(total)),
                        )
                        .help("make more, or serve less"),
                    );
                }
                Served { count: count as u64, left_ml: (total - count * ml).max(0.0), pour_ml: Some(ml) }
            }
            None => Served { count: 1, left_ml: 0.0, pour_ml: None },
        };
        made.served = Some(served);
        for (pour, line) in self.node().finish.iter().zip(&note.serve.finish) {
            let one = pour.as_ref().ok_or(None).and_then(|p| self.finish(p, &glass));
            match one {
                Ok(one) => {
                    glass.pour(&one);
                    made.finish.push(Some(weigh(one)));
                }
                Err(fault) => {
                    problems.extend(fault.map(|p| *p));
                    unknown_pour(&mut glass, &line.text.value);
                    made.finish.push(None);
                }
            }
        }
        let mut stage = Stage::new("serve", None, glass, true);
        if note.serve.ice.as_ref().is_some_and(|ice| ice.value != "none") && stage.mixture.figure_abv().is_ok() {
            // Where nobody can say, the serve's own figures already give the reason.
            stage.remarks.extend(process::over_glass(&stage.mixture, &self.bar()).ok());
        }
        made.stages.push(stage);
        self.glass_size(made, problems);
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
