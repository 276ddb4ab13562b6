//! What can be dialled to: five figures, how close is close enough, and where each is read.

use crate::mixture::Mixture;
use crate::mixture::figure::{Because, Figure as Value};
use crate::process::Process;
use crate::recipe::run::{Made, Stage};

/// A figure that a drink can be dialled to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Figure {
    /// % vol at 20 °C.
    Strength,
    /// g/100 ml.
    Sugar,
    /// g/100 ml as anhydrous citric acid.
    Acid,
    /// All water added, poured or melted, % of the volume of the rest.
    Dilution,
    /// ml at 20 °C.
    Volume,
}

impl Figure {
    /// Its field in JSON.
    #[must_use]
    pub fn field(self) -> &'static str {
        match self {
            Self::Strength => "abv_pct",
            Self::Sugar => "sugar_g_per_100ml",
            Self::Acid => "acid_g_per_100ml",
            Self::Dilution => "dilution_pct",
            Self::Volume => "volume_ml",
        }
    }

    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Strength => "strength",
            Self::Sugar => "sugar",
            Self::Acid => "acid",
            Self::Dilution => "dilution",
            Self::Volume => "volume",
        }
    }

    /// What stands behind its number.
    #[must_use]
    pub fn unit(self) -> &'static str {
        match self {
            Self::Strength => "% vol",
            Self::Sugar | Self::Acid => "g/100 ml",
            Self::Dilution => "%",
            Self::Volume => "ml",
        }
    }

    /// Decimals for readers.
    #[must_use]
    pub fn decimals(self) -> usize {
        match self {
            Self::Acid => 2,
            Self::Volume => 0,
            Self::Strength | Self::Sugar | Self::Dilution => 1,
        }
    }

    /// How far from what is wanted still counts as reached, in its own unit.
    #[must_use]
    pub fn tolerance(self, wanted: f64) -> f64 {
        match self {
            Self::Strength | Self::Sugar | Self::Dilution => 0.01,
            Self::Acid => 0.001,
            Self::Volume => (wanted * 1e-6).max(0.1),
        }
    }

    /// What a bar would put up with, in its own unit: the measure in which misses of different figures are compared. Half a
    /// point of strength, half a °Bx and 1 % are common practice without a source; acid and dilution are our own choice.
    #[must_use]
    pub fn grain(self, wanted: f64) -> f64 {
        match self {
            Self::Strength | Self::Sugar => 0.5,
            Self::Acid => 0.05,
            Self::Dilution => 1.0,
            Self::Volume => (wanted * 0.01).max(0.1),
        }
    }
}

/// One thing that is wanted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Target {
    /// Which figure.
    pub figure: Figure,
    /// In its own unit.
    pub wanted: f64,
}

impl Target {
    /// By how much a value misses, in the figure's own unit.
    #[must_use]
    pub fn miss(&self, value: f64) -> f64 {
        (value - self.wanted).abs()
    }

    /// Whether a value is close enough.
    #[must_use]
    pub fn met(&self, value: f64) -> bool {
        self.miss(value) <= self.figure.tolerance(self.wanted)
    }
}

/// The stage that figures are read at: where balance is read.
#[must_use]
pub fn read_at(made: &Made) -> &Stage {
    &made.stages[made.balance]
}

/// The stage that a volume is read at: where balance is read, but the batch where that is one glass of many.
#[must_use]
pub fn volume_at(made: &Made) -> &Stage {
    let one_of_many = made.served.as_ref().is_some_and(|s| s.pour_ml.is_some());
    let read = read_at(made);
    if read.per_glass && one_of_many { made.batch() } else { read }
}

/// Volumes that were poured together before any process, ml.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Together {
    /// Of pours that are water and nothing else.
    pub water_ml: f64,
    /// Of all others.
    pub rest_ml: f64,
}

/// Reads a figure off a recipe.
///
/// # Errors
/// [`Because`] where it is not known.
pub fn read(figure: Figure, made: &Made, together: Together) -> Value {
    let mixture = &read_at(made).mixture;
    match figure {
        Figure::Strength => mixture.figure_abv(),
        Figure::Sugar => mixture.figure_sugar_per_100ml(),
        Figure::Acid => mixture.figure_acid_per_100ml(),
        Figure::Volume => volume_at(made).mixture.figure_volume(),
        Figure::Dilution => dilution(made, together),
    }
}

/// All water added, % of what it was added to: poured water over the other pours, then each process in turn.
///
/// 1 + d = (1 + w/r) Π (1 + dᵢ), with w the water and r the rest poured, dᵢ a process's water over the volume before it.
/// With one process and no water poured it is the figure that the process shows.
fn dilution(made: &Made, together: Together) -> Value {
    if together.rest_ml <= 0.0 {
        return Err(Because::one("there is nothing but water"));
    }
    made.stages[0].mixture.figure_volume()?;
    let mut times = 1.0 + together.water_ml / together.rest_ml;
    for stage in &made.stages[..=made.batch] {
        match (stage.dilution_pct, stage.process) {
            (Some(percent), _) => times *= 1.0 + percent / 100.0,
            (None, Some(process)) if adds_water(process) => {
                return Err(Because::one(format!("`{}` could not be worked out", stage.name)));
            }
            (None, _) => {}
        }
    }
    Ok((times - 1.0) * 100.0)
}

fn adds_water(process: Process) -> bool {
    use Process::{Blend, Shake, Stir, Swizzle, Throw, Water};
    matches!(process, Stir | Shake | Throw | Swizzle | Blend | Water)
}

/// Whether a mixture is water and nothing else.
#[must_use]
pub fn is_water(mixture: &Mixture) -> bool {
    use crate::mixture::{Part, Quantity};
    let known = [Quantity::Ethanol, Quantity::Sugar, Quantity::Acid].iter().all(|q| mixture.why_unknown(*q).is_none());
    known && Part::ALL.iter().all(|p| (mixture.grams(*p) > 0.0) == (*p == Part::Water))
}
