//! The field before anything is planted: marks to stake, plots to number, corners and areas.
//!
//! Field coordinates: x runs across the field from its left edge, y along the travel out from
//! the start line, which is the near edge of the field. Left and right are seen from the start
//! line, along the travel out.

mod inputs;
mod kinds;
mod lengths;
mod plot_count;
mod tables;
mod units;
mod yield_error;

use super::calculate::{Calculate, Entry, SoFar};
use super::common::Common;
use super::sprockets::SearchError;
use crate::outcome::layout::nth;
use crate::outcome::warning::{EDGE_PLOTS, OTHER_SPACING, TAPE_SHORT};
use crate::outcome::{Calculation, Next, Outcome, Picture};
use crate::quantity::{AreaUnit, LengthUnit, Unit, at_most, round_half_away, shown};
use crate::working::Value;

use lengths::Lengths;
use plot_count::{plots_left, warn_of_missing};
use tables::tape;
use units::{length_or_none, unit};
use yield_error::yield_of_tolerance;

pub use crate::outcome::layout::{
    Border, CORNERS, Grid, Heading, Layout, Mark, Numbering, Order, Plot, Run, Side,
};
pub use inputs::{Inputs, MOST_PLOTS, OtherPlots, Place};
pub use lengths::{diagonal, first_mark, planted_length};
pub(super) use plot_count::{left_to_fill, plots, plots_abreast, plots_needed};
pub use yield_error::yield_error;

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "stakes", title: "Stakes and layout" };

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
    square(inputs, common, &lengths, &layout, &mut outcome);
    let plots = plots(&lengths.ranges, &lengths.passes, &lengths.abreast);
    let left = plots_left(inputs, &plots);
    areas(common, inputs, &lengths, &plots, &mut outcome);
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
    spacings(inputs, &lengths, &mut outcome);
    let (bare_end, bare_side) = (inputs.grid.border_ranges == 0, inputs.grid.border_passes == 0);
    if bare_end || bare_side {
        outcome.warnings.push(EDGE_PLOTS.with(edge_words(bare_end, bare_side)));
    }
    outcome.tables = tables::all(&layout, common);
    outcome.next = Some(in_short(inputs, common, &lengths, &layout));
    outcome.pictures.push(Picture::FieldPlan(layout));
    outcome
}

/// The trip spacings that are not the trial's own, and what they ask of a planter that counts its
/// trips.
fn spacings(inputs: &Inputs, lengths: &Lengths, outcome: &mut Outcome) {
    let others: Vec<&kinds::Kind> = lengths.spaced_otherwise().collect();
    if others.is_empty() {
        return;
    }
    outcome.values.extend(others.iter().map(|kind| kind.trip_spacing.clone()));
    if !inputs.trips_at_marks {
        let which: Vec<&str> = others.iter().map(|kind| kind.name.as_str()).collect();
        outcome.warnings.push(OTHER_SPACING.with(format!(
            "marks stand another trip spacing apart in {}: a planter that counts its own trips has to \
             be given that where it comes to those ranges, and the old one behind them, in every \
             pass; one that trips at every mark does not",
            which.join(", ")
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
    common: &Common,
    inputs: &Inputs,
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
    let net = if inputs.all_alike() {
        plots * &lengths.plot * &lengths.plot_width
    } else {
        all_plots_on_end(inputs, lengths) * &lengths.plot_width
    }
    .named("net area");
    let gross = (&lengths.field_length * &lengths.field_width).named("gross area");
    let share = (&net / &gross).in_percent().named("net of gross area");
    let [net_name, gross_name] = names;
    outcome.values.push(net.in_unit(unit).named(net_name));
    outcome.values.push(gross.in_unit(unit).named(gross_name));
    outcome.values.push(share);
}

/// Length of all plots of the trial one behind the other, range by range of their own length.
fn all_plots_on_end(inputs: &Inputs, lengths: &Lengths) -> Value {
    let mut of_pass: Option<Value> = None;
    for kind in lengths.kinds.iter().filter(|kind| kind.of_the_trial) {
        // Border ranges of a plot's length are counted among those of it, and are no plots.
        let count = if kind.tiers.is_empty() && inputs.own_border().is_none() {
            let borders = f64::from(2 * inputs.grid.border_ranges);
            if borders > 0.0 { &kind.count - Value::constant(borders) } else { kind.count.clone() }
        } else {
            kind.count.clone()
        };
        let length = count * &kind.plot;
        of_pass = Some(match of_pass {
            Some(sum) => sum + length,
            None => length,
        });
    }
    let of_pass = of_pass.unwrap_or_else(|| Value::constant(0.0));
    (of_pass.named("plots of a pass on end") * &lengths.passes * &lengths.abreast)
        .named("plots on end")
}

/// What squares the field: its diagonal from a near corner to the last mark at the other edge, as far
/// as the tape reaches.
fn square(
    inputs: &Inputs,
    common: &Common,
    lengths: &Lengths,
    layout: &Layout,
    outcome: &mut Outcome,
) {
    let across = &lengths.field_width;
    let to = |along: &Value, mark: u32| {
        diagonal(across, along).named(format!("diagonal from a near corner to mark {mark}"))
    };
    let last = layout.grid.tiers() + 1;
    let Some(tape) = length_or_none(common, "tape", inputs.tape.as_ref()) else {
        outcome.values.push(to(&lengths.last_mark, last));
        return;
    };
    let reached = |of: &dyn Fn(f64) -> f64| {
        layout.marks().filter(|mark| at_most(of(mark.at), tape.number())).last()
    };
    let along = reached(&|at| at).map_or(0, |mark| mark.number);
    let by = reached(&|at| across.number().hypot(at));
    if along < last {
        outcome.warnings.push(TAPE_SHORT.with(short_words(inputs, along, by.map(|by| by.number))));
    }
    outcome.values.push(tape);
    if let Some(by) = by {
        let number = Value::found(
            "mark to square by",
            f64::from(by.number),
            Unit::ONE,
            "the last that the tape reaches across",
        );
        let at = if inputs.all_alike() {
            nth(&lengths.first_mark, &lengths.trip_spacing, number)
        } else {
            outcome.values.push(number);
            kinds::mark(&lengths.first_mark, &lengths.kinds, by.number)
        };
        outcome.values.push(to(&at.named(format!("mark {}", by.number)), by.number));
    }
}

/// What to do with a tape that ends before the last mark.
fn short_words(inputs: &Inputs, along: u32, by: Option<u32>) -> String {
    let tape = inputs.tape.as_ref().map_or(String::new(), ToString::to_string);
    let then = match along {
        0 => "it does not reach the first mark: take a longer one".to_owned(),
        along => format!(
            "it ends after mark {along}: before it is moved on, set a peg at a full length of it, and \
             start the next length from there"
        ),
    };
    let square = match by {
        Some(by) => format!("square the field by the diagonals to mark {by}"),
        None => "it reaches no diagonal: square the corners by a triangle of 3, 4 and 5".into(),
    };
    format!("the tape of {tape} is shorter than the row of marks; {then}; {square}")
}

fn in_short(inputs: &Inputs, common: &Common, lengths: &Lengths, layout: &Layout) -> Next {
    let metric = unit(common) == LengthUnit::Metre;
    let tape_length = length_or_none(common, "tape", inputs.tape.as_ref());
    let reaches = tape_length.is_none_or(|tape| at_most(lengths.last_mark.number(), tape.number()));
    let words = |value: &Value| {
        let metres = layout.metres(value.number());
        let (feet, metres) = (tape(metres), format!("{} m", round_half_away(metres, 2)));
        if metric { format!("{metres} ({feet})") } else { format!("{feet} ({metres})") }
    };
    Next::only(
        CALCULATION,
        format!(
            "lay the tape from the start line and set {} marks{}: the first at {}, the last at {}",
            shown(lengths.marks.number()),
            if reaches { " without moving it" } else { "" },
            words(&lengths.first_mark),
            words(&lengths.last_mark)
        ),
    )
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "stakes",
    about: "Marks to stake, plots with their numbers and corners, areas of the field",
    lacks: "layout",
    advice: "add a table [layout] with `headland = \"40 ft\"` below it",
    has_readings: false,
    runs: &[],
    warnings: &[],
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
}
