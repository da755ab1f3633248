//! What a packet holds.

use crate::calculations::Common;
use crate::calculations::changeover::{self, Motion};
use crate::quantity::{Length, Unit};
use crate::working::Value;

use super::formulas::{gram, mass_of, seeds_in_row, share};
use super::ground::Ground;
use super::inputs::{Inputs, Per, Reserve};

/// Seeds of a row that the plate takes beyond those of the plot, by the changeover's timers.
///
/// From trip to trip the plate turns (plot + alley) / s cells at ground rate and
/// (r_b - r_g) x T_f more under each boost; q(t_n) - q(t_e) of them pass pick-up empty. What is
/// left takes a seed each. The seeds between pick-up and release at the trip (the carry) are
/// among them and no loss: they finish the plot during the run-out. So what goes beyond
/// L / s + 1 was swept off, bunched at a plot's end, or planted into an alley that is too
/// narrow. Nothing where the plate takes fewer.
///
/// Source: the model of the changeover, which is the project's own.
fn beyond_plot(
    inputs: &changeover::Inputs,
    common: &Common,
    plot: &Value,
    spacing: &Value,
    in_row: &Value,
    of: &str,
) -> Option<Value> {
    let name = format!("{of}seeds of a row beyond the plot");
    let schedule = inputs.schedule(common)?;
    let motion = Motion::of(&schedule);
    let new_start = motion
        .cells_at(schedule.new_seed_there.clone())
        .named("cells past pick-up when new seed reaches it");
    let old_end = motion
        .cells_at(schedule.old_seed_gone.clone())
        .named("cells past pick-up when the old seed is gone");
    let empty = (new_start - old_end).named("cells that pass pick-up empty");
    let trip =
        (plot + common.units.length("alley", &inputs.alley)).named(format!("{of}trip spacing"));
    let turned = trip / spacing;
    let turned = match motion.gained() {
        Some(gained) => turned + gained,
        None => turned,
    };
    let turned = turned.named(format!("{of}cells from trip to trip"));
    let taken = (turned - empty).named(format!("{of}seeds that a row's plate takes"));
    let beyond = taken - in_row;
    Some(if beyond.number() > 0.0 {
        beyond.named(name)
    } else {
        Value::found(name, 0.0, Unit::ONE, "none: by its timers the plate takes no more")
    })
}

/// What one packet holds.
pub(super) struct Packet {
    pub(super) seeds: Value,
    /// Rows that it plants.
    pub(super) rows: Value,
    /// Packets of a plot.
    pub(super) to_plot: Value,
    pub(super) rows_per_plot: Value,
}

impl Packet {
    /// The packet for plots of a length; `of` goes before the names of its values.
    pub(super) fn of(
        inputs: &Inputs,
        common: &Common,
        ground: &Ground,
        plot: &Length,
        of: &str,
    ) -> Packet {
        let plot = common.units.length(format!("{of}plot"), plot);
        let in_row = seeds_in_row(&plot, &ground.spacing);
        let in_row = in_row.named(format!("{of}seeds of a row in the plot"));
        let beyond = match (&inputs.fill_plate, &inputs.changeover) {
            (Some(counted), _) => {
                Some(Value::typed("seeds of a row beyond the plot", *counted, Unit::ONE))
            }
            (None, Some(changeover)) => {
                beyond_plot(changeover, common, &plot, &ground.spacing, &in_row, of)
            }
            (None, None) => None,
        };
        let cleaned = inputs
            .cleaned_out
            .map(|counted| Value::typed("seeds of a row that are cleaned out", counted, Unit::ONE));
        let losses = [beyond, cleaned].into_iter().flatten();
        let need = losses.fold(in_row, |sum, loss| sum + loss);
        let need = match &inputs.reserve {
            Some(Reserve::Share(part)) => {
                let need = if need.name().is_some() {
                    need
                } else {
                    need.named(format!("{of}seeds of a row"))
                };
                need * (Value::constant(1.0) + share("reserve", part))
            }
            _ => need,
        };
        let need = need.named(format!("{of}seeds that a row takes"));
        let rows_per_plot = Value::typed("rows of a plot", inputs.rows_per_plot, Unit::ONE);
        let one = |name: &'static str, why| Value::found(name, 1.0, Unit::ONE, why);
        let (rows, to_plot) = match inputs.per {
            Per::Plot => {
                let one = one("packets of a plot", "one for the whole plot");
                (rows_per_plot.clone(), one)
            }
            Per::Row => {
                let one = one("rows of a packet", "one for each row");
                (one, rows_per_plot.clone())
            }
        };
        let whole = &rows * need.rounded_up();
        let seeds = match &inputs.reserve {
            Some(Reserve::Seeds(more)) => {
                whole + Value::typed("reserve of a packet", *more, Unit::ONE).counting("seeds")
            }
            _ => whole,
        };
        let seeds = seeds.named_as(format!("{of}seeds of a packet"), "seeds");
        Packet { seeds, rows, to_plot, rows_per_plot }
    }

    /// Mass of a packet of this seed, on the step of the balance where there is one.
    pub(super) fn mass(&self, of: &str, thousand_seeds: &Value, inputs: &Inputs) -> Value {
        let exact = mass_of(&self.seeds, thousand_seeds);
        let Some(step) = &inputs.balance_step else {
            return exact.named(format!("{of}mass of a packet"));
        };
        let exact = exact.named(format!("{of}mass of its seeds"));
        let step = Value::measured("step of the balance", step, gram());
        let steps = (exact / &step).named(format!("{of}steps of the balance"));
        (steps.rounded_up() * step).named(format!("{of}mass of a packet"))
    }
}
