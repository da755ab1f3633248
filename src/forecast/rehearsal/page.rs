//! The rehearsal as a result: its answer, its tables, the arithmetic of the drawing.

use crate::calculations::registry::Job;
use crate::outcome::cautions::ON_THE_RANGE;
use crate::outcome::warning::{LIMIT_TOO_TIGHT, NEVER_MEASURED, NOT_KNOWN, NOT_LIMITED};
use crate::outcome::{Calculation, Cell, Column, Next, Outcome, Table};
use crate::quantity::{MeasureUnit, Unit, brief};
use crate::working::Value;

use super::answer::Answer;
use super::drawing::Draws;
use super::help::Help;
use super::known::{Known, Part, Scatter};
use super::tally::{Spread, Tally};
use super::trial::{Kind, Trial, Trips};
use super::unknowns::Open;

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "rehearse", title: "Rehearsal" };

/// All that a page is made of.
pub(super) struct Drawn<'a> {
    pub(super) job: &'a Job,
    pub(super) trial: &'a Trial,
    pub(super) known: &'a Known,
    pub(super) open: &'a [Open],
    pub(super) draws: Draws,
    pub(super) tally: &'a Tally,
    pub(super) help: &'a [Help],
    pub(super) help_drawn: u64,
    pub(super) advised: bool,
    pub(super) answer: &'a Answer,
    pub(super) wanted: f64,
    pub(super) after: bool,
}

impl Drawn<'_> {
    pub(super) fn outcome(&self) -> Outcome {
        let mut outcome = Outcome::new(CALCULATION);
        outcome.cautions = ON_THE_RANGE.to_vec();
        outcome.tables = vec![self.answer_table(), self.out(), self.helps(), self.inputs()];
        outcome.values = self.values();
        outcome.next = Some(Next::only(CALCULATION, self.answer.words()));
        for open in self.open {
            let kind = if open.decides { &NEVER_MEASURED } else { &NOT_KNOWN };
            outcome.warnings.push(kind.with(format!("{}; {}", open.what, open.effect)));
        }
        let not_limited: Vec<&str> = [Kind::TooLong, Kind::Centre, Kind::Width, Kind::Lead]
            .into_iter()
            .filter(|kind| !self.trial.limits.counts(*kind))
            .map(Kind::limit_key)
            .collect();
        if !not_limited.is_empty() {
            let words = format!("no limit and no tolerance for: {}", not_limited.join(", "));
            outcome.warnings.push(NOT_LIMITED.with(format!("{words}; nothing is counted by them")));
        }
        for words in self.too_tight() {
            outcome.warnings.push(LIMIT_TOO_TIGHT.with(words));
        }
        outcome
    }

    fn unit(&self) -> &'static str {
        self.job.common.units.length.symbol()
    }

    fn answer_table(&self) -> Table {
        let any = self.tally.any();
        let percent = |share: f64| Cell::Number(share * 100.0, 1);
        Table {
            key: "answer",
            title: if self.after {
                "Answer, with the next changes made".into()
            } else {
                "Answer, with the settings as they are held".into()
            },
            columns: vec![
                Column::new("answer", "answer", ""),
                Column::new("pass_percent", "trials pass", "%"),
                Column::new("wanted_percent", "asked for", "%"),
                Column::new("plots", "plots", ""),
                Column::new("out_to_expect", "out", "to expect"),
                Column::new("out_most", "1 trial in 20", "more than"),
            ],
            rows: vec![vec![
                Cell::Text(self.answer.word().into()),
                percent(self.passed()),
                percent(self.wanted),
                count(self.trial.plots()),
                Cell::Number(any.mean(), 1),
                Cell::Count(any.quantile(0.95)),
            ]],
        }
    }

    pub(super) fn passed(&self) -> f64 {
        share(self.tally)
    }

    /// Plots out by kind. The most and the least of nine trials in ten are the 5 % and the 95 % quantile.
    fn out(&self) -> Table {
        let line = |key: &'static str,
                    words: &str,
                    limit: Option<f64>,
                    of: u64,
                    most: Option<u64>,
                    spread: Spread<'_>| {
            vec![
                Cell::Text(words.into()),
                Cell::Text(key.into()),
                limit.map_or(Cell::Empty, |limit| Cell::Number(limit, 2)),
                count(of),
                most.map_or(Cell::Empty, count),
                Cell::Number(spread.mean(), 1),
                Cell::Count(spread.quantile(0.05)),
                Cell::Count(spread.quantile(0.95)),
            ]
        };
        let trial = self.trial;
        let kinds = Kind::ALL.into_iter().filter(|kind| trial.limits.counts(*kind));
        let mut rows: Vec<Vec<Cell>> = kinds
            .map(|kind| {
                let limit = trial.limits.of(kind).filter(|_| kind != Kind::Stand);
                let (of, most) = (trial.with(kind), Some(trial.most_out(kind)));
                line(kind.key(), kind.words(), limit, of, most, self.tally.of(kind))
            })
            .collect();
        rows.push(line("any", "anything", None, trial.plots(), None, self.tally.any()));
        Table {
            key: "out",
            title: "Plots out of limit, and least and most of them in 9 trials of 10".into(),
            columns: vec![
                Column::new("what", "out by", ""),
                Column::new("key", "key", ""),
                Column::new(format!("limit_{}", self.unit()), "limit", self.unit()),
                Column::new("of", "of", ""),
                Column::new("may_be_out", "may be", "out"),
                Column::new("to_expect", "to", "expect"),
                Column::new("least", "least", ""),
                Column::new("most", "most", ""),
            ],
            rows,
        }
    }

    fn helps(&self) -> Table {
        let row = |help: &Help| {
            vec![
                Cell::Text(help.words()),
                Cell::Number(help.saved, 1),
                Cell::Number(2.0 * help.standard_error, 1),
            ]
        };
        Table {
            key: "help",
            title: format!(
                "What would help{} ({} trials drawn anew)",
                if self.advised { ", the changes first, then besides them" } else { "" },
                self.help_drawn
            ),
            columns: vec![
                Column::new("what", "with", ""),
                Column::new("plots_saved", "plots saved", ""),
                Column::new("give_or_take", "give or take", "(2 SE)"),
            ],
            rows: self.help.iter().map(row).collect(),
        }
    }

    /// What the plots are drawn from.
    fn inputs(&self) -> Table {
        let number = |number: f64| Cell::Number(number, 3);
        let row = |what: &str, part: &Part| {
            let shared = part.shared;
            let of = |of: &dyn Fn(super::known::Shared) -> Cell| shared.map_or(Cell::Empty, of);
            vec![
                Cell::Text(what.into()),
                of(&|shared| count(shared.readings.into())),
                of(&|shared| number(shared.estimate)),
                of(&|shared| number(shared.standard_error)),
                of(&|shared| count(shared.degrees.into())),
                of(&|shared| number(shared.between)),
                part.scatter.map_or(Cell::Empty, |Scatter { sd, .. }| number(sd)),
            ]
        };
        let known = self.known;
        let mut rows = vec![];
        if self.trial.trips == Trips::Counted {
            rows.push(row("trip spacing", &known.trip));
        }
        rows.push(row("shift of alleys", &known.centre));
        let marks = Part { shared: known.marks, scatter: None, of_one: false };
        rows.push(row("marks short, going out", &marks));
        rows.push(row("width of alleys", &known.width));
        for (number, part) in known.depths.iter().enumerate() {
            rows.push(row(&format!("depth, row {}", number + 1), part));
        }
        let unit = self.unit();
        let key = |name: &str| format!("{name}_{unit}");
        Table {
            key: "drawn-from",
            title: format!("Drawn from, by `calibrate` (lengths in {unit})"),
            columns: vec![
                Column::new("what", "error of", ""),
                Column::new("readings", "readings", ""),
                Column::new(key("error"), "error", ""),
                Column::new(key("standard_error"), "SE", ""),
                Column::new("degrees_of_freedom", "df", ""),
                Column::new(key("day_sd"), "SD of", "days"),
                Column::new(key("plot_sd"), "SD of", "plots"),
            ],
            rows,
        }
    }

    /// The arithmetic of the drawing: what is counted, how often, and how sure that makes it.
    #[allow(clippy::cast_precision_loss)] // far fewer trials and plots than 2^53
    fn values(&self) -> Vec<Value> {
        let trial = self.trial;
        let found = |name: &'static str, number: f64, how: &'static str| {
            Value::found(name, number, Unit::ONE, how)
        };
        let counted = |name: &'static str, number: u32| found(name, f64::from(number), "counted");
        let plots = (counted("ranges", trial.counted_ranges())
            * counted("passes", trial.passes)
            * counted("plots abreast in a pass", trial.abreast))
        .named("plots of the trial");
        let limits = &self.job.common.limits;
        let of_kind = [
            (&limits.plot, Kind::TooLong),
            (&limits.centre, Kind::Centre),
            (&limits.width, Kind::Width),
            (&limits.lead, Kind::Lead),
            (&limits.depth, Kind::Depth),
        ];
        let counted_by = of_kind.into_iter().filter(|(_, kind)| trial.limits.counts(*kind));
        let mut values = vec![plots];
        values.extend(
            counted_by.filter_map(|(limit, _)| Some(limit.as_ref()?.value(&self.job.common.units))),
        );
        values.push(limits.accept.value());
        if let Some(limit) = trial.limits.stand {
            let name = "limit of a single stand";
            values.push(Value::found(name, limit * 100.0, Unit::PERCENT, "given"));
        }
        if self.known.spacing > 0.0 {
            let unit = self.job.common.units.length.into();
            let name = "seed spacing that the phase of the plate scatters an edge over";
            values.push(Value::found(name, self.known.spacing, unit, "evenly, alley by alley"));
        }
        let seed = found("seed", self.draws.seed as f64, "ChaCha8, a stream a trial");
        let drawn = found("trials drawn", self.tally.drawn() as f64, "asked for, or usual");
        let any = self.tally.any();
        let sum = found(
            "plots out in all trials",
            (any.mean() * self.tally.drawn() as f64).round(),
            "counted",
        );
        let mean = (sum / &drawn).named("plots out to expect");
        let sd = found("SD of plots out, trial to trial", any.sd(), "of the trials drawn");
        let error = (sd / drawn.root()).named("standard error of that by the drawing");
        let passed = found("trials that pass", self.tally.passed() as f64, "counted");
        let share = (passed / &drawn).named("share of the trials that pass");
        let of_share = (&share * (Value::constant(1.0) - &share) / &drawn)
            .root()
            .named("standard error of that share");
        values.extend([seed, mean, error, share, of_share]);
        values
    }

    /// Limits that no setting holds, by closed forms: middles and widths of edges that lie evenly over a
    /// spacing run over triangles.
    fn too_tight(&self) -> Vec<String> {
        let (limits, s, unit) = (&self.trial.limits, self.known.spacing, self.unit());
        let alike = self.known.phases.len() < 2;
        let seeds = |what: &str, limit: Option<f64>, reach: f64| {
            let limit = limit.filter(|limit| *limit < reach && alike)?;
            Some(format!(
                "seeds {} {unit} apart put {:.0} % of {what} beyond {} {unit} by the phase of the plate \
                 alone",
                brief(s),
                (1.0 - limit / reach).powi(2) * 100.0,
                brief(limit)
            ))
        };
        let all = [
            seeds("alley middles", limits.centre, s / 2.0),
            seeds("alley widths", limits.width, s),
            seeds("plot lengths", limits.plot, s),
            self.setback_too_coarse(),
            self.scale_too_coarse(),
        ];
        all.into_iter().flatten().collect()
    }

    fn setback_too_coarse(&self) -> Option<String> {
        let setback = &self.job.alley.as_ref()?.setback;
        let units = &self.job.common.units;
        let step = setback.step(units)?;
        let now = setback.now(units);
        let half = setback.moved_back(&now, &(&now + step / Value::constant(2.0))).number().abs();
        let limit = self.trial.limits.centre.filter(|limit| *limit < half)?;
        Some(format!(
            "a step of the setback leaves alleys up to {} {} off, beyond {}",
            brief(half),
            self.unit(),
            brief(limit)
        ))
    }

    fn scale_too_coarse(&self) -> Option<String> {
        let inputs = self.job.trip.as_ref().filter(|_| self.trial.trips == Trips::Counted)?;
        let units = &self.job.common.units;
        let now = Value::typed("trip scale now", inputs.scale.now, Unit::ONE);
        let step = Value::typed("trip scale step", inputs.scale.step?, Unit::ONE);
        let spacing = units.length("plot", &inputs.plot) + units.length("alley", &inputs.alley);
        let off = &now + step / Value::constant(2.0);
        let half = crate::calculations::trip::error_per_plot(inputs.kind, &spacing, &off, &now);
        let half = half.number().abs();
        let over_pass = half * f64::from(self.trial.tiers() - 1);
        let beyond = |off: f64, limit: Option<f64>| limit.filter(|limit| *limit < off);
        let unit = self.unit();
        if let Some(limit) = beyond(half, self.trial.limits.plot) {
            return Some(format!(
                "a step of the trip scale leaves plots up to {} {unit} off, beyond {}",
                brief(half),
                brief(limit)
            ));
        }
        let limit = beyond(over_pass, self.trial.limits.centre)?;
        Some(format!(
            "a step of the trip scale leaves up to {} {unit} a plot, and {} {unit} at the end of a pass \
             that is counted, beyond {}",
            brief(half),
            brief(over_pass),
            brief(limit)
        ))
    }
}

/// The share of the trials that pass.
#[allow(clippy::cast_precision_loss)] // far fewer trials than 2^53
pub(super) fn share(tally: &Tally) -> f64 {
    tally.passed() as f64 / (tally.drawn() as f64).max(1.0)
}

fn count(number: u64) -> Cell {
    Cell::Count(u32::try_from(number).unwrap_or(u32::MAX))
}
