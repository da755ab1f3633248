//! The settings: what they are called, how they are corrected, what is said about them.

use super::direction::Direction;
use super::judgement::Decision;
use crate::quantity::{Decimal, Length, brief, shown};
use crate::working::Value;

use crate::quantity::at_most;
use crate::working::Units;

/// A setting of the planter, defined once for the sheet, the results and the printouts.
#[derive(Debug, PartialEq, Eq)]
pub struct Setting {
    /// Key in the sheet's `[settings]` and `[planter.controller]`.
    pub key: &'static str,
    /// Name in words.
    pub name: &'static str,
    /// What it does.
    pub meaning: &'static str,
}

/// The controller's number that turns wheel counts into distance.
pub static TRIP_SCALE: Setting = Setting {
    key: "trip-scale",
    name: "trip scale",
    meaning: "the controller's number that turns wheel counts into distance",
};
/// The setting that moves every alley along the direction of travel relative to its mark.
pub static SETBACK: Setting = Setting {
    key: "setback",
    name: "setback",
    meaning: "moves every alley along the direction of travel relative to its mark",
};
/// The setting that lines up alleys planted in opposite directions.
pub static PASS_OFFSET: Setting = Setting {
    key: "pass-offset",
    name: "pass offset",
    meaning: "lines up alleys planted in opposite directions",
};

/// The settings that the controller holds, in working order.
pub static SETTINGS_OF_CONTROLLER: [&Setting; 3] = [&TRIP_SCALE, &SETBACK, &PASS_OFFSET];

/// What to do with a setting.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Leave it; the sentence says why.
    Keep(String),
    /// Change it.
    Change(String),
    /// Nobody can tell yet; the sentence says how many more readings would settle it.
    Measure(String),
    /// Something else must be put right first; the sentence says what.
    Wait(String),
}

impl Verdict {
    /// One word for tables and programs.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            Verdict::Keep(_) => "keep",
            Verdict::Change(_) => "change",
            Verdict::Measure(_) => "measure more",
            Verdict::Wait(_) => "wait",
        }
    }

    /// The sentence.
    #[must_use]
    pub fn reason(&self) -> &str {
        match self {
            Verdict::Keep(reason)
            | Verdict::Change(reason)
            | Verdict::Measure(reason)
            | Verdict::Wait(reason) => reason,
        }
    }
}

/// A setting with its correction.
#[derive(Clone, Debug)]
pub struct SettingResult {
    /// Name in words.
    pub name: String,
    /// Key in the sheet, where it has one: in `[settings]`, or for timers in `[changeover]`.
    pub key: Option<&'static str>,
    /// What the planter holds now; `None` where it was never set.
    pub now: Option<Value>,
    /// What the arithmetic gives.
    pub exact: Value,
    /// What the planter should hold next: the exact value on the controller's step where it is to
    /// change, else the present value.
    pub set: Value,
    /// What to do and why.
    pub verdict: Verdict,
}

impl SettingResult {
    /// The same setting, left as it is until something else has been put right.
    #[must_use]
    pub(crate) fn waiting(self, reason: String) -> Self {
        let set = self.now.clone().unwrap_or_else(|| self.set.clone());
        SettingResult { set, verdict: Verdict::Wait(reason), ..self }
    }
}

/// A setting that is a length and moves alleys along the direction of travel.
#[derive(Clone, Debug)]
pub struct MovingSetting {
    /// Which one.
    pub setting: &'static Setting,
    /// What it is now.
    pub now: Length,
    /// Which way raising it moves the alley, from the controller's manual.
    pub raising_moves: Direction,
    /// The smallest change the controller takes.
    pub step: Option<Length>,
}

impl MovingSetting {
    /// What the setting would have to be to move alleys back by `shift` (forward where it is
    /// negative), whatever its step.
    ///
    /// new = now + shift where raising moves the alley back, new = now - shift where raising
    /// moves it ahead.
    ///
    /// ```
    /// use alleytrue::outcome::{Direction, MovingSetting, setting::SETBACK};
    /// use alleytrue::working::Units;
    /// use alleytrue::quantity::Length;
    /// let mut setback = MovingSetting {
    ///     setting: &SETBACK,
    ///     now: Length::parse("15 in", None)?,
    ///     raising_moves: Direction::Back,
    ///     step: None,
    /// };
    /// let shift = Units::US.length("shift", &Length::parse("6 in", None)?);
    /// assert_eq!(setback.moving_back(&shift, &Units::US).number(), 21.0);
    /// setback.raising_moves = Direction::Ahead;
    /// assert_eq!(setback.moving_back(&shift, &Units::US).number(), 9.0);
    /// # Ok::<(), alleytrue::quantity::ParseError>(())
    /// ```
    #[must_use]
    pub fn moving_back(&self, shift: &Value, units: &Units) -> Value {
        let now = self.now(units);
        let new = match self.raising_moves {
            Direction::Back => now + shift,
            Direction::Ahead => now - shift,
        };
        new.named(["exact ", self.setting.name].concat())
    }

    /// The setting as it is, for the working.
    #[must_use]
    pub fn now(&self, units: &Units) -> Value {
        units.length([self.setting.name, " now"].concat(), &self.now)
    }

    /// The setting with its correction, on the controller's step, and what to do about it.
    pub(crate) fn corrected(
        &self,
        shift: &Value,
        decision: &Decision,
        units: &Units,
    ) -> SettingResult {
        let step = self
            .step
            .as_ref()
            .map(|step| units.length([self.setting.name, " step"].concat(), step));
        judged(self.setting, self.now(units), self.moving_back(shift, units), step, decision)
    }
}

/// What makes a deviation small enough to leave alone, if it is.
pub(crate) fn inside(error: &Value, tolerance: Option<&Value>) -> Option<String> {
    let tolerance = tolerance?;
    let within = at_most(error.number().abs(), tolerance.number());
    within.then(|| {
        format!(
            "{} {} off, inside the tolerance of {}",
            brief(error.number().abs()),
            error.unit_text(),
            tolerance.typed_text().unwrap_or_default()
        )
    })
}

/// Puts an exact setting on the controller's step and says whether it is worth setting.
pub(crate) fn judged(
    setting: &'static Setting,
    now: Value,
    exact: Value,
    step: Option<Value>,
    decision: &Decision,
) -> SettingResult {
    let result = |set: Value, verdict: Verdict| SettingResult {
        name: setting.name.into(),
        key: Some(setting.key),
        now: Some(now.clone()),
        exact: exact.clone(),
        set,
        verdict,
    };
    match decision {
        Decision::Keep(reason) => return result(now.clone(), Verdict::Keep(reason.clone())),
        Decision::Measure(reason) => return result(now.clone(), Verdict::Measure(reason.clone())),
        Decision::Wait(reason) => return result(now.clone(), Verdict::Wait(reason.clone())),
        Decision::Change => {}
    }
    let set = match &step {
        Some(step) => on_step(setting.name, &exact, step),
        None => exact.clone(),
    };
    if set.number() == now.number() {
        let reason = "the correction is smaller than half the controller's step";
        return result(now.clone(), Verdict::Keep(reason.into()));
    }
    let change = (&set - &now).number();
    let verb = if change > 0.0 { "raise" } else { "lower" };
    let unit = now.unit_text();
    let space = if unit.is_empty() { "" } else { " " };
    let words = [verb, " it by ", &shown(change.abs()), space, &unit].concat();
    result(set, Verdict::Change(words))
}

/// `exact` on the nearest whole number of steps, halves away from zero.
///
/// ```
/// use alleytrue::outcome::setting::on_step;
/// use alleytrue::quantity::{Decimal, Unit};
/// use alleytrue::working::Value;
/// let exact = Value::typed("exact trip scale", Decimal::new(3_146_875, 4), Unit::ONE);
/// let step = Value::typed("step", Decimal::new(1, 2), Unit::ONE);
/// assert!((on_step("trip scale", &exact, &step).number() - 314.69).abs() < 1e-12);
/// ```
#[must_use]
pub fn on_step(name: &str, exact: &Value, step: &Value) -> Value {
    let steps = (exact / step).named([name, " in steps"].concat());
    (steps.nearest() * step).named([name, " to set"].concat())
}

/// The trip scale as a plain number of the controller.
#[derive(Clone, Debug)]
pub struct ScaleSetting {
    /// What it is now.
    pub now: Decimal,
    /// The smallest change the controller takes.
    pub step: Option<Decimal>,
}
