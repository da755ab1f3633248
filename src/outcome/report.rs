//! The outcomes of a sheet in working order.

use super::Outcome;
use super::by_hand::ByHand;
use super::next::{Calculation, Next};
use super::setting::Verdict;

/// The results in working order.
#[derive(Clone, Debug)]
pub struct Report {
    /// One outcome per calculation.
    pub outcomes: Vec<Outcome>,
    /// The one thing to change next; `None` where nothing has to change.
    pub next: Option<Next>,
    /// What the sheet holds and nothing ever measured, where measuring it is the next step.
    pub not_measured: Vec<&'static str>,
}

/// What was changed and not measured since.
#[derive(Clone, Debug)]
pub struct NotMeasured {
    /// The calculation that tells of it.
    pub calculation: Calculation,
    /// What was adjusted, where it was by hand.
    pub by_hand: Option<ByHand>,
    /// Whether it was the last change of all: nothing else is changed before it is measured.
    pub is_last: bool,
    /// What it is and when it was changed.
    pub words: String,
}

impl NotMeasured {
    /// Whether a step has to wait for it.
    fn holds_up(&self, next: &Next) -> bool {
        let together = |own: ByHand| next.by_hand.iter().any(|one| own.goes_with(one.what));
        self.is_last && !self.by_hand.is_some_and(together)
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

    /// What to look for where nothing is left to change or to measure, and single ones are too often
    /// beyond their limit. It comes last, since what is never found would hold up everything else.
    pub(crate) fn cause_to_look_for(&self) -> Option<Next> {
        self.outcomes.iter().find_map(Outcome::cause_to_look_for)
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
}
