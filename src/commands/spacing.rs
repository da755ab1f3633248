//! `spacing`: seed spacing, population and the best sprockets.

use std::io::{self, Write};

use clap::Args;

use crate::calculations::spacing::{self, ENTRY};
use crate::render::Style;
use crate::sheet::FieldSheet;

use super::exit::Exit;
use super::mistakes::no_data;
use super::one_calculation::{OneCalculation, of_sheet, too_many};

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
    let has_data = |sheet: &FieldSheet| {
        let advice = || format!("add {}", sheet.spacing_lacks.join("; "));
        let lacks = || no_data(ENTRY.lacks, advice());
        sheet.job.spacing.as_ref().map(|_| ()).ok_or_else(lacks)
    };
    of_sheet(&arguments.calculation, ENTRY.command, style, out, has_data, |sheet| {
        let job = &mut sheet.job;
        if let Some(inputs) = &mut job.spacing {
            inputs.ignore_chains = arguments.ignore_chains;
        }
        let mut report = job.alone(ENTRY.command).map_err(|error| too_many(&error))?;
        if let (true, Some(inputs), [outcome]) =
            (arguments.chart, &job.spacing, report.outcomes.as_mut_slice())
        {
            let chart = spacing::chart(inputs, &job.common);
            outcome.tables.extend(chart.map_err(|error| too_many(&error))?);
        }
        Ok(report)
    })
}
