//! Hours against a day that is lived second by second and published work rates; seed against the packets;
//! odd and wrong input.

#![allow(clippy::expect_used, clippy::panic)]

mod common;

use common::{Report, Written, cases};
use proptest::prelude::*;

const KEY: &str = "time";

fn report(arguments: &[&str], sheet: &str) -> Report {
    Written::new(sheet).report(&[&[KEY], arguments].concat())
}

fn mistakes(sheet: &str) -> String {
    Written::new(sheet).mistakes(KEY)
}

/// 10 ranges of 7 m with alleys of 1 m, 79 m long; 8 passes of 4 rows 25 cm apart, 2 m/s.
fn sheet(rest: &str) -> String {
    format!(
        "[planter]\nrows = 4\nrow-spacing = \"25 cm\"\n[trial]\nplot = \"7 m\"\nalley = \"1 m\"\n\
         speed = \"2 m/s\"\nseed-spacing = \"10 cm\"\nranges = 10\npasses = 8\nentries = 24\nreps = 3\n\
         {rest}"
    )
}

#[track_caller]
fn close(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} and {b}");
}

fn cell(row: &serde_json::Value, key: &str) -> f64 {
    row[key].as_f64().unwrap_or_else(|| panic!("no {key} in {row}"))
}

fn hours(report: &Report) -> &serde_json::Value {
    &report.table(KEY, "hours").expect("a table")[0]
}

fn part<'a>(report: &'a Report, name: &str) -> Option<&'a serde_json::Value> {
    report.table(KEY, "seed").expect("a table").iter().find(|row| row["part"] == name)
}

/// 79 / 2 = 39.5 s in the rows, 40 s of turn, 10 plots of 5 s: 129.5 s; eight of them, a fifth lost: 1295 s
/// = 0.359722 h. Field efficiency 8 x 39.5 / 1295 = 24.4015 %; 2 m/s x 1 m x 0.244015 x 3600 / 10000.
#[test]
fn hours_by_hand() {
    let time =
        "[time]\nturn = \"40 s\"\nload = \"5 s\"\nlost = \"20 %\"\nday = \"2 h\"\ncrew = 3\n";
    let found = report(&[], &sheet(time));
    close(found.number(KEY, "time of a pass"), 129.5, 1e-9);
    close(found.number(KEY, "hours of the field"), 1295.0 / 3600.0, 1e-9);
    close(found.number(KEY, "field efficiency"), 24.4015, 1e-4);
    close(found.number(KEY, "work rate"), 0.175_691, 1e-6);
    assert_eq!(found.unit(KEY, "work rate"), "ha/h");
    close(cell(hours(&found), "crew_h"), 3.0 * 1295.0 / 3600.0, 1e-9);
    close(cell(hours(&found), "days"), 1.0, 1e-12);
    // Without packets there is no seed to bring.
    assert!(found.table(KEY, "seed").is_none());
    let next = found.next_instruction().expect("a step");
    assert!(next.starts_with("plan 0.36 h for the field, 1 day"), "{next}");
    // 25 passes of 129.5 s with a fifth lost, 1.124 h, are two days of an hour.
    let long = sheet(time).replace("passes = 8", "passes = 25").replace("\"2 h\"", "\"1 h\"");
    close(cell(hours(&report(&[], &long)), "days"), 2.0, 1e-12);
}

/// Iowa State University Extension A3-24, table 1: 15 ft at 5 mph and 63 % are 5.7 acres an hour; 30 ft at
/// 6 mph and 60 % 13.1. The turn is as long as makes that efficiency of a pass.
#[test]
fn work_rates_as_published() {
    for (feet, mph, efficiency, printed) in [(15.0, 5.0, 0.63, 5.7), (30.0, 6.0, 0.60, 13.1)] {
        let course = 500.0;
        let driving = course / (mph * 5280.0 / 3600.0);
        let turn = driving / efficiency - driving;
        let text = format!(
            "[planter]\nrows = 6\nrow-spacing = \"{:.6} in\"\n[trial]\nplot = \"{course} ft\"\n\
             alley = \"2 ft\"\nspeed = \"{mph} mph\"\nranges = 1\npasses = 12\n\
             [time]\nturn = \"{turn:.9} s\"\n",
            feet * 12.0 / 6.0
        );
        let found = report(&[], &text);
        close(found.number(KEY, "field efficiency"), 100.0 * efficiency, 1e-6);
        close(found.number(KEY, "work rate"), printed, 0.05);
        assert_eq!(found.unit(KEY, "work rate"), "ac/h");
    }
}

/// 100, 110 and 120 s: mean 110, SD 10, t of 2 degrees of freedom 4.303 (NIST/SEMATECH e-Handbook
/// 1.3.6.7.2), half width 24.843 s: eight passes 880 give or take 198.7 s.
#[test]
fn passes_timed_have_an_interval_and_go_before_the_turn() {
    let time = "[time]\nturn = \"40 s\"\n[[time-run]]\ntook = [\"100 s\", \"110 s\", \"2 min\"]\n";
    let found = report(&[], &sheet(time));
    close(found.number(KEY, "hours of the field"), 880.0 / 3600.0, 1e-9);
    close(found.number(KEY, "hours of the field, low"), (880.0 - 198.74) / 3600.0, 1e-4);
    close(found.number(KEY, "hours of the field, high"), (880.0 + 198.74) / 3600.0, 1e-4);
    let without = report(&["--without", "3"], &sheet(time));
    close(without.number(KEY, "mean pass time"), 105.0, 1e-9);
    assert!(without.warned(KEY, "left-out"));
    // On the page of all it asks for nothing.
    let all = Report::of(&sheet(time));
    close(all.number(KEY, "hours of the field"), 880.0 / 3600.0, 1e-9);
    assert_eq!(all.next_instruction(), None);
    // A pass at another speed tells nothing of this one.
    let other = time.replace("[[time-run]]\n", "[[time-run]]\nspeed = \"1 m/s\"\n");
    let other = report(&[], &sheet(&other));
    close(other.number(KEY, "time of a pass"), 79.5, 1e-9);
}

/// 71 seeds a row and 9 cleaned out, four rows: 320 a plot. 24 x 3 = 72 of 80 plots; 12 x 10 with borders are
/// 40 more. Lots 3 plots each, others 66, fillers 8, test ranges 6.
#[test]
fn seed_for_every_part_and_as_the_packets_have_it() {
    let rest = "[layout]\nheadland = \"10 m\"\nborder-ranges = 1\nborder-passes = 1\n\
                [packets]\nthousand-seed-weight = \"50 g\"\ncleaned-out = 9\ntest-plots = 6\n\
                [[lot]]\nname = \"A\"\nentry = 1\nseeds = 9000\n\
                [[lot]]\nname = \"B\"\nentry = 5\nseeds = 9000\n\
                [time]\nturn = \"40 s\"\n";
    let found = report(&[], &sheet(rest));
    for (name, plots) in [
        ("A", 3.0),
        ("B", 3.0),
        ("other entries", 66.0),
        ("fillers", 8.0),
        ("borders", 40.0),
        ("test ranges", 6.0),
        ("all", 126.0),
    ] {
        let row = part(&found, name).unwrap_or_else(|| panic!("no {name}"));
        close(cell(row, "plots"), plots, 1e-9);
        close(cell(row, "seeds"), 320.0 * plots, 1e-9);
        // 50 g a thousand.
        close(cell(row, "mass_kg"), 320.0 * plots * 0.05 / 1000.0, 1e-9);
    }
    close(found.number(KEY, "of it cleaned out by changeovers"), 9.0 * 4.0 * 126.0, 1e-9);
    assert!(found.next_instruction().expect("a step").ends_with("bring 40320 seeds"));
    // The lots and the other entries are what the packets say of the trial.
    let packed = Written::new(&sheet(rest)).run(&["packets", "--format", "json"]);
    let packed = Report::read(&packed.stdout);
    close(packed.number("packets", "seeds of the trial"), 320.0 * 72.0, 1e-9);
    close(packed.number("packets", "seeds of a plot"), 320.0, 1e-9);
    // A packet for every row makes no difference to the seed.
    let by_row = report(&[], &sheet(&rest.replace("[packets]\n", "[packets]\nper = \"row\"\n")));
    close(cell(part(&by_row, "all").expect("all"), "seeds"), 40_320.0, 1e-9);
    close(cell(part(&by_row, "all").expect("all"), "mass_kg"), 2.016, 1e-9);
    // A field that is too small has no fillers, and one without borders none of those.
    let bare = rest.replace("border-ranges = 1\nborder-passes = 1\n", "");
    let small = report(&[], &sheet(&bare).replace("ranges = 10", "ranges = 8"));
    assert!(part(&small, "fillers").is_none() && part(&small, "borders").is_none());
}

#[test]
fn what_it_needs_is_asked_for_and_what_can_not_be_refused() {
    let whole = sheet("[time]\nturn = \"40 s\"\n");
    for (line, words) in [
        ("plot = \"7 m\"\n", "[time] needs `plot` in [trial]"),
        ("alley = \"1 m\"\n", "[time] needs `alley` in [trial]"),
        ("speed = \"2 m/s\"\n", "[time] needs `speed` in [trial]"),
        ("ranges = 10\n", "[time] needs `ranges` in [trial]"),
        ("passes = 8\n", "[time] needs `passes` in [trial]"),
        ("rows = 4\n", "[time] needs `rows` in [planter]"),
        ("row-spacing = \"25 cm\"\n", "[time] needs `row-spacing` in [planter]"),
    ] {
        let said = mistakes(&whole.replacen(line, "", 1));
        assert!(said.contains("error[missing-key]") && said.contains(words), "{line}: {said}");
    }
    // A sheet that begins from another has none of its runs, and is no mistake.
    let unsaid = whole.replace("turn = \"40 s\"\n", "");
    let unsaid = Written::new(&unsaid).run(&["stand"]);
    let said = String::from_utf8([unsaid.stdout, unsaid.stderr].concat()).expect("text");
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(unsaid.status.code(), Some(0), "{said}");
    assert!(said.contains("[time] does not say how long a turn takes, and is not used"), "{said}");
    for wrong in ["lost = \"60 %\"", "day = \"25 h\"", "crew = 0", "load = \"0 s\""] {
        let said = mistakes(&format!("{whole}{wrong}\n"));
        assert!(said.contains("error[out-of-range]"), "{wrong}: {said}");
    }
    let said = mistakes("[planter]\nrows = 4\n");
    assert!(said.contains("error[no-data]") && said.contains("[time]"), "{said}");
    // A sheet that begins from another has none of its runs: that is a remark.
    let said = mistakes(&whole.replacen("turn = \"40 s\"\n", "", 1));
    assert!(said.contains("error[no-data]"), "{said}");
}

/// A day lived step by step: a planter that drives, turns and stands. Returns seconds, and those in its
/// rows.
fn lived(length: f64, speed: f64, passes: u32, plots: u32, turn: f64, load: f64) -> (f64, f64) {
    let step = 0.01;
    let (mut clock, mut in_rows) = (0.0, 0.0);
    for _ in 0..passes {
        for _ in 0..plots {
            clock += load;
        }
        let mut way = 0.0;
        while way < length {
            way += speed * step;
            clock += step;
            in_rows += step;
        }
        clock += turn;
    }
    (clock, in_rows)
}

proptest! {
    #![proptest_config(cases(16))]

    #[test]
    fn a_day_lived_second_by_second_takes_as_long(
        ranges in 2_u32..20, passes in 1_u32..12, turn in 5.0..90.0_f64, load in 1.0..20.0_f64,
        speed in 0.5..3.0_f64, border in 0_u32..2,
    ) {
        let text = sheet(&format!(
            "[layout]\nheadland = \"10 m\"\nborder-ranges = {border}\nborder-passes = {border}\n\
             [time]\nturn = \"{turn:.6} s\"\nload = \"{load:.6} s\"\n"
        ));
        let text = text
            .replace("ranges = 10", &format!("ranges = {ranges}"))
            .replace("passes = 8", &format!("passes = {passes}"))
            .replace("entries = 24\nreps = 3\n", "")
            .replace("speed = \"2 m/s\"", &format!("speed = \"{speed:.6} m/s\""));
        let found = report(&[], &text);
        let (ranges, passes) = (ranges + 2 * border, passes + 2 * border);
        let length = f64::from(ranges) * 8.0 - 1.0;
        let (clock, in_rows) = lived(length, speed, passes, ranges, turn, load);
        let hours = found.number(KEY, "hours of the field");
        prop_assert!((3600.0 * hours - clock).abs() < 0.02 * f64::from(passes) + 1e-3 * clock);
        let efficiency = found.number(KEY, "field efficiency");
        prop_assert!((efficiency - 100.0 * in_rows / clock).abs() < 0.2);
    }
}
