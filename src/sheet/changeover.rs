//! `[changeover]`: what happens at one, action by action, and the times of the machine itself.

use std::ops::Range;

use toml::de::DeValue;

use crate::calculations::changeover::{Boost, Edge, Extent, Fall};
use crate::outcome::{ActionName, Part};
use crate::quantity::bounds;
use crate::quantity::{Decimal, Duration, Length, TimeUnit};

use super::codes;
use super::operating_point::BOOSTS;
use super::placed::Placed;
use super::reader::{
    Either, Entry, InLengths, InUnits, Item, Key, Keys, Mapped, Needed, Reader, Section, Shape,
    Takes, Text, either, length, list, mapped, measure, number, word,
};

pub(super) static KEYS: Keys = Keys {
    name: "changeover",
    meaning: "What happens at a changeover.",
    needed: Needed::Where("for the changeover"),
    notes: "One [[changeover.action]] for each thing that happens, in any order.",
    list: &[&FALL_TIME, &ACTION],
    ..Keys::ONCE
};

static FALL_TIME: Key<Duration> = Key {
    name: "fall-time",
    takes: &TIMER,
    needed: Needed::No,
    example: "\"0.25 s\"",
    meaning: "How long a seed falls. Goes before `drop-height`.",
};

/// `[[changeover.action]]`.
pub(super) static ACTION: Keys = Keys {
    name: "action",
    meaning: "Something that happens at a changeover: what it does, what starts it, and for how long.",
    notes: "A wait, a length and a step are a time, or the way that the planter covers meanwhile. Leave \
            out `for` of clean-outs, boosts and sweeps to get values to start with. Times of the machine \
            are found in the shop, with the planter standing.",
    list: &[
        &NAME,
        &DOES,
        &AFTER,
        &FROM,
        &WAIT,
        &FOR,
        &STEP,
        &FIXED,
        &OLD_SEED_GONE,
        &LEAST,
        &USUAL,
        &NEW_SEED_AT_PICK_UP,
        &RATE,
        &CELLS_BEFORE_RELEASE,
    ],
    shown: &[&NAME, &DOES, &WAIT, &FOR],
    ..Keys::MANY
};

pub(super) static NAME: Key<ActionName> = Key {
    name: "name",
    takes: &Name,
    needed: Needed::Always,
    example: "\"fill\"",
    meaning: "The crew's own name of it, or what the controller's screen calls it; no other action has \
              the same.",
};
pub(super) static DOES: Key<Kind> = Key {
    name: "does",
    takes: &word(&[
        ("clean-out", Kind::CleanOut),
        ("hand-over", Kind::HandOver),
        ("boost", Kind::Boost),
        ("sweep", Kind::Sweep),
    ]),
    // An example of any other key would not fit the one that stands here.
    needed: Needed::Where("yes"),
    example: "\"boost\"",
    meaning: "A clean-out takes old seed from the plate's supply, a hand-over lets the next lot in, a \
              boost turns the plate by its motor, a sweep knocks strays off it.",
};
pub(super) static AFTER: Key<ActionName> = Key {
    name: "after",
    takes: &Name,
    needed: Needed::No,
    example: "\"clean-out\"",
    meaning: "The name of the action that starts it. Without it the trip does.",
};
pub(super) static FROM: Key<Edge> = Key {
    name: "from",
    takes: &word(&[("start", Edge::Start), ("end", Edge::End)]),
    needed: Needed::Where("with `after`"),
    example: "\"end\"",
    meaning: "Which end of that action: its start or its end.",
};
pub(super) static WAIT: Key<Extent> = Key {
    name: Part::Wait.key(),
    takes: &EXTENT,
    needed: Needed::No,
    example: "\"0.25 s\"",
    meaning: "How long it waits for its start. Without it it starts at once.",
};
pub(super) static FOR: Key<Extent> = Key {
    name: Part::For.key(),
    takes: &EXTENT,
    needed: Needed::Where("for clean-outs and boosts all or none"),
    example: "\"0.5 s\"",
    meaning: "How long it lasts. Of a hand-over, before anything else is set: how long the largest lot \
              took to fall when it was timed in the shop.",
};
static STEP: Key<Extent> = Key {
    name: "step",
    takes: &STEPS,
    needed: Needed::No,
    example: "\"0.05 s\"",
    meaning: "The smallest change of its wait and length. Without it, for times, `timer-step` of the \
              controller. Where neither wait nor length is given yet, it says whether they are times or \
              ways.",
};
static FIXED: Key<Vec<Part>> = Key {
    name: "fixed",
    takes: &list(word(&[("wait", Part::Wait), ("for", Part::For)])),
    needed: Needed::No,
    example: "[\"wait\"]",
    meaning: "What of it can't be changed on this machine.",
};
static OLD_SEED_GONE: Key<Duration> = Key {
    name: "old-seed-gone",
    takes: &TIMER,
    needed: Needed::Where("for a clean-out, at least one"),
    example: "\"0.9 s\"",
    meaning: "Of a clean-out: from its start until the old seed is gone from pick-up.",
};
static LEAST: Key<Extent> = Key {
    name: "least",
    takes: &EXTENT,
    needed: Needed::No,
    example: "\"1.0 s\"",
    meaning: "Of a clean-out: the shortest at all, by the machine's manual or by a count of the seeds \
              that clean-outs of several lengths leave over. At most `usual`.",
};
static USUAL: Key<Extent> = Key {
    name: "usual",
    takes: &EXTENT,
    needed: Needed::No,
    example: "\"1.5 s\"",
    meaning: "Of a clean-out: one after which no seed is left over, by the manual or by count. Starting \
              values go below it only for an alley that can't be made with it.",
};
static NEW_SEED_AT_PICK_UP: Key<Duration> = Key {
    name: "new-seed-at-pick-up",
    takes: &TIMER,
    needed: Needed::Where("for a hand-over, at least one"),
    example: "\"0.2 s\"",
    meaning: "Of a hand-over: from its start until new seed is at pick-up.",
};
pub(super) static RATE: Key<Boost> = Key {
    name: "rate",
    takes: &BOOSTS,
    needed: Needed::Where("for a boost"),
    example: "\"40 cells/s\"",
    meaning: "Of a boost: how fast the motor turns the plate, in cells or plate turns in a time.",
};
static CELLS_BEFORE_RELEASE: Key<Decimal> = Key {
    name: "cells-before-release",
    takes: &number(&bounds::CARRY),
    needed: Needed::Where("for a sweep"),
    example: "3",
    meaning: "Of a sweep: cells from it to release; at most `carry`.",
};

const TIMER: InUnits<TimeUnit> = measure(&bounds::TIMER);

type Times = Mapped<InUnits<TimeUnit>, Duration, Extent>;
type Ways = Mapped<InLengths, Length, Extent>;

/// A time, or a way with its unit.
pub(super) const EXTENT: Either<Times, Ways> = either(
    is_no_way,
    mapped(measure(&bounds::TIMER), Extent::Time),
    mapped(length(&bounds::ACTION_WAY), Extent::Way),
);

const STEPS: Either<Times, Ways> = either(
    is_no_way,
    mapped(measure(&bounds::TIMER_STEP), Extent::Time),
    mapped(length(&bounds::SETTING_STEP), Extent::Way),
);

/// Whether something is to be read as a time: it is no length with a unit.
fn is_no_way(_: &Reader<'_>, item: Item<'_, '_>) -> bool {
    !matches!(item.value.get_ref(), DeValue::String(typed) if Length::parse(typed, None).is_ok())
}

/// The name of an action.
struct Name;

impl Takes<ActionName> for Name {
    fn read(&self, reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<ActionName> {
        let typed = Text.read(reader, item)?;
        let name = ActionName::of(&typed);
        if name.is_none() {
            let message = format!("`{}` can't be a name like this", item.key);
            let advice = "write a short name, such as \"fill\" or \"line 5\"";
            reader.say(&codes::ACTION_NAME, item.span(), message, advice).allowed = Some(
                "1 to 24 characters, without quotes, equals signs and spaces at its ends".into(),
            );
        }
        name
    }

    fn shapes(&self) -> Vec<Shape> {
        vec![Shape::Text]
    }
}

/// What an action does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    CleanOut,
    HandOver,
    Boost,
    Sweep,
}

impl Kind {
    /// With its article.
    pub(super) fn words(self) -> &'static str {
        match self {
            Kind::CleanOut => "a clean-out",
            Kind::HandOver => "a hand-over",
            Kind::Boost => "a boost",
            Kind::Sweep => "a sweep",
        }
    }
}

/// An action as it was read; what is missing was reported.
#[derive(Debug)]
pub(super) struct Typed {
    pub(super) span: Range<usize>,
    pub(super) name: Option<Placed<ActionName>>,
    pub(super) kind: Option<Kind>,
    pub(super) after: Option<Placed<ActionName>>,
    pub(super) edge: Option<Edge>,
    pub(super) wait: Option<Extent>,
    pub(super) lasts: Option<Extent>,
    pub(super) has_length: bool,
    pub(super) step: Option<Extent>,
    pub(super) fixed: Vec<Part>,
    pub(super) old_seed_gone: Option<Duration>,
    pub(super) has_old_seed_gone: bool,
    pub(super) new_seed_at_pick_up: Option<Duration>,
    pub(super) has_new_seed: bool,
    pub(super) least: Option<Placed<Extent>>,
    pub(super) usual: Option<Extent>,
    pub(super) rate: Option<Boost>,
    pub(super) cells: Option<Placed<Decimal>>,
}

/// The table as read; what is missing was reported.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) span: Range<usize>,
    pub(super) fall: Option<Fall>,
    pub(super) actions: Vec<Typed>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    Table {
        span: table.span(),
        fall: table.read(reader, &FALL_TIME).map(Fall::Time),
        actions: table.tables(reader, &ACTION, action),
    }
}

fn action(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Typed {
    let kind = table.read(reader, &DOES);
    table.need(&DOES);
    let after = table.placed(reader, &AFTER);
    let edge = table.read(reader, &FROM);
    if table.has(&AFTER) {
        table.need(&FROM);
    } else if table.has(&FROM) {
        let message = "`from` says which end of another action starts this one, and none is named";
        let advice = "name it by `after`, or take `from` out: then the trip starts it";
        reader.say(&codes::NOT_OF_ACTION, table.place(&FROM), message, advice);
    }
    match kind {
        Some(Kind::Boost) => table.need(&RATE),
        Some(Kind::Sweep) => table.need(&CELLS_BEFORE_RELEASE),
        _ => {}
    }
    if let Some(kind) = kind {
        let own: [(&dyn Entry, Kind); 6] = [
            (&OLD_SEED_GONE, Kind::CleanOut),
            (&LEAST, Kind::CleanOut),
            (&USUAL, Kind::CleanOut),
            (&NEW_SEED_AT_PICK_UP, Kind::HandOver),
            (&RATE, Kind::Boost),
            (&CELLS_BEFORE_RELEASE, Kind::Sweep),
        ];
        for (key, of) in own.into_iter().filter(|(key, of)| *of != kind && table.has(*key)) {
            let (name, of, is) = (key.name(), of.words(), kind.words());
            let message = format!("`{name}` is for {of}, and this action is {is}");
            let advice = format!("take `{name}` out, or look at `does`");
            reader.say(&codes::NOT_OF_ACTION, table.place(key), message, advice);
        }
    }
    Typed {
        span: table.span(),
        name: table.placed(reader, &NAME),
        kind,
        after,
        edge,
        wait: table.read(reader, &WAIT),
        lasts: table.read(reader, &FOR),
        has_length: table.has(&FOR),
        step: table.read(reader, &STEP),
        fixed: table.read(reader, &FIXED).unwrap_or_default(),
        old_seed_gone: table.read(reader, &OLD_SEED_GONE),
        has_old_seed_gone: table.has(&OLD_SEED_GONE),
        new_seed_at_pick_up: table.read(reader, &NEW_SEED_AT_PICK_UP),
        has_new_seed: table.has(&NEW_SEED_AT_PICK_UP),
        least: table.placed(reader, &LEAST),
        usual: table.read(reader, &USUAL),
        rate: table.read(reader, &RATE),
        cells: table.placed(reader, &CELLS_BEFORE_RELEASE),
    }
}

impl Table {
    /// The place of the action of a name.
    pub(super) fn place(&self, name: ActionName) -> Option<usize> {
        self.actions.iter().position(|action| action.is_called(name))
    }

    /// The names of all actions, for messages.
    pub(super) fn names(&self) -> String {
        let names = self.actions.iter().filter_map(|action| action.name.as_ref());
        let mut names: Vec<String> = names.map(|name| format!("\"{}\"", name.value)).collect();
        let mut said = std::collections::BTreeSet::new();
        names.retain(|name| said.insert(name.clone()));
        names.join(" or ")
    }

    /// Whether every clean-out and boost has its length.
    pub(super) fn is_set(&self) -> bool {
        let needs = |one: &&Typed| matches!(one.kind, Some(Kind::CleanOut | Kind::Boost));
        self.actions.iter().filter(needs).all(|one| one.has_length)
    }
}

impl Typed {
    fn is_called(&self, name: ActionName) -> bool {
        self.name.as_ref().is_some_and(|own| own.value == name)
    }

    /// What one of its settings is.
    pub(super) fn held(&self, part: Part) -> Option<&Extent> {
        match part {
            Part::Wait => self.wait.as_ref(),
            Part::For => self.lasts.as_ref(),
        }
    }
}
