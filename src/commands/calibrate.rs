//! `calibrate`: everything the sheets have data for, in working order.

use std::cell::Cell;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use clap::Args;
use serde::{Serialize, Serializer};

use crate::outcome::{Report, Table};
use crate::render::{Style, csv, harmless, json};
use crate::sheet::{Diagnostic, FieldSheet};

use super::exit::Exit;
use super::given::Overrides;
use super::mistakes::{no_data, refuse};
use super::opened::{Opened, print, print_json};
use super::options::{Format, On, Output, Readings};
use super::output::complain;
use super::what_if;

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
    on: On,
    #[command(flatten)]
    output: Output,
}

/// One entry of a JSON list.
#[derive(Serialize)]
#[serde(untagged)]
enum Entry {
    Done(Box<json::Document>),
    Failed(json::Failure),
}

/// Objects that are worked out while they are written, so that none waits for the last.
struct OneByOne<I>(Cell<Option<I>>);

impl<I: Iterator<Item = Entry>> Serialize for OneByOne<I> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.0.take().into_iter().flatten())
    }
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    match (arguments.output.format, arguments.sheets.as_slice()) {
        (_, [sheet]) if arguments.overrides.are_several() => {
            side_by_side(sheet, arguments, style, out)
        }
        (Format::Csv, [_, _, ..]) => settings_of_all(arguments, style, out),
        (Format::Json, sheets) => objects(sheets, arguments, style, out),
        (_, sheets) => pages(sheets, arguments, style, out),
    }
}

/// The object of one sheet, or the list of those of several.
fn objects(
    sheets: &[PathBuf],
    arguments: &Arguments,
    style: Style,
    out: &mut dyn Write,
) -> io::Result<Exit> {
    let exit = Cell::new(Exit::Done);
    let mut entries = sheets.iter().map(|path| match worked(path, arguments, style) {
        Ok((opened, report)) => {
            Entry::Done(Box::new(json::document(&opened.source, &opened.sheet, &report)))
        }
        Err(failed) => {
            exit.set(Exit::CouldNot);
            Entry::Failed(failed)
        }
    });
    match (sheets, entries.next()) {
        ([_], Some(one)) => print_json(&one, out)?,
        (_, first) => {
            print_json(&OneByOne(Cell::new(Some(first.into_iter().chain(entries)))), out)?;
        }
    }
    Ok(exit.get())
}

fn pages(
    sheets: &[PathBuf],
    arguments: &Arguments,
    style: Style,
    out: &mut dyn Write,
) -> io::Result<Exit> {
    let mut exit = Exit::Done;
    for (index, path) in sheets.iter().enumerate() {
        let Ok((opened, report)) = worked(path, arguments, style) else {
            exit = Exit::CouldNot;
            continue;
        };
        if index > 0 {
            writeln!(out, "\n{}\n", "=".repeat(crate::render::WIDTH))?;
        }
        exit = exit.max(print(&opened, &report, &arguments.output, style, out)?);
        if index + 1 == sheets.len() {
            // The program ends here, and its memory goes back in one piece: 3 % fewer instructions
            // of a page, 7 % of `--brief`.
            std::mem::forget((opened, report));
        }
    }
    Ok(exit)
}

/// A sheet with its report; what is wrong with it is printed on standard error.
fn worked(
    path: &Path,
    arguments: &Arguments,
    style: Style,
) -> Result<(Opened, Report), json::Failure> {
    worked_out(arguments.overrides.open(path, style)?, arguments, style)
}

/// The results of several values, side by side.
fn side_by_side(
    path: &Path,
    arguments: &Arguments,
    style: Style,
    out: &mut dyn Write,
) -> io::Result<Exit> {
    let all = arguments.overrides.open_each(path, style);
    let work = |opened| worked_out(opened, arguments, style);
    let all: Result<Vec<_>, _> = all.and_then(|all| all.into_iter().map(work).collect());
    match all {
        Ok(all) => {
            what_if::print(&all, &arguments.overrides.open_keys(), &arguments.output, style, out)
        }
        Err(failed) => {
            if arguments.output.format == Format::Json {
                print_json(&failed, out)?;
            }
            Ok(Exit::CouldNot)
        }
    }
}

fn worked_out(
    mut opened: Opened,
    arguments: &Arguments,
    style: Style,
) -> Result<(Opened, Report), json::Failure> {
    match report(arguments, &mut opened.sheet) {
        Ok(report) => Ok((opened, report)),
        Err(mistake) => Err(refuse(&opened.source, &[mistake], style)),
    }
}

/// The settings of several sheets as one table; none where a sheet failed, since a row that is
/// not there can't be seen.
fn settings_of_all(arguments: &Arguments, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    if let Some(other) = arguments.output.table.as_deref().filter(|key| *key != csv::SETTINGS) {
        complain(&format!(
            "error: `--table {}` is of one sheet; several share the table `settings` only\n\
             help: give one sheet at a time, or take `--table settings`\n",
            harmless(other)
        ));
        return Ok(Exit::CouldNot);
    }
    let mut all: Option<Table> = None;
    let mut exit = Exit::Done;
    for path in &arguments.sheets {
        let Ok((opened, report)) = worked(path, arguments, style) else {
            exit = Exit::CouldNot;
            continue;
        };
        let own = csv::settings([(Some(opened.source.name()), &report)]);
        match &mut all {
            Some(all) => all.rows.extend(own.rows),
            None => all = Some(own),
        }
    }
    if let Some(all) = all.filter(|_| exit == Exit::Done) {
        csv::table(&all, out)?;
    }
    Ok(exit)
}

fn report(arguments: &Arguments, sheet: &mut FieldSheet) -> Result<Report, Diagnostic> {
    arguments.output.check()?;
    everything(&arguments.readings, &arguments.on.day(), sheet)
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
    on: &str,
    sheet: &mut FieldSheet,
) -> Result<Report, Diagnostic> {
    readings.apply(&mut sheet.job, None)?;
    let standing = sheet.calibrate(Some(on)).map_err(|error| {
        let advice = "list fewer `choices`: only the sprockets at hand";
        no_data(&format!("drive that can be searched: {error}"), advice)
    })?;
    let report = standing.report.one_at_a_time();
    if report.outcomes.is_empty() && report.next.is_none() {
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
