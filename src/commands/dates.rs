//! Days as they are typed, and today.

use chrono::NaiveDate;

use crate::record::{Change, Record, Run};
use crate::render::{Style, harmless, text};

use super::exit::Exit;
use super::output::complain;

/// A day as TOML has it, of one as people write it: `2027-4-18`, `18 April 2027`, `4/18/2027`.
pub(super) fn day(text: &str) -> Result<String, String> {
    let read = read_day(text.trim()).map_err(|doubt| doubt.words(text))?;
    Ok(read.to_string())
}

/// Why a text is no day.
enum NoDay {
    /// It is none.
    None,
    /// It may be either of two.
    Two(NaiveDate, NaiveDate),
}

impl NoDay {
    fn words(&self, text: &str) -> String {
        let text = harmless(text);
        match self {
            NoDay::None => format!(
                "`{text}` is no date; write year, month and day, such as 2027-04-18, or \
                 18 April 2027"
            ),
            NoDay::Two(one, other) => {
                let long = |day: &NaiveDate| day.format("%-d %B %Y").to_string();
                format!("`{text}` may be {} or {}; write {one} or {other}", long(one), long(other))
            }
        }
    }
}

fn read_day(text: &str) -> Result<NaiveDate, NoDay> {
    let parts: Vec<&str> = text
        .split(|c: char| c.is_whitespace() || "-/.,".contains(c))
        .filter(|part| !part.is_empty())
        .collect();
    let [first, second, third] = parts[..] else { return Err(NoDay::None) };
    let date = |year: &str, month: u32, day: &str| {
        let digits = |text: &str, most: usize| {
            let right = text.len() <= most && text.bytes().all(|byte| byte.is_ascii_digit());
            right.then(|| text.parse::<u32>().ok()).flatten()
        };
        let year = i32::try_from(digits(year, 4).filter(|_| year.len() == 4)?).ok()?;
        NaiveDate::from_ymd_opt(year, month, digits(day, 2)?)
    };
    // An ending such as that of 18th says nothing.
    let bare = |day: &str| day.trim_end_matches(|c: char| "stndrh".contains(c)).to_owned();
    if let Some(month) = month(second) {
        // 18 April 2027, or 2027 April 18.
        let either = date(third, month, &bare(first)).or_else(|| date(first, month, &bare(third)));
        return either.ok_or(NoDay::None);
    }
    if let Some(month) = month(first) {
        return date(third, month, &bare(second)).ok_or(NoDay::None);
    }
    let number = |text: &str| text.parse::<u32>().ok().filter(|_| text.len() <= 2).unwrap_or(0);
    if first.len() == 4 {
        return date(first, number(second), third).ok_or(NoDay::None);
    }
    match (date(third, number(second), first), date(third, number(first), second)) {
        (Some(one), Some(other)) if one != other => Err(NoDay::Two(one, other)),
        (Some(day), _) | (None, Some(day)) => Ok(day),
        (None, None) => Err(NoDay::None),
    }
}

/// The number of a month by its name or the first three letters of it, or more of them.
fn month(name: &str) -> Option<u32> {
    let name = name.to_lowercase();
    let place = MONTHS.iter().position(|month| name.len() >= 3 && month.starts_with(&*name))?;
    u32::try_from(place + 1).ok()
}

const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

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
        for (typed, read) in [
            ("2027-4-18", "2027-04-18"),
            ("2027/4/18", "2027-04-18"),
            ("18.4.2027", "2027-04-18"),
            ("4/18/2027", "2027-04-18"),
            ("18 April 2027", "2027-04-18"),
            ("18 Apr 2027", "2027-04-18"),
            ("April 18, 2027", "2027-04-18"),
            ("18th april 2027", "2027-04-18"),
            ("1st Sept 2027", "2027-09-01"),
            ("5/5/2027", "2027-05-05"),
        ] {
            assert_eq!(day(typed).as_deref(), Ok(read), "{typed}");
        }
        let asked = day("5/1/2027").expect_err("day or month");
        let words =
            "`5/1/2027` may be 5 January 2027 or 1 May 2027; write 2027-01-05 or 2027-05-01";
        assert_eq!(asked, words);
        for wrong in [
            "2027-02-30",
            "18.4.27",
            "32 April 2027",
            "18 M 2027",
            "18 4",
            "13/13/2027",
            "20270418",
            "2027-04-18T07:00:00",
            "18 4 2027 7",
            "yesterday",
            "",
        ] {
            assert!(day(wrong).is_err(), "{wrong}");
        }
    }
}
