//! Seasons played through `guide` alone: a hidden planter, and a crew that answers what it is asked
//! and nothing else. It ends where nothing is left to do, with every setting right.
//!
//! `SEASONS=50 cargo test --test guided_seasons -- --nocapture` plays so many of each kind.

#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss
)]

mod common;
mod dice;
mod season;

use common::Written;
use common::talk::Talking;
use dice::{Dice, at_least, off};
use season::planter::{Planter, SETTINGS, Setting, TOLERANCE};
use season::sheet::typed;
use season::start::{Off, everything_off};
use season::technician::{Season, Slip, head};

/// Answers after which a season counts as one without end.
const MOST_ANSWERS: usize = 300;

/// As many seasons of a kind as the one who runs the test wants.
fn asked_for() -> u64 {
    std::env::var("SEASONS").ok().and_then(|text| text.parse().ok()).unwrap_or(2)
}

/// A planter with everything off, of which the sheet says what is true.
fn usual(dice: &mut Dice) -> Season {
    everything_off(dice, &Off { scale: 0.006, setback: 2.0, marks: 0.2 })
}

/// A crew in the middle of a season.
struct Crew {
    planter: Planter,
    dice: Dice,
    slip: Option<(usize, Slip)>,
    changes: usize,
    /// Which way the alleys are planted that are measured now: out (0) or home (1).
    way: usize,
    log: String,
}

/// How a season ended.
struct End {
    left: [f64; 3],
    without_end: bool,
    log: String,
}

impl End {
    fn is_right(&self) -> bool {
        !self.without_end && self.left.iter().all(|error| error.abs() <= TOLERANCE)
    }
}

fn play(season: &Season, seed: u64) -> End {
    let sheet = Written::new(&head(season));
    let mut crew = Crew {
        planter: season.planter.clone(),
        dice: Dice(seed),
        slip: season.slip,
        changes: 0,
        way: 0,
        log: String::new(),
    };
    let mut talking = Talking::about(&sheet.path(), &[]);
    let mut said = talking.hear();
    let mut answers = 0;
    while said.ends_with("> ") && answers < MOST_ANSWERS {
        crew.log += &said;
        let answer = crew.answer(&said);
        crew.log += &format!("{answer}\n");
        said = talking.say(&answer);
        answers += 1;
    }
    crew.log += &said;
    let left = SETTINGS.map(|setting| crew.planter.error(setting));
    talking.kill();
    End { left, without_end: answers >= MOST_ANSWERS, log: crew.log }
}

impl Crew {
    /// What is answered to the last line.
    fn answer(&mut self, said: &str) -> String {
        let prompt = said.lines().last().expect("a prompt").trim_end();
        let over = prompt.contains("(Enter records)") && number_in(prompt) > 5;
        match prompt {
            _ if prompt.starts_with("planted?") || prompt.contains("(Enter: yes") || over => {
                if prompt.contains("(Enter: yes") {
                    self.way = usize::from(prompt.contains("home"));
                }
                String::new()
            }
            _ if prompt.starts_with("heading") => {
                self.way = 0;
                "out".into()
            }
            _ if prompt.starts_with("does it count?") => "n".into(),
            _ if prompt.starts_with("readout") => self.readout(),
            _ if prompt.starts_with("lead") => self.lead(),
            _ if prompt.starts_with("alley") => self.alley(),
            _ if prompt.starts_with("is it set") => self.set(said),
            _ if prompt.starts_with("what is the ") => {
                let setting = named(prompt);
                typed(self.planter.held(setting))
            }
            _ if prompt.contains("(y") => "y".into(),
            other => panic!("{other}\n{}", self.log),
        }
    }

    fn readout(&mut self) -> String {
        let day = self.planter.day(0, &mut self.dice);
        typed(self.planter.readouts(&day, 1, &mut self.dice)[0])
    }

    fn lead(&mut self) -> String {
        let day = self.planter.day(0, &mut self.dice);
        typed(self.planter.leads(&day, 1, &mut self.dice)[0])
    }

    fn alley(&mut self) -> String {
        let day = self.planter.day(0, &mut self.dice);
        let [a, b] = self.planter.alleys(&day, self.way, 1, &mut self.dice);
        format!("{}/{}", typed(a[0]), typed(b[0]))
    }

    /// Keys in what is to be set, unless it slips.
    fn set(&mut self, said: &str) -> String {
        let step = said.rsplit("Next: ").next().expect("a step").replace("\n      ", " ");
        let setting = named(&step);
        let (_, rest) = step.split_once(" to ").expect("a value");
        let number = rest.split([' ', ';']).next().expect("a number");
        let number: f64 = number.parse().unwrap_or_else(|_| panic!("{step}"));
        let slips = self.slip.filter(|(at, _)| *at == self.changes);
        self.changes += 1;
        match slips {
            Some((_, Slip::Forgotten)) => {}
            Some((_, Slip::Other(more))) => self.planter.key_in(setting, number + more),
            None => self.planter.key_in(setting, number),
        }
        "y".into()
    }
}

/// The number of the reading that is asked for.
fn number_in(prompt: &str) -> usize {
    prompt.split_whitespace().find_map(|word| word.trim_end_matches('>').parse().ok()).unwrap_or(0)
}

fn named(words: &str) -> Setting {
    let names = ["trip scale", "setback", "pass offset"];
    let first = SETTINGS
        .into_iter()
        .zip(names)
        .filter_map(|(setting, name)| Some((words.find(name)?, setting)));
    first.min_by_key(|(at, _)| *at).map(|(_, setting)| setting).expect("a setting")
}

fn all(kind: &str, seed: u64, season: fn(&mut Dice) -> Season) {
    let mut right = 0;
    for number in 0..asked_for() {
        let mut dice = Dice(seed * 1_000_003 + number);
        let season = season(&mut dice);
        let end = play(&season, dice.0);
        if std::env::var("SHOW").is_ok_and(|shown| shown == format!("{kind} {number}")) {
            println!("{season:#?}\n{}\n{:?}", end.log, end.left);
        }
        assert!(!end.without_end, "{kind} {number}: without end\n{}", end.log);
        right += usize::from(end.is_right());
        if !end.is_right() {
            println!("{kind} {number}: {:?}", end.left);
        }
    }
    let whole = usize::try_from(asked_for()).expect("a number");
    println!("{kind}: {right} of {whole} right");
    at_least(kind, "right", right, whole, 0.95);
}

#[test]
fn a_season_by_guide_alone_ends_right() {
    all("all right", 21, usual);
}

#[test]
fn a_direction_that_the_sheet_has_wrong_is_turned_in_the_conversation() {
    all("direction", 22, |dice| {
        let season = usual(dice);
        Season { setback_raising_back: !season.setback_raising_back, ..season }
    });
}

#[test]
fn a_direction_that_nobody_knows_is_learned_in_the_conversation() {
    all("not known", 23, |dice| Season { setback_is_known: false, ..usual(dice) });
}

#[test]
fn a_setting_that_was_never_keyed_in_is_found() {
    all("never keyed in", 24, |dice| Season { slip: Some((0, Slip::Forgotten)), ..usual(dice) });
}

#[test]
fn another_number_that_was_keyed_in_is_found() {
    all("other number", 25, |dice| {
        let more = off(dice, 4.0, 6.0).round();
        Season { slip: Some((1, Slip::Other(more))), ..usual(dice) }
    });
}
