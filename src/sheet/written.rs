//! The runs of a sheet as they were typed, reading by reading: what a report hands on untouched.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::TOP;
use super::reader::{Entry, Keys};
use super::source::Source;

/// A run as it was typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WrittenRun {
    /// Its table.
    pub table: &'static str,
    /// Which of its kind, counted from one in the order of the sheet.
    pub number: usize,
    /// Its keys in the order of the sheet, with what stands behind each: a list of one, or of
    /// several where it is a list.
    pub keys: Vec<(String, Vec<String>)>,
}

impl WrittenRun {
    /// What stands behind a key, without quotes.
    #[must_use]
    pub fn said(&self, key: &str) -> Option<&str> {
        let (_, values) = self.keys.iter().find(|(own, _)| own == key)?;
        values.first().map(|value| value.trim_matches(['"', '\'']))
    }
}

/// Every run of a sheet, kind by kind.
///
/// ```
/// use alleytrue::sheet::{Source, runs_as_written};
/// let text = "[[pass-run]]\ndate = 2027-04-18\nlead = [4, \"3 1/2 in\", -1]\n";
/// let runs = runs_as_written(&Source::new("sheet.toml", text));
/// assert_eq!((runs[0].table, runs[0].number), ("pass-run", 1));
/// assert_eq!(runs[0].said("date"), Some("2027-04-18"));
/// assert_eq!(runs[0].keys[1], ("lead".into(), vec!["4".into(), "\"3 1/2 in\"".into(), "-1".into()]));
/// ```
#[must_use]
pub fn runs_as_written(source: &Source) -> Vec<WrittenRun> {
    let document = source.parse().document;
    let text = source.whole();
    let kinds = TOP.entries().filter_map(Entry::keys).filter(|keys| keys.run.is_some());
    kinds.flat_map(|keys| of_kind(document.get_ref(), keys, text)).collect()
}

fn of_kind(document: &DeTable<'_>, keys: &'static Keys, text: &str) -> Vec<WrittenRun> {
    let tables: Vec<&DeTable<'_>> = match document.get(keys.name).map(Spanned::get_ref) {
        Some(DeValue::Array(entries)) => {
            entries.iter().filter_map(|entry| table(entry.get_ref())).collect()
        }
        Some(value) => table(value).into_iter().collect(),
        None => vec![],
    };
    let run = |(number, table): (usize, &DeTable<'_>)| {
        let mut all: Vec<_> = table.iter().collect();
        all.sort_by_key(|(key, _)| key.span().start);
        WrittenRun {
            table: keys.name,
            number,
            keys: all
                .iter()
                .map(|(key, value)| (key.get_ref().to_string(), typed(value, text)))
                .collect(),
        }
    };
    (1..).zip(tables).map(run).collect()
}

fn table<'a, 's>(value: &'a DeValue<'s>) -> Option<&'a DeTable<'s>> {
    match value {
        DeValue::Table(table) => Some(table),
        _ => None,
    }
}

/// A value as typed; of a list, each entry.
fn typed(value: &Spanned<DeValue<'_>>, text: &str) -> Vec<String> {
    let one = |value: &Spanned<DeValue<'_>>| {
        let typed = text.get(value.span()).unwrap_or_default();
        typed.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    match value.get_ref() {
        DeValue::Array(entries) => entries.iter().map(one).collect(),
        _ => vec![one(value)],
    }
}
