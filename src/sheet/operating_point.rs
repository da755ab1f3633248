//! The operating point that a run was made at or a change was made for.

use toml::de::DeValue;

use crate::calculations::changeover::Boost;
use crate::calculations::spacing::Target;
use crate::quantity::{CellRateUnit, Length, PerTimeUnit, SeedRate, bounds};
use crate::record::operating_point::OperatingPoint;

use super::codes;
use super::reader::{
    Either, InUnits, Key, Keys, Mapped, Needed, Reader, Section, SeedRates, either, length, list,
    mapped, measure,
};

/// `at`: what the sheet was for when a run was made.
pub(super) static AT: Keys = Keys {
    name: "at",
    meaning: "What the sheet was for when it was recorded.",
    example: "{ alley = \"30 in\" }",
    notes: "Together with the run's `speed` this is its operating point. `record` writes it down, \
            as the sheet has it that day, and `check` holds it against what the sheet is for now. \
            Calculations don't look at it; where they use a run that was made for another seed \
            spacing, alley or boost, a warning says so.",
    list: &[&POPULATION, &SEED_SPACING, &ALLEY, &BOOST],
    shown: &[&POPULATION, &ALLEY],
    ..Keys::ONCE
};

pub(super) static POPULATION: Key<SeedRate> = Key {
    name: "population",
    takes: &SeedRates,
    needed: Needed::No,
    example: "\"139000 /ac\"",
    meaning: "Seeds per area, or per length of row.",
};
pub(super) static SEED_SPACING: Key<Length> = Key {
    name: "seed-spacing",
    takes: &length(&bounds::SEED_SPACING),
    needed: Needed::No,
    example: "\"1.5 in\"",
    meaning: "The same, said the other way. Not with `population`.",
};
pub(super) static ALLEY: Key<Length> = Key {
    name: "alley",
    takes: &length(&bounds::ALLEY),
    needed: Needed::No,
    example: "\"30 in\"",
    meaning: "Width of the alley.",
};
pub(super) static BOOST: Key<Vec<Boost>> = Key {
    name: "boost",
    takes: &either(
        |_, item| !matches!(item.value.get_ref(), DeValue::Array(_)),
        mapped(BOOSTS, |boost| vec![boost]),
        list(BOOSTS),
    ),
    needed: Needed::No,
    example: "\"40 cells/s\"",
    meaning: "How fast the boost turned the plate; a list where there were several.",
};

type CellRates = Mapped<InUnits<CellRateUnit>, crate::quantity::CellRate, Boost>;
type TurnRates = Mapped<InUnits<PerTimeUnit>, crate::quantity::PerTime, Boost>;

/// How fast the boost turns the plate: cells in a time, or plate turns in a time.
pub(super) const BOOSTS: Either<CellRates, TurnRates> = either(
    |reader, item| !reader.typed(item).contains("turn"),
    mapped(measure(&bounds::BOOST_CELLS), Boost::Cells),
    mapped(measure(&bounds::PLATE_RATE), Boost::Turns),
);

/// All of it but the speed, which runs have as a key of their own.
pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> OperatingPoint {
    OperatingPoint {
        speed: None,
        seeds: target(reader, table, &POPULATION, &SEED_SPACING),
        alley: table.read(reader, &ALLEY),
        boost: table.read(reader, &BOOST).unwrap_or_default(),
    }
}

/// How far apart seeds stand, said either way.
pub(super) fn target(
    reader: &mut Reader<'_>,
    table: &mut Section<'_>,
    by_rate: &'static Key<SeedRate>,
    by_length: &'static Key<Length>,
) -> Option<Target> {
    let population = table.read(reader, by_rate);
    let spacing = table.read(reader, by_length);
    if table.has(by_rate) && table.has(by_length) {
        let message = "`population` and `seed-spacing` both say how far apart seeds stand";
        reader.say(&codes::CONFLICT, table.place(by_length), message, "keep one of them");
    }
    population.map(Target::Population).or(spacing.map(Target::Spacing))
}
