//! The packets one by one in the order in which the planter comes to their plots, and what borders,
//! fillers and test ranges take besides, by lot.

use std::collections::BTreeMap;

use crate::outcome::layout::{Layout, Piece};
use crate::outcome::warning::{ENTRIES_UNEVEN, NOT_RANDOMISED};
use crate::outcome::{Cell, Column, Outcome, Table};
use crate::working::Value;

use super::counts::{Counts, entries, whole};
use super::inputs::{Field, Inputs};
use super::sizes::Sizes;
use super::stock::Stock;

/// Key of the list of packets in driving order.
pub const IN_DRIVING_ORDER: &str = "driving-order";

/// What is said of entries and plots.
pub(super) fn warn(inputs: &Inputs, laid_out: Option<&(&Field, Layout)>, outcome: &mut Outcome) {
    let Some((field, layout)) = laid_out else { return };
    if field.entries.is_none() {
        outcome.warnings.push(NOT_RANDOMISED.with(
            "the list of packets has the entries in their order, rep by rep; name a list of plots \
             with their entries by `plots` in [packets]",
        ));
        return;
    }
    let reps = inputs.reps.as_whole().unwrap_or(0);
    let mut stands: BTreeMap<u32, u32> = BTreeMap::new();
    for entry in entries(inputs, field, layout).into_values() {
        *stands.entry(entry).or_default() += 1;
    }
    let entries = inputs.entries.as_whole().unwrap_or(0);
    let count = |entry: u32| stands.get(&entry).copied().unwrap_or(0);
    let odd: Vec<String> = (1..=entries)
        .filter(|entry| count(*entry) != reps)
        .map(|entry| format!("{entry} on {}", count(entry)))
        .collect();
    if !odd.is_empty() {
        const MOST: usize = 12;
        let more = odd.len().saturating_sub(MOST);
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        let shown = odd[..odd.len().min(MOST)].join(", ");
        outcome.warnings.push(ENTRIES_UNEVEN.with(format!(
            "the list of plots has not every entry on {reps} plots: entry {shown}{more}"
        )));
    }
}

/// One packet.
struct Line<'a> {
    kind: &'static str,
    pass: Option<u32>,
    range: Option<u32>,
    heading: &'static str,
    plot: Option<u32>,
    entry: Option<u32>,
    lot: Option<&'a str>,
    masses: Option<&'a [Value]>,
    /// Length of the plot in metres, none for that of a plot of the trial.
    length: Option<f64>,
    treatment: Option<&'a str>,
}

/// The packets of the field, one a row, in driving order.
pub(super) fn table(
    inputs: &Inputs,
    laid_out: Option<&(&Field, Layout)>,
    sizes: &Sizes,
    stocks: &[Stock<'_>],
    masses: Option<&[Value]>,
    places: usize,
) -> Option<Table> {
    let (field, layout) = laid_out?;
    let entries = entries(inputs, field, layout);
    let of_entry = |entry: u32| stocks.iter().find(|stock| stock.lot.entry == entry);
    let of_name = |name: &str| stocks.iter().find(|stock| stock.lot.name.as_str() == name);
    let length = |near: f64, far: f64| Some(layout.metres(far - near));
    let beside = |kind, name: Option<&'_ String>| -> Line<'_> {
        let stock = name.and_then(|name| of_name(name));
        Line {
            kind,
            pass: None,
            range: None,
            heading: "",
            plot: None,
            entry: None,
            lot: stock.map(|stock| stock.lot.name.as_str()),
            masses: stock.and_then(|stock| stock.masses.as_deref()).or(masses),
            length: None,
            treatment: stock.and_then(|stock| stock.lot.treatment.as_deref()),
        }
    };
    let mut rows = vec![];
    let to_plot = whole(&sizes.own().to_plot);
    let mut add = |line: &Line<'_>, name: Option<&str>| {
        for packet_of_plot in 1..=to_plot {
            rows.push(row(line, name, sizes, packet_of_plot, places));
        }
    };
    for piece in layout.in_driving_order() {
        match piece {
            Piece::Border(border) => {
                let name = inputs.beside.border_lot.as_ref();
                let line = Line {
                    pass: border.pass,
                    range: border.range,
                    heading: border.heading.word(),
                    length: length(border.near, border.far),
                    ..beside("border", name)
                };
                for _ in 0..layout.grid.abreast {
                    add(&line, name.map(String::as_str));
                }
            }
            Piece::Plots(plots) => {
                for plot in plots {
                    let place = |line| Line {
                        pass: Some(plot.pass),
                        range: Some(plot.range),
                        heading: plot.heading.word(),
                        plot: Some(plot.number),
                        length: length(plot.near, plot.far),
                        ..line
                    };
                    let Some(entry) = entries.get(&plot.number).copied() else {
                        let name = inputs.beside.filler_lot.as_ref();
                        add(&place(beside("filler", name)), name.map(String::as_str));
                        continue;
                    };
                    let stock = of_entry(entry);
                    let line = Line {
                        kind: "plot",
                        entry: Some(entry),
                        lot: stock.map(|stock| stock.lot.name.as_str()),
                        masses: stock.and_then(|stock| stock.masses.as_deref()).or(masses),
                        treatment: stock.and_then(|stock| stock.lot.treatment.as_deref()),
                        ..beside("plot", None)
                    };
                    add(&place(line), None);
                }
            }
        }
    }
    let tests = inputs.beside.test_lot.as_ref();
    for _ in 0..inputs.beside.test_plots {
        add(&beside("test", tests), tests.map(String::as_str));
    }
    Some(Table {
        key: IN_DRIVING_ORDER,
        title: "Packets in driving order, then those of test ranges".into(),
        columns: vec![
            Column::new("pass", "pass", ""),
            Column::new("range", "range", ""),
            Column::new("heading", "heading", ""),
            Column::new("plot", "plot", ""),
            Column::new("packet", "packet", ""),
            Column::new("kind", "kind", ""),
            Column::new("entry", "entry", ""),
            Column::new("lot", "lot", ""),
            Column::new("seeds", "seeds", ""),
            Column::new("grams", "mass", "g"),
            Column::new("treatment", "treatment", ""),
        ],
        rows,
    })
}

fn row(
    line: &Line<'_>,
    name: Option<&str>,
    sizes: &Sizes,
    packet_of_plot: u32,
    places: usize,
) -> Vec<Cell> {
    let size = line.length.map_or(0, |length| sizes.place(length));
    let mass = line.masses.and_then(|masses| masses.get(size)).map(Value::number);
    let seeds = sizes.iter().nth(size).map(|size| size.packet.seeds.number());
    let count = |number: Option<u32>| number.map_or(Cell::Empty, Cell::Count);
    let text = |text: Option<&str>| text.map_or(Cell::Empty, |text| Cell::Text(text.into()));
    vec![
        count(line.pass),
        count(line.range),
        text(Some(line.heading).filter(|heading| !heading.is_empty())),
        count(line.plot),
        Cell::Count(packet_of_plot),
        Cell::Text(line.kind.into()),
        count(line.entry),
        // A lot that is in no list goes by its name all the same.
        text(line.lot.or(name)),
        seeds.map_or(Cell::Empty, |seeds| Cell::Number(seeds, 0)),
        mass.map_or(Cell::Empty, |mass| Cell::Number(mass, places)),
        text(line.treatment),
    ]
}

/// What borders, fillers and test ranges take, each with its lot.
pub(super) fn beside(
    inputs: &Inputs,
    counts: &Counts,
    sizes: &Sizes,
    stocks: &[Stock<'_>],
    masses: Option<&[Value]>,
    places: usize,
) -> Option<Table> {
    let beside = &inputs.beside;
    let kinds = [
        ("borders", &counts.borders, &beside.border_lot),
        ("fillers", &counts.fillers, &beside.filler_lot),
        ("test ranges", &counts.tests, &beside.test_lot),
    ];
    let row = |(kind, counts, lot): (&str, &Vec<u32>, &Option<String>)| {
        let stock = lot.as_ref().and_then(|name| stocks.iter().find(|one| one.lot.name == *name));
        let own = stock.and_then(|stock| stock.masses.as_deref()).or(masses);
        let seeds = sizes.seeds(counts, "packets")?;
        let mass = sizes.all(counts, "packets", |place, _| own?.get(place).cloned());
        Some(vec![
            Cell::Text(kind.into()),
            lot.as_ref().map_or(Cell::Empty, |lot| Cell::Text(lot.clone())),
            Cell::Count(counts.iter().sum()),
            Cell::Number(seeds.number(), 0),
            mass.map_or(Cell::Empty, |mass| Cell::Number(mass.number(), places)),
        ])
    };
    let rows: Vec<Vec<Cell>> = kinds.into_iter().filter_map(row).collect();
    (!rows.is_empty()).then(|| Table {
        key: "beside",
        title: "Seed besides the trial".into(),
        columns: vec![
            Column::new("kind", "for", ""),
            Column::new("lot", "lot", ""),
            Column::new("packets", "packets", ""),
            Column::new("seeds", "seeds", ""),
            Column::new("mass_g", "mass", "g"),
        ],
        rows,
    })
}
