//! The changeover as the machine has it: a list of actions, each with what starts it, and the windows
//! and instants that come of it.

use crate::outcome::{ActionName, Part, Timed};
use crate::quantity::{CellRate, Decimal, Duration, Length, PerTime, TimeUnit};
use crate::working::Arithmetic;

use super::motion::{Schedule, Sweep, Turning};

/// How fast a motor turns the plate.
#[derive(Clone, Debug)]
pub enum Boost {
    /// Cells in a time.
    Cells(CellRate),
    /// Plate turns in a time.
    Turns(PerTime),
}

impl std::fmt::Display for Boost {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Boost::Cells(rate) => rate.fmt(f),
            Boost::Turns(rate) => rate.fmt(f),
        }
    }
}

/// How long something lasts: by the clock, or by the way that the planter covers meanwhile.
#[derive(Clone, Debug)]
pub enum Extent {
    /// A time.
    Time(Duration),
    /// A way.
    Way(Length),
}

impl std::fmt::Display for Extent {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Extent::Time(time) => time.fmt(f),
            Extent::Way(way) => way.fmt(f),
        }
    }
}

impl Extent {
    /// The number in its base unit, for comparing two of one kind.
    #[must_use]
    pub fn base(&self) -> f64 {
        match self {
            Extent::Time(time) => time.base(),
            Extent::Way(way) => way.base(),
        }
    }

    /// Whether it is a time.
    #[must_use]
    pub fn is_time(&self) -> bool {
        matches!(self, Extent::Time(_))
    }

    /// Whether the other one is the same.
    #[must_use]
    pub fn is_same(&self, other: &Extent) -> bool {
        self.is_time() == other.is_time() && self.base() == other.base()
    }

    /// Seconds that it lasts at a speed in millimetres a second.
    #[must_use]
    pub fn seconds(&self, speed: f64) -> f64 {
        match self {
            Extent::Time(time) => time.value_in(TimeUnit::Second),
            Extent::Way(way) => way.base() / speed,
        }
    }
}

/// Which end of another action starts one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// Its start.
    Start,
    /// Its end.
    End,
}

/// What an action does, with what is known of the machine in it.
#[derive(Clone, Debug)]
#[allow(clippy::large_enum_variant)] // a handful of them in a sheet
pub enum Work {
    /// Takes old seed from the plate's supply.
    CleanOut {
        /// From its start until the old seed is gone from pick-up, where it is this one that does it.
        old_seed_gone: Option<Duration>,
        /// The shortest it may be at all, where known.
        least: Option<Extent>,
        /// The shortest that is usual, where known.
        usual: Option<Extent>,
    },
    /// Lets the next lot in.
    HandOver {
        /// From its start until new seed is at pick-up, where it is this one that brings it.
        new_seed_at_pick_up: Option<Duration>,
    },
    /// Turns the plate by its motor.
    Boost {
        /// How fast.
        rate: Boost,
    },
    /// Knocks strays off the plate.
    Sweep {
        /// Cells from it to release.
        cells_before_release: Decimal,
    },
}

impl Work {
    /// Whether the changeover can't be reckoned with before it has a length.
    fn needs_length(&self) -> bool {
        matches!(self, Work::CleanOut { .. } | Work::Boost { .. })
    }
}

/// An action of the changeover.
#[derive(Clone, Debug)]
pub struct Action {
    /// The crew's name of it.
    pub name: ActionName,
    /// What it does.
    pub work: Work,
    /// What starts it: another action of the list, by its place; `None` is the trip.
    pub after: Option<(usize, Edge)>,
    /// How long it waits for its start; not at all where there is nothing.
    pub wait: Option<Extent>,
    /// How long it lasts, where that is set.
    pub lasts: Option<Extent>,
    /// The smallest change of both, where it has its own.
    pub step: Option<Extent>,
    /// What of it can't be changed.
    pub fixed: Vec<Part>,
}

impl Action {
    /// One of its settings.
    #[must_use]
    pub fn timed(&self, part: Part) -> Timed {
        Timed { action: self.name, part }
    }

    /// What one of its settings is.
    #[must_use]
    pub fn held(&self, part: Part) -> Option<&Extent> {
        match part {
            Part::Wait => self.wait.as_ref(),
            Part::For => self.lasts.as_ref(),
        }
    }

    /// The same, to be written over.
    pub(super) fn held_mut(&mut self, part: Part) -> &mut Option<Extent> {
        match part {
            Part::Wait => &mut self.wait,
            Part::For => &mut self.lasts,
        }
    }

    /// Whether one of its settings may be changed.
    #[must_use]
    pub fn may_change(&self, part: Part) -> bool {
        !self.fixed.contains(&part)
    }

    /// Whether it goes by the way and not by the clock: as it is typed, else as its step is.
    #[must_use]
    pub fn goes_by_way(&self, part: Part) -> bool {
        let other = match part {
            Part::Wait => Part::For,
            Part::For => Part::Wait,
        };
        let typed = self.held(part).or(self.step.as_ref()).or(self.held(other));
        typed.is_some_and(|typed| !typed.is_time())
    }

    /// Whether it takes its place by the clock: nothing that must have a length lacks it.
    #[must_use]
    pub fn is_set(&self) -> bool {
        self.lasts.is_some() || !self.work.needs_length()
    }
}

/// An action with its times in seconds.
#[derive(Clone, Debug)]
pub struct Planned<N> {
    /// Its name.
    pub name: String,
    /// What starts it; `None` is the trip.
    pub after: Option<(usize, Edge)>,
    /// How long it waits for its start.
    pub wait: Option<N>,
    /// How long it lasts.
    pub lasts: Option<N>,
    /// What it does.
    pub does: Does<N>,
}

/// What a planned action does.
#[derive(Clone, Debug)]
pub enum Does<N> {
    /// Old seed is gone from pick-up so long after its start, where it is this one that does it.
    CleanOut(Option<N>),
    /// New seed is at pick-up so long after its start, where it is this one that brings it.
    HandOver(Option<N>),
    /// The motor turns the plate so fast, in cells a second.
    Boost(N),
    /// Strays are knocked off so many cells before release.
    Sweep(N),
}

/// When an action starts and ends; a start of `None` is the trip.
#[derive(Clone, Debug)]
pub struct When<N> {
    /// Its start.
    pub start: Option<N>,
    /// Its end, where it has a length.
    pub end: Option<N>,
}

/// When each action of a list starts and ends: a start is the start or the end of what it comes after,
/// and its wait. `None` where an action comes after the end of one that has none, or where actions
/// start each other in a circle.
///
/// ```
/// use alleytrue::calculations::changeover::{Does, Edge, Planned, when};
/// let action = |name: &str, after, wait, lasts, does| Planned {
///     name: name.to_owned(), after, wait, lasts, does,
/// };
/// let list = [
///     action("out", None, None, Some(1.5), Does::CleanOut(Some(1.0))),
///     action("turn", Some((0, Edge::End)), Some(0.25), Some(0.5), Does::Boost(60.0)),
/// ];
/// let times = when(&list).expect("times");
/// assert_eq!((times[1].start, times[1].end), (Some(1.75), Some(2.25)));
/// let circle = [action("turn", Some((0, Edge::End)), None, Some(0.5), Does::Boost(60.0))];
/// assert!(when(&circle).is_none());
/// ```
#[must_use]
pub fn when<N: Arithmetic>(list: &[Planned<N>]) -> Option<Vec<When<N>>> {
    let mut times: Vec<Option<When<N>>> = vec![None; list.len()];
    // Each round settles at least one that hangs on none that is open.
    for _ in list {
        for (place, action) in list.iter().enumerate() {
            if times[place].is_some() {
                continue;
            }
            let from = match action.after {
                None => None,
                Some((other, edge)) => match (times.get(other)?, edge) {
                    (None, _) => continue,
                    (Some(when), Edge::Start) => when.start.clone(),
                    (Some(when), Edge::End) => Some(when.end.clone()?),
                },
            };
            times[place] = Some(action.when(from));
        }
    }
    times.into_iter().collect()
}

impl<N: Arithmetic> Planned<N> {
    /// When it starts and ends, by what it comes after.
    fn when(&self, from: Option<N>) -> When<N> {
        let start = match (from, self.wait.clone()) {
            (Some(from), Some(wait)) => Some((from + wait).called_of(&[&self.name, " starts"])),
            (from, wait) => from.or(wait),
        };
        let end = self.lasts.clone().map(|lasts| match start.clone() {
            Some(start) => (start + lasts).called_of(&[&self.name, " ends"]),
            None => lasts,
        });
        When { start, end }
    }
}

/// The rest of a changeover, which is not in its actions.
#[derive(Clone, Debug)]
pub struct Ground<N> {
    /// v: ground speed.
    pub speed: N,
    /// s: seed spacing under ground drive.
    pub spacing: N,
    /// k: cells from pick-up to release.
    pub carry: N,
    /// t_fall: from release to the ground.
    pub fall: N,
}

/// A list of actions by the clock.
///
/// Old seed is gone from pick-up when the first of those that take it out has done so, new seed is
/// there when the first of those that let it in has brought it:
/// t_e = min(start + time until gone), t_n = min(start + time until there). A sweep without a length is
/// left out. `None` where that can't be told.
///
/// ```
/// use alleytrue::calculations::changeover::{Does, Edge, Ground, Planned, scheduled};
/// let ground = Ground { speed: 50.0, spacing: 2.0, carry: 15.0, fall: 0.0 };
/// let list = [
///     Planned {
///         name: "out".into(), after: None, wait: None, lasts: Some(1.5),
///         does: Does::CleanOut(Some(1.0)),
///     },
///     Planned {
///         name: "in".into(), after: Some((0, Edge::End)), wait: None, lasts: None,
///         does: Does::HandOver(Some(0.25)),
///     },
/// ];
/// let schedule = scheduled(&list, &ground).expect("times");
/// assert_eq!((schedule.old_seed_gone, schedule.new_seed_there), (1.0, 1.75));
/// ```
#[must_use]
pub fn scheduled<N: Arithmetic>(list: &[Planned<N>], ground: &Ground<N>) -> Option<Schedule<N>> {
    let times = when(list)?;
    let nought = || ground.fall.nothing("the trip", "all times count from it");
    let start = |when: &When<N>| when.start.clone().unwrap_or_else(nought);
    let later = |when: &When<N>, by: &N, name: &'static str| match &when.start {
        Some(start) => (start.clone() + by.clone()).called(name),
        None => by.clone(),
    };
    let first = |best: Option<N>, next: N| match best {
        Some(best) if !next.below(&best) => Some(best),
        _ => Some(next),
    };
    let (mut gone, mut there) = (None, None);
    let (mut boosts, mut sweeps) = (vec![], vec![]);
    for (action, when) in list.iter().zip(&times) {
        match (&action.does, &action.lasts) {
            (Does::CleanOut(Some(by)), _) => {
                gone = first(gone, later(when, by, "old seed is gone from pick-up"));
            }
            (Does::HandOver(Some(by)), _) => {
                there = first(there, later(when, by, "new seed reaches pick-up"));
            }
            (Does::Boost(rate), Some(length)) => boosts.push(Turning {
                name: action.name.clone().into(),
                start: start(when),
                length: length.clone(),
                rate: rate.clone(),
            }),
            (Does::Sweep(cells), Some(length)) => sweeps.push(Sweep {
                start: start(when),
                length: length.clone(),
                cells_before_release: cells.clone(),
            }),
            _ => {}
        }
    }
    Some(Schedule {
        speed: ground.speed.clone(),
        spacing: ground.spacing.clone(),
        carry: ground.carry.clone(),
        old_seed_gone: gone?,
        new_seed_there: there?,
        boosts,
        sweeps,
        fall: ground.fall.clone(),
    })
}
