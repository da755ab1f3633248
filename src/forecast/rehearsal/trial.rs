//! What is to be planted, and how far off its plots may be, as plain numbers in the unit of the
//! crew's tape.

/// What gives the trips of a pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trips {
    /// Every mark: a wire, a line, a hand at a flag.
    AtMarks,
    /// The controller's count, from the first mark of the pass on: what is off adds up.
    Counted,
}

/// What a plot may be out by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Longer than its limit allows.
    TooLong,
    /// Shorter than its limit allows.
    TooShort,
    /// The alley behind it lies off its mark.
    Centre,
    /// The alley behind it is too wide or too narrow.
    Width,
    /// That alley does not line up with the one of the pass before.
    Lead,
    /// A row of it lies too deep or too shallow.
    Depth,
    /// It has too few or too many seeds or plants.
    Stand,
}

impl Kind {
    /// All of them, in the order they are listed.
    pub const ALL: [Kind; 7] = [
        Kind::TooLong,
        Kind::TooShort,
        Kind::Centre,
        Kind::Width,
        Kind::Lead,
        Kind::Depth,
        Kind::Stand,
    ];

    /// Stable key, for programs.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Kind::TooLong => "too-long",
            Kind::TooShort => "too-short",
            Kind::Centre => "centre",
            Kind::Width => "width",
            Kind::Lead => "lead",
            Kind::Depth => "depth",
            Kind::Stand => "stand",
        }
    }

    /// In words, for a table.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Kind::TooLong => "plot too long",
            Kind::TooShort => "plot too short",
            Kind::Centre => "alley off centre",
            Kind::Width => "alley width off",
            Kind::Lead => "lead to the pass before",
            Kind::Depth => "depth of a row",
            Kind::Stand => "stand",
        }
    }

    /// The key of its limit in `[trial.limit]`.
    #[must_use]
    pub fn limit_key(self) -> &'static str {
        match self {
            Kind::TooLong | Kind::TooShort => "plot",
            Kind::Centre => "centre",
            Kind::Width => "width",
            Kind::Lead => "lead",
            Kind::Depth => "depth",
            Kind::Stand => "stand",
        }
    }

    /// What is held against one limit, and accepted or not, together: a plot is too long or too short
    /// by the same limit.
    #[must_use]
    pub fn limited_with(self) -> usize {
        match self {
            Kind::TooLong | Kind::TooShort => 0,
            Kind::Centre => 1,
            Kind::Width => 2,
            Kind::Lead => 3,
            Kind::Depth => 4,
            Kind::Stand => 5,
        }
    }
}

/// How far off a single one may be; what is not limited is not counted.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Limits {
    /// Length of a plot.
    pub plot: Option<f64>,
    /// Middle of an alley from its mark.
    pub centre: Option<f64>,
    /// Width of an alley.
    pub width: Option<f64>,
    /// A lead.
    pub lead: Option<f64>,
    /// Depth of a seed.
    pub depth: Option<f64>,
    /// Seeds or plants of a plot, as a share of what is wanted.
    pub stand: Option<f64>,
}

impl Limits {
    /// Whether plots are counted by a kind.
    #[must_use]
    pub fn counts(&self, kind: Kind) -> bool {
        self.of(kind).is_some()
    }

    /// The limit of a kind.
    #[must_use]
    pub fn of(&self, kind: Kind) -> Option<f64> {
        match kind {
            Kind::TooLong | Kind::TooShort => self.plot,
            Kind::Centre => self.centre,
            Kind::Width => self.width,
            Kind::Lead => self.lead,
            Kind::Depth => self.depth,
            Kind::Stand => self.stand,
        }
    }
}

/// Ranges one after the other whose plots have a length of their own, or are fillers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OtherRanges {
    /// The first of them, counted from the start line with borders, from 0.
    pub first: u32,
    /// The last of them.
    pub last: u32,
    /// Length of their plots.
    pub plot: f64,
    /// Their trip spacing over that of the trial's own plots.
    pub spacing: f64,
    /// Whether they are fillers, which are planted and not counted.
    pub fillers: bool,
}

/// The trial as it is staked.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// Ranges of plots.
    pub ranges: u32,
    /// Passes of plots.
    pub passes: u32,
    /// Plots side by side in one pass.
    pub abreast: u32,
    /// Border ranges at either end, which are planted with the pass.
    pub border_ranges: u32,
    /// Border passes at either side: the first one driven goes out.
    pub border_passes: u32,
    /// Whether every pass goes out.
    pub one_way: bool,
    /// What gives the trips.
    pub trips: Trips,
    /// Length of a plot.
    pub plot: f64,
    /// Ranges that are not like the others.
    pub others: Vec<OtherRanges>,
    /// How far off a single one may be.
    pub limits: Limits,
    /// The share of every kind that must be inside, from 0 to 1.
    pub accept: f64,
}

impl Trial {
    /// Plots of the trial, without fillers.
    #[must_use]
    pub fn plots(&self) -> u64 {
        u64::from(self.counted_ranges()) * u64::from(self.passes) * u64::from(self.abreast)
    }

    /// Ranges of plots without those of fillers.
    #[must_use]
    pub fn counted_ranges(&self) -> u32 {
        let fillers = self.others.iter().filter(|others| others.fillers);
        self.ranges - fillers.map(|others| others.last + 1 - others.first).sum::<u32>()
    }

    /// The ranges that one belongs to, counted with borders from 0, where it is not like the others.
    #[must_use]
    pub fn other(&self, tier: u32) -> Option<&OtherRanges> {
        self.others.iter().find(|others| (others.first..=others.last).contains(&tier))
    }

    /// Whether a range, counted so, has plots that are counted.
    #[must_use]
    pub fn counts_range(&self, tier: u32) -> bool {
        let inside = (self.border_ranges..self.border_ranges + self.ranges).contains(&tier);
        inside && !self.other(tier).is_some_and(|others| others.fillers)
    }

    /// Length of the plots of a range, counted so.
    #[must_use]
    pub fn plot_of(&self, tier: u32) -> f64 {
        self.other(tier).map_or(self.plot, |others| others.plot)
    }

    /// Ranges with those of the borders.
    #[must_use]
    pub fn tiers(&self) -> u32 {
        self.ranges + 2 * self.border_ranges
    }

    /// Whether a pass of the trial, the first being 0, goes out.
    #[must_use]
    pub fn goes_out(&self, pass: u32) -> bool {
        self.one_way || (self.border_passes + pass).is_multiple_of(2)
    }

    /// How many plots have what a kind counts: an alley behind them, a pass before them.
    #[must_use]
    pub fn with(&self, kind: Kind) -> u64 {
        // Behind the last range that a pass comes to there is no alley.
        let behind = |pass: u32| {
            let last = if self.goes_out(pass) { self.tiers() - 1 } else { 0 };
            u64::from(self.counted_ranges()) - u64::from(self.counts_range(last))
        };
        let abreast = u64::from(self.abreast);
        match kind {
            Kind::TooLong | Kind::TooShort | Kind::Depth | Kind::Stand => self.plots(),
            Kind::Centre | Kind::Width => abreast * (0..self.passes).map(behind).sum::<u64>(),
            Kind::Lead => abreast * (1..self.passes).map(behind).sum::<u64>(),
        }
    }

    /// The most plots that may be out by one limit, so that the share asked for is inside.
    ///
    /// ```
    /// use alleytrue::forecast::rehearsal::{Kind, Limits, Trial, Trips};
    /// let trial = Trial {
    ///     ranges: 16, passes: 10, abreast: 1, border_ranges: 0, border_passes: 0, one_way: false,
    ///     trips: Trips::AtMarks, plot: 210.0, others: vec![],
    ///     limits: Limits::default(), accept: 0.9,
    /// };
    /// assert_eq!(trial.most_out(Kind::TooLong), 16); // of 160
    /// assert_eq!(trial.most_out(Kind::Centre), 15); // of 150 alleys
    /// assert_eq!(trial.most_out(Kind::Lead), 13); // of 9 x 15 = 135
    /// ```
    #[must_use]
    #[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub fn most_out(&self, kind: Kind) -> u64 {
        // Right on the share asked for is inside, whatever rounding makes of it.
        ((self.with(kind) as f64) * (1.0 - self.accept) + 1e-9).floor() as u64
    }
}
