//! The one thing to do next, and which calculation asks for it.

use super::by_hand::Adjustment;
use crate::working::Value;

/// A calculation, by the key of its subcommand and its title.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Calculation {
    /// The subcommand.
    pub key: &'static str,
    /// Title in words.
    pub title: &'static str,
}

/// The one thing to do next.
#[derive(Clone, Debug)]
pub struct Next {
    /// The calculation it comes from.
    pub calculation: Calculation,
    /// The setting to change, where it is one.
    pub setting: Option<String>,
    /// Its present value.
    pub now: Option<Value>,
    /// Its new value.
    pub set: Option<Value>,
    /// What hands are to adjust for it, and by how much.
    pub by_hand: Vec<Adjustment>,
    /// The step in words.
    pub instruction: String,
}

impl Next {
    /// A step that changes no setting by itself.
    pub(crate) fn only(calculation: Calculation, instruction: impl Into<String>) -> Next {
        let instruction = instruction.into();
        Next { calculation, setting: None, now: None, set: None, by_hand: vec![], instruction }
    }

    /// A step that changes no setting by itself, about something as it is now.
    pub(crate) fn about(
        calculation: Calculation,
        now: &Value,
        instruction: impl Into<String>,
    ) -> Next {
        Next { now: Some(now.clone()), ..Next::only(calculation, instruction) }
    }

    /// Whether it sets several things at once: timers that were never set, sprockets.
    #[must_use]
    pub fn sets_several(&self) -> bool {
        matches!(self.setting.as_deref(), Some("timers" | "sprockets"))
    }

    /// The same step, with what hands adjust for it.
    pub(crate) fn adjusting(self, by_hand: Vec<Adjustment>) -> Next {
        Next { by_hand, ..self }
    }
}
