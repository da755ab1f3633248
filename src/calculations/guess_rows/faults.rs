//! What puts gaps off: the planter's side and the pitch of its passes.

use crate::outcome::wording::in_words;
use crate::outcome::{Cell, Column, Decision, Judgement, SettingResult, Table, Verdict};
use crate::working::Value;

/// What makes gaps be off.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Fault {
    Side,
    Pitch,
}

/// A fault with how sure it is, and what would mend it.
pub(super) struct Found {
    pub(super) fault: Fault,
    /// How far it puts a gap off.
    pub(super) off: Value,
    /// How large it is.
    pub(super) by: Value,
    /// Both ends of its interval.
    pub(super) ends: Option<[Value; 2]>,
    pub(super) judgement: Judgement,
    pub(super) setting: SettingResult,
}

impl Fault {
    /// As what it is measured.
    pub(super) fn name(self) -> &'static str {
        match self {
            Fault::Side => "planter to the right",
            Fault::Pitch => "passes too far apart",
        }
    }

    /// What is to be mended.
    pub(super) fn cause(self) -> &'static str {
        match self {
            Fault::Side => "the planter's side",
            Fault::Pitch => "the pitch of the passes",
        }
    }
}

impl Found {
    /// A fault is as large as it is and belongs to be nothing; `way` is where it has to go.
    pub(super) fn new(
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

    pub(super) fn is_to_change(&self) -> bool {
        matches!(self.setting.verdict, Verdict::Change(_))
    }
}

/// What to do with something that is set by hand, in the words for a change of it.
pub(super) fn setting(
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
pub(super) fn one_at_a_time(found: &mut [Found; 2]) {
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
pub(super) fn faults(found: &[Found; 2], unit: &str) -> Table {
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
