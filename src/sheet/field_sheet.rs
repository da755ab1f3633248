//! The whole sheet, checked and put together.

use std::collections::BTreeSet;

use crate::calculations::registry::Job;
use crate::calculations::sprockets::SearchError;
use crate::forecast::{plan, rehearsal};
use crate::paper::Facts;
use crate::record::{self, Record, Standing};
use crate::working::Units;

use super::codes::{self, Level};
use super::diagnostic::{Diagnostic, MOST_MISTAKES};
use super::reader::{Reader, Section};
use super::source::{ListFile, Parsed, Source};
use super::syntax::{self, Syntax};
use super::{TOP, Tables, facts, job, list_files, packets, run, shared_planter, top};

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
    /// The trial as staked, for its rehearsal.
    pub rehearsal: rehearsal::Inputs,
    /// What the sheet lacks for its spacing to be worked out.
    pub spacing_lacks: Vec<&'static str>,
    /// Remarks that stop nothing, such as data that no calculation used.
    pub remarks: Vec<Diagnostic>,
    /// What it says, as typed, for paper.
    pub facts: Facts,
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
        let Parsed { document, errors, no_planter } = source.parse();
        let mut syntax = (!errors.is_empty()).then(|| syntax::explain(source.text(), &errors));
        let mut reader = Reader::new(source.whole());
        if let Some((place, why)) = no_planter {
            reader.say(&codes::PLANTER_FILE, place, why.message, why.advice);
        }
        if let Some(of_file) = shared_planter(source, &mut reader) {
            syntax = Some(match syntax {
                Some(own) => own.and(of_file),
                None => of_file,
            });
        }
        let mut section = Section::top(&document, &TOP);
        let title = section.read(&mut reader, &top::TITLE);
        reader.bare = section.read(&mut reader, &top::BARE_LENGTH);
        let mut tables = Tables::read(&mut reader, &mut section);
        section.finish(&mut reader);
        lists(source, &mut tables, &mut reader);
        let units = source.asked_units().map_or_else(|| tables.units(reader.bare), Units::of);
        let record = job::record(&tables);
        run::check_actions(&mut reader, &tables.recorded, tables.changeover.as_ref());
        run::remark_on_aside(&mut reader, &tables.recorded, &record);
        tables.keep_used(&record.runs);
        tables.go_one_way(&mut reader);
        run::remark_on_older(&mut reader, &tables.recorded, &record);
        run::remark_on_edited(&mut reader, tables.settings.span.clone(), &record);
        run::remark_on_other(&mut reader, &tables.recorded, &record);
        let mut facts = facts::facts(&tables, reader.bare, units);
        let plan = job::plan(&tables);
        let (job, spacing_lacks) = job::assemble(&tables, units, &record, &mut reader);
        let rehearsal = job::as_staked(&tables, job.stakes.as_deref());
        facts.has.speed_law = job.speed_law.is_some();
        let layout = job.stakes.as_deref();
        facts.other_spacing = layout.and_then(|layout| layout.other_spacings(&job.common));
        if let Some(syntax) = syntax {
            return Err(with_syntax(source.whole(), syntax, reader));
        }
        let mut said = reader.into_diagnostics();
        if units.is_metric() {
            said.iter_mut().for_each(Diagnostic::with_metric_examples);
        }
        let (mistakes, remarks): (Vec<_>, Vec<_>) =
            said.into_iter().partition(|one| one.code.level == Level::Error);
        if mistakes.is_empty() {
            Ok(FieldSheet {
                title,
                units,
                job,
                record,
                plan,
                rehearsal,
                spacing_lacks,
                remarks,
                facts,
            })
        } else {
            Err(mistakes)
        }
    }
}

impl FieldSheet {
    /// What the sheet has data for, and what of it holds on a day: the one judgement that every
    /// command prints. On no day, nothing is too old.
    ///
    /// # Errors
    ///
    /// [`SearchError`] where the drive has too many sprocket combinations to search.
    ///
    /// ```
    /// use alleytrue::sheet::{FieldSheet, Source, starter};
    /// let sheet = FieldSheet::read(&Source::new("sheet.toml", starter::US)).expect("a sheet");
    /// let standing = sheet.calibrate(Some("2027-04-20"))?;
    /// assert!(standing.report.next.is_some());
    /// # Ok::<(), alleytrue::calculations::sprockets::SearchError>(())
    /// ```
    pub fn calibrate(&self, on: Option<&str>) -> Result<Standing, SearchError> {
        Ok(record::standing(&self.record, self.job.calibrate()?, on))
    }
}

/// The lists that the sheet names in [packets]: lots, and the entries of plots.
fn lists(source: &Source, tables: &mut Tables, reader: &mut Reader<'_>) {
    let Some(packets) = &tables.packets else { return };
    let named = [(packets::LOTS.name, &packets.lots), (packets::PLOTS.name, &packets.plots)];
    let named = named.map(|(key, value)| value.clone().map(|value| (key, value)));
    for (key, value) in named.into_iter().flatten() {
        let same = |list: &&ListFile| list.key == key && list.named == value.value;
        match source.lists().iter().find(same).map(|list| (&list.file, list.place.start)) {
            Some((Ok(file), start)) if key == packets::LOTS.name => {
                let own = std::mem::take(&mut tables.lots);
                tables.lots = list_files::lots(reader, &file.text, start, &TOP);
                tables.lots.extend(own);
            }
            Some((Ok(file), start)) => {
                tables.plots = Some(list_files::plots(reader, &file.text, start));
            }
            Some((Err(why), _)) => list_files::not_read(reader, &value.span, why),
            None => list_files::not_read(reader, &value.span, &list_files::not_looked_up()),
        }
    }
}

/// Looks at the planter's file, where the sheet has one; what of it is not TOML.
fn shared_planter(source: &Source, reader: &mut Reader<'_>) -> Option<Syntax> {
    let (document, errors) = source.parse_planter()?;
    let place = source.planter_place()?;
    let bare = shared_planter::check(reader, place.start, &document);
    reader.bare_elsewhere = Some((place, bare));
    (!errors.is_empty()).then(|| syntax::explain(source.planter_alone().unwrap_or(""), &errors))
}

/// What is not TOML, and the mistakes in what could be read besides; nothing that rests on a
/// line which could not be read.
fn with_syntax(text: &str, syntax: Syntax, reader: Reader<'_>) -> Vec<Diagnostic> {
    let mut mistakes = syntax.mistakes;
    if !syntax.rest_holds {
        return mistakes;
    }
    let line = |one: &Diagnostic| {
        text.get(..one.span.start).and_then(|before| before.rfind('\n')).map_or(0, |at| at + 1)
    };
    let unread: BTreeSet<usize> = mistakes.iter().map(line).collect();
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
    mistakes.truncate(MOST_MISTAKES);
    mistakes
}
