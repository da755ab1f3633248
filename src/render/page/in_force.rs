//! What is in force, what it rests on, and what it will be after the next step.

use crate::outcome::{Outcome, Report, SettingResult, ToDo, Verdict};
use crate::paper::{Facts, Holding};
use crate::record::{Checked, Subject, check};
use crate::render::{Style, harmless, text};

use super::material::Material;

/// How values are written on paper.
pub(super) const STYLE: Style = Style { ascii: false, colour: false };

/// What stands for a setting that was never set.
const NOT_SET: &str = "not set";

/// What is to be done with something that is in force.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum State {
    /// It is what the next step changes.
    Next,
    /// It stays.
    Leave,
    /// More is to be measured before anybody can tell; it stays till then.
    Measure,
    /// Its turn comes after the next step was measured.
    Later,
    /// Nothing tells of it.
    NotMeasured,
}

/// Something that is in force, or was measured.
#[derive(Clone, Debug)]
pub(super) struct InForce {
    /// What it is.
    pub(super) name: String,
    /// What the crew calls it.
    pub(super) called: Option<String>,
    /// What it is now.
    pub(super) now: String,
    /// What is to be done with it.
    pub(super) state: State,
    /// Readings and day that it rests on.
    pub(super) rests_on: String,
    /// The last day on which that holds.
    pub(super) until: Option<String>,
    /// Why it does not hold any more.
    pub(super) stale: Vec<String>,
}

impl InForce {
    /// Whether it was ever set.
    pub(super) fn is_in_force(&self) -> bool {
        self.now != NOT_SET
    }

    /// Its name, and what the crew calls it.
    pub(super) fn full_name(&self) -> String {
        with_label(&self.name, self.called.as_deref())
    }
}

/// A name with the crew's own label.
pub(super) fn with_label(name: &str, called: Option<&str>) -> String {
    called.map_or_else(
        || name.to_owned(),
        |called| format!("{name} \u{201c}{}\u{201d}", harmless(called)),
    )
}

/// Everything in force: what was measured in working order, then what the sheet holds besides.
pub(super) fn in_force(material: &Material<'_>) -> Vec<InForce> {
    let report = material.report;
    // What the record says of each by itself: what another row of the same calculation is to be
    // changed by is said in its own row.
    let bare = report.outcomes.iter().map(|outcome| Outcome::new(outcome.calculation)).collect();
    let checked = check(&material.sheet.record, &Report::of(bare), Some(material.date));
    let next = next_names(report);
    let mut all = vec![];
    for outcome in &report.outcomes {
        for setting in &outcome.settings {
            all.push(measured(setting, outcome, report, &checked, &next));
        }
    }
    let facts = &material.sheet.facts;
    for holding in &facts.settings {
        let known = report.outcomes.iter().flat_map(|outcome| &outcome.settings);
        if !known.into_iter().any(|row| row.key.as_deref() == Some(holding.key.as_str())) {
            all.push(InForce {
                name: holding.name.clone(),
                called: facts.called(&holding.key).map(str::to_owned),
                now: harmless(&holding.held),
                state: State::NotMeasured,
                rests_on: "not measured".into(),
                until: None,
                stale: vec![],
            });
        }
    }
    all
}

/// The names of what the next step sets.
fn next_names(report: &Report) -> Vec<&str> {
    match report.to_do() {
        ToDo::Set(settings) => settings.iter().map(|one| one.name.as_str()).collect(),
        _ => vec![],
    }
}

fn measured(
    setting: &SettingResult,
    outcome: &Outcome,
    report: &Report,
    checked: &[Checked],
    next: &[&str],
) -> InForce {
    let now = setting.now.as_ref().map_or(NOT_SET.into(), |now| text::as_held(now, STYLE));
    // What no controller holds and no hand has typed was measured on the ground.
    let is_held = Subject::of_result(setting).is_some();
    let adjusts =
        matches!(report.to_do(), ToDo::Adjust(step) if step.calculation == outcome.calculation);
    let state = match &setting.verdict {
        Verdict::Change(_) if next.contains(&setting.name.as_str()) || adjusts => State::Next,
        Verdict::Change(_) | Verdict::Wait(_) => State::Later,
        Verdict::Keep(_) | Verdict::Cause(_) => State::Leave,
        Verdict::Measure(_) => State::Measure,
    };
    let own = checked.iter().find(|one| outcome.calculation.key.starts_with(one.calculation.key));
    InForce {
        name: setting.name.clone(),
        called: report.called(setting).map(str::to_owned),
        now: if is_held || setting.now.is_none() { now } else { format!("{now} measured") },
        state,
        rests_on: rests_on(outcome, own),
        until: own.and_then(|one| one.until.clone()),
        stale: own.map_or(vec![], |one| one.stale.clone()),
    }
}

/// Readings and the day of the last run.
fn rests_on(outcome: &Outcome, checked: Option<&Checked>) -> String {
    let count = outcome.judgement.as_ref().map(|judgement| {
        let s = if judgement.count == 1 { "" } else { "s" };
        format!("{} {}{s}", judgement.count, judgement.subject)
    });
    let day = checked.and_then(|one| one.measured.clone());
    match (count, day) {
        (Some(count), Some(day)) => format!("{count}, {day}"),
        (Some(count), None) => format!("{count}, no date"),
        (None, Some(day)) => day,
        (None, None) => "the sheet".into(),
    }
}

/// What the sheet says, with what the next step sets as it is after the step: so that a list which
/// is ticked after the card says the same as the card.
pub(super) fn after_the_step(facts: &Facts, report: &Report) -> Facts {
    let mut facts = facts.clone();
    let ToDo::Set(changes) = report.to_do() else { return facts };
    for change in changes {
        let set = text::as_typed_before(change);
        match Subject::of_result(change) {
            Some(subject @ (Subject::Held(_) | Subject::Timed(_))) => {
                let (key, name) = (subject.key(), subject.name());
                match facts.settings.iter_mut().find(|holding| holding.key == key) {
                    Some(holding) => holding.held = set,
                    None => facts.settings.push(Holding { key, name, held: set }),
                }
            }
            Some(Subject::Sprocket { chain, driving }) => {
                let Some(teeth) = facts.sprockets.get_mut(chain.saturating_sub(1)) else {
                    continue;
                };
                #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // teeth
                let new = change.set.number() as u32;
                *(if driving { &mut teeth.0 } else { &mut teeth.1 }) = new;
            }
            _ => {}
        }
    }
    facts
}
