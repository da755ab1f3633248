//! Mean, spread and interval of readings.

use super::confidence::Confidence;
use super::interval::Interval;
use super::noise::{counted, is_all_noise, largest, largest_of, zero};
use crate::working::Value;

/// The mean of readings of one unit: m = sum of x / n.
///
/// x is a reading, n their number; the mean has the unit of the readings. `None` without
/// readings.
///
/// ```
/// use alleytrue::statistics::mean;
/// use alleytrue::working::{Value, steps};
/// // Manitoba Agriculture, Assessing soybean plant stands: six counts, mean 166.5.
/// let counts = [180.0, 169.0, 163.0, 175.0, 150.0, 162.0].map(Value::constant);
/// let mean = mean("plants", &counts).ok_or("no readings")?;
/// let line = steps(&[mean]).pop().map(|step| step.to_string());
/// assert_eq!(
///     line.as_deref(),
///     Some(
///         "mean plants = sum of plants / plants count \
///          = (180 + 169 + 163 + 175 + 150 + 162) / 6 = 166.5"
///     )
/// );
/// # Ok::<(), &str>(())
/// ```
#[must_use]
pub fn mean(subject: &str, readings: &[Value]) -> Option<Value> {
    let (_, count) = counted(subject, readings.len())?;
    Some(mean_of(subject, readings, &count))
}

pub(super) fn mean_of(subject: &str, readings: &[Value], count: &Value) -> Value {
    let sum = Value::sum(subject.to_owned(), readings.to_vec());
    (sum / count).named(["mean ", subject].concat())
}

/// What readings say together.
#[derive(Clone, Debug)]
pub struct Summary {
    /// The number of readings.
    pub count: Value,
    /// Their mean.
    pub mean: Value,
    /// How far they scatter, and how sure the mean is; `None` for a single reading.
    pub spread: Option<Spread>,
}

/// The scatter of two readings or more.
#[derive(Clone, Debug)]
pub struct Spread {
    /// Readings less one.
    pub degrees_of_freedom: Value,
    /// Standard deviation of the readings.
    pub sd: Value,
    /// The interval of the mean, with its standard error.
    pub interval: Interval,
}

impl Summary {
    /// Mean, standard deviation, standard error and t interval of readings x of one unit:
    ///
    /// - mean m = sum of x / n
    /// - standard deviation s = sqrt(sum of (x - m)^2 / (n - 1))
    /// - standard error of the mean s / sqrt(n)
    /// - interval m ± t s / sqrt(n), t being Student's, two-sided, at n - 1 degrees of freedom
    ///
    /// All but n and t have the unit of the readings. `None` without readings; readings that
    /// agree to twelve digits have a standard deviation of 0. Sources: NIST/SEMATECH e-Handbook
    /// 1.3.5.2; GUM (JCGM 100:2008) 4.2. Summing squares of deviations in a second pass keeps
    /// the digits that a one-pass sum of squares loses (NIST StRD, univariate).
    ///
    /// ```
    /// use alleytrue::statistics::{Confidence, Summary};
    /// use alleytrue::working::{Value, steps};
    /// // NIST/SEMATECH e-Handbook 7.2.2: mean 53.7, s 6.567, t 2.262 at 9 degrees of freedom.
    /// let read = [50.0, 48.0, 44.0, 56.0, 61.0, 52.0, 53.0, 55.0, 67.0, 51.0];
    /// let summary = Summary::of("reading", &read.map(Value::constant), Confidence::NINETY_FIVE)
    ///     .ok_or("no readings")?;
    /// let spread = summary.spread.ok_or("one reading")?;
    /// let lines: Vec<String> =
    ///     steps(&[spread.interval.low]).iter().map(ToString::to_string).collect();
    /// assert_eq!(lines[0], "reading count = counted = 10");
    /// assert!(lines[1].starts_with("mean reading = sum of reading / reading count = (50 + 48 + "));
    /// assert_eq!(lines[2], "t (95 %, 9 df) = Student's t, two-sided = 2.26216");
    /// assert!(lines[3].starts_with(
    ///     "sum of squares reading = sum of (reading - mean reading)^2 = (50 - 53.7)^2 + "
    /// ));
    /// assert_eq!(lines[4], "reading df = reading count - 1 = 10 - 1 = 9");
    /// assert_eq!(
    ///     lines[5],
    ///     "SD reading = sqrt(sum of squares reading / reading df) = sqrt(388.1 / 9) = 6.56675"
    /// );
    /// assert!(lines[6].starts_with(
    ///     "standard error reading = SD reading / sqrt(reading count) = "
    /// ));
    /// assert!(lines[7].starts_with(
    ///     "half width reading = t (95 %, 9 df) * standard error reading = "
    /// ));
    /// assert!(lines[8].starts_with("low reading = mean reading - half width reading = "));
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn of(subject: &str, readings: &[Value], confidence: Confidence) -> Option<Summary> {
        let moments = Moments::of(subject, readings)?;
        let standard_error = moments.standard_error(subject);
        let spread = moments.scatter.zip(standard_error).and_then(|(scatter, standard_error)| {
            let t = confidence.t(scatter.df)?;
            let Deviation { degrees_of_freedom, sd, .. } = scatter;
            let interval = Interval::around(subject, &moments.mean, standard_error, t);
            Some(Spread { degrees_of_freedom, sd, interval })
        });
        Some(Summary { count: moments.count, mean: moments.mean, spread })
    }
}

/// Mean and standard deviation, without a confidence.
#[derive(Clone, Debug)]
pub struct Moments {
    /// The number of readings.
    pub count: Value,
    /// Their mean.
    pub mean: Value,
    /// How far they scatter; `None` for a single reading.
    pub scatter: Option<Deviation>,
}

/// The standard deviation of two readings or more.
#[derive(Clone, Debug)]
pub struct Deviation {
    pub(super) df: u32,
    /// Readings less one.
    pub degrees_of_freedom: Value,
    /// Standard deviation of the readings.
    pub sd: Value,
}

impl Deviation {
    /// A standard deviation that was worked out elsewhere, at its degrees of freedom; a t is taken
    /// at the whole number below them.
    #[must_use]
    pub fn new(sd: Value, degrees_of_freedom: Value) -> Deviation {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // no more than readings
        let df = (degrees_of_freedom.number() * (1.0 + 1e-12)) as u32;
        Deviation { df, degrees_of_freedom, sd }
    }

    /// The whole degrees of freedom that a t is taken at.
    #[must_use]
    pub fn whole_degrees(&self) -> u32 {
        self.df
    }
}

impl Moments {
    /// Mean and standard deviation as [`Summary::of`] has them, for who makes an interval of
    /// something else than the mean. `None` without readings.
    ///
    /// ```
    /// use alleytrue::statistics::Moments;
    /// use alleytrue::working::Value;
    /// // NIST/SEMATECH e-Handbook 7.2.2: mean 53.7, s 6.567.
    /// let read = [50.0, 48.0, 44.0, 56.0, 61.0, 52.0, 53.0, 55.0, 67.0, 51.0];
    /// let moments = Moments::of("reading", &read.map(Value::constant)).ok_or("no readings")?;
    /// assert_eq!(moments.mean.number(), 53.7);
    /// assert!(moments.scatter.is_some_and(|scatter| (scatter.sd.number() - 6.567).abs() < 5e-4));
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn of(subject: &str, readings: &[Value]) -> Option<Moments> {
        Moments::of_computed(subject, readings, 0.0)
    }

    /// The standard error of the mean.
    pub(super) fn standard_error(&self, subject: &str) -> Option<Value> {
        let sd = &self.scatter.as_ref()?.sd;
        Some((sd / self.count.root()).named(["standard error ", subject].concat()))
    }

    /// `operands`: the largest number the readings were computed from, if they were.
    pub(super) fn of_computed(subject: &str, readings: &[Value], operands: f64) -> Option<Moments> {
        let (number, count) = counted(subject, readings.len())?;
        let mean = mean_of(subject, readings, &count);
        let scatter = (number > 1).then(|| {
            let degrees_of_freedom =
                (&count - Value::constant(1.0)).named([subject, " df"].concat());
            let farthest = largest(readings.iter().map(|reading| reading.number_less(&mean)));
            let name = ["SD ", subject].concat();
            let sd = if is_all_noise(farthest, largest_of(readings), operands) {
                zero(name, mean.unit(), "all readings alike")
            } else {
                let squares = Value::sum_of_squares_off(squares_of(subject), readings, &mean)
                    .named(["sum of squares ", subject].concat());
                (squares / &degrees_of_freedom).root().named(name)
            };
            Deviation { df: number - 1, degrees_of_freedom, sd }
        });
        Some(Moments { count, mean, scatter })
    }
}

/// The sum of the squared deviations of `subject` from its mean.
pub(super) fn sum_of_squares(subject: &str, deviations: &[Value]) -> Value {
    let squares = deviations.iter().map(|deviation| deviation.to_the(2)).collect();
    Value::sum(squares_of(subject), squares).named(["sum of squares ", subject].concat())
}

/// What a sum of squares is summed of, in words.
fn squares_of(subject: &str) -> String {
    ["(", subject, " - mean ", subject, ")^2"].concat()
}
