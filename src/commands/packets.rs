//! `packets`: seeds and grams of every packet, and which lots fall short.

use std::io::{self, Write};

use crate::calculations::packets;
use crate::outcome::Report;
use crate::render::Style;

use super::{Exit, OneCalculation, no_data, one_calculation};

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &OneCalculation, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    one_calculation(arguments, "packets", style, out, |sheet| {
        let inputs = sheet.job.packets.as_ref().ok_or_else(|| {
            no_data(
                "[packets]",
                "add a line [packets], which may stand empty; `entries`, `reps` and `plot` stand \
                 in [trial]",
            )
        })?;
        Ok(Report::of(vec![packets::pack(inputs)]))
    })
}
