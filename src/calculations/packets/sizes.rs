//! Packets by the length of the plots they are for.

use std::borrow::Cow;

use crate::calculations::Common;
use crate::quantity::{Length, Unit};
use crate::working::Value;

use super::formulas::thousand_seeds;
use super::ground::Ground;
use super::inputs::{Inputs, SeedWeight};
use super::packet::Packet;

/// The packet for plots of one length.
pub(super) struct Size {
    pub(super) length: Length,
    /// What its values are called before their names: nothing for the trial's own length.
    pub(super) of: String,
    pub(super) packet: Packet,
}

/// The packets for plots of every length, the trial's own first.
pub(super) struct Sizes(Vec<Size>);

impl Sizes {
    pub(super) fn of(inputs: &Inputs, common: &Common, ground: &Ground) -> Sizes {
        let own = Size {
            length: inputs.plot.clone(),
            of: String::new(),
            packet: Packet::of(inputs, common, ground, &inputs.plot, ""),
        };
        let mut all = vec![own];
        let others = inputs.plan.iter().flat_map(|field| field.layout.other_lengths());
        for (_, length) in others {
            if all.iter().all(|size: &Size| size.length.base() != length.base()) {
                let of = format!("plots of {length}: ");
                let packet = Packet::of(inputs, common, ground, &length, &of);
                all.push(Size { length, of, packet });
            }
        }
        Sizes(all)
    }

    /// The packet for plots of the trial's own length.
    pub(super) fn own(&self) -> &Packet {
        &self.0[0].packet
    }

    pub(super) fn iter(&self) -> impl Iterator<Item = &Size> {
        self.0.iter()
    }

    /// Place of the size for plots of a length, given in metres.
    pub(super) fn place(&self, metres: f64) -> usize {
        let off =
            |size: &Size| (size.length.value_in(crate::quantity::LengthUnit::Metre) - metres).abs();
        let nearest = self.0.iter().enumerate().min_by(|a, b| off(a.1).total_cmp(&off(b.1)));
        nearest.map_or(0, |(place, _)| place)
    }

    /// No packet of any size.
    pub(super) fn none(&self) -> Vec<u32> {
        vec![0; self.0.len()]
    }

    /// What so many packets of each size come to, with an amount for one of each: nothing where there
    /// is no packet, or an amount is not known. `what` names a count of packets.
    pub(super) fn all(
        &self,
        counts: &[u32],
        what: &str,
        amount: impl Fn(usize, &Size) -> Option<Value>,
    ) -> Option<Value> {
        let mut sum: Option<Value> = None;
        for (place, (size, count)) in self.0.iter().zip(counts).enumerate() {
            if *count == 0 {
                continue;
            }
            let name = format!("{}{what}", size.of);
            let count = Value::found(name, f64::from(*count), Unit::ONE, "counted");
            let part = count * amount(place, size)?;
            sum = Some(match sum {
                Some(sum) => sum + part,
                None => part,
            });
        }
        sum
    }

    /// Seeds of so many packets.
    pub(super) fn seeds(&self, counts: &[u32], what: &str) -> Option<Value> {
        self.all(counts, what, |_, size| Some(size.packet.seeds.clone()))
    }

    /// Mass of a packet of each size, of seed of this weight.
    pub(super) fn masses(&self, of: &str, weight: &SeedWeight, inputs: &Inputs) -> Vec<Value> {
        let weight = thousand_seeds(of, weight);
        let mass = |size: &Size| size.packet.mass(&format!("{}{of}", size.of), &weight, inputs);
        self.0.iter().map(mass).collect()
    }
}

impl Size {
    /// A part of a table, for plots of this length.
    pub(super) fn part(&self, part: &'static str) -> Cow<'static, str> {
        match self.of.strip_suffix(": ") {
            Some(plots) => format!("{part}, {plots}").into(),
            None => part.into(),
        }
    }
}
