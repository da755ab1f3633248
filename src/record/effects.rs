//! What a setting rests on, and which measurements a change of it moves.

use super::operating_point::Part;
use crate::calculations::registry::ALL;
use crate::calculations::{
    alley, changeover, depth, guess_rows, passes, rows, spacing, speed, trip,
};
use crate::outcome::setting::{PASS_OFFSET, SETBACK, SETTINGS_OF_CONTROLLER, Setting, TRIP_SCALE};
use crate::outcome::{ByHand, Calculation, Changed, Condition, DEPTH_TURNS, SettingResult, Timed};

/// What changing one kind of adjustment does to the readings of runs.
#[derive(Debug)]
pub struct Effect {
    /// The run tables whose readings it moves.
    pub moves: &'static [&'static str],
    /// Those of them for which it is known by how much, so that runs made before a change speak
    /// about the present too. Of the others a run made with another value is not used.
    pub known: &'static [&'static str],
}

/// The trip scale is changed.
///
/// trip-run: what a controller reads is the counts over the scale, and what it plants the counts of
/// what it was told, so a run says what the scale should be whatever it was. alley-run, pass-run:
/// the trip comes at another place for every count, and setback and pass offset are counted out
/// with the same scale, so alleys move along the travel, from plot to plot by more. What lies
/// inside a changeover is timed from its trip, so widths, bunched seeds and rows stay.
static BY_TRIP_SCALE: Effect =
    Effect { moves: &["trip-run", "alley-run", "pass-run"], known: &["trip-run"] };

/// The setback is changed.
///
/// alley-run: the middle moves by the change. pass-run: alleys of both headings move alike in
/// their own travel, so a lead changes by twice as much. Trip to trip all alleys move alike, and
/// both edges of an alley do, so trip runs and changeover runs stay.
static BY_SETBACK: Effect =
    Effect { moves: &["alley-run", "pass-run"], known: &["alley-run", "pass-run"] };

/// The pass offset is changed: alleys of both headings move along their own travel by the change,
/// as with the setback.
static BY_PASS_OFFSET: Effect =
    Effect { moves: &["alley-run", "pass-run"], known: &["alley-run", "pass-run"] };

/// The wait or the length of an action of the changeover is changed: t_last = q^-1(q(t_e) + k) and
/// t_first = q^-1(q(t_n) + k) move, or other seeds are the last and first that are left; so do the
/// width (t_first - t_last) and the middle, by as much as the changeover predicts, which is by nothing
/// where no start hangs on it. What is seen of bunched and stray seeds is no such sum.
static BY_TIMER: Effect = Effect {
    moves: &["changeover-run", "alley-run", "pass-run"],
    known: &["alley-run", "pass-run"],
};

/// A sprocket is swapped: s = travel per turn / (R × cells) changes, and with it the ground rate
/// v/s inside q(t), every edge, and every share of a spacing. What the wheel does on the ground
/// stays.
static BY_SPROCKET: Effect = Effect {
    moves: &["spacing-run", "stand-count", "row-run", "changeover-run", "alley-run", "pass-run"],
    known: &[],
};

/// Throttle or gear is changed: what was timed, and where every edge lies, since that moves with the
/// speed. A run that was planted at another speed than the trial's says so in `speed`, and counts at
/// that one whatever the throttle was.
static BY_THROTTLE: Effect =
    Effect { moves: &["speed-run", "alley-run", "pass-run", "changeover-run"], known: &[] };

/// The marks are moved: alleys stay where they are, and their marks lie further along for a pass
/// that goes out. A lead is taped from alley to alley, with no mark in it, and a trip run says how
/// far its own marks were apart.
static BY_MARKS: Effect = Effect { moves: &["alley-run"], known: &["alley-run"] };

/// The marks are staked anew: by how much each has moved nobody knows.
static BY_STAKING: Effect = Effect { moves: &["alley-run"], known: &[] };

/// The chain of a row is jumped: j teeth of N turn the plate by j × cells / N cells, and the edges
/// of this row come back by that share of a spacing.
static BY_CHAIN: Effect = Effect { moves: &["row-run"], known: &["row-run"] };

/// The depth setting of a row is turned.
static BY_DEPTH: Effect = Effect { moves: &["depth-run"], known: &["depth-run"] };

/// The planter is moved at its hitch, or what the tractor goes by is set: all gaps are others.
static BY_HITCH: Effect = Effect { moves: &["guess-row-run"], known: &[] };

/// Another planter: nothing that was measured with the one tells of the other. What was timed is the
/// tractor's.
static BY_PLANTER: Effect = Effect {
    moves: &[
        "wheel-run",
        "trip-run",
        "alley-run",
        "pass-run",
        "guess-row-run",
        "changeover-run",
        "row-run",
        "depth-run",
        "spacing-run",
        "stand-count",
    ],
    known: &[],
};

/// Another plate: k cells from pick-up to release stand in t_last and t_first, so every edge moves,
/// and with the cells the spacing.
static BY_PLATE: Effect = Effect {
    moves: &["changeover-run", "alley-run", "pass-run", "row-run", "spacing-run", "stand-count"],
    known: &[],
};

/// Other seed, or another vacuum: how seeds are picked up, swept off and let go, and how they come
/// up. Common practice, no source.
static BY_SEED: Effect = Effect {
    moves: &["changeover-run", "alley-run", "pass-run", "spacing-run", "stand-count"],
    known: &[],
};

/// Other tyres, or another pressure in them: how far the wheel rolls in a turn, and with it every
/// length that is counted out by the wheel, up to the trip.
static BY_TYRES: Effect = Effect {
    moves: &["wheel-run", "trip-run", "alley-run", "pass-run", "spacing-run", "stand-count"],
    known: &[],
};

/// Another soil: the skid of the wheel, how deep the openers go, and what comes up.
static BY_SOIL: Effect = Effect {
    moves: &["wheel-run", "trip-run", "depth-run", "spacing-run", "stand-count"],
    known: &[],
};

/// Something is put right in the sheet: nothing on the planter changes, and all runs are read anew. At
/// which speed a run was planted it says itself.
static BY_THE_SHEET: Effect = Effect { moves: &[], known: &[] };

/// A setting that the record can follow.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Subject {
    /// One of `[settings]`.
    Held(&'static Setting),
    /// The wait or the length of an action of `[changeover]`.
    Timed(Timed),
    /// One sprocket of a chain, counted from one, from the wheel to the plate.
    Sprocket {
        /// Which chain.
        chain: usize,
        /// The sprocket that drives it, or the one it drives.
        driving: bool,
    },
    /// What hands adjust.
    Hand(ByHand),
    /// Which way round a setting works, as the sheet has it.
    Direction(&'static Setting),
    /// Whether a run counts.
    Run {
        /// Its table.
        table: &'static str,
        /// Which of its kind, counted from one.
        number: usize,
    },
    /// The ground speed that the sheet is for.
    Speed,
}

/// The tables of runs, in working order.
pub fn runs() -> impl Iterator<Item = &'static str> {
    ALL.iter().flat_map(|entry| entry.runs).copied()
}

/// The key of the ground speed.
const SPEED: &str = "speed";

impl From<Changed> for Subject {
    fn from(changed: Changed) -> Subject {
        match changed {
            Changed::Setting(setting) => Subject::Held(setting),
            Changed::Timed(timed) => Subject::Timed(timed),
            Changed::Hand(what) => Subject::Hand(what),
        }
    }
}

impl Subject {
    /// The setting of a key, as `[[history]]` has it.
    ///
    /// ```
    /// use alleytrue::record::Subject;
    /// let key = |text| Subject::of_key(text).map(|subject| subject.key());
    /// assert_eq!(key("setback").as_deref(), Some("setback"));
    /// assert_eq!(key("chain-2-driven").as_deref(), Some("chain-2-driven"));
    /// assert_eq!(key("line 5.for").as_deref(), Some("line 5.for"));
    /// assert_eq!(key("chain-0-driven"), None);
    /// assert_eq!(key("seat height"), None);
    /// ```
    #[must_use]
    pub fn of_key(key: &str) -> Option<Subject> {
        let held = SETTINGS_OF_CONTROLLER.iter().find(|one| one.key == key);
        if let Some(setting) = held {
            return Some(Subject::Held(setting));
        }
        if let Some(timed) = Timed::of_key(key) {
            return Some(Subject::Timed(timed));
        }
        if let Some(what) = ByHand::of_key(key) {
            return Some(Subject::Hand(what));
        }
        if key == SPEED {
            return Some(Subject::Speed);
        }
        if let Some((table, number)) =
            runs().find_map(|table| Some((table, key.strip_prefix(table)?.strip_prefix('-')?)))
        {
            let plain =
                number.bytes().all(|byte| byte.is_ascii_digit()) && !number.starts_with('0');
            let number = number.parse().ok().filter(|_| plain)?;
            return Some(Subject::Run { table, number });
        }
        if let Some(own) = key.strip_suffix("-direction") {
            return Subject::direction_of(own);
        }
        let (chain, side) = key.strip_prefix("chain-")?.split_once('-')?;
        let plain = chain.bytes().all(|byte| byte.is_ascii_digit()) && !chain.starts_with('0');
        let chain = chain.parse().ok().filter(|chain| plain && *chain > 0)?;
        match side {
            "driving" => Some(Subject::Sprocket { chain, driving: true }),
            "driven" => Some(Subject::Sprocket { chain, driving: false }),
            _ => None,
        }
    }

    /// Which way round the setting of a key works, where the sheet says that.
    ///
    /// ```
    /// use alleytrue::record::Subject;
    /// let key = |text| Subject::direction_of(text).map(|subject| subject.key());
    /// assert_eq!(key("setback").as_deref(), Some("setback-direction"));
    /// assert_eq!(key("depth-turns").as_deref(), Some("depth-turns-direction"));
    /// assert_eq!(key("throttle"), None);
    /// ```
    #[must_use]
    pub fn direction_of(key: &str) -> Option<Subject> {
        let mut all = SETTINGS_OF_CONTROLLER.into_iter().chain([&DEPTH_TURNS]);
        all.find(|setting| setting.key == key).map(Subject::Direction)
    }

    /// The setting that a result is about.
    #[must_use]
    pub fn of_result(result: &SettingResult) -> Option<Subject> {
        match &result.key {
            Some(key) => Subject::of_key(key),
            None => Subject::of_key(&result.name.replace(' ', "-")),
        }
    }

    /// Its key.
    #[must_use]
    pub fn key(&self) -> String {
        match self {
            Subject::Held(setting) => setting.key.into(),
            Subject::Timed(timed) => timed.key(),
            Subject::Sprocket { .. } => self.name().replace(' ', "-"),
            Subject::Hand(what) => what.key(),
            Subject::Direction(setting) => [setting.key, "-direction"].concat(),
            Subject::Run { table, number } => format!("{table}-{number}"),
            Subject::Speed => SPEED.into(),
        }
    }

    /// Its name in words.
    #[must_use]
    pub fn name(&self) -> String {
        match self {
            Subject::Held(setting) => setting.name.into(),
            Subject::Timed(timed) => timed.name(),
            Subject::Sprocket { chain, driving } => {
                format!("chain {chain} {}", if *driving { "driving" } else { "driven" })
            }
            Subject::Hand(what) => what.name(),
            Subject::Direction(setting) => format!("direction of the {}", setting.name),
            Subject::Run { table, number } => format!("{} {number}", table.replace('-', " ")),
            Subject::Speed => "speed of the trial".into(),
        }
    }

    /// What changing it does to measurements.
    #[must_use]
    pub fn effect(&self) -> &'static Effect {
        match self {
            Subject::Sprocket { .. } => &BY_SPROCKET,
            Subject::Direction(_) | Subject::Run { .. } | Subject::Speed => &BY_THE_SHEET,
            Subject::Held(setting) if *setting == &TRIP_SCALE => &BY_TRIP_SCALE,
            Subject::Held(setting) if *setting == &SETBACK => &BY_SETBACK,
            Subject::Held(_) => &BY_PASS_OFFSET,
            Subject::Timed(_) => &BY_TIMER,
            Subject::Hand(ByHand::Throttle) => &BY_THROTTLE,
            Subject::Hand(ByHand::Marks) => &BY_MARKS,
            Subject::Hand(ByHand::Staking) => &BY_STAKING,
            Subject::Hand(ByHand::Chain { .. }) => &BY_CHAIN,
            Subject::Hand(ByHand::Depth { .. }) => &BY_DEPTH,
            Subject::Hand(ByHand::Hitch) => &BY_HITCH,
            Subject::Hand(ByHand::Condition(condition)) => match condition {
                Condition::Planter => &BY_PLANTER,
                Condition::Plate | Condition::Cells | Condition::Carry => &BY_PLATE,
                Condition::Seed | Condition::Vacuum => &BY_SEED,
                Condition::Tyres => &BY_TYRES,
                Condition::Soil => &BY_SOIL,
            },
        }
    }

    /// Whether it is nothing that a calibration corrects: a condition that it holds for, or something
    /// that is put right in the sheet alone.
    #[must_use]
    pub fn is_beside(&self) -> bool {
        matches!(self, Subject::Hand(ByHand::Condition(_)) | Subject::Run { .. } | Subject::Speed)
    }

    /// The row that it belongs to, where it belongs to one.
    #[must_use]
    pub fn row(&self) -> Option<u32> {
        match self {
            Subject::Hand(what) => what.row(),
            _ => None,
        }
    }

    /// The calculation it belongs to.
    #[must_use]
    pub fn calculation(&self) -> Calculation {
        *self.calibration().calculation
    }

    /// The calibration it belongs to.
    pub(super) fn calibration(&self) -> &'static Calibration {
        let key = match self {
            Subject::Sprocket { .. } => spacing::CALCULATION.key,
            Subject::Held(setting) | Subject::Direction(setting) if *setting == &TRIP_SCALE => {
                trip::CALCULATION.key
            }
            Subject::Held(setting) | Subject::Direction(setting) if *setting == &SETBACK => {
                alley::CALCULATION.key
            }
            Subject::Held(setting) | Subject::Direction(setting) if *setting == &PASS_OFFSET => {
                passes::CALCULATION.key
            }
            Subject::Direction(setting) if *setting == &DEPTH_TURNS => depth::CALCULATION.key,
            Subject::Timed(_) | Subject::Held(_) | Subject::Direction(_) => {
                changeover::CALCULATION.key
            }
            Subject::Speed => speed::CALCULATION.key,
            Subject::Run { table, .. } => {
                let proves = |one: &&Calibration| one.proof.contains(table);
                return CALIBRATIONS.iter().find(proves).unwrap_or(&CALIBRATIONS[1]);
            }
            Subject::Hand(ByHand::Throttle) => speed::CALCULATION.key,
            Subject::Hand(ByHand::Marks | ByHand::Staking) => alley::CALCULATION.key,
            Subject::Hand(ByHand::Chain { .. }) => rows::CALCULATION.key,
            Subject::Hand(ByHand::Depth { .. }) => depth::CALCULATION.key,
            Subject::Hand(ByHand::Hitch) => guess_rows::CALCULATION.key,
            // Many rest on it; the first of those that it moves.
            Subject::Hand(ByHand::Condition(
                Condition::Planter | Condition::Tyres | Condition::Soil,
            )) => trip::CALCULATION.key,
            Subject::Hand(ByHand::Condition(_)) => changeover::CALCULATION.key,
        };
        let found = CALIBRATIONS.iter().find(|one| one.calculation.key == key);
        found.unwrap_or(&CALIBRATIONS[0])
    }
}

/// What it takes for a calibration to hold.
#[derive(Debug)]
pub struct Calibration {
    /// The calculation that works it out.
    pub(super) calculation: &'static Calculation,
    /// What is calibrated, in words.
    pub(super) name: &'static str,
    /// Runs that measure it; none where it is worked out from the sheet every time.
    pub(super) proof: &'static [&'static str],
    /// What of the operating point it rests on.
    pub(super) rests_on: &'static [Part],
}

/// Every calibration, in working order, with what it rests on.
///
/// Speed and spacing are worked out against the present target every time. Rows: an edge is held
/// against the seed spacing. Trip: wheel counts per length change with the skid, and that with
/// the speed; seeds, alley and boost are not in the formula. Changeover, setback and pass offset:
/// v, s, the boost and the alley all stand in q(t), t_last and t_first. Guess rows lie as the
/// tractor drives. Depth: the openers ride up with the speed.
pub(super) static CALIBRATIONS: [Calibration; 9] = [
    Calibration {
        calculation: &speed::CALCULATION,
        name: "ground speed",
        proof: &["speed-run"],
        rests_on: &[],
    },
    Calibration {
        calculation: &spacing::CALCULATION,
        name: "seed spacing",
        proof: &[],
        rests_on: &[],
    },
    Calibration {
        calculation: &changeover::CALCULATION,
        name: "changeover timers",
        proof: &["changeover-run"],
        rests_on: Part::ALL,
    },
    Calibration {
        calculation: &rows::CALCULATION,
        name: "rows together",
        proof: &["row-run"],
        rests_on: &[Part::Seeds],
    },
    Calibration {
        calculation: &trip::CALCULATION,
        name: TRIP_SCALE.name,
        proof: &["trip-run"],
        rests_on: &[Part::Speed],
    },
    Calibration {
        calculation: &alley::CALCULATION,
        name: SETBACK.name,
        proof: &["alley-run"],
        rests_on: Part::ALL,
    },
    Calibration {
        calculation: &passes::CALCULATION,
        name: PASS_OFFSET.name,
        proof: &["pass-run"],
        rests_on: Part::ALL,
    },
    Calibration {
        calculation: &guess_rows::CALCULATION,
        name: "guess rows",
        proof: &["guess-row-run"],
        rests_on: &[],
    },
    Calibration {
        calculation: &depth::CALCULATION,
        name: "planting depth",
        proof: &["depth-run"],
        rests_on: &[Part::Speed],
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chain_is_numbered_in_plain_digits_from_one() {
        assert!(Subject::of_key("chain-1-driving").is_some());
        for key in ["chain-+1-driven", "chain-01-driven", "chain-0-driven", "chain--driven"] {
            assert!(Subject::of_key(key).is_none(), "{key}");
        }
    }

    #[test]
    fn every_setting_has_its_effect_and_its_calibration() {
        let sprocket = Subject::Sprocket { chain: 2, driving: false };
        for (subject, effect, calibration) in [
            (Subject::Held(&TRIP_SCALE), &BY_TRIP_SCALE, "trip"),
            (Subject::Held(&SETBACK), &BY_SETBACK, "alley"),
            (Subject::Held(&PASS_OFFSET), &BY_PASS_OFFSET, "passes"),
            (Subject::of_key("fill.for").expect("a key"), &BY_TIMER, "changeover"),
            (sprocket, &BY_SPROCKET, "spacing"),
            (Subject::Hand(ByHand::Throttle), &BY_THROTTLE, "speed"),
            (Subject::Hand(ByHand::Marks), &BY_MARKS, "alley"),
            (Subject::Hand(ByHand::Staking), &BY_STAKING, "alley"),
            (Subject::Hand(ByHand::Chain { row: 2 }), &BY_CHAIN, "rows"),
            (Subject::Hand(ByHand::Depth { row: None }), &BY_DEPTH, "depth"),
            (Subject::Hand(ByHand::Hitch), &BY_HITCH, "guess-rows"),
        ] {
            assert!(std::ptr::eq(subject.effect(), effect), "{}", subject.name());
            assert_eq!(subject.calibration().calculation.key, calibration);
        }
    }

    #[test]
    fn what_hands_adjust_goes_by_its_key_and_its_row() {
        for (key, name, row) in [
            ("throttle", "throttle", None),
            ("marks", "place of the marks", None),
            ("staking", "staking of the marks", None),
            ("chain-row-12", "chain of row 12", Some(12)),
            ("depth-row-3", "depth setting of row 3", Some(3)),
            ("depth-all", "depth setting of all rows", None),
            ("hitch", "hitch", None),
        ] {
            let subject = Subject::of_key(key).expect(key);
            assert_eq!((subject.key().as_str(), subject.name().as_str()), (key, name));
            assert_eq!(subject.row(), row);
        }
        for key in ["chain-row-", "chain-row-01", "depth-row-x", "depth", "chain-row-2-driven"] {
            assert_eq!(Subject::of_key(key), None, "{key}");
        }
    }

    #[test]
    fn a_sprocket_goes_by_its_chain_and_its_side() {
        for (chain, driving, name, key) in [
            (1, true, "chain 1 driving", "chain-1-driving"),
            (12, false, "chain 12 driven", "chain-12-driven"),
        ] {
            let subject = Subject::Sprocket { chain, driving };
            assert_eq!((subject.name().as_str(), subject.key().as_str()), (name, key));
            assert_eq!(Subject::of_key(key), Some(subject));
        }
        assert_eq!(Subject::of_key("chain-1-idler"), None);
    }
}
