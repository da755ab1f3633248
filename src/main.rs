//! The command line: parse, run, exit.

use std::process::ExitCode;

use alleytrue::commands::{Cli, run};

fn main() -> ExitCode {
    Cli::of(std::env::args_os()).map_or_else(|exit| exit, |cli| run(&cli)).into()
}
