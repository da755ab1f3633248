//! `[layout]`: how the trial lies in the field, and the field on the globe.

use std::ops::Range;

use crate::calculations::stakes::{Order, Run, Side};
use crate::quantity::bounds;
use crate::quantity::{Angle, AngleKind, Length};

use super::placed::Placed;
use super::reader::{Key, Keys, Needed, Reader, Section, YesNo, angle, length, whole, word};

pub(super) static KEYS: Keys = Keys {
    name: "layout",
    meaning: "How the trial lies in the field.",
    needed: Needed::Where("for `stakes`"),
    notes: "Left and right are seen from the start line, along the travel out.",
    list: &[
        &HEADLAND,
        &END_HEADLAND,
        &SIDE_MARGIN,
        &PASS_GAP,
        &BORDER_RANGES,
        &BORDER_PASSES,
        &BORDER_PLOT,
        &OTHER_PLOTS,
        &WIRE_END,
        &TAPE,
        &FIRST_PASS,
        &NUMBERING,
        &NUMBERS_RUN,
        &FIRST_PLOT,
        &NUMBER_STEP,
        &BEARING,
        &CORNER,
    ],
    ..Keys::ONCE
};

static HEADLAND: Key<Length> = Key {
    name: "headland",
    takes: &length(&bounds::HEADLAND),
    needed: Needed::Always,
    example: "\"40 ft\"",
    meaning: "From the start line, which is the near edge of the field, to the first planted \
              ground: half of the alley or more.",
};
static END_HEADLAND: Key<Length> = Key {
    name: "end-headland",
    takes: &length(&bounds::HEADLAND),
    needed: Needed::No,
    example: "\"30 ft\"",
    meaning: "From the last planted ground to the far edge. As `headland` where it is left out.",
};
static SIDE_MARGIN: Key<Length> = Key {
    name: "side-margin",
    takes: &length(&bounds::MARGIN),
    needed: Needed::No,
    example: "\"10 ft\"",
    meaning: "Bare ground along either side of the field. Without it: none.",
};
static PASS_GAP: Key<Length> = Key {
    name: "pass-gap",
    takes: &length(&bounds::PASS_GAP),
    needed: Needed::No,
    example: "\"6 in\"",
    meaning: "Bare ground between passes, besides the row spacing. Without it the outer rows of \
              neighbouring passes stand one row spacing apart.",
};
static BORDER_RANGES: Key<u32> = Key {
    name: "border-ranges",
    takes: &whole(&bounds::BORDERS),
    needed: Needed::No,
    example: "1",
    meaning: "Ranges planted as a border at either end, besides `ranges`.",
};
static BORDER_PASSES: Key<u32> = Key {
    name: "border-passes",
    takes: &whole(&bounds::BORDERS),
    needed: Needed::No,
    example: "1",
    meaning: "Passes planted as a border at either side, besides `passes`.",
};
static BORDER_PLOT: Key<Length> = Key {
    name: "border-plot",
    takes: &length(&bounds::PLOT),
    needed: Needed::No,
    example: "\"8 ft\"",
    meaning: "Length of what is planted in border ranges. Without it: as a plot.",
};

/// `[[layout.other-plots]]`.
static OTHER_PLOTS: Keys = Keys {
    name: "other-plots",
    meaning: "Ranges whose plots are shorter than `plot` in [trial], or are fillers.",
    notes: "Give the longest plot of the trial as `plot` in [trial]: tolerances are for that.",
    list: &[&FROM, &TO, &PLOT, &FILLERS],
    shown: &[&FROM, &PLOT],
    ..Keys::MANY
};

static FROM: Key<u32> = Key {
    name: "from",
    takes: &whole(&bounds::RANGES),
    needed: Needed::Always,
    example: "9",
    meaning: "The first of the ranges, counted from the start line.",
};
static TO: Key<u32> = Key {
    name: "to",
    takes: &whole(&bounds::RANGES),
    needed: Needed::No,
    example: "12",
    meaning: "The last of them. Without it the one range.",
};
static PLOT: Key<Length> = Key {
    name: "plot",
    takes: &length(&bounds::PLOT),
    needed: Needed::Always,
    example: "\"12 ft\"",
    meaning: "Length of their plots; fillers may be longer than `plot` in [trial].",
};
static FILLERS: Key<bool> = Key {
    name: "fillers",
    takes: &YesNo,
    needed: Needed::No,
    example: "true",
    meaning: "Whether they are fillers, which have their numbers and belong to no entry.",
};

static WIRE_END: Key<Length> = Key {
    name: "wire-end",
    takes: &length(&bounds::WIRE_END),
    needed: Needed::No,
    example: "\"6 ft\"",
    meaning: "Spare wire beyond either outermost mark.",
};
static TAPE: Key<Length> = Key {
    name: "tape",
    takes: &length(&bounds::COURSE),
    needed: Needed::No,
    example: "\"200 ft\"",
    meaning: "Length of the tape that marks are set with: how far it reaches, and by which diagonals \
              it squares the field.",
};
static FIRST_PASS: Key<Side> = Key {
    name: "first-pass",
    takes: &word(SIDES),
    needed: Needed::No,
    example: "\"left\"",
    meaning: "The side where pass 1 lies. Without it: left.",
};
static NUMBERING: Key<Order> = Key {
    name: "numbering",
    takes: &word(&[("serpentine", Order::Serpentine), ("straight", Order::Straight)]),
    needed: Needed::No,
    example: "\"serpentine\"",
    meaning: "Whether each line of numbers starts where the one before ended, or at the same \
              side. Without it: serpentine.",
};
static NUMBERS_RUN: Key<Run> = Key {
    name: "numbers-run",
    takes: &word(&[("across", Run::Across), ("along", Run::Along)]),
    needed: Needed::No,
    example: "\"across\"",
    meaning: "Lines of numbers run across, range by range, or along, one line of plots after the \
              other. Without it: across.",
};
static FIRST_PLOT: Key<u32> = Key {
    name: "first-plot",
    takes: &whole(&bounds::PLOT_NUMBER),
    needed: Needed::No,
    example: "101",
    meaning: "Number of the first plot, in range 1 of pass 1. Without it: 101.",
};
static NUMBER_STEP: Key<u32> = Key {
    name: "number-step",
    takes: &whole(&bounds::NUMBER_STEP),
    needed: Needed::No,
    example: "100",
    meaning: "From the lowest number of one line to that of the next, as in 101, 201, 301. \
              Without it numbers follow on.",
};
static BEARING: Key<Angle> = Key {
    name: "bearing",
    takes: &angle(AngleKind::Bearing, &bounds::BEARING),
    needed: Needed::Where("with `corner`"),
    example: "\"12.5 deg\"",
    meaning: "Bearing of the travel out, from true north, clockwise. A compass bearing must be \
              turned into a true one first.",
};

/// `[layout.corner]`.
static CORNER: Keys = Keys {
    name: "corner",
    meaning: "Where an end of the start line lies on the globe.",
    needed: Needed::Where("for the map"),
    example: "{ latitude = 42.0308, longitude = -93.6319, side = \"left\" }",
    instead: "where a corner of the start line is: { latitude = 42.0308, longitude = -93.6319, \
              side = \"left\" }",
    list: &[&LATITUDE, &LONGITUDE, &SIDE],
    ..Keys::ONCE
};

static LATITUDE: Key<Angle> = Key {
    name: "latitude",
    takes: &angle(AngleKind::Latitude, &bounds::LATITUDE),
    needed: Needed::Always,
    example: "42.0308",
    meaning: "Latitude on WGS 84, as satellite receivers show it. South is negative, or has an \
              `S`.",
};
static LONGITUDE: Key<Angle> = Key {
    name: "longitude",
    takes: &angle(AngleKind::Longitude, &bounds::LONGITUDE),
    needed: Needed::Always,
    example: "-93.6319",
    meaning: "Longitude on WGS 84. West is negative, or has a `W`.",
};
static SIDE: Key<Side> = Key {
    name: "side",
    takes: &word(SIDES),
    needed: Needed::Always,
    example: "\"left\"",
    meaning: "Which end of the start line it is.",
};

const SIDES: &[(&str, Side)] = &[("left", Side::Left), ("right", Side::Right)];

/// The table as read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) span: Range<usize>,
    pub(super) headland: Option<Placed<Length>>,
    pub(super) end_headland: Option<Placed<Length>>,
    pub(super) side_margin: Option<Length>,
    pub(super) pass_gap: Option<Length>,
    pub(super) wire_end: Option<Length>,
    pub(super) tape: Option<Length>,
    pub(super) border_ranges: Option<u32>,
    pub(super) border_passes: Option<u32>,
    pub(super) border_plot: Option<Placed<Length>>,
    pub(super) other_plots: Vec<Other>,
    pub(super) first_pass: Option<Side>,
    pub(super) numbering: Option<Order>,
    pub(super) numbers_run: Option<Run>,
    pub(super) first_plot: Option<u32>,
    pub(super) number_step: Option<Placed<u32>>,
    pub(super) bearing: Option<Placed<Angle>>,
    pub(super) corner: Option<Corner>,
}

/// Ranges with other plots; what is missing was reported.
#[derive(Debug)]
pub(super) struct Other {
    pub(super) span: Range<usize>,
    pub(super) from: Option<Placed<u32>>,
    pub(super) to: Option<Placed<u32>>,
    pub(super) plot: Option<Placed<Length>>,
    pub(super) fillers: bool,
}

/// A corner of the start line; what is missing was reported.
#[derive(Debug)]
pub(super) struct Corner {
    pub(super) span: Range<usize>,
    pub(super) latitude: Option<Angle>,
    pub(super) longitude: Option<Angle>,
    pub(super) side: Option<Side>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    Table {
        span: table.span(),
        headland: table.placed(reader, &HEADLAND),
        end_headland: table.placed(reader, &END_HEADLAND),
        side_margin: table.read(reader, &SIDE_MARGIN),
        pass_gap: table.read(reader, &PASS_GAP),
        wire_end: table.read(reader, &WIRE_END),
        tape: table.read(reader, &TAPE),
        border_ranges: table.read(reader, &BORDER_RANGES),
        border_passes: table.read(reader, &BORDER_PASSES),
        border_plot: table.placed(reader, &BORDER_PLOT),
        other_plots: table.tables(reader, &OTHER_PLOTS, other),
        first_pass: table.read(reader, &FIRST_PASS),
        numbering: table.read(reader, &NUMBERING),
        numbers_run: table.read(reader, &NUMBERS_RUN),
        first_plot: table.read(reader, &FIRST_PLOT),
        number_step: table.placed(reader, &NUMBER_STEP),
        bearing: table.placed(reader, &BEARING),
        corner: table.table(reader, &CORNER, corner),
    }
}

fn other(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Other {
    Other {
        span: table.span(),
        from: table.placed(reader, &FROM),
        to: table.placed(reader, &TO),
        plot: table.placed(reader, &PLOT),
        fillers: table.read(reader, &FILLERS).unwrap_or(false),
    }
}

fn corner(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Corner {
    Corner {
        span: table.span(),
        latitude: table.read(reader, &LATITUDE),
        longitude: table.read(reader, &LONGITUDE),
        side: table.read(reader, &SIDE),
    }
}
