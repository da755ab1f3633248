//! A technician who does by hand what `Next:` says, and what became of it.

use alleytrue::outcome::{By, ByHand, Condition, Report};
use alleytrue::record::{ByHandWanted, Choice, NoChange, Subject, choose_by_hand};
use alleytrue::sheet::writing::{Correction, Given};

use super::dice::Dice;
use super::end::End;
use super::planter::{
    CENTRE_TOLERANCE, DEPTH, DEPTH_TOLERANCE, IN_PHASE, PER_TURN, Planter, SEEDS, SPEED,
    SPEED_TOLERANCE,
};
use super::sheet::{Sheet, numbers, typed};

/// Looks after which a season counts as one without end.
const MOST_ROUNDS: usize = 25;
/// Things done and put right between two looks, after which a round is called without end.
const MOST_BETWEEN: usize = 20;
/// Looks that a phase may be out by: three standard errors of six edges.
const PHASE_OF_A_LOOK: f64 = 0.02;

/// What is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Looks {
    Speed,
    Rows,
    /// Depths whose row is noted, or is not.
    Depth {
        noted: bool,
    },
    /// Alleys out and home.
    Alleys,
}

/// What a season is like.
#[derive(Clone, Debug)]
pub struct Season {
    pub planter: Planter,
    pub looks: Looks,
    /// Whether the sheet says that turning in goes deeper.
    pub deeper: bool,
    /// Whether marks are staked anew, and not moved.
    pub stakes_anew: bool,
    /// The change, counted from zero, that is forgotten.
    pub forgotten: Option<usize>,
    /// Seeds that are planted one after another: of the first, of the second, and so on.
    pub seeds: Vec<usize>,
}

/// What was done to something last.
#[derive(Clone, Copy, Debug)]
struct Done {
    what: ByHand,
    /// What it really was before.
    before: f64,
    faulty: bool,
    /// Whether it should have moved five standard errors of the difference.
    tells: bool,
    seen: bool,
}

struct Play<'a> {
    season: &'a Season,
    planter: Planter,
    sheet: Sheet,
    dice: Dice,
    done: Vec<Done>,
    end: End,
}

/// The sheet. Single seeds and alleys may lie further off than their middle: no setting takes out
/// their scatter.
fn head(season: &Season) -> String {
    let Planter { teeth, setback, .. } = season.planter;
    let way = if season.deeper { "deeper" } else { "shallower" };
    let controller = match season.looks {
        Looks::Alleys => {
            "[planter.controller]\nsetback = { raising-moves-alley = \"back\", step = 0.5 }\n"
        }
        _ => "",
    };
    let (aim, settings) = match season.looks {
        Looks::Speed => {
            ("speed = \"2.6 mph\"\ntolerance = { speed = \"2 %\" }\n".into(), String::new())
        }
        Looks::Rows => (format!("seed-spacing = {SEEDS}\n"), String::new()),
        Looks::Depth { .. } => (
            "depth = 4\ntolerance = { depth = \"1/4 in\" }\nlimit = { depth = \"3/4 in\" }\n"
                .into(),
            String::new(),
        ),
        Looks::Alleys => (
            "plot = 210\nalley = 30\nseed-spacing = 1.5\ntolerance = { centre = 1, width = 2 }\n\
             limit = { centre = 2 }\n"
                .into(),
            format!("[settings]\nsetback = {}\n[conditions]\nseed = \"lot 0\"\n", typed(setback)),
        ),
    };
    format!(
        "bare-length = \"in\"\n[planter]\nrows = 4\nrow-spacing = 30\n\
         plate = {{ cells = 40, meter-teeth = {teeth} }}\n\
         depth-turns = {{ depth = {PER_TURN}, turns = 1, turning-in = \"{way}\" }}\n{controller}\
         [trial]\n{aim}{settings}"
    )
}

/// Plays a season.
pub fn play(season: &Season, seed: u64) -> End {
    let mut play = Play {
        season,
        planter: season.planter.clone(),
        sheet: Sheet(head(season)),
        dice: Dice(seed),
        done: vec![],
        end: End::default(),
    };
    play.all();
    play.end
}

fn one(text: &str) -> Given {
    Given::One(text.to_owned())
}

impl Play<'_> {
    fn say(&mut self, words: String) {
        self.end.log.push(words);
    }

    fn all(&mut self) {
        let mut day = 0;
        for (place, seed) in self.season.seeds.iter().enumerate() {
            if place > 0 {
                self.load(*seed, day);
            }
            let ended = (0..MOST_ROUNDS).any(|_| {
                day += 1;
                self.look(day);
                self.follow(day)
            });
            self.end.rounds += day;
            self.end.without_end |= !ended;
            self.end.off.extend(self.off(place));
        }
        self.end.rounds = day;
    }

    /// Another seed, and the sheet is told.
    fn load(&mut self, seed: usize, day: usize) {
        self.planter.seed = seed;
        let subject = Subject::Hand(ByHand::Condition(Condition::Seed));
        let told = self.sheet.correct(&Correction::Own(subject, format!("lot {seed}")), day);
        assert!(told, "a seed is loaded");
        self.say(format!("  seed {seed}"));
    }

    /// What is off, as a part of what it may be.
    fn off(&self, place: usize) -> Vec<(String, f64)> {
        let planter = &self.planter;
        let rows = 1..=4_u32;
        match self.season.looks {
            Looks::Speed => vec![("speed".into(), (planter.speed / SPEED - 1.0) / SPEED_TOLERANCE)],
            Looks::Rows => rows
                .map(|row| {
                    (format!("row {row}"), planter.phase(row) / (IN_PHASE + PHASE_OF_A_LOOK))
                })
                .collect(),
            Looks::Depth { noted: true } => rows
                .map(|row| (format!("row {row}"), (planter.depth(row) - DEPTH) / DEPTH_TOLERANCE))
                .collect(),
            Looks::Depth { noted: false } => {
                let mean = rows.map(|row| planter.depth(row)).sum::<f64>() / 4.0;
                vec![("all rows".into(), (mean - DEPTH) / DEPTH_TOLERANCE)]
            }
            Looks::Alleys => vec![
                (format!("setback {place}"), planter.shift() / CENTRE_TOLERANCE),
                (format!("marks {place}"), planter.marks() / CENTRE_TOLERANCE),
            ],
        }
    }

    /// A test range planted, looked at and recorded.
    fn look(&mut self, day: usize) {
        let (planter, dice) = (&self.planter, &mut self.dice);
        let row = |row: u32| ("row", one(&row.to_string()));
        let mut runs: Vec<(&str, Vec<(&'static str, Given)>)> = vec![];
        match self.season.looks {
            Looks::Speed => {
                let times = planter.times(4, dice).into_iter();
                let times = Given::List(times.map(|time| format!("{} s", typed(time))).collect());
                runs.push(("speed", vec![("course", one("200 ft")), ("times", times)]));
            }
            Looks::Rows => runs.extend((2..=4).map(|number| {
                let ahead = numbers(&planter.edges(number, 6, dice));
                ("row", vec![row(number), ("ahead", ahead)])
            })),
            Looks::Depth { noted: true } => runs.extend((1..=4).map(|number| {
                let depths = numbers(&planter.dug_up(number, 10, dice));
                ("depth", vec![row(number), ("depth", depths)])
            })),
            Looks::Depth { noted: false } => {
                let depths = (1..=4).flat_map(|number| planter.dug_up(number, 4, dice));
                runs.push(("depth", vec![("depth", numbers(&depths.collect::<Vec<_>>()))]));
            }
            Looks::Alleys => runs.extend([0, 1].map(|way| {
                let [last, first] = planter.alleys(way, 5, dice).map(|side| numbers(&side));
                let heading = ("heading", Given::Text(["out", "home"][way].into()));
                let keys =
                    vec![heading, ("last-seed-to-mark", last), ("mark-to-first-seed", first)];
                ("alley", keys)
            })),
        }
        let shown =
            format!("day {day}: {:.2?} off, by hand {:?}", self.off(0), self.planter.by_hand);
        self.say(shown);
        for (kind, keys) in runs {
            self.sheet.record(kind, keys, day);
        }
        let report = self.sheet.report();
        self.tell(&report);
    }

    /// Whether a report names a fault of the last change of something.
    fn is_named(report: &Report, what: ByHand) -> bool {
        let words = format!("the {} was changed", what.name());
        let all = report.outcomes.iter().flat_map(|one| &one.warnings);
        let mut faults = all.filter(|one| one.kind.code.starts_with("change-"));
        faults.any(|one| one.message.starts_with(&words))
    }

    /// What the first report after a change says of it.
    fn tell(&mut self, report: &Report) {
        for done in self.done.iter_mut().filter(|done| !done.seen) {
            done.seen = true;
            let named = Play::is_named(report, done.what);
            if !done.faulty {
                self.end.sound += 1;
                self.end.false_alarms += usize::from(named);
            } else if done.tells {
                self.end.faults += 1;
                self.end.named += usize::from(named);
            }
        }
    }

    /// Does what the report says, until something is to be measured; whether the season has ended.
    fn follow(&mut self, day: usize) -> bool {
        for _ in 0..MOST_BETWEEN {
            let report = self.sheet.report();
            let Some(next) = report.next.clone() else { return true };
            self.say(format!("  Next: {}", next.instruction));
            let record = self.sheet.read().record;
            match choose_by_hand(&report, &record, Choice::Next) {
                Ok(Some((changes, _))) => {
                    self.adjust(&changes, day);
                    continue;
                }
                Ok(None) => {}
                Err(_) => return false,
            }
            match self.sheet.next_change(&report) {
                Ok(wanted) => {
                    self.sheet.apply(&wanted, day);
                    let held = self.sheet.read().record;
                    let setback =
                        Subject::of_key("setback").and_then(|own| held.held(own).cloned());
                    self.planter.setback = setback.expect("a setback").base / 25.4;
                    self.end.changes += 1;
                    return false;
                }
                Err(NoChange::Nothing(_)) => return true,
                Err(NoChange::ByHand(_)) => {}
                Err(why) => {
                    self.say(format!("  refused: {why:?}"));
                    return false;
                }
            }
            if !self.put_right(&next.instruction, day) {
                return false;
            }
        }
        false
    }

    /// Puts right in the sheet what `Next:` asks for, where it is anything of the kind.
    fn put_right(&mut self, words: &str, day: usize) -> bool {
        let asked = |option: &str| {
            let rest = words.split(&format!("{option} ")).nth(1)?;
            let key = rest.split(['`', '=', ' ']).next()?;
            ByHand::of_key(key)
        };
        let Some(what) = asked("--not-set").or_else(|| asked("--was")) else { return false };
        // He looks at the planter first, as he is told.
        let subject = Subject::Hand(what);
        let in_sheet = self.sheet.read().record.held(subject).map_or(0.0, |held| held.base);
        let held = self.planter.held(what);
        let before = self.done.iter().rfind(|done| done.what == what).map(|done| done.before);
        if (held - in_sheet).abs() < 1e-6 {
            let is_wrong =
                (self.planter.per_turn > 0.0) != self.sheet.0.contains("turning-in = \"deeper\"");
            let turns = words.contains("--turn depth-turns") && is_wrong;
            let direction = Subject::direction_of("depth-turns").expect("a direction");
            return turns && self.sheet.correct(&Correction::Turn(direction), day);
        }
        match before {
            Some(before) if before == held && words.contains("--not-set") => {
                self.sheet.correct(&Correction::NotSet(subject), day)
            }
            _ => self.sheet.correct(&Correction::Was(subject, typed(held)), day),
        }
    }

    /// Does by hand what is wanted, unless it is forgotten; the sheet says that it was done.
    fn adjust(&mut self, changes: &[ByHandWanted], day: usize) {
        if changes[0].what == ByHand::Marks && self.season.stakes_anew {
            self.stake_anew(day);
            return;
        }
        self.sheet.apply_by_hand(changes, day);
        let record = self.sheet.read().record;
        for change in changes {
            let what = change.what;
            let number = self.end.changes;
            self.end.changes += 1;
            if matches!(change.by, By::Words(_)) {
                // How far a throttle goes nobody knows.
                let part = 0.4 + 1.2 * self.dice.even();
                self.planter.speed += part * (SPEED - self.planter.speed);
                continue;
            }
            let unit = if what == ByHand::Marks { 25.4 } else { 1.0 };
            let to = record.held(Subject::Hand(what)).expect("held").base / unit;
            let before = self.planter.held(what);
            let forgotten = self.season.forgotten == Some(number);
            let error = || self.error(what);
            let old = error();
            if !forgotten {
                self.planter.set(what, to);
            }
            let moved = self.error(what) - old;
            self.say(format!("  {} to {to}, forgotten {forgotten}: moved {moved:.2}", what.key()));
            let (by_sheet, limit) = self.expected(what, to - before);
            // Where it moved as it should, whatever the sheet says, there is no fault.
            let faulty = off_by(what, moved, by_sheet) > 0.25 * by_sheet.abs();
            let tells = by_sheet.abs() >= limit && off_by(what, moved, by_sheet) >= limit;
            self.done.retain(|one| one.what != what);
            self.done.push(Done { what, before, faulty, tells, seen: what == ByHand::Marks });
        }
    }

    /// Marks staked anew: near their line, and nobody knows how near.
    fn stake_anew(&mut self, day: usize) {
        self.planter.marks = self.dice.normal(0.3);
        self.end.changes += 1;
        let words = format!("staked on day {day}");
        self.say(format!("  {words}"));
        let staking = Subject::Hand(ByHand::Staking);
        assert!(self.sheet.correct(&Correction::Own(staking, words), day), "staked");
    }

    /// What something by hand moves: a phase in spacings, a depth in inches.
    fn error(&self, what: ByHand) -> f64 {
        match what {
            ByHand::Chain { row } => self.planter.phase(row),
            ByHand::Depth { row } => self.planter.depth(row.unwrap_or(1)),
            _ => 0.0,
        }
    }

    /// What the sheet expects of a change, and five standard errors of the difference of two days:
    /// of their readings, and half the tolerance for each.
    fn expected(&self, what: ByHand, change: f64) -> (f64, f64) {
        let five = |scatter: f64, readings: f64, half: f64| {
            5.0 * (2.0 * (scatter * scatter / readings + half * half)).sqrt()
        };
        match what {
            ByHand::Chain { .. } => {
                let turned = -change * 40.0 / f64::from(self.planter.teeth);
                (turned - turned.round(), five(0.1 / SEEDS, 6.0, IN_PHASE / 2.0))
            }
            ByHand::Depth { row } => {
                let deeper = self.sheet.0.contains("turning-in = \"deeper\"");
                let by_sheet = change * if deeper { PER_TURN } else { -PER_TURN };
                let scatter = self.planter.depth_scatter;
                let readings = if row.is_some() { 10.0 } else { 16.0 };
                // Rows that nobody noted scatter among themselves too.
                let scatter = if row.is_some() { scatter } else { scatter + 0.3 };
                (by_sheet, five(scatter, readings, DEPTH_TOLERANCE / 2.0))
            }
            _ => (0.0, f64::INFINITY),
        }
    }
}

/// By how much a change missed what it should do; of a phase to the nearest.
fn off_by(what: ByHand, moved: f64, expected: f64) -> f64 {
    let off = moved - expected;
    match what {
        ByHand::Chain { .. } => (off - off.round()).abs(),
        _ => off.abs(),
    }
}
