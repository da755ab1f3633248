//! Days as they are typed, and today.

use crate::render::harmless;

/// A day as TOML has it.
pub(super) fn day(text: &str) -> Result<String, String> {
    let day: Result<jiff::civil::Date, _> = text.trim().parse();
    let plain = |day: &jiff::civil::Date| day.to_string() == text.trim();
    day.ok().filter(plain).map(|day| day.to_string()).ok_or_else(|| {
        format!("`{}` is no date; write year, month and day, such as 2027-04-18", harmless(text))
    })
}

/// Today by the clock and the time zone of this machine.
pub(super) fn today() -> String {
    jiff::ZonedDateTime::now().date().to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_days() {
        assert_eq!(day("2027-04-18").as_deref(), Ok("2027-04-18"));
        for wrong in ["2027-02-30", "18.4.2027", "2027-4-18", "20270418", "yesterday", ""] {
            assert!(day(wrong).is_err(), "{wrong}");
        }
    }
}
