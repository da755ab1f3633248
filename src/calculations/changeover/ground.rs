//! The ground that timers make: where the seeds fall, what is wrong with it, and its picture.

use crate::calculations::Common;
use crate::outcome::warning::{
    BOOST_BELOW_GROUND, BUNCHED, CARRY_OVER, NEW_SEED_SWEPT, NO_CLEAN_OUT_FIGURE, PLOT_TOO_SHORT,
    SHORT_CLEAN_OUT, STRAYS,
};
use crate::outcome::wording::in_words;
use crate::outcome::{ChangeoverPicture, Outcome, Phase, Picture};
use crate::quantity::{MeasureUnit, Unit, at_most, brief};
use crate::working::Value;

use super::inputs::Inputs;
use super::motion::{numbers, strip};
use super::phase::Phases;
use super::prediction::{Prediction, predict};
use super::timers::Timers;

/// Name of the predicted width's error.
pub(super) const WIDTH_OFF: &str = "alley width against wanted";

/// The prediction of one set of timers: values, remarks, picture.
pub(super) fn describe(
    inputs: &Inputs,
    common: &Common,
    timers: &Timers<Value>,
    outcome: &mut Outcome,
) {
    let ground = predict(&timers.schedule());
    let units = &common.units;
    let wanted = units.length("alley wanted", &inputs.alley);
    let off = (&ground.width - &wanted).named(WIDTH_OFF);
    outcome.values.extend([
        ground.width.clone(),
        off,
        ground.centre.clone(),
        ground.bunched_at_end.clone(),
        ground.bunched_at_start.clone(),
    ]);
    if inputs.sweep.is_some() {
        outcome.values.extend([
            ground.swept_old.clone(),
            ground.swept_new.clone(),
            ground.strays.clone(),
        ]);
    }
    scatter(timers, &ground, common, outcome);
    short_clean_out(inputs, timers, outcome);
    remark(timers, &ground, outcome);
    next_trip(inputs, common, timers, outcome);
    outcome.pictures.push(Picture::Changeover(picture(common, timers, &ground)));
}

/// What the plate's random phase does to the edges even with perfect settings.
///
/// With f = frac(q(t_e) - q(T_c + t_p)) and g1, g2 the fractions of a cell by which the last
/// old seed lies before the nominal edge and the first new one after it, both hang on the same
/// phase: g1 + g2 is f or f + 1, the latter with the share 1 - f. So, with local spacings s1
/// and s2: E g = 1/2, E g² = 1/3, E g1 g2 = f³/6 + (1 + f)(1 - f²)/2 - (1 - f³)/3, and the
/// variances of the edges, of the width s1 g1 + s2 g2 and of the middle (s2 g2 - s1 g1) / 2
/// follow. Where an edge has more than one spacing, they are summed over the phases.
fn scatter(
    timers: &Timers<Value>,
    ground: &Prediction<Value>,
    common: &Common,
    outcome: &mut Outcome,
) {
    let length = Unit::from(common.units.length);
    let phases = Phases::of(&numbers(&timers.schedule()));
    let summed = |name: &'static str, sd: f64| {
        Value::found(name, sd, length, "summed over the phases of the plate")
    };
    let twelve = || Value::constant(12.0);
    let edge = |even: bool, spacing: &Value, sd: f64, name: &'static str| {
        if even { (spacing / twelve().root()).named(name) } else { summed(name, sd) }
    };
    let (last, first) = (&ground.spacing_at_last, &ground.spacing_at_first);
    outcome.values.extend([
        edge(ground.last_even, last, phases.last.sd, "SD of the last seed"),
        edge(ground.first_even, first, phases.first.sd, "SD of the first seed"),
    ]);
    let names = ["SD of the alley width", "SD of the middle of the alley"];
    if !(ground.last_even && ground.first_even) {
        outcome.values.push(summed(names[0], phases.width.sd));
        outcome.values.push(summed(names[1], phases.centre.sd));
        return;
    }
    // What ties the two edges: both hang on one phase of the plate.
    let between = &ground.last_cell - &ground.first_cell;
    let whole = Value::constant(-between.number().floor());
    let fraction = (between + whole).named("part of a cell between the edges");
    let one = || Value::constant(1.0);
    let product = fraction.to_the(3) / Value::constant(6.0)
        + (one() + &fraction) * (one() - fraction.to_the(2)) / Value::constant(2.0)
        - (one() - fraction.to_the(3)) / Value::constant(3.0);
    let tied = (product - one() / Value::constant(4.0)).named("how the two edges go together");
    let squares = (last.to_the(2) + first.to_the(2)) / twelve();
    let both = Value::constant(2.0) * last * first * &tied;
    let root = |variance: Value, name: &'static str| {
        if variance.number() > 1e-12 {
            variance.root().named(name)
        } else {
            Value::found(name, 0.0, length, "the phase makes no difference")
        }
    };
    outcome.values.extend([
        root(&squares + &both, names[0]),
        root((squares - both) / Value::constant(4.0), names[1]),
    ]);
}

/// Asks for the figures of the machine that the program can't know.
pub(super) fn clean_out_figures(inputs: &Inputs, outcome: &mut Outcome) {
    let missing = inputs.clean_out_keys_missing();
    if missing.is_empty() {
        return;
    }
    outcome.warnings.push(NO_CLEAN_OUT_FIGURE.with(format!(
        "the sheet has no {}: without {} a clean-out may be as short as old seed takes to be gone; \
         look into the machine's manual, or count the seeds that clean-outs of several lengths \
         leave over",
        missing.join(" and no "),
        if missing.len() > 1 { "them" } else { "it" },
    )));
}

/// Says so where the clean-out is shorter than the sheet has it.
fn short_clean_out(inputs: &Inputs, timers: &Timers<Value>, outcome: &mut Outcome) {
    let clean_out = timers.clean_out.number();
    let figures = inputs.clean_outs();
    let than = if clean_out < figures.least {
        format!("the least of {} s", brief(figures.least))
    } else if clean_out < figures.usual {
        format!("the usual {} s", brief(figures.usual))
    } else {
        return;
    };
    outcome.warnings.push(SHORT_CLEAN_OUT.with(format!(
        "the clean-out of {} s is shorter than {than}: old seed may be left over",
        brief(clean_out)
    )));
}

fn remark(timers: &Timers<Value>, ground: &Prediction<Value>, outcome: &mut Outcome) {
    let warnings = &mut outcome.warnings;
    let clean_out = timers.clean_out.number();
    if timers.old_seed_gone.number() > clean_out + timers.new_seed_at_pick_up.number() {
        warnings.push(CARRY_OVER.with(format!(
            "old seed is at pick-up until {} s, and new seed arrives at {} s: old seed gets into \
             the new plot",
            brief(timers.old_seed_gone.number()),
            brief(clean_out + timers.new_seed_at_pick_up.number())
        )));
    }
    if timers.boost.number() < ground.motion.ground.number() {
        warnings.push(BOOST_BELOW_GROUND.with(format!(
            "the boost of {} is slower than the ground drive of {}: it does nothing",
            in_words(&timers.boost),
            in_words(&ground.motion.ground)
        )));
    }
    let whole = |value: &Value| value.number().max(0.0);
    let spaced = timers.speed.number() / timers.fastest().number();
    for (seeds, place, mend) in [
        (whole(&ground.bunched_at_end), "end", "a longer run-out lets them fall at ground rate"),
        (whole(&ground.bunched_at_start), "start", "a shorter fill ends the boost before them"),
    ] {
        if seeds > 0.5 {
            warnings.push(BUNCHED.with(format!(
                "about {} seeds are dropped under boost at the plot's {place}, bunched over {} \
                 {}; {mend}",
                brief(seeds.round()),
                brief(seeds * spaced),
                ground.width.unit_text()
            )));
        }
    }
    if whole(&ground.strays) > 0.5 {
        warnings.push(STRAYS.with(format!(
            "about {} old seeds pass behind the sweep and fall into the alley",
            brief(ground.strays.number().round())
        )));
    }
    if whole(&ground.swept_new) > 0.5 {
        warnings.push(NEW_SEED_SWEPT.with(format!(
            "the sweep takes off about {} seeds of the new lot",
            brief(ground.swept_new.number().round())
        )));
    }
}

/// Says so where the next trip comes before the timers of this one are over.
fn next_trip(inputs: &Inputs, common: &Common, timers: &Timers<Value>, outcome: &mut Outcome) {
    let Some(plot) = &inputs.plot else { return };
    let units = &common.units;
    let plain = super::timers::plain_numbers(timers);
    let boost_ends = plain.clean_out + plain.run_out + plain.fill;
    let sweep_ends = plain.sweep.as_ref().map_or(0.0, |sweep| sweep.start + sweep.length);
    let over = boost_ends.max(sweep_ends);
    let spacing = plot.value_in(units.length) + inputs.alley.value_in(units.length);
    if at_most(plain.speed * over, spacing) {
        return;
    }
    let length = units.length.symbol();
    outcome.warnings.push(PLOT_TOO_SHORT.with(format!(
        "the timers are over {} s after the trip, when the planter has gone {} {length}, and the \
         next trip comes after {} {length}, plot and alley: the changeover would start anew before \
         it is over; make the plots longer or drive slower",
        brief(over),
        brief(plain.speed * over),
        brief(spacing),
    )));
}

/// The timeline over the strip of seeds, on one axis: where the release point is when.
fn picture(
    common: &Common,
    timers: &Timers<Value>,
    ground: &Prediction<Value>,
) -> ChangeoverPicture {
    let plain = super::timers::plain_numbers(timers);
    let end = plain.clean_out + plain.run_out + plain.fill;
    let clean = plain.clean_out;
    let phase = |name: &'static str, from: f64, to: f64| Phase { name, from, to };
    let mut phases = vec![
        phase("clean-out", 0.0, clean),
        phase("run-out", clean, clean + plain.run_out),
        phase("fill", clean + plain.run_out, end),
    ];
    if let Some(sweep) = &plain.sweep {
        phases.push(phase("sweep", sweep.start, sweep.start + sweep.length));
    }
    ChangeoverPicture {
        unit: common.units.length.to_string(),
        speed: plain.speed,
        fall: plain.fall,
        phases,
        seeds: strip(&numbers(&timers.schedule()), 0.5, 10, 10),
        centre: ground.centre.number(),
    }
}
