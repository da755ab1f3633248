//! `man`: the help and the reference as manual pages.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use clap::{Args, Command};

use crate::reference;
use crate::render::harmless;
use crate::render::markdown::manual;

use super::exit::Exit;
use super::explain;
use super::output::{complain, say_done};

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Folder for one page a command and one a topic; without it, the page of the program itself
    /// is printed.
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
    let pages = pages(&command) + reference::ALL.len();
    match clap_mangen::generate_to(command, folder).and_then(|()| topics(folder)) {
        Ok(()) => {
            let done = format!("wrote {pages} pages into {name}");
            Ok(say_done(out, &format!("{done}\n"), &done))
        }
        Err(error) => {
            complain(&format!(
                "error: manual pages can't be written into {name}: {error}\nhelp: name a folder \
                 that is there and may be written into\n"
            ));
            Ok(Exit::CouldNot)
        }
    }
}

/// One page a command, those within it too.
fn pages(command: &Command) -> usize {
    1 + command.get_subcommands().map(pages).sum::<usize>()
}

/// A page for each topic of the reference.
fn topics(folder: &Path) -> io::Result<()> {
    for topic in reference::ALL {
        let name = format!("alleytrue-{}", topic.name);
        let page = manual::page(&name, topic.about, &explain::text(topic));
        std::fs::write(folder.join(format!("{name}.7")), page)?;
    }
    Ok(())
}
