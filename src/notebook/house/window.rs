//! Balance windows: the ranges that the house expects of a family of drinks.

use std::collections::BTreeMap;

use crate::measure::float;
use crate::notebook::fields::Fields;
use crate::notebook::value;
use crate::notebook::yaml::{Node, Text};
use crate::problem::{Problem, code};

/// A range that a family is expected in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
}

/// A balance window of the house.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Window {
    /// % vol.
    pub abv: Option<Range>,
    /// g/100 ml.
    pub sugar: Option<Range>,
    /// g/100 ml.
    pub acid: Option<Range>,
}

pub(super) fn windows(node: Node, windows: &mut BTreeMap<String, Window>, problems: &mut Vec<Problem>) {
    let Some(families) = Fields::open(node, "windows", problems) else { return };
    for (family, node) in families.rest() {
        let Some(mut f) = Fields::open(node, "a window", problems) else { continue };
        let mut window = Window::default();
        for (key, slot) in [("abv", &mut window.abv), ("sugar", &mut window.sugar), ("acid", &mut window.acid)] {
            *slot = f.text(key, problems).and_then(|t| range(&t, problems));
        }
        f.close(problems);
        windows.insert(family.value, window);
    }
}

/// `21–29 %`, `3.7–5.6`.
fn range(text: &Text, problems: &mut Vec<Problem>) -> Option<Range> {
    let q = value::quantity(text, false, "3.7–5.6", problems)?;
    let low = float(q.measured.value);
    let high = q.high.map_or(low, float);
    if !matches!(q.unit, "" | "%" | "% vol" | "g/100 ml") {
        problems.push(
            Problem::new(code::WRONG_UNIT, q.unit_span, format!("a window is not measured in `{}`", q.unit))
                .help("write for example `abv: 21–29 %` and `sugar: 3.7–5.6`"),
        );
        return None;
    }
    if high < low {
        problems.push(
            Problem::new(code::BAD_RANGE, text.span, "this range ends below its start")
                .help("write the lower figure first"),
        );
        return None;
    }
    Some(Range { low, high })
}
