//! The outcomes of a sheet in working order.

use super::Outcome;
use super::by_hand::ByHand;
use super::next::{Calculation, Next};
use super::setting::{SettingResult, Verdict};
use super::to_do::ToDo;

/// The results in working order.
#[derive(Clone, Debug)]
pub struct Report {
    /// One outcome per calculation.
    pub outcomes: Vec<Outcome>,
    /// The one thing to change next; `None` where nothing has to change.
    pub next: Option<Next>,
    /// What the sheet holds and nothing ever measured, where measuring it is the next step.
    pub not_measured: Vec<&'static str>,
    /// The crew's own labels of settings, by the keys of those.
    pub called: Vec<(&'static str, String)>,
}

/// Steps that set several things in one change.
const TOGETHER: [&str; 2] = ["sprockets", "timers"];

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
        Report { outcomes, next, not_measured: vec![], called: vec![] }
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

    /// What the next step comes to.
    ///
    /// ```
    /// use alleytrue::outcome::ToDo;
    /// use alleytrue::sheet::{FieldSheet, Source, starter};
    /// let sheet = FieldSheet::read(&Source::new("sheet.toml", starter::US)).expect("a sheet");
    /// let report = sheet.job.calibrate().expect("results").one_at_a_time();
    /// let ToDo::Set(settings) = report.to_do() else { panic!("a setting") };
    /// assert_eq!(settings.len(), 1);
    /// assert_eq!(Some(&settings[0].name), report.next.as_ref().and_then(|next| next.setting.as_ref()));
    /// ```
    #[must_use]
    pub fn to_do(&self) -> ToDo<'_> {
        let Some(next) = &self.next else { return ToDo::Nothing };
        if !next.by_hand.is_empty() {
            return ToDo::Adjust(next);
        }
        let own = self.outcomes.iter().filter(|one| one.calculation == next.calculation);
        let changing: Vec<&SettingResult> = own
            .flat_map(|outcome| &outcome.settings)
            .filter(|setting| matches!(setting.verdict, Verdict::Change(_)))
            .collect();
        let named = |setting: &&&SettingResult| next.setting.as_ref() == Some(&setting.name);
        if let Some(one) = changing.iter().find(named) {
            return ToDo::Set(vec![one]);
        }
        let together = next.setting.as_deref().is_some_and(|name| TOGETHER.contains(&name));
        match together && !changing.is_empty() {
            true => ToDo::Set(changing),
            false => ToDo::Look(next),
        }
    }

    /// The same report with the crew's own labels of settings, in the next step too.
    #[must_use]
    pub fn with_labels(mut self, called: &[(&'static str, String)]) -> Report {
        self.called = called.to_vec();
        let named = |name: &str| {
            let mut results = self.outcomes.iter().flat_map(|outcome| &outcome.settings);
            results.find(|setting| setting.name == name).and_then(|setting| self.called(setting))
        };
        let label = self.next.as_ref().and_then(|next| named(next.setting.as_deref()?));
        let label = label.map(str::to_owned);
        if let (Some(next), Some(label)) = (&mut self.next, label) {
            let name = next.setting.clone().unwrap_or_default();
            let called = format!("the {name} (\"{label}\")");
            next.instruction = next.instruction.replacen(&format!("the {name}"), &called, 1);
        }
        self
    }

    /// The crew's own label of a setting, where it has one.
    #[must_use]
    pub fn called(&self, setting: &SettingResult) -> Option<&str> {
        let key = setting.key.as_deref()?;
        self.called.iter().find(|(own, _)| *own == key).map(|(_, label)| label.as_str())
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
        // What the step itself changes stays; hands may adjust several rows in one step.
        let own = next.calculation;
        let of_step: Option<Vec<String>> = match self.to_do() {
            ToDo::Set(settings) => Some(settings.iter().map(|one| one.name.clone()).collect()),
            ToDo::Adjust(_) => None,
            ToDo::Look(_) | ToDo::Nothing => Some(vec![]),
        };
        for outcome in &mut self.outcomes {
            let is_own = outcome.calculation == own;
            let stays = |setting: &SettingResult| {
                is_own && of_step.as_ref().is_none_or(|names| names.contains(&setting.name))
            };
            for setting in outcome.settings.iter_mut().filter(|setting| !stays(setting)) {
                if matches!(setting.verdict, Verdict::Change(_)) {
                    *setting = setting.clone().waiting(format!("{first}; then measure again"));
                }
            }
        }
        self
    }
}
