//! When the house is open, and in which time zone its clock runs.

use jiff::civil::Weekday;
use jiff::tz::TimeZone;

use crate::notebook::fields::{Fields, nearest, text};
use crate::notebook::yaml::{Node, Text};
use crate::problem::{Problem, code};
use crate::source::Spanned;

/// One line of opening hours.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Opening {
    /// The days as written, `tue-sat`.
    pub label: String,
    /// The times as written, `16:00-01:00`.
    pub times: String,
    /// The days on which the house opens.
    pub days: Vec<Weekday>,
    /// Opening and closing, in minutes from such a day's midnight. Closing lies after opening, so it passes 1440 where the
    /// house closes on the next day. Empty where it stays closed.
    pub spans: Vec<(u16, u16)>,
}

/// The days as written, Monday first.
const DAYS: [(&str, &str, Weekday); 7] = [
    ("mon", "monday", Weekday::Monday),
    ("tue", "tuesday", Weekday::Tuesday),
    ("wed", "wednesday", Weekday::Wednesday),
    ("thu", "thursday", Weekday::Thursday),
    ("fri", "friday", Weekday::Friday),
    ("sat", "saturday", Weekday::Saturday),
    ("sun", "sunday", Weekday::Sunday),
];

/// Minutes of a day.
const DAY: u16 = 24 * 60;

/// Reads `hours`: a day, a range of days or several, each with its times.
pub(super) fn hours(node: Node, problems: &mut Vec<Problem>) -> Vec<Opening> {
    let Some(fields) = Fields::open(node, "hours", problems) else { return Vec::new() };
    let mut openings: Vec<Opening> = Vec::new();
    for (key, node) in fields.rest() {
        if matches!(node, Node::Null(_)) {
            continue;
        }
        let Some(written) = text(node, "hours", problems) else { continue };
        let (Some(days), Some(spans)) = (days(&key, problems), times(&written, problems)) else { continue };
        if let Some(twice) = days.iter().find(|d| openings.iter().any(|o| o.days.contains(d))) {
            let name = DAYS.iter().find(|(.., d)| d == twice).map_or("", |(_, name, _)| name);
            problems.push(
                Problem::new(code::WRONG_VALUE, key.span, format!("the hours of {name} are written twice")).help(
                    "write several times of one day in one line, for example `sat: \"12:00-15:00, 17:00-24:00\"`",
                ),
            );
            continue;
        }
        openings.push(Opening { label: key.value, times: written.value, days, spans });
    }
    openings
}

/// Reads `timezone`: a name of the IANA time zone database.
pub(super) fn timezone(name: Spanned<String>, problems: &mut Vec<Problem>) -> Option<Spanned<String>> {
    if TimeZone::get(&name.value).is_ok() {
        return Some(name);
    }
    let known: Vec<String> = jiff::tz::db().available().map(|n| n.to_string()).collect();
    let near = nearest(&name.value, known.iter().map(String::as_str));
    let help = near.first().map_or_else(
        || "write a name of the IANA time zone database, for example Europe/Amsterdam".to_owned(),
        |near| format!("did you mean {near}?"),
    );
    problems
        .push(Problem::new(code::WRONG_VALUE, name.span, format!("no time zone `{}` is known", name.value)).help(help));
    None
}

/// `tue`, `tue-sat`, `mon, wed-fri`. A range may pass the end of the week.
fn days(key: &Text, problems: &mut Vec<Problem>) -> Option<Vec<Weekday>> {
    let mut list = Vec::new();
    for part in key.value.split(',') {
        let mut ends = part.split(['-', '–']).map(|word| day(word.trim()));
        let (from, to, more) = (ends.next().flatten(), ends.next(), ends.next());
        match (from, to, more) {
            (Some(from), None, None) => list.push(from),
            (Some(from), Some(Some(to)), None) => {
                let length = i64::from(from.until(to)) + 1;
                list.extend(from.cycle_forward().take(usize::try_from(length).unwrap_or(1)));
            }
            _ => {
                problems.push(
                    Problem::new(code::WRONG_VALUE, key.span, format!("`{}` is no day of the week", part.trim()))
                        .help("write a day or a range of days, for example `mon` or `tue-sat`"),
                );
                return None;
            }
        }
    }
    Some(list)
}

fn day(word: &str) -> Option<Weekday> {
    let word = word.to_lowercase();
    DAYS.iter().find(|(short, long, _)| word == *short || word == *long).map(|(.., day)| *day)
}

/// `closed`, `16:00-24:00`, `12:00-15:00, 17:00-01:00`.
fn times(text: &Text, problems: &mut Vec<Problem>) -> Option<Vec<(u16, u16)>> {
    if text.value.trim().eq_ignore_ascii_case("closed") {
        return Some(Vec::new());
    }
    let mut spans: Vec<(u16, u16)> = Vec::new();
    for part in text.value.split(',') {
        let problem = match span(part) {
            Some((from, to)) if spans.last().is_some_and(|last| from < last.1) || to > from + DAY => {
                format!("`{}` starts before the hours before it end", part.trim())
            }
            Some(span) => {
                spans.push(span);
                continue;
            }
            None => format!("`{}` are no opening hours", part.trim()),
        };
        problems.push(
            Problem::new(code::WRONG_VALUE, text.span, problem)
                .help("write opening and closing on a clock of 24 hours, for example `\"16:00-01:00\"`, or `closed`"),
        );
        return None;
    }
    Some(spans)
}

fn span(part: &str) -> Option<(u16, u16)> {
    let (from, to) = part.split_once(['-', '–'])?;
    let (from, to) = (clock(from.trim())?, clock(to.trim())?);
    if from == DAY {
        return None;
    }
    Some((from, if to > from { to } else { to + DAY }))
}

/// Minutes after midnight: `9:30`, `24:00`, a bare `18`.
fn clock(word: &str) -> Option<u16> {
    let (hours, minutes) = word.split_once(':').unwrap_or((word, "00"));
    let digits = |s: &str, most: usize| (1..=most).contains(&s.len()) && s.bytes().all(|b| b.is_ascii_digit());
    if !digits(hours, 2) || minutes.len() != 2 || !digits(minutes, 2) {
        return None;
    }
    let (hours, minutes): (u16, u16) = (hours.parse().ok()?, minutes.parse().ok()?);
    let at = 60 * hours + minutes;
    (minutes < 60 && at <= DAY).then_some(at)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clock_has_twenty_four_hours() {
        for (word, minutes) in [
            ("0:00", Some(0)),
            ("9:30", Some(570)),
            ("18", Some(1080)),
            ("24:00", Some(1440)),
            ("24:01", None),
            ("25:00", None),
            ("12:60", None),
            ("12:5", None),
            ("6pm", None),
            ("", None),
        ] {
            assert_eq!(clock(word), minutes, "{word}");
        }
    }

    #[test]
    fn hours_may_pass_midnight() {
        assert_eq!(span("16:00-01:00"), Some((960, 1500)));
        assert_eq!(span("0:00-24:00"), Some((0, 1440)));
        assert_eq!(span("24:00-01:00"), None);
    }
}
