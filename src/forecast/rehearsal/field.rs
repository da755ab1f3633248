//! One trial planted in numbers: pass by pass, alley by alley, as the planter drives it.
//!
//! Symbols, all along the travel of the pass and in one unit: S shift of both headings, m how far the
//! marks stand short of their line seen going out (h = +1 going out, -1 coming home), e error of one trip
//! spacing, W how much too wide alleys are; z normal, u even from 0 to 1, each for itself. At mark k of a
//! pass the middle of the alley is meant to be
//!
//! C = S + h m + creep + z σ_c, creep = sum of (e + z σ_e) over the k trips before where they are
//! counted, none where every mark gives a trip;
//!
//! the last seed lies at C - (W + z σ_w) / 2 + j and the first of the next plot at C + (W + z σ_w) / 2 +
//! j', each against where it belongs, with j = mean over the rows of s (frac(u + phase) - 1/2) and j' the
//! same of u + t: both edges hang on one plate, which turns on by t cells in between. A plot is
//! too long by its last seed less its first one, an alley too wide by first less last, its middle off by
//! their mean; a lead is the middle of this pass and of the one before at the same mark, each in its own
//! travel, together: the marks go out of it.

use rand_distr::Binomial;

use super::dice::{Dice, For};
use super::known::{Known, Stand};
use super::trial::{Kind, Limits, Trial, Trips};
use super::truth::Truth;

/// One plot as it came out, each number against what is wanted. Its alley is the one behind it along
/// the travel.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Planted {
    /// Its pass, the first one planted being 0.
    pub pass: u32,
    /// Its range, the one next to the start line being 0.
    pub range: u32,
    /// Its place in the pass, from 0.
    pub place: u32,
    /// How far ahead its first seed lies.
    pub first: f64,
    /// How far ahead its last seed lies.
    pub last: f64,
    /// How far ahead the middle of its alley lies; none behind the last plot of a pass.
    pub centre: Option<f64>,
    /// How much too wide its alley is.
    pub width: Option<f64>,
    /// How far its alley lies ahead of that of the pass before.
    pub lead: Option<f64>,
    /// How much too deep the row lies that is furthest off.
    pub depth: Option<f64>,
    /// Its seeds or plants against those wanted, as a share.
    pub stand: Option<f64>,
}

impl Planted {
    /// How much too long it is.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.last - self.first
    }

    /// Whether it is out by a kind.
    #[must_use]
    pub fn is_out(&self, kind: Kind, limits: &Limits) -> bool {
        let beyond = |off: Option<f64>, limit: Option<f64>| {
            off.zip(limit).is_some_and(|(off, limit)| off.abs() > limit)
        };
        match kind {
            Kind::TooLong => limits.plot.is_some_and(|limit| self.length() > limit),
            Kind::TooShort => limits.plot.is_some_and(|limit| -self.length() > limit),
            Kind::Centre => beyond(self.centre, limits.centre),
            Kind::Width => beyond(self.width, limits.width),
            Kind::Lead => beyond(self.lead, limits.lead),
            Kind::Depth => beyond(self.depth, limits.depth),
            Kind::Stand => beyond(self.stand, limits.stand),
        }
    }
}

/// An alley as it came out at a mark: its two edges, and the middle between them.
#[derive(Clone, Copy, Default)]
struct Edges {
    last: f64,
    first: f64,
}

impl Edges {
    fn middle(self) -> f64 {
        f64::midpoint(self.last, self.first)
    }
}

/// Room that a trial takes while it is planted, kept from one to the next.
#[derive(Default)]
pub(super) struct Room {
    /// Middles of the alleys of the pass before, by mark from the start line and place.
    before: Vec<f64>,
    now: Vec<f64>,
    /// First seeds of the plots under way, by place.
    begun: Vec<f64>,
}

/// Plants one trial and hands on every plot of it, in the order they are planted. The same seed and
/// number give the same trial.
pub(super) fn plant(
    trial: &Trial,
    known: &Known,
    seed: u64,
    number: u64,
    room: &mut Room,
    mut each: impl FnMut(&Planted),
) {
    let truth = Truth::draw(known, seed, number);
    let mut planting = Planting {
        trial,
        known,
        truth: &truth,
        edges: Dice::new(seed, number, For::Edges),
        depths: trial
            .limits
            .depth
            .and(known.depths.first())
            .map(|_| Dice::new(seed, number, For::Depths)),
        stands: trial.limits.stand.and(known.stand).map(|_| Dice::new(seed, number, For::Stands)),
        room,
    };
    for pass in 0..trial.passes {
        planting.pass(pass, &mut each);
    }
}

struct Planting<'a> {
    trial: &'a Trial,
    known: &'a Known,
    truth: &'a Truth,
    edges: Dice,
    depths: Option<Dice>,
    stands: Option<Dice>,
    room: &'a mut Room,
}

impl Planting<'_> {
    fn pass(&mut self, pass: u32, each: &mut impl FnMut(&Planted)) {
        let Trial { abreast, border_ranges, trips, .. } = *self.trial;
        let (tiers, out) = (self.trial.tiers(), self.trial.goes_out(pass));
        std::mem::swap(&mut self.room.before, &mut self.room.now);
        self.room.now.clear();
        self.room.now.resize((tiers as usize + 1) * abreast as usize, 0.0);
        self.room.begun.clear();
        let own = self.truth.centre.shared + if out { self.truth.marks } else { -self.truth.marks };
        let mut creep = 0.0;
        for mark in 0..=tiers {
            // Places on the ground are counted from the start line.
            let on_ground = if out { mark } else { tiers - mark };
            let range = if out { mark.wrapping_sub(1) } else { on_ground };
            if mark > 0 && trips == Trips::Counted {
                let spacing = self.trial.other(range).map_or(1.0, |others| others.spacing);
                creep +=
                    spacing * self.truth.trip.shared + self.truth.trip.sd * self.edges.normal();
            }
            let of_trial = self.trial.counts_range(range);
            for place in 0..abreast {
                let edges = self.edges(own + creep);
                let at = (on_ground * abreast + place) as usize;
                self.room.now[at] = edges.middle();
                if mark == 0 {
                    self.room.begun.push(edges.first);
                    continue;
                }
                let first = std::mem::replace(&mut self.room.begun[place as usize], edges.first);
                if of_trial {
                    let is_alley = mark < tiers;
                    let lead = || edges.middle() + self.room.before[at];
                    let mut planted = Planted {
                        pass,
                        range: range - border_ranges,
                        place,
                        first,
                        last: edges.last,
                        centre: is_alley.then(|| edges.middle()),
                        width: is_alley.then_some(edges.first - edges.last),
                        lead: (is_alley && pass > 0).then(lead),
                        depth: None,
                        stand: None,
                    };
                    planted.depth = self.depth();
                    planted.stand = self.stand(range, planted.length());
                    each(&planted);
                }
            }
        }
    }

    /// The edges of the alley at a mark, whose middle is meant to lie so far ahead.
    fn edges(&mut self, ahead: f64) -> Edges {
        let (centre, width) = (self.truth.centre, self.truth.width);
        let middle = ahead + centre.sd * self.edges.normal();
        let half = (width.shared + width.sd * self.edges.normal()) / 2.0;
        let u = self.edges.even();
        let (last, first) = (self.jitter(u), self.jitter(u + self.truth.turned));
        Edges { last: middle - half + last, first: middle + half + first }
    }

    /// Where the phase of the plate puts an edge.
    fn jitter(&self, u: f64) -> f64 {
        let phases = &self.known.phases;
        #[allow(clippy::cast_precision_loss)] // a few rows
        let mean = match phases.as_slice() {
            [] => 0.0,
            [_] => u - u.floor() - 0.5,
            rows => {
                let turned = rows.iter().map(|phase| u + phase);
                turned.map(|turned| turned - turned.floor() - 0.5).sum::<f64>() / rows.len() as f64
            }
        };
        self.known.spacing * mean
    }

    /// The depth of the row that is furthest off, by one seed of every row.
    fn depth(&mut self) -> Option<f64> {
        let dice = self.depths.as_mut()?;
        let rows = self.truth.depths.iter().map(|row| row.shared + row.sd * dice.normal());
        rows.max_by(|one, other| one.abs().total_cmp(&other.abs()))
    }

    /// Seeds that lie in a plot, and those of them that come up.
    fn stand(&mut self, range: u32, longer: f64) -> Option<f64> {
        let (dice, stand) = (self.stands.as_mut()?, self.known.stand?);
        let Truth { empty, double, .. } = *self.truth;
        let plot = self.trial.plot_of(range);
        let places = stand.places(plot + longer);
        let wanted = stand.wanted * (plot + stand.spacing) / (self.trial.plot + stand.spacing);
        let mut of = |count: u64, share: f64| {
            Binomial::new(count, share.clamp(0.0, 1.0)).map_or(0, |law| dice.by(&law))
        };
        let bare = of(places, empty);
        let doubled = of(places - bare, double / (1.0 - empty).max(f64::EPSILON));
        let plants = of(places - bare + doubled, stand.come_up);
        #[allow(clippy::cast_precision_loss)] // far fewer plants than 2^53
        Some(plants as f64 / wanted - 1.0)
    }
}

impl Stand {
    /// Target positions of a plot: the first seed of every row, and one a spacing from there on.
    fn places(&self, plot: f64) -> u64 {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let of_row = (plot.max(0.0) / self.spacing).round() as u64 + 1;
        of_row * u64::from(self.rows)
    }
}
