//! The search against every combination tried, and against published gear tables.
#![allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]

use super::nearness::compare_scaled;
use super::*;
use proptest::prelude::*;
use std::collections::HashMap;
use std::time::Instant;

fn at(fitted: u32, choices: impl IntoIterator<Item = u32>) -> Position {
    Position { fitted, choices: choices.into_iter().collect() }
}

fn stage(driving: Position, driven: Position) -> Stage {
    Stage { driving, driven }
}

/// Ratio error in parts per million, as gear tables state it.
fn ratio_error_ppm(combination: &Combination, target: f64) -> f64 {
    1e6 * (combination.ratio() / target - 1.0)
}

// ---- Brute force, written apart from the search: every combination, `i128`. ----

type Teeth = Vec<(u32, u32)>;
type Row = (i128, i128, u32, Teeth);

fn every_combination(stages: &[Stage]) -> Vec<Row> {
    let mut rows: Vec<Row> = vec![(1, 1, 0, vec![])];
    for s in stages {
        let mut more = vec![];
        for (n, d, swaps, teeth) in &rows {
            for &a in s.driving.choices.iter().chain([&s.driving.fitted]) {
                for &b in s.driven.choices.iter().chain([&s.driven.fitted]) {
                    let mut list = teeth.clone();
                    list.push((a, b));
                    let changed =
                        u32::from(a != s.driving.fitted) + u32::from(b != s.driven.fitted);
                    more.push((n * i128::from(a), d * i128::from(b), swaps + changed, list));
                }
            }
        }
        rows = more;
    }
    rows
}

/// Best row for each distinct ratio, in no order.
fn one_each(stages: &[Stage]) -> Vec<Row> {
    let gcd = |mut a: i128, mut b: i128| {
        while b != 0 {
            (a, b) = (b, a % b);
        }
        a
    };
    let mut least: HashMap<(i128, i128), (u32, Teeth)> = HashMap::new();
    for (n, d, swaps, teeth) in every_combination(stages) {
        let g = gcd(n, d);
        let way = (swaps, teeth);
        let known = least.entry((n / g, d / g)).or_insert_with(|| way.clone());
        if way < *known {
            *known = way;
        }
    }
    least.into_iter().map(|((n, d), (s, t))| (n, d, s, t)).collect()
}

/// `target` as a fraction of whole numbers; only for middling targets.
fn as_fraction(target: f64) -> (i128, i128) {
    let mut bottom = 1_i128;
    let mut top = target;
    while top.fract() != 0.0 {
        top *= 2.0;
        bottom *= 2;
    }
    (top as i128, bottom)
}

fn brute_best(stages: &[Stage], target: f64, count: usize) -> Vec<Row> {
    let (tn, td) = as_fraction(target);
    let mut rows = one_each(stages);
    // |T/R - 1| = |tn d - td n| / (td n); td is common to all.
    rows.sort_by(|a, b| {
        let left = (tn * a.1 - td * a.0).abs() * b.0;
        let right = (tn * b.1 - td * b.0).abs() * a.0;
        left.cmp(&right).then((a.2, &a.3).cmp(&(b.2, &b.3)))
    });
    rows.truncate(count);
    rows
}

fn rows(found: &[Combination]) -> Vec<Row> {
    found
        .iter()
        .map(|c| (i128::from(c.numerator), i128::from(c.denominator), c.swaps, c.teeth.clone()))
        .collect()
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

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn best_is_brute_force(
        drive in drives(5_u32..=40, 3, 3),
        target in 0.02_f64..50.0,
        count in 0_usize..30,
    ) {
        let found = best(&drive, target, count).expect("searchable");
        prop_assert_eq!(rows(&found), brute_best(&drive, target, count));
    }

    #[test]
    fn best_is_brute_force_with_ties(
        drive in drives(tying_teeth(), 3, 4),
        target in tying_targets(),
        count in 0_usize..12,
    ) {
        let found = best(&drive, target, count).expect("searchable");
        prop_assert_eq!(rows(&found), brute_best(&drive, target, count));
    }

    #[test]
    fn best_of_all_is_brute_force(
        drive in drives(tying_teeth(), 2, 5),
        target in tying_targets(),
    ) {
        let found = best(&drive, target, usize::MAX).expect("searchable");
        prop_assert_eq!(rows(&found), brute_best(&drive, target, usize::MAX));
    }

    #[test]
    fn best_at_a_ratio_the_drive_makes(
        drive in drives(5_u32..=40, 2, 5),
        pick in any::<prop::sample::Index>(),
        count in 1_usize..9,
    ) {
        let all = every_combination(&drive);
        let (n, d, _, _) = &all[pick.index(all.len())];
        let target = *n as f64 / *d as f64;
        let found = best(&drive, target, count).expect("searchable");
        prop_assert_eq!(found[0].ratio(), target);
        prop_assert_eq!(rows(&found), brute_best(&drive, target, count));
    }

    #[test]
    fn chart_is_brute_force(drive in drives(tying_teeth(), 3, 3)) {
        let mut all = one_each(&drive);
        all.sort_by_key(|a| (a.0 << 60) / a.1);
        let most = all.len();
        prop_assert_eq!(rows(&chart(&drive, most).expect("few enough")), all);
        let most = most - 1;
        prop_assert_eq!(chart(&drive, most), Err(SearchError::TooManyRatios { most }));
    }

    #[test]
    fn never_panics(
        drive in drives(prop_oneof![any::<u32>(), 0_u32..9, Just(u32::MAX)], 9, 2),
        target in any::<f64>(),
        count in 0_usize..9,
    ) {
        if let Ok(found) = best(&drive, target, count) {
            prop_assert!(found.len() <= count);
            for c in &found {
                let _ = (c.ratio(), c.spacing_error(target));
            }
        }
        let _ = (combinations(&drive), chart(&drive, 1000));
    }

    #[test]
    fn scaled_comparison(m in 1_u64..1 << 20, e in -40_i32..40, n in 1_u64..1 << 30, d in 1_u64..1 << 30) {
        let target = m as f64 * f64::from(e).exp2();
        let (mut left, mut right) = (u128::from(m) * u128::from(d), u128::from(n));
        if e >= 0 { left <<= e } else { right <<= -e }
        let order = compare_scaled(target, d.into(), n.into());
        prop_assert_eq!(order, left.cmp(&right));
    }
}

#[test]
fn ties_across_the_target_go_to_fewest_swaps() {
    // 2/3 and 2 both space seed wrong by one half at a target of 1.
    let low = [stage(at(40, [120]), at(60, []))];
    let high = [stage(at(120, [40]), at(60, []))];
    for (drive, fitted) in [(low, 40), (high, 120)] {
        let found = best(&drive, 1.0, 1).expect("searchable");
        assert_eq!(found[0].teeth, [(fitted, 60)]);
        assert_eq!(found[0].swaps, 0);
        assert_eq!(found[0].spacing_error(1.0).abs(), 0.5);
    }
}

#[test]
fn change_gears_for_an_inch_screw() {
    // Change-gear tables: 25.4/8 = 3.175 approximated, errors of ratio.
    let target = 25.4 / 8.0;
    for (largest, fraction, ppm) in [
        (34, (19, 6), -2624.672),
        (72, (54, 17), 463.177),
        (126, (73, 23), -342.349),
        (200, (127, 40), 0.0),
    ] {
        let drive = [stage(at(20, 5..=largest), at(20, 5..=largest))];
        let found = best(&drive, target, 1).expect("searchable");
        // 16/5 and 35/11 are passed over or out of reach as the largest gear allows.
        assert_eq!((found[0].numerator(), found[0].denominator()), fraction);
        let error = ratio_error_ppm(&found[0], target);
        assert!((error - ppm).abs() < 5e-4, "{fraction:?}: {error} ppm");
    }
    // 54/17 and 73/23 from two stages: 54/17 = (36/17)(27/18) and the like.
    let gears = [17, 18, 24, 27, 36];
    let drive = [stage(at(24, gears), at(24, gears)), stage(at(24, gears), at(24, gears))];
    let found = best(&drive, target, 1).expect("searchable");
    assert_eq!((found[0].numerator(), found[0].denominator()), (54, 17));
    assert!((ratio_error_ppm(&found[0], target) - 463.177).abs() < 5e-4);
    let gears = [20, 23, 40, 73];
    let drive = [stage(at(20, gears), at(20, gears)), stage(at(20, gears), at(20, gears))];
    let found = best(&drive, target, 1).expect("searchable");
    assert_eq!((found[0].numerator(), found[0].denominator()), (73, 23));
    assert_eq!(found[0].swaps, 2);
    assert!((ratio_error_ppm(&found[0], target) + 342.349).abs() < 5e-4);
}

#[test]
fn brocot_by_way_of_hayes() {
    // Hayes, "On the Teeth of Wheels", American Scientist 88 (2000): 191/23.
    let target = 191.0 / 23.0;
    for (largest, teeth, per_cent) in [(120, (108, 13), 0.0403), (100, (83, 10), -0.0524)] {
        let drive = [stage(at(20, 5..=largest), at(20, 5..=largest))];
        let found = best(&drive, target, 1).expect("searchable");
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
    let found = best(&drive, 1.2, 2).expect("searchable");
    assert_eq!(found[0].teeth, [(32, 20), (20, 26)]);
    assert!((found[0].spacing_error(1.2) + 0.025).abs() < 1e-12);
    assert_eq!(found[1].teeth, [(20, 20), (20, 20)]);
}

#[test]
fn errors() {
    let drive = [stage(at(20, [25]), at(30, []))];
    assert_eq!(combinations(&[]), 0);
    assert_eq!(best(&[], 1.0, 1), Err(SearchError::NoStages));
    assert_eq!(chart(&[], 9), Err(SearchError::NoStages));
    for target in [0.0, -1.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        assert_eq!(best(&drive, target, 1), Err(SearchError::BadTarget));
    }
    assert_eq!(best(&drive, 1.0, 0), Ok(vec![]));
    let toothless = [drive[0].clone(), stage(at(20, []), at(20, [0]))];
    let no_teeth = SearchError::NoTeeth { stage: 1 };
    assert_eq!(best(&toothless, 1.0, 1), Err(no_teeth.clone()));
    assert_eq!(chart(&toothless, 9), Err(no_teeth));
    let giant = [stage(at(u32::MAX, []), at(7, [])), stage(at(u32::MAX, []), at(7, []))];
    assert_eq!(best(&giant, 1.0, 1), Err(SearchError::TeethTooMany));
    assert_eq!(chart(&giant, 9), Err(SearchError::TeethTooMany));

    let wide = stage(at(20, 5..=200), at(20, 5..=200));
    let eight = vec![wide.clone(); 8];
    let combinations = combinations(&eight);
    assert_eq!(combinations, 196_u128.pow(16));
    let too_many = SearchError::TooManyCombinations { combinations };
    assert_eq!(best(&eight, 1.0, 1), Err(too_many.clone()));
    assert_eq!(chart(&eight, 9), Err(too_many));
    let two = vec![wide; 2];
    assert_eq!(chart(&two, 5000), Err(SearchError::TooManyRatios { most: 5000 }));
    assert_eq!(best(&two, 1.0, usize::MAX), Err(SearchError::TooManyWanted));
}

#[test]
fn eight_stages_of_two_hundred_teeth() {
    let drive = vec![stage(at(199, [200]), at(200, [199])); 8];
    assert_eq!(combinations(&drive), 1 << 16);
    let all = chart(&drive, 100).expect("few enough");
    // (199/200)^k for k from -8 to 8.
    assert_eq!(all.len(), 17);
    assert_eq!((all[0].numerator(), all[0].denominator()), (199_u64.pow(8), 200_u64.pow(8)));
    assert_eq!(all[16].swaps, 16);
    let found = best(&drive, 0.9608, 17).expect("searchable");
    assert_eq!(found.len(), 17);
    assert_eq!(found[0], all[0]);
}

#[test]
fn a_middling_drive_is_brute_force() {
    // Big enough for the search to sample and for long lists to be tidied midway.
    let drive = [stage(at(17, 12..=33), at(30, 14..=38)), stage(at(24, 15..=37), at(19, 11..=32))];
    let mut all = one_each(&drive);
    all.sort_by_key(|a| (a.0 << 60) / a.1);
    assert!(rows(&chart(&drive, all.len()).expect("few enough")) == all);
    let all = brute_best(&drive, 0.437, 2000);
    for count in [1, 2000] {
        let found = best(&drive, 0.437, count).expect("searchable");
        assert!(rows(&found) == all[..count]);
    }
}

#[test]
fn targets_far_out_of_reach() {
    let drive = vec![stage(at(20, 10..=40), at(20, 10..=40)); 2];
    for target in [f64::MAX, 1e300, 17.0] {
        let found = best(&drive, target, 2).expect("searchable");
        assert_eq!((found[0].ratio(), found[1].ratio()), (16.0, 15.6));
    }
    for target in [5e-324, f64::MIN_POSITIVE, 1e-300, 1e-16, 0.06] {
        let found = best(&drive, target, 2).expect("searchable");
        assert_eq!((found[0].ratio(), found[1].ratio()), (1.0 / 16.0, 10.0 / 156.0));
    }
}

#[test]
fn the_limit_is_two_full_halves_and_leaves_room_for_long_lists() {
    assert_eq!(LIMIT, 4_000_000_000_000); // 2 x 10^6 squared
    // Of 196 choices, 5 to 200 teeth, at a position: 4 x 10^12 / 196 = 2.04 x 10^10.
    assert_eq!(LIMIT / 196 / 10_000_000, 2040);
}

/// 2^31 x 2^31 x 1 = 2^62 can be multiplied exactly; with 2 for the 1 it is 2^63, which is the
/// first that can't, on either side.
#[test]
fn teeth_multiply_to_less_than_two_to_the_sixty_third() {
    let half = 1 << 31;
    let drive = |last: u32, driving: bool| -> Vec<Stage> {
        [half, half, last]
            .map(|teeth| match driving {
                true => stage(at(teeth, []), at(1, [])),
                false => stage(at(1, []), at(teeth, [])),
            })
            .to_vec()
    };
    for driving in [true, false] {
        let found = best(&drive(1, driving), 1.0, 1).expect("exact");
        let fraction = (found[0].numerator(), found[0].denominator());
        assert_eq!(fraction, if driving { (1 << 62, 1) } else { (1, 1 << 62) });
        assert_eq!(best(&drive(2, driving), 1.0, 1), Err(SearchError::TeethTooMany));
        assert_eq!(chart(&drive(2, driving), 9), Err(SearchError::TeethTooMany));
    }
}

/// 18 choices at four positions are 104976 combinations, more than are listed at most.
#[test]
fn as_many_as_the_most_are_listed_and_not_one_more() {
    let any = || at(1, 1..=18);
    let drive = [stage(any(), any()), stage(any(), any())];
    assert_eq!(combinations(&drive), 104_976);
    assert!(best(&drive, 1.0, COUNT_LIMIT).is_ok());
    assert_eq!(best(&drive, 1.0, COUNT_LIMIT + 1), Err(SearchError::TooManyWanted));
}

fn measure(name: &str, drive: &[Stage], target: f64, count: usize) -> Vec<Combination> {
    let start = Instant::now();
    let found = best(drive, target, count).expect("searchable");
    let time = start.elapsed();
    let error = found[0].spacing_error(target);
    println!(
        "{name}: {} combinations, target {target:e}, best {count} in {time:.1?}; best {error:+.3e}",
        combinations(drive)
    );
    found
}

/// Prints how long big searches take: `cargo test --release -- --nocapture big`.
#[test]
fn big_searches() {
    // 178^4 = 1.004 x 10^9.
    let two = vec![stage(at(20, 10..=187), at(30, 10..=187)); 2];
    assert_eq!(combinations(&two), 1_003_875_856);
    for target in [0.437_219_3, 1.0, 3.175, 1e-9, 1e9] {
        let found = measure("2 stages", &two, target, 10);
        assert_eq!(found.len(), 10);
        let errors: Vec<f64> = found.iter().map(|c| c.spacing_error(target).abs()).collect();
        assert!(errors.is_sorted());
    }
    // From 4/9 fitted, one swap does: a driven 30 for a 20 comes first.
    let found = measure("2 stages", &two, 2.0 / 3.0, 1);
    assert_eq!((found[0].numerator(), found[0].denominator()), (2, 3));
    assert_eq!((found[0].swaps, &found[0].teeth[..]), (1, &[(20, 20), (20, 30)][..]));

    // 4^15 = 1.07 x 10^9, many equal ratios.
    let mut eight = vec![stage(at(18, [15, 21, 24]), at(18, [15, 21, 24])); 8];
    eight[7].driven.choices.clear();
    assert_eq!(combinations(&eight), 1 << 30);
    measure("8 stages", &eight, 0.437_219_3, 10);
    measure("8 stages", &eight, 1.0, 1000);

    // Different teeth everywhere: 5^14 = 6.1 x 10^9.
    let seven: Vec<Stage> = (0..7)
        .map(|i| {
            let from = 11 + 13 * i;
            stage(at(from, from..from + 5), at(from + 7, from + 7..from + 12))
        })
        .collect();
    measure("7 stages", &seven, 0.437_219_3, 10);

    // 6^16 = 2.8 x 10^12, a great many equal ratios.
    let sixes = vec![stage(at(18, [15, 20, 21, 22, 24]), at(18, [16, 17, 19, 23, 25])); 8];
    measure("8 stages", &sixes, 0.437_219_3, 10);
    measure("8 stages", &sixes, 1.0, 1000);

    // Close to the limit: 196^4 x 30^2 = 1.3 x 10^12.
    let mut three = vec![stage(at(20, 5..=200), at(30, 5..=200)); 2];
    three.insert(1, stage(at(20, 11..=40), at(20, 11..=40)));
    measure("3 stages", &three, 0.437_219_3, 10);
    measure("3 stages", &three, 1.0, 100);
    measure("3 stages", &three, 1e9, 100);
}
