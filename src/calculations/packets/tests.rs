//! Packets worked out by hand: what the plate takes beyond the plot, and where "too little" begins.

use super::stock::all_together;
use super::*;
use crate::calculations::changeover::{self, Action, Boost, Edge, Extent, Work};
use crate::calculations::jitter::Seeds;
use crate::calculations::spacing::Target;
use crate::outcome::ActionName;
use crate::outcome::Cell;
use crate::quantity::{CellRate, Decimal, Duration, Length, Mass, PerMass, SeedRate, Share, Speed};
use crate::working::steps;

fn common() -> Common {
    Common::new(Units::US)
}

fn length(text: &str) -> Length {
    Length::parse(text, None).expect("a length")
}

fn share_of(text: &str) -> Share {
    Share::parse(text, None).expect("a share")
}

fn population(text: &str) -> SeedRate {
    SeedRate::parse(text).expect("a rate")
}

/// Nine seeds 1.5 in apart in rows of 12 in, two rows a plot, three entries in two reps.
fn small() -> Inputs {
    Inputs {
        plot: length("12 in"),
        row_spacing: length("30 in"),
        rate: Rate::Seeds(Target::Spacing(length("1.5 in"))),
        stand: None,
        tolerance: None,
        per: Per::Plot,
        rows_per_plot: Decimal::whole(2),
        entries: Decimal::whole(3),
        reps: Decimal::whole(2),
        field: None,
        weight: None,
        germination: None,
        emergence: None,
        reserve: None,
        balance_step: None,
        fill_plate: None,
        cleaned_out: Some(Decimal::whole(0)),
        changeover: None,
        lots: vec![],
        beside: Beside::default(),
        plan: None,
    }
}

fn lot(entry: u32) -> Lot {
    let name = format!("line {entry}");
    Lot { name, entry, at_hand: None, weight: None, germination: None, treatment: None }
}

/// A line of the working by its name.
fn line(outcome: &Outcome, name: &str) -> f64 {
    let lines = steps(&outcome.values);
    let line = lines.iter().find(|step| step.name() == name);
    line.unwrap_or_else(|| panic!("no line `{name}`")).value().number()
}

fn message<'a>(outcome: &'a Outcome, code: &str) -> Option<&'a str> {
    let found = outcome.warnings.iter().find(|warning| warning.kind.code == code);
    found.map(|warning| warning.message.as_str())
}

/// A cell of the lots, by the key of its column.
fn of_lot<'a>(outcome: &'a Outcome, row: usize, key: &str) -> &'a Cell {
    let table = outcome.tables.iter().find(|table| table.key == "lots").expect("lots");
    let at = table.columns.iter().position(|column| column.key == key).expect("a column");
    &table.rows[row][at]
}

/// Of 41 weights of 2 g, 40 make one line and the last one another: 80 + 2 = 82.
#[test]
fn a_long_list_is_added_up_in_parts_that_say_where_they_begin_and_end() {
    let all = all_together(vec![Value::constant(2.0); 41]).expect("a sum");
    assert_eq!(all.number(), 82.0);
    let lines: Vec<String> = steps(&[all]).iter().map(|step| step.name().into()).collect();
    let wanted = [
        "a packet of each, weights 1 to 40",
        "a packet of each, weights 41 to 41",
        "a packet of every lot with its own weight",
    ];
    assert_eq!(lines, wanted);
    let short = all_together(vec![Value::constant(2.0); 40]).expect("a sum");
    assert_eq!(steps(&[short]).len(), 1);
    assert!(all_together(vec![]).is_none());
}

/// Timers of a plate that ground drive turns 25 cells/s: 100 cm/s over seeds 4 cm apart.
fn timers(run_out: &str, fill: &str, alley: &str) -> changeover::Inputs {
    let time = |text: &str| Duration::parse(text, None).expect("a time");
    let lasting = |text: &str| Some(Extent::Time(time(text)));
    let action = |name, work, after| Action {
        name: ActionName::of(name).expect("a name"),
        work,
        after,
        wait: None,
        lasts: None,
        step: None,
        fixed: vec![],
    };
    let out = Work::CleanOut { old_seed_gone: Some(time("0.9 s")), least: None, usual: None };
    let lets_in = Work::HandOver { new_seed_at_pick_up: Some(time("0.2 s")) };
    let turns =
        Work::Boost { rate: Boost::Cells(CellRate::parse("60 cells/s", None).expect("a rate")) };
    let end = Some((0, Edge::End));
    changeover::Inputs {
        actions: vec![
            Action { lasts: lasting("1.5 s"), ..action("clean-out", out, None) },
            action("hand-over", lets_in, end),
            Action { wait: lasting(run_out), lasts: lasting(fill), ..action("fill", turns, end) },
        ],
        fall: None,
        carry: Decimal::whole(16),
        cells: Decimal::whole(40),
        speed: Speed::parse("3.6 km/h", None).expect("a speed"),
        seeds: Seeds { target: Target::Spacing(length("4 cm")), row_spacing: length("75 cm") },
        alley: length(alley),
        plot: None,
        step: None,
        width_tolerance: None,
        runs: vec![],
        widths: vec![],
    }
}

fn on_the_plate(changeover: changeover::Inputs) -> Inputs {
    Inputs {
        plot: length("500 cm"),
        row_spacing: length("75 cm"),
        rate: Rate::Seeds(Target::Spacing(length("4 cm"))),
        changeover: Some(Box::new(changeover)),
        ..small()
    }
}

/// New seed is at pick-up at 1.5 + 0.2 = 1.7 s, the old is gone at 0.9 s, both before the boost:
/// 25 x 1.7 - 25 x 0.9 = 20 cells pass empty. Trip to trip the plate turns (500 + 90) / 4 =
/// 147.5 cells, and (60 - 25) x 0.35 = 12.25 more by the boost. So 159.75 - 20 = 139.75 take a
/// seed, and the plot holds 500 / 4 + 1 = 126 of them: 13.75 go beyond it.
#[test]
fn what_the_plate_takes_beyond_the_plot_is_its_turning_less_the_empty_cells_and_the_plot() {
    let outcome = pack(&on_the_plate(timers("0.2 s", "0.35 s", "90 cm")), &common());
    for (name, wanted) in [
        ("new seed reaches pick-up", 1.7),
        ("cells that pass pick-up empty", 20.0),
        ("cells from trip to trip", 159.75),
        ("seeds that a row's plate takes", 139.75),
        ("seeds of a row beyond the plot", 13.75),
        ("seeds that a row takes", 139.75),
    ] {
        assert!((line(&outcome, name) - wanted).abs() < 1e-9, "{name}: {}", line(&outcome, name));
    }
    // Two rows of 140 seeds.
    assert_eq!(line(&outcome, "seeds of a packet"), 280.0);
}

/// With an alley of 20 cm and hardly any boost, (500 + 20) / 4 + 35 x 0.01 - 20 = 110.35 cells
/// take a seed, fewer than the 126 of the plot: a packet is never made smaller by that.
#[test]
fn a_plate_that_takes_fewer_seeds_than_the_plot_holds_takes_none_off_the_packet() {
    let outcome = pack(&on_the_plate(timers("0.2 s", "0.01 s", "20 cm")), &common());
    assert_eq!(line(&outcome, "seeds of a row beyond the plot"), 0.0);
    assert_eq!(line(&outcome, "seeds of a packet"), 252.0); // 2 x 126
}

/// Of 100000 seeds/ac that all come up, 75 % germinating leave 75000 plants: 25 % below the
/// 100000 wanted, which is the tolerance and no more. At 74 % it is 26 %.
#[test]
fn plants_off_by_the_tolerance_itself_are_not_spoken_of() {
    let of = |lots: Vec<Lot>, germination: Option<&str>| {
        let rate = Rate::Seeds(Target::Population(population("100000 /ac")));
        let stand = Some(population("100000 /ac"));
        pack(
            &Inputs {
                rate,
                stand,
                tolerance: Some(share_of("25 %")),
                germination: germination.map(share_of),
                emergence: Some(share_of("100 %")),
                lots,
                ..small()
            },
            &common(),
        )
    };
    let lots = [(1, "75 %"), (2, "74 %"), (3, "100 %")]
        .map(|(entry, germination)| Lot { germination: Some(share_of(germination)), ..lot(entry) });
    let low = of(lots.to_vec(), None);
    let said = message(&low, "low-stand").expect("a remark");
    assert!(said.ends_with("by the germination of: line 2 (entry 2, -26 %)"), "{said}");
    assert_eq!(message(&of(lots[..1].to_vec(), None), "low-stand"), None);
    assert_eq!(message(&of(vec![], Some("75 %")), "stand-disagrees"), None);
    assert!(message(&of(vec![], Some("74 %")), "stand-disagrees").is_some());
}

/// A packet of 2 x 9 = 18 seeds of 500 g a thousand weighs 9 g; an entry takes two, 36 seeds or
/// 18 g. A gram less is two seeds short.
#[test]
fn a_lot_with_just_what_it_takes_has_enough() {
    let grams = |text: &str| Some(AtHand::Mass(Mass::parse(text, None).expect("a mass")));
    let seeds = |number| Some(AtHand::Seeds(Decimal::whole(number)));
    let at_hand = [grams("18 g"), grams("17 g"), seeds(36), seeds(35), None];
    let lots = (1..).zip(at_hand).map(|(entry, at_hand)| Lot { at_hand, ..lot(entry) });
    let thousand = Mass::parse("500 g", None).expect("a mass");
    let outcome = pack(
        &Inputs {
            weight: Some(SeedWeight::Thousand(thousand)),
            entries: Decimal::whole(5),
            lots: lots.collect(),
            ..small()
        },
        &common(),
    );
    let verdicts: Vec<&str> = (0..5)
        .map(|row| match of_lot(&outcome, row, "verdict") {
            Cell::Text(word) => word.as_str(),
            _ => panic!("a verdict in words"),
        })
        .collect();
    assert_eq!(verdicts, ["enough", "short", "enough", "short", "not told"]);
    let number = |row, key| match of_lot(&outcome, row, key) {
        Cell::Number(number, _) => Some(*number),
        _ => None,
    };
    assert_eq!((number(1, "short_seeds"), number(1, "short_g")), (Some(2.0), Some(1.0)));
    assert_eq!((number(3, "short_seeds"), number(3, "short_g")), (Some(1.0), Some(0.5)));
    assert_eq!(number(0, "short_seeds"), None);
    assert_eq!((number(1, "at_hand_seeds"), number(4, "at_hand_seeds")), (Some(34.0), None));
    let said = message(&outcome, "seed-short").expect("a remark");
    assert!(said.contains("line 2 (entry 2) by 2 seeds (1 g), line 4"), "{said}");
}

/// Every entry of six plots: a field of three ranges, two passes and one plot abreast has just
/// that, one of four ranges two more.
#[test]
fn the_field_is_too_small_only_where_plots_are_missing() {
    let of = |ranges: u32, rows: u32, rows_per_plot: u32| {
        let field = Some([ranges, 2, rows].map(Decimal::whole));
        let rows_per_plot = Decimal::whole(rows_per_plot);
        pack(&Inputs { field, rows_per_plot, ..small() }, &common())
    };
    for (ranges, left) in [(2, -2.0), (3, 0.0), (4, 2.0)] {
        let outcome = of(ranges, 2, 2);
        assert_eq!(line(&outcome, "plots left to fill"), left);
        assert_eq!(message(&outcome, "too-few-plots").is_some(), left < 0.0);
    }
    // Four rows hold two plots of two rows: 3 x 2 x 2 - 6.
    assert_eq!(line(&of(3, 4, 2), "plots left to fill"), 6.0);
    // Plots wider than a pass, or by part of one: nothing is said here.
    for (rows, rows_per_plot) in [(2, 4), (3, 2)] {
        let outcome = of(3, rows, rows_per_plot);
        assert!(!outcome.values.iter().any(|value| value.name() == Some("plots left to fill")));
    }
}

/// The trial takes 6 packets of 9 g: 54 g, 0.054 kg; 54 / 453.59237 = 0.119050 lb.
#[test]
fn seed_is_bought_in_pounds_where_lengths_are_in_inches_and_feet_else_in_kilograms() {
    let of = |length: LengthUnit| {
        let thousand = Mass::parse("500 g", None).expect("a mass");
        let units = Units { length, ..Units::US };
        let weight = Some(SeedWeight::Thousand(thousand));
        line(&pack(&Inputs { weight, ..small() }, &Common::new(units)), "seed for the trial")
    };
    for unit in [LengthUnit::Inch, LengthUnit::Foot] {
        assert!((of(unit) - 0.119_050).abs() < 1e-6);
    }
    for unit in [LengthUnit::Centimetre, LengthUnit::Millimetre, LengthUnit::Metre] {
        assert!((of(unit) - 0.054).abs() < 1e-12);
    }
}

/// Where two of three entries weigh by their own seed, 9 seeds x 2 rows of 500 g and of 1000 g a
/// thousand, and the third by the common 100 g: 9 + 18 + 1.8 = 28.8 g a rep. Without the common
/// weight nobody knows the third; with three lots it is not asked for.
#[test]
fn a_rep_weighs_what_its_lots_and_the_other_entries_weigh() {
    let thousand = |text: &str| SeedWeight::Thousand(Mass::parse(text, None).expect("a mass"));
    let lots = [(1, "500 g"), (2, "1000 g"), (3, "100 g")]
        .map(|(entry, weight)| Lot { weight: Some(thousand(weight)), ..lot(entry) });
    let of = |lots: &[Lot], weight: Option<&str>| {
        let outcome = pack(
            &Inputs { lots: lots.to_vec(), weight: weight.map(thousand), ..small() },
            &common(),
        );
        let totals = outcome.tables.iter().find(|table| table.key == "totals").expect("totals");
        let rep =
            totals.rows.iter().find(|row| matches!(&row[0], Cell::Text(part) if part == "rep"));
        match rep.expect("a rep")[4] {
            Cell::Number(mass, _) => Some(mass),
            _ => None,
        }
    };
    approx::assert_relative_eq!(of(&lots[..2], Some("100 g")).expect("a mass"), 28.8);
    assert_eq!(of(&lots[..2], None), None);
    approx::assert_relative_eq!(of(&lots, None).expect("a mass"), 28.8);
    approx::assert_relative_eq!(of(&[], Some("100 g")).expect("a mass"), 5.4); // 3 x 1.8
    assert_eq!(of(&[], None), None);
}

/// The decimals of a page are those of the balance.
#[test]
fn masses_are_shown_to_the_step_of_the_balance() {
    let step = |text: &str| Mass::parse(text, None).expect("a mass");
    for (text, wanted) in [("1 g", 0), ("0.5 g", 1), ("0.05 g", 2), ("0.001 kg", 0), ("10 mg", 2)] {
        assert_eq!(places(Some(&step(text))), wanted, "{text}");
    }
    assert_eq!(places(None), 2);
}

/// Rows, packets, seeds with their decimals, grams.
type Part = (f64, Option<f64>, (f64, usize), Option<f64>);

/// The line of a part of the trial.
fn part(outcome: &Outcome, name: &str) -> Option<Part> {
    let totals = outcome.tables.iter().find(|table| table.key == "totals").expect("totals");
    let named = |row: &&Vec<Cell>| matches!(&row[0], Cell::Text(text) if text == name);
    let number = |cell: &Cell| match cell {
        Cell::Number(number, places) => Some((*number, *places)),
        _ => None,
    };
    let row = totals.rows.iter().find(named)?;
    let [rows, packets, seeds, mass] = [1, 2, 3, 4].map(|at| number(&row[at]));
    let seeds = seeds.expect("seeds");
    Some((rows.expect("rows").0, packets.map(|one| one.0), seeds, mass.map(|one| one.0)))
}

/// 9 seeds and 3 cleaned out, by a quarter more are 15 a row. As a reserve of 5 seeds to a packet
/// of two rows they are 2 x 12 + 5 = 29, 14.5 a row, which is shown with its half.
#[test]
fn a_reserve_is_a_share_of_every_row_or_so_many_seeds_of_a_packet() {
    let of = |reserve: Reserve, per: Per| {
        let weight = Some(SeedWeight::Thousand(Mass::parse("1000 g", None).expect("a mass")));
        let cleaned_out = Some(Decimal::whole(3));
        pack(&Inputs { reserve: Some(reserve), per, cleaned_out, weight, ..small() }, &common())
    };
    let quarter = || Reserve::Share(share_of("25 %"));
    let five = || Reserve::Seeds(Decimal::whole(5));
    let by_share = of(quarter(), Per::Plot);
    assert_eq!(part(&by_share, "row"), Some((1.0, None, (15.0, 0), Some(15.0))));
    assert_eq!(part(&by_share, "packet"), Some((2.0, Some(1.0), (30.0, 0), Some(30.0))));
    let by_seeds = of(five(), Per::Plot);
    assert_eq!(part(&by_seeds, "row"), Some((1.0, None, (14.5, 1), Some(14.5))));
    assert_eq!(part(&by_seeds, "entry"), Some((4.0, Some(2.0), (58.0, 0), Some(58.0))));
    // A packet for every row: 17 seeds, two packets a plot, 12 in all; no line for a row.
    let by_row = of(five(), Per::Row);
    assert_eq!(part(&by_row, "row"), None);
    assert_eq!(part(&by_row, "packet"), Some((1.0, Some(1.0), (17.0, 0), Some(17.0))));
    assert_eq!(part(&by_row, "plot"), Some((2.0, Some(2.0), (34.0, 0), Some(34.0))));
    assert_eq!(part(&by_row, "rep"), Some((6.0, Some(6.0), (102.0, 0), Some(102.0))));
    assert_eq!(part(&by_row, "trial"), Some((12.0, Some(12.0), (204.0, 0), Some(204.0))));
}

/// 18 seeds of 170 g a thousand weigh 3.06 g: on a balance that shows halves 3.5 g.
#[test]
fn a_packet_is_weighed_up_to_the_next_step_of_the_balance() {
    let of = |weight: &str, step: &str| {
        let mass = |text: &str| Mass::parse(text, None).expect("a mass");
        let weight = Some(SeedWeight::Thousand(mass(weight)));
        let outcome =
            pack(&Inputs { weight, balance_step: Some(mass(step)), ..small() }, &common());
        line(&outcome, "mass of a packet")
    };
    assert_eq!(of("170 g", "0.5 g"), 3.5);
    assert_eq!(of("500 g", "0.5 g"), 9.0);
    // So many seeds to the kilogram say the same: 2000 are 2 to the gram, 500 g a thousand.
    let count = SeedWeight::Count(PerMass::parse("2000 /kg", None).expect("seeds"));
    let outcome = pack(&Inputs { weight: Some(count), ..small() }, &common());
    assert_eq!(line(&outcome, "mass of a packet"), 9.0);
}

/// What the packer is told: how many packets, of how many seeds, of what mass where all are alike.
#[test]
fn the_step_tells_the_mass_of_a_packet_only_where_all_weigh_the_same() {
    let weight = || Some(SeedWeight::Thousand(Mass::parse("500 g", None).expect("a mass")));
    let said = |weight: Option<SeedWeight>, lots: Vec<Lot>| {
        pack(&Inputs { weight, lots, ..small() }, &common()).next.expect("a step").instruction
    };
    assert_eq!(said(None, vec![]), "pack 6 packets of 18 seeds");
    assert_eq!(said(weight(), vec![lot(1)]), "pack 6 packets of 18 seeds (9 g)");
    let own = Lot { weight: weight(), ..lot(1) };
    let words = "pack 6 packets of 18 seeds, by the mass in the list of lots";
    assert_eq!(said(weight(), vec![own]), words);
    let short = Lot { at_hand: Some(AtHand::Seeds(Decimal::whole(35))), ..lot(1) };
    let words = said(None, vec![short, lot(2)]);
    assert!(words.contains("get more seed of line 1, or plant fewer reps"), "{words}");
}

/// Seeds wanted in the unit of the plants wanted stay as they were typed; in another unit they
/// are worked out from the spacing: 9 to the foot are 12 / 9 in apart.
#[test]
fn seeds_stay_as_typed_where_plants_are_wanted_in_the_same_unit() {
    let seeds = |rate: &str, stand: Option<&str>| {
        let inputs = Inputs {
            rate: Rate::Seeds(Target::Population(population(rate))),
            stand: stand.map(population),
            ..small()
        };
        let seeds = Ground::of(&inputs, &common()).seeds;
        (seeds.typed_text().map(|text| text.to_string()), seeds.number())
    };
    let acre = Some("139000 /ac".to_owned());
    assert_eq!(seeds("139000 /ac", None), (acre.clone(), 139_000.0));
    assert_eq!(seeds("139000 /ac", Some("120000 /ac")), (acre, 139_000.0));
    assert_eq!(seeds("9 seeds/ft", Some("8 seeds/ft")).0, Some("9 seeds/ft".into()));
    // 139000 to the acre of 0.40468564224 ha.
    let (typed, number) = seeds("139000 /ac", Some("300000 /ha"));
    assert_eq!(typed, None);
    assert!((number - 343_476.5).abs() < 0.1, "{number}");
    // 9 to the foot in rows 30 in apart: 43560 x 12 / 30 x 9 to the acre.
    let (typed, number) = seeds("9 seeds/ft", Some("120000 /ac"));
    assert_eq!(typed, None);
    assert!((number - 156_816.0).abs() < 1e-6, "{number}");
}

/// 110000 of 100000 plants are 10 % more, which binary makes 10.000000000000009; a lot of which
/// 81.81 % come up gives 89991, 10.009 % fewer.
#[test]
fn a_stand_just_the_tolerance_off_is_inside_it() {
    let with = |tolerance: &str, lots: Vec<Lot>| {
        let outcome = pack(
            &Inputs {
                rate: Rate::Seeds(Target::Population(population("110000 /ac"))),
                stand: Some(population("100000 /ac")),
                germination: Some(share_of("100 %")),
                emergence: Some(share_of("100 %")),
                tolerance: Some(share_of(tolerance)),
                lots,
                ..small()
            },
            &common(),
        );
        ["stand-disagrees", "low-stand"].map(|code| message(&outcome, code).is_some())
    };
    assert_eq!(with("10 %", vec![]), [false, false]);
    assert_eq!(with("9.9 %", vec![]), [true, false]);
    let weak = |germination| {
        let germination = Some(share_of(germination));
        (1..=3).map(|entry| Lot { germination: germination.clone(), ..lot(entry) }).collect()
    };
    assert_eq!(with("10 %", weak("81.81 %")), [false, true]);
    assert_eq!(with("10 %", weak("82 %")), [false, false]);
}
