//! Looking ahead: how many readings to take, and what would become of the trial.

pub mod looks;
pub mod plan;
pub mod rehearsal;
