//! Who made a change: a name in the lines of history that are new.

use toml_edit::Value;

use crate::sheet::{NewText, Source, history};

use super::place::{Edit, Places, replaced};
use super::run::checked;
use super::{WriteError, printable};

/// The new text of a sheet, with who made the changes that the old one does not have.
///
/// # Errors
///
/// A [`WriteError`] where the name can't stand in a sheet.
pub fn signed(source: &Source, text: NewText, by: Option<&str>) -> Result<NewText, WriteError> {
    let Some(by) = by else { return Ok(text) };
    printable("the name", by)?;
    let before = Places::of(source.text())?.entries(history::KEYS.name)?.len();
    let places = Places::of(&text)?;
    let new = before..places.entries(history::KEYS.name)?.len();
    let line =
        [places.line_end(), history::BY.name, " = ", Value::from(by).to_string().trim()].concat();
    let after_reason = |index: usize| -> Option<Edit> {
        let path = [history::KEYS.name, &index.to_string(), history::REASON.name];
        let end = places.value(&path)?.span().end;
        Some((end..end, line.clone()))
    };
    let edits: Vec<Edit> = new.filter_map(after_reason).collect();
    let text = NewText { sheet: replaced(&text, edits), planter: text.planter };
    Ok(checked(source, text)?.0)
}
