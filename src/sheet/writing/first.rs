//! Waits and lengths of actions that are set for the first time, and so stand nowhere in the sheet yet.

use toml_edit::Value;

use crate::outcome::ActionName;
use crate::record::Subject;
use crate::sheet::changeover::{ACTION, AFTER, DOES, FROM, KEYS, NAME, WAIT};
use crate::sheet::reader::Entry;

use super::WriteError;
use super::by_hand::lines;
use super::place::{Edit, Places};
use super::run::{action, typed_value};

/// Whether something is a wait or a length that the sheet has no value for.
pub(super) fn is(places: &Places<'_>, subject: Subject) -> bool {
    matches!(subject, Subject::Timed(_)) && typed_value(places, subject).is_none()
}

/// The lines in which they go into the tables of their actions.
pub(super) fn edits(
    places: &Places<'_>,
    puts: &[(Subject, &Value)],
) -> Result<Vec<Edit>, WriteError> {
    let mut of_actions: Vec<(ActionName, Vec<String>)> = vec![];
    for (subject, to) in puts.iter().filter(|(subject, _)| is(places, *subject)) {
        let Subject::Timed(timed) = subject else { continue };
        let line = format!("{} = {to}", timed.part.key());
        match of_actions.iter_mut().find(|(name, _)| *name == timed.action) {
            Some((_, lines)) => lines.push(line),
            None => of_actions.push((timed.action, vec![line])),
        }
    }
    let mut edits = vec![];
    for (name, new) in of_actions {
        let place = action(places, name).ok_or_else(|| {
            let what = format!("no action of the sheet is called \"{name}\"");
            WriteError::Refused(what, "the names stand in [[changeover.action]]")
        })?;
        let place = place.to_string();
        let path = [KEYS.name, ACTION.name, &place];
        edits.push(below(places, &path, &new).map_or_else(|| lines(places, &path, &new), Ok)?);
    }
    Ok(edits)
}

/// Lines below those that say what an action is and when it starts, where it stands under its own line.
fn below(places: &Places<'_>, path: &[&str], new: &[String]) -> Option<Edit> {
    let table = places.value(path)?;
    if !places.text[table.span().start..].starts_with('[') {
        return None;
    }
    let end = |key: &&dyn Entry| Some(places.value(&[path, &[key.name()]].concat())?.span().end);
    let last = ABOVE.iter().filter_map(end).max()?;
    let at = places.line_after(last);
    let line_end = places.line_end();
    let mut text: String = new.iter().map(|line| format!("{line}{line_end}")).collect();
    if !places.text[..at].ends_with('\n') {
        text.insert_str(0, line_end);
    }
    Some((at..at, text))
}

/// What stands above the wait and the length of an action.
static ABOVE: [&dyn Entry; 5] = [&NAME, &DOES, &AFTER, &FROM, &WAIT];
