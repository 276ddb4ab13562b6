//! Process steps: what each is to be done with, and the stage that it leads to.

use std::collections::BTreeMap;

use super::pour::{Fault, HowMuch};
use super::{Danger, Maker, Stage, unknown_stage};
use crate::measure::{Amount, Dimension, float};
use crate::mixture::sheet::Sheet;
use crate::mixture::{Mixture, Quantity};
use crate::notebook::pantry::Form;
use crate::notebook::process_line::ParameterValue;
use crate::problem::Problem;
use crate::process::{self, Added, Args, Finding, Fruit, Level, Process, Value};
use crate::recipe::graph::{Measure, Pour, ProcessStep};
use crate::recipe::names::{self, Target};
use crate::recipe::pantry::Ingredient;
use crate::source::Span;

impl Maker<'_> {
    pub(super) fn processes(
        &self,
        stages: &mut Vec<Stage>,
        ph: &mut Option<f64>,
        problems: &mut Vec<Problem>,
    ) -> Option<f64> {
        let mut counts: BTreeMap<Process, usize> = BTreeMap::new();
        let mut done: Vec<Process> = Vec::new();
        let mut overrun = None;
        let last = self.node().process.len();
        // Where in the order an unread line stood nobody knows, so nothing after the mix is what was meant.
        let unread = self.note().unread.process.then_some("a process could not be read");
        if let (Some(because), true) = (unread, self.node().process.is_empty()) {
            unknown_stage(&mut stages[0].mixture, because);
        }
        for (number, step) in self.node().process.iter().enumerate() {
            let process = step.line.process;
            let mut before = stages[stages.len() - 1].mixture.clone();
            if let (Some(because), 0) = (unread, number) {
                unknown_stage(&mut before, because);
            }
            let count = counts.entry(process).or_insert(0);
            *count += 1;
            let name = if *count == 1 { process.name().to_owned() } else { format!("{}-{count}", process.name()) };
            let mut dangers = Vec::new();
            let result = self.args(step, &before).and_then(|args| {
                process::run(process, &before, &args, &self.bar(), &done).map_err(|finding| {
                    let mut problems = Vec::new();
                    sort_out(step, &finding, &mut dangers, &mut problems);
                    problems.pop().map(Box::new)
                })
            });
            let mut stage = Stage::new(&name, Some(process), before, false);
            match result {
                Ok(outcome) => {
                    outcome.findings.iter().for_each(|f| sort_out(step, f, &mut dangers, problems));
                    stage.mixture = outcome.mixture;
                    stage.dilution_pct = outcome.dilution_pct;
                    stage.gauge_bar = outcome.gauge_bar;
                    stage.added = outcome.added;
                    stage.removed = outcome.removed;
                    stage.remarks = outcome.remarks;
                    stage.sources = outcome.sources;
                    stage.builds_bar = outcome.builds_bar;
                    overrun = outcome.overrun.or(overrun);
                }
                Err(problem) => {
                    problems.extend(problem.map(|p| *p));
                    let because = format!("`{}` could not be worked out", process.name());
                    unknown_stage(&mut stage.mixture, &because);
                    stage.mixture.gap(Quantity::Temperature, because);
                }
            }
            stage.dangers = dangers;
            done.push(process);
            self.read(&mut stage, false, number + 1 == last, ph, problems);
            stages.push(stage);
        }
        overrun
    }

    fn args(&self, step: &ProcessStep, before: &Mixture) -> Result<Args, Fault> {
        if step.broken {
            return Err(None);
        }
        let mut args = Args::default();
        let units = &self.world.graph.notes.house.units;
        for (key, span, value) in &step.line.parameters {
            let amount = |a: &Amount| {
                let base = a.base(units).map_or(0.0, float);
                match a.unit.dimension() {
                    Dimension::Volume => Value::Millilitres(base),
                    Dimension::Mass => Value::Grams(base),
                }
            };
            let value = match value {
                ParameterValue::Percent(v) => Value::Percent(*v),
                ParameterValue::Temperature(v) => Value::Celsius(*v),
                ParameterValue::Time(v) => Value::Hours(*v),
                ParameterValue::Amount(a) => amount(a),
                ParameterValue::Level(Level::Volume(a)) => amount(a),
                ParameterValue::Level(Level::Strength(v)) => Value::Strength(*v),
                ParameterValue::Gravity(v) => Value::Gravity(*v),
                ParameterValue::Number(v) => Value::Number(*v),
                ParameterValue::Word(v) => Value::Word(v),
                ParameterValue::Name(_) => {
                    let Some(target) = step.named.get(key) else { continue };
                    Value::Like(self.sample(*target, *span)?)
                }
                ParameterValue::Shares(_) => {
                    let mut shares = Vec::new();
                    for (target, share) in step.shares.get(key).into_iter().flatten() {
                        shares.push((self.sample(*target, *span)?, *share));
                    }
                    Value::Shares(shares)
                }
                ParameterValue::Pours(_) => {
                    let pours = step.pours.get(key).map_or(&[][..], Vec::as_slice);
                    if matches!(step.line.process, Process::Juice | Process::Peel) {
                        Value::Fruit(self.fruit(pours.iter().map(|p| (p, None)), step.line.process.name())?)
                    } else {
                        let mut list = Vec::new();
                        for pour in pours {
                            list.push(match self.leaf(step.line.process, pour) {
                                Some(leaf) => leaf,
                                None => Added {
                                    name: pour.name.clone(),
                                    mixture: self.pour_mixture(pour, before, before, 0.0)?,
                                },
                            });
                        }
                        Value::Added(list)
                    }
                }
            };
            args.values.insert(key, value);
        }
        if matches!(step.line.process, Process::Juice | Process::Peel) && !args.has("of") {
            let mix = self.node().mix.iter().enumerate();
            let poured = mix.filter_map(|(i, p)| p.as_ref().map(|p| (p, self.other_amount(i, p))));
            let fruit = self.fruit(poured, step.line.process.name())?;
            args.values.insert("of", Value::Fruit(fruit));
        }
        Ok(args)
    }

    /// The dry leaves that an infusion weighs, where the pantry knows only what is brewed of them.
    fn leaf(&self, process: Process, pour: &Pour) -> Option<Added> {
        let (Measure::Mass(grams), Target::Ingredient(i)) = (&pour.measure, pour.target) else { return None };
        let pantry = &self.world.graph.pantry;
        if process != Process::Infuse || !pour.is_leaf(pantry) {
            return None;
        }
        let brew = &pantry.ingredients[i].sheet;
        let name = format!("{} leaves", pour.name.strip_prefix("brewed ").unwrap_or(&pour.name));
        let (abv, sugar, acid, fat, protein, solids, density) = (None, None, None, None, None, None, None);
        let leaf =
            Sheet { name: name.clone(), solid: true, abv, sugar, acid, fat, protein, solids, density, ..brew.clone() };
        let mut mixture = leaf.per_gram().ok()?.scaled(float(*grams));
        mixture.temperature = self.bar().room_c;
        Some(Added { name, mixture })
    }

    /// A hundred of it, millilitres or grams: what it is made of, not how much.
    fn sample(&self, target: Target, at: Span) -> Result<Added, Fault> {
        let solid =
            matches!(target, Target::Ingredient(i) if self.world.graph.pantry.ingredients[i].form != Form::Liquid);
        let how_much = if solid { HowMuch::Grams(100.0) } else { HowMuch::Millilitres(100.0) };
        Ok(Added { name: self.world.graph.name(target).to_owned(), mixture: self.target(target, how_much, at)? })
    }

    /// Fruit and what it gives, as written or in another amount; `part` is `juice` or `peel`.
    fn fruit<'p>(
        &self,
        pours: impl Iterator<Item = (&'p Pour, Option<HowMuch>)>,
        part: &str,
    ) -> Result<Vec<Fruit>, Fault> {
        let mut list = Vec::new();
        for (pour, other) in pours {
            let whole = match other {
                Some(other) => self.target(pour.target, other, pour.line.amount_span)?,
                None => self.pour_mixture(pour, &Mixture::default(), &Mixture::default(), 0.0)?,
            };
            let grams = whole.mass_g();
            let (mut share, mut parts) = (None, Vec::new());
            let product_name = format!("{} {part}", names::key(&pour.name));
            let mut product = self.world.graph.names.get(&product_name);
            if let Target::Ingredient(i) = pour.target {
                let ingredient = &self.world.graph.pantry.ingredients[i];
                share = share_of(ingredient, part);
                parts = ingredient.item.parts.iter().map(|(p, s, _)| (p.clone(), *s)).collect();
                let pressed = self.world.graph.pantry.pressed.get(&names::key(&pour.name)).filter(|_| part == "juice");
                if let Some(pressed) = pressed {
                    product = product.or(Some(Target::Ingredient(pressed.juice)));
                    let unit = self.world.unit(pressed.juice);
                    if share.is_none()
                        && let (Some(each), Some(unit)) = (pressed.piece_g, unit)
                    {
                        share = Some(pressed.juice_ml * unit.mass_g() / each);
                    }
                }
            }
            // The recipe that presses the juice is often called by the juice's own name: then the generic facts describe it.
            let product = match product {
                Some(Target::Recipe(i)) if i == self.index => self.generic(&product_name),
                other => other,
            };
            let product = match product {
                Some(target) => Some(self.sample(target, pour.line.name.span)?.mixture),
                None => None,
            };
            list.push(Fruit { name: pour.name.clone(), grams, whole, share, product, parts });
        }
        Ok(list)
    }

    /// The ingredient of a name that a recipe of the notebook covers.
    fn generic(&self, name: &str) -> Option<Target> {
        let wanted = names::key(name);
        let ingredients = &self.world.graph.pantry.ingredients;
        ingredients
            .iter()
            .rposition(|i| std::iter::once(&i.item.name).chain(&i.item.also).any(|n| names::key(&n.value) == wanted))
            .map(Target::Ingredient)
    }
}

/// Share of a whole fruit's mass that a part or yield is, 0 to 1.
#[must_use]
pub fn share_of(ingredient: &Ingredient, part: &str) -> Option<f64> {
    let of_part = |name: &str| ingredient.item.parts.iter().find(|(p, _, _)| p == name).map(|(_, s, _)| *s);
    let given = ingredient.item.yields.iter().find(|(p, _)| p == part);
    match given {
        Some((_, y)) => Some(y.share * y.of.as_deref().map_or(Some(1.0), of_part)?),
        None => of_part(part),
    }
}

/// Puts a finding among the hazards if the safety rules know it, and among the problems if they do not.
fn sort_out(step: &ProcessStep, finding: &Finding, dangers: &mut Vec<Danger>, problems: &mut Vec<Problem>) {
    let problem = located(step, finding);
    match finding.hazard {
        Some(hazard) => dangers.push(Danger { hazard, problem }),
        None => problems.push(problem),
    }
}

fn located(step: &ProcessStep, finding: &Finding) -> Problem {
    let span = finding
        .parameter
        .and_then(|key| step.line.parameters.iter().find(|(k, _, _)| *k == key))
        .map_or(step.line.span, |(_, span, _)| *span);
    let problem = Problem::new(finding.code, span, finding.message.clone()).help(finding.help.clone());
    match finding.severity {
        Some(severity) => problem.severity(severity),
        None => problem,
    }
}
