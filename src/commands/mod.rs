//! The subcommands: read, calculate, render. Thin on purpose; one file each.

pub mod alley;
pub mod calibrate;
pub mod explain;
pub mod new;
pub mod passes;
pub mod spacing;
pub mod speed;
pub mod trip;

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use clap::{Args, Parser, Subcommand, ValueEnum};

use crate::calibration::sequence::Report;
use crate::render::{Style, diagnostics, json, text};
use crate::sheet::{Diagnostic, FieldSheet, Source};

/// Gets a research plot planter ready to plant: from tape measurements in a field sheet to
/// corrected settings, with the arithmetic shown.
#[derive(Debug, Parser)]
#[command(name = "alleytrue", version, about, long_about = None, max_term_width = 80,
    after_help = "Exit status: 0 done; 1 done, and a check asked for did not hold; 2 could not \
                  (bad sheet, bad usage).")]
pub struct Cli {
    #[command(subcommand)]
    command: Command,
    /// Plain ASCII: no line drawing, no special characters.
    #[arg(long, global = true)]
    ascii: bool,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Work out everything the sheet has data for, in working order.
    Calibrate(calibrate::Arguments),
    /// Ground speed, and turns and skid of the ground wheel.
    Speed(OneCalculation),
    /// Seed spacing, population and the best sprockets.
    Spacing(spacing::Arguments),
    /// Trip scale: what the controller believes against what the tape says.
    Trip(OneCalculation),
    /// Setback: the middle of the alley against its mark.
    Alley(OneCalculation),
    /// Pass offset: alleys planted in opposite directions.
    Passes(OneCalculation),
    /// Write a commented starter sheet.
    New(new::Arguments),
    /// Say what an error or warning code means.
    Explain(explain::Arguments),
}

/// How a command ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Exit {
    /// Done.
    Done,
    /// Done, and a check that was asked for did not hold.
    CheckFailed,
    /// Could not.
    CouldNot,
}

impl From<Exit> for std::process::ExitCode {
    fn from(exit: Exit) -> Self {
        match exit {
            Exit::Done => 0.into(),
            Exit::CheckFailed => 1.into(),
            Exit::CouldNot => 2.into(),
        }
    }
}

/// Form of the results.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// Text of at most 80 columns.
    #[default]
    Text,
    /// JSON for programs.
    Json,
}

/// The form of the results.
#[derive(Clone, Copy, Debug, Args)]
pub struct Output {
    /// Form of the results.
    #[arg(long, value_enum, default_value_t)]
    format: Format,
}

/// A sheet and the form of its results.
#[derive(Debug, Args)]
pub struct OneCalculation {
    /// Field sheet.
    sheet: PathBuf,
    #[command(flatten)]
    output: Output,
}

/// Runs the command line.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(cli: &Cli) -> io::Result<Exit> {
    let style = Style { ascii: cli.ascii || !terminal_takes_unicode() };
    let mut out = anstream::AutoStream::auto(io::stdout()).lock();
    let exit = match &cli.command {
        Command::Calibrate(arguments) => calibrate::run(arguments, style, &mut out),
        Command::Speed(arguments) => speed::run(arguments, style, &mut out),
        Command::Spacing(arguments) => spacing::run(arguments, style, &mut out),
        Command::Trip(arguments) => trip::run(arguments, style, &mut out),
        Command::Alley(arguments) => alley::run(arguments, style, &mut out),
        Command::Passes(arguments) => passes::run(arguments, style, &mut out),
        Command::New(arguments) => new::run(arguments, style, &mut out),
        Command::Explain(arguments) => explain::run(arguments, &mut out),
    }?;
    out.flush()?;
    Ok(exit)
}

/// Whether the locale says UTF-8, or says nothing. Windows consoles take Unicode.
fn terminal_takes_unicode() -> bool {
    if cfg!(windows) {
        return true;
    }
    let set = ["LC_ALL", "LC_CTYPE", "LANG"]
        .iter()
        .find_map(|name| std::env::var(name).ok().filter(|value| !value.is_empty()));
    set.is_none_or(|locale| locale.to_uppercase().replace('-', "").contains("UTF8"))
}

/// A sheet that was read, with its text.
pub(crate) struct Opened {
    pub(crate) source: Source,
    pub(crate) sheet: FieldSheet,
}

/// What was printed instead of a sheet's results, for programs.
pub(crate) type Failed = json::Failure;

/// Reads a sheet; prints its mistakes on standard error where it can't be used.
pub(crate) fn open(path: &Path, style: Style) -> io::Result<Result<Opened, Failed>> {
    let name = path.display().to_string();
    let source = match Source::open(path) {
        Ok(source) => source,
        Err(error) => {
            complain(&diagnostics::unreadable(&name, &error, style))?;
            return Ok(Err(json::unreadable(&name, &error)));
        }
    };
    match FieldSheet::read(&source) {
        Ok(sheet) => Ok(Ok(Opened { source, sheet })),
        Err(mistakes) => refuse(&source, &mistakes, style).map(Err),
    }
}

/// Prints mistakes on standard error.
pub(crate) fn refuse(source: &Source, mistakes: &[Diagnostic], style: Style) -> io::Result<Failed> {
    complain(&diagnostics::mistakes(source, mistakes, style))?;
    Ok(json::failure(source, mistakes))
}

fn complain(text: &str) -> io::Result<()> {
    anstream::AutoStream::auto(io::stderr()).lock().write_all(text.as_bytes())
}

/// Prints one sheet's report.
pub(crate) fn print(
    opened: &Opened,
    report: &Report,
    output: Output,
    style: Style,
    out: &mut dyn Write,
) -> io::Result<()> {
    let Opened { source, sheet } = opened;
    match output.format {
        Format::Text => {
            let heading = text::Heading { title: sheet.title.as_deref(), file: source.name() };
            let page = text::report(heading, report, &sheet.remarks, source.text(), style);
            out.write_all(page.as_bytes())
        }
        Format::Json => print_json(&json::document(source, sheet, report), out),
    }
}

/// Prints a JSON document.
pub(crate) fn print_json(document: &impl serde::Serialize, out: &mut dyn Write) -> io::Result<()> {
    serde_json::to_writer_pretty(&mut *out, document)?;
    writeln!(out)
}

/// What a sheet lacks for a calculation that was asked for by name.
pub(crate) fn no_data(what: &str, advice: impl Into<String>) -> Diagnostic {
    Diagnostic {
        code: &crate::sheet::NO_DATA,
        span: 0..0,
        message: format!("the sheet has no {what}"),
        found: String::new(),
        allowed: None,
        advice: advice.into(),
    }
}

/// Runs one calculation on one sheet: the shape that the small subcommands share.
pub(crate) fn one_calculation(
    path: &Path,
    output: Output,
    style: Style,
    out: &mut dyn Write,
    calculate: impl Fn(&FieldSheet) -> Result<Report, Diagnostic>,
) -> io::Result<Exit> {
    let failed = match open(path, style)? {
        Ok(opened) => match calculate(&opened.sheet) {
            Ok(report) => {
                print(&opened, &report, output, style, out)?;
                return Ok(Exit::Done);
            }
            Err(mistake) => refuse(&opened.source, &[mistake], style)?,
        },
        Err(failed) => failed,
    };
    if output.format == Format::Json {
        print_json(&failed, out)?;
    }
    Ok(Exit::CouldNot)
}
