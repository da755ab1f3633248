//! Calibration of a small-plot research planter: pure calculations with their arithmetic shown.

pub mod calibration;
pub mod commands;
pub mod quantity;
pub mod reference;
pub mod render;
pub mod sheet;
pub mod statistics;
pub mod working;
