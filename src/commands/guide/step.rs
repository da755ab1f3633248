//! The next step of a sheet: said with its cautions, taken, and written.

use crate::outcome::cautions::ON_THE_RANGE;
use crate::outcome::{Caution, Next, Report, ToDo};
use crate::sheet::writing::{KINDS, Kind, last_said};

use super::change;
use super::desk::{Desk, Read};
use super::halt::Going;
use super::kept::Unrecorded;
use super::kinds::{called, cautions_of, for_calculation, named};
use super::lines::{Answer, Talk};
use super::questions::HEADING;
use super::readings::{begun, measure};

/// Takes the next step; whether there may be a further one.
pub(super) fn next(desk: &mut Desk, talk: &mut Talk<'_>) -> Going<bool> {
    let mut read = desk.read(talk)?;
    let report = desk.report(&mut read, talk)?;
    talk.print("\n")?;
    match (report.to_do(), &report.next) {
        (ToDo::Set(_) | ToDo::Adjust(_), Some(next)) => {
            say(talk, next, cautions(&report, next))?;
            if let Some(kind) = change::make(desk, talk, &read.sheet, &report)? {
                let run = begun(desk, kind, vec![]);
                both_headings(desk, talk, run)?;
            }
            Ok(true)
        }
        (_, Some(next)) if is_last(&report, next) => {
            talk.say("Next: ", &format!("{}.", next.instruction))?;
            talk.say("", "That is found on the planter: nothing is left to set or to measure.")?;
            Ok(false)
        }
        (_, Some(next)) => look(desk, talk, &read, &report, next),
        (_, None) if read.sheet.record.runs.is_empty() && read.sheet.record.held.is_empty() => {
            talk.say("", "The sheet holds no setting, and nothing was measured yet.")?;
            measure_one(desk, talk, None)
        }
        (_, None) => {
            talk.say("", "Nothing is left to change or to measure.")?;
            Ok(false)
        }
    }
}

/// Whether what is next is a cause to look for, which no reading brings nearer.
fn is_last(report: &Report, next: &Next) -> bool {
    report.cause_to_look_for().is_some_and(|cause| cause.instruction == next.instruction)
}

/// The cautions that go with a step.
fn cautions(report: &Report, next: &Next) -> Vec<&'static Caution> {
    let own = report.outcomes.iter().find(|outcome| outcome.calculation == next.calculation);
    own.map_or(ON_THE_RANGE.to_vec(), |outcome| outcome.cautions.clone())
}

fn say(talk: &mut Talk<'_>, next: &Next, cautions: Vec<&'static Caution>) -> Going<()> {
    talk.say("Next: ", &format!("{}.", next.instruction))?;
    for one in cautions {
        talk.say("  ! ", &format!("{} [{}]", one.text, one.source))?;
    }
    Ok(())
}

/// A step that measures, or looks at something.
fn look(
    desk: &mut Desk,
    talk: &mut Talk<'_>,
    read: &Read,
    report: &Report,
    next: &Next,
) -> Going<bool> {
    let kind = for_calculation(next.calculation);
    let mut all = cautions(report, next);
    all.extend(
        kind.map_or(&[][..], cautions_of)
            .iter()
            .filter(|one| !all.contains(one))
            .copied()
            .collect::<Vec<_>>(),
    );
    say(talk, next, all)?;
    if let Some((subject, fault)) = change::fault(report)
        && change::put_right(desk, talk, &read.sheet, subject, fault)?
    {
        return Ok(true);
    }
    measure_one(desk, talk, kind)
}

/// Asks what was measured, and takes it.
fn measure_one(desk: &mut Desk, talk: &mut Talk<'_>, kind: Option<&'static Kind>) -> Going<bool> {
    let names: Vec<&str> = KINDS.iter().map(|kind| kind.name).collect();
    let prompt = match kind {
        Some(kind) => format!("planted? Enter: measure {} ({})", called(kind, &[]).1, kind.name),
        None => "what is measured?".to_owned(),
    };
    let help = format!(
        "plant a test range, wait until the planter stands, then Enter; or what is measured \
         instead: {}",
        names.join(", ")
    );
    loop {
        let kind = match (talk.ask(&prompt, &help)?, kind) {
            (Answer::Enter, Some(kind)) => Some(kind),
            (Answer::Text(text), Some(kind)) if super::lines::is_yes(&text) => Some(kind),
            (Answer::Text(text), _) => named(&text),
            _ => None,
        };
        match kind {
            Some(kind) => {
                let run = begun(desk, kind, vec![]);
                return both_headings(desk, talk, run).map(|()| true);
            }
            None => talk.say("  ", &help)?,
        }
    }
}

/// Goes on with a run that was begun before.
pub(super) fn resume(desk: &mut Desk, talk: &mut Talk<'_>, run: Unrecorded) -> Going<()> {
    let (one, many) = called(run.kind, &run.answers);
    let count = run.readings.len();
    let readings: Vec<String> = run.readings.iter().map(|both| both.join("/")).collect();
    let answers: Vec<String> = run
        .answers
        .iter()
        .map(|(key, value)| format!("{} {value}", key.replace('-', " ")))
        .collect();
    let what = [answers, vec![run.day.clone()]].concat().join(", ");
    let words = format!(
        "{count} {} ({what}): {}",
        if count == 1 { &one } else { many },
        readings.join("  ")
    );
    talk.say("Kept from last time: ", words.trim_end_matches([':', ' ']))?;
    both_headings(desk, talk, run)
}

/// Measures a run, and where it is of alleys of one heading, those of the other: only both tell a
/// shift of the planter from marks that stand off.
fn both_headings(desk: &mut Desk, talk: &mut Talk<'_>, run: Unrecorded) -> Going<()> {
    let kind = run.kind;
    if !measure(desk, talk, run)? {
        return Ok(());
    }
    let read = desk.read(talk)?;
    let Some(heading) = last_said(read.source.text(), kind, HEADING) else { return Ok(()) };
    if read.sheet.job.common.one_way {
        return Ok(());
    }
    desk.headings.insert(heading);
    let other = ["out", "home"].into_iter().find(|one| !desk.headings.contains(*one));
    let Some(other) = other else { return Ok(()) };
    let way = if other == "out" { "going out" } else { "coming home" };
    let help = "Enter: they are next, which tells a shift of the planter from marks that stand off; \
                n: not now";
    let prompt = format!("alleys {way} too? (Enter: yes, n)");
    if !talk.is_so(&prompt, Some(true), help)? {
        // Asked once for a change is enough.
        desk.headings.insert(other.to_owned());
        return Ok(());
    }
    let run = begun(desk, kind, vec![(HEADING, other.to_owned())]);
    both_headings(desk, talk, run)
}
