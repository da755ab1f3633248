//! Starting values as settings, as a table, and what gives where there are none.

use crate::calculations::Common;
use crate::outcome::setting::on_step;
use crate::outcome::warning::{ALLEY_NOT_REACHED, CLEAN_OUT_CUT, TIMER_STEP_COARSE};
use crate::outcome::{Cell, Column, Next, Outcome, Table, Verdict};
use crate::quantity::bounds::{ALLEY, BOOST_CELLS, SPEED};
use crate::quantity::{MeasureUnit, TimeUnit, at_most, brief, clean, shown};
use crate::working::Value;

use super::ground::{WIDTH_OFF, describe};
use super::inputs::Inputs;
use super::motion::Sweep;
use super::reach::Span;
use super::start::{Start, StartError, least_alley, starting_values, swept_off};
use super::steps::up_to_step;
use super::timer_settings::{
    CLEAN_OUT, FILL, HAND_OVER, RUN_OUT, SWEEP_AFTER, SWEEP_FOR, second, time, timer_result,
};
use super::timers::Timers;

/// Starting values for the sheet.
pub(super) fn propose(inputs: &Inputs, common: &Common) -> Result<Start, StartError> {
    starting_values(&inputs.wish(common))
}

fn found(name: &'static str, seconds: f64, why: &'static str) -> Value {
    Value::found(name, seconds, second(), why)
}

/// Why each starting value is what it is: clean-out, run-out, fill.
fn reasons(inputs: &Inputs, common: &Common, start: &Start) -> [&'static str; 3] {
    let timers = &start.timers;
    let wish = inputs.wish(common);
    let (step, usual) = (wish.step, wish.clean_outs.usual);
    let gone_later = usual < timers.old_seed_gone;
    let usual = up_to_step(usual.max(timers.old_seed_gone), step);
    let clean_out = if start.clean_out_cut {
        "shorter than usual, since the alley is narrow for this speed"
    } else if timers.clean_out > usual + step / 2.0 && gone_later {
        "longer than old seed takes to be gone, to make the alley wide enough"
    } else if timers.clean_out > usual + step / 2.0 {
        "longer than usual, to make the alley wide enough"
    } else if gone_later {
        "as soon as old seed is gone"
    } else {
        "usual, and old seed is gone by then"
    };
    let run_out = if timers.run_out > 0.0 {
        "lets every old seed fall at ground rate"
    } else {
        "not needed: every old seed falls within the clean-out"
    };
    let fill = if timers.fill > 0.0 {
        "comes nearest to the alley without bunching new seed"
    } else {
        "not needed: the alley is wide enough without boost"
    };
    [clean_out, run_out, fill]
}

/// Why the sweep starts when it does, and works as long.
fn sweep_reasons(start: &Start) -> [&'static str; 2] {
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

/// What to do about the hand-over, which only the shop can tell.
const HAND_OVER_ADVICE: &str = "time in the shop how long the largest lot takes to fall from its holder, and set the \
     hand-over one step longer";

/// Starting values as settings, for a planter that has none yet.
pub(super) fn set(
    inputs: &Inputs,
    common: &Common,
    start: &Result<Start, StartError>,
    outcome: &mut Outcome,
) {
    let start = match start {
        Ok(start) => start,
        Err(error) => {
            outcome.next = Some(cannot(inputs, common, error, outcome));
            return;
        }
    };
    let (reasons, sweep_reasons) = (reasons(inputs, common, start), sweep_reasons(start));
    let timers = Timers {
        clean_out: found("clean-out", start.timers.clean_out, reasons[0]),
        run_out: found("run-out", start.timers.run_out, reasons[1]),
        fill: found("fill", start.timers.fill, reasons[2]),
        sweep: start.timers.sweep.as_ref().map(|sweep| Sweep {
            start: found("sweep starts", sweep.start, sweep_reasons[0]),
            length: found("sweep works for", sweep.length, sweep_reasons[1]),
            cells_before_release: inputs.sweep_cells(),
        }),
        ..inputs.machine(common)
    };
    describe(inputs, common, &timers, outcome);
    cut(inputs, common, start, outcome);
    coarse(inputs, common, start, outcome);
    let mut values = vec![
        (&CLEAN_OUT, timers.clean_out.clone(), reasons[0]),
        (&RUN_OUT, timers.run_out.clone(), reasons[1]),
        (&FILL, timers.fill.clone(), reasons[2]),
    ];
    if let Some(sweep) = &timers.sweep {
        values.push((&SWEEP_AFTER, sweep.start.clone(), sweep_reasons[0]));
        values.push((&SWEEP_FOR, sweep.length.clone(), sweep_reasons[1]));
    }
    if let Some(timed) = &inputs.hand_over {
        let step = Value::exact("one step more", inputs.wish(common).step, second());
        let longer = time("hand-over, as timed", timed) + &step;
        let longer = on_step(HAND_OVER.name, &longer.named("exact hand-over"), &step);
        values.push((&HAND_OVER, longer, "one step longer than the lot takes to fall"));
    }
    for (setting, value, reason) in values {
        let verdict = Verdict::Change(reason.into());
        outcome.settings.push(timer_result(setting, None, value, verdict));
    }
    outcome.next = Some(Next {
        calculation: outcome.calculation,
        setting: Some("timers".into()),
        now: None,
        set: None,
        by_hand: vec![],
        instruction: format!(
            "set clean-out {} s, run-out {} s, fill {} s{}{}; plant a test range, look at it, \
             and type what you see into a [[changeover-run]]",
            shown(start.timers.clean_out),
            shown(start.timers.run_out),
            shown(start.timers.fill),
            start.timers.sweep.as_ref().map_or(String::new(), |sweep| format!(
                ", sweep from {} s for {} s",
                shown(sweep.start),
                shown(sweep.length)
            )),
            match outcome.settings.iter().find(|one| one.key == Some(HAND_OVER.key)) {
                Some(hand_over) => format!(", hand-over {} s", shown(hand_over.set.number())),
                None => format!("; {HAND_OVER_ADVICE}"),
            }
        ),
    });
}

/// Starting values as a table, beside timers that are set already.
pub(super) fn list(
    inputs: &Inputs,
    common: &Common,
    start: &Result<Start, StartError>,
    outcome: &mut Outcome,
) {
    let start = match start {
        Ok(start) => start,
        Err(error) => {
            if as_wished(inputs, common, outcome) {
                return otherwise(inputs, common, outcome);
            }
            let instead = cannot(inputs, common, error, outcome);
            // What was seen on the ground says what comes next, not what was thought out.
            outcome.next = (!inputs.was_looked_at()).then_some(instead);
            return;
        }
    };
    cut(inputs, common, start, outcome);
    coarse(inputs, common, start, outcome);
    let length = common.units.length.symbol();
    let (reasons, sweep_reasons) = (reasons(inputs, common, start), sweep_reasons(start));
    let mut rows = vec![
        ("clean-out", start.timers.clean_out, reasons[0]),
        ("run-out", start.timers.run_out, reasons[1]),
        ("fill", start.timers.fill, reasons[2]),
    ];
    if let Some(sweep) = &start.timers.sweep {
        rows.push(("sweep after", sweep.start, sweep_reasons[0]));
        rows.push(("sweep for", sweep.length, sweep_reasons[1]));
    }
    outcome.tables.push(Table {
        key: "starting-values",
        title: format!(
            "Starting values for a planter set up anew (alley {} {length})",
            brief(start.alley)
        ),
        columns: vec![
            Column::new("timer", "timer", ""),
            Column::new("seconds", "set", "s"),
            Column::new("why", "why", ""),
        ],
        rows: rows
            .into_iter()
            .map(|(name, seconds, why)| {
                vec![Cell::Text(name.into()), Cell::Number(seconds, 2), Cell::Text(why.into())]
            })
            .collect(),
    });
}

fn cut(inputs: &Inputs, common: &Common, start: &Start, outcome: &mut Outcome) {
    if start.clean_out_cut {
        let usual = inputs.wish(common).clean_outs.usual;
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
fn coarse(inputs: &Inputs, common: &Common, start: &Start, outcome: &mut Outcome) {
    let wish = inputs.wish(common);
    let off = start.alley - wish.alley;
    let limit = wish.tolerance_or_spacing();
    if at_most(off.abs(), limit) {
        return;
    }
    let word = if wish.tolerance.is_some() { "the tolerance" } else { "a seed spacing" };
    let length = common.units.length.symbol();
    let least = least_alley(&wish.machine, wish.clean_outs.least);
    let mend = if off > 0.0 && !at_most(least, wish.alley + limit) {
        "a finer step is not enough: drive slower"
    } else {
        "take a finer step or drive slower"
    };
    outcome.warnings.push(TIMER_STEP_COARSE.with(format!(
        "with timers in steps of {} s, {} {length} of travel each, the alley comes out {} {length}, \
         {} {length} too {}: more than {word} of {} {length}; {mend}",
        shown(wish.step),
        brief(wish.machine.speed * wish.step),
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
fn as_wished(inputs: &Inputs, common: &Common, outcome: &Outcome) -> bool {
    let off = outcome.values.iter().find(|value| value.name() == Some(WIDTH_OFF));
    let wish = inputs.wish(common);
    let limit = wish.tolerance.unwrap_or(wish.machine.speed * wish.step);
    off.is_some_and(|off| at_most(off.number().abs(), limit))
}

/// The timers make the alley, but by what starting values leave out.
fn otherwise(inputs: &Inputs, common: &Common, outcome: &mut Outcome) {
    let least = inputs.wish(common).clean_outs.least;
    outcome.warnings.push(ALLEY_NOT_REACHED.with(format!(
        "the timers as set make an alley of {}, but with a clean-out shorter than {} s, with old \
         seed in the new plot or with seeds under boost; without these it can't be made at {}",
        inputs.alley,
        brief(least.max(inputs.old_seed_gone.value_in(TimeUnit::Second))),
        inputs.speed,
    )));
}

/// What gives where the alley can't be made.
fn cannot(inputs: &Inputs, common: &Common, error: &StartError, outcome: &mut Outcome) -> Next {
    let ways = ways(common, error);
    let what = format!("an alley of {} can't be made at {}", inputs.alley, inputs.speed);
    let (do_instead, choose) = if ways.is_empty() {
        ("no timer lasts as long as old seed takes".to_owned(), "look at the machine times".into())
    } else {
        (format!("what would do: {}", ways.join("; ")), format!("choose {}", ways.join(", or ")))
    };
    outcome.warnings.push(ALLEY_NOT_REACHED.with(format!("{what} with this boost; {do_instead}")));
    Next::only(outcome.calculation, format!("{what}: {choose}"))
}
