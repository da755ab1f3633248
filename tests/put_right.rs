//! Runs dropped and measured again, a new speed with its setback, first timers, readings left out of a
//! change: each with a line of history, each taken back where it can be.

#![allow(clippy::expect_used, clippy::panic)] // helpers of tests

mod common;
use common::{Report, Written, assert_near, program};

use std::process::Output;

use alleytrue::record;
use alleytrue::sheet::writing::KINDS;
use alleytrue::sheet::{FieldSheet, Source};

/// A command with the sheet behind its name.
fn run(written: &Written, command: &str, more: &[&str]) -> Output {
    program().arg(command).arg(written.path()).args(more).output().expect("the program runs")
}

#[track_caller]
fn done(written: &Written, command: &str, more: &[&str]) -> String {
    let output = run(written, command, more);
    assert!(output.status.success(), "{command}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("UTF-8")
}

#[track_caller]
fn refused(written: &Written, command: &str, more: &[&str]) -> String {
    let before = written.text();
    let output = run(written, command, more);
    assert_eq!(output.status.code(), Some(2), "{command} {more:?}");
    assert_eq!(written.text(), before, "nothing is written");
    let words = String::from_utf8(output.stderr).expect("UTF-8");
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn read(text: &str) -> FieldSheet {
    FieldSheet::read(&Source::new("s.toml", text)).unwrap_or_else(|all| panic!("{all:#?}\n{text}"))
}

const LEADS: &str = "bare-length = \"in\"\n[planter.controller]\n\
                     pass-offset = { raising-moves-alley = \"back\", step = 0.5 }\n\
                     [trial]\nalley = 30\ntolerance = { passes = 1 }\n\
                     [settings]\npass-offset = 6\n\n\
                     [[pass-run]]\ndate = 2027-04-18\nlead = [4, 4.5, 3.5, 4]\n\n\
                     [[pass-run]]\ndate = 2027-04-18\nlead = [14, 14.5, 13.5, 14]\n";

fn mean_lead(written: &Written) -> f64 {
    Report::read(done(written, "calibrate", &["--format", "json"]).as_bytes())
        .number("passes", "mean lead")
}

/// What `record` may drop is every kind of run there is.
#[test]
fn every_kind_of_run_goes_by_its_name_in_the_history() {
    let mut kinds: Vec<&str> = KINDS.iter().map(|kind| kind.table).collect();
    let mut runs: Vec<&str> = record::runs().collect();
    kinds.sort_unstable();
    runs.sort_unstable();
    assert_eq!(kinds, runs);
}

#[test]
fn a_dropped_run_stays_and_does_not_count_and_is_taken_back() {
    let written = Written::new(LEADS);
    let page = done(&written, "record", &["pass", "--drop", "2", "--reason", "tape had slipped"]);
    assert!(page.contains("dropped = \"tape had slipped\""), "{page}");
    assert_near(mean_lead(&written), 4.0, 1e-12);
    let text = written.text();
    assert!(text.contains("lead = [14, 14.5, 13.5, 14]"), "{text}");
    assert!(
        text.contains("setting = \"pass-run-2\"\nfrom = \"counted\"\nto = \"dropped\""),
        "{text}"
    );
    // Who dropped it knows of it, and nothing else waits for it.
    assert!(read(&text).remarks.is_empty());
    done(&written, "apply", &["--date", "2027-05-01", "--dry-run"]);
    let words = refused(&written, "record", &["pass", "--drop", "2"]);
    assert!(words.contains("[[pass-run]] 2 is dropped already"), "{words}");
    let words = refused(&written, "record", &["pass", "--drop", "3"]);
    assert!(words.contains("no [[pass-run]] 3: it has 2"), "{words}");
    refused(&written, "record", &["pass", "--drop", "1", "4", "4.5"]);
    refused(&written, "record", &["pass", "--reason", "none", "4", "4.5"]);
    let history = done(&written, "history", &[]);
    assert!(history.contains("pass run 2") && history.contains("tape had slipped"), "{history}");
    done(&written, "apply", &["--undo", "--date", "2027-05-01"]);
    assert!(!written.text().contains("dropped ="), "{}", written.text());
    assert_eq!(
        read(&written.text()).record.runs.iter().filter(|run| run.aside.is_some()).count(),
        0
    );
}

#[test]
fn with_all_runs_dropped_nothing_was_ever_measured() {
    let written = Written::new(LEADS);
    done(&written, "record", &["pass", "--drop", "1"]);
    done(&written, "record", &["pass", "--drop", "2"]);
    let output = run(&written, "check", &[]);
    let page = String::from_utf8(output.stdout).expect("UTF-8");
    assert_eq!(output.status.code(), Some(1));
    assert!(page.contains("never measured: no [[pass-run]]"), "{page}");
}

#[test]
fn a_run_measured_again_takes_the_place_of_the_first() {
    let written = Written::new(LEADS);
    let again = ["pass", "--date", "2027-04-19", "--replace", "2", "5", "5.5", "4.5", "5"];
    done(&written, "record", &again);
    let text = written.text();
    assert!(text.contains("dropped = \"measured again: [[pass-run]] 3\""), "{text}");
    assert_near(mean_lead(&written), 4.5, 1e-12); // (4 + 4.5 + 3.5 + 4 + 5 + 5.5 + 4.5 + 5) / 8
    refused(&written, "record", &["pass", "--date", "2027-04-19", "--replace", "9", "5", "5.5"]);
}

/// The reading that stands apart is left out of the change, and the history says so.
#[test]
fn readings_left_out_of_a_change_are_in_its_history() {
    let one_far = LEADS.replace("[14, 14.5, 13.5, 14]", "[4, 4.5, 30, 3.5]");
    let written = Written::new(&one_far);
    done(&written, "apply", &["--date", "2027-05-01", "--without", "passes:7"]);
    let text = written.text();
    // Leads of 4 on average: 2 in of shift, so 8 in.
    assert!(text.contains("pass-offset = 8"), "{text}");
    assert!(text.contains("; without passes:7\""), "{text}");
    let words = refused(&written, "apply", &["--date", "2027-05-01", "--without", "passes:70"]);
    assert!(words.contains("there is no reading 70"), "{words}");
}

/// What a calculation warned of is said where its result is written: alleys of one heading can't tell
/// planter from marks.
#[test]
fn a_change_is_written_with_the_warnings_it_had() {
    let written = Written::new(
        "bare-length = \"in\"\n[planter.controller]\n\
         setback = { raising-moves-alley = \"back\", step = 0.5 }\n[trial]\nalley = 30\n\
         tolerance = { centre = 1, width = 2 }\n[settings]\nsetback = 15\n[[alley-run]]\n\
         date = 2027-04-18\nheading = \"out\"\nlast-seed-to-mark = [12, 12.25, 11.75, 12]\n\
         mark-to-first-seed = [18, 17.75, 18.25, 18]\n",
    );
    let page = done(&written, "apply", &["--date", "2027-05-01"]);
    assert!(page.contains("  - all alleys were measured on one heading"), "{page}");
    assert!(page.contains("[one-heading]"), "{page}");
    // A value of the crew's own comes from no calculation.
    let own = ["--date", "2027-05-01", "--setting", "setback=17"];
    assert!(!done(&written, "apply", &own).contains("[one-heading]"));
}

/// Latency 2 in a mph: alleys lie 4 in ahead at 2 mph and 8 in at 4 mph with a setback of 15 in that
/// moves them back, so 21 in are right at 3 mph.
#[test]
fn another_speed_comes_with_its_setback_and_goes_with_it() {
    let alleys = |speed: &str, ahead: f64| {
        let list = |middle: f64, by: f64| {
            [0.0, by, -by, 0.0, by, -by].map(|off| (middle + off).to_string()).join(", ")
        };
        format!(
            "[[alley-run]]\ndate = 2027-04-18\n{speed}last-seed-to-mark = [{}]\n\
             mark-to-first-seed = [{}]\n",
            list(15.0 - ahead, -0.25),
            list(15.0 + ahead, 0.25)
        )
    };
    let text = format!(
        "bare-length = \"in\"\n[planter.controller]\n\
         setback = {{ raising-moves-alley = \"back\", step = 0.5 }}\n[trial]\nalley = 30\n\
         speed = \"2 mph\"\ntolerance = {{ centre = 1 }}\n[settings]\nsetback = 15\n{}{}",
        alleys("", 4.0),
        alleys("speed = \"4 mph\"\n", 8.0)
    );
    let written = Written::new(&text);
    done(&written, "apply", &["--speed", "3 mph", "--date", "2027-05-01"]);
    let text = written.text();
    assert!(text.contains("speed = \"3 mph\"\ntolerance"), "{text}");
    assert!(text.contains("setback = 21\n"), "{text}");
    // The run that did not say so was driven at 2 mph.
    assert_eq!(text.matches("speed = \"2 mph\"\n").count(), 1, "{text}");
    assert_eq!(text.matches("with = { setback = 15 }").count(), 2, "{text}");
    let sheet = read(&text);
    assert_eq!(sheet.record.changes.len(), 2);
    assert!(
        sheet.record.changes.iter().all(|one| one
            .point
            .speed
            .as_ref()
            .is_some_and(|speed| { speed.to_string() == "3 mph" }))
    );
    // Nothing else before it is measured.
    let words = refused(&written, "apply", &["--speed", "3.5 mph", "--date", "2027-05-01"]);
    assert!(words.contains("has not been measured since"), "{words}");
    done(&written, "apply", &["--undo", "--date", "2027-05-01"]);
    let text = written.text();
    assert!(
        text.contains("setback = \"15 in\"\n") && text.contains("speed = \"2 mph\"\ntolerance"),
        "{text}"
    );
    // Beyond what was driven the scatter is still known, and the warning is shown.
    let page = done(&written, "apply", &["--speed", "5 mph", "--date", "2027-05-02"]);
    assert!(page.contains("[outside-speeds]"), "{page}");
    let words =
        refused(&Written::new(LEADS), "apply", &["--speed", "3 mph", "--date", "2027-05-02"]);
    assert!(words.contains("no alleys measured at two speeds"), "{words}");
    refused(&written, "apply", &["--speed", "300 mph"]);
}

#[test]
fn first_timers_are_put_into_the_sheet_together() {
    let text = include_str!("../demo-data/changeover-first-set-up.toml");
    for more in [vec![], vec!["--setting", "clean-out.for"]] {
        let written = Written::new(text);
        done(&written, "apply", &[&["--date", "2027-05-01"][..], &more].concat());
        let text = written.text();
        for lines in [
            "does = \"clean-out\"\nfor = \"1.55 s\"\nold-seed-gone",
            "does = \"boost\"\nafter = \"clean-out\"\nfrom = \"end\"\nwait = \"0.05 s\"\nfor = \"0 s\"\nrate",
            "does = \"sweep\"\nwait = \"1.45 s\"\nfor = \"0.4 s\"\ncells",
        ] {
            assert!(text.contains(lines), "{lines}: {text}");
        }
        assert_eq!(text.matches("from = \"not set\"").count(), 5, "{text}");
        let standing = read(&text).calibrate(None).expect("no drive to search");
        let next = standing.report.next.expect("a step").instruction;
        assert!(
            next.starts_with("not measured since: length of clean-out, changed on 2027-05-01"),
            "{next}"
        );
        let words = refused(&written, "apply", &["--undo", "--date", "2027-05-01"]);
        assert!(words.contains("set for the first time"), "{words}");
        done(&written, "apply", &["--setting", "clean-out.for=1.6 s", "--date", "2027-05-01"]);
    }
}
