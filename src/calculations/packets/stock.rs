//! What is at hand of a lot against what its packets take.

use crate::calculations::Common;
use crate::outcome::Cell;
use crate::quantity::{Unit, clean};
use crate::working::Value;

use super::{AtHand, Inputs, Lot, Packet, Totals, gram, mass_of, seeds_in, thousand_seeds};

/// A lot with what it takes.
pub(super) struct Stock<'a> {
    pub(super) lot: &'a Lot,
    pub(super) mass: Option<Value>,
    needed: Value,
    at_hand: Option<Value>,
    pub(super) short: Option<Short>,
}

/// How much a lot lacks.
pub(super) struct Short {
    pub(super) seeds: Value,
    pub(super) mass: Option<Value>,
}

impl<'a> Stock<'a> {
    pub(super) fn of(
        lot: &'a Lot,
        inputs: &Inputs,
        _common: &Common,
        packet: &Packet,
        totals: &Totals,
    ) -> Stock<'a> {
        let of = format!("entry {}: ", lot.entry);
        let (weight, own) = match (&lot.weight, &inputs.weight) {
            (Some(own), _) => (Some(thousand_seeds(&of, own)), true),
            (None, common) => (common.as_ref().map(|weight| thousand_seeds("", weight)), false),
        };
        let of_mass = if own { of.as_str() } else { "" };
        let mass = weight.as_ref().map(|weight| packet.mass(of_mass, weight, inputs));
        let needed = totals.entry.clone();
        let (at_hand, short) = match (&lot.at_hand, &weight, &mass) {
            (Some(AtHand::Seeds(seeds)), weight, _) => {
                let at_hand = Value::typed(format!("{of}at hand"), *seeds, Unit::ONE);
                let at_hand = at_hand.counting("seeds");
                let short = (needed.number() > at_hand.number()).then(|| {
                    let seeds = (&needed - &at_hand).named_as(format!("{of}short by"), "seeds");
                    let mass = weight.as_ref().map(|weight| {
                        mass_of(&seeds, weight).named(format!("{of}short by, in mass"))
                    });
                    Short { seeds, mass }
                });
                (Some(at_hand), short)
            }
            (Some(AtHand::Mass(there)), Some(weight), Some(mass)) => {
                let there = Value::measured(format!("{of}mass at hand"), there, gram());
                let wanted = (mass * &totals.packets_of_entry).named(format!("{of}mass needed"));
                let short = (wanted.number() > there.number()).then(|| {
                    let mass = (&wanted - &there).named(format!("{of}short by, in mass"));
                    let seeds = seeds_in(&mass, weight).named(format!("{of}seeds in that"));
                    let seeds = seeds.rounded_up().named_as(format!("{of}short by"), "seeds");
                    Short { seeds, mass: Some(mass) }
                });
                let at_hand = seeds_in(&there, weight).named_as(format!("{of}at hand"), "seeds");
                (Some(at_hand), short)
            }
            _ => (None, None),
        };
        Stock { lot, mass, needed, at_hand, short }
    }

    fn verdict(&self) -> &'static str {
        match (&self.short, &self.at_hand) {
            (Some(_), _) => "short",
            (None, Some(_)) => "enough",
            (None, None) => "not told",
        }
    }

    pub(super) fn row(&self, packet: &Packet, places: usize) -> Vec<Cell> {
        let number = |value: Option<&Value>, places: usize| {
            value.map_or(Cell::Empty, |value| Cell::Number(value.number(), places))
        };
        let short = self.short.as_ref();
        vec![
            Cell::Text(self.lot.name.clone()),
            Cell::Count(self.lot.entry),
            number(Some(&packet.seeds), 0),
            number(self.mass.as_ref(), places),
            number(Some(&self.needed), 0),
            // Whole seeds that are there: half a seed plants nothing.
            self.at_hand
                .as_ref()
                .map_or(Cell::Empty, |there| Cell::Number(clean(there.number()).floor(), 0)),
            number(short.map(|short| &short.seeds), 0),
            number(short.and_then(|short| short.mass.as_ref()), places),
            Cell::Text(self.verdict().into()),
        ]
    }
}
