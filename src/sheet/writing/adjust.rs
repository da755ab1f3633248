//! What hands adjust, put into a sheet.

use toml_edit::Value;

use crate::outcome::{By, ByHand};
use crate::quantity::{Length, brief, clean, plain};
use crate::record::{ByHandWanted, Record, Subject};
use crate::sheet::top::BARE_LENGTH;
use crate::sheet::{FieldSheet, NewText, Source};

use super::WriteError;
use super::by_hand::now;
use super::change::{Put, in_brief, put_in};
use super::form::bare_unit;
use super::place::Places;

/// The text of the sheet with what hands have adjusted; `before` is the sheet as it was read.
///
/// # Errors
///
/// A [`WriteError`] where what hands have set stands in the sheet in a form that can't be changed.
pub fn apply_by_hand(
    source: &Source,
    before: &FieldSheet,
    changes: &[ByHandWanted],
    day: &str,
    reason: Option<&str>,
) -> Result<NewText, WriteError> {
    let places = Places::of_both(source)?;
    let put = |change: &ByHandWanted| Put {
        subject: Subject::Hand(change.what),
        to: changed(&places, before, change, day),
        error: change.error.as_ref().map(in_brief),
        reason: reason.unwrap_or(&change.reason).to_owned(),
        runs: change.runs.clone(),
    };
    let puts: Vec<Put> = changes.iter().map(put).collect();
    put_in(source, before, &puts, day)
}

/// The new value of what is adjusted.
fn changed(places: &Places<'_>, before: &FieldSheet, change: &ByHandWanted, day: &str) -> Value {
    match &change.by {
        By::Words(words) => new_label(&before.record, change.what, words, day).into(),
        By::Number(by) => {
            let more: f64 = brief(by.number()).parse().unwrap_or_else(|_| by.number());
            if change.what == ByHand::Marks {
                let unit = before.units.length;
                let bare = places.typed(&[BARE_LENGTH.name]).and_then(bare_unit);
                let typed = now(places, change.what);
                let old = Length::parse(typed.trim_matches(['"', '\'']), bare).ok();
                let old = old.map_or(0.0, |old| old.value_in(unit));
                return format!("{} {unit}", plain(clean(old + more))).into();
            }
            let old: f64 = now(places, change.what).parse().unwrap_or(0.0);
            let sum = plain(clean(old + more));
            sum.parse().unwrap_or_else(|_| Value::from(old + more))
        }
    }
}

/// Words that stand for nothing before in the sheet: what was done, and when.
fn new_label(record: &Record, what: ByHand, words: &str, day: &str) -> String {
    let subject = Subject::Hand(what);
    let of_runs = record.runs.iter().filter_map(|run| run.had(subject));
    let changes = record.changes.iter().filter(|change| change.setting == subject);
    let of_changes = changes.flat_map(|change| [&change.from, &change.to]);
    let taken: Vec<&str> = of_runs
        .chain(of_changes)
        .chain(record.held(subject))
        .map(|held| held.text.as_str())
        .collect();
    let first = format!("{words}, {day}");
    let more = (2..).map(|number| format!("{first} ({number})"));
    let mut all = std::iter::once(first.clone()).chain(more);
    all.find(|label| !taken.contains(&label.as_str())).unwrap_or(first)
}
