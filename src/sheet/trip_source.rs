//! `[[trip-source]]`: what makes the planter trip.

use std::ops::Range;

use crate::calculations::offsets::{Kind, Source};
use crate::quantity::bounds;
use crate::quantity::{Duration, Length};

use super::reader::{Key, Keys, Needed, Reader, Section, YesNo, length, measure, word};

pub(super) static KEYS: Keys = Keys {
    name: "trip-source",
    meaning: "What makes the planter trip: a fixed distance, and a latency that goes with the speed.",
    needed: Needed::Where("for the trip source"),
    notes: "One table for each source that is used on the planter; `in-use` says for which the settings \
            are.",
    list: &[&SOURCE, &SENSED_AHEAD, &LATENCY, &IN_USE],
    shown: &[&SOURCE, &SENSED_AHEAD, &LATENCY],
    ..Keys::MANY
};

static SOURCE: Key<Kind> = Key {
    name: "source",
    takes: &word(&[
        ("wire", Kind::Wire),
        ("marks", Kind::Marks),
        ("wheel", Kind::Wheel),
        ("gps", Kind::Gps),
    ]),
    needed: Needed::Always,
    example: "\"wire\"",
    meaning: "A stop on a `wire`, `marks` on the ground that are sensed, counts of a `wheel`, or a place \
              by satellites, `gps`.",
};
static SENSED_AHEAD: Key<Length> = Key {
    name: "sensed-ahead",
    takes: &length(&bounds::EDGE),
    needed: Needed::Always,
    example: "\"3 ft\"",
    meaning: "How far what senses the mark sits ahead of where seed falls, along the travel (behind: \
              negative); of a place by satellites how far the place that is held against the mark does.",
};
static LATENCY: Key<Duration> = Key {
    name: "latency",
    takes: &measure(&bounds::TIMER),
    needed: Needed::Always,
    example: "\"0.15 s\"",
    meaning: "From the mark being reached until the planter trips; the latency of `setback-at` holds \
              it, and everything after the trip too.",
};
static IN_USE: Key<bool> = Key {
    name: "in-use",
    takes: &YesNo,
    needed: Needed::No,
    example: "true",
    meaning: "Whether the settings of the sheet are for it. A single source is, without it.",
};

/// One source; nothing where it could not be read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) span: Range<usize>,
    pub(super) source: Option<Source>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    let kind = table.read(reader, &SOURCE);
    let ahead = table.read(reader, &SENSED_AHEAD);
    let latency = table.read(reader, &LATENCY);
    let in_use = table.read(reader, &IN_USE);
    let unread = table.has(&IN_USE) && in_use.is_none();
    let source = match (kind, ahead, latency) {
        (Some(kind), Some(ahead), Some(latency)) if !unread => {
            Some(Source { kind, ahead, latency, in_use: in_use.unwrap_or(false) })
        }
        _ => None,
    };
    Table { span: table.span(), source }
}
