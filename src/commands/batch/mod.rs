//! `batch`: many sheets through `calibrate`, on all cores, in path order.

mod pipeline;
mod room;
pub(super) mod walk;

use std::fs::{File, OpenOptions};
use std::io::{self, IsTerminal, Write};
use std::num::NonZeroUsize;
#[cfg(unix)]
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use clap::{Args, ValueEnum};

use crate::quantity::System;
use crate::render::{diagnostics, harmless, json, season};
use crate::sheet::{Diagnostic, FieldSheet, MOST_BYTES, Override, Source, SourceError};
use crate::statistics::Confidence;

use super::calibrate;
use super::exit::Exit;
use super::given::Overrides;
use super::options::{On, Readings, confidence};
use super::output::{Output, complain};
use room::Room;
use walk::{Found, Sheets};

/// Sheets worked at once, whatever is asked for.
const MOST_WORKERS: usize = 64;

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
    #[command(flatten)]
    on: On,
    /// Sheets worked at once, 64 at most; every core without it.
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
    /// Whether it is a sheet, and not the planter's file of some.
    is_sheet: bool,
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments) -> io::Result<Exit> {
    // Data for programs, never coloured; and a line is not worth a call of the system.
    let mut out = Output::plain();
    let mut input = io::BufReader::new(io::stdin());
    let end = if arguments.null { 0 } else { b'\n' };
    let sheets = Sheets::new(&arguments.paths, &mut input, end);
    let cores = || std::thread::available_parallelism().map_or(1, NonZeroUsize::get);
    let workers = arguments.jobs.map_or_else(cores, NonZeroUsize::get).min(MOST_WORKERS);
    let set = match arguments.overrides.only() {
        Ok(set) => set,
        Err(wrong) => {
            let advice = wrong.advice;
            complain(&format!("error: {}\nhelp: {}\n", harmless(&wrong.message), advice));
            return Ok(Exit::CouldNot);
        }
    };
    let work_as = WorkAs {
        units: arguments.overrides.units(),
        set,
        readings: Readings { confidence: arguments.confidence, without: vec![] },
        on: arguments.on.day(),
        format: arguments.format,
    };
    let room = Room::new(MOST_BYTES);
    let work = |found| one(found, &work_as, &room);
    let tally = std::cell::RefCell::new(Tally::new());
    let take = |done: Done| {
        let mut tally = tally.borrow_mut();
        if tally.all == 0 && done.is_sheet && arguments.format == Form::Csv {
            season::heads(&mut out)?;
        }
        out.write_all(&done.printed)?;
        if done.is_sheet {
            tally.count(done.wrong.as_deref());
        }
        Ok(())
    };
    let bytes = |done: &Done| done.printed.len();
    pipeline::in_order(sheets, workers, work, bytes, take, || tally.borrow_mut().show())?;
    out.flush()?;
    Ok(tally.into_inner().finish(&arguments.paths))
}

/// How every sheet is worked.
struct WorkAs {
    units: Option<System>,
    set: Vec<Override>,
    readings: Readings,
    on: String,
    format: Form,
}

fn one(found: Found, work_as: &WorkAs, room: &Room) -> Done {
    let path = match found {
        Found::Sheet(path) => path,
        Found::Trouble(path, error) => return unreadable(&path, &error.into(), work_as.format),
    };
    let name = path.display().to_string();
    let (mut file, size) = match regular_file(&path) {
        Ok(opened) => opened,
        Err(error) => return unreadable(&path, &error.into(), work_as.format),
    };
    let _taken = room.take(size);
    match Source::of_file(name, &mut file) {
        Ok(source) => sheet(&opened(source, &path, work_as), work_as),
        Err(error) => unreadable(&path, &error, work_as.format),
    }
}

/// A sheet with its planter's file and what is set over it.
fn opened(source: Source, path: &Path, work_as: &WorkAs) -> Source {
    source.with_files_beside(path).with(&work_as.set).in_units(work_as.units)
}

/// Opens a file, and no pipe or device, which may keep a run waiting for ever.
fn regular_file(path: &Path) -> io::Result<(File, u64)> {
    let regular = |about: std::fs::Metadata| match about.is_file() {
        true => Ok(about.len()),
        false => Err(io::Error::other("it is no regular file")),
    };
    regular(std::fs::metadata(path)?)?;
    let mut options = OpenOptions::new();
    // A pipe that took its place meanwhile is opened without waiting for a writer.
    #[cfg(unix)]
    options.custom_flags(rustix::fs::OFlags::NONBLOCK.bits().cast_signed());
    let file = options.read(true).open(path)?;
    let size = regular(file.metadata()?)?;
    Ok((file, size))
}

/// What a sheet gives. One on which the program itself fails does not take the others with it.
fn sheet(source: &Source, work_as: &WorkAs) -> Done {
    let worked = || worked(source, work_as);
    std::panic::catch_unwind(std::panic::AssertUnwindSafe(worked)).unwrap_or_else(|_| {
        let name = harmless(source.name());
        failed(
            source,
            &[],
            work_as.format,
            format!("{name}: error: the program failed on this sheet"),
        )
    })
}

fn worked(source: &Source, work_as: &WorkAs) -> Done {
    let WorkAs { readings, on, format, .. } = work_as;
    let format = *format;
    let results = FieldSheet::read(source).and_then(|mut sheet| {
        let report =
            calibrate::everything(readings, on, &mut sheet).map_err(|wrong| vec![wrong])?;
        Ok((sheet, report))
    });
    let (sheet, report) = match results {
        Ok(results) => results,
        Err(_) if source.is_planter_file() => {
            return Done { printed: vec![], wrong: None, is_sheet: false };
        }
        Err(mistakes) => {
            let wrong = diagnostics::in_one_line(source, &mistakes);
            return failed(source, &mistakes, format, wrong);
        }
    };
    let mut printed = vec![];
    let written = match format {
        Form::Csv => season::rows(source.name(), sheet.title.as_deref(), &report, &mut printed),
        Form::Jsonl => json::line(&json::document(source, &sheet, &report), &mut printed),
    };
    Done { printed, wrong: written.err().map(|error| error.to_string()), is_sheet: true }
}

fn failed(source: &Source, mistakes: &[Diagnostic], format: Form, wrong: String) -> Done {
    not_used(&json::failure(source, mistakes), format, wrong)
}

fn unreadable(path: &Path, error: &SourceError, format: Form) -> Done {
    let name = path.display().to_string();
    let wrong = diagnostics::unreadable_in_one_line(&name, error);
    not_used(&json::unreadable(&name, error), format, wrong)
}

fn not_used(failure: &json::Failure, format: Form, mut wrong: String) -> Done {
    let mut printed = vec![];
    if format == Form::Jsonl
        && let Err(error) = json::line(failure, &mut printed)
    {
        wrong = error.to_string();
    }
    Done { printed, wrong: Some(wrong), is_sheet: true }
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

    fn count(&mut self, wrong: Option<&str>) {
        self.all += 1;
        if let Some(wrong) = wrong {
            self.wrong += 1;
            self.clear();
            complain(&format!("{wrong}\n"));
        }
        if self.all.is_multiple_of(64) {
            self.show();
        }
    }

    /// Progress of a long run, on a terminal.
    fn show(&mut self) {
        let lately = self.shown.is_some_and(|shown| shown.elapsed() < Self::EVERY);
        if self.terminal && !lately && self.started.elapsed() >= Self::SHORT {
            self.shown = Some(Instant::now());
            complain(&format!("\r{}", self.words()));
        }
    }

    /// Takes the progress off its line.
    fn clear(&mut self) {
        if self.shown.take().is_some() {
            complain(&format!("\r{:width$}\r", "", width = self.words().len()));
        }
    }

    fn words(&self) -> String {
        let sheets = if self.all == 1 { "sheet" } else { "sheets" };
        let done = self.all - self.wrong;
        format!("{} {sheets}: {done} done, {} could not be used", self.all, self.wrong)
    }

    fn finish(mut self, paths: &[PathBuf]) -> Exit {
        self.clear();
        if self.all == 0 {
            let names: Vec<String> =
                paths.iter().map(|path| harmless(&path.display().to_string())).collect();
            complain(&format!(
                "error: no sheet found in {}\nhelp: name sheets, or folders that hold .toml files\n",
                names.join(", ")
            ));
            return Exit::CouldNot;
        }
        complain(&format!("{}\n", self.words()));
        if self.wrong == 0 { Exit::Done } else { Exit::CouldNot }
    }
}
