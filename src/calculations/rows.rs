//! Rows together: whether every row's plate is in phase with the reference row's, and how many
//! teeth to jump the chain on the meter to bring it there.

use super::agreement::{Apart, OneRun};
use super::calculate::{Calculate, Entry};
use super::change_by_hand::{DoubtOfHands, Doubted, Look, sides};
use super::change_check::{Ratio, Side, all_seen};
use super::common::{ChangeMade, Common};
use super::sprockets::SearchError;
use crate::quantity::{Decimal, Length, Unit, at_most, brief};
use crate::statistics::{self, Summary};
use crate::working::Value;

use super::jitter::Seeds;
use crate::outcome::cautions::AT_THE_DRIVE;
use crate::outcome::warning::{NO_METER_TEETH, NOT_PHASE, PHASE_LEFT};
use crate::outcome::{
    Adjustment, By, ByHand, Calculation, Cell, Changed, Column, Next, Outcome, Since, Table,
    Warning, by_a_change,
};

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "rows", title: "Rows together" };

/// A row is in phase when its edge lies within this share of a spacing of the reference row's:
/// closer than the eye tells on a dug-up row.
const IN_PHASE: f64 = 0.1;

/// Runs since a change that outweigh those before it, where it did not do what it should.
const ENOUGH_SINCE: usize = 2;

/// Half a spacing: further off no turn of a plate brings an edge.
const HALF: f64 = 0.5;

/// Whether a share of a spacing counts as in phase; right on the limit does, whatever rounding
/// makes of it.
fn in_phase(share: f64) -> bool {
    share.abs() <= IN_PHASE + 1e-9
}

/// How far one row's edge lies ahead of the reference row's.
#[derive(Clone, Debug)]
pub struct RowEdges {
    /// The row.
    pub row: u32,
    /// Ahead along the travel; behind is negative.
    pub ahead: Vec<Length>,
    /// Teeth that its chain had been jumped forward then and has now, where that is another number
    /// (back: negative).
    pub jumped: Option<Since>,
    /// How far its unit and that of the reference row drop seed ahead of one line, where they don't
    /// sit in one.
    pub units: Option<[Length; 2]>,
}

/// What the rows calculation needs.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// The row that the others are held against.
    pub reference: u32,
    /// Runs of the other rows; several of one row are one list of readings.
    pub rows: Vec<RowEdges>,
    /// Cells of the plate.
    pub cells: Decimal,
    /// Teeth of the sprocket on the meter.
    pub meter_teeth: Option<Decimal>,
    /// The seeds.
    pub seeds: Seeds,
}

/// Teeth to jump, forward in the plate's turning where positive, and the share of a spacing
/// that remains.
///
/// Jumping j teeth on a sprocket of N turns the plate by j × cells / N cells; forward brings
/// seed earlier, so that an edge that lies ahead comes back. `ahead` is the share of a spacing
/// by which the row's edge lies ahead. The smallest j that brings the row within a tenth of a
/// spacing is taken, or the one that comes nearest where none does.
///
/// ```
/// use alleytrue::calculations::rows::jump;
/// // 40 cells, 15 teeth: one tooth is 2 2/3 cells, a third of a cell back in phase.
/// let (teeth, left) = jump(2.0 / 3.0, 40, 15);
/// assert_eq!(teeth, 1);
/// assert!(left.abs() < 1e-9);
/// // 40 cells, 20 teeth: every tooth is two whole cells; no jump changes the phase.
/// assert_eq!(jump(0.4, 40, 20).0, 0);
/// ```
#[must_use]
pub fn jump(ahead: f64, cells: u32, teeth: u32) -> (i32, f64) {
    let left = |jumped: i32| {
        let cells_turned = f64::from(jumped) * f64::from(cells) / f64::from(teeth);
        wrapped(ahead - cells_turned)
    };
    let half = i32::try_from(teeth / 2).unwrap_or(i32::MAX);
    let mut order: Vec<i32> = (0..=half).flat_map(|jumped| [jumped, -jumped]).collect();
    order.dedup();
    let first = order.iter().copied().find(|jumped| in_phase(left(*jumped)));
    let nearest = order.iter().copied().min_by(|a, b| {
        let off = |jumped: i32| (left(jumped).abs() * 1e9).round();
        off(*a).total_cmp(&off(*b)).then(a.abs().cmp(&b.abs()))
    });
    let jumped = first.or(nearest).unwrap_or(0);
    (jumped, left(jumped))
}

/// The share of a spacing in -1/2 to 1/2.
fn wrapped(share: f64) -> f64 {
    share - share.round()
}

/// Every row against the reference row.
#[must_use]
pub fn calibrate(inputs: &Inputs, common: &Common) -> Outcome {
    let units = &common.units;
    let mut outcome = Outcome::new(CALCULATION);
    let spacing = inputs.seeds.spacing(units);
    let mut rows = Vec::new();
    let mut jumps: Vec<(u32, i32, Value)> = vec![];
    let mut looked_into = None;
    for (row, looks) in by_row(inputs, &spacing, common) {
        let doubted = doubted(inputs, row, &looks, &spacing, common, &mut outcome);
        let blocks = doubted.filter(|doubted| doubted.runs_since < ENOUGH_SINCE);
        let counts = if blocks.is_some() { looks } else { counting(row, looks, &spacing) };
        let readings = counts.into_iter().flat_map(|look| look.each).collect();
        let subject = format!("edge of row {row} ahead");
        let readings = in_one_turn(readings, &spacing);
        let Some(ahead) = statistics::mean(&subject, &readings) else { continue };
        let share = (&ahead / &spacing).named(format!("row {row} ahead, in spacings"));
        outcome.values.push(share.clone());
        if let Some(doubted) = blocks {
            looked_into = looked_into.or(Some(doubted.warning.message));
            rows.push(table_row(row, &ahead, &share, None));
            continue;
        }
        let known_to = known_to(&subject, &readings, common) / spacing.number();
        let cured = cell_of(inputs, row, &ahead, &share, known_to, &mut outcome);
        if let Some((jumped, _)) = cured
            && jumped != 0
        {
            jumps.push((row, jumped, ahead.clone()));
        }
        rows.push(table_row(row, &ahead, &share, cured));
    }
    outcome.tables.push(table(inputs, common, rows));
    let of_a_row =
        |open: &&Warning| [&NOT_PHASE, &NO_METER_TEETH, &PHASE_LEFT].contains(&open.kind);
    if let (None, Some(open)) = (jumps.first(), outcome.warnings.iter().find(of_a_row)) {
        outcome.next =
            Some(Next::only(CALCULATION, format!("look into it first: {}", open.message)));
    }
    if let Some((row, jumped, ahead)) = jumps.first() {
        outcome.cautions = AT_THE_DRIVE.to_vec();
        outcome.next = Some(next(*row, *jumped, ahead, jumps.get(1).map(|jump| jump.0)));
    }
    if let Some(words) = looked_into {
        outcome.next = Some(Next::only(CALCULATION, words));
    }
    outcome
}

/// The runs of every row, as they would be with its chain as it is now.
fn by_row(inputs: &Inputs, spacing: &Value, common: &Common) -> Vec<(u32, Vec<Look>)> {
    let mut rows: Vec<(u32, Vec<Look>)> = vec![];
    for run in &inputs.rows {
        let readings = in_line(run, inputs.reference, common);
        let readings = match inputs.turned_since(run) {
            Some(turned) => readings.iter().map(|one| after_turn(one, &turned, spacing)).collect(),
            None => readings,
        };
        let then = run.jumped.map(|since| since.then.value());
        let look = Look { row: Some(run.row), then, each: readings };
        match rows.iter_mut().find(|(row, _)| *row == run.row) {
            Some((_, known)) => known.push(look),
            None => rows.push((run.row, vec![look])),
        }
    }
    rows
}

/// The edges of a run as they would be with its unit in one line with the reference row's: what a unit
/// sits ahead by is no phase.
fn in_line(run: &RowEdges, reference: u32, common: &Common) -> Vec<Value> {
    let readings = common.units.readings(&run.ahead);
    let Some([own, other]) = &run.units else { return readings };
    let unit =
        |row: u32, length| common.units.length(format!("row {row} ahead by its unit"), length);
    let ahead = (unit(run.row, own) - unit(reference, other))
        .named(format!("row {} ahead of row {reference} by their units", run.row));
    readings.into_iter().map(|reading| reading - &ahead).collect()
}

/// The looks at a row that tell where its chain stands: all where they are one, or as good as that,
/// by half of what counts as in phase. A chain stands where it stands, whatever the day: where they
/// are not one, the newest that were made alike tell it alone.
fn counting(row: u32, looks: Vec<Look>, spacing: &Value) -> Vec<Look> {
    let Some(last) = looks.last().map(|look| look.then) else { return looks };
    let newest = looks.iter().rev().take_while(|look| look.then == last).count();
    if newest == looks.len() || !disagree(row, &looks, spacing) {
        return looks;
    }
    looks.into_iter().rev().take(newest).collect()
}

fn disagree(row: u32, looks: &[Look], spacing: &Value) -> bool {
    let mut all =
        in_one_turn(looks.iter().flat_map(|look| look.each.clone()).collect(), spacing).into_iter();
    let run = |(place, look): (usize, &Look)| OneRun {
        name: format!("run {} of row {row}", place + 1),
        side: 0,
        kind: 0,
        since: look.is_since(),
        each: all.by_ref().take(look.each.len()).collect(),
    };
    let runs: Vec<OneRun> = looks.iter().enumerate().map(run).collect();
    let apart = Apart::of("edge ahead", &runs, None, false);
    let limit = spacing.number() * IN_PHASE / 2.0;
    apart.is_some_and(|apart| !at_most(apart.furthest.number(), limit))
}

/// What the last jump of a row's chain did that it should not have done.
fn doubted(
    inputs: &Inputs,
    row: u32,
    looks: &[Look],
    spacing: &Value,
    common: &Common,
    outcome: &mut Outcome,
) -> Option<Doubted> {
    let changed = Changed::Hand(ByHand::Chain { row });
    let ratio = |change: &ChangeMade| ratio(inputs, row, change, looks, spacing);
    let last = common.last_change(changed);
    let seen = last.and_then(ratio);
    let own = seen.as_ref().map(|(ratio, _)| ratio);
    let earlier = |change: &ChangeMade| Some(ratio(change)?.0);
    outcome.seen.extend(all_seen(common, changed, own, earlier));
    let (change, (ratio, after)) = last.zip(seen)?;
    outcome.values.extend(ratio.values());
    let doubt = DoubtOfHands {
        change,
        what: format!("edges of row {row}"),
        ways: ["ahead", "back"],
        done: "jumped",
        direction: None,
        size: None,
    };
    let doubted = doubt.of(&ratio, &after)?;
    outcome.warnings.push(doubted.warning.clone());
    Some(doubted)
}

/// What a jump of a row's chain did of what it should have done, and the side after it. An edge is a
/// phase: what whole spacings more or less would have done looks the same.
fn ratio(
    inputs: &Inputs,
    row: u32,
    change: &ChangeMade,
    looks: &[Look],
    spacing: &Value,
) -> Option<(Ratio, Side)> {
    let name = change.what.name();
    let jumped = |wanted: &dyn Fn(Option<f64>) -> bool| {
        let mut own = inputs.rows.iter().filter(|run| run.row == row);
        own.find(|run| wanted(run.jumped.map(|since| since.then.value())))
    };
    let before = jumped(&|then| change.had_before(then))?;
    let after = jumped(&|then| change.had_after(then))?;
    let turned = by_a_change([before, after].map(|run| inputs.turned_since(run)))?;
    let expected = (Value::constant(-1.0) * turned * spacing)
        .named(format!("edge ahead by the change of the {name}"));
    let [before, after] = sides(change, looks, &|readings| in_one_turn(readings, spacing))?;
    let within = Value::exact("share of a spacing that is in phase", IN_PHASE, Unit::ONE) * spacing;
    let ratio = Ratio::of_phase(&name, &before, &after, &expected, spacing, &within)?;
    Some((ratio, after))
}

impl Inputs {
    /// The part of a cell that the plate of a row was turned forward since a run.
    fn turned_since(&self, run: &RowEdges) -> Option<Value> {
        let since = run.jumped?;
        let jumped = since.more(&format!("teeth jumped on row {}", run.row));
        let tag = format!("turned on row {} since it was at {}", run.row, since.then);
        let cells = Value::typed("cells", self.cells, Unit::ONE);
        let teeth = Value::typed("teeth on the meter", self.meter_teeth?, Unit::ONE);
        let turned = (jumped * (cells / teeth).named("cells turned per tooth"))
            .named(format!("cells {tag}"));
        let part = &turned - turned.nearest();
        Some(part.named(format!("part of a cell {tag}")))
    }
}

/// An edge after the plate was turned forward by part of a cell: it comes back by this share of a
/// spacing, and where it was the plate's phase it stays within half a spacing.
///
/// ahead now = ahead then - part × spacing.
fn after_turn(then: &Value, part: &Value, spacing: &Value) -> Value {
    let now = then - part * spacing;
    let beyond = |edge: &Value| !at_most((edge.number() / spacing.number()).abs(), HALF);
    match (beyond(then), beyond(&now), now.number() > 0.0) {
        (false, true, true) => now - spacing,
        (false, true, false) => now + spacing,
        _ => now,
    }
}

/// Readings of one row without the whole spacings that chance puts between them.
///
/// Where the trip comes between the two plates' cells, a row that is f of a spacing ahead reads
/// f at one alley and f - 1 at another, and the plain mean of the two says nothing. Readings
/// that reach over more than half a spacing are taken to the side of the first, whole spacings
/// at a time; closer ones are left as they are.
fn in_one_turn(readings: Vec<Value>, spacing: &Value) -> Vec<Value> {
    let shares: Vec<f64> =
        readings.iter().map(|reading| reading.number() / spacing.number()).collect();
    let low = shares.iter().copied().fold(f64::INFINITY, f64::min);
    let high = shares.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if high - low <= 0.5 {
        return readings;
    }
    // The side nearer to the reference row, so that the smaller turn is found.
    let first = shares.iter().copied().min_by(|a, b| a.abs().total_cmp(&b.abs())).unwrap_or(0.0);
    readings
        .into_iter()
        .zip(shares)
        .map(|(reading, share)| match (share - first).round() {
            0.0 => reading,
            whole if whole < 0.0 => reading + Value::constant(-whole) * spacing,
            whole => reading - Value::constant(whole) * spacing,
        })
        .collect()
}

/// How far off a mean may lie by the scatter of its readings; nothing where they tell none.
fn known_to(subject: &str, readings: &[Value], common: &Common) -> f64 {
    let spread = Summary::of(subject, readings, common.confidence).and_then(|all| all.spread);
    spread.map_or(0.0, |spread| spread.interval.half_width.number())
}

/// Teeth to jump for one row, where phase can cure it. A row half a cell off may be seen a little
/// further off by scatter.
fn cell_of(
    inputs: &Inputs,
    row: u32,
    ahead: &Value,
    share: &Value,
    known_to: f64,
    outcome: &mut Outcome,
) -> Option<(i32, f64)> {
    if !at_most(share.number().abs(), HALF + known_to) {
        outcome.warnings.push(NOT_PHASE.with(format!(
            "row {row} lies {} {} {}, more than half a spacing: that is not the plate's phase",
            brief(ahead.number().abs()),
            ahead.unit_text(),
            if ahead.number() > 0.0 { "ahead" } else { "behind" }
        )));
        return None;
    }
    if in_phase(share.number()) {
        return Some((0, share.number()));
    }
    if inputs.meter_teeth.is_none() {
        outcome.warnings.push(NO_METER_TEETH.with(format!(
            "row {row} is out of phase; how many teeth to jump depends on `meter-teeth` in \
             [planter.plate], which the sheet does not give"
        )));
    }
    let (teeth, cells) = (inputs.meter_teeth?.as_whole()?, inputs.cells.as_whole()?);
    let (jumped, left) = jump(share.number(), cells, teeth);
    if !in_phase(left) {
        outcome.warnings.push(PHASE_LEFT.with(format!(
            "row {row}: no jump on a sprocket of {teeth} teeth brings it nearer than {} of a \
             spacing",
            brief(left.abs())
        )));
    }
    let how = "smallest jump that brings it in phase";
    let jump =
        Value::found(format!("teeth to jump on row {row}"), f64::from(jumped), Unit::ONE, how);
    let turned = Value::typed("cells", inputs.cells, Unit::ONE)
        / Value::typed("teeth on the meter", inputs.meter_teeth?, Unit::ONE);
    let after = (share - jump * turned.named("cells turned per tooth"))
        .named(format!("row {row} ahead after the jump, whole cells and all"));
    let rest = (&after - after.nearest()).named(format!("row {row} ahead after the jump"));
    outcome.values.push(rest);
    Some((jumped, left))
}

/// The first jump; `then` is the row to be jumped after it, where there is one.
fn next(row: u32, jumped: i32, ahead: &Value, then: Option<u32>) -> Next {
    let then = then.map_or(String::new(), |row| format!("then row {row}; "));
    let way = if jumped > 0 { "forward, the way it turns" } else { "back, against its turning" };
    let chain = Adjustment {
        what: ByHand::Chain { row },
        by: By::Number(Value::constant(f64::from(jumped))),
        error: Some(ahead.clone()),
        why: "out of phase with the reference row".into(),
    };
    Next {
        calculation: CALCULATION,
        setting: Some(format!("chain of row {row}")),
        now: None,
        set: None,
        by_hand: vec![chain],
        instruction: format!(
            "with the engine off, jump the chain on the meter of row {row} by {} {} {way}; \
             {then}plant again and look at all rows",
            jumped.abs(),
            if jumped.abs() == 1 { "tooth" } else { "teeth" }
        ),
    }
}

fn table(inputs: &Inputs, common: &Common, rows: Vec<Vec<Cell>>) -> Table {
    let length = common.units.length.to_string();
    Table {
        key: "rows",
        title: format!("Rows against row {}", inputs.reference),
        columns: vec![
            Column::new("row", "row", ""),
            Column::new(format!("ahead_{length}"), "ahead", &length),
            Column::new("ahead_spacings", "ahead", "spacings"),
            Column::new("teeth", "jump", "teeth"),
            Column::new("left_spacings", "left", "spacings"),
        ],
        rows,
    }
}

fn signed(jumped: i32) -> String {
    if jumped == 0 { "0".into() } else { format!("{jumped:+}") }
}

fn table_row(row: u32, ahead: &Value, share: &Value, cured: Option<(i32, f64)>) -> Vec<Cell> {
    vec![
        Cell::Count(row),
        Cell::Number(ahead.number(), 2),
        Cell::Number(share.number(), 2),
        cured.map_or(Cell::Empty, |(jumped, _)| Cell::Text(signed(jumped))),
        cured.map_or(Cell::Empty, |(_, left)| Cell::Number(left, 2)),
    ]
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "rows",
    about: "Rows together: teeth to jump to bring every row's plate in phase",
    lacks: "[[row-run]]",
    advice: "add a [[row-run]] for each row, with `row` and `ahead = [...]`",
    has_readings: false,
    runs: &["row-run"],
    warnings: &[],
    tolerances: &[],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        Ok(vec![calibrate(self, common)])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::working::Units;

    fn common() -> Common {
        Common::new(Units::US)
    }

    /// Forward brings seed earlier, so that an edge that lies ahead comes back.
    #[test]
    fn the_next_step_says_which_way_to_jump_and_how_far() {
        let forward = next(2, 1, &Value::constant(0.5), Some(4)).instruction;
        assert!(forward.contains("row 2 by 1 tooth forward"), "{forward}");
        assert!(forward.ends_with("; then row 4; plant again and look at all rows"), "{forward}");
        let back = next(3, -2, &Value::constant(0.5), None).instruction;
        assert!(back.contains("row 3 by 2 teeth back"), "{back}");
        assert!(!back.contains("then row"), "{back}");
    }

    /// Spacing 1.5 in: 0.3 and -0.75 in are 0.2 and -0.5 of it, 0.7 apart, so one turn was missed
    /// between them; -0.75 + 1.5 = 0.75. Half a spacing apart is left as it is.
    #[test]
    fn readings_of_two_turns_are_taken_to_the_side_of_the_first() {
        let spacing = Value::constant(1.5);
        let turned = |numbers: [f64; 2]| {
            let readings = numbers.map(Value::constant).to_vec();
            in_one_turn(readings, &spacing).iter().map(Value::number).collect::<Vec<_>>()
        };
        assert_eq!(turned([0.3, -0.75]), [0.3, 0.75]);
        assert_eq!(turned([-0.3, 0.75]), [-0.3, -0.75]);
        assert_eq!(turned([0.375, -0.375]), [0.375, -0.375]);
    }

    /// A turn that is added is written as a sum, one that is taken off as a difference.
    #[test]
    fn turns_are_added_and_taken_off_as_a_reader_would_write_it() {
        let spacing = Value::constant(1.5).named("spacing");
        let line = |numbers: [f64; 2]| {
            let readings = numbers.map(|number| Value::constant(number).named("edge")).to_vec();
            let turned = in_one_turn(readings, &spacing).pop().expect("two").named("turned");
            crate::working::steps(&[turned]).pop().expect("a line").to_string()
        };
        assert_eq!(line([0.3, -0.75]), "turned = edge + 1 * spacing = -0.75 + 1 * 1.5 = 0.75");
        assert_eq!(line([-0.3, 0.75]), "turned = edge - 1 * spacing = 0.75 - 1 * 1.5 = -0.75");
    }

    /// Seeds 1.5 in apart: 0.75 in are half of it, 0.765 in 0.51.
    #[test]
    fn an_edge_up_to_half_a_spacing_off_is_the_plates_phase() {
        let length = |text: &str| Length::parse(text, None).expect("a length");
        let said = |ahead: &str| {
            let outcome = calibrate(
                &Inputs {
                    reference: 1,
                    rows: vec![RowEdges {
                        row: 2,
                        ahead: vec![length(ahead)],
                        jumped: None,
                        units: None,
                    }],
                    cells: Decimal::whole(40),
                    meter_teeth: Some(Decimal::whole(15)),
                    seeds: Seeds {
                        target: crate::calculations::spacing::Target::Spacing(length("1.5 in")),
                        row_spacing: length("30 in"),
                    },
                },
                &common(),
            );
            let found = outcome.warnings.into_iter().find(|warning| warning.kind == &NOT_PHASE);
            found.map(|warning| warning.message)
        };
        for ahead in ["0.6 in", "0.75 in", "-0.6 in", "-0.75 in"] {
            assert_eq!(said(ahead), None, "{ahead}");
        }
        let words = |way: &str| {
            format!(
                "row 2 lies 0.765 in {way}, more than half a spacing: that is not the plate's phase"
            )
        };
        assert_eq!(said("0.765 in"), Some(words("ahead")));
        assert_eq!(said("-0.765 in"), Some(words("behind")));
    }
}
