//! Settings at the edges of their steps, and on how little a change may rest: sheets whose right
//! answer was worked out by hand, and laws on random sheets.
//!
//! `SETTINGS=100000 cargo test --release --test settings` holds the laws against so many sheets; an
//! everyday run against a few hundred.

#![allow(clippy::expect_used, clippy::panic)]

use alleytrue::calculations::registry::Job;
use alleytrue::outcome::{Outcome, Report, SettingResult, Verdict};
use alleytrue::sheet::{FieldSheet, Source};
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::select;

fn job(sheet: &str) -> Box<Job> {
    let read = FieldSheet::read(&Source::new("sheet.toml", sheet));
    read.unwrap_or_else(|mistakes| panic!("{}\n{sheet}", mistakes[0].message)).job
}

fn report(sheet: &str) -> Report {
    job(sheet).calibrate().expect("results")
}

fn result<'a>(report: &'a Report, calculation: &str) -> &'a Outcome {
    let found = report.outcomes.iter().find(|one| one.calculation.key == calculation);
    found.unwrap_or_else(|| panic!("no {calculation}"))
}

#[track_caller]
fn setting(report: &Report, calculation: &str, word: &str, set: f64, reason: &str) {
    let setting = &result(report, calculation).settings[0];
    let said = (setting.verdict.word(), setting.verdict.reason());
    assert_eq!(said, (word, reason));
    approx::assert_relative_eq!(setting.set.number(), set, max_relative = 1e-12);
}

fn said<'a>(report: &'a Report, calculation: &str, code: &str) -> Option<&'a str> {
    let mut warnings = result(report, calculation).warnings.iter();
    warnings.find(|one| one.kind.code == code).map(|one| one.message.as_str())
}

fn next(report: &Report) -> &str {
    report.next.as_ref().map_or("nothing", |next| next.instruction.as_str())
}

/// A sheet with a trip scale, its step and its readouts between marks 20 ft apart. A plot of 17 ft
/// 6 in with an alley of 30 in is a trip of 240 in.
fn trip(scale: &str, kind: &str, step: &str, runs: &[&str]) -> String {
    let runs: String = runs
        .iter()
        .map(|readout| format!("[[trip-run]]\nmarks = \"20 ft\"\nreadout = [{readout}]\n"))
        .collect();
    format!(
        "bare-length = \"in\"
[planter.controller]
trip-scale = {{ {kind}, step = {step} }}
[trial]
plot = \"17 ft 6 in\"
alley = \"30 in\"
tolerance = {{ trip = \"1 in\" }}
[settings]
trip-scale = {scale}
{runs}"
    )
}

const COUNTS: &str = "counts = \"per length\"";
const LENGTH: &str = "length = \"per count\"";

/// A sheet with a setback and middles of alleys that lie ahead of their marks.
fn alleys(now: &str, step: &str, tolerance: &str, runs: &str) -> String {
    format!(
        "bare-length = \"in\"
[planter.controller]
setback = {{ raising-moves-alley = \"back\", step = \"{step}\" }}
[trial]
plot = \"17 ft 6 in\"
alley = \"30 in\"
tolerance = {{ centre = \"{tolerance}\" }}
[settings]
setback = \"{now}\"
{runs}"
    )
}

/// Middles 0.3 in ahead: (15.3 - 14.7) / 2; the exact setback is 15.1 + 0.3 = 15.4 in. By a step
/// of 1 in, 15 in is 0.4 in away from that and 16 in 0.6 in, both further than the 0.3 in of now.
#[test]
fn a_setback_off_its_grid_is_not_moved_away_from_where_it_must_go() {
    let runs = "[[alley-run]]
last-seed-to-mark = [14.7, 14.75, 14.65, 14.7, 14.7, 14.75, 14.65, 14.7]
mark-to-first-seed = [15.3, 15.25, 15.35, 15.3, 15.3, 15.25, 15.35, 15.3]";
    let kept = report(&alleys("15.1 in", "1 in", "0.25 in", runs));
    let words = "nothing better can be set by a step of 1 in; 0.3 in stays, beyond the tolerance \
                 of 0.25 in";
    setting(&kept, "alley", "keep", 15.1, words);
    let fault = "the setback goes by steps of 1 in, and each makes 1 in, more than the tolerance \
                 of 0.25 in: what is left after setting may be beyond it";
    assert_eq!(said(&kept, "alley", "step-too-coarse"), Some(fault));
    assert_eq!(next(&kept), fault);
    // By a step of 0.1 in it is set exactly.
    let set = report(&alleys("15.1 in", "0.1 in", "0.25 in", runs));
    setting(&set, "alley", "change", 15.4, "raise it by 0.3 in");
    // By a step of 0.5 in, 15.5 in leaves 0.1 in: 0.2 in nearer, which is less than half a step,
    // but inside the tolerance, and 0.3 in is not.
    let set = report(&alleys("15.1 in", "0.5 in", "0.25 in", runs));
    setting(&set, "alley", "change", 15.5, "raise it by 0.4 in");
    let left = result(&set, "alley").values.iter();
    let mut left = left.filter(|value| value.name() == Some("shift left by the setback step"));
    approx::assert_relative_eq!(left.next().expect("a line").number(), -0.1, max_relative = 1e-9);
    // With a tolerance of 0.05 in neither is inside, and 0.2 in gained is less than rounding costs.
    let kept = report(&alleys("15.1 in", "0.5 in", "0.05 in", runs));
    let words = "nothing better can be set by a step of 0.5 in; 0.3 in stays, beyond the \
                 tolerance of 0.05 in";
    setting(&kept, "alley", "keep", 15.1, words);
}

/// Middles (17.79 - 12.13) / 2 ahead, about 2.8 in: the exact setback is 15 + 2.8 = 17.8 in. By a
/// step of 12 in, 12 in is 5.8 in away and 24 in 6.2 in.
#[test]
fn a_setback_whose_step_is_a_foot_is_not_lowered_where_it_must_be_raised() {
    let runs = "[[alley-run]]
heading = \"out\"
last-seed-to-mark = [11.5, 12, 13, 12.5, 12, 11.5]
mark-to-first-seed = [17.5, 18.5, 17, 18, 18, 17.5]
[[alley-run]]
heading = \"home\"
last-seed-to-mark = [12.5, 12, 11.5, 13, 12.5, 12]
mark-to-first-seed = [18, 17.5, 18.5, 17, 17.5, 18]";
    let kept = report(&alleys("15 in", "1 ft", "1 in", runs));
    // Out: sides 72.5 / 6 and 106.5 / 6; home: 73.5 / 6 and 106.5 / 6. (106.5 - 72.5 + 106.5 -
    // 73.5) / 24 = 67 / 24 = 2.7917.
    let words = "nothing better can be set by a step of 1 ft; 2.79 in stays, beyond the tolerance \
                 of 1 in";
    setting(&kept, "alley", "keep", 15.0, words);
    assert!(said(&kept, "alley", "step-too-coarse").is_some());
    // 15 + 2.79 = 17.79: by a step of 5 in it becomes 20 in, which leaves 2.21 in; 0.58 in nearer
    // is less than half a step.
    let kept = report(&alleys("15 in", "5 in", "1 in", runs));
    assert_eq!(result(&kept, "alley").settings[0].set.number(), 15.0);
    // By a step of 3 in it becomes 18 in, 0.21 in past.
    let set = report(&alleys("15 in", "3 in", "1 in", runs));
    setting(&set, "alley", "change", 18.0, "raise it by 3 in");
}

/// What lies between steps that are too coarse: 15 + 3.4 = 18.4 in. By a step of 2 in 18 in leaves
/// 0.4 in, beyond a tolerance of 0.25 in, and is nearer by 3 in than now.
#[test]
fn what_a_step_leaves_beyond_the_tolerance_is_said() {
    let runs = "[[alley-run]]
last-seed-to-mark = [11.6, 11.65, 11.55, 11.6, 11.6]
mark-to-first-seed = [18.4, 18.35, 18.45, 18.4, 18.4]";
    let set = report(&alleys("15 in", "2 in", "0.25 in", runs));
    let words = "raise it by 3 in; 0.4 in stays, beyond the tolerance of 0.25 in";
    setting(&set, "alley", "change", 18.0, words);
}

/// Mean readout 200.1 in for 240 in: 0.2 x 240 / 200.1 = 0.23988. By a step of 0.5 the nearest is
/// 0, which divides by nothing, and 0.5 makes plots of 240 x 0.23988 / 0.5 = 115 in.
#[test]
fn a_scale_is_never_set_to_zero() {
    let readout = "200, 201, 200, 199, 200, 201, 200, 199, 200, 201";
    let coarse = "the trip scale goes by steps of 0.5, more than the trip scale itself (0.2 now): \
                  look at the step in [planter.controller]";
    // 240 x 240 / 200.1 - 240 = 47.856 in are beyond a tenth of the plot of 210 in.
    let once = report(&trip("0.2", LENGTH, "0.5", &[readout]));
    let words = "47.9 in is more than a tenth of the plot of 210 in: measure it again, as a run \
                 of its own, before anything is set";
    setting(&once, "trip", "measure more", 0.2, words);
    assert_eq!(said(&once, "trip", "step-too-coarse"), Some(coarse));
    // Measured again: still nothing that could be set.
    let twice = report(&trip("0.2", LENGTH, "0.5", &[readout, readout]));
    let words = "nothing better can be set by a step of 0.5; 47.9 in stays, beyond the tolerance \
                 of 1 in";
    setting(&twice, "trip", "keep", 0.2, words);
    assert_eq!(said(&twice, "trip", "step-too-coarse"), Some(coarse));
    assert_eq!(next(&twice), coarse);
    // By a step of 0.001 it is set: 0.240.
    let set = report(&trip("0.2", LENGTH, "0.001", &[readout, readout]));
    setting(&set, "trip", "change", 0.24, "raise it by 0.04");
}

/// Mean readout 230 in: 402.5 x 230 / 240 = 385.73, and the nearest by a step of 1000 is 0.
#[test]
fn a_step_that_is_coarser_than_the_scale_is_named_as_the_fault() {
    let kept = report(&trip("402.5", COUNTS, "1000", &["230, 231, 230, 229, 230, 230"]));
    // 240 x 402.5 / 385.73 - 240 = 10.43 in.
    let words = "nothing better can be set by a step of 1000; 10.4 in stays, beyond the tolerance \
                 of 1 in";
    setting(&kept, "trip", "keep", 402.5, words);
    let coarse = "the trip scale goes by steps of 1000, more than the trip scale itself (402.5 \
                  now): look at the step in [planter.controller]";
    assert_eq!(said(&kept, "trip", "step-too-coarse"), Some(coarse));
    // By a step of 1 it is 386.
    let set = report(&trip("402.5", COUNTS, "1", &["230, 231, 230, 229, 230, 230"]));
    setting(&set, "trip", "change", 386.0, "lower it by 16.5");
}

/// 402.5 x 237 / 240 = 397.47; the scale is changed by 3 readouts and more, and by fewer than 5 it
/// says how few.
#[test]
fn a_change_takes_three_readings_and_says_so_below_five() {
    let by = |readout: &str| report(&trip("402.5", COUNTS, "0.01", &[readout]));
    let two = "2 readouts are too few to change anything by: measure 8 more";
    setting(&by("237, 237.01"), "trip", "measure more", 402.5, two);
    setting(
        &by("237, 237.1, 236.9"),
        "trip",
        "change",
        397.47,
        "lower it by 5.03 (by 3 readouts only)",
    );
    let four = "lower it by 5.03 (by 4 readouts only)";
    setting(&by("237, 237.1, 236.9, 237"), "trip", "change", 397.47, four);
    setting(&by("237, 237.1, 236.9, 237, 237"), "trip", "change", 397.47, "lower it by 5.03");
}

/// Readouts of 244 and 244.1 in: 3.98 in short, and the interval from 4.61 to 3.36 in lies wholly
/// beyond the tolerance of 1 in. Two readings change nothing all the same.
#[test]
fn two_readings_wholly_beyond_the_tolerance_decide_nothing() {
    let kept = report(&trip("400", COUNTS, "0.01", &["244, 244.1"]));
    let words = "2 readouts are too few to change anything by: measure 8 more";
    setting(&kept, "trip", "measure more", 400.0, words);
}

#[test]
fn alleys_and_leads_take_three_readings_a_side_as_well() {
    let run = |heading: &str, a: &str, b: &str| {
        format!(
            "[[alley-run]]\nheading = \"{heading}\"\nlast-seed-to-mark = [{a}]\n\
             mark-to-first-seed = [{b}]\n"
        )
    };
    let home = run("home", "12, 12.1, 11.9, 12, 12", "18, 17.9, 18.1, 18, 18");
    let said = |out: &str| report(&alleys("15 in", "0.5 in", "1 in", &[out, &home].concat()));
    let two = said(&run("out", "12, 12.1", "18, 17.9"));
    let words = "2 alley centres are too few going out to change anything by: measure 3 more";
    setting(&two, "alley", "measure more", 15.0, words);
    let three = said(&run("out", "12, 12.1, 11.9", "18, 17.9, 18.1"));
    let words = "raise it by 3 in (by 3 alley centres one way only)";
    setting(&three, "alley", "change", 18.0, words);
    let lead = |list: &str| report(&passes(&format!("[[pass-run]]\nlead = [{list}]\n")));
    let words = "2 leads are too few to change anything by: measure 8 more";
    setting(&lead("8, 8.01"), "passes", "measure more", 6.5, words);
    // Raising it moves alleys back by half of 8.
    setting(&lead("8, 8.1, 7.9"), "passes", "change", 10.5, "raise it by 4 in (by 3 leads only)");
}

/// A sheet with leads; raising the pass offset moves alleys back.
fn passes(runs: &str) -> String {
    format!(
        "bare-length = \"in\"
[planter.controller]
pass-offset = {{ raising-moves-alley = \"back\", step = \"0.5 in\" }}
[trial]
plot = \"17 ft 6 in\"
alley = \"30 in\"
tolerance = {{ passes = \"1 in\" }}
[settings]
pass-offset = \"6.5 in\"
{runs}"
    )
}

/// Plots of 210 in and alleys of 30 in: marks stand 240 in apart. Leads of 720 in are three of
/// that; half of one is 120 in.
#[test]
fn what_is_measured_beyond_half_a_trip_spacing_is_another_alley() {
    let lead = |list: &str| report(&passes(&format!("[[pass-run]]\nlead = [{list}]\n")));
    let words = |of: &str| {
        format!(
            "a lead of {of} in is more than half the trip spacing of 240 in: another alley was \
             measured; measure again"
        )
    };
    setting(&lead("720, 721, 720, 719, 720, 720"), "passes", "measure more", 6.5, &words("720"));
    setting(&lead("720"), "passes", "measure more", 6.5, &words("720"));
    setting(
        &lead("-121, -121, -121.1, -120.9, -121"),
        "passes",
        "measure more",
        6.5,
        &words("-121"),
    );
    // A shift of 30 in is beyond a tenth of the plot, 21 in, and of 20.5 in is not.
    let again = "30 in is more than a tenth of the plot of 210 in: measure it again, as a run of \
                 its own, before anything is set";
    setting(&lead("60, 60.1, 59.9, 60, 60"), "passes", "measure more", 6.5, again);
    setting(&lead("41, 41.1, 40.9, 41, 41"), "passes", "change", 27.0, "raise it by 20.5 in");
    // Measured again, and the same came out: 6.5 + 30.
    let run = "[[pass-run]]\nlead = [60, 60.1, 59.9, 60, 60]\n";
    let twice = report(&passes(&[run, run].concat()));
    setting(&twice, "passes", "change", 36.5, "raise it by 30 in");
    // An alley 150 in from its mark.
    let far = "[[alley-run]]
last-seed-to-mark = [-135, -135.1, -134.9, -135, -135]
mark-to-first-seed = [165, 164.9, 165.1, 165, 165]";
    let alley = report(&alleys("15 in", "0.5 in", "1 in", far));
    let words = "a shift of 150 in is more than half the trip spacing of 240 in: another alley was \
                 measured, or against another mark; measure again";
    setting(&alley, "alley", "measure more", 15.0, words);
}

/// Readouts of 238, 238.1 and 120 in: their mean is 198.7 and their SD 68.16 in, and no number of
/// readings up to 10,000 tells an error from 1 in with that. The first two alone are 0.07 in apart.
#[test]
fn a_slip_that_no_number_of_readings_makes_up_for_is_pointed_at() {
    let slip = report(&trip("402.5", COUNTS, "0.01", &["238, 238.1, 120"]));
    // 240 x 240 / 198.7 - 240 = 49.88 in; t of 2 degrees of freedom is 4.3027 (NIST/SEMATECH
    // e-Handbook 1.3.6.7.2 has 4.303): 4.3027 x 68.156 / sqrt(3) x 240 x 240 / 198.7^2 = 247.0 in.
    let words = "49.9 in give or take 247 in can't be told from the tolerance of 1 in: readout 3 \
                 (120 in) alone keeps it from being told; look at that reading before more is \
                 measured, or leave it out by --without trip:3";
    setting(&slip, "trip", "measure more", 402.5, words);
    // Where all of them scatter, none is to blame.
    let wild = report(&trip("402.5", COUNTS, "0.01", &["238, 180, 120"]));
    let reason = result(&wild, "trip").settings[0].verdict.reason();
    let words = "too many readouts to count would have to be measured: find out what scatters them";
    assert!(reason.ends_with(words), "{reason}");
}

/// Middles of 0 and 0.6 in in turn: 0.3 in, SD 0.3 x sqrt(8 / 7) = 0.3207 in, and t of 7 degrees of
/// freedom is 2.365 (NIST/SEMATECH e-Handbook 1.3.6.7.2): 2.365 x 0.3207 / sqrt(8) = 0.268 in. That
/// reaches from 0.03 to 0.57 in, out of a tolerance of 0.5 in. 15.1 + 0.3 = 15.4 in; by a step of
/// 0.5 in 15.5 in leaves 0.1 in, and all of 0.1 + 0.268 in is inside. That is 0.2 in nearer only,
/// less than half a step.
#[test]
fn a_step_that_takes_the_whole_interval_inside_is_made() {
    let runs = "[[alley-run]]
last-seed-to-mark = [15, 14.4, 15, 14.4, 15, 14.4, 15, 14.4]
mark-to-first-seed = [15, 15.6, 15, 15.6, 15, 15.6, 15, 15.6]";
    let set = report(&alleys("15.1 in", "0.5 in", "0.5 in", runs));
    setting(&set, "alley", "change", 15.5, "raise it by 0.4 in");
}

/// A length per count makes the less error the higher it stands. With 1.0005 and a mean readout of
/// 228.642 in: 1.0005 x 240 / 228.642 = 1.0502. By a step of 0.1 it becomes 1.1, which leaves 240 x
/// 1.0502 / 1.1 - 240 = -10.9 in where 1.0005 leaves 11.9 in. But 1.1 is 0.0498 from 1.0502 and
/// 1.0005 is 0.0497.
#[test]
fn a_setting_that_is_no_nearer_is_not_made_though_its_error_is_less() {
    let readout = "228.642, 228.641, 228.643, 228.642, 228.642";
    let sheet = trip("1.0005", LENGTH, "0.1", &[readout]).replace("\"1 in\"", "\"11.5 in\"");
    let words = "nothing better can be set by a step of 0.1; 11.9 in stays, beyond the tolerance \
                 of 11.5 in";
    setting(&report(&sheet), "trip", "keep", 1.0005, words);
}

/// With 2.3 and a mean readout of 394.3 in: 2.3 x 240 / 394.3 = 1.4, and by a step of 1 it becomes 1,
/// which is 0.4 from that where 2.3 is 0.9. But it makes 240 x 1.4 / 1 - 240 = 96 in of error where
/// 2.3 makes 240 x 1.4 / 2.3 - 240 = -93.9 in.
#[test]
fn a_setting_that_makes_more_error_is_not_made_though_it_is_nearer() {
    let readout = "394.3, 394.2, 394.4, 394.3, 394.3";
    let kept = report(&trip("2.3", LENGTH, "1", &[readout, readout]));
    let words = "nothing better can be set by a step of 1; 93.9 in stays, beyond the tolerance of \
                 1 in";
    setting(&kept, "trip", "keep", 2.3, words);
}

/// A setting that is a length goes from -100 to 100 ft, 1200 in. 1100 + 95 = 1195 in is one, and by a
/// step of 110 in it would become 1210 in. 1190 + 20 = 1210 in is none by itself.
#[test]
fn nothing_is_set_that_a_setting_can_not_be() {
    let run = |ahead: f64| {
        let list = |half: f64| format!("{half}, {}, {}, {half}, {half}", half + 0.1, half - 0.1);
        format!(
            "[[alley-run]]\nlast-seed-to-mark = [{}]\nmark-to-first-seed = [{}]\n",
            list(15.0 - ahead),
            list(15.0 + ahead)
        )
    };
    let twice = [run(95.0), run(95.0)].concat();
    let kept = report(&alleys("1100 in", "110 in", "1 in", &twice));
    let words = "nothing better can be set by a step of 110 in; 95 in stays, beyond the tolerance \
                 of 1 in";
    setting(&kept, "alley", "keep", 1100.0, words);
    let beyond = report(&alleys("1190 in", "0.5 in", "1 in", &run(20.0)));
    let words = "it would have to be 1210 in, and a setback is -100 ft to 100 ft: look at the \
                 numbers and measure again";
    setting(&beyond, "alley", "measure more", 1190.0, words);
}

/// Two runs that disagree say an error beyond a tenth of the plot, 21 in, not twice: they are named.
#[test]
fn two_runs_that_differ_do_not_say_an_error_twice() {
    let run = |list: &str| format!("[[pass-run]]\nlead = [{list}]\n");
    let apart = |one: &str, other: &str| {
        format!(
            "the runs disagree by more than their scatter: pass run 1 says {one} in, pass run 2 \
             says {other} in; find out what was different (seed, soil, tyres, slope, hand), or \
             measure a further run"
        )
    };
    // 100 / 2 = 50 in and -43 / 2 = -21.5 in.
    let both =
        [run("60, 70, 80, 90, 100, 110, 120, 130, 140"), run("-42, -43, -44, -43, -43, -43")]
            .concat();
    let found = report(&passes(&both).replace("\"1 in\"", "\"21 in\""));
    setting(&found, "passes", "measure more", 6.5, &apart("50", "-21.5"));
    // 90 / 2 = 45 in and 10 / 2 = 5 in.
    let both = [run("90, 90, 90.1, 89.9, 90"), run("10, 10, 10.1, 9.9, 10")].concat();
    let found = report(&passes(&both).replace("\"1 in\"", "\"21 in\""));
    setting(&found, "passes", "measure more", 6.5, &apart("45", "5"));
}

#[test]
fn too_few_alleys_coming_home_are_said_as_well() {
    let run = |heading: &str, a: &str, b: &str| {
        format!(
            "[[alley-run]]\nheading = \"{heading}\"\nlast-seed-to-mark = [{a}]\n\
             mark-to-first-seed = [{b}]\n"
        )
    };
    let out = run("out", "12, 12.1, 11.9, 12, 12", "18, 17.9, 18.1, 18, 18");
    let found = report(&alleys(
        "15 in",
        "0.5 in",
        "1 in",
        &[out, run("home", "12, 12.1", "18, 17.9")].concat(),
    ));
    let words = "2 alley centres are too few coming home to change anything by: measure 3 more";
    setting(&found, "alley", "measure more", 15.0, words);
}

/// The step is looked at where it is to be used; a setback may be less than its step.
#[test]
fn a_step_is_blamed_only_where_it_stands_in_the_way() {
    let run = "[[alley-run]]
last-seed-to-mark = [14.9, 15, 14.8, 14.9, 14.9]
mark-to-first-seed = [15.1, 15, 15.2, 15.1, 15.1]";
    // 0.1 in inside 1 in, with a step of 3 in; and told from nothing by none.
    let kept = report(&alleys("15 in", "3 in", "1 in", run));
    setting(&kept, "alley", "keep", 15.0, "inside the tolerance of 1 in");
    assert_eq!(said(&kept, "alley", "step-too-coarse"), None);
    let run = "[[alley-run]]
last-seed-to-mark = [12, 12.1, 11.9, 12, 12]
mark-to-first-seed = [18, 17.9, 18.1, 18, 18]";
    let set = report(&alleys("0.2 in", "0.5 in", "1 in", run));
    setting(&set, "alley", "change", 3.0, "raise it by 2.8 in");
    assert_eq!(said(&set, "alley", "step-too-coarse"), None);
    // 1100 x 196.4 / 240 = 900.2: no step of 1000 is near, though now is above one.
    let readout = "196.4, 196.3, 196.5, 196.4, 196.4";
    let coarse = report(&trip("1100", COUNTS, "1000", &[readout, readout]));
    let words = "the trip scale goes by steps of 1000, more than the trip scale has to be (900): \
                 look at the step in [planter.controller]";
    assert_eq!(said(&coarse, "trip", "step-too-coarse"), Some(words));
}

/// 402.5 x 237 / 240 = 397.469, and 397.5 by a step of 0.5: 240 x 397.5 / 397.469 - 240 = 0.02 in
/// stays, inside 1 in; that it is 4 in over 200 ranges is of no account where one plot is off by 3 in.
#[test]
fn what_a_step_leaves_of_an_error_beyond_the_tolerance_is_held_against_all_of_it() {
    let readout = "237, 237.1, 236.9, 237, 237";
    let sheet =
        trip("402.5", COUNTS, "0.5", &[readout]).replace("[trial]\n", "[trial]\nranges = 200\n");
    setting(&report(&sheet), "trip", "change", 397.5, "lower it by 5");
}

// ---- Numbers that can't be ----

/// A planter of 81.5 in a turn, 24/18 teeth and 40 cells; with sprockets that could be fitted.
fn drive(target: &str, tolerance: &str, more: &str) -> String {
    format!(
        "[planter]
row-spacing = \"30 in\"
rolling-circumference = \"100 in\"
travel-per-turn = {{ distance = \"67 ft 11 in\", turns = 10 }}
plate = {{ cells = 40 }}
[[planter.drive]]
driving = {{ fitted = 24, choices = [20, 22, 24, 25, 26, 28] }}
driven = {{ fitted = 18, choices = [16, 17, 18, 19, 20, 21] }}
[trial]
seed-spacing = \"{target}\"
{tolerance}
{more}"
    )
}

const TWO_PERCENT: &str = "tolerance = { spacing = \"2 %\" }";

/// 81.5 / (24 / 18 x 40) = 1.528 in of 15 in: 89.8 % off. The slowest drive is 20/21: 81.5 / (20 /
/// 21 x 40) = 2.139 in, 85.7 % off.
#[test]
fn where_no_sprockets_come_near_no_swap_is_advised() {
    for tolerance in [TWO_PERCENT, ""] {
        let found = report(&drive("15 in", tolerance, ""));
        let words = "the nearest these sprockets come to the target is -85.7 %";
        assert_eq!(said(&found, "spacing", "nothing-fits"), Some(words));
        for setting in &result(&found, "spacing").settings {
            let verdict = (setting.verdict.word(), setting.verdict.reason());
            assert_eq!(verdict, ("keep", "nothing that is listed fits"));
            assert_eq!(setting.set.number(), setting.now.as_ref().expect("fitted").number());
        }
        let words = "nothing fits: the seed spacing is -89.8 % off, and the nearest of the \
                     sprockets listed is -85.7 %; look at the numbers (target, travel per turn, \
                     cells, teeth), then get others, another plate, or settle for a target that \
                     the drive reaches";
        assert_eq!(next(&found), words);
    }
    // 1.6 in is reached by 24/19: 81.5 / (24 / 19 x 40) = 1.613 in, 0.8 % off.
    let found = report(&drive("1.6 in", TWO_PERCENT, ""));
    assert!(next(&found).contains("fit sprockets"), "{}", next(&found));
}

/// 721 turns of 100 in over 7200 in: 1 - 721 x 100 / 7200 = -901 %. The turns are wrong, and so is
/// the spacing that rests on them.
#[test]
fn a_skid_that_can_not_be_comes_before_the_sprockets() {
    let runs = "[[wheel-run]]\ncourse = \"200 ft\"\nturns = [240, 240, 241]";
    let found = report(&drive("1.5 in", TWO_PERCENT, runs));
    assert_eq!(said(&found, "wheel", "impossible-skid"), Some("a skid of -901 % can't be"));
    assert!(next(&found).starts_with("a skid of -901 % can't be: look at the turns"));
    assert!(said(&found, "spacing", "nothing-fits").is_some());
    let changes = |one: &SettingResult| matches!(one.verdict, Verdict::Change(_));
    assert!(!result(&found, "spacing").settings.iter().any(changes));
}

/// Pitch circles of 70 and 60 teeth: 1 / sin(180 / 70) = 22.29 and 1 / sin(180 / 60) = 19.11
/// pitches across; half of both is 20.70 pitches of 1 in.
#[test]
fn sprockets_that_would_lie_in_each_other_are_refused() {
    let sheet = |centre: &str| {
        format!(
            "[planter]
row-spacing = \"30 in\"
travel-per-turn = {{ distance = \"60 m\", turns = 10 }}
plate = {{ cells = 40, carry = 10 }}
[[planter.drive]]
driving = 70
driven = 60
centre-distance = \"{centre}\"
chain-pitch = \"1 in\"
links = 90
[trial]
alley = \"30 in\"
seed-spacing = \"6 in\""
        )
    };
    let read = |centre: &str| FieldSheet::read(&Source::new("sheet.toml", &sheet(centre)));
    for centre in ["12 in", "20.69 in"] {
        let mistakes = read(centre).expect_err("they touch");
        assert_eq!((mistakes.len(), mistakes[0].code.name), (1, "out-of-range"));
        assert!(mistakes[0].message.contains("for sprockets of 70 and 60 teeth"));
        assert_eq!(mistakes[0].allowed.as_deref(), Some("more than 20.7 in"));
    }
    assert!(read("20.71 in").is_ok());
}

/// Sprockets of 20 teeth are 1 / sin(180 / 20) = 6.39 pitches across and those of 40 teeth 12.75:
/// at 10 pitches 20 and 40 have room (9.57) and 40 and 40 have none (12.75). 400 / 10 /
/// (1 x 40) = 1 is the ratio wanted, which 40/40 makes, where there is room for it.
#[test]
fn sprockets_that_would_lie_in_each_other_are_not_advised() {
    let sheet = "[planter]
row-spacing = \"30 in\"
travel-per-turn = { distance = \"400 in\", turns = 10 }
plate = { cells = 40 }
[[planter.drive]]
driving = { fitted = 20, choices = [40] }
driven = 40
centre-distance = \"5 in\"
chain-pitch = \"1/2 in\"
[trial]
seed-spacing = \"1 in\"
tolerance = { spacing = \"2 %\" }";
    let found = report(sheet);
    assert!(!next(&found).contains("fit sprockets"), "{}", next(&found));
    let apart = sheet.replace("\"5 in\"", "\"7 in\"");
    let apart = report(&apart);
    assert!(next(&apart).contains("fit sprockets 40/40"), "{}", next(&apart));
}

// ---- Laws on random sheets ----

/// Sheets that the laws are held against.
fn sheets() -> u32 {
    std::env::var("SETTINGS").ok().and_then(|text| text.parse().ok()).unwrap_or(400)
}

/// A size between two, as many small as large ones.
fn size(least: f64, most: f64) -> impl Strategy<Value = f64> {
    (least.ln()..most.ln()).prop_map(f64::exp)
}

fn written(number: &str) -> f64 {
    number.parse().expect("a number")
}

/// A number of few digits, as people write them.
fn few_digits(least: f64, most: f64) -> impl Strategy<Value = f64> {
    (size(least, most), 0..3_usize).prop_map(|(size, digits)| written(&format!("{size:.digits$e}")))
}

/// A step: mostly a round one.
fn step(least: f64, most: f64) -> impl Strategy<Value = Option<f64>> {
    let round =
        (size(least, most), select(vec!["1", "2", "2.5", "5"])).prop_map(move |(size, first)| {
            written(&format!("{first}e{}", size.log10().floor())).clamp(least, most)
        });
    option::weighted(0.85, prop_oneof![3 => round, 1 => few_digits(least, most)])
}

/// Readings off by `error` each, with a scatter of their own.
#[derive(Clone, Debug)]
struct Readings {
    error: f64,
    off: Vec<f64>,
}

impl Readings {
    fn list(&self, of: impl Fn(f64) -> f64) -> String {
        let list: Vec<String> =
            self.off.iter().map(|off| format!("{:.4}", of(self.error + off))).collect();
        list.join(", ")
    }
}

/// So many readings; the errors are of every size up to some that no planter has.
fn readings(most_error: f64) -> impl Strategy<Value = Readings> {
    let error = (size(0.001, most_error), any::<bool>())
        .prop_map(|(size, back)| if back { -size } else { size });
    let scatter = (size(0.001, 2.0), vec(-1.0..1.0_f64, 1..12));
    (error, scatter).prop_map(|(error, (scatter, off))| Readings {
        error,
        off: off.into_iter().map(|off| off * scatter).collect(),
    })
}

/// A random sheet, with what the laws need of it.
#[derive(Clone, Debug)]
struct Random {
    per_length: bool,
    back: [bool; 2],
    scale: f64,
    held: [f64; 2],
    steps: [Option<f64>; 3],
    tolerances: [Option<f64>; 3],
    plot: f64,
    alley: f64,
    ranges: Option<u32>,
    trips: Vec<Readings>,
    headings: bool,
    alleys: Vec<Readings>,
    leads: Vec<Readings>,
}

fn random() -> impl Strategy<Value = Random> {
    let tolerance = || option::weighted(0.8, few_digits(0.01, 30.0));
    let held = || prop_oneof![1 => Just(0.0), 6 => few_digits(0.01, 200.0)];
    let machine = (
        any::<bool>(),
        any::<[bool; 2]>(),
        few_digits(1e-4, 1e6),
        [held(), held()],
        (step(1e-7, 1e6), step(0.001, 120.0), step(0.001, 120.0)),
    );
    let trial = (
        [tolerance(), tolerance(), tolerance()],
        few_digits(40.0, 900.0),
        few_digits(4.0, 90.0),
        option::of(1..60_u32),
    );
    let runs = (
        vec(readings(60.0), 0..3),
        any::<bool>(),
        vec(readings(150.0), 0..3),
        vec(readings(300.0), 0..3),
    );
    (machine, trial, runs).prop_map(|(machine, trial, runs)| Random {
        per_length: machine.0,
        back: machine.1,
        scale: machine.2,
        held: machine.3,
        steps: [machine.4.0, machine.4.1, machine.4.2],
        tolerances: trial.0,
        plot: trial.1,
        alley: trial.2,
        ranges: trial.3,
        trips: runs.0,
        headings: runs.1,
        alleys: runs.2,
        leads: runs.3,
    })
}

impl Random {
    fn text(&self) -> String {
        let step =
            |step: Option<f64>| step.map_or(String::new(), |step| format!(", step = {step}"));
        let way = |back: bool| if back { "back" } else { "ahead" };
        let mut text = format!(
            "bare-length = \"in\"
[planter.controller]
trip-scale = {{ {}{} }}
setback = {{ raising-moves-alley = \"{}\"{} }}
pass-offset = {{ raising-moves-alley = \"{}\"{} }}
[trial]
plot = {}
alley = {}
",
            if self.per_length { COUNTS } else { LENGTH },
            step(self.steps[0]),
            way(self.back[0]),
            step(self.steps[1]),
            way(self.back[1]),
            step(self.steps[2]),
            self.plot,
            self.alley
        );
        let mut line = |line: String| text.push_str(&line);
        if let Some(ranges) = self.ranges {
            line(format!("ranges = {ranges}\n"));
        }
        line("[trial.tolerance]\n".into());
        for (key, tolerance) in ["trip", "centre", "passes"].iter().zip(self.tolerances) {
            if let Some(tolerance) = tolerance {
                line(format!("{key} = {tolerance}\n"));
            }
        }
        line(format!(
            "[settings]\ntrip-scale = {}\nsetback = {}\npass-offset = {}\n",
            self.scale, self.held[0], self.held[1]
        ));
        for run in &self.trips {
            line(format!(
                "[[trip-run]]\nmarks = 240\nreadout = [{}]\n",
                run.list(|off| (240.0 + off).max(60.0))
            ));
        }
        for (place, run) in self.alleys.iter().enumerate() {
            let heading = ["out", "home"][place];
            let half = self.alley / 2.0;
            if self.headings {
                line(format!("[[alley-run]]\nheading = \"{heading}\"\n"));
            } else {
                line("[[alley-run]]\n".into());
            }
            line(format!(
                "last-seed-to-mark = [{}]\nmark-to-first-seed = [{}]\n",
                run.list(|ahead| half - ahead),
                run.list(|ahead| half + ahead)
            ));
        }
        for run in &self.leads {
            line(format!("[[pass-run]]\nlead = [{}]\n", run.list(|lead| lead)));
        }
        text
    }

    /// The error that a setting leaves where `exact` would be right, and what it must not be beyond.
    fn left(&self, which: usize, held: f64, exact: f64) -> f64 {
        let spacing = self.plot + self.alley;
        match which {
            0 if self.per_length => spacing * held / exact - spacing,
            0 => spacing * exact / held - spacing,
            _ => exact - held,
        }
        .abs()
    }

    /// The runs that a setting comes from: leads part planter from marks where alleys are of one
    /// heading.
    fn behind(&self, which: usize) -> &[Readings] {
        let one_heading = self.headings && self.alleys.len() == 1;
        match which {
            0 => &self.trips,
            1 if !one_heading || self.leads.is_empty() => &self.alleys,
            _ => &self.leads,
        }
    }

    /// The fewest readings of a run's side.
    fn fewest(&self, which: usize) -> usize {
        let runs = self.behind(which);
        let counts = runs.iter().map(|run| run.off.len());
        if which == 1 && self.alleys.len() > 1 && self.headings {
            counts.min()
        } else {
            Some(counts.sum())
        }
        .unwrap_or(0)
    }

    fn check(&self, which: usize, outcome: &Outcome) {
        let setting: &SettingResult = &outcome.settings[0];
        let now = [self.scale, self.held[0], self.held[1]][which];
        let (set, exact) = (setting.set.number(), setting.exact.number());
        if !matches!(setting.verdict, Verdict::Change(_)) {
            assert_eq!(set, now, "what is not changed stays");
            return;
        }
        let within = if which == 0 { 1e-6..=1e9 } else { -1200.0..=1200.0 };
        assert!(within.contains(&set), "{set} can't be set");
        assert!((set - exact).abs() < (now - exact).abs(), "{now} to {set}, away from {exact}");
        let left = |held: f64| self.left(which, held, exact);
        assert!(left(set) < left(now), "{now} to {set}: {} becomes {}", left(now), left(set));
        if let Some(step) = self.steps[which] {
            let steps = set / step;
            assert!((steps - steps.round()).abs() < 1e-6 * steps.abs().max(1.0), "{set} by {step}");
            let gained = (now - exact).abs() - (set - exact).abs();
            let interval = outcome.judgement.as_ref().and_then(|one| one.interval.as_ref());
            let half = interval.map_or(0.0, |interval| interval.half_width.number());
            // What would be kept on one plot, with its interval, is held against its share.
            let tolerance = self.tolerances[which].map(|all| {
                let adds_up = which == 0 && left(now) + half <= all * (1.0 + 1e-9);
                all / self.ranges.filter(|_| adds_up).map_or(1.0, f64::from)
            });
            // The error itself, or the whole of its interval.
            let demanded = [0.0, half].into_iter().any(|half| {
                let inside =
                    |held| tolerance.is_some_and(|most| left(held) + half <= most * 1.000_001);
                inside(set) && !inside(now)
            });
            assert!(gained >= step * 0.499_999 || demanded, "{now} to {set} for {exact} by {step}");
        } else {
            assert_eq!(set, exact);
        }
        assert!(self.fewest(which) >= 3, "{} readings", self.fewest(which));
        let error = left(now);
        assert!(error <= (self.plot + self.alley) / 2.0 * 1.000_001, "{error} is another alley");
        let several = self.behind(which).len() > 1;
        assert!(several || error <= self.plot / 10.0 * 1.000_001, "{error} was measured once");
    }
}

/// Nothing is divided by zero in any line, and every number is one.
fn arithmetic(outcome: &Outcome) {
    for step in outcome.working() {
        let line = step.to_string();
        let words: Vec<&str> = line.split_whitespace().collect();
        let by_zero = words.windows(2).any(|pair| pair[0] == "/" && pair[1] == "0");
        assert!(!by_zero && !line.contains("NaN") && !line.contains("inf"), "{line}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: sheets(), ..ProptestConfig::default() })]

    #[test]
    fn no_change_enlarges_an_error_or_sets_what_can_not_be(random in random()) {
        let sheet = random.text();
        let job = job(&sheet);
        let found = job.calibrate().expect("results");
        for outcome in found.outcomes.iter().filter(|one| !one.settings.is_empty()) {
            let keys = ["trip", "alley", "passes"];
            let which = keys.iter().position(|key| *key == outcome.calculation.key);
            random.check(which.expect("one of the three"), outcome);
        }
        found.outcomes.iter().for_each(arithmetic);
    }
}
