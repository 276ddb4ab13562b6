//! The measures of the house: what a dash or an ounce is, and in which units amounts are shown.

use rust_decimal::{Decimal, dec};

use super::House;
use crate::measure::unit::System;
use crate::measure::{Dimension, Unit, Units};
use crate::notebook::fields::Fields;
use crate::notebook::value;
use crate::notebook::yaml::Node;
use crate::problem::{Problem, code};

/// Largest volume that one unit may stand for, ml.
const LARGEST_MEASURE: Decimal = dec!(10_000);

pub(super) fn units(node: Node, house: &mut House, problems: &mut Vec<Problem>) {
    let Some(mut f) = Fields::open(node, "units", problems) else { return };
    if let Some(system) = f.text("system", problems) {
        match system.value.as_str() {
            "us" => {}
            "imperial" => house.units = Units::new(System::Imperial),
            other => problems.push(
                Problem::new(code::WRONG_VALUE, system.span, format!("`system` cannot be `{other}`"))
                    .help("choose one of: us, imperial"),
            ),
        }
    }
    if let Some(list) = f.texts("show", problems) {
        let mut show = Vec::new();
        for text in list {
            match Unit::from_word(&text.value).filter(|u| matches!(u, Unit::Ml | Unit::Cl | Unit::Oz)) {
                Some(unit) => show.push(unit),
                None => problems.push(
                    Problem::new(code::WRONG_VALUE, text.span, format!("amounts cannot be shown in `{}`", text.value))
                        .help("choose from: ml, cl, oz"),
                ),
            }
        }
        if !show.is_empty() {
            house.show = show;
        }
    }
    for (key, unit) in [
        ("oz", Unit::Oz),
        ("dash", Unit::Dash),
        ("barspoon", Unit::Barspoon),
        ("drop", Unit::Drop),
        ("splash", Unit::Splash),
        ("tsp", Unit::Tsp),
        ("tbsp", Unit::Tbsp),
        ("cup", Unit::Cup),
        ("jigger", Unit::Jigger),
        ("pony", Unit::Pony),
    ] {
        let Some(text) = f.text(key, problems) else { continue };
        let Some(amount) = value::amount(&text, Some(Dimension::Volume), problems) else { continue };
        if amount.value.value.is_zero() {
            problems.push(
                Problem::new(code::BAD_NUMBER, amount.span, format!("one {key} of nothing"))
                    .help("write its volume, for example `5 ml`"),
            );
            continue;
        }
        if let Some(base) = amount.value.base(&house.units) {
            if base > LARGEST_MEASURE {
                problems.push(
                    Problem::new(code::BAD_NUMBER, amount.span, format!("one {key} of more than ten litres"))
                        .help("check the number and its unit"),
                );
                continue;
            }
            house.units.set(unit, base);
            house.own_units.push(unit);
        }
    }
    f.close(problems);
}
