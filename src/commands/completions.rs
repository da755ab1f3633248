//! `completions`: what a shell needs to finish commands and options at a press of Tab.

use std::io::{self, Write};

use clap::{Args, Command};
use clap_complete::Shell;

use super::exit::Exit;

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Shell to write for.
    shell: Shell,
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments, mut whole: Command, out: &mut dyn Write) -> io::Result<Exit> {
    // The generator panics where its writer fails, so it gets one that does not.
    let mut script = Vec::new();
    clap_complete::generate(arguments.shell, &mut whole, "alleytrue", &mut script);
    out.write_all(&script)?;
    Ok(Exit::Done)
}
