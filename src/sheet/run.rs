//! What every run of measurements has: its place in the sheet, its date, its speed.

use std::cell::Cell;
use std::ops::Range;

use toml::de::DeValue;

use crate::quantity::Speed;
use crate::quantity::bounds;
use crate::record;
use crate::record::Subject;
use crate::record::operating_point::OperatingPoint;

use super::changeover;
use super::codes;
use super::operating_point::{self, AT};
use super::placed::Placed;
use super::reader::{Day, Entry, Key, Keys, Needed, Reader, Section, Text, measure};
use super::with::{self, WITH};

/// The keys that runs share.
pub(super) const SHARED: &[&dyn Entry] = &[&SPEED, &DATE, &BY, &NOTE, &DROPPED, &WITH, &AT];
/// Those of runs in which the speed is what is measured, or does not count.
pub(super) const WITHOUT_SPEED: &[&dyn Entry] = &[&DATE, &BY, &NOTE, &DROPPED, &WITH, &AT];

pub(super) static SPEED: Key<Speed> = Key {
    name: "speed",
    takes: &measure(&bounds::SPEED),
    needed: Needed::No,
    example: "\"2.8 mph\"",
    meaning: "Ground speed, where it was not the trial's.",
};
pub(super) static DATE: Key<String> = Key {
    name: "date",
    takes: &Day,
    needed: Needed::No,
    example: "2027-04-18",
    meaning: "When, without quotes. For the record.",
};
pub(super) static BY: Key<String> = Key {
    name: "by",
    takes: &Text,
    needed: Needed::No,
    example: "\"J. D.\"",
    meaning: "Who measured: a name or initials. For the record.",
};
pub(super) static NOTE: Key<String> = Key {
    name: "note",
    takes: &Text,
    needed: Needed::No,
    example: "\"one pass out\"",
    meaning: "For the record.",
};
pub(super) static DROPPED: Key<String> = Key {
    name: "dropped",
    takes: &Text,
    needed: Needed::No,
    example: "\"tape had slipped\"",
    meaning: "Why the run does not count, where it does not: it stays in the sheet as it was measured.",
};

/// What the run itself does not say about it.
#[derive(Debug)]
pub(super) struct Run {
    /// Where the run starts.
    pub(super) span: Range<usize>,
    /// Which of its kind in the sheet, counted from one.
    pub(super) number: usize,
    /// The speed it was planted at, where it is not the trial's.
    pub(super) speed: Option<Placed<Speed>>,
    /// What was in force, as far as it stands there.
    pub(super) with: with::Table,
}

/// The tables of one kind of run.
pub(super) fn tables<T>(
    reader: &mut Reader<'_>,
    top: &mut Section<'_>,
    keys: &'static Keys,
    record: &mut Vec<Recorded>,
    read: impl Fn(&mut Reader<'_>, &mut Section<'_>, Run) -> T,
) -> Vec<T> {
    let number = Cell::new(0);
    let all = top.tables(reader, keys, |reader, section| {
        number.set(number.get() + 1);
        let (recorded, run) = shared(reader, section, keys);
        let run = Run { number: number.get(), ..run };
        (recorded, read(reader, section, run))
    });
    let mut runs = Vec::with_capacity(all.len());
    for (index, (mut one, run)) in all.into_iter().enumerate() {
        one.run.number = index + 1;
        runs.push(run);
        record.push(one);
    }
    runs
}

/// Takes the runs of a kind out that are set aside; they go no further than the record.
pub(super) fn keep_used<T>(runs: &mut Vec<T>, table: &str, record: &[record::Run]) {
    let mut own = record.iter().filter(|run| run.table == table);
    runs.retain(|_| own.next().is_none_or(|run| run.aside.is_none()));
}

/// A run as the record has it, with its place.
#[derive(Debug)]
pub(super) struct Recorded {
    pub(super) run: record::Run,
    pub(super) span: Range<usize>,
}

/// The key of runs that are of one row, each of which declares it by itself.
const ROW: &str = "row";
/// The key of runs that say which way the pass went.
const HEADING: &str = "heading";

/// A row, where it can be one; what is wrong with it is said where the run is read.
fn row_of(value: &DeValue<'_>) -> Option<u32> {
    let DeValue::Integer(number) = value else { return None };
    number.as_str().parse().ok().filter(|_| number.radix() == 10)
}

fn shared(
    reader: &mut Reader<'_>,
    section: &mut Section<'_>,
    keys: &'static Keys,
) -> (Recorded, Run) {
    let with = section.table(reader, &WITH, with::read).unwrap_or_default();
    let at = section.table(reader, &AT, operating_point::read).unwrap_or_default();
    let date = section.read(reader, &DATE);
    // Checked, and for whoever reads the sheet.
    section.read(reader, &BY);
    section.read(reader, &NOTE);
    let dropped = section.read(reader, &DROPPED);
    let speed = if keys.has(SPEED.name) { section.placed(reader, &SPEED) } else { None };
    let point = OperatingPoint { speed: speed.as_ref().map(|speed| speed.value.clone()), ..at };
    let row = section.glance(ROW).and_then(row_of);
    let run = record::Run {
        table: keys.name,
        date,
        row,
        headed: section.glance(HEADING).is_some(),
        point,
        with: with.held(row),
        dropped,
        ..record::Run::default()
    };
    (Recorded { run, span: section.span() }, Run { span: section.span(), number: 0, speed, with })
}

/// One remark for all runs that are set aside.
pub(super) fn remark_on_aside(
    reader: &mut Reader<'_>,
    recorded: &[Recorded],
    record: &record::Record,
) {
    // Whoever dropped a run knows of it.
    let aside = |(_, run): &(_, &record::Run)| run.aside.is_some() && run.dropped.is_none();
    let all: Vec<(&Recorded, &record::Run)> =
        recorded.iter().zip(&record.runs).filter(aside).collect();
    let Some((first, last)) = all.first().zip(all.last()) else { return };
    let mut counts_of: Vec<(&str, usize)> = vec![];
    for (_, run) in &all {
        match counts_of.iter_mut().find(|(table, _)| *table == run.table) {
            Some((_, count)) => *count += 1,
            None => counts_of.push((run.table, 1)),
        }
    }
    let words: Vec<String> = counts_of
        .iter()
        .map(|(table, count)| {
            let s = if *count == 1 { "" } else { "s" };
            format!("{count} {}{s}", table.replace('-', " "))
        })
        .collect();
    let (are, were) = match all.len() {
        1 => ("is", "it was"),
        _ => ("are", "the last of them was"),
    };
    let with = last.1.aside.as_deref().unwrap_or_default();
    let message = format!("{} {are} not used: {were} made with {with}", words.join(", "));
    let stay = if all.len() == 1 { "it stays" } else { "they stay" };
    // Where others of the kind count, there is nothing to do.
    let counts =
        |table: &str| record.runs.iter().any(|run| run.table == table && run.aside.is_none());
    let again = match counts_of.iter().all(|(table, _)| counts(table)) {
        true => "",
        false => "; measure again with what is set now",
    };
    let advice = format!("{stay} in the sheet as the record{again}");
    reader.say(&codes::SET_ASIDE, first.0.span.clone(), message, advice);
}

/// One remark for all runs that count as made with what is set now although they are older than the
/// change that made it so.
pub(super) fn remark_on_older(
    reader: &mut Reader<'_>,
    recorded: &[Recorded],
    record: &record::Record,
) {
    let older = record::made_before_change(record);
    let Some((place, words)) = older.first() else { return };
    let Some(first) = recorded.get(*place) else { return };
    let message = match older.len() {
        1 => format!("this run was {words}, and counts as made with what is set now"),
        count => format!(
            "{count} runs, from this one on, count as made with what is set now and are older: \
             {words}"
        ),
    };
    let advice = "write what they were made with under `with`, such as `with = { setback = \"15 \
                  in\" }`, or mend the date";
    reader.say(&codes::BEFORE_CHANGE, first.span.clone(), message, advice);
}

/// Every action that a run speaks of under `with` is one of the sheet.
pub(super) fn check_actions(
    reader: &mut Reader<'_>,
    recorded: &[Recorded],
    changeover: Option<&changeover::Table>,
) {
    for one in recorded {
        let unknown = one.run.with.iter().find_map(|(subject, _)| match subject {
            Subject::Timed(timed) => {
                let known = changeover.is_some_and(|table| table.place(timed.action).is_some());
                (!known).then_some(timed)
            }
            _ => None,
        });
        let Some(timed) = unknown else { continue };
        let message = format!(
            "`with` has `{}`, and no action of [changeover] is called \"{}\"",
            timed.key(),
            timed.action
        );
        let advice = "write the name of an action of the sheet, or take it out of `with`";
        reader.say(&codes::UNKNOWN_ACTION, one.span.clone(), message, advice).allowed =
            Some(changeover.map_or("no action".into(), changeover::Table::names));
    }
}

/// One remark for what somebody wrote over.
pub(super) fn remark_on_edited(
    reader: &mut Reader<'_>,
    place: Range<usize>,
    record: &record::Record,
) {
    let edited = record.edited();
    if edited.is_empty() {
        return;
    }
    let words: Vec<String> =
        edited.iter().map(|(change, now)| record::edited_words(change, now)).collect();
    let advice = "put that back and change it by `alleytrue apply SHEET --setting KEY=VALUE`, so that \
                  runs keep what they were made with";
    reader.say(&codes::EDITED, place, words.join("; "), advice);
}

/// How many differences one remark names.
const MOST_NAMED: usize = 4;

/// One remark for all runs that count although they were made for another seed spacing, alley or
/// boost than the sheet is for.
pub(super) fn remark_on_other(
    reader: &mut Reader<'_>,
    recorded: &[Recorded],
    record: &record::Record,
) {
    let other = record::made_for_other(record);
    let Some(first) = other.first().and_then(|(place, _)| recorded.get(*place)) else { return };
    let mut words: Vec<String> = vec![];
    for word in other.iter().flat_map(|(_, words)| words) {
        if !words.contains(word) {
            words.push(word.clone());
        }
    }
    let (who, count) = match other.len() {
        1 => ("this run does".to_owned(), "it counts"),
        count => (format!("{count} runs, from this one on, do"), "they count"),
    };
    // A sheet of many seasons names a few.
    words.truncate(MOST_NAMED);
    let message = format!("{who} not fit what the sheet is for: {}", words.join("; "));
    let advice = format!(
        "{count} all the same; `alleytrue check` says which settings that leaves open: measure \
         those again"
    );
    reader.say(&codes::OTHER_OPERATING_POINT, first.span.clone(), message, advice);
}
