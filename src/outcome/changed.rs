//! Changes of what can be adjusted, and what they were seen to do.

use super::ByHand;
use super::setting::Setting;
use super::timed::Timed;

/// What was changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Changed {
    /// A setting that the sheet holds.
    Setting(&'static Setting),
    /// The wait or length of an action of the changeover.
    Timed(Timed),
    /// What hands adjust.
    Hand(ByHand),
}

impl Changed {
    /// Its key.
    #[must_use]
    pub fn key(self) -> String {
        match self {
            Changed::Setting(setting) => setting.key.into(),
            Changed::Timed(timed) => timed.key(),
            Changed::Hand(what) => what.key(),
        }
    }

    /// Its name in words.
    #[must_use]
    pub fn name(self) -> String {
        match self {
            Changed::Setting(setting) => setting.name.into(),
            Changed::Timed(timed) => timed.name(),
            Changed::Hand(what) => what.name(),
        }
    }
}

/// What a change did, of what the sheet says it should do.
#[derive(Clone, Copy, Debug)]
pub struct ChangeSeen {
    /// What was changed.
    pub what: Changed,
    /// Which change of the sheet it was, from zero.
    pub place: usize,
    /// Whether it was the last of its kind.
    pub is_last: bool,
    /// 1 where it did what it should, -1 where it went the other way.
    pub ratio: f64,
    /// Both ends of its interval.
    pub interval: [f64; 2],
}
