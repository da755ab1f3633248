//! The command line: parse, run, exit.

use std::io;
use std::process::ExitCode;

use alleytrue::commands::record::with_negative_values;
use alleytrue::commands::{Cli, Exit, run};
use clap::Parser;

fn main() -> ExitCode {
    let cli = Cli::parse_from(with_negative_values(std::env::args_os()));
    match run(&cli) {
        Ok(exit) => exit.into(),
        // Whoever read the output has seen enough.
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Exit::Done.into(),
        Err(error) => {
            eprintln!("error: {error}");
            Exit::CouldNot.into()
        }
    }
}
