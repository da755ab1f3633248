//! The plots and marks of a field as plain numbers: where each lies, and what it is called.

mod grid;
mod sizes;

pub use super::Heading;
use std::collections::BTreeMap;

use super::geodesy::{Frame, Point};
use crate::quantity::clean;

pub use grid::{Grid, Numbering, Order, Run, Side};
pub(crate) use sizes::{Sizes, Stretch, nth};

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
    /// Whether it lies in a range of fillers, which belong to no entry.
    pub filler: bool,
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

/// Planted ground of one pass and one tier that is no plot of the trial.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Border {
    /// Its range, where it lies beside plots; none in a border range.
    pub range: Option<u32>,
    /// Its pass, where that has plots; none in a border pass.
    pub pass: Option<u32>,
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

/// What is planted between two trips of one pass.
#[derive(Clone, Debug, PartialEq)]
pub enum Piece {
    /// Plots of the trial side by side, from the left edge of the field.
    Plots(Vec<Plot>),
    /// Border.
    Border(Border),
}

/// A pass of plots or of border, from edge to edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strip {
    /// Its number; none for a border.
    pub pass: Option<u32>,
    /// Which way the planter goes over it.
    pub heading: Heading,
    /// Its left edge.
    pub left: f64,
    /// Its right edge.
    pub right: f64,
}

impl Border {
    /// Its corners, in the order of [`CORNERS`].
    #[must_use]
    pub fn corners(&self) -> [(f64, f64); 4] {
        corners(self.left, self.right, self.near, self.far)
    }
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
#[derive(Clone, Debug)]
pub struct Layout {
    /// How many of everything.
    pub grid: Grid,
    /// How plots are numbered.
    pub numbering: Numbering,
    pub(crate) sizes: Sizes,
    /// How the field lies on the globe, where that is known.
    pub frame: Option<Frame>,
}

impl Layout {
    /// Every plot, in the order of its number.
    pub fn plots(&self) -> impl Iterator<Item = Plot> + '_ {
        self.numbering.places(self.grid).map(|(number, range, column)| {
            let (pass, place) =
                ((column - 1) / self.grid.abreast + 1, (column - 1) % self.grid.abreast + 1);
            let left = self.left_of(pass, place);
            let tier = self.grid.border_ranges + range;
            let (near, far) = self.tier(tier);
            Plot {
                number,
                range,
                pass,
                heading: self.heading(pass),
                filler: self.sizes.fills(tier),
                left,
                right: clean(left + self.sizes.plot_width),
                near,
                far,
            }
        })
    }

    /// Every piece of border, pass by pass as they are driven, from the start line on. A border pass
    /// is planted whole, whatever lies abreast in the others.
    pub fn borders(&self) -> impl Iterator<Item = Border> + '_ {
        let grid = self.grid;
        let own = |place: u32, borders: u32, of: u32| {
            place.checked_sub(borders).filter(|own| (1..=of).contains(own))
        };
        (1..=grid.strips()).flat_map(move |driven| {
            (1..=grid.tiers()).filter_map(move |tier| {
                let pass = own(driven, grid.border_passes, grid.passes);
                let range = own(tier, grid.border_ranges, grid.ranges);
                if pass.is_some() && range.is_some() {
                    return None;
                }
                let (left, right) = self.strip(driven);
                let (near, far) = self.tier(tier);
                Some(Border { range, pass, heading: grid.heading(driven), left, right, near, far })
            })
        })
    }

    /// All that is planted, in the order in which the planter comes to it: pass by pass, and in each
    /// range by range as it is driven.
    pub fn in_driving_order(&self) -> impl Iterator<Item = Piece> + '_ {
        let grid = self.grid;
        let mut plots: BTreeMap<(u32, u32), Vec<Plot>> = BTreeMap::new();
        for plot in self.plots() {
            plots.entry((plot.pass, plot.range)).or_default().push(plot);
        }
        for abreast in plots.values_mut() {
            abreast.sort_by(|one, other| one.left.total_cmp(&other.left));
        }
        let mut borders: BTreeMap<(u32, u32), Border> = BTreeMap::new();
        let mut all = self.borders();
        for driven in 1..=grid.strips() {
            for tier in 1..=grid.tiers() {
                if !self.holds_plots(driven, tier)
                    && let Some(border) = all.next()
                {
                    borders.insert((driven, tier), border);
                }
            }
        }
        (1..=grid.strips()).flat_map(move |driven| {
            let out = grid.heading(driven) == Heading::Out;
            let tiers = 1..=grid.tiers();
            let tiers: Vec<u32> = if out { tiers.collect() } else { tiers.rev().collect() };
            let pieces: Vec<Piece> = tiers
                .into_iter()
                .filter_map(|tier| {
                    if let Some(border) = borders.get(&(driven, tier)) {
                        return Some(Piece::Border(*border));
                    }
                    let own = (driven - grid.border_passes, tier - grid.border_ranges);
                    plots.get(&own).cloned().map(Piece::Plots)
                })
                .collect();
            pieces
        })
    }

    /// Whether a pass, counted as it is driven, has plots of the trial in a tier.
    fn holds_plots(&self, driven: u32, tier: u32) -> bool {
        let grid = &self.grid;
        let inside =
            |place: u32, borders: u32, of: u32| (borders + 1..=borders + of).contains(&place);
        inside(driven, grid.border_passes, grid.passes)
            && inside(tier, grid.border_ranges, grid.ranges)
    }

    /// A pass with those of the borders, by its place counted from the left.
    #[must_use]
    pub fn strip_from_left(&self, place: u32) -> Strip {
        let driven = match self.numbering.first_pass {
            Side::Left => place,
            Side::Right => self.grid.strips() + 1 - place,
        };
        let pass = driven.checked_sub(self.grid.border_passes);
        let (left, right) = self.strip(driven);
        Strip {
            pass: pass.filter(|pass| (1..=self.grid.passes).contains(pass)),
            heading: self.grid.heading(driven),
            left,
            right,
        }
    }

    /// Both edges of a range with those of the borders, counted from the start line.
    #[must_use]
    pub fn tier(&self, tier: u32) -> (f64, f64) {
        let near = self.near_of(tier);
        (near, clean(near + self.sizes.plot_of(tier)))
    }

    /// Both edges of a pass with borders, counted as it is driven.
    fn strip(&self, driven: u32) -> (f64, f64) {
        let ends = [1, self.grid.abreast].map(|place| self.left_of_driven(driven, place));
        (ends[0].min(ends[1]), clean(ends[0].max(ends[1]) + self.sizes.plot_width))
    }

    /// Every mark, from the start line on.
    pub fn marks(&self) -> impl Iterator<Item = Mark> + '_ {
        let Sizes { first_mark, trip_spacing, .. } = &self.sizes;
        (1..=self.grid.tiers() + 1).map(move |number| Mark {
            number,
            at: clean(
                nth(first_mark, trip_spacing, f64::from(number)) + self.sizes.further(number),
            ),
        })
    }

    /// Whether all marks stand one trip spacing apart.
    #[must_use]
    pub fn evenly_tripped(&self) -> bool {
        self.sizes.stretches.iter().all(|stretch| stretch.plot == self.sizes.plot)
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
            let (near, far) = self.tier(self.grid.border_ranges + range);
            (range, f64::midpoint(near, far))
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
        self.grid.heading(self.grid.border_passes + pass)
    }

    /// Left edge of a plot, by its pass and its place in it counted from the side of pass 1.
    fn left_of(&self, pass: u32, place: u32) -> f64 {
        self.left_of_driven(self.grid.border_passes + pass, place)
    }

    /// The same by the pass as it is driven, borders counted.
    fn left_of_driven(&self, driven: u32, place: u32) -> f64 {
        let grid = &self.grid;
        let (strip, place) = match self.numbering.first_pass {
            Side::Left => (driven, place),
            Side::Right => (grid.strips() - driven + 1, grid.abreast - place + 1),
        };
        let strip = nth(&self.sizes.side_margin, &self.sizes.pass_pitch, f64::from(strip));
        clean(nth(&strip, &self.sizes.plot_width, f64::from(place)))
    }

    /// Edge of a tier towards the start line.
    fn near_of(&self, tier: u32) -> f64 {
        let evenly = nth(&self.sizes.headland, &self.sizes.trip_spacing, f64::from(tier));
        clean(evenly + self.sizes.further(tier))
    }
}

#[cfg(test)]
mod tests;
