//! Run forms: blanks for the very measurements that the sheet takes, under its own keys, each
//! with a picture of what is measured from where to where.

use crate::forecast::plan;
use crate::outcome::cautions::{CLEAR_OF_METERS, MANUAL_FIRST, NO_RIDERS, SEED_TAG};
use crate::outcome::{Outcome, Travel};
use crate::paper::Facts;
use crate::render::drawing::{Axis, Kind, Row, Scene, Shape, Strips};
use crate::render::harmless;

use super::{Block, Form, Material};

/// Readings that are usual where no plan says more. Common practice, no source.
const USUAL: usize = 10;
/// Blanks that fit on one page; where the plan asks for more, it takes more copies.
const MOST: usize = 24;

pub(super) fn blocks(material: &Material<'_>) -> Vec<Block> {
    let forms = forms(&material.sheet.facts, material.plan);
    let mut blocks = vec![Block::Words(
        "Fill in on the test range, type into the sheet the same day. Each blank stands under the \
         key it has in the sheet, in the sheet's order. Measured in this order, each step rests on \
         the one before; what a change has upset is measured again."
            .into(),
    )];
    blocks.extend(forms.iter().map(|(heading, _, _, form)| {
        Block::Tick(format!("{heading}: {}, {} readings", form.table, form.count), None)
    }));
    blocks.extend([&NO_RIDERS, &CLEAR_OF_METERS, &SEED_TAG, &MANUAL_FIRST].map(Block::Caution));
    // A long list of forms leaves less room.
    let lines = 12_usize.saturating_sub(forms.len()).clamp(1, 5);
    blocks.push(Block::Room("Field, ground, weather, who measured".into(), lines));
    for (heading, how, picture, form) in forms {
        blocks.push(Block::NewPage);
        blocks.push(Block::Heading(heading.into()));
        blocks.push(Block::Words(how));
        blocks.push(Block::Picture(picture));
        // Long forms fill their page by themselves.
        let short = form.fields.len() < 7 && form.lists.len() == 1;
        let lines = match (short, form.count) {
            (true, ..=USUAL) => 5,
            (true, ..=16) => 2,
            _ => 0,
        };
        blocks.push(Block::Form(form));
        if lines > 0 {
            blocks.push(Block::Room("Seen on the range".into(), lines));
        }
    }
    blocks
}

type Sheet = (&'static str, String, Scene, Form);

/// The forms that the sheet has a use for, in the order of its tables. A sheet that says nothing
/// of the planter gets all.
fn forms(facts: &Facts, planned: Option<&Outcome>) -> Vec<Sheet> {
    let has = &facts.has;
    let open = !has.anything;
    let readings = |what: &str| {
        let planned = planned.and_then(|outcome| plan::readings_to_decide(outcome, what));
        planned.unwrap_or(USUAL).max(USUAL)
    };
    let mut forms = vec![];
    if facts.speed.is_some() || open {
        forms.push(speed(facts));
    }
    if has.drive || open {
        forms.push(wheel(facts));
    }
    if has.changeover || open {
        forms.push(changeover(facts));
    }
    if has.plate && facts.rows.as_deref() != Some("1") || open {
        forms.push(rows(facts));
    }
    let controller = has.controller || has.trip_scale || has.setback || has.pass_offset;
    if has.trip_scale || !controller {
        // Where no run says how this crew measures, both ways are offered.
        if has.readouts || !has.taped {
            forms.push(readouts(facts, readings("trip")));
        }
        if has.taped || !has.readouts {
            forms.push(taped(facts, readings("trip")));
        }
    }
    if has.setback || !controller {
        let each = readings("centre").div_ceil(2).max(USUAL);
        forms.push(alleys(facts, "out", each));
        forms.push(alleys(facts, "home", each));
    }
    if has.pass_offset || !controller {
        forms.push(leads(facts, readings("passes")));
    }
    if has.depth || open {
        forms.push(depth(facts));
    }
    if has.evenness || open {
        forms.push(gaps(facts));
    }
    if has.stand || open {
        forms.push(stand(facts));
    }
    forms
}

/// A form with what all of them have.
fn form(
    facts: &Facts,
    table: &'static str,
    mut fields: Vec<(&'static str, String, String)>,
    lists: Vec<(&'static str, String)>,
    count: usize,
    example: &str,
) -> Form {
    fields.insert(0, ("date", String::new(), "no quotes: 2027-04-18".into()));
    fields.push(("note", String::new(), "in quotes: wind, soil, gear".into()));
    let first = lists.first().map_or("", |(key, _)| key);
    let typed = if lists.is_empty() {
        "Leave out what was not seen".to_owned()
    } else {
        let tape = facts.bare.is_some() || lists.iter().all(|(_, unit)| unit.is_empty());
        let unit = if tape { "" } else { ", each in quotes with its unit" };
        format!("Typed top to bottom, commas between{unit}: {first} = {example}")
    };
    let more = if count > MOST {
        format!(" The plan asks for {count} readings: take more copies of this form.")
    } else {
        String::new()
    };
    let count = count.min(MOST / lists.len().max(1));
    Form { table, fields, lists, count, typed: format!("{typed}.{more}") }
}

fn speed_field(facts: &Facts) -> (&'static str, String, String) {
    let hint = match &facts.speed {
        Some(speed) => format!("only where it was not {}", harmless(speed)),
        None => "\"2.8 mph\"".into(),
    };
    ("speed", String::new(), hint)
}

/// Unit of a list of tape readings, and an example of the list.
fn tape(facts: &Facts) -> (String, &'static str) {
    match facts.bare {
        Some(unit) => (unit.into(), "[11.5, 12, 12.25]"),
        None if facts.tape == "cm" => (facts.tape.into(), "[\"29 cm\", \"30.5 cm\"]"),
        None if facts.tape == "mm" => (facts.tape.into(), "[\"290 mm\", \"305 mm\"]"),
        None => (facts.tape.into(), "[\"11 1/2 in\", \"12 in\"]"),
    }
}

// Pictures: one alley of a nominal width of 2, with planted ground on both sides.

fn picture(title: &str, rows: Vec<Row>, key: &[Kind]) -> Scene {
    Scene::Strips(Strips {
        title: title.into(),
        axis: Axis { from: -2.5, to: 2.5 },
        rows,
        key: vec![key.to_vec()],
        note: None,
        ends: None,
    })
}

fn lane(label: &str, travel: Travel, from: f64, to: f64, signs: &[(Kind, f64)]) -> Row {
    let mut shapes = vec![
        Shape::Bare,
        Shape::Planted { from: None, to: Some(from) },
        Shape::Planted { from: Some(to), to: None },
    ];
    shapes.extend(signs.iter().map(|(kind, at)| Shape::Point(*kind, *at)));
    Row { label: label.into(), travel: Some(travel), shapes, ..Row::default() }
}

fn held(label: &str, from: f64, to: f64) -> Row {
    Row { label: label.into(), shapes: vec![Shape::Tape { from, to }], ..Row::default() }
}

/// Bare ground between two marks.
fn course(label: &str, below: &str, from: f64, to: f64) -> Scene {
    let shapes = vec![Shape::Bare, Shape::Point(Kind::Mark, from), Shape::Point(Kind::Mark, to)];
    let ground =
        Row { label: label.into(), travel: Some(Travel::Rightward), shapes, ..Row::default() };
    picture("From mark to mark", vec![ground, held(below, from, to)], &[Kind::Mark])
}

fn speed(facts: &Facts) -> Sheet {
    let how = "A taped course, driven at planting gear and throttle with the planter down. Up to \
               speed before the first mark; the watch runs from mark to mark.";
    let fields =
        vec![("course", String::new(), "length with its unit: \"200 ft\", \"60 m\"".into())];
    let lists = vec![("times", "s".to_owned())];
    let mut form = form(facts, "[[speed-run]]", fields, lists, 6, "");
    form.typed =
        "Typed top to bottom, each with its unit in quotes: times = [\"48.9 s\", \"48.5 s\"]."
            .into();
    ("Ground speed", how.into(), course("ground", "course", -2.0, 2.0), form)
}

fn wheel(facts: &Facts) -> Sheet {
    let how = "Turns of the drive wheel over a taped course, planter down and loaded, in the soil \
               of the trial. A chalk line on the tyre; parts of a turn counted too.";
    let fields =
        vec![("course", String::new(), "length with its unit: \"200 ft\", \"60 m\"".into())];
    let lists = vec![("turns", String::new())];
    let mut form = form(facts, "[[wheel-run]]", fields, lists, 6, "[29.5, 29.25]");
    form.typed = "Typed top to bottom, commas between: turns = [29.5, 29.25].".into();
    ("Drive wheel", how.into(), course("ground", "course", -2.0, 2.0), form)
}

fn readouts(facts: &Facts, count: usize) -> Sheet {
    let how = "What the controller reads between two marks whose distance was taped. In the order \
               of the plots along the pass.";
    let fields = vec![
        speed_field(facts),
        ("marks", String::new(), "taped from mark to mark, with its unit: \"20 ft\"".into()),
    ];
    let (unit, example) = tape(facts);
    let form = form(facts, "[[trip-run]]", fields, vec![("readout", unit)], count, example);
    ("Trip scale: readouts between marks", how.into(), course("ground", "marks", -2.0, 2.0), form)
}

fn taped(facts: &Facts, count: usize) -> Sheet {
    let how = "What the tape says of a length that the controller was told to trip at: from the \
               middle of one alley to the middle of the next, in the order of the pass.";
    let fields = vec![
        speed_field(facts),
        (
            "commanded",
            String::new(),
            "what the controller was told, with its unit: \"20 ft\"".into(),
        ),
    ];
    let (unit, example) = tape(facts);
    let form = form(facts, "[[trip-run]]", fields, vec![("taped", unit)], count, example);
    let ground = Row {
        label: "pass".into(),
        travel: Some(Travel::Rightward),
        shapes: vec![
            Shape::Bare,
            Shape::Planted { from: None, to: Some(-2.0) },
            Shape::Planted { from: Some(-1.2), to: Some(1.2) },
            Shape::Planted { from: Some(2.0), to: None },
            Shape::Point(Kind::Centre, -1.6),
            Shape::Point(Kind::Centre, 1.6),
        ],
        ..Row::default()
    };
    let rows = vec![ground, held("taped", -1.6, 1.6)];
    let picture =
        picture("From middle to middle", rows, &[Kind::Planted, Kind::Alley, Kind::Centre]);
    ("Trip scale: taped lengths", how.into(), picture, form)
}

fn alleys(facts: &Facts, heading: &'static str, count: usize) -> Sheet {
    let how = format!(
        "Passes going {heading}: {}. Along one row, alley by alley in the order of the pass. A \
         last seed that lies past the mark is written with a minus.",
        if heading == "out" { "away from the start of the field" } else { "back to its start" },
    );
    let fields = vec![("heading", format!("\"{heading}\""), String::new()), speed_field(facts)];
    let (unit, example) = tape(facts);
    let lists = vec![("last-seed-to-mark", unit.clone()), ("mark-to-first-seed", unit)];
    let form = form(facts, "[[alley-run]]", fields, lists, count, example);
    let rows = vec![
        lane(heading, Travel::Rightward, -1.0, 1.3, &[(Kind::Mark, 0.0)]),
        held("last-seed-to-mark", -1.0, 0.0),
        held("mark-to-first-seed", 0.0, 1.3),
    ];
    let picture =
        picture("One alley and its mark", rows, &[Kind::Planted, Kind::Alley, Kind::Mark]);
    let title = if heading == "out" { "Alleys, going out" } else { "Alleys, coming home" };
    (title, how, picture, form)
}

fn leads(facts: &Facts, count: usize) -> Sheet {
    let how = "Two neighbouring passes, one out and one home. Standing on one of them and looking \
               where its planter went: how far its alley lies ahead of the neighbour's, edge to \
               edge; behind is written with a minus.";
    let (unit, example) = tape(facts);
    let form =
        form(facts, "[[pass-run]]", vec![speed_field(facts)], vec![("lead", unit)], count, example);
    let rows = vec![
        lane("home", Travel::Leftward, -1.3, 0.7, &[]),
        held("lead", -1.3, -0.7),
        lane("out", Travel::Rightward, -0.7, 1.3, &[]),
    ];
    let picture = picture("Two neighbouring passes", rows, &[Kind::Planted, Kind::Alley]);
    ("Neighbouring passes", how.into(), picture, form)
}

fn rows(facts: &Facts) -> Sheet {
    let how = "First seed of one row against that of the reference row, at the same alley; behind \
               is written with a minus. One form for each row.";
    let fields = vec![
        speed_field(facts),
        ("reference", String::new(), "the row the others are held against; 1 without it".into()),
        ("row", String::new(), "the row that is measured here".into()),
    ];
    let (unit, example) = tape(facts);
    let form = form(facts, "[[row-run]]", fields, vec![("ahead", unit)], USUAL, example);
    let rows = vec![
        lane("reference", Travel::Rightward, -1.0, 0.7, &[]),
        held("ahead", 0.7, 1.3),
        lane("row", Travel::Rightward, -0.4, 1.3, &[]),
    ];
    let picture = picture("Two rows of one planter", rows, &[Kind::Planted, Kind::Alley]);
    ("Rows together", how.into(), picture, form)
}

fn changeover(facts: &Facts) -> Sheet {
    let how = "One test range with the present timers, looked at on the ground and dug up.";
    let (unit, example) = tape(facts);
    let length = |what: &str| match facts.bare {
        Some(unit) => format!("{what}, {unit}"),
        None => format!("{what}, with its unit"),
    };
    let fields = vec![
        speed_field(facts),
        ("hand-over-finished", String::new(), "true or false".into()),
        ("old-seed-in-new-plot", String::new(), length("deepest")),
        ("bunched-at-end", String::new(), length("longest stretch")),
        ("bunched-at-start", String::new(), length("longest stretch")),
        ("stray-seeds", String::new(), "most in one alley".into()),
    ];
    let form =
        form(facts, "[[changeover-run]]", fields, vec![("alley-width", unit)], USUAL, example);
    let rows = vec![
        lane("pass", Travel::Rightward, -1.0, 1.0, &[]),
        held("alley-width", -1.0, 1.0),
        held("bunched-at-end", -1.6, -1.0),
        held("bunched-at-start", 1.0, 1.6),
        held("old-seed-in-new-plot", 1.0, 2.2),
    ];
    let picture = picture("One changeover", rows, &[Kind::Planted, Kind::Alley]);
    ("Changeovers", how.into(), picture, form)
}

fn row_field() -> (&'static str, String, String) {
    ("row", String::new(), "the row, where it was always the same".into())
}

fn depth(facts: &Facts) -> Sheet {
    let how = "Seed dug up in one row: from the surface, pressed flat, down to the seed. One form \
               for each row.";
    let (unit, _) = tape(facts);
    let example = match (facts.bare, facts.tape) {
        (Some(_), _) => "[1.5, 1.375]",
        (None, "in") => "[\"1 1/2 in\", \"1 3/8 in\"]",
        (None, _) => "[\"4 cm\", \"3.5 cm\"]",
    };
    let fields = vec![speed_field(facts), row_field()];
    let form = form(facts, "[[depth-run]]", fields, vec![("depth", unit)], USUAL, example);
    let shapes = vec![Shape::Bare, Shape::Point(Kind::Seed, 1.0)];
    let ground =
        Row { label: "surface at the left".into(), shapes, figures: vec![], ..Row::default() };
    let rows = vec![ground, held("depth", -2.5, 1.0)];
    (
        "Planting depth",
        how.into(),
        picture("From the surface down to the seed", rows, &[Kind::Seed]),
        form,
    )
}

fn gaps(facts: &Facts) -> Sheet {
    let how = "Seed dug up, or plants, along one row: a tape that lies still, and the place of each \
               seed on it. One form for each row; where the tape is laid anew, a new form.";
    let (unit, _) = tape(facts);
    let example = match (facts.bare, facts.tape) {
        (Some(_), _) => "[0.5, 2, 3.6]",
        (None, "in") => "[\"1/2 in\", \"2 in\"]",
        (None, _) => "[\"1 cm\", \"5.5 cm\"]",
    };
    let fields = vec![speed_field(facts), row_field()];
    let form = form(facts, "[[spacing-run]]", fields, vec![("positions", unit)], MOST, example);
    let seeds = [-2.0, -1.1, -0.3, 0.7, 1.5];
    let mut shapes = vec![Shape::Bare];
    shapes.extend(seeds.map(|at| Shape::Point(Kind::Seed, at)));
    let ground =
        Row { label: "row".into(), travel: Some(Travel::Rightward), shapes, ..Row::default() };
    let mut rows = vec![ground];
    rows.extend(seeds[..3].iter().map(|at| held("positions", -2.5, *at)));
    let picture = picture("Places of seeds along a tape", rows, &[Kind::Seed]);
    ("Evenness of spacing", how.into(), picture, form)
}

fn stand(facts: &Facts) -> Sheet {
    let how = "Plants counted on a taped length of row, at places all over the field. `alleytrue \
               stand` says which length is a thousandth of an acre.";
    let fields = vec![
        row_field(),
        ("rows", String::new(), "rows counted together; 1 without it".into()),
        ("length", String::new(), "of row, with its unit: \"17 ft 5 in\"".into()),
    ];
    let lists = vec![("counts", String::new())];
    let form = form(facts, "[[stand-count]]", fields, lists, 12, "[26, 24, 27, 25]");
    let shapes = vec![
        Shape::Bare,
        Shape::Planted { from: None, to: None },
        Shape::Point(Kind::Mark, -2.0),
        Shape::Point(Kind::Mark, 2.0),
    ];
    let ground = Row { label: "row".into(), shapes, ..Row::default() };
    let rows = vec![ground, held("length", -2.0, 2.0)];
    let picture = picture("Plants on a length of row", rows, &[Kind::Planted, Kind::Mark]);
    ("Stand", how.into(), picture, form)
}
