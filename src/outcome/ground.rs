//! What lies where on the ground, for pictures. Geometry only; drawing is done elsewhere.

/// A stretch of ground along the direction of travel, in working lengths from the mark.
#[derive(Clone, Debug)]
pub struct Ground {
    /// What the picture shows.
    pub title: &'static str,
    /// Unit of every place in it.
    pub unit: String,
    /// One strip of ground per lane, top to bottom.
    pub lanes: Vec<Lane>,
}

/// Which way the planter went over a lane, seen on the picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Travel {
    /// Left to right.
    Rightward,
    /// Right to left.
    Leftward,
}

/// One row, or one pass, seen from the side.
#[derive(Clone, Debug)]
pub struct Lane {
    /// What the lane is: "as measured", "wanted", "out", "home".
    pub label: String,
    /// Direction of travel.
    pub travel: Travel,
    /// Planted strips.
    pub planted: Vec<Strip>,
    /// Points worth naming.
    pub marks: Vec<Mark>,
}

/// A planted strip from one place to another; an end of `None` runs out of the picture.
#[derive(Clone, Debug)]
pub struct Strip {
    /// Left end.
    pub from: Option<f64>,
    /// Right end.
    pub to: Option<f64>,
}

/// What a point is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MarkKind {
    /// The mark: where the middle of the alley is meant to be.
    Mark,
    /// The middle of the alley as planted.
    Centre,
}

/// A point on the ground.
#[derive(Clone, Debug)]
pub struct Mark {
    /// Where, in working lengths.
    pub at: f64,
    /// What it is.
    pub kind: MarkKind,
}

impl Lane {
    /// A lane with one alley in it, from `last_seed` to `first_seed` in the direction of travel
    /// (positions along that travel); a lane travelled leftward is mirrored.
    #[must_use]
    pub fn with_alley(
        label: impl Into<String>,
        travel: Travel,
        last_seed: f64,
        first_seed: f64,
        mark: Option<f64>,
    ) -> Lane {
        let place = |along: f64| if travel == Travel::Rightward { along } else { -along };
        let (a, b) = (place(last_seed), place(first_seed));
        let mut marks = vec![Mark { at: f64::midpoint(a, b), kind: MarkKind::Centre }];
        marks.extend(mark.map(|at| Mark { at, kind: MarkKind::Mark }));
        let planted = vec![
            Strip { from: None, to: Some(a.min(b)) },
            Strip { from: Some(a.max(b)), to: None },
        ];
        Lane { label: label.into(), travel, planted, marks }
    }

    /// Every finite place named in the lane.
    pub fn places(&self) -> impl Iterator<Item = f64> + '_ {
        let ends = self.planted.iter().flat_map(|strip| [strip.from, strip.to]).flatten();
        ends.chain(self.marks.iter().map(|mark| mark.at))
    }
}

/// What became of one cell's seed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fate {
    /// Old lot, on the ground.
    Old,
    /// New lot, on the ground.
    New,
    /// Taken off by the sweep.
    Swept,
}

/// One seed of the strip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seed {
    /// Where it lands, along the travel from the trip.
    pub at: f64,
    /// What became of it.
    pub fate: Fate,
    /// Whether it was released under boost.
    pub boosted: bool,
}

/// A changeover drawn as a timeline over the strip of seeds of one row. Both share one axis: how
/// far past the trip a seed lands.
#[derive(Clone, Debug)]
pub struct ChangeoverPicture {
    /// Unit of length.
    pub unit: String,
    /// Ground speed in lengths per second, which turns times into places.
    pub speed: f64,
    /// How long a seed falls: a phase is drawn where a seed released in it would land.
    pub fall: f64,
    /// What goes on when.
    pub phases: Vec<Phase>,
    /// Where each seed lands.
    pub seeds: Vec<Seed>,
    /// Middle of the alley, past the trip.
    pub centre: f64,
}

/// One phase of a changeover, in seconds from the trip.
#[derive(Clone, Debug)]
pub struct Phase {
    /// Its name.
    pub name: String,
    /// When it starts.
    pub from: f64,
    /// When it ends.
    pub to: f64,
}

/// One number per row as bars against a limit.
#[derive(Clone, Debug)]
pub struct Bars {
    /// What the bars show.
    pub title: String,
    /// Unit of the numbers.
    pub unit: String,
    /// The limit, drawn as a line through all bars.
    pub limit: f64,
    /// A label and a number per bar.
    pub rows: Vec<(String, f64)>,
}
