//! The field sheet: TOML in, checked inputs out.
//!
//! [`FieldSheet::read`] parses the text with the place of every key and value kept, checks all
//! of it, and either hands over a [`Job`](crate::calculations::registry::Job) or every mistake it
//! found. One file per table of the sheet declares its keys and reads them; `reader` holds what
//! they share; `job` puts the tables together into the inputs of the calculations.

mod alley_run;
mod by_hand;
mod changeover;
mod changeover_list;
mod changeover_run;
mod checklist;
mod codes;
mod conditions;
mod depth_run;
mod diagnostic;
mod facts;
mod field_sheet;
mod file_beside;
mod file_text;
mod guess_row_run;
mod harvest;
mod harvest_run;
mod history;
mod job;
mod layout;
mod list_files;
mod lot;
mod meter_run;
mod one_wheel;
mod operating_point;
mod overrides;
mod packets;
mod pass_run;
mod placed;
mod planter;
mod planter_facts;
mod reader;
mod reference;
mod row_run;
mod row_units;
mod run;
mod run_up;
mod run_up_run;
pub mod schema;
mod settings;
mod several;
mod shared_planter;
mod slope;
mod source;
mod spacing_run;
mod speed_run;
mod stand_count;
pub mod starter;
mod study;
mod syntax;
mod time;
mod time_run;
mod top;
mod travel;
mod trial;
mod trip_run;
mod trip_source;
mod wheel_run;
mod with;
pub mod writing;
mod written;

use crate::outcome::Heading;
use crate::quantity::LengthUnit;
use crate::working::Units;

pub use codes::{ALL as CODES, Code, Level, NO_DATA, TOO_MANY_SPROCKETS, USAGE};
pub use diagnostic::{Diagnostic, MOST_MISTAKES};
pub use field_sheet::FieldSheet;
pub use file_text::{MOST_BYTES, MOST_PARTS, SourceError, Unreadable};
pub use overrides::Override;
pub use planter_facts::{Disagreement, disagreements, sharing};
pub use reference::{KeyEntry, TableEntry, tables};
pub use several::SetOver;
pub use source::{NewText, Part, Source};
pub use written::{WrittenRun, runs_as_written};

pub(crate) use reader::Hint;
use reader::{Keys, Reader, Section};

/// Declares which tables a sheet may have, each by the file that declares and reads its keys, and
/// how it is read: `always` where it counts as empty when it does not stand there, `once` where
/// it may be missing, `many` where there may be several, `run` where those are runs.
macro_rules! tables {
    ($($field:ident: $how:ident $file:ident;)+) => {
        /// Everything that may stand in a sheet, in the order in which it is read.
        static TOP: Keys = Keys {
            meaning: "What a research plot planter is set to, what was measured, and what is \
                      wanted.",
            list: &[&top::TITLE, &top::BARE_LENGTH, $(&$file::KEYS),+],
            ..Keys::ONCE
        };

        /// The tables of a sheet, read but not yet put together.
        #[derive(Debug, Default)]
        struct Tables {
            $($field: tables!(type $how $file),)+
            /// Every run, those set aside too, as far as the record goes.
            recorded: Vec<run::Recorded>,
            /// Which entry stands on which plot, where a list says so, with the places of its rows.
            plots: Option<Vec<(u32, u32, std::ops::Range<usize>)>>,
        }

        impl Tables {
            /// They are large, and handed on.
            fn read(reader: &mut Reader<'_>, top: &mut Section<'_>) -> Box<Tables> {
                let mut recorded = vec![];
                let mut tables = Box::new(Tables {
                    $($field: tables!(read $how $file, reader, top, recorded),)+
                    recorded: vec![],
                    plots: None,
                });
                tables.recorded = recorded;
                tables
            }

            /// Without the runs that are set aside.
            fn keep_used(&mut self, runs: &[crate::record::Run]) {
                $(tables!(keep $how $file, self.$field, runs);)+
            }
        }
    };
    (type always $file:ident) => { $file::Table };
    (type once $file:ident) => { Option<$file::Table> };
    (type $many:ident $file:ident) => { Vec<$file::Table> };
    (keep run $file:ident, $runs:expr, $record:ident) => {
        run::keep_used(&mut $runs, $file::KEYS.name, $record);
    };
    (keep $how:ident $file:ident, $table:expr, $record:ident) => {};
    (read always $file:ident, $reader:ident, $top:ident, $recorded:ident) => {
        $top.table($reader, &$file::KEYS, $file::read).unwrap_or_default()
    };
    (read once $file:ident, $reader:ident, $top:ident, $recorded:ident) => {
        $top.table($reader, &$file::KEYS, $file::read)
    };
    (read many $file:ident, $reader:ident, $top:ident, $recorded:ident) => {
        $top.tables($reader, &$file::KEYS, $file::read)
    };
    (read run $file:ident, $reader:ident, $top:ident, $recorded:ident) => {
        run::tables($reader, $top, &$file::KEYS, &mut $recorded, $file::read)
    };
}

tables! {
    study: always study;
    planter: always planter;
    trial: always trial;
    layout: once layout;
    settings: always settings;
    by_hand: always by_hand;
    conditions: always conditions;
    meter_runs: run meter_run;
    speed_runs: run speed_run;
    wheel_runs: run wheel_run;
    one_wheel: once one_wheel;
    trip_sources: many trip_source;
    row_units: once row_units;
    trip_runs: run trip_run;
    alley_runs: run alley_run;
    pass_runs: run pass_run;
    guess_row_runs: run guess_row_run;
    changeover: once changeover;
    changeover_runs: run changeover_run;
    row_runs: run row_run;
    depth_runs: run depth_run;
    spacing_runs: run spacing_run;
    stand_counts: run stand_count;
    run_up: once run_up;
    run_up_runs: run run_up_run;
    time: once time;
    time_runs: run time_run;
    harvest: once harvest;
    harvest_runs: run harvest_run;
    packets: once packets;
    lots: many lot;
    history: many history;
    checklist: always checklist;
}

impl Tables {
    /// Where all passes go out, leads and alleys of the other heading tell nothing of the trial.
    fn go_one_way(&mut self, reader: &mut Reader<'_>) {
        if !self.trial.one_way {
            return;
        }
        let mut remark = |span: &std::ops::Range<usize>, what: &str| {
            let message = format!("{what}, and every pass of this trial goes out: not used");
            let advice = "take `passes-go` out of [trial] where passes go both ways";
            reader.say(&codes::UNUSED_DATA, span.clone(), message, advice);
        };
        for run in &self.pass_runs {
            remark(&run.run.span, "leads are between passes that go opposite ways");
        }
        self.pass_runs.clear();
        for run in &self.guess_row_runs {
            remark(&run.run.span, "guess rows are told by the turns between passes");
        }
        self.guess_row_runs.clear();
        let home = |table: &alley_run::Table| {
            table.alleys.as_ref().is_some_and(|run| run.heading == Some(Heading::Home))
        };
        for run in self.alley_runs.iter().filter(|run| home(run)) {
            remark(&run.run.span, "these alleys were driven home");
        }
        self.alley_runs.retain(|run| !home(run));
    }

    /// The crew's units: those of `bare-length`, else those the trial is written in.
    fn units(&self, bare: Option<LengthUnit>) -> Units {
        use LengthUnit as L;
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
