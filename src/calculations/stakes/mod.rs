//! The field before anything is planted: marks to stake, plots to number, corners and areas.
//!
//! Field coordinates: x runs across the field from its left edge, y along the travel out from
//! the start line, which is the near edge of the field. Left and right are seen from the start
//! line, along the travel out.

mod tables;

use super::calculate::{Calculate, Entry, SoFar};
use super::common::Common;
use super::sprockets::SearchError;
use crate::quantity::{
    AreaUnit, Decimal, Length, LengthUnit, MeasureUnit, Unit, brief, feet_and_inches, shown,
};
use crate::working::Value;

use crate::outcome::Picture;
use crate::outcome::geodesy::Frame;
use crate::outcome::warning::{EDGE_PLOTS, TOO_FEW_PLOTS};
use crate::outcome::{Calculation, Next, Outcome};

pub use crate::outcome::layout::{
    CORNERS, Grid, Heading, Layout, Mark, Numbering, Order, Plot, Run, Side,
};
use crate::outcome::layout::{Sizes, nth};

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "stakes", title: "Stakes and layout" };

/// Most plots of one layout: more than any field, and what a page or a list can hold.
pub const MOST_PLOTS: u64 = 50_000;

/// Parts of an inch that a tape is read to.
const TAPE_PARTS: u32 = 8;

/// What the layout needs.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// Length of a plot.
    pub plot: Length,
    /// Width of an alley.
    pub alley: Length,
    /// Rows planted in one pass.
    pub rows: Decimal,
    /// Rows of one plot; they divide the rows of a pass.
    pub rows_per_plot: Decimal,
    /// Distance between rows.
    pub row_spacing: Length,
    /// How many of everything.
    pub grid: Grid,
    /// From the start line to the first planted ground.
    pub headland: Length,
    /// From the last planted ground to the far edge; as the headland where not given.
    pub end_headland: Option<Length>,
    /// Bare ground along either side.
    pub side_margin: Option<Length>,
    /// Bare ground between passes, besides the row spacing.
    pub pass_gap: Option<Length>,
    /// Spare wire beyond either outermost mark.
    pub wire_end: Option<Length>,
    /// How plots are numbered.
    pub numbering: Numbering,
    /// How the field lies on the globe.
    pub place: Option<Place>,
    /// Entries and replications of the trial.
    pub entries_and_reps: Option<(Decimal, Decimal)>,
    /// The error of one trip spacing that may stand.
    pub trip_tolerance: Option<Length>,
}

/// A corner of the start line on the globe, and the bearing of the travel out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Latitude of the corner, degrees.
    pub latitude: f64,
    /// Longitude of the corner, degrees.
    pub longitude: f64,
    /// Which end of the start line it is.
    pub corner: Side,
    /// Bearing of the travel out from true north, clockwise, degrees.
    pub bearing: f64,
}

impl Inputs {
    /// The unit of field lengths: feet for a sheet in inches, metres for a metric one.
    fn unit(&self, common: &Common) -> LengthUnit {
        match common.units.length {
            LengthUnit::Inch | LengthUnit::Foot | LengthUnit::Yard | LengthUnit::Mile => {
                LengthUnit::Foot
            }
            _ => LengthUnit::Metre,
        }
    }

    fn length(&self, common: &Common, name: &'static str, length: &Length) -> Value {
        Value::measured(name, length, self.unit(common).compound())
    }

    /// A length that may be missing, then nothing.
    fn length_or_none(
        &self,
        common: &Common,
        name: &'static str,
        length: Option<&Length>,
    ) -> Option<Value> {
        length.filter(|length| length.base() > 0.0).map(|length| self.length(common, name, length))
    }

    /// The plots and marks.
    #[must_use]
    pub fn layout(&self, common: &Common) -> Layout {
        self.layout_of(common, &Lengths::of(self, common))
    }

    fn layout_of(&self, common: &Common, lengths: &Lengths) -> Layout {
        let metres = Unit::from(self.unit(common)).factor_to(LengthUnit::Metre.into());
        let metres = metres.map_or(f64::NAN, crate::quantity::Ratio::value);
        let sizes = Sizes {
            plot: lengths.plot.number(),
            trip_spacing: lengths.trip_spacing.number(),
            plot_width: lengths.plot_width.number(),
            pass_pitch: lengths.pass_pitch.number(),
            headland: lengths.headland.number(),
            first_mark: lengths.first_mark.number(),
            side_margin: lengths.side_margin.as_ref().map_or(0.0, Value::number),
            length: lengths.field_length.number(),
            width: lengths.field_width.number(),
            metres,
        };
        let frame = self.place.map(|place| Frame {
            latitude: place.latitude,
            longitude: place.longitude,
            bearing: place.bearing,
            corner_x: match place.corner {
                Side::Left => 0.0,
                Side::Right => sizes.width * metres,
            },
        });
        Layout { grid: self.grid, numbering: self.numbering, sizes, frame }
    }
}

/// The lengths of the field with their working.
struct Lengths {
    plot: Value,
    trip_spacing: Value,
    plot_width: Value,
    pass_pitch: Value,
    headland: Value,
    side_margin: Option<Value>,
    planted_length: Value,
    planted_width: Value,
    field_length: Value,
    field_width: Value,
    ranges: Value,
    passes: Value,
    abreast: Value,
    marks: Value,
    first_mark: Value,
    last_mark: Value,
}

impl Lengths {
    fn of(inputs: &Inputs, common: &Common) -> Lengths {
        let plot = inputs.length(common, "plot", &inputs.plot);
        let alley = inputs.length(common, "alley", &inputs.alley);
        let headland = inputs.length(common, "headland", &inputs.headland);
        let row_spacing = inputs.length(common, "row spacing", &inputs.row_spacing);
        let rows = Value::typed("rows", inputs.rows, Unit::ONE);
        let rows_per_plot = Value::typed("rows per plot", inputs.rows_per_plot, Unit::ONE);
        let grid = &inputs.grid;
        let ranges = whole("ranges", grid.ranges);
        let passes = whole("passes", grid.passes);
        let tiers =
            with_borders("ranges with borders", &ranges, "border ranges", grid.border_ranges);
        let strips =
            with_borders("passes with borders", &passes, "border passes", grid.border_passes);
        let trip_spacing = (&plot + &alley).named("trip spacing");
        let abreast = plots_abreast(&rows, &rows_per_plot);
        let plot_width = (&rows_per_plot * &row_spacing).named("plot width");
        let pass_width = (&rows * &row_spacing).named("pass width");
        let planted_length = planted_length(&tiers, &plot, &alley);
        let end = inputs.end_headland.as_ref().unwrap_or(&inputs.headland);
        let field_length =
            (&headland + &planted_length + inputs.length(common, "end headland", end))
                .named("field length");
        let gap = inputs.length_or_none(common, "pass gap", inputs.pass_gap.as_ref());
        let (pass_pitch, planted_width) = match gap {
            Some(gap) => {
                let between = (&strips - Value::constant(1.0)) * &gap;
                (&pass_width + &gap, &strips * &pass_width + between)
            }
            None => (pass_width.clone(), &strips * &pass_width),
        };
        let planted_width = planted_width.named("planted width");
        let side_margin = inputs.length_or_none(common, "side margin", inputs.side_margin.as_ref());
        let field_width = match &side_margin {
            Some(margin) => &planted_width + Value::constant(2.0) * margin,
            None => planted_width.clone(),
        };
        let marks = (&tiers + Value::constant(1.0)).named("marks");
        let first_mark = first_mark(&headland, &alley);
        let last_mark = nth(&first_mark, &trip_spacing, marks.clone()).named("last mark");
        Lengths {
            field_width: field_width.named("field width"),
            plot,
            trip_spacing,
            plot_width,
            pass_pitch,
            headland,
            side_margin,
            planted_length,
            planted_width,
            field_length,
            ranges,
            passes,
            abreast,
            marks,
            first_mark,
            last_mark,
        }
    }

    /// Wire from the first mark to the last with its spare ends.
    fn wire(&self, common: &Common, inputs: &Inputs) -> Value {
        let between = &self.last_mark - &self.first_mark;
        match inputs.length_or_none(common, "spare wire at an end", inputs.wire_end.as_ref()) {
            Some(spare) => between + Value::constant(2.0) * spare,
            None => between,
        }
        .named("wire length")
    }
}

fn whole(name: &'static str, number: u32) -> Value {
    Value::typed(name, Decimal::whole(number), Unit::ONE)
}

fn with_borders(name: &'static str, of: &Value, border: &'static str, borders: u32) -> Value {
    match borders {
        0 => of.clone(),
        borders => (of + Value::constant(2.0) * whole(border, borders)).named(name),
    }
}

/// Length of the planted ground: `n` plots and the alleys between them, n × plot + (n - 1) × alley.
///
/// `ranges` is n, with border ranges; lengths are of one unit.
///
/// Source: Immer 1932, J. Agric. Res. 44:649-668, whose ten plots of 33 ft with alleys of 2 ft
/// take 348 ft.
///
/// ```
/// use alleytrue::calculations::stakes::planted_length;
/// use alleytrue::working::Value;
/// let [plots, plot, alley] = [10.0, 33.0, 2.0].map(Value::constant);
/// assert_eq!(planted_length(&plots, &plot, &alley).number(), 348.0);
/// // Nair 1984: 14 plots of 0.6 m with 13 alleys of 0.4 m take 13.6 m.
/// let [plots, plot, alley] = [14.0, 0.6, 0.4].map(Value::constant);
/// assert!((planted_length(&plots, &plot, &alley).number() - 13.6).abs() < 1e-12);
/// ```
#[must_use]
pub fn planted_length(ranges: &Value, plot: &Value, alley: &Value) -> Value {
    (ranges * plot + (ranges - Value::constant(1.0)) * alley).named("planted length")
}

/// The first mark, half an alley before the first planted ground: headland - alley / 2.
///
/// The planter trips there for the first plot, and half an alley behind the last plot, so n ranges
/// have n + 1 marks, all one trip spacing apart.
///
/// ```
/// use alleytrue::calculations::stakes::first_mark;
/// use alleytrue::working::Value;
/// let [headland, alley] = [40.0, 2.5].map(Value::constant);
/// assert_eq!(first_mark(&headland, &alley).number(), 38.75); // 40 - 2.5 / 2
/// ```
#[must_use]
pub fn first_mark(headland: &Value, alley: &Value) -> Value {
    (headland - alley / Value::constant(2.0)).named("first mark")
}

/// What a wrong length does to a yield: true length / entered length - 1, as a share.
///
/// A plot's seed weight is divided by the length entered, so a length entered too long makes the
/// yield too low. Entered 1 % too long: 1 / 1.01 - 1 = -0.99 %.
///
/// ```
/// use alleytrue::calculations::stakes::yield_error;
/// use alleytrue::working::Value;
/// let error = yield_error(&Value::constant(1.01), &Value::constant(1.0));
/// assert!((error.number() - -0.990_099).abs() < 1e-6); // per cent
/// ```
#[must_use]
pub fn yield_error(entered: &Value, true_length: &Value) -> Value {
    (true_length / entered - Value::constant(1.0)).in_percent()
}

/// The layout of the field.
#[must_use]
pub fn stakes(inputs: &Inputs, common: &Common) -> Outcome {
    let mut outcome = Outcome::new(CALCULATION);
    let lengths = Lengths::of(inputs, common);
    let layout = inputs.layout_of(common, &lengths);
    let wire = lengths.wire(common, inputs);
    outcome.values.extend([
        lengths.planted_length.clone(),
        lengths.field_length.clone(),
        lengths.planted_width.clone(),
        lengths.field_width.clone(),
        lengths.marks.clone(),
        lengths.first_mark.clone(),
        lengths.last_mark.clone(),
        wire,
    ]);
    let plots = plots(&lengths.ranges, &lengths.passes, &lengths.abreast);
    let left = plots_left(inputs, &plots);
    areas(inputs, common, &lengths, &plots, &mut outcome);
    match left {
        Some(left) => {
            warn_of_missing(&left, &mut outcome);
            outcome.values.push(left);
        }
        None => outcome.values.push(plots),
    }
    yield_of_tolerance(inputs, common, &lengths, &mut outcome);
    if let Some(place) = inputs.place {
        let bearing = Value::found("bearing of the travel out", place.bearing, Unit::ONE, "given");
        outcome.values.push(bearing.counting("deg"));
    }
    let (bare_end, bare_side) = (inputs.grid.border_ranges == 0, inputs.grid.border_passes == 0);
    if bare_end || bare_side {
        outcome.warnings.push(EDGE_PLOTS.with(edge_words(bare_end, bare_side)));
    }
    outcome.pictures.push(Picture::FieldPlan(layout));
    outcome.tables = tables::all(&layout, inputs, common);
    outcome.next = Some(in_short(&lengths, &layout));
    outcome
}

/// Plots that stand side by side in a pass: rows of the planter / rows of a plot.
pub(super) fn plots_abreast(rows: &Value, rows_per_plot: &Value) -> Value {
    (rows / rows_per_plot).named("plots abreast")
}

/// Plots of the field: ranges × passes × plots abreast.
pub(super) fn plots(ranges: &Value, passes: &Value, abreast: &Value) -> Value {
    (ranges * passes * abreast).named("plots")
}

/// Plots of the trial: entries × reps.
pub(super) fn plots_needed(entries: &Value, reps: &Value) -> Value {
    (entries * reps).named("plots needed")
}

/// Plots of the field beyond those of the trial; below zero where some are missing.
pub(super) fn left_to_fill(plots: &Value, needed: &Value) -> Value {
    (plots - needed).named("plots left to fill")
}

/// Plots less entries × reps: what is left for filling, or missing where negative.
fn plots_left(inputs: &Inputs, plots: &Value) -> Option<Value> {
    let (entries, reps) = inputs.entries_and_reps?;
    let entries = Value::typed("entries", entries, Unit::ONE);
    let reps = Value::typed("reps", reps, Unit::ONE);
    Some(left_to_fill(plots, &plots_needed(&entries, &reps)))
}

fn warn_of_missing(left: &Value, outcome: &mut Outcome) {
    if left.number() < 0.0 {
        let missing = brief(-left.number());
        outcome.warnings.push(TOO_FEW_PLOTS.with(format!(
            "the layout lacks {missing} of the plots that entries × reps need; add a range or a pass"
        )));
    }
}

fn edge_words(bare_end: bool, bare_side: bool) -> String {
    let which = match (bare_end, bare_side) {
        (true, true) => "border ranges or passes",
        (true, false) => "border ranges",
        _ => "border passes",
    };
    format!(
        "no {which}: plants at an edge have more room and light. Wheat plots of 4.2 m x 1.18 m \
         yielded 25 % more as a whole than in their centre row (Austin and Blackwell 1980, J. \
         Agric. Sci. 94:731-734)"
    )
}

/// Net area: the trial's plots alone. Gross area: the whole field.
fn areas(
    _inputs: &Inputs,
    common: &Common,
    lengths: &Lengths,
    plots: &Value,
    outcome: &mut Outcome,
) {
    let (unit, names) = match common.units.area {
        AreaUnit::Acre | AreaUnit::SquareFoot => {
            (AreaUnit::Acre, ["net area in acres", "gross area in acres"])
        }
        _ => (AreaUnit::Hectare, ["net area in hectares", "gross area in hectares"]),
    };
    let unit = Unit::per_area(unit).to_the(-1);
    let net = (plots * &lengths.plot * &lengths.plot_width).named("net area");
    let gross = (&lengths.field_length * &lengths.field_width).named("gross area");
    let share = (&net / &gross).in_percent().named("net of gross area");
    let [net_name, gross_name] = names;
    outcome.values.push(net.in_unit(unit).named(net_name));
    outcome.values.push(gross.in_unit(unit).named(gross_name));
    outcome.values.push(share);
}

/// The yield of plots that came out short by the whole trip tolerance.
fn yield_of_tolerance(inputs: &Inputs, common: &Common, lengths: &Lengths, outcome: &mut Outcome) {
    let Some(tolerance) = &inputs.trip_tolerance else { return };
    let tolerance = inputs.length(common, "trip tolerance", tolerance);
    if tolerance.number() >= lengths.plot.number() {
        return;
    }
    let short = (&lengths.plot - tolerance).named("plot short by the trip tolerance");
    let error = yield_error(&lengths.plot, &short);
    outcome.values.push(error.named("yield error of such a plot"));
}

fn in_short(lengths: &Lengths, layout: &Layout) -> Next {
    let words = |value: &Value| {
        let metres = layout.metres(value.number());
        format!("{} ({} m)", tape(metres), shown(metres))
    };
    Next::only(
        CALCULATION,
        format!(
            "lay the tape from the start line and set {} marks without moving it: the first at \
             {}, the last at {}",
            shown(lengths.marks.number()),
            words(&lengths.first_mark),
            words(&lengths.last_mark)
        ),
    )
}

/// Metres as a tape in feet and inches shows them.
fn tape(metres: f64) -> String {
    const INCH: f64 = 0.0254;
    feet_and_inches(metres / INCH, TAPE_PARTS)
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "stakes",
    about: "Marks to stake, plots with their numbers and corners, areas of the field",
    lacks: "layout",
    advice: "add a table [layout] with `headland = \"40 ft\"` below it",
    has_readings: false,
    tolerances: &[],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        Ok(vec![stakes(self, common)])
    }

    /// It takes no turn: nothing on the planter rests on it.
    fn in_order(&self, _common: &Common, _so_far: &mut SoFar) -> Result<(), SearchError> {
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_edge_that_is_bare_is_the_one_named() {
        assert!(edge_words(true, true).starts_with("no border ranges or passes:"));
        assert!(edge_words(true, false).starts_with("no border ranges:"));
        assert!(edge_words(false, true).starts_with("no border passes:"));
    }
    #[test]
    fn plots_are_missing_only_where_there_are_fewer_than_the_trial_needs() {
        for (plots_there, warned) in [(5.0, true), (6.0, false), (7.0, false)] {
            let left = left_to_fill(&Value::constant(plots_there), &Value::constant(6.0));
            assert_eq!(left.number(), plots_there - 6.0);
            let mut outcome = Outcome::new(CALCULATION);
            warn_of_missing(&left, &mut outcome);
            assert_eq!(!outcome.warnings.is_empty(), warned);
            let words = outcome.warnings.first().map(|warning| warning.message.as_str());
            assert!(words.is_none_or(|words| words.starts_with("the layout lacks 1 of")));
        }
    }

    /// Ranges of 3 with 2 borders at either end: 3 + 2 x 2 = 7. Without any, nothing is added.
    #[test]
    fn borders_are_counted_at_both_ends() {
        let ranges = whole("ranges", 3);
        let with = |borders| with_borders("all", &ranges, "border ranges", borders);
        assert_eq!(with(2).number(), 7.0);
        assert_eq!((with(0).number(), with(0).name()), (3.0, Some("ranges")));
    }

    /// 1 ft 1 in is 13 x 0.0254 = 0.3302 m.
    #[test]
    fn a_tape_shows_feet_and_inches_of_metres() {
        assert_eq!(tape(0.3302), feet_and_inches(13.0, 8));
    }
}
