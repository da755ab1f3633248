//! How many readings are enough.

use super::confidence::Confidence;
use crate::quantity::Unit;
use crate::working::Value;

/// The most readings that are searched for; more are not taken in a field.
pub const MOST_READINGS: u32 = 10_000;

/// How many readings it takes to know a mean closely enough.
#[derive(Clone, Debug)]
pub struct MoreReadings {
    /// Readings in all; where [`more_than`](Self::more_than) is set, [`MOST_READINGS`], which
    /// are too few.
    pub in_all: Value,
    /// Readings still to take: `in_all` less those taken, never below 0.
    pub more: Value,
    /// The half width to expect with `in_all` readings.
    pub half_width: Value,
    /// Whether more than `in_all` readings are needed.
    pub more_than: bool,
}

/// The readings taken so far, and how they are judged: what is planned is judged the same way.
#[derive(Clone, Debug)]
pub struct Taken {
    /// How many of each group, with what is put behind the name of its lines.
    groups: Vec<(&'static str, u32)>,
    /// Readings that the interval has more than degrees of freedom.
    lost: u32,
}

impl Taken {
    /// So many readings of one kind, judged at one degree of freedom less.
    #[must_use]
    pub fn one_kind(count: u32) -> Taken {
        Taken { groups: vec![("", count)], lost: 1 }
    }

    /// So many going out and coming home, as [`two_groups`](Self::two_groups).
    #[must_use]
    pub fn both_ways(out: u32, home: u32) -> Taken {
        Taken::two_groups([", out", ", home"], [out, home])
    }

    /// So many of each of two groups, whose means are averaged and share one standard deviation,
    /// judged at two degrees of freedom less. `tags` stand behind the names of their lines.
    #[must_use]
    pub fn two_groups(tags: [&'static str; 2], counts: [u32; 2]) -> Taken {
        Taken { groups: tags.into_iter().zip(counts).collect(), lost: 2 }
    }

    /// So many readings that have so many degrees of freedom together, such as those of several
    /// lengths; each one more is counted as one more degree.
    #[must_use]
    pub fn at_degrees(count: u32, degrees: u32) -> Taken {
        Taken { groups: vec![("", count)], lost: count.saturating_sub(degrees).max(1) }
    }

    fn count(&self) -> u32 {
        self.groups.iter().map(|(_, count)| count).sum()
    }

    /// The fewest in all that can be judged and that these can become.
    fn fewest(&self) -> u32 {
        let fewest = self.lost + 1;
        if self.groups.len() > 1 { fewest.max(self.count()) } else { fewest }
    }

    /// How many of each group there are with so many in all: those still to take go where there
    /// are fewest.
    fn with(&self, in_all: u32) -> Vec<(&'static str, u32)> {
        let mut groups = self.groups.clone();
        let mut more = in_all.saturating_sub(self.count());
        match groups.as_mut_slice() {
            [(_, one)] => *one = in_all,
            [(_, one), (_, other)] => {
                let even = more.min(one.abs_diff(*other));
                *(if one < other { &mut *one } else { &mut *other }) += even;
                more -= even;
                *one += more - more / 2;
                *other += more / 2;
            }
            _ => {}
        }
        groups
    }

    /// How many more of each of two groups make so many in all; `None` for one kind.
    #[must_use]
    pub fn more_each_way(&self, in_all: u32) -> Option<[u32; 2]> {
        match (self.with(in_all).as_slice(), self.groups.as_slice()) {
            ([(_, out), (_, home)], [(_, old_out), (_, old_home)]) => {
                Some([out - old_out, home - old_home])
            }
            _ => None,
        }
    }

    /// The half width to expect with `in_all` readings of standard deviation `sd`: t s / sqrt(n),
    /// or t s sqrt(1/n + 1/m) / 2 both ways, t at as many degrees of freedom as the judgement will
    /// have. `None` where there would be none.
    ///
    /// ```
    /// use alleytrue::statistics::{Confidence, Taken};
    /// use alleytrue::working::Value;
    /// // 5 and 5: t at 8 degrees of freedom is 2.306 (NIST/SEMATECH e-Handbook 1.3.6.7.2), so
    /// // 2.306 x 0.5 x sqrt(1/5 + 1/5) / 2 = 0.3646.
    /// let half = Taken::both_ways(0, 0)
    ///     .half_width(&Value::constant(0.5), 10, Confidence::NINETY_FIVE)
    ///     .ok_or("too few")?;
    /// assert!((half.number() - 0.3646).abs() < 5e-5);
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn half_width(&self, sd: &Value, in_all: u32, confidence: Confidence) -> Option<Value> {
        let t = confidence.t(in_all.checked_sub(self.lost)?)?;
        let plain = |(_, n): (&'static str, u32)| Value::constant(f64::from(n));
        half_width_of(t, sd, &self.with(in_all).into_iter().map(plain).collect::<Vec<_>>())
    }

    fn expected(
        &self,
        subject: &str,
        sd: &Value,
        in_all: u32,
        confidence: Confidence,
    ) -> Option<Trial> {
        let how = match (in_all, self.groups.len()) {
            (MOST_READINGS, _) => "the most that are searched for",
            (_, 1) => "fewest with t * SD / sqrt(n) within what is wanted",
            _ => "fewest with t * SD * sqrt(1/n + 1/m) / 2 within what is wanted",
        };
        let t = confidence.t(in_all.checked_sub(self.lost)?)?;
        let found = |(tag, n): (&'static str, u32)| {
            Value::found(format!("{subject} needed{tag}"), f64::from(n), Unit::ONE, how)
        };
        let groups: Vec<Value> = self.with(in_all).into_iter().map(found).collect();
        let half_width = half_width_of(t, sd, &groups)?;
        let in_all = match groups.as_slice() {
            [one] => one.clone(),
            groups => groups
                .iter()
                .cloned()
                .reduce(|sum, next| sum + next)?
                .named(format!("{subject} needed")),
        };
        Some(Trial {
            in_all,
            half_width: half_width.named(format!("half width {subject} expected")),
        })
    }
}

/// t s / sqrt(n), or t s sqrt(1/n + 1/m) / 2 for the mean of two means.
fn half_width_of(t: Value, sd: &Value, groups: &[Value]) -> Option<Value> {
    if let [n] = groups {
        return Some(t * sd / n.root());
    }
    let inverse = groups.iter().map(|n| Value::constant(1.0) / n);
    Some(t * sd * inverse.reduce(|sum, next| sum + next)?.root() / Value::constant(2.0))
}

/// The readings needed for a mean whose interval reaches no further than `wanted` either way:
/// the smallest n of 2 and more with t s / sqrt(n) <= wanted, that is n >= (t s / wanted)^2.
///
/// `s` is the larger of `sd`, the standard deviation seen so far (`None` with one reading), and
/// `floor`, the scatter known to be there whatever was seen, such as the edge jitter of the
/// plate's phase. Both and `wanted` have the unit of the readings; t is Student's, two-sided,
/// at the degrees of freedom that the interval will be judged with, n - 1 for readings of one
/// kind. `taken` says how many there are and how they are judged.
///
/// t / sqrt(n) falls as n rises, so n is found by halving 2 to [`MOST_READINGS`]. `None` if
/// there is neither `sd` nor `floor`, or `wanted` is not above 0. Source: NIST/SEMATECH
/// e-Handbook 7.2.2.2, with one risk.
///
/// ```
/// use alleytrue::statistics::{Confidence, Taken, more_readings};
/// use alleytrue::working::{Value, steps};
/// let [sd, wanted] = [0.9, 0.5].map(Value::constant);
/// let need = more_readings(
///     "readout", &Taken::one_kind(4), Some(&sd), None, &wanted, Confidence::NINETY_FIVE,
/// ).ok_or("no scatter known")?;
/// assert_eq!(need.in_all.number(), 15.0);
/// let lines: Vec<String> = steps(&[need.half_width, need.more])
///     .iter()
///     .map(ToString::to_string)
///     .collect();
/// assert_eq!(lines, [
///     "t (95 %, 14 df) = Student's t, two-sided = 2.14479",
///     "readout needed = fewest with t * SD / sqrt(n) within what is wanted = 15",
///     "half width readout expected = t (95 %, 14 df) * 0.9 / sqrt(readout needed) \
///      = 2.144787 * 0.9 / sqrt(15) = 0.498403",
///     "readouts measured = counted = 4",
///     "more readout = readout needed - readouts measured = 15 - 4 = 11",
/// ]);
/// # Ok::<(), &str>(())
/// ```
#[must_use]
pub fn more_readings(
    subject: &str,
    taken: &Taken,
    sd: Option<&Value>,
    floor: Option<&Value>,
    wanted: &Value,
    confidence: Confidence,
) -> Option<MoreReadings> {
    let scatter = match (sd, floor) {
        (Some(sd), Some(floor)) if floor.number() > sd.number() => floor,
        (Some(sd), _) => sd,
        (None, floor) => floor?,
    };
    if wanted.number().is_nan() || wanted.number() <= 0.0 {
        return None;
    }
    let trial = |n| taken.expected(subject, scatter, n, confidence);
    let mut last = trial(MOST_READINGS)?;
    let more_than = last.half_width.number() > wanted.number();
    if !more_than {
        let (mut few, mut enough) = (taken.fewest() - 1, MOST_READINGS);
        while enough > few + 1 {
            let middle = few + (enough - few) / 2;
            let trial = trial(middle)?;
            if trial.half_width.number() > wanted.number() {
                few = middle;
            } else {
                enough = middle;
                last = trial;
            }
        }
    }
    let name = format!("more {subject}");
    let so_far = f64::from(taken.count());
    let more = if last.in_all.number() > so_far {
        let so_far = Value::found(format!("{subject}s measured"), so_far, Unit::ONE, "counted");
        (&last.in_all - so_far).named(name)
    } else {
        Value::found(name, 0.0, Unit::ONE, "there are enough")
    };
    Some(MoreReadings { in_all: last.in_all, more, half_width: last.half_width, more_than })
}

/// A number of readings on trial.
struct Trial {
    in_all: Value,
    half_width: Value,
}

#[cfg(test)]
mod tests {
    use super::super::student_t::critical;
    use super::*;
    use crate::working::steps;

    fn need(so_far: u32, wanted: f64) -> MoreReadings {
        let [sd, wanted] = [2.0, wanted].map(Value::constant);
        let taken = Taken::one_kind(so_far);
        more_readings("x", &taken, Some(&sd), None, &wanted, Confidence::NINETY_FIVE)
            .expect("a scatter")
    }

    /// The half width of so many readings whose SD is 2.
    fn half_width(readings: u32) -> f64 {
        critical(0.95, readings - 1).expect("a t") * 2.0 / f64::from(readings).sqrt()
    }

    #[test]
    fn readings_that_just_reach_what_is_wanted_are_enough() {
        for readings in [2, 3, 4, 9, 100, MOST_READINGS] {
            let just = need(0, half_width(readings));
            assert_eq!(just.in_all.number(), f64::from(readings));
            assert!(!just.more_than);
            let closer = need(0, half_width(readings) * (1.0 - 1e-9));
            assert_eq!(closer.in_all.number(), f64::from((readings + 1).min(MOST_READINGS)));
            assert_eq!(closer.more_than, readings == MOST_READINGS);
        }
    }

    #[test]
    fn where_enough_were_taken_none_are_missing_and_the_line_says_so() {
        let lines = |so_far: u32| {
            let more = need(so_far, half_width(9)).more;
            steps(&[more]).last().expect("a line").to_string()
        };
        assert_eq!(lines(8), "more x = x needed - xs measured = 9 - 8 = 1");
        assert_eq!(lines(9), "more x = there are enough = 0");
        assert_eq!(lines(10), "more x = there are enough = 0");
    }

    #[test]
    fn the_number_needed_says_how_it_was_found() {
        let line = |wanted: f64| steps(&[need(0, wanted).in_all])[0].to_string();
        let found = "x needed = fewest with t * SD / sqrt(n) within what is wanted = 9";
        assert_eq!(line(half_width(9)), found);
        assert_eq!(line(0.001), "x needed = the most that are searched for = 10000");
    }

    #[test]
    fn the_larger_of_scatter_and_floor_counts() {
        let in_all = |sd: Option<f64>, floor: Option<f64>| {
            let [sd, floor] = [sd, floor].map(|number| number.map(Value::constant));
            let wanted = Value::constant(half_width(9));
            let (taken, usual) = (Taken::one_kind(0), Confidence::NINETY_FIVE);
            more_readings("x", &taken, sd.as_ref(), floor.as_ref(), &wanted, usual)
                .map(|need| need.in_all.number())
        };
        for (sd, floor) in
            [(Some(2.0), None), (None, Some(2.0)), (Some(2.0), Some(0.2)), (Some(0.2), Some(2.0))]
        {
            assert_eq!(in_all(sd, floor), Some(9.0), "{sd:?} {floor:?}");
        }
        assert_eq!(in_all(None, None), None);
    }

    #[test]
    fn nothing_is_enough_where_no_half_width_above_nought_is_wanted() {
        for wanted in [0.0, -1.0, f64::NAN] {
            let [sd, wanted] = [2.0, wanted].map(Value::constant);
            let taken = Taken::one_kind(0);
            let need =
                more_readings("x", &taken, Some(&sd), None, &wanted, Confidence::NINETY_FIVE);
            assert!(need.is_none(), "{wanted:?}");
        }
    }

    // t at 14 and 16 degrees of freedom is 2.145 and 2.120 (NIST/SEMATECH e-Handbook 1.3.6.7.2):
    // 8 and 8 have half a width of 2.145 x 2 x sqrt(1/8 + 1/8) / 2 = 1.0725, 9 and 9 have 0.9994.
    // 12 and 2 are filled up where there are fewest: t at 17 and 18 degrees is 2.110 and 2.101, so
    // 12 and 7 have 2.110 x sqrt(1/12 + 1/7) = 1.0034, 12 and 8 have 0.9590.
    #[test]
    fn both_ways_are_planned_at_two_degrees_less_and_filled_up_where_there_are_fewest() {
        let [sd, wanted] = [2.0, 1.0].map(Value::constant);
        let plan = |out, home| {
            let taken = Taken::both_ways(out, home);
            let need =
                more_readings("x", &taken, Some(&sd), None, &wanted, Confidence::NINETY_FIVE)
                    .expect("a scatter");
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
            let in_all = need.in_all.number() as u32;
            (in_all, need.half_width.number(), taken.more_each_way(in_all).expect("two ways"))
        };
        let (in_all, half, each) = plan(0, 0);
        assert_eq!((in_all, each), (18, [9, 9]));
        approx::assert_abs_diff_eq!(half, 0.9994, epsilon = 5e-4);
        assert_eq!((plan(8, 8).0, plan(8, 8).2), (18, [1, 1]));
        assert_eq!((plan(12, 2).0, plan(12, 2).2), (20, [0, 6]));
        assert_eq!((plan(9, 9).0, plan(9, 9).2), (18, [0, 0]));
    }

    // Six readings at 3 degrees of freedom: ten have 7.
    #[test]
    fn readings_of_several_lengths_keep_the_degrees_they_lack() {
        let half =
            Taken::at_degrees(6, 3).half_width(&Value::constant(2.0), 10, Confidence::NINETY_FIVE);
        let expected = critical(0.95, 7).expect("a t") * 2.0 / 10.0_f64.sqrt();
        approx::assert_abs_diff_eq!(half.expect("degrees").number(), expected, epsilon = 1e-12);
    }
}
