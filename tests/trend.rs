//! Sheets of one planter over the years: published control charts through sheets, slopes and days by hand,
//! a wheel that wears, and what is left out; odd and wrong input.

#![allow(clippy::expect_used, clippy::panic, clippy::cast_precision_loss)]

mod common;
mod dice;

use std::path::PathBuf;
use std::process::Output;

use common::{Report, cell, row};
use dice::Dice;

const KEY: &str = "trend";

/// Sheets in a folder of their own.
struct Sheets(tempfile::TempDir);

impl Sheets {
    fn new(all: &[(&str, String)]) -> Sheets {
        let folder = tempfile::tempdir().expect("a folder");
        for (name, text) in all {
            std::fs::write(folder.path().join(name), text).expect("a written sheet");
        }
        Sheets(folder)
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn run(&self, arguments: &[&str]) -> Output {
        common::run(&[&[KEY], arguments].concat(), self.0.path())
    }

    #[track_caller]
    fn report(&self, arguments: &[&str]) -> Report {
        let output = self.run(&[arguments, &["--format", "json"]].concat());
        let said = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(0), "{said}");
        Report::read(&output.stdout)
    }
}

/// Ten turns over so many tenths of travel: the travel per turn of a sheet.
fn wheel(day: &str, course: f64, rest: &str) -> String {
    format!(
        "bare-length = \"in\"\n[planter]\nname = \"four-row\"\n[trial]\ntolerance = {{ spacing = \"2 %\" }}\n\
         {rest}[[wheel-run]]\ndate = {day}\ncourse = {course:.3}\nturns = [10]\n"
    )
}

/// A sheet a year, on the first of April, with such travels per turn.
fn years(travels: &[f64]) -> Sheets {
    let all: Vec<(String, String)> = travels
        .iter()
        .enumerate()
        .map(|(place, travel)| {
            let year = 2000 + place;
            (format!("{year}.toml"), wheel(&format!("{year}-04-01"), travel * 10.0, ""))
        })
        .collect();
    let all: Vec<(&str, String)> =
        all.iter().map(|(name, text)| (name.as_str(), text.clone())).collect();
    Sheets::new(&all)
}

#[track_caller]
fn close(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} and {b}");
}

// Published numbers.

/// NIST/SEMATECH e-Handbook 6.3.2.2: centre 50.81, limits 45.8159 and 55.8041, mean range 1.8778, upper
/// limit of a range 6.1347; nothing outside. Here they are inches in a turn.
#[test]
fn individuals_as_published() {
    let report = years(&[49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]).report(&[]);
    let travel = row(&report, (KEY, "trend"), "number", "travel per turn");
    close(cell(travel, "mean"), 50.81, 1e-9);
    close(cell(travel, "low_limit"), 45.8159, 5e-5);
    close(cell(travel, "high_limit"), 55.8041, 5e-5);
    close(report.number(KEY, "mean moving range of travel per turn"), 1.8778, 5e-5);
    close(report.number(KEY, "upper limit of a range, travel per turn"), 6.1347, 5e-5);
    let points = report.table(KEY, "trend-points").expect("points");
    assert!(points.iter().all(|point| point["outside"] != "single"));
    close(cell(&points[1], "moving_range"), 2.0, 1e-9);
    // The averages by the recursion of 6.3.2.4 from that centre: 0.3 x 49.6 + 0.7 x 50.81 = 50.447;
    // limits 3 s 0.3 off after the first, s = 1.8778 / 1.128.
    close(cell(&points[0], "weighted_average"), 50.447, 1e-9);
    let s = 16.9 / 9.0 / 1.128;
    close(cell(&points[0], "average_high"), 50.81 + 0.9 * s, 1e-9);
}

// Sums by hand.

/// 81, 80, 79 and 78 in on the first of April of four years without a leap day between: an inch less in
/// 365 days, 365.25 / 365 in a year of the mean. A tolerance of 2 % of 78 in is 1.56 in, used up after 1.56 x 365
/// = 569.4 days: 366 to 1 April 2004 and 203 more, 21 October.
#[test]
fn a_straight_wear_leaves_on_its_day() {
    let report = years(&[81.0, 80.0, 79.0, 78.0]).report(&["--on", "2003-06-01"]);
    let travel = row(&report, (KEY, "trend"), "number", "travel per turn");
    close(cell(travel, "slope_a_year"), -365.25 / 365.0, 1e-9);
    close(cell(travel, "tolerance"), 1.56, 1e-9);
    assert_eq!(travel["leaves"], "2004-10-21");
    let next = report.next_instruction().expect("a step");
    assert!(next.contains("measure the travel per turn again before"), "{next}");
    let late = years(&[81.0, 80.0, 79.0, 78.0]).report(&["--on", "2006-06-01"]);
    let next = late.next_instruction().expect("a step");
    assert!(next.contains("again now"), "{next}");
}

/// The skid of a wheel 60 in round: 1 - 60 / travel; row misses of 1 in 20 and 2 in 20 gaps.
#[test]
fn skid_and_misses_are_followed_too() {
    let sheet = |year: u32, travel: f64, misses: usize| {
        let gaps: Vec<f64> = (0..20).map(|place| if place < misses { 4.0 } else { 2.0 }).collect();
        let text = format!(
            "bare-length = \"in\"\n[planter]\nname = \"four-row\"\nrow-spacing = 30\nrolling-circumference = 60\n\
             [trial]\nseed-spacing = 2\n[[wheel-run]]\ndate = {year}-04-01\ncourse = {}\nturns = [10]\n\
             [[spacing-run]]\ndate = {year}-06-01\nrow = 3\ngaps = {gaps:?}\n",
            travel * 10.0
        );
        (format!("{year}.toml"), text)
    };
    let all = [sheet(2025, 62.0, 1), sheet(2026, 64.0, 2)];
    let all: Vec<(&str, String)> =
        all.iter().map(|(name, text)| (name.as_str(), text.clone())).collect();
    let report = Sheets::new(&all).report(&[]);
    let points = report.table(KEY, "trend-points").expect("points");
    let value = |number: &str, day: &str| {
        let found = points.iter().find(|one| one["number"] == number && one["day"] == day);
        cell(found.unwrap_or_else(|| panic!("no {number}, {day} in {points:?}")), "value")
    };
    close(value("skid", "2025-04-01"), 100.0 * (1.0 - 60.0 / 62.0), 1e-9);
    close(value("row 3 misses", "2025-06-01"), 5.0, 1e-9);
    close(value("row 3 misses", "2026-06-01"), 10.0, 1e-9);
}

/// A trip scale of 100 counts to the length with readouts of 240.6 between marks of 240 in: 100.25 is right;
/// of a sheet with a length per count that is no number to hold against it.
#[test]
fn scales_and_setbacks_are_held_against_their_like_only() {
    let sheet = |year: u32, kind: &str, speed: &str, readout: f64, last: f64| {
        let first = 30.0 - last;
        let text = format!(
            "bare-length = \"in\"\n[planter]\nname = \"four-row\"\n[planter.controller]\ntrip-scale = {{ {kind} }}\n\
             setback = {{ raising-moves-alley = \"back\" }}\n[trial]\nplot = 210\nalley = 30\nspeed = \"{speed}\"\n\
             tolerance = {{ trip = 1, centre = 2 }}\n[settings]\ntrip-scale = 100\nsetback = 15\n\
             [[trip-run]]\ndate = {year}-04-01\nmarks = 240\nreadout = [{readout}]\n\
             [[alley-run]]\ndate = {year}-04-02\nlast-seed-to-mark = [{last}, {last}]\n\
             mark-to-first-seed = [{first}, {first}]\n"
        );
        (format!("{year}.toml"), text)
    };
    let counts = "counts = \"per length\"";
    let all = [
        sheet(2023, "length = \"per count\"", "3 mph", 240.0, 15.0),
        sheet(2024, counts, "4 mph", 240.0, 15.0),
        sheet(2025, counts, "3 mph", 240.0, 15.0),
        sheet(2026, counts, "3.05 mph", 240.6, 14.0),
    ];
    let all: Vec<(&str, String)> =
        all.iter().map(|(name, text)| (name.as_str(), text.clone())).collect();
    let report = Sheets::new(&all).report(&[]);
    let scale = row(&report, (KEY, "trend"), "number", "trip scale");
    assert_eq!(scale["sheets"], 3);
    close(cell(scale, "tolerance"), 100.25 / 240.0, 1e-9);
    // Alleys at 3 mph only: 2023, 2025 and 2026. In 2026 they lie 1 in ahead: 16 in would be right.
    let setback = row(&report, (KEY, "trend"), "number", "setback");
    assert_eq!(setback["sheets"], 3);
    let points = report.table(KEY, "trend-points").expect("points");
    let last = points.iter().rfind(|one| one["number"] == "setback").expect("one");
    close(cell(last, "value"), 16.0, 1e-9);
    let left_out = report.table(KEY, "trend-left-out").expect("some");
    let why: Vec<String> = left_out.iter().map(|one| one["why"].to_string()).collect();
    assert!(why.iter().any(|why| why.contains("length per count")), "{why:?}");
    assert!(why.iter().any(|why| why.contains("at 4 mph")), "{why:?}");
}

// A wheel that wears.

/// Nineteen of twenty intervals of the slope hold the wear; four standard deviations of a binomial count
/// of 100 are 9 %.
#[test]
fn intervals_of_the_slope_hold_the_wear() {
    let mut dice = Dice(9);
    let (mut held, all) = (0, 100);
    for _ in 0..all {
        let wear = dice::between(&mut dice, -0.8, 0.8);
        let travels: Vec<f64> = (0..7)
            .map(|year| {
                let travel = 80.0 + wear * f64::from(year) + dice.normal(0.3);
                (travel * 1000.0).round() / 1000.0
            })
            .collect();
        let report = years(&travels).report(&[]);
        let travel = row(&report, (KEY, "trend"), "number", "travel per turn");
        held += usize::from(
            (cell(travel, "slope_a_year") - wear).abs() <= cell(travel, "half_width") + 1e-3,
        );
    }
    let share = held as f64 / f64::from(all);
    assert!((share - 0.95).abs() < 0.09, "{share}");
}

/// A level row of numbers and one that jumps: the jump is outside, and is to be looked into first.
#[test]
fn a_jump_stands_out() {
    let level = [80.0, 80.2, 79.9, 80.1, 80.0, 79.8, 80.1];
    let report = years(&[&level[..], &[83.0]].concat()).report(&[]);
    let points = report.table(KEY, "trend-points").expect("points");
    assert_eq!(points.last().expect("one")["outside"], "single");
    let next = report.next_instruction().expect("a step");
    assert!(next.contains("travel per turn of 2007-04-01 (83 in) lies outside"), "{next}");
}

// What is left out, odd and wrong input.

#[test]
fn sheets_of_another_planter_are_named_and_left_out() {
    let other = wheel("2002-04-01", 900.0, "").replace("four-row", "six-row");
    let serial = |number: &str| format!("name = \"four-row\"\nserial = \"{number}\"");
    let first = wheel("2000-04-01", 800.0, "").replace("name = \"four-row\"", &serial("17"));
    let alien = wheel("2001-06-01", 850.0, "").replace("name = \"four-row\"", &serial("18"));
    let silent = wheel("2003-04-01", 800.0, "").replace("name = \"four-row\"\n", "");
    let sheets = Sheets::new(&[
        ("a.toml", first),
        ("b.toml", wheel("2001-04-01", 801.0, "")),
        ("c.toml", other),
        ("d.toml", alien),
        ("e.toml", silent),
    ]);
    let report = sheets.report(&[]);
    assert_eq!(row(&report, (KEY, "trend"), "number", "travel per turn")["sheets"], 2);
    let left_out = report.table(KEY, "trend-left-out").expect("some");
    for (name, words) in [
        ("c.toml", "its planter is six-row"),
        ("d.toml", "its planter has the serial 18"),
        ("e.toml", "it does not say its planter"),
    ] {
        let own = left_out.iter().find(|one| one["sheet"].to_string().contains(name));
        assert_eq!(own.expect(name)["why"], words);
    }
    let said = String::from_utf8(sheets.run(&[]).stderr).expect("text");
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("c.toml, all of it: its planter is six-row"), "{said}");
    let asked = sheets.report(&["--planter", "six-row"]);
    assert!(asked.next_instruction().expect("a step").contains("two sheets of one planter"));
}

#[test]
fn a_sheet_with_mistakes_is_named_and_ends_with_status_2() {
    let sheets = Sheets::new(&[
        ("a.toml", wheel("2000-04-01", 800.0, "")),
        ("b.toml", wheel("2001-04-01", 801.0, "")),
        ("c.toml", "[trial]\nplott = 3\n".into()),
        ("planter.toml", "[planter]\nname = \"four-row\"\n".into()),
    ]);
    let output = sheets.run(&["--format", "csv"]);
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8(output.stderr).expect("text");
    assert!(said.contains("plott") && said.contains("c.toml"), "{said}");
    assert!(!said.contains("planter.toml"), "the planter's file is no sheet: {said}");
    let csv = String::from_utf8(output.stdout).expect("text");
    assert!(
        csv.starts_with("number,sheets,mean,slope_a_year") && csv.contains("travel per turn,2")
    );
}

#[test]
fn undated_runs_lone_sheets_and_empty_folders_are_said() {
    let undated = wheel("2000-04-01", 800.0, "").replace("date = 2000-04-01\n", "");
    let sheets = Sheets::new(&[("a.toml", undated), ("b.toml", wheel("2001-04-01", 801.0, ""))]);
    let report = sheets.report(&[]);
    let left_out = report.table(KEY, "trend-left-out").expect("some");
    let why: Vec<String> = left_out.iter().map(|one| one["why"].to_string()).collect();
    assert_eq!(why, ["\"its runs have no date\"", "\"no other sheet has it\""]);
    assert!(report.next_instruction().expect("a step").contains("two sheets"), "{report:?}");
    let empty = Sheets::new(&[]).run(&[]);
    assert_eq!(empty.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&empty.stderr).contains("no sheet found"));
    // Two sheets of one day are told apart by their names, and have no slope.
    let twins = Sheets::new(&[
        ("a.toml", wheel("2001-04-01", 800.0, "")),
        ("b.toml", wheel("2001-04-01", 801.0, "")),
    ]);
    let report = twins.report(&[]);
    assert!(row(&report, (KEY, "trend"), "number", "travel per turn")["slope_a_year"].is_null());
}

#[test]
fn pages_are_written_and_no_sheet_is_written_over() {
    let sheets = years(&[81.0, 80.0, 79.5]);
    let page = sheets.path("trend.html");
    let output = sheets.run(&["-o", page.to_str().expect("a plain name")]);
    assert_eq!(output.status.code(), Some(0));
    let text = std::fs::read_to_string(&page).expect("a page");
    assert!(text.contains("<svg") && text.contains("Over the years"), "a picture");
    let sheet = sheets.path("2000.toml");
    let before = std::fs::read_to_string(&sheet).expect("a sheet");
    let output = sheets.run(&["-o", sheet.to_str().expect("a plain name")]);
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(std::fs::read_to_string(&sheet).expect("a sheet"), before);
    for wrong in [&["--table", "trend"][..], &["--format", "csv", "--table", "nothing"]] {
        assert_eq!(sheets.run(wrong).status.code(), Some(2), "{wrong:?}");
    }
}

/// The demo sheets say what their comment says.
#[test]
fn the_demo_planter_wears() {
    let folder =
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data/one-planter-over-years");
    let output = common::run(&[KEY, "--format", "json"], &folder);
    assert_eq!(output.status.code(), Some(0));
    let report = Report::read(&output.stdout);
    let travel = row(&report, (KEY, "trend"), "number", "travel per turn");
    // 218 x 0.004 = 0.872 cm a year.
    close(cell(travel, "slope_a_year"), -0.872, cell(travel, "half_width"));
    assert_eq!(travel["sheets"], 7);
}

/// A planter that no sheet has is refused with those that they have, and a sheet named twice is one.
#[test]
fn a_planter_that_no_sheet_has_is_refused_and_a_sheet_counts_once() {
    let run = |arguments: &[&str]| {
        let out = common::program().arg("trend").args(arguments).output().expect("a run");
        (out.status.code(), String::from_utf8([out.stdout, out.stderr].concat()).expect("text"))
    };
    let (status, said) = run(&["demo-data/one-planter-over-years", "--planter", "nobody's"]);
    assert_eq!(status, Some(2), "{said}");
    assert!(said.contains("called nobody's") && said.contains("lower shed"), "{said}");
    let results = |more: &[&str]| {
        let out = common::program()
            .args(["trend", "demo-data/one-planter-over-years", "--format", "json"])
            .args(more)
            .output()
            .expect("a run");
        let all: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
        all["results"].clone()
    };
    assert_eq!(results(&[]), results(&["demo-data/one-planter-over-years/2024.toml"]));
}
