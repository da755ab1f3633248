//! Starting values as settings, as a table, and what gives where there are none.

use crate::calculations::Common;
use crate::outcome::setting::on_step;
use crate::outcome::warning::{ALLEY_NOT_REACHED, CLEAN_OUT_CUT};
use crate::outcome::{Cell, Column, Next, Outcome, Table, Verdict};
use crate::quantity::{MeasureUnit, brief, shown};
use crate::working::Value;

use super::ground::describe;
use super::inputs::Inputs;
use super::motion::{Sweep, Timers};
use super::start::{Start, StartError, starting_values, up_to_step};
use super::timer_settings::{
    CLEAN_OUT, FILL, HAND_OVER, RUN_OUT, SWEEP_AFTER, SWEEP_FOR, USUAL_CLEAN_OUT, second, time,
    timer_result,
};

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
    let step = inputs.wish(common).step;
    let usual = up_to_step(USUAL_CLEAN_OUT.max(timers.old_seed_gone), step);
    let clean_out = if start.clean_out_cut {
        "below common practice, since the alley is narrow for this speed"
    } else if timers.clean_out > usual + step / 2.0 {
        "longer than usual, to make the alley wide enough"
    } else {
        "common practice, and old seed is gone by then"
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
const SWEEP_REASONS: [&str; 2] =
    ["takes off the last one or two old seeds", "ends before the first new seed passes it"];

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
        Err(error) => return cannot(inputs, common, error, outcome),
    };
    let reasons = reasons(inputs, common, start);
    let timers = Timers {
        clean_out: found("clean-out", start.timers.clean_out, reasons[0]),
        run_out: found("run-out", start.timers.run_out, reasons[1]),
        fill: found("fill", start.timers.fill, reasons[2]),
        sweep: start.timers.sweep.as_ref().map(|sweep| Sweep {
            start: found("sweep starts", sweep.start, SWEEP_REASONS[0]),
            length: found("sweep works for", sweep.length, SWEEP_REASONS[1]),
            cells_before_release: inputs.sweep_cells(),
        }),
        ..inputs.machine(common)
    };
    describe(inputs, common, &timers, outcome);
    cut(start, outcome);
    let mut values = vec![
        (&CLEAN_OUT, timers.clean_out.clone(), reasons[0]),
        (&RUN_OUT, timers.run_out.clone(), reasons[1]),
        (&FILL, timers.fill.clone(), reasons[2]),
    ];
    if let Some(sweep) = &timers.sweep {
        values.push((&SWEEP_AFTER, sweep.start.clone(), SWEEP_REASONS[0]));
        values.push((&SWEEP_FOR, sweep.length.clone(), SWEEP_REASONS[1]));
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
        Err(error) => return cannot(inputs, common, error, outcome),
    };
    cut(start, outcome);
    let length = common.units.length.symbol();
    let reasons = reasons(inputs, common, start);
    let mut rows = vec![
        ("clean-out", start.timers.clean_out, reasons[0]),
        ("run-out", start.timers.run_out, reasons[1]),
        ("fill", start.timers.fill, reasons[2]),
    ];
    if let Some(sweep) = &start.timers.sweep {
        rows.push(("sweep after", sweep.start, SWEEP_REASONS[0]));
        rows.push(("sweep for", sweep.length, SWEEP_REASONS[1]));
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

fn cut(start: &Start, outcome: &mut Outcome) {
    if start.clean_out_cut {
        outcome.warnings.push(CLEAN_OUT_CUT.with(format!(
            "the alley can only be made with a clean-out of {} s, below the usual 1.5 s; watch \
             for old seed in the new plot, or drive slower",
            brief(start.timers.clean_out)
        )));
    }
}

/// What gives where the alley can't be made.
fn cannot(inputs: &Inputs, common: &Common, error: &StartError, outcome: &mut Outcome) {
    let units = &common.units;
    let length = units.length.symbol();
    let along = |speed: f64| {
        let value = Value::found("top speed", speed, units.length_per_second(), "by halving");
        format!("{} {}", brief(units.gauge(&value).number()), units.speed)
    };
    let mut ways = vec![format!(
        "an alley of {} {length} or more, with clean-out cut short",
        brief(error.least)
    )];
    ways.extend(error.top_speed.map(|speed| format!("{} or slower", along(speed))));
    ways.extend(error.boost.map(|boost| format!("a boost of {} cells/s or more", brief(boost))));
    outcome.warnings.push(ALLEY_NOT_REACHED.with(format!(
        "an alley of {} can't be made at {} with this boost; what would do: {}",
        inputs.alley,
        inputs.speed,
        ways.join("; ")
    )));
    let instruction = format!(
        "an alley of {} can't be made at {}: choose {}",
        inputs.alley,
        inputs.speed,
        ways.join(", or ")
    );
    outcome.next = Some(Next::only(outcome.calculation, instruction));
}
