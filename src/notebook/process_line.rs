//! Process lines: a bare name, or a name with parameters, each value typed and placed.

use super::fields::{Fields, nearest, wrong_type};
use super::pour::{PourLine, into_process, pour};
use super::value;
use super::yaml::{Node, Text};
use crate::measure::{Amount, Dimension, Unit, float};
use crate::problem::{Problem, code};
use crate::process::{Gravity, Level, Process, Takes};
use crate::source::Span;

/// The value of a parameter, as written.
#[derive(Debug, Clone, PartialEq)]
pub enum ParameterValue {
    /// Percent, 0 to 100 as a number.
    Percent(f64),
    /// °C.
    Temperature(f64),
    /// Hours.
    Time(f64),
    /// A volume or mass.
    Amount(Amount),
    /// A volume or a strength.
    Level(Level),
    /// Pours.
    Pours(Vec<PourLine>),
    /// A gravity.
    Gravity(Gravity),
    /// A number.
    Number(f64),
    /// A word of the parameter's list.
    Word(&'static str),
    /// A name, still to be resolved.
    Name(Text),
    /// Shares by name.
    Shares(Vec<(Text, f64)>),
}

/// One line of `process`.
#[derive(Debug, Clone, PartialEq)]
pub struct ProcessLine {
    /// Which process.
    pub process: Process,
    /// Where its name stands.
    pub span: Span,
    /// Parameters in the order written: key, place of the value, value.
    pub parameters: Vec<(&'static str, Span, ParameterValue)>,
    /// Hands-on time in hours.
    pub active: Option<f64>,
    /// Equipment that it needs.
    pub uses: Vec<String>,
    /// House edition only.
    pub note: Option<String>,
    /// Whether one of its parameters could not be read, so that it cannot be run as its writer meant it.
    pub unread: bool,
}

/// Reads one line of `process`.
pub fn process_line(node: Node, problems: &mut Vec<Problem>) -> Option<ProcessLine> {
    match node {
        Node::Text(text) => {
            let process = named(&text, problems)?;
            Some(ProcessLine {
                process,
                span: text.span,
                parameters: Vec::new(),
                active: None,
                uses: Vec::new(),
                note: None,
                unread: false,
            })
        }
        Node::Map(mut entries, span) => {
            if entries.len() != 1 {
                problems.push(
                    Problem::new(code::WRONG_TYPE, span, "one process a list item")
                        .help("write each process behind its own `-`, with its parameters in braces: `- chill: {to: 3 °C, for: 4 h}`"),
                );
                return None;
            }
            let (name, body) = entries.remove(0);
            let process = named(&name, problems)?;
            let body = match body {
                Node::Null(span) => Node::Map(Vec::new(), span),
                other => other,
            };
            let mut line = ProcessLine {
                process,
                span: name.span,
                parameters: Vec::new(),
                active: None,
                uses: Vec::new(),
                note: None,
                unread: false,
            };
            let Node::Map(..) = body else {
                let example = process
                    .parameters()
                    .first()
                    .map_or(String::new(), |p| format!("{}: {}", p.name, p.takes.example()));
                problems.push(
                    wrong_type(&body, &format!("`{}` takes its parameters as a mapping", process.name()))
                        .help(format!("write `{}: {{{example}}}`", process.name())),
                );
                return None;
            };
            let mut fields = Fields::open(body, process.name(), problems)?;
            for parameter in process.parameters() {
                if let Some(node) = fields.take(parameter.name) {
                    let at = node.span();
                    let before = problems.len();
                    if let Some(value) = parameter_value(node, parameter.name, parameter.takes, problems) {
                        line.parameters.push((parameter.name, at, value));
                    }
                    line.unread |= problems.len() > before;
                }
            }
            line.active = fields.text("active", problems).and_then(|t| value::duration(&t, problems)).map(|s| s.value);
            line.uses = fields.texts("uses", problems).unwrap_or_default().into_iter().map(|t| t.value).collect();
            line.note = fields.string("note", problems).map(|s| s.value);
            let mut unknown = Vec::new();
            fields.close(&mut unknown);
            line.unread |= !unknown.is_empty();
            for problem in unknown {
                problems.push(Problem { code: code::UNKNOWN_PARAMETER, ..problem });
            }
            Some(line)
        }
        other => {
            problems.push(
                wrong_type(&other, "a process is a name, or a name with parameters")
                    .help("write for example `- stir` or `- chill: {to: 3 °C, for: 4 h}`"),
            );
            None
        }
    }
}

fn named(text: &Text, problems: &mut Vec<Problem>) -> Option<Process> {
    if let Some(process) = Process::from_name(&text.value) {
        return Some(process);
    }
    let names: Vec<&str> = Process::all().map(Process::name).collect();
    let near = nearest(&text.value, names.iter().copied());
    let help = match near.first() {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("processes: {}", names.join(", ")),
    };
    problems
        .push(Problem::new(code::UNKNOWN_PROCESS, text.span, format!("`{}` is not a process", text.value)).help(help));
    None
}

fn parameter_value(node: Node, key: &'static str, takes: Takes, problems: &mut Vec<Problem>) -> Option<ParameterValue> {
    match takes {
        Takes::Pours => {
            let items = match node {
                Node::List(items, _) => items,
                other => vec![other],
            };
            let pours: Vec<PourLine> =
                items.into_iter().filter_map(|n| pour(n, problems).and_then(|p| into_process(p, problems))).collect();
            return (!pours.is_empty()).then_some(ParameterValue::Pours(pours));
        }
        Takes::Shares => return shares(node, key, problems),
        _ => {}
    }
    let text = super::fields::text(node, key, problems)?;
    Some(match takes {
        Takes::Percent => ParameterValue::Percent(value::percent(&text, problems)?.value),
        Takes::Temperature => ParameterValue::Temperature(value::temperature(&text, problems)?.value),
        Takes::Time => ParameterValue::Time(value::duration(&text, problems)?.value),
        Takes::Volume => ParameterValue::Amount(value::amount(&text, Some(Dimension::Volume), problems)?.value),
        Takes::Mass => ParameterValue::Amount(value::amount(&text, Some(Dimension::Mass), problems)?.value),
        Takes::Amount => ParameterValue::Amount(value::amount(&text, None, problems)?.value),
        Takes::VolumeOrStrength => {
            let q = value::quantity(&text, false, "1 l` or `22 %", problems)?;
            match (q.unit, Unit::lex(q.unit)) {
                ("%" | "% vol", _) => ParameterValue::Level(Level::Strength(float(q.measured.value))),
                (unit, Some((u, used))) if used == unit.len() && u.dimension() == Dimension::Volume => {
                    ParameterValue::Level(Level::Volume(Amount { value: q.measured.value, unit: u }))
                }
                (unit, _) => {
                    problems.push(
                        Problem::new(
                            code::WRONG_UNIT,
                            q.unit_span,
                            format!("`{key}` takes a volume or a strength, not `{unit}`"),
                        )
                        .help("write for example `1 l` or `22 %`"),
                    );
                    return None;
                }
            }
        }
        Takes::Gravity => gravity(&text, problems)?,
        Takes::Number => ParameterValue::Number(value::plain(&text, problems)?.value),
        Takes::Word(words) => {
            let Some(word) = words.iter().find(|w| w.eq_ignore_ascii_case(text.value.trim())) else {
                problems.push(
                    Problem::new(code::BAD_PARAMETER, text.span, format!("`{key}` cannot be `{}`", text.value))
                        .help(format!("choose one of: {}", words.join(", "))),
                );
                return None;
            };
            ParameterValue::Word(word)
        }
        Takes::Name => ParameterValue::Name(text),
        Takes::Pours | Takes::Shares => return None,
    })
}

fn gravity(text: &Text, problems: &mut Vec<Problem>) -> Option<ParameterValue> {
    let q = value::quantity(text, false, "1.048` or `12 °Bx", problems)?;
    let number = float(q.measured.value);
    let (gravity, ok) = match q.unit {
        "" | "SG" | "sg" => (Gravity::Specific(number), (0.95..=1.4).contains(&number)),
        "°Bx" | "Bx" | "°bx" | "bx" | "brix" | "Brix" | "°P" => {
            (Gravity::Brix(number), (0.0..=85.0).contains(&number))
        }
        other => {
            problems.push(
                Problem::new(code::WRONG_UNIT, q.unit_span, format!("`{other}` is not a gravity"))
                    .help("write a specific gravity such as 1.048, or `12 °Bx`"),
            );
            return None;
        }
    };
    if !ok {
        problems.push(
            Problem::new(
                code::BAD_PARAMETER,
                text.span,
                format!("`{}` is not a gravity that a must can have", text.value),
            )
            .help("a specific gravity lies between 0.95 and 1.4; write `12 °Bx` for a refractometer's reading"),
        );
        return None;
    }
    Some(ParameterValue::Gravity(gravity))
}

fn shares(node: Node, key: &'static str, problems: &mut Vec<Problem>) -> Option<ParameterValue> {
    match node {
        Node::Text(text) => Some(ParameterValue::Shares(vec![(text, 1.0)])),
        Node::Map(..) => {
            let fields = Fields::open(node, "shares", problems)?;
            let mut list = Vec::new();
            for (name, value) in fields.rest() {
                let text = super::fields::text(value, key, problems)?;
                let share = value::plain(&text, problems)?;
                if share.value <= 0.0 {
                    problems.push(
                        Problem::new(code::BAD_PARAMETER, text.span, "a share of nothing")
                            .help("leave the acid out, or give it a share above zero"),
                    );
                    return None;
                }
                list.push((name, share.value));
            }
            (!list.is_empty()).then_some(ParameterValue::Shares(list))
        }
        other => {
            problems.push(
                wrong_type(&other, &format!("`{key}` takes shares by name"))
                    .help("write for example `with: {citric acid: 2, malic acid: 1}`"),
            );
            None
        }
    }
}
