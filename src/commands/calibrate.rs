//! `calibrate`: everything the sheets have data for, in working order.

use std::io::{self, Write};
use std::path::PathBuf;

use clap::Args;
use serde::Serialize;

use crate::calibration::sequence;
use crate::render::{Style, json};

use super::{Exit, Format, Output, no_data, open, print, print_json, refuse};

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Field sheets.
    #[arg(required = true, value_name = "SHEET")]
    sheets: Vec<PathBuf>,
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
    let mut exit = Exit::Done;
    let mut entries = Vec::new();
    for (index, path) in arguments.sheets.iter().enumerate() {
        let failed = match open(path, style)? {
            Err(failed) => failed,
            Ok(opened) => match sequence::calibrate(&opened.sheet.job) {
                Ok(report) if !report.outcomes.is_empty() => {
                    match arguments.output.format {
                        Format::Json => entries.push(Entry::Done(json::document(
                            &opened.source,
                            &opened.sheet,
                            &report,
                        ))),
                        Format::Text => {
                            if index > 0 {
                                writeln!(out, "\n{}\n", "=".repeat(crate::render::WIDTH))?;
                            }
                            print(&opened, &report, arguments.output, style, out)?;
                        }
                    }
                    continue;
                }
                Ok(_) => {
                    let advice = "add runs of measurements; `alleytrue new` writes a sheet that \
                                  has them all";
                    refuse(&opened.source, &[no_data("measurements to work with", advice)], style)?
                }
                Err(error) => {
                    let advice = "list fewer `choices`: only the sprockets at hand";
                    let mistake = no_data(&format!("drive that can be searched: {error}"), advice);
                    refuse(&opened.source, &[mistake], style)?
                }
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
