//! What the next changes would leave: each correction of `calibrate` made, on the controller's step, with
//! the interval it was found in as what stays open.

use crate::calculations::registry::Job;
use crate::calculations::{alley, changeover, depth, passes, trip};
use crate::outcome::setting::on_step;
use crate::outcome::warning::{ALLEY_WIDTH_OFF, MARK_LINE};
use crate::outcome::wording::with_unit;
use crate::outcome::{Decision, Outcome, Report, SettingResult, Verdict};
use crate::quantity::TimeUnit;
use crate::working::Value;

use super::known::{Known, Part};
use super::trial::{Trial, Trips};

/// The planter after the changes, and what they are, in the order they are made.
#[derive(Clone, Debug)]
pub struct Changed {
    /// What is known then.
    pub known: Known,
    /// The changes in words.
    pub changes: Vec<String>,
}

impl Changed {
    /// All changes that the report proposes and that bear on the trial, one after the other.
    #[must_use]
    pub fn of(known: &Known, job: &Job, report: &Report, trial: &Trial) -> Changed {
        let mut changed = Changed { known: known.clone(), changes: vec![] };
        let outcome =
            |key: &str| report.outcomes.iter().find(|outcome| outcome.calculation.key == key);
        changed.what_comes_first(report);
        if let Some(outcome) = outcome(depth::CALCULATION.key) {
            changed.depths(outcome);
        }
        let alleys = outcome(alley::CALCULATION.key);
        if let Some((alleys, timers)) = alleys.zip(outcome(changeover::CALCULATION.key)) {
            changed.width(alleys, timers, job);
        }
        // Where every mark gives a trip, the trip scale moves no plot.
        let counted = trial.trips == Trips::Counted;
        if let Some(outcome) = outcome(trip::CALCULATION.key).filter(|_| counted) {
            changed.trip(outcome, job);
        }
        let by_setback = alleys.is_some_and(|outcome| changed.setback(outcome, job));
        if let Some(outcome) = outcome(passes::CALCULATION.key).filter(|_| !by_setback) {
            changed.pass_offset(outcome, job);
        }
        if let Some(outcome) = alleys {
            changed.marks(outcome);
        }
        changed
    }

    /// What is to be done next of which the drawing knows nothing better: the meter, the speed.
    fn what_comes_first(&mut self, report: &Report) {
        let drawn = [&depth::CALCULATION, &changeover::CALCULATION, &trip::CALCULATION];
        let drawn = drawn.into_iter().chain([&alley::CALCULATION, &passes::CALCULATION]);
        let first = report.next.as_ref().map(|next| next.calculation);
        if let Some(first) = first.filter(|first| !drawn.clone().any(|own| own == first)) {
            let title = first.title.to_lowercase();
            self.changes.push(format!("what `calibrate` says of {title}"));
        }
    }

    fn say(&mut self, setting: &SettingResult, set: &Value) {
        self.changes.push(format!("the {} to {}", setting.name, with_unit(set)));
    }

    fn depths(&mut self, outcome: &Outcome) {
        let rows = outcome.settings.iter();
        let changing: Vec<bool> =
            rows.map(|row| matches!(row.verdict, Verdict::Change(_))).collect();
        if !changing.contains(&true) {
            return;
        }
        self.changes.push("the depth as `depth` says".into());
        // Depths of all rows together were measured as one.
        let one = changing.len() == 1;
        for (number, part) in self.known.depths.iter_mut().enumerate() {
            if changing.get(if one { 0 } else { number }) == Some(&true) {
                *part = part.set_right();
            }
        }
    }

    fn width(&mut self, alleys: &Outcome, timers: &Outcome, job: &Job) {
        let off = alleys.warnings.iter().any(|warning| warning.kind == &ALLEY_WIDTH_OFF);
        let change = timers.settings.iter().find(|one| matches!(one.verdict, Verdict::Change(_)));
        let (Some(change), true) = (change, off) else { return };
        let set = change.set.clone();
        self.say(change, &set);
        // A timer on its step is off by evenly up to half of it, times the speed.
        let of_step = job.changeover.as_ref().and_then(|inputs| {
            let step = inputs.step.as_ref()?.value_in(TimeUnit::Second);
            let speed = job.common.units.speed("ground speed", &inputs.speed).number();
            Some(step * speed / 12.0_f64.sqrt())
        });
        let mut part = self.known.width.set_right();
        if let Some(shared) = &mut part.shared {
            shared.standard_error = shared.standard_error.hypot(of_step.unwrap_or(0.0));
        }
        self.known.width = part;
    }

    fn trip(&mut self, outcome: &Outcome, job: &Job) {
        let change = outcome.settings.iter().find(|one| matches!(one.verdict, Verdict::Change(_)));
        let (Some(change), Some(inputs)) = (change, &job.trip) else { return };
        self.say(change, &change.set);
        let units = &job.common.units;
        let spacing = units.length("plot", &inputs.plot) + units.length("alley", &inputs.alley);
        let left = trip::error_per_plot(inputs.kind, &spacing, &change.set, &change.exact);
        if let Some(shared) = &mut self.known.trip.shared
            && shared.readings > 0
        {
            shared.estimate = left.number();
        }
    }

    /// Whether the setback takes the shift out.
    fn setback(&mut self, outcome: &Outcome, job: &Job) -> bool {
        let Some(inputs) = &job.alley else { return false };
        let drifts = outcome
            .judgement
            .as_ref()
            .is_some_and(|judgement| matches!(judgement.decision, Decision::Wait(_)));
        // What waits for the width is set after it.
        let wanted = |one: &&SettingResult| match one.verdict {
            Verdict::Change(_) => true,
            Verdict::Wait(_) => !drifts,
            Verdict::Keep(_) | Verdict::Measure(_) | Verdict::Cause(_) => false,
        };
        let Some(change) = outcome.settings.iter().find(wanted) else { return false };
        let units = &job.common.units;
        let set = match (&change.verdict, inputs.setback.step(units)) {
            (Verdict::Change(_), _) => change.set.clone(),
            (_, Some(step)) => on_step(&change.name, &change.exact, &step),
            (_, None) => change.exact.clone(),
        };
        self.say(change, &set);
        self.move_back(inputs.setback.moved_back(&inputs.setback.now(units), &set).number());
        true
    }

    fn pass_offset(&mut self, outcome: &Outcome, job: &Job) {
        let offset = job.passes.as_ref().and_then(|inputs| inputs.offset.as_ref());
        let change = outcome.settings.iter().find(|one| matches!(one.verdict, Verdict::Change(_)));
        let (Some(change), Some(offset)) = (change, offset) else { return };
        self.say(change, &change.set);
        let units = &job.common.units;
        self.move_back(offset.moved_back(&offset.now(units), &change.set).number());
    }

    fn move_back(&mut self, by: f64) {
        if let Some(shared) = &mut self.known.centre.shared {
            shared.estimate -= by;
        }
    }

    fn marks(&mut self, outcome: &Outcome) {
        let off = outcome.warnings.iter().any(|warning| warning.kind == &MARK_LINE);
        if let (true, Some(marks)) = (off, &mut self.known.marks) {
            self.changes.push("the marks, staked anew".into());
            marks.estimate = 0.0;
        }
    }
}

impl Part {
    /// The same with its error set to nothing, as sure as it is known.
    pub(super) fn set_right(&self) -> Part {
        let shared = self.shared.map(|shared| super::known::Shared { estimate: 0.0, ..shared });
        Part { shared, ..*self }
    }
}
