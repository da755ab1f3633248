//! `[packets]`: what goes into a seed packet.

use std::ops::Range;

use toml::de::DeValue;

use crate::calculations::packets::{Per, Reserve, SeedWeight};
use crate::quantity::bounds;
use crate::quantity::{Decimal, Mass, MassUnit, PerMassUnit, Share, ShareUnit};

use super::reader::{Item, Reader, Section, counted, measure, number, word};
use super::{Placed, codes};

/// The table as read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) span: Range<usize>,
    pub(super) per: Per,
    pub(super) seed: Seed,
    pub(super) emergence: Option<Placed<Share>>,
    pub(super) reserve: Option<Reserve>,
    pub(super) balance_step: Option<Placed<Mass>>,
    pub(super) fill_plate: Option<Decimal>,
    pub(super) cleaned_out: Option<Decimal>,
}

/// What is known of the seed itself.
#[derive(Debug)]
pub(super) struct Seed {
    pub(super) weight: Option<SeedWeight>,
    /// Whether a weight stands there, readable or not.
    pub(super) weighs: bool,
    pub(super) germination: Option<Placed<Share>>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    Table {
        span: table.span(),
        per: table
            .optional(reader, "per", word(&[("plot", Per::Plot), ("row", Per::Row)]))
            .unwrap_or(Per::Plot),
        seed: seed(reader, table),
        emergence: table.placed(reader, "emergence", measure::<ShareUnit>(&bounds::SEED_SHARE)),
        reserve: table.optional(reader, "reserve", reserve),
        balance_step: table.placed(
            reader,
            "balance-step",
            measure::<MassUnit>(&bounds::BALANCE_STEP),
        ),
        fill_plate: table.optional(reader, "fill-plate", number(&bounds::SEEDS_LOST)),
        cleaned_out: table.optional(reader, "cleaned-out", number(&bounds::SEEDS_LOST)),
    }
}

/// The keys of the seed, which a lot has too.
pub(super) fn seed(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Seed {
    let thousand = table.optional(
        reader,
        "thousand-seed-weight",
        measure::<MassUnit>(&bounds::THOUSAND_SEEDS),
    );
    let size = table.optional(reader, "seed-size", measure::<PerMassUnit>(&bounds::SEED_SIZE));
    if table.has("thousand-seed-weight") && table.has("seed-size") {
        let message = "`thousand-seed-weight` and `seed-size` both say how heavy a seed is";
        reader.say(&codes::CONFLICT, table.place("seed-size"), message, "keep one of them");
    }
    Seed {
        weighs: table.has("thousand-seed-weight") || table.has("seed-size"),
        weight: thousand.map(SeedWeight::Thousand).or(size.map(SeedWeight::Count)),
        germination: table.placed(reader, "germination", measure::<ShareUnit>(&bounds::SEED_SHARE)),
    }
}

/// A share, or whole seeds.
fn reserve(reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<Reserve> {
    match item.value.get_ref() {
        DeValue::Integer(_) | DeValue::Float(_) => {
            counted(&bounds::RESERVE)(reader, item).map(Reserve::Seeds)
        }
        _ => measure::<ShareUnit>(&bounds::SHARE)(reader, item).map(Reserve::Share),
    }
}
