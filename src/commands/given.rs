//! The sheet that a command is given, with what is set over it: one group of arguments, so that
//! every command that reads a sheet takes the same.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use crate::quantity::System;
use crate::render::Style;
use crate::sheet::{Diagnostic, Override, SetOver, Source};

use super::mistakes::{Failed, refuse, usage};
use super::opened::{Opened, open_with};

/// Variants beyond which nobody reads the table.
const MOST_VARIANTS: usize = 1000;

/// A field sheet, and values set over it.
#[derive(Clone, Debug, Args)]
pub struct GivenSheet {
    /// Field sheet.
    sheet: PathBuf,
    #[command(flatten)]
    overrides: Overrides,
}

/// Values set over those of the sheet.
#[derive(Clone, Debug, Args)]
pub struct Overrides {
    /// Value to set over that of the sheet, as in `trial.speed="3 mph"`, `trial.alley="75 cm"`;
    /// without a value the key is taken out. May be given several times. Several values, parted by
    /// commas, are worked out side by side: `trial.population=30000/ac,34000/ac`.
    #[arg(long = "set", value_name = "TABLE.KEY=VALUE")]
    set: Vec<SetOver>,
    /// Units of the results, whatever those of the sheet are.
    #[arg(long, value_enum)]
    units: Option<InUnits>,
}

/// A system of units on the command line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum InUnits {
    /// Centimetres, kilometres per hour, hectares.
    Metric,
    /// Inches, miles per hour, acres.
    Us,
}

impl From<InUnits> for System {
    fn from(units: InUnits) -> System {
        match units {
            InUnits::Metric => System::Metric,
            InUnits::Us => System::Us,
        }
    }
}

impl GivenSheet {
    /// Where the sheet is.
    pub(super) fn path(&self) -> &Path {
        &self.sheet
    }

    /// The sheet with one value for every key; prints its mistakes where it can't be used.
    pub(super) fn open(&self, style: Style) -> Result<Opened, Failed> {
        self.overrides.open(&self.sheet, style)
    }

    /// The sheet once for every value, or once for every combination where several keys have
    /// several values.
    pub(super) fn open_each(&self, style: Style) -> Result<Vec<Opened>, Failed> {
        self.overrides.open_each(&self.sheet, style)
    }
}

impl Overrides {
    /// The units that results are asked for in.
    pub(super) fn units(&self) -> Option<System> {
        self.units.map(System::from)
    }

    /// Whether a key has several values.
    pub(super) fn are_several(&self) -> bool {
        self.set.iter().any(|set| set.each().len() > 1)
    }

    /// One value for every key.
    pub(super) fn only(&self) -> Result<Vec<Override>, Diagnostic> {
        let one = |set: &SetOver| match set.each() {
            [one] => Ok(one.clone()),
            several => Err(usage(
                format!("--set gives {} values of `{}`", several.len(), several[0].key()),
                "give one here; `calibrate` and the calculations by themselves take several, one \
                 sheet at a time",
            )),
        };
        self.set.iter().map(one).collect()
    }

    /// A sheet with one value for every key.
    pub(super) fn open(&self, path: &Path, style: Style) -> Result<Opened, Failed> {
        match self.only() {
            Ok(set) => open_with(path, &set, self.units(), style),
            Err(wrong) => Err(refuse(&nameless(path), &[wrong], style)),
        }
    }

    /// A sheet once for every combination of values. Where one can't be used, none is.
    pub(super) fn open_each(&self, path: &Path, style: Style) -> Result<Vec<Opened>, Failed> {
        let count = self.set.iter().map(|set| set.each().len()).product::<usize>();
        if count > MOST_VARIANTS {
            let words = format!("--set asks for {count} combinations of values");
            let wrong = usage(words, format!("give values for {MOST_VARIANTS} at most"));
            return Err(refuse(&nameless(path), &[wrong], style));
        }
        let all = self.combinations();
        let opened: Vec<Result<Opened, Failed>> =
            all.iter().map(|set| open_with(path, set, self.units(), style)).collect();
        opened.into_iter().collect()
    }

    /// Every value of a key with every value of the others; the last key changes fastest.
    fn combinations(&self) -> Vec<Vec<Override>> {
        let longer = |all: Vec<Vec<Override>>, set: &SetOver| {
            let with = |before: &Vec<Override>| -> Vec<Vec<Override>> {
                let add = |one: &Override| [before.as_slice(), std::slice::from_ref(one)].concat();
                set.each().iter().map(add).collect()
            };
            all.iter().flat_map(with).collect()
        };
        self.set.iter().fold(vec![vec![]], longer)
    }

    /// The keys that have several values.
    pub(super) fn open_keys(&self) -> Vec<&str> {
        let several = self.set.iter().filter(|set| set.each().len() > 1);
        several.map(|set| set.each()[0].key()).collect()
    }
}

impl GivenSheet {
    /// The keys that have several values.
    pub(super) fn open_keys(&self) -> Vec<&str> {
        self.overrides.open_keys()
    }
}

/// The sheet by its name alone, for what is wrong whatever stands in it.
fn nameless(path: &Path) -> Source {
    Source::new(path.display().to_string(), "")
}

/// The same option where a sheet is written: nothing set by it would be kept.
#[derive(Clone, Debug, Default, Args)]
pub struct NotKept {
    /// What was to be set.
    #[arg(long = "set", value_name = "TABLE.KEY=VALUE", hide = true)]
    set: Vec<String>,
}

/// Why values set over a sheet are refused where it is written.
pub(super) const NOT_KEPT: &str = "--set asks what if, and would not be kept in the sheet";
/// What to do instead.
pub(super) const KEEP_IT: &str = "change a setting by `alleytrue apply SHEET --setting KEY=VALUE` and \
                                  anything else in an editor, or ask what if by `alleytrue calibrate`";

impl NotKept {
    /// What is wrong with it, where it was given.
    pub(super) fn wrong(&self) -> Option<Diagnostic> {
        (!self.set.is_empty()).then(|| usage(NOT_KEPT.into(), KEEP_IT))
    }
}
