//! Trials whose passes all go out: layout, packets, forms, plan, results and rehearsal follow.

#![allow(clippy::expect_used, clippy::panic)] // helpers of tests

mod common;

use std::path::Path;

use common::program;
use serde_json::Value as Json;
use tempfile::TempDir;

/// A demo sheet whose passes go one way, in a folder of its own.
fn one_way(demo: &str, passes: u32) -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let sheet = std::fs::read_to_string(Path::new("demo-data").join(demo)).expect("a sheet");
    let line = format!("\npasses = {passes}\n");
    assert!(sheet.contains(&line), "{demo}");
    let sheet = sheet.replacen(&line, &format!("{line}passes-go = \"one-way\"\n"), 1);
    std::fs::write(folder.path().join("sheet.toml"), sheet).expect("a sheet");
    folder
}

fn said(folder: &TempDir, arguments: &[&str]) -> (Option<i32>, String) {
    let output = program().args(arguments).arg("sheet.toml").current_dir(folder.path()).output();
    let output = output.expect("a run");
    (output.status.code(), String::from_utf8_lossy(&output.stdout).into_owned())
}

fn in_one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn every_pass_of_the_layout_goes_out() {
    let folder = one_way("wheat-borders-two-plots-abreast.toml", 4);
    let (_, table) = said(&folder, &["stakes", "--format", "csv", "--table", "plots"]);
    let mut rows = csv::Reader::from_reader(table.as_bytes());
    let headings: Vec<String> =
        rows.records().map(|row| row.expect("a row")[4].to_owned()).collect();
    assert!(!headings.is_empty() && headings.iter().all(|heading| heading == "out"));
    let (_, map) = said(&folder, &["stakes", "--format", "geojson"]);
    assert!(map.contains("\"heading\":\"out\"") && !map.contains("\"heading\":\"home\""));
}

#[test]
fn packets_of_every_pass_start_at_the_start_line() {
    let folder = one_way("soybean-forty-entries.toml", 10);
    let (_, table) = said(&folder, &["packets", "--format", "csv", "--table", "driving-order"]);
    let mut rows = csv::Reader::from_reader(table.as_bytes());
    let places: Vec<(u32, u32)> = rows
        .records()
        .map(|row| {
            let row = row.expect("a row");
            let number = |cell: usize| row[cell].parse().expect("a number");
            (number(0), number(1))
        })
        .collect();
    let wanted: Vec<(u32, u32)> =
        (1..=10).flat_map(|pass| (1..=16).map(move |range| (pass, range))).collect();
    assert_eq!(places, wanted);
}

#[test]
fn leads_and_alleys_driven_home_are_not_used_and_that_is_said() {
    let folder = one_way("soybean-advanced-north.toml", 12);
    let (status, text) = said(&folder, &["calibrate", "--format", "json"]);
    assert_eq!(status, Some(0));
    let json: Json = serde_json::from_str(&text).expect("JSON");
    let results = json["results"].as_array().expect("results");
    assert!(results.iter().all(|one| one["calculation"] != "passes"), "no pass offset");
    let remarks = json["remarks"].to_string();
    assert!(remarks.contains("driven home") && remarks.contains("opposite ways"), "{remarks}");
    assert!(!text.contains("one-heading"), "one heading is all there is");
    let alley = results.iter().find(|one| one["calculation"] == "alley").expect("alleys");
    assert_eq!(alley["how_sure"]["readings"], 8, "those of the pass that went out");
    let (_, checked) = said(&folder, &["check"]);
    assert!(!checked.contains("pass offset"), "{checked}");
}

#[test]
fn plan_and_forms_ask_for_one_heading_only() {
    let folder = one_way("soybean-advanced-north.toml", 12);
    let (_, text) = said(&folder, &["plan", "--format", "json"]);
    let plan: Json = serde_json::from_str(&text).expect("JSON");
    let next = plan["next"]["instruction"].as_str().expect("a step");
    assert!(next.ends_with("spread them over two passes or more"), "{next}");
    let tables = plan["results"][0]["tables"].to_string();
    assert!(!tables.contains("home") && !tables.contains("lead"), "{tables}");
    let form = in_one_line(&said(&folder, &["print", "run-form"]).1);
    assert!(form.contains("ALLEYS, GOING OUT") && !form.contains("COMING HOME"), "{form}");
    assert!(!form.contains("NEIGHBOURING PASSES"), "{form}");
    let list = in_one_line(&said(&folder, &["print", "checklist"]).1);
    assert!(list.contains("two passes out") && list.contains("planter raised"), "{list}");
}

/// Every other pass is driven with the planter empty: whoever measures, fills in a form or drives by the
/// card is told of it, and nobody whose passes go both ways.
#[test]
fn the_way_back_has_a_caution() {
    let folder = one_way("soybean-advanced-north.toml", 12);
    let both = one_way("soybean-advanced-north.toml", 12);
    let file = both.path().join("sheet.toml");
    let text = std::fs::read_to_string(&file).expect("the sheet");
    std::fs::write(&file, text.replace("passes-go = \"one-way\"\n", "")).expect("both ways");
    for command in [
        &["alley"] as &[&str],
        &["trip"],
        &["plan"],
        &["print", "run-form"],
        &["print", "cab-card"],
        &["print", "checklist"],
    ] {
        assert!(
            in_one_line(&said(&folder, command).1).contains("Driven back empty"),
            "{command:?}"
        );
        assert!(!in_one_line(&said(&both, command).1).contains("Driven back"), "{command:?}");
    }
}

#[test]
fn a_rehearsal_counts_no_leads() {
    let folder = one_way("soybean-forty-rehearsed.toml", 10);
    let (status, text) = said(&folder, &["rehearse", "--draws", "40", "--format", "json"]);
    assert_eq!(status, Some(0));
    let json: Json = serde_json::from_str(&text).expect("JSON");
    let out = json["results"][0]["tables"]["out"].to_string();
    assert!(out.contains("centre") && !out.contains("lead"), "{out}");
}

#[test]
fn another_word_is_refused() {
    let folder = one_way("soybean-advanced-north.toml", 12);
    let file = folder.path().join("sheet.toml");
    let sheet = std::fs::read_to_string(&file).expect("a sheet").replace("one-way", "round");
    std::fs::write(&file, sheet).expect("a sheet");
    let output = program().args(["plan"]).arg(&file).output().expect("a run");
    assert_eq!(output.status.code(), Some(2));
    let complaint = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(complaint.contains("\"both-ways\" or \"one-way\""), "{complaint}");
}
