//! Results for programs. Numbers carry full precision; every measure sits beside its unit.

use std::io::{self, Write};

use serde::Serialize;
use serde_json::{Map, Number, Value as Json, json};

use crate::outcome::Report;
use crate::outcome::{
    Adjustment, By, Cell, Expected, Group, Judgement, Next, Outcome, SettingResult, Singles, Table,
    Why,
};
use crate::sheet::{Diagnostic, FieldSheet, Source, SourceError};
use crate::working::Value;
use crate::working::{Precision, Step, plain_text};

/// A sheet with its results.
#[derive(Serialize)]
pub struct Document {
    sheet: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    set: Vec<String>,
    title: Option<String>,
    results: Vec<ResultObject>,
    remarks: Vec<WarningObject>,
    next: Option<NextObject>,
}

/// A sheet that could not be used, with why.
#[derive(Serialize)]
pub struct Failure {
    sheet: String,
    errors: Vec<ErrorObject>,
}

#[derive(Serialize)]
struct ResultObject {
    calculation: &'static str,
    settings: Vec<SettingObject>,
    values: Vec<ValueObject>,
    how_sure: Option<SureObject>,
    single_plots: Vec<SinglesObject>,
    #[serde(skip_serializing_if = "Map::is_empty")]
    tables: Map<String, Json>,
    working: Vec<StepObject>,
    warnings: Vec<WarningObject>,
    cautions: Vec<CautionObject>,
}

#[derive(Serialize)]
struct SettingObject {
    name: String,
    key: Option<String>,
    called: Option<String>,
    now: Option<Number>,
    set: Option<Number>,
    exact: Option<Number>,
    unit: String,
    verdict: &'static str,
    reason: String,
}

#[derive(Serialize)]
struct SureObject {
    reading: &'static str,
    readings: usize,
    means: Vec<Option<Number>>,
    sd: Option<Number>,
    sd_by_seed_spacing: Option<Number>,
    reading_unit: String,
    error_name: String,
    error: Option<Number>,
    standard_error: Option<Number>,
    low: Option<Number>,
    high: Option<Number>,
    tolerance: Option<Number>,
    error_unit: String,
    confidence_percent: Option<Number>,
}

#[derive(Serialize)]
struct SinglesObject {
    kind: &'static str,
    row: Option<u32>,
    limit: Option<Number>,
    limit_unit: String,
    limit_from: String,
    readings: usize,
    inside: usize,
    accept_percent: Option<Number>,
    best_percent_by_seed_spacing: Option<Number>,
    too_few: bool,
    why: Option<&'static str>,
    now: Option<ExpectedObject>,
    after_change: Option<ExpectedObject>,
    parted: Vec<GroupObject>,
}

#[derive(Serialize)]
struct ExpectedObject {
    change: Option<String>,
    share_percent: Option<Number>,
    low_percent: Option<Number>,
    high_percent: Option<Number>,
}

#[derive(Serialize)]
struct GroupObject {
    name: String,
    mean: Option<Number>,
    readings: usize,
    inside: usize,
}

#[derive(Serialize)]
struct ValueObject {
    name: String,
    value: Option<Number>,
    unit: String,
}

#[derive(Serialize)]
struct StepObject {
    name: String,
    formula: String,
    numbers: String,
    value: Option<Number>,
    unit: String,
}

#[derive(Serialize)]
struct WarningObject {
    code: &'static str,
    message: String,
}

#[derive(Serialize)]
struct CautionObject {
    text: &'static str,
    source: &'static str,
}

#[derive(Serialize)]
struct NextObject {
    calculation: &'static str,
    setting: Option<String>,
    now: Option<Number>,
    set: Option<Number>,
    unit: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    by_hand: Vec<AdjustmentObject>,
    instruction: String,
}

#[derive(Serialize)]
struct AdjustmentObject {
    key: String,
    by: Option<Number>,
    unit: Option<String>,
    words: Option<String>,
}

#[derive(Serialize)]
struct ErrorObject {
    code: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    file: Option<String>,
    line: Option<usize>,
    column: Option<usize>,
    message: String,
    found: Option<String>,
    allowed: Option<String>,
    advice: String,
}

/// Writes a document where something may follow it on the line.
///
/// # Errors
///
/// What the writer says.
pub fn harmless(document: &impl Serialize, out: &mut dyn Write) -> io::Result<()> {
    Ok(serde_json::to_writer(Harmless { out }, document)?)
}

/// Writes a document in one line.
///
/// # Errors
///
/// What the writer says.
pub fn line(document: &impl Serialize, out: &mut dyn Write) -> io::Result<()> {
    harmless(document, out)?;
    writeln!(out)
}

/// Writes a document over several lines.
///
/// # Errors
///
/// What the writer says.
pub fn pretty(document: &impl Serialize, out: &mut dyn Write) -> io::Result<()> {
    serde_json::to_writer_pretty(Harmless { out }, document)?;
    writeln!(out)
}

/// Writes characters that disturb a terminal as JSON escapes: the same text to a program. JSON
/// itself escapes only the first 32.
struct Harmless<'a> {
    out: &'a mut dyn Write,
}

impl Write for Harmless<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.write_all(bytes)?;
        Ok(bytes.len())
    }

    fn write_all(&mut self, bytes: &[u8]) -> io::Result<()> {
        let plain = |byte: &u8| (b' '..0x7f).contains(byte) || *byte == b'\n';
        let text = match std::str::from_utf8(bytes) {
            Ok(text) if !bytes.iter().all(plain) => text,
            _ => return self.out.write_all(bytes),
        };
        let mut rest = text;
        while let Some(at) = rest.find(|c| c != '\n' && super::is_harmful(c)) {
            let (before, from) = rest.split_at(at);
            self.out.write_all(before.as_bytes())?;
            let Some(harmful) = from.chars().next() else { break };
            write!(self.out, "\\u{:04x}", u32::from(harmful))?;
            rest = &from[harmful.len_utf8()..];
        }
        self.out.write_all(rest.as_bytes())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

/// The document of a sheet that was calculated.
#[must_use]
pub fn document(source: &Source, sheet: &FieldSheet, report: &Report) -> Document {
    Document {
        sheet: source.name().into(),
        set: source.overrides().map(|one| one.typed().to_owned()).collect(),
        title: sheet.title.clone(),
        results: report.outcomes.iter().map(|outcome| result(report, outcome)).collect(),
        remarks: sheet
            .remarks
            .iter()
            .map(|remark| WarningObject {
                code: remark.code.name,
                message: format!("{}; {}", remark.message, remark.advice),
            })
            .collect(),
        next: report.next.as_ref().map(next),
    }
}

/// The document of a sheet with mistakes.
#[must_use]
pub fn failure(source: &Source, mistakes: &[Diagnostic]) -> Failure {
    let errors = mistakes
        .iter()
        .map(|mistake| {
            let set = source.override_at(mistake.span.start);
            let place = set.is_none().then(|| source.line_and_column(mistake));
            let part = source.part_at(mistake.span.start);
            ErrorObject {
                code: mistake.code.name,
                file: (part.start > 0).then(|| part.name.to_owned()),
                line: place.map(|(line, _)| line),
                column: place.map(|(_, column)| column),
                message: set.map_or_else(
                    || mistake.message.clone(),
                    |set| format!("--set {set}: {}", mistake.message),
                ),
                found: Some(mistake.found.clone()),
                allowed: mistake.allowed.clone(),
                advice: mistake.advice.clone(),
            }
        })
        .collect();
    Failure { sheet: source.name().into(), errors }
}

/// The document of a file that is no readable text.
#[must_use]
pub fn unreadable(name: &str, error: &SourceError) -> Failure {
    let error = ErrorObject {
        code: error.code().name,
        file: None,
        line: None,
        column: None,
        message: error.to_string(),
        found: None,
        allowed: None,
        advice: error.code().meaning.into(),
    };
    Failure { sheet: name.into(), errors: vec![error] }
}

/// `None` where JSON has no such number; calculations on checked sheets don't get there.
fn number(value: f64) -> Option<Number> {
    Number::from_f64(value)
}

fn result(report: &Report, outcome: &Outcome) -> ResultObject {
    ResultObject {
        calculation: outcome.calculation.key,
        settings: outcome.settings.iter().map(|one| setting(report, one)).collect(),
        values: outcome.values.iter().map(value).collect(),
        how_sure: outcome.judgement.as_ref().map(sure),
        single_plots: outcome.singles.iter().map(singles).collect(),
        tables: outcome.tables.iter().map(|t| (t.key.to_owned(), table(t))).collect(),
        working: outcome.working().iter().map(step).collect(),
        warnings: outcome
            .warnings
            .iter()
            .map(|warning| WarningObject {
                code: warning.kind.code,
                message: warning.message.clone(),
            })
            .collect(),
        cautions: outcome
            .cautions
            .iter()
            .map(|caution| CautionObject { text: caution.text, source: caution.source })
            .collect(),
    }
}

fn setting(report: &Report, setting: &SettingResult) -> SettingObject {
    SettingObject {
        name: setting.name.clone(),
        key: setting.key.as_deref().map(str::to_owned),
        called: report.called(setting).map(str::to_owned),
        now: setting.now.as_ref().and_then(|now| number(now.number())),
        set: number(setting.set.number()),
        exact: number(setting.exact.number()),
        unit: setting.set.unit_text().into_owned(),
        verdict: setting.verdict.word(),
        reason: setting.verdict.reason().into(),
    }
}

fn sure(judgement: &Judgement) -> SureObject {
    let of = |value: &Value| number(value.number());
    let interval = judgement.interval.as_ref();
    SureObject {
        reading: judgement.subject,
        readings: judgement.count,
        means: judgement.means.iter().map(of).collect(),
        sd: judgement.sd.as_ref().and_then(of),
        sd_by_seed_spacing: judgement.jitter.as_ref().and_then(of),
        reading_unit: judgement
            .means
            .first()
            .map(Value::unit_text)
            .unwrap_or_default()
            .into_owned(),
        error_name: judgement.error.name().unwrap_or_default().into(),
        error: of(&judgement.error),
        standard_error: interval.and_then(|interval| of(&interval.standard_error)),
        low: interval.and_then(|interval| of(&interval.low)),
        high: interval.and_then(|interval| of(&interval.high)),
        tolerance: judgement.tolerance.as_ref().and_then(of),
        error_unit: judgement.error.unit_text().into_owned(),
        confidence_percent: number(judgement.confidence.fraction() * 100.0),
    }
}

fn singles(singles: &Singles) -> SinglesObject {
    let group = |group: &Group| GroupObject {
        name: group.name.clone(),
        mean: number(group.mean.number()),
        readings: group.count,
        inside: group.inside,
    };
    let after = singles.after.as_ref();
    SinglesObject {
        kind: singles.kind,
        row: singles.row,
        limit: number(singles.limit.number()),
        limit_unit: singles.limit.unit_text().into_owned(),
        limit_from: singles.limit_words.clone(),
        readings: singles.count,
        inside: singles.inside,
        accept_percent: number(singles.accept.number()),
        best_percent_by_seed_spacing: singles.best.and_then(number),
        too_few: singles.too_few(),
        why: singles.why.map(Why::word),
        now: singles.now.as_ref().map(|now| expected(None, now)),
        after_change: after.map(|(change, after)| expected(Some(change.clone()), after)),
        parted: singles.parted.iter().map(group).collect(),
    }
}

fn expected(change: Option<String>, expected: &Expected) -> ExpectedObject {
    let [low, high] = expected.ends();
    ExpectedObject {
        change,
        share_percent: number(expected.share.number()),
        low_percent: number(low.number()),
        high_percent: number(high.number()),
    }
}

fn value(value: &Value) -> ValueObject {
    ValueObject {
        name: value.name().unwrap_or_default().into(),
        value: number(value.number()),
        unit: value.unit_text().into_owned(),
    }
}

fn step(step: &Step) -> StepObject {
    StepObject {
        name: step.name().into(),
        formula: plain_text(&step.formula()),
        numbers: plain_text(&step.numbers(Precision::Full)),
        value: number(step.value().number()),
        unit: step.value().unit_text().into_owned(),
    }
}

fn next(next: &Next) -> NextObject {
    NextObject {
        calculation: next.calculation.key,
        setting: next.setting.clone(),
        now: next.now.as_ref().and_then(|now| number(now.number())),
        set: next.set.as_ref().and_then(|set| number(set.number())),
        unit: next.set.as_ref().map(|set| set.unit_text().into_owned()),
        by_hand: next.by_hand.iter().map(adjustment).collect(),
        instruction: next.instruction.clone(),
    }
}

fn adjustment(one: &Adjustment) -> AdjustmentObject {
    let (by, words) = match &one.by {
        By::Number(by) => (Some(by), None),
        By::Words(words) => (None, Some(words.clone())),
    };
    AdjustmentObject {
        key: one.what.key(),
        by: by.and_then(|by| number(by.number())),
        unit: by.map(|by| by.unit_text().into_owned()),
        words,
    }
}

fn table(table: &Table) -> Json {
    let row = |row: &Vec<Cell>| -> Map<String, Json> {
        let cell = |cell: &Cell| match cell {
            Cell::Text(text) => json!(text),
            Cell::Count(count) => json!(count),
            Cell::Number(value, _) => json!(value),
            Cell::Empty => Json::Null,
        };
        table.columns.iter().zip(row).map(|(column, c)| (column.key.clone(), cell(c))).collect()
    };
    table.rows.iter().map(row).map(Json::Object).collect()
}
