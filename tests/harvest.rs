//! Harvest lengths against published trims and widths, sums done by hand, laws, odd and wrong input.

#![allow(clippy::expect_used, clippy::panic)]

mod common;

use common::{Report, Written, cases};
use proptest::prelude::*;

const KEY: &str = "harvest";

fn report(arguments: &[&str], sheet: &str) -> Report {
    Written::new(sheet).report(&[&[KEY], arguments].concat())
}

fn mistakes(sheet: &str) -> String {
    Written::new(sheet).mistakes(KEY)
}

/// Rows 10 in apart, plots of 200 in, alleys of 40 in, seeds 2 in apart.
fn sheet(rest: &str) -> String {
    format!(
        "bare-length = \"in\"\n[planter]\nrows = 4\nrow-spacing = 10\n[trial]\nplot = 200\n\
         alley = 40\nseed-spacing = 2\ntolerance = {{ trip = 1 }}\n{rest}"
    )
}

fn run(between: &str, lengths: &[f64]) -> String {
    format!("[[harvest-run]]\nbetween = \"{between}\"\nlengths = {lengths:?}\n")
}

#[track_caller]
fn close(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} and {b}");
}

fn row<'a>(report: &'a Report, table: &str, plot: &str, by: &str) -> &'a serde_json::Value {
    let rows = report.table(KEY, table).expect("a table");
    let found = rows.iter().find(|row| row["plot"] == plot && row["by"] == by);
    found.unwrap_or_else(|| panic!("no {plot}, {by} in {rows:?}"))
}

fn cell(row: &serde_json::Value, key: &str) -> f64 {
    row[key].as_f64().unwrap_or_else(|| panic!("no {key} in {row}"))
}

// Published numbers.

/// Boerma, Marchant and Parker 1976, Agronomy Journal 68(5): rows of 6.1 m less 0.61 m at both ends
/// are 4.88 m.
#[test]
fn rows_trimmed_as_published() {
    let sheet = "[planter]\nrow-spacing = \"90 cm\"\n[trial]\nplot = \"6.1 m\"\nalley = \"1 m\"\n\
                 seed-spacing = \"3 cm\"\n[harvest]\ntrim = \"0.61 m\"\n";
    let report = report(&[], sheet);
    close(report.number(KEY, "cut to cut"), 488.0, 1e-9);
    close(report.number(KEY, "first to last seed, trimmed"), 485.0, 1e-9);
    assert_eq!(report.unit(KEY, "cut to cut"), "cm");
}

/// Immer 1932, J. Agric. Res. 44:649-668: plots of 33 ft with alleys of 2 ft, ten to 348 ft; so one
/// takes 35 ft from middle to middle, (348 + 2) / 10.
#[test]
fn middle_to_middle_as_published() {
    let sheet = "bare-length = \"ft\"\n[planter]\nrow-spacing = \"22 in\"\n[trial]\nplot = 33\n\
                 alley = 2\nseed-spacing = \"1 ft\"\n";
    let report = report(&[], sheet);
    close(report.number(KEY, "middle to middle") / 12.0, (348.0 + 2.0) / 10.0, 1e-9);
    close(report.number(KEY, "factor, first to last seed to middle to middle"), 33.0 / 35.0, 1e-9);
}

// Sums by hand.

/// 200, 202 and 240 in; four rows of 10 in, 40 in wide: 200 x 40 / 144 = 55.556 ft2. The limit is the
/// trip tolerance of 1 in: 200 / 201 - 1 = -0.497512 %, 200 / 199 - 1 = 0.502513 %.
#[test]
fn three_lengths_with_their_areas_and_errors() {
    let report = report(&[], &sheet(""));
    for (by, length, area) in [
        ("first to last seed", 200.0, 55.555_556),
        ("with one spacing", 202.0, 56.111_111),
        ("middle to middle", 240.0, 66.666_667),
    ] {
        let row = row(&report, "harvest-lengths", "as planned", by);
        close(cell(row, "length_in"), length, 1e-9);
        close(cell(row, "area_ft2"), area, 1e-6);
        close(cell(row, "too_long_percent"), 100.0 * (length / (length + 1.0) - 1.0), 1e-9);
        close(cell(row, "too_short_percent"), 100.0 * (length / (length - 1.0) - 1.0), 1e-9);
    }
    close(report.number(KEY, "yield, first to last seed, too long"), -0.497_512, 1e-6);
    close(report.number(KEY, "yield, first to last seed, too short"), 0.502_513, 1e-6);
    let middles = row(&report, "yield-factors", "as planned", "middle to middle");
    close(cell(middles, "to_seeds"), 1.2, 1e-12);
    close(cell(middles, "to_middles"), 1.0, 1e-12);
    assert_eq!(report.next_instruction(), None);
    // Nothing is chosen: it takes no turn where the sheet says nothing of the harvest.
    let (_, all) = (
        (),
        Report::of(
            &(sheet("")
                + "[[pass-run]]\nlead = [1, 1]\n[settings]\npass-offset = 6\n[planter.controller]\npass-offset = { raising-moves-alley = \"back\" }\n"),
        ),
    );
    assert!(all.results().iter().all(|result| result["calculation"] != KEY));
}

/// 10 in off each end: 180 from cut to cut, 178 from plant to plant. By the 180 entered a yield is
/// 180 / 178 = 1.0112 of that by plants, and 180 / 240 = 0.75 of that by middles.
#[test]
fn trimmed_plots_and_the_length_entered() {
    let report = report(&[], &sheet("[harvest]\ntrim = 10\nentered = 180\n"));
    let entered = row(&report, "yield-factors", "after trimming", "entered");
    close(cell(entered, "to_seeds"), 180.0 / 178.0, 1e-12);
    close(cell(entered, "to_spacing"), 1.0, 1e-12);
    close(cell(entered, "to_middles"), 0.75, 1e-12);
    let planned = row(&report, "yield-factors", "as planned", "entered");
    close(cell(planned, "to_seeds"), 0.9, 1e-12);
    // What cuts is said, and only where something is cut.
    let said = |report: &Report| report.result(KEY)["cautions"].to_string().contains("cutter");
    assert!(said(&report));
    assert!(!said(&self::report(&[], &sheet("[harvest]\n"))));
    // Nothing cut off is no trimming.
    let none = self::report(&[], &sheet("[harvest]\ntrim = 0\n"));
    assert!(none.maybe(KEY, "cut to cut").is_none() && !said(&none));
}

/// 203, 204 and 205: mean 204, SD 1, standard error 1 / sqrt(3) = 0.57735, t of 2 degrees of freedom
/// 4.303 (NIST/SEMATECH e-Handbook 1.3.6.7.2): 4 give or take 2.4843. A yield by 200 in is 2 % high,
/// from 0.7578 to 3.2422 %; lengths alone make a CV of 1 / 204 = 0.4902 %.
#[test]
fn taped_plots_with_what_they_do_to_a_yield() {
    let written = sheet(&run("plants", &[203.0, 204.0, 205.0]));
    let report = report(&[], &written);
    close(report.number(KEY, "mean plot length"), 204.0, 1e-12);
    close(report.number(KEY, "taped less planned"), 4.0, 1e-12);
    close(report.number(KEY, "yield by the planned length off"), 2.0, 1e-9);
    close(report.number(KEY, "yield by the planned length off, low"), 0.7578, 5e-4);
    close(report.number(KEY, "yield by the planned length off, high"), 3.2422, 5e-4);
    close(report.number(KEY, "CV of yields that lengths alone make"), 0.4902, 5e-5);
    let taped = row(&report, "harvest-lengths", "as taped", "with one spacing");
    close(cell(taped, "length_in"), 206.0, 1e-12);
    let how_sure = &report.result(KEY)["how_sure"];
    assert_eq!(how_sure["readings"], 3);
    // 4 in less 2.48 is beyond the tolerance of 1 in.
    let next = report.next_instruction().expect("a step");
    assert!(
        next.starts_with("the plot lengths are 204 in on average and 200 in as planned"),
        "{next}"
    );
    // It stands on the page of all too, with the same numbers.
    let all = Report::of(&written);
    close(all.number(KEY, "taped less planned"), 4.0, 1e-12);
}

#[test]
fn lengths_inside_the_tolerance_ask_for_nothing_and_few_for_more() {
    let right = report(&[], &sheet(&run("plants", &[200.1, 199.9, 200.2, 199.8, 200.0])));
    assert_eq!(right.next_instruction(), None);
    let one = report(&[], &sheet(&run("plants", &[204.0])));
    assert!(one.warned(KEY, "one-reading"));
    let next = one.next_instruction().expect("a step");
    assert!(next.contains("measure 9 more"), "{next}");
    assert!(one.maybe(KEY, "yield by the planned length off, low").is_none());
}

/// Where both were taped, the cuts are harvested: 181, 183: mean 182 of 180, and 180 from plant to plant.
#[test]
fn cuts_are_judged_where_there_are_any() {
    let runs = run("plants", &[203.0, 205.0]) + &run("cuts", &[181.0, 183.0]);
    let written = sheet(&format!("[harvest]\ntrim = 10\n{runs}"));
    let both = report(&[], &written);
    close(both.number(KEY, "mean plot length"), 204.0, 1e-12);
    close(both.number(KEY, "taped less planned"), 2.0, 1e-12);
    close(both.number(KEY, "first to last seed, taped"), 180.0, 1e-12);
    let taped = row(&both, "harvest-lengths", "as taped", "with one spacing");
    close(cell(taped, "length_in"), 182.0, 1e-12);
    // Cuts are counted first, then what was taped before.
    let without = report(&["--without", "2,3"], &written);
    close(without.number(KEY, "mean cut length"), 181.0, 1e-12);
    close(without.number(KEY, "mean plot length"), 205.0, 1e-12);
    assert!(without.warned(KEY, "left-out"));
}

/// Without any limit the error is one unit of the tape: 200 / 201 - 1.
#[test]
fn without_a_limit_an_error_is_one_unit_of_the_tape() {
    let bare = sheet("").replace("tolerance = { trip = 1 }\n", "");
    close(report(&[], &bare).number(KEY, "yield, first to last seed, too long"), -0.497_512, 1e-6);
    let limit = bare.replace("seed-spacing = 2", "seed-spacing = 2\nlimit = { plot = 4 }");
    // 200 / 204 - 1.
    close(report(&[], &limit).number(KEY, "yield, first to last seed, too long"), -1.960_784, 1e-6);
}

// Odd and wrong input.

#[test]
fn what_can_not_be_is_refused() {
    let said = mistakes(&sheet("[harvest]\ntrim = 99\n"));
    assert!(
        said.contains("error[out-of-range]: a `trim` of 99 in at both ends leaves nothing"),
        "{said}"
    );
    report(&[], &sheet("[harvest]\ntrim = 98.9\n"));
    for (lengths, words) in [
        (&[200.0, 241.0], "a plot of 241.0 in would reach into the next one"),
        (&[200.0, 4000.0], "a plot of 4000.0 in would reach into the next one"),
    ] {
        let said = mistakes(&sheet(&run("plants", lengths)));
        assert!(said.contains("error[out-of-range]") && said.contains(words), "{said}");
    }
    report(&[], &sheet(&run("plants", &[200.0, 240.0])));
    let said = mistakes(&sheet(&run("seeds", &[200.0])));
    assert!(said.contains("write \"plants\" or \"cuts\""), "{said}");
    let said = mistakes(&sheet(&run("cuts", &[180.0])));
    assert!(
        said.contains("error[missing-key]") && said.contains("need `trim` in [harvest]"),
        "{said}"
    );
    let said = mistakes(&sheet(&("[harvest]\ntrim = 0\n".to_owned() + &run("cuts", &[180.0]))));
    assert!(said.contains("need `trim` in [harvest]"), "{said}");
}

#[test]
fn what_it_needs_elsewhere_is_asked_for() {
    let whole = sheet(&run("plants", &[200.0]));
    for (line, words) in [
        ("plot = 200\n", "[[harvest-run]] needs `plot` in [trial]"),
        ("alley = 40\n", "[[harvest-run]] needs `alley` in [trial]"),
        ("seed-spacing = 2\n", "needs `row-spacing` in [planter], and `population`"),
    ] {
        let said = mistakes(&whole.replace(line, ""));
        assert!(said.contains("error[missing-key]") && said.contains(words), "{said}");
    }
    let said = mistakes("[harvest]\ntrim = \"1 ft\"\n");
    assert!(said.contains("[harvest] needs `plot` in [trial]"), "{said}");
    let said = mistakes("[planter]\nrows = 4\n");
    assert!(said.contains("error[no-data]") && said.contains("harvest length"), "{said}");
    // Without rows there is no area, and all else.
    let bare = report(&[], &whole.replace("rows = 4\n", ""));
    assert!(bare.table(KEY, "harvest-lengths").expect("a table")[0]["area_ft2"].is_null());
}

// Laws.

proptest! {
    #![proptest_config(cases(24))]

    /// Seed laid down plant by plant: the ground shared out among all plots and alleys is what is
    /// there, and a cut leaves as many plants as it leaves spacings, on average over where it falls.
    #[test]
    fn ground_is_shared_out_and_cuts_leave_whole_spacings(
        seeds in 20_u32..200, spacing in 0.5..6.0_f64, alley in 10.0..60.0_f64, trim in 0.05..0.4_f64,
    ) {
        let plot = f64::from(seeds - 1) * spacing;
        prop_assume!(plot > 15.0);
        let trim = trim * plot;
        prop_assume!(plot - 2.0 * trim > 2.0 * spacing);
        let text = format!(
            "bare-length = \"in\"\n[planter]\nrow-spacing = 10\n[trial]\nplot = {plot:.9}\n\
             alley = {alley:.9}\nseed-spacing = {spacing:.9}\n[harvest]\ntrim = {trim:.9}\n"
        );
        let report = report(&[], &text);
        let with = report.number(KEY, "with one spacing");
        prop_assert!((with - f64::from(seeds) * spacing).abs() < 1e-6);
        // Ten plots and nine alleys between them, and half an alley more at either end.
        let field = 10.0 * plot + 9.0 * alley + alley;
        prop_assert!((10.0 * report.number(KEY, "middle to middle") - field).abs() < 1e-5);
        // A length moved along a long row in small steps holds cuts / spacing plants on average.
        let cuts = report.number(KEY, "cut to cut");
        let steps = 400_u32;
        let plants = |start: f64| (0..600).filter(|n| {
            let at = f64::from(*n) * spacing;
            at >= start && at < start + cuts
        }).count();
        let each = (0..steps).map(|step| {
            plants(spacing * (1.0 + (f64::from(step) + 0.5) / f64::from(steps)))
        });
        #[allow(clippy::cast_precision_loss)] // few plants
        let mean = each.sum::<usize>() as f64 / f64::from(steps);
        prop_assert!((mean * spacing - cuts).abs() < 0.02 * spacing);
        let left = report.number(KEY, "first to last seed, trimmed");
        prop_assert!((left - (mean - 1.0) * spacing).abs() < 0.02 * spacing);
    }

    /// There and back is one; inches or centimetres make no difference to a factor.
    #[test]
    fn factors_go_there_and_back(
        plot in 100.0..400.0_f64, alley in 10.0..60.0_f64, spacing in 0.5..6.0_f64,
    ) {
        let text = |unit: &str, per_inch: f64| format!(
            "[planter]\nrow-spacing = \"10 in\"\n[trial]\nplot = \"{:.9} {unit}\"\n\
             alley = \"{:.9} {unit}\"\nseed-spacing = \"{:.9} {unit}\"\n",
            plot * per_inch, alley * per_inch, spacing * per_inch
        );
        let (inches, metric) = (report(&[], &text("in", 1.0)), report(&[], &text("cm", 2.54)));
        let ways = [
            ("first to last seed", "to_seeds"),
            ("with one spacing", "to_spacing"),
            ("middle to middle", "to_middles"),
        ];
        for (by, key) in ways {
            for (to, back) in ways {
                let there = cell(row(&inches, "yield-factors", "as planned", by), back);
                let again = cell(row(&inches, "yield-factors", "as planned", to), key);
                prop_assert!((there * again - 1.0).abs() < 1e-9);
                let other = cell(row(&metric, "yield-factors", "as planned", by), back);
                prop_assert!((there - other).abs() < 1e-6);
            }
        }
    }
}
