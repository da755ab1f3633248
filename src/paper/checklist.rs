//! The checklist: the trade's general practice, ordered so that each step rests on the one
//! before. Numbers come from the sheet, and items that the sheet has no use for are left out.
//!
//! Where an item names no source it is common practice, no source. The machine's own manual goes
//! before all of it.

pub use super::part::Part;

use super::facts::Facts;
use crate::outcome::cautions::{
    BLOCK_RAISED, CLEAR_OF_METERS, DRIVEN_BACK, EXHAUST_DUST, HEARING, HYDRAULIC_LEAKS, LEFT_OVER,
    MANUAL_FIRST, NO_AIR, NO_RIDERS, OVER_A_TRAY, OVERHEAD_LINES, POWER_SHAFT, ROLL_BAR, RUN_DOWN,
    SEED_TAG, STOP_FIRST, TURNING_WHEEL, WASH,
};
use crate::outcome::{Caution, Timed};

/// What an item says.
#[derive(Clone, Copy)]
pub enum Says {
    /// Practice in words, with numbers of the sheet; `None` where it does not apply to the sheet.
    Practice(fn(&Facts) -> Option<String>),
    /// A caution; it can't be left out.
    Caution(&'static Caution),
    /// A caution where it applies to the sheet.
    CautionWhere(fn(&Facts) -> bool, &'static Caution),
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
        matches!(self.says, Says::Caution(_) | Says::CautionWhere(..))
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
pub fn list(facts: &Facts) -> Vec<(Part, &'static str, Vec<Entry>)> {
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
    Part::ALL.iter().map(|(_, which, heading)| (*which, *heading, part(*which))).collect()
}

fn entry(item: &Item, facts: &Facts) -> Option<Entry> {
    match item.says {
        Says::Caution(caution) => Some(Entry::Caution(caution)),
        Says::CautionWhere(applies, caution) => applies(facts).then_some(Entry::Caution(caution)),
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

/// The crew's own label of a setting, in brackets where it has one.
fn label(facts: &Facts, key: &str) -> String {
    facts.called(key).map_or_else(String::new, |called| format!(" (\u{201c}{called}\u{201d})"))
}

/// A setting as it has to stand in the controller.
fn stands(facts: &Facts, key: &str, name: &str) -> Option<String> {
    let held = facts.held(key)?;
    Some(format!("{name}{} stands at {held}.", label(facts, key)))
}

items! {
    "manual" Shop always!("The machine's manual is at hand.");
    "caution-manual-first" Shop Says::Caution(&MANUAL_FIRST);
    "caution-stop-first" Shop Says::Caution(&STOP_FIRST);
    "caution-block-raised" Shop Says::Caution(&BLOCK_RAISED);
    "caution-power-shaft" Shop Says::Caution(&POWER_SHAFT);
    "guards" Shop always!("Every guard and shield is on and whole.");
    "shaft-guards" Shop always!("Guards of turning shafts turn freely and are held by their chains.");
    "caution-hydraulic-leaks" Shop Says::Caution(&HYDRAULIC_LEAKS);
    "hoses" Shop always!("Hoses and fittings looked over; worn ones changed.");
    "cables" Shop always!("Cables tied away from what moves.");
    "grease" Shop always!("Greased and oiled where the manual says.");
    "bolts" Shop always!("Bolts of frame and row units tight.");
    "tyres" Shop where_it!(|f| f.has.drive || f.has.trip_scale || !f.has.anything, "Tyres at the pressure of the manual, both sides alike. Drive wheel: ________");
    "row-spacing" Shop where_it!(|f| f.row_spacing.is_some(), "Row spacing taped from opener to opener, in front and behind: {} rows, {} apart.", or_blank(&f.rows), or_blank(&f.row_spacing));
    "openers" Shop always!("Openers, gauge wheels and closing wheels: worn parts changed.");
    "level" Shop always!("Every row at one depth on a level floor.");
    "chains" Shop where_it!(|f| !f.sprockets.is_empty(), "Chains: links, line and slack right, tensioners move freely.");
    "sprockets" Shop Says::Practice(|f| f.fitted().map(|fitted| format!("Teeth counted, driving/driven from wheel to plate: {fitted}.")));
    "plates" Shop where_it!(|f| f.cells.is_some(), "Seed plates: {} cells in each, flat, clean, no cell chipped or blocked.", or_blank(&f.cells));
    "meters" Shop where_it!(|f| f.has.plate || !f.has.anything, "Meters turn by hand without rubbing, all rows feel alike.");
    "brushes" Shop where_it!(|f| f.has.plate || !f.has.anything, "Brushes and wipers of the meters are not worn.");
    "tubes" Shop always!("Seed tubes clean, whole and at the same height in every row.");
    "caution-no-air" Shop Says::Caution(&NO_AIR);
    "caution-clear-of-meters" Shop Says::Caution(&CLEAR_OF_METERS);
    "caution-over-a-tray" Shop Says::Caution(&OVER_A_TRAY);
    "shop-changeover" Shop where_it!(|f| f.has.changeover, "Changeover run with the planter standing, in every row; timed: old seed gone ______ s, new seed at pick-up ______ s, largest lot fallen ______ s.");
    "sweep" Shop where_it!(|f| f.has.sweep, "Sweep reaches the plate in every row.");
    "sweep-cells" Shop where_it!(|f| f.has.sweep, "Cells from sweep to release counted: ______");
    "controller" Shop always!("All settings of the controller written down before the first one is changed.");
    "tools" Shop always!("In the box: tape, flags, stopwatch, scale, pens, run forms, calculator, spare chain links.");

    "caution-roll-bar" StartUp Says::Caution(&ROLL_BAR);
    "caution-overhead-lines" StartUp Says::Caution(&OVERHEAD_LINES);
    "caution-hearing" StartUp Says::Caution(&HEARING);
    "caution-exhaust-dust" StartUp Says::Caution(&EXHAUST_DUST);
    "order-on" StartUp always!("Switched on in the order of the manual.");
    "hitched" StartUp always!("Hitched and pinned, supports up, frame level.");
    "clear" StartUp always!("Hoses and cables clear of what turns.");
    "signal" StartUp always!("Everybody clear and answering the signal, then start.");
    "idle" StartUp always!("Each drive run empty once; starts, stops, sounds right.");
    "card" StartUp always!("The newest cab card is in the cab, older ones torn up.");

    "caution-seed-tag" SettingUp Says::Caution(&SEED_TAG);
    "trip-scale" SettingUp Says::Practice(|f| stands(f, "trip-scale", "Trip scale"));
    "setback" SettingUp Says::Practice(|f| stands(f, "setback", "Setback"));
    "pass-offset" SettingUp Says::Practice(|f| stands(f, "pass-offset", "Pass offset"));
    "timers" SettingUp Says::Practice(|f| {
        let timed = f.settings.iter().filter(|holding| Timed::of_key(&holding.key).is_some());
        let held: Vec<String> = timed.map(|holding| format!("{} {}", holding.name, holding.held)).collect();
        (!held.is_empty()).then(|| format!("Timers stand at: {}.", held.join(", ")))
    });
    "boost" SettingUp Says::Practice(|f| f.boost.as_ref().map(|boost| format!("Boost is at {boost}.")));
    "spacing" SettingUp Says::Practice(|f| f.seeds.as_ref().map(|(name, text)| format!("Sprockets and plates are those for a {name} of {text}.")));
    "gear" SettingUp Says::Practice(|f| f.speed.as_ref().map(|speed| format!("Gear and throttle for {speed}: ________________")));
    "marks" SettingUp where_it!(|f| f.plot.is_some() && f.alley.is_some(), "Marks stand straight across the field, one plot and one alley apart: {} and {}.", or_blank(&f.plot), or_blank(&f.alley));
    "depth" SettingUp always!("Seed dug up in every row: same depth, soil closed over it.");
    "empty" SettingUp always!("Holders and meters are empty.");
    "filler" SettingUp always!("Filler seed of the trial's size in the first of them.");
    "other-spacing" SettingUp where_it!(|f| f.other_spacing.is_some(), "Ranges with a trip spacing of their own ({}): given to the controller at their first mark, taken back behind their last, in every pass.", or_blank(&f.other_spacing));

    "caution-no-riders" TestRanges Says::Caution(&NO_RIDERS);
    "caution-turning-wheel" TestRanges Says::Caution(&TURNING_WHEEL);
    "ground" TestRanges always!("Open ground of the trial's kind, worked the same.");
    "loaded" TestRanges always!("Planter loaded as it will be.");
    "test-speed" TestRanges where_it!(|f| f.speed.is_some(), "Ground speed first: a taped course timed at planting gear and throttle ({}).", or_blank(&f.speed));
    "test-wheel" TestRanges where_it!(|f| f.has.drive, "Drive wheel turns counted over a taped course, planter down and loaded.");
    "test-spacing" TestRanges where_it!(|f| f.seeds.is_some(), "Seed dug up along a taped length in every row.");
    "test-changeover" TestRanges where_it!(|f| f.has.changeover, "Changeovers looked at on the ground: lots unmixed, ends not bunched, no strays, width {}.", or_blank(&f.alley));
    "test-rows" TestRanges where_it!(|f| f.has.plate && f.rows.as_deref() != Some("1"), "All rows stop and start together; where not, the form for rows is filled in.");
    "test-trip" TestRanges where_it!(|f| f.has.trip_scale, "Trip scale: readings in the order of the plots, on their form.");
    "test-alley" TestRanges where_it!(|f| f.has.setback && !f.has.one_way, "Alleys against their marks, passes out and home, on their form.");
    "test-alley-one-way" TestRanges where_it!(|f| f.has.setback && f.has.one_way, "Alleys against their marks, two passes out, on their form.");
    "caution-driven-back" TestRanges Says::CautionWhere(|f| f.has.one_way, &DRIVEN_BACK);
    "test-passes" TestRanges where_it!(|f| f.has.pass_offset, "Leads of neighbouring passes, last of all, on their form.");
    "one-change" TestRanges always!("One thing changed at a time, written down, planted and measured again.");
    "typed" TestRanges always!("Forms typed in the same day.");
    "no-seed-before" TestRanges always!("No trial seed before nothing is left to change.");

    "after-speed" AfterChange where_it!(|f| !f.has.speed_law, "Speed changed: timed again; setback, pass offset and timers measured again.");
    "after-speed-law" AfterChange where_it!(|f| f.has.speed_law, "Speed changed: setback from the table on the cab card; timers and pass offset measured again.");
    "after-spacing" AfterChange where_it!(|f| f.seeds.is_some() || !f.has.anything, "Seed spacing or plates changed: spacing dug up again, rows brought together again, alleys taped again.");
    "after-alley" AfterChange where_it!(|f| f.alley.is_some() || !f.has.anything, "Alley or plot changed: the controller's plot and alley, then timers, then setback.");
    "after-boost" AfterChange where_it!(|f| f.has.changeover, "Boost changed: timers first, then setback and pass offset.");
    "after-ground" AfterChange where_it!(|f| f.has.drive || f.has.trip_scale, "Soil, load, tyres or pressure changed: wheel turns and trip scale measured again.");
    "new-card" AfterChange always!("New cab card printed; the old one torn up.");

    "caution-run-down" EndOfDay Says::Caution(&RUN_DOWN);
    "last-plot" EndOfDay always!("Last range and pass planted written down.");
    "emptied" EndOfDay always!("Holders, meters and tubes emptied, each lot by itself.");
    "counted" EndOfDay always!("Bags and packets closed, counted and put away.");
    "caution-left-over" EndOfDay Says::Caution(&LEFT_OVER);
    "caution-wash" EndOfDay Says::Caution(&WASH);
    "parked" EndOfDay always!("Machine lowered or blocked.");
    "order-off" EndOfDay always!("Switched off in the order of the manual, key out.");
    "record" EndOfDay always!("What was changed, by whom and why, is typed in.");
    "tomorrow" EndOfDay always!("Worn, loose and broken things written down.");
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
        let left: Vec<Entry> =
            list(&facts).into_iter().flat_map(|(_, _, entries)| entries).collect();
        assert!(left.iter().all(|entry| matches!(entry, Entry::Caution(_))), "{left:?}");
        let applies = |item: &&Item| match item.says {
            Says::CautionWhere(applies, _) => applies(&facts),
            _ => item.is_caution(),
        };
        let cautions = ITEMS.iter().filter(applies).count();
        assert_eq!(left.len(), cautions);
    }

    #[test]
    fn an_item_of_the_crew_stands_at_the_end_of_its_part_and_of_no_other() {
        let own = Entry::Tick { name: None, text: "Flags counted".into() };
        for (_, part, heading) in Part::ALL {
            let mut facts = Facts::default();
            facts.checklist.add = vec![(*part, "Flags counted".into())];
            for (_, other, entries) in list(&facts) {
                let found = entries.iter().filter(|entry| **entry == own).count();
                assert_eq!(found, usize::from(other == *heading), "{heading}: {other}");
                assert_eq!(entries.last() == Some(&own), other == *heading, "{heading}: {other}");
            }
        }
    }
}
