//! `[checklist]`: the crew's own items, and standard items that are left out.

use toml::de::DeValue;

use crate::paper::OwnChecklist;
use crate::paper::checklist::{ITEMS, Part};

use super::codes;
use super::reader::{Item, Reader, Section, Shape, list, suggestion, text, word};

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> OwnChecklist {
    let add = table.tables(reader, "add", |reader, item| {
        let part = item.required(reader, "part", "\"shop\"", word(PARTS));
        let what = item.required(reader, "item", "\"Lights and signs on\"", text);
        part.zip(what)
    });
    let leave_out = table.optional(reader, "leave-out", list(standard_item));
    OwnChecklist {
        add: add.into_iter().flatten().collect(),
        leave_out: leave_out.unwrap_or_default(),
    }
}

/// The parts by their words.
const PARTS: &[(&str, Part)] = &[
    ("shop", Part::Shop),
    ("start-up", Part::StartUp),
    ("setting-up", Part::SettingUp),
    ("test-ranges", Part::TestRanges),
    ("after-change", Part::AfterChange),
    ("end-of-day", Part::EndOfDay),
];

/// The name of a standard item that may be left out.
fn standard_item(reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<&'static str> {
    let names = || ITEMS.iter().filter(|known| !known.is_caution()).map(|known| known.name);
    if reader.only_asks(|| Shape::Words(names().collect())) {
        return None;
    }
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
                || "write the name that stands behind the item on the printed list".to_owned(),
                |near| format!("did you mean \"{near}\"?"),
            );
            let message = format!("the checklist has no item `{found}`");
            reader.say(&codes::UNKNOWN_WORD, item.span(), message, advice).allowed =
                Some(names().collect::<Vec<_>>().join(", "));
            None
        }
    }
}
