//! What the house assumes where a recipe says nothing, and its temperatures.

use rust_decimal::{Decimal, dec};

use super::{g, ml};
use crate::measure::{Amount, Dimension, Unit};
use crate::notebook::fields::Fields;
use crate::notebook::value;
use crate::notebook::yaml::Node;
use crate::problem::{Problem, code};

/// What is assumed where a recipe says nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct Assume {
    /// Fraction of a rinse that stays in the glass.
    pub rinse_stays: f64,
    /// A bare `top`.
    pub top: Amount,
    /// Fraction of a bottle left empty.
    pub headspace: f64,
    /// How many `a few` are.
    pub few: Decimal,
    /// What `to taste` starts from, for a liquid.
    pub to_taste: Amount,
    /// What `to taste` starts from, for a solid.
    pub pinch: Amount,
    /// Keys that the house wrote itself.
    pub written: Vec<&'static str>,
}

impl Default for Assume {
    fn default() -> Self {
        Self {
            rinse_stays: 0.2,
            top: ml(dec!(90)),
            headspace: 0.05,
            few: dec!(3),
            to_taste: Amount { value: dec!(1), unit: Unit::Dash },
            pinch: g(dec!(0.3)),
            written: Vec::new(),
        }
    }
}

/// Temperatures of the house, °C.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Temperatures {
    /// Room.
    pub room: f64,
    /// Ice.
    pub ice: f64,
    /// Fridge.
    pub fridge: f64,
    /// Freezer.
    pub freezer: f64,
}

impl Default for Temperatures {
    fn default() -> Self {
        Self { room: 20.0, ice: 0.0, fridge: 4.0, freezer: -18.0 }
    }
}

pub(super) fn assume(node: Node, assume: &mut Assume, problems: &mut Vec<Problem>) {
    let Some(mut f) = Fields::open(node, "assume", problems) else { return };
    let fraction = |f: &mut Fields, key: &'static str, problems: &mut Vec<Problem>| {
        let text = f.text(key, problems)?;
        let share = value::percent(&text, problems)?;
        if share.value > 100.0 {
            problems.push(
                Problem::new(code::BAD_PARAMETER, share.span, format!("{} % is more than the whole", share.value))
                    .help("write a share up to 100 %"),
            );
            return None;
        }
        Some(share.value / 100.0)
    };
    if let Some(v) = fraction(&mut f, "rinse_stays", problems) {
        assume.rinse_stays = v;
        assume.written.push("rinse_stays");
    }
    if let Some(v) = fraction(&mut f, "headspace", problems) {
        assume.headspace = v;
        assume.written.push("headspace");
    }
    if let Some(v) = f.text("top", problems).and_then(|t| value::amount(&t, Some(Dimension::Volume), problems)) {
        assume.top = v.value;
        assume.written.push("top");
    }
    if let Some(v) = f.number("few", problems) {
        if v.value.is_zero() || v.value > dec!(100) {
            problems.push(
                Problem::new(code::BAD_NUMBER, v.span, format!("{} is not a few", v.value.normalize()))
                    .help("write how many a few are, for example `few: 3`"),
            );
        } else {
            assume.few = v.value;
            assume.written.push("few");
        }
    }
    if let Some(v) = f.text("to_taste", problems).and_then(|t| value::amount(&t, Some(Dimension::Volume), problems)) {
        assume.to_taste = v.value;
        assume.written.push("to_taste");
    }
    if let Some(v) = f.text("pinch", problems).and_then(|t| value::amount(&t, Some(Dimension::Mass), problems)) {
        assume.pinch = v.value;
        assume.written.push("pinch");
    }
    f.close(problems);
}

pub(super) fn temperatures(node: Node, t: &mut Temperatures, problems: &mut Vec<Problem>) {
    let Some(mut f) = Fields::open(node, "temperatures", problems) else { return };
    for (key, slot) in
        [("room", &mut t.room), ("ice", &mut t.ice), ("fridge", &mut t.fridge), ("freezer", &mut t.freezer)]
    {
        if let Some(v) = f.text(key, problems).and_then(|text| value::temperature(&text, problems)) {
            if key == "ice" && v.value > 0.0 {
                problems.push(
                    Problem::new(code::BAD_PARAMETER, v.span, "ice is at 0 °C at most")
                        .help("write for example `ice: -5 °C`, or leave it out: bar ice is at 0 °C"),
                );
                continue;
            }
            *slot = v.value;
        }
    }
    f.close(problems);
}
