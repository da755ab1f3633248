//! The run-up against a published start and a planter that is moved step by step, sums by hand, laws,
//! odd and wrong input.

#![allow(clippy::expect_used, clippy::panic)]

mod common;

use common::{Report, Written, cases};
use proptest::prelude::*;

const KEY: &str = "run-up";

fn report(arguments: &[&str], sheet: &str) -> Report {
    Written::new(sheet).report(&[&["stakes"], arguments].concat())
}

fn mistakes(sheet: &str) -> String {
    Written::new(sheet).mistakes("stakes")
}

/// 3 m/s, seeds 5 cm apart, 20 cells of carry; plots of 8 m, alleys of 1.5 m.
fn sheet(headland: &str, rest: &str) -> String {
    format!(
        "[planter]\nrows = 4\nrow-spacing = \"25 cm\"\nplate = {{ cells = 60, carry = 20 }}\n\
         [trial]\nplot = \"8 m\"\nalley = \"1.5 m\"\nspeed = \"3 m/s\"\nseed-spacing = \"5 cm\"\n\
         rows-per-plot = 2\nranges = 6\npasses = 5\n[layout]\nborder-passes = 1\n\
         border-ranges = 1\n{headland}\n{rest}"
    )
}

#[track_caller]
fn close(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} and {b}");
}

fn end<'a>(report: &'a Report, name: &str) -> &'a serde_json::Value {
    let rows = report.table(KEY, "run-up").expect("a table");
    rows.iter().find(|row| row["end"] == name).unwrap_or_else(|| panic!("no {name} in {rows:?}"))
}

fn cell(row: &serde_json::Value, key: &str) -> f64 {
    row[key].as_f64().unwrap_or_else(|| panic!("no {key} in {row}"))
}

// Published, and by hand.

/// A tractor of a school worksheet is at 3 m/s after 20 s: 0.15 m/s², and so 30 m. With 20 x 5 cm for the
/// plate and 9 m of machine 40 m: 5 m to spare of 45, and 5 too few of 35, where 3 x sqrt((35 - 10) / 30)
/// = 2.7386 m/s would do.
#[test]
fn a_start_as_published_against_both_headlands() {
    let up = "[run-up]\ntime-to-speed = \"20 s\"\nmachine-length = \"9 m\"\n";
    let report = report(&[], &sheet("headland = \"45 m\"\nend-headland = \"35 m\"", up));
    close(report.number(KEY, "acceleration"), 15.0, 1e-9);
    close(report.number(KEY, "run-up"), 3000.0, 1e-9);
    close(report.number(KEY, "way that fills the plate"), 100.0, 1e-9);
    close(report.number(KEY, "ground needed before the first plot"), 4000.0, 1e-9);
    let (near, far) = (end(&report, "start line"), end(&report, "far edge"));
    close(cell(near, "spare_cm"), 500.0, 1e-9);
    close(cell(far, "spare_cm"), -500.0, 1e-9);
    assert_eq!(
        (near["verdict"].as_str(), far["verdict"].as_str()),
        (Some("long enough"), Some("too short"))
    );
    assert!(near["spare_one_pass_cm"].is_null());
    close(report.number(KEY, "speed that the headland allows, far edge"), 273.861, 1e-3);
    assert!(report.warned(KEY, "headland-short"));
    let next = report.next_instruction().expect("a step");
    assert!(next.starts_with("the ground at the far edge is 500 cm short"), "{next}");
    // Downward, so that it has room: 2.7 m/s.
    assert!(next.contains("drive at 2.7 m/s or slower"), "{next}");
    // 100 of 800 cm; five passes and a border on either side, two plots abreast.
    close(report.number(KEY, "of the first plot bare, plate empty at its start"), 12.5, 1e-9);
    close(report.number(KEY, "first plots of passes"), 14.0, 1e-9);
    // What protects hands and riders is said.
    assert!(report.result(KEY)["cautions"].to_string().contains("roll-over bar"));
}

/// Let in standing, the plate fills on the run-up: 30 + 9 = 39 m. By the changeover at the first mark 39 m
/// too, up to 75 cm before the plots.
#[test]
fn when_the_plate_is_filled_makes_a_difference() {
    let of = |fills: &str, headland: &str| {
        let up = format!(
            "[run-up]\ntime-to-speed = \"20 s\"\nmachine-length = \"9 m\"\nplate-fills = \"{fills}\"\n"
        );
        report(&[], &sheet(&format!("headland = \"{headland}\""), &up))
    };
    for (fills, headland, room, needed) in [
        ("at-speed", "40 m", 4000.0, 4000.0),
        ("standing", "39 m", 3900.0, 3900.0),
        ("at-first-mark", "39.75 m", 3900.0, 3900.0),
    ] {
        let report = of(fills, headland);
        let near = end(&report, "start line");
        close(cell(near, "room_cm"), room, 1e-9);
        close(cell(near, "needed_cm"), needed, 1e-9);
        assert_eq!(near["verdict"], "long enough", "{fills}");
        assert!(!report.warned(KEY, "headland-short"));
    }
    assert!(of("at-speed", "39.9 m").warned(KEY, "headland-short"));
    assert!(of("standing", "38.9 m").warned(KEY, "headland-short"));
    assert!(of("at-first-mark", "39.6 m").warned(KEY, "headland-short"));
    // A start so quick that the plate is not full yet at speed: 3 x 0.5 / 2 = 0.75 m, 1 m to fill.
    let quick = "[run-up]\ntime-to-speed = \"0.5 s\"\nplate-fills = \"standing\"\n";
    let report = report(&[], &sheet("headland = \"1 m\"", quick));
    close(report.number(KEY, "ground needed before the first plot"), 100.0, 1e-9);
    assert_eq!(end(&report, "start line")["verdict"], "long enough");
    let short = self::report(&[], &sheet("headland = \"0.9 m\"", quick));
    let next = short.next_instruction().expect("a step");
    assert!(next.contains("no speed is slow enough"), "{next}");
}

/// 4, 5 and 6 m: mean 5, SD 1, standard error 0.57735, t of 2 degrees of freedom 4.303 (NIST/SEMATECH
/// e-Handbook 1.3.6.7.2): 2.516 to 7.484 m; the next start sqrt(1 + 1/3) x 4.303 = 4.969 above the mean.
#[test]
fn starts_taped_have_an_interval_and_a_longest_one() {
    let run = "[[run-up-run]]\ndistance = [\"4 m\", \"5 m\", \"6 m\"]\n";
    let written = sheet("headland = \"8 m\"\nend-headland = \"12 m\"", run);
    let taped = report(&[], &written);
    close(taped.number(KEY, "mean run-up"), 500.0, 1e-9);
    close(taped.number(KEY, "low run-up"), 251.6, 0.1);
    close(taped.number(KEY, "high run-up"), 748.4, 0.1);
    close(taped.number(KEY, "run-up of one pass, high"), 996.9, 0.1);
    let (near, far) = (end(&taped, "start line"), end(&taped, "far edge"));
    close(cell(near, "spare_cm"), 200.0, 1e-9);
    close(cell(near, "spare_one_pass_cm"), 800.0 - 1096.9, 0.1);
    assert_eq!(near["verdict"], "too short at times");
    assert_eq!(far["verdict"], "long enough");
    let next = taped.next_instruction().expect("a step");
    assert!(next.contains("start line is at times up to 297 cm short"), "{next}");
    // 3 m/s in 2 s is 3 m, half the speed on the way.
    let timed = "[[run-up-run]]\ntimes = [\"2 s\", \"4 s\"]\n";
    let timed = report(&[], &sheet("headland = \"8 m\"", timed));
    close(timed.number(KEY, "mean run-up"), 450.0, 1e-9);
    // Ways taped are counted first; a run goes before the time of the table.
    let both = format!(
        "[run-up]\ntime-to-speed = \"20 s\"\n{run}[[run-up-run]]\ntimes = [\"2 s\", \"4 s\"]\n"
    );
    let without = Written::new(&sheet("headland = \"30 m\"", &both)).run(&[
        "calibrate",
        "--without",
        "run-up:1,run-up:5",
        "--format",
        "json",
    ]);
    let without = Report::read(&without.stdout);
    close(without.number(KEY, "mean run-up"), (500.0 + 600.0 + 300.0) / 3.0, 1e-9);
    assert!(without.warned(KEY, "left-out"));
    // A single start has no scatter, and starts all alike have none to show.
    for one in ["[\"5 m\"]", "[\"5 m\", \"5 m\"]"] {
        let run = format!("[[run-up-run]]\ndistance = {one}\n");
        let one = report(&[], &sheet("headland = \"8 m\"", &run));
        assert!(end(&one, "start line")["spare_one_pass_cm"].is_null());
    }
}

/// It stands beside the stakes, and on their printed page; nothing of it where all is well.
#[test]
fn the_stakes_say_it_on_paper_too() {
    let page = |headland: &str| {
        let up = "[run-up]\ntime-to-speed = \"20 s\"\n";
        let sheet = Written::new(&sheet(headland, up));
        let output = sheet.run(&["print", "stakes"]);
        let text = String::from_utf8(output.stdout).expect("text");
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let words = "the ground at the start line is 100 cm short of what a pass needs";
    assert!(page("headland = \"30 m\"").contains(words));
    assert!(!page("headland = \"31 m\"").contains("short of what a pass needs"));
    let up = "[run-up]\ntime-to-speed = \"20 s\"\n";
    let both = report(&[], &sheet("headland = \"31 m\"", up));
    assert!(both.results().iter().any(|result| result["calculation"] == "stakes"));
    assert!(both.next_instruction().expect("a step").starts_with("lay the tape"));
}

// Odd and wrong input.

#[test]
fn without_a_layout_there_is_nothing_to_hold_it_against() {
    let bare = "[planter]\nrow-spacing = \"25 cm\"\nplate = { cells = 60, carry = 20 }\n[trial]\n\
                speed = \"3 m/s\"\nseed-spacing = \"5 cm\"\n[run-up]\ntime-to-speed = \"20 s\"\n";
    let report = report(&[], bare);
    close(report.number(KEY, "ground needed before the first plot"), 3100.0, 1e-9);
    assert!(report.table(KEY, "run-up").is_none());
}

#[test]
fn what_it_needs_is_asked_for_and_what_can_not_be_refused() {
    let up = "[run-up]\ntime-to-speed = \"20 s\"\n";
    let whole = sheet("headland = \"45 m\"", up);
    for (line, words) in [
        ("speed = \"3 m/s\"\n", "[run-up] needs `speed` in [trial]"),
        ("seed-spacing = \"5 cm\"\n", "needs `row-spacing` in [planter], and `population`"),
        (", carry = 20", "[run-up] needs `carry` in [planter.plate]"),
    ] {
        let said = mistakes(&whole.replace(line, ""));
        assert!(said.contains("error[missing-key]") && said.contains(words), "{line}: {said}");
    }
    // A sheet that begins from another has none of its runs, and is no mistake.
    let unsaid = Written::new(&whole.replace("time-to-speed = \"20 s\"\n", "")).run(&["stakes"]);
    assert_eq!(unsaid.status.code(), Some(0));
    let said = String::from_utf8(unsaid.stdout).expect("text");
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("[run-up] does not say how the planter gets to its speed"), "{said}");
    for (run, words) in [
        ("distance = [\"0 m\"]", "a start over no ground at all is none"),
        ("distance = [\"5 m\"]\ntimes = [\"5 s\"]", "`distance` and `times` both say"),
        ("note = \"wet\"", "this [[run-up-run]] has neither `distance` nor `times`"),
        ("times = [\"0.1 s\"]", "error[out-of-range]"),
    ] {
        let said = mistakes(&sheet("headland = \"45 m\"", &format!("[[run-up-run]]\n{run}\n")));
        assert!(said.contains(words), "{run}: {said}");
    }
    // A start at another speed tells nothing of this one.
    let other = "[run-up]\ntime-to-speed = \"20 s\"\n[[run-up-run]]\nspeed = \"2 m/s\"\n\
                 distance = [\"5 m\", \"6 m\"]\n";
    let other = report(&[], &sheet("headland = \"45 m\"", other));
    close(other.number(KEY, "run-up"), 3000.0, 1e-9);
}

// Laws.

/// A planter that gains its speed evenly, moved in small steps; its plate is turned by the ground.
/// Returns the way until it is at speed, and that until its first seed falls where seed is let in then.
fn moved(speed: f64, time: f64, carry: f64, spacing: f64) -> (f64, f64) {
    let step = time / 20_000.0;
    let (mut now, mut way) = (0.0, 0.0);
    while now < speed {
        way += (now + speed * step / time / 2.0) * step;
        now += speed * step / time;
    }
    let at_speed = way;
    let mut turned = 0.0;
    while turned < carry {
        way += spacing / 100.0;
        turned += 0.01;
    }
    (at_speed, way)
}

proptest! {
    #![proptest_config(cases(24))]

    #[test]
    fn a_planter_moved_step_by_step_needs_as_much(
        speed in 50.0..300.0_f64, time in 1.0..20.0_f64, carry in 1_u32..59, spacing in 1.0..30.0_f64,
        machine in 0.0..1500.0_f64,
    ) {
        let (at_speed, first_seed) = moved(speed, time, f64::from(carry), spacing);
        let text = sheet("headland = \"45 m\"", &format!(
            "[run-up]\ntime-to-speed = \"{time:.9} s\"\nmachine-length = \"{machine:.9} cm\"\n"
        ));
        let text = text
            .replace("speed = \"3 m/s\"", &format!("speed = \"{:.9} m/s\"", speed / 100.0))
            .replace("carry = 20", &format!("carry = {carry}"))
            .replace("seed-spacing = \"5 cm\"", &format!("seed-spacing = \"{spacing:.9} cm\""));
        let report = report(&[], &text);
        prop_assert!((report.number(KEY, "run-up") - at_speed).abs() < 1e-3 * at_speed);
        let needed = report.number(KEY, "ground needed before the first plot");
        prop_assert!((needed - first_seed - machine).abs() < 1e-3 * needed + spacing / 50.0);
    }

    /// At the speed that a headland is said to allow it has just room, where as much speed is gained in
    /// a time.
    #[test]
    fn the_speed_allowed_has_just_room(time in 4.0..20.0_f64, headland in 4.0..12.0_f64) {
        let text = |speed: f64, time: f64| sheet(
            &format!("headland = \"{headland:.6} m\""),
            &format!("[run-up]\ntime-to-speed = \"{time:.9} s\"\nmachine-length = \"2 m\"\n"),
        ).replace("speed = \"3 m/s\"", &format!("speed = \"{speed:.9} m/s\""));
        let first = report(&[], &text(3.0, time));
        let Some(allowed) = first.maybe(KEY, "speed that the headland allows") else {
            return Ok(());
        };
        let slower = report(&[], &text(allowed / 100.0, time * allowed / 300.0));
        let spare = cell(end(&slower, "start line"), "spare_cm");
        prop_assert!(spare.abs() < 1e-3, "{spare}");
    }
}
