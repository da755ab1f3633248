//! The stakes: where marks go, what the field measures, the plan with its plots.

use crate::outcome::wording::as_a_tape_has_it;
use crate::outcome::{Cell, Outcome, Table};
use crate::render::drawing::Scene;
use crate::render::harmless;
use crate::working::Value;

use super::blocks::{Block, Grid};
use super::material::Material;

pub(super) fn blocks(material: &Material<'_>) -> Vec<Block> {
    let Some(outcome) = material.stakes else {
        return vec![Block::Words("The sheet has no [layout] to stake.".into())];
    };
    let mut blocks = vec![];
    blocks.extend(
        outcome.next.iter().map(|next| Block::Next(format!("{}.", harmless(&next.instruction)))),
    );
    blocks.push(Block::Facts(measures(outcome)));
    for warning in &outcome.warnings {
        blocks.push(Block::Words(format!("- {}", harmless(&warning.message))));
    }
    let scenes: Vec<Scene> = outcome.pictures.iter().map(Scene::of).collect();
    blocks.extend(scenes.iter().cloned().map(Block::Picture));
    let table = |key: &str| outcome.tables.iter().find(|table| table.key == key);
    // A field whose numbers don't fit on a page stands on as many as it takes.
    let sheets = scenes.iter().flat_map(|scene| match scene {
        Scene::Field(view) => view.sheets(),
        _ => vec![],
    });
    for sheet in sheets {
        blocks.push(Block::NewPage);
        blocks.push(Block::Picture(Scene::Field(sheet)));
    }
    if let Some(marks) = table("marks") {
        blocks.push(Block::NewPage);
        blocks.push(Block::Grid(Grid {
            ticks: vec!["left", "right"],
            strong: Some(2),
            ..Grid::from(&as_wide_as_paper(marks))
        }));
    }
    blocks.push(Block::Words(
        "The marks are set by one tape that lies still from the start line, at the left and at the \
         right edge, and sighted across. Both diagonals to a mark are as long as the table says, or \
         the field is out of square: the longest that the tape reaches says most. All plots with \
         their corners are in the list of plots that the program writes for spreadsheets."
            .into(),
    ));
    blocks.push(Block::Room(
        "Staked by, on, against what line; corners left in the ground".into(),
        4,
    ));
    let more = ["field-corners", "mark-points"].into_iter().filter_map(table);
    blocks.extend(more.map(|table| Block::Grid(Grid::from(table))));
    blocks
}

/// The marks without the diagonals in the other unit where there is a column more: paper has no room for
/// all.
fn as_wide_as_paper(marks: &Table) -> Table {
    let own = marks.columns.iter().find_map(|column| column.key.strip_prefix("apart_"));
    let other = match own {
        None => return marks.clone(),
        Some("m") => "diagonal_feet_inches",
        Some(_) => "diagonal_m",
    };
    let keep = |place: &usize| marks.columns.get(*place).is_some_and(|column| column.key != other);
    let kept: Vec<usize> = (0..marks.columns.len()).filter(keep).collect();
    let row = |row: &Vec<Cell>| kept.iter().filter_map(|place| row.get(*place).cloned()).collect();
    Table {
        columns: kept.iter().filter_map(|place| marks.columns.get(*place).cloned()).collect(),
        rows: marks.rows.iter().map(row).collect(),
        ..marks.clone()
    }
}

/// The lengths and areas of the field, each as the working has it.
fn measures(outcome: &Outcome) -> Vec<(String, String)> {
    // What a wrong length does to the yield belongs to the report, with its arithmetic.
    let named = |value: &Value| {
        let name = value.name().filter(|name| !name.starts_with("yield"))?;
        Some((harmless(name), as_a_tape_has_it(value)))
    };
    outcome.values.iter().filter_map(named).collect()
}
