//! `[[alley-run]]`: where the seed stops and starts against the mark.

use std::ops::Range;

use crate::calculations::alley::{AlleyRun, Measured};
use crate::outcome::Heading;
use crate::quantity::Length;
use crate::quantity::bounds;

use super::codes;
use super::reader::{
    Blank, Entry, Hint, Key, Keys, Needed, Pair, Reader, Recording, Section, length, list, whole,
    word,
};
use super::run::{self, Run};

pub(super) static KEYS: Keys = Keys {
    name: "alley-run",
    meaning: "Alleys against their marks.",
    needed: Needed::Where("for the setback"),
    notes: "List alleys in the order of the pass. Where both sides were measured, the two lists \
            are equally long. Alleys of which one side was measured go into a run of their own. \
            Give `heading` in every run or in none.",
    list: &[&HEADING, &LAST_SEED_TO_MARK, &MARK_TO_FIRST_SEED, &ROW_TAPED],
    shown: &[&HEADING, &LAST_SEED_TO_MARK, &MARK_TO_FIRST_SEED],
    run: Some(Recording {
        name: "alley",
        about: "Alleys against their marks; values are both sides of each, such as 11.5/17.5",
        values: &[],
        pair: Some(Pair {
            before: &LAST_SEED_TO_MARK,
            behind: &MARK_TO_FIRST_SEED,
            many: "alleys",
        }),
        shared: run::SHARED,
        blanks: &[
            Blank {
                fields: &[(&HEADING, Hint::Filled("\"out\"")), (&run::SPEED, Hint::Speed)],
                lists: &[&LAST_SEED_TO_MARK, &MARK_TO_FIRST_SEED],
            },
            Blank {
                fields: &[(&HEADING, Hint::Filled("\"home\"")), (&run::SPEED, Hint::Speed)],
                lists: &[&LAST_SEED_TO_MARK, &MARK_TO_FIRST_SEED],
            },
        ],
    }),
    ..Keys::MANY
};

static HEADING: Key<Heading> = Key {
    name: "heading",
    takes: &word(&[("out", Heading::Out), ("home", Heading::Home)]),
    needed: Needed::No,
    example: "\"out\"",
    meaning: "Which way the pass went: away from the start of the field, or back to it.",
};
static ROW_TAPED: Key<u32> = Key {
    name: "row-taped",
    takes: &whole(&bounds::ROWS),
    needed: Needed::No,
    example: "1",
    meaning: "The row that was taped, where `rank-offset` in [row-units] says that units don't sit in one \
              line; row 1 without it.",
};
static LAST_SEED_TO_MARK: Key<Vec<Length>> = Key {
    name: "last-seed-to-mark",
    takes: &list(length(&bounds::EDGE)),
    needed: Needed::Where("one of the two"),
    example: "[\"11 1/2 in\", \"12 in\"]",
    meaning: "From the last seed of a plot to the mark (negative: the seed lies past it).",
};
static MARK_TO_FIRST_SEED: Key<Vec<Length>> = Key {
    name: "mark-to-first-seed",
    takes: &list(length(&bounds::EDGE)),
    needed: Needed::Where("one of the two"),
    example: "[\"17 1/2 in\", \"18 1/2 in\"]",
    meaning: "From the mark to the first seed of the next plot.",
};

/// One run; the alleys are missing where they could not be read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) run: Run,
    pub(super) alleys: Option<AlleyRun>,
    /// The row that was taped, where it says which.
    pub(super) row_taped: Option<u32>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>, run: Run) -> Table {
    let heading = table.read(reader, &HEADING);
    let row_taped = table.read(reader, &ROW_TAPED);
    let last = table.placed(reader, &LAST_SEED_TO_MARK);
    let first = table.placed(reader, &MARK_TO_FIRST_SEED);
    if !table.has(&LAST_SEED_TO_MARK) && !table.has(&MARK_TO_FIRST_SEED) {
        let message = "this [[alley-run]] has no measurements";
        let advice = "add `last-seed-to-mark = [...]`, `mark-to-first-seed = [...]`, or both";
        reader.say(&codes::MISSING_KEY, table.span(), message, advice);
    }
    let unread = |key: &dyn Entry, read: bool| table.has(key) && !read;
    let incomplete = unread(&LAST_SEED_TO_MARK, last.is_some())
        || unread(&MARK_TO_FIRST_SEED, first.is_some())
        || unread(&HEADING, heading.is_some())
        || unread(&ROW_TAPED, row_taped.is_some());
    let place = first.as_ref().map_or(table.span(), |f| f.span.clone());
    let alleys = pair(reader, last.map(|l| l.value), first.map(|f| f.value), &place);
    Table {
        run,
        row_taped,
        alleys: alleys.filter(|_| !incomplete).map(|alleys| AlleyRun {
            number: None,
            heading,
            alleys,
            then: vec![],
            edges: None,
            rank: None,
        }),
    }
}

/// The two sides of each alley, or the one that was measured.
fn pair(
    reader: &mut Reader<'_>,
    last: Option<Vec<Length>>,
    first: Option<Vec<Length>>,
    place: &Range<usize>,
) -> Option<Vec<Measured>> {
    let one =
        |last_seed_to_mark, mark_to_first_seed| Measured { last_seed_to_mark, mark_to_first_seed };
    match (last, first) {
        (Some(last), Some(first)) if last.len() != first.len() => {
            let message = format!(
                "`last-seed-to-mark` has {} entries and `mark-to-first-seed` has {}",
                last.len(),
                first.len()
            );
            let advice = "list both sides of every alley in the same order; put alleys measured on one side into a run of their own";
            reader.say(&codes::UNEVEN_LISTS, place.clone(), message, advice);
            None
        }
        (Some(last), Some(first)) => {
            Some(last.into_iter().zip(first).map(|(a, b)| one(Some(a), Some(b))).collect())
        }
        (Some(last), None) => Some(last.into_iter().map(|a| one(Some(a), None)).collect()),
        (None, Some(first)) => Some(first.into_iter().map(|b| one(None, Some(b))).collect()),
        (None, None) => None,
    }
}
