//! The subcommands: read, calculate, render. Thin on purpose; one file each, and one for all
//! calculations that take a sheet and no more.

pub mod apply;
pub mod batch;
pub mod calibrate;
mod changed;
pub mod check;
pub mod completions;
pub mod convert;
mod dates;
mod deferred;
mod exit;
pub mod explain;
mod given;
pub mod guide;
mod help;
pub mod history;
pub mod man;
mod mistakes;
pub mod new;
pub mod one_calculation;
mod opened;
mod options;
mod output;
pub mod plan;
pub mod print;
mod readings;
pub mod record;
pub mod rehearse;
pub mod schema;
pub mod setback_at;
pub mod spacing;
pub mod stand;
pub mod trend;
mod what_if;

use std::ffi::OsString;
use std::io::Write;

use clap::error::{ContextKind, ErrorKind};
use clap::{CommandFactory, FromArgMatches, Parser, Subcommand};

use crate::calculations;
use crate::render::{Style, harmless};

use anstyle::Style as Ink;
use clap::builder::styling::Styles;

pub use exit::Exit;

use deferred::{Deferred, whole};
use output::{Output, complain, end};

/// Bold, underlined and without colours, so that it reads on light ground and on dark.
const INK: Styles = {
    let (bold, line) = (Ink::new().bold(), Ink::new().underline());
    Styles::styled().error(bold).valid(line).invalid(bold)
};

/// Gets a research plot planter ready to plant: from tape measurements in a field sheet to
/// corrected settings, with the arithmetic shown.
#[derive(Debug, Parser)]
#[command(name = "alleytrue", version, about, long_about = None, max_term_width = 80, styles = INK,
    after_help = "Exit status: 0 done; 1 done, and a check asked for did not hold; 2 could not \
                  (bad sheet, bad usage, no room for the results).")]
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
    /// A conversation: what to do next, readings one at a time, what to set; begins a sheet too.
    Guide(Deferred<guide::Arguments>),
    /// Work out everything the sheet has data for, in working order.
    Calibrate(Deferred<calibrate::Arguments>),
    /// Work out many sheets: files, folders, lists; one row a setting, or one object a sheet.
    Batch(Deferred<batch::Arguments>),
    #[command(flatten)]
    OneCalculation(one_calculation::ByName),
    #[command(about = calculations::spacing::ENTRY.about)]
    Spacing(Deferred<spacing::Arguments>),
    #[command(about = calculations::stand::ENTRY.about)]
    Stand(Deferred<stand::Arguments>),
    #[command(about = calculations::speed_law::ENTRY.about)]
    SetbackAt(Deferred<setback_at::Arguments>),
    /// How many readings to take before anything is measured.
    Plan(Deferred<plan::Arguments>),
    /// The whole trial drawn many times before it is planted: plots out of limit, and go or not yet.
    Rehearse(Deferred<rehearse::Arguments>),
    /// Add a run of measurements to a sheet.
    Record(Deferred<record::Arguments>),
    /// Put the one next setting into a sheet, with a line of history.
    Apply(Deferred<apply::Arguments>),
    /// Whether every setting is calibrated for what the sheet is for now.
    Check(Deferred<check::Arguments>),
    /// The course of each setting and of its error.
    History(Deferred<history::Arguments>),
    /// What sheets of one planter found over the years: charts, slopes, when to measure again.
    Trend(Deferred<trend::Arguments>),
    /// Pages for the cab, the shop and the field: HTML to print, or text.
    Print(Deferred<print::Arguments>),
    /// Write a commented starter sheet.
    New(Deferred<new::Arguments>),
    /// Write a sheet anew in other units, with a note of each value.
    Convert(Deferred<convert::Arguments>),
    /// The reference: a topic, or what the code of a mistake or a warning means.
    Explain(Deferred<explain::Arguments>),
    /// Write what a shell needs to finish commands and options at a press of Tab.
    Completions(Deferred<completions::Arguments>),
    /// Print the field sheet as a JSON Schema, for editors.
    Schema,
    /// Write the manual pages.
    Man(Deferred<man::Arguments>),
}

impl Cli {
    /// The command line that a call gives.
    ///
    /// # Errors
    ///
    /// The end of the program where the call is wrong, or asks for help or the version; that is
    /// printed by then.
    pub fn of(arguments: impl Iterator<Item = OsString>) -> Result<Cli, Exit> {
        let arguments = record::with_negative_values(arguments);
        Cli::parsed(&arguments).map_err(|error| {
            if error.use_stderr() {
                complain(&said_harmlessly(&error, &arguments));
                return Exit::CouldNot;
            }
            let (page, colour) = (error.render(), stdout_takes_colours());
            let mut out = Output::standard(colour);
            let page = if colour { page.ansi().to_string() } else { page.to_string() };
            end(out.write_all(page.as_bytes()).and_then(|()| out.flush()).map(|()| Exit::Done))
        })
    }

    fn parsed(arguments: &[OsString]) -> Result<Cli, clap::Error> {
        // The list in groups is a sixth of a short run, so it is made for who is shown it only.
        let matches = Cli::command()
            .try_get_matches_from(arguments)
            .or_else(|_| help::grouped(Cli::command()).try_get_matches_from(arguments))
            .map_err(without_dashes)?;
        Cli::from_arg_matches(&matches)
    }
}

/// An unknown option is a slip, never a reading or the name of a file: that it could be passed as
/// one behind two dashes helps nobody.
fn without_dashes(mut error: clap::Error) -> clap::Error {
    if error.kind() == ErrorKind::UnknownArgument {
        error.remove(ContextKind::Suggested);
    }
    error
}

/// What is wrong with a command line. It quotes the words of the command line, which may hold what
/// drives a terminal: it is said of the same words with that written out.
fn said_harmlessly(error: &clap::Error, arguments: &[OsString]) -> String {
    let tame = |word: &OsString| OsString::from(harmless(&word.to_string_lossy()));
    let tame: Vec<OsString> = arguments.iter().map(tame).collect();
    if tame == arguments {
        return error.render().ansi().to_string();
    }
    match Cli::parsed(&tame) {
        Err(error) if error.use_stderr() => error.render().ansi().to_string(),
        // The words were wrong in no other way.
        _ => error.render().to_string().lines().map(|line| harmless(line) + "\n").collect(),
    }
}

/// Runs the command line.
#[must_use]
pub fn run(cli: &Cli) -> Exit {
    let ascii = cli.ascii || !terminal_takes_unicode();
    let style = Style { ascii, colour: stdout_takes_colours() };
    let mut out = Output::standard(style.colour);
    let ended = match &cli.command {
        Command::Guide(arguments) => guide::run(arguments, style, &mut out),
        Command::Calibrate(arguments) => calibrate::run(arguments, style, &mut out),
        Command::OneCalculation(by_name) => one_calculation::run(by_name, style, &mut out),
        Command::Spacing(arguments) => spacing::run(arguments, style, &mut out),
        Command::Stand(arguments) => stand::run(arguments, style, &mut out),
        Command::SetbackAt(arguments) => setback_at::run(arguments, style, &mut out),
        Command::Plan(arguments) => plan::run(arguments, style, &mut out),
        Command::Rehearse(arguments) => rehearse::run(arguments, style, &mut out),
        Command::Record(arguments) => record::run(arguments, style, &mut out),
        Command::Apply(arguments) => apply::run(arguments, style, &mut out),
        Command::Check(arguments) => check::run(arguments, style, &mut out),
        Command::History(arguments) => history::run(arguments, style, &mut out),
        Command::Trend(arguments) => trend::run(arguments, style, &mut out),
        Command::Print(arguments) => print::run(arguments, style, &mut out),
        Command::New(arguments) => new::run(arguments, style, &mut out),
        Command::Convert(arguments) => convert::run(arguments, style, &mut out),
        Command::Explain(arguments) => explain::run(arguments, style, &mut out),
        Command::Batch(arguments) => batch::run(arguments),
        Command::Completions(arguments) => completions::run(arguments, whole::<Cli>(), &mut out),
        Command::Schema => schema::run(&mut out),
        Command::Man(arguments) => man::run(arguments, whole::<Cli>(), &mut out),
    };
    end(ended.and_then(|exit| out.flush().map(|()| exit)))
}

/// Whether standard output is a terminal with colours, and nobody said that there be none.
fn stdout_takes_colours() -> bool {
    anstream::AutoStream::choice(&std::io::stdout()) != anstream::ColorChoice::Never
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_command_stands_in_the_help_once() {
        let command = Cli::command();
        let page = help::grouped(Cli::command()).render_help().to_string();
        for one in command.get_subcommands() {
            let line = format!("\n  {} ", one.get_name());
            assert_eq!(page.matches(&line).count(), 1, "{}", one.get_name());
        }
        assert!(page.lines().all(|line| line.chars().count() <= 80), "{page}");
    }
}
