//! Groups held each against the rest: which row differs by more than scatter.

use super::confidence::Confidence;
use super::share::normal;
use super::summary::Summary;
use crate::working::Value;

/// A group that stands apart from all the others taken together.
#[derive(Clone, Debug)]
pub struct Apart {
    /// Its place among the groups, from 0.
    pub place: usize,
    /// Group less the rest.
    pub difference: Value,
    /// What the difference would stay within, either way, if the group were like the rest.
    pub half_width: Value,
}

/// Groups whose mean differs from that of all other readings by more than scatter.
///
/// With n_i readings of mean m_i and standard deviation s_i in group i, N in all, k groups:
/// pooled standard deviation s = sqrt(sum of (n_i - 1) s_i² / (N - k)); the difference is m_i
/// less the mean of the N - n_i other readings, its half width t s sqrt(1/n_i + 1/(N - n_i)),
/// t at N - k degrees of freedom and, since k groups are looked at, at the confidence
/// 1 - (1 - confidence) / k (Bonferroni). The group furthest apart is taken out first, and the
/// others are then held against one another without it. None where there is a single group or no scatter.
/// Sources: NIST/SEMATECH e-Handbook 7.3.1 and 7.4.7.3.
///
/// ```
/// use alleytrue::statistics::{Confidence, Summary, means_apart};
/// use alleytrue::working::Value;
/// // Colorado School of Mines, course notes on the analysis of variance: within samples a sum of
/// // squares of 36 on 9 degrees of freedom, so a pooled SD of 2; means 509, 505, 508.
/// let samples: [&[f64]; 3] =
///     [&[507.0, 511.0, 509.0], &[504.0, 506.0, 508.0, 505.0, 502.0], &[510.0, 508.0, 506.0, 508.0]];
/// let groups: Vec<(String, Summary)> = samples
///     .iter()
///     .zip(["a", "b", "c"])
///     .filter_map(|(sample, name)| {
///         let readings: Vec<Value> = sample.iter().copied().map(Value::constant).collect();
///         let summary = Summary::of(name, &readings, Confidence::NINETY_FIVE)?;
///         Some((name.to_owned(), summary))
///     })
///     .collect();
/// let apart = means_apart("life", &groups, Confidence::NINETY_FIVE);
/// // b: 505 - (3 x 509 + 4 x 508) / 7 = -3.4286; t (98.33 %, 9 df) is 2.933,
/// // 2.933 x 2 x sqrt(1/5 + 1/7) = 3.435: just not apart. At 90 % (96.67 %, 2.510: 2.94) it is.
/// assert!(apart.is_empty());
/// let ninety = Confidence::new(0.9).ok_or("a confidence")?;
/// let apart = means_apart("life", &groups, ninety);
/// assert_eq!(apart.iter().map(|one| one.place).collect::<Vec<_>>(), [1]);
/// assert!((apart[0].difference.number() + 3.428_571).abs() < 1e-6);
/// # Ok::<(), &str>(())
/// ```
#[must_use]
pub fn means_apart(
    subject: &str,
    groups: &[(String, Summary)],
    confidence: Confidence,
) -> Vec<Apart> {
    pooled(subject, groups)
        .and_then(|sd| {
            let degrees = groups.iter().map(|(_, group)| degrees_of(group)).sum();
            let t = confidence.for_each_of(groups.len())?.t(degrees)?;
            Some(furthest_first(groups.len(), |place, rest| {
                mean_apart(place, rest, groups, &sd, &t)
            }))
        })
        .unwrap_or_default()
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a count of readings
fn degrees_of(group: &Summary) -> u32 {
    group.spread.as_ref().map_or(0, |spread| spread.degrees_of_freedom.number() as u32)
}

/// The standard deviation that groups share; `None` where they have none.
fn pooled(subject: &str, groups: &[(String, Summary)]) -> Option<Value> {
    if groups.len() < 2 {
        return None;
    }
    let spreads = || groups.iter().filter_map(|(_, group)| group.spread.as_ref());
    let squares = spreads()
        .map(|spread| &spread.degrees_of_freedom * spread.sd.to_the(2))
        .reduce(|sum, next| sum + next)?;
    let degrees = total(spreads().map(|spread| spread.degrees_of_freedom.clone()))?;
    let sd = (squares / degrees).root().named(format!("SD {subject}, all rows"));
    (sd.number() > 0.0).then_some(sd)
}

fn total(mut values: impl Iterator<Item = Value>) -> Option<Value> {
    let first = values.next()?;
    Some(values.fold(first, |sum, next| sum + next))
}

/// Takes out the group that stands furthest apart, then looks at those left, so that one odd group
/// does not make the others look odd; at last in the order of the groups.
fn furthest_first(groups: usize, apart: impl Fn(usize, &[usize]) -> Option<Apart>) -> Vec<Apart> {
    let mut left: Vec<usize> = (0..groups).collect();
    let mut found: Vec<Apart> = vec![];
    while left.len() > 1 {
        let all = left.iter().filter_map(|place| {
            let rest: Vec<usize> = left.iter().copied().filter(|other| other != place).collect();
            apart(*place, &rest)
        });
        let size = |one: &Apart| one.difference.number().abs() / one.half_width.number();
        // The first of several that stand equally far apart.
        let Some(furthest) = all.reduce(|a, b| if size(&b) > size(&a) { b } else { a }) else {
            break;
        };
        left.retain(|place| *place != furthest.place);
        found.push(furthest);
    }
    found.sort_by_key(|one| one.place);
    found
}

fn mean_apart(
    place: usize,
    others: &[usize],
    groups: &[(String, Summary)],
    sd: &Value,
    t: &Value,
) -> Option<Apart> {
    let (name, own) = groups.get(place)?;
    let rest = || others.iter().filter_map(|at| groups.get(*at)).map(|(_, group)| group);
    let count = total(rest().map(|group| group.count.clone()))?
        .named(format!("{name}: readings of the rest"));
    let mean = (total(rest().map(|group| &group.count * &group.mean))? / &count)
        .named(format!("{name}: mean of the rest"));
    let one = || Value::constant(1.0);
    let half_width = (t * sd * (one() / &own.count + one() / &count).root())
        .named(format!("{name}: what scatter makes"));
    let difference = (&own.mean - &mean).named(format!("{name}: difference from the rest"));
    (difference.number().abs() > half_width.number()).then_some(Apart {
        place,
        difference,
        half_width,
    })
}

/// A group of which some were counted.
#[derive(Clone, Debug)]
pub struct Counted {
    /// Its name.
    pub name: String,
    /// How many of them.
    pub counted: Value,
    /// How many in all.
    pub all: Value,
}

/// Groups whose share differs from that of all the others by more than chance, in per cent.
///
/// With k_i of n_i in the group and K of M in the rest, p = (k_i + K) / (n_i + M): the
/// difference k_i/n_i - K/M against z sqrt(p (1 - p) (1/n_i + 1/M)) + (1/n_i + 1/M) / 2, z at the
/// confidence 1 - (1 - confidence) / groups (Bonferroni), furthest first as in [`means_apart`].
/// The last part is for counts going by ones (Yates 1934, Suppl. J. R. Stat. Soc. 1:217-235). A
/// group is only looked at where 5 or more are expected on all four sides. So groups that are all
/// alike have one called apart in 1 - confidence of all cases at the most. Who looks at several
/// kinds of share asks for as much more confidence, see [`Confidence::for_each_of`]. Sources:
/// NIST/SEMATECH e-Handbook 7.3.3 and 7.4.7.3.
///
/// ```
/// use alleytrue::statistics::{Confidence, Counted, shares_apart};
/// use alleytrue::working::Value;
/// let group = |name: &str, k, n| Counted {
///     name: name.into(),
///     counted: Value::constant(k),
///     all: Value::constant(n),
/// };
/// // p = 30/200; 0.22 - 0.08 = 0.14 against 2.241 x sqrt(0.15 x 0.85 x 2/100) + 0.01 = 0.123.
/// let groups = [group("row 1", 22.0, 100.0), group("row 2", 8.0, 100.0)];
/// let apart = shares_apart(&groups, Confidence::NINETY_FIVE);
/// assert_eq!(apart.len(), 1); // the second has nothing left to differ from
/// assert!((apart[0].difference.number() - 14.0).abs() < 1e-9);
/// assert!((apart[0].half_width.number() - 12.32).abs() < 0.005);
/// ```
#[must_use]
pub fn shares_apart(groups: &[Counted], confidence: Confidence) -> Vec<Apart> {
    let z = confidence.for_each_of(groups.len()).and_then(normal);
    let Some(z) = z.filter(|_| groups.len() > 1) else { return vec![] };
    furthest_first(groups.len(), |place, rest| share_apart(place, rest, groups, &z))
}

fn share_apart(place: usize, others: &[usize], groups: &[Counted], z: &Value) -> Option<Apart> {
    const FEWEST_EXPECTED: f64 = 5.0;
    let own = groups.get(place)?;
    let name = &own.name;
    let rest = || others.iter().filter_map(|at| groups.get(*at));
    let counted = total(rest().map(|group| group.counted.clone()))?
        .named(format!("{name}: counted in the rest"));
    let all =
        total(rest().map(|group| group.all.clone()))?.named(format!("{name}: all of the rest"));
    let one = || Value::constant(1.0);
    let common =
        ((&own.counted + &counted) / (&own.all + &all)).named(format!("{name}: common share"));
    let side = |share: f64, all: &Value| share * all.number() >= FEWEST_EXPECTED;
    let share = common.number();
    let enough = [&own.all, &all].iter().all(|all| side(share, all) && side(1.0 - share, all));
    let of_one = || one() / &own.all + one() / &all;
    let by_ones = of_one() / Value::constant(2.0);
    let half_width = (z * (&common * (one() - &common) * of_one()).root() + by_ones)
        .in_percent()
        .named(format!("{name}: what chance makes"));
    let difference = (&own.counted / &own.all - &counted / &all)
        .in_percent()
        .named(format!("{name}: difference from the rest"));
    (enough && difference.number().abs() > half_width.number()).then_some(Apart {
        place,
        difference,
        half_width,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::clean;

    const USUAL: Confidence = Confidence::NINETY_FIVE;

    fn groups(readings: &[&[f64]]) -> Vec<(String, Summary)> {
        let summary = |readings: &&[f64]| {
            let readings: Vec<Value> = readings.iter().copied().map(Value::constant).collect();
            ("row".to_owned(), Summary::of("x", &readings, USUAL).expect("readings"))
        };
        readings.iter().map(summary).collect()
    }

    /// Places and differences of the groups that stand apart.
    fn means(readings: &[&[f64]]) -> Vec<(usize, f64)> {
        numbers(&means_apart("x", &groups(readings), USUAL))
    }

    fn numbers(apart: &[Apart]) -> Vec<(usize, f64)> {
        apart.iter().map(|one| (one.place, clean(one.difference.number()))).collect()
    }

    fn shares(counts: &[(f64, f64)]) -> Vec<Apart> {
        let counted = |(counted, all): &(f64, f64)| Counted {
            name: "row".to_owned(),
            counted: Value::constant(*counted),
            all: Value::constant(*all),
        };
        let groups: Vec<Counted> = counts.iter().map(counted).collect();
        shares_apart(&groups, USUAL)
    }

    #[test]
    fn without_scatter_or_without_others_no_group_stands_apart() {
        assert!(means(&[]).is_empty());
        assert!(means(&[&[1.0, 2.0, 9.0]]).is_empty());
        assert!(means(&[&[1.0], &[9.0]]).is_empty());
        assert!(means(&[&[1.0, 1.0], &[9.0, 9.0]]).is_empty());
        assert!(shares(&[]).is_empty() && shares(&[(50.0, 100.0)]).is_empty());
    }

    /// 10 is twice what scatter makes of the first group, 9 only 1.3 times of the second; without
    /// the first nothing is apart.
    #[test]
    fn the_group_furthest_beyond_its_scatter_is_taken_out_first() {
        let of_three = |place: usize, rest: &[usize]| {
            let (difference, half_width) = [(10.0, 5.0), (9.0, 7.0), (1.0, 2.0)][place];
            (rest.len() == 2 && place < 2).then(|| Apart {
                place,
                difference: Value::constant(difference),
                half_width: Value::constant(half_width),
            })
        };
        let places: Vec<usize> = furthest_first(3, of_three).iter().map(|one| one.place).collect();
        assert_eq!(places, [0]);
    }

    // Course notes of the doc test above: pooled SD 2 on 9 degrees of freedom, 505 against 508.4286;
    // t (96.67 %, 9 df) 2.509587, integrated apart: 2.509587 x 2 x sqrt(1/5 + 1/7) = 2.93893.
    #[test]
    fn what_scatter_makes_is_t_times_the_pooled_deviation_of_the_difference() {
        let samples: [&[f64]; 3] = [
            &[507.0, 511.0, 509.0],
            &[504.0, 506.0, 508.0, 505.0, 502.0],
            &[510.0, 508.0, 506.0, 508.0],
        ];
        let ninety = Confidence::new(0.9).expect("a confidence");
        let apart = means_apart("life", &groups(&samples), ninety);
        assert_eq!(apart.iter().map(|one| one.place).collect::<Vec<_>>(), [1]);
        approx::assert_abs_diff_eq!(apart[0].difference.number(), -24.0 / 7.0, epsilon = 1e-9);
        approx::assert_abs_diff_eq!(apart[0].half_width.number(), 2.938_93, epsilon = 1e-5);
        assert!(means(&samples).is_empty());
    }

    #[test]
    fn of_two_groups_the_first_is_named_and_the_second_has_nothing_left_to_differ_from() {
        assert_eq!(means(&[&[10.0, 11.0, 12.0], &[20.0, 21.0, 22.0]]), [(0, -10.0)]);
        assert_eq!(numbers(&shares(&[(10.0, 100.0), (30.0, 100.0)])), [(0, -20.0)]);
    }

    // SD 1 in each. 40 goes first, against (10 + 20 + 10) / 3; then 20 is held against 10 and 10.
    #[test]
    fn groups_that_stand_apart_are_in_their_order_each_against_those_left() {
        let found = means(&[
            &[9.0, 10.0, 11.0],
            &[19.0, 20.0, 21.0],
            &[9.0, 10.0, 11.0],
            &[39.0, 40.0, 41.0],
        ]);
        assert_eq!(found.iter().map(|one| one.0).collect::<Vec<_>>(), [1, 3]);
        approx::assert_abs_diff_eq!(found[0].1, 10.0, epsilon = 1e-9);
        approx::assert_abs_diff_eq!(found[1].1, 80.0 / 3.0, epsilon = 1e-9);
    }

    // Means 0, 0, 6 of two readings, 5 of eight. The last: 5 - 12/22 = 4.45 on
    // sqrt(1/8 + 1/22) = 0.413, 10.8 of them; the third: 6 - 40/28 = 4.57 on 0.732, 6.2. So the
    // last goes first, and the third is held against noughts alone.
    #[test]
    fn furthest_is_told_by_what_scatter_makes_not_by_the_difference_alone() {
        let level = [-1.0, 1.0].repeat(5);
        let found = means(&[&level, &level, &[5.0, 7.0], &[4.0, 6.0].repeat(4)]);
        assert_eq!(found.iter().map(|one| one.0).collect::<Vec<_>>(), [2, 3]);
        approx::assert_abs_diff_eq!(found[0].1, 6.0, epsilon = 1e-9);
        approx::assert_abs_diff_eq!(found[1].1, 5.0 - 12.0 / 22.0, epsilon = 1e-9);
    }

    // z at 97.5 % two-sided is 2.2414 (NIST/SEMATECH e-Handbook 1.3.6.7.1: 0.98749 at 2.24).
    // 2.2414 x sqrt(0.2 x 0.8 x (1/100 + 1/300)) = 0.10352, and half of 1/100 + 1/300 is 0.00667: 35
    // of 100 against 45 of 300.
    #[test]
    fn what_chance_makes_of_shares_is_z_times_the_deviation_of_their_difference() {
        let apart = shares(&[(45.0, 300.0), (35.0, 100.0)]);
        assert_eq!(apart.iter().map(|one| one.place).collect::<Vec<_>>(), [0]);
        approx::assert_abs_diff_eq!(apart[0].difference.number(), -20.0, epsilon = 1e-9);
        approx::assert_abs_diff_eq!(apart[0].half_width.number(), 11.019, epsilon = 0.001);
        assert!(shares(&[(55.0, 300.0), (25.0, 100.0)]).is_empty()); // 6.7 is less than 11
    }

    // 10 of 200 and 190 of 200: five are expected of each hundred. 9 or 191: four and a half, and
    // 8 of 20 among 20 of 200: two of the twenty.
    #[test]
    fn shares_are_held_against_each_other_where_five_are_expected_on_every_side() {
        assert_eq!(numbers(&shares(&[(0.0, 100.0), (10.0, 100.0)])), [(0, -10.0)]);
        assert_eq!(numbers(&shares(&[(100.0, 100.0), (90.0, 100.0)])), [(0, 10.0)]);
        assert!(shares(&[(0.0, 100.0), (9.0, 100.0)]).is_empty());
        assert!(shares(&[(100.0, 100.0), (91.0, 100.0)]).is_empty());
        assert!(shares(&[(8.0, 20.0), (12.0, 180.0)]).is_empty());
        assert!(shares(&[(12.0, 20.0), (168.0, 180.0)]).is_empty());
    }
}
