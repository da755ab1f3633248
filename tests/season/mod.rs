//! Simulated seasons: a hidden planter, a sheet, and a technician who does what `Next:` says.

#![allow(dead_code)] // each test program uses its own share

pub mod planter;
pub mod sheet;
pub mod start;
pub mod technician;

use super::dice;
