//! Readings that stand apart from the rest.

use super::noise::{counted, is_all_noise, is_noise, largest, largest_of, zero};
use super::student_t;
use crate::quantity::{Unit, at_most};
use crate::working::Value;

/// No score up to this is ever flagged (Iglewicz and Hoaglin 1993); how much further it must be
/// depends on how many readings are looked at, see [`outlier_limit`].
pub const LEAST_OUTLIER_LIMIT: f64 = 3.5;

/// The share of clean runs in which a reading is flagged.
const PROMISED: f64 = 0.05;

/// Scores of readings, and which of them stand apart.
#[derive(Clone, Debug)]
pub struct Outliers {
    /// The median of the readings.
    pub median: Value,
    /// The median of the sizes of reading - median.
    pub mad: Value,
    /// The modified z-score of each reading, in the order given.
    pub scores: Vec<Value>,
    /// What a score must be beyond, either way, with so many readings.
    pub limit: f64,
    /// Places, from 0, of the readings whose score is beyond [`limit`](Self::limit).
    pub flagged: Vec<usize>,
}

/// What a modified z-score must be beyond for its reading to stand apart among `count` readings,
/// so that in one clean run of twenty a reading is flagged, however many readings a run has:
///
/// z (1 + 0.64 z² / (n - 2)), n - 3.05 in place of n - 2 where n is odd
///
/// z is the two-sided value of the normal law at 0.95 to the power 1/n, which n looks at readings
/// of known scatter keep to together (Šidák 1967, J. Am. Stat. Assoc. 62:626-633). The rest makes
/// up for the scatter of a median and a MAD of few readings: that such a limit has to be found for
/// each n is from Davies and Gather 1993, J. Am. Stat. Assoc. 88:782-792, and the numbers were
/// fitted to a million simulated normal runs of each of 25 sizes from 5 to 5000, in which 4.8 to
/// 5.2 % had a flag. The fixed 3.5 of Iglewicz and Hoaglin flags one in 20.7 % of runs of 5, 12.5 %
/// of 10 and 9.8 % of 20. Infinite below five readings, of which none can be told from the rest.
///
/// ```
/// use alleytrue::statistics::outlier_limit;
/// // Simulated apart, 400,000 runs each: 7.95, 4.56, 4.00, 3.75.
/// for (count, simulated) in [(5, 7.95), (10, 4.56), (20, 4.00), (100, 3.75)] {
///     assert!((outlier_limit(count) / simulated - 1.0).abs() < 0.03);
/// }
/// ```
#[must_use]
pub fn outlier_limit(count: usize) -> f64 {
    const FEWEST: u32 = 5;
    let Some(count) = u32::try_from(count).ok().filter(|count| *count >= FEWEST) else {
        return f64::INFINITY;
    };
    let n = f64::from(count);
    let each = (1.0 - PROMISED).powf(1.0 / n);
    let Some(z) = student_t::critical(each, u32::MAX) else { return f64::INFINITY };
    let lacking = if count % 2 == 0 { 2.0 } else { 3.05 };
    z * (1.0 + 0.64 * z * z / (n - lacking))
}

/// Modified z-scores: z = 0.6745 (x - median) / MAD, flagged beyond [`outlier_limit`] either way.
///
/// x is a reading, MAD the median of |x - median|, in the unit of the readings; z has none. For
/// an even number of readings a median is half the sum of the middle two. `None` without
/// readings. Source: Iglewicz and Hoaglin 1993, How to Detect and Handle Outliers, ASQC Basic
/// References in Quality Control 16; NIST/SEMATECH e-Handbook 1.3.5.17.
///
/// Readings of which two are alike come from a tape or display of some step h, taken to be the
/// least difference between two that differ. A MAD of such readings goes by steps too, and would
/// often be a step too small. So it is the median of grouped data, as tables of classes have it:
/// l + w (n/2 - b) / c, where the class from l, w wide, is half a step either way of the plain MAD
/// and nowhere below 0, b of the n sizes of x - median lie below it and c in it. In simulated
/// clean runs of 5 to 30, rounded to steps of 0.1 to 2 standard deviations, no more than 5 % then
/// have a flag but for two values only; by the plain MAD up to 11 % have.
///
/// Where more than half of the readings are alike, MAD is 0, and the others are alike too, nothing
/// tells the step. Then they are judged by the mean of |x - median| instead:
/// z = (x - median) / (1.253314 MeanAD), 1.253314 = sqrt(pi / 2) being the standard deviation of a
/// normal law over its mean deviation (after Iglewicz and Hoaglin, from memory). One reading that
/// differs among n is then flagged from n = 8 on, however little it differs. Where all readings
/// are alike every score is 0.
///
/// ```
/// use alleytrue::statistics::modified_z;
/// use alleytrue::working::{Value, steps};
/// // Sizes of x - 2.4: 0.35, 0.3, 0.1, 0.05, 0, 0.05, 0.15, 0.2 and 5.8, MAD 0.15.
/// let readings = [2.05, 2.1, 2.3, 2.35, 2.4, 2.45, 2.55, 2.6, 8.2].map(Value::constant);
/// let outliers = modified_z("gap", &readings).ok_or("no readings")?;
/// assert_eq!(outliers.flagged, [8]);
/// let line = steps(&outliers.scores[8..]).pop().map(|step| step.to_string());
/// assert_eq!(
///     line.as_deref(),
///     Some(
///         "score gap 9 = 0.6745 * (8.2 - median gap) / MAD gap \
///          = 0.6745 * (8.2 - 2.4) / 0.15 = 26.0807"
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
    } else if let Some(step) = step(subject, readings, &mad) {
        Scale::Median(by_steps(subject, &sizes, &mad, &step).unwrap_or_else(|| mad.clone()))
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
    let limit = outlier_limit(readings.len());
    let flagged = scores
        .iter()
        .enumerate()
        .filter(|(_, score)| !at_most(score.number().abs(), limit))
        .map(|(place, _)| place)
        .collect();
    Some(Outliers { median, mad, scores, limit, flagged })
}

/// The class of sizes within half a step of their middle: whether it begins at nought, how many
/// lie below it, and how many in it.
struct MiddleClass {
    from_nought: bool,
    below: f64,
    within: f64,
}

impl MiddleClass {
    /// `None` where no size lies in it.
    fn of(sizes: impl Iterator<Item = f64> + Clone, middle: f64, step: f64) -> Option<MiddleClass> {
        let slack = 1e-6 * step;
        let (from, to) = ((middle - step / 2.0).max(0.0) - slack, middle + step / 2.0 - slack);
        #[allow(clippy::cast_precision_loss)] // far fewer readings than 2^53
        let below = |limit: f64| sizes.clone().filter(|size| *size < limit).count() as f64;
        let class = MiddleClass {
            from_nought: from <= 0.0,
            below: below(from),
            within: below(to) - below(from),
        };
        (class.within > 0.0).then_some(class)
    }

    /// The median of `count` sizes.
    fn median(&self, count: f64, middle: f64, step: f64) -> f64 {
        let share = (count / 2.0 - self.below) / self.within;
        if self.from_nought {
            (middle + step / 2.0) * share
        } else {
            middle - step / 2.0 + step * share
        }
    }
}

/// The median of sizes that go by steps, as that of grouped data; `None` where none lies within
/// half a step of their middle.
fn by_steps(subject: &str, sizes: &[Value], middle: &Value, step: &Value) -> Option<Value> {
    let class = MiddleClass::of(sizes.iter().map(Value::number), middle.number(), step.number())?;
    let counted = |name: &str, count: f64| {
        Value::found([subject, " off ", name].concat(), count, Unit::ONE, "counted")
    };
    let below = counted("by less than about the MAD", class.below);
    let within = counted("by about the MAD", class.within);
    let half = |value: Value| value / Value::constant(2.0);
    #[allow(clippy::cast_precision_loss)]
    let count = Value::constant(sizes.len() as f64);
    let median = if class.from_nought {
        (middle + half(step.clone())) * half(count) / within
    } else {
        middle - half(step.clone()) + step * (half(count) - below) / within
    };
    Some(median.named(["MAD ", subject, " by steps"].concat()))
}

/// The step that readings were rounded to: the least difference between two that differ, where
/// others are alike. `None` where all differ, or where the readings have two values only and most
/// have the same one: the other may be a slip as well as a step away.
fn step(subject: &str, readings: &[Value], mad: &Value) -> Option<Value> {
    let mut sorted: Vec<&Value> = readings.iter().collect();
    sorted.sort_by(|a, b| a.number().total_cmp(&b.number()));
    let most = largest_of(readings);
    let alike = |size: f64| is_all_noise(size, most, 0.0);
    let pairs = sorted.windows(2);
    let rises: Vec<(f64, &[&Value])> = pairs
        .map(|pair| (pair[1].number_less(pair[0]), pair))
        .filter(|(rise, _)| !alike(*rise))
        .collect();
    let all_differ = rises.len() + 1 == readings.len();
    let one_or_the_other = rises.len() < 2 && alike(mad.number());
    let least = rises.into_iter().min_by(|a, b| a.0.total_cmp(&b.0));
    let (_, pair) = least.filter(|_| !all_differ && !one_or_the_other)?;
    Some((pair[1] - pair[0]).named(["step of ", subject].concat()))
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
    let stands_apart = 0.6745 * farthest / (LEAST_OUTLIER_LIMIT * (1.0 - SLACK));
    let most = largest(readings.iter().copied());
    let rises = || sorted.windows(2).map(|pair| pair[1] - pair[0]);
    let same = |rise: f64| is_all_noise(rise, most, 0.0);
    let by_steps = rises().any(same);
    // Where more than half of the sizes are beyond both, so is their median, without sorting them.
    let beyond = sizes().filter(|size| *size > alike.max(stands_apart) * (1.0 + SLACK)).count();
    if !by_steps && 2 * beyond > readings.len() {
        return false;
    }
    let Some(mad) = plain_median(&mut sizes().collect::<Vec<f64>>()) else { return false };
    if !by_steps || mad <= alike {
        return mad <= alike || mad < stands_apart;
    }
    let step = rises().filter(|rise| !same(*rise)).fold(f64::INFINITY, f64::min);
    #[allow(clippy::cast_precision_loss)] // far fewer readings than 2^53
    let count = readings.len() as f64;
    let class = MiddleClass::of(sizes(), mad, step);
    class.map_or(mad, |class| class.median(count, mad, step)) < stands_apart * (1.0 + SLACK)
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
pub(crate) fn median(name: String, values: &[Value]) -> Option<Value> {
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
    fn a_score_of_the_limit_is_not_beyond_it_whatever_binary_noise_adds() {
        let limit = outlier_limit(5);
        for tenths in (-3_000..3_000).step_by(10) {
            let level = f64::from(tenths) / 10.0;
            assert!(flagged(&five(level, 0.6745, limit)).is_empty(), "{level}");
            assert_eq!(flagged(&five(level, 0.6745, limit + 0.0001)), [0, 4], "{level}");
        }
    }

    // z by the normal law of NIST/SEMATECH e-Handbook 1.3.6.7.1, interpolated: 0.95^(1/5) = 0.98979
    // and 0.95^(1/10) = 0.99488 two-sided are 0.99490 and 0.99744 one-sided, z 2.569 and 2.799.
    // 2.569 x (1 + 0.64 x 2.569^2 / 1.95) = 8.133; 2.799 x (1 + 0.64 x 2.799^2 / 8) = 4.553.
    #[test]
    fn the_limit_is_worked_as_it_is_written() {
        approx::assert_abs_diff_eq!(outlier_limit(5), 8.133, epsilon = 0.02);
        approx::assert_abs_diff_eq!(outlier_limit(10), 4.553, epsilon = 0.01);
        assert!(outlier_limit(4).is_infinite() && outlier_limit(0).is_infinite());
        assert!((5..3000).all(|count| outlier_limit(count) > LEAST_OUTLIER_LIMIT));
        // As the Hampel identifier is approximated after Davies and Gather 1993 in the tests of
        // the Bioconductor package parody, in MADs: 6.35 to 6.36 for 15 readings, 6.02 to 6.03 for
        // 20, of which 0.6745 is a score. The approximation is known to a few per cent.
        for (count, in_mads) in [(15, 6.355), (20, 6.025)] {
            let limit = outlier_limit(count);
            assert!((limit / (0.6745 * in_mads) - 1.0).abs() < 0.025, "{count}: {limit}");
        }
    }

    // 238.4, 238.5, 238.5, 238.5, 238.6, 240.1: median 238.5, deviations 0.1, 0, 0, 0, 0.1, 1.6, plain
    // MAD (0 + 0.1) / 2 = 0.05, step 0.1. Three of six lie from 0 to 0.1: 0.1 x (6 / 2) / 3 = 0.1, and
    // 0.6745 x 1.6 / 0.1 = 10.79.
    // 593, 593, 593, 593.5, 593.5, 593.5, 593.5, 594, 594, 594.5, 596.5: median 593.5, deviations four
    // of 0, five of 0.5, one of 1 and of 3, plain MAD 0.5, step 0.5. Four lie below 0.25, five from
    // there to 0.75: 0.25 + 0.5 x (5.5 - 4) / 5 = 0.4, and 0.6745 x 3 / 0.4 = 5.05875.
    #[test]
    fn a_median_of_steps_is_that_of_grouped_data() {
        let readings =
            [593.0, 593.0, 593.0, 593.5, 593.5, 593.5, 593.5, 594.0, 594.0, 594.5, 596.5];
        let outliers = modified_z("x", &readings.map(Value::constant)).expect("readings");
        approx::assert_abs_diff_eq!(outliers.scores[10].number(), 5.058_75, epsilon = 1e-9);
        assert_eq!(outliers.flagged, [10]); // of eleven, 4.66
        let readings = [238.4, 238.5, 238.5, 238.5, 238.6, 240.1].map(Value::constant);
        let outliers = modified_z("x", &readings).expect("readings");
        approx::assert_abs_diff_eq!(outliers.scores[5].number(), 10.792, epsilon = 1e-3);
        assert_eq!(outliers.flagged, [5]);
        // All differ: no step shows. Median 238.55, MAD (0.15 + 0.15) / 2.
        let readings = [238.3, 238.4, 238.5, 238.6, 238.7, 240.05].map(Value::constant);
        let outliers = modified_z("x", &readings).expect("readings");
        approx::assert_abs_diff_eq!(
            outliers.scores[5].number(),
            0.6745 * 1.5 / 0.15,
            epsilon = 1e-6
        );
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
        let far = outlier_limit(5) / 0.6745;
        assert_eq!(flagged(&five(0.0, 1.0, far + 1e-6)), [0, 4]);
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
        assert_eq!((outliers.scores[0].number(), outliers.flagged), (0.0, vec![]));
        // 7 / 1.253314 = 5.59, the limit of seven is 5.81; 8 / 1.253314 = 6.38, that of eight 4.89.
        let one_off = |count: usize| {
            let mut readings = vec![10.0; count];
            readings[2] = 11.0;
            flagged(&readings)
        };
        assert_eq!((one_off(7), one_off(8)), (vec![], vec![2]));
    }
}
