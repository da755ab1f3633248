//! The share of a normal population that lies inside a limit, by readings of it.
//!
//! Symbols: readings with the mean m, counted from what is wanted, their standard deviation s at ν
//! degrees of freedom and the standard error e of m; the limit L, so that what lies from -L to L is
//! inside. Φ is the normal law. The share of the population is Φ((L - μ)/σ) - Φ((-L - μ)/σ), which
//! nobody knows, since the true μ and σ are not known.

use super::confidence::Confidence;
use super::integral::{HALVINGS, integral};
use super::student_t;
use crate::quantity::Unit;
use crate::working::Value;

/// The share Φ((L - μ)/σ) - Φ((-L - μ)/σ) of a normal population that lies from -L to L, where its
/// mean μ and standard deviation σ are known; without any scatter all of it is inside, or none.
///
/// Source: NIST/SEMATECH e-Handbook 1.3.6.6.1 (the normal law).
///
/// ```
/// use alleytrue::statistics::share_inside;
/// // An outside diameter of 39, SD 2.5, limits 36 and 45 (after Montgomery): 0.9918 - 0.1151. The
/// // middle of the limits is 40.5, from which the mean is 1.5 off, and half their width 4.5.
/// assert!((share_inside(-1.5, 2.5, 4.5) - 0.8767).abs() < 1e-4);
/// assert!((share_inside(0.0, 2.5, 4.5) - 0.9281).abs() < 1e-4);
/// assert_eq!([share_inside(1.0, 0.0, 1.0), share_inside(1.1, 0.0, 1.0)], [1.0, 0.0]);
/// ```
#[must_use]
pub fn share_inside(off: f64, sd: f64, limit: f64) -> f64 {
    if sd <= 0.0 {
        return f64::from(u8::from(crate::quantity::at_most(off.abs(), limit)));
    }
    let off = off.abs();
    let (near, far) = ((limit - off) / sd, (limit + off) / sd);
    // The larger of two numbers near one would hide the difference.
    if near < 0.0 { above(-near) - above(far) } else { 1.0 - above(near) - above(far) }
}

/// The z that the normal law has a chance below, within ± [`MOST_Z`].
fn as_z(chance: f64) -> f64 {
    let two_sided = (2.0 * chance - 1.0).abs();
    let none = if two_sided > 0.0 { MOST_Z } else { 0.0 };
    let z = student_t::normal(two_sided).map_or(none, |z| z.min(MOST_Z));
    if chance < 0.5 { -z } else { z }
}

/// P(Z ≤ z) of the normal law.
fn below_z(z: f64) -> f64 {
    if z < 0.0 { above(-z) } else { 1.0 - above(z) }
}

/// P(Z > z) of the normal law.
fn above(z: f64) -> f64 {
    0.5 * libm::erfc(z * std::f64::consts::FRAC_1_SQRT_2)
}

/// The density of the normal law, exp(-z²/2) / sqrt(2 pi).
fn density(z: f64) -> f64 {
    (-0.5 * z * z).exp() * 0.398_942_280_401_432_7
}

/// How far the next one lies off the mean of those that were read.
#[derive(Clone, Debug)]
pub struct NextOne {
    /// sqrt(s² + e²)
    sd: Value,
    /// s
    scatter: f64,
    /// e
    error: f64,
    /// ν
    degrees: u32,
}

impl NextOne {
    /// d = sqrt(s² + e²), which one more lies off m by: its own scatter s at ν degrees of freedom, and
    /// the standard error e of m; s sqrt(1 + 1/n) for the mean of n readings. `None` without scatter or
    /// degrees of freedom: then nothing is known of the next but what was counted, see
    /// [`Share`](super::Share).
    #[must_use]
    pub fn new(subject: &str, sd: &Value, standard_error: &Value, degrees: u32) -> Option<NextOne> {
        if sd.number() <= 0.0 || degrees == 0 {
            return None;
        }
        let next = (sd.to_the(2) + standard_error.to_the(2)).root();
        Some(NextOne {
            sd: next.named(["SD of the next ", subject].concat()),
            scatter: sd.number(),
            error: standard_error.number(),
            degrees,
        })
    }
}

/// What readings say of the share inside a limit.
#[derive(Clone, Debug)]
pub struct ShareInside {
    /// Of what.
    subject: String,
    /// The share to expect of the next ones, in per cent.
    pub share: Value,
    /// Both limits as t.
    of_limits: [Value; 2],
    law: Law,
}

/// What the interval rests on.
#[derive(Clone, Copy, Debug)]
struct Law {
    /// m / s, without its sign.
    off: f64,
    /// L / s.
    limit: f64,
    /// e / s.
    error: f64,
    /// ν.
    degrees: f64,
}

impl ShareInside {
    /// The share of the next ones to expect inside ± L:
    ///
    /// P(T ≤ (L - m) / d) - P(T ≤ (-L - m) / d)
    ///
    /// T is Student's t at ν degrees of freedom, d as [`NextOne::new`] has it. It is the chance of one
    /// more to be inside: the limits m ± t s sqrt(1 + 1/n) are the prediction interval of one more
    /// reading. m, d and L have one unit. `None` for a limit below zero.
    ///
    /// Source: Hahn and Meeker 1991, Statistical Intervals, 4.7 and 4.8 (from memory), of which the
    /// factors are printed for R's EnvStats.
    ///
    /// ```
    /// use alleytrue::statistics::{NextOne, ShareInside};
    /// use alleytrue::working::Value;
    /// // EnvStats, predIntNormK: of 20 readings, 2.144711 standard deviations each way are the
    /// // prediction interval of one more at 95 %.
    /// let [m, s, limit] = [0.0, 1.0, 2.144_711].map(Value::constant);
    /// let e = Value::constant(20.0_f64.sqrt().recip());
    /// let next = NextOne::new("plot", &s, &e, 19).ok_or("no scatter")?;
    /// let share = ShareInside::of("plot", &m, &next, &limit).ok_or("no limit")?;
    /// assert!((share.share.number() - 95.0).abs() < 1e-4);
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn of(subject: &str, off: &Value, next: &NextOne, limit: &Value) -> Option<ShareInside> {
        if limit.number() < 0.0 {
            return None;
        }
        let low = ((Value::constant(-1.0) * limit - off) / &next.sd)
            .named(["t of the lower limit, ", subject].concat());
        let high = ((limit - off) / &next.sd).named(["t of the upper limit, ", subject].concat());
        let inside = below(high.number(), next.degrees) - below(low.number(), next.degrees);
        let share = Value::found(
            format!("share to expect, {subject} (t at {} df)", next.degrees),
            100.0 * inside.max(0.0),
            Unit::PERCENT,
            "Student's t between the limits",
        );
        let law = Law {
            off: (off.number() / next.scatter).abs(),
            limit: limit.number() / next.scatter,
            error: next.error / next.scatter,
            degrees: f64::from(next.degrees),
        };
        Some(ShareInside { subject: subject.to_owned(), share, law, of_limits: [low, high] })
    }

    /// Both ends of the interval of the share of the population, in per cent.
    ///
    /// μ = m - Z σ e / s and σ = s sqrt(ν / W), Z by the normal law and W by chi-square at ν degrees
    /// of freedom, are as sure of the true mean and scatter as readings are; the ends are what
    /// the share of such populations is below and above as often as the confidence leaves at
    /// either end (a generalised confidence interval: Weerahandi 1993, J. Am. Stat. Assoc.
    /// 88:899-905; for a share inside limits Lee and Liao 2012, J. Quality Technology 44:63-79; from
    /// memory). With the mean in the middle of the limits the lower end is the share of which
    /// m ± L is the exact two-sided tolerance interval (ISO 16269-6, Annex F), and with one limit
    /// out of reach both are those by the non-central t; both are tested. For each σ the share falls
    /// as μ goes off, so that its chance is one of μ, and one integral over σ is left.
    #[must_use]
    pub fn interval(&self, confidence: Confidence) -> [Value; 2] {
        let beyond = (1.0 - confidence.fraction()) / 2.0;
        let ends = [("low", 1.0 - beyond), ("high", beyond)];
        ends.map(|(which, sure)| {
            let share = 100.0 * self.law.share_reached(sure);
            let name = format!("{which} share, {} ({confidence})", self.subject);
            Value::found(name, share, Unit::PERCENT, "normal law and chi-square, integrated")
        })
    }

    /// Whether the upper end of the interval of the share reaches `share`, from 0 to 1: one integral
    /// where the end itself takes a search.
    #[must_use]
    pub fn may_reach(&self, share: f64, confidence: Confidence) -> bool {
        let beyond = (1.0 - confidence.fraction()) / 2.0;
        if self.law.limit <= 0.0 || share <= 0.0 {
            return share <= 0.0;
        }
        self.law.chance_of(&Sought::share(share)) >= beyond
    }

    /// The share and both limits as t, for the working.
    #[must_use]
    pub fn values(&self) -> [Value; 3] {
        let [low, high] = self.of_limits.clone();
        [low, high, self.share.clone()]
    }

    /// The share of a normal population with the mean and the scatter found, from 0 to 1: the most
    /// likely one, which few readings don't make smaller.
    #[must_use]
    pub fn most_likely(&self) -> f64 {
        share_inside(self.law.off, 1.0, self.law.limit)
    }
}

/// P(T ≤ t) of Student's t.
fn below(t: f64, degrees: u32) -> f64 {
    let tail = student_t::two_sided_tail(t, degrees) / 2.0;
    if t < 0.0 { tail } else { 1.0 - tail }
}

/// Beyond this z, on one side of the normal law, is a thousand-millionth: a share is told from none and
/// from all up to there.
const MOST_Z: f64 = 6.0;
/// Where a step of z is less than this, the next one would be about as small as the product of this one and
/// the last: the search ends.
const ENOUGH: f64 = 1e-5;
/// Most steps of a search; about four are usual.
const MOST_STEPS: u32 = 100;
/// Standard deviations of the scatter's law, each way, beyond which it counts for nothing.
const REACH: f64 = 7.0;
/// Parts that the integral is cut into to begin with.
const PARTS: u32 = 2;
/// What counts for nothing in a chance: a search ends long before.
const NOTHING: f64 = 1e-13;

impl Law {
    /// The share that is reached or passed with the chance `sure`: its chance falls as the share grows.
    ///
    /// Share and chance are both taken as z of the normal law, where one is nearly a line in the other: of
    /// a mean m known to e and a scatter known to s / sqrt(2 ν), z of the share is known to
    /// sqrt(e² + z²/2ν). From there by the secant. What is less than a thousand-millionth is none, and
    /// what leaves less is all.
    fn share_reached(&self, sure: f64) -> f64 {
        if self.limit <= 0.0 {
            return 0.0;
        }
        let wanted = as_z(sure);
        let too_sure = |z: f64| as_z(self.chance_of(&Sought::share(below_z(z)))) - wanted;
        let likely = as_z(share_inside(self.off, 1.0, self.limit));
        let spread = (self.error.powi(2) + likely.powi(2) / (2.0 * self.degrees)).sqrt();
        // What is known to be too little, and too much.
        let (mut low, mut high) = (None, None);
        let mut z = (likely - wanted * spread).clamp(-MOST_Z, MOST_Z);
        let (mut at, mut slope) = (too_sure(z), -spread.recip());
        for _ in 0..MOST_STEPS {
            if at > 0.0 && z >= MOST_Z {
                return 1.0;
            }
            if at <= 0.0 && z <= -MOST_Z {
                return 0.0;
            }
            (low, high) = if at > 0.0 { (Some(z), high) } else { (low, Some(z)) };
            let next = between(z - at / slope, low, high);
            if (next - z).abs() < ENOUGH {
                return below_z(next);
            }
            let there = too_sure(next);
            slope = (there - at) / (next - z);
            (z, at) = (next, there);
        }
        below_z(z)
    }

    /// The chance that the share is at least that sought, the one within ± z of a normal law: the integral
    /// over r = s / σ, whose law is that of sqrt(W / ν). None is so large where σ is, below r = z s / L.
    fn chance_of(&self, sought: &Sought) -> f64 {
        let reach = REACH / (2.0 * self.degrees).sqrt();
        let from = if self.limit > 0.0 { sought.z / self.limit } else { f64::INFINITY };
        let (from, to) = (from.max(1.0 - reach), 1.0 + reach);
        if from >= to {
            return 0.0;
        }
        let from = from.max(0.0);
        // Where it starts, the chance rises as a root does; the square of another variable mends that.
        let part = (to - from).sqrt() / f64::from(PARTS);
        let density = self.density_of_ratio();
        let at = |root: f64| {
            let r = from + root * root;
            let here = 2.0 * root * density(r);
            // Most of the work is in the chance, and many places have none of the density.
            if here < NOTHING { 0.0 } else { here * self.chance_given(r, sought) }
        };
        let of_part = |index: u32| {
            let start = f64::from(index) * part;
            integral(&at, start, start + part, HALVINGS)
        };
        (0..PARTS).map(of_part).sum::<f64>().clamp(0.0, 1.0)
    }

    /// The density of r = sqrt(W / ν): 2 (ν/2)^(ν/2) / Γ(ν/2) r^(ν-1) exp(-ν r²/2).
    fn density_of_ratio(&self) -> impl Fn(f64) -> f64 {
        let (degrees, half) = (self.degrees, self.degrees / 2.0);
        let front = std::f64::consts::LN_2 + half * half.ln() - libm::lgamma(half);
        move |r| (front + (degrees - 1.0) * r.ln() - half * r * r).exp()
    }

    /// The chance for one σ = s / r: that |μ| is at most what leaves as large a share inside.
    fn chance_given(&self, r: f64, sought: &Sought) -> f64 {
        let most = most_off(self.limit * r, sought);
        let off = self.off * r;
        above((-most - off) / self.error) - above((most - off) / self.error)
    }
}

/// Where a search goes on: where the secant says, unless that leads out of what is known. Then to the end
/// that was not looked at, or halfway.
fn between(straight: f64, low: Option<f64>, high: Option<f64>) -> f64 {
    let (least, most) = (low.unwrap_or(-MOST_Z), high.unwrap_or(MOST_Z));
    match (low, high) {
        _ if least < straight && straight < most => straight,
        (None, _) if straight <= least => least,
        (_, None) if straight >= most => most,
        _ => f64::midpoint(least, most),
    }
}

/// The share that is sought.
struct Sought {
    /// The z within ± which a normal law has it.
    z: f64,
    /// The z below which, on one side, it has as much.
    one_sided: f64,
    /// What is beyond ± `z`.
    beyond: f64,
}

impl Sought {
    /// A share from 0 to 1.
    fn share(share: f64) -> Sought {
        let z = student_t::normal(share).unwrap_or(if share > 0.0 { MOST_Z } else { 0.0 });
        Sought { z, one_sided: as_z(share), beyond: 1.0 - share }
    }
}

/// How far off the middle, in σ, the mean may lie so that as much is inside ± `limit` as is inside ± z
/// of the middle: the root b of P(Z > limit - b) + P(Z > limit + b) = 2 P(Z > z), by Newton's steps
/// in b², in which the left side is nearly a line where b is small. It lies between limit - z and
/// limit less the one-sided z.
fn most_off(limit: f64, sought: &Sought) -> f64 {
    /// Twice the logarithm of a thousand million: beyond a z whose square is so much larger than another's
    /// there is less than a thousand-millionth of what is beyond that.
    const FAR: f64 = 41.5;
    let &Sought { z, one_sided, beyond: wanted } = sought;
    let (least, most) = ((limit - z).max(0.0), (limit - one_sided).max(0.0));
    // Nothing to speak of lies beyond the far limit: the near one alone decides.
    if most > 0.0 && (limit + most) * (limit + most) - z * z > FAR {
        return most;
    }
    let mut off = most;
    for _ in 0..MOST_STEPS {
        let outside = above(limit - off) + above(limit + off);
        let slope = (density(limit - off) - density(limit + off)) / (2.0 * off);
        if !(slope > 0.0 && off > 0.0) {
            return least;
        }
        let square = off * off - (outside - wanted) / slope;
        let next = square.max(least * least).sqrt().min(most);
        let moved = (next - off).abs();
        off = next;
        // Newton's next step is as the square of this one.
        if moved <= 1e-5 * (1.0 + off) {
            break;
        }
    }
    off
}

#[cfg(test)]
#[allow(clippy::expect_used)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The lower end at a one-sided confidence, of a mean `off` its limits' middle, all in SDs.
    fn low(count: u32, degrees: u32, off: f64, limit: f64, one_sided: f64) -> f64 {
        let error = f64::from(count).sqrt().recip();
        let [off, sd, error, limit] = [off, 1.0, error, limit].map(Value::constant);
        let next = NextOne::new("x", &sd, &error, degrees).expect("a scatter");
        let share = ShareInside::of("x", &off, &next, &limit).expect("a share");
        let confidence = Confidence::new(2.0 * one_sided - 1.0).expect("a confidence");
        share.interval(confidence)[0].number() / 100.0
    }

    /// ISO 16269-6:2014 Annex F, as transcribed in the tests of `tolerance_interval_py`: m samples of
    /// n each with one standard deviation; factors rounded up at the fourth decimal.
    #[test]
    fn with_the_mean_in_the_middle_it_turns_exact_two_sided_tolerance_factors_round() {
        let rows: [(f64, f64, u32, [f64; 5]); 8] = [
            (0.90, 0.90, 8, [2.7542, 2.3600, 2.2244, 2.1530, 2.1081]),
            (0.90, 0.90, 35, [1.9906, 1.8843, 1.8417, 1.8176, 1.8017]),
            (0.90, 0.95, 8, [3.1561, 2.5818, 2.3937, 2.2974, 2.2381]),
            (0.95, 0.95, 5, [5.0769, 3.6939, 3.2936, 3.0986, 2.9820]),
            (0.95, 0.95, 10, [3.3935, 2.8700, 2.6904, 2.5964, 2.5377]),
            (0.95, 0.95, 26, [2.6188, 2.4051, 2.3227, 2.2771, 2.2476]),
            (0.99, 0.95, 9, [4.6329, 3.8544, 3.5909, 3.4534, 3.3677]),
            (0.95, 0.90, 3, [6.8233, 4.3320, 3.7087, 3.4207, 3.2528]),
        ];
        for (share, sure, n, factors) in rows {
            for (m, factor) in (1..).zip(factors) {
                // Rounded up, so the share it has for sure is a hair more, and less a step lower.
                let at = |factor| low(n, m * (n - 1), 0.0, factor, sure);
                let (there, before) = (at(factor), at(factor - 1e-4));
                assert!(there >= share - 1e-7, "{share} {sure} {n} x {m}: {there}");
                assert!(before < share + 1e-7, "{share} {sure} {n} x {m}: {before}");
            }
        }
    }

    /// NIST/SEMATECH e-Handbook 7.2.6.3 (one-sided, by the non-central t: 1.8740 for 43 readings, 90 %
    /// at 99 %; 4.4111 for 6); Montgomery and Runger, Applied Statistics and Probability for
    /// Engineers, Table XII, three decimals; EnvStats 3.1.0 tolIntNormK, six.
    #[test]
    fn with_one_limit_out_of_reach_it_turns_one_sided_factors_round() {
        for (n, share, sure, factor, to) in [
            (43, 0.90, 0.99, 1.8740, 5e-5),
            (6, 0.90, 0.99, 4.4111, 5e-5),
            (5, 0.90, 0.90, 2.742, 5e-4),
            (5, 0.99, 0.99, 8.939, 5e-4),
            (10, 0.95, 0.95, 2.911, 5e-4),
            (10, 0.99, 0.90, 3.532, 5e-4),
            (20, 0.90, 0.95, 1.926, 5e-4),
            (20, 0.95, 0.99, 2.808, 5e-4),
            (20, 0.99, 0.90, 3.051_543, 5e-7),
            (8, 0.95, 0.95, 3.187_294, 5e-7),
        ] {
            let far = 40.0;
            let at = |factor| low(n, n - 1, far - factor, far, sure);
            assert!(at(factor + 2.0 * to) > share, "{n} {share} {sure}");
            assert!(at(factor - 2.0 * to) < share, "{n} {share} {sure}");
        }
    }

    /// Where the mean is as good as known, only the scatter is open: W / ν is at its quantile, and σ is
    /// s sqrt(ν / W). The chance steps up at one place then. Quantiles of chi-square by statrs.
    #[test]
    fn with_a_sure_mean_the_interval_is_that_of_the_scatter() {
        use statrs::distribution::{ChiSquared, ContinuousCDF};
        for (degrees, off, limit) in [(4, 0.3, 2.0), (9, 1.0, 2.5), (30, 0.0, 1.2), (59, 2.0, 3.5)]
        {
            let [m, sd, error, most] = [off, 1.0, 1e-5, limit].map(Value::constant);
            let next = NextOne::new("x", &sd, &error, degrees).expect("a scatter");
            let share = ShareInside::of("x", &m, &next, &most).expect("a share");
            let law = ChiSquared::new(f64::from(degrees)).expect("a law");
            let ends = share.interval(Confidence::NINETY_FIVE).map(|end| end.number() / 100.0);
            for (end, quantile) in ends.into_iter().zip([0.025, 0.975]) {
                let sigma = (f64::from(degrees) / law.inverse_cdf(quantile)).sqrt();
                approx::assert_abs_diff_eq!(end, share_inside(off, sigma, limit), epsilon = 1e-5);
            }
        }
    }

    /// NIST/SEMATECH e-Handbook 1.3.6.7.1: 0.97725 below 2, 0.99865 below 3.
    #[test]
    fn of_very_many_readings_the_interval_is_the_share_itself() {
        let [off, sd, error, limit] = [0.5, 1.0, 1e-4, 2.5].map(Value::constant);
        let next = NextOne::new("x", &sd, &error, 100_000_000).expect("a scatter");
        let share = ShareInside::of("x", &off, &next, &limit).expect("a share");
        let ends = share.interval(Confidence::NINETY_FIVE).map(|end| end.number());
        for found in [ends[0], share.share.number(), ends[1], 100.0 * share.most_likely()] {
            approx::assert_abs_diff_eq!(found, 97.725 - 0.135, epsilon = 0.005);
        }
    }

    #[test]
    fn nothing_is_said_without_scatter_or_degrees_of_freedom() {
        let of = |sd: f64, degrees, limit: f64| {
            let [off, sd, error, limit] = [0.0, sd, 0.1, limit].map(Value::constant);
            ShareInside::of("x", &off, &NextOne::new("x", &sd, &error, degrees)?, &limit)
        };
        assert!(of(0.0, 5, 1.0).is_none() && of(1.0, 0, 1.0).is_none());
        assert!(of(1.0, 5, -1.0).is_none());
        // Nothing lies inside nothing.
        let none = of(1.0, 5, 0.0).expect("a share");
        assert_eq!(none.share.number(), 0.0);
        assert_eq!(none.interval(Confidence::NINETY_FIVE).map(|end| end.number()), [0.0; 2]);
    }

    /// 24 readings 2 in off with SD 0.13 and a limit of 1 in, and one off by two standard deviations.
    #[test]
    fn at_the_edges_it_keeps_between_none_and_all() {
        for (off, limit, degrees) in [
            (2.0 / 0.13, 1.0 / 0.13, 23),
            (0.0, 60.0, 1),
            (0.0, 60.0, 23),
            (9.0, 1.0, 2),
            (0.0, 1e-6, 9),
        ] {
            let [off, sd, error, limit] = [off, 1.0, 0.2, limit].map(Value::constant);
            let next = NextOne::new("x", &sd, &error, degrees).expect("a scatter");
            let share = ShareInside::of("x", &off, &next, &limit).expect("a share");
            let [low, high] = share.interval(Confidence::NINETY_FIVE).map(|end| end.number());
            assert!(0.0 <= low && low <= high && high <= 100.0, "{low} {high}");
            assert!((0.0..=100.0).contains(&share.share.number()));
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        /// The share found is reached with the chance asked for: one that is a hair smaller, in z of the
        /// normal law, more often, and one a hair larger less.
        #[test]
        fn the_search_ends_at_the_share_with_that_chance(
            off in 0.0..8.0_f64, limit in 0.01..6.0_f64, error in 1e-3..1.5_f64,
            degrees in 1_u32..200, sure in 0.001..0.999_f64,
        ) {
            const HAIR: f64 = 1e-6;
            let law = Law { off, limit, error, degrees: f64::from(degrees) };
            let share = law.share_reached(sure);
            let z = match share {
                0.0 => -MOST_Z,
                1.0 => MOST_Z,
                share => as_z(share),
            };
            let chance = |z: f64| law.chance_of(&Sought::share(below_z(z)));
            if share > 0.0 {
                let smaller = chance(z - HAIR);
                prop_assert!(smaller >= sure - 1e-9, "{share} is too large: {smaller}");
            }
            if share < 1.0 {
                let larger = chance(z + HAIR);
                prop_assert!(larger <= sure + 1e-9, "{share} is too small: {larger}");
            }
        }

        /// A wider limit has more inside, a mean turned round as much, another unit the same; the
        /// share to expect and the likely one lie in the interval.
        #[test]
        fn laws(
            n in 3_u32..60, off in 0.0..4.0_f64, limit in 0.01..6.0_f64, wider in 1.0..2.0_f64,
            unit in 0.01..100.0_f64,
        ) {
            let of = |off: f64, limit: f64, unit: f64| {
                let error = unit / f64::from(n).sqrt();
                let [off, sd, error, limit] =
                    [off * unit, unit, error, limit * unit].map(Value::constant);
                let next = NextOne::new("x", &sd, &error, n - 1).expect("a scatter");
                let share = ShareInside::of("x", &off, &next, &limit).expect("a share");
                let [low, high] = share.interval(Confidence::NINETY_FIVE);
                [low.number(), share.share.number(), high.number(), 100.0 * share.most_likely()]
            };
            let [low, share, high, likely] = of(off, limit, 1.0);
            prop_assert!(low <= share + 1e-3 && share <= high + 1e-3, "{low} {share} {high}");
            prop_assert!(low <= likely + 1e-3 && likely <= high + 1e-3, "{low} {likely} {high}");
            let more = of(off, limit * wider, 1.0);
            for (one, other) in of(off, limit, 1.0).into_iter().zip(more) {
                prop_assert!(one <= other + 1e-4, "{one} {other}");
            }
            for (one, other) in of(off, limit, 1.0).into_iter().zip(of(-off, limit, unit)) {
                prop_assert!((one - other).abs() < 1e-4, "{one} {other}");
            }
        }
    }
}
