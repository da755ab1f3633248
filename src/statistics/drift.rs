//! Whether readings drift along the pass: their slope against plot number.

use super::confidence::Confidence;
use super::line::Line;
use super::outliers::may_stand_apart;
use super::t_test::TTest;
use crate::working::Value;

/// Drift along the pass: the slope of readings against plot number, with its t test.
///
/// Slope b = sum of (x - mean x)(y - mean y) / sum of (x - mean x)^2 for plot numbers x and
/// readings y, in the unit of the readings per plot; t = b / standard error of b at n - 2
/// degrees of freedom, p two-sided; see [`Line::fit`]. `None` for fewer than three readings, or
/// readings of one plot only. Source: NIST/SEMATECH e-Handbook 4.4.3.1; Draper and Smith,
/// Applied Regression Analysis, chapter 1.
///
/// ```
/// use alleytrue::statistics::{Confidence, slope};
/// use alleytrue::working::{Value, steps};
/// let readout = [(1, 238.1), (2, 237.4), (3, 238.8), (4, 237.9), (5, 238.3)];
/// let readings = readout.map(|(plot, x)| (plot, Value::constant(x)));
/// let drift = slope("readout", &readings).ok_or("too few readings")?;
/// assert!(!drift.differs_from_zero(Confidence::NINETY_FIVE));
/// let line = steps(&[drift.estimate]).pop().map(|step| step.to_string());
/// assert_eq!(
///     line.as_deref(),
///     Some(
///         "slope readout = sum of products plot readout / sum of squares plot \
///          = 0.9 / 10 = 0.09"
///     )
/// );
/// # Ok::<(), &str>(())
/// ```
#[must_use]
pub fn slope(subject: &str, readings: &[(u32, Value)]) -> Option<TTest> {
    let points: Vec<(Value, Value)> = readings
        .iter()
        .map(|(plot, reading)| (Value::constant(f64::from(*plot)), reading.clone()))
        .collect();
    Line::fit("plot", subject, &points)?.slope_test()
}

/// Whether readings may drift along their numbers, or lie off the line through them, far enough
/// for it to be tested: a quick look in plain numbers. Errs on the side of yes.
///
/// No slope with a t under 2.8 is told apart from zero at 99.5 %, however many readings there
/// are: the normal distribution, which t comes down to, has 2.807 there (NIST/SEMATECH
/// e-Handbook 1.3.6.7.1). `confidence` below that is always worth testing.
#[must_use]
pub fn may_drift(points: &[(f64, f64)], confidence: Confidence) -> bool {
    const LEAST_T: f64 = 2.8;
    #[allow(clippy::cast_precision_loss)] // far fewer readings than 2^53
    let count = points.len() as f64;
    if points.len() < 3 || confidence.fraction() < 0.995 {
        return true;
    }
    let mean = |of: fn(&(f64, f64)) -> f64| points.iter().map(of).sum::<f64>() / count;
    let (middle_x, middle_y) = (mean(|point| point.0), mean(|point| point.1));
    let sum = |of: &dyn Fn(f64, f64) -> f64| -> f64 {
        points.iter().map(|(x, y)| of(x - middle_x, y - middle_y)).sum()
    };
    let (xx, xy) = (sum(&|x, _| x * x), sum(&|x, y| x * y));
    let slope = xy / xx;
    let residuals: Vec<f64> =
        points.iter().map(|(x, y)| y - middle_y - slope * (x - middle_x)).collect();
    let off = residuals.iter().map(|one| one * one).sum::<f64>() / (count - 2.0) / xx;
    // Written so that what is no number counts as yes.
    let level = slope * slope < LEAST_T * LEAST_T * off;
    !level || may_stand_apart(&residuals)
}

#[cfg(test)]
mod tests {
    use super::super::modified_z;
    use super::*;
    use proptest::prelude::*;

    fn sure() -> Confidence {
        Confidence::new(0.995).expect("a confidence")
    }

    /// Numbers from `first` on and `slope` times them, with 1, -1, -1, 1 added in turn: these add up
    /// to nought, also times the numbers, so that they are just what lies off the line.
    fn rising(first: f64, level: f64, slope: f64, fours: usize) -> Vec<(f64, f64)> {
        let off = [1.0, -1.0, -1.0, 1.0].repeat(fours);
        let numbers = (0_u32..).map(|place| first + f64::from(place));
        numbers.zip(off).map(|(x, off)| (x, level + slope * x + off)).collect()
    }

    fn test_of(points: &[(f64, f64)]) -> TTest {
        let points: Vec<(Value, Value)> =
            points.iter().map(|(x, y)| (Value::constant(*x), Value::constant(*y))).collect();
        Line::fit("x", "y", &points).expect("a line").slope_test().expect("a test")
    }

    // Of four, squares of x are 5 and the scatter is 4/2, so the slope's error is sqrt(2/5) and a t
    // of 2.8 is a slope of 1.7709. Of eight: 42 and 8/6, an error of 0.17817, a slope of 0.49889.
    #[test]
    fn a_slope_is_worth_a_test_from_a_t_of_two_and_eight_tenths_on() {
        for (fours, slope, worth) in [
            (1, 0.0, false),
            (1, 1.76, false),
            (1, 1.78, true),
            (1, -1.76, false),
            (1, -1.78, true),
            (2, 0.498, false),
            (2, 0.5, true),
            (2, 50.0, true),
        ] {
            for (first, level) in [(1.0, 0.0), (11.0, 238.0), (200.0, -3.0)] {
                let points = rising(first, level, slope, fours);
                assert_eq!(may_drift(&points, sure()), worth, "{fours} {slope} from {first}");
            }
        }
        approx::assert_relative_eq!(
            test_of(&rising(1.0, 0.0, 1.0, 1)).standard_error.number(),
            f64::sqrt(0.4),
            epsilon = 1e-12
        );
    }

    #[test]
    fn what_the_quick_look_cannot_judge_is_worth_a_test() {
        let level = rising(1.0, 238.0, 0.0, 2);
        assert!(!may_drift(&level, sure()));
        assert!(may_drift(&level, Confidence::new(0.99).expect("a confidence")));
        assert!(!may_drift(&level, Confidence::new(0.999).expect("a confidence")));
        assert!(may_drift(&level[..2], sure()) && may_drift(&[], sure()));
        // All at one number; one reading far off a level line.
        assert!(may_drift(&[(3.0, 1.0), (3.0, 2.0), (3.0, 4.0), (3.0, 1.5)], sure()));
        let mut one_off = level;
        one_off[3].1 += 40.0;
        assert!(may_drift(&one_off, sure()));
    }

    // x 1 to 4: t of a slope 1.76 is 2.78, with a p of 0.109 at 2 degrees of freedom
    // (p = 1 - t / sqrt(2 + t²)).
    #[test]
    fn an_estimate_differs_from_zero_where_p_is_below_what_confidence_leaves() {
        let test = test_of(&rising(1.0, 238.0, 1.76, 1));
        let t = 1.76 / f64::sqrt(0.4);
        let p = 1.0 - t / (2.0 + t * t).sqrt();
        approx::assert_relative_eq!(test.p.as_ref().expect("p").number(), p, epsilon = 1e-9);
        for (confidence, differs) in [(1.0 - p - 1e-6, true), (1.0 - p + 1e-6, false)] {
            let confidence = Confidence::new(confidence).expect("a confidence");
            assert_eq!(test.differs_from_zero(confidence), differs);
        }
        assert!(!test_of(&rising(1.0, 238.0, 0.0, 1)).differs_from_zero(Confidence::NINETY_FIVE));
    }

    #[test]
    fn without_scatter_any_slope_differs_from_zero() {
        let slope = |per_plot: f64| test_of(&[1.0, 2.0, 3.0].map(|x| (x, 4.0 + per_plot * x)));
        assert!(slope(0.5).t.is_none() && slope(0.5).differs_from_zero(Confidence::NINETY_FIVE));
        assert!(slope(-0.5).differs_from_zero(Confidence::NINETY_FIVE));
        assert!(!slope(0.0).differs_from_zero(Confidence::NINETY_FIVE));
    }

    proptest! {
        #[test]
        fn the_quick_look_misses_no_drift(
            hundredths in prop::collection::vec(-300_i32..300, 3..20),
            level in 0_i32..30_000, per_plot in -60_i32..60,
        ) {
            let points: Vec<(f64, f64)> = (1..)
                .zip(hundredths)
                .map(|(x, off)| (f64::from(x), f64::from(level + x * per_plot + off) / 100.0))
                .collect();
            let drifts = test_of(&points).differs_from_zero(sure());
            prop_assert!(may_drift(&points, sure()) || !drifts);
            if !may_drift(&points, sure()) {
                let line = test_of(&points).estimate.number();
                let off: Vec<Value> =
                    points.iter().map(|(x, y)| Value::constant(y - line * x)).collect();
                prop_assert!(modified_z("off", &off).expect("readings").flagged.is_empty());
            }
        }
    }
}
