//! `rehearse`: the whole trial drawn many times before a seed of it is planted.

use std::io::{self, IsTerminal, Write};
use std::num::NonZero;
use std::sync::atomic::{AtomicU64, Ordering};

use clap::Args;

use crate::forecast::plan;
use crate::forecast::rehearsal::{Asked, MOST_DRAWS, NotRehearsed, Rehearsed, Trial, rehearse};
use crate::outcome::{Outcome, Report, Verdict};
use crate::record::{Checked, Standing};
use crate::render::Style;
use crate::sheet::{Diagnostic, FieldSheet};

use super::dates::today;
use super::exit::Exit;
use super::mistakes::no_data;
use super::one_calculation::{OneCalculation, of_sheet, too_many};
use super::options::percentage;

/// The share of the trials that must pass where nobody says another: all but one in twenty. Common
/// practice, no source.
const USUAL: f64 = 0.95;
/// Trials that a page is drawn from: enough for plots to a tenth or two, and soon drawn.
const FOR_A_PAGE: u64 = 1_000;
/// Steps in which progress is shown.
const STEPS: u64 = 50;

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    calculation: OneCalculation,
    /// Draw the trial with the next changes made, each on its step and as sure as it is known.
    #[arg(long)]
    after: bool,
    /// Trials to draw; 10000 where it is left out, fewer where a trial has over 500 plots.
    #[arg(long, value_name = "N", value_parser = draws)]
    draws: Option<u64>,
    /// Where chance starts: the same seed draws the same trials, on any number of cores.
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,
    /// End with status 1 where a smaller share of the drawn trials passes; what it takes to go is the
    /// same share, 95% where it is left out.
    #[arg(long, value_name = "PERCENT", value_parser = share)]
    fail_below: Option<f64>,
}

fn draws(text: &str) -> Result<u64, String> {
    let number: u64 = text.parse().map_err(|_| format!("`{text}` is no whole number"))?;
    if (1..=MOST_DRAWS).contains(&number) {
        return Ok(number);
    }
    Err(format!("`{text}` is out of range; allowed: 1 to {MOST_DRAWS}"))
}

fn share(text: &str) -> Result<f64, String> {
    let number = percentage(text)?;
    if (0.0..=100.0).contains(&number) {
        return Ok(number / 100.0);
    }
    Err(format!("`{text}` is out of range; allowed: 0% to 100%"))
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    let below = std::cell::Cell::new(false);
    let exit = of_sheet(
        &arguments.calculation,
        "rehearse",
        style,
        out,
        |_| Ok(()),
        |sheet| {
            let rehearsed = of(sheet, arguments)?;
            let asked = arguments.fail_below;
            let is_below = asked.is_some_and(|least| rehearsed.passed < least);
            below.set(below.get() || is_below);
            Ok(Report::of(vec![rehearsed.outcome]))
        },
    )?;
    Ok(if below.get() { exit.max(Exit::CheckFailed) } else { exit })
}

fn of(sheet: &FieldSheet, arguments: &Arguments) -> Result<Rehearsed, Diagnostic> {
    let planned = plan::plan(&sheet.plan, &sheet.job);
    let wanted = arguments.fail_below.unwrap_or(USUAL);
    let asked = |report, stale| Asked {
        inputs: &sheet.rehearsal,
        job: &sheet.job,
        report,
        planned: &planned,
        stale,
        after: arguments.after,
        draws: arguments.draws,
        seed: arguments.seed,
        wanted,
    };
    let standing = sheet.calibrate(Some(&today())).map_err(|error| too_many(&error))?;
    rehearsed(&asked(&standing.report, &stale(&standing)))
}

/// The trial of a sheet as a page wants it, on a day.
pub(super) fn usual(
    sheet: &FieldSheet,
    planned: &Outcome,
    after: bool,
    date: &str,
) -> Result<Rehearsed, Diagnostic> {
    let standing = sheet.calibrate(Some(date)).map_err(|error| too_many(&error))?;
    rehearsed(&Asked {
        inputs: &sheet.rehearsal,
        job: &sheet.job,
        report: &standing.report,
        planned,
        stale: &stale(&standing),
        after,
        draws: Some(trial_draws(sheet)),
        seed: 1,
        wanted: USUAL,
    })
}

/// What was measured and does not hold any more, with the reason; a setting that is to be changed is said
/// as a change.
fn stale(standing: &Standing) -> Vec<String> {
    let settled = |one: &&Checked| {
        let own = standing.report.outcomes.iter();
        let mut settings = own
            .filter(|outcome| outcome.calculation == one.calculation)
            .flat_map(|outcome| &outcome.settings);
        settings.all(|setting| matches!(setting.verdict, Verdict::Keep(_) | Verdict::Cause(_)))
    };
    let words = |one: &Checked| format!("the {} does not hold: {}", one.name, one.stale.join(", "));
    let stale =
        standing.checked.iter().filter(|one| one.measured.is_some() && !one.stale.is_empty());
    stale.filter(settled).map(words).collect()
}

fn rehearsed(asked: &Asked<'_>) -> Result<Rehearsed, Diagnostic> {
    let cores = std::thread::available_parallelism().unwrap_or(NonZero::<usize>::MIN);
    let progress = Progress::default();
    let done = rehearse(asked, cores, &|trials, all| progress.tell(trials, all));
    progress.end();
    done.map_err(|why| lacks(&why))
}

/// Trials for the page of a sheet, as far as it has a trial.
fn trial_draws(sheet: &FieldSheet) -> u64 {
    let trial = Trial::of(&sheet.rehearsal, &sheet.job);
    trial.map_or(FOR_A_PAGE, |trial| trial.usual_draws().min(FOR_A_PAGE))
}

/// What keeps a sheet from being rehearsed.
pub(super) fn cannot(sheet: &FieldSheet) -> Option<Diagnostic> {
    Trial::of(&sheet.rehearsal, &sheet.job).err().map(|why| lacks(&why))
}

/// What a sheet lacks to be rehearsed.
fn lacks(why: &NotRehearsed) -> Diagnostic {
    no_data(&why.to_string(), why.advice())
}

/// A line on standard error that grows, where that is a terminal and there is anything to wait for.
struct Progress {
    is_seen: bool,
    done: AtomicU64,
    shown: AtomicU64,
    since: std::time::Instant,
}

impl Default for Progress {
    fn default() -> Progress {
        Progress {
            is_seen: io::stderr().is_terminal(),
            done: AtomicU64::new(0),
            shown: AtomicU64::new(0),
            since: std::time::Instant::now(),
        }
    }
}

impl Progress {
    fn tell(&self, trials: u64, all: u64) {
        if !self.is_seen {
            return;
        }
        let done = self.done.fetch_add(trials, Ordering::Relaxed) + trials;
        let step = done * STEPS / all.max(1);
        let waited = self.since.elapsed().as_secs() >= 1;
        if waited && self.shown.fetch_max(step, Ordering::Relaxed) < step {
            // Who can't be told how far it is misses nothing of the result.
            let _ = write!(io::stderr(), "\rdrawing trials: {:>3} %", done * 100 / all.max(1));
        }
    }

    fn end(&self) {
        if self.shown.load(Ordering::Relaxed) > 0 {
            let _ = write!(io::stderr(), "\r{:24}\r", "");
        }
    }
}
