//! The checklist: the trade's general practice, ordered so that each step rests on the one
//! before. Numbers come from the sheet, and items that the sheet has no use for are left out.
//!
//! Where an item names no source it is common practice, no source. The machine's own manual goes
//! before all of it.

pub use super::part::Part;

use super::facts::Facts;
use crate::outcome::Caution;
use crate::outcome::cautions::{
    BLOCK_RAISED, CLEAR_OF_METERS, HYDRAULIC_LEAKS, MANUAL_FIRST, NO_RIDERS, ROLL_BAR, SEED_TAG,
    STOP_FIRST, WASH,
};

/// What an item says.
#[derive(Clone, Copy)]
pub enum Says {
    /// Practice in words, with numbers of the sheet; `None` where it does not apply to the sheet.
    Practice(fn(&Facts) -> Option<String>),
    /// A caution; it can't be left out.
    Caution(&'static Caution),
}

/// An item of the standard list.
pub struct Item {
    /// Stable name, for `leave-out` in the sheet.
    pub name: &'static str,
    /// Where it belongs.
    pub part: Part,
    /// What it says.
    pub says: Says,
}

impl Item {
    /// Whether it is a caution.
    #[must_use]
    pub fn is_caution(&self) -> bool {
        matches!(self.says, Says::Caution(_))
    }
}

/// An item of a finished list.
#[derive(Clone, Debug, PartialEq)]
pub enum Entry {
    /// Something to do and to tick.
    Tick {
        /// Name of a standard item; none for one of the crew's own.
        name: Option<&'static str>,
        /// What to do.
        text: String,
    },
    /// A caution.
    Caution(&'static Caution),
}

/// The list for a sheet, part by part; the crew's own items stand at the end of their parts.
#[must_use]
pub fn list(facts: &Facts) -> Vec<(&'static str, Vec<Entry>)> {
    let part = |part: Part| -> Vec<Entry> {
        let own = facts.checklist.add.iter().filter(|(own, _)| *own == part);
        let own = own.map(|(_, text)| Entry::Tick { name: None, text: text.clone() });
        ITEMS
            .iter()
            .filter(|item| item.part == part)
            .filter_map(|item| entry(item, facts))
            .chain(own)
            .collect()
    };
    Part::ALL.iter().map(|(_, which, heading)| (*heading, part(*which))).collect()
}

fn entry(item: &Item, facts: &Facts) -> Option<Entry> {
    match item.says {
        Says::Caution(caution) => Some(Entry::Caution(caution)),
        Says::Practice(_) if facts.checklist.leave_out.contains(&item.name) => None,
        Says::Practice(words) => {
            words(facts).map(|text| Entry::Tick { name: Some(item.name), text })
        }
    }
}

/// Text that always applies.
macro_rules! always {
    ($text:literal) => {
        Says::Practice(|_| Some($text.into()))
    };
}

/// Text that applies where the sheet has something.
macro_rules! where_it {
    (|$facts:ident| $has:expr, $($text:tt)+) => {
        Says::Practice(|$facts| { let has: bool = $has; has.then(|| format!($($text)+)) })
    };
}

macro_rules! items {
    ($($name:literal $part:ident $says:expr;)+) => {
        /// The standard list, in order.
        pub static ITEMS: &[Item] = &[$(Item { name: $name, part: Part::$part, says: $says }),+];
    };
}

/// A value of the sheet, or a word for its being missing.
fn or_blank(text: &Option<String>) -> &str {
    text.as_deref().unwrap_or("________")
}

items! {
    "manual" Shop always!("The machine's manual, last season's cab card and field sheet, and this list are at hand.");
    "caution-stop-first" Shop Says::Caution(&STOP_FIRST);
    "caution-block-raised" Shop Says::Caution(&BLOCK_RAISED);
    "guards" Shop always!("Every guard and shield is on and whole; guards of turning shafts turn freely.");
    "caution-hydraulic-leaks" Shop Says::Caution(&HYDRAULIC_LEAKS);
    "hoses" Shop always!("Hoses, fittings and cables looked over; worn ones changed, loose ones tied away from what moves.");
    "grease" Shop always!("Greased and oiled where the manual says; bolts of frame and row units checked.");
    "tyres" Shop where_it!(|f| f.has.drive || f.has.trip_scale || !f.has.anything, "Tyres at the pressure of the manual, both sides alike. Drive wheel: ________");
    "row-spacing" Shop where_it!(|f| f.row_spacing.is_some(), "Row spacing taped from opener to opener, in front and behind: {} rows, {} apart.", or_blank(&f.rows), or_blank(&f.row_spacing));
    "openers" Shop always!("Openers, gauge wheels and closing wheels: worn parts changed, every row at one depth on a level floor.");
    "chains" Shop where_it!(|f| !f.sprockets.is_empty(), "Chains and sprockets: teeth, links, line and slack of every chain; tensioners move freely.");
    "sprockets" Shop Says::Practice(|f| f.fitted().map(|fitted| format!("Sprockets counted, driving/driven from wheel to plate; the sheet says {fitted}.")));
    "plates" Shop where_it!(|f| f.cells.is_some(), "Seed plates: {} cells in each, flat, clean, no cell chipped or blocked.", or_blank(&f.cells));
    "meters" Shop where_it!(|f| f.has.plate || !f.has.anything, "Meters turn by hand without rubbing, brushes and wipers are not worn, all rows feel alike.");
    "tubes" Shop always!("Seed tubes clean, whole and at the same height in every row.");
    "caution-clear-of-meters" Shop Says::Caution(&CLEAR_OF_METERS);
    "shop-changeover" Shop where_it!(|f| f.has.changeover, "Changeover run with the planter standing, in every row; timed: old seed gone ______ s, new seed at pick-up ______ s, largest lot fallen ______ s.");
    "sweep" Shop where_it!(|f| f.has.sweep, "Sweep reaches the plate in every row; cells from sweep to release counted.");
    "controller" Shop always!("All settings of the controller written down before the first one is changed.");
    "tools" Shop always!("In the box: tape, flags, stopwatch, scale, pencils, run forms, calculator, spare chain links.");

    "caution-manual-first" StartUp Says::Caution(&MANUAL_FIRST);
    "order-on" StartUp always!("Order of switching on, copied from the machine's manual: __________________________________________________");
    "order-off" StartUp always!("Order of switching off, copied from the machine's manual: __________________________________________________");
    "caution-roll-bar" StartUp Says::Caution(&ROLL_BAR);
    "hitched" StartUp always!("Hitched and pinned, supports up, frame level; hoses and cables clear of what turns.");
    "signal" StartUp always!("Everybody seen and clear of the machine, signal given and answered, then start.");
    "idle" StartUp always!("Each drive run empty once; it starts, stops and sounds as it should.");

    "card" SettingUp always!("Cab card of this sheet and this date is in the cab; older cards are torn up.");
    "caution-seed-tag" SettingUp Says::Caution(&SEED_TAG);
    "trip-scale" SettingUp Says::Practice(|f| f.held("trip-scale").map(|held| format!("Trip scale in the controller is the one in the sheet: {held}.")));
    "setback" SettingUp Says::Practice(|f| f.held("setback").map(|held| format!("Setback is the one in the sheet: {held}.")));
    "pass-offset" SettingUp Says::Practice(|f| f.held("pass-offset").map(|held| format!("Pass offset is the one in the sheet: {held}.")));
    "timers" SettingUp Says::Practice(|f| {
        let timers = ["hand-over", "clean-out", "run-out", "fill"];
        let held: Vec<String> = timers.iter().filter_map(|key| f.held(key).map(|held| format!("{key} {held}"))).collect();
        (!held.is_empty()).then(|| format!("Timers are those in the sheet: {}.", held.join(", ")))
    });
    "boost" SettingUp Says::Practice(|f| f.boost.as_ref().map(|boost| format!("Boost is at {boost}.")));
    "spacing" SettingUp Says::Practice(|f| f.seeds.as_ref().map(|(name, text)| format!("Sprockets and plates are those for a {name} of {text}.")));
    "gear" SettingUp Says::Practice(|f| f.speed.as_ref().map(|speed| format!("Gear and throttle for {speed} found and written down: ________________")));
    "marks" SettingUp where_it!(|f| f.plot.is_some() && f.alley.is_some(), "Marks stand straight across the field, one plot and one alley apart: {} and {}.", or_blank(&f.plot), or_blank(&f.alley));
    "depth" SettingUp always!("Seed dug up in every row: same depth, soil closed over it.");
    "empty" SettingUp always!("Holders and meters empty; filler seed of the trial's size in the first of them.");

    "caution-no-riders" TestRanges Says::Caution(&NO_RIDERS);
    "ground" TestRanges always!("Open ground of the trial's kind, worked the same; planter loaded as it will be.");
    "test-speed" TestRanges where_it!(|f| f.speed.is_some(), "Ground speed first: a taped course timed at planting gear and throttle ({}).", or_blank(&f.speed));
    "test-wheel" TestRanges where_it!(|f| f.has.drive, "Drive wheel turns counted over a taped course, planter down and loaded.");
    "test-spacing" TestRanges where_it!(|f| f.seeds.is_some(), "Seed dug up along a taped length in every row; spacing held against the sheet.");
    "test-changeover" TestRanges where_it!(|f| f.has.changeover, "Changeovers looked at on the ground: lots unmixed, ends not bunched, no strays, width {}.", or_blank(&f.alley));
    "test-rows" TestRanges where_it!(|f| f.has.plate && f.rows.as_deref() != Some("1"), "All rows stop and start together; if not, run form for rows.");
    "test-trip" TestRanges where_it!(|f| f.has.trip_scale, "Trip scale: readings in the order of the plots, on the run form.");
    "test-alley" TestRanges where_it!(|f| f.has.setback, "Alleys against their marks, passes out and home, on the run form.");
    "test-passes" TestRanges where_it!(|f| f.has.pass_offset, "Leads of neighbouring passes, last of all, on the run form.");
    "one-change" TestRanges always!("One thing changed at a time, written down, planted and measured again.");
    "typed" TestRanges always!("Run forms typed into the sheet the same day; no trial seed before nothing is left to change.");

    "after-speed" AfterChange where_it!(|f| !f.has.speed_law, "Speed changed: timed again; setback, pass offset and timers measured again.");
    "after-speed-law" AfterChange where_it!(|f| f.has.speed_law, "Speed changed: setback from the table on the cab card; timers and pass offset measured again.");
    "after-spacing" AfterChange where_it!(|f| f.seeds.is_some() || !f.has.anything, "Seed spacing or plates changed: spacing dug up again, rows brought together again, alleys taped again.");
    "after-alley" AfterChange where_it!(|f| f.alley.is_some() || !f.has.anything, "Alley or plot changed: the controller's plot and alley, then timers, then setback.");
    "after-boost" AfterChange where_it!(|f| f.has.changeover, "Boost changed: timers first, then setback and pass offset.");
    "after-ground" AfterChange where_it!(|f| f.has.drive || f.has.trip_scale, "Soil, load, tyres or pressure changed: wheel turns and trip scale measured again.");
    "new-card" AfterChange always!("New cab card printed from the sheet; the old one torn up.");

    "last-plot" EndOfDay always!("Last range and pass planted written down: range ____ pass ____");
    "emptied" EndOfDay always!("Holders, meters and tubes emptied into the bag of their own lot; bags closed, counted and put away.");
    "caution-wash" EndOfDay Says::Caution(&WASH);
    "parked" EndOfDay always!("Machine lowered or blocked, drives off in the order of the manual, engine off, key out.");
    "record" EndOfDay always!("What was changed today, and why, is in the sheet.");
    "tomorrow" EndOfDay always!("Worn, loose and broken things written on the list for tomorrow.");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_and_cautions_are_named_so() {
        let mut names: Vec<&str> = ITEMS.iter().map(|item| item.name).collect();
        names.sort_unstable();
        let count = names.len();
        names.dedup();
        assert_eq!(names.len(), count);
        for item in ITEMS {
            assert_eq!(item.is_caution(), item.name.starts_with("caution-"), "{}", item.name);
        }
    }

    #[test]
    fn a_caution_stays_though_it_was_to_be_left_out() {
        let mut facts = Facts::default();
        facts.checklist.leave_out = ITEMS.iter().map(|item| item.name).collect();
        let left: Vec<Entry> = list(&facts).into_iter().flat_map(|(_, entries)| entries).collect();
        assert!(left.iter().all(|entry| matches!(entry, Entry::Caution(_))), "{left:?}");
        let cautions = ITEMS.iter().filter(|item| item.is_caution()).count();
        assert_eq!(left.len(), cautions);
    }

    #[test]
    fn an_item_of_the_crew_stands_at_the_end_of_its_part_and_of_no_other() {
        let own = Entry::Tick { name: None, text: "Flags counted".into() };
        for (_, part, heading) in Part::ALL {
            let mut facts = Facts::default();
            facts.checklist.add = vec![(*part, "Flags counted".into())];
            for (other, entries) in list(&facts) {
                let found = entries.iter().filter(|entry| **entry == own).count();
                assert_eq!(found, usize::from(other == *heading), "{heading}: {other}");
                assert_eq!(entries.last() == Some(&own), other == *heading, "{heading}: {other}");
            }
        }
    }
}
