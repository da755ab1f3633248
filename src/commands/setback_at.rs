//! `setback-at`: the setback for any speed, from the speed law.

use std::io::{self, Write};

use clap::Args;

use crate::calculations::speed_law::{self, Cab, ENTRY};
use crate::outcome::Report;
use crate::quantity::Speed;
use crate::render::Style;
use crate::sheet::FieldSheet;

use super::exit::Exit;
use super::one_calculation::{OneCalculation, has_data, of_sheet};
use super::options::measure_option;
use super::output::complain;

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Ground speed, such as "3 mph", "5 km/h".
    #[arg(value_parser = speed)]
    speed: Speed,
    #[command(flatten)]
    calculation: OneCalculation,
    /// First speed of the table.
    #[arg(long, value_parser = speed, requires = "to", requires = "step")]
    from: Option<Speed>,
    /// Last speed of the table.
    #[arg(long, value_parser = speed, requires = "from")]
    to: Option<Speed>,
    /// From speed to speed in the table.
    #[arg(long, value_parser = speed, requires = "from")]
    step: Option<Speed>,
}

fn speed(text: &str) -> Result<Speed, String> {
    measure_option(text, &crate::quantity::bounds::SPEED)
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    if let (Some(from), Some(to)) = (&arguments.from, &arguments.to)
        && from.base() > to.base()
    {
        complain("error: --from is above --to\nhelp: give the lower speed first\n");
        return Ok(Exit::CouldNot);
    }
    let cab = match (&arguments.from, &arguments.to, &arguments.step) {
        (Some(from), Some(to), Some(step)) => {
            Some(Cab { from: from.clone(), to: to.clone(), step: step.clone() })
        }
        _ => None,
    };
    let has_data = |sheet: &FieldSheet| has_data(sheet, &ENTRY);
    of_sheet(&arguments.calculation, ENTRY.command, style, out, has_data, |sheet| {
        let common = &sheet.job.common;
        let at_speed =
            |inputs| speed_law::setback_at(inputs, common, &arguments.speed, cab.as_ref());
        Ok(Report::of(sheet.job.speed_law.as_deref().into_iter().map(at_speed).collect()))
    })
}
