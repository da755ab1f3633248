//! Alleys and leads planted with other timers: what the changeover says of them brings them to the
//! present. Every expected number is worked out by hand from the motion beside it.

#![allow(clippy::expect_used, clippy::panic)] // helpers of tests

mod common;
mod plain_changeover;
use common::{Report, Written, assert_near};
use plain_changeover::written_out;

/// Ground speed 2.8 mph x 17.6 = 49.28 in/s; seeds 2 in apart: 24.64 cells/s.
fn sheet(clean_out: &str, with: &str) -> String {
    written_out(&format!(
        "bare-length = \"in\"\n[planter]\nrow-spacing = 30\nplate = {{ cells = 40, carry = 16 }}\n\
         [planter.controller]\nsetback = {{ raising-moves-alley = \"back\", step = 0.5 }}\n\
         pass-offset = {{ raising-moves-alley = \"ahead\", step = 0.5 }}\n\
         [trial]\nalley = 36\nspeed = \"2.8 mph\"\nseed-spacing = 2\n\
         tolerance = {{ centre = 1, width = 2, passes = 1 }}\n\
         [settings]\nsetback = 15\npass-offset = 6\n\
         [changeover]\nboost = \"40 cells/s\"\nold-seed-gone = \"1.2 s\"\n\
         new-seed-at-pick-up = \"0.2 s\"\nclean-out = \"{clean_out}\"\nrun-out = \"0.25 s\"\n\
         fill = \"0.2 s\"\n\
         [[alley-run]]\ndate = 2027-04-18\n{with}heading = \"out\"\n\
         last-seed-to-mark = [18, 18.25, 17.75, 18]\nmark-to-first-seed = [18, 18.25, 17.75, 18]\n\
         [[pass-run]]\ndate = 2027-04-18\n{with}lead = [0, 0, 0.25, -0.25]\n"
    ))
}

/// With a clean-out of 1.5 s the boost starts at 1.75 s, when 24.64 x 1.75 = 43.12 cells have passed.
/// The last old seed is in cell 24.64 x 1.2 + 16 = 45.568, released at 1.75 + 2.448 / 40 = 1.8112 s:
/// 49.28 x 1.8112 = 89.255936 in past the trip, less half of a spacing under boost, 49.28 / 40 / 2 =
/// 0.616. With 1.6 s the boost starts at 45.584 cells, so that cell is released before it, at 45.568 /
/// 24.64 s: 2 x 45.568 = 91.136 in, less 1.
///
/// The first new seed is in the cell 24.64 x 1.7 + 16 = 57.888, or 24.64 x 1.8 + 16; both are released
/// after the boost, so the second one a tenth of a second after the first.
const LAST: f64 = (91.136 - 1.0) - (89.255_936 - 0.616);
const FIRST: f64 = 4.928;

#[test]
fn alleys_and_leads_are_brought_to_the_timers_of_now() {
    let report = Report::of(&sheet("1.6 s", "with = { \"clean-out.for\" = \"1.5 s\" }\n"));
    let near = |name: &str, wanted: f64| {
        assert_near(report.number("alley", name), wanted, 1e-9);
    };
    near("last seed ahead since, by the timers", LAST);
    near("first seed ahead since, by the timers", FIRST);
    near("mean last seed to mark", 18.0 - LAST);
    near("mean mark to first seed", 18.0 + FIRST);
    near("shift of each pass", (LAST + FIRST) / 2.0);
    assert_near(report.number("passes", "mean lead"), LAST + FIRST, 1e-9);
    assert!(!report.warned("alley", "set-aside"));
}

#[test]
fn the_same_timers_and_a_hand_over_move_nothing() {
    for with in [
        "with = { \"clean-out.for\" = \"1.6 s\" }\n",
        "with = { \"hand-over.for\" = \"0.5 s\" }\n",
        "",
    ] {
        let report = Report::of(&sheet("1.6 s", with));
        assert_eq!(report.maybe("alley", "last seed ahead since, by the timers"), None, "{with}");
        assert_near(report.number("alley", "mean last seed to mark"), 18.0, 1e-12);
    }
}

/// At another speed of its own a run is brought on at that speed: 0.1 s at 1.4 mph are 2.464 in.
#[test]
fn a_run_at_its_own_speed_is_brought_on_at_that_speed() {
    let slow = "speed = \"1.4 mph\"\nwith = { \"clean-out.for\" = \"1.5 s\" }\n";
    let text = sheet("1.6 s", "").replacen("heading", &[slow, "heading"].concat(), 1);
    let text = text.replacen(
        "[[pass-run]]",
        "[[alley-run]]\ndate = 2027-04-19\nheading = \"out\"\n\
         last-seed-to-mark = [18, 18, 18]\nmark-to-first-seed = [18, 18, 18]\n[[pass-run]]",
        1,
    );
    let written = Written::new(&text);
    let output = written.run(&["calibrate", "--format", "json"]);
    let report = Report::read(&output.stdout);
    assert_near(report.number("setback-at", "first seed ahead since, by the timers"), 2.464, 1e-9);
}

/// Where the sheet lacks what tells, the runs are kept and not used.
#[test]
fn without_a_changeover_that_tells_they_are_set_aside() {
    let text = sheet("1.6 s", "with = { \"clean-out.for\" = \"1.5 s\" }\n");
    let gone = text.find("[changeover]").expect("a changeover");
    let runs = text.find("[[alley-run]]").expect("runs");
    let known = "[changeover]\nboost = \"40 cells/s\"\nold-seed-gone = \"1.2 s\"\n\
                 new-seed-at-pick-up = \"0.2 s\"\n";
    // No timers stand in it yet, so what was set then is all that there is.
    let text = written_out(&[&text[..gone], known, &text[runs..]].concat());
    let written = Written::new(&text);
    let page = String::from_utf8(written.run(&["calibrate"]).stdout).expect("UTF-8");
    assert!(!page.contains("ahead since, by the timers"), "{page}");
}

/// A changed timer is written into the runs, and measuring is the next step before anything else.
#[test]
fn a_changed_timer_is_measured_before_anything_else_is_changed() {
    let written = Written::new(&sheet("1.5 s", ""));
    let changed =
        written.run(&["apply", "--date", "2027-04-19", "--setting", "clean-out.for=1.6 s"]);
    assert!(changed.status.success(), "{}", String::from_utf8_lossy(&changed.stderr));
    let text = written.text();
    assert_eq!(text.matches("with = { \"clean-out.for\" = \"1.5 s\" }").count(), 2, "{text}");
    let page = String::from_utf8(written.run(&["calibrate"]).stdout).expect("UTF-8");
    let words = page.split_whitespace().collect::<Vec<_>>().join(" ");
    let next =
        "Next: not measured since: length of clean-out, changed on 2027-04-19 from 1.5 s to 1.6 s";
    assert!(words.contains(next), "{words}");
    assert_eq!(written.run(&["apply", "--date", "2027-04-19"]).status.code(), Some(2));
}
