//! One drawn field as a picture to scale.

use crate::calculations::registry::Job;
use crate::outcome::layout::Side;
use crate::outcome::{RehearsedField, RehearsedPlot};
use crate::quantity::MeasureUnit;

use super::field::Planted;
use super::inputs::Inputs;
use super::trial::{Kind, Trial};
use super::unknowns::tape;

/// Offsets are drawn as many times larger as these, the largest that keeps plots apart.
const TIMES: [f64; 6] = [20.0, 10.0, 5.0, 3.0, 2.0, 1.0];
/// Share of an alley that one edge may take, so that plots never meet.
const OF_ALLEY: f64 = 0.45;

/// The field; nothing where the sheet does not say how wide its plots and alleys are.
pub(super) fn picture(
    title: String,
    inputs: &Inputs,
    job: &Job,
    trial: &Trial,
    plots: &[Planted],
) -> Option<RehearsedField> {
    let units = &job.common.units;
    let alley = tape(inputs.alley.as_ref(), units)?;
    let row = tape(inputs.row_spacing.as_ref(), units)?;
    let plot_width = row * f64::from(inputs.rows?);
    let gap = tape(inputs.pass_gap.as_ref(), units).unwrap_or(0.0);
    let pitch = plot_width * f64::from(trial.abreast) + gap;
    let furthest =
        plots.iter().map(|plot| plot.first.abs().max(plot.last.abs())).fold(0.0, f64::max);
    let enlarged =
        TIMES.into_iter().find(|times| times * furthest <= OF_ALLEY * alley).unwrap_or(1.0);
    let spacing = trial.plot + alley;
    // Where a range of the trial starts, by the ranges before it.
    let at = |range: u32| -> f64 {
        let before = (0..range).filter_map(|one| trial.other(trial.border_ranges + one));
        f64::from(range) * spacing + before.map(|one| one.plot - trial.plot).sum::<f64>()
    };
    let from_left = |pass: u32| match inputs.first_pass {
        Side::Left => pass,
        Side::Right => trial.passes - 1 - pass,
    };
    let of = |plot: &Planted| {
        let out = trial.goes_out(plot.pass);
        let near = alley / 2.0 + at(plot.range);
        let length = trial.plot_of(trial.border_ranges + plot.range);
        let offsets = [plot.first, plot.last].map(|offset| offset * enlarged);
        // Coming home, ahead is nearer to the start line.
        let [near_off, far_off] = if out { offsets } else { [-offsets[1], -offsets[0]] };
        let place = match inputs.first_pass {
            Side::Left => plot.place,
            Side::Right => trial.abreast - 1 - plot.place,
        };
        let column = from_left(plot.pass) * trial.abreast + place;
        RehearsedPlot {
            range: plot.range,
            column,
            left: f64::from(from_left(plot.pass)) * pitch + f64::from(place) * plot_width,
            near: near + near_off,
            far: near + length + far_off,
            out: Kind::ALL.into_iter().any(|kind| plot.is_out(kind, &trial.limits)),
        }
    };
    let drawn: Vec<RehearsedPlot> = plots.iter().map(of).collect();
    let middle = |pass: u32| {
        f64::from(from_left(pass)) * pitch + plot_width * f64::from(trial.abreast) / 2.0
    };
    let mut passes: Vec<(f64, bool)> =
        (0..trial.passes).map(|pass| (middle(pass), trial.goes_out(pass))).collect();
    passes.sort_by(|one, other| one.0.total_cmp(&other.0));
    Some(RehearsedField {
        title,
        unit: units.length.symbol(),
        enlarged,
        plot: trial.plot,
        alley,
        plot_width,
        size: (at(trial.ranges), f64::from(trial.passes) * pitch - gap),
        marks: (0..=trial.ranges).map(at).collect(),
        passes,
        grid: (trial.ranges, trial.passes * trial.abreast),
        out: u32::try_from(drawn.iter().filter(|plot| plot.out).count()).unwrap_or(u32::MAX),
        plots: drawn,
    })
}
