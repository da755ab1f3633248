//! What runs up and down are held against each other by.

use crate::calculations::speed::SpeedRun;
use crate::calculations::trip::{ScaleKind, TripRun};
use crate::calculations::wheel::WheelRun;
use crate::outcome::setting::ScaleSetting;
use crate::outcome::{Calculation, Heading};
use crate::quantity::{Decimal, Length, Share};

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "slope", title: "Slope and direction" };

/// The ground that a run went over.
#[derive(Clone, Debug, Default)]
pub struct Ground {
    /// Which way the pass went.
    pub heading: Option<Heading>,
    /// Rise over level run along its own travel: uphill positive.
    pub slope: Option<Share>,
}

/// A run with the ground it went over.
#[derive(Clone, Debug)]
pub struct On<T> {
    /// The ground.
    pub ground: Ground,
    /// The run.
    pub run: T,
}

/// The trip scale that the controller holds.
#[derive(Clone, Debug)]
pub struct Held {
    /// Which way round it is.
    pub kind: ScaleKind,
    /// What it is now, and its step.
    pub scale: ScaleSetting,
    /// Plot length.
    pub plot: Length,
    /// Alley length.
    pub alley: Length,
}

/// What the slope needs; at least one run that says which way it went.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// Trip runs.
    pub trips: Vec<On<TripRun>>,
    /// Wheel runs.
    pub wheels: Vec<On<WheelRun>>,
    /// Timed runs.
    pub speeds: Vec<On<SpeedRun>>,
    /// The trip scale, where the sheet says it.
    pub held: Option<Held>,
    /// Rolling circumference, where known, for the skid.
    pub circumference: Option<Length>,
    /// Ranges of the trial, where known.
    pub ranges: Option<Decimal>,
    /// The error of one trip spacing that may stand.
    pub trip_tolerance: Option<Length>,
    /// The share by which the seed spacing may be off.
    pub spacing_tolerance: Option<Share>,
    /// The share by which the speed may be off.
    pub speed_tolerance: Option<Share>,
}
