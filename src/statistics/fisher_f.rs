//! Fisher's *F*: how often chance alone sets means apart as far as they are.
//!
//! Symbols, after Abramowitz and Stegun, *Handbook of Mathematical Functions* (NBS AMS 55, 1964),
//! 26.6: F a ratio of two mean squares at ν1 and ν2 degrees of freedom, Q(F|ν1, ν2) = P(F' > F) its
//! tail, I_x(a, b) the incomplete beta function of 26.5.

/// Most steps of the continued fraction; it takes about sqrt(max(a, b)) of them.
const MOST_STEPS: u32 = 10_000;
/// Where the fraction moves by less than this share, it has its figures.
const ENOUGH: f64 = 1e-15;
/// Stands in for a denominator of zero.
const TINY: f64 = 1e-300;

/// Q(F|ν1, ν2) = P(F' > F): how often chance alone gives an F at least so large.
///
/// 26.6.2: Q(F|ν1, ν2) = I_x(ν2/2, ν1/2) with x = ν2/(ν2 + ν1 F). 1 for an F of zero or below, NaN
/// where `f` is or a degree of freedom is 0.
///
/// ```
/// use alleytrue::statistics::fisher_f::tail;
/// // NIST/SEMATECH e-Handbook 1.3.6.7.3, from memory: 3.478 is passed once in twenty at 4 and 10 degrees.
/// assert!((tail(3.478, 4, 10) - 0.05).abs() < 5e-5);
/// // At 1 degree above, F is the square of Student's t: 2.262 at 9.
/// assert!((tail(2.262_157_f64.powi(2), 1, 9) - 0.05).abs() < 1e-6);
/// ```
#[must_use]
pub fn tail(f: f64, above: u32, below: u32) -> f64 {
    if f.is_nan() || above == 0 || below == 0 {
        return f64::NAN;
    }
    if f <= 0.0 {
        return 1.0;
    }
    let (above, below) = (f64::from(above), f64::from(below));
    incomplete_beta(below / (below + above * f), below / 2.0, above / 2.0)
}

/// I_x(a, b) by the continued fraction 26.5.8, or by 1 - I_(1-x)(b, a) (26.5.2) where that converges
/// sooner.
fn incomplete_beta(x: f64, a: f64, b: f64) -> f64 {
    if x <= 0.0 || x >= 1.0 {
        return x.clamp(0.0, 1.0);
    }
    if x > (a + 1.0) / (a + b + 2.0) {
        return 1.0 - incomplete_beta(1.0 - x, b, a);
    }
    let ln_beta = libm::lgamma(a) + libm::lgamma(b) - libm::lgamma(a + b);
    let front = (a * x.ln() + b * (1.0 - x).ln() - ln_beta).exp();
    front / (a * fraction(x, a, b))
}

/// 1 + d1/(1 + d2/(1 + ...)) with d_(2m+1) = -(a + m)(a + b + m) x / ((a + 2m)(a + 2m + 1)) and
/// d_2m = m (b - m) x / ((a + 2m - 1)(a + 2m)), from the front (Lentz 1976, Applied Optics
/// 15:668-671).
fn fraction(x: f64, a: f64, b: f64) -> f64 {
    let held = |number: f64| if number.abs() < TINY { TINY } else { number };
    let part = |step: u32| {
        let m = f64::from(step / 2);
        if step % 2 == 1 {
            -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0))
        } else {
            m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m))
        }
    };
    let (mut whole, mut above, mut below) = (1.0, 1.0, 0.0);
    for step in 1..MOST_STEPS {
        below = 1.0 / held(1.0 + part(step) * below);
        above = held(1.0 + part(step) / above);
        let change: f64 = above * below;
        whole *= change;
        if (change - 1.0).abs() < ENOUGH {
            break;
        }
    }
    whole
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::student_t::two_sided_tail;

    /// Upper critical values of F at 5 % and 1 %, as NIST/SEMATECH e-Handbook 1.3.6.7.3 has them;
    /// written down from memory.
    #[test]
    fn as_in_the_tables() {
        for (f, above, below, share) in [
            (161.448, 1, 1, 0.05),
            (19.164, 3, 2, 0.05),
            (4.757, 3, 6, 0.05),
            (2.978, 10, 10, 0.05),
            (2.334, 7, 30, 0.05),
            (10.044, 1, 10, 0.01),
            (4.103, 5, 20, 0.01),
        ] {
            let tail = tail(f, above, below);
            assert!((tail / share - 1.0).abs() < 2e-3, "F {f} at {above}, {below}: {tail}");
        }
    }

    /// F = t² at one degree above; and exp(-F) for 2 degrees above and many below, since then 2 F
    /// is chi-square at 2 degrees.
    #[test]
    fn closed_forms() {
        for t in [0.1, 1.0, 2.5, 6.0, 40.0_f64] {
            for df in [1, 2, 5, 30, 1000] {
                let (by_f, by_t) = (tail(t * t, 1, df), two_sided_tail(t, df));
                assert!((by_f - by_t).abs() < 1e-12 + 1e-9 * by_t, "{t} at {df}: {by_f} {by_t}");
            }
        }
        // Exactly (1 + 2 F / ν)^(-ν / 2).
        for f in [0.5, 2.0, 5.0] {
            for df in [2, 7, 40, 100_000] {
                let exact = (1.0 + 2.0 * f / f64::from(df)).powf(-f64::from(df) / 2.0);
                assert!((tail(f, 2, df) / exact - 1.0).abs() < 1e-9, "{f} at {df}");
            }
        }
    }

    #[test]
    fn at_the_edges() {
        assert_eq!(tail(0.0, 3, 4), 1.0);
        assert_eq!(tail(f64::INFINITY, 3, 4), 0.0);
        assert!(
            tail(1.0, 0, 4).is_nan() && tail(1.0, 3, 0).is_nan() && tail(f64::NAN, 1, 1).is_nan()
        );
    }
}
