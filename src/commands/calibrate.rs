//! `calibrate`: everything the sheets have data for, in working order.

use std::io::{self, Write};
use std::path::PathBuf;

use clap::Args;
use serde::Serialize;

use crate::outcome::Report;
use crate::render::{Style, csv, harmless, json};
use crate::sheet::{Diagnostic, FieldSheet};

use super::exit::Exit;
use super::mistakes::{complain, no_data, refuse};
use super::opened::{open_with, print, print_json};
use super::options::{Format, Output, Overrides, Readings};

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Field sheets.
    #[arg(required = true, value_name = "SHEET")]
    sheets: Vec<PathBuf>,
    #[command(flatten)]
    readings: Readings,
    #[command(flatten)]
    overrides: Overrides,
    #[command(flatten)]
    output: Output,
}

/// One entry of a JSON list.
#[derive(Serialize)]
#[serde(untagged)]
enum Entry {
    Done(json::Document),
    Failed(json::Failure),
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    if arguments.output.format == Format::Csv && arguments.sheets.len() > 1 {
        return settings_of_all(arguments, style, out);
    }
    let mut exit = Exit::Done;
    let mut entries = Vec::new();
    for (index, path) in arguments.sheets.iter().enumerate() {
        let failed = match open_with(path, &arguments.overrides, style)? {
            Err(failed) => failed,
            Ok(mut opened) => match report(arguments, &mut opened.sheet) {
                Ok(report) if arguments.output.format == Format::Json => {
                    let document = json::document(&opened.source, &opened.sheet, &report);
                    entries.push(Entry::Done(document));
                    continue;
                }
                Ok(report) => {
                    if index > 0 {
                        writeln!(out, "\n{}\n", "=".repeat(crate::render::WIDTH))?;
                    }
                    exit = exit.max(print(&opened, &report, &arguments.output, style, out)?);
                    if index + 1 == arguments.sheets.len() {
                        // The program ends here, and its memory goes back in one piece.
                        std::mem::forget((opened, report));
                    }
                    continue;
                }
                Err(mistake) => refuse(&opened.source, &[mistake], style)?,
            },
        };
        exit = Exit::CouldNot;
        entries.push(Entry::Failed(failed));
    }
    if arguments.output.format == Format::Json {
        match entries.as_slice() {
            [one] => print_json(one, out)?,
            all => print_json(&all, out)?,
        }
    }
    Ok(exit)
}

/// The settings of several sheets as one table; none where a sheet failed, since a row that is
/// not there can't be seen.
fn settings_of_all(arguments: &Arguments, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    if let Some(other) = arguments.output.table.as_deref().filter(|key| *key != csv::SETTINGS) {
        complain(&format!(
            "error: `--table {}` is of one sheet; several share the table `settings` only\n\
             help: give one sheet at a time, or take `--table settings`\n",
            harmless(other)
        ))?;
        return Ok(Exit::CouldNot);
    }
    let mut reports = Vec::new();
    let mut exit = Exit::Done;
    for path in &arguments.sheets {
        let Ok(mut opened) = open_with(path, &arguments.overrides, style)? else {
            exit = Exit::CouldNot;
            continue;
        };
        match report(arguments, &mut opened.sheet) {
            Ok(report) => reports.push((opened.source.name().to_owned(), report)),
            Err(mistake) => {
                refuse(&opened.source, &[mistake], style)?;
                exit = Exit::CouldNot;
            }
        }
    }
    if exit == Exit::Done {
        let reports = reports.iter().map(|(sheet, report)| (Some(sheet.as_str()), report));
        csv::table(&csv::settings(reports), out)?;
    }
    Ok(exit)
}

fn report(arguments: &Arguments, sheet: &mut FieldSheet) -> Result<Report, Diagnostic> {
    arguments.output.check()?;
    everything(&arguments.readings, sheet)
}

/// The commands for what the sheet has besides measurements.
fn elsewhere(sheet: &FieldSheet) -> &'static str {
    match (sheet.job.stakes.is_some(), sheet.job.packets.is_some()) {
        (true, true) => "; for [layout] run `alleytrue stakes`, for [packets] `alleytrue packets`",
        (true, false) => "; for [layout] run `alleytrue stakes`",
        (false, true) => "; for [packets] run `alleytrue packets`",
        (false, false) => "",
    }
}

/// Everything the sheet has data for.
pub(super) fn everything(
    readings: &Readings,
    sheet: &mut FieldSheet,
) -> Result<Report, Diagnostic> {
    readings.apply(&mut sheet.job, None)?;
    let report = sheet.job.calibrate().map_err(|error| {
        let advice = "list fewer `choices`: only the sprockets at hand";
        no_data(&format!("drive that can be searched: {error}"), advice)
    })?;
    if report.outcomes.is_empty() {
        let advice =
            "add runs of measurements; `alleytrue new` writes a sheet that has most of them";
        let advice = format!("{advice}{}", elsewhere(sheet));
        // Why the runs that are there were not used.
        let unused: Vec<&str> = sheet.remarks.iter().map(|one| one.message.as_str()).collect();
        let advice = [vec![advice.as_str()], unused].concat().join("; ");
        return Err(no_data("measurements to work with", advice));
    }
    Ok(report)
}
