//! The parts of the checklist.

/// A part of the list, in the order of the season.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// Before the season, in the shop.
    Shop,
    /// Starting up and shutting down.
    StartUp,
    /// Before the first test range.
    SettingUp,
    /// The test ranges themselves.
    TestRanges,
    /// After a change of the operating point.
    AfterChange,
    /// When the day is over.
    EndOfDay,
}

impl Part {
    /// All parts, with their words in the sheet and their headings.
    pub const ALL: &'static [(&'static str, Part, &'static str)] = &[
        ("shop", Part::Shop, "Season start, in the shop"),
        ("start-up", Part::StartUp, "Every day: before starting"),
        ("setting-up", Part::SettingUp, "Setting up for this trial"),
        ("test-ranges", Part::TestRanges, "Test ranges"),
        ("after-change", Part::AfterChange, "After any change of speed, spacing, alley or boost"),
        ("end-of-day", Part::EndOfDay, "Every day: at its end"),
    ];
}
