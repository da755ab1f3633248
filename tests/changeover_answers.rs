//! What the changeover says can't be made, and what it says would do: every number named is typed
//! into the sheet as printed, and so are numbers beyond it. And how long it takes.
//!
//! `CASES=10000 cargo test --release --test changeover_answers` tries ten thousand random sheets;
//! an everyday run tries fewer.

// Helpers of tests may fail like tests.
#![allow(clippy::expect_used, clippy::panic)]

mod plain_changeover;

use std::time::{Duration, Instant};

use alleytrue::calculations::changeover;
use alleytrue::outcome::{Cell, Outcome, Table, Verdict};
use alleytrue::sheet::{FieldSheet, Source};
use plain_changeover::{CLEAN_OUT, FILL, RUN_OUT, SWEEP_AFTER, written_out};

fn cases() -> u32 {
    std::env::var("CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(150)
}

/// Numbers of a fixed series.
struct Dice(u64);

impl Dice {
    #[allow(clippy::cast_precision_loss)] // 53 bits
    fn share(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, from: f64, to: f64) -> f64 {
        from + (to - from) * self.share()
    }

    /// Evenly over the powers of ten.
    fn over(&mut self, from: f64, to: f64) -> f64 {
        let number = from * (to / from).powf(self.share());
        format!("{number:.5e}").parse().expect("six digits")
    }

    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    fn one<T: Copy>(&mut self, of: &[T]) -> T {
        of[(self.share() * of.len() as f64) as usize]
    }
}

/// A sheet of a planter that was never set up.
#[derive(Clone, Debug)]
struct Sheet {
    cells: f64,
    carry: f64,
    step: f64,
    alley: f64,
    speed: f64,
    spacing: f64,
    tolerance: Option<f64>,
    boost: f64,
    gone: f64,
    arrives: f64,
    sweep: Option<f64>,
    timers: Option<[f64; 3]>,
    /// Least and usual clean-out.
    figures: Option<[f64; 2]>,
}

impl Sheet {
    /// A sheet of ordinary values, as a person rounds them.
    fn ordinary(dice: &mut Dice) -> Sheet {
        let tenths = |number: f64| (number * 10.0).round() / 10.0;
        let twentieths = |number: f64| (number * 20.0).round() / 20.0;
        let carry = dice.between(2.0, 29.0).round();
        Sheet {
            cells: dice.one(&[30.0, 40.0, 48.0, 60.0]),
            carry,
            step: dice.one(&[0.01, 0.02, 0.05, 0.05, 0.1, 0.1, 0.25]),
            alley: dice.between(10.0, 60.0).round(),
            speed: tenths(dice.between(0.8, 5.5)),
            spacing: dice.one(&[1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 6.0]),
            tolerance: dice.one(&[None, Some(1.0), Some(2.0)]),
            boost: dice.one(&[15.0, 20.0, 30.0, 40.0, 60.0, 80.0, 120.0]),
            gone: twentieths(dice.between(0.3, 2.0)),
            arrives: twentieths(dice.between(0.0, 1.2)),
            sweep: dice.one(&[None, Some(3.0)]).filter(|cells| *cells <= carry),
            timers: None,
            figures: dice.one(&[None, Some([1.0, 1.5]), Some([0.8, 1.2]), Some([1.5, 2.5])]),
        }
    }

    /// Any sheet within bounds.
    fn any(dice: &mut Dice) -> Sheet {
        let carry = dice.one(&[0.0_f64, 1.0, 24.0, 999.0]).max((dice.between(0.0, 40.0)).round());
        let share = dice.share();
        Sheet {
            cells: dice.over(1.0, 1000.0).ceil().max(carry + 1.0),
            carry,
            step: dice.over(0.0001, 10.0).max(0.0001),
            alley: dice.over(2.0, 1190.0),
            speed: dice.over(0.051, 19.9),
            spacing: dice.over(0.08, 239.0),
            tolerance: dice.one(&[None, Some(0.01), Some(2.0)]),
            boost: dice.over(0.11, 999.0),
            gone: dice.one(&[0.0_f64, 0.5, 60.0]).max(dice.over(0.001, 60.0)).min(60.0),
            arrives: dice.one(&[0.0_f64, 0.0, 0.2]).max(dice.over(0.001, 60.0)).min(60.0),
            sweep: dice.one(&[None, Some(share * carry)]),
            timers: Some([(); 3].map(|()| dice.over(0.001, 60.0))).filter(|_| share > 0.7),
            figures: dice.one(&[None, Some([0.0, 60.0]), Some([1.0, 1.5])]),
        }
    }

    fn text(&self) -> String {
        let tolerance = self
            .tolerance
            .map_or(String::new(), |off| format!("tolerance = {{ width = \"{off} in\" }}\n"));
        let sweep = self.sweep.map_or(String::new(), |cells| {
            let down = (cells * 10.0).floor() / 10.0;
            format!("sweep = {{ cells-before-release = {down:.1} }}\n")
        });
        let figures = self.figures.map_or(String::new(), |[least, usual]| {
            format!("least-clean-out = \"{least} s\"\nusual-clean-out = \"{usual} s\"\n")
        });
        let timers = self.timers.map_or(String::new(), |[clean_out, run_out, fill]| {
            format!(
                "clean-out = \"{clean_out} s\"\nrun-out = \"{run_out} s\"\nfill = \"{fill} s\"\n"
            )
        });
        format!(
            "[planter]\nrow-spacing = \"30 in\"\nplate = {{ cells = {}, carry = {} }}\n\
             controller = {{ timer-step = \"{} s\" }}\n\
             [trial]\nalley = \"{} in\"\nspeed = \"{} mph\"\nseed-spacing = \"{} in\"\n{tolerance}\
             [changeover]\nboost = \"{} cells/s\"\nold-seed-gone = \"{} s\"\n\
             new-seed-at-pick-up = \"{} s\"\n{figures}{timers}{sweep}",
            self.cells,
            self.carry,
            self.step,
            self.alley,
            self.speed,
            self.spacing,
            self.boost,
            self.gone,
            self.arrives,
        )
    }
}

fn read(text: &str) -> FieldSheet {
    FieldSheet::read(&Source::new("random.toml", &written_out(text))).unwrap_or_else(|mistakes| {
        panic!("{:?}\n{text}", mistakes.iter().map(|one| &one.message).collect::<Vec<_>>())
    })
}

/// What `changeover` says of a sheet.
fn calibrated(text: &str) -> Outcome {
    let sheet = read(text);
    changeover::calibrate(sheet.job.changeover.as_ref().expect("a changeover"), &sheet.job.common)
}

fn refused(outcome: &Outcome) -> Option<String> {
    let of_kind = outcome.warnings.iter().find(|one| one.kind.code == "alley-not-reached");
    of_kind.map(|one| one.message.clone())
}

/// A span of numbers as printed: "28.3 in or more", "35.2 to 407 cells/s", "0.791 mph or slower".
#[derive(Clone, Copy, Debug, PartialEq)]
struct Named {
    from: f64,
    to: f64,
}

/// The way out with these words before or behind it, as the message has it.
fn named(message: &str, unit: &str, least: f64, most: f64) -> Option<Named> {
    let (_, ways) = message.split_once("what would do: ")?;
    let way = ways.split("; ").find(|way| way.contains(unit))?;
    let numbers: Vec<f64> = way.split([' ', ',']).filter_map(|word| word.parse().ok()).collect();
    Some(match numbers[..] {
        [from, to] => Named { from, to },
        [from] if way.contains("or more") => Named { from, to: most },
        [to] if way.contains("or slower") => Named { from: least, to },
        _ => panic!("{way}"),
    })
}

/// The ends of a span as typed, and five numbers inside it.
fn inside(named: Named, dice: &mut Dice) -> Vec<f64> {
    let digits = |number: f64| (number * 1e6).round() / 1e6;
    let near = [named.from * 1.001, named.from * 1.1, named.to / 1.001, named.to / 1.1];
    let within = near.into_iter().filter(|at| *at > named.from && *at < named.to);
    let any = dice.over(named.from, named.to);
    [named.from, named.to].into_iter().chain(within.chain([any]).map(digits)).collect()
}

/// Alley, speed and boost that a refusal names work when typed in exactly, and beyond, as far as
/// the words reach; limits of the sheet: 100 ft, 0.05 mph, 1000 cells/s.
#[test]
fn what_is_said_to_do_does() {
    let mut dice = Dice(20_261_126);
    let (mut refusals, mut tried, mut unnamed) = (0, 0, [0; 3]);
    for _ in 0..cases() {
        let sheet = Sheet::ordinary(&mut dice);
        let Some(message) = refused(&calibrated(&sheet.text())) else { continue };
        refusals += 1;
        type Put = fn(&mut Sheet, f64);
        let alleys = (" in", 0.0, 1200.0, (|sheet, alley| sheet.alley = alley) as Put);
        let speeds = (" mph", 0.05, 20.0, (|sheet, speed| sheet.speed = speed) as Put);
        let boosts = (" cells/s", 0.0, 1000.0, (|sheet, boost| sheet.boost = boost) as Put);
        for (way, (unit, least, most, put)) in [alleys, speeds, boosts].into_iter().enumerate() {
            let Some(named) = named(&message, unit, least, most) else {
                unnamed[way] += 1;
                continue;
            };
            for number in inside(named, &mut dice) {
                let mut instead = sheet.clone();
                put(&mut instead, number);
                let said = refused(&calibrated(&instead.text()));
                assert_eq!(said, None, "{number}{unit} of {message}\n{sheet:?}");
                tried += 1;
            }
        }
    }
    println!("{refusals} of {} refused, {tried} ways out tried, none named {unnamed:?}", cases());
    assert!(refusals * 20 > cases() && tried > 10 * refusals, "{refusals} {tried}");
    assert_eq!(unnamed[0], 0);
}

fn number(cell: &Cell) -> Option<f64> {
    match cell {
        Cell::Number(number, _) => Some(*number),
        _ => None,
    }
}

fn table<'a>(outcome: &'a Outcome, key: &str) -> &'a Table {
    outcome.tables.iter().find(|table| table.key == key).expect("a table")
}

/// One page says one thing: the settings, the tables and the remarks agree.
#[test]
fn a_page_never_says_two_things() {
    let mut dice = Dice(20_261_127);
    for _ in 0..cases() {
        let sheet = Sheet::ordinary(&mut dice);
        let outcome = calibrated(&sheet.text());
        let context = || format!("{}\n{:#?}", sheet.text(), outcome.tables);
        let refused = refused(&outcome).is_some();
        assert_eq!(refused, outcome.settings.is_empty(), "{}", context());
        let timer = |key: &str| {
            let setting = outcome.settings.iter().find(|one| one.key.as_deref() == Some(key))?;
            assert!(matches!(setting.verdict, Verdict::Change(_)));
            Some(setting.set.number())
        };
        // The rows of the sheet's own speed, spacing and alley have the timers that are set.
        let timers = [CLEAN_OUT, RUN_OUT, FILL].map(timer);
        for key in ["over-speed", "over-spacing", "over-alley"] {
            let row = &table(&outcome, key).rows[5];
            let row = [2, 3, 4].map(|column| number(&row[column]));
            let same = row.iter().zip(&timers).all(|(one, other)| match (one, other) {
                (Some(one), Some(other)) => (one - other).abs() < 1e-9,
                (None, None) => true,
                _ => false,
            });
            assert!(same, "{key}: {row:?} and {timers:?}\n{}", context());
        }
        // A clean-out below usual is said only where the usual one makes no such
        // alley by the page's own table, to the tenth it is printed to.
        let cut = outcome.warnings.iter().any(|one| one.kind.code == "clean-out-cut");
        let least = number(&table(&outcome, "over-speed").rows[5][1]).expect("a least alley");
        let slack = (sheet.speed * 17.6 * sheet.step).max(sheet.tolerance.unwrap_or(0.0));
        let usual_will_do = least < sheet.alley + slack - 0.1;
        assert!(!(usual_will_do && (cut || refused)), "{least}\n{}", context());
        let usual = sheet.figures.map_or(0.0, |[_, usual]| usual);
        let below = timers[0].is_some_and(|set| set < usual - 1e-9);
        assert_eq!(cut, below, "{}", context());
        // A refused alley is narrower than those that would do, and a speed is slower.
        let message = outcome.warnings.iter().find(|one| one.kind.code == "alley-not-reached");
        if let Some(message) = message.map(|one| &one.message) {
            let alleys = named(message, " in", 0.0, 1200.0).expect("alleys");
            assert!(alleys.from > sheet.alley, "{message}");
            let speeds = named(message, " mph", 0.05, 20.0);
            assert!(speeds.is_none_or(|speeds| speeds.to < sheet.speed), "{message}");
            let boosts = named(message, " cells/s", 0.0, 1000.0);
            assert!(boosts.is_none_or(|boosts| boosts.from > sheet.boost), "{message}");
            let next = outcome.next.as_ref().expect("a step").instruction.clone();
            assert!(next.contains("can't be made"), "{next}");
        }
        // Off by more than the tolerance (else a seed spacing) is said.
        if !refused {
            let width = outcome.values.iter().find(|one| one.name() == Some("alley width"));
            let off = (width.expect("a width").number() - sheet.alley).abs();
            let limit = sheet.tolerance.unwrap_or(sheet.spacing);
            let coarse = outcome.warnings.iter().any(|one| one.kind.code == "timer-step-coarse");
            assert_eq!(coarse, off > limit * (1.0 + 1e-9), "{off} {limit}\n{}", context());
        }
    }
}

/// Any sheet within bounds. In a release build none takes a quarter of a second; debug builds and
/// busy machines get more.
#[test]
fn any_sheet_is_answered_in_time() {
    let mut dice = Dice(20_261_128);
    let (mut worst, mut sheet_of_worst) = (Duration::ZERO, String::new());
    for _ in 0..cases() {
        let text = Sheet::any(&mut dice).text();
        let sheet = read(&text);
        let answered = || {
            let started = Instant::now();
            let report = sheet.job.alone("changeover").expect("results");
            assert!(!report.outcomes.is_empty());
            started.elapsed()
        };
        // What takes long once may have waited for others; what takes long each time does not.
        let first = answered();
        let took = if first > worst { first.min(answered()).min(answered()) } else { first };
        if took > worst {
            (worst, sheet_of_worst) = (took, text);
        }
    }
    println!("worst of {}: {worst:?}\n{sheet_of_worst}", cases());
    let limit = if cfg!(debug_assertions) { 5.0 } else { 0.5 };
    assert!(worst.as_secs_f64() < limit, "{worst:?}\n{sheet_of_worst}");
}

/// The demo sheet of a first set-up with some of its text replaced.
fn first_set_up(changes: &[(&str, &str)]) -> String {
    let mut text = include_str!("../demo-data/changeover-first-set-up.toml").to_owned();
    for (from, to) in changes {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    text
}

fn codes(outcome: &Outcome) -> Vec<&'static str> {
    outcome.warnings.iter().map(|warning| warning.kind.code).collect()
}

fn set(outcome: &Outcome, key: &str) -> f64 {
    let setting = outcome.settings.iter().find(|one| one.key.as_deref() == Some(key));
    setting.expect("a setting").set.number()
}

fn value(outcome: &Outcome, name: &str) -> f64 {
    let named = outcome.values.iter().find(|value| value.name() == Some(name));
    named.expect("a value").number()
}

/// 2.4 mph is 42.24 in/s, or 35.2 cells/s with seeds 1.2 in apart; the boost is 104 cells/s. Old
/// seed falls until 1.2 + 14 / 35.2 = 1.598 s, so the boost starts at 1.6 s. With the usual
/// clean-out of 1.5 s new seed comes at 1.75 s, 0.15 s into the boost, and 14 cells take 0.135 s
/// more: fill 0.25 s. The alley is 42.24 x (1.75 - 1.2) + 1.2 - (1.2 x 104 - 42.24) x 0.1 =
/// 16.176 in, inside the tolerance of 2 in, where the sweep takes nothing off the plot's end.
#[test]
fn the_usual_clean_out_is_kept_wherever_the_alley_can_be_made_with_it() {
    let swept = first_set_up(&[("alley = \"30 in\"", "alley = \"15 in\"")]);
    let not_swept = without_sweep(&swept);
    for text in [&swept, &not_swept] {
        let outcome = calibrated(text);
        assert_eq!(codes(&outcome), [""; 0], "{:?}", outcome.warnings);
        assert!((set(&outcome, CLEAN_OUT) - 1.5).abs() < 1e-9);
        assert!((set(&outcome, FILL) - 0.25).abs() < 1e-9);
        assert!((value(&outcome, "alley width") - 16.176).abs() < 1e-3);
    }
    let outcome = calibrated(&swept);
    let sweep = outcome.settings.iter().find(|one| one.key.as_deref() == Some(SWEEP_AFTER));
    let reason = sweep.expect("a sweep").verdict.reason();
    assert!(reason.starts_with("later than usual"), "{reason}");
}

/// A step of 1 s is 42.24 in of travel. Old seed is gone after 1.2 s, so the clean-out is 2 s, and
/// new seed comes at 2.25 s: 42.24 x (2.25 - 1.2) + 1.2 = 45.552 in. A sweep from 1 s on would start
/// on what passed pick-up 11 / 35.2 s before, at 0.6875 s, and take off 18 seeds, 21.6 in more; from
/// 2 s on it takes off none. A fill of 1 s would plant new seed under boost.
#[test]
fn a_step_too_coarse_for_the_tolerance_is_said() {
    let swept = first_set_up(&[("timer-step = \"0.05 s\"", "timer-step = \"1 s\"")]);
    for text in [without_figures(&swept), swept] {
        let outcome = calibrated(&text);
        let said = outcome.warnings.iter().find(|one| one.kind.code == "timer-step-coarse");
        let words = &said.expect("a remark").message;
        assert!(words.contains("steps of 1 s, 42.2 in of travel"), "{words}");
        assert!(words.contains("15.6 in too wide: more than the tolerance of 2 in"), "{words}");
        assert!(words.ends_with("take a finer step or drive slower"), "{words}");
        assert!((value(&outcome, "alley width") - 45.552).abs() < 1e-3);
        assert!((set(&outcome, SWEEP_AFTER) - 2.0).abs() < 1e-9);
        assert!(value(&outcome, "old seeds swept off").abs() < 1e-9);
    }
}

/// A remark on the step says what mends it. Where it says that a finer step is not enough, none is;
/// else the finest brings the alley inside a tolerance that is a hair wider, which makes up for what
/// even that rounds. Without a tolerance an alley that is off by less than a seed spacing is not
/// remarked on, and still refused where the steps could come nearer.
#[test]
fn a_finer_step_mends_what_is_said_to_come_of_the_step() {
    let mut dice = Dice(20_261_130);
    let mut seen = [0; 2];
    for _ in 0..cases() * 4 {
        let sheet = Sheet::ordinary(&mut dice);
        let message = |sheet: &Sheet| {
            let outcome = calibrated(&sheet.text());
            let mut coarse = outcome.warnings.into_iter();
            coarse.find(|one| one.kind.code == "timer-step-coarse").map(|one| one.message)
        };
        let Some(words) = message(&sheet) else { continue };
        let mended = |sheet: &Sheet| {
            refused(&calibrated(&sheet.text())).is_none() && message(sheet).is_none()
        };
        if words.ends_with("a finer step is not enough: drive slower") {
            for share in [2.0, 4.0, 10.0, 100.0] {
                let finer = Sheet { step: sheet.step / share, ..sheet.clone() };
                assert!(!mended(&finer), "{words}\n{finer:?}");
            }
            seen[1] += 1;
            continue;
        }
        assert!(words.ends_with("take a finer step or drive slower"), "{words}");
        if let Some(tolerance) = sheet.tolerance {
            let finest = Sheet { step: 0.0001, tolerance: Some(tolerance + 0.05), ..sheet.clone() };
            assert!(mended(&finest), "{words}\n{sheet:?}");
            seen[0] += 1;
        }
    }
    println!("{seen:?}");
    assert!(seen[0] > 0 && seen[1] > 0, "{seen:?}");
}

/// Plot and alley are 11.8 + 30 in, passed in 0.99 s; the timers take at least the 1.5 s of the
/// clean-out.
#[test]
fn a_plot_shorter_than_the_changeover_is_said() {
    let short = first_set_up(&[("plot = \"14 ft 6 in\"", "plot = \"30 cm\"")]);
    assert_eq!(codes(&calibrated(&short)), ["plot-too-short"]);
    // 1.6 s or 1.85 s are 67.6 in or 78.1 in: 4 ft and 30 in are more than one, less than other.
    let long = first_set_up(&[("plot = \"14 ft 6 in\"", "plot = \"50 in\"")]);
    assert_eq!(codes(&calibrated(&long)), [""; 0]);
    // The boost is over at 1.6 s and the sweep at 1.85 s: 75 in lie between.
    let between = first_set_up(&[("plot = \"14 ft 6 in\"", "plot = \"45 in\"")]);
    assert_eq!(codes(&calibrated(&between)), ["plot-too-short"]);
}

/// 100 cm/s over seeds 16 cm apart. The boost starts in the cell of the last old seed: the bench
/// (`tests/changeover_simulation.rs`) makes it 80.0 cm and 4.58 cm.
#[test]
fn an_edge_across_a_change_of_rate_is_printed_as_it_falls() {
    let outcome = calibrated(
        "bare-length = \"cm\"\n[planter]\nrow-spacing = \"50 cm\"\nplate = { cells = 60, carry = 14 }\n\
         [trial]\nalley = \"70 cm\"\nspeed = \"3.6 km/h\"\nseed-spacing = \"16 cm\"\n\
         [changeover]\nboost = \"20 cells/s\"\nold-seed-gone = \"0.4 s\"\n\
         new-seed-at-pick-up = \"0.2 s\"\nclean-out = \"1.5 s\"\nrun-out = \"1.13 s\"\nfill = \"0.3 s\"\n",
    );
    assert!((value(&outcome, "alley width") - 80.0).abs() < 0.05);
    assert!((value(&outcome, "SD of the last seed") - 4.58).abs() < 0.01);
}

fn small_sheet(carry: u32, trial: &str, changeover: &str) -> String {
    format!(
        "[planter]\nrow-spacing = \"30 in\"\nplate = {{ cells = 40, carry = {carry} }}\n\
         controller = {{ timer-step = \"0.05 s\" }}\n[trial]\n{trial}\n[changeover]\n{changeover}\n\
         least-clean-out = \"1 s\"\nusual-clean-out = \"1.5 s\"\n\
         sweep = {{ cells-before-release = 3 }}\n"
    )
}

/// 2.9 mph is 51.04 in/s, 17.01 cells/s; 60 cells/s under boost. With 1.05 s of clean-out new seed
/// comes at 1.3 s, 0.25 s into the boost, and 4 cells take 0.067 s: fill 0.3 s, and 51.04 x (1.3 -
/// 0.5) + 3 - (3 x 60 - 51.04) x 0.05 = 37.38 in, within a step's travel of 36 in.
#[test]
fn an_alley_that_can_be_made_is_not_refused() {
    let outcome = calibrated(&small_sheet(
        4,
        "alley = \"36 in\"\nspeed = \"2.9 mph\"\nseed-spacing = \"3 in\"",
        "boost = \"60 cells/s\"\nold-seed-gone = \"0.5 s\"\nnew-seed-at-pick-up = \"0.25 s\"",
    ));
    assert_eq!(refused(&outcome), None);
    assert!((set(&outcome, CLEAN_OUT) - 1.05).abs() < 1e-9);
    assert!((value(&outcome, "alley width") - 37.384).abs() < 1e-3);
}

/// At 0.65 mph, 11.44 in/s, a clean-out of 1 s and a fill of 1.1 s make 11.44 x (2 - 0.5) + 1.2 -
/// (1.2 x 40 - 11.44) x 0.1 = 14.7 in, so that 18 in can be made.
#[test]
fn a_slower_speed_that_will_do_is_named() {
    let sheet = |speed: &str| {
        small_sheet(
            4,
            &format!("alley = \"18 in\"\nspeed = \"{speed}\"\nseed-spacing = \"1.2 in\""),
            "boost = \"40 cells/s\"\nold-seed-gone = \"0.5 s\"\nnew-seed-at-pick-up = \"1 s\"",
        )
    };
    let message = refused(&calibrated(&sheet("2.6 mph"))).expect("a refusal");
    let speeds = named(&message, " mph", 0.05, 20.0).expect("speeds");
    assert!(speeds.from < 0.051 && speeds.to >= 0.65 && speeds.to < 2.6, "{message}");
    for speed in [0.05, 0.3, 0.65, speeds.to] {
        assert_eq!(refused(&calibrated(&sheet(&format!("{speed} mph")))), None, "{speed}");
    }
}

/// Every boost of the span named will do, at a tenth of a per cent and at ten per cent above its
/// start as well; above its end a fill is less than a step.
#[test]
fn a_boost_that_is_named_will_do_and_so_will_all_up_to_its_end() {
    let sheet = |boost: f64| {
        small_sheet(
            24,
            "alley = \"18 in\"\nspeed = \"4.1 mph\"\nseed-spacing = \"3 in\"",
            &format!(
                "boost = \"{boost} cells/s\"\nold-seed-gone = \"0.9 s\"\nnew-seed-at-pick-up = \"0.25 s\""
            ),
        )
    };
    let message = refused(&calibrated(&sheet(20.0))).expect("a refusal");
    let boosts = named(&message, " cells/s", 0.0, 1000.0).expect("boosts");
    for share in 0..=100 {
        let boost = boosts.from + (boosts.to - boosts.from) * f64::from(share) / 100.0;
        let boost = (boost * 1e6).round() / 1e6;
        assert_eq!(refused(&calibrated(&sheet(boost))), None, "{boost} of {message}");
    }
    assert!(boosts.to >= 1.1 * boosts.from, "{message}");
    assert!(refused(&calibrated(&sheet(999.0))).is_some() || boosts.to > 998.0, "{message}");
}

/// Twelve lines that took a minute: a fine step, a plate slower under boost than under ground
/// drive, and an alley out of reach.
#[test]
fn a_fine_step_takes_no_time() {
    let text = small_sheet(
        4,
        "alley = \"30 in\"\nspeed = \"2 mph\"\nseed-spacing = \"6 in\"",
        "boost = \"2 cells/s\"\nold-seed-gone = \"0.5 s\"\nnew-seed-at-pick-up = \"1 s\"",
    )
    .replace("0.05 s", "1 ms");
    let started = Instant::now();
    let message = refused(&calibrated(&text)).expect("a refusal");
    let took = started.elapsed().as_secs_f64();
    assert!(took < if cfg!(debug_assertions) { 2.0 } else { 0.2 }, "{took}");
    // 35.2 in/s x (1 + 1 - 0.5) s + 6 in is the least alley; the boost turns no faster than the
    // ground drive.
    let alleys = named(&message, " in", 0.0, 1200.0).expect("alleys");
    assert!((alleys.from - 58.8).abs() < 0.01, "{message}");
}

/// A sheet without its sweep.
fn without_sweep(text: &str) -> String {
    let text = written_out(text);
    let name = text.find("name = \"sweep\"").expect("a sweep");
    let start = text[..name].rfind("[[changeover.action]]").expect("its table");
    let end = text[name..].find("\n[").map_or(text.len(), |at| name + at + 1);
    [&text[..start], &text[end..]].concat()
}

/// A sheet without its figures of clean-outs: one may be as short as old seed takes to be gone.
fn without_figures(text: &str) -> String {
    let keys = ["least-clean-out", "usual-clean-out", "least = ", "usual = "];
    let lines = text.lines().filter(|line| !keys.iter().any(|key| line.starts_with(key)));
    lines.map(|line| format!("{line}\n")).collect()
}

fn no_figures(carry: u32, trial: &str, changeover: &str) -> String {
    without_figures(&small_sheet(carry, trial, changeover))
}

/// 51.04 in/s and 17.01 cells/s. The sweep starts at 0.45 s, on the 0.1088 x 17.01 = 1.85 old seeds
/// that pass it until 0.5 + 1 / 17.01 s, which widen the alley by 5.55 in. With 0.8 s of clean-out
/// it is 51.04 x (0.8 + 0.25 - 0.5) + 3 + 5.55 = 36.62 in; a step more or less is 2.55 in.
#[test]
fn a_page_that_makes_an_alley_does_not_refuse_it() {
    let outcome = calibrated(&no_figures(
        4,
        "alley = \"36 in\"\nspeed = \"2.9 mph\"\nseed-spacing = \"3 in\"",
        "boost = \"60 cells/s\"\nold-seed-gone = \"0.5 s\"\nnew-seed-at-pick-up = \"0.25 s\"",
    ));
    assert_eq!(codes(&outcome), ["no-clean-out-figure"]);
    assert!((set(&outcome, CLEAN_OUT) - 0.8).abs() < 1e-9);
    assert!((value(&outcome, "alley width") - 36.62).abs() < 0.01);
}

/// From when old seed is gone until new seed comes passes 1 s, and the 4 cells of carry take 0.1 s
/// under boost, so that the least alley is 45.76 + 1.2 - (1.2 x 40 - 45.76) x 0.1 = 46.74 in. At v
/// it is v + 1.2 - (48 - v) x 0.1, and no more than a step's travel, 0.05 v, beyond 18 in up to
/// 21.6 / 1.05 = 20.57 in/s, 1.169 mph.
#[test]
fn the_slower_speeds_that_will_do_are_named_to_their_end() {
    let sheet = |speed: f64| {
        no_figures(
            4,
            &format!("alley = \"18 in\"\nspeed = \"{speed} mph\"\nseed-spacing = \"1.2 in\""),
            "boost = \"40 cells/s\"\nold-seed-gone = \"0.5 s\"\nnew-seed-at-pick-up = \"1 s\"",
        )
    };
    let message = refused(&calibrated(&sheet(2.6))).expect("a refusal");
    let alleys = named(&message, " in", 0.0, 1200.0).expect("alleys");
    assert!(alleys.from >= 46.736 && alleys.from < 46.9, "{message}");
    let speeds = named(&message, " mph", 0.05, 20.0).expect("speeds");
    assert!(speeds.from < 0.051 && speeds.to > 1.159 && speeds.to < 1.169, "{message}");
    for speed in [0.05, 0.3, 0.65, 1.0, speeds.to] {
        assert_eq!(refused(&calibrated(&sheet(speed))), None, "{speed}");
    }
    // With a tolerance of 2 in up to 23.6 / 1.1 = 21.45 in/s, 1.219 mph.
    let tolerant =
        |speed| sheet(speed).replace("[changeover]", "tolerance.width = \"2 in\"\n[changeover]");
    let message = refused(&calibrated(&tolerant(2.6))).expect("a refusal");
    let speeds = named(&message, " mph", 0.05, 20.0).expect("speeds");
    assert!(speeds.to > 1.209 && speeds.to < 1.219, "{message}");
    assert_eq!(refused(&calibrated(&tolerant(speeds.to))), None);
}

/// 32 cells/s under boost are fewer than the 35.2 of the ground drive, so that nothing makes the
/// alley narrower than 42.24 x 0.25 + 1.2 = 11.76 in. Seed that passes pick-up at 1.2 s passes the
/// sweep 11 / 35.2 s later, at 1.5125 s: from 1.45 s on the sweep would take off 2.2 seeds, 2.64 in,
/// more than the tolerance of 2 in; from 1.5 s on 0.44 seeds, 0.528 in.
#[test]
fn a_sweep_is_put_off_no_further_than_the_alley_asks_for() {
    let sheet = without_figures(&first_set_up(&[
        ("alley = \"30 in\"", "alley = \"11.76 in\""),
        ("rate = \"130 turns/min\"", "rate = \"40 turns/min\""),
    ]));
    let outcome = calibrated(&sheet);
    assert!((set(&outcome, SWEEP_AFTER) - 1.5).abs() < 1e-9);
    assert!((value(&outcome, "alley width") - 12.288).abs() < 1e-3);
    let sweep = outcome.settings.iter().find(|one| one.key.as_deref() == Some(SWEEP_AFTER));
    let reason = sweep.expect("a sweep").verdict.reason();
    assert!(reason.starts_with("later than usual"), "{reason}");
}

/// On a step of 0.25 s the sweep starts at 1.5 s, 0.0125 s before the last old seed is by: that is
/// 0.44 of a seed, not one or two.
#[test]
fn what_a_sweep_takes_off_is_said_as_it_is() {
    let reason = |step: &str| {
        let step = format!("timer-step = \"{step}\"");
        let outcome = calibrated(&first_set_up(&[
            ("timer-step = \"0.05 s\"", &step),
            (
                "tolerance = { width = \"2 in\", speed = \"2 %\" }",
                "tolerance = { width = \"6 in\" }",
            ),
        ]));
        let sweep = outcome.settings.iter().find(|one| one.key.as_deref() == Some(SWEEP_AFTER));
        sweep.expect("a sweep").verdict.reason().to_owned()
    };
    assert_eq!(reason("0.05 s"), "takes off the last one or two old seeds");
    assert_eq!(reason("0.25 s"), "as near to the last one or two old seeds as its step comes");
}

/// At 0.88 in/s 10 cells of 6 in take 68 s to run out. A sweep can't wait so long; without one the
/// clean-out is the longer.
#[test]
fn where_no_timer_lasts_long_enough_no_alley_is_named() {
    let swept = no_figures(
        10,
        "alley = \"3 ft\"\nspeed = \"0.05 mph\"\nseed-spacing = \"6 in\"",
        "boost = \"2 cells/s\"\nold-seed-gone = \"0.5 s\"\nnew-seed-at-pick-up = \"1 s\"",
    );
    let message = refused(&calibrated(&swept)).expect("a refusal");
    assert!(!message.contains("an alley of 36") && !message.contains("do: an alley"), "{message}");
    let not_swept = without_sweep(&swept);
    assert_eq!(refused(&calibrated(&not_swept)), None);
}

/// 4.1 mph are 72.16 in/s, 24.05 cells/s, more than a boost of 20 cells/s. From when old seed is
/// gone until new seed comes passes 0.25 s: 72.16 x 0.25 + 3 = 21.04 in is the least alley, whatever
/// the step, and 3.04 in too wide is more than a seed spacing. At 4 mph it is 20.6 in.
#[test]
fn a_step_is_not_blamed_for_what_the_machine_does() {
    let sheet = |speed: f64, boost: f64| {
        no_figures(
            24,
            &format!("alley = \"18 in\"\nspeed = \"{speed} mph\"\nseed-spacing = \"3 in\""),
            &format!(
                "boost = \"{boost} cells/s\"\nold-seed-gone = \"0.9 s\"\nnew-seed-at-pick-up = \"0.25 s\""
            ),
        )
    };
    let outcome = calibrated(&sheet(4.1, 20.0));
    assert!((value(&outcome, "alley width") - 21.04).abs() < 1e-9);
    let said = outcome.warnings.iter().find(|one| one.kind.code == "timer-step-coarse");
    let words = &said.expect("a remark").message;
    assert!(words.contains("3.04 in too wide: more than a seed spacing of 3 in"), "{words}");
    assert!(words.ends_with("a finer step is not enough: drive slower"), "{words}");
    assert!(!codes(&calibrated(&sheet(4.0, 20.0))).contains(&"timer-step-coarse"));
    // On a step of 0.01 s, 0.72 in of travel, it is refused, and every boost that is named will do.
    let finer = |boost| sheet(4.1, boost).replace("0.05 s", "0.01 s");
    let message = refused(&calibrated(&finer(20.0))).expect("a refusal");
    let boosts = named(&message, " cells/s", 0.0, 1000.0).expect("boosts");
    assert!(boosts.to >= 1.1 * boosts.from, "{message}");
    for share in 0..=100 {
        let boost = boosts.from + (boosts.to - boosts.from) * f64::from(share) / 100.0;
        let boost = (boost * 1e6).round() / 1e6;
        assert_eq!(refused(&calibrated(&finer(boost))), None, "{boost} of {message}");
    }
}

/// The boost turns no faster than the ground drive: 35.2 in/s x (0.5 + 1 - 0.5) s + 6 in.
#[test]
fn a_fine_step_without_figures_takes_no_time_either() {
    let text = no_figures(
        4,
        "alley = \"30 in\"\nspeed = \"2 mph\"\nseed-spacing = \"6 in\"",
        "boost = \"2 cells/s\"\nold-seed-gone = \"0.5 s\"\nnew-seed-at-pick-up = \"1 s\"",
    )
    .replace("0.05 s", "1 ms");
    let started = Instant::now();
    let message = refused(&calibrated(&text)).expect("a refusal");
    let took = started.elapsed().as_secs_f64();
    assert!(took < if cfg!(debug_assertions) { 2.0 } else { 0.2 }, "{took}");
    let alleys = named(&message, " in", 0.0, 1200.0).expect("alleys");
    assert!((alleys.from - 41.2).abs() < 0.01, "{message}");
}

/// Without figures of clean-outs the words speak of no usual one. 42.24 in/s x (1.3 + 0.25 - 1.2) s +
/// 1.2 = 15.98 in is nearest to 15 in; with the sweep, which takes off 2.2 seeds from 1.45 s on,
/// 42.24 x 0.25 + 1.2 + 2.64 = 14.4 in.
#[test]
fn where_no_clean_out_is_usual_none_is_said_to_be() {
    let figures = first_set_up(&[("alley = \"30 in\"", "alley = \"15 in\"")]);
    let swept = without_figures(&figures);
    let not_swept = without_sweep(&swept);
    let gone = "as soon as old seed is gone";
    let longer = "longer than old seed takes to be gone, to make the alley wide enough";
    for (text, clean_out, width, why) in
        [(&swept, 1.2, 14.4, gone), (&not_swept, 1.3, 15.984, longer)]
    {
        let outcome = calibrated(text);
        assert_eq!(codes(&outcome), ["no-clean-out-figure"]);
        assert!((set(&outcome, CLEAN_OUT) - clean_out).abs() < 1e-9);
        assert!((value(&outcome, "alley width") - width).abs() < 1e-3);
        assert_eq!(outcome.settings[0].verdict.reason(), why);
    }
}

/// Where a timer is nothing it is 0.0, not -0.0.
#[test]
fn no_timer_is_a_negative_nothing() {
    let mut dice = Dice(20_261_129);
    for _ in 0..cases().min(500) {
        let outcome = calibrated(&Sheet::ordinary(&mut dice).text());
        let cells = outcome.tables.iter().flat_map(|table| table.rows.iter().flatten());
        let numbers = cells.filter_map(number);
        let set = outcome.settings.iter().map(|one| one.set.number());
        for number in numbers.chain(set).chain(outcome.values.iter().map(|one| one.number())) {
            assert!(number != 0.0 || number.is_sign_positive(), "{number}");
        }
    }
}
