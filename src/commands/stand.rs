//! `stand`: stand counts, and lengths of row to count over.

use std::io::{self, Write};

use clap::Args;

use crate::calculations::stand::{self, ENTRY};
use crate::quantity::Length;
use crate::quantity::bounds::ROW_SPACING;
use crate::render::Style;
use crate::sheet::FieldSheet;

use super::exit::Exit;
use super::one_calculation::{OneCalculation, has_data, of_sheet, too_many};
use super::options::measure_option;

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    common: OneCalculation,
    /// Other distances between rows to give the lengths for: `"15 in,76 cm"`.
    #[arg(long, value_name = "LENGTH,...", value_delimiter = ',', value_parser = width)]
    row_spacing: Vec<Length>,
}

fn width(text: &str) -> Result<Length, String> {
    measure_option(text, &ROW_SPACING)
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    let has_data = |sheet: &FieldSheet| has_data(sheet, &ENTRY);
    of_sheet(&arguments.common, ENTRY.command, style, out, has_data, |sheet| {
        let mut report = sheet.job.alone(ENTRY.command).map_err(|error| too_many(&error))?;
        if let (Some(inputs), [outcome]) = (&sheet.job.stand, report.outcomes.as_mut_slice()) {
            stand::add_lengths(outcome, inputs, &sheet.job.common, &arguments.row_spacing);
        }
        Ok(report)
    })
}
