//! Leads: how far alleys lie ahead of their neighbours', and the shift of each pass that they give.

use crate::outcome::{Judgement, OfOne, Then};
use crate::quantity::Length;
use crate::statistics::{self, Moments};
use crate::working::{Units, Value};

use super::agreement::{Apart, OneRun, name_of_run};
use super::common::Common;
use super::edges::EdgesSince;
use super::jitter::{self, Seeds};
use super::judgement::{Evidence, OfRun, Reach};
use super::offsets::Rank;
use super::single;

/// What one reading is.
pub(super) const SUBJECT: &str = "lead";
/// The calculation whose readings they are, for `--without`.
pub(super) const KEY: &str = "passes";

/// Leads of one pass pair.
#[derive(Clone, Debug)]
pub struct LeadRun {
    /// Which of its kind in the sheet, counted from one, where it is of one.
    pub number: Option<usize>,
    /// How far each alley lies ahead of its neighbour's, seen in its own pass's travel, in the order
    /// of the plots.
    pub leads: Vec<Length>,
    /// What was set otherwise when they were planted.
    pub then: Vec<Then>,
    /// What other timers since have done to the edges of their alleys.
    pub edges: Option<EdgesSince>,
    /// The row that was taped on both passes, where row units don't sit in one line.
    pub rank: Option<Rank>,
}

/// A run made with what is set now.
impl From<Vec<Length>> for LeadRun {
    fn from(leads: Vec<Length>) -> Self {
        LeadRun { number: None, leads, then: vec![], edges: None, rank: None }
    }
}

impl LeadRun {
    /// The leads as they would be with what is set now: both passes come ahead in their own travel,
    /// so a lead grows by twice that.
    pub(crate) fn at_present(&self, units: &Units) -> Vec<Value> {
        let leads = units.readings(&self.leads);
        let by_settings = Then::all_ahead(&self.then, None, units);
        let by_timers = self.edges.as_ref().map(EdgesSince::middle);
        let by_rank = self.rank.as_ref().map(|rank| rank.to_middle(units));
        let all = by_settings.into_iter().chain(by_timers).chain(by_rank);
        let Some(since) = all.reduce(|sum, next| sum + next) else {
            return leads;
        };
        leads.into_iter().map(|lead| lead + Value::constant(2.0) * &since).collect()
    }

    /// Its place in the sheet, and how many leads it has.
    fn size(&self) -> OfRun {
        OfRun { kind: "pass", number: self.number, count: self.leads.len() }
    }

    /// The shifts that the leads say, one by one.
    pub(super) fn shifts(&self, units: &Units) -> Vec<Value> {
        self.at_present(units).iter().map(shift_from_lead).collect()
    }
}

/// How far every alley lies too far along in its own direction of travel: mean lead / 2, since
/// the lead holds the shift of both passes.
///
/// ```
/// use alleytrue::calculations::passes::shift_from_lead;
/// use alleytrue::quantity::{Decimal, LengthUnit, Unit};
/// use alleytrue::working::Value;
/// let lead = Value::typed("mean lead", Decimal::whole(4), Unit::from(LengthUnit::Inch));
/// assert_eq!(shift_from_lead(&lead).number(), 2.0); // common practice, no source
/// ```
#[must_use]
pub fn shift_from_lead(mean_lead: &Value) -> Value {
    mean_lead / Value::constant(2.0)
}

/// What there is to go by besides the leads themselves.
#[derive(Clone, Copy)]
pub(super) struct Trial<'a> {
    /// The seeds, for the scatter they bring by themselves.
    pub(super) seeds: Option<&'a Seeds>,
    /// Plot length, where known.
    pub(super) plot: Option<&'a Length>,
    /// Alley width, where known.
    pub(super) alley: Option<&'a Length>,
}

/// What all leads say together.
pub(super) struct Leads<'a> {
    runs: &'a [LeadRun],
    trial: Trial<'a>,
    readings: Vec<Value>,
    moments: Moments,
    jitter: Option<Value>,
    apart: Option<Apart>,
    /// How far every alley lies too far along.
    pub(super) shift: Value,
}

impl<'a> Leads<'a> {
    /// `None` where there are none. A change that went wrong may have `explained` what sets runs
    /// apart.
    pub(super) fn of(
        runs: &'a [LeadRun],
        trial: Trial<'a>,
        explained: bool,
        units: &Units,
    ) -> Option<Leads<'a>> {
        let readings: Vec<Value> = runs.iter().flat_map(|run| run.at_present(units)).collect();
        let moments = Moments::of(SUBJECT, &readings)?;
        let jitter = trial.seeds.map(|seeds| {
            jitter::of_lead(&seeds.spacing(units)).named("SD of a lead by seed spacing alone")
        });
        let apart = apart(runs, jitter.as_ref(), explained, units);
        let shift = match &apart {
            Some(apart) => apart.means[0].clone().named("shift of each pass, by the runs"),
            None => shift_from_lead(&moments.mean).named("shift of each pass"),
        };
        Some(Leads { runs, trial, readings, moments, jitter, apart, shift })
    }

    /// The leads one by one, with how far neighbours lie apart in the mean, now and with each pass
    /// moved `back` by the change advised.
    pub(super) fn singles(
        &self,
        of_one: Option<&OfOne>,
        change: Option<(String, Value)>,
        units: &Units,
    ) -> single::Readings {
        let since = |run: &LeadRun| run.then.is_empty() || !self.by_since();
        let runs = (1..).zip(self.runs).filter(|(_, run)| since(run));
        let groups = runs.map(|(place, run)| (format!("pass run {place}"), run.at_present(units)));
        // A lead holds the shift of both passes.
        let twice = |one: &Value, name: &'static str| (Value::constant(2.0) * one).named(name);
        let of_lead = of_one.map(|one| OfOne {
            sd: twice(&one.sd, "scatter of one lead"),
            degrees: one.degrees,
            standard_errors: (one.standard_errors.iter())
                .map(|error| twice(error, "standard error of the lead"))
                .collect(),
        });
        let middle = twice(&self.shift, "lead to expect");
        let readings = single::Readings::of(groups.collect(), vec![middle], of_lead.as_ref());
        let by_seeds = self.jitter.clone();
        let (change, back) = change.unzip();
        let after = |middle: &single::Middle| {
            let back = twice(back.as_ref()?, "lead taken out by the change");
            Some((&middle.off - back).named("lead to expect with the change"))
        };
        single::Readings { by_seeds, ..readings.with_change(change, after) }
    }

    /// Whether runs made with what is set now decide alone.
    pub(super) fn by_since(&self) -> bool {
        self.apart.as_ref().is_some_and(|apart| apart.by_since)
    }

    /// The mean lead.
    pub(super) fn mean(&self) -> &Value {
        &self.moments.mean
    }

    /// How sure the shift is, against a tolerance of the sheet.
    pub(super) fn judge(
        &self,
        tolerance: Option<Value>,
        tolerance_key: &'static str,
        common: &Common,
    ) -> Option<Judgement> {
        Judgement::of(&Evidence {
            subject: SUBJECT,
            groups: vec![self.readings.clone()],
            parted: None,
            known: Some(self.moments.clone()),
            error: self.shift.clone(),
            to_error: &|spread| spread / Value::constant(2.0),
            jitter: self.jitter.clone(),
            tolerance,
            tolerance_key,
            key: KEY,
            confidence: common.confidence,
            in_plot_order: self.runs.len() == 1,
            left_out: common.left_out.get(KEY).map_or(&[], Vec::as_slice),
            reach: self.reach(&common.units),
            apart: self.apart.as_ref(),
            of_runs: vec![self.runs.iter().map(LeadRun::size).collect()],
            by_run: self.apart.is_some(),
        })
    }

    /// How far is too far: a lead beyond half a trip spacing is nearer to another alley.
    fn reach(&self, units: &Units) -> Option<Reach> {
        let plot = units.length("plot", self.trial.plot?);
        let alley = units.length("alley", self.trial.alley?);
        let by_run = self.runs.iter().filter_map(|run| {
            let lead = statistics::mean(SUBJECT, &run.at_present(units))?;
            Some(shift_from_lead(&lead).number())
        });
        Some(Reach {
            trip_spacing: (&plot + alley).named("trip spacing"),
            plot,
            measured: self.mean().clone().named("lead"),
            instead: "another alley was measured",
            by_run: by_run.collect(),
        })
    }
}

/// The runs where they are not one.
fn apart(
    runs: &[LeadRun],
    jitter: Option<&Value>,
    explained: bool,
    units: &Units,
) -> Option<Apart> {
    if runs.len() < 2 {
        return None;
    }
    let run = |(place, run): (usize, &LeadRun)| OneRun {
        name: name_of_run("pass", run.number, place),
        side: 0,
        kind: 0,
        since: run.then.is_empty() && run.edges.is_none(),
        each: run.shifts(units),
    };
    let runs: Vec<OneRun> = runs.iter().enumerate().map(run).collect();
    Apart::of("shift of a pass", &runs, jitter.map(shift_from_lead).as_ref(), explained)
}
