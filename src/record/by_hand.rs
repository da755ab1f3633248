//! Which adjustment by hand a report asks for, one at a time.

use crate::outcome::{By, ByHand, Outcome, Report};
use crate::working::Value;

use super::choice::{Choice, NoChange, one_at_a_time, sources};
use super::{Record, Subject};

/// An adjustment by hand, on its way into the sheet.
#[derive(Clone, Debug)]
pub struct ByHandWanted {
    /// What is adjusted.
    pub what: ByHand,
    /// By how much.
    pub by: By,
    /// The error it takes out.
    pub error: Option<Value>,
    /// Why.
    pub reason: String,
    /// The runs it came from.
    pub runs: Vec<String>,
}

/// The adjustments by hand that a report's next step asks for, with the outcome that asks; nothing
/// where the step is none of hands.
///
/// # Errors
///
/// [`NoChange`] where something else was changed and not measured since, or where the adjustment
/// that was named is not one to make now.
pub fn choose_by_hand<'a>(
    report: &'a Report,
    record: &Record,
    choice: Choice<'_>,
) -> Result<Option<(Vec<ByHandWanted>, &'a Outcome)>, NoChange> {
    let asks = |outcome: &&Outcome| match choice {
        Choice::Next => {
            let next = report.next.as_ref();
            next.is_some_and(|next| next.calculation == outcome.calculation)
        }
        _ => outcome.next.is_some(),
    };
    let wanted = |outcome: &'a Outcome| {
        let step = match choice {
            Choice::Next => report.next.as_ref()?,
            _ => outcome.next.as_ref()?,
        };
        let named = |what: ByHand| match choice {
            Choice::Next => true,
            Choice::Named(subject) => subject == Subject::Hand(what),
            Choice::Several(_) | Choice::All => false,
        };
        let own = step.by_hand.iter().filter(|one| named(one.what));
        let all: Vec<ByHandWanted> = own
            .map(|one| ByHandWanted {
                what: one.what,
                by: one.by.clone(),
                error: one.error.clone(),
                reason: one.why.clone(),
                runs: sources(record, Subject::Hand(one.what)),
            })
            .collect();
        (!all.is_empty()).then_some((all, outcome))
    };
    let found = report.outcomes.iter().filter(asks).find_map(wanted);
    let Some((all, outcome)) = found else {
        return match choice {
            Choice::Named(subject @ Subject::Hand(_)) => Err(NoChange::NotNow(format!(
                "the {}: nothing that was measured asks for another",
                subject.name()
            ))),
            _ => Ok(None),
        };
    };
    let together = |open: Subject| match open {
        Subject::Hand(open) => all.iter().any(|one| open.goes_with(one.what)),
        _ => false,
    };
    one_at_a_time(record, together)?;
    Ok(Some((all, outcome)))
}
