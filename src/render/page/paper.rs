//! Sizes of paper.

/// Size of the paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 8 1/2 by 11 inches.
    Letter,
    /// 210 by 297 millimetres.
    A4,
}

impl Paper {
    /// Every size.
    pub const ALL: [Paper; 2] = [Paper::Letter, Paper::A4];

    /// As it is asked for.
    #[must_use]
    pub fn option(self) -> &'static str {
        match self {
            Paper::Letter => "letter",
            Paper::A4 => "a4",
        }
    }

    /// Its sides.
    #[must_use]
    pub fn about(self) -> &'static str {
        match self {
            Paper::Letter => "8 1/2 by 11 in",
            Paper::A4 => "210 by 297 mm",
        }
    }

    /// Its width and its height, in millimetres.
    #[must_use]
    pub fn size(self) -> [f64; 2] {
        match self {
            Paper::Letter => [215.9, 279.4],
            Paper::A4 => [210.0, 297.0],
        }
    }

    /// As style rules call it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Paper::Letter => "letter",
            Paper::A4 => "A4",
        }
    }
}
