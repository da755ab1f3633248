//! The ground that timers make: where the seeds fall, what is wrong with it, and its picture.

use crate::calculations::Common;
use crate::outcome::warning::{
    BOOST_BELOW_GROUND, BUNCHED, CARRY_OVER, LET_IN_EARLY, NEW_SEED_SWEPT, NO_CLEAN_OUT_FIGURE,
    PLOT_TOO_SHORT, SHORT_CLEAN_OUT, STRAYS,
};
use crate::outcome::wording::in_words;
use crate::outcome::{ChangeoverPicture, Outcome, Phase, Picture};
use crate::quantity::{MeasureUnit, Unit, at_most, brief};
use crate::working::Value;

use super::actions::{Action, Work};
use super::inputs::Inputs;
use super::motion::{Motion, Schedule, numbers, strip};
use super::phase::Phases;
use super::prediction::{Prediction, predict};

/// Name of the predicted width's error.
pub(super) const WIDTH_OFF: &str = "alley width against wanted";

/// When each action starts, and when it ends where it has a length.
pub(super) type Times = [(f64, Option<f64>)];

/// The prediction of one schedule: values, remarks, picture.
pub(super) fn describe(
    inputs: &Inputs,
    common: &Common,
    schedule: &Schedule<Value>,
    times: &Times,
    outcome: &mut Outcome,
) {
    let ground = predict(schedule);
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
    if inputs.actions.iter().any(|action| matches!(action.work, Work::Sweep { .. })) {
        outcome.values.extend([
            ground.swept_old.clone(),
            ground.swept_new.clone(),
            ground.strays.clone(),
        ]);
    }
    scatter(schedule, &ground, common, outcome);
    short_clean_out(inputs, times, outcome);
    let_in_early(inputs, times, outcome);
    remark(inputs, schedule, &ground, outcome);
    next_trip(inputs, common, times, outcome);
    outcome.pictures.push(Picture::Changeover(picture(inputs, common, schedule, times, &ground)));
}

/// What the plate's random phase does to the edges even with perfect settings.
///
/// With f = frac(q(t_e) - q(t_n)) and g1, g2 the fractions of a cell by which the last
/// old seed lies before the nominal edge and the first new one after it, both hang on the same
/// phase: g1 + g2 is f or f + 1, the latter with the share 1 - f. So, with local spacings s1
/// and s2: E g = 1/2, E g² = 1/3, E g1 g2 = f³/6 + (1 + f)(1 - f²)/2 - (1 - f³)/3, and the
/// variances of the edges, of the width s1 g1 + s2 g2 and of the middle (s2 g2 - s1 g1) / 2
/// follow. Where an edge has more than one spacing, they are summed over the phases.
fn scatter(
    schedule: &Schedule<Value>,
    ground: &Prediction<Value>,
    common: &Common,
    outcome: &mut Outcome,
) {
    let length = Unit::from(common.units.length);
    let phases = Phases::of(&numbers(schedule));
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
    for (action, missing) in inputs.figures_missing() {
        outcome.warnings.push(NO_CLEAN_OUT_FIGURE.with(format!(
            "the sheet has no {} of {}: without {} it may be as short as old seed takes to be gone; \
             look into the machine's manual, or count the seeds that clean-outs of several lengths \
             leave over",
            missing.join(" and no "),
            action.name,
            if missing.len() > 1 { "them" } else { "it" },
        )));
    }
}

/// Says so where a clean-out is shorter than the sheet has it.
fn short_clean_out(inputs: &Inputs, times: &Times, outcome: &mut Outcome) {
    for (action, (start, end)) in inputs.actions.iter().zip(times) {
        let (Work::CleanOut { least, usual, .. }, Some(end)) = (&action.work, end) else {
            continue;
        };
        let lasts = end - start;
        let short = |figure: &Option<super::Extent>| {
            let figure = inputs.seconds(figure.as_ref()?);
            (!at_most(figure, lasts)).then_some(figure)
        };
        let than = match (short(least), short(usual)) {
            (Some(figure), _) => format!("the least of {} s", brief(figure)),
            (None, Some(figure)) => format!("the usual {} s", brief(figure)),
            (None, None) => continue,
        };
        outcome.warnings.push(SHORT_CLEAN_OUT.with(format!(
            "{} lasts {} s and is shorter than {than}: old seed may be left over",
            action.name,
            brief(lasts)
        )));
    }
}

/// Says so where the next lot is let in while seed is still taken out.
fn let_in_early(inputs: &Inputs, times: &Times, outcome: &mut Outcome) {
    let all = || inputs.actions.iter().zip(times);
    let let_in = all().filter(|(action, _)| matches!(action.work, Work::HandOver { .. }));
    for (hand_over, (start, _)) in let_in {
        let out = all().find(|(action, (from, to))| {
            let is_on = !at_most(*start, *from) && to.is_some_and(|to| !at_most(to, *start));
            is_on && matches!(action.work, Work::CleanOut { .. })
        });
        let Some((out, (_, Some(end)))) = out else { continue };
        outcome.warnings.push(LET_IN_EARLY.with(format!(
            "{} lets the next lot in at {} s, and {} takes seed out until {} s: new seed may go with \
             the old",
            hand_over.name,
            brief(*start),
            out.name,
            brief(*end)
        )));
    }
}

fn remark(
    inputs: &Inputs,
    schedule: &Schedule<Value>,
    ground: &Prediction<Value>,
    outcome: &mut Outcome,
) {
    let warnings = &mut outcome.warnings;
    let (gone, there) = (schedule.old_seed_gone.number(), schedule.new_seed_there.number());
    if gone > there {
        warnings.push(CARRY_OVER.with(format!(
            "old seed is at pick-up until {} s, and new seed arrives at {} s: old seed gets into \
             the new plot",
            brief(gone),
            brief(there)
        )));
    }
    for boost in &schedule.boosts {
        if boost.rate.number() < ground.motion.ground.number() {
            warnings.push(BOOST_BELOW_GROUND.with(format!(
                "{}, of {}, is slower than the ground drive of {}: it does nothing",
                boost.name,
                in_words(&boost.rate),
                in_words(&ground.motion.ground)
            )));
        }
    }
    let whole = |value: &Value| value.number().max(0.0);
    for (seeds, at_end) in
        [(whole(&ground.bunched_at_end), true), (whole(&ground.bunched_at_start), false)]
    {
        let Some(boost) = bunching(schedule, ground, at_end).filter(|_| seeds > 0.5) else {
            continue;
        };
        let name = &schedule.boosts[boost.place].name;
        let (place, mend) = if at_end {
            ("end", format!("a later start of {name} lets them fall at ground rate"))
        } else {
            ("start", format!("a shorter {name} ends the boost before them"))
        };
        warnings.push(BUNCHED.with(format!(
            "about {} seeds are dropped under boost at the plot's {place}, bunched over {} \
             {}; {mend}",
            brief(seeds.round()),
            brief(boost.length),
            ground.width.unit_text()
        )));
    }
    if whole(&ground.strays) > 0.5 {
        warnings.push(STRAYS.with(format!(
            "about {} old seeds pass behind the sweep and fall into the alley",
            brief(ground.strays.number().round())
        )));
    }
    if whole(&ground.swept_new) > 0.5 {
        let several = inputs.actions.iter().filter(|one| matches!(one.work, Work::Sweep { .. }));
        let (who, verb) =
            if several.count() > 1 { ("the sweeps", "take") } else { ("the sweep", "takes") };
        warnings.push(NEW_SEED_SWEPT.with(format!(
            "{who} {verb} off about {} seeds of the new lot",
            brief(ground.swept_new.number().round())
        )));
    }
}

/// The boost that bunches seeds at an edge of the plot, and over what length all do.
pub(super) struct Bunching {
    pub(super) place: usize,
    length: f64,
}

/// Which boost bunches most of the seeds at the plot's end, or at its start.
pub(super) fn bunching(
    schedule: &Schedule<Value>,
    ground: &Prediction<Value>,
    at_end: bool,
) -> Option<Bunching> {
    let motion = Motion::of(&numbers(schedule));
    let carry = schedule.carry.number();
    let (last, first) = (ground.last_cell.number() + carry, ground.first_cell.number() + carry);
    let mut most: Option<(f64, usize)> = None;
    let mut length = 0.0;
    for one in motion.boosted() {
        let seeds = if at_end { one.to.min(last) - one.from } else { one.to - one.from.max(first) };
        if seeds > 0.0 {
            length += seeds * schedule.speed.number() / one.rate;
            if most.is_none_or(|(best, _)| seeds > best) {
                most = Some((seeds, one.boost));
            }
        }
    }
    most.map(|(_, place)| Bunching { place, length })
}

/// Says so where the next trip comes before the actions of this one are over.
fn next_trip(inputs: &Inputs, common: &Common, times: &Times, outcome: &mut Outcome) {
    let Some(plot) = &inputs.plot else { return };
    let units = &common.units;
    let speed = units.speed("ground speed", &inputs.speed).number();
    // What a holder still lets fall is the next lot of this trip, whenever it closes.
    let over = |(action, (start, end)): (&Action, &(f64, Option<f64>))| match action.work {
        Work::HandOver { .. } => *start,
        _ => end.unwrap_or(*start),
    };
    let over = inputs.actions.iter().zip(times).map(over).fold(0.0, f64::max);
    let spacing = plot.value_in(units.length) + inputs.alley.value_in(units.length);
    if at_most(speed * over, spacing) {
        return;
    }
    let length = units.length.symbol();
    outcome.warnings.push(PLOT_TOO_SHORT.with(format!(
        "the timers are over {} s after the trip, when the planter has gone {} {length}, and the \
         next trip comes after {} {length}, plot and alley: the changeover would start anew before \
         it is over; make the plots longer or drive slower",
        brief(over),
        brief(speed * over),
        brief(spacing),
    )));
}

/// The timeline over the strip of seeds, on one axis: where the release point is when.
fn picture(
    inputs: &Inputs,
    common: &Common,
    schedule: &Schedule<Value>,
    times: &Times,
    ground: &Prediction<Value>,
) -> ChangeoverPicture {
    let plain = numbers(schedule);
    let phases = inputs.actions.iter().zip(times).filter_map(|(action, (start, end))| {
        Some(Phase { name: action.name.to_string(), from: *start, to: (*end)? })
    });
    ChangeoverPicture {
        unit: common.units.length.to_string(),
        speed: plain.speed,
        fall: plain.fall,
        phases: phases.collect(),
        seeds: strip(&plain, 0.5, 10, 10),
        centre: ground.centre.number(),
    }
}
