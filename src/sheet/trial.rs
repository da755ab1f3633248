//! `[trial]`: what is to be on the ground.

use std::ops::Range;

use crate::calculations::limits::{Accept, Limit, Limits};
use crate::calculations::spacing::Target;
use crate::forecast::rehearsal::Trips;
use crate::quantity::bounds;
use crate::quantity::{Decimal, Duration, Length, SeedRate, Share, Speed, TimeUnit};

use super::operating_point::target;
use super::placed::Placed;
use super::reader::{
    InUnits, Key, Keys, Needed, Reader, Section, SeedRates, counted, length, measure, word,
};

pub(super) static KEYS: Keys = Keys {
    name: "trial",
    meaning: "What is to be on the ground.",
    list: &[
        &PLOT,
        &ALLEY,
        &SPEED,
        &POPULATION,
        &SEED_SPACING,
        &RANGES,
        &PASSES,
        &PASSES_GO,
        &TRIPS,
        &ENTRIES,
        &REPS,
        &ROWS_PER_PLOT,
        &DEPTH,
        &STAND,
        &HOLDS_FOR,
        &TOLERANCE,
        &LIMIT,
        &ACCEPT,
    ],
    ..Keys::ONCE
};

pub(super) static PLOT: Key<Length> = Key {
    name: "plot",
    takes: &length(&bounds::PLOT),
    needed: Needed::Where("for trip, layout, packets"),
    example: "\"17 ft 6 in\"",
    meaning: "Length of a plot, first seed to last.",
};
pub(super) static ALLEY: Key<Length> = Key {
    name: "alley",
    takes: &length(&bounds::ALLEY),
    needed: Needed::Where("for trip, alley, changeover, layout"),
    example: "\"30 in\"",
    meaning: "Width of the alley wanted.",
};
pub(super) static SPEED: Key<Speed> = Key {
    name: "speed",
    takes: &measure(&bounds::SPEED),
    needed: Needed::Where("for the changeover"),
    example: "\"2.8 mph\"",
    meaning: "Ground speed the sheet is for.",
};
pub(super) static POPULATION: Key<SeedRate> = Key {
    name: "population",
    takes: &SeedRates,
    needed: Needed::Where("for spacing, changeover, rows, or `seed-spacing`"),
    example: "\"139000 /ac\"",
    meaning: "Seeds wanted per area, or along the row.",
};
pub(super) static SEED_SPACING: Key<Length> = Key {
    name: "seed-spacing",
    takes: &length(&bounds::SEED_SPACING),
    needed: Needed::Where("for spacing, changeover, rows, or `population`"),
    example: "\"1.5 in\"",
    meaning: "Distance wanted from seed to seed. Not with `population`.",
};
static RANGES: Key<Decimal> = Key {
    name: "ranges",
    takes: &counted(&bounds::RANGES),
    needed: Needed::Where("for the layout"),
    example: "30",
    meaning: "Ranges of the trial: what an error adds up to over the pass.",
};
static PASSES: Key<Decimal> = Key {
    name: "passes",
    takes: &counted(&bounds::PASSES),
    needed: Needed::Where("for the layout"),
    example: "12",
    meaning: "Passes of the trial.",
};
static PASSES_GO: Key<bool> = Key {
    name: "passes-go",
    takes: &word(&[("both-ways", false), ("one-way", true)]),
    needed: Needed::No,
    example: "\"one-way\"",
    meaning: "Whether passes go out and home by turns, as without it, or all of them out, with the planter \
              brought back empty.",
};
static TRIPS: Key<Trips> = Key {
    name: "trips",
    takes: &word(&[("at-marks", Trips::AtMarks), ("counted", Trips::Counted)]),
    needed: Needed::Where("for a rehearsal that leaves nothing open"),
    example: "\"at-marks\"",
    meaning: "What gives the trips when the trial is planted: every mark (a wire, a line, a hand at \
              a flag), or the controller's count from the first mark of a pass on, in which an error \
              adds up from range to range.",
};
static ENTRIES: Key<Decimal> = Key {
    name: "entries",
    takes: &counted(&bounds::ENTRIES),
    needed: Needed::Where("for packets"),
    example: "40",
    meaning: "Entries of the trial (varieties, hybrids, treatments).",
};
static REPS: Key<Decimal> = Key {
    name: "reps",
    takes: &counted(&bounds::REPS),
    needed: Needed::Where("for packets"),
    example: "4",
    meaning: "Replications: how often each entry is planted.",
};
static ROWS_PER_PLOT: Key<Decimal> = Key {
    name: "rows-per-plot",
    takes: &counted(&bounds::ROWS),
    needed: Needed::No,
    example: "2",
    meaning: "Rows of one plot; `rows` of the planter where it is left out.",
};
pub(super) static DEPTH: Key<Length> = Key {
    name: "depth",
    takes: &length(&bounds::DEPTH),
    needed: Needed::Where("for the depth"),
    example: "\"1 1/2 in\"",
    meaning: "Planting depth wanted.",
};
static STAND: Key<SeedRate> = Key {
    name: "stand",
    takes: &SeedRates,
    needed: Needed::Where("for packets without seeds wanted"),
    example: "\"120000 /ac\"",
    meaning: "Plants wanted per area, or along the row.",
};

/// In which days are counted.
const DAYS: InUnits<TimeUnit> = measure(&bounds::HOLDS_FOR);

static HOLDS_FOR: Key<Duration> = Key {
    name: "holds-for",
    takes: &DAYS,
    needed: Needed::No,
    example: "\"30 days\"",
    meaning: "How long a calibration counts after it was measured; without it 30 days.",
};

/// `[trial.tolerance]`.
static TOLERANCE: Keys = Keys {
    name: "tolerance",
    meaning: "How far off is good enough.",
    example: "{ trip = \"1 in\", centre = \"1 in\" }",
    instead: "one tolerance for each: { trip = \"1 in\", centre = \"1 in\" }",
    list: &[
        &WITHIN_TRIP,
        &WITHIN_CENTRE,
        &WITHIN_WIDTH,
        &WITHIN_PASSES,
        &WITHIN_GUESS_ROWS,
        &WITHIN_DEPTH,
        &WITHIN_SPACING,
        &WITHIN_SPEED,
    ],
    ..Keys::ONCE
};

static WITHIN_TRIP: Key<Length> = Key {
    name: "trip",
    takes: &length(&bounds::TOLERANCE),
    needed: Needed::No,
    example: "\"1 in\"",
    meaning: "Error of one trip spacing (plot and alley together).",
};
static WITHIN_CENTRE: Key<Length> = Key {
    name: "centre",
    takes: &length(&bounds::TOLERANCE),
    needed: Needed::No,
    example: "\"1 in\"",
    meaning: "Middle of the alley from its mark.",
};
static WITHIN_WIDTH: Key<Length> = Key {
    name: "width",
    takes: &length(&bounds::TOLERANCE),
    needed: Needed::No,
    example: "\"2 in\"",
    meaning: "Width of the alley. Without it the `centre` tolerance counts.",
};
static WITHIN_PASSES: Key<Length> = Key {
    name: "passes",
    takes: &length(&bounds::TOLERANCE),
    needed: Needed::No,
    example: "\"1 in\"",
    meaning: "Shift of each pass: half of what neighbouring alleys lie apart.",
};
static WITHIN_GUESS_ROWS: Key<Length> = Key {
    name: "guess-rows",
    takes: &length(&bounds::TOLERANCE),
    needed: Needed::No,
    example: "\"1 in\"",
    meaning: "Gap between the outer rows of neighbouring passes: what the planter's side puts it \
              off by, and what the pitch of the passes does.",
};
static WITHIN_DEPTH: Key<Length> = Key {
    name: "depth",
    takes: &length(&bounds::TOLERANCE),
    needed: Needed::No,
    example: "\"1/4 in\"",
    meaning: "Depth of a seed.",
};
static WITHIN_SPACING: Key<Share> = Key {
    name: "spacing",
    takes: &measure(&bounds::SHARE),
    needed: Needed::No,
    example: "\"2 %\"",
    meaning: "Seed spacing.",
};
static WITHIN_SPEED: Key<Share> = Key {
    name: "speed",
    takes: &measure(&bounds::SHARE),
    needed: Needed::No,
    example: "\"2 %\"",
    meaning: "Ground speed.",
};

/// `[trial.limit]`.
static LIMIT: Keys = Keys {
    name: "limit",
    meaning: "How far off a single one may be, where `tolerance` is for the middle of many. A limit \
              that is left out is the tolerance of the same thing.",
    example: "{ plot = \"2 in\", centre = \"2 in\" }",
    instead: "one limit for each: { plot = \"2 in\", centre = \"2 in\" }",
    list: &[&LIMIT_PLOT, &LIMIT_CENTRE, &LIMIT_WIDTH, &LIMIT_LEAD, &LIMIT_DEPTH, &LIMIT_STAND],
    ..Keys::ONCE
};

static LIMIT_PLOT: Key<Length> = Key {
    name: "plot",
    takes: &length(&bounds::LIMIT),
    needed: Needed::No,
    example: "\"2 in\"",
    meaning: "Length of a single plot. Without it the `trip` tolerance counts.",
};
static LIMIT_CENTRE: Key<Length> = Key {
    name: "centre",
    takes: &length(&bounds::LIMIT),
    needed: Needed::No,
    example: "\"2 in\"",
    meaning: "Middle of a single alley from its mark. Without it the `centre` tolerance counts.",
};
static LIMIT_WIDTH: Key<Length> = Key {
    name: "width",
    takes: &length(&bounds::LIMIT),
    needed: Needed::No,
    example: "\"3 in\"",
    meaning: "Width of a single alley. Without it the `width` tolerance counts.",
};
static LIMIT_LEAD: Key<Length> = Key {
    name: "lead",
    takes: &length(&bounds::LIMIT),
    needed: Needed::No,
    example: "\"3 in\"",
    meaning: "A single lead, ahead or behind. Without it twice the `passes` tolerance counts, which \
              is for the shift of one of two passes.",
};
static LIMIT_DEPTH: Key<Length> = Key {
    name: "depth",
    takes: &length(&bounds::LIMIT),
    needed: Needed::No,
    example: "\"1/4 in\"",
    meaning: "Depth of a single seed. Without it the `depth` tolerance counts.",
};
static LIMIT_STAND: Key<Share> = Key {
    name: "stand",
    takes: &measure(&bounds::STAND_LIMIT),
    needed: Needed::No,
    example: "\"10 %\"",
    meaning: "Plants of a single plot against those wanted by `stand`, or its seeds where there is no \
              `stand`; for `rehearse`. Without it they are not counted.",
};
static ACCEPT: Key<Share> = Key {
    name: "accept",
    takes: &measure(&bounds::ACCEPT),
    needed: Needed::No,
    example: "\"90 %\"",
    meaning: "Share of single plots, alleys, leads and depths that must be inside their limit; 90 % \
              where it is left out (common practice, no source).",
};

/// The table as read.
#[derive(Debug, Default)]
pub(super) struct Table {
    pub(super) span: Range<usize>,
    pub(super) plot: Option<Placed<Length>>,
    pub(super) alley: Option<Placed<Length>>,
    pub(super) speed: Option<Placed<Speed>>,
    pub(super) target: Option<Target>,
    pub(super) stand: Option<Placed<SeedRate>>,
    pub(super) depth: Option<Placed<Length>>,
    pub(super) ranges: Option<Decimal>,
    pub(super) passes: Option<Decimal>,
    /// Whether every pass goes out.
    pub(super) one_way: bool,
    pub(super) trips: Option<Trips>,
    pub(super) entries: Option<Placed<Decimal>>,
    pub(super) reps: Option<Placed<Decimal>>,
    pub(super) rows_per_plot: Option<Placed<Decimal>>,
    /// Days, whole ones.
    pub(super) holds_for: Option<u32>,
    pub(super) tolerance: Tolerance,
    pub(super) limit: SingleLimits,
    pub(super) accept: Option<Share>,
}

/// How far off is good enough.
#[derive(Debug, Default)]
pub(super) struct Tolerance {
    pub(super) trip: Option<Length>,
    pub(super) centre: Option<Length>,
    pub(super) width: Option<Length>,
    pub(super) passes: Option<Length>,
    pub(super) guess_rows: Option<Length>,
    pub(super) depth: Option<Length>,
    pub(super) spacing: Option<Share>,
    pub(super) speed: Option<Share>,
}

/// How far off a single one may be.
#[derive(Debug, Default)]
pub(super) struct SingleLimits {
    plot: Option<Length>,
    centre: Option<Length>,
    width: Option<Length>,
    lead: Option<Length>,
    depth: Option<Length>,
    stand: Option<Share>,
}

impl Table {
    /// How far the stand of a single plot may be off.
    pub(super) fn stand_limit(&self) -> Option<Share> {
        self.limit.stand.clone()
    }

    /// What the sheet asks of single plots: its limits, or the tolerances that serve for them. The
    /// `centre` tolerance serves for a width without any, as it does for the mean width.
    pub(super) fn limits(&self) -> Limits {
        let Tolerance { trip, centre, width, passes, depth, .. } = &self.tolerance;
        let keyed = |key: &Key<Length>, held: &Option<Length>| {
            held.clone().map(|length| (key.name, length))
        };
        let of = |key: &Key<Length>, own: &Option<Length>, serves: Option<(_, Length)>, times| {
            let serves = serves.as_ref().map(|(key, length)| (*key, length));
            Limit::of(key.name, own.as_ref(), serves, times)
        };
        let limit = &self.limit;
        let by_centre = || keyed(&WITHIN_CENTRE, centre);
        let of_width = keyed(&WITHIN_WIDTH, width).or_else(by_centre);
        Limits {
            plot: of(&LIMIT_PLOT, &limit.plot, keyed(&WITHIN_TRIP, trip), 1),
            centre: of(&LIMIT_CENTRE, &limit.centre, by_centre(), 1),
            width: of(&LIMIT_WIDTH, &limit.width, of_width, 1),
            lead: of(&LIMIT_LEAD, &limit.lead, keyed(&WITHIN_PASSES, passes), 2),
            depth: of(&LIMIT_DEPTH, &limit.depth, keyed(&WITHIN_DEPTH, depth), 1),
            accept: Accept::of(self.accept.clone()),
        }
    }
}

impl Tolerance {
    /// What was typed, by its key. Every field is named here, so that none gets lost on the way
    /// to the cab card.
    pub(super) fn typed(&self) -> Vec<(&'static str, String)> {
        fn one<T: ToString>(key: &Key<T>, held: Option<&T>) -> Option<(&'static str, String)> {
            Some((key.name, held?.to_string()))
        }
        let Tolerance { trip, centre, width, passes, guess_rows, depth, spacing, speed } = self;
        let all = [
            one(&WITHIN_TRIP, trip.as_ref()),
            one(&WITHIN_CENTRE, centre.as_ref()),
            one(&WITHIN_WIDTH, width.as_ref()),
            one(&WITHIN_PASSES, passes.as_ref()),
            one(&WITHIN_GUESS_ROWS, guess_rows.as_ref()),
            one(&WITHIN_DEPTH, depth.as_ref()),
            one(&WITHIN_SPACING, spacing.as_ref()),
            one(&WITHIN_SPEED, speed.as_ref()),
        ];
        all.into_iter().flatten().collect()
    }
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    Table {
        span: table.span(),
        plot: table.placed(reader, &PLOT),
        alley: table.placed(reader, &ALLEY),
        speed: table.placed(reader, &SPEED),
        target: target(reader, table, &POPULATION, &SEED_SPACING),
        stand: table.placed(reader, &STAND),
        depth: table.placed(reader, &DEPTH),
        ranges: table.read(reader, &RANGES),
        passes: table.read(reader, &PASSES),
        one_way: table.read(reader, &PASSES_GO).unwrap_or(false),
        trips: table.read(reader, &TRIPS),
        entries: table.placed(reader, &ENTRIES),
        reps: table.placed(reader, &REPS),
        rows_per_plot: table.placed(reader, &ROWS_PER_PLOT),
        holds_for: table.read(reader, &HOLDS_FOR).map(|time| days(&time)),
        tolerance: table.table(reader, &TOLERANCE, tolerance).unwrap_or_default(),
        limit: table.table(reader, &LIMIT, limit).unwrap_or_default(),
        accept: table.read(reader, &ACCEPT),
    }
}

fn limit(reader: &mut Reader<'_>, table: &mut Section<'_>) -> SingleLimits {
    SingleLimits {
        plot: table.read(reader, &LIMIT_PLOT),
        centre: table.read(reader, &LIMIT_CENTRE),
        width: table.read(reader, &LIMIT_WIDTH),
        lead: table.read(reader, &LIMIT_LEAD),
        depth: table.read(reader, &LIMIT_DEPTH),
        stand: table.read(reader, &LIMIT_STAND),
    }
}

/// Whole days; the bounds of the key keep them small.
fn days(time: &Duration) -> u32 {
    time.value_in(TimeUnit::Day) as u32
}

fn tolerance(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Tolerance {
    Tolerance {
        trip: table.read(reader, &WITHIN_TRIP),
        centre: table.read(reader, &WITHIN_CENTRE),
        width: table.read(reader, &WITHIN_WIDTH),
        passes: table.read(reader, &WITHIN_PASSES),
        guess_rows: table.read(reader, &WITHIN_GUESS_ROWS),
        depth: table.read(reader, &WITHIN_DEPTH),
        spacing: table.read(reader, &WITHIN_SPACING),
        speed: table.read(reader, &WITHIN_SPEED),
    }
}
