//! The speed written into runs that did not say it, before the trial takes another.

use crate::sheet::run::SPEED;

use super::WriteError;
use super::kinds::KINDS;
use super::place::{Edit, Places};

/// In every run that is made at a speed and does not say which, the one that the trial has had.
pub(super) fn labels(places: &Places<'_>, had: &str) -> Result<Vec<Edit>, WriteError> {
    let mut edits = vec![];
    for kind in KINDS.iter().filter(|kind| kind.at_point) {
        for (index, run) in places.entries(kind.table)?.iter().enumerate() {
            if places.value(&[kind.table, &index.to_string(), SPEED.name]).is_none() {
                edits.push(places.line_into(run, &format!("{} = {had}", SPEED.name)));
            }
        }
    }
    Ok(edits)
}
