//! Starting values over speed, seed spacing and alley, and what the present times make at other speeds.

use crate::calculations::Common;
use crate::outcome::{Bars, Cell, Column, Outcome, Part, Picture, Table};
use crate::quantity::{MeasureUnit, TimeUnit, shown};
use crate::working::Value;

use super::inputs::Inputs;
use super::motion::numbers;
use super::prediction::predict;
use super::proposal::{Proposal, in_steps};
use super::shape::Lasting;
use super::start::{Found, least_usual, reached, top_speed};
use super::steps::{Wish, up_to_step};
use super::timers::Timers;

/// Shares of the present value over which a table runs.
const SHARES: [f64; 10] = [0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2, 1.35, 1.5];

/// What a table shows of starting values: settings of actions, with how many steps of them.
struct Shown<'a> {
    inputs: &'a Inputs,
    common: &'a Common,
    settings: Vec<OfStart>,
}

/// A column of such a table: what it is called in JSON, the setting, its step, and how many of them.
type OfStart = (&'static str, usize, Part, Lasting, fn(&Found) -> i64);

impl Shown<'_> {
    fn of<'a>(inputs: &'a Inputs, common: &'a Common, proposal: &Proposal) -> Shown<'a> {
        let (plain, shape) = (&proposal.plain, &proposal.plain.shape);
        let opening: (usize, Part) = if plain.by_wait {
            (plain.hand_over, Part::Wait)
        } else {
            (plain.clean_out, Part::For)
        };
        let mut settings: Vec<OfStart> =
            vec![("opening", opening.0, opening.1, shape.opening, |found| found.opening)];
        if let (Some(place), Some(free)) = (plain.boost, shape.boost) {
            settings.push(("boost_wait", place, Part::Wait, free.waiting, |found| found.boost.0));
            settings.push(("boost_for", place, Part::For, free.lasting, |found| found.boost.1));
        }
        Shown { inputs, common, settings }
    }

    /// A row: what was varied, one figure, and starting values.
    fn row(&self, varied: Cell, figure: Cell, wish: &Wish) -> Vec<Cell> {
        let start = reached(wish);
        let one = |(_, place, part, step, pick): &OfStart| {
            let Some(start) = &start else { return Cell::Empty };
            let steps = (pick(&start.steps), *step);
            Cell::Number(in_steps(self.inputs, *place, *part, steps, self.common).0, 2)
        };
        [varied, figure].into_iter().chain(self.settings.iter().map(one)).collect()
    }

    fn table(
        &self,
        key: &'static str,
        title: String,
        varied: (String, &str, &str),
        figure: (String, &str, &str),
        rows: Vec<Vec<Cell>>,
    ) -> Table {
        let column = |(key, head, unit): (String, &str, &str)| Column::new(key, head, unit);
        let mut columns = vec![column(varied), column(figure)];
        for (what, place, part, ..) in &self.settings {
            let action = &self.inputs.actions[*place];
            let unit = if action.goes_by_way(*part) {
                self.common.units.length.symbol()
            } else {
                TimeUnit::Second.symbol()
            };
            columns.push(Column::new(
                format!("{what}_{unit}"),
                format!("{} {}", action.name, part.key()),
                unit,
            ));
        }
        Table { key, title, columns, rows }
    }
}

/// What other speeds, seed spacings and alleys would ask for.
pub(super) fn what_if(
    inputs: &Inputs,
    common: &Common,
    proposal: &Proposal,
    outcome: &mut Outcome,
) {
    let shown = Shown::of(inputs, common, proposal);
    over_speed(&shown, &proposal.wish, outcome);
    over_spacing(&shown, &proposal.wish, outcome);
    over_alley(&shown, &proposal.wish, outcome);
}

/// What the times as they are set make at other speeds.
pub(super) fn as_set_over_speed(inputs: &Inputs, common: &Common, outcome: &mut Outcome) {
    let units = &common.units;
    let Some(schedule) = inputs.schedule(common) else { return };
    let now = schedule.speed.number();
    let length = units.length.symbol();
    let fell = |value: f64| Cell::Number(value.max(0.0), 1);
    let rows = SHARES.into_iter().filter_map(|share| {
        let there = inputs.at_share_of_speed(common, share)?;
        let ground = predict(&numbers(&there));
        Some(vec![
            Cell::Number(gauge(common, now * share), 2),
            Cell::Number(ground.width, 1),
            Cell::Number(ground.centre, 1),
            fell(ground.bunched_at_end),
            fell(ground.bunched_at_start),
        ])
    });
    let speed_key = units.speed.symbol().replace('/', "_per_");
    let rows = rows.collect();
    outcome.tables.push(Table {
        key: "as-set-over-speed",
        title: "What the times as they are set make at other speeds".into(),
        columns: vec![
            Column::new(format!("speed_{speed_key}"), "speed", units.speed.symbol()),
            Column::new(format!("alley_{length}"), "alley", length),
            Column::new(format!("middle_past_trip_{length}"), "middle", length),
            Column::new("bunched_at_end", "bunched at end", "seeds"),
            Column::new("bunched_at_start", "at start", "seeds"),
        ],
        rows,
    });
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
    let usual = wish.clean_out_seconds()[1].max(wish.machine.old_seed_gone);
    let from = wish.shape.clean_from.at(wish.machine.speed);
    let opens = wish.shape.opens_from.at(wish.machine.speed) - from;
    shown(opens + up_to_step((usual - opens).max(0.0), wish.step()))
}

fn over_speed(to_show: &Shown<'_>, wish: &Wish, outcome: &mut Outcome) {
    let (inputs, common) = (to_show.inputs, to_show.common);
    let units = &common.units;
    let length = units.length.symbol();
    let mut picture = Vec::new();
    let rows = SHARES.map(|share| {
        let speed = wish.machine.speed * share;
        let wish = wish.at_speed(speed);
        let least = least_usual(&wish);
        let gauge = gauge(common, speed);
        let label = crate::quantity::round_half_away(gauge, 2);
        picture.extend(least.map(|least| (format!("{label} {}", units.speed), least)));
        to_show.row(Cell::Number(gauge, 2), one_place(least), &wish)
    });
    let speed_key = units.speed.symbol().replace('/', "_per_");
    let usual = usual_clean_out(wish);
    outcome.tables.push(to_show.table(
        "over-speed",
        format!("Over speed, for an alley of {} (least: clean-out {usual} s)", inputs.alley),
        (format!("speed_{speed_key}"), "speed", units.speed.symbol()),
        (format!("least_alley_{length}"), "least alley", length),
        rows.into(),
    ));
    outcome.pictures.push(Picture::Bars(bars(picture, wish.alley, length)));
}

fn over_spacing(to_show: &Shown<'_>, wish: &Wish, outcome: &mut Outcome) {
    let (inputs, common) = (to_show.inputs, to_show.common);
    let length = common.units.length.symbol();
    let rows = SHARES.map(|share| {
        let spacing = wish.machine.spacing * share;
        let machine = Timers { spacing, ..wish.machine.clone() };
        let wish = Wish { machine, ..wish.clone() };
        to_show.row(Cell::Number(spacing, 2), one_place(least_usual(&wish)), &wish)
    });
    outcome.tables.push(to_show.table(
        "over-spacing",
        format!("Over seed spacing, at {} for an alley of {}", inputs.speed, inputs.alley),
        (format!("seed_spacing_{length}"), "seed spacing", length),
        (format!("least_alley_{length}"), "least alley", length),
        rows.into(),
    ));
}

fn over_alley(to_show: &Shown<'_>, wish: &Wish, outcome: &mut Outcome) {
    let (inputs, common) = (to_show.inputs, to_show.common);
    let units = &common.units;
    let length = units.length.symbol();
    let rows = SHARES.map(|share| {
        let alley = wish.alley * share;
        let wish = Wish { alley, ..wish.clone() };
        // A hundredth more would be too fast.
        let down = |speed: f64| (gauge(common, speed) * 100.0).floor() / 100.0;
        let top = top_speed(&wish).map_or(Cell::Empty, |speed| Cell::Number(down(speed), 2));
        to_show.row(Cell::Number(alley, 1), top, &wish)
    });
    let speed_key = units.speed.symbol().replace('/', "_per_");
    outcome.tables.push(to_show.table(
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
