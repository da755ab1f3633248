//! Timers that are set for the first time, and so stand nowhere in the sheet yet.

use toml_edit::Value;

use crate::record::{Subject, TIMERS};
use crate::sheet::changeover;

use super::WriteError;
use super::by_hand::lines;
use super::place::{Edit, Places};
use super::run::typed_value;

/// Whether something is a timer that the sheet has no value for.
pub(super) fn is(places: &Places<'_>, subject: Subject) -> bool {
    let timer = matches!(subject, Subject::Held(setting) if TIMERS.contains(&setting));
    timer && typed_value(places, subject).is_none()
}

/// The lines in which they go into [changeover], and those of the sweep into its own table.
pub(super) fn edits(
    places: &Places<'_>,
    puts: &[(Subject, &Value)],
) -> Result<Vec<Edit>, WriteError> {
    let mut of_table: Vec<String> = vec![];
    let mut of_sweep: Vec<String> = vec![];
    for (subject, to) in puts.iter().filter(|(subject, _)| is(places, *subject)) {
        let key = subject.key();
        match key.strip_prefix("sweep.") {
            Some(own) => of_sweep.push(format!("{own} = {to}")),
            None => of_table.push(format!("{key} = {to}")),
        }
    }
    let table = changeover::KEYS.name;
    let mut edits = vec![];
    for (path, new) in [(&[table][..], of_table), (&[table, "sweep"], of_sweep)] {
        if !new.is_empty() {
            edits.push(lines(places, path, &new)?);
        }
    }
    Ok(edits)
}
