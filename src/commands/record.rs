//! `record`: a run of measurements added to a sheet.

use std::ffi::OsString;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use clap::builder::PossibleValuesParser;
use clap::{Arg, ArgAction, ArgMatches, Args, FromArgMatches, Subcommand};

use crate::render::{Style, difference, harmless, shell_word, text};
use crate::sheet::writing::{
    Given, Held, KINDS, Kind, NewRun, ReplaceError, Said, Suspicion, Takes, Understood, WriteError,
    add_run, drop_run, repeated, understood,
};
use crate::sheet::{FieldSheet, NewText, Source};

use super::changed::{Ended, change_sheet};
use super::dates::{ask, before_the_last, day, today};
use super::exit::Exit;
use super::given::{KEEP_IT, NOT_KEPT};
use super::mistakes::refuse_text;
use super::readings::{From, read};

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Field sheet.
    sheet: PathBuf,
    #[command(subcommand)]
    run: Recorded,
}

/// The run, built from the table of kinds.
#[derive(Debug)]
struct Recorded {
    /// What is added; nothing where a run is only dropped.
    run: Option<Spoken>,
    kind: &'static Kind,
    /// The run that no longer counts, by its number.
    out: Option<usize>,
    reason: Option<String>,
    day: String,
    dry_run: bool,
    /// Whether it is meant, though its day or its readings look like a slip.
    yes: bool,
}

/// A run as it was given, before what it is read from is read.
#[derive(Debug)]
struct Spoken {
    keys: Vec<(&'static str, Given)>,
    from: From,
}

const VALUES: &str = "VALUES";
const FROM: &str = "from";
const COLUMNS: &str = "columns";
const DROP: &str = "drop";
const REPLACE: &str = "replace";
const REASON: &str = "reason";
const SET: &str = "set";

/// The minus sign of print, which stands for a hyphen while the command line is taken apart.
const MINUS: char = '\u{2212}';

/// The command line with the sign of negative values written so that they are not taken for
/// options: `-1`, `-1 in`, `-.5`.
#[must_use]
pub fn with_negative_values(arguments: impl Iterator<Item = OsString>) -> Vec<OsString> {
    let all: Vec<OsString> = arguments.collect();
    // The subcommand comes first but for options of the whole program.
    let command = all.iter().skip(1).find(|one| !one.to_string_lossy().starts_with('-'));
    if command.is_none_or(|command| command != "record") {
        return all;
    }
    let negative = |text: &str| {
        let rest = text.strip_prefix('-')?;
        let number = rest.trim_start_matches('.').starts_with(char::is_numeric);
        number.then(|| OsString::from(format!("{MINUS}{rest}")))
    };
    all.into_iter().map(|one| one.to_str().and_then(negative).unwrap_or(one)).collect()
}

impl Subcommand for Recorded {
    fn augment_subcommands(command: clap::Command) -> clap::Command {
        command
            .subcommand_required(true)
            .subcommand_value_name("KIND")
            .subcommand_help_heading("Kinds")
            .subcommands(KINDS.iter().map(subcommand))
    }

    fn augment_subcommands_for_update(command: clap::Command) -> clap::Command {
        Recorded::augment_subcommands(command)
    }

    fn has_subcommand(name: &str) -> bool {
        KINDS.iter().any(|kind| kind.name == name)
    }
}

impl FromArgMatches for Recorded {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Recorded, clap::Error> {
        let missing = || clap::Error::new(clap::error::ErrorKind::MissingSubcommand);
        let (name, given) = matches.subcommand().ok_or_else(missing)?;
        let kind = KINDS.iter().find(|kind| kind.name == name).ok_or_else(missing)?;
        let flag = |name: &str| given.get_flag(name);
        let number = |name: &str| given.get_one::<usize>(name).copied();
        let text = |name: &str| given.get_one::<String>(name).map(|value| said(value));
        let run = if number(DROP).is_some() { None } else { Some(spoken(kind, given)) };
        Ok(Recorded {
            run,
            kind,
            out: number(DROP).or(number(REPLACE)),
            reason: text(REASON),
            day: text("date").unwrap_or_else(today),
            dry_run: flag("dry-run"),
            yes: flag("yes"),
        })
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        *self = Recorded::from_arg_matches(matches)?;
        Ok(())
    }
}

/// The subcommand of one kind, with an option for every key.
fn subcommand(kind: &Kind) -> clap::Command {
    let option = |name: &'static str, value: &'static str, about: &'static str| {
        Arg::new(name).long(name).value_name(value).help(about)
    };
    let date = "Day it was measured, such as 2027-04-18 [default: today]";
    let mut command = clap::Command::new(kind.name)
        .about(kind.about)
        .arg(option("date", "DAY", date).value_parser(day))
        .arg(option("by", "NAME", "Who measured: a name or initials"))
        .arg(option("note", "TEXT", "A note, in quotes"));
    if kind.at_point {
        command =
            command.arg(option("speed", "VALUE", "Speed it was planted at [default: the sheet's]"));
    }
    for key in &kind.keys {
        let word =
            if matches!(key.takes, Takes::Word(_) | Takes::YesNo) { "WORD" } else { "VALUE" };
        let arg = option(key.name, word, key.about);
        command = command.arg(match &key.takes {
            Takes::One | Takes::Text => arg,
            Takes::List => arg.num_args(1..).action(ArgAction::Append),
            Takes::Word(words) => {
                arg.value_parser(PossibleValuesParser::new(words)).ignore_case(true)
            }
            Takes::YesNo => {
                arg.value_parser(PossibleValuesParser::new(["true", "false"])).ignore_case(true)
            }
        });
    }
    let both = "Both sides of each alley in order, with a slash between them: 11.5/17.5";
    let usual = "Readings in order; a bare length takes the sheet's `bare-length`, a bare time is \
                 in seconds";
    let help = if kind.pair.is_some() { both } else { usual };
    let from = "Read them from a spreadsheet's file saved as CSV";
    let columns = "Columns of it that hold the readings: names or numbers";
    command = command
        .arg(
            Arg::new(VALUES)
                .num_args(0..)
                .help(format!("{help}; - reads them from standard input")),
        )
        .arg(
            option(FROM, "FILE", from)
                .value_parser(clap::value_parser!(PathBuf))
                .conflicts_with(VALUES),
        )
        .arg(
            option(COLUMNS, "A,B", columns)
                .value_delimiter(',')
                .requires(FROM)
                .conflicts_with(VALUES),
        );
    let flag = |name: &'static str, about: &'static str| {
        Arg::new(name).long(name).action(ArgAction::SetTrue).help(about)
    };
    let number = |name: &'static str, about: &'static str| {
        option(name, "N", about).value_parser(clap::value_parser!(usize))
    };
    let beside = kind.keys.iter().map(|key| key.name).chain(["note", VALUES, FROM]);
    let beside = beside.chain(kind.at_point.then_some("speed"));
    command
        .arg(
            number(
                DROP,
                "Let run N of this kind no longer count, and add none; it stays in the sheet",
            )
            .conflicts_with_all(beside.chain([REPLACE])),
        )
        .arg(number(REPLACE, "Add this run in place of run N of its kind, which no longer counts"))
        .arg(option(REASON, "TEXT", "Why run N no longer counts, in quotes").requires("out"))
        .group(clap::ArgGroup::new("out").args([DROP, REPLACE]))
        .arg(flag(
            "yes",
            "Write it though its day lies before the last one, the sheet has it already, or its \
             readings seem to be in another unit",
        ))
        .arg(flag("dry-run", "Show what would be written, and write nothing"))
        .arg(option(SET, "TABLE.KEY=VALUE", NOT_KEPT).hide(true).value_parser(not_kept))
}

/// Nothing set over a sheet is kept in it.
fn not_kept(_: &str) -> Result<String, String> {
    Err(format!("{NOT_KEPT}; {KEEP_IT}"))
}

fn spoken(kind: &'static Kind, given: &ArgMatches) -> Spoken {
    let texts = |name: &str| -> Vec<String> {
        let values = given.get_many::<String>(name).into_iter().flatten();
        values.map(|value| said(value)).collect()
    };
    let one = |name: &str| given.get_one::<String>(name).map(|value| said(value));
    let date = one("date").unwrap_or_else(today);
    let mut keys = vec![("date", Given::Day(date))];
    keys.extend(one("by").map(|by| ("by", Given::Text(by))));
    keys.extend(one("note").map(|note| ("note", Given::Text(note))));
    if kind.at_point {
        keys.extend(one("speed").map(|speed| ("speed", Given::One(speed))));
    }
    for key in &kind.keys {
        let value = match &key.takes {
            Takes::List => {
                let all = texts(key.name);
                (!all.is_empty()).then_some(Given::List(all))
            }
            Takes::One => one(key.name).map(Given::One),
            Takes::Text => one(key.name).map(Given::Text),
            Takes::Word(_) => one(key.name).map(|word| Given::Text(word.to_lowercase())),
            Takes::YesNo => {
                one(key.name).map(|word| Given::YesNo(word.eq_ignore_ascii_case("true")))
            }
        };
        keys.extend(value.map(|value| (key.name, value)));
    }
    let from = match given.get_one::<PathBuf>(FROM) {
        Some(file) => From::File { file: file.clone(), columns: texts(COLUMNS) },
        None => From::Words(texts(VALUES)),
    };
    Spoken { keys, from }
}

/// A value as it was typed, its sign included.
fn said(value: &str) -> String {
    value.strip_prefix(MINUS).map_or_else(|| value.to_owned(), |rest| format!("-{rest}"))
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    let recorded = &arguments.run;
    // What can be read once only is read before the sheet is, which may be read again.
    let said = match &recorded.run {
        Some(Spoken { keys, from }) => match read(from, recorded.kind, style) {
            Ok(values) => Some(Said { kind: recorded.kind, keys: keys.clone(), values }),
            Err(exit) => return Ok(exit),
        },
        None => None,
    };
    let sheet = &arguments.sheet;
    change_sheet(sheet, style, out, || added(sheet, recorded, said.as_ref(), style))
}

/// A run that was said and is meant, added to a sheet where nothing else speaks against it.
pub(super) fn add(
    sheet: &Path,
    said: &Said,
    day: &str,
    style: Style,
) -> Result<Ended, ReplaceError> {
    let recorded = Recorded {
        run: None,
        kind: said.kind,
        out: None,
        reason: None,
        day: day.to_owned(),
        dry_run: false,
        yes: true,
    };
    added(sheet, &recorded, Some(said), style)
}

/// The run added, where nothing speaks against it.
fn added(
    sheet: &Path,
    recorded: &Recorded,
    said: Option<&Said>,
    style: Style,
) -> Result<Ended, ReplaceError> {
    let held = Held::take(sheet)?;
    let Recorded { dry_run, yes, day, .. } = recorded;
    let New { text, line } = match recorded.written(held.source(), said) {
        Ok(new) => new,
        Err(error) => return Ok(Ended::Refused(refuse_text(held.source(), &error, style))),
    };
    if let (false, Some(words)) = (*yes || *dry_run, of_an_earlier_day(held.source(), day)) {
        return Ok(Ended::Refused(ask(&words, style)));
    }
    let understood = line.map_or(String::new(), |line| {
        text::hanging("understood: ", &harmless(&line), style) + "\n\n"
    });
    let shown = difference::lines(held.source().text(), &text);
    let name = harmless(held.source().name());
    if *dry_run {
        let last = format!("nothing was written: this is what would go into {name}");
        return Ok(Ended::Shown(format!("{understood}{shown}\n{last}\n")));
    }
    held.replace(&NewText::from(text))?;
    let next = shell_word(sheet);
    let page =
        format!("{understood}{shown}\nrecorded in {name}\nNext: alleytrue calibrate {next}\n");
    Ok(Ended::Written { page, done: format!("the run is recorded in {name}") })
}

/// The new text of a sheet, and what was understood of the run in it.
struct New {
    text: String,
    line: Option<String>,
}

impl Recorded {
    /// The text of the sheet with the run added, the other one dropped, or both.
    fn written(&self, source: &Source, said: Option<&Said>) -> Result<New, WriteError> {
        let Some(said) = said else {
            let text = self.dropped(source)?.unwrap_or_default();
            return Ok(New { text, line: None });
        };
        let Understood { run, line, suspicion } = understood(source, said)?;
        let text = in_its_unit(add_run(source, &run), suspicion, self.yes)?;
        let text = once(text, &run, self.yes || self.out.is_some())?;
        let dropped = self.dropped(&source.with_text(&text.clone().into()))?;
        Ok(New { text: dropped.unwrap_or(text), line: Some(line) })
    }

    /// The text of the sheet with the run dropped that no longer counts, where there is one.
    fn dropped(&self, source: &Source) -> Result<Option<String>, WriteError> {
        let Some(number) = self.out else { return Ok(None) };
        let sheet = FieldSheet::read(source).map_err(|mistakes| WriteError::Mistakes {
            text: source.text().to_owned().into(),
            mistakes,
        })?;
        let usual = match &self.run {
            Some(_) => {
                let own = |run: &&crate::record::Run| run.table == self.kind.table;
                let last = sheet.record.runs.iter().filter(own).count();
                format!("measured again: {} {last}", self.kind.written)
            }
            None => "not to be used".to_owned(),
        };
        let reason = self.reason.as_deref().unwrap_or(&usual);
        drop_run(source, &sheet, self.kind, number, reason, &self.day).map(Some)
    }
}

/// A text whose readings are in the unit that they were given in, or are meant as they are.
fn in_its_unit(
    text: Result<String, WriteError>,
    suspicion: Option<Suspicion>,
    meant: bool,
) -> Result<String, WriteError> {
    let Some(Suspicion { words, advice }) = suspicion.filter(|_| !meant) else { return text };
    // What the sheet can't hold is not written either way.
    let or_meant = if text.is_ok() { "; where it is right, add --yes" } else { "" };
    Err(WriteError::Doubtful { words, advice: advice + or_meant })
}

/// A text whose last run stands in it once, or is wanted once more.
fn once(text: String, run: &NewRun, meant: bool) -> Result<String, WriteError> {
    match repeated(&text, run.kind) {
        Some(number) if !meant => {
            let name = format!("{} {number}", run.kind.written);
            let words = format!("the sheet has these readings already, of the same day: {name}");
            Err(WriteError::Refused(words, "where they were measured twice, add --yes"))
        }
        _ => Ok(text),
    }
}

/// What is to be asked about the day of a run; nothing where the sheet can't be read, which is
/// said elsewhere.
fn of_an_earlier_day(source: &Source, day: &str) -> Option<String> {
    before_the_last(&FieldSheet::read(source).ok()?.record, day)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn passed(arguments: &[&str]) -> Vec<String> {
        let all = arguments.iter().map(OsString::from);
        with_negative_values(all).into_iter().map(|one| one.to_string_lossy().into()).collect()
    }

    #[test]
    fn negative_values_are_no_options() {
        let words = ["alleytrue", "--ascii", "record", "s.toml", "pass", "-1", "-.5 in", "--note"];
        let kept = [
            "alleytrue",
            "--ascii",
            "record",
            "s.toml",
            "pass",
            "\u{2212}1",
            "\u{2212}.5 in",
            "--note",
        ];
        assert_eq!(passed(&words), kept);
        assert_eq!(passed(&["alleytrue", "trip", "-1"]), ["alleytrue", "trip", "-1"]);
    }

    #[test]
    fn values_come_back_as_typed() {
        assert_eq!(said("\u{2212}1 in"), "-1 in");
        assert_eq!(said("4,"), "4,");
    }
}
