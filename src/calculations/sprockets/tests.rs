//! The search against every combination tried in another way, and against published gear tables.
#![allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]

use super::*;
use proptest::prelude::*;

fn at(fitted: u32, choices: impl IntoIterator<Item = u32>) -> Position {
    Position { fitted, choices: choices.into_iter().collect() }
}

fn stage(driving: Position, driven: Position) -> Stage {
    Stage { driving, driven }
}

fn every_chain(_: usize, _: u32, _: u32) -> bool {
    true
}

/// A third of all pairs, some of each sprocket, have a chain that does not go round.
fn some_chains(stage: usize, driving: u32, driven: u32) -> bool {
    !(stage as u64 + u64::from(driving) + 2 * u64::from(driven)).is_multiple_of(3)
}

fn wanted(ratio: f64, tolerance: Option<f64>) -> Wanted<'static> {
    Wanted {
        ratio,
        tolerance,
        chain_fits: &every_chain,
        has_room: &|_, _, _| true,
        heed_chains: true,
    }
}

fn nearest(stages: &[Stage], ratio: f64, count: usize) -> Vec<Combination> {
    best(stages, &wanted(ratio, None), count).expect("searchable")
}

/// Plate turns per wheel turn as a fraction.
fn fraction(combination: &Combination) -> (u128, u128) {
    let teeth = combination.teeth.iter();
    teeth.fold((1, 1), |(n, d), (driving, driven)| {
        (n * u128::from(*driving), d * u128::from(*driven))
    })
}

fn ratio(combination: &Combination) -> f64 {
    let (n, d) = fraction(combination);
    n as f64 / d as f64
}

fn spacing_error(combination: &Combination, target: f64) -> f64 {
    target / ratio(combination) - 1.0
}

// ---- Brute force, written apart from the search: lists of combinations, sorted by whole numbers. ----

type Teeth = Vec<(u32, u32)>;

/// A combination, its ratio as a fraction in lowest terms.
#[derive(Clone, Debug)]
struct Row {
    n: i128,
    d: i128,
    chains_off: u32,
    swaps: u32,
    teeth: Teeth,
}

fn every_combination(stages: &[Stage], fits: impl Fn(usize, u32, u32) -> bool) -> Vec<Row> {
    let mut rows = vec![Row { n: 1, d: 1, chains_off: 0, swaps: 0, teeth: vec![] }];
    for (place, s) in stages.iter().enumerate() {
        let mut more = vec![];
        for row in &rows {
            for &a in s.driving.choices.iter().chain([&s.driving.fitted]) {
                for &b in s.driven.choices.iter().chain([&s.driven.fitted]) {
                    let mut one = row.clone();
                    one.n *= i128::from(a);
                    one.d *= i128::from(b);
                    one.teeth.push((a, b));
                    let stays = (a == s.driving.fitted, b == s.driven.fitted);
                    one.swaps +=
                        [stays.0, stays.1].map(|stays| u32::from(!stays)).iter().sum::<u32>();
                    one.chains_off += u32::from(stays != (true, true) && !fits(place, a, b));
                    more.push(one);
                }
            }
        }
        rows = more;
    }
    for row in &mut rows {
        let (mut a, mut b) = (row.n, row.d);
        while b != 0 {
            (a, b) = (b, a % b);
        }
        row.n /= a;
        row.d /= a;
    }
    rows
}

/// A number as a fraction of whole numbers; only for middling ones.
fn as_fraction(number: f64) -> (i128, i128) {
    let mut bottom = 1_i128;
    let mut top = number;
    while top.fract() != 0.0 {
        top *= 2.0;
        bottom *= 2;
    }
    (top as i128, bottom)
}

/// By the words of `Wanted`: sorted by what counts least first, each sort keeping what was equal in
/// the order it had. Then each ratio once.
fn brute(
    stages: &[Stage],
    target: f64,
    per_mille: Option<i128>,
    fits: impl Fn(usize, u32, u32) -> bool,
    heed: bool,
) -> Vec<Row> {
    let mut rows = every_combination(stages, fits);
    let (tn, td) = as_fraction(target);
    // |T/R - 1| = |tn d - td n| / (td n); td is common to all.
    let miss = |row: &Row| (tn * row.d - td * row.n).abs();
    let by_error = |rows: &mut Vec<Row>| rows.sort_by_key(|row| Share(miss(row), row.n));
    let by_chains =
        |rows: &mut Vec<Row>| rows.sort_by_key(|row| if heed { row.chains_off } else { 0 });
    let by_swaps = |rows: &mut Vec<Row>| rows.sort_by_key(|row| row.swaps);
    rows.sort_by_key(|row| row.teeth.clone());
    if let Some(per_mille) = per_mille {
        let inside = |row: &Row| 1000 * miss(row) <= per_mille * td * row.n;
        let (mut near, mut far): (Vec<Row>, Vec<Row>) = rows.into_iter().partition(inside);
        by_error(&mut near);
        by_swaps(&mut near);
        by_chains(&mut near);
        by_swaps(&mut far);
        by_chains(&mut far);
        by_error(&mut far);
        rows = [near, far].concat();
    } else {
        by_swaps(&mut rows);
        by_error(&mut rows);
        by_chains(&mut rows);
    }
    let mut seen = std::collections::HashSet::new();
    rows.retain(|row| seen.insert((row.n, row.d)));
    rows
}

/// A fraction of whole numbers, the bottom above zero, in order of size.
#[derive(PartialEq, Eq)]
struct Share(i128, i128);

impl Ord for Share {
    fn cmp(&self, other: &Self) -> Ordering {
        (self.0 * other.1).cmp(&(other.0 * self.1))
    }
}

impl PartialOrd for Share {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

fn told(rows: &[Row]) -> Vec<Combination> {
    let tell = |row: &Row| Combination {
        teeth: row.teeth.clone(),
        swaps: row.swaps,
        chains_off: row.chains_off,
    };
    rows.iter().map(tell).collect()
}

fn positions(
    teeth: impl Strategy<Value = u32> + Clone,
    most: usize,
) -> impl Strategy<Value = Position> {
    (teeth.clone(), prop::collection::vec(teeth, 0..=most))
        .prop_map(|(fitted, choices)| Position { fitted, choices })
}

fn drives(
    teeth: impl Strategy<Value = u32> + Clone,
    stages: usize,
    most: usize,
) -> impl Strategy<Value = Vec<Stage>> {
    let one = (positions(teeth.clone(), most), positions(teeth, most))
        .prop_map(|(driving, driven)| Stage { driving, driven });
    prop::collection::vec(one, 1..=stages)
}

/// Few, highly composite teeth make many equal ratios and many ties.
fn tying_teeth() -> impl Strategy<Value = u32> + Clone {
    prop::sample::select(vec![1_u32, 2, 3, 4, 6, 8, 9, 12, 18, 24])
}

fn tying_targets() -> impl Strategy<Value = f64> {
    prop::sample::select(vec![0.125, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 4.0, 16.0])
}

/// A tolerance in thousandths.
fn tolerances() -> impl Strategy<Value = Option<i128>> {
    prop::option::of(prop::sample::select(vec![0, 5, 20, 125, 250, 500, 2000]))
}

fn both(
    drive: &[Stage],
    target: f64,
    per_mille: Option<i128>,
    heed: bool,
) -> (Wanted<'static>, Vec<Combination>) {
    let tolerance = per_mille.map(|per_mille| per_mille as f64 / 1000.0);
    let wanted = Wanted {
        ratio: target,
        tolerance,
        chain_fits: &some_chains,
        has_room: &|_, _, _| true,
        heed_chains: heed,
    };
    (wanted, told(&brute(drive, target, per_mille, some_chains, heed)))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn best_is_brute_force(
        drive in drives(5_u32..=40, 3, 3),
        target in 0.02_f64..50.0,
        tolerance in tolerances(),
        heed in any::<bool>(),
        count in 0_usize..30,
    ) {
        let (wanted, mut all) = both(&drive, target, tolerance, heed);
        all.truncate(count);
        prop_assert_eq!(best(&drive, &wanted, count), Ok(all));
    }

    #[test]
    fn best_is_brute_force_with_ties(
        drive in drives(tying_teeth(), 3, 4),
        target in tying_targets(),
        tolerance in tolerances(),
        heed in any::<bool>(),
        count in 0_usize..12,
    ) {
        let (wanted, mut all) = both(&drive, target, tolerance, heed);
        all.truncate(count);
        prop_assert_eq!(best(&drive, &wanted, count), Ok(all));
    }

    #[test]
    fn chart_is_brute_force(
        drive in drives(tying_teeth(), 3, 3),
        target in tying_targets(),
        tolerance in tolerances(),
        heed in any::<bool>(),
    ) {
        let (wanted, all) = both(&drive, target, tolerance, heed);
        let most = all.len();
        prop_assert_eq!(best(&drive, &wanted, usize::MAX), Ok(all.clone()));
        prop_assert_eq!(chart(&drive, &wanted, most), Ok(all));
        let few = most - 1;
        prop_assert_eq!(chart(&drive, &wanted, few), Err(SearchError::TooManyRatios { most: few }));
    }

    #[test]
    fn a_ratio_that_the_drive_makes_is_the_nearest(
        drive in drives(5_u32..=40, 2, 5),
        pick in any::<prop::sample::Index>(),
    ) {
        let all = every_combination(&drive, every_chain);
        let row = &all[pick.index(all.len())];
        let target = row.n as f64 / row.d as f64;
        prop_assert_eq!(ratio(&nearest(&drive, target, 1)[0]), target);
    }

    #[test]
    fn never_panics(
        drive in drives(prop_oneof![any::<u32>(), 0_u32..9, Just(u32::MAX)], 9, 2),
        target in any::<f64>(),
        tolerance in prop::option::of(any::<f64>()),
        count in 0_usize..9,
    ) {
        let wanted =
            Wanted { ratio: target, tolerance, chain_fits: &some_chains, has_room: &|_, _, _| true, heed_chains: true };
        if let Ok(found) = best(&drive, &wanted, count) {
            prop_assert!(found.len() <= count);
        }
        let _ = (combinations(&drive), chart(&drive, &wanted, 1000));
    }
}

/// What is wanted is 1. From 24/20: 20/20 is right and takes one swap, 24/24 as well; 24/21 is
/// 21 / 24 - 1 = -12.5 % off, 24/22 is -8.3 %, 22/20 is -9.1 %, 21/20 is -4.8 %, 21/22 is 4.8 %.
fn two_swaps_at_most() -> [Stage; 1] {
    [stage(at(24, [20, 21, 22]), at(20, [21, 22, 24]))]
}

#[test]
fn inside_the_tolerance_one_swap_goes_before_a_nearer_one_with_two() {
    let drive = [stage(at(24, [22, 21]), at(20, [21, 22]))];
    let first = |tolerance| {
        let found = best(&drive, &wanted(1.0, tolerance), 1).expect("searchable").remove(0);
        (found.teeth[0], found.swaps)
    };
    // 21/21 and 22/22 are right with two swaps, 21/20 is 4.8 % off with one.
    assert_eq!(first(Some(0.02)), ((21, 21), 2));
    assert_eq!(first(Some(0.05)), ((21, 20), 1));
    // 24/20 is 20 / 24 - 1 = -16.7 % off with none.
    assert_eq!(first(Some(0.17)), ((24, 20), 0));
    assert_eq!(first(None), ((21, 21), 2));
}

#[test]
fn inside_the_tolerance_chains_that_fit_go_before_fewer_swaps() {
    let drive = two_swaps_at_most();
    // The chain goes round 22/22 alone.
    let fits = |_: usize, driving: u32, driven: u32| (driving, driven) == (22, 22);
    let first = |tolerance, heed_chains| {
        let wanted = Wanted {
            ratio: 1.0,
            tolerance,
            chain_fits: &fits,
            has_room: &|_, _, _| true,
            heed_chains,
        };
        best(&drive, &wanted, 1).expect("searchable").remove(0)
    };
    let heeded = first(Some(0.02), true);
    assert_eq!((heeded.teeth[0], heeded.swaps, heeded.chains_off), ((22, 22), 2, 0));
    let ignored = first(Some(0.02), false);
    assert_eq!((ignored.teeth[0], ignored.swaps, ignored.chains_off), ((20, 20), 1, 1));
    // What is fitted needs no other chain, whatever is known of it.
    assert_eq!((first(Some(0.2), true).teeth[0], first(Some(0.2), true).chains_off), ((24, 20), 0));
    // Without a tolerance the nearest of those whose chains fit; what is fitted is no nearer.
    assert_eq!(first(None, true).teeth[0], (22, 22));
}

#[test]
fn outside_the_tolerance_the_nearest_goes_first_whatever_its_chains() {
    let drive = [stage(at(30, [24, 22]), at(20, []))];
    let fits = |_: usize, driving: u32, _: u32| driving != 22;
    let wanted = Wanted {
        ratio: 1.0,
        tolerance: Some(0.01),
        chain_fits: &fits,
        has_room: &|_, _, _| true,
        heed_chains: true,
    };
    let driving = |wanted: &Wanted<'_>| -> Vec<u32> {
        let found = best(&drive, wanted, 3).expect("searchable");
        found.iter().map(|combination| combination.teeth[0].0).collect()
    };
    // 22/20, 24/20 and 30/20 are -9.1, -16.7 and -33.3 % off.
    assert_eq!(driving(&wanted), [22, 24, 30]);
    // Without a tolerance those whose chain fits come before.
    assert_eq!(driving(&Wanted { tolerance: None, ..wanted }), [24, 30, 22]);
    assert_eq!(driving(&wanted.nearest()), [22, 24, 30]);
}

#[test]
fn ties_across_the_target_go_to_fewest_swaps() {
    // 2/3 and 2 both space seed wrong by one half at a target of 1.
    let low = [stage(at(40, [120]), at(60, []))];
    let high = [stage(at(120, [40]), at(60, []))];
    for (drive, fitted) in [(low, 40), (high, 120)] {
        let found = nearest(&drive, 1.0, 1);
        assert_eq!(found[0].teeth, [(fitted, 60)]);
        assert_eq!(found[0].swaps, 0);
        assert_eq!(spacing_error(&found[0], 1.0).abs(), 0.5);
    }
}

/// Ratio error in parts per million, as gear tables state it.
fn ratio_error_ppm(combination: &Combination, target: f64) -> f64 {
    1e6 * (ratio(combination) / target - 1.0)
}

#[test]
fn change_gears_for_an_inch_screw() {
    // Change-gear tables: 25.4/8 = 3.175 approximated, errors of ratio.
    let target = 25.4 / 8.0;
    for (largest, (n, d), ppm) in [
        (34, (19, 6), -2624.672),
        (72, (54, 17), 463.177),
        (126, (73, 23), -342.349),
        (200, (127, 40), 0.0),
    ] {
        let drive = [stage(at(20, 5..=largest), at(20, 5..=largest))];
        let found = nearest(&drive, target, 1);
        // 16/5 and 35/11 are passed over or out of reach as the largest gear allows.
        assert_eq!(found[0].teeth, [(n, d)]);
        let error = ratio_error_ppm(&found[0], target);
        assert!((error - ppm).abs() < 5e-4, "{n}/{d}: {error} ppm");
    }
    // 54/17 and 73/23 from two stages: 54/17 = (36/17)(27/18) and the like.
    let gears = [17, 18, 24, 27, 36];
    let drive = [stage(at(24, gears), at(24, gears)), stage(at(24, gears), at(24, gears))];
    let (n, d) = fraction(&nearest(&drive, target, 1)[0]);
    assert_eq!(n * 17, d * 54);
    let gears = [20, 23, 40, 73];
    let drive = [stage(at(20, gears), at(20, gears)), stage(at(20, gears), at(20, gears))];
    let found = nearest(&drive, target, 1);
    let (n, d) = fraction(&found[0]);
    assert_eq!((n * 23, found[0].swaps), (d * 73, 2));
}

#[test]
fn brocot_by_way_of_hayes() {
    // Hayes, "On the Teeth of Wheels", American Scientist 88 (2000): 191/23.
    let target = 191.0 / 23.0;
    for (largest, teeth, per_cent) in [(120, (108, 13), 0.0403), (100, (83, 10), -0.0524)] {
        let drive = [stage(at(20, 5..=largest), at(20, 5..=largest))];
        let found = nearest(&drive, target, 1);
        assert_eq!(found[0].teeth, [teeth]);
        let error = ratio_error_ppm(&found[0], target) / 1e4;
        assert!((error - per_cent).abs() < 5e-5, "{error} %");
    }
}

/// Sets each stage in turn as near as it will go, leaving the others as they are.
fn stage_by_stage(stages: &[Stage], target: f64) -> Vec<(u32, u32)> {
    let mut teeth: Vec<(u32, u32)> =
        stages.iter().map(|s| (s.driving.fitted, s.driven.fitted)).collect();
    let error = |teeth: &[(u32, u32)]| {
        let ratio: f64 = teeth.iter().map(|&(a, b)| f64::from(a) / f64::from(b)).product();
        (target / ratio - 1.0).abs()
    };
    for (i, s) in stages.iter().enumerate() {
        for a in s.driving.teeth() {
            for b in s.driven.teeth() {
                let mut trial = teeth.clone();
                trial[i] = (a, b);
                if error(&trial) < error(&teeth) {
                    teeth = trial;
                }
            }
        }
    }
    teeth
}

#[test]
fn stage_by_stage_choice_is_beaten() {
    let drive = [stage(at(20, [32]), at(20, [])), stage(at(20, []), at(20, [26]))];
    // 20 % wide whichever stage is tried alone, 2.5 % narrow with both changed.
    assert_eq!(stage_by_stage(&drive, 1.2), [(20, 20), (20, 20)]);
    let found = nearest(&drive, 1.2, 2);
    assert_eq!(found[0].teeth, [(32, 20), (20, 26)]);
    assert!((spacing_error(&found[0], 1.2) + 0.025).abs() < 1e-12);
    assert_eq!(found[1].teeth, [(20, 20), (20, 20)]);
}

#[test]
fn errors() {
    let drive = [stage(at(20, [25]), at(30, []))];
    let one = wanted(1.0, None);
    assert_eq!(combinations(&[]), 0);
    assert_eq!(best(&[], &one, 1), Err(SearchError::NoStages));
    assert_eq!(chart(&[], &one, 9), Err(SearchError::NoStages));
    for target in [0.0, -1.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        assert_eq!(best(&drive, &wanted(target, None), 1), Err(SearchError::BadTarget));
    }
    assert_eq!(best(&drive, &one, 0), Ok(vec![]));
    let toothless = [drive[0].clone(), stage(at(20, []), at(20, [0]))];
    let no_teeth = SearchError::NoTeeth { stage: 1 };
    assert_eq!(best(&toothless, &one, 1), Err(no_teeth.clone()));
    assert_eq!(chart(&toothless, &one, 9), Err(no_teeth));

    let wide = stage(at(20, 5..=200), at(20, 5..=200));
    assert_eq!(combinations(&vec![wide.clone(); 8]), 196_u128.pow(16));
    let two = vec![wide.clone(); 2];
    let too_many = SearchError::TooManyCombinations { combinations: 196_u128.pow(4) };
    assert_eq!(best(&two, &one, 1), Err(too_many.clone()));
    assert_eq!(chart(&two, &one, 9), Err(too_many.clone()));
    assert_eq!(
        too_many.to_string(),
        "1475789056 sprocket combinations are too many to search (at most 3000000)"
    );
    assert_eq!(chart(&[wide], &one, 5000), Err(SearchError::TooManyRatios { most: 5000 }));
}

/// 2000 × 1500 is the limit, 2001 × 1500 is beyond it.
#[test]
fn as_many_combinations_as_the_limit_are_searched_and_not_one_more() {
    let drive = |most: u32| [stage(at(1, 1..=most), at(1, 1..=1500))];
    assert_eq!(combinations(&drive(2000)), LIMIT);
    assert_eq!(check(&drive(2000)), Ok(()));
    let combinations = 2001 * 1500;
    assert_eq!(check(&drive(2001)), Err(SearchError::TooManyCombinations { combinations }));
}

/// 2^26 x 2^27 x 1 = 2^53 is held exactly; with 2 for the 1 it is 2^54, which is beyond, on
/// either side.
#[test]
fn teeth_multiply_to_two_to_the_fifty_third() {
    let drive = |last: u32, driving: bool| -> Vec<Stage> {
        [1 << 26, 1 << 27, last]
            .map(|teeth| match driving {
                true => stage(at(teeth, []), at(1, [])),
                false => stage(at(1, []), at(teeth, [])),
            })
            .to_vec()
    };
    for driving in [true, false] {
        let found = nearest(&drive(1, driving), 1.0, 1);
        assert_eq!(fraction(&found[0]), if driving { (1 << 53, 1) } else { (1, 1 << 53) });
        assert_eq!(check(&drive(2, driving)), Err(SearchError::TeethTooMany));
    }
}

/// Six stages of up to 200 teeth multiply to 6.4 × 10^13, and (199/200)^k for k from -6 to 6 are
/// all that these sprockets make.
#[test]
fn six_stages_of_two_hundred_teeth() {
    let drive = vec![stage(at(199, [200]), at(200, [199])); 6];
    assert_eq!(combinations(&drive), 1 << 12);
    let all = chart(&drive, &wanted(1e-3, None), 100).expect("few enough");
    assert_eq!(all.len(), 13);
    assert_eq!(fraction(&all[0]), (199_u128.pow(6), 200_u128.pow(6)));
    assert_eq!((all[0].swaps, all[12].swaps), (0, 12));
    // 0.995^2 = 0.990025 is nearest to 0.991: two stages are as they are, and four turned into 1:
    // by one swap each, 199/199 before 200/200.
    let found = nearest(&drive, 0.991, 13);
    assert_eq!((found.len(), found[0].swaps), (13, 4));
    assert_eq!(found[0].teeth[..4], [(199, 199); 4]);
}

#[test]
fn a_middling_drive_is_brute_force() {
    let drive = [stage(at(17, 20..=30), at(30, 14..=25)), stage(at(24, 15..=24), at(19, 11..=20))];
    let (wanted, all) = both(&drive, 0.437, Some(20), true);
    assert!(chart(&drive, &wanted, all.len()).as_ref() == Ok(&all));
    for count in [1, 300] {
        assert_eq!(best(&drive, &wanted, count).expect("searchable"), all[..count]);
    }
}

#[test]
fn targets_far_out_of_reach() {
    let drive = vec![stage(at(20, 10..=40), at(20, 10..=40)); 2];
    for target in [f64::MAX, 1e300, 17.0] {
        let found = nearest(&drive, target, 2);
        assert_eq!((ratio(&found[0]), ratio(&found[1])), (16.0, 15.6));
    }
    for target in [1e-6, 0.06] {
        let found = nearest(&drive, target, 2);
        assert_eq!((ratio(&found[0]), ratio(&found[1])), (1.0 / 16.0, 10.0 / 156.0));
    }
}
