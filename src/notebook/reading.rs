//! Readings: what an instrument said, when, and after which process.

use super::fact::{self, Fact, Kind};
use super::fields::Fields;
use super::value;
use super::yaml::Node;
use crate::measure::{Amount, Dimension};
use crate::problem::{Problem, code};
use crate::source::{Span, Spanned};

/// One line of `readings`.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Where it stands.
    pub span: Span,
    /// When it was taken.
    pub date: Option<jiff::civil::DateTime>,
    /// The stage it was taken at; the last where it names none.
    pub after: Option<Spanned<String>>,
    /// pH.
    pub ph: Option<Spanned<f64>>,
    /// °Bx.
    pub brix: Option<Fact>,
    /// Specific gravity.
    pub gravity: Option<Spanned<f64>>,
    /// Strength, % vol.
    pub abv: Option<Fact>,
    /// Sugar, g/100 ml.
    pub sugar: Option<Fact>,
    /// Titratable acid, g/100 ml as anhydrous citric acid.
    pub acid: Option<Fact>,
    /// Volume.
    pub volume: Option<Spanned<Amount>>,
    /// Mass.
    pub weight: Option<Spanned<Amount>>,
    /// °C.
    pub temperature: Option<Spanned<f64>>,
}

/// Reads one reading.
pub fn reading(node: Node, problems: &mut Vec<Problem>) -> Option<Reading> {
    let mut fields = Fields::open(node, "a reading", problems)?;
    let content = |fields: &mut Fields, key: &'static str, kind: Kind, problems: &mut Vec<Problem>| {
        fields.text(key, problems).and_then(|t| fact::fact(&t, key, kind, problems))
    };
    let reading = Reading {
        span: fields.span,
        date: fields.text("date", problems).and_then(|t| value::date_time(&t, problems)).map(|d| d.value),
        after: fields.string("after", problems),
        ph: fields.text("ph", problems).and_then(|t| value::plain(&t, problems)),
        brix: content(&mut fields, "brix", Kind::Brix, problems),
        gravity: fields.text("gravity", problems).and_then(|t| value::plain(&t, problems)),
        abv: content(&mut fields, "abv", Kind::Strength, problems),
        sugar: content(&mut fields, "sugar", Kind::Content, problems),
        acid: content(&mut fields, "acid", Kind::Content, problems),
        volume: fields.text("volume", problems).and_then(|t| value::amount(&t, Some(Dimension::Volume), problems)),
        weight: fields.text("weight", problems).and_then(|t| value::amount(&t, Some(Dimension::Mass), problems)),
        temperature: fields.text("temperature", problems).and_then(|t| value::temperature(&t, problems)),
    };
    fields.close(problems);
    if let Some(ph) = reading.ph.as_ref().filter(|ph| ph.value > 14.0) {
        problems.push(
            Problem::new(code::FACT_OUT_OF_RANGE, ph.span, format!("pH {} does not exist", ph.value))
                .help("a pH lies between 0 and 14"),
        );
    }
    if let Some(gravity) = reading.gravity.as_ref().filter(|g| !(0.7..=1.5).contains(&g.value)) {
        problems.push(
            Problem::new(code::FACT_OUT_OF_RANGE, gravity.span, format!("{} is not a specific gravity", gravity.value))
                .help("write for example `gravity: 1.048`"),
        );
    }
    Some(reading)
}
