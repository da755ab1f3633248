//! The lengths of the field with their working, and the layout that they make.

use crate::calculations::Common;
use crate::outcome::geodesy::Frame;
use crate::outcome::layout::{Layout, Side, Sizes, Stretch, nth};
use crate::outcome::wording::as_a_tape_has_it;
use crate::quantity::{Decimal, LengthUnit, Ratio, Unit};
use crate::working::Value;

use super::inputs::Inputs;
use super::kinds::Kind;
use super::plot_count::plots_abreast;
use super::units::{length, length_or_none, unit};

impl Inputs {
    /// The plots and marks.
    #[must_use]
    pub fn layout(&self, common: &Common) -> Layout {
        self.layout_of(common, &Lengths::of(self, common))
    }

    /// Ranges with a trip spacing of their own, each with that, for a planter that counts its trips.
    #[must_use]
    pub fn other_spacings(&self, common: &Common) -> Option<String> {
        if self.trips_at_marks || self.all_alike() {
            return None;
        }
        let lengths = Lengths::of(self, common);
        let words =
            |kind: &Kind| format!("{}: {}", kind.name, as_a_tape_has_it(&kind.trip_spacing));
        let all: Vec<String> = lengths.spaced_otherwise().map(words).collect();
        (!all.is_empty()).then(|| all.join(", "))
    }

    pub(super) fn layout_of(&self, common: &Common, lengths: &Lengths) -> Layout {
        let metres = Unit::from(unit(common)).factor_to(LengthUnit::Metre.into());
        let metres = metres.map_or(f64::NAN, Ratio::value);
        let sizes = Sizes {
            plot: lengths.plot.number(),
            stretches: lengths.stretches(),
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
pub(super) struct Lengths {
    pub(super) plot: Value,
    pub(super) trip_spacing: Value,
    /// Ranges by their lengths, the trial's own first.
    pub(super) kinds: Vec<Kind>,
    pub(super) plot_width: Value,
    pub(super) pass_pitch: Value,
    pub(super) headland: Value,
    pub(super) side_margin: Option<Value>,
    pub(super) planted_length: Value,
    pub(super) planted_width: Value,
    pub(super) field_length: Value,
    pub(super) field_width: Value,
    /// Ranges of the trial, without those of fillers.
    pub(super) ranges: Value,
    pub(super) passes: Value,
    pub(super) abreast: Value,
    pub(super) marks: Value,
    pub(super) first_mark: Value,
    pub(super) last_mark: Value,
}

impl Lengths {
    pub(super) fn of(inputs: &Inputs, common: &Common) -> Lengths {
        let alley = length(common, "alley", &inputs.alley);
        let headland = length(common, "headland", &inputs.headland);
        let row_spacing = length(common, "row spacing", &inputs.row_spacing);
        let rows = Value::typed("rows", inputs.rows, Unit::ONE);
        let rows_per_plot = Value::typed("rows per plot", inputs.rows_per_plot, Unit::ONE);
        let grid = &inputs.grid;
        let ranges = whole("ranges", grid.ranges);
        let passes = whole("passes", grid.passes);
        let tiers =
            with_borders("ranges with borders", &ranges, "border ranges", grid.border_ranges);
        let strips =
            with_borders("passes with borders", &passes, "border passes", grid.border_passes);
        let kinds = inputs.kinds(common, &ranges, &tiers, &alley);
        let (plot, trip_spacing) = (kinds[0].plot.clone(), kinds[0].trip_spacing.clone());
        let abreast = plots_abreast(&rows, &rows_per_plot);
        let plot_width = (&rows_per_plot * &row_spacing).named("plot width");
        let pass_width = (&rows * &row_spacing).named("pass width");
        let by_length: Vec<(&Value, &Value)> =
            kinds.iter().map(|kind| (&kind.count, &kind.plot)).collect();
        let planted_length = planted_length(&tiers, &by_length, &alley);
        let end = inputs.end_headland.as_ref().unwrap_or(&inputs.headland);
        let field_length = (&headland + &planted_length + length(common, "end headland", end))
            .named("field length");
        let gap = length_or_none(common, "pass gap", inputs.pass_gap.as_ref());
        let (pass_pitch, planted_width) = match gap {
            Some(gap) => {
                let between = (&strips - Value::constant(1.0)) * &gap;
                (&pass_width + &gap, &strips * &pass_width + between)
            }
            None => (pass_width.clone(), &strips * &pass_width),
        };
        let planted_width = planted_width.named("planted width");
        let side_margin = length_or_none(common, "side margin", inputs.side_margin.as_ref());
        let field_width = match &side_margin {
            Some(margin) => &planted_width + Value::constant(2.0) * margin,
            None => planted_width.clone(),
        };
        let marks = (&tiers + Value::constant(1.0)).named("marks");
        let first_mark = first_mark(&headland, &alley);
        let last_mark = if inputs.all_alike() {
            nth(&first_mark, &trip_spacing, marks.clone())
        } else {
            &first_mark + &planted_length + &alley
        };
        let last_mark = last_mark.named("last mark");
        let fillers = inputs.filler_ranges();
        let ranges = match fillers {
            0 => ranges,
            fillers => (ranges - whole("ranges of fillers", fillers)).named("ranges of the trial"),
        };
        Lengths {
            field_width: field_width.named("field width"),
            plot,
            trip_spacing,
            kinds,
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

    /// The ranges that are not like the others, as plain numbers.
    fn stretches(&self) -> Vec<Stretch> {
        let of = |kind: &Kind| {
            let (plot, fillers) = (kind.plot.number(), kind.fillers);
            let stretch = move |(first, last)| Stretch { first, last, plot, fillers };
            kind.tiers.clone().into_iter().map(stretch)
        };
        self.kinds.iter().flat_map(of).collect()
    }

    /// Ranges whose marks stand another trip spacing apart.
    pub(super) fn spaced_otherwise(&self) -> impl Iterator<Item = &Kind> {
        let usual = self.trip_spacing.number();
        self.kinds.iter().filter(move |kind| kind.trip_spacing.number() != usual)
    }

    /// Wire from the first mark to the last with its spare ends.
    pub(super) fn wire(&self, common: &Common, inputs: &Inputs) -> Value {
        let between = &self.last_mark - &self.first_mark;
        match length_or_none(common, "spare wire at an end", inputs.wire_end.as_ref()) {
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

/// Length of the planted ground: the plots of `n` ranges and the alleys between them, n × plot +
/// (n - 1) × alley.
///
/// `ranges` is n, with border ranges; `by_length` has so many ranges of each length of plot, n in all.
/// Lengths are of one unit.
///
/// Source: Immer 1932, J. Agric. Res. 44:649-668, whose ten plots of 33 ft with alleys of 2 ft
/// take 348 ft.
///
/// ```
/// use alleytrue::calculations::stakes::planted_length;
/// use alleytrue::working::Value;
/// let [plots, plot, alley] = [10.0, 33.0, 2.0].map(Value::constant);
/// assert_eq!(planted_length(&plots, &[(&plots, &plot)], &alley).number(), 348.0);
/// // Nair 1984: 14 plots of 0.6 m with 13 alleys of 0.4 m take 13.6 m.
/// let [plots, plot, alley] = [14.0, 0.6, 0.4].map(Value::constant);
/// assert!((planted_length(&plots, &[(&plots, &plot)], &alley).number() - 13.6).abs() < 1e-12);
/// // 6 of 33 and 4 of 20 with 9 alleys of 2: 198 + 80 + 18.
/// let [all, six, long, four, short, alley] = [10.0, 6.0, 33.0, 4.0, 20.0, 2.0].map(Value::constant);
/// let length = planted_length(&all, &[(&six, &long), (&four, &short)], &alley);
/// assert_eq!(length.number(), 296.0);
/// ```
#[must_use]
pub fn planted_length(ranges: &Value, by_length: &[(&Value, &Value)], alley: &Value) -> Value {
    let plots = by_length.iter().map(|(count, plot)| *count * *plot).reduce(|sum, more| sum + more);
    let alleys = (ranges - Value::constant(1.0)) * alley;
    match plots {
        Some(plots) => plots + alleys,
        None => alleys,
    }
    .named("planted length")
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

/// The diagonal of a rectangle: sqrt(across^2 + along^2), by Pythagoras.
///
/// Both diagonals of a field that is square at its corners are as long as this.
///
/// ```
/// use alleytrue::calculations::stakes::diagonal;
/// use alleytrue::working::Value;
/// let [across, along] = [30.0, 40.0].map(Value::constant);
/// assert_eq!(diagonal(&across, &along).number(), 50.0); // 3, 4 and 5, ten times
/// ```
#[must_use]
pub fn diagonal(across: &Value, along: &Value) -> Value {
    (across.to_the(2) + along.to_the(2)).root()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ranges of 3 with 2 borders at either end: 3 + 2 x 2 = 7. Without any, nothing is added.
    #[test]
    fn borders_are_counted_at_both_ends() {
        let ranges = whole("ranges", 3);
        let with = |borders| with_borders("all", &ranges, "border ranges", borders);
        assert_eq!(with(2).number(), 7.0);
        assert_eq!((with(0).number(), with(0).name()), (3.0, Some("ranges")));
    }
}
