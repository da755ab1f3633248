//! Guess rows against a field whose rows are laid down one by one, sums done by hand, and laws:
//! what is mended is gone, turns turned round turn the side round, units make no difference.

#![allow(clippy::expect_used, clippy::panic)]

mod common;

use common::{Report, Written, cases};
use proptest::prelude::*;

const KEY: &str = "guess-rows";
const SIDE: &str = "planter to the right";
const PITCH: &str = "passes too far apart";

// A field of our own, in inches from left to right. It shares no formula with the program.

/// How the tractor finds its next line.
#[derive(Clone, Copy, Debug)]
enum Lines {
    /// So far from the line before.
    Apart(f64),
    /// So far from the planter's middle on the pass before: arms on its left and on its right.
    Arms { left: f64, right: f64 },
}

#[derive(Clone, Copy, Debug)]
struct Field {
    rows: u32,
    spacing: f64,
    /// How far the planter's middle runs to the right of its tractor's, in its own travel.
    side: f64,
    lines: Lines,
    /// Whether the work goes to the right, seen on the first pass.
    rightward: bool,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Turn {
    Left,
    Right,
}

impl Field {
    /// Where the rows of a pass lie whose tractor drives at `line`, up the field or down.
    fn rows(&self, line: f64, up: bool) -> Vec<f64> {
        let to_its_right = if up { 1.0 } else { -1.0 };
        let middle = line + to_its_right * self.side;
        let of = |row| middle + (f64::from(row) - f64::from(self.rows - 1) / 2.0) * self.spacing;
        (0..self.rows).map(of).collect()
    }

    /// The gaps of so many passes, each with the turn before it.
    fn gaps(&self, passes: u32) -> Vec<(Turn, f64)> {
        let along = if self.rightward { 1.0 } else { -1.0 };
        let (mut line, mut up) = (0.0, true);
        let mut gaps = vec![];
        for _ in 1..passes {
            let before = self.rows(line, up);
            // Up and to the right, or down and to the left: clockwise.
            let turn = if up == self.rightward { Turn::Right } else { Turn::Left };
            line = match self.lines {
                Lines::Apart(pitch) => line + along * pitch,
                Lines::Arms { left, right } => {
                    let middle = f64::midpoint(before[0], before[before.len() - 1]);
                    middle + along * if turn == Turn::Right { right } else { left }
                }
            };
            up = !up;
            let after = self.rows(line, up);
            let nearest = before.iter().flat_map(|a| after.iter().map(move |b| along * (b - a)));
            gaps.push((turn, nearest.fold(f64::INFINITY, f64::min)));
        }
        gaps
    }

    fn sheet(&self, passes: u32) -> String {
        let gaps = self.gaps(passes);
        let of = |wanted: Turn| {
            let own: Vec<f64> =
                gaps.iter().filter(|(turn, _)| *turn == wanted).map(|(_, gap)| *gap).collect();
            own
        };
        let by = match self.lines {
            Lines::Apart(_) => "lines",
            Lines::Arms { .. } => "marker-arms",
        };
        format!(
            "{}{}{}",
            planter(self.rows, self.spacing),
            run("left", by, &of(Turn::Left), "in", 1.0),
            run("right", by, &of(Turn::Right), "in", 1.0)
        )
    }
}

fn planter(rows: u32, spacing: f64) -> String {
    format!(
        "[planter]\nrows = {rows}\nrow-spacing = \"{spacing:.6} in\"\n\
         [trial]\ntolerance = {{ guess-rows = \"1/2 in\" }}\n"
    )
}

fn run(turn: &str, by: &str, inches: &[f64], unit: &str, per_inch: f64) -> String {
    let gaps: Vec<String> =
        inches.iter().map(|gap| format!("\"{:.9} {unit}\"", gap * per_inch)).collect();
    let gaps = gaps.join(", ");
    format!("[[guess-row-run]]\nturn = \"{turn}\"\nsteered-by = \"{by}\"\ngap = [{gaps}]\n")
}

/// Four rows 30 in apart, with gaps in inches after left and right turns.
fn by_hand(left: &[f64], right: &[f64]) -> String {
    let mut sheet = planter(4, 30.0);
    for (turn, gaps) in [("left", left), ("right", right)] {
        if !gaps.is_empty() {
            sheet += &run(turn, "lines", gaps, "in", 1.0);
        }
    }
    sheet
}

fn report(arguments: &[&str], sheet: &str) -> Report {
    let output = Written::new(sheet).run(&[&[KEY], arguments, &["--format", "json"]].concat());
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{said}\n{sheet}");
    Report::read(&output.stdout)
}

fn page(sheet: &str) -> String {
    let output = Written::new(sheet).run(&[KEY]);
    let text = String::from_utf8([output.stdout, output.stderr].concat()).expect("text");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn side(report: &Report) -> f64 {
    report.number(KEY, SIDE)
}

fn pitch(report: &Report) -> f64 {
    report.number(KEY, "gap off by the pitch")
}

#[track_caller]
fn close(a: f64, b: f64) {
    assert!((a - b).abs() <= 1e-6, "{a} and {b}");
}

// Sums by hand.

/// Left 33, 34, 35: mean 34, squares off 2. Right 27, 28, 29: mean 28, squares off 2. Half the
/// difference 3, so the planter is 1.5 in to the right; the middle 31, so the pitch is 1 in wide:
/// 3 x 30 + 31 = 121 in. SD sqrt((2 + 2) / 4) = 1, standard error sqrt(1/3 + 1/3) / 2 = 0.408248; t
/// of 4 degrees of freedom 2.776 (NIST/SEMATECH e-Handbook 1.3.6.7.2): half width 1.1333.
#[test]
fn side_and_pitch_with_their_intervals() {
    let report = report(&[], &by_hand(&[33.0, 34.0, 35.0], &[27.0, 28.0, 29.0]));
    close(report.number(KEY, "gap off by the side"), 3.0);
    close(side(&report), 1.5);
    close(pitch(&report), 1.0);
    close(report.number(KEY, "pitch of the passes"), 121.0);
    close(report.number(KEY, "pitch wanted"), 120.0);
    close(report.number(KEY, "SD gap, both turns"), 1.0);
    let half = 2.776 * (2.0_f64 / 3.0).sqrt() / 2.0;
    for (name, wanted) in [
        ("planter to the right, low", 1.5 - half / 2.0),
        ("planter to the right, high", 1.5 + half / 2.0),
        ("low gap off by the pitch", 1.0 - half),
        ("high gap off by the pitch", 1.0 + half),
    ] {
        assert!((report.number(KEY, name) - wanted).abs() < 3e-4, "{name}");
    }
    let faults = report.table(KEY, "pass-faults").expect("a table");
    let cell = |row: usize, key: &str| faults[row][key].as_f64().expect("a number");
    close(cell(0, "by_in"), 1.5);
    close(cell(0, "gap_off_in"), 3.0);
    assert!((cell(0, "high_in") - 1.5 - half / 2.0).abs() < 3e-4);
    assert!((cell(1, "low_in") - 1.0 + half).abs() < 3e-4);
    let turns = report.table(KEY, "guess-rows").expect("a table");
    for (row, (turn, mean, off)) in turns.iter().zip([("left", 34.0, 4.0), ("right", 28.0, -2.0)]) {
        assert_eq!((row["turn"].as_str(), row["readings"].as_u64()), (Some(turn), Some(3)));
        close(row["mean_in"].as_f64().expect("a mean"), mean);
        close(row["sd_in"].as_f64().expect("an SD"), 1.0);
        close(row["off_in"].as_f64().expect("a difference"), off);
    }
}

/// Groups of unlike size: left 32, 34 and right 29 alone. SD sqrt(2 / 1) from the left ones;
/// standard error sqrt(2) x sqrt(1/2 + 1/1) / 2 = 0.866025, t of 1 degree of freedom 12.706.
#[test]
fn a_single_gap_on_one_side_leans_on_the_scatter_of_the_other() {
    let report = report(&[], &by_hand(&[32.0, 34.0], &[29.0]));
    close(side(&report), 1.0);
    let half = report.number(KEY, "half width gap off by the side");
    assert!((half - 12.706 * 0.866_025).abs() < 1e-3, "{half}");
    assert_eq!(report.setting(KEY, SIDE).verdict(), "measure more");
    let turns = report.table(KEY, "guess-rows").expect("a table");
    assert!(turns[1]["sd_in"].is_null());
}

/// 2 + 0.5 in wide of the gap, of four rows 30 in apart: 120.5 / 120 - 1. Plots of two rows have
/// one gap each: a gap of 33 gives 60 + 3 / 2 = 61.5 in of 60, one of 28 in 59.
#[test]
fn ground_of_a_plot_is_its_rows_and_half_of_each_gap() {
    let sheet = by_hand(&[33.0, 33.0], &[28.0, 28.0]);
    let whole = report(&[], &sheet);
    close(whole.number(KEY, "ground width of a plot"), 120.5);
    close(whole.number(KEY, "area of a plot off"), 100.0 * 0.5 / 120.0);
    let table = whole.table(KEY, "plot-ground").expect("a table");
    assert_eq!((table.len(), table[0]["plot"].as_str()), (1, Some("every plot")));
    close(table[0]["planned_in"].as_f64().expect("a width"), 120.0);

    let two = report(&[], &sheet.replacen("[trial]", "[trial]\nrows-per-plot = 2", 1));
    close(two.number(KEY, "area of a plot beside a left turn off"), 2.5);
    close(two.number(KEY, "area of a plot beside a right turn off"), -100.0 / 60.0);
    assert_eq!(two.table(KEY, "plot-ground").expect("a table").len(), 2);
    assert_eq!(two.maybe(KEY, "area of a plot off"), None);
    // Three rows of four can't be a plot; the gaps tell what they can.
    let odd = report(&[], &sheet.replacen("[trial]", "[trial]\nrows-per-plot = 3", 1));
    close(odd.number(KEY, "area of a plot off"), 100.0 * 0.5 / 120.0);
}

/// The interval of the area is that of the pitch over the plot: half 1.1333 of 120 in. Beside one
/// gap it is t x SD / sqrt(3) / 2 = 2.776 / 1.732 / 2 = 0.8014 of 60 in.
#[test]
fn the_area_is_as_unsure_as_the_gaps() {
    let sheet = by_hand(&[33.0, 34.0, 35.0], &[27.0, 28.0, 29.0]);
    let whole = report(&[], &sheet);
    let low = whole.number(KEY, "area of a plot off, low");
    assert!((low - 100.0 * (1.0 - 1.1333) / 120.0).abs() < 1e-3, "{low}");
    let two = report(&[], &sheet.replacen("[trial]", "[trial]\nrows-per-plot = 2", 1));
    let high = two.number(KEY, "area of a plot beside a left turn off, high");
    assert!((high - 100.0 * (2.0 + 0.8014) / 60.0).abs() < 1e-3, "{high}");
}

/// 30 in of row spacing and 12 in of bare ground make a gap of 42 in; the bare ground is no plot's.
#[test]
fn bare_ground_between_passes_belongs_to_the_gap_and_not_to_the_plot() {
    let layout = "plot = \"20 ft\"\nalley = \"30 in\"\nranges = 4\npasses = 4\n\
                  [layout]\nheadland = \"40 ft\"\npass-gap = \"12 in\"\n[trial]";
    let sheet = by_hand(&[44.0, 44.0], &[42.0, 42.0]);
    let (planter, runs) = sheet.split_once("[[").expect("runs");
    let layout = layout.trim_end_matches("[trial]");
    let report = report(&[], &format!("{planter}{layout}[[{runs}"));
    close(report.number(KEY, "gap wanted"), 42.0);
    close(side(&report), 0.5);
    close(pitch(&report), 1.0);
    close(report.number(KEY, "pitch wanted"), 132.0);
    close(report.number(KEY, "area of a plot off"), 100.0 / 120.0);
}

// What is said.

#[test]
fn the_fault_that_puts_gaps_off_by_more_comes_first() {
    let some = [-0.1, 0.0, 0.1, 0.0, 0.1, -0.1];
    let around = |gap: f64| some.map(|off| gap + off);
    // Side 2 in of a gap, pitch 1: left 33, right 29. Then the other way about: left 33, right 31.
    for (left, right, first, second) in [(33.0, 29.0, SIDE, PITCH), (33.0, 31.0, PITCH, SIDE)] {
        let report = report(&[], &by_hand(&around(left), &around(right)));
        assert_eq!(report.next_setting(), Some(first), "{left} {right}");
        assert_eq!(report.setting(KEY, first).verdict(), "change");
        close(report.setting(KEY, first).set(), 0.0);
        assert_eq!(report.setting(KEY, second).verdict(), "wait");
        let how_sure = &report.result(KEY)["how_sure"];
        let of = if first == SIDE { "gap off by the side" } else { "gap off by the pitch" };
        assert_eq!(how_sure["error_name"], of);
        assert_eq!(how_sure["readings"], 12);
    }
    // 0.2 and 0.1 in of half an inch.
    let kept = report(&[], &by_hand(&around(30.3), &around(29.9)));
    assert_eq!(kept.setting(KEY, SIDE).verdict(), "keep");
    assert_eq!(kept.setting(KEY, PITCH).verdict(), "keep");
    assert_eq!(kept.next_setting(), None);
}

/// Which way to go, by how much, and what protects the hands that do it.
#[test]
fn the_next_step_says_what_to_set_and_which_way() {
    let some = [-0.1, 0.0, 0.1];
    let around = |gap: f64| some.map(|off| gap + off);
    let hitch = "raised machine that hangs on its hydraulics alone";
    for (left, right, by, words, hands) in [
        (
            34.0,
            28.0,
            "lines",
            "move the planter 1.5 in to the left at its hitch, or tell the guidance that it runs 1.5 in to the right",
            true,
        ),
        (
            28.0,
            34.0,
            "lines",
            "move the planter 1.5 in to the right at its hitch, or tell the guidance that it runs 1.5 in to the left",
            true,
        ),
        (
            34.0,
            28.0,
            "marker-arms",
            "make the right marker arm 3 in longer and the left one 3 in shorter, or move the planter 3 in to the left at its hitch",
            true,
        ),
        (
            28.0,
            34.0,
            "marker-arms",
            "make the left marker arm 3 in longer and the right one 3 in shorter, or move the planter 3 in to the right at its hitch",
            true,
        ),
        (32.0, 32.0, "lines", "set the lines 2 in closer together than they are now", false),
        (28.0, 28.0, "lines", "set the lines 2 in further apart than they are now", false),
        (32.0, 32.0, "marker-arms", "make both marker arms 2 in shorter", true),
        (28.0, 28.0, "marker-arms", "make both marker arms 2 in longer", true),
    ] {
        let sheet =
            by_hand(&around(left), &around(right)).replace("\"lines\"", &format!("\"{by}\""));
        let page = page(&sheet);
        assert!(page.contains(&format!("Next: {words}")), "{left} {right} {by}: {page}");
        let then = page.split_whitespace().collect::<Vec<_>>().join(" ");
        let then = then.contains("; put it into the sheet by `alleytrue apply`, plant passes with");
        assert!(then, "{page}");
        assert_eq!(page.contains(hitch), hands, "{left} {right} {by}: {page}");
        assert!(page.contains("Follow the machine's manual"), "{page}");
    }
    let right = page(&by_hand(&around(30.0), &around(30.0)));
    assert!(!right.contains(hitch), "{right}");
    assert!(right.contains("Nobody rides on the planter"), "{right}");
}

#[test]
fn turns_of_one_way_can_not_part_side_from_pitch() {
    for (turn, other) in [("left", "right"), ("right", "left")] {
        let (left, right): (&[f64], &[f64]) =
            if turn == "left" { (&[33.0, 34.0, 35.0], &[]) } else { (&[], &[33.0, 34.0, 35.0]) };
        let report = report(&[], &by_hand(left, right));
        let setting = report.setting(KEY, &format!("gap after {turn} turns"));
        assert_eq!(setting.verdict(), "measure more");
        close(setting.exact(), 30.0);
        // 34 against 30; SD 1, standard error 1 / sqrt(3), t of 2 degrees of freedom 4.303.
        close(report.number(KEY, "gap off by side and pitch together"), 4.0);
        let half = report.number(KEY, "half width gap off by side and pitch together");
        assert!((half - 4.303 / 3.0_f64.sqrt()).abs() < 1e-3, "{half}");
        assert_eq!(report.maybe(KEY, SIDE), None);
        let page = page(&by_hand(left, right));
        let words = format!("can't be parted from the pitch: tape gaps after {other} turns too.");
        assert!(page.contains(&words), "{page}");
    }
}

#[test]
fn few_readings_ask_for_more() {
    let one = report(&[], &by_hand(&[33.0], &[]));
    assert!(one.warned(KEY, "one-reading"));
    assert_eq!(one.setting(KEY, "gap after left turns").verdict(), "measure more");
    let each = report(&[], &by_hand(&[33.0], &[29.0]));
    assert!(each.warned(KEY, "one-reading"));
    assert_eq!(each.setting(KEY, SIDE).verdict(), "measure more");
    close(side(&each), 1.0);
    assert_eq!(each.maybe(KEY, "planter to the right, low"), None);
    assert!(each.table(KEY, "plot-ground").expect("a table")[0]["low_percent"].is_null());
    // 0.5 in give or take 2.8: nobody can tell that from half an inch.
    let wide = report(&[], &by_hand(&[28.0, 33.0, 32.0], &[32.0, 27.0, 31.0]));
    assert_eq!(wide.setting(KEY, SIDE).verdict(), "measure more");
    assert_eq!(wide.next_setting(), None);
}

#[test]
fn without_a_tolerance_what_is_told_apart_from_nothing_is_changed() {
    let bare = |sheet: String| sheet.replace("tolerance = { guess-rows = \"1/2 in\" }", "");
    let off = report(&[], &bare(by_hand(&[33.0, 33.1, 32.9], &[29.0, 29.1, 28.9])));
    assert!(off.warned(KEY, "no-tolerance"));
    let warnings = off.result(KEY)["warnings"].as_array().expect("warnings");
    assert_eq!(warnings.len(), 1, "said once, not for either fault: {warnings:?}");
    assert_eq!(off.setting(KEY, SIDE).verdict(), "change");
    let right = report(&[], &bare(by_hand(&[30.0, 30.1, 29.9], &[30.1, 29.9, 30.0])));
    assert_eq!(right.setting(KEY, SIDE).verdict(), "keep");
}

/// Left turns are counted first, then right ones, wherever the runs stand. A reading far from the
/// rest is named once, by that number.
#[test]
fn readings_are_left_out_by_their_number() {
    let far = by_hand(&[33.0, 33.1, 32.9, 33.0, 33.1, 40.0], &[29.0, 29.1, 28.9]);
    let all = report(&[], &far);
    let warnings = all.result(KEY)["warnings"].as_array().expect("warnings");
    let outliers: Vec<&str> = warnings
        .iter()
        .filter(|warning| warning["code"] == "outlier")
        .filter_map(|warning| warning["message"].as_str())
        .collect();
    assert!(outliers.len() == 1 && outliers[0].contains("--without guess-rows:6"), "{outliers:?}");
    let without = report(&["--without", "6"], &far);
    close(without.number(KEY, "mean gap, left turns"), 33.02);
    assert!(without.warned(KEY, "left-out") && !without.warned(KEY, "outlier"));
    // The seventh is the first after a right turn: (29.1 + 28.9) / 2.
    let seventh = report(&["--without", "7"], &far);
    close(seventh.number(KEY, "mean gap, right turns"), 29.0);
    close(seventh.number(KEY, "gap, right turns count"), 2.0);
    // With all of one turn left out, the other can't part the faults.
    let one = report(&["--without", "7,8,9"], &far);
    assert_eq!(one.setting(KEY, "gap after left turns").verdict(), "measure more");
}

#[test]
fn runs_of_one_turn_are_one_list() {
    let runs = run("left", "lines", &[33.0, 34.0], "in", 1.0)
        + &run("right", "lines", &[29.0, 30.0], "in", 1.0)
        + &run("left", "lines", &[35.0], "in", 1.0);
    let report = report(&[], &(planter(4, 30.0) + &runs));
    close(report.number(KEY, "mean gap, left turns"), 34.0);
    close(side(&report), (34.0 - 29.5) / 4.0);
}

// Odd and wrong input.

fn mistakes(sheet: &str) -> String {
    let output = Written::new(sheet).run(&[KEY]);
    assert_eq!(output.status.code(), Some(2), "{sheet}");
    assert!(output.stdout.is_empty());
    let said = String::from_utf8(output.stderr).expect("text");
    said.split(|c: char| c.is_whitespace() || c == '│')
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

#[test]
fn gaps_that_can_not_be_are_refused() {
    let sheet = |gap: &str| {
        let gap = format!("\"{gap}\", \"30 in\"");
        by_hand(&[30.0], &[30.0]).replacen("\"30.000000000 in\"", &gap, 1)
    };
    // Half of a pass of 120 in beyond 30 in.
    let most = "allowed: more than 0, up to 90 in";
    for (gap, code) in [("0 in", most), ("90.1 in", most), ("121 in", most), ("3 m", most)] {
        let said = mistakes(&sheet(gap));
        assert!(said.contains("error[out-of-range]") && said.contains(code), "{gap}: {said}");
        assert!(said.contains(&format!("a `gap` of {gap} can't lie")), "{said}");
    }
    assert!(mistakes(&sheet("-2 in")).contains("error[out-of-range]"));
    for gap in ["1 mm", "89.9 in"] {
        report(&[], &sheet(gap));
    }
    // A planter of one row: its pass is as wide as the gap.
    report(&[], &by_hand(&[44.0, 44.5], &[31.0, 31.5]).replacen("rows = 4", "rows = 1", 1));
}

#[test]
fn what_a_run_needs_elsewhere_is_asked_for() {
    let sheet = by_hand(&[33.0], &[29.0]);
    let said = mistakes(&sheet.replacen("rows = 4\n", "", 1));
    assert!(
        said.contains("error[missing-key]: [[guess-row-run]] needs `rows` in [planter]"),
        "{said}"
    );
    let said = mistakes(&sheet.replacen("row-spacing = \"30.000000 in\"\n", "", 1));
    assert!(said.contains("[[guess-row-run]] needs `row-spacing` in [planter]"), "{said}");
    for key in ["turn", "steered-by", "gap"] {
        let lines: Vec<&str> = sheet.lines().collect();
        let at = lines.iter().position(|line| line.starts_with(key)).expect("the key");
        let without = [&lines[..at], &lines[at + 1..]].concat().join("\n");
        let said = mistakes(&without);
        assert!(said.contains("error[missing-key]") && said.contains(key), "{key}: {said}");
    }
    let said = mistakes(&sheet.replacen("turn = \"left\"", "turn = \"west\"", 1));
    assert!(said.contains("write \"left\" or \"right\""), "{said}");
    let said =
        mistakes(&sheet.replacen("steered-by = \"lines\"", "steered-by = \"marker-arms\"", 1));
    assert!(
        said.contains("error[conflict]: the guess-row runs were steered in two ways"),
        "{said}"
    );
    let said = mistakes("[planter]\nrows = 4\n");
    assert!(said.contains("error[no-data]") && said.contains("[[guess-row-run]]"), "{said}");
}

// Laws, on rows laid down one by one.

fn lines() -> impl Strategy<Value = Field> {
    fields().prop_flat_map(|(rows, spacing, side, rightward)| {
        let wanted = f64::from(rows) * spacing;
        (-0.2..0.2_f64).prop_map(move |off| Field {
            rows,
            spacing,
            side,
            lines: Lines::Apart(wanted + off * spacing),
            rightward,
        })
    })
}

fn arms() -> impl Strategy<Value = Field> {
    fields().prop_flat_map(|(rows, spacing, side, rightward)| {
        let wanted = f64::from(rows) * spacing;
        (-0.2..0.2_f64, -0.2..0.2_f64).prop_map(move |(left, right)| Field {
            rows,
            spacing,
            side,
            lines: Lines::Arms { left: wanted + left * spacing, right: wanted + right * spacing },
            rightward,
        })
    })
}

/// Rows, row spacing, side, and whether the work goes to the right.
fn fields() -> impl Strategy<Value = (u32, f64, f64, bool)> {
    (1..=12_u32, 7.0..40.0_f64, -0.2..0.2_f64, any::<bool>())
        .prop_map(|(rows, spacing, side, rightward)| (rows, spacing, side * spacing, rightward))
}

fn near(a: f64, b: f64) -> Result<(), TestCaseError> {
    prop_assert!((a - b).abs() <= 1e-5, "{a} and {b}");
    Ok(())
}

/// All gaps of a field are the gap wanted.
fn even(field: &Field) -> Result<(), TestCaseError> {
    field.gaps(6).into_iter().try_for_each(|(_, gap)| near(gap, field.spacing))
}

proptest! {
    #![proptest_config(cases(24))]

    /// The field's own side and pitch come out; taken out as told, no gap is off any more.
    #[test]
    fn lines_are_read_and_mended(field in lines()) {
        let report = report(&[], &field.sheet(6));
        let Lines::Apart(apart) = field.lines else { panic!("lines") };
        near(side(&report), field.side)?;
        near(report.number(KEY, "pitch of the passes"), apart)?;
        let mended = Field {
            side: field.side - side(&report),
            lines: Lines::Apart(apart - pitch(&report)),
            ..field
        };
        even(&mended)?;
    }

    /// By marker arms either remedy for the side does: the arms by what a gap is off, or the
    /// planter; then both arms for the pitch.
    #[test]
    fn arms_are_mended_at_the_arms_or_at_the_hitch(field in arms()) {
        let report = report(&[], &field.sheet(6));
        let Lines::Arms { left, right } = field.lines else { panic!("arms") };
        let (off, by, pitch) =
            (report.number(KEY, "gap off by the side"), side(&report), pitch(&report));
        let lines = Lines::Arms { left: left - off - pitch, right: right + off - pitch };
        even(&Field { lines, ..field })?;
        let lines = Lines::Arms { left: left - pitch, right: right - pitch };
        even(&Field { lines, side: field.side - by, ..field })?;
    }

    /// Turns turned round turn the side round, and leave the pitch; so does a planter that runs as
    /// far to the other side. Where the work started does not matter.
    #[test]
    fn turns_turned_round_turn_the_side_round(field in lines()) {
        let sheet = field.sheet(7);
        let turned = sheet
            .replace("turn = \"left\"", "turn = \"other\"")
            .replace("turn = \"right\"", "turn = \"left\"")
            .replace("turn = \"other\"", "turn = \"right\"");
        let (one, other) = (report(&[], &sheet), report(&[], &turned));
        near(side(&one), -side(&other))?;
        near(pitch(&one), pitch(&other))?;
        let other = report(&[], &Field { side: -field.side, ..field }.sheet(7));
        near(side(&one), -side(&other))?;
        near(pitch(&one), pitch(&other))?;
        let other = report(&[], &Field { rightward: !field.rightward, ..field }.sheet(7));
        near(side(&one), side(&other))?;
        near(pitch(&one), pitch(&other))?;
    }

    /// Inches or centimetres, one run a turn or a run a gap, in any order.
    #[test]
    fn units_runs_and_order_make_no_difference(
        left in prop::collection::vec(25.0..35.0_f64, 2..8),
        right in prop::collection::vec(25.0..35.0_f64, 2..8),
    ) {
        let one = report(&[], &by_hand(&left, &right));
        let mut metric = "[planter]\nrows = 4\nrow-spacing = \"76.2 cm\"\n\
                          [trial]\ntolerance = { guess-rows = \"1.27 cm\" }\n".to_owned();
        for gap in right.iter().rev() {
            metric += &run("right", "lines", &[*gap], "cm", 2.54);
        }
        for gap in left.iter().rev() {
            metric += &run("left", "lines", &[*gap], "cm", 2.54);
        }
        let other = report(&[], &metric);
        for name in [
            SIDE,
            "planter to the right, low",
            "gap off by the pitch",
            "high gap off by the pitch",
            "pitch of the passes",
        ] {
            near(one.number(KEY, name) * 2.54, other.number(KEY, name))?;
        }
        for name in ["area of a plot off", "area of a plot off, low"] {
            near(one.number(KEY, name), other.number(KEY, name))?;
        }
        for name in [SIDE, PITCH] {
            prop_assert_eq!(
                one.setting(KEY, name).verdict(), other.setting(KEY, name).verdict());
        }
    }
}
