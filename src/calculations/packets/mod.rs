//! Seed packets: how many seeds and grams each holds, what the trial takes in all, and which
//! lots fall short.
//!
//! A plot is measured from its first seed to its last, so a row of it holds a seed more than
//! spacings: L / s + 1. The plate drops a seed at every spacing whatever the seed is worth, so
//! germination and emergence come in once, where the spacing is made from the plants wanted, and
//! nowhere else. All that is rounded is rounded up.

mod ground;
mod report;
mod stock;
#[cfg(test)]
mod tests;

use super::calculate::{Calculate, Entry, SoFar};
use super::common::Common;
use super::readings;
use super::sprockets::SearchError;
use crate::quantity::{
    Decimal, Length, LengthUnit, Mass, MassUnit, PerMass, SeedRate, Share, Unit,
};
use crate::working::Value;

use super::changeover::{self, Motion};
use super::spacing::Target;
use super::stakes;
use crate::outcome::cautions::PACKING;
use crate::outcome::warning::{NO_CLEANED_OUT, TOO_FEW_PLOTS};
use crate::outcome::{Calculation, Caution, Outcome, Table};
use crate::working::Units;

use super::packets::ground::{Ground, stand};
use super::packets::report::{
    brief_whole, fall_short, in_short, lot_columns, places, totals_table,
};
use super::packets::stock::Stock;

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "packets", title: "Seed packets" };

/// For hands in seed.
static CAUTIONS: &[&Caution] = &[&PACKING];

/// What one packet plants.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Per {
    /// All rows of a plot.
    Plot,
    /// One row of a plot.
    Row,
}

/// How heavy seed is.
#[derive(Clone, Debug)]
pub enum SeedWeight {
    /// Mass of a thousand seeds.
    Thousand(Mass),
    /// Seeds in a mass.
    Count(PerMass),
}

/// What is packed beyond what is needed.
#[derive(Clone, Debug)]
pub enum Reserve {
    /// A share of every row's seeds.
    Share(Share),
    /// So many seeds in a packet.
    Seeds(Decimal),
}

/// How much there is of a lot.
#[derive(Clone, Debug)]
pub enum AtHand {
    /// Counted.
    Seeds(Decimal),
    /// Weighed.
    Mass(Mass),
}

/// The seed of one entry.
#[derive(Clone, Debug)]
pub struct Lot {
    /// What it is called.
    pub name: String,
    /// Number of the entry.
    pub entry: u32,
    /// What there is of it.
    pub at_hand: Option<AtHand>,
    /// Its own weight, which goes before that of the trial.
    pub weight: Option<SeedWeight>,
    /// Its own germination.
    pub germination: Option<Share>,
}

/// Seeds wanted on the ground, or plants wanted with what makes seeds of them.
#[derive(Clone, Debug)]
pub enum Rate {
    /// Seeds.
    Seeds(Target),
    /// Plants: the stand over germination and emergence.
    Plants(Box<Plants>),
}

/// Plants wanted, and what makes seeds of them.
#[derive(Clone, Debug)]
pub struct Plants {
    /// Plants wanted.
    pub stand: SeedRate,
    /// Share of seeds that germinate.
    pub germination: Share,
    /// Share of those that come up.
    pub emergence: Share,
}

/// What the packets need.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// Length of a plot, first seed to last.
    pub plot: Length,
    /// Distance between rows.
    pub row_spacing: Length,
    /// What is wanted on the ground.
    pub rate: Rate,
    /// Plants wanted, where seeds are given too.
    pub stand: Option<SeedRate>,
    /// How far seeds and plants may disagree.
    pub tolerance: Option<Share>,
    /// What one packet plants.
    pub per: Per,
    /// Rows of a plot.
    pub rows_per_plot: Decimal,
    /// Entries of the trial.
    pub entries: Decimal,
    /// Replications.
    pub reps: Decimal,
    /// Ranges, passes and rows of the planter, where all are known.
    pub field: Option<[Decimal; 3]>,
    /// How heavy the seed is.
    pub weight: Option<SeedWeight>,
    /// Share of seeds that germinate.
    pub germination: Option<Share>,
    /// Share of those that come up.
    pub emergence: Option<Share>,
    /// What is packed beyond the need.
    pub reserve: Option<Reserve>,
    /// The step of the balance.
    pub balance_step: Option<Mass>,
    /// Seeds of a row that the plate takes and that end beside the plot, as counted.
    pub fill_plate: Option<Decimal>,
    /// Seeds of a row that are cleaned out, as counted.
    pub cleaned_out: Option<Decimal>,
    /// The changeover, which says what the plate takes where that was not counted.
    pub changeover: Option<Box<changeover::Inputs>>,
    /// The lots, in the order of the sheet.
    pub lots: Vec<Lot>,
}

fn gram() -> Unit {
    Unit::from(MassUnit::Gram)
}

fn thousand() -> Value {
    Value::constant(1000.0)
}

/// Seeds of a row from the first to the last: L / s + 1, since both ends hold one.
///
/// | symbol | meaning | unit |
/// |---|---|---|
/// | L | plot, first seed to last | length |
/// | s | seed spacing | length |
///
/// Source: counting; five seeds have four spacings between them. The changeover's model gives
/// the same: a plot runs from the first to the last cell that holds its seed.
///
/// ```
/// use alleytrue::calculations::packets::seeds_in_row;
/// use alleytrue::working::Units;
/// use alleytrue::quantity::Length;
/// let plot = Units::US.length("plot", &Length::parse("6 in", None)?);
/// let spacing = Units::US.length("seed spacing", &Length::parse("1.5 in", None)?);
/// assert_eq!(seeds_in_row(&plot, &spacing).number(), 5.0);
/// # Ok::<(), alleytrue::quantity::ParseError>(())
/// ```
#[must_use]
pub fn seeds_in_row(plot: &Value, spacing: &Value) -> Value {
    plot / spacing + Value::constant(1.0)
}

/// Seeds to plant for plants wanted: stand / (germination x emergence).
///
/// ```
/// use alleytrue::calculations::packets::seeds_for_plants;
/// use alleytrue::working::Value;
/// // University of Nebraska CropWatch 2016: 100,000 / (0.95 x 0.85) = 123,839 seeds/ac.
/// let [stand, germination, emergence] = [100_000.0, 0.95, 0.85].map(Value::constant);
/// assert_eq!(seeds_for_plants(&stand, &germination, &emergence).number().round(), 123_839.0);
/// ```
#[must_use]
pub fn seeds_for_plants(stand: &Value, germination: &Value, emergence: &Value) -> Value {
    stand / (germination * emergence)
}

/// Mass of seeds: number x thousand-seed weight / 1000.
///
/// ```
/// use alleytrue::calculations::packets::mass_of;
/// use alleytrue::quantity::{MassUnit, Unit};
/// use alleytrue::working::Value;
/// // Teagasc, spring cereals: 280 plants/m2 of 50.9 g a thousand at 85 % take 168 kg/ha,
/// // which is 16.8 g/m2.
/// let seeds = Value::constant(280.0) / Value::constant(0.85);
/// let weight = Value::exact("thousand-seed weight", 50.9, Unit::from(MassUnit::Gram));
/// assert!((mass_of(&seeds, &weight).number() - 16.8).abs() < 0.05);
/// ```
#[must_use]
pub fn mass_of(seeds: &Value, thousand_seeds: &Value) -> Value {
    seeds * thousand_seeds / thousand()
}

/// Seeds in a mass: mass x 1000 / thousand-seed weight, the way back from [`mass_of`].
///
/// ```
/// use alleytrue::calculations::packets::{mass_of, seeds_in};
/// use alleytrue::quantity::{MassUnit, Unit};
/// use alleytrue::working::Value;
/// let weight = Value::exact("thousand-seed weight", 180.0, Unit::from(MassUnit::Gram));
/// let mass = mass_of(&Value::constant(700.0), &weight);
/// assert_eq!(mass.number(), 126.0);
/// assert_eq!(seeds_in(&mass, &weight).number(), 700.0);
/// ```
#[must_use]
pub fn seeds_in(mass: &Value, thousand_seeds: &Value) -> Value {
    mass * thousand() / thousand_seeds
}

/// Mass of a thousand seeds, as given or as 1000 / seeds in a gram.
fn thousand_seeds(of: &str, weight: &SeedWeight) -> Value {
    let name = format!("{of}thousand-seed weight");
    match weight {
        SeedWeight::Thousand(mass) => Value::measured(name, mass, gram()),
        SeedWeight::Count(count) => {
            let seeds = Value::measured(format!("{of}seeds in a gram"), count, gram().to_the(-1));
            (thousand() / seeds.counting("seeds")).named(name)
        }
    }
}

fn share(name: impl Into<std::borrow::Cow<'static, str>>, share: &Share) -> Value {
    Value::measured(name, share, Unit::ONE)
}

/// Seeds of a row that the plate takes beyond those of the plot, by the changeover's timers.
///
/// From trip to trip the plate turns (plot + alley) / s cells at ground rate and
/// (r_b - r_g) x T_f more under boost; q(T_c + t_p) - q(t_e) of them pass pick-up empty. What is
/// left takes a seed each. The seeds between pick-up and release at the trip (the carry) are
/// among them and no loss: they finish the plot during the run-out. So what goes beyond
/// L / s + 1 was swept off, bunched at a plot's end, or planted into an alley that is too
/// narrow. Nothing where the plate takes fewer.
///
/// Source: the model of the changeover, which is the project's own.
fn beyond_plot(
    inputs: &changeover::Inputs,
    common: &Common,
    plot: &Value,
    spacing: &Value,
    in_row: &Value,
) -> Option<Value> {
    let name = "seeds of a row beyond the plot";
    let timers = inputs.timers(common)?;
    let motion = Motion::of(&timers);
    let arrives =
        (&timers.clean_out + &timers.new_seed_at_pick_up).named("new seed reaches pick-up");
    let new_start = motion.cells_at(arrives).named("cells past pick-up when new seed reaches it");
    let old_end = motion
        .cells_at(timers.old_seed_gone.clone())
        .named("cells past pick-up when the old seed is gone");
    let empty = (new_start - old_end).named("cells that pass pick-up empty");
    let trip = (plot + common.units.length("alley", &inputs.alley)).named("trip spacing");
    let boosted = (&motion.boost - &motion.ground) * &timers.fill;
    let turned = (trip / spacing + boosted).named("cells from trip to trip");
    let taken = (turned - empty).named("seeds that a row's plate takes");
    let beyond = taken - in_row;
    Some(if beyond.number() > 0.0 {
        beyond.named(name)
    } else {
        Value::found(name, 0.0, Unit::ONE, "none: by its timers the plate takes no more")
    })
}

/// What one packet holds.
struct Packet {
    seeds: Value,
    /// Rows that it plants.
    rows: Value,
    /// Packets of a plot.
    to_plot: Value,
    rows_per_plot: Value,
}

impl Packet {
    fn of(inputs: &Inputs, common: &Common, ground: &Ground) -> Packet {
        let plot = common.units.length("plot", &inputs.plot);
        let in_row = seeds_in_row(&plot, &ground.spacing).named("seeds of a row in the plot");
        let beyond = match (&inputs.fill_plate, &inputs.changeover) {
            (Some(counted), _) => {
                Some(Value::typed("seeds of a row beyond the plot", *counted, Unit::ONE))
            }
            (None, Some(changeover)) => {
                beyond_plot(changeover, common, &plot, &ground.spacing, &in_row)
            }
            (None, None) => None,
        };
        let cleaned = inputs
            .cleaned_out
            .map(|counted| Value::typed("seeds of a row that are cleaned out", counted, Unit::ONE));
        let losses = [beyond, cleaned].into_iter().flatten();
        let need = losses.fold(in_row, |sum, loss| sum + loss);
        let need = match &inputs.reserve {
            Some(Reserve::Share(part)) => {
                let need = if need.name().is_some() { need } else { need.named("seeds of a row") };
                need * (Value::constant(1.0) + share("reserve", part))
            }
            _ => need,
        };
        let need = need.named("seeds that a row takes");
        let rows_per_plot = Value::typed("rows of a plot", inputs.rows_per_plot, Unit::ONE);
        let one = |name: &'static str, why| Value::found(name, 1.0, Unit::ONE, why);
        let (rows, to_plot) = match inputs.per {
            Per::Plot => {
                let one = one("packets of a plot", "one for the whole plot");
                (rows_per_plot.clone(), one)
            }
            Per::Row => {
                let one = one("rows of a packet", "one for each row");
                (one, rows_per_plot.clone())
            }
        };
        let whole = &rows * need.rounded_up();
        let seeds = match &inputs.reserve {
            Some(Reserve::Seeds(more)) => {
                whole + Value::typed("reserve of a packet", *more, Unit::ONE).counting("seeds")
            }
            _ => whole,
        };
        Packet { seeds: seeds.named_as("seeds of a packet", "seeds"), rows, to_plot, rows_per_plot }
    }

    /// Mass of a packet of this seed, on the step of the balance where there is one.
    fn mass(&self, of: &str, thousand_seeds: &Value, inputs: &Inputs) -> Value {
        let exact = mass_of(&self.seeds, thousand_seeds);
        let Some(step) = &inputs.balance_step else {
            return exact.named(format!("{of}mass of a packet"));
        };
        let exact = exact.named(format!("{of}mass of its seeds"));
        let step = Value::measured("step of the balance", step, gram());
        let steps = (exact / &step).named(format!("{of}steps of the balance"));
        (steps.rounded_up() * step).named(format!("{of}mass of a packet"))
    }
}

/// Seeds and packets of the trial and its parts.
struct Totals {
    plot: Value,
    entry: Value,
    rep: Value,
    trial: Value,
    packets_of_entry: Value,
    packets_of_rep: Value,
    packets: Value,
    entries: Value,
    reps: Value,
}

impl Totals {
    fn of(inputs: &Inputs, packet: &Packet) -> Totals {
        let entries = Value::typed("entries", inputs.entries, Unit::ONE);
        let reps = Value::typed("reps", inputs.reps, Unit::ONE);
        let seeds = |value: Value, name: &'static str| value.named_as(name, "seeds");
        let plot = seeds(&packet.seeds * &packet.to_plot, "seeds of a plot");
        let entry = seeds(&plot * &reps, "seeds of an entry");
        let rep = seeds(&plot * &entries, "seeds of a rep");
        let packets_of_rep = (&packet.to_plot * &entries).named("packets of a rep");
        Totals {
            trial: seeds(&rep * &reps, "seeds of the trial"),
            packets: (&packets_of_rep * &reps).named("packets of the trial"),
            packets_of_entry: (&packet.to_plot * &reps).named("packets of an entry"),
            packets_of_rep,
            plot,
            entry,
            rep,
            entries,
            reps,
        }
    }

    /// Mass of a rep: the packets of the lots that weigh by their own seed, and of the other
    /// entries.
    fn mass_of_rep(
        &self,
        stocks: &[Stock<'_>],
        common: Option<&Value>,
        packet: &Packet,
    ) -> Option<Value> {
        let own = stocks.iter().filter(|stock| stock.lot.weight.is_some());
        let own: Vec<Value> = own.filter_map(|stock| stock.mass.clone()).collect();
        let count = own.len();
        let own = all_together(own);
        let others = if count == 0 {
            self.entries.clone()
        } else {
            (&self.entries - readings::count(count)).named("entries of the common seed")
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
}

/// The packets of all lots, one each: in parts where they are too many for one line.
fn all_together(masses: Vec<Value>) -> Option<Value> {
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

/// The packets of a trial, what it takes in all, and the lots that fall short.
#[must_use]
pub fn pack(inputs: &Inputs, common: &Common) -> Outcome {
    let mut outcome = Outcome::new(CALCULATION);
    let ground = Ground::of(inputs, common);
    let packet = Packet::of(inputs, common, &ground);
    let totals = Totals::of(inputs, &packet);
    let mass =
        inputs.weight.as_ref().map(|weight| packet.mass("", &thousand_seeds("", weight), inputs));
    let stocks: Vec<Stock<'_>> =
        inputs.lots.iter().map(|lot| Stock::of(lot, inputs, common, &packet, &totals)).collect();
    let rep = totals.mass_of_rep(&stocks, mass.as_ref(), &packet);
    let trial = rep.as_ref().map(|rep| (rep * &totals.reps).named("mass of the trial"));
    outcome.values.push(packet.seeds.clone());
    outcome.values.extend(mass.clone());
    outcome.values.extend(
        [&totals.plot, &totals.entry, &totals.rep, &totals.trial, &totals.packets]
            .map(Value::clone),
    );
    outcome.values.extend(trial.as_ref().map(|trial| in_store(trial, &common.units)));
    if inputs.cleaned_out.is_none() {
        outcome.warnings.push(NO_CLEANED_OUT.with(
            "the packets hold nothing for what a changeover cleans out of the meter; count it \
             once over a tray and add `cleaned-out` to [packets]",
        ));
    }
    stand(inputs, &ground, &mut outcome);
    plots(inputs, &packet, &totals, &mut outcome);
    for short in stocks.iter().filter_map(|stock| stock.short.as_ref()) {
        outcome.values.push(short.seeds.clone());
        outcome.values.extend(short.mass.clone());
    }
    let places = places(inputs.balance_step.as_ref());
    let masses = [mass.as_ref(), rep.as_ref(), trial.as_ref()];
    outcome.tables.push(totals_table(inputs, &packet, &totals, masses, places));
    if !stocks.is_empty() {
        outcome.tables.push(Table {
            key: "lots",
            title: "Lots".into(),
            columns: lot_columns(),
            rows: stocks.iter().map(|stock| stock.row(&packet, places)).collect(),
        });
    }
    outcome.next = Some(in_short(&ground, &packet, &totals, mass.as_ref(), &stocks, inputs));
    fall_short(&stocks, &mut outcome);
    outcome.cautions = CAUTIONS.to_vec();
    outcome
}

/// A mass as seed is bought: pounds or kilograms.
fn in_store(mass: &Value, units: &Units) -> Value {
    let unit = match units.length {
        LengthUnit::Inch | LengthUnit::Foot | LengthUnit::Yard | LengthUnit::Mile => {
            MassUnit::Pound
        }
        _ => MassUnit::Kilogram,
    };
    mass.in_unit(unit.into()).named("seed for the trial")
}

/// Plots of the field against those of the trial.
fn plots(inputs: &Inputs, packet: &Packet, totals: &Totals, outcome: &mut Outcome) {
    let Some([ranges, passes, rows]) = inputs.field else { return };
    // Plots wider or narrower than a pass by part of one are for the stake table to say.
    let abreast = rows.value() / inputs.rows_per_plot.value();
    if abreast < 1.0 || abreast.fract() != 0.0 {
        return;
    }
    let value = |name, number| Value::typed(name, number, Unit::ONE);
    let abreast = stakes::plots_abreast(&value("rows of the planter", rows), &packet.rows_per_plot);
    let field = stakes::plots(&value("ranges", ranges), &value("passes", passes), &abreast);
    let trial = stakes::plots_needed(&totals.entries, &totals.reps);
    let left = stakes::left_to_fill(&field, &trial);
    if left.number() < 0.0 {
        outcome.warnings.push(TOO_FEW_PLOTS.with(format!(
            "the field has {} plots, entries and reps need {}",
            brief_whole(&field),
            brief_whole(&trial)
        )));
    }
    outcome.values.push(left);
}

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "packets",
    about: "Seed packets: how many seeds and grams, and which lots fall short",
    lacks: "[packets]",
    advice: "add a line [packets], which may stand empty; `entries`, `reps` and `plot` stand in [trial]",
    has_readings: false,
    tolerances: &[],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        Ok(vec![pack(self, common)])
    }

    /// It takes no turn: nothing on the planter rests on it.
    fn in_order(&self, _common: &Common, _so_far: &mut SoFar) -> Result<(), SearchError> {
        Ok(())
    }
}
