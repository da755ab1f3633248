//! Single plots, alleys, leads and seeds against their limit, beside the verdict on their middle.
//!
//! A mean inside its tolerance does not make plots right. So of every kind of reading it is said how
//! many were inside the limit, and the share to expect of the next ones: with the settings as they
//! are, and with the change advised, where one is.

use std::cell::OnceCell;

use crate::quantity::round_half_away;
use crate::statistics::{Confidence, Share, ShareInside};
use crate::working::Value;

use super::wording::in_words;

/// Single ones of one kind against their limit.
#[derive(Clone, Debug)]
pub struct Singles {
    /// The key of their limit: plot, centre, width, lead, depth.
    pub kind: &'static str,
    /// The row, where it is about one.
    pub row: Option<u32>,
    /// How far off one may be.
    pub limit: Value,
    /// The limit as typed, with where it is from.
    pub limit_words: String,
    /// The share that seed spacing alone leaves inside at best, in per cent, where that is known.
    pub best: Option<f64>,
    /// Readings, brought to the present.
    pub count: usize,
    /// How many of them were inside.
    pub inside: usize,
    /// The share to expect of the next ones with the settings as they are; none where a single
    /// reading tells nothing of others.
    pub now: Option<Expected>,
    /// The same with the change advised, and what that is; none where nothing is to be changed.
    pub after: Option<(String, Expected)>,
    /// What keeps single ones from their limit, where too few are to be expected inside.
    pub why: Option<Why>,
    /// Groups whose middles part more than scatter makes them, with the readings of each.
    pub parted: Vec<Group>,
    /// The share that must be inside, in per cent.
    pub accept: Value,
    /// The share as typed, with where it is from.
    pub accept_words: String,
}

/// What keeps single ones from their limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// They scatter: with every middle right there would be too few inside.
    Scatter,
    /// The middles of both headings lie apart, so that no setting makes both right.
    Parted,
    /// The middle is off: with it right, enough would be inside.
    Middle,
}

impl Why {
    /// One word for programs.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Why::Scatter => "scatter",
            Why::Parted => "headings part",
            Why::Middle => "middle off",
        }
    }
}

/// One of several groups of readings that part.
#[derive(Clone, Debug)]
pub struct Group {
    /// What it goes by: "trip run 2", "out".
    pub name: String,
    /// Its middle.
    pub mean: Value,
    /// Its readings.
    pub count: usize,
    /// How many of them were inside.
    pub inside: usize,
}

/// A share to expect inside a limit.
#[derive(Clone, Debug)]
pub struct Expected {
    /// The share of the next ones, in per cent.
    pub share: Value,
    /// Of what.
    subject: String,
    by: By,
    confidence: Confidence,
    ends: OnceCell<[Value; 2]>,
    /// What was asked of it last, and the answer, which takes an integral.
    reach: OnceCell<(f64, bool)>,
}

/// What a share rests on.
#[derive(Clone, Debug)]
enum By {
    /// The normal law; both headings, which a trial has as much of, or all together.
    Normal(Vec<ShareInside>),
    /// What was counted, where readings that are all alike say nothing of scatter.
    Counted(Box<Share>),
}

impl Expected {
    /// By the normal law: of one group, or of several that a trial has as many of each; `None` where
    /// there is none.
    #[must_use]
    pub fn normal(subject: &str, parts: Vec<ShareInside>, sure: Confidence) -> Option<Expected> {
        let shares: Vec<Value> = parts.iter().map(|part| part.share.clone()).collect();
        let share = middle(&["share to expect, ", subject].concat(), &shares)?;
        let (subject, by) = (subject.to_owned(), By::Normal(parts));
        Some(Expected {
            share,
            subject,
            by,
            confidence: sure,
            ends: OnceCell::new(),
            reach: OnceCell::new(),
        })
    }

    /// By what was counted.
    #[must_use]
    pub fn counted(share: Share, confidence: Confidence) -> Expected {
        let by = By::Counted(Box::new(share.clone()));
        let subject = String::new();
        Expected {
            share: share.share,
            subject,
            by,
            confidence,
            ends: OnceCell::new(),
            reach: OnceCell::new(),
        }
    }

    /// Both ends of the interval of the share, in per cent; of two headings the ends of either, one
    /// half of each, which is wide enough for both together.
    #[must_use]
    pub fn ends(&self) -> &[Value; 2] {
        self.ends.get_or_init(|| match &self.by {
            By::Counted(share) => [share.low.clone(), share.high.clone()],
            By::Normal(parts) => {
                let ends: Vec<[Value; 2]> =
                    parts.iter().map(|part| part.interval(self.confidence)).collect();
                let of = |place: usize, which: &str| {
                    let all: Vec<Value> = ends.iter().map(|both| both[place].clone()).collect();
                    let name = [which, " share, ", &self.subject].concat();
                    middle(&name, &all).unwrap_or_else(|| self.share.clone())
                };
                [of(0, "low"), of(1, "high")]
            }
        })
    }

    /// Whether the upper end of the interval reaches a share, in per cent.
    fn may_reach(&self, share: f64) -> bool {
        match &self.by {
            By::Normal(parts) if self.ends.get().is_none() && parts.len() == 1 => {
                let found = || parts[0].may_reach(share / 100.0, self.confidence);
                let (asked, reached) = *self.reach.get_or_init(|| (share, found()));
                if asked.total_cmp(&share).is_eq() { reached } else { found() }
            }
            _ => self.ends()[1].number() >= share,
        }
    }

    /// Whether it is less than what must be inside: by the chance of the next one, which few readings
    /// make smaller, and by the share that is most likely, which they do not; and of readings enough to
    /// know their scatter.
    pub(crate) fn is_too_few(&self, readings: usize, accept: &Value) -> bool {
        let accept = accept.number();
        readings >= ENOUGH_TO_JUDGE && self.share.number() < accept && self.most_likely() < accept
    }

    /// The share that a normal law with the mean and scatter found has, in per cent: few readings do
    /// not make it smaller.
    fn most_likely(&self) -> f64 {
        match &self.by {
            By::Counted(share) => share.share.number(),
            By::Normal(parts) => {
                let sum: f64 = parts.iter().map(ShareInside::most_likely).sum();
                #[allow(clippy::cast_precision_loss)] // two headings at the most
                let count = parts.len() as f64;
                100.0 * sum / count
            }
        }
    }

    /// The share and its interval, in words.
    fn words(&self) -> String {
        let [low, high] = self.ends();
        format!(
            "{} % ({} interval {} to {} %)",
            self.percent(&self.share),
            self.confidence,
            self.percent(low),
            self.percent(high)
        )
    }

    /// One of its shares for a sentence. By the normal law some are always inside and some never, however
    /// few: none and all are what a search could not tell from that.
    fn percent(&self, share: &Value) -> String {
        match (&self.by, share.number()) {
            (By::Normal(_), share) if share <= 0.0 => NEARLY_NONE.into(),
            (By::Normal(_), share) if share >= 100.0 => NEARLY_ALL.into(),
            (_, share) => percent(share),
        }
    }

    fn values(&self) -> Vec<Value> {
        let mut values: Vec<Value> = match &self.by {
            By::Normal(parts) => parts.iter().flat_map(ShareInside::values).collect(),
            By::Counted(_) => vec![],
        };
        values.push(self.share.clone());
        values.extend(self.ends().iter().cloned());
        values
    }
}

/// The mean of one or two; one alone is what it is.
fn middle(name: &str, values: &[Value]) -> Option<Value> {
    match values {
        [] => None,
        [one] => Some(one.clone()),
        several => {
            #[allow(clippy::cast_precision_loss)] // two headings at the most
            let count = Value::constant(several.len() as f64);
            let sum = several.iter().cloned().reduce(|sum, next| sum + next)?;
            Some((sum / count).named(format!("{name}, both headings")))
        }
    }
}

/// What is said of a share that is nearly all, and of one that is nearly none.
const NEARLY_ALL: &str = "over 99.9";
const NEARLY_NONE: &str = "under 0.1";

/// A share for a sentence. One that is nearly all is not all, and one that is nearly none is not none.
fn percent(share: f64) -> String {
    match round_half_away(share, 1).as_str() {
        "100.0" if share < 100.0 => NEARLY_ALL.into(),
        "0.0" if share > 0.0 => NEARLY_NONE.into(),
        one => one.trim_end_matches(".0").to_owned(),
    }
}

/// How many readings there must be before what they scatter by is a cause to look for.
const ENOUGH_TO_JUDGE: usize = 5;

impl Singles {
    /// What one is, and of which row.
    #[must_use]
    pub fn name(&self) -> String {
        let of_row = self.row.map_or(String::new(), |row| format!(" of row {row}"));
        match self.kind {
            "plot" => "single plots".into(),
            "centre" => "single alleys, middle".into(),
            "width" => "single alleys, width".into(),
            "lead" => "single leads".into(),
            _ => format!("single seeds{of_row}"),
        }
    }

    /// Whether too few of the next ones are to be expected inside with the settings as they are.
    #[must_use]
    pub fn too_few(&self) -> bool {
        self.now.as_ref().is_some_and(|now| now.is_too_few(self.count, &self.accept))
    }

    /// Whether seeds that stand as far apart as wanted make all of it: then nothing is to be looked for,
    /// and the limit is narrower than their spacing allows.
    #[must_use]
    pub fn by_seeds_alone(&self) -> bool {
        let best = self.best.filter(|best| *best < self.accept.number());
        let expected = self.after.as_ref().map(|(_, after)| after).or(self.now.as_ref());
        best.zip(expected).is_some_and(|(best, expected)| expected.may_reach(best))
    }

    /// How many were inside, what to expect of the next, and what of them with the change advised.
    #[must_use]
    pub fn words(&self) -> String {
        let counted = format!("{} of {} inside {}", self.inside, self.count, in_words(&self.limit));
        let Some(now) = &self.now else {
            return format!("{counted}; a single reading tells nothing of the next");
        };
        let accept = self.accept.number();
        let unsure = now.share.number() < accept && !self.too_few();
        let unsure = if unsure { ", too few readings to tell" } else { "" };
        let after = self
            .after
            .as_ref()
            .map_or(String::new(), |(change, after)| format!("; {change} {}", after.words()));
        let parted: Vec<String> = self.parted.iter().map(Group::words).collect();
        let parted = match parted.is_empty() {
            true => String::new(),
            false => format!("; they part: {}", parted.join(", ")),
        };
        format!("{counted}; expect {} of the next{unsure}{after}{parted}", now.words())
    }

    /// The share to expect, with what changes it, in a few words.
    #[must_use]
    pub fn in_short(&self) -> String {
        let what = match self.row {
            Some(row) => format!("{}, row {row}", self.kind),
            None => self.kind.to_owned(),
        };
        let share = |expected: &Expected| format!("{} %", expected.percent(&expected.share));
        let now = self.now.as_ref().map_or_else(|| "not known".to_owned(), share);
        let after = self.after.as_ref();
        let after =
            after.map_or(String::new(), |(_, after)| format!(", once set {}", share(after)));
        format!("{what} {now}{after} ({} of {} read)", self.inside, self.count)
    }

    /// What to expect, for a card: with the change advised, where one is.
    #[must_use]
    pub fn on_a_card(&self) -> Option<String> {
        let expected = self.after.as_ref().map(|(_, after)| after).or(self.now.as_ref())?;
        let row = self.row.map_or(String::new(), |row| format!(" {row}"));
        Some(format!("{}{row} {} %", self.kind, expected.percent(&expected.share)))
    }

    /// What the words rest on: the limit and the share that is asked for.
    #[must_use]
    pub fn asked(all: &[Singles]) -> Option<String> {
        let mut limits: Vec<String> =
            all.iter().map(|one| format!("{} {}", one.kind, one.limit_words)).collect();
        limits.dedup();
        let accept = &all.first()?.accept_words;
        let s = if limits.len() == 1 { "" } else { "s" };
        Some(format!("limit{s}: {}; asked for: {accept}", limits.join(", ")))
    }

    /// Values for the working.
    #[must_use]
    pub fn values(&self) -> Vec<Value> {
        let all = self.now.iter().chain(self.after.iter().map(|(_, after)| after));
        all.flat_map(Expected::values).collect()
    }

    /// Why the cause is to be looked for, where the middle is right.
    pub(crate) fn cause(&self) -> Option<String> {
        let now = self.now.as_ref().filter(|_| self.too_few() && !self.by_seeds_alone())?;
        let what = match self.kind {
            "plot" => "of single plots ",
            "centre" | "width" => "of single alleys ",
            "lead" => "of single leads ",
            _ => "of single seeds ",
        };
        let short = self.short_of(what, now);
        Some(match self.why? {
            Why::Scatter => format!(
                "the mean is right, but {short}: nothing to set, look for what scatters them"
            ),
            Why::Parted => format!(
                "the mean is right, but {short}: out and home part, and no setting makes both right; \
                 look for what parts them"
            ),
            Why::Middle => format!(
                "the mean may stand by the tolerance, but {short}: it lies too near the limit, and a \
                 smaller tolerance lets it be set right"
            ),
        })
    }

    /// What is to be expected with the last change advised, and what is asked for.
    pub(crate) fn falls_short(&self) -> Option<String> {
        let with = |(change, after): &(String, Expected)| {
            let short = after.is_too_few(self.count, &self.accept);
            short.then(|| format!("{change} {}", self.short_of("", after)))
        };
        match &self.after {
            Some(after) => with(after),
            None => self.now.as_ref().filter(|_| self.too_few()).map(|now| self.short_of("", now)),
        }
    }

    fn short_of(&self, what: &str, expected: &Expected) -> String {
        format!(
            "{} % {what}are to be expected inside {} and {} % are asked for",
            expected.percent(&expected.share),
            in_words(&self.limit),
            percent(self.accept.number())
        )
    }
}

impl Group {
    fn words(&self) -> String {
        let (inside, count) = (self.inside, self.count);
        format!("{} mean {}, {inside} of {count} inside", self.name, in_words(&self.mean))
    }
}
