//! A recipe that has been made: its stages, its pours and how it is served, as plain data.

use std::sync::Arc;

use super::AllMade;
use crate::mixture::Mixture;
use crate::problem::Problem;
use crate::process::{Process, Removed};
use crate::recipe::graph::Graph;

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
    /// Most that a closed bottle would come to hold in a room, bar above the atmosphere.
    pub builds_bar: Option<f64>,
    /// What its process found wrong that the safety rules know: reported with them, since it can be answered for.
    pub dangers: Vec<Danger>,
}

/// A hazard that a process found.
#[derive(Debug, Clone)]
pub struct Danger {
    /// The safety rule that it belongs to.
    pub hazard: &'static str,
    /// What there is to say, and where.
    pub problem: Problem,
}

impl Stage {
    /// A mixture at a stage, with nothing to say about it yet.
    #[must_use]
    pub(super) fn new(name: &str, process: Option<Process>, mixture: Mixture, per_glass: bool) -> Self {
        Self {
            name: name.to_owned(),
            process,
            mixture,
            estimate: None,
            moved: Vec::new(),
            dilution_pct: None,
            gauge_bar: None,
            added: Vec::new(),
            removed: Vec::new(),
            remarks: Vec::new(),
            sources: Vec::new(),
            per_glass,
            builds_bar: None,
            dangers: Vec::new(),
        }
    }
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
    pub graph: Arc<Graph>,
    /// One a recipe, in the notes' order.
    pub made: AllMade,
}
