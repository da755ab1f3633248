//! A month with one sheet, from the meters in the shop to the lengths that yields are per: a technician who
//! does only what the program says, on a planter whose truth is known, and then every number that two pages
//! have held against each other.

#![allow(clippy::expect_used, clippy::panic)]

mod common;

use std::collections::BTreeMap;

use common::{Report, Written};

/// Right for this planter and its ground; the sheet starts from other values.
const RIGHT_SCALE: f64 = 352.0;
const RIGHT_SETBACK: f64 = 17.0;

/// What is known before the season.
const SHEET: &str = r#"title = "Lentil nursery, a month"
bare-length = "in"

[planter]
rows = 4
row-spacing = "30 in"
travel-per-turn = { distance = "816 in", turns = 10 }
drop-height = "16 in"
plate = { cells = 40, carry = 14 }
drive = [{ driving = { fitted = 24 }, driven = { fitted = 18 } }]

[planter.controller]
timer-step = "0.05 s"
trip-scale = { counts = "per length", step = 0.01 }
setback = { raising-moves-alley = "back", step = "0.5 in" }

[trial]
plot = "17 ft 6 in"
alley = "30 in"
speed = "2.8 mph"
seed-spacing = "1.53 in"
entries = 20
reps = 4
ranges = 9
passes = 10
tolerance = { speed = "2 %", trip = "1 in", centre = "1 in", spacing = "2 %", width = "3 in" }

[settings]
trip-scale = 356.20
setback = "14 in"

[layout]
headland = "40 ft"
border-passes = 1

[[layout.other-plots]]
from = 9
plot = "8 ft"
fillers = true

[packets]
thousand-seed-weight = "52 g"
cleaned-out = 15
test-plots = 12

[time]
load = "6 s"
lost = "20 %"
day = "8 h"
crew = 3

[harvest]
trim = "6 in"
"#;

struct Month {
    written: Written,
    day: u32,
}

impl Month {
    fn run(&self, command: &str, arguments: &[&str]) -> (Option<i32>, String) {
        let out = common::program()
            .arg(command)
            .arg(self.written.path())
            .args(arguments)
            .output()
            .expect("the program runs");
        let said = String::from_utf8([out.stdout, out.stderr].concat()).expect("text");
        (out.status.code(), said)
    }

    fn done(&self, command: &str, arguments: &[&str]) -> String {
        let (status, said) = self.run(command, arguments);
        assert_eq!(status, Some(0), "{command} {arguments:?}\n{said}");
        said
    }

    fn date(&self) -> String {
        format!("2027-04-{:02}", self.day)
    }

    fn record(&self, kind: &str, arguments: &[&str]) {
        let date = self.date();
        self.done("record", &[&[kind, "--date", &date], arguments].concat());
    }

    fn report(&self) -> Report {
        let date = self.date();
        let out = common::program()
            .args(["calibrate", "--format", "json", "--on", &date])
            .arg(self.written.path())
            .output()
            .expect("the program runs");
        assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
        Report::read(&out.stdout)
    }

    /// A setting as the sheet has it now.
    fn held(&self, key: &str) -> f64 {
        let text = self.written.text();
        // What the controller's numbers mean stands under the same name, as a table.
        let mut lines = text.lines().filter(|line| !line.contains('{'));
        let line = lines.find(|line| line.starts_with(&format!("{key} = ")));
        let value = line.expect("the setting").split_once('=').expect("a value").1;
        let number: String = value.chars().filter(|c| c.is_ascii_digit() || *c == '.').collect();
        number.parse().expect("a number")
    }

    /// A test range planted with what the planter holds, and taped: readings a little apart, none biased.
    fn test_range(&self) {
        const APART: [f64; 10] = [0.2, -0.2, 0.1, -0.1, 0.3, -0.3, 0.1, -0.1, 0.2, -0.2];
        let readout = 240.0 * RIGHT_SCALE / self.held("trip-scale");
        let readouts: Vec<String> =
            APART.iter().map(|off| format!("{:.1}", readout + off)).collect();
        let readouts: Vec<&str> = readouts.iter().map(String::as_str).collect();
        self.record("trip", &[&["--marks", "20 ft"], readouts.as_slice()].concat());
        // Raising the setback moves alleys back.
        let ahead = RIGHT_SETBACK - self.held("setback");
        for heading in ["out", "home"] {
            let pair = |off: &f64| format!("{:.1}/{:.1}", 15.0 - ahead + off, 15.0 + ahead - off);
            let pairs: Vec<String> = APART.iter().map(pair).collect();
            let pairs: Vec<&str> = pairs.iter().map(String::as_str).collect();
            self.record("alley", &[&["--heading", heading], pairs.as_slice()].concat());
        }
    }
}

/// What every page says of every figure: by name and unit, with the pages that have it.
fn figures(pages: &[(&str, Report)]) -> BTreeMap<(String, String), Vec<(String, f64)>> {
    let mut all: BTreeMap<(String, String), Vec<(String, f64)>> = BTreeMap::new();
    for (page, report) in pages {
        for result in report.results() {
            let of = format!("{page}: {}", result["calculation"].as_str().expect("a key"));
            for line in result["working"].as_array().expect("working") {
                let name = line["name"].as_str().expect("a name").to_owned();
                let unit = line["unit"].as_str().unwrap_or_default().to_owned();
                let Some(value) = line["value"].as_f64() else { continue };
                all.entry((name, unit)).or_default().push((of.clone(), value));
            }
        }
    }
    all
}

#[test]
fn a_month_ends_right_and_says_one_thing_on_every_page() {
    let mut month = Month { written: Written::new(SHEET), day: 1 };
    // In the shop: two vacuums on one plate; 250 positions each, as ISO 7256-1 asks.
    for (vacuum, misses, multiples) in [("14 in of water", "9", "3"), ("18 in of water", "2", "5")]
    {
        month.record(
            "meter",
            &[
                "--plate",
                "40 cells",
                "--vacuum",
                vacuum,
                "--row",
                "1",
                "--positions",
                "250",
                "--multiples",
                multiples,
                "--misses",
                misses,
            ],
        );
    }
    // On the ground: 100 ft at 2.8 mph take 24.35 s; ten turns are 816 in.
    month.day = 5;
    month.record("speed", &["--course", "100 ft", "24.3", "24.4", "24.4", "24.3"]);
    month.record("wheel", &["--course", "68 ft", "10", "10.01", "9.99", "10"]);
    let mut rounds = 0;
    loop {
        month.day += 1;
        rounds += 1;
        assert!(rounds < 9, "no end: {}", month.done("calibrate", &["--brief"]));
        month.test_range();
        let report = month.report();
        let Some(next) = report.next_instruction().map(str::to_owned) else { break };
        // The vacuum is a step of hands, once: it is set, and the sheet told of it.
        if next.starts_with("set the vacuum") {
            let date = month.date();
            month.done("apply", &["--date", &date, "--setting", "vacuum=18 in of water"]);
            continue;
        }
        month.day += 1;
        let date = month.date();
        let (status, said) = month.run("apply", &["--date", &date]);
        assert_eq!(status, Some(0), "{next}\n{said}");
    }
    assert!(rounds <= 4, "{rounds} rounds");
    let (scale, setback) = (month.held("trip-scale"), month.held("setback"));
    assert!((scale - RIGHT_SCALE).abs() < 0.5, "trip scale {scale}");
    assert!((setback - RIGHT_SETBACK).abs() <= 0.5, "setback {setback}");
    // The field planted: a pass takes 168 s; and plots taped before harvest.
    month.day = 25;
    month.record("time", &["168", "171", "166", "170"]);
    month.day = 28;
    month.record("harvest", &["--between", "plants", "210.2", "209.8", "210.5", "209.6", "210.1"]);

    let commands = [
        "calibrate",
        "speed",
        "spacing",
        "trip",
        "alley",
        "meter",
        "stakes",
        "packets",
        "time",
        "harvest",
    ];
    let pages: Vec<(&str, Report)> = commands
        .into_iter()
        .map(|command| {
            let said = month.done(command, &["--format", "json"]);
            (command, Report::read(said.as_bytes()))
        })
        .collect();
    let all = figures(&pages);
    let twice = all.values().filter(|all| all.len() > 1).count();
    assert!(twice > 60, "only {twice} figures stand on two pages");
    for ((name, unit), said) in &all {
        let (first, value) = &said[0];
        for (page, other) in said {
            assert!(
                (value - other).abs() <= 1e-9 * value.abs().max(1.0),
                "{name}: {value} {unit} by {first}, {other} by {page}"
            );
        }
    }
    // By hand: 8 ranges of plots and one of fillers, ten passes; 80 plots of 20 entries in 4 reps.
    let of = |command: &str, name: &str| {
        let (_, report) = pages.iter().find(|(one, _)| *one == command).expect("a page");
        report.number(command, name)
    };
    assert_eq!(of("stakes", "plots"), 80.0);
    // 8 x 17.5 + 8 + 8 x 2.5 = 168 ft.
    assert_eq!(of("stakes", "planted length"), 168.0);
    assert_eq!(of("harvest", "first to last seed"), 210.0);
    // 80 plots, 10 fillers of 8 ft, a border pass at either side of 8 plots and a filler, 12 test plots.
    let plots = of("time", "plots in all");
    assert_eq!(plots, 80.0 + 10.0 + 2.0 * 9.0 + 12.0);
    // The printed report has the settings that the last day left.
    let out = common::program()
        .args(["print", "report"])
        .arg(month.written.path())
        .output()
        .expect("the program runs");
    let report = String::from_utf8(out.stdout).expect("text");
    assert!(report.contains(&format!("{scale:.2}")), "{report}");
}
