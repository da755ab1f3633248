//! What of the actions may be changed after looking, and what each of it works on.

use crate::calculations::Common;
use crate::outcome::{Part, Timed};
use crate::working::Value;

use super::actions::{Action, Edge, Work};
use super::ground::bunching;
use super::inputs::{Inputs, as_typed, second, step_value};
use super::motion::{Motion, Schedule, numbers};
use super::prediction::{Prediction, predict};

/// A setting that may be changed.
#[derive(Clone, Debug)]
pub(super) struct Knob {
    pub(super) place: usize,
    pub(super) timed: Timed,
    /// What it is, in seconds or in lengths of the ground.
    pub(super) now: Value,
    /// Its step, in the same unit.
    pub(super) step: Option<Value>,
}

/// A boost that works on an edge of the plot.
pub(super) struct BoostAt {
    pub(super) place: usize,
    pub(super) name: String,
    /// r_b, or r_g where it is slower.
    pub(super) rate: Value,
    pub(super) start: Value,
    /// Whether it lasts at all.
    pub(super) lasts: bool,
}

/// A changeover that was looked at, as it is set.
pub(super) struct Machine<'a> {
    pub(super) inputs: &'a Inputs,
    pub(super) common: &'a Common,
    pub(super) schedule: Schedule<Value>,
    ground: Prediction<Value>,
}

impl Machine<'_> {
    pub(super) fn of<'a>(inputs: &'a Inputs, common: &'a Common) -> Option<Machine<'a>> {
        let schedule = inputs.schedule(common)?;
        let ground = predict(&schedule);
        Some(Machine { inputs, common, schedule, ground })
    }

    /// The places of actions of a kind.
    pub(super) fn places(&self, is: fn(&Action) -> bool) -> impl Iterator<Item = usize> + '_ {
        let all = self.inputs.actions.iter().enumerate();
        all.filter(move |(_, action)| is(action)).map(|(place, _)| place)
    }

    /// A setting, where it stands in the sheet and may be changed.
    pub(super) fn knob(&self, place: usize, part: Part) -> Option<Knob> {
        let action = &self.inputs.actions[place];
        let held = action.held(part).filter(|_| action.may_change(part))?;
        let timed = action.timed(part);
        let step = self.inputs.step_of(action, part).filter(|step| {
            // A step of another kind than the number is none of it.
            step.is_time() == held.is_time()
        });
        Some(Knob {
            place,
            timed,
            now: as_typed(&timed, held, self.common),
            step: step.map(|step| step_value(&step, self.common)),
        })
    }

    /// Seconds in the unit of a setting.
    pub(super) fn in_its_unit(&self, knob: &Knob, seconds: Value) -> Value {
        if knob.now.unit() == second() { seconds } else { seconds * &self.schedule.speed }
    }

    /// A number of a setting in seconds.
    pub(super) fn seconds(&self, knob: &Knob, number: f64) -> f64 {
        if knob.now.unit() == second() { number } else { number / self.schedule.speed.number() }
    }

    /// What lets the next lot in later: the length of the clean-out whose end it comes after, else the
    /// wait of what lets it in, else whatever that hangs on and may be changed.
    pub(super) fn opening(&self) -> Option<Knob> {
        let actions = &self.inputs.actions;
        let brings = |action: &Action| {
            matches!(action.work, Work::HandOver { new_seed_at_pick_up: Some(_) })
        };
        let mut place = self.places(brings).next()?;
        let mut chain = vec![(place, Part::Wait)];
        // No list is longer than itself.
        for _ in actions {
            let Some((other, edge)) = actions[place].after else { break };
            if edge == Edge::End {
                chain.push((other, Part::For));
            }
            chain.push((other, Part::Wait));
            place = other;
        }
        let of_clean_out = |(place, part): &&(usize, Part)| {
            *part == Part::For && matches!(actions[*place].work, Work::CleanOut { .. })
        };
        let clean_outs = chain.iter().filter(of_clean_out);
        let mut all = clean_outs.chain(&chain);
        all.find_map(|(place, part)| self.knob(*place, *part))
    }

    /// The least that the opening may be: no clean-out shorter than old seed takes to be gone, or than
    /// its figure.
    pub(super) fn least_opening(&self, knob: &Knob) -> f64 {
        let times = self.inputs.times(self.common, &[]);
        let opens = match knob.timed.part {
            Part::For => times[knob.place].1.unwrap_or(times[knob.place].0),
            Part::Wait => times[knob.place].0,
        };
        let needs = |(action, (start, _)): (&Action, &(f64, Option<f64>))| match &action.work {
            Work::CleanOut { old_seed_gone, least, .. } => {
                let seconds = crate::quantity::TimeUnit::Second;
                let gone = old_seed_gone.as_ref().map_or(0.0, |gone| gone.value_in(seconds));
                let least = least.as_ref().map_or(0.0, |least| self.inputs.seconds(least));
                Some(start + gone.max(least))
            }
            _ => None,
        };
        let earliest = self.inputs.actions.iter().zip(&times).filter_map(needs).fold(0.0, f64::max);
        let room = opens - earliest;
        let room =
            if knob.now.unit() == second() { room } else { room * self.schedule.speed.number() };
        crate::quantity::clean((knob.now.number() - room).max(0.0))
    }

    /// The boost that works on the plot's end, or on its start: the one that bunches seeds there, else
    /// the first to start, or the last to end, of those that turn the plate faster.
    pub(super) fn boost_at(&self, end: bool) -> Option<BoostAt> {
        let boosts = &self.schedule.boosts;
        let ground = (&self.schedule.speed / &self.schedule.spacing).named("ground-drive rate");
        let number = |of: usize| {
            let boost = &boosts[of];
            if end { boost.start.number() } else { -(boost.start.number() + boost.length.number()) }
        };
        let by_model = bunching(&self.schedule, &self.ground, end).map(|one| one.place);
        let edge = (0..boosts.len()).min_by(|one, other| number(*one).total_cmp(&number(*other)));
        let boost = &boosts[by_model.or(edge)?];
        let place = self
            .inputs
            .actions
            .iter()
            .position(|action| action.name.as_str() == boost.name.as_ref())?;
        let slower = boost.rate.number() < ground.number();
        Some(BoostAt {
            place,
            name: boost.name.to_string(),
            rate: if slower { ground } else { boost.rate.clone() },
            start: boost.start.clone(),
            lasts: boost.length.number() > 0.0,
        })
    }

    /// The wait of a boost with which every old seed is released at ground rate: as much less as it
    /// starts after t_e + k / r_g.
    pub(super) fn wait_needed(&self, knob: &Knob, boost: &BoostAt) -> Value {
        let ground = (&self.schedule.speed / &self.schedule.spacing).named("ground-drive rate");
        let drained = &self.schedule.old_seed_gone + &self.schedule.carry / ground;
        let spare = (&boost.start - drained).named("start of the boost after the last old seed");
        (&knob.now - self.in_its_unit(knob, spare))
            .named(format!("{} that old seed needs", knob.timed.name()))
    }

    /// The sweep that is over last.
    pub(super) fn last_sweep(&self) -> Option<usize> {
        let times = self.inputs.times(self.common, &[]);
        let sweeps = self
            .places(|action| action.lasts.is_some() && matches!(action.work, Work::Sweep { .. }));
        sweeps.max_by(|one, other| {
            times[*one].1.unwrap_or(0.0).total_cmp(&times[*other].1.unwrap_or(0.0))
        })
    }

    /// When a sweep starts and when the last old seed passes it, where that is before: then no length of
    /// it catches any.
    pub(super) fn sweeps_too_late(&self, place: usize) -> Option<(f64, f64)> {
        let Work::Sweep { cells_before_release } = &self.inputs.actions[place].work else {
            return None;
        };
        let starts = self.inputs.times(self.common, &[])[place].0;
        let schedule = numbers(&self.schedule);
        let motion = Motion::of(&schedule);
        let last = motion.cells_at(schedule.old_seed_gone);
        let passed = motion.time_of(last + schedule.carry - cells_before_release.value());
        (starts >= passed).then_some((starts, passed))
    }

    /// Whether new seed would be bunched at the plot's start with another number of a setting.
    pub(super) fn bunches_at_start(&self, knob: &Knob, number: &Value) -> bool {
        let found = [(knob.timed, number.clone())];
        let schedule = self.inputs.schedule_with(self.common, &found);
        schedule.is_some_and(|schedule| predict(&numbers(&schedule)).bunched_at_start > 0.5)
    }
}
