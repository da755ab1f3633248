//! The kinds of run that can be recorded: one entry each.

/// A kind of run.
#[derive(Debug)]
pub struct Kind {
    /// What it is called on the command line.
    pub name: &'static str,
    /// Its table in the sheet.
    pub table: &'static str,
    /// What is recorded, in a line.
    pub about: &'static str,
    /// Its own keys, in the order in which they are written.
    pub keys: &'static [Key],
    /// The list that bare values go to: the first whose condition holds.
    pub values: &'static [Values],
    /// Whether it holds for one operating point, which is then written down with it.
    pub at_point: bool,
}

/// Where bare values go.
#[derive(Debug)]
pub struct Values {
    /// The list.
    pub key: &'static str,
    /// The key that must be given for it; `None` where it is the usual one.
    pub with: Option<&'static str>,
}

/// A key of a run.
#[derive(Debug)]
pub struct Key {
    /// Its name.
    pub name: &'static str,
    /// What it takes.
    pub takes: Takes,
    /// What it is, in a line.
    pub about: &'static str,
}

/// What a key takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Takes {
    /// One value.
    One,
    /// Several readings.
    List,
    /// One of a few words.
    Word(&'static [&'static str]),
    /// `true` or `false`.
    YesNo,
}

const fn one(name: &'static str, about: &'static str) -> Key {
    Key { name, takes: Takes::One, about }
}

const fn list(name: &'static str, about: &'static str) -> Key {
    Key { name, takes: Takes::List, about }
}

const fn to(key: &'static str) -> Values {
    Values { key, with: None }
}

/// Every kind of run that can be recorded.
pub static ALL: &[Kind] = &[
    Kind {
        name: "speed",
        table: "speed-run",
        about: "Drives over a timed course; values are the times",
        keys: &[one("course", "Length of the course"), list("times", "Time of each drive")],
        values: &[to("times")],
        at_point: false,
    },
    Kind {
        name: "wheel",
        table: "wheel-run",
        about: "Turns of the drive wheel over a course; values are the turns",
        keys: &[one("course", "Length of the course"), list("turns", "Turns of each drive")],
        values: &[to("turns")],
        at_point: false,
    },
    Kind {
        name: "trip",
        table: "trip-run",
        about: "Controller readouts between marks, or tape of a commanded length; values are those",
        keys: &[
            one("marks", "Distance from mark to mark"),
            one("commanded", "Length the controller was told"),
            list("readout", "What the controller read from mark to mark"),
            list("taped", "What the tape said of the commanded length"),
        ],
        values: &[Values { key: "taped", with: Some("commanded") }, to("readout")],
        at_point: true,
    },
    Kind {
        name: "alley",
        table: "alley-run",
        about: "Alleys against their marks",
        keys: &[
            Key {
                name: "heading",
                takes: Takes::Word(&["out", "home"]),
                about: "Which way the passes went",
            },
            list("last-seed-to-mark", "Last seed of a plot to the mark"),
            list("mark-to-first-seed", "Mark to the first seed of the next plot"),
        ],
        values: &[],
        at_point: true,
    },
    Kind {
        name: "pass",
        table: "pass-run",
        about: "How far each alley lies ahead of its neighbour's; values are the leads",
        keys: &[list("lead", "Lead of each alley, behind: negative")],
        values: &[to("lead")],
        at_point: true,
    },
    Kind {
        name: "changeover",
        table: "changeover-run",
        about: "What was seen of the changeover after a test range",
        keys: &[
            Key {
                name: "hand-over-finished",
                takes: Takes::YesNo,
                about: "Whether all seed had fallen when the holder closed",
            },
            one("old-seed-in-new-plot", "How far old seed was found into the new plot"),
            one("bunched-at-end", "Over what length seeds stood bunched at a plot's end"),
            one("bunched-at-start", "Over what length seeds stood bunched at a plot's start"),
            one("stray-seeds", "Seeds found in the alley"),
            list("alley-width", "Width of each alley"),
        ],
        values: &[to("alley-width")],
        at_point: true,
    },
    Kind {
        name: "row",
        table: "row-run",
        about: "Edges of one row against the reference row's; values are those",
        keys: &[
            one("reference", "The row it is held against"),
            one("row", "The row"),
            list("ahead", "How far each edge lies ahead, behind: negative"),
        ],
        values: &[to("ahead")],
        at_point: true,
    },
    Kind {
        name: "depth",
        table: "depth-run",
        about: "How deep seeds were found; values are the depths",
        keys: &[one("row", "The row"), list("depth", "Depth of each seed under the surface")],
        values: &[to("depth")],
        at_point: true,
    },
    Kind {
        name: "spacing",
        table: "spacing-run",
        about: "Seeds or plants along one row; values are their places on the tape",
        keys: &[
            one("row", "The row"),
            list("positions", "Places along a tape that lies still"),
            list("gaps", "From each seed or plant to the next"),
        ],
        values: &[to("positions")],
        at_point: true,
    },
    Kind {
        name: "stand",
        table: "stand-count",
        about: "Plants counted on a length of row or in whole plots; values are the counts",
        keys: &[
            one("length", "Length of row that one count goes over"),
            Key { name: "plots", takes: Takes::YesNo, about: "Whether a count is of a whole plot" },
            one("row", "The row, where it was always the same one"),
            one("rows", "Rows counted together"),
            list("counts", "Plants at each place"),
            list("skips", "Lengths of bare stretches"),
        ],
        values: &[to("counts")],
        at_point: true,
    },
];
