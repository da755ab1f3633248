//! How sure an interval is to hold the true value.

use std::fmt;

use super::student_t;
use crate::quantity::{Unit, shown};
use crate::working::Value;

/// How Student's t comes into a calculation, in words.
pub(super) const STUDENT_T: &str = "Student's t, two-sided";

/// A confidence: the share of such intervals that hold the true value.
///
/// ```
/// use alleytrue::statistics::Confidence;
/// let usual = Confidence::NINETY_FIVE;
/// assert_eq!((usual.fraction(), usual.to_string().as_str()), (0.95, "95 %"));
/// assert_eq!(Confidence::new(0.999).map(|own| own.to_string()).as_deref(), Some("99.9 %"));
/// assert_eq!(Confidence::new(95.0), None);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Confidence(f64);

impl Confidence {
    /// The usual one, 95 %.
    pub const NINETY_FIVE: Confidence = Confidence(0.95);

    /// A fraction between 0 and 1, both left out; `None` for anything else.
    #[must_use]
    pub fn new(fraction: f64) -> Option<Confidence> {
        (fraction > 0.0 && fraction < 1.0).then_some(Confidence(fraction))
    }

    /// The confidence as a fraction.
    #[must_use]
    pub fn fraction(self) -> f64 {
        self.0
    }

    /// The confidence of each of so many looks at one set of readings, so that all of them together
    /// keep this one: 1 - (1 - confidence) / looks (Bonferroni; NIST/SEMATECH e-Handbook 7.4.7.3).
    ///
    /// ```
    /// use alleytrue::statistics::Confidence;
    /// let each = Confidence::NINETY_FIVE.for_each_of(4).ok_or("a confidence")?;
    /// assert!((each.fraction() - 0.9875).abs() < 1e-12);
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn for_each_of(self, looks: usize) -> Option<Confidence> {
        let looks = f64::from(u32::try_from(looks).ok()?);
        Confidence::new(1.0 - (1.0 - self.0) / looks)
    }

    fn percent(self) -> String {
        shown(100.0 * self.0)
    }

    /// Student's t that as large a share of readings lies within, two-sided; `None` without
    /// degrees of freedom.
    ///
    /// ```
    /// use alleytrue::statistics::Confidence;
    /// // NIST/SEMATECH e-Handbook 1.3.6.7.2, 0.975 column: 2.262 at 9 degrees of freedom.
    /// let t = Confidence::NINETY_FIVE.t(9).ok_or("degrees of freedom")?;
    /// assert!((t.number() - 2.262).abs() < 5e-4);
    /// assert_eq!(t.name(), Some("t (95 %, 9 df)"));
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn t(self, degrees_of_freedom: u32) -> Option<Value> {
        let t = student_t::critical(self.0, degrees_of_freedom)?;
        let df = degrees_of_freedom.to_string();
        let name = ["t (", &self.percent(), " %, ", &df, " df)"].concat();
        Some(Value::found(name, t, Unit::ONE, STUDENT_T))
    }
}

impl fmt::Display for Confidence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} %", self.percent())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_confidence_is_more_than_nothing_and_less_than_certain() {
        for no_confidence in [0.0, 1.0, -0.5, 1.5, 95.0, f64::NAN, f64::INFINITY] {
            assert_eq!(Confidence::new(no_confidence), None, "{no_confidence}");
        }
        let shown = |fraction| Confidence::new(fraction).expect("a fraction").to_string();
        assert_eq!([shown(0.5), shown(0.95), shown(0.999)], ["50 %", "95 %", "99.9 %"]);
        assert!(Confidence::NINETY_FIVE.t(0).is_none());
    }
}
