//! The settings of many sheets as one table in CSV (RFC 4180), sheet by sheet as they are done.

use std::borrow::Cow;
use std::io::{self, Write};

use crate::outcome::Report;
use crate::outcome::{Next, Outcome, SettingResult};
use crate::quantity::plain;
use crate::working::Value;

use super::csv::safe_cell;

/// The columns of [`rows`].
pub const COLUMNS: [&str; 18] = [
    "sheet",
    "title",
    "calculation",
    "setting",
    "key",
    "now",
    "set",
    "exact",
    "unit",
    "verdict",
    "reason",
    "error",
    "low",
    "high",
    "error_unit",
    "readings",
    "share_inside_percent",
    "next",
];

/// Writes the line of column heads of [`rows`].
///
/// # Errors
///
/// What the writer says.
pub fn heads(out: &mut dyn Write) -> io::Result<()> {
    let mut writer = csv::Writer::from_writer(out);
    writer.write_record(COLUMNS)?;
    writer.flush()
}

/// Writes a report as one row a setting, without heads. A next step that changes no setting gets
/// a row of its own, and so does a sheet that has neither, so that every sheet is there.
///
/// # Errors
///
/// What the writer says.
pub fn rows(
    sheet: &str,
    title: Option<&str>,
    report: &Report,
    out: &mut dyn Write,
) -> io::Result<()> {
    let mut writer = csv::WriterBuilder::new().buffer_capacity(1 << 10).from_writer(out);
    let head = [safe_cell(sheet), title.map(safe_cell).unwrap_or_default()];
    let mut next = report.next.as_ref();
    let mut count = 0;
    for outcome in &report.outcomes {
        for setting in &outcome.settings {
            let is_next = next.is_some_and(|next| is_about(next, outcome, setting));
            if is_next {
                next = None;
            }
            let cells = setting_cells(outcome, setting, is_next);
            write(&mut writer, &head, &cells)?;
            count += 1;
        }
    }
    if next.is_some() || count == 0 {
        let cells = step_cells(next);
        write(&mut writer, &head, &cells)?;
    }
    writer.flush()
}

fn write<W: Write>(
    writer: &mut csv::Writer<W>,
    head: &[String; 2],
    cells: &[Cow<'_, str>; 16],
) -> io::Result<()> {
    let head = head.iter().map(String::as_str);
    Ok(writer.write_record(head.chain(cells.iter().map(AsRef::as_ref)))?)
}

fn is_about(next: &Next, outcome: &Outcome, setting: &SettingResult) -> bool {
    next.calculation == outcome.calculation && next.setting.as_ref() == Some(&setting.name)
}

fn setting_cells<'a>(
    outcome: &'a Outcome,
    setting: &'a SettingResult,
    next: bool,
) -> [Cow<'a, str>; 16] {
    let number = |value: &Value| -> Cow<'a, str> { plain(value.number()).into() };
    let optional = |value: Option<&Value>| value.map(number).unwrap_or_default();
    let judgement = outcome.judgement.as_ref();
    let interval = judgement.and_then(|judgement| judgement.interval.as_ref());
    [
        outcome.calculation.key.into(),
        safe_cell(&setting.name).into(),
        setting.key.as_deref().unwrap_or_default().into(),
        optional(setting.now.as_ref()),
        number(&setting.set),
        number(&setting.exact),
        setting.set.unit_text(),
        setting.verdict.word().into(),
        safe_cell(setting.verdict.reason()).into(),
        optional(judgement.map(|judgement| &judgement.error)),
        optional(interval.map(|interval| &interval.low)),
        optional(interval.map(|interval| &interval.high)),
        judgement.map(|judgement| judgement.error.unit_text()).unwrap_or_default(),
        judgement.map(|judgement| judgement.count.to_string().into()).unwrap_or_default(),
        optional(share_of(outcome, setting)),
        if next { "1" } else { "" }.into(),
    ]
}

/// The share of single ones to expect inside their limit: those of the setting, or of its row.
fn share_of<'a>(outcome: &'a Outcome, setting: &SettingResult) -> Option<&'a Value> {
    let of_row = |row: u32| setting.name.ends_with(&format!(" of row {row}"));
    let mut singles = outcome.singles.iter().filter(|one| one.kind != "width");
    let own = singles.find(|one| one.row.is_none_or(of_row))?;
    own.now.as_ref().map(|now| &now.share)
}

/// A step without a row of its own, as the reason; all empty where there is none.
fn step_cells(next: Option<&Next>) -> [Cow<'_, str>; 16] {
    let mut cells: [Cow<'_, str>; 16] = Default::default();
    if let Some(next) = next {
        cells[0] = next.calculation.key.into();
        cells[1] = next.setting.as_deref().map(safe_cell).unwrap_or_default().into();
        cells[8] = safe_cell(&next.instruction).into();
        cells[15] = "1".into();
    }
    cells
}
