//! Guess rows: the gaps between the outer rows of neighbouring passes, which tell how far the
//! planter runs off the middle of its tractor, and how far the passes lie off their pitch.
//!
//! Lines of the tractor lie P apart and passes go up and down. The middle of the planter runs d
//! to the right of the tractor's middle, seen along its travel, and the outer rows of a pass lie W
//! apart. Seen from above, the second pass after a right turn:
//!
//! ```text
//!   pass before, going up          this pass, coming down
//!   tractor's line                 tractor's line
//!         |<-------------- P ------------->|
//!         |--d-->+                +<--d----|
//!       ( W / 2 each way )      ( W / 2 each way )
//!                        |< gap >|
//! ```
//!
//! Each of the two passes has the other on its right, so both lean towards the gap, which is
//! `P - W - 2 d`. After a left turn each has the other on its left, and both lean away from it:
//! `P - W + 2 d`. Half of what the two differ by is the side's part in a gap, and their middle less
//! the gap wanted the pitch's.
//!
//! Where the tractor follows a line that the pass before left behind, drawn by a marker arm of M
//! from the planter's middle, it drives M from that middle, wherever the planter ran. Then the pass
//! before counts from where it was planted, and only this one leans: the gap is `M - W - d` after a
//! right turn, `M - W + d` after a left one. An arm that is too short does the same to the gap on its side, so side and
//! arms can't be told apart, and need not: either mends the gap.

mod ground;

use super::calculate::{Calculate, Entry};
use super::common::Common;
use super::judgement::{Evidence, Parted};
use super::readings;
use super::sprockets::SearchError;
use crate::outcome::cautions::{
    BLOCK_RAISED, MANUAL_FIRST, NO_RIDERS, ON_THE_RANGE, SEED_TAG, STOP_FIRST,
};
use crate::outcome::wording::in_words;
use crate::outcome::{
    Bars, Calculation, Caution, Cell, Column, Decision, Judgement, Next, Outcome, Picture,
    SettingResult, Table, Verdict,
};
use crate::quantity::{Decimal, Length, Unit};
use crate::statistics::{self, Moments};
use crate::working::Value;

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "guess-rows", title: "Guess rows" };

/// What one reading is.
const SUBJECT: &str = "gap";

/// What is adjusted at the hitch or at a marker arm.
static AT_THE_HITCH: &[&Caution] =
    &[&STOP_FIRST, &BLOCK_RAISED, &NO_RIDERS, &SEED_TAG, &MANUAL_FIRST];
/// What is entered into the guidance.
static IN_THE_CAB: &[&Caution] = &[&NO_RIDERS, &SEED_TAG, &MANUAL_FIRST];

static BY_TURN: Parted = Parted {
    tags: [", left turns", ", right turns"],
    ways: [" after left turns", " after right turns"],
    both: "both turns",
};

/// Which way the planter turned from the pass before into this one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turn {
    /// To the left: each of the two passes has the other on its left.
    Left,
    /// To the right.
    Right,
}

/// What the tractor went by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Steering {
    /// Lines that lie a pitch apart whatever the planter did: guidance, stakes.
    Lines,
    /// What the planter left behind on the pass before: the line of a marker arm.
    MarkerArms,
}

/// What the guess rows need.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// Gaps after left turns.
    pub left: Vec<Length>,
    /// Gaps after right turns. At least one gap in the two lists.
    pub right: Vec<Length>,
    /// What the tractor went by.
    pub steering: Steering,
    /// Rows planted in one pass.
    pub rows: Decimal,
    /// Rows of one plot; they divide the rows of a pass.
    pub rows_per_plot: Decimal,
    /// Distance between rows.
    pub row_spacing: Length,
    /// Bare ground between passes, besides the row spacing.
    pub pass_gap: Option<Length>,
    /// How far a gap may be off.
    pub tolerance: Option<Length>,
}

/// What the planter's side adds to a gap after a left turn, and takes from one after a right
/// turn: (mean gap, left turns - mean gap, right turns) / 2.
///
/// Closed form: P - W + 2 d less P - W - 2 d is 4 d, half of it 2 d.
///
/// ```
/// use alleytrue::calculations::guess_rows::off_by_side;
/// use alleytrue::working::Value;
/// // Lines 120 in apart, rows 90 in from first to last, planter 1 in to the right: gaps of
/// // 120 - 90 + 2 = 32 in and 120 - 90 - 2 = 28 in.
/// let [left, right] = [32.0, 28.0].map(Value::constant);
/// assert_eq!(off_by_side(&left, &right).number(), 2.0);
/// ```
#[must_use]
pub fn off_by_side(left: &Value, right: &Value) -> Value {
    ((left - right) / Value::constant(2.0)).named("gap off by the side")
}

/// What the pitch of the passes adds to every gap: (mean gap, left turns + mean gap, right turns)
/// / 2 - gap wanted.
///
/// Closed form: the side goes out of the mean, which is P - W; the gap wanted is the pitch wanted
/// less W, so what is left is the error of the pitch.
///
/// ```
/// use alleytrue::calculations::guess_rows::off_by_pitch;
/// use alleytrue::working::Value;
/// // Lines 121 in apart where rows 30 in apart and 90 in from first to last want 120 in.
/// let [left, right, wanted] = [33.0, 29.0, 30.0].map(Value::constant);
/// assert_eq!(off_by_pitch(&left, &right, &wanted).number(), 1.0);
/// ```
#[must_use]
pub fn off_by_pitch(left: &Value, right: &Value, wanted: &Value) -> Value {
    (mean_gap(left, right) - wanted).named("gap off by the pitch")
}

fn mean_gap(left: &Value, right: &Value) -> Value {
    ((left + right) / Value::constant(2.0)).named("mean gap, each turn counted once")
}

/// How far the planter runs to the right of its tractor's middle, from what that adds to a gap: half
/// of it where the tractor follows lines a pitch apart, since both passes of a gap lean; all of it
/// where it follows what the pass before left, since the pass before is then where it is.
///
/// With [`off_by_side`] the first is (mean gap, left turns - mean gap, right turns) / 4.
///
/// ```
/// use alleytrue::calculations::guess_rows::{Steering, to_the_right};
/// use alleytrue::working::Value;
/// let off = Value::constant(2.0);
/// assert_eq!(to_the_right(&off, Steering::Lines).number(), 1.0);
/// assert_eq!(to_the_right(&off, Steering::MarkerArms).number(), 2.0);
/// ```
#[must_use]
pub fn to_the_right(off_by_side: &Value, steering: Steering) -> Value {
    match steering {
        Steering::Lines => off_by_side / Value::constant(2.0),
        Steering::MarkerArms => off_by_side.clone(),
    }
}

/// From the first row of a pass to its last: (rows - 1) × row spacing.
///
/// ```
/// use alleytrue::calculations::guess_rows::outer_rows;
/// use alleytrue::working::Value;
/// let [rows, spacing] = [4.0, 30.0].map(Value::constant);
/// assert_eq!(outer_rows(&rows, &spacing).number(), 90.0);
/// ```
#[must_use]
pub fn outer_rows(rows: &Value, row_spacing: &Value) -> Value {
    ((rows - Value::constant(1.0)) * row_spacing).named("outer row to outer row of a pass")
}

/// Side and pitch from gaps after turns both ways; from those of one turn the mean gap alone.
#[must_use]
pub fn calibrate(inputs: &Inputs, common: &Common) -> Outcome {
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = ON_THE_RANGE.to_vec();
    outcome.warnings.extend(readings::left_out_remark(common.left_out(CALCULATION), SUBJECT));
    let page = Page::new(inputs, common);
    match (inputs.left.is_empty(), inputs.right.is_empty()) {
        (false, false) => page.both_turns(&mut outcome),
        (false, true) => page.one_turn(Turn::Left, &inputs.left, &mut outcome),
        (true, false) => page.one_turn(Turn::Right, &inputs.right, &mut outcome),
        (true, true) => None,
    };
    outcome
}

/// What is the same on the whole page.
struct Page<'a> {
    inputs: &'a Inputs,
    common: &'a Common,
    row_spacing: Value,
    rows: Value,
    wanted: Value,
    tolerance: Option<Value>,
}

/// What makes gaps be off.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Fault {
    Side,
    Pitch,
}

/// A fault with how sure it is, and what would mend it.
struct Found {
    fault: Fault,
    /// How far it puts a gap off.
    off: Value,
    /// How large it is.
    by: Value,
    /// Both ends of its interval.
    ends: Option<[Value; 2]>,
    judgement: Judgement,
    setting: SettingResult,
}

impl Fault {
    /// As what it is measured.
    fn name(self) -> &'static str {
        match self {
            Fault::Side => "planter to the right",
            Fault::Pitch => "passes too far apart",
        }
    }

    /// What is to be mended.
    fn cause(self) -> &'static str {
        match self {
            Fault::Side => "the planter's side",
            Fault::Pitch => "the pitch of the passes",
        }
    }
}

impl Found {
    /// A fault is as large as it is and belongs to be nothing; `way` is where it has to go.
    fn new(
        fault: Fault,
        off: Value,
        by: Value,
        ends: Option<[Value; 2]>,
        judgement: Judgement,
        way: &str,
    ) -> Found {
        let words = format!("{} {way}", in_words(&by.magnitude()));
        let nothing = by.magnitude() * Value::constant(0.0);
        let setting = setting(fault.name(), &by, nothing, &judgement.decision, words);
        Found { fault, off, by, ends, judgement, setting }
    }

    fn is_to_change(&self) -> bool {
        matches!(self.setting.verdict, Verdict::Change(_))
    }
}

/// Gaps after turns of both ways.
struct Turns {
    left: Moments,
    right: Moments,
}

impl<'a> Page<'a> {
    fn new(inputs: &'a Inputs, common: &'a Common) -> Self {
        let units = &common.units;
        let row_spacing = units.length("row spacing", &inputs.row_spacing);
        let bare = inputs.pass_gap.as_ref().filter(|length| length.base() > 0.0);
        let wanted = match bare {
            Some(bare) => (&row_spacing + units.length("pass gap", bare)).named("gap wanted"),
            None => row_spacing.clone(),
        };
        let tolerance = inputs.tolerance.as_ref();
        Page {
            inputs,
            common,
            rows: Value::typed("rows", inputs.rows, Unit::ONE),
            wanted,
            row_spacing,
            tolerance: tolerance.map(|length| units.length("guess-row tolerance", length)),
        }
    }

    fn judge(&self, groups: Vec<Vec<Value>>, error: &Value) -> Option<Judgement> {
        Judgement::of(Evidence {
            subject: SUBJECT,
            groups,
            parted: Some(&BY_TURN),
            known: None,
            error: error.clone(),
            // Half the difference of two means scatters as their middle does.
            to_error: &|spread| spread,
            jitter: None,
            tolerance: self.tolerance.clone(),
            tolerance_key: "guess-rows",
            key: CALCULATION.key,
            confidence: self.common.confidence,
            in_plot_order: false,
            left_out: self.common.left_out(CALCULATION),
        })
    }

    fn both_turns(&self, outcome: &mut Outcome) -> Option<()> {
        let units = &self.common.units;
        let groups = || vec![units.readings(&self.inputs.left), units.readings(&self.inputs.right)];
        let of = |turn: usize| {
            let subject = [SUBJECT, BY_TURN.tags[turn]].concat();
            Moments::of(&subject, groups().get(turn)?)
        };
        let turns = Turns { left: of(0)?, right: of(1)? };
        let side = off_by_side(&turns.left.mean, &turns.right.mean);
        let pitch = off_by_pitch(&turns.left.mean, &turns.right.mean, &self.wanted);
        let mut found = [
            self.side(side.clone(), self.judge(groups(), &side)?),
            self.pitch(pitch.clone(), self.judge(groups(), &pitch)?),
        ];
        one_at_a_time(&mut found);
        for one in &found {
            outcome.values.push(one.by.clone());
            outcome.values.extend(one.ends.iter().flatten().cloned());
        }
        outcome.values.extend(self.pitches(&turns));
        outcome.tables = vec![self.by_turn(&turns), faults(&found, &self.unit())];
        outcome.pictures.push(self.picture(&turns));
        outcome.next = self.next(&found);
        outcome.cautions = self.cautions(&found);
        ground::add(self, &turns, &found, outcome);
        outcome.settings = found.iter().map(|one| one.setting.clone()).collect();
        let [side, pitch] = found;
        // The larger fault is spoken of in full; what is said of the readings is the same.
        let larger = side.off.number().abs() >= pitch.off.number().abs();
        let (first, second) = if larger { (side, pitch) } else { (pitch, side) };
        outcome.values.extend(second.judgement.figures);
        outcome.judge(first.judgement);
        Some(())
    }

    /// The pitch of the passes and the pitch wanted: outer rows and gap together.
    fn pitches(&self, turns: &Turns) -> [Value; 2] {
        let rows = outer_rows(&self.rows, &self.row_spacing);
        let gap = mean_gap(&turns.left.mean, &turns.right.mean);
        [(&rows + gap).named("pitch of the passes"), (rows + &self.wanted).named("pitch wanted")]
    }

    /// The planter's side, which belongs in the tractor's middle.
    fn side(&self, off: Value, judgement: Judgement) -> Found {
        let right = |off: &Value, end: &str| {
            let name = [Fault::Side.name(), end].concat();
            to_the_right(off, self.inputs.steering).named(name)
        };
        let by = right(&off, "");
        let ends = judgement
            .interval
            .as_ref()
            .map(|interval| [right(&interval.low, ", low"), right(&interval.high, ", high")]);
        let way = if by.number() > 0.0 { "to the left" } else { "to the right" };
        Found::new(Fault::Side, off, by, ends, judgement, way)
    }

    /// The pitch of the passes: what it adds to every gap is its error.
    fn pitch(&self, off: Value, judgement: Judgement) -> Found {
        let ends = judgement.interval.as_ref();
        let ends = ends.map(|interval| [interval.low.clone(), interval.high.clone()]);
        let way = self.nearer_or_further(&off);
        Found::new(Fault::Pitch, off.clone(), off, ends, judgement, way)
    }

    /// Which way the pitch has to go.
    fn nearer_or_further(&self, off: &Value) -> &'static str {
        match (self.inputs.steering, off.number() > 0.0) {
            (Steering::Lines, true) => "closer together",
            (Steering::Lines, false) => "further apart",
            (Steering::MarkerArms, true) => "off both marker arms",
            (Steering::MarkerArms, false) => "on to both marker arms",
        }
    }

    /// Gaps after turns of one way: how far they are off, by side and pitch together.
    fn one_turn(&self, turn: Turn, gaps: &[Length], outcome: &mut Outcome) -> Option<()> {
        let gaps = self.common.units.readings(gaps);
        let mean = statistics::mean(SUBJECT, &gaps)?;
        let off = (&mean - &self.wanted).named("gap off by side and pitch together");
        let mut judgement = self.judge(vec![gaps], &off)?;
        let (this, other) = match turn {
            Turn::Left => ("left", "right"),
            Turn::Right => ("right", "left"),
        };
        let words = format!(
            "all gaps follow {this} turns, and the planter's side can't be parted from the pitch: \
             tape gaps after {other} turns too"
        );
        judgement.decision = Decision::Measure(words.clone());
        outcome.values.extend([mean.clone(), off]);
        let name = format!("gap after {this} turns");
        let wanted = self.wanted.clone();
        outcome.settings = vec![setting(&name, &mean, wanted, &judgement.decision, String::new())];
        outcome.next = Some(Next::about(CALCULATION, &mean, words));
        outcome.judge(judgement);
        Some(())
    }

    /// The one thing to do: the larger fault that is to be mended, else what is open.
    fn next(&self, found: &[Found; 2]) -> Option<Next> {
        if let Some(change) = found.iter().find(|one| one.is_to_change()) {
            return Some(Next {
                calculation: CALCULATION,
                setting: Some(change.setting.name.clone()),
                now: change.setting.now.clone(),
                set: Some(change.setting.set.clone()),
                instruction: format!(
                    "{}; then mark these runs `out-of-date`, plant passes with turns both ways \
                     and tape the gaps again",
                    self.instruction(change)
                ),
            });
        }
        let open = found.iter().find_map(|one| match &one.setting.verdict {
            Verdict::Measure(reason) => Some((one, reason)),
            _ => None,
        });
        open.map(|(one, reason)| Next::only(CALCULATION, format!("{}: {reason}", one.setting.name)))
    }

    /// What to set, by how much and which way. The machine's own words are left to its manual.
    fn instruction(&self, found: &Found) -> String {
        let off = in_words(&found.off.magnitude());
        let positive = found.off.number() > 0.0;
        match (found.fault, self.inputs.steering) {
            (Fault::Side, Steering::Lines) => {
                let right = in_words(&found.by.magnitude());
                let (to, off) = if positive { ("left", "right") } else { ("right", "left") };
                format!(
                    "move the planter {right} to the {to} at its hitch, or tell the guidance that \
                     it runs {right} to the {off} of the tractor's middle (the line offset; its \
                     manual has the word and the sign)"
                )
            }
            (Fault::Side, Steering::MarkerArms) => {
                let (to, other) = if positive { ("left", "right") } else { ("right", "left") };
                format!(
                    "make the {other} marker arm {off} longer and the {to} one {off} shorter, or \
                     move the planter {off} to the {to} at its hitch, not both"
                )
            }
            (Fault::Pitch, Steering::Lines) => format!(
                "set the lines {off} {} than they are now (the spacing of the lines or the \
                 working width; its manual has the word)",
                self.nearer_or_further(&found.off)
            ),
            (Fault::Pitch, Steering::MarkerArms) => {
                let way = if positive { "shorter" } else { "longer" };
                format!("make both marker arms {off} {way}")
            }
        }
    }

    /// Hands go to the hitch or to an arm, or the guidance is told.
    fn cautions(&self, found: &[Found; 2]) -> Vec<&'static Caution> {
        let change = found.iter().find(|one| one.is_to_change());
        let cautions = match (change.map(|one| one.fault), self.inputs.steering) {
            (None, _) => ON_THE_RANGE,
            (Some(Fault::Pitch), Steering::Lines) => IN_THE_CAB,
            _ => AT_THE_HITCH,
        };
        cautions.to_vec()
    }

    fn unit(&self) -> String {
        self.common.units.length.to_string()
    }

    fn by_turn(&self, turns: &Turns) -> Table {
        let unit = self.unit();
        let of = |name: &str| format!("{name}_{unit}");
        let columns = vec![
            Column::new("turn", "turn", ""),
            Column::new("readings", "readings", ""),
            Column::new(of("mean"), "mean", &unit),
            Column::new(of("sd"), "SD", &unit),
            Column::new(of("off"), "off", &unit),
        ];
        let row = |turn: &str, gaps: &Moments| {
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a count
            let count = Cell::Count(gaps.count.number() as u32);
            let sd = gaps.scatter.as_ref().map(|scatter| scatter.sd.number());
            vec![
                Cell::Text(turn.into()),
                count,
                Cell::Number(gaps.mean.number(), 2),
                sd.map_or(Cell::Empty, |sd| Cell::Number(sd, 2)),
                Cell::Number((&gaps.mean - &self.wanted).number(), 2),
            ]
        };
        Table {
            key: "guess-rows",
            title: format!(
                "Gaps between passes, turn by turn (wanted: {})",
                in_words(&self.wanted)
            ),
            columns,
            rows: vec![row("left", &turns.left), row("right", &turns.right)],
        }
    }

    fn picture(&self, turns: &Turns) -> Picture {
        let bar = |label: &str, gaps: &Moments| (label.to_owned(), gaps.mean.number());
        Picture::Bars(Bars {
            title: "Mean gap between passes (| the gap wanted)".into(),
            unit: self.unit(),
            limit: self.wanted.number(),
            rows: vec![bar("left turns", &turns.left), bar("right turns", &turns.right)],
        })
    }
}

/// What to do with something that is set by hand, in the words for a change of it.
fn setting(
    name: &str,
    now: &Value,
    exact: Value,
    decision: &Decision,
    change: String,
) -> SettingResult {
    let (set, verdict) = match decision {
        Decision::Change => (exact.clone(), Verdict::Change(change)),
        Decision::Keep(reason) => (now.clone(), Verdict::Keep(reason.clone())),
        Decision::Measure(reason) => (now.clone(), Verdict::Measure(reason.clone())),
        Decision::Wait(reason) => (now.clone(), Verdict::Wait(reason.clone())),
    };
    SettingResult { name: name.into(), key: None, now: Some(now.clone()), exact, set, verdict }
}

/// Where both faults are to be mended, the one that puts gaps off by less waits.
fn one_at_a_time(found: &mut [Found; 2]) {
    if !found.iter().all(Found::is_to_change) {
        return;
    }
    let [side, pitch] = found;
    let side_first = side.off.number().abs() >= pitch.off.number().abs();
    let (first, second) = if side_first { (side, pitch) } else { (pitch, side) };
    let why = format!("one thing at a time: {} first, which does more", first.fault.cause());
    second.setting = second.setting.clone().waiting(why);
}

/// Both faults with their intervals, and how far each puts a gap off.
fn faults(found: &[Found; 2], unit: &str) -> Table {
    let of = |name: &str| format!("{name}_{unit}");
    let columns = vec![
        Column::new("fault", "fault", ""),
        Column::new(of("by"), "by", unit),
        Column::new(of("low"), "low", unit),
        Column::new(of("high"), "high", unit),
        Column::new(of("gap_off"), "gap off", unit),
    ];
    let row = |one: &Found| {
        let number = |value: Option<&Value>| {
            value.map_or(Cell::Empty, |value| Cell::Number(value.number(), 2))
        };
        let [low, high] = [0, 1].map(|end| number(one.ends.as_ref().map(|ends| &ends[end])));
        let name = Cell::Text(one.fault.name().into());
        vec![name, number(Some(&one.by)), low, high, number(Some(&one.off))]
    };
    Table {
        key: "pass-faults",
        title: "What puts the gaps off".into(),
        columns,
        rows: found.iter().map(row).collect(),
    }
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "guess-rows",
    about: "Guess rows: the planter's side and the pitch of the passes",
    lacks: "[[guess-row-run]] that can be used",
    advice: "add a [[guess-row-run]] with `turn`, `steered-by` and `gap = [...]` for turns to the left, and one for turns to the right",
    has_readings: true,
    tolerances: &[("guess-rows", "gap between passes, by side and by pitch")],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    /// Gaps after left turns, then those after right turns.
    fn leave_out(&mut self, key: &str, places: &[usize]) -> usize {
        if key != CALCULATION.key {
            return 0;
        }
        readings::leave_out([&mut self.left, &mut self.right].into_iter(), places)
    }

    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        Ok(vec![calibrate(self, common)])
    }
}
