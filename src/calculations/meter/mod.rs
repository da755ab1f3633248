//! The meter in the shop: multiples and misses of a plate that is turned over a tray or before a camera,
//! row by row and vacuum by vacuum, with their intervals; and how many places to look at.
//!
//! Every place of the plate that passes release should let go one seed. Two or more are a multiple, none a
//! miss. Which plate and which vacuum a seed takes is known of each machine and of no machine in
//! general: its manual says where to start, and a ladder of vacuums where to end.

mod formulas;
mod groups;
mod inputs;
mod ladder;

use super::calculate::{Calculate, Entry};
use super::common::Common;
use super::sprockets::SearchError;
use crate::outcome::cautions::{
    CLEAR_OF_METERS, EXHAUST_DUST, HEARING, MANUAL_FIRST, RUN_DOWN, SEED_TAG, STOP_FIRST,
};
use crate::outcome::warning::{ROW_APART, WarningKind};
use crate::outcome::{Cell, Column, Next, Outcome, Table};
use crate::quantity::{Unit, brief};
use crate::statistics::{Confidence, CountInterval, Counted as Share, Summary, shares_apart};
use crate::working::Value;

use groups::{Group, Shares, groups, several};

pub use formulas::{fill, places_to_count};
pub use inputs::{CALCULATION, Caught, Counted, Inputs, Vacuum, With};

/// Places of one meter below which its shares say little: a repeat of ISO 7256-1:1984.
const ENOUGH: f64 = 250.0;
/// Half widths that places are counted out for, in per cent. Common practice, no source.
const WIDTHS: [f64; 3] = [0.5, 1.0, 2.0];

/// The remark `few-places`.
pub static FEW_PLACES: WarningKind = WarningKind {
    code: "few-places",
    meaning: "A meter was looked at over fewer than 250 places, which ISO 7256-1:1984 asks of each repeat. \
              Its interval is wide, and a row that is bad may not stand apart. Count on: the \
              table says how many places tell a share to within half a per cent, one or two.",
    example: "[[meter-run]] with positions = 100 and misses = [3].",
};

/// Shares of every meter, rows held against each other, the ladder of vacuums, places to count.
#[must_use]
pub fn calibrate(inputs: &Inputs, common: &Common) -> Outcome {
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = vec![
        &MANUAL_FIRST,
        &STOP_FIRST,
        &CLEAR_OF_METERS,
        &RUN_DOWN,
        &EXHAUST_DUST,
        &HEARING,
        &SEED_TAG,
    ];
    let all = groups(inputs);
    if !all.is_empty() {
        by_meter(&all, common, &mut outcome);
        let odd = rows_apart(&all, common, &mut outcome);
        let ladder = ladders(&all, inputs.vacuum.as_deref(), common, &mut outcome);
        let few = few(&all, &mut outcome);
        to_count(&all, common, &mut outcome);
        outcome.next = odd.or(ladder).or(few);
    }
    caught(inputs, common, &mut outcome);
    outcome
}

/// The shares of every meter at every vacuum.
fn by_meter(all: &[Group<'_>], common: &Common, outcome: &mut Outcome) {
    let many = several(all);
    let mut rows = vec![];
    for one in all {
        let tag = one.with.tag(many);
        let Some(shares) = Shares::of(&[one], &tag, common.confidence) else { continue };
        let number = |value: &Value| Cell::Number(value.number(), 2);
        let mut row = if many { vec![Cell::Text(one.with.of())] } else { vec![] };
        row.extend([
            Cell::Text(one.with.gauge()),
            one.with.row.map_or(Cell::Empty, Cell::Count),
            number_of(one.positions),
        ]);
        for share in [&shares.multiples, &shares.misses] {
            row.extend(share.values().iter().map(number));
            outcome.values.extend(share.values());
        }
        rows.push(row);
    }
    let mut columns =
        if many { vec![Column::new("plate_and_seed", "plate, lot", "")] } else { vec![] };
    columns.extend([
        Column::new("vacuum", "vacuum", ""),
        Column::new("row", "row", ""),
        Column::new("places", "places", ""),
        Column::new("multiples_percent", "multiples", "%"),
        Column::new("multiples_low_percent", "low", "%"),
        Column::new("multiples_high_percent", "high", "%"),
        Column::new("misses_percent", "misses", "%"),
        Column::new("misses_low_percent", "low", "%"),
        Column::new("misses_high_percent", "high", "%"),
    ]);
    let title =
        format!("Places of the plate with two seeds or none (intervals: {})", common.confidence);
    outcome.tables.push(Table { key: "meter", title, columns, rows });
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a count within its bounds
fn number_of(count: f64) -> Cell {
    Cell::Count(count as u32)
}

/// Rows that stand apart at one vacuum with one plate and lot. What the confidence leaves is shared out
/// over all of them and over multiples and misses.
fn rows_apart(all: &[Group<'_>], common: &Common, outcome: &mut Outcome) -> Option<Next> {
    let settings = settings(all);
    let confidence = common.confidence.for_each_of(2 * settings.len())?;
    let mut next = None;
    for (with, tag) in settings {
        let own = all.iter().filter(|one| one.with.row.is_some());
        let own: Vec<&Group<'_>> =
            own.filter(|one| one.with.of() == with.0 && one.with.gauge() == with.1).collect();
        for (what, of) in [
            ("multiples", (|shares: &Shares| &shares.multiples_counted) as fn(&Shares) -> &Value),
            ("misses", |shares| &shares.misses_counted),
        ] {
            next = next.or(apart(&own, what, of, &tag, confidence, outcome));
        }
    }
    next
}

/// Plate and lot with a vacuum, as often as they differ, and what they are called.
fn settings(all: &[Group<'_>]) -> Vec<((String, String), String)> {
    let many = several(all);
    let mut found: Vec<((String, String), String)> = vec![];
    for one in all {
        let with = (one.with.of(), one.with.gauge());
        if !found.iter().any(|(known, _)| *known == with) {
            let plain = With { row: None, ..one.with.clone() };
            found.push((with, plain.tag(many)));
        }
    }
    found
}

fn apart(
    own: &[&Group<'_>],
    what: &str,
    of: fn(&Shares) -> &Value,
    tag: &str,
    confidence: Confidence,
    outcome: &mut Outcome,
) -> Option<Next> {
    let share = |one: &&Group<'_>| {
        let row = one.with.row?;
        let name = format!("{what} of row {row}{tag}");
        let shares = Shares::of(&[one], &format!(", row {row}{tag}"), confidence)?;
        Some(Share { name, counted: of(&shares).clone(), all: shares.positions.clone() })
    };
    let shares: Vec<Share> = own.iter().filter_map(share).collect();
    let mut next = None;
    for found in shares_apart(&shares, confidence) {
        let row = own.get(found.place).and_then(|one| one.with.row)?;
        let off = found.difference.number();
        let words = format!(
            "row {row}{tag}: {what} {} % {} the other rows; chance alone stays within {} %",
            brief(off.abs()),
            if off > 0.0 { "above" } else { "below" },
            brief(found.half_width.number())
        );
        outcome.warnings.push(ROW_APART.with(words.clone()));
        outcome.values.extend([found.difference, found.half_width]);
        if off > 0.0 && next.is_none() {
            let look = "look at its meter: seal, singulator or brush, plate, vacuum line";
            next = Some(Next::only(CALCULATION, format!("{words}; {look}; then count it again")));
        }
    }
    next
}

/// The ladder of every plate and lot; the first of them that has one says what is next.
fn ladders(
    all: &[Group<'_>],
    held: Option<&str>,
    common: &Common,
    outcome: &mut Outcome,
) -> Option<Next> {
    let many = several(all);
    let mut names: Vec<String> = vec![];
    for one in all {
        if !names.contains(&one.with.of()) {
            names.push(one.with.of());
        }
    }
    let mut next = None;
    for name in names {
        let own: Vec<&Group<'_>> = all.iter().filter(|one| one.with.of() == name).collect();
        let of = if many { name.as_str() } else { "" };
        let found = ladder::add(&own, held, of, many, common, outcome);
        next = next.or(found);
    }
    next
}

/// Meters that were looked at over too few places.
fn few(all: &[Group<'_>], outcome: &mut Outcome) -> Option<Next> {
    let many = several(all);
    let few = all.iter().filter(|one| one.positions < ENOUGH);
    let named: Vec<String> = few
        .map(|one| {
            let tag = one.with.tag(many);
            let tag = tag.trim_start_matches(", ");
            let of = if tag.is_empty() { String::new() } else { format!("{tag}: ") };
            format!("{of}{} places", brief(one.positions))
        })
        .collect();
    if named.is_empty() {
        return None;
    }
    let words = format!("fewer than the 250 places that ISO 7256-1 asks for: {}", named.join("; "));
    outcome.warnings.push(FEW_PLACES.with(words.clone()));
    Some(Next::only(CALCULATION, format!("{words}: count on")))
}

/// The shares of all rows with the plate, lot and vacuum that has the least faults.
fn best_setting(all: &[Group<'_>], common: &Common) -> Option<(Shares, String)> {
    let of = |(with, tag): ((String, String), String)| {
        let own = all.iter().filter(|one| one.with.of() == with.0 && one.with.gauge() == with.1);
        let own: Vec<&Group<'_>> = own.collect();
        Some((Shares::of(&own, &format!(", all rows{tag}"), common.confidence)?, tag))
    };
    let found = settings(all).into_iter().filter_map(of);
    let faults = |(shares, _): &(Shares, String)| shares.faults.share.number();
    found.min_by(|a, b| faults(a).total_cmp(&faults(b)))
}

/// How many places tell its shares to within some widths.
fn to_count(all: &[Group<'_>], common: &Common, outcome: &mut Outcome) {
    let Some((shares, tag)) = best_setting(all, common) else { return };
    let mut rows = vec![];
    for width in WIDTHS {
        let within = Value::constant(width / 100.0)
            .named(format!("half width of {} %, as a share", brief(width)));
        let of = |what: &str, share: &Value| {
            // With none found, as few as there may be by the interval.
            let places = places_to_count(&share.in_unit(Unit::ONE), &within, common.confidence)?;
            let width = brief(width);
            let places = places.named(format!("{what} to within {width} % take"));
            Some(places.rounded_up().named(format!("places for {what} to within {width} %")))
        };
        let either = |share: &crate::statistics::Share| match share.share.number() {
            found if found > 0.0 => share.share.clone(),
            _ => share.high.clone(),
        };
        let both =
            [of("multiples", &either(&shares.multiples)), of("misses", &either(&shares.misses))];
        outcome.values.extend(both.iter().flatten().cloned());
        let [multiples, misses] =
            both.map(|found| found.map_or(Cell::Empty, |found| number_of(found.number())));
        rows.push(vec![Cell::Number(width, 1), multiples, misses]);
    }
    outcome.tables.push(Table {
        key: "places-to-count",
        title: format!("Places to look at{tag}, so that the share is known to within"),
        columns: vec![
            Column::new("within_percent", "within", "%"),
            Column::new("multiples", "multiples", "places"),
            Column::new("misses", "misses", "places"),
        ],
        rows,
    });
}

/// The fill by seeds that were caught: how many a cell, which hides a miss behind a multiple.
fn caught(inputs: &Inputs, common: &Common, outcome: &mut Outcome) {
    let mut rows = vec![];
    for (number, run) in (1..).zip(&inputs.caught) {
        let tag = format!("{}, catch {number}", run.with.tag(true));
        let seeds: Vec<Value> = run.seeds.iter().map(|seeds| Value::counted(*seeds)).collect();
        let subject = format!("seeds caught{tag}");
        let Some(summary) = Summary::of(&subject, &seeds, common.confidence) else { continue };
        let turns = Value::typed(format!("turns{tag}"), run.turns, Unit::ONE);
        let cells = Value::typed("cells", run.cells, Unit::ONE);
        let of = |seeds: &Value, end: &str| {
            fill(seeds, &turns, &cells).in_percent().named(format!("fill{tag}{end}"))
        };
        let mean = of(&summary.mean, "");
        let one = Value::constant(1.0);
        let ends = CountInterval::of(&subject, &summary, &one, common.confidence)
            .map(|interval| [of(&interval.low, ", low"), of(&interval.high, ", high")]);
        let cell = |value: Option<&Value>| {
            value.map_or(Cell::Empty, |value| Cell::Number(value.number(), 2))
        };
        let [low, high] = [0, 1].map(|end| cell(ends.as_ref().map(|ends| &ends[end])));
        rows.push(vec![
            Cell::Text(run.with.gauge()),
            run.with.row.map_or(Cell::Empty, Cell::Count),
            Cell::Text(run.with.of()),
            cell(Some(&mean)),
            low,
            high,
        ]);
        outcome.values.push(mean);
        outcome.values.extend(ends.into_iter().flatten());
    }
    if rows.is_empty() {
        return;
    }
    outcome.tables.push(Table {
        key: "fill",
        title: "Seeds caught for each cell; a multiple hides a miss here".into(),
        columns: vec![
            Column::new("vacuum", "vacuum", ""),
            Column::new("row", "row", ""),
            Column::new("plate_and_seed", "plate, lot", ""),
            Column::new("fill_percent", "fill", "%"),
            Column::new("low_percent", "low", "%"),
            Column::new("high_percent", "high", "%"),
        ],
        rows,
    });
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "meter",
    about: "Multiples and misses of the meters in the shop, and the vacuum to set",
    lacks: "[[meter-run]] that can be used",
    advice: "add a [[meter-run]] with `row`, `vacuum`, `positions = 250`, `multiples = [...]` and `misses = [...]`",
    has_readings: false,
    runs: &["meter-run"],
    warnings: &[&FEW_PLACES],
    tolerances: &[],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        Ok(vec![calibrate(self, common)])
    }
}
