//! Processes: what is done to a mixture, one file a process. This page is the one table of their names and parameters.
//!
//! In: a mixture, the parameters with every name resolved to a mixture, the settings of the bar. Out: the next mixture, what was
//! taken away, and what should be said about it. A process knows no recipe and no place in a file: a [`Finding`] names the
//! parameter, and `recipe` finds where it stands.

mod acid_adjust;
mod blend;
mod bottle;
mod carbonate;
mod charge;
mod chilling;
mod clarify;
pub mod doses;
mod fat_wash;
mod ferment;
mod freeze;
mod frozen;
mod given;
mod handled;
mod heat;
mod infuse;
mod loss;
mod milk_clarify;
mod over_glass;
mod over_ice;
mod press_fruit;
mod remark;
mod rest;
mod steep;
mod strain;
mod thaw;
mod water;

pub mod run;

pub use frozen::{InTheCold, in_the_cold};
pub use over_glass::over_glass;
pub use press_fruit::unstated;
pub use run::{Added, Args, Bar, Finding, Fruit, Outcome, Removed, Value, run};

use crate::measure::Amount;

/// A process of the notebook format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)] // the names are the trade's own
pub enum Process {
    Stir,
    Shake,
    Throw,
    Swizzle,
    Blend,
    DryShake,
    Roll,
    Muddle,
    Rest,
    Age,
    Chill,
    Freeze,
    Thaw,
    Smoke,
    Flame,
    Water,
    MilkClarify,
    Clarify,
    Strain,
    Filter,
    Infuse,
    FatWash,
    Ferment,
    Heat,
    Pasteurise,
    HotFill,
    AcidAdjust,
    Carbonate,
    Charge,
    Bottle,
    Juice,
    Peel,
}

/// What a parameter takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Takes {
    /// `82 %`.
    Percent,
    /// `3 °C`.
    Temperature,
    /// `4 h`.
    Time,
    /// `1 l`.
    Volume,
    /// `8 g`.
    Mass,
    /// A volume or a mass.
    Amount,
    /// A volume, or a strength such as `22 %`.
    VolumeOrStrength,
    /// A pour, or a list of them.
    Pours,
    /// A specific gravity such as `1.048`, or `12 °Bx`.
    Gravity,
    /// A plain number.
    Number,
    /// One of some words.
    Word(&'static [&'static str]),
    /// The name of an ingredient or recipe.
    Name,
    /// Shares by name: `{citric acid: 2, malic acid: 1}`.
    Shares,
}

impl Takes {
    /// An example, for messages.
    #[must_use]
    pub fn example(self) -> &'static str {
        match self {
            Self::Percent => "82 %",
            Self::Temperature => "4 °C",
            Self::Time => "20 min",
            Self::Volume => "500 ml",
            Self::Mass => "8 g",
            Self::Amount => "30 ml",
            Self::VolumeOrStrength => "1 l` or `22 %",
            Self::Pours => "20 g black tea",
            Self::Gravity => "1.048` or `12 °Bx",
            Self::Number => "3.0",
            Self::Word(words) => words[0],
            Self::Name => "lime juice",
            Self::Shares => "{citric acid: 2, malic acid: 1}",
        }
    }
}

/// One parameter of a process.
#[derive(Debug, Clone, Copy)]
pub struct Parameter {
    /// Its key.
    pub name: &'static str,
    /// What it takes.
    pub takes: Takes,
}

const fn p(name: &'static str, takes: Takes) -> Parameter {
    Parameter { name, takes }
}

const OVER_ICE: &[Parameter] = &[
    p("dilution", Takes::Percent),
    p("from", Takes::Temperature),
    p("ice", Takes::Temperature),
    p("for", Takes::Time),
    p("to", Takes::Temperature),
];
const BLEND: &[Parameter] = &[
    p("dilution", Takes::Percent),
    p("from", Takes::Temperature),
    p("ice", Takes::Temperature),
    p("for", Takes::Time),
    p("to", Takes::Temperature),
    p("with", Takes::Pours),
];
const TIMED: &[Parameter] = &[p("to", Takes::Temperature), p("for", Takes::Time)];
const HEATED: &[Parameter] = &[p("to", Takes::Temperature), p("for", Takes::Time), p("reduce_to", Takes::Amount)];
const STEEPED: &[Parameter] = &[
    p("with", Takes::Pours),
    p("for", Takes::Time),
    p("at", Takes::Temperature),
    p("absorbs", Takes::Volume),
    p("recovers", Takes::Percent),
];
const PRESSED: &[Parameter] = &[p("of", Takes::Pours), p("recovers", Takes::Percent)];
const STRAINED: &[Parameter] = &[p("recovers", Takes::Percent), p("for", Takes::Time)];

/// Words that `clarify` takes in `with`.
pub const AGENTS: &[&str] = &["agar", "gelatin", "pectinase", "filter", "spin"];
/// Words that `charge` takes in `gas`.
pub const GASES: &[&str] = &["N2O", "N2", "CO2"];

/// Names and parameters (**fixed** by the notebook format).
const TABLE: &[(Process, &str, &[Parameter])] = &[
    (Process::Stir, "stir", OVER_ICE),
    (Process::Shake, "shake", OVER_ICE),
    (Process::Throw, "throw", OVER_ICE),
    (Process::Swizzle, "swizzle", OVER_ICE),
    (Process::Blend, "blend", BLEND),
    (Process::DryShake, "dry-shake", TIMED),
    (Process::Roll, "roll", TIMED),
    (Process::Muddle, "muddle", TIMED),
    (Process::Rest, "rest", TIMED),
    (Process::Age, "age", TIMED),
    (Process::Chill, "chill", TIMED),
    (Process::Freeze, "freeze", TIMED),
    (Process::Thaw, "thaw", TIMED),
    (Process::Smoke, "smoke", TIMED),
    (Process::Flame, "flame", TIMED),
    (
        Process::Water,
        "water",
        &[
            p("add", Takes::Amount),
            p("to", Takes::VolumeOrStrength),
            p("as", Takes::Word(&["stir", "shake", "throw", "swizzle", "blend"])),
        ],
    ),
    (
        Process::MilkClarify,
        "milk-clarify",
        &[
            p("milk", Takes::Pours),
            p("rest", Takes::Time),
            p("drip", Takes::Time),
            p("passes", Takes::Number),
            p("recovers", Takes::Percent),
        ],
    ),
    (
        Process::Clarify,
        "clarify",
        &[
            p("with", Takes::Word(AGENTS)),
            p("dose", Takes::Percent),
            p("recovers", Takes::Percent),
            p("for", Takes::Time),
        ],
    ),
    (Process::Strain, "strain", STRAINED),
    (Process::Filter, "filter", STRAINED),
    (Process::Infuse, "infuse", STEEPED),
    (Process::FatWash, "fat-wash", STEEPED),
    (
        Process::Ferment,
        "ferment",
        &[p("from", Takes::Gravity), p("to", Takes::Gravity), p("for", Takes::Time), p("at", Takes::Temperature)],
    ),
    (Process::Heat, "heat", HEATED),
    (Process::Pasteurise, "pasteurise", HEATED),
    (Process::HotFill, "hot-fill", HEATED),
    (Process::AcidAdjust, "acid-adjust", &[p("to", Takes::Percent), p("like", Takes::Name), p("with", Takes::Shares)]),
    (
        Process::Carbonate,
        "carbonate",
        &[p("volumes", Takes::Number), p("bar", Takes::Number), p("at", Takes::Temperature)],
    ),
    (
        Process::Charge,
        "charge",
        &[
            p("siphon", Takes::Volume),
            p("gas", Takes::Word(GASES)),
            p("cartridges", Takes::Number),
            p("cartridge", Takes::Mass),
            p("overrun", Takes::Number),
            p("for", Takes::Time),
        ],
    ),
    (
        Process::Bottle,
        "bottle",
        &[
            p("size", Takes::Volume),
            p("in", Takes::Word(&["glass", "steel", "plastic"])),
            p("closed", Takes::Word(&["sealed", "vented"])),
            p("headspace", Takes::Percent),
        ],
    ),
    (Process::Juice, "juice", PRESSED),
    (Process::Peel, "peel", PRESSED),
];

impl Process {
    /// Every process, in the table's order.
    pub fn all() -> impl Iterator<Item = Process> {
        TABLE.iter().map(|(p, _, _)| *p)
    }

    fn row(self) -> &'static (Process, &'static str, &'static [Parameter]) {
        // Each variant has its row: `every_process_has_its_row` proves it.
        &TABLE[self as usize]
    }

    /// The name that a notebook writes.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.row().1
    }

    /// The parameters that it takes, besides `active`, `uses` and `note`.
    #[must_use]
    pub fn parameters(self) -> &'static [Parameter] {
        self.row().2
    }

    /// The process of a name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        TABLE.iter().find(|(_, n, _)| *n == name).map(|(p, _, _)| *p)
    }
}

/// A starting or finishing gravity as a reader took it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Gravity {
    /// Specific gravity 20/20, such as 1.048.
    Specific(f64),
    /// Soluble solids in °Bx.
    Brix(f64),
}

/// A volume or a strength, for `water: {to: …}`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Level {
    /// Up to a volume.
    Volume(Amount),
    /// Down to a strength in % vol.
    Strength(f64),
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_process_has_its_row() {
        for (i, (process, name, _)) in TABLE.iter().enumerate() {
            assert_eq!(*process as usize, i);
            assert_eq!(Process::from_name(name), Some(*process));
            assert_eq!(process.name(), *name);
        }
    }
}
