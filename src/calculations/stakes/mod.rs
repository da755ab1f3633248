//! The field before anything is planted: marks to stake, plots to number, corners and areas.
//!
//! Field coordinates: x runs across the field from its left edge, y along the travel out from
//! the start line, which is the near edge of the field. Left and right are seen from the start
//! line, along the travel out.

mod inputs;
mod lengths;
mod plot_count;
mod tables;
mod yield_error;

use super::calculate::{Calculate, Entry, SoFar};
use super::common::Common;
use super::sprockets::SearchError;
use crate::outcome::warning::EDGE_PLOTS;
use crate::outcome::{Calculation, Next, Outcome, Picture};
use crate::quantity::{AreaUnit, Unit, shown};
use crate::working::Value;

use lengths::Lengths;
use plot_count::{plots_left, warn_of_missing};
use tables::tape;
use yield_error::yield_of_tolerance;

pub use crate::outcome::layout::{
    CORNERS, Grid, Heading, Layout, Mark, Numbering, Order, Plot, Run, Side,
};
pub use inputs::{Inputs, MOST_PLOTS, Place};
pub use lengths::{first_mark, planted_length};
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
    let plots = plots(&lengths.ranges, &lengths.passes, &lengths.abreast);
    let left = plots_left(inputs, &plots);
    areas(common, &lengths, &plots, &mut outcome);
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
    outcome.tables = tables::all(&layout, common);
    outcome.next = Some(in_short(&lengths, &layout));
    outcome
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
fn areas(common: &Common, lengths: &Lengths, plots: &Value, outcome: &mut Outcome) {
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
}
