//! Settings changed in a sheet: the new value, a line of history, and the runs that the change
//! has made out of date.

use std::collections::BTreeSet;

use toml::Spanned;
use toml::de::DeValue;
use toml_edit::{Array, Item, Table, Value};

use crate::outcome::setting::SETTINGS_OF_CONTROLLER;
use crate::quantity::{LengthUnit, brief};
use crate::record::{Subject, Wanted};
use crate::sheet::run::OUT_OF_DATE;
use crate::sheet::top::{BARE_LENGTH, UNITS};
use crate::sheet::{FieldSheet, Source, changeover, history, settings};

use super::form::new_value;
use super::place::{Places, replaced};
use super::run::{POINT, TRIAL_SPEED, as_text, checked};
use super::{WriteError, printable};

const BY_HAND: &str = "change the sheet by hand, and add a [[history]] table";

/// The text of the sheet with settings changed; `before` is the sheet as it was read.
///
/// # Errors
///
/// A [`WriteError`] where a setting does not stand in the sheet in a form that can be changed.
pub fn apply(
    source: &Source,
    before: &FieldSheet,
    changes: &[Wanted],
    day: &str,
    reason: Option<&str>,
) -> Result<String, WriteError> {
    let places = Places::of(source.text())?;
    if let Some(reason) = reason {
        printable("the reason", reason)?;
    }
    let mut edits = Vec::new();
    let mut history = String::new();
    for change in changes {
        let old = place_of(&places, change.setting)?;
        let typed = &source.text()[old.span()];
        let bare = places.typed(&[BARE_LENGTH.name]).and_then(bare_unit);
        let new = new_value(old.get_ref(), typed, bare, &change.set, change.on_step);
        let new = new.ok_or_else(|| {
            let name = change.setting.name();
            WriteError::Refused(format!("the {name} stands in the sheet as {typed}"), BY_HAND)
        })?;
        edits.push((old.span(), new.to_string()));
        if !history.is_empty() {
            history.push('\n');
        }
        history.push_str(&as_text(
            history::KEYS.name,
            entry(&places, change, typed, new, day, reason)?,
        ));
    }
    let mark = format!("{} changed {day}", names(changes).join(" and "));
    edits.extend(marks(&places, changes, &mark)?);
    let end = places.after_last(history::KEYS.name)?;
    edits.push((end..end, places.set_apart(end, &history)));
    let (text, after) = checked(source, replaced(source.text(), edits))?;
    proved(before, &after, changes)?;
    Ok(text)
}

/// What is changed, in words; the swaps of one combination are one thing.
fn names(changes: &[Wanted]) -> Vec<String> {
    let mut names: Vec<String> = changes
        .iter()
        .map(|change| match change.setting {
            Subject::Sprocket { .. } => "sprockets".into(),
            Subject::Held(setting) => setting.name.into(),
        })
        .collect();
    names.dedup();
    names
}

/// The unit of bare lengths, by its text in the sheet.
pub(super) fn bare_unit(typed: &str) -> Option<LengthUnit> {
    let typed = typed.trim_matches(['"', '\'']);
    UNITS.iter().find(|(name, _)| *name == typed).map(|(_, unit)| *unit)
}

fn place_of<'p, 's>(
    places: &'p Places<'s>,
    setting: Subject,
) -> Result<&'p Spanned<DeValue<'s>>, WriteError> {
    let found = match setting {
        Subject::Held(held) if SETTINGS_OF_CONTROLLER.contains(&held) => {
            places.value(&[settings::KEYS.name, held.key])
        }
        Subject::Held(held) => {
            let path: Vec<&str> =
                std::iter::once(changeover::KEYS.name).chain(held.key.split('.')).collect();
            places.value(&path)
        }
        Subject::Sprocket { chain, driving } => {
            let chain = (chain - 1).to_string();
            let side = if driving { "driving" } else { "driven" };
            let path = ["planter", "drive", &chain, side];
            let bare = places.value(&path);
            places.value(&[&path[..], &["fitted"]].concat()).or(bare)
        }
    };
    found.ok_or_else(|| {
        WriteError::Refused(format!("the sheet does not hold the {} yet", setting.name()), BY_HAND)
    })
}

/// The table that goes into the history.
fn entry(
    places: &Places<'_>,
    change: &Wanted,
    old: &str,
    new: Value,
    day: &str,
    reason: Option<&str>,
) -> Result<Table, WriteError> {
    let mut table = Table::new();
    let mut put = |key: &str, value: Value| {
        table.insert(key, Item::Value(value));
    };
    let bad_day = |_| WriteError::Refused(format!("`{day}` is no date"), "write it as 2027-04-18");
    put(history::DATE.name, day.parse().map_err(bad_day)?);
    put(history::SETTING.name, change.setting.key().into());
    let odd = |_| WriteError::Refused(format!("the sheet has {old}"), BY_HAND);
    put(history::FROM.name, old.parse().map_err(odd)?);
    put(history::TO.name, new);
    if let Some(error) = &change.error {
        put(history::ERROR.name, format!("{} {}", brief(error.number()), error.unit_text()).into());
    }
    put(history::REASON.name, reason.unwrap_or(&change.reason).into());
    if !change.runs.is_empty() {
        put(
            history::RUNS.name,
            Value::Array(change.runs.iter().map(String::as_str).collect::<Array>()),
        );
    }
    for (key, path) in std::iter::once((history::SPEED.name, TRIAL_SPEED)).chain(POINT) {
        if let Some(value) = places.typed(&path).and_then(|typed| typed.parse().ok()) {
            put(key, value);
        }
    }
    Ok(table)
}

/// The run tables that changes make out of date.
fn outdated(changes: &[Wanted]) -> BTreeSet<&'static str> {
    changes
        .iter()
        .flat_map(|change| change.setting.effect().outdates)
        .map(|(table, _)| *table)
        .collect()
}

/// A line in every run that is out of date now and was not before.
fn marks(
    places: &Places<'_>,
    changes: &[Wanted],
    words: &str,
) -> Result<Vec<(std::ops::Range<usize>, String)>, WriteError> {
    let line = format!("{} = {}", OUT_OF_DATE.name, Value::from(words));
    let mut edits = Vec::new();
    for table in outdated(changes) {
        if places.value(&[table]).is_none() {
            continue;
        }
        let is_old =
            |index: usize| places.value(&[table, &index.to_string(), OUT_OF_DATE.name]).is_some();
        let entries = places.entries(table)?;
        for (_, run) in entries.iter().enumerate().filter(|(index, _)| !is_old(*index)) {
            if run.in_braces {
                let place = run.start + 1;
                edits.push((place..place, format!(" {line},")));
                continue;
            }
            let start = places.text[..run.start].rfind('\n').map_or(0, |at| at + 1);
            let indent = &places.text[start..run.start];
            let place = places.line_after(run.start);
            let end = places.line_end();
            let text = if places.text[..place].ends_with('\n') {
                format!("{indent}{line}{end}")
            } else {
                format!("{end}{indent}{line}")
            };
            edits.push((place..place, text));
        }
    }
    Ok(edits)
}

/// Looks that the new sheet says what was wanted, and that nothing else changed.
fn proved(before: &FieldSheet, after: &FieldSheet, changes: &[Wanted]) -> Result<(), WriteError> {
    let tables = outdated(changes);
    let marked = after
        .record
        .runs
        .iter()
        .all(|run| !tables.contains(run.table) || run.out_of_date.is_some());
    let told = after.record.changes.len() == before.record.changes.len() + changes.len();
    if marked && told {
        return Ok(());
    }
    let message = "the runs of this sheet are written in a way that can't be marked";
    Err(WriteError::Refused(message.into(), BY_HAND))
}
