//! A table of the sheet while its keys are looked up, and what is said of keys nobody knows.

use std::collections::BTreeSet;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::sheet::codes;
use crate::sheet::placed::Placed;

use super::key::{Entry, Key, Keys, Known, Needed, Takes, joined};
use super::mistakes::{Item, Reader};

/// How a table is written in the sheet.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Form {
    /// Not at all: the top of the sheet.
    Top,
    /// Under `[name]`.
    Single,
    /// Under `[[name]]`.
    OneOfMany,
    /// In braces on one line, behind this key.
    Braces(&'static str),
}

impl Form {
    /// How a table at `path` is called in messages.
    fn name(self, path: &str) -> String {
        match self {
            Form::Top => "the top of the sheet".into(),
            Form::Single => format!("[{path}]"),
            Form::OneOfMany => format!("[[{path}]]"),
            Form::Braces(key) => format!("`{key}`"),
        }
    }
}

/// Which keys were asked for. In debug builds, and so in every test, a key that is read without
/// being declared or declared without being read stops the program.
#[derive(Default)]
struct Asked {
    #[cfg(debug_assertions)]
    names: std::collections::BTreeSet<&'static str>,
}

#[cfg(debug_assertions)]
impl Asked {
    fn note(&mut self, keys: &'static Keys, name: &'static str) {
        let ending = keys.endings.iter().any(|entry| entry.name() == name);
        assert!(keys.has(name) || ending, "`{name}` is read and not declared in `{}`", keys.name);
        self.names.insert(name);
    }

    fn finish(&self, keys: &'static Keys) {
        for name in keys.entries().chain(keys.endings.iter().copied()).map(Entry::name) {
            assert!(self.names.contains(name), "`{name}` of `{}` is never read", keys.name);
        }
    }
}

#[cfg(not(debug_assertions))]
impl Asked {
    fn note(&mut self, _: &'static Keys, _: &'static str) {}

    fn finish(&self, _: &'static Keys) {}
}

/// A table of the sheet while its keys are looked up.
pub(in crate::sheet) struct Section<'s> {
    table: &'s DeTable<'s>,
    span: Range<usize>,
    path: String,
    written: Form,
    keys: &'static Keys,
    /// The whole sheet as it is declared, for what stands in the wrong table.
    top: &'static Keys,
    asked: Asked,
    /// Keys that must be there and are not, with an example.
    lacks: Vec<(&'static str, &'static str)>,
}

impl<'s> Section<'s> {
    /// The top of the document.
    pub(in crate::sheet) fn top(document: &'s Spanned<DeTable<'s>>, top: &'static Keys) -> Self {
        Section {
            table: document.get_ref(),
            span: 0..0,
            path: String::new(),
            written: Form::Top,
            keys: top,
            top,
            asked: Asked::default(),
            lacks: vec![],
        }
    }

    /// How it is called in messages.
    fn name(&self) -> String {
        self.written.name(&self.path)
    }

    /// Where the table starts.
    pub(in crate::sheet) fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    fn value(&mut self, name: &'static str) -> Option<&'s Spanned<DeValue<'s>>> {
        self.asked.note(self.keys, name);
        self.table.get(name)
    }

    /// A key; where the table can't do without it and it is not there, that is a mistake.
    pub(in crate::sheet) fn read<T>(
        &mut self,
        reader: &mut Reader<'_>,
        key: &'static Key<T>,
    ) -> Option<T> {
        self.placed(reader, key).map(|placed| placed.value)
    }

    /// The same with its place.
    pub(in crate::sheet) fn placed<T>(
        &mut self,
        reader: &mut Reader<'_>,
        key: &'static Key<T>,
    ) -> Option<Placed<T>> {
        self.placed_as(reader, key, key.takes)
    }

    /// A key that takes less than is declared, by what stands elsewhere in the table.
    pub(in crate::sheet) fn read_as<T>(
        &mut self,
        reader: &mut Reader<'_>,
        key: &'static Key<T>,
        takes: &dyn Takes<T>,
    ) -> Option<T> {
        self.placed_as(reader, key, takes).map(|placed| placed.value)
    }

    fn placed_as<T>(
        &mut self,
        reader: &mut Reader<'_>,
        key: &'static Key<T>,
        takes: &dyn Takes<T>,
    ) -> Option<Placed<T>> {
        let Some(value) = self.value(key.name) else {
            if key.needed == Needed::Always {
                self.need(key);
            }
            return None;
        };
        let Some(read) = takes.read(reader, Item { key: key.name, value }) else {
            reader.spoke_of(joined(&self.path, key.name));
            return None;
        };
        Some(Placed { value: read, span: value.span() })
    }

    /// Every key that ends so, by what stands before that.
    pub(in crate::sheet) fn ending<T>(
        &mut self,
        reader: &mut Reader<'_>,
        key: &'static Key<T>,
    ) -> Vec<(&'s str, Placed<T>)> {
        self.asked.note(self.keys, key.name);
        let mut all = vec![];
        for (name, value) in self.table.iter() {
            let Some(own) = name.get_ref().strip_suffix(key.name).filter(|own| !own.is_empty())
            else {
                continue;
            };
            match key.takes.read(reader, Item { key: name.get_ref(), value }) {
                Some(read) => all.push((own, Placed { value: read, span: value.span() })),
                None => reader.spoke_of(joined(&self.path, name.get_ref())),
            }
        }
        all
    }

    /// Says that a key must be there in this case.
    pub(in crate::sheet) fn need(&mut self, key: &'static dyn Entry) {
        if !self.has(key) {
            self.lacks.push((key.name(), key.example()));
        }
    }

    /// Whether a key is there, whatever it holds.
    pub(in crate::sheet) fn has(&self, key: &dyn Entry) -> bool {
        self.table.contains_key(key.name())
    }

    /// What stands behind a key, for what has to know it before the key is read.
    pub(in crate::sheet) fn glance(&self, name: &str) -> Option<&'s DeValue<'s>> {
        self.table.get(name).map(Spanned::get_ref)
    }

    /// Whether a key holds a table.
    pub(in crate::sheet) fn holds_table(&self, key: &dyn Entry) -> bool {
        let value = self.table.get(key.name());
        value.is_some_and(|value| matches!(value.get_ref(), DeValue::Table(_)))
    }

    /// Where a key's value stands.
    pub(in crate::sheet) fn place(&self, key: &dyn Entry) -> Range<usize> {
        self.table.get(key.name()).map_or_else(|| self.span(), Spanned::span)
    }

    /// Where an entry of a key's list stands.
    pub(in crate::sheet) fn entry_place(&self, key: &dyn Entry, index: usize) -> Range<usize> {
        match self.table.get(key.name()).map(Spanned::get_ref) {
            Some(DeValue::Array(entries)) => {
                entries.get(index).map_or_else(|| self.place(key), Spanned::span)
            }
            _ => self.place(key),
        }
    }

    /// A table in this one.
    pub(in crate::sheet) fn table<T>(
        &mut self,
        reader: &mut Reader<'_>,
        keys: &'static Keys,
        read: impl Fn(&mut Reader<'_>, &mut Section<'_>) -> T,
    ) -> Option<T> {
        let value = self.value(keys.name)?;
        self.inner(reader, keys, value, read)
    }

    /// A list of tables in this one.
    pub(in crate::sheet) fn tables<T>(
        &mut self,
        reader: &mut Reader<'_>,
        keys: &'static Keys,
        read: impl Fn(&mut Reader<'_>, &mut Section<'_>) -> T,
    ) -> Vec<T> {
        let Some(value) = self.value(keys.name) else { return vec![] };
        match value.get_ref() {
            DeValue::Array(entries) => {
                entries.iter().filter_map(|entry| self.inner(reader, keys, entry, &read)).collect()
            }
            // One `[table]` where several may stand is read as the only one.
            _ => self.inner(reader, keys, value, &read).into_iter().collect(),
        }
    }

    fn inner<T>(
        &self,
        reader: &mut Reader<'_>,
        keys: &'static Keys,
        value: &'s Spanned<DeValue<'s>>,
        read: impl Fn(&mut Reader<'_>, &mut Section<'_>) -> T,
    ) -> Option<T> {
        let path = joined(&self.path, keys.name);
        let written = if keys.many { Form::OneOfMany } else { Form::Single };
        let DeValue::Table(table) = value.get_ref() else {
            let usual = || {
                let name = written.name(&path);
                format!("{name} on a line of its own, and its keys in the lines below")
            };
            let instead = if keys.instead.is_empty() { usual() } else { keys.instead.into() };
            reader.wrong_type(Item { key: keys.name, value }, "a table", &instead);
            reader.spoke_of(path);
            return None;
        };
        let braces = reader.text.get(value.span()).is_some_and(|text| text.starts_with('{'));
        let mut section = Section {
            table,
            span: whole_header(reader.text, value.span()),
            path,
            written: if braces { Form::Braces(keys.name) } else { written },
            keys,
            top: self.top,
            asked: Asked::default(),
            lacks: vec![],
        };
        let result = read(reader, &mut section);
        section.finish(reader);
        Some(result)
    }

    /// Reports every key that is not declared, and every one that is missing.
    pub(in crate::sheet) fn finish(&self, reader: &mut Reader<'_>) {
        self.asked.finish(self.keys);
        let mut meant = vec![];
        for (key, value) in self.table.iter() {
            let name = key.get_ref().as_ref();
            if !self.keys.has(name) {
                meant.extend(self.unknown(reader, key.span(), name, value.get_ref()));
            }
        }
        for (key, example) in self.lacks.iter().filter(|(key, _)| !meant.contains(key)) {
            let message = format!("{} has no `{key}`", self.name());
            let braces = matches!(self.written, Form::Braces(_));
            let inside = if braces { " inside the braces" } else { "" };
            let advice = format!("add `{key} = {example}`{inside}");
            reader.say(&codes::MISSING_KEY, self.span(), message, advice);
            reader.spoke_of(joined(&self.path, key));
        }
    }

    /// Reports a key that this table does not have; hands back the one that was meant.
    fn unknown(
        &self,
        reader: &mut Reader<'_>,
        span: Range<usize>,
        name: &str,
        value: &DeValue<'_>,
    ) -> Option<&'static str> {
        let is_table = match value {
            DeValue::Table(_) => true,
            DeValue::Array(entries) => {
                entries.first().is_some_and(|one| matches!(one.get_ref(), DeValue::Table(_)))
            }
            _ => false,
        };
        if reader.full() {
            return None;
        }
        let elsewhere = belongs(reader, &self.top.walk(), name, &self.path, is_table);
        let own = || self.keys.entries().map(Entry::name);
        let near = if elsewhere.is_some() { None } else { suggestion(name, own()) };
        let advice = match (elsewhere, near) {
            (Some(place), _) => place,
            (None, Some(near)) => {
                reader.spoke_of(joined(&self.path, near));
                format!("did you mean `{near}`?")
            }
            (None, None) => {
                "take it out; `alleytrue new` writes a sheet with the usual keys".into()
            }
        };
        let message = if is_table && self.path.is_empty() {
            format!("there is no table `{name}`")
        } else {
            format!("{} has no key `{name}`", self.name())
        };
        let allowed: BTreeSet<&str> = own().collect();
        let allowed: Vec<&str> = allowed.into_iter().collect();
        reader.say(&codes::UNKNOWN_KEY, span, message, advice).allowed = Some(allowed.join(", "));
        near
    }
}

/// Where a key belongs that stands in the wrong table, as advice.
fn belongs(
    reader: &mut Reader<'_>,
    known: &[Known],
    key: &str,
    here: &str,
    is_table: bool,
) -> Option<String> {
    const MOST_PLACES: usize = 3;
    let table_of = |place: &Known| {
        known.iter().find(|one| one.path == joined(&place.path, key)).map(Known::name)
    };
    let places: Vec<&Known> = known
        .iter()
        .filter(|place| place.path != here && place.keys.has(key))
        // What the record repeats belongs where it is said first.
        .filter(|place| place.path != "history")
        .filter(|place| [".at", ".with"].iter().all(|end| !place.path.ends_with(end)))
        .filter(|place| !is_table || table_of(place).is_some())
        .collect();
    if places.is_empty() || places.len() > MOST_PLACES {
        return None;
    }
    // `setback = "15 in"` is the setting, not the table of the same name.
    let plain = places.iter().any(|place| table_of(place).is_none());
    let mut names = vec![];
    let mut spoken = vec![];
    for place in places.iter().filter(|place| is_table || !plain || table_of(place).is_none()) {
        spoken.push(joined(&place.path, key));
        names.push(match (table_of(place), place.path.is_empty()) {
            (Some(table), _) if is_table => format!("its name is {table}"),
            (Some(table), _) => format!("it is a table of its own, {table}"),
            (None, true) => "it belongs at the top of the sheet, above the first [table]".into(),
            (None, false) => format!("it belongs in {}", place.name()),
        });
    }
    spoken.into_iter().for_each(|path| reader.spoke_of(path));
    Some(names.join(", or "))
}

/// The whole header where a table is there only as a part of it: `planter` in
/// `[planter.controller]`.
fn whole_header(text: &str, span: Range<usize>) -> Range<usize> {
    if text.get(span.clone()).is_some_and(|at| at.starts_with(['[', '{'])) {
        return span;
    }
    let start = text.get(..span.start).and_then(|before| before.rfind('\n')).map_or(0, |at| at + 1);
    let line = text.get(start..).and_then(|rest| rest.lines().next()).unwrap_or_default();
    let header = line.split('#').next().unwrap_or_default().trim();
    if header.starts_with('[') && header.ends_with(']') {
        let indent = line.len() - line.trim_start().len();
        return start + indent..start + indent + header.len();
    }
    span
}

/// The candidate closest to what was typed, where it is close enough to be meant; else the only
/// one that starts with what was typed or that it starts with, word for word.
pub(in crate::sheet) fn suggestion<'c>(
    typed: &str,
    candidates: impl Iterator<Item = &'c str> + Clone,
) -> Option<&'c str> {
    const FURTHEST: usize = 3;
    let typed = typed.trim().to_lowercase().replace(['_', ' '], "-");
    if typed.chars().count() < 3 {
        return None;
    }
    let near = candidates
        .clone()
        .map(|candidate| (strsim::damerau_levenshtein(&typed, candidate), candidate))
        .filter(|(distance, candidate)| *distance <= FURTHEST && *distance * 2 <= candidate.len())
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate);
    let longer = |long: &str, short: &str| {
        long.strip_prefix(short).is_some_and(|rest| rest.starts_with('-'))
    };
    near.or_else(|| {
        let mut same = candidates.filter(|word| longer(word, &typed) || longer(&typed, word));
        same.next().filter(|_| same.next().is_none())
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::reader::Text;

    static NAME: Key<String> = Key {
        name: "name",
        takes: &Text,
        needed: Needed::No,
        example: "\"north\"",
        meaning: "A name.",
    };
    static NOTE: Key<String> = Key {
        name: "note",
        takes: &Text,
        needed: Needed::No,
        example: "\"windy\"",
        meaning: "A note.",
    };
    static TOP: Keys = Keys { list: &[&NAME], ..Keys::ONCE };

    fn read(keys: &[&'static Key<String>]) {
        let document = DeTable::parse("name = \"north\"");
        let document = document.unwrap_or_else(|error| unreachable!("{error}"));
        let mut reader = Reader::new("name = \"north\"");
        let mut section = Section::top(&document, &TOP);
        keys.iter().for_each(|key| drop(section.read(&mut reader, key)));
        section.finish(&mut reader);
        assert!(reader.into_diagnostics().is_empty());
    }

    #[test]
    fn a_table_reads_what_it_declares() {
        read(&[&NAME]);
    }

    #[test]
    #[should_panic(expected = "`note` is read and not declared")]
    fn a_key_that_is_not_declared_is_not_read() {
        read(&[&NAME, &NOTE]);
    }

    #[test]
    #[should_panic(expected = "`name` of `` is never read")]
    fn a_key_that_is_declared_is_read() {
        read(&[]);
    }
}
