//! `depth`: planting depth, row by row.

use std::io::{self, Write};

use crate::calculations::depth;
use crate::outcome::Report;
use crate::render::Style;

use super::{Exit, OneCalculation, no_data, one_calculation};

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &OneCalculation, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    one_calculation(arguments, "depth", style, out, |sheet| {
        let inputs = sheet.job.depth.as_ref().ok_or_else(|| {
            no_data(
                "[[depth-run]] that can be used",
                "add a [[depth-run]] for each row, with `row` and `depth = [...]`, and `depth` in \
                 [trial]",
            )
        })?;
        Ok(Report::of(vec![depth::calibrate(inputs)]))
    })
}
