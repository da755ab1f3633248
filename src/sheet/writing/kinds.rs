//! The kinds of run that can be recorded, as the tables of the sheet declare them.

use std::sync::LazyLock;

use crate::quantity::bounds::Bounds;
use crate::quantity::{MeasureUnit, TimeUnit};
use crate::sheet::TOP;
use crate::sheet::reader::{Blank, Entry, Hint, Keys, Needed, Recording, Shape};
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
    /// The two lists that a bare value with a slash in it goes to, and what such values are.
    pub pair: Option<Pair>,
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
    /// What they are, in a word or two.
    pub many: &'static str,
}

/// Where the two sides of a bare value go.
#[derive(Debug)]
pub struct Pair {
    /// The list of what stands before the slash.
    pub before: &'static str,
    /// The list of what stands behind it.
    pub behind: &'static str,
    /// What such values are, in a word or two.
    pub many: &'static str,
}

/// A key of a run.
#[derive(Debug)]
pub struct Key {
    /// Its name.
    pub name: &'static str,
    /// What it takes.
    pub takes: Takes,
    /// What its values are measures of.
    pub of: Of,
    /// When a run can't do without it.
    pub needed: Need,
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

/// What values are measures of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Of {
    /// Lengths, believed within these limits.
    Length(&'static Bounds),
    /// Times.
    Time,
    /// Anything else.
    Else,
}

/// When a run can't do without a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// It can.
    No,
    /// Never.
    Always,
    /// Where none of the others is given that are needed so.
    OneOf,
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
            .map(|to| Values { key: to.list.name(), with: to.with.map(Entry::name), many: to.many })
            .collect(),
        pair: run.pair.as_ref().map(|pair| Pair {
            before: pair.before.name(),
            behind: pair.behind.name(),
            many: pair.many,
        }),
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
    let needed = match entry.needed() {
        Needed::No => Need::No,
        Needed::Always => Need::Always,
        Needed::Where(_) => Need::OneOf,
    };
    let of = of(entry.shapes().pop());
    Key { name: entry.name(), takes, of, needed, about, example: entry.example() }
}

fn of(shape: Option<Shape>) -> Of {
    match shape {
        Some(Shape::List(mut entries)) => of(entries.pop()),
        Some(Shape::Measure(written)) if written.bare => Of::Length(written.bounds),
        Some(Shape::Measure(written)) if written.unit == TimeUnit::Second.symbol() => Of::Time,
        _ => Of::Else,
    }
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
