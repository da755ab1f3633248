//! `[by-hand]`: what hands have set on the planter and in the field.

use std::ops::Range;

use crate::outcome::ByHand;
use crate::quantity::bounds;
use crate::quantity::{Decimal, Length};
use crate::record::Subject;

use super::placed::Placed;
use super::reader::{
    Key, Keys, Needed, Reader, Section, SignedWhole, Text, length, list, number, signed_whole,
};

pub(super) static KEYS: Keys = Keys {
    name: "by-hand",
    meaning: "What hands have set on the planter and in the field, as it is now.",
    notes: "`apply` writes it, and keeps what it was before in the runs. A key that is missing \
            has never been changed: teeth, turns and marks then stand at nought. The words of \
            `throttle`, `staking` and `hitch` are your own; what counts is whether they are the \
            same as those in a run.",
    list: &[&THROTTLE, &MARKS, &STAKING, &CHAINS, &DEPTH, &DEPTH_ALL, &HITCH],
    ..Keys::ONCE
};

pub(super) static THROTTLE: Key<String> = Key {
    name: "throttle",
    takes: &Text,
    needed: Needed::No,
    example: "\"gear 2, 1800 turns\"",
    meaning: "Throttle and gear, in words.",
};
pub(super) static MARKS: Key<Length> = Key {
    name: "marks",
    takes: &length(&bounds::MARKS_MOVED),
    needed: Needed::No,
    example: "\"3 in\"",
    meaning: "How far the marks were moved out, away from the start of the field, since they were \
              staked (home: negative).",
};
pub(super) static STAKING: Key<String> = Key {
    name: "staking",
    takes: &Text,
    needed: Needed::No,
    example: "\"second\"",
    meaning: "Which staking of the marks it is, in words. Where all are staked anew, write other \
              words, and `marks` starts from nought.",
};
pub(super) static CHAINS: Key<Vec<Decimal>> = Key {
    name: "chains",
    takes: &list(signed_whole(&bounds::TEETH_JUMPED)),
    needed: Needed::No,
    example: "[0, 2, -1, 0]",
    meaning: "Teeth that the chain on the meter of each row was jumped so far, forward, the way it \
              turns (back: negative), from row 1 on.",
};
pub(super) static DEPTH: Key<Vec<Decimal>> = Key {
    name: "depth",
    takes: &list(number(&bounds::TURNS_MADE)),
    needed: Needed::No,
    example: "[0, 0, 2, 0]",
    meaning: "Turns that the depth setting of each row was turned in so far (out: negative), from \
              row 1 on.",
};
pub(super) static DEPTH_ALL: Key<Decimal> = Key {
    name: "depth-all",
    takes: &number(&bounds::TURNS_MADE),
    needed: Needed::No,
    example: "1",
    meaning: "The same for a setting that all rows share, or turns of all rows alike.",
};
pub(super) static HITCH: Key<String> = Key {
    name: "hitch",
    takes: &Text,
    needed: Needed::No,
    example: "\"planter 3 in to the left\"",
    meaning: "How the planter hangs at its hitch, and which marker arms or lines the tractor goes \
              by, in words.",
};

/// Teeth, as one row has them.
pub(super) const ONE_CHAIN: SignedWhole = signed_whole(&bounds::TEETH_JUMPED);

/// The table as read.
#[derive(Debug, Default)]
pub(super) struct Table {
    pub(super) throttle: Option<String>,
    pub(super) marks: Option<Length>,
    pub(super) staking: Option<String>,
    chains: Option<Placed<Vec<Decimal>>>,
    depth: Option<Placed<Vec<Decimal>>>,
    depth_all: Option<Decimal>,
    pub(super) hitch: Option<String>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    Table {
        throttle: table.read(reader, &THROTTLE),
        marks: table.read(reader, &MARKS),
        staking: table.read(reader, &STAKING),
        chains: table.placed(reader, &CHAINS),
        depth: table.placed(reader, &DEPTH),
        depth_all: table.read(reader, &DEPTH_ALL),
        hitch: table.read(reader, &HITCH),
    }
}

impl Table {
    /// The lists by row, with the names of their keys.
    pub(super) fn by_row(&self) -> impl Iterator<Item = (&'static str, Range<usize>, usize)> {
        let all = [(CHAINS.name, &self.chains), (DEPTH.name, &self.depth)];
        let placed = |(name, list): (_, &Option<Placed<Vec<Decimal>>>)| {
            let list = list.as_ref()?;
            Some((name, list.span.clone(), list.value.len()))
        };
        all.map(placed).into_iter().flatten()
    }

    /// Teeth that the chain of a row was jumped.
    pub(super) fn jumped(&self, row: u32) -> Decimal {
        of_row(&self.chains, row)
    }

    /// Turns that the depth setting of a row was turned in.
    pub(super) fn turned(&self, row: u32) -> Decimal {
        of_row(&self.depth, row)
    }

    /// Turns that those of all rows alike were turned in.
    pub(super) fn turned_alike(&self) -> Decimal {
        self.depth_all.unwrap_or(NOUGHT)
    }

    /// What it holds, for the record.
    pub(super) fn held(&self) -> Vec<Subject> {
        let mut all = vec![];
        let mut add = |what, has: bool| all.extend(has.then_some(Subject::Hand(what)));
        add(ByHand::Throttle, self.throttle.is_some());
        add(ByHand::Marks, self.marks.is_some());
        add(ByHand::Staking, self.staking.is_some());
        for row in rows(&self.chains) {
            add(ByHand::Chain { row }, true);
        }
        for row in rows(&self.depth) {
            add(ByHand::Depth { row: Some(row) }, true);
        }
        add(ByHand::Depth { row: None }, self.depth_all.is_some());
        add(ByHand::Hitch, self.hitch.is_some());
        all
    }
}

fn rows(list: &Option<Placed<Vec<Decimal>>>) -> impl Iterator<Item = u32> + use<> {
    let count = list.as_ref().map_or(0, |list| list.value.len());
    (1..).take(count)
}

const NOUGHT: Decimal = Decimal::whole(0);

/// The number of a row; rows that a list does not reach stand at nought.
fn of_row(list: &Option<Placed<Vec<Decimal>>>, row: u32) -> Decimal {
    let place = usize::try_from(row).ok().and_then(|row| row.checked_sub(1));
    let number = list.as_ref().zip(place).and_then(|(list, place)| list.value.get(place));
    number.copied().unwrap_or(NOUGHT)
}
