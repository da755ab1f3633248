//! What the tests from outside share: the program run on a sheet, its answers, a second
//! calculator, and random sheets.

// Each test file is a crate of its own and uses its own part of this.
#![allow(dead_code, clippy::expect_used, clippy::panic)]

pub mod calculator;
pub mod cores;
pub mod page;
pub mod sheets;
pub mod talk;

use std::path::Path;
use std::process::{Command, Output};

use proptest::prelude::ProptestConfig;
use serde_json::Value as Json;

/// The day that it is for the program: after the runs of all demo sheets, and before any is too old.
pub const TODAY: &str = "2027-05-01";
/// The same as `date -u -d 2027-05-01 +%s` has it.
pub const TODAY_IN_SECONDS: &str = "1809129600";

/// The program, on a day that does not move on.
pub fn program() -> Command {
    let mut program = Command::new(env!("CARGO_BIN_EXE_alleytrue"));
    program.env("SOURCE_DATE_EPOCH", TODAY_IN_SECONDS);
    program
}

/// Runs the program with a UTF-8 locale.
pub fn run(arguments: &[&str], sheet: &Path) -> Output {
    program()
        .args(arguments)
        .arg(sheet)
        .env("LC_ALL", "C.UTF-8")
        .output()
        .expect("the program runs")
}

/// A sheet in a folder of its own.
pub struct Written {
    folder: tempfile::TempDir,
}

impl Written {
    pub fn new(text: &str) -> Written {
        let folder = tempfile::tempdir().expect("a folder");
        std::fs::write(folder.path().join("sheet.toml"), text).expect("a written sheet");
        Written { folder }
    }

    /// Where it stands.
    pub fn path(&self) -> std::path::PathBuf {
        self.folder.path().join("sheet.toml")
    }

    /// What the sheet says now.
    pub fn text(&self) -> String {
        std::fs::read_to_string(self.folder.path().join("sheet.toml")).expect("the sheet")
    }

    pub fn run(&self, arguments: &[&str]) -> Output {
        run(arguments, &self.folder.path().join("sheet.toml"))
    }

    /// What a command finds out from it, as programs read it; the test fails where it refuses.
    #[track_caller]
    pub fn report(&self, arguments: &[&str]) -> Report {
        let output = self.run(&[arguments, &["--format", "json"]].concat());
        let said = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(0), "{said}\n{}", self.text());
        Report::read(&output.stdout)
    }

    /// Why a command refuses it, in one line; the test fails where it does not, or prints a result.
    #[track_caller]
    pub fn mistakes(&self, command: &str) -> String {
        let output = self.run(&[command]);
        assert_eq!(output.status.code(), Some(2), "{}", self.text());
        assert!(output.stdout.is_empty());
        let said = String::from_utf8(output.stderr).expect("text");
        said.split_whitespace().filter(|word| *word != "│").collect::<Vec<_>>().join(" ")
    }
}

/// What `calibrate` finds out from a sheet, as programs read it.
#[derive(Debug)]
pub struct Report(Json);

impl Report {
    /// The results of a sheet; the test fails where the program refuses it.
    pub fn of(sheet: &str) -> Report {
        let output = Written::new(sheet).run(&["calibrate", "--format", "json"]);
        let said = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(0), "{said}\n{sheet}");
        Report::read(&output.stdout)
    }

    pub fn read(json: &[u8]) -> Report {
        Report(serde_json::from_slice(json).expect("JSON"))
    }

    pub fn results(&self) -> &[Json] {
        self.0["results"].as_array().expect("results")
    }

    pub fn result(&self, calculation: &str) -> &Json {
        let found = self.results().iter().find(|result| result["calculation"] == calculation);
        found.unwrap_or_else(|| panic!("no {calculation} in {}", self.0))
    }

    /// A line of the working, by name.
    pub fn number(&self, calculation: &str, name: &str) -> f64 {
        self.maybe(calculation, name)
            .unwrap_or_else(|| panic!("no `{name}` in {}", self.result(calculation)))
    }

    pub fn maybe(&self, calculation: &str, name: &str) -> Option<f64> {
        let lines = self.result(calculation)["working"].as_array().expect("working");
        lines.iter().find(|line| line["name"] == name)?["value"].as_f64()
    }

    pub fn unit(&self, calculation: &str, name: &str) -> &str {
        let lines = self.result(calculation)["working"].as_array().expect("working");
        let found = lines.iter().find(|line| line["name"] == name);
        found.and_then(|line| line["unit"].as_str()).unwrap_or_else(|| panic!("no `{name}`"))
    }

    pub fn setting(&self, calculation: &str, name: &str) -> Setting<'_> {
        let settings = self.result(calculation)["settings"].as_array().expect("settings");
        let found = settings.iter().find(|setting| setting["name"] == name);
        Setting(found.unwrap_or_else(|| panic!("no `{name}` in {}", self.result(calculation))))
    }

    pub fn warned(&self, calculation: &str, code: &str) -> bool {
        let warnings = self.result(calculation)["warnings"].as_array().expect("warnings");
        warnings.iter().any(|warning| warning["code"] == code)
    }

    /// What is to be done next, in words.
    pub fn next_instruction(&self) -> Option<&str> {
        self.0["next"]["instruction"].as_str()
    }

    /// The name of the setting that is to be changed next.
    pub fn next_setting(&self) -> Option<&str> {
        self.0["next"]["setting"].as_str()
    }

    /// Rows of a table.
    pub fn table(&self, calculation: &str, key: &str) -> Option<&[Json]> {
        self.result(calculation)["tables"][key].as_array().map(Vec::as_slice)
    }
}

/// The row of a table that has this in a column.
pub fn row<'a>(
    report: &'a Report,
    (calculation, table): (&str, &str),
    key: &str,
    of: impl Into<Json>,
) -> &'a Json {
    let (rows, of) = (report.table(calculation, table).expect("a table"), of.into());
    let found = rows.iter().find(|row| row[key] == of);
    found.unwrap_or_else(|| panic!("no {of} in {rows:?}"))
}

/// A number of a row.
pub fn cell(row: &Json, key: &str) -> f64 {
    row[key].as_f64().unwrap_or_else(|| panic!("no {key} in {row}"))
}

/// A setting with its correction.
pub struct Setting<'a>(&'a Json);

impl<'a> Setting<'a> {
    pub fn exact(&self) -> f64 {
        self.0["exact"].as_f64().expect("a number")
    }

    pub fn set(&self) -> f64 {
        self.0["set"].as_f64().expect("a number")
    }

    pub fn verdict(&self) -> &'a str {
        self.0["verdict"].as_str().expect("a word")
    }

    pub fn reason(&self) -> &'a str {
        self.0["reason"].as_str().expect("words")
    }
}

/// As many cases as `PROPTEST_CASES` says, else `usual`, kept low for everyday runs.
pub fn cases(usual: u32) -> ProptestConfig {
    let asked = std::env::var("PROPTEST_CASES").ok().and_then(|text| text.parse().ok());
    ProptestConfig {
        cases: asked.unwrap_or(usual),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

/// `value` within `share` of `wanted`, for numbers that went through a sheet.
#[track_caller]
pub fn assert_near(value: f64, wanted: f64, share: f64) {
    let off = (value - wanted).abs();
    assert!(off <= share * wanted.abs().max(1.0), "{value} where {wanted} is right");
}

/// `value` rounded half up to `places` is the printed number.
#[track_caller]
pub fn assert_printed(value: f64, printed: &str) {
    assert_eq!(half_up(value, places(printed)), printed, "{value}");
}

/// Decimals of a printed number.
pub fn places(printed: &str) -> usize {
    printed.split_once('.').map_or(0, |(_, decimals)| decimals.len())
}

/// A number rounded half away from zero by its shortest decimal digits, apart from the program's
/// own rounding.
pub fn half_up(value: f64, places: usize) -> String {
    calculator::rounded(&format!("{value}"), places)
}
