//! `batch`: many sheets through `calibrate`, on all cores, in path order.

mod pipeline;
mod walk;

use std::io::{self, BufWriter, IsTerminal, Write};
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use clap::{Args, ValueEnum};

use crate::render::{diagnostics, harmless, json, season};
use crate::sheet::{FieldSheet, Source, SourceError};
use crate::statistics::Confidence;

use super::calibrate;
use super::exit::Exit;
use super::options::{Overrides, Readings, confidence};
use walk::{Found, Sheets};

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Field sheets, folders of them (every `.toml`, folders in folders too), or `-` for a
    /// list of both on standard input, one a line.
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,
    /// The paths of the list end with a zero byte instead of a line end.
    #[arg(short = '0', long)]
    null: bool,
    /// Form of the results.
    #[arg(long, value_enum, default_value_t)]
    format: Form,
    #[command(flatten)]
    overrides: Overrides,
    /// Confidence of the intervals, such as 90% or 99%.
    #[arg(long, value_name = "PERCENT", default_value = "95%", value_parser = confidence)]
    confidence: Confidence,
    /// Sheets worked at once; every core without it.
    #[arg(long, value_name = "N")]
    jobs: Option<NonZeroUsize>,
}

/// Form of the results.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
enum Form {
    /// CSV with one row a setting.
    #[default]
    Csv,
    /// JSON Lines with one object a sheet.
    Jsonl,
}

/// What one sheet gave.
struct Done {
    /// Bytes for standard output.
    printed: Vec<u8>,
    /// Why it could not be used, in one line.
    wrong: Option<String>,
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments) -> io::Result<Exit> {
    // Data for programs, never coloured; and a line is not worth a call of the system.
    let mut out = BufWriter::with_capacity(1 << 16, io::stdout().lock());
    let mut input = io::BufReader::new(io::stdin());
    let end = if arguments.null { 0 } else { b'\n' };
    let sheets = Sheets::new(&arguments.paths, &mut input, end);
    let cores = || std::thread::available_parallelism().map_or(1, NonZeroUsize::get);
    let workers = arguments.jobs.map_or_else(cores, NonZeroUsize::get).min(1024);
    let readings = Readings { confidence: arguments.confidence, without: vec![] };
    let work = |found| one(found, arguments, &readings);
    let tally = std::cell::RefCell::new(Tally::new());
    let take = |done: Done| {
        let mut tally = tally.borrow_mut();
        if tally.all == 0 && arguments.format == Form::Csv {
            season::heads(&mut out)?;
        }
        out.write_all(&done.printed)?;
        tally.count(done.wrong.as_deref())
    };
    pipeline::in_order(sheets, workers, work, take, || tally.borrow_mut().show())?;
    out.flush()?;
    tally.into_inner().finish(&arguments.paths)
}

fn one(found: Found, arguments: &Arguments, readings: &Readings) -> Done {
    match found {
        Found::Sheet(path) => sheet(&path, arguments, readings),
        Found::Trouble(path, error) => unreadable(&path, &error.into(), arguments.format),
    }
}

fn sheet(path: &Path, arguments: &Arguments, readings: &Readings) -> Done {
    let source = match Source::open(path) {
        Ok(source) => source.with(&arguments.overrides.set),
        Err(error) => return unreadable(path, &error, arguments.format),
    };
    let mut printed = vec![];
    let results = FieldSheet::read(&source).and_then(|mut sheet| {
        let report = calibrate::everything(readings, &mut sheet).map_err(|wrong| vec![wrong])?;
        Ok((sheet, report))
    });
    let mistakes = match results {
        Err(mistakes) => mistakes,
        Ok((sheet, report)) => {
            let written = match arguments.format {
                Form::Csv => {
                    season::rows(source.name(), sheet.title.as_deref(), &report, &mut printed)
                }
                Form::Jsonl => json::line(&json::document(&source, &sheet, &report), &mut printed),
            };
            let wrong = written.err().map(|error| error.to_string());
            return Done { printed, wrong };
        }
    };
    let mut wrong = diagnostics::in_one_line(&source, &mistakes);
    if arguments.format == Form::Jsonl
        && let Err(error) = json::line(&json::failure(&source, &mistakes), &mut printed)
    {
        wrong = error.to_string();
    }
    Done { printed, wrong: Some(wrong) }
}

fn unreadable(path: &Path, error: &SourceError, format: Form) -> Done {
    let name = path.display().to_string();
    let mut wrong = diagnostics::unreadable_in_one_line(&name, error);
    let mut printed = vec![];
    if format == Form::Jsonl
        && let Err(error) = json::line(&json::unreadable(&name, error), &mut printed)
    {
        wrong = error.to_string();
    }
    Done { printed, wrong: Some(wrong) }
}

/// How many sheets there were, and what is said of it on standard error.
struct Tally {
    all: usize,
    wrong: usize,
    started: Instant,
    shown: Option<Instant>,
    terminal: bool,
}

impl Tally {
    /// A run shorter than this shows no progress.
    const SHORT: Duration = Duration::from_secs(1);
    const EVERY: Duration = Duration::from_millis(200);

    fn new() -> Self {
        let terminal = io::stderr().is_terminal();
        Tally { all: 0, wrong: 0, started: Instant::now(), shown: None, terminal }
    }

    fn count(&mut self, wrong: Option<&str>) -> io::Result<()> {
        self.all += 1;
        if let Some(wrong) = wrong {
            self.wrong += 1;
            self.clear()?;
            writeln!(io::stderr(), "{wrong}")?;
        }
        if self.terminal && self.all.is_multiple_of(64) { self.show() } else { Ok(()) }
    }

    /// Progress of a long run, on a terminal.
    fn show(&mut self) -> io::Result<()> {
        let lately = self.shown.is_some_and(|shown| shown.elapsed() < Self::EVERY);
        if !self.terminal || lately || self.started.elapsed() < Self::SHORT {
            return Ok(());
        }
        self.shown = Some(Instant::now());
        let mut error = io::stderr().lock();
        write!(error, "\r{}", self.words())?;
        error.flush()
    }

    /// Takes the progress off its line.
    fn clear(&mut self) -> io::Result<()> {
        if self.shown.take().is_some() {
            write!(io::stderr(), "\r{:width$}\r", "", width = self.words().len())?;
        }
        Ok(())
    }

    fn words(&self) -> String {
        let sheets = if self.all == 1 { "sheet" } else { "sheets" };
        let done = self.all - self.wrong;
        format!("{} {sheets}: {done} done, {} could not be used", self.all, self.wrong)
    }

    fn finish(mut self, paths: &[PathBuf]) -> io::Result<Exit> {
        self.clear()?;
        let mut error = io::stderr().lock();
        if self.all == 0 {
            let names: Vec<String> =
                paths.iter().map(|path| harmless(&path.display().to_string())).collect();
            writeln!(
                error,
                "error: no sheet found in {}\nhelp: name sheets, or folders that hold .toml files",
                names.join(", ")
            )?;
            return Ok(Exit::CouldNot);
        }
        writeln!(error, "{}", self.words())?;
        Ok(if self.wrong == 0 { Exit::Done } else { Exit::CouldNot })
    }
}
