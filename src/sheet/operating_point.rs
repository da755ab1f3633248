//! The operating point that a run was made at or a change was made for.

use crate::quantity::bounds;
use crate::record::operating_point::OperatingPoint;

use super::reader::{Item, Reader, Section, date, length};
use super::{changeover, trial};

/// All of it but the speed, which runs have as a key of their own.
pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> OperatingPoint {
    OperatingPoint {
        speed: None,
        seeds: trial::target(reader, table),
        alley: table.optional(reader, "alley", length(&bounds::ALLEY)),
        boost: table.optional(reader, "boost", changeover::boost),
    }
}

/// The day of a date: year, month, day.
pub(super) fn day(reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<String> {
    date(reader, item).map(|date| date.to_string())
}
