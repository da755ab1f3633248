//! The run-up from what was timed or taped, and what of ground a pass needs before its first plot.

use crate::calculations::common::Common;
use crate::outcome::Outcome;
use crate::quantity::{TimeUnit, Unit};
use crate::statistics::{NextOne, Summary};
use crate::working::Value;

use super::formulas::{way_to_fill, way_to_speed};
use super::inputs::{Fills, Inputs};

/// What one reading is.
pub(super) const SUBJECT: &str = "run-up";

/// The ways of a pass before its first plot.
pub(super) struct Ways {
    pub(super) speed: Value,
    /// From standing to speed, in the mean.
    pub(super) run_up: Value,
    /// The longest that is to be expected of a single pass, where several were measured.
    pub(super) longest: Option<Value>,
    /// Carry × spacing: what an empty plate leaves bare.
    pub(super) fill: Value,
    pub(super) machine: Option<Value>,
    fills: Fills,
}

impl Ways {
    /// Nothing where nothing was timed or taped.
    pub(super) fn of(inputs: &Inputs, common: &Common, outcome: &mut Outcome) -> Option<Ways> {
        let units = &common.units;
        let speed = units.speed("speed", &inputs.speed);
        let second = Unit::from(TimeUnit::Second);
        // Evenly gained: half the speed on the way.
        let by_time = |time: &Value| &speed * time / Value::constant(2.0);
        let mut readings = units.readings(&inputs.distances);
        readings.extend(inputs.times.iter().map(|time| by_time(&Value::reading(time, second))));
        let found = Summary::of(SUBJECT, &readings, common.confidence);
        let (run_up, longest) = match (found, &inputs.time) {
            (Some(found), _) => {
                let longest = found.spread.as_ref().and_then(|spread| {
                    let degrees = u32::try_from(readings.len() - 1).ok()?;
                    let error = &spread.interval.standard_error;
                    NextOne::new(SUBJECT, &spread.sd, error, degrees)?;
                    let next = (spread.sd.to_the(2) + error.to_the(2)).root();
                    let next = next.named("SD of the next run-up");
                    Some(
                        (&found.mean + &spread.interval.t * next).named("run-up of one pass, high"),
                    )
                });
                if let Some(spread) = found.spread {
                    outcome.values.extend([spread.interval.low, spread.interval.high]);
                }
                (found.mean, longest)
            }
            (None, Some(time)) => {
                let time = Value::measured("time to speed", time, second);
                let acceleration = (&speed / time).named("acceleration");
                (way_to_speed(&speed, &acceleration).named("run-up"), None)
            }
            (None, None) => return None,
        };
        let spacing = inputs.seeds.spacing(units);
        let carry = Value::typed("carry", inputs.carry, Unit::ONE);
        let fill = way_to_fill(&carry, &spacing).named("way that fills the plate");
        let machine = inputs.machine.as_ref().filter(|length| length.base() > 0.0);
        let machine = machine.map(|length| units.length("machine", length));
        Some(Ways { speed, run_up, longest, fill, machine, fills: inputs.fills })
    }

    /// What a pass needs before its first plot, by this run-up.
    pub(super) fn needed(&self, run_up: &Value, tag: &str) -> Value {
        let ready = match self.fills {
            Fills::AtSpeed => run_up + &self.fill,
            Fills::Standing if self.fill.number() > run_up.number() => self.fill.clone(),
            Fills::Standing | Fills::AtFirstMark => run_up.clone(),
        };
        let needed = match &self.machine {
            Some(machine) => ready + machine,
            None => ready,
        };
        needed.named(["ground needed before the first plot", tag].concat())
    }

    /// What of a room is left for the run-up; below nothing where not even the rest has room.
    pub(super) fn room_for_run_up(&self, room: &Value) -> Value {
        let room = match &self.machine {
            Some(machine) => room - machine,
            None => room.clone(),
        };
        match self.fills {
            Fills::AtSpeed => room - &self.fill,
            Fills::Standing if self.fill.number() > room.number() => room - &self.fill,
            Fills::Standing | Fills::AtFirstMark => room,
        }
    }
}
