//! The course of each setting and of its error.

use std::collections::BTreeMap;

use crate::outcome::Outcome;
use crate::outcome::Report;
use crate::quantity::LengthUnit;
use crate::working::Value;

use super::{Change, Held, Record, Subject};

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
    let mut places = BTreeMap::new();
    let no_value = |subject| matches!(subject, Subject::Direction(_) | Subject::Run { .. });
    let is_value = |change: &&Change| !no_value(change.setting);
    for change in record.changes.iter().filter(is_value) {
        let at = *places.entry(change.setting.key()).or_insert_with(|| {
            let values = vec![Point { when: "before".into(), held: change.from.clone() }];
            let setting = change.setting;
            all.push(Course { setting, values, errors: vec![], tolerance: None });
            all.len() - 1
        });
        let course = &mut all[at];
        // Somebody changed it without a line of history.
        if course.values.last().is_some_and(|last| !last.held.is_same(&change.from)) {
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
        let text = crate::outcome::wording::in_words(&judgement.error);
        course.errors.push(Point { when: "now".into(), held: Held { text, base: now } });
        course.tolerance = judgement.tolerance.as_ref().and_then(base);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calculations::{alley, trip};
    use crate::outcome::setting::{SETBACK, TRIP_SCALE};
    use crate::outcome::{Decision, Judgement, SettingResult, Verdict};
    use crate::quantity::Length;
    use crate::record::operating_point::OperatingPoint;
    use crate::statistics::Confidence;
    use crate::working::Units;

    const SCALE: Subject = Subject::Held(&TRIP_SCALE);
    const BACK: Subject = Subject::Held(&SETBACK);

    fn held(base: f64) -> Held {
        Held { text: base.to_string(), base }
    }

    fn change(day: u32, setting: Subject, from: f64, to: f64, error: Option<f64>) -> Change {
        Change {
            date: format!("2027-04-{day}"),
            setting,
            from: held(from),
            to: held(to),
            error: error.map(held),
            reason: None,
            by: None,
            runs: vec![],
            point: OperatingPoint::default(),
        }
    }

    fn points(points: &[Point]) -> Vec<(&str, f64)> {
        points.iter().map(|point| (point.when.as_str(), point.held.base)).collect()
    }

    fn record() -> Record {
        let changes = vec![
            change(10, BACK, 380.0, 400.0, Some(20.0)),
            change(11, SCALE, 402.5, 400.0, None),
            change(12, BACK, 400.0, 390.0, Some(-10.0)),
            change(13, SCALE, 401.0, 399.0, None),
        ];
        Record { changes, ..Record::default() }
    }

    #[test]
    fn every_setting_has_a_course_of_its_own() {
        let all = courses(&record(), None);
        let settings: Vec<Subject> = all.iter().map(|course| course.setting).collect();
        assert_eq!(settings, [BACK, SCALE]);
        assert_eq!(
            points(&all[0].values),
            [("before", 380.0), ("2027-04-10", 400.0), ("2027-04-12", 390.0)]
        );
        assert_eq!(points(&all[0].errors), [("2027-04-10", 20.0), ("2027-04-12", -10.0)]);
        // 400 on the 11th, 401 before the 13th: somebody changed it between them.
        assert_eq!(
            points(&all[1].values),
            [("before", 402.5), ("2027-04-11", 400.0), ("by hand", 401.0), ("2027-04-13", 399.0)]
        );
        assert!(all[1].errors.is_empty() && all[1].tolerance.is_none());
    }

    /// A result that found `error` and has `tolerance` for it, both in inches.
    fn outcome(setting: Subject, error: &str, tolerance: &str) -> Outcome {
        let inches = |name: &'static str, text: &str| {
            Units::US.length(name, &Length::parse(text, None).expect("a length"))
        };
        let error = inches("error", error);
        let judgement = Judgement {
            subject: "alley centre",
            count: 8,
            fewest: 8,
            means: vec![],
            sd: None,
            jitter: None,
            error: error.clone(),
            interval: None,
            degrees: None,
            scatter: None,
            degrees_of_scatter: 0,
            between: None,
            tolerance: Some(inches("tolerance", tolerance)),
            confidence: Confidence::NINETY_FIVE,
            of_one: None,
            decision: Decision::Change,
            more: None,
            warnings: vec![],
            figures: vec![],
        };
        let result = SettingResult {
            name: setting.name(),
            key: match setting {
                Subject::Held(setting) => Some(setting.key.into()),
                _ => None,
            },
            now: None,
            exact: error.clone(),
            set: error,
            verdict: Verdict::Keep("inside".into()),
        };
        let calculation = if setting == SCALE { trip::CALCULATION } else { alley::CALCULATION };
        Outcome { settings: vec![result], judgement: Some(judgement), ..Outcome::new(calculation) }
    }

    /// 2 in are 50.8 mm, 1 in is 25.4 mm; 0.5 in are 12.7 mm.
    #[test]
    fn the_error_as_it_is_now_goes_to_the_course_of_its_setting_in_base_units() {
        let outcomes = vec![outcome(SCALE, "0.5 in", "2 in"), outcome(BACK, "2 in", "1 in")];
        let all = courses(&record(), Some(&Report::of(outcomes)));
        let now = |course: &Course| {
            let last = course.errors.last().expect("an error");
            assert_eq!(last.when, "now");
            (last.held.text.clone(), last.held.base, course.tolerance.expect("a tolerance"))
        };
        let (text, error, tolerance) = now(&all[0]);
        assert_eq!(text, "2 in");
        approx::assert_relative_eq!(error, 50.8);
        approx::assert_relative_eq!(tolerance, 25.4);
        let (text, error, tolerance) = now(&all[1]);
        assert_eq!(text, "0.5 in");
        approx::assert_relative_eq!(error, 12.7);
        approx::assert_relative_eq!(tolerance, 50.8);
    }
}
