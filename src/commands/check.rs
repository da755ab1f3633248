//! `check`: whether every setting is calibrated for what the sheet is for now.

use std::io::{self, Write};
use std::path::PathBuf;

use clap::{Args, ValueEnum};
use serde::Serialize;

use crate::record::Checked;
use crate::render::text::Heading;
use crate::render::{Style, WIDTH, csv, json, record};
use crate::sheet::{FieldSheet, Source, disagreements};

use super::exit::Exit;
use super::given::Overrides;
use super::mistakes::Failed;
use super::opened::print_json;
use super::options::On;
use super::output::complain;

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Field sheets.
    #[arg(required = true, value_name = "SHEET")]
    sheets: Vec<PathBuf>,
    #[command(flatten)]
    overrides: Overrides,
    #[command(flatten)]
    on: On,
    /// Form of the results.
    #[arg(long, value_enum, default_value_t)]
    format: Form,
}

/// Form of a table.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Form {
    /// Text of at most 80 columns.
    #[default]
    Text,
    /// JSON for programs.
    Json,
    /// CSV for spreadsheets.
    Csv,
}

/// One entry of a JSON list.
#[derive(Serialize)]
#[serde(untagged)]
enum Entry {
    Done(record::CheckDocument),
    Failed(json::Failure),
    Disagree(record::DisagreeDocument),
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    let day = arguments.on.day();
    let mut exit = Exit::Done;
    let mut entries = Vec::new();
    let mut rows = Vec::new();
    let mut sources = Vec::new();
    let mut first = true;
    for path in &arguments.sheets {
        match checked(path, arguments, &day, style) {
            Err(failed) => {
                exit = Exit::CouldNot;
                entries.push(Entry::Failed(failed));
            }
            Ok(Sheet { source, title, checked, called }) => {
                let name = source.name_with_overrides();
                if checked.iter().any(|one| !one.stale.is_empty()) {
                    exit = exit.max(Exit::CheckFailed);
                }
                let heading = Heading { title: title.as_deref(), file: &name };
                if arguments.format == Form::Text {
                    if !first {
                        writeln!(out, "\n{}\n", "=".repeat(WIDTH))?;
                    }
                    out.write_all(
                        record::check_page(heading, &checked, &called, style).as_bytes(),
                    )?;
                    // Now, so that it keeps its place among the mistakes of other sheets.
                    out.flush()?;
                    first = false;
                }
                entries.push(Entry::Done(record::check_document(heading, &checked)));
                rows.push((name, checked));
                sources.push(source);
            }
        }
    }
    let disagree = disagreements(&sources.iter().collect::<Vec<_>>());
    if !disagree.is_empty() {
        exit = exit.max(Exit::CheckFailed);
        if arguments.format == Form::Text {
            writeln!(out, "\n{}\n", "=".repeat(WIDTH))?;
            out.write_all(record::disagree_page(&disagree, style).as_bytes())?;
        }
        entries.push(Entry::Disagree(record::disagree_document(&disagree)));
    }
    match (arguments.format, entries.as_slice()) {
        (Form::Text, _) => {}
        (Form::Json, [one]) => print_json(one, out)?,
        (Form::Json, all) => print_json(&all, out)?,
        (Form::Csv, _) => csv::table(&record::check_table(&rows, &disagree), out)?,
    }
    Ok(exit)
}

/// A checked sheet.
struct Sheet {
    source: Source,
    title: Option<String>,
    checked: Vec<Checked>,
    called: Vec<(&'static str, String)>,
}

fn checked(
    path: &std::path::Path,
    arguments: &Arguments,
    day: &str,
    style: Style,
) -> Result<Sheet, Failed> {
    let opened = arguments.overrides.open(path, style)?;
    match opened.sheet.calibrate(Some(day)) {
        Ok(standing) => {
            let FieldSheet { title, facts, .. } = opened.sheet;
            let source = opened.source;
            Ok(Sheet { source, title, checked: standing.checked, called: facts.called })
        }
        Err(error) => {
            complain(&format!("error: {error}\nhelp: list only the sprockets at hand\n"));
            Err(json::failure(&opened.source, &[]))
        }
    }
}
