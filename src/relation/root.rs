//! Root finding for relations that have no closed inverse: bisection, which can't diverge and ends the same everywhere.

/// The point in `low..=high` where a rising or falling `f` crosses zero, to the last bit that bisection can reach.
///
/// The caller makes sure that the crossing lies inside; if it does not, the nearer end is returned.
pub(super) fn bisect(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (at_low, at_high) = (f(low), f(high));
    if at_low == 0.0 {
        return low;
    }
    if at_high == 0.0 {
        return high;
    }
    if (at_low > 0.0) == (at_high > 0.0) {
        return if at_low.abs() <= at_high.abs() { low } else { high };
    }
    // Each step halves the interval; 200 are more than any pair of doubles needs within the ranges used here.
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        let at_middle = f(middle);
        if at_middle == 0.0 {
            return middle;
        }
        if (at_middle > 0.0) == (at_low > 0.0) {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::bisect;

    #[test]
    fn finds_rising_and_falling_crossings_and_falls_back_to_an_end() {
        assert!((bisect(0.0, 2.0, |x| x * x - 2.0) - libm::sqrt(2.0)).abs() < 1e-15);
        assert!((bisect(0.0, 2.0, |x| 2.0 - x * x) - libm::sqrt(2.0)).abs() < 1e-15);
        assert_eq!(bisect(0.0, 1.0, |x| x - 5.0), 1.0);
    }
}
