//! `[planter]`: what is true of the machine from one trial to the next.

use std::ops::Range;

use toml::de::DeValue;

use crate::calculations::chain::ChainDrive;
use crate::calculations::depth::{DepthTurns, Way};
use crate::calculations::spacing::DriveStage;
use crate::calculations::sprockets::{Position, Stage};
use crate::calculations::trip::ScaleKind;
use crate::calculations::wheel::Travel;
use crate::outcome::Direction;
use crate::quantity::bounds;
use crate::quantity::{
    Decimal, Duration, Length, PerTime, PerTimeUnit, Share, ShareUnit, TimeUnit,
};

use super::Placed;
use super::codes;
use super::reader::{
    Item, Reader, Section, counted, length, measure, number, whole, whole_list, word,
};
use super::run;

/// The table as read.
#[derive(Debug, Default)]
#[allow(dead_code)]
pub(super) struct Planter {
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
}

/// A setting that moves alleys.
#[derive(Debug)]
pub(super) struct Moving {
    pub(super) span: Range<usize>,
    pub(super) raising: Option<Direction>,
    pub(super) step: Option<Length>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Planter {
    let measured = table.table(reader, "travel-per-turn", travel);
    let circumference =
        table.placed(reader, "rolling-circumference", length(&bounds::TRAVEL_PER_TURN));
    let skid = table.placed(reader, "skid", measure::<ShareUnit>(&bounds::SKID));
    table.optional(reader, "name", super::text);
    let drive_span = table.place("drive");
    Planter {
        rows: table.placed(reader, "rows", counted(&bounds::ROWS)),
        row_spacing: table.placed(reader, "row-spacing", length(&bounds::ROW_SPACING)),
        travel: choose_travel(reader, measured.flatten(), circumference.as_ref(), skid),
        circumference,
        drop_height: table.placed(reader, "drop-height", length(&bounds::DROP_HEIGHT)),
        plate: table.table(reader, "plate", plate),
        drive: table.tables(reader, "drive", stage).into_iter().flatten().collect(),
        drive_span,
        controller: table.table(reader, "controller", controller).unwrap_or_default(),
        depth_turns: table.table(reader, "depth-turns", depth_turns),
    }
}

fn travel(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Option<Travel> {
    let distance = table.required(reader, "distance", "\"67 ft 11 in\"", length(&bounds::COURSE));
    let turns = table.required(reader, "turns", "10", number(&bounds::TURNS));
    let (distance, turns) = (distance?, turns?);
    run::check_travel(reader, &distance, &turns, table.place("turns"));
    Some(Travel::Measured { distance, turns })
}

/// What turning the depth setting does; which way it goes is never guessed.
fn depth_turns(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Option<DepthTurns> {
    let depth = table.required(reader, "depth", "\"1/4 in\"", length(&bounds::DEPTH_CHANGE));
    let turns = table.required(reader, "turns", "1", number(&bounds::DEPTH_TURNS));
    let ways = word(&[("deeper", Way::Deeper), ("shallower", Way::Shallower)]);
    let turning_in = table.optional(reader, "turning-in", ways);
    if !table.has("turning-in") {
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
    let meter_teeth =
        table.optional(reader, "meter-teeth", whole(&bounds::TEETH)).map(Decimal::whole);
    let carry = table.placed(reader, "carry", whole(&bounds::CARRY));
    let cells = table.required(reader, "cells", "40", whole(&bounds::CELLS));
    if let (Some(carry), Some(cells)) = (&carry, cells)
        && carry.value >= cells
    {
        let message = format!("`carry` can't be {} on a plate of {cells} cells", carry.value);
        let advice = "count the cells from where a seed gets onto the plate to where it leaves it";
        reader.say(&codes::OUT_OF_RANGE, carry.span.clone(), message, advice).allowed =
            Some(format!("0 to {}, less than a full turn of the plate", cells - 1));
    }
    let cells = cells.map(Decimal::whole);
    let carry = carry.map(|carry| Decimal::whole(carry.value));
    Plate {
        cells,
        carry,
        meter_teeth,
        turns_per_wheel_turn: table.optional(
            reader,
            "turns-per-wheel-turn",
            number(&bounds::PLATE_PER_WHEEL),
        ),
        top_rate: table.placed(reader, "top-rate", measure::<PerTimeUnit>(&bounds::PLATE_RATE)),
    }
}

fn stage(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Option<DriveStage> {
    let example = "{ fitted = 24, choices = [20, 22, 24] }";
    let driving = sprocket(reader, table, "driving", example);
    let driven = sprocket(reader, table, "driven", example);
    let chain = chain(reader, table);
    Some(DriveStage { sprockets: Stage { driving: driving?, driven: driven? }, chain })
}

/// A sprocket position: a bare number of teeth, or a table of what is fitted and what could be.
fn sprocket(
    reader: &mut Reader<'_>,
    table: &mut Section<'_>,
    key: &'static str,
    example: &str,
) -> Option<Position> {
    let bare = |reader: &mut Reader<'_>, item: Item<'_, '_>| {
        if let DeValue::Array(_) = item.value.get_ref() {
            let wanted = "the teeth of one sprocket, or what is fitted and what could be";
            let example =
                "the fitted one and those at hand: { fitted = 24, choices = [20, 22, 24] }";
            reader.wrong_type(item, wanted, example);
            return None;
        }
        whole(&bounds::TEETH)(reader, item).map(|fitted| Position { fitted, choices: vec![] })
    };
    if table.is_listed() {
        table.required(reader, key, example, bare);
    }
    if table.holds_table(reader, key) {
        return table.table(reader, key, |reader, inner| {
            let fitted = inner.required(reader, "fitted", "24", whole(&bounds::TEETH));
            let choices = inner.optional(reader, "choices", whole_list(&bounds::TEETH));
            let choices = choices.unwrap_or_default();
            repeated(reader, inner, &choices);
            Some(Position { fitted: fitted?, choices })
        })?;
    }
    table.required(reader, key, example, bare)
}

/// A choice listed twice may be another sprocket mistyped.
fn repeated(reader: &mut Reader<'_>, table: &Section<'_>, choices: &[u32]) {
    let mut seen = std::collections::BTreeSet::new();
    for (index, teeth) in choices.iter().enumerate() {
        if !seen.insert(teeth) {
            let message = format!("{teeth} teeth are listed twice in `choices`");
            let advice = "it counts once; look whether another number was meant";
            let place = table.entry_place("choices", index);
            reader.say(&codes::REPEATED_CHOICE, place, message, advice);
        }
    }
}

fn chain(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Option<ChainDrive> {
    let centre = table.placed(reader, "centre-distance", length(&bounds::CENTRE_DISTANCE));
    let pitch = table.placed(reader, "chain-pitch", length(&bounds::CHAIN_PITCH));
    let links = table.placed(reader, "links", whole(&bounds::CHAIN_LINKS));
    let take_up = table.placed(reader, "take-up", whole(&bounds::TAKE_UP));
    if let (Some(take_up), false) = (&take_up, table.has("links")) {
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
    let unread = ["centre-distance", "chain-pitch"].iter().all(|key| table.has(key));
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
        timer_step: table.optional(reader, "timer-step", measure::<TimeUnit>(&bounds::TIMER_STEP)),
        trip_scale: table.table(reader, "trip-scale", trip_scale),
        setback: table.table(reader, "setback", moving),
        pass_offset: table.table(reader, "pass-offset", moving),
    }
}

fn trip_scale(reader: &mut Reader<'_>, table: &mut Section<'_>) -> TripScale {
    let counts =
        table.optional(reader, "counts", word(&[("per length", ScaleKind::CountsPerLength)]));
    let length =
        table.optional(reader, "length", word(&[("per count", ScaleKind::LengthPerCount)]));
    if table.has("counts") && table.has("length") {
        let message = "the trip scale can't be counts per length and length per count at once";
        reader.say(
            &codes::CONFLICT,
            table.place("length"),
            message,
            "keep the one the manual gives",
        );
    } else if !table.has("counts") && !table.has("length") {
        let message = "the sheet does not say which way round the trip scale is";
        let advice = "add `counts = \"per length\"` or `length = \"per count\"` inside the braces; the machine's manual says which";
        reader.say(&codes::MISSING_SIGN, table.span(), message, advice).allowed =
            Some("counts = \"per length\" or length = \"per count\"".into());
    }
    TripScale {
        kind: counts.or(length),
        step: table.optional(reader, "step", number(&bounds::SCALE_STEP)),
    }
}

fn moving(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Moving {
    Moving {
        span: table.span(),
        raising: table.optional(
            reader,
            "raising-moves-alley",
            word(&[("back", Direction::Back), ("ahead", Direction::Ahead)]),
        ),
        step: table.optional(reader, "step", length(&bounds::SETTING_STEP)),
    }
}
