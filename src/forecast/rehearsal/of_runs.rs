//! Readings of several runs as one part: pooled where they are one, with a spread between them where
//! they are not.

use crate::statistics::{Agreement, RunMean, SpreadBetweenRuns};
use crate::working::Value;

use super::known::{Part, Scatter, Shared};

/// Runs are taken for one only where chance alone sets them so far apart more often than this; see
/// `TAKEN_FOR_ONE` in `src/calculations/agreement.rs`.
const TAKEN_FOR_ONE: f64 = 0.25;

/// What readings of one thing in several runs say of it.
pub(super) fn of_runs(runs: &[Vec<f64>]) -> Part {
    let together = || Part::of(&runs.concat());
    let told: Vec<&Vec<f64>> = runs.iter().filter(|run| !run.is_empty()).collect();
    let scatter = within(&told);
    let (Some(scatter), true) = (scatter.filter(|scatter| scatter.sd > 0.0), told.len() > 1) else {
        return together();
    };
    let means: Vec<RunMean> = told.iter().map(|run| mean_of(run, &scatter)).collect();
    let apart = Agreement::of("readings", &means, scatter.degrees)
        .filter(|agreement| agreement.p.number() < TAKEN_FOR_ONE)
        .and_then(|_| SpreadBetweenRuns::of("readings", &means));
    let Some(spread) = apart else { return together() };
    let (Some(mean), Some(square)) = (spread.means.first(), spread.squared_errors.first()) else {
        return together();
    };
    let readings = told.iter().map(|run| run.len()).sum::<usize>();
    Part {
        shared: Some(Shared {
            estimate: mean.number(),
            standard_error: square.number().sqrt(),
            degrees: spread.degrees_of_freedom,
            between: spread.squared.number().sqrt(),
            readings: u32::try_from(readings).unwrap_or(u32::MAX),
        }),
        scatter: Some(scatter),
        of_one: false,
    }
}

/// The scatter within runs: sqrt(sum of squares off their means / (readings less runs)).
pub(super) fn within(runs: &[&Vec<f64>]) -> Option<Scatter> {
    let (mut squares, mut degrees) = (0.0, 0_u32);
    for run in runs.iter().filter(|run| run.len() > 1) {
        let mean = mean(run);
        squares += run.iter().map(|one| (one - mean).powi(2)).sum::<f64>();
        degrees += u32::try_from(run.len() - 1).unwrap_or(0);
    }
    (degrees > 0).then(|| Scatter { sd: (squares / f64::from(degrees)).sqrt(), degrees })
}

fn mean_of(run: &[f64], scatter: &Scatter) -> RunMean {
    let square = scatter.sd.powi(2) / count(run);
    RunMean {
        name: "run".into(),
        estimate: Value::constant(mean(run)).named("run"),
        squared_error: Value::constant(square).named("square of its error"),
        side: 0,
    }
}

fn mean(run: &[f64]) -> f64 {
    run.iter().sum::<f64>() / count(run)
}

#[allow(clippy::cast_precision_loss)] // far fewer readings than 2^53
fn count(run: &[f64]) -> f64 {
    run.len() as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Means 1 and 5 with squares 1 of two readings each (SD 1 within: squares 2 x 0.5 a run, 2 df):
    /// the spread puts the mean in the middle, 3, at 1 degree of freedom: (5 - 1)² / 2 = 8 = v + spread²
    /// with v = 0.5, and the error is sqrt(8 / 2) = 2.
    #[test]
    fn runs_that_lie_apart_have_a_spread_between_them() {
        let half = 0.5_f64.sqrt();
        let runs = [vec![1.0 - half, 1.0 + half], vec![5.0 - half, 5.0 + half]];
        let part = of_runs(&runs);
        let shared = part.shared.expect("an error");
        assert!((shared.estimate - 3.0).abs() < 1e-9 && shared.degrees == 1);
        assert!((shared.standard_error - 2.0).abs() < 1e-6, "{shared:?}");
        assert!((shared.between - 7.5_f64.sqrt()).abs() < 1e-6, "{shared:?}");
        assert_eq!(part.scatter.map(|scatter| scatter.degrees), Some(2));
    }

    #[test]
    fn runs_that_agree_are_one_row_of_readings() {
        let runs = [vec![1.0, 2.0, 3.0], vec![3.0, 2.0, 1.0]];
        assert_eq!(of_runs(&runs), Part::of(&runs.concat()));
    }
}
