//! What was planted: stand, evenness and depth against published numbers, closed forms and sums
//! done by hand; what is said of the meter; laws that hold for any readings.

#![allow(clippy::expect_used, clippy::panic)]

mod common;

use alleytrue::calculations::evenness::Indices;
use alleytrue::quantity::round_half_away;
use alleytrue::statistics::{Confidence, Share};
use alleytrue::working::Value;
use common::{Report, Written, cases};
use proptest::prelude::*;
use statrs::distribution::{ContinuousCDF, Normal};

fn close(a: f64, b: f64, slack: f64) {
    assert!((a - b).abs() <= slack, "{a} and {b}");
}

fn report(command: &[&str], sheet: &str) -> Report {
    let output = Written::new(sheet).run(&[command, &["--format", "json"]].concat());
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{said}\n{sheet}");
    Report::read(&output.stdout)
}

// Stand.

/// Row length for 1/1000 acre, published (published row spacing in inches, feet and inches).
#[test]
fn row_lengths_for_a_thousandth_acre_are_those_in_print() {
    let printed = [
        // University of Tennessee Extension, Checking corn populations (2011): 15, 20, 30, 36, 38.
        // Manitoba Agriculture, Assessing soybean plant stands: 15, 22, 30, 36. Iowa State
        // University Agron 212: 20, 30, 38. Mississippi State University Extension: 30, 38, 40.
        // Purdue field guide through Penn State Extension (2019): 10.
        (10, 52, 3),
        (15, 34, 10),
        (20, 26, 2),
        (22, 23, 9),
        (30, 17, 5),
        (36, 14, 6),
        (38, 13, 9),
        (40, 13, 1),
    ];
    let sheet = "[planter]\nrow-spacing = \"28 in\"\n";
    let others: Vec<String> = printed.iter().map(|(width, ..)| format!("{width} in")).collect();
    let others = format!("{},32 in", others.join(","));
    let report = report(&["stand", "--row-spacing", &others], sheet);
    let table = report.table("stand", "row-lengths").expect("lengths");
    let feet = |width: &str| {
        let row = table
            .iter()
            .find(|row| row["row_spacing"] == width && row["ground"] == "1/1000 ac")
            .expect(width);
        row["length_ft"].as_f64().expect("feet")
    };
    for (width, whole, inches) in printed {
        let all = feet(&format!("{width} in")) * 12.0;
        assert_eq!(all.round(), f64::from(12 * whole + inches), "{width} in: {all}");
    }
    // University of Nebraska CropWatch (2009): 28 in, 18.7 ft. University of California IPM: 32 in,
    // 16.3 ft.
    assert_eq!(round_half_away(feet("28 in"), 1), "18.7");
    assert_eq!(round_half_away(feet("32 in"), 1), "16.3");
    // Wrong in print: Wisconsin Discovery Farms 2010, 36'2" for 20 in; Nebraska, 13.2 ft for 40 in.
    assert!((feet("20 in") - 36.0 - 2.0 / 12.0).abs() > 9.0);
    assert_ne!(round_half_away(feet("40 in"), 1), "13.2");
    // The metric equals: 10 m2 of 28 in (0.7112 m) rows is 10 / 0.7112 m, 1 m2 a tenth of it.
    let metres = |ground: &str| {
        let row = table.iter().find(|row| row["row_spacing"] == "28 in" && row["ground"] == ground);
        row.expect(ground)["length_m"].as_f64().expect("metres")
    };
    close(metres("1/1000 ha (10 m2)"), 10.0 / 0.7112, 1e-9);
    close(metres("1 m2"), 1.0 / 0.7112, 1e-9);
}

#[test]
fn plants_on_a_thousandth_acre_are_thousands_to_the_acre() {
    // Manitoba Agriculture, Assessing soybean plant stands: mean 166.5, 166,500 plants/ac. On the
    // exact length, 522.72 / W ft, as printed lengths are rounded.
    for (width, feet) in [(15, "34.848"), (22, "23.76"), (30, "17.424"), (36, "14.52")] {
        let report = report(
            &["stand"],
            &format!(
                "[planter]\nrow-spacing = \"{width} in\"\n[trial]\nstand = \"180000 /ac\"\n\
                 [[stand-count]]\nlength = \"{feet} ft\"\n\
                 counts = [180, 169, 163, 175, 150, 162]\n"
            ),
        );
        close(report.number("stand", "mean plants counted"), 166.5, 1e-9);
        close(report.number("stand", "stand"), 166_500.0, 1e-6);
        // Deviations 13.5 2.5 -3.5 8.5 -16.5 -4.5, squares 565.5, SD sqrt(113.1); t at 5 df is
        // 2.571 (NIST/SEMATECH e-Handbook 1.3.6.7.2).
        let half = 2.571 * (113.1_f64 / 6.0).sqrt() * 1000.0;
        // The interval of counts leans up by half of (half width)^2 / mean.
        let lean = half * half / 166_500.0 / 2.0;
        let half = half.hypot(lean);
        close(report.number("stand", "stand, low"), 166_500.0 + lean - half, 5.0);
        close(report.number("stand", "stand, high"), 166_500.0 + lean + half, 5.0);
        close(report.number("stand", "stand against wanted"), 92.5, 1e-9); // 166.5 / 180
        assert!(report.warned("stand", "stand-below-wanted")); // 177.7 at most, 180 wanted
    }
}

#[test]
fn rows_counted_together_and_metric_counts_come_out_as_printed() {
    // Texas A&M AgriLife (Trostle): 110 plants on 2 rows of 25 ft, 30 in apart: 38,332 plants/ac
    // (38,332.8, truncated).
    let us = report(
        &["stand"],
        "[planter]\nrow-spacing = \"30 in\"\n[[stand-count]]\nlength = \"25 ft\"\nrows = 2\n\
         counts = [110]\n",
    );
    close(us.number("stand", "stand"), 38_332.8, 1e-6);
    assert_eq!(us.maybe("stand", "stand, low"), None);
    assert!(us.warned("stand", "one-reading"));
    // AHDB, How to measure cereal plant populations: 30 cm of a 20 cm row, 18 plants: 300 /m2.
    // Of 400 seeds that is 75 %.
    let metric = report(
        &["stand"],
        "[planter]\nrow-spacing = \"20 cm\"\n[trial]\npopulation = \"400 /m2\"\n[[stand-count]]\n\
         length = \"30 cm\"\ncounts = [18]\n",
    );
    close(metric.number("stand", "stand"), 300.0, 1e-9);
    assert_eq!(metric.unit("stand", "stand"), "plants/m2");
    close(metric.number("stand", "plants per seed planted"), 75.0, 1e-9);
    assert_eq!(metric.maybe("stand", "stand against wanted"), None);
}

#[test]
fn whole_plots_skips_and_rows_along_the_length() {
    let sheet = |runs: &str| {
        format!(
            "bare-length = \"in\"\n[planter]\nrow-spacing = 30\nrows = 4\n[trial]\n\
             plot = \"17 ft 6 in\"\nrows-per-plot = 2\nseed-spacing = 2\nstand = \"5 plants/ft\"\n{runs}"
        )
    };
    // 2 rows of 210 in; 175 plants: 2.4 in a plant, 5 a foot: 100 % of the stand, 2 / 2.4 of the
    // seeds.
    let plots = report(
        &["stand"],
        &sheet("[[stand-count]]\nplots = true\ncounts = [175, 175]\nskips = [12, 30]\n"),
    );
    close(plots.number("stand", "stand against wanted"), 100.0, 1e-9);
    close(plots.number("stand", "plants per seed planted"), 100.0 * 2.0 / 2.4, 1e-9);
    close(plots.number("stand", "skips noted"), 2.0, 0.0);
    close(plots.number("stand", "skips in all"), 42.0, 0.0);
    // 2 counts of 2 rows of 210 in: 840 in.
    close(plots.number("stand", "skips, of the row counted"), 5.0, 1e-9);
    // Runs over different lengths: each count as a population, then the mean. 10 plants on 100 in
    // and 30 on 200 in: 6272640 / 30 x (0.1 + 0.15) / 2.
    let mixed = report(
        &["stand"],
        &sheet(
            "[[stand-count]]\nrow = 1\nlength = 100\ncounts = [10]\n[[stand-count]]\nrow = 2\nlength = 200\ncounts = [30]\n",
        ),
    );
    close(mixed.number("stand", "stand"), 6_272_640.0 / 30.0 * 0.125, 1e-6);
    let rows = mixed.table("stand", "stand").expect("rows");
    close(
        rows[1]["population_per_ac"].as_f64().expect("a number"),
        6_272_640.0 / 30.0 * 0.15,
        1e-6,
    );
}

/// Counts over 17 ft 5 in of rows 30 in apart: 6272640 / (30 x 209) = 1000.421 to a plant counted.
fn counted_over_a_thousandth_acre(counts: &str) -> Report {
    report(
        &["stand"],
        &format!(
            "bare-length = \"in\"\n[planter]\nrow-spacing = \"30 in\"\n[trial]\n\
             population = \"139000 /ac\"\nstand = \"115000 /ac\"\n[[stand-count]]\n\
             length = \"17 ft 5 in\"\ncounts = [{counts}]\n"
        ),
    )
}

#[test]
fn counts_of_nothing_say_so() {
    let none = counted_over_a_thousandth_acre("0, 0, 0, 0");
    // 1.959964^2 / 4 = 0.960365 plants at the most.
    close(none.number("stand", "stand, low"), 0.0, 0.0);
    close(none.number("stand", "stand, high"), 0.960_365 * 6_272_640.0 / (30.0 * 209.0), 0.01);
    for code in ["no-plants", "stand-below-wanted"] {
        assert!(none.warned("stand", code), "{code}");
    }
    assert!(!none.warned("stand", "scatter-small"));
    let next = none.next_instruction().expect("a step");
    assert!(next.starts_with("not one plant was counted anywhere: look"), "{next}");
    let single = counted_over_a_thousandth_acre("0");
    assert!(single.warned("stand", "no-plants"));
    assert_eq!(single.maybe("stand", "stand, low"), None);
}

#[test]
fn more_plants_than_seeds_are_said() {
    // Mean 261.5: 261610 /ac, 188 % of 139000. s^2 (2.25 + 42.25 + 72.25 + 0.25) / 3 = 39; half width
    // 3.182446 x sqrt(39 / 4) = 9.937: at least 251.75 x 1000.421 = 251858.
    let double = counted_over_a_thousandth_acre("260, 255, 270, 261");
    close(double.number("stand", "plants per seed planted"), 188.2, 0.05);
    assert!(double.warned("stand", "more-plants-than-seeds"));
    let next = double.next_instruction().expect("a step");
    assert!(next.contains("look at the length and the rows counted"), "{next}");
    // 138 to 142 counted are as many plants as seeds, within their scatter.
    let all = counted_over_a_thousandth_acre("140, 138, 142, 139");
    assert!(!all.warned("stand", "more-plants-than-seeds"));
    assert!(!all.next_instruction().is_some_and(|next| next.contains("look at")));
}

/// 0, 3, 1 have m 4/3, s^2 7/3; by m - t s / sqrt(n) the stand would begin at
/// 4/3 - 4.303 x sqrt(7/9) = -2.46 plants.
#[test]
fn a_stand_never_begins_below_nothing() {
    let few = counted_over_a_thousandth_acre("0, 3, 1");
    let one = 6_272_640.0 / (30.0 * 209.0);
    close(few.number("stand", "stand, low"), 0.133_34 * one, 0.05);
    close(few.number("stand", "stand, high"), 13.332_47 * one, 0.05);
}

fn counts_of(rows: [&str; 4]) -> String {
    let runs: String = (1..)
        .zip(rows)
        .map(|(row, counts)| {
            format!("[[stand-count]]\nrow = {row}\nlength = \"17.424 ft\"\ncounts = [{counts}]\n")
        })
        .collect();
    format!("[planter]\nrow-spacing = \"30 in\"\n{runs}")
}

#[test]
fn a_row_that_stands_apart_is_named_and_no_other() {
    let alike = ["30, 28, 31, 29", "29, 31, 30, 28", "28, 30, 31, 30", "31, 29, 28, 30"];
    assert!(!report(&["stand"], &counts_of(alike)).warned("stand", "row-apart"));
    let thin = ["30, 28, 31, 29", "29, 31, 30, 28", "28, 30, 31, 30", "24, 22, 23, 25"];
    let thin = report(&["stand"], &counts_of(thin));
    // Means 29.5, 29.5, 29.75 of the others, in all 29.5833; row 4 is 23.5.
    close(thin.number("stand", "row 4: difference from the rest"), 23.5 - 355.0 / 12.0, 1e-9);
    // Sums of squares 5, 5, 4.75, 5: SD sqrt(19.75 / 12); t at 12 df and 98.75 % lies between
    // 2.681 (98 %) and 3.055 (99 %), from memory of the usual tables.
    let by_t = (19.75_f64 / 12.0).sqrt() * (1.0_f64 / 4.0 + 1.0 / 12.0).sqrt();
    let half = thin.number("stand", "row 4: what scatter makes");
    assert!((2.681 * by_t..3.055 * by_t).contains(&half), "{half}");
    assert_eq!(thin.maybe("stand", "row 1: difference from the rest"), None);
}

// Evenness.

const EVEN: &str = "bare-length = \"in\"\n[planter]\nrow-spacing = 30\nrows = 4\n[trial]\n\
                    seed-spacing = 2\n";

fn gaps(rows: &[Vec<f64>]) -> String {
    let runs: String = (1..)
        .zip(rows)
        .map(|(row, gaps)| {
            let list: Vec<String> = gaps.iter().map(|gap| format!("{gap:.6}")).collect();
            format!("[[spacing-run]]\nrow = {row}\ngaps = [{}]\n", list.join(", "))
        })
        .collect();
    format!("{EVEN}{runs}")
}

/// So many gaps of so many Xref.
fn of(parts: &[(f64, usize)]) -> Vec<f64> {
    parts.iter().flat_map(|(xref, times)| vec![2.0 * xref; *times]).collect()
}

/// The closed forms: gaps in units of Xref drawn by quantiles. In per cent: multiples, singles,
/// misses, SD of singles over Xref, CV of singles.
#[test]
fn known_laws_of_gaps_give_their_closed_forms() {
    type Law = (&'static str, fn(f64) -> f64, [f64; 5]);
    let laws: [Law; 5] = [
        ("all equal", |_| 1.0, [0.0, 100.0, 0.0, 0.0, 0.0]),
        ("uniform 0.5 to 1.5", |p| 0.5 + p, [0.0, 100.0, 0.0, 28.87, 28.87]),
        ("exponential", |p| -(1.0 - p).ln(), [39.35, 38.34, 22.31, 28.16, 30.68]),
        ("normal, SD 0.20", |p| 1.0 + 0.2 * quantile(p), [0.62, 98.76, 0.62, 19.09, 19.09]),
        ("normal, SD 0.30", |p| 1.0 + 0.3 * quantile(p), [4.78, 90.44, 4.78, 23.88, 23.88]),
    ];
    for (name, law, expected) in laws {
        let number = 20_000;
        let gaps: Vec<Value> = (0..number)
            .map(|index| Value::constant(law((f64::from(index) + 0.5) / f64::from(number))))
            .collect();
        let one = Value::constant(1.0);
        let found = Indices::of("", &gaps, &one, Confidence::NINETY_FIVE).expect(name);
        let shares = found.of_gaps.map(|share: Share| share.share.number());
        let singles = found.precision.expect(name).number();
        let all = [shares[0], shares[1], shares[2], singles, found.cv.expect(name).number()];
        for (found, printed) in all.into_iter().zip(expected) {
            assert!((found - printed).abs() < 0.01, "{name}: {found}, {printed}");
        }
    }
}

fn quantile(p: f64) -> f64 {
    Normal::new(0.0, 1.0).expect("a law").inverse_cdf(p)
}

#[test]
fn shares_of_gaps_and_of_target_positions() {
    // 5, 87, 6, 1 and 1 gaps of the five classes: 5.0 / 87.0 / 8.0 % of 100 gaps, 4.7 / 84.9 /
    // 10.4 % of 106 target positions (Kachman and Smith 1995, from memory).
    let report =
        report(&["evenness"], &gaps(&[of(&[(0.2, 5), (1.0, 87), (2.0, 6), (3.0, 1), (4.0, 1)])]));
    let printed = |name: &str| round_half_away(report.number("evenness", name), 1);
    assert_eq!(printed("multiples, of gaps"), "5.0");
    assert_eq!(printed("singles, of gaps"), "87.0");
    assert_eq!(printed("misses, of gaps"), "8.0");
    assert_eq!(report.number("evenness", "target positions"), 106.0);
    assert_eq!(printed("multiples, of target positions"), "4.7");
    assert_eq!(printed("singles, of target positions"), "84.9");
    assert_eq!(printed("misses, of target positions"), "10.4");
    // Wilson, from the formula by hand: (5 + 1.9208) / 103.8416 = 6.66 %, give or take
    // 1.96 x sqrt(5 x 0.95 + 0.9604) / 103.8416 = 4.51 %.
    close(report.number("evenness", "multiples, of gaps, low"), 2.15, 0.01);
    close(report.number("evenness", "multiples, of gaps, high"), 11.18, 0.01);
    assert!(report.warned("evenness", "few-gaps"));
    let table = report.table("evenness", "classes").expect("classes");
    let counted: i64 = table.iter().filter_map(|class| class["gaps"].as_i64()).sum();
    assert_eq!(counted, 100);
}

#[test]
fn limits_belong_to_the_class_below() {
    // 1 in and 3 in are 0.5 and 1.5 Xref exactly; the places on the tape leave binary noise.
    let sheet = format!("{EVEN}[[spacing-run]]\npositions = [0.1, 1.1, 4.1, 4.3, 7.4, 9.4]\n");
    let report = report(&["evenness"], &sheet);
    // Gaps 1, 3, 0.2, 3.1, 2 in: two multiples, two singles, one miss.
    assert_eq!(report.number("evenness", "multiples"), 2.0);
    assert_eq!(report.number("evenness", "singles"), 2.0);
    assert_eq!(report.number("evenness", "misses"), 1.0);
}

#[test]
fn mostly_multiples_leave_no_target_positions() {
    let report = report(&["evenness"], &gaps(&[of(&[(0.3, 8), (1.0, 2)])]));
    assert!(report.warned("evenness", "no-target-positions"));
    assert_eq!(report.maybe("evenness", "target positions"), None);
}

/// What is said of the meter, by the counts of multiples, singles and misses.
#[test]
fn the_meter_is_spoken_of_where_faults_are_many() {
    let meter = ["many-multiples", "many-misses", "multiples-and-misses"];
    for (multiples, misses, expected) in [
        (5, 5, None),
        (30, 4, Some("many-multiples")),
        (4, 30, Some("many-misses")),
        (40, 40, Some("multiples-and-misses")),
        (10, 8, Some("multiples-and-misses")),
    ] {
        let list = of(&[(0.3, multiples), (1.0, 300 - multiples - misses), (2.0, misses)]);
        let report = report(&["evenness"], &gaps(&[list]));
        assert!(!report.warned("evenness", "few-gaps"));
        for code in meter {
            let wanted = expected == Some(code);
            assert_eq!(report.warned("evenness", code), wanted, "{multiples} {misses} {code}");
        }
    }
}

#[test]
fn a_row_with_more_misses_is_named() {
    let good = || of(&[(0.3, 2), (1.0, 94), (2.0, 4)]);
    let bad = of(&[(0.3, 2), (1.0, 78), (2.0, 20)]);
    let report = report(&["evenness"], &gaps(&[good(), good(), bad, good()]));
    assert!(report.warned("evenness", "row-apart"));
    // 20 % against 12 of 300, 4 %.
    close(report.number("evenness", "misses of row 3: difference from the rest"), 16.0, 1e-9);
    // p = 32/400 = 0.08; four rows and two kinds are looked at: z of 99.375 % lies between 2.576
    // (99 %) and 2.807 (99.5 %). Counts go by ones: half of 1/100 + 1/300 more.
    let of_one: f64 = 1.0 / 100.0 + 1.0 / 300.0;
    let by_z = 100.0 * (0.08 * 0.92 * of_one).sqrt();
    let half = report.number("evenness", "misses of row 3: what chance makes") - 50.0 * of_one;
    assert!((2.576 * by_z..2.807 * by_z).contains(&half), "{half}");
    assert_eq!(report.maybe("evenness", "misses of row 1: difference from the rest"), None);
}

#[test]
fn leaving_a_gap_out_leaves_out_that_gap() {
    let sheet = gaps(&[of(&[(1.0, 2), (5.0, 1), (0.3, 1)])]);
    let all = report(&["evenness"], &sheet);
    let without = report(&["evenness", "--without", "3"], &sheet);
    assert_eq!(all.number("evenness", "misses"), 1.0);
    assert_eq!(without.number("evenness", "misses"), 0.0);
    assert_eq!(without.number("evenness", "gaps"), 3.0);
}

// Depth.

fn depths(planter: &str, runs: &str) -> String {
    format!(
        "bare-length = \"in\"\n[planter]\nrows = 4\n{planter}\n[trial]\ndepth = 1.5\n\
         [trial.tolerance]\ndepth = 0.25\n{runs}"
    )
}

const TWO_ROWS: &str = "[[depth-run]]\nrow = 1\ndepth = [1.0, 1.1, 0.9, 1.0, 1.2, 0.8]\n\
                        [[depth-run]]\nrow = 2\ndepth = [1.5, 1.6, 1.4, 1.5, 1.55, 1.45]\n";

#[test]
fn depth_says_which_way_to_turn_and_how_far() {
    for (way, turns, words) in [("deeper", 2.0, "2 turns in"), ("shallower", -2.0, "2 turns out")] {
        let planter =
            format!("depth-turns = {{ depth = \"1/4 in\", turns = 1, turning-in = \"{way}\" }}");
        let report = report(&["depth"], &depths(&planter, TWO_ROWS));
        // Row 1: mean 1.0, squares 0.1, SD sqrt(0.1 / 5); half an inch to go, a quarter a turn.
        close(report.number("depth", "mean depth of row 1"), 1.0, 1e-12);
        close(report.number("depth", "SD depth of row 1"), 0.02_f64.sqrt(), 1e-12);
        close(report.number("depth", "share inside of row 1"), 0.0, 0.0); // 1.2 is 0.3 off
        close(report.number("depth", "share inside of row 2"), 100.0, 0.0);
        close(report.number("depth", "turns in of row 1"), turns, 1e-12);
        assert_eq!(report.setting("depth", "depth of row 1").verdict(), "change");
        assert_eq!(report.setting("depth", "depth of row 2").verdict(), "keep");
        let page = Written::new(&depths(&planter, TWO_ROWS)).run(&["depth"]).stdout;
        let page = String::from_utf8(page).expect("text");
        assert!(page.contains(&format!("{words} (0.5 in deeper)")), "{page}");
        assert!(page.contains("locked and blocked"), "{page}");
    }
}

#[test]
fn without_turns_only_the_way_is_said_and_a_wide_interval_asks_for_more() {
    let report = report(&["depth"], &depths("", TWO_ROWS));
    assert_eq!(report.setting("depth", "depth of row 1").verdict(), "change");
    assert_eq!(report.maybe("depth", "turns in of row 1"), None);
    let few = "[[depth-run]]\ndepth = [1.0, 1.9, 1.3]\n";
    let few = self::report(&["depth"], &depths("", few));
    assert_eq!(few.setting("depth", "depth").verdict(), "measure more");
    let one = self::report(&["depth"], &depths("", "[[depth-run]]\ndepth = [1.0]\n"));
    assert_eq!(one.setting("depth", "depth").verdict(), "measure more");
    assert!(one.warned("depth", "one-reading"));
}

#[test]
fn readings_all_alike_decide_nothing_while_they_are_few() {
    let few = "[[depth-run]]\nrow = 1\ndepth = [1, 1, 1]\n";
    let few = report(&["depth"], &depths("", few));
    assert!(few.warned("depth", "scatter-small"));
    assert_eq!(few.setting("depth", "depth of row 1").verdict(), "measure more");
    let many = "[[depth-run]]\nrow = 1\ndepth = [1, 1, 1, 1, 1]\n";
    let many = report(&["depth"], &depths("", many));
    assert_eq!(many.setting("depth", "depth of row 1").verdict(), "change");
    let stand = report(
        &["stand"],
        "[planter]\nrow-spacing = \"30 in\"\n[trial]\nstand = \"30000 /ac\"\n[[stand-count]]\n\
         length = \"17.424 ft\"\ncounts = [28, 28]\n",
    );
    assert!(stand.warned("stand", "scatter-small"));
    assert!(!stand.warned("stand", "stand-below-wanted"));
}

// Laws.

/// Names of the indices that have no unit of length.
const INDICES: [&str; 8] = [
    "multiples, of gaps",
    "singles, of gaps",
    "misses, of gaps",
    "multiples, of target positions",
    "singles, of target positions",
    "misses, of target positions",
    "SD of singles over Xref",
    "CV of singles",
];

fn indices(sheet: &str) -> Vec<Option<f64>> {
    let report = report(&["evenness"], sheet);
    INDICES.iter().map(|name| report.maybe("evenness", name)).collect()
}

fn same(a: &[Option<f64>], b: &[Option<f64>]) -> Result<(), TestCaseError> {
    for (a, b) in a.iter().zip(b) {
        prop_assert_eq!(a.is_some(), b.is_some());
        if let (Some(a), Some(b)) = (a, b) {
            prop_assert!((a - b).abs() < 1e-6, "{} {}", a, b);
        }
    }
    Ok(())
}

/// A sheet of positions or gaps in hundredths of an inch, in any unit and to any scale.
fn spacing_sheet(hundredths: &[u32], key: &str, unit: &str, per_inch: f64, scale: f64) -> String {
    let number = |inches: f64| format!("\"{:.9} {unit}\"", inches * per_inch * scale);
    let list = hundredths.iter().map(|one| number(f64::from(*one) / 100.0));
    format!(
        "[planter]\nrow-spacing = \"30 in\"\n[trial]\nseed-spacing = {}\n[[spacing-run]]\n{key} = \
         [{}]\n",
        number(2.0),
        list.collect::<Vec<_>>().join(", ")
    )
}

proptest! {
    #![proptest_config(cases(24))]

    /// Positions and the gaps between them, another unit, another scale: the indices are the
    /// same, and add up to 100 %.
    #[test]
    fn indices_hang_on_nothing_but_gaps_over_xref(
        gaps in prop::collection::vec(1_u32..900, 2..40),
        start in 0_u32..500,
        scale in 0.6..3.0_f64,
    ) {
        let mut place = start;
        let mut positions = vec![place];
        for gap in &gaps {
            place += gap;
            positions.push(place);
        }
        let by_gaps = indices(&spacing_sheet(&gaps, "gaps", "in", 1.0, 1.0));
        same(&by_gaps, &indices(&spacing_sheet(&positions, "positions", "in", 1.0, 1.0)))?;
        same(&by_gaps, &indices(&spacing_sheet(&gaps, "gaps", "cm", 2.54, 1.0)))?;
        // Gaps on a limit may fall either way by the ninth digit of a scaled length.
        if gaps.iter().all(|gap| ![100, 300, 500, 700].contains(gap)) {
            same(&by_gaps, &indices(&spacing_sheet(&gaps, "gaps", "in", 1.0, scale)))?;
        }
        for three in [&by_gaps[..3], &by_gaps[3..6]] {
            if let [Some(a), Some(b), Some(c)] = three {
                prop_assert!((a + b + c - 100.0).abs() < 1e-9);
            }
        }
    }

    /// A stand does not hang on the units it is written in, nor on the order of the counts.
    #[test]
    fn a_stand_is_the_same_in_any_unit(
        counts in prop::collection::vec(0_u32..60, 1..12),
        inches in 50.0..400.0_f64,
        row in 10.0..40.0_f64,
    ) {
        let list = |counts: &[u32]| {
            counts.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
        };
        let mut turned = counts.clone();
        turned.reverse();
        let us = format!(
            "[planter]\nrow-spacing = \"{row:.9} in\"\n[[stand-count]]\nlength = \"{inches:.9} in\"\n\
             counts = [{}]\n", list(&counts));
        let metric = format!(
            "[planter]\nrow-spacing = \"{:.9} cm\"\n[[stand-count]]\nlength = \"{:.9} cm\"\n\
             counts = [{}]\n", row * 2.54, inches * 2.54, list(&turned));
        let (us, metric) = (report(&["stand"], &us), report(&["stand"], &metric));
        for name in ["stand", "stand, low", "stand, high"] {
            let pair = (us.maybe("stand", name), metric.maybe("stand", name));
            if let (Some(per_acre), Some(per_hectare)) = pair {
                // A hectare is 10 000 / 4046.8564224 acres.
                let expected = per_acre * 10_000.0 / 4_046.856_422_4;
                prop_assert!((per_hectare - expected).abs() <= 1e-6 * expected.abs().max(1.0));
            }
        }
    }

    /// Turned as told, the row lies where it was wanted.
    #[test]
    fn turning_as_told_leaves_nothing_to_turn(
        mean in 0.5..3.0_f64,
        per_turn in 0.05..0.5_f64,
        deeper in any::<bool>(),
    ) {
        let way = if deeper { "deeper" } else { "shallower" };
        let planter = format!(
            "depth-turns = {{ depth = \"{per_turn:.6} in\", turns = 1, turning-in = \"{way}\" }}");
        let run = format!("[[depth-run]]\nrow = 1\ndepth = [{:.6}, {:.6}]\n", mean - 0.01, mean + 0.01);
        let report = report(&["depth"], &depths(&planter, &run));
        let turned = report.number("depth", "turns in of row 1");
        let after = mean + turned * per_turn * if deeper { 1.0 } else { -1.0 };
        prop_assert!((after - 1.5).abs() < 1e-4, "{after}");
    }
}

/// 1.0 to 1.1 in and one of 2.4: median 1.05, the middle deviation 0.05, so its score is
/// 0.6745 x 1.35 / 0.05 = 18.2, far beyond 3.5; that of 1.1 is 0.6745.
#[test]
fn a_depth_far_from_the_rest_is_remarked_on() {
    let far = "[[depth-run]]\ndepth = [1.0, 1.1, 1.0, 1.1, 1.0, 1.05, 2.4]\n";
    assert!(report(&["depth"], &depths("", far)).warned("depth", "outlier"));
    let near = "[[depth-run]]\ndepth = [1.0, 1.1, 1.0, 1.1, 1.0, 1.05, 1.1]\n";
    assert!(!report(&["depth"], &depths("", near)).warned("depth", "outlier"));
}
