//! What a sheet may hold, declared once: the keys of every table, each in the file of its table.
//!
//! The declaration is what reading goes by, and what the messages, the schema, `record`, the blank
//! forms and the reference are drawn from.

use super::mistakes::{Item, Reader};
use super::shape::Shape;

/// Reads one kind of value, and says what may be written.
pub(in crate::sheet) trait Takes<T>: Sync {
    /// The value; `None` where a mistake was reported.
    fn read(&self, reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<T>;
    /// What may be written; of several, any.
    fn shapes(&self) -> Vec<Shape>;
}

/// When a table can't do without a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::sheet) enum Needed {
    /// Never.
    No,
    /// Whatever else stands in the table: the reader asks for it by itself.
    Always,
    /// In some cases, in words: for what, or with or without which other key.
    Where(&'static str),
}

impl Needed {
    /// In a word or two.
    pub(in crate::sheet) const fn words(self) -> &'static str {
        match self {
            Needed::No => "no",
            Needed::Always => "yes",
            Needed::Where(words) => words,
        }
    }
}

/// A key of a table that holds a `T`.
pub(in crate::sheet) struct Key<T: 'static> {
    pub(in crate::sheet) name: &'static str,
    pub(in crate::sheet) takes: &'static dyn Takes<T>,
    pub(in crate::sheet) needed: Needed,
    /// A value as typed into a sheet.
    pub(in crate::sheet) example: &'static str,
    /// In a sentence or two.
    pub(in crate::sheet) meaning: &'static str,
}

/// A table with its keys.
pub(in crate::sheet) struct Keys {
    /// Its name; within another table, without that one's.
    pub(in crate::sheet) name: &'static str,
    /// Whether there may be several, under `[[name]]`.
    pub(in crate::sheet) many: bool,
    /// What it is, in a sentence or two.
    pub(in crate::sheet) meaning: &'static str,
    pub(in crate::sheet) needed: Needed,
    /// How it may be written on one line; empty where it is too long for that.
    pub(in crate::sheet) example: &'static str,
    /// What to write where something else stands in its place; empty where the usual words do.
    pub(in crate::sheet) instead: &'static str,
    /// The name of a file that may stand in its place; empty where it stands in the sheet only.
    pub(in crate::sheet) file: &'static str,
    /// What there is to know of it besides the meaning of its keys.
    pub(in crate::sheet) notes: &'static str,
    /// Its own keys and the tables in it, in the order in which they are written and described.
    pub(in crate::sheet) list: &'static [&'static dyn Entry],
    /// Keys of any name that ends as theirs does: `fill.wait` for `.wait`.
    pub(in crate::sheet) endings: &'static [&'static dyn Entry],
    /// The keys that a short example of it shows; empty where those do that it can't do without.
    pub(in crate::sheet) shown: &'static [&'static dyn Entry],
    /// Where it is a run of measurements.
    pub(in crate::sheet) run: Option<Recording>,
}

/// How a run of measurements comes into the sheet.
pub(in crate::sheet) struct Recording {
    /// What `record` calls it.
    pub(in crate::sheet) name: &'static str,
    /// What is recorded, in a line.
    pub(in crate::sheet) about: &'static str,
    /// The list that bare values go to: the first whose condition holds.
    pub(in crate::sheet) values: &'static [Values],
    /// Where both sides of a bare value go that has two, such as `11.5/17.5`.
    pub(in crate::sheet) pair: Option<Pair>,
    /// The keys that it shares with other runs.
    pub(in crate::sheet) shared: &'static [&'static dyn Entry],
    /// The blank forms on which it is written in the field.
    pub(in crate::sheet) blanks: &'static [Blank],
}

/// Where bare values of a run go.
pub(in crate::sheet) struct Values {
    pub(in crate::sheet) list: &'static dyn Entry,
    /// The key that must be given for it; `None` where it is the usual one.
    pub(in crate::sheet) with: Option<&'static dyn Entry>,
    /// What they are, in a word or two.
    pub(in crate::sheet) many: &'static str,
}

/// Where the sides of a bare value go that has two.
pub(in crate::sheet) struct Pair {
    /// The list of what stands before the slash.
    pub(in crate::sheet) before: &'static dyn Entry,
    /// The list of what stands behind it.
    pub(in crate::sheet) behind: &'static dyn Entry,
    /// What such values are, in a word or two.
    pub(in crate::sheet) many: &'static str,
}

/// A blank form: what of a run is written down on it, besides its date and a note.
pub(in crate::sheet) struct Blank {
    /// Keys with one value, with what stands behind the blank.
    pub(in crate::sheet) fields: &'static [(&'static dyn Entry, Hint)],
    /// Keys with a list of readings.
    pub(in crate::sheet) lists: &'static [&'static dyn Entry],
}

/// What stands behind a blank.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Hint {
    /// These words.
    Words(&'static str),
    /// Which length, in words; its unit is put behind them.
    Length(&'static str),
    /// Nothing: the blank is filled in already.
    Filled(&'static str),
    /// When the speed has to be written down.
    Speed,
}

/// A key, or a table in a table.
pub(in crate::sheet) trait Entry: Sync {
    fn name(&self) -> &'static str;
    fn needed(&self) -> Needed;
    fn example(&self) -> &'static str;
    fn meaning(&self) -> &'static str;
    /// What a key takes; nothing for a table.
    fn shapes(&self) -> Vec<Shape>;
    /// The table that this is, if it is one.
    fn keys(&'static self) -> Option<&'static Keys>;
}

impl<T> Entry for Key<T> {
    fn name(&self) -> &'static str {
        self.name
    }

    fn needed(&self) -> Needed {
        self.needed
    }

    fn example(&self) -> &'static str {
        self.example
    }

    fn meaning(&self) -> &'static str {
        self.meaning
    }

    fn shapes(&self) -> Vec<Shape> {
        self.takes.shapes()
    }

    fn keys(&'static self) -> Option<&'static Keys> {
        None
    }
}

impl Entry for Keys {
    fn name(&self) -> &'static str {
        self.name
    }

    fn needed(&self) -> Needed {
        self.needed
    }

    fn example(&self) -> &'static str {
        self.example
    }

    fn meaning(&self) -> &'static str {
        self.meaning
    }

    fn shapes(&self) -> Vec<Shape> {
        vec![]
    }

    fn keys(&'static self) -> Option<&'static Keys> {
        Some(self)
    }
}

impl Keys {
    /// A table that may stand once and that nothing needs, to be filled in.
    pub(in crate::sheet) const ONCE: Keys = Keys {
        name: "",
        many: false,
        meaning: "",
        needed: Needed::No,
        example: "",
        instead: "",
        file: "",
        notes: "",
        list: &[],
        endings: &[],
        shown: &[],
        run: None,
    };
    /// A table that may stand several times, to be filled in.
    pub(in crate::sheet) const MANY: Keys = Keys { many: true, ..Keys::ONCE };

    /// Everything that may stand in the table.
    pub(in crate::sheet) fn entries(
        &'static self,
    ) -> impl Iterator<Item = &'static dyn Entry> + Clone {
        let shared = self.run.as_ref().map_or(&[][..], |run| run.shared);
        self.list.iter().chain(shared).copied()
    }

    /// Whether a key or table of this name may stand in it.
    pub(in crate::sheet) fn has(&'static self, name: &str) -> bool {
        self.entries().any(|entry| entry.name() == name) || self.ends(name)
    }

    /// Whether a key may stand in it for how it ends.
    fn ends(&self, name: &str) -> bool {
        self.endings
            .iter()
            .any(|entry| name.len() > entry.name().len() && name.ends_with(entry.name()))
    }

    /// This table and all in it, each after those that it holds.
    pub(in crate::sheet) fn walk(&'static self) -> Vec<Known> {
        let mut all = vec![];
        self.add_to(&mut all, "");
        all
    }

    fn add_to(&'static self, all: &mut Vec<Known>, path: &str) {
        for keys in self.entries().filter_map(Entry::keys) {
            keys.add_to(all, &joined(path, keys.name));
        }
        all.push(Known { path: path.into(), keys: self });
    }
}

/// A table with its place in the sheet.
pub(in crate::sheet) struct Known {
    pub(in crate::sheet) path: String,
    pub(in crate::sheet) keys: &'static Keys,
}

impl Known {
    /// How it is called in messages.
    pub(in crate::sheet) fn name(&self) -> String {
        match (self.path.as_str(), self.keys.many) {
            ("", _) => "the top of the sheet".into(),
            (path, false) => format!("[{path}]"),
            (path, true) => format!("[[{path}]]"),
        }
    }
}

/// The path of a key in a table.
pub(in crate::sheet) fn joined(path: &str, key: &str) -> String {
    if path.is_empty() { key.into() } else { [path, ".", key].concat() }
}
