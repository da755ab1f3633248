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
//! right turn, `M - W + d` after a left one. An arm that is too short does the same to the gap on
//! its side, so side and arms can't be told apart, and need not: either mends the gap.

mod faults;
mod formulas;
mod ground;
mod inputs;
mod page;

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
    Adjustment, Bars, By, ByHand, Calculation, Caution, Cell, Column, Decision, Judgement, Next,
    Outcome, Picture, Table, Verdict,
};
use crate::quantity::Length;
use crate::statistics::{self, Moments};
use crate::working::Value;

use faults::{Fault, Found, faults, one_at_a_time, setting};
use formulas::mean_gap;
use page::{Page, Turns};

pub use formulas::{off_by_pitch, off_by_side, outer_rows, to_the_right};
pub use inputs::{Inputs, Steering, Turn};

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "guess-rows", title: "Guess rows" };

/// What one reading is.
const SUBJECT: &str = "gap";

/// What is adjusted at the hitch or at a marker arm.
pub static AT_THE_HITCH: &[&Caution] =
    &[&MANUAL_FIRST, &STOP_FIRST, &BLOCK_RAISED, &NO_RIDERS, &SEED_TAG];
/// What is entered into the guidance.
static IN_THE_CAB: &[&Caution] = &[&MANUAL_FIRST, &NO_RIDERS, &SEED_TAG];

static BY_TURN: Parted = Parted {
    tags: [", left turns", ", right turns"],
    ways: [" after left turns", " after right turns"],
    both: "both turns",
};

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

/// What is moved, in the words of its verdict.
fn hitch(change: &Found) -> Adjustment {
    let words = match change.fault {
        Fault::Side => format!("planter {}", change.setting.verdict.reason()),
        Fault::Pitch => format!("passes {}", change.setting.verdict.reason()),
    };
    let why = format!("{} {}", change.fault.name(), in_words(&change.by));
    Adjustment { what: ByHand::Hitch, by: By::Words(words), error: Some(change.off.clone()), why }
}

impl Page<'_> {
    fn judge(&self, groups: Vec<Vec<Value>>, error: &Value) -> Option<Judgement> {
        Judgement::of(&Evidence {
            subject: SUBJECT,
            groups,
            parted: Some(&BY_TURN),
            known: None,
            error: error.clone(),
            // Half the difference of two means scatters as their middle does.
            to_error: &|spread| spread,
            jitter: None,
            tolerance: self.tolerance.clone(),
            reach: None,
            apart: None,
            of_runs: vec![],
            by_run: false,
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
                by_hand: vec![hitch(change)],
                instruction: format!(
                    "{}; put it into the sheet by `alleytrue apply`, plant passes with turns \
                     both ways and tape the gaps again",
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

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "guess-rows",
    about: "Guess rows: the planter's side and the pitch of the passes",
    lacks: "[[guess-row-run]] that can be used",
    advice: "add a [[guess-row-run]] with `turn`, `steered-by` and `gap = [...]` for turns to the left, and one for turns to the right",
    has_readings: true,
    runs: &["guess-row-run"],
    warnings: &[],
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
