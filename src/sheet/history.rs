//! `[[history]]`: what was changed, when, and why.

use toml::de::DeValue;

use crate::calculations::changeover::Extent;
use crate::outcome::setting::{SETTINGS_OF_CONTROLLER, TRIP_SCALE};
use crate::outcome::{ByHand, Condition};
use crate::quantity::bounds::{self, Bounds};
use crate::quantity::{Decimal, Length, Measure, MeasureUnit, Share, ShareUnit, Speed, SpeedUnit};
use crate::record::operating_point::OperatingPoint;
use crate::record::{Change, Held, Subject};

use super::changeover::EXTENT;
use super::codes;
pub(super) use super::operating_point::BOOST;
use super::operating_point::{self, ALLEY, POPULATION, SEED_SPACING};
use super::reader::{
    Day, InLengths, Item, Key, Keys, Mapped, Names, Needed, Reader, Section, Shape, Takes, Text,
    either, length, list, mapped, measure, number, signed_whole, whole, word,
};
use super::with;

pub(super) static KEYS: Keys = Keys {
    name: "history",
    meaning: "A setting that was changed.",
    notes: "One table for each change of a setting, oldest first; `apply` writes them.",
    list: &[
        &DATE,
        &SETTING,
        &FROM,
        &TO,
        &ERROR,
        &REASON,
        &BY,
        &RUNS,
        &SPEED,
        &POPULATION,
        &SEED_SPACING,
        &ALLEY,
        &BOOST,
    ],
    ..Keys::MANY
};

pub(super) static DATE: Key<String> = Key {
    name: "date",
    takes: &Day,
    needed: Needed::Always,
    example: "2027-04-18",
    meaning: "When, without quotes.",
};
pub(super) static SETTING: Key<Subject> = Key {
    name: "setting",
    takes: &Setting,
    needed: Needed::Always,
    example: "\"setback\"",
    meaning: "What was changed: its key in [settings]; the wait or length of an action, such as \
              `fill.wait` or `fill.for`; or a sprocket such as `chain-1-driving`.",
};
pub(super) static FROM: Key<Held> = Key {
    name: "from",
    takes: &AnySetting,
    needed: Needed::Always,
    example: "\"15 in\"",
    meaning: "What it was, as typed.",
};
pub(super) static TO: Key<Held> = Key {
    name: "to",
    takes: &AnySetting,
    needed: Needed::Always,
    example: "\"15 in\"",
    meaning: "What it was changed to.",
};
pub(super) static ERROR: Key<Held> = Key {
    name: "error",
    takes: &either(
        is_share,
        mapped(measure::<ShareUnit>(&bounds::ERROR_SHARE), kept),
        kept_length(&bounds::LEAD),
    ),
    needed: Needed::No,
    example: "\"3.5 in\"",
    meaning: "The error that was measured before: a length, or a share.",
};
pub(super) static REASON: Key<String> = Key {
    name: "reason",
    takes: &Text,
    needed: Needed::No,
    example: "\"alleys lie ahead\"",
    meaning: "Why.",
};
pub(super) static BY: Key<String> = Key {
    name: "by",
    takes: &Text,
    needed: Needed::No,
    example: "\"J. D.\"",
    meaning: "Who changed it: a name or initials.",
};
pub(super) static RUNS: Key<Vec<String>> = Key {
    name: "runs",
    takes: &list(Text),
    needed: Needed::No,
    example: "[\"alley-run 1\", \"alley-run 2\"]",
    meaning: "The runs it came from, by their table and their number in it.",
};
pub(super) static SPEED: Key<Speed> = Key {
    name: "speed",
    takes: &measure(&bounds::SPEED),
    needed: Needed::No,
    example: "\"2.8 mph\"",
    meaning: "Ground speed it was changed for.",
};

/// One change, where it could be read.
pub(super) type Table = Option<Change>;

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    let date = table.read(reader, &DATE);
    let setting = table.read(reader, &SETTING);
    let from = table.read_as(reader, &FROM, held(setting));
    let to = table.read_as(reader, &TO, held(setting));
    let error = table.read(reader, &ERROR);
    let reason = table.read(reader, &REASON);
    let by = table.read(reader, &BY);
    let runs = table.read(reader, &RUNS);
    let speed = table.read(reader, &SPEED);
    let point = OperatingPoint { speed, ..operating_point::read(reader, table) };
    Some(Change {
        date: date?,
        setting: setting?,
        from: from?,
        to: to?,
        error,
        reason,
        by,
        runs: runs.unwrap_or_default(),
        point,
    })
}

/// The key of a setting, or the name of a sprocket.
struct Setting;

impl Takes<Subject> for Setting {
    fn read(&self, reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<Subject> {
        let typed = Text.read(reader, item)?;
        let found = Subject::of_key(&typed);
        if found.is_none() {
            let message = format!("`{}` can't be `{typed}`", item.key);
            let advice = "write the key of the setting that was changed";
            reader.say(&codes::UNKNOWN_WORD, item.span(), message, advice).allowed =
                Shape::Names(settings()).limits();
        }
        found
    }

    fn shapes(&self) -> Vec<Shape> {
        vec![Shape::Names(settings())]
    }
}

fn settings() -> Names {
    let held = SETTINGS_OF_CONTROLLER.iter().map(|setting| setting.key);
    let others = [
        "fill.wait",
        "fill.for",
        "chain-1-driving",
        "chain-1-driven",
        "setback-direction",
        "speed",
        "trip-run-2",
    ];
    let by_hand =
        ["throttle", "marks", "staking", "chain-row-2", "depth-row-2", "depth-all", "hitch"];
    let conditions = Condition::ALL.map(Condition::key);
    let all = held.chain(others).chain(by_hand).chain(conditions).collect();
    Names { noun: "the key of a setting", all, and_so_on: true }
}

/// What a measure was, for the record.
fn kept<U: MeasureUnit>(measure: Measure<U>) -> Held {
    with::kept(&measure)
}

const fn kept_length(bounds: &'static Bounds) -> Mapped<InLengths, Length, Held> {
    mapped(length(bounds), kept)
}

fn is_share(_: &Reader<'_>, item: Item<'_, '_>) -> bool {
    matches!(item.value.get_ref(), DeValue::String(typed) if Share::parse(typed, None).is_ok())
}

static WORDS: &dyn Takes<Held> = &mapped(Text, |text: String| Held::label(&text));
static TEETH: &dyn Takes<Held> = &mapped(whole(&bounds::TEETH), |teeth: u32| Held {
    text: teeth.to_string(),
    base: f64::from(teeth),
});
static CELLS: &dyn Takes<Held> = &mapped(whole(&bounds::CELLS), count);
static CARRY: &dyn Takes<Held> = &mapped(whole(&bounds::CARRY), count);
static SCALE: &dyn Takes<Held> = &mapped(number(&bounds::SCALE), |scale: Decimal| Held {
    text: scale.to_string(),
    base: scale.value(),
});
static LENGTH: &dyn Takes<Held> = &kept_length(&bounds::SETTING_LENGTH);
static TIMER: &dyn Takes<Held> = &either(
    is_not_set,
    mapped(word(&[(NOT_SET, ())]), |()| Held::label(NOT_SET)),
    mapped(EXTENT, |extent: Extent| with::kept_extent(&extent)),
);

/// What an action's wait or length was before it was set for the first time.
pub(super) const NOT_SET: &str = "not set";

fn is_not_set(_: &Reader<'_>, item: Item<'_, '_>) -> bool {
    matches!(item.value.get_ref(), DeValue::String(typed) if typed == NOT_SET)
}

static GROUND_SPEED: &dyn Takes<Held> = &mapped(measure::<SpeedUnit>(&bounds::SPEED), kept);
static MARKS: &dyn Takes<Held> = &kept_length(&bounds::MARKS_MOVED);
static JUMPED: &dyn Takes<Held> = &mapped(signed_whole(&bounds::TEETH_JUMPED), with::plain);
static TURNED: &dyn Takes<Held> = &mapped(number(&bounds::TURNS_MADE), with::plain);

fn count(number: u32) -> Held {
    with::plain(Decimal::whole(number))
}

/// What a setting held, by what it is; anything a setting can hold where that is not known.
fn held(setting: Option<Subject>) -> &'static dyn Takes<Held> {
    match setting {
        Some(Subject::Sprocket { .. }) => TEETH,
        Some(Subject::Direction(_) | Subject::Run { .. }) => WORDS,
        Some(Subject::Speed) => GROUND_SPEED,
        Some(Subject::Held(setting)) if *setting == TRIP_SCALE => SCALE,
        Some(Subject::Held(_)) => LENGTH,
        Some(Subject::Timed(_)) => TIMER,
        Some(Subject::Hand(what)) => by_hand(what),
        None => &AnySetting,
    }
}

/// What an adjustment held.
fn by_hand(what: ByHand) -> &'static dyn Takes<Held> {
    match what {
        ByHand::Throttle | ByHand::Staking | ByHand::Hitch => WORDS,
        ByHand::Marks => MARKS,
        ByHand::Chain { .. } => JUMPED,
        ByHand::Depth { .. } => TURNED,
        ByHand::Condition(Condition::Cells) => CELLS,
        ByHand::Condition(Condition::Carry) => CARRY,
        ByHand::Condition(_) => WORDS,
    }
}

/// What a setting may have held that could not be read.
struct AnySetting;

impl Takes<Held> for AnySetting {
    fn read(&self, reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<Held> {
        if !matches!(
            item.value.get_ref(),
            DeValue::String(_) | DeValue::Integer(_) | DeValue::Float(_)
        ) {
            let example = "what the setting was, such as \"15 in\" or 352.27";
            reader.wrong_type(item, "a number or a text", example);
        }
        None
    }

    fn shapes(&self) -> Vec<Shape> {
        [TEETH, SCALE, LENGTH, TIMER, GROUND_SPEED, MARKS, JUMPED, TURNED, WORDS]
            .iter()
            .flat_map(|takes| takes.shapes())
            .collect()
    }
}
