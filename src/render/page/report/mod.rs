//! The report: what it is about and who signs it, every change, every reading, what was worked out,
//! and the arithmetic as an appendix.

mod history;
mod identity;
mod readings;

use std::collections::BTreeSet;

use crate::outcome::Outcome;
use crate::outcome::cautions::MANUAL_FIRST;
use crate::render::drawing::Scene;
use crate::render::said_once;
use crate::render::{harmless, text};
use crate::working::Step;

use super::blocks::{Block, Grid, cautions};
use super::in_force::STYLE;
use super::material::Material;
use super::rehearsal;

pub(super) fn blocks(material: &Material<'_>) -> Vec<Block> {
    // Layout and packets belong to no working order, and stand at the end.
    let beside = material.stakes.into_iter().chain(material.packets);
    let outcomes: Vec<&Outcome> = material.report.outcomes.iter().chain(beside).collect();
    let mut blocks = first_page(material, &outcomes);
    blocks.push(Block::NewPage);
    blocks.push(Block::Heading("Cautions".into()));
    blocks.extend(cautions(outcomes.iter().copied(), &[&MANUAL_FIRST]));
    blocks.extend(warnings(&outcomes, material));
    blocks.extend(history::history(material));
    blocks.extend(readings::readings(material));
    blocks.extend(readings::deviations(material));
    blocks.extend(readings::entries());
    for outcome in &outcomes {
        section(&mut blocks, outcome);
    }
    if let Some(grid) = material.rehearsal.and_then(rehearsal::out_by_kind) {
        blocks.extend([Block::Heading("Rehearsal".into()), grid]);
    }
    blocks.extend(appendix(&outcomes));
    blocks
}

/// What whoever files it looks for, and who signs.
fn first_page(material: &Material<'_>, outcomes: &[&Outcome]) -> Vec<Block> {
    let mut blocks = vec![identity::identity(material)];
    // Also of the files that the sheet names: its numbers come from there too.
    blocks.extend(material.sums.iter().map(|(name, sum)| match name {
        None => Block::Named("SHA-256", sum.clone()),
        Some(name) => Block::Named("SHA-256", format!("{sum} of {}", harmless(name))),
    }));
    if outcomes.is_empty() {
        blocks.push(Block::Words(
            "Nothing was measured yet. The run forms have blanks for what this sheet takes; typed \
             into the sheet, they give a report."
                .into(),
        ));
    }
    blocks.extend(identity::settings(material));
    if !material.report.outcomes.is_empty() {
        blocks.push(Block::Named("Next", harmless(&text::next_words(material.report))));
    }
    blocks.extend(identity::holds(material));
    let rehearsed = material.rehearsal.and_then(rehearsal::in_short);
    blocks.extend(rehearsed.map(|words| Block::Named("Rehearsal", words)));
    blocks.extend(identity::tolerances(material));
    blocks.push(identity::signatures());
    blocks
}

/// The arithmetic, line by line; a line that stands further up is not printed twice.
fn appendix(outcomes: &[&Outcome]) -> Vec<Block> {
    let workings: Vec<Vec<Step>> = outcomes.iter().map(|outcome| outcome.working()).collect();
    let mut printed = BTreeSet::new();
    let mut blocks = vec![];
    for (outcome, working) in outcomes.iter().zip(&workings) {
        let new = working.iter().filter(|step| printed.insert((*step).identity()));
        let lines: Vec<Block> = new
            .map(|step| Block::Working(harmless(step.name()), text::pieces(step, STYLE)))
            .collect();
        if !lines.is_empty() {
            blocks.push(Block::Heading(format!(
                "Arithmetic: {}",
                outcome.calculation.title.to_lowercase()
            )));
            blocks.extend(lines);
        }
    }
    if !blocks.is_empty() {
        blocks.insert(0, Block::NewPage);
    }
    blocks
}

/// One calculation: pictures, how sure, tables.
fn section(blocks: &mut Vec<Block>, outcome: &Outcome) {
    blocks.push(Block::Heading(outcome.calculation.title.into()));
    let before = outcome.pictures.iter().filter(|picture| !picture.is_of_a_table());
    blocks.extend(before.map(|picture| Block::Picture(Scene::of(picture))));
    if let Some(judgement) = &outcome.judgement {
        blocks.push(Block::Words(format!("How sure: {}.", harmless(&text::sure_words(judgement)))));
        blocks.extend(Scene::interval(judgement).map(Block::Picture));
    }
    let singles = text::singles_words(outcome);
    blocks.extend(singles.into_iter().map(|line| Block::Words(format!("{}.", harmless(&line)))));
    // A picture that says a table in full stands for it; lists of every plot go elsewhere.
    let said = |key| outcome.pictures.iter().any(|picture| picture.says() == Some(key));
    for table in outcome.tables.iter().filter(|table| !said(table.key)) {
        if text::ABRIDGED.contains(&table.key) {
            let (title, count) = (harmless(&table.title), table.rows.len());
            blocks.push(Block::Words(format!(
                "{title}: {count} rows, by --format csv --table {}",
                table.key
            )));
        } else {
            blocks.push(Block::Grid(Grid::from(table)));
        }
    }
    let after = outcome.pictures.iter().filter(|picture| picture.is_of_a_table());
    blocks.extend(after.map(|picture| Block::Picture(Scene::of(picture))));
}

fn warnings(outcomes: &[&Outcome], material: &Material<'_>) -> Vec<Block> {
    let all = said_once::warnings(outcomes.iter().copied(), material.remarks, material.source);
    let line = |one: &said_once::Said| Block::Words(format!("- {}", harmless(&one.line())));
    let lines: Vec<Block> = all.iter().map(line).collect();
    if lines.is_empty() {
        return vec![];
    }
    let heading = Block::Heading("Warnings".into());
    std::iter::once(heading).chain(lines).collect()
}
