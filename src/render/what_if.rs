//! What comes out for several values of a key, side by side: a row for each result, a column for each
//! value.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use crate::outcome::{Caution, Cell, Column, Outcome, Report, SettingResult, Table, Verdict};
use crate::quantity::shown;
use crate::working::Value;

use super::text::{Heading, head, table, wrapped};
use super::{Style, WIDTH, harmless, text, width_of};

/// Key of the table, for programs.
pub const KEY: &str = "what-if";
/// The longest name of a result that a page shows whole.
const NAME: usize = 36;

/// What was set over a sheet, and what came out.
#[derive(Clone, Debug)]
pub struct Variant<'a> {
    /// Keys with their values, as typed.
    pub set: Vec<(&'a str, &'a str)>,
    /// The results.
    pub report: &'a Report,
}

impl Variant<'_> {
    fn name(&self) -> String {
        let values: Vec<&str> = self.set.iter().map(|(_, value)| *value).collect();
        values.join(", ")
    }
}

/// One result with its number for every variant.
struct Row {
    title: &'static str,
    key: &'static str,
    name: String,
    unit: String,
    numbers: Vec<Option<f64>>,
}

/// All results as one table.
#[must_use]
pub fn whole(variants: &[Variant<'_>]) -> Table {
    let named = ["calculation", "result", "unit"].map(|key| Column::new(key, key, ""));
    let values = variants.iter().map(|one| Column::new(one.name(), one.name(), ""));
    let line = |row: Row| {
        let names = [row.key.to_owned(), row.name, row.unit].map(Cell::Text);
        let number =
            |number: Option<f64>| number.map_or(Cell::Empty, |value| Cell::Number(value, 3));
        names.into_iter().chain(row.numbers.into_iter().map(number)).collect()
    };
    Table {
        key: KEY,
        title: "What if".into(),
        columns: named.into_iter().chain(values).collect(),
        rows: rows(variants).into_iter().map(line).collect(),
    }
}

/// The results that differ, as a page; what is the same for all is only counted.
#[must_use]
pub fn page(heading: Heading<'_>, variants: &[Variant<'_>], style: Style) -> String {
    let mut out = String::new();
    let title = heading.title.map_or(String::new(), |title| format!("{} - ", harmless(title)));
    wrapped(&mut out, "", &format!("{title}{}", harmless(heading.file)), style);
    let all = rows(variants);
    let differs = |row: &&Row| row.numbers.windows(2).any(|pair| pair[0] != pair[1]);
    let mut before = "";
    for row in all.iter().filter(differs) {
        if row.key != before {
            let own: Vec<&Row> =
                all.iter().filter(|one| one.key == row.key).filter(differs).collect();
            head(&mut out, row.title, style);
            blocks(&mut out, &own, variants);
        }
        before = row.key;
    }
    let same = all.len() - all.iter().filter(differs).count();
    if same > 0 {
        let words = format!("{same} results are the same for every value; --format csv has all.");
        out.push('\n');
        wrapped(&mut out, "", &words, style);
    }
    cautions(&mut out, variants, style);
    warnings(&mut out, variants, style);
    out.push('\n');
    let next = "put the value that you want into the sheet; nothing in it was changed.";
    wrapped(&mut out, "Next: ", next, style);
    text::in_style(&out, style).into_owned()
}

/// Tables as wide as a page, one below the other.
fn blocks(out: &mut String, rows: &[&Row], variants: &[Variant<'_>]) {
    let cell = |number: Option<f64>| number.map_or("-".to_owned(), shown);
    let name = |row: &Row| match row.unit.as_str() {
        "" => row.name.clone(),
        unit => format!("{}, {unit}", row.name),
    };
    let keys: Vec<&str> =
        variants.iter().take(1).flat_map(|one| &one.set).map(|(key, _)| *key).collect();
    let keys = keys.join(", ");
    let names = rows.iter().map(|row| width_of(&name(row))).max().unwrap_or(0);
    let names = names.max(width_of(&keys)).min(NAME);
    let width = |place: usize| {
        let cells = rows.iter().map(|row| width_of(&cell(row.numbers[place])));
        cells.max().unwrap_or(0).max(width_of(&harmless(&variants[place].name()))) + 2
    };
    let mut start = 0;
    while start < variants.len() {
        let mut end = start + 1;
        let mut taken = 2 + names + width(start);
        while end < variants.len() && taken + width(end) <= WIDTH {
            taken += width(end);
            end += 1;
        }
        let columns =
            variants[start..end].iter().map(|one| Column::new("", harmless(&one.name()), ""));
        let line = |row: &&Row| {
            let numbers = row.numbers[start..end].iter().map(|number| Cell::Text(cell(*number)));
            std::iter::once(Cell::Text(name(row))).chain(numbers).collect()
        };
        let block = Table {
            key: KEY,
            title: String::new(),
            columns: std::iter::once(Column::new("", keys.clone(), "")).chain(columns).collect(),
            rows: rows.iter().map(line).collect(),
        };
        let mut text = String::new();
        table(&mut text, &block);
        for line in text.lines().filter(|line| !line.trim().is_empty()) {
            let _ = writeln!(out, "{line}");
        }
        start = end;
        if start < variants.len() {
            out.push('\n');
        }
    }
}

/// Every result in the order in which the calculations have them, once.
fn rows(variants: &[Variant<'_>]) -> Vec<Row> {
    let mut rows: Vec<Row> = vec![];
    let mut places: BTreeMap<(&'static str, String, String), usize> = BTreeMap::new();
    for (place, variant) in variants.iter().enumerate() {
        for outcome in &variant.report.outcomes {
            for (name, unit, number) in results(outcome) {
                let own = (outcome.calculation.key, name.clone(), unit.clone());
                let row = *places.entry(own).or_insert(rows.len());
                if row == rows.len() {
                    rows.push(Row {
                        title: outcome.calculation.title,
                        key: outcome.calculation.key,
                        name,
                        unit,
                        numbers: vec![None; variants.len()],
                    });
                }
                rows[row].numbers[place] = Some(number);
            }
        }
    }
    // What only a later value has comes behind the other results of its calculation.
    let order: Vec<&'static str> = rows.iter().map(|row| row.key).collect();
    rows.sort_by_key(|row| order.iter().position(|key| *key == row.key));
    rows
}

/// What comes out of one calculation: what its settings are to be, and its other figures.
fn results(outcome: &Outcome) -> Vec<(String, String, f64)> {
    let of_setting = |row: &SettingResult| {
        let set = match row.verdict {
            Verdict::Change(_) => &row.set,
            _ => row.now.as_ref().unwrap_or(&row.set),
        };
        (format!("set {}", row.name), set.unit_text().into_owned(), set.number())
    };
    let of_value = |value: &Value| {
        let name = value.name().filter(|name| !name.is_empty())?;
        Some((name.to_owned(), value.unit_text().into_owned(), value.number()))
    };
    let settings = outcome.settings.iter().map(of_setting);
    settings.chain(outcome.values.iter().filter_map(of_value)).collect()
}

fn cautions(out: &mut String, variants: &[Variant<'_>], style: Style) {
    let mut all: Vec<&Caution> = vec![];
    let of_all = variants.iter().flat_map(|one| &one.report.outcomes);
    for caution in of_all.flat_map(|outcome| &outcome.cautions) {
        if !all.contains(caution) {
            all.push(caution);
        }
    }
    text::caution_lines(out, &all, style);
}

/// Warnings, each once, with the values that it is of where those are not all.
fn warnings(out: &mut String, variants: &[Variant<'_>], style: Style) {
    let mut all: Vec<(String, Vec<usize>)> = vec![];
    for (place, variant) in variants.iter().enumerate() {
        for outcome in &variant.report.outcomes {
            for one in &outcome.warnings {
                let name = outcome.calculation.title.to_lowercase();
                let words = format!("{name}: {} [{}]", one.message, one.kind.code);
                match all.iter_mut().find(|(own, _)| *own == words) {
                    Some((_, places)) => places.push(place),
                    None => all.push((words, vec![place])),
                }
            }
        }
    }
    let line = |(words, mut places): (String, Vec<usize>)| {
        places.dedup();
        if places.len() == variants.len() {
            return words;
        }
        let values: Vec<String> = places.iter().map(|place| variants[*place].name()).collect();
        format!("with {}: {words}", values.join("; "))
    };
    let lines: Vec<String> = all.into_iter().map(line).collect();
    text::warning_lines(out, &lines, style);
}
