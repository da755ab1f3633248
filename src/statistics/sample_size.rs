//! How many readings are enough.

use super::confidence::Confidence;
use crate::quantity::Unit;
use crate::working::Value;

/// The most readings that are searched for; more are not taken in a field.
pub const MOST_READINGS: u32 = 10_000;

/// How many readings it takes to know a mean closely enough.
#[derive(Clone, Debug)]
pub struct MoreReadings {
    /// Readings in all; where [`more_than`](Self::more_than) is set, [`MOST_READINGS`], which
    /// are too few.
    pub in_all: Value,
    /// Readings still to take: `in_all` less those taken, never below 0.
    pub more: Value,
    /// The half width to expect with `in_all` readings.
    pub half_width: Value,
    /// Whether more than `in_all` readings are needed.
    pub more_than: bool,
}

/// The readings needed for a mean whose interval reaches no further than `wanted` either way:
/// the smallest n of 2 and more with t s / sqrt(n) <= wanted, that is n >= (t s / wanted)^2.
///
/// `s` is the larger of `sd`, the standard deviation seen so far (`None` with one reading), and
/// `floor`, the scatter known to be there whatever was seen, such as the edge jitter of the
/// plate's phase. Both and `wanted` have the unit of the readings; t is Student's, two-sided,
/// at n - 1 degrees of freedom. `so_far` is the number of readings taken.
///
/// t / sqrt(n) falls as n rises, so n is found by halving 2 to [`MOST_READINGS`]. `None` if
/// there is neither `sd` nor `floor`, or `wanted` is not above 0. Source: NIST/SEMATECH
/// e-Handbook 7.2.2.2, with one risk.
///
/// ```
/// use alleytrue::statistics::{Confidence, more_readings};
/// use alleytrue::working::{Value, steps};
/// let [so_far, sd, wanted] = [4.0, 0.9, 0.5].map(Value::constant);
/// let need = more_readings(
///     "readout", &so_far, Some(&sd), None, &wanted, Confidence::NINETY_FIVE,
/// ).ok_or("no scatter known")?;
/// assert_eq!(need.in_all.number(), 15.0);
/// let lines: Vec<String> = steps(&[need.half_width, need.more])
///     .iter()
///     .map(ToString::to_string)
///     .collect();
/// assert_eq!(lines, [
///     "t (95 %, 14 df) = Student's t, two-sided = 2.14479",
///     "readout needed = fewest with t * SD / sqrt(n) within what is wanted = 15",
///     "half width readout expected = t (95 %, 14 df) * 0.9 / sqrt(readout needed) \
///      = 2.144787 * 0.9 / sqrt(15) = 0.498403",
///     "more readout = readout needed - 4 = 15 - 4 = 11",
/// ]);
/// # Ok::<(), &str>(())
/// ```
#[must_use]
pub fn more_readings(
    subject: &str,
    so_far: &Value,
    sd: Option<&Value>,
    floor: Option<&Value>,
    wanted: &Value,
    confidence: Confidence,
) -> Option<MoreReadings> {
    let scatter = match (sd, floor) {
        (Some(sd), Some(floor)) if floor.number() > sd.number() => floor,
        (Some(sd), _) => sd,
        (None, floor) => floor?,
    };
    if wanted.number().is_nan() || wanted.number() <= 0.0 {
        return None;
    }
    let mut last = Trial::with(MOST_READINGS, subject, scatter, confidence)?;
    let more_than = last.half_width.number() > wanted.number();
    if !more_than {
        let (mut few, mut enough) = (1, MOST_READINGS);
        while enough - few > 1 {
            let middle = few + (enough - few) / 2;
            let trial = Trial::with(middle, subject, scatter, confidence)?;
            if trial.half_width.number() > wanted.number() {
                few = middle;
            } else {
                enough = middle;
                last = trial;
            }
        }
    }
    let name = format!("more {subject}");
    let more = if last.in_all.number() > so_far.number() {
        (&last.in_all - so_far).named(name)
    } else {
        Value::found(name, 0.0, Unit::ONE, "there are enough")
    };
    Some(MoreReadings { in_all: last.in_all, more, half_width: last.half_width, more_than })
}

/// A number of readings on trial.
struct Trial {
    in_all: Value,
    half_width: Value,
}

impl Trial {
    fn with(n: u32, subject: &str, sd: &Value, confidence: Confidence) -> Option<Trial> {
        let how = if n == MOST_READINGS {
            "the most that are searched for"
        } else {
            "fewest with t * SD / sqrt(n) within what is wanted"
        };
        let in_all = Value::found(format!("{subject} needed"), f64::from(n), Unit::ONE, how);
        let t = confidence.t(n.checked_sub(1)?)?;
        let half_width = (t * sd / in_all.root()).named(format!("half width {subject} expected"));
        Some(Trial { in_all, half_width })
    }
}

#[cfg(test)]
mod tests {
    use super::super::student_t::critical;
    use super::*;
    use crate::working::steps;

    fn need(so_far: f64, wanted: f64) -> MoreReadings {
        let [so_far, sd, wanted] = [so_far, 2.0, wanted].map(Value::constant);
        more_readings("x", &so_far, Some(&sd), None, &wanted, Confidence::NINETY_FIVE)
            .expect("a scatter")
    }

    /// The half width of so many readings whose SD is 2.
    fn half_width(readings: u32) -> f64 {
        critical(0.95, readings - 1).expect("a t") * 2.0 / f64::from(readings).sqrt()
    }

    #[test]
    fn readings_that_just_reach_what_is_wanted_are_enough() {
        for readings in [2, 3, 4, 9, 100, MOST_READINGS] {
            let just = need(0.0, half_width(readings));
            assert_eq!(just.in_all.number(), f64::from(readings));
            assert!(!just.more_than);
            let closer = need(0.0, half_width(readings) * (1.0 - 1e-9));
            assert_eq!(closer.in_all.number(), f64::from((readings + 1).min(MOST_READINGS)));
            assert_eq!(closer.more_than, readings == MOST_READINGS);
        }
    }

    #[test]
    fn where_enough_were_taken_none_are_missing_and_the_line_says_so() {
        let lines = |so_far: f64| {
            let more = need(so_far, half_width(9)).more;
            steps(&[more]).last().expect("a line").to_string()
        };
        assert_eq!(lines(8.0), "more x = x needed - 8 = 9 - 8 = 1");
        assert_eq!(lines(9.0), "more x = there are enough = 0");
        assert_eq!(lines(10.0), "more x = there are enough = 0");
    }

    #[test]
    fn the_number_needed_says_how_it_was_found() {
        let line = |wanted: f64| steps(&[need(0.0, wanted).in_all])[0].to_string();
        let found = "x needed = fewest with t * SD / sqrt(n) within what is wanted = 9";
        assert_eq!(line(half_width(9)), found);
        assert_eq!(line(0.001), "x needed = the most that are searched for = 10000");
    }

    #[test]
    fn the_larger_of_scatter_and_floor_counts() {
        let in_all = |sd: Option<f64>, floor: Option<f64>| {
            let [sd, floor] = [sd, floor].map(|number| number.map(Value::constant));
            let [so_far, wanted] = [0.0, half_width(9)].map(Value::constant);
            let usual = Confidence::NINETY_FIVE;
            more_readings("x", &so_far, sd.as_ref(), floor.as_ref(), &wanted, usual)
                .map(|need| need.in_all.number())
        };
        for (sd, floor) in
            [(Some(2.0), None), (None, Some(2.0)), (Some(2.0), Some(0.2)), (Some(0.2), Some(2.0))]
        {
            assert_eq!(in_all(sd, floor), Some(9.0), "{sd:?} {floor:?}");
        }
        assert_eq!(in_all(None, None), None);
    }

    #[test]
    fn nothing_is_enough_where_no_half_width_above_nought_is_wanted() {
        for wanted in [0.0, -1.0, f64::NAN] {
            let [so_far, sd, wanted] = [0.0, 2.0, wanted].map(Value::constant);
            let need =
                more_readings("x", &so_far, Some(&sd), None, &wanted, Confidence::NINETY_FIVE);
            assert!(need.is_none(), "{wanted:?}");
        }
    }
}
