//! Readings counted, and readings left out as asked.

use crate::outcome::warning::{LEFT_OUT, Warning};
use crate::working::Value;

/// A whole number that the program counted.
pub(super) fn count(number: usize) -> Value {
    #[allow(clippy::cast_precision_loss)] // far fewer readings than 2^53
    Value::constant(number as f64)
}

/// Takes readings out by their place, counted from one through all lists; returns how many
/// there were.
pub(super) fn leave_out<'a, T: 'a>(
    lists: impl Iterator<Item = &'a mut Vec<T>>,
    places: &[usize],
) -> usize {
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
pub(super) fn left_out_remark(places: &[usize], what: &str) -> Option<Warning> {
    if places.is_empty() {
        return None;
    }
    let numbers: Vec<String> = places.iter().map(ToString::to_string).collect();
    let s = if numbers.len() == 1 { "" } else { "s" };
    let words = format!("without {what}{s} {}, as asked", numbers.join(", "));
    Some(LEFT_OUT.with(words))
}
