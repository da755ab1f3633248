//! Student's *t*: two-sided probabilities and critical values for whole
//! degrees of freedom.
//!
//! Symbols, after Abramowitz and Stegun, *Handbook of Mathematical Functions*
//! (NBS AMS 55, 1964), section 26.7:
//!
//! | symbol     | meaning                                                       |
//! |------------|---------------------------------------------------------------|
//! | ν (`df`)   | degrees of freedom, a whole number, at least 1                |
//! | *t*        | a value of Student's statistic                                |
//! | A(t\|ν)    | P(\|T\| ≤ t), the two-sided probability                       |
//! | 1 − A(t\|ν)| P(\|T\| > t), the two-sided tail, the usual "p value"         |
//! | θ          | arctan(t/√ν), so that cos²θ = ν/(ν + t²)                      |
//! | Iₓ(a, b)   | incomplete beta ratio; 1 − A(t\|ν) = Iₓ(ν/2, ½) at x = cos²θ (26.7.1) |
//!
//! # How each region is computed
//!
//! | quantity   | region            | formula                                        |
//! |------------|-------------------|------------------------------------------------|
//! | A          | ν ≤ 200           | finite sums 26.7.3 (odd ν), 26.7.4 (even ν)    |
//! | A          | ν > 200, t² < 3   | series 26.5.4, every term positive             |
//! | A          | ν > 200, t² ≥ 3   | 1 − tail                                       |
//! | tail       | t² ≥ 3            | even part of the continued fraction 26.5.8     |
//! | tail       | t² < 3            | 1 − A (the tail is above 0.08 here)            |
//!
//! The finite sums have about ν/2 terms, and their terms fall only as
//! exp(−k t²/ν), so for large ν they can not be cut short: at the largest
//! `u32` that is two thousand million terms. Above ν = 200 the incomplete beta
//! forms take over. They are exact forms too, not a normal approximation, and
//! need a few dozen terms whatever ν is.

use std::cell::RefCell;
use std::f64::consts::{FRAC_2_PI, FRAC_PI_2, PI};

/// Largest ν for which A(t|ν) is taken from the finite sums (at most 100 terms).
const FINITE_SUM_MAX_DF: u32 = 200;

/// Value of t² from which the tail is taken from the continued fraction.
///
/// The fraction converges fast for x < (a + 1)/(a + b + 2) (NIST DLMF 8.17(v)),
/// which for a = ν/2, b = ½ is t² > 3ν/(ν + 2): true of t² ≥ 3 for every ν.
const TAIL_FROM_T_SQUARED: f64 = 3.0;

/// Upper limit on the terms of the series and of the continued fraction.
///
/// The most seen are 21 and 70; the limit makes the end of each loop plain.
const MAX_TERMS: u32 = 500;

/// Upper limit on the steps of the root finder.
///
/// Every three steps at least halve the bracket, which is at most 37 wide in
/// ln t and counts as closed at 2e-16: 58 halvings, so 180 steps always do.
/// About 16 is usual.
const MAX_STEPS: u32 = 180;

/// A(t|ν) = P(|T| ≤ |t|), the probability that Student's T with ν = `df`
/// degrees of freedom lies within ±t.
///
/// Abramowitz and Stegun 26.7.3 (odd ν) and 26.7.4 (even ν), with
/// θ = arctan(t/√ν):
///
/// - ν = 1: A = 2θ/π
/// - ν odd: A = (2/π) {θ + sin θ [cos θ + (2/3) cos³θ + … +
///   (2·4⋯(ν−3))/(3·5⋯(ν−2)) cos^(ν−2) θ]}
/// - ν even: A = sin θ {1 + (1/2) cos²θ + (1·3)/(2·4) cos⁴θ + … +
///   (1·3⋯(ν−3))/(2·4⋯(ν−2)) cos^(ν−2) θ}
///
/// Above ν = 200 the equal incomplete beta forms are used; see the module
/// documentation. Error: below 2e-14, absolute, for every ν.
///
/// The sign of `t` is dropped. The result is NaN if `t` is NaN or `df` is 0,
/// for which there is no distribution.
///
/// # Example
///
/// With 2 degrees of freedom A(t|2) = t/√(2 + t²):
///
/// ```
/// use alleytrue::statistics::student_t::two_sided;
///
/// let within = two_sided(3.0, 2);
/// assert!((within - 3.0 / 11.0_f64.sqrt()).abs() < 1e-15);
///
/// // NIST/SEMATECH e-Handbook 1.3.6.7.2: t = 2.262 holds 95 % at 9 df.
/// assert!((two_sided(2.262, 9) - 0.95).abs() < 1e-4);
/// ```
#[must_use]
pub fn two_sided(t: f64, df: u32) -> f64 {
    if df == 0 || t.is_nan() {
        return f64::NAN;
    }
    let t = t.abs();
    if df <= FINITE_SUM_MAX_DF {
        finite_sum(t, df)
    } else if t * t < TAIL_FROM_T_SQUARED {
        central_series(t, df)
    } else {
        1.0 - tail_fraction(t, df)
    }
}

/// 1 − A(t|ν) = P(|T| > |t|), the two-sided tail: the p value of a two-sided
/// *t* test with ν = `df` degrees of freedom.
///
/// Found as Iₓ(ν/2, ½), x = ν/(ν + t²) (Abramowitz and Stegun 26.7.1), not by
/// subtraction from 1, when t² ≥ 3, so small tails keep their figures.
/// Relative error: below 1e-13 down to about 1e-20, and below 1e-12 to the
/// smallest normal number (the loss is that of exp at a large argument).
///
/// The sign of `t` is dropped. The result is NaN if `t` is NaN or `df` is 0.
///
/// # Example
///
/// The ten paired differences in hours of sleep in "Student" (1908),
/// *Biometrika* 6, 1: their mean is 1.58 and *t* = 4.0621 with 9 degrees of
/// freedom.
///
/// ```
/// use alleytrue::statistics::student_t::two_sided_tail;
///
/// let p = two_sided_tail(4.0621, 9);
/// assert!((p - 0.002833).abs() < 5e-7);
/// ```
#[must_use]
pub fn two_sided_tail(t: f64, df: u32) -> f64 {
    if df == 0 || t.is_nan() {
        return f64::NAN;
    }
    let t = t.abs();
    if t * t < TAIL_FROM_T_SQUARED { 1.0 - two_sided(t, df) } else { tail_fraction(t, df) }
}

/// The two-sided critical value: the t for which P(|T| ≤ t) = `confidence`,
/// for ν = `df` degrees of freedom.
///
/// A table of one-sided cumulative probabilities lists the same value under
/// (1 + `confidence`)/2, so 0.95 here is the 0.975 column there.
///
/// The root of A(t|ν) = c (or of 1 − A = 1 − c when c ≥ ½) is held between two
/// values and the gap closed by secant and bisection steps, so the search always
/// ends. The first gap is c ≤ t ≤ tan(πc/2): the density of |T|
/// is nowhere above 1, so A(t|ν) < t, and the quantile falls as ν rises, so
/// ν = 1, where it is tan(πc/2), is the largest. Relative error: about 1e-14
/// for `confidence` as the floating-point number it is (when it is near 1, its
/// own last figure matters more). Below about 1e-300 some figures are lost.
///
/// Returns `None` if `df` is 0 or `confidence` is not strictly between 0 and 1.
///
/// # Example
///
/// NIST/SEMATECH e-Handbook of Statistical Methods, table 1.3.6.7.2, column
/// 0.975, 9 degrees of freedom:
///
/// ```
/// use alleytrue::statistics::student_t::critical;
///
/// let t = critical(0.95, 9).ok_or("no such critical value")?;
/// assert!((t - 2.262).abs() < 5e-4);
///
/// assert_eq!(critical(0.95, 0), None);
/// assert_eq!(critical(1.0, 9), None);
/// # Ok::<(), &'static str>(())
/// ```
#[must_use]
pub fn critical(confidence: f64, df: u32) -> Option<f64> {
    if df == 0 || !(confidence > 0.0 && confidence < 1.0) {
        return None;
    }
    Some(remembered(confidence, df, || searched(confidence, df)))
}

/// What was last worked out for some degrees of freedom, since the readings of a season are
/// asked about in much the same numbers over and over.
fn remembered(confidence: f64, df: u32, search: impl FnOnce() -> f64) -> f64 {
    type Known = [(f64, u32, f64); 64];
    thread_local! {
        static KNOWN: RefCell<Known> = const { RefCell::new([(0.0, 0, 0.0); 64]) };
    }
    let place = df as usize % 64;
    let known = KNOWN.with_borrow(|known| known[place]);
    if known.0.to_bits() == confidence.to_bits() && known.1 == df {
        return known.2;
    }
    let found = search();
    KNOWN.with_borrow_mut(|known| known[place] = (confidence, df, found));
    found
}

fn searched(confidence: f64, df: u32) -> f64 {
    // In u = ln(t/c) both ends of the distribution are nearly straight lines.
    let widest = cauchy_critical(confidence) / confidence;
    let excess = |u: f64| log_excess(confidence * u.exp(), confidence, df);
    let u = bracketed_root(excess, 0.0, widest.ln() + 1e-9);
    confidence * u.exp()
}

/// Critical value for ν = 1: tan(πc/2), written with the cotangent near c = 1.
fn cauchy_critical(confidence: f64) -> f64 {
    if confidence < 0.5 {
        (FRAC_PI_2 * confidence).tan()
    } else {
        1.0 / (FRAC_PI_2 * (1.0 - confidence)).tan()
    }
}

/// How far t lies above the critical value, on a log scale of probability:
/// ln(A/c) for c < ½, else ln((1 − c)/(1 − A)). Rises with t, zero at the root.
fn log_excess(t: f64, confidence: f64, df: u32) -> f64 {
    if confidence < 0.5 {
        (two_sided(t, df) / confidence).ln()
    } else {
        ((1.0 - confidence) / two_sided_tail(t, df)).ln()
    }
}

/// Root of the rising function `f` between `low` and `high`, by secant steps
/// (false position, with the Illinois halving of f at an end that stays twice)
/// and, whenever three steps together have not halved the bracket, a bisection.
///
/// The midpoint is taken also when the secant does not fall strictly inside, so
/// an infinite value of `f` at an end does no harm. If `f` is negative
/// throughout the result is `high`; if positive throughout, `low`.
fn bracketed_root(f: impl Fn(f64) -> f64, low: f64, high: f64) -> f64 {
    let (mut low, mut high) = (low, high);
    let (mut f_low, mut f_high) = (f(low), f(high));
    let mut low_moved_last = None;
    let mut earlier_width = high - low;
    for step in 1..=MAX_STEPS {
        let middle = f64::midpoint(low, high);
        if high - low <= f64::EPSILON * high.max(1.0) {
            return middle;
        }
        let mut next = low - f_low * ((high - low) / (f_high - f_low));
        let inside = next > low && next < high;
        let mut slow = false;
        if step % 3 == 0 {
            slow = high - low > 0.5 * earlier_width;
            earlier_width = high - low;
        }
        if slow || !inside {
            next = middle;
        }
        let f_next = f(next);
        if f_next == 0.0 {
            return next;
        }
        let low_moves = f_next < 0.0;
        let same_end_stays = low_moved_last == Some(low_moves);
        if low_moves {
            (low, f_low) = (next, f_next);
            f_high *= if same_end_stays { 0.5 } else { 1.0 };
        } else {
            (high, f_high) = (next, f_next);
            f_low *= if same_end_stays { 0.5 } else { 1.0 };
        }
        low_moved_last = Some(low_moves);
    }
    f64::midpoint(low, high)
}

/// A(t|ν) by the finite sums, Abramowitz and Stegun 26.7.3 and 26.7.4; t ≥ 0.
fn finite_sum(t: f64, df: u32) -> f64 {
    let q = t / f64::from(df).sqrt();
    let theta = q.atan();
    let sum = nested_sum(df, 1.0 / (1.0 + q * q));
    let within = match df {
        1 => FRAC_2_PI * theta,
        _ if df % 2 == 1 => FRAC_2_PI * (theta + theta.sin() * theta.cos() * sum),
        _ => theta.sin() * sum,
    };
    within.min(1.0)
}

/// The bracketed sum of 26.7.3 (less one factor cos θ) or 26.7.4, from the
/// innermost term outwards.
///
/// Both are 1 + r(k₀)(1 + r(k₀ + 2)(1 + … r(ν − 2))) with
/// r(k) = cos²θ (k − 1)/k, where k₀ is 3 for odd ν and 2 for even ν. Every
/// term is positive, so nothing cancels.
fn nested_sum(df: u32, cos_squared: f64) -> f64 {
    let mut sum = 1.0;
    // Down from ν - 2 by twos, so that it ends at k₀.
    for k in (2..=df.saturating_sub(2)).rev().step_by(2) {
        sum = 1.0 + sum * cos_squared * f64::from(k - 1) / f64::from(k);
    }
    sum
}

/// A(t|ν) by the series Abramowitz and Stegun 26.5.4 (DLMF 8.17.8) for
/// `I_y(½, ν/2)`, y = sin²θ = t²/(ν + t²); meant for 0 ≤ t² < 3 and large ν.
///
/// A = 2 F {1 + Σ_{k≥1} Π_{j=1}^{k} y (ν/2 + j − ½)/(j + ½)}, with F from
/// [`beta_factor`]. Every term is positive; about 25 are needed.
fn central_series(t: f64, df: u32) -> f64 {
    let nu = f64::from(df);
    let y = t * t / (nu + t * t);
    let mut term = 1.0;
    let mut sum = 1.0;
    for j in 1..=MAX_TERMS {
        let j = f64::from(j);
        term *= y * (0.5 * nu + j - 0.5) / (j + 0.5);
        sum += term;
        if term <= 0.1 * f64::EPSILON * sum {
            break;
        }
    }
    2.0 * beta_factor(t, df) * sum
}

/// 1 − A(t|ν) = Iₓ(a, ½), a = ν/2, x = cos²θ, by continued fraction; t² ≥ 3.
///
/// The even part of Abramowitz and Stegun 26.5.8 with b = ½ and
/// λ = a(1 − x) − bx, in the arrangement of Algorithm 708 (1992),
/// *ACM Transactions on Mathematical Software* 18, 360, in which no difference
/// of nearly equal numbers appears when a is large:
///
/// Iₓ = F / (β₀ + α₁/(β₁ + α₂/(β₂ + …))), with F from [`beta_factor`],
///
/// - αₙ = (a + n − 1)(a + b + n − 1) n (b − n) x² / (a + 2n − 1)²
/// - βₙ = n + n(b − n)x/(a + 2n − 1) + (a + n)(λ + 1 + n(2 − x))/(a + 2n + 1)
///
/// Summed by the modified Lentz method.
fn tail_fraction(t: f64, df: u32) -> f64 {
    let a = 0.5 * f64::from(df);
    let b = 0.5;
    let tangent = t / f64::from(df).sqrt();
    let cos_squared = 1.0 / (1.0 + tangent * tangent);
    let sin_squared = 1.0 / (1.0 + 1.0 / (tangent * tangent));
    let lambda = a * sin_squared - b * cos_squared;

    let mut value = a * (lambda + 1.0) / (a + 1.0);
    let mut above = value;
    let mut below = 0.0;
    for n in 1..=MAX_TERMS {
        let n = f64::from(n);
        let width = a + 2.0 * n;
        let alpha = ((a + n - 1.0) / (width - 1.0))
            * ((a + b + n - 1.0) / (width - 1.0))
            * n
            * (b - n)
            * (cos_squared * cos_squared);
        let beta = n
            + n * (b - n) * cos_squared / (width - 1.0)
            + (a + n) * (lambda + 1.0 + n * (2.0 - cos_squared)) / (width + 1.0);
        below = 1.0 / (beta + alpha * below);
        above = beta + alpha / above;
        let change = above * below;
        value *= change;
        if (change - 1.0).abs() <= f64::EPSILON {
            break;
        }
    }
    beta_factor(t, df) / value
}

/// F = xᵃ yᵇ / B(a, b) at a = ν/2, b = ½, x = cos²θ, y = sin²θ:
/// cos^ν θ · sin θ · Γ((ν + 1)/2) / (√π Γ(ν/2)).
fn beta_factor(t: f64, df: u32) -> f64 {
    let nu = f64::from(df);
    let q = t / nu.sqrt();
    let cos_power = (-nu * ln_secant(q)).exp();
    cos_power * q.atan().sin() * (gamma_ratio(df) / PI.sqrt())
}

/// ln sec θ = ½ ln(1 + q²) for q = tan θ ≥ 0, whatever the size of q.
fn ln_secant(q: f64) -> f64 {
    // From 1e8 on, q² + 1 is q² to the last figure.
    if q < 1e8 { 0.5 * (q * q).ln_1p() } else { q.ln() }
}

/// Γ((ν + 1)/2) / Γ(ν/2), to about 1e-14.
///
/// Up to ν = 200 from Γ(1)/Γ(½) = 1/√π and Γ(3/2)/Γ(1) = √π/2 by the
/// recurrence g(ν + 2) = g(ν)(ν + 1)/ν (from Γ(z + 1) = zΓ(z), 6.1.15); above
/// it from the asymptotic expansion 6.1.47 with n = ν/2:
/// √n (1 − 1/(8n) + 1/(128n²) + 5/(1024n³) − 21/(32768n⁴) − 399/(262144n⁵)),
/// whose next term, (869/4194304)/n⁶, is below 3e-16 there.
fn gamma_ratio(df: u32) -> f64 {
    if df > FINITE_SUM_MAX_DF {
        let n = 0.5 * f64::from(df);
        let r = 1.0 / n;
        let tail = 5.0 / 1024.0 - r * (21.0 / 32768.0 + r * (399.0 / 262_144.0));
        return n.sqrt() * (1.0 - r * (1.0 / 8.0 - r * (1.0 / 128.0 + r * tail)));
    }
    let (first, mut ratio) = if df % 2 == 1 { (1, 1.0 / PI.sqrt()) } else { (2, 0.5 * PI.sqrt()) };
    for nu in (first..df).step_by(2) {
        ratio *= f64::from(nu + 1) / f64::from(nu);
    }
    ratio
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `critical` where a value must exist; NaN, which fails every test, if not.
    fn critical_or_nan(confidence: f64, df: u32) -> f64 {
        critical(confidence, df).unwrap_or(f64::NAN)
    }

    fn assert_relative(found: f64, wanted: f64, tolerance: f64, what: &str) {
        let error = (found / wanted - 1.0).abs();
        assert!(
            error <= tolerance,
            "{what}: found {found:e}, wanted {wanted:e}, relative error {error:e}"
        );
    }

    #[test]
    fn nist_table_of_critical_values() {
        // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2.
        let two_sided_95 = [
            (1, 12.706),
            (2, 4.303),
            (3, 3.182),
            (4, 2.776),
            (5, 2.571),
            (6, 2.447),
            (7, 2.365),
            (8, 2.306),
            (9, 2.262),
            (10, 2.228),
            (15, 2.131),
            (20, 2.086),
            (30, 2.042),
            (60, 2.000),
            (100, 1.984),
        ];
        let two_sided_99 = [(5, 4.032), (9, 3.250), (30, 2.750)];
        let two_sided_90 = [(5, 2.015), (9, 1.833), (30, 1.697)];
        for (confidence, column) in
            [(0.95, &two_sided_95[..]), (0.99, &two_sided_99[..]), (0.90, &two_sided_90[..])]
        {
            for &(df, printed) in column {
                let found = critical_or_nan(confidence, df);
                assert!(
                    (found - printed).abs() <= 0.0005,
                    "{confidence} {df}: {found} for {printed}"
                );
            }
        }
    }

    #[test]
    fn student_1908_sleep_data() {
        let p = two_sided_tail(4.0621, 9);
        assert!((p - 0.002_833).abs() < 5e-7, "{p}");
    }

    #[test]
    fn closed_forms_for_one_and_two_degrees_of_freedom() {
        for c in [1e-200, 1e-6, 0.1, 0.3, 0.499, 0.5, 0.501, 0.8, 0.9, 0.95, 0.99, 0.999, 0.999_999]
        {
            let upper = 1.0 - c;
            let one = if c < 0.5 { (FRAC_PI_2 * c).tan() } else { 1.0 / (FRAC_PI_2 * upper).tan() };
            assert_relative(critical_or_nan(c, 1), one, 1e-13, "one");
            let two = c * (2.0 / (upper * (1.0 + c))).sqrt();
            assert_relative(critical_or_nan(c, 2), two, 1e-13, "two");
        }
    }

    #[test]
    fn probabilities_to_fifteen_figures() {
        // (t, df, A, 1 - A), computed to 50 figures from the incomplete beta
        // ratio with mpmath 1.3.0.
        let references = [
            (1e-3, 1, 0.000_636_619_560_161_117_8, 0.999_363_380_439_838_9),
            (0.5, 9, 0.370_928_700_173_973_5, 0.629_071_299_826_026_5),
            (1.0, 2, 0.577_350_269_189_625_7, 0.422_649_730_810_374_2),
            (2.5, 29, 0.981_674_655_661_574, 0.018_325_344_338_426_076),
            (1.73, 200, 0.914_827_056_589_038_3, 0.085_172_943_410_961_75),
            (1.74, 201, 0.916_610_391_506_106_2, 0.083_389_608_493_893_75),
            (1.0, 500, 0.682_205_792_739_401_6, 0.317_794_207_260_598_4),
            (1.96, 1_000_000, 0.950_003_932_414_730_2, 0.049_996_067_585_269_79),
            (1.5, u32::MAX, 0.866_385_597_388_779_4, 0.133_614_402_611_220_57),
            (4.0621, 9, 0.997_166_992_159_609_8, 0.002_833_007_840_390_158_3),
            (6.0, 200, 0.999_999_990_884_879_7, 9.115_120_348_810_386e-9),
            (6.0, 201, 0.999_999_990_946_938_1, 9.053_061_878_620_13e-9),
            (6.5, u32::MAX, 0.999_999_999_919_68, 8.032_002_041_390_942e-11),
            (30.0, 9, 0.999_999_999_751_629_6, 2.483_704_704_158_262_4e-10),
            (12.0, 60, 1.0, 1.378_632_264_181_773_8e-17),
            (1e6, 3, 1.0, 2.205_315_581_679_229_2e-18),
            (30.0, 9999, 1.0, 2.048_028_052_186_590_5e-189),
        ];
        for (t, df, within, beyond) in references {
            let what = format!("t {t} df {df}");
            assert!((two_sided(t, df) - within).abs() < 2e-14, "{what}");
            assert_relative(two_sided(t, df), within, 2e-14, &what);
            assert_relative(two_sided_tail(t, df), beyond, 1e-13, &what);
        }
    }

    #[test]
    fn critical_values_to_thirteen_figures() {
        // (confidence, df, t), by bisection at 50 figures with mpmath 1.3.0.
        let references = [
            (0.5, 7, 0.711_141_778_081_786_4),
            (0.95, 9, 2.262_157_162_798_205),
            (0.99, 30, 2.749_995_653_567_225),
            (0.999, 3, 12.923_978_636_687_48),
            (0.95, 199, 1.971_956_544_251_753_5),
            (0.95, 200, 1.971_896_223_633_909),
            (0.95, 201, 1.971_836_506_779_858_9),
            (0.9, 1000, 1.646_378_817_285_464_8),
            (0.95, 1_000_000, 1.959_966_356_814_106_6),
            (0.99, u32::MAX, 2.575_829_304_693_623_4),
            (0.001, 12, 0.001_279_668_507_471_152_6),
            (0.999_999, 25, 6.424_147_794_714_718_5),
            (1e-8, 300, 1.254_358_999_126_977_8e-8),
        ];
        for (confidence, df, wanted) in references {
            let found = critical_or_nan(confidence, df);
            assert_relative(found, wanted, 1e-13, &format!("{confidence} {df}"));
        }
    }

    #[test]
    fn the_ways_of_computing_agree_where_they_meet() {
        // Finite sums against the beta forms, on the ν where both are quick.
        for df in 1..=FINITE_SUM_MAX_DF {
            for t in [1e-9, 0.01, 0.4, 1.0, 1.7] {
                let (sum, series) = (finite_sum(t, df), central_series(t, df));
                assert_relative(series, sum, 3e-14, &format!("series {t} {df}"));
            }
            for t in [1.8, 2.5, 4.0, 9.0] {
                let difference = (1.0 - finite_sum(t, df) - tail_fraction(t, df)).abs();
                assert!(difference < 1e-14, "fraction {t} {df}: {difference:e}");
            }
        }
        for df in [201, 202, 1999, 2000] {
            for t in [0.01, 1.0, 1.7, 2.0, 5.0] {
                let difference = (finite_sum(t, df) - two_sided(t, df)).abs();
                assert!(difference < 5e-14, "{t} {df}: {difference:e}");
            }
        }
    }

    #[test]
    fn gamma_ratio_recurrence_and_expansion_agree() {
        // g(ν) g(ν + 1) = Γ(ν/2 + 1)/Γ(ν/2) = ν/2, on both sides and across.
        for df in [1, 2, 7, 50, 199, 200, 201, 202, 5000, 1_000_000, u32::MAX - 1] {
            let product = gamma_ratio(df) * gamma_ratio(df + 1);
            assert_relative(product, 0.5 * f64::from(df), 3e-14, &format!("{df}"));
        }
    }

    #[test]
    fn ends_of_the_range() {
        for df in [1, 2, 3, 200, 201, 1_000_000, u32::MAX] {
            assert_eq!(two_sided(0.0, df).to_bits(), 0.0_f64.to_bits());
            assert_eq!(two_sided_tail(0.0, df).to_bits(), 1.0_f64.to_bits());
            assert_eq!(two_sided(f64::INFINITY, df).to_bits(), 1.0_f64.to_bits());
            assert_eq!(two_sided_tail(f64::INFINITY, df).to_bits(), 0.0_f64.to_bits());
            for t in [1e-320, 1e-160, 1e8, 1e154, 1e160, f64::MAX] {
                assert!((0.0..=1.0).contains(&two_sided(t, df)), "{t} {df}");
                assert!((0.0..=1.0).contains(&two_sided_tail(t, df)), "{t} {df}");
            }
            assert_eq!(two_sided(-1.3, df).to_bits(), two_sided(1.3, df).to_bits());
            for c in [5e-324, 1e-310, 1e-300, 1e-17, 1.0 - 0.5 * f64::EPSILON] {
                let t = critical_or_nan(c, df);
                assert!(t > 0.0 && t.is_finite(), "{c:e} {df}: {t}");
            }
        }
        // The smallest tail double precision can ask for, at ν = 1: cot(πp/2).
        let upper = 0.5 * f64::EPSILON;
        let wanted = FRAC_2_PI / upper;
        assert_relative(critical_or_nan(1.0 - upper, 1), wanted, 1e-13, "ν = 1");
    }

    #[test]
    fn arguments_without_an_answer() {
        for c in [0.0, 1.0, -0.1, 1.5, f64::NAN, f64::INFINITY] {
            assert_eq!(critical(c, 9), None);
        }
        assert_eq!(critical(0.95, 0), None);
        assert!(two_sided(1.0, 0).is_nan());
        assert!(two_sided_tail(1.0, 0).is_nan());
        assert!(two_sided(f64::NAN, 9).is_nan());
        assert!(two_sided_tail(f64::NAN, 9).is_nan());
    }

    #[test]
    fn values_that_share_a_place_in_memory_are_not_taken_for_each_other() {
        // To three places by the table of NIST/SEMATECH e-Handbook 1.3.6.7.2: 9 and 73 degrees of
        // freedom, 64 apart, and two confidences of each.
        for _ in 0..2 {
            for (confidence, df, printed) in
                [(0.95, 9, 2.262), (0.95, 73, 1.993), (0.99, 73, 2.645), (0.99, 9, 3.250)]
            {
                let found = critical_or_nan(confidence, df);
                assert!((found - printed).abs() <= 0.0005, "{confidence} {df}: {found}");
            }
        }
    }
}
