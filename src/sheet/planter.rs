//! `[planter]`: what is true of the machine from one trial to the next.

use std::ops::Range;

use toml::de::DeValue;

use crate::calculations::chain::ChainDrive;
use crate::calculations::depth::{DepthTurns, Way};
use crate::calculations::spacing::DriveStage;
use crate::calculations::sprockets::{Position, Stage};
use crate::calculations::trip::ScaleKind;
use crate::calculations::wheel::Travel;
use crate::outcome::setting;
use crate::outcome::{Direction, Heading};
use crate::quantity::bounds;
use crate::quantity::{Decimal, Duration, Length, PerTime, Share, brief};

use super::codes;
use super::placed::Placed;
use super::reader::{
    Item, Key, Keys, Needed, Reader, Section, Shape, Takes, Text, counted, length, measure, number,
    whole, whole_list, word,
};
use super::travel::check_travel;

pub(super) static KEYS: Keys = Keys {
    name: "planter",
    meaning: "The machine.",
    file: "four-row.toml",
    instead: "[planter] on a line of its own, and its keys in the lines below; or the file that it \
              stands in, above the first table: planter = \"four-row.toml\"",
    notes: "It may stand in a file of its own that sheets share, by `planter = \"four-row.toml\"` \
            above the first table.",
    list: &[
        &NAME,
        &SERIAL,
        &ROWS,
        &ROW_SPACING,
        &TRAVEL_PER_TURN,
        &ROLLING_CIRCUMFERENCE,
        &SKID,
        &PLATE,
        &DRIVE,
        &DROP_HEIGHT,
        &CONTROLLER,
        &DEPTH_TURNS,
    ],
    ..Keys::ONCE
};

pub(super) static NAME: Key<String> = Key {
    name: "name",
    takes: &Text,
    needed: Needed::No,
    example: "\"four-row\"",
    meaning: "A name. What was measured with another planter is not used.",
};
static SERIAL: Key<String> = Key {
    name: "serial",
    takes: &Text,
    needed: Needed::No,
    example: "\"0417\"",
    meaning: "Its serial number. For the record.",
};
static ROWS: Key<Decimal> = Key {
    name: "rows",
    takes: &counted(&bounds::ROWS),
    needed: Needed::Where("for guess rows, layout"),
    example: "4",
    meaning: "Rows planted in one pass.",
};
pub(super) static ROW_SPACING: Key<Length> = Key {
    name: "row-spacing",
    takes: &length(&bounds::ROW_SPACING),
    needed: Needed::Where("for spacing, changeover, rows, guess rows, evenness, stand, layout"),
    example: "\"30 in\"",
    meaning: "Distance between rows.",
};
static ROLLING_CIRCUMFERENCE: Key<Length> = Key {
    name: "rolling-circumference",
    takes: &length(&bounds::TRAVEL_PER_TURN),
    needed: Needed::No,
    example: "\"2.08 m\"",
    meaning: "Way of the wheel in one turn without skid. With `skid` it takes the place of \
              `travel-per-turn`; with a `[[wheel-run]]` it gives the skid.",
};
static SKID: Key<Share> = Key {
    name: "skid",
    takes: &measure(&bounds::SKID),
    needed: Needed::No,
    example: "\"4 %\"",
    meaning: "Share of the way that the wheel slides without turning.",
};
static DROP_HEIGHT: Key<Length> = Key {
    name: "drop-height",
    takes: &length(&bounds::DROP_HEIGHT),
    needed: Needed::No,
    example: "\"18 in\"",
    meaning: "Height that seed falls: a check on the latency of the speed law, and the fall time \
              of a changeover without `fall-time`.",
};

/// `[planter.travel-per-turn]`.
static TRAVEL_PER_TURN: Keys = Keys {
    name: "travel-per-turn",
    meaning: "Ground covered in so many turns of the drive wheel, loaded, in the soil to be \
              planted.",
    needed: Needed::Where("for spacing, or a `[[wheel-run]]`"),
    example: "{ distance = \"67 ft 11 in\", turns = 10 }",
    instead: "the course and the turns it took: { distance = \"67 ft 11 in\", turns = 10 }",
    list: &[&DISTANCE, &TURNS],
    ..Keys::ONCE
};

static DISTANCE: Key<Length> = Key {
    name: "distance",
    takes: &length(&bounds::COURSE),
    needed: Needed::Always,
    example: "\"67 ft 11 in\"",
    meaning: "Ground covered.",
};
static TURNS: Key<Decimal> = Key {
    name: "turns",
    takes: &number(&bounds::TURNS),
    needed: Needed::Always,
    example: "10",
    meaning: "Turns of the drive wheel on the way.",
};

/// `[planter.depth-turns]`.
static DEPTH_TURNS: Keys = Keys {
    name: "depth-turns",
    meaning: "What turning the depth setting of a row does.",
    example: "{ depth = \"1/4 in\", turns = 1, turning-in = \"deeper\" }",
    instead: "what a turn does: { depth = \"1/4 in\", turns = 1, turning-in = \"deeper\" }, or \
              \"shallower\"",
    notes: "Turns of a screw, notches of a lever, holes of a plate: whatever the machine has.",
    list: &[&DEPTH, &DEPTH_OVER, &TURNING_IN],
    ..Keys::ONCE
};

static DEPTH: Key<Length> = Key {
    name: "depth",
    takes: &length(&bounds::DEPTH_CHANGE),
    needed: Needed::Always,
    example: "\"1/4 in\"",
    meaning: "How much the depth changes.",
};
static DEPTH_OVER: Key<Decimal> = Key {
    name: "turns",
    takes: &number(&bounds::DEPTH_TURNS),
    needed: Needed::Always,
    example: "1",
    meaning: "In so many turns.",
};
pub(super) static TURNING_IN: Key<Way> = Key {
    name: "turning-in",
    takes: &word(&[("deeper", Way::Deeper), ("shallower", Way::Shallower)]),
    needed: Needed::Where("with the other two"),
    example: "\"deeper\"",
    meaning: "Which way the depth changes when turned in. Never guessed: turn one row and look.",
};

/// `[planter.plate]`.
pub(super) static PLATE: Keys = Keys {
    name: "plate",
    meaning: "The seed plate.",
    needed: Needed::Where("for spacing, changeover, rows"),
    example: "{ cells = 40, carry = 16 }",
    instead: "the cells of the plate in braces: { cells = 40 }",
    list: &[&CELLS, &CARRY, &METER_TEETH, &TURNS_PER_WHEEL_TURN, &TOP_RATE],
    shown: &[&CELLS, &CARRY],
    ..Keys::ONCE
};

pub(super) static CELLS: Key<u32> = Key {
    name: "cells",
    takes: &whole(&bounds::CELLS),
    needed: Needed::Always,
    example: "40",
    meaning: "Cells of the seed plate.",
};
pub(super) static CARRY: Key<u32> = Key {
    name: "carry",
    takes: &whole(&bounds::CARRY),
    needed: Needed::Where("for the changeover"),
    example: "16",
    meaning: "Cells from pick-up (where a seed gets onto the plate) to release (where it leaves \
              it); fewer than `cells`.",
};
static METER_TEETH: Key<Decimal> = Key {
    name: "meter-teeth",
    takes: &counted(&bounds::TEETH),
    needed: Needed::Where("for jumps in rows"),
    example: "15",
    meaning: "Teeth of the sprocket on the meter: how far a jump of the chain \
              turns the plate.",
};
static TURNS_PER_WHEEL_TURN: Key<Decimal> = Key {
    name: "turns-per-wheel-turn",
    takes: &number(&bounds::PLATE_PER_WHEEL),
    needed: Needed::No,
    example: "0.3333",
    meaning: "Plate turns per turn of the drive wheel, where that can't be changed. Takes the \
              place of `[[planter.drive]]`.",
};
static TOP_RATE: Key<PerTime> = Key {
    name: "top-rate",
    takes: &measure(&bounds::PLATE_RATE),
    needed: Needed::No,
    example: "\"45 turns/min\"",
    meaning: "The fastest the meter may turn.",
};

/// `[[planter.drive]]`.
static DRIVE: Keys = Keys {
    name: "drive",
    meaning: "One table per chain, `[[planter.drive]]`, from the wheel to the plate.",
    needed: Needed::Where("for spacing, or `turns-per-wheel-turn`"),
    instead: "[[planter.drive]] on a line of its own, and driving = 24 and driven = 18 below it",
    list: &[
        &BARE_DRIVING,
        &DRIVING,
        &BARE_DRIVEN,
        &DRIVEN,
        &CENTRE_DISTANCE,
        &CHAIN_PITCH,
        &LINKS,
        &TAKE_UP,
    ],
    ..Keys::MANY
};

static BARE_DRIVING: Key<Position> = Key {
    name: "driving",
    takes: &BareTeeth,
    needed: Needed::Always,
    example: "{ fitted = 24, choices = [20, 22, 24] }",
    meaning: "The sprocket that drives: its teeth, or a table.",
};
static BARE_DRIVEN: Key<Position> = Key {
    name: "driven",
    takes: &BareTeeth,
    needed: Needed::Always,
    example: "{ fitted = 24, choices = [20, 22, 24] }",
    meaning: "The sprocket that is driven: its teeth, or a table.",
};
static CENTRE_DISTANCE: Key<Length> = Key {
    name: "centre-distance",
    takes: &length(&bounds::CENTRE_DISTANCE),
    needed: Needed::Where("for the chain"),
    example: "\"19 1/2 in\"",
    meaning: "Distance between the two sprocket centres.",
};
static CHAIN_PITCH: Key<Length> = Key {
    name: "chain-pitch",
    takes: &length(&bounds::CHAIN_PITCH),
    needed: Needed::Where("for the chain"),
    example: "\"1/2 in\"",
    meaning: "Pitch of the chain.",
};
static LINKS: Key<u32> = Key {
    name: "links",
    takes: &whole(&bounds::CHAIN_LINKS),
    needed: Needed::No,
    example: "100",
    meaning: "Links of the chain that is fitted.",
};
static TAKE_UP: Key<u32> = Key {
    name: "take-up",
    takes: &whole(&bounds::TAKE_UP),
    needed: Needed::No,
    example: "2",
    meaning: "Links that the idler can take up. Without it: none.",
};

/// `[planter.drive.driving]`.
static DRIVING: Keys = Keys {
    name: "driving",
    meaning: "The sprocket that drives.",
    example: "{ fitted = 24, choices = [20, 22, 24] }",
    ..PLACE
};
/// `[planter.drive.driven]`.
static DRIVEN: Keys = Keys {
    name: "driven",
    meaning: "The sprocket that is driven.",
    example: "{ fitted = 18, choices = [16, 17, 18] }",
    ..PLACE
};
/// A place for a sprocket.
const PLACE: Keys = Keys { list: &[&FITTED, &CHOICES], ..Keys::ONCE };

static FITTED: Key<u32> = Key {
    name: "fitted",
    takes: &whole(&bounds::TEETH),
    needed: Needed::Always,
    example: "24",
    meaning: "Teeth of the sprocket that is on.",
};
static CHOICES: Key<Vec<u32>> = Key {
    name: "choices",
    takes: &whole_list(&bounds::TEETH),
    needed: Needed::No,
    example: "[20, 22, 24]",
    meaning: "Teeth of all that could go on at this place. Without it the sprocket stays.",
};

/// `[planter.controller]`.
static CONTROLLER: Keys = Keys {
    name: "controller",
    meaning: "What the controller's numbers mean.",
    needed: Needed::Where("for trip, alley and passes"),
    list: &[&TRIP_SCALE, &SETBACK, &PASS_OFFSET, &TIMER_STEP],
    ..Keys::ONCE
};

static TIMER_STEP: Key<Duration> = Key {
    name: "timer-step",
    takes: &measure(&bounds::TIMER_STEP),
    needed: Needed::No,
    example: "\"0.05 s\"",
    meaning: "The smallest change of a timer.",
};

/// `[planter.controller.trip-scale]`.
static TRIP_SCALE: Keys = Keys {
    name: setting::TRIP_SCALE.key,
    meaning: "What the trip scale means.",
    needed: Needed::Where("for trip"),
    example: "{ counts = \"per length\", step = 0.01 }",
    instead: "what the number means: { counts = \"per length\" } or { length = \"per count\" }; the \
              number itself goes under [settings]",
    list: &[&COUNTS, &LENGTH, &SCALE_STEP, &CALLED],
    shown: &[&COUNTS, &SCALE_STEP],
    ..Keys::ONCE
};

static COUNTS: Key<ScaleKind> = Key {
    name: "counts",
    takes: &word(&[("per length", ScaleKind::CountsPerLength)]),
    needed: Needed::Where("one of the two"),
    example: "\"per length\"",
    meaning: "The scale is wheel counts per length.",
};
static LENGTH: Key<ScaleKind> = Key {
    name: "length",
    takes: &word(&[("per count", ScaleKind::LengthPerCount)]),
    needed: Needed::Where("one of the two"),
    example: "\"per count\"",
    meaning: "The scale is length per wheel count.",
};
static SCALE_STEP: Key<Decimal> = Key {
    name: "step",
    takes: &number(&bounds::SCALE_STEP),
    needed: Needed::No,
    example: "0.01",
    meaning: "The smallest change the controller takes. Without it the exact number is printed.",
};

/// `[planter.controller.setback]`.
static SETBACK: Keys = Keys {
    name: setting::SETBACK.key,
    meaning: "How the setback works.",
    needed: Needed::Where("for alley"),
    ..MOVING
};
/// `[planter.controller.pass-offset]`.
static PASS_OFFSET: Keys = Keys {
    name: setting::PASS_OFFSET.key,
    meaning: "How the pass offset works.",
    needed: Needed::Where("for passes"),
    ..MOVING
};
/// A setting that moves alleys.
const MOVING: Keys = Keys {
    example: "{ raising-moves-alley = \"back\", step = \"0.5 in\" }",
    instead: "which way it works: { raising-moves-alley = \"back\" } or \"ahead\"; the setting \
              itself goes under [settings]",
    list: &[&RAISING, &MOVES, &ACTS_ON, &STEP, &CALLED],
    shown: &[&RAISING, &STEP],
    ..Keys::ONCE
};

pub(super) static RAISING: Key<Direction> = Key {
    name: "raising-moves-alley",
    takes: &word(&[
        ("back", Direction::Back),
        ("ahead", Direction::Ahead),
        ("not known", Direction::NotKnown),
    ]),
    needed: Needed::Where("for alley, passes"),
    example: "\"back\"",
    meaning: "Which way the alley moves, seen along the travel, when the number is raised. Where it \
              is \"not known\", the next step is a trial change that tells.",
};
pub(super) static MOVES: Key<Decimal> = Key {
    name: "moves",
    takes: &number(&bounds::MOVES),
    needed: Needed::No,
    example: "1",
    meaning: "How far alleys move by a unit of the setting, where its number is in a unit of its own. \
              Without it: as far as it is changed.",
};
static ACTS_ON: Key<Option<Heading>> = Key {
    name: "acts-on",
    takes: &word(&[("both", None), ("out", Some(Heading::Out)), ("home", Some(Heading::Home))]),
    needed: Needed::No,
    example: "\"both\"",
    meaning: "The passes that it moves. Without it: both.",
};
static STEP: Key<Length> = Key {
    name: "step",
    takes: &length(&bounds::SETTING_STEP),
    needed: Needed::No,
    example: "\"0.5 in\"",
    meaning: "The smallest change the controller takes. Without it the exact length is printed.",
};

static CALLED: Key<String> = Key {
    name: "called",
    takes: &Text,
    needed: Needed::No,
    example: "\"line 3\"",
    meaning: "What the crew or the controller's screen calls it; printed beside its name.",
};

/// The table as read.
#[derive(Debug, Default)]
#[allow(dead_code)]
pub(super) struct Table {
    pub(super) name: Option<String>,
    pub(super) serial: Option<String>,
    pub(super) rows: Option<Placed<Decimal>>,
    pub(super) row_spacing: Option<Placed<Length>>,
    pub(super) travel: Option<Travel>,
    pub(super) circumference: Option<Placed<Length>>,
    pub(super) drop_height: Option<Placed<Length>>,
    pub(super) plate: Option<Plate>,
    pub(super) drive: Vec<DriveStage>,
    pub(super) drive_span: Range<usize>,
    pub(super) controller: Controller,
    /// `Some(None)` where it is there and could not be read.
    pub(super) depth_turns: Option<Option<DepthTurns>>,
}

/// The seed plate.
#[derive(Debug)]
pub(super) struct Plate {
    pub(super) cells: Option<Decimal>,
    pub(super) carry: Option<Decimal>,
    pub(super) meter_teeth: Option<Decimal>,
    pub(super) turns_per_wheel_turn: Option<Decimal>,
    pub(super) top_rate: Option<Placed<PerTime>>,
}

/// What the controller's numbers mean.
#[derive(Debug, Default)]
pub(super) struct Controller {
    pub(super) span: Range<usize>,
    pub(super) timer_step: Option<Duration>,
    pub(super) trip_scale: Option<TripScale>,
    pub(super) setback: Option<Moving>,
    pub(super) pass_offset: Option<Moving>,
}

/// The trip scale.
#[derive(Debug)]
pub(super) struct TripScale {
    pub(super) kind: Option<ScaleKind>,
    pub(super) step: Option<Decimal>,
    pub(super) called: Option<String>,
}

/// A setting that moves alleys.
#[derive(Debug)]
pub(super) struct Moving {
    pub(super) span: Range<usize>,
    pub(super) raising: Option<Direction>,
    pub(super) moves: Option<Decimal>,
    pub(super) acts_on: Option<Heading>,
    pub(super) step: Option<Length>,
    pub(super) called: Option<String>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    let measured = table.table(reader, &TRAVEL_PER_TURN, travel);
    let circumference = table.placed(reader, &ROLLING_CIRCUMFERENCE);
    let skid = table.placed(reader, &SKID);
    let name = table.read(reader, &NAME);
    let drive_span = table.place(&DRIVE);
    Table {
        name,
        serial: table.read(reader, &SERIAL),
        rows: table.placed(reader, &ROWS),
        row_spacing: table.placed(reader, &ROW_SPACING),
        travel: choose_travel(reader, measured.flatten(), circumference.as_ref(), skid),
        circumference,
        drop_height: table.placed(reader, &DROP_HEIGHT),
        plate: table.table(reader, &PLATE, plate),
        drive: table.tables(reader, &DRIVE, stage).into_iter().flatten().collect(),
        drive_span,
        controller: table.table(reader, &CONTROLLER, controller).unwrap_or_default(),
        depth_turns: table.table(reader, &DEPTH_TURNS, depth_turns),
    }
}

fn travel(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Option<Travel> {
    let (distance, turns) = (table.read(reader, &DISTANCE), table.read(reader, &TURNS));
    let (distance, turns) = (distance?, turns?);
    check_travel(reader, &distance, &turns, table.place(&TURNS));
    Some(Travel::Measured { distance, turns })
}

/// What turning the depth setting does; which way it goes is never guessed.
fn depth_turns(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Option<DepthTurns> {
    let (depth, turns) = (table.read(reader, &DEPTH), table.read(reader, &DEPTH_OVER));
    let turning_in = table.read(reader, &TURNING_IN);
    if !table.has(&TURNING_IN) {
        let message = "the sheet does not say whether turning in plants deeper or shallower";
        let advice = "add `turning-in = \"deeper\"` or \"shallower\" inside the braces; turn one \
                      row and look";
        reader.say(&codes::MISSING_SIGN, table.span(), message, advice).allowed =
            Some("\"deeper\" or \"shallower\"".into());
    }
    Some(DepthTurns { depth: depth?, turns: turns?, turning_in: turning_in? })
}

/// Measured travel goes before circumference and skid, since it holds the skid already.
fn choose_travel(
    reader: &mut Reader<'_>,
    measured: Option<Travel>,
    circumference: Option<&Placed<Length>>,
    skid: Option<Placed<Share>>,
) -> Option<Travel> {
    match (measured, circumference, skid) {
        (Some(travel), _, Some(skid)) => {
            let message = "`skid` has no effect: `travel-per-turn` was measured and holds it";
            reader.say(&codes::UNUSED_KEY, skid.span, message, "take one of them out");
            Some(travel)
        }
        (Some(travel), _, None) => Some(travel),
        (None, Some(circumference), Some(skid)) => {
            Some(Travel::Rolling { circumference: circumference.value.clone(), skid: skid.value })
        }
        (None, None, Some(skid)) => {
            let message = "`skid` has no effect without `rolling-circumference`";
            let advice = "add the circumference, or measure `travel-per-turn` in the soil";
            reader.say(&codes::UNUSED_KEY, skid.span, message, advice);
            None
        }
        (None, _, None) => None,
    }
}

fn plate(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Plate {
    let carry = table.placed(reader, &CARRY);
    let cells = table.read(reader, &CELLS);
    if let (Some(carry), Some(cells)) = (&carry, cells)
        && carry.value >= cells
    {
        let message = format!("`carry` can't be {} on a plate of {cells} cells", carry.value);
        let advice = "count the cells from where a seed gets onto the plate to where it leaves it";
        reader.say(&codes::OUT_OF_RANGE, carry.span.clone(), message, advice).allowed =
            Some(format!("0 to {}, less than a full turn of the plate", cells - 1));
    }
    Plate {
        cells: cells.map(Decimal::whole),
        carry: carry.map(|carry| Decimal::whole(carry.value)),
        meter_teeth: table.read(reader, &METER_TEETH),
        turns_per_wheel_turn: table.read(reader, &TURNS_PER_WHEEL_TURN),
        top_rate: table.placed(reader, &TOP_RATE),
    }
}

fn stage(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Option<DriveStage> {
    let driving = sprocket(reader, table, &BARE_DRIVING, &DRIVING);
    let driven = sprocket(reader, table, &BARE_DRIVEN, &DRIVEN);
    let chain = chain(reader, table);
    let (driving, driven) = (driving?, driven?);
    if let Some(chain) = &chain {
        room(reader, table, chain, driving.fitted, driven.fitted);
    }
    Some(DriveStage { sprockets: Stage { driving, driven }, chain })
}

/// Sprockets that are fitted can't lie in each other.
fn room(
    reader: &mut Reader<'_>,
    table: &Section<'_>,
    chain: &ChainDrive,
    driving: u32,
    driven: u32,
) {
    if chain.has_room(driving, driven) {
        return;
    }
    let (centre, pitch) = (&chain.centre_distance, &chain.pitch);
    let message = format!(
        "`centre-distance` can't be {centre} for sprockets of {driving} and {driven} teeth with a \
         chain of {pitch} pitch: they would lie in each other"
    );
    let advice = "look at the teeth, the pitch and the distance from shaft to shaft";
    let least = ChainDrive::least_centre(driving, driven) * pitch.value_in(centre.unit());
    let place = table.place(&CENTRE_DISTANCE);
    reader.say(&codes::OUT_OF_RANGE, place, message, advice).allowed =
        Some(format!("more than {} {}", brief(least), centre.unit()));
}

/// A sprocket position: a bare number of teeth, or a table of what is fitted and what could be.
fn sprocket(
    reader: &mut Reader<'_>,
    table: &mut Section<'_>,
    bare: &'static Key<Position>,
    keys: &'static Keys,
) -> Option<Position> {
    if !table.holds_table(bare) {
        return table.read(reader, bare);
    }
    table.table(reader, keys, |reader, inner| {
        let fitted = inner.read(reader, &FITTED);
        let choices = inner.read(reader, &CHOICES).unwrap_or_default();
        repeated(reader, inner, &choices);
        Some(Position { fitted: fitted?, choices })
    })?
}

/// The teeth of the one sprocket there is for a place.
struct BareTeeth;

impl Takes<Position> for BareTeeth {
    fn read(&self, reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<Position> {
        if let DeValue::Array(_) = item.value.get_ref() {
            let wanted = "the teeth of one sprocket, or what is fitted and what could be";
            let example =
                "the fitted one and those at hand: { fitted = 24, choices = [20, 22, 24] }";
            reader.wrong_type(item, wanted, example);
            return None;
        }
        let fitted = whole(&bounds::TEETH).read(reader, item)?;
        Some(Position { fitted, choices: vec![] })
    }

    fn shapes(&self) -> Vec<Shape> {
        vec![Shape::Whole(&bounds::TEETH)]
    }
}

/// A choice listed twice may be another sprocket mistyped.
fn repeated(reader: &mut Reader<'_>, table: &Section<'_>, choices: &[u32]) {
    let mut seen = std::collections::BTreeSet::new();
    for (index, teeth) in choices.iter().enumerate() {
        if !seen.insert(teeth) {
            let message = format!("{teeth} teeth are listed twice in `choices`");
            let advice = "it counts once; look whether another number was meant";
            let place = table.entry_place(&CHOICES, index);
            reader.say(&codes::REPEATED_CHOICE, place, message, advice);
        }
    }
}

fn chain(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Option<ChainDrive> {
    let centre = table.placed(reader, &CENTRE_DISTANCE);
    let pitch = table.placed(reader, &CHAIN_PITCH);
    let links = table.placed(reader, &LINKS);
    let take_up = table.placed(reader, &TAKE_UP);
    if let (Some(take_up), false) = (&take_up, table.has(&LINKS)) {
        let message = "`take-up` has no effect without `links`";
        let advice = "add the links of the fitted chain, or take this one out";
        reader.say(&codes::UNUSED_KEY, take_up.span.clone(), message, advice);
    }
    let take_up = take_up.map(|take_up| take_up.value);
    if let (Some(centre), Some(pitch)) = (&centre, &pitch) {
        return Some(ChainDrive {
            centre_distance: centre.value.clone(),
            pitch: pitch.value.clone(),
            links: links.map(|links| links.value),
            take_up,
        });
    }
    let unread = table.has(&CENTRE_DISTANCE) && table.has(&CHAIN_PITCH);
    let alone = [centre.map(|c| c.span), pitch.map(|p| p.span), links.map(|l| l.span)];
    if let (Some(span), false) = (alone.into_iter().flatten().next(), unread) {
        let message = "the chain length needs both `centre-distance` and `chain-pitch`";
        reader.say(&codes::UNUSED_KEY, span, message, "add what is missing, or take this one out");
    }
    None
}

fn controller(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Controller {
    Controller {
        span: table.span(),
        timer_step: table.read(reader, &TIMER_STEP),
        trip_scale: table.table(reader, &TRIP_SCALE, trip_scale),
        setback: table.table(reader, &SETBACK, moving),
        pass_offset: table.table(reader, &PASS_OFFSET, moving),
    }
}

fn trip_scale(reader: &mut Reader<'_>, table: &mut Section<'_>) -> TripScale {
    let (counts, length) = (table.read(reader, &COUNTS), table.read(reader, &LENGTH));
    if table.has(&COUNTS) && table.has(&LENGTH) {
        let message = "the trip scale can't be counts per length and length per count at once";
        reader.say(
            &codes::CONFLICT,
            table.place(&LENGTH),
            message,
            "keep the one the manual gives",
        );
    } else if !table.has(&COUNTS) && !table.has(&LENGTH) {
        let message = "the sheet does not say which way round the trip scale is";
        let advice = "add `counts = \"per length\"` or `length = \"per count\"` inside the braces; the machine's manual says which";
        reader.say(&codes::MISSING_SIGN, table.span(), message, advice).allowed =
            Some("counts = \"per length\" or length = \"per count\"".into());
    }
    TripScale {
        kind: counts.or(length),
        step: table.read(reader, &SCALE_STEP),
        called: table.read(reader, &CALLED),
    }
}

fn moving(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Moving {
    Moving {
        span: table.span(),
        raising: table.read(reader, &RAISING),
        moves: table.read(reader, &MOVES),
        acts_on: table.read(reader, &ACTS_ON).flatten(),
        step: table.read(reader, &STEP),
        called: table.read(reader, &CALLED),
    }
}
