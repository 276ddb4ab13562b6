//! Dial: the smallest change of the pours that brings a drink to wanted figures.
//!
//! It minimises Σ wⱼ((xⱼ − x₀ⱼ)/max(x₀ⱼ, 1 % of the batch))² over the varied pours, with the figures read where balance is read
//! and every x between nothing (or what is in the glass already) and [`pours::MOST_BATCHES`] times the batch. The batch is what
//! the recipe makes as written: ml for what is poured by volume, g for what is weighed. `x₀` is what the recipe says, or what
//! has been poured.
//!
//! In: a computed recipe and a [`Request`]. Out: an [`Answer`], or a [`Refusal`] where the request makes no sense for this
//! recipe. Nothing here prints.
//!
//! Without a target on the volume at least half of it is kept where the targets allow that: by this measure it would often be
//! the least change to pour next to nothing. `--volume` says what size is wanted.

mod advice;
mod correction;
mod model;
pub mod pours;
mod quadratic;
mod solve;
pub mod target;
pub mod today;

use std::collections::BTreeMap;

use serde::Serialize;

use self::model::Model;
use self::pours::Pour;
use self::solve::{Found, Search};
pub use self::target::{Figure, Target};
use super::batch::TakenAs;
use super::batch::kit::Kit;
use super::taste::{StageFigures, Unknown, figures_of};
use crate::measure::{Amount, Dimension, show};
use crate::mixture::Mixture;
use crate::recipe::names;
use crate::recipe::run::{Computed, Made, Rerun};

/// Less than this is never told as a change, ml or g, however fine the tools.
const LEAST: f64 = 0.005;

/// A batch below this share of what it was is worth a remark.
const SHRUNK: f64 = 0.9;

/// A batch beyond so many times what it was is worth a remark.
const GROWN: f64 = 3.0;

/// A name that may vary.
#[derive(Debug, Clone, PartialEq)]
pub struct Named {
    /// The name, as asked for.
    pub name: String,
    /// How much a change of it counts beside others, above zero; 1 is usual.
    pub weight: f64,
}

/// What is asked.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Request {
    /// Figures to reach. Empty: those of the recipe as written.
    pub targets: Vec<Target>,
    /// What may vary; `None` takes what [`pours`] says.
    pub vary: Option<Vec<Named>>,
    /// Facts of today, see [`today::facts`].
    pub facts: BTreeMap<names::Target, Mixture>,
    /// Names that were taken for others.
    pub taken_as: Vec<TakenAs>,
    /// What is in the glass already; everything else is taken as poured by the recipe, and nothing can be taken out again.
    pub poured: Vec<(String, Amount)>,
}

/// Why a request cannot be put to this recipe.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// The fact.
    pub message: String,
    /// One thing to do.
    pub help: String,
    /// The argument that it is about, as it is called at the terminal; `None` where it is about several.
    pub about: Option<&'static str>,
}

impl Refusal {
    /// A refusal.
    #[must_use]
    pub fn new(message: impl Into<String>, help: impl Into<String>) -> Self {
        Self { message: message.into(), help: help.into(), about: None }
    }

    /// What it is about, unless that is known already.
    #[must_use]
    pub fn about(mut self, argument: &'static str) -> Self {
        self.about.get_or_insert(argument);
        self
    }
}

/// One target and what became of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reached {
    /// The figure's field.
    pub figure: &'static str,
    /// In its own unit.
    pub wanted: f64,
    /// In its own unit; `None` where it is not known.
    pub reached: Option<f64>,
    /// Which figure, for readers.
    #[serde(skip)]
    pub kind: Figure,
}

/// An amount in ml or g.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Measure {
    /// How much; `None` where it is not known.
    pub amount: Option<f64>,
    /// `ml` or `g`.
    pub unit: &'static str,
}

/// One pour before and after.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PourAnswer {
    /// Its name.
    pub name: String,
    /// As in the recipe, or in the glass.
    pub before: Measure,
    /// As it should be.
    pub after: Measure,
    /// After minus before; below zero is taken out.
    pub add: Measure,
    /// Whether it was allowed to vary.
    #[serde(skip)]
    pub varies: bool,
    /// Less than this, ml or g, nobody can measure.
    #[serde(skip)]
    pub least: f64,
}

impl PourAnswer {
    /// Whether it changes by as much as anybody can measure.
    #[must_use]
    pub fn changes(&self) -> bool {
        self.add.amount.is_some_and(|a| a.abs() >= self.least)
    }
}

/// What came of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Answer {
    /// The recipe's address.
    pub recipe: String,
    /// Whether every target is reached.
    pub feasible: bool,
    /// The targets.
    pub targets: Vec<Reached>,
    /// Every pour of the recipe, then what was offered beside it.
    pub pours: Vec<PourAnswer>,
    /// The figures where balance is read; where dilution is dialled, `dilution_pct` is all water added.
    pub result: StageFigures,
    /// What to do, in one sentence.
    pub correction: String,
    /// Why not, what is nearest, and what would make it possible.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub because: Option<String>,
    /// Why figures of the result are missing.
    pub unknown: Vec<Unknown>,
    /// What a reader should know beside it.
    #[serde(skip)]
    pub remarks: Vec<String>,
}

/// A question ready to be answered: names resolved, targets settled.
struct Question<'a> {
    computed: &'a Computed,
    recipe: usize,
    request: &'a Request,
    pours: Vec<Pour>,
    targets: Vec<Target>,
}

/// Answers for one recipe.
///
/// # Errors
/// A [`Refusal`] where a name means nothing or names what is not dialled, or where there is nothing to reach.
pub fn dial(computed: &Computed, recipe: usize, request: &Request) -> Result<Answer, Refusal> {
    let written = Rerun::new(computed, recipe, &request.facts).make(&BTreeMap::new(), &[]);
    let pours = pours::gather(computed, recipe, &written, request)?;
    used(computed, recipe, request, &pours).map_err(|r| r.about("--reading"))?;
    let targets = settled(computed, recipe, request)?;
    let question = Question { computed, recipe, request, pours, targets };
    Ok(question.answer())
}

/// Every fact of today must be of something that goes into the drink.
fn used(computed: &Computed, recipe: usize, request: &Request, pours: &[Pour]) -> Result<(), Refusal> {
    let graph = &computed.graph;
    let offered = pours.iter().filter_map(|p| match p.target {
        names::Target::Recipe(i) => Some(i),
        names::Target::Ingredient(_) => None,
    });
    let recipes: Vec<usize> =
        std::iter::once(recipe).chain(offered).flat_map(|r| graph.closure(r)).filter(|r| *r != recipe).collect();
    for fact in request.facts.keys() {
        let known = pours.iter().any(|p| p.target == *fact)
            || match fact {
                names::Target::Recipe(i) => recipes.contains(i),
                names::Target::Ingredient(i) => {
                    recipes.iter().chain([&recipe]).any(|r| graph.nodes[*r].ingredients.contains(i))
                }
            };
        if !known {
            let name = crate::problem::terminal::clean(graph.name(*fact));
            return Err(Refusal::new(
                format!("a reading of `{name}` says nothing here: it does not go into this recipe"),
                "leave it out, or name what the recipe pours",
            ));
        }
    }
    Ok(())
}

/// The targets asked for; with none, the figures of the recipe as written, which today's facts or a slip of the hand took it
/// away from.
fn settled(computed: &Computed, recipe: usize, request: &Request) -> Result<Vec<Target>, Refusal> {
    if !request.targets.is_empty() {
        return Ok(request.targets.clone());
    }
    let nothing = || {
        Refusal::new(
            "nothing to reach is named",
            "add for example `--abv 12`, `--sugar 7`, `--acid 0.8`, `--dilution 25` or `--volume \"1 l\"`",
        )
    };
    if request.facts.is_empty() && request.poured.is_empty() {
        return Err(nothing());
    }
    let read = &target::read_at(&computed.made[recipe]).mixture;
    let figures = [
        (Figure::Strength, read.figure_abv()),
        (Figure::Sugar, read.figure_sugar_per_100ml()),
        (Figure::Acid, read.figure_acid_per_100ml()),
    ];
    let targets: Vec<Target> =
        figures.into_iter().filter_map(|(figure, value)| value.ok().map(|wanted| Target { figure, wanted })).collect();
    if targets.is_empty() { Err(nothing()) } else { Ok(targets) }
}

impl Question<'_> {
    fn model<'m>(&'m self, pours: &'m [Pour], targets: Vec<Target>) -> Model<'m> {
        Model::new(self.computed, self.recipe, &self.request.facts, pours, targets)
    }

    fn answer(&self) -> Answer {
        let model = self.model(&self.pours, self.targets.clone());
        let start = model.start();
        let (made, amounts) = model.make(&start);
        let unknown: Vec<String> = self
            .targets
            .iter()
            .filter_map(|t| {
                let reason = model.read(t.figure, &made, &amounts).err()?;
                Some(format!("the {} is not known, because {}", t.figure.word(), reason.text()))
            })
            .collect();
        if !unknown.is_empty() {
            let mut answer = self.shown(&model, &start, Some(unknown.join("; ")));
            answer.correction = "what to change cannot be worked out".into();
            return answer;
        }
        match attempt(&model) {
            Some(found) => {
                let (pours, y) = self.without_crumbs(&model, found.y);
                self.shown(&self.model(&pours, self.targets.clone()), &y, None)
            }
            None => {
                let (found, because) = self.nearest(&model);
                self.shown(&model, &found.map_or(start, |f| f.y), Some(because))
            }
        }
    }

    /// The same without changes that nobody can measure: what hardly moves is put back, and the others reach the targets alone.
    fn without_crumbs(&self, model: &Model<'_>, mut y: Vec<f64>) -> (Vec<Pour>, Vec<f64>) {
        let mut pours = self.pours.clone();
        let mut start = model.start();
        while pours.iter().any(|p| p.weight.is_some()) {
            let mut fewer = pours.clone();
            let varied = fewer.iter_mut().filter(|p| p.weight.is_some());
            for (pour, (y, start)) in varied.zip(y.iter().zip(&start)) {
                if (y - start).abs() * pour.scale < self.least(pour.dimension) {
                    pour.weight = None;
                }
            }
            let varied = |list: &[Pour]| list.iter().filter(|p| p.weight.is_some()).count();
            if varied(&fewer) == varied(&pours) || varied(&fewer) == 0 {
                break;
            }
            let model = self.model(&fewer, self.targets.clone());
            let Some(found) = attempt(&model) else { break };
            (y, start) = (found.y, model.start());
            pours = fewer;
        }
        (pours, y)
    }

    /// Half of the least that the house's tools measure, ml or g.
    fn least(&self, dimension: Dimension) -> f64 {
        let tools = Kit::new(&self.computed.graph.notes.house, false).tools;
        let step = match dimension {
            Dimension::Volume => Some(&tools.drop),
            Dimension::Mass => tools.scales.first().map(|s| &s.step),
        };
        step.map_or(LEAST, |s| s.float() / 2.0).max(LEAST)
    }

    /// The answer for so much of each varied pour.
    fn shown(&self, model: &Model<'_>, y: &[f64], because: Option<String>) -> Answer {
        let (made, after) = model.make(y);
        let (_, before) = model.make(&model.start());
        let (mut result, unknown) = figures_of(target::read_at(&made));
        if self.targets.iter().any(|t| t.figure == Figure::Dilution) {
            // Water may have been poured or melted at several stages; what is dialled is all of it.
            result.dilution_pct = model.read(Figure::Dilution, &made, &after).ok();
        }
        let targets = self.targets.iter().map(|t| Reached {
            figure: t.figure.field(),
            wanted: t.wanted,
            reached: model.read(t.figure, &made, &after).ok(),
            kind: t.figure,
        });
        let pours: Vec<PourAnswer> = (self.pours.iter().zip(before.iter().zip(&after)))
            .map(|(p, (b, a))| pour_answer(p, *b, *a, self.least(p.dimension)))
            .collect();
        Answer {
            recipe: self.computed.graph.nodes[self.recipe].slug.clone(),
            feasible: because.is_none(),
            targets: targets.collect(),
            correction: correction::sentence(&pours, &made),
            pours,
            result,
            because,
            unknown,
            remarks: self.remarks(model, &made),
        }
    }

    fn remarks(&self, model: &Model<'_>, made: &Made) -> Vec<String> {
        let mut remarks: Vec<String> = self.request.taken_as.iter().map(super::batch::wording::taken_as).collect();
        let volume = |made: &Made| target::volume_at(made).mixture.volume_ml();
        let (before, after) = (volume(&model.make(&model.start()).0), volume(made));
        if after < SHRUNK * before && !self.targets.iter().any(|t| t.figure == Figure::Volume) {
            let size = show::amount(before);
            remarks.push(format!("the batch becomes smaller; `--volume \"{size} ml\"` keeps its size"));
        }
        if after > GROWN * before && !self.targets.iter().any(|t| t.figure == Figure::Volume) {
            let times = show::amount(after / before);
            remarks.push(format!("the batch becomes {times} times as large: to start again may waste less"));
        }
        if let Some(first) = made.stages.iter().find(|s| s.process.is_some()) {
            remarks.push(format!("amounts are of the mix, as it stands before `{}`", first.name));
        }
        if target::read_at(made).per_glass && made.served.as_ref().is_some_and(|s| s.pour_ml.is_some()) {
            remarks.push("figures are of one glass, the volume is of the batch".into());
        }
        if self.targets.iter().all(|t| t.figure == Figure::Volume) {
            remarks.push(
                "only the volume is dialled, so the drink changes; `costrel batch` makes more of it as it is".into(),
            );
        }
        if self.targets.iter().any(|t| t.figure == Figure::Dilution) {
            remarks.push("dilution is all water, poured or melted, as a share of the volume before it".into());
        }
        remarks
    }
}

/// The least change that reaches every target; `None` where none was found.
fn attempt(model: &Model<'_>) -> Option<Found> {
    let hard = vec![true; model.targets.len()];
    let met = |found: &Found| model.targets.iter().zip(&found.point.values).all(|(t, v)| t.met(*v));
    let half = Search::new(model, &hard)?.keeping_half().run()?;
    if met(&half) {
        return Some(half);
    }
    let straight = Search::new(model, &hard)?.loosely().run()?;
    if met(&straight) {
        return Some(straight);
    }
    // From far off the way there may be longer than the change itself: go near first, then straight.
    let soft = vec![false; model.targets.len()];
    let near = Search::new(model, &soft)?.run()?;
    let again = Search::new(model, &hard)?.loosely().from(&near.y).run()?;
    met(&again).then_some(again)
}

fn pour_answer(pour: &Pour, before: f64, after: f64, least: f64) -> PourAnswer {
    let unit = match pour.dimension {
        Dimension::Volume => "ml",
        Dimension::Mass => "g",
    };
    let measure = |value: f64| Measure { amount: Some(value).filter(|v| v.is_finite()), unit };
    PourAnswer {
        name: pour.name.clone(),
        before: measure(before),
        after: measure(after),
        add: measure(after - before),
        varies: pour.weight.is_some(),
        least,
    }
}
