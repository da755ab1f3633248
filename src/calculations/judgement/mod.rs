//! How far a correction can be trusted, and what that means for the setting.
//!
//! A correction smaller than the scatter of the readings makes the planter worse. So the error
//! that a setting would take out comes with a Student-t interval, and the interval is held
//! against the tolerance:
//!
//! - the whole interval inside the tolerance: keep the setting;
//! - the error told apart from zero, and the interval either no wider each way than the
//!   tolerance or wholly beyond it: change the setting, for what is left is then smaller than
//!   what is there;
//! - else nobody can tell yet: measure more, until the interval reaches no further than half
//!   the tolerance, which always decides.
//!
//! A change takes three readings a side at the least, and an error that is no setting's: one
//! beyond half a trip spacing comes from another alley or mark, and one beyond a tenth of the plot
//! is measured again, as a run of its own, before anything is set.

use crate::outcome::judgement::{ENOUGH_FOR_A_CHANGE, LEAST_FOR_A_CHANGE};
use crate::outcome::{Decision, Judgement, OfOne};
use crate::quantity::at_most;
use std::borrow::Cow;
use std::collections::HashSet;

use crate::quantity::brief;
use crate::statistics::{
    Confidence, Deviation, Interval, LEAST_OUTLIER_LIMIT, Line, Moments, MoreReadings, Outliers,
    TTest, Taken, may_drift, may_stand_apart, median, modified_z, more_readings,
};
use crate::working::Value;

use super::agreement::Apart;
use crate::outcome::warning::{
    DRIFT, NO_TOLERANCE, ONE_READING, OUTLIER, RUNS_APART, SCATTER_LARGE, SCATTER_SMALL,
};
use crate::outcome::wording::in_words;

/// The readings behind an error.
pub(super) struct Evidence<'a> {
    /// What one reading is: "readout", "centre", "lead".
    pub(super) subject: &'static str,
    /// Readings in the order they were measured, in one group, or in two whose means are
    /// averaged; in as many as there are runs where `known` says what they come to.
    pub(super) groups: Vec<Vec<Value>>,
    /// What two groups are called; nothing where there is one only, or one a run.
    pub(super) parted: Option<&'static Parted>,
    /// Mean and scatter of all readings, where they are known already.
    pub(super) known: Option<Moments>,
    /// The error that the setting would take out.
    pub(super) error: Value,
    /// Turns a spread of the readings into a spread of the error.
    pub(super) to_error: &'a dyn Fn(Value) -> Value,
    /// Scatter of one reading that seed spacing alone brings.
    pub(super) jitter: Option<Value>,
    /// The error that may stand.
    pub(super) tolerance: Option<Value>,
    /// Name of the tolerance in the sheet.
    pub(super) tolerance_key: &'static str,
    /// Key of the calculation, for `--without`.
    pub(super) key: &'static str,
    /// How sure the interval is to hold the truth.
    pub(super) confidence: Confidence,
    /// Whether the order is that of the plots along a pass, so that drift means something.
    pub(super) in_plot_order: bool,
    /// Readings that were left out, by their place in the sheet counted from one through all
    /// groups.
    pub(super) left_out: &'a [usize],
    /// How far is too far for an error, where the sheet says how far mark stands from mark.
    pub(super) reach: Option<Reach>,
    /// What the runs come to, where they are not one.
    pub(super) apart: Option<&'a Apart>,
    /// The runs of each group, in the order of its readings, where they are known.
    pub(super) of_runs: Vec<Vec<OfRun>>,
    /// Whether something sets the runs apart: a reading is then held against those of its own run.
    pub(super) by_run: bool,
}

/// A run of readings, as the sheet has it.
#[derive(Clone, Copy, Debug)]
pub(super) struct OfRun {
    /// What `record` calls its kind.
    pub(super) kind: &'static str,
    /// Which of its kind in the sheet, counted from one.
    pub(super) number: Option<usize>,
    /// How many readings it has.
    pub(super) count: usize,
}

/// How far is too far for an error.
pub(super) struct Reach {
    /// Length of a plot.
    pub(super) plot: Value,
    /// Mark to mark.
    pub(super) trip_spacing: Value,
    /// What was measured that can't be more than half of that, with its name.
    pub(super) measured: Value,
    /// What was measured instead, where it is more.
    pub(super) instead: &'static str,
    /// The error by each run alone.
    pub(super) by_run: Vec<f64>,
}

impl Reach {
    /// What is to be done first about an error that is too large to be a setting's.
    fn too_far(&self, error: &Value) -> Option<String> {
        let half = self.trip_spacing.number() / 2.0;
        if !at_most(self.measured.number().abs(), half) {
            return Some(format!(
                "a {} of {} is more than half the trip spacing of {}: {}; measure again",
                self.measured.name().unwrap_or_default(),
                in_words(&self.measured),
                in_words(&self.trip_spacing),
                self.instead
            ));
        }
        let tenth = self.plot.number() / 10.0;
        let beyond = |error: &f64| !at_most(error.abs(), tenth);
        let said_twice = self.by_run.len() > 1
            && self.by_run.iter().all(|one| beyond(one) && one * error.number() > 0.0);
        (beyond(&error.number()) && !said_twice).then(|| {
            format!(
                "{} is more than a tenth of the plot of {}: measure it again, as a run of its \
                 own, before anything is set",
                in_words(error),
                in_words(&self.plot)
            )
        })
    }
}

impl Evidence<'_> {
    /// The word for one of two groups; a group that is the only one needs none.
    fn word_of(&self, words: fn(&Parted) -> [&'static str; 2], index: usize) -> &'static str {
        let parted = self.parted.filter(|_| self.groups.len() > 1);
        parted.and_then(|parted| words(parted).get(index).copied()).unwrap_or_default()
    }

    /// The runs of a group, where they are known and hold all of its readings.
    fn runs_of(&self, index: usize) -> &[OfRun] {
        let runs = self.of_runs.get(index).map_or(&[][..], Vec::as_slice);
        let count: usize = runs.iter().map(|run| run.count).sum();
        let whole = self.groups.get(index).is_some_and(|group| group.len() == count);
        if whole { runs } else { &[] }
    }

    /// Where in the sheet a reading of a group stands, and how its run is taken anew.
    fn whose(&self, group: usize, reading: usize) -> (String, String) {
        let mut before = 0;
        for run in self.runs_of(group) {
            let here = reading.checked_sub(before).filter(|here| *here < run.count);
            let Some((here, number)) = here.zip(run.number) else {
                before += run.count;
                continue;
            };
            let kind = run.kind;
            // Readings that are left out are not counted here.
            let nth = match self.left_out.is_empty() {
                true => format!("number {} of {kind} run {number}", here + 1),
                false => format!("of {kind} run {number}"),
            };
            let anew = format!(
                " (a slip of the pen is mended by `alleytrue record SHEET {kind} --replace {number}`)"
            );
            return (format!(", {nth}"), anew);
        }
        (String::new(), String::new())
    }

    /// What stands behind the names of a group's figures.
    fn tag(&self, index: usize) -> Cow<'static, str> {
        if self.known.is_some() && self.groups.len() > 1 {
            return format!(", run {}", index + 1).into();
        }
        self.word_of(|parted| parted.tags, index).into()
    }
}

/// What two groups of readings are called.
pub(super) struct Parted {
    /// Behind the names of each group's figures.
    pub(super) tags: [&'static str; 2],
    /// Behind the readings of each group, in a sentence.
    pub(super) ways: [&'static str; 2],
    /// Both together.
    pub(super) both: &'static str,
}

/// Passes out and passes home.
pub(super) static BY_HEADING: Parted = Parted {
    tags: [", out", ", home"],
    ways: [" going out", " coming home"],
    both: "both headings",
};

/// Where an error with its interval stands against the tolerance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Stands {
    /// The whole interval is inside.
    Inside,
    /// Told apart from zero, and what is left after a change is smaller than what is there.
    Off,
    /// Nobody can tell yet.
    Unsure,
}

/// The rule of this page for an error without its sign, the half width of its interval and the
/// tolerance.
pub(super) fn stands(error: f64, half: f64, tolerance: f64) -> Stands {
    if at_most(error + half, tolerance) {
        Stands::Inside
    } else if error > half && (at_most(half, tolerance) || !at_most(error - half, tolerance)) {
        Stands::Off
    } else {
        Stands::Unsure
    }
}

/// Drift is remarked on at this confidence, whatever the interval's. Readings far from the line
/// are left out first, which makes the test a little eager: about one level run in a hundred
/// raises a false alarm (simulated).
const DRIFT_CONFIDENCE: f64 = 0.995;
/// Readings below which drift and scatter are not judged.
const ENOUGH_TO_JUDGE: usize = 5;
/// Scatter beyond this many times the jitter, or below its inverse, is remarked on.
const UNUSUAL: f64 = 3.0;

impl Judgement {
    pub(super) fn of(evidence: &Evidence<'_>) -> Option<Judgement> {
        let moments = moments(evidence)?;
        let count: usize = evidence.groups.iter().map(Vec::len).sum();
        let fewest = sides(evidence).into_iter().min().unwrap_or_default();
        let spread = spread(evidence, &moments);
        let interval = spread.as_ref().map(|spread| spread.interval.clone());
        let mut judgement = Judgement {
            subject: evidence.subject,
            count,
            fewest,
            means: moments.iter().map(|group| group.mean.clone()).collect(),
            sd: spread.as_ref().map(|spread| spread.sd.clone()),
            jitter: evidence.jitter.clone(),
            error: evidence.error.clone(),
            interval,
            degrees: spread.as_ref().map(|spread| spread.degrees_of_interval),
            scatter: spread.as_ref().map(|spread| (evidence.to_error)(spread.used.clone())),
            degrees_of_scatter: spread.as_ref().map_or(0, |spread| spread.degrees),
            between: evidence.apart.and_then(|apart| apart.between.clone()),
            tolerance: evidence.tolerance.clone(),
            confidence: evidence.confidence,
            of_one: spread.as_ref().and_then(|spread| of_one(evidence, &moments, spread)),
            decision: Decision::Change,
            more: None,
            warnings: vec![],
            figures: vec![],
        };
        judgement.decide(evidence, spread.as_ref());
        judgement.remark(evidence);
        if let Some(apart) = evidence.apart {
            judgement.say_apart(apart);
        }
        Some(judgement)
    }

    fn decide(&mut self, evidence: &Evidence<'_>, spread: Option<&Scatter>) {
        let error = self.error.number().abs();
        let Some(spread) = spread else {
            let single = if self.count == 1 {
                format!("a single {}", self.subject)
            } else {
                format!("one {} each way", self.subject)
            };
            self.warnings.push(ONE_READING.with(format!("{single} says nothing of its scatter")));
            self.decision = Decision::Measure(self.too_far(evidence).unwrap_or_else(|| {
                format!(
                    "{single} can't be told from scatter: measure {} more",
                    10_usize.saturating_sub(self.count)
                )
            }));
            return;
        };
        let half = spread.interval.half_width.number();
        if spread.used.number() == 0.0 {
            self.warnings.push(SCATTER_SMALL.with(format!(
                "all {} {}s are alike: they tell nothing of their scatter, which can't be none",
                self.count, self.subject
            )));
            if self.count < ENOUGH_TO_JUDGE {
                self.decision = Decision::Measure(format!(
                    "{} {}s, all alike, tell nothing of their scatter: measure {} more",
                    self.count,
                    self.subject,
                    10_usize.saturating_sub(self.count)
                ));
                return;
            }
        }
        let Some(tolerance) = &self.tolerance else {
            self.warnings.push(
                NO_TOLERANCE.with(format!("[trial.tolerance] has no `{}`", evidence.tolerance_key)),
            );
            if error <= half || error == 0.0 {
                self.decision = Decision::Keep(format!(
                    "the error of {} is not told apart from zero (no tolerance in the sheet)",
                    in_words(&self.error)
                ));
            } else {
                self.change(evidence);
            }
            return;
        };
        let typed = tolerance.typed_text().unwrap_or_default().into_owned();
        match stands(error, half, tolerance.number()) {
            Stands::Inside => {
                self.decision = Decision::Keep(format!("inside the tolerance of {typed}"));
            }
            Stands::Off => self.change(evidence),
            Stands::Unsure => self.measure_more(evidence, spread, &typed),
        }
    }

    /// Names the runs that are not one. Where they leave it open, another run tells, and not more
    /// readings of these.
    fn say_apart(&mut self, apart: &Apart) {
        self.figures.extend(apart.figures.iter().cloned());
        if !apart.is_said {
            return;
        }
        let words = format!("the runs disagree by more than their scatter: {}", apart.words);
        self.warnings.push(RUNS_APART.with(words.clone()));
        let open = matches!(self.decision, Decision::Measure(_));
        if open || apart.decides_nothing(self.tolerance.as_ref()) {
            self.decision = Decision::Measure(format!(
                "{words}; find out what was different (seed, soil, tyres, slope, hand), or measure a \
                 further run"
            ));
        }
    }

    fn too_far(&self, evidence: &Evidence<'_>) -> Option<String> {
        evidence.reach.as_ref()?.too_far(&self.error)
    }

    /// A change, where the error is one that a setting makes and readings enough say so.
    pub(super) fn change(&mut self, evidence: &Evidence<'_>) {
        self.decision = match self.too_far(evidence).or_else(|| self.too_few(evidence)) {
            Some(words) => Decision::Measure(words),
            None => Decision::Change,
        };
    }

    /// What is missing where there are too few readings on a side to change anything by.
    fn too_few(&self, evidence: &Evidence<'_>) -> Option<String> {
        let sides = sides(evidence);
        let (side, few) =
            sides.iter().copied().enumerate().find(|(_, count)| *count < LEAST_FOR_A_CHANGE)?;
        let way = evidence.word_of(|parted| parted.ways, side);
        let more = if sides.len() == 1 {
            10_usize.saturating_sub(self.count)
        } else {
            ENOUGH_FOR_A_CHANGE - few
        };
        let s = if few == 1 { " is" } else { "s are" };
        Some(format!(
            "{few} {}{s} too few{way} to change anything by: measure {more} more",
            self.subject
        ))
    }

    /// Too wide an interval to tell: how many more readings would settle it.
    fn measure_more(&mut self, evidence: &Evidence<'_>, spread: &Scatter, tolerance: &str) {
        let Some(limit) = &self.tolerance else { return };
        if evidence.apart.is_some() {
            self.decision = Decision::Measure(format!(
                "the runs leave {} give or take {}, which can't be told from the tolerance of \
                 {tolerance}: measure a further run",
                in_words(&self.error),
                in_words(&spread.interval.half_width)
            ));
            return;
        }
        let wanted = (limit / Value::constant(2.0)).named("half width that decides");
        let taken = taken(evidence, spread.degrees);
        let sd = (evidence.to_error)(spread.used.clone())
            .named(format!("scatter of {} by one {}", spread.error_name, self.subject));
        let need = more_readings(self.subject, &taken, Some(&sd), None, &wanted, self.confidence);
        if let Some(need) = need.as_ref().filter(|need| need.more_than) {
            let narrower = wanted.number() / need.half_width.number();
            let first = format!(
                "{} give or take {} can't be told from the tolerance of {tolerance}",
                in_words(&self.error),
                in_words(&spread.interval.half_width)
            );
            self.decision = Decision::Measure(too_many(evidence, narrower, &first));
            self.figures.extend([wanted, need.half_width.clone()]);
            return;
        }
        let many = need.as_ref().is_none_or(|need| need.in_all.number() > 20.0);
        let mut each_way = String::new();
        let more = need.map_or_else(
            || "more".to_owned(),
            |need| {
                let words = readings_wanted(&need);
                each_way = where_to_take_them(evidence, &taken, &need);
                self.more = Some(more_of(&need));
                self.figures.extend([wanted, need.half_width, need.more]);
                words
            },
        );
        let ten = taken
            .half_width(&sd, 10, self.confidence)
            .map(|ten| ten.named("half width that ten readings give"));
        let ten = match (ten, many) {
            (Some(ten), true) => {
                let words = format!(" (ten in all would tell it to {})", in_words(&ten));
                self.figures.push(ten);
                words
            }
            _ => String::new(),
        };
        self.decision = Decision::Measure(format!(
            "{} give or take {} can't be told from the tolerance of {tolerance}: measure {more} \
             {}{}{each_way}{ten}",
            in_words(&self.error),
            in_words(&spread.interval.half_width),
            self.subject,
            if more == "1 more" { "" } else { "s" }
        ));
    }

    /// Outliers, drift and unusual scatter, group by group.
    fn remark(&mut self, evidence: &Evidence<'_>) {
        for (index, (group, places)) in evidence.groups.iter().zip(places(evidence)).enumerate() {
            let runs = evidence.runs_of(index);
            if evidence.by_run && runs.len() > 1 {
                self.remark_on_runs(evidence, group, &places, (index, runs));
            } else if group.len() >= ENOUGH_TO_JUDGE {
                self.remark_on_group(evidence, group, &places, index);
            }
        }
        self.scatter();
    }

    /// Where something sets runs apart, an outlier is one that lies far from the rest of its own run.
    fn remark_on_runs(
        &mut self,
        evidence: &Evidence<'_>,
        group: &[Value],
        places: &[usize],
        (index, runs): (usize, &[OfRun]),
    ) {
        let tag = evidence.tag(index);
        let mut off = Vec::with_capacity(group.len());
        let mut rest = group;
        for (number, run) in (1..).zip(runs) {
            let (own, others) = rest.split_at(run.count);
            let name = format!("{}{tag}, in run {number} of them", evidence.subject);
            let Some(middle) = median(format!("median {name}"), own) else { return };
            off.extend(own.iter().map(|reading| reading - &middle));
            rest = others;
        }
        let subject = format!("{} off the middle of its run{tag}", evidence.subject);
        if let Some(found) = modified_z(&subject, &off) {
            self.say_outliers(evidence, &found, (&off, group, places), index);
        }
    }

    /// Where the readings drift, an outlier is one that lies far from the drift's line; where
    /// they don't, one that lies far from the rest. The drift itself is tested without the
    /// readings that lie far from its line, which would hide it or look like it.
    fn remark_on_group(
        &mut self,
        evidence: &Evidence<'_>,
        group: &[Value],
        places: &[usize],
        index: usize,
    ) {
        if !worth_a_look(evidence, group, places) {
            return;
        }
        let tag = evidence.tag(index);
        let number = |place: &usize| u32::try_from(*place).unwrap_or(u32::MAX);
        let plots: Vec<(u32, Value)> =
            places.iter().map(number).zip(group.iter().cloned()).collect();
        // Names of their own, since these lines rest on other readings than the mean does.
        let along = format!("line through all{tag}");
        let off = format!("{} off its line{tag}", evidence.subject);
        let about_line = evidence.in_plot_order.then(|| residuals(&along, &plots));
        let off_line = about_line
            .flatten()
            .and_then(|residuals| Some((modified_z(&off, &residuals)?, residuals)));
        let rest: Vec<(u32, Value)> = plots
            .iter()
            .enumerate()
            .filter(|(index, _)| {
                off_line.as_ref().is_none_or(|(found, _)| !found.flagged.contains(index))
            })
            .map(|(_, point)| point.clone())
            .collect();
        let along = format!("drift{tag}");
        let drift = evidence.in_plot_order.then(|| drift(&along, &rest)).flatten();
        match (drift, off_line) {
            (Some(drift), Some((found, residuals))) => {
                let way = evidence.word_of(|parted| parted.ways, index);
                self.say_drift(&drift, group, places, way);
                self.say_outliers(evidence, &found, (&residuals, group, places), index);
            }
            _ => {
                let subject = format!("{}{tag}", evidence.subject);
                if let Some(found) = modified_z(&subject, group) {
                    self.say_outliers(evidence, &found, (group, group, places), index);
                }
            }
        }
    }

    /// Readings far from where they should be, named by their place, left in. What the phase of
    /// the plate alone can do is no outlier, however closely the other readings happen to agree.
    fn say_outliers(
        &mut self,
        evidence: &Evidence<'_>,
        found: &Outliers,
        (judged, group, places): (&[Value], &[Value], &[usize]),
        of_group: usize,
    ) {
        let by_seeds = self.jitter.as_ref().map_or(0.0, Value::number) * LEAST_OUTLIER_LIMIT;
        let harmless = self.tolerance.as_ref().map_or(0.0, Value::number);
        for index in &found.flagged {
            let off = (&judged[*index] - &found.median).magnitude();
            // A reading that is off by less than the tolerance moves no setting by itself.
            if off.number() <= by_seeds || (evidence.to_error)(off).number() <= harmless {
                continue;
            }
            let place = places[*index];
            let score = &found.scores[*index];
            let (whose, anew) = evidence.whose(of_group, *index);
            self.warnings.push(OUTLIER.with(format!(
                "{} {place} ({}{whose}) lies far from the rest (score {}, limit {}); look at it \
                 again{anew}; it counts until it is left out by --without {}:{place}",
                self.subject,
                in_words(&group[*index]),
                brief(score.number()),
                brief(found.limit),
                evidence.key
            )));
            self.figures.push(score.clone());
            // More readings can't make up for one that may be a slip.
            if matches!(self.decision, Decision::Measure(_)) {
                self.decision = Decision::Measure(format!(
                    "{} {place} ({}{whose}) lies far from the rest: look at it again before more is \
                     measured{anew}, or leave it out by --without {}:{place}",
                    self.subject,
                    in_words(&group[*index]),
                    evidence.key
                ));
            }
        }
    }

    /// A drift matters where it takes the readings further than the tolerance over the pass.
    fn say_drift(&mut self, drift: &TTest, group: &[Value], places: &[usize], way: &str) {
        let per_plot = drift.estimate.number();
        let plots = places.last().zip(places.first()).map_or(0, |(last, first)| last - first);
        let over_pass = per_plot.abs() * count_number(plots);
        if self.tolerance.as_ref().is_some_and(|tolerance| over_pass <= tolerance.number()) {
            return;
        }
        let words = format!(
            "the {}s{way} {} by {} {} a plot along the pass",
            self.subject,
            if per_plot > 0.0 { "grow" } else { "fall" },
            brief(per_plot.abs()),
            group[0].unit_text()
        );
        self.warnings.push(DRIFT.with(format!("{words}, more than scatter would make them")));
        self.figures.push(drift.estimate.clone());
        self.figures.extend(drift.t.clone());
        self.figures.extend(drift.p.clone());
        if !matches!(self.decision, Decision::Wait(_)) {
            self.decision = Decision::Wait(format!(
                "{words}: a mean hides that; plant and measure a further run first: if it does so \
                 too, find out what changes along the pass (speed, soil, slope, where the tape \
                 starts)"
            ));
        }
    }

    fn scatter(&mut self) {
        let (Some(sd), Some(jitter)) = (&self.sd, &self.jitter) else { return };
        if self.count < ENOUGH_TO_JUDGE || jitter.number() <= 0.0 {
            return;
        }
        let ratio = sd.number() / jitter.number();
        let words = format!("SD {}, {} from seed spacing alone", in_words(sd), in_words(jitter));
        if ratio < 1.0 / UNUSUAL {
            self.warnings.push(SCATTER_SMALL.with(format!(
                "the {}s scatter less than seeds can fall ({words}); were they read one by one?",
                self.subject
            )));
        } else if ratio > UNUSUAL {
            self.warnings.push(SCATTER_LARGE.with(format!(
                "the {}s scatter far more than seeds alone would make them ({words}); look for \
                 what else moves the edges",
                self.subject
            )));
        }
    }
}

/// Whether any reading can be an outlier, or the readings drift: most groups are neither, and
/// need no working for it.
fn worth_a_look(evidence: &Evidence<'_>, group: &[Value], places: &[usize]) -> bool {
    let readings: Vec<f64> = group.iter().map(Value::number).collect();
    let drifts = || {
        let plots: Vec<(f64, f64)> =
            places.iter().map(|place| count_number(*place)).zip(readings.iter().copied()).collect();
        Confidence::new(DRIFT_CONFIDENCE).is_none_or(|sure| may_drift(&plots, sure))
    };
    may_stand_apart(&readings) || (evidence.in_plot_order && drifts())
}

/// The line through readings against their plot number.
fn line(subject: &str, plots: &[(u32, Value)]) -> Option<(Line, Vec<(Value, Value)>)> {
    let points: Vec<(Value, Value)> =
        plots.iter().map(|(plot, y)| (Value::constant(f64::from(*plot)), y.clone())).collect();
    let line = Line::fit(&format!("plot for {subject}"), subject, &points)?;
    Some((line, points))
}

/// The readings less the line through them.
fn residuals(subject: &str, plots: &[(u32, Value)]) -> Option<Vec<Value>> {
    let (line, points) = line(subject, plots)?;
    Some(points.iter().map(|(plot, y)| y - (&line.intercept + &line.slope * plot)).collect())
}

/// A slope along the pass that scatter would not make.
fn drift(subject: &str, plots: &[(u32, Value)]) -> Option<TTest> {
    if plots.len() < ENOUGH_TO_JUDGE {
        return None;
    }
    let test = line(subject, plots)?.0.slope_test()?;
    test.differs_from_zero(Confidence::new(DRIFT_CONFIDENCE)?).then_some(test)
}

#[allow(clippy::cast_precision_loss)] // far fewer readings than 2^53
fn count_number(count: usize) -> f64 {
    count as f64
}

/// How many readings there are a side: of each heading, or of all together where `known` says what
/// they come to.
fn sides(evidence: &Evidence<'_>) -> Vec<usize> {
    let counts = evidence.groups.iter().map(Vec::len);
    if evidence.known.is_some() { vec![counts.sum()] } else { counts.collect() }
}

/// The readings taken, for a plan of more that is judged as these are.
fn taken(evidence: &Evidence<'_>, degrees: u32) -> Taken {
    let number = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
    match evidence.groups.as_slice() {
        [first, second] if evidence.known.is_none() => {
            let tags = evidence.parted.map_or([", first", ", second"], |parted| parted.tags);
            Taken::two_groups(tags, [first, second].map(|group| number(group.len())))
        }
        groups => Taken::at_degrees(number(groups.iter().map(Vec::len).sum()), degrees),
    }
}

/// Of which group the readings are wanted, where as many of both will not do.
fn where_to_take_them(evidence: &Evidence<'_>, taken: &Taken, need: &MoreReadings) -> String {
    let way = |index| evidence.word_of(|parted| parted.ways, index);
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a count of readings
    let each = taken.more_each_way(need.in_all.number() as u32);
    match each {
        Some([first, second]) if first.abs_diff(second) > 1 => match (first, second) {
            (_, 0) => format!(",{}", way(0)),
            (0, _) => format!(",{}", way(1)),
            _ => format!(", {first}{} and {second}{}", way(0), way(1)),
        },
        _ => String::new(),
    }
}

/// The places of the readings in the sheet, group by group; those that are left keep theirs.
fn places(evidence: &Evidence<'_>) -> Vec<Vec<usize>> {
    let left_out: HashSet<usize> = evidence.left_out.iter().copied().collect();
    let mut places = (1..).filter(|place| !left_out.contains(place));
    evidence.groups.iter().map(|group| places.by_ref().take(group.len()).collect()).collect()
}

/// What to do where more readings would be needed than anybody counts: look at the reading without
/// which the scatter is as small as `narrower` asks for, as a share of what it is, or else at what
/// scatters them all.
fn too_many(evidence: &Evidence<'_>, narrower: f64, first: &str) -> String {
    let Evidence { subject, groups, .. } = evidence;
    let seeds = evidence.jitter.as_ref().map_or(0.0, Value::number);
    let now = sd_without(groups, None).max(seeds);
    let alone = furthest(groups)
        .filter(|reading| at_most(sd_without(groups, Some(*reading)).max(seeds), narrower * now));
    match alone {
        Some((group, reading)) => {
            let place = places(evidence)[group][reading];
            format!(
                "{first}: {subject} {place} ({}) alone keeps it from being told; look at that \
                 reading before more is measured, or leave it out by --without {}:{place}",
                in_words(&groups[group][reading]),
                evidence.key
            )
        }
        _ => format!(
            "{first}, and too many {subject}s to count would have to be measured: find out what \
             scatters them"
        ),
    }
}

/// The reading, as its group and its place there, that brings most to the squares of the scatter
/// within the groups: its own distance d from the mean of its n takes d² n / (n - 1) with it.
fn furthest(groups: &[Vec<Value>]) -> Option<(usize, usize)> {
    let brings = groups.iter().enumerate().flat_map(|(group, readings)| {
        let numbers: Vec<f64> = readings.iter().map(Value::number).collect();
        let count = count_number(numbers.len());
        let mean = numbers.iter().sum::<f64>() / count;
        let share = if numbers.len() > 1 { count / (count - 1.0) } else { 0.0 };
        (0..).zip(numbers).map(move |(place, one)| ((one - mean).powi(2) * share, (group, place)))
    });
    brings.max_by(|one, other| one.0.total_cmp(&other.0)).map(|(_, reading)| reading)
}

/// The standard deviation of one reading, within the groups, without the one given by its group
/// and place; without end where that leaves nothing to go by.
fn sd_without(groups: &[Vec<Value>], reading: Option<(usize, usize)>) -> f64 {
    let (mut squares, mut degrees) = (0.0, 0.0);
    for (index, of_group) in groups.iter().enumerate() {
        let is_left = |place: &usize| Some((index, *place)) != reading;
        let left: Vec<f64> =
            (0..of_group.len()).filter(is_left).map(|place| of_group[place].number()).collect();
        let count = count_number(left.len());
        let mean = left.iter().sum::<f64>() / count;
        squares += left.iter().map(|one| (one - mean).powi(2)).sum::<f64>();
        degrees += (count - 1.0).max(0.0);
    }
    if degrees < 1.0 { f64::INFINITY } else { (squares / degrees).sqrt() }
}

fn readings_wanted(need: &MoreReadings) -> String {
    let more = need.more.number().max(1.0);
    format!("{} more", brief(more))
}

/// The same as a number of readings.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a count of readings
fn more_of(need: &MoreReadings) -> usize {
    need.more.number().max(1.0) as usize
}

fn moments(evidence: &Evidence<'_>) -> Option<Vec<Moments>> {
    if let Some(known) = &evidence.known {
        return Some(vec![known.clone()]);
    }
    evidence
        .groups
        .iter()
        .enumerate()
        .map(|(index, group)| {
            let tag = evidence.word_of(|parted| parted.tags, index);
            Moments::of(&[evidence.subject, tag].concat(), group)
        })
        .collect()
}

/// Scatter of one reading and the interval of the error.
struct Scatter {
    sd: Value,
    /// The larger of the scatter seen and the jitter that must be there.
    used: Value,
    /// Degrees of freedom of that scatter.
    degrees: u32,
    /// Degrees of freedom of the interval.
    degrees_of_interval: u32,
    interval: Interval,
    error_name: String,
}

/// Standard deviation of one reading and the interval of the error. Two groups share one
/// standard deviation, sqrt(((n1 - 1) s1^2 + (n2 - 1) s2^2) / (n1 + n2 - 2)), and the mean of
/// their means has the standard error s sqrt(1/n1 + 1/n2) / 2 (NIST/SEMATECH e-Handbook
/// 7.3.1, pooled standard deviation).
fn spread(evidence: &Evidence<'_>, moments: &[Moments]) -> Option<Scatter> {
    let degrees = degrees(moments);
    let t = evidence.confidence.t(degrees)?;
    let sd = match moments {
        [one] => one.scatter.as_ref()?.sd.clone(),
        groups => pooled(evidence, groups)?,
    };
    let used = match &evidence.jitter {
        Some(jitter) if jitter.number() > sd.number() => jitter.clone(),
        _ => sd.clone(),
    };
    let of_mean = match moments {
        [one] => &used / one.count.root(),
        groups => {
            let inverse = groups.iter().map(|group| Value::constant(1.0) / &group.count);
            let sum = inverse.reduce(|sum, next| sum + next)?;
            &used * sum.root() / Value::constant(count_number(groups.len()))
        }
    };
    let error_name = evidence.error.name().unwrap_or(evidence.subject).to_owned();
    let by_readings = (evidence.to_error)(of_mean);
    let (standard_error, t) = match evidence.apart {
        Some(apart) => (apart.standard_error.clone(), evidence.confidence.t(apart.degrees)?),
        None => (by_readings.named(["standard error of ", &error_name].concat()), t),
    };
    let interval = Interval::around(&error_name, &evidence.error, standard_error, t);
    let degrees_of_interval = evidence.apart.map_or(degrees, |apart| apart.degrees);
    Some(Scatter { sd, used, degrees, degrees_of_interval, interval, error_name })
}

/// Scatter of a single one; `None` where the readings are all alike, which says nothing of it.
fn of_one(evidence: &Evidence<'_>, moments: &[Moments], spread: &Scatter) -> Option<OfOne> {
    if let Some(apart) = evidence.apart {
        let errors = apart.squared_errors.iter().zip(1..).map(|(square, side)| {
            square.root().named(format!("standard error of {}, side {side}", spread.error_name))
        });
        return Some(OfOne {
            sd: apart.sd_of_one.clone(),
            degrees: apart.degrees_of_one,
            standard_errors: errors.collect(),
        });
    }
    let sd = (evidence.to_error)(spread.used.clone())
        .named(["scatter by one ", evidence.subject].concat());
    let standard_errors = match moments {
        [_] => vec![spread.interval.standard_error.clone()],
        groups => (0..)
            .zip(groups)
            .map(|(index, group)| {
                let tag = evidence.word_of(|parted| parted.tags, index);
                let error = &sd / group.count.root();
                error.named(format!("standard error of {}{tag}", spread.error_name))
            })
            .collect(),
    };
    (sd.number() > 0.0).then_some(OfOne { sd, degrees: spread.degrees, standard_errors })
}

/// Degrees of freedom of the interval: those of all groups together.
fn degrees(moments: &[Moments]) -> u32 {
    moments.iter().filter_map(|one| one.scatter.as_ref()).map(Deviation::whole_degrees).sum()
}

fn pooled(evidence: &Evidence<'_>, groups: &[Moments]) -> Option<Value> {
    let spreads: Vec<_> = groups.iter().filter_map(|group| group.scatter.as_ref()).collect();
    let squares = spreads
        .iter()
        .map(|spread| &spread.degrees_of_freedom * spread.sd.to_the(2))
        .reduce(|sum, next| sum + next)?;
    let degrees = spreads
        .iter()
        .map(|spread| spread.degrees_of_freedom.clone())
        .reduce(|sum, next| sum + next)?;
    let both = evidence.parted.map_or("together", |parted| parted.both);
    Some((squares / degrees).root().named(["SD ", evidence.subject, ", ", both].concat()))
}

#[cfg(test)]
mod tests;
