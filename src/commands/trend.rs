//! `trend`: what sheets of one planter found over the years.

use std::collections::BTreeSet;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use crate::outcome::{Cell, Outcome, Report};
use crate::quantity::LengthUnit;
use crate::record::trend::{Asked, Sheet, meant, trend};
use crate::render::page::{self, Paper};
use crate::render::{Style, csv, diagnostics, harmless, json, text};
use crate::sheet::writing::{is_sheet, write_whole};
use crate::sheet::{FieldSheet, Source};
use crate::statistics::Confidence;

use super::batch::walk::{Found, Sheets};
use super::exit::Exit;
use super::opened::print_json;
use super::options::{On, confidence};
use super::output::{complain, say_done};

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Field sheets, folders of them (every `.toml`, folders in folders too), or `-` for a list of both
    /// on standard input, one a line.
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,
    /// The planter, as `name` in `[planter]` has it, or its file; that of most sheets without it.
    #[arg(long, value_name = "NAME")]
    planter: Option<String>,
    /// Form of the results.
    #[arg(long, value_enum)]
    format: Option<Form>,
    /// What to measure again and the table of the years only, without arithmetic and pictures.
    #[arg(long)]
    brief: bool,
    /// Which table to write as CSV: `trend` (that without it), `trend-points` or `trend-left-out`.
    #[arg(long, value_name = "KEY")]
    table: Option<String>,
    /// File to write the pages to; one that exists is replaced whole.
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Confidence of the slopes, such as 90% or 99%.
    #[arg(long, value_name = "PERCENT", default_value = "95%", value_parser = confidence)]
    confidence: Confidence,
    #[command(flatten)]
    on: On,
}

/// Form of the results.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Form {
    /// Text of at most 80 columns.
    Text,
    /// JSON for programs.
    Json,
    /// One table as CSV.
    Csv,
    /// Pages to open in a browser and print.
    Html,
}

/// A sheet that was read and worked out.
struct Opened {
    source: Source,
    sheet: FieldSheet,
    of_trend: Sheet,
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    if let Some(words) = wrong_usage(arguments) {
        complain(&words);
        return Ok(Exit::CouldNot);
    }
    let (opened, unusable) = read(&arguments.paths);
    let exit = if unusable.is_empty() { Exit::Done } else { Exit::CouldNot };
    let Some(newest) = newest(&opened) else {
        let names: Vec<String> =
            arguments.paths.iter().map(|path| harmless(&path.display().to_string())).collect();
        complain(&format!(
            "error: no sheet found in {}\nhelp: name sheets of several seasons, or folders that hold \
             them\n",
            names.join(", ")
        ));
        return Ok(Exit::CouldNot);
    };
    if let Some(words) = unknown_planter(&opened, arguments.planter.as_deref()) {
        complain(&words);
        return Ok(Exit::CouldNot);
    }
    let today = arguments.on.day();
    let (places, sheets): (Vec<(Source, FieldSheet)>, Vec<Sheet>) =
        opened.into_iter().map(|one| ((one.source, one.sheet), one.of_trend)).unzip();
    let outcome = trend(&Asked {
        sheets: &sheets,
        unusable,
        planter: arguments.planter.as_deref(),
        confidence: arguments.confidence,
        today: &today,
    });
    say_left_out(&outcome, style);
    let report = Report::of(vec![outcome]);
    let (source, sheet) = &places[newest];
    let planter = meant(&sheets, arguments.planter.as_deref());
    let own = sheets.iter().filter(|sheet| sheet.planter == planter).count();
    let planter = harmless(planter.as_deref().unwrap_or("one planter"));
    let title = format!("{planter} over the years");
    let file = match sheets.len() {
        1 => "one sheet".to_owned(),
        count if count == own => format!("{count} sheets"),
        count => format!("{own} of {count} sheets"),
    };
    match arguments.form() {
        Form::Text => {
            let heading = text::Heading { title: Some(&title), file: &file };
            let page = text::Page { heading, report: &report, remarks: &[], source };
            out.write_all(page.render(arguments.brief, style).as_bytes())?;
        }
        Form::Json => print_json(&json::document(source, sheet, &report), out)?,
        Form::Csv => {
            match csv::pick(&report, Some(arguments.table.as_deref().unwrap_or("trend"))) {
                Ok(table) => csv::table(&table, out)?,
                Err(error) => {
                    complain(&format!("error: {error}\nhelp: {}\n", error.advice()));
                    return Ok(Exit::CouldNot);
                }
            }
        }
        Form::Html => {
            let Some(outcome) = report.outcomes.first() else { return Ok(exit) };
            let text = html(outcome, &planter, &file, &today, sheet);
            match &arguments.output {
                Some(file) => return Ok(exit.max(to_file(file, &text, out))),
                None => out.write_all(text.as_bytes())?,
            }
        }
    }
    Ok(exit)
}

/// Why a planter that is asked for is none of the sheets', with those that are.
fn unknown_planter(opened: &[Opened], asked: Option<&str>) -> Option<String> {
    let asked = asked?;
    let names: BTreeSet<&str> =
        opened.iter().filter_map(|one| one.of_trend.planter.as_deref()).collect();
    if names.contains(asked) {
        return None;
    }
    let names: Vec<String> = names.into_iter().map(harmless).collect();
    let known = if names.is_empty() {
        "the sheets name no planter: give each the `name` of its own in [planter]".to_owned()
    } else {
        format!("the sheets are of: {}", names.join(", "))
    };
    Some(format!("error: no sheet is of a planter called {}\nhelp: {known}\n", harmless(asked)))
}

impl Arguments {
    /// As asked for; pages where a file is named for them.
    fn form(&self) -> Form {
        self.format.unwrap_or(if self.output.is_some() { Form::Html } else { Form::Text })
    }
}

fn wrong_usage(arguments: &Arguments) -> Option<String> {
    let say = |message: &str, help: &str| Some(format!("error: {message}\nhelp: {help}\n"));
    if arguments.table.is_some() && arguments.form() != Form::Csv {
        return say(
            "--table picks a table for CSV only",
            "add `--format csv`, or leave `--table` out",
        );
    }
    let output = arguments.output.as_deref()?;
    if arguments.form() != Form::Html {
        return say("-o is for pages", "leave `--format` out, or send the output on by `>`");
    }
    if is_sheet(output) {
        let name = harmless(&output.display().to_string());
        let message = format!("-o {name} would write over a field sheet");
        return say(&message, "give the pages a name of their own");
    }
    None
}

/// All sheets that can be used, and the others with the reason, which is also said at once.
fn read(paths: &[PathBuf]) -> (Vec<Opened>, Vec<(String, String)>) {
    let mut input = io::BufReader::new(io::stdin());
    let (mut opened, mut unusable) = (vec![], vec![]);
    let mut seen = BTreeSet::new();
    for found in Sheets::new(paths, &mut input, b'\n') {
        match found {
            // A sheet that is named twice is one sheet.
            Found::Sheet(path) if !seen.insert(path.canonicalize().unwrap_or(path.clone())) => {}
            Found::Sheet(path) => match open(&path) {
                Ok(one) => opened.extend(one),
                Err(words) => unusable.push((harmless(&path.display().to_string()), words)),
            },
            Found::Trouble(path, error) => {
                let name = path.display().to_string();
                let words = diagnostics::unreadable_in_one_line(&name, &error.into());
                complain(&format!("{words}\n"));
                unusable.push((harmless(&name), "it can't be read".into()));
            }
        }
    }
    (opened, unusable)
}

/// A sheet; nothing where the file is that of a planter.
fn open(path: &Path) -> Result<Option<Opened>, String> {
    let name = path.display().to_string();
    let source = Source::open(path).map_err(|error| {
        complain(&format!("{}\n", diagnostics::unreadable_in_one_line(&name, &error)));
        "it can't be read".to_owned()
    })?;
    let sheet = match FieldSheet::read(&source) {
        Ok(sheet) if sheet.record.runs.is_empty() && source.is_planter_file() => return Ok(None),
        Ok(sheet) => sheet,
        Err(_) if source.is_planter_file() => return Ok(None),
        Err(mistakes) => {
            complain(&format!("{}\n", diagnostics::in_one_line(&source, &mistakes)));
            return Err("it has mistakes".into());
        }
    };
    let standing = sheet.calibrate(None).map_err(|error| {
        complain(&format!("{}: error: {error}\n", harmless(&name)));
        "its drive can't be searched".to_owned()
    })?;
    let study = &sheet.facts.study;
    let file = source.shared_planter().map(|(file, _)| file.to_owned());
    let of_trend = Sheet {
        name: harmless(&name),
        planter: study.planter.clone().or(file),
        serial: study.serial.clone(),
        job: sheet.job.clone(),
        record: sheet.record.clone(),
        report: standing.report,
    };
    Ok(Some(Opened { source, sheet, of_trend }))
}

/// What is not in it, on standard error, whatever the form of the results.
fn say_left_out(outcome: &Outcome, style: Style) {
    let rows = outcome.tables.iter().filter(|table| table.key == "trend-left-out");
    for row in rows.flat_map(|table| &table.rows) {
        let [sheet, what, why] = [0, 1, 2].map(|place| match row.get(place) {
            Some(Cell::Text(text)) => text.as_str(),
            _ => "",
        });
        let words = format!("{sheet}, {what}: {why}");
        complain(&format!("{}\n", text::hanging("left out: ", &words, style)));
    }
}

/// The place of the sheet with the latest run, which has the say in what is of the paper.
fn newest(opened: &[Opened]) -> Option<usize> {
    let last = |one: &Opened| {
        one.of_trend.record.runs.iter().filter_map(|run| run.date.clone()).max().unwrap_or_default()
    };
    (0..opened.len()).max_by_key(|place| last(&opened[*place]))
}

fn html(outcome: &Outcome, title: &str, file: &str, today: &str, sheet: &FieldSheet) -> String {
    let inches = sheet.units.length == LengthUnit::Inch;
    let paper = if inches { Paper::Letter } else { Paper::A4 };
    page::html::render(&page::trend::document(outcome, title, file, today, paper))
}

fn to_file(file: &Path, text: &str, out: &mut dyn Write) -> Exit {
    let name = harmless(&file.display().to_string());
    if let Err(error) = write_whole(file, text.as_bytes()) {
        complain(&format!(
            "error: {name} can't be written: {error}\nhelp: check the folder and its rights\n"
        ));
        return Exit::CouldNot;
    }
    say_done(out, &format!("wrote {name}\n"), &format!("{name} is written"))
}
