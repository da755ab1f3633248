//! What the sheet remembers.

use crate::calculations::ChangeMade;
use crate::outcome::Changed;
use crate::outcome::{Part, Timed};
use crate::record::operating_point::{OperatingPoint, Planter};
use crate::record::{Change, Held, Record, Subject};
use crate::sheet::{Tables, with};

use super::by_hand;

/// The operating point of the sheet, its runs and changes, and the settings it holds.
pub(in crate::sheet) fn record(tables: &Tables) -> Record {
    let mut record = Record {
        present: OperatingPoint {
            speed: tables.trial.speed.as_ref().map(|speed| speed.value.clone()),
            seeds: tables.trial.target.clone(),
            alley: tables.trial.alley.as_ref().map(|alley| alley.value.clone()),
            boost: tables.changeover.as_ref().map_or(vec![], |table| {
                table.actions.iter().filter_map(|action| action.rate.clone()).collect()
            }),
        },
        planter: Planter {
            row_spacing: tables.planter.row_spacing.as_ref().map(|row| row.value.clone()),
            cells: tables.planter.plate.as_ref().and_then(|plate| plate.cells),
        },
        runs: tables.recorded.iter().map(|one| one.run.clone()).collect(),
        changes: tables.history.iter().flatten().cloned().collect(),
        held: held(tables),
        known: by_hand::known(tables),
        holds_for: tables.trial.holds_for,
        one_way: tables.trial.one_way,
    };
    by_hand::add_held(tables, &mut record);
    record.set_aside();
    record
}

/// Every change of a setting, and of what hands adjust.
pub(super) fn changes_made(record: &Record) -> Vec<ChangeMade> {
    let one = |(place, change): (usize, &Change)| {
        let what = match change.setting {
            Subject::Held(setting) => Changed::Setting(setting),
            Subject::Timed(timed) => Changed::Timed(timed),
            Subject::Hand(what) => Changed::Hand(what),
            _ => return None,
        };
        let is_last = !record.changes[place + 1..].iter().any(|one| one.setting == change.setting);
        let is_now = |held: &Held| record.held(change.setting).is_some_and(|now| held.is_same(now));
        Some(ChangeMade {
            what,
            place,
            date: change.date.clone(),
            from: change.from.text.clone(),
            from_base: change.from.base,
            to: change.to.text.clone(),
            to_base: change.to.base,
            is_last,
            from_is_now: !is_last && is_now(&change.from),
            to_is_now: is_last || is_now(&change.to),
            measured: record.unproven(change.setting).is_none(),
        })
    };
    record.changes.iter().enumerate().filter_map(one).collect()
}

/// What is in force now.
fn held(tables: &Tables) -> Vec<(Subject, Held)> {
    let settings = &tables.settings;
    let mut held = with::controller(
        settings.trip_scale.as_ref(),
        settings.setback.as_ref(),
        // Passes that all go out have no neighbour to be lined up with.
        settings.pass_offset.as_ref().filter(|_| !tables.trial.one_way),
    );
    // What stands there before the actions are set is no setting yet.
    let set = tables.changeover.iter().filter(|table| table.is_set());
    for action in set.flat_map(|table| &table.actions) {
        let Some(name) = &action.name else { continue };
        for part in Part::BOTH {
            let subject = Subject::Timed(Timed { action: name.value, part });
            held.extend(action.held(part).map(|extent| (subject, with::kept_extent(extent))));
        }
    }
    with_drive(held, tables)
}

fn with_drive(mut held: Vec<(Subject, Held)>, tables: &Tables) -> Vec<(Subject, Held)> {
    let stages = tables.planter.drive.iter().map(|stage| &stage.sprockets);
    held.extend(with::fitted(stages.flat_map(|stage| [stage.driving.fitted, stage.driven.fitted])));
    held
}
