//! Which change to make: one at a time, and none that a run from before it proves.

use super::operating_point::Part;
use crate::calculations::{changeover, spacing};
use crate::outcome::{Outcome, Report, Verdict};
use crate::working::Value;

use super::check::made_before_change;
use super::{Change, Record, Run, Subject, edited_words};

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
    /// Whether it is set for the first time.
    pub is_first: bool,
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
    one_at_a_time(record, |_| false)?;
    let edited = |one: &Wanted| {
        let all = record.edited().into_iter();
        let mut own = all.filter(|(change, _)| change.setting == one.setting);
        own.next().map(|(change, now)| edited_words(change, now))
    };
    if let Some(words) = chosen.iter().find_map(edited) {
        return Err(NoChange::NotNow(format!(
            "{words}: put that back, or make it a change of its own by --setting KEY=VALUE"
        )));
    }
    if let Some(why) = chosen.iter().find_map(|one| proved_by_old(one, record)) {
        return Err(NoChange::NotNow(why));
    }
    Ok(chosen)
}

/// The setback that the speed law has for another speed; nothing where it stays.
///
/// # Errors
///
/// [`NoChange`] where alleys have to be measured at that speed first, or something was changed and not
/// measured since.
pub fn setback_for(record: &Record, outcome: &Outcome) -> Result<Option<Wanted>, NoChange> {
    one_at_a_time(record, |_| false)?;
    let Some(result) = outcome.settings.first() else {
        let words = "the speed: the sheet holds no setback to go with it";
        return Err(NoChange::NotNow(words.into()));
    };
    match (&result.verdict, Subject::of_result(result)) {
        (Verdict::Keep(_), _) => Ok(None),
        (Verdict::Change(words), Some(setting)) => Ok(Some(Wanted {
            setting,
            set: result.set.clone(),
            on_step: result.set.number() != result.exact.number(),
            error: None,
            reason: words.clone(),
            runs: sources_at_any_speed(record),
            is_first: false,
        })),
        (verdict, _) => Err(NoChange::NotNow(format!("the speed: setback {}", verdict.reason()))),
    }
}

/// The runs that a speed law is worked out from.
fn sources_at_any_speed(record: &Record) -> Vec<String> {
    record.live(&["alley-run"]).map(Run::name).collect()
}

/// Refuses a change while the last one was not measured, but for one that `goes_with` it.
pub(super) fn one_at_a_time(
    record: &Record,
    goes_with: impl Fn(Subject) -> bool,
) -> Result<(), NoChange> {
    match unmeasured(record).filter(|open| !goes_with(open.setting)) {
        None => Ok(()),
        Some(open) => Err(NoChange::Two(format!(
            "the {} was changed on {} and has not been measured since: {ONE_AT_A_TIME}",
            open.setting.name(),
            open.date
        ))),
    }
}

/// The newest change that nothing has been measured after, if there is one. A sprocket needs no
/// run: its spacing is worked out.
fn unmeasured(record: &Record) -> Option<&Change> {
    let last = record.changes.iter().rfind(|change| !change.setting.is_beside())?;
    record.unproven(last.setting)
}

/// Why a change would correct twice: a run that it comes from was made before the last change.
fn proved_by_old(wanted: &Wanted, record: &Record) -> Option<String> {
    let of_run = |place: usize| record.runs.get(place).map(Run::name);
    let old = made_before_change(record).into_iter();
    let mut old = old.filter_map(|(place, words)| Some((of_run(place)?, words)));
    let (name, words) = old.find(|(name, _)| wanted.runs.contains(name))?;
    Some(format!(
        "the {}: {name} was {words}; if it was made with the old value, write that under `with` in it, or mend \
         its date",
        wanted.setting.name()
    ))
}

fn next(report: &Report, all: Vec<Wanted>) -> Result<Vec<Wanted>, NoChange> {
    let Some(next) = &report.next else { return Err(nothing(report)) };
    let of_next = |wanted: &Wanted| match wanted.setting {
        // Swaps of one combination are one change.
        Subject::Sprocket { .. } => next.calculation.key == spacing::CALCULATION.key,
        // So are the actions of a machine that was never set.
        Subject::Timed(_) if wanted.is_first => next.calculation.key == changeover::CALCULATION.key,
        Subject::Timed(timed) => next.setting.as_ref() == Some(&timed.name()),
        Subject::Held(setting) => next.setting.as_deref() == Some(setting.name),
        _ => false,
    };
    let chosen: Vec<Wanted> = all.into_iter().filter(of_next).collect();
    match chosen.is_empty() {
        false => Ok(chosen),
        true if report.not_measured.is_empty() => Err(NoChange::ByHand(next.instruction.clone())),
        true => Err(nothing(report)),
    }
}

fn named(report: &Report, all: Vec<Wanted>, subject: Subject) -> Result<Vec<Wanted>, NoChange> {
    let is_timer = |one: &Subject| matches!(one, Subject::Timed(_));
    let same = |other: &Wanted| match (subject, other.setting) {
        (Subject::Sprocket { .. }, Subject::Sprocket { .. }) => true,
        // The first times of actions stand in the sheet together or not at all.
        (one, other_one) => {
            one == other_one || other.is_first && is_timer(&one) && is_timer(&other_one)
        }
    };
    let chosen: Vec<Wanted> = all.into_iter().filter(same).collect();
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
        return NoChange::Nothing(format!(
            "what was measured stays as it is; measure these next: {}",
            report.not_measured.join(", ")
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
                    crate::outcome::wording::in_words(error)
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
                is_first: result.now.is_none(),
            });
        }
    }
    all
}

/// The runs that a setting is worked out from.
pub(super) fn sources(record: &Record, setting: Subject) -> Vec<String> {
    let tables: &[&str] = match setting {
        Subject::Sprocket { .. } => &["wheel-run"],
        _ => setting.calibration().proof,
    };
    let present = |run: &&Run| !run.point.differs(&record.present, Part::Speed, &record.planter);
    let runs: Vec<&Run> = record.live(tables).filter(present).collect();
    // Widths taped in alley runs speak for the timers where nothing else does.
    let runs = if runs.is_empty() && tables == ["changeover-run"] {
        record.live(&["alley-run"]).filter(present).collect()
    } else {
        runs
    };
    runs.into_iter().filter(|run| setting.is_of(run)).map(Run::name).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calculations::{alley, trip};
    use crate::outcome::setting::{SETBACK, TRIP_SCALE};
    use crate::outcome::{Calculation, Next, Outcome, SettingResult};
    use crate::quantity::Speed;
    use crate::record::from_one_to_two;
    use crate::record::operating_point::OperatingPoint;

    fn clean_out() -> Subject {
        Subject::of_key("clean-out.for").expect("a key")
    }

    const SCALE: Subject = Subject::Held(&TRIP_SCALE);
    const BACK: Subject = Subject::Held(&SETBACK);
    const DRIVING: Subject = Subject::Sprocket { chain: 1, driving: true };
    const DRIVEN: Subject = Subject::Sprocket { chain: 2, driving: false };

    fn outcome(calculation: Calculation, changing: &[Subject]) -> Outcome {
        let settings = changing.iter().map(|subject| SettingResult {
            name: subject.name(),
            key: match subject {
                Subject::Held(setting) => Some(setting.key.into()),
                _ => None,
            },
            now: None,
            exact: Value::constant(1.25),
            set: Value::constant(1.5),
            verdict: Verdict::Change("as worked out".into()),
        });
        Outcome { settings: settings.collect(), ..Outcome::new(calculation) }
    }

    /// Both sprockets, the trip scale and the setback have to change; this is the next step.
    fn report(calculation: Calculation, setting: Option<&str>) -> Report {
        let outcomes = vec![
            outcome(spacing::CALCULATION, &[DRIVING, DRIVEN]),
            outcome(trip::CALCULATION, &[SCALE]),
            outcome(alley::CALCULATION, &[BACK]),
        ];
        let next =
            Next { setting: setting.map(str::to_owned), ..Next::only(calculation, "put it right") };
        Report { next: Some(next), ..Report::of(outcomes) }
    }

    fn run(table: &'static str, number: usize) -> Run {
        Run { table, number, ..Run::default() }
    }

    fn chosen(report: &Report, record: &Record, choice: Choice<'_>) -> Vec<Subject> {
        let all = choose(report, record, choice).expect("a change");
        all.into_iter().map(|wanted| wanted.setting).collect()
    }

    #[test]
    fn the_next_step_takes_one_setting_or_all_sprockets_of_a_combination() {
        let record = Record::default();
        let of = |report: &Report, choice| chosen(report, &record, choice);
        let sprockets = report(spacing::CALCULATION, Some("sprockets"));
        assert_eq!(of(&sprockets, Choice::Next), [DRIVING, DRIVEN]);
        let setback = report(alley::CALCULATION, Some("setback"));
        assert_eq!(of(&setback, Choice::Next), [BACK]);
        // What is named need not be the next; a sprocket brings the others of its combination.
        assert_eq!(of(&setback, Choice::Named(SCALE)), [SCALE]);
        assert_eq!(of(&setback, Choice::Named(DRIVEN)), [DRIVING, DRIVEN]);
        assert_eq!(of(&setback, Choice::All), [DRIVING, DRIVEN, SCALE, BACK]);
    }

    #[test]
    fn a_next_step_without_a_setting_is_done_by_hand() {
        let record = Record::default();
        let by_hand = report(alley::CALCULATION, None);
        let why = choose(&by_hand, &record, Choice::Next).expect_err("by hand");
        assert_eq!(why, NoChange::ByHand("put it right".into()));
        let not_measured = vec![TRIP_SCALE.name, SETBACK.name];
        let why = choose(&Report { not_measured, ..by_hand }, &record, Choice::Next);
        let why = why.expect_err("to be measured");
        assert!(matches!(&why, NoChange::Nothing(words) if words.ends_with("trip scale, setback")));
        let none = choose(&Report::of(vec![]), &record, Choice::All).expect_err("nothing");
        let words = "every setting that was measured stays as it is";
        assert_eq!(none, NoChange::Nothing(words.into()));
    }

    #[test]
    fn a_setting_that_stays_says_why_it_does() {
        let mut report = report(alley::CALCULATION, Some("setback"));
        report.outcomes[1].settings[0].verdict = Verdict::Keep("inside the tolerance".into());
        report.outcomes[2].settings[0].verdict = Verdict::Wait("one thing at a time".into());
        let why = |subject| {
            let all = choose(&report, &Record::default(), Choice::Named(subject));
            all.expect_err("nothing to change")
        };
        let words = |text: &str| NoChange::NotNow(text.into());
        assert_eq!(why(SCALE), words("the trip scale: keep: inside the tolerance"));
        assert_eq!(why(BACK), words("the setback: wait: one thing at a time"));
        let none = "the sheet has no runs that tell what the length of clean-out should be";
        assert_eq!(why(clean_out()), words(none));
    }

    #[test]
    fn a_value_that_the_step_moved_is_told_from_an_exact_one() {
        let record = Record::default();
        let mut report = report(alley::CALCULATION, Some("setback"));
        let on_step = |report: &Report| {
            let all = choose(report, &record, Choice::Next).expect("a change");
            (all[0].on_step, all[0].reason.clone())
        };
        assert_eq!(on_step(&report), (true, "as worked out".to_owned()));
        report.outcomes[2].settings[0].exact = Value::constant(1.5);
        assert!(!on_step(&report).0);
    }

    fn changed(setting: Subject) -> Change {
        from_one_to_two("2027-04-19", setting)
    }

    /// A swap is worked out and needs no run; a setback has to be seen before the next change.
    #[test]
    fn a_change_waits_until_the_last_one_was_measured() {
        let report = report(trip::CALCULATION, Some("trip scale"));
        let of = |changes: &[Subject], runs: Vec<Run>| {
            let changes = changes.iter().map(|setting| changed(*setting)).collect();
            let now = crate::record::Held { text: "2".into(), base: 2.0 };
            let held = vec![(BACK, now.clone()), (DRIVING, now)];
            choose(&report, &Record { changes, runs, held, ..Record::default() }, Choice::Next)
        };
        assert!(of(&[DRIVING], vec![]).is_ok());
        assert!(of(&[BACK, DRIVING], vec![]).is_ok());
        assert!(of(&[BACK], vec![run("alley-run", 1)]).is_ok());
        let old = Run { aside: Some("setback 15 in".into()), ..run("alley-run", 1) };
        for runs in [vec![], vec![old], vec![run("trip-run", 1)]] {
            let why = of(&[BACK], runs).expect_err("two at once");
            let said = "the setback was changed on 2027-04-19 and has not been measured since";
            assert!(matches!(&why, NoChange::Two(words) if words.starts_with(said)), "{why:?}");
        }
    }

    /// Widths taped in alley runs speak for the timers only where nothing else was seen of them.
    #[test]
    fn a_setting_comes_from_the_live_runs_of_its_kind_at_the_present_speed() {
        let at = |text: &str| OperatingPoint {
            speed: Speed::parse(text, None).ok(),
            ..OperatingPoint::default()
        };
        let mut record = Record {
            present: at("2.8 mph"),
            runs: vec![
                run("alley-run", 1),
                Run { point: at("3.4 mph"), ..run("alley-run", 2) },
                Run { aside: Some("old".into()), ..run("alley-run", 3) },
                run("wheel-run", 1),
                run("trip-run", 1),
            ],
            ..Record::default()
        };
        assert_eq!(sources(&record, BACK), ["alley-run 1"]);
        assert_eq!(sources(&record, SCALE), ["trip-run 1"]);
        assert_eq!(sources(&record, DRIVING), ["wheel-run 1"]);
        assert_eq!(sources(&record, clean_out()), ["alley-run 1"]);
        record.runs.push(run("changeover-run", 1));
        assert_eq!(sources(&record, clean_out()), ["changeover-run 1"]);
        record.runs.clear();
        assert_eq!(sources(&record, SCALE), [] as [&str; 0]);
    }
}
