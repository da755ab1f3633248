//! What a sheet may hold, as plain data: for the reference, and for whoever asks the library.

use super::TOP;
use super::reader::{Entry, Keys, Needed, Shape, any};

/// A table of the sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TableEntry {
    /// Its place in the sheet, such as `planter.plate`; empty for the top of the sheet.
    pub path: String,
    /// Whether there may be several, under `[[path]]`.
    pub many: bool,
    /// What it is.
    pub meaning: &'static str,
    /// What there is to know of it besides the meaning of its keys; may be empty.
    pub notes: &'static str,
    /// How it may be written on one line; empty where it is too long for that.
    pub example: &'static str,
    /// The keys that a short example of it shows.
    pub shown: Vec<&'static str>,
    /// Its keys, and the tables in it, in the order in which they are written.
    pub keys: Vec<KeyEntry>,
}

/// A key of a table, or a table in a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeyEntry {
    /// Its name.
    pub name: &'static str,
    /// Whether it is a table, and nothing but a table.
    pub is_table: bool,
    /// What it takes, in words: "a length", "a list, each a whole number".
    pub takes: String,
    /// What that may be at least and at most, or which words, where there are limits.
    pub limits: Option<String>,
    /// When its table can't do without it: "yes", "no", or when.
    pub needed: &'static str,
    /// A value as typed; empty for a table that is too long for one line.
    pub example: &'static str,
    /// What it means.
    pub meaning: &'static str,
}

/// Every table that a sheet may have, each before those in it, with its keys.
///
/// ```
/// let tables = alleytrue::sheet::tables();
/// let plate = tables.iter().find(|table| table.path == "planter.plate").expect("a table");
/// let cells = plate.keys.iter().find(|key| key.name == "cells").expect("a key");
/// assert_eq!(cells.limits.as_deref(), Some("1 to 1000"));
/// assert_eq!(cells.needed, "yes");
/// ```
#[must_use]
pub fn tables() -> Vec<TableEntry> {
    let mut all = vec![];
    add(&TOP, "", &mut all);
    all
}

fn add(table: &'static Keys, path: &str, all: &mut Vec<TableEntry>) {
    let mut keys: Vec<KeyEntry> = vec![];
    for entry in table.entries() {
        // A table that may stand in place of a bare value is told with that.
        match keys.iter_mut().find(|key| key.name == entry.name()) {
            Some(bare) => bare.takes.push_str(", or a table"),
            None => keys.push(described(entry)),
        }
    }
    all.push(TableEntry {
        path: path.into(),
        many: table.many,
        meaning: table.meaning,
        notes: table.notes,
        example: table.example,
        shown: shown(table),
        keys,
    });
    for inner in table.entries().filter_map(Entry::keys) {
        let path =
            if path.is_empty() { inner.name.into() } else { format!("{path}.{}", inner.name) };
        add(inner, &path, all);
    }
}

/// The keys of a short example: those that are chosen for it, else those that the table can't do
/// without, else those that something needs, else the first.
fn shown(table: &'static Keys) -> Vec<&'static str> {
    const MOST: usize = 4;
    let list = || table.list.iter().filter(|entry| !entry.example().is_empty());
    let by = |which: fn(Needed) -> bool| -> Vec<&'static str> {
        list().filter(|entry| which(entry.needed())).map(|entry| entry.name()).take(MOST).collect()
    };
    let chosen: Vec<&'static str> = table.shown.iter().map(|entry| entry.name()).collect();
    let ways = [
        chosen,
        by(|needed| needed == Needed::Always),
        by(|needed| needed != Needed::No),
        by(|_| true),
    ];
    let mut names = ways.into_iter().find(|names| !names.is_empty()).unwrap_or_default();
    names.dedup();
    names
}

fn described(entry: &'static dyn Entry) -> KeyEntry {
    let shapes = entry.shapes();
    let is_table = entry.keys().is_some();
    let limits: Vec<String> = shapes.iter().filter_map(Shape::limits).collect();
    KeyEntry {
        name: entry.name(),
        is_table,
        takes: if is_table { "a table".into() } else { any(shapes.iter().map(Shape::noun)) },
        limits: (!limits.is_empty()).then(|| any(limits.into_iter())),
        needed: entry.needed().words(),
        example: entry.example(),
        meaning: entry.meaning(),
    }
}
