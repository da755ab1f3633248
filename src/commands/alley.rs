//! `alley`: Setback from alleys measured against their marks.

use std::io::{self, Write};

use crate::calculations::alley;
use crate::outcome::Report;
use crate::render::Style;

use super::{Exit, OneCalculation, no_data, one_calculation};

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &OneCalculation, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    one_calculation(arguments, "alley", style, out, |sheet| {
        let inputs = sheet.job.alley.as_ref().ok_or_else(|| {
            no_data(
                "[[alley-run]] that can be used",
                "add an [[alley-run]] with `last-seed-to-mark` and `mark-to-first-seed`",
            )
        })?;
        Ok(Report::of(vec![alley::calibrate(inputs)]))
    })
}
