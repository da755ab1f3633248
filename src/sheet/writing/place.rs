//! Where things stand in the text of a sheet, and the text with some places replaced.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::sheet::{NewText, Source};

use super::WriteError;

/// A place of the text and what it is replaced by.
pub(super) type Edit = (Range<usize>, String);

/// A sheet without mistakes, with the place of everything in it.
pub(super) struct Places<'s> {
    /// The text, and behind it that of the planter's file where the sheet has one.
    pub(super) text: &'s str,
    /// Where the text of the sheet itself ends.
    pub(super) end: usize,
    document: Spanned<DeTable<'s>>,
}

/// A table of which there may be several, such as a run.
#[derive(Debug)]
pub(super) struct Entry {
    /// Its header, or its braces with what is between them.
    pub(super) start: usize,
    pub(super) in_braces: bool,
    /// Where its last value ends.
    end: usize,
}

fn not_toml(error: &toml::de::Error) -> WriteError {
    WriteError::Refused(format!("the sheet is not TOML: {}", error.message()), NOT_TOML)
}

const NOT_TOML: &str = "mend the sheet first; `alleytrue calibrate` shows what is wrong";

impl<'s> Places<'s> {
    pub(super) fn of(text: &'s str) -> Result<Places<'s>, WriteError> {
        match DeTable::parse(text) {
            Ok(document) => Ok(Places { text, end: text.len(), document }),
            Err(error) => Err(not_toml(&error)),
        }
    }

    /// The same with the planter's file.
    pub(super) fn of_both(source: &'s Source) -> Result<Places<'s>, WriteError> {
        let parsed = source.parse_own();
        match parsed.errors.first() {
            None => Ok(Places {
                text: source.both(),
                end: source.text().len(),
                document: parsed.document,
            }),
            Some(error) => Err(not_toml(error)),
        }
    }

    /// How lines end: as the first one does.
    pub(super) fn line_end(&self) -> &'static str {
        let first = self.text.find('\n');
        if first.is_some_and(|at| self.text[..at].ends_with('\r')) { "\r\n" } else { "\n" }
    }

    /// A value by the names of the tables it is in. A number picks one of several tables,
    /// counted from nought; a single table counts as the first.
    pub(super) fn value(&self, path: &[&str]) -> Option<&Spanned<DeValue<'s>>> {
        let (first, rest) = path.split_first()?;
        let mut value = self.document.get_ref().get(*first)?;
        for name in rest {
            value = match (value.get_ref(), name.parse::<usize>()) {
                (DeValue::Table(table), Err(_)) => table.get(*name)?,
                (DeValue::Table(_), Ok(0)) => value,
                (DeValue::Array(entries), Ok(index)) => entries.get(index)?,
                _ => return None,
            };
        }
        Some(value)
    }

    /// The text of a value, as typed.
    pub(super) fn typed(&self, path: &[&str]) -> Option<&'s str> {
        self.text.get(self.value(path)?.span())
    }

    /// The tables of a name that stand in double brackets or in braces.
    ///
    /// Where there is one in single brackets, no further one can be added.
    pub(super) fn entries(&self, table: &str) -> Result<Vec<Entry>, WriteError> {
        let Some(value) = self.document.get_ref().get(table) else { return Ok(vec![]) };
        let DeValue::Array(entries) = value.get_ref() else {
            return Err(WriteError::Refused(
                format!("the sheet has a single [{table}]"),
                "write it in double brackets, so that there can be more of them",
            ));
        };
        Ok(entries
            .iter()
            .map(|entry| Entry {
                start: entry.span().start,
                in_braces: self.text[entry.span().start..].starts_with('{'),
                end: last_byte(entry),
            })
            .collect())
    }

    /// Where a table is added: after the last of its kind and the notes that belong to it, else
    /// at the end of the sheet.
    pub(super) fn after_last(&self, table: &str) -> Result<usize, WriteError> {
        let entries = self.entries(table)?;
        let Some(last) = entries.last() else { return Ok(self.end) };
        if last.in_braces {
            return Err(WriteError::Refused(
                format!("the {table} tables of the sheet stand in braces in one list"),
                "write each under its own line in double brackets, so that one can be added",
            ));
        }
        Ok(self.after_notes(self.line_after(last.end)))
    }

    /// The start of the line after a place.
    pub(super) fn line_after(&self, place: usize) -> usize {
        let end = if place > self.end { self.text.len() } else { self.end };
        self.text[place..end].find('\n').map_or(end, |at| place + at + 1)
    }

    /// Notes right below a table belong to it where nothing but a blank line or the end follows;
    /// else they belong to what follows.
    fn after_notes(&self, place: usize) -> usize {
        let mut end = place;
        for line in self.text[place..self.end.max(place)].split_inclusive('\n') {
            let words = line.trim();
            if words.is_empty() {
                return end;
            }
            if !words.starts_with('#') {
                return place;
            }
            end += line.len();
        }
        end
    }

    /// A line of its own right below the head of a run.
    pub(super) fn line_into(&self, run: &Entry, line: &str) -> Edit {
        if run.in_braces {
            let place = run.start + 1;
            return (place..place, format!(" {line},"));
        }
        let start = self.text[..run.start].rfind('\n').map_or(0, |at| at + 1);
        let indent = &self.text[start..run.start];
        let place = self.line_after(run.start);
        let end = self.line_end();
        let text = if self.text[..place].ends_with('\n') {
            format!("{indent}{line}{end}")
        } else {
            format!("{end}{indent}{line}")
        };
        (place..place, text)
    }

    /// A table as text of its own, parted from what stands before and after the place.
    pub(super) fn set_apart(&self, place: usize, table: &str) -> String {
        let line_end = self.line_end();
        let (before, after) = self.text[..self.end].split_at(place);
        let mut out = String::new();
        if !before.is_empty() {
            if !before.ends_with('\n') {
                out.push_str(line_end);
            }
            if before.lines().next_back().is_some_and(|line| !line.trim().is_empty()) {
                out.push_str(line_end);
            }
        }
        out.push_str(&table.replace('\n', line_end));
        if after.lines().next().is_some_and(|line| !line.trim().is_empty()) {
            out.push_str(line_end);
        }
        out
    }
}

/// Where the last of what a value holds ends.
fn last_byte(value: &Spanned<DeValue<'_>>) -> usize {
    let inside = match value.get_ref() {
        DeValue::Table(table) => table.iter().map(|(_, value)| last_byte(value)).max(),
        DeValue::Array(entries) => entries.iter().map(last_byte).max(),
        _ => None,
    };
    inside.unwrap_or(0).max(value.span().end)
}

/// A sheet with some of its places replaced, and its planter's file where those are in that.
pub(super) fn rewritten(source: &Source, edits: Vec<Edit>) -> NewText {
    let Some(file) = source.planter_place() else {
        return replaced(source.text(), edits).into();
    };
    let (of_file, own): (Vec<Edit>, Vec<Edit>) =
        edits.into_iter().partition(|(place, _)| place.start >= file.start);
    let shifted = of_file
        .into_iter()
        .map(|(place, new)| (place.start - file.start..place.end - file.start, new));
    let shifted: Vec<Edit> = shifted.collect();
    let planter = (!shifted.is_empty()).then(|| replaced(&source.both()[file], shifted));
    NewText { sheet: replaced(source.text(), own), planter }
}

/// A text with some of its places replaced; the rest stays byte for byte.
pub(super) fn replaced(text: &str, mut edits: Vec<Edit>) -> String {
    // Edits at one place stay in their order.
    edits.sort_by_key(|(place, _)| place.start);
    let mut out = String::with_capacity(text.len() + 1024);
    let mut done = 0;
    for (place, new) in edits {
        out.push_str(&text[done..place.start]);
        out.push_str(&new);
        done = place.end;
    }
    out.push_str(&text[done..]);
    out
}
