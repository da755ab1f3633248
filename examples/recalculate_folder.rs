//! Recalculates every field sheet of a folder, for a table or a season's record.
//!
//! Run with `cargo run --example recalculate_folder -- FOLDER` (`demo-data` without one). Prints
//! tab-separated text, a line of heads and one line per setting: sheet, setting, now, set, unit,
//! verdict. What is wrong with a sheet goes to standard error and the other sheets are still
//! done; the exit code is 0 where all could be calculated, else 2.

use std::io::{self, BufWriter, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use alleytrue::outcome::Report;
use alleytrue::outcome::SettingResult;
use alleytrue::quantity::shown;
use alleytrue::render::harmless;
use alleytrue::sheet::{FieldSheet, Source};

fn main() -> ExitCode {
    let folder = std::env::args_os().nth(1).map_or_else(|| "demo-data".into(), PathBuf::from);
    match recalculate(&folder, &mut BufWriter::new(io::stdout().lock())) {
        Ok(0) => ExitCode::SUCCESS,
        Ok(bad) => {
            eprintln!("could not calculate {bad}; see above");
            ExitCode::from(2)
        }
        // Whoever read the table has seen enough.
        Err(error) if error.kind() == ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{}: {error}", folder.display());
            ExitCode::from(2)
        }
    }
}

/// Prints the settings of every sheet; the number of sheets that could not be calculated.
fn recalculate(folder: &Path, out: &mut dyn Write) -> io::Result<usize> {
    let sheets = sheets(folder)?;
    if sheets.is_empty() {
        return Err(io::Error::new(ErrorKind::NotFound, "no .toml file in this folder"));
    }
    writeln!(out, "sheet\tsetting\tnow\tset\tunit\tverdict")?;
    let mut bad = 0;
    for path in sheets {
        let name = harmless(&path.file_name().unwrap_or_default().to_string_lossy());
        match report(&path) {
            Ok(report) => {
                for setting in report.outcomes.iter().flat_map(|outcome| &outcome.settings) {
                    writeln!(out, "{name}\t{}", row(setting))?;
                }
            }
            Err(mistakes) => {
                bad += 1;
                mistakes.iter().for_each(|mistake| eprintln!("{name}: {mistake}"));
            }
        }
    }
    out.flush()?;
    Ok(bad)
}

/// The sheets of the folder by name.
fn sheets(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut sheets = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        let is_toml = path.extension().is_some_and(|ext| ext.eq_ignore_ascii_case("toml"));
        if is_toml && path.is_file() {
            sheets.push(path);
        }
    }
    sheets.sort();
    Ok(sheets)
}

/// The results of one sheet, or a line per mistake.
fn report(path: &Path) -> Result<Report, Vec<String>> {
    let source = Source::open(path).map_err(|error| vec![error.to_string()])?;
    let sheet = FieldSheet::read(&source).map_err(|mistakes| {
        let line = |at: (usize, usize)| format!("line {}, column {}", at.0, at.1);
        let place = |mistake: &alleytrue::sheet::Diagnostic| {
            format!("{}: {}", line(mistake.line_and_column(source.text())), mistake.message)
        };
        mistakes.iter().map(place).collect::<Vec<_>>()
    })?;
    let report = sheet.calibrate(None).map_err(|error| vec![error.to_string()])?.report;
    if report.outcomes.is_empty() {
        return Err(vec!["the sheet has no measurements to work with".into()]);
    }
    Ok(report)
}

fn row(setting: &SettingResult) -> String {
    let set = shown(setting.set.number());
    let now = setting.now.as_ref().map_or_else(String::new, |now| shown(now.number()));
    let unit = setting.set.unit_text();
    format!("{}\t{now}\t{set}\t{unit}\t{}", setting.name, setting.verdict.word())
}
