//! Several runs of one kind: whether they are one, and what they come to together.
//!
//! Symbols: a run i has an estimate y_i with the squared standard error v_i that its readings give.
//! Runs of two sides (out and home) have a mean of their own on either side, and share what sets
//! runs apart besides their readings: seed, soil, tyres, slope, hand, which is the same for both.

use super::confidence::Confidence;
use super::fisher_f;
use crate::quantity::Unit;
use crate::working::Value;

/// What one run says.
#[derive(Clone, Debug)]
pub struct RunMean {
    /// What it goes by.
    pub name: String,
    /// What it says, y.
    pub estimate: Value,
    /// The square of its standard error, v; above zero.
    pub squared_error: Value,
    /// Which side it is of, from zero.
    pub side: usize,
}

/// Whether runs are one.
#[derive(Clone, Debug)]
pub struct Agreement {
    /// Cochran's Q.
    pub q: Value,
    /// Runs less sides.
    pub degrees_of_freedom: u32,
    /// How often runs that are one would lie so far apart by their readings' scatter.
    pub p: Value,
}

/// What runs come to that are not one.
#[derive(Clone, Debug)]
pub struct Spread {
    /// The square of what sets runs apart besides their readings.
    pub squared: Value,
    /// The mean of each side.
    pub means: Vec<Value>,
    /// The square of the standard error of each.
    pub squared_errors: Vec<Value>,
    /// Degrees of freedom of their intervals: runs less sides.
    pub degrees_of_freedom: u32,
}

/// A chance below this is none: no scatter is known so well.
const CERTAIN: f64 = 1e-12;
/// Degrees of freedom beyond which F is chi-square.
const MANY: f64 = 1e6;
/// Steps in which the spread is looked for; a hundred halvings are past any double.
const MOST_STEPS: u32 = 200;

/// The mean of every side with weights w = 1 / (v + spread²): sum of w y / sum of w.
fn means(runs: &[RunMean], sides: usize, spread: f64) -> Vec<f64> {
    (0..sides)
        .map(|side| {
            let own = || runs.iter().filter(move |run| run.side == side);
            let weight = |run: &RunMean| 1.0 / (run.squared_error.number() + spread);
            let weighted: f64 = own().map(|run| weight(run) * run.estimate.number()).sum();
            weighted / own().map(weight).sum::<f64>()
        })
        .collect()
}

/// Sum of (y - mean of its side)² / (v + spread²).
fn q_at(runs: &[RunMean], sides: usize, spread: f64) -> f64 {
    let means = means(runs, sides, spread);
    let square = |run: &RunMean| {
        let off = run.estimate.number() - means[run.side];
        off * off / (run.squared_error.number() + spread)
    };
    runs.iter().map(square).sum()
}

fn sides_of(runs: &[RunMean]) -> usize {
    runs.iter().map(|run| run.side + 1).max().unwrap_or(0)
}

fn degrees(runs: &[RunMean]) -> Option<u32> {
    let sides = sides_of(runs);
    let every_side = (0..sides).all(|side| runs.iter().any(|run| run.side == side));
    let positive = runs.iter().all(|run| run.squared_error.number() > 0.0);
    let degrees = u32::try_from(runs.len().checked_sub(sides)?).ok()?;
    (every_side && positive && degrees > 0).then_some(degrees)
}

impl Agreement {
    /// Cochran's Q = sum of (y - mean)² / v with the means weighted by 1 / v, held against F: Q over
    /// its degrees of freedom is F(k - 1, ν) where the v come from one scatter at ν degrees of
    /// freedom, and its limit for many readings is chi-square / (k - 1). `None` where no side has two
    /// runs, or a run has no scatter.
    ///
    /// Source: Cochran 1954, Biometrics 10:101-129; for F the one-way analysis of variance,
    /// NIST/SEMATECH e-Handbook 7.4.3.
    ///
    /// ```
    /// use alleytrue::statistics::{Agreement, RunMean};
    /// use alleytrue::working::Value;
    /// let run = |y: f64, v: f64| RunMean {
    ///     name: "run".into(),
    ///     estimate: Value::constant(y).named("y"),
    ///     squared_error: Value::constant(v).named("v"),
    ///     side: 0,
    /// };
    /// // Two runs: Q = (y1 - y2)² / (v1 + v2) = 9 / 2, which is t² at 18 degrees.
    /// let both = Agreement::of("shift", &[run(1.0, 1.0), run(4.0, 1.0)], 18).ok_or("no scatter")?;
    /// assert!((both.q.number() - 4.5).abs() < 1e-12);
    /// assert!((both.p.number() - 0.0480).abs() < 5e-5);
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn of(subject: &str, runs: &[RunMean], degrees_of_scatter: u32) -> Option<Agreement> {
        let degrees_of_freedom = degrees(runs)?;
        let means = weighted_means(subject, runs, None);
        let square =
            |run: &RunMean| (&run.estimate - &means[run.side]).to_the(2) / &run.squared_error;
        let q =
            Value::sum("(run - mean)^2 / square of its error", runs.iter().map(square).collect())
                .named(format!("Q {subject}, between runs"));
        let f = q.number() / f64::from(degrees_of_freedom);
        let p = fisher_f::tail(f, degrees_of_freedom, degrees_of_scatter);
        let p = if p < CERTAIN { 0.0 } else { p };
        let p = Value::found(format!("p {subject}, between runs"), p, Unit::ONE, "Fisher's F");
        Some(Agreement { q, degrees_of_freedom, p })
    }
}

impl Agreement {
    /// The same where every run of one side has a scatter of its own, at its own degrees of freedom ν.
    ///
    /// With weights w = 1 / v, W their sum, k runs and A = sum of (1 - w / W)² / ν: Q / (k - 1) over
    /// 1 + 2 (k - 2) A / (k² - 1) is F(k - 1, (k² - 1) / (3 A)). Two runs: Student's t² after
    /// Satterthwaite 1946. Source: Welch 1951, Biometrika 38:330-336.
    ///
    /// ```
    /// use alleytrue::statistics::{Agreement, RunMean};
    /// use alleytrue::working::Value;
    /// let run = |y: f64, v: f64| RunMean {
    ///     name: "run".into(),
    ///     estimate: Value::constant(y).named("y"),
    ///     squared_error: Value::constant(v).named("v"),
    ///     side: 0,
    /// };
    /// // t = 3 / sqrt(1 + 1) at (1 + 1)² / (1 / 9 + 1 / 9) = 18 degrees, as above.
    /// let both = Agreement::by_own_scatter("y", &[run(1.0, 1.0), run(4.0, 1.0)], &[9, 9]);
    /// assert!(both.is_some_and(|both| (both.p.number() - 0.0480).abs() < 5e-5));
    /// ```
    #[must_use]
    pub fn by_own_scatter(subject: &str, runs: &[RunMean], own: &[u32]) -> Option<Agreement> {
        if sides_of(runs) != 1 || own.contains(&0) || own.len() != runs.len() {
            return None;
        }
        let (Agreement { q, degrees_of_freedom, .. }, weights) = (
            Agreement::of(subject, runs, 1)?,
            runs.iter().map(|run| 1.0 / run.squared_error.number()).collect::<Vec<f64>>(),
        );
        let all: f64 = weights.iter().sum();
        let parts = weights.iter().zip(own).map(|(weight, own)| {
            let rest = 1.0 - weight / all;
            rest * rest / f64::from(*own)
        });
        let parts: f64 = parts.sum();
        let above = f64::from(degrees_of_freedom);
        let square = (above + 1.0) * (above + 1.0) - 1.0;
        let f = q.number() / above / (1.0 + 2.0 * (above - 1.0) * parts / square);
        // Rounded down: on the safe side.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // between 1 and MANY
        let below = (square / (3.0 * parts) * (1.0 + 1e-12)).clamp(1.0, MANY) as u32;
        let p = fisher_f::tail(f, degrees_of_freedom, below);
        let p = if p < CERTAIN { 0.0 } else { p };
        let p = Value::found(format!("p {subject}, between runs"), p, Unit::ONE, "Welch's F");
        Some(Agreement { q, degrees_of_freedom, p })
    }
}

/// The weighted means as values.
fn weighted_means(subject: &str, runs: &[RunMean], spread: Option<&Value>) -> Vec<Value> {
    let sides = sides_of(runs);
    let name = |side: usize, what: &str| {
        let side = if sides == 1 { String::new() } else { format!(", side {}", side + 1) };
        let spread = if spread.is_some() { ", with a spread" } else { "" };
        format!("{what} {subject}{side}{spread}")
    };
    // With the spread the weights are others, and so are the means.
    let spread_too = if spread.is_some() { " with the spread" } else { "" };
    let weight = |run: &RunMean| match spread {
        Some(spread) => Value::constant(1.0) / (&run.squared_error + spread),
        None => Value::constant(1.0) / &run.squared_error,
    };
    let of_side = |side: usize| {
        let own = || runs.iter().filter(move |run| run.side == side);
        let weights = Value::sum("1 / square of a run's error", own().map(weight).collect())
            .named([name(side, "weights"), spread_too.into()].concat());
        let weighted = own().map(|run| weight(run) * &run.estimate).collect();
        (Value::sum("weight x run", weighted) / weights)
            .named([name(side, "weighted mean"), spread_too.into()].concat())
    };
    (0..sides).map(of_side).collect()
}

impl Spread {
    /// What runs come to together when something besides their readings sets them apart.
    ///
    /// The square of the spread between runs is the root of sum of (y - mean)² / (v + spread²) =
    /// k - 1, or zero where that is below it without any (Paule and Mandel 1982, J. Res. NBS
    /// 87:377-385). The mean has weights w = 1 / (v + spread²) and the squared standard error
    /// sum of w (y - mean)² / ((k - 1) sum of w), with t at k - 1 degrees of freedom (Hartung and
    /// Knapp 2001, Statistics in Medicine 20:3875-3889); at a root the first is (k - 1), so that it
    /// is 1 / sum of w. With two sides k - 1 is runs less sides. `None` as for [`Agreement::of`].
    #[must_use]
    pub fn of(subject: &str, runs: &[RunMean]) -> Option<Spread> {
        let degrees_of_freedom = degrees(runs)?;
        let sides = sides_of(runs);
        let unit = runs.first()?.squared_error.unit();
        let number = root(|spread| q_at(runs, sides, spread) - f64::from(degrees_of_freedom));
        let squared = Value::found(
            format!("square of the spread of {subject} between runs"),
            number,
            unit,
            "the root of: sum of (run - mean)^2 / (square of its error + this) = runs less means",
        );
        let means = weighted_means(subject, runs, Some(&squared));
        let excess = q_at(runs, sides, number) / f64::from(degrees_of_freedom);
        let squared_errors = (0..sides)
            .map(|side| {
                let own = runs.iter().filter(|run| run.side == side);
                let weights = own.map(|run| Value::constant(1.0) / (&run.squared_error + &squared));
                let weights =
                    Value::sum("1 / (square of a run's error + spread)", weights.collect());
                let excess_name = format!("excess of {subject} between runs");
                let excess = Value::found(excess_name, excess, Unit::ONE, "Q over its degrees");
                let name = if sides == 1 { String::new() } else { format!(", side {}", side + 1) };
                (excess / weights).named(format!("square of the error of {subject}{name}"))
            })
            .collect();
        Some(Spread { squared, means, squared_errors, degrees_of_freedom })
    }

    /// Student's t for the intervals of the means.
    #[must_use]
    pub fn t(&self, confidence: Confidence) -> Option<Value> {
        confidence.t(self.degrees_of_freedom)
    }
}

/// The means of the sides of runs that are one, and the squares of their standard errors: weights w =
/// 1 / v, sum of w y / sum of w, and 1 / sum of w.
///
/// ```
/// use alleytrue::statistics::{RunMean, means_of_one};
/// use alleytrue::working::Value;
/// let run = |y: f64, v: f64| RunMean {
///     name: "run".into(),
///     estimate: Value::constant(y).named("y"),
///     squared_error: Value::constant(v).named("v"),
///     side: 0,
/// };
/// // (1 / 1 + 4 / 3) / (1 / 1 + 1 / 3) = 1.75, and 1 / (1 + 1 / 3) = 0.75.
/// let (means, squares) = means_of_one("shift", &[run(1.0, 1.0), run(4.0, 3.0)]);
/// assert!((means[0].number() - 1.75).abs() < 1e-12);
/// assert!((squares[0].number() - 0.75).abs() < 1e-12);
/// ```
#[must_use]
pub fn means_of_one(subject: &str, runs: &[RunMean]) -> (Vec<Value>, Vec<Value>) {
    let sides = sides_of(runs);
    let square = |side: usize| {
        let own = runs.iter().filter(|run| run.side == side);
        let weights = own.map(|run| Value::constant(1.0) / &run.squared_error).collect();
        let weights = Value::sum("1 / square of a run's error", weights);
        let name = if sides == 1 { String::new() } else { format!(", side {}", side + 1) };
        (Value::constant(1.0) / weights).named(format!("square of the error of {subject}{name}"))
    };
    (weighted_means(subject, runs, None), (0..sides).map(square).collect())
}

/// Where a falling function of what is zero or more crosses zero; zero where it starts below.
fn root(falling: impl Fn(f64) -> f64) -> f64 {
    if falling(0.0) <= 0.0 {
        return 0.0;
    }
    let mut high = f64::MIN_POSITIVE.sqrt();
    while falling(high) > 0.0 && high < f64::MAX.sqrt() {
        high *= 4.0;
    }
    let mut low = if high > f64::MIN_POSITIVE.sqrt() { high / 4.0 } else { 0.0 };
    for _ in 0..MOST_STEPS {
        let middle = f64::midpoint(low, high);
        if middle <= low || middle >= high {
            break;
        }
        if falling(middle) > 0.0 { low = middle } else { high = middle }
    }
    high
}

#[cfg(test)]
mod tests {
    use super::*;

    fn runs(all: &[(f64, f64)]) -> Vec<RunMean> {
        all.iter()
            .map(|(y, v)| RunMean {
                name: "run".into(),
                estimate: Value::constant(*y).named("y"),
                squared_error: Value::constant(*v).named("v"),
                side: 0,
            })
            .collect()
    }

    /// Kacker 2004, Metrologia 41:132-136, Table 1, first row: nine laboratories.
    const KACKER: [(f64, f64); 9] = [
        (61.0, 0.2025),
        (61.4, 1.21),
        (62.21, 0.09),
        (62.3, 0.2025),
        (62.34, 0.3844),
        (62.6, 0.5625),
        (62.7, 0.0676),
        (62.84, 0.0225),
        (65.9, 1.8225),
    ];

    /// tau 0.8399 is in the paper; Q, mean and standard error are the fixtures of statsmodels 0.15.0
    /// (results_meta.py, from metafor), the interval the same with t (2.306004 at 8 degrees).
    #[test]
    fn nine_laboratories() {
        let runs = runs(&KACKER);
        let agreement = Agreement::of("y", &runs, 1_000_000).expect("scatter");
        assert!((agreement.q.number() - 24.801_897_741_835).abs() < 1e-9);
        // Chi-square at 8 degrees: 0.00167935146; F with so many degrees below is close to it.
        assert!((agreement.p.number() - 0.001_679_35).abs() < 1e-6);
        let spread = Spread::of("y", &runs).expect("scatter");
        assert!((spread.squared.number().sqrt() - 0.8399).abs() < 5e-5);
        assert!((spread.squared.number() - 0.705_395_309_22).abs() < 1e-9);
        assert!((spread.means[0].number() - 62.407_619_911).abs() < 1e-8);
        assert!((spread.squared_errors[0].number().sqrt() - 0.338_030_602_7).abs() < 1e-9);
        let t = spread.t(Confidence::NINETY_FIVE).expect("degrees").number();
        let half = t * spread.squared_errors[0].number().sqrt();
        assert!((62.407_619_911 - half - 61.628_119_94).abs() < 1e-6);
    }

    /// Log odds ratios of six trials, DerSimonian and Kacker 2007, Contemporary Clinical Trials
    /// 28:105-114, Tables 3 and 4: tau 0.3681, mean -0.3811, standard error 0.2060.
    #[test]
    fn six_trials() {
        let runs = runs(&[
            (-1.297_629, 0.346_774),
            (-1.264_877, 0.265_676),
            (0.120_792, 0.198_390),
            (-0.329_377, 0.026_477),
            (-0.200_671, 0.223_297),
            (-0.128_534, 0.006_499),
        ]);
        let spread = Spread::of("y", &runs).expect("scatter");
        assert!((spread.squared.number().sqrt() - 0.3681).abs() < 5e-5);
        assert!((spread.means[0].number() + 0.3811).abs() < 5e-5);
        assert!((spread.squared_errors[0].number().sqrt() - 0.2060).abs() < 5e-5);
    }

    /// Two laboratories far apart, cran/metRology help page `mpaule`: means 201.533 and 216.55, SD
    /// 0.154 of 6 and 0.25 of 6. By hand: with equal-ish errors the root is where the two differ by
    /// sqrt(v1 + v2 + 2 spread²): spread² = (15.017² - v1 - v2) / 2 = 112.7375.
    #[test]
    fn two_far_apart() {
        let (v1, v2) = (0.154_f64.powi(2) / 6.0, 0.25_f64.powi(2) / 6.0);
        let spread = Spread::of("y", &runs(&[(201.533, v1), (216.55, v2)])).expect("scatter");
        let by_hand = (15.017_f64.powi(2) - v1 - v2) / 2.0;
        assert!((spread.squared.number() / by_hand - 1.0).abs() < 1e-12);
        assert_eq!(spread.degrees_of_freedom, 1);
    }

    /// Three of one scatter: F is that of one-way analysis, but for what the scatters of their own cost.
    /// Means 1, 2, 4 of 5 each with v = 1: Q = (4 / 3)² + (1 / 3)² + (5 / 3)² = 4.6667. A = 3 × (2 / 3)² /
    /// 4 = 1 / 3: F = 2.3333 / (1 + 2 / 24) = 2.1538 at 2 and 8 / (3 / 3) = 8 degrees, where the tail of
    /// F(2, n) is (1 + 2 F / n)^(-n / 2) = 1.53846^-4 = 0.17850.
    #[test]
    fn three_runs_with_scatters_of_their_own() {
        let all = runs(&[(1.0, 1.0), (2.0, 1.0), (4.0, 1.0)]);
        let agreement = Agreement::by_own_scatter("y", &all, &[4, 4, 4]).expect("scatter");
        assert!((agreement.q.number() - 14.0 / 3.0).abs() < 1e-12);
        assert!((agreement.p.number() - 0.178_506).abs() < 2e-6, "{}", agreement.p.number());
        assert!(Agreement::by_own_scatter("y", &all, &[4, 0, 4]).is_none());
    }

    /// Runs whose sides are far apart agree where each side does.
    #[test]
    fn sides_have_means_of_their_own() {
        let mut all = runs(&[(1.0, 0.5), (2.0, 0.5), (11.0, 0.5), (12.0, 0.5)]);
        for (place, run) in all.iter_mut().enumerate() {
            run.side = place / 2;
        }
        let agreement = Agreement::of("y", &all, 30).expect("scatter");
        // Each side: 1² / (0.5 + 0.5) = 1.
        assert!((agreement.q.number() - 2.0).abs() < 1e-12);
        assert_eq!(agreement.degrees_of_freedom, 2);
        let spread = Spread::of("y", &all).expect("scatter");
        assert_eq!(spread.squared.number(), 0.0);
        assert_eq!((spread.means[0].number(), spread.means[1].number()), (1.5, 11.5));
    }

    #[test]
    fn what_has_no_scatter_or_no_second_run_tells_nothing() {
        assert!(Agreement::of("y", &runs(&[(1.0, 0.5)]), 8).is_none());
        assert!(Spread::of("y", &runs(&[(1.0, 0.5), (2.0, 0.0)])).is_none());
        assert!(Spread::of("y", &[]).is_none());
    }
}
