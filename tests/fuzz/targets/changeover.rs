//! Whatever numbers within bounds a planter, a trial and a changeover have: they are read, and
//! `changeover` answers in time, as text, JSON and CSV, in numbers that are numbers.
#![no_main]

use std::time::Instant;

use alleytrue::outcome::{Cell, Outcome, Report};
use alleytrue::quantity::bounds::{self, Bounds};
use alleytrue::render::{Style, csv, json, text};
use alleytrue::sheet::{FieldSheet, Source};
use libfuzzer_sys::arbitrary::{Result, Unstructured};
use libfuzzer_sys::fuzz_target;

/// Seconds that no sheet may take, in a build that watches every access to memory.
const TIME: f64 = 5.0;

/// A number within bounds, in its base unit: either limit, nothing, or evenly over the powers of
/// ten, in few digits or in many.
fn within(u: &mut Unstructured, bounds: &Bounds) -> Result<f64> {
    let least = bounds.least.max(bounds.most * 1e-9);
    Ok(match u.int_in_range(0..=15)? {
        0 => bounds.least,
        1 => bounds.most,
        2 if bounds.hold(0.0) => 0.0,
        _ => {
            let share = f64::from(u.arbitrary::<u32>()?) / f64::from(u32::MAX);
            let digits = usize::from(u.int_in_range(0..=9_u8)?);
            let number = least * (bounds.most / least).powf(share);
            let written: f64 = format!("{number:.digits$e}").parse().unwrap_or(number);
            // A sheet takes no more digits than anybody types.
            let typed = (written * 1e6).round() / 1e6;
            typed.clamp(bounds.least, bounds.most)
        }
    })
}

/// `key = "NUMBER UNIT"`, and a line end.
fn key(u: &mut Unstructured, name: &str, bounds: &Bounds, unit: &str) -> Result<String> {
    Ok(format!("{name} = \"{} {unit}\"\n", within(u, bounds)?))
}

fn maybe(u: &mut Unstructured, name: &str, bounds: &Bounds, unit: &str) -> Result<String> {
    if u.arbitrary()? { key(u, name, bounds, unit) } else { Ok(String::new()) }
}

/// What was seen after a test range.
fn run(u: &mut Unstructured) -> Result<String> {
    let mut run = "[[changeover-run]]\n".to_owned();
    for name in ["old-seed-in-new-plot", "bunched-at-end", "bunched-at-start"] {
        run += &maybe(u, name, &bounds::SEEN_LENGTH, "mm")?;
    }
    if u.arbitrary()? {
        run += &format!("stray-seeds = {}\n", u.int_in_range(0..=1000)?);
    }
    if u.arbitrary()? {
        run += &format!("hand-over-finished = {}\n", u.arbitrary::<bool>()?);
    }
    let widths: Vec<String> = (0..u.int_in_range(0..=4)?)
        .map(|_| Ok(format!("\"{} mm\"", within(u, &bounds::ALLEY)?)))
        .collect::<Result<_>>()?;
    if !widths.is_empty() {
        run += &format!("alley-width = [{}]\n", widths.join(", "));
    }
    Ok(run)
}

fn sheet(u: &mut Unstructured) -> Result<String> {
    let cells = within(u, &bounds::CELLS)?.round();
    let carry = (f64::from(u.arbitrary::<u16>()?) / 65536.0 * cells).floor();
    let spacing = key(u, "row-spacing", &bounds::ROW_SPACING, "mm")?;
    let height = maybe(u, "drop-height", &bounds::DROP_HEIGHT, "mm")?;
    let step = maybe(u, "timer-step", &bounds::TIMER_STEP, "s")?;
    let mut sheet = format!(
        "[planter]\n{spacing}{height}plate = {{ cells = {cells}, carry = {carry} }}\n\
         [planter.controller]\n{step}[trial]\n"
    );
    sheet += &maybe(u, "plot", &bounds::PLOT, "mm")?;
    sheet += &key(u, "alley", &bounds::ALLEY, "mm")?;
    // 3.6 km/h are 1000 mm/s; the limits of a seed spacing along the row are narrower.
    sheet += &format!("speed = \"{:.8} km/h\"\n", within(u, &bounds::SPEED)? * 0.0036);
    sheet += &key(u, "seed-spacing", &bounds::SEED_SPACING, "mm")?;
    if u.arbitrary()? {
        sheet += &format!("tolerance.{}", key(u, "width", &bounds::TOLERANCE, "mm")?);
    }
    sheet += "[changeover]\n";
    sheet += &if u.arbitrary()? {
        key(u, "boost", &bounds::BOOST_CELLS, "cells/s")?
    } else {
        format!("boost = \"{:.6} turns/min\"\n", within(u, &bounds::PLATE_RATE)? * 60.0)
    };
    for name in ["old-seed-gone", "new-seed-at-pick-up"] {
        sheet += &key(u, name, &bounds::TIMER, "s")?;
    }
    let timed: bool = u.arbitrary()?;
    if timed {
        for name in ["clean-out", "run-out", "fill"] {
            sheet += &key(u, name, &bounds::TIMER, "s")?;
        }
    }
    for name in ["hand-over", "fall-time"] {
        sheet += &maybe(u, name, &bounds::TIMER, "s")?;
    }
    let (one, other) = (within(u, &bounds::TIMER)?, within(u, &bounds::TIMER)?);
    for (name, seconds) in [("least", one.min(other)), ("usual", one.max(other))] {
        if u.arbitrary()? {
            sheet += &format!("{name}-clean-out = \"{seconds} s\"\n");
        }
    }
    if u.arbitrary()? {
        sheet += &format!(
            "[changeover.sweep]\ncells-before-release = {:.3}\n",
            carry * f64::from(u.arbitrary::<u8>()?) / 256.0
        );
        if u.arbitrary()? {
            sheet += &key(u, "after", &bounds::TIMER, "s")?;
            sheet += &key(u, "for", &bounds::TIMER, "s")?;
        }
    }
    // What was seen rests on the timers.
    for _ in 0..if timed { u.int_in_range(0..=3)? } else { 0 } {
        sheet += &run(u)?;
    }
    Ok(sheet)
}

/// Every number of an outcome is one.
fn finite(outcome: &Outcome, sheet: &str) {
    for value in &outcome.values {
        assert!(value.number().is_finite(), "{:?} {}\n{sheet}", value.name(), value.number());
    }
    for setting in &outcome.settings {
        let now = setting.now.iter();
        let mut all = now.chain([&setting.set, &setting.exact]);
        assert!(all.all(|value| value.number().is_finite()), "{}\n{sheet}", setting.name);
    }
    for cell in outcome.tables.iter().flat_map(|table| table.rows.iter().flatten()) {
        let Cell::Number(number, _) = cell else { continue };
        assert!(number.is_finite(), "{number}\n{sheet}");
    }
}

/// What a page must not hold.
fn numbers_only(page: &str, sheet: &str) {
    let words: Vec<&str> =
        page.split(|c: char| c.is_whitespace() || "(),;:[]\"".contains(c)).collect();
    let no_number =
        |word: &&&str| matches!(word.trim_start_matches('-'), "NaN" | "inf" | "infinity");
    assert_eq!(words.iter().find(no_number), None, "{page}\n{sheet}");
    let by_zero = words.windows(2).any(|pair| pair == ["/", "0"]);
    assert!(!by_zero, "{page}\n{sheet}");
}

fn shown(report: &Report, read: &FieldSheet, source: &Source) {
    report.outcomes.iter().for_each(|outcome| finite(outcome, source.text()));
    let heading = text::Heading { title: read.title.as_deref(), file: source.name() };
    let page = text::Page { heading, report, remarks: &read.remarks, source: source.text() };
    for (brief, ascii) in [(false, false), (true, true)] {
        numbers_only(&page.render(brief, Style { ascii, colour: false }), source.text());
    }
    let document = serde_json::to_string(&json::document(source, read, report));
    numbers_only(&document.unwrap_or_else(|error| panic!("{error}")), source.text());
    for table in report.outcomes.iter().flat_map(|outcome| &outcome.tables) {
        let mut written = vec![];
        csv::table(table, &mut written).unwrap_or_else(|error| panic!("{error}"));
        numbers_only(&String::from_utf8_lossy(&written), source.text());
    }
}

fuzz_target!(|data: &[u8]| {
    let Ok(text) = sheet(&mut Unstructured::new(data)) else { return };
    let source = Source::new("sheet.toml", &text);
    let started = Instant::now();
    match FieldSheet::read(&source) {
        Ok(read) => {
            if let Ok(report) = read.job.alone("changeover") {
                shown(&report, &read, &source);
            }
            if let Ok(report) = read.job.calibrate() {
                shown(&report, &read, &source);
            }
        }
        // What bounds of one key leave open is asked of several together.
        Err(mistakes) => assert!(!mistakes.is_empty(), "refused without a reason\n{text}"),
    }
    let took = started.elapsed().as_secs_f64();
    assert!(took < TIME, "{took} s\n{text}");
});
