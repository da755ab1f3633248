//! Student's t against statrs, which computes it another way, and by its own laws.

use alleytrue::statistics::student_t::{critical, two_sided, two_sided_tail};
use proptest::prelude::{ProptestConfig, Strategy, prop_oneof, proptest};
use proptest::{prop_assert, prop_assume};
use statrs::distribution::{ContinuousCDF, StudentsT};

fn critical_or_nan(confidence: f64, df: u32) -> f64 {
    critical(confidence, df).unwrap_or(f64::NAN)
}

fn any_df() -> impl Strategy<Value = u32> {
    prop_oneof![1..=300_u32, 1..=2_000_000_u32, 1..=u32::MAX]
}

#[test]
fn agrees_with_statrs() -> Result<(), Box<dyn std::error::Error>> {
    let mut worst_a = 0.0_f64;
    let mut worst_critical = 0.0_f64;
    for df in 1..=500 {
        let theirs = StudentsT::new(0.0, 1.0, f64::from(df))?;
        for t in [0.05, 0.3, 0.7, 1.0, 1.5, 1.72, 1.74, 2.0, 2.6, 3.5, 5.0, 8.0] {
            let tail = 2.0 * theirs.cdf(-t);
            worst_a = worst_a.max((two_sided_tail(t, df) - tail).abs());
            worst_a = worst_a.max((1.0 - two_sided(t, df) - tail).abs());
        }
        for c in [0.5, 0.6, 0.683, 0.8, 0.9, 0.95, 0.98, 0.99, 0.995, 0.999] {
            let quantile = -theirs.inverse_cdf(0.5 * (1.0 - c));
            worst_critical = worst_critical.max((critical_or_nan(c, df) / quantile - 1.0).abs());
        }
    }
    assert!(worst_a < 1e-11, "{worst_a:e}");
    assert!(worst_critical < 1e-8, "{worst_critical:e}");
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn critical_is_the_inverse_of_two_sided(c in 1e-6..1.0_f64, df in any_df()) {
        let t = critical_or_nan(c, df);
        prop_assert!((two_sided(t, df) - c).abs() < 1e-13);
        let upper = 1.0 - c;
        prop_assert!((two_sided_tail(t, df) / upper - 1.0).abs() < 1e-12 || c < 0.5);
    }

    #[test]
    fn two_sided_then_critical_returns_t(t in 1e-6..3.0_f64, df in any_df()) {
        // A(3|ν) is below 0.998 for every ν: c keeps enough figures of 1 - c.
        let c = two_sided(t, df);
        prop_assert!((critical_or_nan(c, df) / t - 1.0).abs() < 1e-11);
    }

    #[test]
    fn critical_rises_with_confidence(c in 1e-6..0.999_999_f64, gap in 1e-10..0.5_f64, df in any_df()) {
        let wider = c + gap * (1.0 - c);
        prop_assume!(wider < 1.0);
        prop_assert!(critical_or_nan(wider, df) > critical_or_nan(c, df));
    }

    #[test]
    fn critical_falls_with_df(c in 0.001..0.999_999_f64, df in 1..20_000_u32, more in 1..20_000_u32) {
        prop_assert!(critical_or_nan(c, df + more) < critical_or_nan(c, df));
    }

    #[test]
    fn critical_never_rises_with_any_df(c in 1e-6..0.999_999_f64, one in any_df(), other in any_df()) {
        let (few, many) = (one.min(other), one.max(other));
        prop_assert!(critical_or_nan(c, many) <= critical_or_nan(c, few) * (1.0 + 1e-13));
    }

    #[test]
    fn the_two_sides_make_one(t in 0.0..50.0_f64, df in any_df()) {
        prop_assert!((two_sided(t, df) + two_sided_tail(t, df) - 1.0).abs() < 1e-14);
    }

    #[test]
    fn two_sided_rises_with_t(t in 0.0..6.0_f64, step in 1e-6..1.0_f64, df in any_df()) {
        prop_assert!(two_sided_tail(t + step, df) < two_sided_tail(t, df));
        prop_assert!(two_sided(t + step, df) >= two_sided(t, df));
    }

    #[test]
    fn always_a_critical_value(bits in 1..0x3ff0_0000_0000_0000_u64, df in 1..=u32::MAX) {
        // Every positive double below 1, subnormal numbers too.
        let t = critical_or_nan(f64::from_bits(bits), df);
        prop_assert!(t > 0.0 && t.is_finite());
    }
}
