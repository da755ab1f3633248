//! `[layout]`: how the trial lies in the field, and the field on the globe.

use std::ops::Range;

use crate::calculations::stakes::{Order, Run, Side};
use crate::quantity::bounds;
use crate::quantity::{Angle, AngleKind, Length};

use super::Placed;
use super::reader::{Read, Reader, Section, angle, length, whole, word};

/// The table as read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) span: Range<usize>,
    pub(super) headland: Option<Placed<Length>>,
    pub(super) end_headland: Option<Placed<Length>>,
    pub(super) side_margin: Option<Length>,
    pub(super) pass_gap: Option<Length>,
    pub(super) wire_end: Option<Length>,
    pub(super) border_ranges: Option<u32>,
    pub(super) border_passes: Option<u32>,
    pub(super) first_pass: Option<Side>,
    pub(super) numbering: Option<Order>,
    pub(super) numbers_run: Option<Run>,
    pub(super) first_plot: Option<u32>,
    pub(super) number_step: Option<Placed<u32>>,
    pub(super) bearing: Option<Placed<Angle>>,
    pub(super) corner: Option<Corner>,
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
    let headland = || length(&bounds::HEADLAND);
    Table {
        span: table.span(),
        headland: table.placed_required(reader, "headland", "\"40 ft\"", headland()),
        end_headland: table.placed(reader, "end-headland", headland()),
        side_margin: table.optional(reader, "side-margin", length(&bounds::MARGIN)),
        pass_gap: table.optional(reader, "pass-gap", length(&bounds::PASS_GAP)),
        wire_end: table.optional(reader, "wire-end", length(&bounds::WIRE_END)),
        border_ranges: table.optional(reader, "border-ranges", whole(&bounds::BORDERS)),
        border_passes: table.optional(reader, "border-passes", whole(&bounds::BORDERS)),
        first_pass: table.optional(reader, "first-pass", side()),
        numbering: table.optional(
            reader,
            "numbering",
            word(&[("serpentine", Order::Serpentine), ("straight", Order::Straight)]),
        ),
        numbers_run: table.optional(
            reader,
            "numbers-run",
            word(&[("across", Run::Across), ("along", Run::Along)]),
        ),
        first_plot: table.optional(reader, "first-plot", whole(&bounds::PLOT_NUMBER)),
        number_step: table.placed(reader, "number-step", whole(&bounds::NUMBER_STEP)),
        bearing: table.placed(reader, "bearing", angle(AngleKind::Bearing, &bounds::BEARING)),
        corner: table.table(reader, "corner", corner),
    }
}

fn side() -> impl Read<Side> {
    word(&[("left", Side::Left), ("right", Side::Right)])
}

fn corner(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Corner {
    Corner {
        span: table.span(),
        latitude: table.required(
            reader,
            "latitude",
            "42.0308",
            angle(AngleKind::Latitude, &bounds::LATITUDE),
        ),
        longitude: table.required(
            reader,
            "longitude",
            "-93.6319",
            angle(AngleKind::Longitude, &bounds::LONGITUDE),
        ),
        side: table.required(reader, "side", "\"left\"", side()),
    }
}
