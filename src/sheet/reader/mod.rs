//! What the tables of the sheet share: keys declared, looked up with their place, values read with
//! their bounds, every mistake collected.

mod key;
mod mistakes;
mod section;
mod shape;
mod values;

pub(crate) use key::Hint;
pub(super) use key::{Blank, Entry, Key, Keys, Known, Needed, Pair, Recording, Takes, Values};
pub(super) use mistakes::{Item, Reader};
pub(super) use section::{Section, suggestion};
pub(super) use shape::{Names, Shape, Written, any};
pub(super) use values::{
    Day, Either, InLengths, InUnits, Mapped, SeedRates, SignedWhole, Text, YesNo, angle, counted,
    either, length, list, mapped, measure, number, signed_whole, whole, whole_list, word,
};
