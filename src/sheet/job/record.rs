//! What the sheet remembers.

use crate::calculations::changeover::CLEAN_OUT;
use crate::outcome::setting::{PASS_OFFSET, SETBACK, TRIP_SCALE};
use crate::record::operating_point::{OperatingPoint, Planter};
use crate::record::{Record, Subject};
use crate::sheet::Tables;

/// The operating point of the sheet, its runs and changes, and the settings it holds.
pub(in crate::sheet) fn record(tables: &Tables) -> Record {
    let timers = tables.changeover.as_ref().is_some_and(|table| table.present.is_some());
    let held = [
        (&TRIP_SCALE, tables.settings.trip_scale.is_some()),
        (&SETBACK, tables.settings.setback.is_some()),
        (&PASS_OFFSET, tables.settings.pass_offset.is_some()),
        (&CLEAN_OUT, timers),
    ];
    Record {
        present: OperatingPoint {
            speed: tables.trial.speed.as_ref().map(|speed| speed.value.clone()),
            seeds: tables.trial.target.clone(),
            alley: tables.trial.alley.as_ref().map(|alley| alley.value.clone()),
            boost: tables.changeover.as_ref().and_then(|table| table.boost.clone()),
        },
        planter: Planter {
            row_spacing: tables.planter.row_spacing.as_ref().map(|row| row.value.clone()),
            cells: tables.planter.plate.as_ref().and_then(|plate| plate.cells),
        },
        runs: tables.recorded.iter().map(|one| one.run.clone()).collect(),
        changes: tables.history.iter().flatten().cloned().collect(),
        held: held
            .into_iter()
            .filter(|(_, held)| *held)
            .map(|(setting, _)| Subject::Held(setting))
            .collect(),
    }
}
