//! The record: what was changed and when, which measurements go on to count after it, and whether
//! every calibration still holds.

mod age;
mod by_hand;
mod check;
mod choice;
mod course;
mod effects;
pub mod operating_point;
mod standing;
pub mod trend;
mod unlikely;

pub use age::{HOLDS_FOR, holds_until};
pub use by_hand::{ByHandWanted, choose_by_hand};
pub use check::{Checked, check, made_before_change, made_for_other, runs_that_hold};
pub use choice::{Choice, NoChange, Wanted, choose, setback_for};
pub use course::{Course, Point, courses};
pub use effects::{Calibration, Effect, Subject, runs};
pub use standing::{Standing, standing};
pub use unlikely::unlikely;

use crate::calculations::changeover;
use crate::outcome::ByHand;
use crate::quantity::Speed;

use operating_point::Planter;
use operating_point::{OperatingPoint, same_speed_as};

/// A run of measurements, as far as the record goes.
#[derive(Clone, Debug, Default)]
pub struct Run {
    /// Its table.
    pub table: &'static str,
    /// Which of its kind, counted from one in the order of the sheet.
    pub number: usize,
    /// When it was made: year, month, day.
    pub date: Option<String>,
    /// The row that was measured, where it is one.
    pub row: Option<u32>,
    /// Whether it says which way the pass went.
    pub headed: bool,
    /// What the sheet said of its operating point.
    pub point: OperatingPoint,
    /// What was in force when it was planted, as far as that is written down. What is not is taken
    /// to have been as it is now.
    pub with: Vec<(Subject, Held)>,
    /// What it was made with that is another now, in words, where nobody can tell what that does to
    /// its readings: it is then kept and not used.
    pub aside: Option<String>,
    /// Why it was dropped, where it was: it is kept and not used.
    pub dropped: Option<String>,
}

impl Run {
    /// What it goes by in `[[history]]`.
    #[must_use]
    pub fn name(&self) -> String {
        format!("{} {}", self.table, self.number)
    }
}

/// A number as typed, with what it comes to in base units, for pictures; or words.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// As typed.
    pub text: String,
    /// In millimetres, seconds, teeth, counts; not a number where it is words.
    pub base: f64,
}

impl Held {
    /// Words that stand for what nobody has a number for.
    #[must_use]
    pub fn label(text: &str) -> Held {
        Held { text: text.into(), base: f64::NAN }
    }

    /// Whether it is words.
    #[must_use]
    pub fn is_label(&self) -> bool {
        self.base.is_nan()
    }

    /// Whether it is the same, however it is typed.
    #[must_use]
    pub fn is_same(&self, other: &Held) -> bool {
        match self.is_label() || other.is_label() {
            true => self.text == other.text,
            false => self.base == other.base,
        }
    }
}

/// A change of a setting.
#[derive(Clone, Debug)]
pub struct Change {
    /// When: year, month, day.
    pub date: String,
    /// What was changed.
    pub setting: Subject,
    /// What it was before.
    pub from: Held,
    /// What it was changed to.
    pub to: Held,
    /// The error that was measured before.
    pub error: Option<Held>,
    /// Why.
    pub reason: Option<String>,
    /// Who changed it.
    pub by: Option<String>,
    /// The runs it came from.
    pub runs: Vec<String>,
    /// What it was changed for.
    pub point: OperatingPoint,
}

/// What a sheet remembers.
#[derive(Clone, Debug, Default)]
pub struct Record {
    /// The operating point the sheet is for.
    pub present: OperatingPoint,
    /// What it takes to compare operating points.
    pub planter: Planter,
    /// Every run, in the order of the sheet, those set aside too.
    pub runs: Vec<Run>,
    /// Every change, in the order of the sheet.
    pub changes: Vec<Change>,
    /// What is in force now, as far as the sheet holds it.
    pub held: Vec<(Subject, Held)>,
    /// What the sheet says of the effects of hands.
    pub known: Known,
    /// For how many days a calibration holds, where the sheet says so.
    pub holds_for: Option<u32>,
    /// Whether every pass goes out, so that no pass is lined up with one that comes home.
    pub one_way: bool,
}

/// What a sheet says of what hands do.
#[derive(Clone, Copy, Debug, Default)]
pub struct Known {
    /// How far a tooth turns the plate.
    pub tooth: bool,
    /// How far a turn of the depth setting moves the depth.
    pub turn: bool,
    /// Where the changeover puts the edges of an alley.
    pub timers: bool,
    /// Whether the travel per turn is worked out from the wheel's size and a skid that is assumed.
    pub travel_is_assumed: bool,
}

impl Record {
    /// Sets runs aside that were made with what is another now and can't be reckoned with.
    pub fn set_aside(&mut self) {
        let Record { runs, held, known, present, .. } = self;
        let trial = present.speed.as_ref().map(Speed::base);
        for run in runs {
            // One for the speed law counts at its own speed, whatever the throttle was.
            let own = run.point.speed.as_ref().map(Speed::base);
            let at_own_speed = run.table != "speed-run"
                && own.zip(trial).is_some_and(|(own, trial)| !same_speed_as(own, trial));
            let other = |(subject, then): &&(Subject, Held)| {
                subject.moves(run)
                    && !(at_own_speed && *subject == Subject::Hand(ByHand::Throttle))
                    && !subject.is_known(run, *known)
                    && held.iter().any(|(own, now)| own == subject && !now.is_same(then))
            };
            let words: Vec<String> =
                run.with.iter().filter(other).map(|(subject, then)| subject.at(then)).collect();
            run.aside = (!words.is_empty()).then(|| words.join(", "));
            if run.dropped.is_some() {
                run.aside.clone_from(&run.dropped);
            }
        }
    }

    /// The runs of some kinds that are used.
    fn live<'a>(&'a self, tables: &'a [&'static str]) -> impl Iterator<Item = &'a Run> {
        self.runs.iter().filter(|run| tables.contains(&run.table) && run.aside.is_none())
    }

    /// The newest change of what moves the readings of these kinds.
    fn newest_change(&self, tables: &[&str]) -> Option<&Change> {
        let touches = |change: &&Change| {
            change.setting.effect().moves.iter().any(|table| tables.contains(table))
        };
        // The last of equal dates.
        self.changes.iter().filter(touches).max_by(|a, b| a.date.cmp(&b.date))
    }

    /// What is another in the sheet than its last change made it: somebody wrote over it.
    #[must_use]
    pub fn edited(&self) -> Vec<(&Change, &Held)> {
        let is_last = |(place, change): &(usize, &Change)| {
            self.changes[place + 1..].iter().all(|later| later.setting != change.setting)
        };
        let last = self.changes.iter().enumerate().filter(is_last).map(|(_, change)| change);
        let now =
            |change: &Change| self.held(change.setting).filter(|now| !now.is_same(&change.to));
        last.filter_map(|change| Some((change, now(change)?))).collect()
    }

    /// What something is in force as now.
    #[must_use]
    pub fn held(&self, subject: Subject) -> Option<&Held> {
        self.held.iter().find(|(own, _)| *own == subject).map(|(_, held)| held)
    }

    /// The last change of an adjustment, where nothing has been planted and measured with what it is
    /// now.
    #[must_use]
    pub fn unproven(&self, subject: Subject) -> Option<&Change> {
        // What a condition sets aside shows by itself, and what is in the sheet alone needs no run.
        if subject.is_beside() {
            return None;
        }
        let last = self.changes.iter().rfind(|change| change.setting == subject)?;
        let proof = self.proof(subject.calibration());
        let now = self.held(subject)?;
        let with_now = |run: &Run| run.had(subject).is_none_or(|then| then.is_same(now));
        let of_it = |run: &&Run| subject.is_of(run);
        let proven = proof.is_empty() || self.live(proof).filter(of_it).any(with_now);
        (!proven).then_some(last)
    }
}

impl Record {
    /// The runs that speak for a calibration: widths taped in alley runs speak for the timers where
    /// nothing else was ever seen of them.
    fn proof(&self, calibration: &Calibration) -> &'static [&'static str] {
        let timers = calibration.calculation.key == changeover::CALCULATION.key;
        let seen = self.runs.iter().any(|run| run.counts_among(calibration.proof));
        if timers && !seen { &["alley-run"] } else { calibration.proof }
    }
}

/// What was written over, in words.
#[must_use]
pub fn edited_words(change: &Change, now: &Held) -> String {
    format!(
        "the sheet has the {} at {}, and its last change, of {}, was to {}",
        change.setting.name(),
        now.text,
        change.date,
        change.to.text
    )
}

impl Run {
    /// Whether it is of one of these kinds, and was not dropped.
    pub(crate) fn counts_among(&self, tables: &[&str]) -> bool {
        self.dropped.is_none() && tables.contains(&self.table)
    }

    /// What an adjustment was when the run was planted, where that is written down.
    #[must_use]
    pub fn had(&self, subject: Subject) -> Option<&Held> {
        self.with.iter().find(|(own, _)| *own == subject).map(|(_, held)| held)
    }
}

impl Subject {
    /// What it is or was, in words.
    fn at(&self, held: &Held) -> String {
        let (name, text) = (self.name(), &held.text);
        match self {
            Subject::Hand(_) if held.is_label() => format!("{name} \"{text}\""),
            Subject::Hand(_) => format!("{name} at {text}"),
            _ => format!("{name} {text}"),
        }
    }

    /// Whether a run can tell of it: one of another row can't.
    pub(crate) fn is_of(&self, run: &Run) -> bool {
        self.row().is_none_or(|row| run.row == Some(row))
    }

    /// Whether changing it moves the readings of a run.
    pub(crate) fn moves(&self, run: &Run) -> bool {
        self.effect().moves.contains(&run.table) && self.is_of(run)
    }

    /// Whether it is known by how much.
    fn is_known(&self, run: &Run, known: Known) -> bool {
        let by_sheet = match self {
            Subject::Hand(ByHand::Chain { .. }) => known.tooth,
            Subject::Hand(ByHand::Depth { .. }) => known.turn,
            // Which way marks that moved out went, only the heading tells.
            Subject::Hand(ByHand::Marks) => run.headed,
            Subject::Timed(_) => known.timers,
            _ => true,
        };
        by_sheet && self.effect().known.contains(&run.table)
    }
}

/// A change from 1 to 2, for the tests of what looks at changes.
#[cfg(test)]
fn from_one_to_two(date: &str, setting: Subject) -> Change {
    let held = |text: &str| Held { text: text.into(), base: 1.0 };
    Change {
        date: date.into(),
        setting,
        from: held("1"),
        to: held("2"),
        error: None,
        reason: None,
        by: None,
        runs: vec![],
        point: OperatingPoint::default(),
    }
}
