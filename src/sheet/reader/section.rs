//! A table of the sheet while its keys are looked up, and what is said of keys nobody knows.

use std::collections::BTreeMap;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::*;

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

/// As many keys as most tables are asked for.
const USUAL_KEYS: usize = 16;

/// A table of the sheet while its keys are looked up.
pub(in crate::sheet) struct Section<'s> {
    table: &'s DeTable<'s>,
    span: Range<usize>,
    path: String,
    written: Form,
    asked: Vec<&'static str>,
    /// How it answers where it is not there but listed.
    listing: Option<Listing>,
    /// What its keys take, while it is listed.
    shapes: BTreeMap<&'static str, Vec<Shape>>,
    /// Keys that must be there and are not, with an example.
    lacks: Vec<(&'static str, String)>,
}

impl<'s> Section<'s> {
    /// The top of the document.
    pub(in crate::sheet) fn top(document: &'s Document<'s>) -> Self {
        Section::of(document.get_ref(), 0..0, String::new(), Form::Top)
    }

    /// The top of a sheet that is only listed.
    pub(in crate::sheet) fn listed(self, reader: &Reader<'_>) -> Self {
        Section { listing: reader.listing, ..self }
    }

    /// How it is called in messages.
    fn name(&self) -> String {
        self.written.name(&self.path)
    }

    fn of(table: &'s DeTable<'s>, span: Range<usize>, path: String, written: Form) -> Self {
        Section {
            table,
            span,
            path,
            written,
            asked: Vec::with_capacity(USUAL_KEYS),
            listing: None,
            shapes: BTreeMap::new(),
            lacks: vec![],
        }
    }

    /// Where the table starts.
    pub(in crate::sheet) fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    fn item(&mut self, key: &'static str) -> Option<&'s Spanned<DeValue<'s>>> {
        self.asked.push(key);
        self.table.get(key)
    }

    /// A key that may be missing.
    pub(in crate::sheet) fn optional<T>(
        &mut self,
        reader: &mut Reader<'_>,
        key: &'static str,
        read: impl Read<T>,
    ) -> Option<T> {
        self.placed(reader, key, read).map(|placed| placed.value)
    }

    /// A key that may be missing, with its place.
    pub(in crate::sheet) fn placed<T>(
        &mut self,
        reader: &mut Reader<'_>,
        key: &'static str,
        read: impl Read<T>,
    ) -> Option<Placed<T>> {
        let Some(value) = self.item(key) else {
            if reader.listing.is_some() {
                let shapes = reader.shapes_of(key, read);
                let own = self.shapes.entry(key).or_default();
                own.extend(shapes.into_iter().filter(|one| !own.contains(one)).collect::<Vec<_>>());
            }
            return None;
        };
        let Some(read) = read(reader, Item { key, value }) else {
            reader.spoken.insert(joined(&self.path, key));
            return None;
        };
        Some(Placed { value: read, span: value.span() })
    }

    /// A key that must be there.
    pub(in crate::sheet) fn required<T>(
        &mut self,
        reader: &mut Reader<'_>,
        key: &'static str,
        example: &str,
        read: impl Read<T>,
    ) -> Option<T> {
        self.placed_required(reader, key, example, read).map(|placed| placed.value)
    }

    /// A key that must be there, with its place.
    pub(in crate::sheet) fn placed_required<T>(
        &mut self,
        reader: &mut Reader<'_>,
        key: &'static str,
        example: &str,
        read: impl Read<T>,
    ) -> Option<Placed<T>> {
        if !self.table.contains_key(key) {
            self.lacks.push((key, example.into()));
        }
        self.placed(reader, key, read)
    }

    /// Whether a key is there, whatever it holds.
    pub(in crate::sheet) fn has(&self, key: &str) -> bool {
        self.table.contains_key(key) || self.listing == Some(Listing::HasAll)
    }

    /// Whether only what may stand here is listed.
    pub(in crate::sheet) fn is_listed(&self) -> bool {
        self.listing.is_some()
    }

    /// Whether a key is to be read as a table: it holds one, or the vocabulary is wanted.
    pub(in crate::sheet) fn holds_table(&self, reader: &Reader<'_>, key: &str) -> bool {
        reader.listing.is_some()
            || self.table.get(key).is_some_and(|value| matches!(value.get_ref(), DeValue::Table(_)))
    }

    /// A value looked at without asking for its key: nothing is said of it, and nothing allowed.
    pub(in crate::sheet) fn glance<T>(
        &self,
        reader: &Reader<'_>,
        key: &str,
        read: impl Read<T>,
    ) -> Option<T> {
        let value = self.table.get(key)?;
        let mut quiet = Reader { bare: reader.bare, ..Reader::new(reader.text) };
        read(&mut quiet, Item { key, value })
    }

    /// Keys that may stand here, though nothing is read from them.
    pub(in crate::sheet) fn know(&mut self, keys: &[&'static str]) {
        self.asked.extend(keys);
    }

    /// Where a key's value stands.
    pub(in crate::sheet) fn place(&self, key: &str) -> Range<usize> {
        self.table.get(key).map_or_else(|| self.span(), Spanned::span)
    }

    /// Where an entry of a key's list stands.
    pub(in crate::sheet) fn entry_place(&self, key: &str, index: usize) -> Range<usize> {
        match self.table.get(key).map(Spanned::get_ref) {
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
        key: &'static str,
        read: impl Fn(&mut Reader<'_>, &mut Section<'_>) -> T,
    ) -> Option<T> {
        match self.item(key) {
            Some(value) => self.inner(reader, key, Form::Single, value, read),
            None => self.imagine(reader, key, Form::Single, read),
        }
    }

    /// A list of tables in this one.
    pub(in crate::sheet) fn tables<T>(
        &mut self,
        reader: &mut Reader<'_>,
        key: &'static str,
        read: impl Fn(&mut Reader<'_>, &mut Section<'_>) -> T,
    ) -> Vec<T> {
        let Some(value) = self.item(key) else {
            self.imagine(reader, key, Form::OneOfMany, read);
            return vec![];
        };
        let many = Form::OneOfMany;
        match value.get_ref() {
            DeValue::Array(entries) => entries
                .iter()
                .filter_map(|entry| self.inner(reader, key, many, entry, &read))
                .collect(),
            // One `[table]` where several may stand is read as the only one.
            _ => self.inner(reader, key, many, value, &read).into_iter().collect(),
        }
    }

    fn inner<T>(
        &self,
        reader: &mut Reader<'_>,
        key: &'static str,
        written: Form,
        value: &'s Spanned<DeValue<'s>>,
        read: impl Fn(&mut Reader<'_>, &mut Section<'_>) -> T,
    ) -> Option<T> {
        let path = joined(&self.path, key);
        let DeValue::Table(table) = value.get_ref() else {
            let example = table_example(&path).map_or_else(
                || {
                    let name = written.name(&path);
                    format!("{name} on a line of its own, and its keys in the lines below")
                },
                String::from,
            );
            reader.wrong_type(Item { key, value }, "a table", &example);
            reader.spoken.insert(path);
            return None;
        };
        let braces = reader.text.get(value.span()).is_some_and(|text| text.starts_with('{'));
        let span = whole_header(reader.text, value.span());
        let written = if braces { Form::Braces(key) } else { written };
        let mut section = Section::of(table, span, path, written);
        let result = read(reader, &mut section);
        section.finish(reader);
        Some(result)
    }

    /// Reads a table that is not there, for the sake of the vocabulary.
    fn imagine<T>(
        &self,
        reader: &mut Reader<'_>,
        key: &'static str,
        written: Form,
        read: impl Fn(&mut Reader<'_>, &mut Section<'_>) -> T,
    ) -> Option<T> {
        reader.listing?;
        let empty = DeTable::new();
        let path = joined(&self.path, key);
        let mut section = Section::of(&empty, 0..0, path, written).listed(reader);
        let result = read(reader, &mut section);
        section.finish(reader);
        Some(result)
    }

    /// Reports every key that nobody asked for, and every one that is missing.
    pub(in crate::sheet) fn finish(&self, reader: &mut Reader<'_>) {
        let keys = || {
            let mut keys = self.asked.clone();
            keys.sort_unstable();
            keys.dedup();
            keys
        };
        if reader.listing.is_some() {
            let known = Known {
                name: self.name(),
                path: self.path.clone(),
                keys: keys(),
                shapes: self.shapes.clone(),
                needed: self.lacks.iter().map(|(key, _)| *key).collect(),
            };
            reader.vocabulary.get_or_insert_default().push(known);
            return;
        }
        let mut meant = vec![];
        for (key, value) in self.table.iter() {
            let name = key.get_ref().as_ref();
            if !self.asked.contains(&name) {
                let allowed = keys();
                meant.extend(self.unknown(reader, key.span(), name, value.get_ref(), &allowed));
            }
        }
        for (key, example) in self.lacks.iter().filter(|(key, _)| !meant.contains(key)) {
            let message = format!("{} has no `{key}`", self.name());
            let braces = matches!(self.written, Form::Braces(_));
            let inside = if braces { " inside the braces" } else { "" };
            let advice = format!("add `{key} = {example}`{inside}");
            reader.say(&codes::MISSING_KEY, self.span(), message, advice);
            reader.spoken.insert(joined(&self.path, key));
        }
    }

    /// Reports a key that this table does not have; hands back the one that was meant.
    fn unknown(
        &self,
        reader: &mut Reader<'_>,
        span: Range<usize>,
        name: &str,
        value: &DeValue<'_>,
        allowed: &[&str],
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
        let elsewhere = reader.belongs(name, &self.path, is_table);
        let near =
            if elsewhere.is_some() { None } else { suggestion(name, self.asked.iter().copied()) };
        let advice = match (elsewhere, near) {
            (Some(place), _) => place,
            (None, Some(near)) => {
                reader.spoken.insert(joined(&self.path, near));
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
        reader.say(&codes::UNKNOWN_KEY, span, message, advice).allowed = Some(allowed.join(", "));
        near
    }
}

/// What to write for the tables that usually stand in braces.
fn table_example(path: &str) -> Option<&'static str> {
    Some(match path {
        "planter.travel-per-turn" => {
            "the course and the turns it took: { distance = \"67 ft 11 in\", turns = 10 }"
        }
        "planter.plate" => "the cells of the plate in braces: { cells = 40 }",
        "planter.drive" => {
            "[[planter.drive]] on a line of its own, and driving = 24 and driven = 18 below it"
        }
        "planter.controller.trip-scale" => {
            "what the number means: { counts = \"per length\" } or { length = \"per count\" }; the \
             number itself goes under [settings]"
        }
        "planter.controller.setback" | "planter.controller.pass-offset" => {
            "which way it works: { raising-moves-alley = \"back\" } or \"ahead\"; the setting itself \
             goes under [settings]"
        }
        "layout.corner" => {
            "where a corner of the start line is: { latitude = 42.0308, longitude = -93.6319, side \
             = \"left\" }"
        }
        "planter.depth-turns" => {
            "what a turn does: { depth = \"1/4 in\", turns = 1, turning-in = \"deeper\" }, or \
             \"shallower\""
        }
        "trial.tolerance" => "one tolerance for each: { trip = \"1 in\", centre = \"1 in\" }",
        _ => return None,
    })
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
