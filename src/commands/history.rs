//! `history`: the course of each setting and of its error.

use std::io::{self, Write};

use clap::Args;

use crate::record::courses;
use crate::render::text::Heading;
use crate::render::{Style, csv, record};

use super::check::Form;
use super::exit::Exit;
use super::given::GivenSheet;
use super::opened::print_json;

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    sheet: GivenSheet,
    /// Form of the results.
    #[arg(long, value_enum, default_value_t)]
    format: Form,
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    let opened = match arguments.sheet.open(style) {
        Ok(opened) => opened,
        Err(failed) => {
            if arguments.format == Form::Json {
                print_json(&failed, out)?;
            }
            return Ok(Exit::CouldNot);
        }
    };
    let sheet = &opened.sheet;
    // A history can be told without the error as it is now.
    let report = sheet.calibrate(None).ok().map(|standing| standing.report);
    let courses = courses(&sheet.record, report.as_ref());
    let heading =
        Heading { title: sheet.title.as_deref(), file: &opened.source.name_with_overrides() };
    match arguments.format {
        Form::Text => {
            let page =
                record::history_page(heading, &sheet.record, &courses, &sheet.facts.called, style);
            out.write_all(page.as_bytes())?;
        }
        Form::Json => {
            print_json(&record::history_document(heading, &sheet.record, &courses), out)?;
        }
        Form::Csv => csv::table(&record::history_table(&sheet.record), out)?,
    }
    Ok(Exit::Done)
}
