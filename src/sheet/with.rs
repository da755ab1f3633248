//! `with`: what was in force when a run was planted.

use crate::calculations::changeover::Extent;
use crate::outcome::{ByHand, Condition, Timed};
use crate::quantity::bounds;
use crate::quantity::{Decimal, Length, Measure, MeasureUnit};
use crate::record::{Held, Subject};

use super::changeover::EXTENT;
use super::reader::{Key, Keys, Needed, Reader, Section, Text, length, list, number, whole};
use super::{by_hand, conditions, planter, settings};

pub(super) static WITH: Keys = Keys {
    name: "with",
    meaning: "What was set when the run was planted.",
    example: "{ setback = \"15 in\" }",
    notes: "`record` writes it, and whoever changes a setting by `apply` gives the runs that lack it \
            what it was. What is not in it was as it is now. A run made with another trip scale, \
            setback or pass offset, other marks, or another chain or depth of its row goes on to \
            count: what the change does to its readings is known; so do alleys and leads with other \
            waits and lengths of actions where [changeover] can tell. One made with other \
            sprockets, another throttle or hitch, or under other conditions is kept and not used.",
    list: &[
        &TRIP_SCALE,
        &SETBACK,
        &PASS_OFFSET,
        &SPROCKETS,
        &THROTTLE,
        &MARKS,
        &STAKING,
        &CHAIN,
        &DEPTH,
        &DEPTH_ALL,
        &HITCH,
        &PLANTER,
        &PLATE,
        &PLATE_CELLS,
        &PLATE_CARRY,
        &SEED,
        &VACUUM,
        &TYRES,
        &SOIL,
    ],
    endings: &[&WAIT, &FOR],
    shown: &[&SETBACK],
    ..Keys::ONCE
};

/// Behind the name of an action.
static WAIT: Key<Extent> = Key {
    name: ".wait",
    takes: &EXTENT,
    needed: Needed::No,
    example: "\"0.2 s\"",
    meaning: "The wait of the action whose name stands before it: \"fill.wait\".",
};
static FOR: Key<Extent> = Key {
    name: ".for",
    takes: &EXTENT,
    needed: Needed::No,
    example: "\"0.5 s\"",
    meaning: "The length of the action whose name stands before it: \"fill.for\".",
};

static TRIP_SCALE: Key<Decimal> = Key {
    name: settings::TRIP_SCALE.name,
    takes: &number(&bounds::SCALE),
    needed: Needed::No,
    example: "402.5",
    meaning: "The trip scale.",
};
static SETBACK: Key<Length> = Key {
    name: settings::SETBACK.name,
    takes: &length(&bounds::SETTING_LENGTH),
    needed: Needed::No,
    example: "\"15 in\"",
    meaning: "The setback.",
};
static PASS_OFFSET: Key<Length> = Key {
    name: settings::PASS_OFFSET.name,
    takes: &length(&bounds::SETTING_LENGTH),
    needed: Needed::No,
    example: "\"6.5 in\"",
    meaning: "The pass offset.",
};

/// What nobody has a number for, in the words of [by-hand].
const fn words(name: &'static str, example: &'static str, meaning: &'static str) -> Key<String> {
    Key { name, takes: &Text, needed: Needed::No, example, meaning }
}

pub(super) static SPROCKETS: Key<Vec<u32>> = Key {
    name: "sprockets",
    takes: &list(whole(&bounds::TEETH)),
    needed: Needed::No,
    example: "[24, 18]",
    meaning: "The teeth that were fitted, from the wheel to the plate: driving and driven of each \
              chain.",
};

static THROTTLE: Key<String> = words(
    by_hand::THROTTLE.name,
    "\"gear 2, 1800 turns\"",
    "Throttle and gear, in the words of [by-hand].",
);
static MARKS: Key<Length> = Key {
    name: by_hand::MARKS.name,
    takes: &length(&bounds::MARKS_MOVED),
    needed: Needed::No,
    example: "\"3 in\"",
    meaning: "How far the marks had been moved out.",
};
static STAKING: Key<String> = words(
    by_hand::STAKING.name,
    "\"second\"",
    "Which staking of the marks it was, in the words of [by-hand].",
);
static CHAIN: Key<Decimal> = Key {
    name: "chain",
    takes: &by_hand::ONE_CHAIN,
    needed: Needed::No,
    example: "2",
    meaning: "Teeth that the chain of its row had been jumped forward (back: negative).",
};
static DEPTH: Key<Decimal> = Key {
    name: by_hand::DEPTH.name,
    takes: &number(&bounds::TURNS_MADE),
    needed: Needed::No,
    example: "2",
    meaning: "Turns that the depth setting of its row had been turned in (out: negative).",
};
static DEPTH_ALL: Key<Decimal> = Key {
    name: by_hand::DEPTH_ALL.name,
    takes: &number(&bounds::TURNS_MADE),
    needed: Needed::No,
    example: "1",
    meaning: "Turns that the depth of all rows alike had been turned in (out: negative).",
};
static HITCH: Key<String> = words(
    by_hand::HITCH.name,
    "\"planter 3 in to the left\"",
    "How the planter hung at its hitch, in the words of [by-hand].",
);

static PLANTER: Key<String> = words("planter", "\"four-row\"", "`name` of [planter].");
static PLATE: Key<String> =
    words(conditions::PLATE.name, "\"40 cells\"", "The seed plate, in the words of [conditions].");
static PLATE_CELLS: Key<u32> = Key {
    name: "plate-cells",
    takes: planter::CELLS.takes,
    needed: Needed::No,
    example: "40",
    meaning: "`cells` of [planter.plate].",
};
static PLATE_CARRY: Key<u32> = Key {
    name: "plate-carry",
    takes: planter::CARRY.takes,
    needed: Needed::No,
    example: "16",
    meaning: "`carry` of [planter.plate].",
};
static SEED: Key<String> =
    words(conditions::SEED.name, "\"lot 12\"", "The seed, in the words of [conditions].");
static VACUUM: Key<String> = words(
    conditions::VACUUM.name,
    "\"16 in of water\"",
    "The vacuum, in the words of [conditions].",
);
static TYRES: Key<String> =
    words(conditions::TYRES.name, "\"24 psi\"", "The tyres, in the words of [conditions].");
static SOIL: Key<String> =
    words(conditions::SOIL.name, "\"worked, moist\"", "The soil, in the words of [conditions].");

/// What was in force, as far as it stands there.
#[derive(Clone, Debug, Default)]
pub(super) struct Table {
    pub(super) trip_scale: Option<Decimal>,
    pub(super) setback: Option<Length>,
    pub(super) pass_offset: Option<Length>,
    pub(super) actions: Vec<(Timed, Extent)>,
    sprockets: Vec<u32>,
    throttle: Option<String>,
    pub(super) marks: Option<Length>,
    staking: Option<String>,
    pub(super) chain: Option<Decimal>,
    pub(super) depth: Option<Decimal>,
    pub(super) depth_all: Option<Decimal>,
    hitch: Option<String>,
    conditions: Vec<(Condition, Held)>,
}

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    let (trip_scale, setback) = (table.read(reader, &TRIP_SCALE), table.read(reader, &SETBACK));
    let pass_offset = table.read(reader, &PASS_OFFSET);
    let mut actions = vec![];
    for key in [&WAIT, &FOR] {
        let all = table.ending(reader, key);
        actions.extend(all.into_iter().filter_map(|(name, extent)| {
            Some((Timed::of_key(&[name, key.name].concat())?, extent.value))
        }));
    }
    let sprockets = table.read(reader, &SPROCKETS).unwrap_or_default();
    Table {
        trip_scale,
        setback,
        pass_offset,
        actions,
        sprockets,
        throttle: table.read(reader, &THROTTLE),
        marks: table.read(reader, &MARKS),
        staking: table.read(reader, &STAKING),
        chain: table.read(reader, &CHAIN),
        depth: table.read(reader, &DEPTH),
        depth_all: table.read(reader, &DEPTH_ALL),
        hitch: table.read(reader, &HITCH),
        conditions: read_conditions(reader, table),
    }
}

fn read_conditions(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Vec<(Condition, Held)> {
    let mut all = vec![];
    for condition in Condition::ALL {
        let held = match key_of(condition) {
            Conditioned::Words(key) => table.read(reader, key).map(|words| Held::label(&words)),
            Conditioned::Count(key) => {
                table.read(reader, key).map(|count| plain(Decimal::whole(count)))
            }
        };
        all.extend(held.map(|held| (condition, held)));
    }
    all
}

/// The key of a condition, by what stands behind it.
enum Conditioned {
    Words(&'static Key<String>),
    Count(&'static Key<u32>),
}

fn key_of(condition: Condition) -> Conditioned {
    match condition {
        Condition::Planter => Conditioned::Words(&PLANTER),
        Condition::Plate => Conditioned::Words(&PLATE),
        Condition::Cells => Conditioned::Count(&PLATE_CELLS),
        Condition::Carry => Conditioned::Count(&PLATE_CARRY),
        Condition::Seed => Conditioned::Words(&SEED),
        Condition::Vacuum => Conditioned::Words(&VACUUM),
        Condition::Tyres => Conditioned::Words(&TYRES),
        Condition::Soil => Conditioned::Words(&SOIL),
    }
}

impl Table {
    /// The same, for the record; `row` is that of the run.
    pub(super) fn held(&self, row: Option<u32>) -> Vec<(Subject, Held)> {
        let mut all =
            controller(self.trip_scale.as_ref(), self.setback.as_ref(), self.pass_offset.as_ref());
        let timed =
            |(timed, extent): &(Timed, Extent)| (Subject::Timed(*timed), kept_extent(extent));
        all.extend(self.actions.iter().map(timed));
        all.extend(fitted(self.sprockets.iter().copied()));
        all.extend(self.by_hand(row).into_iter().map(|(what, held)| (Subject::Hand(what), held)));
        all
    }

    /// What hands had set.
    fn by_hand(&self, row: Option<u32>) -> Vec<(ByHand, Held)> {
        let word = |what, text: &Option<String>| Some((what, Held::label(text.as_deref()?)));
        let of_row = |what: Option<ByHand>, count: Option<Decimal>| Some((what?, plain(count?)));
        let chain = row.map(|row| ByHand::Chain { row });
        let depth = row.map(|row| ByHand::Depth { row: Some(row) });
        let all = [
            word(ByHand::Throttle, &self.throttle),
            self.marks.as_ref().map(|moved| (ByHand::Marks, kept(moved))),
            word(ByHand::Staking, &self.staking),
            of_row(chain, self.chain),
            of_row(depth, self.depth),
            of_row(Some(ByHand::Depth { row: None }), self.depth_all),
            word(ByHand::Hitch, &self.hitch),
        ];
        let conditions = self.conditions.iter();
        let conditions =
            conditions.map(|(condition, held)| (ByHand::Condition(*condition), held.clone()));
        all.into_iter().flatten().chain(conditions).collect()
    }
}

/// The key of an adjustment.
pub(super) fn key(subject: Subject) -> String {
    match subject {
        Subject::Held(setting) => setting.key.into(),
        Subject::Timed(timed) => timed.key(),
        Subject::Sprocket { .. } => SPROCKETS.name.into(),
        Subject::Hand(what) => match what {
            ByHand::Throttle => THROTTLE.name,
            ByHand::Marks => MARKS.name,
            ByHand::Staking => STAKING.name,
            ByHand::Chain { .. } => CHAIN.name,
            ByHand::Depth { row: Some(_) } => DEPTH.name,
            ByHand::Depth { row: None } => DEPTH_ALL.name,
            ByHand::Hitch => HITCH.name,
            ByHand::Condition(condition) => condition.key(),
        }
        .into(),
        // No run has it.
        Subject::Direction(_) | Subject::Run { .. } | Subject::Speed => subject.key(),
    }
}

/// What the controller holds, for the record.
pub(super) fn controller(
    trip_scale: Option<&Decimal>,
    setback: Option<&Length>,
    pass_offset: Option<&Length>,
) -> Vec<(Subject, Held)> {
    use crate::outcome::setting::{PASS_OFFSET, SETBACK, TRIP_SCALE};
    let scale = trip_scale.map(|scale| {
        let held = Held { text: scale.to_string(), base: scale.value() };
        (Subject::Held(&TRIP_SCALE), held)
    });
    let lengths = [(&SETBACK, setback), (&PASS_OFFSET, pass_offset)];
    let lengths = lengths
        .into_iter()
        .filter_map(|(setting, length)| Some((Subject::Held(setting), kept(length?))));
    scale.into_iter().chain(lengths).collect()
}

/// Sprockets as fitted, from the wheel to the plate, for the record.
pub(super) fn fitted(teeth: impl Iterator<Item = u32>) -> Vec<(Subject, Held)> {
    let of = |(place, teeth): (usize, u32)| {
        let subject = Subject::Sprocket { chain: place / 2 + 1, driving: place % 2 == 0 };
        (subject, Held { text: teeth.to_string(), base: f64::from(teeth) })
    };
    teeth.enumerate().map(of).collect()
}

/// What a measure was, for the record.
pub(super) fn kept<U: MeasureUnit>(measure: &Measure<U>) -> Held {
    Held { text: measure.to_string(), base: measure.base() }
}

/// What a time or a way was, for the record.
pub(super) fn kept_extent(extent: &Extent) -> Held {
    Held { text: extent.to_string(), base: extent.base() }
}

/// What a plain number was, for the record.
pub(super) fn plain(number: Decimal) -> Held {
    Held { text: number.to_string(), base: number.value() }
}
