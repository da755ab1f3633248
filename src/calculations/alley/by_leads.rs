//! Alleys of one heading with leads: together they part the planter from the marks.
//!
//! A lead holds the shift S of both passes and knows no mark: S = lead / 2. An alley lies S + m ahead
//! of its mark going out and S - m coming home, where the marks stand m short of their line, seen
//! going out. So m follows, and the setback takes out S and nothing else.

use crate::calculations::common::Common;
use crate::calculations::leads::{Leads, Trial};
use crate::outcome::wording::in_words;
use crate::outcome::{Decision, Heading, Judgement};
use crate::quantity::at_most;
use crate::working::Value;

use super::inputs::Inputs;
use super::runs::Group;

/// What leads say about the shift, beside alleys that were measured on one heading.
pub(super) struct ByLeads<'a> {
    leads: Leads<'a>,
    /// How far the alleys lie ahead of their marks.
    ahead: Value,
    heading: Option<Heading>,
}

impl<'a> ByLeads<'a> {
    /// `None` where the alleys of both headings speak for themselves, or there are no leads.
    pub(super) fn of(
        inputs: &'a Inputs,
        groups: &[Group],
        explained: bool,
        common: &Common,
    ) -> Option<ByLeads<'a>> {
        let [group] = groups else { return None };
        let trial = Trial {
            seeds: inputs.seeds.as_ref(),
            plot: inputs.plot.as_ref(),
            alley: Some(&inputs.alley),
        };
        let leads = Leads::of(&inputs.leads, trial, explained, &common.units)?;
        Some(ByLeads { leads, ahead: group.ahead.clone(), heading: group.heading })
    }

    /// The shift that the setback takes out, by the leads, and how far the marks stand short of their
    /// line, seen going out; `None` where nobody wrote down which way the alleys were driven.
    pub(super) fn parted(&self) -> Option<(Value, Value)> {
        let short = match self.heading? {
            Heading::Out => &self.ahead - &self.leads.shift,
            Heading::Home => &self.leads.shift - &self.ahead,
        };
        Some((self.leads.shift.clone(), short.named("error of the mark line, seen going out")))
    }

    /// Whether leads made with what is set now decide alone.
    pub(super) fn by_since(&self) -> bool {
        self.leads.by_since()
    }

    /// How sure the shift is, by the leads.
    pub(super) fn judge(&self, tolerance: Option<Value>, common: &Common) -> Option<Judgement> {
        self.leads.judge(tolerance, "centre", common)
    }

    /// Leaves open what alleys of an unknown heading and leads say differently: setting either by its
    /// own would put the other out, and back again.
    pub(super) fn leave_open(&self, judgement: &mut Judgement) {
        let limit = judgement.tolerance.as_ref().map_or(0.0, Value::number);
        let rest = self.ahead.number() - self.leads.shift.number();
        if at_most(rest.abs(), limit + judgement.sure_to()) {
            return;
        }
        judgement.decision = Decision::Measure(format!(
            "the alleys lie {} ahead of their marks and the leads say {}, so that the marks may be \
             off: write the `heading` into the alley runs, or measure alleys of both headings",
            in_words(&judgement.error),
            in_words(&self.leads.shift)
        ));
    }
}
