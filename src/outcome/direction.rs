//! Directions: everything is seen along the direction of travel. "Ahead" is further along, "back"
//! the other way.

/// Which way an alley moves along the direction of travel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// Further along.
    Ahead,
    /// The other way.
    Back,
    /// Nobody knows yet: a trial change tells. Until then it is reckoned as back.
    NotKnown,
}

/// Which way a pass went.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Heading {
    /// Away from the start of the field.
    Out,
    /// Back to it.
    Home,
}

impl Heading {
    /// The word of the sheet.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Heading::Out => "out",
            Heading::Home => "home",
        }
    }
}
