//! The course of each setting and of its error.

use crate::calibration::sequence::Report;
use crate::calibration::{Outcome, Value};
use crate::quantity::LengthUnit;

use super::{Held, Record, Subject};

/// One point of a course.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// The day, or a word where there is none.
    pub when: String,
    /// What it was.
    pub held: Held,
}

/// What a setting was over time, and its error.
#[derive(Clone, Debug)]
pub struct Course {
    /// Which setting.
    pub setting: Subject,
    /// What it was, oldest first.
    pub values: Vec<Point>,
    /// The errors that were measured, oldest first.
    pub errors: Vec<Point>,
    /// How large an error may stand, in base units.
    pub tolerance: Option<f64>,
}

/// The course of every setting that was ever changed, in the order of the first change; a report
/// adds the error as it is now.
#[must_use]
pub fn courses(record: &Record, report: Option<&Report>) -> Vec<Course> {
    let mut all: Vec<Course> = Vec::new();
    for change in &record.changes {
        let at = all.iter().position(|course| course.setting == change.setting);
        let at = at.unwrap_or_else(|| {
            let values = vec![Point { when: "before".into(), held: change.from.clone() }];
            let setting = change.setting;
            all.push(Course { setting, values, errors: vec![], tolerance: None });
            all.len() - 1
        });
        let course = &mut all[at];
        // Somebody changed it without a line of history.
        if course.values.last().is_some_and(|last| last.held.base != change.from.base) {
            course.values.push(Point { when: "by hand".into(), held: change.from.clone() });
        }
        course.values.push(Point { when: change.date.clone(), held: change.to.clone() });
        let error = change.error.clone();
        course.errors.extend(error.map(|held| Point { when: change.date.clone(), held }));
    }
    for course in &mut all {
        add_present(course, report);
    }
    all
}

/// The error as it is now.
fn add_present(course: &mut Course, report: Option<&Report>) {
    let Some(report) = report else { return };
    let own = |outcome: &&Outcome| {
        outcome.settings.iter().any(|result| Subject::of_result(result) == Some(course.setting))
    };
    let judgement = report.outcomes.iter().find(own).and_then(|one| one.judgement.as_ref());
    let Some(judgement) = judgement else { return };
    let base = |value: &Value| {
        let factor = value.unit().factor_to(LengthUnit::Millimetre.into())?;
        Some(value.number() * factor.value())
    };
    if let Some(now) = base(&judgement.error) {
        let text = crate::calibration::outcome::in_words(&judgement.error);
        course.errors.push(Point { when: "now".into(), held: Held { text, base: now } });
        course.tolerance = judgement.tolerance.as_ref().and_then(base);
    }
}
