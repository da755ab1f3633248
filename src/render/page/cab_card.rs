//! The cab card: what the controller holds and has to hold, on one page.

use crate::outcome::cautions::{
    CLEAR_OF_METERS, HYDRAULIC_LEAKS, MANUAL_FIRST, NO_RIDERS, SEED_TAG, STOP_FIRST,
};
use crate::outcome::{SettingResult, Singles, Verdict};
use crate::paper::Facts;
use crate::render::{Style, harmless, text};

use super::blocks::{Block, Grid};
use super::material::Material;

const STYLE: Style = Style { ascii: false, colour: false };

/// The front has what is read while driving, the back what is read once.
pub(super) fn blocks(material: &Material<'_>) -> Vec<Block> {
    let facts = &material.sheet.facts;
    let mut blocks = vec![
        Block::Facts(point(facts)),
        Block::Grid(settings(material)),
        Block::Next(next(material)),
        Block::Caution(&STOP_FIRST),
    ];
    let tables = material.report.outcomes.iter().flat_map(|outcome| &outcome.tables);
    let by_speed = tables.filter(|table| table.key == "setback-by-speed");
    let mut by_speed = by_speed.peekable();
    let several = by_speed.peek().is_some();
    blocks.extend(by_speed.map(|table| Block::Grid(Grid { strong: Some(1), ..Grid::from(table) })));
    blocks.push(Block::NewPage);
    let singles = material.report.outcomes.iter().flat_map(|outcome| &outcome.singles);
    let singles: Vec<String> = singles.filter_map(Singles::on_a_card).collect();
    let singles = (!singles.is_empty())
        .then(|| ("single ones to expect inside".to_owned(), harmless(&singles.join(", "))));
    let has_singles = singles.is_some();
    if !facts.tolerances.is_empty() || has_singles {
        blocks.push(Block::Heading("Good enough".into()));
        let each = facts.tolerances.iter().map(|(what, text)| ((*what).into(), harmless(text)));
        blocks.push(Block::Facts(each.chain(singles).collect()));
    }
    blocks.push(Block::Heading("What the card holds for".into()));
    blocks.push(Block::Words(
        "For the speed, seed spacing, alley and boost on its front and for no other. After a \
         change of one of them, of soil, tyres or load: measure again, print a new card, tear \
         this one up."
            .into(),
    ));
    if several {
        blocks.push(Block::Words(
            "The table of speeds is a line through all of them. At the trial's own speed the \
             setting above it counts, which was measured there."
                .into(),
        ));
    }
    blocks.push(Block::Heading("Cautions".into()));
    let always = [&NO_RIDERS, &STOP_FIRST, &CLEAR_OF_METERS, &HYDRAULIC_LEAKS, &SEED_TAG];
    blocks.extend(always.map(Block::Caution));
    blocks.push(Block::Caution(&MANUAL_FIRST));
    // A line of single ones takes two of the lines to write on.
    let lines = if has_singles { 5 } else { 7 };
    blocks.push(Block::Room("Changed since printing: what, from, to, when, by whom".into(), lines));
    blocks
}

/// The one thing to do next; in a sheet without results that is to measure.
fn next(material: &Material<'_>) -> String {
    if material.report.outcomes.is_empty() {
        return "nothing was measured yet; take the run forms to a test range.".into();
    }
    harmless(&text::next_words(material.report))
}

/// What the card holds for.
fn point(facts: &Facts) -> Vec<(String, String)> {
    let seeds = facts.seeds.as_ref();
    let all = [
        ("Ground speed", facts.speed.clone()),
        seeds.map_or(("Seed spacing", None), |(name, text)| {
            (if *name == "population" { "Population" } else { "Seed spacing" }, Some(text.clone()))
        }),
        ("Plot", facts.plot.clone()),
        ("Alley", facts.alley.clone()),
        ("Boost", facts.boost.clone()),
        ("Row spacing", facts.row_spacing.clone()),
        ("Cells of the plate", facts.cells.clone()),
        ("Sprockets fitted", facts.fitted()),
        ("Ranges, passes", both(&facts.ranges, &facts.passes)),
    ];
    all.into_iter().filter_map(|(name, text)| Some((name.into(), harmless(&text?)))).collect()
}

fn both(ranges: &Option<String>, passes: &Option<String>) -> Option<String> {
    match (ranges, passes) {
        (None, None) => None,
        (ranges, passes) => {
            let word = |text: &Option<String>| text.clone().unwrap_or_else(|| "?".into());
            Some(format!("{}, {}", word(ranges), word(passes)))
        }
    }
}

/// Settings with results, then those that the sheet holds and nobody measured.
fn settings(material: &Material<'_>) -> Grid {
    let results: Vec<&SettingResult> =
        material.report.outcomes.iter().flat_map(|outcome| &outcome.settings).collect();
    let mut rows: Vec<Vec<String>> = results.iter().map(|row| result(row)).collect();
    for (setting, held) in &material.sheet.facts.settings {
        let measured = results.iter().any(|row| row.key == Some(setting.key));
        if !measured {
            let held = harmless(held);
            rows.push(vec![setting.name.into(), held.clone(), held, "not measured".into()]);
        }
    }
    // A card of a sheet that says nothing yet is filled in by hand.
    if rows.is_empty() {
        let names = ["ground speed", "trip scale", "setback", "pass offset", "", ""];
        rows =
            names.map(|name| vec![name.into(), String::new(), String::new(), String::new()]).into();
    }
    let head = |text: &str| (text.into(), String::new());
    Grid {
        title: "Settings".into(),
        heads: vec![head("setting"), head("now"), head("set"), head("what to do")],
        rows,
        words: vec![0, 3],
        strong: Some(2),
        marked: None,
        ticks: true,
    }
}

fn result(row: &SettingResult) -> Vec<String> {
    let now = row.now.as_ref().map_or("-".into(), |now| text::as_held(now, STYLE));
    let (set, what) = match &row.verdict {
        Verdict::Change(reason) => (text::as_typed_before(row), reason.clone()),
        Verdict::Keep(_) => (now.clone(), "keep".into()),
        Verdict::Measure(_) => (now.clone(), "measure more first".into()),
        Verdict::Wait(reason) => (now.clone(), format!("wait: {reason}")),
        Verdict::Cause(_) => (now.clone(), "keep; look for what scatters".into()),
    };
    vec![row.name.clone(), now, set, harmless(&what)]
}
