//! The sheet of a season, and what the technician puts right in it.

#![allow(dead_code)] // each test program uses its own share

use alleytrue::outcome::Report;
use alleytrue::record::{ByHandWanted, Choice, NoChange, Wanted, choose};
use alleytrue::sheet::writing::{
    Correction, Given, KINDS, NewRun, WriteError, add_run, apply, apply_by_hand, correct,
};
use alleytrue::sheet::{FieldSheet, Source};
use toml_edit::{DocumentMut, Value};

/// A sheet as text, read anew whenever it is asked.
#[derive(Clone, Debug)]
pub struct Sheet(pub String);

/// A number as it is typed.
pub fn typed(number: f64) -> String {
    let text = format!("{number:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

pub fn numbers(all: &[f64]) -> Given {
    Given::List(all.iter().copied().map(typed).collect())
}

/// The day of a season: days of the year, from the first of April on.
pub fn date(day: usize) -> String {
    let months = [(4, 30), (5, 31), (6, 30), (7, 31)];
    let mut left = day;
    for (month, days) in months {
        if left < days {
            return format!("2027-{month:02}-{:02}", left + 1);
        }
        left -= days;
    }
    panic!("a season of {day} days");
}

impl Sheet {
    fn source(&self) -> Source {
        Source::new("season.toml", &self.0)
    }

    pub fn read(&self) -> FieldSheet {
        FieldSheet::read(&self.source())
            .unwrap_or_else(|mistakes| panic!("{mistakes:#?}\n{}", self.0))
    }

    pub fn report(&self) -> Report {
        self.read().calibrate(None).expect("no drive to search").report
    }

    pub fn record(&mut self, kind: &str, keys: Vec<(&'static str, Given)>, day: usize) {
        let kind = KINDS.iter().find(|one| one.name == kind).expect("a kind");
        let mut all = vec![("date", Given::Day(date(day)))];
        all.extend(keys);
        let run = NewRun { kind, keys: all };
        self.0 = add_run(&self.source(), &run).unwrap_or_else(|why| panic!("{why}\n{}", self.0));
    }

    /// What `apply` would change next.
    pub fn next_change(&self, report: &Report) -> Result<Vec<Wanted>, NoChange> {
        choose(report, &self.read().record, Choice::Next)
    }

    pub fn apply(&mut self, wanted: &[Wanted], day: usize) {
        let new = apply(&self.source(), &self.read(), wanted, &date(day), None);
        self.0 = new.unwrap_or_else(|why| panic!("{why}\n{}", self.0)).sheet;
    }

    pub fn apply_by_hand(&mut self, changes: &[ByHandWanted], day: usize) {
        let new = apply_by_hand(&self.source(), &self.read(), changes, &date(day), None);
        self.0 = new.unwrap_or_else(|why| panic!("{why}\n{}", self.0)).sheet;
    }

    fn edited(&mut self, edit: impl FnOnce(&mut DocumentMut)) {
        let mut document: DocumentMut = self.0.parse().expect("a sheet");
        edit(&mut document);
        self.0 = document.to_string();
    }

    /// Something put right that the sheet says.
    pub fn correct(&mut self, correction: &Correction, day: usize) -> bool {
        match correct(&self.source(), &self.read(), correction, &date(day), None) {
            Ok((text, _)) => self.0 = text.sheet,
            Err(WriteError::Refused(..)) => return false,
            Err(why) => panic!("{why}\n{}", self.0),
        }
        true
    }

    /// One reading of a run put right.
    pub fn mend(&mut self, table: &str, run: usize, list: &str, place: usize, reading: f64) {
        self.edited(|document| {
            let run = document[table].as_array_of_tables_mut().and_then(|all| all.get_mut(run));
            let list = run.and_then(|run| run[list].as_array_mut()).expect("readings");
            list.replace(place, typed(reading).parse::<Value>().expect("a number"));
        });
    }

    /// Runs of one kind taken out.
    pub fn drop_all(&mut self, table: &str) {
        self.edited(|document| {
            document.remove(table);
        });
    }
}
