//! What runs of measurements have in common.

use crate::calculations::jitter::Seeds;
use crate::sheet::reader::Reader;
use crate::sheet::run::Run;
use crate::sheet::{Tables, codes};

pub(super) use crate::record::operating_point::same_speed_as;

/// The seeds of the trial, where target and row spacing are known.
pub(super) fn seeds(tables: &Tables) -> Option<Seeds> {
    let row_spacing = tables.planter.row_spacing.as_ref()?.value.clone();
    Some(Seeds { target: tables.trial.target.clone()?, row_spacing })
}

pub(super) fn same_speed(run: &Run, tables: &Tables) -> bool {
    let (Some(own), Some(trial)) = (&run.speed, &tables.trial.speed) else { return true };
    same_speed_as(own.value.base(), trial.value.base())
}

/// Whether a run was made at the speed of the trial; a remark where it was not.
pub(super) fn at_trial_speed(run: &Run, tables: &Tables, reader: &mut Reader<'_>) -> bool {
    let same = same_speed(run, tables);
    if let (false, Some(own), Some(trial)) = (same, &run.speed, &tables.trial.speed) {
        let message = format!(
            "this run was made at {}, the sheet is for {}: it is not used",
            own.value, trial.value
        );
        let advice = "a calibration holds for one speed; measure again at the trial's speed";
        reader.say(&codes::UNUSED_DATA, own.span.clone(), message, advice);
    }
    same
}
