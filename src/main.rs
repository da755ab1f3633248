//! The command line: parse, run, exit.

use std::io;
use std::process::ExitCode;

use alleytrue::commands::{Cli, Exit, run};

/// Values are many small pieces that come and go; the system's allocator takes a third more time
/// over them.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

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
