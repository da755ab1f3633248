//! `print`: pages for the shop and the field.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};
use clap::{Args, ValueEnum};

use crate::calculations::registry::Job;
use crate::calculations::sprockets::SearchError;
use crate::calculations::{Calculate, packets, spacing, stakes};
use crate::forecast::plan;
use crate::outcome::{Outcome, Table};
use crate::quantity::LengthUnit;
use crate::render::page::{self, Document, Kind, LabelSheet, Material, Paper};
use crate::render::{Style, harmless};
use crate::sheet::writing::{is_sheet, write_whole};
use crate::sheet::{Diagnostic, FieldSheet, runs_as_written};

use super::dates::{day, today};
use super::exit::Exit;
use super::given::GivenSheet;
use super::mistakes::{no_data, refuse, usage};
use super::one_calculation::too_many;
use super::opened::Opened;
use super::options::Readings;
use super::output::{complain, say_done};
use super::rehearse;

/// Arguments of the subcommand.
#[derive(Debug, Args)]
pub struct Arguments {
    /// What to print.
    #[arg(value_parser = pages())]
    page: Pages,
    #[command(flatten)]
    sheet: GivenSheet,
    /// File to write; one that exists is replaced whole. Without it: standard output.
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Form of the pages; by the name of the file where it is left out, else text.
    #[arg(long, value_enum)]
    format: Option<Form>,
    /// Size of the paper; letter for a sheet in feet and inches, A4 for a metric one.
    #[arg(long, value_parser = papers())]
    paper: Option<Paper>,
    /// Date on the pages; today where it is left out.
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    date: Option<String>,
    /// On the rehearsal: with the next changes made.
    #[arg(long)]
    after: bool,
    /// Sheet of labels by its dimensions, such as "3x8, 70 mm x 37 mm" or "3x10, 2 5/8 in x 1 in, left
    /// 3/16 in, top 1/2 in, gap 1/8 in"; these two are the usual ones for A4 and letter.
    #[arg(long, value_name = "DIMENSIONS")]
    label_sheet: Option<String>,
    /// Cab card of half a page, for a pocket or the windscreen.
    #[arg(long)]
    half: bool,
    #[command(flatten)]
    readings: Readings,
}

/// The pages asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Pages {
    /// Those of one kind.
    Only(Kind),
    /// All that the sheet has something for.
    All,
}

/// Every kind of page by its name, and all of them.
fn pages() -> impl TypedValueParser<Value = Pages> {
    let named = Kind::ALL.map(|kind| PossibleValue::new(kind.name()).help(kind.about()));
    let all = PossibleValue::new("all").help("All of these that the sheet has something for");
    PossibleValuesParser::new(named.into_iter().chain([all])).map(|name| {
        let kind = Kind::ALL.into_iter().find(|kind| kind.name() == name);
        kind.map_or(Pages::All, Pages::Only)
    })
}

/// Every size of paper by its name.
fn papers() -> impl TypedValueParser<Value = Paper> {
    let named = Paper::ALL.map(|paper| PossibleValue::new(paper.option()).help(paper.about()));
    PossibleValuesParser::new(named).map(|name| {
        let paper = Paper::ALL.into_iter().find(|paper| paper.option() == name);
        paper.unwrap_or(Paper::Letter)
    })
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Form {
    /// One file to open in a browser and print.
    Html,
    /// Text of at most 80 columns.
    Text,
}

/// Runs the subcommand.
///
/// # Errors
///
/// What the operating system says when output can't be written.
pub fn run(arguments: &Arguments, style: Style, out: &mut dyn Write) -> io::Result<Exit> {
    let Ok(mut opened) = arguments.sheet.open(style) else { return Ok(Exit::CouldNot) };
    if let Some(file) = arguments.output.as_deref().filter(|file| is_sheet(file)) {
        let message = format!("-o {} would write over a field sheet", file.display());
        refuse(&opened.source, &[usage(message, "give the pages a name of their own")], style);
        return Ok(Exit::CouldNot);
    }
    let document = match document(arguments, &mut opened) {
        Ok(document) => document,
        Err(mistake) => {
            refuse(&opened.source, &[mistake], style);
            return Ok(Exit::CouldNot);
        }
    };
    let text = match form(arguments) {
        Form::Text => page::plain::render(&document, style),
        Form::Html => page::html::render(&document),
    };
    match &arguments.output {
        None => out.write_all(text.as_bytes())?,
        Some(file) => return Ok(to_file(file, &text, out)),
    }
    Ok(Exit::Done)
}

/// As asked for; else by the name of the file; else text, which a terminal can show.
fn form(arguments: &Arguments) -> Form {
    let named = arguments.output.as_deref().and_then(Path::extension).is_some_and(|extension| {
        extension.eq_ignore_ascii_case("html") || extension.eq_ignore_ascii_case("htm")
    });
    arguments.format.unwrap_or(if named { Form::Html } else { Form::Text })
}

fn document(arguments: &Arguments, opened: &mut Opened) -> Result<Document, Diagnostic> {
    arguments.readings.apply(&mut opened.sheet.job, None)?;
    let sheet = &opened.sheet;
    let date = arguments.date.clone().unwrap_or_else(today);
    let standing = sheet.calibrate(Some(&date)).map_err(|error| too_many(&error))?;
    let report = standing.report.one_at_a_time();
    let planned = plan::plan(&sheet.plan, &sheet.job);
    let chart = chart(sheet);
    let stakes = staked(&sheet.job).map_err(|error| too_many(&error))?;
    let packets =
        sheet.job.packets.as_deref().map(|inputs| packets::pack(inputs, &sheet.job.common));
    let kinds = kinds(arguments.page, sheet)?;
    let rehearsed = match is_rehearsed(&kinds, sheet) {
        true => Some(rehearse::usual(sheet, &planned, arguments.after, &date)?),
        false => None,
    };
    // On paper the folder says nothing.
    let name = opened.source.name();
    let file = arguments.sheet.path().file_name();
    let file = file.map_or(name.into(), |name| name.to_string_lossy());
    // Whoever finds the page must see that it is not all of the sheet.
    let file = opened.source.name_with_overrides().replacen(name, &file, 1);
    // Only the report has them.
    let reported = kinds.contains(&Kind::Report);
    let written = if reported { runs_as_written(&opened.source) } else { vec![] };
    let sums = if reported { opened.source.sums() } else { vec![] };
    let paper = paper(arguments, sheet);
    let labels = arguments.label_sheet.as_deref().map(|typed| LabelSheet::parse(typed, paper));
    let labels = labels.transpose().map_err(|why| {
        usage(format!("--label-sheet: {why}"), "`alleytrue explain packets` has examples")
    })?;
    let material = Material {
        labels,
        sheet,
        written: &written,
        sums: &sums,
        file: &file,
        source: &opened.source,
        date: &date,
        report: &report,
        plan: Some(&planned),
        stakes: stakes.as_ref(),
        packets: packets.as_ref(),
        rehearsal: rehearsed.as_ref().map(|rehearsed| &rehearsed.outcome),
        chart: chart.as_ref().map_err(String::as_str),
        half: arguments.half,
        remarks: &sheet.remarks,
    };
    Ok(page::document(&kinds, &material, paper))
}

/// The stakes, with the remarks of what is shown by the same command.
fn staked(job: &Job) -> Result<Option<Outcome>, SearchError> {
    let Some(inputs) = job.stakes.as_deref() else { return Ok(None) };
    let mut outcome = stakes::stakes(inputs, &job.common);
    let shown = |one: &&dyn Calculate| one.entry().command == stakes::ENTRY.command;
    let beside = |one: &&dyn Calculate| one.entry().calculation != stakes::CALCULATION;
    for one in job.inputs().filter(shown).filter(beside) {
        for other in one.alone(&job.common)? {
            outcome.warnings.extend(other.warnings);
        }
    }
    Ok(Some(outcome))
}

/// Whether a page says how the trial would come out: its own, and the report of who asks for single
/// plots.
fn is_rehearsed(kinds: &[Kind], sheet: &FieldSheet) -> bool {
    let asks = || sheet.job.common.limits.of_single_plots() && rehearse::cannot(sheet).is_none();
    kinds.contains(&Kind::Rehearsal) || kinds.contains(&Kind::Report) && asks()
}

fn paper(arguments: &Arguments, sheet: &FieldSheet) -> Paper {
    let usual = if sheet.units.length == LengthUnit::Inch { Paper::Letter } else { Paper::A4 };
    arguments.paper.unwrap_or(usual)
}

/// The pages asked for; of all those that the sheet has something for.
fn kinds(pages: Pages, sheet: &FieldSheet) -> Result<Vec<Kind>, Diagnostic> {
    match pages {
        Pages::Only(kind) => lacks(kind, sheet).map_or(Ok(vec![kind]), Err),
        Pages::All => {
            // A rehearsal takes a second or two, and is for who asks for single plots.
            let asks =
                |kind: &Kind| *kind != Kind::Rehearsal || sheet.job.common.limits.of_single_plots();
            let all = Kind::ALL.into_iter().filter(|kind| lacks(*kind, sheet).is_none());
            // Labels go on paper of their own.
            Ok(all.filter(asks).filter(|kind| *kind != Kind::Labels).collect())
        }
    }
}

/// What the sheet lacks for labels.
fn cannot_label(sheet: &FieldSheet) -> Option<Diagnostic> {
    match &sheet.job.packets {
        None => Some(no_data(packets::ENTRY.lacks, packets::ENTRY.advice)),
        Some(inputs) if inputs.plan.is_none() => {
            Some(no_data("[layout], by which packets are put in order", "add a [layout]"))
        }
        Some(_) => None,
    }
}

/// What the sheet lacks for a page.
fn lacks(kind: Kind, sheet: &FieldSheet) -> Option<Diagnostic> {
    let has_chart = sheet.job.spacing.is_some() && !sheet.facts.sprockets.is_empty();
    match kind {
        Kind::Stakes if sheet.job.stakes.is_none() => {
            Some(no_data(stakes::ENTRY.lacks, stakes::ENTRY.advice))
        }
        Kind::Labels => cannot_label(sheet),
        Kind::Rehearsal => rehearse::cannot(sheet),
        Kind::SpacingChart if !has_chart => {
            let lacks = match sheet.spacing_lacks.as_slice() {
                [] => "[[planter.drive]] with its sprockets".to_owned(),
                lacks => lacks.join("; "),
            };
            Some(no_data("sprockets to chart", format!("add {lacks}")))
        }
        _ => None,
    }
}

/// Every sprocket position, or why they are not listed.
fn chart(sheet: &FieldSheet) -> Result<Table, String> {
    let Some(inputs) = &sheet.job.spacing else { return Err("the sheet has no drive".into()) };
    match spacing::chart(inputs, &sheet.job.common) {
        Ok(Some(table)) => Ok(table),
        Ok(None) => Err("the sheet has no chains".into()),
        Err(error) => Err(format!("{error}; the best of them stand here")),
    }
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
