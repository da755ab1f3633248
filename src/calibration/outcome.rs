//! What a calculation hands over: one object that feeds every format.

use std::borrow::Cow;

use crate::working::{Step, Value, steps};

use super::setting::Verdict;
use super::{Decision, Judgement, Picture, SettingResult, Warning};

/// A calculation, by the key of its subcommand and its title.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Calculation {
    /// The subcommand.
    pub key: &'static str,
    /// Title in words.
    pub title: &'static str,
}

/// The result of one calculation.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// Which calculation.
    pub calculation: Calculation,
    /// Settings with their corrections.
    pub settings: Vec<SettingResult>,
    /// Other figures worth reading, in reading order.
    pub values: Vec<Value>,
    /// How sure the correction is.
    pub judgement: Option<Judgement>,
    /// Lists, such as the best sprockets.
    pub tables: Vec<Table>,
    /// What a picture says faster.
    pub pictures: Vec<Picture>,
    /// Remarks.
    pub warnings: Vec<Warning>,
    /// What protects the hands that carry the result to the machine.
    pub cautions: Vec<&'static Caution>,
    /// What to do if this is the next thing to put right; `None` where nothing is.
    pub next: Option<Next>,
}

impl Outcome {
    /// An outcome with nothing in it yet.
    #[must_use]
    pub fn new(calculation: Calculation) -> Self {
        Outcome {
            calculation,
            settings: vec![],
            values: vec![],
            judgement: None,
            tables: vec![],
            pictures: vec![],
            warnings: vec![],
            cautions: vec![],
            next: None,
        }
    }

    /// The lines of the working: everything the settings and values rest on.
    #[must_use]
    pub fn working(&self) -> Vec<Step> {
        let settings = self.settings.iter().flat_map(|setting| {
            setting.now.iter().chain([&setting.exact, &setting.set]).cloned().collect::<Vec<_>>()
        });
        let roots: Vec<Value> = self.values.iter().cloned().chain(settings).collect();
        steps(&roots)
    }

    /// Takes in how sure the correction is: its figures and its remarks.
    pub(super) fn judge(&mut self, judgement: Judgement) {
        self.values.extend(judgement.values());
        self.warnings.extend(judgement.warnings.iter().cloned());
        self.judgement = Some(judgement);
    }

    /// The step to take for the first setting that has to change, to be measured again, or to
    /// wait for what drifts, if there is one.
    #[must_use]
    pub fn setting_to_change(&self) -> Option<Next> {
        let open = |setting: &&SettingResult| {
            let drifts = self
                .judgement
                .as_ref()
                .is_some_and(|judgement| matches!(judgement.decision, Decision::Wait(_)));
            match setting.verdict {
                Verdict::Change(_) | Verdict::Measure(_) => true,
                Verdict::Wait(_) => drifts,
                Verdict::Keep(_) => false,
            }
        };
        let setting = self.settings.iter().find(open)?;
        let now = setting.now.as_ref().map_or_else(
            || "not set".to_owned(),
            |now| now.typed_text().map_or_else(|| with_unit(now), Cow::into_owned),
        );
        let instruction = match &setting.verdict {
            Verdict::Measure(reason) | Verdict::Wait(reason) => {
                format!("{}: {reason}", setting.name)
            }
            _ => format!(
                "set the {} to {} (now {now}), plant a test range and measure again",
                setting.name,
                with_unit(&setting.set)
            ),
        };
        Some(Next {
            calculation: self.calculation,
            setting: Some(setting.name.clone()),
            now: setting.now.clone(),
            set: Some(setting.set.clone()),
            instruction,
        })
    }
}

/// A number for a sentence, with its unit.
pub(super) fn in_words(value: &Value) -> String {
    numbered(crate::quantity::brief(value.number()), value)
}

/// A number as printed, with its unit.
pub(super) fn with_unit(value: &Value) -> String {
    numbered(crate::quantity::shown(value.number()), value)
}

fn numbered(number: String, value: &Value) -> String {
    let unit = value.unit_text();
    match unit.as_ref() {
        "" => number,
        unit if unit.starts_with('/') => [&number, unit].concat(),
        unit => [&number, " ", unit].concat(),
    }
}

/// The one thing to do next.
#[derive(Clone, Debug)]
pub struct Next {
    /// The calculation it comes from.
    pub calculation: Calculation,
    /// The setting to change, where it is one.
    pub setting: Option<String>,
    /// Its present value.
    pub now: Option<Value>,
    /// Its new value.
    pub set: Option<Value>,
    /// The step in words.
    pub instruction: String,
}

impl Next {
    /// A step that changes no setting by itself.
    pub(super) fn only(calculation: Calculation, instruction: impl Into<String>) -> Next {
        Next { calculation, setting: None, now: None, set: None, instruction: instruction.into() }
    }

    /// A step that changes no setting by itself, about something as it is now.
    pub(super) fn about(
        calculation: Calculation,
        now: &Value,
        instruction: impl Into<String>,
    ) -> Next {
        Next { now: Some(now.clone()), ..Next::only(calculation, instruction) }
    }
}

/// A caution with its source.
#[derive(Debug, PartialEq, Eq)]
pub struct Caution {
    /// What to do.
    pub text: &'static str,
    /// Where the rule stands.
    pub source: &'static str,
}

/// A list of alternatives.
#[derive(Clone, Debug)]
pub struct Table {
    /// Stable key, for programs.
    pub key: &'static str,
    /// What the list is.
    pub title: String,
    /// Heads, left to right.
    pub columns: Vec<Column>,
    /// One row per alternative.
    pub rows: Vec<Vec<Cell>>,
}

/// The head of a column.
#[derive(Clone, Debug)]
pub struct Column {
    /// Stable key, for programs, with the unit in it where there is one.
    pub key: String,
    /// Head as printed.
    pub head: String,
    /// Unit as printed under the head.
    pub unit: String,
}

impl Column {
    /// A column by its key, its head and its unit.
    #[must_use]
    pub fn new(key: impl Into<String>, head: impl Into<String>, unit: impl Into<String>) -> Column {
        Column { key: key.into(), head: head.into(), unit: unit.into() }
    }
}

/// One entry of a table.
#[derive(Clone, Debug)]
pub enum Cell {
    /// Words.
    Text(String),
    /// A whole number.
    Count(u32),
    /// A number, printed to so many decimals.
    Number(f64, usize),
    /// Nothing known.
    Empty,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{AreaUnit, Decimal, LengthUnit, Unit};

    #[test]
    fn a_rate_is_written_close_to_its_number_and_a_length_apart() {
        let value = |unit| Value::typed("one", Decimal::whole(139_000), unit);
        let per_acre = value(Unit::per_area(AreaUnit::Acre));
        assert_eq!(in_words(&per_acre), "139000/ac");
        assert_eq!(with_unit(&per_acre), "139000/ac");
        assert_eq!(in_words(&per_acre.counting("seeds")), "139000 seeds/ac");
        assert_eq!(in_words(&value(Unit::from(LengthUnit::Inch))), "139000 in");
        assert_eq!(in_words(&value(Unit::ONE)), "139000");
    }

    #[test]
    fn a_step_about_something_says_how_it_is_now_and_sets_nothing() {
        let now = Value::typed("seed spacing", Decimal::whole(2), Unit::from(LengthUnit::Inch));
        let step = Next::about(crate::calibration::spacing::CALCULATION, &now, "get others");
        assert_eq!(step.now.map(|now| now.number()), Some(2.0));
        assert!(step.setting.is_none() && step.set.is_none());
        assert_eq!(step.instruction, "get others");
    }
}
