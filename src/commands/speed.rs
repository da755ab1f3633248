//! `speed`: timed courses, and turns and skid of the ground wheel.

use std::io::{self, Write};

use crate::calculations::{speed, wheel};
use crate::outcome::Report;
use crate::render::Style;

use super::{Exit, OneCalculation, no_data, one_calculation};

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &OneCalculation, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    one_calculation(arguments, "speed", style, out, |sheet| {
        let speed = sheet.job.speed.as_ref().map(speed::calibrate);
        let wheel = sheet.job.wheel.as_ref().map(wheel::calibrate);
        let outcomes: Vec<_> = speed.into_iter().chain(wheel).collect();
        if outcomes.is_empty() {
            return Err(no_data(
                "[[speed-run]] and no [[wheel-run]]",
                "add a [[speed-run]] with `course` and `times`, or a [[wheel-run]] with `course` \
                 and `turns`",
            ));
        }
        Ok(Report::of(outcomes))
    })
}
