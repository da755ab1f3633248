//! `[[alley-run]]`: where the seed stops and starts against the mark.

use std::ops::Range;

use crate::calculations::alley::{AlleyRun, Measured};
use crate::outcome::Heading;
use crate::quantity::Length;
use crate::quantity::bounds;

use super::codes;
use super::reader::{Reader, Section, length, list, word};
use super::run::{self, Run};

/// One run; the alleys are missing where they could not be read.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) run: Run,
    pub(super) alleys: Option<AlleyRun>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    let run = run::read(reader, table);
    let has_heading = table.has("heading");
    let heading =
        table.optional(reader, "heading", word(&[("out", Heading::Out), ("home", Heading::Home)]));
    let edges = || list(length(&bounds::EDGE));
    let last = table.placed(reader, "last-seed-to-mark", edges());
    let first = table.placed(reader, "mark-to-first-seed", edges());
    if !table.has("last-seed-to-mark") && !table.has("mark-to-first-seed") {
        let message = "this [[alley-run]] has no measurements";
        let advice = "add `last-seed-to-mark = [...]`, `mark-to-first-seed = [...]`, or both";
        reader.say(&codes::MISSING_KEY, table.span(), message, advice);
    }
    let unread = |key: &str, list: bool| table.has(key) && !list;
    let incomplete = unread("last-seed-to-mark", last.is_some())
        || unread("mark-to-first-seed", first.is_some())
        || (has_heading && heading.is_none());
    let place = first.as_ref().map_or(table.span(), |f| f.span.clone());
    let alleys = pair(reader, last.map(|l| l.value), first.map(|f| f.value), &place);
    Table { run, alleys: alleys.filter(|_| !incomplete).map(|alleys| AlleyRun { heading, alleys }) }
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
