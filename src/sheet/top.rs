//! What stands above the first table of a sheet.

use crate::quantity::LengthUnit;

use super::reader::{Key, Needed, Text, word};

/// What the sheet calls itself.
pub(super) static TITLE: Key<String> = Key {
    name: "title",
    takes: &Text,
    needed: Needed::No,
    example: "\"North block\"",
    meaning: "What the sheet calls itself; printed over the results.",
};
/// The unit of bare lengths.
pub(super) static BARE_LENGTH: Key<LengthUnit> = Key {
    name: "bare-length",
    takes: &word(UNITS),
    needed: Needed::No,
    example: "\"in\"",
    meaning: "Unit of lengths written without one. Without this key every length must carry its \
              unit.",
};

/// The units that bare lengths may have.
pub(super) const UNITS: &[(&str, LengthUnit)] = &[
    ("in", LengthUnit::Inch),
    ("ft", LengthUnit::Foot),
    ("cm", LengthUnit::Centimetre),
    ("m", LengthUnit::Metre),
    ("mm", LengthUnit::Millimetre),
];
