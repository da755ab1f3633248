//! Starting values over speed, seed spacing and alley.

use crate::calculations::Common;
use crate::outcome::{Bars, Cell, Column, Outcome, Picture, Table};
use crate::quantity::{MeasureUnit, TimeUnit, shown};
use crate::working::Value;

use super::inputs::Inputs;
use super::start::{least_usual, reached, top_speed};
use super::steps::{Wish, up_to_step};
use super::timers::Timers;

/// Shares of the present value over which a table runs.
const SHARES: [f64; 10] = [0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2, 1.35, 1.5];

/// A row of a what-if table: what was varied, one figure, and starting timers.
fn what_if_row(varied: Cell, figure: Cell, wish: &Wish) -> Vec<Cell> {
    let start = reached(wish);
    let timers = |pick: fn(&Timers<f64>) -> f64| {
        start.as_ref().map_or(Cell::Empty, |start| Cell::Number(pick(&start.timers), 2))
    };
    vec![
        varied,
        figure,
        timers(|timers| timers.clean_out),
        timers(|timers| timers.run_out),
        timers(|timers| timers.fill),
    ]
}

fn what_if_table(
    key: &'static str,
    title: String,
    varied: (String, &str, &str),
    figure: (String, &str, &str),
    rows: Vec<Vec<Cell>>,
) -> Table {
    let column = |(key, head, unit): (String, &str, &str)| Column::new(key, head, unit);
    let seconds = TimeUnit::Second.symbol();
    let columns = vec![
        column(varied),
        column(figure),
        Column::new("clean_out_s", "clean-out", seconds),
        Column::new("run_out_s", "run-out", seconds),
        Column::new("fill_s", "fill", seconds),
    ];
    Table { key, title, columns, rows }
}

/// What other speeds, seed spacings and alleys would ask for.
pub(super) fn what_if(inputs: &Inputs, common: &Common, outcome: &mut Outcome) {
    over_speed(inputs, common, outcome);
    over_spacing(inputs, common, outcome);
    over_alley(inputs, common, outcome);
}

fn one_place(number: Option<f64>) -> Cell {
    number.map_or(Cell::Empty, |number| Cell::Number(number, 1))
}

fn gauge(common: &Common, speed: f64) -> f64 {
    let unit = common.units.length_per_second();
    common.units.gauge(&Value::found("speed", speed, unit, "row of the table")).number()
}

/// The usual clean-out on the step.
fn usual_clean_out(wish: &Wish) -> String {
    let usual = wish.clean_outs.usual.max(wish.machine.old_seed_gone);
    shown(up_to_step(usual, wish.step))
}

fn over_speed(inputs: &Inputs, common: &Common, outcome: &mut Outcome) {
    let units = &common.units;
    let wish = inputs.wish(common);
    let length = units.length.symbol();
    let mut picture = Vec::new();
    let rows = SHARES.map(|share| {
        let speed = wish.machine.speed * share;
        let wish = wish.at_speed(speed);
        let least = least_usual(&wish);
        let gauge = gauge(common, speed);
        let label = crate::quantity::round_half_away(gauge, 2);
        picture.extend(least.map(|least| (format!("{label} {}", units.speed), least)));
        what_if_row(Cell::Number(gauge, 2), one_place(least), &wish)
    });
    let speed_key = units.speed.symbol().replace('/', "_per_");
    let usual = usual_clean_out(&wish);
    outcome.tables.push(what_if_table(
        "over-speed",
        format!("Over speed, for an alley of {} (least: clean-out {usual} s)", inputs.alley),
        (format!("speed_{speed_key}"), "speed", units.speed.symbol()),
        (format!("least_alley_{length}"), "least alley", length),
        rows.into(),
    ));
    outcome.pictures.push(Picture::Bars(bars(picture, wish.alley, length)));
}

fn over_spacing(inputs: &Inputs, common: &Common, outcome: &mut Outcome) {
    let wish = inputs.wish(common);
    let length = common.units.length.symbol();
    let rows = SHARES.map(|share| {
        let spacing = wish.machine.spacing * share;
        let machine = Timers { spacing, ..wish.machine.clone() };
        let wish = Wish { machine, ..wish.clone() };
        what_if_row(Cell::Number(spacing, 2), one_place(least_usual(&wish)), &wish)
    });
    outcome.tables.push(what_if_table(
        "over-spacing",
        format!("Over seed spacing, at {} for an alley of {}", inputs.speed, inputs.alley),
        (format!("seed_spacing_{length}"), "seed spacing", length),
        (format!("least_alley_{length}"), "least alley", length),
        rows.into(),
    ));
}

fn over_alley(inputs: &Inputs, common: &Common, outcome: &mut Outcome) {
    let units = &common.units;
    let wish = inputs.wish(common);
    let length = units.length.symbol();
    let rows = SHARES.map(|share| {
        let alley = wish.alley * share;
        let wish = Wish { alley, ..wish.clone() };
        // A hundredth more would be too fast.
        let down = |speed: f64| (gauge(common, speed) * 100.0).floor() / 100.0;
        let top = top_speed(&wish).map_or(Cell::Empty, |speed| Cell::Number(down(speed), 2));
        what_if_row(Cell::Number(alley, 1), top, &wish)
    });
    let speed_key = units.speed.symbol().replace('/', "_per_");
    outcome.tables.push(what_if_table(
        "over-alley",
        format!("Over the alley, at {}", inputs.speed),
        (format!("alley_{length}"), "alley", length),
        (format!("top_speed_{speed_key}"), "top speed", units.speed.symbol()),
        rows.into(),
    ));
}

/// Least alley by speed, for the picture.
fn bars(rows: Vec<(String, f64)>, limit: f64, unit: &str) -> Bars {
    Bars {
        title: "Least alley by ground speed (| the alley wanted)".into(),
        unit: unit.into(),
        limit,
        rows,
    }
}
