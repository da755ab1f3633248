//! `plan`: how many readings to take.

use std::io::{self, Write};

use clap::Args;

use crate::forecast::plan;
use crate::outcome::Report;
use crate::quantity::Length;
use crate::render::Style;

use super::exit::Exit;
use super::one_calculation::{OneCalculation, of_sheet};
use super::options::measure_option;

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    calculation: OneCalculation,
    /// Tolerance to plan for, instead of those in the sheet.
    #[arg(long, value_parser = length)]
    tolerance: Option<Length>,
    /// Standard deviation of one reading by tape, ground and hand, such as "0.5 in", "12 mm".
    #[arg(long, value_parser = length)]
    scatter: Option<Length>,
}

fn length(text: &str) -> Result<Length, String> {
    measure_option(text, &crate::quantity::bounds::TOLERANCE)
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    of_sheet(
        &arguments.calculation,
        "plan",
        style,
        out,
        |_| Ok(()),
        |sheet| {
            let mut inputs = sheet.plan.clone();
            inputs.scatter = arguments.scatter.clone();
            if let Some(tolerance) = &arguments.tolerance {
                for own in [&mut inputs.trip, &mut inputs.centre, &mut inputs.passes] {
                    *own = Some(tolerance.clone());
                }
            }
            Ok(Report::of(vec![plan::plan(&inputs, &sheet.job)]))
        },
    )
}
