//! Everything a sheet has data for, in working order, and the one thing to change next.
//!
//! The order is that in which each step rests on the one before: speed and wheel, spacing,
//! changeover, rows, trip scale, alleys, passes; then what was planted: depth, evenness, and after
//! emergence the stand. One thing is changed at a time: common practice, no
//! source.

use super::readings;
use crate::outcome::Report;
use thiserror::Error;

use crate::statistics::Confidence;

use super::alley;
use super::changeover;
use super::depth;
use super::evenness;
use super::packets;
use super::passes;
use super::rows;
use super::spacing;
use super::speed;
use super::speed_law;
use super::sprockets::SearchError;
use super::stakes;
use super::stand;
use super::trip;
use super::wheel;
use crate::outcome::Outcome;
use crate::outcome::setting::Setting;

/// The inputs of every calculation that a sheet has data for. Large ones that few sheets have are
/// boxed.
#[derive(Clone, Debug, Default)]
pub struct Job {
    /// Timed runs.
    pub speed: Option<speed::Inputs>,
    /// Wheel runs.
    pub wheel: Option<wheel::Inputs>,
    /// Drive and target.
    pub spacing: Option<spacing::Inputs>,
    /// Changeover timers and what was seen of them.
    pub changeover: Option<Box<changeover::Inputs>>,
    /// Rows against a reference row.
    pub rows: Option<rows::Inputs>,
    /// Trip runs.
    pub trip: Option<trip::Inputs>,
    /// Alley runs.
    pub alley: Option<alley::Inputs>,
    /// Alley runs at several speeds.
    pub speed_law: Option<speed_law::Inputs>,
    /// Pass runs, or alley runs of both headings.
    pub passes: Option<passes::Inputs>,
    /// Depths of seed dug up.
    pub depth: Option<depth::Inputs>,
    /// Gaps between seeds or plants.
    pub evenness: Option<evenness::Inputs>,
    /// Plants counted, or only rows to count them on.
    pub stand: Option<stand::Inputs>,
    /// Settings that the controller holds, measured or not.
    pub held: Vec<&'static Setting>,
    /// What the runs were made for and the sheet is not for, in words; none where they fit it.
    pub made_for_other: Vec<String>,
    /// How the field is laid out.
    pub stakes: Option<Box<stakes::Inputs>>,
    /// Seed packets, which belong to the shop and not to the working order.
    pub packets: Option<packets::Inputs>,
}

impl Job {
    /// Sets the confidence of every interval.
    pub fn set_confidence(&mut self, confidence: Confidence) {
        let all = [
            self.speed.as_mut().map(|inputs| &mut inputs.confidence),
            self.trip.as_mut().map(|inputs| &mut inputs.confidence),
            self.alley.as_mut().map(|inputs| &mut inputs.confidence),
            self.passes.as_mut().map(|inputs| &mut inputs.confidence),
            self.changeover.as_mut().map(|inputs| &mut inputs.confidence),
            self.speed_law.as_mut().map(|inputs| &mut inputs.confidence),
            self.depth.as_mut().map(|inputs| &mut inputs.confidence),
            self.evenness.as_mut().map(|inputs| &mut inputs.confidence),
            self.stand.as_mut().map(|inputs| &mut inputs.confidence),
        ];
        all.into_iter().flatten().for_each(|own| *own = confidence);
    }

    /// Leaves readings out of one calculation, by their place counted from one through all runs
    /// in the order they are shown.
    ///
    /// # Errors
    ///
    /// [`LeaveOutError`] where there is no such calculation or reading, or none would be left.
    pub fn leave_out(&mut self, calculation: &str, places: &[usize]) -> Result<(), LeaveOutError> {
        let none = || LeaveOutError::NoCalculation { calculation: calculation.to_owned() };
        let count = match calculation {
            "speed" => self.speed.as_mut().ok_or_else(none)?.leave_out(places),
            "trip" => self.trip.as_mut().ok_or_else(none)?.leave_out(places),
            "alley" => {
                // The passes look at the same alleys, in the same order.
                let marked = self.passes.as_mut().and_then(|passes| passes.marked.as_mut());
                if let Some(marked) = marked {
                    readings::leave_out(marked.runs.iter_mut().map(|run| &mut run.alleys), places);
                    marked.runs.retain(|run| !run.alleys.is_empty());
                }
                self.alley.as_mut().ok_or_else(none)?.leave_out(places)
            }
            "passes" => self.passes.as_mut().ok_or_else(none)?.leave_out(places),
            "depth" => self.depth.as_mut().ok_or_else(none)?.leave_out(places),
            "evenness" => self.evenness.as_mut().ok_or_else(none)?.leave_out(places),
            "stand" => self.stand.as_mut().ok_or_else(none)?.leave_out(places),
            _ => return Err(none()),
        };
        match places.iter().find(|place| **place == 0 || **place > count) {
            Some(place) => Err(LeaveOutError::NoReading { place: *place, count }),
            None if places.len() >= count => Err(LeaveOutError::NothingLeft),
            None => Ok(()),
        }
    }
}

/// Why readings can't be left out.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum LeaveOutError {
    /// The sheet has no such calculation.
    #[error("the sheet has no readings for `{calculation}`")]
    NoCalculation {
        /// What was asked for.
        calculation: String,
    },
    /// There is no reading of that number.
    #[error("there is no reading {place}; they are numbered 1 to {count}")]
    NoReading {
        /// The number asked for.
        place: usize,
        /// How many there are.
        count: usize,
    },
    /// All of them were named.
    #[error("no reading would be left")]
    NothingLeft,
}

/// Values to start with where no timer was ever set; advice where one was, and was looked at.
fn changeover_step(inputs: &changeover::Inputs) -> Option<Outcome> {
    match &inputs.present {
        None => Some(changeover::calibrate(inputs)),
        Some(_) => inputs.was_looked_at().then(|| changeover::advise(inputs)),
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
    outcomes.extend(job.changeover.as_deref().and_then(changeover_step));
    outcomes.extend(job.rows.as_ref().map(rows::calibrate));
    outcomes.extend(job.trip.as_ref().map(trip::calibrate));
    // A changeover that was only thought out is worth a page where there is nothing else.
    let alone = job.trip.is_none() && job.alley.is_none() && job.passes.is_none();
    if outcomes.is_empty() && alone {
        outcomes.extend(job.changeover.as_deref().map(changeover::calibrate));
    }
    let alleys = job.alley.as_ref().map(alley::calibrate_with_shift);
    let pending = alleys.as_ref().and_then(|(_, shift)| shift.clone());
    let reported = alleys.is_some();
    outcomes.extend(alleys.map(|(outcome, _)| outcome));
    outcomes.extend(job.speed_law.as_ref().map(speed_law::calibrate));
    // Alleys of both headings alone have said all they can above; leads say more.
    let passes = job.passes.as_ref().filter(|passes| !reported || passes.has_leads());
    let before = passes::Alleys { pending: pending.as_ref(), reported };
    outcomes.extend(passes.map(|inputs| passes::calibrate(inputs, before)));
    outcomes.extend(job.depth.as_ref().map(depth::calibrate));
    outcomes.extend(job.evenness.as_ref().map(evenness::calibrate));
    // Without counts there are only lengths of row, which belong to `stand` alone.
    let counts = job.stand.as_ref().filter(|stand| !stand.counts.is_empty());
    outcomes.extend(counts.map(stand::calibrate));
    Ok(Report::of(outcomes).or_measure_again(&job.made_for_other).or_measure(&job.held))
}
