//! The plots and marks of a field as plain numbers: where each lies, and what it is called.

pub use crate::calibration::alley::Heading;
use crate::calibration::geodesy::{Frame, Point};
use crate::quantity::clean;
use crate::working::Arithmetic;

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
    fn places(self, grid: Grid) -> impl Iterator<Item = (u32, u32, u32)> {
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

/// Where the n-th of a row of evenly spaced things lies: first + (n - 1) × spacing.
///
/// Each is counted from the first, so that nothing rounded adds up.
pub(super) fn nth<T: Arithmetic>(first: &T, spacing: &T, number: T) -> T {
    first.clone() + (number - T::exactly(1.0)) * spacing.clone()
}

/// A plot of the trial, in field coordinates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plot {
    /// Its number.
    pub number: u32,
    /// Its range, the one next to the start line being 1.
    pub range: u32,
    /// Its pass, the first one planted being 1.
    pub pass: u32,
    /// Which way the planter goes over it.
    pub heading: Heading,
    /// Its left edge.
    pub left: f64,
    /// Its right edge.
    pub right: f64,
    /// Its edge towards the start line.
    pub near: f64,
    /// Its edge away from the start line.
    pub far: f64,
}

/// The names of a plot's corners, in the order of [`Plot::corners`].
pub const CORNERS: [&str; 4] = ["near left", "near right", "far right", "far left"];

impl Plot {
    /// Its corners, counter-clockwise seen from above, as x and y.
    #[must_use]
    pub fn corners(&self) -> [(f64, f64); 4] {
        corners(self.left, self.right, self.near, self.far)
    }
}

fn corners(left: f64, right: f64, near: f64, far: f64) -> [(f64, f64); 4] {
    [(left, near), (right, near), (right, far), (left, far)]
}

/// A mark: a line across the field where the middle of an alley is to be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mark {
    /// Its number, the one next to the start line being 1.
    pub number: u32,
    /// Its distance from the start line.
    pub at: f64,
}

/// The field: counts and sizes, from which every plot and mark follows. Lengths are in field
/// units; x runs across from the left edge, y along from the start line.
#[derive(Clone, Copy, Debug)]
pub struct Layout {
    /// How many of everything.
    pub grid: Grid,
    /// How plots are numbered.
    pub numbering: Numbering,
    pub(super) sizes: Sizes,
    /// How the field lies on the globe, where that is known.
    pub frame: Option<Frame>,
}

/// The lengths that places follow from.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sizes {
    pub(super) plot: f64,
    pub(super) trip_spacing: f64,
    pub(super) plot_width: f64,
    pub(super) pass_pitch: f64,
    pub(super) headland: f64,
    pub(super) first_mark: f64,
    pub(super) side_margin: f64,
    pub(super) length: f64,
    pub(super) width: f64,
    /// Metres in a field unit.
    pub(super) metres: f64,
}

impl Layout {
    /// Every plot, in the order of its number.
    pub fn plots(&self) -> impl Iterator<Item = Plot> + '_ {
        self.numbering.places(self.grid).map(|(number, range, column)| {
            let (pass, place) =
                ((column - 1) / self.grid.abreast + 1, (column - 1) % self.grid.abreast + 1);
            let left = self.left_of(pass, place);
            let near = self.near_of(self.grid.border_ranges + range);
            Plot {
                number,
                range,
                pass,
                heading: self.heading(pass),
                left,
                right: clean(left + self.sizes.plot_width),
                near,
                far: clean(near + self.sizes.plot),
            }
        })
    }

    /// Every mark, from the start line on.
    pub fn marks(&self) -> impl Iterator<Item = Mark> + '_ {
        let Sizes { first_mark, trip_spacing, .. } = self.sizes;
        (1..=self.grid.tiers() + 1).map(move |number| Mark {
            number,
            at: clean(nth(&first_mark, &trip_spacing, f64::from(number))),
        })
    }

    /// Length of the field along the travel, and its width.
    #[must_use]
    pub fn size(&self) -> (f64, f64) {
        (self.sizes.length, self.sizes.width)
    }

    /// The corners of the field, in the order of [`CORNERS`].
    #[must_use]
    pub fn corners(&self) -> [(f64, f64); 4] {
        corners(0.0, self.sizes.width, 0.0, self.sizes.length)
    }

    /// A field length in metres.
    #[must_use]
    pub fn metres(&self, length: f64) -> f64 {
        clean(length * self.sizes.metres)
    }

    /// Where a place of the field lies on the globe, where the sheet says how the field lies.
    #[must_use]
    pub fn point(&self, (x, y): (f64, f64)) -> Option<Point> {
        let metres = self.sizes.metres;
        self.frame.map(|frame| frame.at(x * metres, y * metres))
    }

    /// Every range with the place of its middle along the field.
    pub fn middles_of_ranges(&self) -> impl Iterator<Item = (u32, f64)> + '_ {
        (1..=self.grid.ranges).map(|range| {
            (range, self.near_of(self.grid.border_ranges + range) + self.sizes.plot / 2.0)
        })
    }

    /// Every pass with the place of its middle across the field.
    pub fn middles_of_passes(&self) -> impl Iterator<Item = (u32, f64)> + '_ {
        (1..=self.grid.passes).map(|pass| {
            let outermost = [1, self.grid.abreast].map(|place| self.left_of(pass, place));
            let left = outermost[0].min(outermost[1]);
            let right = outermost[0].max(outermost[1]) + self.sizes.plot_width;
            (pass, f64::midpoint(left, right))
        })
    }

    /// Which way the planter goes over a pass: the first one it drives, border or not, goes out.
    #[must_use]
    pub fn heading(&self, pass: u32) -> Heading {
        if (self.grid.border_passes + pass) % 2 == 1 { Heading::Out } else { Heading::Home }
    }

    /// Left edge of a plot, by its pass and its place in it counted from the side of pass 1.
    fn left_of(&self, pass: u32, place: u32) -> f64 {
        let grid = &self.grid;
        let driven = grid.border_passes + pass;
        let (strip, place) = match self.numbering.first_pass {
            Side::Left => (driven, place),
            Side::Right => (grid.strips() - driven + 1, grid.abreast - place + 1),
        };
        let strip = nth(&self.sizes.side_margin, &self.sizes.pass_pitch, f64::from(strip));
        clean(nth(&strip, &self.sizes.plot_width, f64::from(place)))
    }

    /// Edge of a tier towards the start line.
    fn near_of(&self, tier: u32) -> f64 {
        clean(nth(&self.sizes.headland, &self.sizes.trip_spacing, f64::from(tier)))
    }
}
