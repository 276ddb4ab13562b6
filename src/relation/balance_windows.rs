//! Windows of balance per family of drink: the strength, sugar, acid and dilution that published drinks of that family have.

use Confirmation::{Confirmed, OneTranscription, Recalled, UpperEndOnly};
use Figure::{Acid, Dilution, Strength, Sugar};
use Moment::{Final, Process, Start};

/// Short citation for pages.
pub const SOURCE: &str = "D. Arnold, Liquid Intelligence (2014), pp. 125-126";
/// Accuracy: a window is a habit of published recipes, not a law of taste.
pub const ERROR: &str = "ranges of one author's recipes; see each window's confirmation";

/// What a window is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Figure {
    /// Alcoholic strength, % vol.
    Strength,
    /// Sugar, g/100 ml.
    Sugar,
    /// Titratable acid as citric, g/100 ml (the book writes %).
    Acid,
    /// Water added, % of the volume before.
    Dilution,
}

impl Figure {
    /// The unit of the window's two ends.
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Strength => "% vol",
            Self::Sugar | Self::Acid => "g/100 ml",
            Self::Dilution => "% of the volume before",
        }
    }
}

/// When the figure is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Moment {
    /// Before ice or water.
    Start,
    /// Of the process between.
    Process,
    /// Of the finished drink.
    Final,
}

/// How well the window is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Confirmation {
    /// Quoted with its page number in independent public notes.
    Confirmed,
    /// Its upper end is quoted so; the lower one is recalled only.
    UpperEndOnly,
    /// Used in one public transcription.
    OneTranscription,
    /// Recalled only: from memory, not confirmed.
    Recalled,
}

/// One row: what published drinks of a family have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Family, as a recipe writes it.
    pub family: &'static str,
    /// When the figure is read.
    pub moment: Moment,
    /// Which figure.
    pub figure: Figure,
    /// Lower end, in the figure's unit.
    pub low: f64,
    /// Upper end, in the figure's unit.
    pub high: f64,
    /// How well it is known.
    pub confirmation: Confirmation,
}

const fn window(
    family: &'static str,
    moment: Moment,
    figure: Figure,
    low: f64,
    high: f64,
    confirmation: Confirmation,
) -> Window {
    Window { family, moment, figure, low, high, confirmation }
}

/// All windows, by family in the book's order.
pub const WINDOWS: &[Window] = &[
    window("stirred", Start, Strength, 29.0, 43.0, Confirmed),
    window("stirred", Start, Sugar, 5.3, 8.0, Confirmed),
    window("stirred", Start, Acid, 0.15, 0.2, Confirmed),
    window("stirred", Process, Dilution, 41.0, 49.0, Confirmed),
    window("stirred", Final, Strength, 21.0, 29.0, Confirmed),
    window("stirred", Final, Sugar, 3.7, 5.6, Confirmed),
    window("stirred", Final, Acid, 0.1, 0.14, Confirmed),
    window("shaken", Start, Strength, 23.0, 31.5, Confirmed),
    window("shaken", Start, Sugar, 8.0, 13.5, Confirmed),
    window("shaken", Start, Acid, 1.2, 1.4, Confirmed),
    window("shaken", Process, Dilution, 51.0, 60.0, Confirmed),
    window("shaken", Final, Strength, 15.0, 19.7, Confirmed),
    window("shaken", Final, Sugar, 5.0, 8.9, Confirmed),
    window("shaken", Final, Acid, 0.76, 0.94, Confirmed),
    window("shaken with egg white", Start, Strength, 18.0, 23.0, Confirmed),
    window("shaken with egg white", Process, Dilution, 46.0, 49.0, Confirmed),
    window("shaken with egg white", Final, Strength, 12.1, 15.2, Confirmed),
    window("shaken with egg white", Final, Acid, 0.49, 0.68, Confirmed),
    window("shaken with egg white", Start, Sugar, 10.0, 13.2, Recalled),
    window("shaken with egg white", Start, Acid, 0.73, 1.0, UpperEndOnly),
    window("shaken with egg white", Final, Sugar, 6.7, 9.0, Recalled),
    window("built", Start, Strength, 34.0, 40.0, Recalled),
    window("built", Process, Dilution, 24.0, 24.0, OneTranscription),
    window("built", Final, Strength, 27.0, 32.0, UpperEndOnly),
    window("built", Final, Sugar, 7.6, 7.6, Recalled),
    window("built", Final, Acid, 0.0, 0.0, Recalled),
    window("blended", Process, Dilution, 90.0, 90.0, OneTranscription),
    window("blended", Final, Strength, 14.3, 15.0, Recalled),
    window("blended", Final, Sugar, 7.9, 8.1, Recalled),
    window("blended", Final, Acid, 0.57, 0.57, Recalled),
    window("carbonated", Final, Strength, 14.0, 16.0, Recalled),
    window("carbonated", Final, Sugar, 5.0, 7.5, Recalled),
    window("carbonated", Final, Acid, 0.38, 0.51, Recalled),
];

/// The window of a family for a figure, or `None` where the book gives none.
///
/// - `family`: as a recipe writes it, lower case
/// - `moment`, `figure`: what is asked
///
/// Source: D. Arnold, Liquid Intelligence (2014), pp. 125-126.
pub fn find(family: &str, moment: Moment, figure: Figure) -> Option<&'static Window> {
    WINDOWS.iter().find(|window| window.family == family && window.moment == moment && window.figure == figure)
}
