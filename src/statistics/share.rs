//! Shares of a count, and how sure they are.

use super::confidence::Confidence;
use super::student_t;
use crate::quantity::Unit;
use crate::working::Value;

/// A share of a count with its interval, all three in per cent.
#[derive(Clone, Debug)]
pub struct Share {
    /// How many of them / how many in all.
    pub share: Value,
    /// Lower end of the interval.
    pub low: Value,
    /// Upper end of the interval.
    pub high: Value,
}

impl Share {
    /// The share k / n of `counted` among `all`, with the interval of Wilson:
    ///
    /// (k + z²/2) / (n + z²) ± z sqrt(k (n - k) / n + z²/4) / (n + z²)
    ///
    /// k and n are plain counts, z is the two-sided value of the normal law at the confidence.
    /// The interval never leaves 0 to 100 %, and holds where k is 0 or n. `None` where n is 0.
    /// Source: NIST/SEMATECH e-Handbook 7.2.4.1; Wilson 1927, J. Am. Stat. Assoc. 22:209-212.
    ///
    /// ```
    /// use alleytrue::statistics::{Confidence, Share};
    /// use alleytrue::working::Value;
    /// // Newcombe 1998, Statistics in Medicine 17:857-872, from memory: 81 of 263 is 0.3080,
    /// // Wilson's interval 0.2553 to 0.3662.
    /// let [k, n] = [81.0, 263.0].map(Value::constant);
    /// let share = Share::of("found", &k, &n, Confidence::NINETY_FIVE).ok_or("none at all")?;
    /// assert!((share.share.number() - 30.80).abs() < 0.005);
    /// assert!((share.low.number() - 25.53).abs() < 0.005);
    /// assert!((share.high.number() - 36.62).abs() < 0.005);
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn of(
        subject: &str,
        counted: &Value,
        all: &Value,
        confidence: Confidence,
    ) -> Option<Share> {
        if all.number() <= 0.0 {
            return None;
        }
        let z = normal(confidence)?;
        let squared = || z.to_the(2);
        let whole =
            (all + squared()).named(format!("{} with z^2", all.name().unwrap_or("all of them")));
        let centre = ((counted + squared() / Value::constant(2.0)) / &whole)
            .in_percent()
            .named(format!("{subject}, middle of the interval"));
        let spread = counted * (all - counted) / all + squared() / Value::constant(4.0);
        let half = (&z * spread.root() / &whole)
            .in_percent()
            .named(format!("{subject}, half width of the interval"));
        Some(Share {
            share: (counted / all).in_percent().named(subject.to_owned()),
            low: (&centre - &half).named(format!("{subject}, low")),
            high: (&centre + &half).named(format!("{subject}, high")),
        })
    }

    /// The share and both ends of its interval.
    #[must_use]
    pub fn values(&self) -> [Value; 3] {
        [self.share.clone(), self.low.clone(), self.high.clone()]
    }
}

/// The two-sided value z of the normal law: as large a share as the confidence lies within ± z.
pub(super) fn normal(confidence: Confidence) -> Option<Value> {
    let z = student_t::normal(confidence.fraction())?;
    Some(Value::found(format!("z ({confidence})"), z, Unit::ONE, "normal law, two-sided"))
}

#[cfg(test)]
#[allow(clippy::expect_used)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    #[test]
    fn z_is_that_of_printed_tables() {
        // NIST/SEMATECH e-Handbook 1.3.6.7.1: 95 % within 1.960, 99 % within 2.576, 90 % within
        // 1.645.
        for (confidence, printed) in [(0.90, 1.645), (0.95, 1.960), (0.99, 2.576)] {
            let confidence = Confidence::new(confidence).expect("a confidence");
            let z = normal(confidence).expect("z").number();
            assert!((z - printed).abs() < 5e-4, "{z}");
        }
    }

    proptest! {
        /// Each end p of the interval is where the count lies z standard deviations off:
        /// |k/n - p| = z sqrt(p (1 - p) / n).
        #[test]
        fn ends_are_where_the_score_is_z(n in 1_u32..2000, part in 0.0..=1.0_f64) {
            let k = (part * f64::from(n)).round();
            let [counted, all] = [k, f64::from(n)].map(Value::constant);
            let share = Share::of("x", &counted, &all, Confidence::NINETY_FIVE).expect("a share");
            let z = 1.959_963_984_540_054; // from memory
            for end in [&share.low, &share.high] {
                let p = end.number() / 100.0;
                prop_assert!((-1e-12..=1.0 + 1e-12).contains(&p));
                let distance = (k / f64::from(n) - p).powi(2);
                let score = z * z * p * (1.0 - p) / f64::from(n);
                prop_assert!((distance - score).abs() < 1e-8, "{distance} {score}");
            }
        }
    }

    #[test]
    fn none_of_ten_is_not_surely_none() {
        // 0 of 20, Newcombe 1998, from memory: 0 to 0.1611.
        let [k, n] = [0.0, 20.0].map(Value::constant);
        let share = Share::of("x", &k, &n, Confidence::NINETY_FIVE).expect("a share");
        assert_eq!((share.share.number(), share.low.number()), (0.0, 0.0));
        assert_relative_eq!(share.high.number(), 16.11, epsilon = 0.005);
    }

    #[test]
    fn a_share_of_none_is_no_share() {
        let of = |all| {
            Share::of("x", &Value::constant(0.0), &Value::constant(all), Confidence::NINETY_FIVE)
        };
        assert!(of(0.0).is_none() && of(-1.0).is_none());
        // 0 of 1: the high end is z² / (1 + z²), z 1.96: 0.7935.
        let [share, low, high] = of(1.0).expect("a share").values().map(|value| value.number());
        assert_eq!((share, low), (0.0, 0.0));
        assert_relative_eq!(high, 79.35, epsilon = 0.005);
    }
}
