//! What hands have set: what of it is known, and whether it fits the planter.

use crate::calculations::wheel::Travel;
use crate::outcome::{
    ByHand, Condition, Direction, Heading, MARKS_HOME, MARKS_OUT, MovingSetting, NotMeasured,
    Since, Then,
};
use crate::quantity::{Decimal, Length};
use crate::record::{Held, Known, Record, Subject};
use crate::sheet::by_hand::Table;
use crate::sheet::reader::Reader;
use crate::sheet::{Tables, codes, with};

/// What the sheet says of what hands do.
pub(super) fn known(tables: &Tables) -> Known {
    let plate = tables.planter.plate.as_ref();
    Known {
        tooth: plate.is_some_and(|plate| plate.cells.is_some() && plate.meter_teeth.is_some()),
        turn: matches!(tables.planter.depth_turns, Some(Some(_))),
        timers: super::changeover::predicts(tables),
        travel_is_assumed: matches!(tables.planter.travel, Some(Travel::Rolling { .. })),
    }
}

/// Adds what hands have set to what is in force: what the table holds, and nought for teeth, turns
/// and marks that only a run or the history speaks of.
pub(super) fn add_held(tables: &Tables, record: &mut Record) {
    let conditions = Condition::ALL.map(|one| Subject::Hand(ByHand::Condition(one)));
    let of_table = tables.by_hand.held().into_iter().chain(conditions);
    let of_runs = record.runs.iter().flat_map(|run| &run.with).map(|(subject, _)| *subject);
    let of_changes = record.changes.iter().map(|change| change.setting);
    let mut all: Vec<ByHand> = vec![];
    for subject in of_table.chain(of_runs).chain(of_changes) {
        match subject {
            Subject::Hand(what) if !all.contains(&what) => all.push(what),
            _ => {}
        }
    }
    let held = |what: ByHand| Some((Subject::Hand(what), now(tables, what)?));
    record.held.extend(all.into_iter().filter_map(held));
}

/// What hands adjusted, and timers that were changed, with nothing measured since, in words. Of the
/// settings that runs go on to speak about after a change, the calculations say it themselves.
pub(super) fn not_measured_since(record: &Record) -> Vec<NotMeasured> {
    let mut all: Vec<Subject> = vec![];
    for change in &record.changes {
        let own = matches!(change.setting, Subject::Hand(_) | Subject::Timed(_));
        if own && !all.contains(&change.setting) {
            all.push(change.setting);
        }
    }
    let last = record.changes.last().map(|change| change.setting);
    let open = |subject: Subject| {
        let change = record.unproven(subject)?;
        let words = format!(
            "{}, changed on {} from {} to {}",
            subject.name(),
            change.date,
            change.from.text,
            change.to.text
        );
        let calculation = subject.calculation();
        let by_hand = match subject {
            Subject::Hand(what) => Some(what),
            _ => None,
        };
        Some(NotMeasured { calculation, by_hand, is_last: last == Some(subject), words })
    };
    all.into_iter().filter_map(open).collect()
}

/// What the table holds of an adjustment; teeth, turns and marks that were never changed stand
/// at nought.
fn now(tables: &Tables, what: ByHand) -> Option<Held> {
    let table: &Table = &tables.by_hand;
    let word = |text: &Option<String>| text.as_deref().map(Held::label);
    let nought = || with::plain(Decimal::whole(0));
    match what {
        ByHand::Throttle => word(&table.throttle),
        ByHand::Staking => word(&table.staking),
        ByHand::Hitch => word(&table.hitch),
        ByHand::Marks => Some(table.marks.as_ref().map_or_else(nought, with::kept)),
        ByHand::Chain { row } => Some(with::plain(table.jumped(row))),
        ByHand::Depth { row: Some(row) } => Some(with::plain(table.turned(row))),
        ByHand::Depth { row: None } => Some(with::plain(table.turned_alike())),
        ByHand::Condition(condition) => condition_now(tables, condition),
    }
}

/// A condition as the sheet has it; nothing where it says nothing of it.
fn condition_now(tables: &Tables, condition: Condition) -> Option<Held> {
    let own = &tables.conditions;
    let plate = tables.planter.plate.as_ref();
    let words = match condition {
        Condition::Cells => return plate?.cells.map(with::plain),
        Condition::Carry => return plate?.carry.map(with::plain),
        Condition::Planter => &tables.planter.name,
        Condition::Plate => &own.plate,
        Condition::Seed => &own.seed,
        Condition::Vacuum => &own.vacuum,
        Condition::Tyres => &own.tyres,
        Condition::Soil => &own.soil,
    };
    words.as_deref().map(Held::label)
}

/// Lists by row are no longer than the planter has rows.
pub(super) fn check(tables: &Tables, reader: &mut Reader<'_>) {
    let rows = tables.planter.rows.as_ref().and_then(|rows| rows.value.as_whole());
    let Some(rows) = rows else { return };
    for (key, place, count) in tables.by_hand.by_row() {
        if u32::try_from(count).is_ok_and(|count| count <= rows) {
            continue;
        }
        let message = format!("`{key}` has {count} numbers for a planter of {rows} rows");
        let advice = "one number for each row, from row 1 on; check it, or `rows` in [planter]";
        reader.say(&codes::OUT_OF_RANGE, place, message, advice).allowed =
            Some(format!("up to {rows} numbers"));
    }
}

/// Teeth that the chain of a row was jumped, when it was planted and now.
pub(super) fn jumped(then: Option<Decimal>, row: u32, tables: &Tables) -> Option<Since> {
    Since::of(then?, tables.by_hand.jumped(row))
}

/// Turns of the depth setting of a row when it was planted and now.
pub(super) fn turned(then: Option<Decimal>, row: Option<u32>, tables: &Tables) -> Option<Since> {
    Since::of(then?, tables.by_hand.turned(row?))
}

/// The same of all rows alike.
pub(super) fn turned_alike(then: Option<Decimal>, tables: &Tables) -> Option<Since> {
    Since::of(then?, tables.by_hand.turned_alike())
}

/// How far the marks were moved since a run, as what moves its alleys against them.
pub(super) fn marks_then(
    then: Option<&Length>,
    heading: Option<Heading>,
    tables: &Tables,
) -> Option<Then> {
    let (then, heading) = (then?.clone(), heading?);
    let now =
        tables.by_hand.marks.clone().unwrap_or_else(|| Length::of(Decimal::whole(0), then.unit()));
    let (setting, raising_moves) = match heading {
        Heading::Out => (&MARKS_OUT, Direction::Back),
        Heading::Home => (&MARKS_HOME, Direction::Ahead),
    };
    let moved = now.base() != then.base();
    let setting = MovingSetting::new(setting, now, raising_moves, None);
    moved.then_some(Then { setting, then })
}
