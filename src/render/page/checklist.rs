//! The checklist: the season's list, the day's and that of the test ranges on pages of their own.

use crate::paper::checklist::Part;
use crate::paper::checklist::{self, Entry};
use crate::render::harmless;

use super::blocks::{Block, DayItem};
use super::in_force::after_the_step;
use super::material::Material;

pub(super) fn blocks(material: &Material<'_>) -> Vec<Block> {
    let mut blocks = vec![Block::Words(
        "General practice of the trade, each step resting on the one before. The machine's manual, \
         the seed tag, local rules and trained people go before it. Settings are written as they \
         are once the step on the cab card is done."
            .into(),
    )];
    let lists = checklist::list(&after_the_step(&material.sheet.facts, material.report));
    let of = |parts: &[Part]| {
        let some = lists.iter().filter(|(part, ..)| parts.contains(part));
        some.map(|(_, heading, entries)| (*heading, entries.clone())).collect::<Vec<_>>()
    };
    ticks(&mut blocks, of(&[Part::Shop]));
    blocks.push(Block::Room("Worn, missing, to be ordered".into(), 3));
    blocks.push(Block::NewPage);
    blocks.push(Block::Days(days(of(&[Part::StartUp, Part::EndOfDay]))));
    blocks.push(Block::NewPage);
    ticks(&mut blocks, of(&[Part::SettingUp, Part::TestRanges, Part::AfterChange]));
    blocks
}

fn ticks(blocks: &mut Vec<Block>, lists: Vec<(&'static str, Vec<Entry>)>) {
    for (heading, entries) in lists {
        blocks.push(Block::Heading(heading.into()));
        blocks.extend(entries.into_iter().map(|entry| match entry {
            Entry::Tick { name, text } => Block::Tick(harmless(&text), name),
            Entry::Caution(caution) => Block::Caution(caution),
        }));
    }
}

fn days(lists: Vec<(&'static str, Vec<Entry>)>) -> Vec<DayItem> {
    let of = |(heading, entries): (&'static str, Vec<Entry>)| {
        let items = entries.into_iter().map(|entry| match entry {
            Entry::Tick { name, text } => DayItem::Tick(harmless(&text), name),
            Entry::Caution(caution) => DayItem::Caution(caution),
        });
        std::iter::once(DayItem::Heading(heading)).chain(items).collect::<Vec<_>>()
    };
    lists.into_iter().flat_map(of).collect()
}
