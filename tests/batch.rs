//! `batch` and `--set`: order, bad sheets, lists, broken pipes.

#![allow(clippy::expect_used, clippy::panic)] // helpers of tests

mod common;

use std::io::{BufRead, BufReader, Read, Write};
use std::path::Path;
use std::process::{Command, Output, Stdio};

use alleytrue::sheet::starter;

fn program(folder: &Path) -> Command {
    let mut command = common::program();
    command.current_dir(folder).env("NO_COLOR", "1").env("LC_ALL", "C.UTF-8");
    command
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    program(folder).args(arguments).output().expect("the program runs")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8").replace("\r\n", "\n")
}

/// A folder of `count` starter sheets, named by their number, with that number as title.
fn season(count: usize) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for index in 0..count {
        let sheet = starter::US.replacen("My trial", &format!("trial {index}"), 1);
        std::fs::write(folder.path().join(format!("{index:04}.toml")), sheet).expect("a sheet");
    }
    folder
}

/// The rows of a CSV as maps from head to cell.
fn rows(csv: &[u8]) -> Vec<std::collections::BTreeMap<String, String>> {
    csv::Reader::from_reader(csv).deserialize().map(|row| row.expect("a row")).collect()
}

#[test]
fn rows_come_in_path_order_and_say_what_calibrate_says() {
    let folder = season(60);
    let output = run(folder.path(), &["batch", ".", "--jobs", "7"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert_eq!(text(&output.stderr), "60 sheets: 60 done, 0 could not be used\n");
    let rows = rows(&output.stdout);
    let mut titles: Vec<&str> = rows.iter().map(|row| row["title"].as_str()).collect();
    titles.dedup();
    let wanted: Vec<String> = (0..60).map(|index| format!("trial {index}")).collect();
    assert_eq!(titles, wanted);
    let alone = run(folder.path(), &["calibrate", "--format", "json", "0000.toml"]);
    let alone: serde_json::Value = serde_json::from_slice(&alone.stdout).expect("JSON");
    let results = alone["results"].as_array().expect("results");
    let settings: Vec<_> =
        results.iter().flat_map(|one| one["settings"].as_array()).flatten().collect();
    let own: Vec<_> = rows.iter().filter(|row| row["title"] == "trial 0").collect();
    assert_eq!(own.len(), settings.len());
    for (row, setting) in own.iter().zip(settings) {
        for column in ["now", "set", "exact"] {
            assert_eq!(row[column].parse().ok(), setting[column].as_f64(), "{column} of {setting}");
        }
        for (column, key) in
            [("setting", "name"), ("unit", "unit"), ("verdict", "verdict"), ("reason", "reason")]
        {
            assert_eq!(Some(row[column].as_str()), setting[key].as_str());
        }
        let next = row["next"] == "1";
        let is_next = alone["next"]["setting"] == setting["name"];
        assert_eq!(next, is_next, "{setting}");
    }
}

#[test]
fn one_object_a_line_is_the_document_of_calibrate() {
    let folder = season(2);
    let output = run(folder.path(), &["batch", "--format", "jsonl", "0001.toml", "0000.toml"]);
    let lines: Vec<serde_json::Value> = text(&output.stdout)
        .lines()
        .map(|line| serde_json::from_str(line).expect("JSON"))
        .collect();
    let alone = run(folder.path(), &["calibrate", "--format", "json", "0001.toml", "0000.toml"]);
    let alone: Vec<serde_json::Value> = serde_json::from_slice(&alone.stdout).expect("JSON");
    assert_eq!(lines, alone);
}

#[test]
fn bad_sheets_do_not_stop_the_others() {
    let folder = season(3);
    std::fs::write(folder.path().join("0001.toml"), "[trial]\naley = \"30 in\"\nx = 1\n")
        .expect("sheet");
    let csv = run(folder.path(), &["batch", ".", "nowhere.toml"]);
    assert_eq!(csv.status.code(), Some(2));
    let said = text(&csv.stderr).replace(".\\", "./");
    let lines: Vec<&str> = said.lines().collect();
    assert_eq!(
        lines[0],
        "./0001.toml:2:1: error[unknown-key]: [trial] has no key `aley` (and 1 more mistake)"
    );
    assert!(lines[1].starts_with("nowhere.toml: error[not-readable]: "), "{said}");
    assert_eq!(lines[2], "4 sheets: 2 done, 2 could not be used");
    let titles: std::collections::BTreeSet<String> =
        rows(&csv.stdout).into_iter().map(|row| row["title"].clone()).collect();
    assert_eq!(titles.into_iter().collect::<Vec<_>>(), ["trial 0", "trial 2"]);
    let jsonl = run(folder.path(), &["batch", ".", "nowhere.toml", "--format", "jsonl"]);
    let kinds: Vec<bool> = text(&jsonl.stdout)
        .lines()
        .map(|line| serde_json::from_str::<serde_json::Value>(line).expect("JSON"))
        .map(|one| one["errors"].is_array())
        .collect();
    assert_eq!(kinds, [false, true, false, true]);
}

#[test]
fn no_sheet_at_all_is_said() {
    let folder = tempfile::tempdir().expect("a folder");
    let output = run(folder.path(), &["batch", "."]);
    assert_eq!((output.status.code(), text(&output.stdout).as_str()), (Some(2), ""));
    assert!(text(&output.stderr).starts_with("error: no sheet found in .\n"));
}

#[test]
fn a_list_comes_on_standard_input() {
    let folder = season(3);
    for (arguments, list) in [
        (vec!["batch", "-"], "0002.toml\n0000.toml\n"),
        (vec!["batch", "-0", "-"], "0002.toml\x000000.toml\x00"),
    ] {
        let mut child = program(folder.path())
            .args(arguments)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program runs");
        child.stdin.take().expect("a pipe").write_all(list.as_bytes()).expect("a list");
        let output = child.wait_with_output().expect("its end");
        let mut sheets: Vec<String> =
            rows(&output.stdout).into_iter().map(|row| row["sheet"].clone()).collect();
        sheets.dedup();
        assert_eq!(sheets, ["0002.toml", "0000.toml"]);
    }
}

#[test]
fn what_is_set_holds_for_every_sheet() {
    let folder = season(2);
    let set = ["batch", ".", "--set", "settings.setback=20 in", "--set", "trial.speed=2.9 mph"];
    let output = run(folder.path(), &set);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let rows = rows(&output.stdout);
    let setbacks: Vec<_> = rows.iter().filter(|row| row["key"] == "setback").collect();
    assert_eq!(setbacks.len(), 2);
    assert!(setbacks.iter().all(|row| row["now"] == "20"));
    let wrong = run(folder.path(), &["batch", ".", "--set", "trial.speed=3 ft"]);
    assert_eq!(wrong.status.code(), Some(2));
    let said = text(&wrong.stderr);
    assert!(said.contains("0000.toml: --set trial.speed=3 ft: error[other-unit]: "), "{said}");
    let json = run(
        folder.path(),
        &["calibrate", "0000.toml", "--format", "json", "--set", "trial.speed=3 ft"],
    );
    let json: serde_json::Value = serde_json::from_slice(&json.stdout).expect("JSON");
    let error = &json["errors"][0];
    assert!(error["line"].is_null() && error["column"].is_null(), "{error}");
    assert!(error["message"].as_str().is_some_and(|m| m.starts_with("--set trial.speed=3 ft: ")));
}

/// Whoever closes the pipe has seen enough: no error, and no message.
#[test]
fn a_closed_pipe_is_no_error() {
    let folder = season(400);
    for arguments in [
        vec!["batch", "."],
        vec!["batch", ".", "--format", "jsonl"],
        vec![
            "calibrate",
            "0000.toml",
            "0001.toml",
            "0002.toml",
            "0003.toml",
            "0004.toml",
            "0005.toml",
        ],
        vec!["schema"],
        vec!["explain"],
    ] {
        let mut child = program(folder.path())
            .args(&arguments)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program runs");
        let mut line = String::new();
        BufReader::with_capacity(16, child.stdout.take().expect("a pipe"))
            .read_line(&mut line)
            .expect("a line");
        assert_eq!(child.wait().expect("its end").code(), Some(0), "{arguments:?}");
        let mut said = String::new();
        child.stderr.take().expect("a pipe").read_to_string(&mut said).expect("UTF-8");
        assert!(!said.contains("error"), "{arguments:?}: {said}");
    }
}

/// Pipes and devices may keep a reader waiting for ever: they are named and not opened.
#[cfg(unix)]
#[test]
fn only_files_are_read() {
    let folder = season(3);
    let pipe = folder.path().join("0001.toml");
    std::fs::remove_file(&pipe).expect("a sheet");
    let made = Command::new("mkfifo").arg(&pipe).status().expect("mkfifo runs");
    assert!(made.success());
    std::os::unix::fs::symlink("/dev/zero", folder.path().join("9.toml")).expect("a link");
    let output = run(folder.path(), &["batch", ".", "/dev/zero"]);
    assert_eq!(output.status.code(), Some(2));
    let said = text(&output.stderr);
    for name in ["./0001.toml", "./9.toml", "/dev/zero"] {
        assert!(
            said.contains(&format!("{name}: error[not-readable]: it is no regular file")),
            "{said}"
        );
    }
    assert!(said.ends_with("5 sheets: 2 done, 3 could not be used\n"), "{said}");
}

#[cfg(unix)]
#[test]
fn a_list_without_end_ends_in_a_message() {
    let folder = season(1);
    let zeros = std::fs::File::open("/dev/zero").expect("zeros");
    let output = program(folder.path()).args(["batch", "0000.toml", "-"]).stdin(zeros).output();
    let output = output.expect("the program runs");
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("longer than any path"), "{}", text(&output.stderr));
    assert!(!rows(&output.stdout).is_empty());
}

#[test]
fn more_workers_than_there_are_threads_for_are_fewer() {
    let folder = season(20);
    let output = run(folder.path(), &["batch", ".", "--jobs", "1000000"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert_eq!(text(&output.stderr), "20 sheets: 20 done, 0 could not be used\n");
}

#[test]
fn a_sheet_with_its_schema_names_it_and_calibrates() {
    let folder = tempfile::tempdir().expect("a folder");
    let output = run(folder.path(), &["new", "my.toml", "--schema"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let sheet = std::fs::read_to_string(folder.path().join("my.toml")).expect("a sheet");
    let named =
        sheet.lines().next().and_then(|line| line.strip_prefix("#:schema ")).expect("a line");
    let schema = std::fs::read_to_string(folder.path().join(named)).expect("a schema");
    assert_eq!(schema, text(&run(folder.path(), &["schema"]).stdout));
    assert_eq!(run(folder.path(), &["calibrate", "my.toml"]).status.code(), Some(0));
}

#[test]
fn shells_and_manual_readers_are_served() {
    let folder = tempfile::tempdir().expect("a folder");
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let script = text(&run(folder.path(), &["completions", shell]).stdout);
        assert!(script.contains("setback-at") && script.contains("batch"), "{shell}");
    }
    assert!(text(&run(folder.path(), &["man"]).stdout).contains(".TH alleytrue 1"));
    assert_eq!(run(folder.path(), &["man", "."]).status.code(), Some(0));
    for page in ["alleytrue.1", "alleytrue-batch.1"] {
        let page = std::fs::read_to_string(folder.path().join(page)).expect("a page");
        assert!(page.contains(".SH OPTIONS"));
    }
    let nowhere = run(folder.path(), &["man", "nowhere"]);
    assert_eq!(nowhere.status.code(), Some(2));
    assert!(text(&nowhere.stderr).contains("help: "));
}
