//! Settings that move alleys along the direction of travel: which way, how far, and on which passes.

use super::by_a_change::by_a_change;
use super::direction::{Direction, Heading};
use super::judgement::{Decision, Judgement};
use super::setting::{Corrected, Correction, Setting, judged, on_step};
use super::wording::in_words;
use super::{SettingResult, Verdict};
use crate::quantity::{Decimal, Length, Unit};
use crate::working::{Units, Value};

/// A setting that is a length and moves alleys along the direction of travel.
#[derive(Clone, Debug)]
pub struct MovingSetting {
    /// Which one.
    pub setting: &'static Setting,
    /// What it is now.
    pub now: Length,
    /// Which way raising it moves the alley, from the controller's manual or by trial.
    pub raising_moves: Direction,
    /// How far alleys move by a unit of it, where that is not the same unit.
    pub moves: Option<Decimal>,
    /// The passes it moves, where it is those of one heading alone.
    pub acts_on: Option<Heading>,
    /// The smallest change the controller takes.
    pub step: Option<Length>,
}

/// A trial change is so many tolerances at the least, so that what days set apart can't hide it: five
/// standard errors of the difference of two days are 5 / sqrt(2) = 3.5 tolerances where each day may
/// be off by half of one.
const TRIAL: f64 = 4.0;

impl MovingSetting {
    /// A setting that moves both headings by as much as it is changed.
    #[must_use]
    pub fn new(
        setting: &'static Setting,
        now: Length,
        raising_moves: Direction,
        step: Option<Length>,
    ) -> MovingSetting {
        MovingSetting { setting, now, raising_moves, moves: None, acts_on: None, step }
    }

    /// What the setting would have to be to move alleys back by `shift`, the mean of both headings
    /// (forward where it is negative), whatever its step.
    ///
    /// new = now + shift where raising moves the alley back, new = now - shift where raising
    /// moves it ahead; over what a unit of the setting moves, where that is not one.
    ///
    /// ```
    /// use alleytrue::outcome::{Direction, MovingSetting, setting::SETBACK};
    /// use alleytrue::working::Units;
    /// use alleytrue::quantity::Length;
    /// let now = Length::parse("15 in", None)?;
    /// let mut setback = MovingSetting::new(&SETBACK, now, Direction::Back, None);
    /// let shift = Units::US.length("shift", &Length::parse("6 in", None)?);
    /// assert_eq!(setback.moving_back(&shift, &Units::US).number(), 21.0);
    /// setback.raising_moves = Direction::Ahead;
    /// assert_eq!(setback.moving_back(&shift, &Units::US).number(), 9.0);
    /// # Ok::<(), alleytrue::quantity::ParseError>(())
    /// ```
    #[must_use]
    pub fn moving_back(&self, shift: &Value, units: &Units) -> Value {
        let now = self.now(units);
        let by = match self.of_the_mean() {
            Some(per_unit) => shift / per_unit,
            None => shift.clone(),
        };
        let new = match self.raising_moves {
            Direction::Back | Direction::NotKnown => now + by,
            Direction::Ahead => now - by,
        };
        new.named(["exact ", self.setting.name].concat())
    }

    /// The setting as it is, for the working.
    #[must_use]
    pub fn now(&self, units: &Units) -> Value {
        units.length([self.setting.name, " now"].concat(), &self.now)
    }

    /// What a unit of the setting moves; nothing where it is one.
    fn per_unit(&self) -> Option<Value> {
        let name = ["what a unit of the ", self.setting.name, " moves"].concat();
        self.moves.map(|moves| Value::typed(name, moves, Unit::ONE))
    }

    /// What a unit of it moves the mean of both headings: half where it acts on one of them.
    fn of_the_mean(&self) -> Option<Value> {
        match (self.per_unit(), self.acts_on) {
            (one, None) => one,
            (one, Some(_)) => {
                let half = one.unwrap_or(Value::constant(1.0)) / Value::constant(2.0);
                let name = ["what a unit of the ", self.setting.name, " moves in the mean"];
                Some(half.named(name.concat()))
            }
        }
    }

    /// What a unit of it moves passes of a heading.
    fn of_heading(&self, heading: Option<Heading>) -> Option<Value> {
        match (self.acts_on, heading) {
            (None, _) => self.per_unit(),
            (Some(own), Some(heading)) if own == heading => self.per_unit(),
            (Some(_), Some(_)) => Some(Value::constant(0.0)),
            (Some(_), None) => self.of_the_mean(),
        }
    }

    /// The setting with its correction, on the controller's step, and what to do about it.
    pub(crate) fn corrected(
        &self,
        shift: &Value,
        judgement: &Judgement,
        units: &Units,
    ) -> Corrected {
        let exact = self.moving_back(shift, units);
        if self.raising_moves == Direction::NotKnown
            && matches!(judgement.decision, Decision::Change)
        {
            let result = self.trial(exact, shift, judgement, units);
            return Corrected { result, left: None, warnings: vec![] };
        }
        judged(Correction {
            setting: self.setting,
            now: self.now(units),
            step: self.step(units),
            left: &|held| self.left(&exact, held),
            tolerance: judgement.tolerance.as_ref(),
            sure_to: judgement.sure_to(),
            decision: &judgement.decision,
            few: judgement.few(),
            exact: exact.clone(),
        })
    }

    /// A change that tells which way the setting works, and how far: as large as the shift, or larger
    /// where that could not be told from what days set apart.
    fn trial(
        &self,
        exact: Value,
        shift: &Value,
        judgement: &Judgement,
        units: &Units,
    ) -> SettingResult {
        let now = self.now(units);
        let least = judgement.tolerance.as_ref().map_or(0.0, Value::number) * TRIAL;
        let least = least.max(judgement.sure_to() * TRIAL).max(shift.number().abs());
        let by = Value::found("trial change", least, now.unit(), "four tolerances at the least");
        let set = match self.step(units) {
            Some(step) => on_step(self.setting.name, &(&now + by), &step),
            None => (&now + by).named([self.setting.name, " to set"].concat()),
        };
        let by = in_words(&(&set - &now));
        let words = format!(
            "raise it by {by} as a trial: which way it moves alleys is not known, and what is \
             planted then tells"
        );
        let verdict = Verdict::Change(words);
        let (name, key) = (self.setting.name.into(), Some(self.setting.key.into()));
        SettingResult { name, key, now: Some(now), exact, set, verdict }
    }

    /// The smallest change the controller takes, for the working.
    pub(crate) fn step(&self, units: &Units) -> Option<Value> {
        let step = self.step.as_ref()?;
        Some(units.length([self.setting.name, " step"].concat(), step))
    }

    /// How far ahead alleys lie, in the mean of both headings, with the setting `held` where `exact`
    /// would be right.
    pub(crate) fn left(&self, exact: &Value, held: &Value) -> Value {
        let name = ["shift left by the ", self.setting.name, " step"];
        self.moved_back(held, exact).named(name.concat())
    }

    /// How far back, in the mean of both headings, a change moves every alley.
    pub(crate) fn moved_back(&self, from: &Value, to: &Value) -> Value {
        self.back(from, to, self.of_the_mean())
    }

    /// How far back a change moves the alleys of a heading; without one, in the mean of both.
    pub(crate) fn moved_back_on(
        &self,
        heading: Option<Heading>,
        from: &Value,
        to: &Value,
    ) -> Value {
        self.back(from, to, self.of_heading(heading))
    }

    fn back(&self, from: &Value, to: &Value, per_unit: Option<Value>) -> Value {
        let back = match self.raising_moves {
            Direction::Back | Direction::NotKnown => to - from,
            Direction::Ahead => from - to,
        };
        match per_unit {
            Some(per_unit) => back * per_unit,
            None => back,
        }
    }
}

/// A moving setting that was another when a run was planted.
#[derive(Clone, Debug)]
pub struct Then {
    /// The setting as it is now.
    pub setting: MovingSetting,
    /// What it was.
    pub then: Length,
}

impl Then {
    /// How far ahead every alley of a heading has come since by the change of the setting, in its own
    /// travel: then - now where raising moves the alley back, now - then where it moves it ahead;
    /// times what a unit of the setting moves, where that is not one. Without a heading: in the mean
    /// of both.
    ///
    /// ```
    /// use alleytrue::outcome::{Direction, MovingSetting, Then, setting::SETBACK};
    /// use alleytrue::quantity::Length;
    /// use alleytrue::working::Units;
    /// let inches = |text| Length::parse(text, None);
    /// let setting = MovingSetting::new(&SETBACK, inches("18 in")?, Direction::Back, None);
    /// let then = Then { setting, then: inches("15 in")? };
    /// assert_eq!(then.ahead(None, &Units::US).number(), -3.0); // raised by 3: 3 in further back
    /// # Ok::<(), alleytrue::quantity::ParseError>(())
    /// ```
    #[must_use]
    pub fn ahead(&self, heading: Option<Heading>, units: &Units) -> Value {
        let now = self.setting.now(units);
        let name = self.setting.setting.name;
        let then = units.length(format!("{name} then, {}", self.then), &self.then);
        let ahead = match self.setting.raising_moves {
            Direction::Back | Direction::NotKnown => then - now,
            Direction::Ahead => now - then,
        };
        let ahead = match self.setting.of_heading(heading) {
            Some(per_unit) => ahead * per_unit,
            None => ahead,
        };
        let one_heading = heading.filter(|_| self.setting.acts_on.is_some());
        let on = one_heading.map_or(String::new(), |heading| format!(", {}", heading.word()));
        ahead.named(format!("ahead since the {name} was {}{on}", self.then))
    }

    /// How far ahead, in the mean of both headings, a change from the first to the second brought every
    /// alley; nothing stands for what it is now, and both can't be that.
    #[must_use]
    pub fn ahead_by_a_change(thens: &[Option<Then>; 2], units: &Units) -> Option<Value> {
        by_a_change(thens.each_ref().map(|then| Some(then.as_ref()?.ahead(None, units))))
    }

    /// How far ahead all of them together have brought every alley.
    #[must_use]
    pub fn all_ahead(all: &[Then], heading: Option<Heading>, units: &Units) -> Option<Value> {
        all.iter().map(|one| one.ahead(heading, units)).reduce(|sum, next| sum + next)
    }
}
