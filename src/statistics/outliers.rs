//! Readings that stand apart from the rest.

use super::noise::{counted, is_noise, largest, largest_of, zero};
use crate::quantity::{Unit, clean};
use crate::working::Value;

/// A score further than this from zero is flagged (Iglewicz and Hoaglin 1993).
pub const OUTLIER_LIMIT: f64 = 3.5;

/// Scores of readings, and which of them stand apart.
#[derive(Clone, Debug)]
pub struct Outliers {
    /// The median of the readings.
    pub median: Value,
    /// The median of the sizes of reading - median.
    pub mad: Value,
    /// The modified z-score of each reading, in the order given.
    pub scores: Vec<Value>,
    /// Places, from 0, of the readings whose score is further than [`OUTLIER_LIMIT`] from zero.
    pub flagged: Vec<usize>,
}

/// Modified z-scores: z = 0.6745 (x - median) / MAD, flagged beyond 3.5 either way.
///
/// x is a reading, MAD the median of |x - median|, in the unit of the readings; z has none. For
/// an even number of readings a median is half the sum of the middle two. `None` without
/// readings. Source: Iglewicz and Hoaglin 1993, How to Detect and Handle Outliers, ASQC Basic
/// References in Quality Control 16; NIST/SEMATECH e-Handbook 1.3.5.17.
///
/// Where more than half of the readings are alike MAD is 0, and the readings are judged by the
/// mean of |x - median| instead: z = (x - median) / (1.253314 MeanAD), 1.253314 = sqrt(pi / 2)
/// being the standard deviation of a normal law over its mean deviation (after Iglewicz and
/// Hoaglin, from memory). One reading that
/// differs among n is then flagged from n = 5 on, however little it differs. Where all readings
/// are alike every score is 0.
///
/// ```
/// use alleytrue::statistics::modified_z;
/// use alleytrue::working::{Value, steps};
/// // Worked example: median 2.45, MAD 0.15; 8.2 and 8.3 score 25.856 and 26.306.
/// let readings = [2.1, 2.6, 2.4, 2.5, 2.3, 2.1, 2.3, 2.6, 8.2, 8.3].map(Value::constant);
/// let outliers = modified_z("gap", &readings).ok_or("no readings")?;
/// assert_eq!(outliers.flagged, [8, 9]);
/// let line = steps(&outliers.scores[8..9]).pop().map(|step| step.to_string());
/// assert_eq!(
///     line.as_deref(),
///     Some(
///         "score gap 9 = 0.6745 * (8.2 - median gap) / MAD gap \
///          = 0.6745 * (8.2 - 2.45) / 0.15 = 25.8558"
///     )
/// );
/// # Ok::<(), &str>(())
/// ```
#[must_use]
pub fn modified_z(subject: &str, readings: &[Value]) -> Option<Outliers> {
    let (_, count) = counted(subject, readings.len())?;
    let median = median(["median ", subject].concat(), readings)?;
    let deviations: Vec<Value> = readings.iter().map(|reading| reading - &median).collect();
    let sizes: Vec<Value> = deviations.iter().map(Value::magnitude).collect();
    let mad = self::median(["MAD ", subject].concat(), &sizes)?;
    let most = largest_of(readings);
    let scale = if is_noise(&deviations, most, 0.0) {
        Scale::None
    } else if is_noise(std::slice::from_ref(&mad), most, 0.0) {
        let sum = Value::sum(["size of (", subject, " - median ", subject, ")"].concat(), sizes);
        Scale::Mean((sum / count).named(["mean deviation ", subject].concat()))
    } else {
        Scale::Median(mad.clone())
    };
    let scores: Vec<Value> = deviations
        .iter()
        .zip(1_usize..)
        .map(|(deviation, place)| scale.score(deviation, format!("score {subject} {place}")))
        .collect();
    let flagged = scores
        .iter()
        .enumerate()
        .filter(|(_, score)| is_beyond(score.number()))
        .map(|(place, _)| place)
        .collect();
    Some(Outliers { median, mad, scores, flagged })
}

/// Whether a score is past the limit; noise of the last digits does not put it there.
fn is_beyond(score: f64) -> bool {
    // What `clean` takes off is a far smaller share than this.
    const CLOSE: f64 = 1e-9;
    let off = score.abs() / OUTLIER_LIMIT - 1.0;
    if off.abs() > CLOSE { off > 0.0 } else { clean(score).abs() > OUTLIER_LIMIT }
}

/// Whether [`modified_z`] could flag any of these: a quick look in plain numbers, so that the
/// scores are worked out, with every line of their working, only where one may matter. Errs on
/// the side of yes.
#[must_use]
pub fn may_stand_apart(readings: &[f64]) -> bool {
    const SLACK: f64 = 1e-6;
    let mut sorted = readings.to_vec();
    let Some(middle) = plain_median(&mut sorted) else { return false };
    let sizes = || readings.iter().map(|reading| (reading - middle).abs());
    let farthest = largest(sizes());
    // Readings that are mostly alike have a scale of their own.
    let alike = SLACK * largest(readings.iter().copied());
    let stands_apart = 0.6745 * farthest / (OUTLIER_LIMIT * (1.0 - SLACK));
    // Where more than half of the sizes are beyond both, so is their median, without sorting them.
    let beyond = sizes().filter(|size| *size > alike.max(stands_apart) * (1.0 + SLACK)).count();
    if 2 * beyond > readings.len() {
        return false;
    }
    let Some(mad) = plain_median(&mut sizes().collect::<Vec<f64>>()) else { return false };
    mad <= alike || mad < stands_apart
}

fn plain_median(values: &mut [f64]) -> Option<f64> {
    let half = values.len() / 2;
    values.sort_by(f64::total_cmp);
    let upper = *values.get(half)?;
    let lower = if values.len() % 2 == 1 { upper } else { *values.get(half.checked_sub(1)?)? };
    Some(f64::midpoint(lower, upper))
}

/// What a deviation is measured by.
enum Scale {
    None,
    Median(Value),
    Mean(Value),
}

impl Scale {
    fn score(&self, deviation: &Value, name: String) -> Value {
        match self {
            Scale::None => zero(name, Unit::ONE, "all readings alike"),
            Scale::Median(mad) => (Value::constant(0.6745) * deviation / mad).named(name),
            Scale::Mean(mean) => (deviation / (Value::constant(1.253_314) * mean)).named(name),
        }
    }
}

/// The middle value, or half the sum of the middle two.
fn median(name: String, values: &[Value]) -> Option<Value> {
    let mut sorted: Vec<&Value> = values.iter().collect();
    sorted.sort_by(|a, b| a.number().total_cmp(&b.number()));
    let upper = *sorted.get(sorted.len() / 2)?;
    if sorted.len() % 2 == 1 {
        return Some(Value::found(name, upper.number(), upper.unit(), "the middle one, sorted"));
    }
    let lower = *sorted.get(sorted.len() / 2 - 1)?;
    Some(((lower + upper) / Value::constant(2.0)).named(name))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn flagged(readings: &[f64]) -> Vec<usize> {
        let values: Vec<Value> = readings.iter().copied().map(Value::constant).collect();
        modified_z("x", &values).expect("readings").flagged
    }

    /// Readings with a median of `level` and a MAD of `mad`, the ends `far` from the middle.
    fn five(level: f64, mad: f64, far: f64) -> [f64; 5] {
        [-far, -mad, 0.0, mad, far].map(|off| level + off)
    }

    // With a MAD of 0.6745 a reading scores as many as it lies off.
    #[test]
    fn a_score_of_three_and_a_half_is_not_beyond_it_whatever_binary_noise_adds() {
        for tenths in -3_000..3_000 {
            let level = f64::from(tenths) / 10.0;
            assert!(flagged(&five(level, 0.6745, 3.5)).is_empty(), "{level}");
            assert_eq!(flagged(&five(level, 0.6745, 3.5001)), [0, 4], "{level}");
        }
    }

    // Beyond 3.5 / 0.6745 = 5.189 028 9 times the MAD.
    #[test]
    fn the_quick_look_says_yes_from_just_below_the_limit_on() {
        for (far, worth) in [(2.0, false), (5.189, false), (5.189_031_5, true), (9.0, true)] {
            for level in [0.0, 238.0, -238.0] {
                let readings = five(level, 1.0, far);
                assert_eq!(may_stand_apart(&readings), worth, "{far} from {level}");
                assert!(worth || flagged(&readings).is_empty());
            }
        }
        assert_eq!(flagged(&five(0.0, 1.0, 5.189_031_5)), [0, 4]); // a score of 3.500 001 7
        assert!(may_stand_apart(&[238.1, 238.1, 238.1, 238.1, 238.2]));
        assert!(!may_stand_apart(&[]));
    }

    #[test]
    fn the_middle_is_the_middle_one_or_half_way_between_two() {
        assert_eq!(plain_median(&mut []), None);
        assert_eq!(plain_median(&mut [7.0]), Some(7.0));
        assert_eq!(plain_median(&mut [3.0, 1.0, 8.0]), Some(3.0));
        assert_eq!(plain_median(&mut [4.0, 1.0, 9.0, 3.0]), Some(3.5));
        let middle = |readings: &[f64]| {
            let values: Vec<Value> = readings.iter().copied().map(Value::constant).collect();
            median("median".to_owned(), &values).map(|median| median.number())
        };
        assert_eq!(middle(&[]), None);
        assert_eq!(middle(&[3.0, 1.0, 8.0]), Some(3.0));
        assert_eq!(middle(&[4.0, 1.0, 9.0, 3.0]), Some(3.5));
    }

    proptest! {
        #[test]
        fn the_quick_look_misses_no_reading_that_is_flagged(
            mut hundredths in prop::collection::vec(-300_i32..300, 1..20),
            level in 0_i32..30_000, far in -3_000_i32..3_000,
        ) {
            hundredths.push(far);
            let readings: Vec<f64> =
                hundredths.iter().map(|off| f64::from(level + off) / 100.0).collect();
            prop_assert!(may_stand_apart(&readings) || flagged(&readings).is_empty());
        }
    }

    // Mean deviation 1/5: 1 / (1.253314 x 0.2) = 3.98942.
    #[test]
    fn where_most_readings_are_alike_the_mean_deviation_is_the_measure() {
        let readings = [10.0, 10.0, 11.0, 10.0, 10.0].map(Value::constant);
        let outliers = modified_z("x", &readings).expect("readings");
        approx::assert_abs_diff_eq!(outliers.scores[2].number(), 3.989_42, epsilon = 1e-5);
        assert_eq!((outliers.scores[0].number(), outliers.flagged), (0.0, vec![2]));
    }
}
