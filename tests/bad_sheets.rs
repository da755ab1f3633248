//! Bad sheets: every mistake is reported in one run, at its place, with what to type instead.
//!
//! `tests/bad-sheets/NAME.toml` is run through the program, and what it prints is kept beside it
//! in `NAME.snap`. Sheets that version control or an editor could mangle are written here.

// Helpers of tests may fail like tests.
#![allow(clippy::expect_used, clippy::panic)]

mod common;

use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::Output;

use alleytrue::render::{Style, diagnostics, text};
use alleytrue::sheet::{CODES, FieldSheet, Level, MOST_MISTAKES, Source, starter};
use proptest::prelude::*;
use serde_json::Value as Json;
use unicode_width::UnicodeWidthStr;

/// Codes whose message needs no list of what is allowed: the advice says it all.
const NOTHING_TO_ALLOW: &[&str] = &[
    "actions-in-a-circle",
    "actions-incomplete",
    "not-of-this-action",
    "conflict",
    "curly-quotes",
    "decimal-comma",
    "duplicate-key",
    "list-file",
    "missing-key",
    "no-data",
    "planter-file",
    "syntax",
    "too-many-sprockets",
    "uneven-lists",
    "usage",
];

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad-sheets")
}

fn sheets() -> Vec<PathBuf> {
    let mut sheets: Vec<PathBuf> = std::fs::read_dir(folder())
        .expect("the folder of bad sheets")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension() == Some(OsStr::new("toml")))
        .collect();
    sheets.sort();
    assert!(sheets.len() > 50, "the bad sheets are gone");
    sheets
}

fn stem(path: &Path) -> &str {
    path.file_stem().and_then(OsStr::to_str).expect("a plain name")
}

/// Runs the program in the folder of the sheet, so that no path gets into what it prints.
fn calibrate(path: &Path, arguments: &[&str]) -> Output {
    common::program()
        .current_dir(path.parent().expect("a folder"))
        .env_remove("CLICOLOR_FORCE")
        .arg("calibrate")
        .arg(path.file_name().expect("a name"))
        .args(arguments)
        .output()
        .expect("the program runs")
}

fn lines(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8 output")
}

/// What the program says of a sheet that it must refuse.
fn refused(path: &Path) -> String {
    let output = calibrate(path, &["--ascii"]);
    assert_eq!(output.status.code(), Some(2), "{}", path.display());
    assert!(output.stdout.is_empty(), "{} printed results", path.display());
    lines(&output.stderr)
}

fn is_remark(path: &Path) -> bool {
    CODES.iter().any(|code| code.level == Level::Remark && stem(path).starts_with(code.name))
}

fn remarks(path: &Path) -> Vec<(&'static str, String)> {
    let source = Source::open(path).expect("readable");
    let sheet = FieldSheet::read(&source).expect("a sheet with remarks only");
    let line = |one: &alleytrue::sheet::Diagnostic| {
        let (line, column) = source.line_and_column(one);
        let what = format!("{}; {}", one.message, one.advice);
        (one.code.name, format!("{} {line}:{column} `{}`\n  {what}\n", one.code.name, one.found))
    };
    sheet.remarks.iter().map(line).collect()
}

fn check_snapshot(name: &str, printed: &str) {
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path(folder());
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.bind(|| insta::assert_snapshot!(name, printed));
}

#[test]
fn every_bad_sheet_is_refused_as_before() {
    for path in sheets() {
        let printed = if is_remark(&path) {
            let output = calibrate(&path, &["--ascii"]);
            assert_eq!(output.status.code(), Some(0), "{}", path.display());
            assert!(output.stderr.is_empty(), "{}", path.display());
            remarks(&path).into_iter().map(|(_, line)| line).collect()
        } else {
            refused(&path)
        };
        check_snapshot(stem(&path), &printed);
    }
}

/// Sheets whose bytes version control or an editor would change.
fn mangled() -> Vec<(&'static str, Vec<u8>)> {
    let utf16 = |text: &str, mark: bool| -> Vec<u8> {
        let mark = mark.then_some(0xfeff);
        mark.into_iter().chain(text.encode_utf16()).flat_map(u16::to_le_bytes).collect()
    };
    let windows = |text: &str| format!("\u{feff}{}", text.replace('\n', "\r\n")).into_bytes();
    vec![
        ("utf16-with-mark", utf16("title = \"x\"\n", true)),
        ("utf16-without-mark", utf16("title = \"North block\"\n", false)),
        ("latin-1", b"title = \"x\"\n[trial]\nplot = \"17\xbd ft\" # Gr\xfc\xdfe\n".to_vec()),
        ("latin-1-in-line-1", b"\xef\xbb\xbftitle = \"\xe4\"\r\n".to_vec()),
        ("spreadsheet", b"PK\x03\x04\x14\x00\x06\x00".to_vec()),
        ("zeros", vec![0; 100]),
        (
            "windows",
            windows("title = \"x\"\n[trial]\nplot = \"17 s\"\n\talley = \"30\"\nspeed = 2.8\n"),
        ),
        ("windows-first-line", windows("tittle = \"x\"\n")),
        (
            "windows-syntax",
            windows("title = \u{201c}North\u{201d}\n[trial]\nplot = 17 ft 6 in\nalley = 2,5\n"),
        ),
        ("old-line-ends", b"title = \"x\"\r[trial]\rplot = \"17 ft\"\r".to_vec()),
        (
            "control-characters",
            b"title = \"a\x1b[31mred\"\n[trial]\nplot = \"17\x07 ft\"\nalley\x00 = \"30 in\"\n"
                .to_vec(),
        ),
        ("mark-twice", "\u{feff}\u{feff}title = \"x\"\n".into()),
    ]
}

#[test]
fn mangled_sheets_are_refused_as_before() {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, bytes) in mangled() {
        let path = folder.path().join(format!("{name}.toml"));
        std::fs::write(&path, bytes).expect("written");
        check_snapshot(&format!("made-{name}"), &refused(&path));
    }
}

/// The codes in what was printed.
fn codes(printed: &str) -> BTreeSet<String> {
    printed
        .lines()
        .filter_map(|line| line.strip_prefix("error[")?.split_once(']'))
        .map(|(code, _)| code.to_owned())
        .collect()
}

#[test]
fn every_code_is_provoked() {
    let mut provoked = BTreeSet::new();
    for path in sheets() {
        if is_remark(&path) {
            provoked.extend(remarks(&path).into_iter().map(|(code, _)| code.to_owned()));
        } else {
            provoked.extend(codes(&refused(&path)));
        }
    }
    let folder = tempfile::tempdir().expect("a folder");
    let bad = folder.path().join("latin-1.toml");
    std::fs::write(&bad, b"title = \"\xe4\"\n").expect("written");
    provoked.extend(codes(&refused(&bad)));
    let large = folder.path().join("large.toml");
    std::fs::File::create(&large).and_then(|file| file.set_len(65 << 20)).expect("written");
    provoked.extend(codes(&refused(&large)));
    provoked.extend(codes(&refused(&folder.path().join("no-such-sheet.toml"))));
    provoked.extend(codes(&bad_usage()));
    let missing: Vec<&str> =
        CODES.iter().map(|code| code.name).filter(|name| !provoked.contains(*name)).collect();
    assert_eq!(missing, Vec::<&str>::new(), "no bad sheet brings these up");
}

/// What is said where an option does not fit the sheet.
fn bad_usage() -> String {
    let folder = tempfile::tempdir().expect("a folder");
    let sheet = folder.path().join("sheet.toml");
    std::fs::write(&sheet, starter::US).expect("written");
    let output = calibrate(&sheet, &["--without", "trip:99"]);
    assert_eq!(output.status.code(), Some(2));
    String::from_utf8_lossy(&output.stderr).into_owned()
}

#[test]
fn a_folder_is_no_sheet() {
    let folder = tempfile::tempdir().expect("a folder");
    let inner = folder.path().join("inner");
    std::fs::create_dir(&inner).expect("a folder");
    assert!(refused(&inner).starts_with("error[not-readable]: inner: "));
}

/// The blocks of one mistake each.
fn blocks(printed: &str) -> Vec<&str> {
    printed.split("\n\n").filter(|block| block.starts_with("error[")).collect()
}

/// Line and column of a block's ` --> file:line:column`.
fn place(block: &str) -> (usize, usize) {
    let arrow = block.lines().find(|line| line.trim_start().starts_with("-->")).expect("a place");
    let mut numbers = arrow.rsplit(':').map(|number| number.parse::<usize>().expect("a number"));
    let (column, line) = (numbers.next(), numbers.next());
    (line.expect("a line"), column.expect("a column"))
}

/// The text that a block is about: the sheet, or a file that it names.
fn text_of(sheet: &Source, block: &str) -> String {
    let arrow = block.lines().find(|line| line.trim_start().starts_with("-->")).expect("a place");
    let name = arrow.trim_start().trim_start_matches("--> ").split(':').next().unwrap_or_default();
    match name.contains('/') {
        true => std::fs::read_to_string(folder().join(name)).expect("a file beside the sheet"),
        false => sheet.text().to_owned(),
    }
}

/// The caret must stand under the place that the numbers name, and the line must be the sheet's.
fn check_block(sheet: &str, block: &str, name: &str) {
    let (line, column) = place(block);
    let text = sheet.lines().nth(line - 1).unwrap_or_default();
    let before: String = text.chars().take(column - 1).collect();
    let number = format!("{line} |");
    let shown = block.lines().find(|row| row.starts_with(&number)).expect("the line itself");
    let caret = block.lines().find(|row| row.contains('^')).expect("a caret");
    let shown = shown[number.len()..].strip_prefix(' ').unwrap_or_default();
    // What is not seen, or drives a terminal, is shown by question marks.
    let unseen = |c: char| c.is_control() && c != '\t' || c == '\u{200b}';
    if !shown.contains("...") && !text.chars().any(unseen) {
        assert_eq!(shown, text.replace('\t', "    "), "{name}");
        let indent = caret.find('^').expect("a caret") - number.len() - 1;
        assert_eq!(indent, before.replace('\t', "    ").width(), "{name}: {block}");
    }
    assert!(block.contains("= help: "), "{name}: {block}");
    let code = block["error[".len()..].split(']').next().unwrap_or_default();
    if !NOTHING_TO_ALLOW.contains(&code) {
        assert!(block.contains("= note: allowed: "), "{name}: {block}");
    }
    for row in block.lines() {
        assert!(row.width() <= 80 || row.contains("-->"), "{name}: {row}");
    }
}

#[test]
fn every_message_shows_its_place_and_what_to_do() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut all: Vec<PathBuf> = sheets().into_iter().filter(|path| !is_remark(path)).collect();
    for (name, bytes) in mangled() {
        let path = folder.path().join(format!("{name}.toml"));
        std::fs::write(&path, bytes).expect("written");
        if Source::open(&path).is_ok() {
            all.push(path);
        }
    }
    for path in all {
        let sheet = Source::open(&path).expect("readable");
        let printed = refused(&path);
        let blocks = blocks(&printed);
        assert!(!blocks.is_empty(), "{}", path.display());
        // What is said of the whole sheet has no place in it.
        if blocks[0].starts_with("error[no-data]") {
            assert!(blocks[0].contains("= help: ") && !blocks[0].contains("-->"), "{printed}");
            continue;
        }
        for block in &blocks {
            check_block(&text_of(&sheet, block), block, stem(&path));
        }
        // Programs are told the same places.
        let json = calibrate(&path, &["--format", "json"]);
        let json: Json = serde_json::from_slice(&json.stdout).expect("JSON");
        let errors = json["errors"].as_array().expect("errors");
        for (error, block) in errors.iter().zip(&blocks) {
            let number = |key: &str| {
                error[key].as_u64().and_then(|n| usize::try_from(n).ok()).expect("a number")
            };
            assert_eq!((number("line"), number("column")), place(block), "{block}");
            let text = text_of(&sheet, block);
            let line = text.split('\n').nth(number("line") - 1).unwrap_or_default();
            let there: String = line.chars().skip(number("column") - 1).collect();
            let found = error["found"].as_str().expect("what was found");
            assert!(there.starts_with(found), "{}: `{found}` in `{there}`", path.display());
            assert!(!error["advice"].as_str().unwrap_or_default().is_empty());
        }
        assert!(errors.len() >= blocks.len(), "{}", path.display());
    }
}

/// Places written down by hand, from the sheets themselves.
#[test]
fn places_are_those_counted_by_hand() {
    let places = |text: &str| -> Vec<(&'static str, usize, usize)> {
        let source = Source::new("sheet.toml", text);
        let mistakes = FieldSheet::read(&source).expect_err("a bad sheet");
        let place = |one: &alleytrue::sheet::Diagnostic| {
            let (line, column) = one.line_and_column(source.text());
            (one.code.name, line, column)
        };
        mistakes.iter().map(place).collect()
    };
    assert_eq!(places("\u{feff}tittle = 1"), [("unknown-key", 1, 1)]);
    assert_eq!(places("\u{feff}title = 17 ft\r\n"), [("syntax", 1, 9)]);
    assert_eq!(places("[trial]\r\n\tplot\t=\t\"17 s\"\r\n"), [("other-unit", 2, 9)]);
    assert_eq!(
        places("title = \"\u{fc}\u{4e2d}\"\n[trial]\nalley = 2,5"),
        [("decimal-comma", 3, 9)]
    );
    assert_eq!(
        places("[trial.tolerance]\n  passes = \"\u{bd}\" # \u{bc}\n  trip = \"\u{bd} in or so\""),
        [("no-unit", 2, 12), ("bad-measure", 3, 10)]
    );
}

/// However many remarks there are, a mistake still stops the calculation.
#[test]
fn a_mistake_after_thousands_of_remarks_is_reported() {
    let run = "[[alley-run]]\nspeed = \"4 mph\"\nlast-seed-to-mark = [\"9 in\"]\n".repeat(1500);
    let sheet = format!("[trial]\nspeed = \"2.8 mph\"\n{run}[[pass-run]]\nlead = [\"4 s\"]\n");
    let mistakes = FieldSheet::read(&Source::new("sheet.toml", &sheet)).expect_err("a mistake");
    assert!(mistakes.iter().any(|mistake| mistake.code.name == "other-unit"));
}

#[test]
fn a_sheet_full_of_mistakes_is_refused() {
    let times = |count: usize, entry: &str, gap: &str| vec![entry; count].join(gap);
    let many = |entry: &str, gap: &str| times(200_000, entry, gap);
    // Unoptimized, the parser takes its time over tables and keys.
    let some = |entry: &str, gap: &str| times(20_000, entry, gap);
    let sheets = [
        format!("[[pass-run]]\nlead = [{}]\n", many("\"4 s\"", ", ")),
        format!("[[pass-run]]\nlead = [{}]\n", many("\"4 s\"", ",\n")),
        some("[[alley-run]]\nheading = \"north\"\nlast-seed-to-mark = [nan]", "\n"),
        some("plot = 17 ft 6 in", "\n"),
        format!("lead = [{}]", many("17 ft", ", ")),
        (0..20_000).map(|key| format!("key-{key} = 1\n")).collect(),
        "[".repeat(1_000_000),
        "\"".repeat(1_000_001),
        "=\n".repeat(30_000),
    ];
    for sheet in sheets {
        let source = Source::new("sheet.toml", &sheet);
        let mistakes = FieldSheet::read(&source).expect_err("mistakes");
        assert!(mistakes.len() <= MOST_MISTAKES);
        let printed =
            diagnostics::mistakes(&source, &mistakes, Style { ascii: true, colour: false });
        assert!(printed.len() < 100_000);
        serde_json::to_string(&alleytrue::render::json::failure(&source, &mistakes)).expect("JSON");
    }
}

/// Numbers of a calibrated sheet: settings and values, without the text that was typed.
fn numbers(text: &str) -> Vec<(String, Json)> {
    let source = Source::new("sheet.toml", text);
    let sheet =
        FieldSheet::read(&source).unwrap_or_else(|mistakes| panic!("{mistakes:#?} in\n{text}"));
    let report = sheet.calibrate(None).expect("few sprockets").report;
    let document = alleytrue::render::json::document(&source, &sheet, &report);
    let document = serde_json::to_value(&document).expect("JSON");
    let mut numbers = vec![];
    for result in document["results"].as_array().expect("results") {
        for setting in result["settings"].as_array().expect("settings") {
            for key in ["now", "set", "exact", "verdict"] {
                numbers.push((format!("{} {key}", setting["name"]), setting[key].clone()));
            }
        }
        for value in result["values"].as_array().expect("values") {
            numbers.push((value["name"].to_string(), value["value"].clone()));
        }
    }
    assert!(numbers.len() > 4);
    numbers
}

/// The starter sheet with some of its text replaced; every text must be there.
fn starter_with(changes: &[(&str, &str)]) -> String {
    let mut text = starter::US.to_owned();
    for (from, to) in changes {
        assert!(text.contains(from), "{from} is not in the starter sheet");
        text = text.replace(from, to);
    }
    text
}

#[test]
fn typography_inside_values_is_read_as_what_it_stands_for() {
    let odd = starter_with(&[
        ("17 ft 6 in", "17\u{2032} 6\u{2033}"),
        ("67 ft 11 in", "67\u{2019}\u{a0}11\u{201d}"),
        ("\"30 in\"", "\"30\u{a0}in\""),
        ("\"5 1/2 in\"", "\"5\u{bd} in\""),
        ("\"0.5 in\"", "\"\u{bd}\u{202f}in\""),
        ("\"20 ft\"", "'20\u{2019}'"),
        ("139000 /ac", "139_000 per acre"),
        ("12.5", "\"12\u{bd}\""),
    ]);
    assert_eq!(numbers(&odd), numbers(starter::US));
}

#[test]
fn windows_line_ends_and_byte_order_mark_change_nothing() {
    let windows = format!("\u{feff}{}", starter::US.replace('\n', "\r\n"));
    assert_eq!(numbers(&windows), numbers(starter::US));
}

#[test]
fn inline_tables_dotted_and_quoted_keys_change_nothing() {
    let drive = "[[planter.drive]]               # one per chain, from the wheel to the plate\n";
    let odd = starter_with(&[
        ("rows = 4", "\"rows\" = 4"),
        ("plate = { cells = 40, carry = 16 }", "plate.cells = 40\nplate.carry = 16"),
        (drive, "drive = [{\n"),
        ("28] }\ndriven", "28] },\n  driven"),
        ("20, 21] }\n", "20, 21] }}]\n"),
        ("[settings]", "[\"settings\"]"),
        ("[trial.tolerance]               # how far off is good enough\n", "[trial . tolerance]\n"),
    ]);
    assert_eq!(numbers(&odd), numbers(starter::US));
}

#[test]
fn one_run_may_be_a_plain_table() {
    let odd = starter_with(&[
        ("[[trip-run]]", "[trip-run]"),
        ("[[pass-run]]", "[ pass-run ]"),
        ("[[speed-run]]", "[speed-run]"),
    ]);
    assert_eq!(numbers(&odd), numbers(starter::US));
}

#[test]
fn bare_numbers_are_in_the_unit_the_sheet_names() {
    let leads = ["0.5", "-0.25", "1", "0.75", "0"];
    for (unit, alley, times) in [
        ("in", 30.0, 1.0),
        ("ft", 2.5, 0.1),
        ("cm", 75.0, 1.0),
        ("m", 0.75, 0.01),
        ("mm", 750.0, 10.0),
    ] {
        let lead = |quoted: bool| {
            let one = |lead: &&str| {
                let number = (lead.parse::<f64>().expect("a number") * times * 1e6).round() / 1e6;
                if quoted { format!("\"{number} {unit}\"") } else { number.to_string() }
            };
            leads.iter().map(one).collect::<Vec<_>>().join(", ")
        };
        let sheet = |bare: &str, quoted: bool| {
            format!(
                "{bare}\n[planter.controller]\npass-offset = {{ raising-moves-alley = \"ahead\" }}\n\
                 [trial]\nalley = \"{alley} {unit}\"\ntolerance.passes = \"{alley} {unit}\"\n\
                 [settings]\npass-offset = \"{alley} {unit}\"\n[[pass-run]]\nlead = [{}]\n",
                lead(quoted)
            )
        };
        let bare = sheet(&format!("bare-length = \"{unit}\""), false);
        assert_eq!(numbers(&bare), numbers(&sheet("", true)), "{unit}");
    }
}

#[test]
fn lists_may_mix_bare_numbers_and_text_and_need_no_space() {
    let odd = starter_with(&[
        (
            "lead = [6, \"5 1/2 in\", 6.5, 5, 6, 5.5]",
            "lead = [ 6,\"5.5\", \"6 1/2\",\n5, \"6\", '5.5 in', ]",
        ),
        ("choices = [20, 22, 24, 25, 26, 28]", "choices = [20, 22,24, 25,26,28]"),
        ("[11.5, 12, 13, 12.5, 12, 11.5]", "[11.5,12.0,13.0,12.5,12.0,11.5]"),
    ]);
    assert_eq!(numbers(&odd), numbers(starter::US));
}

/// Reads, calibrates and prints a text, whatever it is.
fn run_through(text: &str) {
    let source = Source::new("sheet.toml", text);
    let style = Style { ascii: true, colour: false };
    match FieldSheet::read(&source) {
        Ok(sheet) => {
            let Ok(report) = sheet.job.calibrate() else { return };
            let heading = text::Heading { title: sheet.title.as_deref(), file: "sheet.toml" };
            let remarks = &sheet.remarks;
            let page = text::Page { heading, report: &report, remarks, source: &source };
            assert!(page.render(false, style).ends_with('\n'));
        }
        Err(mistakes) => {
            assert!(!mistakes.is_empty());
            let printed = diagnostics::mistakes(&source, &mistakes, style);
            assert!(printed.contains("nothing was calculated"));
            for mistake in &mistakes {
                let (line, column) = mistake.line_and_column(source.text());
                assert!(line >= 1 && column >= 1 && line <= source.text().split('\n').count());
                assert!(!mistake.message.is_empty() && !mistake.advice.is_empty());
            }
        }
    }
}

/// One change of a sheet.
#[derive(Clone, Debug)]
enum Change {
    Delete(usize, usize),
    Insert(usize, &'static str),
    Swap(usize, usize),
    Value(usize, &'static str),
}

const ODD: &[&str] = &[
    "\"",
    "'",
    "\"\"\"",
    "[",
    "]",
    "[[",
    "{",
    "}",
    "=",
    ",",
    "\n",
    "\r",
    "\r\n",
    "#",
    ".",
    "-",
    "nan",
    "-inf",
    "1e400",
    "0x1F",
    "0",
    "-1",
    "99999999999999999999",
    "\u{201c}",
    "\u{2019}",
    "\u{bd}",
    "\u{a0}",
    "\u{200b}",
    "\u{feff}",
    "\u{1b}[2J",
    "\u{0}",
    "\u{4e2d}\u{6587}",
    "\\",
    "\\u0000",
    "\"17' 6\"\"",
    "\"1/0 in\"",
    "[]",
    "[[1], [2]]",
    "{ a = 1 }",
    "true",
    "2027-04-18",
    "12:30:00",
    "17 ft 6 in",
    "2,5",
    "\"2,5 m\"",
    "\"30 s\"",
    "\"\"",
    "[11,5, 12,0]",
    "[\"x\", 1, {}]",
    ".5",
    "5.",
    "04",
    "1_000",
    "\"-4 in\"",
    "\"1e9 in\"",
    "\"0 in\"",
    "[0, 0, 0]",
    "[1e-6]",
];

fn change() -> impl Strategy<Value = Change> {
    let odd = prop::sample::select(ODD);
    prop_oneof![
        (any::<usize>(), 1_usize..40).prop_map(|(at, count)| Change::Delete(at, count)),
        (any::<usize>(), odd.clone()).prop_map(|(at, text)| Change::Insert(at, text)),
        (any::<usize>(), any::<usize>()).prop_map(|(one, other)| Change::Swap(one, other)),
        (any::<usize>(), odd).prop_map(|(line, text)| Change::Value(line, text)),
    ]
}

fn changed(sheet: &str, changes: &[Change]) -> String {
    let mut text: Vec<char> = sheet.chars().collect();
    for change in changes {
        let place = |at: usize, text: &[char]| if text.is_empty() { 0 } else { at % text.len() };
        match change {
            Change::Delete(at, count) => {
                let at = place(*at, &text);
                text.drain(at..(at + count).min(text.len()));
            }
            Change::Insert(at, odd) => {
                let at = place(*at, &text);
                text.splice(at..at, odd.chars());
            }
            Change::Swap(one, other) => {
                let whole: String = text.iter().collect();
                let mut lines: Vec<&str> = whole.split('\n').collect();
                let count = lines.len();
                lines.swap(one % count, other % count);
                text = lines.join("\n").chars().collect();
            }
            Change::Value(line, odd) => {
                let whole: String = text.iter().collect();
                let mut lines: Vec<String> = whole.split('\n').map(str::to_owned).collect();
                let with_value: Vec<usize> =
                    (0..lines.len()).filter(|at| lines[*at].contains('=')).collect();
                if let Some(at) = with_value.get(place(*line, &vec![' '; with_value.len()])) {
                    let key = lines[*at].split('=').next().unwrap_or_default().to_owned();
                    lines[*at] = format!("{key}= {odd}");
                }
                text = lines.join("\n").chars().collect();
            }
        }
    }
    text.into_iter().collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, ..ProptestConfig::default() })]

    #[test]
    fn no_change_of_a_sheet_makes_it_panic(
        metric in any::<bool>(),
        changes in prop::collection::vec(change(), 1..6),
    ) {
        let sheet = if metric { starter::METRIC } else { starter::US };
        run_through(&changed(sheet, &changes));
    }

    #[test]
    fn no_text_makes_it_panic(pieces in prop::collection::vec(
        prop_oneof![
            prop::sample::select(ODD).prop_map(str::to_owned),
            prop::sample::select(vec![
                "title", "bare-length = \"in\"\n", "[trial]\n", "[[alley-run]]\n", "[[pass-run]]\n",
                "lead = ", "plot = ", "[planter.controller]\n", "setback", " ", "date = ",
                "[[planter.drive]]\n", "driving = ", "choices", "[settings]\n",
            ]).prop_map(str::to_owned),
            "\\PC{0,6}",
        ],
        0..30,
    )) {
        run_through(&pieces.concat());
    }
}

#[test]
fn one_change_of_any_value_is_read_or_refused() {
    let lines_of = |sheet: &'static str| {
        let count = sheet.lines().filter(|line| line.contains('=')).count();
        (0..count).map(move |line| (sheet, line))
    };
    let lines: Vec<_> = [starter::US, starter::METRIC].into_iter().flat_map(lines_of).collect();
    common::cores::on_all_cores(
        &lines,
        || (),
        |(), (sheet, line)| {
            for odd in ODD {
                run_through(&changed(sheet, &[Change::Value(*line, odd)]));
            }
        },
    );
}

#[test]
fn another_word_is_not_taken_for_a_slip() {
    let advice = |word: &str| {
        let text = format!("[layout]\nheadland = \"40 ft\"\nfirst-pass = \"{word}\"\n");
        let wrong = FieldSheet::read(&Source::new("sheet.toml", &text)).expect_err("a wrong word");
        let of_word = wrong.into_iter().find(|one| one.code.name == "unknown-word");
        of_word.expect("an unknown word").advice
    };
    assert_eq!(advice("west"), "write \"left\" or \"right\"");
    assert_eq!(advice("lefft"), "did you mean \"left\"?");
    assert_eq!(advice("eft"), "did you mean \"left\"?");
    assert_eq!(advice("rihgt"), "did you mean \"right\"?");
}
