//! The plots and marks of a field as plain numbers: where each lies, and what it is called.

pub use super::Heading;
use std::collections::BTreeMap;

use super::geodesy::{Frame, Point};
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
pub(crate) fn nth<T: Arithmetic>(first: &T, spacing: &T, number: T) -> T {
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
#[derive(Clone, Copy, Debug)]
pub struct Layout {
    /// How many of everything.
    pub grid: Grid,
    /// How plots are numbered.
    pub numbering: Numbering,
    pub(crate) sizes: Sizes,
    /// How the field lies on the globe, where that is known.
    pub frame: Option<Frame>,
}

/// The lengths that places follow from.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sizes {
    pub(crate) plot: f64,
    pub(crate) trip_spacing: f64,
    pub(crate) plot_width: f64,
    pub(crate) pass_pitch: f64,
    pub(crate) headland: f64,
    pub(crate) first_mark: f64,
    pub(crate) side_margin: f64,
    pub(crate) length: f64,
    pub(crate) width: f64,
    /// Metres in a field unit.
    pub(crate) metres: f64,
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
                let near = self.near_of(tier);
                Some(Border {
                    range,
                    pass,
                    heading: grid.heading(driven),
                    left,
                    right,
                    near,
                    far: clean(near + self.sizes.plot),
                })
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
        (near, clean(near + self.sizes.plot))
    }

    /// Both edges of a pass with borders, counted as it is driven.
    fn strip(&self, driven: u32) -> (f64, f64) {
        let ends = [1, self.grid.abreast].map(|place| self.left_of_driven(driven, place));
        (ends[0].min(ends[1]), clean(ends[0].max(ends[1]) + self.sizes.plot_width))
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
        clean(nth(&self.sizes.headland, &self.sizes.trip_spacing, f64::from(tier)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Four strips of two ranges and two border ranges: 4 x 4 pieces less 2 x 2 that hold plots are
    /// 12. The first driven lies from 3 to 13 wherever pass 1 is on the left, and from 39 to 49 of
    /// 52 where it is on the right; its tiers start at 40, 64, 88 and 112.
    #[test]
    fn borders_lie_all_round_and_nowhere_over_a_plot() {
        for (side, first) in [(Side::Left, (3.0, 13.0)), (Side::Right, (39.0, 49.0))] {
            let layout = layout(side);
            let borders: Vec<Border> = layout.borders().collect();
            assert_eq!(borders.len(), 12);
            let nears: Vec<f64> = borders[..4].iter().map(|one| one.near).collect();
            assert_eq!(nears, [40.0, 64.0, 88.0, 112.0]);
            assert!(borders[..4].iter().all(|one| (one.left, one.right) == first));
            assert!(
                borders[..4].iter().all(|one| one.heading == Heading::Out && one.pass.is_none())
            );
            assert_eq!([0, 1, 2, 3].map(|at| borders[at].range), [None, Some(1), Some(2), None]);
            // Of a pass with plots only the border ranges are left.
            let of_pass = |pass| borders.iter().filter(move |one| one.pass == Some(pass));
            assert!(of_pass(1).all(|one| one.range.is_none() && one.heading == Heading::Home));
            assert_eq!(of_pass(1).count(), 2);
            for (border, plot) in borders.iter().flat_map(|b| layout.plots().map(move |p| (*b, p)))
            {
                let apart = border.right <= plot.left
                    || plot.right <= border.left
                    || border.far <= plot.near
                    || plot.far <= border.near;
                assert!(apart, "{border:?} {plot:?}");
            }
        }
    }

    /// Two ranges of plots of 20 by 5 and two passes of two plots, with a border all round and
    /// bare ground of 2 between passes, 3 beside them, 40 before them; alleys of 4.
    fn layout(first_pass: Side) -> Layout {
        Layout {
            grid: Grid {
                ranges: 2,
                passes: 2,
                abreast: 2,
                border_ranges: 1,
                border_passes: 1,
                one_way: false,
            },
            numbering: Numbering {
                first: 101,
                step: None,
                order: Order::Serpentine,
                run: Run::Across,
                first_pass,
            },
            sizes: Sizes {
                plot: 20.0,
                trip_spacing: 24.0,
                plot_width: 5.0,
                pass_pitch: 12.0,
                headland: 40.0,
                first_mark: 38.0,
                side_margin: 3.0,
                length: 172.0,
                width: 52.0,
                metres: 0.3048,
            },
            frame: None,
        }
    }

    /// Range 1 is the second tier: it starts at 40 + 24 = 64, its middle lies 20 / 2 further.
    #[test]
    fn the_middle_of_a_range_is_half_a_plot_past_its_start() {
        let middles: Vec<(u32, f64)> = layout(Side::Left).middles_of_ranges().collect();
        assert_eq!(middles, [(1, 74.0), (2, 98.0)]);
    }

    /// Pass 1 is the second strip: from 3 + 12 = 15 to 15 + 2 x 5 = 25. The next lies 12 further.
    /// With pass 1 on the right it is the third strip of four.
    #[test]
    fn the_middle_of_a_pass_lies_between_the_outer_edges_of_its_plots() {
        let middles = |side| layout(side).middles_of_passes().collect::<Vec<_>>();
        assert_eq!(middles(Side::Left), [(1, 20.0), (2, 32.0)]);
        assert_eq!(middles(Side::Right), [(1, 32.0), (2, 20.0)]);
    }

    /// Pass 1 is the strip from 3 + 17 = 20, and its plots lie side by side, 5 wide each.
    #[test]
    fn three_plots_abreast_share_a_pass() {
        let mut layout = layout(Side::Left);
        (layout.grid.abreast, layout.sizes.pass_pitch) = (3, 17.0);
        let plots: Vec<(u32, u32, f64)> =
            layout.plots().map(|plot| (plot.range, plot.pass, plot.left)).collect();
        let strips = [(1, 20.0), (1, 25.0), (1, 30.0), (2, 37.0), (2, 42.0), (2, 47.0)];
        // By number: to the right in range 1, and back in range 2.
        let there = strips.iter().map(|(pass, left)| (1, *pass, *left));
        let back = strips.iter().rev().map(|(pass, left)| (2, *pass, *left));
        assert_eq!(plots, there.chain(back).collect::<Vec<_>>());
    }

    /// Whatever side it starts from, a plot's edges are around the middles of its range and pass.
    #[test]
    fn plots_lie_around_the_middles_of_their_range_and_pass() {
        for side in [Side::Left, Side::Right] {
            let layout = layout(side);
            let ranges: Vec<(u32, f64)> = layout.middles_of_ranges().collect();
            let passes: Vec<(u32, f64)> = layout.middles_of_passes().collect();
            assert_eq!(layout.plots().count(), 8); // 2 x 2 x 2
            for plot in layout.plots() {
                let range = (plot.range, f64::midpoint(plot.near, plot.far));
                assert!(ranges.contains(&range), "{plot:?}");
                let (_, middle) = passes[plot.pass as usize - 1];
                let away = f64::midpoint(plot.left, plot.right) - middle;
                assert_eq!(away.abs(), 2.5, "{plot:?}");
            }
        }
    }

    /// A border pass is driven first, so pass 1 comes home; without one it goes out.
    #[test]
    fn the_first_pass_that_is_driven_goes_out() {
        let mut layout = layout(Side::Left);
        assert_eq!([1, 2].map(|pass| layout.heading(pass)), [Heading::Home, Heading::Out]);
        layout.grid.border_passes = 0;
        assert_eq!([1, 2].map(|pass| layout.heading(pass)), [Heading::Out, Heading::Home]);
    }

    /// Four tiers have five marks, 24 apart from 38 on. 10 ft are 3.048 m.
    #[test]
    fn marks_stand_a_trip_spacing_apart_and_one_more_than_tiers() {
        let layout = layout(Side::Left);
        let marks: Vec<(u32, f64)> = layout.marks().map(|mark| (mark.number, mark.at)).collect();
        assert_eq!(marks, [(1, 38.0), (2, 62.0), (3, 86.0), (4, 110.0), (5, 134.0)]);
        assert_eq!(layout.metres(10.0), 3.048);
        assert_eq!(layout.point((0.0, 0.0)), None);
    }

    /// Numbers of a line follow on, or start a step after those of the line before; every second
    /// line of a serpentine comes back.
    #[test]
    fn numbers_run_along_or_across_in_lines_of_their_own() {
        let mut layout = layout(Side::Left);
        let plots = |layout: &Layout| {
            layout.plots().map(|plot| (plot.number, plot.range, plot.pass)).collect::<Vec<_>>()
        };
        assert_eq!(layout.numbering.line(&layout.grid), 4);
        assert_eq!(plots(&layout)[..2], [(101, 1, 1), (102, 1, 1)]);
        assert_eq!(plots(&layout)[4..6], [(105, 2, 2), (106, 2, 2)]);
        layout.numbering.run = Run::Along;
        layout.numbering.step = Some(100);
        assert_eq!(layout.numbering.line(&layout.grid), 2);
        assert_eq!(plots(&layout)[..4], [(101, 1, 1), (102, 2, 1), (201, 2, 1), (202, 1, 1)]);
        assert_eq!(plots(&layout)[6..], [(401, 2, 2), (402, 1, 2)]);
    }
}
