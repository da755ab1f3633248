//! The subcommands: read, calculate, render. Thin on purpose; one file each.

pub mod alley;
pub mod apply;
pub mod batch;
pub mod calibrate;
pub mod changeover;
pub mod check;
pub mod completions;
mod deferred;
pub mod depth;
pub mod evenness;
pub mod explain;
pub mod history;
pub mod man;
pub mod new;
pub mod packets;
pub mod passes;
pub mod plan;
pub mod print;
pub mod record;
pub mod rows;
pub mod schema;
pub mod setback_at;
pub mod spacing;
pub mod speed;
pub mod stakes;
pub mod stand;
pub mod trip;

use std::collections::BTreeMap;
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

use clap::{Args, Parser, Subcommand, ValueEnum};

use crate::calibration::sequence::{Job, Report};
use crate::quantity::bounds::Bounds;
use crate::quantity::{Measure, MeasureUnit};
use crate::render::{Style, csv, diagnostics, geojson, json, text};
use crate::sheet::{Diagnostic, FieldSheet, Override, Source};
use crate::statistics::Confidence;

use deferred::Deferred;

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

// Made once from the command line, so its size is of no account.
#[allow(clippy::large_enum_variant)]
#[derive(Debug, Subcommand)]
enum Command {
    /// Work out everything the sheet has data for, in working order.
    Calibrate(Deferred<calibrate::Arguments>),
    /// Work out many sheets: files, folders, lists; one row a setting, or one object a sheet.
    Batch(Deferred<batch::Arguments>),
    /// Ground speed, and turns and skid of the ground wheel.
    Speed(Deferred<OneCalculation>),
    /// Seed spacing, population and the best sprockets.
    Spacing(Deferred<spacing::Arguments>),
    /// Changeover: where the seeds fall for given timers, and timers to start with.
    Changeover(Deferred<OneCalculation>),
    /// Rows together: teeth to jump to bring every row's plate in phase.
    Rows(Deferred<OneCalculation>),
    /// Trip scale: what the controller believes against what the tape says.
    Trip(Deferred<OneCalculation>),
    /// Setback: the middle of the alley against its mark.
    Alley(Deferred<OneCalculation>),
    /// Pass offset: alleys planted in opposite directions.
    Passes(Deferred<OneCalculation>),
    /// Planting depth, row by row, and which way to turn.
    Depth(Deferred<OneCalculation>),
    /// Evenness of spacing: multiples, singles, misses, and what that says of the meter.
    Evenness(Deferred<OneCalculation>),
    /// Stand counts; lengths of row to count over.
    Stand(Deferred<stand::Arguments>),
    /// Setback for any speed, from alley runs at two or more speeds.
    SetbackAt(Deferred<setback_at::Arguments>),
    /// How many readings to take before anything is measured.
    Plan(Deferred<plan::Arguments>),
    /// Add a run of measurements to a sheet.
    Record(Deferred<record::Arguments>),
    /// Put the one next setting into a sheet, with a line of history.
    Apply(Deferred<apply::Arguments>),
    /// Whether every setting is calibrated for what the sheet is for now.
    Check(Deferred<check::Arguments>),
    /// The course of each setting and of its error.
    History(Deferred<history::Arguments>),
    /// Pages for the cab, the shop and the field: HTML to print, or text.
    Print(Deferred<print::Arguments>),
    /// Marks to stake, plots with their numbers and corners, areas of the field.
    Stakes(Deferred<OneCalculation>),
    /// Seed packets: how many seeds and grams, and which lots fall short.
    Packets(Deferred<OneCalculation>),
    /// Write a commented starter sheet.
    New(Deferred<new::Arguments>),
    /// Say what an error or warning code means.
    Explain(Deferred<explain::Arguments>),
    /// Write what a shell needs to finish commands and options at a press of Tab.
    Completions(Deferred<completions::Arguments>),
    /// Print the field sheet as a JSON Schema, for editors.
    Schema,
    /// Write the manual pages.
    Man(Deferred<man::Arguments>),
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
    /// A table as CSV.
    Csv,
    /// A field on the map as GeoJSON (`stakes` only).
    Geojson,
}

/// The form of the results.
#[derive(Clone, Debug, Args)]
pub struct Output {
    /// Form of the results.
    #[arg(long, value_enum, default_value_t)]
    format: Format,
    /// Settings, warnings and the next step only, without the arithmetic.
    #[arg(long)]
    brief: bool,
    /// Which table to write as CSV, where there are several; `settings` is one.
    #[arg(long, value_name = "KEY")]
    table: Option<String>,
}

impl Output {
    /// Whether the options go together.
    pub(crate) fn check(&self) -> Result<(), Diagnostic> {
        if self.table.is_some() && self.format != Format::Csv {
            let advice = "add `--format csv`, or leave `--table` out";
            return Err(usage("--table picks a table for CSV only".into(), advice));
        }
        Ok(())
    }
}

/// A sheet and the form of its results.
#[derive(Debug, Args)]
pub struct OneCalculation {
    /// Field sheet.
    sheet: PathBuf,
    #[command(flatten)]
    readings: Readings,
    #[command(flatten)]
    output: Output,
}

/// Which readings count, and how sure to be.
#[derive(Clone, Debug, Args)]
pub struct Readings {
    /// Confidence of the intervals, such as 90% or 99%.
    #[arg(long, value_name = "PERCENT", default_value = "95%", value_parser = confidence)]
    confidence: Confidence,
    /// Readings to leave out by their number: `7,9`; in `calibrate`, `trip:7,alley:3`.
    #[arg(long, value_name = "N,...", value_delimiter = ',', value_parser = left_out)]
    without: Vec<LeftOut>,
}

/// Values set over those of the sheet.
#[derive(Clone, Debug, Args)]
pub struct Overrides {
    /// Value to set over that of the sheet, as in `trial.speed="3 mph"`; without a value the
    /// key is taken out. May be given several times.
    #[arg(long = "set", value_name = "TABLE.KEY=VALUE")]
    set: Vec<Override>,
}

/// One reading to leave out.
#[derive(Clone, Debug)]
pub struct LeftOut {
    calculation: Option<String>,
    place: usize,
}

fn left_out(text: &str) -> Result<LeftOut, String> {
    let (calculation, number) = match text.split_once(':') {
        Some((calculation, number)) => (Some(calculation.trim().to_owned()), number),
        None => (None, text),
    };
    let place = number.trim().parse().map_err(|_| {
        format!("`{text}` is no reading number; write `7`, or `trip:7` to say of which calculation")
    })?;
    Ok(LeftOut { calculation, place })
}

/// A measure on the command line, within its bounds.
fn measure_option<U: MeasureUnit>(text: &str, bounds: &Bounds) -> Result<Measure<U>, String> {
    let measure = Measure::<U>::parse(text, None)
        .map_err(|error| format!("{error}; {}", error.advice(U::EXAMPLES)))?;
    if bounds.hold_measure(&measure) {
        Ok(measure)
    } else {
        Err(format!("`{text}` is not believable; allowed: {}", bounds.text()))
    }
}

fn confidence(text: &str) -> Result<Confidence, String> {
    let number: f64 = text
        .trim()
        .trim_end_matches('%')
        .trim()
        .parse()
        .map_err(|_| format!("`{text}` is no percentage; write one such as 95%"))?;
    (50.0..=99.99)
        .contains(&number)
        .then(|| Confidence::new(number / 100.0))
        .flatten()
        .ok_or_else(|| format!("`{text}` is out of range; allowed: 50% to 99.99%"))
}

impl Readings {
    /// Applies the choices to the inputs of a sheet; `calculation` is the one meant where the
    /// command line does not say.
    fn apply(&self, job: &mut Job, calculation: Option<&str>) -> Result<(), Diagnostic> {
        job.set_confidence(self.confidence);
        let mut places: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
        for one in &self.without {
            let Some(of) = one.calculation.as_deref().or(calculation) else {
                let advice = "say of which calculation: trip:7, alley:3, passes:2 or speed:1";
                return Err(usage(format!("--without {} names no calculation", one.place), advice));
            };
            if calculation.is_some_and(|own| own != of) {
                let advice = "take it out, or use it with `calibrate`";
                return Err(usage(
                    format!("--without {of}:{} is of another calculation", one.place),
                    advice,
                ));
            }
            let places = places.entry(of).or_default();
            if !places.contains(&one.place) {
                places.push(one.place);
            }
        }
        for (of, places) in places {
            job.leave_out(of, &places).map_err(|error| {
                usage(format!("--without: {error}"), "look at the numbers in the result")
            })?;
        }
        Ok(())
    }
}

/// A mistake on the command line that only shows once the sheet is read.
fn usage(message: String, advice: &str) -> Diagnostic {
    Diagnostic { code: &crate::sheet::USAGE, message, ..no_data("", advice) }
}

/// Runs the command line.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(cli: &Cli) -> io::Result<Exit> {
    let ascii = cli.ascii || !terminal_takes_unicode();
    let style = Style { ascii, colour: stdout_takes_colours() };
    let mut out = standard_output(style);
    let exit = match &cli.command {
        Command::Calibrate(arguments) => calibrate::run(arguments, style, &mut *out),
        Command::Speed(arguments) => speed::run(arguments, style, &mut *out),
        Command::Spacing(arguments) => spacing::run(arguments, style, &mut *out),
        Command::Changeover(arguments) => changeover::run(arguments, style, &mut *out),
        Command::Rows(arguments) => rows::run(arguments, style, &mut *out),
        Command::Trip(arguments) => trip::run(arguments, style, &mut *out),
        Command::Alley(arguments) => alley::run(arguments, style, &mut *out),
        Command::Passes(arguments) => passes::run(arguments, style, &mut *out),
        Command::Depth(arguments) => depth::run(arguments, style, &mut *out),
        Command::Evenness(arguments) => evenness::run(arguments, style, &mut *out),
        Command::Stand(arguments) => stand::run(arguments, style, &mut *out),
        Command::SetbackAt(arguments) => setback_at::run(arguments, style, &mut *out),
        Command::Plan(arguments) => plan::run(arguments, style, &mut *out),
        Command::Record(arguments) => record::run(arguments, style, &mut *out),
        Command::Apply(arguments) => apply::run(arguments, style, &mut *out),
        Command::Check(arguments) => check::run(arguments, style, &mut *out),
        Command::History(arguments) => history::run(arguments, style, &mut *out),
        Command::Print(arguments) => print::run(arguments, style, &mut *out),
        Command::Stakes(arguments) => stakes::run(arguments, style, &mut *out),
        Command::Packets(arguments) => packets::run(arguments, style, &mut *out),
        Command::New(arguments) => new::run(arguments, style, &mut *out),
        Command::Explain(arguments) => explain::run(arguments, &mut *out),
        Command::Batch(arguments) => batch::run(arguments),
        Command::Completions(arguments) => completions::run(arguments, &mut *out),
        Command::Schema => schema::run(&mut *out),
        Command::Man(arguments) => man::run(arguments, &mut *out),
    }?;
    out.flush()?;
    Ok(exit)
}

/// Standard output. Where nobody watches, a page goes out in one piece; old Windows consoles are
/// told its colours in their own way.
fn standard_output(style: Style) -> Box<dyn Write> {
    if style.colour {
        Box::new(anstream::AutoStream::auto(io::stdout()).lock())
    } else {
        Box::new(BufWriter::new(io::stdout().lock()))
    }
}

/// Whether standard output is a terminal with colours, and nobody said that there be none.
fn stdout_takes_colours() -> bool {
    anstream::AutoStream::choice(&io::stdout()) != anstream::ColorChoice::Never
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
    open_with(path, &Overrides { set: vec![] }, style)
}

/// The same with values set over the sheet's.
pub(crate) fn open_with(
    path: &Path,
    overrides: &Overrides,
    style: Style,
) -> io::Result<Result<Opened, Failed>> {
    let name = path.display().to_string();
    let source = match Source::open(path) {
        Ok(source) => source.with(&overrides.set),
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
    output: &Output,
    style: Style,
    out: &mut dyn Write,
) -> io::Result<Exit> {
    let Opened { source, sheet } = opened;
    match output.format {
        Format::Text => {
            let heading = text::Heading { title: sheet.title.as_deref(), file: source.name() };
            let page =
                text::Page { heading, report, remarks: &sheet.remarks, source: source.text() };
            let page = page.render(output.brief, style);
            // Now, so that it keeps its place among the mistakes of other sheets.
            out.write_all(page.as_bytes())?;
            out.flush()?;
        }
        Format::Json => print_json(&json::document(source, sheet, report), out)?,
        Format::Csv => match csv::pick(report, output.table.as_deref()) {
            Ok(table) => csv::table(&table, out)?,
            Err(error) => {
                refuse(source, &[usage(error.to_string(), &error.advice())], style)?;
                return Ok(Exit::CouldNot);
            }
        },
        Format::Geojson => match geojson::layout(report) {
            Ok(layout) => geojson::write(layout, sheet.title.as_deref(), out)?,
            Err(error) => {
                refuse(source, &[usage(error.to_string(), error.advice())], style)?;
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
    arguments: &OneCalculation,
    key: &str,
    style: Style,
    out: &mut dyn Write,
    calculate: impl Fn(&FieldSheet) -> Result<Report, Diagnostic>,
) -> io::Result<Exit> {
    let output = &arguments.output;
    let failed = match open(&arguments.sheet, style)? {
        Ok(mut opened) => match calculate_with(arguments, key, &mut opened.sheet, calculate) {
            Ok(report) => return print(&opened, &report, output, style, out),
            Err(mistake) => refuse(&opened.source, &[mistake], style)?,
        },
        Err(failed) => failed,
    };
    if output.format == Format::Json {
        print_json(&failed, out)?;
    }
    Ok(Exit::CouldNot)
}

fn calculate_with(
    arguments: &OneCalculation,
    key: &str,
    sheet: &mut FieldSheet,
    calculate: impl Fn(&FieldSheet) -> Result<Report, Diagnostic>,
) -> Result<Report, Diagnostic> {
    arguments.output.check()?;
    // A sheet without the data gets that said first, whatever was to be left out.
    calculate(sheet)?;
    arguments.readings.apply(&mut sheet.job, Some(key))?;
    calculate(sheet)
}
