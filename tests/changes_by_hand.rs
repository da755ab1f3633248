//! What a turn of a depth setting and a jump of a chain did, by what was dug up and looked at before
//! and after: took, forgotten, the other way, another size, too little to tell. Every expected number
//! is worked out by hand from the rows that are described beside it.

#![allow(clippy::expect_used, clippy::panic)] // helpers of tests

mod common;
#[path = "season/sheet.rs"]
mod sheet;

use alleytrue::outcome::{Outcome, Report};
use alleytrue::record::{Choice, Subject, choose_by_hand};
use alleytrue::sheet::writing::{Correction, Given};
use sheet::{Sheet, numbers};

impl Sheet {
    /// The next step by hand, put into the sheet.
    #[track_caller]
    fn adjust(&mut self, day: usize) {
        let report = self.report();
        let chosen = choose_by_hand(&report, &self.read().record, Choice::Next);
        let (changes, _) = chosen.expect("nothing against it").expect("a step of hands");
        let changes = changes.clone();
        self.apply_by_hand(&changes, day);
    }

    /// Five depths, or edges, of a row about a mean, a tenth of an inch this way and that.
    fn row(&mut self, kind: &str, row: &str, list: &'static str, mean: f64, day: usize) {
        let around = [0.0, 0.1, -0.1, 0.0, 0.0].map(|off| mean + off);
        let mut keys = vec![(list, numbers(&around))];
        if !row.is_empty() {
            keys.push(("row", Given::One(row.into())));
        }
        self.record(kind, keys, day);
    }

    fn depths(&mut self, row: &str, mean: f64, day: usize) {
        self.row("depth", row, "depth", mean, day);
    }

    fn edges(&mut self, row: &str, mean: f64, day: usize) {
        self.row("row", row, "ahead", mean, day);
    }

    fn put_right(&mut self, correction: &Correction) {
        assert!(self.correct(correction, 9), "{}", self.0);
    }

    fn instruction(&self) -> String {
        self.report().next.map_or_else(String::new, |next| next.instruction)
    }
}

fn own<'r>(report: &'r Report, key: &str) -> &'r Outcome {
    let mut all = report.outcomes.iter();
    all.find(|one| one.calculation.key == key).expect("an outcome")
}

fn codes(sheet: &Sheet, key: &str) -> Vec<&'static str> {
    let report = sheet.report();
    let all = own(&report, key).warnings.iter().map(|one| one.kind.code);
    all.filter(|code| code.starts_with("change-") || *code == "runs-apart").collect()
}

fn value(sheet: &Sheet, key: &str, name: &str) -> f64 {
    let report = sheet.report();
    let mut all = own(&report, key).values.iter();
    all.find(|one| one.name() == Some(name)).unwrap_or_else(|| panic!("no {name}")).number()
}

fn subject(key: &str) -> Subject {
    Subject::of_key(key).expect("an adjustment")
}

#[track_caller]
fn near(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found}, {expected}");
}

/// Row 3 plants 3 in deep and is wanted 4 in deep: by a quarter inch a turn four turns in.
fn turned() -> Sheet {
    let mut sheet = Sheet(
        "bare-length = \"in\"\n[planter]\nrows = 4\n\
         depth-turns = { depth = 0.25, turns = 1, turning-in = \"deeper\" }\n\
         [trial]\ndepth = 4\ntolerance = { depth = \"1/4 in\" }\n"
            .into(),
    );
    sheet.depths("3", 3.0, 1);
    sheet.adjust(1);
    assert!(sheet.0.contains("depth = [0, 0, 4, 0]"), "{}", sheet.0);
    sheet
}

/// It should go 1 in deeper. Brought to the present the old depths are 4 in, so that what is dug up
/// at 4, 3, 2 and 5 in says 1 + (0, -1, -2, 1) / 1. Squares 0.02 a run: s² = 0.04 / 8, by readings
/// 0.005 × 2 / 5 = 0.002, by days 2 × 0.125² = 0.03125; the root of both is 0.18235, at 8 × (0.03325
/// / 0.002)² degrees, t 2.58: give or take 0.47.
#[test]
fn what_a_turn_did_is_told_by_what_is_dug_up_after_it() {
    for (dug_up, ratio, said) in [
        (4.0, 1.0, None),
        (3.0, 0.0, Some("change-without-effect")),
        (2.0, -1.0, Some("change-reversed")),
        (5.0, 2.0, Some("change-of-other-size")),
    ] {
        let mut sheet = turned();
        sheet.depths("3", dug_up, 2);
        let name = "what the change of the depth setting of row 3 did, of what it should do";
        near(value(&sheet, "depth", name), ratio, 1e-9);
        let low = value(&sheet, "depth", "low, what the change of the depth setting of row 3 did");
        near(ratio - low, 2.58 * 0.182_35, 2e-3);
        let codes = codes(&sheet, "depth");
        assert_eq!(codes.iter().find(|code| code.starts_with("change-")).copied(), said);
        let words = sheet.instruction();
        assert_eq!(words.is_empty(), said.is_none(), "{words}");
        // Nothing is turned before it is put right.
        let report = sheet.report();
        let chosen = choose_by_hand(&report, &sheet.read().record, Choice::Next);
        assert!(matches!(chosen, Ok(None)));
    }
}

#[test]
fn a_turn_that_was_forgotten_is_taken_out_of_the_record() {
    let mut sheet = turned();
    sheet.depths("3", 3.0, 2);
    let words = sheet.instruction();
    let begin = "the depth setting of row 3 was changed from 0 to 4 on 2027-04-02, which should have \
                 moved the seeds of row 3 1 in deeper, and they lie where they lay";
    assert!(words.starts_with(begin), "{words}");
    assert!(
        words.contains("--not-set depth-row-3`") && words.contains("--was depth-row-3=NUMBER`")
    );
    sheet.put_right(&Correction::NotSet(subject("depth-row-3")));
    assert!(sheet.0.contains("depth = [0, 0, 0, 0]"), "{}", sheet.0);
    assert!(sheet.instruction().starts_with("set the depth: row 3 4 turns in (1 in deeper)"));
    // Half of it was turned: by 2 turns from 3 in to 3.5 in.
    let mut sheet = turned();
    sheet.depths("3", 3.0, 2);
    sheet.put_right(&Correction::Was(subject("depth-row-3"), "2".into()));
    assert!(sheet.0.contains("depth = [0, 0, 2, 0]"), "{}", sheet.0);
}

/// 1 in shallower where it should have been 1 in deeper: 2 in now, and by the turned direction 8 turns
/// out bring 2 in.
#[test]
fn a_screw_that_turns_the_other_way_is_turned_in_the_sheet_and_back() {
    let mut sheet = turned();
    sheet.depths("3", 2.0, 2);
    let words = sheet.instruction();
    assert!(
        words.contains("went 1 in shallower where they should have gone 1 in deeper"),
        "{words}"
    );
    assert!(words.contains("--turn depth-turns`") && words.contains("--was depth-row-3=-4`"));
    let direction = Subject::direction_of("depth-turns").expect("a direction");
    let before = sheet.0.clone();
    sheet.put_right(&Correction::Turn(direction));
    assert!(sheet.0.contains("turning-in = \"shallower\""), "{}", sheet.0);
    assert!(
        sheet
            .0
            .contains("setting = \"depth-turns-direction\"\nfrom = \"deeper\"\nto = \"shallower\"")
    );
    assert!(sheet.instruction().starts_with("set the depth: row 3 8 turns out (2 in deeper)"));
    assert_eq!(codes(&sheet, "depth"), [""; 0]);
    sheet.put_right(&Correction::Undo);
    assert!(sheet.0.contains("turning-in = \"deeper\""), "{}", sheet.0);
    assert_eq!(sheet.instruction(), Sheet(before).instruction());
}

/// It was turned as it should, and lies at 3 in again: two runs since tell it alone.
#[test]
fn two_runs_since_a_turn_outweigh_what_it_should_have_done() {
    let mut sheet = turned();
    sheet.depths("3", 3.0, 2);
    sheet.depths("3", 3.0, 3);
    assert_eq!(codes(&sheet, "depth"), ["change-without-effect"]);
    assert!(sheet.instruction().starts_with("set the depth: row 3 4 turns in (1 in deeper)"));
}

/// 0.4 in short, 1.6 turns: forgotten, that is no more than days may do. Nothing is claimed, but the
/// two runs differ by 0.4 in, beyond the tolerance, and decide nothing.
#[test]
fn a_turn_too_small_to_tell_claims_nothing() {
    let mut sheet = Sheet(
        turned()
            .0
            .split("[[depth-run]]")
            .next()
            .expect("a head")
            .replace("depth = [0, 0, 4, 0]", "depth = [0, 0, 0, 0]"),
    );
    sheet.depths("3", 3.6, 1);
    sheet.adjust(1);
    sheet.depths("3", 3.6, 2);
    assert_eq!(codes(&sheet, "depth"), ["runs-apart"]);
    assert!(
        sheet.instruction().contains("dig up seed of a further run"),
        "{}",
        sheet.instruction()
    );
}

/// Rows that nobody noted: 1 in short, all turned alike, and forgotten.
#[test]
fn a_turn_of_all_rows_alike_is_checked_too() {
    let mut sheet = Sheet(turned().0.split("[[depth-run]]").next().expect("a head").into());
    sheet.depths("", 3.0, 1);
    sheet.adjust(1);
    assert!(sheet.0.contains("depth-all = 4"), "{}", sheet.0);
    sheet.depths("", 3.0, 2);
    assert!(sheet.instruction().contains("--not-set depth-all`"), "{}", sheet.instruction());
}

/// Seeds 6 in apart, 30 cells, 14 teeth on the meter: a tooth turns the plate by a seventh of a cell
/// besides two whole ones. Row 2 is 1.75 in ahead and comes back by two teeth, 2 / 7 × 6 = 1.714 in.
fn jumped() -> Sheet {
    let mut sheet = Sheet(
        "bare-length = \"in\"\n[planter]\nrows = 3\nrow-spacing = 30\n\
         plate = { cells = 30, meter-teeth = 14 }\n[trial]\nseed-spacing = 6\n"
            .into(),
    );
    sheet.edges("2", 1.75, 1);
    sheet.adjust(1);
    assert!(sheet.0.contains("chains = [0, 2, 0]"), "{}", sheet.0);
    sheet
}

/// Where nobody jumped it, it is 1.75 in ahead still. Jumped the wrong way it is 3.464 in ahead, which
/// looks like 2.536 in behind. Days may do 0.3 in each: give or take 2.58 × 0.3 × sqrt(2) = 1.09 in,
/// and a hair by the readings.
#[test]
fn what_a_jump_did_is_told_by_the_phase_that_is_left() {
    let two = 12.0 / 7.0;
    for (ahead, said, then) in [
        (1.75 - two, None, ""),
        (1.75, Some("change-without-effect"), "--not-set chain-row-2`"),
        (1.75 + two - 6.0, Some("change-reversed"), "--was chain-row-2=-2`"),
    ] {
        let mut sheet = jumped();
        sheet.edges("2", ahead, 2);
        assert_eq!(codes(&sheet, "rows").first().copied(), said, "{ahead}");
        assert!(sheet.instruction().contains(then), "{}", sheet.instruction());
    }
    let mut sheet = jumped();
    sheet.edges("2", 1.75 + two - 6.0, 2);
    sheet.put_right(&Correction::Was(subject("chain-row-2"), "-2".into()));
    // 2.536 / 6 = 0.4227 behind: three teeth back are 3 / 7 = 0.4286.
    let words = sheet.instruction();
    assert!(words.contains("row 2 by 3 teeth back"), "{words}");
}

/// One tooth is a seventh of a spacing, 0.86 in, less than the 1.09 in that days may do: whether it
/// was jumped nobody can tell. The row lies where it was seen last, 0.9 in ahead, and not between.
#[test]
fn a_row_lies_where_it_was_seen_last() {
    let mut sheet = Sheet(jumped().0.split("[by-hand]").next().expect("a head").into());
    sheet.edges("2", 0.9, 1);
    sheet.adjust(1);
    sheet.edges("2", 0.9, 2);
    assert_eq!(codes(&sheet, "rows"), [""; 0]);
    near(value(&sheet, "rows", "row 2 ahead, in spacings"), 0.9 / 6.0, 1e-9);
    assert!(sheet.instruction().contains("row 2 by 1 tooth forward"), "{}", sheet.instruction());
}

/// A row half a cell off is seen at 3.04 in of 6, give or take t 2.776 × 0.0707 / sqrt(5) = 0.088 in:
/// that may be the plate's phase. At 3.2 in it is none.
#[test]
fn half_a_cell_off_is_a_phase_however_it_is_seen() {
    let head = jumped().0;
    let head = head.split("[by-hand]").next().expect("a head");
    let seen = |ahead: f64| {
        let mut sheet = Sheet(head.into());
        sheet.edges("2", ahead, 1);
        sheet.instruction()
    };
    // 3.04 / 6 = 0.507: three teeth forward are 3 / 7 = 0.429 and leave 0.078.
    assert!(seen(3.04).contains("row 2 by 3 teeth forward"), "{}", seen(3.04));
    assert!(seen(3.2).contains("more than half a spacing"), "{}", seen(3.2));
}

/// Through the program, with its line of history.
#[test]
fn the_program_turns_the_direction_of_a_turn() {
    let mut sheet = turned();
    sheet.depths("3", 2.0, 2);
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("sheet.toml");
    std::fs::write(&path, &sheet.0).expect("written");
    let run = |arguments: &[&str]| {
        let output = common::program().arg("apply").arg(&path).args(arguments).output();
        output.expect("it runs")
    };
    let refused = run(&["--date", "2027-04-10"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&refused.stderr).contains("--turn depth-turns"));
    assert_eq!(run(&["--turn", "throttle", "--date", "2027-04-10"]).status.code(), Some(2));
    assert!(run(&["--turn", "depth-turns", "--date", "2027-04-10"]).status.success());
    let text = std::fs::read_to_string(&path).expect("read");
    assert!(text.contains("turning-in = \"shallower\""), "{text}");
}
