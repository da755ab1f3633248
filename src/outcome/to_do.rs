//! The next step of a report as who stands at the machine reads it: one thing.

use super::next::Next;
use super::setting::SettingResult;

/// What the next step comes to.
#[derive(Clone, Debug)]
pub enum ToDo<'r> {
    /// A setting gets a new value; of a combination of sprockets, and of timers to start with, all
    /// that belong to the one change.
    Set(Vec<&'r SettingResult>),
    /// Hands adjust something that no controller holds.
    Adjust(&'r Next),
    /// Something is measured, or looked at.
    Look(&'r Next),
    /// Nothing is to be changed.
    Nothing,
}
