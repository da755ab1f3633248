//! Looking ahead: how many readings to take before anything is measured.

pub mod plan;
