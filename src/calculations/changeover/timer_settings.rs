//! The timers as settings of the controller: their names, usual limits, and how a change of one is
//! told.

use crate::outcome::setting::Setting;
use crate::outcome::{SettingResult, Verdict};
use crate::quantity::{Duration, TimeUnit, Unit};
use crate::working::Value;

macro_rules! timers {
    ($($name:ident $key:literal $words:literal $meaning:literal;)+) => {
        $(#[doc = $meaning]
        pub static $name: Setting = Setting { key: $key, name: $words, meaning: $meaning };)+
    };
}

timers! {
    HAND_OVER "hand-over" "hand-over" "The time in which a new lot falls from its holder to the waiting place above the meter.";
    CLEAN_OUT "clean-out" "clean-out" "The time in which old seed is removed from the meter.";
    RUN_OUT "run-out" "run-out" "The time after clean-out in which the plate goes on at ground rate.";
    FILL "fill" "fill" "The time in which the boost brings new seed round to the release point.";
    SWEEP_AFTER "sweep.after" "sweep start" "When the sweep starts after the trip.";
    SWEEP_FOR "sweep.for" "sweep length" "How long stray seeds are knocked off the plate.";
}

/// The unit of timers.
pub(super) fn second() -> Unit {
    Unit::from(TimeUnit::Second)
}

/// A time as it was typed.
pub(super) fn time(name: &'static str, duration: &Duration) -> Value {
    Value::measured(name, duration, second())
}

/// A timer with its change.
pub(super) fn timer_result(
    setting: &'static Setting,
    now: Option<Value>,
    set: Value,
    verdict: Verdict,
) -> SettingResult {
    SettingResult {
        name: setting.name.into(),
        key: Some(setting.key),
        now,
        exact: set.clone(),
        set,
        verdict,
    }
}
