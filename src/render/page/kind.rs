//! What can be printed.

/// What can be printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Settings for the cab.
    CabCard,
    /// What to do from the season's start to the day's end.
    Checklist,
    /// Blanks for the measurements that the sheet takes.
    RunForm,
    /// Every sprocket position.
    SpacingChart,
    /// Marks and plan of the field.
    Stakes,
    /// The trial drawn many times before it is planted.
    Rehearsal,
    /// Labels of the packets.
    Labels,
    /// Everything calculated, with arithmetic and pictures.
    Report,
    /// What sheets of one planter found over the years; of many sheets, so not among those of one.
    Trend,
}

impl Kind {
    /// All that are of one sheet, in the order they are printed.
    pub const ALL: [Kind; 8] = [
        Kind::CabCard,
        Kind::Checklist,
        Kind::RunForm,
        Kind::SpacingChart,
        Kind::Stakes,
        Kind::Rehearsal,
        Kind::Labels,
        Kind::Report,
    ];

    /// Stable name, also for style rules.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Kind::CabCard => "cab-card",
            Kind::Checklist => "checklist",
            Kind::RunForm => "run-form",
            Kind::SpacingChart => "spacing-chart",
            Kind::Stakes => "stakes",
            Kind::Rehearsal => "rehearsal",
            Kind::Labels => "labels",
            Kind::Report => "report",
            Kind::Trend => "trend",
        }
    }

    /// What stands on it, in a line.
    #[must_use]
    pub fn about(self) -> &'static str {
        match self {
            Kind::CabCard => {
                "The one thing to set, what stays, what is in force: front and back of a card"
            }
            Kind::Checklist => "Season, day and test ranges, with boxes to tick",
            Kind::RunForm => "Blanks for the measurements that the sheet takes",
            Kind::SpacingChart => "Every sprocket position with its spacing, the nearest first",
            Kind::Stakes => "Marks and plan of the field",
            Kind::Rehearsal => "The trial drawn many times before it is planted",
            Kind::Labels => "Labels of the packets in driving order, on sheets of labels",
            Kind::Trend => "What sheets of one planter found over the years",
            Kind::Report => "To sign and to file: changes, readings, results, arithmetic",
        }
    }

    /// As it stands over the page.
    pub(super) fn title(self) -> &'static str {
        match self {
            Kind::CabCard => "Cab card",
            Kind::Checklist => "Checklist",
            Kind::RunForm => "Run forms",
            Kind::SpacingChart => "Spacing chart",
            Kind::Stakes => "Stakes",
            Kind::Rehearsal => "Rehearsal",
            Kind::Labels => "Labels",
            Kind::Report => "Report",
            Kind::Trend => "Over the years",
        }
    }
}
