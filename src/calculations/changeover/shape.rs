//! Lists of actions that starting values are looked for in, as what a plain changeover is made of.
//!
//! However its actions start each other, such a list has one opening: a number of steps that lets
//! the next lot in later, which is the length of the clean-out where the next lot comes after its end,
//! and else the wait of the hand-over itself. Its boost, where it has one, waits for its start after
//! the trip or after the opening, and lasts for a length.

use std::ops::Add;

use crate::outcome::Part;
use crate::quantity::{LengthUnit, MeasureUnit, TimeUnit};
use crate::working::Units;

use super::actions::{Action, Edge, Extent, Work};
use super::inputs::Inputs;

/// How long something lasts, by the clock and by the way that the planter covers.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Lasting {
    /// Seconds of it.
    pub time: f64,
    /// Ground that is covered besides.
    pub way: f64,
}

impl Lasting {
    /// By the clock alone.
    #[must_use]
    pub const fn seconds(time: f64) -> Lasting {
        Lasting { time, way: 0.0 }
    }

    /// Seconds at a speed.
    #[must_use]
    pub fn at(self, speed: f64) -> f64 {
        if self.way == 0.0 { self.time } else { self.time + self.way / speed }
    }

    /// The same in the unit of lengths.
    pub(super) fn of(extent: &Extent, units: &Units) -> Lasting {
        match extent {
            Extent::Time(time) => Lasting::seconds(time.value_in(TimeUnit::Second)),
            Extent::Way(way) => Lasting { time: 0.0, way: way.value_in(units.length) },
        }
    }
}

impl Add for Lasting {
    type Output = Lasting;

    fn add(self, other: Lasting) -> Lasting {
        Lasting { time: self.time + other.time, way: self.way + other.way }
    }
}

/// What a wait is counted from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Base {
    /// The trip.
    Trip,
    /// The opening.
    Opening,
    /// The start of the boost.
    BoostStart,
    /// Its end.
    BoostEnd,
}

/// From when on a wait is counted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Origin {
    /// What it is counted from.
    pub base: Base,
    /// And how much later.
    pub later: Lasting,
}

impl Origin {
    const TRIP: Origin = Origin { base: Base::Trip, later: Lasting::seconds(0.0) };

    fn later(self, more: Lasting) -> Origin {
        Origin { later: self.later + more, ..self }
    }
}

/// A window whose start and length are looked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Free {
    /// From when on its wait is counted.
    pub from: Origin,
    /// The step of its wait.
    pub waiting: Lasting,
    /// The step of its length.
    pub lasting: Lasting,
}

/// What a list of actions leaves open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shape {
    /// When the clean-out starts.
    pub clean_from: Lasting,
    /// The opening where it has no step at all.
    pub opens_from: Lasting,
    /// Its step.
    pub opening: Lasting,
    /// The step of the clean-out, where it is another than the opening and ends before it.
    pub clean_out_step: Option<Lasting>,
    /// How much later than the opening the next lot is let in.
    pub let_in_later: Lasting,
    /// The boost, where the plate has a motor.
    pub boost: Option<Free>,
    /// The sweep, where there is one.
    pub sweep: Option<Free>,
}

impl Shape {
    /// The plain changeover: the clean-out from the trip on, the next lot let in at its end, from when
    /// on the boost waits; everything by the clock, in one step.
    #[must_use]
    pub fn plain(step: f64) -> Shape {
        let step = Lasting::seconds(step);
        let none = Lasting::seconds(0.0);
        let free = |base| Free { from: Origin { base, later: none }, waiting: step, lasting: step };
        Shape {
            clean_from: none,
            opens_from: none,
            opening: step,
            clean_out_step: None,
            let_in_later: none,
            boost: Some(free(Base::Opening)),
            sweep: Some(free(Base::Trip)),
        }
    }
}

/// A list that starting values are looked for in: its shape, and which action is what.
#[derive(Clone, Debug)]
pub(super) struct Plain {
    pub(super) shape: Shape,
    /// What takes old seed out, and what lets the next lot in.
    pub(super) clean_out: usize,
    pub(super) hand_over: usize,
    pub(super) boost: Option<usize>,
    pub(super) sweep: Option<usize>,
    /// Whether the opening is the wait of the hand-over, and not the length of the clean-out.
    pub(super) by_wait: bool,
}

impl Plain {
    /// The shape of a list; in words why starting values are not looked for in it.
    pub(super) fn of(inputs: &Inputs, units: &Units) -> Result<Plain, String> {
        let finder = Finder { inputs, units };
        let one = |what: &str, is: fn(&Work) -> bool| finder.at_most_one(what, is);
        let clean_out = one("takes old seed out", |work| matches!(work, Work::CleanOut { .. }))?;
        let hand_over = one("lets the next lot in", |work| matches!(work, Work::HandOver { .. }))?;
        let (Some(clean_out), Some(hand_over)) = (clean_out, hand_over) else {
            return Err("the list lacks an action".into());
        };
        let boost = one("turns the plate", |work| matches!(work, Work::Boost { .. }))?;
        let sweep = one("knocks strays off", |work| matches!(work, Work::Sweep { .. }))?;
        let mut plain = Plain {
            shape: Shape { boost: None, sweep: None, ..Shape::plain(0.0) },
            clean_out,
            hand_over,
            boost,
            sweep,
            by_wait: !finder.comes_after_end(hand_over, clean_out),
        };
        plain.shape.clean_from = finder.clean_from(&plain)?;
        finder.open(&mut plain)?;
        if let Some(place) = boost {
            let free = finder.free(&plain, place)?;
            if matches!(free.from.base, Base::BoostStart | Base::BoostEnd) {
                return Err(finder.hangs(place));
            }
            plain.shape.boost = Some(free);
        }
        if let Some(place) = sweep {
            plain.shape.sweep = Some(finder.free(&plain, place)?);
        }
        Ok(plain)
    }
}

/// Finds the shape of a list.
struct Finder<'a> {
    inputs: &'a Inputs,
    units: &'a Units,
}

impl Finder<'_> {
    fn action(&self, place: usize) -> &Action {
        &self.inputs.actions[place]
    }

    fn at_most_one(&self, what: &str, is: fn(&Work) -> bool) -> Result<Option<usize>, String> {
        let mut all = self.inputs.actions.iter().enumerate().filter(|(_, one)| is(&one.work));
        let first = all.next();
        match all.next() {
            None => Ok(first.map(|(place, _)| place)),
            Some(_) => Err(format!("more than one action {what}")),
        }
    }

    /// Whether an action starts after the end of another, at once or by way of others.
    fn comes_after_end(&self, place: usize, other: usize) -> bool {
        let mut from = self.action(place).after;
        // No list is longer than itself, so that a circle ends.
        for _ in &self.inputs.actions {
            match from {
                Some((place, Edge::End)) if place == other => return true,
                Some((place, _)) => from = self.action(place).after,
                None => return false,
            }
        }
        false
    }

    fn hangs(&self, place: usize) -> String {
        format!("the start of {} hangs on what is looked for", self.action(place).name)
    }

    fn wait(&self, place: usize) -> Lasting {
        let wait = self.action(place).wait.as_ref();
        wait.map_or(Lasting::default(), |wait| Lasting::of(wait, self.units))
    }

    /// When the clean-out starts, which hangs on the trip and on actions whose times are given.
    fn clean_from(&self, plain: &Plain) -> Result<Lasting, String> {
        let place = plain.clean_out;
        let from = self.start(plain, place, false, self.inputs.actions.len())?;
        match from.base {
            Base::Trip => Ok(from.later),
            _ => Err(self.hangs(place)),
        }
    }

    /// What the opening is, and when the next lot is let in after it.
    fn open(&self, plain: &mut Plain) -> Result<(), String> {
        let most = self.inputs.actions.len();
        let place = plain.hand_over;
        if plain.by_wait {
            self.may_change(place, Part::Wait)?;
            let own = self.action(plain.clean_out).may_change(Part::For);
            plain.shape.clean_out_step = own.then(|| self.step(plain.clean_out, Part::For));
            plain.shape.opening = self.step(place, Part::Wait);
            let from = self.start(plain, place, true, most)?;
            match from.base {
                Base::Trip => plain.shape.opens_from = from.later,
                _ => return Err(self.hangs(place)),
            }
        } else {
            self.may_change(plain.clean_out, Part::For)?;
            plain.shape.opening = self.step(plain.clean_out, Part::For);
            plain.shape.opens_from = plain.shape.clean_from;
            let from = self.start(plain, place, false, most)?;
            match from.base {
                Base::Opening => plain.shape.let_in_later = from.later,
                _ => return Err(self.hangs(place)),
            }
        }
        Ok(())
    }

    /// A window with its wait and its length to be found.
    fn free(&self, plain: &Plain, place: usize) -> Result<Free, String> {
        self.may_change(place, Part::Wait)?;
        self.may_change(place, Part::For)?;
        Ok(Free {
            from: self.start(plain, place, true, self.inputs.actions.len())?,
            waiting: self.step(place, Part::Wait),
            lasting: self.step(place, Part::For),
        })
    }

    fn may_change(&self, place: usize, part: Part) -> Result<(), String> {
        let action = self.action(place);
        if action.may_change(part) {
            return Ok(());
        }
        Err(format!("the {} may not be changed", action.timed(part).name()))
    }

    /// From when on an action's start is counted; without its own wait where that is looked for.
    fn start(
        &self,
        plain: &Plain,
        place: usize,
        without_wait: bool,
        most: usize,
    ) -> Result<Origin, String> {
        let rest = most.checked_sub(1).ok_or_else(|| self.hangs(place))?;
        let wait = if without_wait { Lasting::default() } else { self.wait(place) };
        let from = match self.action(place).after {
            None => Origin::TRIP,
            Some((other, Edge::Start)) => self.started(plain, other, rest)?,
            Some((other, Edge::End)) => self.ended(plain, other, rest)?,
        };
        Ok(from.later(wait))
    }

    /// When another action starts.
    fn started(&self, plain: &Plain, place: usize, most: usize) -> Result<Origin, String> {
        if Some(place) == plain.boost {
            return Ok(Origin { base: Base::BoostStart, later: Lasting::default() });
        }
        if place == plain.hand_over && plain.by_wait {
            return Ok(Origin { base: Base::Opening, later: Lasting::default() });
        }
        if Some(place) == plain.sweep {
            return Err(format!("an action hangs on {}", self.action(place).name));
        }
        self.start(plain, place, false, most)
    }

    /// When another action ends.
    fn ended(&self, plain: &Plain, place: usize, most: usize) -> Result<Origin, String> {
        let none = Lasting::default();
        if Some(place) == plain.boost {
            return Ok(Origin { base: Base::BoostEnd, later: none });
        }
        if place == plain.clean_out && !plain.by_wait {
            return Ok(Origin { base: Base::Opening, later: none });
        }
        let action = self.action(place);
        let length = action.lasts.as_ref().filter(|_| place == plain.hand_over);
        let length =
            length.ok_or_else(|| format!("an action hangs on the end of {}", action.name))?;
        Ok(self.started(plain, place, most)?.later(Lasting::of(length, self.units)))
    }

    /// The step of a setting; a hundredth of a second, or a few millimetres, where none is known.
    fn step(&self, place: usize, part: Part) -> Lasting {
        let action = self.action(place);
        let known = self.inputs.step_of(action, part);
        known.map_or_else(
            || match action.goes_by_way(part) {
                true => Lasting { time: 0.0, way: fine(self.units.length) },
                false => Lasting::seconds(0.01),
            },
            |step| Lasting::of(&step, self.units),
        )
    }
}

/// A round length of a few millimetres at the most.
fn fine(unit: LengthUnit) -> f64 {
    let parts = [1.0, 0.1, 0.01, 0.001];
    parts.into_iter().find(|part| part * unit.base() < 4.0).unwrap_or(0.001)
}
