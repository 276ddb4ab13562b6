//! A smooth curve through tabulated points that never overshoots between them, for relations published only as tables.

/// A piecewise cubic through `N` points with increasing `x`, slopes after F. N. Fritsch and J. Butland, SIAM J. Sci. Stat.
/// Comput. 5 (1984) 300: continuous first derivative, monotone wherever the table is.
pub(super) struct Curve<const N: usize> {
    x: [f64; N],
    y: [f64; N],
    slope: [f64; N],
}

impl<const N: usize> Curve<N> {
    /// Works out the slopes; meant for a `const`, so that nothing is computed when the program runs.
    pub(super) const fn through(points: [(f64, f64); N]) -> Self {
        let mut x = [0.0; N];
        let mut y = [0.0; N];
        let mut slope = [0.0; N];
        let mut i = 0;
        while i < N {
            x[i] = points[i].0;
            y[i] = points[i].1;
            assert!(i == 0 || x[i] > x[i - 1], "a table's first column must rise");
            i += 1;
        }
        i = 1;
        while i + 1 < N {
            let (h0, h1) = (x[i] - x[i - 1], x[i + 1] - x[i]);
            let (d0, d1) = ((y[i] - y[i - 1]) / h0, (y[i + 1] - y[i]) / h1);
            // Weighted harmonic mean where both neighbours go the same way, flat at a turning point.
            if d0 * d1 > 0.0 {
                let (w0, w1) = (2.0 * h1 + h0, h1 + 2.0 * h0);
                slope[i] = (w0 + w1) / (w0 / d0 + w1 / d1);
            }
            i += 1;
        }
        // One-sided at the ends: the parabola's slope through the end and the neighbour's slope.
        let first = (y[1] - y[0]) / (x[1] - x[0]);
        slope[0] = 1.5 * first - 0.5 * slope[1];
        let last = (y[N - 1] - y[N - 2]) / (x[N - 1] - x[N - 2]);
        slope[N - 1] = 1.5 * last - 0.5 * slope[N - 2];
        Self { x, y, slope }
    }

    /// The curve at `x`; the caller has checked that it lies inside the table.
    pub(super) fn at(&self, x: f64) -> f64 {
        let right = self.x.partition_point(|&knot| knot < x).clamp(1, N - 1);
        let left = right - 1;
        let h = self.x[right] - self.x[left];
        let s = (x - self.x[left]) / h;
        let (rest, both) = (1.0 - s, s * (1.0 - s));
        // Cubic Hermite form: the straight line's share of each end, then what the slopes add.
        let ends = self.y[left] * rest * (rest + 3.0 * s) * rest + self.y[right] * s * (s + 3.0 * rest) * s;
        ends + h * both * (self.slope[left] * rest - self.slope[right] * s)
    }
}

#[cfg(test)]
mod tests {
    use super::Curve;

    #[test]
    fn passes_through_its_points_and_stays_between_them() {
        let points = [(0.0, 0.0), (1.0, -1.0), (3.0, -1.5), (4.0, -9.0)];
        let curve = Curve::through(points);
        for (x, y) in points {
            assert_eq!(curve.at(x), y);
        }
        let mut before = 0.0;
        for step in 1..=400 {
            let now = curve.at(f64::from(step) / 100.0);
            assert!(now <= before + 1e-12, "the curve turned at step {step}");
            before = now;
        }
    }

    #[test]
    fn a_straight_table_gives_a_straight_line() {
        let line = Curve::through([(0.0, 1.0), (2.0, 5.0), (5.0, 11.0)]);
        assert!((line.at(1.3) - 3.6).abs() < 1e-14);
        assert!((line.at(4.1) - 9.2).abs() < 1e-14);
    }
}
