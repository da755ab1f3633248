//! One planter by hand: 100 cm/s with seeds 5 cm apart, so 20 cells/s under ground drive, and
//! 50 cells/s under boost, 2.5 times as many. Carry 15 cells, old seed gone at 1.15 s, which is
//! cell 23, new seed at pick-up 0.2 s after the clean-out. A step of a timer is 0.05 s or 5 cm of
//! travel, the alley 90 cm, its tolerance 5 cm. A clean-out is 1.5 s or more, 1 s at the least.

mod advice;
mod ground;
mod start;
mod steps;

use crate::calculations::Common;
use crate::calculations::changeover::*;
use crate::calculations::jitter::Seeds;
use crate::calculations::spacing::Target;
use crate::outcome::{ActionName, Outcome, Verdict};
use crate::quantity::{CellRate, Decimal, Duration, Length, LengthUnit, Speed, TimeUnit};
use crate::working::{Units, Value};

fn common() -> Common {
    Common::new(Units::METRIC)
}

fn cm(number: f64) -> Length {
    Length::parse(&number.to_string(), Some(LengthUnit::Centimetre)).expect("a length")
}

fn seconds(number: f64) -> Duration {
    Duration::parse(&number.to_string(), Some(TimeUnit::Second)).expect("a time")
}

fn boost(rate: u32) -> Boost {
    Boost::Cells(CellRate::parse(&format!("{rate} cells/s"), None).expect("a rate"))
}

/// The times of the planter as they are set.
#[derive(Clone)]
struct Present {
    clean_out: Duration,
    run_out: Duration,
    fill: Duration,
    hand_over: Option<Duration>,
}

/// Its sweep: when it starts and for how long, and cells from it to release.
#[derive(Clone)]
struct SweepSetting {
    timing: Option<(Duration, Duration)>,
    cells_before_release: Decimal,
}

/// The planter by hand: the clean-out from the trip on, at its end the hand-over, from when on the
/// boost, called fill, waits for the run-out; a sweep from the trip on.
#[derive(Clone)]
struct Set {
    present: Option<Present>,
    hand_over: Option<Duration>,
    sweep: Option<SweepSetting>,
    boost: Boost,
    old_seed_gone: Duration,
    new_seed_at_pick_up: Duration,
    fall: Option<Fall>,
    least_clean_out: Option<Duration>,
    usual_clean_out: Option<Duration>,
    carry: Decimal,
    cells: Decimal,
    speed: Speed,
    seeds: Seeds,
    alley: Length,
    plot: Option<Length>,
    step: Option<Duration>,
    width_tolerance: Option<Length>,
    runs: Vec<Observed>,
    widths: Vec<Vec<Value>>,
}

impl Set {
    /// What the calculation takes.
    fn inputs(&self) -> Inputs {
        let time = |time: &Duration| Extent::Time(time.clone());
        let action = |name, work, after| Action {
            name: ActionName::of(name).expect("a name"),
            work,
            after,
            wait: None,
            lasts: None,
            step: None,
            fixed: vec![],
        };
        let present = self.present.as_ref();
        let out = Work::CleanOut {
            old_seed_gone: Some(self.old_seed_gone.clone()),
            least: self.least_clean_out.as_ref().map(time),
            usual: self.usual_clean_out.as_ref().map(time),
        };
        let lets_in =
            Work::HandOver { new_seed_at_pick_up: Some(self.new_seed_at_pick_up.clone()) };
        let end = Some((0, Edge::End));
        let hand_over = present.and_then(|one| one.hand_over.as_ref()).or(self.hand_over.as_ref());
        let mut actions = vec![
            Action {
                lasts: present.map(|one| time(&one.clean_out)),
                ..action("clean-out", out, None)
            },
            Action { lasts: hand_over.map(time), ..action("hand-over", lets_in, end) },
            Action {
                wait: present.map(|one| time(&one.run_out)),
                lasts: present.map(|one| time(&one.fill)),
                ..action("fill", Work::Boost { rate: self.boost.clone() }, end)
            },
        ];
        actions.extend(self.sweep.as_ref().map(|sweep| Action {
            wait: sweep.timing.as_ref().map(|(start, _)| time(start)),
            lasts: sweep.timing.as_ref().map(|(_, length)| time(length)),
            ..action(
                "sweep",
                Work::Sweep { cells_before_release: sweep.cells_before_release },
                None,
            )
        }));
        let Set { fall, carry, cells, speed, seeds, alley, plot, step, .. } = self.clone();
        let Set { width_tolerance, runs, widths, .. } = self.clone();
        Inputs {
            actions,
            fall,
            carry,
            cells,
            speed,
            seeds,
            alley,
            plot,
            step,
            width_tolerance,
            runs,
            widths,
        }
    }

    fn wish(&self, common: &Common) -> Wish {
        super::proposal::propose(&self.inputs(), common).expect("a plain list").wish
    }

    fn was_looked_at(&self) -> bool {
        self.inputs().was_looked_at()
    }
}

fn calibrate(set: &Set, common: &Common) -> Outcome {
    super::calibrate(&set.inputs(), common)
}

fn advise(set: &Set, common: &Common) -> Outcome {
    super::advise(&set.inputs(), common)
}

/// The planter with its timers not set yet.
fn unset() -> Set {
    Set {
        present: None,
        hand_over: None,
        sweep: None,
        boost: boost(50),
        old_seed_gone: seconds(1.15),
        new_seed_at_pick_up: seconds(0.2),
        fall: Some(Fall::Time(seconds(0.2))),
        least_clean_out: Some(seconds(1.0)),
        usual_clean_out: Some(seconds(1.5)),
        carry: Decimal::whole(15),
        cells: Decimal::whole(40),
        speed: Speed::parse("1 m/s", None).expect("a speed"),
        seeds: Seeds { target: Target::Spacing(cm(5.0)), row_spacing: cm(50.0) },
        alley: cm(90.0),
        plot: None,
        step: Some(seconds(0.05)),
        width_tolerance: Some(cm(5.0)),
        runs: vec![],
        widths: vec![],
    }
}

/// The planter with these timers.
fn planter(clean_out: f64, run_out: f64, fill: f64) -> Set {
    let present = Present {
        clean_out: seconds(clean_out),
        run_out: seconds(run_out),
        fill: seconds(fill),
        hand_over: Some(seconds(0.8)),
    };
    Set { present: Some(present), ..unset() }
}

/// A sweep four cells before release: eleven cells from pick-up.
fn sweep(start: f64, length: f64) -> Option<SweepSetting> {
    let timing = Some((seconds(start), seconds(length)));
    Some(SweepSetting { timing, cells_before_release: Decimal::whole(4) })
}

fn codes(outcome: &Outcome) -> Vec<&'static str> {
    outcome.warnings.iter().map(|warning| warning.kind.code).collect()
}

/// The one remark of a kind.
fn remark(outcome: &Outcome, code: &str) -> String {
    let of_kind: Vec<_> = outcome.warnings.iter().filter(|one| one.kind.code == code).collect();
    assert_eq!(of_kind.len(), 1, "{code}: {:?}", outcome.warnings);
    of_kind[0].message.clone()
}

fn near(number: f64, wanted: f64) -> bool {
    (number - wanted).abs() < 1e-9
}
