//! Lengths of a field in the unit that it is measured in.

use std::borrow::Cow;

use crate::calculations::Common;
use crate::quantity::{Length, LengthUnit, MeasureUnit};
use crate::working::Value;

/// The unit of field lengths: feet for a sheet in inches, metres for a metric one.
pub(super) fn unit(common: &Common) -> LengthUnit {
    match common.units.length {
        LengthUnit::Inch | LengthUnit::Foot | LengthUnit::Yard | LengthUnit::Mile => {
            LengthUnit::Foot
        }
        _ => LengthUnit::Metre,
    }
}

/// A length in that unit.
pub(super) fn length(
    common: &Common,
    name: impl Into<Cow<'static, str>>,
    length: &Length,
) -> Value {
    Value::measured(name, length, unit(common).compound())
}

/// A length that may be missing, then nothing.
pub(super) fn length_or_none(
    common: &Common,
    name: &'static str,
    length: Option<&Length>,
) -> Option<Value> {
    length.filter(|length| length.base() > 0.0).map(|length| self::length(common, name, length))
}
