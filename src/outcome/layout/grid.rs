//! How many ranges, passes and plots there are, and how plots are numbered.

use super::Heading;

/// A side of the field, seen from the start line along the travel out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The left one.
    Left,
    /// The right one.
    Right,
}

/// The order of plot numbers in one line of plots and the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Order {
    /// Each line starts where the one before ended.
    Serpentine,
    /// Each line starts at the same side.
    Straight,
}

/// Which way a line of plot numbers runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Run {
    /// Across the field, range by range.
    Across,
    /// Along the field, line of plots by line of plots.
    Along,
}

/// How many of everything there is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Grid {
    /// Ranges of plots.
    pub ranges: u32,
    /// Passes of plots.
    pub passes: u32,
    /// Plots side by side in one pass.
    pub abreast: u32,
    /// Border ranges at either end.
    pub border_ranges: u32,
    /// Border passes at either side.
    pub border_passes: u32,
    /// Whether every pass goes out, and the planter comes back empty.
    pub one_way: bool,
}

impl Grid {
    /// Plots of the trial.
    #[must_use]
    pub fn plots(&self) -> u64 {
        u64::from(self.ranges) * self.columns()
    }

    /// Plots across the field.
    #[must_use]
    pub fn columns(&self) -> u64 {
        u64::from(self.passes) * u64::from(self.abreast)
    }

    /// Which way a pass goes, counted as it is driven: the first one out, the next one home, unless
    /// all go out.
    #[must_use]
    pub fn heading(&self, driven: u32) -> Heading {
        if self.one_way || driven % 2 == 1 { Heading::Out } else { Heading::Home }
    }

    /// Ranges with those of the borders.
    #[must_use]
    pub fn tiers(&self) -> u32 {
        self.ranges + 2 * self.border_ranges
    }

    /// Passes with those of the borders.
    #[must_use]
    pub fn strips(&self) -> u32 {
        self.passes + 2 * self.border_passes
    }
}

/// How plots are numbered. Range 1 is the one next to the start line, pass 1 the first one
/// planted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Numbering {
    /// Number of the first plot.
    pub first: u32,
    /// From the first number of a line to that of the next; without it numbers follow on.
    pub step: Option<u32>,
    /// Whether every line starts at the same side.
    pub order: Order,
    /// Which way lines run.
    pub run: Run,
    /// The side where pass 1 lies.
    pub first_pass: Side,
}

impl Numbering {
    /// Plots in one line of numbers.
    #[must_use]
    pub fn line(&self, grid: &Grid) -> u64 {
        match self.run {
            Run::Across => grid.columns(),
            Run::Along => u64::from(grid.ranges),
        }
    }

    /// The plots in the order of their numbers: number, range, and column counted from the side
    /// of pass 1.
    pub(super) fn places(self, grid: Grid) -> impl Iterator<Item = (u32, u32, u32)> {
        let inner = u32::try_from(self.line(&grid)).unwrap_or(u32::MAX);
        let lines = u32::try_from(grid.plots()).unwrap_or(u32::MAX) / inner.max(1);
        let step = self.step.unwrap_or(inner);
        (1..=lines).flat_map(move |line| {
            let back = self.order == Order::Serpentine && line % 2 == 0;
            (1..=inner).map(move |place| {
                let number = self.first + (line - 1) * step + place - 1;
                let at = if back { inner - place + 1 } else { place };
                match self.run {
                    Run::Across => (number, line, at),
                    Run::Along => (number, at, line),
                }
            })
        })
    }
}
