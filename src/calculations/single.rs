//! Single plots, alleys, leads and seeds: how many were inside their limit, and how many of the next
//! ones to expect there.
//!
//! What makes scatter of a kind is common practice, no source.

use crate::outcome::cautions::{BLOCK_FIRST, MANUAL_FIRST, STOP_FIRST};
use crate::outcome::warning::{GROUPS_PART, LIMIT_BELOW_STEP, SINGLES_SCATTER};
use crate::outcome::wording::{in_words, with_unit};
use crate::outcome::{
    Caution, Expected, Group, OfOne, Outcome, SettingResult, Singles, Verdict, Why,
};
use crate::quantity::{Unit, at_most, brief};
use crate::statistics::{Confidence, NextOne, Share, ShareInside, share_inside, two_means};
use crate::working::Value;

use super::common::Common;
use super::limits::Limit;
use super::readings::count;

/// Readings of one kind, as errors: how far each lies off what is wanted.
pub(super) struct Readings {
    /// The row, where they are of one.
    pub(super) row: Option<u32>,
    /// The readings in groups that may part: runs, or headings.
    pub(super) groups: Vec<(String, Vec<Value>)>,
    /// The middles that a trial has as many of each: one, or one of each heading.
    pub(super) middles: Vec<Middle>,
    /// Scatter of a single one, with its degrees of freedom; none where nothing tells it.
    pub(super) scatter: Option<(Value, u32)>,
    /// Scatter that seed spacing alone makes of it, where that is known.
    pub(super) by_seeds: Option<Value>,
    /// What is to be changed, in words; then every middle has one after it.
    pub(super) change: Option<String>,
}

/// A middle of readings.
pub(super) struct Middle {
    /// How far it lies off what is wanted.
    pub(super) off: Value,
    /// Its standard error.
    pub(super) standard_error: Value,
    /// How far it will lie off with the change that is advised.
    pub(super) after: Option<Value>,
}

/// What is to be changed, in words, where a setting is.
pub(super) fn change_to(result: &SettingResult) -> Option<String> {
    matches!(result.verdict, Verdict::Change(_))
        .then(|| format!("with the {} at {}", result.name, with_unit(&result.set)))
}

/// Groups are said to part at this confidence, whatever the interval's.
const PART_CONFIDENCE: f64 = 0.99;

impl Readings {
    /// Readings in groups, with the middles that they have and the scatter of one.
    pub(super) fn of(
        groups: Vec<(String, Vec<Value>)>,
        middles: Vec<Value>,
        of_one: Option<&OfOne>,
    ) -> Readings {
        let errors = of_one.map_or(&[][..], |one| &one.standard_errors);
        let middles = middles.into_iter().zip(errors);
        let middles =
            middles.map(|(off, error)| Middle { off, standard_error: error.clone(), after: None });
        let scatter = of_one.map(|one| (one.sd.clone(), one.degrees));
        Readings {
            row: None,
            groups,
            middles: middles.collect(),
            scatter,
            by_seeds: None,
            change: None,
        }
    }

    /// The same, with where each middle will lie by the change that is advised, if one is.
    pub(super) fn with_change(
        mut self,
        change: Option<String>,
        after: impl Fn(&Middle) -> Option<Value>,
    ) -> Readings {
        if change.is_some() {
            for middle in &mut self.middles {
                middle.after = after(middle);
            }
        }
        self.change = change;
        self
    }

    /// The readings against their limit.
    pub(super) fn against(&self, limit: &Limit, common: &Common) -> Option<Singles> {
        let limit_value = limit.value(&common.units);
        let each: Vec<f64> =
            self.groups.iter().flat_map(|(_, each)| each).map(Value::number).collect();
        let (all, inside) = (each.len(), inside(&each, &limit_value));
        let row = self.row.map_or(String::new(), |row| format!(" of row {row}"));
        let subject = [limit.what, &row].concat();
        let next = self.next_ones(&subject).unwrap_or_default();
        let expected = |off: &dyn Fn(&Middle) -> Option<Value>| {
            self.expected(&subject, &next, off, &limit_value, common.confidence)
        };
        let once_set = || {
            let subject = [&subject, ", once set"].concat();
            let after = |middle: &Middle| middle.after.clone();
            self.expected(&subject, &next, &after, &limit_value, common.confidence)
        };
        let accept = &common.limits.accept;
        let asked = accept.value();
        let short = |found: &Expected| found.is_too_few(all, &asked);
        let counted = || {
            // One tells nothing of others.
            let [inside, of] = [("inside", inside), ("readings", all)].map(|(what, number)| {
                let name = format!("{what}, single {subject}");
                Value::found(name, as_number(number), Unit::ONE, "counted")
            });
            let name = format!("share inside, single {subject}");
            let share = Share::of(&name, &inside, &of, common.confidence)?;
            (all > 1).then(|| Expected::counted(share, common.confidence))
        };
        let now = expected(&|middle| Some(middle.off.clone())).or_else(counted);
        let after = self.change.clone().and_then(|change| Some((change, once_set()?)));
        let mean = self.mean_of_middles();
        let set_right = || expected(&|middle| Some(&middle.off - mean.as_ref()?));
        let all_right = || expected(&|middle| Some(Value::constant(0.0) * &middle.off));
        let falls_short = now.iter().chain(after.iter().map(|(_, after)| after)).any(short);
        let why = falls_short.then(|| match () {
            () if all_right().is_some_and(|found| short(&found)) => Why::Scatter,
            () if set_right().is_some_and(|found| short(&found)) => Why::Parted,
            () => Why::Middle,
        });
        (all > 0).then(|| Singles {
            kind: limit.what,
            row: self.row,
            parted: self.parted(&subject, &limit_value),
            best: self
                .by_seeds
                .as_ref()
                .map(|sd| 100.0 * share_inside(0.0, sd.number(), limit_value.number())),
            limit: limit_value,
            limit_words: limit.words(),
            count: all,
            inside,
            now,
            after,
            why,
            accept: asked,
            accept_words: accept.words(),
        })
    }

    /// What a setting can take out: the middle of the middles.
    fn mean_of_middles(&self) -> Option<Value> {
        let sum = self.middles.iter().map(|one| one.off.clone()).reduce(|sum, next| sum + next)?;
        Some(sum / count(self.middles.len()))
    }

    /// How far the next one lies off each middle.
    fn next_ones(&self, subject: &str) -> Option<Vec<NextOne>> {
        let (sd, degrees) = self.scatter.as_ref()?;
        let middles = (1..).zip(&self.middles);
        let next = |(place, middle): (usize, &Middle)| {
            let subject = self.of_heading(subject, place);
            NextOne::new(&subject, sd, &middle.standard_error, *degrees)
        };
        middles.map(next).collect()
    }

    /// What is said of one heading, where there are two.
    fn of_heading(&self, subject: &str, place: usize) -> String {
        match self.middles.len() {
            1 => subject.to_owned(),
            _ => format!("{subject}, heading {place}"),
        }
    }

    /// The share of the next ones by the normal law.
    fn expected(
        &self,
        subject: &str,
        next: &[NextOne],
        off: &dyn Fn(&Middle) -> Option<Value>,
        limit: &Value,
        confidence: Confidence,
    ) -> Option<Expected> {
        let middles = (1..).zip(self.middles.iter().zip(next));
        let part = |(place, (middle, next)): (usize, (&Middle, &NextOne))| {
            ShareInside::of(&self.of_heading(subject, place), &off(middle)?, next, limit)
        };
        let parts: Option<Vec<ShareInside>> = middles.map(part).collect();
        Expected::normal(subject, parts?, confidence)
    }

    /// Two groups whose means differ more than scatter makes them, and by more than the limit.
    fn parted(&self, subject: &str, limit: &Value) -> Vec<Group> {
        let [first, second] = self.groups.as_slice() else { return vec![] };
        let subject = format!("single {subject}");
        let names = [first.0.as_str(), second.0.as_str()];
        let test = two_means(&subject, names, [&first.1, &second.1]);
        let differs = test.zip(Confidence::new(PART_CONFIDENCE)).is_some_and(|(test, sure)| {
            test.differs_from_zero(sure) && !at_most(test.estimate.number().abs(), limit.number())
        });
        if !differs {
            return vec![];
        }
        let group = |(name, each): &(String, Vec<Value>)| {
            let numbers: Vec<f64> = each.iter().map(Value::number).collect();
            Some(Group {
                name: name.clone(),
                mean: crate::statistics::mean(&format!("{subject}, {name}"), each)?,
                count: each.len(),
                inside: inside(&numbers, limit),
            })
        };
        self.groups.iter().filter_map(group).collect()
    }

    /// Takes what is to be said of single ones into an outcome: the line, and where too few of the
    /// next will be inside, what makes scatter of the kind.
    pub(super) fn say(&self, limit: Option<&Limit>, common: &Common, outcome: &mut Outcome) {
        let Some(singles) = limit.and_then(|limit| self.against(limit, common)) else { return };
        if let [first, second] = singles.parted.as_slice() {
            outcome.warnings.push(GROUPS_PART.with(format!(
                "{}: {} is off by {} and {} by {}, more apart than scatter and the limit of {} allow: \
                 their mean is neither",
                singles.name(),
                first.name,
                in_words(&first.mean),
                second.name,
                in_words(&second.mean),
                in_words(&singles.limit)
            )));
        }
        self.say_coarse(&singles, outcome);
        if let Some(words) = what_keeps_them(&singles) {
            outcome.warnings.push(SINGLES_SCATTER.with(words));
            if singles.why == Some(Why::Scatter) && !singles.by_seeds_alone() {
                let hands_off = if singles.kind == "depth" { &BLOCK_FIRST } else { &STOP_FIRST };
                let missing = |one: &&&Caution| !outcome.cautions.contains(*one);
                let all = [hands_off, &MANUAL_FIRST];
                let all: Vec<&Caution> = all.iter().filter(missing).copied().collect();
                outcome.cautions.extend(all);
            }
        }
        outcome.singles.push(singles);
    }

    /// Whether the step that was read by hides what is inside.
    fn say_coarse(&self, singles: &Singles, outcome: &mut Outcome) {
        let each = self.groups.iter().flat_map(|(_, each)| each).map(Value::number);
        let Some(step) = step(each.collect()) else { return };
        if singles.limit.number() < step / 2.0 {
            outcome.warnings.push(LIMIT_BELOW_STEP.with(format!(
                "{}: the readings go by steps of {} {}, so that nobody can tell which of them are \
                 inside {}: read finer",
                singles.name(),
                brief(step),
                singles.limit.unit_text(),
                in_words(&singles.limit)
            )));
        }
    }
}

/// Too few inside: whether seeds alone do that, or what else to look for. Nothing, where only the
/// middle is off, which its verdict is about.
fn what_keeps_them(singles: &Singles) -> Option<String> {
    let (short, name) = (singles.falls_short()?, singles.name());
    let best = singles.best.filter(|best| *best < singles.accept.number());
    let seeds = best.map_or(String::new(), |best| {
        format!(
            "; seeds that stand so far apart leave about {} % inside at best, whatever is set: the \
             limit is narrower than their spacing allows",
            brief(best)
        )
    });
    let look = match singles.why? {
        _ if singles.by_seeds_alone() => String::new(),
        Why::Scatter => format!("; no setting mends scatter, look at {}", causes(singles.kind)),
        Why::Parted => {
            "; out and home part: look at the marks, and at slope and speed both ways".into()
        }
        Why::Middle if singles.after.is_none() => return None,
        Why::Middle => "; what the step of the setting leaves is too much".into(),
    };
    Some(format!("{name}: {short}{seeds}{look}"))
}

#[allow(clippy::cast_precision_loss)] // far fewer readings than 2^53
fn as_number(count: usize) -> f64 {
    count as f64
}

fn inside(each: &[f64], limit: &Value) -> usize {
    each.iter().filter(|error| at_most(error.abs(), limit.number())).count()
}

/// The step that readings were rounded to, as far as they show one: the least difference between two
/// that differ, where all of them differ by whole numbers of it and at least two are alike.
fn step(mut each: Vec<f64>) -> Option<f64> {
    const ENOUGH: usize = 5;
    // Readouts make errors that are nearly even steps, and not quite.
    const ROUND: f64 = 0.02;
    if each.len() < ENOUGH {
        return None;
    }
    each.sort_unstable_by(f64::total_cmp);
    let rises: Vec<f64> = each.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let size = each.iter().fold(0.0_f64, |most, one| most.max(one.abs()));
    let same = |rise: f64| rise <= 1e-9 * size;
    let step = rises.iter().copied().filter(|rise| !same(*rise)).fold(f64::INFINITY, f64::min);
    let whole = |rise: &f64| {
        let steps = rise / step;
        (steps - steps.round()).abs() < ROUND
    };
    let alike = rises.iter().any(|rise| same(*rise));
    (alike && step.is_finite() && rises.iter().all(whole)).then_some(step)
}

/// What makes scatter of a kind, in working order. Common practice, no source.
fn causes(kind: &str) -> &'static str {
    match kind {
        "plot" => {
            "wheel slip (wet or loose soil, slope, tyre pressure), mud on the drive wheel, a slack \
             chain or shaft, a speed that was not held, marks that stand unevenly, how the tape was \
             held"
        }
        "centre" => {
            "a trip that is felt or given late, a speed that was not held, wheel slip from trip to \
             mark, a clean-out or hand-over that sticks, seed that bounces, marks that stand unevenly"
        }
        "width" => {
            "a speed that was not held, a boost slow to come up, old seed left in the meter, a plate \
             that misses at the edges, seed that bounces"
        }
        "lead" => {
            "speeds that differ out and home, slope, wheel slip, a trip that is felt or given late, \
             marks of one of the passes"
        }
        _ => {
            "clods and residue under the openers, too little down force or too much, worn openers \
             and gauge wheels, soft and hard tracks, speed"
        }
    }
}
