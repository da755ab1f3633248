//! `[one-wheel]`: trip and drive turn with one wheel.

use std::ops::Range;

use crate::calculations::one_wheel::Known;
use crate::quantity::bounds;
use crate::quantity::{Decimal, Length};

use super::reader::{Key, Keys, Needed, Reader, Section, length, number};
use super::travel::check_travel;

pub(super) static KEYS: Keys = Keys {
    name: "one-wheel",
    meaning: "Says that the trip's counter and the seed drive turn with one wheel.",
    needed: Needed::Where("for the check of trip scale against travel per turn"),
    notes: "It may stand empty: then trip runs and wheel runs of one `date` are held against those of \
            later days. All three keys together say what was right once, such as last season.",
    list: &[&TRIP_SCALE, &DISTANCE, &TURNS],
    ..Keys::ONCE
};

static TRIP_SCALE: Key<Decimal> = Key {
    name: "trip-scale",
    takes: &number(&bounds::SCALE),
    needed: Needed::Where("with `distance` and `turns`"),
    example: "402.5",
    meaning: "The trip scale that was right when the turns below were counted.",
};
static DISTANCE: Key<Length> = Key {
    name: "distance",
    takes: &length(&bounds::COURSE),
    needed: Needed::Where("with `trip-scale`"),
    example: "\"200 ft\"",
    meaning: "Ground covered then.",
};
static TURNS: Key<Decimal> = Key {
    name: "turns",
    takes: &number(&bounds::TURNS),
    needed: Needed::Where("with `trip-scale`"),
    example: "29.5",
    meaning: "Turns of the wheel over it.",
};

/// The table as read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) span: Range<usize>,
    pub(super) known: Option<Known>,
    /// Whether something of it could not be read.
    pub(super) unread: bool,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    let scale = table.read(reader, &TRIP_SCALE);
    let distance = table.read(reader, &DISTANCE);
    let turns = table.read(reader, &TURNS);
    let any = table.has(&TRIP_SCALE) || table.has(&DISTANCE) || table.has(&TURNS);
    if any {
        table.need(&TRIP_SCALE);
        table.need(&DISTANCE);
        table.need(&TURNS);
    }
    if let (Some(distance), Some(turns)) = (&distance, &turns) {
        check_travel(reader, distance, turns, table.place(&TURNS));
    }
    let known = match (scale, distance, turns) {
        (Some(scale), Some(distance), Some(turns)) => Some(Known { scale, distance, turns }),
        _ => None,
    };
    Table { span: table.span(), unread: any && known.is_none(), known }
}
