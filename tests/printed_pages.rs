//! Printed pages, proved in a browser: every demo sheet, an empty sheet and one with long names,
//! 24 rows and other alphabets are printed to PDF on both papers by a headless Chromium. Page
//! count, text on the paper, margins, overflow and sizes are checked there.
//!
//! Needs Chromium and the tools of poppler (`pdfinfo`, `pdftotext`). Where they are missing the
//! test says so and checks nothing; with `PAGES_MUST_BE_PROVED` set, as `.ci/run` sets it, it
//! fails instead.
#![allow(missing_docs, clippy::expect_used, clippy::panic, clippy::unwrap_used)]

mod common;

use std::fmt::Write as _;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;

const PAPERS: [(&str, f64, f64); 2] = [("letter", 612.0, 792.0), ("a4", 595.0, 842.0)];
/// The narrowest margin, in points; pages have 15 mm, which is 42.5.
const MARGIN: f64 = 42.0;

/// Chromium under one of its names.
fn chromium() -> Option<String> {
    let names = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable"];
    let own = std::env::var("CHROMIUM").ok();
    own.into_iter().chain(names.map(str::to_owned)).find(|name| answers(name, "--version"))
}

fn answers(program: &str, question: &str) -> bool {
    Command::new(program).arg(question).output().is_ok_and(|output| output.status.success())
}

fn tools() -> Option<String> {
    let found = chromium().filter(|_| answers("pdfinfo", "-v") && answers("pdftotext", "-v"));
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

fn browser(chromium: &str, profile: &Path) -> Command {
    let mut command = Command::new(chromium);
    command.args(["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run"]);
    command.arg(format!("--user-data-dir={}", profile.display()));
    command
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

/// Looks at every element of a page in the browser and writes what it finds into the page: what
/// is wider than the paper, what is cut off, what is too small. Not part of the page: it goes into
/// a copy made for this test.
const LOOK: &str = r#"<script>
const wrong = [];
const body = document.body.getBoundingClientRect();
for (const one of document.querySelectorAll('body *')) {
  if (one.tagName === 'SCRIPT' || !one.getClientRects().length) continue;
  const box = one.getBoundingClientRect();
  const name = one.tagName + '.' + (one.getAttribute('class') || '') + ' ' + (one.textContent || '').trim().slice(0, 40);
  if (box.right > body.right + 1 || box.left < body.left - 1) wrong.push('over the edge: ' + name);
  if (one.scrollWidth > one.clientWidth + 1 && one.clientWidth > 0 && !one.closest('svg')) wrong.push('cut: ' + name);
  const own = [...one.childNodes].some(n => n.nodeType === 3 && n.textContent.trim());
  // The keys of the sheet stand small beside their labels.
  if (own && one.closest('.cab-card, .run-form') && !one.closest('.key')) {
    let size = parseFloat(getComputedStyle(one).fontSize);
    if (one.closest('svg')) size *= one.getScreenCTM().a;
    if (size < 15.99) wrong.push('smaller than 12 pt: ' + size + ' ' + name);
  }
}
// 36 points are 48 pixels, 6 mm are 22.68.
for (const one of document.querySelectorAll('.frame .new')) {
  const size = parseFloat(getComputedStyle(one).fontSize);
  if (size < 47.9) wrong.push('a value to set of ' + size + ' px: ' + one.textContent);
}
for (const one of document.querySelectorAll('.box')) {
  const box = one.getBoundingClientRect();
  if (Math.min(box.width, box.height) < 22.6) wrong.push('a box of ' + box.width + ' x ' + box.height + ' px');
}
for (const one of document.querySelectorAll('.blanks tbody td:not(.place)')) {
  // Rows of 10 mm.
  if (one.getBoundingClientRect().height < 37.7) wrong.push('a row of ' + one.getBoundingClientRect().height + ' px');
}
for (const picture of document.querySelectorAll('svg')) {
  const words = [...picture.querySelectorAll('text')].filter(t => t.textContent.trim()).map(t => [t.textContent, t.getBoundingClientRect()]);
  for (let i = 0; i < words.length; i++) for (let k = i + 1; k < words.length; k++) {
    const [a, b] = [words[i][1], words[k][1]];
    const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
    const down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
    if (across > 1 && down > 5) wrong.push('one over the other: ' + words[i][0] + ' / ' + words[k][0]);
  }
}
const out = document.createElement('pre');
out.id = 'looked';
out.textContent = 'LOOKED[' + wrong.join(';; ') + ']LOOKED';
document.body.append(out);
</script></body>"#;

/// Looks at a page as a screen shows it: nothing reaches out of the window but in a box that can be
/// pushed along, no number is broken, and every word is told from its ground by 4.5 to 1 and more
/// (WCAG 2.2, 1.4.3, by its formula for the luminance).
const LOOK_AT_SCREEN: &str = r#"<script>
const wrong = [];
const wide = document.documentElement.clientWidth;
if (document.documentElement.scrollWidth > wide + 1) wrong.push('wider than the window: ' + document.documentElement.scrollWidth);
function light(rgb) {
  const [r, g, b] = rgb.match(/[\d.]+/g).slice(0, 3).map(one => {
    const c = one / 255;
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}
function ground(one) {
  for (let at = one; at; at = at.parentElement) {
    const colour = getComputedStyle(at).backgroundColor;
    if (colour !== 'rgba(0, 0, 0, 0)') return colour;
  }
  return 'rgb(255, 255, 255)';
}
for (const one of document.querySelectorAll('body *')) {
  if (one.tagName === 'SCRIPT' || one.closest('svg')) continue;
  const name = one.tagName + '.' + (one.getAttribute('class') || '') + ' ' + (one.textContent || '').trim().slice(0, 40);
  const box = one.getBoundingClientRect();
  if (box.right > wide + 1 && !one.closest('.scroll, figure')) wrong.push('out of the window: ' + name);
  const own = [...one.childNodes].filter(n => n.nodeType === 3 && n.textContent.trim());
  if (!own.length) continue;
  const [a, b] = [light(getComputedStyle(one).color), light(ground(one))].sort((x, y) => y - x);
  if ((a + 0.05) / (b + 0.05) < 4.5) wrong.push('contrast ' + ((a + 0.05) / (b + 0.05)).toFixed(2) + ': ' + name);
  if (one.closest('.whole, .new, .was') && /^[-+0-9./ ]+$/.test(own[0].textContent.trim())) {
    const range = document.createRange();
    range.selectNodeContents(own[0]);
    const lines = new Set([...range.getClientRects()].map(r => Math.round(r.top)));
    if (lines.size > 1) wrong.push('a number is broken: ' + name);
  }
}
wrong.push('ground ' + (light(ground(document.body)) > 0.5 ? 'light' : 'dark'));
const out = document.createElement('pre');
out.id = 'looked';
out.textContent = 'LOOKED[' + wrong.join(';; ') + ']LOOKED';
document.body.append(out);
</script></body>"#;

/// What is wrong with the boxes of a page at the width it has on paper.
fn looked(chromium: &str, folder: &Path, html: &str) -> String {
    // A4 less two margins of 15 mm.
    let style = "<style>@media screen { body { padding: 0; max-width: none; width: 180mm; } }\
                 </style></head>";
    let copy = html.replacen("</head>", style, 1).replacen("</body>", LOOK, 1);
    seen(chromium, folder, &copy, &["--window-size=1200,1600"])
}

/// What is wrong with a page on a narrow screen and on a wide one, in the dark or not.
fn on_screen(chromium: &str, folder: &Path, html: &str, dark: bool) -> Vec<String> {
    const WIDTHS: [u32; 2] = [390, 1280];
    let copy = html.replacen("</body>", LOOK_AT_SCREEN, 1);
    std::fs::write(folder.join("inner.html"), copy).expect("a copy");
    // A headless window is never narrower than 500 pixels: a frame is.
    let frames = WIDTHS.map(|wide| {
        format!(
            "<iframe style=\"border:0;width:{wide}px;height:4000px\" src=\"inner.html\"></iframe>"
        )
    });
    let framed = format!(
        "<!DOCTYPE html><html><body>{}<script>onload = () => {{\
         const found = [...document.querySelectorAll('iframe')].map(frame => \
         frame.contentDocument.getElementById('looked').textContent.slice(7, -7));\
         const out = document.createElement('pre');\
         out.textContent = 'LOOKED[' + found.join('||') + ']LOOKED';\
         document.body.append(out); }}</script></body></html>",
        frames.concat()
    );
    let mut arguments = vec!["--window-size=1800,4200", "--allow-file-access-from-files"];
    arguments.extend(dark.then_some("--blink-settings=preferredColorScheme=0"));
    let found = seen(chromium, folder, &framed, &arguments);
    let ground = if dark { "ground dark" } else { "ground light" };
    let parts: Vec<&str> = found.split("||").collect();
    assert_eq!(parts.len(), WIDTHS.len(), "{found}");
    let of_width = |(wide, found): (u32, &&str)| {
        let all = found.split(";; ").filter(|one| *one != ground);
        all.map(|one| format!("{wide} px, {ground}: {one}")).collect::<Vec<_>>()
    };
    WIDTHS.into_iter().zip(&parts).flat_map(of_width).collect()
}

/// What a page that looks at itself has found.
fn seen(chromium: &str, folder: &Path, html: &str, arguments: &[&str]) -> String {
    let file = folder.join("looked.html");
    std::fs::write(&file, html).expect("a copy");
    let mut command = browser(chromium, folder);
    command.args(arguments).args(["--virtual-time-budget=5000", "--dump-dom"]);
    let dom = said(command.arg(format!("file://{}", file.display())));
    let after = dom.rsplit_once("LOOKED[").map(|(_, after)| after).expect("the page was looked at");
    after.split("]LOOKED").next().unwrap_or_default().to_owned()
}

fn to_pdf(chromium: &str, folder: &Path, html: &Path) -> PathBuf {
    let pdf = folder.join("pages.pdf");
    let mut command = browser(chromium, folder);
    command.arg("--no-pdf-header-footer").arg(format!("--print-to-pdf={}", pdf.display()));
    said(command.arg(format!("file://{}", html.display())));
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
    let lost: Vec<String> = words_of(html)
        .into_iter()
        .filter(|word| is_plain(word) && !printed.contains(&squeezed(word)))
        .collect();
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
fn check(chromium: &str, sheet: &Path, (paper, wide, high): (&str, f64, f64)) -> Vec<String> {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("pages.html");
    print_html(sheet, paper, &file);
    let html = std::fs::read_to_string(&file).expect("the pages");
    let mut wrong = Vec::new();
    if ["<script", "http-equiv", "src=", "url("].iter().any(|one| html.contains(one)) {
        wrong.push("something runs or is fetched".to_owned());
    }
    // A4 is the narrower paper: what fits there fits on Letter.
    if paper == "a4" {
        let found = looked(chromium, folder.path(), &html);
        wrong.extend((!found.is_empty()).then_some(found));
        wrong.extend(on_screen(chromium, folder.path(), &html, false));
        // The dark has the same boxes: a few sheets show its colours.
        if ["hard", "three", "wheat"].iter().any(|name| sheet.to_string_lossy().contains(name)) {
            wrong.extend(on_screen(chromium, folder.path(), &html, true));
        }
    }
    let pdf = to_pdf(chromium, folder.path(), &file);
    wrong.extend(check_pdf(&html, &pdf, (wide, high)));
    wrong.into_iter().map(|one| format!("{} on {paper}: {one}", sheet.display())).collect()
}

#[test]
fn every_sheet_prints_on_both_papers() {
    let Some(chromium) = tools() else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let sheets = sheets(folder.path());
    let jobs: Vec<_> = sheets.iter().flat_map(|sheet| PAPERS.map(|paper| (sheet, paper))).collect();
    let chromium = chromium.as_str();
    let wrong: Vec<String> = std::thread::scope(|scope| {
        let workers: Vec<_> = jobs
            .chunks(jobs.len().div_ceil(4))
            .map(|some| {
                scope.spawn(move || {
                    some.iter().flat_map(|(sheet, paper)| check(chromium, sheet, *paper)).collect()
                })
            })
            .collect();
        let found = workers.into_iter().map(|worker| worker.join().expect("a worker"));
        found.collect::<Vec<Vec<String>>>().concat()
    });
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A page printed on a paper: how many pages it takes, and on the narrower one what is wrong with it.
fn one_page(
    chromium: &str,
    sheet: &Path,
    paper: &str,
    what: &[&str],
    folder: &Path,
) -> Option<String> {
    let file = folder.join("page.html");
    let mut command = common::program();
    command.arg("print").args(&what[..1]).arg(sheet).args(&what[1..]);
    said(command.args(["--paper", paper, "-o"]).arg(&file));
    let html = std::fs::read_to_string(&file).expect("the page");
    let found = if paper == "a4" { looked(chromium, folder, &html) } else { String::new() };
    let pages = said(Command::new("pdfinfo").arg(to_pdf(chromium, folder, &file)));
    let pages = pages.lines().find_map(|line| line.strip_prefix("Pages:")).expect("a number");
    let wrong = pages.trim() != "1" || !found.is_empty();
    wrong.then(|| format!("{what:?} of {} on {paper}: {pages} pages {found}", sheet.display()))
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
        let pdf = to_pdf(&chromium, folder.path(), &file);
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
        .filter_map(|(sheet, what, paper)| one_page(&chromium, sheet, paper, what, folder.path()))
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
