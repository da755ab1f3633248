//! Which change to make: one at a time, and none that a run from before it proves.

use crate::calibration::operating_point::Part;
use crate::calibration::sequence::Report;
use crate::calibration::{Value, Verdict, spacing};

use super::check::made_before_change;
use super::{Change, Record, Run, Subject};

/// A change worked out by the calculations, on its way into the sheet.
#[derive(Clone, Debug)]
pub struct Wanted {
    /// What is to change.
    pub setting: Subject,
    /// The new value.
    pub set: Value,
    /// Whether the controller's step made it, so that every digit counts.
    pub on_step: bool,
    /// The error it takes out.
    pub error: Option<Value>,
    /// Why.
    pub reason: String,
    /// The runs it came from.
    pub runs: Vec<String>,
}

/// Why no change can be put into the sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoChange {
    /// There is nothing to change.
    Nothing(String),
    /// The next step is to be measured or done by hand.
    ByHand(String),
    /// The setting that was named is not one to change now.
    NotNow(String),
    /// It would be two changes at once.
    Two(String),
}

/// What to change: what was named, everything, or the report's next step.
#[derive(Clone, Copy, Debug)]
pub enum Choice<'a> {
    /// The report's next step.
    Next,
    /// One setting by its key.
    Named(Subject),
    /// Several settings by their keys.
    Several(&'a [Subject]),
    /// Everything that has to change.
    All,
}

/// Why two changes at once are refused.
const ONE_AT_A_TIME: &str =
    "after two changes nobody can tell which of them did what; plant and measure between them";

/// The changes that a report asks for, as chosen.
///
/// # Errors
///
/// [`NoChange`] where there are none, or too many.
pub fn choose(
    report: &Report,
    record: &Record,
    choice: Choice<'_>,
) -> Result<Vec<Wanted>, NoChange> {
    let all = open_changes(report, record);
    let chosen = match choice {
        Choice::All if all.is_empty() => return Err(nothing(report)),
        Choice::All => return Ok(all),
        Choice::Several(subjects) => {
            let names: Vec<String> = subjects.iter().map(Subject::name).collect();
            return Err(NoChange::Two(format!("{} at once: {ONE_AT_A_TIME}", names.join(" and "))));
        }
        Choice::Named(subject) => named(report, all, subject)?,
        Choice::Next => next(report, all)?,
    };
    if let Some(open) = unmeasured(record) {
        return Err(NoChange::Two(format!(
            "the {} was changed on {} and has not been measured since: {ONE_AT_A_TIME}",
            open.setting.name(),
            open.date
        )));
    }
    if let Some(why) = chosen.iter().find_map(|one| proved_by_old(one, record)) {
        return Err(NoChange::NotNow(why));
    }
    Ok(chosen)
}

/// The newest change that nothing has been measured after, if there is one. A sprocket needs no
/// run: its spacing is worked out.
fn unmeasured(record: &Record) -> Option<&Change> {
    let last = record.changes.last()?;
    let proof = last.setting.calibration().proof;
    let pending = !proof.is_empty() && record.live(proof).next().is_none();
    pending.then_some(last)
}

/// Why a change would correct twice: a run that it comes from was made before the last change.
fn proved_by_old(wanted: &Wanted, record: &Record) -> Option<String> {
    let of_run = |place: usize| record.runs.get(place).map(Run::name);
    let old = made_before_change(record).into_iter();
    let mut old = old.filter_map(|(place, words)| Some((of_run(place)?, words)));
    let (name, words) = old.find(|(name, _)| wanted.runs.contains(name))?;
    Some(format!(
        "the {}: {name} was {words}; correcting by it would correct twice: take it out, or mark it \
         by `out-of-date`",
        wanted.setting.name()
    ))
}

fn next(report: &Report, all: Vec<Wanted>) -> Result<Vec<Wanted>, NoChange> {
    let Some(next) = &report.next else { return Err(nothing(report)) };
    let of_next = |wanted: &Wanted| match wanted.setting {
        // Swaps of one combination are one change.
        Subject::Sprocket { .. } => next.calculation.key == spacing::CALCULATION.key,
        Subject::Held(setting) => next.setting.as_deref() == Some(setting.name),
    };
    let chosen: Vec<Wanted> = all.into_iter().filter(of_next).collect();
    match chosen.is_empty() {
        false => Ok(chosen),
        true if report.not_measured.is_empty() => Err(NoChange::ByHand(next.instruction.clone())),
        true => Err(nothing(report)),
    }
}

fn named(report: &Report, all: Vec<Wanted>, subject: Subject) -> Result<Vec<Wanted>, NoChange> {
    let same = |other: &Subject| match (subject, other) {
        (Subject::Sprocket { .. }, Subject::Sprocket { .. }) => true,
        (one, other) => one == *other,
    };
    let chosen: Vec<Wanted> = all.into_iter().filter(|one| same(&one.setting)).collect();
    if !chosen.is_empty() {
        return Ok(chosen);
    }
    let name = subject.name();
    let mut results = report.outcomes.iter().flat_map(|outcome| &outcome.settings);
    let why = match results.find(|result| Subject::of_result(result) == Some(subject)) {
        Some(result) => {
            format!("the {name}: {}: {}", result.verdict.word(), result.verdict.reason())
        }
        None => format!("the sheet has no runs that tell what the {name} should be"),
    };
    Err(NoChange::NotNow(why))
}

fn nothing(report: &Report) -> NoChange {
    if !report.not_measured.is_empty() {
        let names: Vec<&str> = report.not_measured.iter().map(|setting| setting.name).collect();
        return NoChange::Nothing(format!(
            "what was measured stays as it is; measure these next: {}",
            names.join(", ")
        ));
    }
    NoChange::Nothing(match &report.next {
        Some(next) => next.instruction.clone(),
        None => "every setting that was measured stays as it is".into(),
    })
}

/// Every setting that a report changes.
fn open_changes(report: &Report, record: &Record) -> Vec<Wanted> {
    let mut all = Vec::new();
    for outcome in &report.outcomes {
        for result in &outcome.settings {
            let (Some(setting), Verdict::Change(words)) =
                (Subject::of_result(result), &result.verdict)
            else {
                continue;
            };
            let error = outcome.judgement.as_ref().map(|judgement| judgement.error.clone());
            let reason = match &error {
                Some(error) => format!(
                    "{} {}",
                    error.name().unwrap_or("error"),
                    crate::calibration::outcome::in_words(error)
                ),
                None => words.clone(),
            };
            all.push(Wanted {
                setting,
                set: result.set.clone(),
                on_step: result.set.number() != result.exact.number(),
                error,
                reason,
                runs: sources(record, setting),
            });
        }
    }
    all
}

/// The runs that a setting is worked out from.
fn sources(record: &Record, setting: Subject) -> Vec<String> {
    let tables: &[&str] = match setting {
        Subject::Sprocket { .. } => &["wheel-run"],
        Subject::Held(_) => setting.calibration().proof,
    };
    let present = |run: &&Run| !run.point.differs(&record.present, Part::Speed, &record.planter);
    let runs: Vec<&Run> = record.live(tables).filter(present).collect();
    // Widths taped in alley runs speak for the timers where nothing else does.
    let runs = if runs.is_empty() && tables == ["changeover-run"] {
        record.live(&["alley-run"]).filter(present).collect()
    } else {
        runs
    };
    runs.into_iter().map(Run::name).collect()
}
