//! What a pass needs before its first plot, against the headlands that there are.

use crate::calculations::common::Common;
use crate::outcome::warning::WarningKind;
use crate::outcome::wording::in_words;
use crate::outcome::{Cell, Column, Next, Outcome, Table};
use crate::quantity::{Length, at_most, brief};
use crate::working::Value;

use super::formulas::speed_allowed;
use super::inputs::{CALCULATION, Fills, Inputs};
use super::way::Ways;

/// The remark `headland-short`.
pub static HEADLAND_SHORT: WarningKind = WarningKind {
    code: "headland-short",
    meaning: "The headland is shorter than what a pass needs before its first plot: the way to be at \
              speed, the way that fills the plate, and the machine behind it. The first plots of \
              passes that start there are planted below speed or begin bare. Drive slower, fill the \
              plate before the pass, leave a longer headland, or plant border ranges.",
    example: "[run-up] with `time-to-speed = \"4 s\"` at 3 mph, and `headland = \"10 ft\"`.",
};

/// An end of the field where passes start.
struct End {
    name: &'static str,
    tag: &'static str,
    /// Ground before the place where the planter has to be ready.
    room: Value,
}

/// Both ends of the field against what is needed, and what to do where one is too short.
pub(super) fn add(inputs: &Inputs, common: &Common, ways: &Ways, outcome: &mut Outcome) {
    let needed = ways.needed(&ways.run_up, "");
    let longest = ways.longest.as_ref().map(|run_up| ways.needed(run_up, ", one pass, high"));
    outcome.values.push(needed.clone());
    outcome.values.extend(longest.clone());
    let all = ends(inputs, common);
    if all.is_empty() {
        return;
    }
    let unit = common.units.length.to_string();
    let mut rows = vec![];
    for end in &all {
        let left = (&end.room - &needed).named(["ground to spare", end.tag].concat());
        let least = longest.as_ref().map(|longest| {
            (&end.room - longest).named(["ground to spare, one pass", end.tag].concat())
        });
        let short = !at_most(0.0, left.number());
        let at_times = least.as_ref().is_some_and(|least| !at_most(0.0, least.number()));
        let verdict = match (short, at_times) {
            (true, _) => "too short",
            (false, true) => "too short at times",
            (false, false) => "long enough",
        };
        let number = |value: Option<&Value>| {
            value.map_or(Cell::Empty, |value| Cell::Number(value.number(), 1))
        };
        rows.push(vec![
            Cell::Text(end.name.into()),
            number(Some(&end.room)),
            number(Some(&needed)),
            number(Some(&left)),
            number(least.as_ref()),
            Cell::Text(verdict.into()),
        ]);
        outcome.values.push(left.clone());
        outcome.values.extend(least.clone());
        if short || at_times {
            too_short(common, ways, end, least.as_ref().unwrap_or(&left), short, outcome);
        }
    }
    let of = |name: &str| format!("{name}_{unit}");
    outcome.tables.push(Table {
        key: "run-up",
        title: "Ground before the first plot of a pass, by the end where it starts".into(),
        columns: vec![
            Column::new("end", "end", ""),
            Column::new(of("room"), "room", &unit),
            Column::new(of("needed"), "needed", &unit),
            Column::new(of("spare"), "to spare", &unit),
            Column::new(of("spare_one_pass"), "one pass", &unit),
            Column::new("verdict", "verdict", ""),
        ],
        rows,
    });
}

/// The ends of the field: up to the first planted ground, or to its first mark where the changeover
/// there fills the plate.
fn ends(inputs: &Inputs, common: &Common) -> Vec<End> {
    let units = &common.units;
    let room = |name: &'static str, tag: &'static str, headland: &Length| {
        let ground = units.length(name, headland);
        let alley = inputs.alley.as_ref().filter(|_| inputs.fills == Fills::AtFirstMark);
        let room = match alley {
            Some(alley) => (ground - units.length("alley", alley) / Value::constant(2.0))
                .named(["ground up to the first mark", tag].concat()),
            None => ground,
        };
        End { name: if tag.is_empty() { "start line" } else { "far edge" }, tag, room }
    };
    let Some(headland) = &inputs.headland else { return vec![] };
    let far = inputs.end_headland.as_ref().unwrap_or(headland);
    vec![room("headland", "", headland), room("end headland", ", far edge", far)]
}

fn too_short(
    common: &Common,
    ways: &Ways,
    end: &End,
    left: &Value,
    always: bool,
    outcome: &mut Outcome,
) {
    let run_up = ways.longest.as_ref().unwrap_or(&ways.run_up);
    let room = ways.room_for_run_up(&end.room);
    let slower = (room.number() > 0.0).then(|| {
        let room = room.named(["room for a run-up", end.tag].concat());
        let allowed = speed_allowed(&ways.speed, &room, run_up);
        let name = ["speed that the headland allows", end.tag].concat();
        common.units.gauge(&allowed.named(name))
    });
    let gauge = slower.as_ref().map(|speed| {
        speed.clone().named(["speed that the headland allows, on the gauge", end.tag].concat())
    });
    let drive = gauge.as_ref().map_or_else(
        || "no speed is slow enough".to_owned(),
        |speed| {
            // Never more than what has room.
            let tenths = (speed.number() * 10.0).floor() / 10.0;
            format!("drive at {} {} or slower", brief(tenths), speed.unit_text())
        },
    );
    // A few in a hundred starts take longer than the longest that is reckoned with.
    let how = match (&ways.longest, always) {
        (None, _) => "",
        (Some(_), true) => " up to",
        (Some(_), false) => " at times up to",
    };
    let words = format!(
        "the ground at the {} is{how} {} short of what a pass needs before its first plot",
        end.name,
        in_words(&left.magnitude())
    );
    outcome.warnings.push(HEADLAND_SHORT.with(words.clone()));
    outcome.values.extend(gauge);
    if outcome.next.is_none() {
        let instruction = format!(
            "{words}: {drive}, or leave that much more headland, or let a border range begin below \
             speed or bare; a calibration holds for one speed"
        );
        outcome.next = Some(Next::only(CALCULATION, instruction));
    }
}
