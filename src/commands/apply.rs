//! `apply`: the one next setting put into a sheet, with a line of history.

use std::io::{self, Write};
use std::path::PathBuf;

use clap::Args;

use crate::outcome::Caution;
use crate::outcome::cautions::{AT_THE_DRIVE, CHANGEOVER, ON_THE_RANGE};
use crate::record::{Choice, NoChange, Subject, TIMERS, Wanted, choose};
use crate::render::{Style, diagnostics, difference, harmless, text};
use crate::sheet::FieldSheet;
use crate::sheet::writing::{Held, apply};

use super::dates::{ask, before_the_last, day, today};
use super::exit::Exit;
use super::mistakes::{complain, refuse_file, refuse_text};

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Field sheet.
    sheet: PathBuf,
    /// Setting to change instead of the next one, such as setback or chain-1-driven.
    #[arg(long, value_name = "KEY", value_parser = subject, conflicts_with = "all")]
    setting: Vec<Subject>,
    /// Everything that has to change, at once.
    #[arg(long)]
    all: bool,
    /// Day of the change [default: today].
    #[arg(long, value_parser = day)]
    date: Option<String>,
    /// Why, instead of the error that was measured.
    #[arg(long)]
    reason: Option<String>,
    /// Change it although the day lies before the last run or change.
    #[arg(long)]
    yes: bool,
    /// Show what would be written, and write nothing.
    #[arg(long)]
    dry_run: bool,
}

fn subject(text: &str) -> Result<Subject, String> {
    Subject::of_key(text.trim()).ok_or_else(|| {
        "write the key of a setting: trip-scale, setback, pass-offset, clean-out, run-out, fill, \
         hand-over, sweep.after, sweep.for, chain-1-driving, chain-1-driven"
            .into()
    })
}

impl Arguments {
    fn choice(&self) -> Choice<'_> {
        match self.setting.as_slice() {
            _ if self.all => Choice::All,
            [] => Choice::Next,
            [one] => Choice::Named(*one),
            several => Choice::Several(several),
        }
    }
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    let held = match Held::take(&arguments.sheet) {
        Ok(held) => held,
        Err(error) => return refuse_file(&arguments.sheet, &error, style),
    };
    let source = held.source();
    let sheet = match FieldSheet::read(source) {
        Ok(sheet) => sheet,
        Err(mistakes) => {
            let undone = "nothing was written";
            complain(&diagnostics::mistakes_then(source, &mistakes, undone, style))?;
            return Ok(Exit::CouldNot);
        }
    };
    let report = match sheet.job.calibrate() {
        Ok(report) => report,
        Err(error) => {
            complain(&format!("error: {error}\nhelp: list only the sprockets at hand\n"))?;
            return Ok(Exit::CouldNot);
        }
    };
    let changes = match choose(&report, &sheet.record, arguments.choice()) {
        Ok(changes) => changes,
        Err(why) => return refuse(&why, style, out),
    };
    let day = arguments.date.clone().unwrap_or_else(today);
    let text = match apply(source, &sheet, &changes, &day, arguments.reason.as_deref()) {
        Ok(text) => text,
        Err(error) => return refuse_text(source, &error, style),
    };
    let asks = !arguments.yes && !arguments.dry_run;
    if let (true, Some(words)) = (asks, before_the_last(&sheet.record, &day)) {
        return ask(&words, style);
    }
    writeln!(out, "{}", difference::lines(source.text(), &text))?;
    let name = harmless(source.name());
    if arguments.dry_run {
        writeln!(out, "nothing was written: this is what would change in {name}")?;
        return Ok(Exit::Done);
    }
    if let Err(error) = held.replace(&text) {
        return refuse_file(&arguments.sheet, &error, style);
    }
    let last = by_hand(&changes, style);
    writeln!(out, "wrote {name}: only the sheet has changed\n{last}")?;
    Ok(Exit::Done)
}

/// What hands have to do now, and what keeps them whole.
fn by_hand(changes: &[Wanted], style: Style) -> String {
    let any = |of: &dyn Fn(&Subject) -> bool| changes.iter().any(|one| of(&one.setting));
    let (what, cautions): (_, &[&Caution]) =
        if any(&|setting| matches!(setting, Subject::Sprocket { .. })) {
            ("with the engine off, fit the sprockets", AT_THE_DRIVE)
        } else if any(&|setting| matches!(setting, Subject::Held(held) if TIMERS.contains(held))) {
            ("give the machine the new setting", CHANGEOVER)
        } else {
            ("give the machine the new setting", ON_THE_RANGE)
        };
    let mut lines: Vec<String> = cautions
        .iter()
        .map(|one| text::hanging("  ! ", &format!("{} [{}]", one.text, one.source), style))
        .collect();
    let next = format!("{what}, plant a test range and measure again");
    lines.push(text::hanging("Next: ", &next, style));
    lines.join("\n")
}

fn refuse(why: &NoChange, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    let say = |first: &str, words: &str| text::hanging(first, words, style);
    match why {
        NoChange::Nothing(words) => {
            writeln!(out, "{}", say("nothing to apply: ", words))?;
            return Ok(Exit::Done);
        }
        NoChange::ByHand(words) => {
            let first = format!("no setting to put into the sheet; the next step is: {words}");
            let help = "do that, then put what was measured or fitted into the sheet";
            complain(&format!("{}\n{}\n", say("error: ", &first), say("help: ", help)))?;
        }
        NoChange::NotNow(words) => {
            let help = "`alleytrue calibrate` shows the one thing to do next";
            complain(&format!("{}\n{}\n", say("error: ", words), say("help: ", help)))?;
        }
        NoChange::Two(words) => {
            let help = "measure first, or ask for it with --all";
            complain(&format!(
                "{}\n{}\n",
                say("error: two changes: ", words),
                say("help: ", help)
            ))?;
        }
    }
    Ok(Exit::CouldNot)
}
