//! Whether a difference or a slope is more than scatter.

use super::confidence::{Confidence, STUDENT_T};
use super::noise::largest;
use super::student_t::two_sided_tail;
use super::summary::Moments;
use crate::quantity::Unit;
use crate::working::Value;

/// An estimate held against zero: t = estimate / standard error.
#[derive(Clone, Debug)]
pub struct TTest {
    /// What is held against zero.
    pub estimate: Value,
    /// Its standard error, in its unit.
    pub standard_error: Value,
    /// Degrees of freedom of the standard error.
    pub degrees_of_freedom: Value,
    /// Estimate / standard error; `None` without scatter, where it has no number.
    pub t: Option<Value>,
    /// How often chance alone gives a t at least this far from zero, either way; `None` where t
    /// is.
    pub p: Option<Value>,
}

impl TTest {
    pub(super) fn of(
        subject: &str,
        estimate: &Value,
        standard_error: &Value,
        degrees_of_freedom: &Value,
        df: u32,
    ) -> TTest {
        let t = (standard_error.number() > 0.0)
            .then(|| (estimate / standard_error).named(format!("t {subject}")));
        let p = t.as_ref().map(|t| {
            let p = two_sided_tail(t.number(), df);
            Value::found(format!("p {subject}"), p, Unit::ONE, STUDENT_T)
        });
        TTest {
            estimate: estimate.clone(),
            standard_error: standard_error.clone(),
            degrees_of_freedom: degrees_of_freedom.clone(),
            t,
            p,
        }
    }

    /// Whether the estimate differs from zero by more than scatter: p < 1 - confidence. Without
    /// any scatter, whether it differs at all.
    ///
    /// ```
    /// use alleytrue::statistics::{Confidence, slope};
    /// use alleytrue::working::Value;
    /// let readings = [(1, 4.0), (2, 4.5), (3, 5.0)].map(|(plot, x)| (plot, Value::constant(x)));
    /// let drift = slope("lead", &readings).ok_or("too few readings")?;
    /// assert!(drift.t.is_none() && drift.differs_from_zero(Confidence::NINETY_FIVE));
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn differs_from_zero(&self, confidence: Confidence) -> bool {
        match &self.p {
            Some(p) => p.number() < 1.0 - confidence.fraction(),
            None => self.estimate.number() != 0.0,
        }
    }
}

/// The paired t test: whether the first of each pair differs from the second.
///
/// With d = first - second, n pairs: mean difference m = sum of d / n, standard error
/// s / sqrt(n) with s = sqrt(sum of (d - m)^2 / (n - 1)), t = m / standard error at n - 1
/// degrees of freedom, p two-sided. Differences have the unit of the readings; `subject` is the
/// word for the difference. `None` for fewer than two pairs. Source: Student 1908, Biometrika
/// 6:1-25.
///
/// ```
/// use alleytrue::statistics::paired_difference;
/// use alleytrue::working::Value;
/// // Student's sleep data, differences in hours: mean 1.58, t 4.0621, p 0.002833.
/// let gains = [1.2, 2.4, 1.3, 1.3, 0.0, 1.0, 1.8, 0.8, 4.6, 1.4];
/// let pairs = gains.map(|gain| (Value::constant(gain), Value::constant(0.0)));
/// let test = paired_difference("gain", &pairs).ok_or("too few pairs")?;
/// assert!((test.estimate.number() - 1.58).abs() < 1e-12);
/// assert!(test.t.is_some_and(|t| (t.number() - 4.0621).abs() < 5e-5));
/// assert!(test.p.is_some_and(|p| (p.number() - 0.002833).abs() < 5e-7));
/// # Ok::<(), &str>(())
/// ```
#[must_use]
pub fn paired_difference(subject: &str, pairs: &[(Value, Value)]) -> Option<TTest> {
    let differences: Vec<Value> = pairs.iter().map(|(first, second)| first - second).collect();
    let operands =
        largest(pairs.iter().flat_map(|(first, second)| [first.number(), second.number()]));
    let moments = Moments::of_computed(subject, &differences, operands)?;
    let standard_error = moments.standard_error(subject)?;
    let scatter = moments.scatter?;
    Some(TTest::of(
        subject,
        &moments.mean,
        &standard_error,
        &scatter.degrees_of_freedom,
        scatter.df,
    ))
}
