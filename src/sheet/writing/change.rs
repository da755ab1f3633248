//! Settings changed in a sheet: the new value, a line of history, and in the runs that were made
//! with the old one what it was.

use std::collections::BTreeSet;

use toml::Spanned;
use toml::de::DeValue;
use toml_edit::{Array, Item, Key, Table, Value};

use crate::outcome::ByHand;
use crate::quantity::brief;
use crate::record::{Run, Subject, Wanted};
use crate::sheet::history::NOT_SET;
use crate::sheet::top::BARE_LENGTH;
use crate::sheet::with::{self, WITH};
use crate::sheet::{FieldSheet, NewText, Source, history};

use super::by_hand;
use super::first;
use super::form::{bare_unit, new_value};
use super::place::{Edit, Entry, Places, rewritten};
use super::run::{POINT, TRIAL_SPEED, as_text, boosts, checked, sprockets, typed_value};
use super::speed_labels;
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
) -> Result<NewText, WriteError> {
    let places = Places::of_both(source)?;
    let puts: Result<Vec<Put>, WriteError> =
        changes.iter().map(|change| put_of(&places, change, reason)).collect();
    put_in(source, before, &puts?, day)
}

/// A change that was worked out, as it is written.
pub(super) fn put_of(
    places: &Places<'_>,
    change: &Wanted,
    reason: Option<&str>,
) -> Result<Put, WriteError> {
    let to = match change.is_first {
        true => Value::from(in_brief(&change.set)),
        false => {
            let old = place_of(places, change.setting)?;
            let typed = &places.text[old.span()];
            let bare = places.typed(&[BARE_LENGTH.name]).and_then(bare_unit);
            let new = new_value(old.get_ref(), typed, bare, &change.set, change.on_step);
            new.ok_or_else(|| {
                let name = change.setting.name();
                WriteError::Refused(format!("the {name} stands in the sheet as {typed}"), BY_HAND)
            })?
        }
    };
    Ok(Put {
        subject: change.setting,
        to,
        error: change.error.as_ref().map(in_brief),
        reason: reason.unwrap_or(&change.reason).to_owned(),
        runs: change.runs.clone(),
    })
}

pub(super) fn in_brief(error: &crate::working::Value) -> String {
    format!("{} {}", brief(error.number()), error.unit_text())
}

/// A new value on its way into the sheet.
pub(super) struct Put {
    /// What it is for.
    pub(super) subject: Subject,
    /// The value.
    pub(super) to: Value,
    /// The error it takes out.
    pub(super) error: Option<String>,
    /// Why.
    pub(super) reason: String,
    /// The runs it came from.
    pub(super) runs: Vec<String>,
}

/// The text of the sheet with new values in it, a line of history for each, and in the runs that
/// lack it what was in force before.
pub(super) fn put_in(
    source: &Source,
    before: &FieldSheet,
    puts: &[Put],
    day: &str,
) -> Result<NewText, WriteError> {
    let places = Places::of_both(source)?;
    let mut edits = Vec::new();
    let mut history = String::new();
    for put in puts {
        printable("the reason", &put.reason)?;
        let typed = match put.subject {
            Subject::Hand(what) => by_hand::now(&places, what),
            subject if first::is(&places, subject) => Value::from(NOT_SET).to_string(),
            subject => {
                let old = place_of(&places, subject)?;
                edits.push((old.span(), put.to.to_string()));
                source.both()[old.span()].to_owned()
            }
        };
        if !history.is_empty() {
            history.push('\n');
        }
        let mut line = entry(&places, put, &typed, day)?;
        // What goes with another speed is for that one.
        if let Some(speed) = puts.iter().find(|one| one.subject == Subject::Speed) {
            line.insert(history::SPEED.name, Item::Value(speed.to.clone()));
        }
        history.push_str(&as_text(history::KEYS.name, line));
    }
    let hands: Vec<(ByHand, Value)> = puts.iter().filter_map(Put::by_hand).collect();
    edits.extend(by_hand::edits(&places, &hands)?);
    let values: Vec<(Subject, &Value)> = puts.iter().map(|put| (put.subject, &put.to)).collect();
    edits.extend(first::edits(&places, &values)?);
    if puts.iter().any(|put| put.subject == Subject::Speed)
        && let Some(had) = places.typed(&TRIAL_SPEED)
    {
        edits.extend(speed_labels::labels(&places, had)?);
    }
    let subjects: Vec<Subject> = puts.iter().map(|put| put.subject).collect();
    // What was never set before was never anything in a run.
    let first: Vec<Subject> =
        subjects.iter().copied().filter(|one| first::is(&places, *one)).collect();
    let had: Vec<Subject> = subjects.iter().copied().filter(|one| !first.contains(one)).collect();
    edits.extend(labels(&places, &had)?);
    edits.push(history_at_the_end(&places, &history)?);
    let (text, after) = checked(source, rewritten(source, edits))?;
    proved_by(before, &after, &had, subjects.len())?;
    by_hand::proved(&after, &hands)?;
    Ok(text)
}

impl Put {
    /// What is put there, where hands have set it.
    fn by_hand(&self) -> Option<(ByHand, Value)> {
        match self.subject {
            Subject::Hand(what) => Some((what, by_hand::as_label(what, &self.to))),
            _ => None,
        }
    }
}

/// Lines of history, where they go.
pub(super) fn history_at_the_end(places: &Places<'_>, history: &str) -> Result<Edit, WriteError> {
    let end = places.after_last(history::KEYS.name)?;
    Ok((end..end, places.set_apart(end, history)))
}

fn place_of<'p, 's>(
    places: &'p Places<'s>,
    setting: Subject,
) -> Result<&'p Spanned<DeValue<'s>>, WriteError> {
    typed_value(places, setting).ok_or_else(|| {
        WriteError::Refused(format!("the sheet does not hold the {} yet", setting.name()), BY_HAND)
    })
}

/// The table that goes into the history.
pub(super) fn entry(
    places: &Places<'_>,
    change: &Put,
    old: &str,
    day: &str,
) -> Result<Table, WriteError> {
    let mut table = Table::new();
    let mut put = |key: &str, value: Value| {
        table.insert(key, Item::Value(value));
    };
    let bad_day = |_| WriteError::Refused(format!("`{day}` is no date"), "write it as 2027-04-18");
    put(history::DATE.name, day.parse().map_err(bad_day)?);
    put(history::SETTING.name, change.subject.key().into());
    let odd = |_| WriteError::Refused(format!("the sheet has {old}"), BY_HAND);
    put(history::FROM.name, old.parse().map_err(odd)?);
    put(history::TO.name, change.to.clone());
    if let Some(error) = &change.error {
        put(history::ERROR.name, error.as_str().into());
    }
    put(history::REASON.name, change.reason.as_str().into());
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
    if let Some(value) = boosts(places).and_then(|typed| typed.parse().ok()) {
        put(history::BOOST.name, value);
    }
    Ok(table)
}

/// What runs are to be labelled with: their tables, the key under `with`, and what stands behind it.
pub(super) struct Label {
    pub(super) tables: &'static [&'static str],
    pub(super) key: String,
    pub(super) value: String,
    /// The row whose runs they are, where it is one.
    pub(super) row: Option<u32>,
}

/// What was in force before the changes.
fn in_force(places: &Places<'_>, changes: &[Subject]) -> Result<Vec<Label>, WriteError> {
    let mut labels: Vec<Label> = vec![];
    for change in changes {
        let key = with::key(*change);
        let value = match *change {
            Subject::Sprocket { .. } => sprockets(places),
            Subject::Hand(what) => Some(by_hand::now(places, what)),
            subject => Some(places.text[place_of(places, subject)?.span()].to_owned()),
        };
        let row = change.row();
        let is_new = labels.iter().all(|label| label.key != key || label.row != row);
        let Some(value) = value.filter(|_| is_new) else { continue };
        labels.push(Label { tables: change.effect().moves, key, value, row });
    }
    Ok(labels)
}

/// In every run whose readings the changes move, and which does not say so yet, what it was made
/// with.
pub(super) fn labels(places: &Places<'_>, changes: &[Subject]) -> Result<Vec<Edit>, WriteError> {
    write_labels(places, &in_force(places, changes)?)
}

/// Labels in every run that lacks them.
pub(super) fn write_labels(places: &Places<'_>, labels: &[Label]) -> Result<Vec<Edit>, WriteError> {
    let tables: BTreeSet<&'static str> =
        labels.iter().flat_map(|one| one.tables).copied().collect();
    let mut edits = Vec::new();
    for table in tables {
        if places.value(&[table]).is_none() {
            continue;
        }
        for (index, run) in places.entries(table)?.iter().enumerate() {
            let index = index.to_string();
            let lacks = |label: &&Label| {
                let path = [table, &index, WITH.name, &label.key];
                label.tables.contains(&table)
                    && by_hand::is_of_row(places, table, &index, label.row)
                    && places.value(&path).is_none()
            };
            let pairs: Vec<String> = labels
                .iter()
                .filter(lacks)
                .map(|label| format!("{} = {}", Key::new(&label.key), label.value))
                .collect();
            if !pairs.is_empty() {
                edits.push(labelled(places, table, &index, run, &pairs.join(", "))?);
            }
        }
    }
    Ok(edits)
}

/// Puts what was in force into a run.
fn labelled(
    places: &Places<'_>,
    table: &str,
    index: &str,
    run: &Entry,
    pairs: &str,
) -> Result<Edit, WriteError> {
    if let Some(with) = places.value(&[table, index, WITH.name]) {
        let start = with.span().start;
        if !places.text[start..].starts_with('{') {
            let number = index.parse().map_or(1, |index: usize| index + 1);
            let what = format!("`{}` of {table} {number} does not stand in braces", WITH.name);
            return Err(WriteError::Refused(what, BY_HAND));
        }
        let empty = places.text[start + 1..].trim_start().starts_with('}');
        let end = if empty { " " } else { "," };
        return Ok((start + 1..start + 1, format!(" {pairs}{end}")));
    }
    let line = format!("{} = {{ {pairs} }}", WITH.name);
    Ok(places.line_into(run, &line))
}

/// Looks that the new sheet says what was wanted, and that nothing else changed.
pub(super) fn proved(
    before: &FieldSheet,
    after: &FieldSheet,
    changes: &[Subject],
) -> Result<(), WriteError> {
    proved_by(before, after, changes, changes.len())
}

/// The same where the history has so many lines more.
fn proved_by(
    before: &FieldSheet,
    after: &FieldSheet,
    changes: &[Subject],
    lines: usize,
) -> Result<(), WriteError> {
    let says = |run: &Run| {
        let moved = |change: &&Subject| change.moves(run);
        changes.iter().filter(moved).all(|change| run.had(*change).is_some())
    };
    let labelled = after.record.runs.iter().all(says);
    let told = after.record.changes.len() == before.record.changes.len() + lines;
    if labelled && told {
        return Ok(());
    }
    let message = "the runs of this sheet are written in a way that can't be labelled";
    Err(WriteError::Refused(message.into(), BY_HAND))
}
