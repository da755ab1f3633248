//! `[trial]`: what is to be on the ground.

use std::ops::Range;

use crate::calculations::spacing::Target;
use crate::quantity::bounds;
use crate::quantity::{Decimal, Length, SeedRate, Share, ShareUnit, Speed, SpeedUnit};

use super::Placed;
use super::codes;
use super::reader::{Reader, Section, counted, length, measure, seed_rate};

/// The table as read.
#[derive(Debug, Default)]
pub(super) struct Trial {
    pub(super) span: Range<usize>,
    pub(super) plot: Option<Placed<Length>>,
    pub(super) alley: Option<Placed<Length>>,
    pub(super) speed: Option<Placed<Speed>>,
    pub(super) target: Option<Target>,
    pub(super) stand: Option<Placed<SeedRate>>,
    pub(super) depth: Option<Placed<Length>>,
    pub(super) ranges: Option<Decimal>,
    pub(super) passes: Option<Decimal>,
    pub(super) entries: Option<Placed<Decimal>>,
    pub(super) reps: Option<Placed<Decimal>>,
    pub(super) rows_per_plot: Option<Placed<Decimal>>,
    pub(super) tolerance: Tolerance,
}

/// How far off is good enough.
#[derive(Debug, Default)]
pub(super) struct Tolerance {
    pub(super) trip: Option<Length>,
    pub(super) centre: Option<Length>,
    pub(super) width: Option<Length>,
    pub(super) passes: Option<Length>,
    pub(super) depth: Option<Length>,
    pub(super) spacing: Option<Share>,
    pub(super) speed: Option<Share>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Trial {
    Trial {
        span: table.span(),
        plot: table.placed(reader, "plot", length(&bounds::PLOT)),
        alley: table.placed(reader, "alley", length(&bounds::ALLEY)),
        speed: table.placed(reader, "speed", measure::<SpeedUnit>(&bounds::SPEED)),
        target: target(reader, table),
        stand: table.placed(reader, "stand", seed_rate),
        depth: table.placed(reader, "depth", length(&bounds::DEPTH)),
        ranges: table.optional(reader, "ranges", counted(&bounds::RANGES)),
        passes: table.optional(reader, "passes", counted(&bounds::PASSES)),
        entries: table.placed(reader, "entries", counted(&bounds::ENTRIES)),
        reps: table.placed(reader, "reps", counted(&bounds::REPS)),
        rows_per_plot: table.placed(reader, "rows-per-plot", counted(&bounds::ROWS)),
        tolerance: table.table(reader, "tolerance", tolerance).unwrap_or_default(),
    }
}

/// How far apart seeds stand, said either way.
pub(super) fn target(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Option<Target> {
    let population = table.optional(reader, "population", seed_rate);
    let spacing = table.optional(reader, "seed-spacing", length(&bounds::SEED_SPACING));
    if table.has("population") && table.has("seed-spacing") {
        let message = "`population` and `seed-spacing` both say how far apart seeds stand";
        reader.say(&codes::CONFLICT, table.place("seed-spacing"), message, "keep one of them");
    }
    population.map(Target::Population).or(spacing.map(Target::Spacing))
}

fn tolerance(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Tolerance {
    let within = || length(&bounds::TOLERANCE);
    let share = || measure::<ShareUnit>(&bounds::SHARE);
    Tolerance {
        trip: table.optional(reader, "trip", within()),
        centre: table.optional(reader, "centre", within()),
        width: table.optional(reader, "width", within()),
        passes: table.optional(reader, "passes", within()),
        depth: table.optional(reader, "depth", within()),
        spacing: table.optional(reader, "spacing", share()),
        speed: table.optional(reader, "speed", share()),
    }
}
