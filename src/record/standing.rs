//! What holds, as one judgement: the report, with measuring again as the next step where nothing is
//! to be changed and not every calibration holds.

use crate::calculations::{alley, changeover, passes, spacing, speed, wheel};
use crate::outcome::{Next, Report};

use super::Record;
use super::check::{Checked, check};

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
    let checked = check(record, &report, on);
    let first = measure_first(record, &report);
    let report = match report.next {
        Some(next) => Report { next: Some(first.unwrap_or(next)), ..report },
        None => Report {
            next: measure_next(&checked, !report.outcomes.is_empty())
                .or_else(|| report.cause_to_look_for()),
            not_measured: never_measured(&checked).collect(),
            ..report
        },
    };
    Standing { report, checked }
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
fn measure_next(checked: &[Checked], is_measured: bool) -> Option<Next> {
    let open = || checked.iter().filter(|one| !one.stale.is_empty());
    let first = open().next()?;
    let nothing = "nothing to change in what was measured".to_owned();
    let mut parts: Vec<String> = is_measured.then_some(nothing).into_iter().collect();
    let never: Vec<&str> = never_measured(checked).collect();
    if !never.is_empty() {
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
