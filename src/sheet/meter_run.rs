//! `[[meter-run]]`: a meter turned in the shop.

use crate::calculations::meter::{Vacuum, With};
use crate::quantity::bounds;
use crate::quantity::{Decimal, PerTime, parse_number};

use super::codes;
use super::placed::Placed;
use super::reader::{
    Blank, Entry, Hint, Key, Keys, Needed, Reader, Recording, Section, Text, Values, counted, list,
    measure, number, whole,
};
use super::run::{self, Run};

pub(super) static KEYS: Keys = Keys {
    name: "meter-run",
    meaning: "A meter turned in the shop: what was at each place of its plate, or what it dropped.",
    needed: Needed::Where("for the meter"),
    notes: "Either positions with multiples and misses, or turns with seeds. A run holds \
            repeats of one row at one vacuum with one plate and lot, 250 places each (ISO 7256-1:1984). \
            Let the meter fill before counting starts.",
    list: &[
        &PLATE,
        &SEED,
        &VACUUM,
        &ROW,
        &PLATE_RATE,
        &POSITIONS,
        &MULTIPLES,
        &MISSES,
        &TURNS,
        &SEEDS,
    ],
    shown: &[&ROW, &VACUUM, &POSITIONS, &MULTIPLES, &MISSES],
    run: Some(Recording {
        name: "meter",
        about: "A meter turned in the shop; values are its misses",
        values: &[Values { list: &MISSES, with: None, many: "misses" }],
        pair: None,
        shared: run::WITHOUT_SPEED,
        blanks: &[
            Blank {
                fields: &[
                    (&PLATE, Hint::Words("which one")),
                    (&SEED, Hint::Words("which lot")),
                    (&VACUUM, Hint::Words("with its unit: \"16 in of water\"")),
                    (&ROW, Hint::Words("the row of the meter")),
                    (&POSITIONS, Hint::Words("places each time: 250")),
                ],
                lists: &[&MULTIPLES, &MISSES],
            },
            Blank {
                fields: &[
                    (&PLATE, Hint::Words("which one")),
                    (&SEED, Hint::Words("which lot")),
                    (&VACUUM, Hint::Words("with its unit: \"16 in of water\"")),
                    (&ROW, Hint::Words("the row of the meter")),
                    (&TURNS, Hint::Words("of the plate, each time")),
                ],
                lists: &[&SEEDS],
            },
        ],
    }),
    ..Keys::MANY
};

static PLATE: Key<String> = Key {
    name: "plate",
    takes: &Text,
    needed: Needed::No,
    example: "\"40 cells, 4.5 mm\"",
    meaning: "Which plate was in it, in your own words.",
};
static SEED: Key<String> = Key {
    name: "seed",
    takes: &Text,
    needed: Needed::No,
    example: "\"lot 12, large round\"",
    meaning: "Which seed was in it.",
};
static VACUUM: Key<String> = Key {
    name: "vacuum",
    takes: &Text,
    needed: Needed::No,
    example: "\"16 in of water\"",
    meaning: "Vacuum or pressure at the meter, a number with its unit. Several of one unit make a \
              ladder.",
};
static ROW: Key<u32> = Key {
    name: "row",
    takes: &whole(&bounds::ROWS),
    needed: Needed::No,
    example: "2",
    meaning: "The row whose meter it was.",
};
static PLATE_RATE: Key<PerTime> = Key {
    name: "plate-rate",
    takes: &measure(&bounds::PLATE_RATE),
    needed: Needed::No,
    example: "\"35 turns/min\"",
    meaning: "How fast the plate was turned: as in the field. For the record.",
};
static POSITIONS: Key<Decimal> = Key {
    name: "positions",
    takes: &counted(&bounds::PLANTS),
    needed: Needed::Where("with `misses` and `multiples`"),
    example: "250",
    meaning: "Places of the plate looked at in each repeat.",
};
static MULTIPLES: Key<Vec<Decimal>> = Key {
    name: "multiples",
    takes: &list(counted(&bounds::PLANTS)),
    needed: Needed::Where("with `positions`"),
    example: "[8, 6]",
    meaning: "Places with two seeds or more, in each repeat.",
};
static MISSES: Key<Vec<Decimal>> = Key {
    name: "misses",
    takes: &list(counted(&bounds::PLANTS)),
    needed: Needed::Where("with `positions`"),
    example: "[4, 5]",
    meaning: "Places without a seed, in each repeat.",
};
static TURNS: Key<Decimal> = Key {
    name: "turns",
    takes: &number(&bounds::TURNS),
    needed: Needed::Where("with `seeds`"),
    example: "6",
    meaning: "Turns of the plate in each repeat.",
};
static SEEDS: Key<Vec<Decimal>> = Key {
    name: "seeds",
    takes: &list(counted(&bounds::PLANTS)),
    needed: Needed::Where("with `turns`"),
    example: "[238, 241]",
    meaning: "Seeds caught in each repeat.",
};

/// One run; what could not be read is missing.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) run: Run,
    pub(super) with: With,
    pub(super) row: Option<Placed<u32>>,
    pub(super) kind: Option<Kind>,
}

/// What was done with the meter.
#[derive(Debug)]
pub(super) enum Kind {
    /// Places looked at, with multiples and misses of each repeat.
    Counted(Decimal, Vec<(Decimal, Decimal)>),
    /// Turns of each repeat, and the seeds.
    Caught(Decimal, Vec<Decimal>),
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>, run: Run) -> Table {
    let plate = table.read(reader, &PLATE).unwrap_or_default();
    let seed = table.read(reader, &SEED).unwrap_or_default();
    let vacuum = table.read(reader, &VACUUM).and_then(|text| {
        let found = vacuum(&text);
        if found.is_none() {
            let message = format!("a `vacuum` of {text:?} is not a number with its unit");
            let advice = "write the number first and its unit behind: \"16 in of water\"";
            reader.say(&codes::BAD_MEASURE, table.place(&VACUUM), message, advice).allowed =
                Some("a number, a space and its unit".into());
        }
        found
    });
    let row = table.placed(reader, &ROW);
    table.read(reader, &PLATE_RATE);
    let with = With { plate, seed, vacuum, row: row.as_ref().map(|row| row.value) };
    Table { run, with, row, kind: kind(reader, table) }
}

/// The number of a gauge and its unit.
fn vacuum(text: &str) -> Option<Vacuum> {
    let (number, unit) = text.trim().split_once(char::is_whitespace)?;
    let unit = unit.split_whitespace().collect::<Vec<_>>().join(" ");
    let number = parse_number(number).ok()?;
    (!unit.is_empty() && number.value() >= 0.0).then_some(Vacuum { number, unit })
}

fn kind(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Option<Kind> {
    let positions = table.read(reader, &POSITIONS);
    let multiples = table.read(reader, &MULTIPLES);
    let misses = table.read(reader, &MISSES);
    let turns = table.read(reader, &TURNS);
    let seeds = table.read(reader, &SEEDS);
    let has = |keys: &[&dyn Entry]| keys.iter().any(|key| table.has(*key));
    let looked: [&dyn Entry; 3] = [&POSITIONS, &MULTIPLES, &MISSES];
    let dropped: [&dyn Entry; 2] = [&TURNS, &SEEDS];
    match (has(&looked), has(&dropped)) {
        (true, true) => {
            let message = "this [[meter-run]] has places looked at and seeds caught";
            let advice = "make two runs of it";
            reader.say(&codes::CONFLICT, table.span(), message, advice);
            None
        }
        (false, false) => {
            let message = "this [[meter-run]] says nothing of what the meter did";
            let advice = "add `positions = 250`, `multiples = [8]` and `misses = [5]`; or `turns = 6` \
                          and `seeds = [238]`";
            reader.say(&codes::MISSING_KEY, table.span(), message, advice);
            None
        }
        (true, false) => {
            lacking(reader, table, &looked);
            counts(reader, table, positions?, multiples?, misses?)
        }
        (false, true) => {
            lacking(reader, table, &dropped);
            Some(Kind::Caught(turns?, seeds?))
        }
    }
}

/// A key that has to stand with the others of its kind.
fn lacking(reader: &mut Reader<'_>, table: &Section<'_>, keys: &[&dyn Entry]) {
    if let Some(key) = keys.iter().find(|key| !table.has(**key)) {
        let name = key.name();
        let message = format!("this [[meter-run]] has no `{name}`");
        let advice = format!("add `{name} = {}`", key.example());
        reader.say(&codes::MISSING_KEY, table.span(), message, advice);
    }
}

fn counts(
    reader: &mut Reader<'_>,
    table: &Section<'_>,
    positions: Decimal,
    multiples: Vec<Decimal>,
    misses: Vec<Decimal>,
) -> Option<Kind> {
    if multiples.len() != misses.len() {
        let message =
            format!("{} repeats in `multiples` and {} in `misses`", multiples.len(), misses.len());
        let advice = "give both for every repeat";
        reader.say(&codes::UNEVEN_LISTS, table.place(&MISSES), message, advice);
        return None;
    }
    let repeats: Vec<(Decimal, Decimal)> = multiples.into_iter().zip(misses).collect();
    let too_many =
        |(two, none): &&(Decimal, Decimal)| two.value() + none.value() > positions.value();
    if positions.value() < 1.0 || repeats.iter().any(|one| too_many(&one)) {
        let message = "more multiples and misses than places were looked at";
        let advice = "check `positions`, which is for each repeat";
        reader.say(&codes::OUT_OF_RANGE, table.place(&MISSES), message, advice).allowed =
            Some(format!("{positions} together, in each repeat"));
        return None;
    }
    Some(Kind::Counted(positions, repeats))
}
