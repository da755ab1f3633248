//! A new sheet by a dozen questions; what else it can have may wait.

use std::path::Path;

use toml_edit::Value;

use crate::quantity::parse_number;
use crate::render::harmless;
use crate::sheet::writing::write_new;
use crate::sheet::{FieldSheet, Source};

use super::super::exit::Exit;
use super::super::output::complain;
use super::desk::keep;
use super::halt::{Going, Halt};
use super::kept::{Beside, Kept};
use super::lines::{Answer, Talk};

/// A question of a new sheet.
struct Question {
    key: &'static str,
    /// What is asked.
    asks: &'static str,
    /// What may be answered, with an example in feet and inches, and in metres.
    help: [&'static str; 2],
    /// What Enter says, in either.
    usual: [Usual; 2],
}

/// What Enter says.
#[derive(Clone, Copy)]
enum Usual {
    /// This.
    Is(&'static str),
    /// It waits.
    Waits,
    /// Nothing: the sheet can't be begun without it.
    Needed,
    /// The name of the file.
    Name,
}

const UNITS: &str = "units";
const TITLE: &str = "title";
const PLOT: &str = "plot";
const ALLEY: &str = "alley";
const RANGES: &str = "ranges";
const ROWS: &str = "row-spacing";
const SEEDS: &str = "seeds";
const SPEED: &str = "speed";
const TOLERANCE: &str = "tolerance";
const SCALE: &str = "trip-scale";
const SETBACK: &str = "setback";
const OFFSET: &str = "pass-offset";

/// Which way an alley goes, where nobody knows.
const NOT_KNOWN: &str = "?";

const WAYS: [&str; 2] = [
    "the number that it shows, and which way the alley goes along the travel when the number is \
     raised: back, ahead, or not known: 15 back; 15 in ahead; 15 ?",
    "the number that it shows, and which way the alley goes along the travel when the number is \
     raised: back, ahead, or not known: 38 back; 38 cm ahead; 38 ?",
];

const QUESTIONS: [Question; 12] = [
    Question {
        key: UNITS,
        asks: "units, us or metric",
        help: ["us: feet and inches, mph; metric: metres and centimetres, km/h"; 2],
        usual: [Usual::Is("us"); 2],
    },
    Question {
        key: TITLE,
        asks: "name of the trial",
        help: ["any words"; 2],
        usual: [Usual::Name; 2],
    },
    Question {
        key: PLOT,
        asks: "length of a plot, without the alley",
        help: [
            "such as 17 ft 6 in; a bare number is in inches",
            "such as 5.3 m; a bare number is in centimetres",
        ],
        usual: [Usual::Needed; 2],
    },
    Question {
        key: ALLEY,
        asks: "length of the alley",
        help: [
            "such as 30 in; a bare number is in inches",
            "such as 75 cm; a bare number is in centimetres",
        ],
        usual: [Usual::Needed; 2],
    },
    Question {
        key: RANGES,
        asks: "ranges, one after the other in a pass",
        help: ["a number; an error of each plot adds up over them"; 2],
        usual: [Usual::Waits; 2],
    },
    Question {
        key: ROWS,
        asks: "row spacing",
        help: ["such as 30 in", "such as 75 cm"],
        usual: [Usual::Is("30 in"), Usual::Is("75 cm")],
    },
    Question {
        key: SEEDS,
        asks: "seed spacing or population",
        help: ["such as 1.5 in, or 139000 /ac", "such as 4 cm, or 34 /m2"],
        usual: [Usual::Waits; 2],
    },
    Question {
        key: SPEED,
        asks: "planting speed",
        help: [
            "such as 2.8 mph; a bare number is in mph",
            "such as 4.5 km/h; a bare number is in km/h",
        ],
        usual: [Usual::Waits; 2],
    },
    Question {
        key: TOLERANCE,
        asks: "how far off is good enough",
        help: [
            "for a plot, the middle of an alley and neighbouring passes; the width of an alley gets \
             twice that; such as 1 in",
            "for a plot, the middle of an alley and neighbouring passes; the width of an alley gets \
             twice that; such as 2.5 cm",
        ],
        usual: [Usual::Is("1 in"), Usual::Is("2.5 cm")],
    },
    Question {
        key: SCALE,
        asks: "trip scale now, and c or l",
        help: ["all digits that the controller shows, and what they are by its manual: c, counts per \
             length; l, length per count: 402.50 c; Enter where it has none"; 2],
        usual: [Usual::Waits; 2],
    },
    Question {
        key: SETBACK,
        asks: "setback now, and back, ahead or ?",
        help: WAYS,
        usual: [Usual::Waits; 2],
    },
    Question {
        key: OFFSET,
        asks: "pass offset now, and back, ahead or ?",
        help: WAYS,
        usual: [Usual::Waits; 2],
    },
];

/// Begins a sheet that is not there.
pub(super) fn sheet(
    sheet: &Path,
    beside: &mut Beside,
    kept: Option<Kept>,
    talk: &mut Talk<'_>,
) -> Going<()> {
    let name = harmless(&sheet.display().to_string());
    let mut answers = match kept {
        Some(Kept::Sheet(answers)) => answers,
        Some(Kept::Run(_)) => return Err(lost(&name, talk)),
        None => vec![],
    };
    talk.say("", &format!("{name} is not there yet."))?;
    if answers.is_empty() {
        let help = "y: a dozen questions, and what you don't know may wait; n: look at the name";
        if !talk.is_so("begin it by a dozen questions? (Enter: yes, n)", Some(true), help)? {
            return Err(Halt::Stopped);
        }
        talk.say("", "Enter takes what stands in [ ], or leaves it for later; ? says more.")?;
    } else {
        let said: Vec<String> = answers
            .iter()
            .map(|(key, value)| format!("{} {value}", key.replace('-', " ")))
            .collect();
        talk.say("Kept from last time: ", &said.join(", "))?;
    }
    ask_all(sheet, beside, &mut answers, talk)?;
    let text = text_of(sheet, &answers);
    if let Err(error) = write_new(sheet, text.as_bytes()) {
        talk.flush()?;
        complain(&format!(
            "error: {name} can't be written: {error}\nhelp: check the folder and its rights\n"
        ));
        return Err(Halt::Failed(Exit::CouldNot));
    }
    beside.done();
    talk.say("wrote ", &format!("{name}; `alleytrue explain sheet` says what else it can have"))?;
    Ok(talk.print("\n")?)
}

/// Readings are kept for a sheet that is gone.
fn lost(name: &str, talk: &mut Talk<'_>) -> Halt {
    let _ = talk.flush();
    complain(&format!(
        "error: {name} is not there, and readings for it are kept in {name}.guide\n\
         help: put the sheet back in its place, or give its new name to both files\n"
    ));
    Halt::Failed(Exit::CouldNot)
}

fn ask_all(
    sheet: &Path,
    beside: &mut Beside,
    answers: &mut Vec<(String, String)>,
    talk: &mut Talk<'_>,
) -> Going<()> {
    while let Some(question) = QUESTIONS.get(answers.len()) {
        let at = answers.len() + 1;
        let units = usize::from(is_metric(answers));
        let usual = match question.usual[units] {
            Usual::Is(usual) => Some(usual.to_owned()),
            Usual::Waits => Some(String::new()),
            Usual::Needed => None,
            Usual::Name => Some(name_of(sheet)),
        };
        let shown = match usual.as_deref() {
            Some("") => " [later]".to_owned(),
            Some(usual) => format!(" [{usual}]"),
            None => String::new(),
        };
        let help = question.help[units];
        let prompt = format!("{at}/{} {}{shown}", QUESTIONS.len(), question.asks);
        let answer = match (talk.ask(&prompt, help)?, usual) {
            (Answer::Back, _) => {
                answers.pop();
                continue;
            }
            (Answer::Enter, Some(usual)) => usual,
            (Answer::Enter, None) => {
                talk.say("  ", help)?;
                continue;
            }
            (Answer::Text(text), _) => text,
        };
        match as_meant(question.key, &answer) {
            Some(answer) => answers.push((question.key.to_owned(), answer)),
            None => {
                talk.say("  ", &format!("`{answer}` is no answer: {help}"))?;
                continue;
            }
        }
        if let Some(words) = mistake(sheet, answers) {
            talk.say("  ", &words)?;
            answers.pop();
            continue;
        }
        keep(beside, &Kept::Sheet(answers.clone()), talk)?;
    }
    Ok(())
}

/// An answer in its full form; none where it is none.
fn as_meant(key: &str, answer: &str) -> Option<String> {
    if answer.is_empty() {
        return Some(String::new());
    }
    match key {
        UNITS => {
            let word = answer.to_lowercase();
            let whole = ["us", "metric"].into_iter().find(|whole| whole.starts_with(&word));
            whole.map(str::to_owned)
        }
        SCALE => {
            let (number, way) = parted(answer)?;
            parse_number(number).ok()?;
            let way = ["counts", "length"].into_iter().find(|whole| whole.starts_with(&way))?;
            Some(format!("{number} {way}"))
        }
        SETBACK | OFFSET => {
            let (number, way) = parted(answer)?;
            let ways = ["back", "ahead", NOT_KNOWN];
            let way = ways.into_iter().find(|whole| whole.starts_with(&way))?;
            Some(format!("{number} {way}"))
        }
        _ => Some(answer.to_owned()),
    }
}

/// A number with a word behind it.
fn parted(answer: &str) -> Option<(&str, String)> {
    let answer = answer.strip_suffix("not known").map_or(answer, |rest| rest.trim_end());
    let at = answer.rfind(|c: char| !(c.is_alphabetic() || c == '?'))? + 1;
    let (number, way) = answer.split_at_checked(at)?;
    let way = if way.is_empty() { NOT_KNOWN.to_owned() } else { way.to_lowercase() };
    Some((number.trim(), way)).filter(|(number, _)| !number.is_empty())
}

fn is_metric(answers: &[(String, String)]) -> bool {
    answers.iter().any(|(key, value)| key == UNITS && value == "metric")
}

fn name_of(sheet: &Path) -> String {
    let stem =
        sheet.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
    let name: String = stem.chars().filter(|c| !c.is_control()).collect();
    if name.is_empty() { "My trial".into() } else { name }
}

/// What the sheet would be refused for by now, in words.
fn mistake(sheet: &Path, answers: &[(String, String)]) -> Option<String> {
    let source = Source::new(sheet.display().to_string(), &text_of(sheet, answers));
    let mistakes = FieldSheet::read(&source).err()?;
    let first = mistakes.first()?;
    let allowed = first.allowed.as_ref().map(|words| format!("; allowed: {words}"));
    Some(format!("{}{}; {}", first.message, allowed.unwrap_or_default(), first.advice))
}

/// The sheet that the answers make.
fn text_of(sheet: &Path, answers: &[(String, String)]) -> String {
    let answer = |key: &str| {
        let own = answers.iter().find(|(own, _)| own == key).map(|(_, value)| value.as_str());
        own.filter(|value| !value.is_empty())
    };
    let metric = is_metric(answers);
    let (bare, speed) = if metric { ("cm", "km/h") } else { ("in", "mph") };
    let mut text = String::from("# Field sheet of alleytrue, begun by `alleytrue guide`.\n\n");
    let title = answer(TITLE).map_or_else(|| name_of(sheet), str::to_owned);
    text += &format!("title = {}\n", Value::from(title));
    text +=
        &format!("bare-length = \"{bare}\"              # unit of lengths written without one\n");
    table(&mut text, "planter", &[(ROWS, answer(ROWS).map(measure))]);
    let scale = answer(SCALE).and_then(|scale| scale.rsplit_once(' '));
    let controller = [
        (SCALE, scale.map(|(number, way)| scale_of(number, way))),
        (SETBACK, answer(SETBACK).and_then(|set| Some(way_of(parted(set)?.1.as_str())))),
        (OFFSET, answer(OFFSET).and_then(|set| Some(way_of(parted(set)?.1.as_str())))),
    ];
    table(&mut text, "planter.controller", &controller);
    let seeds = answer(SEEDS).map(|seeds| {
        let key = if seeds.contains('/') && seeds.contains(char::is_alphabetic) {
            "population"
        } else {
            "seed-spacing"
        };
        (key, measure(seeds))
    });
    let bare_speed = |typed: &str| {
        if parse_number(typed).is_ok() { format!("{typed} {speed}") } else { typed.to_owned() }
    };
    let trial = [
        (PLOT, answer(PLOT).map(measure)),
        (ALLEY, answer(ALLEY).map(measure)),
        (SPEED, answer(SPEED).map(|typed| measure(&bare_speed(typed)))),
        (
            seeds.as_ref().map_or(SEEDS, |(key, _)| key),
            seeds.as_ref().map(|(_, value)| value.clone()),
        ),
        (RANGES, answer(RANGES).map(measure)),
    ];
    table(&mut text, "trial", &trial);
    let off = answer(TOLERANCE);
    let both = |key| (key, off.map(measure));
    let tolerances = [
        both("trip"),
        both("centre"),
        both("passes"),
        ("width", off.and_then(twice)),
        ("spacing", off.and(Some("\"2 %\"".into()))),
        ("speed", off.and(Some("\"2 %\"".into()))),
    ];
    table(&mut text, "trial.tolerance", &tolerances);
    let held = |key| answer(key).and_then(parted).map(|(number, _)| measure(number));
    let settings = [
        (SCALE, scale.map(|(number, _)| measure(number))),
        (SETBACK, held(SETBACK)),
        (OFFSET, held(OFFSET)),
    ];
    table(&mut text, "settings", &settings);
    text
}

fn table(text: &mut String, name: &str, lines: &[(&str, Option<String>)]) {
    if lines.iter().all(|(_, value)| value.is_none()) {
        return;
    }
    *text += &format!("\n[{name}]\n");
    for (key, value) in lines {
        if let Some(value) = value {
            *text += &format!("{key} = {value}\n");
        }
    }
}

/// A number as TOML has it, or a text.
fn measure(typed: &str) -> String {
    match parse_number(typed) {
        Ok(_) if typed.parse::<Value>().is_ok() => typed.to_owned(),
        _ => Value::from(typed).to_string(),
    }
}

/// What the digits of a trip scale say: its kind, and its step.
fn scale_of(number: &str, way: &str) -> String {
    let key = if way == "counts" { "counts = \"per length\"" } else { "length = \"per count\"" };
    let decimals = number.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let step = match decimals {
        0 => "1".to_owned(),
        places => format!("0.{}1", "0".repeat(places - 1)),
    };
    format!("{{ {key}, step = {step} }}")
}

fn way_of(way: &str) -> String {
    let way = if ["back", "ahead"].contains(&way) { way } else { "not known" };
    format!("{{ raising-moves-alley = \"{way}\" }}")
}

/// Twice a length, in the unit in which it was typed.
fn twice(typed: &str) -> Option<String> {
    let at = typed.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(typed.len());
    let (number, unit) = typed.split_at(at);
    let double = parse_number(number).ok()?.value() * 2.0;
    Some(measure(&format!("{}{unit}", crate::quantity::plain(double))))
}
