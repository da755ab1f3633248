//! Calibration of a small-plot research planter: pure calculations with their arithmetic shown.

pub mod calculations;
pub mod commands;
pub mod forecast;
pub mod outcome;
pub mod paper;
pub mod quantity;
pub mod record;
pub mod reference;
pub mod render;
pub mod sheet;
pub mod statistics;
pub mod working;
