//! Calibration of a small-plot research planter: pure calculations with their arithmetic shown.

pub mod quantity;
pub mod statistics;
pub mod working;
