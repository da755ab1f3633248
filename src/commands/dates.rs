//! Days as they are typed, and today.

use crate::record::{Change, Record, Run};
use crate::render::{Style, harmless, text};

use super::exit::Exit;
use super::output::complain;

/// A day as TOML has it.
pub(super) fn day(text: &str) -> Result<String, String> {
    let typed: Result<toml::value::Datetime, _> = text.trim().parse();
    let day = typed.ok().filter(|typed| typed.date.is_some() && typed.time.is_none());
    day.map(|day| day.to_string()).ok_or_else(|| {
        format!("`{}` is no date; write year, month and day, such as 2027-04-18", harmless(text))
    })
}

/// A day that lies before the last run or change of a sheet, in words that ask about it.
pub(super) fn before_the_last(record: &Record, day: &str) -> Option<String> {
    let run = |run: &Run| Some((run.date.clone()?, run.name()));
    let change = |change: &Change| {
        (change.date.clone(), format!("the change of the {}", change.setting.name()))
    };
    let all = record.runs.iter().filter_map(run).chain(record.changes.iter().map(change));
    // Days are written so that the later one is the greater text.
    let (date, what) = all.max_by(|one, other| one.0.cmp(&other.0))?;
    (day < date.as_str()).then(|| format!("{day} lies before {what} in the sheet, of {date}"))
}

/// Refuses what may be meant or a slip, until it is said to be meant.
pub(super) fn ask(words: &str, style: Style) -> Exit {
    let help = "mend the date, or add --yes where it is meant";
    let first = text::hanging("error: ", words, style);
    complain(&format!("{first}\n{}\n", text::hanging("help: ", help, style)));
    Exit::CouldNot
}

/// Today by the clock and the time zone of this machine; where `SOURCE_DATE_EPOCH` is set, the day
/// it names in UTC, so that scripts get the same output another day (reproducible-builds.org,
/// specification of SOURCE_DATE_EPOCH 1.1).
pub(super) fn today() -> String {
    let set = std::env::var(FIXED_CLOCK).ok().and_then(|seconds| seconds.trim().parse().ok());
    let fixed = set.and_then(|seconds| chrono::DateTime::from_timestamp(seconds, 0));
    let now = || chrono::Local::now().date_naive();
    fixed.map_or_else(now, |fixed| fixed.date_naive()).to_string()
}

/// Seconds since the start of 1970 that stand for the clock.
const FIXED_CLOCK: &str = "SOURCE_DATE_EPOCH";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::{FieldSheet, Source, starter};

    /// The runs of the starter sheet are of 2027-04-18.
    #[test]
    fn a_day_before_the_last_one_is_asked_about() {
        let history = "[[history]]\ndate = 2027-04-20\nsetting = \"setback\"\nfrom = \"12 in\"\n\
                       to = \"15 in\"\n";
        let asked = |more: &str, day: &str| {
            let source = Source::new("sheet.toml", &[starter::US, more].concat());
            before_the_last(&FieldSheet::read(&source).expect("a sheet").record, day)
        };
        let words = "2027-04-17 lies before pass-run 1 in the sheet, of 2027-04-18";
        assert_eq!(asked("", "2027-04-17").as_deref(), Some(words));
        assert_eq!(asked("", "2027-04-18"), None);
        let words = "2027-04-19 lies before the change of the setback in the sheet, of 2027-04-20";
        assert_eq!(asked(history, "2027-04-19").as_deref(), Some(words));
        assert_eq!(asked(history, "2027-04-20"), None);
    }

    #[test]
    fn days_are_days() {
        assert_eq!(day("2027-04-18").as_deref(), Ok("2027-04-18"));
        for wrong in [
            "2027-02-30",
            "18.4.2027",
            "2027-4-18",
            "20270418",
            "2027-04-18T07:00:00",
            "yesterday",
            "",
        ] {
            assert!(day(wrong).is_err(), "{wrong}");
        }
    }
}
