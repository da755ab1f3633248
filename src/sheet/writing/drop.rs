//! A run taken out of the counting, with a line of history: it stays in the sheet as it was measured.

use toml_edit::Value;

use crate::record::Subject;
use crate::sheet::run::DROPPED;
use crate::sheet::{FieldSheet, Source, history};

use super::change::{Put, entry, history_at_the_end, proved};
use super::place::{Edit, Places, rewritten};
use super::run::{as_text, checked};
use super::{Kind, WriteError, printable};

const LOOK: &str =
    "`alleytrue history` shows what was changed; runs are counted from the top of the sheet";
/// What a run is in the history before it is dropped, and after.
const COUNTED: &str = "counted";
const OUT: &str = "dropped";

/// The text of a sheet in which a run of a kind, counted from one, no longer counts.
///
/// # Errors
///
/// A [`WriteError`] where there is no such run, or it is dropped already.
///
/// ```
/// use alleytrue::sheet::writing::{KINDS, drop_run};
/// use alleytrue::sheet::{FieldSheet, Source, starter};
/// let source = Source::new("sheet.toml", starter::US);
/// let sheet = FieldSheet::read(&source).expect("a sheet");
/// let kind = KINDS.iter().find(|kind| kind.name == "pass").expect("pass runs");
/// let text = drop_run(&source, &sheet, kind, 1, "wind in the tape", "2027-05-01").expect("a sheet");
/// assert!(text.contains("dropped = \"wind in the tape\""));
/// assert!(drop_run(&source, &sheet, kind, 2, "not there", "2027-05-01").is_err());
/// ```
pub fn drop_run(
    source: &Source,
    before: &FieldSheet,
    kind: &Kind,
    number: usize,
    reason: &str,
    day: &str,
) -> Result<String, WriteError> {
    printable("the reason", reason)?;
    let places = Places::of_both(source)?;
    let runs = places.entries(kind.table)?;
    let Some(run) = number.checked_sub(1).and_then(|index| runs.get(index)) else {
        let words = format!("the sheet has no {} {number}: it has {}", kind.written, runs.len());
        return Err(WriteError::Refused(words, LOOK));
    };
    let index = (number - 1).to_string();
    if places.value(&[kind.table, &index, DROPPED.name]).is_some() {
        let words = format!("{} {number} is dropped already", kind.written);
        return Err(WriteError::Refused(words, LOOK));
    }
    let line = format!("{} = {}", DROPPED.name, Value::from(reason));
    let subject = Subject::Run { table: kind.table, number };
    let edits = vec![places.line_into(run, &line)];
    told(&places, source, before, edits, &put(subject, OUT, reason), day)
}

/// The same run counting again.
pub(super) fn count_again(
    source: &Source,
    before: &FieldSheet,
    (table, number): (&'static str, usize),
    reason: &str,
    day: &str,
) -> Result<String, WriteError> {
    let places = Places::of_both(source)?;
    let index = number.saturating_sub(1).to_string();
    let by_hand = || {
        let words =
            format!("`{}` of {table} {number} does not stand on a line of its own", DROPPED.name);
        WriteError::Refused(words, "take it out by hand, and add a [[history]] table")
    };
    let value = places.value(&[table, &index, DROPPED.name]).ok_or_else(by_hand)?.span();
    let start = source.text()[..value.start].rfind('\n').map_or(0, |at| at + 1);
    let end = places.line_after(value.end);
    let key = source.text()[start..value.start].trim().trim_end_matches('=').trim();
    let after = source.text()[value.end..end].trim();
    if key != DROPPED.name || !(after.is_empty() || after.starts_with('#')) {
        return Err(by_hand());
    }
    let edits = vec![(start..end, String::new())];
    let subject = Subject::Run { table, number };
    told(&places, source, before, edits, &put(subject, COUNTED, reason), day)
}

fn put(subject: Subject, to: &str, reason: &str) -> Put {
    let (to, reason) = (Value::from(to), reason.to_owned());
    Put { subject, to, error: None, reason, runs: vec![] }
}

/// The text with the edits and a line of history.
fn told(
    places: &Places<'_>,
    source: &Source,
    before: &FieldSheet,
    mut edits: Vec<Edit>,
    put: &Put,
    day: &str,
) -> Result<String, WriteError> {
    let from = if put.to.as_str() == Some(OUT) { COUNTED } else { OUT };
    let line = entry(places, put, &Value::from(from).to_string(), day)?;
    edits.push(history_at_the_end(places, &as_text(history::KEYS.name, line))?);
    let (text, after) = checked(source, rewritten(source, edits))?;
    proved(before, &after, &[put.subject])?;
    Ok(text.sheet)
}
