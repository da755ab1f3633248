//! Control charts of single numbers, one after the other: individuals by moving ranges, and the
//! exponentially weighted moving average.

use super::summary::mean;
use crate::quantity::Unit;
use crate::working::Value;

/// Mean range of two normal readings over their standard deviation, 2 / sqrt(pi) = 1.128
/// (NIST/SEMATECH e-Handbook 6.3.2.2).
const RANGE_OF_TWO: f64 = 1.128;
/// Upper limit of the range of two readings over its mean, as the same page has it.
const UPPER_RANGE: f64 = 3.267;
/// Limits lie so many standard deviations off.
const WIDE: f64 = 3.0;

/// An individuals chart.
#[derive(Clone, Debug)]
pub struct Individuals {
    /// The middle: the mean of all readings.
    pub centre: Value,
    /// How far each reading lies from the one before, but the first.
    pub ranges: Vec<Value>,
    /// Their mean.
    pub mean_range: Value,
    /// Standard deviation of a reading, by the ranges.
    pub sd: Value,
    /// Lower limit.
    pub low: Value,
    /// Upper limit.
    pub high: Value,
    /// Upper limit of a moving range.
    pub high_range: Value,
}

impl Individuals {
    /// Readings x in their order, with moving ranges |x_i - x_(i-1)| and their mean R:
    ///
    /// - centre = mean of x
    /// - standard deviation = R / 1.128
    /// - limits = centre ± 3 R / 1.128
    /// - upper limit of a range = 3.267 R
    ///
    /// A jump moves one range only, so that the limits are those of what is usual from one reading to
    /// the next. `None` for fewer than two readings. Source: NIST/SEMATECH e-Handbook 6.3.2.2.
    ///
    /// ```
    /// use alleytrue::statistics::Individuals;
    /// use alleytrue::working::Value;
    /// // NIST/SEMATECH e-Handbook 6.3.2.2: centre 50.81, limits 45.8159 and 55.8041.
    /// let flow = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1].map(Value::constant);
    /// let chart = Individuals::of("flow", &flow).ok_or("too few")?;
    /// assert!((chart.centre.number() - 50.81).abs() < 1e-9);
    /// assert!((chart.mean_range.number() - 1.8778).abs() < 5e-5);
    /// assert!((chart.low.number() - 45.8159).abs() < 5e-5);
    /// assert!((chart.high.number() - 55.8041).abs() < 5e-5);
    /// assert!((chart.high_range.number() - 6.1347).abs() < 5e-5);
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn of(subject: &str, readings: &[Value]) -> Option<Individuals> {
        let centre = mean(subject, readings)?;
        let pairs = readings.iter().zip(readings.iter().skip(1));
        let ranges: Vec<Value> = pairs.map(|(one, next)| (next - one).magnitude()).collect();
        let mean_range = mean(&format!("moving range of {subject}"), &ranges)?;
        let of_two = Value::exact("mean range of two, in SD", RANGE_OF_TWO, Unit::ONE);
        let sd = (&mean_range / of_two).named(format!("SD of {subject} by ranges"));
        let off = Value::constant(WIDE) * &sd;
        let low = (&centre - &off).named(format!("lower limit, {subject}"));
        let high = (&centre + off).named(format!("upper limit, {subject}"));
        let upper = Value::exact("upper limit of a range, in mean ranges", UPPER_RANGE, Unit::ONE);
        let high_range = (upper * &mean_range).named(format!("upper limit of a range, {subject}"));
        Some(Individuals { centre, ranges, mean_range, sd, low, high, high_range })
    }

    /// Whether a reading lies outside the limits.
    #[must_use]
    pub fn is_outside(&self, reading: &Value) -> bool {
        outside(reading, &self.low, &self.high)
    }
}

/// One place of a chart of weighted averages.
#[derive(Clone, Debug)]
pub struct Weighted {
    /// The average.
    pub average: Value,
    /// Its lower limit there.
    pub low: Value,
    /// Its upper limit there.
    pub high: Value,
}

impl Weighted {
    /// Whether the average lies outside its limits.
    #[must_use]
    pub fn is_outside(&self) -> bool {
        outside(&self.average, &self.low, &self.high)
    }
}

/// Beyond a limit by more than rounding.
fn outside(value: &Value, low: &Value, high: &Value) -> bool {
    let slack = 1e-12 * (high.number().abs() + low.number().abs());
    value.number() < low.number() - slack || value.number() > high.number() + slack
}

/// The exponentially weighted moving average of readings x around a target, with its limits:
///
/// - average z_i = λ x_i + (1 - λ) z_(i-1), z_0 = target
/// - limits = target ± 3 s sqrt(λ / (2 - λ) (1 - (1 - λ)^(2 i)))
///
/// λ is the weight of the newest reading, s the standard deviation of one. It remembers what came
/// before, and so finds a slow drift earlier than single readings do. Source: NIST/SEMATECH e-Handbook
/// 6.3.2.4, whose example has the limits that these come to after some readings, without the last factor.
///
/// ```
/// use alleytrue::statistics::weighted_averages;
/// use alleytrue::working::Value;
/// // NIST/SEMATECH e-Handbook 6.3.2.4: target 50, s 2.0539, weight 0.3.
/// let read = [52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3,
///     47.8, 51.2, 52.6, 52.4, 53.6, 52.1].map(Value::constant);
/// let [target, sd] = [50.0, 2.0539].map(Value::constant);
/// let chart = weighted_averages("x", &read, &target, &sd, 0.3);
/// let printed = [50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36,
///     49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99];
/// for (one, printed) in chart.iter().zip(printed) {
///     assert!((one.average.number() - printed).abs() < 0.0051, "{printed}");
/// }
/// let last = chart.last().ok_or("none")?;
/// assert!((last.high.number() - 52.5884).abs() < 1e-3 && (last.low.number() - 47.4115).abs() < 1e-3);
/// # Ok::<(), &str>(())
/// ```
#[must_use]
pub fn weighted_averages(
    subject: &str,
    readings: &[Value],
    target: &Value,
    sd: &Value,
    weight: f64,
) -> Vec<Weighted> {
    let one = || Value::constant(1.0);
    let lambda = Value::exact("weight of the newest", weight, Unit::ONE);
    let kept = (one() - &lambda).named("weight of what came before");
    let mut average = target.clone();
    // What is left of the start, squared.
    let mut left = one();
    let mut all = Vec::with_capacity(readings.len());
    for (place, reading) in readings.iter().enumerate() {
        let tag = format!("{subject}, {}", place + 1);
        average = (&lambda * reading + &kept * &average).named(format!("weighted average {tag}"));
        left = (left * kept.to_the(2))
            .named(format!("what is left of the start, squared, {}", place + 1));
        let share = &lambda / (Value::constant(2.0) - &lambda) * (one() - &left);
        let half = (Value::constant(WIDE) * sd * share.root())
            .named(format!("half width of the weighted average {tag}"));
        all.push(Weighted {
            average: average.clone(),
            low: (target - &half).named(format!("lower limit of the weighted average {tag}")),
            high: (target + half).named(format!("upper limit of the weighted average {tag}")),
        });
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn values(numbers: &[f64]) -> Vec<Value> {
        numbers.iter().copied().map(Value::constant).collect()
    }

    #[test]
    fn a_single_reading_makes_no_chart_and_equal_ones_have_no_width() {
        assert!(Individuals::of("x", &values(&[1.0])).is_none());
        let chart = Individuals::of("x", &values(&[0.1, 0.1, 0.1])).expect("a chart");
        assert!(!chart.is_outside(&Value::constant(0.1)), "rounding is no signal");
        assert!(chart.is_outside(&Value::constant(0.2)));
    }

    /// The first limits are narrower: 3 s λ after one reading, since λ/(2-λ) (1 - (1-λ)²) = λ².
    #[test]
    fn the_first_average_has_the_limits_of_one_reading() {
        let [target, sd] = [10.0, 2.0].map(Value::constant);
        let chart = weighted_averages("x", &values(&[10.0, 10.0]), &target, &sd, 0.25);
        approx::assert_abs_diff_eq!(
            chart[0].high.number(),
            10.0 + 3.0 * 2.0 * 0.25,
            epsilon = 1e-12
        );
        assert!(chart[1].high.number() > chart[0].high.number());
    }
}
