//! Another ground speed for the trial, with the setback that belongs to it.

use crate::quantity::Speed;
use crate::record::{Subject, Wanted};
use crate::sheet::{FieldSheet, NewText, Source};

use super::WriteError;
use super::change::{Put, put_in, put_of};
use super::place::Places;

/// The text of a sheet that is for another speed from now on, with the setback that the speed law has
/// for it where that is another; runs that don't say at which speed they were planted keep the old one.
///
/// # Errors
///
/// A [`WriteError`] where the sheet has no speed, or the setback can't be changed in it.
pub fn adopt_speed(
    source: &Source,
    before: &FieldSheet,
    speed: &Speed,
    setback: Option<&Wanted>,
    day: &str,
    reason: Option<&str>,
) -> Result<NewText, WriteError> {
    let usual = format!("for {speed}, by the speed law");
    let reason = reason.unwrap_or(&usual);
    let mut puts: Vec<Put> = vec![];
    if let Some(setback) = setback {
        puts.push(put_of(&Places::of_both(source)?, setback, Some(reason))?);
    }
    puts.push(Put {
        subject: Subject::Speed,
        to: speed.to_string().into(),
        error: None,
        reason: reason.to_owned(),
        runs: vec![],
    });
    put_in(source, before, &puts, day)
}
