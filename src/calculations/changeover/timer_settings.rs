//! How a change of a setting of an action is told.

use crate::outcome::{SettingResult, Timed, Verdict};
use crate::working::Value;

/// A setting of an action with its change.
pub(super) fn timer_result(
    timed: &Timed,
    now: Option<Value>,
    set: Value,
    verdict: Verdict,
) -> SettingResult {
    SettingResult {
        name: timed.name(),
        key: Some(timed.key().into()),
        now,
        exact: set.clone(),
        set,
        verdict,
    }
}
