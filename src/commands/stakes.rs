//! `stakes`: marks, plots, corners and areas of the field.

use std::io::{self, Write};

use crate::calculations::stakes;
use crate::outcome::Report;
use crate::render::Style;

use super::{Exit, OneCalculation, no_data, one_calculation};

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &OneCalculation, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    one_calculation(arguments, "stakes", style, out, |sheet| {
        let inputs = sheet.job.stakes.as_ref().ok_or_else(|| {
            no_data("layout", "add a table [layout] with `headland = \"40 ft\"` below it")
        })?;
        Ok(Report::of(vec![stakes::stakes(inputs)]))
    })
}
