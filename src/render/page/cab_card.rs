//! The cab card: the one thing to set, what stays, what is in force.

use crate::outcome::cautions::{
    BLOCK_FIRST, BLOCK_RAISED, CLEAR_OF_METERS, DRIVEN_BACK, MANUAL_FIRST, NO_RIDERS, SEED_TAG,
    STOP_FIRST,
};
use crate::outcome::{
    Adjustment, By, ByHand, Caution, Next, Outcome, SettingResult, Singles, ToDo,
};
use crate::paper::Facts;
use crate::quantity::brief;
use crate::render::{harmless, text};

use super::blocks::{Block, Frame, Grid, Set};
use super::in_force::{InForce, STYLE, State, in_force};
use super::material::Material;
use super::speed_table;

/// The front has what is read while driving, the back what is read once.
pub(super) fn blocks(material: &Material<'_>) -> Vec<Block> {
    let all = in_force(material);
    let mut blocks = vec![Block::Frame(frame(material))];
    blocks.extend(lists(&all));
    if all.iter().any(InForce::is_in_force) {
        blocks.push(Block::Grid(table(&all)));
    }
    blocks.extend(speed_table::block(material));
    blocks.push(Block::NewPage);
    blocks.extend(back(material));
    // Warnings take the room of the lines.
    let taken = warnings(material).len() + usize::from(singles(material).is_some());
    let lines = [4, 1, 1][taken.min(2)];
    blocks.push(Block::Room("Changed since printing: what, from, to, when, by whom".into(), lines));
    blocks
}

/// More lines than this leave no room on half a page to say them again.
const MANY_LINES: usize = 3;

/// Both on one page that may be folded or cut: the front on its upper half.
pub(super) fn half(material: &Material<'_>) -> Vec<Block> {
    let all = in_force(material);
    let mut frame = frame(material);
    // Where there is much to set, the lines above have it; what is left to say is what follows.
    if frame.lines.len() > MANY_LINES
        && let Some((_, rest)) = frame.then.split_once("; ")
    {
        frame.then = text::sentence(rest);
    }
    let general = [&MANUAL_FIRST, &NO_RIDERS, &STOP_FIRST, &CLEAR_OF_METERS];
    // What stands in the frame already has no second room on half a page.
    let more: Vec<&Caution> =
        general.into_iter().filter(|caution| !frame.cautions.contains(caution)).collect();
    let mut blocks = vec![Block::Frame(frame)];
    blocks.extend(lists(&all));
    let each = all.iter().filter(|one| one.is_in_force());
    let each = each.map(|one| format!("{} {}", one.full_name(), one.now));
    let each = each.collect::<Vec<_>>().join("; ");
    if !each.is_empty() {
        blocks.push(Block::Named(in_force_title(&all), each));
    }
    blocks.push(Block::Fold);
    blocks.extend(until_when());
    let short = |caution: &Caution| format!("{} [{}]", caution.text, caution.source);
    blocks.extend(more.into_iter().map(|caution| Block::Named("CAUTION", short(caution))));
    blocks
}

fn in_force_title(all: &[InForce]) -> &'static str {
    match all.iter().any(|one| one.state == State::Next) {
        true => "In force now, before that step",
        false => "In force now",
    }
}

/// What is read once: what is good enough, what the card holds for, what protects hands.
fn back(material: &Material<'_>) -> Vec<Block> {
    let facts = &material.sheet.facts;
    let mut blocks = vec![];
    if let facts @ [_, ..] = point(facts).as_slice() {
        blocks.push(Block::Heading("What it is for".into()));
        blocks.push(Block::Facts(facts.to_vec()));
    }
    let singles = singles(material);
    if !facts.tolerances.is_empty() || singles.is_some() {
        blocks.push(Block::Heading("Good enough".into()));
        let each = facts.tolerances.iter().map(|(what, text)| ((*what).into(), harmless(text)));
        blocks.push(Block::Facts(each.chain(singles).collect()));
    }
    let warnings = warnings(material);
    if !warnings.is_empty() {
        blocks.push(Block::Heading("Warnings".into()));
        blocks.extend(warnings);
    }
    blocks.extend(until_when());
    blocks.push(Block::Heading("Cautions".into()));
    let cautions = [&MANUAL_FIRST, &NO_RIDERS, &STOP_FIRST, &CLEAR_OF_METERS, &SEED_TAG];
    blocks.extend(cautions.map(Block::Caution));
    blocks.extend(facts.has.one_way.then_some(Block::Caution(&DRIVEN_BACK)));
    blocks
}

/// Until when it holds.
fn until_when() -> [Block; 2] {
    let words = Block::Words(
        "Until speed, seed spacing, alley or boost is another than over its front, or soil, seed \
         lot, tyres or load; and no longer than the days on its front. Then measure again, print a \
         new card, tear this one up."
            .into(),
    );
    [Block::Heading("Until when the card holds".into()), words]
}

/// What the calculation of the next step warns of.
fn warnings(material: &Material<'_>) -> Vec<Block> {
    /// More than these are in the report.
    const MOST: usize = 2;
    let own = material.report.next.as_ref().map(|next| next.calculation);
    let outcomes = material.report.outcomes.iter().filter(|one| Some(one.calculation) == own);
    let all = outcomes.flat_map(|outcome| &outcome.warnings).take(MOST);
    all.map(|warning| Block::Words(format!("- {}", harmless(&warning.message)))).collect()
}

/// The one thing to do.
pub(super) fn frame(material: &Material<'_>) -> Frame {
    let report = material.report;
    let then = next(material);
    let frame =
        |lead, lines, ticks| Frame { lead, lines, then: then.clone(), cautions: vec![], ticks };
    match report.to_do() {
        ToDo::Set(settings) => {
            let lead =
                if settings.len() == 1 { "Set one thing" } else { "Set these, as one change" };
            let lines = settings.iter().map(|one| set(one, report.called(one))).collect();
            Frame { cautions: at_the_act(material), ..frame(lead, lines, true) }
        }
        ToDo::Adjust(step) => {
            let lines = adjusted(step);
            let lead =
                if lines.len() == 1 { "Adjust one thing" } else { "Adjust these, as one change" };
            Frame { cautions: at_the_act(material), ..frame(lead, lines, true) }
        }
        ToDo::Look(_) => frame("Set nothing. Do this next", vec![], true),
        ToDo::Nothing if report.outcomes.is_empty() => {
            frame("Set nothing. Do this next", vec![], true)
        }
        ToDo::Nothing => frame("Nothing to set", vec![], false),
    }
}

/// A setting with its new value.
fn set(setting: &SettingResult, called: Option<&str>) -> Set {
    Set {
        name: setting.name.clone(),
        called: called.map(harmless),
        new: text::as_typed_before(setting),
        was: setting.now.as_ref().map(|now| text::as_held(now, STYLE)),
    }
}

/// What hands adjust: numbers one by one; what has none says its words.
fn adjusted(step: &Next) -> Vec<Set> {
    let line = |one: &Adjustment| {
        let Adjustment { what, by, .. } = one;
        Set { name: what.name(), new: by_words(*what, by), ..Set::default() }
    };
    step.by_hand.iter().map(line).collect()
}

/// By how much, and which way.
fn by_words(what: ByHand, by: &By) -> String {
    let number = match by {
        By::Words(words) => return harmless(words),
        By::Number(number) => number,
    };
    let size = brief(number.number().abs());
    let plural = |one: &str, more: &str| if size == "1" { one.to_owned() } else { more.to_owned() };
    let ways = |plus: &'static str, minus: &'static str| {
        if number.number() < 0.0 { minus } else { plus }
    };
    match what {
        ByHand::Chain { .. } => {
            format!("{size} {} {}", plural("tooth", "teeth"), ways("forward", "back"))
        }
        ByHand::Depth { .. } => format!("{size} {} {}", plural("turn", "turns"), ways("in", "out")),
        ByHand::Marks => format!("{size} {} {}", number.unit_text(), ways("out", "home")),
        _ => text::with_unit(number),
    }
}

/// What protects the hands that carry out the step; the machine's manual first.
fn at_the_act(material: &Material<'_>) -> Vec<&'static Caution> {
    let own = material.report.next.as_ref().map(|next| next.calculation);
    let outcomes = material.report.outcomes.iter().filter(|one| Some(one.calculation) == own);
    let near = [&STOP_FIRST, &BLOCK_FIRST, &BLOCK_RAISED, &CLEAR_OF_METERS];
    let mut all = vec![&MANUAL_FIRST];
    for caution in outcomes.flat_map(|outcome: &Outcome| &outcome.cautions) {
        if near.contains(caution) && !all.contains(caution) {
            all.push(caution);
        }
    }
    all
}

/// The one thing to do next; in a sheet without results that is to measure.
fn next(material: &Material<'_>) -> String {
    if material.report.outcomes.is_empty() {
        return "Nothing was measured yet; take the run forms to a test range.".into();
    }
    text::sentence(&on_paper(&harmless(&text::next_words(material.report))))
}

/// Without what is done at a keyboard: a card is read on the machine.
fn on_paper(words: &str) -> String {
    words
        .replace("put it into the sheet by `alleytrue apply`, ", "write it down, ")
        .replace("type what you see into a [[changeover-run]]", "fill in the form for changeovers")
}

/// What stays and what waits, by name.
fn lists(all: &[InForce]) -> Vec<Block> {
    let named = |states: &[State]| {
        let names = all.iter().filter(|one| states.contains(&one.state));
        names.map(InForce::full_name).collect::<Vec<_>>().join(", ")
    };
    let lists = [
        ("Leave as it is", named(&[State::Leave, State::NotMeasured])),
        ("Leave as it is, and measure more", named(&[State::Measure])),
        ("Later, after measuring again", named(&[State::Later])),
    ];
    let some = lists.into_iter().filter(|(_, names)| !names.is_empty());
    some.map(|(name, names)| Block::Named(name, names)).collect()
}

/// All in force at a glance.
fn table(all: &[InForce]) -> Grid {
    let head = |text: &str| (text.into(), String::new());
    let row = |one: &InForce| {
        let holds = match (one.state, one.stale.first()) {
            (State::Next, _) => "to be changed: see above".to_owned(),
            (State::Later, _) => "its turn comes".into(),
            (State::Measure, _) => "not sure yet".into(),
            (State::NotMeasured, _) => "not known".into(),
            (State::Leave, None) => {
                one.until.as_ref().map_or_else(|| "yes".into(), |day| format!("until {day}"))
            }
            (State::Leave, Some(why)) => format!("no: {}", harmless(why)),
        };
        vec![one.full_name(), one.now.clone(), one.rests_on.clone(), holds]
    };
    Grid {
        title: in_force_title(all).into(),
        heads: vec![head("what"), head("now"), head("rests on"), head("holds")],
        // What was never set is not in force, and stands in the frame.
        rows: all.iter().filter(|one| one.is_in_force()).map(row).collect(),
        words: vec![0, 2, 3],
        class: "small",
        ..Grid::default()
    }
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

/// The share of single plots, alleys, leads and depths to expect inside their limits.
fn singles(material: &Material<'_>) -> Option<(String, String)> {
    let all = material.report.outcomes.iter().flat_map(|outcome| &outcome.singles);
    let all: Vec<String> = all.filter_map(Singles::on_a_card).collect();
    let what = "single ones to expect inside".to_owned();
    (!all.is_empty()).then(|| (what, harmless(&all.join(", "))))
}
