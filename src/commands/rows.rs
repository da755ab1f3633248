//! `rows`: every row's plate against the reference row's.

use std::io::{self, Write};

use crate::calculations::rows;
use crate::outcome::Report;
use crate::render::Style;

use super::{Exit, OneCalculation, no_data, one_calculation};

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &OneCalculation, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    one_calculation(arguments, "rows", style, out, |sheet| {
        let inputs = sheet.job.rows.as_ref().ok_or_else(|| {
            no_data("[[row-run]]", "add a [[row-run]] for each row, with `row` and `ahead = [...]`")
        })?;
        Ok(Report::of(vec![rows::calibrate(inputs)]))
    })
}
