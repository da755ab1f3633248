//! `completions`: what a shell needs to finish commands and options at a press of Tab.

use std::io::{self, Write};

use clap::Args;
use clap_complete::Shell;

use super::Exit;
use super::deferred::whole;

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
pub fn run(arguments: &Arguments, out: &mut dyn Write) -> io::Result<Exit> {
    // The generator panics where its writer fails, so it gets one that does not.
    let mut script = Vec::new();
    let mut command = whole();
    clap_complete::generate(arguments.shell, &mut command, "alleytrue", &mut script);
    out.write_all(&script)?;
    Ok(Exit::Done)
}
