//! The one table of what is believable, for constructors, messages and test generators.
//!
//! The limits are wide: they catch a slipped decimal point or a wrong unit, not an odd planter.
//! Facts of the trade, no source.

use super::measure::Measure;
use super::unit::MeasureUnit;

/// The believable range of one measure or number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Lower limit in base units (millimetres, seconds, milligrams, plain numbers).
    pub least: f64,
    /// Upper limit in base units.
    pub most: f64,
    /// The lower limit as it is printed.
    pub least_text: &'static str,
    /// The upper limit as it is printed.
    pub most_text: &'static str,
    /// What is measured or counted, in a sentence.
    pub what: &'static str,
}

impl Bounds {
    const fn new(
        least: f64,
        least_text: &'static str,
        most: f64,
        most_text: &'static str,
        what: &'static str,
    ) -> Self {
        Bounds { least, most, least_text, most_text, what }
    }

    /// Whether a number in base units lies inside, limits included.
    ///
    /// ```
    /// use alleytrue::quantity::bounds::ALLEY;
    /// assert!(ALLEY.hold(762.0)); // 30 in
    /// assert!(!ALLEY.hold(f64::NAN));
    /// ```
    #[must_use]
    pub fn hold(&self, value: f64) -> bool {
        // A hair of slack at either limit, since 2.54 cm and 1 in must be the same limit.
        let slack = |limit: f64| 1e-9 * limit.abs();
        value >= self.least - slack(self.least) && value <= self.most + slack(self.most)
    }

    /// Whether a measure lies inside.
    #[must_use]
    pub fn hold_measure<U: MeasureUnit>(&self, measure: &Measure<U>) -> bool {
        self.hold(measure.base())
    }

    /// The range in words.
    #[must_use]
    pub fn text(&self) -> String {
        format!("{} to {}", self.least_text, self.most_text)
    }
}

macro_rules! bounds_table {
    ($($name:ident = $least:literal $least_text:literal, $most:literal $most_text:literal, $doc:literal;)+) => {
        $(#[doc = $doc] pub const $name: Bounds = Bounds::new($least, $least_text, $most, $most_text, $doc);)+
        #[cfg(test)]
        const ALL: &[(&str, Bounds)] = &[$((stringify!($name), $name)),+];
    };
}

bounds_table! {
    ROWS = 1.0 "1", 48.0 "48", "Rows planted in one pass.";
    ROW_SPACING = 50.0 "5 cm", 3048.0 "10 ft", "Distance between rows.";
    TRAVEL_PER_TURN = 50.0 "5 cm", 15240.0 "50 ft", "Ground covered per turn of the drive wheel.";
    TURNS = 0.1 "0.1", 100000.0 "100000", "Turns of the drive wheel over a course.";
    COURSE = 1000.0 "1 m", 3218688.0 "2 mi", "A course for timing or for counting wheel turns.";
    CELLS = 1.0 "1", 1000.0 "1000", "Cells of a seed plate.";
    CARRY = 0.0 "0", 1000.0 "1000", "Cells between pick-up and release.";
    TEETH = 5.0 "5", 200.0 "200", "Teeth of a sprocket.";
    PLATE_PER_WHEEL = 0.001 "0.001", 1000.0 "1000", "Plate turns per turn of the drive wheel.";
    PLATE_RATE = 0.001 "0.06 turns/min", 100.0 "6000 turns/min", "Turning rate of a seed plate.";
    CENTRE_DISTANCE = 25.0 "25 mm", 6096.0 "20 ft", "Distance between sprocket centres.";
    DROP_HEIGHT = 25.0 "25 mm", 3048.0 "10 ft", "Height that seed falls from the plate to the ground.";
    CHAIN_PITCH = 3.0 "3 mm", 101.6 "4 in", "Pitch of a roller chain.";
    CHAIN_LINKS = 6.0 "6", 2000.0 "2000", "Links of a chain.";
    TAKE_UP = 0.0 "0", 100.0 "100", "Links that an idler can take up.";
    PLOT = 300.0 "30 cm", 304800.0 "1000 ft", "Length of a plot.";
    ALLEY = 50.0 "5 cm", 30480.0 "100 ft", "Width of an alley.";
    TRIP_LENGTH = 300.0 "30 cm", 402336.0 "1320 ft", "Distance between two marks.";
    SPEED = 22.352 "0.05 mph", 8940.8 "20 mph", "Ground speed.";
    COURSE_TIME = 0.5 "0.5 s", 36000.0 "10 h", "Time over a course.";
    SEED_SPACING = 2.0 "2 mm", 6096.0 "20 ft", "Distance between seeds.";
    RANGES = 1.0 "1", 10000.0 "10000", "Ranges of a trial.";
    PASSES = 1.0 "1", 10000.0 "10000", "Passes of a trial.";
    ENTRIES = 1.0 "1", 100000.0 "100000", "Entries of a trial.";
    REPS = 1.0 "1", 1000.0 "1000", "Replications of a trial.";
    TOLERANCE = 0.1 "0.1 mm", 3048.0 "10 ft", "A tolerance that is a length.";
    LIMIT = 0.1 "0.1 mm", 3048.0 "10 ft", "How far off a single plot, alley, lead or depth may be.";
    STAND_LIMIT = 0.001 "0.1 %", 1.0 "100 %", "How far the stand of a single plot may be off.";
    ACCEPT = 0.01 "1 %", 0.999 "99.9 %", "The share of single plots that must be inside their limit.";
    SHARE = 0.0001 "0.01 %", 1.0 "100 %", "A tolerance that is a share.";
    ERROR_SHARE = -1000.0 "-100000 %", 1000.0 "100000 %", "An error that is a share.";
    THOUSAND_SEEDS = 5.0 "5 mg", 5000000.0 "5 kg", "Mass of a thousand seeds.";
    SEED_SIZE = 0.0002 "200 /kg", 200.0 "200000000 /kg", "Seeds in a mass.";
    SEED_SHARE = 0.01 "1 %", 1.0 "100 %", "Share of seeds that germinate or come up.";
    RESERVE = 0.0 "0", 100000.0 "100000", "Seeds packed in reserve.";
    SEEDS_LOST = 0.0 "0", 100000.0 "100000", "Seeds of a row that end beside the plot.";
    BALANCE_STEP = 0.01 "0.01 mg", 1000000.0 "1 kg", "The step of a balance.";
    TEST_PLOTS = 0.0 "0", 10000.0 "10000", "Plots planted on test ranges.";
    SEEDS_AT_HAND = 0.0 "0", 4000000000.0 "4000000000", "Seeds in store.";
    MASS_AT_HAND = 0.0 "0 g", 10000000000.0 "10000 kg", "Mass of seed in store.";
    TIMER = 0.0 "0 s", 60.0 "60 s", "A timer of the changeover.";
    ACTION_WAY = 0.0 "0 in", 30480.0 "100 ft", "How far the planter goes while an action waits or lasts.";
    BOOST_CELLS = 0.1 "0.1 cells/s", 1000.0 "1000 cells/s", "Cells that pass in a second under boost.";
    STRAY_SEEDS = 0.0 "0", 1000.0 "1000", "Seeds counted where none should be.";
    SEEN_LENGTH = 0.0 "0 in", 30480.0 "100 ft", "A length over which something was seen on the ground.";
    ROW_EDGE = -3048.0 "-10 ft", 3048.0 "10 ft", "A row's edge against the reference row's.";
    HOLDS_FOR = 86400.0 "1 day", 315360000.0 "3650 days", "How long a calibration holds.";
    TIMER_STEP = 0.0001 "0.1 ms", 10.0 "10 s", "The step of a timer.";
    SKID = 0.0 "0 %", 0.5 "50 %", "Skid of the ground wheel.";
    SCALE = 0.000001 "0.000001", 1000000000.0 "1000000000", "A trip scale.";
    SCALE_STEP = 0.0000001 "0.0000001", 1000000.0 "1000000", "The step of a trip scale.";
    SETTING_LENGTH = -30480.0 "-100 ft", 30480.0 "100 ft", "A setting that is a length.";
    MOVES = 0.001 "0.001", 1000.0 "1000", "What a unit of a setting moves, in units of it.";
    SETTING_STEP = 0.01 "0.01 mm", 3048.0 "10 ft", "The step of a setting that is a length.";
    EDGE = -30480.0 "-100 ft", 30480.0 "100 ft", "A seed's distance from the mark (negative: past it).";
    COUNTED_ROW = 100.0 "10 cm", 304800.0 "1000 ft", "A length of row that plants are counted on.";
    PLANTS = 0.0 "0", 1000000.0 "1000000", "Plants counted at one place.";
    SKIP = 1.0 "1 mm", 304800.0 "1000 ft", "A skip in a row.";
    TAPE = 0.0 "0 in", 402336.0 "1320 ft", "The place of a seed along a tape.";
    GAP = 0.0 "0 in", 30480.0 "100 ft", "The distance from one seed to the next.";
    DEPTH = 0.0 "0 mm", 500.0 "50 cm", "The depth of a seed under the surface.";
    DEPTH_CHANGE = 0.1 "0.1 mm", 500.0 "50 cm", "A change of depth.";
    DEPTH_TURNS = 0.01 "0.01", 1000.0 "1000", "Turns of a depth setting.";
    TURNS_MADE = -1000.0 "-1000", 1000.0 "1000", "Turns that a depth setting was turned in (out: negative).";
    TEETH_JUMPED = -1000.0 "-1000", 1000.0 "1000", "Teeth that a chain was jumped forward (back: negative).";
    MARKS_MOVED = -30480.0 "-100 ft", 30480.0 "100 ft", "How far marks were moved out (home: negative).";
    LEAD = -30480.0 "-100 ft", 30480.0 "100 ft", "Lead of an alley over its neighbour's.";
    HEADLAND = 0.0 "0 in", 304800.0 "1000 ft", "Bare ground at an end of the field.";
    MARGIN = 0.0 "0 in", 304800.0 "1000 ft", "Bare ground along a side of the field.";
    PASS_GAP = 0.0 "0 in", 30480.0 "100 ft", "Bare ground between passes, besides the row spacing.";
    WIRE_END = 0.0 "0 in", 304800.0 "1000 ft", "Spare wire beyond an outermost mark.";
    BORDERS = 0.0 "0", 100.0 "100", "Border ranges at an end, or border passes at a side.";
    PLOT_NUMBER = 0.0 "0", 1000000.0 "1000000", "The number of the first plot.";
    NUMBER_STEP = 1.0 "1", 100000.0 "100000", "From the first number of a range to that of the next.";
    LATITUDE = -85.0 "-85 deg", 85.0 "85 deg", "A latitude where trials are planted.";
    LONGITUDE = -180.0 "-180 deg", 180.0 "180 deg", "A longitude.";
    BEARING = 0.0 "0 deg", 360.0 "360 deg", "A bearing from true north, clockwise.";
}

/// The believable range of a seed rate on the ground, per square millimetre: 1000 /ha to
/// 20000 /m2.
pub const PER_AREA: Bounds = Bounds::new(1e-7, "1000 /ha", 2e-2, "20000 /m2", "Seeds per area.");
/// The believable range of a seed rate along the row, per millimetre.
pub const PER_ROW: Bounds =
    Bounds::new(1e-4, "0.1 seeds/m", 1.0, "1000 seeds/m", "Seeds along the row.");

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{
        Angle, AngleKind, CellRate, Duration, Length, Mass, PerArea, PerMass, PerRow, PerTime,
        Share, Speed, parse_number,
    };

    /// A limit's text in base units, whatever it measures.
    fn base(text: &str) -> f64 {
        let reads = [
            parse_number(text).map(|number| number.value()),
            Length::parse(text, None).map(|m| m.base()),
            Speed::parse(text, None).map(|m| m.base()),
            Duration::parse(text, None).map(|m| m.base()),
            PerTime::parse(text, None).map(|m| m.base()),
            CellRate::parse(text, None).map(|m| m.base()),
            PerArea::parse(text, None).map(|m| m.base()),
            PerRow::parse(text, None).map(|m| m.base()),
            Share::parse(text, None).map(|m| m.base()),
            Angle::parse(text, AngleKind::Bearing).map(Angle::degrees),
            Mass::parse(text, None).map(|m| m.base()),
            PerMass::parse(text, None).map(|m| m.base()),
        ];
        reads.into_iter().find_map(Result::ok).unwrap_or(f64::NAN)
    }

    #[test]
    fn printed_limits_are_the_limits_applied() {
        for (name, bounds) in
            ALL.iter().copied().chain([("PER_AREA", PER_AREA), ("PER_ROW", PER_ROW)])
        {
            for (limit, text) in
                [(bounds.least, bounds.least_text), (bounds.most, bounds.most_text)]
            {
                approx::assert_relative_eq!(base(text), limit, max_relative = 1e-12);
                assert!(bounds.hold(base(text)), "{name}: {text}");
            }
            assert!(bounds.least < bounds.most, "{name}");
        }
    }

    #[test]
    fn a_wide_range_has_no_slack_at_its_lower_limit() {
        assert!(!SCALE.hold(0.0), "a trip scale of nought would divide by it");
    }

    // 5 cm to 100 ft, that is 50 mm to 30480 mm.
    #[test]
    fn what_lies_outside_by_more_than_a_hair_is_refused() {
        for (millimetres, inside) in [
            (49.99, false),
            (50.0 * (1.0 - 1e-12), true),
            (30_480.0 * (1.0 + 1e-12), true),
            (30_480.1, false),
            (-762.0, false),
            (f64::NAN, false),
        ] {
            assert_eq!(ALLEY.hold(millimetres), inside, "{millimetres}");
        }
        assert!(EDGE.hold(-30_480.0) && !EDGE.hold(-30_480.1) && !EDGE.hold(30_480.1));
        let holds = |text: &str| ALLEY.hold_measure(&Length::parse(text, None).expect(text));
        assert!(holds("30 in") && holds("100 ft") && !holds("101 ft") && !holds("-30 in"));
        assert_eq!(ALLEY.text(), "5 cm to 100 ft");
    }
}
