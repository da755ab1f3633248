//! `[settings]`: what the controller holds now.

use std::ops::Range;

use crate::outcome::setting::{PASS_OFFSET, SETBACK, TRIP_SCALE};
use crate::quantity::bounds;
use crate::quantity::{Decimal, Length};

use super::reader::{Reader, Section, length, number};

/// The table as read.
#[derive(Debug, Default)]
pub(super) struct Settings {
    pub(super) span: Range<usize>,
    pub(super) trip_scale: Option<Decimal>,
    pub(super) setback: Option<Length>,
    pub(super) pass_offset: Option<Length>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Settings {
    Settings {
        span: table.span(),
        trip_scale: table.optional(reader, TRIP_SCALE.key, number(&bounds::SCALE)),
        setback: table.optional(reader, SETBACK.key, length(&bounds::SETTING_LENGTH)),
        pass_offset: table.optional(reader, PASS_OFFSET.key, length(&bounds::SETTING_LENGTH)),
    }
}
