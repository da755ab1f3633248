//! A table of words laid out in columns, its cells broken where they are too wide.

use unicode_width::UnicodeWidthStr;

/// A column is not made narrower than this, unless all it holds is.
const LEAST: usize = 16;
/// The first column, which rows are found by, is not broken up to this width.
const FIRST: usize = 32;
/// Blanks between columns.
const BETWEEN: usize = 2;

/// The lines of a table.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Lines {
    /// Those of the heads; none where each row is a list of its own.
    pub heads: Vec<String>,
    /// All others.
    pub rows: Vec<String>,
}

/// The lines of a table of at most so many columns of text. The first row holds the heads. Where
/// the columns can't be made narrow enough, each row becomes a list of its own.
///
/// ```
/// use alleytrue::render::markdown::table::lines;
/// let rows = [["key", "meaning"], ["plot", "Length of a plot."]];
/// let table = lines(&rows.map(|row| row.map(String::from).to_vec()), 22);
/// assert_eq!(table.heads, ["key   meaning"]);
/// assert_eq!(table.rows, ["plot  Length of a", "      plot."]);
/// ```
#[must_use]
pub fn lines(rows: &[Vec<String>], width: usize) -> Lines {
    let Some((heads, others)) = rows.split_first() else { return Lines::default() };
    match widths(rows, width) {
        Some(widths) => Lines {
            heads: row_lines(heads, &widths),
            rows: others.iter().flat_map(|row| row_lines(row, &widths)).collect(),
        },
        None => Lines { heads: Vec::new(), rows: listed(heads, others, width) },
    }
}

/// Widths of the columns, the widest taken down until all fit.
fn widths(rows: &[Vec<String>], width: usize) -> Option<Vec<usize>> {
    let columns = rows.iter().map(Vec::len).max()?;
    let widest = |of: &dyn Fn(&str) -> usize, column: usize| {
        rows.iter().filter_map(|row| row.get(column)).map(|cell| of(cell)).max().unwrap_or(0)
    };
    let word = |cell: &str| cell.split(' ').map(str::width).max().unwrap_or(0);
    let mut widths: Vec<usize> = (0..columns).map(|column| widest(&str::width, column)).collect();
    let least: Vec<usize> = widths
        .iter()
        .enumerate()
        .map(|(column, &whole)| {
            let kept = if column == 0 { FIRST } else { LEAST };
            if whole <= kept { whole } else { widest(&word, column).max(LEAST) }
        })
        .collect();
    let room = width.checked_sub(BETWEEN * (columns - 1))?;
    while widths.iter().sum::<usize>() > room {
        let narrower = (0..columns).filter(|&column| widths[column] > least[column]);
        let column = narrower.max_by_key(|&column| widths[column])?;
        widths[column] -= 1;
    }
    Some(widths)
}

fn row_lines(row: &[String], widths: &[usize]) -> Vec<String> {
    let cells: Vec<Vec<String>> =
        row.iter().zip(widths).map(|(cell, &width)| broken(cell, width)).collect();
    let height = cells.iter().map(Vec::len).max().unwrap_or(0);
    let line = |at: usize| {
        let mut line = String::new();
        for (cell, &width) in cells.iter().zip(widths) {
            let text = cell.get(at).map_or("", String::as_str);
            line.push_str(text);
            line.push_str(&" ".repeat((width + BETWEEN).saturating_sub(text.width())));
        }
        line.trim_end().to_owned()
    };
    (0..height).map(line).collect()
}

fn broken(cell: &str, width: usize) -> Vec<String> {
    let options = textwrap::Options::new(width)
        .word_separator(textwrap::WordSeparator::AsciiSpace)
        .word_splitter(textwrap::WordSplitter::NoHyphenation);
    textwrap::wrap(cell, options).into_iter().map(|line| line.trim_end().to_owned()).collect()
}

/// Each row as its first cell, and below it the others behind their heads.
fn listed(heads: &[String], rows: &[Vec<String>], width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    for row in rows {
        for (at, (head, cell)) in heads.iter().zip(row).enumerate() {
            if at == 0 {
                lines.push(cell.clone());
            } else if !cell.is_empty() {
                let within = broken(&format!("{head}: {cell}"), width.saturating_sub(4));
                let mut indent = "  ";
                for line in within {
                    lines.push(format!("{indent}{line}"));
                    indent = "    ";
                }
            }
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows<const N: usize>(rows: &[[&str; N]]) -> Vec<Vec<String>> {
        rows.iter().map(|row| row.iter().map(|&cell| cell.into()).collect()).collect()
    }

    #[test]
    fn the_widest_column_gives_way() {
        let rows = rows(&[
            ["a", "bb", "c"],
            ["one", "two", "words that go on and on, further than the page is wide"],
        ]);
        let table = lines(&rows, 40);
        assert_eq!(table.heads, ["a    bb   c"]);
        assert_eq!(
            table.rows,
            ["one  two  words that go on and on,", "          further than the page is wide"]
        );
    }

    #[test]
    fn what_has_no_room_as_columns_becomes_a_list() {
        let rows = rows(&[["key", "meaning", "takes"], ["plot", "Length of a plot.", "a length"]]);
        let table = lines(&rows, 20);
        assert!(table.heads.is_empty());
        assert_eq!(
            table.rows,
            ["plot", "  meaning: Length", "    of a plot.", "  takes: a length"]
        );
    }
}
