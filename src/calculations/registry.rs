//! Every calculation, once: in working order, with its inputs for one sheet.
//!
//! The order is that in which each step rests on the one before: meters in the shop, speed and wheel,
//! spacing, depth and evenness (misses widen every edge), changeover, rows, trip scale, alleys, passes,
//! guess rows; and after emergence the stand. One thing is changed at a time: common practice, no source. Layout and
//! packets belong to the office and the shop; they take no turn.
//!
//! A calculation is added by its line here. Job, help, subcommands, `--without` and the tests go
//! through this list.

use thiserror::Error;

use crate::outcome::{NotMeasured, Report, WarningKind, warning};

use super::calculate::{Calculate, Entry, SoFar};
use super::common::Common;
use super::sprockets::SearchError;
use super::{
    alley, changeover, depth, evenness, guess_rows, harvest, meter, offsets, one_wheel, packets,
    passes, rows, run_up, slope, spacing, speed, speed_law, stakes, stand, time, trip, wheel,
};

macro_rules! registry {
    ($($(#[$doc:meta])* $name:ident,)+) => {
        /// The inputs of every calculation that a sheet has data for.
        #[derive(Clone, Debug)]
        pub struct Job {
            /// What all calculations are worked with.
            pub common: Common,
            $($(#[$doc])* pub $name: Option<Box<$name::Inputs>>,)+
            /// What hands adjusted and nothing was measured with since.
            pub not_measured_since: Vec<NotMeasured>,
            /// The crew's own labels of settings, by the keys of those.
            pub called: Vec<(&'static str, String)>,
        }

        impl Job {
            /// A job without data.
            #[must_use]
            pub fn new(common: Common) -> Job {
                Job { common, $($name: None,)+ not_measured_since: vec![], called: vec![] }
            }

            /// The inputs that the sheet has, in working order.
            pub fn inputs(&self) -> impl Iterator<Item = &dyn Calculate> {
                let all: [Option<&dyn Calculate>; ALL.len()] =
                    [$(self.$name.as_deref().map(|inputs| inputs as &dyn Calculate),)+];
                all.into_iter().flatten()
            }

            fn inputs_mut(&mut self) -> impl Iterator<Item = &mut dyn Calculate> {
                let all: [Option<&mut dyn Calculate>; ALL.len()] =
                    [$(self.$name.as_deref_mut().map(|inputs| inputs as &mut dyn Calculate),)+];
                all.into_iter().flatten()
            }
        }

        /// Every calculation in working order.
        pub static ALL: [&Entry; [$(stringify!($name)),+].len()] = [$(&$name::ENTRY),+];
    };
}

registry! {
    /// Meters turned in the shop.
    meter,
    /// Timed runs.
    speed,
    /// Wheel runs.
    wheel,
    /// Trip scale and travel per turn, where one wheel makes both.
    one_wheel,
    /// Drive and target.
    spacing,
    /// Depths of seed dug up.
    depth,
    /// Gaps between seeds or plants.
    evenness,
    /// Changeover timers and what was seen of them.
    changeover,
    /// Rows against a reference row.
    rows,
    /// Trip runs.
    trip,
    /// Runs up a slope against those down it.
    slope,
    /// Trip sources and row units.
    offsets,
    /// Alley runs.
    alley,
    /// Alley runs at several speeds.
    speed_law,
    /// Pass runs, or alley runs of both headings.
    passes,
    /// Gaps between the outer rows of neighbouring passes.
    guess_rows,
    /// Plants counted, or only rows to count them on.
    stand,
    /// Lengths of a plot that yields are worked out by.
    harvest,
    /// What a pass needs before its first plot.
    run_up,
    /// How the field is laid out.
    stakes,
    /// Seed packets.
    packets,
    /// Hours and seed to bring.
    time,
}

/// Every kind of remark: those that calculations share, then each one's own.
pub fn warnings() -> impl Iterator<Item = &'static WarningKind> {
    warning::ALL.iter().chain(ALL.iter().flat_map(|entry| entry.warnings)).copied()
}

impl Job {
    /// Leaves readings out of one calculation, by their place counted from one through all runs
    /// in the order they are shown.
    ///
    /// # Errors
    ///
    /// [`LeaveOutError`] where there is no such calculation or reading, or none would be left.
    pub fn leave_out(&mut self, calculation: &str, places: &[usize]) -> Result<(), LeaveOutError> {
        let is_it = |inputs: &dyn Calculate| {
            inputs.entry().has_readings && inputs.entry().calculation.key == calculation
        };
        if !self.inputs().any(is_it) {
            return Err(LeaveOutError::NoCalculation { calculation: calculation.to_owned() });
        }
        // Others may look at the same readings.
        let counts = self.inputs_mut().map(|inputs| inputs.leave_out(calculation, places));
        let count = counts.max().unwrap_or_default();
        self.common.left_out.insert(calculation.to_owned(), places.to_vec());
        match places.iter().find(|place| **place == 0 || **place > count) {
            Some(place) => Err(LeaveOutError::NoReading { place: *place, count }),
            None if places.len() >= count => Err(LeaveOutError::NothingLeft),
            None => Ok(()),
        }
    }

    /// Works out what the sheet has data for, in working order.
    ///
    /// # Errors
    ///
    /// [`SearchError`] where the drive has too many sprocket combinations to search.
    pub fn calibrate(&self) -> Result<Report, SearchError> {
        let present = self.inputs().map(|inputs| inputs.entry().calculation.key).collect();
        let mut so_far = SoFar { present, ..SoFar::default() };
        for inputs in self.inputs() {
            inputs.in_order(&self.common, &mut so_far)?;
        }
        let report = Report::of(so_far.outcomes).or_measure_since(&self.not_measured_since);
        Ok(report.with_labels(&self.called))
    }

    /// What a subcommand shows; nothing where the sheet has no data for it.
    ///
    /// # Errors
    ///
    /// [`SearchError`] where the drive has too many sprocket combinations to search.
    pub fn alone(&self, command: &str) -> Result<Report, SearchError> {
        let mut outcomes = vec![];
        for inputs in self.inputs().filter(|inputs| inputs.entry().command == command) {
            outcomes.extend(inputs.alone(&self.common)?);
        }
        let own = |one: &&NotMeasured| {
            outcomes.iter().any(|outcome| outcome.calculation == one.calculation)
        };
        let own: Vec<NotMeasured> = self.not_measured_since.iter().filter(own).cloned().collect();
        let report = Report::of(outcomes).or_measure_since(&own);
        let next = report.next.clone().or_else(|| report.cause_to_look_for());
        Ok(Report { next, ..report }.with_labels(&self.called))
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
