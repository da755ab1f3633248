//! What `rehearse` says of sheets: which answer, what it leaves open, what it can't be asked; and that
//! `plan` and `rehearse` say the same of what to measure.

#![allow(clippy::expect_used, clippy::panic)]

use std::num::NonZero;
use std::process::{Command, Output};

use alleytrue::calculations::registry::Job;
use alleytrue::forecast::plan;
use alleytrue::forecast::rehearsal::{Answer, Asked, NotRehearsed, Rehearsed, rehearse};
use alleytrue::outcome::Cell;
use alleytrue::sheet::{FieldSheet, Source};

const TRIAL: &str = "bare-length = \"in\"\n[planter]\nrows = 4\nrow-spacing = 30\n\
    [planter.controller]\ntrip-scale = { counts = \"per length\", step = 0.01 }\n\
    setback = { raising-moves-alley = \"back\", step = 0.5 }\n\
    pass-offset = { raising-moves-alley = \"ahead\", step = 0.5 }\n\
    [settings]\ntrip-scale = 400\nsetback = 15\npass-offset = 6\n\
    [trial]\nplot = 210\nalley = 30\nseed-spacing = 1.5\nranges = 6\npasses = 4\n";
const LIMITS: &str = "limit = { plot = 3, centre = 2, width = 3, lead = 3 }\n";
/// Alleys around their marks, out and home, 30 in wide but for their scatter.
const ALLEYS: &str = "[[alley-run]]\nheading = \"out\"\n\
    last-seed-to-mark = [15, 15.5, 14.5, 15.25, 14.75, 15, 15.5, 14.5]\n\
    mark-to-first-seed = [15.25, 14.75, 15, 15.5, 14.5, 15, 14.5, 15.5]\n\
    [[alley-run]]\nheading = \"home\"\n\
    last-seed-to-mark = [15.25, 14.75, 15, 15.5, 14.5, 15, 14.5, 15.5]\n\
    mark-to-first-seed = [15, 15.5, 14.5, 15.25, 14.75, 15, 15.5, 14.5]\n";
const TRIPS: &str =
    "[[trip-run]]\nmarks = 240\nreadout = [240.1, 239.9, 240, 240.2, 239.8, 240, 240.1, 239.9]\n";

fn read(text: &str) -> FieldSheet {
    FieldSheet::read(&Source::new("trial.toml", text))
        .unwrap_or_else(|mistakes| panic!("{mistakes:#?}\n{text}"))
}

fn of(text: &str, after: bool) -> Result<Rehearsed, NotRehearsed> {
    let sheet = read(text);
    let report = Job::calibrate(&sheet.job).expect("no drive to search");
    let planned = plan::plan(&sheet.plan, &sheet.job);
    let asked = Asked {
        inputs: &sheet.rehearsal,
        job: &sheet.job,
        report: &report,
        planned: &planned,
        stale: &[],
        after,
        draws: Some(120),
        seed: 1,
        wanted: 0.95,
    };
    rehearse(&asked, NonZero::<usize>::MIN, &|_, _| ())
}

fn rehearsed(text: &str) -> Rehearsed {
    of(text, false).expect("a trial")
}

fn codes(rehearsed: &Rehearsed) -> Vec<&'static str> {
    rehearsed.outcome.warnings.iter().map(|warning| warning.kind.code).collect()
}

fn out(rehearsed: &Rehearsed, key: &str) -> Option<f64> {
    let table = rehearsed.outcome.tables.iter().find(|table| table.key == "out")?;
    let row = table.rows.iter().find(|row| matches!(&row[1], Cell::Text(own) if own == key))?;
    match row[5] {
        Cell::Number(number, _) => Some(number),
        _ => None,
    }
}

fn not_yet(rehearsed: &Rehearsed) -> &str {
    match &rehearsed.answer {
        Answer::NotYet(why) => why,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_planter_that_is_right_goes_and_one_that_is_off_goes_after_its_change() {
    let right = format!("{TRIAL}trips = \"at-marks\"\n{LIMITS}{ALLEYS}");
    let go = rehearsed(&right);
    assert_eq!(go.answer, Answer::Go, "{:?}", go.outcome.warnings);
    assert!(go.passed > 0.99);
    // Every alley 4 in further ahead: a setback of 19 in brings it back.
    let ahead = right
        .replace(
            "[15, 15.5, 14.5, 15.25, 14.75, 15, 15.5, 14.5]",
            "[11, 11.5, 10.5, 11.25, 10.75, 11, 11.5, 10.5]",
        )
        .replace(
            "[15.25, 14.75, 15, 15.5, 14.5, 15, 14.5, 15.5]",
            "[19.25, 18.75, 19, 19.5, 18.5, 19, 18.5, 19.5]",
        );
    // What is far going home is near going out: both lists were turned, so mend the way home.
    let (out_run, home) = ahead.split_once("heading = \"home\"").expect("two runs");
    let home = home
        .replace(
            "last-seed-to-mark = [19.25, 18.75, 19, 19.5, 18.5, 19, 18.5, 19.5]",
            "last-seed-to-mark = [11.25, 10.75, 11, 11.5, 10.5, 11, 10.5, 11.5]",
        )
        .replace(
            "mark-to-first-seed = [11, 11.5, 10.5, 11.25, 10.75, 11, 11.5, 10.5]",
            "mark-to-first-seed = [19, 19.5, 18.5, 19.25, 18.75, 19, 19.5, 18.5]",
        );
    let ahead = format!("{out_run}heading = \"home\"{home}");
    let then = rehearsed(&ahead);
    assert_eq!(then.answer, Answer::GoAfter(vec!["the setback to 19 in".into()]));
    // 4 passes of 6 plots have 20 alleys, all of them 4 in off, and 15 leads of 8 in.
    assert_eq!((out(&then, "centre"), out(&then, "lead")), (Some(20.0), Some(15.0)));
    let after = of(&ahead, true).expect("a trial");
    assert_eq!(after.answer, then.answer);
    assert!(out(&after, "centre").is_some_and(|out| out < 0.5));
}

#[test]
fn what_was_never_measured_is_never_taken_for_perfect() {
    let sheet = |more: &str| rehearsed(&format!("{TRIAL}{LIMITS}{more}"));
    // Counted trips, and no trip run.
    let counted = sheet(ALLEYS);
    assert!(not_yet(&counted).contains("measure first: trip"), "{:?}", counted.answer);
    // Neither alleys nor leads.
    let nothing = sheet("");
    for what in ["trip 10", "width 10", "centre"] {
        assert!(not_yet(&nothing).contains(what), "{:?}", nothing.answer);
    }
    // One heading alone tells no lead.
    let (one, _) = ALLEYS.split_once("[[alley-run]]\nheading = \"home\"").expect("two runs");
    let one = sheet(&format!("{TRIPS}{one}"));
    assert!(not_yet(&one).contains("of the other heading, or passes"), "{:?}", one.answer);
    assert!(codes(&one).contains(&"never-measured"));
    // Leads alone know no mark and no width.
    let leads = sheet(&format!("{TRIPS}[[pass-run]]\nlead = [0, 0.5, -0.5, 0.25, -0.25]\n"));
    assert!(not_yet(&leads).contains("width"), "{:?}", leads.answer);
    // One reading, and few that are all alike, tell nothing of scatter.
    for readout in ["[240]", "[240, 240, 240]"] {
        let few = sheet(&format!("[[trip-run]]\nmarks = 240\nreadout = {readout}\n{ALLEYS}"));
        assert!(not_yet(&few).contains("measure first: trip"), "{:?}", few.answer);
    }
}

#[test]
fn plan_and_rehearsal_say_the_same_of_what_to_measure() {
    let text = format!("{TRIAL}{LIMITS}{ALLEYS}")
        .replace("limit =", "tolerance = { trip = 1, centre = 1, passes = 1 }\nlimit =");
    let sheet = read(&text);
    let planned = plan::plan(&sheet.plan, &sheet.job);
    let wanted = plan::readings_wanted(&planned, "trip");
    let next = planned.next.expect("a plan").instruction;
    assert!(next.contains(&format!("trip {wanted}")), "{next}");
    let why = rehearsed(&text);
    assert!(not_yet(&why).contains(&format!("trip {wanted}")), "{:?}", why.answer);
}

#[test]
fn limits_below_what_can_be_held_are_called_so() {
    let tight = LIMITS.replace("centre = 2", "centre = 0.2");
    let tight = rehearsed(&format!("{TRIAL}trips = \"at-marks\"\n{tight}{ALLEYS}"));
    let words: Vec<&str> = tight
        .outcome
        .warnings
        .iter()
        .filter(|warning| warning.kind.code == "limit-too-tight")
        .map(|warning| warning.message.as_str())
        .collect();
    // (1 - 2 x 0.2 / 1.5)² = 0.538; half a step of 0.5 is 0.25 > 0.2.
    assert!(words.iter().any(|words| words.contains("54 % of alley middles")), "{words:?}");
    assert!(words.iter().any(|words| words.contains("a step of the setback")), "{words:?}");
}

#[test]
fn readings_without_scatter_leave_what_seeds_make() {
    let alike = "[[alley-run]]\nheading = \"out\"\nlast-seed-to-mark = [15, 15, 15, 15, 15, 15]\n\
        mark-to-first-seed = [15, 15, 15, 15, 15, 15]\n[[alley-run]]\nheading = \"home\"\n\
        last-seed-to-mark = [15, 15, 15, 15, 15, 15]\nmark-to-first-seed = [15, 15, 15, 15, 15, 15]\n";
    let limits = LIMITS.replace("width = 3", "width = 1");
    let alike = rehearsed(&format!("{TRIAL}trips = \"at-marks\"\n{limits}{alike}"));
    // By the phase alone (1 - 1 / 1.5)² = 1/9 of 20 widths are out.
    let width = out(&alike, "width").expect("widths");
    assert!((width - 20.0 / 9.0).abs() < 0.8, "{width}");
}

#[test]
fn what_there_is_no_trial_for_is_said() {
    let no = |text: &str| of(text, false).map(|_| ()).expect_err("no trial");
    assert_eq!(no("[trial]\nplot = \"20 ft\"\n"), NotRehearsed::NoTrial);
    assert_eq!(no("[trial]\nranges = 4\npasses = 4\n"), NotRehearsed::NoPlot);
    assert_eq!(no(TRIAL), NotRehearsed::NoLimit);
    let large = TRIAL.replace("ranges = 6\npasses = 4", "ranges = 1000\npasses = 1000");
    assert_eq!(no(&format!("{large}{LIMITS}")), NotRehearsed::TooLarge(1_000_000));
}

/// Days as `date -u -d DAY +%s` gives them.
const FIRST_OF_MAY: &str = "1809129600";
const FIRST_OF_JULY: &str = "1814400000";

fn run_on(day: &str, arguments: &[&str]) -> Output {
    let mut program = Command::new(env!("CARGO_BIN_EXE_alleytrue"));
    program.env("SOURCE_DATE_EPOCH", day).args(arguments).output().expect("the program")
}

fn run(arguments: &[&str]) -> Output {
    run_on(FIRST_OF_MAY, arguments)
}

/// Alleys measured on 24 April hold for 30 days: on the first of May the trial goes, on the first of
/// July nobody knows.
#[test]
fn what_does_not_hold_any_more_is_measured_before_the_trial_goes() {
    let dated = ALLEYS.replace("heading = ", "date = 2027-04-24\nheading = ");
    let folder = tempfile::tempdir().expect("a folder");
    let sheet = folder.path().join("trial.toml");
    std::fs::write(&sheet, format!("{TRIAL}trips = \"at-marks\"\n{LIMITS}{dated}"))
        .expect("a sheet");
    let name = sheet.to_str().expect("a name");
    let said = |day: &str| {
        let output = run_on(day, &["rehearse", name, "--draws", "60"]);
        let text = String::from_utf8(output.stdout).expect("text");
        let (_, next) = text.split_once("Next: ").expect("a next step");
        let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
        // From 24 April to 1 July: 6 + 31 + 30 + 1 days.
        let warned =
            words.contains("the setback does not hold: measured 2027-04-24, 68 days before");
        (next.split([':', ';']).next().map(str::to_owned), warned)
    };
    assert_eq!(said(FIRST_OF_MAY), (Some("go".into()), false));
    assert_eq!(said(FIRST_OF_JULY), (Some("not yet".into()), true));
}

#[test]
fn scripts_get_a_status_and_options_keep_to_their_range() {
    let sheet = "demo-data/soybean-forty-rehearsed.toml";
    let status = |more: &[&str]| {
        let arguments: Vec<&str> =
            ["rehearse", sheet, "--draws", "60"].iter().chain(more).copied().collect();
        run(&arguments).status.code()
    };
    assert_eq!(status(&["--brief"]), Some(0));
    assert_eq!(status(&["--brief", "--fail-below", "95%"]), Some(1));
    assert_eq!(status(&["--brief", "--fail-below", "90%", "--after"]), Some(0));
    assert_eq!(status(&["--fail-below", "120%"]), Some(2));
    assert_eq!(run(&["rehearse", sheet, "--draws", "0"]).status.code(), Some(2));
    let csv = |seed: &str| {
        let arguments = ["rehearse", sheet, "--draws", "60", "--seed", seed];
        let more = ["--format", "csv", "--table", "out"];
        let output = run(&[&arguments[..], &more[..]].concat());
        String::from_utf8(output.stdout).expect("text")
    };
    assert_eq!(csv("7"), csv("7"));
    assert!(csv("7") != csv("8"));
    assert!(csv("7").starts_with("what,key,limit_in,of,may_be_out,to_expect,least,most"));
}
