//! `trip`: Trip scale from readouts or tape.

use std::io::{self, Write};

use crate::calculations::trip;
use crate::outcome::Report;
use crate::render::Style;

use super::{Exit, OneCalculation, no_data, one_calculation};

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &OneCalculation, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    one_calculation(arguments, "trip", style, out, |sheet| {
        let inputs = sheet.job.trip.as_ref().ok_or_else(|| {
            no_data(
                "[[trip-run]] that can be used",
                "add a [[trip-run]] with `marks` and `readout`, or `commanded` and `taped`",
            )
        })?;
        Ok(Report::of(vec![trip::calibrate(inputs)]))
    })
}
