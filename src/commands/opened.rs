//! A sheet opened, and its results printed.

use std::io::{self, Write};
use std::path::Path;

use crate::outcome::Report;
use crate::quantity::System;
use crate::render::{Style, csv, diagnostics, geojson, json, text};
use crate::sheet::writing::{WriteError, with_planter_inside};
use crate::sheet::{FieldSheet, Override, Source};

use super::exit::Exit;
use super::mistakes::{Failed, refuse, usage};
use super::options::{Format, Output};
use super::output::complain;

/// A sheet that was read, with its text.
pub(crate) struct Opened {
    pub(crate) source: Source,
    pub(crate) sheet: FieldSheet,
}

/// Reads a sheet, with values set over its own and its results in the units asked for; prints its mistakes on standard error where it can't
/// be used.
pub(crate) fn open_with(
    path: &Path,
    overrides: &[Override],
    units: Option<System>,
    style: Style,
) -> Result<Opened, Failed> {
    let name = path.display().to_string();
    let source = match Source::open(path) {
        Ok(source) => source.with(overrides).in_units(units),
        Err(error) => {
            complain(&diagnostics::unreadable(&name, &error, style));
            return Err(json::unreadable(&name, &error));
        }
    };
    match FieldSheet::read(&source) {
        Ok(sheet) => Ok(Opened { source, sheet }),
        Err(mistakes) => Err(refuse(&source, &mistakes, style)),
    }
}

/// Prints one sheet's report.
pub(crate) fn print(
    opened: &Opened,
    report: &Report,
    output: &Output,
    style: Style,
    out: &mut dyn Write,
) -> io::Result<Exit> {
    let Opened { source, sheet } = opened;
    match output.format {
        Format::Text => {
            let file = source.name_with_overrides();
            let heading = text::Heading { title: sheet.title.as_deref(), file: &file };
            let page = text::Page { heading, report, remarks: &sheet.remarks, source };
            let page = page.render(output.brief, style);
            // Now, so that it keeps its place among the mistakes of other sheets.
            out.write_all(page.as_bytes())?;
            out.flush()?;
        }
        Format::Json => print_json(&json::document(source, sheet, report), out)?,
        Format::Csv => match csv::pick(report, output.table.as_deref()) {
            Ok(table) => csv::table(&table, out)?,
            Err(error) => {
                refuse(source, &[usage(error.to_string(), error.advice())], style);
                return Ok(Exit::CouldNot);
            }
        },
        Format::Geojson => match geojson::layout(report) {
            Ok(layout) => geojson::write(layout, sheet.title.as_deref(), out)?,
            Err(error) => {
                refuse(source, &[usage(error.to_string(), error.advice())], style);
                return Ok(Exit::CouldNot);
            }
        },
    }
    Ok(Exit::Done)
}

/// Prints a JSON document.
pub(crate) fn print_json(document: &impl serde::Serialize, out: &mut dyn Write) -> io::Result<()> {
    json::pretty(document, out)
}

/// The text of a new sheet with the planter in it, where the planter's file of the old one does not
/// lie beside it.
pub(super) fn with_its_planter(
    source: &Source,
    text: String,
    file: &Path,
) -> Result<String, WriteError> {
    let there = Source::new(file.display().to_string(), &text).with_files_beside(file);
    if source.shared_planter().is_none() || there.has_planter_of(source) {
        return Ok(text);
    }
    with_planter_inside(&source.with_text(&text.into()))
}
