//! Random field sheets that hold no mistake: every way of writing a value that the program reads,
//! in numbers a planter could have.

use std::fmt::Write as _;

use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::{select, subsequence};

/// How a crew writes its lengths.
#[derive(Clone, Copy, Debug)]
pub struct Hand {
    pub metric: bool,
    /// The unit of bare numbers, with its inches.
    pub bare: Option<(&'static str, f64)>,
}

/// Any crew.
pub fn hands() -> impl Strategy<Value = Hand> {
    let us = select(vec![None, Some(("in", 1.0)), Some(("in", 1.0)), Some(("ft", 12.0))]);
    let metric = select(vec![
        None,
        Some(("cm", 1.0 / 2.54)),
        Some(("cm", 1.0 / 2.54)),
        Some(("mm", 1.0 / 25.4)),
        Some(("m", 1.0 / 0.0254)),
    ]);
    prop_oneof![
        us.prop_map(|bare| Hand { metric: false, bare }),
        metric.prop_map(|bare| Hand { metric: true, bare }),
    ]
}

/// A length between two numbers of inches as a TOML value, in any way of writing it.
pub fn length(hand: Hand, least: f64, most: f64) -> impl Strategy<Value = String> {
    (least..=most, 0..24_u8, 0..4_usize)
        .prop_map(move |(inches, way, places)| written(hand, inches, way, places))
}

fn written(hand: Hand, inches: f64, way: u8, places: usize) -> String {
    let sign = if inches < 0.0 { "-" } else { "" };
    let size = inches.abs();
    if let Some((_, unit)) = hand.bare.filter(|_| way.is_multiple_of(3)) {
        let places = if unit > 5.0 { places.max(2) } else { places };
        return plain(sign, size / unit, places);
    }
    // One length in six is written in the units of the other half of the world.
    let metric = hand.metric != (way % 6 == 1);
    let cm = size * 2.54;
    let text = match (metric, way % 8) {
        (true, 0 | 1) => format!("{sign}{:.1$} cm", cm, places.min(2)),
        (true, 2 | 3) => format!("{sign}{:.1$} m", cm / 100.0, 2 + places.min(1)),
        (true, 4) => format!("{sign}{:.0} mm", cm * 10.0),
        (true, 5) => format!("{sign}{:.1$}cm", cm, places),
        (true, _) => format!("{sign}{:.1} cm", cm),
        (false, 0) => format!("{sign}{:.1$} in", size, places),
        (false, 1) => format!("{sign}{:.1$} ft", size / 12.0, 2 + places.min(1)),
        (false, 2) => feet(sign, size, 1, "'", "\\\"", '-'),
        (false, 3) => feet(sign, size, 8, "'", "\\\"", '-'),
        (false, 4) => feet(sign, size, 1, " ft", " in", ' '),
        (false, 5) => feet(sign, size, 16, " ft", " in", ' '),
        (false, 6) => {
            let bottom = [2.0, 3.0, 4.0, 8.0][places];
            format!("{sign}{} in", fraction(size, bottom, ' '))
        }
        (false, _) => format!("{sign}{}\u{bd} in", size.floor().max(1.0)),
    };
    format!("\"{text}\"")
}

fn plain(sign: &str, number: f64, places: usize) -> String {
    format!("{sign}{number:.places$}")
}

/// Feet, inches and so many parts of an inch.
#[allow(clippy::cast_possible_truncation)]
fn feet(sign: &str, size: f64, parts: i64, foot: &str, inch: &str, joint: char) -> String {
    let all = (size * parts as f64).round() as i64;
    let (feet, rest) = (all / (12 * parts), all % (12 * parts));
    let inches = fraction(rest as f64 / parts as f64, parts as f64, joint);
    if feet == 0 {
        format!("{sign}{inches}{inch}")
    } else {
        format!("{sign}{feet}{foot} {inches}{inch}")
    }
}

/// A number with a fraction of so many parts: `9 3/8`.
fn fraction(size: f64, bottom: f64, joint: char) -> String {
    let all = (size * bottom).round();
    let (whole, top) = ((all / bottom).floor(), all % bottom);
    match (whole == 0.0, top == 0.0) {
        (_, true) => format!("{whole}"),
        (true, false) => format!("{top}/{bottom}"),
        (false, false) => format!("{whole}{joint}{top}/{bottom}"),
    }
}

/// Readings about a middle that lies between two numbers of inches.
fn readings(
    hand: Hand,
    least: f64,
    most: f64,
    scatter: f64,
    count: std::ops::RangeInclusive<usize>,
) -> impl Strategy<Value = String> {
    let several = (least..=most).prop_flat_map(move |middle| {
        vec(length(hand, middle - scatter, middle + scatter), count.clone())
    });
    several.prop_map(|all| format!("[{}]", all.join(", ")))
}

fn number(least: f64, most: f64, places: usize) -> impl Strategy<Value = String> {
    (least..=most).prop_map(move |number| format!("{number:.places$}"))
}

fn some_number(least: f64, most: f64) -> impl Strategy<Value = String> {
    (0..4_usize).prop_flat_map(move |places| number(least, most, places))
}

fn key<T: std::fmt::Display>(name: &str, value: Option<T>) -> String {
    value.map_or(String::new(), |value| format!("{name} = {value}\n"))
}

fn teeth() -> impl Strategy<Value = String> {
    let bare = (8..60_u32).prop_map(|teeth| teeth.to_string());
    let choices = subsequence((9..48_u32).collect::<Vec<_>>(), 1..7);
    let listed = (10..48_u32, choices)
        .prop_map(|(fitted, choices)| format!("{{ fitted = {fitted}, choices = {choices:?} }}"));
    prop_oneof![1 => bare, 3 => listed]
}

fn chain(hand: Hand) -> impl Strategy<Value = String> {
    // Pitches of ANSI/ASME B29.1 chains, and metric names of the same.
    let pitch =
        select(vec!["\"3/8 in\"", "\"1/2 in\"", "\"0.625 in\"", "\"12.7 mm\"", "\"15.875 mm\""]);
    let geometry = (length(hand, 8.0, 40.0), pitch, option::of(30..160_u32), option::of(0..12_u32));
    (teeth(), teeth(), option::of(geometry)).prop_map(|(driving, driven, geometry)| {
        let mut text = format!("[[planter.drive]]\ndriving = {driving}\ndriven = {driven}\n");
        if let Some((centre, pitch, links, take_up)) = geometry {
            let _ = write!(text, "centre-distance = {centre}\nchain-pitch = {pitch}\n");
            text += &key("links", links);
            text += &key("take-up", take_up.filter(|_| links.is_some()));
        }
        text
    })
}

fn planter(hand: Hand) -> impl Strategy<Value = String> {
    let counted =
        (length(hand, 300.0, 3000.0), some_number(6.0, 40.0)).prop_map(|(distance, turns)| {
            format!("travel-per-turn = {{ distance = {distance}, turns = {turns} }}\n")
        });
    let rolling = (length(hand, 30.0, 120.0), number(0.0, 20.0, 1)).prop_map(|(round, skid)| {
        format!("rolling-circumference = {round}\nskid = \"{skid} %\"\n")
    });
    let travel = prop_oneof![3 => counted, 2 => rolling, 1 => Just(String::new())];
    let top = option::of(prop_oneof![
        number(5.0, 90.0, 0).prop_map(|rate| format!("\"{rate} turns/min\"")),
        number(0.2, 1.5, 2).prop_map(|rate| format!("\"{rate} turns/s\"")),
    ]);
    let drive = prop_oneof![
        5 => vec(chain(hand), 1..=3).prop_map(|chains| (String::new(), chains.concat())),
        1 => number(0.05, 3.0, 4).prop_map(|ratio| {
            (format!(", turns-per-wheel-turn = {ratio}"), String::new())
        }),
        1 => Just((String::new(), String::new())),
    ];
    let cells = option::weighted(0.9, (4..120_u32, top));
    let row = option::weighted(0.9, length(hand, 6.0, 60.0));
    (row, travel, cells, drive, controller(hand)).prop_map(
        |(row, travel, cells, (ratio, chains), controller)| {
            let plate = cells.map_or(String::new(), |(cells, top)| {
                let top = top.map_or(String::new(), |top| format!(", top-rate = {top}"));
                format!("plate = {{ cells = {cells}{ratio}{top} }}\n")
            });
            let row = key("row-spacing", row);
            format!("[planter]\nrows = 4\n{row}{travel}{plate}\n{chains}\n{controller}")
        },
    )
}

fn controller(hand: Hand) -> impl Strategy<Value = String> {
    let kind = select(vec!["counts = \"per length\"", "length = \"per count\""]);
    let scale_step = option::of(select(vec!["1", "0.1", "0.05", "0.01", "0.001", "0.00001"]));
    let step = move || option::of(length(hand, 0.6, 2.0));
    let way = || select(vec!["back", "ahead"]);
    (kind, scale_step, way(), step(), way(), step()).prop_map(
        |(kind, scale_step, way, step, other_way, other_step)| {
            let with = |step: Option<String>| {
                step.map_or(String::new(), |step| format!(", step = {step}"))
            };
            let scale_step = with(scale_step.map(str::to_owned));
            format!(
                "[planter.controller]\ntrip-scale = {{ {kind}{scale_step} }}\n\
                 setback = {{ raising-moves-alley = \"{way}\"{} }}\n\
                 pass-offset = {{ raising-moves-alley = \"{other_way}\"{} }}\n\n",
                with(step),
                with(other_step)
            )
        },
    )
}

fn target(hand: Hand) -> impl Strategy<Value = String> {
    let rate = |numbers: BoxedStrategy<String>, unit: &'static str| {
        numbers.prop_map(move |number| format!("population = \"{number} {unit}\"\n")).boxed()
    };
    prop_oneof![
        rate(number(2_000.0, 400_000.0, 0).boxed(), "/ac"),
        rate(number(5_000.0, 900_000.0, 0).boxed(), "/ha"),
        rate(some_number(1.0, 400.0).boxed(), "/m2"),
        rate(some_number(1.0, 40.0).boxed(), "/ft2"),
        rate(some_number(1.0, 30.0).boxed(), "seeds/ft"),
        rate(some_number(3.0, 90.0).boxed(), "seeds/m"),
        length(hand, 0.6, 30.0).prop_map(|spacing| format!("seed-spacing = {spacing}\n")),
    ]
}

fn trial(hand: Hand) -> impl Strategy<Value = String> {
    let speed = option::weighted(
        0.8,
        prop_oneof![
            3 => number(0.5, 6.0, 1).prop_map(|speed| format!("\"{speed} mph\"")),
            3 => number(1.0, 10.0, 1).prop_map(|speed| format!("\"{speed} km/h\"")),
            1 => number(0.3, 3.0, 2).prop_map(|speed| format!("\"{speed} m/s\"")),
            1 => number(60.0, 500.0, 0).prop_map(|speed| format!("\"{speed} ft/min\"")),
        ],
    );
    let tolerance = move || option::weighted(0.8, length(hand, 0.6, 3.0));
    let share = || option::weighted(0.8, number(0.5, 10.0, 1).prop_map(|s| format!("\"{s} %\"")));
    let tolerances = (tolerance(), tolerance(), tolerance(), tolerance(), share(), share());
    let size = (length(hand, 100.0, 400.0), length(hand, 12.0, 60.0));
    (size, speed, target(hand), option::of(1..300_u32), tolerances).prop_map(
        |((plot, alley), speed, target, ranges, (trip, centre, width, passes, spacing, pace))| {
            let mut text = format!("[trial]\nplot = {plot}\nalley = {alley}\n{target}");
            text += &key("speed", speed);
            text += &key("ranges", ranges);
            text += "\n[trial.tolerance]\n";
            text += &key("trip", trip);
            text += &key("centre", centre);
            text += &key("width", width);
            text += &key("passes", passes);
            text += &key("spacing", spacing);
            text += &key("speed", pace);
            text
        },
    )
}

fn settings(hand: Hand) -> impl Strategy<Value = String> {
    (some_number(1.0, 900.0), length(hand, -10.0, 60.0), length(hand, -10.0, 60.0)).prop_map(
        |(scale, setback, offset)| {
            format!("\n[settings]\ntrip-scale = {scale}\nsetback = {setback}\npass-offset = {offset}\n\n")
        },
    )
}

fn speed_run(hand: Hand) -> impl Strategy<Value = String> {
    let time = (20.0..200.0_f64, 0..3_usize).prop_map(|(time, places)| {
        if places == 0 && time > 61.0 {
            format!("\"{} min {:.0} s\"", (time / 60.0).floor(), (time % 60.0).floor())
        } else {
            format!("\"{time:.places$} s\"")
        }
    });
    (length(hand, 1000.0, 4000.0), vec(time, 1..=6)).prop_map(|(course, times)| {
        format!("[[speed-run]]\ncourse = {course}\ntimes = [{}]\n\n", times.join(", "))
    })
}

fn wheel_run(hand: Hand) -> impl Strategy<Value = String> {
    let turns =
        (8.0..40.0_f64).prop_flat_map(|middle| vec(some_number(middle - 0.5, middle + 0.5), 1..=5));
    (length(hand, 600.0, 4000.0), turns).prop_map(|(course, turns)| {
        format!("[[wheel-run]]\ncourse = {course}\nturns = [{}]\n\n", turns.join(", "))
    })
}

fn trip_run(hand: Hand) -> impl Strategy<Value = String> {
    let evidence = || {
        (200.0..260.0_f64).prop_flat_map(move |middle| {
            let near = middle * 0.02;
            (
                length(hand, middle, middle),
                readings(hand, middle - near, middle + near, 1.0, 1..=40),
            )
        })
    };
    prop_oneof![
        evidence().prop_map(|(marks, readout)| {
            format!("[[trip-run]]\nmarks = {marks}\nreadout = {readout}\n\n")
        }),
        evidence().prop_map(|(commanded, taped)| {
            format!("[[trip-run]]\ncommanded = {commanded}\ntaped = {taped}\n\n")
        }),
    ]
}

/// Alleys of one heading, or of none in particular.
fn alley_run(hand: Hand, heading: &'static str) -> impl Strategy<Value = String> {
    let both = (5.0..25.0_f64, 5.0..25.0_f64, 1..=24_usize).prop_flat_map(move |(a, b, count)| {
        (readings(hand, a, a, 1.5, count..=count), readings(hand, b, b, 1.5, count..=count))
    });
    let one = move || readings(hand, 5.0, 25.0, 1.5, 1..=24);
    let sides = prop_oneof![
        3 => both.prop_map(|(a, b)| format!("last-seed-to-mark = {a}\nmark-to-first-seed = {b}\n")),
        1 => one().prop_map(|a| format!("last-seed-to-mark = {a}\n")),
        1 => one().prop_map(|b| format!("mark-to-first-seed = {b}\n")),
    ];
    sides.prop_map(move |sides| {
        let heading =
            if heading.is_empty() { String::new() } else { format!("heading = \"{heading}\"\n") };
        format!("[[alley-run]]\n{heading}{sides}\n")
    })
}

fn alley_runs(hand: Hand) -> impl Strategy<Value = String> {
    let run = move |heading| vec(alley_run(hand, heading), 1..=2).prop_map(|runs| runs.concat());
    prop_oneof![
        1 => Just(String::new()),
        1 => run(""),
        1 => run("out"),
        1 => run("home"),
        3 => (run("home"), run("out")).prop_map(|(home, out)| home + &out),
    ]
}

fn pass_run(hand: Hand) -> impl Strategy<Value = String> {
    readings(hand, -12.0, 12.0, 1.0, 1..=24)
        .prop_map(|lead| format!("[[pass-run]]\nlead = {lead}\n\n"))
}

fn several<S: Strategy<Value = String>>(run: S) -> impl Strategy<Value = String> {
    vec(run, 0..=2).prop_map(|runs| runs.concat())
}

/// Any sheet without a mistake in it.
pub fn sheets() -> impl Strategy<Value = String> {
    hands().prop_flat_map(|hand| {
        let runs = (
            several(speed_run(hand)),
            several(wheel_run(hand)),
            vec(trip_run(hand), 1..=2).prop_map(|runs| runs.concat()),
            alley_runs(hand),
            several(pass_run(hand)),
        );
        (planter(hand), trial(hand), settings(hand), runs).prop_map(
            move |(planter, trial, settings, (speed, wheel, trip, alley, passes))| {
                let bare = key("bare-length", hand.bare.map(|(unit, _)| format!("\"{unit}\"")));
                format!("{bare}\n{planter}{trial}{settings}{speed}{wheel}{trip}{alley}{passes}")
            },
        )
    })
}

/// Rows of depths, gaps and plants counted; each list may be the only one of its row, or of no row
/// in particular.
fn planted_runs(hand: Hand) -> impl Strategy<Value = String> {
    let row = || option::weighted(0.8, 1..=4_u32);
    let depth = (row(), 1.0..2.5_f64).prop_flat_map(move |(row, middle)| {
        readings(hand, middle - 0.2, middle + 0.2, 0.3, 1..=12)
            .prop_map(move |list| format!("[[depth-run]]\n{}depth = {list}\n\n", key("row", row)))
    });
    let gaps = (row(), vec(length(hand, 0.6, 12.0), 1..=60)).prop_map(|(row, gaps)| {
        format!("[[spacing-run]]\n{}gaps = [{}]\n\n", key("row", row), gaps.join(", "))
    });
    let counts = vec(0..80_u32, 1..=10);
    let over = prop_oneof![
        3 => (row(), length(hand, 60.0, 300.0)).prop_map(|(row, length)| {
            format!("{}length = {length}\n", key("row", row))
        }),
        1 => (1..=4_u32, length(hand, 60.0, 300.0)).prop_map(|(rows, length)| {
            format!("rows = {rows}\nlength = {length}\n")
        }),
        1 => Just("plots = true\n".to_owned()),
    ];
    let skips = option::of(vec(length(hand, 4.0, 20.0), 1..=3));
    let counted = (over, counts, skips).prop_map(|(over, counts, skips)| {
        let skips = skips.map(|skips| format!("[{}]", skips.join(", ")));
        format!("[[stand-count]]\n{over}counts = {counts:?}\n{}\n", key("skips", skips))
    });
    (vec(depth, 0..=4), vec(gaps, 0..=4), vec(counted, 1..=4))
        .prop_map(|(depths, gaps, counts)| [depths, gaps, counts].concat().concat())
}

/// Any sheet of what was planted, without a mistake in it.
pub fn planted_sheets() -> impl Strategy<Value = String> {
    hands().prop_flat_map(|hand| {
        let turns = (length(hand, 0.6, 1.0), number(0.5, 4.0, 2), any::<bool>());
        let wanted = (
            length(hand, 6.0, 40.0),
            length(hand, 1.0, 2.5),
            option::weighted(0.8, length(hand, 0.6, 1.0)),
            option::of(number(20_000.0, 200_000.0, 0)),
        );
        (wanted, option::of(turns), target(hand), planted_runs(hand)).prop_map(
            move |((row, depth, tolerance, stand), turns, target, runs)| {
                let bare = key("bare-length", hand.bare.map(|(unit, _)| format!("\"{unit}\"")));
                let turns = turns.map(|(depth, turns, deeper)| {
                    let way = if deeper { "deeper" } else { "shallower" };
                    format!("{{ depth = {depth}, turns = {turns}, turning-in = \"{way}\" }}")
                });
                format!(
                    "{bare}[planter]\nrows = 4\nrow-spacing = {row}\n{}\n[trial]\nplot = \"17 ft\"\n\
                     depth = {depth}\n{target}{}\n[trial.tolerance]\n{}\n{runs}",
                    key("depth-turns", turns),
                    key("stand", stand.map(|rate| format!("\"{rate} /ac\""))),
                    key("depth", tolerance),
                )
            },
        )
    })
}
