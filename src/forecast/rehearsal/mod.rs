//! A rehearsal: the whole trial drawn many times, from all that a sheet knows and all that it leaves
//! open, before a seed of it is planted.

mod answer;
mod asked;
mod changes;
mod dice;
mod drawing;
mod field;
mod help;
mod inputs;
mod known;
mod of_runs;
mod page;
mod picture;
mod tally;
mod trial;
mod truth;
mod unknowns;

use std::num::NonZero;

use crate::calculations::registry::Job;
use crate::outcome::{Outcome, Picture, Report};

pub use answer::Answer;
pub use asked::{MOST_DRAWS, NotRehearsed};
pub use changes::Changed;
pub use drawing::{Draws, count_of, draw, field_of};
pub use field::Planted;
pub use help::{Help, Otherwise, Thing, what_would_help};
pub use inputs::Inputs;
pub use known::{Known, Part, Scatter, Shared, Stand};
pub use page::CALCULATION;
pub use tally::{Count, Spread, Tally};
pub use trial::{Kind, Limits, OtherRanges, Trial, Trips};
pub use unknowns::{Knowledge, Open, Source};

use answer::Grounds;
use page::{Drawn, share};

/// Trials that each thing that would help is drawn anew in, at the most and at the least, and the plots of
/// them all: both draws take the same chance, and a few hundred tell.
const FOR_HELP: (u64, u64) = (400, 50);
const PLOTS_FOR_HELP: u64 = 400_000;
/// Trials that are looked through for one to show.
const LOOKED_AT: u64 = 100;

/// What is asked of a rehearsal.
pub struct Asked<'a> {
    /// The trial as staked.
    pub inputs: &'a Inputs,
    /// The measurements.
    pub job: &'a Job,
    /// What they came to.
    pub report: &'a Report,
    /// How many readings to take.
    pub planned: &'a Outcome,
    /// What was measured and does not hold any more, in words.
    pub stale: &'a [String],
    /// Whether the next changes are drawn as made.
    pub after: bool,
    /// Trials to draw; a usual number without it.
    pub draws: Option<u64>,
    /// The seed.
    pub seed: u64,
    /// The share of the trials that must pass, from 0 to 1.
    pub wanted: f64,
}

/// A trial that was rehearsed.
#[derive(Clone, Debug)]
pub struct Rehearsed {
    /// The result.
    pub outcome: Outcome,
    /// The answer.
    pub answer: Answer,
    /// The share of the trials that pass, from 0 to 1.
    pub passed: f64,
}

/// Plots that a rehearsal plants in all, for who shows how far it is: trials times plots.
pub fn rehearse(
    asked: &Asked<'_>,
    cores: NonZero<usize>,
    done: &(dyn Fn(u64, u64) + Sync),
) -> Result<Rehearsed, NotRehearsed> {
    let trial = Trial::of(asked.inputs, asked.job)?;
    let Knowledge { known: held, mut open } =
        Knowledge::of(asked.inputs, asked.job, asked.report, &trial);
    let no_more = |what: &String| Open {
        source: Source::Sheet,
        what: what.clone(),
        effect: "drawn as it was measured then".into(),
        decides: true,
    };
    open.extend(asked.stale.iter().map(no_more));
    open.sort_by_key(|one| (!one.decides, one.source));
    let Changed { known: changed, changes } = Changed::of(&held, asked.job, asked.report, &trial);
    let known = if asked.after { &changed } else { &held };
    let draws = Draws { number: asked.draws.unwrap_or(trial.usual_draws()), seed: asked.seed };
    let both = !asked.after && !changes.is_empty();
    let all = if both { 2 * draws.number } else { draws.number };
    let tell = |trials: u64| done(trials, all);
    let tally = draw(&trial, known, draws, cores, &tell);
    let then = both.then(|| draw(&trial, &changed, draws, cores, &tell));
    let (most, least) = FOR_HELP;
    let enough = (PLOTS_FOR_HELP / trial.plots().max(1)).clamp(least, most);
    let for_help = Draws { number: draws.number.min(enough), ..draws };
    let advised = both.then_some(&changed);
    let help = what_would_help(&trial, known, advised, for_help, cores);
    let answer = Answer::of(&Grounds {
        open: &open,
        changes: &changes,
        passed: share(&tally),
        passed_then: then.as_ref().map(share),
        wanted: asked.wanted,
        after: asked.after,
        help: &help,
        planned: asked.planned,
    });
    let drawn = Drawn {
        job: asked.job,
        trial: &trial,
        known,
        open: &open,
        draws,
        tally: &tally,
        help: &help,
        help_drawn: for_help.number,
        advised: advised.is_some(),
        answer: &answer,
        wanted: asked.wanted,
        after: asked.after,
    };
    let (passed, mut outcome) = (drawn.passed(), drawn.outcome());
    outcome.pictures.extend(shown(asked, &trial, known, draws, &tally));
    Ok(Rehearsed { outcome, answer, passed })
}

/// The first drawn trial that has as many plots out as half of the trials do not exceed, or comes
/// nearest to that.
fn shown(
    asked: &Asked<'_>,
    trial: &Trial,
    known: &Known,
    draws: Draws,
    tally: &Tally,
) -> Option<Picture> {
    let middle = tally.any().quantile(0.5);
    let off = |number: &u64| count_of(trial, known, draws.seed, *number).any().abs_diff(middle);
    let number = (0..draws.number.min(LOOKED_AT)).min_by_key(off)?;
    let plots = field_of(trial, known, draws.seed, number);
    let title = format!("Drawn trial {} of {}", number + 1, draws.number);
    let field = picture::picture(title, asked.inputs, asked.job, trial, &plots)?;
    Some(Picture::Rehearsed(Box::new(field)))
}
