//! `evenness`: multiples, singles and misses.

use std::io::{self, Write};

use crate::calculations::evenness;
use crate::outcome::Report;
use crate::render::Style;

use super::{Exit, OneCalculation, no_data, one_calculation};

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &OneCalculation, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    one_calculation(arguments, "evenness", style, out, |sheet| {
        let inputs = sheet.job.evenness.as_ref().ok_or_else(|| {
            no_data(
                "[[spacing-run]] that can be used",
                "add a [[spacing-run]] for each row, with `row` and `positions = [...]` or \
                 `gaps = [...]`",
            )
        })?;
        Ok(Report::of(vec![evenness::calibrate(inputs)]))
    })
}
