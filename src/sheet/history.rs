//! `[[history]]`: what was changed, when, and why.

use toml::de::DeValue;

use crate::outcome::setting::{SETTINGS_OF_CONTROLLER, TRIP_SCALE};
use crate::quantity::bounds;
use crate::quantity::{Length, Share, ShareUnit, SpeedUnit, TimeUnit};
use crate::record::operating_point::OperatingPoint;
use crate::record::{Change, Held, Subject, TIMERS};

use super::codes;
use super::operating_point::{self, day};
use super::reader::{Item, Reader, Section, length, list, measure, number, text, whole};

/// One change, where it could be read.
pub(super) type Table = Option<Change>;

pub(super) fn read(reader: &mut Reader<'_>, table: &mut Section<'_>) -> Table {
    let date = table.required(reader, "date", "2027-04-18", day);
    let setting = table.required(reader, "setting", "\"setback\"", setting);
    let mut value = |key| table.required(reader, key, "\"15 in\"", held(setting));
    let (from, to) = (value("from"), value("to"));
    let error = table.optional(reader, "error", error);
    let reason = table.optional(reader, "reason", text);
    let runs = table.optional(reader, "runs", list(text));
    let speed = table.optional(reader, "speed", measure::<SpeedUnit>(&bounds::SPEED));
    let point = OperatingPoint { speed, ..operating_point::read(reader, table) };
    Some(Change {
        date: date?,
        setting: setting?,
        from: from?,
        to: to?,
        error,
        reason,
        runs: runs.unwrap_or_default(),
        point,
    })
}

fn setting(reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<Subject> {
    let typed = text(reader, item)?;
    let found = Subject::of_key(&typed);
    if found.is_none() {
        let keys = SETTINGS_OF_CONTROLLER.iter().chain(&TIMERS).map(|setting| setting.key);
        let allowed = format!(
            "{}, chain-1-driving, chain-1-driven and so on",
            keys.collect::<Vec<_>>().join(", ")
        );
        let message = format!("`setting` can't be `{typed}`");
        let advice = "write the key of the setting that was changed";
        reader.say(&codes::UNKNOWN_WORD, item.span(), message, advice).allowed = Some(allowed);
    }
    found
}

/// What a setting held, by what it is; anything a setting can hold where that is not known.
fn held(setting: Option<Subject>) -> impl super::reader::Read<Held> {
    move |reader, item| match setting {
        Some(Subject::Sprocket { .. }) => {
            let teeth = whole(&bounds::TEETH)(reader, item)?;
            Some(Held { text: teeth.to_string(), base: f64::from(teeth) })
        }
        Some(Subject::Held(setting)) if *setting == TRIP_SCALE => {
            let scale = number(&bounds::SCALE)(reader, item)?;
            Some(Held { text: scale.to_string(), base: scale.value() })
        }
        Some(Subject::Held(setting)) if SETTINGS_OF_CONTROLLER.contains(&setting) => {
            let length = length(&bounds::SETTING_LENGTH)(reader, item)?;
            Some(Held { text: length.to_string(), base: length.base() })
        }
        Some(Subject::Held(_)) => {
            let time = measure::<TimeUnit>(&bounds::TIMER)(reader, item)?;
            Some(Held { text: time.to_string(), base: time.base() })
        }
        None if reader.is_asking() => {
            whole(&bounds::TEETH)(reader, item);
            number(&bounds::SCALE)(reader, item);
            length(&bounds::SETTING_LENGTH)(reader, item);
            measure::<TimeUnit>(&bounds::TIMER)(reader, item);
            None
        }
        None => {
            if !matches!(
                item.value.get_ref(),
                DeValue::String(_) | DeValue::Integer(_) | DeValue::Float(_)
            ) {
                let example = "what the setting was, such as \"15 in\" or 352.27";
                reader.wrong_type(item, "a number or a text", example);
            }
            None
        }
    }
}

/// The error before the change: a length, or a share.
fn error(reader: &mut Reader<'_>, item: Item<'_, '_>) -> Option<Held> {
    if reader.is_asking() {
        measure::<ShareUnit>(&bounds::SHARE)(reader, item);
    }
    if let DeValue::String(typed) = item.value.get_ref()
        && let Ok(share) = Share::parse(typed, None)
    {
        return Some(Held { text: share.to_string(), base: share.base() });
    }
    let length: Length = length(&bounds::LEAD)(reader, item)?;
    Some(Held { text: length.to_string(), base: length.base() })
}
