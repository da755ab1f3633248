//! What is not understood, and what a reading may be.

use crate::quantity::{Length, LengthUnit};

use super::super::WriteError;
use super::super::kinds::Of;

/// Why something was not understood, and what to type.
#[derive(Debug)]
pub(super) struct Doubt {
    words: String,
    advice: String,
}

impl Doubt {
    pub(super) fn new(words: String, advice: String) -> Doubt {
        Doubt { words, advice }
    }

    /// Both, in one line.
    pub(super) fn in_one_line(&self) -> String {
        format!("{}; {}", self.words, self.advice)
    }
}

impl From<Doubt> for WriteError {
    fn from(doubt: Doubt) -> WriteError {
        WriteError::Doubtful { words: doubt.words, advice: doubt.advice }
    }
}

/// What the readings of a list may be.
pub(super) struct Sense {
    pub(super) of: Of,
    pub(super) bare: Option<LengthUnit>,
}

impl Sense {
    /// Whether a text may be a reading by itself.
    pub(super) fn could_be(&self, text: &str) -> bool {
        match self.of {
            Of::Length(bounds) => Length::parse(text, self.bare.or(Some(LengthUnit::Inch)))
                .is_ok_and(|length| bounds.hold_measure(&length)),
            _ => true,
        }
    }
}
