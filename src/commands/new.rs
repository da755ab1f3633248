//! `new`: a commented starter sheet, or one begun from another.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use crate::render::{Style, harmless, shell_word, text};
use crate::sheet::writing::{Begun, For, WriteError, begin_from, write_new};
use crate::sheet::{schema, starter};

use super::dates::{day, today};
use super::exit::Exit;
use super::mistakes::{cannot_write, refuse_text};
use super::opened::{Opened, open_with, with_its_planter};
use super::output::say_done;

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    /// File to write; one that exists is left alone.
    file: PathBuf,
    /// Units of the sheet.
    #[arg(long, value_enum, default_value_t, conflicts_with_all = ["from", "like"])]
    units: StarterUnits,
    /// Sheet of an earlier season: planter, tolerances, limits, settings and checklist stay; runs and
    /// history, the field and its lots don't.
    #[arg(long, value_name = "OLD", conflicts_with = "like")]
    from: Option<PathBuf>,
    /// Sheet of another trial of these days: all but its history stays, and of its runs those that
    /// calibrations rest on which still hold.
    #[arg(long, value_name = "SHEET")]
    like: Option<PathBuf>,
    /// Title of the sheet [default: the name of the file].
    #[arg(long, value_name = "TEXT")]
    title: Option<String>,
    /// Day on which it is begun [default: today].
    #[arg(long, value_name = "DAY", value_parser = day)]
    date: Option<String>,
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
pub fn run(arguments: &Arguments, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    let (text, said) = match (&arguments.from, &arguments.like) {
        (Some(old), _) => match begun(arguments, old, For::AnotherSeason, style) {
            Ok(begun) => begun,
            Err(exit) => return Ok(exit),
        },
        (None, Some(other)) => match begun(arguments, other, For::TheSameWeek, style) {
            Ok(begun) => begun,
            Err(exit) => return Ok(exit),
        },
        (None, None) => (starter_text(arguments), String::new()),
    };
    let (head, beside) = match arguments.schema {
        true => (schema::LINE, Some(arguments.file.with_file_name(schema::FILE))),
        false => ("", None),
    };
    if let Err(error) = write_new(&arguments.file, format!("{head}{text}").as_bytes()) {
        return Ok(cannot_write(&arguments.file, &error));
    }
    let mut page = String::new();
    if let Some(beside) = beside {
        match write_new(&beside, schema::text().as_bytes()) {
            Ok(()) => page += &format!("wrote {}\n", shown(&beside)),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
            Err(error) => return Ok(cannot_write(&beside, &error)),
        }
    }
    let (name, word) = (shown(&arguments.file), shell_word(&arguments.file));
    let then = if said.is_empty() {
        "put your numbers in, then run: alleytrue calibrate"
    } else {
        "put right what is another now, then run: alleytrue plan"
    };
    page += &format!("wrote {name}\n{said}Next: {then} {word}\n");
    Ok(say_done(out, &page, &format!("{name} is written")))
}

/// The starter sheet, with a title of the crew's own where there is one.
fn starter_text(arguments: &Arguments) -> String {
    let text = match arguments.units {
        StarterUnits::Us => starter::US,
        StarterUnits::Metric => starter::METRIC,
    };
    match &arguments.title {
        Some(title) => starter::entitled(text, title),
        None => text.to_owned(),
    }
}

/// The text of a sheet begun from another, and what is said of it.
fn begun(
    arguments: &Arguments,
    old: &Path,
    what_for: For,
    style: Style,
) -> Result<(String, String), Exit> {
    let Opened { source, sheet } = open_with(old, &[], None, style).map_err(|_| Exit::CouldNot)?;
    let stem = arguments.file.file_stem().map(|stem| stem.to_string_lossy().into_owned());
    let title = arguments.title.clone().or(stem).unwrap_or_default();
    let date = arguments.date.clone().unwrap_or_else(today);
    let refused = |error: WriteError| refuse_text(&source, &error, style);
    let new = begin_from(&source, &sheet, what_for, &title, &date).map_err(refused)?;
    let text = with_its_planter(&source, new.text.clone(), &arguments.file).map_err(refused)?;
    Ok((text, said_of(&new, style)))
}

/// What a new sheet has, what it has not, and what to look at.
fn said_of(new: &Begun, style: Style) -> String {
    let line = |first: &str, all: &[String]| match all {
        [] => String::new(),
        all => text::hanging(first, &all.join(", "), style) + "\n",
    };
    let look: Vec<String> =
        new.look_at.iter().map(|one| text::hanging("  - ", one, style) + "\n").collect();
    format!(
        "{}{}Look at again:\n{}",
        line("Kept: ", &new.kept),
        line("Left out: ", &new.left_out),
        look.concat()
    )
}

fn shown(path: &Path) -> String {
    harmless(&path.display().to_string())
}
