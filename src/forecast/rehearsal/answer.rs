//! Go, go after, or not yet: what the drawn trials come to.

use crate::forecast::plan;
use crate::outcome::Outcome;

use super::help::{Help, Otherwise};
use super::unknowns::{Open, Source};

/// What the drawn trials come to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Answer {
    /// Enough of the trials pass.
    Go,
    /// Enough of them pass once these changes are made.
    GoAfter(Vec<String>),
    /// Not enough pass, or something was never measured.
    NotYet(String),
}

/// What an answer rests on.
pub(super) struct Grounds<'a> {
    /// What is left open.
    pub(super) open: &'a [Open],
    /// Changes that are advised, in words.
    pub(super) changes: &'a [String],
    /// Share of the trials that pass as drawn, and with the changes made.
    pub(super) passed: f64,
    pub(super) passed_then: Option<f64>,
    /// Share that must pass.
    pub(super) wanted: f64,
    /// Whether the changes are drawn as made.
    pub(super) after: bool,
    /// What would help.
    pub(super) help: &'a [Help],
    /// How many readings to take.
    pub(super) planned: &'a Outcome,
}

impl Answer {
    pub(super) fn of(grounds: &Grounds<'_>) -> Answer {
        let measure: Vec<&Open> = grounds.open.iter().filter(|open| open.decides).collect();
        if !measure.is_empty() {
            return Answer::NotYet(what_to_measure(&measure, grounds.planned));
        }
        let changes = grounds.changes.to_vec();
        if grounds.passed >= grounds.wanted {
            let changed = grounds.after && !changes.is_empty();
            return if changed { Answer::GoAfter(changes) } else { Answer::Go };
        }
        match grounds.passed_then {
            Some(then) if !changes.is_empty() && then >= grounds.wanted => Answer::GoAfter(changes),
            _ => Answer::NotYet(what_helps_most(grounds)),
        }
    }

    /// One word or two, for tables and programs.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            Answer::Go => "go",
            Answer::GoAfter(_) => "go after",
            Answer::NotYet(_) => "not yet",
        }
    }

    /// As an instruction.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Answer::Go => "go: plant a last check on the day, then the trial".into(),
            Answer::GoAfter(changes) => format!(
                "go after these changes, one at a time, each planted and measured again: {}",
                changes.join("; ")
            ),
            Answer::NotYet(why) => format!("not yet: {why}"),
        }
    }
}

/// What was never measured, with the readings that `plan` says it takes.
fn what_to_measure(open: &[&Open], planned: &Outcome) -> String {
    let mut sources: Vec<Source> = open.iter().map(|open| open.source).collect();
    sources.dedup();
    let of_plan = |what| plan::readings_wanted(planned, what);
    let words = |source: &Source| match source {
        Source::Trip => format!("trip {}", of_plan("trip")),
        Source::Centre => format!("centre {}, both sides and both headings", of_plan("centre")),
        Source::Marks => {
            format!(
                "centre {} of the other heading, or passes {}",
                of_plan("centre"),
                of_plan("passes")
            )
        }
        Source::Width => format!("width {}, both sides of an alley taped", of_plan("centre")),
        Source::Depth => "depth 10 in every row".into(),
        Source::Evenness => "gaps between seeds 250".into(),
        Source::Rows => "rows 3 each".into(),
        Source::Sheet => "what the warnings name".into(),
    };
    let all: Vec<String> = sources.iter().map(words).collect();
    format!("measure first: {}", all.join("; "))
}

/// The two things that save most, where any does.
fn what_helps_most(grounds: &Grounds<'_>) -> String {
    let telling = |help: &&Help| help.saved > 2.0 * help.standard_error && help.saved >= 0.5;
    // A change that was advised is said as such; readings are what a crew can take.
    let best: Vec<String> = grounds
        .help
        .iter()
        .filter(telling)
        .filter(|help| help.otherwise != Otherwise::Known)
        .take(2)
        .map(|help| format!("{} (saves {:.0} plots)", help.words(), help.saved))
        .collect();
    let short = format!(
        "{:.1} % of the trials pass, {:.1} % are asked for",
        grounds.passed * 100.0,
        grounds.wanted * 100.0
    );
    if best.is_empty() {
        format!("{short}, and nothing that is known of would mend it: look at the limits")
    } else {
        format!("{short}; most would help: {}", best.join(", then "))
    }
}
