//! What the last run of a kind in a sheet says.

use super::Kind;
use super::place::Places;
use super::run::spoken_text;

/// What the last run of a kind has for a key, as a person would say it.
///
/// ```
/// use alleytrue::sheet::starter;
/// use alleytrue::sheet::writing::{KINDS, last_said};
/// let kind = KINDS.iter().find(|kind| kind.name == "alley").expect("alley runs");
/// assert_eq!(last_said(starter::US, kind, "heading").as_deref(), Some("home"));
/// assert_eq!(last_said(starter::US, kind, "row"), None);
/// ```
#[must_use]
pub fn last_said(text: &str, kind: &Kind, key: &str) -> Option<String> {
    let places = Places::of(text).ok()?;
    let runs = (0..).map(|at: usize| at.to_string());
    let last = runs.take_while(|at| places.value(&[kind.table, at]).is_some()).last()?;
    Some(spoken_text(&places.typed(&[kind.table, &last, key])?.parse().ok()?))
}
