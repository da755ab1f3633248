//! The field sheet: TOML in, checked inputs out.
//!
//! [`FieldSheet::read`] parses the text with the place of every key and value kept, checks all
//! of it, and either hands over a [`Job`] or every mistake it found. One
//! file per table of the sheet; `reader` holds what they share; `job` puts the tables
//! together into the inputs of the calculations.

mod alley_run;
mod changeover;
mod changeover_run;
mod checklist;
mod codes;
mod depth_run;
mod diagnostic;
mod facts;
mod history;
mod job;
mod layout;
mod lot;
mod operating_point;
mod overrides;
mod packets;
mod pass_run;
mod planter;
mod reader;
mod row_run;
mod run;
pub mod schema;
mod settings;
mod source;
mod spacing_run;
mod speed_run;
mod stand_count;
pub mod starter;
mod syntax;
mod trial;
mod trip_run;
mod wheel_run;
pub mod writing;

use std::ops::Range;

use crate::calculations::registry::Job;
use crate::forecast::plan;
use crate::paper::{Facts, OwnChecklist};
use crate::record::Record;
use crate::working::Units;

pub use codes::{ALL as CODES, Code, Level, NO_DATA, TOO_MANY_SPROCKETS, USAGE};
pub use diagnostic::Diagnostic;
pub use overrides::Override;
pub use source::{Source, SourceError, Unreadable};

/// Most mistakes and remarks kept of one sheet: nobody mends more in one go.
pub const MOST_MISTAKES: usize = reader::MOST;

use reader::{Reader, Section, root, text};

/// A field sheet that passed every check.
#[derive(Clone, Debug)]
pub struct FieldSheet {
    /// What the sheet calls itself.
    pub title: Option<String>,
    /// The units results are worked in.
    pub units: Units,
    /// The inputs of every calculation it has data for. They are large, and a sheet is handed on.
    pub job: Box<Job>,
    /// What was measured and changed when, and the operating point.
    pub record: Record,
    /// What a measurement plan starts from.
    pub plan: plan::Inputs,
    /// What the sheet lacks for its spacing to be worked out.
    pub spacing_lacks: Vec<&'static str>,
    /// Remarks that stop nothing, such as data that no calculation used.
    pub remarks: Vec<Diagnostic>,
    /// What it says, as typed, for paper.
    pub facts: Facts,
}

/// The whole sheet, read but not yet put together.
struct Top {
    title: Option<String>,
    checklist: OwnChecklist,
    /// Large, and handed on.
    tables: Box<Tables>,
}

impl Top {
    fn read(reader: &mut Reader<'_>, document: &reader::Document<'_>) -> Top {
        let mut top = Section::top(document).listed(reader);
        let title = top.optional(reader, "title", text);
        reader.bare = top.optional(reader, "bare-length", reader::unit);
        let tables = Tables::read(reader, &mut top);
        let checklist = top.table(reader, "checklist", checklist::read).unwrap_or_default();
        top.finish(reader);
        Top { title, checklist, tables }
    }
}

/// Every table of the sheet with its keys.
fn vocabulary() -> Vec<reader::Known> {
    let empty = Source::new("", "");
    Reader::vocabulary(|reader| {
        let (document, _) = root(&empty);
        Top::read(reader, &document);
    })
}

/// What is not TOML, and the mistakes in what could be read besides; nothing that rests on a
/// line which could not be read.
fn with_syntax(text: &str, syntax: reader::Syntax, reader: Reader<'_>) -> Vec<Diagnostic> {
    let mut mistakes = syntax.mistakes;
    if !syntax.rest_holds {
        return mistakes;
    }
    let line = |one: &Diagnostic| {
        text.get(..one.span.start).and_then(|before| before.rfind('\n')).map_or(0, |at| at + 1)
    };
    let unread: std::collections::BTreeSet<usize> = mistakes.iter().map(line).collect();
    let bare_unread = unread
        .iter()
        .any(|at| text.get(*at..).is_some_and(|l| l.trim_start().starts_with("bare-length")));
    let in_one_value = [
        &codes::UNKNOWN_KEY,
        &codes::WRONG_TYPE,
        &codes::BAD_MEASURE,
        &codes::DECIMAL_COMMA,
        &codes::NO_UNIT,
        &codes::OTHER_UNIT,
        &codes::NOT_FINITE,
        &codes::OUT_OF_RANGE,
        &codes::NOT_WHOLE,
        &codes::UNKNOWN_WORD,
    ];
    let rest = reader.into_diagnostics().into_iter().filter(|one| {
        in_one_value.contains(&one.code)
            && !(bare_unread && *one.code == codes::NO_UNIT)
            && !unread.contains(&line(one))
    });
    mistakes.extend(rest);
    mistakes.sort_by_key(|one| one.span.start);
    mistakes.truncate(reader::MOST);
    mistakes
}

/// The tables of a sheet, read but not yet put together.
#[derive(Debug, Default)]
struct Tables {
    planter: planter::Planter,
    trial: trial::Trial,
    layout: Option<layout::Table>,
    settings: settings::Settings,
    speed_runs: Vec<speed_run::Table>,
    wheel_runs: Vec<wheel_run::Table>,
    trip_runs: Vec<trip_run::Table>,
    alley_runs: Vec<alley_run::Table>,
    pass_runs: Vec<pass_run::Table>,
    changeover: Option<changeover::Table>,
    changeover_runs: Vec<changeover_run::Table>,
    row_runs: Vec<row_run::Table>,
    history: Vec<history::Table>,
    /// Every run, those out of date too, as far as the record goes.
    recorded: Vec<run::Recorded>,
    depth_runs: Vec<depth_run::Table>,
    spacing_runs: Vec<spacing_run::Table>,
    stand_counts: Vec<stand_count::Table>,
    packets: Option<packets::Table>,
    lots: Vec<lot::Table>,
}

impl FieldSheet {
    /// Reads and checks a sheet.
    ///
    /// # Errors
    ///
    /// Every mistake in the sheet, in the order of the file.
    ///
    /// ```
    /// use alleytrue::sheet::{FieldSheet, Source};
    /// let text = alleytrue::sheet::starter::US;
    /// let sheet = FieldSheet::read(&Source::new("sheet.toml", text)).expect("the starter sheet");
    /// assert!(sheet.job.trip.is_some());
    /// let wrong = FieldSheet::read(&Source::new("sheet.toml", "tittle = \"x\""));
    /// assert_eq!(wrong.expect_err("a wrong key")[0].code.name, "unknown-key");
    /// ```
    pub fn read(source: &Source) -> Result<FieldSheet, Vec<Diagnostic>> {
        let (document, syntax) = root(source);
        let mut reader = Reader::new(source.whole());
        let Top { title, checklist, tables } = Top::read(&mut reader, &document);
        let units = tables.units(reader.bare);
        let record = job::record(&tables);
        run::remark_on_older(&mut reader, &tables.recorded, &record);
        let made_for_other = run::remark_on_other(&mut reader, &tables.recorded, &record);
        let mut facts = facts::facts(&tables, checklist, reader.bare, units);
        let plan = job::plan(&tables);
        let (job, spacing_lacks) = job::assemble(&tables, units, made_for_other, &mut reader);
        facts.has.speed_law = job.speed_law.is_some();
        if let Some(syntax) = syntax {
            return Err(with_syntax(source.text(), syntax, reader));
        }
        let (mistakes, remarks): (Vec<_>, Vec<_>) =
            reader.into_diagnostics().into_iter().partition(|one| one.code.level == Level::Error);
        if mistakes.is_empty() {
            Ok(FieldSheet { title, units, job, record, plan, spacing_lacks, remarks, facts })
        } else {
            Err(mistakes)
        }
    }
}

impl Tables {
    fn read(reader: &mut Reader<'_>, top: &mut Section<'_>) -> Box<Tables> {
        let mut recorded = vec![];
        let runs = &mut recorded;
        let mut tables = Box::new(Tables {
            planter: top.table(reader, "planter", planter::read).unwrap_or_default(),
            trial: top.table(reader, "trial", trial::read).unwrap_or_default(),
            layout: top.table(reader, "layout", layout::read),
            settings: top.table(reader, "settings", settings::read).unwrap_or_default(),
            speed_runs: run::tables(reader, top, "speed-run", runs, speed_run::read),
            wheel_runs: run::tables(reader, top, "wheel-run", runs, wheel_run::read),
            trip_runs: run::tables(reader, top, "trip-run", runs, trip_run::read),
            alley_runs: run::tables(reader, top, "alley-run", runs, alley_run::read),
            pass_runs: run::tables(reader, top, "pass-run", runs, pass_run::read),
            changeover: top.table(reader, "changeover", changeover::read),
            changeover_runs: run::tables(reader, top, "changeover-run", runs, changeover_run::read),
            row_runs: run::tables(reader, top, "row-run", runs, row_run::read),
            depth_runs: run::tables(reader, top, "depth-run", runs, depth_run::read),
            spacing_runs: run::tables(reader, top, "spacing-run", runs, spacing_run::read),
            stand_counts: run::tables(reader, top, "stand-count", runs, stand_count::read),
            packets: top.table(reader, "packets", packets::read),
            lots: top.tables(reader, "lot", lot::read),
            history: top.tables(reader, "history", history::read),
            recorded: vec![],
        });
        run::remark_on_old(reader, &recorded);
        tables.recorded = recorded;
        tables
    }

    /// The crew's units: those of `bare-length`, else those the trial is written in.
    fn units(&self, bare: Option<crate::quantity::LengthUnit>) -> Units {
        use crate::quantity::LengthUnit as L;
        let written = [&self.trial.alley, &self.trial.plot, &self.planter.row_spacing];
        let unit = bare.or_else(|| written.into_iter().flatten().map(|l| l.value.unit()).next());
        let base = match unit {
            None | Some(L::Inch | L::Foot | L::Yard | L::Mile) => Units::US,
            Some(L::Millimetre) => Units { length: L::Millimetre, ..Units::METRIC },
            Some(L::Centimetre | L::Metre | L::Kilometre) => Units::METRIC,
        };
        Units { speed: self.trial.speed.as_ref().map_or(base.speed, |s| s.value.unit()), ..base }
    }
}

/// A value with its place in the sheet.
#[derive(Clone, Debug)]
struct Placed<T> {
    value: T,
    span: Range<usize>,
}
