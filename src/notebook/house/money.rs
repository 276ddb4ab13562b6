//! Money of the house: what the house edition alone shows.

use rust_decimal::Decimal;

use crate::measure::number;
use crate::notebook::fields::Fields;
use crate::notebook::value;
use crate::notebook::yaml::Node;
use crate::problem::{Problem, code};

/// Money settings; house edition only.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Money {
    /// ISO 4217 code.
    pub currency: Option<String>,
    /// Sales tax, %.
    pub tax: Option<Decimal>,
    /// Target pour cost, %.
    pub pour_cost: Option<Decimal>,
    /// Labour per hour.
    pub labour: Option<Decimal>,
    /// Spillage, %.
    pub spillage: Option<Decimal>,
}

pub(super) fn money(node: Node, money: &mut Money, problems: &mut Vec<Problem>) {
    let Some(mut f) = Fields::open(node, "money", problems) else { return };
    let percent = |f: &mut Fields, key: &'static str, problems: &mut Vec<Problem>| {
        let text = f.text(key, problems)?;
        let q = value::quantity(&text, false, "20 %", problems)?;
        (q.unit == "%").then_some(q.measured.value).or_else(|| {
            problems.push(
                Problem::new(code::WRONG_UNIT, q.unit_span, format!("`{key}` is a share in percent"))
                    .help(format!("write `{key}: 20 %`")),
            );
            None
        })
    };
    money.currency = f.text("currency", problems).and_then(|t| {
        let ok = t.value.len() == 3 && t.value.bytes().all(|b| b.is_ascii_uppercase());
        if !ok {
            problems.push(
                Problem::new(code::WRONG_VALUE, t.span, format!("`{}` is not a currency code", t.value))
                    .help("write three capital letters, for example EUR"),
            );
        }
        ok.then_some(t.value)
    });
    money.tax = percent(&mut f, "tax", problems);
    money.pour_cost = percent(&mut f, "pour_cost", problems);
    money.spillage = percent(&mut f, "spillage", problems);
    money.labour = f.text("labour", problems).and_then(|t| match number::lex(&t.value) {
        Ok(Some((v, used))) if matches!(t.value[used..].trim(), "" | "per h" | "/h" | "per hour") => Some(v),
        _ => {
            problems.push(
                Problem::new(code::BAD_NUMBER, t.span, "`labour` is money per hour")
                    .help("write `labour: 18.00 per h`"),
            );
            None
        }
    });
    f.close(problems);
}
