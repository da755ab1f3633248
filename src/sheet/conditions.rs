//! `[conditions]`: what the planter is fitted and loaded with, and what it drives on.

use super::reader::{Key, Keys, Needed, Reader, Section, Text};

pub(super) static KEYS: Keys = Keys {
    name: "conditions",
    meaning: "What the planter is fitted and loaded with now, and what it drives on, in your own \
              words.",
    notes: "A calibration holds for these. `record` writes them under `with` of each run, and a run \
            that was made with others is kept and not used. Change one by `alleytrue apply SHEET \
            --setting seed=\"lot 12\"`: runs typed by hand then keep what it was. `name` of [planter] \
            and `cells` and `carry` of its plate count as well.",
    list: &[&PLATE, &SEED, &VACUUM, &TYRES, &SOIL],
    ..Keys::ONCE
};

pub(super) static PLATE: Key<String> = Key {
    name: "plate",
    takes: &Text,
    needed: Needed::No,
    example: "\"40 cells, 4.5 mm\"",
    meaning: "Which seed plate is fitted.",
};
pub(super) static SEED: Key<String> = Key {
    name: "seed",
    takes: &Text,
    needed: Needed::No,
    example: "\"lot 12, large round\"",
    meaning: "Which seed is in the meters: lot, and size or shape.",
};
pub(super) static VACUUM: Key<String> = Key {
    name: "vacuum",
    takes: &Text,
    needed: Needed::No,
    example: "\"16 in of water\"",
    meaning: "Vacuum or pressure at the meters.",
};
pub(super) static TYRES: Key<String> = Key {
    name: "tyres",
    takes: &Text,
    needed: Needed::No,
    example: "\"24 psi\"",
    meaning: "Tyres of the drive wheel, and their pressure.",
};
pub(super) static SOIL: Key<String> = Key {
    name: "soil",
    takes: &Text,
    needed: Needed::No,
    example: "\"worked, moist\"",
    meaning: "The soil that is driven on.",
};

/// The table as read.
#[derive(Debug, Default)]
pub(super) struct Table {
    pub(super) plate: Option<String>,
    pub(super) seed: Option<String>,
    pub(super) vacuum: Option<String>,
    pub(super) tyres: Option<String>,
    pub(super) soil: Option<String>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    Table {
        plate: table.read(reader, &PLATE),
        seed: table.read(reader, &SEED),
        vacuum: table.read(reader, &VACUUM),
        tyres: table.read(reader, &TYRES),
        soil: table.read(reader, &SOIL),
    }
}
