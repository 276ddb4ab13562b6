//! What the bar measures with, and how far rounding to it may move a drink.

use rust_decimal::{Decimal, dec};

use super::{g, ml};
use crate::measure::{Amount, Dimension, Units};
use crate::notebook::fields::Fields;
use crate::notebook::value;
use crate::notebook::yaml::{Node, Text};
use crate::problem::{Problem, code};

/// A scale: its step and what it can carry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Finest step.
    pub step: Amount,
    /// Most that it carries; `None` where not written.
    pub capacity: Option<Amount>,
}

/// What the bar measures with.
#[derive(Debug, Clone, PartialEq)]
pub struct Tools {
    /// Jigger marks.
    pub jigger: Vec<Amount>,
    /// Step of the measuring jug.
    pub jug: Amount,
    /// Scales.
    pub scales: Vec<Scale>,
    /// Bottle sizes.
    pub bottles: Vec<Amount>,
    /// Siphon sizes.
    pub siphons: Vec<Amount>,
}

impl Default for Tools {
    fn default() -> Self {
        Self {
            jigger: [
                dec!(5),
                dec!(7.5),
                dec!(10),
                dec!(15),
                dec!(20),
                dec!(22.5),
                dec!(25),
                dec!(30),
                dec!(45),
                dec!(50),
                dec!(60),
            ]
            .map(ml)
            .to_vec(),
            jug: ml(dec!(10)),
            scales: vec![
                Scale { step: g(dec!(0.01)), capacity: Some(g(dec!(200))) },
                Scale { step: g(dec!(1)), capacity: Some(g(dec!(5000))) },
            ],
            bottles: vec![ml(dec!(700)), ml(dec!(1000))],
            siphons: vec![ml(dec!(500)), ml(dec!(1000))],
        }
    }
}

/// How far rounding to the tools may move a drink before it is measured more finely.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tolerance {
    /// Percentage points of alcoholic strength.
    pub abv: Decimal,
    /// g/100 ml.
    pub sugar: Decimal,
    /// g/100 ml as anhydrous citric acid.
    pub acid: Decimal,
}

impl Default for Tolerance {
    /// Half a point of strength and half a °Bx (common practice, no source); acid is our own choice.
    fn default() -> Self {
        Self { abv: dec!(0.5), sugar: dec!(0.5), acid: dec!(0.05) }
    }
}

pub(super) fn tools(node: Node, tools: &mut Tools, problems: &mut Vec<Problem>) {
    let Some(mut f) = Fields::open(node, "tools", problems) else { return };
    if let Some(list) = volumes(&mut f, "jigger", problems) {
        tools.jigger = list;
    }
    if let Some(jug) = volumes(&mut f, "jug", problems).and_then(|l| l.first().copied()) {
        tools.jug = jug;
    }
    if let Some(list) = volumes(&mut f, "bottles", problems) {
        tools.bottles = list;
    }
    if let Some(list) = volumes(&mut f, "siphons", problems) {
        tools.siphons = list;
    }
    if let Some(list) = f.texts("scales", problems) {
        let scales: Vec<Scale> = list.iter().filter_map(|t| scale(t, problems)).collect();
        if !scales.is_empty() {
            tools.scales = scales;
        }
    }
    f.close(problems);
}

fn volumes(f: &mut Fields, key: &'static str, problems: &mut Vec<Problem>) -> Option<Vec<Amount>> {
    let list = f.texts(key, problems)?;
    let mut read = Vec::new();
    for text in &list {
        let Some(amount) = value::amount(text, Some(Dimension::Volume), problems) else { continue };
        if amount.value.value.is_zero() {
            problems.push(
                Problem::new(code::BAD_NUMBER, amount.span, "a measure of nothing")
                    .help("write its volume, for example `30 ml`"),
            );
        } else {
            read.push(amount.value);
        }
    }
    (!read.is_empty()).then_some(read)
}

/// `0.01 g to 200 g`.
fn scale(text: &Text, problems: &mut Vec<Problem>) -> Option<Scale> {
    let part = |piece: &str| {
        let at = piece.as_ptr() as usize - text.value.as_ptr() as usize;
        Text { value: piece.to_owned(), span: text.part(at, at + piece.len()), exact: text.exact, quoted: text.quoted }
    };
    let (step, capacity) = match text.value.split_once(" to ") {
        Some((step, capacity)) => (part(step.trim()), Some(part(capacity.trim()))),
        None => (part(text.value.trim()), None),
    };
    let step = value::amount(&step, Some(Dimension::Mass), problems)?.value;
    let capacity = match capacity {
        Some(text) => Some(value::amount(&text, Some(Dimension::Mass), problems)?.value),
        None => None,
    };
    let grams = |a: Amount| a.base(&Units::default());
    if capacity.is_some_and(|most| grams(most) <= grams(step)) {
        problems.push(
            Problem::new(code::BAD_RANGE, text.span, "this scale's step is not below the most it weighs")
                .help("write the step first, for example `0.01 g to 200 g`"),
        );
        return None;
    }
    if step.value.is_zero() {
        problems.push(
            Problem::new(code::BAD_NUMBER, text.span, "a scale with a step of nothing")
                .help("write for example `0.01 g to 200 g`"),
        );
        return None;
    }
    Some(Scale { step, capacity })
}

/// `{abv: 0.5 %, sugar: 0.5, acid: 0.05}`.
pub(super) fn tolerance(node: Node, tolerance: &mut Tolerance, problems: &mut Vec<Problem>) {
    let Some(mut f) = Fields::open(node, "tolerance", problems) else { return };
    for (key, slot, units, example) in [
        ("abv", &mut tolerance.abv, ["", "%", "% vol"], "abv: 0.5 %"),
        ("sugar", &mut tolerance.sugar, ["", "g/100 ml", "g/100 ml"], "sugar: 0.5"),
        ("acid", &mut tolerance.acid, ["", "g/100 ml", "g/100 ml"], "acid: 0.05"),
    ] {
        let Some(text) = f.text(key, problems) else { continue };
        let Some(q) = value::quantity(&text, false, example, problems) else { continue };
        if !units.contains(&q.unit) {
            problems.push(
                Problem::new(code::WRONG_UNIT, q.unit_span, format!("`{key}` is not measured in `{}`", q.unit))
                    .help(format!("write for example `{example}`")),
            );
        } else if q.measured.value.is_zero() {
            problems.push(
                Problem::new(code::BAD_NUMBER, text.span, "no tool measures without any error")
                    .help(format!("write for example `{example}`")),
            );
        } else {
            *slot = q.measured.value;
        }
    }
    f.close(problems);
}
