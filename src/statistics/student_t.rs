//! Student's *t*: two-sided probabilities and critical values for whole degrees of freedom, which
//! are counts of readings.
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
//!
//! Probabilities are the finite sums 26.7.3 and 26.7.4, whatever ν is: ν/2 terms, far less work than
//! the readings were. Critical values are their inverse up to ν = 1000, and beyond it those of the
//! normal law with the terms in 1/ν of 26.7.5.

use std::f64::consts::{FRAC_2_PI, PI};

/// Most degrees of freedom for which a critical value is found from the finite sums. Beyond, the
/// first term in 1/ν that 26.7.5 leaves out is below 1e-11 up to a probability of 1 - 1e-6.
const MOST_SUMMED: u32 = 1000;

/// The largest probability whose critical value is looked for. A double can hold 1 - 1e-9 itself to
/// seven figures of what is beyond, no more.
const MOST_SURE: f64 = 1.0 - 1e-9;

/// Most steps towards a critical value: about 4 are usual, and 60 double 1 to 1e18.
const MOST_STEPS: u32 = 60;

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
    let sums = Sums::of(t, df);
    // Near one the rounding of a long sum shows; what is left beyond is small, and right to more
    // digits.
    if sums.within > 0.999 { 1.0 - sums.tail() } else { sums.within }
}

/// 1 − A(t|ν) = P(|T| > |t|), the two-sided tail: the p value of a two-sided
/// *t* test with ν = `df` degrees of freedom.
///
/// The sums 26.7.3 and 26.7.4 make 1 where they go on without end (they are the series of
/// (π/2 − θ)/(sin θ) and of 1/(sin θ)), so the terms that A leaves out make the tail. A tail below a
/// thousandth is added up from them, and keeps its figures however small it is.
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
    let sums = Sums::of(t, df);
    if sums.within > 0.999 { sums.tail() } else { 1.0 - sums.within }
}

/// The two-sided critical value: the t for which P(|T| ≤ t) = `confidence`,
/// for ν = `df` degrees of freedom.
///
/// A table of one-sided cumulative probabilities lists the same value under
/// (1 + `confidence`)/2, so 0.95 here is the 0.975 column there.
///
/// The root of A(t|ν) = c by Newton's steps from a value near it. A bends down everywhere (the
/// density of |T| falls), so a step never goes past the root but the first, and that one only to
/// the lower side. To 1e-10 of its size for probabilities from 50 % to 1 - 1e-6, which is 99.99 %
/// shared among a hundred rows.
///
/// Returns `None` if `df` is 0 or `confidence` is not above 0 and at most 1 - 1e-9.
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
    if df == 0 {
        return None;
    }
    if df > MOST_SUMMED {
        return Some(with_terms_in_df(normal(confidence)?, df));
    }
    let start = with_terms_in_df(nearly_normal(confidence)?, df);
    Some(root(confidence, start, |t| {
        let sums = Sums::of(t, df);
        (sums.within, sums.density())
    }))
}

/// The two-sided critical value of the normal law: the z for which P(|Z| ≤ z) = `confidence`,
/// which t comes down to for many degrees of freedom.
///
/// Abramowitz and Stegun 26.2.11: P(|Z| ≤ z) = 2 Z(z) {z + z³/3 + z⁵/(3·5) + …} with the density
/// Z(z) = exp(−z²/2)/√(2π). `None` if `confidence` is not above 0 and
/// at most 1 - 1e-9.
///
/// ```
/// use alleytrue::statistics::student_t::normal;
/// // NIST/SEMATECH e-Handbook 1.3.6.7.1: 95 % within 1.960.
/// assert!(normal(0.95).is_some_and(|z| (z - 1.960).abs() < 5e-4));
/// ```
#[must_use]
pub fn normal(confidence: f64) -> Option<f64> {
    let within = |z: f64| {
        let density = (-0.5 * z * z).exp() * (2.0 / PI).sqrt();
        let (mut term, mut sum, mut odd) = (z, z, 1.0);
        while term > f64::EPSILON * 0.1 * sum {
            odd += 2.0;
            term *= z * z / odd;
            sum += term;
        }
        (density * sum, density)
    };
    Some(root(confidence, nearly_normal(confidence)?, within))
}

/// The same to 5e-4: Abramowitz and Stegun 26.2.23, with the tail on one side as their p.
fn nearly_normal(confidence: f64) -> Option<f64> {
    if !(confidence > 0.0 && confidence <= MOST_SURE) {
        return None;
    }
    let t = (-2.0 * (0.5 * (1.0 - confidence)).ln()).sqrt();
    let above = 2.515_517 + t * (0.802_853 + t * 0.010_328);
    let below = 1.0 + t * (1.432_788 + t * (0.189_269 + t * 0.001_308));
    Some(t - above / below)
}

/// Abramowitz and Stegun 26.7.5: t from the z of the normal law, to the term in 1/ν⁴.
fn with_terms_in_df(z: f64, df: u32) -> f64 {
    let s = z * z;
    let terms = [
        (s + 1.0) / 4.0,
        ((5.0 * s + 16.0) * s + 3.0) / 96.0,
        (((3.0 * s + 19.0) * s + 17.0) * s - 15.0) / 384.0,
        ((((79.0 * s + 776.0) * s + 1482.0) * s - 1920.0) * s - 945.0) / 92_160.0,
    ];
    let over = 1.0 / f64::from(df);
    z * (1.0 + terms.iter().rev().fold(0.0, |sum, term| (sum + term) * over))
}

/// Where a probability reaches `confidence`, by Newton's steps from `start`; `within` gives the
/// probability at a place and its slope there. No density of |T| or |Z| is above 1, so that the
/// root is beyond `confidence` itself.
fn root(confidence: f64, start: f64, within: impl Fn(f64) -> (f64, f64)) -> f64 {
    let mut t = start.max(confidence);
    for _ in 0..MOST_STEPS {
        let (probability, slope) = within(t);
        let step = (confidence - probability) / slope;
        t = (t + step).max(confidence);
        // The next step would be about as small as the square of this one.
        if step.abs() <= 1e-8 * t {
            break;
        }
    }
    t
}

/// The sum of 26.7.3 or 26.7.4 at a place.
struct Sums {
    /// A(t|ν).
    within: f64,
    /// The first term that is not in it, without the sin θ before the sum.
    next: f64,
    angle: Angle,
    nu: f64,
}

/// The angle θ.
#[derive(Clone, Copy)]
struct Angle {
    sine: f64,
    cosine: f64,
}

impl Angle {
    /// The term c(k) cosᵏθ of a sum, after the one before it: c(k) = c(k − 2) (k − 1)/k.
    ///
    /// The factor cos²θ (k − 1)/k is often near 1, and rounded the same way each of a thousand
    /// times. What it takes off a term is small there, and so is what rounding does to that.
    fn after(self, term: f64, k: f64) -> f64 {
        let cosine_squared = self.cosine * self.cosine;
        if cosine_squared < 0.5 {
            return term * cosine_squared * (k - 1.0) / k;
        }
        term - term * (self.sine * self.sine + cosine_squared / k)
    }
}

impl Sums {
    /// The sums have terms with odd k from 2/π cos θ, or with even k from 1, up to k = ν − 2; the
    /// odd one has 2θ/π before it.
    fn of(t: f64, df: u32) -> Sums {
        let nu = f64::from(df);
        // Further out a double tells nothing from infinity.
        let tangent = t.abs().min(1e150) / nu.sqrt();
        let secant = tangent.hypot(1.0);
        let angle = Angle { sine: tangent / secant, cosine: 1.0 / secant };
        let (first, before, mut next) = match df % 2 {
            0 => (0, 0.0, 1.0),
            _ => (1, FRAC_2_PI * tangent.atan(), FRAC_2_PI * angle.cosine),
        };
        let mut sum = 0.0;
        for k in (first + 2..=df).step_by(2) {
            sum += next;
            next = angle.after(next, k.into());
        }
        Sums { within: (before + angle.sine * sum).min(1.0), next, angle, nu }
    }

    /// The slope of A along t: with the first term that is left out, c(ν) cos^ν θ, it is
    /// c(ν) cos^(ν+1) θ √ν. That is 2/(π(1 + t²)) for ν = 1, and 2/(2 + t²)^(3/2) for ν = 2.
    fn density(&self) -> f64 {
        self.next * self.angle.cosine * self.nu.sqrt()
    }

    /// 1 − A(t|ν): the terms from the first that is left out, until they no longer count.
    fn tail(&self) -> f64 {
        let (mut term, mut sum, mut k) = (self.next, self.next, self.nu);
        while term > (f64::EPSILON * 0.01 * sum).max(f64::MIN_POSITIVE) {
            k += 2.0;
            term = self.angle.after(term, k);
            sum += term;
        }
        self.angle.sine * sum
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::FRAC_PI_2;

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
        // A(t|1) = 2 arctan(t)/π, A(t|2) = t/√(2 + t²).
        for c in [0.1, 0.3, 0.499, 0.5, 0.501, 0.8, 0.9, 0.95, 0.99, 0.999, 0.9999, 0.999_999] {
            let upper = 1.0 - c;
            let one = 1.0 / (FRAC_PI_2 * upper).tan();
            assert_relative(critical_or_nan(c, 1), one, 1e-10, "one");
            let two = c * (2.0 / (upper * (1.0 + c))).sqrt();
            assert_relative(critical_or_nan(c, 2), two, 1e-10, "two");
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
            (3.0, 1000, 0.997_233_290_955_761_8, 0.002_766_709_044_238_192_5),
            (5.0, 1000, 0.999_999_323_274_363_5, 6.767_256_364_648_63e-7),
            (2.5, 5000, 0.987_548_883_800_278_9, 0.012_451_116_199_721_143),
            (3.5, 5000, 0.999_530_683_569_267_5, 0.000_469_316_430_732_532_3),
            (4.0621, 9, 0.997_166_992_159_609_8, 0.002_833_007_840_390_158_3),
            (9.5, 25, 0.999_999_999_106_471_5, 8.935_285_127_458_272e-10),
            (6.0, 200, 0.999_999_990_884_879_7, 9.115_120_348_810_386e-9),
            (6.0, 201, 0.999_999_990_946_938_1, 9.053_061_878_620_13e-9),
            (6.0, 20_000, 0.999_999_997_992_854_4, 2.007_145_641_122_635e-9),
            (30.0, 9, 0.999_999_999_751_629_6, 2.483_704_704_158_262_4e-10),
            (200.0, 7, 0.999_999_999_999_979_4, 2.062_190_599_193_654_6e-14),
            (12.0, 60, 1.0, 1.378_632_264_181_773_8e-17),
            (1e6, 3, 1.0, 2.205_315_581_679_229_2e-18),
            (30.0, 9999, 1.0, 2.048_028_052_186_590_5e-189),
        ];
        for (t, df, within, beyond) in references {
            let what = format!("t {t} df {df}");
            assert_relative(two_sided(t, df), within, 1e-13, &what);
            assert_relative(two_sided_tail(t, df), beyond, 1e-10, &what);
        }
    }

    #[test]
    fn a_slope_through_as_many_readings_as_a_sheet_holds() {
        // By mpmath 1.3.0 as above; the sum has a million terms.
        for (t, beyond) in [(2.9, 0.003_731_667_210_544_252_4), (3.2, 0.001_374_297_313_649_479_3)]
        {
            assert_relative(two_sided_tail(t, 2_000_000), beyond, 1e-10, &format!("{t}"));
        }
    }

    #[test]
    fn critical_values_to_ten_figures() {
        // (confidence, df, t), by bisection at 50 figures with mpmath 1.3.0: from few readings to
        // many, and on both sides of where the way to find them changes.
        let sure = 1.0 - 1e-6;
        let references = [
            (0.5, 1, 1.0),
            (0.9999, 1, 6_366.197_671_316_637),
            (sure, 1, 636_619.772_348_751_3),
            (0.9999, 2, 99.992_499_843_750_04),
            (0.999, 3, 12.923_978_636_687_48),
            (0.99, 3, 5.840_909_309_733_355),
            (0.5, 7, 0.711_141_778_081_786_4),
            (0.95, 9, 2.262_157_162_798_205),
            (0.9999, 9, 6.593_682_583_944_881),
            (sure, 9, 11.636_782_027_289_474),
            (0.999_999, 25, 6.424_147_794_714_718_5),
            (0.9, 30, 1.697_260_886_593_958),
            (0.99, 30, 2.749_995_653_567_225),
            (0.9999, 100, 4.053_336_701_201_548),
            (0.95, 199, 1.971_956_544_251_753_5),
            (0.95, 200, 1.971_896_223_633_909),
            (0.95, 201, 1.971_836_506_779_858_9),
            (0.95, 500, 1.964_719_837_467_367_4),
            (0.9999, 999, 3.906_359_561_102_238_5),
            (0.5, 1000, 0.674_735_164_607_009_4),
            (0.9, 1000, 1.646_378_817_285_464_8),
            (0.95, 1000, 1.962_339_080_826_408),
            (sure, 1000, 4.922_289_523_423_825),
            (0.5, 1001, 0.674_734_919_358_447),
            (0.95, 1001, 1.962_336_705_280_879_5),
            (0.9999, 1001, 3.906_327_944_031_293_4),
            (sure, 1001, 4.922_258_736_457_859),
            (0.9999, 10_000, 3.892_161_983_569_862),
            (0.95, 1_000_000, 1.959_966_356_814_106_6),
            (0.99, u32::MAX, 2.575_829_304_693_623_4),
        ];
        for (confidence, df, wanted) in references {
            let found = critical_or_nan(confidence, df);
            assert_relative(found, wanted, 1e-10, &format!("{confidence} {df}"));
        }
    }

    #[test]
    fn values_of_the_normal_law_to_ten_figures() {
        // By the complementary error function at 50 figures with mpmath 1.3.0.
        for (confidence, wanted) in [
            (0.5, 0.674_489_750_196_081_7),
            (0.9, 1.644_853_626_951_472_9),
            (0.95, 1.959_963_984_540_053_8),
            (0.99, 2.575_829_303_548_900_5),
            (0.9999, 3.890_591_886_413_121),
            (1.0 - 1e-6, 4.891_638_475_692_932),
        ] {
            let found = normal(confidence).unwrap_or(f64::NAN);
            assert_relative(found, wanted, 1e-10, &format!("{confidence}"));
        }
    }

    #[test]
    fn what_the_sum_leaves_out_makes_it_one() {
        for df in 1..=200 {
            for t in [1.8, 2.3, 4.0, 9.0] {
                let sums = Sums::of(t, df);
                let off = (sums.within + sums.tail() - 1.0).abs();
                assert!(off < 1e-14, "{t} {df}: {off:e}");
            }
        }
    }

    /// (A(t + h) - A(t - h)) / 2h is the slope to h² times its bend.
    #[test]
    fn the_slope_is_that_of_the_sum() {
        let h = 1e-5;
        for df in [1, 2, 3, 4, 9, 10, 99, 100, 1000] {
            for t in [0.2, 1.0, 2.5, 5.0] {
                let slope = (two_sided(t + h, df) - two_sided(t - h, df)) / (2.0 * h);
                let found = Sums::of(t, df).density();
                assert!((found - slope).abs() < 1e-9, "{t} {df}: {found} for {slope}");
            }
        }
    }

    #[test]
    fn ends_of_the_range() {
        for df in [1, 2, 3, 200, 201, 1_000] {
            assert_eq!(two_sided(0.0, df).to_bits(), 0.0_f64.to_bits());
            assert_eq!(two_sided_tail(0.0, df).to_bits(), 1.0_f64.to_bits());
            assert_eq!(two_sided(f64::INFINITY, df).to_bits(), 1.0_f64.to_bits());
            for t in [1e-320, 1e-160, 1e8, 1e154, 1e160, f64::MAX, f64::INFINITY] {
                assert!((0.0..=1.0).contains(&two_sided(t, df)), "{t} {df}");
                assert!((0.0..=1.0).contains(&two_sided_tail(t, df)), "{t} {df}");
            }
            assert_eq!(two_sided(-1.3, df).to_bits(), two_sided(1.3, df).to_bits());
        }
        // (1 + 48.84²/1500)^-750 is 1e-310, where a double has few digits left.
        assert!((0.0..1e-300).contains(&two_sided_tail(48.84, 1500)));
    }

    #[test]
    fn arguments_without_an_answer() {
        for c in [0.0, 1.0, 1.0 - 1e-10, -0.1, 1.5, f64::NAN, f64::INFINITY] {
            assert_eq!((critical(c, 9), critical(c, 2000), normal(c)), (None, None, None));
        }
        assert_eq!(critical(0.95, 0), None);
        assert!(two_sided(1.0, 0).is_nan());
        assert!(two_sided_tail(1.0, 0).is_nan());
        assert!(two_sided(f64::NAN, 9).is_nan());
        assert!(two_sided_tail(f64::NAN, 9).is_nan());
    }
}
