//! An interval around an estimate.

use crate::working::Value;

/// An interval from Student's t: estimate ± t × standard error.
#[derive(Clone, Debug)]
pub struct Interval {
    /// The standard error of the estimate, in its unit.
    pub standard_error: Value,
    /// Student's t, two-sided, at the confidence and the degrees of freedom.
    pub t: Value,
    /// t × standard error.
    pub half_width: Value,
    /// Estimate - half width.
    pub low: Value,
    /// Estimate + half width.
    pub high: Value,
}

impl Interval {
    /// The interval around `estimate`: half width h = t s, low = estimate - h, high =
    /// estimate + h, where s is the standard error, named by the caller and in the unit of the
    /// estimate, and t is [`Confidence::t`](super::Confidence::t) at its degrees of freedom.
    ///
    /// Source: NIST/SEMATECH e-Handbook 1.3.5.2.
    ///
    /// ```
    /// use alleytrue::statistics::{Confidence, Interval};
    /// use alleytrue::working::{Value, steps};
    /// let mean = Value::constant(53.7).named("mean");
    /// let error = Value::constant(2.077).named("standard error");
    /// let t = Confidence::NINETY_FIVE.t(9).ok_or("degrees of freedom")?;
    /// let interval = Interval::around("mean", &mean, error, t);
    /// let line = steps(&[interval.half_width]).pop().map(|step| step.to_string());
    /// assert_eq!(
    ///     line.as_deref(),
    ///     Some("half width mean = t (95 %, 9 df) * standard error = 2.262157 * 2.077 = 4.69850")
    /// );
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn around(subject: &str, estimate: &Value, standard_error: Value, t: Value) -> Interval {
        let half_width = (&t * &standard_error).named(["half width ", subject].concat());
        let low = (estimate - &half_width).named(["low ", subject].concat());
        let high = (estimate + &half_width).named(["high ", subject].concat());
        Interval { standard_error, t, half_width, low, high }
    }
}
