//! Results as CSV: one table, its heads with units, one line a row (quoting as in RFC 4180).

use std::io::{self, Write};

use thiserror::Error;

use crate::outcome::Report;
use crate::outcome::{Cell, Column, Expected, SettingResult, Singles, Table};
use crate::quantity::{clean, plain};

/// Key of the table of settings, which every report with settings has.
pub const SETTINGS: &str = "settings";
/// Key of the table of single plots, alleys, leads and seeds. It stands beside the settings and is
/// written where it is named.
pub const SINGLES: &str = "single-plots";

/// Why no table of a report can be written.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum PickError {
    /// The report has none.
    #[error("this result has no table")]
    None,
    /// It has more than one, and none was named.
    #[error("this result has more than one table, and CSV is one")]
    Several {
        /// Their keys.
        keys: Vec<&'static str>,
    },
    /// None of that name.
    #[error("this result has no table `{wanted}`")]
    Unknown {
        /// What was asked for.
        wanted: String,
        /// The keys there are.
        keys: Vec<&'static str>,
    },
}

impl PickError {
    /// What to do.
    #[must_use]
    pub fn advice(&self) -> String {
        match self {
            PickError::None => "take `--format text` or `--format json`".into(),
            PickError::Several { keys } => {
                format!("say which by `--table KEY`; there are: {}", keys.join(", "))
            }
            PickError::Unknown { keys, .. } => format!("the tables are: {}", keys.join(", ")),
        }
    }
}

/// One table of a report: the one named, or the only one there is.
///
/// # Errors
///
/// [`PickError`] where that is not exactly one.
pub fn pick(report: &Report, wanted: Option<&str>) -> Result<Table, PickError> {
    let settings = settings([(None, report)]);
    let settings = (!settings.rows.is_empty()).then_some(settings);
    let others = report.outcomes.iter().flat_map(|outcome| outcome.tables.iter().cloned());
    let mut tables: Vec<Table> = settings.into_iter().chain(others).collect();
    let mut keys: Vec<&'static str> = tables.iter().map(|table| table.key).collect();
    if let (Some(wanted), Some(singles)) = (wanted, singles(report)) {
        keys.push(SINGLES);
        if wanted == SINGLES {
            return Ok(singles);
        }
    }
    match wanted {
        _ if tables.is_empty() => Err(PickError::None),
        None if tables.len() == 1 => Ok(tables.remove(0)),
        None => Err(PickError::Several { keys }),
        Some(wanted) => match keys.iter().position(|key| *key == wanted) {
            Some(place) => Ok(tables.remove(place)),
            None => Err(PickError::Unknown { wanted: wanted.to_owned(), keys }),
        },
    }
}

/// The settings of reports as one table, behind the name of the sheet where one is given.
#[must_use]
pub fn settings<'a>(reports: impl IntoIterator<Item = (Option<&'a str>, &'a Report)>) -> Table {
    let mut named = false;
    let mut rows = Vec::new();
    for (sheet, report) in reports {
        named |= sheet.is_some();
        for setting in report.outcomes.iter().flat_map(|outcome| &outcome.settings) {
            let sheet = sheet.map(|sheet| Cell::Text(sheet.into()));
            rows.push(sheet.into_iter().chain(setting_row(setting)).collect());
        }
    }
    let heads = ["setting", "key", "now", "set", "exact", "unit", "verdict", "reason"];
    let column = |key: &str| Column { key: key.into(), head: key.into(), unit: String::new() };
    let columns = named.then_some("sheet").into_iter().chain(heads).map(column).collect();
    Table { key: SETTINGS, title: "Settings".into(), columns, rows }
}

/// Single plots, alleys, leads and seeds against their limit; none where nothing is limited.
fn singles(report: &Report) -> Option<Table> {
    let all = || report.outcomes.iter().flat_map(|outcome| &outcome.singles);
    let heads = [
        "kind",
        "row",
        "limit",
        "unit",
        "limit_from",
        "readings",
        "inside",
        "share_percent",
        "low_percent",
        "high_percent",
        "change",
        "share_after_percent",
        "low_after_percent",
        "high_after_percent",
        "accept_percent",
        "why",
    ];
    let column = |key: &str| Column::new(key, key, "");
    let rows: Vec<Vec<Cell>> = all().map(singles_row).collect();
    (!rows.is_empty()).then(|| Table {
        key: SINGLES,
        title: "Single plots".into(),
        columns: heads.map(column).into(),
        rows,
    })
}

fn singles_row(singles: &Singles) -> Vec<Cell> {
    const PLACES: usize = 1;
    let count = |number: usize| Cell::Count(u32::try_from(number).unwrap_or(u32::MAX));
    let text = |text: &str| Cell::Text(text.into());
    let share = |expected: Option<&Expected>| match expected {
        Some(expected) => {
            let [low, high] = expected.ends();
            [&expected.share, low, high].map(|one| Cell::Number(one.number(), PLACES))
        }
        None => [Cell::Empty, Cell::Empty, Cell::Empty],
    };
    let mut row = vec![
        text(singles.kind),
        singles.row.map_or(Cell::Empty, Cell::Count),
        Cell::Number(singles.limit.number(), PLACES),
        text(&singles.limit.unit_text()),
        text(&singles.limit_words),
        count(singles.count),
        count(singles.inside),
    ];
    row.extend(share(singles.now.as_ref()));
    let after = singles.after.as_ref();
    row.push(after.map_or(Cell::Empty, |(change, _)| text(change)));
    row.extend(share(after.map(|(_, after)| after)));
    row.push(Cell::Number(singles.accept.number(), PLACES));
    row.push(singles.why.map_or(Cell::Empty, |why| text(why.word())));
    row
}

fn setting_row(setting: &SettingResult) -> [Cell; 8] {
    const PLACES: usize = 3; // for tables on paper; CSV has all
    let text = |text: &str| Cell::Text(text.into());
    let number = |value: f64| Cell::Number(value, PLACES);
    [
        text(&setting.name),
        setting.key.as_deref().map_or(Cell::Empty, text),
        setting.now.as_ref().map_or(Cell::Empty, |now| number(now.number())),
        number(setting.set.number()),
        number(setting.exact.number()),
        text(&setting.set.unit_text()),
        text(setting.verdict.word()),
        text(setting.verdict.reason()),
    ]
}

/// Writes a table: a line of column keys, then a line per row.
///
/// Numbers have a point and all their digits but those that binary arithmetic adds; words pass
/// through [`safe_cell`].
///
/// # Errors
///
/// What the writer says.
pub fn table(table: &Table, out: &mut dyn Write) -> io::Result<()> {
    let heads = table.columns.iter().map(|column| safe_cell(&column.key));
    let rows = table.rows.iter().map(|row| row.iter().map(cell).collect::<Vec<_>>());
    let mut writer = csv::Writer::from_writer(out);
    writer.write_record(heads)?;
    for row in rows {
        writer.write_record(row)?;
    }
    writer.flush()
}

/// Words as a spreadsheet shows them and never runs them: what would start a formula gets an
/// apostrophe before it. Where the machine's list sign is a semicolon, one in the words starts
/// another cell, so that what stands behind it is looked at too.
///
/// ```
/// use alleytrue::render::csv::safe_cell;
/// assert_eq!(safe_cell("=HYPERLINK(\"x\")"), "'=HYPERLINK(\"x\")");
/// assert_eq!(safe_cell("\u{ff1d}1+1"), "'\u{ff1d}1+1");
/// assert_eq!(safe_cell("too wide; =1+1"), "too wide; '=1+1");
/// assert_eq!(safe_cell("entry 7; -3.5"), "entry 7; -3.5");
/// ```
#[must_use]
pub fn safe_cell(text: &str) -> String {
    let text = super::harmless(text);
    if !text.contains(starts_formula) {
        return text;
    }
    text.split(';').map(safe_part).collect::<Vec<_>>().join(";")
}

/// Signs that start a formula, those of full width and the small ones too.
fn starts_formula(c: char) -> bool {
    matches!(c, '=' | '+' | '-' | '@')
        || matches!(c, '\u{ff1d}' | '\u{ff0b}' | '\u{ff0d}' | '\u{ff20}')
        || matches!(c, '\u{fe66}' | '\u{fe62}' | '\u{fe63}' | '\u{fe6b}')
}

fn safe_part(part: &str) -> String {
    // A cell may start with blanks and with quotes that go away when it is read.
    let inside = part.trim_start_matches(|c: char| c.is_whitespace() || c == '"');
    let number = || part.trim().parse::<f64>().is_ok_and(f64::is_finite);
    if !inside.starts_with(starts_formula) || number() {
        return part.to_owned();
    }
    let (before, inside) = part.split_at(part.len() - inside.len());
    format!("{before}'{inside}")
}

fn cell(cell: &Cell) -> String {
    match cell {
        Cell::Text(text) => safe_cell(text),
        Cell::Count(count) => count.to_string(),
        Cell::Number(number, _) => plain(clean(*number)),
        Cell::Empty => String::new(),
    }
}
