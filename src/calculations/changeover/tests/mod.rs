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
use crate::outcome::{Outcome, Verdict};
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

/// The planter with its timers not set yet.
fn unset() -> Inputs {
    Inputs {
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
fn planter(clean_out: f64, run_out: f64, fill: f64) -> Inputs {
    let present = Present {
        clean_out: seconds(clean_out),
        run_out: seconds(run_out),
        fill: seconds(fill),
        hand_over: Some(seconds(0.8)),
    };
    Inputs { present: Some(present), ..unset() }
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
