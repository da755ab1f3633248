//! Rows together: the jump against every jump there is, its direction on stepped planters, and
//! what the page says.

#![allow(clippy::expect_used, clippy::panic)]

mod simulated_planter;

use alleytrue::calculations::rows::{self, jump};
use alleytrue::outcome::{Cell, Outcome};
use alleytrue::render::Style;
use alleytrue::render::text::{Heading, Page};
use alleytrue::sheet::{FieldSheet, Source};
use simulated_planter::{Planter, first_new, last_old};

/// Distance from the nearest whole number, in whole parts of `parts`.
fn off(numerator: i64, parts: i64) -> i64 {
    let rest = numerator.rem_euclid(parts);
    rest.min(parts - rest)
}

/// In whole numbers: shares are n / 120 of a spacing, so that nothing is rounded. A tenth of a
/// spacing is 12 of them.
#[test]
fn every_jump_is_the_smallest_that_does_it() {
    for cells in 1..=60_u32 {
        for teeth in 5..=40_u32 {
            let (c, n) = (i64::from(cells), i64::from(teeth));
            for share in [-60_i64, -59, -47, -40, -30, -24, -13, -11, 0, 7, 13, 20, 31, 45, 59, 60]
            {
                let parts = 120 * n;
                let left = |jumped: i64| off(share * n - jumped * c * 120, parts);
                let tenth = 12 * n;
                let all: Vec<i64> = (-n..=n).collect();
                let best = all.iter().copied().map(left).min().expect("some jump");
                let goal = |jumped: &i64| left(*jumped) <= best.max(tenth);
                let smallest =
                    all.iter().copied().filter(goal).map(i64::abs).min().expect("some jump");
                #[allow(clippy::cast_precision_loss)]
                let (jumped, remains) = jump(share as f64 / 120.0, cells, teeth);
                let case = format!("{cells} cells, {teeth} teeth, {share}/120: {jumped}");
                assert!(goal(&i64::from(jumped)), "{case} leaves {}", left(i64::from(jumped)));
                assert_eq!(i64::from(jumped).abs(), smallest, "{case}");
                #[allow(clippy::cast_precision_loss)]
                let expected = left(i64::from(jumped)) as f64 / parts as f64;
                assert!((remains.abs() - expected).abs() < 1e-9, "{case} remains {remains}");
                assert!(remains.abs() <= 0.5 + 1e-12);
            }
        }
    }
}

fn planter() -> Planter {
    Planter {
        speed: 50.0,
        spacing: 2.0,
        boost: 60.0,
        carry: 15.0,
        clean_out: 1.5,
        run_out: 0.3,
        fill: 0.2,
        old_seed_gone: 1.0,
        new_seed_at_pick_up: 0.2,
        sweep: None,
        fall: 0.2,
    }
}

/// Places of the last old and the first new seed, the plate turned forward by some cells.
fn edges(phase: f64, turned_forward: f64) -> (f64, f64) {
    // Turned forward the next cell is at pick-up that much sooner.
    let row = planter().plant((phase - turned_forward).rem_euclid(1.0), 20, 20);
    (last_old(&row).expect("old").at, first_new(&row).expect("new").at)
}

fn wrapped(share: f64) -> f64 {
    share - share.round()
}

#[test]
fn a_jump_the_way_it_says_brings_the_edge_back() {
    let spacing = planter().spacing;
    for cells in [30, 36, 40, 48, 50] {
        for teeth in [12, 15, 17, 18, 20, 23] {
            for tenths in -5..=5 {
                let share = f64::from(tenths) / 10.0;
                let (jumped, left) = jump(share, cells, teeth);
                let turned = f64::from(jumped) * f64::from(cells) / f64::from(teeth);
                for phase in [0.05, 0.31, 0.62, 0.88] {
                    let reference = edges(phase, 0.0);
                    // A row ahead has its cells later: turned back by the share.
                    let (before, after) = (edges(phase, -share), edges(phase, turned - share));
                    for (own, then, other) in
                        [(before.0, after.0, reference.0), (before.1, after.1, reference.1)]
                    {
                        let (was, is) = ((own - other) / spacing, (then - other) / spacing);
                        assert!(wrapped(was - share).abs() < 1e-9, "{was} for {share}");
                        assert!(wrapped(is - left).abs() < 1e-9, "{is} for {left}");
                    }
                }
            }
        }
    }
}

/// An edge lies within one spacing by the plate's phase, and which side of the reference's it
/// falls on is the trip's chance: a row whose plate is 0.3 cells later reads 0.3 spacings ahead
/// at seven alleys of ten and 0.7 behind at three. The plain mean of many is nothing; only whole
/// spacings taken out first tell the phase.
#[test]
fn a_phase_reads_on_either_side_by_chance() {
    let spacing = planter().spacing;
    let readings: Vec<f64> = simulated_planter::phases(200)
        .map(|phase| (edges(phase, -0.3).1 - edges(phase, 0.0).1) / spacing)
        .collect();
    assert!(readings.iter().all(|r| (r - 0.3).abs() < 1e-9 || (r + 0.7).abs() < 1e-9));
    assert!((simulated_planter::moments(&readings).0).abs() < 0.01);
    assert!(readings.iter().all(|r| (wrapped(*r) - 0.3).abs() < 1e-9));
}

fn sheet(teeth: &str, runs: &str) -> String {
    format!(
        "title = \"Rows\"\nbare-length = \"cm\"\n\
         [planter]\nrows = 4\nrow-spacing = \"50 cm\"\nplate = {{ cells = 40, carry = 15{teeth} }}\n\
         [trial]\nspeed = \"4 km/h\"\nseed-spacing = \"6 cm\"\n{runs}"
    )
}

fn run(row: u32, ahead: &str) -> String {
    format!("[[row-run]]\nrow = {row}\nahead = [{ahead}]\n")
}

fn calibrated(text: &str) -> (Outcome, String) {
    let source = Source::new("rows.toml", text);
    let sheet = FieldSheet::read(&source).expect("a sheet");
    let outcome = rows::calibrate(sheet.job.rows.as_ref().expect("rows"), &sheet.job.common);
    let report = sheet.job.calibrate().expect("a report");
    let heading = Heading { title: sheet.title.as_deref(), file: "rows.toml" };
    let page = Page { heading, report: &report, remarks: &sheet.remarks, source: &source };
    (outcome, page.render(false, Style { ascii: true, colour: false }))
}

fn codes(outcome: &Outcome) -> Vec<&'static str> {
    outcome.warnings.iter().map(|warning| warning.kind.code).collect()
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_row_out_of_phase_is_in_table_step_and_cautions() {
    // A third of 6 cm ahead. One tooth of 15 is 2 2/3 cells; one back leaves 1/3 + 2/3: whole.
    let runs = run(2, "2, 2, 2") + &run(3, "0.2, -0.2, 0");
    let (outcome, page) = calibrated(&sheet(", meter-teeth = 15", &runs));
    let (jumped, left) = jump(1.0 / 3.0, 40, 15);
    assert!(left.abs() < 1e-9 && jumped == -1, "{jumped}");
    let table = &outcome.tables[0];
    let text = |cell: &Cell| match cell {
        Cell::Text(text) => text.clone(),
        other => format!("{other:?}"),
    };
    assert_eq!(table.rows.len(), 2);
    assert_eq!(text(&table.rows[0][3]), "-1");
    assert_eq!(text(&table.rows[1][3]), "0");
    let page = flat(&page);
    assert!(page.contains("ROWS AGAINST ROW 1") || page.contains("Rows against row 1"), "{page}");
    assert!(page.contains("jump the chain on the meter of row 2 by 1 tooth back"), "{page}");
    assert!(page.contains("engine off, key out, all motion ended"), "{page}");
    let cautions = [0, 1].map(|at| outcome.cautions[at].text);
    let wanted =
        [&alleytrue::outcome::cautions::MANUAL_FIRST, &alleytrue::outcome::cautions::STOP_FIRST];
    assert_eq!(cautions, wanted.map(|caution| caution.text));
    assert!(codes(&outcome).is_empty());
}

/// 0.3 and -0.7 of 6 cm at alleys of one row are one phase: 0.3 ahead.
#[test]
fn whole_spacings_of_chance_are_taken_out() {
    let runs = run(2, "1.8, -4.2, 1.8, 1.8, -4.2");
    let (outcome, _) = calibrated(&sheet(", meter-teeth = 15", &runs));
    let Cell::Number(share, _) = outcome.tables[0].rows[0][2] else { panic!("a share") };
    assert!((share - 0.3).abs() < 1e-9, "{share}");
    assert!(codes(&outcome).is_empty());
}

#[test]
fn more_than_half_a_spacing_is_not_phase() {
    for far in ["-9, -8.5, -9.5", "4, 4, 4.2", "-4, -4"] {
        let (outcome, _) = calibrated(&sheet(", meter-teeth = 15", &run(4, far)));
        assert_eq!(codes(&outcome), ["not-phase"], "{far}");
        let next = &outcome.next.as_ref().expect("a step").instruction;
        assert!(next.starts_with("look into it first: row 4 lies"), "{next}");
        assert!(matches!(outcome.tables[0].rows[0][3], Cell::Empty));
    }
    let (outcome, _) = calibrated(&sheet(", meter-teeth = 15", &run(4, "3, 3")));
    assert!(!codes(&outcome).contains(&"not-phase"));
}

#[test]
fn a_sprocket_that_cannot_turn_the_phase_says_so() {
    let (outcome, page) = calibrated(&sheet(", meter-teeth = 20", &run(2, "2.4, 2.4")));
    assert_eq!(codes(&outcome), ["phase-left"]);
    assert!(outcome.next.is_some() && page.contains("[phase-left]"), "{page}");
}

#[test]
fn rows_in_phase_ask_for_nothing() {
    let (outcome, page) = calibrated(&sheet(", meter-teeth = 15", &run(2, "0.3, -0.3, 0.1")));
    assert!(outcome.next.is_none() && outcome.cautions.is_empty() && codes(&outcome).is_empty());
    assert!(!page.contains("jump the chain"));
}

#[test]
fn without_teeth_the_table_stands_alone() {
    let (outcome, _) = calibrated(&sheet("", &run(2, "2, 2")));
    assert_eq!(codes(&outcome), ["no-meter-teeth"]);
    assert!(outcome.next.as_ref().is_some_and(|next| next.instruction.contains("meter-teeth")));
    assert!(matches!(outcome.tables[0].rows[0][3], Cell::Empty));
}
