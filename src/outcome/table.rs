//! Lists of alternatives.

/// A list of alternatives.
#[derive(Clone, Debug)]
pub struct Table {
    /// Stable key, for programs.
    pub key: &'static str,
    /// What the list is.
    pub title: String,
    /// Heads, left to right.
    pub columns: Vec<Column>,
    /// One row per alternative.
    pub rows: Vec<Vec<Cell>>,
}

/// The head of a column.
#[derive(Clone, Debug)]
pub struct Column {
    /// Stable key, for programs, with the unit in it where there is one.
    pub key: String,
    /// Head as printed.
    pub head: String,
    /// Unit as printed under the head.
    pub unit: String,
}

impl Column {
    /// A column by its key, its head and its unit.
    #[must_use]
    pub fn new(key: impl Into<String>, head: impl Into<String>, unit: impl Into<String>) -> Column {
        Column { key: key.into(), head: head.into(), unit: unit.into() }
    }
}

/// One entry of a table.
#[derive(Clone, Debug)]
pub enum Cell {
    /// Words.
    Text(String),
    /// A whole number.
    Count(u32),
    /// A number, printed to so many decimals.
    Number(f64, usize),
    /// Nothing known.
    Empty,
}
