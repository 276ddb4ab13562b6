//! Rounding for show: the one place that decides how many digits a reader sees. Nothing computes with what comes out.

use rust_decimal::{Decimal, RoundingStrategy};

/// A float with a fixed number of decimals; `-0.0` shows as `0.0`.
#[must_use]
pub fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    if text.bytes().all(|b| matches!(b, b'-' | b'0' | b'.')) { text.trim_start_matches('-').to_owned() } else { text }
}

/// A change with a fixed number of decimals and its sign, a minus as print has it; nothing has none.
#[must_use]
pub fn signed(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    let nothing = text.bytes().all(|b| matches!(b, b'0' | b'.'));
    if nothing || text.starts_with('-') { minus(&text) } else { format!("+{text}") }
}

/// A number for readers: with a minus as print has it.
#[must_use]
pub fn minus(number: &str) -> String {
    number.replace('-', "−")
}

/// A float with about three significant digits and no trailing zeros: for volumes and masses of any size.
#[must_use]
pub fn amount(value: f64) -> String {
    let size = value.abs();
    let decimals = if size >= 100.0 {
        0
    } else if size >= 10.0 {
        1
    } else if size >= 0.1 {
        2
    } else {
        3
    };
    trim(&fixed(value, decimals))
}

/// An exact decimal for show: at most `most` decimals, half away from zero, no trailing zeros.
#[must_use]
pub fn decimal(value: Decimal, most: u32) -> String {
    value.round_dp_with_strategy(most, RoundingStrategy::MidpointAwayFromZero).normalize().to_string()
}

/// A strength in % vol: one decimal.
#[must_use]
pub fn strength(value: f64) -> String {
    fixed(value, 1)
}

/// Sugar in g/100 ml: one decimal.
#[must_use]
pub fn sugar(value: f64) -> String {
    fixed(value, 1)
}

/// Acid in g/100 ml: two decimals.
#[must_use]
pub fn acid(value: f64) -> String {
    fixed(value, 2)
}

/// A volume: ml below a litre, litres with two decimals from there.
#[must_use]
pub fn volume(ml: f64) -> String {
    if ml >= 999.5 { format!("{} l", trim(&fixed(ml / 1000.0, 2))) } else { format!("{} ml", amount(ml)) }
}

/// A temperature in °C: one decimal, a whole degree where it is one.
#[must_use]
pub fn temperature(value: f64) -> String {
    format!("{} °C", minus(&trim(&fixed(value, 1))))
}

/// A half-width, with as many decimals as the value beside it.
#[must_use]
pub fn plus_minus(value: f64, decimals: usize) -> Option<String> {
    let text = fixed(value, decimals);
    // A spread that rounds to nothing would only be noise beside the figure.
    text.bytes().any(|b| b.is_ascii_digit() && b != b'0').then_some(text)
}

/// Hours in the largest unit that keeps them short: `20 min`, `4 h`, `7 d`.
#[must_use]
pub fn hours(value: f64) -> String {
    let whole = |x: f64| (x - libm::round(x)).abs() < 1e-6;
    if value >= 48.0 || (value >= 24.0 && whole(value / 24.0)) {
        format!("{} d", trim(&fixed(value / 24.0, 1)))
    } else if value >= 1.0 {
        format!("{} h", trim(&fixed(value, 1)))
    } else if value * 60.0 >= 1.0 {
        format!("{} min", trim(&fixed(value * 60.0, 0)))
    } else {
        format!("{} s", trim(&fixed(value * 3600.0, 0)))
    }
}

/// Drops zeros behind a decimal point.
#[must_use]
pub fn trim(text: &str) -> String {
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounding_for_readers() {
        assert_eq!(fixed(-0.04, 1), "0.0");
        assert_eq!(amount(1234.56), "1235");
        assert_eq!(amount(29.57), "29.6");
        assert_eq!(amount(1.8), "1.8");
        assert_eq!(amount(0.012), "0.012");
        assert_eq!(volume(1550.0), "1.55 l");
        assert_eq!(hours(168.0), "7 d");
        assert_eq!(hours(0.2 / 60.0), "12 s");
        assert_eq!(hours(36.0), "36 h");
        assert_eq!(plus_minus(0.004, 1), None);
    }
}
