//! Which way a run went: its heading, and the slope of the ground along it.

use std::ops::Deref;

use crate::calculations::slope::Ground;
use crate::outcome::Heading;
use crate::quantity::bounds;
use crate::quantity::{Share, ShareUnit, at_most};

use super::codes;
use super::reader::{Hint, Key, Needed, Reader, Section, measure, word};

/// Steeper than half of its length in height no field is planted.
const STEEPEST: f64 = 0.5;

pub(super) static HEADING: Key<Heading> = Key {
    name: "heading",
    takes: &word(&[("out", Heading::Out), ("home", Heading::Home)]),
    needed: Needed::No,
    example: "\"out\"",
    meaning: "Which way the pass went: away from the start of the field, or back to it.",
};
pub(super) static SLOPE: Key<Share> = Key {
    name: "slope",
    takes: &measure::<ShareUnit>(&bounds::ERROR_SHARE),
    needed: Needed::No,
    example: "\"3 %\"",
    meaning: "Slope of the ground along the run, seen in its own travel: rise over level run, uphill \
              positive, downhill negative. With runs both ways `alleytrue slope` says what one \
              setting can serve.",
};

/// What stands behind the blank of the slope.
pub(super) const ON_THE_FORM: Hint =
    Hint::Words("uphill \"3 %\", downhill \"-3 %\"; level: nothing");

/// Heading and slope of a run; nothing where the slope can't be.
pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Option<Ground> {
    let heading = table.read(reader, &HEADING);
    let slope = table.read(reader, &SLOPE);
    if let Some(slope) = &slope
        && !at_most(slope.base().abs(), STEEPEST)
    {
        let message = format!("a `slope` of {slope} can't be planted");
        let advice = "it is the rise over the level run: 3 ft in 100 ft are \"3 %\"";
        reader.say(&codes::OUT_OF_RANGE, table.place(&SLOPE), message, advice).allowed =
            Some("-50 % to 50 %".into());
        return None;
    }
    let unread = |key: &dyn super::reader::Entry, read: bool| table.has(key) && !read;
    let whole = !unread(&HEADING, heading.is_some()) && !unread(&SLOPE, slope.is_some());
    whole.then_some(Ground { heading, slope })
}

/// A run with the ground it went over; the run is missing where it could not be read.
#[derive(Debug)]
pub(super) struct Sloped<T> {
    run: Option<T>,
    pub(super) ground: Option<Ground>,
}

impl<T> Sloped<T> {
    pub(super) fn new(run: Option<T>, ground: Option<Ground>) -> Sloped<T> {
        Sloped { run, ground }
    }
}

impl<T> Deref for Sloped<T> {
    type Target = Option<T>;

    fn deref(&self) -> &Option<T> {
        &self.run
    }
}

impl<'a, T> IntoIterator for &'a Sloped<T> {
    type Item = &'a T;
    type IntoIter = std::option::Iter<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.run.iter()
    }
}
