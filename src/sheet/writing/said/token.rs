//! One reading of a list, and what stands behind it.

use crate::quantity::{Duration, Length, LengthUnit, TimeUnit, parse_number};

/// What stands behind a reading, before the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Break {
    /// A blank, or the next word of the command line.
    Blank,
    /// A comma with a blank behind it, or at the end of a word.
    Comma,
    /// The end of a line.
    Line,
    /// A semicolon or a tab, which stand in no number.
    Hard,
}

/// One reading, perhaps with a comma in it still.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Token {
    pub(super) text: String,
    pub(super) after: Break,
}

/// Whether a text is one number or measure of any kind.
pub(super) fn is_one(text: &str) -> bool {
    Length::parse(text, Some(LengthUnit::Inch)).is_ok()
        || Duration::parse(text, Some(TimeUnit::Second)).is_ok()
        || parse_number(text).is_ok()
}

/// A number without a unit.
pub(super) fn is_bare(text: &str) -> bool {
    !text.is_empty() && text.chars().all(|c| c.is_ascii_digit() || "+-./, \u{2212}".contains(c))
}
