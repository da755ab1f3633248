//! `[[run-up-run]]`: starts from standing, taped or timed until the speed of the trial.

use crate::quantity::bounds;
use crate::quantity::{Duration, Length};

use super::codes;
use super::reader::{
    Blank, Hint, Key, Keys, Needed, Reader, Recording, Section, Values, length, list, measure,
};
use super::run::{self, Run};

pub(super) static KEYS: Keys = Keys {
    name: "run-up-run",
    meaning: "Starts from standing, until the planter is at speed.",
    needed: Needed::Where("for the run-up, or `time-to-speed`"),
    notes: "Planter down and loaded, in the gear of the trial, started as for a pass. Taped: from a \
            flag at the seed tubes where it stood to where they were when the gauge first showed \
            the speed. Timed: from the start until then.",
    list: &[&DISTANCE, &TIMES],
    shown: &[&DISTANCE],
    run: Some(Recording {
        name: "run-up",
        about: "Starts from standing, until at speed; values are the ways taped",
        values: &[Values { list: &DISTANCE, with: None, many: "ways" }],
        pair: None,
        shared: run::SHARED,
        blanks: &[
            Blank { fields: &[(&run::SPEED, Hint::Speed)], lists: &[&DISTANCE] },
            Blank { fields: &[(&run::SPEED, Hint::Speed)], lists: &[&TIMES] },
        ],
    }),
    ..Keys::MANY
};

static DISTANCE: Key<Vec<Length>> = Key {
    name: "distance",
    takes: &list(length(&bounds::TAPE)),
    needed: Needed::Where("or `times`"),
    example: "[\"11 ft\", \"12 ft 6 in\"]",
    meaning: "Ground from standing to speed, each start.",
};
static TIMES: Key<Vec<Duration>> = Key {
    name: "times",
    takes: &list(measure(&bounds::COURSE_TIME)),
    needed: Needed::Where("or `distance`"),
    example: "[\"5.2 s\", \"5.6 s\"]",
    meaning: "Time from standing to speed, each start; the speed is taken to be gained evenly, half \
              of it on the way.",
};

/// One run; what could not be read is missing.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) run: Run,
    pub(super) distances: Vec<Length>,
    pub(super) times: Vec<Duration>,
    /// Whether something of it could not be read.
    pub(super) unread: bool,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>, run: Run) -> Table {
    let distances = table.read(reader, &DISTANCE);
    let times = table.read(reader, &TIMES);
    match (table.has(&DISTANCE), table.has(&TIMES)) {
        (true, true) => {
            let message = "`distance` and `times` both say how long a start took";
            let advice = "keep one of them, or make two runs of it";
            reader.say(&codes::CONFLICT, table.place(&TIMES), message, advice);
        }
        (false, false) => {
            let message = "this [[run-up-run]] has neither `distance` nor `times`";
            let advice = "add `distance = [\"11 ft\", \"12 ft 6 in\"]`, or `times = [\"5.2 s\"]`";
            reader.say(&codes::MISSING_KEY, table.span(), message, advice);
        }
        _ => {}
    }
    let unread = distances.is_none() && times.is_none();
    Table {
        run,
        distances: distances.unwrap_or_default(),
        times: times.unwrap_or_default(),
        unread,
    }
}
