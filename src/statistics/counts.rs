//! The interval of a mean of counts, which never goes below zero.

use super::confidence::Confidence;
use super::share::normal;
use super::summary::Summary;
use crate::working::Value;

/// The interval of a mean count.
#[derive(Clone, Debug)]
pub struct CountInterval {
    /// Lower end, never below zero.
    pub low: Value,
    /// Upper end.
    pub high: Value,
}

impl CountInterval {
    /// The interval of the mean m of n counts whose standard deviation is s:
    ///
    /// m + c / 2 ± sqrt(c m + c² / 4), c = (t s)² / (n m); the lower end is m² / the upper one
    ///
    /// t is Student's, two-sided, at n - 1 degrees of freedom. The variance of a count goes up with
    /// what is counted, so the ends are the means that the counts lie t standard errors from, s
    /// being sqrt(m) times as much for them as the counts say: the score interval of quasi-Poisson
    /// counts (Wedderburn 1974, Biometrika 61:439-447, for the law; Rao 1948, Proc. Camb. Phil.
    /// Soc. 44:50-57, for the interval, as that of Wilson is for shares). It holds more often than
    /// m ± t s / sqrt(n) where few are counted, and is the same to a hundredth where many are.
    ///
    /// Counts that are all alike tell nothing of their scatter. They are taken to scatter as by
    /// chance (Poisson), c = z² × `one` / n, z by the normal law: more than plants of a planter do.
    /// `one` is what one more counted adds to a reading. `None` for a single count.
    ///
    /// ```
    /// use alleytrue::statistics::{Confidence, CountInterval, Summary};
    /// use alleytrue::working::Value;
    /// let interval = |counts: &[f64]| {
    ///     let counts: Vec<Value> = counts.iter().copied().map(Value::constant).collect();
    ///     let summary = Summary::of("plants", &counts, Confidence::NINETY_FIVE)?;
    ///     let one = Value::constant(1.0);
    ///     CountInterval::of("plants", &summary, &one, Confidence::NINETY_FIVE)
    /// };
    /// // None on four places: c = 1.96² / 4 = 0.96, from 0 to 0.96.
    /// let none = interval(&[0.0; 4]).ok_or("counts")?;
    /// assert_eq!(none.low.number(), 0.0);
    /// assert!((none.high.number() - 0.9604).abs() < 5e-5);
    /// // 0, 3, 1: m 4/3, s² 7/3, t at 2 degrees 4.302653: c = 18.51282 x (7/3) / 4 = 10.79915;
    /// // 6.73291 ± sqrt(14.39886 + 29.15540): 0.13334 to 13.33247. By m ± t s / sqrt(n) it would
    /// // begin at -2.46.
    /// let few = interval(&[0.0, 3.0, 1.0]).ok_or("counts")?;
    /// assert!((few.low.number() - 0.13334).abs() < 5e-5);
    /// assert!((few.high.number() - 13.33247).abs() < 5e-5);
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn of(
        subject: &str,
        summary: &Summary,
        one: &Value,
        confidence: Confidence,
    ) -> Option<CountInterval> {
        let spread = summary.spread.as_ref()?;
        let mean = &summary.mean;
        let name = |what: &str| [what, " ", subject].concat();
        let per_count = if spread.sd.number() > 0.0 && mean.number() > 0.0 {
            spread.interval.half_width.to_the(2) / mean
        } else {
            normal(confidence)?.to_the(2) * one / &summary.count
        };
        let per_count = per_count.named(name("square of the half width per plant,"));
        let middle = mean + &per_count / Value::constant(2.0);
        let half = (&per_count * mean + per_count.to_the(2) / Value::constant(4.0)).root();
        let high = (middle + half).named(name("high count,"));
        // The ends are the roots of (x - m)² = c x, whose product is m²; a difference would lose
        // its digits where c is large.
        let low = (mean.to_the(2) / &high).named(name("low count,"));
        Some(CountInterval { low, high })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn interval(counts: &[f64]) -> Option<(f64, f64, f64)> {
        let counts: Vec<Value> = counts.iter().copied().map(Value::constant).collect();
        let summary = Summary::of("x", &counts, Confidence::NINETY_FIVE)?;
        let one = Value::constant(1.0);
        let found = CountInterval::of("x", &summary, &one, Confidence::NINETY_FIVE)?;
        Some((found.low.number(), summary.mean.number(), found.high.number()))
    }

    // 8 five times: c = 1.959964² / 5 = 0.768292; 8.384146 ± sqrt(6.146336 + 0.147568) = 2.508766.
    #[test]
    fn counts_all_alike_scatter_as_by_chance() {
        let (low, _, high) = interval(&[8.0; 5]).expect("counts");
        approx::assert_abs_diff_eq!(low, 5.875_380, epsilon = 1e-5);
        approx::assert_abs_diff_eq!(high, 10.892_912, epsilon = 1e-5);
        assert!(interval(&[8.0]).is_none() && interval(&[]).is_none());
    }

    // 30, 32, 29, 31, 30, 28, 33, 31: m 30.5, squares 18, s² 18/7, t at 7 degrees 2.364624:
    // half width 2.364624 x sqrt(2.571429 / 8) = 1.340616, c = 0.058926.
    #[test]
    fn where_many_are_counted_it_is_that_of_student() {
        let (low, _, high) =
            interval(&[30.0, 32.0, 29.0, 31.0, 30.0, 28.0, 33.0, 31.0]).expect("counts");
        approx::assert_abs_diff_eq!(low, 30.5 + 0.029_463 - 1.340_940, epsilon = 1e-5);
        approx::assert_abs_diff_eq!(high, 30.5 + 0.029_463 + 1.340_940, epsilon = 1e-5);
    }

    proptest! {
        #[test]
        fn it_holds_the_mean_and_never_goes_below_nought(
            counts in prop::collection::vec(0_u32..40, 2..12),
        ) {
            let counts: Vec<f64> = counts.into_iter().map(f64::from).collect();
            let (low, mean, high) = interval(&counts).expect("counts");
            prop_assert!(0.0 <= low && low <= mean && mean < high);
        }
    }
}
