//! The outcomes of a sheet in working order.

use super::Outcome;
use super::by_hand::ByHand;
use super::next::{Calculation, Next};
use super::setting::{Setting, Verdict};

/// The results in working order.
#[derive(Clone, Debug)]
pub struct Report {
    /// One outcome per calculation.
    pub outcomes: Vec<Outcome>,
    /// The one thing to change next; `None` where nothing has to change.
    pub next: Option<Next>,
    /// Settings that the sheet holds and nothing measures, where measuring them is the next step.
    pub not_measured: Vec<&'static Setting>,
}

/// What was changed by hand and not measured since.
#[derive(Clone, Debug)]
pub struct NotMeasured {
    /// The calculation that tells of it.
    pub calculation: Calculation,
    /// What was adjusted.
    pub what: ByHand,
    /// Whether it was the last change of all: nothing else is changed before it is measured.
    pub is_last: bool,
    /// What it is and when it was changed.
    pub words: String,
}

impl NotMeasured {
    /// Whether a step has to wait for it.
    fn holds_up(&self, next: &Next) -> bool {
        self.is_last && !next.by_hand.iter().any(|one| self.what.goes_with(one.what))
    }
}

impl Report {
    /// A report of outcomes already in working order.
    #[must_use]
    pub fn of(outcomes: Vec<Outcome>) -> Report {
        let next = outcomes.iter().find_map(|outcome| outcome.next.clone());
        // What no step can reach holds up nothing that can be changed.
        let next = next.or_else(|| outcomes.iter().find_map(Outcome::step_at_fault));
        Report { outcomes, next, not_measured: vec![] }
    }

    /// The same report; where hands adjusted something that was not measured since, that is the next
    /// step, before anything else is changed.
    pub(crate) fn or_measure_since(mut self, not_measured: &[NotMeasured]) -> Report {
        let held_up = |next: &Next| not_measured.iter().any(|one| one.holds_up(next));
        if let (true, Some(first)) = (self.next.as_ref().is_none_or(held_up), not_measured.first())
        {
            let words: Vec<&str> = not_measured.iter().map(|one| one.words.as_str()).collect();
            let instruction = format!("not measured since: {}; measure again", words.join("; "));
            self.next = Some(Next::only(first.calculation, instruction));
        }
        self
    }

    /// The same report; where nothing is left to change or to measure, what scatters single ones is to
    /// be looked for. It comes last, since what is never found would hold up everything else.
    pub(crate) fn or_look_for_causes(mut self) -> Report {
        let cause = || self.outcomes.iter().find_map(Outcome::cause_to_look_for);
        self.next = self.next.take().or_else(cause);
        self
    }

    /// The same report as it is shown: one thing is changed at a time, so every other setting that is
    /// to be changed waits for the next step.
    #[must_use]
    pub fn one_at_a_time(mut self) -> Report {
        let Some(next) = &self.next else { return self };
        let first = match &next.setting {
            Some(name) if name == "sprockets" => "the sprockets first".to_owned(),
            Some(name) => format!("the {name} first"),
            None => format!("{} first", next.calculation.title.to_lowercase()),
        };
        let others = self.outcomes.iter_mut().filter(|one| one.calculation != next.calculation);
        for setting in others.flat_map(|outcome| &mut outcome.settings) {
            if matches!(setting.verdict, Verdict::Change(_)) {
                *setting = setting.clone().waiting(format!("{first}; then measure again"));
            }
        }
        self
    }

    /// The same report; where it has no next step but runs were made for something else than the
    /// sheet is for, measuring again is the next step: a calibration holds for one operating point.
    pub(crate) fn or_measure_again(mut self, made_for_other: &[String]) -> Report {
        let last = self.outcomes.last().map(|outcome| outcome.calculation);
        if let (None, Some(calculation), false) = (&self.next, last, made_for_other.is_empty()) {
            let why = made_for_other.join("; ");
            let instruction = format!(
                "nothing to change by what was measured, but the runs don't fit what the sheet is \
                 for: {why}; measure again"
            );
            self.next = Some(Next::only(calculation, instruction));
        }
        self
    }

    /// The same report; where it has no next step but settings were never measured, that is the
    /// next step.
    pub(crate) fn or_measure(mut self, held: &[&'static Setting]) -> Report {
        let measured = |key| {
            let mut settings = self.outcomes.iter().flat_map(|outcome| &outcome.settings);
            settings.any(|setting| setting.key == Some(key))
        };
        let untested: Vec<&'static Setting> =
            held.iter().copied().filter(|setting| !measured(setting.key)).collect();
        let last = self.outcomes.last().map(|outcome| outcome.calculation);
        if let (None, Some(first), Some(calculation)) = (&self.next, untested.first(), last) {
            let names: Vec<&str> = untested.iter().map(|setting| setting.name).collect();
            self.next = Some(Next {
                calculation,
                setting: Some(first.name.into()),
                now: None,
                set: None,
                by_hand: vec![],
                instruction: format!(
                    "nothing to change in what was measured; not measured yet: {}",
                    names.join(", ")
                ),
            });
            self.not_measured = untested;
        }
        self
    }
}
