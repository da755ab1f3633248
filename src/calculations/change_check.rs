//! A change of a setting as a measurement: whether what was planted after it lies where it should.
//!
//! With e the error of runs as it would be with what is set now, and E how far the change should have
//! moved it on the ground: the runs before the change and those after it differ by d = e_after -
//! e_before, which is 0 where the change did what the sheet says. On the ground the error moved by
//! E + d, so
//!
//! r = 1 + d / E
//!
//! is 1 where the change took, 0 where nothing moved, -1 where it went the wrong way, 2 or 1/2 where
//! the setting moves twice or half of what the sheet says. Its interval comes from the scatter of
//! the readings and from what sets days apart, which two runs can't tell: half the tolerance is
//! granted to each of them.

use crate::outcome::setting::TRIP_SCALE;
use crate::outcome::warning::{
    CHANGE_OF_OTHER_SIZE, CHANGE_REVERSED, CHANGE_WITHOUT_EFFECT, NOT_MEASURED_SINCE, WarningKind,
};
use crate::outcome::wording::in_words;
use crate::outcome::{ChangeSeen, Changed, Decision, Judgement};
use crate::statistics::Confidence;
use crate::working::Value;

use super::common::{ChangeMade, Common};
use super::readings::count;

/// How sure the interval of r is to hold the truth: a change that took is doubted by chance once in
/// a hundred.
const SURE: f64 = 0.99;
/// Degrees of freedom beyond which Student's t is that of the normal law to three figures.
const MANY: f64 = 1000.0;

/// The runs of one side of a change.
pub(super) struct Side {
    /// Their error, as it would be with what is set now.
    pub(super) error: Value,
    /// The readings of each group whose means it is the mean of.
    pub(super) counts: Vec<usize>,
    /// Sum of the squares of the readings about their means, as errors.
    pub(super) squares: f64,
    /// Its degrees of freedom.
    pub(super) degrees: usize,
    /// The days on which it was planted: a run each, or one of each heading.
    pub(super) days: usize,
}

impl Side {
    /// A side of so many days, by its readings as errors, group by group.
    pub(super) fn of(error: Value, groups: &[Vec<f64>], days: usize) -> Side {
        let squares = |group: &Vec<f64>| {
            let mean = group.iter().sum::<f64>() / count(group.len()).number();
            group.iter().map(|one| (one - mean).powi(2)).sum::<f64>()
        };
        Side {
            error,
            counts: groups.iter().map(Vec::len).collect(),
            squares: groups.iter().map(squares).sum(),
            degrees: groups.iter().map(|group| group.len().saturating_sub(1)).sum(),
            days: days.max(1),
        }
    }

    /// What days may set the error apart, where each may lie off by `half` a tolerance.
    fn by_days(&self, half: f64) -> f64 {
        half * half / count(self.days).number()
    }

    /// By how much more than one reading the error is sure: 1/n, or (1/n1 + 1/n2)/4 of two groups.
    fn share(&self) -> f64 {
        let groups = count(self.counts.len()).number();
        let inverse: f64 = self.counts.iter().map(|number| 1.0 / count(*number).number()).sum();
        inverse / (groups * groups)
    }
}

/// What a change did.
pub(super) struct Ratio {
    /// r.
    pub(super) ratio: Value,
    /// Its interval.
    pub(super) low: Value,
    /// The other end.
    pub(super) high: Value,
    /// E + d, what was seen on the ground.
    pub(super) seen: Value,
    /// E.
    pub(super) expected: Value,
    /// What moves by this much more is seen where it was, in parts of E: a whole turn of a phase.
    turn: Option<f64>,
}

/// What is to be said of a change that did not do what the sheet says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fault {
    /// Nothing moved.
    WithoutEffect,
    /// It went the wrong way.
    Reversed,
    /// It moved more or less than it should have.
    OtherSize,
}

impl Fault {
    /// The warning for it.
    pub(super) fn warning(self) -> &'static WarningKind {
        match self {
            Fault::WithoutEffect => &CHANGE_WITHOUT_EFFECT,
            Fault::Reversed => &CHANGE_REVERSED,
            Fault::OtherSize => &CHANGE_OF_OTHER_SIZE,
        }
    }
}

impl Ratio {
    /// r of the setting called `name`, with its interval; `None` where the readings tell no scatter
    /// and no tolerance says how far days may lie apart, or where nothing should have moved.
    pub(super) fn of(
        name: &str,
        before: &Side,
        after: &Side,
        expected: &Value,
        tolerance: Option<&Value>,
    ) -> Option<Ratio> {
        let off = (&after.error - &before.error)
            .named(format!("runs after the {name} changed less runs before"));
        Ratio::of_difference(name, [before, after], off, expected, tolerance)
    }

    /// The same of a phase, which is seen only to a whole `spacing`: the difference is the nearest to
    /// nought, and a change that would have moved it by whole spacings more or less looks the same.
    pub(super) fn of_phase(
        name: &str,
        before: &Side,
        after: &Side,
        expected: &Value,
        spacing: &Value,
        tolerance: &Value,
    ) -> Option<Ratio> {
        let off = (&after.error - &before.error).named(format!(
            "runs after the {name} changed less runs before, whole spacings and all"
        ));
        let whole = (&off / spacing).named(format!("that in spacings, {name}")).nearest();
        let off = (off - whole * spacing)
            .named(format!("runs after the {name} changed less runs before"));
        let sides = [before, after];
        let ratio = Ratio::of_difference(name, sides, off, expected, Some(tolerance))?;
        let turn = Some((spacing.number() / expected.number()).abs());
        Some(Ratio { turn, ..ratio })
    }

    fn of_difference(
        name: &str,
        [before, after]: [&Side; 2],
        off: Value,
        expected: &Value,
        tolerance: Option<&Value>,
    ) -> Option<Ratio> {
        let degrees = count(before.degrees + after.degrees).number();
        let by_readings = if degrees > 0.0 {
            (before.squares + after.squares) / degrees * (before.share() + after.share())
        } else {
            0.0
        };
        let half = tolerance.map_or(0.0, |tolerance| tolerance.number() / 2.0);
        let by_days = before.by_days(half) + after.by_days(half);
        let square = by_readings + by_days;
        if square <= 0.0 || expected.number() == 0.0 {
            return None;
        }
        // Satterthwaite 1946: what is granted for days has no degrees of freedom to lose.
        let degrees =
            if by_readings > 0.0 { degrees * (square / by_readings).powi(2) } else { MANY };
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // between 1 and MANY
        let t = Confidence::new(SURE)?.t(degrees.clamp(1.0, MANY) as u32)?;
        let error = Value::found(
            format!("standard error of that, {name}"),
            square.sqrt(),
            off.unit(),
            "scatter of both, and half the tolerance for each day",
        );
        let ratio = (Value::constant(1.0) + &off / expected)
            .named(format!("what the change of the {name} did, of what it should do"));
        let half = (t * error / expected.magnitude()).named(format!("half width of that, {name}"));
        let low = (&ratio - &half).named(format!("low, what the change of the {name} did"));
        let high = (&ratio + &half).named(format!("high, what the change of the {name} did"));
        let seen = (expected + off).named(format!("what the change of the {name} moved"));
        Some(Ratio { ratio, low, high, seen, expected: expected.clone(), turn: None })
    }

    fn holds(&self, number: f64) -> bool {
        let (low, high) = (self.low.number(), self.high.number());
        match self.turn {
            None => (low..=high).contains(&number),
            // The first of the same phase that is not below.
            Some(turn) => number + turn * ((low - number) / turn).ceil() <= high,
        }
    }

    /// What is wrong with the change; `None` where it took, or nobody can tell.
    pub(super) fn fault(&self) -> Option<Fault> {
        let [back, none, whole] = [-1.0, 0.0, 1.0].map(|number| self.holds(number));
        match (back, none, whole) {
            (_, _, true) | (true, true, false) => None,
            (false, true, false) => Some(Fault::WithoutEffect),
            (true, false, false) => Some(Fault::Reversed),
            (false, false, false) => Some(Fault::OtherSize),
        }
    }

    /// For who puts it into the sheet, and for the record.
    fn seen(&self, change: &ChangeMade) -> ChangeSeen {
        let ChangeMade { what, place, is_last, .. } = *change;
        let interval = [self.low.number(), self.high.number()];
        ChangeSeen { what, place, is_last, ratio: self.ratio.number(), interval }
    }

    /// Figures for the working.
    pub(super) fn values(&self) -> Vec<Value> {
        vec![self.seen.clone(), self.ratio.clone(), self.low.clone(), self.high.clone()]
    }
}

/// What every change of one thing did, as far as it can be told: the `last`, and those before it.
pub(super) fn all_seen(
    common: &Common,
    what: Changed,
    last: Option<&Ratio>,
    ratio: impl Fn(&ChangeMade) -> Option<Ratio>,
) -> Vec<ChangeSeen> {
    let earlier = common.earlier_changes(what);
    let earlier = earlier.filter_map(|change| Some(ratio(change)?.seen(change)));
    let last = common.last_change(what).zip(last).map(|(change, ratio)| ratio.seen(change));
    earlier.chain(last).collect()
}

/// What was changed, and what to say of it.
pub(super) struct Doubt<'a> {
    /// The change.
    pub(super) change: &'a ChangeMade,
    /// What moved, in the plural: "alleys".
    pub(super) what: &'static str,
    /// Where more of it goes, and where less: "ahead" and "back".
    pub(super) ways: [&'static str; 2],
    /// How the sheet has its direction: "the direction of the setback".
    pub(super) direction: &'static str,
    /// Whether it has one; else the change was a trial that tells.
    pub(super) known: bool,
}

impl Doubt<'_> {
    /// The change in words.
    fn changed(&self) -> String {
        self.change.in_words()
    }

    /// What is to be done where a change was not measured yet.
    fn unmeasured(&self) -> String {
        format!("{} and nothing measured since: plant a test range and measure", self.changed())
    }

    /// What went wrong with a change and how to put it right.
    pub(super) fn words(&self, fault: Fault, ratio: &Ratio) -> String {
        let ChangeMade { what: changed, from, to, .. } = self.change;
        let (name, key) = (changed.name(), changed.key());
        let way = |value: &Value| {
            let way = self.ways[usize::from(value.number() < 0.0)];
            format!("{} {way}", in_words(&value.magnitude()))
        };
        let (seen, expected) = (way(&ratio.seen), way(&ratio.expected));
        let changed = self.changed();
        let what = self.what;
        match fault {
            Fault::WithoutEffect => format!(
                "{changed}, which should have moved the {what} {expected}, and they lie where they \
                 lay: look whether the controller holds {to}. If it still holds {from}, put that \
                 into the sheet by `alleytrue apply SHEET --not-set {key}`, and set it then; if \
                 another number, by `--was {key}=NUMBER`. If it does hold {to}, measure a further run"
            ),
            Fault::Reversed => format!(
                "{changed} and the {what} went {seen} where they should have gone {expected}: the \
                 sheet has {} wrong; put it right by `alleytrue apply SHEET --turn {key}` before anything is set",
                self.direction
            ),
            Fault::OtherSize => {
                let otherwise = match self.learns() {
                    true => format!(
                        "If it does, put what the {name} moves into the sheet by `alleytrue apply \
                         SHEET --learn {key}`"
                    ),
                    false => "If it does, measure a further run".into(),
                };
                format!(
                    "{changed} and the {what} went {seen} where they should have gone {expected}: \
                     look whether the controller holds {to}. If it holds another number, put that \
                     into the sheet by `alleytrue apply SHEET --was {key}=NUMBER`. {otherwise}"
                )
            }
        }
    }

    /// Whether the sheet can say how far it moves: a trip scale moves as it counts.
    fn learns(&self) -> bool {
        self.change.what != Changed::Setting(&TRIP_SCALE)
    }

    /// Whether a fault has to be put right in the sheet before anything else is set. What runs since
    /// the change say is off needs no explanation, once they agree: but set by a direction or size
    /// that is wrong, it would be no better.
    fn blocks(&self, fault: Fault, by_since: bool) -> bool {
        match fault {
            Fault::Reversed => true,
            Fault::OtherSize => self.learns() || !by_since,
            Fault::WithoutEffect => !by_since,
        }
    }

    /// What a trial change told.
    fn of_a_trial(&self, ratio: &Ratio) -> String {
        let ChangeMade { what: setting, to, .. } = self.change;
        let changed = self.changed();
        let (what, key) = (self.what, setting.key());
        if ratio.holds(0.0) {
            return format!(
                "{changed} as a trial, and no move of the {what} can be told from scatter: look \
                 whether the controller holds {to}, or make a larger trial change"
            );
        }
        let way = self.ways[usize::from(ratio.seen.number() < 0.0)];
        format!(
            "{changed} as a trial, and the {what} went {} {way}: put that into the sheet by \
             `alleytrue apply SHEET --learn {key}`",
            in_words(&ratio.seen.magnitude())
        )
    }

    /// Puts a judgement off where the last change was not measured, or did not do what it should;
    /// what is in doubt then, where it has to be put right first. `by_since` says that the judgement
    /// rests on runs since the change alone.
    pub(super) fn put_off(
        &self,
        ratio: Option<&Ratio>,
        by_since: bool,
        judgement: &mut Judgement,
    ) -> Option<Changed> {
        if !self.change.measured {
            let words = self.unmeasured();
            judgement.warnings.push(NOT_MEASURED_SINCE.with(words.clone()));
            judgement.decision = Decision::Measure(words);
            return None;
        }
        let ratio = ratio?;
        judgement.figures.extend(ratio.values());
        if !self.known {
            judgement.decision = Decision::Wait(self.of_a_trial(ratio));
            return None;
        }
        let fault = ratio.fault()?;
        let words = self.words(fault, ratio);
        judgement.warnings.push(fault.warning().with(words.clone()));
        let blocks = self.blocks(fault, by_since);
        if blocks {
            judgement.decision = Decision::Wait(words);
        }
        // One that moved more or less than it should may be a day that was another.
        (blocks && fault != Fault::OtherSize).then_some(self.change.what)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn side(readings: &[f64]) -> Side {
        let mean = readings.iter().sum::<f64>() / readings.len() as f64;
        Side::of(Value::constant(mean).named("error"), &[readings.to_vec()], 1)
    }

    fn ratio(before: &[f64], after: &[f64], expected: f64) -> Ratio {
        let expected = Value::constant(expected).named("expected");
        let tolerance = Value::constant(1.0).named("tolerance");
        let (before, after) = (side(before), side(after));
        Ratio::of("setback", &before, &after, &expected, Some(&tolerance)).expect("a ratio")
    }

    /// Errors of 5 before a change that should take 5 out. With what is set now they are 0. Four
    /// readings of squares 0.02 a side: s² = 0.04 / 6, by readings s² / 2 = 0.00333, by days 1/2:
    /// the square is 0.50333, at 6 × (0.50333 / 0.00333)² degrees, t 2.58: half width 2.58 ×
    /// 0.70946 / 5 = 0.366.
    #[test]
    fn what_each_fault_looks_like() {
        let before = [-0.1, 0.1, 0.0, 0.0];
        for (after, r, fault) in [
            (0.0, 1.0, None),
            // Nothing moved: still 5 off.
            (5.0, 0.0, Some(Fault::WithoutEffect)),
            // The wrong way: 10 off.
            (10.0, -1.0, Some(Fault::Reversed)),
            // Half, twice.
            (2.5, 0.5, Some(Fault::OtherSize)),
            (-5.0, 2.0, Some(Fault::OtherSize)),
        ] {
            let after = [after - 0.1, after + 0.1, after, after];
            let ratio = ratio(&before, &after, -5.0);
            assert!((ratio.ratio.number() - r).abs() < 1e-9);
            assert!((ratio.high.number() - ratio.low.number() - 2.0 * 0.366).abs() < 2e-3);
            assert_eq!(ratio.fault(), fault, "{r}");
        }
    }

    /// A change of an inch is no more than what days do: nothing is claimed.
    #[test]
    fn small_changes_tell_nothing() {
        for after in [0.0, 1.0, 2.0] {
            assert_eq!(ratio(&[0.0, 0.1, -0.1], &[after, after + 0.1, after], -1.0).fault(), None);
        }
    }

    #[test]
    fn without_scatter_or_tolerance_there_is_no_ratio() {
        let expected = Value::constant(5.0).named("expected");
        let (before, after) = (side(&[1.0]), side(&[6.0]));
        assert!(Ratio::of("setback", &before, &after, &expected, None).is_none());
    }
}
