//! Running: every recipe's pours put together and its processes done, stage by stage, in the graph's order.

use std::collections::BTreeMap;

use super::graph::{Fruit as FruitOf, Graph, Measure, Node, Pour, ProcessStep};
use super::names::Target;
use super::pantry::{self, Ingredient};
use super::reading;
use crate::measure::{Dimension, float, show};
use crate::mixture::{Mixture, Part, Quantity};
use crate::notebook::pantry::Form;
use crate::notebook::pour::Role;
use crate::notebook::process_line::ParameterValue;
use crate::notebook::recipe_note::{Makes, RecipeNote};
use crate::problem::{Problem, code};
use crate::process::{self, Added, Args, Bar, Finding, Fruit, Level, Process, Removed, Value};
use crate::source::Span;

mod rerun;

pub use rerun::{Changes, Rerun, dimension, read_today, rerun};

/// A mixture after a process.
#[derive(Debug, Clone)]
pub struct Stage {
    /// `mix`, a process's name (`stir-2` for a second), `top` or `serve`.
    pub name: String,
    /// Which process made it.
    pub process: Option<Process>,
    /// The mixture, readings applied.
    pub mixture: Mixture,
    /// The mixture as computed, where a reading replaced it.
    pub estimate: Option<Mixture>,
    /// The mixture with each uncertain fact moved by its `±`, one at a time.
    pub moved: Vec<Mixture>,
    /// Water added, % of the volume before.
    pub dilution_pct: Option<f64>,
    /// Gauge pressure, bar.
    pub gauge_bar: Option<f64>,
    /// What came in.
    pub added: Vec<Removed>,
    /// What left.
    pub removed: Vec<Removed>,
    /// What to say beside it.
    pub remarks: Vec<String>,
    /// Relations used.
    pub sources: Vec<&'static str>,
    /// Whether it is one glass rather than the batch.
    pub per_glass: bool,
}

/// What a pour came to.
#[derive(Debug, Clone)]
pub struct Poured {
    /// Its mixture.
    pub mixture: Mixture,
    /// Its volume, ml.
    pub ml: f64,
    /// Its mass, g; `None` where nobody knows its density.
    pub grams: Option<f64>,
}

/// One serve.
#[derive(Debug, Clone)]
pub struct Served {
    /// Whole serves in the batch.
    pub count: u64,
    /// What is left of the batch, ml.
    pub left_ml: f64,
    /// Of the batch into one glass, ml; `None` where the whole mixture is one serve.
    pub pour_ml: Option<f64>,
}

/// A computed recipe.
#[derive(Debug, Clone)]
pub struct Made {
    /// Its stages, `mix` first.
    pub stages: Vec<Stage>,
    /// What each pour of `mix` came to, in order.
    pub pours: Vec<Option<Poured>>,
    /// What each pour of `finish` came to.
    pub finish: Vec<Option<Poured>>,
    /// Index of the last stage before the glass: what others use of it.
    pub batch: usize,
    /// Index of the stage at which balance is read.
    pub balance: usize,
    /// How it is served; `None` for a prep.
    pub served: Option<Served>,
    /// Latest pH reading.
    pub ph: Option<f64>,
    /// Foam volume over liquid volume.
    pub overrun: Option<f64>,
    /// What was assumed, for the page.
    pub assumptions: Vec<String>,
}

impl Made {
    /// What others use of it.
    #[must_use]
    pub fn batch(&self) -> &Stage {
        &self.stages[self.batch]
    }

    /// The last stage: the glass of a drink, the batch of a prep.
    #[must_use]
    pub fn last(&self) -> &Stage {
        // `mix` is always there.
        &self.stages[self.stages.len() - 1]
    }
}

/// A notebook computed.
#[derive(Debug)]
pub struct Computed {
    /// What it was computed from.
    pub graph: Graph,
    /// One a recipe, in the notes' order.
    pub made: Vec<Made>,
}

/// Runs every recipe. Problems found on the way are returned; a recipe with a fault still has stages, whose figures say
/// why they are not known.
#[must_use]
pub fn run(graph: Graph) -> (Computed, Vec<Problem>) {
    let mut problems = Vec::new();
    let mut made: Vec<Option<Made>> = vec![None; graph.nodes.len()];
    let world = World { graph: &graph, facts: &BTreeMap::new() };
    for &index in &graph.order {
        let done = Maker::new(&world, &|i| made[i].as_ref(), index).make(&mut problems);
        made[index] = Some(done);
    }
    // Every recipe is in the order exactly once, so every place is filled.
    let mut made: Vec<Made> = made.into_iter().flatten().collect();
    spread(&graph, &mut made);
    (Computed { graph, made }, problems)
}

/// The same notebook computed as if nobody had measured anything: what a public edition shows, since readings and measured
/// yields are the house's own. `None` where nothing was measured, so that the computed recipes are that already.
#[must_use]
pub fn without_readings(computed: &Computed) -> Option<Computed> {
    let measured = |r: &RecipeNote| !r.readings.is_empty() || r.makes_measured.is_some();
    if !computed.graph.notes.recipes.iter().any(measured) {
        return None;
    }
    let mut graph = computed.graph.clone();
    for recipe in &mut graph.notes.recipes {
        recipe.readings.clear();
        recipe.makes_measured = None;
    }
    // Its problems are those of the notebook, which were reported.
    Some(run(graph).0)
}

/// Moves each fact that carries a `±` by itself and runs again what depends on it: first-order propagation of uncertainty.
fn spread(graph: &Graph, made: &mut [Made]) {
    let moves: Vec<(usize, Mixture)> = graph
        .pantry
        .ingredients
        .iter()
        .enumerate()
        .flat_map(|(i, ingredient)| {
            ingredient
                .moved_sheets()
                .into_iter()
                .filter_map(move |sheet| pantry::unit_of(&sheet).ok().map(|unit| (i, unit)))
        })
        .collect();
    for (ingredient, unit) in moves {
        let facts = BTreeMap::from([(Target::Ingredient(ingredient), unit)]);
        let world = World { graph, facts: &facts };
        // Only what the fact touches is made again; the rest is as it was.
        let mut again: Vec<Option<Made>> = vec![None; made.len()];
        for &index in &graph.order {
            let node = &graph.nodes[index];
            if node.ingredients.contains(&ingredient) || node.uses.iter().any(|u| again[*u].is_some()) {
                let before = &*made;
                let done = Maker::new(&world, &|i| again[i].as_ref().or(before.get(i)), index).make(&mut Vec::new());
                again[index] = Some(done);
            }
        }
        for (index, new) in again.into_iter().enumerate() {
            let Some(new) = new else { continue };
            for (stage, other) in made[index].stages.iter_mut().zip(new.stages) {
                stage.moved.push(other.mixture);
            }
        }
    }
}

/// The pantry as it stands, and other facts in its place: one unit of an ingredient, any amount of what a recipe makes.
struct World<'a> {
    graph: &'a Graph,
    facts: &'a BTreeMap<Target, Mixture>,
}

impl World<'_> {
    fn unit(&self, ingredient: usize) -> Option<&Mixture> {
        let stated = self.graph.pantry.ingredients[ingredient].unit.as_ref();
        self.facts.get(&Target::Ingredient(ingredient)).or(stated)
    }
}

/// The recipes made so far.
type Done<'a> = &'a dyn Fn(usize) -> Option<&'a Made>;

/// Share of a mix's mass from which an unstated solid's volume shows: a gram dissolves to between 0.3 ml (salt) and 1.1 ml
/// (fat), so this much leaves the volume 0.4 % open at most, about the error of the volume model itself.
const LEAST_SHOWN: f64 = 0.005;

struct Maker<'a> {
    world: &'a World<'a>,
    made: Done<'a>,
    index: usize,
    /// Other amounts, and the recipe as it was made with the written ones.
    again: Option<rerun::Again<'a>>,
}

/// How much of a target.
#[derive(Clone, Copy)]
enum HowMuch {
    Millilitres(f64),
    Grams(f64),
}

/// A pour that could not be worked out; the problem, unless it was reported elsewhere.
type Fault = Option<Box<Problem>>;

impl<'a> Maker<'a> {
    fn new(world: &'a World<'a>, made: Done<'a>, index: usize) -> Self {
        Self { world, made, index, again: None }
    }

    fn note(&self) -> &RecipeNote {
        &self.world.graph.notes.recipes[self.index]
    }

    fn node(&self) -> &Node {
        &self.world.graph.nodes[self.index]
    }

    fn bar(&self) -> Bar {
        let house = &self.world.graph.notes.house;
        Bar {
            room_c: house.temperatures.room,
            ice_c: house.temperatures.ice,
            fridge_c: house.temperatures.fridge,
            freezer_c: house.temperatures.freezer,
            headspace: house.assume.headspace,
        }
    }

    fn make(&self, problems: &mut Vec<Problem>) -> Made {
        let mut assumptions: Vec<String> = Vec::new();
        let (mix, pours) = self.mix(problems);
        self.assumptions(&mut assumptions);
        let mut stages = vec![Stage {
            name: "mix".into(),
            process: None,
            mixture: mix,
            estimate: None,
            moved: Vec::new(),
            dilution_pct: None,
            gauge_bar: None,
            added: Vec::new(),
            removed: Vec::new(),
            remarks: Vec::new(),
            sources: Vec::new(),
            per_glass: false,
        }];
        let mut ph = None;
        self.read(&mut stages[0], true, self.node().process.is_empty(), &mut ph, problems);
        let overrun = self.processes(&mut stages, &mut ph, problems);
        let batch = stages.len() - 1;
        reading::check_stages(self.note(), &stages, problems);
        if self.again.is_none()
            && let Some(measured) = &self.note().makes_measured
            && let Some(ml) = measured.value.base(&self.world.graph.notes.house.units)
        {
            reading::set_volume(&mut stages[batch], float(ml), measured.span, problems);
        }
        let mut made =
            Made { stages, pours, finish: Vec::new(), batch, balance: batch, served: None, ph, overrun, assumptions };
        self.glass(&mut made, problems);
        made.assumptions.sort();
        made.assumptions.dedup();
        made
    }

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

    fn mix(&self, problems: &mut Vec<Problem>) -> (Mixture, Vec<Option<Poured>>) {
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
            .flatten()
            .map(|p| if let Measure::Parts(n) = p.measure { float(n) } else { 0.0 })
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
                    if !late {
                        let line = &self.note().mix[index];
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

    fn pour_mixture(
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
    fn target(&self, target: Target, how_much: HowMuch, at: Span) -> Result<Mixture, Fault> {
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
        mixture.temperature = room;
        mixture.ice_g = 0.0;
        Ok(mixture)
    }

    fn processes(&self, stages: &mut Vec<Stage>, ph: &mut Option<f64>, problems: &mut Vec<Problem>) -> Option<f64> {
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
            let result = self.args(step, &before).and_then(|args| {
                process::run(process, &before, &args, &self.bar(), &done).map_err(|f| Some(Box::new(located(step, &f))))
            });
            let mut stage = Stage {
                name,
                process: Some(process),
                mixture: before,
                estimate: None,
                moved: Vec::new(),
                dilution_pct: None,
                gauge_bar: None,
                added: Vec::new(),
                removed: Vec::new(),
                remarks: Vec::new(),
                sources: Vec::new(),
                per_glass: false,
            };
            match result {
                Ok(outcome) => {
                    problems.extend(outcome.findings.iter().map(|f| located(step, f)));
                    stage.mixture = outcome.mixture;
                    stage.dilution_pct = outcome.dilution_pct;
                    stage.gauge_bar = outcome.gauge_bar;
                    stage.added = outcome.added;
                    stage.removed = outcome.removed;
                    stage.remarks = outcome.remarks;
                    stage.sources = outcome.sources;
                    overrun = outcome.overrun.or(overrun);
                }
                Err(problem) => {
                    problems.extend(problem.map(|p| *p));
                    unknown_stage(&mut stage.mixture, &format!("`{}` could not be worked out", process.name()));
                }
            }
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
            let amount = |a: &crate::measure::Amount| {
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
                        Value::Fruit(self.fruit(pours.iter(), step.line.process.name())?)
                    } else {
                        let mut list = Vec::new();
                        for pour in pours {
                            let mixture = self.pour_mixture(pour, before, before, 0.0)?;
                            list.push(Added { name: pour.name.clone(), mixture });
                        }
                        Value::Added(list)
                    }
                }
            };
            args.values.insert(key, value);
        }
        if matches!(step.line.process, Process::Juice | Process::Peel) && !args.has("of") {
            let fruit = self.fruit(self.node().mix.iter().flatten(), step.line.process.name())?;
            args.values.insert("of", Value::Fruit(fruit));
        }
        Ok(args)
    }

    /// A hundred of it, millilitres or grams: what it is made of, not how much.
    fn sample(&self, target: Target, at: Span) -> Result<Added, Fault> {
        let solid =
            matches!(target, Target::Ingredient(i) if self.world.graph.pantry.ingredients[i].form != Form::Liquid);
        let how_much = if solid { HowMuch::Grams(100.0) } else { HowMuch::Millilitres(100.0) };
        Ok(Added { name: self.world.graph.name(target).to_owned(), mixture: self.target(target, how_much, at)? })
    }

    /// Fruit and what it gives; `part` is `juice` or `peel`.
    fn fruit<'p>(&self, pours: impl Iterator<Item = &'p Pour>, part: &str) -> Result<Vec<Fruit>, Fault> {
        let mut list = Vec::new();
        for pour in pours {
            let whole = self.pour_mixture(pour, &Mixture::default(), &Mixture::default(), 0.0)?;
            let grams = whole.mass_g();
            let (mut share, mut parts) = (None, Vec::new());
            let product_name = format!("{} {part}", super::names::key(&pour.name));
            let mut product = self.world.graph.names.get(&product_name);
            if let Target::Ingredient(i) = pour.target {
                let ingredient = &self.world.graph.pantry.ingredients[i];
                share = share_of(ingredient, part);
                parts = ingredient.item.parts.iter().map(|(p, s, _)| (p.clone(), *s)).collect();
                let pressed =
                    self.world.graph.pantry.pressed.get(&super::names::key(&pour.name)).filter(|_| part == "juice");
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
        let wanted = super::names::key(name);
        let ingredients = &self.world.graph.pantry.ingredients;
        ingredients
            .iter()
            .rposition(|i| {
                std::iter::once(&i.item.name).chain(&i.item.also).any(|n| super::names::key(&n.value) == wanted)
            })
            .map(Target::Ingredient)
    }

    /// What goes in the glass: tops, floats and rinses, then the finish.
    fn glass(&self, made: &mut Made, problems: &mut Vec<Problem>) {
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
            made.stages.push(glass_stage("top", glass.clone()));
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
        let mut stage = glass_stage("serve", glass);
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
        let wanted = super::names::key(&glass.value);
        let size = house
            .glasses
            .iter()
            .find(|(name, _)| super::names::key(name) == wanted)
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

    fn assumptions(&self, list: &mut Vec<String>) {
        let house = &self.world.graph.notes.house;
        let steps = self.node().process.iter().flat_map(|s| s.pours.values().flatten());
        for pour in self.node().mix.iter().chain(&self.node().finish).flatten().chain(steps) {
            if let Some(assumed) = &pour.assumed {
                list.push(format!("{}: {assumed}", pour.line.text.value));
            }
            use crate::measure::Unit;
            let unit = match &pour.line.amount {
                crate::notebook::pour::PourAmount::Measured { amount, .. } => amount.unit,
                crate::notebook::pour::PourAmount::Few(unit) => *unit,
                _ => continue,
            };
            if matches!(
                unit,
                Unit::Dash
                    | Unit::Barspoon
                    | Unit::Drop
                    | Unit::Splash
                    | Unit::Jigger
                    | Unit::Pony
                    | Unit::Tsp
                    | Unit::Tbsp
                    | Unit::Cup
            ) {
                let whose = if house.own_units.contains(&unit) {
                    "the house's own measure"
                } else {
                    "the default; measures of this kind differ"
                };
                list.push(format!("one {} is {} ml ({whose})", unit.word(), house.units.factor(unit).normalize()));
            }
        }
    }
}

/// A volume to a tenth of a millilitre: two that are compared must not look the same.
fn exactly(ml: f64) -> String {
    format!("{} ml", show::trim(&show::fixed(ml, 1)))
}

fn glass_stage(name: &str, mixture: Mixture) -> Stage {
    Stage {
        name: name.into(),
        process: None,
        mixture,
        estimate: None,
        moved: Vec::new(),
        dilution_pct: None,
        gauge_bar: None,
        added: Vec::new(),
        removed: Vec::new(),
        remarks: Vec::new(),
        sources: Vec::new(),
        per_glass: true,
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

fn weigh(mixture: Mixture) -> Poured {
    let grams = mixture.why_unknown(Quantity::Mass).is_none().then(|| mixture.mass_g());
    Poured { ml: mixture.volume_ml(), grams, mixture }
}

/// Share of a whole fruit's mass that a part or yield is, 0 to 1.
fn share_of(ingredient: &Ingredient, part: &str) -> Option<f64> {
    let of_part = |name: &str| ingredient.item.parts.iter().find(|(p, _, _)| p == name).map(|(_, s, _)| *s);
    let given = ingredient.item.yields.iter().find(|(p, _)| p == part);
    match given {
        Some((_, y)) => Some(y.share * y.of.as_deref().map_or(Some(1.0), of_part)?),
        None => of_part(part),
    }
}

/// Nothing about a mixture is known once a pour of it could not be worked out.
fn unknown_pour(mixture: &mut Mixture, line: &str) {
    unknown_stage(mixture, &format!("the pour `{line}` could not be worked out"));
}

fn unknown_stage(mixture: &mut Mixture, because: &str) {
    for quantity in [
        Quantity::Ethanol,
        Quantity::Sugar,
        Quantity::Acid,
        Quantity::Fat,
        Quantity::Protein,
        Quantity::Mass,
        Quantity::Volume,
        Quantity::Sulphites,
        Quantity::Caffeine,
    ] {
        mixture.gap(quantity, because);
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
