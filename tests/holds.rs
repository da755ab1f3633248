//! What holds is one judgement: `calibrate`, `check` and `apply` say the same of age, conditions and
//! settings that were written over.

#![allow(clippy::expect_used, clippy::panic)] // helpers of tests

use alleytrue::outcome::{Calculation, Verdict};
use alleytrue::record::Checked;
use alleytrue::sheet::{FieldSheet, Source};

mod common;
use common::Written;

/// An alley run whose alleys are right: last seed 15 in before the mark, first 15 in beyond, in alleys
/// of 30 in.
fn alleys(date: &str, more: &str) -> String {
    format!(
        "[[alley-run]]\ndate = {date}\n{more}heading = \"out\"\n\
         last-seed-to-mark = [15, 15.1, 14.9, 15, 15.1, 14.9]\n\
         mark-to-first-seed = [15, 15.1, 14.9, 15, 14.9, 15.1]\n\n"
    )
}

const PLANTER: &str = "[planter]\nname = \"four-row\"\nrow-spacing = 30\n\
                       plate = { cells = 40, carry = 16 }\n[planter.controller]\n\
                       setback = { raising-moves-alley = \"back\", step = 0.5 }\n\
                       [settings]\nsetback = 15\n\n";

fn sheet(trial: &str, conditions: &str, rest: &str) -> String {
    format!(
        "bare-length = \"in\"\n{PLANTER}[conditions]\n{conditions}\n[trial]\nalley = 30\n\
         seed-spacing = 1.5\n{trial}tolerance = {{ centre = 1, width = 2 }}\n\n{rest}"
    )
}

fn read(text: &str) -> FieldSheet {
    FieldSheet::read(&Source::new("s.toml", text)).unwrap_or_else(|all| panic!("{all:#?}\n{text}"))
}

/// What the setback's calibration lacks on a day, and the next step of that day.
fn on(text: &str, day: Option<&str>) -> (Checked, String) {
    let standing = read(text).calibrate(day).expect("no drive to search");
    let own = |one: &Checked| one.calculation.key == "alley";
    let checked = standing.checked.into_iter().find(own).expect("a setback");
    (checked, standing.report.next.map(|next| next.instruction).unwrap_or_default())
}

/// From 18 April to 18 May are 30 days: 12 in April and 18 in May.
#[test]
fn a_measurement_counts_for_thirty_days_or_as_the_sheet_says() {
    let text = sheet("", "", &alleys("2027-04-18", ""));
    let (checked, next) = on(&text, Some("2027-05-18"));
    assert_eq!((checked.stale.as_slice(), next.as_str()), ([].as_slice(), ""));
    assert_eq!(checked.until.as_deref(), Some("2027-05-18"));
    let (checked, next) = on(&text, Some("2027-05-19"));
    let words = "measured 2027-04-18, 31 days before 2027-05-19: it holds for 30 days, as usual";
    assert_eq!(checked.stale, [words]);
    assert_eq!(
        next,
        format!("nothing to change in what was measured; setback: {words}; measure again")
    );
    // On no day nothing is too old.
    assert_eq!(on(&text, None).0.stale, [] as [&str; 0]);
    let text = sheet("holds-for = \"3 days\"\n", "", &alleys("2027-04-18", ""));
    assert_eq!(on(&text, Some("2027-04-21")).0.stale, [] as [&str; 0]);
    let words = "measured 2027-04-18, 4 days before 2027-04-22: it holds for 3 days";
    assert_eq!(on(&text, Some("2027-04-22")).0.stale, [words]);
    // The newest of several runs.
    let both = [alleys("2027-04-18", ""), alleys("2027-04-21", "")].concat();
    let text = sheet("holds-for = \"3 days\"\n", "", &both);
    assert_eq!(on(&text, Some("2027-04-24")).0.stale, [] as [&str; 0]);
}

#[test]
fn commands_agree_on_a_day_and_take_another() {
    let written = Written::new(&sheet("", "", &alleys("2027-02-18", "")));
    let said = |arguments: &[&str]| {
        let output = written.run(arguments);
        (String::from_utf8(output.stdout).expect("UTF-8"), output.status.code())
    };
    // 72 days from 18 February to 1 May 2027, the day of the tests: 10 + 31 + 30 + 1.
    for command in ["calibrate", "check"] {
        let (page, _) = said(&[command]);
        let page = page.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(page.contains("measured 2027-02-18, 72 days before 2027-05-01"), "{page}");
    }
    assert_eq!(said(&["check"]).1, Some(1));
    assert_eq!(said(&["check", "--on", "2027-03-01"]).1, Some(0));
    let (page, _) = said(&["calibrate", "--on", "2027-03-01"]);
    assert!(page.contains("Next: nothing to change"), "{page}");
    assert_eq!(said(&["check", "--on", "1 March"]).1, Some(2));
}

/// Alleys of small seed lie 3 in ahead of where those of large seed do: pooled they would be 1.5 in
/// off, right for neither.
#[test]
fn runs_under_other_conditions_are_kept_and_not_used() {
    let small = "[[alley-run]]\ndate = 2027-04-17\nwith = { seed = \"small\" }\nheading = \"out\"\n\
                 last-seed-to-mark = [12, 12, 12]\nmark-to-first-seed = [18, 18, 18]\n\n";
    let rest = [small, &alleys("2027-04-18", "with = { seed = \"large\" }\n")].concat();
    let of = |conditions: &str| {
        let text = sheet("", conditions, &rest);
        let standing = read(&text).calibrate(None).expect("no drive to search");
        let alley = |one: &&alleytrue::outcome::Outcome| one.calculation.key == "alley";
        let outcome = standing.report.outcomes.iter().find(alley).expect("alleys").clone();
        outcome.settings[0].verdict.clone()
    };
    assert!(matches!(of("seed = \"large\"\n"), Verdict::Keep(_)));
    let Verdict::Change(words) = of("seed = \"small\"\n") else { panic!("3 in off") };
    assert!(words.contains("raise it by 3 in"), "{words}");
    // The plate, the planter and the rest alike.
    for (held, then) in [
        ("", "planter = \"six-row\""),
        ("", "plate-cells = 32"),
        ("", "plate-carry = 12"),
        ("plate = \"a\"\n", "plate = \"b\""),
        ("vacuum = \"16 in of water\"\n", "vacuum = \"12 in of water\""),
        ("tyres = \"24 psi\"\n", "tyres = \"18 psi\""),
    ] {
        let text = sheet("", held, &alleys("2027-04-18", &format!("with = {{ {then} }}\n")));
        let (checked, next) = on(&text, None);
        let words = "not measured since; the last runs were made with";
        assert!(checked.stale[0].starts_with(words), "{then}: {:?}", checked.stale);
        assert!(next.contains(words) && next.ends_with("measure again"), "{then}: {next}");
    }
    // Soil moves no alley, and what the sheet says nothing of moves nothing.
    for (held, then) in [("soil = \"dry\"\n", "soil = \"moist\""), ("", "vacuum = \"12\"")] {
        let text = sheet("", held, &alleys("2027-04-18", &format!("with = {{ {then} }}\n")));
        assert_eq!(on(&text, None).0.stale, [] as [&str; 0], "{then}");
    }
}

#[test]
fn a_changed_condition_is_written_into_the_runs_and_taken_back() {
    let written = Written::new(&sheet("", "seed = \"small\"\n", &alleys("2027-04-18", "")));
    let runs = |arguments: &[&str]| assert!(written.run(arguments).status.success());
    // The sheet comes last on the command line.
    runs(&["apply", "--date", "2027-04-19", "--setting", "seed=large"]);
    let text = written.text();
    assert!(text.contains("seed = \"large\"\n"), "{text}");
    assert!(text.contains("with = { seed = \"small\" }"), "{text}");
    assert!(text.contains("setting = \"seed\"\nfrom = \"small\"\nto = \"large\""), "{text}");
    let page = String::from_utf8(written.run(&["calibrate"]).stdout).expect("UTF-8");
    assert!(page.contains("seed \"small\""), "{page}");
    runs(&["apply", "--date", "2027-04-20", "--undo"]);
    assert_eq!(on(&written.text(), None).0.stale, [] as [&str; 0]);
    // One that the sheet had no words for before gets a line, and its table where there is none.
    runs(&["apply", "--date", "2027-04-20", "--setting", "tyres=24 psi"]);
    assert!(written.text().contains("[conditions]\ntyres = \"24 psi\"\n"), "{}", written.text());
    runs(&["apply", "--date", "2027-04-20", "--setting", "plate-cells=32"]);
    assert!(written.text().contains("plate = { cells = 32, carry = 16 }"), "{}", written.text());
}

#[test]
fn a_setting_that_was_written_over_is_not_worked_with() {
    let history = "[[history]]\ndate = 2027-04-18\nsetting = \"setback\"\nfrom = 12\nto = 18\n";
    let off = "[[alley-run]]\ndate = 2027-04-18\nheading = \"out\"\n\
               last-seed-to-mark = [12, 12, 12, 12]\nmark-to-first-seed = [18, 18, 18, 18]\n\n";
    let text = sheet("", "", &[off, history].concat());
    let words =
        "the sheet has the setback at 15 in, and its last change, of 2027-04-18, was to 18 in";
    assert!(on(&text, None).0.stale.iter().any(|why| why == words));
    let sheet = read(&text);
    assert!(sheet.remarks.iter().any(|one| one.code.name == "edited-by-hand"));
    let written = Written::new(&text);
    let output = written.run(&["apply", "--date", "2027-04-18"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("the sheet has the setback at 15 in"));
    assert_eq!(written.text(), text, "nothing is written");
    // Said to be what the planter has, it is a change like any other.
    assert!(
        written.run(&["apply", "--date", "2027-04-18", "--setting", "setback=15"]).status.success()
    );
    assert!(read(&written.text()).record.edited().is_empty());
}

/// What was never measured and what no longer holds are named in one step.
#[test]
fn one_step_names_all_that_does_not_hold() {
    let text = sheet("", "", &alleys("2027-04-18", ""))
        .replace("setback = 15\n", "setback = 15\ntrip-scale = 400\n");
    let text = text
        .replace("[settings]", "trip-scale = { counts = \"per length\", step = 0.01 }\n[settings]");
    let standing = read(&text).calibrate(Some("2027-06-01")).expect("no drive to search");
    let next = standing.report.next.expect("a step");
    let key = |one: Calculation| one.key;
    assert_eq!((key(next.calculation), next.setting.as_deref()), ("trip", Some("trip scale")));
    assert!(next.instruction.contains("not measured yet: trip scale; setback: measured"));
    assert_eq!(standing.report.not_measured, ["trip scale"]);
}

/// Alleys 3 in ahead at a speed that nobody timed: the course comes before the setback.
#[test]
fn the_speed_is_timed_before_what_rests_on_it_is_changed() {
    let off = "[[alley-run]]\ndate = 2027-04-18\nheading = \"out\"\n\
               last-seed-to-mark = [12, 12.25, 11.75, 12]\n\
               mark-to-first-seed = [18, 17.75, 18.25, 18]\n\n";
    let timed =
        "[[speed-run]]\ncourse = \"200 ft\"\ntimes = [\"48.7 s\", \"48.6 s\", \"48.8 s\"]\n";
    let next = |text: &str| on(text, None).1;
    let at_speed = "speed = \"2.8 mph\"\n";
    let words = next(&sheet(at_speed, "", off));
    assert!(words.starts_with("time the ground speed first"), "{words}");
    assert!(
        words.ends_with(
            "then: set the setback to 18 in (now 15 in), plant a test range and measure again"
        ),
        "{words}"
    );
    // 200 ft in 48.7 s are 2.8 mph; without a speed in the sheet there is nothing to hold one against.
    for text in [sheet(at_speed, "", &[timed, off].concat()), sheet("", "", off)] {
        let words = next(&text);
        assert!(words.starts_with("set the setback to 18 in"), "{words}");
    }
    // What stays as it is needs no course.
    assert_eq!(next(&sheet(at_speed, "", &alleys("2027-04-18", ""))), "");
}

/// 2.08 m / 0.96 / (20 / 18 x 40) = 4.875 cm, by a skid that was assumed: the turns of the wheel are
/// counted before sprockets are swapped.
#[test]
fn the_wheel_is_counted_before_sprockets_are_swapped() {
    let text = |more: &str| {
        format!(
            "[planter]\nrow-spacing = \"75 cm\"\nrolling-circumference = \"2.08 m\"\nskid = \"4 %\"\n\
             plate = {{ cells = 40 }}\n[[planter.drive]]\n\
             driving = {{ fitted = 24, choices = [20, 24, 28] }}\ndriven = 18\n\
             [trial]\nseed-spacing = \"4.88 cm\"\ntolerance = {{ spacing = \"2 %\" }}\n{more}"
        )
    };
    let next = |more: &str| {
        let standing = read(&text(more)).calibrate(None).expect("no drive to search");
        standing.report.next.map(|next| next.instruction).unwrap_or_default()
    };
    let words = next("");
    assert!(words.starts_with("count the turns of the drive wheel first"), "{words}");
    let counted = "[[wheel-run]]\ncourse = \"20 m\"\nturns = [9.2, 9.25, 9.22]\n";
    assert!(!next(counted).contains("first: how far"), "{}", next(counted));
}
