//! Meters in the shop against published shares and intervals, a simulated ladder, how often meters that
//! are alike are named, odd and wrong input.

#![allow(clippy::expect_used, clippy::panic)]

mod common;

use common::{Report, Written, cases};
use proptest::prelude::*;

const KEY: &str = "meter";

fn report(sheet: &str) -> Report {
    Written::new(sheet).report(&[KEY])
}

fn mistakes(sheet: &str) -> String {
    Written::new(sheet).mistakes(KEY)
}

/// A run of one repeat.
fn run(row: u32, vacuum: u32, places: u32, multiples: u32, misses: u32) -> String {
    format!(
        "[[meter-run]]\nrow = {row}\nvacuum = \"{vacuum} in of water\"\npositions = {places}\n\
         multiples = [{multiples}]\nmisses = [{misses}]\n"
    )
}

#[track_caller]
fn close(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} and {b}");
}

fn cell(row: &serde_json::Value, key: &str) -> f64 {
    row[key].as_f64().unwrap_or_else(|| panic!("no {key} in {row}"))
}

// Published numbers.

/// Newcombe 1998, Statistics in Medicine 17:857-872, table I, method 3: 15 of 148 is 0.0624 to 0.1605, 0
/// of 20 is 0 to 0.1611; the R package `binom`: 4 of 20 is 0.0806577 to 0.4160174.
#[test]
fn shares_have_the_intervals_that_are_published() {
    let sheet = run(1, 16, 148, 0, 15) + &run(2, 16, 20, 4, 0);
    let report = report(&sheet);
    let rows = report.table(KEY, "meter").expect("a table");
    close(cell(&rows[0], "misses_low_percent"), 6.24, 0.005);
    close(cell(&rows[0], "misses_high_percent"), 16.05, 0.005);
    close(cell(&rows[1], "misses_low_percent"), 0.0, 1e-12);
    close(cell(&rows[1], "misses_high_percent"), 16.11, 0.005);
    close(cell(&rows[1], "multiples_low_percent"), 8.065_77, 1e-4);
    close(cell(&rows[1], "multiples_high_percent"), 41.601_74, 1e-4);
}

/// A plate of 24 holes, one of them plugged, drops 1/24 = 4.17 % fewer seeds (The Sunflower, 1 February
/// 2009): 10 turns are 240 places with 10 misses, and 230 seeds.
#[test]
fn a_plugged_hole_as_published() {
    let plugged = "[planter]\nplate = { cells = 24 }\n[[meter-run]]\npositions = 240\n\
                   multiples = [0]\nmisses = [10]\n[[meter-run]]\nturns = 10\nseeds = [230]\n";
    let report = report(plugged);
    close(cell(&report.table(KEY, "meter").expect("a table")[0], "misses_percent"), 4.17, 0.005);
    let fill = &report.table(KEY, "fill").expect("a table")[0];
    close(cell(fill, "fill_percent"), 100.0 - 4.17, 0.005);
    assert!(fill["low_percent"].is_null(), "a single catch has no interval");
}

/// NIST/SEMATECH e-Handbook 7.2.4.2 by the normal law: p = 0.1 to within 1 % at 95 %: 1.959964² x 0.09 /
/// 0.0001 = 3457.3; 2 %: 864.3; 0.5 %: 13829.2.
#[test]
fn places_to_count_by_hand() {
    let report = report(&run(1, 16, 250, 25, 25));
    let rows = report.table(KEY, "places-to-count").expect("a table");
    for (row, (within, places)) in rows.iter().zip([(0.5, 13_830.0), (1.0, 3458.0), (2.0, 865.0)]) {
        close(cell(row, "within_percent"), within, 1e-12);
        close(cell(row, "misses"), places, 1e-9);
        close(cell(row, "multiples"), places, 1e-9);
    }
}

// By hand.

/// Repeats and runs of one meter at one vacuum are one count: 3 + 5 + 4 misses of 750.
#[test]
fn repeats_are_put_together() {
    let two = "[[meter-run]]\nrow = 1\nvacuum = \"16 in  of water\"\npositions = 250\n\
               multiples = [2, 0]\nmisses = [3, 5]\n";
    let report = report(&(two.to_owned() + &run(1, 16, 250, 1, 4)));
    let rows = report.table(KEY, "meter").expect("a table");
    assert_eq!(rows.len(), 1);
    close(cell(&rows[0], "places"), 750.0, 1e-12);
    close(cell(&rows[0], "misses_percent"), 1.6, 1e-9);
    close(cell(&rows[0], "multiples_percent"), 0.4, 1e-9);
    assert_eq!(report.next_instruction(), None);
    assert!(!report.warned(KEY, "few-places"));
}

/// Row 2: 22 of 250, the rest 24 of 750: 8.8 - 3.2 = 5.6 %. Common share 46/1000; z at 1 - 0.05 / 8, that is
/// 2.734369: 2.734369 x sqrt(0.046 x 0.954 x (1/250 + 1/750)) + (1/250 + 1/750) / 2 = 4.4500 %.
#[test]
fn a_row_that_misses_more_stands_apart_and_is_next() {
    let sheet: String =
        [8, 22, 8, 8].iter().zip(1..).map(|(misses, row)| run(row, 16, 250, 5, *misses)).collect();
    let found = report(&sheet);
    assert!(found.warned(KEY, "row-apart"));
    close(
        found.number(KEY, "misses of row 2, 16 in of water: difference from the rest"),
        5.6,
        1e-9,
    );
    close(found.number(KEY, "misses of row 2, 16 in of water: what chance makes"), 4.4500, 2e-3);
    let next = found.next_instruction().expect("a step");
    assert!(next.starts_with("row 2, 16 in of water: misses 5.6 % above the other rows"), "{next}");
    // A row that misses less is said, and nothing is to be done about it.
    let fewer: String = [30, 4, 30, 30]
        .iter()
        .zip(1..)
        .map(|(misses, row)| run(row, 16, 250, 5, *misses))
        .collect();
    let fewer = report(&fewer);
    assert!(fewer.warned(KEY, "row-apart") && fewer.next_instruction().is_none());
    // Rows of other vacuums are not held against each other.
    let ladder: String =
        [8, 22, 8, 8].iter().zip(1..).map(|(m, row)| run(row, 10 + 2 * row, 250, 5, *m)).collect();
    assert!(!report(&ladder).warned(KEY, "row-apart"));
}

/// 500 places each: both together 70, 30, 25, 28, 75. 14 in is least; 12 and 16 differ by 1 and 0.6 %, far
/// less than chance makes of 5 %; 10 and 18 by 9 and 10 %.
#[test]
fn the_vacuum_with_the_least_faults_and_those_that_are_as_good() {
    let counts = [(10, 65, 5), (12, 24, 6), (14, 15, 10), (16, 8, 20), (18, 5, 70)];
    // In any order.
    let sheet: String =
        counts.iter().rev().map(|(vacuum, none, two)| run(1, *vacuum, 500, *two, *none)).collect();
    let report = report(&sheet);
    let rows = report.table(KEY, "vacuum").expect("a table");
    let verdicts: Vec<_> = rows.iter().filter_map(|row| row["verdict"].as_str()).collect();
    assert_eq!(verdicts, ["worse", "not told apart", "least", "not told apart", "worse"]);
    close(cell(&rows[2], "faults_percent"), 5.0, 1e-9);
    close(cell(&rows[0], "misses_percent"), 13.0, 1e-9);
    let next = report.next_instruction().expect("a step");
    let words = "set the vacuum to 14 in of water, where multiples and misses together are least (5 %), \
                 and tell the sheet: `alleytrue apply SHEET --setting vacuum=\"14 in of water\"`; from 12 in of water to 16 in of water chance can't tell them apart";
    assert_eq!(next, words);
    // A planter that has one of those that are as good has nothing to be set; with a worse one it has.
    let with = |held: &str| format!("{sheet}\n[conditions]\nvacuum = \"{held} in of water\"\n");
    for (held, asked) in [("14", false), ("12", false), ("16", false), ("10", true), ("18", true)] {
        let next = self::report(&with(held)).next_instruction().map(str::to_owned);
        let set = next.as_deref().is_some_and(|next| next.starts_with("set the vacuum to 14"));
        assert_eq!(set, asked, "{held}: {next:?}");
    }
}

#[test]
fn a_best_vacuum_at_the_end_asks_for_one_beyond() {
    let report = report(&(run(1, 10, 500, 2, 60) + &run(1, 12, 500, 4, 20)));
    let next = report.next_instruction().expect("a step");
    assert!(next.contains("set the vacuum to 12 in of water"), "{next}");
    assert!(next.contains("no other vacuum tried is as good"), "{next}");
    assert!(next.ends_with("it is the last that was tried on its side: try one beyond"), "{next}");
}

/// Plates and lots have a ladder each, and gauges in two units none.
#[test]
fn ladders_are_of_one_plate_lot_and_unit() {
    let of = |seed: &str, vacuum: &str, misses: u32| {
        format!(
            "[[meter-run]]\nseed = \"{seed}\"\nvacuum = \"{vacuum}\"\npositions = 500\n\
             multiples = [5]\nmisses = [{misses}]\n"
        )
    };
    let two = of("lot 1", "3 kPa", 20) + &of("lot 2", "3 kPa", 9) + &of("lot 1", "4 kPa", 15);
    let found = report(&two);
    assert_eq!(found.table(KEY, "vacuum").expect("a ladder").len(), 2);
    assert!(found.next_instruction().expect("a step").contains("4 kPa for lot 1"));
    assert_eq!(found.table(KEY, "meter").expect("a table")[2]["plate_and_seed"], "lot 2");
    let mixed = of("lot 1", "3 kPa", 20) + &of("lot 1", "16 in of water", 9);
    assert!(report(&mixed).table(KEY, "vacuum").is_none());
}

/// 238 and 242 of 6 x 40: mean 240 of 240 cells is 100 %; nothing of it is a share.
#[test]
fn seeds_caught_give_the_fill() {
    let caught = "[planter]\nplate = { cells = 40 }\n[[meter-run]]\nrow = 2\nturns = 6\n\
                  seeds = [238, 242]\n";
    let found = report(caught);
    let fill = &found.table(KEY, "fill").expect("a table")[0];
    close(cell(fill, "fill_percent"), 100.0, 1e-9);
    assert!(cell(fill, "low_percent") < 100.0 && cell(fill, "high_percent") > 100.0);
    assert!(found.table(KEY, "meter").is_none());
    let said = mistakes(&caught.replace("plate = { cells = 40 }\n", "rows = 4\n"));
    assert!(said.contains("[[meter-run]] needs `cells` in [planter.plate]"), "{said}");
}

#[test]
fn few_places_are_said_and_hands_are_warned() {
    let found = report(&run(1, 16, 249, 3, 4));
    assert!(found.warned(KEY, "few-places"));
    let next = found.next_instruction().expect("a step");
    assert!(next.contains("row 1, 16 in of water: 249 places: count on"), "{next}");
    let cautions = found.result(KEY)["cautions"].to_string();
    for words in
        ["runs on after its drive is out", "engine off, key out", "coating", "ears protected"]
    {
        assert!(cautions.contains(words), "{words}");
    }
    // It takes its turn on the page of all.
    assert!(Report::of(&run(1, 16, 250, 3, 4)).results()[0]["calculation"] == KEY);
}

// Wrong input.

#[test]
fn what_can_not_be_is_refused() {
    for (from, to, words) in [
        ("misses = [4]", "misses = [248]", "more multiples and misses than places"),
        ("misses = [4]", "misses = [4, 5]", "1 repeats in `multiples` and 2 in `misses`"),
        ("misses = [4]", "misses = [4.5]", "error[not-whole]"),
        ("misses = [4]", "misses = [-1]", "error["),
        ("\"16 in of water\"", "\"16\"", "is not a number with its unit"),
        ("\"16 in of water\"", "\"high\"", "is not a number with its unit"),
        ("\"16 in of water\"", "\"-3 kPa\"", "is not a number with its unit"),
        ("multiples = [3]\n", "", "this [[meter-run]] has no `multiples`"),
        ("positions = 250", "turns = 6", "places looked at and seeds caught"),
        ("row = 1", "row = 5", "`row` can't be 5 on a planter of 4 rows"),
    ] {
        let sheet = "[planter]\nrows = 4\n".to_owned() + &run(1, 16, 250, 3, 4);
        let said = mistakes(&sheet.replacen(from, to, 1));
        assert!(said.contains(words), "{to}: {said}");
    }
    let said = mistakes("[[meter-run]]\nrow = 1\n");
    assert!(said.contains("says nothing of what the meter did"), "{said}");
    let said = mistakes("[planter]\nrows = 4\n");
    assert!(said.contains("error[no-data]") && said.contains("[[meter-run]]"), "{said}");
}

// Laws and chance.

/// Seeds let go by a meter, place by place.
fn turned(dice: &mut impl FnMut() -> f64, places: u32, misses: f64, multiples: f64) -> (u32, u32) {
    let (mut two, mut none) = (0, 0);
    for _ in 0..places {
        match dice() {
            x if x < misses => none += 1,
            x if x < misses + multiples => two += 1,
            _ => {}
        }
    }
    (two, none)
}

/// A generator of our own, so that the same meters are turned every time (xorshift, Marsaglia 2003).
fn dice(mut state: u64) -> impl FnMut() -> f64 {
    move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        #[allow(clippy::cast_precision_loss)] // 53 bits
        let x = (state >> 11) as f64 / (1_u64 << 53) as f64;
        x
    }
}

/// Four meters that are alike at five vacuums: of 120 such sheets 6 may name one by chance, and 12 are too
/// many (binomial of 120 at 5 %: more than 12 in one of two hundred).
#[test]
fn meters_that_are_alike_are_seldom_named() {
    let mut roll = dice(20_270_302);
    let mut drawn = || {
        let mut sheet = String::new();
        for vacuum in [10, 12, 14, 16, 18] {
            for row in 1..=4 {
                let (two, none) = turned(&mut roll, 250, 0.05, 0.04);
                sheet += &run(row, vacuum, 250, two, none);
            }
        }
        sheet
    };
    let sheets: Vec<String> = (0..120).map(|_| drawn()).collect();
    let is_named = |_: &mut (), sheet: &String| report(sheet).warned(KEY, "row-apart");
    let all = common::cores::on_all_cores(&sheets, || (), is_named);
    let named = all.into_iter().filter(|one| *one).count();
    assert!(named <= 12, "{named} of 120");
}

proptest! {
    #![proptest_config(cases(24))]

    /// In what order runs stand, and into how many repeats they are cut, makes no difference.
    #[test]
    fn order_and_repeats_make_no_difference(
        counts in prop::collection::vec((0_u32..40, 0_u32..40), 6),
    ) {
        let one = |(place, (two, none)): (u32, &(u32, u32))| {
            run(1 + place % 2, 10 + 2 * (place / 2), 300, *two, *none)
        };
        let all: Vec<String> = (0..).zip(&counts).map(one).collect();
        let backward: String = all.iter().rev().cloned().collect();
        let cut: String = (0..).zip(&counts).map(|(place, (two, none)): (u32, _)| format!(
            "[[meter-run]]\nrow = {}\nvacuum = \"{} in of water\"\npositions = 150\n\
             multiples = [{}, {}]\nmisses = [{}, {}]\n",
            1 + place % 2, 10 + 2 * (place / 2), two / 2, two - two / 2, none / 2, none - none / 2,
        )).collect();
        let (a, b, c) = (report(&all.concat()), report(&backward), report(&cut));
        for key in ["meter", "vacuum", "places-to-count"] {
            prop_assert_eq!(a.table(KEY, key), b.table(KEY, key));
            prop_assert_eq!(a.table(KEY, key), c.table(KEY, key));
        }
        prop_assert_eq!(a.next_instruction(), b.next_instruction());
    }
}
