//! Planting depth: how deep the seeds lie, row by row, and which way to turn.

mod inputs;

use super::calculate::{Calculate, Entry};
use super::common::{ChangeMade, Common};
use super::readings;
use super::single;
use super::sprockets::SearchError;
use crate::quantity::{Unit, brief};
use crate::statistics::{Interval, Share, Spread, Summary, Taken, more_readings};
use crate::working::Value;

use super::agreement::{Apart, OneRun, name_of_run};
use super::by_row::{
    Numbers, by_row, of_row, row_cell, say_alike, say_outliers, say_rows_apart, too_few_alike,
};
use super::change_by_hand::{DoubtOfHands, Doubted, Look, sides};
use super::change_check::{Ratio, Side, all_seen};
use super::judgement::{Stands, stands};
use crate::outcome::cautions::{AT_THE_OPENERS, ON_THE_RANGE};
use crate::outcome::judgement::LEAST_FOR_A_CHANGE;
use crate::outcome::warning::{NO_TOLERANCE, ONE_READING, RUNS_APART};
use crate::outcome::wording::in_words;
use crate::outcome::{
    Adjustment, By, ByHand, Calculation, Cell, Changed, Column, Next, OfOne, Outcome,
    SettingResult, Since, Table, Verdict,
};
use crate::quantity::at_most;

pub use inputs::{DepthRun, DepthTurns, Inputs, Way, deeper_by, turns_in};

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "depth", title: "Planting depth" };

/// Mean, scatter, share inside the tolerance and the way to turn, for every row.
#[must_use]
pub fn calibrate(inputs: &Inputs, common: &Common) -> Outcome {
    let mut outcome = Outcome::new(CALCULATION);
    outcome.cautions = ON_THE_RANGE.to_vec();
    outcome.warnings.extend(readings::left_out_remark(common.left_out(CALCULATION), "depth"));
    if inputs.tolerance.is_none() {
        outcome.warnings.push(NO_TOLERANCE.with("[trial.tolerance] has no `depth`"));
    }
    let page = Page::new(inputs, common);
    let present = page.readings();
    let alike = page.doubted(ByHand::Depth { row: None }, &present, &mut outcome);
    let runs = present.iter().enumerate().map(|(place, (row, _))| (*row, vec![place]));
    let mut rows: Vec<Row> = vec![];
    for (row, runs) in by_row(runs) {
        let own = row.map(|row| ByHand::Depth { row: Some(row) });
        let own = own.and_then(|own| page.doubted(own, &present, &mut outcome));
        let doubted = own.as_ref().or(alike.as_ref());
        rows.extend(page.row(row, &page.of_row(&runs, &present), doubted, &mut outcome));
    }
    outcome.tables.push(page.table(&rows));
    let summaries: Vec<(Option<u32>, Summary)> =
        rows.iter().map(|row| (row.row, row.summary.clone())).collect();
    say_rows_apart(&mut outcome, "depth", &summaries, common.confidence);
    outcome.next = next(&rows);
    if rows.iter().any(|row| matches!(row.verdict, Verdict::Change(_))) {
        outcome.cautions = AT_THE_OPENERS.to_vec();
    }
    outcome.settings = rows.into_iter().map(|row| page.setting(row)).collect();
    outcome
}

/// Depths of each row as they would be with its depth set as it is now, as they are held against the
/// depth wanted.
pub(crate) fn at_present(inputs: &Inputs, common: &Common) -> Vec<(Option<u32>, Vec<Value>)> {
    let page = Page::new(inputs, common);
    by_row(inputs.runs.iter().map(|run| (run.row, page.at_present(run))))
}

/// A turn that did not do what it should is looked into first. Else one thing is changed: the depth,
/// on every row that needs it; else what is open is measured.
fn next(rows: &[Row]) -> Option<Next> {
    let doubted = |row: &Row| match &row.verdict {
        Verdict::Wait(words) => Some(words.clone()),
        _ => None,
    };
    if let Some(words) = rows.iter().find_map(doubted) {
        return Some(Next::only(CALCULATION, words));
    }
    let one = |row: &Row| {
        let name = row.row.map_or_else(|| "all rows".to_owned(), |row| format!("row {row}"));
        match &row.verdict {
            Verdict::Change(words) => Some(format!("{name} {words}")),
            _ => None,
        }
    };
    let change: Vec<String> = rows.iter().filter_map(one).collect();
    if !change.is_empty() {
        let words = change.join("; ");
        let words = format!("set the depth: {words}; plant again and dig up seed of every row");
        let by_hand = rows.iter().filter_map(Row::adjustment).collect();
        return Some(Next::only(CALCULATION, words).adjusting(by_hand));
    }
    let open = rows.iter().find_map(|row| match &row.verdict {
        Verdict::Measure(reason) => Some(format!("depth{}: {reason}", of_row(row.row))),
        _ => None,
    })?;
    Some(Next::only(CALCULATION, open))
}

/// A depth with its number through all runs.
type Numbered = (usize, Value);

/// The depths of a row: all of them, and run by run.
struct OfRow {
    all: Vec<Numbered>,
    runs: Vec<OneRun>,
}

/// What is the same on the whole page.
struct Page<'a> {
    inputs: &'a Inputs,
    common: &'a Common,
    wanted: Value,
    tolerance: Option<Value>,
}

/// One row.
struct Row {
    row: Option<u32>,
    summary: Summary,
    inside: Option<Share>,
    turns: Option<Value>,
    /// How much too deep it lies.
    off: Value,
    verdict: Verdict,
}

impl Row {
    /// What is to be turned, where the sheet says what a turn does.
    fn adjustment(&self) -> Option<Adjustment> {
        let turns = self.turns.clone().filter(|_| matches!(self.verdict, Verdict::Change(_)))?;
        Some(Adjustment {
            what: ByHand::Depth { row: self.row },
            by: By::Number(turns),
            error: Some(self.off.clone()),
            why: self.verdict.reason().to_owned(),
        })
    }
}

impl<'a> Page<'a> {
    fn new(inputs: &'a Inputs, common: &'a Common) -> Self {
        let units = &common.units;
        let tolerance = inputs.tolerance.as_ref();
        Page {
            inputs,
            common,
            wanted: units.length("depth wanted", &inputs.wanted),
            tolerance: tolerance.map(|length| units.length("depth tolerance", length)),
        }
    }

    /// Depths by run, each with its number through all runs.
    fn readings(&self) -> Vec<(Option<u32>, Vec<Numbered>)> {
        let mut numbers = Numbers::new(self.common.left_out(CALCULATION));
        let mut number = |value| (numbers.next(), value);
        let runs = self.inputs.runs.iter();
        runs.map(|run| {
            let readings = self.at_present(run);
            (run.row, readings.into_iter().map(&mut number).collect())
        })
        .collect()
    }

    /// Depths of a run as they would be with its row turned as it is now.
    fn at_present(&self, run: &DepthRun) -> Vec<Value> {
        let then = self.common.units.readings(&run.depths);
        let own = run.turned.as_ref().map(|since| (since, of_row(run.row)));
        let alike = run.turned_alike.as_ref().map(|since| (since, " of all rows".to_owned()));
        let all = || own.iter().chain(&alike);
        let more = all().map(|(since, tag)| since.more(&format!("turns in{tag}")));
        let more = more.reduce(|sum, next| sum + next);
        let Some((turns, more)) = self.inputs.turns.as_ref().zip(more) else { return then };
        let (change, number) = self.effect(turns);
        let at: Vec<String> = all().map(|(since, tag)| format!("{}{tag}", since.then)).collect();
        let deeper = deeper_by(&more, &change, &number, turns.turning_in).named(format!(
            "deeper{} since turns at {}",
            of_row(run.row),
            at.join(" and ")
        ));
        then.into_iter().map(|depth| depth + &deeper).collect()
    }

    /// What the turns of the sheet do.
    fn effect(&self, turns: &DepthTurns) -> (Value, Value) {
        let change = self.common.units.length("depth that the turns change", &turns.depth);
        (change, Value::typed("turns for it", turns.turns, Unit::ONE))
    }

    /// What the last turn of a row, or of all rows alike, did that it should not have done.
    fn doubted(
        &self,
        what: ByHand,
        present: &[(Option<u32>, Vec<Numbered>)],
        outcome: &mut Outcome,
    ) -> Option<Doubted> {
        let turns = self.inputs.turns.as_ref()?;
        let changed = Changed::Hand(what);
        let ratio = |change: &ChangeMade| self.ratio(what, change, turns, present);
        let last = self.common.last_change(changed);
        let seen = last.and_then(ratio);
        let own = seen.as_ref().map(|(ratio, _)| ratio);
        let earlier = |change: &ChangeMade| Some(ratio(change)?.0);
        outcome.seen.extend(all_seen(self.common, changed, own, earlier));
        let (change, (ratio, after)) = last.zip(seen)?;
        outcome.values.extend(ratio.values());
        let tag = what.row().map_or(" of all rows".to_owned(), |row| of_row(Some(row)));
        let doubted = self.doubt(change, &tag, turns, &ratio).of(&ratio, &after)?;
        outcome.warnings.push(doubted.warning.clone());
        Some(doubted)
    }

    /// What a turn of a row, or of all rows alike, did of what it should have done, and the side after
    /// it.
    fn ratio(
        &self,
        what: ByHand,
        change: &ChangeMade,
        turns: &DepthTurns,
        present: &[(Option<u32>, Vec<Numbered>)],
    ) -> Option<(Ratio, Side)> {
        let own = |run: &DepthRun| match what.row() {
            None => run.turned_alike,
            Some(_) => run.turned,
        };
        let all = self.inputs.runs.iter().zip(present);
        let all = all.filter(|(run, _)| what.row().is_none() || run.row == what.row());
        let look = |(run, (row, readings)): (&DepthRun, &(Option<u32>, Vec<Numbered>))| Look {
            row: *row,
            then: own(run).map(|since| since.then.value()),
            each: readings.iter().map(|(_, depth)| depth.clone()).collect(),
        };
        let looks: Vec<Look> = all.clone().map(look).collect();
        let since = |wanted: &dyn Fn(Option<f64>) -> bool| {
            let place = looks.iter().position(|look| wanted(look.then))?;
            Some(own(all.clone().nth(place)?.0))
        };
        let thens =
            [since(&|then| change.had_before(then))?, since(&|then| change.had_after(then))?];
        let (name, tag) = match what.row() {
            None => (what.name(), " of all rows".to_owned()),
            row => (what.name(), of_row(row)),
        };
        let (per_turns, number) = self.effect(turns);
        let more = Since::more_by_a_change(thens, &format!("turns in{tag}"))?;
        let expected = deeper_by(&more, &per_turns, &number, turns.turning_in)
            .named(format!("deeper by the change of the {name}"));
        let [before, after] = sides(change, &looks, &|readings| readings)?;
        let ratio = Ratio::of(&name, &before, &after, &expected, self.tolerance.as_ref())?;
        Some((ratio, after))
    }

    /// How a turn is spoken of.
    fn doubt<'c>(
        &self,
        change: &'c ChangeMade,
        tag: &str,
        turns: &DepthTurns,
        ratio: &Ratio,
    ) -> DoubtOfHands<'c> {
        let other = match turns.turning_in {
            Way::Deeper => "shallower",
            Way::Shallower => "deeper",
        };
        let seen = ratio.ratio.magnitude() * self.effect(turns).0;
        DoubtOfHands {
            change,
            what: format!("seeds{tag}"),
            ways: ["deeper", "shallower"],
            done: "turned",
            direction: Some(format!(
                "look which way turning in goes. If it goes {other}, turn that round in the sheet by \
                 `alleytrue apply SHEET --turn depth-turns`; "
            )),
            size: Some(format!(
                "turns do other than the sheet says, {} for {}: mend `depth` in `depth-turns` of \
                 [planter], or measure a further run",
                in_words(&seen),
                turns.turns
            )),
        }
    }

    fn row(
        &self,
        row: Option<u32>,
        OfRow { all: readings, runs }: &OfRow,
        doubted: Option<&Doubted>,
        outcome: &mut Outcome,
    ) -> Option<Row> {
        let tag = of_row(row);
        let subject = format!("depth{tag}");
        let values: Vec<Value> = readings.iter().map(|(_, value)| value.clone()).collect();
        let summary = Summary::of(&subject, &values, self.common.confidence)?;
        let apart = Apart::of(&subject, runs, None, doubted.is_some());
        let summary = match &apart {
            Some(apart) => self.by_runs(&subject, apart, summary)?,
            None => summary,
        };
        outcome.values.push(summary.mean.clone());
        if let Some(spread) = &summary.spread {
            let ends = [spread.interval.low.clone(), spread.interval.high.clone()];
            outcome.values.push(spread.sd.clone());
            outcome.values.extend(ends);
        } else {
            let words = format!("a single {subject} says nothing of its scatter");
            outcome.warnings.push(ONE_READING.with(words));
        }
        say_alike(outcome, &subject, &summary);
        let inside = self.inside(&tag, &values, &summary.count);
        outcome.values.extend(inside.iter().map(|inside| inside.share.clone()));
        let to_add = (&self.wanted - &summary.mean).named(format!("depth to add{tag}"));
        outcome.values.push(to_add.clone());
        let turns = self.turns(&tag, &to_add);
        outcome.values.extend(turns.clone());
        let harmless = self.tolerance.as_ref().map_or(0.0, Value::number);
        say_outliers(outcome, &subject, readings, harmless);
        let by_since = apart.as_ref().is_some_and(|apart| apart.by_since);
        let verdict = match doubted {
            Some(doubted) if doubted.in_direction || !by_since => {
                Verdict::Wait(doubted.warning.message.clone())
            }
            _ => self.verdict(&tag, &summary, &to_add, turns.as_ref()),
        };
        let verdict = match apart {
            Some(apart) => self.of_runs_apart(&tag, &apart, verdict, outcome),
            None => verdict,
        };
        self.say_singles(row, &values, &summary, (&to_add, &verdict), outcome);
        let own = outcome.singles.last().filter(|last| last.row == row);
        let verdict = verdict.unless_singles(own);
        let off = Value::constant(-1.0) * to_add;
        Some(Row { row, summary, inside, turns, off, verdict })
    }

    /// The depths of a row, whose runs stand at these places.
    fn of_row(&self, places: &[usize], present: &[(Option<u32>, Vec<Numbered>)]) -> OfRow {
        let run = |place: &usize| OneRun {
            name: name_of_run("depth", self.inputs.runs[*place].number, *place),
            side: 0,
            kind: 0,
            since: self.inputs.runs[*place].is_present(),
            each: present[*place].1.iter().map(|(_, depth)| depth.clone()).collect(),
        };
        OfRow {
            all: places.iter().flat_map(|place| present[*place].1.clone()).collect(),
            runs: places.iter().map(run).collect(),
        }
    }

    /// What the runs of a row come to that are not one.
    fn by_runs(&self, subject: &str, apart: &Apart, all: Summary) -> Option<Summary> {
        let subject = format!("{subject}, by its runs");
        let mean = apart.means[0].clone().named(["mean ", &subject].concat());
        let t = self.common.confidence.t(apart.degrees)?;
        let interval = Interval::around(&subject, &mean, apart.standard_error.clone(), t);
        let spread = all.spread.map(|spread| Spread { interval, ..spread });
        Some(Summary { mean, spread, ..all })
    }

    /// The verdict by runs that are not one: where they leave it open, another run tells.
    fn of_runs_apart(
        &self,
        tag: &str,
        apart: &Apart,
        verdict: Verdict,
        outcome: &mut Outcome,
    ) -> Verdict {
        outcome.values.extend(apart.figures.iter().cloned());
        let mut words = format!("the runs{tag} are not one: {}", apart.words);
        if apart.is_said {
            words = format!("the runs{tag} disagree by more than their scatter: {}", apart.words);
            outcome.warnings.push(RUNS_APART.with(words.clone()));
        }
        let open = matches!(verdict, Verdict::Measure(_));
        let waits = matches!(verdict, Verdict::Wait(_));
        if !waits && (open || apart.decides_nothing(self.tolerance.as_ref())) {
            return Verdict::Measure(format!("{words}; dig up seed of a further run"));
        }
        verdict
    }

    /// How far off a single seed may lie.
    fn limit(&self) -> Option<Value> {
        let own = self.common.limits.depth.as_ref();
        own.map(|limit| limit.value(&self.common.units)).or_else(|| self.tolerance.clone())
    }

    /// Single seeds of a row; a depth that is set again is set to the depth wanted.
    fn say_singles(
        &self,
        row: Option<u32>,
        depths: &[Value],
        summary: &Summary,
        (to_add, verdict): (&Value, &Verdict),
        outcome: &mut Outcome,
    ) {
        let tag = of_row(row);
        let off = |depth: &Value| depth - &self.wanted;
        let of_one = summary.spread.as_ref().filter(|spread| spread.sd.number() > 0.0);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a count of readings
        let of_one = of_one.map(|spread| OfOne {
            sd: spread.sd.clone(),
            degrees: spread.degrees_of_freedom.number() as u32,
            standard_errors: vec![spread.interval.standard_error.clone()],
        });
        let middle = off(&summary.mean).named(format!("depth off{tag}"));
        let each = depths.iter().map(off).collect();
        let readings = single::Readings::of(vec![(tag, each)], vec![middle], of_one.as_ref());
        let change = matches!(verdict, Verdict::Change(_)).then(|| "with the depth set".to_owned());
        let after = |middle: &single::Middle| {
            Some((&middle.off + to_add).named(format!("depth off once set{}", of_row(row))))
        };
        let readings = single::Readings { row, ..readings.with_change(change, after) };
        readings.say(self.common.limits.depth.as_ref(), self.common, outcome);
    }

    fn inside(&self, tag: &str, depths: &[Value], count: &Value) -> Option<Share> {
        let limit = self.limit()?;
        let inside =
            |depth: &&Value| at_most((depth.number() - self.wanted.number()).abs(), limit.number());
        let name = format!("depths inside the limit{tag}");
        #[allow(clippy::cast_precision_loss)] // far fewer readings than 2^53
        let number = depths.iter().filter(inside).count() as f64;
        let within = Value::found(name, number, Unit::ONE, "counted");
        Share::of(&format!("share inside{tag}"), &within, count, self.common.confidence)
    }

    fn turns(&self, tag: &str, to_add: &Value) -> Option<Value> {
        let turns = self.inputs.turns.as_ref()?;
        let (change, number) = self.effect(turns);
        let turns = turns_in(to_add, &change, &number, turns.turning_in);
        Some(turns.named(format!("turns in{tag}")))
    }

    fn verdict(
        &self,
        tag: &str,
        summary: &Summary,
        deeper: &Value,
        turns: Option<&Value>,
    ) -> Verdict {
        let Some(spread) = &summary.spread else {
            return Verdict::Measure(
                "a single depth can't be told from scatter: measure 9 more".into(),
            );
        };
        if too_few_alike(summary) {
            let words = "depths that are all alike tell nothing of their scatter: measure 10";
            return Verdict::Measure(words.into());
        }
        let (error, half) = (deeper.number().abs(), spread.interval.half_width.number());
        let Some(tolerance) = &self.tolerance else {
            return if error <= half || error == 0.0 {
                Verdict::Keep("not told apart from the depth wanted (no tolerance)".into())
            } else {
                self.turn(summary, deeper, turns)
            };
        };
        match stands(error, half, tolerance.number()) {
            Stands::Inside => Verdict::Keep("the mean is inside the tolerance".into()),
            Stands::Off => self.turn(summary, deeper, turns),
            Stands::Unsure => self.measure_more(tag, summary, tolerance, half),
        }
    }

    /// A change, where depths enough say so.
    fn turn(&self, summary: &Summary, deeper: &Value, turns: Option<&Value>) -> Verdict {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a count of readings
        let count = summary.count.number() as usize;
        if count < LEAST_FOR_A_CHANGE {
            let more = 10 - count;
            return Verdict::Measure(format!(
                "{count} depths are too few to change anything by: measure {more} more"
            ));
        }
        Verdict::Change(self.change(deeper, turns))
    }

    fn change(&self, deeper: &Value, turns: Option<&Value>) -> String {
        let way = if deeper.number() > 0.0 { "deeper" } else { "shallower" };
        let by = in_words(&deeper.magnitude());
        match turns {
            None => format!("{by} {way}"),
            Some(turns) => {
                let number = brief(turns.number().abs());
                let s = if number == "1" { "" } else { "s" };
                let in_or_out = if turns.number() > 0.0 { "in" } else { "out" };
                format!("{number} turn{s} {in_or_out} ({by} {way})")
            }
        }
    }

    fn measure_more(&self, tag: &str, summary: &Summary, tolerance: &Value, half: f64) -> Verdict {
        let sd = summary.spread.as_ref().map(|spread| &spread.sd);
        let wanted = tolerance / Value::constant(2.0);
        let subject = format!("depths{tag}");
        let confidence = self.common.confidence;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a count of readings
        let taken = Taken::one_kind(summary.count.number() as u32);
        let need = more_readings(&subject, &taken, sd, None, &wanted, confidence);
        let then = match need {
            Some(need) if need.more_than => ", and too many depths to count would have to be \
                                             measured: find out what scatters them"
                .to_owned(),
            Some(need) => format!(": measure {} more", brief(need.more.number().max(1.0))),
            None => ": measure more".to_owned(),
        };
        Verdict::Measure(format!(
            "{} give or take {} can't be told from the tolerance{then}",
            in_words(&summary.mean),
            brief(half)
        ))
    }

    fn setting(&self, row: Row) -> SettingResult {
        let now = row.summary.mean;
        let set = match &row.verdict {
            Verdict::Change(_) => self.wanted.clone(),
            _ => now.clone(),
        };
        SettingResult {
            name: format!("depth{}", of_row(row.row)),
            key: None,
            now: Some(now),
            exact: self.wanted.clone(),
            set,
            verdict: row.verdict,
        }
    }

    fn table(&self, rows: &[Row]) -> Table {
        let length = self.common.units.length.to_string();
        let of = |name: &str| format!("{name}_{length}");
        let mut columns = vec![
            Column::new("row", "row", ""),
            Column::new("readings", "readings", ""),
            Column::new(of("mean"), "mean", &length),
            Column::new(of("sd"), "SD", &length),
            Column::new(of("low"), "low", &length),
            Column::new(of("high"), "high", &length),
        ];
        if self.limit().is_some() {
            columns.push(Column::new("inside_percent", "inside", "%"));
        }
        if self.inputs.turns.is_some() {
            columns.push(Column::new("inward_turns", "turn in", "turns"));
        }
        Table {
            key: "depth",
            title: format!("Depth, row by row (wanted: {})", self.inputs.wanted),
            columns,
            rows: rows.iter().map(cells).collect(),
        }
    }
}

fn cells(row: &Row) -> Vec<Cell> {
    let number = |value: Option<&Value>, places| {
        value.map_or(Cell::Empty, |value| Cell::Number(value.number(), places))
    };
    let spread = row.summary.spread.as_ref();
    let interval = spread.map(|spread| &spread.interval);
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a count of readings
    let count = Cell::Count(row.summary.count.number() as u32);
    let mut cells = vec![
        row_cell(row.row),
        count,
        number(Some(&row.summary.mean), 2),
        number(spread.map(|spread| &spread.sd), 2),
        number(interval.map(|interval| &interval.low), 2),
        number(interval.map(|interval| &interval.high), 2),
    ];
    cells.extend(row.inside.as_ref().map(|inside| Cell::Number(inside.share.number(), 0)));
    cells.extend(row.turns.as_ref().map(|turns| Cell::Number(turns.number(), 2)));
    cells
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "depth",
    about: "Planting depth, row by row, and which way to turn",
    lacks: "[[depth-run]] that can be used",
    advice: "add a [[depth-run]] for each row, with `row` and `depth = [...]`, and `depth` in [trial]",
    has_readings: true,
    runs: &["depth-run"],
    warnings: &[],
    tolerances: &[("depth", "planting depth")],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    fn leave_out(&mut self, key: &str, places: &[usize]) -> usize {
        if key != CALCULATION.key {
            return 0;
        }
        let count = readings::leave_out(self.runs.iter_mut().map(|run| &mut run.depths), places);
        self.runs.retain(|run| !run.depths.is_empty());
        count
    }

    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        Ok(vec![calibrate(self, common)])
    }
}

#[cfg(test)]
mod tests;
