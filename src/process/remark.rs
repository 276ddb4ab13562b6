//! How remarks and messages write numbers: three figures, no trailing zeros, the unit behind them.
//!
//! In: a number. Out: text for one sentence. Pages round their figures elsewhere; this is prose only.

/// A number to three figures; whole from a hundred up.
pub(super) fn number(value: f64) -> String {
    let decimals = match value.abs() {
        x if x >= 99.95 => 0,
        x if x >= 9.995 => 1,
        x if x >= 0.9995 => 2,
        _ => 3,
    };
    let text = format!("{value:.decimals$}");
    if !text.contains('.') {
        return text;
    }
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".into() } else { text.into() }
}

/// A specific gravity, which people read to three decimals.
pub(super) fn gravity(value: f64) -> String {
    format!("{value:.3}")
}

/// A time in hours, in the unit that people would say it in.
pub(super) fn time(hours: f64) -> String {
    let seconds = hours * 3600.0;
    if seconds < 60.0 {
        format!("{} s", number(seconds))
    } else if hours < 1.0 {
        format!("{} min", number(hours * 60.0))
    } else if hours < 48.0 {
        format!("{} h", number(hours))
    } else {
        format!("{} d", number(hours / 24.0))
    }
}

/// Names as a list in a sentence.
pub(super) fn list<'a>(names: impl IntoIterator<Item = &'a str>) -> String {
    let names: Vec<&str> = names.into_iter().collect();
    match names.split_last() {
        None => String::new(),
        Some((last, [])) => (*last).to_owned(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_keep_three_figures_and_no_trailing_zeros() {
        for (value, text) in [
            (0.0, "0"),
            (-0.0, "0"),
            (0.2, "0.2"),
            (0.0004, "0"),
            (1.0, "1"),
            (12.345, "12.3"),
            (99.96, "100"),
            (1234.5, "1234"),
        ] {
            assert_eq!(number(value), text);
        }
        assert_eq!(gravity(1.01), "1.010");
    }

    #[test]
    fn times_are_said_in_their_own_unit() {
        for (hours, text) in [(12.0 / 3600.0, "12 s"), (0.5, "30 min"), (8.0, "8 h"), (96.0, "4 d")] {
            assert_eq!(time(hours), text);
        }
    }

    #[test]
    fn lists_end_with_and() {
        assert_eq!(list(["a"]), "a");
        assert_eq!(list(["a", "b"]), "a and b");
        assert_eq!(list(["a", "b", "c"]), "a, b and c");
    }
}
