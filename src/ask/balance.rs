//! Balance: strength, sugar and acid of the finished drink against the window of its family.

use serde::Serialize;

use crate::mixture::figure::Figure;
use crate::notebook::house::{House, Range};
use crate::recipe::run::Computed;
use crate::relation::balance_windows::{self as windows, Confirmation, Moment};

/// Where a figure lies in its window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// Below it.
    Low,
    /// Inside it.
    In,
    /// Above it.
    High,
}

impl Verdict {
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Low => "low",
            Self::In => "in",
            Self::High => "high",
        }
    }
}

/// One figure and its window.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Axis {
    /// The figure; `None` where it is not known.
    pub value: Option<f64>,
    /// Low end of the window.
    pub low: f64,
    /// High end of the window.
    pub high: f64,
    /// Where it lies; `None` where it is not known.
    pub verdict: Option<Verdict>,
}

/// The balance of a drink.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Balance {
    /// The family.
    pub family: String,
    /// % vol.
    pub abv: Option<Axis>,
    /// g/100 ml.
    pub sugar: Option<Axis>,
    /// g/100 ml.
    pub acid: Option<Axis>,
    /// Whose window it is.
    #[serde(skip)]
    pub source: String,
}

/// The window of a family: the house's where it gives one, else the published.
#[derive(Debug, Clone, PartialEq)]
pub struct WindowOf {
    /// % vol.
    pub abv: Option<Range>,
    /// g/100 ml.
    pub sugar: Option<Range>,
    /// g/100 ml.
    pub acid: Option<Range>,
    /// Whose it is.
    pub source: String,
}

/// Finds the window of a family; `None` where neither the house nor a published source has one.
#[must_use]
pub fn window(house: &House, family: &str) -> Option<WindowOf> {
    if let Some(own) = house.windows.get(family) {
        return Some(WindowOf {
            abv: own.abv,
            sugar: own.sugar,
            acid: own.acid,
            source: "the house's own window".into(),
        });
    }
    let mut recalled = false;
    let mut range = |figure| {
        let row = windows::find(family, Moment::Final, figure)?;
        recalled |= row.confirmation != Confirmation::Confirmed;
        Some(Range { low: row.low, high: row.high })
    };
    let abv = range(windows::Figure::Strength);
    let sugar = range(windows::Figure::Sugar);
    let acid = range(windows::Figure::Acid);
    if abv.is_none() && sugar.is_none() && acid.is_none() {
        return None;
    }
    let source =
        if recalled { format!("{}; in part from memory", windows::SOURCE) } else { windows::SOURCE.to_owned() };
    Some(WindowOf { abv, sugar, acid, source })
}

fn axis(range: Option<Range>, figure: &Figure) -> Option<Axis> {
    let Range { low, high } = range?;
    let value = figure.as_ref().ok().copied();
    // Some families have one published figure and no range: then what rounds to it is in.
    let slack = if low == high { 0.05 * low.max(1.0) } else { 0.0 };
    let verdict = value.map(|v| {
        if v < low - slack {
            Verdict::Low
        } else if v > high + slack {
            Verdict::High
        } else {
            Verdict::In
        }
    });
    Some(Axis { value, low, high, verdict })
}

/// The balance of a recipe, read where the design says: at `top` if there is one, else after the last process.
#[must_use]
pub fn balance(computed: &Computed, recipe: usize) -> Option<Balance> {
    let note = &computed.graph.notes.recipes[recipe];
    let family = note.family.as_ref()?;
    let window = window(&computed.graph.notes.house, &family.value)?;
    let made = &computed.made[recipe];
    let mixture = &made.stages[made.balance].mixture;
    Some(Balance {
        family: family.value.clone(),
        abv: axis(window.abv, &mixture.figure_abv()),
        sugar: axis(window.sugar, &mixture.figure_sugar_per_100ml()),
        acid: axis(window.acid, &mixture.figure_acid_per_100ml()),
        source: window.source,
    })
}
