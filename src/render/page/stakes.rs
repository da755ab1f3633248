//! The stakes: where marks go, what the field measures, the plan with its plots.

use crate::outcome::Outcome;
use crate::render::drawing::Scene;
use crate::render::{harmless, text};

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
    blocks.extend(outcome.pictures.iter().map(|picture| Block::Picture(Scene::of(picture))));
    for warning in &outcome.warnings {
        blocks.push(Block::Words(format!("- {}", harmless(&warning.message))));
    }
    let table = |key: &str| outcome.tables.iter().find(|table| table.key == key);
    if let Some(marks) = table("marks") {
        blocks.push(Block::NewPage);
        blocks.push(Block::Grid(Grid {
            ticks: vec!["left", "right"],
            strong: Some(2),
            ..Grid::from(marks)
        }));
    }
    blocks.push(Block::Words(
        "The marks are set by one tape that lies still from the start line, at both edges of the \
         field, and sighted across. The list of all plots with their corners: `alleytrue stakes \
         --format csv --table plots`."
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

/// The lengths and areas of the field, each as the working has it.
fn measures(outcome: &Outcome) -> Vec<(String, String)> {
    // What a wrong length does to the yield belongs to the report, with its arithmetic.
    let named = |value: &crate::working::Value| {
        let name = value.name().filter(|name| !name.starts_with("yield"))?;
        Some((harmless(name), text::with_unit(value)))
    };
    outcome.values.iter().filter_map(named).collect()
}
