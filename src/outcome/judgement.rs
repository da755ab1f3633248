//! How far a correction can be trusted, and what follows from that.

use crate::statistics::{Confidence, Interval};
use crate::working::Value;

use super::warning::Warning;

/// What the readings allow to be said.
#[derive(Clone, Debug)]
pub struct Judgement {
    /// What one reading is.
    pub subject: &'static str,
    /// Number of readings.
    pub count: usize,
    /// Number of readings in the smaller of two groups, or in the only one.
    pub fewest: usize,
    /// Mean of the readings: of each group, where there are two.
    pub means: Vec<Value>,
    /// Standard deviation of one reading; `None` for a single reading.
    pub sd: Option<Value>,
    /// Scatter of one reading that seed spacing alone brings, where it is known.
    pub jitter: Option<Value>,
    /// The error that the setting would take out.
    pub error: Value,
    /// Its interval; `None` for a single reading.
    pub interval: Option<Interval>,
    /// Degrees of freedom of the interval.
    pub degrees: Option<u32>,
    /// Scatter of the error by one reading.
    pub scatter: Option<Value>,
    /// Degrees of freedom of that scatter.
    pub degrees_of_scatter: u32,
    /// Standard deviation of what sets runs apart besides their readings; `None` where nothing does.
    pub between: Option<Value>,
    /// The error that may stand.
    pub tolerance: Option<Value>,
    /// Confidence of the interval.
    pub confidence: Confidence,
    /// Scatter of a single one, in the unit of the error; `None` for a single reading.
    pub of_one: Option<OfOne>,
    /// What follows.
    pub decision: Decision,
    /// How many readings more would decide, where that is what follows and is known.
    pub more: Option<usize>,
    /// Remarks on the readings.
    pub warnings: Vec<Warning>,
    /// Figures behind the remarks and the advice, for the working.
    pub figures: Vec<Value>,
}

/// Scatter of a single one in the unit of the error, as it is to be expected of the next ones.
#[derive(Clone, Debug)]
pub struct OfOne {
    /// Its standard deviation: that of the readings, or of what seed spacing alone brings where that
    /// is more; and what sets runs apart, where they are not one.
    pub sd: Value,
    /// Degrees of freedom of that.
    pub degrees: u32,
    /// The standard error of the mean of each group, or of the only one.
    pub standard_errors: Vec<Value>,
}

/// Readings a side that a change takes. Common practice, no source.
pub(crate) const LEAST_FOR_A_CHANGE: usize = 3;
/// Readings a side below which a change says how few it rests on. Common practice, no source.
pub(crate) const ENOUGH_FOR_A_CHANGE: usize = 5;

impl Judgement {
    /// Half the width of the interval of the error; nothing where it is not known.
    pub(crate) fn sure_to(&self) -> f64 {
        self.interval.as_ref().map_or(0.0, |interval| interval.half_width.number())
    }

    /// On how few readings a change rests, where they are few.
    pub(crate) fn few(&self) -> Option<String> {
        (self.fewest < ENOUGH_FOR_A_CHANGE).then(|| {
            let one_way = if self.means.len() > 1 { " one way" } else { "" };
            format!("by {} {}s{one_way} only", self.fewest, self.subject)
        })
    }

    /// Values for the working: the interval and what is behind the remarks.
    pub(super) fn values(&self) -> Vec<Value> {
        let mut values: Vec<Value> = self.sd.iter().cloned().collect();
        values.extend(self.jitter.clone());
        if let Some(interval) = &self.interval {
            values.extend([interval.low.clone(), interval.high.clone()]);
        }
        values.extend(self.figures.iter().cloned());
        values
    }
}

/// What follows for the setting.
#[derive(Clone, Debug)]
pub enum Decision {
    /// Leave it, because.
    Keep(String),
    /// Change it.
    Change,
    /// Measure more first, because.
    Measure(String),
    /// Put something else right first, because.
    Wait(String),
}
