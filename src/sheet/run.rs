//! What every run of measurements has: its place in the sheet, its date, its speed.

use std::ops::Range;

use crate::quantity::bounds;
use crate::quantity::{Speed, SpeedUnit};

use super::Placed;
use super::reader::{Reader, Section, date, measure, text};

/// The keys that all runs share.
#[derive(Debug)]
pub(super) struct Run {
    /// Where the run starts.
    pub(super) span: Range<usize>,
    /// The speed it was planted at, where it is not the trial's.
    pub(super) speed: Option<Placed<Speed>>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Run {
    table.optional(reader, "date", date);
    table.optional(reader, "note", text);
    Run {
        span: table.span(),
        speed: table.placed(reader, "speed", measure::<SpeedUnit>(&bounds::SPEED)),
    }
}
