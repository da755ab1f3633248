//! `spacing`: seed spacing, population and the best sprockets.

use std::io::{self, Write};

use clap::Args;

use crate::calibration::sequence::Report;
use crate::calibration::spacing::{self, Inputs};
use crate::calibration::sprockets::SearchError;
use crate::render::Style;
use crate::sheet::Diagnostic;

use super::{Exit, OneCalculation, no_data, one_calculation};

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    calculation: OneCalculation,
    /// Also list the spacing of every sprocket position.
    #[arg(long)]
    chart: bool,
    /// Rank sprockets as if any chain could be made to fit: links put in or taken out, or another
    /// chain.
    #[arg(long)]
    ignore_chains: bool,
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    one_calculation(&arguments.calculation, "spacing", style, out, |sheet| {
        let lacks = &sheet.spacing_lacks;
        let inputs = sheet.job.spacing.as_ref().ok_or_else(|| {
            no_data("all that its seed spacing needs", format!("add {}", lacks.join("; ")))
        })?;
        let inputs = &Inputs { ignore_chains: arguments.ignore_chains, ..inputs.clone() };
        let mut outcome = spacing::calibrate(inputs).map_err(|error| too_many(&error))?;
        if arguments.chart {
            outcome.tables.extend(spacing::chart(inputs).map_err(|error| too_many(&error))?);
        }
        Ok(Report::of(vec![outcome]))
    })
}

fn too_many(error: &SearchError) -> Diagnostic {
    Diagnostic {
        code: &crate::sheet::TOO_MANY_SPROCKETS,
        message: error.to_string(),
        ..no_data("", "list fewer `choices`: only the sprockets at hand")
    }
}
