//! `guide`: a conversation beside the tractor, over the same ways of writing as `record` and
//! `apply`.

mod begin;
mod change;
mod desk;
mod halt;
mod kept;
mod kinds;
mod lines;
mod questions;
mod readings;
mod step;

use std::fs;
use std::io::{self, Write};
use std::path::PathBuf;

use clap::Args;

use crate::render::{Style, harmless};
use crate::sheet::Source;
use crate::statistics::Confidence;

use super::dates::{before_the_last, day, today};
use super::exit::Exit;
use super::given::NotKept;
use super::mistakes::refuse;
use super::options::{LeftOut, Readings, left_out};
use super::output::complain;

use desk::Desk;
use halt::{Going, Halt};
use kept::{Beside, Kept};
use lines::Talk;

/// Arguments of the subcommand.
#[derive(Debug, Args)]
#[command(
    after_help = "Exit status: 0 ended, and the sheet has all that was typed; 1 stopped while \
                        some of it waits beside the sheet for the next `guide`; 2 could not."
)]
pub struct Arguments {
    /// Field sheet; one that is not there yet is begun by questions.
    sheet: PathBuf,
    /// Day of what is measured and set [default: today].
    #[arg(long, value_parser = day)]
    date: Option<String>,
    /// Who measures and sets: a name or initials.
    #[arg(long, value_name = "NAME")]
    by: Option<String>,
    #[command(flatten)]
    not_kept: NotKept,
    /// Readings to leave out by their number: `trip:7,alley:3`.
    #[arg(long, value_name = "N,...", value_delimiter = ',', value_parser = left_out)]
    without: Vec<LeftOut>,
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    if let Some(wrong) = arguments.not_kept.wrong() {
        let name = arguments.sheet.display().to_string();
        refuse(&Source::new(&name, ""), &[wrong], style);
        return Ok(Exit::CouldNot);
    }
    let mut talk = Talk::new(out, style);
    match go_on(arguments, &mut talk) {
        Ok(()) => Ok(Exit::Done),
        Err(Halt::Failed(exit)) => Ok(exit),
        Err(Halt::Unprinted(error)) => Err(error),
        Err(Halt::Stopped) => farewell(arguments, &mut talk),
    }
}

/// What stays, and how to go on.
fn farewell(arguments: &Arguments, talk: &mut Talk<'_>) -> io::Result<Exit> {
    let kept = kept::path_of(&arguments.sheet);
    let again = format!("alleytrue guide {}", crate::render::shell_word(&arguments.sheet));
    if fs::symlink_metadata(&kept).is_err() {
        talk.say("Stopped. ", &format!("To go on: {again}"))?;
        return Ok(Exit::Done);
    }
    let name = harmless(&kept.display().to_string());
    talk.say("Stopped. ", &format!("{name} keeps what the sheet lacks; to go on: {again}"))?;
    Ok(Exit::CheckFailed)
}

/// The conversation.
fn go_on(arguments: &Arguments, talk: &mut Talk<'_>) -> Going<()> {
    let sheet = &arguments.sheet;
    let (mut beside, mut kept) = match Beside::of(sheet) {
        Ok(kept) => kept,
        Err(why) => return Err(unreadable(arguments, &why, talk)),
    };
    if fs::symlink_metadata(sheet).is_err() {
        begin::sheet(sheet, &mut beside, kept.take(), talk)?;
    }
    let without =
        Readings { confidence: Confidence::NINETY_FIVE, without: arguments.without.clone() };
    let day = arguments.date.clone().unwrap_or_else(today);
    let mut desk = Desk::new(sheet.clone(), beside, day, arguments.by.clone(), without);
    let read = desk.read(talk)?;
    let title = read.sheet.title.as_ref().map_or(String::new(), |title| format!("{title} - "));
    talk.say("", &format!("{title}{}", desk.name()))?;
    talk.say("", "? says what can be answered; q stops, and nothing typed is lost.")?;
    if let Some(words) = before_the_last(&read.sheet.record, &desk.day) {
        talk.say("  ", &words)?;
        let help = "y: it is meant; n: begin again with --date, or after a look at the clock";
        if !talk.is_so("is the day meant? (y or n)", None, help)? {
            return Err(Halt::Stopped);
        }
    }
    if let Some(Kept::Run(run)) = kept {
        step::resume(&mut desk, talk, run)?;
    }
    while step::next(&mut desk, talk)? {}
    Ok(())
}

fn unreadable(arguments: &Arguments, why: &str, talk: &mut Talk<'_>) -> Halt {
    let _ = talk.flush();
    complain(&format!(
        "error: {}: what `guide` kept there can't be read: {}\n\
         help: mend it, or move it away and begin again\n",
        harmless(&kept::path_of(&arguments.sheet).display().to_string()),
        harmless(why)
    ));
    Halt::Failed(Exit::CouldNot)
}
