//! The kinds of run that can be recorded, as the tables of the sheet declare them.

use std::sync::LazyLock;

use crate::sheet::TOP;
use crate::sheet::reader::{Blank, Entry, Hint, Keys, Recording, Shape};
use crate::sheet::run::SPEED;

/// A kind of run.
#[derive(Debug)]
pub struct Kind {
    /// What it is called on the command line.
    pub name: &'static str,
    /// Its table in the sheet.
    pub table: &'static str,
    /// Its table as it stands over the keys: `[[trip-run]]`.
    pub written: String,
    /// What is recorded, in a line.
    pub about: &'static str,
    /// What the table is, in a sentence or two.
    pub meaning: &'static str,
    /// What there is to know of it besides; may be empty.
    pub notes: &'static str,
    /// Its own keys, in the order in which they are written.
    pub keys: Vec<Key>,
    /// The list that bare values go to: the first whose condition holds.
    pub values: Vec<Values>,
    /// Whether it holds for one operating point, which is then written down with it.
    pub at_point: bool,
    /// The blank forms on which it is written down in the field.
    pub(crate) blanks: Vec<BlankForm>,
}

/// Where bare values go.
#[derive(Debug)]
pub struct Values {
    /// The list.
    pub key: &'static str,
    /// The key that must be given for it; `None` where it is the usual one.
    pub with: Option<&'static str>,
}

/// A key of a run.
#[derive(Debug)]
pub struct Key {
    /// Its name.
    pub name: &'static str,
    /// What it takes.
    pub takes: Takes,
    /// What it is.
    pub about: &'static str,
    /// A value as typed.
    pub example: &'static str,
}

/// What a key takes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Takes {
    /// One value.
    One,
    /// Several readings.
    List,
    /// Text that is never a number.
    Text,
    /// One of a few words.
    Word(Vec<&'static str>),
    /// `true` or `false`.
    YesNo,
}

/// What of a run is written down on a blank form, besides its date and a note.
#[derive(Debug)]
pub(crate) struct BlankForm {
    /// Keys with one value, with what stands behind the blank.
    pub(crate) fields: Vec<(&'static str, Hint)>,
    /// Keys with a list, and what is listed.
    pub(crate) lists: Vec<(&'static str, Listed)>,
}

/// What is listed on a blank form.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Listed {
    /// Readings of a tape.
    Lengths,
    /// Measures in this unit.
    In(&'static str),
    /// What needs no unit.
    Plain,
}

/// Every kind of run that can be recorded, in the order of the tables.
pub static KINDS: LazyLock<Vec<Kind>> = LazyLock::new(|| {
    let tables = TOP.entries().filter_map(Entry::keys);
    tables.filter_map(|keys| Some(kind(keys, keys.run.as_ref()?))).collect()
});

fn kind(keys: &'static Keys, run: &'static Recording) -> Kind {
    Kind {
        name: run.name,
        table: keys.name,
        written: format!("[[{}]]", keys.name),
        about: run.about,
        meaning: keys.meaning,
        notes: keys.notes,
        keys: keys.list.iter().map(|entry| key(*entry)).collect(),
        values: run
            .values
            .iter()
            .map(|to| Values { key: to.list.name(), with: to.with.map(Entry::name) })
            .collect(),
        at_point: keys.has(SPEED.name),
        blanks: run.blanks.iter().map(blank).collect(),
    }
}

fn key(entry: &'static dyn Entry) -> Key {
    let takes = match entry.shapes().pop() {
        Some(Shape::List(_)) => Takes::List,
        Some(Shape::Words(words)) => Takes::Word(words),
        Some(Shape::YesNo) => Takes::YesNo,
        Some(Shape::Text) => Takes::Text,
        _ => Takes::One,
    };
    // A line of help has no full stop.
    let about = entry.meaning().trim_end_matches('.');
    Key { name: entry.name(), takes, about, example: entry.example() }
}

fn blank(blank: &'static Blank) -> BlankForm {
    BlankForm {
        fields: blank.fields.iter().map(|(entry, hint)| (entry.name(), *hint)).collect(),
        lists: blank.lists.iter().map(|entry| (entry.name(), listed(*entry))).collect(),
    }
}

fn listed(entry: &dyn Entry) -> Listed {
    match entry.shapes().pop() {
        Some(Shape::List(entries)) => match entries.first() {
            Some(Shape::Measure(written)) if written.bare => Listed::Lengths,
            Some(Shape::Measure(written)) => Listed::In(written.unit),
            _ => Listed::Plain,
        },
        _ => Listed::Plain,
    }
}
