//! A straight line through points.

use super::confidence::Confidence;
use super::interval::Interval;
use super::noise::{counted, is_noise, largest_of, named_beyond_rounding, zero};
use super::summary::{mean_of, sum_of_squares};
use super::t_test::TTest;
use crate::working::Value;

/// The straight line y = intercept + slope x with the least sum of squared residuals.
#[derive(Clone, Debug)]
pub struct Line {
    /// The number of points.
    pub count: Value,
    /// The mean of x.
    pub mean_x: Value,
    /// The mean of y.
    pub mean_y: Value,
    /// Change of y per unit of x.
    pub slope: Value,
    /// y where x is 0.
    pub intercept: Value,
    /// The correlation r of x and y, whose square is R2; `None` where all y are alike.
    pub correlation: Option<Value>,
    /// How far the points lie off the line; `None` without degrees of freedom, as for two points.
    pub scatter: Option<Scatter>,
    sum_xx: Value,
    range: (f64, f64),
    subject: String,
}

/// How far points lie off their line.
#[derive(Clone, Debug)]
pub struct Scatter {
    /// Points less two, and less what else was estimated from them.
    pub degrees_of_freedom: Value,
    /// Standard deviation of the residuals, in the unit of y.
    pub residual_sd: Value,
    /// Standard error of the slope.
    pub slope_error: Value,
    /// Standard error of the intercept.
    pub intercept_error: Value,
    df: u32,
}

/// What a line says of y at one x.
#[derive(Clone, Debug)]
pub struct Prediction {
    /// y on the line.
    pub fit: Value,
    /// Whether x lies within the measured range, ends included. Outside it the intervals rest
    /// on the line staying straight where nobody looked.
    pub inside: bool,
    /// How sure that is; `None` where the line has no scatter to judge by (two points).
    pub ranges: Option<Ranges>,
}

/// The two intervals of a prediction.
#[derive(Clone, Debug)]
pub struct Ranges {
    /// Where the line itself is: the mean of many readings at this x.
    pub mean: Interval,
    /// Where the next single reading at this x falls: the prediction interval.
    pub next: Interval,
}

impl Line {
    /// Least squares through points (x, y), n of them, with means m_x and m_y:
    ///
    /// - slope b = sum of (x - m_x)(y - m_y) / sum of (x - m_x)^2, in units of y per x
    /// - intercept a = m_y - b m_x, in units of y
    /// - residual standard deviation s = sqrt(sum of ((y - m_y) - b (x - m_x))^2 / (n - 2))
    /// - standard error of the slope s / sqrt(sum of (x - m_x)^2)
    /// - standard error of the intercept s sqrt(1/n + m_x^2 / sum of (x - m_x)^2)
    /// - correlation r = sum of (x - m_x)(y - m_y) / sqrt(sum of (x - m_x)^2 sum of (y - m_y)^2)
    ///
    /// `None` for fewer than two points or where all x are alike. Points that lie on the line to
    /// twelve digits have a residual standard deviation of 0. Source: Draper and Smith, Applied
    /// Regression Analysis, chapter 1; the same as GUM (JCGM 100:2008) H.3.
    ///
    /// ```
    /// use alleytrue::statistics::Line;
    /// use alleytrue::working::{Value, steps};
    /// // Alley shift in inches at three ground speeds in inches per second.
    /// let points = [(40.0, 13.0), (50.0, 15.5), (60.0, 17.4)]
    ///     .map(|(speed, shift)| (Value::constant(speed), Value::constant(shift)));
    /// let line = Line::fit("speed", "shift", &points).ok_or("no line")?;
    /// let lines: Vec<String> =
    ///     steps(&[line.intercept]).iter().rev().take(2).map(ToString::to_string).collect();
    /// assert_eq!(lines, [
    ///     "intercept shift = mean shift - slope shift * mean speed = 15.3 - 0.22 * 50 = 4.3",
    ///     "slope shift = sum of products speed shift / sum of squares speed = 44 / 200 = 0.22",
    /// ]);
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn fit(x: &str, y: &str, points: &[(Value, Value)]) -> Option<Line> {
        Line::fit_after(x, y, points, 0)
    }

    /// [`Line::fit`] through points from which `taken` other numbers have been estimated and
    /// taken out before, such as a difference between two groups of them: the residuals then
    /// have n - 2 - `taken` degrees of freedom.
    ///
    /// ```
    /// use alleytrue::statistics::Line;
    /// use alleytrue::working::Value;
    /// let points = [(40.0, 13.0), (50.0, 15.5), (60.0, 17.4), (70.0, 20.1)]
    ///     .map(|(x, y)| (Value::constant(x), Value::constant(y)));
    /// let line = Line::fit_after("speed", "shift", &points, 1).ok_or("no line")?;
    /// assert_eq!(line.scatter.ok_or("no scatter")?.degrees_of_freedom.number(), 1.0);
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn fit_after(x: &str, y: &str, points: &[(Value, Value)], taken: u32) -> Option<Line> {
        let (number, count) = counted(y, points.len())?;
        let (xs, ys): (Vec<Value>, Vec<Value>) = points.iter().cloned().unzip();
        let (mean_x, mean_y) = (mean_of(x, &xs, &count), mean_of(y, &ys, &count));
        let (dx, dy) = (deviations(&xs, &mean_x), deviations(&ys, &mean_y));
        if is_noise(&dx, largest_of(&xs), 0.0) {
            return None;
        }
        let sum_xx = sum_of_squares(x, &dx);
        let level = is_noise(&dy, largest_of(&ys), 0.0);
        let name = format!("sum of products {x} {y}");
        let sum_xy = if level {
            zero(name, mean_x.unit().times(mean_y.unit()), "every reading alike")
        } else {
            let products = dx.iter().zip(&dy).map(|(dx, dy)| dx * dy).collect();
            let of = format!("({x} - mean {x}) * ({y} - mean {y})");
            let size = cancelling(&dx, &ys) + cancelling(&dy, &xs);
            named_beyond_rounding(Value::sum(of, products), size, name)
        };
        let slope = (&sum_xy / &sum_xx).named(format!("slope {y}"));
        let intercept = named_beyond_rounding(
            &mean_y - &slope * &mean_x,
            largest_of(&ys) + (slope.number() * mean_x.number()).abs(),
            format!("intercept {y}"),
        );
        let correlation = (!level).then(|| {
            let sum_yy = sum_of_squares(y, &dy);
            (&sum_xy / (&sum_xx * sum_yy).root()).named(format!("correlation {x} {y}"))
        });
        let mut line = Line {
            range: range(&xs),
            subject: y.to_owned(),
            scatter: None,
            count,
            mean_x,
            mean_y,
            slope,
            intercept,
            correlation,
            sum_xx,
        };
        let df = number.checked_sub(2 + taken).filter(|df| *df > 0);
        line.scatter = df.map(|df| line.scatter(df, &dx, &dy, largest_of(&ys)));
        Some(line)
    }

    fn scatter(&self, df: u32, dx: &[Value], dy: &[Value], most: f64) -> Scatter {
        let y = &self.subject;
        let degrees_of_freedom = (&self.count
            - Value::constant(self.count.number() - f64::from(df)))
        .named(format!("{y} line df"));
        let residuals: Vec<Value> =
            dx.iter().zip(dy).map(|(dx, dy)| dy - &self.slope * dx).collect();
        let name = format!("residual SD {y}");
        let residual_sd = if is_noise(&residuals, most, 0.0) {
            zero(name, self.mean_y.unit(), "every reading lies on the line")
        } else {
            let squares = residuals.iter().map(|residual| residual.to_the(2)).collect();
            let sum = Value::sum(format!("({y} - line)^2"), squares)
                .named(format!("sum of squares {y} off the line"));
            (sum / &degrees_of_freedom).root().named(name)
        };
        let slope_error =
            (&residual_sd / self.sum_xx.root()).named(format!("standard error slope {y}"));
        let leverage = self.inverse_count() + self.mean_x.to_the(2) / &self.sum_xx;
        let intercept_error =
            (&residual_sd * leverage.root()).named(format!("standard error intercept {y}"));
        Scatter { degrees_of_freedom, residual_sd, slope_error, intercept_error, df }
    }

    fn inverse_count(&self) -> Value {
        Value::constant(1.0) / &self.count
    }

    /// The slope held against zero: t = slope / its standard error, at n - 2 degrees of freedom.
    /// `None` for two points. See [`slope`](super::slope) for readings against plot number.
    ///
    /// ```
    /// use alleytrue::statistics::Line;
    /// use alleytrue::working::Value;
    /// // GUM (JCGM 100:2008) H.3.3: slope 0.00218, standard error 0.00067.
    /// let points = [
    ///     (21.521, -0.171), (22.012, -0.169), (22.512, -0.166), (23.003, -0.159),
    ///     (23.507, -0.164), (23.999, -0.165), (24.513, -0.156), (25.002, -0.157),
    ///     (25.503, -0.159), (26.010, -0.161), (26.511, -0.160),
    /// ].map(|(reading, correction)| (Value::constant(reading), Value::constant(correction)));
    /// let line = Line::fit("reading", "correction", &points).ok_or("no line")?;
    /// let test = line.slope_test().ok_or("two points")?;
    /// assert!((test.estimate.number() - 0.00218).abs() < 5e-6);
    /// assert!((test.standard_error.number() - 0.00067).abs() < 5e-6);
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn slope_test(&self) -> Option<TTest> {
        let scatter = self.scatter.as_ref()?;
        Some(TTest::of(
            &format!("slope {}", self.subject),
            &self.slope,
            &scatter.slope_error,
            &scatter.degrees_of_freedom,
            scatter.df,
        ))
    }

    /// y at `x`, in the unit of the fitted x; `at` is the text for x in the names of the lines.
    ///
    /// With leverage h = 1/n + (x - m_x)^2 / sum of (x - m_x)^2, residual standard deviation s
    /// and Student's t, two-sided, at n - 2 degrees of freedom:
    ///
    /// - fit y = intercept + slope x
    /// - interval of the mean y ± t s sqrt(h)
    /// - prediction interval of the next reading y ± t s sqrt(1 + h)
    ///
    /// Source: Draper and Smith, Applied Regression Analysis, chapter 1.
    ///
    /// ```
    /// use alleytrue::statistics::{Confidence, Line};
    /// use alleytrue::working::{Value, steps};
    /// let points = [(40.0, 13.0), (50.0, 15.5), (60.0, 17.4), (70.0, 20.1)]
    ///     .map(|(speed, shift)| (Value::constant(speed), Value::constant(shift)));
    /// let line = Line::fit("speed", "shift", &points).ok_or("no line")?;
    /// let there = line.predict("75 in/s", &Value::constant(75.0), Confidence::NINETY_FIVE);
    /// assert!(!there.inside);
    /// let text = steps(&[there.fit]).pop().map(|step| step.to_string());
    /// assert_eq!(
    ///     text.as_deref(),
    ///     Some(
    ///         "shift at 75 in/s = intercept shift + slope shift * 75 \
    ///          = 3.74 + 0.232 * 75 = 21.14"
    ///     )
    /// );
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn predict(&self, at: &str, x: &Value, confidence: Confidence) -> Prediction {
        let name = format!("{} at {at}", self.subject);
        let fit = (&self.intercept + &self.slope * x).named(name.clone());
        let inside = self.inside(x);
        let ranges = self.scatter.as_ref().and_then(|scatter| {
            let t = confidence.t(scatter.df)?;
            let leverage = (self.inverse_count() + (x - &self.mean_x).to_the(2) / &self.sum_xx)
                .named(format!("leverage {name}"));
            let interval = |subject: String, share: &Value| {
                let error = (&scatter.residual_sd * share.root())
                    .named(format!("standard error {subject}"));
                Interval::around(&subject, &fit, error, t.clone())
            };
            Some(Ranges {
                mean: interval(format!("mean {name}"), &leverage),
                next: interval(format!("next {name}"), &(Value::constant(1.0) + &leverage)),
            })
        });
        Prediction { fit, inside, ranges }
    }

    /// Whether `x` lies in the measured range, ends included.
    ///
    /// ```
    /// use alleytrue::statistics::Line;
    /// use alleytrue::working::Value;
    /// let points = [(2.0, 13.0), (3.0, 15.5)].map(|(x, y)| (Value::constant(x), Value::constant(y)));
    /// let line = Line::fit("speed", "shift", &points).ok_or("no line")?;
    /// assert!(line.inside(&Value::constant(3.0)) && !line.inside(&Value::constant(3.5)));
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn inside(&self, x: &Value) -> bool {
        let (least, most) = self.range;
        (least..=most).contains(&x.number())
    }
}

fn deviations(values: &[Value], mean: &Value) -> Vec<Value> {
    values.iter().map(|value| value - mean).collect()
}

/// The size of the numbers whose rounding enters a sum of products.
fn cancelling(deviations: &[Value], others: &[Value]) -> f64 {
    deviations
        .iter()
        .zip(others)
        .map(|(deviation, other)| (deviation.number() * other.number()).abs())
        .sum()
}

fn range(values: &[Value]) -> (f64, f64) {
    values
        .iter()
        .map(Value::number)
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fit(points: &[(f64, f64)], taken: u32) -> Line {
        let points: Vec<(Value, Value)> =
            points.iter().map(|(x, y)| (Value::constant(*x), Value::constant(*y))).collect();
        Line::fit_after("x", "y", &points, taken).expect("a line")
    }

    /// The intercept of y = `slope` x + `intercept` at three x `step` apart.
    fn intercept(step: f64, slope: f64, intercept: f64) -> f64 {
        let points = [1.0, 2.0, 3.0].map(|x| (x * step, slope * (x * step) + intercept));
        fit(&points, 0).intercept.number()
    }

    // Slope 1 through x = 1, 2, 3: the largest y is 3 and slope times mean is 2, of which 1e-14 is
    // 5e-14. Steps of 2^-51 keep every sum exact in binary: 100 of them are 4.4e-14, 124 are
    // 5.5e-14.
    #[test]
    fn an_intercept_is_nought_up_to_what_rounding_leaves_of_largest_y_and_slope_times_mean() {
        let parts = |parts: f64| parts * 2.0_f64.powi(-51);
        assert_eq!(intercept(1.0, 1.0, parts(100.0)), 0.0);
        assert_eq!(intercept(1.0, 1.0, -parts(100.0)), 0.0);
        assert_eq!(intercept(1.0, 1.0, parts(124.0)), parts(124.0));
        assert_eq!(intercept(1.0, 1.0, -parts(124.0)), -parts(124.0));
    }

    // Far from one, x, slope and y differ in size; rounding goes by the size of y alone, here 5,
    // 5e6 and 5.
    #[test]
    fn an_intercept_of_true_digits_stays_whatever_the_sizes_of_x_and_slope() {
        let near = |found: f64, wanted: f64| (found / wanted - 1.0).abs() < 1e-4;
        assert!(near(intercept(1e6, 1e-6, 5e-9), 5e-9)); // 1e-14 of x would be 2e-8
        assert!(near(intercept(1.0, 1e6, 0.001), 0.001)); // of y times y 0.06
        assert!(near(intercept(1e-6, 1e6, 0.001), 0.001)); // of slope over x 5e-3
    }

    #[test]
    fn degrees_of_freedom_are_points_less_two_and_less_what_was_taken_out() {
        let points = [(1.0, 1.0), (2.0, 3.0), (3.0, 2.0), (4.0, 5.0), (5.0, 4.0)];
        for (taken, left) in [(0, Some(3.0)), (1, Some(2.0)), (2, Some(1.0)), (3, None), (9, None)]
        {
            let scatter = fit(&points, taken).scatter;
            let degrees = scatter.as_ref().map(|scatter| scatter.degrees_of_freedom.number());
            assert_eq!(degrees, left, "{taken}");
            assert_eq!(scatter.map(|scatter| f64::from(scatter.df)), left);
        }
        // Deviations of y are -2, 0, -1, 2, 1: slope (4 + 0 + 0 + 2 + 2) / 10 = 0.8 and squares off
        // the line 10 - 0.8 x 8 = 3.6, so a residual SD of sqrt(3.6 / 3), or of sqrt(3.6 / 2).
        for (taken, square) in [(0, 1.2), (1, 1.8)] {
            let scatter = fit(&points, taken).scatter.expect("scatter");
            approx::assert_relative_eq!(
                scatter.residual_sd.number(),
                f64::sqrt(square),
                epsilon = 1e-12
            );
            // sqrt(s^2 / 10), and sqrt(s^2 (1/5 + 9/10)).
            let [slope, intercept] = [0.1, 1.1].map(|share| f64::sqrt(square * share));
            approx::assert_relative_eq!(scatter.slope_error.number(), slope, epsilon = 1e-12);
            approx::assert_relative_eq!(
                scatter.intercept_error.number(),
                intercept,
                epsilon = 1e-12
            );
        }
        approx::assert_relative_eq!(
            fit(&points, 0).correlation.expect("r").number(),
            0.8,
            epsilon = 1e-12
        );
    }

    #[test]
    fn the_measured_range_has_both_its_ends() {
        let line = fit(&[(3.0, 1.0), (1.0, 2.0), (2.0, 5.0)], 0);
        for (x, inside) in [(0.99, false), (1.0, true), (2.5, true), (3.0, true), (3.01, false)] {
            assert_eq!(line.inside(&Value::constant(x)), inside, "{x}");
        }
    }

    // x = 1, 2, 3 and y = 5, 8, 5 + c: the sum of products is c. What cancels in it is
    // 5 + 5 times 1, and 1 x 1 + 2 x 2 + 1 x 3, so 18, of which 1e-14 is 1.8e-13. Steps of 3 x 2^-48
    // keep the mean exact: 9 of them are 0.96e-13, 40 are 4.3e-13.
    #[test]
    fn a_slope_is_nought_up_to_what_rounding_leaves_of_all_products() {
        let end = |parts: f64| parts * 3.0 * 2.0_f64.powi(-48);
        let slope = |end: f64| fit(&[(1.0, 5.0), (2.0, 8.0), (3.0, 5.0 + end)], 0).slope.number();
        assert_eq!([slope(end(9.0)), slope(-end(9.0))], [0.0, 0.0]);
        approx::assert_relative_eq!(slope(end(40.0)), end(20.0), max_relative = 0.01);
    }

    // Slope 0.8, intercept 3 - 0.8 x 3 = 0.6, s^2 = 1.2 as above. At 5 the leverage is
    // 1/5 + 2^2/10 = 0.6.
    #[test]
    fn a_reading_to_come_scatters_about_the_line_besides_the_line_itself() {
        let line = fit(&[(1.0, 1.0), (2.0, 3.0), (3.0, 2.0), (4.0, 5.0), (5.0, 4.0)], 0);
        let there = line.predict("5", &Value::constant(5.0), Confidence::NINETY_FIVE);
        approx::assert_relative_eq!(there.fit.number(), 4.6, epsilon = 1e-12);
        let Ranges { mean, next } = there.ranges.expect("ranges");
        for (interval, leverage) in [(mean, 0.6), (next, 1.6)] {
            let error = f64::sqrt(1.2 * leverage);
            approx::assert_relative_eq!(interval.standard_error.number(), error, epsilon = 1e-12);
            // t at 3 degrees of freedom is 3.182 (NIST/SEMATECH e-Handbook 1.3.6.7.2).
            approx::assert_abs_diff_eq!(interval.low.number(), 4.6 - 3.182 * error, epsilon = 1e-3);
            approx::assert_abs_diff_eq!(
                interval.high.number(),
                4.6 + 3.182 * error,
                epsilon = 1e-3
            );
        }
    }
}
