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
use super::kept::{Kept, Unrecorded, done_with, sides_of};
use super::kinds::{calculation_of, called};
use super::lines::{Answer, Talk};
use super::questions::{self, ask_all, on_trial, words};

/// Measures a run and records it; `kept` is one that was begun before.
pub(super) fn measure(
    desk: &mut Desk,
    talk: &mut Talk<'_>,
    kind: &'static Kind,
    kept: Option<Unrecorded>,
) -> Going<()> {
    let looks = calculation_of(kind).map(|of| desk.looks(of.key)).unwrap_or_default();
    let mut run = kept.unwrap_or_else(|| Unrecorded {
        kind,
        day: desk.day.clone(),
        by: desk.by.clone(),
        answers: vec![],
        readings: vec![],
        sure: vec![],
        meant: false,
        looks,
        ended: false,
    });
    if run.readings.is_empty() {
        talk.say("", kind.about)?;
        ask_all(desk, talk, &mut run)?;
    }
    let mut on_the_range = OnTheRange { desk, talk, run };
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
            let ends = if self.run.looks.decided { " (Enter records)" } else { "" };
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
                done_with(&self.desk.path);
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
        let new = match readings_in(&self.run, &source, text) {
            Ok(new) => new,
            Err(error) => return Ok(self.talk.say("  ", &words(&error))?),
        };
        let all = [self.run.readings.as_slice(), &new].concat();
        let said = self.run.said(self.run.values_of(&all));
        match on_trial(&source, &said) {
            Err(error) => return Ok(self.talk.say("  ", &words(&error))?),
            Ok((understood, _)) => {
                if let Some(doubt) = understood.suspicion.filter(|_| !self.run.meant) {
                    self.talk.say("  ", &format!("{}; {}", doubt.words, doubt.advice))?;
                    if !self.talk.is_so("is it right as typed? (y or n)", None, &doubt.advice)? {
                        return Ok(());
                    }
                    self.run.meant = true;
                }
            }
        }
        self.run.readings = all;
        self.keep()?;
        self.ask_about_those_apart(&source)?;
        self.say_how_it_stands(&source)
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
            let help = "y: it was measured and typed right, and counts; n: it is left out, type \
                        it again where it was a slip; or the right reading in its place";
            let prompt = "does it count? (y, n, or the right one)";
            match self.talk.ask(prompt, help)? {
                Answer::Text(text) if super::lines::is_yes(&text) => self.run.sure.push(place),
                Answer::Text(text) if super::lines::is_no(&text) => self.leave_out(place),
                Answer::Back => self.leave_out(place),
                Answer::Text(text) => match readings_in(&self.run, source, &text) {
                    Ok(new) if new.len() == 1 => self.run.readings[place] = new[0].clone(),
                    Ok(_) => self.talk.say("  ", "one reading in its place")?,
                    Err(error) => self.talk.say("  ", &questions::words(&error))?,
                },
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

    /// A reading without which fewer stand apart, the last ones first; none that is meant.
    fn one_apart(&mut self, source: &Source) -> Going<Option<usize>> {
        let all = self.standing(source, &self.run.readings.clone())?;
        // What stood apart before this run is the sheet's own.
        let before = self.of_text(source, source.text())?.map_or(0, |one| one.outliers);
        if all.as_ref().is_none_or(|all| all.outliers <= before) {
            return Ok(None);
        }
        let outliers = all.map_or(0, |all| all.outliers);
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
        let source = Source::new(source.name(), text);
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
        let judgement = outcome.judgement.as_ref();
        let open =
            judgement.is_some_and(|judgement| matches!(judgement.decision, Decision::Measure(_)));
        for line in verdicts(outcome) {
            self.talk.say("  ", &line)?;
        }
        let groups = judgement.map_or(1, |judgement| judgement.means.len().max(1));
        // Of two headings this run is one.
        let more = judgement.and_then(|judgement| judgement.more).map(|more| more.div_ceil(groups));
        self.run.looks.look(count, !open, more);
        self.desk.open.insert(outcome.calculation.key, self.run.looks.taken);
        let number = self.run.looks.taken;
        let own = format!("look {number} of {} ({}): ", looks::MOST, looks::confidence());
        let words = if self.run.looks.decided {
            self.desk.open.remove(outcome.calculation.key);
            "that decides".to_owned()
        } else if self.run.looks.are_over() {
            "three looks do not decide: see what scatters, or measure a run on other ground".into()
        } else {
            let left = self.run.looks.to_go(count);
            format!("not decided yet: {left} more to {}", self.next_look())
        };
        self.keep()?;
        Ok(self.talk.say("  ", &(own + &words))?)
    }

    /// Writes the run into the sheet by the way of `record`.
    fn record(mut self) -> Going<()> {
        if self.run.readings.is_empty() && !self.run.may_be_without_readings() {
            return Ok(());
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
                    done_with(&self.desk.path);
                    return Ok(());
                }
                self.talk.say("  ", &format!("the sheet has the same run already: {name}"))?;
                let help = "y: it is another run with the same readings; n: leave it out";
                if !self.talk.is_so("record it once more? (y or n)", None, help)? {
                    done_with(&self.desk.path);
                    return Ok(());
                }
            }
        }
        let (path, day, style) = (self.desk.path.clone(), self.run.day.clone(), self.talk.style);
        if !self.desk.write(self.talk, || record::add(&path, &said, &day, style))? {
            // Why is said; what was typed stays beside the sheet.
            return Err(Halt::Stopped);
        }
        done_with(&self.desk.path);
        Ok(self.talk.say("", &format!("recorded in {}", self.desk.name()))?)
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

/// The readings in a text that was typed or pasted, as the sheet is to have them.
fn readings_in(
    run: &Unrecorded,
    source: &Source,
    text: &str,
) -> Result<Vec<Vec<String>>, WriteError> {
    let alone = run.kind.pair.is_none() && !text.contains([' ', '\t', '\n', '\r', ';']);
    let values = match alone {
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
