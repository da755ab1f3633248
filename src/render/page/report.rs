//! The report: everything calculated, with its arithmetic and pictures.

use std::collections::BTreeSet;

use crate::outcome::cautions::MANUAL_FIRST;
use crate::outcome::{Outcome, SettingResult, Verdict};
use crate::render::drawing::Scene;
use crate::render::{Style, harmless, text};
use crate::working::Step;

use super::blocks::{Block, Grid, cautions};
use super::material::Material;

const STYLE: Style = Style { ascii: false, colour: false };

pub(super) fn blocks(material: &Material<'_>) -> Vec<Block> {
    // Layout and packets belong to no working order, and stand at the end.
    let beside = material.stakes.into_iter().chain(material.packets);
    let outcomes: Vec<&Outcome> = material.report.outcomes.iter().chain(beside).collect();
    if outcomes.is_empty() {
        return vec![Block::Words(
            "Nothing was measured yet. The run forms have blanks for what this sheet takes; typed \
             into the sheet, they give a report."
                .into(),
        )];
    }
    let rows: Vec<Vec<String>> =
        outcomes.iter().flat_map(|outcome| &outcome.settings).map(setting).collect();
    let mut blocks = vec![];
    if !rows.is_empty() {
        let head = |text: &str| (text.to_owned(), String::new());
        blocks.push(Block::Grid(Grid {
            title: "Settings".into(),
            heads: ["setting", "now", "set", "why"].map(head).into(),
            rows,
            words: vec![0, 3],
            strong: Some(2),
            ..Grid::default()
        }));
    }
    if !material.report.outcomes.is_empty() {
        blocks.push(Block::Next(harmless(&text::next_words(material.report))));
    }
    // Before hands go to the machine, and not behind pages of arithmetic.
    blocks.push(Block::Heading("Cautions".into()));
    blocks.extend(cautions(outcomes.iter().copied(), &[&MANUAL_FIRST]));
    blocks.extend(warnings(&outcomes, material));
    let workings: Vec<Vec<Step>> = outcomes.iter().map(|outcome| outcome.working()).collect();
    let mut printed = BTreeSet::new();
    for (outcome, working) in outcomes.iter().zip(&workings) {
        let new = working.iter().filter(|step| printed.insert((*step).identity()));
        section(&mut blocks, outcome, new);
    }
    blocks
}

fn setting(row: &SettingResult) -> Vec<String> {
    let now = row.now.as_ref().map_or("-".into(), |now| text::as_held(now, STYLE));
    let set = match row.verdict {
        Verdict::Change(_) => text::as_typed_before(row),
        _ => now.clone(),
    };
    let why = match &row.verdict {
        Verdict::Keep(reason) => format!("keep: {reason}"),
        Verdict::Wait(reason) => format!("wait: {reason}"),
        Verdict::Change(reason) | Verdict::Measure(reason) | Verdict::Cause(reason) => {
            reason.clone()
        }
    };
    vec![row.name.clone(), now, set, harmless(&why)]
}

/// One calculation: pictures, arithmetic, how sure, tables.
fn section<'a>(
    blocks: &mut Vec<Block>,
    outcome: &Outcome,
    working: impl Iterator<Item = &'a Step>,
) {
    blocks.push(Block::Heading(outcome.calculation.title.into()));
    let before = outcome.pictures.iter().filter(|picture| !picture.is_of_a_table());
    blocks.extend(before.map(|picture| Block::Picture(Scene::of(picture))));
    if let Some(judgement) = &outcome.judgement {
        blocks.push(Block::Words(format!("How sure: {}.", harmless(&text::sure_words(judgement)))));
        blocks.extend(Scene::interval(judgement).map(Block::Picture));
    }
    let singles = text::singles_words(outcome);
    blocks.extend(singles.into_iter().map(|line| Block::Words(format!("{}.", harmless(&line)))));
    for step in working {
        blocks.push(Block::Working(harmless(step.name()), text::pieces(step, STYLE)));
    }
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
    let of_results = outcomes.iter().flat_map(|outcome| {
        let name = outcome.calculation.title.to_lowercase();
        outcome
            .warnings
            .iter()
            .map(move |warning| (warning.kind.code, format!("{name}: {}", warning.message)))
    });
    let of_sheet = material.remarks.iter().map(|remark| {
        let (line, _) = remark.line_and_column(material.source);
        (remark.code.name, format!("line {line}: {}; {}", remark.message, remark.advice))
    });
    let lines: Vec<Block> = of_results
        .chain(of_sheet)
        .map(|(code, message)| Block::Words(format!("- {} [{code}]", harmless(&message))))
        .collect();
    if lines.is_empty() {
        return vec![];
    }
    let heading = Block::Heading("Warnings".into());
    std::iter::once(heading).chain(lines).collect()
}
