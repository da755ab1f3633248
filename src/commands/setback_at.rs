//! `setback-at`: the setback for any speed, from the speed law.

use std::io::{self, Write};

use clap::Args;

use crate::calculations::speed_law::{self, Cab};
use crate::outcome::Report;
use crate::quantity::Speed;
use crate::render::Style;

use super::{Exit, OneCalculation, measure_option, no_data, one_calculation};

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Ground speed, such as "3 mph".
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
        super::complain("error: --from is above --to\nhelp: give the lower speed first\n")?;
        return Ok(Exit::CouldNot);
    }
    let cab = match (&arguments.from, &arguments.to, &arguments.step) {
        (Some(from), Some(to), Some(step)) => {
            Some(Cab { from: from.clone(), to: to.clone(), step: step.clone() })
        }
        _ => None,
    };
    one_calculation(&arguments.calculation, "setback-at", style, out, |sheet| {
        let inputs = sheet.job.speed_law.as_ref().ok_or_else(|| {
            no_data(
                "alley runs at two or more speeds",
                "add [[alley-run]] tables with `speed = \"...\"`, all planted with the present \
                 setback",
            )
        })?;
        let outcome = speed_law::setback_at(inputs, &arguments.speed, cab.as_ref());
        Ok(Report::of(vec![outcome]))
    })
}
