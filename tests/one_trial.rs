//! A trial packed, staked and checked from one sheet: what the seed room counts, what the field
//! has room for and what the drive is set for are the same numbers.

#![allow(clippy::expect_used, clippy::panic)]

mod common;

use std::path::Path;

use common::{Report, assert_near, run};

fn report(command: &str) -> Report {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data/soybean-forty-entries.toml");
    let output = run(&[command, "--format", "json"], &path);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    Report::read(&output.stdout)
}

#[test]
fn forty_entries_in_four_reps_are_the_same_trial_on_every_list() {
    let (packed, staked, driven) = (report("packets"), report("stakes"), report("spacing"));
    let packets = |name: &str| packed.number("packets", name);
    let stakes = |name: &str| staked.number("stakes", name);
    // Counts: a packet for every plot, 40 x 4 = 160 of them, and none left over.
    let plots = staked.table("stakes", "plots").expect("a list of plots");
    assert_eq!(plots.len(), 160);
    assert_near(packets("packets of the trial"), 160.0, 0.0);
    assert_near(packets("packets of the trial") / packets("packets of a plot"), 160.0, 0.0);
    assert_near(stakes("plots needed"), packets("plots needed"), 0.0);
    assert_near(stakes("plots"), packets("plots"), 0.0);
    assert_near(stakes("plots left to fill"), packets("plots left to fill"), 0.0);
    assert_near(stakes("plots abreast"), packets("plots abreast"), 0.0);
    // Seeds: those of a plot times the plots, and those of an entry times the entries.
    assert_near(packets("seeds of the trial"), 160.0 * packets("seeds of a plot"), 1e-12);
    assert_near(packets("seeds of the trial"), 40.0 * packets("seeds of an entry"), 1e-12);
    // Lengths: the seed room works in inches, the field in feet.
    assert_near(packets("plot"), 12.0 * stakes("plot"), 1e-12);
    assert_near(packets("row spacing"), 12.0 * stakes("row spacing"), 1e-12);
    assert_near(stakes("trip spacing"), stakes("plot") + stakes("alley"), 1e-12);
    // The seeds of a plot's area are those of its rows, less the one that closes each row.
    assert_near(packets("target spacing"), driven.number("spacing", "target spacing"), 1e-12);
    let rows = packets("rows of a plot");
    let on_area = stakes("plot") * stakes("plot width") / 43_560.0 * packets("target population");
    assert_near((packets("seeds of a row in the plot") - 1.0) * rows, on_area, 1e-9);
    // Areas: every plot of the list, as the net area has it.
    let number = |row: &serde_json::Value, key: &str| row[key].as_f64().expect("a number");
    let area: f64 = plots
        .iter()
        .map(|row| {
            (number(row, "x_right_ft") - number(row, "x_left_ft"))
                * (number(row, "y_far_ft") - number(row, "y_near_ft"))
        })
        .sum();
    assert_near(area, stakes("net area"), 1e-9);
}
