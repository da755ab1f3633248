//! `stand`: stand counts, and lengths of row to count over.

use std::io::{self, Write};

use clap::Args;

use crate::calculations::stand;
use crate::outcome::Outcome;
use crate::outcome::Report;
use crate::quantity::Length;
use crate::quantity::bounds::ROW_SPACING;
use crate::render::Style;

use super::{Exit, OneCalculation, measure_option, no_data, one_calculation};

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
    one_calculation(&arguments.common, "stand", style, out, |sheet| {
        let inputs = sheet.job.stand.as_ref().ok_or_else(|| {
            no_data(
                "rows to count plants on",
                "add `row-spacing = \"30 in\"` under [planter], and a [[stand-count]] for each row \
                 with `length` and `counts = [...]`",
            )
        })?;
        let mut outcome = if inputs.counts.is_empty() {
            Outcome::new(stand::CALCULATION)
        } else {
            stand::calibrate(inputs)
        };
        stand::add_lengths(&mut outcome, inputs, &arguments.row_spacing);
        Ok(Report::of(vec![outcome]))
    })
}
