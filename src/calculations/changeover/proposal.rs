//! Starting values as settings, as a table, and what gives where there are none.

use crate::calculations::Common;
use crate::outcome::setting::on_step;
use crate::outcome::warning::{
    ALLEY_NOT_REACHED, CLEAN_OUT_CUT, NO_STARTING_VALUES, TIMER_STEP_COARSE,
};
use crate::outcome::{Cell, Column, Next, Outcome, Part, Table, Timed, Verdict};
use crate::quantity::bounds::{ALLEY, BOOST_CELLS, SPEED};
use crate::quantity::{Duration, MeasureUnit, TimeUnit, Unit, at_most, brief, clean, shown};
use crate::working::Value;

use super::actions::{Action, Extent, Work};
use super::ground::{WIDTH_OFF, describe};
use super::inputs::{Inputs, as_typed, second, step_value};
use super::reach::Span;
use super::shape::{Lasting, Plain};
use super::start::{Start, StartError, least_alley, starting_values, swept_off};
use super::steps::{CleanOuts, Wish, steps_down, steps_up, up_to_step};
use super::timer_settings::timer_result;
use super::worth::worth;

/// What starting values are looked for, and what was found.
pub(super) struct Proposal {
    pub(super) plain: Plain,
    pub(super) wish: Wish,
    pub(super) start: Result<Start, StartError>,
}

/// Starting values for the sheet; in words why none are looked for.
pub(super) fn propose(inputs: &Inputs, common: &Common) -> Result<Proposal, String> {
    let plain = Plain::of(inputs, &common.units)?;
    let wish = wish(inputs, &plain, common).ok_or("the machine's own times are not known")?;
    let start = starting_values(&wish);
    Ok(Proposal { plain, wish, start })
}

/// What is wished of starting values.
fn wish(inputs: &Inputs, plain: &Plain, common: &Common) -> Option<Wish> {
    use super::timers::Timers;
    let action = |place: usize| &inputs.actions[place];
    let seconds = |time: &Duration| time.value_in(TimeUnit::Second);
    let Work::CleanOut { old_seed_gone: Some(gone), .. } = &action(plain.clean_out).work else {
        return None;
    };
    let Work::HandOver { new_seed_at_pick_up: Some(there) } = &action(plain.hand_over).work else {
        return None;
    };
    let ground = inputs.ground(common);
    let boost = plain.boost.and_then(|place| match &action(place).work {
        Work::Boost { rate } => Some(inputs.boost_rate(action(place), rate).number()),
        _ => None,
    });
    let sweep_cells = plain.sweep.and_then(|place| match &action(place).work {
        Work::Sweep { cells_before_release } => Some(cells_before_release.value()),
        _ => None,
    });
    let machine = Timers {
        speed: ground.speed.number(),
        spacing: ground.spacing.number(),
        boost: boost.unwrap_or(0.0),
        carry: ground.carry.number(),
        clean_out: 0.0,
        run_out: 0.0,
        fill: 0.0,
        old_seed_gone: seconds(gone),
        new_seed_at_pick_up: seconds(there),
        sweep: None,
        fall: ground.fall.number(),
    };
    Some(Wish {
        machine,
        shape: plain.shape,
        alley: inputs.alley.value_in(common.units.length),
        tolerance: inputs.width_tolerance.as_ref().map(|off| off.value_in(common.units.length)),
        clean_outs: clean_outs(action(plain.clean_out), plain.by_wait, common),
        sweep_cells,
        length: common.units.length,
    })
}

/// How long a clean-out has to be. Nothing is known of machines in general: where the sheet has no
/// figure, it is as long as old seed takes to be gone. One that can't be changed is as long as it is.
fn clean_outs(action: &Action, next_lot_waits: bool, common: &Common) -> CleanOuts {
    let lasting = |extent: &Extent| Lasting::of(extent, &common.units);
    let given = action.lasts.as_ref().filter(|_| !action.may_change(Part::For));
    if let (Some(lasts), true) = (given, next_lot_waits) {
        return CleanOuts { least: lasting(lasts), usual: lasting(lasts) };
    }
    let Work::CleanOut { least, usual, .. } = &action.work else {
        return CleanOuts::seconds(0.0, 0.0);
    };
    let least = least.as_ref().map_or(Lasting::default(), lasting);
    CleanOuts { least, usual: usual.as_ref().map_or(least, lasting) }
}

/// A setting as it was found, and why it is what it is.
pub(super) struct Proposed {
    pub(super) timed: Timed,
    pub(super) value: Value,
    pub(super) why: &'static str,
}

/// A number of steps of a setting, in seconds or in lengths of the ground.
#[allow(clippy::cast_precision_loss)] // a timer has a million steps at most
pub(super) fn in_steps(
    inputs: &Inputs,
    place: usize,
    part: Part,
    (steps, step): (i64, Lasting),
    common: &Common,
) -> (f64, Unit) {
    if inputs.actions[place].goes_by_way(part) {
        (clean(steps as f64 * step.way), common.units.length.compound())
    } else {
        (clean(steps as f64 * step.time), second())
    }
}

impl Proposal {
    /// Every setting that was looked for, in the order in which they are set.
    pub(super) fn settings(
        &self,
        inputs: &Inputs,
        common: &Common,
        start: &Start,
    ) -> Vec<Proposed> {
        let (plain, shape) = (&self.plain, &self.plain.shape);
        let [opening, run_out, fill] = self.reasons(start);
        let one = |place: usize, part, steps: (i64, Lasting), why| {
            let timed = inputs.actions[place].timed(part);
            let (number, unit) = in_steps(inputs, place, part, steps, common);
            Proposed { timed, value: Value::found(timed.name(), number, unit, why), why }
        };
        let mut all = vec![];
        let opened = (start.steps.opening, shape.opening);
        if plain.by_wait {
            all.extend(self.clean_out(inputs, common, start));
            let why = if opening == LONGER {
                "lets the next lot in late enough to make the alley wide enough"
            } else {
                "lets the next lot in when the clean-out is over"
            };
            all.push(one(plain.hand_over, Part::Wait, opened, why));
        } else {
            all.push(one(plain.clean_out, Part::For, opened, opening));
        }
        if let (Some(place), Some(free)) = (plain.boost, shape.boost) {
            let (waits, lasts) = start.steps.boost;
            all.push(one(place, Part::Wait, (waits, free.waiting), run_out));
            all.push(one(place, Part::For, (lasts, free.lasting), fill));
        }
        if let (Some(place), Some(free), Some((waits, lasts))) =
            (plain.sweep, shape.sweep, start.steps.sweep)
        {
            let [first, end] = self.sweep_reasons(start);
            all.push(one(place, Part::Wait, (waits, free.waiting), first));
            all.push(one(place, Part::For, (lasts, free.lasting), end));
        }
        all
    }

    /// The length of a clean-out that the next lot does not wait for: a usual one, or up to where the
    /// next lot is let in.
    fn clean_out(&self, inputs: &Inputs, common: &Common, start: &Start) -> Option<Proposed> {
        let place = self.plain.clean_out;
        let action = &inputs.actions[place];
        if !action.may_change(Part::For) {
            return None;
        }
        let speed = self.wish.machine.speed;
        let let_in = start.timers.clean_out + self.plain.shape.let_in_later.at(speed);
        let room = let_in - self.plain.shape.clean_from.at(speed);
        let step = self.plain.shape.clean_out_step.map_or(0.01, |own| own.at(speed));
        let [_, usual] = self.wish.clean_out_seconds();
        let usual = steps_up(usual.max(self.wish.machine.old_seed_gone), step);
        let most = steps_down(room, step);
        let (steps, why) = if usual <= most {
            (usual, "usual, and old seed is gone by then")
        } else {
            (most, "shorter than usual, since the alley is narrow for this speed")
        };
        let by_way = action.goes_by_way(Part::For);
        let lasting =
            if by_way { Lasting { time: 0.0, way: step * speed } } else { Lasting::seconds(step) };
        let (number, unit) = in_steps(inputs, place, Part::For, (steps, lasting), common);
        let timed = action.timed(Part::For);
        Some(Proposed { timed, value: Value::found(timed.name(), number, unit, why), why })
    }

    /// Why each starting value is what it is: the opening, the start of the boost, its length.
    fn reasons(&self, start: &Start) -> [&'static str; 3] {
        let wish = &self.wish;
        let (step, [_, usual]) = (wish.step(), wish.clean_out_seconds());
        let gone = wish.machine.old_seed_gone;
        let gone_later = usual < gone;
        let from = self.plain.shape.clean_from.at(wish.machine.speed);
        let lasts = start.timers.clean_out - from;
        let usual = up_to_step(usual.max(gone), step);
        let opening = if start.clean_out_cut {
            "shorter than usual, since the alley is narrow for this speed"
        } else if lasts > usual + step / 2.0 && gone_later {
            "longer than old seed takes to be gone, to make the alley wide enough"
        } else if lasts > usual + step / 2.0 {
            LONGER
        } else if gone_later {
            "as soon as old seed is gone"
        } else {
            "usual, and old seed is gone by then"
        };
        let run_out = if start.steps.boost.0 > 0 {
            "lets every old seed fall at ground rate"
        } else {
            "not needed: every old seed falls within the clean-out"
        };
        let fill = if start.steps.boost.1 > 0 {
            "nearest to the alley without bunching new seed"
        } else {
            "not needed: the alley is wide enough without boost"
        };
        [opening, run_out, fill]
    }

    /// Why the sweep starts when it does, and works as long.
    fn sweep_reasons(&self, start: &Start) -> [&'static str; 2] {
        let sweep = start.timers.sweep.as_ref();
        let swept = sweep.map_or(0.0, |sweep| {
            swept_off(&start.timers, sweep.cells_before_release, sweep.start).round()
        });
        let first = if start.sweep_put_off {
            "later than usual: the alley has no room for seeds swept off the plot's end"
        } else if (1.0..=2.0).contains(&swept) {
            "takes off the last one or two old seeds"
        } else {
            "as near to the last one or two old seeds as its step comes"
        };
        [first, "ends before the first new seed passes it"]
    }
}

/// Why an opening is later than usual.
const LONGER: &str = "longer than usual, to make the alley wide enough";

/// What to do about the hand-over, which only the shop can tell.
fn hand_over_advice(action: &Action) -> String {
    format!(
        "time in the shop how long the largest lot takes to fall from its holder, and set the {} one \
         step longer",
        action.timed(Part::For).name()
    )
}

/// The length of the hand-over, a step longer than the largest lot took to fall in the shop.
fn hand_over(inputs: &Inputs, place: usize, common: &Common) -> Option<Proposed> {
    let action = &inputs.actions[place];
    let timed = action.timed(Part::For);
    let lasts = action.lasts.as_ref().filter(|_| action.may_change(Part::For))?;
    let step = inputs.step_of(action, Part::For).map_or_else(
        || {
            let unit = if lasts.is_time() { second() } else { common.units.length.compound() };
            Value::exact("one step more", if lasts.is_time() { 0.01 } else { 0.1 }, unit)
        },
        |step| step_value(&step, common),
    );
    let as_timed = match lasts {
        Extent::Time(time) => {
            Value::measured(format!("{}, as timed", timed.name()), time, second())
        }
        Extent::Way(_) => as_typed(&timed, lasts, common),
    };
    let longer = as_timed + &step;
    let value = on_step(&timed.name(), &longer.named(format!("exact {}", timed.name())), &step);
    Some(Proposed { timed, value, why: "one step longer than the lot takes to fall" })
}

/// A number with its unit.
fn with_unit(value: &Value) -> String {
    format!("{} {}", shown(value.number()), value.unit_text())
}

/// Starting values as settings, for a planter that has none yet.
pub(super) fn set(inputs: &Inputs, common: &Common, proposal: &Proposal, outcome: &mut Outcome) {
    let start = match &proposal.start {
        Ok(start) => start,
        Err(error) => {
            outcome.next = Some(cannot(inputs, common, proposal, error, outcome));
            return;
        }
    };
    let place = proposal.plain.hand_over;
    let timed = hand_over(inputs, place, common);
    let mut proposed = proposal.settings(inputs, common, start);
    let advice = match (&timed, inputs.actions[place].may_change(Part::For)) {
        (None, true) => format!("; {}", hand_over_advice(&inputs.actions[place])),
        _ => String::new(),
    };
    proposed.extend(timed);
    let found: Vec<(Timed, Value)> =
        proposed.iter().map(|one| (one.timed, one.value.clone())).collect();
    if let Some(schedule) = inputs.schedule_with(common, &found) {
        describe(inputs, common, &schedule, &inputs.times(common, &found), outcome);
        worth(inputs, common, &found, outcome);
    }
    cut(proposal, start, outcome);
    coarse(proposal, common, start, outcome);
    let all = proposed.iter().map(|one| format!("{} {}", one.timed.name(), with_unit(&one.value)));
    outcome.next = Some(Next {
        calculation: outcome.calculation,
        setting: Some("timers".into()),
        now: None,
        set: None,
        by_hand: vec![],
        instruction: format!(
            "set {}{advice}; plant a test range, look at it, and type what you see into a \
             [[changeover-run]]",
            all.collect::<Vec<_>>().join(", "),
        ),
    });
    for one in proposed {
        let verdict = Verdict::Change(one.why.into());
        outcome.settings.push(timer_result(&one.timed, None, one.value, verdict));
    }
}

/// Starting values as a table, beside what is set already.
pub(super) fn list(inputs: &Inputs, common: &Common, proposal: &Proposal, outcome: &mut Outcome) {
    let start = match &proposal.start {
        Ok(start) => start,
        Err(error) => {
            if as_wished(&proposal.wish, outcome) {
                return otherwise(inputs, proposal, outcome);
            }
            let instead = cannot(inputs, common, proposal, error, outcome);
            // What was seen on the ground says what comes next, not what was thought out.
            outcome.next = (!inputs.was_looked_at()).then_some(instead);
            return;
        }
    };
    cut(proposal, start, outcome);
    coarse(proposal, common, start, outcome);
    let length = common.units.length.symbol();
    let row = |one: Proposed| {
        vec![
            Cell::Text(one.timed.name()),
            Cell::Number(one.value.number(), 2),
            Cell::Text(one.value.unit_text().into_owned()),
            Cell::Text(one.why.into()),
        ]
    };
    outcome.tables.push(Table {
        key: "starting-values",
        title: format!(
            "Starting values for a planter set up anew (alley {} {length})",
            brief(start.alley)
        ),
        columns: vec![
            Column::new("setting", "setting", ""),
            Column::new("set", "set", ""),
            Column::new("unit", "", ""),
            Column::new("why", "why", ""),
        ],
        rows: proposal.settings(inputs, common, start).into_iter().map(row).collect(),
    });
}

/// Says so where starting values are not looked for.
pub(super) fn none(why: &str, outcome: &mut Outcome) {
    outcome.warnings.push(
        NO_STARTING_VALUES
            .with(format!("no starting values are worked out for this list of actions: {why}")),
    );
}

fn cut(proposal: &Proposal, start: &Start, outcome: &mut Outcome) {
    if start.clean_out_cut {
        let [_, usual] = proposal.wish.clean_out_seconds();
        outcome.warnings.push(CLEAN_OUT_CUT.with(format!(
            "the alley can only be made with a clean-out of {} s, below the usual {} s; watch \
             for old seed in the new plot, or drive slower",
            brief(start.timers.clean_out),
            brief(usual)
        )));
    }
}

/// Says so where the step of the timers is too coarse for the alley to come out inside its
/// tolerance; where none is given, within a seed spacing.
fn coarse(proposal: &Proposal, common: &Common, start: &Start, outcome: &mut Outcome) {
    let wish = &proposal.wish;
    let off = start.alley - wish.alley;
    let limit = wish.tolerance_or_spacing();
    if at_most(off.abs(), limit) {
        return;
    }
    let word = if wish.tolerance.is_some() { "the tolerance" } else { "a seed spacing" };
    let length = common.units.length.symbol();
    let least = least_alley(&wish.plain_machine(), wish.clean_out_seconds()[0]);
    let mend = if off > 0.0 && !at_most(least, wish.alley + limit) {
        "a finer step is not enough: drive slower"
    } else {
        "take a finer step or drive slower"
    };
    outcome.warnings.push(TIMER_STEP_COARSE.with(format!(
        "with timers in steps of {} s, {} {length} of travel each, the alley comes out {} {length}, \
         {} {length} too {}: more than {word} of {} {length}; {mend}",
        brief(wish.step()),
        brief(wish.machine.speed * wish.step()),
        brief(start.alley),
        brief(off.abs()),
        if off > 0.0 { "wide" } else { "narrow" },
        brief(limit),
    )));
}

/// A number in three digits, or as many more as it takes to stay between two others, so that what
/// is named is never past what holds.
fn inward(span: Span) -> Span {
    let rounded = |digits: i32| {
        let to_digits = |number: f64, up: bool| {
            let unit = 10_f64.powi(digits - 1 - floored(number.log10()));
            let whole = number * unit;
            clean(if up { (whole - 1e-7).ceil() } else { (whole + 1e-7).floor() } / unit)
        };
        Span { from: to_digits(span.from, true), to: to_digits(span.to, false) }
    };
    (3..9).map(rounded).find(|span| span.from <= span.to).unwrap_or(span)
}

#[allow(clippy::cast_possible_truncation)] // the logarithm of a measure
fn floored(number: f64) -> i32 {
    number.floor() as i32
}

/// What would do, in words, with the unit behind the numbers: "X or more" where all beyond will do
/// that the sheet takes, else "X to Y".
fn ways(common: &Common, error: &StartError) -> Vec<String> {
    let units = &common.units;
    let length = units.length.symbol();
    let base = units.length.base();
    let mut ways = Vec::new();
    if let Some(alleys) = error.alleys {
        let named = inward(alleys);
        let cut = if error.clean_out_cut { ", with the clean-out cut short" } else { "" };
        ways.push(if alleys.to * base >= ALLEY.most {
            format!("an alley of {} {length} or more{cut}", shown(named.from))
        } else {
            format!("an alley of {} to {} {length}{cut}", shown(named.from), shown(named.to))
        });
    }
    if let Some(speeds) = error.speeds {
        let gauge = |speed: f64| {
            let value = Value::found("speed", speed, units.length_per_second(), "by stretches");
            units.gauge(&value).number()
        };
        let named = inward(Span { from: gauge(speeds.from), to: gauge(speeds.to) });
        ways.push(if SPEED.hold(speeds.from * base) && speeds.from * base > SPEED.least * 1.001 {
            format!("a speed of {} to {} {}", shown(named.from), shown(named.to), units.speed)
        } else {
            format!("{} {} or slower", shown(named.to), units.speed)
        });
    }
    if let Some(boosts) = error.boosts {
        let named = inward(boosts);
        ways.push(if boosts.to >= BOOST_CELLS.most * 0.999 {
            format!("a boost of {} cells/s or more", shown(named.from))
        } else {
            format!("a boost of {} to {} cells/s", shown(named.from), shown(named.to))
        });
    }
    ways
}

/// Whether the timers as they are set make the alley by the machine times.
fn as_wished(wish: &Wish, outcome: &Outcome) -> bool {
    let off = outcome.values.iter().find(|value| value.name() == Some(WIDTH_OFF));
    let limit = wish.tolerance.unwrap_or(wish.machine.speed * wish.step());
    off.is_some_and(|off| at_most(off.number().abs(), limit))
}

/// The timers make the alley, but by what starting values leave out.
fn otherwise(inputs: &Inputs, proposal: &Proposal, outcome: &mut Outcome) {
    let wish = &proposal.wish;
    let least = wish.clean_out_seconds()[0].max(wish.machine.old_seed_gone);
    outcome.warnings.push(ALLEY_NOT_REACHED.with(format!(
        "the timers as set make an alley of {}, but with a clean-out shorter than {} s, with old \
         seed in the new plot or with seeds under boost; without these it can't be made at {}",
        inputs.alley,
        brief(least),
        inputs.speed,
    )));
}

/// What gives where the alley can't be made.
fn cannot(
    inputs: &Inputs,
    common: &Common,
    proposal: &Proposal,
    error: &StartError,
    outcome: &mut Outcome,
) -> Next {
    let ways = ways(common, error);
    let with = if proposal.plain.boost.is_some() { "with this boost" } else { "without a boost" };
    let what = format!("an alley of {} can't be made at {}", inputs.alley, inputs.speed);
    let (do_instead, choose) = if ways.is_empty() {
        ("no timer lasts as long as old seed takes".to_owned(), "look at the machine times".into())
    } else {
        (format!("what would do: {}", ways.join("; ")), format!("choose {}", ways.join(", or ")))
    };
    outcome.warnings.push(ALLEY_NOT_REACHED.with(format!("{what} {with}; {do_instead}")));
    Next::only(outcome.calculation, format!("{what}: {choose}"))
}
