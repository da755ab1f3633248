//! Inputs that try to hurt: huge, deep, with characters that drive a terminal or a spreadsheet.
//! None may crash, hang, or reach a terminal raw.

#![allow(clippy::expect_used, clippy::panic)] // helpers of tests

use std::path::Path;
use std::process::{Command, Output};

use alleytrue::sheet::{FieldSheet, Source, starter};

fn run(folder: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_alleytrue"));
    let command = command.current_dir(folder).args(arguments).env("LC_ALL", "C.UTF-8");
    command.output().expect("the program runs")
}

/// The first mistake of a text; it is there, and it says something.
fn first(text: &str) -> String {
    let mistakes = FieldSheet::read(&Source::new("sheet.toml", text)).expect_err("a bad sheet");
    assert!(mistakes.len() <= alleytrue::sheet::MOST_MISTAKES);
    let first = mistakes.first().expect("a mistake");
    assert!(!first.message.is_empty() && !first.advice.is_empty());
    first.code.name.to_owned()
}

#[test]
fn a_file_beyond_any_sheet_is_refused_unread() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = std::fs::File::create(folder.path().join("huge.toml")).expect("a file");
    file.set_len(100 * 1024 * 1024).expect("100 MB");
    let output = run(folder.path(), &["calibrate", "huge.toml"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("too-large"));
}

#[test]
fn a_long_text_and_a_long_note_are_read() {
    let long = "x".repeat(8_000_000);
    let sheet = starter::US.replacen("My trial", &long, 1) + "\n# " + &long;
    let sheet = FieldSheet::read(&Source::new("sheet.toml", &sheet)).expect("a sheet");
    assert_eq!(sheet.title.map(|title| title.len()), Some(8_000_000));
}

#[test]
fn depth_ends_in_a_message() {
    const DEPTH: usize = 100_000;
    let dotted = vec!["a"; DEPTH].join(".");
    for text in [
        format!("x = {}{}", "[".repeat(DEPTH), "]".repeat(DEPTH)),
        format!("x = {}", "[".repeat(DEPTH)),
        format!("x = {}1{}", "{a = ".repeat(DEPTH), "}".repeat(DEPTH)),
        format!("{dotted} = 1"),
        format!("[{dotted}]\nb = 1"),
        format!("[[{dotted}]]\nb = 1"),
    ] {
        assert_eq!(first(&text), "syntax", "{}", &text[..40]);
    }
}

#[test]
fn breadth_ends_in_a_message() {
    const BREADTH: usize = 30_000;
    let numbered = |line: &dyn Fn(usize) -> String| (0..BREADTH).map(line).collect::<String>();
    assert_eq!(first(&"[[alley-run]]\n".repeat(BREADTH)), "missing-key");
    assert_eq!(first(&numbered(&|i| format!("[t{i}]\nx = 1\n"))), "unknown-key");
    assert_eq!(first(&numbered(&|i| format!("k{i} = 1\n"))), "unknown-key");
    assert_eq!(first(&"a b c\n".repeat(BREADTH)), "syntax");
    assert_eq!(first(&"=".repeat(BREADTH)), "syntax");
    assert_eq!(first(&"\"".repeat(BREADTH)), "syntax");
    assert_eq!(first(&format!("[planter]\nrows = {}", "9".repeat(BREADTH))), "out-of-range");
}

/// What no terminal may get: control characters other than line ends, and marks that turn text
/// round.
fn is_raw(c: char) -> bool {
    (c.is_control() && c != '\n' && c != '\r') || ('\u{202a}'..='\u{202e}').contains(&c)
}

#[test]
fn nothing_of_a_sheet_or_a_path_drives_the_terminal() {
    let folder = tempfile::tempdir().expect("a folder");
    let title = "a\\u001b[2J\\u009b31m\\u202e\\u0007b";
    let good = starter::US.replacen("My trial", title, 1);
    let bad =
        format!("title = \"{title}\"\n\"k\\u001b[31m\" = 1\n[trial]\nalley = \"\\u009b30 in\"\n");
    std::fs::write(folder.path().join("good.toml"), good).expect("a sheet");
    std::fs::write(folder.path().join("bad.toml"), bad).expect("a sheet");
    let mut sheets = vec!["good.toml".to_owned(), "bad.toml".to_owned()];
    if cfg!(unix) {
        let odd = "odd \u{1b}[31m\u{9b}2J\n\u{202e}\"',.toml";
        std::fs::copy(folder.path().join("good.toml"), folder.path().join(odd)).expect("a sheet");
        sheets.push(odd.into());
    }
    for sheet in sheets {
        for arguments in [
            vec!["calibrate", &sheet],
            vec!["calibrate", "--brief", &sheet],
            vec!["calibrate", "--format", "json", &sheet],
            vec!["batch", &sheet],
            vec!["batch", "--format", "jsonl", &sheet],
            vec!["calibrate", &sheet, "--set", "trial.speed=\u{1b}[2J\u{9b}"],
            vec!["calibrate", &sheet, "--set", "title=\u{1b}[2J\u{9b}"],
            vec!["new", &sheet],
        ] {
            let output = run(folder.path(), &arguments);
            assert!(output.status.code().is_some_and(|code| code <= 2), "{arguments:?}");
            let shown = [output.stdout, output.stderr].concat();
            let shown = String::from_utf8(shown).expect("UTF-8");
            assert!(!shown.contains(is_raw), "{arguments:?}\n{shown:?}");
        }
    }
}

#[test]
fn no_cell_of_a_table_is_run_by_a_spreadsheet() {
    let folder = tempfile::tempdir().expect("a folder");
    for (index, title) in ["=1+1", "+1+1", "-1+1", "@SUM(1)", " =1+1", "\\t=1+1"].iter().enumerate()
    {
        let sheet = starter::US.replacen("My trial", title, 1);
        std::fs::write(folder.path().join(format!("{index}.toml")), &sheet).expect("a sheet");
        std::fs::write(folder.path().join(format!("={index}.toml")), sheet).expect("a sheet");
    }
    let output = run(folder.path(), &["batch", "=0.toml", "."]);
    let mut cells = 0;
    for row in csv::Reader::from_reader(output.stdout.as_slice()).records() {
        for cell in row.expect("a row").iter() {
            let starts = cell.trim_start().starts_with(['=', '+', '@', '\t', '\r']);
            let minus = cell.starts_with('-') && cell.parse::<f64>().is_err();
            assert!(!starts && !minus, "{cell}");
            cells += 1;
        }
    }
    assert!(cells > 500, "{cells}");
}
