//! Results as CSV: one table, its heads with units, one line a row (RFC 4180).

use std::io::{self, Write};

use crate::calibration::{Cell, Table};
use crate::quantity::plain;

/// Writes a table: a line of column keys, then a line per row.
///
/// Numbers are written in full, with a point; words pass through [`safe_cell`].
///
/// # Errors
///
/// What the writer says.
pub fn table(table: &Table, out: &mut dyn Write) -> io::Result<()> {
    let heads = table.columns.iter().map(|column| column.key.clone());
    let rows = table.rows.iter().map(|row| row.iter().map(cell).collect::<Vec<_>>());
    let mut writer = csv::Writer::from_writer(out);
    writer.write_record(heads)?;
    for row in rows {
        writer.write_record(row)?;
    }
    writer.flush()
}

/// Words as a spreadsheet shows them and never runs them: those that would start a formula get
/// an apostrophe before them.
///
/// ```
/// use alleytrue::render::csv::safe_cell;
/// assert_eq!(safe_cell("=HYPERLINK(\"x\")"), "'=HYPERLINK(\"x\")");
/// assert_eq!(safe_cell("entry 7"), "entry 7");
/// ```
#[must_use]
pub fn safe_cell(text: &str) -> String {
    let text = super::harmless(text);
    let runs = text.trim_start().starts_with(['=', '+', '-', '@']);
    if runs && text.parse::<f64>().is_err() { format!("'{text}") } else { text }
}

fn cell(cell: &Cell) -> String {
    match cell {
        Cell::Text(text) => safe_cell(text),
        Cell::Count(count) => count.to_string(),
        Cell::Number(number, _) => plain(*number),
        Cell::Empty => String::new(),
    }
}
