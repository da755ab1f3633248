//! The calculations: pure functions from what was measured to what to set.
//!
//! One file per calculation. Each takes its own `Inputs`, does its arithmetic on
//! [`Value`]s so that every line can be printed, and returns an
//! [`Outcome`]. Nothing here reads files, prints, or knows what time it is.
//!
//! Directions: everything is seen along the direction of travel. "Ahead" is further along,
//! "back" the other way; a positive shift is ahead.

pub mod alley;
mod by_row;
pub mod cautions;
pub mod chain;
pub mod changeover;
pub mod checklist;
pub mod depth;
pub mod evenness;
mod facts;
pub mod geodesy;
mod ground;
pub mod jitter;
mod judgement;
pub mod operating_point;
mod outcome;
pub mod packets;
pub mod passes;
mod picture;
pub mod plan;
pub mod record;
pub mod rows;
pub mod sequence;
pub mod setting;
pub mod spacing;
pub mod speed;
pub mod speed_law;
pub mod sprockets;
pub mod stakes;
pub mod stand;
pub mod trip;
mod units;
pub mod warning;
pub mod wheel;

#[doc(inline)]
pub use crate::working::Value;
pub use facts::{Facts, Has, OwnChecklist};
pub use ground::{Bars, ChangeoverPicture, Ground, Lane, Mark, MarkKind, Phase, Strip, Travel};
pub use judgement::{Decision, Judgement};
pub use outcome::{Calculation, Caution, Cell, Column, Next, Outcome, Table};
pub use picture::{Class, Curve, CurvePoint, Histogram, Limit, Picture};
pub use setting::{Direction, MovingSetting, SettingResult, Verdict};
pub use units::Units;
pub use warning::{Warning, WarningKind};

/// A whole number that the program counted.
fn count(number: usize) -> Value {
    #[allow(clippy::cast_precision_loss)] // far fewer readings than 2^53
    Value::constant(number as f64)
}

/// Takes readings out by their place, counted from one through all lists; returns how many
/// there were.
fn leave_out<'a, T: 'a>(lists: impl Iterator<Item = &'a mut Vec<T>>, places: &[usize]) -> usize {
    let mut place = 0;
    for list in lists {
        list.retain(|_| {
            place += 1;
            !places.contains(&place)
        });
    }
    place
}

/// The remark on readings left out, if any were.
fn left_out_remark(places: &[usize], what: &str) -> Option<Warning> {
    if places.is_empty() {
        return None;
    }
    let numbers: Vec<String> = places.iter().map(ToString::to_string).collect();
    let s = if numbers.len() == 1 { "" } else { "s" };
    let words = format!("without {what}{s} {}, as asked", numbers.join(", "));
    Some(warning::LEFT_OUT.with(words))
}
