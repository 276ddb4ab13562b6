//! Facts of an ingredient as written: a number, its `±`, and whether it is per volume or per mass.

use super::value::quantity;
use super::yaml::Text;
use crate::measure::float;
use crate::problem::{Problem, Severity, code};
use crate::source::Span;

/// What a fact is a share of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// Not written: per 100 ml of a liquid, per 100 g of a solid.
    Unstated,
    /// Per 100 ml.
    Volume,
    /// Per 100 g.
    Mass,
}

/// One fact. Unit by key: `abv` % vol; `sugar`, `acid`, `fat`, `protein`, `solids` g per 100 (ml or g);
/// `brix` °Bx; `density` g/ml; `sulphites`, `caffeine` mg/l (or mg/kg).
#[derive(Debug, Clone, PartialEq)]
pub struct Fact {
    /// The value.
    pub value: f64,
    /// Half-width of its uncertainty, same unit.
    pub plus_minus: Option<f64>,
    /// What it is a share of.
    pub basis: Basis,
    /// Where it was written.
    pub span: Span,
}

/// Which fact is being read, which fixes its units and its range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// % vol, 0 to 100.
    Strength,
    /// g per 100 ml or 100 g.
    Content,
    /// °Bx, 0 to 100.
    Brix,
    /// g/ml, 0.1 to 5.
    Density,
    /// mg/l or mg/kg.
    Trace,
    /// A plain ratio.
    Ratio,
}

fn scale(kind: Kind, unit: &str) -> Option<(f64, Basis)> {
    let unit: String = unit.to_lowercase().split_whitespace().collect();
    let unit = unit.replace("per", "/");
    Some(match (kind, unit.as_str()) {
        (Kind::Strength, "" | "%" | "%vol" | "%abv") => (1.0, Basis::Unstated),
        (Kind::Content, "" | "g") => (1.0, Basis::Unstated),
        (Kind::Content, "g/100ml" | "%w/v") => (1.0, Basis::Volume),
        (Kind::Content, "g/l") => (0.1, Basis::Volume),
        (Kind::Content, "g/ml") => (100.0, Basis::Volume),
        (Kind::Content, "g/100g" | "%w/w") => (1.0, Basis::Mass),
        (Kind::Content, "g/kg") => (0.1, Basis::Mass),
        (Kind::Content, "g/g") => (100.0, Basis::Mass),
        (Kind::Brix, "" | "°bx" | "bx" | "brix" | "%") => (1.0, Basis::Mass),
        (Kind::Density, "" | "g/ml" | "kg/l" | "g/cm3" | "g/cm³") => (1.0, Basis::Unstated),
        (Kind::Density, "g/l" | "kg/m3" | "kg/m³") => (0.001, Basis::Unstated),
        (Kind::Trace, "mg/l" | "ppm") => (1.0, Basis::Volume),
        (Kind::Trace, "mg/100ml") => (10.0, Basis::Volume),
        (Kind::Trace, "g/l") => (1000.0, Basis::Volume),
        (Kind::Trace, "mg/kg") => (1.0, Basis::Mass),
        (Kind::Trace, "mg/100g") => (10.0, Basis::Mass),
        (Kind::Trace, "mg/g") => (1000.0, Basis::Mass),
        (Kind::Ratio, "") => (1.0, Basis::Unstated),
        _ => return None,
    })
}

fn units_of(kind: Kind) -> &'static str {
    match kind {
        Kind::Strength => "40 %",
        Kind::Content => "10.5`, `48 g/l` or `99.8 g/100 g",
        Kind::Brix => "65 °Bx",
        Kind::Density => "1.23 g/ml",
        Kind::Trace => "120 mg/l",
        Kind::Ratio => "1.2",
    }
}

/// Reads a fact and checks it against what nature allows.
pub fn fact(text: &Text, key: &str, kind: Kind, problems: &mut Vec<Problem>) -> Option<Fact> {
    let q = quantity(text, false, units_of(kind), problems)?;
    // None of it is none in any unit.
    let none = kind == Kind::Trace && q.unit.is_empty() && q.measured.value.is_zero() && q.high.is_none();
    let scaled = if none { Some((1.0, Basis::Volume)) } else { scale(kind, q.unit) };
    let Some((factor, basis)) = scaled else {
        let message = match q.unit {
            "" => format!("`{key}` needs its unit"),
            unit => format!("`{key}` is not measured in `{unit}`"),
        };
        problems.push(
            Problem::new(if q.unit.is_empty() { code::MISSING_UNIT } else { code::WRONG_UNIT }, q.unit_span, message)
                .help(format!("write for example `{key}: {}`", units_of(kind))),
        );
        return None;
    };
    let (mut value, mut plus_minus) =
        (float(q.measured.value) * factor, q.measured.plus_minus.map(|d| float(d) * factor));
    // The highest that was written: the end of a range must be possible too.
    let mut top = value;
    if let Some(high) = q.high {
        if high < q.measured.value {
            problems.push(Problem::new(code::BAD_RANGE, text.span, "this range ends below its start").help(format!(
                "write `{key}: {}–{}`",
                high.normalize(),
                q.measured.value.normalize()
            )));
            return None;
        }
        // A range on a label is its middle, give or take half its width.
        let high = float(high) * factor;
        top = high;
        plus_minus = Some(((high - value) / 2.0).abs());
        value = f64::midpoint(value, high);
    }
    if let Some(width) = plus_minus.filter(|width| value > 0.0 && *width > value) {
        problems.push(
            Problem::new(code::FACT_OUT_OF_RANGE, text.span, format!("± {width} is more than the {value} itself"))
                .severity(Severity::Warning)
                .help(format!(
                    "write the half-width in the fact's own unit, for example `{key}: {value} ± {}`",
                    value / 100.0
                )),
        );
    }
    let fact = Fact { value, plus_minus, basis, span: text.span };
    match kind {
        Kind::Strength if top > 100.0 => {
            problems.push(
                Problem::new(code::STRENGTH_OUT_OF_RANGE, text.span, "alcoholic strength is above 100 % vol")
                    .label(format!("{top} % vol written here"))
                    .help(format!("write a percentage by volume at 20 °C, for example `{key}: 40`")),
            );
            None
        }
        Kind::Content if top > if basis == Basis::Mass { 100.0 } else { 200.0 } => {
            problems.push(out_of_range(text, key, "more than there is room for in 100 ml or 100 g"));
            None
        }
        Kind::Brix if top > 100.0 => {
            problems.push(out_of_range(text, key, "above 100 °Bx, which would be more than sugar"));
            None
        }
        Kind::Density if !(0.05..=5.0).contains(&value) => {
            problems.push(out_of_range(text, key, "no density in g/ml for anything in a bar"));
            None
        }
        Kind::Ratio if !(0.0..=20_000.0).contains(&value) => {
            problems.push(out_of_range(text, key, "out of any sensible range"));
            None
        }
        _ => Some(fact),
    }
}

fn out_of_range(text: &Text, key: &str, why: &str) -> Problem {
    Problem::new(code::FACT_OUT_OF_RANGE, text.span, format!("`{key}` is {why}"))
        .label(format!("`{}` written here", text.value))
        .help("check the label, and the unit that goes with the number")
}
