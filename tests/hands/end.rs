//! What became of a season of hands, and of all of a kind.

use crate::dice::at_least;

/// What became of one.
#[derive(Clone, Debug, Default)]
pub struct End {
    pub rounds: usize,
    pub without_end: bool,
    /// What is off in the end, as a part of its tolerance.
    pub off: Vec<(String, f64)>,
    pub changes: usize,
    /// Changes with a fault that moved enough to be told, and those named in the round after.
    pub faults: usize,
    pub named: usize,
    /// Changes without a fault, and those of which one was claimed.
    pub sound: usize,
    pub false_alarms: usize,
    /// What was said and done, for reading.
    pub log: Vec<String>,
}

impl End {
    pub fn is_right(&self) -> bool {
        !self.without_end && self.off.iter().all(|(_, off)| off.abs() <= 1.0)
    }
}

/// All seasons of a kind.
pub struct Tally {
    pub kind: &'static str,
    pub ends: Vec<End>,
}

impl Tally {
    fn sum(&self, count: impl Fn(&End) -> usize) -> usize {
        self.ends.iter().map(count).sum()
    }

    fn count(&self, is: impl Fn(&End) -> bool) -> usize {
        self.ends.iter().filter(|end| is(end)).count()
    }

    pub fn line(&self) -> String {
        let wrong = (0..).zip(&self.ends).filter(|(_, end)| !end.is_right()).take(8);
        let wrong: Vec<String> = wrong.map(|(number, _): (u64, _)| number.to_string()).collect();
        let mut rounds: Vec<usize> = self.ends.iter().map(|end| end.rounds).collect();
        rounds.sort_unstable();
        format!(
            "{:<34} {:>3} of {:>3} right, {:>3} without end, rounds {:>2} (most {:>2}), changes \
             {:>4}, faults named {:>3} of {:>3}, false {:>2} of {:>4}  not right: {}",
            self.kind,
            self.count(End::is_right),
            self.ends.len(),
            self.count(|end| end.without_end),
            rounds[rounds.len() / 2],
            rounds[rounds.len() - 1],
            self.sum(|end| end.changes),
            self.sum(|end| end.named),
            self.sum(|end| end.faults),
            self.sum(|end| end.false_alarms),
            self.sum(|end| end.sound),
            wrong.join(" ")
        )
    }

    pub fn holds(&self) {
        let all = self.ends.len();
        at_least(self.kind, "right", self.count(End::is_right), all, 0.95);
        assert_eq!(self.count(|end| end.without_end), 0, "{}: without end", self.kind);
        let (named, faults) = (self.sum(|end| end.named), self.sum(|end| end.faults));
        at_least(self.kind, "named", named, faults, 0.95);
        let (sound, alarms) = (self.sum(|end| end.sound), self.sum(|end| end.false_alarms));
        at_least(self.kind, "no false alarm", sound - alarms, sound, 0.99);
    }

    /// Whether anything with a fault was large enough to be told at all.
    pub fn has_faults(&self) {
        assert!(self.sum(|end| end.faults) > 0, "{}: no fault to name", self.kind);
    }
}
