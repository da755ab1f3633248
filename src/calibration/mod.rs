//! The calculations: pure functions from what was measured to what to set.
//!
//! One file per calculation. Each takes its own `Inputs`, does its arithmetic on
//! [`Value`]s so that every line can be printed, and returns an
//! [`Outcome`]. Nothing here reads files, prints, or knows what time it is.
//!
//! Directions: everything is seen along the direction of travel. "Ahead" is further along,
//! "back" the other way; a positive shift is ahead.

pub mod alley;
pub mod cautions;
pub mod chain;
mod ground;
mod outcome;
pub mod passes;
pub mod sequence;
pub mod setting;
pub mod spacing;
pub mod speed;
pub mod sprockets;
pub mod trip;
mod units;
pub mod warning;
pub mod wheel;

#[doc(inline)]
pub use crate::working::Value;
pub use ground::{Ground, Lane, Mark, MarkKind, Strip, Travel};
pub use outcome::{Calculation, Caution, Cell, Column, Next, Outcome, Table};
pub use setting::{Direction, MovingSetting, SettingResult, Verdict};
pub use units::Units;
pub use warning::{Warning, WarningKind};

/// A whole number that the program counted.
fn count(number: usize) -> Value {
    #[allow(clippy::cast_precision_loss)] // far fewer readings than 2^53
    Value::constant(number as f64)
}

/// The mean of readings: their sum over their number.
fn mean(name: String, subject: &str, readings: &[Value]) -> Value {
    (Value::sum(subject.to_owned(), readings.to_vec()) / count(readings.len())).named(name)
}
