//! Fields small enough to be laid out by hand.

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
        assert!(borders[..4].iter().all(|one| one.heading == Heading::Out && one.pass.is_none()));
        assert_eq!([0, 1, 2, 3].map(|at| borders[at].range), [None, Some(1), Some(2), None]);
        // Of a pass with plots only the border ranges are left.
        let of_pass = |pass| borders.iter().filter(move |one| one.pass == Some(pass));
        assert!(of_pass(1).all(|one| one.range.is_none() && one.heading == Heading::Home));
        assert_eq!(of_pass(1).count(), 2);
        for (border, plot) in borders.iter().flat_map(|b| layout.plots().map(move |p| (*b, p))) {
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
            stretches: vec![],
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

/// The second range with plots of 12 in place of 20: tiers start at 40, 64, 88 and 88 + 16 = 104,
/// marks half an alley (2) before them and after the last: 38, 62, 86, 102 and 126. As the border at
/// the start, 10 long, everything moves up by 10, and its own ground ends at 50.
#[test]
fn what_lies_behind_a_range_of_another_length_moves_up() {
    let mut layout = layout(Side::Left);
    layout.sizes.stretches = vec![Stretch { first: 3, last: 3, plot: 12.0, fillers: true }];
    let marks = |layout: &Layout| layout.marks().map(|mark| mark.at).collect::<Vec<_>>();
    assert_eq!(marks(&layout), [38.0, 62.0, 86.0, 102.0, 126.0]);
    assert_eq!(
        [1, 2, 3, 4].map(|tier| layout.tier(tier)),
        [(40.0, 60.0), (64.0, 84.0), (88.0, 100.0), (104.0, 124.0)]
    );
    let fillers: Vec<(u32, bool)> = layout.plots().map(|plot| (plot.range, plot.filler)).collect();
    assert!(fillers.iter().all(|(range, filler)| *filler == (*range == 2)));
    layout.sizes.stretches.push(Stretch { first: 1, last: 1, plot: 10.0, fillers: false });
    assert_eq!(marks(&layout), [38.0, 52.0, 76.0, 92.0, 116.0]);
    assert_eq!(layout.borders().next().map(|border| (border.near, border.far)), Some((40.0, 50.0)));
    assert_eq!(layout.middles_of_ranges().collect::<Vec<_>>(), [(1, 64.0), (2, 84.0)]);
}
