//! `[[guess-row-run]]`: gaps between the outer rows of neighbouring passes.

use crate::calculations::guess_rows::{Steering, Turn};
use crate::quantity::Length;
use crate::quantity::bounds;

use super::placed::Placed;
use super::reader::{
    Blank, Hint, Key, Keys, Needed, Reader, Recording, Section, Values, length, list, word,
};
use super::run::{self, Run};

pub(super) static KEYS: Keys = Keys {
    name: "guess-row-run",
    meaning: "Gaps between the outer rows of neighbouring passes.",
    needed: Needed::Where("for the guess rows"),
    notes: "Tape square across, from the outer row of the one pass to the outer row of the next, \
            once a gap: several places of one gap are one reading, their mean. A run holds gaps \
            after turns of one way; it takes turns both ways to part the planter's side from the \
            pitch. Where the tractor follows lines, neighbouring gaps share a pass, and a pass \
            that lies off makes the one wider and the other narrower: tape every third gap.",
    list: &[&TURN, &STEERED_BY, &GAP],
    shown: &[&TURN, &STEERED_BY, &GAP],
    run: Some(Recording {
        name: "guess-row",
        about: "Gaps between the outer rows of neighbouring passes; values are the gaps",
        values: &[Values { list: &GAP, with: None, many: "gaps" }],
        pair: None,
        shared: run::WITHOUT_SPEED,
        blanks: &[
            Blank {
                fields: &[(&TURN, Hint::Filled("\"left\"")), (&STEERED_BY, STEERED)],
                lists: &[&GAP],
            },
            Blank {
                fields: &[(&TURN, Hint::Filled("\"right\"")), (&STEERED_BY, STEERED)],
                lists: &[&GAP],
            },
        ],
    }),
    ..Keys::MANY
};

const STEERED: Hint = Hint::Words("\"lines\" or \"marker-arms\"");

static TURN: Key<Turn> = Key {
    name: "turn",
    takes: &word(&[("left", Turn::Left), ("right", Turn::Right)]),
    needed: Needed::Always,
    example: "\"left\"",
    meaning: "Which way the planter turned from the pass before into this one. After a right turn \
              each of the two passes has the other on its right, seen in its own travel.",
};
static STEERED_BY: Key<Steering> = Key {
    name: "steered-by",
    takes: &word(&[("lines", Steering::Lines), ("marker-arms", Steering::MarkerArms)]),
    needed: Needed::Always,
    example: "\"lines\"",
    meaning: "What the tractor went by: `lines` a pitch apart that don't hang on the planter \
              (guidance, stakes), or what the planter left on the pass before (the line of a \
              marker arm, its outer row). Where it was the second, the same gaps mean a planter \
              twice as far off.",
};
static GAP: Key<Vec<Length>> = Key {
    name: "gap",
    takes: &list(length(&bounds::PASS_GAP)),
    needed: Needed::Always,
    example: "[\"31 in\", \"31 1/2 in\"]",
    meaning: "From the outer row of the pass before to the outer row of this one.",
};

/// One run; what could not be read is missing.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) run: Run,
    pub(super) turn: Option<Turn>,
    pub(super) steering: Option<Steering>,
    pub(super) gaps: Option<Placed<Vec<Length>>>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>, run: Run) -> Table {
    Table {
        run,
        turn: table.read(reader, &TURN),
        steering: table.read(reader, &STEERED_BY),
        gaps: table.placed(reader, &GAP),
    }
}
