//! Printed pages, proved in a browser: every demo sheet, an empty sheet and one with long names,
//! 24 rows and other alphabets are printed to PDF on both papers by a headless Chromium. Page
//! count, text on the paper, margins, overflow and sizes are checked there.
//!
//! Needs Chromium and the tools of poppler (`pdfinfo`, `pdftotext`). Where they are missing the
//! test says so and checks nothing; with `PAGES_MUST_BE_PROVED` set, as `.ci/run` sets it, it
//! fails instead.
#![allow(missing_docs, clippy::expect_used, clippy::panic, clippy::unwrap_used)]

mod browser;
mod common;

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;

use browser::{Browser, answers};

const PAPERS: [(&str, f64, f64); 2] = [("letter", 612.0, 792.0), ("a4", 595.0, 842.0)];
/// The narrowest margin, in points; pages have 15 mm, which is 42.5.
const MARGIN: f64 = 42.0;

fn tools() -> Option<String> {
    let found =
        browser::installed().filter(|_| answers("pdfinfo", "-v") && answers("pdftotext", "-v"));
    if found.is_none() {
        let must = std::env::var_os("PAGES_MUST_BE_PROVED").is_some();
        assert!(!must, "Chromium and poppler's pdfinfo and pdftotext are needed and not here");
        // Past the capture of the test harness, so that whoever runs the tests sees it.
        let _ = writeln!(
            std::io::stderr(),
            "SKIPPED: no Chromium, or no pdfinfo and pdftotext: the printed pages were not proved. \
             `.ci/run` installs them."
        );
    }
    found
}

/// What a program prints; it must succeed.
fn said(command: &mut Command) -> String {
    let output = command.output().expect("the program starts");
    assert!(output.status.success(), "{command:?}\n{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8_lossy(&output.stdout).into_owned()
}

fn print_html(sheet: &Path, paper: &str, html: &Path) {
    let mut command = common::program();
    command.args(["print", "all"]).arg(sheet).args([
        "--paper",
        paper,
        "--date",
        "2027-04-18",
        "-o",
    ]);
    said(command.arg(html));
}

/// A sheet with long names, 24 rows, and other alphabets.
fn hard_sheet() -> String {
    let long = "Langernameohnelücke".repeat(6);
    let title = format!("{long}, حقل الشمال, поле, <script>alert(1)</script> & {{}}");
    let mut text = format!(
        "title = '{title}'\nbare-length = \"in\"\n[planter]\nrows = 24\nrow-spacing = \"30 in\"\n\
         plate = {{ cells = 40, carry = 16, meter-teeth = 15 }}\n[trial]\nseed-spacing = \"1.6 in\"\n\
         alley = \"30 in\"\n[checklist]\nadd = [{{ part = \"shop\", item = '{long} поле' }}]\n"
    );
    for row in 2..=24 {
        let _ = write!(text, "[[row-run]]\nrow = {row}\nahead = [0.5, 0.25, 0.75]\n");
    }
    text
}

fn sheets(folder: &Path) -> Vec<PathBuf> {
    let mut sheets: Vec<PathBuf> = std::fs::read_dir("demo-data")
        .expect("the demo sheets")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "toml"))
        .collect();
    sheets.sort();
    assert!(sheets.len() >= 12);
    let (empty, hard) = (folder.join("empty.toml"), folder.join("hard.toml"));
    std::fs::write(&empty, "").expect("a sheet");
    std::fs::write(&hard, hard_sheet()).expect("a sheet");
    sheets.extend([empty, hard]);
    // One sheet by a part of its name, for who works on a page.
    if let Ok(only) = std::env::var("ONLY") {
        sheets.retain(|sheet| sheet.to_string_lossy().contains(&only));
    }
    sheets
}

/// What is wrong with the boxes of the page that the browser shows, at the width it has on paper.
fn looked(browser: &mut Browser) -> Vec<String> {
    // A4 less two margins of 15 mm.
    const AS_ON_PAPER: &str = "(() => { const style = document.createElement('style'); \
        style.textContent = '@media screen { body { padding: 0; max-width: none; width: 180mm; } }'; \
        document.head.append(style); return []; })()";
    browser.resize((1200, 1600));
    browser.darken(false);
    browser.look(AS_ON_PAPER);
    browser.look(include_str!("browser/on_paper.js"))
}

/// What is wrong with the page on a narrow screen and on a wide one, in the dark or not.
fn on_screen(browser: &mut Browser, dark: bool) -> Vec<String> {
    let ground = if dark { "ground dark" } else { "ground light" };
    browser.darken(dark);
    let mut of_width = |wide: u32| {
        browser.resize((wide, 4000));
        let mut found = browser.look(include_str!("browser/on_screen.js"));
        let last = found.pop().expect("the ground");
        if last != ground {
            found.push(last);
        }
        let all = found.into_iter();
        all.map(|one| format!("{wide} px, {ground}: {one}")).collect::<Vec<_>>()
    };
    [of_width(390), of_width(1280)].concat()
}

fn to_pdf(browser: &mut Browser, folder: &Path) -> PathBuf {
    let pdf = folder.join("pages.pdf");
    browser.print(&pdf);
    pdf
}

/// Words between tags, with the few entities of the templates undone.
fn words_of(html: &str) -> Vec<String> {
    // What lists the pages is for the screen alone.
    let body = html.split_once("<main>").map_or("", |(_, body)| body);
    let mut text = String::new();
    let mut inside = false;
    for c in body.chars() {
        match c {
            '<' => {
                inside = true;
                text.push(' ');
            }
            '>' => inside = false,
            c if !inside => text.push(c),
            _ => {}
        }
    }
    for (entity, c) in
        [("&#60;", "<"), ("&#62;", ">"), ("&#34;", "\""), ("&#39;", "'"), ("&#38;", "&")]
    {
        text = text.replace(entity, c);
    }
    text.split_whitespace().map(str::to_owned).collect()
}

/// Without spaces, line breaks, hyphens (those at the end of a line get lost on the way back from
/// the paper) and the marks that turn the direction of writing.
fn squeezed(text: &str) -> String {
    text.chars()
        .filter(|c| {
            !c.is_whitespace()
                && *c != '-'
                && !matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
        })
        .collect()
}

/// Latin, Greek and Cyrillic words stand in a PDF as they are written; others may be turned.
fn is_plain(word: &str) -> bool {
    word.chars().all(|c| u32::from(c) < 0x0500 || matches!(c, '\u{d7}' | '\u{2212}'))
}

/// What is wrong with the pages on paper.
fn check_pdf(html: &str, pdf: &Path, size: (f64, f64)) -> Vec<String> {
    let mut wrong = Vec::new();
    let mut check = |holds: bool, what: String| {
        if !holds {
            wrong.push(what);
        }
    };
    let info = said(Command::new("pdfinfo").arg(pdf));
    let line =
        |name: &str| info.lines().find_map(|line| line.strip_prefix(name)).unwrap_or_default();
    let count: usize = line("Pages:").trim().parse().expect("a number of pages");
    let sides: Vec<f64> =
        line("Page size:").split_whitespace().filter_map(|side| side.parse().ok()).collect();
    let fits = (sides[0] - size.0).abs() < 1.0 && (sides[1] - size.1).abs() < 1.0;
    check(fits, format!("the paper is {sides:?}"));

    let text = said(Command::new("pdftotext").arg(pdf).arg("-"));
    let pages: Vec<&str> = text.trim_end_matches('\u{c}').split('\u{c}').collect();
    check(pages.len() == count, format!("{} pages of {count} have text", pages.len()));
    for (index, page) in pages.iter().enumerate() {
        let number = format!("page {} of {count}", index + 1);
        for wanted in [number.as_str(), "2027-04-18", ".toml"] {
            check(page.contains(wanted), format!("no `{wanted}` on page {}", index + 1));
        }
    }
    let of = |title: &str| pages.iter().filter(|page| page.contains(&format!("{title}:"))).count();
    let card = of("Cab card");
    check(card == 2, format!("the cab card has a front and a back, not {card} pages"));
    // A form with many readings goes on over the page.
    let (forms, on) = (html.matches("class=\"key toml\"").count(), of("Run forms"));
    check((1 + forms..=1 + 3 * forms).contains(&on), format!("{forms} forms on {on} pages"));
    check((3..=7).contains(&of("Checklist")), format!("{} pages of checklist", of("Checklist")));

    let printed = squeezed(&text);
    // Most words stand on the pages many times.
    let words: BTreeSet<String> =
        words_of(html).into_iter().filter(|word| is_plain(word)).collect();
    let lost: Vec<&String> =
        words.iter().filter(|word| !printed.contains(&squeezed(word))).collect();
    check(lost.is_empty(), format!("not on paper: {lost:?}"));

    // Every word stands within the margins.
    let boxes = said(Command::new("pdftotext").arg("-bbox").arg(pdf).arg("-"));
    for word in boxes.lines().filter(|line| line.trim_start().starts_with("<word")) {
        let side = |name: &str| -> f64 {
            let after = word.split_once(&format!("{name}=\"")).expect("a side").1;
            after.split('"').next().unwrap_or_default().parse().expect("a number")
        };
        let across = side("xMin") > MARGIN - 1.0 && side("xMax") < size.0 - MARGIN + 1.0;
        let down = side("yMin") > 14.0 && side("yMax") < size.1 - 14.0;
        check(across && down, format!("in the margin: {word}"));
    }
    wrong
}

/// What is wrong with one sheet on one paper.
fn check(
    browser: &mut Browser,
    sheet: &Path,
    (paper, wide, high): (&str, f64, f64),
) -> Vec<String> {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("pages.html");
    print_html(sheet, paper, &file);
    let html = std::fs::read_to_string(&file).expect("the pages");
    let mut wrong = Vec::new();
    if ["<script", "http-equiv", "src=", "url("].iter().any(|one| html.contains(one)) {
        wrong.push("something runs or is fetched".to_owned());
    }
    browser.show(&file);
    let pdf = to_pdf(browser, folder.path());
    wrong.extend(check_pdf(&html, &pdf, (wide, high)));
    // A4 is the narrower paper: what fits there fits on Letter.
    if paper == "a4" {
        wrong.extend(on_screen(browser, false));
        // The dark has the same boxes: a few sheets show its colours.
        if ["hard", "three", "wheat"].iter().any(|name| sheet.to_string_lossy().contains(name)) {
            wrong.extend(on_screen(browser, true));
        }
        wrong.extend(looked(browser));
    }
    wrong.into_iter().map(|one| format!("{} on {paper}: {one}", sheet.display())).collect()
}

#[test]
fn every_sheet_prints_on_both_papers() {
    let Some(chromium) = tools() else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let sheets = sheets(folder.path());
    let jobs: Vec<_> = sheets.iter().flat_map(|sheet| PAPERS.map(|paper| (sheet, paper))).collect();
    let wrong = common::cores::on_all_cores(
        &jobs,
        || Browser::start(&chromium),
        |browser, (sheet, paper)| check(browser, sheet, *paper),
    )
    .concat();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A page printed on a paper: how many pages it takes, and on the narrower one what is wrong with it.
fn one_page(
    browser: &mut Browser,
    sheet: &Path,
    paper: &str,
    what: &[&str],
    folder: &Path,
) -> Option<String> {
    let file = folder.join("page.html");
    let mut command = common::program();
    command.arg("print").args(&what[..1]).arg(sheet).args(&what[1..]);
    said(command.args(["--paper", paper, "-o"]).arg(&file));
    browser.show(&file);
    let pages = said(Command::new("pdfinfo").arg(to_pdf(browser, folder)));
    let pages = pages.lines().find_map(|line| line.strip_prefix("Pages:")).expect("a number");
    let found = if paper == "a4" { looked(browser) } else { Vec::new() };
    let wrong = pages.trim() != "1" || !found.is_empty();
    wrong.then(|| format!("{what:?} of {} on {paper}: {pages} pages {found:?}", sheet.display()))
}

/// A field of so many ranges and passes, measured enough to be rehearsed.
fn field(folder: &Path, ranges: u32, passes: u32) -> PathBuf {
    let sheet = folder.join(format!("field-{ranges}.toml"));
    let text = format!(
        "bare-length = \"in\"\n[planter]\nrows = 2\nrow-spacing = 30\n\
         [planter.controller]\nsetback = {{ raising-moves-alley = \"back\", step = 0.5 }}\n\
         [settings]\nsetback = 15\n[trial]\nplot = 210\nalley = 30\nseed-spacing = 1.5\n\
         ranges = {ranges}\npasses = {passes}\ntrips = \"at-marks\"\n\
         limit = {{ plot = 3, centre = 1, width = 2 }}\n[[alley-run]]\nheading = \"out\"\n\
         last-seed-to-mark = [15, 15.5, 14.5, 15.25, 14.75]\n\
         mark-to-first-seed = [15.25, 14.75, 15, 15.5, 14.5]\n[[alley-run]]\nheading = \"home\"\n\
         last-seed-to-mark = [15.25, 14.75, 15, 15.5, 14.5]\n\
         mark-to-first-seed = [15, 15.5, 14.5, 15.25, 14.75]\n"
    );
    std::fs::write(&sheet, text).expect("a sheet");
    sheet
}

/// Labels lie where the dimensions of their sheet say, all words inside their label: thirty to a sheet of
/// letter paper, three across of 2 5/8 in, and 24 of 70 by 37 mm on A4.
#[test]
fn labels_lie_on_their_sheets() {
    let Some(chromium) = tools() else { return };
    let mut browser = Browser::start(&chromium);
    let folder = tempfile::tempdir().expect("a folder");
    let sheet = Path::new("demo-data/lots-in-a-list/trial.toml");
    // 40 plots, 32 border packets and 20 of test ranges.
    const LABELS: usize = 92;
    const INCH: f64 = 72.0;
    const MILLIMETRE: f64 = 72.0 / 25.4;
    for (paper, each, across, left, wide, gap) in [
        ("letter", 30, 3, 3.0 / 16.0 * INCH, 2.625 * INCH, INCH / 8.0),
        ("a4", 24, 3, 0.0, 70.0 * MILLIMETRE, 0.0),
    ] {
        let file = folder.path().join(format!("{paper}.html"));
        let mut command = common::program();
        command.args(["print", "labels"]).arg(sheet).args(["--paper", paper, "-o"]);
        said(command.arg(&file));
        let html = std::fs::read_to_string(&file).expect("the page");
        assert_eq!(html.matches("class=\"label\"").count(), LABELS);
        browser.show(&file);
        let pdf = to_pdf(&mut browser, folder.path());
        let info = said(Command::new("pdfinfo").arg(&pdf));
        let pages = info.lines().find_map(|line| line.strip_prefix("Pages:")).expect("pages");
        assert_eq!(pages.trim(), LABELS.div_ceil(each).to_string(), "{paper}");
        let boxes = said(Command::new("pdftotext").arg("-bbox").arg(&pdf).arg("-"));
        let words = boxes.lines().filter(|line| line.trim_start().starts_with("<word"));
        let mut seen = 0;
        for word in words {
            let side = |name: &str| -> f64 {
                let after = word.split_once(&format!("{name}=\"")).expect("a side").1;
                after.split('"').next().unwrap_or_default().parse().expect("a number")
            };
            let (from, to) = (side("xMin"), side("xMax"));
            let inside = |column: i32| {
                let start = left + f64::from(column) * (wide + gap);
                from >= start - 0.5 && to <= start + wide + 0.5
            };
            assert!((0..across).any(inside), "{paper}: over the edge of its label: {word}");
            seen += 1;
        }
        assert!(seen > 5 * LABELS, "{seen} words");
    }
}

#[test]
fn half_cards_and_rehearsals_are_one_page() {
    let Some(chromium) = tools() else { return };
    let mut browser = Browser::start(&chromium);
    let folder = tempfile::tempdir().expect("a folder");
    let demo = |name: &str| Path::new("demo-data").join(name);
    let half: &[&str] = &["cab-card", "--half"];
    let rehearsal: &[&str] = &["rehearsal"];
    let pages = [
        // Six timers at once, one setting with much in force, one timer.
        (demo("changeover-first-set-up.toml"), half),
        (demo("soybean-advanced-north.toml"), half),
        (demo("changeover-bunched-and-rows.toml"), half),
        (demo("soybean-forty-rehearsed.toml"), rehearsal),
        (demo("soybean-forty-rehearsed.toml"), &["rehearsal", "--after"]),
        (field(folder.path(), 4, 6), rehearsal),
        (field(folder.path(), 48, 40), rehearsal),
    ];
    let wrong: Vec<String> = pages
        .iter()
        .flat_map(|(sheet, what)| ["letter", "a4"].map(|paper| (sheet, *what, paper)))
        .filter_map(|(sheet, what, paper)| {
            one_page(&mut browser, sheet, paper, what, folder.path())
        })
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
