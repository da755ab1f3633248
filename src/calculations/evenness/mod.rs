//! Evenness of spacing: gaps between seeds or plants in a row, sorted into multiples, singles and
//! misses after ISO 7256-1:1984, counted both ways, with both precisions.
//!
//! Xref is the target spacing. A gap up to and including 0.5 Xref is a multiple, one above 0.5 and
//! up to 1.5 Xref a single, one above 1.5 Xref a miss. The limits and which side they belong to
//! are those of ISO 7256-1:1984 as Bracy and Parish, HortTechnology, and Iowa State Extension
//! print them; the standard itself was not at hand.

use super::calculate::{Calculate, Entry};
use super::common::Common;
use super::readings;
use super::sprockets::SearchError;
use crate::quantity::{Length, Unit, brief, clean};
use crate::statistics::{Confidence, Counted, Share, Summary, mean, shares_apart};
use crate::working::Value;

use super::by_row::{by_row, of_row, row_cell};
use super::jitter::Seeds;
use crate::outcome::cautions::{AT_THE_DRIVE, NO_RIDERS};
use crate::outcome::warning::{
    FEW_GAPS, MANY_MISSES, MANY_MULTIPLES, MULTIPLES_AND_MISSES, NO_POSITIONS, ROW_APART,
    WarningKind,
};
use crate::outcome::{Calculation, Cell, Column, Next, Outcome, Picture, Table};
use crate::outcome::{Class, Histogram, Limit};
use crate::working::Units;

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "evenness", title: "Evenness of spacing" };

/// Gaps that ISO 7256-1 asks for in each repeat.
pub const GAPS_ASKED_FOR: u32 = 250;
/// A kind of fault is many where it is surely more than this share of the gaps, in per cent;
/// below it nothing is said of the meter. Common practice, no source.
const MANY: f64 = 5.0;
/// Classes of the histogram are a tenth of Xref wide (ISO 7256-1).
const CLASSES_PER_XREF: f64 = 10.0;
/// Gaps from here on, in Xref, are one class: an unplanted stretch is no class of its own.
const LAST_CLASS: f64 = 5.0;

/// What the tape gave along one row.
#[derive(Clone, Debug)]
pub enum Taped {
    /// Places along a tape that lies still, rising.
    Positions(Vec<Length>),
    /// Distances from one seed to the next.
    Gaps(Vec<Length>),
}

/// One stretch of one row.
#[derive(Clone, Debug)]
pub struct SpacingRun {
    /// The row, where it was noted.
    pub row: Option<u32>,
    /// What the tape gave.
    pub taped: Taped,
}

impl SpacingRun {
    /// The gaps of the stretch: of positions x, each x less the one before.
    ///
    /// ```
    /// use alleytrue::calculations::evenness::{SpacingRun, Taped};
    /// use alleytrue::working::Units;
    /// use alleytrue::quantity::Length;
    /// let at = |text| Length::parse(text, None);
    /// let taped = Taped::Positions(vec![at("2 in")?, at("3.5 in")?, at("6 in")?]);
    /// let gaps = SpacingRun { row: None, taped }.gaps(&Units::US);
    /// assert_eq!(gaps.iter().map(|gap| gap.number()).collect::<Vec<_>>(), [1.5, 2.5]);
    /// # Ok::<(), alleytrue::quantity::ParseError>(())
    /// ```
    #[must_use]
    pub fn gaps(&self, units: &Units) -> Vec<Value> {
        match &self.taped {
            Taped::Gaps(gaps) => units.readings(gaps),
            Taped::Positions(positions) => {
                units.readings(positions).windows(2).map(|pair| &pair[1] - &pair[0]).collect()
            }
        }
    }

    fn count(&self) -> usize {
        match &self.taped {
            Taped::Gaps(gaps) => gaps.len(),
            Taped::Positions(positions) => positions.len().saturating_sub(1),
        }
    }
}

/// What the evenness calculation needs.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// The runs; at least one gap.
    pub runs: Vec<SpacingRun>,
    /// The seeds wanted.
    pub seeds: Seeds,
}

impl Inputs {
    /// The gaps of each row, without those left out.
    pub(crate) fn rows(&self, common: &Common) -> Vec<(Option<u32>, Vec<Value>)> {
        let mut place = 0;
        let mut counts = |_: &Value| {
            place += 1;
            !common.left_out(CALCULATION).contains(&place)
        };
        let runs = self.runs.iter();
        let runs: Vec<_> = runs
            .map(|run| {
                let mut gaps = run.gaps(&common.units);
                gaps.retain(&mut counts);
                (run.row, gaps)
            })
            .filter(|(_, gaps)| !gaps.is_empty())
            .collect();
        by_row(runs)
    }
}

/// The kinds of gap.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Up to and including 0.5 Xref: two seeds or more where one belongs.
    Multiple,
    /// Above 0.5, up to and including 1.5 Xref.
    Single,
    /// Above 1.5 Xref; so many places are empty.
    Miss(u8),
}

/// The kind of a gap that is so many Xref long, with the five classes of Kachman and Smith 1995
/// (Trans. ASAE 38(2):379-387): a gap above 1.5 Xref leaves one place empty, above 2.5 two,
/// above 3.5 three.
///
/// ```
/// use alleytrue::calculations::evenness::{Kind, kind};
/// assert_eq!(kind(0.5), Kind::Multiple);
/// assert_eq!(kind(0.500_001), Kind::Single);
/// assert_eq!(kind(1.5), Kind::Single);
/// assert_eq!([1.51, 2.5, 3.5, 9.0].map(kind), [1, 1, 2, 3].map(Kind::Miss));
/// // 0.75 of 1.5 taken from tape readings: binary noise makes no single of it.
/// assert_eq!(kind((10.35 - 9.6) / 1.5), Kind::Multiple);
/// ```
#[must_use]
pub fn kind(in_xref: f64) -> Kind {
    match clean(in_xref) {
        gap if gap <= 0.5 => Kind::Multiple,
        gap if gap <= 1.5 => Kind::Single,
        gap if gap <= 2.5 => Kind::Miss(1),
        gap if gap <= 3.5 => Kind::Miss(2),
        _ => Kind::Miss(3),
    }
}

/// The indices of a list of gaps.
#[derive(Clone, Debug)]
pub struct Indices {
    /// Gaps in all, N.
    pub gaps: Value,
    /// Multiples counted.
    pub multiples: Value,
    /// Misses counted.
    pub misses: Value,
    /// Shares of gaps: multiples, singles, misses.
    pub of_gaps: [Share; 3],
    /// Shares of target positions in per cent: multiples, singles, misses; `None` where more than
    /// half of the gaps are multiples.
    pub of_positions: Option<[Value; 3]>,
    /// SD of singles / Xref, in per cent: the precision of ISO 7256-1; `None` for fewer than two
    /// singles.
    pub precision: Option<Value>,
    /// SD of singles / mean of singles, in per cent.
    pub cv: Option<Value>,
}

impl Indices {
    /// The indices of gaps for a target spacing Xref.
    ///
    /// Of N gaps n1 lie up to 0.5 Xref, n2 up to 1.5, n3 up to 2.5, n4 up to 3.5, n5 beyond.
    /// Shares of gaps: n1/N, n2/N, (n3 + n4 + n5)/N, each with Wilson's interval. Target
    /// positions (Kachman and Smith 1995, from memory): doubles n2' = n1, singles n1' = N - 2 n2',
    /// empty n0' = n3 + 2 n4 + 3 n5, in all N' = n2' + n1' + n0'. Both precisions take the
    /// standard deviation (n - 1) of the singles alone: over Xref, and over their own mean.
    ///
    /// ```
    /// use alleytrue::calculations::evenness::Indices;
    /// use alleytrue::statistics::Confidence;
    /// use alleytrue::working::Value;
    /// // 5 multiples, 87 singles, 6 + 1 + 1 misses of 100 gaps:
    /// // N' = 5 + 90 + (6 + 2 + 3) = 106; 5/106, 90/106, 11/106.
    /// let gaps = [(0.2, 5), (1.0, 87), (2.0, 6), (3.0, 1), (4.0, 1)]
    ///     .map(|(gap, times)| vec![Value::constant(gap); times])
    ///     .concat();
    /// let one = Value::constant(1.0);
    /// let indices = Indices::of("", &gaps, &one, Confidence::NINETY_FIVE).ok_or("no gaps")?;
    /// assert_eq!(indices.of_gaps.map(|share| share.share.number()), [5.0, 87.0, 8.0]);
    /// let positions = indices.of_positions.ok_or("mostly multiples")?;
    /// let tenths = positions.map(|share| (share.number() * 10.0).round() / 10.0);
    /// assert_eq!(tenths, [4.7, 84.9, 10.4]);
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn of(tag: &str, gaps: &[Value], xref: &Value, confidence: Confidence) -> Option<Indices> {
        let kind_of = |gap: &Value| kind(gap.number() / xref.number());
        let counted = |name: &str, how: &'static str, wanted: &dyn Fn(Kind) -> bool| {
            let number = gaps.iter().filter(|gap| wanted(kind_of(gap))).count();
            found(format!("{name}{tag}"), number, how)
        };
        let all = found(format!("gaps{tag}"), gaps.len(), "counted");
        let multiples = counted("multiples", "gaps up to and including 0.5 Xref", &|kind| {
            kind == Kind::Multiple
        });
        let singles =
            counted("singles", "gaps above 0.5, up to 1.5 Xref", &|kind| kind == Kind::Single);
        let one = counted("misses of one", "gaps above 1.5, up to 2.5 Xref", &|kind| {
            kind == Kind::Miss(1)
        });
        let two = counted("misses of two", "gaps above 2.5, up to 3.5 Xref", &|kind| {
            kind == Kind::Miss(2)
        });
        let three = counted("misses of three or more", "gaps above 3.5 Xref", &|kind| {
            kind == Kind::Miss(3)
        });
        let misses = (&one + &two + &three).named(format!("misses{tag}"));
        let share = |name: &str, number: &Value| {
            Share::of(&format!("{name}, of gaps{tag}"), number, &all, confidence)
        };
        let of_gaps = [
            share("multiples", &multiples)?,
            share("singles", &singles)?,
            share("misses", &misses)?,
        ];
        let of_positions = of_positions(tag, &all, &multiples, [&one, &two, &three]);
        let lone: Vec<Value> =
            gaps.iter().filter(|gap| kind_of(gap) == Kind::Single).cloned().collect();
        let (precision, cv) = precisions(tag, &lone, xref, confidence).unzip();
        Some(Indices { gaps: all, multiples, misses, of_gaps, of_positions, precision, cv })
    }

    fn values(&self) -> Vec<Value> {
        let shares = self.of_gaps.iter().flat_map(Share::values);
        let positions = self.of_positions.iter().flatten().cloned();
        shares.chain(positions).chain(self.precision.clone()).chain(self.cv.clone()).collect()
    }
}

fn found(name: String, number: usize, how: &'static str) -> Value {
    #[allow(clippy::cast_precision_loss)] // far fewer gaps than 2^53
    Value::found(name, number as f64, Unit::ONE, how)
}

fn of_positions(
    tag: &str,
    gaps: &Value,
    multiples: &Value,
    misses: [&Value; 3],
) -> Option<[Value; 3]> {
    let [one, two, three] = misses;
    let twice = Value::constant(2.0) * multiples;
    if twice.number() > gaps.number() {
        return None;
    }
    let single = (gaps - twice).named(format!("positions with one seed{tag}"));
    let empty = (one + Value::constant(2.0) * two + Value::constant(3.0) * three)
        .named(format!("empty positions{tag}"));
    let all = (multiples + &single + &empty).named(format!("target positions{tag}"));
    let share = |name: &str, number: &Value| {
        (number / &all).in_percent().named(format!("{name}, of target positions{tag}"))
    };
    Some([share("multiples", multiples), share("singles", &single), share("misses", &empty)])
}

fn precisions(
    tag: &str,
    singles: &[Value],
    xref: &Value,
    confidence: Confidence,
) -> Option<(Value, Value)> {
    let summary = Summary::of(&format!("single gap{tag}"), singles, confidence)?;
    let sd = summary.spread?.sd;
    let precision = (&sd / xref).in_percent().named(format!("SD of singles over Xref{tag}"));
    let cv = (&sd / &summary.mean).in_percent().named(format!("CV of singles{tag}"));
    Some((precision, cv))
}

/// The indices of all rows together, the histogram, and row against row.
#[must_use]
pub fn calibrate(inputs: &Inputs, common: &Common) -> Outcome {
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = common.on_the_range();
    outcome.warnings.extend(readings::left_out_remark(common.left_out(CALCULATION), "gap"));
    let xref = inputs.seeds.spacing(&common.units).named("Xref");
    let rows = inputs.rows(common);
    let gaps: Vec<Value> = rows.iter().flat_map(|(_, gaps)| gaps.clone()).collect();
    let Some(all) = Indices::of("", &gaps, &xref, common.confidence) else { return outcome };
    outcome.values.push(xref.clone());
    if let Some(mean) = mean("gap", &gaps) {
        outcome.values.push((mean / &xref).in_percent().named("mean gap against Xref"));
    }
    outcome.values.extend(all.values());
    let rows: Vec<(Option<u32>, Indices)> = rows
        .iter()
        .filter_map(|(row, gaps)| {
            Some((*row, Indices::of(&of_row(*row), gaps, &xref, common.confidence)?))
        })
        .collect();
    outcome.tables.push(table(&rows));
    let classes = classes(&gaps, &xref);
    outcome.tables.push(class_table(&classes));
    outcome.pictures.push(Picture::Histogram(histogram(classes, &xref)));
    if all.of_positions.is_none() {
        outcome.warnings.push(NO_POSITIONS.with(format!(
            "{} of {} gaps are multiples: target positions can't be counted",
            all.multiples.number(),
            all.gaps.number()
        )));
    }
    say_few(&all, &mut outcome);
    let worse = say_rows_apart(&rows, common.confidence, &mut outcome);
    say_meter(&all, &worse, common.confidence, &mut outcome);
    outcome
}

fn say_few(all: &Indices, outcome: &mut Outcome) {
    let asked = f64::from(GAPS_ASKED_FOR);
    let singles = &all.of_gaps[1];
    if all.gaps.number() < asked {
        outcome.warnings.push(FEW_GAPS.with(format!(
            "{} gap{}, {} are asked for: {} more; with these the singles are {} to {} %",
            brief(all.gaps.number()),
            if all.gaps.number() == 1.0 { "" } else { "s" },
            GAPS_ASKED_FOR,
            brief(asked - all.gaps.number()),
            brief(singles.low.number()),
            brief(singles.high.number())
        )));
    }
}

/// Rows whose share of multiples or of misses differs from that of the others; hands back those
/// that have more of them.
fn say_rows_apart(
    rows: &[(Option<u32>, Indices)],
    confidence: Confidence,
    outcome: &mut Outcome,
) -> Vec<u32> {
    let mut worse = vec![];
    // Two kinds are looked at in the same gaps.
    let Some(confidence) = confidence.for_each_of(2) else { return worse };
    for (what, counted) in [
        ("multiples", (|indices: &Indices| indices.multiples.clone()) as fn(&Indices) -> Value),
        ("misses", |indices: &Indices| indices.misses.clone()),
    ] {
        let groups: Vec<Counted> = rows
            .iter()
            .filter_map(|(row, indices)| {
                let name = format!("{what} of row {}", (*row)?);
                Some(Counted { name, counted: counted(indices), all: indices.gaps.clone() })
            })
            .collect();
        for apart in shares_apart(&groups, confidence) {
            let row = rows.iter().filter_map(|(row, _)| *row).nth(apart.place).unwrap_or(0);
            let own = &groups[apart.place];
            let share = 100.0 * own.counted.number() / own.all.number();
            outcome.warnings.push(ROW_APART.with(format!(
                "row {row}: {} % {what}, {} % in the other rows; chance alone makes that differ \
                 by up to {} %",
                brief(share),
                brief(clean(share - apart.difference.number())),
                brief(apart.half_width.number())
            )));
            outcome.values.extend([apart.difference.clone(), apart.half_width.clone()]);
            if apart.difference.number() > 0.0 && !worse.contains(&row) {
                worse.push(row);
            }
        }
    }
    worse.sort_unstable();
    worse
}

/// What faults point to.
struct Pointed {
    kind: &'static WarningKind,
    words: &'static str,
    /// What to try; `None` where more has to be measured first.
    step: Option<&'static str>,
}

/// Both kinds surely many, or surely more of one than of the other; `part` is the share of
/// multiples among the faults. Common practice, no source.
fn pointed(all: &Indices, part: &Share) -> Pointed {
    let [multiples, _, misses] = &all.of_gaps;
    if multiples.low.number() > MANY && misses.low.number() > MANY {
        return Pointed {
            kind: &MULTIPLES_AND_MISSES,
            words: "both are many: look at speed, at a worn plate or seal, at how the seed fits \
                    the cell, at the seed tube",
            step: Some("drive slower, or look at plate, seal and seed tube"),
        };
    }
    if part.low.number() > 50.0 {
        return Pointed {
            kind: &MANY_MULTIPLES,
            words: "that usually asks for more singulation, less vacuum or air, or a slower plate",
            step: Some("more singulation, or less vacuum, or a slower plate"),
        };
    }
    if part.high.number() < 50.0 {
        return Pointed {
            kind: &MANY_MISSES,
            words: "that usually asks for more vacuum or air, less singulation, or a slower plate; \
                    where plants were measured it may be seed that did not come up",
            step: Some("more vacuum, or less singulation, or a slower plate"),
        };
    }
    Pointed {
        kind: &MULTIPLES_AND_MISSES,
        words: "these gaps can't tell which are more; measure more before the meter is touched",
        step: None,
    }
}

/// What the faults usually point to at the meter; `worse` are the rows that stand apart.
fn say_meter(all: &Indices, worse: &[u32], confidence: Confidence, outcome: &mut Outcome) {
    let [multiples, _, misses] = &all.of_gaps;
    let faults = (&all.multiples + &all.misses).named("multiples and misses");
    let share = |share: &Share| brief(share.share.number());
    let seen = format!("{} % multiples, {} % misses", share(multiples), share(misses));
    if multiples.share.number() + misses.share.number() <= MANY {
        return;
    }
    let Some(part) = Share::of("multiples, of faults", &all.multiples, &faults, confidence) else {
        return;
    };
    let Pointed { kind, words, step } = pointed(all, &part);
    outcome.values.extend(part.values());
    outcome.warnings.push(kind.with(format!("{seen}; {words} (common practice, no source)")));
    if let Some(step) = step {
        outcome.cautions = [AT_THE_DRIVE, &[&NO_RIDERS]].concat();
        let rows: Vec<String> = worse.iter().map(ToString::to_string).collect();
        let meter = match rows.as_slice() {
            [] => "the meter".to_owned(),
            [row] => format!("the meter of row {row}, which stands apart"),
            rows => format!("the meters of rows {}, which stand apart", rows.join(", ")),
        };
        outcome.next = Some(Next::only(
            CALCULATION,
            format!(
                "{seen}: try one thing at {meter} ({step}), plant again and measure \
                 {GAPS_ASKED_FOR} gaps"
            ),
        ));
    }
}

fn table(rows: &[(Option<u32>, Indices)]) -> Table {
    let number =
        |value: Option<&Value>| value.map_or(Cell::Empty, |value| Cell::Number(value.number(), 1));
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // counts of gaps
    let count = |value: &Value| Cell::Count(value.number() as u32);
    let cells = |(row, indices): &(Option<u32>, Indices)| {
        let [multiples, singles, misses] = &indices.of_gaps;
        let positions = indices.of_positions.as_ref();
        vec![
            row_cell(*row),
            count(&indices.gaps),
            number(Some(&multiples.share)),
            number(Some(&singles.share)),
            number(Some(&misses.share)),
            number(positions.map(|shares| &shares[0])),
            number(positions.map(|shares| &shares[1])),
            number(positions.map(|shares| &shares[2])),
            number(indices.precision.as_ref()),
            number(indices.cv.as_ref()),
        ]
    };
    Table {
        key: "evenness",
        title: "Evenness, row by row, in per cent of gaps and of target positions (pos.)".into(),
        columns: vec![
            Column::new("row", "row", ""),
            Column::new("gaps", "gaps", ""),
            Column::new("multiples_of_gaps_percent", "mult.", "gaps"),
            Column::new("singles_of_gaps_percent", "single", "gaps"),
            Column::new("misses_of_gaps_percent", "miss", "gaps"),
            Column::new("multiples_of_positions_percent", "mult.", "pos."),
            Column::new("singles_of_positions_percent", "single", "pos."),
            Column::new("misses_of_positions_percent", "miss", "pos."),
            Column::new("sd_of_singles_over_xref_percent", "SD/Xref", "singles"),
            Column::new("cv_of_singles_percent", "CV", "singles"),
        ],
        rows: rows.iter().map(cells).collect(),
    }
}

/// Gaps in classes of 0.1 Xref, each above its lower end, up to and including its upper one; the
/// last class holds all that is longer.
///
/// ```
/// use alleytrue::calculations::evenness::classes;
/// use alleytrue::working::Value;
/// let gaps = [0.5, 0.51, 1.0, 1.0, 1.01].map(Value::constant);
/// let counts: Vec<_> = classes(&gaps, &Value::constant(1.0))
///     .iter()
///     .map(|class| ((class.to * 10.0).round(), class.count))
///     .collect();
/// assert_eq!(counts[0], (5.0, 1)); // 0.4 to 0.5
/// assert_eq!(counts[1], (6.0, 1));
/// assert_eq!(counts[5..], [(10.0, 2), (11.0, 1)]);
/// ```
#[must_use]
pub fn classes(gaps: &[Value], xref: &Value) -> Vec<Class> {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // at most 51 classes
    let class_of = |gap: &Value| {
        let tenths = clean(clean(gap.number() / xref.number()) * CLASSES_PER_XREF);
        ((tenths.ceil() - 1.0).max(0.0) as usize).min((LAST_CLASS * CLASSES_PER_XREF) as usize)
    };
    let places: Vec<usize> = gaps.iter().map(class_of).collect();
    let (Some(first), Some(last)) = (places.iter().min(), places.iter().max()) else {
        return vec![];
    };
    #[allow(clippy::cast_precision_loss)] // at most 51 classes
    let end = |place: usize| place as f64 / CLASSES_PER_XREF;
    (*first..=*last)
        .map(|place| Class {
            from: end(place),
            to: end(place + 1),
            count: places.iter().filter(|own| **own == place).count(),
        })
        .collect()
}

fn histogram(classes: Vec<Class>, xref: &Value) -> Histogram {
    let longer = classes.last().is_some_and(|class| class.from >= LAST_CLASS);
    Histogram {
        title: format!(
            "Gaps in classes of 0.1 Xref (Xref {} {}){}",
            brief(xref.number()),
            xref.unit_text(),
            if longer { "; the last holds all longer ones" } else { "" }
        ),
        unit: "Xref".into(),
        classes,
        limits: vec![
            Limit { at: 0.5, label: "multiples up to here, singles beyond" },
            Limit { at: 1.5, label: "singles up to here, misses beyond" },
        ],
    }
}

fn class_table(classes: &[Class]) -> Table {
    #[allow(clippy::cast_possible_truncation)] // counts of gaps
    let row = |class: &Class| {
        vec![
            Cell::Number(class.from, 1),
            Cell::Number(class.to, 1),
            Cell::Count(class.count as u32),
        ]
    };
    Table {
        key: "classes",
        title: "Gaps in classes of 0.1 Xref".into(),
        columns: vec![
            Column::new("above_xref", "above", "Xref"),
            Column::new("up_to_xref", "up to", "Xref"),
            Column::new("gaps", "gaps", ""),
        ],
        rows: classes.iter().map(row).collect(),
    }
}

#[cfg(test)]
mod tests;
#[cfg(test)]
mod worked;

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "evenness",
    about: "Evenness of spacing: multiples, singles, misses, and what that says of the meter",
    lacks: "[[spacing-run]] that can be used",
    advice: "add a [[spacing-run]] for each row, with `row` and `positions = [...]` or `gaps = [...]`",
    has_readings: true,
    runs: &["spacing-run"],
    warnings: &[],
    tolerances: &[],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    fn leave_out(&mut self, key: &str, _places: &[usize]) -> usize {
        if key != CALCULATION.key {
            return 0;
        }
        self.runs.iter().map(SpacingRun::count).sum()
    }

    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        Ok(vec![calibrate(self, common)])
    }
}
