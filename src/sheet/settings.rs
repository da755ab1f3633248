//! `[settings]`: what the controller holds now.

use std::ops::Range;

use crate::outcome::setting;
use crate::quantity::bounds;
use crate::quantity::{Decimal, Length};

use super::reader::{Key, Keys, Needed, Reader, Section, length, number};

pub(super) static KEYS: Keys = Keys {
    name: "settings",
    meaning: "What the controller holds now.",
    list: &[&TRIP_SCALE, &SETBACK, &PASS_OFFSET],
    ..Keys::ONCE
};

pub(super) static TRIP_SCALE: Key<Decimal> = Key {
    name: setting::TRIP_SCALE.key,
    takes: &number(&bounds::SCALE),
    needed: Needed::Where("for trip"),
    example: "402.5",
    meaning: "The trip scale now, a plain number.",
};
pub(super) static SETBACK: Key<Length> = Key {
    name: setting::SETBACK.key,
    takes: &length(&bounds::SETTING_LENGTH),
    needed: Needed::Where("for alley"),
    example: "\"15 in\"",
    meaning: "The setback now.",
};
pub(super) static PASS_OFFSET: Key<Length> = Key {
    name: setting::PASS_OFFSET.key,
    takes: &length(&bounds::SETTING_LENGTH),
    needed: Needed::Where("for passes"),
    example: "\"6.5 in\"",
    meaning: "The pass offset now.",
};

/// The table as read.
#[derive(Debug, Default)]
pub(super) struct Table {
    pub(super) span: Range<usize>,
    pub(super) trip_scale: Option<Decimal>,
    pub(super) setback: Option<Length>,
    pub(super) pass_offset: Option<Length>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    Table {
        span: table.span(),
        trip_scale: table.read(reader, &TRIP_SCALE),
        setback: table.read(reader, &SETBACK),
        pass_offset: table.read(reader, &PASS_OFFSET),
    }
}
