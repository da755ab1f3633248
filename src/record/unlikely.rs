//! A value of the crew's own that looks like one of another unit, or with its point at another place.

use crate::outcome::Report;
use crate::outcome::setting::{PASS_OFFSET, SETBACK};
use crate::quantity::{Length, brief};

use super::{Held, Record, Subject};

/// How many times off a value may be and be meant: nobody moves a setting so far without a reason.
const FAR: f64 = 1.8;
/// How near a factor it has to lie: values are typed as they were rounded.
const NEAR: f64 = 1.05;
/// What a length is off by in another unit, and in which.
const OF_LENGTHS: &[(f64, &str)] = &[
    (2.54, "inches and centimetres"),
    (10.0, "millimetres and centimetres, or a point at another place"),
    (12.0, "feet and inches"),
    (25.4, "inches and millimetres"),
    (30.48, "feet and centimetres"),
    (100.0, "metres and centimetres, or a point at another place"),
    (304.8, "feet and millimetres"),
    (1000.0, "metres and millimetres"),
];
/// The same of times and of plain numbers.
const OF_TIMES: &[(f64, &str)] = &[
    (10.0, "a point at another place"),
    (60.0, "minutes and seconds"),
    (100.0, "a point at another place"),
    (1000.0, "seconds and milliseconds"),
];
const OF_NUMBERS: &[(f64, &str)] =
    &[(10.0, "a point at another place"), (100.0, "a point at another place")];

/// Why a value that was typed for a setting may be another than was meant: it is 2.54, 10, 12, 25.4,
/// 30.48 or so times what the setting is now, or what was worked out for it.
///
/// `before` and `after` are the sheet without and with the value. How far is too far is common practice,
/// no source; the factors are those of the units.
#[must_use]
pub fn unlikely(
    before: &Record,
    after: &Record,
    report: &Report,
    subject: Subject,
) -> Option<String> {
    let of = |record: &Record| -> Option<Held> {
        record.held.iter().find(|(held, _)| *held == subject).map(|(_, held)| held.clone())
    };
    let (now, new) = (of(before)?, of(after)?);
    let is_way = |held: &Held| Length::parse(&held.text, None).is_ok();
    let factors = match subject {
        Subject::Held(one) if one == &SETBACK || one == &PASS_OFFSET => OF_LENGTHS,
        Subject::Held(_) => OF_NUMBERS,
        // A time in place of a way, or a way in place of a time, is no slip of a factor.
        Subject::Timed(_) if is_way(&now) != is_way(&new) => return None,
        Subject::Timed(_) if is_way(&new) => OF_LENGTHS,
        Subject::Timed(_) => OF_TIMES,
        _ => return None,
    };
    let mut results = report.outcomes.iter().flat_map(|outcome| &outcome.settings);
    let worked_out = results
        .find(|result| Subject::of_result(result) == Some(subject))
        .and_then(|result| Some(result.set.number() / result.now.as_ref()?.number()))
        .map(|times| times * now.base);
    let expected = [worked_out, Some(now.base)].map(|base| base.filter(|base| *base != 0.0));
    let times = |base: f64| new.base / base;
    let away = |times: f64| times.max(1.0 / times);
    let all = || expected.into_iter().flatten();
    if all().any(|base| !times(base).is_finite() || times(base) <= 0.0 || away(times(base)) < FAR) {
        return None;
    }
    all().find_map(|base| {
        let off = away(times(base));
        let near = |(factor, _): &&(f64, &str)| away(off / factor) <= NEAR;
        let (_, units) = factors.iter().find(near)?;
        let what = if base == now.base { "the one it has now" } else { "the one worked out" };
        Some(format!(
            "{} of {} is {} times {what}, which is about what lies between {units}",
            subject.name(),
            new.text,
            brief(times(base)),
        ))
    })
}
