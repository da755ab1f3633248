//! The calculations by themselves: one subcommand each, out of the registry.

use std::io::{self, Write};

use clap::{ArgMatches, Args, FromArgMatches, Subcommand};

use crate::calculations::registry::ALL;
use crate::calculations::sprockets::SearchError;
use crate::calculations::{Calculate, Entry};
use crate::outcome::Report;
use crate::quantity::metric_examples;
use crate::render::Style;
use crate::sheet::{Diagnostic, FieldSheet};

use super::deferred::Deferred;
use super::exit::Exit;
use super::given::GivenSheet;
use super::mistakes::{Failed, no_data, refuse};
use super::opened::{Opened, print, print_json};
use super::options::{Format, Output, Readings};
use super::what_if;

/// Subcommands that take options of their own, in files of theirs.
const WITH_OPTIONS: [&str; 3] = ["spacing", "stand", "setback-at"];

/// A sheet and the form of its results.
#[derive(Debug, Args)]
pub struct OneCalculation {
    #[command(flatten)]
    sheet: GivenSheet,
    #[command(flatten)]
    pub(super) readings: Readings,
    #[command(flatten)]
    output: Output,
}

/// A calculation asked for by the name of its subcommand.
#[derive(Debug)]
pub struct ByName {
    entry: &'static Entry,
    arguments: Deferred<OneCalculation>,
}

/// The calculations whose subcommand takes a sheet and no more.
fn plain() -> impl Iterator<Item = &'static Entry> {
    let has_one = |entry: &&Entry| !entry.about.is_empty();
    ALL.into_iter().filter(has_one).filter(|entry| !WITH_OPTIONS.contains(&entry.command))
}

impl Subcommand for ByName {
    fn augment_subcommands(command: clap::Command) -> clap::Command {
        command.subcommands(plain().map(|entry| {
            let own = clap::Command::new(entry.command);
            <Deferred<OneCalculation> as Args>::augment_args(own).about(entry.about)
        }))
    }

    fn augment_subcommands_for_update(command: clap::Command) -> clap::Command {
        ByName::augment_subcommands(command)
    }

    fn has_subcommand(name: &str) -> bool {
        plain().any(|entry| entry.command == name)
    }
}

impl FromArgMatches for ByName {
    fn from_arg_matches(matches: &ArgMatches) -> Result<ByName, clap::Error> {
        let missing = || clap::Error::new(clap::error::ErrorKind::MissingSubcommand);
        let (name, given) = matches.subcommand().ok_or_else(missing)?;
        let entry = plain().find(|entry| entry.command == name).ok_or_else(missing)?;
        Ok(ByName { entry, arguments: Deferred::from_arg_matches(given)? })
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        *self = ByName::from_arg_matches(matches)?;
        Ok(())
    }
}

/// Runs one that takes a sheet and no more.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(by_name: &ByName, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    let entry = by_name.entry;
    of_sheet(
        &by_name.arguments,
        entry.command,
        style,
        out,
        |sheet| {
            has_data(sheet, entry)?;
            Ok(())
        },
        |sheet| sheet.job.alone(entry.command).map_err(|error| too_many(&error)),
    )
}

/// Whether the sheet has data for a calculation; else what it lacks.
pub(super) fn has_data(sheet: &FieldSheet, entry: &Entry) -> Result<(), Diagnostic> {
    let is_it = |inputs: &dyn Calculate| inputs.entry().command == entry.command;
    let lacks = || {
        let own = entry.advice;
        let metric = sheet.units.is_metric();
        no_data(entry.lacks, if metric { metric_examples(own) } else { own.to_owned() })
    };
    sheet.job.inputs().any(is_it).then_some(()).ok_or_else(lacks)
}

/// A drive with more sprockets than can be gone through.
pub(super) fn too_many(error: &SearchError) -> Diagnostic {
    Diagnostic {
        code: &crate::sheet::TOO_MANY_SPROCKETS,
        message: error.to_string(),
        ..no_data("", "list fewer `choices`: only the sprockets at hand")
    }
}

/// One calculation on one sheet: whether it has the data, then the readings that count, then the
/// calculation, then its page.
pub(super) fn of_sheet(
    arguments: &OneCalculation,
    key: &str,
    style: Style,
    out: &mut dyn Write,
    has_data: impl Fn(&FieldSheet) -> Result<(), Diagnostic>,
    calculate: impl Fn(&mut FieldSheet) -> Result<Report, Diagnostic>,
) -> io::Result<Exit> {
    let output = &arguments.output;
    let report = |sheet: &mut FieldSheet| {
        output.check()?;
        // A sheet without the data gets that said first, whatever was to be left out.
        has_data(sheet)?;
        arguments.readings.apply(&mut sheet.job, Some(key))?;
        calculate(sheet)
    };
    let worked = |mut opened: Opened| -> Result<(Opened, Report), Failed> {
        match report(&mut opened.sheet) {
            Ok(report) => Ok((opened, report)),
            Err(mistake) => Err(refuse(&opened.source, &[mistake], style)),
        }
    };
    let all = arguments.sheet.open_each(style);
    let all: Result<Vec<_>, Failed> = all.and_then(|all| all.into_iter().map(worked).collect());
    match all.as_deref() {
        Ok([(opened, report)]) => print(opened, report, output, style, out),
        Ok(several) => what_if::print(several, &arguments.sheet.open_keys(), output, style, out),
        Err(failed) => {
            if output.format == Format::Json {
                print_json(failed, out)?;
            }
            Ok(Exit::CouldNot)
        }
    }
}
