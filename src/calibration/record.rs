//! The record: what was changed and when, which measurements a change makes out of date, and
//! whether every calibration still holds.

use crate::quantity::LengthUnit;

use super::changeover::{ADVICE, CLEAN_OUT, FILL, HAND_OVER, RUN_OUT, SWEEP_AFTER, SWEEP_FOR};
use super::operating_point::{OperatingPoint, Part, Planter};
use super::sequence::Report;
use super::setting::{PASS_OFFSET, SETBACK, SETTINGS_OF_CONTROLLER, Setting, TRIP_SCALE};
use super::{
    Calculation, Outcome, SettingResult, Value, Verdict, alley, changeover, passes, rows, spacing,
    speed, trip,
};

/// What one kind of change does to measurements.
#[derive(Debug)]
pub struct Effect {
    /// The run tables it makes out of date, each with the reason.
    pub outdates: &'static [(&'static str, &'static str)],
}

/// The trip scale is changed.
///
/// trip-run: readouts and taped lengths were made by the old scale; new = old × believed / true
/// would correct twice. alley-run, pass-run: the trip comes at another place for every count, and
/// setback and pass offset are counted out with the same scale, so alleys move along the travel.
/// What lies inside a changeover is timed from its trip, so widths, bunched seeds and rows stay.
static BY_TRIP_SCALE: Effect = Effect {
    outdates: &[
        ("trip-run", "made with the old scale"),
        ("alley-run", "every trip comes at another place"),
        ("pass-run", "every trip comes at another place"),
    ],
};

/// The setback is changed.
///
/// alley-run: the middle moves by the change. pass-run: alleys of both headings move alike in
/// their own travel, so a lead changes by twice as much. Trip to trip all alleys move alike, and
/// both edges of an alley do, so trip runs and changeover runs stay.
static BY_SETBACK: Effect = Effect {
    outdates: &[
        ("alley-run", "the middle of every alley moves by the change"),
        ("pass-run", "leads change by twice the change"),
    ],
};

/// The pass offset is changed: alleys of both headings move along their own travel by the change,
/// as with the setback.
static BY_PASS_OFFSET: Effect = Effect {
    outdates: &[
        ("pass-run", "leads change by twice the change"),
        ("alley-run", "the alleys of both headings move by the change"),
    ],
};

/// The hand-over is changed: only what was seen of the falling lot. It is no part of the plate's
/// travel q(t), so no edge moves.
static BY_HAND_OVER: Effect =
    Effect { outdates: &[("changeover-run", "the new lot falls for another time")] };

/// Clean-out, run-out, fill or sweep is changed: t_last = q^-1(q(t_e) + k) and t_first =
/// q^-1(q(T_c + t_p) + k) move, or other seeds are the last and first that are left; so do the
/// width (t_first - t_last) and the middle.
static BY_TIMER: Effect = Effect {
    outdates: &[
        ("changeover-run", "the edges of every plot move"),
        ("alley-run", "the middle of every alley moves"),
        ("pass-run", "the middle of every alley moves"),
    ],
};

/// A sprocket is swapped: s = travel per turn / (R × cells) changes, and with it the ground rate
/// v/s inside q(t) and every share of a spacing. What the wheel does on the ground stays.
static BY_SPROCKET: Effect = Effect {
    outdates: &[
        ("spacing-run", "seeds stand at another spacing"),
        ("stand-count", "seeds stand at another spacing"),
        ("row-run", "shares of a spacing are of the old spacing"),
        ("changeover-run", "the plate turns at another rate"),
        ("alley-run", "the edges move with the rate of the plate"),
        ("pass-run", "the edges move with the rate of the plate"),
    ],
};

/// A setting that the record can follow.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Subject {
    /// One of `[settings]` or a timer of `[changeover]`.
    Held(&'static Setting),
    /// One sprocket of a chain, counted from one, from the wheel to the plate.
    Sprocket {
        /// Which chain.
        chain: usize,
        /// The sprocket that drives it, or the one it drives.
        driving: bool,
    },
}

/// The timers of `[changeover]`.
pub static TIMERS: [&Setting; 6] =
    [&HAND_OVER, &CLEAN_OUT, &RUN_OUT, &FILL, &SWEEP_AFTER, &SWEEP_FOR];

impl Subject {
    /// The setting of a key, as `[[history]]` has it.
    ///
    /// ```
    /// use alleytrue::calibration::record::Subject;
    /// let key = |text| Subject::of_key(text).map(|subject| subject.key());
    /// assert_eq!(key("setback").as_deref(), Some("setback"));
    /// assert_eq!(key("chain-2-driven").as_deref(), Some("chain-2-driven"));
    /// assert_eq!(key("chain-0-driven"), None);
    /// assert_eq!(key("seat height"), None);
    /// ```
    #[must_use]
    pub fn of_key(key: &str) -> Option<Subject> {
        let held = SETTINGS_OF_CONTROLLER.iter().chain(&TIMERS).find(|one| one.key == key);
        if let Some(setting) = held {
            return Some(Subject::Held(setting));
        }
        let (chain, side) = key.strip_prefix("chain-")?.split_once('-')?;
        let plain = chain.bytes().all(|byte| byte.is_ascii_digit()) && !chain.starts_with('0');
        let chain = chain.parse().ok().filter(|chain| plain && *chain > 0)?;
        match side {
            "driving" => Some(Subject::Sprocket { chain, driving: true }),
            "driven" => Some(Subject::Sprocket { chain, driving: false }),
            _ => None,
        }
    }

    /// The setting that a result is about.
    #[must_use]
    pub fn of_result(result: &SettingResult) -> Option<Subject> {
        match result.key {
            Some(key) => Subject::of_key(key),
            None => Subject::of_key(&result.name.replace(' ', "-")),
        }
    }

    /// Its key.
    #[must_use]
    pub fn key(&self) -> String {
        match self {
            Subject::Held(setting) => setting.key.into(),
            Subject::Sprocket { .. } => self.name().replace(' ', "-"),
        }
    }

    /// Its name in words.
    #[must_use]
    pub fn name(&self) -> String {
        match self {
            Subject::Held(setting) => setting.name.into(),
            Subject::Sprocket { chain, driving } => {
                format!("chain {chain} {}", if *driving { "driving" } else { "driven" })
            }
        }
    }

    /// What changing it does to measurements.
    #[must_use]
    pub fn effect(&self) -> &'static Effect {
        match self {
            Subject::Sprocket { .. } => &BY_SPROCKET,
            Subject::Held(setting) if *setting == &TRIP_SCALE => &BY_TRIP_SCALE,
            Subject::Held(setting) if *setting == &SETBACK => &BY_SETBACK,
            Subject::Held(setting) if *setting == &PASS_OFFSET => &BY_PASS_OFFSET,
            Subject::Held(setting) if *setting == &HAND_OVER => &BY_HAND_OVER,
            Subject::Held(_) => &BY_TIMER,
        }
    }

    /// The calibration it belongs to.
    fn calibration(&self) -> &'static Calibration {
        let key = match self {
            Subject::Sprocket { .. } => spacing::CALCULATION.key,
            Subject::Held(setting) if *setting == &TRIP_SCALE => trip::CALCULATION.key,
            Subject::Held(setting) if *setting == &SETBACK => alley::CALCULATION.key,
            Subject::Held(setting) if *setting == &PASS_OFFSET => passes::CALCULATION.key,
            Subject::Held(_) => changeover::CALCULATION.key,
        };
        let found = CALIBRATIONS.iter().find(|one| one.calculation.key == key);
        found.unwrap_or(&CALIBRATIONS[0])
    }
}

/// What it takes for a calibration to hold.
#[derive(Debug)]
pub struct Calibration {
    /// The calculation that works it out.
    calculation: &'static Calculation,
    /// What is calibrated, in words.
    name: &'static str,
    /// Runs that measure it; none where it is worked out from the sheet every time.
    proof: &'static [&'static str],
    /// What of the operating point it rests on.
    rests_on: &'static [Part],
}

/// Every calibration, in working order, with what it rests on.
///
/// Speed and spacing are worked out against the present target every time. Rows: an edge is held
/// against the seed spacing. Trip: wheel counts per length change with the skid, and that with
/// the speed; seeds, alley and boost are not in the formula. Changeover, setback and pass offset:
/// v, s, the boost and the alley all stand in q(t), t_last and t_first.
static CALIBRATIONS: [Calibration; 7] = [
    Calibration {
        calculation: &speed::CALCULATION,
        name: "ground speed",
        proof: &["speed-run"],
        rests_on: &[],
    },
    Calibration {
        calculation: &spacing::CALCULATION,
        name: "seed spacing",
        proof: &[],
        rests_on: &[],
    },
    Calibration {
        calculation: &changeover::CALCULATION,
        name: "changeover timers",
        proof: &["changeover-run"],
        rests_on: Part::ALL,
    },
    Calibration {
        calculation: &rows::CALCULATION,
        name: "rows together",
        proof: &["row-run"],
        rests_on: &[Part::Seeds],
    },
    Calibration {
        calculation: &trip::CALCULATION,
        name: TRIP_SCALE.name,
        proof: &["trip-run"],
        rests_on: &[Part::Speed],
    },
    Calibration {
        calculation: &alley::CALCULATION,
        name: SETBACK.name,
        proof: &["alley-run"],
        rests_on: Part::ALL,
    },
    Calibration {
        calculation: &passes::CALCULATION,
        name: PASS_OFFSET.name,
        proof: &["pass-run"],
        rests_on: Part::ALL,
    },
];

/// A run of measurements, as far as the record goes.
#[derive(Clone, Debug)]
pub struct Run {
    /// Its table.
    pub table: &'static str,
    /// Which of its kind, counted from one in the order of the sheet.
    pub number: usize,
    /// When it was made: year, month, day.
    pub date: Option<String>,
    /// What the sheet said of its operating point.
    pub point: OperatingPoint,
    /// The change that made it out of date, in words.
    pub out_of_date: Option<String>,
}

impl Run {
    /// What it goes by in `[[history]]`.
    #[must_use]
    pub fn name(&self) -> String {
        format!("{} {}", self.table, self.number)
    }
}

/// A number as typed, with what it comes to in base units, for pictures.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// As typed.
    pub text: String,
    /// In millimetres, seconds, teeth, counts.
    pub base: f64,
}

/// A change of a setting.
#[derive(Clone, Debug)]
pub struct Change {
    /// When: year, month, day.
    pub date: String,
    /// What was changed.
    pub setting: Subject,
    /// What it was before.
    pub from: Held,
    /// What it was changed to.
    pub to: Held,
    /// The error that was measured before.
    pub error: Option<Held>,
    /// Why.
    pub reason: Option<String>,
    /// The runs it came from.
    pub runs: Vec<String>,
    /// What it was changed for.
    pub point: OperatingPoint,
}

/// What a sheet remembers.
#[derive(Clone, Debug, Default)]
pub struct Record {
    /// The operating point the sheet is for.
    pub present: OperatingPoint,
    /// What it takes to compare operating points.
    pub planter: Planter,
    /// Every run, in the order of the sheet, those out of date too.
    pub runs: Vec<Run>,
    /// Every change, in the order of the sheet.
    pub changes: Vec<Change>,
    /// The settings that the sheet holds.
    pub held: Vec<Subject>,
}

impl Record {
    /// The runs of some kinds that are not out of date.
    fn live<'a>(&'a self, tables: &'a [&'static str]) -> impl Iterator<Item = &'a Run> {
        self.runs.iter().filter(|run| tables.contains(&run.table) && run.out_of_date.is_none())
    }

    /// The newest change that made runs of these kinds out of date.
    fn newest_change(&self, tables: &[&str]) -> Option<&Change> {
        let touches = |change: &&Change| {
            let outdates = change.setting.effect().outdates;
            outdates.iter().any(|(table, _)| tables.contains(table))
        };
        // The last of equal dates.
        self.changes.iter().filter(touches).max_by(|a, b| a.date.cmp(&b.date))
    }
}

/// A change worked out by the calculations, on its way into the sheet.
#[derive(Clone, Debug)]
pub struct Wanted {
    /// What is to change.
    pub setting: Subject,
    /// The new value.
    pub set: Value,
    /// Whether the controller's step made it, so that every digit counts.
    pub on_step: bool,
    /// The error it takes out.
    pub error: Option<Value>,
    /// Why.
    pub reason: String,
    /// The runs it came from.
    pub runs: Vec<String>,
}

/// Why no change can be put into the sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoChange {
    /// There is nothing to change.
    Nothing(String),
    /// The next step is to be measured or done by hand.
    ByHand(String),
    /// The setting that was named is not one to change now.
    NotNow(String),
    /// It would be two changes at once.
    Two(String),
}

/// What to change: what was named, everything, or the report's next step.
#[derive(Clone, Copy, Debug)]
pub enum Choice<'a> {
    /// The report's next step.
    Next,
    /// One setting by its key.
    Named(Subject),
    /// Several settings by their keys.
    Several(&'a [Subject]),
    /// Everything that has to change.
    All,
}

/// Why two changes at once are refused.
const ONE_AT_A_TIME: &str =
    "after two changes nobody can tell which of them did what; plant and measure between them";

/// The changes that a report asks for, as chosen.
///
/// # Errors
///
/// [`NoChange`] where there are none, or too many.
pub fn choose(
    report: &Report,
    record: &Record,
    choice: Choice<'_>,
) -> Result<Vec<Wanted>, NoChange> {
    let all = open_changes(report, record);
    let chosen = match choice {
        Choice::All if all.is_empty() => return Err(nothing(report)),
        Choice::All => return Ok(all),
        Choice::Several(subjects) => {
            let names: Vec<String> = subjects.iter().map(Subject::name).collect();
            return Err(NoChange::Two(format!("{} at once: {ONE_AT_A_TIME}", names.join(" and "))));
        }
        Choice::Named(subject) => named(report, all, subject)?,
        Choice::Next => next(report, all)?,
    };
    if let Some(open) = unmeasured(record) {
        return Err(NoChange::Two(format!(
            "the {} was changed on {} and has not been measured since: {ONE_AT_A_TIME}",
            open.setting.name(),
            open.date
        )));
    }
    Ok(chosen)
}

/// The newest change that nothing has been measured after, if there is one. A sprocket needs no
/// run: its spacing is worked out.
fn unmeasured(record: &Record) -> Option<&Change> {
    let last = record.changes.last()?;
    let proof = last.setting.calibration().proof;
    let pending = !proof.is_empty() && record.live(proof).next().is_none();
    pending.then_some(last)
}

fn next(report: &Report, all: Vec<Wanted>) -> Result<Vec<Wanted>, NoChange> {
    let Some(next) = &report.next else { return Err(nothing(report)) };
    let of_next = |wanted: &Wanted| match wanted.setting {
        // Swaps of one combination are one change.
        Subject::Sprocket { .. } => next.calculation.key == spacing::CALCULATION.key,
        Subject::Held(setting) => next.setting.as_deref() == Some(setting.name),
    };
    let chosen: Vec<Wanted> = all.into_iter().filter(of_next).collect();
    match chosen.is_empty() {
        false => Ok(chosen),
        true if report.not_measured.is_empty() => Err(NoChange::ByHand(next.instruction.clone())),
        true => Err(nothing(report)),
    }
}

fn named(report: &Report, all: Vec<Wanted>, subject: Subject) -> Result<Vec<Wanted>, NoChange> {
    let same = |other: &Subject| match (subject, other) {
        (Subject::Sprocket { .. }, Subject::Sprocket { .. }) => true,
        (one, other) => one == *other,
    };
    let chosen: Vec<Wanted> = all.into_iter().filter(|one| same(&one.setting)).collect();
    if !chosen.is_empty() {
        return Ok(chosen);
    }
    let name = subject.name();
    let mut results = report.outcomes.iter().flat_map(|outcome| &outcome.settings);
    let why = match results.find(|result| Subject::of_result(result) == Some(subject)) {
        Some(result) => {
            format!("the {name}: {}: {}", result.verdict.word(), result.verdict.reason())
        }
        None => format!("the sheet has no runs that tell what the {name} should be"),
    };
    Err(NoChange::NotNow(why))
}

fn nothing(report: &Report) -> NoChange {
    if !report.not_measured.is_empty() {
        let names: Vec<&str> = report.not_measured.iter().map(|setting| setting.name).collect();
        return NoChange::Nothing(format!(
            "what was measured stays as it is; measure these next: {}",
            names.join(", ")
        ));
    }
    NoChange::Nothing(match &report.next {
        Some(next) => next.instruction.clone(),
        None => "every setting that was measured stays as it is".into(),
    })
}

/// Every setting that a report changes.
fn open_changes(report: &Report, record: &Record) -> Vec<Wanted> {
    let mut all = Vec::new();
    for outcome in &report.outcomes {
        for result in &outcome.settings {
            let (Some(setting), Verdict::Change(words)) =
                (Subject::of_result(result), &result.verdict)
            else {
                continue;
            };
            let error = outcome.judgement.as_ref().map(|judgement| judgement.error.clone());
            let reason = match &error {
                Some(error) => format!(
                    "{} {}",
                    error.name().unwrap_or("error"),
                    super::outcome::in_words(error)
                ),
                None => words.clone(),
            };
            all.push(Wanted {
                setting,
                set: result.set.clone(),
                on_step: result.set.number() != result.exact.number(),
                error,
                reason,
                runs: sources(record, setting),
            });
        }
    }
    all
}

/// The runs that a setting is worked out from.
fn sources(record: &Record, setting: Subject) -> Vec<String> {
    let tables: &[&str] = match setting {
        Subject::Sprocket { .. } => &["wheel-run"],
        Subject::Held(_) => setting.calibration().proof,
    };
    let present = |run: &&Run| !run.point.differs(&record.present, Part::Speed, &record.planter);
    let runs: Vec<&Run> = record.live(tables).filter(present).collect();
    // Widths taped in alley runs speak for the timers where nothing else does.
    let runs = if runs.is_empty() && tables == ["changeover-run"] {
        record.live(&["alley-run"]).filter(present).collect()
    } else {
        runs
    };
    runs.into_iter().map(Run::name).collect()
}

/// Whether one calibration holds, and why not.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Checked {
    /// The calculation.
    pub key: &'static str,
    /// What is calibrated, in words.
    pub name: &'static str,
    /// When its setting was changed last.
    pub changed: Option<String>,
    /// When it was measured last.
    pub measured: Option<String>,
    /// Why it does not hold; empty where it does.
    pub stale: Vec<String>,
}

/// Whether every calibration of a sheet holds at the present operating point.
#[must_use]
pub fn check(record: &Record, report: &Report) -> Vec<Checked> {
    let concerns = |one: &&Calibration| {
        let held = record.held.iter().any(|subject| std::ptr::eq(subject.calibration(), *one));
        let measured = record.runs.iter().any(|run| one.proof.contains(&run.table));
        held || measured || (one.proof.is_empty() && outcomes(report, one).next().is_some())
    };
    CALIBRATIONS.iter().filter(concerns).map(|one| check_one(one, record, report)).collect()
}

/// What a report says of a calibration; the timers have an advice of their own.
fn outcomes<'a>(report: &'a Report, one: &Calibration) -> impl Iterator<Item = &'a Outcome> {
    let key = one.calculation.key;
    report.outcomes.iter().filter(move |outcome| {
        let own = outcome.calculation.key;
        own == key || (own == ADVICE.key && key == changeover::CALCULATION.key)
    })
}

/// The runs that speak for a calibration: widths taped in alley runs speak for the timers where
/// nothing else was ever seen of them.
fn proof(one: &Calibration, record: &Record, report: &Report) -> &'static [&'static str] {
    let seen = record.runs.iter().any(|run| one.proof.contains(&run.table));
    let timers = one.calculation.key == changeover::CALCULATION.key;
    if timers && !seen && outcomes(report, one).next().is_some() {
        return &["alley-run"];
    }
    one.proof
}

fn check_one(one: &'static Calibration, record: &Record, report: &Report) -> Checked {
    let own = |change: &&Change| std::ptr::eq(change.setting.calibration(), one);
    let proof = proof(one, record, report);
    let dates = record.live(proof).filter_map(|run| run.date.clone());
    let mut stale: Vec<String> = proof_lacks(proof, record).into_iter().collect();
    if stale.is_empty() {
        stale.extend(moved_away(one, proof, record));
        stale.extend(outcomes(report, one).filter_map(unsettled));
    }
    Checked {
        key: one.calculation.key,
        name: one.name,
        changed: record.changes.iter().filter(own).map(|change| change.date.clone()).max(),
        measured: dates.max(),
        stale,
    }
}

/// Why there is no measurement to go by, if there is none.
fn proof_lacks(proof: &[&'static str], record: &Record) -> Option<String> {
    let first = proof.first()?;
    let mut runs = record.runs.iter().filter(|run| proof.contains(&run.table)).peekable();
    if runs.peek().is_none() {
        return Some(format!("never measured: no [[{first}]]"));
    }
    let live: Vec<&Run> = record.live(proof).collect();
    if live.is_empty() {
        let why = runs.filter_map(|run| run.out_of_date.as_deref()).next_back().unwrap_or_default();
        return Some(format!("not measured since: {why}"));
    }
    let change = record.newest_change(proof)?;
    let dates: Option<Vec<&str>> = live.iter().map(|run| run.date.as_deref()).collect();
    let newest = dates?.into_iter().max()?;
    (newest < change.date.as_str()).then(|| {
        format!(
            "measured {newest}, before the {} changed on {}",
            change.setting.name(),
            change.date
        )
    })
}

/// What of the operating point is another now than in every measurement.
fn moved_away(one: &Calibration, proof: &[&'static str], record: &Record) -> Vec<String> {
    let moved = |run: &Run| moved_parts(one, proof, run, record).1;
    let all: Vec<Vec<String>> = record.live(proof).map(moved).collect();
    if all.iter().any(Vec::is_empty) { vec![] } else { all.into_iter().last().unwrap_or_default() }
}

/// What of the operating point that a calibration rests on is another now than in a run: the
/// parts, and in words. A run that does not say what it was made at was made at what the change
/// before it was for.
fn moved_parts(
    one: &Calibration,
    proof: &[&'static str],
    run: &Run,
    record: &Record,
) -> (Vec<Part>, Vec<String>) {
    let before = record.newest_change(proof).map(|change| change.point.clone());
    let made_at = run.point.clone().or(&before.unwrap_or_default());
    let differs = |part: &Part| made_at.differs(&record.present, *part, &record.planter);
    let parts: Vec<Part> = one.rests_on.iter().copied().filter(differs).collect();
    let words = |part: &Part| {
        let text = |point: &OperatingPoint| point.text(*part).unwrap_or_default();
        format!(
            "measured at {} {}, the sheet is for {}",
            made_at.word(*part),
            text(&made_at),
            text(&record.present)
        )
    };
    let words = parts.iter().map(words).collect();
    (parts, words)
}

/// The runs that count although they were made for another seed spacing, alley or boost than the
/// sheet is for, by their place in the record, with what is another. Those of another speed are
/// left out: they do not count.
#[must_use]
pub fn made_for_other(record: &Record) -> Vec<(usize, Vec<String>)> {
    let mut found = vec![];
    for (place, run) in record.runs.iter().enumerate() {
        let proves = |one: &&Calibration| one.proof.contains(&run.table);
        let Some(one) = CALIBRATIONS.iter().find(proves) else { continue };
        let (parts, words) = moved_parts(one, one.proof, run, record);
        if run.out_of_date.is_none() && !parts.is_empty() && !parts.contains(&Part::Speed) {
            found.push((place, words));
        }
    }
    found
}

/// What a result leaves open.
fn unsettled(outcome: &Outcome) -> Option<String> {
    let changes: Vec<String> = outcome
        .settings
        .iter()
        .filter_map(|result| match &result.verdict {
            Verdict::Change(words) if outcome.settings.len() > 1 => {
                Some(format!("{}: {words}", result.name))
            }
            Verdict::Change(words) => Some(words.clone()),
            _ => None,
        })
        .collect();
    if !changes.is_empty() {
        return Some(format!("off; {}", changes.join("; ")));
    }
    let open = outcome.settings.iter().find_map(|result| match &result.verdict {
        Verdict::Measure(words) => Some(words.clone()),
        Verdict::Wait(words) => Some(format!("open; {words}")),
        _ => None,
    });
    // What has no setting, such as rows, says it by its next step.
    open.or_else(|| outcome.next.as_ref().map(|next| next.instruction.clone()))
}

/// One point of a course.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// The day, or a word where there is none.
    pub when: String,
    /// What it was.
    pub held: Held,
}

/// What a setting was over time, and its error.
#[derive(Clone, Debug)]
pub struct Course {
    /// Which setting.
    pub setting: Subject,
    /// What it was, oldest first.
    pub values: Vec<Point>,
    /// The errors that were measured, oldest first.
    pub errors: Vec<Point>,
    /// How large an error may stand, in base units.
    pub tolerance: Option<f64>,
}

/// The course of every setting that was ever changed, in the order of the first change; a report
/// adds the error as it is now.
#[must_use]
pub fn courses(record: &Record, report: Option<&Report>) -> Vec<Course> {
    let mut all: Vec<Course> = Vec::new();
    for change in &record.changes {
        let at = all.iter().position(|course| course.setting == change.setting);
        let at = at.unwrap_or_else(|| {
            let values = vec![Point { when: "before".into(), held: change.from.clone() }];
            let setting = change.setting;
            all.push(Course { setting, values, errors: vec![], tolerance: None });
            all.len() - 1
        });
        let course = &mut all[at];
        // Somebody changed it without a line of history.
        if course.values.last().is_some_and(|last| last.held.base != change.from.base) {
            course.values.push(Point { when: "by hand".into(), held: change.from.clone() });
        }
        course.values.push(Point { when: change.date.clone(), held: change.to.clone() });
        let error = change.error.clone();
        course.errors.extend(error.map(|held| Point { when: change.date.clone(), held }));
    }
    for course in &mut all {
        add_present(course, report);
    }
    all
}

/// The error as it is now.
fn add_present(course: &mut Course, report: Option<&Report>) {
    let Some(report) = report else { return };
    let own = |outcome: &&Outcome| {
        outcome.settings.iter().any(|result| Subject::of_result(result) == Some(course.setting))
    };
    let judgement = report.outcomes.iter().find(own).and_then(|one| one.judgement.as_ref());
    let Some(judgement) = judgement else { return };
    let base = |value: &Value| {
        let factor = value.unit().factor_to(LengthUnit::Millimetre.into())?;
        Some(value.number() * factor.value())
    };
    if let Some(now) = base(&judgement.error) {
        let text = super::outcome::in_words(&judgement.error);
        course.errors.push(Point { when: "now".into(), held: Held { text, base: now } });
        course.tolerance = judgement.tolerance.as_ref().and_then(base);
    }
}
