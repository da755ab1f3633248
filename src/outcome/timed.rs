//! What of an action of the changeover can be set: its wait and its length, by the action's name.

use std::fmt;

/// Characters that the name of an action has at the most, so that it fits on the cab card.
pub const MOST: usize = 24;

/// The crew's own name of an action. It is short and kept in place, so that what carries it is copied
/// as a number is.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct ActionName {
    bytes: [u8; MOST * 4],
    length: u8,
}

impl ActionName {
    /// A name, where it may be one: up to 24 characters, none of which quotes or parts what it stands
    /// in.
    ///
    /// ```
    /// use alleytrue::outcome::ActionName;
    /// let name = |text| ActionName::of(text).map(|name| name.to_string());
    /// assert_eq!(name("line 5").as_deref(), Some("line 5"));
    /// assert_eq!(name("gate \"A\""), None);
    /// assert_eq!(name(""), None);
    /// ```
    #[must_use]
    pub fn of(text: &str) -> Option<ActionName> {
        let may_stand = |c: char| !c.is_control() && !"\"'`\\=".contains(c);
        let count = text.chars().count();
        if text.trim() != text || !(1..=MOST).contains(&count) || !text.chars().all(may_stand) {
            return None;
        }
        let mut bytes = [0; MOST * 4];
        bytes.get_mut(..text.len())?.copy_from_slice(text.as_bytes());
        Some(ActionName { bytes, length: u8::try_from(text.len()).ok()? })
    }

    /// As typed.
    #[must_use]
    pub fn as_str(&self) -> &str {
        std::str::from_utf8(&self.bytes[..usize::from(self.length)]).unwrap_or_default()
    }
}

impl fmt::Display for ActionName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

impl fmt::Debug for ActionName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(self.as_str(), f)
    }
}

/// What of an action is a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// How long it waits for its start.
    Wait,
    /// How long it lasts.
    For,
}

impl Part {
    /// Both.
    pub const BOTH: [Part; 2] = [Part::Wait, Part::For];

    /// Its key in the sheet.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Part::Wait => "wait",
            Part::For => "for",
        }
    }

    /// Its name in words, with `of` behind it.
    pub(crate) fn of(self) -> &'static str {
        match self {
            Part::Wait => "wait of ",
            Part::For => "length of ",
        }
    }
}

/// The wait or the length of an action, as a setting.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Timed {
    /// The action.
    pub action: ActionName,
    /// Which of the two.
    pub part: Part,
}

impl Timed {
    /// The setting of a key.
    ///
    /// ```
    /// use alleytrue::outcome::Timed;
    /// let timed = Timed::of_key("line 5.for").expect("a key");
    /// assert_eq!((timed.key(), timed.name()), ("line 5.for".into(), "length of line 5".into()));
    /// assert_eq!(Timed::of_key("setback"), None);
    /// ```
    #[must_use]
    pub fn of_key(key: &str) -> Option<Timed> {
        let (name, part) = key.rsplit_once('.')?;
        let part = Part::BOTH.into_iter().find(|one| one.key() == part)?;
        Some(Timed { action: ActionName::of(name)?, part })
    }

    /// Its key: that of the action's table, behind the action's name.
    #[must_use]
    pub fn key(&self) -> String {
        [self.action.as_str(), ".", self.part.key()].concat()
    }

    /// Its name in words.
    #[must_use]
    pub fn name(&self) -> String {
        [self.part.of(), self.action.as_str()].concat()
    }
}
