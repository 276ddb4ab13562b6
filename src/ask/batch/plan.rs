//! A recipe as a list of things to measure, for the batch as written: everything that grows with it, each as an exact amount.
//!
//! A batch is the recipe times a factor. All that goes in is multiplied, also what a process takes in (milk, tea, ice, water),
//! so what comes out has the same composition, and its volume is multiplied too.

use rust_decimal::Decimal;

use crate::ask::dial::pours::as_written;
use crate::measure::{Dimension, Exact, Unit, float};
use crate::mixture::Mixture;
use crate::notebook::pantry::Form;
use crate::notebook::pour::{PourAmount, PourLine, Role};
use crate::notebook::process_line::ParameterValue;
use crate::notebook::recipe_note::Makes;
use crate::process::Process;
use crate::recipe::graph::{Fruit, Measure, Pour};
use crate::recipe::names::{self, Target};
use crate::recipe::pantry::is_pack_word;
use crate::recipe::run::{Computed, Made, Poured, dimension};
use crate::source::Span;

/// Where a line of a batch goes in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    /// Into the mix, by its number.
    Mix(usize),
    /// By a process, under the name of its stage.
    Step(String),
    /// Into each glass at the end.
    Finish(usize),
}

/// Things that are counted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pieces {
    /// How many.
    pub count: Exact,
    /// What one is, in the line's own base.
    pub each: Exact,
    /// What one weighs, g, where that is known.
    pub weighs: Option<Exact>,
    /// The word for one.
    pub word: String,
    /// Whether they go in whole, rather than being pressed or opened.
    pub whole: bool,
    /// The fruit's key, where it is pressed.
    pub fruit: Option<String>,
    /// The fruit, where the pantry has it.
    pub fruit_target: Option<Target>,
}

/// One thing to measure.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// What it is called.
    pub name: String,
    /// What it is.
    pub target: Option<Target>,
    /// Where it goes in.
    pub place: Place,
    /// How much, ml or g by `dimension`, exact; for one glass where `per_glass`.
    pub base: Exact,
    /// Millilitres or grams.
    pub dimension: Dimension,
    /// The unit that it is written in.
    pub written: Option<Unit>,
    /// g/ml, where it is known.
    pub density: Option<Exact>,
    /// Pieces, where it is counted.
    pub pieces: Option<Pieces>,
    /// Which side of a fruit it is, where not all of the fruit goes in: what is pressed can be peeled first.
    pub side: Option<String>,
    /// Its volume, ml.
    pub ml: Option<Exact>,
    /// Its mass, g.
    pub grams: Option<Exact>,
    /// How much the recipe's own run takes of it, ml or g.
    pub original: f64,
    /// Whether it goes into each glass.
    pub per_glass: bool,
    /// Whether a scaled batch starts with less of it.
    pub taste: bool,
    /// What it fills up to, ml.
    pub fills_to: Option<Exact>,
    /// Whether a process puts it in and all of it stays: water, acid.
    pub stays: bool,
    /// Whether it is ice that a blender takes in.
    pub ice: bool,
    /// Whether it is the water that stands in for ice, poured only where the batch is to be ready.
    pub melt: bool,
    /// A unit of what it is made of: one ml, or one g of a solid.
    pub unit: Option<Mixture>,
    /// Where it is written.
    pub span: Span,
}

/// A recipe's lines and what it makes, as written.
#[derive(Debug, Clone)]
pub struct Plan {
    /// Which recipe.
    pub recipe: usize,
    /// What it makes, ml; `None` where that is not known.
    pub volume: Option<Exact>,
    /// What that weighs, g.
    pub mass: Option<Exact>,
    /// Of the batch into one glass, ml; `None` where the whole mixture is one serve, or for a prep.
    pub glass: Option<Exact>,
    /// Whether it is served.
    pub drink: bool,
    /// Size of the bottles that it is filled into, ml, and the share that stays empty.
    pub bottle: Option<(Exact, Exact)>,
    /// What goes in.
    pub lines: Vec<Line>,
    /// Pours that could not be read or worked out, as written.
    pub missing: Vec<String>,
}

/// Grams of water in a millilitre at 20 °C.
const WATER_G_PER_ML: f64 = crate::relation::ethanol_density::WATER_DENSITY_20C / 1000.0;

impl Plan {
    /// The plan of a recipe that has been made.
    #[must_use]
    pub fn new(computed: &Computed, recipe: usize, made: &Made) -> Self {
        let (node, note) = (&computed.graph.nodes[recipe], &computed.graph.notes.recipes[recipe]);
        let house = &computed.graph.notes.house;
        let batch = &made.batch().mixture;
        let drink = note.makes == Makes::Drink;
        let glass = note.serve.pour.as_ref().filter(|_| drink).and_then(|p| p.value.base(&house.units));
        let mut plan = Self {
            recipe,
            volume: batch.figure_volume().ok().filter(|v| *v > 0.0).and_then(Exact::computed),
            mass: batch.figure_mass().ok().filter(|v| *v > 0.0).and_then(Exact::computed),
            glass: glass.map(Exact::decimal),
            drink,
            bottle: bottle(computed, recipe),
            lines: Vec::new(),
            missing: Vec::new(),
        };
        let making = Making { computed, recipe };
        // Fruit that makes up the mix is pressed or peeled by the first process that does either.
        let taken = note
            .process
            .iter()
            .find_map(|p| taken(p.process).filter(|_| !p.parameters.iter().any(|(k, ..)| *k == "of")));
        for (index, (pour, line)) in node.mix.iter().zip(&note.mix).enumerate() {
            let poured = made.pours.get(index).and_then(Option::as_ref);
            let made = pour.as_ref().and_then(|p| making.line(p, poured, Place::Mix(index), line.role != Role::Mix));
            match made {
                Some(line) => plan.lines.push(Line { side: line.side.or_else(|| taken.map(side)), ..line }),
                None => plan.missing.push(line.text.value.clone()),
            }
        }
        making.steps(made, &mut plan);
        for (index, (pour, line)) in node.finish.iter().zip(&note.serve.finish).enumerate().filter(|_| drink) {
            let poured = made.finish.get(index).and_then(Option::as_ref);
            match pour.as_ref().and_then(|p| making.line(p, poured, Place::Finish(index), true)) {
                Some(line) => plan.lines.push(line),
                None => plan.missing.push(line.text.value.clone()),
            }
        }
        // Poured last, once everything else is in.
        plan.lines.extend(making.melt(made));
        plan
    }

    /// Water that stands in for the ice of the batch as written.
    pub fn melt(&self) -> impl Iterator<Item = &Line> {
        self.lines.iter().filter(|l| l.melt)
    }

    /// Whether a line goes in: ice, or where the batch is to be ready the water in its place.
    #[must_use]
    pub fn pours(line: &Line, ready: bool) -> bool {
        if ready { !line.ice } else { !line.melt }
    }

    /// Glasses that a factor fills: whole ones where a glass is measured out of the batch; else one for each time the recipe.
    #[must_use]
    pub fn glasses(&self, factor: &Exact) -> Option<Exact> {
        match &self.glass {
            Some(glass) => Some((self.volume.as_ref()? * factor).over(glass)?.floor()),
            None => Some(factor.clone()),
        }
    }
}

/// What a process takes of whole fruit.
fn taken(process: Process) -> Option<&'static str> {
    match process {
        Process::Juice => Some("juice"),
        Process::Peel => Some("peel"),
        _ => None,
    }
}

/// The side of a fruit that a part belongs to: juice is pressed from the flesh, zest is peel by another name.
fn side(part: &str) -> String {
    match part {
        "juice" | "flesh" | "pulp" => "flesh",
        "peel" | "zest" | "skin" | "rind" => "peel",
        other => other,
    }
    .to_owned()
}

/// The last `bottle` line that states a size.
fn bottle(computed: &Computed, recipe: usize) -> Option<(Exact, Exact)> {
    let house = &computed.graph.notes.house;
    let line = computed.graph.notes.recipes[recipe].process.iter().rfind(|l| l.process == Process::Bottle)?;
    let (mut size, mut headspace) = (None, Exact::computed(house.assume.headspace)?);
    for (key, _, value) in &line.parameters {
        match (*key, value) {
            ("size", ParameterValue::Amount(a)) => size = a.base(&house.units).map(Exact::decimal),
            ("headspace", ParameterValue::Percent(p)) => headspace = &Exact::computed(*p)? / 100,
            _ => {}
        }
    }
    size.filter(Exact::is_positive).filter(|_| headspace < Exact::one()).map(|size| (size, headspace))
}

struct Making<'a> {
    computed: &'a Computed,
    recipe: usize,
}

impl Making<'_> {
    fn line(&self, pour: &Pour, poured: Option<&Poured>, place: Place, per_glass: bool) -> Option<Line> {
        let graph = &self.computed.graph;
        let written = match &pour.line.amount {
            PourAmount::Measured { amount, .. } => Some(amount.unit),
            PourAmount::Few(unit) => Some(*unit),
            PourAmount::ToTaste => Some(graph.notes.house.assume.to_taste.unit),
            PourAmount::Bare if pour.line.role == Role::Rinse => Some(Unit::Barspoon),
            _ => None,
        };
        let unit = self.unit(pour.target);
        let density = unit.as_ref().and_then(|u| u.figure_density().ok()).filter(|d| *d > 0.0);
        let computed_ml = || poured.and_then(|p| Exact::computed(p.ml));
        let computed_g = || poured.and_then(|p| p.grams).and_then(Exact::computed);
        let dim = dimension(&pour.measure);
        let mut pieces = None;
        let exact = match &pour.measure {
            Measure::Volume(v) | Measure::Mass(v) => Exact::decimal(*v),
            Measure::Pieces { count, each, word, dimension } => {
                let liquid = matches!(pour.target, Target::Ingredient(i) if graph.pantry.ingredients[i].is_liquid());
                let pack = match word {
                    Some(word) => is_pack_word(word),
                    None => liquid && self.only_pack(pour.target),
                };
                let each = Exact::decimal(*each);
                pieces = Some(Pieces {
                    count: Exact::decimal(*count),
                    weighs: (*dimension == Dimension::Mass).then(|| each.clone()),
                    each: each.clone(),
                    word: word.clone().unwrap_or_else(|| "piece".into()),
                    whole: !pack,
                    fruit: None,
                    fruit_target: None,
                });
                &each * &Exact::decimal(*count)
            }
            Measure::Parts(parts) => self.parts(*parts)?,
            Measure::PartOf { .. } | Measure::Share(_) | Measure::UpTo(_) => match dim {
                Dimension::Volume => computed_ml()?,
                Dimension::Mass => computed_g()?,
            },
        };
        // A solid by the spoonful is weighed once it is more than a spoonful or two; juice of a fruit is poured.
        let solid = matches!(pour.target, Target::Ingredient(i) if graph.pantry.ingredients[i].form != Form::Liquid);
        let part_of = matches!(pour.measure, Measure::PartOf { .. });
        let (base, dimension) = match dim {
            Dimension::Volume if solid && pieces.is_none() => match computed_g() {
                Some(grams) => (grams, Dimension::Mass),
                None => (exact.clone(), dim),
            },
            Dimension::Mass if part_of && !solid => match computed_ml() {
                Some(ml) => (ml, Dimension::Volume),
                None => (exact.clone(), dim),
            },
            _ => (exact.clone(), dim),
        };
        if let Measure::PartOf { pieces: count, fruit, .. } = &pour.measure {
            pieces = self.pressed(pour, *count, fruit, &base);
        }
        let density = density.and_then(Exact::computed);
        let (ml, grams) = match dimension {
            // Foam is measured as foam; what it takes of the recipe is liquid.
            Dimension::Volume if pour.line.foam => (computed_ml(), computed_g()),
            Dimension::Volume => (Some(base.clone()), density.as_ref().map(|d| &base * d)),
            Dimension::Mass => (density.as_ref().and_then(|d| base.over(d)), Some(base.clone())),
        };
        Some(Line {
            name: as_written(graph, &pour.line.name.value, pour.target),
            target: Some(pour.target),
            place,
            original: match &pour.measure {
                Measure::Volume(v) | Measure::Mass(v) => float(*v),
                _ => exact.float(),
            },
            base,
            dimension,
            written: written.filter(|_| dimension == Dimension::Volume),
            density: density.filter(|_| dimension == Dimension::Volume && !pour.line.foam),
            pieces,
            ml,
            grams,
            per_glass,
            taste: pour.line.to_taste_when_scaled || pour.line.amount == PourAmount::ToTaste,
            fills_to: match &pour.measure {
                Measure::UpTo(ml) => Some(Exact::decimal(*ml)),
                _ => None,
            },
            side: match &pour.measure {
                Measure::PartOf { part, .. } => Some(side(part)),
                _ => None,
            },
            stays: false,
            ice: false,
            melt: false,
            unit,
            span: pour.line.text.span,
        })
    }

    /// Whether an ingredient is known by its pack alone, so that a bare number of it counts packs.
    fn only_pack(&self, target: Target) -> bool {
        matches!(target, Target::Ingredient(i) if self.computed.graph.pantry.ingredients[i].item.piece.is_none())
    }

    fn pressed(&self, pour: &Pour, count: Decimal, fruit: &Fruit, base: &Exact) -> Option<Pieces> {
        let graph = &self.computed.graph;
        let text = &pour.line.name.value;
        let name = text.split([',', '(']).next().unwrap_or(text).trim();
        let key = names::key(name);
        let weighs = match fruit {
            Fruit::Ingredient(i) => graph.pantry.ingredients[*i]
                .item
                .piece
                .as_ref()
                .filter(|p| p.amount.unit.dimension() == Dimension::Mass)
                .and_then(|p| p.amount.base(&graph.notes.house.units))
                .map(Exact::decimal),
            Fruit::Pressed(_) => graph.pantry.pressed.get(&key).and_then(|p| p.piece_g).and_then(Exact::computed),
        };
        let count = Exact::decimal(count);
        Some(Pieces {
            each: base.over(&count)?,
            count,
            weighs,
            word: names::singular(name),
            whole: false,
            fruit: Some(key),
            fruit_target: match fruit {
                Fruit::Ingredient(i) => Some(Target::Ingredient(*i)),
                Fruit::Pressed(_) => graph.names.get(name),
            },
        })
    }

    fn parts(&self, parts: Decimal) -> Option<Exact> {
        let graph = &self.computed.graph;
        let note = &graph.notes.recipes[self.recipe];
        let size = note.size.as_ref()?.value.base(&graph.notes.house.units).map(Exact::decimal)?;
        let one = |(pour, line): (&Option<Pour>, &PourLine)| match (pour.as_ref().map(|p| &p.measure), &line.amount) {
            (Some(Measure::Parts(n)), _) | (None, PourAmount::Parts(n)) => Exact::decimal(*n),
            _ => Exact::zero(),
        };
        let total: Exact = graph.nodes[self.recipe].mix.iter().zip(&note.mix).map(one).sum();
        (&size * &Exact::decimal(parts)).over(&total)
    }

    /// One unit of a target: one ml of a liquid or of what a recipe makes, one g of a solid.
    fn unit(&self, target: Target) -> Option<Mixture> {
        crate::ask::dial::pours::unit(self.computed, &std::collections::BTreeMap::new(), target)
    }

    /// What the processes take in.
    fn steps(&self, made: &Made, plan: &mut Plan) {
        let node = &self.computed.graph.nodes[self.recipe];
        for (step, stage) in node.process.iter().zip(made.stages.iter().skip(1)) {
            let place = || Place::Step(stage.name.clone());
            let fruit_of_mix = |key: &str| key == "of";
            for (key, pours) in &step.pours {
                for pour in pours {
                    let came_in = stage.added.iter().find(|a| a.what == pour.name).map(|a| a.grams);
                    let poured = came_in.and_then(|grams| self.poured(pour.target, grams));
                    match self.line(pour, poured.as_ref(), place(), false) {
                        Some(mut line) => {
                            line.ice = step.line.process == Process::Blend && names::key(&line.name).contains("ice");
                            line.side = line.side.or_else(|| taken(step.line.process).map(side));
                            plan.lines.push(line);
                        }
                        None if fruit_of_mix(key) => {}
                        None => plan.missing.push(pour.line.text.value.clone()),
                    }
                }
            }
            match step.line.process {
                Process::Water | Process::AcidAdjust | Process::Clarify => {
                    for added in stage.added.iter().filter(|a| a.grams > 0.0) {
                        plan.lines.extend(self.added(
                            step.line.process,
                            &added.what,
                            added.grams,
                            place(),
                            step.line.span,
                        ));
                    }
                }
                _ => {}
            }
        }
    }

    /// Water that ice gave, by stage: what is poured in its place where the batch is to be ready.
    fn melt(&self, made: &Made) -> Vec<Line> {
        use Process::{Blend, Shake, Stir, Swizzle, Throw};
        let node = &self.computed.graph.nodes[self.recipe];
        node.process
            .iter()
            .zip(made.stages.iter().skip(1))
            .filter(|(step, _)| matches!(step.line.process, Stir | Shake | Throw | Swizzle | Blend))
            .filter_map(|(step, stage)| {
                let ice = stage.added.iter().find(|a| a.what == "water from ice" && a.grams > 0.0)?;
                let place = Place::Step(stage.name.clone());
                let line = self.added(Process::Water, "water", ice.grams, place, step.line.span)?;
                // It is never in stock, and never dialled: nobody counts the tap.
                Some(Line { target: None, melt: true, ..line })
            })
            .collect()
    }

    fn poured(&self, target: Target, grams: f64) -> Option<Poured> {
        let mixture = self.unit(target)?.weighed(grams);
        Some(Poured { ml: mixture.volume_ml(), grams: Some(grams), mixture })
    }

    /// What a process works out itself: water by volume, powders by mass.
    fn added(&self, process: Process, what: &str, grams: f64, place: Place, span: Span) -> Option<Line> {
        let target = self.computed.graph.names.get(what);
        let water = process == Process::Water;
        let base = Exact::computed(if water { grams / WATER_G_PER_ML } else { grams })?;
        let density = Exact::computed(WATER_G_PER_ML).filter(|_| water);
        Some(Line {
            name: what.to_owned(),
            target,
            place,
            dimension: if water { Dimension::Volume } else { Dimension::Mass },
            written: None,
            ml: water.then(|| base.clone()),
            grams: Exact::computed(grams),
            density,
            pieces: None,
            original: base.float(),
            base,
            per_glass: false,
            taste: false,
            fills_to: None,
            side: None,
            stays: process != Process::Clarify,
            ice: false,
            melt: false,
            unit: if water { Some(Mixture::water(WATER_G_PER_ML, 20.0)) } else { target.and_then(|t| self.unit(t)) },
            span,
        })
    }
}
