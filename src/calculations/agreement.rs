//! Whether several runs of one kind are one, and what they come to where they are not.

use crate::outcome::wording::in_words;
use crate::quantity::at_most;
use crate::statistics::{Agreement, Moments, RunMean, SpreadBetweenRuns, means_of_one};
use crate::working::Value;

use super::readings::count;

/// Runs are called apart where chance alone would set them so far apart less often than this.
const BY_CHANCE: f64 = 0.05;
/// Runs are taken for one only where chance alone sets them so far apart more often than this
/// (Bancroft 1964, Biometrics 20:427-442, for tests that decide on pooling). With 0.05 a spread as
/// large as twice the error of one run would leave intervals of three runs that hold the truth in 84
/// of 100; with 0.25 in 91, and of eight runs in 95 (simulated).
const TAKEN_FOR_ONE: f64 = 0.25;

/// The readings of one run as errors, as they would be with what is set now.
pub(super) struct OneRun {
    /// What it goes by: "alley run 2".
    pub(super) name: String,
    /// Which side it is of, from zero: out, home.
    pub(super) side: usize,
    /// Whether it was made with what is set now, so that no change has to be reckoned with.
    pub(super) since: bool,
    /// Which runs its readings scatter like, from zero: those over another length scatter otherwise.
    pub(super) kind: usize,
    /// The readings.
    pub(super) each: Vec<Value>,
}

/// What runs come to that are not one.
pub(super) struct Apart {
    /// The mean of each side.
    pub(super) means: Vec<Value>,
    /// The standard error of the mean of the sides.
    pub(super) standard_error: Value,
    /// Its degrees of freedom.
    pub(super) degrees: u32,
    /// Standard deviation of what sets them apart besides their readings, where anything does.
    pub(super) between: Option<Value>,
    /// The squares of the standard errors of the means of the sides.
    pub(super) squared_errors: Vec<Value>,
    /// Scatter of a single one of a further run: that within runs and what sets runs apart.
    pub(super) sd_of_one: Value,
    /// Its degrees of freedom.
    pub(super) degrees_of_one: u32,
    /// Each run with its error, in words.
    pub(super) words: String,
    /// How far the two that lie furthest apart on one side do.
    pub(super) furthest: Value,
    runs: usize,
    /// Whether they are called apart.
    pub(super) is_said: bool,
    /// Whether those made with what is set now decide alone.
    pub(super) by_since: bool,
    /// Q and its p, for the working.
    pub(super) figures: Vec<Value>,
}

/// What a run goes by: its number in the sheet, or its place among the others.
pub(super) fn name_of_run(kind: &str, number: Option<usize>, place: usize) -> String {
    format!("{kind} run {}", number.unwrap_or(place + 1))
}

impl Apart {
    /// What runs come to together; `None` where they are one, or nothing tells.
    ///
    /// The readings of all runs of a kind share one scatter, or the one that seed spacing brings where that is
    /// larger. Where a change that went wrong has `explained` what sets runs apart, no other cause is
    /// looked for, and those made since it speak for themselves.
    pub(super) fn of(
        subject: &str,
        runs: &[OneRun],
        jitter: Option<&Value>,
        explained: bool,
    ) -> Option<Apart> {
        let moments: Option<Vec<Moments>> =
            runs.iter().map(|run| Moments::of(&run.name, &run.each)).collect();
        let moments = moments?;
        let (square, degrees) = scatter(subject, &moments)?;
        let square = match jitter {
            Some(jitter) if jitter.number().powi(2) > square.number() => jitter.to_the(2),
            _ if square.number() > 0.0 => square,
            _ => of_a_hair(runs, &moments)?,
        };
        let of_all = degrees;
        let scatters = by_kind(subject, runs, &moments, (square.clone(), of_all));
        let means: Vec<RunMean> = runs
            .iter()
            .zip(&moments)
            .zip(&scatters)
            .map(|((run, moments), (square, _))| RunMean {
                name: run.name.clone(),
                estimate: moments.mean.clone(),
                squared_error: (square / &moments.count)
                    .named(format!("square of the error of {}", run.name)),
                side: run.side,
            })
            .collect();
        let several = runs.iter().any(|run| run.kind != 0);
        let degrees: Vec<u32> = scatters.iter().map(|(_, degrees)| *degrees).collect();
        let agreement = agreement(subject, &means, &degrees, several)?;
        if agreement.p.number() >= TAKEN_FOR_ONE {
            return None;
        }
        let words: Vec<String> = means
            .iter()
            .map(|run| format!("{} says {}", run.name, in_words(&run.estimate)))
            .collect();
        let is_since = runs.iter().zip(means.iter().zip(&degrees)).filter(|(run, _)| run.since);
        let (since, degrees): (Vec<RunMean>, Vec<u32>) =
            is_since.map(|(_, (mean, degrees))| (mean.clone(), *degrees)).unzip();
        let spread_since = || Together::of_several(subject, &since).filter(|_| explained);
        let of_since = Together::of_one(subject, &since, &degrees, several).or_else(spread_since);
        let by_since = of_since.is_some();
        if explained && !by_since {
            return None;
        }
        let together = of_since.map_or_else(|| Together::of_several(subject, &means), Some)?;
        let (sd_of_one, degrees_of_one) =
            together.of_a_single_one(subject, &square, of_all, &means);
        Some(Apart {
            sd_of_one,
            degrees_of_one,
            squared_errors: together.squared_errors.clone(),
            standard_error: together.standard_error(subject)?,
            degrees: together.degrees,
            between: together
                .between
                .as_ref()
                .map(|square| square.root().named(format!("spread of {subject} between runs"))),
            words: words.join(", "),
            furthest: furthest(&means)?,
            runs: means.len(),
            is_said: agreement.p.number() < BY_CHANCE && !explained,
            by_since,
            figures: vec![agreement.q, agreement.p],
            means: together.means,
        })
    }

    /// Whether nothing is to be decided by them: two that lie further apart than the tolerance.
    pub(super) fn decides_nothing(&self, tolerance: Option<&Value>) -> bool {
        let limit = tolerance.map_or(0.0, Value::number);
        self.is_said && self.runs == 2 && !at_most(self.furthest.number(), limit)
    }
}

/// What runs come to together.
struct Together {
    means: Vec<Value>,
    squared_errors: Vec<Value>,
    degrees: u32,
    /// The square of what sets runs apart besides their readings.
    between: Option<Value>,
}

impl Together {
    /// Runs with something besides their readings that sets them apart.
    fn of_several(subject: &str, means: &[RunMean]) -> Option<Together> {
        let spread = SpreadBetweenRuns::of(subject, means)?;
        Some(Together {
            means: spread.means,
            squared_errors: spread.squared_errors,
            degrees: spread.degrees_of_freedom,
            between: Some(spread.squared),
        })
    }

    /// Runs made with what is set now that are one among themselves, though not with those made
    /// before a change: they need no change to have done what the sheet says. One alone does not
    /// outweigh the others.
    fn of_one(
        subject: &str,
        means: &[RunMean],
        degrees: &[u32],
        several: bool,
    ) -> Option<Together> {
        let subject = [subject, ", with what is set now"].concat();
        let agreement = agreement(&subject, means, degrees, several)?;
        let degrees = *degrees.iter().min()?;
        if agreement.p.number() < TAKEN_FOR_ONE {
            return None;
        }
        let (means, squared_errors) = means_of_one(&subject, means);
        Some(Together { means, squared_errors, degrees, between: None })
    }

    /// Scatter of a single one of a further run, sqrt(s² + spread²), and its degrees of freedom by
    /// Welch and Satterthwaite (GUM, JCGM 100:2008, G.4.1): the squares of run means tell v + spread²
    /// at those of the runs, v being the mean square of their errors, and readings the s² - v that is
    /// left at theirs.
    fn of_a_single_one(
        &self,
        subject: &str,
        square: &Value,
        degrees: u32,
        means: &[RunMean],
    ) -> (Value, u32) {
        let name = ["SD of a single one, ", subject].concat();
        let Some(between) = &self.between else { return (square.root().named(name), degrees) };
        let sd = (square + between).root().named([&name, ", of any run"].concat());
        let of_means: f64 = means.iter().map(|run| run.squared_error.number()).sum();
        #[allow(clippy::cast_precision_loss)] // a count of runs
        let of_means = of_means / means.len() as f64;
        let parts =
            [(square.number() - of_means, degrees), (between.number() + of_means, self.degrees)];
        let together: f64 = parts.iter().map(|(part, df)| part * part / f64::from(*df)).sum();
        let whole = (square.number() + between.number()).powi(2) / together;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // no more than readings
        let whole = (whole * (1.0 + 1e-12)).max(1.0) as u32;
        (sd, whole)
    }

    /// The standard error of the mean of the sides.
    fn standard_error(&self, subject: &str) -> Option<Value> {
        let squares = self.squared_errors.iter().cloned().reduce(|sum, next| sum + next)?;
        let error = squares.root() / count(self.means.len());
        Some(error.named(format!("standard error of {subject} by runs")))
    }
}

/// Whether runs are one, whose readings share a scatter or have several kinds of it.
fn agreement(
    subject: &str,
    means: &[RunMean],
    degrees: &[u32],
    several: bool,
) -> Option<Agreement> {
    match several {
        true => Agreement::by_own_scatter(subject, means, degrees),
        false => Agreement::of(subject, means, *degrees.first()?),
    }
}

/// The square of the scatter of one reading, and its degrees of freedom, for every run: of all of its
/// kind, or of all runs where its kind tells none.
fn by_kind(
    subject: &str,
    runs: &[OneRun],
    moments: &[Moments],
    all: (Value, u32),
) -> Vec<(Value, u32)> {
    let own = |run: &OneRun| {
        let of_kind = runs.iter().zip(moments).filter(|(other, _)| other.kind == run.kind);
        let of_kind: Vec<Moments> = of_kind.map(|(_, moments)| moments.clone()).collect();
        let subject = format!("{subject}, kind {}", run.kind + 1);
        let (square, degrees) = scatter(&subject, &of_kind)?;
        (square.number() > 0.0).then_some((square, degrees))
    };
    if runs.iter().all(|run| run.kind == 0) {
        return vec![all; runs.len()];
    }
    runs.iter().map(|run| own(run).unwrap_or_else(|| all.clone())).collect()
}

/// The square of the scatter of one reading within the runs, with its degrees of freedom.
fn scatter(subject: &str, runs: &[Moments]) -> Option<(Value, u32)> {
    let told = || runs.iter().filter_map(|run| run.scatter.as_ref());
    let degrees =
        told().map(|one| one.degrees_of_freedom.clone()).reduce(|sum, next| sum + next)?;
    let squares = told()
        .map(|one| &one.degrees_of_freedom * one.sd.to_the(2))
        .reduce(|sum, next| sum + next)?;
    let square = (squares / degrees).named(format!("square of the scatter within runs, {subject}"));
    let whole = told().map(crate::statistics::Deviation::whole_degrees).sum();
    (whole > 0).then_some((square, whole))
}

/// A scatter that hides nothing, where the readings of every run are all alike.
fn of_a_hair(runs: &[OneRun], moments: &[Moments]) -> Option<Value> {
    let means = moments.iter().map(|one| one.mean.number());
    let (low, high) = means.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), mean| {
        (low.min(mean), high.max(mean))
    });
    let hair = (high - low) / 1000.0;
    let unit = runs.first()?.each.first()?.unit();
    let name = "square of a scatter that hides nothing";
    (hair > 0.0).then(|| Value::found(name, hair * hair, unit.to_the(2), "all readings alike"))
}

/// How far the two runs of one side that lie furthest apart do.
fn furthest(runs: &[RunMean]) -> Option<Value> {
    let pairs = runs.iter().enumerate().flat_map(|(place, one)| {
        runs[place + 1..]
            .iter()
            .filter(|other| other.side == one.side)
            .map(move |other| (&one.estimate - &other.estimate).magnitude())
    });
    pairs.max_by(|one, other| one.number().total_cmp(&other.number()))
}
