//! What a calculation hands over: one object that feeds every format.

mod by_a_change;
mod by_hand;
pub mod cautions;
mod changed;
mod condition;
mod direction;
pub mod geodesy;
mod ground;
pub(crate) mod judgement;
pub mod layout;
mod moving;
mod next;
mod picture;
mod report;
pub mod setting;
mod single;
mod table;
mod timed;
mod to_do;
pub mod warning;
pub(crate) mod wording;

pub(crate) use by_a_change::by_a_change;
pub use by_hand::{Adjustment, By, ByHand, DEPTH_TURNS, MARKS_HOME, MARKS_OUT, Since};
pub use cautions::Caution;
pub use changed::{ChangeSeen, Changed};
pub use condition::Condition;
pub use direction::{Direction, Heading};
pub use ground::{
    Bars, ChangeoverPicture, Fate, Ground, Lane, Mark, MarkKind, Phase, Seed, Strip, Travel,
};
pub use judgement::{Decision, Judgement, OfOne};
pub use moving::{MovingSetting, Then};
pub use next::{Calculation, Next};
pub use picture::{
    Class, Curve, CurvePoint, Histogram, Limit, Picture, RehearsedField, RehearsedPlot,
};
pub use report::{NotMeasured, Report};
pub use setting::{SettingResult, Verdict};
pub use single::{Expected, Group, Singles, Why};
pub use table::{Cell, Column, Table};
pub use timed::{ActionName, Part, Timed};
pub use to_do::ToDo;
pub use warning::{Warning, WarningKind};

use std::borrow::Cow;

use crate::working::{Step, Value, steps};

use wording::with_unit;

/// The result of one calculation.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// Which calculation.
    pub calculation: Calculation,
    /// Settings with their corrections.
    pub settings: Vec<SettingResult>,
    /// Other figures worth reading, in reading order.
    pub values: Vec<Value>,
    /// How sure the correction is.
    pub judgement: Option<Judgement>,
    /// Single plots, alleys, leads or seeds against their limit.
    pub singles: Vec<Singles>,
    /// Lists, such as the best sprockets.
    pub tables: Vec<Table>,
    /// What a picture says faster.
    pub pictures: Vec<Picture>,
    /// Remarks.
    pub warnings: Vec<Warning>,
    /// What protects the hands that carry the result to the machine.
    pub cautions: Vec<&'static Caution>,
    /// What to do if this is the next thing to put right; `None` where nothing is.
    pub next: Option<Next>,
    /// What changes of its settings did, where that was measured.
    pub seen: Vec<ChangeSeen>,
    /// What was changed last and did not do what it should: it is looked into before anything is set
    /// that rests on the same runs.
    pub in_doubt: Option<Changed>,
}

impl Outcome {
    /// An outcome with nothing in it yet.
    #[must_use]
    pub fn new(calculation: Calculation) -> Self {
        Outcome {
            calculation,
            settings: vec![],
            values: vec![],
            judgement: None,
            singles: vec![],
            tables: vec![],
            pictures: vec![],
            warnings: vec![],
            cautions: vec![],
            next: None,
            seen: vec![],
            in_doubt: None,
        }
    }

    /// The lines of the working: everything the settings and values rest on.
    #[must_use]
    pub fn working(&self) -> Vec<Step> {
        let settings = self.settings.iter().flat_map(|setting| {
            setting.now.iter().chain([&setting.exact, &setting.set]).cloned().collect::<Vec<_>>()
        });
        let singles = self.singles.iter().flat_map(Singles::values);
        let roots: Vec<Value> =
            self.values.iter().cloned().chain(settings).chain(singles).collect();
        steps(&roots)
    }

    /// Takes in how sure the correction is: its figures and its remarks.
    pub(crate) fn judge(&mut self, judgement: Judgement) {
        self.values.extend(judgement.values());
        self.warnings.extend(judgement.warnings.iter().cloned());
        self.judgement = Some(judgement);
    }

    /// What to look at where a setting's step keeps it from being set as it should be.
    fn step_at_fault(&self) -> Option<Next> {
        let warning = self.warnings.iter().find(|one| one.kind == &warning::STEP_TOO_COARSE)?;
        Some(Next::only(self.calculation, warning.message.clone()))
    }

    /// What to look for where every mean is right and single ones are too often beyond their limit. A
    /// width has no setting that would say it.
    fn cause_to_look_for(&self) -> Option<Next> {
        let of_setting = |setting: &SettingResult| match &setting.verdict {
            Verdict::Cause(reason) => Some(format!("{}: {reason}", setting.name)),
            _ => None,
        };
        let of_width = |singles: &Singles| {
            let cause = singles.cause().filter(|_| singles.kind == "width")?;
            Some(format!("{}: {cause}", singles.name()))
        };
        let words = self.settings.iter().find_map(of_setting);
        let words = words.or_else(|| self.singles.iter().find_map(of_width));
        Some(Next::only(self.calculation, words?))
    }

    /// The step to take for the first setting that has to change, to be measured again, or to
    /// wait for what drifts, if there is one.
    #[must_use]
    pub fn setting_to_change(&self) -> Option<Next> {
        let open = |setting: &&SettingResult| {
            let drifts = self
                .judgement
                .as_ref()
                .is_some_and(|judgement| matches!(judgement.decision, Decision::Wait(_)));
            match setting.verdict {
                Verdict::Change(_) | Verdict::Measure(_) => true,
                Verdict::Wait(_) => drifts,
                Verdict::Keep(_) | Verdict::Cause(_) => false,
            }
        };
        let setting = self.settings.iter().find(open)?;
        let now = setting.now.as_ref().map_or_else(
            || "not set".to_owned(),
            |now| now.typed_text().map_or_else(|| with_unit(now), Cow::into_owned),
        );
        let instruction = match &setting.verdict {
            Verdict::Measure(reason) | Verdict::Wait(reason) => {
                format!("{}: {reason}", setting.name)
            }
            _ => format!(
                "set the {} to {} (now {now}), plant a test range and measure again",
                setting.name,
                with_unit(&setting.set)
            ),
        };
        Some(Next {
            calculation: self.calculation,
            setting: Some(setting.name.clone()),
            now: setting.now.clone(),
            set: Some(setting.set.clone()),
            by_hand: vec![],
            instruction,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Decimal, LengthUnit, Unit};

    #[test]
    fn a_step_about_something_says_how_it_is_now_and_sets_nothing() {
        let now = Value::typed("seed spacing", Decimal::whole(2), Unit::from(LengthUnit::Inch));
        let step = Next::about(crate::calculations::spacing::CALCULATION, &now, "get others");
        assert_eq!(step.now.map(|now| now.number()), Some(2.0));
        assert!(step.setting.is_none() && step.set.is_none());
        assert_eq!(step.instruction, "get others");
    }
}
