//! Student's t against statrs, which computes it another way, and by its own laws.

use alleytrue::statistics::student_t::{critical, normal, two_sided, two_sided_tail};
use proptest::prelude::{ProptestConfig, Strategy, prop_oneof, proptest};
use proptest::{prop_assert, prop_assume};
use statrs::distribution::{ContinuousCDF, StudentsT};

fn critical_or_nan(confidence: f64, df: u32) -> f64 {
    critical(confidence, df).unwrap_or(f64::NAN)
}

/// Readings of a range, of a day, of a season; a sheet holds two million at most.
fn any_df() -> impl Strategy<Value = u32> {
    prop_oneof![30 => 1..=300_u32, 10 => 1..=3_000_u32, 1 => 1..=100_000_u32]
}

/// What sheets can ask: 50 % to 99.99 %, and that shared among a hundred rows.
fn any_confidence() -> impl Strategy<Value = f64> {
    prop_oneof![0.5..=0.9999_f64, 0.999..=0.999_999_f64]
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
        for c in [0.5, 0.6, 0.683, 0.8, 0.9, 0.95, 0.98, 0.99, 0.995, 0.999, 0.9999] {
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
    fn critical_is_the_inverse_of_two_sided(c in any_confidence(), df in any_df()) {
        let t = critical_or_nan(c, df);
        let upper = 1.0 - c;
        // In parts of t: the tail falls by its density times what t is off.
        let slope = (two_sided_tail(t * (1.0 - 1e-6), df) - upper) / 1e-6;
        prop_assert!((two_sided_tail(t, df) - upper).abs() < 1e-10 * slope, "{t}");
        prop_assert!((two_sided(t, df) - c).abs() < 1e-11, "{t}");
    }

    #[test]
    fn two_sided_then_critical_returns_t(t in 1.0..3.0_f64, df in any_df()) {
        // A(1|ν) is 0.5 at least, A(3|ν) below 0.998, for every ν.
        let c = two_sided(t, df);
        prop_assert!((critical_or_nan(c, df) / t - 1.0).abs() < 1e-10);
    }

    #[test]
    fn critical_rises_with_confidence(c in any_confidence(), gap in 1e-6..0.5_f64, df in any_df()) {
        let wider = c + gap * (0.999_999 - c);
        prop_assume!(wider > c);
        prop_assert!(critical_or_nan(wider, df) >= critical_or_nan(c, df) * (1.0 - 1e-10));
        prop_assert!(wider - c < 1e-8 || critical_or_nan(wider, df) > critical_or_nan(c, df));
    }

    #[test]
    fn critical_falls_with_df(c in any_confidence(), df in 1..20_000_u32, more in 1..20_000_u32) {
        prop_assert!(critical_or_nan(c, df + more) < critical_or_nan(c, df));
        prop_assert!(critical_or_nan(c, df) > normal(c).unwrap_or(f64::NAN));
    }

    #[test]
    fn the_two_sides_make_one(t in 0.0..50.0_f64, df in any_df()) {
        prop_assert!((two_sided(t, df) + two_sided_tail(t, df) - 1.0).abs() < 1e-13);
    }

    #[test]
    fn two_sided_rises_with_t(t in 0.0..6.0_f64, step in 1e-6..1.0_f64, df in any_df()) {
        prop_assert!(two_sided_tail(t + step, df) < two_sided_tail(t, df));
        prop_assert!(two_sided(t + step, df) >= two_sided(t, df) - 1e-14);
    }

    #[test]
    fn always_a_critical_value(bits in 1..=(1.0_f64 - 1e-9).to_bits(), df in any_df()) {
        // Every positive double up to there, subnormal numbers too, though no sheet asks for these.
        let t = critical_or_nan(f64::from_bits(bits), df);
        prop_assert!(t > 0.0 && t.is_finite());
    }
}
