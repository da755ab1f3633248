//! The first page of a report: what it is about, what is in force, what holds, who signs.

use crate::calculations::limits::Source;
use crate::outcome::{SettingResult, Verdict};
use crate::record::{Checked, check};
use crate::render::page::blocks::{Block, Grid};
use crate::render::page::in_force::{InForce, in_force};
use crate::render::page::material::Material;
use crate::render::{harmless, text};

/// What the report is about.
pub(super) fn identity(material: &Material<'_>) -> Block {
    let study = &material.sheet.facts.study;
    let listed = |all: &[String]| (!all.is_empty()).then(|| all.join("; "));
    let all = [
        ("Study number", study.number.clone()),
        ("Field", study.field.clone()),
        ("Planter", study.planter.clone()),
        ("Serial number", study.serial.clone()),
        ("Tapes", listed(&study.tapes)),
        ("Watches", listed(&study.watches)),
        ("Sheet", Some(material.file.to_owned())),
        ("Program", Some(format!("alleytrue {}", env!("CARGO_PKG_VERSION")))),
    ];
    // What the sheet does not say is written in by hand.
    let blank = || "________________".to_owned();
    let fact = |(name, text): (&str, Option<String>)| {
        (name.to_owned(), text.map_or_else(blank, |text| harmless(&text)))
    };
    Block::Facts(all.into_iter().map(fact).collect())
}

/// All that is in force, what is to become of it, and how far it can be trusted.
pub(super) fn settings(material: &Material<'_>) -> Option<Block> {
    let all = in_force(material);
    let results: Vec<&SettingResult> =
        material.report.outcomes.iter().flat_map(|outcome| &outcome.settings).collect();
    let row = |one: &InForce| {
        let result = results.iter().find(|result| result.name == one.name);
        let set = match result.map(|result| &result.verdict) {
            Some(Verdict::Change(_)) => result.map(|result| text::as_typed_before(result)),
            _ => None,
        };
        let why = result.map_or_else(|| "not measured".to_owned(), |result| words(&result.verdict));
        vec![one.full_name(), one.now.clone(), set.unwrap_or_else(|| "-".into()), why]
    };
    let head = |text: &str| (text.to_owned(), String::new());
    (!all.is_empty()).then(|| {
        Block::Grid(Grid {
            title: "Settings in force".into(),
            heads: ["setting", "now", "set", "verdict"].map(head).into(),
            rows: all.iter().map(row).collect(),
            words: vec![0, 3],
            strong: Some(1),
            ..Grid::default()
        })
    })
}

fn words(verdict: &Verdict) -> String {
    harmless(&match verdict {
        Verdict::Keep(reason) => format!("keep: {reason}"),
        Verdict::Wait(reason) => format!("wait: {reason}"),
        Verdict::Change(reason) | Verdict::Measure(reason) | Verdict::Cause(reason) => {
            reason.clone()
        }
    })
}

/// What is good enough.
pub(super) fn tolerances(material: &Material<'_>) -> Vec<Block> {
    let facts = &material.sheet.facts;
    let each = facts.tolerances.iter().map(|(what, text)| ((*what).into(), harmless(text)));
    let all: Vec<(String, String)> = each.chain(limits(material)).collect();
    match all.is_empty() {
        true => vec![],
        false => vec![Block::Heading("Tolerances and limits".into()), Block::Facts(all)],
    }
}

/// How far off a single one may be, where the sheet says so by itself: else the tolerance serves.
fn limits<'a>(material: &'a Material<'_>) -> impl Iterator<Item = (String, String)> + 'a {
    let limits = &material.sheet.job.common.limits;
    let all = [&limits.plot, &limits.centre, &limits.width, &limits.lead, &limits.depth];
    let own = all.into_iter().flatten().filter(|limit| matches!(limit.from, Source::Limit(_)));
    own.map(|limit| (format!("limit of one {}", limit.what), harmless(&limit.words())))
}

/// Whether every calibration holds on the day of the report.
pub(super) fn holds(material: &Material<'_>) -> Option<Block> {
    let checked = check(&material.sheet.record, material.report, Some(material.date));
    let day = |day: &Option<String>| day.clone().unwrap_or_else(|| "-".into());
    let row = |one: &Checked| {
        let holds = match one.stale.is_empty() {
            true => "holds".to_owned(),
            false => one.stale.join("; "),
        };
        vec![
            one.name.to_owned(),
            day(&one.changed),
            day(&one.measured),
            day(&one.until),
            harmless(&holds),
        ]
    };
    let head = |text: &str| (text.to_owned(), String::new());
    (!checked.is_empty()).then(|| {
        Block::Grid(Grid {
            title: format!("Whether it holds on {}", material.date),
            heads: ["calibration", "changed", "measured", "until", "holds"].map(head).into(),
            rows: checked.iter().map(row).collect(),
            words: vec![0, 1, 2, 3, 4],
            ..Grid::default()
        })
    })
}

/// Who measured, typed in and checked.
pub(super) fn signatures() -> Block {
    let head = |text: &str| (text.to_owned(), String::new());
    let row = |who: &str| vec![who.to_owned(), String::new(), String::new(), String::new()];
    Block::Grid(Grid {
        heads: ["", "name", "signature", "date"].map(head).into(),
        rows: ["measured by", "entered by", "checked by"].map(row).into(),
        words: vec![0, 1, 2, 3],
        class: "sign",
        ..Grid::default()
    })
}
