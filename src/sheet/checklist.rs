//! `[checklist]`: the crew's own items, and standard items that are left out.

use toml::de::DeValue;

use crate::paper::OwnChecklist;
use crate::paper::checklist::{ITEMS, Part};

use super::codes;
use super::reader::{
    Item, Key, Keys, Names, Needed, Reader, Section, Shape, Takes, Text, list, suggestion, word,
};

pub(super) static KEYS: Keys = Keys {
    name: "checklist",
    meaning: "The crew's own items of the printed checklist.",
    notes: "What `print checklist` adds and leaves out.",
    list: &[&ADD, &LEAVE_OUT],
    ..Keys::ONCE
};

/// `[[checklist.add]]`.
static ADD: Keys = Keys {
    name: "add",
    meaning: "Items of your own, one table each, at the end of their part.",
    example: "[{ part = \"end-of-day\", item = \"Gate locked\" }]",
    list: &[&PART, &ITEM],
    ..Keys::MANY
};

static PART: Key<Part> = Key {
    name: "part",
    takes: &word(PARTS),
    needed: Needed::Always,
    example: "\"shop\"",
    meaning: "Where it belongs.",
};
static ITEM: Key<String> = Key {
    name: "item",
    takes: &Text,
    needed: Needed::Always,
    example: "\"Lights and signs on\"",
    meaning: "What to do.",
};
static LEAVE_OUT: Key<Vec<&'static str>> = Key {
    name: "leave-out",
    takes: &list(StandardItem),
    needed: Needed::No,
    example: "[\"grease\", \"tyres\"]",
    meaning: "Standard items that are not printed, by the names behind them where `print \
              checklist` shows the list as text. Cautions stay.",
};

/// The parts by their words.
const PARTS: &[(&str, Part)] = &[
    ("shop", Part::Shop),
    ("start-up", Part::StartUp),
    ("setting-up", Part::SettingUp),
    ("test-ranges", Part::TestRanges),
    ("after-change", Part::AfterChange),
    ("end-of-day", Part::EndOfDay),
];

/// The table as read.
pub(super) type Table = OwnChecklist;

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    let add = table.tables(reader, &ADD, |reader, item| {
        let (part, what) = (item.read(reader, &PART), item.read(reader, &ITEM));
        part.zip(what)
    });
    let leave_out = table.read(reader, &LEAVE_OUT);
    OwnChecklist {
        add: add.into_iter().flatten().collect(),
        leave_out: leave_out.unwrap_or_default(),
    }
}

/// The name of a standard item that may be left out.
struct StandardItem;

fn names() -> impl Iterator<Item = &'static str> + Clone {
    ITEMS.iter().filter(|known| !known.is_caution()).map(|known| known.name)
}

impl Takes<&'static str> for StandardItem {
    fn read(&self, reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<&'static str> {
        let DeValue::String(found) = item.value.get_ref() else {
            reader.wrong_type(item, "names of items in quotes", "[\"tyres\", \"grease\"]");
            return None;
        };
        let known = ITEMS.iter().find(|known| known.name == found.as_ref());
        match known {
            Some(known) if known.is_caution() => {
                let message = format!("`{found}` is a caution, and those stay");
                let advice = "take it out of `leave-out`; items that are no cautions can go";
                reader.say(&codes::CAUTION_STAYS, item.span(), message, advice).allowed =
                    Some("names of items that are no cautions".into());
                None
            }
            Some(known) => Some(known.name),
            None => {
                let advice = suggestion(found, names()).map_or_else(
                    || "write the name that stands behind the item where `print checklist` shows the list as text".to_owned(),
                    |near| format!("did you mean \"{near}\"?"),
                );
                let message = format!("the checklist has no item `{found}`");
                reader.say(&codes::UNKNOWN_WORD, item.span(), message, advice).allowed =
                    Some(names().collect::<Vec<_>>().join(", "));
                None
            }
        }
    }

    fn shapes(&self) -> Vec<Shape> {
        let noun = "the name of an item";
        vec![Shape::Names(Names { noun, all: names().collect(), and_so_on: false })]
    }
}
