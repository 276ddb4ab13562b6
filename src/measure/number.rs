//! Numbers as writers write them: decimals, fractions, mixed numbers, `½`, ranges; always exact.

use rust_decimal::Decimal;

/// Why a number could not be read; `start` and `end` are bytes inside the text given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NumberError {
    /// First byte of what is wrong.
    pub start: usize,
    /// One past its last byte.
    pub end: usize,
    /// What is wrong with it.
    pub kind: NumberFault,
}

/// The ways in which a number can be wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NumberFault {
    /// `1,5` instead of `1.5`.
    DecimalComma,
    /// A sign below zero.
    Negative,
    /// A fraction over zero.
    ZeroDenominator,
    /// Two numbers run into each other, such as `½½` or `1.2.3`.
    RunTogether,
    /// More digits than an exact decimal holds, a trillion or more, or a power of ten.
    TooLong,
}

const VULGAR: &[(char, u8, u8)] = &[
    ('½', 1, 2),
    ('⅓', 1, 3),
    ('⅔', 2, 3),
    ('¼', 1, 4),
    ('¾', 3, 4),
    ('⅕', 1, 5),
    ('⅖', 2, 5),
    ('⅗', 3, 5),
    ('⅘', 4, 5),
    ('⅙', 1, 6),
    ('⅚', 5, 6),
    ('⅐', 1, 7),
    ('⅛', 1, 8),
    ('⅜', 3, 8),
    ('⅝', 5, 8),
    ('⅞', 7, 8),
    ('⅑', 1, 9),
    ('⅒', 1, 10),
];

fn vulgar(c: char) -> Option<Decimal> {
    VULGAR.iter().find(|(v, _, _)| *v == c).map(|(_, n, d)| Decimal::from(*n) / Decimal::from(*d))
}

fn digits(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

fn spaces(text: &str) -> usize {
    text.len() - text.trim_start_matches([' ', '\t', '\u{a0}', '\u{202f}', '\u{2009}']).len()
}

/// No bar writes a number as large as this; below it no sum or product of two numbers can leave the 28 digits of a decimal.
const LARGEST: Decimal = Decimal::from_parts(0xd4a5_1000, 0xe8, 0, false, 0);

fn whole(text: &str, start: usize) -> Result<Decimal, NumberError> {
    let read = Decimal::from_str_exact(text).ok().filter(|n| *n < LARGEST);
    read.ok_or(NumberError { start, end: start + text.len(), kind: NumberFault::TooLong })
}

/// Reads one number at the start of `text`; returns it and how many bytes it took, or `None` if no number stands there.
///
/// Accepted: `12`, `0.25`, `.5`, `1/2`, `1 1/2`, `½`, `1½`, `1 ½`. A number never has a sign, an exponent, a comma or
/// a thousands separator.
///
/// # Errors
/// A [`NumberError`] with the place inside `text` where something stands that only a mistaken number can be.
pub fn lex(text: &str) -> Result<Option<(Decimal, usize)>, NumberError> {
    let fault = |start: usize, end: usize, kind| Err(NumberError { start, end, kind });
    let Some(first) = text.chars().next() else { return Ok(None) };
    if matches!(first, '-' | '−' | '–' | '+') {
        let rest = &text[first.len_utf8()..];
        let next = rest.trim_start().chars().next();
        if next.is_some_and(|c| c.is_ascii_digit() || c == '.' || vulgar(c).is_some()) && first != '+' {
            let end = first.len_utf8() + spaces(rest) + digits(rest.trim_start()).max(1);
            return fault(0, end.min(text.len()), NumberFault::Negative);
        }
        return Ok(None);
    }
    let (value, mut at) = if let Some(v) = vulgar(first) {
        (v, first.len_utf8())
    } else {
        let mut len = digits(text);
        let fraction_digits = text[len..].strip_prefix('.').map_or(0, digits);
        if len == 0 && fraction_digits == 0 {
            return Ok(None);
        }
        if fraction_digits > 0 {
            len += 1 + fraction_digits;
        }
        let number = whole(&text[..len], 0)?;
        let rest = &text[len..];
        if fraction_digits == 0
            && rest.starts_with('.')
            && !rest[1..].starts_with(char::is_alphabetic)
            && rest.len() > 1
        {
            return fault(0, len + 1, NumberFault::RunTogether);
        }
        if rest.starts_with(',') && digits(&rest[1..]) > 0 {
            return fault(0, len + 1 + digits(&rest[1..]), NumberFault::DecimalComma);
        }
        if rest.starts_with('.') && digits(&rest[1..]) > 0 {
            return fault(0, len + 1 + digits(&rest[1..]), NumberFault::RunTogether);
        }
        if let Some(power) = rest.strip_prefix(['e', 'E']) {
            let sign = usize::from(power.starts_with(['+', '-']));
            if digits(&power[sign..]) > 0 {
                return fault(0, len + 1 + sign + digits(&power[sign..]), NumberFault::TooLong);
            }
        }
        if fraction_digits > 0 {
            (number, len)
        } else if let Some((over, used)) = over(rest, len)? {
            (ratio(number, over, len + used)?, len + used)
        } else {
            // A mixed number: `1 1/2`, `1 ½` or `1½`.
            let gap = spaces(rest);
            let tail = &rest[gap..];
            if let Some(part) = tail.chars().next().and_then(vulgar) {
                let c = tail.chars().next().map_or(0, char::len_utf8);
                (number + part, len + gap + c)
            } else {
                let n = digits(tail);
                if gap > 0 && n > 0 {
                    match over(&tail[n..], len + gap + n)? {
                        Some((below, used)) => {
                            let top = whole(&tail[..n], len + gap)?;
                            let end = len + gap + n + used;
                            (number + ratio(top, below, end)?, end)
                        }
                        None => (number, len),
                    }
                } else {
                    (number, len)
                }
            }
        }
    };
    let next = text[at..].chars().next();
    if let Some(c) = next
        && (vulgar(c).is_some()
            || c.is_ascii_digit()
            || (c == '/' && text[at + 1..].starts_with(|d: char| d.is_ascii_digit())))
    {
        let end = at + c.len_utf8();
        return fault(0, end, NumberFault::RunTogether);
    }
    at = at.min(text.len());
    Ok(Some((value, at)))
}

fn over(rest: &str, offset: usize) -> Result<Option<(Decimal, usize)>, NumberError> {
    let Some(below) = rest.strip_prefix(['/', '\u{2044}']) else { return Ok(None) };
    let slash = rest.len() - below.len();
    let n = digits(below);
    if n == 0 {
        return Ok(None);
    }
    Ok(Some((whole(&below[..n], offset + slash)?, slash + n)))
}

fn ratio(top: Decimal, below: Decimal, end: usize) -> Result<Decimal, NumberError> {
    top.checked_div(below).ok_or(NumberError { start: 0, end, kind: NumberFault::ZeroDenominator })
}

/// A number or a range `2–3`, with the bytes used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Span {
    /// The number, or the low end.
    pub low: Decimal,
    /// The high end of a range.
    pub high: Option<Decimal>,
    /// Bytes read.
    pub len: usize,
}

/// Reads a number or a range written with a hyphen, an en dash or `to`.
///
/// # Errors
/// As [`lex`], for either end.
pub fn lex_range(text: &str) -> Result<Option<Span>, NumberError> {
    let Some((low, len)) = lex(text)? else { return Ok(None) };
    let rest = &text[len..];
    let gap = spaces(rest);
    let dash = rest[gap..].chars().next().filter(|c| matches!(c, '-' | '–' | '—')).map(char::len_utf8);
    let between = dash.or((gap > 0 && rest[gap..].starts_with("to ")).then_some("to".len()));
    if let Some(between) = between {
        let from = len + gap + between;
        let from = from + spaces(&text[from..]);
        let shift = |e: NumberError| NumberError { start: e.start + from, end: e.end + from, ..e };
        if let Some((high, used)) = lex(&text[from..]).map_err(shift)? {
            return Ok(Some(Span { low, high: Some(high), len: from + used }));
        }
    }
    Ok(Some(Span { low, high: None, len }))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Option<(String, usize)>, NumberFault> {
        lex(text).map(|o| o.map(|(d, n)| (d.normalize().to_string(), n))).map_err(|e| e.kind)
    }

    #[test]
    fn what_writers_write() {
        for (text, value, len) in [
            ("300 ml", "300", 3),
            ("0.25 %", "0.25", 4),
            ("1 1/2 oz", "1.5", 5),
            ("¾ oz", "0.75", 2),
            ("1½ oz", "1.5", 3),
            ("1 ½ oz", "1.5", 4),
            ("3/4 oz", "0.75", 3),
            ("2 limes", "2", 1),
            ("6 x 50 ml", "6", 1),
            (".5 oz", "0.5", 2),
            ("1 750 ml", "1", 1),
            ("1\u{2044}2 oz", "0.5", 5),
        ] {
            assert_eq!(read(text), Ok(Some((value.into(), len))), "{text}");
        }
    }

    #[test]
    fn what_cannot_be_a_number() {
        assert_eq!(read("1,5 oz"), Err(NumberFault::DecimalComma));
        assert_eq!(read("3/0 oz"), Err(NumberFault::ZeroDenominator));
        assert_eq!(read("-2 ml"), Err(NumberFault::Negative));
        assert_eq!(read("1e400 ml"), Err(NumberFault::TooLong));
        assert_eq!(read("½½ oz"), Err(NumberFault::RunTogether));
        assert_eq!(read("1.2.3 ml"), Err(NumberFault::RunTogether));
        assert_eq!(read("1/2/3 ml"), Err(NumberFault::RunTogether));
        assert_eq!(read("gin"), Ok(None));
        assert_eq!(read(&format!("{} ml", "9".repeat(40))), Err(NumberFault::TooLong));
        // A number that would be rounded is refused, and so is one that arithmetic could not carry.
        assert_eq!(read(&format!("0.{}1 ml", "0".repeat(28))), Err(NumberFault::TooLong));
        assert_eq!(read("1000000000000 ml"), Err(NumberFault::TooLong));
        assert_eq!(read("999999999999 ml"), Ok(Some(("999999999999".into(), 12))));
    }

    #[test]
    fn ranges() {
        let r = lex_range("2–3 drops").unwrap().unwrap();
        assert_eq!((r.low, r.high, r.len), (2.into(), Some(3.into()), 5));
        let r = lex_range("2 - 3 dashes").unwrap().unwrap();
        assert_eq!((r.low, r.high, r.len), (2.into(), Some(3.into()), 5));
        let r = lex_range("2 to 3 limes").unwrap().unwrap();
        assert_eq!((r.low, r.high, r.len), (2.into(), Some(3.into()), 6));
        assert_eq!(lex_range("2 dashes").unwrap().unwrap().high, None);
        assert_eq!(lex_range("2 to go").unwrap().unwrap().high, None);
    }
}
