//! `man`: the help as manual pages.

use std::io::{self, Write};
use std::path::PathBuf;

use clap::{Args, Command};

use crate::render::harmless;

use super::exit::Exit;
use super::mistakes::complain;

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Folder for one page a command; without it, the page of the program itself is printed.
    folder: Option<PathBuf>,
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments, whole: Command, out: &mut dyn Write) -> io::Result<Exit> {
    let command = whole.disable_help_subcommand(true);
    let Some(folder) = &arguments.folder else {
        clap_mangen::Man::new(command).render(out)?;
        return Ok(Exit::Done);
    };
    let name = harmless(&folder.display().to_string());
    let pages = 1 + command.get_subcommands().count();
    match clap_mangen::generate_to(command, folder) {
        Ok(()) => {
            writeln!(out, "wrote {pages} pages into {name}")?;
            Ok(Exit::Done)
        }
        Err(error) => {
            complain(&format!(
                "error: manual pages can't be written into {name}: {error}\nhelp: name a folder \
                 that is there and may be written into\n"
            ))?;
            Ok(Exit::CouldNot)
        }
    }
}
