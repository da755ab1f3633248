//! Reads a field sheet and says what to set.
//!
//! Run with `cargo run --example read_sheet` for a sheet of `demo-data`, or with
//! `cargo run --example read_sheet -- SHEET` for your own. Prints one line per setting (now, what
//! to set, why), then the one thing to do next. A sheet with mistakes gives one line per mistake
//! on standard error and exit code 2.

use std::path::Path;
use std::process::ExitCode;

use alleytrue::outcome::Verdict;
use alleytrue::quantity::shown;
use alleytrue::sheet::{FieldSheet, Source};

fn main() -> ExitCode {
    let source = match std::env::args_os().nth(1) {
        Some(path) => match Source::open(Path::new(&path)) {
            Ok(source) => source,
            Err(error) => return could_not(&format!("{}: {error}", path.to_string_lossy())),
        },
        // A sheet is only text: it may come from a file, a form or a program.
        None => Source::new("tour", include_str!("../demo-data/soybean-advanced-north.toml")),
    };
    let sheet = match FieldSheet::read(&source) {
        Ok(sheet) => sheet,
        Err(mistakes) => {
            for mistake in mistakes {
                let (line, column) = mistake.line_and_column(source.text());
                eprintln!("{}:{line}:{column}: {}", source.name(), mistake.message);
            }
            return ExitCode::from(2);
        }
    };
    let report = match sheet.calibrate(None).map(|standing| standing.report) {
        Ok(report) => report,
        Err(error) => return could_not(&format!("{}: {error}", source.name())),
    };
    for setting in report.outcomes.iter().flat_map(|outcome| &outcome.settings) {
        let unit = setting.set.unit_text();
        let with_unit = |number: f64| format!("{} {unit}", shown(number)).trim_end().to_owned();
        let set = match setting.verdict {
            Verdict::Wait(_) => "not yet".to_owned(),
            _ => with_unit(setting.set.number()),
        };
        let now = setting.now.as_ref().map_or("not set".into(), |now| with_unit(now.number()));
        println!("{}: {now} -> {set} ({})", setting.name, setting.verdict.reason());
    }
    match report.next {
        Some(next) => println!("Next: {}.", next.instruction),
        None => println!("Next: nothing."),
    }
    ExitCode::SUCCESS
}

fn could_not(why: &str) -> ExitCode {
    eprintln!("{why}");
    ExitCode::from(2)
}
