//! Trip sources and row units against a planter that is driven over its marks, sums by hand, odd and wrong
//! input.

#![allow(clippy::expect_used, clippy::panic)]

mod common;
mod dice;

use common::{Report, Written, cell, row};
use dice::{Dice, between};

const KEY: &str = "offsets";

fn report(sheet: &str) -> Report {
    Written::new(sheet).report(&["stakes"])
}

#[track_caller]
fn close(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} and {b}");
}

/// 3.6 km/h are 100 cm/s; plots of 500 cm, alleys of 100 cm, seeds 5 cm apart.
fn sheet(raising: &str, setback: f64, rest: &str) -> String {
    format!(
        "bare-length = \"cm\"\n[planter]\nrows = 4\nrow-spacing = 50\nplate = {{ cells = 40, meter-teeth = 15 \
         }}\n[planter.controller]\nsetback = {{ raising-moves-alley = \"{raising}\" }}\n[trial]\nplot = 500\n\
         alley = 100\nspeed = \"3.6 km/h\"\nseed-spacing = 5\ntolerance = {{ centre = 2 }}\n[settings]\n\
         setback = {setback}\n{rest}"
    )
}

fn source(name: &str, ahead: f64, latency: f64, used: bool) -> String {
    format!(
        "[[trip-source]]\nsource = \"{name}\"\nsensed-ahead = {ahead}\nlatency = \"{latency} s\"\nin-use = \
         {used}\n"
    )
}

// Sums by hand.

/// 3.6 km/h are 100 cm/s. The wire: 0.1 s x 100 - 90 = -80 cm; the marks: 0.25 x 100 - 40 = -15, 65 cm further
/// ahead: a setback of 20 that moves back when raised would be 85, one that moves ahead -45.
#[test]
fn a_source_moves_the_setback_by_its_difference() {
    let sources = source("wire", 90.0, 0.1, true) + &source("marks", 40.0, 0.25, false);
    for (raising, wanted) in [("back", 85.0), ("ahead", -45.0)] {
        let found = report(&sheet(raising, 20.0, &sources));
        let wire = row(&found, (KEY, "trip-sources"), "source", "wire");
        close(cell(wire, "ahead_cm"), -80.0, 1e-9);
        close(cell(wire, "fixed_cm"), -90.0, 1e-9);
        let marks = row(&found, (KEY, "trip-sources"), "source", "marks");
        close(cell(marks, "by_latency_cm"), 25.0, 1e-9);
        close(cell(marks, "against_cm"), 65.0, 1e-9);
        close(cell(marks, "setback_cm"), wanted, 1e-9);
    }
}

/// Units 24, 0, 24 and 0 cm ahead: 24 out of line, the middle at 12; at 100 cm/s the rear ones come 0.24 s
/// later. An alley of 100 is bare over 76 in all rows, and has to be staked 124 for 100; plots of 500 are planted
/// in all rows over 476.
#[test]
fn two_ranks_by_hand() {
    let found = report(&sheet("back", 20.0, "[row-units]\nrank-offset = [24, 0, 24, 0]\n"));
    for (name, number) in [
        ("rows out of line", 24.0),
        ("alley that is bare in all rows", 76.0),
        ("alley to stake, for as much bare in all rows", 124.0),
        ("plot that is planted in all rows", 476.0),
        ("off by it, outermost rows", 12.0),
    ] {
        close(found.number(KEY, name), number, 1e-9);
    }
    let rear = row(&found, (KEY, "row-units"), "row", 2);
    close(cell(rear, "out_cm"), -12.0, 1e-9);
    close(cell(rear, "home_cm"), 12.0, 1e-9);
    close(cell(rear, "delay_s"), 0.24, 1e-9);
    assert!(found.warned(KEY, "rows-out-of-line"));
    assert_eq!(found.setting(KEY, "row units").verdict(), "find the cause");
    let level = report(&sheet("back", 20.0, "[row-units]\nrank-offset = [2, 0, -2, 0]\n"));
    assert!(!level.warned(KEY, "rows-out-of-line"), "2 cm are allowed");
}

// A planter that is driven over its marks.

/// Where things are along one pass, in its own travel.
struct Planter {
    speed: f64,
    sensed_ahead: f64,
    latency: f64,
    /// By row.
    units: Vec<f64>,
    /// Moves all alleys back by as much.
    setback: f64,
}

impl Planter {
    /// Driven on in small steps until the sensor is over the mark, then for the latency; the middle of
    /// the alley of a row lies where its seed falls then, less the setback.
    fn middle(&self, mark: f64, row: usize, later: f64) -> f64 {
        let step = 1e-5;
        let mut line = mark - 1000.0;
        while line + self.sensed_ahead < mark {
            line += self.speed * step;
        }
        let mut time = 0.0;
        while time < self.latency + later {
            line += self.speed * step;
            time += step;
        }
        line + self.units[row] - self.setback
    }
}

/// Sensors ahead and behind, units ahead and behind, both ways of the setback: the setback named for the
/// other source keeps every alley where it was, and the times of the table bring all rows into one line.
#[test]
fn what_is_named_lands_right() {
    let mut dice = Dice(5);
    for case in 0..8 {
        let units: Vec<f64> = (0..4).map(|_| between(&mut dice, -30.0, 30.0).round()).collect();
        let [one, other] = [0, 1].map(|_| {
            (
                between(&mut dice, -80.0, 150.0).round(),
                (between(&mut dice, 0.0, 40.0)).round() / 100.0,
            )
        });
        let (raising, way) = if case % 2 == 0 { ("back", 1.0) } else { ("ahead", -1.0) };
        let held = 30.0;
        let text = sheet(
            raising,
            held,
            &(source("wheel", one.0, one.1, true)
                + &source("gps", other.0, other.1, false)
                + &format!("[row-units]\nrank-offset = {units:?}\n")),
        );
        let found = report(&text);
        let planter = |(sensed_ahead, latency): (f64, f64), setback: f64| Planter {
            speed: 100.0,
            sensed_ahead,
            latency,
            units: units.clone(),
            setback: way * setback,
        };
        let before = planter(one, held).middle(0.0, 1, 0.0);
        let gps = row(&found, (KEY, "trip-sources"), "source", "gps");
        let after = planter(other, cell(gps, "setback_cm")).middle(0.0, 1, 0.0);
        close(before, after, 0.01);
        let rows = found.table(KEY, "row-units").expect("rows");
        let in_line: Vec<f64> = (0..4)
            .map(|place| planter(one, held).middle(0.0, place, cell(&rows[place], "delay_s")))
            .collect();
        for middle in &in_line {
            close(*middle, in_line[0], 0.01);
        }
    }
}

/// Alleys are taped on any row, going out and coming home; the setback that comes out lands the middle of
/// all rows on the marks, whichever row it was. Leads of that row say the same.
#[test]
fn whichever_row_was_taped_the_middle_lands_on_its_mark() {
    let units = [30.0, 0.0, 10.0, -10.0];
    for row in 1..=4_usize {
        for (raising, way) in [("back", 1.0), ("ahead", -1.0)] {
            let planter = |setback: f64| Planter {
                speed: 100.0,
                sensed_ahead: 25.0,
                latency: 0.1,
                units: units.to_vec(),
                setback: way * setback,
            };
            let ahead = planter(5.0).middle(0.0, row - 1, 0.0);
            // Alleys of 100: both sides, with a little scatter that leaves the mean.
            let alley = |heading: &str| {
                let (last, first): (Vec<f64>, Vec<f64>) = [-0.5, 0.5, 0.0, -0.25, 0.25, 0.0]
                    .iter()
                    .map(|off| (50.0 - ahead + off, 50.0 + ahead - off))
                    .map(|(last, first)| {
                        ((last * 100.0).round() / 100.0, (first * 100.0).round() / 100.0)
                    })
                    .unzip();
                format!(
                    "[[alley-run]]\nheading = \"{heading}\"\nrow-taped = {row}\nlast-seed-to-mark = \
                     {last:?}\nmark-to-first-seed = {first:?}\n"
                )
            };
            let text = sheet(
                raising,
                5.0,
                &format!("[row-units]\nrank-offset = {units:?}\n{}{}", alley("out"), alley("home")),
            );
            let found = Report::of(&text);
            let set = found.setting("alley", "setback").exact();
            // The middle of 30 and -10 is 10.
            let outermost = [0, 3].map(|place| planter(set).middle(0.0, place, 0.0));
            close(outermost[0], 20.0, 0.02);
            close(outermost[1], -20.0, 0.02);
        }
    }
}

/// A lead of row 1, 30 ahead where the middle is 10, holds both passes' 20: 40 of it is no shift.
#[test]
fn leads_are_brought_to_the_middle_too() {
    let text = |ranks: &str| {
        let base = sheet("back", 20.0, ranks).replace(
            "setback = { raising",
            "pass-offset = { raising-moves-alley = \"ahead\" }\nsetback = { raising",
        );
        base.replace("setback = 20\n", "setback = 20\npass-offset = 6\n")
            + "[[pass-run]]\nlead = [46, 45, 47, 46, 46]\n"
    };
    let plain = Report::of(&text(""));
    let ranked = Report::of(&text("[row-units]\nrank-offset = [30, 0, 10, -10]\n"));
    let shift = |report: &Report| report.setting("passes", "pass offset").exact();
    // 46 / 2 = 23 and (46 - 40) / 2 = 3 ahead: 6 - 23 and 6 - 3 where raising moves ahead.
    close(shift(&plain), -17.0, 1e-9);
    close(shift(&ranked), 3.0, 1e-9);
}

/// Row 2 sits 24 cm behind row 1 and reads -24: no phase. One that reads -22 is 2 cm ahead, 0.4 of a spacing.
#[test]
fn rows_are_read_without_what_their_units_sit_ahead() {
    for (ahead, share) in [(-24.0, 0.0), (-22.0, 0.4)] {
        let rest = format!(
            "[row-units]\nrank-offset = [24, 0, 24, 0]\n[[row-run]]\nrow = 2\nahead = [{ahead}, {ahead}]\n"
        );
        let found = Report::of(&sheet("back", 20.0, &rest));
        close(found.number("rows", "row 2 ahead, in spacings"), share, 1e-9);
    }
}

// Odd and wrong input.

#[test]
fn odd_and_wrong_input_is_said() {
    let wire = source("wire", 90.0, 0.1, false);
    let mistakes = |rest: &str| Written::new(&sheet("back", 20.0, rest)).mistakes("stakes");
    let single = report(&sheet("back", 20.0, &wire));
    assert_eq!(row(&single, (KEY, "trip-sources"), "source", "wire")["in_use"], "yes");
    let gps = source("gps", 10.0, 0.1, false);
    let said = mistakes(&(wire.clone() + &gps));
    assert!(said.contains("no [[trip-source]] is said to be in use"), "{said}");
    let both = wire.replace("false", "true") + &gps.replace("false", "true");
    let said = mistakes(&both);
    assert!(said.contains("several [[trip-source]] are said to be in use"), "{said}");
    let said = mistakes(&(wire.replace("false", "true") + &wire));
    assert!(said.contains("there are two [[trip-source]] of the wire"), "{said}");
    let said = mistakes("[row-units]\nrank-offset = [24, 0]\n");
    assert!(said.contains("`rank-offset` has 2 rows, and the planter has 4"), "{said}");
    let alley =
        "[[alley-run]]\nrow-taped = 5\nlast-seed-to-mark = [50]\nmark-to-first-seed = [50]\n";
    let said = mistakes(&format!("[row-units]\nrank-offset = [24, 0, 24, 0]\n{alley}"));
    assert!(said.contains("there is no row 5 in `rank-offset`"), "{said}");
    let said = mistakes("[[trip-source]]\nsource = \"string\"\nlatency = \"2 min\"\n");
    assert!(
        said.contains("error[unknown-word]") && said.contains("has no `sensed-ahead`"),
        "{said}"
    );
    let slow = sheet("back", 20.0, &wire).replace("speed = \"3.6 km/h\"\n", "");
    let said = Written::new(&slow).mistakes("stakes");
    assert!(said.contains("[[trip-source]] needs `speed` in [trial]"), "{said}");
}
