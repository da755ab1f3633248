//! `[[lot]]`: the seed of one entry.

use std::ops::Range;

use crate::calculations::packets::AtHand;
use crate::quantity::bounds;
use crate::quantity::{Decimal, Mass, PerMass, Share};

use super::codes;
use super::packets::{self, Seed, SeedKeys};
use super::placed::Placed;
use super::reader::{Key, Keys, Needed, Reader, Section, Text, counted, measure, whole};

pub(super) static KEYS: Keys = Keys {
    name: "lot",
    meaning: "The seed of one entry.",
    notes: "Entries without a lot are packed by [packets].",
    list: &[
        &NAME,
        &ENTRY,
        &SEEDS,
        &MASS,
        &THOUSAND_SEED_WEIGHT,
        &SEED_SIZE,
        &GERMINATION,
        &TREATMENT,
    ],
    shown: &[&NAME, &ENTRY, &SEEDS],
    ..Keys::MANY
};

static NAME: Key<String> = Key {
    name: "name",
    takes: &Text,
    needed: Needed::Always,
    example: "\"entry 1\"",
    meaning: "What the lot is called.",
};
static ENTRY: Key<u32> = Key {
    name: "entry",
    takes: &whole(&bounds::ENTRIES),
    needed: Needed::No,
    example: "17",
    meaning: "Number of the entry; its place in the list without it.",
};
static SEEDS: Key<Decimal> = Key {
    name: "seeds",
    takes: &counted(&bounds::SEEDS_AT_HAND),
    needed: Needed::No,
    example: "3000",
    meaning: "Seeds at hand.",
};
static MASS: Key<Mass> = Key {
    name: "mass",
    takes: &measure(&bounds::MASS_AT_HAND),
    needed: Needed::No,
    example: "\"1.2 kg\"",
    meaning: "Seed at hand, weighed. Not with `seeds`.",
};
static THOUSAND_SEED_WEIGHT: Key<Mass> = Key {
    name: "thousand-seed-weight",
    takes: &measure(&bounds::THOUSAND_SEEDS),
    needed: FOR_MASS,
    example: "\"172 g\"",
    meaning: "Its own, in place of that in [packets].",
};
static SEED_SIZE: Key<PerMass> = Key {
    name: "seed-size",
    takes: &measure(&bounds::SEED_SIZE),
    needed: FOR_MASS,
    example: "\"2400 /lb\"",
    meaning: "The same in seeds. Not with `thousand-seed-weight`.",
};
static GERMINATION: Key<Share> = Key {
    name: "germination",
    takes: &measure(&bounds::SEED_SHARE),
    needed: Needed::No,
    example: "\"78 %\"",
    meaning: "Its own: tells the plants to expect, and never changes the packet.",
};

static TREATMENT: Key<String> = Key {
    name: "treatment",
    takes: &Text,
    needed: Needed::No,
    example: "\"treated, red\"",
    meaning: "What the seed is treated with, for the label of its packets.",
};

const FOR_MASS: Needed = Needed::Where("for `mass`, where `[packets]` has none");

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
    pub(super) treatment: Option<String>,
}

impl Table {
    /// The same lot at another place: the row of a list.
    pub(super) fn move_to(&mut self, place: &Range<usize>) {
        self.span = place.clone();
        if let Some(name) = &mut self.name {
            name.span = place.clone();
        }
        if let Some(entry) = &mut self.entry {
            entry.span = place.clone();
        }
        if self.mass.is_some() {
            self.mass = Some(place.clone());
        }
        if let Some(germination) = &mut self.seed.germination {
            germination.span = place.clone();
        }
    }
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    let name = table.placed(reader, &NAME);
    let seeds = table.read(reader, &SEEDS);
    let mass = table.placed(reader, &MASS);
    if table.has(&SEEDS) && table.has(&MASS) {
        let message = "`seeds` and `mass` both say how much of the lot is at hand";
        reader.say(&codes::CONFLICT, table.place(&MASS), message, "keep one of them");
    }
    Table {
        span: table.span(),
        name,
        entry: table.placed(reader, &ENTRY),
        treatment: table.read(reader, &TREATMENT),
        mass: mass.as_ref().map(|mass| mass.span.clone()),
        at_hand: seeds.map(AtHand::Seeds).or(mass.map(|mass| AtHand::Mass(mass.value))),
        seed: packets::seed(
            reader,
            table,
            &SeedKeys {
                thousand: &THOUSAND_SEED_WEIGHT,
                size: &SEED_SIZE,
                germination: &GERMINATION,
            },
        ),
    }
}
