//! The record: what was changed and when, which measurements a change makes out of date, and
//! whether every calibration still holds.

mod check;
mod choice;
mod course;
mod effects;
pub mod operating_point;

pub use check::{Checked, check, made_before_change, made_for_other};
pub use choice::{Choice, NoChange, Wanted, choose};
pub use course::{Course, Point, courses};
pub use effects::{Calibration, Effect, Subject, TIMERS};

use operating_point::OperatingPoint;
use operating_point::Planter;

/// A run of measurements, as far as the record goes.
#[derive(Clone, Debug)]
pub struct Run {
    /// Its table.
    pub table: &'static str,
    /// Which of its kind, counted from one in the order of the sheet.
    pub number: usize,
    /// When it was made: year, month, day.
    pub date: Option<String>,
    /// What the sheet said of its operating point.
    pub point: OperatingPoint,
    /// The change that made it out of date, in words.
    pub out_of_date: Option<String>,
}

impl Run {
    /// What it goes by in `[[history]]`.
    #[must_use]
    pub fn name(&self) -> String {
        format!("{} {}", self.table, self.number)
    }
}

/// A number as typed, with what it comes to in base units, for pictures.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// As typed.
    pub text: String,
    /// In millimetres, seconds, teeth, counts.
    pub base: f64,
}

/// A change of a setting.
#[derive(Clone, Debug)]
pub struct Change {
    /// When: year, month, day.
    pub date: String,
    /// What was changed.
    pub setting: Subject,
    /// What it was before.
    pub from: Held,
    /// What it was changed to.
    pub to: Held,
    /// The error that was measured before.
    pub error: Option<Held>,
    /// Why.
    pub reason: Option<String>,
    /// The runs it came from.
    pub runs: Vec<String>,
    /// What it was changed for.
    pub point: OperatingPoint,
}

/// What a sheet remembers.
#[derive(Clone, Debug, Default)]
pub struct Record {
    /// The operating point the sheet is for.
    pub present: OperatingPoint,
    /// What it takes to compare operating points.
    pub planter: Planter,
    /// Every run, in the order of the sheet, those out of date too.
    pub runs: Vec<Run>,
    /// Every change, in the order of the sheet.
    pub changes: Vec<Change>,
    /// The settings that the sheet holds.
    pub held: Vec<Subject>,
}

impl Record {
    /// The runs of some kinds that are not out of date.
    fn live<'a>(&'a self, tables: &'a [&'static str]) -> impl Iterator<Item = &'a Run> {
        self.runs.iter().filter(|run| tables.contains(&run.table) && run.out_of_date.is_none())
    }

    /// The newest change that made runs of these kinds out of date.
    fn newest_change(&self, tables: &[&str]) -> Option<&Change> {
        let touches = |change: &&Change| {
            let outdates = change.setting.effect().outdates;
            outdates.iter().any(|(table, _)| tables.contains(table))
        };
        // The last of equal dates.
        self.changes.iter().filter(touches).max_by(|a, b| a.date.cmp(&b.date))
    }
}

/// A change from 1 to 2, for the tests of what looks at changes.
#[cfg(test)]
fn from_one_to_two(date: &str, setting: Subject) -> Change {
    let held = |text: &str| Held { text: text.into(), base: 1.0 };
    Change {
        date: date.into(),
        setting,
        from: held("1"),
        to: held("2"),
        error: None,
        reason: None,
        runs: vec![],
        point: OperatingPoint::default(),
    }
}
