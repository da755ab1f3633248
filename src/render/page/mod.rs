//! What goes to the shop and to the field on paper.
//!
//! Every page is first a small document of headings, tables, pictures, tick boxes and blanks
//! ([`Leaf`], [`Block`]); [`html`] and [`plain`] print the same document. No number is worked out
//! here: all come from results and from what the sheet says.

mod cab_card;
mod checklist;
pub mod html;
pub mod plain;
mod report;
mod run_form;
mod spacing_chart;
mod stakes;

use crate::outcome::Report;
use crate::outcome::{Caution, Outcome, Table};
use crate::sheet::{Diagnostic, FieldSheet};

use super::drawing::Scene;
use super::harmless;

/// What can be printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Settings for the cab.
    CabCard,
    /// What to do from the season's start to the day's end.
    Checklist,
    /// Blanks for the measurements that the sheet takes.
    RunForm,
    /// Every sprocket position.
    SpacingChart,
    /// Marks and plan of the field.
    Stakes,
    /// Everything calculated, with arithmetic and pictures.
    Report,
}

impl Kind {
    /// All, in the order they are printed.
    pub const ALL: [Kind; 6] = [
        Kind::CabCard,
        Kind::Checklist,
        Kind::RunForm,
        Kind::SpacingChart,
        Kind::Stakes,
        Kind::Report,
    ];

    /// Stable name, also for style rules.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Kind::CabCard => "cab-card",
            Kind::Checklist => "checklist",
            Kind::RunForm => "run-form",
            Kind::SpacingChart => "spacing-chart",
            Kind::Stakes => "stakes",
            Kind::Report => "report",
        }
    }

    /// What stands on it, in a line.
    #[must_use]
    pub fn about(self) -> &'static str {
        match self {
            Kind::CabCard => {
                "Settings, speed, spacing, tolerances, setback by speed: front and back of a card"
            }
            Kind::Checklist => "From the season's start in the shop to the end of the day",
            Kind::RunForm => "Blanks for the measurements that the sheet takes",
            Kind::SpacingChart => "Every sprocket position with its spacing",
            Kind::Stakes => "Marks and plan of the field",
            Kind::Report => "Everything calculated, with arithmetic and pictures",
        }
    }

    fn title(self) -> &'static str {
        match self {
            Kind::CabCard => "Cab card",
            Kind::Checklist => "Checklist",
            Kind::RunForm => "Run forms",
            Kind::SpacingChart => "Spacing chart",
            Kind::Stakes => "Stakes",
            Kind::Report => "Report",
        }
    }
}

/// Size of the paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 8 1/2 by 11 inches.
    Letter,
    /// 210 by 297 millimetres.
    A4,
}

impl Paper {
    /// Every size.
    pub const ALL: [Paper; 2] = [Paper::Letter, Paper::A4];

    /// As it is asked for.
    #[must_use]
    pub fn option(self) -> &'static str {
        match self {
            Paper::Letter => "letter",
            Paper::A4 => "a4",
        }
    }

    /// Its sides.
    #[must_use]
    pub fn about(self) -> &'static str {
        match self {
            Paper::Letter => "8 1/2 by 11 in",
            Paper::A4 => "210 by 297 mm",
        }
    }

    /// As style rules call it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Paper::Letter => "letter",
            Paper::A4 => "A4",
        }
    }
}

/// What pages are made from.
#[derive(Clone, Copy, Debug)]
pub struct Material<'a> {
    /// The sheet.
    pub sheet: &'a FieldSheet,
    /// Name of its file.
    pub file: &'a str,
    /// Its text, for line numbers.
    pub source: &'a str,
    /// The day the pages are made.
    pub date: &'a str,
    /// The results.
    pub report: &'a Report,
    /// The measurement plan, for how many blanks a form has.
    pub plan: Option<&'a Outcome>,
    /// The layout of the field.
    pub stakes: Option<&'a Outcome>,
    /// What goes into the packets.
    pub packets: Option<&'a Outcome>,
    /// Every sprocket position, or why there is no list of them.
    pub chart: Result<&'a Table, &'a str>,
    /// Remarks on the sheet.
    pub remarks: &'a [Diagnostic],
}

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
        let head =
            |column: &crate::outcome::Column| (harmless(&column.head), harmless(&column.unit));
        let row = |row: &Vec<crate::outcome::Cell>| {
            row.iter().map(|cell| harmless(&super::text::cell(cell))).collect()
        };
        let words = |index: &usize| {
            let mut cells = table.rows.iter().map(|row| &row[*index]);
            *index == 0 || cells.all(|cell| matches!(cell, crate::outcome::Cell::Text(text) if text.parse::<f64>().is_err()))
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

/// The pages of the kinds that are wanted.
#[must_use]
pub fn document(kinds: &[Kind], material: &Material<'_>, paper: Paper) -> Document {
    let leaf = |kind: &Kind| Leaf {
        kind: *kind,
        blocks: match kind {
            Kind::CabCard => cab_card::blocks(material),
            Kind::Checklist => checklist::blocks(material),
            Kind::RunForm => run_form::blocks(material),
            Kind::SpacingChart => spacing_chart::blocks(material),
            Kind::Stakes => stakes::blocks(material),
            Kind::Report => report::blocks(material),
        },
    };
    Document {
        title: harmless(material.sheet.title.as_deref().unwrap_or("Trial without a title")),
        file: harmless(material.file),
        date: harmless(material.date),
        point: harmless(&material.sheet.facts.operating_point()),
        paper,
        leaves: kinds.iter().map(leaf).collect(),
    }
}

/// The cautions of some results, each once, with the machine's manual last.
fn cautions<'a>(
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
