//! Sheets of paper and what fits on them.

/// A sheet of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 210 × 297 mm (ISO 216).
    #[default]
    A4,
    /// 148 × 210 mm (ISO 216).
    A5,
    /// 8.5 × 11 in.
    Letter,
}

impl Paper {
    /// The name that the typesetter knows it by.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::A4 => "a4",
            Self::A5 => "a5",
            Self::Letter => "us-letter",
        }
    }

    /// Width and height, mm.
    #[must_use]
    pub fn size_mm(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::A5 => (148.0, 210.0),
            Self::Letter => (215.9, 279.4),
        }
    }
}

/// A card.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Card {
    /// 105 × 148 mm (ISO 216); four fill an A4 sheet.
    #[default]
    A6,
    /// 4 × 6 in.
    Inches4x6,
}

impl Card {
    /// Width and height, mm.
    #[must_use]
    pub fn size_mm(self) -> (f64, f64) {
        match self {
            Self::A6 => (105.0, 148.0),
            Self::Inches4x6 => (101.6, 152.4),
        }
    }
}

/// Cards on a sheet: all of one size, in the middle of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Grid {
    /// Width and height of the sheet, mm; it may lie on its side.
    pub sheet: (f64, f64),
    /// How many side by side.
    pub columns: usize,
    /// How many below each other.
    pub rows: usize,
}

/// As many cards as fit on a sheet, upright or on its side, whichever holds more; at least one.
pub(super) fn grid(paper: Paper, card: Card) -> Grid {
    let (width, height) = paper.size_mm();
    let (w, h) = card.size_mm();
    // Four A6 fill an A4 exactly: a tenth of a millimetre is no reason to print two.
    let count = |room: f64, size: f64| libm::floor((room + 0.1) / size) as usize;
    let fits = |(width, height): (f64, f64)| (count(width, w), count(height, h));
    let (upright, lying) = ((width, height), (height, width));
    let ((a, b), (c, d)) = (fits(upright), fits(lying));
    let (sheet, columns, rows) = if c * d > a * b { (lying, c, d) } else { (upright, a, b) };
    if columns * rows == 0 {
        return Grid { sheet: (w, h), columns: 1, rows: 1 };
    }
    Grid { sheet, columns, rows }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_many_cards_as_fit() {
        let of = |paper, card| {
            let g = grid(paper, card);
            (g.columns, g.rows, g.sheet.0 > g.sheet.1)
        };
        assert_eq!(of(Paper::A4, Card::A6), (2, 2, false));
        assert_eq!(of(Paper::A5, Card::A6), (2, 1, true));
        assert_eq!(of(Paper::A4, Card::Inches4x6), (2, 1, false));
        assert_eq!(of(Paper::Letter, Card::Inches4x6), (2, 1, false));
        assert_eq!(of(Paper::Letter, Card::A6), (2, 1, false));
    }
}
