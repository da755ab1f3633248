//! `--set` wherever a sheet is read: one value, several side by side, and where it is refused.

#![allow(clippy::expect_used, clippy::panic)] // helpers of tests

mod common;

use common::{program, run};
use serde_json::Value as Json;
use std::path::Path;

const SHEET: &str = "demo-data/soybean-advanced-north.toml";

/// What the program prints, and what it complains of.
fn said(arguments: &[&str]) -> (Option<i32>, String, String) {
    let output = program().args(arguments).env("LC_ALL", "C.UTF-8").output().expect("a run");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("text");
    (output.status.code(), text(output.stdout), in_one_line(&text(output.stderr)))
}

/// A text without its line breaks.
fn in_one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn several_values_stand_side_by_side() {
    let set = ["--set", "trial.population=100000/ac,124000/ac"];
    let (status, page, _) = said(&[&["spacing", SHEET], &set[..]].concat());
    assert_eq!(status, Some(0));
    // 43560 ft2 of 144 in2 in an acre: 6272640 / (30 in x 100000) = 2.09088 in between seeds, and
    // 6272640 / (30 x 124000) = 1.686194 in.
    let row = page.lines().find(|line| line.contains("target spacing, in")).expect("a row");
    assert_eq!(row.split_whitespace().skip(3).collect::<Vec<_>>(), ["2.09088", "1.68619"]);
    let head = page.lines().find(|line| line.contains("trial.population")).expect("a head");
    assert_eq!(
        head.split_whitespace().collect::<Vec<_>>(),
        ["trial.population", "100000/ac", "124000/ac"]
    );
    assert!(page.lines().all(|line| line.chars().count() <= 80), "{page}");
    assert!(page.contains("nothing in it was changed"), "{page}");

    let (_, table, _) = said(&[&["spacing", SHEET, "--format", "csv"], &set[..]].concat());
    let mut rows = csv::Reader::from_reader(table.as_bytes());
    let heads: Vec<String> = rows.headers().expect("heads").iter().map(str::to_owned).collect();
    assert_eq!(heads, ["calculation", "result", "unit", "100000/ac", "124000/ac"]);
    let rows: Vec<_> = rows.records().map(|row| row.expect("a row")).collect();
    let target = rows.iter().find(|row| &row[1] == "target spacing").expect("a row");
    let number = |place: usize| target[place].parse::<f64>().expect("a number");
    assert!((number(3) - 6_272_640.0 / 3_000_000.0).abs() < 1e-9);
    assert!((number(4) - 6_272_640.0 / 3_720_000.0).abs() < 1e-9);
}

#[test]
fn each_value_gives_what_it_gives_alone() {
    let two = ["calibrate", SHEET, "--format", "json", "--set", "trial.speed=2 mph, 3 mph"];
    let all: Json = serde_json::from_str(&said(&two).1).expect("JSON");
    for (place, speed) in ["2 mph", "3 mph"].iter().enumerate() {
        let set = format!("trial.speed={speed}");
        let one = ["calibrate", SHEET, "--format", "json", "--set", &set];
        let alone: Json = serde_json::from_str(&said(&one).1).expect("JSON");
        assert_eq!(all[place], alone);
        assert_eq!(alone["set"], serde_json::json!([set]));
    }
    assert_eq!(all.as_array().map(Vec::len), Some(2));
}

#[test]
fn two_keys_with_two_values_make_four_columns() {
    let set =
        ["--set", "trial.speed=2 mph, 3 mph", "--set", "trial.population=100000/ac, 120000/ac"];
    let (status, table, _) = said(&[&["spacing", SHEET, "--format", "csv"], &set[..]].concat());
    assert_eq!(status, Some(0), "{table}");
    let head = table.lines().next().expect("heads");
    let last =
        "\"2 mph, 100000/ac\",\"2 mph, 120000/ac\",\"3 mph, 100000/ac\",\"3 mph, 120000/ac\"";
    assert!(head.ends_with(last), "{head}");
    let (status, page, _) = said(&[&["calibrate", SHEET], &set[..]].concat());
    assert_eq!(status, Some(0));
    assert!(page.lines().all(|line| line.chars().count() <= 80), "{page}");
    // A warning that two of four have is said once, with which.
    let page = in_one_line(&page);
    assert_eq!(page.matches("target 3 mph").count(), 1, "{page}");
    assert!(page.contains("with 3 mph, 100000/ac; 3 mph, 120000/ac: ground speed"), "{page}");
}

#[test]
fn a_wrong_value_among_several_prints_no_table() {
    let wrong = ["spacing", SHEET, "--set", "trial.speed=3 mph, 3 ft"];
    let (status, page, complaint) = said(&wrong);
    assert_eq!((status, page.as_str()), (Some(2), ""));
    assert!(complaint.contains("--set trial.speed=3 ft:1:"), "{complaint}");
    for doubtful in ["trial.speed=2,8 mph", "trial.population=139,000/ac", "settings.setback=14,15"]
    {
        let (status, _, complaint) = said(&["calibrate", SHEET, "--set", doubtful]);
        assert_eq!(status, Some(2));
        assert!(complaint.contains("may be"), "{complaint}");
    }
}

#[test]
fn every_command_that_reads_a_sheet_takes_a_value() {
    let wrong = ["--set", "trial.speed=3 ft"];
    let of_sheet: [&[&str]; 12] = [
        &["calibrate", SHEET],
        &["trip", SHEET],
        &["alley", SHEET],
        &["spacing", SHEET],
        &["stand", SHEET],
        &["setback-at", "3 mph", SHEET],
        &["plan", SHEET],
        &["rehearse", SHEET],
        &["check", SHEET],
        &["history", SHEET],
        &["print", "cab-card", SHEET],
        &["batch", SHEET],
    ];
    for command in of_sheet {
        let (status, _, complaint) = said(&[command, &wrong].concat());
        assert_eq!(status, Some(2), "{command:?}");
        assert!(complaint.contains("--set trial.speed=3 ft"), "{command:?}: {complaint}");
    }
}

#[test]
fn what_prints_one_thing_takes_one_value() {
    for command in [
        vec!["check", SHEET],
        vec!["history", SHEET],
        vec!["print", "cab-card", SHEET],
        vec!["batch", "demo-data"],
        vec!["calibrate", SHEET, "demo-data/soybean-all-right.toml"],
    ] {
        let (status, page, complaint) =
            said(&[&command[..], &["--set", "trial.speed=2 mph, 3 mph"]].concat());
        assert_eq!((status, page.as_str()), (Some(2), ""), "{command:?}");
        assert!(complaint.contains("2 values of `trial.speed`"), "{complaint}");
    }
}

#[test]
fn results_say_what_was_set_over_the_sheet() {
    let set = ["--set", "trial.speed=3 mph"];
    for command in [&["check", SHEET][..], &["print", "cab-card", SHEET], &["calibrate", SHEET]] {
        let page = said(&[command, &set].concat()).1.replace('\n', " ");
        assert!(page.contains("--set trial.speed=3 mph"), "{command:?}: {page}");
    }
}

#[test]
fn what_writes_a_sheet_keeps_nothing_that_is_set_over_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let sheet = folder.path().join("sheet.toml");
    std::fs::copy(SHEET, &sheet).expect("a copy");
    let before = std::fs::read(&sheet).expect("the sheet");
    let name = sheet.to_str().expect("a name");
    for command in [vec!["apply", name], vec!["record", name, "pass", "3"]] {
        let (status, page, complaint) =
            said(&[&command[..], &["--set", "trial.speed=3 mph"]].concat());
        assert_eq!((status, page.as_str()), (Some(2), ""), "{command:?}");
        assert!(complaint.contains("would not be kept"), "{complaint}");
    }
    assert_eq!(std::fs::read(&sheet).expect("the sheet"), before);
}

#[test]
fn equal_warnings_are_said_once_with_their_lines() {
    // Two chains whose length can't be told for the same reason.
    let chain = "[[planter.drive]]\ndriving = { fitted = 24, choices = [22, 24] }\n\
                 driven = { fitted = 18, choices = [18, 20] }\nlinks = 92\n";
    let text = format!(
        "[planter]\nrow-spacing = \"30 in\"\ntravel-per-turn = {{ distance = \"68 ft\", turns = 10 \
         }}\nplate = {{ cells = 40 }}\n{chain}{chain}[trial]\npopulation = \"139000 /ac\"\n"
    );
    let folder = tempfile::tempdir().expect("a folder");
    let sheet = folder.path().join("sheet.toml");
    std::fs::write(&sheet, text).expect("a sheet");
    for command in [&["calibrate"][..], &["print", "report"]] {
        let page = String::from_utf8(run(command, Path::new(&sheet)).stdout).expect("text");
        let page = in_one_line(&page);
        assert_eq!(page.matches("the chain length needs both").count(), 1, "{page}");
        assert!(page.contains("lines 8 and 12: the chain length needs both"), "{page}");
    }
}
