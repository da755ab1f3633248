//! What pages are made from.

use crate::outcome::{Outcome, Report, Table};
use crate::sheet::{Diagnostic, FieldSheet, Source, WrittenRun};

use super::label_sheet::LabelSheet;
use super::paper::Paper;

/// What pages are made from.
#[derive(Clone, Copy, Debug)]
pub struct Material<'a> {
    /// The sheet.
    pub sheet: &'a FieldSheet,
    /// Its runs as they were typed.
    pub written: &'a [WrittenRun],
    /// SHA-256 of its file.
    pub sums: &'a [(Option<&'a str>, String)],
    /// Name of its file.
    pub file: &'a str,
    /// Its text, for line numbers.
    pub source: &'a Source,
    /// The day the pages are made.
    pub date: &'a str,
    /// The results.
    pub report: &'a Report,
    /// The measurement plan, for how many blanks a form has.
    pub plan: Option<&'a Outcome>,
    /// The layout of the field.
    pub stakes: Option<&'a Outcome>,
    /// What goes into the packets.
    pub packets: Option<&'a Outcome>,
    /// The trial drawn many times, where that is printed.
    pub rehearsal: Option<&'a Outcome>,
    /// Every sprocket position, or why there is no list of them.
    pub chart: Result<&'a Table, &'a str>,
    /// The sheet of labels, where it is not the usual one for the paper.
    pub labels: Option<LabelSheet>,
    /// Whether the cab card is to fit half a page.
    pub half: bool,
    /// Remarks on the sheet.
    pub remarks: &'a [Diagnostic],
}

impl Material<'_> {
    /// The sheet of labels for a paper.
    pub(super) fn label_sheet(&self, paper: Paper) -> LabelSheet {
        self.labels.unwrap_or_else(|| LabelSheet::usual(paper))
    }
}
