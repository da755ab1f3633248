//! The small document that every page is first: leaves of headings, tables, pictures, tick boxes
//! and blanks.

use crate::outcome::{Caution, Cell, Column, Outcome, Table};
use crate::render::drawing::Scene;
use crate::render::{harmless, text};

use super::kind::Kind;
use super::paper::Paper;

/// Pages of one kind.
#[derive(Clone, Debug)]
pub struct Leaf {
    /// Which kind.
    pub kind: Kind,
    /// What stands on it.
    pub blocks: Vec<Block>,
}

/// A piece of a page.
#[derive(Clone, Debug)]
pub enum Block {
    /// A heading.
    Heading(String),
    /// A sentence or two.
    Words(String),
    /// Names with what they are.
    Facts(Vec<(String, String)>),
    /// A table.
    Grid(Grid),
    /// A picture.
    Picture(Scene),
    /// Something to do and to tick, with its name where it has one.
    Tick(String, Option<&'static str>),
    /// Blanks to fill in.
    Form(Form),
    /// A caution.
    Caution(&'static Caution),
    /// One line of arithmetic: the name, and what it equals, step by step.
    Working(String, Vec<String>),
    /// The one thing to do next.
    Next(String),
    /// Ruled lines to write on, under a name.
    Room(String, usize),
    /// What follows starts on a new page.
    NewPage,
}

/// A table.
#[derive(Clone, Debug, Default)]
pub struct Grid {
    /// What it is.
    pub title: String,
    /// Heads with their units.
    pub heads: Vec<(String, String)>,
    /// Rows of cells.
    pub rows: Vec<Vec<String>>,
    /// Columns of words, which stand left; the others stand right.
    pub words: Vec<usize>,
    /// The column that is read at arm's length.
    pub strong: Option<usize>,
    /// The row that holds now.
    pub marked: Option<usize>,
    /// Whether each row ends with a box to tick.
    pub ticks: bool,
}

impl Grid {
    /// Whether a column holds words.
    #[must_use]
    pub fn is_of_words(&self, column: usize) -> bool {
        self.words.contains(&column)
    }
}

impl From<&Table> for Grid {
    fn from(table: &Table) -> Self {
        let head = |column: &Column| (harmless(&column.head), harmless(&column.unit));
        let row = |row: &Vec<Cell>| row.iter().map(|cell| harmless(&text::cell(cell))).collect();
        let words = |index: &usize| {
            let mut cells = table.rows.iter().map(|row| &row[*index]);
            *index == 0
                || cells
                    .all(|cell| matches!(cell, Cell::Text(text) if text.parse::<f64>().is_err()))
        };
        Grid {
            title: harmless(&table.title),
            heads: table.columns.iter().map(head).collect(),
            rows: table.rows.iter().map(row).collect(),
            words: (0..table.columns.len()).filter(words).collect(),
            ..Grid::default()
        }
    }
}

/// Blanks to fill in, under the keys of the sheet.
#[derive(Clone, Debug)]
pub struct Form {
    /// The table of the sheet: "[[trip-run]]".
    pub table: &'static str,
    /// Keys with one value: the key, what is known of it, and a hint.
    pub fields: Vec<(&'static str, String, String)>,
    /// Keys with a list, and the unit of their readings.
    pub lists: Vec<(&'static str, String)>,
    /// How many readings.
    pub count: usize,
    /// How a filled list is typed.
    pub typed: String,
}

impl Form {
    /// Numbers of the readings row by row: a single list stands in two halves side by side.
    #[must_use]
    pub fn places(&self) -> Vec<Vec<usize>> {
        if self.lists.len() == 1 {
            let half = self.count.div_ceil(2);
            (1..=half)
                .map(|place| {
                    vec![place, place + half].into_iter().filter(|p| *p <= self.count).collect()
                })
                .collect()
        } else {
            (1..=self.count).map(|place| vec![place]).collect()
        }
    }
}

/// What stands over and under every page.
#[derive(Clone, Debug)]
pub struct Document {
    /// Title of the trial.
    pub title: String,
    /// Name of the sheet's file.
    pub file: String,
    /// The day the pages were made.
    pub date: String,
    /// The operating point.
    pub point: String,
    /// Size of the paper.
    pub paper: Paper,
    /// The pages.
    pub leaves: Vec<Leaf>,
}

/// The cautions of some results, each once, with the machine's manual last.
pub(super) fn cautions<'a>(
    outcomes: impl Iterator<Item = &'a Outcome>,
    always: &[&'static Caution],
) -> Vec<Block> {
    let mut all: Vec<&'static Caution> = always.to_vec();
    for caution in outcomes.flat_map(|outcome| &outcome.cautions) {
        if !all.contains(caution) {
            all.push(caution);
        }
    }
    all.into_iter().map(Block::Caution).collect()
}
