//! The record: whether every calibration holds, and the course of the settings.

use std::fmt::Write as _;

use serde::Serialize;
use unicode_width::UnicodeWidthStr;

use crate::outcome::{Cell, Column, Table};
use crate::record::operating_point::Part;
use crate::record::{Change, Checked, Course, Point, Record, Subject};

use crate::sheet::Disagreement;

use super::text::{Heading, hanging, head, in_style, labelled};
use super::{Style, harmless};

/// A checked sheet, for programs.
#[derive(Debug, Serialize)]
pub struct CheckDocument {
    sheet: String,
    title: Option<String>,
    checked: Vec<CheckedObject>,
}

#[derive(Debug, Serialize)]
struct CheckedObject {
    calculation: &'static str,
    name: &'static str,
    changed: Option<String>,
    measured: Option<String>,
    until: Option<String>,
    holds: bool,
    stale: Vec<String>,
}

/// The document of a checked sheet.
#[must_use]
pub fn check_document(heading: Heading<'_>, checked: &[Checked]) -> CheckDocument {
    CheckDocument {
        sheet: heading.file.into(),
        title: heading.title.map(str::to_owned),
        checked: checked
            .iter()
            .map(|one| CheckedObject {
                calculation: one.calculation.key,
                name: one.name,
                changed: one.changed.clone(),
                measured: one.measured.clone(),
                until: one.until.clone(),
                holds: one.stale.is_empty(),
                stale: one.stale.clone(),
            })
            .collect(),
    }
}

fn columns(keys: &[&str]) -> Vec<Column> {
    let column = |key: &&str| Column {
        key: (*key).into(),
        head: key.replace('_', " "),
        unit: String::new(),
    };
    keys.iter().map(column).collect()
}

fn maybe(text: Option<&String>) -> Cell {
    text.map_or(Cell::Empty, |text| Cell::Text(text.clone()))
}

/// Checked sheets as one table, for a spreadsheet.
#[must_use]
pub fn check_table(sheets: &[(String, Vec<Checked>)], disagree: &[Disagreement]) -> Table {
    // What the machine can hold but once is held by no sheet alone.
    let disagreeing = disagree.iter().flat_map(|one| {
        let (own, words) = (&one.values, in_each(one));
        own.iter().map(move |(sheet, _)| {
            let mut row = vec![Cell::Text(sheet.clone()), Cell::Text(one.key.clone())];
            row.extend([Cell::Empty, Cell::Empty, Cell::Empty]);
            row.push(Cell::Text("no".into()));
            row.push(Cell::Text(format!("sheets of one planter disagree: {words}")));
            row
        })
    });
    let rows = sheets.iter().flat_map(|(sheet, checked)| {
        checked.iter().map(|one| {
            let holds = if one.stale.is_empty() { "yes" } else { "no" };
            vec![
                Cell::Text(sheet.clone()),
                Cell::Text(one.name.into()),
                maybe(one.changed.as_ref()),
                maybe(one.measured.as_ref()),
                maybe(one.until.as_ref()),
                Cell::Text(holds.into()),
                Cell::Text(one.stale.join("; ")),
            ]
        })
    });
    Table {
        key: "checked",
        title: "Calibrations".into(),
        columns: columns(&["sheet", "name", "changed", "measured", "until", "holds", "stale"]),
        rows: rows.chain(disagreeing).collect(),
    }
}

fn pad(text: &str, width: usize) -> String {
    format!("{text}{}", " ".repeat(width.saturating_sub(text.width())))
}

fn title(out: &mut String, heading: Heading<'_>, style: Style) {
    let title = heading.title.map_or(String::new(), |title| format!("{title} - "));
    let _ = writeln!(out, "{}", hanging("", &format!("{title}{}", heading.file), style));
}

/// The crew's own labels of settings, by the keys of those.
pub type Called<'a> = &'a [(&'static str, String)];

/// The name of a setting with the crew's own label, where it has one.
fn named(name: &str, called: Called<'_>, style: Style) -> String {
    let is_it = |key: &str| Subject::of_key(key).is_some_and(|subject| subject.name() == name);
    let label = called.iter().find(|(key, _)| is_it(key)).map(|(_, label)| label.as_str());
    labelled(name, label, style)
}

/// Which calibrations hold and which don't, as text.
#[must_use]
pub fn check_page(
    heading: Heading<'_>,
    checked: &[Checked],
    called: Called<'_>,
    style: Style,
) -> String {
    let mut out = String::new();
    title(&mut out, heading, style);
    if checked.is_empty() {
        out.push_str("\nthe sheet holds no settings and no measurements\n");
        return out;
    }
    head(&mut out, "checked", style);
    let name = |one: &Checked| named(one.name, called, style);
    let wide = checked.iter().map(|one| name(one).width()).max().unwrap_or(0);
    let date = |date: &Option<String>| pad(date.as_deref().unwrap_or("-"), 10);
    let _ = writeln!(out, "  {}  {}  measured", pad("", wide), pad("changed", 10));
    for one in checked {
        let first = format!(
            "  {}  {}  {}  ",
            pad(&name(one), wide),
            date(&one.changed),
            date(&one.measured)
        );
        let words = if one.stale.is_empty() {
            one.until.as_ref().map_or("holds".into(), |day| format!("holds until {day}"))
        } else {
            format!("stale: {}", one.stale.join("; "))
        };
        let _ = writeln!(out, "{}", hanging(&first, &words, style));
    }
    let stale = checked.iter().filter(|one| !one.stale.is_empty()).count();
    let last = match (checked.len(), stale) {
        (_, 0) => "every calibration holds for what the sheet is for now".into(),
        (all, 1) => format!("1 of {all} calibrations is stale"),
        (all, some) => format!("{some} of {all} calibrations are stale"),
    };
    let _ = writeln!(out, "\n{last}");
    out
}

/// The history of a sheet, for programs.
#[derive(Debug, Serialize)]
pub struct HistoryDocument {
    sheet: String,
    title: Option<String>,
    history: Vec<ChangeObject>,
    courses: Vec<CourseObject>,
}

#[derive(Debug, Serialize)]
struct ChangeObject {
    date: String,
    setting: String,
    from: String,
    to: String,
    error: Option<String>,
    reason: Option<String>,
    by: Option<String>,
    runs: Vec<String>,
    speed: Option<String>,
    seeds: Option<String>,
    alley: Option<String>,
    boost: Option<String>,
}

#[derive(Debug, Serialize)]
struct CourseObject {
    setting: String,
    values: Vec<PointObject>,
    errors: Vec<PointObject>,
}

#[derive(Debug, Serialize)]
struct PointObject {
    when: String,
    held: String,
}

/// The document of a sheet's history.
#[must_use]
pub fn history_document(
    heading: Heading<'_>,
    record: &Record,
    courses: &[Course],
) -> HistoryDocument {
    let points = |points: &[Point]| {
        let object =
            |point: &Point| PointObject { when: point.when.clone(), held: point.held.text.clone() };
        points.iter().map(object).collect()
    };
    HistoryDocument {
        sheet: heading.file.into(),
        title: heading.title.map(str::to_owned),
        history: record.changes.iter().map(change_object).collect(),
        courses: courses
            .iter()
            .map(|course| CourseObject {
                setting: course.setting.key(),
                values: points(&course.values),
                errors: points(&course.errors),
            })
            .collect(),
    }
}

fn change_object(change: &Change) -> ChangeObject {
    ChangeObject {
        date: change.date.clone(),
        setting: change.setting.key(),
        from: change.from.text.clone(),
        to: change.to.text.clone(),
        error: change.error.as_ref().map(|error| error.text.clone()),
        reason: change.reason.clone(),
        by: change.by.clone(),
        runs: change.runs.clone(),
        speed: change.point.text(Part::Speed),
        seeds: change.point.text(Part::Seeds),
        alley: change.point.text(Part::Alley),
        boost: change.point.text(Part::Boost),
    }
}

/// The history as one table, for a spreadsheet.
#[must_use]
pub fn history_table(record: &Record) -> Table {
    let text = |text: &str| Cell::Text(text.into());
    let row = |change: &Change| {
        vec![
            text(&change.date),
            Cell::Text(change.setting.key()),
            text(&change.from.text),
            text(&change.to.text),
            maybe(change.error.as_ref().map(|error| &error.text)),
            maybe(change.reason.as_ref()),
            maybe(change.by.as_ref()),
            text(&change.runs.join(", ")),
            maybe(change.point.text(Part::Speed).as_ref()),
            maybe(change.point.text(Part::Seeds).as_ref()),
            maybe(change.point.text(Part::Alley).as_ref()),
            maybe(change.point.text(Part::Boost).as_ref()),
        ]
    };
    Table {
        key: "history",
        title: "History".into(),
        columns: columns(&[
            "date", "setting", "from", "to", "error", "reason", "by", "runs", "speed", "seeds",
            "alley", "boost",
        ]),
        rows: record.changes.iter().map(row).collect(),
    }
}

/// The history as a table, and the course of every setting as a picture.
#[must_use]
pub fn history_page(
    heading: Heading<'_>,
    record: &Record,
    courses: &[Course],
    called: Called<'_>,
    style: Style,
) -> String {
    let mut out = String::new();
    title(&mut out, heading, style);
    if record.changes.is_empty() {
        out.push_str("\nno change is recorded; `alleytrue apply` puts one into the sheet\n");
        return out;
    }
    head(&mut out, "history", style);
    changes(&mut out, &record.changes, called, style);
    for course in courses {
        head(&mut out, &named(&course.setting.name(), called, style), style);
        points(&mut out, &course.values, None, style);
        if !course.errors.is_empty() {
            out.push_str("  error\n");
            let tolerance = course.tolerance.unwrap_or(0.0);
            points(&mut out, &course.errors, Some(tolerance), style);
        }
    }
    out
}

fn changes(out: &mut String, changes: &[Change], called: Called<'_>, style: Style) {
    let shown = |text: &str| in_style(&harmless(text), style).into_owned();
    let row = |change: &Change| {
        let error = change.error.as_ref().map_or("-", |error| &error.text);
        [
            change.date.clone(),
            named(&change.setting.name(), called, style),
            shown(&change.from.text),
            shown(&change.to.text),
            shown(error),
        ]
    };
    let heads = ["date", "setting", "from", "to", "error before"].map(str::to_owned);
    let rows: Vec<[String; 5]> = changes.iter().map(row).collect();
    let mut wide = [0; 5];
    for row in std::iter::once(&heads).chain(&rows) {
        for (wide, cell) in wide.iter_mut().zip(row) {
            *wide = cell.width().max(*wide);
        }
    }
    let line = |row: &[String; 5]| {
        let cells: Vec<String> = row.iter().zip(wide).map(|(cell, wide)| pad(cell, wide)).collect();
        format!("  {}", cells.join("  ").trim_end())
    };
    let _ = writeln!(out, "{}", line(&heads));
    for (change, row) in changes.iter().zip(&rows) {
        let _ = writeln!(out, "{}", line(row));
        let mut notes: Vec<String> = change.reason.iter().cloned().collect();
        notes.extend(change.by.as_ref().map(|by| format!("by {by}")));
        if !change.runs.is_empty() {
            notes.push(format!("from {}", change.runs.join(", ")));
        }
        let at: Vec<String> = Part::ALL
            .iter()
            .filter_map(|part| {
                Some(format!("{} {}", change.point.word(*part), change.point.text(*part)?))
            })
            .collect();
        if !at.is_empty() {
            notes.push(format!("at {}", at.join(", ")));
        }
        for note in notes {
            let _ = writeln!(out, "{}", hanging("              ", &note, style));
        }
    }
}

/// Points along a line, one a day; errors have the zero in the middle, and brackets where the
/// tolerance ends.
fn points(out: &mut String, points: &[Point], tolerance: Option<f64>, style: Style) {
    /// Columns of the picture.
    const WIDE: usize = 41;
    let bases = points.iter().map(|point| point.held.base);
    let (low, high) = match tolerance {
        Some(tolerance) => {
            let most = bases.map(f64::abs).fold(tolerance, f64::max).max(1e-9) * 1.1;
            (-most, most)
        }
        None => {
            let low = bases.clone().fold(f64::INFINITY, f64::min);
            let high = bases.fold(f64::NEG_INFINITY, f64::max);
            if high - low > 0.0 { (low, high) } else { (low - 1.0, high + 1.0) }
        }
    };
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a column of the picture
    #[allow(clippy::cast_precision_loss)]
    let column = |base: f64| {
        let share = ((base - low) / (high - low)).clamp(0.0, 1.0);
        (share * (WIDE - 1) as f64).round() as usize
    };
    let (dot, zero, mark) =
        if style.ascii { ('.', '|', '*') } else { ('\u{b7}', '\u{2502}', '\u{25c6}') };
    let text = |point: &Point| in_style(&harmless(&point.held.text), style).into_owned();
    let wide = points.iter().map(|point| text(point).width()).max().unwrap_or(0);
    for point in points {
        if point.held.is_label() {
            let _ = writeln!(out, "  {}  {}", pad(&point.when, 10), text(point));
            continue;
        }
        let mut line = vec![dot; WIDE];
        if let Some(tolerance) = tolerance {
            line[column(0.0)] = zero;
            if tolerance > 0.0 {
                line[column(-tolerance)] = '[';
                line[column(tolerance)] = ']';
            }
        }
        line[column(point.held.base)] = mark;
        let line: String = line.into_iter().collect();
        let _ = writeln!(out, "  {}  {}  {line}", pad(&point.when, 10), pad(&text(point), wide));
    }
}

/// Where sheets of one planter disagree.
#[must_use]
pub fn disagree_page(all: &[Disagreement], style: Style) -> String {
    let mut out = String::new();
    out.push_str("SHEETS OF ONE PLANTER DISAGREE\n");
    for one in all {
        let words = format!("{}: {}", one.key, in_each(one));
        let _ = writeln!(out, "{}", hanging("  - ", &words, style));
    }
    let last = "the planter holds one value: read it off the machine, and put it into the sheets";
    let _ = writeln!(out, "\n{last}");
    out
}

/// What each sheet says of one key.
fn in_each(one: &Disagreement) -> String {
    let says = |(sheet, value): &(String, Option<String>)| {
        format!("{} in {sheet}", value.as_deref().unwrap_or("not said"))
    };
    one.values.iter().map(says).collect::<Vec<_>>().join(", ")
}

/// Where sheets of one planter disagree, for programs.
#[derive(Serialize)]
pub struct DisagreeDocument {
    disagree: Vec<DisagreeObject>,
}

#[derive(Serialize)]
struct DisagreeObject {
    planter: String,
    key: String,
    values: Vec<SaysObject>,
}

#[derive(Serialize)]
struct SaysObject {
    sheet: String,
    value: Option<String>,
}

/// The same for programs.
#[must_use]
pub fn disagree_document(all: &[Disagreement]) -> DisagreeDocument {
    let says = |(sheet, value): &(String, Option<String>)| SaysObject {
        sheet: sheet.clone(),
        value: value.clone(),
    };
    let object = |one: &Disagreement| DisagreeObject {
        planter: one.planter.clone(),
        key: one.key.clone(),
        values: one.values.iter().map(says).collect(),
    };
    DisagreeDocument { disagree: all.iter().map(object).collect() }
}
