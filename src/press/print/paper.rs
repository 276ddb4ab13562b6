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

/// A sheet of labels as it is sold, by its published measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum LabelSheet {
    /// A4, 3 × 8 labels of 70 × 37 mm, edge to edge.
    #[default]
    A4x24,
    /// A4, 3 × 7 labels of 63.5 × 38.1 mm.
    A4x21,
    /// US Letter, 3 × 10 labels of 2.625 × 1 in.
    Letter30,
    /// US Letter, 2 × 5 labels of 4 × 2 in.
    Letter10,
}

/// Where the labels of a sheet lie, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Labels {
    /// The sheet.
    pub paper: Paper,
    /// How many side by side.
    pub columns: usize,
    /// How many below each other.
    pub rows: usize,
    /// Width and height of one.
    pub size: (f64, f64),
    /// From the left and the top edge of the sheet to the first.
    pub origin: (f64, f64),
    /// Between columns and between rows.
    pub gap: (f64, f64),
}

impl LabelSheet {
    /// The measures. 70 × 37 mm: eight rows leave 1 mm of an A4 sheet (arithmetic; common practice, no source). 63.5 × 38.1 mm:
    /// PrintReadyKit, Address labels (A4, 21 per sheet). 2.625 × 1 in: CalculatorHub, Label Size Calculator, margins by
    /// arithmetic. 4 × 2 in: half an inch to share between two margins and a gap (common practice, no source).
    #[must_use]
    pub fn labels(self) -> Labels {
        const INCH: f64 = 25.4;
        match self {
            Self::A4x24 => Labels {
                paper: Paper::A4,
                columns: 3,
                rows: 8,
                size: (70.0, 37.0),
                origin: (0.0, 0.5),
                gap: (0.0, 0.0),
            },
            Self::A4x21 => Labels {
                paper: Paper::A4,
                columns: 3,
                rows: 7,
                size: (63.5, 38.1),
                origin: (7.2, 15.15),
                gap: (2.5, 0.0),
            },
            Self::Letter30 => Labels {
                paper: Paper::Letter,
                columns: 3,
                rows: 10,
                size: (2.625 * INCH, INCH),
                origin: (0.1875 * INCH, 0.5 * INCH),
                gap: (0.125 * INCH, 0.0),
            },
            Self::Letter10 => Labels {
                paper: Paper::Letter,
                columns: 2,
                rows: 5,
                size: (4.0 * INCH, 2.0 * INCH),
                origin: (0.15625 * INCH, 0.5 * INCH),
                gap: (0.1875 * INCH, 0.0),
            },
        }
    }
}

impl Labels {
    /// How many on a sheet.
    #[must_use]
    pub fn count(&self) -> usize {
        self.columns * self.rows
    }

    /// The left and top edge of a label of a sheet, mm; labels count from 0, along the rows.
    #[must_use]
    pub fn place(&self, index: usize) -> (f64, f64) {
        let (column, row) = (index % self.columns, index / self.columns);
        let along = |origin: f64, size: f64, gap: f64, n: usize| origin + (size + gap) * n as f64;
        (along(self.origin.0, self.size.0, self.gap.0, column), along(self.origin.1, self.size.1, self.gap.1, row))
    }
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

    #[test]
    fn labels_fill_their_sheet() {
        for sheet in [LabelSheet::A4x24, LabelSheet::A4x21, LabelSheet::Letter30, LabelSheet::Letter10] {
            let labels = sheet.labels();
            let (x, y) = labels.place(labels.count() - 1);
            let (width, height) = labels.paper.size_mm();
            // What is left over at the right and the bottom is what stands free at the left and the top.
            assert!((width - x - labels.size.0 - labels.origin.0).abs() < 0.2, "{sheet:?}");
            assert!((height - y - labels.size.1 - labels.origin.1).abs() < 0.2, "{sheet:?}");
        }
    }
}
