//! `convert`: a sheet in other units, with a note of each value that was turned.

use std::io::{self, Write};
use std::path::PathBuf;

use clap::Args;
use serde::Serialize;

use crate::outcome::{Cell, Column, Table};
use crate::quantity::{System, brief, shown};
use crate::render::{Style, csv, harmless, shell_word, text};
use crate::sheet::writing::{Converted, Turned, convert, write_new};

use super::check::Form;
use super::exit::Exit;
use super::given::InUnits;
use super::mistakes::{cannot_write, refuse_text};
use super::opened::{open_with, print_json, with_its_planter};
use super::output::{complain, say_done};

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Field sheet, or the file of a planter; it is left as it is.
    sheet: PathBuf,
    /// Units of the new sheet.
    #[arg(long, value_enum)]
    units: InUnits,
    /// File to write; one that exists is left alone. Without it the new sheet goes to standard
    /// output and the notes to standard error.
    #[arg(long, value_name = "FILE")]
    to: Option<PathBuf>,
    /// Form of the notes.
    #[arg(long, value_enum, default_value_t, requires = "to")]
    format: Form,
}

/// A note for programs.
#[derive(Serialize)]
struct Note<'n> {
    line: usize,
    key: &'n str,
    old: &'n str,
    new: &'n str,
    rounding_error: f64,
    unit: &'n str,
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    let Ok(opened) = open_with(&arguments.sheet, &[], None, style) else {
        return Ok(Exit::CouldNot);
    };
    let source = &opened.source;
    let system = System::from(arguments.units);
    let Converted { text: sheet, turned } = match convert(source, system) {
        Ok(converted) => converted,
        Err(error) => return Ok(refuse_text(source, &error, style)),
    };
    let notes = notes(&turned, style);
    let last = left_as_it_was(source.shared_planter().map(|(name, _)| name), style);
    let Some(to) = &arguments.to else {
        complain(&format!("{notes}{last}"));
        out.write_all(sheet.as_bytes())?;
        return Ok(Exit::Done);
    };
    let sheet = match with_its_planter(source, sheet, to) {
        Ok(sheet) => sheet,
        Err(error) => return Ok(refuse_text(source, &error, style)),
    };
    if let Err(error) = write_new(to, sheet.as_bytes()) {
        return Ok(cannot_write(to, &error));
    }
    match arguments.format {
        Form::Text => {
            let name = harmless(&to.display().to_string());
            let next = format!("alleytrue calibrate {}", shell_word(to));
            let page = format!("{notes}{last}wrote {name}\nNext: {next}\n");
            Ok(say_done(out, &page, &format!("{name} is written")))
        }
        Form::Json => print_json(&turned.iter().map(note).collect::<Vec<_>>(), out).map(done),
        Form::Csv => csv::table(&table(&turned), out).map(done),
    }
}

fn done((): ()) -> Exit {
    Exit::Done
}

/// What stays as it was.
fn left_as_it_was(planter: Option<&str>, style: Style) -> String {
    let of_planter = planter.map(|name| {
        format!("; {name} stays as it is: turn it by itself, and name the new file in the sheet")
    });
    let words = format!(
        "the machine stays as it is: what the controller shows in its own unit goes on in that, and \
         the trip scale is a number without one; notes behind a # are not turned{}",
        of_planter.unwrap_or_default()
    );
    text::hanging("", &words, style) + "\n"
}

/// A line for every value.
fn notes(turned: &[Turned], style: Style) -> String {
    let line = |one: &Turned| {
        let error = match one.error {
            0.0 => "exact".to_owned(),
            error => format!("rounding {} {}", brief(error), one.unit),
        };
        let first = format!("line {:>4}  ", one.line);
        let words = format!("{}: {} -> {} ({error})", one.key, one.old, one.new);
        text::hanging(&first, &harmless(&words), style) + "\n"
    };
    turned.iter().map(line).collect()
}

fn note(one: &Turned) -> Note<'_> {
    Note {
        line: one.line,
        key: &one.key,
        old: &one.old,
        new: &one.new,
        rounding_error: shown(one.error).parse().unwrap_or(one.error),
        unit: one.unit,
    }
}

/// The notes as a table for spreadsheets.
fn table(turned: &[Turned]) -> Table {
    let heads = ["line", "key", "old", "new", "rounding_error", "unit"];
    let text = |text: &str| Cell::Text(text.into());
    let row = |one: &Turned| {
        let line = Cell::Count(u32::try_from(one.line).unwrap_or(u32::MAX));
        let error = Cell::Number(one.error, 6);
        vec![line, text(&one.key), text(&one.old), text(&one.new), error, text(one.unit)]
    };
    Table {
        key: "turned",
        title: "Values turned".into(),
        columns: heads.map(|head| Column::new(head, head, "")).into(),
        rows: turned.iter().map(row).collect(),
    }
}
