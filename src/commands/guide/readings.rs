//! The readings of a run, one at a time or pasted: each is checked, kept, and said what it comes to.

use crate::forecast::looks;
use crate::outcome::warning::OUTLIER;
use crate::outcome::{Calculation, Decision, Judgement, Outcome, Report, Verdict};
use crate::quantity::{brief, shown};
use crate::sheet::writing::{Bare, Columns, Given, Kind, WriteError, repeated, understood};
use crate::sheet::{FieldSheet, Source};
use crate::working::Value;

use super::super::record;
use super::desk::{Desk, Read};
use super::halt::{Going, Halt};
use super::kept::{Kept, Unrecorded, sides_of};
use super::kinds::{calculation_of, called};
use super::lines::{Answer, Talk};
use super::questions::{ask_all, on_trial, words};

/// Fewer readings than this tell nothing of one that stands apart.
const FEWEST_TO_STAND_APART: usize = 5;

/// A run that is begun now, with what is known of it.
pub(super) fn begun(
    desk: &Desk,
    kind: &'static Kind,
    answers: Vec<(&'static str, String)>,
) -> Unrecorded {
    Unrecorded {
        kind,
        day: desk.day.clone(),
        by: desk.by.clone(),
        answers,
        readings: vec![],
        sure: vec![],
        meant: false,
        looks: calculation_of(kind).map(|of| desk.looks(of.key)).unwrap_or_default(),
        ended: false,
    }
}

/// Measures a run and records it; whether it was recorded.
pub(super) fn measure(desk: &mut Desk, talk: &mut Talk<'_>, mut run: Unrecorded) -> Going<bool> {
    let kind = run.kind;
    if run.readings.is_empty() {
        talk.say("", kind.about)?;
        ask_all(desk, talk, &mut run)?;
    }
    let mut on_the_range = OnTheRange { desk, talk, run, outliers: 0 };
    if !on_the_range.run.ended {
        on_the_range.say_where_it_stood()?;
        on_the_range.take_all()?;
    }
    on_the_range.record()
}

/// Where readings are taken.
struct OnTheRange<'a, 'b> {
    desk: &'a mut Desk,
    talk: &'a mut Talk<'b>,
    run: Unrecorded,
    /// Readings that stand apart and were asked about.
    outliers: usize,
}

/// What readings come to so far.
struct Standing {
    outcome: Option<Outcome>,
    outliers: usize,
}

impl OnTheRange<'_, '_> {
    /// Says where a run stood that was begun before.
    fn say_where_it_stood(&mut self) -> Going<()> {
        if self.run.readings.is_empty() {
            return Ok(());
        }
        let source = self.desk.read(self.talk)?.source;
        self.ask_about_those_apart(&source)?;
        self.say_how_it_stands(&source)
    }

    fn take_all(&mut self) -> Going<()> {
        let mut sure_to_end = false;
        loop {
            let (one, many) = called(self.run.kind, &self.run.answers);
            let count = self.run.readings.len();
            let sides = if sides_of(self.run.kind) == 2 { ", such as 11.5/17.5" } else { "" };
            let ends = if self.run.looks.are_over() { " (Enter records)" } else { "" };
            let help = format!(
                "the next {one}{sides}; or a column or line of {many} pasted; back takes the last \
                 one back; Enter alone ends the run"
            );
            match self.talk.ask(&format!("{one} {}{ends}", count + 1), &help)? {
                Answer::Enter if self.may_end(sure_to_end)? => return Ok(()),
                Answer::Enter => sure_to_end = true,
                Answer::Back => self.take_back()?,
                Answer::Text(text) => {
                    sure_to_end = false;
                    self.take(&text)?;
                }
            }
        }
    }

    fn next_look(&self) -> String {
        format!("look {} of {}", self.run.looks.taken + 1, looks::MOST)
    }

    /// Whether the run may end now; else what speaks against it is said, and Enter once more ends it.
    fn may_end(&mut self, sure: bool) -> Going<bool> {
        let (_, many) = called(self.run.kind, &self.run.answers);
        let count = self.run.readings.len();
        if count == 0 && !self.run.may_be_without_readings() {
            if sure {
                self.desk.beside.done();
                return Ok(true);
            }
            self.talk.say("  ", &format!("no {many} yet; Enter once more leaves this run out"))?;
            return Ok(false);
        }
        let left = self.run.looks.to_go(count);
        if sure || count == 0 || self.run.looks.are_over() || left == 0 {
            return Ok(true);
        }
        let next = self.next_look();
        let words = format!("{left} more to {next}; Enter once more ends the run here");
        self.talk.say("  ", &words)?;
        Ok(false)
    }

    fn take_back(&mut self) -> Going<()> {
        let words = match self.run.readings.pop() {
            Some(last) => format!("{} is taken back", last.join("/")),
            None => "there is nothing to take back".into(),
        };
        let count = self.run.readings.len();
        self.run.sure.retain(|place| *place < count);
        self.keep()?;
        Ok(self.talk.say("  ", &words)?)
    }

    fn keep(&mut self) -> Going<()> {
        self.desk.keep(&Kept::Run(self.run.clone()), self.talk)
    }

    /// Takes what was typed, if it is one reading or several.
    fn take(&mut self, text: &str) -> Going<()> {
        let source = self.desk.read(self.talk)?.source;
        if !self.add(&source, text)? {
            return Ok(());
        }
        self.ask_about_those_apart(&source)?;
        self.say_how_it_stands(&source)
    }

    /// Adds readings that can stand in the sheet; whether they do. Why not is said.
    fn add(&mut self, source: &Source, text: &str) -> Going<bool> {
        let all = readings_in(&self.run, source, text).and_then(|new| {
            let all = [self.run.readings.as_slice(), &new].concat();
            let said = self.run.said(self.run.values_of(&all));
            Ok((all, on_trial(source, &said)?.0.suspicion))
        });
        let (all, suspicion) = match all {
            Ok(all) => all,
            Err(error) => {
                self.talk.say("  ", &words(&error))?;
                return Ok(false);
            }
        };
        if let Some(doubt) = suspicion.filter(|_| !self.run.meant) {
            self.talk.say("  ", &format!("{}; {}", doubt.words, doubt.advice))?;
            if !self.talk.is_so("is it right as typed? (y or n)", None, &doubt.advice)? {
                return Ok(false);
            }
            self.run.meant = true;
        }
        self.run.readings = all;
        self.keep()?;
        Ok(true)
    }

    /// Asks about readings that stand apart from the others, before they count.
    fn ask_about_those_apart(&mut self, source: &Source) -> Going<()> {
        while let Some(place) = self.one_apart(source)? {
            let (one, _) = called(self.run.kind, &self.run.answers);
            let reading = self.run.readings[place].join("/");
            let words = format!(
                "{one} {} ({reading}) stands apart from the others: look at it again",
                place + 1
            );
            self.talk.say("  ", &words)?;
            let help = "y: it was measured and typed right, and counts; n: it is left out: type it \
                        again where it was a slip";
            let prompt = "does it count? (y or n)";
            match self.talk.ask(prompt, help)? {
                Answer::Text(text) if super::lines::is_yes(&text) => self.run.sure.push(place),
                Answer::Text(text) if super::lines::is_no(&text) => self.leave_out(place),
                Answer::Back => self.leave_out(place),
                // The next one of a paste, which is no answer and must not be lost.
                Answer::Text(text) => self.add(source, &text).map(|_| ())?,
                Answer::Enter => self.talk.say("  ", help)?,
            }
            self.keep()?;
        }
        Ok(())
    }

    fn leave_out(&mut self, place: usize) {
        self.run.readings.remove(place);
        self.run.sure.retain(|sure| *sure != place);
        self.run.sure.iter_mut().filter(|sure| **sure > place).for_each(|sure| *sure -= 1);
    }

    /// A reading without which fewer of this run stand apart, the last ones first; none that is meant.
    fn one_apart(&mut self, source: &Source) -> Going<Option<usize>> {
        if self.run.readings.len() < FEWEST_TO_STAND_APART {
            return Ok(None);
        }
        // Runs before a change may lie elsewhere, and say nothing of a slip.
        let source = &alone(source, self.run.kind);
        let all = self.standing(source, &self.run.readings.clone())?;
        let outliers = all.map_or(0, |all| all.outliers);
        if outliers <= self.outliers {
            return Ok(None);
        }
        for place in (0..self.run.readings.len()).rev() {
            if self.run.sure.contains(&place) {
                continue;
            }
            let mut others = self.run.readings.clone();
            others.remove(place);
            let without = self.standing(source, &others)?;
            if without.is_some_and(|without| without.outliers < outliers) {
                return Ok(Some(place));
            }
        }
        self.outliers = outliers;
        Ok(None)
    }

    /// How it stands with these readings; nothing where they can't stand in the sheet.
    fn standing(&mut self, source: &Source, readings: &[Vec<String>]) -> Going<Option<Standing>> {
        let said = self.run.said(self.run.values_of(readings));
        match on_trial(source, &said) {
            Ok((_, text)) => self.of_text(source, &text),
            Err(_) => Ok(None),
        }
    }

    fn of_text(&mut self, source: &Source, text: &str) -> Going<Option<Standing>> {
        let source = source.with_text(&text.to_owned().into());
        let Ok(sheet) = FieldSheet::read(&source) else { return Ok(None) };
        let report = self.desk.report(&mut Read { source, sheet }, self.talk)?;
        let Some(calculation) = calculation_of(self.run.kind) else { return Ok(None) };
        Ok(Some(Standing::of(&report, calculation)))
    }

    /// Says what the readings come to, and takes a look where one is due.
    fn say_how_it_stands(&mut self, source: &Source) -> Going<()> {
        let readings = self.run.readings.clone();
        let (one, many) = called(self.run.kind, &self.run.answers);
        let count = readings.len();
        let counted = format!("{count} {}", if count == 1 { &one } else { many });
        let Some(standing) = self.standing(source, &readings)? else {
            return Ok(self.talk.say("  ", &counted)?);
        };
        let judgement = standing.outcome.as_ref().and_then(|outcome| outcome.judgement.as_ref());
        let numbers = judgement.map_or(String::new(), in_numbers);
        if judgement.is_none() {
            // It is no question of one interval, so there is nothing to look for.
            self.run.looks.closed = true;
            self.keep()?;
        }
        if self.run.looks.is_due(count) {
            self.talk.say("  ", &[counted, numbers].concat())?;
            return self.look(&standing);
        }
        let left = self.run.looks.to_go(count);
        let to_go = match (self.run.looks.are_over(), left) {
            (true, _) | (_, 0) => String::new(),
            (false, left) => format!("; {left} more to {}", self.next_look()),
        };
        Ok(self.talk.say("  ", &[counted, numbers, to_go].concat())?)
    }

    /// Looks whether the readings decide.
    fn look(&mut self, standing: &Standing) -> Going<()> {
        let Some(outcome) = &standing.outcome else { return Ok(()) };
        let count = self.run.readings.len();
        let Some(judgement) = &outcome.judgement else { return Ok(()) };
        let open = matches!(judgement.decision, Decision::Measure(_));
        for line in verdicts(outcome) {
            self.talk.say("  ", &line)?;
        }
        let key = outcome.calculation.key;
        // Of two headings this run is one.
        let groups = judgement.means.len().max(1);
        self.run.looks.look(count, !open, judgement.more.map(|more| more.div_ceil(groups)));
        self.desk.open.insert(key, self.run.looks.taken);
        let number = self.run.looks.taken;
        let own = format!("look {number} of {} ({}): ", looks::MOST, looks::confidence());
        let words = if !open {
            self.desk.open.remove(key);
            "that decides".to_owned()
        } else if self.run.looks.closed {
            // It was no question of how many.
            self.desk.open.remove(key);
            "more readings of this run would not decide".into()
        } else if self.run.looks.are_over() {
            "three looks do not decide: see what scatters, or measure on other ground".into()
        } else {
            let left = self.run.looks.to_go(count);
            format!("not decided yet: {left} more to {}", self.next_look())
        };
        self.keep()?;
        Ok(self.talk.say("  ", &(own + &words))?)
    }

    /// Writes the run into the sheet by the way of `record`.
    fn record(mut self) -> Going<bool> {
        if self.run.readings.is_empty() && !self.run.may_be_without_readings() {
            return Ok(false);
        }
        let was_ended = self.run.ended;
        self.run.ended = true;
        self.keep()?;
        let said = self.run.said(self.run.values_of(&self.run.readings));
        let source = self.desk.read(self.talk)?.source;
        let trial = on_trial(&source, &said);
        if let Ok((understood, text)) = &trial {
            self.talk.say("understood: ", &understood.line)?;
            if let Some(number) = repeated(text, self.run.kind) {
                let name = format!("{} {number}", self.run.kind.written);
                if was_ended {
                    self.talk.say("  ", &format!("{name} of the sheet has it already"))?;
                    self.desk.beside.done();
                    return Ok(false);
                }
                self.talk.say("  ", &format!("the sheet has the same run already: {name}"))?;
                let help = "y: it is another run with the same readings; n: leave it out";
                if !self.talk.is_so("record it once more? (y or n)", None, help)? {
                    self.desk.beside.done();
                    return Ok(false);
                }
            }
        }
        let (path, day, style) = (self.desk.path.clone(), self.run.day.clone(), self.talk.style);
        if !self.desk.write(self.talk, || record::add(&path, &said, &day, style))? {
            // Why is said; what was typed stays beside the sheet.
            return Err(Halt::Stopped);
        }
        self.desk.beside.done();
        self.talk.say("", &format!("recorded in {}", self.desk.name()))?;
        Ok(true)
    }
}

impl Unrecorded {
    /// Whether it may be all answers, and no readings.
    fn may_be_without_readings(&self) -> bool {
        use crate::sheet::writing::{Need, Takes};
        let lists = |key: &&crate::sheet::writing::Key| key.takes == Takes::List;
        !self.answers.is_empty()
            && self.kind.keys.iter().filter(lists).all(|key| key.needed == Need::No)
    }
}

impl Standing {
    fn of(report: &Report, calculation: Calculation) -> Standing {
        let own = |outcome: &&Outcome| outcome.calculation == calculation;
        let outcome = report.outcomes.iter().find(own).cloned();
        let warnings = outcome.iter().flat_map(|outcome| &outcome.warnings);
        let outliers = warnings.filter(|warning| *warning.kind == OUTLIER).count();
        Standing { outcome, outliers }
    }
}

/// The sheet without the runs of a kind that it has.
fn alone(source: &Source, kind: &Kind) -> Source {
    let Ok(mut document) = source.text().parse::<toml_edit::DocumentMut>() else {
        return source.clone();
    };
    document.remove(kind.table);
    source.with_text(&document.to_string().into())
}

/// The readings in a text that was typed or pasted, as the sheet is to have them.
fn readings_in(
    run: &Unrecorded,
    source: &Source,
    text: &str,
) -> Result<Vec<Vec<String>>, WriteError> {
    let values = match run.kind.pair.is_none() && is_alone(text) {
        // By itself it is one, and its comma is a decimal one.
        true => Bare::Columns(Columns::of(vec![vec![text.to_owned()]])),
        false => Bare::Text(text.to_owned()),
    };
    let run = understood(source, &run.said(values))?.run;
    let list = |name: &str| {
        run.keys.iter().find_map(|(key, given)| match given {
            Given::List(texts) if *key == name => Some(texts.clone()),
            _ => None,
        })
    };
    if let Some(pair) = &run.kind.pair {
        let sides = list(pair.before).unwrap_or_default().into_iter();
        let both = sides.zip(list(pair.behind).unwrap_or_default());
        return Ok(both.map(|(before, behind)| vec![before, behind]).collect());
    }
    let mut lists = run.kind.values.iter().filter_map(|to| list(to.key));
    Ok(lists.next().unwrap_or_default().into_iter().map(|one| vec![one]).collect())
}

/// Whether a text is one reading, whatever its comma means: a word, or one with its unit.
fn is_alone(text: &str) -> bool {
    let mut words = text.split(' ');
    let parted = text.contains(['\t', '\n', '\r', ';']);
    !parted && words.next().is_some() && words.all(|word| word.chars().all(char::is_alphabetic))
}

/// The mean and the interval so far.
fn in_numbers(judgement: &Judgement) -> String {
    let number = |value: &Value| brief(value.number());
    let means: Vec<String> = judgement.means.iter().map(|mean| shown(mean.number())).collect();
    let unit = judgement.means.first().map(Value::unit_text).unwrap_or_default();
    let error = judgement.error.name().unwrap_or("error");
    let interval = judgement.interval.as_ref().map_or(String::new(), |interval| {
        format!(" ({} to {})", number(&interval.low), number(&interval.high))
    });
    format!(
        ", mean {} {unit}: {error} {} {}{interval}",
        means.join(" and "),
        number(&judgement.error),
        judgement.error.unit_text()
    )
}

/// What follows for the settings of a calculation, one a line.
fn verdicts(outcome: &Outcome) -> Vec<String> {
    let line = |setting: &crate::outcome::SettingResult| {
        let (name, reason) = (&setting.name, setting.verdict.reason());
        match &setting.verdict {
            Verdict::Change(_) => format!("{name}: {reason}"),
            verdict => format!("{name}: {}: {reason}", verdict.word()),
        }
    };
    outcome.settings.iter().map(line).collect()
}
