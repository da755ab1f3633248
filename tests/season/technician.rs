//! A technician who does what `Next:` says, and what became of it.

use alleytrue::outcome::Report;
use alleytrue::record::{NoChange, Subject};
use alleytrue::sheet::writing::Correction;

use super::dice::Dice;
use super::planter::{Planter, SETTINGS, Setting, TOLERANCE};
use super::sheet::{Sheet, numbers, typed};

/// Test ranges after which a season counts as one without end.
pub const MOST_ROUNDS: usize = 25;
/// Things put right at the desk after which one round is called without end.
const MOST_AT_THE_DESK: usize = 6;

/// A slip at the controller.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Slip {
    /// The number is never keyed in.
    Forgotten,
    /// Another number is keyed in: so far off the wanted one, in parts of the change.
    Other(f64),
}

/// A reading misread by so much: of the first day.
#[derive(Clone, Copy, Debug)]
pub struct Wild {
    pub list: &'static str,
    pub place: usize,
    pub by: f64,
}

/// What a season is like.
#[derive(Clone, Debug)]
pub struct Season {
    pub planter: Planter,
    /// What the sheet has of the trip scale and of the directions.
    pub counts_per_length: bool,
    pub setback_is_known: bool,
    pub setback_raising_back: bool,
    pub offset_raising_back: bool,
    /// Passes that are driven: out, home.
    pub headings: [bool; 2],
    pub alleys: usize,
    pub leads: usize,
    /// The change, counted from zero, that slips, and how.
    pub slip: Option<(usize, Slip)>,
    pub wild: Option<Wild>,
    /// The test range after which the last change is taken back, in the sheet and on the planter.
    pub undo: Option<usize>,
}

/// What became of a season.
#[derive(Clone, Debug, Default)]
pub struct End {
    pub rounds: usize,
    pub without_end: bool,
    /// The errors in the end.
    pub left: Vec<(Setting, f64)>,
    /// Changes made, and those that made the true error larger.
    pub changes: usize,
    pub worse: usize,
    /// Changes with a fault that moved enough to be told, and those named in the round after.
    pub faults: usize,
    pub named: usize,
    /// Reports after changes without a fault, and those that named one.
    pub sound: usize,
    pub false_alarms: usize,
    /// Reports that held runs apart.
    pub reports: usize,
    pub apart: usize,
    /// What was said and done, for reading.
    pub log: Vec<String>,
}

impl End {
    /// Whether every setting ended inside the tolerance.
    pub fn is_right(&self) -> bool {
        !self.without_end && self.left.iter().all(|(_, error)| error.abs() <= TOLERANCE)
    }
}

/// What was done to a setting last.
#[derive(Clone, Copy, Debug)]
struct Done {
    setting: Setting,
    /// What the controller held before.
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
    wild: Option<(String, f64)>,
    end: End,
}

/// The sheet before anything is measured.
pub fn head(season: &Season) -> String {
    let planter = &season.planter;
    let scale =
        if season.counts_per_length { "counts = \"per length\"" } else { "length = \"per count\"" };
    let way = |back: bool| if back { "back" } else { "ahead" };
    let [scale_now, setback, offset] = planter.held.map(typed);
    format!(
        "bare-length = \"in\"\n[planter]\nrow-spacing = \"30 in\"\n[planter.controller]\n\
         trip-scale = {{ {scale}, step = 0.01 }}\n\
         setback = {{ raising-moves-alley = \"{}\", step = \"0.5 in\" }}\n\
         pass-offset = {{ raising-moves-alley = \"{}\", step = \"0.5 in\" }}\n\
         [trial]\nplot = \"17 ft 6 in\"\nalley = \"30 in\"\nseed-spacing = \"1.5 in\"\n\
         [trial.tolerance]\ntrip = \"1 in\"\ncentre = \"1 in\"\nwidth = \"2 in\"\n\
         passes = \"1 in\"\n\
         [settings]\ntrip-scale = {scale_now}\nsetback = {setback}\npass-offset = {offset}\n",
        if season.setback_is_known { way(season.setback_raising_back) } else { "not known" },
        way(season.offset_raising_back),
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
        wild: None,
        end: End::default(),
    };
    play.all();
    play.end.left = SETTINGS
        .into_iter()
        .filter(|setting| play.is_measured(*setting))
        .map(|setting| (setting, play.planter.error(setting)))
        .collect();
    play.end
}

impl Play<'_> {
    fn is_measured(&self, setting: Setting) -> bool {
        match setting {
            Setting::TripScale => true,
            Setting::Setback => self.season.headings != [false; 2],
            Setting::PassOffset => self.season.leads > 0,
        }
    }

    fn say(&mut self, words: String) {
        self.end.log.push(words);
    }

    fn all(&mut self) {
        for round in 1..=MOST_ROUNDS {
            self.end.rounds = round;
            self.plant(round);
            let report = self.sheet.report();
            self.look(&report);
            if self.season.undo == Some(round) && self.undo(round) {
                continue;
            }
            if self.follow(report, round) {
                return;
            }
        }
        self.end.without_end = true;
    }

    /// A test range planted, measured and recorded.
    fn plant(&mut self, day: usize) {
        let (planter, dice) = (&self.planter, &mut self.dice);
        let today = planter.day(day, dice);
        let mut lists: Vec<(&str, &'static str, Vec<f64>)> =
            vec![("trip", "readout", planter.readouts(&today, 10, dice))];
        for way in [0, 1] {
            if self.season.headings[way] {
                let [a, b] = planter.alleys(&today, way, self.season.alleys, dice);
                lists.push(("alley", "last-seed-to-mark", a));
                lists.push(("alley", "mark-to-first-seed", b));
            }
        }
        if self.season.leads > 0 {
            lists.push(("pass", "lead", planter.leads(&today, self.season.leads, dice)));
        }
        if let (Some(wild), 1) = (self.season.wild, day) {
            let (_, list, readings) =
                lists.iter_mut().find(|(_, list, _)| *list == wild.list).expect("such readings");
            self.wild = Some(((*list).to_owned(), readings[wild.place]));
            readings[wild.place] += wild.by;
        }
        let shown = format!(
            "day {day}: holds {:?}, error per plot {:.2}, ahead {:.2?}",
            planter.held,
            planter.error_per_plot(),
            planter.ahead()
        );
        self.say(shown);
        self.write(lists, day);
    }

    fn write(&mut self, lists: Vec<(&str, &'static str, Vec<f64>)>, day: usize) {
        use alleytrue::sheet::writing::Given;
        let one = |text: &str| Given::One(text.to_owned());
        let mut headings = [0, 1].into_iter().filter(|way| self.season.headings[*way]);
        let mut lists = lists.into_iter();
        while let Some((kind, list, readings)) = lists.next() {
            let mut keys = match kind {
                "trip" => vec![("marks", one("240"))],
                "alley" => {
                    let way = headings.next().expect("a heading");
                    vec![("heading", Given::Text(["out", "home"][way].into()))]
                }
                _ => vec![],
            };
            keys.push((list, numbers(&readings)));
            if kind == "alley" {
                let (_, other, readings) = lists.next().expect("both sides");
                keys.push((other, numbers(&readings)));
            }
            self.sheet.record(kind, keys, day);
        }
    }

    /// Codes that name a fault of a setting's last change.
    fn named(report: &Report, setting: Setting) -> Vec<&'static str> {
        let own = report.outcomes.iter().filter(|one| one.calculation.key == setting.calculation());
        let codes = own.flat_map(|one| &one.warnings).map(|warning| warning.kind.code);
        codes.filter(|code| code.starts_with("change-")).collect()
    }

    /// What the first report after a change says of it.
    fn look(&mut self, report: &Report) {
        self.end.reports += 1;
        let codes = report.outcomes.iter().flat_map(|one| &one.warnings);
        let apart = codes.filter(|one| one.kind.code == "runs-apart").count() > 0;
        self.end.apart += usize::from(apart);
        for place in 0..self.done.len() {
            let done = self.done[place];
            if done.seen {
                continue;
            }
            self.done[place].seen = true;
            let named = !Play::named(report, done.setting).is_empty();
            match (done.faulty, done.tells) {
                (true, true) => {
                    self.end.faults += 1;
                    self.end.named += usize::from(named);
                }
                (false, _) => {
                    self.end.sound += 1;
                    self.end.false_alarms += usize::from(named);
                }
                (true, false) => {}
            }
        }
    }

    /// Takes the last change back; whether there was one.
    fn undo(&mut self, day: usize) -> bool {
        if !self.sheet.correct(&Correction::Undo, day) {
            return false;
        }
        for setting in SETTINGS {
            let old = self.in_sheet(setting);
            if old != self.planter.held(setting) {
                self.say(format!("  taken back: {} to {old}", setting.key()));
                self.planter.key_in(setting, old);
                self.done.retain(|one| one.setting != setting);
            }
        }
        true
    }

    /// Does what the report says; whether the season has ended.
    fn follow(&mut self, mut report: Report, day: usize) -> bool {
        for _ in 0..MOST_AT_THE_DESK {
            let Some(next) = report.next.clone() else { return true };
            self.say(format!("  Next: {}", next.instruction));
            // What scatters single plots is found on the planter, and the settings are done.
            if next.instruction.contains("are to be expected inside") {
                return true;
            }
            match self.sheet.next_change(&report) {
                Ok(wanted) => {
                    self.set(&wanted, day);
                    return false;
                }
                Err(NoChange::Nothing(_)) => return true,
                Err(NoChange::ByHand(_)) => {}
                Err(why) => {
                    self.say(format!("  refused: {why:?}"));
                    return false;
                }
            }
            if !self.at_the_desk(&next.instruction, &report, day) {
                return false;
            }
            report = self.sheet.report();
        }
        false
    }

    /// Puts right in the sheet what `Next:` asks for, where it is anything of the kind.
    fn at_the_desk(&mut self, words: &str, report: &Report, day: usize) -> bool {
        if words.contains("far from the rest") || words.contains("look at that reading") {
            let Some((list, reading)) = self.wild.take() else { return false };
            let wild = self.season.wild.expect("a wild reading");
            let table = match wild.list {
                "readout" => "trip-run",
                "lead" => "pass-run",
                _ => "alley-run",
            };
            self.sheet.mend(table, 0, &list, wild.place, reading);
            return true;
        }
        if words.contains("the marks belong") {
            // Runs against the old marks tell nothing of the new ones.
            self.planter.marks = 0.0;
            self.sheet.drop_all("alley-run");
            return false;
        }
        let named = SETTINGS.into_iter().find(|setting| {
            words.contains(&format!("--turn {}", setting.key()))
                || words.contains(&format!("--not-set {}", setting.key()))
                || words.contains(&format!("--was {}", setting.key()))
                || words.contains(&format!("--learn {}", setting.key()))
        });
        let Some(setting) = named else { return false };
        let codes = Play::named(report, setting);
        self.say(format!("  {codes:?}"));
        let held = self.planter.held(setting);
        let in_sheet = self.in_sheet(setting);
        let subject = Subject::of_key(setting.key()).expect("a setting");
        if words.contains("--turn") {
            return self.sheet.correct(&Correction::Turn(subject), day);
        }
        // He looks at the controller first, as he is told.
        let before = self.done.iter().find(|one| one.setting == setting).map(|one| one.before);
        if before == Some(held) && words.contains("--not-set") {
            return self.sheet.correct(&Correction::NotSet(subject), day);
        }
        if (held - in_sheet).abs() > 1e-6 {
            return self.sheet.correct(&Correction::Was(subject, typed(held)), day);
        }
        let learned = Correction::learned(report, subject).filter(|_| words.contains("--learn"));
        learned.is_some_and(|learned| self.sheet.correct(&learned, day))
    }

    fn in_sheet(&self, setting: Setting) -> f64 {
        let text = self.sheet.0.split("[settings]").nth(1).expect("settings");
        let line = text.lines().find(|line| line.starts_with(setting.key())).expect("a line");
        let (_, value) = line.split_once('=').expect("a value");
        value.trim().trim_matches('"').trim_end_matches(" in").parse().expect("a number")
    }

    /// Sets what `apply` wrote, unless it slips.
    fn set(&mut self, wanted: &[alleytrue::record::Wanted], day: usize) {
        let setting = SETTINGS
            .into_iter()
            .find(|one| wanted[0].setting.key() == one.key())
            .expect("a setting of the controller");
        let before = self.in_sheet(setting);
        self.sheet.apply(wanted, day);
        let to = self.in_sheet(setting);
        let slip = self.season.slip.filter(|(number, _)| *number == self.end.changes);
        let keyed = match slip {
            None => to,
            Some((_, Slip::Forgotten)) => before,
            Some((_, Slip::Other(part))) => to + ((to - before) * part * 2.0).round() / 2.0,
        };
        self.say(format!("  set {} to {to}, keyed in {keyed}", setting.key()));
        let held_before = self.planter.held(setting);
        let old = self.planter.error(setting);
        self.planter.key_in(setting, keyed);
        let new = self.planter.error(setting);
        self.end.changes += 1;
        self.end.worse += usize::from(new.abs() > old.abs() + 1e-9);
        // By the sheet's own lights it should have moved the error by as much as it changed.
        let inches = |number: f64| match setting {
            Setting::TripScale => super::planter::SPACING * (number / before - 1.0),
            _ => number - before,
        };
        let wanted = inches(to) * self.size_in_sheet(setting);
        let missed = (wanted.abs() - (new - old).abs()).abs();
        let known = self.is_known_in_sheet(setting);
        // A slip that nobody noticed makes the change after it a wrong one too.
        let slipped = keyed != to || held_before != before;
        let faulty = known && (slipped || self.is_wrong_in_sheet(setting));
        self.done.retain(|one| one.setting != setting);
        let five = 5.0 * self.error_of_difference(setting);
        // Where it went as far as it should, it went the wrong way.
        let tells = known && wanted.abs() >= five && (missed < 0.1 || missed >= five);
        self.done.push(Done { setting, before: held_before, faulty, tells, seen: false });
    }

    /// What the sheet has of how a setting works.
    fn works(&self, setting: Setting) -> &str {
        let line = self.sheet.0.lines().find(|line| line.starts_with(setting.key()));
        line.expect("a line of the controller")
    }

    fn is_known_in_sheet(&self, setting: Setting) -> bool {
        !self.works(setting).contains("not known")
    }

    fn size_in_sheet(&self, setting: Setting) -> f64 {
        let size = self.works(setting).split(" moves = ").nth(1);
        let size = size.and_then(|rest| rest.split([',', ' ', '}']).next());
        size.map_or(1.0, |size| size.parse().expect("a size"))
    }

    fn is_wrong_in_sheet(&self, setting: Setting) -> bool {
        let line = self.works(setting);
        let moves = |moves: &super::planter::Moves| {
            let mean = moves.acts_on.iter().filter(|acts| **acts).count() as f64 / 2.0;
            let size = moves.size * mean / self.size_in_sheet(setting);
            line.contains("\"back\"") != moves.raising_moves_back || !(0.8..1.25).contains(&size)
        };
        match setting {
            Setting::TripScale => line.contains("per length") != self.planter.counts_per_length,
            Setting::Setback => moves(&self.planter.setback),
            Setting::PassOffset => moves(&self.planter.offset),
        }
    }

    /// The standard error of the difference of two days: of their readings, and half the tolerance
    /// for each day, which two runs can't tell from a change.
    fn error_of_difference(&self, setting: Setting) -> f64 {
        use super::planter::SEEDS;
        let hand = self.planter.hand.powi(2);
        let count = |number: usize| number as f64;
        let alleys =
            count(self.season.alleys) * count(self.season.headings.iter().filter(|h| **h).count());
        let by_readings = match setting {
            Setting::TripScale => hand / 10.0,
            Setting::Setback => (SEEDS.powi(2) / 24.0 + hand / 2.0) / alleys,
            Setting::PassOffset => (SEEDS.powi(2) / 12.0 + hand) / 4.0 / count(self.season.leads),
        };
        (2.0 * (by_readings + (TOLERANCE / 2.0).powi(2))).sqrt()
    }
}
