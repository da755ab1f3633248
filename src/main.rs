//! The command line: parse, run, exit.

use std::io;
use std::process::ExitCode;

use alleytrue::commands::{Cli, Exit, run};

fn main() -> ExitCode {
    let cli = Cli::of(std::env::args_os());
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
