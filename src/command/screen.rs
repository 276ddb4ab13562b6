//! Lines and tables as wide as the terminal: quiet rules, numbers to the right, units in the heading.
//!
//! A space that does not break keeps a number with its unit, and is printed as a space. Where nothing says how wide it is, as in a pipe, a line is a line and a table stays whole.

use anstream::println;
use comfy_table::{Cell, CellAlignment, ContentArrangement, Table, presets};
use terminal_size::{Width, terminal_size_of};
use textwrap::{Options, WordSplitter};
use unicode_width::UnicodeWidthStr;

/// Between two columns.
const GAP: usize = 2;
/// Before every line of a table.
const INDENT: &str = "  ";
/// Narrower than this nothing is laid out: the terminal breaks the lines.
const NARROWEST: usize = 24;

/// Where text goes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Screen {
    width: Option<usize>,
}

impl Screen {
    /// The terminal that output goes to, if it is one.
    pub fn of_output() -> Self {
        let width = terminal_size_of(std::io::stdout()).map(|(Width(w), _)| usize::from(w));
        Self { width: width.filter(|w| *w >= NARROWEST) }
    }

    /// Prints a line; what does not fit goes on below, `hang` further in than `indent`.
    pub fn line(self, indent: usize, hang: usize, text: &str) {
        println!("{}", self.wrapped(indent, hang, text));
    }

    fn wrapped(self, indent: usize, hang: usize, text: &str) -> String {
        let (first, next) = (" ".repeat(indent), " ".repeat(indent + hang));
        let Some(width) = self.width else { return held(&format!("{first}{text}")) };
        // A word is never cut: the name of a hazard is there to be copied.
        let options = Options::new(width)
            .initial_indent(&first)
            .subsequent_indent(&next)
            .break_words(false)
            .word_splitter(WordSplitter::NoHyphenation);
        held(&textwrap::fill(text, options))
    }

    /// Whether a table is no wider than the terminal.
    pub fn fits(self, rows: &Rows) -> bool {
        self.width.is_none_or(|w| rows.width(&rows.filled()) <= w)
    }

    /// Prints a table; where it is too wide, as several, each with the first column.
    pub fn table(self, rows: &Rows) {
        let blocks: Vec<String> = self.blocks(rows).iter().map(|columns| rows.text(columns)).collect();
        println!("{}", blocks.join("\n\n"));
    }

    fn blocks(self, rows: &Rows) -> Vec<Vec<usize>> {
        let mut blocks: Vec<Vec<usize>> = vec![vec![0]];
        for column in rows.filled().into_iter().skip(1) {
            let mut wider = blocks.last().cloned().unwrap_or_default();
            wider.push(column);
            match (self.width, blocks.last_mut()) {
                (Some(w), Some(last)) if last.len() > 1 && rows.width(&wider) > w => blocks.push(vec![0, column]),
                (_, Some(last)) => *last = wider,
                _ => {}
            }
        }
        blocks
    }
}

/// With plain spaces for those that kept words together.
fn held(text: &str) -> String {
    text.replace('\u{a0}', " ")
}

/// A table: headings, of which one may have two lines, and rows of as many cells.
pub(super) struct Rows {
    headings: Vec<String>,
    /// Columns of words; others but the first hold numbers.
    words: Vec<usize>,
    rows: Vec<Vec<String>>,
}

impl Rows {
    /// A table without rows yet; columns from the second on are numbers unless `words` names them.
    pub fn new(headings: &[&str], words: &[usize]) -> Self {
        let headings = headings.iter().map(ToString::to_string).collect();
        Self { headings, words: words.to_vec(), rows: Vec::new() }
    }

    /// One more row.
    pub fn push(&mut self, row: Vec<String>) {
        self.rows.push(row);
    }

    /// The first column, and those that say something in any row.
    fn filled(&self) -> Vec<usize> {
        let says = |c: &usize| *c == 0 || self.rows.iter().any(|r| r.get(*c).is_some_and(|cell| !cell.is_empty()));
        (0..self.headings.len()).filter(says).collect()
    }

    fn width(&self, columns: &[usize]) -> usize {
        let widest = |c: usize| {
            let cells = self.rows.iter().filter_map(|r| r.get(c)).chain(self.headings.get(c));
            cells.flat_map(|cell| cell.lines()).map(UnicodeWidthStr::width).max().unwrap_or(0)
        };
        INDENT.len() + columns.iter().map(|c| widest(*c)).sum::<usize>() + GAP * columns.len().saturating_sub(1)
    }

    /// The table as text, each line indented and without trailing spaces.
    fn text(&self, columns: &[usize]) -> String {
        let mut table = Table::new();
        table.load_style(presets::NOTHING).set_content_arrangement(ContentArrangement::Disabled);
        let cells =
            |row: &[String]| -> Vec<Cell> { columns.iter().filter_map(|c| row.get(*c)).map(Cell::new).collect() };
        table.set_header(cells(&self.headings));
        for row in &self.rows {
            table.add_row(cells(row));
        }
        for (place, column) in columns.iter().zip(table.column_iter_mut()) {
            column.set_padding((0, GAP as u16));
            if *place > 0 && !self.words.contains(place) {
                column.set_cell_alignment(CellAlignment::Right);
            }
        }
        held(&table.to_string()).lines().map(|l| format!("{INDENT}{}", l.trim_end())).collect::<Vec<_>>().join("\n")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows() -> Rows {
        let mut rows = Rows::new(&["stage", "ml", "sugar\ng/100 ml", "acid\ng/100 ml"], &[]);
        rows.push(["milk-clarify", "1640", "7.1", "0.84"].map(str::to_owned).to_vec());
        rows
    }

    #[test]
    fn a_table_that_is_too_wide_is_told_in_parts() {
        let rows = rows();
        for (width, blocks) in [
            (None, vec![vec![0, 1, 2, 3]]),
            (Some(40), vec![vec![0, 1, 2, 3]]),
            (Some(39), vec![vec![0, 1, 2], vec![0, 3]]),
            // A column that fits nowhere stands alone.
            (Some(10), vec![vec![0, 1], vec![0, 2], vec![0, 3]]),
        ] {
            assert_eq!(Screen { width }.blocks(&rows), blocks, "{width:?}");
            assert_eq!(Screen { width }.fits(&rows), blocks.len() == 1);
        }
        let widest = rows.text(&[0, 1, 2, 3]).lines().map(UnicodeWidthStr::width).max();
        assert!(widest.is_some_and(|w| w <= 40), "{widest:?}");
    }

    #[test]
    fn a_column_that_says_nothing_is_left_out() {
        let mut rows = Rows::new(&["", "measure", "error", "by"], &[3]);
        rows.push(["gin", "20 ml", "", "jigger"].map(str::to_owned).to_vec());
        assert_eq!(rows.text(&rows.filled()), "       measure  by\n  gin    20 ml  jigger");
    }

    #[test]
    fn a_line_that_is_too_long_goes_on_below() {
        let text = "the fridge is full of quinces";
        assert_eq!(Screen { width: None }.wrapped(2, 4, text), "  the fridge is full of quinces");
        assert_eq!(Screen { width: Some(24) }.wrapped(2, 4, text), "  the fridge is full of\n      quinces");
        assert_eq!(
            Screen { width: Some(24) }.wrapped(2, 0, "there is room for 700\u{a0}ml"),
            "  there is room for\n  700 ml"
        );
    }
}
