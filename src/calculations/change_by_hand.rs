//! A change by hand as a measurement: whether a turn of a depth setting, or a jump of a chain, did
//! what it should. The ratio and its interval are those of any other change.

use crate::outcome::Warning;
use crate::outcome::wording::in_words;
use crate::quantity::{clean, plain};
use crate::statistics;
use crate::working::Value;

use super::change_check::{Fault, Ratio, Side};
use super::common::ChangeMade;
use super::readings::count;

/// The readings of one run, as they would be with what is set now.
pub(super) struct Look {
    /// The row whose they are.
    pub(super) row: Option<u32>,
    /// What the adjustment was when it was planted, where that is another than now.
    pub(super) then: Option<f64>,
    /// The readings.
    pub(super) each: Vec<Value>,
}

impl Look {
    /// Whether it was planted with what is set now.
    pub(super) fn is_since(&self) -> bool {
        self.then.is_none()
    }
}

/// The runs of right before a change and those right after it, row by row; `gathered` makes one list of all
/// readings of a row. `None` where no row has both.
pub(super) fn sides(
    change: &ChangeMade,
    looks: &[Look],
    gathered: &dyn Fn(Vec<Value>) -> Vec<Value>,
) -> Option<[Side; 2]> {
    let mut rows: Vec<Option<u32>> = vec![];
    for look in looks.iter().filter(|look| change.had_before(look.then)) {
        let after = looks.iter().any(|other| change.had_after(other.then) && other.row == look.row);
        if after && !rows.contains(&look.row) {
            rows.push(look.row);
        }
    }
    let name = change.what.name();
    let side = |when: &str, wanted: &dyn Fn(&Look) -> bool| {
        let own = |row: Option<u32>| looks.iter().filter(move |look| look.row == row);
        let of_row = |row: &Option<u32>| {
            gathered(own(*row).filter(|one| wanted(one)).flat_map(|one| one.each.clone()).collect())
        };
        let groups: Vec<Vec<Value>> = rows.iter().map(of_row).collect();
        let means: Option<Vec<Value>> = rows
            .iter()
            .zip(&groups)
            .map(|(row, group)| {
                let of_row = match (row, rows.len()) {
                    (Some(row), 2..) => format!(", row {row}"),
                    _ => String::new(),
                };
                statistics::mean(&format!("{when} the {name} changed{of_row}"), group)
            })
            .collect();
        let sum = means?.into_iter().reduce(|sum, next| sum + next)?;
        let error = match rows.len() {
            1 => sum,
            several => {
                (sum / count(several)).named(format!("{when} the {name} changed, in the mean"))
            }
        };
        let numbers = |group: &Vec<Value>| group.iter().map(Value::number).collect();
        let days = rows.iter().map(|row| own(*row).filter(|one| wanted(one)).count()).min();
        let groups: Vec<Vec<f64>> = groups.iter().map(numbers).collect();
        Some(Side::of(error, &groups, days.unwrap_or(1)))
    };
    let before = side("before", &|look| change.had_before(look.then))?;
    Some([before, side("after", &|look| change.had_after(look.then))?])
}

/// A change by hand, and how it is spoken of.
pub(super) struct DoubtOfHands<'a> {
    /// The change.
    pub(super) change: &'a ChangeMade,
    /// What moved, in the plural: "seeds of row 3".
    pub(super) what: String,
    /// Where more of it goes, and where less: "deeper" and "shallower".
    pub(super) ways: [&'static str; 2],
    /// What is done to it: "turned".
    pub(super) done: &'static str,
    /// What to look at, and how it is put right, where the sheet has its direction wrong.
    pub(super) direction: Option<String>,
    /// How it is put right where it moves more or less than the sheet says.
    pub(super) size: Option<String>,
}

/// What is to be said of a change by hand that did not do what it should.
pub(super) struct Doubted {
    /// The remark on it.
    pub(super) warning: Warning,
    /// Whether the sheet has its direction wrong, as it seems: no further run puts that right.
    pub(super) in_direction: bool,
    /// The runs since the change, of the row that has fewest.
    pub(super) runs_since: usize,
}

impl DoubtOfHands<'_> {
    /// What is wrong, where anything is.
    pub(super) fn of(&self, ratio: &Ratio, after: &Side) -> Option<Doubted> {
        let fault = ratio.fault()?;
        Some(Doubted {
            warning: fault.warning().with(self.words(fault, ratio)),
            in_direction: fault == Fault::Reversed && self.direction.is_some(),
            runs_since: after.days,
        })
    }

    /// What went wrong and how to put it right.
    fn words(&self, fault: Fault, ratio: &Ratio) -> String {
        let way = |value: &Value| {
            let way = self.ways[usize::from(value.number() < 0.0)];
            format!("{} {way}", in_words(&value.magnitude()))
        };
        let (seen, expected) = (way(&ratio.seen), way(&ratio.expected));
        let ChangeMade { from_base, to_base, .. } = self.change;
        let (changed, key) = (self.change.in_words(), self.change.what.key());
        let (what, done) = (&self.what, self.done);
        let went = || {
            format!("{changed} and the {what} went {seen} where they should have gone {expected}: ")
        };
        match fault {
            Fault::WithoutEffect => format!(
                "{changed}, which should have moved the {what} {expected}, and they lie where they \
                 lay: look whether it was {done}. If not, put that into the sheet by `alleytrue apply \
                 SHEET --not-set {key}`, and do it then; if by another number, by `--was \
                 {key}=NUMBER`. If it was {done} so far, measure a further run"
            ),
            Fault::Reversed => {
                let other_way = plain(clean(2.0 * from_base - to_base));
                let direction = self.direction.as_deref().unwrap_or_default();
                let else_wait = match direction {
                    "" => ". If not, measure a further run",
                    _ => "",
                };
                went()
                    + &format!(
                        "{direction}if it was {done} the wrong way, put that into the sheet by \
                         `alleytrue apply SHEET --was {key}={other_way}`{else_wait}"
                    )
            }
            Fault::OtherSize => {
                let size = self.size.as_deref().unwrap_or("measure a further run");
                went()
                    + &format!(
                        "look how far it was {done}. If it was another number, put that into the \
                         sheet by `alleytrue apply SHEET --was {key}=NUMBER`. If not, {size}"
                    )
            }
        }
    }
}
