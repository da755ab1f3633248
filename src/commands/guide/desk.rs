//! What a conversation has before it: the sheet as it is on the disk now, and its results.

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

use crate::forecast::looks::{self, Looks};
use crate::outcome::Report;
use crate::render::{Style, diagnostics};
use crate::sheet::writing::ReplaceError;
use crate::sheet::{FieldSheet, Source, SourceError};

use super::super::changed::{Ended, until_nobody_else};
use super::super::exit::Exit;
use super::super::mistakes::{refuse, refuse_file};
use super::super::one_calculation::too_many;
use super::super::options::Readings;
use super::super::output::complain;
use super::halt::{Going, Halt};
use super::kept::{Beside, Kept, NotKept};
use super::lines::Talk;

/// The desk.
pub(super) struct Desk {
    /// The sheet's file.
    pub(super) path: PathBuf,
    /// The day of what is written.
    pub(super) day: String,
    /// Who measures and sets.
    pub(super) by: Option<String>,
    /// Which readings count, and how sure each look is.
    pub(super) readings: Readings,
    /// Looks that were taken at questions still open, by the keys of their calculations.
    pub(super) open: BTreeMap<&'static str, usize>,
    /// The headings of alleys that were measured since the last change.
    pub(super) headings: BTreeSet<String>,
    /// The file beside the sheet, with what the sheet lacks.
    pub(super) beside: Beside,
    /// The text of the sheet as it was read or written here last.
    seen: Option<String>,
}

/// A sheet that was read.
pub(super) struct Read {
    /// Its text.
    pub(super) source: Source,
    /// What it says.
    pub(super) sheet: FieldSheet,
}

impl Desk {
    /// Of a sheet, before it is read.
    pub(super) fn new(
        path: PathBuf,
        beside: Beside,
        day: String,
        by: Option<String>,
        without: Readings,
    ) -> Desk {
        let readings = Readings { confidence: looks::confidence(), ..without };
        Desk {
            path,
            day,
            by,
            readings,
            open: BTreeMap::new(),
            headings: BTreeSet::new(),
            beside,
            seen: None,
        }
    }

    /// The name of the sheet, for messages.
    pub(super) fn name(&self) -> String {
        self.path.display().to_string()
    }

    /// Reads the sheet. Where somebody else has written to it meanwhile, that is said; where it
    /// can't be read any more, it is waited for.
    pub(super) fn read(&mut self, talk: &mut Talk<'_>) -> Going<Read> {
        loop {
            let words = match self.attempt(talk.style) {
                Ok(read) => {
                    self.look_for_others(&read.source, talk)?;
                    return Ok(read);
                }
                Err(words) => words,
            };
            talk.flush()?;
            complain(&words);
            if self.seen.is_none() {
                return Err(Halt::Failed(Exit::CouldNot));
            }
            let prompt = "mend the sheet, then Enter";
            talk.ask(prompt, "the sheet is read again; what was typed here is kept")?;
        }
    }

    fn attempt(&self, style: Style) -> Result<Read, String> {
        let unreadable = |error: SourceError| diagnostics::unreadable(&self.name(), &error, style);
        let source = Source::open(&self.path).map_err(unreadable)?;
        match FieldSheet::read(&source) {
            Ok(sheet) => Ok(Read { source, sheet }),
            Err(mistakes) => Err(diagnostics::mistakes(&source, &mistakes, style)),
        }
    }

    fn look_for_others(&mut self, source: &Source, talk: &mut Talk<'_>) -> Going<()> {
        if self.seen.as_ref().is_some_and(|seen| seen != source.whole()) {
            let words =
                format!("{} was changed by another program, and is read again", self.name());
            talk.say("  ", &words)?;
        }
        self.seen = Some(source.whole().to_owned());
        Ok(())
    }

    /// Its results with the one next step, each interval as sure as a look asks for.
    pub(super) fn report(&self, read: &mut Read, talk: &mut Talk<'_>) -> Going<Report> {
        let Read { source, sheet } = read;
        let applied = self.readings.apply(&mut sheet.job, None);
        let report = applied
            .and_then(|()| sheet.calibrate(Some(&self.day)).map_err(|error| too_many(&error)));
        match report {
            Ok(standing) => Ok(standing.report),
            Err(mistake) => {
                talk.flush()?;
                refuse(source, &[mistake], talk.style);
                Err(Halt::Failed(Exit::CouldNot))
            }
        }
    }

    /// Writes to the sheet; whether it did. Why not is said by then.
    pub(super) fn write(
        &mut self,
        talk: &mut Talk<'_>,
        change: impl Fn() -> Result<Ended, ReplaceError>,
    ) -> Going<bool> {
        // What others wrote is told apart from what is written here.
        self.read(talk)?;
        talk.flush()?;
        match until_nobody_else(change) {
            Ok(Ended::Written { .. }) => {
                self.seen = Source::open(&self.path).ok().map(|source| source.whole().to_owned());
                Ok(true)
            }
            Ok(Ended::Shown(page)) => talk.print(&page).map(|()| false).map_err(Halt::from),
            Ok(Ended::Refused(_)) => Ok(false),
            Err(error) => {
                refuse_file(&self.path, &error, talk.style);
                Ok(false)
            }
        }
    }

    /// Keeps what was typed; where that fails, nothing more is asked that would be lost.
    pub(super) fn keep(&mut self, kept: &Kept, talk: &mut Talk<'_>) -> Going<()> {
        keep(&mut self.beside, kept, talk)
    }

    /// The looks at a question, of which some may have been taken at an earlier run.
    pub(super) fn looks(&self, calculation: &str) -> Looks {
        let taken = self.open.get(calculation).copied().unwrap_or_default();
        Looks { taken, ..Looks::default() }
    }
}

/// Keeps what was typed beside a sheet.
pub(super) fn keep(beside: &mut Beside, kept: &Kept, talk: &mut Talk<'_>) -> Going<()> {
    beside.keep(kept).map_err(|why| {
        let _ = talk.flush();
        complain(&match why {
            NotKept::Another => {
                "error: another `guide` works on this sheet, and keeps what is typed there\n\
                 help: go on in that one, or end it first; the last answer here is not kept\n"
                    .to_owned()
            }
            NotKept::Io(error) => format!(
                "error: what was typed can't be kept beside the sheet: {error}\n\
                 help: look at the rights of the folder and the room on the disk, and begin again\n"
            ),
        });
        Halt::Failed(Exit::CouldNot)
    })
}
