//! What holds, as one judgement: the report, with measuring again as the next step where nothing is
//! to be changed and not every calibration holds.

use crate::calculations::{alley, changeover, passes, spacing, speed, wheel};
use crate::outcome::warning::RUNS_APART;
use crate::outcome::{Next, Report, Verdict};

use super::check::{Checked, check};
use super::effects::CALIBRATIONS;
use super::{Record, Subject};

/// The results of a sheet on a day.
#[derive(Clone, Debug)]
pub struct Standing {
    /// The results, with the one next step.
    pub report: Report,
    /// Every calibration that the sheet has, and whether it holds.
    pub checked: Vec<Checked>,
}

/// A report with what of it holds on a day; on none, nothing is too old.
#[must_use]
pub fn standing(record: &Record, report: Report, on: Option<&str>) -> Standing {
    let report = doubts_first(record, report);
    let checked = check(record, &report, on);
    let first = measure_first(record, &report);
    let report = match report.next {
        Some(next) => Report { next: Some(first.unwrap_or(next)), ..report },
        None => Report {
            next: measure_next(record, &checked, !report.outcomes.is_empty())
                .or_else(|| report.cause_to_look_for()),
            not_measured: never_measured(&checked).collect(),
            ..report
        },
    };
    Standing { report, checked }
}

/// A change that did not do what it should has moved the runs of other settings less or otherwise than
/// the sheet has it, so that what they say is in doubt too: it is put right before anything is set by
/// them. Where something else was changed since, both were measured with it, and its own runs tell.
fn doubts_first(record: &Record, mut report: Report) -> Report {
    let mut changes = record.changes.iter().rev().map(|change| change.setting);
    let last =
        changes.find(|one| matches!(one, Subject::Held(_) | Subject::Hand(_)) && !one.is_beside());
    let doubted = report.outcomes.iter().find_map(|outcome| {
        let changed = outcome.in_doubt.filter(|one| last == Some(Subject::from(*one)))?;
        Some((changed, outcome.calculation))
    });
    let Some((changed, own)) = doubted else { return report };
    let moves = Subject::from(changed).effect().moves;
    let mut waits = vec![];
    for outcome in report.outcomes.iter_mut().filter(|outcome| outcome.calculation != own) {
        let proof = CALIBRATIONS.iter().find(|one| *one.calculation == outcome.calculation);
        if !proof.is_some_and(|one| one.proof.iter().any(|table| moves.contains(table))) {
            continue;
        }
        for result in &mut outcome.settings {
            result.verdict =
                Verdict::Wait(format!("what the change of the {} did comes first", changed.name()));
        }
        // What sets their runs apart is known.
        outcome.warnings.retain(|warning| *warning.kind != RUNS_APART);
        outcome.next = None;
        waits.push(outcome.calculation);
    }
    if report.next.as_ref().is_some_and(|next| waits.contains(&next.calculation)) {
        report.next = report.outcomes.iter().find_map(|outcome| outcome.next.clone());
        let called = std::mem::take(&mut report.called);
        return report.with_labels(&called);
    }
    report
}

fn never_measured(checked: &[Checked]) -> impl Iterator<Item = &'static str> {
    checked.iter().filter(|one| one.never_measured).map(|one| one.name)
}

/// Measuring the ground speed or the turns of the wheel, where a setting that rests on them is to be
/// changed and nobody ever did.
fn measure_first(record: &Record, report: &Report) -> Option<Next> {
    let next = report.next.as_ref().filter(|next| next.set.is_some() || next.sets_several())?;
    let key = next.calculation.key;
    let never = |table| !record.runs.iter().any(|run| run.counts_among(&[table]));
    let by_speed =
        [changeover::CALCULATION, changeover::ADVICE, alley::CALCULATION, passes::CALCULATION];
    let rests_on_speed =
        by_speed.iter().any(|one| one.key == key) && record.present.speed.is_some();
    if rests_on_speed && never("speed-run") {
        let instruction = format!(
            "time the ground speed first: it was never measured, and {} rests on it; drive a course at \
             planting throttle and gear, and record the times by `alleytrue record SHEET speed`; then: {}",
            next.calculation.title.to_lowercase(),
            next.instruction
        );
        return Some(Next::only(speed::CALCULATION, instruction));
    }
    if key == spacing::CALCULATION.key && record.known.travel_is_assumed && never("wheel-run") {
        let instruction = format!(
            "count the turns of the drive wheel first: how far it goes in a turn was never measured in \
             the soil to be planted, and the sprockets rest on it; record them by `alleytrue record \
             SHEET wheel`; then: {}",
            next.instruction
        );
        return Some(Next::only(wheel::CALCULATION, instruction));
    }
    None
}

/// The step that measures what does not hold.
fn measure_next(record: &Record, checked: &[Checked], is_measured: bool) -> Option<Next> {
    let open = || checked.iter().filter(|one| !one.stale.is_empty());
    let first = open().next()?;
    let nothing = "nothing to change in what was measured".to_owned();
    let mut parts: Vec<String> = is_measured.then_some(nothing).into_iter().collect();
    let mut never: Vec<&str> = never_measured(checked).collect();
    if !never.is_empty() {
        // What is measured rests on the speed it was planted at.
        let timed = record.runs.iter().any(|run| run.counts_among(&["speed-run"]));
        if record.present.speed.is_some() && !timed {
            never.insert(0, "ground speed");
        }
        parts.push(format!("not measured yet: {}", never.join(", ")));
    }
    let mut again = false;
    for one in open().filter(|one| !one.never_measured) {
        parts.push(format!("{}: {}", one.name, one.stale.join("; ")));
        again = true;
    }
    parts.extend(again.then(|| "measure again".to_owned()));
    let setting = first.never_measured.then(|| first.name.to_owned());
    Some(Next { setting, ..Next::only(first.calculation, parts.join("; ")) })
}
