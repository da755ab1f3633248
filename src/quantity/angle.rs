//! Angles of the map: latitudes, longitudes and bearings, as people type them.

use super::{ParseError, parse_number};

/// What an angle is for, which says which letters may stand with it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AngleKind {
    /// North of the equator, or south with `S` or a minus sign.
    Latitude,
    /// East of Greenwich, or west with `W` or a minus sign.
    Longitude,
    /// From true north, clockwise.
    Bearing,
}

impl AngleKind {
    /// The letters for positive and negative, in lower case.
    fn letters(self) -> &'static [char] {
        match self {
            AngleKind::Latitude => &['n', 's'],
            AngleKind::Longitude => &['e', 'w'],
            AngleKind::Bearing => &[],
        }
    }

    /// Well-formed examples, for messages.
    #[must_use]
    pub fn examples(self) -> &'static str {
        match self {
            AngleKind::Latitude => "42.0308, \"42.0308 deg\" or \"42 deg 1' 50.9'' N\"",
            AngleKind::Longitude => "-93.6319, \"-93.6319 deg\" or \"93 deg 37' 54.8'' W\"",
            AngleKind::Bearing => "12.5, \"12.5 deg\" or \"12 deg 30'\"",
        }
    }
}

/// An angle in degrees, positive north, east and clockwise.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Angle(f64);

impl Angle {
    /// An angle of so many degrees.
    #[must_use]
    pub const fn of_degrees(degrees: f64) -> Angle {
        Angle(degrees)
    }

    /// The angle in degrees.
    #[must_use]
    pub const fn degrees(self) -> f64 {
        self.0
    }

    /// Reads decimal degrees, or degrees with minutes and seconds, with a sign or a letter.
    ///
    /// # Errors
    ///
    /// A [`ParseError`] that says what stands in the way.
    ///
    /// ```
    /// use alleytrue::quantity::{Angle, AngleKind};
    /// let angle = |text: &str| Angle::parse(text, AngleKind::Longitude).map(Angle::degrees);
    /// assert_eq!(angle("-93.5 deg")?, -93.5);
    /// assert_eq!(angle("93° 30' W")?, -93.5);
    /// assert_eq!(angle("93 deg 30 min 36 sec E")?, 93.51); // 93 + 30/60 + 36/3600
    /// assert!(angle("93.5 N").is_err());
    /// # Ok::<(), alleytrue::quantity::ParseError>(())
    /// ```
    pub fn parse(text: &str, kind: AngleKind) -> Result<Angle, ParseError> {
        let plain = plain(text);
        let (minus, rest) = match plain.strip_prefix('-') {
            Some(rest) => (true, rest.trim_start()),
            None => (false, plain.strip_prefix('+').unwrap_or(&plain).trim_start()),
        };
        let (letter, rest) = hemisphere(rest, kind);
        let degrees = parts(rest)?;
        match letter {
            Some(letter) if minus => Err(ParseError::Parts {
                first: "-".into(),
                found: letter.to_uppercase().to_string(),
            }),
            letter => {
                let negative = minus || letter.is_some_and(|letter| matches!(letter, 's' | 'w'));
                Ok(Angle(if negative { -degrees } else { degrees }))
            }
        }
    }
}

/// Lower case, with typographic signs replaced by those of a keyboard.
fn plain(text: &str) -> String {
    let plain: String = text
        .trim()
        .chars()
        .map(|c| match c {
            '\u{2018}' | '\u{2019}' | '\u{2032}' | '\u{00b4}' | '`' => '\'',
            '\u{201c}' | '\u{201d}' | '\u{2033}' => '"',
            '\u{2010}'..='\u{2015}' | '\u{2212}' => '-',
            '\u{00ba}' => '\u{00b0}',
            c if c.is_whitespace() => ' ',
            c => c.to_ascii_lowercase(),
        })
        .collect();
    plain.replace("''", "\"")
}

/// The letter of a hemisphere before or after the angle, and the rest.
fn hemisphere(text: &str, kind: AngleKind) -> (Option<char>, &str) {
    for letter in kind.letters() {
        if let Some(rest) = text.strip_prefix(*letter) {
            return (Some(*letter), rest.trim_start());
        }
        // A letter that ends a word, such as the s of minutes, is none of these.
        let before = text.strip_suffix(*letter);
        if let Some(rest) = before.filter(|rest| !rest.ends_with(|c: char| c.is_alphabetic())) {
            return (Some(*letter), rest.trim_end());
        }
    }
    (None, text)
}

/// Degrees, minutes and seconds, each with its sign but for a lone number of degrees.
fn parts(text: &str) -> Result<f64, ParseError> {
    const UNITS: [&[&str]; 3] =
        [&["deg", "degree", "degrees", "\u{b0}"], &["min", "'"], &["sec", "\""]];
    const SHARES: [f64; 3] = [1.0, 60.0, 3600.0];
    if text.is_empty() {
        return Err(ParseError::Empty);
    }
    let (mut rest, mut degrees, mut before) = (text, 0.0, None::<(usize, String)>);
    while !rest.is_empty() {
        let is_number = |c: char| c.is_ascii_digit() || c == '.' || c == ',';
        let end = rest.find(|c| !is_number(c)).unwrap_or(rest.len());
        let (digits, after) = rest.split_at(end);
        if digits.is_empty() {
            return Err(ParseError::NotANumber { found: rest.into() });
        }
        let number = parse_number(digits)?.value();
        let after = after.trim_start();
        let end = after.find(|c: char| is_number(c) || c == ' ' || c == '-').unwrap_or(after.len());
        let (unit, next) = after.split_at(end);
        let place = match unit {
            "" if before.is_none() && next.is_empty() => 0,
            "" => return Err(ParseError::NoUnit { found: digits.into() }),
            unit => UNITS
                .iter()
                .position(|spellings| spellings.contains(&unit))
                .ok_or_else(|| ParseError::UnknownUnit { found: unit.into() })?,
        };
        let found = format!("{digits} {unit}");
        if let Some((last, first)) = before.take() {
            let whole_before = !first.contains('.');
            if place <= last || !whole_before || number >= 60.0 {
                return Err(ParseError::Parts { first, found });
            }
        } else if place > 0 {
            return Err(ParseError::Parts { first: "nothing".into(), found });
        }
        degrees += number / SHARES[place];
        before = Some((place, found));
        rest = next.trim_start();
    }
    Ok(degrees)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, kind: AngleKind) -> Result<f64, ParseError> {
        Angle::parse(text, kind).map(Angle::degrees)
    }

    // 37 + 57/60 + 3.7203/3600 = 37.951 033 416 7 (by hand).
    #[test]
    fn every_way_to_write_an_angle_reads_the_same() {
        for text in [
            "-37\u{b0} 57' 3.7203\"",
            "37\u{b0}57\u{2032}3.7203\u{2033}S",
            "S 37 deg 57 min 3.7203 sec",
            "37 degrees 57' 3.7203'' s",
            "\u{2212}37\u{ba}57\u{2019}3.7203\u{201d}",
        ] {
            let found = read(text, AngleKind::Latitude).expect(text);
            approx::assert_abs_diff_eq!(found, -37.951_033_416_7, epsilon = 1e-10);
        }
        assert_eq!(read(" 12.5 ", AngleKind::Bearing), Ok(12.5));
        assert_eq!(read("12\u{b0}30'", AngleKind::Bearing), Ok(12.5));
        assert_eq!(read("-93.25", AngleKind::Longitude), Ok(-93.25));
    }

    #[test]
    fn what_is_no_angle_is_refused() {
        for text in [
            "",
            "north",
            "42,5",
            "42 1 48",
            "42' ",
            "42 deg 61'",
            "42.5 deg 10'",
            "42 deg 10 deg",
            "-42 S",
            "42 E",
            "42 rad",
            "1e2",
            "42 deg N 5",
            "4-2",
        ] {
            assert!(read(text, AngleKind::Latitude).is_err(), "{text}");
        }
    }

    /// A number that is not the whole text needs its unit, first or last.
    #[test]
    fn a_number_before_or_after_others_says_its_unit() {
        let no_unit = |found: &str| Err(ParseError::NoUnit { found: found.into() });
        assert_eq!(read("42 30'", AngleKind::Latitude), no_unit("42"));
        assert_eq!(read("42-", AngleKind::Latitude), no_unit("42"));
        assert_eq!(read("42 deg 30", AngleKind::Latitude), no_unit("30"));
    }

    #[test]
    fn minutes_and_seconds_are_below_sixty_in_falling_order_and_whole_before_others() {
        let parts = |first: &str, found: &str| {
            Err(ParseError::Parts { first: first.into(), found: found.into() })
        };
        for (text, first, found) in [
            ("42 deg 60'", "42 deg", "60 '"),
            ("42 deg 5' 60\"", "5 '", "60 \""),
            ("42 deg 5\" 10'", "5 \"", "10 '"),
            ("42 deg 1.5' 10\"", "1.5 '", "10 \""),
            ("42 deg 10 deg", "42 deg", "10 deg"),
            ("5 min", "nothing", "5 min"),
            ("5 sec", "nothing", "5 sec"),
        ] {
            assert_eq!(read(text, AngleKind::Latitude), parts(first, found), "{text}");
        }
        // 42 + 59/60 + 59.64/3600 = 42 + 3599.64/3600 = 42.9999.
        let largest = read("42 deg 59' 59.64\"", AngleKind::Latitude).expect("an angle");
        approx::assert_abs_diff_eq!(largest, 42.9999, epsilon = 1e-12);
    }

    #[test]
    fn what_is_wrong_with_an_angle_is_said_of_the_right_text() {
        let not_a_number = |found: &str| Err(ParseError::NotANumber { found: found.into() });
        assert_eq!(read("42 deg-30'", AngleKind::Latitude), not_a_number("-30'"));
        assert_eq!(read("north", AngleKind::Latitude), not_a_number("orth"));
        let unknown = Err(ParseError::UnknownUnit { found: "rad".into() });
        assert_eq!(read("42 rad", AngleKind::Latitude), unknown);
        assert_eq!(read("- ", AngleKind::Latitude), Err(ParseError::Empty));
        let comma = read("42,5", AngleKind::Latitude);
        assert!(matches!(comma, Err(ParseError::Comma { .. })), "{comma:?}");
        let twice = ParseError::Parts { first: "-".into(), found: "W".into() };
        assert_eq!(read("-93 W", AngleKind::Longitude), Err(twice));
    }

    #[test]
    fn north_and_east_are_positive_and_letters_of_words_are_no_directions() {
        for (text, kind, degrees) in [
            ("42.5 N", AngleKind::Latitude, 42.5),
            ("S42.5", AngleKind::Latitude, -42.5),
            ("+42.5", AngleKind::Latitude, 42.5),
            ("- 42.5", AngleKind::Latitude, -42.5),
            ("37 degrees", AngleKind::Latitude, 37.0),
            ("93.5 E", AngleKind::Longitude, 93.5),
            ("93.5w", AngleKind::Longitude, -93.5),
            ("93 degree", AngleKind::Longitude, 93.0),
            ("12\u{b0}\u{a0}30`", AngleKind::Bearing, 12.5),
            ("12\u{b0}\u{2009}30\u{b4}", AngleKind::Bearing, 12.5),
        ] {
            assert_eq!(read(text, kind), Ok(degrees), "{text}");
        }
        assert!(read("12 N", AngleKind::Bearing).is_err());
    }

    /// 42 + 1/60 + 50.9/3600 = 42.030 81 and 93 + 37/60 + 54.8/3600 = 93.631 89.
    #[test]
    fn every_example_of_an_angle_is_read_and_shows_the_same_place() {
        for (kind, degrees) in [
            (AngleKind::Latitude, 42.0308),
            (AngleKind::Longitude, -93.6319),
            (AngleKind::Bearing, 12.5),
        ] {
            let examples = kind.examples().replace(" or ", ", ");
            let examples: Vec<&str> =
                examples.split(", ").map(|example| example.trim_matches('"')).collect();
            assert_eq!(examples.len(), 3);
            for example in examples {
                let found = read(example, kind).expect(example);
                approx::assert_abs_diff_eq!(found, degrees, epsilon = 5e-5);
            }
        }
    }
}
