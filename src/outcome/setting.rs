//! The settings: what they are called, how they are corrected, what is said about them.

use std::borrow::Cow;

use super::judgement::Decision;
use super::single::Singles;
use super::warning::{STEP_TOO_COARSE, Warning};
use super::wording::in_words;
use crate::quantity::bounds::{self, Bounds};
use crate::quantity::{Decimal, LengthUnit, Unit, brief, shown};
use crate::working::Value;

use crate::quantity::{at_most, same_but_for_writing};

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

/// Why a setting is kept that is as near as the controller can hold.
const WITHIN_HALF_A_STEP: &str = "the correction is smaller than half the controller's step";

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
    /// The mean is right and single ones are not: nothing to set; the sentence says what to look for.
    Cause(String),
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
            Verdict::Cause(_) => "find the cause",
        }
    }

    /// Whether it is to be kept for being inside its tolerance, which a setting may be kept without.
    #[must_use]
    pub fn is_inside(&self) -> bool {
        matches!(self, Verdict::Keep(reason) if reason.contains("inside the tolerance"))
    }

    /// Whether it is kept for being right, and not for want of a better number to set.
    fn is_right(&self) -> bool {
        let told = ["inside the tolerance", "not told apart from"];
        matches!(self, Verdict::Keep(reason)
            if reason == WITHIN_HALF_A_STEP || told.iter().any(|words| reason.contains(words)))
    }

    /// The same; where it is to be kept and single ones are too often beyond their limit, their cause
    /// is to be looked for.
    #[must_use]
    pub(crate) fn unless_singles(self, singles: Option<&Singles>) -> Self {
        let is_right = self.is_right();
        let cause = singles.filter(|_| is_right).and_then(Singles::cause);
        cause.map_or(self, Verdict::Cause)
    }

    /// The sentence.
    #[must_use]
    pub fn reason(&self) -> &str {
        match self {
            Verdict::Keep(reason)
            | Verdict::Change(reason)
            | Verdict::Measure(reason)
            | Verdict::Wait(reason)
            | Verdict::Cause(reason) => reason,
        }
    }
}

/// A setting with its correction.
#[derive(Clone, Debug)]
pub struct SettingResult {
    /// Name in words.
    pub name: String,
    /// Key in the sheet, where it has one: in `[settings]`, or of an action of the changeover.
    pub key: Option<Cow<'static, str>>,
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
    /// The same setting with [`Verdict::unless_singles`].
    #[must_use]
    pub(crate) fn unless_singles(self, singles: Option<&Singles>) -> Self {
        SettingResult { verdict: self.verdict.unless_singles(singles), ..self }
    }

    /// The same setting, left as it is until something else has been put right.
    #[must_use]
    pub(crate) fn waiting(self, reason: String) -> Self {
        let set = self.now.clone().unwrap_or_else(|| self.set.clone());
        SettingResult { set, verdict: Verdict::Wait(reason), ..self }
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

/// What it takes to correct a setting.
pub(crate) struct Correction<'a> {
    /// Which one.
    pub(crate) setting: &'static Setting,
    /// What it is now, on whatever grid.
    pub(crate) now: Value,
    /// What the arithmetic gives.
    pub(crate) exact: Value,
    /// The smallest change the controller takes.
    pub(crate) step: Option<Value>,
    /// The error that a setting leaves, as it is held against the tolerance; with a name.
    pub(crate) left: &'a dyn Fn(&Value) -> Value,
    /// The error that may stand.
    pub(crate) tolerance: Option<&'a Value>,
    /// Half the width of the interval of the error; nothing where it is not known.
    pub(crate) sure_to: f64,
    /// What the readings allow.
    pub(crate) decision: &'a Decision,
    /// On how few readings a change would rest, where they are few.
    pub(crate) few: Option<String>,
}

/// A setting put on its step.
pub(crate) struct Corrected {
    /// The setting and what to do about it.
    pub(crate) result: SettingResult,
    /// The error that the step leaves, where the setting is to change.
    pub(crate) left: Option<Value>,
    /// What is wrong with the step.
    pub(crate) warnings: Vec<Warning>,
}

/// Puts an exact setting on the controller's step and says whether it is worth setting.
///
/// A change is made only where it brings the setting nearer to the exact one by half a step or
/// more, or takes an error, or its interval, inside the tolerance; and only to a number that the
/// setting can hold.
pub(crate) fn judged(correction: Correction<'_>) -> Corrected {
    let result = |set: &Value, verdict: Verdict| SettingResult {
        name: correction.setting.name.into(),
        key: Some(correction.setting.key.into()),
        now: Some(correction.now.clone()),
        exact: correction.exact.clone(),
        set: set.clone(),
        verdict,
    };
    let warnings: Vec<Warning> = correction.step_too_coarse().into_iter().collect();
    let (set, verdict) = match correction.decision {
        Decision::Keep(reason) => (None, Verdict::Keep(reason.clone())),
        Decision::Measure(reason) => (None, Verdict::Measure(reason.clone())),
        Decision::Wait(reason) => (None, Verdict::Wait(reason.clone())),
        Decision::Change => correction.change(),
    };
    let left = set.as_ref().map(correction.left);
    let result = result(set.as_ref().unwrap_or(&correction.now), verdict);
    Corrected { result, left, warnings }
}

impl Correction<'_> {
    /// What to set and why, where there is anything better than what is set now.
    fn change(&self) -> (Option<Value>, Verdict) {
        let name = self.setting.name;
        if !self.setting.holds(&self.exact) {
            return (
                None,
                Verdict::Measure(format!(
                    "it would have to be {}, and a {name} is {}: look at the numbers and measure \
                     again",
                    in_words(&self.exact),
                    self.setting.bounds().text()
                )),
            );
        }
        let set = match &self.step {
            Some(step) => on_step(name, &self.exact, step),
            None => self.exact.clone(),
        };
        if is_same(&set, &self.now) {
            let stays = self.stays(&self.now);
            return (None, Verdict::Keep([WITHIN_HALF_A_STEP, &stays].concat()));
        }
        if !self.is_better(&set) {
            let step = self.step.as_ref().map_or(String::new(), as_typed);
            let reason = format!("nothing better can be set by a step of {step}");
            return (None, Verdict::Keep([reason, self.stays(&self.now)].concat()));
        }
        let change = (&set - &self.now).number();
        let verb = if change > 0.0 { "raise" } else { "lower" };
        let unit = self.now.unit_text();
        let space = if unit.is_empty() { "" } else { " " };
        let few = self.few.as_ref().map_or(String::new(), |few| format!(" ({few})"));
        let by = shown(change.abs());
        let words = [verb, " it by ", &by, space, &unit, &few, &self.stays(&set)].concat();
        (Some(set), Verdict::Change(words))
    }

    /// Whether a number on the step is worth setting.
    fn is_better(&self, set: &Value) -> bool {
        let off = |held: &Value| (held.number() - self.exact.number()).abs();
        let left = |held: &Value| (self.left)(held).number().abs();
        if !self.setting.holds(set) || off(set) >= off(&self.now) || left(set) >= left(&self.now) {
            return false;
        }
        let gained = off(&self.now) - off(set);
        let half_a_step = self.step.as_ref().map_or(0.0, |step| step.number() / 2.0);
        let demanded = self.tolerance.is_some_and(|tolerance| {
            [0.0, self.sure_to].into_iter().any(|sure_to| {
                let inside = |held: &Value| at_most(left(held) + sure_to, tolerance.number());
                inside(set) && !inside(&self.now)
            })
        });
        at_most(half_a_step, gained) || demanded
    }

    /// What stays with a setting, where it is beyond the tolerance.
    fn stays(&self, held: &Value) -> String {
        let left = (self.left)(held).magnitude();
        let beyond = |tolerance: &&Value| !at_most(left.number(), tolerance.number());
        self.tolerance.filter(beyond).map_or(String::new(), |tolerance| {
            format!("; {} stays, beyond the tolerance of {}", in_words(&left), as_typed(tolerance))
        })
    }

    /// Says so where the step is coarser than what it is to set, or than what is to be reached.
    fn step_too_coarse(&self) -> Option<Warning> {
        let step = self.step.as_ref()?;
        let name = self.setting.name;
        let least = self.now.number().min(self.exact.number());
        if self.setting.is_above_zero() && step.number() > least {
            let itself = if step.number() > self.now.number() {
                format!("the {name} itself ({} now)", as_typed(&self.now))
            } else {
                format!("the {name} has to be ({})", in_words(&self.exact))
            };
            return Some(STEP_TOO_COARSE.with(format!(
                "the {name} goes by steps of {}, more than {itself}: look at the step in \
                 [planter.controller]",
                as_typed(step)
            )));
        }
        let tolerance = self.tolerance?;
        let of_a_step = (self.left)(&(&self.exact + step)).magnitude();
        let wanted = matches!(self.decision, Decision::Change);
        (wanted && !at_most(of_a_step.number(), tolerance.number())).then(|| {
            STEP_TOO_COARSE.with(format!(
                "the {name} goes by steps of {}, and each makes {}, more than the tolerance of {}: \
                 what is left after setting may be beyond it",
                as_typed(step),
                in_words(&of_a_step),
                as_typed(tolerance)
            ))
        })
    }
}

/// A value for a sentence as it was typed, where it was.
fn as_typed(value: &Value) -> String {
    value.typed_text().map_or_else(|| in_words(value), Cow::into_owned)
}

/// Whether two settings differ by nothing that could be set.
fn is_same(one: &Value, other: &Value) -> bool {
    let (one, other) = (one.number(), other.number());
    one == other || same_but_for_writing(one, other)
}

impl Setting {
    /// What it can be.
    fn bounds(&self) -> &'static Bounds {
        if *self == TRIP_SCALE { &bounds::SCALE } else { &bounds::SETTING_LENGTH }
    }

    /// Whether it can't be zero or less.
    fn is_above_zero(&self) -> bool {
        self.bounds().least > 0.0
    }

    /// Whether it can be so much.
    fn holds(&self, value: &Value) -> bool {
        let millimetre = Unit::from(LengthUnit::Millimetre);
        let base = value.unit().factor_to(millimetre).map_or(1.0, |factor| factor.value());
        self.bounds().hold(value.number() * base)
    }
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
