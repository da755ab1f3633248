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
/// Whether the means of two groups differ, each having a scatter of its own (Welch 1947, Biometrika
/// 34:28-35): t = (m1 - m2) / sqrt(s1²/n1 + s2²/n2), at
///
/// ν = (s1²/n1 + s2²/n2)² / ((s1²/n1)² / (n1 - 1) + (s2²/n2)² / (n2 - 1))
///
/// degrees of freedom, p two-sided at the whole number below them. `None` where a group has fewer than
/// two readings. Source: NIST/SEMATECH e-Handbook 7.3.1.
///
/// ```
/// use alleytrue::statistics::two_means;
/// use alleytrue::working::Value;
/// // NIST/SEMATECH e-Handbook 7.3.1, old and new process: t 2.269 at 15.5 degrees of freedom.
/// let old = [32.0, 37.0, 35.0, 28.0, 41.0, 44.0, 35.0, 31.0, 34.0, 38.0, 42.0].map(Value::constant);
/// let new = [36.0, 31.0, 30.0, 31.0, 34.0, 36.0, 29.0, 32.0, 31.0].map(Value::constant);
/// let test = two_means("seconds", ["old", "new"], [&old, &new]).ok_or("too few")?;
/// assert!(test.t.is_some_and(|t| (t.number() - 2.2694).abs() < 5e-5));
/// assert!((test.degrees_of_freedom.number() - 15.5325).abs() < 5e-5);
/// # Ok::<(), &str>(())
/// ```
#[must_use]
pub fn two_means(subject: &str, names: [&str; 2], groups: [&[Value]; 2]) -> Option<TTest> {
    let of = |place: usize| Moments::of(&format!("{subject}, {}", names[place]), groups[place]);
    let (first, second) = (of(0)?, of(1)?);
    let square = |group: &Moments| {
        let scatter = group.scatter.as_ref()?;
        let own = scatter.sd.to_the(2) / &group.count;
        let part = own.number().powi(2) / scatter.degrees_of_freedom.number();
        Some((own, part))
    };
    let ((one, one_part), (other, other_part)) = (square(&first)?, square(&second)?);
    let sum = one.number() + other.number();
    let degrees = if sum > 0.0 { sum.powi(2) / (one_part + other_part) } else { 1.0 };
    let name = format!("df of the difference, {subject}");
    let degrees = Value::found(name, degrees, Unit::ONE, "Welch and Satterthwaite");
    let error = (one + other).root().named(format!("standard error of the difference, {subject}"));
    let difference = (&first.mean - &second.mean).named(format!("difference, {subject}"));
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // no more than readings
    let df = (degrees.number() * (1.0 + 1e-12)).max(1.0) as u32;
    Some(TTest::of(subject, &difference, &error, &degrees, df))
}

#[cfg(test)]
mod tests {
    use super::*;

    // Example 1 of "Welch's t-test" in Wikipedia, as the README of MathPHP has it: t -2.45536, 24.98853
    // degrees, p 0.021378; at the whole 24 degrees below a little more.
    #[test]
    fn two_groups_of_one_size() {
        let one = [
            27.5, 21.0, 19.0, 23.6, 17.0, 17.9, 16.9, 20.1, 21.9, 22.6, 23.1, 19.6, 19.0, 21.7,
            21.4,
        ];
        let other = [
            27.1, 22.0, 20.8, 23.4, 23.4, 23.5, 25.8, 22.0, 24.8, 20.2, 21.9, 22.1, 22.9, 20.5,
            24.4,
        ];
        let [one, other] = [one, other].map(|group| group.map(Value::constant));
        let test = two_means("x", ["one", "other"], [&one, &other]).expect("two groups");
        approx::assert_abs_diff_eq!(test.t.expect("t").number(), -2.455_36, epsilon = 1e-5);
        approx::assert_abs_diff_eq!(test.degrees_of_freedom.number(), 24.988_53, epsilon = 1e-4);
        let p = test.p.expect("p").number();
        assert!((0.0213..0.0217).contains(&p), "{p}");
    }

    #[test]
    fn groups_without_scatter_differ_where_their_means_do() {
        let of = |one: &[f64], other: &[f64]| {
            let values =
                |group: &[f64]| group.iter().copied().map(Value::constant).collect::<Vec<_>>();
            two_means("x", ["one", "other"], [&values(one), &values(other)])
        };
        assert!(of(&[1.0], &[2.0, 3.0]).is_none());
        let differ = |one: &[f64], other: &[f64]| {
            of(one, other).is_some_and(|test| test.differs_from_zero(Confidence::NINETY_FIVE))
        };
        assert!(differ(&[1.0, 1.0], &[2.0, 2.0]) && !differ(&[1.0, 1.0], &[1.0, 1.0]));
    }
}
