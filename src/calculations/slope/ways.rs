//! The two ways that runs are parted by, and the readings of each.

use crate::outcome::Heading;
use crate::statistics::{Confidence, Interval, Moments, two_means};
use crate::working::Value;

use super::inputs::{Ground, On};

/// What runs are parted by.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum By {
    Slope,
    Heading,
}

impl By {
    /// The slope, where a run says one that is not level.
    pub(super) fn of<'a>(mut all: impl Iterator<Item = &'a Ground>) -> By {
        let sloped = |ground: &Ground| ground.slope.as_ref().is_some_and(|one| one.base() != 0.0);
        if all.any(sloped) { By::Slope } else { By::Heading }
    }

    pub(super) fn names(self) -> [&'static str; 2] {
        match self {
            By::Slope => ["uphill", "downhill"],
            By::Heading => ["out", "home"],
        }
    }

    /// Which of both a run is: the first or the second.
    pub(super) fn way(self, ground: &Ground) -> Option<usize> {
        match self {
            By::Slope => {
                let slope = ground.slope.as_ref()?.base();
                (slope != 0.0).then_some(usize::from(slope < 0.0))
            }
            By::Heading => Some(usize::from(ground.heading? == Heading::Home)),
        }
    }

    /// The readings of runs, way by way.
    pub(super) fn parted<T>(
        self,
        runs: &[On<T>],
        readings: impl Fn(&T) -> Vec<Value>,
    ) -> [Vec<Value>; 2] {
        let mut both = [vec![], vec![]];
        for on in runs {
            if let Some(way) = self.way(&on.ground) {
                both[way].extend(readings(&on.run));
            }
        }
        both
    }
}

/// Two ways against each other.
pub(super) struct Both {
    pub(super) counts: [usize; 2],
    pub(super) means: [Value; 2],
    /// The first less the second, with its interval where each way has two readings or more.
    pub(super) difference: Value,
    pub(super) interval: Option<Interval>,
    /// How often chance alone makes a difference as large.
    pub(super) p: Option<Value>,
}

impl Both {
    /// Welch's comparison of both ways, each with a scatter of its own.
    pub(super) fn of(
        subject: &str,
        names: [&str; 2],
        groups: &[Vec<Value>; 2],
        confidence: Confidence,
    ) -> Option<Both> {
        let mean = |way: usize| {
            let name = format!("{subject}, {}", names[way]);
            Moments::of(&name, &groups[way]).map(|moments| moments.mean)
        };
        let means = [mean(0)?, mean(1)?];
        let counts = [groups[0].len(), groups[1].len()];
        let test = two_means(subject, names, [&groups[0], &groups[1]]);
        let Some(test) = test else {
            let difference = (&means[0] - &means[1]).named(format!("difference, {subject}"));
            return Some(Both { counts, means, difference, interval: None, p: None });
        };
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // no more than readings
        let degrees = (test.degrees_of_freedom.number() * (1.0 + 1e-12)).max(1.0) as u32;
        let interval = confidence.t(degrees).map(|t| {
            let name = format!("of the difference, {subject}");
            Interval::around(&name, &test.estimate, test.standard_error.clone(), t)
        });
        // Readings that are all alike tell nothing of their scatter.
        let interval = interval.filter(|found| found.half_width.number() > 0.0);
        Some(Both { counts, means, difference: test.estimate, interval, p: test.p })
    }
}
