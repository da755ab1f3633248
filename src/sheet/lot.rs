//! `[[lot]]`: the seed of one entry.

use std::ops::Range;

use crate::calculations::packets::AtHand;
use crate::quantity::MassUnit;
use crate::quantity::bounds;

use super::packets::{Seed, seed};
use super::reader::{Reader, Section, counted, measure, text, whole};
use super::{Placed, codes};

/// One lot; the name is missing where it could not be read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) span: Range<usize>,
    pub(super) name: Option<Placed<String>>,
    pub(super) entry: Option<Placed<u32>>,
    pub(super) at_hand: Option<AtHand>,
    /// Where `mass` stands, which needs the weight of a seed.
    pub(super) mass: Option<Range<usize>>,
    pub(super) seed: Seed,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    let name = table.required(reader, "name", "\"entry 1\"", text);
    let name = name.map(|value| Placed { value, span: table.place("name") });
    let seeds = table.optional(reader, "seeds", counted(&bounds::SEEDS_AT_HAND));
    let mass = table.placed(reader, "mass", measure::<MassUnit>(&bounds::MASS_AT_HAND));
    if table.has("seeds") && table.has("mass") {
        let message = "`seeds` and `mass` both say how much of the lot is at hand";
        reader.say(&codes::CONFLICT, table.place("mass"), message, "keep one of them");
    }
    Table {
        span: table.span(),
        name,
        entry: table.placed(reader, "entry", whole(&bounds::ENTRIES)),
        mass: mass.as_ref().map(|mass| mass.span.clone()),
        at_hand: seeds.map(AtHand::Seeds).or(mass.map(|mass| AtHand::Mass(mass.value))),
        seed: seed(reader, table),
    }
}
