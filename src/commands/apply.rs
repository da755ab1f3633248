//! `apply`: the one next setting put into a sheet, with a line of history.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use clap::Args;

use crate::calculations::guess_rows::AT_THE_HITCH;
use crate::calculations::speed_law;
use crate::outcome::cautions::{AT_THE_DRIVE, AT_THE_OPENERS, CHANGEOVER, ON_THE_RANGE};
use crate::outcome::{ByHand, Caution, Outcome, Report, Warning};
use crate::quantity::Speed;
use crate::record::{Choice, NoChange, Subject, choose, choose_by_hand, setback_for, unlikely};
use crate::render::{Style, diagnostics, difference, harmless, shell_word, text};
use crate::sheet::writing::{
    Correction, Held, ReplaceError, WriteError, adopt_speed, apply, apply_by_hand, correct, signed,
};
use crate::sheet::{FieldSheet, NewText, Source, sharing};

use super::changed::{Ended, change_sheet};
use super::dates::{ask, before_the_last, day, today};
use super::exit::Exit;
use super::given::NotKept;
use super::mistakes::{refuse as refuse_sheet, refuse_text};
use super::options::{Readings, measure_option};
use super::output::complain;

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Field sheet.
    sheet: PathBuf,
    /// Setting to change instead of the next one, such as setback or chain-1-driven; with a value of
    /// your own behind `=`.
    #[arg(long, value_name = "KEY[=VALUE]", value_parser = chosen, conflicts_with_all = ["all", "undo", "not_set", "was", "turn", "learn"])]
    setting: Vec<Chosen>,
    /// Everything that has to change, at once.
    #[arg(long, conflicts_with_all = ["undo", "not_set", "was", "turn", "learn"])]
    all: bool,
    /// Make this the speed of the trial, with the setback that the speed law has for it.
    #[arg(long, value_name = "SPEED", value_parser = ground_speed, conflicts_with_all = ["setting", "all", "undo", "not_set", "was", "turn", "learn"])]
    speed: Option<Speed>,
    #[command(flatten)]
    readings: Readings,
    /// Take the last change back, in the sheet and on the planter.
    #[arg(long, conflicts_with_all = ["not_set", "was", "turn", "learn"])]
    undo: bool,
    /// The last change of this setting was never made on the planter.
    #[arg(long, value_name = "KEY", value_parser = subject, conflicts_with_all = ["was", "turn", "learn"])]
    not_set: Option<Subject>,
    /// At the last change of this setting another number was keyed in.
    #[arg(long, value_name = "KEY=VALUE", value_parser = valued, conflicts_with_all = ["turn", "learn"])]
    was: Option<Chosen>,
    /// This setting, or depth-turns, works the other way round than the sheet says.
    #[arg(long, value_name = "KEY", value_parser = turned, conflicts_with = "learn")]
    turn: Option<Subject>,
    /// Put into the sheet which way and how far this setting moves alleys, as its last change showed.
    #[arg(long, value_name = "KEY", value_parser = subject)]
    learn: Option<Subject>,
    #[command(flatten)]
    not_kept: NotKept,
    /// Day of the change [default: today].
    #[arg(long, value_parser = day)]
    date: Option<String>,
    /// Why, instead of the error that was measured.
    #[arg(long)]
    reason: Option<String>,
    /// Who makes the change: a name or initials.
    #[arg(long, value_name = "NAME")]
    by: Option<String>,
    /// Change it although the day lies before the last run or change, or the value seems to be in
    /// another unit.
    #[arg(long)]
    yes: bool,
    /// Show what would be written, and write nothing.
    #[arg(long)]
    dry_run: bool,
}

/// A setting, and what it is to be where that is said.
#[derive(Clone, Debug)]
struct Chosen {
    subject: Subject,
    value: Option<String>,
}

fn chosen(text: &str) -> Result<Chosen, String> {
    let (key, value) = match text.split_once('=') {
        Some((key, value)) => (key, Some(value.trim().to_owned())),
        None => (text, None),
    };
    Ok(Chosen { subject: subject(key)?, value })
}

fn valued(text: &str) -> Result<Chosen, String> {
    let chosen = chosen(text)?;
    let none = || "write the number that was keyed in behind it, such as setback=\"24 in\"".into();
    if chosen.value.is_some() { Ok(chosen) } else { Err(none()) }
}

fn ground_speed(text: &str) -> Result<Speed, String> {
    measure_option(text, &crate::quantity::bounds::SPEED)
}

fn subject(text: &str) -> Result<Subject, String> {
    Subject::of_key(text.trim()).ok_or_else(|| {
        "write the key of a setting: trip-scale, setback, pass-offset, the wait or length of \
         an action such as fill.wait or fill.for, chain-1-driving, chain-1-driven, throttle, marks, \
         chain-row-2, depth-row-2, depth-all, hitch, \
         planter, plate, plate-cells, plate-carry, seed, vacuum, tyres, soil"
            .into()
    })
}

/// A setting that has a direction in the sheet; or any other, which is refused with its name.
fn turned(text: &str) -> Result<Subject, String> {
    Subject::direction_of(text.trim()).map_or_else(|| subject(text), Ok)
}

/// What is asked of a sheet in a conversation.
#[derive(Clone, Debug)]
pub(super) enum Asked {
    /// The next step, as it is advised.
    Next,
    /// A value of the crew's own instead.
    Own(Subject, String),
    /// The last change was never made on the planter.
    NotSet(Subject),
    /// At the last change another number was keyed in.
    Was(Subject, String),
    /// It works the other way round than the sheet says.
    Turn(Subject),
    /// Which way and how far it works, as its last change showed.
    Learn(Subject),
}

impl Arguments {
    /// The same as the command line would have it; what stands before is meant.
    pub(super) fn asked(
        sheet: &Path,
        readings: &Readings,
        asked: Asked,
        day: &str,
        by: Option<&str>,
    ) -> Arguments {
        let mut arguments = Arguments {
            sheet: sheet.to_owned(),
            not_kept: NotKept::default(),
            setting: vec![],
            all: false,
            speed: None,
            readings: readings.clone(),
            undo: false,
            not_set: None,
            was: None,
            turn: None,
            learn: None,
            date: Some(day.to_owned()),
            reason: None,
            by: by.map(str::to_owned),
            yes: true,
            dry_run: false,
        };
        let valued = |subject, value| Chosen { subject, value: Some(value) };
        match asked {
            Asked::Next => {}
            Asked::Own(subject, value) => arguments.setting = vec![valued(subject, value)],
            Asked::NotSet(subject) => arguments.not_set = Some(subject),
            Asked::Was(subject, value) => arguments.was = Some(valued(subject, value)),
            Asked::Turn(subject) => arguments.turn = Some(subject),
            Asked::Learn(subject) => arguments.learn = Some(subject),
        }
        arguments
    }

    fn choice<'a>(&self, subjects: &'a [Subject]) -> Choice<'a> {
        match subjects {
            _ if self.all => Choice::All,
            [] => Choice::Next,
            [one] => Choice::Named(*one),
            several => Choice::Several(several),
        }
    }

    /// What is to be put right, where nothing is to be worked out.
    fn correction(&self) -> Option<Correction> {
        if self.undo {
            return Some(Correction::Undo);
        }
        if let Some(subject) = self.not_set {
            return Some(Correction::NotSet(subject));
        }
        if let Some(Chosen { subject, value: Some(value) }) = &self.was {
            return Some(Correction::Was(*subject, value.clone()));
        }
        if let Some(subject) = self.turn {
            return Some(Correction::Turn(subject));
        }
        match self.setting.as_slice() {
            [Chosen { subject, value: Some(value) }] => {
                Some(Correction::Own(*subject, value.clone()))
            }
            _ => None,
        }
    }
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    change_sheet(&arguments.sheet, style, out, || changed(arguments, style))
}

/// The settings changed, where nothing speaks against it.
pub(super) fn changed(arguments: &Arguments, style: Style) -> Result<Ended, ReplaceError> {
    let held = Held::take(&arguments.sheet)?;
    let source = held.source();
    if let Some(wrong) = arguments.not_kept.wrong() {
        refuse_sheet(source, &[wrong], style);
        return Ok(Ended::Refused(Exit::CouldNot));
    }
    let could_not = |words: &str| {
        complain(words);
        Ok(Ended::Refused(Exit::CouldNot))
    };
    let mut sheet = match FieldSheet::read(source) {
        Ok(sheet) => sheet,
        Err(mistakes) => {
            let undone = "nothing was written";
            return could_not(&diagnostics::mistakes_then(source, &mistakes, undone, style));
        }
    };
    let day = arguments.date.clone().unwrap_or_else(today);
    let reason = arguments.reason.as_deref();
    if let Err(mistake) = arguments.readings.apply(&mut sheet.job, None) {
        refuse_sheet(source, &[mistake], style);
        return Ok(Ended::Refused(Exit::CouldNot));
    }
    let report = match sheet.calibrate(Some(&day)) {
        Ok(standing) => standing.report,
        Err(error) => {
            let words = format!("error: {error}\nhelp: list only the sprockets at hand\n");
            return could_not(&words);
        }
    };
    let correction = match arguments.learn {
        Some(subject) => match learned(&report, subject) {
            Ok(correction) => Some(correction),
            Err(why) => return Ok(refuse(&why, style)),
        },
        None => arguments.correction(),
    };
    let chosen = match &correction {
        Some(correction) => {
            let written = correct(source, &sheet, correction, &day, reason);
            let name = shell_word(&arguments.sheet);
            written.map(|(text, settings)| (text, after(correction, &settings, &name, style)))
        }
        None => match arguments.chosen(source, &sheet, &report, &day, style) {
            Ok(chosen) => chosen,
            Err(why) => return Ok(refuse(&why, style)),
        },
    };
    let chosen =
        chosen.and_then(|(text, last)| Ok((signed(source, text, arguments.by.as_deref())?, last)));
    let (text, last) = match chosen {
        Ok(written) => written,
        Err(error) => return Ok(Ended::Refused(refuse_text(source, &error, style))),
    };
    let asks = !arguments.yes && !arguments.dry_run;
    if let (true, Some((subject, _))) = (asks, correction.as_ref().and_then(own_value))
        && let Some(words) = doubt(source, &sheet, &report, &text, subject)
    {
        let help = "write the value with its unit, as in setback=\"16 in\", or add --yes where it is \
                    meant";
        let (first, help) =
            (text::hanging("error: ", &words, style), text::hanging("help: ", help, style));
        return could_not(&format!("{first}\n{help}\n"));
    }
    if let (true, Some(words)) = (asks, before_the_last(&sheet.record, &day)) {
        return Ok(Ended::Refused(ask(&words, style)));
    }
    let shown = shown(source, &text);
    let name = harmless(source.name());
    if arguments.dry_run {
        let last = format!("nothing was written: this is what would change in {name}");
        return Ok(Ended::Shown(format!("{shown}\n{last}\n")));
    }
    let others = match text.planter {
        Some(_) => others_share(held.source(), &arguments.sheet, style),
        None => String::new(),
    };
    held.replace(&text)?;
    let page = format!("{shown}\nwrote {name}: only the sheet has changed\n{others}{last}\n");
    Ok(Ended::Written { page, done: format!("the change is in {name}") })
}

/// The setting and the value where someone types one of their own.
fn own_value(correction: &Correction) -> Option<(Subject, &str)> {
    match correction {
        Correction::Own(subject, value) | Correction::Was(subject, value) => {
            Some((*subject, value))
        }
        _ => None,
    }
}

/// Why a setting's value in the new text may be in another unit than was meant.
fn doubt(
    source: &Source,
    sheet: &FieldSheet,
    report: &Report,
    text: &NewText,
    subject: Subject,
) -> Option<String> {
    let new = FieldSheet::read(&source.with_text(text)).ok()?;
    unlikely(&sheet.record, &new.record, report, subject)
}

/// The same of a value that is typed in a conversation.
pub(super) fn doubt_of(
    source: &Source,
    sheet: &FieldSheet,
    asked: &Asked,
    day: &str,
) -> Option<String> {
    let (subject, correction) = match asked {
        Asked::Own(subject, value) => (*subject, Correction::Own(*subject, value.clone())),
        Asked::Was(subject, value) => (*subject, Correction::Was(*subject, value.clone())),
        _ => return None,
    };
    let report = sheet.calibrate(Some(day)).ok()?.report;
    let (text, _) = correct(source, sheet, &correction, day, None).ok()?;
    doubt(source, sheet, &report, &text, subject)
}

/// The other sheets beside this one that have its planter, for whom it has changed too.
fn others_share(source: &Source, sheet: &Path, style: Style) -> String {
    let others: Vec<String> = sharing(source, sheet).iter().map(|path| shell_word(path)).collect();
    let name = source.shared_planter().map_or("", |(name, _)| name);
    let words = match others.as_slice() {
        [] => return format!("wrote {} too\n", harmless(name)),
        others => format!(
            "wrote {name} too, which {} {} as well: runs there that say nothing under `with` count as \
             made with the new value; run: alleytrue check {}",
            others.join(" and "),
            if others.len() == 1 { "names" } else { "name" },
            others.join(" ")
        ),
    };
    text::hanging("", &words, style) + "\n"
}

/// What changes in the sheet, and below its name what changes in the planter's file.
fn shown(source: &Source, text: &NewText) -> String {
    let own = difference::lines(source.text(), text);
    match (source.shared_planter(), &text.planter) {
        (Some((name, old)), Some(new)) => {
            format!("{own}\n{}:\n{}", harmless(name), difference::lines(old, new))
        }
        _ => own,
    }
}

impl Arguments {
    /// The text of the sheet with what was chosen, and what there is to do then.
    fn chosen(
        &self,
        source: &Source,
        sheet: &FieldSheet,
        report: &Report,
        day: &str,
        style: Style,
    ) -> Result<Result<(NewText, String), WriteError>, NoChange> {
        let subjects: Vec<Subject> = self.setting.iter().map(|one| one.subject).collect();
        let (choice, reason) = (self.choice(&subjects), self.reason.as_deref());
        if let Some(speed) = &self.speed {
            return self.at_speed(source, sheet, speed, day, style);
        }
        if let Some((changes, outcome)) = choose_by_hand(report, &sheet.record, choice)? {
            let text = apply_by_hand(source, sheet, &changes, day, reason);
            let warned = warnings(&[outcome], style);
            return Ok(text.map(|text| (text, warned + &steps_of_hands(outcome, style))));
        }
        let mut changes = choose(report, &sheet.record, choice)?;
        if let Some(words) = self.readings.left_out_words() {
            changes.iter_mut().for_each(|change| change.reason += &format!("; {words}"));
        }
        let settings: Vec<Subject> = changes.iter().map(|change| change.setting).collect();
        let own = |outcome: &&Outcome| {
            let mut all = outcome.settings.iter().filter_map(Subject::of_result);
            all.any(|subject| settings.contains(&subject))
        };
        let warned = warnings(&report.outcomes.iter().filter(own).collect::<Vec<_>>(), style);
        let text = apply(source, sheet, &changes, day, reason);
        Ok(text.map(|text| (text, warned + &by_hand(&settings, style))))
    }

    /// The same for another speed of the trial.
    fn at_speed(
        &self,
        source: &Source,
        sheet: &FieldSheet,
        speed: &Speed,
        day: &str,
        style: Style,
    ) -> Result<Result<(NewText, String), WriteError>, NoChange> {
        let Some(inputs) = sheet.job.speed_law.as_deref() else {
            let words = "the speed: the sheet has no alleys measured at two speeds or more, which is \
                         what tells the setback for another";
            return Err(NoChange::NotNow(words.into()));
        };
        let outcome = speed_law::setback_at(inputs, &sheet.job.common, speed, None);
        let setback = setback_for(&sheet.record, &outcome)?;
        let warned = warnings(&[&outcome], style);
        let text = adopt_speed(source, sheet, speed, setback.as_ref(), day, self.reason.as_deref());
        let next = format!(
            "drive by {speed}{}, plant a test range and measure again",
            if setback.is_some() { ", give the machine the new setback" } else { "" }
        );
        Ok(text.map(|text| (text, warned + &with_cautions(ON_THE_RANGE, &next, style))))
    }
}

/// The warnings that a calculation had, for who takes what it says.
fn warnings(outcomes: &[&Outcome], style: Style) -> String {
    let all = outcomes.iter().flat_map(|outcome| &outcome.warnings);
    let line = |one: &Warning| {
        let words = format!("{} [{}]", harmless(&one.message), one.kind.code);
        text::hanging("  - ", &words, style) + "\n"
    };
    let mut lines: Vec<String> = all.map(line).collect();
    let mut said = std::collections::BTreeSet::new();
    lines.retain(|line| said.insert(line.clone()));
    lines.concat()
}

/// The step that was put into the sheet, for who has yet to take it.
fn steps_of_hands(outcome: &Outcome, style: Style) -> String {
    let words = outcome.next.as_ref().map_or("", |next| &next.instruction);
    with_cautions(&outcome.cautions, &harmless(words), style)
}

/// What there is to do after something was put right.
fn after(correction: &Correction, settings: &[Subject], name: &str, style: Style) -> String {
    match correction {
        Correction::NotSet(_)
        | Correction::Was(..)
        | Correction::Turn(_)
        | Correction::Learn(..) => {
            text::hanging("Next: ", &format!("alleytrue calibrate {name}"), style)
        }
        Correction::Own(..) | Correction::Undo => by_hand(settings, style),
    }
}

/// What the last change of a setting showed.
fn learned(report: &Report, subject: Subject) -> Result<Correction, NoChange> {
    Correction::learned(report, subject).ok_or_else(|| {
        NoChange::NotNow(format!(
            "nothing was measured before and after a change of the {}, so nothing is to be learned",
            subject.name()
        ))
    })
}

/// What hands have to do now, and what keeps them whole.
fn by_hand(settings: &[Subject], style: Style) -> String {
    let any = |of: &dyn Fn(&Subject) -> bool| settings.iter().any(of);
    let (what, cautions): (_, &[&Caution]) =
        if any(&|setting| matches!(setting, Subject::Sprocket { .. })) {
            ("with the engine off, fit the sprockets", AT_THE_DRIVE)
        } else if any(&|setting| matches!(setting, Subject::Timed(_))) {
            ("give the machine the new setting", CHANGEOVER)
        } else {
            ("give the machine the new setting", ON_THE_RANGE)
        };
    let hand = settings.iter().find_map(|setting| match setting {
        Subject::Hand(what) => Some(*what),
        _ => None,
    });
    let (what, cautions) = hand.map_or((what, cautions), at_hand);
    let next = format!("{what}, plant a test range and measure again");
    with_cautions(cautions, &next, style)
}

/// Where hands go for an adjustment, and what keeps them whole there.
fn at_hand(what: ByHand) -> (&'static str, &'static [&'static Caution]) {
    match what {
        ByHand::Throttle => ("drive by the new throttle", ON_THE_RANGE),
        ByHand::Marks | ByHand::Staking => ("move the marks", ON_THE_RANGE),
        ByHand::Chain { .. } => ("with the engine off, jump the chain", AT_THE_DRIVE),
        ByHand::Depth { .. } => ("set the depth", AT_THE_OPENERS),
        ByHand::Hitch => ("set what the tractor goes by, or the hitch", AT_THE_HITCH),
        ByHand::Condition(_) => ("with the engine off, fit or load it", AT_THE_DRIVE),
    }
}

fn with_cautions(cautions: &[&Caution], next: &str, style: Style) -> String {
    let mut lines: Vec<String> = cautions
        .iter()
        .map(|one| text::hanging("  ! ", &format!("{} [{}]", one.text, one.source), style))
        .collect();
    lines.push(text::hanging("Next: ", next, style));
    lines.join("\n")
}

fn refuse(why: &NoChange, style: Style) -> Ended {
    let say = |first: &str, words: &str| text::hanging(first, words, style);
    let (error, help) = match why {
        NoChange::Nothing(words) => {
            return Ended::Shown(format!("{}\n", say("nothing to apply: ", words)));
        }
        NoChange::ByHand(words) => {
            let first = format!("no setting to put into the sheet; the next step is: {words}");
            let help = "do that, then put what was measured or fitted into the sheet";
            (say("error: ", &first), help)
        }
        NoChange::NotNow(words) => {
            (say("error: ", words), "`alleytrue calibrate` shows the one thing to do next")
        }
        NoChange::Two(words) => {
            (say("error: two changes: ", words), "measure first, or ask for it with --all")
        }
    };
    complain(&format!("{error}\n{}\n", say("help: ", help)));
    Ended::Refused(Exit::CouldNot)
}
