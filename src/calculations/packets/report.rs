//! The packets as tables, as warnings and as the next step.

use crate::quantity::{Mass, MassUnit, MeasureUnit, SeedRate, clean, plain, shown};
use crate::working::Value;

use super::ground::Ground;
use super::inputs::{CALCULATION, Inputs, Per, Rate};
use super::packet::Packet;
use super::sizes::Sizes;
use super::stock::{Short, Stock};
use super::totals::Totals;
use crate::outcome::warning::SEED_SHORT;
use crate::outcome::wording::{in_words, with_unit};
use crate::outcome::{Cell, Column, Next, Outcome, Table};

/// Decimals of the balance; two without one.
pub(super) fn places(step: Option<&Mass>) -> usize {
    let step = step.map(|step| plain(clean(step.value_in(MassUnit::Gram))));
    step.map_or(2, |step| step.split_once('.').map_or(0, |(_, decimals)| decimals.len()))
}

/// A whole number in full.
pub(super) fn brief_whole(value: &Value) -> String {
    shown(value.number())
}

fn lacks(stock: &Stock<'_>, short: &Short) -> String {
    let mass = short.mass.as_ref().map_or(String::new(), |mass| format!(" ({})", in_words(mass)));
    format!("{} (entry {}) by {}{mass}", stock.lot.name, stock.lot.entry, with_unit(&short.seeds))
}

pub(super) fn fall_short(stocks: &[Stock<'_>], outcome: &mut Outcome) {
    let all: Vec<String> = stocks
        .iter()
        .filter_map(|stock| stock.short.as_ref().map(|short| lacks(stock, short)))
        .collect();
    if !all.is_empty() {
        outcome.warnings.push(SEED_SHORT.with(format!("seed falls short of: {}", all.join(", "))));
    }
}

pub(super) fn in_short(
    ground: &Ground,
    sizes: &Sizes,
    counts: &[u32],
    totals: &Totals,
    mass: Option<&Value>,
    stocks: &[Stock<'_>],
    inputs: &Inputs,
) -> Next {
    let short: Vec<&str> = stocks
        .iter()
        .filter(|stock| stock.short.is_some())
        .map(|stock| stock.lot.name.as_str())
        .collect();
    let drive = match &inputs.rate {
        Rate::Seeds(_) => String::new(),
        Rate::Plants(plants) => {
            // In the unit of the stand, which the sheet can take back.
            let unit = match &plants.stand {
                SeedRate::Area(stand) => stand.unit().compound(),
                SeedRate::Row(stand) => stand.unit().compound(),
            };
            let rate = with_unit(&ground.seeds.in_unit(unit).named_as("population", "seeds"));
            format!("; the drive has to be set for {rate}: write that as `population`")
        }
    };
    if !short.is_empty() {
        let short = short.join(", ");
        let words = "before anything is packed, get more seed of";
        return Next::only(
            CALCULATION,
            format!("{words} {short}, or plant fewer reps of it{drive}"),
        );
    }
    let own = inputs.lots.iter().any(|lot| lot.weight.is_some());
    let mass = match mass {
        _ if own => ", by the mass in the list of lots".into(),
        Some(mass) => format!(" ({})", with_unit(mass)),
        None => String::new(),
    };
    let seeds = with_unit(&sizes.own().seeds);
    let packets = if counts.iter().skip(1).all(|count| *count == 0) {
        format!("{} packets of {seeds}{mass}", brief_whole(&totals.packets))
    } else {
        let of_size = |(size, count): (&super::sizes::Size, &u32)| {
            let plots = size.of.strip_suffix(": ").unwrap_or("plots of the trial's own length");
            format!("{count} packets of {} for {plots}", with_unit(&size.packet.seeds))
        };
        let all = sizes.iter().zip(counts).filter(|(_, count)| **count > 0).map(of_size);
        all.collect::<Vec<_>>().join(", ")
    };
    Next::only(CALCULATION, format!("pack {packets}{drive}"))
}

pub(super) fn lot_columns() -> Vec<Column> {
    vec![
        Column::new("name", "lot", ""),
        Column::new("entry", "entry", ""),
        Column::new("packet_seeds", "packet", "seeds"),
        Column::new("packet_g", "packet", "g"),
        Column::new("needed_seeds", "needed", "seeds"),
        Column::new("at_hand_seeds", "at hand", "seeds"),
        Column::new("short_seeds", "short", "seeds"),
        Column::new("short_g", "short", "g"),
        Column::new("verdict", "verdict", ""),
    ]
}

/// What a row, a plot, an entry, a rep and the trial take.
pub(super) fn totals_table(
    inputs: &Inputs,
    sizes: &Sizes,
    totals: &Totals,
    masses: Option<&[Value]>,
    [rep, trial]: [Option<&Value>; 2],
    places: usize,
) -> Table {
    let packet = sizes.own();
    let mass = masses.and_then(<[Value]>::first);
    let rows_of_plot = &packet.rows_per_plot;
    let rows = |plots: &Value| rows_of_plot * plots;
    let one = Value::constant(1.0);
    let whole = |value: &Value| Cell::Number(value.number(), 0);
    let grams = |value: Option<Value>| {
        value.map_or(Cell::Empty, |value| Cell::Number(value.number(), places))
    };
    let times = |mass: Option<&Value>, count: &Value| mass.map(|mass| mass * count);
    let line = |what: &str, rows: Cell, packets: Cell, seeds: &Value, mass: Cell| {
        vec![Cell::Text(what.into()), rows, packets, whole(seeds), mass]
    };
    let trial_plots = &totals.entries * &totals.reps;
    let mut lines = vec![];
    for (place, size) in sizes.iter().enumerate() {
        let Packet { seeds, to_plot, rows, .. } = &size.packet;
        let mass = masses.and_then(|masses| masses.get(place));
        let (packet, plot) = (size.part("packet"), size.part("plot"));
        lines.push(line(&packet, whole(rows), whole(&one), seeds, grams(mass.cloned())));
        let of_plot = seeds * to_plot;
        let mass = grams(times(mass, to_plot));
        lines.push(line(&plot, whole(rows_of_plot), whole(to_plot), &of_plot, mass));
    }
    if let Some(alike) = &totals.alike {
        lines.push(line(
            "entry",
            whole(&rows(&totals.reps)),
            whole(&alike.packets_of_entry),
            &alike.entry,
            grams(times(mass, &alike.packets_of_entry)),
        ));
        lines.push(line(
            "rep",
            whole(&rows(&totals.entries)),
            whole(&alike.packets_of_rep),
            &alike.rep,
            grams(rep.cloned()),
        ));
    }
    lines.push(line(
        "trial",
        whole(&rows(&trial_plots)),
        whole(&totals.packets),
        &totals.trial,
        grams(trial.cloned()),
    ));
    if inputs.per == Per::Plot {
        let row = &packet.seeds / &packet.rows;
        let mass = mass.map(|mass| mass / &packet.rows);
        let row = vec![
            Cell::Text("row".into()),
            whole(&one),
            Cell::Empty,
            Cell::Number(row.number(), if row.number().fract() == 0.0 { 0 } else { 1 }),
            grams(mass),
        ];
        lines.insert(0, row);
    }
    let title = if inputs.lots.iter().any(|lot| lot.weight.is_some()) {
        "Seed by part of the trial; rep and trial by the weights of the lots"
    } else {
        "Seed by part of the trial"
    };
    Table {
        key: "totals",
        title: title.into(),
        columns: vec![
            Column::new("part", "for a", ""),
            Column::new("rows", "rows", ""),
            Column::new("packets", "packets", ""),
            Column::new("seeds", "seeds", ""),
            Column::new("mass_g", "mass", "g"),
        ],
        rows: lines,
    }
}
