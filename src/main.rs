//! The command line: parse, run, exit.

use std::process::ExitCode;

use alleytrue::commands::{Cli, run};

/// Values are many small pieces that come and go; the system's allocator takes a third more time
/// over them.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    Cli::of(std::env::args_os()).map_or_else(|exit| exit, |cli| run(&cli)).into()
}
