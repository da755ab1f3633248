//! The checklist of the season, part by part.

use crate::paper::checklist::{self, Entry};
use crate::render::harmless;

use super::blocks::Block;
use super::material::Material;

pub(super) fn blocks(material: &Material<'_>) -> Vec<Block> {
    let mut blocks = vec![Block::Words(
        "General practice of the trade, in an order in which each step rests on the one before. \
         The machine's manual, the seed tag, local rules and trained people go before it. The word \
         behind an item is its name for `leave-out` under [checklist] in the sheet."
            .into(),
    )];
    for (heading, entries) in checklist::list(&material.sheet.facts) {
        blocks.push(Block::Heading(heading.into()));
        blocks.extend(entries.into_iter().map(|entry| match entry {
            Entry::Tick { name, text } => Block::Tick(harmless(&text), name),
            Entry::Caution(caution) => Block::Caution(caution),
        }));
    }
    blocks.push(Block::Room("Worn, missing, to be ordered".into(), 5));
    blocks
}
