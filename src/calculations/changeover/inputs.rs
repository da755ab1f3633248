//! What the changeover calculations need, and the timers and rates that it makes.

use crate::calculations::Common;
use crate::calculations::jitter::Seeds;
use crate::calculations::speed_law::fall_time;
use crate::quantity::{CellRate, Decimal, Duration, Length, PerTime, Speed, TimeUnit, Unit};
use crate::working::Value;

use super::motion::Sweep;
use super::steps::{CleanOuts, Wish};
use super::timer_settings::{second, time};
use super::timers::{Timers, plain_numbers};

/// How fast the boost turns the plate.
#[derive(Clone, Debug)]
pub enum Boost {
    /// Cells in a time.
    Cells(CellRate),
    /// Plate turns in a time.
    Turns(PerTime),
}

/// How long a seed falls.
#[derive(Clone, Debug)]
pub enum Fall {
    /// As measured.
    Time(Duration),
    /// From its height, without drag: the least it can be.
    Height(Length),
}

/// The timers as they are set.
#[derive(Clone, Debug)]
pub struct Present {
    /// Clean-out.
    pub clean_out: Duration,
    /// Run-out.
    pub run_out: Duration,
    /// Fill.
    pub fill: Duration,
    /// Hand-over, where known.
    pub hand_over: Option<Duration>,
}

/// The sweep as it is set.
#[derive(Clone, Debug)]
pub struct SweepSetting {
    /// When it starts after the trip and how long it works, where that has been set before.
    pub timing: Option<(Duration, Duration)>,
    /// Cells from the sweep to release.
    pub cells_before_release: Decimal,
}

/// What the changeover calculations need.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// The timers, where they have been set before.
    pub present: Option<Present>,
    /// The hand-over as set, or as timed in the shop where no timer has been set.
    pub hand_over: Option<Duration>,
    /// The sweep, where there is one.
    pub sweep: Option<SweepSetting>,
    /// How fast the boost turns the plate.
    pub boost: Boost,
    /// When the old seed is gone from pick-up.
    pub old_seed_gone: Duration,
    /// From the end of clean-out until new seed is at pick-up.
    pub new_seed_at_pick_up: Duration,
    /// How long a seed falls, where known.
    pub fall: Option<Fall>,
    /// Shortest clean-out at all, where known.
    pub least_clean_out: Option<Duration>,
    /// Shortest clean-out that is usual, where known.
    pub usual_clean_out: Option<Duration>,
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
    /// The smallest change a timer takes.
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

impl Inputs {
    /// The rates and the machine's own times, with timers of zero.
    pub(super) fn machine(&self, common: &Common) -> Timers<Value> {
        let units = &common.units;
        let none = || Value::found("not set", 0.0, second(), "not set");
        Timers {
            speed: units.speed("ground speed", &self.speed),
            spacing: self.seeds.spacing(units),
            boost: self.boost_rate(),
            carry: Value::typed("carry", self.carry, Unit::ONE),
            clean_out: none(),
            run_out: none(),
            fill: none(),
            old_seed_gone: time("old seed gone", &self.old_seed_gone),
            new_seed_at_pick_up: time("new seed at pick-up", &self.new_seed_at_pick_up),
            sweep: None,
            fall: self.fall_time(common),
        }
    }

    fn boost_rate(&self) -> Value {
        let per_second = second().to_the(-1);
        match &self.boost {
            Boost::Cells(rate) => Value::measured("boost rate", rate, per_second),
            Boost::Turns(rate) => (Value::measured("boost, plate turns", rate, per_second)
                * Value::typed("cells", self.cells, Unit::ONE))
            .named("boost rate"),
        }
    }

    fn fall_time(&self, common: &Common) -> Value {
        match &self.fall {
            Some(Fall::Time(duration)) => time("fall time", duration),
            Some(Fall::Height(height)) => {
                let height = common.units.length("drop height", height);
                fall_time(&height, &common.units).named("fall time, free fall")
            }
            None => Value::found("fall time", 0.0, second(), "not known, taken as none"),
        }
    }

    /// Cells from the sweep to release; the carry, and so no sweep at all, where there is none.
    pub(super) fn sweep_cells(&self) -> Value {
        let cells = self.sweep.as_ref().map_or(self.carry, |sweep| sweep.cells_before_release);
        Value::typed("cells from sweep to release", cells, Unit::ONE)
    }

    /// The changeover as it is set.
    #[must_use]
    pub fn timers(&self, common: &Common) -> Option<Timers<Value>> {
        let present = self.present.as_ref()?;
        Some(Timers {
            clean_out: time("clean-out", &present.clean_out),
            run_out: time("run-out", &present.run_out),
            fill: time("fill", &present.fill),
            sweep: self.sweep.as_ref().and_then(|sweep| {
                let (after, length) = sweep.timing.as_ref()?;
                Some(Sweep {
                    start: time("sweep starts", after),
                    length: time("sweep works for", length),
                    cells_before_release: self.sweep_cells(),
                })
            }),
            ..self.machine(common)
        })
    }

    /// Whether there is anything to advise on: timers, and something seen or taped of them.
    #[must_use]
    pub fn was_looked_at(&self) -> bool {
        self.present.is_some() && (!self.runs.is_empty() || !self.widths.is_empty())
    }

    /// The clean-outs to keep to. Nothing is known of machines in general: where the sheet has no
    /// figure, a clean-out is as long as old seed takes to be gone.
    #[must_use]
    pub fn clean_outs(&self) -> CleanOuts {
        let seconds = |time: &Duration| time.value_in(TimeUnit::Second);
        let least = self.least_clean_out.as_ref().map_or(0.0, seconds);
        CleanOuts { least, usual: self.usual_clean_out.as_ref().map_or(least, seconds) }
    }

    /// The keys that say which clean-outs will do, where the sheet has none of them.
    pub(super) fn clean_out_keys_missing(&self) -> Vec<&'static str> {
        let keys = [
            ("`least-clean-out`", self.least_clean_out.is_none()),
            ("`usual-clean-out`", self.usual_clean_out.is_none()),
        ];
        keys.into_iter().filter(|(_, missing)| *missing).map(|(key, _)| key).collect()
    }

    /// What is wished of starting values.
    #[must_use]
    pub fn wish(&self, common: &Common) -> Wish {
        Wish {
            machine: plain_numbers(&self.machine(common)),
            alley: self.alley.value_in(common.units.length),
            tolerance: self.width_tolerance.as_ref().map(|off| off.value_in(common.units.length)),
            clean_outs: self.clean_outs(),
            length: common.units.length,
            step: self.step.as_ref().map_or(0.01, |step| step.value_in(TimeUnit::Second)),
            sweep_cells: self.sweep.as_ref().map(|sweep| sweep.cells_before_release.value()),
        }
    }
}
