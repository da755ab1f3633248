//! What is at hand of a lot against what its packets take, and what all lots weigh.

use crate::calculations::readings;
use crate::outcome::Cell;
use crate::quantity::{Unit, clean};
use crate::working::Value;

use super::counts::{Counts, sum};
use super::formulas::{gram, mass_of, seeds_in, thousand_seeds};
use super::inputs::{AtHand, Inputs, Lot};
use super::packet::Packet;
use super::sizes::Sizes;
use super::totals::{Alike, Totals};

/// A lot with what it takes.
pub(super) struct Stock<'a> {
    pub(super) lot: &'a Lot,
    /// Mass of a packet of each size, where the weight of the seed is known.
    pub(super) masses: Option<Vec<Value>>,
    pub(super) needed: Value,
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
        sizes: &Sizes,
        totals: &Totals,
        counts: &Counts,
    ) -> Stock<'a> {
        let of = format!("entry {}: ", lot.entry);
        let (weight, own) = match (&lot.weight, &inputs.weight) {
            (Some(own), _) => (Some(own), true),
            (None, common) => (common.as_ref(), false),
        };
        let of_mass = if own { of.as_str() } else { "" };
        let masses = weight.map(|weight| sizes.masses(of_mass, weight, inputs));
        let weight = weight.map(|weight| thousand_seeds(of_mass, weight));
        let beside = counts.beside(lot, inputs, sizes);
        let own = counts.of_entry(lot.entry, sizes);
        let alike = totals.alike.as_ref();
        let needed = needed(&of, alike, sizes, own.as_deref(), &beside);
        let (at_hand, short) = match (&lot.at_hand, &weight, &masses) {
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
            (Some(AtHand::Mass(there)), Some(weight), Some(masses)) => {
                let there = Value::measured(format!("{of}mass at hand"), there, gram());
                let wanted = mass_needed(&of, alike, sizes, own.as_deref(), &beside, masses);
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
        Stock { lot, masses, needed, at_hand, short }
    }

    /// Mass of a packet for plots of the trial's own length.
    pub(super) fn mass(&self) -> Option<&Value> {
        self.masses.as_ref()?.first()
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
            number(self.mass(), places),
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

/// Mass of a rep, where all plots of the trial are alike: the packets of the lots that weigh by their
/// own seed, and of the other entries.
pub(super) fn mass_of_rep(
    stocks: &[Stock<'_>],
    common: Option<&Value>,
    packet: &Packet,
    totals: &Totals,
) -> Option<Value> {
    let own = stocks.iter().filter(|stock| stock.lot.weight.is_some());
    let own: Vec<Value> = own.filter_map(|stock| stock.mass().cloned()).collect();
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

/// Mass of the trial, where its plots differ in length: entry by entry, by the weight of its lot or the
/// common one.
pub(super) fn mass_of_mixed(
    stocks: &[Stock<'_>],
    common: Option<&[Value]>,
    sizes: &Sizes,
    counts: &Counts,
) -> Option<Value> {
    let by_entry = counts.by_entry.as_ref()?;
    let own = |entry: &u32| {
        let mut weighed = stocks.iter().filter(|stock| stock.lot.weight.is_some());
        weighed.find(|stock| stock.lot.entry == *entry)
    };
    let others =
        sum(by_entry.iter().filter(|(entry, _)| own(entry).is_none()).map(|one| one.1), sizes);
    let mut parts = vec![];
    if others.iter().any(|count| *count > 0) {
        let common = common?;
        let what = "packets of the common seed";
        parts.extend(sizes.all(&others, what, |place, _| common.get(place).cloned()));
    }
    for (entry, counts) in by_entry {
        let Some(masses) = own(entry).and_then(|stock| stock.masses.as_ref()) else { continue };
        let what = format!("entry {entry}: packets of the trial");
        parts.extend(sizes.all(counts, &what, |place, _| masses.get(place).cloned()));
    }
    parts.into_iter().reduce(|sum, more| sum + more).map(|all| all.named("mass of the trial"))
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
fn needed(
    of: &str,
    alike: Option<&Alike>,
    sizes: &Sizes,
    own: Option<&[u32]>,
    beside: &[u32],
) -> Value {
    let seeds = |counts: &[u32], what: &str, name: &str| {
        let seeds = sizes.seeds(counts, &format!("{of}{what}"));
        seeds.map(|seeds| seeds.named_as(format!("{of}{name}"), "seeds"))
    };
    let own = match (alike, own) {
        (Some(alike), None) => Some(alike.entry.clone()),
        (_, own) => seeds(own.unwrap_or_default(), "packets of the trial", "seeds in the trial"),
    };
    match (own, seeds(beside, "packets besides", "seeds besides")) {
        (Some(own), Some(more)) => (own + more).named_as(format!("{of}seeds needed"), "seeds"),
        (Some(one), None) | (None, Some(one)) => one,
        (None, None) => Value::found(format!("{of}seeds needed"), 0.0, Unit::ONE, "on no plot"),
    }
}

/// The same as packets are weighed.
fn mass_needed(
    of: &str,
    alike: Option<&Alike>,
    sizes: &Sizes,
    own: Option<&[u32]>,
    beside: &[u32],
    masses: &[Value],
) -> Value {
    let name = format!("{of}mass needed");
    // Packets of one size are counted first and weighed together.
    if let (Some(alike), [mass], [beside]) = (alike, masses, beside) {
        let packets = match *beside {
            0 => alike.packets_of_entry.clone(),
            more => {
                let more = readings::count(usize::try_from(more).unwrap_or(0));
                (&alike.packets_of_entry + more.named(format!("{of}packets besides")))
                    .named(format!("{of}packets in all"))
            }
        };
        return (mass * packets).named(name);
    }
    let weighed = |counts: &[u32], what: &str| {
        sizes.all(counts, &format!("{of}{what}"), |place, _| masses.get(place).cloned())
    };
    let own = match (alike, own) {
        (Some(alike), None) => masses.first().map(|mass| mass * &alike.packets_of_entry),
        (_, own) => weighed(own.unwrap_or_default(), "packets of the trial"),
    };
    let all = own.into_iter().chain(weighed(beside, "packets besides"));
    let all = all.reduce(|sum, more| sum + more);
    all.unwrap_or_else(|| Value::found("nothing", 0.0, gram(), "on no plot")).named(name)
}
