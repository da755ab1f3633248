//! Sheets in other units: factors, rounding, what stays, and that results agree; results in other
//! units without a new sheet.

#![allow(clippy::expect_used, clippy::panic)] // helpers of tests

mod common;

use std::path::{Path, PathBuf};

use alleytrue::quantity::System;
use alleytrue::sheet::{Source, writing::convert};
use common::program;
use serde_json::Value as Json;

fn demos() -> Vec<PathBuf> {
    let entries = std::fs::read_dir("demo-data").expect("demo-data");
    let paths = entries.map(|entry| entry.expect("an entry").path());
    let mut all: Vec<PathBuf> =
        paths.filter(|path| path.extension().is_some_and(|one| one == "toml")).collect();
    all.sort();
    all
}

fn turned(sheet: &str, system: System) -> String {
    convert(&Source::new("sheet.toml", sheet), system).expect("a sheet").text
}

fn run(arguments: &[&str], folder: &Path) -> (Option<i32>, String, String) {
    let output = program().args(arguments).current_dir(folder).output().expect("a run");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (output.status.code(), text(&output.stdout), text(&output.stderr))
}

/// Exact by definition: 1 in = 25.4 mm, 1 ft = 0.3048 m, 1 mi = 1.609344 km, 1 lb = 0.45359237 kg,
/// 1 ac = 0.40468564224 ha (NIST SP 811, Appendix B; NIST Handbook 44, Appendix C).
#[test]
fn values_are_turned_by_exact_factors_and_rounded_to_how_they_were_typed() {
    for (old, new) in [
        ("plot = \"17 ft 6 in\"", "plot = \"5.334 m\""),
        ("plot = \"20 ft\"", "plot = \"6.096 m\""),
        ("alley = \"30 in\"", "alley = \"76.2 cm\""),
        ("alley = \"30 1/2 in\"", "alley = \"77.47 cm\""),
        // 2.8 x 1.609344 = 4.5061632; a ten-thousandth of it is 0.00045.
        ("speed = \"2.8 mph\"", "speed = \"4.5062 km/h\""),
        // 139000 / 0.40468564224 = 343476.5 to the hectare; a ten-thousandth of that is 34.
        ("population = \"139000 /ac\"", "population = \"343480 /ha\""),
        // 9 seeds in 0.3048 m are 29.5276 in a metre.
        ("population = \"9 seeds/ft\"", "population = \"29.528 seeds/m\""),
    ] {
        let sheet = format!("[trial]\n{old} # as typed\n");
        let wanted = format!("[trial]\n{new} # as typed\n");
        assert_eq!(turned(&sheet, System::Metric), wanted);
    }
    for (old, new) in [
        // 6.03 / 0.3048 = 19.78346 ft: 19 ft and 9.4016 in.
        ("plot = \"6.03 m\"", "plot = \"19 ft 9.4 in\""),
        ("plot = \"6.096 m\"", "plot = \"20 ft\""),
        ("alley = \"75 cm\"", "alley = \"29.528 in\""),
        ("speed = \"4.5 km/h\"", "speed = \"2.7962 mph\""),
    ] {
        let sheet = format!("[trial]\n{old}\n");
        assert_eq!(turned(&sheet, System::Us), format!("[trial]\n{new}\n"));
    }
    // Bare numbers turn with the unit that the sheet gives them; others are no lengths.
    let sheet = "bare-length = \"in\"\n[settings]\ntrip-scale = 352.3\nsetback = 15\n\
                 [planter.controller]\ntrip-scale = { counts = \"per length\", step = 0.01 }\n\
                 setback = { raising-moves-alley = \"back\", step = 0.5 }\n";
    let wanted = "bare-length = \"cm\"\n[settings]\ntrip-scale = 352.3\nsetback = 38.1\n\
                  [planter.controller]\ntrip-scale = { counts = \"per length\", step = 0.01 }\n\
                  setback = { raising-moves-alley = \"back\", step = 1.27 }\n";
    assert_eq!(turned(sheet, System::Metric), wanted);
    assert_eq!(turned(sheet, System::Us), sheet, "it is in those units already");
}

#[test]
fn the_note_says_what_rounding_added() {
    let sheet = "[trial]\nspeed = \"2.8 mph\"\nalley = \"30 in\"\n";
    let notes = convert(&Source::new("sheet.toml", sheet), System::Metric).expect("a sheet").turned;
    assert_eq!((notes[0].line, notes[0].key.as_str()), (2, "trial.speed"));
    assert_eq!((notes[0].old.as_str(), notes[0].new.as_str()), ("2.8 mph", "4.5062 km/h"));
    assert!((notes[0].error - (4.5062 - 4.506_163_2)).abs() < 1e-9, "{}", notes[0].error);
    assert!(notes[1].error == 0.0 && notes[1].unit == "cm");
}

/// Settings of a report by their names, with what they should be in the working unit.
fn settings(json: &Json) -> Vec<(String, f64, String)> {
    let results = json["results"].as_array().into_iter().flatten();
    let all = results.flat_map(|one| one["settings"].as_array().into_iter().flatten());
    let text = |one: &Json| one.as_str().unwrap_or_default().to_owned();
    let exact = |one: &Json| one["exact"].as_f64().unwrap_or(f64::NAN);
    all.map(|one| (text(&one["name"]), exact(one), text(&one["unit"]))).collect()
}

#[test]
fn a_converted_sheet_says_the_same_of_every_setting() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut compared = 0;
    for path in demos() {
        let demo = std::fs::canonicalize(&path).expect("a sheet");
        let demo = demo.to_str().expect("a name");
        for units in ["metric", "us"] {
            let name =
                format!("{}-{units}.toml", path.file_stem().expect("a name").to_string_lossy());
            let (status, _, complaint) =
                run(&["convert", demo, "--units", units, "--to", &name], folder.path());
            assert_eq!(status, Some(0), "{name}: {complaint}");
            let json = |sheet: &str| {
                let arguments = ["calibrate", sheet, "--format", "json", "--units", units];
                let output = run(&arguments, folder.path());
                serde_json::from_str::<Json>(&output.1).expect("JSON")
            };
            let (old, new) = (json(demo), json(&name));
            let (old, new) = (settings(&old), settings(&new));
            assert_eq!(old.len(), new.len(), "{name}");
            for ((name, wanted, unit), (_, got, same)) in old.iter().zip(&new) {
                assert_eq!(unit, same);
                // A ten-thousandth of every typed value: two of the readings and the mark, here.
                let slack = wanted.abs() * 5e-4 + 0.01;
                assert!((wanted - got).abs() <= slack, "{path:?} {name}: {wanted} {got} {unit}");
                compared += 1;
            }
        }
    }
    assert!(compared > 50, "{compared}");
}

#[test]
fn everything_that_is_no_measure_stays() {
    for path in demos() {
        let text = std::fs::read_to_string(&path).expect("a sheet");
        for system in [System::Metric, System::Us] {
            let source = Source::open(&path).expect("a sheet");
            let new = convert(&source, system).expect("a sheet").text;
            assert_eq!(source.text().lines().count(), new.lines().count());
            let notes = |text: &str| -> Vec<String> {
                let lines = text.lines().filter(|line| line.trim_start().starts_with('#'));
                lines.map(str::to_owned).collect()
            };
            assert_eq!(notes(source.text()), notes(&new), "{path:?}");
            assert_eq!(text.contains("\r\n"), new.contains("\r\n"), "{path:?}");
        }
    }
}

#[test]
fn results_come_in_other_units_without_a_new_sheet() {
    let metric = ["trip", "demo-data/soybean-advanced-north.toml", "--units", "metric"];
    let (status, page, _) = run(&metric, Path::new("."));
    assert_eq!(status, Some(0));
    // 20 ft = 609.6 cm.
    assert!(page.contains("marks = 20 ft (given) = 20 × 30.48 = 609.6 cm"), "{page}");
    let us = ["print", "cab-card", "demo-data/maize-tape-and-skid-metric.toml", "--units", "us"];
    assert_eq!(run(&us, Path::new(".")).0, Some(0));
    let both = ["batch", "demo-data", "--units", "metric"];
    let (_, table, _) = run(&both, Path::new("."));
    assert!(!table.contains(",in,"), "{table}");
}

#[test]
fn a_sheet_goes_to_standard_output_and_never_over_another() {
    let folder = tempfile::tempdir().expect("a folder");
    let demo = std::fs::canonicalize("demo-data/soybean-third-day.toml").expect("a sheet");
    let demo = demo.to_str().expect("a name");
    let (status, sheet, notes) = run(&["convert", demo, "--units", "metric"], folder.path());
    assert_eq!(status, Some(0));
    assert!(sheet.contains("alley = \"76.2 cm\""), "{sheet}");
    assert!(notes.contains("trial.alley: 30 in -> 76.2 cm (exact)"), "{notes}");
    std::fs::write(folder.path().join("there.toml"), "old").expect("a file");
    let over = ["convert", demo, "--units", "metric", "--to", "there.toml"];
    let (status, _, complaint) = run(&over, folder.path());
    assert_eq!(status, Some(2));
    assert!(complaint.contains("is there already"), "{complaint}");
    let csv = ["convert", demo, "--units", "metric", "--to", "new.toml", "--format", "csv"];
    let (_, table, _) = run(&csv, folder.path());
    assert!(table.starts_with("line,key,old,new,rounding_error,unit\n"), "{table}");
    let json = ["convert", demo, "--units", "metric", "--to", "newer.toml", "--format", "json"];
    let notes: Json = serde_json::from_str(&run(&json, folder.path()).1).expect("JSON");
    assert_eq!(notes[0]["new"], "76.2 cm");
}

#[test]
fn a_shared_planter_is_turned_by_itself() {
    let folder = tempfile::tempdir().expect("a folder");
    for name in ["four-row.toml", "north.toml"] {
        let demo = Path::new("demo-data/one-planter").join(name);
        std::fs::copy(demo, folder.path().join(name)).expect("a copy");
    }
    let planter = ["convert", "four-row.toml", "--units", "metric", "--to", "metric.toml"];
    assert_eq!(run(&planter, folder.path()).0, Some(0));
    let text = std::fs::read_to_string(folder.path().join("metric.toml")).expect("a file");
    assert!(text.contains("row-spacing = \"76.2 cm\""), "{text}");
    let sheet = ["convert", "north.toml", "--units", "metric", "--to", "new.toml"];
    let (status, page, _) = run(&sheet, folder.path());
    assert_eq!(status, Some(0));
    assert!(page.replace('\n', " ").contains("four-row.toml stays as it is"), "{page}");
    assert_eq!(run(&["spacing", "new.toml"], folder.path()).0, Some(0));
}
