//! How a run ends where nobody reads its output, where nobody reads its mistakes, and where the
//! disk is full: with the status of its work, without a panic, and never by losing what it wrote.

#![cfg(unix)]
#![allow(clippy::expect_used, clippy::panic)] // helpers of tests

mod common;

use std::fs::File;
use std::path::Path;
use std::process::{Output, Stdio};

use alleytrue::sheet::starter;

/// A folder with a good sheet, a bad one, and one page of a season.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let write = |name: &str, text: &str| {
        std::fs::write(folder.path().join(name), text).expect("a file");
    };
    write("good.toml", starter::US);
    write("bad.toml", "[trial]\naley = \"30 in\"\n");
    std::fs::create_dir(folder.path().join("season")).expect("a folder");
    std::fs::create_dir(folder.path().join("pages")).expect("a folder");
    for name in ["a", "b", "c"] {
        write(&format!("season/{name}.toml"), starter::US);
    }
    folder
}

/// The write end of a pipe that nobody reads any more.
fn unread() -> Stdio {
    let (reader, writer) = std::io::pipe().expect("a pipe");
    drop(reader);
    writer.into()
}

fn full() -> Stdio {
    File::options().write(true).open("/dev/full").expect("a full device").into()
}

fn run(folder: &Path, arguments: &[&str], out: Stdio, error: Stdio) -> Output {
    let mut command = common::program();
    command.current_dir(folder).args(arguments).env("LC_ALL", "C.UTF-8");
    let child = command.stdin(Stdio::null()).stdout(out).stderr(error).spawn();
    child.expect("the program starts").wait_with_output().expect("its end")
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// What only prints, with the status of its work.
const PRINTING: [(&[&str], i32); 21] = [
    (&["calibrate", "good.toml"], 0),
    (&["calibrate", "good.toml", "--format", "json"], 0),
    (&["calibrate", "good.toml", "good.toml", "--format", "csv"], 0),
    (&["calibrate", "bad.toml", "good.toml"], 2),
    (&["calibrate", "bad.toml", "good.toml", "--format", "json"], 2),
    (&["trip", "good.toml"], 0),
    (&["spacing", "good.toml", "--chart"], 0),
    (&["check", "good.toml"], 1),
    (&["check", "good.toml", "--format", "csv"], 1),
    (&["history", "good.toml"], 0),
    (&["plan", "good.toml"], 0),
    (&["print", "all", "good.toml"], 0),
    (&["batch", "season"], 0),
    (&["batch", "season", "bad.toml", "--format", "jsonl"], 2),
    (&["explain"], 0),
    (&["schema"], 0),
    (&["man"], 0),
    (&["completions", "bash"], 0),
    (&["--help"], 0),
    (&["--version"], 0),
    (&["apply", "good.toml", "--dry-run"], 0),
];

/// What only complains.
const WRONG: [&[&str]; 6] = [
    &["calibrate", "bad.toml"],
    &["calibrate", "gone.toml"],
    &["record", "good.toml", "pass", "a bit"],
    &["new", "good.toml"],
    &["explain", "no-such-word"],
    &["calibrate", "--no-such-option"],
];

#[test]
fn the_status_does_not_depend_on_who_reads() {
    let folder = folder();
    for (arguments, code) in PRINTING {
        let all = run(folder.path(), arguments, Stdio::piped(), Stdio::piped());
        assert_eq!(all.status.code(), Some(code), "{arguments:?}: {}", said(&all));
        assert!(!all.stdout.is_empty(), "{arguments:?}");
        let closed = run(folder.path(), arguments, unread(), Stdio::piped());
        assert_eq!(closed.status.code(), Some(code), "{arguments:?}: {}", said(&closed));
        assert_eq!(said(&closed), said(&all), "{arguments:?}");
        for (out, error) in
            [(Stdio::piped(), unread()), (Stdio::piped(), full()), (unread(), full())]
        {
            let output = run(folder.path(), arguments, out, error);
            assert_eq!(output.status.code(), Some(code), "{arguments:?}");
            assert!(output.stdout == all.stdout || output.stdout.is_empty(), "{arguments:?}");
        }
    }
    for arguments in WRONG {
        for error in [Stdio::piped(), unread(), full()] {
            let output = run(folder.path(), arguments, Stdio::piped(), error);
            assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        }
    }
}

#[test]
fn results_that_have_no_room_are_a_failure() {
    let folder = folder();
    for (arguments, _) in PRINTING {
        let output = run(folder.path(), arguments, full(), Stdio::piped());
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let words = said(&output);
        assert!(words.contains("the results could not be printed"), "{arguments:?}: {words}");
        assert_eq!(words.matches("could not be printed").count(), 1, "{arguments:?}: {words}");
        let output = run(folder.path(), arguments, full(), full());
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
    }
}

/// What writes files: they are written before anything is said of it.
#[test]
fn what_is_written_is_written_though_nobody_could_be_told() {
    let record = ["record", "good.toml", "pass", "5", "--date", "2027-04-19"];
    let apply = ["apply", "good.toml", "--date", "2027-04-19"];
    let cases: [(&[&str], &str, &str); 6] = [
        (&record, "good.toml", "the run is recorded in good.toml"),
        (&apply, "good.toml", "the change is in good.toml"),
        (&["new", "fresh.toml"], "fresh.toml", "fresh.toml is written"),
        (&["new", "fresh.toml", "--schema"], "fresh.toml", "fresh.toml is written"),
        (&["print", "all", "good.toml", "-o", "all.html"], "all.html", "all.html is written"),
        (&["man", "pages"], "pages/alleytrue.1", "pages into pages"),
    ];
    for (arguments, file, words) in cases {
        let told = folder();
        let output = run(told.path(), arguments, Stdio::piped(), Stdio::piped());
        assert_eq!(output.status.code(), Some(0), "{arguments:?}: {}", said(&output));
        let wanted = std::fs::read(told.path().join(file)).expect("the file");
        for out in [unread(), full()] {
            for error in [Stdio::piped(), unread(), full()] {
                let folder = folder();
                let output = run(folder.path(), arguments, Stdio::null(), error);
                assert_eq!(output.status.code(), Some(0), "{arguments:?}");
                assert_eq!(std::fs::read(folder.path().join(file)).expect("the file"), wanted);
            }
            let folder = folder();
            let output = run(folder.path(), arguments, out, Stdio::piped());
            assert_eq!(output.status.code(), Some(0), "{arguments:?}: {}", said(&output));
            assert_eq!(std::fs::read(folder.path().join(file)).expect("the file"), wanted);
        }
        let folder = folder();
        let output = run(folder.path(), arguments, full(), Stdio::piped());
        let note = said(&output);
        assert!(note.starts_with("note: ") && note.contains(words), "{arguments:?}: {note}");
        assert!(note.contains("only printing it failed"), "{arguments:?}: {note}");
    }
}

/// A reader who leaves early: the rest of the work is done all the same.
#[test]
fn a_season_is_worked_to_its_end_for_its_status() {
    use std::io::{BufRead, BufReader};
    let folder = folder();
    let sheets: Vec<String> = (0..300).map(|_| "season/a.toml".to_owned()).collect();
    let mut command = common::program();
    command.current_dir(folder.path()).arg("batch").args(&sheets).arg("bad.toml");
    let child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn();
    let mut child = child.expect("the program starts");
    let mut line = String::new();
    let out = child.stdout.take().expect("a pipe");
    BufReader::with_capacity(16, out).read_line(&mut line).expect("a line");
    let output = child.wait_with_output().expect("its end");
    assert_eq!(output.status.code(), Some(2));
    let words = said(&output);
    assert!(words.ends_with("301 sheets: 300 done, 1 could not be used\n"), "{words}");
}
