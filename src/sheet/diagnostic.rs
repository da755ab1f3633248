//! A mistake or remark with its place in the sheet.

use std::ops::Range;

use super::codes::{self, Code};
use crate::quantity::metric_examples;

/// Most mistakes and remarks kept of one sheet: nobody mends more in one go.
pub const MOST_MISTAKES: usize = 1000;

/// A mistake or remark: what was found where, what is allowed, what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// Which kind.
    pub code: &'static Code,
    /// Place in the text, in bytes.
    pub span: Range<usize>,
    /// What is wrong, in one line.
    pub message: String,
    /// What stands at the caret.
    pub found: String,
    /// What is allowed there, where that can be said in a line.
    pub allowed: Option<String>,
    /// What to do.
    pub advice: String,
}

impl Diagnostic {
    /// What to add where something is missing, as a metric crew would write it. Other advice speaks of
    /// what was typed, and stays.
    pub(super) fn with_metric_examples(&mut self) {
        if [&codes::MISSING_KEY, &codes::UNUSED_DATA, &codes::NO_DATA].contains(&self.code) {
            self.advice = metric_examples(&self.advice);
        }
    }

    /// Line and column of the place, counted from one, in characters.
    ///
    /// ```
    /// use alleytrue::sheet::{FieldSheet, Source};
    /// let source = Source::new("sheet.toml", "\n  rows = 4");
    /// let mistakes = FieldSheet::read(&source).expect_err("a wrong key");
    /// assert_eq!(mistakes[0].line_and_column(source.text()), (2, 3));
    /// ```
    #[must_use]
    pub fn line_and_column(&self, text: &str) -> (usize, usize) {
        let before = text.get(..self.span.start).unwrap_or(text);
        let line = before.bytes().filter(|byte| *byte == b'\n').count() + 1;
        let start = before.rfind('\n').map_or(0, |at| at + 1);
        (line, before[start..].chars().count() + 1)
    }
}
