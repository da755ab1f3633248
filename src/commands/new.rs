//! `new`: a commented starter sheet.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use crate::render::{Style, harmless, shell_word};
use crate::sheet::writing::write_new;
use crate::sheet::{schema, starter};

use super::exit::Exit;
use super::output::{complain, say_done};

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    /// File to write; one that exists is left alone.
    file: PathBuf,
    /// Units of the sheet.
    #[arg(long, value_enum, default_value_t)]
    units: StarterUnits,
    /// Write the schema beside it too, for editors that check a sheet while it is typed.
    #[arg(long)]
    schema: bool,
}

/// Units of a starter sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
enum StarterUnits {
    /// Feet and inches, miles per hour, seeds per acre.
    #[default]
    Us,
    /// Metres and centimetres, kilometres per hour, seeds per square metre.
    Metric,
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments, _style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    let text = match arguments.units {
        StarterUnits::Us => starter::US,
        StarterUnits::Metric => starter::METRIC,
    };
    let (head, beside) = match arguments.schema {
        true => (schema::LINE, Some(arguments.file.with_file_name(schema::FILE))),
        false => ("", None),
    };
    if let Err(error) = write_new(&arguments.file, format!("{head}{text}").as_bytes()) {
        return Ok(could_not(&arguments.file, &error));
    }
    let mut page = String::new();
    if let Some(beside) = beside {
        match write_new(&beside, schema::text().as_bytes()) {
            Ok(()) => page += &format!("wrote {}\n", shown(&beside)),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
            Err(error) => return Ok(could_not(&beside, &error)),
        }
    }
    let (name, word) = (shown(&arguments.file), shell_word(&arguments.file));
    page +=
        &format!("wrote {name}\nNext: put your numbers in, then run: alleytrue calibrate {word}\n");
    Ok(say_done(out, &page, &format!("{name} is written")))
}

fn shown(path: &Path) -> String {
    harmless(&path.display().to_string())
}

fn could_not(path: &Path, error: &io::Error) -> Exit {
    let name = shown(path);
    complain(&match error.kind() {
        io::ErrorKind::AlreadyExists => format!(
            "error: {name} is there already, and is left as it is\n\
             help: give another name, or move the old file away first\n"
        ),
        _ => format!(
            "error: {name} can't be written: {error}\nhelp: check the folder and its rights\n"
        ),
    });
    Exit::CouldNot
}
