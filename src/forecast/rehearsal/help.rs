//! What would help most, as plots saved: the same trials drawn once more with one thing otherwise.
//!
//! Both draws of a trial take the same chance, so that what sets them apart is that one thing, and a few
//! hundred trials tell it.

use std::num::NonZero;
use std::sync::atomic::{AtomicU64, Ordering};

use super::drawing::{Draws, count_of};
use super::known::{Known, Part, Shared};
use super::trial::{Kind, Trial, Trips};

/// What could be otherwise.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Thing {
    /// The trip scale.
    Trip,
    /// The shift of alleys along the travel.
    Centre,
    /// The line of the marks.
    Marks,
    /// The width of alleys.
    Width,
    /// The depth of rows.
    Depth,
}

/// How it is otherwise.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Otherwise {
    /// Its error is known to the last and set right.
    Known,
    /// Ten more readings are taken, and set right by them.
    TenMore,
    /// It scatters half as much from plot to plot.
    HalfTheScatter,
    /// All changes that are advised are made.
    AsAdvised,
}

/// One thing that could be otherwise, and the plots that it saves.
#[derive(Clone, Debug)]
pub struct Help {
    /// What; nothing where it is all changes together.
    pub thing: Option<Thing>,
    /// How.
    pub otherwise: Otherwise,
    /// Plots out of limit fewer, in the mean.
    pub saved: f64,
    /// The standard error of that by the drawing.
    pub standard_error: f64,
}

impl Thing {
    const ALL: [Thing; 5] = [Thing::Trip, Thing::Centre, Thing::Marks, Thing::Width, Thing::Depth];

    /// Stable key, for programs.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Thing::Trip => "trip",
            Thing::Centre => "centre",
            Thing::Marks => "marks",
            Thing::Width => "width",
            Thing::Depth => "depth",
        }
    }

    /// What its error is called.
    fn words(self) -> &'static str {
        match self {
            Thing::Trip => "trip scale",
            Thing::Centre => "shift of alleys",
            Thing::Marks => "line of the marks",
            Thing::Width => "width of alleys",
            Thing::Depth => "depth",
        }
    }

    /// What its readings are called.
    fn readings(self) -> &'static str {
        match self {
            Thing::Trip => "trip readings",
            Thing::Centre => "alleys against their marks",
            Thing::Marks => "alleys of both headings",
            Thing::Width => "alley widths",
            Thing::Depth => "depths in every row",
        }
    }

    fn bears(self, trial: &Trial) -> bool {
        let counts = |kind| trial.limits.counts(kind);
        match self {
            Thing::Trip => trial.trips == Trips::Counted,
            Thing::Centre => counts(Kind::Centre) || counts(Kind::Lead) || counts(Kind::TooLong),
            Thing::Marks => counts(Kind::Centre),
            Thing::Width => counts(Kind::Width) || counts(Kind::TooLong),
            Thing::Depth => counts(Kind::Depth),
        }
    }

    fn part(self, known: &mut Known, change: impl Fn(&Part) -> Part) {
        match self {
            Thing::Trip => known.trip = change(&known.trip),
            Thing::Centre => known.centre = change(&known.centre),
            Thing::Width => known.width = change(&known.width),
            Thing::Marks => {
                let part = Part { shared: known.marks, scatter: None, of_one: false };
                known.marks = change(&part).shared;
            }
            Thing::Depth => {
                for part in &mut known.depths {
                    *part = change(part);
                }
            }
        }
    }

    /// Whether anything was measured of it.
    fn is_known(self, known: &Known) -> bool {
        match self {
            Thing::Trip => known.trip.shared.is_some(),
            Thing::Centre => known.centre.shared.is_some(),
            Thing::Marks => known.marks.is_some(),
            Thing::Width => known.width.shared.is_some(),
            Thing::Depth => known.depths.iter().any(|part| part.shared.is_some()),
        }
    }
}

impl Help {
    /// In words: "with the trip scale known and set right".
    #[must_use]
    pub fn words(&self) -> String {
        let Some(thing) = self.thing else { return "all changes as advised".into() };
        match self.otherwise {
            Otherwise::Known => format!("{} known and set right", thing.words()),
            Otherwise::TenMore => format!("ten more {}, set by them", thing.readings()),
            Otherwise::HalfTheScatter => {
                let scatter = match thing {
                    Thing::Trip => "scatter of trips",
                    Thing::Centre => "scatter of alley middles",
                    Thing::Width => "scatter of widths",
                    Thing::Depth => "scatter of depths",
                    Thing::Marks => "scatter of marks",
                };
                format!("{scatter} halved")
            }
            Otherwise::AsAdvised => "all changes as advised".into(),
        }
    }
}

/// Ten more readings: the standard error goes as 1 / sqrt(n), the degrees of freedom grow by ten; what
/// days set apart stays.
fn ten_more(part: &Part) -> Part {
    let shared = part.shared.map(|shared| {
        let readings = f64::from(shared.readings.max(1));
        Shared {
            estimate: 0.0,
            standard_error: shared.standard_error * (readings / (readings + 10.0)).sqrt(),
            degrees: shared.degrees + 10,
            readings: shared.readings + 10,
            ..shared
        }
    });
    let scatter = part
        .scatter
        .map(|scatter| super::known::Scatter { degrees: scatter.degrees + 10, ..scatter });
    Part { shared, scatter, of_one: part.of_one }
}

fn known_exactly(part: &Part) -> Part {
    let between = part.shared.map_or(0.0, |shared| shared.between);
    let shared = part.shared.map(|_| Shared { between, ..Shared::RIGHT });
    Part { shared, of_one: false, ..*part }
}

fn half_the_scatter(part: &Part) -> Part {
    let halved =
        |scatter: super::known::Scatter| super::known::Scatter { sd: scatter.sd / 2.0, ..scatter };
    Part { scatter: part.scatter.map(halved), of_one: false, ..*part }
}

/// All that could be otherwise: the changes that are advised, where there are any, and then what saves
/// most besides them.
#[must_use]
pub fn what_would_help(
    trial: &Trial,
    held: &Known,
    advised: Option<&Known>,
    draws: Draws,
    cores: NonZero<usize>,
) -> Vec<Help> {
    let known = advised.unwrap_or(held);
    let now = any_out(trial, known, draws, cores);
    let of = |thing: Option<Thing>, otherwise: Otherwise, now: &[u32], other: &Known| {
        let then = any_out(trial, other, draws, cores);
        let saved: Vec<f64> =
            now.iter().zip(&then).map(|(now, then)| f64::from(*now) - f64::from(*then)).collect();
        let part = Part::of(&saved);
        let (mean, error) =
            part.shared.map_or((0.0, 0.0), |shared| (shared.estimate, shared.standard_error));
        Help { thing, otherwise, saved: mean, standard_error: error }
    };
    let mut all = vec![];
    for thing in Thing::ALL {
        if !thing.bears(trial) || !thing.is_known(known) {
            continue;
        }
        let with = |change: fn(&Part) -> Part| {
            let mut other = known.clone();
            thing.part(&mut other, change);
            other
        };
        all.push(of(Some(thing), Otherwise::Known, &now, &with(known_exactly)));
        all.push(of(Some(thing), Otherwise::TenMore, &now, &with(ten_more)));
        if thing != Thing::Marks {
            all.push(of(Some(thing), Otherwise::HalfTheScatter, &now, &with(half_the_scatter)));
        }
    }
    all.sort_by(|one, other| other.saved.total_cmp(&one.saved));
    if let Some(advised) = advised {
        let as_held = any_out(trial, held, draws, cores);
        all.insert(0, of(None, Otherwise::AsAdvised, &as_held, advised));
    }
    all
}

/// Plots out by anything in every drawn trial, in the order of their numbers.
fn any_out(trial: &Trial, known: &Known, draws: Draws, cores: NonZero<usize>) -> Vec<u32> {
    let next = AtomicU64::new(0);
    let work = || {
        let mut done = vec![];
        loop {
            let number = next.fetch_add(1, Ordering::Relaxed);
            if number >= draws.number {
                return done;
            }
            done.push((number, count_of(trial, known, draws.seed, number).any()));
        }
    };
    let mut all = std::thread::scope(|scope| {
        let others: Vec<_> = (1..cores.get()).map(|_| scope.spawn(work)).collect();
        let mut all = work();
        for other in others {
            match other.join() {
                Ok(theirs) => all.extend(theirs),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        all
    });
    all.sort_unstable();
    all.into_iter().map(|(_, out)| out).collect()
}
