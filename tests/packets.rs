//! Seed packets against published seed quantities, sums done by hand, a plate stepped cell by
//! cell, and laws: parts add up, rounding never leaves a packet short, better seed never needs
//! more of it.
#![allow(clippy::expect_used, clippy::panic, clippy::cast_precision_loss)]

mod common;
mod plain_changeover;

use alleytrue::calculations::packets::{self, mass_of, seeds_for_plants, seeds_in};
use alleytrue::outcome::{Cell, Outcome, Table};
use alleytrue::quantity::{MassUnit, Unit};
use alleytrue::sheet::{FieldSheet, Source};
use alleytrue::working::{Value, steps};
use common::cases;
use plain_changeover::written_out;
use proptest::prelude::*;

const DEMO: &str = include_str!("../demo-data/soybean-forty-entries.toml");

fn read(sheet: &str) -> FieldSheet {
    let read = FieldSheet::read(&Source::new("sheet.toml", sheet));
    read.unwrap_or_else(|wrong| panic!("{sheet}\n{wrong:#?}"))
}

fn pack(sheet: &str) -> Outcome {
    let job = read(sheet).job;
    packets::pack(job.packets.as_ref().expect("a sheet with [packets]"), &job.common)
}

/// A line of the working by its name.
fn line(outcome: &Outcome, name: &str) -> f64 {
    maybe(outcome, name).unwrap_or_else(|| panic!("no line `{name}`"))
}

fn maybe(outcome: &Outcome, name: &str) -> Option<f64> {
    let lines = steps(&outcome.values);
    lines.iter().find(|step| step.name() == name).map(|step| step.value().number())
}

fn table<'a>(outcome: &'a Outcome, key: &str) -> &'a Table {
    outcome.tables.iter().find(|table| table.key == key).expect("a table")
}

/// A cell by the words in its row's first cell and the key of its column.
fn cell(outcome: &Outcome, key: &str, row: &str, column: &str) -> Option<f64> {
    let table = table(outcome, key);
    let at = table.columns.iter().position(|one| one.key == column).expect("a column");
    let row = table.rows.iter().find(|cells| matches!(&cells[0], Cell::Text(text) if text == row));
    match &row.unwrap_or_else(|| panic!("no row {row:?}"))[at] {
        Cell::Number(number, _) => Some(*number),
        Cell::Count(count) => Some(f64::from(*count)),
        _ => None,
    }
}

fn total(outcome: &Outcome, part: &str, column: &str) -> f64 {
    cell(outcome, "totals", part, column).unwrap_or_else(|| panic!("{part} has no {column}"))
}

fn codes(outcome: &Outcome) -> Vec<&'static str> {
    outcome.warnings.iter().map(|warning| warning.kind.code).collect()
}

/// A small sheet: plots of 12 in and two rows, three entries in two reps.
fn small(trial: &str, packets: &str) -> String {
    format!(
        "[planter]\nrows = 2\nrow-spacing = \"30 in\"\n[trial]\nplot = \"12 in\"\n{trial}\n\
         entries = 3\nreps = 2\n[packets]\n{packets}\n"
    )
}

// By hand.

/// Every number below is worked out in the comments of the demo sheet or beside it.
#[test]
fn the_demo_sheet_by_hand() {
    let outcome = pack(DEMO);
    // 6272640 / (30 x 139000) = 1.504230 in; 210 / 1.504230 + 1 = 140.606.
    assert!((line(&outcome, "seeds of a row in the plot") - 140.606).abs() < 5e-4);
    // (140.606 + 25) x 1.03 = 170.574, so 171; 4 x 171 = 684; 684 x 0.18 = 123.12, so 123.2 g.
    assert_eq!(total(&outcome, "row", "seeds"), 171.0);
    assert_eq!(total(&outcome, "packet", "seeds"), 684.0);
    approx::assert_relative_eq!(total(&outcome, "packet", "mass_g"), 123.2);
    assert_eq!(total(&outcome, "entry", "seeds"), 2736.0); // 684 x 4
    assert_eq!(total(&outcome, "rep", "seeds"), 27360.0); // 684 x 40
    assert_eq!(total(&outcome, "trial", "seeds"), 109_440.0); // 684 x 160
    assert_eq!(total(&outcome, "trial", "packets"), 160.0);
    assert_eq!(total(&outcome, "trial", "rows"), 640.0);
    // 2400 /lb is 1000 / (2400 / 453.59237) = 188.997 g; x 0.684 = 129.274, so 129.3 g.
    approx::assert_relative_eq!(
        cell(&outcome, "lots", "check B", "packet_g").expect("a mass"),
        129.3
    );
    // 38 packets of 123.2, one of 129.3, one of 117.7: 4681.6 + 247.0 = 4928.6 g a rep.
    approx::assert_relative_eq!(total(&outcome, "rep", "mass_g"), 4928.6, max_relative = 1e-12);
    approx::assert_relative_eq!(total(&outcome, "trial", "mass_g"), 19714.4, max_relative = 1e-12);
    // 2736 - 2700; 4 x 117.7 - 450 = 20.8 g, 20.8 / 0.172 = 120.93, so 121.
    assert_eq!(cell(&outcome, "lots", "line 17", "short_seeds"), Some(36.0));
    assert_eq!(cell(&outcome, "lots", "line 31", "short_seeds"), Some(121.0));
    let short = cell(&outcome, "lots", "line 31", "short_g").expect("a mass");
    assert!((short - 20.8).abs() < 1e-9);
    assert_eq!(cell(&outcome, "lots", "check A", "short_seeds"), None);
    // 139000 x 0.78 x 0.9 = 97578, 15.1 % below 115000.
    assert_eq!(codes(&outcome), ["low-stand", "not-randomised", "seed-short"]);
    assert_eq!(line(&outcome, "plots left to fill"), 0.0); // 16 x 10 x 1 - 40 x 4
    let said = &outcome.warnings[2].message;
    assert!(said.contains("line 17") && said.contains("36 seeds"), "{said}");
    assert!(said.contains("line 31") && said.contains("121 seeds"), "{said}");
    assert!(!said.contains("check"), "{said}");
}

/// Nine seeds 1.5 in apart reach over 8 x 1.5 = 12 in: a plot of 12 in holds nine, not eight.
#[test]
fn both_ends_of_a_plot_hold_a_seed() {
    let outcome = pack(&small("seed-spacing = \"1.5 in\"", ""));
    assert_eq!(total(&outcome, "row", "seeds"), 9.0);
    assert_eq!(total(&outcome, "trial", "seeds"), 108.0); // 9 x 2 rows x 3 entries x 2 reps
    assert_eq!(codes(&outcome), ["no-cleaned-out"]);
}

#[test]
fn packets_by_the_row_and_reserves_in_seeds() {
    let of = |packets: &str| pack(&small("seed-spacing = \"1.5 in\"", packets));
    let by_row = of("per = \"row\"\ncleaned-out = 3\nreserve = 5");
    // 9 + 3 + 5 = 17 seeds a packet, 2 packets a plot, 2 x 3 x 2 = 12 packets: 204 seeds.
    assert_eq!(total(&by_row, "packet", "seeds"), 17.0);
    assert_eq!(total(&by_row, "plot", "packets"), 2.0);
    assert_eq!(total(&by_row, "trial", "packets"), 12.0);
    assert_eq!(total(&by_row, "trial", "seeds"), 204.0);
    // The reserve is for a packet: 2 x 12 + 5 = 29 for a plot, x 6 = 174.
    let by_plot = of("cleaned-out = 3\nreserve = 5");
    assert_eq!(total(&by_plot, "packet", "seeds"), 29.0);
    assert_eq!(total(&by_plot, "trial", "seeds"), 174.0);
    // 9 + 2.4 + 3 = 14.4, so 15 a row.
    let counted = of("fill-plate = 2.4\ncleaned-out = 3");
    assert_eq!(total(&counted, "row", "seeds"), 15.0);
    // (9 + 3) x 1.25 = 15 exactly: binary noise asks for no sixteenth.
    assert_eq!(total(&of("cleaned-out = 3\nreserve = \"25 %\""), "row", "seeds"), 15.0);
}

#[test]
fn a_stand_is_turned_into_seeds_once() {
    let shares = "germination = \"92 %\"\nemergence = \"90 %\"\ncleaned-out = 0";
    let plants = pack(&small("stand = \"115000 /ac\"", shares));
    // 115000 / (0.92 x 0.90) = 138888.9.
    assert!((line(&plants, "seeds to plant") - 138_888.9).abs() < 0.05);
    // 12 x 30 x 138888.9 / 6272640 + 1 = 8.97, so 9.
    assert_eq!(total(&plants, "row", "seeds"), 9.0);
    // With the seeds given, germination changes nothing in the packet.
    let bad = "germination = \"50 %\"\nemergence = \"50 %\"\ncleaned-out = 0";
    let seeds = pack(&small("population = \"139000 /ac\"", bad));
    let good = pack(&small("population = \"139000 /ac\"", "cleaned-out = 0"));
    assert_eq!(total(&seeds, "trial", "seeds"), total(&good, "trial", "seeds"));
    // 139000 x 0.25 = 34750.
    assert!((line(&seeds, "plants to expect") - 34_750.0).abs() < 1e-6);
}

/// The population advised for a stand can be typed as it is printed, and then plants the same.
#[test]
fn the_population_advised_goes_into_the_sheet() {
    let shares = "germination = \"92 %\"\nemergence = \"90 %\"\ncleaned-out = 0";
    for stand in ["115000 /ac", "284000 /ha", "28 /m2", "2.64 /ft2", "6.6 plants/ft", "21 plants/m"]
    {
        let by_stand = pack(&small(&format!("stand = \"{stand}\""), shares));
        let said = by_stand.next.as_ref().expect("a step").instruction.clone();
        let (_, rest) = said.split_once("set for ").expect(&said);
        let (population, _) = rest.split_once(": write").expect(&said);
        let by_seeds = pack(&small(&format!("population = \"{population}\""), shares));

        let (wanted, planted) =
            (line(&by_stand, "seed spacing"), line(&by_seeds, "target spacing"));
        assert!((wanted / planted - 1.0).abs() < 1e-5, "{stand}: {population}");
    }
}

/// 139000 x 0.92 x 0.9 = 115092 plants/ac.
#[test]
fn seeds_and_plants_that_disagree_are_warned_of() {
    let shares = "germination = \"92 %\"\nemergence = \"90 %\"\ncleaned-out = 0";
    for (stand, tolerance, warned) in [
        ("115000 /ac", "2 %", false), // 0.08 % off
        ("118500 /ac", "2 %", true),  // 115092 / 118500 = 0.9712
        ("118500 /ac", "3 %", false), // the same inside 3 %
        ("118500 /ac", "", false),    // and inside 5 %
        ("125000 /ac", "", true),     // 0.9207
        ("284400 /ha", "2 %", false), // 115092 x 2.4710538 = 284398
    ] {
        let tolerance = if tolerance.is_empty() {
            String::new()
        } else {
            format!("\ntolerance = {{ spacing = \"{tolerance}\" }}")
        };
        let trial = format!("population = \"139000 /ac\"\nstand = \"{stand}\"{tolerance}");
        let outcome = pack(&small(&trial, shares));
        assert_eq!(codes(&outcome).contains(&"stand-disagrees"), warned, "{stand} {tolerance}");
    }
}

#[test]
fn plots_of_the_field_against_those_of_the_trial() {
    for (ranges, passes, left) in [(3, 2, 0.0), (4, 2, 2.0), (2, 2, -2.0)] {
        let trial = format!("seed-spacing = \"1.5 in\"\nranges = {ranges}\npasses = {passes}");
        let outcome = pack(&small(&trial, "cleaned-out = 0"));
        assert_eq!(line(&outcome, "plots left to fill"), left);
        assert_eq!(codes(&outcome).contains(&"too-few-plots"), left < 0.0);
    }
    // Plots of one row stand two abreast behind a planter of two.
    let trial = "seed-spacing = \"1.5 in\"\nranges = 3\npasses = 1\nrows-per-plot = 1";
    assert_eq!(line(&pack(&small(trial, "cleaned-out = 0")), "plots left to fill"), 0.0);
}

/// A hundred lots of 101 g, 102 g, ... a thousand, in packets of 9 seeds.
#[test]
fn more_lots_than_a_line_holds_add_up() {
    let mut sheet = small("seed-spacing = \"1.5 in\"", "cleaned-out = 0\nper = \"row\"");
    sheet = sheet.replace("entries = 3", "entries = 100");
    for lot in 1..=100 {
        let weight = 100 + lot;
        sheet += &format!("[[lot]]\nname = \"{lot}\"\nthousand-seed-weight = \"{weight} g\"\n");
    }
    let outcome = pack(&sheet);
    // 2 rows of 9 seeds: 18 x (101 + ... + 200) / 1000 = 18 x 15050 / 1000 = 270.9 g a rep.
    approx::assert_relative_eq!(total(&outcome, "rep", "mass_g"), 270.9, max_relative = 1e-12);
    assert_eq!(cell(&outcome, "totals", "packet", "mass_g"), None);
    let most = steps(&outcome.values).iter().map(alleytrue::working::Step::terms).max();
    assert_eq!(most, Some(40));
    // One lot less, and nobody knows what the hundredth entry weighs.
    let last = sheet.rfind("[[lot]]").expect("lots");
    assert_eq!(cell(&pack(&sheet[..last]), "totals", "rep", "mass_g"), None);
}

// Published.

/// Plants wanted in a sheet, and the seeds that the program makes of them.
fn seeds_to_plant(stand: &str, germination: &str, emergence: &str) -> f64 {
    let shares = format!("germination = \"{germination}\"\nemergence = \"{emergence}\"");
    line(&pack(&small(&format!("stand = \"{stand}\""), &shares)), "seeds to plant")
}

#[test]
fn published_seeds_for_a_stand() {
    // University of Nebraska CropWatch 2016: 0.95 x 0.85 = 0.8075; 100,000 / 0.8075 = 123,839.
    assert_eq!(seeds_to_plant("100000 /ac", "95 %", "85 %").round(), 123_839.0);
    // Purdue field guide 2011: 130,680 plants at 90 % x 90 %: 161,000, to thousands.
    assert_eq!((seeds_to_plant("130680 /ac", "90 %", "90 %") / 1000.0).round(), 161.0);
    // Grain SA, October 2024: 40,000 plants/ha at 90 %: 44,444 seeds/ha.
    assert_eq!(seeds_to_plant("40000 /ha", "90 %", "100 %").round(), 44_444.0);
    // Penn State (Duiker): pure live seed 0.90 x 0.60; 100 / 0.54 = 185.
    let [wanted, one, other] = [100.0, 0.90, 0.60].map(Value::constant);
    assert_eq!(seeds_for_plants(&wanted, &one, &other).number().round(), 185.0);
}

fn grams(number: f64) -> Value {
    Value::exact("thousand-seed weight", number, Unit::from(MassUnit::Gram))
}

/// kg/ha = plants/m2 x thousand-seed weight / establishment in percent; g/m2 x 10 = kg/ha.
#[test]
fn published_seed_quantities() {
    for (source, plants, weight, establishment, printed) in [
        ("Teagasc, spring cereals", 280.0, 50.9, 0.85, 168.0),
        ("AgriLand UK", 300.0, 50.0, 0.85, 176.0),
        ("Irish Farmers Journal", 280.0, 53.0, 0.85, 175.0),
    ] {
        let [plants, establishment] = [plants, establishment].map(Value::constant);
        let seeds = seeds_for_plants(&plants, &establishment, &Value::constant(1.0));
        let mass = mass_of(&seeds, &grams(weight)).number() * 10.0;
        assert_eq!(mass.round(), printed, "{source}: {mass}");
    }
    // Alberta Agriculture (Strydhorst 2019): 40 seeds/ft2 of 37 g are 142 lb/ac.
    // An acre is 43,560 ft2, a pound 453.59237 g.
    let mass = mass_of(&Value::constant(40.0 * 43_560.0), &grams(37.0));
    assert_eq!((mass.number() / 453.592_37).round(), 142.0);
}

/// Iowa State Agron 212: 200,000 seeds/ac in 15 in rows is 5.74 seeds/ft, so 57.4 and the one at
/// the end, 58.4, in 10 ft of row.
#[test]
fn published_seeds_along_the_row() {
    let sheet = "[planter]\nrows = 2\nrow-spacing = \"15 in\"\n[trial]\nplot = \"10 ft\"\n\
                 population = \"200000 /ac\"\nentries = 1\nreps = 1\n[packets]\n";
    let in_row = line(&pack(sheet), "seeds of a row in the plot");
    assert!((in_row - 58.4).abs() < 0.05, "{in_row}");
}

// The plate, cell by cell.

/// Steps a plate through trips `period` seconds apart and counts the cells that a lot fills:
/// those that pass pick-up from `clean_out + arrives` after one trip to `gone` after the next.
fn cells_filled(rates: [f64; 2], timers: [f64; 3], gone: f64, arrives: f64, period: f64) -> f64 {
    const STEP: f64 = 2e-5;
    const PHASES: u32 = 24;
    let [ground, boost] = rates;
    let [clean_out, run_out, fill] = timers;
    let mut filled = 0.0;
    for phase in 0..PHASES {
        let mut turned = (f64::from(phase) + 0.5) / f64::from(PHASES);
        let mut time = 0.0;
        while time < period + gone {
            let after = if time >= period { time - period } else { time };
            let boosted = (clean_out + run_out..clean_out + run_out + fill).contains(&after);
            let before = turned;
            turned += STEP * if boosted { boost } else { ground };
            let passes = turned.floor() > before.floor();
            if passes && time >= clean_out + arrives {
                filled += 1.0;
            }
            time += STEP;
        }
    }
    filled / f64::from(PHASES)
}

/// What the timers say the plate takes is what a stepped plate fills.
#[test]
fn seeds_beyond_the_plot_are_those_a_stepped_plate_takes() {
    // Well set, a fill too long, a clean-out too short, a boost hardly faster than the ground.
    for (boost, clean_out, run_out, fill) in [
        (60.0, 1.5, 0.2, 0.35),
        (60.0, 1.5, 0.0, 0.9),
        (80.0, 1.0, 0.3, 0.3),
        (26.0, 1.5, 0.1, 0.6),
    ] {
        let sheet = written_out(&format!(
            "[planter]\nrows = 4\nrow-spacing = \"75 cm\"\nplate = {{ cells = 40, carry = 16 }}\n\
             [trial]\nplot = \"500 cm\"\nalley = \"90 cm\"\nspeed = \"3.6 km/h\"\n\
             seed-spacing = \"4 cm\"\nentries = 2\nreps = 2\n[packets]\n[changeover]\n\
             boost = \"{boost} cells/s\"\nold-seed-gone = \"0.9 s\"\n\
             new-seed-at-pick-up = \"0.2 s\"\nclean-out = \"{clean_out} s\"\n\
             run-out = \"{run_out} s\"\nfill = \"{fill} s\"\n"
        ));
        let outcome = pack(&sheet);
        // 100 cm/s over 4 cm are 25 cells/s; 590 cm from trip to trip take 5.9 s.
        let filled = cells_filled([25.0, boost], [clean_out, run_out, fill], 0.9, 0.2, 5.9);
        let taken = line(&outcome, "seeds that a row's plate takes");
        assert!((taken - filled).abs() < 0.15, "{taken} taken, {filled} filled: {sheet}");
        // 500 / 4 + 1 = 126.
        let beyond = line(&outcome, "seeds of a row beyond the plot");
        assert!((beyond - (taken - 126.0).max(0.0)).abs() < 1e-9, "{beyond}");
        assert_eq!(total(&outcome, "row", "seeds"), (126.0 + beyond).ceil());
        // What was counted goes before it.
        let counted = pack(&sheet.replace("[packets]", "[packets]\nfill-plate = 7"));
        assert_eq!(line(&counted, "seeds of a row beyond the plot"), 7.0);
        assert_eq!(maybe(&counted, "seeds that a row's plate takes"), None);
    }
}

// Laws.

/// One lot: how much is at hand, in seeds or grams, and a weight of its own.
#[derive(Clone, Debug)]
struct OneLot {
    seeds: Option<u32>,
    grams: Option<u32>,
    weight: Option<u32>,
}

#[derive(Clone, Debug)]
struct Sheet {
    plot: u32,
    spacing: u32,
    rows: u32,
    entries: usize,
    reps: u32,
    per: &'static str,
    cleaned: u32,
    reserve: &'static str,
    step: &'static str,
    lots: Vec<OneLot>,
}

impl Sheet {
    fn text(&self) -> String {
        let Sheet { plot, spacing, rows, entries, reps, per, cleaned, reserve, step, lots } = self;
        let mut text = format!(
            "[planter]\nrows = {rows}\nrow-spacing = \"75 cm\"\n[trial]\nplot = \"{plot} cm\"\n\
             seed-spacing = \"{spacing} mm\"\nentries = {entries}\nreps = {reps}\n[packets]\n\
             per = \"{per}\"\ncleaned-out = {cleaned}\nthousand-seed-weight = \"180 g\"\n\
             {reserve}\n{step}\n"
        );
        for (place, lot) in lots.iter().enumerate() {
            text += &format!("[[lot]]\nname = \"lot {place}\"\n");
            text += &lot.seeds.map_or(String::new(), |seeds| format!("seeds = {seeds}\n"));
            text += &lot.grams.map_or(String::new(), |mass| format!("mass = \"{mass} g\"\n"));
            let weight = lot.weight;
            text += &weight
                .map_or(String::new(), |mass| format!("thousand-seed-weight = \"{mass} g\"\n"));
        }
        text
    }

    fn step(&self) -> Option<f64> {
        let text = self.step.split('"').nth(1)?;
        text.strip_suffix(" g").and_then(|number| number.parse().ok())
    }
}

fn lots(entries: usize) -> impl Strategy<Value = Vec<OneLot>> {
    let at_hand = prop_oneof![
        Just((None, None)),
        (0_u32..20_000).prop_map(|seeds| (Some(seeds), None)),
        (0_u32..5_000).prop_map(|mass| (None, Some(mass))),
    ];
    let lot = (at_hand, proptest::option::of(1_u32..900))
        .prop_map(|((seeds, grams), weight)| OneLot { seeds, grams, weight });
    proptest::collection::vec(lot, 0..=entries)
}

fn sheets() -> impl Strategy<Value = Sheet> {
    let layout = (100_u32..2000, 8_u32..400, 1_u32..9, 1_usize..12, 1_u32..7);
    let reserves = ["", "reserve = \"3 %\"", "reserve = \"12.5 %\"", "reserve = 20"];
    let steps =
        ["", "balance-step = \"0.1 g\"", "balance-step = \"1 g\"", "balance-step = \"0.01 g\""];
    let packets = (
        prop::sample::select(vec!["plot", "row"]),
        0_u32..60,
        prop::sample::select(reserves.to_vec()),
        prop::sample::select(steps.to_vec()),
    );
    (layout, packets).prop_flat_map(|((plot, spacing, rows, entries, reps), packets)| {
        lots(entries).prop_map(move |lots| {
            let (per, cleaned, reserve, step) = packets;
            Sheet { plot, spacing, rows, entries, reps, per, cleaned, reserve, step, lots }
        })
    })
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1.0)
}

proptest! {
    #![proptest_config(cases(256))]

    /// Every list adds up to the next: packets to plots, to entries and reps, to the trial.
    #[test]
    fn parts_add_up(sheet in sheets()) {
        let outcome = pack(&sheet.text());
        let total = |part: &str, column: &str| total(&outcome, part, column);
        let (entries, reps) = (sheet.entries as f64, f64::from(sheet.reps));
        for column in ["seeds", "packets", "rows"] {
            let plot = total("plot", column);
            prop_assert!(close(total("entry", column), plot * reps));
            prop_assert!(close(total("rep", column), plot * entries));
            prop_assert!(close(total("trial", column), plot * entries * reps));
        }
        prop_assert!(close(total("plot", "seeds"), total("packet", "seeds") * total("plot", "packets")));
        prop_assert!(close(total("plot", "rows"), total("packet", "rows") * total("plot", "packets")));
        // The masses: every entry's packets in turn, those without a lot by the common seed.
        let each: Vec<f64> = (0..sheet.entries)
            .map(|entry| {
                let name = format!("lot {entry}");
                let own = sheet.lots.get(entry).and_then(|_| cell(&outcome, "lots", &name, "packet_g"));
                own.unwrap_or_else(|| total("packet", "mass_g")) * total("plot", "packets")
            })
            .collect();
        let rep: f64 = each.iter().sum();
        prop_assert!(close(total("rep", "mass_g"), rep), "{rep}");
        prop_assert!(close(total("trial", "mass_g"), rep * reps));
        for entry in 0..sheet.lots.len() {
            let of = |column| cell(&outcome, "lots", &format!("lot {entry}"), column);
            prop_assert_eq!(of("needed_seeds"), Some(total("entry", "seeds")));
            prop_assert_eq!(of("packet_seeds"), Some(total("packet", "seeds")));
        }
    }

    /// A packet never holds less than its rows need, and less than a seed a row more; a packet on
    /// the balance never less than its seeds weigh, and less than a step more.
    #[test]
    fn rounding_up_never_falls_below(sheet in sheets()) {
        let outcome = pack(&sheet.text());
        let seeds = total(&outcome, "packet", "seeds");
        let rows = total(&outcome, "packet", "rows");
        let in_row = f64::from(sheet.plot) * 10.0 / f64::from(sheet.spacing) + 1.0;
        let need = in_row + f64::from(sheet.cleaned);
        let need = match sheet.reserve {
            "reserve = \"3 %\"" => rows * need * 1.03,
            "reserve = \"12.5 %\"" => rows * need * 1.125,
            "reserve = 20" => rows * need + 20.0,
            _ => rows * need,
        };
        prop_assert!(seeds.fract() == 0.0);
        prop_assert!(seeds >= need - 1e-6 && seeds < need + rows, "{seeds} for {need}");
        let mass = total(&outcome, "packet", "mass_g");
        let exact = seeds * 0.18;
        match sheet.step() {
            None => prop_assert!(close(mass, exact)),
            Some(step) => {
                let steps = mass / step;
                prop_assert!((steps - steps.round()).abs() < 1e-6, "{mass} on {step}");
                prop_assert!(mass >= exact - 1e-9 && mass < exact + step, "{mass} for {exact}");
            }
        }
    }

    /// What is at hand and what is short make what is needed; nothing is short where enough is.
    #[test]
    fn shortage_and_stock_make_the_need(sheet in sheets()) {
        let outcome = pack(&sheet.text());
        let mut short = 0;
        for (entry, lot) in sheet.lots.iter().enumerate() {
            let of = |column| cell(&outcome, "lots", &format!("lot {entry}"), column);
            let needed = of("needed_seeds").expect("a need");
            let lacking = of("short_seeds");
            short += usize::from(lacking.is_some());
            if let Some(there) = lot.seeds {
                prop_assert_eq!(lacking.unwrap_or(0.0), (needed - f64::from(there)).max(0.0));
            } else if let Some(there) = lot.grams {
                let wanted = of("packet_g").expect("a mass") * total(&outcome, "entry", "packets");
                let grams = wanted - f64::from(there);
                prop_assert_eq!(lacking.is_some(), grams > 1e-9);
                if let (Some(seeds), Some(mass)) = (lacking, of("short_g")) {
                    prop_assert!(close(mass, grams), "{mass} {grams}");
                    let weight = f64::from(lot.weight.unwrap_or(180));
                    prop_assert!(seeds * weight / 1000.0 >= mass - 1e-6 && seeds.fract() == 0.0);
                    prop_assert!((seeds - 1.0) * weight / 1000.0 < mass);
                }
            } else {
                prop_assert_eq!(lacking, None);
            }
        }
        prop_assert_eq!(codes(&outcome).contains(&"seed-short"), short > 0);
    }

    /// Seed that germinates or comes up better never needs more of it for the same stand.
    #[test]
    fn better_seed_never_needs_more(
        worse in 1_u32..=100, better in 1_u32..=100, other in 1_u32..=100, of_germination: bool,
    ) {
        let (worse, better) = (worse.min(better), worse.max(better));
        let seeds = |share: u32| {
            let (g, e) = if of_germination { (share, other) } else { (other, share) };
            let shares = format!("germination = \"{g} %\"\nemergence = \"{e} %\"");
            total(&pack(&small("stand = \"90000 /ac\"", &shares)), "trial", "seeds")
        };
        prop_assert!(seeds(better) <= seeds(worse));
    }

    /// Seeds to grams and back.
    #[test]
    fn grams_and_seeds_convert_both_ways(seeds in 1.0_f64..1e7, weight in 0.01_f64..3000.0) {
        let weight = grams(weight);
        let back = seeds_in(&mass_of(&Value::constant(seeds), &weight), &weight);
        prop_assert!(close(back.number(), seeds));
        let mass = Value::exact("mass", seeds, Unit::from(MassUnit::Gram));
        prop_assert!(close(mass_of(&seeds_in(&mass, &weight), &weight).number(), seeds));
    }

    /// A seed size and the thousand-seed weight that it stands for pack the same grams.
    #[test]
    fn seed_size_and_thousand_seed_weight_agree(size in 500_u32..100_000) {
        // 1000 seeds of `size` to the kilogram weigh 1000000 / size grams.
        let by_size = pack(&small(
            "seed-spacing = \"1.5 in\"",
            &format!("seed-size = \"{size} /kg\""),
        ));
        let mass = total(&by_size, "packet", "mass_g");
        let expected = total(&by_size, "packet", "seeds") * 1000.0 / f64::from(size);
        prop_assert!(close(mass, expected), "{mass} {expected}");
    }

    /// The units of the sheet make no difference to the seeds.
    #[test]
    fn units_make_no_difference(inches in 40_u32..900, tenths in 5_u32..120) {
        let seeds = |plot: String, spacing: String| {
            let sheet = small(&format!("seed-spacing = \"{spacing}\""), "")
                .replace("12 in", &plot);
            total(&pack(&sheet), "trial", "seeds")
        };
        let us = seeds(format!("{inches} in"), format!("{}.{} in", tenths / 10, tenths % 10));
        // 1 in = 25.4 mm, 0.1 in = 2.54 mm.
        let mm = |hundredths: u32| format!("{}.{:02} mm", hundredths / 100, hundredths % 100);
        prop_assert_eq!(us, seeds(mm(inches * 2540), mm(tenths * 254)));
    }
}
