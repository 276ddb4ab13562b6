//! The answer as data: what stands in JSON, and what a page or a terminal reads.

use serde::{Serialize, Serializer};

use super::kit::Kit;
use super::plan::{Line, Place, Plan};
use super::rounding::{self, Answers, Figures, Pour};
use crate::ask::taste::Unknown;
use crate::measure::tool::{Measured, Tool, View};
use crate::measure::{Dimension, Exact, Unit, show};
use crate::mixture::Mixture;
use crate::mixture::figure::Figure;
use crate::notebook::pour::Role;
use crate::problem::{Problem, code};
use crate::recipe::graph::Graph;
use crate::recipe::names::Target;
use crate::recipe::run::Computed;

/// A scaled batch starts with so much of what goes in to taste: two thirds of it (common practice, no source).
const START: (u64, u64) = (2, 3);

/// An amount.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Amount {
    /// How much.
    pub amount: Exact,
    /// `ml`, `g`, `oz`, `dash`, `drop`, `barspoon`, or the word for a piece.
    pub unit: String,
}

/// For each glass.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PerGlass {
    /// Exact.
    pub exact: Amount,
    /// As measured.
    pub measure: Amount,
}

/// Pieces or packs to take.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Pieces {
    /// The word for one.
    pub unit: String,
    /// How many it would take, exact.
    pub exact: Exact,
    /// How many whole ones.
    pub count: Exact,
}

/// Bottles opened.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Opened {
    /// What one holds.
    pub size: Amount,
    /// How many.
    pub count: Exact,
}

/// One pour.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PourAnswer {
    /// Its name.
    pub name: String,
    /// All of it, exact.
    pub exact: Amount,
    /// All of it, as the tool measures it.
    pub measure: Amount,
    /// Measured against exact, %.
    pub error_pct: f64,
    /// The tool.
    pub tool: &'static str,
    /// The tool's step, ml or g; absent where there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub step: Option<Amount>,
    /// The stage at which a process takes it in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<String>,
    /// Where it goes into each glass: how much into one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub per_glass: Option<PerGlass>,
    /// What to start with, where it goes in to taste.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub start: Option<Amount>,
    /// Pieces or packs to take.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub take: Option<Pieces>,
    /// What is left over of whole pieces.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub surplus: Option<Amount>,
    /// Whole bottles opened.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub opens: Option<Opened>,
    /// What it fills up to.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fills_to: Option<Amount>,
    /// In how many loads the scale takes it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub loads: Option<u64>,
}

/// Bottles filled.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Bottles {
    /// What one holds to the brim, ml.
    pub size_ml: Exact,
    /// How many.
    pub count: u64,
    /// What goes into one, ml.
    pub fill_ml: Exact,
}

/// A change of figures: after, less before.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Drift {
    /// Percentage points of strength.
    pub abv_pct: Option<f64>,
    /// g/100 ml.
    pub sugar_g_per_100ml: Option<f64>,
    /// g/100 ml.
    pub acid_g_per_100ml: Option<f64>,
}

impl Drift {
    /// From one set of figures to another.
    #[must_use]
    pub fn between(before: Figures, after: Figures) -> Self {
        // What the same sum leaves in its last bits is no drift.
        let one = |i: usize| {
            let off = after[i]? - before[i]?;
            Some(if off.abs() < 1e-9 { 0.0 } else { off })
        };
        Self { abv_pct: one(0), sugar_g_per_100ml: one(1), acid_g_per_100ml: one(2) }
    }
}

/// A figure that rounding moves further than the house puts up with, and no tool here measures more finely.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Beyond {
    /// The figure, as its field in the drift is called.
    pub figure: &'static str,
    /// How far it may move, in the figure's own unit.
    pub tolerance: f64,
}

/// The fields of a drift, in the order of [`Figures`].
const DRIFTS: [&str; 3] = ["abv_pct", "sugar_g_per_100ml", "acid_g_per_100ml"];

/// Which figures rounding moves too far.
pub(super) fn beyond(pours: &[Pour], answers: &[Option<Answers>], kit: &Kit) -> Vec<Beyond> {
    let moved = rounding::beyond(pours.iter(), answers, kit);
    let figures = DRIFTS.into_iter().zip(&kit.tolerance).zip(moved);
    figures
        .filter(|(_, moved)| *moved)
        .map(|((figure, tolerance), _)| Beyond { figure, tolerance: tolerance.float() })
        .collect()
}

/// What of an asked size is not there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Short {
    /// What there is too little of.
    pub name: String,
    /// What the size that was asked for takes of it.
    pub needed: Amount,
    /// What there is.
    pub there: Amount,
    /// What is missing.
    pub missing: Amount,
}

/// The size that was asked for, where stock allows less.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Asked {
    /// Serves; absent where a volume was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub serves: Option<Exact>,
    /// ml; absent where serves were asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub makes_ml: Option<Exact>,
    /// What there is too little of.
    pub short: Vec<Short>,
}

/// A name that was taken for another, which alone fits in the recipe.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct TakenAs {
    /// As it was given.
    pub asked: String,
    /// What it was taken for.
    pub name: String,
}

/// Fruit of which several lines use different sides.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Fruit {
    /// Its name.
    pub name: String,
    /// How many are used up in all.
    pub count: Exact,
    /// The sides that come off the same ones.
    pub sides: Vec<String>,
}

/// Why nobody can tell what rounding does to a figure.
pub(super) fn unknown_drift(mixture: &Mixture) -> Vec<Unknown> {
    let figures = [
        ("drift.abv_pct", mixture.figure_abv()),
        ("drift.sugar_g_per_100ml", mixture.figure_sugar_per_100ml()),
        ("drift.acid_g_per_100ml", mixture.figure_acid_per_100ml()),
    ];
    let why = |(figure, value): (&str, Figure)| {
        Some(Unknown { figure: figure.into(), stage: None, because: value.err()?.text() })
    };
    figures.into_iter().filter_map(why).collect()
}

/// The answer for a recipe, or for a house-made part of it.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Answer {
    /// Its address.
    pub recipe: String,
    /// Its name.
    pub name: String,
    /// How many times the recipe.
    pub factor: Option<Exact>,
    /// What it makes, ml at 20 °C.
    pub makes_ml: Option<Exact>,
    /// Whole serves; `None` for a prep.
    pub serves: Option<u64>,
    /// What in stock decides.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limited_by: Option<String>,
    /// What was asked for, where stock allows less.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub asked: Option<Asked>,
    /// Names in stock that were taken for others.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub taken_as: Vec<TakenAs>,
    /// Fruit of which more than one side is used, in all of the batch.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub fruit: Vec<Fruit>,
    /// Of a part: what is needed of it, ml.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub needed_ml: Option<Exact>,
    /// Of a part: what of that is in stock, ml.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from_stock_ml: Option<Exact>,
    /// What goes in.
    pub pours: Vec<PourAnswer>,
    /// House-made parts, each once, for all that takes of it.
    #[serde(serialize_with = "parts")]
    pub preps: Vec<Answer>,
    /// What the rounding does to the drink.
    pub drift: Drift,
    /// Where that is more than the house puts up with, and no tool of it measures more finely.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub drift_beyond: Vec<Beyond>,
    /// What today's readings do to it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub today: Option<Drift>,
    /// Bottles filled.
    pub bottles: Vec<Bottles>,
    /// What is left after whole bottles, or after whole serves where nothing is bottled, ml.
    pub left_ml: Option<Exact>,
    /// Ready to pour.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ready: Option<super::ready::Ready>,
    /// Why figures are missing.
    pub unknown: Vec<Unknown>,
}

impl Answer {
    /// An answer that says how much, and not yet of what.
    #[must_use]
    pub fn new(computed: &Computed, plan: &Plan, factor: &Exact) -> Self {
        let graph = &computed.graph;
        let mut unknown = Vec::new();
        let note = &graph.notes.recipes[plan.recipe];
        if plan.volume.is_none() {
            let because = computed.made[plan.recipe].batch().mixture.figure_volume();
            let because = because.err().map_or_else(|| "nothing is left of it".into(), |b| b.text());
            unknown.push(Unknown { figure: "makes_ml".into(), stage: None, because });
        }
        for line in &plan.missing {
            unknown.push(Unknown {
                figure: "pours".into(),
                stage: None,
                because: format!("`{line}` could not be worked out"),
            });
        }
        Self {
            recipe: graph.nodes[plan.recipe].slug.clone(),
            name: note.name.value.clone(),
            factor: Some(factor.clone()),
            makes_ml: plan.volume.as_ref().map(|v| v * factor),
            serves: plan.glasses(factor).filter(|_| plan.drink).and_then(|n| n.count()),
            unknown,
            ..Self::default()
        }
    }

    /// Fills in what goes in; returns what should be said about it.
    pub(super) fn fill_in(&mut self, computed: &Computed, plan: &Plan, pours: &[Pour], view: View) -> Vec<Problem> {
        let mut problems = Vec::new();
        let scaled_up = self.factor.as_ref().is_some_and(|f| *f > Exact::one());
        for pour in pours {
            let line = &plan.lines[pour.line];
            problems.extend(doubt(line, pour));
            self.pours.push(answer(&computed.graph, line, pour, view, scaled_up));
        }
        problems
    }
}

/// An exact amount in the units of a view.
fn exact(line: &Line, base: &Exact, dimension: Dimension, view: View, ounce: &Exact) -> Amount {
    if let Some(p) = line.pieces.as_ref().filter(|p| p.whole) {
        return Amount { amount: base.over(&p.each).unwrap_or_else(Exact::zero), unit: p.word.clone() };
    }
    match (dimension, view) {
        (Dimension::Mass, _) => Amount { amount: base.clone(), unit: "g".into() },
        (Dimension::Volume, View::Metric) => Amount { amount: base.clone(), unit: "ml".into() },
        (Dimension::Volume, View::Ounces) => {
            Amount { amount: base.over(ounce).unwrap_or_else(Exact::zero), unit: "oz".into() }
        }
    }
}

fn measured(line: &Line, measured: &Measured, times: &Exact) -> Amount {
    let unit = match (&line.pieces, measured.tool) {
        (Some(p), Tool::Count) => p.word.clone(),
        _ => measured.unit.word().to_owned(),
    };
    Amount { amount: &measured.amount * times, unit }
}

fn answer(graph: &Graph, line: &Line, pour: &Pour, view: View, scaled_up: bool) -> PourAnswer {
    let ounce = Exact::decimal(graph.notes.house.units.factor(Unit::Oz));
    let in_view = |base: &Exact| exact(line, base, line.dimension, view, &ounce);
    let one = Exact::one();
    let base = |amount: Exact| Amount {
        amount,
        unit: if line.dimension == Dimension::Mass { "g".into() } else { "ml".into() },
    };
    let per_glass =
        line.per_glass.then(|| PerGlass { exact: in_view(&pour.exact), measure: measured(line, &pour.measured, &one) });
    let taken = pour.take.as_ref().zip(line.pieces.as_ref());
    let surplus = taken.and_then(|(take, pieces)| {
        let spare = &take.count - &take.exact;
        spare.is_positive().then(|| {
            if pieces.whole {
                Amount { amount: &spare * &pour.times, unit: pieces.word.clone() }
            } else {
                base(&(&spare * &pieces.each) * &pour.times)
            }
        })
    });
    PourAnswer {
        name: line.name.clone(),
        exact: in_view(&pour.total()),
        measure: measured(line, &pour.measured, &pour.times),
        error_pct: (&pour.error() * &Exact::whole(100)).float(),
        tool: pour.measured.tool.word(),
        step: pour.measured.step.is_positive().then(|| match (&line.pieces, pour.measured.tool) {
            (Some(p), Tool::Count) => Amount { amount: Exact::one(), unit: p.word.clone() },
            _ => base(pour.measured.step.clone()),
        }),
        at: match &line.place {
            Place::Step(stage) => Some(stage.clone()),
            _ => None,
        },
        start: (line.taste && scaled_up).then(|| start(line, pour)),
        take: taken.map(|(take, pieces)| Pieces {
            unit: pieces.word.clone(),
            exact: &take.exact * &pour.times,
            count: &take.count * &pour.times,
        }),
        surplus,
        opens: opens(graph, line, pour),
        fills_to: line.fills_to.as_ref().map(|to| {
            // What is filled up to grows as the batch does.
            let times = pour.exact.over(&line.base).unwrap_or_else(Exact::one);
            in_view(&(to * &times))
        }),
        loads: Some(pour.measured.loads).filter(|n| *n > 1),
        per_glass,
    }
}

/// What a batch starts with of what goes in to taste: two thirds, down to the tool's step.
fn start(line: &Line, pour: &Pour) -> Amount {
    let held_back = Exact::ratio(START.0, START.1).unwrap_or_else(Exact::one);
    let wanted = &pour.measured.amount * &held_back;
    let in_base = pour.measured.base.over(&pour.measured.amount).unwrap_or_else(Exact::one);
    // The tool's step in the unit that is read off it; pieces by ones.
    let step = match pour.measured.tool {
        Tool::Count => Exact::one(),
        _ => pour.measured.step.over(&in_base).unwrap_or_else(Exact::one),
    };
    let down = wanted.over(&step).map_or_else(|| wanted.clone(), |n| &n.floor() * &step);
    let amount = if down.is_positive() { down } else { pour.measured.amount.clone() };
    measured(line, &Measured { amount, ..pour.measured.clone() }, &pour.times)
}

/// Whole bottles or packs of what is bought in.
fn opens(graph: &Graph, line: &Line, pour: &Pour) -> Option<Opened> {
    let Some(Target::Ingredient(i)) = line.target else { return None };
    if line.pieces.is_some() {
        return None;
    }
    let pack = graph.pantry.ingredients[i].item.pack.as_ref()?;
    let size = pack.amount.base(&graph.notes.house.units).map(Exact::decimal)?;
    let dimension = pack.amount.unit.dimension();
    let per_base = match (dimension, line.dimension) {
        (a, b) if a == b => Exact::one(),
        (Dimension::Mass, _) => line.grams.as_ref()?.over(&line.base)?,
        (Dimension::Volume, _) => line.ml.as_ref()?.over(&line.base)?,
    };
    let count = (&pour.measured_total() * &per_base).over(&size)?.ceil();
    let unit = if dimension == Dimension::Volume { "ml" } else { "g" };
    Some(Opened { size: Amount { amount: size, unit: unit.into() }, count })
}

/// What is said of figures that rounding moves too far, at the pour that moves each most.
pub(super) fn too_far(answer: &Answer, plan: &Plan, pours: &[Pour], answers: &[Option<Answers>]) -> Vec<Problem> {
    let drift = [answer.drift.abv_pct, answer.drift.sugar_g_per_100ml, answer.drift.acid_g_per_100ml];
    let one = |beyond: &Beyond| {
        let figure = DRIFTS.iter().position(|d| *d == beyond.figure)?;
        let moved = drift[figure]?;
        let (word, unit, decimals) =
            [("strength", "% vol", 2), ("sugar", "g/100 ml", 2), ("acid", "g/100 ml", 3)][figure];
        let most = rounding::mover(pours, answers, figure, moved > 0.0)?;
        let line = &plan.lines[most.line];
        Some(
            Problem::new(
                code::ROUNDING_DRIFT,
                line.span,
                format!(
                    "in this size rounding moves the {word} of {} by {} {unit}, and the tolerance is {}: most of it is {}",
                    answer.name,
                    show::signed(moved, decimals),
                    show::trim(&show::fixed(beyond.tolerance, decimals)),
                    line.name
                ),
            )
            .help("make more at a time, add a finer jigger or scale to `tools` in house.yaml, or widen `tolerance` there"),
        )
    };
    answer.drift_beyond.iter().filter_map(one).collect()
}

fn doubt(line: &Line, pour: &Pour) -> Option<Problem> {
    let measured = &pour.measured;
    let unit = if line.dimension == Dimension::Mass { "g" } else { "ml" };
    if measured.tool == Tool::TooLittle {
        return Some(
            Problem::new(
                code::DOSE_TOO_SMALL,
                line.span,
                format!("{} {unit} of {} is less than any tool here measures", pour.exact.rounded(4), line.name),
            )
            .help("make more at a time, or measure it diluted in something else of the recipe"),
        );
    }
    (measured.tool == Tool::Scale && measured.coarse).then(|| {
        let share = (&measured.step * &Exact::whole(50)).over(&pour.exact).unwrap_or_else(Exact::zero);
        Problem::new(
            code::DOSE_TOO_SMALL,
            line.span,
            format!(
                "{} g of {} on a scale that shows {} g may be off by {} %, more than the 2 % of a good dose",
                pour.exact.rounded(3),
                line.name,
                measured.step.rounded(3),
                share.rounded(1)
            ),
        )
        .help("weigh it on a finer scale (`tools: {scales: […]}` in house.yaml), or make more at a time")
    })
}

/// Whether a pour is rinsed, floated or topped, for a reader.
#[must_use]
pub fn manner(role: Role) -> &'static str {
    match role {
        Role::Mix => "",
        Role::Top => "top with",
        Role::Float => "float",
        Role::Rinse => "rinse with",
    }
}

/// A part in the shape of the whole; what is wrong anywhere is told once, with the whole.
#[derive(Serialize)]
struct Part<'a> {
    #[serde(flatten)]
    answer: &'a Answer,
    problems: [(); 0],
}

fn parts<S: Serializer>(preps: &[Answer], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_seq(preps.iter().map(|answer| Part { answer, problems: [] }))
}
