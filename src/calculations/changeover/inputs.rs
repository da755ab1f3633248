//! What the changeover calculations need, and the schedule that its actions make.

use crate::calculations::Common;
use crate::calculations::jitter::Seeds;
use crate::calculations::speed_law::fall_time;
use crate::outcome::{Part, Timed};
use crate::quantity::{Decimal, Duration, Length, Speed, TimeUnit, Unit};
use crate::working::Value;

use super::actions::{Action, Boost, Does, Extent, Ground, Planned, When, Work, scheduled, when};
use super::motion::Schedule;

/// How long a seed falls.
#[derive(Clone, Debug)]
pub enum Fall {
    /// As measured.
    Time(Duration),
    /// From its height, without drag: the least it can be.
    Height(Length),
}

/// What the changeover calculations need.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// What happens at a changeover; every place that one of them names is one of the list.
    pub actions: Vec<Action>,
    /// How long a seed falls, where known.
    pub fall: Option<Fall>,
    /// Cells from pick-up to release.
    pub carry: Decimal,
    /// Cells of the plate.
    pub cells: Decimal,
    /// Ground speed.
    pub speed: Speed,
    /// The seeds.
    pub seeds: Seeds,
    /// The alley that is wanted.
    pub alley: Length,
    /// Length of a plot, where known.
    pub plot: Option<Length>,
    /// The smallest change of a time, where an action has no step of its own.
    pub step: Option<Duration>,
    /// How far the width may be off.
    pub width_tolerance: Option<Length>,
    /// What was seen on the ground, latest last.
    pub runs: Vec<Observed>,
    /// Alley widths taped in alley runs, where the changeover runs have none.
    pub widths: Vec<Vec<Value>>,
}

/// What the crew saw and measured after one test range.
#[derive(Clone, Debug, Default)]
pub struct Observed {
    /// The new lot had not all fallen when the hand-over ended.
    pub hand_over_unfinished: bool,
    /// How far into the new plot seed of the old lot was found.
    pub old_seed_in_new_plot: Option<Length>,
    /// Length over which seeds stand bunched at a plot's end.
    pub bunched_at_end: Option<Length>,
    /// Length over which seeds stand bunched at a plot's start.
    pub bunched_at_start: Option<Length>,
    /// Stray seeds counted in an alley.
    pub stray_seeds: Option<u32>,
    /// Alley widths, last seed to first seed.
    pub alley_width: Vec<Length>,
}

/// The unit of times.
pub(super) fn second() -> Unit {
    Unit::from(TimeUnit::Second)
}

/// A setting as it was typed, in seconds or in lengths of the ground.
pub(super) fn as_typed(timed: &Timed, extent: &Extent, common: &Common) -> Value {
    match extent {
        Extent::Time(time) => Value::measured(timed.name(), time, second()),
        Extent::Way(way) => common.units.length(timed.name(), way),
    }
}

/// A step as a value.
pub(super) fn step_value(step: &Extent, common: &Common) -> Value {
    match step {
        Extent::Time(time) => Value::measured("timer step", time, second()),
        Extent::Way(way) => common.units.length("step", way),
    }
}

impl Inputs {
    /// Whether everything is set that the prediction can't do without.
    #[must_use]
    pub fn is_set(&self) -> bool {
        self.actions.iter().all(Action::is_set)
    }

    /// Whether there is anything to advise on: actions that are set, and something seen or taped of
    /// them.
    #[must_use]
    pub fn was_looked_at(&self) -> bool {
        self.is_set() && (!self.runs.is_empty() || !self.widths.is_empty())
    }

    /// Speed, spacing, carry and fall.
    pub(super) fn ground(&self, common: &Common) -> Ground<Value> {
        Ground {
            speed: common.units.speed("ground speed", &self.speed),
            spacing: self.seeds.spacing(&common.units),
            carry: Value::typed("carry", self.carry, Unit::ONE),
            fall: self.fall_time(common),
        }
    }

    fn fall_time(&self, common: &Common) -> Value {
        match &self.fall {
            Some(Fall::Time(duration)) => Value::measured("fall time", duration, second()),
            Some(Fall::Height(height)) => {
                let height = common.units.length("drop height", height);
                fall_time(&height, &common.units).named("fall time, free fall")
            }
            None => Value::found("fall time", 0.0, second(), "not known, taken as none"),
        }
    }

    /// The actions with their times in seconds; what was found goes before what is set.
    fn planned(&self, common: &Common, found: &[(Timed, Value)]) -> Vec<Planned<Value>> {
        self.planned_at(common, found, &common.units.speed("ground speed", &self.speed))
    }

    fn planned_at(
        &self,
        common: &Common,
        found: &[(Timed, Value)],
        speed: &Value,
    ) -> Vec<Planned<Value>> {
        let in_time = |timed: Timed, value: Value| {
            if value.unit() == second() { value } else { (value / speed).named(timed.name()) }
        };
        let of_ground = |timed: &Timed, way: &Length| {
            common.units.length([&timed.name(), ", on the ground"].concat(), way)
        };
        let held = |action: &Action, part| {
            let timed = action.timed(part);
            if let Some((_, value)) = found.iter().find(|(own, _)| *own == timed) {
                return Some(in_time(timed, value.clone()));
            }
            action.held(part).map(|extent| match extent {
                Extent::Time(_) => as_typed(&timed, extent, common),
                Extent::Way(way) => in_time(timed, of_ground(&timed, way)),
            })
        };
        let plan = |action: &Action| Planned {
            name: action.name.to_string(),
            after: action.after,
            wait: held(action, Part::Wait),
            lasts: held(action, Part::For),
            does: self.does(action),
        };
        self.actions.iter().map(plan).collect()
    }

    fn does(&self, action: &Action) -> Does<Value> {
        let time = |what: &str, alone: bool, time: &Duration| {
            let of = if alone { String::new() } else { format!(", by {}", action.name) };
            Value::measured([what, &of].concat(), time, second())
        };
        let one = |count: &dyn Fn(&Work) -> bool| {
            self.actions.iter().filter(|action| count(&action.work)).count() == 1
        };
        match &action.work {
            Work::CleanOut { old_seed_gone, .. } => {
                let alone =
                    one(&|work| matches!(work, Work::CleanOut { old_seed_gone: Some(_), .. }));
                Does::CleanOut(old_seed_gone.as_ref().map(|by| time("old seed gone", alone, by)))
            }
            Work::HandOver { new_seed_at_pick_up } => {
                let alone =
                    one(&|work| matches!(work, Work::HandOver { new_seed_at_pick_up: Some(_) }));
                let there = new_seed_at_pick_up.as_ref();
                Does::HandOver(there.map(|by| time("new seed at pick-up", alone, by)))
            }
            Work::Boost { rate } => Does::Boost(self.boost_rate(action, rate)),
            Work::Sweep { cells_before_release } => Does::Sweep(Value::typed(
                format!("cells from {} to release", action.name),
                *cells_before_release,
                Unit::ONE,
            )),
        }
    }

    /// How fast the motor turns the plate in an action.
    pub(super) fn boost_rate(&self, action: &Action, rate: &Boost) -> Value {
        let per_second = second().to_the(-1);
        let name = format!("rate of {}", action.name);
        match rate {
            Boost::Cells(rate) => Value::measured(name, rate, per_second),
            Boost::Turns(rate) => {
                let turns = Value::measured(format!("{name}, plate turns"), rate, per_second);
                (turns * Value::typed("cells", self.cells, Unit::ONE)).named(name)
            }
        }
    }

    /// The changeover as it is set, by the clock.
    #[must_use]
    pub fn schedule(&self, common: &Common) -> Option<Schedule<Value>> {
        self.is_set().then(|| self.schedule_with(common, &[]))?
    }

    /// The changeover with what was found for some of its settings, in seconds or in lengths of the
    /// ground.
    pub(super) fn schedule_with(
        &self,
        common: &Common,
        found: &[(Timed, Value)],
    ) -> Option<Schedule<Value>> {
        scheduled(&self.planned(common, found), &self.ground(common))
    }

    /// The changeover as it is set, at a share of the ground speed.
    pub(super) fn at_share_of_speed(&self, common: &Common, share: f64) -> Option<Schedule<Value>> {
        let mut ground = self.ground(common);
        ground.speed = ground.speed * Value::exact("share of the speed", share, Unit::ONE);
        scheduled(&self.planned_at(common, &[], &ground.speed), &ground)
    }

    /// When each action starts and ends, in seconds from the trip.
    pub(super) fn times(
        &self,
        common: &Common,
        found: &[(Timed, Value)],
    ) -> Vec<(f64, Option<f64>)> {
        let number = |value: &Option<Value>| value.as_ref().map(Value::number);
        let of = |when: When<Value>| (number(&when.start).unwrap_or(0.0), number(&when.end));
        let times = when(&self.planned(common, found)).unwrap_or_default();
        times.into_iter().map(of).collect()
    }

    /// Seconds of an extent at the ground speed.
    pub(super) fn seconds(&self, extent: &Extent) -> f64 {
        extent.seconds(self.speed.base())
    }

    /// The smallest change of a setting, where one is known.
    #[must_use]
    pub fn step_of(&self, action: &Action, part: Part) -> Option<Extent> {
        let by_way = action.goes_by_way(part);
        let own = action.step.clone().filter(|step| step.is_time() != by_way);
        own.or_else(|| self.step.clone().map(Extent::Time).filter(|_| !by_way))
    }

    /// The same with some settings at what they were.
    #[must_use]
    pub fn with_held(&self, held: &[(Timed, Extent)]) -> Inputs {
        let mut inputs = self.clone();
        for (timed, extent) in held {
            let own = inputs.actions.iter_mut().find(|action| action.name == timed.action);
            if let Some(action) = own {
                *action.held_mut(timed.part) = Some(extent.clone());
            }
        }
        inputs
    }

    /// The actions that take out old seed and have no figure of how long they have to be, with the
    /// keys that they lack.
    pub(super) fn figures_missing(&self) -> Vec<(&Action, Vec<&'static str>)> {
        let lacks = |action: &Action| match &action.work {
            Work::CleanOut { least, usual, .. } => {
                let keys = [("`least`", least.is_none()), ("`usual`", usual.is_none())];
                keys.into_iter().filter(|(_, missing)| *missing).map(|(key, _)| key).collect()
            }
            _ => vec![],
        };
        let all = self.actions.iter().map(|action| (action, lacks(action)));
        all.filter(|(_, keys): &(_, Vec<_>)| !keys.is_empty()).collect()
    }
}
