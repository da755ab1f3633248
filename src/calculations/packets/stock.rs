//! What is at hand of a lot against what its packets take, and what all lots weigh.

use crate::calculations::readings;
use crate::outcome::Cell;
use crate::quantity::{Unit, clean};
use crate::working::Value;

use super::formulas::{gram, mass_of, seeds_in, thousand_seeds};
use super::inputs::{AtHand, Inputs, Lot};
use super::packet::{Packet, Totals};

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
        packet: &Packet,
        totals: &Totals,
        beside: u32,
    ) -> Stock<'a> {
        let of = format!("entry {}: ", lot.entry);
        let (weight, own) = match (&lot.weight, &inputs.weight) {
            (Some(own), _) => (Some(thousand_seeds(&of, own)), true),
            (None, common) => (common.as_ref().map(|weight| thousand_seeds("", weight)), false),
        };
        let of_mass = if own { of.as_str() } else { "" };
        let mass = weight.as_ref().map(|weight| packet.mass(of_mass, weight, inputs));
        let needed = needed(lot, totals, packet, beside);
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
                let packets = match beside {
                    0 => totals.packets_of_entry.clone(),
                    more => {
                        let more = readings::count(usize::try_from(more).unwrap_or(0));
                        (&totals.packets_of_entry + more.named(format!("{of}packets besides")))
                            .named(format!("{of}packets in all"))
                    }
                };
                let wanted = (mass * &packets).named(format!("{of}mass needed"));
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

/// Mass of a rep: the packets of the lots that weigh by their own seed, and of the other
/// entries.
pub(super) fn mass_of_rep(
    stocks: &[Stock<'_>],
    common: Option<&Value>,
    packet: &Packet,
    totals: &Totals,
) -> Option<Value> {
    let own = stocks.iter().filter(|stock| stock.lot.weight.is_some());
    let own: Vec<Value> = own.filter_map(|stock| stock.mass.clone()).collect();
    let count = own.len();
    let own = all_together(own);
    let others = if count == 0 {
        totals.entries.clone()
    } else {
        (&totals.entries - readings::count(count)).named("entries of the common seed")
    };
    let others = match common {
        _ if others.number() == 0.0 => None,
        Some(common) => Some(common * others),
        None => return None,
    };
    let all = own.into_iter().chain(others).reduce(|sum, more| sum + more)?;
    let all = if all.name().is_some() { all } else { all.named("a packet of every entry") };
    Some((all * &packet.to_plot).named("mass of a rep"))
}

/// The packets of all lots, one each: in parts where they are too many for one line.
pub(super) fn all_together(masses: Vec<Value>) -> Option<Value> {
    const TO_A_LINE: usize = 40;
    let name = "a packet of every lot with its own weight";
    let sum = |masses: &[Value]| Value::sum("masses of a packet of each", masses.to_vec());
    match masses.len() {
        0 => None,
        count if count <= TO_A_LINE => Some(sum(&masses).named(name)),
        _ => {
            let parts = masses.chunks(TO_A_LINE).enumerate().map(|(index, part)| {
                let first = index * TO_A_LINE + 1;
                let last = first + part.len() - 1;
                sum(part).named(format!("a packet of each, weights {first} to {last}"))
            });
            Some(Value::sum("these parts", parts.collect()).named(name))
        }
    }
}

/// Seeds that a lot takes: those of its entry and what is packed from it besides.
fn needed(lot: &Lot, totals: &Totals, packet: &Packet, beside: u32) -> Value {
    if beside == 0 {
        return totals.entry.clone();
    }
    let of = format!("entry {}: ", lot.entry);
    let count = readings::count(usize::try_from(beside).unwrap_or(0));
    let more = (count.named(format!("{of}packets besides")) * &packet.seeds)
        .named_as(format!("{of}seeds besides"), "seeds");
    (&totals.entry + more).named_as(format!("{of}seeds needed"), "seeds")
}
