//! `changeover`: the ground that the timers make, timers to start with, and the one change that
//! what was seen asks for.

use std::io::{self, Write};

use crate::calculations::changeover;
use crate::outcome::Report;
use crate::render::Style;

use super::{Exit, OneCalculation, no_data, one_calculation};

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &OneCalculation, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    one_calculation(arguments, "changeover", style, out, |sheet| {
        let inputs = sheet.job.changeover.as_ref().ok_or_else(|| {
            no_data(
                "[changeover]",
                "add [changeover] with `boost`, `old-seed-gone` and `new-seed-at-pick-up`; the \
                 timers may be left out to get values to start with",
            )
        })?;
        let mut outcomes = vec![changeover::calibrate(inputs)];
        if inputs.was_looked_at() {
            outcomes.push(changeover::advise(inputs));
        }
        Ok(Report::of(outcomes))
    })
}
