//! A planter in a file of its own, shared by sheets: read like one in the sheet, written to whole or
//! not at all, and where its sheets disagree.

#![allow(clippy::expect_used, clippy::panic)] // helpers of tests

mod common;

use std::path::Path;
use std::process::Output;
use std::time::Duration;

use alleytrue::sheet::Source;
use common::program;
use tempfile::TempDir;

const NAMES: [&str; 3] = ["four-row.toml", "north.toml", "south.toml"];

/// The demo sheets of one planter in a folder of their own.
fn folder() -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for name in NAMES {
        let demo = Path::new("demo-data/one-planter").join(name);
        std::fs::write(folder.path().join(name), std::fs::read(demo).expect("a sheet"))
            .expect("a copy");
    }
    folder
}

fn ran(folder: &TempDir, arguments: &[&str]) -> Output {
    program().args(arguments).current_dir(folder.path()).output().expect("a run")
}

fn words(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).split_whitespace().collect::<Vec<_>>().join(" ")
}

fn text(folder: &TempDir, name: &str) -> String {
    std::fs::read_to_string(folder.path().join(name)).expect("a file")
}

#[test]
fn a_shared_planter_is_read_like_one_in_the_sheet() {
    let folder = folder();
    let sheet = text(&folder, "north.toml");
    let inside =
        sheet.replace("planter = \"four-row.toml\"\n", "") + &text(&folder, "four-row.toml");
    std::fs::write(folder.path().join("inside.toml"), inside).expect("a sheet");
    for command in [&["calibrate", "--brief"][..], &["spacing"], &["plan"], &["print", "report"]] {
        let of = |name: &str| {
            let output = ran(&folder, &[command, &[name]].concat());
            assert!(output.status.success(), "{}", words(&output.stderr));
            // The sums are others, and the name of the file.
            let page = words(&output.stdout).replace(name, "SHEET");
            let page = page.split(' ').filter(|word| word.len() < 60).collect::<Vec<_>>().join(" ");
            page.replace(" SHA-256: of four-row.toml", "")
        };
        assert_eq!(of("north.toml"), of("inside.toml"), "{command:?}");
    }
}

#[test]
fn bare_lengths_of_a_planter_are_in_its_own_unit() {
    let folder = folder();
    let file = text(&folder, "four-row.toml").replace("\"30 in\"", "76.2");
    std::fs::write(folder.path().join("four-row.toml"), &file).expect("a file");
    let refused = ran(&folder, &["spacing", "north.toml"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(words(&refused.stderr).contains("four-row.toml:7:15"), "{}", words(&refused.stderr));
    let file = format!("\u{feff}bare-length = \"cm\"\n{file}");
    std::fs::write(folder.path().join("four-row.toml"), file).expect("a file");
    // 76.2 cm are 30 in, so the target is 6272640 / (30 x 130000) = 1.60837 in.
    let page = words(&ran(&folder, &["spacing", "north.toml"]).stdout);
    assert!(page.contains("= 1.60837 in"), "{page}");
}

#[test]
fn what_is_the_planters_is_written_to_its_file_and_told_in_the_sheet() {
    let folder = folder();
    let before = NAMES.map(|name| text(&folder, name));
    let output = ran(&folder, &["apply", "north.toml"]);
    let page = words(&output.stdout);
    assert!(output.status.success(), "{}", words(&output.stderr));
    assert!(page.contains("wrote four-row.toml too, which south.toml names as well"), "{page}");
    // 24 x 40 / (18 x 81.5) seeds an inch are 5 % too many: 18 x 136825 / 130000 = 18.9, so 19 teeth.
    let file = before[0].replace("driven = { fitted = 18", "driven = { fitted = 19");
    assert_eq!(text(&folder, "four-row.toml"), file);
    let sheet = text(&folder, "north.toml");
    assert!(sheet.starts_with(before[1].trim_end()), "all that was there is there");
    assert!(sheet.contains("[[history]]") && sheet.contains("to = 19"), "{sheet}");
    assert_eq!(text(&folder, "south.toml"), before[2]);
    let undone = ran(&folder, &["apply", "north.toml", "--undo"]);
    assert!(undone.status.success(), "{}", words(&undone.stderr));
    assert_eq!(text(&folder, "four-row.toml"), before[0]);
    let turned = ran(&folder, &["apply", "north.toml", "--turn", "setback"]);
    assert!(turned.status.success(), "{}", words(&turned.stderr));
    assert!(text(&folder, "four-row.toml").contains("raising-moves-alley = \"ahead\""));
}

#[test]
fn a_setting_of_the_sheet_leaves_the_planter_alone() {
    let folder = folder();
    let before = text(&folder, "four-row.toml");
    let set = ["apply", "north.toml", "--setting", "setback=18 in"];
    let output = ran(&folder, &set);
    assert!(output.status.success(), "{}", words(&output.stderr));
    assert_eq!(text(&folder, "four-row.toml"), before);
    let record = ["record", "north.toml", "alley", "--heading", "out", "15/15", "15.5/14.5"];
    let output = ran(&folder, &record);
    assert!(output.status.success(), "{}", words(&output.stderr));
    // What was fitted is noted in the run.
    assert!(text(&folder, "north.toml").contains("planter = \"four-row\""));
    assert_eq!(text(&folder, "four-row.toml"), before);
}

#[cfg(unix)]
#[test]
fn both_files_change_or_neither() {
    use std::os::unix::fs::PermissionsExt;
    let folder = folder();
    let before = NAMES.map(|name| text(&folder, name));
    let file = folder.path().join("four-row.toml");
    let protect = |mode| {
        std::fs::set_permissions(&file, std::fs::Permissions::from_mode(mode)).expect("rights");
    };
    protect(0o444);
    let refused = ran(&folder, &["apply", "north.toml"]);
    let complaint = words(&refused.stderr);
    assert_eq!(refused.status.code(), Some(2), "{complaint}");
    assert!(complaint.contains("four-row.toml: the file is write-protected"), "{complaint}");
    assert_eq!(NAMES.map(|name| text(&folder, name)), before);
    protect(0o644);
    std::fs::hard_link(&file, folder.path().join("other-name")).expect("a link");
    assert_eq!(ran(&folder, &["apply", "north.toml"]).status.code(), Some(2));
    assert_eq!(NAMES.map(|name| text(&folder, name)), before);
    let left: Vec<_> = std::fs::read_dir(folder.path()).expect("a folder").collect();
    assert_eq!(left.len(), 4, "nothing is left beside: {left:?}");
}

/// However a run is killed, the planter never changes without a line of history; where only the
/// history says so, every later run remarks on it.
#[cfg(unix)]
#[test]
fn a_killed_run_never_changes_the_planter_without_a_word() {
    let old =
        NAMES.map(|name| std::fs::read_to_string(Path::new("demo-data/one-planter").join(name)));
    let old = old.map(|text| text.expect("a file"));
    let kills = std::env::var("KILLS").ok().and_then(|kills| kills.parse().ok()).unwrap_or(40);
    for round in 0..kills {
        let folder = folder();
        let mut run = program();
        run.args(["apply", "north.toml"]).current_dir(folder.path());
        run.stdout(std::process::Stdio::null()).stderr(std::process::Stdio::null());
        let mut child = run.spawn().expect("a run");
        std::thread::sleep(Duration::from_micros(round * 1500 % 60_000));
        let _ = child.kill();
        let _ = child.wait();
        let changed = |place: usize| text(&folder, NAMES[place]) != old[place];
        match (changed(1), changed(0)) {
            (false, true) => panic!("the planter changed, and the sheet does not say so"),
            (true, false) => {
                let page = words(&ran(&folder, &["calibrate", "north.toml"]).stdout);
                assert!(page.contains("[edited-by-hand]"), "{page}");
            }
            (true, true) | (false, false) => {}
        }
    }
}

#[test]
fn a_history_that_the_planter_does_not_follow_is_remarked_on() {
    let folder = folder();
    let before = text(&folder, "four-row.toml");
    assert!(ran(&folder, &["apply", "north.toml"]).status.success());
    std::fs::write(folder.path().join("four-row.toml"), before).expect("a file");
    let page = words(&ran(&folder, &["calibrate", "north.toml"]).stdout);
    assert!(page.contains("[edited-by-hand]"), "{page}");
}

#[test]
fn sheets_of_one_planter_are_held_against_each_other() {
    let folder = folder();
    let both = ["check", "north.toml", "south.toml"];
    let page = words(&ran(&folder, &both).stdout);
    assert!(
        page.contains("settings.setback: \"17.5 in\" in north.toml, \"15 in\" in south.toml"),
        "{page}"
    );
    let json = ran(&folder, &[&both[..], &["--format", "json"]].concat());
    let all: serde_json::Value = serde_json::from_slice(&json.stdout).expect("JSON");
    assert_eq!(all[2]["disagree"][0]["key"], "settings.setback");
    assert_eq!(all[2]["disagree"][0]["values"][1]["value"], "\"15 in\"");
    let csv = ran(&folder, &[&both[..], &["--format", "csv"]].concat());
    let csv = String::from_utf8(csv.stdout).expect("text");
    for sheet in ["north.toml", "south.toml"] {
        let line = csv.lines().find(|line| line.starts_with(&format!("{sheet},settings.setback,")));
        let line = line.unwrap_or_else(|| panic!("no line of {sheet}: {csv}"));
        assert!(line.contains(",no,") && line.contains("15 in"), "{line}");
    }
    let south =
        text(&folder, "south.toml").replace("setback = \"15 in\"", "setback = \"1 ft 5.5 in\"");
    std::fs::write(folder.path().join("south.toml"), south).expect("a sheet");
    let page = words(&ran(&folder, &both).stdout);
    assert!(!page.contains("DISAGREE"), "17.5 in are 1 ft 5.5 in: {page}");
    // The same planter typed into another sheet, with another plate.
    let inside = text(&folder, "south.toml").replace("planter = \"four-row.toml\"\n", "")
        + &text(&folder, "four-row.toml").replace("cells = 40", "cells = 36");
    std::fs::write(folder.path().join("inside.toml"), inside).expect("a sheet");
    let output = ran(&folder, &["check", "north.toml", "inside.toml"]);
    let page = words(&output.stdout);
    assert!(page.contains("planter.plate.cells: 40 in north.toml, 36 in inside.toml"), "{page}");
    assert_eq!(output.status.code(), Some(1));
}

#[test]
fn the_planters_file_of_a_folder_is_no_sheet() {
    let folder = folder();
    let output = ran(&folder, &["batch", "."]);
    assert!(output.status.success(), "{}", words(&output.stderr));
    assert!(words(&output.stderr).contains("2 sheets: 2 done"), "{}", words(&output.stderr));
    assert!(Source::open(&folder.path().join("four-row.toml")).expect("a file").is_planter_file());
    assert!(!Source::open(&folder.path().join("north.toml")).expect("a file").is_planter_file());
}

#[test]
fn a_new_sheet_in_another_folder_has_the_planter_in_it() {
    let folder = folder();
    std::fs::create_dir(folder.path().join("below")).expect("a folder");
    for (name, inside) in [("beside.toml", false), ("below/new.toml", true)] {
        let output = ran(&folder, &["new", name, "--from", "north.toml"]);
        assert!(output.status.success(), "{}", words(&output.stderr));
        let sheet = text(&folder, name);
        assert_eq!(sheet.contains("[[planter.drive]]"), inside, "{sheet}");
        assert_eq!(sheet.contains("planter = \"four-row.toml\""), !inside, "{sheet}");
        assert!(ran(&folder, &["spacing", name]).status.success());
    }
}

#[cfg(unix)]
#[test]
fn a_link_does_not_lead_out_of_the_folder() {
    let folder = folder();
    let elsewhere = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("four-row.toml");
    let other = elsewhere.path().join("planter.toml");
    std::fs::rename(&file, &other).expect("moved");
    std::os::unix::fs::symlink(&other, &file).expect("a link");
    let refused = ran(&folder, &["spacing", "north.toml"]);
    assert_eq!(refused.status.code(), Some(2));
    let complaint = words(&refused.stderr);
    assert!(complaint.contains("is a link out of the folder"), "{complaint}");
}
