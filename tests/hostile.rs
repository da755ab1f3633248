//! Inputs that try to hurt: huge, deep, with characters that drive a terminal or a spreadsheet.
//! None may crash, hang, or reach a terminal raw.

#![allow(clippy::expect_used, clippy::panic)] // helpers of tests

mod common;

use std::path::Path;
use std::process::Output;

use alleytrue::sheet::{FieldSheet, Source, starter};

fn run(folder: &Path, arguments: &[&str]) -> Output {
    let mut command = common::program();
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

/// Lists of one sign a reading, signs that are a mistake each, and old line ends: what fills the
/// memory most for its size.
#[cfg(target_os = "linux")]
#[test]
fn no_sheet_fills_the_memory() {
    use alleytrue::sheet::{MOST_BYTES, MOST_PARTS};
    let folder = tempfile::tempdir().expect("a folder");
    let (head, _) = starter::US.split_once("[[speed-run]]").expect("runs");
    let most = usize::try_from(MOST_BYTES).expect("a size");
    let room = MOST_PARTS - head.matches([',', '=', '[', '{', '\n']).count() - 20;
    let list =
        |start: &str, one: &str, many: usize| format!("{head}{start}{}]\n", one.repeat(many));
    let sheets = [
        (list("[[trip-run]]\nmarks = 240\nreadout = [", "237,", room), 0),
        (list("[[speed-run]]\ncourse = \"200 ft\"\ntimes = [", "\"48 s\",", room), 0),
        (format!("{head}{}", "[[pass-run]]\nlead=[4]\n".repeat(room / 6)), 0),
        (format!("{head}{}", "[[pass-run]]\n".repeat(room / 3)), 2),
        ("] ".repeat(most / 2), 2),
        ("\r".repeat(most), 2),
    ];
    let sheets: Vec<_> = sheets.into_iter().enumerate().collect();
    let calibrated = |_: &mut (), (number, (text, code)): &(usize, (String, i32))| {
        let name = format!("{number}.toml");
        std::fs::write(folder.path().join(&name), text).expect("a sheet");
        let mut command = common::program();
        command.current_dir(folder.path()).args(["calibrate", &name]);
        let (out, error) = (std::process::Stdio::null(), std::process::Stdio::null());
        let mut child = command.stdout(out).stderr(error).spawn().expect("the program starts");
        let status = format!("/proc/{}/status", child.id());
        let mut most = 0;
        let end = loop {
            let about = std::fs::read_to_string(&status).unwrap_or_default();
            let line = about.lines().find_map(|line| line.strip_prefix("VmHWM:"));
            let size =
                line.and_then(|line| line.trim().trim_end_matches(" kB").parse::<u64>().ok());
            most = size.unwrap_or(0).max(most);
            if let Some(end) = child.try_wait().expect("its state") {
                break end;
            }
            std::thread::sleep(std::time::Duration::from_millis(2));
        };
        assert_eq!(end.code(), Some(*code), "{}", &text[text.len() - 40..]);
        assert!(most < 512 * 1024, "{most} kB for {}", &text[text.len() - 40..]);
    };
    common::cores::on_all_cores(&sheets, || (), calibrated);
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

/// What no terminal may get: control characters other than line ends, marks that turn text round,
/// other line ends, and what is not seen.
fn is_raw(c: char) -> bool {
    (c.is_control() && c != '\n' && c != '\r')
        || ('\u{202a}'..='\u{202e}').contains(&c)
        || ('\u{2060}'..='\u{206f}').contains(&c)
        || ('\u{e0000}'..='\u{e007f}').contains(&c)
        || "\u{ad}\u{61c}\u{180e}\u{200b}\u{200c}\u{200d}\u{200e}\u{200f}\u{2028}\u{2029}\u{feff}"
            .contains(c)
}

/// Characters that are not seen, and turn, break or hide what stands around them.
const UNSEEN: &str = "\u{61c}\u{2028}\u{2029}\u{200b}\u{200d}\u{2060}\u{e0041}\u{e007f}\u{ad}";

#[test]
fn nothing_of_a_sheet_or_a_path_drives_the_terminal() {
    let folder = tempfile::tempdir().expect("a folder");
    let title = &format!("a\\u001b[2J\\u009b31m\\u202e\\u0007b{UNSEEN}c");
    let good = starter::US.replacen("My trial", title, 1);
    let bad =
        format!("title = \"{title}\"\n\"k\\u001b[31m\" = 1\n[trial]\nalley = \"\\u009b30 in\"\n");
    std::fs::write(folder.path().join("good.toml"), good).expect("a sheet");
    std::fs::write(folder.path().join("bad.toml"), bad).expect("a sheet");
    let mut sheets = vec!["good.toml".to_owned(), "bad.toml".to_owned()];
    if cfg!(unix) {
        let odd = format!("odd \u{1b}[31m\u{9b}2J\n\u{202e}{UNSEEN}\"',.toml");
        std::fs::copy(folder.path().join("good.toml"), folder.path().join(&odd)).expect("a sheet");
        sheets.push(odd);
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
            vec!["record", &sheet, "pass", "5", "--dry-run"],
            vec!["record", &sheet, "pass", "5", "--note", UNSEEN, "--dry-run"],
            vec!["record", &sheet, "pass", UNSEEN],
            vec!["record", &sheet, "pass", "5"],
            vec!["print", "all", &sheet],
            vec!["history", &sheet],
            vec!["check", "--format", "csv", &sheet],
        ] {
            let output = run(folder.path(), &arguments);
            assert!(output.status.code().is_some_and(|code| code <= 2), "{arguments:?}");
            let shown = [output.stdout, output.stderr].concat();
            let shown = String::from_utf8(shown).expect("UTF-8");
            assert!(!shown.contains(is_raw), "{arguments:?}\n{shown:?}");
        }
    }
}

/// The command line's own mistakes quote it.
#[test]
fn no_word_of_a_command_line_drives_the_terminal() {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("s.toml"), starter::US).expect("a sheet");
    let evil = &format!("\u{1b}[2J\u{9b}31m\u{202e}\n{UNSEEN}x");
    let option = &format!("--{evil}");
    let value = &format!("--format={evil}");
    for (arguments, quotes) in [
        (vec![evil.as_str()], true),
        (vec!["calibrate", "s.toml", option], true),
        (vec!["calibrate", "s.toml", value], true),
        (vec!["calibrate", "s.toml", "--confidence", evil], true),
        (vec!["calibrate", "s.toml", "--without", evil], true),
        (vec!["calibrate", "s.toml", "--set", evil], true),
        (vec!["setback-at", evil, "s.toml"], true),
        (vec!["plan", "s.toml", "--tolerance", evil], true),
        (vec!["record", "s.toml", evil], true),
        (vec!["record", "s.toml", "pass", "--date", evil, "5"], true),
        (vec!["record", "s.toml", "alley", "--heading", evil], true),
        (vec!["apply", "s.toml", "--setting", evil], true),
        (vec!["print", evil, "s.toml"], true),
        (vec!["completions", evil], true),
        (vec!["explain", evil], true),
        (vec!["batch", "--jobs", evil, "."], true),
        (vec!["new", "s.toml", evil], true),
        (vec!["trip"], false),
    ] {
        let output = run(folder.path(), &arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let said = String::from_utf8(output.stderr).expect("UTF-8");
        assert!(!said.contains(is_raw), "{arguments:?}\n{said:?}");
        assert_eq!(said.contains("\\u{1b}"), quotes, "{arguments:?}\n{said}");
    }
}

#[test]
fn no_cell_of_a_table_is_run_by_a_spreadsheet() {
    let folder = tempfile::tempdir().expect("a folder");
    for (index, title) in [
        "=1+1",
        "+1+1",
        "-1+1",
        "@SUM(1)",
        " =1+1",
        "\\t=1+1",
        "\u{ff1d}1+1",
        "\u{ff0b}1",
        "\u{ff0d}1",
        "\u{ff20}SUM(1)",
        "a;=1+1",
        "a; \u{ff1d}1+1",
        "a;\\\"=1+1\\\"",
        ";;@x",
        "\u{200b}=1",
    ]
    .iter()
    .enumerate()
    {
        let sheet = starter::US.replacen("My trial", title, 1);
        std::fs::write(folder.path().join(format!("{index}.toml")), &sheet).expect("a sheet");
        std::fs::write(folder.path().join(format!("={index}.toml")), sheet).expect("a sheet");
    }
    let output = run(folder.path(), &["batch", "=0.toml", "."]);
    let mut cells = 0;
    for row in csv::Reader::from_reader(output.stdout.as_slice()).records() {
        // Where the list sign is a semicolon, that parts cells too, and quotes around them go.
        for cell in row.expect("a row").iter().flat_map(|cell| cell.split(';')) {
            let inside = cell.trim_start().trim_start_matches('"');
            let signs = "=+@\t\r\u{ff1d}\u{ff0b}\u{ff0d}\u{ff20}\u{200b}";
            let starts = inside.starts_with(|c| signs.contains(c));
            let minus = inside.starts_with('-') && cell.trim().parse::<f64>().is_err();
            assert!(!starts && !minus, "{cell}");
            cells += 1;
        }
    }
    assert!(cells > 500, "{cells}");
}
