//! What a change by itself came to, where later ones followed it.

use crate::working::Value;

/// What a change came to, by what has come on since before it and since after it: the first less the
/// second. Nothing stands for what is set now, and both can't be that.
pub(crate) fn by_a_change([before, after]: [Option<Value>; 2]) -> Option<Value> {
    match (before, after) {
        (Some(before), Some(after)) => Some(before - after),
        (Some(before), None) => Some(before),
        (None, Some(after)) => Some(Value::constant(-1.0) * after),
        (None, None) => None,
    }
}
