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

/// A time, or a way.
fn extent(u: &mut Unstructured, name: &str, time: &Bounds, way: &Bounds) -> Result<String> {
    if u.arbitrary()? { key(u, name, time, "s") } else { key(u, name, way, "mm") }
}

/// An action that comes after an earlier one or the trip.
fn action(
    u: &mut Unstructured,
    place: usize,
    kind: &str,
    timed: bool,
    carry: f64,
) -> Result<String> {
    let mut text = format!("[[changeover.action]]\nname = \"line {place}\"\ndoes = \"{kind}\"\n");
    if place > 0 && u.arbitrary()? {
        let other = u.int_in_range(0..=place - 1)?;
        let end = if u.arbitrary()? { "end" } else { "start" };
        text += &format!("after = \"line {other}\"\nfrom = \"{end}\"\n");
    }
    if u.arbitrary()? {
        text += &extent(u, "wait", &bounds::TIMER, &bounds::ACTION_WAY)?;
    }
    if timed || !matches!(kind, "clean-out" | "boost") {
        text += &extent(u, "for", &bounds::TIMER, &bounds::ACTION_WAY)?;
    }
    if u.arbitrary()? {
        text += &extent(u, "step", &bounds::TIMER_STEP, &bounds::SETTING_STEP)?;
    }
    if u.arbitrary()? {
        text += "fixed = [\"wait\"]\n";
    }
    text += &match kind {
        "clean-out" => {
            let (one, other) = (within(u, &bounds::TIMER)?, within(u, &bounds::TIMER)?);
            let gone = key(u, "old-seed-gone", &bounds::TIMER, "s")?;
            let (least, usual) = (one.min(other), one.max(other));
            if u.arbitrary()? {
                format!("{gone}least = \"{least} s\"\nusual = \"{usual} s\"\n")
            } else {
                gone
            }
        }
        "hand-over" => key(u, "new-seed-at-pick-up", &bounds::TIMER, "s")?,
        "boost" if u.arbitrary()? => key(u, "rate", &bounds::BOOST_CELLS, "cells/s")?,
        "boost" => {
            format!("rate = \"{:.6} turns/min\"\n", within(u, &bounds::PLATE_RATE)? * 60.0)
        }
        _ => format!(
            "cells-before-release = {:.3}\n",
            carry * f64::from(u.arbitrary::<u8>()?) / 256.0
        ),
    };
    Ok(text)
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
    sheet += &maybe(u, "fall-time", &bounds::TIMER, "s")?;
    let timed: bool = u.arbitrary()?;
    let kinds = ["clean-out", "hand-over", "boost", "sweep"];
    for place in 0..u.int_in_range(2..=7_usize)? {
        // The first two are what no changeover can do without.
        let kind = if place < 2 { kinds[place] } else { *u.choose(&kinds)? };
        sheet += &action(u, place, kind, timed, carry)?;
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
