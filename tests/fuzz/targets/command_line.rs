//! Whatever is typed behind `alleytrue`, no run panics, and a sheet that could be read before it can
//! be read after it, with nothing of ours left beside it.
//!
//! Runs in a temporary folder, over sheets made from those of the repository. No word has a slash or
//! two dots in it, so that nothing outside of the folder is named.
#![no_main]

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use alleytrue::commands::{Cli, Exit, run};
use alleytrue::sheet::{FieldSheet, Source, starter};
use libfuzzer_sys::arbitrary::{Result, Unstructured};
use libfuzzer_sys::fuzz_target;

const SHEETS: [&str; 10] = [
    starter::US,
    starter::METRIC,
    include_str!("../../../demo-data/changeover-first-set-up.toml"),
    include_str!("../../../demo-data/changeover-bunched-and-rows.toml"),
    include_str!("../../../demo-data/maize-seed-dug-up.toml"),
    include_str!("../../../demo-data/maize-stand-one-thin-row.toml"),
    include_str!("../../../demo-data/soybean-forty-entries.toml"),
    include_str!("../../../demo-data/soybean-three-speeds.toml"),
    include_str!("../../../demo-data/sunflower-guess-rows.toml"),
    include_str!("../../../demo-data/wheat-borders-two-plots-abreast.toml"),
];

const COMMANDS: [&str; 28] = [
    "calibrate",
    "record",
    "apply",
    "check",
    "print",
    "explain",
    "speed",
    "spacing",
    "changeover",
    "rows",
    "trip",
    "alley",
    "setback-at",
    "passes",
    "guess-rows",
    "depth",
    "evenness",
    "stand",
    "new",
    "plan",
    "stakes",
    "packets",
    "history",
    "batch",
    "completions",
    "schema",
    "man",
    "help",
];

/// Words that stand behind a command: options with their values, files, kinds, pages, readings.
const WORDS: [&str; 118] = [
    "sheet.toml",
    "sheet.toml",
    "sheet.toml",
    "sheet.toml",
    "other.toml",
    "other.toml",
    "gone.toml",
    "folder",
    ".",
    "-",
    "--",
    "--brief",
    "--format",
    "text",
    "json",
    "csv",
    "geojson",
    "jsonl",
    "html",
    "--table",
    "settings",
    "plots",
    "marks",
    "--confidence",
    "95 %",
    "99%",
    "50",
    "100 %",
    "--without",
    "1",
    "2,3",
    "trip:3",
    "alley:1",
    "--set",
    "trial.alley=30 in",
    "trial.speed=3 mph",
    "settings.setback=14 in",
    "changeover.boost=40 cells/s",
    "a=",
    "=",
    "--jobs",
    "2",
    "-0",
    "--null",
    "--chart",
    "--ignore-chains",
    "--row-spacing",
    "30 in,15 in",
    "--from",
    "--to",
    "--step",
    "2 mph",
    "4 mph",
    "0.5 mph",
    "20 mph",
    "--tolerance",
    "1 in",
    "2 %",
    "--scatter",
    "trip",
    "alley",
    "pass",
    "row",
    "speed",
    "wheel",
    "guess-row",
    "depth",
    "stand",
    "spacing",
    "changeover",
    "--date",
    "2027-04-18",
    "2026-12-31",
    "2027-02-30",
    "tomorrow",
    "--note",
    "rain at noon",
    "--marks",
    "20 ft",
    "--commanded",
    "--readout",
    "--taped",
    "--heading",
    "out",
    "home",
    "--last-seed-to-mark",
    "--mark-to-first-seed",
    "--lead",
    "--row",
    "--ahead",
    "--course",
    "200 ft",
    "--times",
    "48.9 s",
    "12",
    "-1 1/2 in",
    "6",
    "5.5",
    "238.1",
    "--yes",
    "--dry-run",
    "--setting",
    "setback",
    "trip-scale",
    "--all",
    "--reason",
    "cab-card",
    "checklist",
    "run-form",
    "all",
    "report",
    "-o",
    "page.html",
    "--paper",
    "a4",
    "--units",
    "metric",
    "bash",
];

/// A word without a way out of the folder.
fn word(u: &mut Unstructured) -> Result<String> {
    if u.ratio(7, 8)? {
        return Ok((*u.choose(&WORDS)?).to_owned());
    }
    let length = u.int_in_range(0..=24)?;
    let any: String = (0..length).map(|_| u.arbitrary::<char>()).collect::<Result<_>>()?;
    Ok(any.replace(['/', '\\', '\0'], "").replace("..", "."))
}

fn words(u: &mut Unstructured) -> Result<Vec<String>> {
    let mut words = vec!["alleytrue".to_owned()];
    if u.ratio(1, 8)? {
        words.push("--ascii".to_owned());
    }
    let command = if u.ratio(15, 16)? { (*u.choose(&COMMANDS)?).to_owned() } else { word(u)? };
    // What every command starts with, mostly.
    let first: &[&str] = match command.as_str() {
        "setback-at" => &["2.5 mph", "sheet.toml"],
        "print" => &["cab-card", "sheet.toml"],
        "explain" | "completions" | "schema" | "man" | "new" | "help" => &[],
        _ => &["sheet.toml"],
    };
    let kind = ["trip", "alley", "pass", "row", "speed", "wheel", "guess-row", "depth", "stand"];
    let recorded = command == "record";
    words.push(command);
    if u.ratio(7, 8)? {
        words.extend(first.iter().map(|word| (*word).to_owned()));
        if recorded {
            words.push((*u.choose(&kind)?).to_owned());
        }
    }
    for _ in 0..u.int_in_range(0..=8)? {
        words.push(word(u)?);
    }
    Ok(words)
}

/// A sheet of the repository, whole, without some of its lines, or with some text put into it.
fn sheet(u: &mut Unstructured) -> Result<String> {
    let whole = *u.choose(&SHEETS)?;
    let mut lines: Vec<String> = whole.lines().map(str::to_owned).collect();
    for _ in 0..u.int_in_range(0..=4)? {
        let at = u.int_in_range(0..=lines.len().saturating_sub(1))?;
        let Some(line) = lines.get_mut(at) else { break };
        match u.int_in_range(0..=3)? {
            0 => line.clear(),
            1 => lines.truncate(at),
            2 => {
                let length = u.int_in_range(0..=12)?;
                let any: String =
                    (0..length).map(|_| u.arbitrary::<char>()).collect::<Result<_>>()?;
                let place = line.char_indices().map(|(place, _)| place).nth(at % 20).unwrap_or(0);
                line.insert_str(place, &any);
            }
            _ => {
                let digit = char::from(u.int_in_range(b'0'..=b'9')?);
                *line = line.replace(|c: char| c.is_ascii_digit(), &digit.to_string());
            }
        }
    }
    let end = if u.ratio(1, 8)? { "\r\n" } else { "\n" };
    Ok(lines.join(end) + end)
}

/// The folder that all runs are in.
fn folder() -> &'static Path {
    static FOLDER: OnceLock<PathBuf> = OnceLock::new();
    FOLDER.get_or_init(|| {
        let folder = tempfile::Builder::new().prefix("alleytrue-fuzz-").tempdir();
        let folder = folder.unwrap_or_else(|error| panic!("{error}")).keep();
        std::env::set_current_dir(&folder).unwrap_or_else(|error| panic!("{error}"));
        folder
    })
}

/// An empty folder with two sheets and a folder of one.
fn laid_out(sheets: &[String; 2]) {
    let done = || -> std::io::Result<()> {
        for entry in std::fs::read_dir(folder())? {
            let path = entry?.path();
            if path.is_dir() { std::fs::remove_dir_all(path)? } else { std::fs::remove_file(path)? }
        }
        std::fs::create_dir("folder")?;
        for (name, text) in ["sheet.toml", "other.toml"].iter().zip(sheets) {
            std::fs::write(name, text)?;
        }
        std::fs::write("folder/sheet.toml", &sheets[1])
    };
    done().unwrap_or_else(|error| panic!("{error}"));
}

fn reads(text: &str) -> bool {
    FieldSheet::read(&Source::new("sheet.toml", text)).is_ok()
}

fn ours_beside() -> Vec<String> {
    let entries = std::fs::read_dir(folder()).into_iter().flatten().flatten();
    let names = entries.map(|entry| entry.file_name().to_string_lossy().into_owned());
    names.filter(|name| name.starts_with(".alleytrue-")).collect()
}

fuzz_target!(|data: &[u8]| {
    let mut u = Unstructured::new(data);
    let Ok(words) = words(&mut u) else { return };
    let (Ok(one), Ok(other)) = (sheet(&mut u), sheet(&mut u)) else { return };
    let sheets = [one, other];
    laid_out(&sheets);
    let arguments = words.iter().map(OsString::from);
    let exit = Cli::of(arguments).map_or_else(|exit| exit, |cli| run(&cli));
    for (name, text) in ["sheet.toml", "other.toml"].iter().zip(&sheets) {
        let now = std::fs::read_to_string(name).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert!(now == *text || exit != Exit::CouldNot, "{words:?} failed and wrote {now}");
        assert!(now == *text || reads(&now), "{words:?} wrote what can't be read:\n{now}");
    }
    assert!(ours_beside().is_empty(), "{words:?} left {:?}", ours_beside());
});
