//! Tables for a terminal: quiet rules, numbers to the right, units in the heading.

use comfy_table::{Cell, CellAlignment, ContentArrangement, Table, presets};

/// A table with headings; columns from the second on are numbers unless `words` names them.
pub(super) fn table(headings: &[&str], words: &[usize]) -> Table {
    let mut table = Table::new();
    table.load_style(presets::NOTHING).set_content_arrangement(ContentArrangement::Dynamic);
    table.set_header(headings.iter().map(Cell::new));
    for (index, column) in table.column_iter_mut().enumerate() {
        column.set_padding((0, 2));
        if index > 0 && !words.contains(&index) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    table
}

/// The table as text, each line indented and without trailing spaces.
pub(super) fn text(table: &Table) -> String {
    table.to_string().lines().map(|l| format!("  {}", l.trim_end())).collect::<Vec<_>>().join("\n")
}
