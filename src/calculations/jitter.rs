//! The scatter that seed spacing alone brings.
//!
//! The plate's phase against the trip is random, so the last seed of a plot falls anywhere
//! within one spacing: an edge jitters evenly over s, with the standard deviation s / sqrt(12).
//! The middle of an alley is the mean of two edges; with the phases unknown they vary on their
//! own, which gives s / sqrt(24). Nothing measured on one alley can be trusted closer than that.
//! Source: the variance of an even distribution over s is s^2 / 12.

use crate::quantity::Length;
use crate::working::Value;

use super::spacing::{Target, target_spacing};
use crate::working::Units;

/// What the trial says of its seeds.
#[derive(Clone, Debug)]
pub struct Seeds {
    /// What is wanted on the ground.
    pub target: Target,
    /// Distance between rows, which a population per area needs.
    pub row_spacing: Length,
}

impl Seeds {
    /// Seed spacing of the trial.
    #[must_use]
    pub fn spacing(&self, units: &Units) -> Value {
        let row_spacing = units.length("row spacing", &self.row_spacing);
        target_spacing(&self.target, &row_spacing, units)
    }
}

/// Standard deviation of one edge: s / sqrt(12).
///
/// ```
/// use alleytrue::calculations::jitter::of_edge;
/// use alleytrue::working::Value;
/// assert!((of_edge(&Value::constant(1.5)).number() - 0.433_013).abs() < 1e-6);
/// ```
#[must_use]
pub fn of_edge(spacing: &Value) -> Value {
    spacing / Value::constant(12.0).root()
}

/// Standard deviation of the middle of an alley: s / sqrt(24).
///
/// ```
/// use alleytrue::calculations::jitter::of_centre;
/// use alleytrue::working::Value;
/// assert!((of_centre(&Value::constant(1.5)).number() - 0.306_186).abs() < 1e-6);
/// ```
#[must_use]
pub fn of_centre(spacing: &Value) -> Value {
    spacing / Value::constant(24.0).root()
}

/// Standard deviation of a lead, the difference of two alley middles: s / sqrt(12).
#[must_use]
pub fn of_lead(spacing: &Value) -> Value {
    spacing / Value::constant(12.0).root()
}
