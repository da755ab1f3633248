//! Ranges whose plots are shorter, ranges of fillers and border ranges with lengths of their own: marks,
//! areas, packets, hours, harvest lengths and rehearsal follow. All expected numbers by hand.

#![allow(clippy::expect_used, clippy::panic)]

mod common;

use common::Written;

/// Nine ranges and six passes of 6 rows at 10 in with borders all round: plots of 17.5 ft and alleys of
/// 2.5 ft, range 7 fillers of 6 ft, ranges 8 and 9 plots of 10 ft, border ranges of 6 ft.
fn oats() -> String {
    std::fs::read_to_string("demo-data/oat-short-plots-and-fillers.toml").expect("a demo sheet")
}

fn run(text: &str, command: &[&str]) -> String {
    let out = Written::new(text).run(command);
    String::from_utf8(out.stdout).expect("text")
}

/// Half an alley before 40 ft; then 6 + 2.5, six times 17.5 + 2.5, 6 + 2.5, twice 10 + 2.5, 6 + 2.5.
#[test]
fn marks_stand_as_far_apart_as_their_ranges_are_long() {
    let csv = run(&oats(), &["stakes", "--format", "csv", "--table", "marks"]);
    let apart: Vec<&str> =
        csv.lines().skip(1).map(|line| line.split(',').nth(4).unwrap_or("")).collect();
    let usual = "20 ft 0 in";
    assert_eq!(
        apart,
        [
            "",
            "8 ft 6 in",
            usual,
            usual,
            usual,
            usual,
            usual,
            usual,
            "8 ft 6 in",
            "12 ft 6 in",
            "12 ft 6 in",
            "8 ft 6 in"
        ]
    );
    let found = Written::new(&oats()).report(&["stakes"]);
    // 38.75 + 2 x 8.5 + 120 + 8.5 + 25 = 209.25.
    assert_eq!(found.number("stakes", "last mark"), 209.25);
    // 6 x 17.5 + 6 + 2 x 10 + 2 x 6 = 143, ten alleys 25.
    assert_eq!(found.number("stakes", "planted length"), 168.0);
    assert_eq!(found.number("stakes", "field length"), 248.0);
    // The tape of 200 ft reaches across to mark 10: 38.75 + 8.5 + 120 + 8.5 + 12.5 = 188.25 ft along.
    assert_eq!(found.number("stakes", "mark 10"), 188.25);
    // Fillers are in no net area: (6 x 17.5 + 2 x 10) x 6 passes x 5 ft = 3750 sq ft.
    assert_eq!(found.number("stakes", "net area"), 3750.0);
    assert_eq!(found.number("stakes", "plots"), 48.0);
    assert!(found.warned("stakes", "other-trip-spacing"));
    // A planter that trips at every mark needs no other setting.
    let at_marks = oats().replace("limit =", "trips = \"at-marks\"\nlimit =");
    let found = Written::new(&at_marks).report(&["stakes"]);
    assert!(!found.warned("stakes", "other-trip-spacing"));
    assert_eq!(found.number("stakes", "last mark"), 209.25);
}

/// Seeds of a row: 210 / 0.75 + 1 = 281, 72 / 0.75 + 1 = 97, 120 / 0.75 + 1 = 161; 30 cleaned out and
/// 3 % make 320.33, 130.81 and 196.73; six rows of the next whole number are 1926, 786 and 1182 a plot.
#[test]
fn packets_hold_what_their_plots_take() {
    const LONG: f64 = 1926.0;
    const FILLER: f64 = 786.0;
    const SHORT: f64 = 1182.0;
    let found = Written::new(&oats()).report(&["packets"]);
    // 36 long plots and 12 short ones.
    assert_eq!(found.number("packets", "seeds of the trial"), 36.0 * LONG + 12.0 * SHORT);
    // The 16th entry stands on plots 16, 32 and 48 of the trial, of which the last is short; from it
    // come 6 fillers, and borders: two passes of 6 long, 2 short and 3 of 6 ft, 6 passes of 2 of 6 ft.
    let borders = 2.0 * (6.0 * LONG + 2.0 * SHORT + 3.0 * FILLER) + 12.0 * FILLER;
    let needed = 2.0 * LONG + SHORT + 6.0 * FILLER + borders;
    let csv = run(&oats(), &["packets", "--format", "csv", "--table", "lots"]);
    let mix: Vec<&str> = csv.lines().nth(1).expect("a lot").split(',').collect();
    assert_eq!((mix[0], mix[4]), ("filler mix", needed.to_string().as_str()));
    // One by one in driving order they come to the same, and no filler has an entry.
    let csv = run(&oats(), &["packets", "--format", "csv", "--table", "driving-order"]);
    let rows: Vec<Vec<&str>> = csv.lines().skip(1).map(|line| line.split(',').collect()).collect();
    let seeds = |kind: &str| -> f64 {
        let of = rows.iter().filter(|row| row[5] == kind);
        of.map(|row| row[8].parse::<f64>().expect("a number")).sum()
    };
    assert_eq!(seeds("plot"), 36.0 * LONG + 12.0 * SHORT);
    assert_eq!(seeds("filler"), 6.0 * FILLER);
    assert_eq!(seeds("border"), borders);
    assert!(rows.iter().filter(|row| row[1] == "7").all(|row| row[6].is_empty()));
    // The seed to bring is the same seed.
    let timed = format!("{}\n[time]\nturn = \"40 s\"\n", oats());
    let found = Written::new(&timed).report(&["time"]);
    let all = 36.0 * LONG + 12.0 * SHORT + 6.0 * FILLER + borders;
    assert_eq!(found.number("time", "seed to bring"), all);
    assert_eq!(found.number("time", "planted length"), 168.0 * 12.0);
    // One of fillers and two of borders.
    assert_eq!(found.number("time", "ranges of 6 ft"), 3.0);
}

/// A name that is typed wrong takes borders and fillers out of what is held against the lot.
#[test]
fn a_lot_that_no_list_has_is_warned_of() {
    let wrong = oats().replace("border-lot = \"filler mix\"", "border-lot = \"filler mx\"");
    assert!(Written::new(&wrong).report(&["packets"]).warned("packets", "lot-not-listed"));
    assert!(!Written::new(&oats()).report(&["packets"]).warned("packets", "lot-not-listed"));
}

/// Of a plot of 10 ft 120 in are planted, and 150 from middle to middle.
#[test]
fn harvest_has_the_lengths_of_both_kinds_of_plots() {
    let found = Written::new(&oats()).report(&["harvest"]);
    for (name, inches) in [
        ("first to last seed", 210.0),
        ("with one spacing", 210.75),
        ("middle to middle", 240.0),
        ("first to last seed, ranges 8 to 9", 120.0),
        ("with one spacing, ranges 8 to 9", 120.75),
        ("middle to middle, ranges 8 to 9", 150.0),
    ] {
        assert_eq!(found.number("harvest", name), inches, "{name}");
    }
}

/// A planter that counts its trips has another spacing to be given: the checklist names it by range.
#[test]
fn the_checklist_names_the_ranges_with_a_spacing_of_their_own() {
    let list = run(&oats(), &["print", "checklist"]);
    let list = list.split_whitespace().collect::<Vec<_>>().join(" ");
    let words = "(range 7: 8 ft 6 in, ranges 8 to 9: 12 ft 6 in, border ranges: 8 ft 6 in)";
    assert!(list.contains(words), "{list}");
    let at_marks = oats().replace("limit =", "trips = \"at-marks\"\nlimit =");
    assert!(!run(&at_marks, &["print", "checklist"]).contains("spacing of their own"));
}

#[test]
fn ranges_that_are_not_there_or_twice_are_refused() {
    for (old, new, words) in [
        ("from = 7\n", "from = 10\n", "the trial has no such range 10"),
        ("to = 9\n", "to = 12\n", "the trial has no such range 12"),
        ("to = 9\n", "to = 7\n", "the trial has no such range 7"),
        ("from = 7\n", "from = 8\n", "overlap"),
        ("plot = \"10 ft\"", "plot = \"20 ft\"", "can't be longer than `plot`"),
        ("plot = \"10 ft\"\n", "", "has no `plot`"),
        (
            "from = 8\nto = 9\nplot = \"10 ft\"\n",
            "from = 8\nto = 9\nplot = \"10 ft\"\n\n\
 [[layout.other-plots]]\nfrom = 1\nto = 6\nplot = \"10 ft\"\n",
            "no range is left",
        ),
    ] {
        assert!(oats().contains(old), "{old}");
        let said = Written::new(&oats().replacen(old, new, 1)).mistakes("stakes");
        assert!(said.contains(words), "{new}: {said}");
    }
    // Fillers that are none are plots of the trial.
    let fillers = oats().replacen("fillers = true\n", "", 1);
    let found = Written::new(&fillers).report(&["stakes"]);
    assert_eq!(found.number("stakes", "plots"), 54.0);
}
