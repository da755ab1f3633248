//! The small document that every page is first: leaves of headings, tables, pictures, tick boxes
//! and blanks.

use crate::outcome::{Caution, Cell, Column, Outcome, Table};
use crate::render::drawing::Scene;
use crate::render::{harmless, text};

use super::kind::Kind;
use super::label_sheet::LabelSheet;
use super::paper::Paper;

/// Pages of one kind.
#[derive(Clone, Debug)]
pub struct Leaf {
    /// Which kind.
    pub kind: Kind,
    /// Whether it is for half a page.
    pub half: bool,
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
    /// Where one page may be folded or cut.
    Fold,
    /// Blanks to fill in.
    Form(Form),
    /// A caution.
    Caution(&'static Caution),
    /// One line of arithmetic: the name, and what it equals, step by step.
    Working(String, Vec<String>),
    /// The one thing to do next, in a sentence.
    Next(String),
    /// The one thing to do next, in a frame, to be read at arm's length.
    Frame(Frame),
    /// A sentence under a name that stands before it.
    Named(&'static str, String),
    /// A box for each of several days, under their dates, behind things to do.
    Days(Vec<DayItem>),
    /// Ruled lines to write on, under a name.
    Room(String, usize),
    /// What follows starts on a new page.
    NewPage,
    /// Labels on sheets of their own.
    Labels(Labels),
}

/// Labels on their sheets.
#[derive(Clone, Debug)]
pub struct Labels {
    /// The sheet.
    pub sheet: LabelSheet,
    /// The lines of each label, the first one large.
    pub all: Vec<Vec<String>>,
}

/// The one thing to do.
#[derive(Clone, Debug, Default)]
pub struct Frame {
    /// What kind of thing it is: "Set one thing".
    pub lead: &'static str,
    /// What is given another value.
    pub lines: Vec<Set>,
    /// What is done, in a sentence, and what then.
    pub then: String,
    /// What goes before it.
    pub cautions: Vec<&'static Caution>,
    /// Whether there is anything to tick.
    pub ticks: bool,
}

/// Something that is given another value.
#[derive(Clone, Debug, Default)]
pub struct Set {
    /// What.
    pub name: String,
    /// What the crew calls it.
    pub called: Option<String>,
    /// The new value.
    pub new: String,
    /// What it was.
    pub was: Option<String>,
}

/// Something to do every day.
#[derive(Clone, Debug)]
pub enum DayItem {
    /// To do and to tick, with its name where it has one.
    Tick(String, Option<&'static str>),
    /// A caution.
    Caution(&'static Caution),
    /// A heading between them.
    Heading(&'static str),
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
    /// Heads of boxes to tick at the end of each row.
    pub ticks: Vec<&'static str>,
    /// Rows that are shaded.
    pub shaded: Vec<usize>,
    /// How it is styled besides.
    pub class: &'static str,
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

/// Blanks to fill in, each with its key in the sheet.
#[derive(Clone, Debug, Default)]
pub struct Form {
    /// The table of the sheet: "[[trip-run]]".
    pub table: &'static str,
    /// Blanks with one value.
    pub fields: Vec<Field>,
    /// What is in force, as far as it moves these readings: the name, and what it is.
    pub in_force: Vec<(String, String)>,
    /// What the readings should come to.
    pub expected: Option<String>,
    /// Blanks with a list.
    pub lists: Vec<List>,
    /// How many readings.
    pub count: usize,
    /// How a filled list is typed.
    pub typed: String,
}

/// A blank with one value.
#[derive(Clone, Debug, Default)]
pub struct Field {
    /// What it is, in plain words.
    pub label: String,
    /// Its key in the sheet; empty where it goes into the note.
    pub key: &'static str,
    /// What is known of it.
    pub given: String,
    /// What stands behind the blank.
    pub hint: String,
    /// What can be ticked.
    pub choices: Vec<&'static str>,
}

/// A blank with a list.
#[derive(Clone, Debug, Default)]
pub struct List {
    /// What is measured, in plain words.
    pub label: String,
    /// Its key in the sheet.
    pub key: &'static str,
    /// The unit of its readings; may be empty.
    pub unit: String,
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
