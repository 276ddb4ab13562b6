//! Scalars with a unit: temperatures, times, shares, strengths, facts with their `±`, dates.

use rust_decimal::Decimal;

use super::fields::number_problem;
use super::yaml::Text;
use crate::measure::number;
use crate::measure::{Amount, Dimension, Unit, float};
use crate::problem::{Code, Problem, code};
use crate::source::{Span, Spanned};

/// A number with an optional half-width: `40 ± 0.3`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Measured {
    /// The value.
    pub value: Decimal,
    /// The half-width of its uncertainty, in the same unit.
    pub plus_minus: Option<Decimal>,
}

/// A number, its `±`, and the words after it.
#[derive(Debug, Clone)]
pub struct Quantity<'a> {
    /// The number.
    pub measured: Measured,
    /// The other end, where a range was written.
    pub high: Option<Decimal>,
    /// What follows the number, trimmed.
    pub unit: &'a str,
    /// Where that stands.
    pub unit_span: Span,
}

fn problem(text: &Text, code: Code, message: String, help: &str) -> Problem {
    Problem::new(code, text.span, message).help(help)
}

/// Splits a scalar into number, `±` and unit; `signed` lets the number be below zero, as temperatures may.
pub fn quantity<'a>(text: &'a Text, signed: bool, example: &str, problems: &mut Vec<Problem>) -> Option<Quantity<'a>> {
    let all = text.value.as_str();
    let lead = all.len() - all.trim_start().len();
    let mut at = lead;
    let mut sign = Decimal::ONE;
    if signed && let Some(c) = all[at..].chars().next().filter(|c| matches!(c, '-' | '−' | '–' | '+')) {
        at += c.len_utf8();
        if c != '+' {
            sign = -sign;
        }
        at += all[at..].len() - all[at..].trim_start().len();
    }
    let read = number::lex_range(&all[at..]);
    let first = match read {
        Ok(Some(n)) => n,
        Ok(None) => {
            problems.push(problem(
                text,
                code::BAD_NUMBER,
                format!("`{}` does not start with a number", text.value),
                &format!("write for example `{example}`"),
            ));
            return None;
        }
        Err(error) => {
            problems.push(number_problem(text, at, &error));
            return None;
        }
    };
    at += first.len;
    let mut plus_minus = None;
    let rest = all[at..].trim_start();
    // A label may give the unit before the sign too: `40 % ± 0.3 %`.
    if let Some(sign_at) = rest.find(['±']) {
        let from = all.len() - rest.len() + sign_at + '±'.len_utf8();
        let from = from + all[from..].len() - all[from..].trim_start().len();
        match number::lex(&all[from..]) {
            Ok(Some((width, used))) => {
                plus_minus = Some(width);
                let before = rest[..sign_at].trim();
                let after = all[from + used..].trim();
                let unit = if after.is_empty() { before } else { after };
                let start = unit.as_ptr() as usize - all.as_ptr() as usize;
                return Some(Quantity {
                    measured: Measured { value: first.low * sign, plus_minus },
                    high: first.high,
                    unit,
                    unit_span: text.part(start, start + unit.len()),
                });
            }
            Ok(None) => {
                problems.push(
                    Problem::new(code::BAD_NUMBER, text.part(from, all.len()), "no number follows `±`")
                        .help("write the half-width, for example `40 ± 0.3 %`"),
                );
                return None;
            }
            Err(error) => {
                problems.push(number_problem(text, from, &error));
                return None;
            }
        }
    }
    let unit = all[at..].trim();
    let start = if unit.is_empty() { all.len() } else { unit.as_ptr() as usize - all.as_ptr() as usize };
    Some(Quantity {
        measured: Measured { value: first.low * sign, plus_minus },
        high: first.high,
        unit,
        unit_span: text.part(start, start + unit.len()),
    })
}

fn single<'a>(text: &'a Text, signed: bool, example: &str, problems: &mut Vec<Problem>) -> Option<Quantity<'a>> {
    let q = quantity(text, signed, example, problems)?;
    if q.high.is_some() {
        problems.push(problem(
            text,
            code::BAD_NUMBER,
            format!("`{}` is a range, but one number is wanted here", text.value),
            &format!("write for example `{example}`"),
        ));
        return None;
    }
    Some(q)
}

fn wrong_unit(q: &Quantity<'_>, wanted: &str, example: &str) -> Problem {
    let (code, message) = if q.unit.is_empty() {
        (code::MISSING_UNIT, format!("the unit is missing: {wanted} is wanted"))
    } else {
        (code::WRONG_UNIT, format!("`{}` is not {wanted}", q.unit))
    };
    // What was written with the unit behind it is a better example than any other number.
    let example = match example.split_once(' ') {
        Some((_, unit)) if q.unit.is_empty() => format!("{} {unit}", q.measured.value),
        _ => example.to_owned(),
    };
    Problem::new(code, q.unit_span, message).help(format!("write for example `{example}`"))
}

/// A temperature in °C; °F is converted exactly.
pub fn temperature(text: &Text, problems: &mut Vec<Problem>) -> Option<Spanned<f64>> {
    let q = single(text, true, "4 °C", problems)?;
    let celsius = match q.unit.trim_start_matches('°').trim() {
        "C" | "c" | "℃" => q.measured.value,
        "F" | "f" => (q.measured.value - Decimal::from(32)) / rust_decimal::dec!(1.8),
        _ => {
            problems.push(wrong_unit(&q, "a temperature in °C or °F", "4 °C"));
            return None;
        }
    };
    let value = float(celsius);
    if !(-200.0..=300.0).contains(&value) {
        problems.push(problem(
            text,
            code::BAD_PARAMETER,
            format!("{} is no temperature for a drink", text.value),
            "write for example `4 °C`",
        ));
        return None;
    }
    Some(Spanned::new(value, text.span))
}

/// Hours in each word for a time.
const TIMES: &[(&[&str], f64)] = &[
    (&["s", "sec", "secs", "second", "seconds"], 1.0 / 3600.0),
    (&["min", "mins", "minute", "minutes"], 1.0 / 60.0),
    (&["h", "hr", "hrs", "hour", "hours"], 1.0),
    (&["d", "day", "days"], 24.0),
    (&["w", "wk", "week", "weeks"], 168.0),
    (&["month", "months"], 730.5),
    (&["year", "years", "y"], 8766.0),
];

/// A length of time in hours: `4 h`, `1 h 30 min`, `12 s`, `7 d`.
pub fn duration(text: &Text, problems: &mut Vec<Problem>) -> Option<Spanned<f64>> {
    let help = "write for example `20 min`, `1 h 30 min` or `7 d`";
    let mut hours = 0.0;
    let mut rest = text.value.trim();
    let mut any = false;
    while !rest.is_empty() {
        let offset = rest.as_ptr() as usize - text.value.as_ptr() as usize;
        let read = match number::lex_range(rest) {
            Ok(Some(read)) => read,
            Ok(None) => {
                problems.push(problem(
                    text,
                    code::BAD_NUMBER,
                    format!("`{}` is not a length of time", text.value),
                    help,
                ));
                return None;
            }
            Err(error) => {
                problems.push(number_problem(text, offset, &error));
                return None;
            }
        };
        if read.high.is_some_and(|high| high < read.low) {
            problems.push(
                Problem::new(code::BAD_RANGE, text.part(offset, offset + read.len), "this range ends below its start")
                    .help("write the shorter time first"),
            );
            return None;
        }
        let value = read.high.map_or(float(read.low), |high| (float(read.low) + float(high)) / 2.0);
        let tail = rest[read.len..].trim_start();
        let word_len = tail.find(|c: char| !c.is_alphabetic()).unwrap_or(tail.len());
        let word = tail[..word_len].to_lowercase();
        let Some((_, factor)) = TIMES.iter().find(|(words, _)| words.contains(&word.as_str())) else {
            let start = tail.as_ptr() as usize - text.value.as_ptr() as usize;
            let (code, message) = if word.is_empty() {
                (code::MISSING_UNIT, "the unit of time is missing".to_owned())
            } else {
                (code::WRONG_UNIT, format!("`{word}` is not a unit of time"))
            };
            problems
                .push(Problem::new(code, text.part(start.min(text.value.len()), start + word_len), message).help(help));
            return None;
        };
        hours += value * factor;
        rest = tail[word_len..].trim_start();
        any = true;
    }
    if !any || hours > 100.0 * 8766.0 {
        problems.push(problem(
            text,
            code::BAD_PARAMETER,
            format!("`{}` is not a sensible length of time", text.value),
            help,
        ));
        return None;
    }
    Some(Spanned::new(hours, text.span))
}

/// A share in percent; a bare number is a mistake.
pub fn percent(text: &Text, problems: &mut Vec<Problem>) -> Option<Spanned<f64>> {
    let q = single(text, false, "82 %", problems)?;
    if q.unit != "%" {
        problems.push(wrong_unit(&q, "a share in percent", "82 %"));
        return None;
    }
    Some(Spanned::new(float(q.measured.value), text.span))
}

/// An amount with its unit and nothing after it.
pub fn amount(text: &Text, wanted: Option<Dimension>, problems: &mut Vec<Problem>) -> Option<Spanned<Amount>> {
    let example = if wanted == Some(Dimension::Mass) { "20 g" } else { "500 ml" };
    let q = single(text, false, example, problems)?;
    let what = match wanted {
        Some(Dimension::Mass) => "a mass",
        Some(Dimension::Volume) => "a volume",
        None => "a volume or a mass",
    };
    match Unit::lex(q.unit).filter(|(_, used)| *used == q.unit.len()) {
        Some((unit, _)) if wanted.is_none_or(|d| d == unit.dimension()) => {
            Some(Spanned::new(Amount { value: q.measured.value, unit }, text.span))
        }
        _ => {
            problems.push(wrong_unit(&q, what, example));
            None
        }
    }
}

/// A number alone, as a float.
pub fn plain(text: &Text, problems: &mut Vec<Problem>) -> Option<Spanned<f64>> {
    super::fields::plain_number(text, problems).map(|n| Spanned::new(float(n), text.span))
}

/// A date `2026-11-02`, or a date and time `2026-11-20 15:30`.
pub fn date_time(text: &Text, problems: &mut Vec<Problem>) -> Option<Spanned<jiff::civil::DateTime>> {
    let value = text.value.trim().replacen(' ', "T", 1);
    let parsed = value
        .parse::<jiff::civil::DateTime>()
        .or_else(|_| value.parse::<jiff::civil::Date>().map(|d| d.at(0, 0, 0, 0)));
    match parsed {
        Ok(date) => Some(Spanned::new(date, text.span)),
        Err(_) => {
            problems.push(problem(
                text,
                code::BAD_DATE,
                format!("`{}` is not a date", text.value),
                "write the year first, for example 2026-11-20 or 2026-11-20 15:30",
            ));
            None
        }
    }
}
/// An address on the web, `https://bar.example/`, that may stand in a link.
pub fn web_address(text: Spanned<String>, problems: &mut Vec<Problem>) -> Option<Spanned<String>> {
    let whole = ["https://", "http://"].iter().any(|s| text.value.starts_with(s));
    if whole && !text.value.contains(|c: char| c.is_whitespace() || c.is_control() || matches!(c, '"' | '<' | '>')) {
        return Some(text);
    }
    problems.push(
        Problem::new(code::WRONG_VALUE, text.span, format!("`{}` is not a web address", text.value))
            .help("write for example `address: https://bar.example/`"),
    );
    None
}
