//! Sheets begun from others: what stays, what goes, what is to be looked at again.

#![allow(clippy::expect_used, clippy::panic)] // helpers of tests

mod common;

use std::path::{Path, PathBuf};

use common::program;
use tempfile::TempDir;

/// A folder with a copy of a demo sheet.
fn folder(demo: &str) -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let old = folder.path().join("old sheet.toml");
    std::fs::copy(Path::new("demo-data").join(demo), &old).expect("a copy");
    (folder, old)
}

/// What the program says, without line breaks, its status, and what it complains of.
fn said(folder: &Path, arguments: &[&str]) -> (Option<i32>, String, String) {
    let output = program().args(arguments).current_dir(folder).output().expect("a run");
    let words = |bytes: &[u8]| {
        let text = String::from_utf8_lossy(bytes).into_owned();
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    (output.status.code(), words(&output.stdout), words(&output.stderr))
}

fn text(path: &Path) -> String {
    std::fs::read_to_string(path).expect("a file")
}

#[test]
fn another_season_keeps_the_machine_and_leaves_what_was_measured() {
    let (folder, old) = folder("soybean-third-day.toml");
    let before = text(&old);
    let new = ["new", "north 28.toml", "--from", "old sheet.toml", "--date", "2028-04-02"];
    let (status, page, complaint) = said(folder.path(), &new);
    assert_eq!(status, Some(0), "{complaint}");
    let sheet = text(&folder.path().join("north 28.toml"));
    for kept in [
        "# Begun from old sheet.toml on 2028-04-02.",
        "title = \"north 28\"",
        "serial = \"0417\"",
        "trip-scale = { counts = \"per length\", step = 0.01, called = \"line 3\" }",
        "[trial.tolerance]",
        "trip-scale = 352.30",
        "tapes = [\"steel, 100 ft, no. 4\"]",
    ] {
        assert!(sheet.contains(kept), "{kept}");
    }
    for gone in ["-run]]", "[[history]]", "27-014", "field 12", "J. D."] {
        assert!(!sheet.contains(gone), "{gone}");
    }
    assert!(page.contains("Left out: 1 speed-run, 2 trip-runs, 4 alley-runs, 2 changes"), "{page}");
    assert!(page.contains("[settings] trip-scale 352.30, held since 2027-04-19"), "{page}");
    assert!(page.ends_with("then run: alleytrue plan \"north 28.toml\""), "{page}");
    assert_eq!(text(&old), before);
    let again = said(folder.path(), &new);
    assert_eq!(again.0, Some(2));
    assert!(again.2.contains("is there already"), "{}", again.2);
}

#[test]
fn another_trial_of_the_week_keeps_the_calibrations_that_hold() {
    let (folder, _) = folder("soybean-third-day.toml");
    let (status, page, _) = said(folder.path(), &["new", "like.toml", "--like", "old sheet.toml"]);
    assert_eq!(status, Some(0));
    assert!(page.contains("the setback: holds until 2027-05-21"), "{page}");
    let (status, checked, _) = said(folder.path(), &["check", "like.toml"]);
    assert_eq!(status, Some(0), "every calibration holds: {checked}");
    assert!(!text(&folder.path().join("like.toml")).contains("[[history]]"));
    // By the end of May everything is too old (30 days after 2027-04-21 is 2027-05-21), so nothing
    // that was measured stays.
    let late = ["new", "late.toml", "--like", "old sheet.toml", "--date", "2027-05-31"];
    assert_eq!(said(folder.path(), &late).0, Some(0));
    assert!(!text(&folder.path().join("late.toml")).contains("-run]]"));
}

#[test]
fn every_demo_sheet_begins_another() {
    for entry in std::fs::read_dir("demo-data").expect("demo-data") {
        let path = entry.expect("an entry").path();
        if path.extension().is_none_or(|extension| extension != "toml") {
            continue;
        }
        let name = path.file_name().and_then(|name| name.to_str()).expect("a name");
        for how in ["--from", "--like"] {
            let (folder, old) = folder(name);
            let new = ["new", "new.toml", how, "old sheet.toml", "--title", "Anew"];
            let (status, _, complaint) = said(folder.path(), &new);
            assert_eq!(status, Some(0), "{name} {how}: {complaint}");
            let sheet = text(&folder.path().join("new.toml"));
            let ends = |text: &str| text.contains("\r\n");
            assert_eq!(ends(&sheet), ends(&text(&old)), "{name}: line ends");
            let (status, _, complaint) = said(folder.path(), &["history", "new.toml"]);
            assert_eq!(status, Some(0), "{name} {how}: {complaint}");
            let held = |text: &str| -> Vec<String> {
                let lines = text.lines().map(str::trim);
                let table = lines.skip_while(|line| !line.starts_with("[settings]")).skip(1);
                table.take_while(|line| !line.is_empty()).map(str::to_owned).collect()
            };
            assert_eq!(held(&sheet), held(&text(&old)), "{name}: settings");
        }
    }
}

#[test]
fn a_sheet_with_mistakes_begins_none() {
    let (folder, old) = folder("soybean-third-day.toml");
    std::fs::write(&old, "[trial]\naley = \"30 in\"\n").expect("a sheet");
    for how in ["--from", "--like"] {
        let (status, _, complaint) =
            said(folder.path(), &["new", "new.toml", how, "old sheet.toml"]);
        assert_eq!(status, Some(2));
        assert!(complaint.contains("error[unknown-key]"), "{complaint}");
        assert!(!folder.path().join("new.toml").exists());
    }
    let both = ["new", "new.toml", "--from", "old sheet.toml", "--like", "old sheet.toml"];
    assert_eq!(said(folder.path(), &both).0, Some(2));
}
