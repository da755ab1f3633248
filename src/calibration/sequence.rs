//! Everything a sheet has data for, in working order, and the one thing to change next.
//!
//! The order is that in which each step rests on the one before: speed and wheel, spacing,
//! (changeover,) trip scale, alleys, passes. One thing is changed at a time: common practice, no
//! source.

use super::sprockets::SearchError;
use super::{Next, Outcome, alley, passes, spacing, speed, trip, wheel};

/// The inputs of every calculation that a sheet has data for.
#[derive(Clone, Debug, Default)]
pub struct Job {
    /// Timed runs.
    pub speed: Option<speed::Inputs>,
    /// Wheel runs.
    pub wheel: Option<wheel::Inputs>,
    /// Drive and target.
    pub spacing: Option<spacing::Inputs>,
    /// Trip runs.
    pub trip: Option<trip::Inputs>,
    /// Alley runs.
    pub alley: Option<alley::Inputs>,
    /// Pass runs, or alley runs of both headings.
    pub passes: Option<passes::Inputs>,
}

/// The results in working order.
#[derive(Clone, Debug)]
pub struct Report {
    /// One outcome per calculation.
    pub outcomes: Vec<Outcome>,
    /// The one thing to change next; `None` where nothing has to change.
    pub next: Option<Next>,
}

impl Report {
    /// A report of outcomes already in working order.
    #[must_use]
    pub fn of(outcomes: Vec<Outcome>) -> Report {
        let next = outcomes.iter().find_map(|outcome| outcome.next.clone());
        Report { outcomes, next }
    }
}

/// Runs what the job has inputs for.
///
/// # Errors
///
/// [`SearchError`] where the drive has too many sprocket combinations to search.
pub fn calibrate(job: &Job) -> Result<Report, SearchError> {
    let mut outcomes = Vec::new();
    outcomes.extend(job.speed.as_ref().map(speed::calibrate));
    outcomes.extend(job.wheel.as_ref().map(wheel::calibrate));
    if let Some(inputs) = &job.spacing {
        outcomes.push(spacing::calibrate(inputs)?);
    }
    outcomes.extend(job.trip.as_ref().map(trip::calibrate));
    let alleys = job.alley.as_ref().map(alley::calibrate_with_shift);
    let pending = alleys.as_ref().and_then(|(_, shift)| shift.clone());
    outcomes.extend(alleys.map(|(outcome, _)| outcome));
    outcomes.extend(job.passes.as_ref().map(|inputs| passes::calibrate(inputs, pending.as_ref())));
    Ok(Report::of(outcomes))
}
