//! The amount at the head of a pour line: `1 1/2 oz`, `a few dashes`, `juice of 2 limes`, `to 1 l`.

use rust_decimal::{Decimal, dec};

use super::cursor::Cursor;
use super::{PourAmount, middle, unknown_unit};
use crate::measure::{Amount, Unit, number};
use crate::notebook::fields::number_problem;
use crate::problem::{Problem, code};

/// Steps over the amount. [`PourAmount::Bare`] where the line starts with none, `None` where it is at fault, which is reported.
pub(super) fn amount(cursor: &mut Cursor<'_>, problems: &mut Vec<Problem>) -> Option<PourAmount> {
    if cursor.word("to taste") {
        return Some(PourAmount::ToTaste);
    }
    if cursor.word("to") {
        return up_to(cursor, problems);
    }
    if let Some(amount) = in_words(cursor) {
        return Some(amount);
    }
    if let Some(part) = part_of(cursor, problems) {
        return part;
    }
    let read = match number::lex_range(cursor.rest()) {
        Ok(Some(read)) => read,
        Ok(None) => return Some(PourAmount::Bare),
        Err(error) => {
            problems.push(number_problem(cursor.text, cursor.at, &error));
            return None;
        }
    };
    if let Some(problem) = turned_range(cursor, &read).or_else(|| run_on(cursor, &read)) {
        problems.push(problem);
        return None;
    }
    cursor.skip(read.len);
    if cursor.rest().starts_with('%') {
        cursor.skip(1);
        return Some(PourAmount::Share(middle(read.low, read.high)));
    }
    if read.high.is_none()
        && let Some(amount) = so_many_times(cursor, read.low, problems)
    {
        return amount;
    }
    if cursor.rest().trim().is_empty() {
        let written = &cursor.text.value;
        problems.push(
            Problem::new(code::MISSING_UNIT, cursor.text.span, format!("`{written}` has no unit and no name"))
                .help(format!("write for example `{} ml gin`", written.trim())),
        );
        return None;
    }
    if cursor.word("parts") || cursor.word("part") {
        return Some(PourAmount::Parts(middle(read.low, read.high)));
    }
    Some(unit_or_count(cursor, read.low, read.high, None))
}

/// `a few dashes`, `half a lime`, `an ounce`.
fn in_words(cursor: &mut Cursor<'_>) -> Option<PourAmount> {
    if ["a few", "few", "some"].into_iter().any(|lead| cursor.word(lead)) {
        return Some(few(cursor));
    }
    if ["half a", "half an", "half"].into_iter().any(|lead| cursor.word(lead)) {
        // `half an ounce` is a measure; `half a lime` is a piece that nobody weighed.
        return Some(match unit_or_count(cursor, dec!(0.5), None, None) {
            PourAmount::Count(_) => PourAmount::Half,
            measured => measured,
        });
    }
    (cursor.word("a") || cursor.word("an")).then(|| unit_or_count(cursor, Decimal::ONE, None, None))
}

/// The problem of a range that ends below its start.
fn turned_range(cursor: &Cursor<'_>, read: &number::Span) -> Option<Problem> {
    let high = read.high.filter(|high| *high < read.low)?;
    // `1-1/2 oz`: a hyphen between the whole and its fraction.
    let mixed = cursor.rest()[..read.len].split_once('-').filter(|_| high < Decimal::ONE);
    let help = match mixed {
        Some((whole, part)) => format!("write `{} {}` if it is one number", whole.trim(), part.trim()),
        None => format!("write `{}–{}`", high.normalize(), read.low.normalize()),
    };
    let span = cursor.text.part(cursor.at, cursor.at + read.len);
    Some(Problem::new(code::BAD_RANGE, span, "this range ends below its start").help(help))
}

/// `x 50 ml` behind a number: `6 x 50 ml`, `6x50 ml`, `6×50 ml`. `None` if the line is not of that form, and the cursor stays.
fn so_many_times(cursor: &mut Cursor<'_>, times: Decimal, problems: &mut Vec<Problem>) -> Option<Option<PourAmount>> {
    let before = cursor.at;
    let sign = cursor.rest().chars().next().filter(|c| matches!(c, 'x' | 'X' | '×'))?;
    if cursor.rest()[sign.len_utf8()..].starts_with(char::is_alphabetic) {
        return None;
    }
    cursor.skip(sign.len_utf8());
    match number::lex(cursor.rest()) {
        Ok(Some((each, used))) => {
            cursor.skip(used);
            Some(Some(unit_or_count(cursor, each, None, Some(times))))
        }
        Ok(None) => {
            cursor.at = before;
            None
        }
        Err(error) => {
            problems.push(number_problem(cursor.text, cursor.at, &error));
            Some(None)
        }
    }
}

/// `juice of 2 limes`; `None` if the line is not of that form.
fn part_of(cursor: &mut Cursor<'_>, problems: &mut Vec<Problem>) -> Option<Option<PourAmount>> {
    let rest = cursor.rest();
    let (part, after) = rest.split_once(" of ")?;
    if part.is_empty() || !part.chars().all(|c| c.is_alphabetic()) {
        return None;
    }
    let mut ahead = Cursor { text: cursor.text, at: cursor.at + rest.len() - after.len() };
    ahead.skip(0);
    let pieces = if ahead.word("half a") || ahead.word("half an") || ahead.word("half") {
        dec!(0.5)
    } else if ahead.word("a") || ahead.word("an") || ahead.word("one") {
        Decimal::ONE
    } else {
        match number::lex(ahead.rest()) {
            Ok(Some((pieces, used))) => {
                ahead.skip(used);
                pieces
            }
            Ok(None) => return None,
            Err(error) => {
                problems.push(number_problem(cursor.text, ahead.at, &error));
                cursor.at = ahead.at;
                return Some(None);
            }
        }
    };
    cursor.at = ahead.at;
    Some(Some(PourAmount::PartOf { part: part.to_lowercase(), pieces }))
}

fn up_to(cursor: &mut Cursor<'_>, problems: &mut Vec<Problem>) -> Option<PourAmount> {
    let start = cursor.at;
    match number::lex(cursor.rest()) {
        Ok(Some((value, used))) => {
            cursor.skip(used);
            let at = cursor.at;
            if let Some((unit, used)) = Unit::lex(cursor.rest()) {
                cursor.skip(used);
                return Some(PourAmount::UpTo(Amount { value, unit }));
            }
            let word = cursor.rest().split_whitespace().next().unwrap_or("");
            problems.push(unknown_unit(word, cursor.text.part(at, at + word.len())));
            cursor.skip(word.len());
        }
        Ok(None) => {
            let end = cursor.text.value.len();
            problems.push(
                Problem::new(code::BAD_AMOUNT, cursor.text.part(start, end), "`to` is followed by no volume")
                    .help("write for example `to 1 l water`, or `to taste`"),
            );
            // What stands here is no name.
            cursor.at = end;
        }
        Err(error) => problems.push(number_problem(cursor.text, start, &error)),
    }
    None
}

fn few(cursor: &mut Cursor<'_>) -> PourAmount {
    match Unit::lex(cursor.rest()) {
        Some((unit, used)) => {
            cursor.skip(used);
            PourAmount::Few(unit)
        }
        None => PourAmount::FewPieces,
    }
}

fn unit_or_count(cursor: &mut Cursor<'_>, value: Decimal, high: Option<Decimal>, times: Option<Decimal>) -> PourAmount {
    match Unit::lex(cursor.rest()) {
        Some((unit, used)) => {
            cursor.skip(used);
            PourAmount::Measured { amount: Amount { value, unit }, high, times }
        }
        None => PourAmount::Count(middle(value, high) * times.unwrap_or(Decimal::ONE)),
    }
}

/// What cannot stand right behind a number: `12:30 ml`, `1 750 ml`.
fn run_on(cursor: &Cursor<'_>, read: &number::Span) -> Option<Problem> {
    let rest = cursor.rest();
    let after = &rest[read.len..];
    let next = after.chars().next()?;
    let number = &rest[..read.len];
    let group = &after[next.len_utf8()..];
    let grouped = group.bytes().take_while(u8::is_ascii_digit).count();
    if matches!(next, '_' | '\'' | '’') && grouped > 0 {
        let end = read.len + next.len_utf8() + grouped;
        return Some(
            Problem::new(
                code::BAD_AMOUNT,
                cursor.text.part(cursor.at, cursor.at + end),
                format!("`{}` has a mark between its digits", &rest[..end]),
            )
            .help(format!("write `{number}{}`", &group[..grouped])),
        );
    }
    if !(next.is_whitespace() || next.is_alphabetic() || matches!(next, '%' | '×')) {
        let end = read.len + next.len_utf8();
        return Some(
            Problem::new(
                code::BAD_AMOUNT,
                cursor.text.part(cursor.at, cursor.at + end),
                format!("`{}` is not an amount", &rest[..end]),
            )
            .help(format!("put a space and a unit behind the number, for example `{number} ml gin`")),
        );
    }
    let gap = after.len() - after.trim_start().len();
    let digits = after[gap..].bytes().take_while(u8::is_ascii_digit).count();
    if digits == 0 {
        return None;
    }
    let end = read.len + gap + digits;
    let second = &rest[read.len + gap..end];
    Some(
        Problem::new(
            code::BAD_NUMBER,
            cursor.text.part(cursor.at, cursor.at + end),
            format!("two numbers stand side by side: `{}`", &rest[..end]),
        )
        .help(format!(
            "write `{number}{second}` if it is one number, or `{number} x {second}` if it is so many of them"
        )),
    )
}
