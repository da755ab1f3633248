//! What pages say besides results: the sheet's own words, and the items of the checklist.

pub mod checklist;
mod facts;

pub use facts::{Facts, Has, OwnChecklist};
