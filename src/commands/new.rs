//! `new`: a commented starter sheet.

use std::fs::OpenOptions;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use crate::render::{Style, harmless};
use crate::sheet::{schema, starter};

use super::exit::Exit;
use super::mistakes::complain;

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
    let name = harmless(&arguments.file.display().to_string());
    let (head, beside) = match arguments.schema {
        true => (schema::LINE, Some(arguments.file.with_file_name(schema::FILE))),
        false => ("", None),
    };
    let written = write_new(&arguments.file, &format!("{head}{text}"));
    match written {
        Ok(()) => {
            if let Some(beside) = beside
                && !write_schema(&beside, out)?
            {
                return Ok(Exit::CouldNot);
            }
            writeln!(
                out,
                "wrote {name}\nNext: put your numbers in, then run: alleytrue calibrate {name}"
            )?;
            Ok(Exit::Done)
        }
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {
            complain(&format!(
                "error: {name} is there already, and is left as it is\nhelp: give another name, or move the old file away first\n"
            ))?;
            Ok(Exit::CouldNot)
        }
        Err(error) => {
            complain(&format!(
                "error: {name} can't be written: {error}\nhelp: check the folder and its rights\n"
            ))?;
            Ok(Exit::CouldNot)
        }
    }
}

/// Writes the schema, unless it is there; says whether it is there now.
fn write_schema(path: &Path, out: &mut dyn Write) -> io::Result<bool> {
    let name = harmless(&path.display().to_string());
    match write_new(path, &schema::text()) {
        Ok(()) => writeln!(out, "wrote {name}")?,
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
        Err(error) => {
            complain(&format!(
                "error: {name} can't be written: {error}\nhelp: check the folder and its rights\n"
            ))?;
            return Ok(false);
        }
    }
    Ok(true)
}

/// Writes a file that must not be there yet; a file half written is taken away again.
fn write_new(path: &Path, text: &str) -> io::Result<()> {
    let mut file = OpenOptions::new().write(true).create_new(true).open(path)?;
    let written = file.write_all(text.as_bytes()).and_then(|()| file.sync_all());
    if written.is_err() {
        drop(file);
        std::fs::remove_file(path)?;
    }
    written
}
