//! Labels of the packets, in driving order, on sheets of labels by their dimensions.

use crate::outcome::{Cell, Table};
use crate::render::{harmless, text};

use super::blocks::{Block, Labels};
use super::label_sheet::LabelSheet;
use super::material::Material;

/// A label for every packet.
pub(super) fn blocks(material: &Material<'_>, sheet: LabelSheet) -> Vec<Block> {
    let table = material.packets.and_then(|outcome| {
        outcome
            .tables
            .iter()
            .find(|table| table.key == crate::calculations::packets::IN_DRIVING_ORDER)
    });
    let Some(table) = table else {
        return vec![Block::Words("The sheet has no packets to label.".into())];
    };
    let title = material.sheet.title.as_deref().unwrap_or_default();
    let all = table.rows.iter().map(|row| label(table, row, title)).collect();
    vec![Block::Labels(Labels { sheet, all })]
}

/// The lines of one label.
fn label(table: &Table, row: &[Cell], title: &str) -> Vec<String> {
    let cell = |key: &str| {
        let column = table.columns.iter().position(|column| column.key == key);
        let cell = column.and_then(|column| row.get(column));
        cell.filter(|cell| !matches!(cell, Cell::Empty)).map(|cell| harmless(&text::cell(cell)))
    };
    let named = |name: &str, key: &str| cell(key).map(|value| format!("{name} {value}"));
    let first = match (named("plot", "plot"), named("entry", "entry")) {
        (Some(plot), Some(entry)) => format!("{plot}  {entry}"),
        (Some(plot), None) => format!("{plot}  filler"),
        (None, _) => cell("kind").unwrap_or_default(),
    };
    let place = [named("pass", "pass"), cell("heading"), named("range", "range")];
    let place: Vec<String> = place.into_iter().flatten().collect();
    let of_plot = named("packet", "packet").filter(|_| has_several(table));
    let amount = [
        named("", "seeds").map(|seeds| format!("{} seeds", seeds.trim())),
        cell("grams").map(|mass| format!("{mass} g")),
    ];
    let amount: Vec<String> = amount.into_iter().flatten().chain(of_plot).collect();
    let lines = [
        first,
        cell("lot").unwrap_or_default(),
        amount.join(", "),
        place.join(", "),
        cell("treatment").unwrap_or_default(),
        harmless(title),
    ];
    lines.into_iter().filter(|line| !line.is_empty()).collect()
}

/// Whether a plot has more than one packet.
fn has_several(table: &Table) -> bool {
    let column = table.columns.iter().position(|column| column.key == "packet");
    let second = |row: &Vec<Cell>| {
        column
            .is_some_and(|column| matches!(row.get(column), Some(Cell::Count(count)) if *count > 1))
    };
    table.rows.iter().any(second)
}
