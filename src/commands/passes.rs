//! `passes`: pass offset from leads, and the two headings taken apart.

use std::io::{self, Write};

use crate::calculations::passes;
use crate::outcome::Report;
use crate::render::Style;

use super::{Exit, OneCalculation, no_data, one_calculation};

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &OneCalculation, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    one_calculation(arguments, "passes", style, out, |sheet| {
        let inputs = sheet.job.passes.as_ref().ok_or_else(|| {
            no_data(
                "[[pass-run]], nor alley runs of both headings",
                "add a [[pass-run]] with `lead = [...]`, or [[alley-run]] tables with `heading = \
                 \"out\"` and `heading = \"home\"`",
            )
        })?;
        Ok(Report::of(vec![passes::calibrate(inputs, passes::Alleys::default())]))
    })
}
