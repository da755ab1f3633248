//! `[packets]`: what goes into a seed packet.

use std::ops::Range;

use toml::de::DeValue;

use crate::calculations::packets::{Beside, Per, Reserve, SeedWeight};
use crate::quantity::bounds;
use crate::quantity::{Decimal, Mass, PerMass, Share};

use super::codes;
use super::placed::Placed;
use super::reader::{
    Key, Keys, Needed, Reader, Section, Text, counted, either, mapped, measure, number, whole, word,
};

pub(super) static KEYS: Keys = Keys {
    name: "packets",
    meaning: "What goes into a seed packet.",
    needed: Needed::Where("for packets"),
    notes: "It may stand empty. `entries`, `reps` and `plot` stand in [trial]. Losses are seeds of \
            one row at one plot.",
    list: &[
        &LOTS,
        &PLOTS,
        &PER,
        &THOUSAND_SEED_WEIGHT,
        &SEED_SIZE,
        &GERMINATION,
        &EMERGENCE,
        &RESERVE,
        &BALANCE_STEP,
        &FILL_PLATE,
        &CLEANED_OUT,
        &BORDER_LOT,
        &FILLER_LOT,
        &TEST_PLOTS,
        &TEST_LOT,
    ],
    shown: &[&PER, &THOUSAND_SEED_WEIGHT, &RESERVE],
    ..Keys::ONCE
};

static PER: Key<Per> = Key {
    name: "per",
    takes: &word(&[("plot", Per::Plot), ("row", Per::Row)]),
    needed: Needed::No,
    example: "\"plot\"",
    meaning: "What one packet plants: a plot, or one row of it. A plot without it.",
};
static THOUSAND_SEED_WEIGHT: Key<Mass> = Key {
    name: "thousand-seed-weight",
    takes: &measure(&bounds::THOUSAND_SEEDS),
    needed: Needed::Where("for grams, or `seed-size`"),
    example: "\"180 g\"",
    meaning: "Mass of a thousand seeds.",
};
static SEED_SIZE: Key<PerMass> = Key {
    name: "seed-size",
    takes: &measure(&bounds::SEED_SIZE),
    needed: Needed::Where("for grams, or `thousand-seed-weight`"),
    example: "\"2500 /lb\"",
    meaning: "Seeds in a mass. Not with `thousand-seed-weight`.",
};
static GERMINATION: Key<Share> = Key {
    name: "germination",
    takes: &measure(&bounds::SEED_SHARE),
    needed: FOR_STAND,
    example: "\"92 %\"",
    meaning: "Share of the seeds that germinate.",
};
static EMERGENCE: Key<Share> = Key {
    name: "emergence",
    takes: &measure(&bounds::SEED_SHARE),
    needed: FOR_STAND,
    example: "\"90 %\"",
    meaning: "Share of those that germinate which come up.",
};
static RESERVE: Key<Reserve> = Key {
    name: "reserve",
    takes: &either(
        |_, item| !matches!(item.value.get_ref(), DeValue::Integer(_) | DeValue::Float(_)),
        mapped(measure(&bounds::SHARE), Reserve::Share),
        mapped(counted(&bounds::RESERVE), Reserve::Seeds),
    ),
    needed: Needed::No,
    example: "\"3 %\"",
    meaning: "What is packed beyond the need: a share of every row, or whole seeds a packet.",
};
static BALANCE_STEP: Key<Mass> = Key {
    name: "balance-step",
    takes: &measure(&bounds::BALANCE_STEP),
    needed: Needed::No,
    example: "\"0.1 g\"",
    meaning: "The step of the balance; packets are rounded up to it.",
};
static FILL_PLATE: Key<Decimal> = Key {
    name: "fill-plate",
    takes: &number(&bounds::SEEDS_LOST),
    needed: Needed::No,
    example: "2",
    meaning: "Seeds that the plate takes beyond those of the plot, as counted. Goes before the \
              changeover's timers.",
};
static CLEANED_OUT: Key<Decimal> = Key {
    name: "cleaned-out",
    takes: &number(&bounds::SEEDS_LOST),
    needed: Needed::No,
    example: "25",
    meaning: "Seeds cleaned out of the meter at a changeover, as counted over a tray.",
};

pub(super) static LOTS: Key<String> = Key {
    name: "lots",
    takes: &Text,
    needed: Needed::No,
    example: "\"lots.csv\"",
    meaning: "A spreadsheet's file beside the sheet, saved as CSV, with a lot in each row; in place of \
              `[[lot]]` tables, or besides.",
};
pub(super) static PLOTS: Key<String> = Key {
    name: "plots",
    takes: &Text,
    needed: Needed::No,
    example: "\"plots.csv\"",
    meaning: "The same with the number of a plot and that of its entry in each row. Without it entries \
              stand in order, rep by rep.",
};
static BORDER_LOT: Key<String> = Key {
    name: "border-lot",
    takes: &Text,
    needed: Needed::No,
    example: "\"check A\"",
    meaning: "Name of the lot that borders are planted with.",
};
static FILLER_LOT: Key<String> = Key {
    name: "filler-lot",
    takes: &Text,
    needed: Needed::No,
    example: "\"check A\"",
    meaning: "Name of the lot that plots without an entry are planted with.",
};
static TEST_PLOTS: Key<u32> = Key {
    name: "test-plots",
    takes: &whole(&bounds::TEST_PLOTS),
    needed: Needed::No,
    example: "40",
    meaning: "Plots to be planted on test ranges.",
};
static TEST_LOT: Key<String> = Key {
    name: "test-lot",
    takes: &Text,
    needed: Needed::No,
    example: "\"check A\"",
    meaning: "Name of the lot that test ranges are planted with.",
};

const FOR_STAND: Needed = Needed::Where("for `stand` without seeds wanted");

/// The keys that say what seed is like.
pub(super) struct SeedKeys {
    pub(super) thousand: &'static Key<Mass>,
    pub(super) size: &'static Key<PerMass>,
    pub(super) germination: &'static Key<Share>,
}

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
    pub(super) lots: Option<Placed<String>>,
    pub(super) plots: Option<Placed<String>>,
    pub(super) beside: Beside,
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
        per: table.read(reader, &PER).unwrap_or(Per::Plot),
        seed: seed(
            reader,
            table,
            &SeedKeys {
                thousand: &THOUSAND_SEED_WEIGHT,
                size: &SEED_SIZE,
                germination: &GERMINATION,
            },
        ),
        emergence: table.placed(reader, &EMERGENCE),
        reserve: table.read(reader, &RESERVE),
        balance_step: table.placed(reader, &BALANCE_STEP),
        fill_plate: table.read(reader, &FILL_PLATE),
        cleaned_out: table.read(reader, &CLEANED_OUT),
        lots: table.placed(reader, &LOTS),
        plots: table.placed(reader, &PLOTS),
        beside: Beside {
            border_lot: table.read(reader, &BORDER_LOT),
            filler_lot: table.read(reader, &FILLER_LOT),
            test_plots: table.read(reader, &TEST_PLOTS).unwrap_or(0),
            test_lot: table.read(reader, &TEST_LOT),
        },
    }
}

/// The keys of the seed, which a lot has too.
pub(super) fn seed(reader: &mut Reader<'_>, table: &mut Section<'_>, keys: &SeedKeys) -> Seed {
    let thousand = table.read(reader, keys.thousand);
    let size = table.read(reader, keys.size);
    if table.has(keys.thousand) && table.has(keys.size) {
        let message = "`thousand-seed-weight` and `seed-size` both say how heavy a seed is";
        reader.say(&codes::CONFLICT, table.place(keys.size), message, "keep one of them");
    }
    Seed {
        weighs: table.has(keys.thousand) || table.has(keys.size),
        weight: thousand.map(SeedWeight::Thousand).or(size.map(SeedWeight::Count)),
        germination: table.placed(reader, keys.germination),
    }
}
