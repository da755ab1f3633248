//! The vacuum ladder: misses and multiples against vacuum, the vacuum with the least of both, and the
//! range that chance can't tell from it.

use crate::calculations::common::Common;
use crate::outcome::{Cell, Column, Curve, CurvePoint, Next, Outcome, Picture, Table};
use crate::quantity::brief;
use crate::statistics::{Counted, shares_apart};
use crate::working::Value;

use super::groups::{Group, Shares};
use super::inputs::CALCULATION;

/// One vacuum of a ladder.
struct Rung {
    gauge: String,
    number: f64,
    unit: String,
    shares: Shares,
    /// Whether it has more faults than the best one, beyond chance.
    worse: bool,
}

/// The ladder of one plate and lot; nothing where fewer than two vacuums were tried in one unit. What to
/// do comes back in words.
pub(super) fn add(
    all: &[&Group<'_>],
    held: Option<&str>,
    of: &str,
    several: bool,
    common: &Common,
    outcome: &mut Outcome,
) -> Option<Next> {
    let mut rungs = rungs(all, several, common)?;
    let best = best(&rungs)?;
    mark_worse(&mut rungs, best, common, outcome);
    let (low, high) = range(&rungs, best);
    for rung in &rungs {
        outcome.values.extend(rung.shares.faults.values());
    }
    outcome.tables.push(table(&rungs, best, (low, high), of));
    outcome.pictures.push(picture(&rungs, of, common));
    let chosen = rungs.get(best)?;
    let (from, to) = (rungs.get(low)?, rungs.get(high)?);
    // A planter that has one of the best already has nothing to be set.
    let has = |rung: &Rung| held.is_some_and(|held| held.trim() == rung.gauge);
    if rungs.get(low..=high).is_some_and(|best| best.iter().any(has)) {
        return None;
    }
    let range = if low == high {
        "no other vacuum tried is as good, beyond chance".to_owned()
    } else {
        format!("from {} to {} chance can't tell them apart", from.gauge, to.gauge)
    };
    let edge = if best == 0 || best + 1 == rungs.len() {
        "; it is the last that was tried on its side: try one beyond"
    } else {
        ""
    };
    let lot = if of.is_empty() { String::new() } else { format!(" for {of}") };
    let words = format!(
        "set the vacuum to {}{lot}, where multiples and misses together are least ({} %), and tell the \
         sheet: `alleytrue apply SHEET --setting vacuum=\"{}\"`; {range}{edge}",
        chosen.gauge,
        brief(chosen.shares.faults.share.number()),
        chosen.gauge
    );
    Some(Next::only(CALCULATION, words))
}

fn rungs(all: &[&Group<'_>], several: bool, common: &Common) -> Option<Vec<Rung>> {
    let mut gauges: Vec<String> = vec![];
    for one in all.iter().filter(|one| one.with.vacuum.is_some()) {
        if !gauges.contains(&one.with.gauge()) {
            gauges.push(one.with.gauge());
        }
    }
    let rung = |gauge: &String| {
        let own: Vec<&Group<'_>> =
            all.iter().filter(|one| one.with.gauge() == *gauge).copied().collect();
        let with = own.first()?.with;
        let vacuum = with.vacuum.as_ref()?;
        let of = if several { with.of() } else { String::new() };
        let lot = if of.is_empty() { String::new() } else { format!(", {of}") };
        let tag = format!(", all rows at {gauge}{lot}");
        Some(Rung {
            gauge: gauge.clone(),
            number: vacuum.number.value(),
            unit: vacuum.unit.clone(),
            shares: Shares::of(&own, &tag, common.confidence)?,
            worse: false,
        })
    };
    let rungs: Option<Vec<Rung>> = gauges.iter().map(rung).collect();
    let one_unit = |rungs: &Vec<Rung>| rungs.iter().all(|rung| rung.unit == rungs[0].unit);
    rungs.filter(|rungs| rungs.len() > 1 && one_unit(rungs))
}

/// The rung with the least share of faults; of several, the lowest vacuum, which wears least.
fn best(rungs: &[Rung]) -> Option<usize> {
    let share = |place: &usize| rungs[*place].shares.faults.share.number();
    (0..rungs.len()).min_by(|a, b| share(a).total_cmp(&share(b)))
}

/// Every other rung against the best one, each with as much of what the confidence leaves (Bonferroni).
fn mark_worse(rungs: &mut [Rung], best: usize, common: &Common, outcome: &mut Outcome) {
    let Some(confidence) = common.confidence.for_each_of(rungs.len() - 1) else { return };
    let group = |rung: &Rung, against: &str| Counted {
        name: format!("{}{against}", rung.gauge),
        counted: rung.shares.faults_counted.clone(),
        all: rung.shares.positions.clone(),
    };
    for place in (0..rungs.len()).filter(|place| *place != best) {
        let against = format!(" against {}", rungs[best].gauge);
        let pair = [group(&rungs[place], &against), group(&rungs[best], " itself")];
        let apart = shares_apart(&pair, confidence);
        if let Some(found) = apart.first() {
            rungs[place].worse = true;
            outcome.values.extend([found.difference.clone(), found.half_width.clone()]);
        }
    }
}

/// From the first to the last rung around the best that is not worse, without a gap.
fn range(rungs: &[Rung], best: usize) -> (usize, usize) {
    let mut low = best;
    while low > 0 && !rungs[low - 1].worse {
        low -= 1;
    }
    let mut high = best;
    while high + 1 < rungs.len() && !rungs[high + 1].worse {
        high += 1;
    }
    (low, high)
}

fn table(rungs: &[Rung], best: usize, (low, high): (usize, usize), of: &str) -> Table {
    let number = |value: &Value| Cell::Number(value.number(), 2);
    let row = |(place, rung): (usize, &Rung)| {
        let verdict = match place {
            place if place == best => "least",
            place if (low..=high).contains(&place) => "not told apart",
            _ if rung.worse => "worse",
            _ => "beyond a worse one",
        };
        let faults = &rung.shares.faults;
        vec![
            Cell::Text(rung.gauge.clone()),
            number(&rung.shares.multiples.share),
            number(&rung.shares.misses.share),
            number(&faults.share),
            number(&faults.low),
            number(&faults.high),
            Cell::Text(verdict.into()),
        ]
    };
    let lot = if of.is_empty() { String::new() } else { format!(", {of}") };
    Table {
        key: "vacuum",
        title: format!("Vacuum by vacuum, all rows{lot}"),
        columns: vec![
            Column::new("vacuum", "vacuum", ""),
            Column::new("multiples_percent", "multiples", "%"),
            Column::new("misses_percent", "misses", "%"),
            Column::new("faults_percent", "both", "%"),
            Column::new("low_percent", "low", "%"),
            Column::new("high_percent", "high", "%"),
            Column::new("verdict", "verdict", ""),
        ],
        rows: rungs.iter().enumerate().map(row).collect(),
    }
}

fn picture(rungs: &[Rung], of: &str, common: &Common) -> Picture {
    let point = |rung: &Rung| CurvePoint {
        across: rung.number,
        up: rung.shares.faults.share.number(),
        band: Some((rung.shares.faults.low.number(), rung.shares.faults.high.number())),
    };
    let lot = if of.is_empty() { String::new() } else { format!(", {of}") };
    Picture::Curve(Curve {
        title: format!("Multiples and misses by vacuum{lot}"),
        across: ("vacuum", rungs.first().map_or(String::new(), |rung| rung.unit.clone())),
        up: ("multiples and misses", "%".into()),
        points: rungs.iter().map(point).collect(),
        band_name: format!("interval of the share ({})", common.confidence),
    })
}
