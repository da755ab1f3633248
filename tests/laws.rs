//! Laws that hold whatever the numbers: a planter of our own is measured, the program's correction
//! is applied, and nothing is left to correct; units, headings and the order of readings make no
//! difference; the best sprockets are those that trying all of them finds.

#![allow(clippy::expect_used, clippy::panic)]

mod common;

use std::fmt::Write as _;

use alleytrue::calculations::spacing::{population_at, spacing_for};
use alleytrue::quantity::{AreaUnit, Decimal, LengthUnit, SeedRate, Unit};
use alleytrue::working::{Units, Value};
use common::{Report, cases};
use proptest::prelude::*;
use proptest::sample::select;

fn close(a: f64, b: f64, slack: f64) -> Result<(), TestCaseError> {
    prop_assert!((a - b).abs() <= slack, "{a} and {b}");
    Ok(())
}

/// A number to as many digits as a sheet takes.
fn digits(number: f64) -> String {
    let whole = number.abs().max(1.0).log10().floor();
    let places = (13.0 - whole).max(0.0);
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let places = places as usize;
    format!("{number:.places$}")
}

fn list(numbers: &[f64]) -> String {
    numbers.iter().map(|number| digits(*number)).collect::<Vec<_>>().join(", ")
}

// A planter of our own, in inches on the ground. It shares no formula with the program.

#[derive(Clone, Copy, Debug)]
enum Kind {
    CountsPerLength,
    LengthPerCount,
}

/// A trip counter: the wheel gives `true_counts` to the inch, the controller is told otherwise.
#[derive(Clone, Copy, Debug)]
struct Counter {
    true_counts: f64,
    kind: Kind,
}

impl Counter {
    /// Inches that the controller takes a number of counts for.
    fn believes(&self, counts: f64, scale: f64) -> f64 {
        match self.kind {
            Kind::CountsPerLength => counts / scale,
            Kind::LengthPerCount => counts * scale,
        }
    }

    /// What it reads at the second of two marks.
    fn readout(&self, marks: f64, scale: f64) -> f64 {
        self.believes(marks * self.true_counts, scale)
    }

    /// What it plants when told to plant a length: it stops at the count it takes for the end.
    fn plants(&self, commanded: f64, scale: f64) -> f64 {
        commanded / self.believes(1.0, scale) / self.true_counts
    }

    fn key(&self) -> &'static str {
        match self.kind {
            Kind::CountsPerLength => "counts = \"per length\"",
            Kind::LengthPerCount => "length = \"per count\"",
        }
    }

    fn sheet(&self, scale: f64, evidence: &str) -> String {
        format!(
            "bare-length = \"in\"\n[planter.controller]\ntrip-scale = {{ {} }}\n\
             [trial]\nplot = 210\nalley = 30\nranges = 20\n[trial.tolerance]\ntrip = \"0.1 mm\"\n\
             [settings]\ntrip-scale = {}\n{evidence}",
            self.key(),
            digits(scale)
        )
    }

    fn by_readout(&self, marks: f64, scatter: &[f64], scale: f64) -> String {
        let read: Vec<f64> = scatter.iter().map(|off| self.readout(marks, scale) + off).collect();
        format!("[[trip-run]]\nmarks = {marks}\nreadout = [{}]\n", list(&read))
    }

    fn by_tape(&self, commanded: f64, scatter: &[f64], scale: f64) -> String {
        let taped: Vec<f64> =
            scatter.iter().map(|off| self.plants(commanded, scale) + off).collect();
        format!("[[trip-run]]\ncommanded = {commanded}\ntaped = [{}]\n", list(&taped))
    }
}

fn counters() -> impl Strategy<Value = (Counter, f64)> {
    let kinds = select(vec![Kind::CountsPerLength, Kind::LengthPerCount]);
    (kinds, 0.5..20.0_f64, 0.93..1.07_f64).prop_map(|(kind, true_counts, off)| {
        let right = match kind {
            Kind::CountsPerLength => true_counts,
            Kind::LengthPerCount => 1.0 / true_counts,
        };
        (Counter { true_counts, kind }, (right * off * 1e5).round() / 1e5)
    })
}

/// Twelve readings' scatter whose sum is nothing.
fn scatters() -> impl Strategy<Value = Vec<f64>> {
    proptest::collection::vec(0..40_i32, 6).prop_map(|halves| {
        let halves = halves.iter().map(|hundredths| f64::from(*hundredths) / 100.0);
        halves.flat_map(|off| [off, -off]).collect()
    })
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Way {
    Back,
    Ahead,
}

impl Way {
    /// How far along its own travel a setting puts the alley.
    fn along(self, setting: f64) -> f64 {
        match self {
            Way::Back => -setting,
            Way::Ahead => setting,
        }
    }

    fn word(self) -> &'static str {
        match self {
            Way::Back => "back",
            Way::Ahead => "ahead",
        }
    }
}

fn ways() -> impl Strategy<Value = Way> {
    select(vec![Way::Back, Way::Ahead])
}

/// Where a planter puts its alleys. Places are inches out from where the marks should stand; going
/// out the travel is the same way, coming home it is the other.
#[derive(Clone, Copy, Debug)]
struct Planter {
    width: f64,
    /// How far along the travel an alley would lie with every setting at zero.
    lag: f64,
    setback: Way,
    offset: Way,
    /// Where the marks really stand.
    marks: f64,
}

impl Planter {
    /// Place of the last seed before an alley and of the first seed after it.
    fn seeds(&self, travel: f64, settings: (f64, f64)) -> (f64, f64) {
        let middle = self.lag + self.setback.along(settings.0) + self.offset.along(settings.1);
        (travel * (middle - self.width / 2.0), travel * (middle + self.width / 2.0))
    }

    /// Last seed to mark and mark to first seed, taped along the travel.
    fn taped(&self, travel: f64, settings: (f64, f64)) -> (f64, f64) {
        let (last, first) = self.seeds(travel, settings);
        (travel * (self.marks - last), travel * (first - self.marks))
    }

    /// How far an alley going out lies ahead of its neighbour coming home.
    fn lead(&self, settings: (f64, f64)) -> f64 {
        let middle = |travel| {
            let (last, first) = self.seeds(travel, settings);
            f64::midpoint(last, first)
        };
        middle(1.0) - middle(-1.0)
    }

    fn head(&self, settings: (f64, f64)) -> String {
        format!(
            "bare-length = \"in\"\n[planter.controller]\n\
             setback = {{ raising-moves-alley = \"{}\" }}\n\
             pass-offset = {{ raising-moves-alley = \"{}\" }}\n\
             [trial]\nalley = {}\n[trial.tolerance]\ncentre = \"0.1 mm\"\npasses = \"0.1 mm\"\n\
             [settings]\nsetback = {}\npass-offset = {}\n",
            self.setback.word(),
            self.offset.word(),
            digits(self.width),
            digits(settings.0),
            digits(settings.1)
        )
    }

    /// An alley run with both sides, or the one that `sides` says.
    fn alleys(&self, heading: &str, settings: (f64, f64), scatter: &[f64], sides: Sides) -> String {
        let (a, b) = self.taped(if heading == "out" { 1.0 } else { -1.0 }, settings);
        let with = |middle: f64, sign: f64| -> Vec<f64> {
            scatter.iter().map(|off| middle + sign * off).collect()
        };
        let mut text = format!("[[alley-run]]\nheading = \"{heading}\"\n");
        if sides != Sides::First {
            let _ = writeln!(text, "last-seed-to-mark = [{}]", list(&with(a, 1.0)));
        }
        if sides != Sides::Last {
            let _ = writeln!(text, "mark-to-first-seed = [{}]", list(&with(b, -1.0)));
        }
        text
    }
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Sides {
    Both,
    Last,
    First,
}

fn planters() -> impl Strategy<Value = (Planter, (f64, f64))> {
    let settings = (0.0..40.0_f64, 0.0..40.0_f64);
    let whole = |number: f64| (number * 8.0).round() / 8.0;
    (12.0..60.0_f64, -8.0..8.0_f64, ways(), ways(), -6.0..6.0_f64, settings).prop_map(
        move |(width, off, setback, offset, marks, (now_setback, now_offset))| {
            let settings = (whole(now_setback), whole(now_offset));
            // A planter that is eight inches off at most with the settings it has.
            let lag = whole(off) - setback.along(settings.0) - offset.along(settings.1);
            let planter =
                Planter { width: whole(width), lag, setback, offset, marks: whole(marks) };
            (planter, settings)
        },
    )
}

fn sides() -> impl Strategy<Value = Sides> {
    select(vec![Sides::Both, Sides::Both, Sides::Last, Sides::First])
}

const SHIFT: &str = "shift along the travel";
const MARK_LINE: &str = "error of the mark line, seen going out";

proptest! {
    #![proptest_config(cases(24))]

    #[test]
    fn a_corrected_trip_scale_needs_no_correction(
        (counter, scale) in counters(),
        scatter in scatters(),
        marks in 120..600_u32,
        tape in any::<bool>(),
    ) {
        let measured = |scale: f64, scatter: &[f64]| {
            let evidence = if tape {
                counter.by_tape(f64::from(marks), scatter, scale)
            } else {
                counter.by_readout(f64::from(marks), scatter, scale)
            };
            Report::of(&counter.sheet(scale, &evidence))
        };
        let exact = measured(scale, &scatter).setting("trip", "trip scale").exact();
        let right = match counter.kind {
            Kind::CountsPerLength => counter.true_counts,
            Kind::LengthPerCount => 1.0 / counter.true_counts,
        };
        close(exact, right, 1e-9 * right)?;
        let again = measured(exact, &scatter);
        close(again.setting("trip", "trip scale").exact(), exact, 1e-9 * exact)?;
        close(again.number("trip", "error per plot now"), 0.0, 1e-6)?;
        prop_assert_ne!(again.setting("trip", "trip scale").verdict(), "change");
    }

    #[test]
    fn the_error_of_a_plot_is_what_the_planter_does(
        (counter, scale) in counters(),
        scatter in scatters(),
    ) {
        let sheet = counter.sheet(scale, &counter.by_readout(240.0, &scatter, scale));
        let error = Report::of(&sheet).number("trip", "error per plot now");
        // A trip spacing of 240 in as it comes out on the ground.
        close(error, counter.plants(240.0, scale) - 240.0, 1e-8)?;
        let over = Report::of(&sheet).number("trip", "error over the pass now");
        close(over, 20.0 * (counter.plants(240.0, scale) - 240.0), 1e-6)?;
    }

    #[test]
    fn readout_and_tape_say_the_same(
        (counter, scale) in counters(),
        marks in 120..600_u32,
        commanded in 120..600_u32,
        scatter in scatters(),
    ) {
        let exact = |evidence: &str| {
            Report::of(&counter.sheet(scale, evidence)).setting("trip", "trip scale").exact()
        };
        let read = counter.by_readout(f64::from(marks), &scatter, scale);
        let taped = counter.by_tape(f64::from(commanded), &scatter, scale);
        close(exact(&read), exact(&taped), 1e-9 * scale)?;
        close(exact(&(read.clone() + &taped)), exact(&read), 1e-9 * scale)?;
    }

    #[test]
    fn a_corrected_setback_needs_no_correction(
        (planter, now) in planters(),
        scatter in scatters(),
        sides in sides(),
        heading in select(vec!["out", "home"]),
        both in any::<bool>(),
    ) {
        // On one heading the marks have to stand where they should: nothing tells otherwise.
        let planter = if both { planter } else { Planter { marks: 0.0, ..planter } };
        let measured = |settings: (f64, f64)| {
            let mut sheet = planter.head(settings);
            if both || heading == "home" {
                sheet += &planter.alleys("home", settings, &scatter, sides);
            }
            if both || heading == "out" {
                sheet += &planter.alleys("out", settings, &scatter, sides);
            }
            Report::of(&sheet)
        };
        let exact = measured(now).setting("alley", "setback").exact();
        let again = measured((exact, now.1));
        close(again.setting("alley", "setback").exact(), exact, 1e-9)?;
        prop_assert_ne!(again.setting("alley", "setback").verdict(), "change");
        // The tape says so too: with the marks where they should be, the mark halves the alley.
        let true_marks = Planter { marks: 0.0, ..planter };
        for travel in [1.0, -1.0] {
            let (a, b) = true_marks.taped(travel, (exact, now.1));
            close(a, b, 1e-9)?;
        }
        if both {
            // Marks too far out look as if the planter were behind going out.
            close(again.number("alley", MARK_LINE), -planter.marks, 1e-9)?;
            close(again.number("alley", SHIFT), 0.0, 1e-9)?;
        }
    }

    #[test]
    fn a_corrected_pass_offset_needs_no_correction(
        (planter, now) in planters(),
        scatter in scatters(),
    ) {
        let measured = |settings: (f64, f64)| {
            let lead = planter.lead(settings);
            let leads: Vec<f64> = scatter.iter().map(|off| lead + off).collect();
            Report::of(&format!("{}[[pass-run]]\nlead = [{}]\n", planter.head(settings), list(&leads)))
        };
        let exact = measured(now).setting("passes", "pass offset").exact();
        close(planter.lead((now.0, exact)), 0.0, 1e-9)?;
        let again = measured((now.0, exact));
        close(again.setting("passes", "pass offset").exact(), exact, 1e-9)?;
        prop_assert_ne!(again.setting("passes", "pass offset").verdict(), "change");
    }

    #[test]
    fn one_thing_at_a_time_ends_with_everything_right(
        (planter, start) in planters(),
        scatter in scatters(),
    ) {
        // What is to be changed next is changed, planted again and measured again. The readings
        // scatter far less than the tolerance, so that none asks for more readings.
        let scatter: Vec<f64> = scatter.iter().map(|off| off / 1000.0).collect();
        let mut settings = start;
        let mut rounds = 0;
        loop {
            let leads: Vec<f64> = scatter.iter().map(|off| planter.lead(settings) + off).collect();
            let sheet = planter.head(settings)
                + &planter.alleys("out", settings, &scatter, Sides::Both)
                + &planter.alleys("home", settings, &scatter, Sides::Both)
                + &format!("[[pass-run]]\nlead = [{}]\n", list(&leads));
            let report = Report::of(&sheet);
            match report.next_setting() {
                Some("setback") => settings.0 = report.setting("alley", "setback").set(),
                Some("pass offset") => settings.1 = report.setting("passes", "pass offset").set(),
                _ => break,
            }
            rounds += 1;
            prop_assert!(rounds <= 2, "still changing at {settings:?}");
        }
        close(planter.lead(settings), 0.0, 0.02)?;
        let (last, first) = planter.seeds(1.0, settings);
        close(last, -first, 0.02)?;
    }

    #[test]
    fn the_heading_turned_round_turns_the_mark_line(
        (planter, now) in planters(),
        scatter in scatters(),
        sides in sides(),
    ) {
        let runs = |out: &str, home: &str| {
            let as_planted = |heading: &str, called: &str| {
                planter.alleys(heading, now, &scatter, sides).replace(heading, called)
            };
            Report::of(&(planter.head(now) + &as_planted("out", out) + &as_planted("home", home)))
        };
        let (right, turned) = (runs("out", "home"), runs("home", "out"));
        let line = right.number("alley", MARK_LINE);
        close(line, -planter.marks, 1e-9)?;
        close(turned.number("alley", MARK_LINE), -line, 1e-9)?;
        close(turned.number("alley", SHIFT), right.number("alley", SHIFT), 1e-9)?;
        let exact = |report: &Report| report.setting("alley", "setback").exact();
        close(exact(&turned), exact(&right), 1e-9)?;
    }

    #[test]
    fn the_order_of_readings_makes_no_difference(
        (counter, scale) in counters(),
        (planter, now) in planters(),
        order in Just((0..12_usize).collect::<Vec<_>>()).prop_shuffle(),
        scatter in scatters(),
    ) {
        let shuffled: Vec<f64> = order.iter().map(|at| scatter[*at]).collect();
        let trip = |scatter: &[f64]| {
            let sheet = counter.sheet(scale, &counter.by_readout(240.0, scatter, scale));
            Report::of(&sheet).setting("trip", "trip scale").exact()
        };
        close(trip(&scatter), trip(&shuffled), 1e-12 * scale)?;
        let field = |scatter: &[f64]| {
            let leads: Vec<f64> = scatter.iter().map(|off| planter.lead(now) + off).collect();
            let report = Report::of(
                &(planter.head(now)
                    + &planter.alleys("out", now, scatter, Sides::Both)
                    + &format!("[[pass-run]]\nlead = [{}]\n", list(&leads))),
            );
            (
                report.setting("alley", "setback").exact(),
                report.setting("passes", "pass offset").exact(),
            )
        };
        let (before, after) = (field(&scatter), field(&shuffled));
        close(before.0, after.0, 1e-12)?;
        close(before.1, after.1, 1e-12)?;
    }

    #[test]
    fn population_and_spacing_undo_each_other(
        row in 10..4_000_i64,
        population in 1..2_000_000_i64,
        area in select(vec![(AreaUnit::Acre, 100), (AreaUnit::Hectare, 100), (AreaUnit::SquareMetre, 1_000_000)]),
        length in select(vec![LengthUnit::Inch, LengthUnit::Centimetre, LengthUnit::Millimetre]),
    ) {
        let (area, parts) = area;
        #[allow(clippy::cast_precision_loss)]
        let wanted = population as f64 / f64::from(parts) * 100.0;
        let units = Units { length, area, ..Units::US };
        let row = Value::typed("row spacing", Decimal::new(row, 1), Unit::from(length));
        let typed = format!("{wanted:.6} {}", alleytrue::quantity::MeasureUnit::symbol(area));
        let rate = SeedRate::parse(&typed).expect("a rate");
        let spacing = spacing_for(&row, &rate, &units);
        let back = population_at(&row, &spacing, &units).number();
        let wanted: f64 = format!("{wanted:.6}").parse().expect("a number");
        close(back, wanted, 1e-12 * wanted)?;
    }
}

// The same sheet in any unit.

/// Ways to write tenths of an inch exactly.
#[derive(Clone, Copy, Debug)]
enum Written {
    Inches,
    Feet,
    Centimetres,
    Metres,
    Millimetres,
}

impl Written {
    const ALL: [Written; 5] = [
        Written::Inches,
        Written::Feet,
        Written::Centimetres,
        Written::Metres,
        Written::Millimetres,
    ];

    fn of(self, tenths: i64) -> String {
        let (sign, size) = (if tenths < 0 { "-" } else { "" }, tenths.abs());
        // A tenth of an inch is 2.54 mm.
        let parts = |hundredths: i64, places: usize| {
            let text = format!("{hundredths:0>width$}", width = places + 1);
            let (whole, decimals) = text.split_at(text.len() - places);
            format!("{sign}{whole}.{decimals}")
        };
        match self {
            Written::Inches => format!("\"{} in\"", parts(size, 1)),
            Written::Feet => format!("\"{sign}{size}/120 ft\""),
            Written::Centimetres => format!("\"{} cm\"", parts(size * 254, 3)),
            Written::Metres => format!("\"{} m\"", parts(size * 254, 5)),
            Written::Millimetres => format!("\"{} mm\"", parts(size * 254, 2)),
        }
    }

    fn list(self, tenths: &[i64]) -> String {
        tenths.iter().map(|tenth| self.of(*tenth)).collect::<Vec<_>>().join(", ")
    }

    /// Inches of one working unit of a sheet written so.
    fn inches(self) -> f64 {
        match self {
            Written::Inches | Written::Feet => 1.0,
            Written::Centimetres | Written::Metres => 1.0 / 2.54,
            Written::Millimetres => 1.0 / 25.4,
        }
    }
}

proptest! {
    #![proptest_config(cases(16))]

    #[test]
    fn the_unit_makes_no_difference(
        readout in proptest::collection::vec(2_300..2_500_i64, 1..14),
        sides in proptest::collection::vec((50..250_i64, 50..250_i64), 1..8),
        leads in proptest::collection::vec(-80..80_i64, 1..8),
        spacing in 12..90_i64,
        travel in 3_000..30_000_i64,
        scale in 1_000..900_000_i64,
    ) {
        let (last, first): (Vec<i64>, Vec<i64>) = sides.into_iter().unzip();
        let reports: Vec<(Written, Report)> = Written::ALL
            .into_iter()
            .map(|hand| {
                let sheet = format!(
                    "[planter]\nrow-spacing = {row}\n\
                     travel-per-turn = {{ distance = {travel}, turns = 7.5 }}\nplate = {{ cells = 40 }}\n\
                     [[planter.drive]]\ndriving = {{ fitted = 24, choices = [20, 22, 25, 28] }}\n\
                     driven = {{ fitted = 18, choices = [16, 17, 19, 21] }}\n\
                     centre-distance = {centre}\nchain-pitch = {pitch}\n\
                     [planter.controller]\ntrip-scale = {{ counts = \"per length\", step = 0.01 }}\n\
                     setback = {{ raising-moves-alley = \"back\" }}\n\
                     pass-offset = {{ raising-moves-alley = \"ahead\" }}\n\
                     [trial]\nplot = {plot}\nalley = {alley}\nseed-spacing = {spacing}\n\
                     [settings]\ntrip-scale = {scale}\nsetback = {alley}\npass-offset = {alley}\n\
                     [[trip-run]]\nmarks = {marks}\nreadout = [{readout}]\n\
                     [[alley-run]]\nlast-seed-to-mark = [{last}]\nmark-to-first-seed = [{first}]\n\
                     [[pass-run]]\nlead = [{leads}]\n",
                    row = hand.of(300),
                    travel = hand.of(travel),
                    centre = hand.of(205),
                    pitch = hand.of(5),
                    plot = hand.of(2_100),
                    alley = hand.of(300),
                    spacing = hand.of(spacing),
                    scale = Decimal::new(scale, 3),
                    marks = hand.of(2_400),
                    readout = hand.list(&readout),
                    last = hand.list(&last),
                    first = hand.list(&first),
                    leads = hand.list(&leads),
                );
                (hand, Report::of(&sheet))
            })
            .collect();
        let (_, inches) = &reports[0];
        for (hand, report) in &reports[1..] {
            for (calculation, name, share) in [
                ("trip", "exact trip scale", 1.0),
                ("trip", "trip scale to set", 1.0),
                ("spacing", "plate turns per wheel turn wanted", 1.0),
                ("spacing", "plate turns per wheel turn now", 1.0),
                ("spacing", "spacing error now", 1.0),
                ("spacing", "chain 1 length", 1.0),
                ("trip", "error per plot now", hand.inches()),
                ("spacing", "seed spacing now", hand.inches()),
                ("alley", "alley width", hand.inches()),
                ("alley", "exact setback", hand.inches()),
                ("passes", "mean lead", hand.inches()),
                ("passes", "exact pass offset", hand.inches()),
            ] {
                let (Some(here), Some(there)) =
                    (report.maybe(calculation, name), inches.maybe(calculation, name))
                else {
                    // What is kept has no line of what to set, in any unit.
                    let alike = report.maybe(calculation, name).is_some()
                        == inches.maybe(calculation, name).is_some();
                    prop_assert!(alike && name == "trip scale to set", "{name} in {hand:?}");
                    continue;
                };
                close(here * share, there, 1e-9 * there.abs().max(1.0))?;
            }
            let verdict = |report: &Report| report.setting("trip", "trip scale").verdict().to_owned();
            prop_assert_eq!(verdict(report), verdict(inches));
            let sprockets = |report: &Report| -> Vec<String> {
                let rows = report.table("spacing", "sprockets").expect("a table");
                rows.iter().map(|row| row["sprockets"].to_string()).collect()
            };
            prop_assert_eq!(sprockets(report), sprockets(inches));
        }
    }
}

// The best sprockets.

/// A sprocket that is fitted and those that could be.
type Choice = (u32, Vec<u32>);

fn choices() -> impl Strategy<Value = Choice> {
    (9..45_u32, proptest::collection::vec(9..45_u32, 1..6))
}

/// Every way to fill the positions, driving and driven by turns.
fn every_way(positions: &[Choice]) -> Vec<Vec<u32>> {
    let mut ways = vec![vec![]];
    for (fitted, choices) in positions {
        let mut teeth = choices.clone();
        teeth.push(*fitted);
        teeth.sort_unstable();
        teeth.dedup();
        ways = ways
            .into_iter()
            .flat_map(|way| teeth.iter().map(move |tooth| [way.clone(), vec![*tooth]].concat()))
            .collect();
    }
    ways
}

/// The ratio as whole numbers.
fn ratio(way: &[u32]) -> (u64, u64) {
    way.chunks(2)
        .fold((1, 1), |(top, bottom), pair| (top * u64::from(pair[0]), bottom * u64::from(pair[1])))
}

/// A combination, and all that its place among the others hangs on.
struct Fill {
    ratio: (u64, u64),
    /// Share by which the spacing is off.
    off: f64,
    outside: bool,
    chains_off: usize,
    swaps: usize,
}

impl Fill {
    /// Work at the drive counts inside the tolerance, nearness outside it. Without a tolerance
    /// nearness counts, of those whose chains fit.
    fn before(&self, other: &Fill, has_tolerance: bool) -> std::cmp::Ordering {
        let (off, other_off) = (self.off.abs(), other.off.abs());
        // Rounding makes two of what is equal.
        let near = if (off - other_off).abs() < 1e-12 {
            std::cmp::Ordering::Equal
        } else {
            off.total_cmp(&other_off)
        };
        let chains = self.chains_off.cmp(&other.chains_off);
        let swaps = self.swaps.cmp(&other.swaps);
        self.outside.cmp(&other.outside).then(match (has_tolerance, self.outside) {
            (true, false) => chains.then(swaps).then(near),
            (true, true) => near.then(chains).then(swaps),
            (false, _) => chains.then(near).then(swaps),
        })
    }
}

/// Links of the chains, and how many the idler takes up. Sprockets are 20 in apart, links half an
/// inch long: 2 x 40 + (N + n) / 2 + ((N - n) / (2 pi))^2 / 40 links, and up to an even number.
fn chain_goes_round((links, take_up): (u32, u32), driving: u32, driven: u32) -> bool {
    let (driving, driven) = (f64::from(driving), f64::from(driven));
    let part = (driving - driven) / std::f64::consts::TAU;
    let length = 80.0 + (driving + driven) / 2.0 + part * part / 40.0;
    let needed = 2.0 * (length / 2.0 - 1e-9).ceil();
    (needed..=needed + f64::from(take_up)).contains(&f64::from(links))
}

proptest! {
    #![proptest_config(cases(32))]

    #[test]
    fn the_best_sprockets_are_those_that_trying_all_finds(
        chains in proptest::collection::vec((choices(), choices()), 1..=2),
        spacing in 40..400_u32,
        cells in 10..80_u32,
        travel in 300..1_200_u32,
        tolerance in proptest::option::of(1..400_u32),
        chain in proptest::option::of((50..60_u32, 0..5_u32)),
    ) {
        let spacing = f64::from(spacing) / 100.0;
        let travel = f64::from(travel) / 10.0;
        let chain = chain.map(|(pairs, take_up)| (2 * pairs, take_up));
        let mut sheet = format!(
            "[planter]\nrow-spacing = \"30 in\"\n\
             travel-per-turn = {{ distance = \"{:.1} in\", turns = 10 }}\n\
             plate = {{ cells = {cells} }}\n",
            travel * 10.0
        );
        for ((driving, choices), (driven, others)) in &chains {
            let _ = write!(
                sheet,
                "[[planter.drive]]\ndriving = {{ fitted = {driving}, choices = {choices:?} }}\n\
                 driven = {{ fitted = {driven}, choices = {others:?} }}\n"
            );
            if let Some((links, take_up)) = chain {
                let _ = write!(
                    sheet,
                    "centre-distance = \"20 in\"\nchain-pitch = \"0.5 in\"\nlinks = {links}\n\
                     take-up = {take_up}\n"
                );
            }
        }
        let _ = write!(sheet, "[trial]\nseed-spacing = \"{spacing} in\"\n");
        if let Some(per_mille) = tolerance {
            let percent = f64::from(per_mille) / 10.0;
            let _ = writeln!(sheet, "tolerance = {{ spacing = \"{percent:.1} %\" }}");
        }
        let report = Report::of(&sheet);

        // Seeds stand wrong by the share that the ratio wanted has over the ratio there is.
        let wanted = travel / (spacing * f64::from(cells));
        let positions: Vec<Choice> =
            chains.iter().flat_map(|(driving, driven)| [driving.clone(), driven.clone()]).collect();
        let way = |teeth: Vec<u32>| {
            let ratio = ratio(&teeth);
            #[allow(clippy::cast_precision_loss)]
            let off = wanted * ratio.1 as f64 / ratio.0 as f64 - 1.0;
            let stays: Vec<bool> =
                teeth.iter().zip(&positions).map(|(teeth, (fitted, _))| teeth == fitted).collect();
            let round = |pair: &[u32]| chain.is_none_or(|chain| chain_goes_round(chain, pair[0], pair[1]));
            let chains_off =
                teeth.chunks(2).zip(stays.chunks(2)).filter(|(pair, stays)| *stays != [true, true] && !round(pair));
            Fill {
                off,
                outside: tolerance.is_some_and(|limit| 1000.0 * off.abs() > f64::from(limit) * (1.0 + 1e-9)),
                chains_off: chains_off.count(),
                swaps: stays.iter().filter(|stays| !**stays).count(),
                ratio,
            }
        };
        let all: Vec<Fill> = every_way(&positions).into_iter().map(way).collect();
        if all.len() == 1 {
            prop_assert!(report.table("spacing", "sprockets").is_none());
            return Ok(());
        }
        let nearest = all.iter().map(|way| way.off.abs()).fold(f64::INFINITY, f64::min);
        // One way for every different ratio: the one that comes before the others.
        let mut found: Vec<Fill> = Vec::new();
        for way in all {
            let same = |known: &Fill| {
                u128::from(known.ratio.0) * u128::from(way.ratio.1)
                    == u128::from(known.ratio.1) * u128::from(way.ratio.0)
            };
            match found.iter_mut().find(|known| same(known)) {
                Some(known) if way.before(known, tolerance.is_some()).is_lt() => *known = way,
                Some(_) => {}
                None => found.push(way),
            }
        }
        found.sort_by(|one, other| one.before(other, tolerance.is_some()));

        let rows = report.table("spacing", "sprockets").expect("a table");
        prop_assert_eq!(rows.len(), found.len().min(8));
        for (row, way) in rows.iter().zip(&found) {
            let percent = row["error_percent"].as_f64().expect("a number");
            close(percent.abs(), 100.0 * way.off.abs(), 1e-9)?;
            prop_assert_eq!(row["swaps"].as_u64(), u64::try_from(way.swaps).ok());
            let fit = if way.chains_off == 0 { "yes" } else { "no" };
            prop_assert_eq!(row["chains_fit"].as_str(), chain.is_some().then_some(fit));
            // The row's own sprockets are at hand and give that error.
            let teeth: Vec<u32> = row["sprockets"]
                .as_str()
                .expect("sprockets")
                .split([' ', '/'])
                .map(|teeth| teeth.parse().expect("teeth"))
                .collect();
            let own = ratio(&teeth);
            #[allow(clippy::cast_precision_loss)]
            let off = wanted * own.1 as f64 / own.0 as f64 - 1.0;
            close(percent, 100.0 * off, 1e-9)?;
            let at_hand = |(teeth, (fitted, choices)): (&u32, &Choice)| {
                teeth == fitted || choices.contains(teeth)
            };
            prop_assert!(teeth.iter().zip(&positions).all(at_hand));
        }

        // The nearest of all stands beside them, where it is not the first.
        let beside = report.table("spacing", "nearest-sprockets");
        let beside = beside.map_or(&rows[0], |rows| &rows[0]);
        let percent = beside["error_percent"].as_f64().expect("a number");
        close(percent.abs(), 100.0 * nearest, 1e-9)?;

        // What to do agrees with the order: nothing is swapped where the first is what is fitted,
        // nor where even the first is outside the tolerance, or without one half off and more:
        // then a number is wrong, and not the sprockets.
        let settings = report.result("spacing")["settings"].as_array().expect("settings");
        let swapped = settings.iter().filter(|setting| setting["verdict"] == "change").count();
        let far = found[0].outside || tolerance.is_none() && found[0].off.abs() > 0.5 * (1.0 + 1e-9);
        let worth = if far { 0 } else { found[0].swaps };
        prop_assert_eq!(swapped, worth);
    }
}
