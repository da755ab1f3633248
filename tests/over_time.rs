//! A sheet over several days: what a change did, what was never keyed in, a direction typed wrong or
//! not known, a change taken back, runs that disagree. Every expected number is worked out by hand
//! from the planter that is described beside it.

#![allow(clippy::expect_used, clippy::panic)] // helpers of tests

mod common;

use std::path::PathBuf;
use std::process::Output;

use serde_json::Value as Json;

/// A sheet on its way through the season.
struct Season {
    _folder: tempfile::TempDir,
    path: PathBuf,
}

impl Season {
    fn new(text: &str) -> Season {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("sheet.toml");
        std::fs::write(&path, text).expect("the sheet");
        Season { _folder: folder, path }
    }

    fn run(&self, command: &str, more: &[&str]) -> Output {
        let mut program = common::program();
        program.arg(command).arg(&self.path).args(more).env("LC_ALL", "C.UTF-8");
        program.output().expect("the program runs")
    }

    /// A command that must go well.
    #[track_caller]
    fn done(&self, command: &str, more: &[&str]) {
        let output = self.run(command, more);
        let words = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "{command} {more:?}: {words}");
    }

    /// A command that is refused, and why.
    #[track_caller]
    fn refused(&self, command: &str, more: &[&str]) -> String {
        let before = self.text();
        let output = self.run(command, more);
        assert_eq!(output.status.code(), Some(2), "{command} {more:?}");
        assert_eq!(self.text(), before, "nothing is written");
        let words = String::from_utf8(output.stderr).expect("text");
        words.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    fn text(&self) -> String {
        std::fs::read_to_string(&self.path).expect("the sheet")
    }

    fn report(&self) -> Json {
        let output = self.run("calibrate", &["--format", "json"]);
        serde_json::from_slice(&output.stdout).expect("JSON")
    }

    /// Alleys of both headings that lie so far ahead of their marks in their own travel: an alley of
    /// 30 in, last seeds and first seeds a quarter inch this way and that.
    #[track_caller]
    fn alleys(&self, day: &str, out: f64, home: f64) {
        for (heading, ahead) in [("out", out), ("home", home)] {
            let around = |middle: f64, by: f64| {
                [0.0, by, -by, 0.0, by, -by].map(|off| (middle + off).to_string()).to_vec()
            };
            let (last, first) = (around(15.0 - ahead, -0.25), around(15.0 + ahead, 0.25));
            let mut words = vec!["alley", "--date", day, "--heading", heading];
            words.push("--last-seed-to-mark");
            words.extend(last.iter().map(String::as_str));
            words.push("--mark-to-first-seed");
            words.extend(first.iter().map(String::as_str));
            self.done("record", &words);
        }
    }
}

/// What a report says of a setting: its verdict, what to set, and why.
fn setting(report: &Json, calculation: &str) -> (String, f64, String) {
    let results = report["results"].as_array().expect("results");
    let own = results.iter().find(|one| one["calculation"] == calculation).expect("a result");
    let setting = &own["settings"][0];
    let text = |key: &str| setting[key].as_str().expect("a text").to_owned();
    (text("verdict"), setting["set"].as_f64().expect("a number"), text("reason"))
}

fn codes(report: &Json) -> Vec<String> {
    let results = report["results"].as_array().expect("results").iter();
    let warnings = results.flat_map(|one| one["warnings"].as_array().cloned().unwrap_or_default());
    warnings.map(|one| one["code"].as_str().unwrap_or_default().to_owned()).collect()
}

const HEAD: &str = "bare-length = \"in\"\n[planter.controller]\nsetback = { raising-moves-alley = \
                    WAY, step = \"0.5 in\" }\n[trial]\nplot = 210\nalley = 30\n\
                    tolerance = { centre = \"1 in\" }\n[settings]\nsetback = \"15 in\"\n";

fn alley_sheet(way: &str) -> Season {
    Season::new(&HEAD.replace("WAY", &format!("\"{way}\"")))
}

/// Alleys lie 3 in ahead at a setback of 15 in, and raising it moves them back: 18 in is right. The
/// sheet says that raising moves them ahead.
#[test]
fn a_direction_typed_wrong_is_named_and_turned_and_no_run_is_lost() {
    let season = alley_sheet("ahead");
    season.alleys("2027-05-01", 3.0, 3.0);
    let (verdict, set, _) = setting(&season.report(), "alley");
    assert_eq!((verdict.as_str(), set), ("change", 12.0));
    season.done("apply", &["--date", "2027-05-01"]);
    // Not measured yet: that comes first, and nothing else is changed.
    let (verdict, set, reason) = setting(&season.report(), "alley");
    assert_eq!((verdict.as_str(), set), ("measure more", 12.0));
    assert!(reason.contains("from 15 in to 12 in on 2027-05-01 and nothing measured since"));
    assert_eq!(codes(&season.report()), ["not-measured-since"]);
    // 3 in less of setback: 3 in further ahead.
    season.alleys("2027-05-02", 6.0, 6.0);
    let report = season.report();
    let (verdict, set, reason) = setting(&report, "alley");
    assert_eq!((verdict.as_str(), set), ("wait", 12.0));
    assert!(reason.contains("went 3 in ahead where they should have gone 3 in back"), "{reason}");
    assert_eq!(codes(&report), ["change-reversed"]);
    let why = season.refused("apply", &["--date", "2027-05-02"]);
    assert!(why.contains("--turn setback"), "{why}");
    season.refused("apply", &["--setting", "setback", "--date", "2027-05-02"]);
    season.done("apply", &["--turn", "setback", "--date", "2027-05-02"]);
    assert!(season.text().contains("raising-moves-alley = \"back\""));
    // 12 + 6 = 18, by runs that are all there already.
    let (verdict, set, _) = setting(&season.report(), "alley");
    assert_eq!((verdict.as_str(), set), ("change", 18.0));
    season.done("apply", &["--date", "2027-05-02"]);
    season.alleys("2027-05-03", 0.0, 0.0);
    let (verdict, set, _) = setting(&season.report(), "alley");
    assert_eq!((verdict.as_str(), set), ("keep", 18.0));
    assert_eq!(codes(&season.report()), [""; 0]);
}

/// Alleys lie 4 in ahead at 15 in; 19 in is right, and was never keyed in.
#[test]
fn a_change_that_was_never_keyed_in_is_named_and_taken_out_of_the_record() {
    let season = alley_sheet("back");
    season.alleys("2027-05-01", 4.0, 4.0);
    season.done("apply", &["--date", "2027-05-01"]);
    season.alleys("2027-05-02", 4.0, 4.0);
    let report = season.report();
    let (verdict, _, reason) = setting(&report, "alley");
    assert_eq!(verdict, "wait");
    assert!(reason.contains("they lie where they lay") && reason.contains("--not-set setback"));
    assert_eq!(codes(&report), ["change-without-effect"]);
    season.done("apply", &["--not-set", "setback", "--date", "2027-05-02"]);
    let (verdict, set, _) = setting(&season.report(), "alley");
    assert_eq!((verdict.as_str(), set), ("change", 19.0));
    assert_eq!(season.text().matches("with = { setback = \"15 in\" }").count(), 4);
    season.done("apply", &["--date", "2027-05-02"]);
    season.alleys("2027-05-03", 0.0, 0.0);
    assert_eq!(setting(&season.report(), "alley").0, "keep");
    // Three changes, all in the history.
    assert_eq!(season.text().matches("[[history]]").count(), 3);
}

/// Nobody knows which way the setback works; it moves alleys ahead, by 2 in an inch. Alleys lie 3 in
/// ahead at 15 in: 15 - 3 / 2 = 13.5 in is right.
#[test]
fn a_direction_and_a_size_that_nobody_knows_are_learned_by_a_trial() {
    let season = alley_sheet("not known");
    season.alleys("2027-05-01", 3.0, 3.0);
    let (verdict, set, reason) = setting(&season.report(), "alley");
    // Four tolerances of an inch.
    assert_eq!((verdict.as_str(), set), ("change", 19.0));
    assert!(reason.contains("as a trial"), "{reason}");
    let why = season.refused("apply", &["--learn", "setback", "--date", "2027-05-01"]);
    assert!(why.contains("nothing was measured before and after"), "{why}");
    season.done("apply", &["--date", "2027-05-01"]);
    season.alleys("2027-05-02", 11.0, 11.0);
    let (verdict, _, reason) = setting(&season.report(), "alley");
    assert_eq!(verdict, "wait");
    assert!(reason.contains("went 8 in ahead") && reason.contains("--learn setback"), "{reason}");
    season.done("apply", &["--learn", "setback", "--date", "2027-05-02"]);
    assert!(season.text().contains("{ raising-moves-alley = \"ahead\", moves = 2, step"));
    let (verdict, set, _) = setting(&season.report(), "alley");
    assert_eq!((verdict.as_str(), set), ("change", 13.5));
    season.done("apply", &["--date", "2027-05-02"]);
    season.alleys("2027-05-03", 0.0, 0.0);
    assert_eq!(setting(&season.report(), "alley").0, "keep");
}

#[test]
fn a_change_is_taken_back_and_runs_keep_what_they_were_made_with() {
    let season = alley_sheet("back");
    let why = season.refused("apply", &["--undo", "--date", "2027-05-01"]);
    assert!(why.contains("no [[history]]"), "{why}");
    season.alleys("2027-05-01", 4.0, 4.0);
    season.done("apply", &["--date", "2027-05-01"]);
    season.alleys("2027-05-02", 0.0, 0.0);
    season.done("apply", &["--undo", "--date", "2027-05-02"]);
    let text = season.text();
    assert!(text.contains("\nsetback = \"15 in\"\n"), "{text}");
    assert_eq!(text.matches("with = { setback = \"19 in\" }").count(), 2);
    // Runs of either setting say that 19 in is right.
    let (verdict, set, _) = setting(&season.report(), "alley");
    assert_eq!((verdict.as_str(), set), ("change", 19.0));
}

#[test]
fn a_value_of_the_crews_own_is_written_as_typed_or_refused() {
    let season = alley_sheet("back");
    season.alleys("2027-05-01", 4.0, 4.0);
    let why = season.refused("apply", &["--setting", "setback=24 kg", "--date", "2027-05-02"]);
    assert!(why.contains("`kg` is the unit of a mass"), "{why}");
    season.done("apply", &["--setting", "setback=48 cm", "--date", "2027-05-02"]);
    assert!(season.text().contains("setback = \"48 cm\""));
    let (verdict, _, reason) = setting(&season.report(), "alley");
    assert_eq!(verdict, "measure more");
    assert!(reason.contains("from 15 in to 48 cm"), "{reason}");
    let why = season.refused("apply", &["--not-set", "pass-offset", "--date", "2027-05-02"]);
    assert!(why.contains("never changed"), "{why}");
    let why = season.refused("apply", &["--turn", "fill.for", "--date", "2027-05-02"]);
    assert!(why.contains("no direction"), "{why}");
}

/// Marks 240 in apart. The scale is length per count, 2.0 is right, and 2.1 is set: the controller
/// reads 240 × 2.1 / 2 = 252. The sheet says counts per length: 2.1 × 252 / 240 = 2.205, with which
/// it reads 264.6.
#[test]
fn a_kind_of_scale_typed_wrong_is_named_and_turned() {
    let season = Season::new(
        "bare-length = \"in\"\n[planter.controller]\ntrip-scale = { counts = \"per length\", step = \
         0.001 }\n[trial]\nplot = 210\nalley = 30\ntolerance = { trip = \"1 in\" }\n[settings]\n\
         trip-scale = 2.1\n",
    );
    let record = |day: &str, readout: f64| {
        let around = [0.0, 0.1, -0.1, 0.0].map(|off| format!("{:.1}", readout + off));
        let mut words = vec!["trip", "--date", day, "--marks", "240 in"];
        words.extend(around.iter().map(String::as_str));
        season.done("record", &words);
    };
    record("2027-05-01", 252.0);
    let (verdict, set, _) = setting(&season.report(), "trip");
    assert_eq!((verdict.as_str(), set), ("change", 2.205));
    season.done("apply", &["--date", "2027-05-01"]);
    record("2027-05-02", 264.6);
    let report = season.report();
    assert_eq!(codes(&report)[0], "change-reversed", "{:?}", setting(&report, "trip"));
    season.done("apply", &["--turn", "trip-scale", "--date", "2027-05-02"]);
    assert!(season.text().contains("{ length = \"per count\", step = 0.001 }"));
    let (verdict, set, _) = setting(&season.report(), "trip");
    assert_eq!(verdict, "change");
    assert!((set - 2.0).abs() < 1e-12, "{set}");
}

/// Two sizes of seed on two days, 6 in apart: the mean of 3 in would be wrong for both.
#[test]
fn runs_that_disagree_are_named_and_two_decide_nothing() {
    let season = alley_sheet("back");
    season.alleys("2027-05-01", 6.0, 6.0);
    season.alleys("2027-05-02", 0.0, 0.0);
    let report = season.report();
    let (verdict, _, reason) = setting(&report, "alley");
    assert_eq!(verdict, "measure more");
    assert!(reason.contains("alley run 1 out says 6 in"), "{reason}");
    assert!(reason.contains("find out what was different"), "{reason}");
    assert!(codes(&report).contains(&"runs-apart".to_owned()));
}

/// A speed law outlives a change of the setback: runs at 2 and 4 mph, latency 2 in a mph.
#[test]
fn the_speed_law_outlives_a_change() {
    let season = Season::new(
        &HEAD.replace("WAY", "\"back\"").replace("alley = 30\n", "alley = 30\nspeed = \"2 mph\"\n"),
    );
    let record = |day: &str, speed: &str, ahead: f64| {
        let around = |middle: f64, by: f64| {
            [0.0, by, -by, 0.0, by, -by].map(|off| (middle + off).to_string())
        };
        let (last, first) = (around(15.0 - ahead, -0.25), around(15.0 + ahead, 0.25));
        let mut words = vec!["alley", "--date", day, "--speed", speed, "--last-seed-to-mark"];
        words.extend(last.iter().map(String::as_str));
        words.push("--mark-to-first-seed");
        words.extend(first.iter().map(String::as_str));
        season.done("record", &words);
    };
    record("2027-05-01", "2 mph", 4.0);
    record("2027-05-01", "4 mph", 8.0);
    // A setback rests on the speed, so that is timed first: 100 ft in 34.09 s are 2 mph.
    assert!(
        season.refused("apply", &["--date", "2027-05-01"]).contains("time the ground speed first")
    );
    let times = ["34.1 s", "34.0 s", "34.2 s"];
    let course = ["speed", "--date", "2027-05-01", "--course", "100 ft"];
    season.done("record", &[&course[..], &times].concat());
    season.done("apply", &["--date", "2027-05-01"]);
    record("2027-05-02", "2 mph", 0.0);
    let report = season.report();
    let (verdict, set, _) = setting(&report, "alley");
    assert_eq!((verdict.as_str(), set), ("keep", 19.0));
    // At 4 mph alleys lie 8 - 4 = 4 in ahead of now: 23 in.
    let output = season.run("setback-at", &[]);
    assert_ne!(output.status.code(), Some(0), "a speed is asked for");
    let mut program = common::program();
    let output = program.args(["setback-at", "4 mph"]).arg(&season.path).output().expect("it runs");
    let page = String::from_utf8(output.stdout).expect("text");
    assert!(page.contains("23 in"), "{page}");
}

/// The setback went from 15 to 23 in and back to 19; alleys lay 4 in ahead of their marks at 15, `then`
/// at 23, and right at 19.
fn twice_changed(then: [&str; 2]) -> Season {
    let run = |day: u32, with: &str, [before, after]: [&str; 2]| {
        format!(
            "[[alley-run]]\ndate = 2027-04-{day}\n{with}last-seed-to-mark = [{before}]\n\
             mark-to-first-seed = [{after}]\n"
        )
    };
    let change = |day: u32, from: u32, to: u32| {
        format!(
            "[[history]]\ndate = 2027-04-{day}\nsetting = \"setback\"\nfrom = {from}\nto = {to}\n"
        )
    };
    let near = ["11, 11.5, 10.5, 11.25, 10.75", "19, 18.5, 19.5, 18.75, 19.25"];
    let right = ["15, 15.5, 14.5, 15.25, 14.75", "15, 14.5, 15.5, 14.75, 15.25"];
    Season::new(&format!(
        "bare-length = \"in\"\n[planter.controller]\n\
         setback = {{ raising-moves-alley = \"back\", step = 0.5 }}\n[settings]\nsetback = 19\n\
         [trial]\nplot = 210\nalley = 30\ntolerance = {{ centre = 1 }}\n{}{}{}{}{}",
        run(20, "with = { setback = 15 }\n", near),
        run(21, "with = { setback = 23 }\n", then),
        run(22, "", right),
        change(20, 15, 23),
        change(21, 23, 19)
    ))
}

/// The first change should have brought the alleys 8 in back: from 4 in ahead to 4 in behind. Where
/// they lay 4 in ahead still, it did nothing, and the second did all of it: 4 in back instead of 4
/// in ahead, which is -1 of what it should.
#[test]
fn every_change_is_held_against_what_followed_it_not_the_last_alone() {
    let took = |then: [&str; 2]| {
        let season = twice_changed(then);
        let mut program = common::program();
        program.args(["print", "report"]).arg(&season.path).args(["--date", "2027-04-23"]);
        let output = program.output().expect("the program runs");
        let text = String::from_utf8(output.stdout).expect("text");
        let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let (_, changes) = words.split_once("CHANGES").expect("the changes");
        let (changes, _) = changes.split_once("RAW READINGS").expect("the readings");
        changes.to_owned()
    };
    let behind = ["19, 19.5, 18.5, 19.25, 18.75", "11, 10.5, 11.5, 10.75, 11.25"];
    let both = took(behind);
    assert_eq!(both.matches("it took: did 1 of").count(), 2, "{both}");
    assert!(both.contains("changed again on 2027-04-21"), "{both}");
    let ahead = ["11, 11.5, 10.5, 11.25, 10.75", "19, 18.5, 19.5, 18.75, 19.25"];
    let none = took(ahead);
    assert!(none.contains("it did not: did 0 of"), "{none}");
    assert!(none.contains("it did not: did -1 of"), "{none}");
}

/// Alleys lay right and leads were nought; the pass offset was raised by 3 in, which should have moved
/// alleys of both headings 3 in back, and nothing moved. Read as moved, the alleys would lie 3 in ahead:
/// a setback changed for that would spoil what is right.
#[test]
fn a_change_in_doubt_is_looked_into_before_anything_else_is_set_by_the_same_runs() {
    let alleys = |heading: &str| {
        format!(
            "heading = \"{heading}\"\nlast-seed-to-mark = [15, 15.25, 14.75, 15.25, 14.75]\n\
             mark-to-first-seed = [15, 14.75, 15.25, 15, 15]\n"
        )
    };
    let day = |number: u32, with: &str| {
        let head = format!("date = 2027-04-{number}\n{with}");
        format!(
            "[[alley-run]]\n{head}{}[[alley-run]]\n{head}{}[[pass-run]]\n{head}\
             lead = [0.25, -0.25, 0.5, -0.5, 0, 0]\n",
            alleys("out"),
            alleys("home")
        )
    };
    let season = Season::new(&format!(
        "bare-length = \"in\"\n[planter.controller]\n\
         setback = {{ raising-moves-alley = \"back\", step = 0.5 }}\n\
         pass-offset = {{ raising-moves-alley = \"back\", step = 0.5 }}\n\
         [settings]\nsetback = 15\npass-offset = 21.5\n[trial]\nplot = 210\nalley = 30\n\
         tolerance = {{ centre = 1, passes = 1 }}\n{}{}[[history]]\ndate = 2027-04-20\n\
         setting = \"pass-offset\"\nfrom = 18.5\nto = 21.5\n",
        day(20, "with = { pass-offset = 18.5 }\n"),
        day(21, "")
    ));
    let report = season.report();
    let next = report["next"]["instruction"].as_str().expect("a step");
    assert!(next.starts_with("pass offset:") && next.contains("--not-set pass-offset"), "{next}");
    let (verdict, _, _) = setting(&report, "alley");
    assert_eq!(verdict, "wait");
    let refused = season.refused("apply", &["--date", "2027-04-22"]);
    assert!(refused.contains("--not-set pass-offset"), "{refused}");
    season.done("apply", &["--not-set", "pass-offset", "--date", "2027-04-22"]);
    let report = season.report();
    assert!(report["next"].is_null(), "{}", report["next"]);
}
